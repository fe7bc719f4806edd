#include "season.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#define BEGIN_MS INT64_C(1451606400000) /* 2016-01-01T00:00:00Z */
#define SPAN_MS INT64_C(315360000000)   /* ten years of 365 days */
#define PACE_ENTRIES INT64_C(50000) /* ten years are ten years: 13 or 14 entries a day, or more */
#define DAY_MS INT64_C(86400000)

enum { A1, A2, A3, A4, R1, W1, B1, VESSELS, LINE_VESSELS = 4 };
static const char *const vessel_names[VESSELS] = {"A1", "A2", "A3", "A4", "R1", "W1", "B1"};
static const char *const vessel_duties[VESSELS] = {"line",    "line", "line", "line",
                                                   "reserve", "wash", "store"};
static const int64_t capacities[VESSELS] = {12000, 12000, 12000, 12000, 12000, 15000, 10000};
enum { HEEL = 200 };

enum { SOURCES = 6, DOUBTFUL = 3, FOUL = 5 };
static const char *const source_names[SOURCES] = {"Holm tap",         "Skerrik jetty",
                                                  "Orvella stall",    "Ferrow spring",
                                                  "Brackenfold well", "Tarnlow inlet"};
static const char *const source_types[SOURCES] = {"mains",  "hose", "vendor",
                                                  "spring", "well", "lake"};
static const char *const source_classes[SOURCES] = {"potable",      "potable",      "potable",
                                                    "questionable", "questionable", "non-potable"};
static const char *const notes[] = {
    "Everything holds pressure.",        "Wind from the west, all quiet at the jetty.",
    "Coupling at A2 weeps a little.",    "The lamp flickered once and came back.",
    "Rinsed the jug, no smell.",         "Frost in the night, hoses drained in time.",
    "Queue at the stall, half an hour.", "Scale set back to zero, it was 40 g off."};
static const char *const purposes[] = {"drink", "cook", "dishes", "other"};

/* The columns of the CSV, in the order in which they are written. */
enum {
    C_ID,
    C_AT,
    C_KIND,
    C_VESSEL,
    C_LITRES,
    C_LEVEL,
    C_SOURCE,
    C_CLASS,
    C_LINE,
    C_PURPOSE,
    C_FROM,
    C_TO,
    C_TREATED,
    C_METHOD,
    C_RESIDUAL,
    C_MINUTES,
    C_TEMP,
    C_PH,
    C_ORDER,
    C_KPA,
    C_STAGE,
    C_COUNT,
    C_SECONDS,
    C_CAPACITY,
    C_HEEL,
    C_TARE,
    C_DUTY,
    C_TYPE,
    C_POSITION,
    C_LIFE_LITRES,
    C_LIFE_DAYS,
    C_LIFE_HOURS,
    C_LAMP,
    C_RATED,
    C_PERSONS,
    C_STOP,
    C_ETA,
    C_ENTRY,
    C_NOTE,
    COLUMNS
};
static const char *const column_names[COLUMNS] = {
    "id",        "at",         "kind",          "vessel",    "litres",   "level",
    "source",    "class",      "line",          "purpose",   "from",     "to",
    "treated",   "method",     "residual_mg_l", "minutes",   "temp_c",   "ph",
    "order",     "kpa",        "stage",         "count",     "seconds",  "capacity",
    "heel",      "tare_kg",    "duty",          "type",      "position", "life_litres",
    "life_days", "life_hours", "lamp",          "rated_lpm", "persons",  "stop",
    "eta",       "entry",      "note"};

enum { CELL_SIZE = 72 };
typedef struct {
    FILE *json, *csv;
    uint64_t dice;
    int64_t at, step, written, wanted;
    int64_t last_ms; /* of what is written; `at` runs on to the end of a moment of life */
    int64_t last_refill, last_flow, last_swap, last_clean, last_crew;
    int64_t level[VESSELS];
    char id[64], cells[COLUMNS][CELL_SIZE];
    char line[4096]; /* JSON of the entry that is being made */
    size_t used;
} Season;

/* SplitMix64: Steele, Lea, Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014. */
static uint64_t roll(Season *s)
{
    uint64_t z = s->dice += UINT64_C(0x9e3779b97f4a7c15);
    z = (z ^ z >> 30) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ z >> 27) * UINT64_C(0x94d049bb133111eb);
    return z ^ z >> 31;
}

static int64_t between(Season *s, int64_t low, int64_t high)
{
    return low + (int64_t)(roll(s) % (uint64_t)(high - low + 1));
}

