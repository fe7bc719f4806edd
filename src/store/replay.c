#include "store/replay.h"

#include "base/crc.h"
#include "base/memory.h"
#include "model/audit.h"
#include "model/fold.h"
#include "store/entry.h"
#include "store/schema.h"
#include "store/struck.h"
#include "store/unsent.h"

#include <stdlib.h>
#include <string.h>

/* Bump when the derived tables or what stands in them change. */
enum { DERIVED_VERSION = 4 };

int64_t derived_stamp(void)
{
    /* unsigned: the product may wrap; of all bits but the sign's, so that one version more is
     * another stamp */
    return (int64_t)(((uint64_t)state_stamp() * 31 + DERIVED_VERSION) & INT64_MAX);
}

void head_init(Head *head)
{
    state_init(&head->state);
    head->last = SPOT_BEFORE_ALL;
    head->entries = 0;
    head->stretch = stretch_from(&head->last);
}

/* ---- seals ---- */

/* A stored state is a picture of memory whose counts and indexes are believed. So its row ends in a
 * checksum over all that stands in it, and the state is audited: a row that does not fit is as if
 * it were not there, and is made anew from the entries. */
static uint32_t row_seal(const Head *head, const Written *written, const void *packed, size_t n)
{
    const int64_t numbers[] = {head->entries, head->last.at.ms, (int64_t)n};
    uint32_t seal = crc32c(0, numbers, sizeof numbers);
    seal = crc32c(seal, head->last.id.b, sizeof head->last.id.b);
    seal = crc32c(seal, &head->stretch, sizeof head->stretch);
    if (written != NULL)
        seal = crc32c(seal, written->spots, (size_t)written->count * sizeof(Spot));
    return crc32c(seal, packed, n);
}

/* head->state from its column, where the seal in the next column fits it and the rest of *head. */
static bool state_load(sqlite3_stmt *stmt, int column, Head *head, const Written *written)
{
    const uint8_t *bytes = sqlite3_column_blob(stmt, column);
    const size_t n = (size_t)sqlite3_column_bytes(stmt, column);
    return bytes != NULL &&
           sqlite3_column_int64(stmt, column + 1) == row_seal(head, written, bytes, n) &&
           state_unpack(&head->state, bytes, n) && state_audit(&head->state) == NULL;
}

/* ---- head ---- */

static bool written_load(sqlite3_stmt *stmt, int column, Written *written)
{
    const uint8_t *bytes = sqlite3_column_blob(stmt, column);
    size_t n = (size_t)sqlite3_column_bytes(stmt, column);
    if (n % sizeof(Spot) != 0 || n / sizeof(Spot) > WRITTEN_MAX)
        return false;
    written->count = (int)(n / sizeof(Spot));
    if (n > 0)
        memcpy(written->spots, bytes, n);
    return true;
}

/* Asked first: tables of another stamp may have other columns. */
static bool head_stamped(Log *log, bool *stamped, Fault *fault)
{
    sqlite3_stmt *stmt = db_kept(&log->db, "SELECT stamp FROM head WHERE one=1", fault);
    DbStep step = stmt != NULL ? db_step(&log->db, stmt, fault) : DB_BAD;
    *stamped = step == DB_ROW && sqlite3_column_int64(stmt, 0) == derived_stamp();
    sqlite3_reset(stmt);
    return step != DB_BAD;
}

/* *good false where there is no row, or one that can't be believed. */
static bool head_read(Log *log, Head *head, bool *good, Fault *fault)
{
    if (!head_stamped(log, good, fault))
        return false;
    if (!*good)
        return true;
    sqlite3_stmt *stmt = db_kept(
        &log->db, "SELECT entries,at,id,written,stretch,state,seal FROM head WHERE one=1", fault);
    if (stmt == NULL)
        return false;
    DbStep step = db_step(&log->db, stmt, fault);
    *good = step == DB_ROW;
    if (*good) {
        head->entries = sqlite3_column_int64(stmt, 0);
        head->last = spot_load(db_row(stmt), 1);
        *good = written_load(stmt, 3, &head->written) &&
                db_bytes(stmt, 4, &head->stretch, sizeof head->stretch) &&
                state_load(stmt, 5, head, &head->written);
        sqlite3_reset(stmt);
    }
    return step != DB_BAD;
}

bool head_fresh(Log *log, bool *fresh, Fault *fault)
{
    log->head_known = false;
    if (!head_read(log, log->head, fresh, fault))
        return false;
    /* Does the log end where the head says that it ends? Another program may have added rows. */
    sqlite3_stmt *stmt =
        db_kept(&log->db, "SELECT at,id FROM entry ORDER BY at DESC,id DESC LIMIT 1", fault);
    if (stmt == NULL)
        return false;
    Spot last = SPOT_BEFORE_ALL;
    DbStep step = db_step(&log->db, stmt, fault);
    if (step == DB_ROW) {
        last = spot_load(db_row(stmt), 0);
        sqlite3_reset(stmt);
    }
    *fresh = *fresh && spot_compare(&log->head->last, &last) == 0;
    log->head_known = *fresh;
    return step != DB_BAD;
}

