#include "store/replay.h"

#include "base/arena.h"
#include "model/fold.h"
#include "store/schema.h"
#include "store/struck.h"

#include <stdlib.h>
#include <string.h>

/* Bump when the derived tables or what stands in them change. */
enum { DERIVED_VERSION = 1 };

int64_t derived_stamp(const Log *log)
{
    (void)log;
    /* unsigned: the product may wrap */
    return (int64_t)(((uint64_t)state_stamp() * 31 + DERIVED_VERSION) >> 1);
}

static bool state_load(sqlite3_stmt *stmt, int column, State *state)
{
    const uint8_t *bytes = sqlite3_column_blob(stmt, column);
    int n = sqlite3_column_bytes(stmt, column);
    return bytes != NULL && n > 0 && state_unpack(state, bytes, (size_t)n);
}

/* ---- head ---- */

static bool written_load(sqlite3_stmt *stmt, int column, Written *written)
{
    const uint8_t *bytes = sqlite3_column_blob(stmt, column);
    size_t n = (size_t)sqlite3_column_bytes(stmt, column);
    if (n % sizeof(Spot) != 0 || n / sizeof(Spot) > WRITTEN_MAX) {
        return false;
    }
    written->count = (int)(n / sizeof(Spot));
    if (n > 0) {
        memcpy(written->spots, bytes, n);
    }
    return true;
}

/* A spot in two columns; where they are NULL, the one before all. */
static Spot spot_load(sqlite3_stmt *stmt, int column)
{
    Spot spot = SPOT_BEFORE_ALL;
    if (db_bytes(stmt, column + 1, spot.id.b, sizeof spot.id.b)) {
        spot.at.ms = sqlite3_column_int64(stmt, column);
    }
    return spot;
}

bool head_fresh(Log *log, bool *fresh, Fault *fault)
{
    *fresh = false;
    sqlite3_stmt *stmt = db_kept(&log->db, "SELECT stamp,at,id FROM head WHERE one=1", fault);
    if (stmt == NULL) {
        return false;
    }
    DbStep step = db_step(&log->db, stmt, fault);
    if (step != DB_ROW) {
        return step == DB_END;
    }
    bool stamped = sqlite3_column_int64(stmt, 0) == derived_stamp(log);
    Spot head = spot_load(stmt, 1), last = SPOT_BEFORE_ALL;
    sqlite3_reset(stmt);
    /* Does the log end where the head says that it ends? Another program may have added rows. */
    stmt = db_kept(&log->db, "SELECT at,id FROM entry ORDER BY at DESC,id DESC LIMIT 1", fault);
    if (stmt == NULL) {
        return false;
    }
    step = db_step(&log->db, stmt, fault);
    if (step == DB_ROW) {
        last = spot_load(stmt, 0);
        sqlite3_reset(stmt);
    }
    *fresh = stamped && spot_compare(&head, &last) == 0;
    return step != DB_BAD;
}

bool head_load(Log *log, Head *head, Fault *fault)
{
    sqlite3_stmt *stmt =
        db_kept(&log->db, "SELECT entries,at,id,written,state FROM head WHERE one=1", fault);
    if (stmt == NULL) {
        return false;
    }
    DbStep step = db_step(&log->db, stmt, fault);
    if (step == DB_BAD) {
        return false;
    }
    bool good = step == DB_ROW && written_load(stmt, 3, &head->written) &&
                state_load(stmt, 4, &head->state);
    if (good) {
        head->entries = sqlite3_column_int64(stmt, 0);
        head->last = spot_load(stmt, 1);
    }
    sqlite3_reset(stmt);
    return good || fault_set(fault, FAULT_LOG,
                             "%s: the stored state can't be read. Run ullage verify to see what is "
                             "damaged.",
                             log->db.name);
}

