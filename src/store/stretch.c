#include "store/stretch.h"

#include "base/crc.h"

#include <string.h>

Stretch stretch_from(const Spot *from)
{
    return (Stretch){.from = *from, .least = LAST_ID};
}

void stretch_add(Stretch *stretch, const Event *e)
{
    stretch->kinds |= e != NULL ? UINT64_C(1) << e->kind : 1;
    if (e == NULL || uuid_compare(&e->id, &stretch->least) < 0)
        stretch->least = e != NULL ? e->id : (Uuid){{0}};
    if (e == NULL || uuid_compare(&e->id, &stretch->greatest) > 0)
        stretch->greatest = e != NULL ? e->id : LAST_ID;
}

Stretch stretch_sealed(const Stretch *stretch, const Spot *end)
{
    Stretch sealed = *stretch;
    sealed.seal = crc32c(0, stretch, offsetof(Stretch, seal));
    sealed.seal = crc32c((uint32_t)sealed.seal, end, sizeof *end);
    return sealed;
}

/* ---- the search ---- */

bool stretch_walk_open(StretchWalk *walk, Fault *fault)
{
    walk->edge = walk->down ? SPOT_AFTER_ALL : SPOT_BEFORE_ALL;
    walk->held = STRETCH_ANY;
    walk->ends =
        db_prepare(&walk->log->db,
                   walk->down ? "SELECT at,id,stretch FROM checkpoint ORDER BY at DESC,id DESC"
                              : "SELECT at,id,stretch FROM checkpoint ORDER BY at,id",
                   fault);
    return walk->ends != NULL;
}

/* One that its seal does not fit may hold anything. */
static Stretch stretch_load(sqlite3_stmt *ends, const Spot *end)
{
    Stretch stretch;
    const bool whole = db_bytes(ends, 2, &stretch, sizeof stretch) &&
                       stretch_sealed(&stretch, end).seal == stretch.seal;
    return whole ? stretch : STRETCH_ANY;
}

/* Where it does not begin at `from`, it does not tell of all that stands there. */
static bool may_hold(const Stretch *stretch, const Spot *from, const Stretch *wanted)
{
    return spot_compare(&stretch->from, from) != 0 ||
           ((stretch->kinds & wanted->kinds) != 0 &&
            uuid_compare(&stretch->least, &wanted->greatest) <= 0 &&
            uuid_compare(&stretch->greatest, &wanted->least) >= 0);
}

static void rows_bind(StretchWalk *walk)
{
    if (spot_compare(&walk->from, &walk->after) < 0)
        walk->from = walk->after;
    if (spot_compare(&walk->to, &walk->until) > 0)
        walk->to = walk->until;
    db_bind_number(walk->rows, 1, walk->from.at.ms);
    db_bind_number(walk->rows, 2, walk->to.at.ms);
}

static bool stretch_next(StretchWalk *walk, Fault *fault)
{
    const DbStep step = db_step(&walk->log->db, walk->ends, fault);
    const Spot end = step == DB_ROW ? spot_load(db_row(walk->ends), 0)
                     : walk->down   ? SPOT_BEFORE_ALL
                                    : SPOT_AFTER_ALL;
    const Stretch stored = step == DB_ROW ? stretch_load(walk->ends, &end) : STRETCH_ANY;
    const Stretch held = walk->down ? walk->held : stored;
    walk->from = walk->down ? end : walk->edge;
    walk->to = walk->down ? walk->edge : end;
    walk->on = may_hold(&held, &walk->from, &walk->wanted);
    walk->over = step == DB_END || (walk->down ? spot_compare(&end, &walk->after) <= 0
                                               : spot_compare(&end, &walk->until) >= 0);
    walk->held = stored;
    walk->edge = end;
    rows_bind(walk);
    return step != DB_BAD;
}

/* The rows are of the times of the stretch: in SQL, the ids at its ends would be asked of every
 * row.
 */
static bool within(const StretchWalk *walk)
{
    const Spot spot = spot_load(db_row(walk->rows), 0);
    return spot_compare(&walk->from, &spot) < 0 && spot_compare(&spot, &walk->to) <= 0;
}

DbStep stretch_walk_next(StretchWalk *walk, Fault *fault)
{
    for (;;) {
        const DbStep step = walk->on ? db_step(&walk->log->db, walk->rows, fault) : DB_END;
        if (step == DB_BAD || (step == DB_ROW && within(walk)) || (step == DB_END && walk->over))
            return step;
        if (step == DB_END && !stretch_next(walk, fault))
            return DB_BAD;
    }
}

void stretch_walk_close(StretchWalk *walk)
{
    sqlite3_reset(walk->rows);
    db_done(walk->ends);
}
