#include "base/memory.h"
#include "model/field.h"
#include "store/entry.h"
#include "store/intake.h"
#include "store/setting.h"
#include "store/value.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* Does a void in that log name the entry? */
static bool is_voided(Log *from, const Event *e, bool *voided, Fault *fault)
{
    char id[40];
    sqlite3_stmt *stmt = db_kept(
        &from->db, "SELECT 1 FROM entry WHERE kind=?1 AND json_extract(more,'$.entry')=?2", fault);
    if (stmt == NULL)
        return false;
    db_bind_number(stmt, 1, KIND_VOID);
    db_bind_text(stmt, 2, text_of(uuid_print(&e->id, id)));
    const DbStep step = db_step(&from->db, stmt, fault);
    *voided = step == DB_ROW;
    sqlite3_reset(stmt);
    return step != DB_BAD;
}

/* What import refuses is refused here: an entry of a clock that was ahead would stand before all
 * that is logged now. One that was taken back can't. */
static bool not_ahead(Log *from, const Event *e, Moment now, Fault *fault)
{
    bool voided = e->kind == KIND_VOID;
    char at[48], is[48];
    if (!clock_ahead(e->at, now) || voided)
        return true;
    return is_voided(from, e, &voided, fault) &&
           (voided ||
            fault_set(fault, FAULT_REFUSED,
                      "%s is in the future (it is %s now). Set the clock that is wrong, "
                      "or void that entry in the other log.",
                      moment_print_zone(e->at, e->zone, at), moment_print_zone(now, e->zone, is)));
}

static bool fit(const Event *e, Fault *fault)
{
    return event_texts_fit(e, fault) ||
           fault_suffix(fault, " Export the other log, mend that line, and import it instead.");
}

/* Both logs are walked along in the order of the fold. What both have alike, column for column, is
 * passed by and never read: nothing comes in of it, whatever it says. From the first entry on that
 * only the other log has, this log is folded anew as the walk goes along, what comes in among what
 * is there: so nothing is read twice. */
typedef struct {
    Log *log, *from;
    Moment now;
    Intake intake;
    sqlite3_stmt *mine;
    DbPass their_pass, mine_pass, mine_place;
    DbRow their; /* the other log's row at hand, and its place */
    Spot spot;
    bool known;   /* this log has it */
    bool folding; /* from `first` on */
    Spot first;
    bool mine_ended;
    Spot mine_spot;
    /* While folding: the first of this log that stands behind theirs, and waits for its turn. */
    bool waits, readable;
    Event mine_entry;
    bool bad;
    Fault *fault;
} Merge;

#define ROWS_SINCE "SELECT 1 FROM entry WHERE at>=?1 AND "
#define IN_ORDER " ORDER BY at,id"

/* A log's rows from a time on, in the order of the fold. */
static sqlite3_stmt *pass_prepare(Log *log, DbPass *pass, Moment since, Fault *fault)
{
    sqlite3_stmt *stmt =
        db_prepare(&log->db, ROWS_SINCE "pass(?2," CODEC_COLUMNS ")" IN_ORDER, fault);
    if (stmt == NULL)
        return NULL;
    db_bind_number(stmt, 1, since.ms);
    db_bind_pass(stmt, 2, pass);
    return stmt;
}

/* The same for the walk beside the other log: of what it passes by, only the place is got, and of
 * what stands where theirs does, only what it says. */
static sqlite3_stmt *beside_prepare(Merge *m)
{
    sqlite3_stmt *stmt = db_prepare(&m->log->db,
                                    ROWS_SINCE "CASE WHEN pass(?2,at,id) THEN "
                                               "pass(?3," CODEC_SAYS ",note,seal) END" IN_ORDER,
                                    m->fault);
    if (stmt == NULL)
        return NULL;
    db_bind_number(stmt, 1, SPOT_BEFORE_ALL.at.ms);
    db_bind_pass(stmt, 2, &m->mine_place);
    db_bind_pass(stmt, 3, &m->mine_pass);
    return stmt;
}

/* ---- this log is no less foreign than the other ---- */

/* Of a row that is damaged nobody can say that both have it, nor, where its id is, that the other's
 * is new. */
static bool mine_wrong(const Merge *m, const Spot *spot)
{
    char at[48], id[40];
    const char *log = m->log->db.name;
    return fault_set(
        m->fault, FAULT_LOG,
        "%s is damaged: its entry %s of %s is not what was written. Nothing was merged. "
        "Write what is sound to a new log (ullage salvage %s NEW), and merge %s into "
        "that.",
        log, uuid_print(&spot->id, id), moment_print_utc(spot->at, at), log, m->from->db.name);
}

/* Into mine_entry. One that can't be read, perhaps of a kind that is not known, counts for nothing.
 */
static bool mine_read(Merge *m, DbRow row, const Spot *spot)
{
    bool sealed;
    m->readable = codec_decode(&m->log->codec, row, true, &m->mine_entry, m->fault);
    return m->readable ? codec_sealed(row, &m->mine_entry, &sealed, NULL) || mine_wrong(m, spot)
                       : log_may_pass(m->log);
}

