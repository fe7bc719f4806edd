#include "raw.h"

#include "model/event.h"

#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool wrong(sqlite3 *db, const char *what)
{
    fprintf(stderr, "raw: %s: %s\n", what, db != NULL ? sqlite3_errmsg(db) : "no database");
    return false;
}

static sqlite3 *raw_open(const char *path, int flags)
{
    sqlite3 *db = NULL;
    if (sqlite3_open_v2(path, &db, flags | SQLITE_OPEN_NOMUTEX, NULL) != SQLITE_OK ||
        sqlite3_exec(db,
                     "PRAGMA trusted_schema=OFF; PRAGMA foreign_keys=ON;"
                     "PRAGMA recursive_triggers=ON; PRAGMA cell_size_check=ON;"
                     "PRAGMA temp_store=FILE; PRAGMA mmap_size=0; PRAGMA cache_size=-1024",
                     NULL, NULL, NULL) != SQLITE_OK) {
        wrong(db, path);
        sqlite3_close(db);
        return NULL;
    }
    return db;
}

static sqlite3_stmt *raw_prepare(sqlite3 *db, const char *sql)
{
    sqlite3_stmt *stmt = NULL;
    if (sqlite3_prepare_v2(db, sql, -1, &stmt, NULL) != SQLITE_OK)
        wrong(db, sql);
    return stmt;
}

/* ---- scan ---- */

enum { AT, ID, KIND, ZONE, NAME, OTHER, N1, N2, CODE, MORE };

static void take_label(sqlite3_stmt *row, int column, Label *label, uint32_t bit, Event *e)
{
    const unsigned char *text = sqlite3_column_text(row, column);
    if (text != NULL) {
        size_t n = (size_t)sqlite3_column_bytes(row, column);
        memcpy(label->s, text, n < LABEL_MAX ? n : LABEL_MAX);
        e->has |= bit;
    }
}

static void take_number(sqlite3_stmt *row, int column, int64_t *number, uint32_t bit, Event *e)
{
    if (sqlite3_column_type(row, column) != SQLITE_NULL) {
        *number = sqlite3_column_int64(row, column);
        e->has |= bit;
    }
}

/* The rare column stays text: what is in it is a handful of rows in a thousand. */
static void take_more(sqlite3_stmt *row, char *more, size_t size)
{
    const unsigned char *text = sqlite3_column_text(row, MORE);
    if (text != NULL) {
        size_t n = (size_t)sqlite3_column_bytes(row, MORE);
        memcpy(more, text, n < size ? n : size);
    }
}

static void decode(sqlite3_stmt *row, Event *e, char *more, size_t more_size)
{
    e->at.ms = sqlite3_column_int64(row, AT);
    const void *id = sqlite3_column_blob(row, ID);
    if (id != NULL && sqlite3_column_bytes(row, ID) == 16)
        memcpy(e->id.b, id, 16);
    e->kind = sqlite3_column_int(row, KIND);
    e->zone = sqlite3_column_int(row, ZONE);
    e->has = 0;
    e->note[0] = '\0';
    switch (e->kind) {
    case KIND_FILL:
        memset(&e->u.fill, 0, sizeof e->u.fill);
        take_label(row, NAME, &e->u.fill.vessel, 1, e);
        take_label(row, OTHER, &e->u.fill.source, 8, e);
        take_number(row, N1, &e->u.fill.litres, 2, e);
        take_number(row, N2, &e->u.fill.level, 4, e);
        take_number(row, CODE, &e->u.fill.quality, 16, e);
        take_more(row, more, more_size);
        break;
    case KIND_DRAW:
        memset(&e->u.draw, 0, sizeof e->u.draw);
        take_label(row, NAME, &e->u.draw.vessel, 1, e);
        take_label(row, OTHER, &e->u.draw.line, 2, e);
        take_number(row, N1, &e->u.draw.litres, 4, e);
        take_number(row, CODE, &e->u.draw.purpose, 8, e);
        break;
    case KIND_SOUND:
        memset(&e->u.sound, 0, sizeof e->u.sound);
        take_label(row, NAME, &e->u.sound.vessel, 1, e);
        take_number(row, N2, &e->u.sound.level, 2, e);
        break;
    case KIND_DECANT:
        memset(&e->u.decant, 0, sizeof e->u.decant);
        take_label(row, NAME, &e->u.decant.from, 1, e);
        take_label(row, OTHER, &e->u.decant.to, 2, e);
        take_number(row, N1, &e->u.decant.litres, 4, e);
        take_number(row, CODE, &e->u.decant.treated, 8, e);
        break;
    case KIND_PRESSURISE:
    case KIND_FLOWTEST: /* line, and two numbers behind it, alike */
        memset(&e->u.pressurise, 0, sizeof e->u.pressurise);
        take_label(row, OTHER, &e->u.pressurise.line, 1, e);
        take_number(row, N1, &e->u.pressurise.kpa, 2, e);
        take_number(row, N2, &e->u.pressurise.ambient_kpa, 4, e);
        break;
    default: /* rare kinds: a name, a number, and the text */
        memset(&e->u.spares, 0, sizeof e->u.spares);
        take_label(row, NAME, &e->u.spares.stage, 1, e);
        take_number(row, N1, &e->u.spares.count, 2, e);
        take_more(row, more, more_size);
    }
}

