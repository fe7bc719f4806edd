/* raw_text.c - rows from JSON Lines and CSV and back, by hand: what is known of the season is taken
 * for granted (well-formed lines, no escapes), names are looked up by hash, nothing is checked. */
#include "raw_inside.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

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
    {KIND_DRAW, "vessel", NAME, V_TEXT, NULL},
    {KIND_DRAW, "line", OTHER, V_TEXT, NULL},
    {KIND_DRAW, "litres", N1, V_THOUSANDTHS, NULL},
    {KIND_DRAW, "purpose", CODE, V_WORD, purposes},
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
enum { PLACES = sizeof places / sizeof *places };

/* ---- names, by hash: 0 is none ---- */

enum { SLOTS = 1024, KINDS = 32 };
static uint8_t place_slots[SLOTS], kind_slots[SLOTS];
static const char *kind_names[KINDS];
static uint8_t first_place[KINDS], place_count[KINDS];

static uint32_t hash(uint32_t h, const char *s, size_t n)
{
    for (size_t i = 0; i < n; i++)
        h = (h ^ (unsigned char)s[i]) * 16777619u;
    return h ^ h >> 15;
}

static void slots_fill(void)
{
    if (kind_names[KIND_DRAW] != NULL)
        return;
    for (size_t i = 0; i < sizeof kind_words / sizeof *kind_words; i++) {
        uint32_t at = hash(7, kind_words[i].word, strlen(kind_words[i].word)) % SLOTS;
        while (kind_slots[at] != 0)
            at = (at + 1) % SLOTS;
        kind_slots[at] = (uint8_t)kind_words[i].kind;
        kind_names[kind_words[i].kind] = kind_words[i].word;
    }
    for (int i = PLACES - 1; i >= 0; i--) {
        uint32_t at = hash((uint32_t)places[i].kind, places[i].key, strlen(places[i].key)) % SLOTS;
        while (place_slots[at] != 0)
            at = (at + 1) % SLOTS;
        place_slots[at] = (uint8_t)(i + 1);
        first_place[places[i].kind] = (uint8_t)i;
        place_count[places[i].kind]++;
    }
}

static int kind_of_word(const char *s, size_t n)
{
    for (uint32_t at = hash(7, s, n) % SLOTS; kind_slots[at] != 0; at = (at + 1) % SLOTS)
        if (strlen(kind_names[kind_slots[at]]) == n &&
            memcmp(kind_names[kind_slots[at]], s, n) == 0)
            return kind_slots[at];
    return 0;
}

static const Place *place_of(int kind, const char *key, size_t n)
{
    for (uint32_t at = hash((uint32_t)kind, key, n) % SLOTS; place_slots[at] != 0;
         at = (at + 1) % SLOTS) {
        const Place *p = &places[place_slots[at] - 1];
        if (p->kind == kind && strlen(p->key) == n && memcmp(p->key, key, n) == 0)
            return p;
    }
    return NULL;
}

/* ---- values: each ends where its text does, at a byte that is none of it ---- */

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

void raw_id(const char *s, unsigned char id[16])
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

static int64_t number_of(const Place *place, const char *s, size_t n)
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
            if (strncmp(s, place->choices[i], n) == 0 && place->choices[i][n] == '\0')
                return i;
        return -1;
    }
}

/* ---- rows in ---- */

typedef struct {
    const char *key, *value;
    size_t key_size, size;
} Pair;

typedef struct {
    sqlite3 *db;
    sqlite3_stmt *insert;
    char more[2048];
    size_t more_used;
} Load;

static void put(Load *load, const char *s, size_t n)
{
    memcpy(load->more + load->more_used, s, n);
    load->more_used += n;
}