bool head_load(Log *log, Head **head, Fault *fault)
{
    bool good = log->head_known;
    if (!good && !head_read(log, log->head, &good, fault))
        return false;
    log->head_known = false;
    *head = log->head;
    return good || fault_set(fault, FAULT_LOG,
                             "%s: the stored state can't be read. Run ullage verify to see what is "
                             "damaged.",
                             log->db.name);
}

bool head_store(Log *log, const Head *head, Fault *fault)
{
    sqlite3_stmt *stmt =
        db_kept(&log->db,
                "INSERT OR REPLACE INTO head(one,stamp,entries,at,id,written,stretch,state,seal)"
                " VALUES(1,?1,?2,?3,?4,?5,?6,?7,?8)",
                fault);
    if (stmt == NULL)
        return false;
    size_t n = state_pack(&head->state, log->packed, STATE_PACKED_MAX);
    db_bind_number(stmt, 1, derived_stamp());
    db_bind_number(stmt, 2, head->entries);
    if (head->entries > 0) {
        db_bind_number(stmt, 3, head->last.at.ms);
        db_bind_blob(stmt, 4, head->last.id.b, sizeof head->last.id.b);
    } else {
        db_bind_null(stmt, 3);
        db_bind_null(stmt, 4);
    }
    db_bind_blob(stmt, 5, head->written.spots, (size_t)head->written.count * sizeof(Spot));
    db_bind_blob(stmt, 6, &head->stretch, sizeof head->stretch);
    db_bind_blob(stmt, 7, log->packed, n);
    db_bind_number(stmt, 8, row_seal(head, &head->written, log->packed, n));
    return db_change_one(&log->db, stmt, fault);
}

/* ---- checkpoints ---- */

static bool checkpoint_store(Log *log, Head *head, Fault *fault)
{
    sqlite3_stmt *stmt =
        db_kept(&log->db,
                "INSERT OR REPLACE INTO checkpoint(at,id,entries,stretch,state,seal) "
                "VALUES(?1,?2,?3,?4,?5,?6)",
                fault);
    if (stmt == NULL)
        return false;
    head->stretch = stretch_sealed(&head->stretch, &head->last);
    size_t n = state_pack(&head->state, log->packed, STATE_PACKED_MAX);
    db_bind_number(stmt, 1, head->last.at.ms);
    db_bind_blob(stmt, 2, head->last.id.b, sizeof head->last.id.b);
    db_bind_number(stmt, 3, head->entries);
    db_bind_blob(stmt, 4, &head->stretch, sizeof head->stretch);
    db_bind_blob(stmt, 5, log->packed, n);
    db_bind_number(stmt, 6, row_seal(head, NULL, log->packed, n));
    const bool good = db_change_one(&log->db, stmt, fault);
    head->stretch = stretch_from(&head->last);
    return good;
}

bool head_step(Log *log, Head *head, const Spot *spot, const Event *e, bool keep, Fault *fault)
{
    head->last = *spot;
    head->entries++;
    stretch_add(&head->stretch, e);
    return head->entries % log->tuning.interval != 0 || !keep || checkpoint_store(log, head, fault);
}

#define CHECKPOINT_SELECT "SELECT at,id,entries,stretch,state,seal FROM checkpoint WHERE (at,id)"
#define CHECKPOINT_LATEST "(?1,?2) ORDER BY at DESC,id DESC"

bool checkpoint_load(Log *log, const Spot *spot, bool strictly, Head *head, Fault *fault)
{
    sqlite3_stmt *stmt = strictly
                             ? db_kept(&log->db, CHECKPOINT_SELECT "<" CHECKPOINT_LATEST, fault)
                             : db_kept(&log->db, CHECKPOINT_SELECT "<=" CHECKPOINT_LATEST, fault);
    if (stmt == NULL)
        return false;
    db_bind_number(stmt, 1, spot->at.ms);
    db_bind_blob(stmt, 2, spot->id.b, sizeof spot->id.b);
    DbStep step;
    while ((step = db_step(&log->db, stmt, fault)) == DB_ROW) {
        head->last = spot_load(db_row(stmt), 0);
        head->entries = sqlite3_column_int64(stmt, 2);
        if (db_bytes(stmt, 3, &head->stretch, sizeof head->stretch) &&
            state_load(stmt, 4, head, NULL)) {
            head->stretch = stretch_from(&head->last);
            sqlite3_reset(stmt);
            return true;
        }
    }
    head_init(head); /* none that can be believed: the beginning of the log always can */
    return step == DB_END;
}

/* ---- replay ---- */