bool raw_scan(const char *path, int64_t *rows, uint64_t *sum)
{
    Event e = {0};
    char more[2048] = {0};
    sqlite3 *db = raw_open(path, SQLITE_OPEN_READWRITE);
    sqlite3_stmt *row =
        db != NULL ? raw_prepare(db, "SELECT at,id,kind,zone,name,other,n1,n2,code,more FROM entry "
                                     "ORDER BY at,id")
                   : NULL;
    bool good = row != NULL;
    int rc = SQLITE_DONE;
    *rows = 0;
    *sum = 0;
    while (good && (rc = sqlite3_step(row)) == SQLITE_ROW) {
        decode(row, &e, more, sizeof more);
        *sum += (uint64_t)e.at.ms + (uint64_t)(unsigned char)e.u.draw.line.s[0] + e.has +
                (uint64_t)more[0];
        ++*rows;
    }
    if (rc != SQLITE_DONE)
        good = wrong(db, "scan");
    sqlite3_finalize(row);
    sqlite3_close(db);
    return good;
}

bool raw_checkpoint(const char *path, uint64_t *sum)
{
    sqlite3 *db = raw_open(path, SQLITE_OPEN_READWRITE);
    sqlite3_stmt *row =
        db != NULL ? raw_prepare(db, "SELECT entries,at,id,state FROM head WHERE one=1") : NULL;
    bool good = row != NULL && sqlite3_step(row) == SQLITE_ROW;
    *sum = 0;
    if (good) {
        const unsigned char *state = sqlite3_column_blob(row, 3);
        for (int i = 0; i < sqlite3_column_bytes(row, 3); i++)
            *sum += state[i];
        *sum += (uint64_t)sqlite3_column_int64(row, 0);
    } else {
        wrong(db, "checkpoint");
    }
    sqlite3_finalize(row);
    sqlite3_close(db);
    return good;
}

/* ---- rows from text ---- */

typedef enum { V_TEXT, V_LIST, V_THOUSANDTHS, V_WHOLE, V_FLAG, V_WORD, V_TIME } ValueType;
typedef struct {
    int kind;
    const char *key;
    int column;
    ValueType type;
    const char *const *choices;
} Place;

static const char *const classes[] = {"potable", "questionable", "non-potable", NULL};
static const char *const purposes[] = {"drink", "cook", "dishes", "wash", "other", NULL};
static const char *const methods[] = {"chlorine", "boil", "uv", "filter", NULL};
static const char *const duties[] = {"line", "reserve", "wash", "store", NULL};
static const char *const stage_types[] = {
    "sediment", "carbon-granular", "carbon-block", "uv", "membrane", "other", NULL};
static const char *const lamps[] = {"always", "with-flow", NULL};
static const char *const source_types[] = {"mains", "vendor", "well", "spring", "stream",
                                           "lake",  "rain",   "hose", "other",  NULL};