static void more_add(Load *load, const Place *place, const char *s, size_t n)
{
    char number[24] = {0};
    put(load, load->more_used == 0 ? "{\"" : ",\"", 2);
    put(load, place->key, strlen(place->key));
    put(load, "\":", 2);
    if (place->type == V_LIST && *s != '[') {
        const char *end = s + n;
        put(load, "[", 1);
        while (s < end) {
            const size_t cut = strcspn(s, ";,\r\n\"");
            put(load, "\"", 1);
            put(load, s, cut);
            s += cut + 1;
            put(load, s < end ? "\"," : "\"", s < end ? 2 : 1);
        }
        put(load, "]", 1);
    } else if (place->type == V_LIST) {
        put(load, s, n);
    } else if (place->type == V_TEXT) {
        put(load, "\"", 1);
        put(load, s, n);
        put(load, "\"", 1);
    } else {
        put(load, number,
            (size_t)snprintf(number, sizeof number, "%lld", (long long)number_of(place, s, n)));
    }
}

static void bind(Load *load, const Place *place, const char *s, size_t n)
{
    if (place->column == MORE)
        more_add(load, place, s, n);
    else if (place->type == V_TEXT)
        sqlite3_bind_text(load->insert, place->column + 1, s, (int)n, SQLITE_STATIC);
    else
        sqlite3_bind_int64(load->insert, place->column + 1, number_of(place, s, n));
}

static void bind_key(Load *load, const unsigned char id[16], const char *at, int kind)
{
    int zone;
    sqlite3_clear_bindings(load->insert);
    sqlite3_bind_int64(load->insert, AT + 1, time_of(at, &zone));
    sqlite3_bind_blob(load->insert, ID + 1, id, 16, SQLITE_STATIC);
    sqlite3_bind_int(load->insert, KIND + 1, kind);
    sqlite3_bind_int(load->insert, ZONE + 1, zone);
    load->more_used = 0;
}

static bool insert(Load *load)
{
    if (load->more_used > 0) {
        put(load, "}", 1);
        sqlite3_bind_text(load->insert, MORE + 1, load->more, (int)load->more_used, SQLITE_STATIC);
    }
    int rc = sqlite3_step(load->insert);
    sqlite3_reset(load->insert);
    return rc == SQLITE_DONE || raw_wrong(load->db, "insert");
}

/* The permanent tables of src/store/schema.c, without their comments. */
static const char schema[] =
    "CREATE TABLE entry(at INTEGER NOT NULL, id BLOB NOT NULL CHECK(length(id)=16),"
    " kind INTEGER NOT NULL, zone INTEGER NOT NULL, name TEXT, other TEXT, n1 INTEGER, n2 INTEGER,"
    " code INTEGER, more TEXT, note TEXT, PRIMARY KEY(at,id)) STRICT, WITHOUT ROWID;"
    "CREATE TRIGGER entry_stays BEFORE UPDATE ON entry BEGIN SELECT RAISE(ABORT,'no'); END;"
    "CREATE TRIGGER entry_remains BEFORE DELETE ON entry BEGIN SELECT RAISE(ABORT,'no'); END;";

static bool load_begin(Load *load, const char *path)
{
    memset(load, 0, sizeof *load);
    slots_fill();
    load->db = raw_open(path, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE);
    if (load->db == NULL)
        return false;
    if (sqlite3_exec(load->db, "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL", NULL, NULL,
                     NULL) != SQLITE_OK ||
        sqlite3_exec(load->db, schema, NULL, NULL, NULL) != SQLITE_OK ||
        sqlite3_exec(load->db, "BEGIN IMMEDIATE", NULL, NULL, NULL) != SQLITE_OK)
        return raw_wrong(load->db, path);
    load->insert = raw_prepare(load->db, RAW_INSERT);
    return load->insert != NULL;
}

static bool load_end(Load *load, bool good)
{
    sqlite3_finalize(load->insert);
    if (good && sqlite3_exec(load->db, "COMMIT", NULL, NULL, NULL) != SQLITE_OK)
        good = raw_wrong(load->db, "commit");
    sqlite3_close(load->db);
    return good;
}

enum { PAIRS_MAX = 64 };

