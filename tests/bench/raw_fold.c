/* raw_fold.c - a plain fold: what a programmer would write for one boat with one line, in one file.
 * Levels, classes, well-mixed ages downstream of the lead (domain of the program, section 4),
 * litres through the stages, use by day. No discrepancies, no grades, no reserve, no moves of water
 * under pressure. */
#include "raw_inside.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { VESSELS = 16, STAGES = 16, DAYS = 64 };

typedef struct {
    Label name;
    int64_t capacity, heel, volume, cleaned, sounded;
    int quality;
    double mean; /* mean fill time, ms */
} Vessel;

typedef struct {
    Vessel vessels[VESSELS];
    int count, order[VESSELS], coupled, stages, crew;
    Label stage_names[STAGES];
    int64_t litres[STAGES], fitted[STAGES], used[DAYS];
} Boat;

static Vessel *vessel_of(Boat *b, const Label *name)
{
    for (int i = 0; i < b->count; i++)
        if (memcmp(&b->vessels[i].name, name, sizeof *name) == 0)
            return &b->vessels[i];
    if (b->count == VESSELS)
        return NULL;
    Vessel *v = &b->vessels[b->count++];
    *v = (Vessel){.name = *name, .quality = 1};
    return v;
}

static int64_t more_number(const char *more, const char *key, int64_t none)
{
    const char *at = strstr(more, key);
    return at != NULL ? strtoll(at + strlen(key), NULL, 10) : none;
}

static int64_t usable(const Vessel *v)
{
    return v->volume > v->heel ? v->volume - v->heel : 0;
}

static int worst(int a, int b)
{
    return a > b ? a : b;
}

/* One vessel as the lead gives `ml` through those after it: s(v) by the exact solution for each in
 * turn. */
static void push(Boat *b, int lead, int64_t ml)
{
    double from = b->vessels[b->order[lead]].mean;
    int quality = b->vessels[b->order[lead]].quality;
    for (int j = lead + 1; j < b->coupled; j++) {
        Vessel *v = &b->vessels[b->order[j]];
        const double was = v->mean;
        if (v->volume > 0) {
            const double kept = exp(-(double)ml / (double)v->volume);
            v->mean = from + (was - from) * kept;
            /* what came out on the way, as it was on the mean */
            from = from + (was - from) * (1 - kept) * (double)v->volume / (double)ml;
        }
        quality = worst(quality, v->quality);
        v->quality = quality;
    }
}

static void draw_line(Boat *b, const Event *e)
{
    int64_t left = e->u.draw.litres;
    for (int i = 0; i < b->coupled && left > 0; i++) {
        Vessel *v = &b->vessels[b->order[i]];
        const int64_t give = usable(v) < left ? usable(v) : left;
        if (give == 0)
            continue;
        v->volume -= give;
        left -= give;
        push(b, i, give);
    }
    for (int i = 0; i < b->stages; i++)
        b->litres[i] += e->u.draw.litres - left;
}

static void pour(Vessel *v, int64_t ml, int quality, double mean)
{
    if (ml > v->capacity - v->volume)
        v->volume = ml < v->capacity ? v->capacity - ml : 0;
    if (v->volume + ml > 0)
        v->mean = (v->mean * (double)v->volume + mean * (double)ml) / (double)(v->volume + ml);
    v->volume += ml;
    v->quality = worst(v->quality, quality);
}

static void fill(Boat *b, const Event *e)
{
    Vessel *v = vessel_of(b, &e->u.fill.vessel);
    if (v == NULL)
        return;
    int64_t ml = (e->has & 2) != 0 ? e->u.fill.litres : e->u.fill.level - v->volume;
    pour(v, ml > 0 ? ml : 0, (e->has & 16) != 0 ? (int)e->u.fill.quality : 0, (double)e->at.ms);
    if (v->volume == v->capacity)
        v->sounded = e->at.ms;
}

static void couple(Boat *b, const char *more)
{
    b->coupled = 0;
    for (const char *s = strchr(more, '['); s != NULL && (s = strchr(s, '"')) != NULL; s++) {
        const size_t n = strcspn(++s, "\"");
        Label name = {{0}};
        memcpy(name.s, s, n < LABEL_MAX ? n : LABEL_MAX);
        Vessel *v = vessel_of(b, &name);
        if (v != NULL && b->coupled < VESSELS)
            b->order[b->coupled++] = (int)(v - b->vessels);
        s += n;
    }
}

static int stage_of(Boat *b, const Label *name)
{
    int i = 0;
    while (i < b->stages && memcmp(&b->stage_names[i], name, sizeof *name) != 0)
        i++;
    if (i == b->stages && b->stages < STAGES)
        b->stage_names[b->stages++] = *name;
    return i < STAGES ? i : 0;
}