static const struct {
    const char *word;
    int kind;
} kind_words[] = {{"draw", KIND_DRAW},
                  {"fill", KIND_FILL},
                  {"sound", KIND_SOUND},
                  {"note", KIND_NOTE},
                  {"treat", KIND_TREAT},
                  {"void", KIND_VOID},
                  {"pressurise", KIND_PRESSURISE},
                  {"decant", KIND_DECANT},
                  {"stop", KIND_STOP},
                  {"unstop", KIND_UNSTOP},
                  {"flowtest", KIND_FLOWTEST},
                  {"swap", KIND_SWAP},
                  {"spares", KIND_SPARES},
                  {"dump", KIND_DUMP},
                  {"sanitise", KIND_SANITISE},
                  {"crew", KIND_CREW},
                  {"couple", KIND_COUPLE},
                  {"vessel", KIND_VESSEL},
                  {"source", KIND_SOURCE},
                  {"stage", KIND_STAGE}};

static const Place places[] = {
    {KIND_DRAW, "line", OTHER, V_TEXT, NULL},
    {KIND_DRAW, "litres", N1, V_THOUSANDTHS, NULL},
    {KIND_DRAW, "purpose", CODE, V_WORD, purposes},
    {KIND_DRAW, "vessel", NAME, V_TEXT, NULL},
    {KIND_FILL, "vessel", NAME, V_TEXT, NULL},
    {KIND_FILL, "litres", N1, V_THOUSANDTHS, NULL},
    {KIND_FILL, "level", N2, V_THOUSANDTHS, NULL},
    {KIND_FILL, "source", OTHER, V_TEXT, NULL},
    {KIND_FILL, "class", CODE, V_WORD, classes},
    {KIND_SOUND, "vessel", NAME, V_TEXT, NULL},
    {KIND_SOUND, "level", N2, V_THOUSANDTHS, NULL},
    {KIND_DECANT, "from", NAME, V_TEXT, NULL},
    {KIND_DECANT, "to", OTHER, V_TEXT, NULL},
    {KIND_DECANT, "litres", N1, V_THOUSANDTHS, NULL},
    {KIND_DECANT, "treated", CODE, V_FLAG, NULL},
    {KIND_DUMP, "vessel", NAME, V_TEXT, NULL},
    {KIND_SANITISE, "vessel", NAME, V_TEXT, NULL},
    {KIND_TREAT, "vessel", NAME, V_TEXT, NULL},
    {KIND_TREAT, "method", CODE, V_WORD, methods},
    {KIND_TREAT, "residual_mg_l", MORE, V_THOUSANDTHS, NULL},
    {KIND_TREAT, "minutes", MORE, V_THOUSANDTHS, NULL},
    {KIND_TREAT, "temp_c", MORE, V_THOUSANDTHS, NULL},
    {KIND_TREAT, "ph", MORE, V_THOUSANDTHS, NULL},
    {KIND_COUPLE, "line", OTHER, V_TEXT, NULL},
    {KIND_COUPLE, "order", MORE, V_LIST, NULL},
    {KIND_PRESSURISE, "line", OTHER, V_TEXT, NULL},
    {KIND_PRESSURISE, "kpa", N1, V_THOUSANDTHS, NULL},
    {KIND_SWAP, "stage", NAME, V_TEXT, NULL},
    {KIND_SPARES, "stage", NAME, V_TEXT, NULL},
    {KIND_SPARES, "count", N1, V_WHOLE, NULL},
    {KIND_FLOWTEST, "line", OTHER, V_TEXT, NULL},
    {KIND_FLOWTEST, "litres", N1, V_THOUSANDTHS, NULL},
    {KIND_FLOWTEST, "seconds", N2, V_THOUSANDTHS, NULL},
    {KIND_VESSEL, "vessel", NAME, V_TEXT, NULL},
    {KIND_VESSEL, "capacity", N1, V_THOUSANDTHS, NULL},
    {KIND_VESSEL, "heel", MORE, V_THOUSANDTHS, NULL},
    {KIND_VESSEL, "tare_kg", MORE, V_THOUSANDTHS, NULL},
    {KIND_VESSEL, "duty", CODE, V_WORD, duties},
    {KIND_VESSEL, "class", MORE, V_WORD, classes},
    {KIND_STAGE, "stage", NAME, V_TEXT, NULL},
    {KIND_STAGE, "type", CODE, V_WORD, stage_types},
    {KIND_STAGE, "line", OTHER, V_TEXT, NULL},
    {KIND_STAGE, "position", N1, V_WHOLE, NULL},
    {KIND_STAGE, "life_litres", N2, V_THOUSANDTHS, NULL},
    {KIND_STAGE, "life_days", MORE, V_WHOLE, NULL},
    {KIND_STAGE, "life_hours", MORE, V_THOUSANDTHS, NULL},
    {KIND_STAGE, "lamp", MORE, V_WORD, lamps},
    {KIND_STAGE, "rated_lpm", MORE, V_THOUSANDTHS, NULL},
    {KIND_SOURCE, "source", NAME, V_TEXT, NULL},
    {KIND_SOURCE, "type", CODE, V_WORD, source_types},
    {KIND_SOURCE, "class", N1, V_WORD, classes},
    {KIND_CREW, "persons", N1, V_WHOLE, NULL},
    {KIND_STOP, "stop", NAME, V_TEXT, NULL},
    {KIND_STOP, "eta", N2, V_TIME, NULL},
    {KIND_UNSTOP, "stop", NAME, V_TEXT, NULL},
    {KIND_VOID, "entry", MORE, V_TEXT, NULL},
};
enum { PLACES = sizeof places / sizeof *places, NOTE = MORE + 1, COLUMNS };