/* {"key":value,...} without blanks and escapes. */
static int json_pairs(const char *s, Pair *pairs)
{
    int count = 0;
    while (*s != '}' && *s != '\0' && count < PAIRS_MAX) {
        Pair *p = &pairs[count++];
        p->key = s += 2;
        s = strchr(s, '"');
        p->key_size = (size_t)(s - p->key);
        s += 2;
        const bool text = *s == '"';
        p->value = s += text;
        s = strchr(s, text ? '"' : *s == '[' ? ']' : ',');
        if (s == NULL) /* the last one: up to the bracket */
            s = p->value + strcspn(p->value, "}");
        s += *p->value == '[';
        p->size = (size_t)(s - p->value);
        if (!text && p->size > 0 && s[-1] == '}')
            p->size = (size_t)(--s - p->value);
        s += text;
    }
    return count;
}

static bool json_line(Load *load, const char *line)
{
    Pair pairs[PAIRS_MAX];
    unsigned char id[16];
    const int count = json_pairs(line, pairs);
    if (count < 3)
        return raw_wrong(load->db, "a line is too short");
    /* id, at and kind come first in a season, and in whatever was exported */
    const int kind = kind_of_word(pairs[2].value, pairs[2].size);
    raw_id(pairs[0].value, id);
    bind_key(load, id, pairs[1].value, kind);
    for (int i = 3; i < count; i++) {
        const Pair *p = &pairs[i];
        const Place *place = place_of(kind, p->key, p->key_size);
        if (place != NULL)
            bind(load, place, p->value, p->size);
        else
            sqlite3_bind_text(load->insert, NOTE + 1, p->value, (int)p->size, SQLITE_STATIC);
    }
    return insert(load);
}

bool raw_import_json(const char *path, const char *lines_path)
{
    Load load;
    FILE *file = fopen(lines_path, "r");
    char *line = NULL;
    size_t room = 0;
    if (file == NULL)
        return raw_wrong(NULL, lines_path);
    bool good = load_begin(&load, path);
    while (good && getline(&line, &room, file) > 0)
        good = json_line(&load, line);
    free(line);
    fclose(file);
    return load_end(&load, good);
}

/* Cuts a record into cells. Quoted cells lose their quotes; doubled quotes and a line break in a
 * cell are beyond this reader and not in the season. */
static int csv_cells(const char *s, Pair *cells, int max)
{
    int count = 0;
    for (;; s++) {
        const bool quoted = *s == '"';
        const char *begin = s += quoted;
        while (quoted ? *s != '"' : *s != ',' && *s != '\r' && *s != '\n' && *s != '\0')
            s++;
        cells[count].value = begin;
        cells[count++].size = (size_t)(s - begin);
        s += quoted;
        if (*s != ',' || count == max)
            return count;
    }
}

typedef struct {
    int columns[PLACES]; /* of each place; -1: none */
    int count, id, at, kind, note;
} Header;

static void header_read(Header *h, const char *line)
{
    Pair names[PAIRS_MAX];
    h->count = csv_cells(line, names, PAIRS_MAX);
    memset(h->columns, -1, sizeof h->columns);
    for (int i = 0; i < h->count; i++) {
        const char *s = names[i].value;
        const size_t n = names[i].size;
        h->id = n == 2 && memcmp(s, "id", n) == 0 ? i : h->id;
        h->at = n == 2 && memcmp(s, "at", n) == 0 ? i : h->at;
        h->kind = n == 4 && memcmp(s, "kind", n) == 0 ? i : h->kind;
        h->note = n == 4 && memcmp(s, "note", n) == 0 ? i : h->note;
        for (int k = 1; k < KINDS; k++) {
            const Place *place = place_of(k, s, n);
            if (place != NULL)
                h->columns[place - places] = i;
        }
    }
}

