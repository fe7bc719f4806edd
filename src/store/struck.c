#include "store/struck.h"

#include "base/memory.h"
#include "model/strike.h"
#include "store/entry.h"
#include "store/idset.h"
#include "store/void_graph.h"

#include <stdlib.h>
#include <string.h>

bool struck_note_void(Log *log, const Event *e, const Spot *target_here, Fault *fault)
{
    sqlite3_stmt *stmt = db_kept(
        &log->db, "INSERT OR REPLACE INTO void_of(target,void,target_at) VALUES(?1,?2,?3)", fault);
    if (stmt == NULL)
        return false;
    db_bind_blob(stmt, 1, e->u.entry.entry.b, sizeof(Uuid));
    db_bind_blob(stmt, 2, e->id.b, sizeof(Uuid));
    if (target_here != NULL)
        db_bind_number(stmt, 3, target_here->at.ms);
    else
        db_bind_null(stmt, 3);
    return db_change_one(&log->db, stmt, fault);
}

static bool target_stands(Log *log, const Uuid *id, Moment at, bool *named, Fault *fault)
{
    sqlite3_stmt *stmt =
        db_kept(&log->db, "UPDATE void_of SET target_at=?2 WHERE target=?1", fault);
    if (stmt == NULL)
        return false;
    db_bind_blob(stmt, 1, id->b, sizeof id->b);
    db_bind_number(stmt, 2, at.ms);
    if (!db_change(&log->db, stmt, fault))
        return false;
    *named = sqlite3_changes(log->db.handle) > 0;
    return true;
}

bool struck_note_entry(Log *log, const Spot *spot, bool *named, Fault *fault)
{
    return target_stands(log, &spot->id, spot->at, named, fault);
}

/* Up to IDSET_MAX targets behind `last` whose place is not known. */
static bool unresolved(Log *log, Uuid *last, IdSet *set, Fault *fault)
{
    sqlite3_stmt *stmt = db_kept(&log->db,
                                 "SELECT DISTINCT target FROM void_of WHERE target_at IS NULL AND "
                                 "target>?1 ORDER BY target LIMIT 65536",
                                 fault);
    if (stmt == NULL)
        return false;
    DbStep step;
    Uuid after = *last;
    db_bind_blob(stmt, 1, after.b, sizeof after.b);
    while ((step = db_step(&log->db, stmt, fault)) == DB_ROW)
        if (db_bytes(stmt, 0, last->b, sizeof last->b))
            idset_add(set, last);
    return step == DB_END;
}

/* Takes those out of the set that stand where their ids say. */
static bool resolve_near(Log *log, Log *in, IdSet *set, Fault *fault)
{
    size_t left = 0;
    for (size_t i = 0; i < set->count; i++) {
        bool found, named;
        Spot spot;
        const Uuid id = set->ids[i];
        if (!entry_spot_near(in, &id, &found, &spot, fault) ||
            (found && !target_stands(log, &id, spot.at, &named, fault)))
            return false;
        set->ids[left] = id;
        left += !found;
    }
    set->count = left;
    return true;
}

static bool resolve_scan(Log *log, Log *in, const IdSet *set, Fault *fault)
{
    sqlite3_stmt *rows = db_prepare(&in->db, "SELECT at,id FROM entry", fault);
    if (rows == NULL)
        return false;
    DbStep step = DB_BAD;
    bool good = true, named;
    Uuid id;
    while (good && (step = db_step(&in->db, rows, fault)) == DB_ROW)
        if (db_bytes(rows, 1, id.b, sizeof id.b) && idset_find(set, &id) >= 0)
            good = target_stands(log, &id, (Moment){sqlite3_column_int64(rows, 0)}, &named, fault);
    db_done(rows);
    return good && step == DB_END;
}

static bool resolve_set(Log *log, Log *other, IdSet *set, Fault *fault)
{
    idset_sort(set);
    return resolve_near(log, log, set, fault) &&
           (other == NULL || resolve_near(log, other, set, fault)) &&
           (set->count == 0 || (resolve_scan(log, log, set, fault) &&
                                (other == NULL || resolve_scan(log, other, set, fault))));
}

bool struck_resolve(Log *log, Log *other, Fault *fault)
{
    IdSet set = {0};
    Uuid last = {{0}};
    bool good = true, more = true;
    while (good && more) {
        idset_clear(&set);
        good = unresolved(log, &last, &set, fault);
        more = set.count == IDSET_MAX;
        good = good && resolve_set(log, other, &set, fault);
    }
    idset_finish(&set);
    return good;
}

/* ---- the rule, over the table ---- */

typedef struct {
    Log *log;
    Fault *fault;
    bool bad;
} Voids;