typedef struct {
    const char *key, *value;
    size_t value_size;
} Pair;

typedef struct {
    sqlite3 *db;
    sqlite3_stmt *insert, *each;
    char more[2048];
    size_t more_used;
} Load;

static int two(const char *s)
{
    return (s[0] - '0') * 10 + (s[1] - '0');
}

/* "2016-01-01T10:05:00.123+01:00" */
static int64_t time_of(const char *s, int *zone)
{
    int64_t year = two(s) * 100 + two(s + 2), month = two(s + 5), day = two(s + 8);
    int64_t y = month > 2 ? year : year - 1, era = y / 400, yoe = y - era * 400;
    int64_t doy = (153 * (month > 2 ? month - 3 : month + 9) + 2) / 5 + day - 1;
    int64_t days = era * 146097 + yoe * 365 + yoe / 4 - yoe / 100 + doy - 719468;
    int64_t ms = ((days * 24 + two(s + 11)) * 60 + two(s + 14)) * INT64_C(60000) +
                 two(s + 17) * INT64_C(1000);
    s += 19;
    if (*s == '.') {
        ms += (s[1] - '0') * INT64_C(100) + two(s + 2);
        s += 4;
    }
    *zone = *s == 'Z' ? 0 : (*s == '-' ? -1 : 1) * (two(s + 1) * 60 + two(s + 4));
    return ms - *zone * INT64_C(60000);
}

static int hex(char c)
{
    return c <= '9' ? c - '0' : (c | 32) - 'a' + 10;
}

static void id_of(const char *s, unsigned char id[16])
{
    for (int i = 0; i < 16; i++) {
        s += *s == '-';
        id[i] = (unsigned char)(hex(s[0]) << 4 | hex(s[1]));
        s += 2;
    }
}

static int64_t thousandths_of(const char *s)
{
    int64_t n = 0;
    int decimals = -1;
    bool minus = *s == '-';
    for (s += minus; (*s >= '0' && *s <= '9') || *s == '.'; s++) {
        if (*s == '.') {
            decimals = 0;
        } else if (decimals < 3) {
            n = n * 10 + (*s - '0');
            decimals += decimals >= 0;
        }
    }
    for (decimals = decimals < 0 ? 0 : decimals; decimals < 3; decimals++)
        n *= 10;
    return minus ? -n : n;
}

static int64_t number_of(const Place *place, const char *s)
{
    int zone;
    switch (place->type) {
    case V_THOUSANDTHS:
        return thousandths_of(s);
    case V_WHOLE:
        return thousandths_of(s) / 1000;
    case V_FLAG:
        return *s == 't' || *s == '1';
    case V_TIME:
        return time_of(s, &zone);
    default:
        for (int i = 0; place->choices != NULL && place->choices[i] != NULL; i++)
            if (strcmp(s, place->choices[i]) == 0)
                return i;
        return -1;
    }
}