static bool csv_line(Load *load, const Header *h, const char *line)
{
    Pair cells[PAIRS_MAX];
    unsigned char id[16];
    const int found = csv_cells(line, cells, PAIRS_MAX);
    if (found != h->count)
        return raw_wrong(load->db, "a record is too short");
    const int kind = kind_of_word(cells[h->kind].value, cells[h->kind].size);
    raw_id(cells[h->id].value, id);
    bind_key(load, id, cells[h->at].value, kind);
    for (int i = first_place[kind]; i < first_place[kind] + place_count[kind]; i++) {
        const Pair *cell = &cells[h->columns[i] < 0 ? h->note : h->columns[i]];
        if (h->columns[i] >= 0 && cell->size > 0)
            bind(load, &places[i], cell->value, cell->size);
    }
    if (cells[h->note].size > 0)
        sqlite3_bind_text(load->insert, NOTE + 1, cells[h->note].value, (int)cells[h->note].size,
                          SQLITE_STATIC);
    return insert(load);
}

bool raw_import_csv(const char *path, const char *csv_path)
{
    static Header header;
    Load load;
    FILE *file = fopen(csv_path, "r");
    char *line = NULL;
    size_t room = 0;
    if (file == NULL)
        return raw_wrong(NULL, csv_path);
    bool good = load_begin(&load, path) && getline(&line, &room, file) > 0;
    if (good)
        header_read(&header, line);
    while (good && getline(&line, &room, file) > 0)
        good = csv_line(&load, &header, line);
    free(line);
    fclose(file);
    return load_end(&load, good);
}

/* ---- rows out ---- */

static char *digits(char *out, int64_t n, int width)
{
    for (int i = width - 1; i >= 0; i--, n /= 10)
        out[i] = (char)('0' + n % 10);
    return out + width;
}

/* Days to a civil date in eras of 400 years. */
static char *time_put(char *out, int64_t ms, int zone, bool utc)
{
    const int64_t t = ms + zone * INT64_C(60000), rest = t % 86400000;
    const int64_t z = t / 86400000 + 719468, era = z / 146097, doe = z % 146097;
    const int64_t yoe = (doe - doe / 1460 + doe / 36524 - doe / 146096) / 365;
    const int64_t doy = doe - (365 * yoe + yoe / 4 - yoe / 100), mp = (5 * doy + 2) / 153;
    const int64_t month = mp < 10 ? mp + 3 : mp - 9;
    out = digits(out, yoe + era * 400 + (month <= 2), 4);
    *out++ = '-';
    out = digits(out, month, 2);
    *out++ = '-';
    out = digits(out, doy - (153 * mp + 2) / 5 + 1, 2);
    *out++ = 'T';
    out = digits(out, rest / 3600000, 2);
    *out++ = ':';
    out = digits(out, rest / 60000 % 60, 2);
    *out++ = ':';
    out = digits(out, rest / 1000 % 60, 2);
    if (rest % 1000 != 0) {
        *out++ = '.';
        out = digits(out, rest % 1000, 3);
    }
    if (utc) {
        *out++ = 'Z';
        return out;
    }
    *out++ = zone < 0 ? '-' : '+';
    out = digits(out, abs(zone) / 60, 2);
    *out++ = ':';
    return digits(out, abs(zone) % 60, 2);
}

static char *text_put(char *out, const char *s, size_t n)
{
    memcpy(out, s, n);
    return out + n;
}

static char *words_put(char *out, const char *s)
{
    return text_put(out, s, strlen(s));
}

static char *id_put(char *out, const unsigned char *id)
{
    static const char hexes[] = "0123456789abcdef";
    for (int i = 0; i < 16; i++) {
        if (i == 4 || i == 6 || i == 8 || i == 10)
            *out++ = '-';
        *out++ = hexes[id[i] >> 4];
        *out++ = hexes[id[i] & 15];
    }
    return out;
}

static char *whole_put(char *out, int64_t n)
{
    char back[24] = {0};
    int used = 0;
    if (n < 0)
        *out++ = '-';
    for (n = n < 0 ? -n : n; n > 0 || used == 0; n /= 10)
        back[used++] = (char)('0' + n % 10);
    while (used > 0)
        *out++ = back[--used];
    return out;
}