static void apply(Boat *b, const Event *e, const char *more)
{
    Vessel *v, *to;
    int64_t *day = &b->used[e->at.ms / INT64_C(86400000) % DAYS];
    switch (e->kind) {
    case KIND_VESSEL:
        v = vessel_of(b, &e->u.spares.stage);
        if (v != NULL) {
            v->capacity = e->u.spares.count;
            v->heel = more_number(more, "\"heel\":", 0);
            v->quality = (int)more_number(more, "\"class\":", 1);
        }
        break;
    case KIND_COUPLE:
        couple(b, more);
        break;
    case KIND_FILL:
        fill(b, e);
        break;
    case KIND_DRAW:
        *day += e->u.draw.litres;
        if ((e->has & 2) != 0)
            draw_line(b, e);
        else if ((v = vessel_of(b, &e->u.draw.vessel)) != NULL)
            v->volume -= e->u.draw.litres < v->volume ? e->u.draw.litres : v->volume;
        break;
    case KIND_SOUND:
        v = vessel_of(b, &e->u.sound.vessel);
        if (v != NULL) {
            *day += v->volume > e->u.sound.level ? v->volume - e->u.sound.level : 0;
            v->volume = e->u.sound.level;
            v->sounded = e->at.ms;
        }
        break;
    case KIND_DECANT:
        v = vessel_of(b, &e->u.decant.from);
        to = vessel_of(b, &e->u.decant.to);
        if (v != NULL && to != NULL) {
            v->volume -= e->u.decant.litres;
            pour(to, e->u.decant.litres, e->u.decant.treated != 0 ? 0 : v->quality, v->mean);
        }
        break;
    case KIND_TREAT:
        v = vessel_of(b, &e->u.spares.stage);
        if (v != NULL && v->quality == 1)
            v->quality = 0;
        break;
    case KIND_DUMP:
    case KIND_SANITISE:
        v = vessel_of(b, &e->u.spares.stage);
        if (v != NULL) {
            v->volume = 0;
            v->cleaned = e->kind == KIND_SANITISE ? e->at.ms : v->cleaned;
            v->quality = e->kind == KIND_SANITISE ? 0 : v->quality;
        }
        break;
    case KIND_STAGE:
    case KIND_SWAP:
        b->litres[stage_of(b, &e->u.spares.stage)] = 0;
        b->fitted[stage_of(b, &e->u.spares.stage)] = e->at.ms;
        break;
    case KIND_CREW:
        b->crew = (int)e->u.spares.count;
        break;
    default:
        break;
    }
}

/* ---- what is taken back ---- */

typedef struct {
    unsigned char (*ids)[16];
    size_t count, room;
} Voided;

static int by_bytes(const void *a, const void *b)
{
    return memcmp(a, b, 16);
}

static bool voided_read(sqlite3 *db, Voided *voided)
{
    sqlite3_stmt *row = raw_prepare(db, "SELECT more FROM entry WHERE kind=22");
    bool good = row != NULL;
    while (good && sqlite3_step(row) == SQLITE_ROW) {
        const char *s = strstr((const char *)sqlite3_column_text(row, 0), ":\"");
        if (voided->count == voided->room) {
            voided->room = voided->room * 2 + 64;
            voided->ids = realloc(voided->ids, voided->room * 16);
            good = voided->ids != NULL;
        }
        if (good && s != NULL)
            raw_id(s + 2, voided->ids[voided->count++]);
    }
    sqlite3_finalize(row);
    if (good && voided->count > 0)
        qsort(voided->ids, voided->count, 16, by_bytes);
    return good;
}

bool raw_fold(const char *path, int64_t *rows, uint64_t *sum)
{
    static Boat boat;
    Event e = {0};
    char more[2048] = {0};
    Voided voided = {0};
    sqlite3 *db = raw_open(path, SQLITE_OPEN_READWRITE);
    bool good = db != NULL && voided_read(db, &voided);
    sqlite3_stmt *row =
        good ? raw_prepare(db, "SELECT " RAW_COLUMNS " FROM entry ORDER BY at,id") : NULL;
    int rc = SQLITE_ERROR;
    *rows = 0;
    *sum = 0;
    while (row != NULL && (rc = sqlite3_step(row)) == SQLITE_ROW) {
        raw_decode(row, &e, more, sizeof more);
        if (voided.count == 0 || bsearch(e.id.b, voided.ids, voided.count, 16, by_bytes) == NULL)
            apply(&boat, &e, more);
        ++*rows;
    }
    for (int i = 0; i < boat.count; i++)
        *sum += (uint64_t)boat.vessels[i].volume + (uint64_t)boat.vessels[i].quality +
                (uint64_t)boat.vessels[i].mean;
    sqlite3_finalize(row);
    sqlite3_close(db);
    free(voided.ids);
    return rc == SQLITE_DONE;
}