static void more_list(Load *load, const char *s)
{
    char *out = load->more;
    out[load->more_used++] = '[';
    while (*s != '\0') {
        size_t n = strcspn(s, ";");
        load->more_used += (size_t)snprintf(out + load->more_used, 64, "\"%.*s\",", (int)n, s);
        s += n + (s[n] == ';');
    }
    out[load->more_used - 1] = ']';
}

static void more_add(Load *load, const Place *place, const char *s)
{
    char *out = load->more;
    size_t room = sizeof load->more - 64;
    load->more_used += (size_t)snprintf(out + load->more_used, room - load->more_used,
                                        "%c\"%s\":", load->more_used == 0 ? '{' : ',', place->key);
    if (place->type == V_LIST && *s != '[')
        more_list(load, s);
    else if (place->type == V_LIST)
        load->more_used += (size_t)snprintf(out + load->more_used, room - load->more_used, "%s", s);
    else if (place->type == V_TEXT)
        load->more_used +=
            (size_t)snprintf(out + load->more_used, room - load->more_used, "\"%s\"", s);
    else
        load->more_used += (size_t)snprintf(out + load->more_used, room - load->more_used, "%lld",
                                            (long long)number_of(place, s));
}

static const char *value_of(const Pair *pairs, int count, const char *key, size_t *size)
{
    for (int i = 0; i < count; i++) {
        if (strcmp(pairs[i].key, key) == 0) {
            *size = pairs[i].value_size;
            return pairs[i].value;
        }
    }
    return NULL;
}

/* The common kinds stand first, so that looking from the top is quick. */
static const Place *place_of(int kind, const char *key)
{
    for (int i = 0; i < PLACES; i++)
        if (places[i].kind == kind && strcmp(places[i].key, key) == 0)
            return &places[i];
    return NULL;
}

static bool insert(Load *load, const Pair *pairs, int count)
{
    sqlite3_stmt *row = load->insert;
    unsigned char id[16];
    size_t n;
    int zone, kind = 0;
    const char *id_text = value_of(pairs, count, "id", &n);
    const char *at_text = value_of(pairs, count, "at", &n);
    const char *kind_text = value_of(pairs, count, "kind", &n);
    if (id_text == NULL || at_text == NULL || kind_text == NULL)
        return wrong(load->db, "a line without id, at or kind");
    for (size_t i = 0; kind == 0 && i < sizeof kind_words / sizeof *kind_words; i++)
        if (strcmp(kind_words[i].word, kind_text) == 0)
            kind = kind_words[i].kind;
    id_of(id_text, id);
    sqlite3_clear_bindings(row);
    sqlite3_bind_int64(row, AT + 1, time_of(at_text, &zone));
    sqlite3_bind_blob(row, ID + 1, id, 16, SQLITE_STATIC);
    sqlite3_bind_int(row, KIND + 1, kind);
    sqlite3_bind_int(row, ZONE + 1, zone);
    load->more_used = 0;
    for (int i = 0; i < count; i++) {
        const Pair *pair = &pairs[i];
        const Place *place = place_of(kind, pair->key);
        if (place == NULL) {
            if (strcmp(pair->key, "note") == 0)
                sqlite3_bind_text(row, NOTE + 1, pair->value, (int)pair->value_size, SQLITE_STATIC);
        } else if (place->column == MORE) {
            more_add(load, place, pair->value);
        } else if (place->type == V_TEXT) {
            sqlite3_bind_text(row, place->column + 1, pair->value, (int)pair->value_size,
                              SQLITE_STATIC);
        } else {
            sqlite3_bind_int64(row, place->column + 1, number_of(place, pair->value));
        }
    }
    if (load->more_used > 0) {
        load->more[load->more_used++] = '}';
        sqlite3_bind_text(row, MORE + 1, load->more, (int)load->more_used, SQLITE_STATIC);
    }
    int rc = sqlite3_step(row);
    sqlite3_reset(row);
    return rc == SQLITE_DONE || wrong(load->db, "insert");
}