static bool voids_nth(void *context, const Uuid *target, size_t n, Uuid *void_id)
{
    Voids *voids = context;
    sqlite3_stmt *stmt = db_kept(
        &voids->log->db, "SELECT void FROM void_of WHERE target=?1 ORDER BY void LIMIT 1 OFFSET ?2",
        voids->fault);
    if (voids->bad || stmt == NULL) {
        voids->bad = true;
        return false;
    }
    db_bind_blob(stmt, 1, target->b, sizeof target->b);
    db_bind_number(stmt, 2, (int64_t)n);
    DbStep step = db_step(&voids->log->db, stmt, voids->fault);
    if (step == DB_ROW)
        db_bytes(stmt, 0, void_id->b, sizeof void_id->b);
    voids->bad = step == DB_BAD;
    sqlite3_reset(stmt);
    return step == DB_ROW;
}

/* A trigger of another program's may have kept it from being written down. */
static bool as_decided(Log *log, const Spot *spot, bool out, Fault *fault)
{
    sqlite3_stmt *stmt = db_kept(&log->db, "SELECT 1 FROM struck WHERE at=?1 AND id=?2", fault);
    if (stmt == NULL)
        return false;
    db_bind_number(stmt, 1, spot->at.ms);
    db_bind_blob(stmt, 2, spot->id.b, sizeof spot->id.b);
    const DbStep step = db_step(&log->db, stmt, fault);
    sqlite3_reset(stmt);
    return step != DB_BAD && ((step == DB_ROW) == out || db_not_taken(&log->db, fault));
}

/* Writes down whether the entry is taken out. */
static bool decided(Log *log, const Spot *spot, bool out, Spot *earliest, bool *changed,
                    Fault *fault)
{
    sqlite3_stmt *stmt =
        out ? db_kept(&log->db, "INSERT OR IGNORE INTO struck(at,id) VALUES(?1,?2)", fault)
            : db_kept(&log->db, "DELETE FROM struck WHERE at=?1 AND id=?2", fault);
    if (stmt == NULL)
        return false;
    db_bind_number(stmt, 1, spot->at.ms);
    db_bind_blob(stmt, 2, spot->id.b, sizeof spot->id.b);
    if (!db_change(&log->db, stmt, fault))
        return false;
    if (sqlite3_changes(log->db.handle) > 0) {
        if (!*changed || spot_compare(spot, earliest) < 0)
            *earliest = *spot;
        *changed = true;
    }
    return !log->db.asserted || as_decided(log, spot, out, fault);
}

static bool decide(Log *log, const Spot *spot, Spot *earliest, bool *changed, Fault *fault)
{
    Voids voids = {log, fault, false};
    VoidSource source = {&voids, voids_nth};
    bool out = strike_holds(&source, &spot->id);
    return !voids.bad && decided(log, spot, out, earliest, changed, fault);
}

bool struck_touch(Log *log, const Spot *target, Spot *earliest, bool *changed, Fault *fault)
{
    bool here;
    Event e;
    if (!entry_read(log, target, &here, &e, fault))
        return false;
    if (here && e.kind == KIND_VOID)
        return struck_all(log, earliest, changed, fault); /* and so on along the chain */
    return !here || decide(log, target, earliest, changed, fault);
}

/* All voids, solved; NULL with *count 0 where there are too many of them to be held in memory, or
 * none. */
static bool graph_load(Log *log, VoidNode **nodes, size_t *count, Fault *fault)
{
    int64_t all;
    *nodes = NULL;
    *count = 0;
    if (!db_number(&log->db, "SELECT count(*) FROM void_of", 0, &all, fault))
        return false;
    if (all == 0 || all > VOID_GRAPH_MAX)
        return true;
    sqlite3_stmt *stmt = db_prepare(&log->db, "SELECT void,target FROM void_of", fault);
    if (stmt == NULL)
        return false;
    *nodes = memory_get((size_t)all * sizeof **nodes);
    DbStep step;
    while ((step = db_step(&log->db, stmt, fault)) == DB_ROW) {
        VoidNode *node = &(*nodes)[*count];
        if (db_bytes(stmt, 0, node->id.b, sizeof node->id.b) &&
            db_bytes(stmt, 1, node->target.b, sizeof node->target.b))
            ++*count;
    }
    db_done(stmt);
    if (step != DB_END || !void_graph_solve(*nodes, *count)) {
        free(*nodes);
        *nodes = NULL;
        *count = 0;
    }
    return step == DB_END;
}

/* Is one of the voids that name `target` one that acts? */
static bool graph_strikes(Log *log, const VoidNode *nodes, size_t count, const Uuid *target,
                          bool *out, Fault *fault)
{
    sqlite3_stmt *stmt = db_kept(&log->db, "SELECT void FROM void_of WHERE target=?1", fault);
    if (stmt == NULL)
        return false;
    DbStep step;
    Uuid id;
    *out = false;
    db_bind_blob(stmt, 1, target->b, sizeof target->b);
    while ((step = db_step(&log->db, stmt, fault)) == DB_ROW && !*out)
        *out =
            db_bytes(stmt, 0, id.b, sizeof id.b) && void_graph_fate(nodes, count, &id) == VOID_ACTS;
    sqlite3_reset(stmt);
    return step != DB_BAD;
}