bool head_store(Log *log, const Head *head, Fault *fault)
{
    sqlite3_stmt *stmt =
        db_kept(&log->db,
                "INSERT OR REPLACE INTO head(one,stamp,entries,at,id,written,state)"
                " VALUES(1,?1,?2,?3,?4,?5,?6)",
                fault);
    if (stmt == NULL) {
        return false;
    }
    size_t n = state_pack(&head->state, log->packed, STATE_PACKED_MAX);
    db_bind_number(stmt, 1, derived_stamp(log));
    db_bind_number(stmt, 2, head->entries);
    if (head->entries > 0) {
        db_bind_number(stmt, 3, head->last.at.ms);
        db_bind_blob(stmt, 4, head->last.id.b, sizeof head->last.id.b);
    } else {
        db_bind_null(stmt, 3);
        db_bind_null(stmt, 4);
    }
    db_bind_blob(stmt, 5, head->written.spots, (size_t)head->written.count * sizeof(Spot));
    db_bind_blob(stmt, 6, log->packed, n);
    return db_exec(&log->db, stmt, fault);
}

/* ---- checkpoints ---- */

bool checkpoint_due(const Log *log, const Head *head)
{
    return head->entries > 0 && head->entries % log->tuning.interval == 0;
}

bool checkpoint_store(Log *log, const Head *head, Fault *fault)
{
    sqlite3_stmt *stmt = db_kept(
        &log->db, "INSERT OR REPLACE INTO checkpoint(at,id,entries,state) VALUES(?1,?2,?3,?4)",
        fault);
    if (stmt == NULL) {
        return false;
    }
    size_t n = state_pack(&head->state, log->packed, STATE_PACKED_MAX);
    db_bind_number(stmt, 1, head->last.at.ms);
    db_bind_blob(stmt, 2, head->last.id.b, sizeof head->last.id.b);
    db_bind_number(stmt, 3, head->entries);
    db_bind_blob(stmt, 4, log->packed, n);
    return db_exec(&log->db, stmt, fault);
}

bool checkpoint_load(Log *log, const Spot *spot, bool strictly, Head *head, Fault *fault)
{
    sqlite3_stmt *stmt = strictly ? db_kept(&log->db,
                                            "SELECT at,id,entries,state FROM checkpoint WHERE "
                                            "(at,id)<(?1,?2) ORDER BY at DESC,id DESC LIMIT 1",
                                            fault)
                                  : db_kept(&log->db,
                                            "SELECT at,id,entries,state FROM checkpoint WHERE "
                                            "(at,id)<=(?1,?2) ORDER BY at DESC,id DESC LIMIT 1",
                                            fault);
    if (stmt == NULL) {
        return false;
    }
    db_bind_number(stmt, 1, spot->at.ms);
    db_bind_blob(stmt, 2, spot->id.b, sizeof spot->id.b);
    DbStep step = db_step(&log->db, stmt, fault);
    if (step == DB_BAD) {
        return false;
    }
    bool found = step == DB_ROW && state_load(stmt, 3, &head->state) &&
                 db_bytes(stmt, 1, head->last.id.b, sizeof head->last.id.b);
    if (found) {
        head->last.at.ms = sqlite3_column_int64(stmt, 0);
        head->entries = sqlite3_column_int64(stmt, 2);
    } else {
        /* none, or one that can't be read: the beginning of the log always can */
        state_init(&head->state);
        head->last = SPOT_BEFORE_ALL;
        head->entries = 0;
    }
    sqlite3_reset(stmt);
    return true;
}

/* ---- replay ---- */

typedef struct {
    sqlite3_stmt *rows, *struck;
    Spot out; /* the next entry that is taken out */
    bool more;
} Walk;

static bool walk_next_struck(Log *log, Walk *walk, Fault *fault)
{
    DbStep step = db_step(&log->db, walk->struck, fault);
    walk->more = step == DB_ROW;
    if (walk->more) {
        walk->out.at.ms = sqlite3_column_int64(walk->struck, 0);
        db_bytes(walk->struck, 1, walk->out.id.b, sizeof walk->out.id.b);
    }
    return step != DB_BAD;
}