/* The permanent tables of src/store/schema.c, without their comments. */
static const char schema[] =
    "CREATE TABLE entry(at INTEGER NOT NULL, id BLOB NOT NULL CHECK(length(id)=16),"
    " kind INTEGER NOT NULL, zone INTEGER NOT NULL, name TEXT, other TEXT, n1 INTEGER, n2 INTEGER,"
    " code INTEGER, more TEXT, note TEXT, PRIMARY KEY(at,id)) STRICT, WITHOUT ROWID;"
    "CREATE TRIGGER entry_stays BEFORE UPDATE ON entry BEGIN SELECT RAISE(ABORT,'no'); END;"
    "CREATE TRIGGER entry_remains BEFORE DELETE ON entry BEGIN SELECT RAISE(ABORT,'no'); END;";
static const char insert_sql[] =
    "INSERT INTO entry(at,id,kind,zone,name,other,n1,n2,code,more,note)"
    " VALUES(?1,?2,?3,?4,?5,?6,?7,?8,?9,?10,?11)";

static bool load_begin(Load *load, const char *path)
{
    memset(load, 0, sizeof *load);
    load->db = raw_open(path, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE);
    if (load->db == NULL)
        return false;
    if (sqlite3_exec(load->db, "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL", NULL, NULL,
                     NULL) != SQLITE_OK ||
        sqlite3_exec(load->db, schema, NULL, NULL, NULL) != SQLITE_OK ||
        sqlite3_exec(load->db, "BEGIN IMMEDIATE", NULL, NULL, NULL) != SQLITE_OK)
        return wrong(load->db, path);
    load->insert = raw_prepare(load->db, insert_sql);
    return load->insert != NULL;
}

static bool load_end(Load *load, bool good)
{
    sqlite3_finalize(load->each);
    sqlite3_finalize(load->insert);
    if (good && sqlite3_exec(load->db, "COMMIT", NULL, NULL, NULL) != SQLITE_OK)
        good = wrong(load->db, "commit");
    sqlite3_close(load->db);
    return good;
}

enum { PAIRS_MAX = 64, TEXT_MAX = 8192 };

static bool json_line(Load *load, const char *line, size_t n)
{
    Pair pairs[PAIRS_MAX];
    char text[TEXT_MAX];
    size_t used = 0;
    int count = 0;
    sqlite3_bind_text(load->each, 1, line, (int)n, SQLITE_STATIC);
    int rc;
    while ((rc = sqlite3_step(load->each)) == SQLITE_ROW && count < PAIRS_MAX) {
        /* the next step takes the bytes away: keep them */
        for (int i = 0; i < 2; i++) {
            size_t size = (size_t)sqlite3_column_bytes(load->each, i);
            const unsigned char *s = sqlite3_column_text(load->each, i);
            if (s == NULL || used + size + 1 > sizeof text)
                return wrong(load->db, "a line is too long");
            memcpy(text + used, s, size);
            text[used + size] = '\0';
            if (i == 0)
                pairs[count].key = text + used;
            else
                pairs[count] = (Pair){pairs[count].key, text + used, size};
            used += size + 1;
        }
        count++;
    }
    sqlite3_reset(load->each);
    return rc == SQLITE_DONE ? insert(load, pairs, count) : wrong(load->db, "json_each");
}

bool raw_import_json(const char *path, const char *lines_path)
{
    Load load;
    FILE *file = fopen(lines_path, "r");
    char *line = NULL;
    size_t room = 0;
    ssize_t n;
    if (file == NULL)
        return wrong(NULL, lines_path);
    bool good = load_begin(&load, path);
    if (good) {
        load.each = raw_prepare(load.db, "SELECT key,value FROM json_each(?1)");
        good = load.each != NULL;
    }
    while (good && (n = getline(&line, &room, file)) > 0)
        good = json_line(&load, line, (size_t)n);
    free(line);
    fclose(file);
    return load_end(&load, good);
}

/* Cuts a record into cells in place. Quoted cells lose their quotes; a line break in a cell is
 * beyond this reader and not in the season. */
