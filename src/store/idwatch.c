#include "store/idwatch.h"

#include "base/memory.h"

#include <stdlib.h>
#include <string.h>

/* Of one million ids, about one in 200 is looked at again; of 200,000 hardly ever one, which spares
 * a walk. All bits of an id lie in one line of the processor's cache ("blocked Bloom filter",
 * Putze, Sanders and Singler, 2007): spread over the whole filter they took three times as long. */
enum { FILTER_BITS = 1 << 23, FILTER_LINE = 512, FILTER_HASHES = 7 };

static bool filter_seen(uint8_t *filter, const Uuid *id)
{
    const uint64_t h = id_hash(id);
    uint8_t *line = filter + h % (FILTER_BITS / FILTER_LINE) * (FILTER_LINE / 8);
    uint64_t bits = (h ^ h >> 29) * UINT64_C(0xbf58476d1ce4e5b9);
    bool seen = true;
    for (int i = 0; i < FILTER_HASHES; i++, bits >>= 9) {
        const uint8_t mask = (uint8_t)(1u << bits % 8);
        uint8_t *at = &line[bits / 8 % (FILTER_LINE / 8)];
        seen = seen && (*at & mask) != 0;
        *at |= mask;
    }
    return seen;
}

static void filter_add(IdWatch *watch, const Uuid *id)
{
    if (!watch->lost && filter_seen(watch->filter, id)) {
        idset_add(&watch->set, id);
        watch->lost = watch->set.full;
    }
}

/* Walks all ids that are there through the filter, the new ones among them. */
static bool filter_begin(IdWatch *watch, Log *log, Fault *fault)
{
    sqlite3_stmt *rows = db_prepare(&log->db, "SELECT id FROM entry", fault);
    DbStep step = DB_BAD;
    Uuid id;
    idset_finish(&watch->set); /* its room is needed for the filter */
    watch->filter = memory_get(FILTER_BITS / 8);
    watch->greatest = LAST_ID; /* from here on all go through it */
    while (rows != NULL && (step = db_step(&log->db, rows, fault)) == DB_ROW)
        if (db_bytes(rows, 0, id.b, sizeof id.b))
            filter_add(watch, &id);
    db_done(rows);
    return step == DB_END;
}

bool idwatch_open(IdWatch *watch, Log *log, Fault *fault)
{
    int64_t there;
    if (!db_number(&log->db, "SELECT 1 FROM entry LIMIT 1", 0, &there, fault))
        return false;
    if (there != 0)
        watch->greatest = LAST_ID; /* not known: any may be there */
    return true;
}

void idwatch_pass(IdWatch *watch, const Spot *spot)
{
    if (entry_id_near(spot) && uuid_compare(&spot->id, &watch->greatest) > 0)
        watch->greatest = spot->id;
    else
        idset_add(&watch->set, &spot->id);
}

bool idwatch_passed(IdWatch *watch, Log *log, Fault *fault)
{
    return !watch->set.full || filter_begin(watch, log, fault);
}

bool idwatch_add(IdWatch *watch, Log *log, const Spot *spot, Fault *fault)
{
    if (watch->filter != NULL) {
        filter_add(watch, &spot->id);
        return true;
    }
    idwatch_pass(watch, spot);
    return !watch->set.full || filter_begin(watch, log, fault);
}

static bool pass_by(IdWatch *watch, const Spot *spot, Fault *fault)
{
    const ptrdiff_t i = idset_find(&watch->set, &spot->id);
    if (i < 0)
        return true;
    if (watch->times[i] >= 0) {
        char one[48], two[48], name[40];
        return fault_set(fault, FAULT_REFUSED,
                         "the id %s would stand for two entries, of %s and of %s. An id is never "
                         "used twice: give one of them a new one.",
                         uuid_print(&spot->id, name),
                         moment_print_utc((Moment){watch->times[i]}, one),
                         moment_print_utc(spot->at, two));
    }
    watch->times[i] = spot->at.ms;
    return true;
}

static bool pass_by_rest(void *context, DbRow row, const Spot *spot, const Event *e, Fault *fault)
{
    IdWatch *watch = context;
    (void)row;
    (void)e;
    return spot_compare(spot, &watch->from) < 0 || pass_by(watch, spot, fault);
}

static bool pass_by_before(IdWatch *watch, Log *log, Fault *fault)
{
    sqlite3_stmt *rows =
        db_prepare(&log->db, "SELECT at,id FROM entry WHERE (at,id)<(?1,?2)", fault);
    DbStep step = DB_BAD;
    bool good = rows != NULL;
    if (good) {
        db_bind_number(rows, 1, watch->from.at.ms);
        db_bind_blob(rows, 2, watch->from.id.b, sizeof watch->from.id.b);
    }
    while (good && (step = db_step(&log->db, rows, fault)) == DB_ROW) {
        const Spot spot = spot_load(db_row(rows), 0);
        good = pass_by(watch, &spot, fault);
    }
    db_done(rows);
    return good && step == DB_END;
}

bool idwatch_begin(IdWatch *watch, Log *log, const Spot *earliest, ReplayWatch *rest, Fault *fault)
{
    free(watch->filter);
    watch->filter = NULL;
    *rest = (ReplayWatch){0};
    if (watch->lost || watch->set.count == 0)
        return true;
    idset_sort(&watch->set);
    watch->times = memory_get(watch->set.count * sizeof *watch->times);
    memset(watch->times, 0xff, watch->set.count * sizeof *watch->times); /* no time is negative */
    watch->from = *earliest;
    *rest = (ReplayWatch){.look = pass_by_rest, .context = watch};
    return pass_by_before(watch, log, fault);
}

void idwatch_finish(IdWatch *watch)
{
    idset_finish(&watch->set);
    free(watch->filter);
    free(watch->times);
    *watch = (IdWatch){.lost = false};
}