static bool mine_prove_row(void *context, DbRow row)
{
    Merge *m = context;
    const Spot spot = spot_load(row, 0);
    if (spot_compare(&spot, &m->first) >= 0)
        return true;
    idwatch_pass(&m->intake.ids, &spot);
    m->bad = !mine_read(m, row, &spot);
    return m->bad;
}

/* What stands before the first that comes in. */
static bool mine_prove(Merge *m)
{
    DbPass pass = {.look = mine_prove_row, .context = m};
    sqlite3_stmt *rows = pass_prepare(m->log, &pass, SPOT_BEFORE_ALL.at, m->fault);
    const DbStep step = rows != NULL ? db_step(&m->log->db, rows, m->fault) : DB_BAD;
    db_done(rows);
    return step != DB_BAD && !m->bad;
}

/* ---- the other log's ---- */

static bool their_wrong(const Merge *m)
{
    return fault_prefix(m->fault, "%s: ", m->from->db.name);
}

static bool their_read(const Merge *m, Event *e, uint32_t *seal)
{
    bool sealed;
    if (!codec_decode(&m->from->codec, m->their, true, e, m->fault) ||
        !codec_sealed(m->their, e, &sealed, m->fault))
        return their_wrong(m);
    *seal = sealed ? (uint32_t)row_number(m->their, CODEC_SEAL) : event_seal(e);
    return true;
}

/* What import would refuse is refused here. */
static bool their_fits(Merge *m, const Event *e)
{
    char id[40];
    return (value_check(e, m->fault) && fit(e, m->fault) &&
            not_ahead(m->from, e, m->now, m->fault)) ||
           fault_prefix(m->fault, "%s, entry %s: ", m->from->db.name, uuid_print(&e->id, id));
}

/* Is what both have at one place, in mine_entry and in the row at hand, one entry? */
static bool both_one(Merge *m)
{
    Event e MEMORY_UNSET;
    uint32_t seal;
    m->known = true;
    return their_read(m, &e, &seal) &&
           ((m->readable && event_equal(&m->mine_entry, &e)) ||
            (m->readable ? intake_conflict(&e, m->fault) : mine_wrong(m, &m->spot)));
}

/* ---- up to the other's row ---- */

/* The row at hand says the same. */
static bool alike(const Merge *m, sqlite3_value **says)
{
    return db_same(says, m->their.values + CODEC_PLACE, CODEC_SEAL + 1 - CODEC_PLACE);
}

/* This log's row where theirs stands, looked at as a whole. */
static bool mine_there(void *context, DbRow row)
{
    Merge *m = context;
    m->known = alike(m, row.values + CODEC_PLACE);
    m->bad = !m->known && (!mine_read(m, row, &m->spot) || !both_one(m));
    return true;
}

static bool mine_again(Merge *m)
{
    DbPass pass = {.look = mine_there, .context = m};
    sqlite3_stmt *row = db_kept(
        &m->log->db, "SELECT 1 FROM entry WHERE at=?1 AND id=?2 AND pass(?3," CODEC_COLUMNS ")",
        m->fault);
    if (row == NULL)
        return false;
    db_bind_number(row, 1, m->spot.at.ms);
    db_bind_blob(row, 2, m->spot.id.b, sizeof m->spot.id.b);
    db_bind_pass(row, 3, &pass);
    const DbStep step = db_step(&m->log->db, row, m->fault);
    sqlite3_reset(row);
    return step != DB_BAD && !m->bad;
}

/* On to the first that does not stand before theirs. */
static bool mine_reaches(void *context, DbRow row)
{
    Merge *m = context;
    if (row_number(row, 0) < m->spot.at.ms)
        return false;
    m->mine_spot = spot_load(row, 0);
    return spot_compare(&m->mine_spot, &m->spot) >= 0;
}

static bool mine_beside(void *context, DbRow row)
{
    Merge *m = context;
    const bool there = spot_compare(&m->mine_spot, &m->spot) == 0;
    m->known = there && alike(m, row.values);
    m->bad = there && !m->known && !mine_again(m);
    return true;
}

/* The same while folding. */
static bool mine_folded(void *context, DbRow row)
{
    Merge *m = context;
    m->mine_spot = spot_load(row, 0);
    if (spot_compare(&m->mine_spot, &m->first) < 0)
        return false;
    const int order = spot_compare(&m->mine_spot, &m->spot);
    m->waits = order > 0;
    m->known = order == 0;
    m->bad = !mine_read(m, row, &m->mine_spot) ||
             (order == 0 && !alike(m, row.values + CODEC_PLACE) && !both_one(m)) ||
             (order <= 0 && !intake_pass(&m->intake, &m->mine_spot,
                                         m->readable ? &m->mine_entry : NULL, m->fault));
    return m->bad || order >= 0;
}