static int csv_cells(char *s, Pair *cells, int max)
{
    int count = 0;
    s[strcspn(s, "\r\n")] = '\0';
    for (;;) {
        char *begin = s, *out = s;
        if (count == max)
            return count;
        if (*s == '"') {
            for (s++; *s != '\0' && (*s != '"' || *++s == '"');)
                *out++ = *s++;
        } else {
            s = out += strcspn(s, ",");
        }
        char stop = *s;
        *out = '\0';
        cells[count].value = begin;
        cells[count++].value_size = (size_t)(out - begin);
        if (stop != ',')
            return count;
        s++;
    }
}

bool raw_import_csv(const char *path, const char *csv_path)
{
    Load load;
    FILE *file = fopen(csv_path, "r");
    char *header = NULL, *line = NULL;
    size_t header_room = 0, room = 0;
    Pair names[PAIRS_MAX], cells[PAIRS_MAX], pairs[PAIRS_MAX];
    if (file == NULL)
        return wrong(NULL, csv_path);
    bool good = load_begin(&load, path) && getline(&header, &header_room, file) > 0;
    int columns = good ? csv_cells(header, names, PAIRS_MAX) : 0;
    while (good && getline(&line, &room, file) > 0) {
        int found = csv_cells(line, cells, PAIRS_MAX), count = 0;
        for (int i = 0; i < found && i < columns; i++)
            if (cells[i].value_size > 0)
                pairs[count++] = (Pair){names[i].value, cells[i].value, cells[i].value_size};
        good = insert(&load, pairs, count);
    }
    free(header);
    free(line);
    fclose(file);
    return load_end(&load, good);
}

bool raw_commit(const char *path, int64_t at_ms)
{
    sqlite3 *db = raw_open(path, SQLITE_OPEN_READWRITE);
    if (db == NULL || sqlite3_exec(db, "PRAGMA synchronous=FULL", NULL, NULL, NULL) != SQLITE_OK)
        return wrong(db, path);
    sqlite3_stmt *row = raw_prepare(db, insert_sql);
    bool good = row != NULL;
    if (good) {
        unsigned char id[16] = {1, 2, 3, 4, 5, 6, 0x70, 0, 0x80};
        memcpy(id + 9, &at_ms, 6);
        sqlite3_bind_int64(row, AT + 1, at_ms);
        sqlite3_bind_blob(row, ID + 1, id, 16, SQLITE_STATIC);
        sqlite3_bind_int(row, KIND + 1, KIND_DRAW);
        sqlite3_bind_int(row, ZONE + 1, 60);
        sqlite3_bind_text(row, OTHER + 1, "galley", -1, SQLITE_STATIC);
        sqlite3_bind_int64(row, N1 + 1, 100);
        good = sqlite3_step(row) == SQLITE_DONE || wrong(db, "insert");
    }
    sqlite3_finalize(row);
    sqlite3_close(db);
    return good;
}

bool raw_same(const char *path, const char *other)
{
    static const char words[] =
        "SELECT (SELECT count(*) FROM main.entry)=(SELECT count(*) FROM b.entry) AND NOT EXISTS("
        "SELECT 1 FROM main.entry m LEFT JOIN b.entry o ON o.at=m.at AND o.id=m.id WHERE"
        " (o.kind,o.zone,o.name,o.other,o.n1,o.n2,o.code,o.more,o.note) IS NOT"
        " (m.kind,m.zone,m.name,m.other,m.n1,m.n2,m.code,m.more,m.note))";
    sqlite3 *db = raw_open(path, SQLITE_OPEN_READWRITE);
    sqlite3_stmt *attach = db != NULL ? raw_prepare(db, "ATTACH ?1 AS b") : NULL;
    bool good = attach != NULL;
    if (good) {
        sqlite3_bind_text(attach, 1, other, -1, SQLITE_STATIC);
        good = sqlite3_step(attach) == SQLITE_DONE || wrong(db, other);
    }
    sqlite3_finalize(attach);
    sqlite3_stmt *row = good ? raw_prepare(db, words) : NULL;
    good = row != NULL && sqlite3_step(row) == SQLITE_ROW && sqlite3_column_int(row, 0) == 1;
    if (!good)
        fprintf(stderr, "raw: %s and %s differ in their entries\n", path, other);
    sqlite3_finalize(row);
    sqlite3_close(db);
    return good;
}
