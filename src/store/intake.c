#include "store/intake.h"

#include "base/memory.h"
#include "store/entry.h"
#include "store/replay.h"
#include "store/struck.h"
#include "store/unsent.h"

#include <stdlib.h>
#include <string.h>

/* Filter of void targets while taking in: 64 KiB. */
enum { TARGET_BITS = 1 << 19 };

static void target_add(Intake *intake, const Uuid *id)
{
    if (intake->targets == NULL)
        intake->targets = memory_get(TARGET_BITS / 8);
    if (uuid_compare(id, &intake->last_target) > 0)
        intake->last_target = *id;
    uint64_t bit = id_hash(id) % TARGET_BITS;
    intake->targets[bit / 8] |= (uint8_t)(1u << bit % 8);
}

static bool target_may_be(const Intake *intake, const Uuid *id)
{
    if (intake->targets == NULL || uuid_compare(id, &intake->last_target) > 0)
        return false; /* most are later than all that was taken back */
    uint64_t bit = id_hash(id) % TARGET_BITS;
    return (intake->targets[bit / 8] >> bit % 8 & 1) != 0;
}

static bool targets_load(Intake *intake, Fault *fault)
{
    Db *db = &intake->log->db;
    sqlite3_stmt *stmt = db_prepare(db, "SELECT target FROM void_of", fault);
    DbStep step = DB_BAD;
    Uuid id;
    while (stmt != NULL && (step = db_step(db, stmt, fault)) == DB_ROW)
        if (db_bytes(stmt, 0, id.b, sizeof id.b))
            target_add(intake, &id);
    db_done(stmt);
    return step == DB_END;
}

bool intake_begin(Intake *intake, Log *log, Fault *fault)
{
    memset(intake, 0, sizeof *intake);
    intake->log = log;
    if (!log_begin(log, true, fault))
        return false;
    /* Rows that do not come in order find their pages again in a larger cache. */
    Fault ignored;
    db_run(&log->db, "PRAGMA cache_size=-2048", &ignored);
    intake->insert = db_prepare(&log->db, CODEC_INSERT " ON CONFLICT DO NOTHING", fault);
    if (intake->insert == NULL || !targets_load(intake, fault) ||
        !unsent_kept(log, &intake->unsent, fault) || !idwatch_open(&intake->ids, log, fault)) {
        intake_end(intake, false, false, false, fault);
        return false;
    }
    return true;
}

static bool intake_same(Intake *intake, const Event *e, Fault *fault)
{
    bool found;
    Event there;
    Spot spot = spot_of(e);
    char id[40], at[48];
    if (!entry_proved(intake->log, &spot, &found, &there, fault)) {
        intake->damaged = log_may_pass(intake->log);
        return intake->damaged && fault_prefix(fault, "%s: ", intake->log->db.name);
    }
    if (found && event_equal(&there, e)) {
        intake->count.same++;
        return true;
    }
    if (!found)
        return db_not_taken(&intake->log->db, fault);
    return fault_set(fault, FAULT_REFUSED,
                     "the entry %s of %s is in the log already, with other content. An entry is "
                     "never changed: void it and enter it anew.",
                     uuid_print(&e->id, id), moment_print_zone(e->at, e->zone, at));
}

bool intake_put(Intake *intake, const Event *e, uint32_t seal, Fault *fault)
{
    Log *log = intake->log;
    intake->count.read++;
    codec_bind(&log->codec, e, seal, intake->insert);
    if (!db_change(&log->db, intake->insert, fault))
        return false;
    if (sqlite3_changes(log->db.handle) == 0)
        return intake_same(intake, e, fault);
    if (!entry_taken(log, e, fault))
        return false;
    tally_add(&intake->tally, &e->id, seal);
    Spot spot = spot_of(e);
    if (intake->count.added++ == 0 || spot_compare(&spot, &intake->earliest) < 0)
        intake->earliest = spot;
    if ((intake->watch.look == NULL && !idwatch_add(&intake->ids, log, &spot, fault)) ||
        (intake->unsent && !unsent_note(log, &spot, fault)))
        return false;
    if (target_may_be(intake, &e->id)) {
        bool named;
        if (!struck_note_entry(log, &spot, &named, fault))
            return false;
        intake->strikes = intake->strikes || named;
    }
    if (e->kind == KIND_VOID) {
        intake->strikes = true;
        target_add(intake, &e->u.entry.entry);
        return struck_note_void(log, e, NULL, fault);
    }
    return true;
}

/* The log anew from the first that came in, and none of the ids there twice. */
static bool intake_fold(Intake *intake, Head *head, Fault *fault)
{
    Log *log = intake->log;
    const Spot *from = &intake->earliest;
    ReplayWatch watch;
    if (intake->watch.look == NULL)
        return idwatch_begin(&intake->ids, log, from, &watch, fault) &&
               replay_from(log, from, head, watch, fault);
    return replay_from(log, from, head, intake->watch, fault) &&
           idwatch_passed(&intake->ids, log, fault) &&
           idwatch_begin(&intake->ids, log, &SPOT_AFTER_ALL, &watch, fault);
}

static bool intake_settle(Intake *intake, bool imported, Fault *fault)
{
    Log *log = intake->log;
    Head *head;
    bool changed = false;
    Spot fate = intake->earliest;
    if (intake->count.added == 0)
        return true;
    if (!tally_grow(&log->db, &intake->tally, fault) || !head_load(log, &head, fault))
        return false;
    const int64_t differed = head->state.discrepancy_count + head->state.discrepancy_lost;
    if (intake->strikes &&
        (!struck_resolve(log, fault) || !struck_all(log, &fate, &changed, fault)))
        return false;
    if (changed && spot_compare(&fate, &intake->earliest) < 0)
        intake->earliest = fate;
    if (imported)
        head->written.count = 0;
    if (!intake_fold(intake, head, fault))
        return false;
    const int64_t differ = head->state.discrepancy_count + head->state.discrepancy_lost - differed;
    intake->count.differ = differ > 0 ? differ : 0;
    return head_store(log, head, fault);
}

bool intake_end(Intake *intake, bool good, bool dry, bool imported, Fault *fault)
{
    Log *log = intake->log;
    Fault ignored;
    db_done(intake->insert);
    intake->insert = NULL;
    good = good && intake_settle(intake, imported, fault);
    good = db_end(&log->db, good && !dry, fault) && good;
    /* An import's write-ahead log is as long as the import: give the space back now. */
    db_run(&log->db, "PRAGMA wal_checkpoint(TRUNCATE); PRAGMA cache_size=-" DB_CACHE_KIB, &ignored);
    idwatch_finish(&intake->ids);
    free(intake->targets);
    intake->targets = NULL;
    return good;
}