static bool walk_out(Log *log, Walk *walk, const Spot *spot, bool *out, Fault *fault)
{
    *out = false;
    while (walk->more) {
        int order = spot_compare(&walk->out, spot);
        if (order > 0) {
            break;
        }
        *out = order == 0;
        if (!walk_next_struck(log, walk, fault)) {
            return false;
        }
    }
    return true;
}

/* The rows begin with the first one of the time of `from`: (at,id)>(?1,?2) would be asked of every
 * single row again, a tenth of a replay; replay_rows leaves the few before it out. */
static bool walk_open(Log *log, Walk *walk, const Spot *from, Fault *fault)
{
    walk->rows = db_prepare(&log->db,
                            "SELECT at,id,kind,zone,name,other,n1,n2,code,more FROM entry WHERE "
                            "at>=?1 ORDER BY at,id",
                            fault);
    if (walk->rows == NULL) {
        return false;
    }
    walk->struck = db_prepare(
        &log->db, "SELECT at,id FROM struck WHERE (at,id)>(?1,?2) ORDER BY at,id", fault);
    if (walk->struck == NULL) {
        return false;
    }
    db_bind_number(walk->rows, 1, from->at.ms);
    db_bind_number(walk->struck, 1, from->at.ms);
    db_bind_blob(walk->struck, 2, from->id.b, sizeof from->id.b);
    return walk_next_struck(log, walk, fault);
}

static bool replay_rows(Log *log, Walk *walk, Head *head, ReplayWish wish, Event *e, Fault *fault)
{
    bool begin = true;
    for (;;) {
        DbStep step = db_step(&log->db, walk->rows, fault);
        if (step != DB_ROW) {
            return step == DB_END;
        }
        if (wish.until != NULL && sqlite3_column_int64(walk->rows, 0) > wish.until->ms) {
            return true;
        }
        if (!codec_decode(&log->codec, walk->rows, false, e, fault)) {
            return false;
        }
        Spot spot = spot_of(e);
        if (begin && spot_compare(&spot, &head->last) <= 0) {
            continue;
        }
        begin = false;
        if (wish.before != NULL && spot_compare(&spot, wish.before) >= 0) {
            return true;
        }
        bool out = false;
        if (walk->more && !walk_out(log, walk, &spot, &out, fault)) {
            return false;
        }
        if (!out) {
            fold_apply(&head->state, e);
        }
        head->last = spot;
        head->entries++;
        if (wish.keep && checkpoint_due(log, head) && !checkpoint_store(log, head, fault)) {
            return false;
        }
    }
}

bool replay(Log *log, Head *head, ReplayWish wish, Fault *fault)
{
    Walk walk = {0};
    Event e;
    Spot from = head->last;
    bool good =
        walk_open(log, &walk, &from, fault) && replay_rows(log, &walk, head, wish, &e, fault);
    db_done(walk.rows);
    db_done(walk.struck);
    return good;
}

bool replay_from(Log *log, const Spot *earliest, Head *head, Fault *fault)
{
    if (spot_compare(earliest, &head->last) <= 0) {
        sqlite3_stmt *stmt =
            db_kept(&log->db, "DELETE FROM checkpoint WHERE (at,id)>=(?1,?2)", fault);
        if (stmt == NULL) {
            return false;
        }
        db_bind_number(stmt, 1, earliest->at.ms);
        db_bind_blob(stmt, 2, earliest->id.b, sizeof earliest->id.b);
        if (!db_exec(&log->db, stmt, fault) || !checkpoint_load(log, earliest, true, head, fault)) {
            return false;
        }
    }
    return replay(log, head, (ReplayWish){.keep = true}, fault);
}

bool derived_rebuild(Log *log, Fault *fault)
{
    Head *head = memory_get(sizeof *head); /* zeroed: nothing is known of the order of writing */
    state_init(&head->state);
    head->last = SPOT_BEFORE_ALL;
    bool good = schema_derive(&log->db, log->shadow ? "temp" : "main", fault) &&
                struck_rebuild(log, fault) &&
                replay(log, head, (ReplayWish){.keep = true}, fault) &&
                head_store(log, head, fault);
    free(head);
    return good;
}