/* Days to a civil date: the proleptic Gregorian calendar in eras of 400 years. */
static void print_time(int64_t ms, int zone, char *out, size_t size)
{
    int64_t t = ms + zone * INT64_C(60000);
    int64_t days = t / DAY_MS, rest = t % DAY_MS;
    int64_t z = days + 719468, era = z / 146097, doe = z % 146097;
    int64_t yoe = (doe - doe / 1460 + doe / 36524 - doe / 146096) / 365;
    int64_t doy = doe - (365 * yoe + yoe / 4 - yoe / 100), mp = (5 * doy + 2) / 153;
    int64_t day = doy - (153 * mp + 2) / 5 + 1, month = mp < 10 ? mp + 3 : mp - 9;
    int64_t year = yoe + era * 400 + (month <= 2);
    snprintf(out, size,
             "%04" PRId64 "-%02" PRId64 "-%02" PRId64 "T%02" PRId64 ":%02" PRId64 ":%02" PRId64
             ".%03" PRId64 "+%02d:%02d",
             year, month, day, rest / 3600000, rest / 60000 % 60, rest / 1000 % 60, rest % 1000,
             zone / 60, zone % 60);
}

static int zone_at(int64_t ms)
{
    int64_t day = ms / DAY_MS % 365; /* near enough to summer time */
    return day > 88 && day < 300 ? 120 : 60;
}

static void cell(Season *s, int column, const char *text, bool quoted)
{
    snprintf(s->cells[column], CELL_SIZE, "%s", text);
    s->used +=
        (size_t)snprintf(s->line + s->used, sizeof s->line - s->used,
                         quoted ? ",\"%s\":\"%s\"" : ",\"%s\":%s", column_names[column], text);
}

static void words(Season *s, int column, const char *text)
{
    cell(s, column, text, true);
}

/* Thousandths as the shortest decimal. */
static void amount(Season *s, int column, int64_t thousandths)
{
    char text[40];
    int n = snprintf(text, sizeof text, "%" PRId64 ".%03" PRId64, thousandths / 1000,
                     thousandths % 1000);
    while (text[n - 1] == '0')
        text[--n] = '\0';
    if (text[n - 1] == '.')
        text[--n] = '\0';
    cell(s, column, text, false);
}

static void number(Season *s, int column, int64_t n)
{
    char text[24];
    snprintf(text, sizeof text, "%" PRId64, n);
    cell(s, column, text, false);
}

static void begin(Season *s, const char *kind)
{
    uint64_t a = roll(s), b = roll(s);
    char at[64];
    s->at += 1 + (int64_t)(roll(s) % (uint64_t)(2 * s->step));
    memset(s->cells, 0, sizeof s->cells);
    snprintf(s->id, sizeof s->id,
             "%08" PRIx64 "-%04" PRIx64 "-7%03" PRIx64 "-%04" PRIx64 "-%012" PRIx64,
             (uint64_t)s->at >> 16, (uint64_t)s->at & 0xffff, a & 0xfff,
             0x8000 | (a >> 12 & 0x3fff), b & UINT64_C(0xffffffffffff));
    print_time(s->at, zone_at(s->at), at, sizeof at);
    snprintf(s->cells[C_ID], CELL_SIZE, "%s", s->id);
    snprintf(s->cells[C_AT], CELL_SIZE, "%s", at);
    snprintf(s->cells[C_KIND], CELL_SIZE, "%s", kind);
    s->used = (size_t)snprintf(s->line, sizeof s->line,
                               "{\"id\":\"%s\",\"at\":\"%s\",\"kind\":\"%s\"", s->id, at, kind);
}

static void end(Season *s)
{
    if (s->written >= s->wanted)
        return;
    s->written++;
    s->last_ms = s->at;
    if (s->json != NULL)
        fprintf(s->json, "%s}\n", s->line);
    if (s->csv == NULL)
        return;
    for (int i = 0; i < COLUMNS; i++) {
        const char *text = s->cells[i];
        if (i > 0)
            putc(',', s->csv);
        fprintf(s->csv, strchr(text, ',') != NULL ? "\"%s\"" : "%s", text);
    }
    fputs("\r\n", s->csv);
}

/* ---- what happens ---- */

static void fill(Season *s, int vessel, int64_t source)
{
    begin(s, "fill");
    words(s, C_VESSEL, vessel_names[vessel]);
    if (between(s, 0, 3) > 0) {
        amount(s, C_LEVEL, capacities[vessel]);
    } else {
        int64_t litres = capacities[vessel] - s->level[vessel];
        amount(s, C_LITRES, litres > 0 ? litres : 1);
    }
    words(s, C_SOURCE, source_names[source]);
    end(s);
    s->level[vessel] = capacities[vessel];
}

static void treat(Season *s, int vessel)
{
    begin(s, "treat");
    words(s, C_VESSEL, vessel_names[vessel]);
    words(s, C_METHOD, "chlorine");
    amount(s, C_RESIDUAL, between(s, 2, 12) * 100);
    amount(s, C_MINUTES, 30000);
    amount(s, C_TEMP, between(s, 4, 24) * 1000);
    amount(s, C_PH, between(s, 66, 80) * 100);
    end(s);
}