/* The one that waits, where it does not stand behind theirs. */
static bool mine_waited(Merge *m)
{
    const int order = m->waits ? spot_compare(&m->mine_spot, &m->spot) : 1;
    if (order > 0)
        return true;
    m->waits = false;
    return (order < 0 || mine_again(m)) &&
           intake_pass(&m->intake, &m->mine_spot, m->readable ? &m->mine_entry : NULL, m->fault);
}

static bool mine_on(Merge *m)
{
    m->known = false;
    if (!mine_waited(m))
        return false;
    if (m->known || m->waits || m->mine_ended)
        return true;
    const DbStep step = db_step(&m->log->db, m->mine, m->fault);
    m->mine_ended = step == DB_END;
    return step != DB_BAD && !m->bad;
}

/* ---- what comes in ---- */

static bool fold_begin(Merge *m)
{
    m->folding = true;
    m->first = m->spot;
    m->intake.ids.greatest = (Uuid){{0}};
    m->mine_ended = false;
    db_done(m->mine);
    m->mine_pass.look = mine_folded;
    m->mine = NULL;
    if (!mine_prove(m) || !intake_fold(&m->intake, m->from, &m->first, m->fault))
        return false;
    m->mine = pass_prepare(m->log, &m->mine_pass, m->first.at, m->fault);
    return m->mine != NULL && mine_on(m);
}

static bool their_in(Merge *m)
{
    uint32_t seal = 0;
    if (!m->folding && !fold_begin(m))
        return false;
    Event *e = intake_next(&m->intake);
    return their_read(m, e, &seal) && their_fits(m, e) && intake_push(&m->intake, seal, m->fault);
}

/* What is out of its order may be missed. */
static bool their_astray(Merge *m)
{
    const char *from = m->from->db.name;
    return fault_set(m->fault, FAULT_LOG,
                     "%s is damaged: entries stand out of their order. Nothing was merged. Write "
                     "what is sound to a new log (ullage salvage %s NEW), and merge that.",
                     from, from);
}

static bool their_row(void *context, DbRow row)
{
    Merge *m = context;
    const Spot last = m->spot;
    m->their = row;
    m->spot = spot_load(row, 0);
    m->bad = (spot_compare(&last, &m->spot) >= 0 && !their_astray(m)) || !mine_on(m) ||
             (!m->known && !their_in(m));
    m->intake.count.read += m->known;
    m->intake.count.same += m->known;
    return m->bad;
}

/* ---- the walk ---- */

static bool merge_walk(Merge *m)
{
    m->spot = SPOT_BEFORE_ALL;
    m->their_pass = (DbPass){.look = their_row, .context = m};
    m->mine_pass = (DbPass){.look = mine_beside, .context = m};
    m->mine_place = (DbPass){.look = mine_reaches, .context = m};
    m->mine = beside_prepare(m);
    sqlite3_stmt *theirs = m->mine != NULL
                               ? pass_prepare(m->from, &m->their_pass, SPOT_BEFORE_ALL.at, m->fault)
                               : NULL;
    bool good = theirs != NULL && db_step(&m->from->db, theirs, m->fault) != DB_BAD && !m->bad;
    db_done(theirs);
    if (good && m->folding) {
        m->spot = SPOT_AFTER_ALL; /* the rest of this log */
        good = mine_on(m);
    }
    db_done(m->mine);
    return good;
}

/* A log and its copy have one mark: so that later entries can be told apart, this one lets go of
 * it. */
static bool mark_parted(Log *log, Log *from, Fault *fault)
{
    Str own = {0}, other = {0};
    bool there;
    bool good = setting_get(&log->db, "mark", &own, &there, fault) &&
                setting_get(&from->db, "mark", &other, &there, fault);
    if (good && own.n > 0 && strcmp(own.s, other.s) == 0)
        good = setting_set(&log->db, "mark", NULL, fault);
    str_finish(&own);
    str_finish(&other);
    return good;
}

bool log_merge(Log *log, const char *other, Moment now, LogIntake *intake, Fault *fault)
{
    if (!db_linked(other, fault))
        return false;
    if (access(other, F_OK) != 0) {
        return fault_set(fault, FAULT_LOG, "%s can't be merged: %s. Name the file of another log.",
                         other, strerror(errno));
    }
    /* log_open_tuned(LOG_READ) makes sure that it is a log, of a version that is known */
    Log *from = log_open_tuned(other, LOG_READ, log->tuning, fault);
    if (from == NULL)
        return false;
    Merge m = {.log = log, .from = from, .now = now, .fault = fault};
    /* It is walked through once, in its order: pages seen need not be kept. */
    bool good =
        db_run(&from->db, "PRAGMA cache_size=-256", fault) && intake_begin(&m.intake, log, fault);
    if (good) {
        good = merge_walk(&m) && (!m.folding || mark_parted(log, from, fault));
        good = intake_end(&m.intake, good, false, false, fault);
    }
    log_close(from);
    if (good)
        *intake = m.intake.count;
    return good;
}
