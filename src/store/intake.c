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

bool intake_conflict(const Event *e, Fault *fault)
{
    char id[40], at[48];
    return fault_set(fault, FAULT_REFUSED,
                     "the entry %s of %s is in the log already, with other content. An entry is "
                     "never changed: void it and enter it anew.",
                     uuid_print(&e->id, id), moment_print_zone(e->at, e->zone, at));
}

static bool intake_same(Intake *intake, const Event *e, Fault *fault)
{
    bool found;
    Event there;
    Spot spot = spot_of(e);
    if (!entry_proved(intake->log, &spot, &found, &there, fault))
        return log_may_pass(intake->log) && fault_prefix(fault, "%s: ", intake->log->db.name);
    if (!found)
        return db_not_taken(&intake->log->db, fault);
    if (!event_equal(&there, e))
        return intake_conflict(e, fault);
    intake->count.same++;
    return true;
}

/* It stands in the table. */
static bool intake_taken(Intake *intake, const Event *e, uint32_t seal, Fault *fault)
{
    const Spot spot = spot_of(e);
    if (!entry_taken(intake->log, e, fault))
        return false;
    tally_add(&intake->tally, &e->id, seal);
    if (intake->count.added++ == 0 || spot_compare(&spot, &intake->earliest) < 0)
        intake->earliest = spot;
    return !intake->unsent || unsent_note(intake->log, &spot, fault);
}