static void pressurise(Season *s)
{
    begin(s, "pressurise");
    words(s, C_LINE, "galley");
    amount(s, C_KPA, between(s, 262, 290) * 1000);
    end(s);
}

static void set_up(Season *s)
{
    static const char *const stages[] = {"sediment", "carbon", "lamp"};
    static const char *const types[] = {"sediment", "carbon-block", "uv"};
    for (int i = 0; i < VESSELS; i++) {
        begin(s, "vessel");
        words(s, C_VESSEL, vessel_names[i]);
        amount(s, C_CAPACITY, capacities[i]);
        amount(s, C_HEEL, HEEL);
        amount(s, C_TARE, 3100);
        words(s, C_DUTY, vessel_duties[i]);
        words(s, C_CLASS, i == W1 ? "non-potable" : i == B1 ? "questionable" : "potable");
        end(s);
    }
    for (int i = 0; i < SOURCES; i++) {
        begin(s, "source");
        words(s, C_SOURCE, source_names[i]);
        words(s, C_TYPE, source_types[i]);
        words(s, C_CLASS, source_classes[i]);
        end(s);
    }
    begin(s, "couple");
    words(s, C_LINE, "galley");
    s->used += (size_t)snprintf(s->line + s->used, sizeof s->line - s->used,
                                ",\"order\":[\"A1\",\"A2\",\"A3\",\"A4\"]");
    snprintf(s->cells[C_ORDER], CELL_SIZE, "A1;A2;A3;A4");
    end(s);
    for (int i = 0; i < 3; i++) {
        begin(s, "stage");
        words(s, C_STAGE, stages[i]);
        words(s, C_TYPE, types[i]);
        words(s, C_LINE, "galley");
        number(s, C_POSITION, i + 1);
        if (i < 2)
            amount(s, C_LIFE_LITRES, i == 0 ? 600000 : 2000000);
        number(s, C_LIFE_DAYS, i == 2 ? 365 : 180);
        if (i == 2) {
            amount(s, C_LIFE_HOURS, 9000000);
            words(s, C_LAMP, "always");
        }
        amount(s, C_RATED, 3800);
        end(s);
        begin(s, "spares");
        words(s, C_STAGE, stages[i]);
        number(s, C_COUNT, 2);
        end(s);
    }
    begin(s, "crew");
    number(s, C_PERSONS, 4);
    end(s);
    for (int i = 0; i < VESSELS; i++)
        fill(s, i, i == W1 ? FOUL : i == B1 ? DOUBTFUL : 0);
    pressurise(s);
    s->last_refill = s->last_flow = s->last_swap = s->last_clean = s->last_crew = s->at;
}

static int64_t line_usable(const Season *s)
{
    int64_t usable = 0;
    for (int i = 0; i < LINE_VESSELS; i++)
        usable += s->level[i] > HEEL ? s->level[i] - HEEL : 0;
    return usable;
}

static int lead(const Season *s)
{
    int i = 0;
    while (i < LINE_VESSELS - 1 && s->level[i] <= HEEL)
        i++;
    return i;
}

static void draw_line(Season *s)
{
    int64_t ml = between(s, 1, 12) * 20;
    begin(s, "draw");
    words(s, C_LINE, "galley");
    amount(s, C_LITRES, ml);
    words(s, C_PURPOSE, purposes[between(s, 0, 3)]);
    if (between(s, 0, 99) == 0)
        words(s, C_NOTE, notes[between(s, 0, 7)]);
    end(s);
    if (between(s, 0, 299) == 0) { /* logged twice, say: taken back */
        char wrong[64];
        memcpy(wrong, s->id, sizeof wrong);
        begin(s, "void");
        words(s, C_ENTRY, wrong);
        end(s);
        return;
    }
    for (int i = lead(s); ml > 0 && i < LINE_VESSELS; i++) {
        const int64_t give = s->level[i] - HEEL < ml ? s->level[i] - HEEL : ml;
        if (give > 0) {
            s->level[i] -= give;
            ml -= give;
        }
    }
}

static void refill(Season *s)
{
    char eta[64];
    int64_t source =
        between(s, 0, 9) < 8 ? between(s, 0, DOUBTFUL - 1) : between(s, DOUBTFUL, FOUL - 1);
    begin(s, "stop");
    words(s, C_STOP, source_names[source]);
    print_time(s->at + DAY_MS / 12, zone_at(s->at), eta, sizeof eta);
    words(s, C_ETA, eta);
    end(s);
    for (int i = 0; i < LINE_VESSELS; i++)
        fill(s, i, source);
    for (int i = 0; i < LINE_VESSELS && source >= DOUBTFUL; i++)
        treat(s, i);
    if (between(s, 0, 3) > 0) { /* some are forgotten */
        begin(s, "unstop");
        words(s, C_STOP, source_names[source]);
        end(s);
    }
    pressurise(s);
    s->last_refill = s->at;
}