bool struck_all(Log *log, Spot *earliest, bool *changed, Fault *fault)
{
    VoidNode *nodes;
    size_t count;
    if (!graph_load(log, &nodes, &count, fault))
        return false;
    sqlite3_stmt *stmt = db_prepare(&log->db,
                                    "SELECT DISTINCT target,target_at FROM void_of WHERE target_at "
                                    "IS NOT NULL ORDER BY target",
                                    fault);
    DbStep step = DB_BAD;
    bool good = stmt != NULL;
    while (good && (step = db_step(&log->db, stmt, fault)) == DB_ROW) {
        Spot spot = {{sqlite3_column_int64(stmt, 1)}, {{0}}};
        bool out;
        if (!db_bytes(stmt, 0, spot.id.b, sizeof spot.id.b))
            continue;
        good = count == 0 ? decide(log, &spot, earliest, changed, fault)
                          : graph_strikes(log, nodes, count, &spot.id, &out, fault) &&
                                decided(log, &spot, out, earliest, changed, fault);
    }
    db_done(stmt);
    free(nodes);
    return good && step == DB_END;
}

bool struck_rebuild(Log *log, Fault *fault)
{
    sqlite3_stmt *rows =
        db_prepare(&log->db, "SELECT " CODEC_COLUMNS " FROM entry WHERE kind=?1", fault);
    if (rows == NULL)
        return false;
    db_bind_number(rows, 1, KIND_VOID);
    DbStep step = DB_BAD;
    bool good = true, changed = false;
    Event e;
    Spot earliest = SPOT_BEFORE_ALL;
    while (good && (step = db_step(&log->db, rows, fault)) == DB_ROW) {
        /* one that can't be read takes nothing out: replay meets it, and says what that means */
        good = codec_decode(&log->codec, db_row(rows), false, &e, fault)
                   ? struck_note_void(log, &e, NULL, fault)
                   : log_may_pass(log);
    }
    db_done(rows);
    return good && step == DB_END && struck_resolve(log, NULL, fault) &&
           struck_all(log, &earliest, &changed, fault);
}

/* A hint, which the entries have to bear out: what can't be read of it is left out. */
bool struck_foresee(Log *log, Log *other, int64_t *count, Fault *fault)
{
    Fault ignored;
    sqlite3_stmt *from = db_prepare(&other->db, "SELECT target,void FROM void_of", &ignored);
    sqlite3_stmt *to =
        db_kept(&log->db, "INSERT OR IGNORE INTO void_of(target,void) VALUES(?1,?2)", fault);
    bool good = to != NULL;
    Uuid target, by;
    *count = 0;
    while (good && from != NULL && db_step(&other->db, from, &ignored) == DB_ROW) {
        if (!db_bytes(from, 0, target.b, sizeof target.b) || !db_bytes(from, 1, by.b, sizeof by.b))
            continue;
        db_bind_blob(to, 1, target.b, sizeof target.b);
        db_bind_blob(to, 2, by.b, sizeof by.b);
        good = db_change(&log->db, to, fault);
        *count += sqlite3_changes(log->db.handle);
    }
    db_done(from);
    return good && struck_resolve(log, other, fault);
}

bool struck_foreseen(Log *log, const Event *e, bool *noted, Fault *fault)
{
    sqlite3_stmt *stmt =
        db_kept(&log->db, "SELECT 1 FROM void_of WHERE target=?1 AND void=?2", fault);
    if (stmt == NULL)
        return false;
    db_bind_blob(stmt, 1, e->u.entry.entry.b, sizeof(Uuid));
    db_bind_blob(stmt, 2, e->id.b, sizeof(Uuid));
    const DbStep step = db_step(&log->db, stmt, fault);
    *noted = step == DB_ROW;
    sqlite3_reset(stmt);
    return step != DB_BAD;
}

bool struck_is(Log *log, const Spot *spot, bool *out, Fault *fault)
{
    sqlite3_stmt *stmt = db_kept(&log->db, "SELECT 1 FROM struck WHERE at=?1 AND id=?2", fault);
    if (stmt == NULL)
        return false;
    db_bind_number(stmt, 1, spot->at.ms);
    db_bind_blob(stmt, 2, spot->id.b, sizeof spot->id.b);
    DbStep step = db_step(&log->db, stmt, fault);
    *out = step == DB_ROW;
    sqlite3_reset(stmt);
    return step != DB_BAD;
}