static bool intake_strikes(Intake *intake, const Event *e, Fault *fault)
{
    Log *log = intake->log;
    const Spot spot = spot_of(e);
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

bool intake_put(Intake *intake, const Event *e, uint32_t seal, Fault *fault)
{
    Log *log = intake->log;
    const Spot spot = spot_of(e);
    intake->count.read++;
    codec_bind(&log->codec, e, seal, intake->insert, 0);
    if (!db_change(&log->db, intake->insert, fault))
        return false;
    if (sqlite3_changes(log->db.handle) == 0)
        return intake_same(intake, e, fault);
    return intake_taken(intake, e, seal, fault) && idwatch_add(&intake->ids, log, &spot, fault) &&
           intake_strikes(intake, e, fault);
}

static int64_t discrepancies(const Head *head)
{
    return head->state.discrepancy_count + head->state.discrepancy_lost;
}

/* ---- folded as it comes in ---- */

/* Which entries are out is known before they come: else those between them and their voids would
 * have to be folded twice. *from moves to the first whose fate changed. */
static bool foresee(Intake *intake, Log *other, Spot *from, Fault *fault)
{
    bool changed = true; /* at *from, by what comes in */
    return struck_foresee(intake->log, other, &intake->voids, fault) &&
           struck_all(intake->log, from, &changed, fault);
}

#define ROWS_4 CODEC_ROW "," CODEC_ROW "," CODEC_ROW "," CODEC_ROW
#define ROWS_16 ROWS_4 "," ROWS_4 "," ROWS_4 "," ROWS_4
#define ROWS_32 ROWS_16 "," ROWS_16

/* Where one row of several could fail alone, SQLite keeps all pages as they were, anew for each
 * statement, which takes longer than to write the rows. So a row that is there is left out rather
 * than refused, and CHECK, whose length() could fail, is not asked until the end: what is bound has
 * 16 bytes. */
static sqlite3_stmt *whole_prepare(Log *log, Fault *fault)
{
    _Static_assert(INTAKE_ROWS == 32, "as many as in the statement");
    return db_run(&log->db, "PRAGMA ignore_check_constraints=ON", fault)
               ? db_prepare(&log->db,
                            "INSERT OR IGNORE INTO entry(" CODEC_COLUMNS ") VALUES" ROWS_32, fault)
               : NULL;
}

bool intake_fold(Intake *intake, Log *other, const Spot *first, Fault *fault)
{
    Log *log = intake->log;
    Head *head;
    Spot from = *first;
    intake->whole = whole_prepare(log, fault);
    if (intake->whole == NULL || !foresee(intake, other, &from, fault) ||
        !head_load(log, &head, fault))
        return false;
    intake->differed = discrepancies(head);
    intake->rows = memory_get(INTAKE_ROWS * sizeof *intake->rows);
    return replay_back(log, &from, head, fault) &&
           replay(log, head, (ReplayWish){.before = first, .keep = true}, fault) &&
           replay_open(&intake->fold, log, head, fault);
}

/* Where other voids come than were foreseen, all is folded anew at the end. */
static bool as_foreseen(Intake *intake, const Event *e, Fault *fault)
{
    bool noted;
    if (e->kind != KIND_VOID)
        return true;
    intake->voids--;
    if (!struck_foreseen(intake->log, e, &noted, fault))
        return false;
    intake->strikes = intake->strikes || !noted;
    return true;
}

static bool intake_write(Intake *intake, Fault *fault)
{
    Log *log = intake->log;
    const int held = intake->held, each = held == INTAKE_ROWS ? held : 1;
    sqlite3_stmt *insert = each > 1 ? intake->whole : intake->insert;
    intake->held = 0;
    for (int i = 0; i < held; i++) {
        codec_bind(&log->codec, &intake->rows[i].e, intake->rows[i].seal, insert, i % each);
        if ((i + 1) % each > 0)
            continue;
        if (!db_change(&log->db, insert, fault))
            return false;
        if (sqlite3_changes(log->db.handle) != each)
            return db_not_taken(&log->db, fault);
    }
    for (int i = 0; i < held; i++)
        if (!intake_taken(intake, &intake->rows[i].e, intake->rows[i].seal, fault))
            return false;
    return true;
}

Event *intake_next(Intake *intake)
{
    return &intake->rows[intake->held].e;
}

bool intake_push(Intake *intake, uint32_t seal, Fault *fault)
{
    const Event *e = &intake->rows[intake->held].e;
    const Spot spot = spot_of(e);
    intake->count.read++;
    intake->rows[intake->held++].seal = seal;
    idwatch_pass(&intake->ids, &spot);
    return as_foreseen(intake, e, fault) && replay_entry(&intake->fold, &spot, e, fault) &&
           (intake->held < INTAKE_ROWS || intake_write(intake, fault));
}

bool intake_pass(Intake *intake, const Spot *spot, const Event *e, Fault *fault)
{
    idwatch_pass(&intake->ids, spot);
    return replay_entry(&intake->fold, spot, e, fault);
}

/* ---- the end ---- */

/* The log anew from the first that came in, and none of the ids there twice. */
static bool settle_anew(Intake *intake, bool imported, Head **head, Fault *fault)
{
    Log *log = intake->log;
    bool changed = false;
    Spot fate = intake->earliest;
    ReplayWatch watch;
    if (!head_load(log, head, fault))
        return false;
    intake->differed = discrepancies(*head);
    if (intake->strikes &&
        (!struck_resolve(log, NULL, fault) || !struck_all(log, &fate, &changed, fault)))
        return false;
    if (changed && spot_compare(&fate, &intake->earliest) < 0)
        intake->earliest = fate;
    if (imported)
        (*head)->written.count = 0;
    return idwatch_begin(&intake->ids, log, &intake->earliest, &watch, fault) &&
           replay_from(log, &intake->earliest, *head, watch, fault);
}

static bool settle_folded(Intake *intake, Head **head, Fault *fault)
{
    Log *log = intake->log;
    ReplayWatch watch;
    *head = intake->fold.head;
    replay_close(&intake->fold);
    const bool foreseen = !intake->strikes && intake->voids == 0;
    return idwatch_passed(&intake->ids, log, fault) &&
           idwatch_begin(&intake->ids, log, &SPOT_AFTER_ALL, &watch, fault) &&
           (foreseen ||
            (derived_rebuild(log, (ReplayWatch){0}, fault) && head_load(log, head, fault)));
}

static bool intake_settle(Intake *intake, bool imported, Fault *fault)
{
    Log *log = intake->log;
    Head *head;
    if (!intake_write(intake, fault))
        return false;
    if (intake->count.added == 0)
        return true;
    if (!tally_grow(&log->db, &intake->tally, fault) ||
        !(intake->fold.head != NULL ? settle_folded(intake, &head, fault)
                                    : settle_anew(intake, imported, &head, fault)))
        return false;
    const int64_t differ = discrepancies(head) - intake->differed;
    intake->count.differ = differ > 0 ? differ : 0;
    return head_store(log, head, fault);
}

bool intake_end(Intake *intake, bool good, bool dry, bool imported, Fault *fault)
{
    Log *log = intake->log;
    Fault ignored;
    good = good && intake_settle(intake, imported, fault);
    replay_close(&intake->fold);
    db_done(intake->insert);
    db_done(intake->whole);
    intake->insert = intake->whole = NULL;
    good = db_end(&log->db, good && !dry, fault) && good;
    /* An import's write-ahead log is as long as the import: give the space back now. */
    db_run(&log->db,
           "PRAGMA wal_checkpoint(TRUNCATE); PRAGMA cache_size=-" DB_CACHE_KIB
           "; PRAGMA ignore_check_constraints=OFF",
           &ignored);
    idwatch_finish(&intake->ids);
    free(intake->targets);
    free(intake->rows);
    intake->targets = NULL;
    intake->rows = NULL;
    return good;
}