static void sound(Season *s)
{
    int i = lead(s);
    int64_t level = s->level[i] - between(s, 0, 60);
    begin(s, "sound");
    words(s, C_VESSEL, vessel_names[i]);
    amount(s, C_LEVEL, level > 0 ? level : 0);
    end(s);
    s->level[i] = level > 0 ? level : 0;
}

static void draw_wash(Season *s)
{
    int64_t ml = between(s, 4, 40) * 25;
    if (s->level[W1] - HEEL < ml) {
        fill(s, W1, FOUL);
        return;
    }
    begin(s, "draw");
    words(s, C_VESSEL, "W1");
    amount(s, C_LITRES, ml);
    words(s, C_PURPOSE, "wash");
    end(s);
    s->level[W1] -= ml;
}

static void decant(Season *s)
{
    int64_t room = capacities[A1] - s->level[A1];
    int64_t ml = between(s, 2, 6) * 500;
    if (s->level[B1] < ml) {
        fill(s, B1, between(s, DOUBTFUL, FOUL - 1));
        return;
    }
    if (room < ml)
        return;
    begin(s, "decant");
    words(s, C_FROM, "B1");
    words(s, C_TO, "A1");
    amount(s, C_LITRES, ml);
    cell(s, C_TREATED, "true", false);
    end(s);
    s->level[B1] -= ml;
    s->level[A1] += ml;
}

static void upkeep(Season *s)
{
    if (s->at - s->last_flow > 14 * DAY_MS) {
        begin(s, "flowtest");
        words(s, C_LINE, "galley");
        amount(s, C_LITRES, 1000);
        amount(s, C_SECONDS, between(s, 140, 200) * 100);
        end(s);
        s->last_flow = s->at;
    }
    if (s->at - s->last_swap > 40 * DAY_MS) {
        begin(s, "swap");
        words(s, C_STAGE, between(s, 0, 3) > 0 ? "sediment" : "carbon");
        end(s);
        begin(s, "spares");
        words(s, C_STAGE, "sediment");
        number(s, C_COUNT, 2);
        end(s);
        s->last_swap = s->at;
    }
    if (s->at - s->last_clean > 180 * DAY_MS) {
        begin(s, "dump");
        words(s, C_VESSEL, "R1");
        end(s);
        begin(s, "sanitise");
        words(s, C_VESSEL, "R1");
        end(s);
        s->level[R1] = 0;
        fill(s, R1, 0);
        s->last_clean = s->at;
    }
    if (s->at - s->last_crew > 20 * DAY_MS) {
        begin(s, "crew");
        number(s, C_PERSONS, between(s, 2, 4));
        end(s);
        s->last_crew = s->at;
    }
}

static void moment_of_life(Season *s)
{
    int64_t what = between(s, 0, 999);
    if (line_usable(s) < 6000)
        refill(s);
    else if (what < 900)
        draw_line(s);
    else if (what < 945)
        draw_wash(s);
    else if (what < 975)
        sound(s);
    else if (what < 977)
        decant(s);
    else if (what < 990) {
        begin(s, "note");
        words(s, C_NOTE, notes[between(s, 0, 7)]);
        end(s);
    } else
        upkeep(s);
}

static bool finish(FILE *file, const char *path)
{
    bool good = file == NULL || (ferror(file) == 0);
    if (file != NULL && fclose(file) != 0)
        good = false;
    if (!good)
        fprintf(stderr, "%s can't be written.\n", path);
    return good;
}

bool season_write(int64_t n, const char *json_path, const char *csv_path, int64_t *last_ms)
{
    Season s = {.dice = 20160101, .at = BEGIN_MS, .wanted = n};
    s.step = SPAN_MS / (n > PACE_ENTRIES ? n : PACE_ENTRIES);
    s.json = json_path != NULL ? fopen(json_path, "w") : NULL;
    s.csv = csv_path != NULL ? fopen(csv_path, "w") : NULL;
    bool good = (json_path == NULL || s.json != NULL) && (csv_path == NULL || s.csv != NULL);
    if (!good)
        fprintf(stderr, "%s can't be made.\n", s.json == NULL ? json_path : csv_path);
    if (s.csv != NULL) {
        for (int i = 0; i < COLUMNS; i++)
            fprintf(s.csv, "%s%s", i > 0 ? "," : "", column_names[i]);
        fputs("\r\n", s.csv);
    }
    if (good)
        set_up(&s);
    while (good && s.written < n)
        moment_of_life(&s);
    *last_ms = s.last_ms;
    return finish(s.json, json_path) && finish(s.csv, csv_path) && good;
}