static bool fold_entry(Replay *replay, const Spot *spot, const Event *e, bool keep, Fault *fault)
{
    Head *head = replay->head;
    bool out;
    if (!entry_walk_out(&replay->walk, spot, &out, fault))
        return false;
    /* a page in the place of another one: who knows what is missing */
    const bool in_order = spot_compare(&head->last, spot) < 0;
    if (!out && e != NULL && in_order)
        fold_apply(&head->state, e);
    else if (!out)
        fold_unread(&head->state);
    return head_step(replay->walk.log, head, spot, e, keep, fault);
}

bool replay_open(Replay *replay, Log *log, Head *head, Fault *fault)
{
    const LogQuery query = {.since = head->last.at, .until = MOMENT_NONE};
    replay->head = head;
    return entry_walk_open(&replay->walk, log, &query, fault);
}

bool replay_entry(Replay *replay, const Spot *spot, const Event *e, Fault *fault)
{
    return fold_entry(replay, spot, e, true, fault);
}

void replay_close(Replay *replay)
{
    entry_walk_close(&replay->walk);
}

typedef struct {
    Replay replay;
    const ReplayWish *wish;
    Event e;
    bool begun; /* it is behind the entry that the head ends with */
    bool bad;
    Fault *fault;
} ReplayWalk;

/* *read false: what stands there can't be read. False: SQLite failed. */
static bool replay_read(ReplayWalk *walk, DbRow row, Spot *spot, bool *read)
{
    Log *log = walk->replay.walk.log;
    *read = codec_decode(&log->codec, row, walk->wish->watch.whole, &walk->e, walk->fault);
    *spot = *read ? spot_of(&walk->e) : spot_load(row, 0);
    return *read || log_may_pass(log);
}

static bool replay_step(ReplayWalk *walk, DbRow row, const Spot *spot, const Event *e)
{
    const ReplayWatch *watch = &walk->wish->watch;
    return (watch->look == NULL || watch->look(watch->context, row, spot, e, walk->fault)) &&
           fold_entry(&walk->replay, spot, e, walk->wish->keep, walk->fault);
}

/* The walk begins with the first entry of the time of head->last: (at,id)>(?1,?2) would be asked of
 * every single row again, a tenth of a replay. */
static bool replay_row(void *context, DbRow row)
{
    ReplayWalk *walk = context;
    const Spot *before = walk->wish->before;
    Spot spot;
    bool read;
    if (!walk->begun) {
        spot = spot_load(row, 0);
        walk->begun = spot_compare(&spot, &walk->replay.head->last) > 0;
        if (!walk->begun)
            return false;
    }
    walk->bad = !replay_read(walk, row, &spot, &read);
    if (walk->bad || (before != NULL && spot_compare(&spot, before) >= 0))
        return true;
    walk->bad = !replay_step(walk, row, &spot, read ? &walk->e : NULL);
    return walk->bad;
}

bool replay(Log *log, Head *head, ReplayWish wish, Fault *fault)
{
    ReplayWalk walk = {.replay = {.head = head}, .wish = &wish, .fault = fault};
    DbPass pass = {.look = replay_row, .context = &walk};
    const LogQuery query = {.since = head->last.at,
                            .until = wish.until != NULL ? *wish.until : MOMENT_NONE};
    return entry_walk(&walk.replay.walk, log, &query, wish.watch.whole, &pass, fault) != DB_BAD &&
           !walk.bad;
}

bool replay_back(Log *log, const Spot *earliest, Head *head, Fault *fault)
{
    if (spot_compare(earliest, &head->last) > 0)
        return true;
    sqlite3_stmt *stmt = db_kept(&log->db, "DELETE FROM checkpoint WHERE (at,id)>=(?1,?2)", fault);
    if (stmt == NULL)
        return false;
    db_bind_number(stmt, 1, earliest->at.ms);
    db_bind_blob(stmt, 2, earliest->id.b, sizeof earliest->id.b);
    return db_change(&log->db, stmt, fault) && checkpoint_load(log, earliest, true, head, fault);
}

bool replay_from(Log *log, const Spot *earliest, Head *head, ReplayWatch watch, Fault *fault)
{
    return replay_back(log, earliest, head, fault) &&
           replay(log, head, (ReplayWish){.keep = true, .watch = watch}, fault);
}

bool derived_rebuild(Log *log, ReplayWatch watch, Fault *fault)
{
    Head *head = memory_get(sizeof *head); /* zeroed: nothing is known of the order of writing */
    head_init(head);
    bool good = schema_derive(&log->db, log->shadow ? "temp" : "main", fault) &&
                unsent_note_all(log, fault) && struck_rebuild(log, fault) &&
                replay(log, head, (ReplayWish){.keep = true, .watch = watch}, fault) &&
                head_store(log, head, fault);
    free(head);
    return good;
}