static char *value_put(char *out, const Place *p, int64_t n)
{
    if (p->type == V_WHOLE)
        return whole_put(out, n);
    if (p->type == V_FLAG)
        return words_put(out, n != 0 ? "true" : "false");
    if (p->type == V_THOUSANDTHS) {
        if (n < 0)
            *out++ = '-';
        n = n < 0 ? -n : n;
        out = whole_put(out, n / 1000);
        if (n % 1000 != 0) {
            *out++ = '.';
            out = digits(out, n % 1000, 3);
            while (out[-1] == '0')
                out--;
        }
        return out;
    }
    *out++ = '"';
    out = p->type == V_TIME ? time_put(out, n, 0, true) : words_put(out, p->choices[n]);
    *out++ = '"';
    return out;
}

/* ,"key":value of the rare column; it is JSON already but for numbers. */
static char *more_put(char *out, const Place *p, const char *more)
{
    char key[40];
    snprintf(key, sizeof key, "\"%s\":", p->key);
    const char *s = strstr(more, key);
    if (s == NULL)
        return out;
    *out++ = ',';
    out = words_put(out, key);
    s += strlen(key);
    if (p->type == V_LIST)
        return text_put(out, s, strcspn(s, "]") + 1);
    if (p->type == V_TEXT)
        return text_put(out, s, strcspn(s + 1, "\"") + 2);
    return value_put(out, p, strtoll(s, NULL, 10));
}

static char *column_put(char *out, const Place *p, sqlite3_stmt *row)
{
    if (p->column == MORE) {
        const unsigned char *more = sqlite3_column_text(row, MORE);
        return more != NULL ? more_put(out, p, (const char *)more) : out;
    }
    if (sqlite3_column_type(row, p->column) == SQLITE_NULL)
        return out;
    out = words_put(out, ",\"");
    out = words_put(out, p->key);
    out = words_put(out, "\":");
    if (p->type != V_TEXT)
        return value_put(out, p, sqlite3_column_int64(row, p->column));
    *out++ = '"';
    out = words_put(out, (const char *)sqlite3_column_text(row, p->column));
    *out++ = '"';
    return out;
}

static size_t line_put(char *line, sqlite3_stmt *row)
{
    const int kind = sqlite3_column_int(row, KIND);
    char *out = words_put(line, "{\"id\":\"");
    out = id_put(out, sqlite3_column_blob(row, ID));
    out = words_put(out, "\",\"at\":\"");
    out = time_put(out, sqlite3_column_int64(row, AT), sqlite3_column_int(row, ZONE), false);
    out = words_put(out, "\",\"kind\":\"");
    out = words_put(out, kind_names[kind]);
    *out++ = '"';
    for (int i = 0; i < place_count[kind]; i++)
        out = column_put(out, &places[first_place[kind] + i], row);
    const unsigned char *note = sqlite3_column_text(row, NOTE);
    if (note != NULL) {
        out = words_put(out, ",\"note\":\"");
        out = words_put(out, (const char *)note);
        *out++ = '"';
    }
    out = words_put(out, "}\n");
    return (size_t)(out - line);
}

bool raw_list(const char *path, const char *where, int64_t *rows)
{
    char line[8192], sql[512];
    sqlite3 *db = raw_open(path, SQLITE_OPEN_READWRITE);
    slots_fill();
    snprintf(sql, sizeof sql, "SELECT " RAW_COLUMNS ",note FROM entry WHERE %s ORDER BY at,id",
             where);
    sqlite3_stmt *row = db != NULL ? raw_prepare(db, sql) : NULL;
    int rc = SQLITE_ERROR;
    *rows = 0;
    while (row != NULL && (rc = sqlite3_step(row)) == SQLITE_ROW) {
        const size_t n = line_put(line, row);
        if (fwrite(line, 1, n, stdout) != n)
            rc = SQLITE_ERROR;
        ++*rows;
    }
    sqlite3_finalize(row);
    sqlite3_close(db);
    return rc == SQLITE_DONE && fflush(stdout) == 0;
}
