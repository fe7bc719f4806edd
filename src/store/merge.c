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
 * passed by and never read: nothing comes in of it, whatever it says. From the first entry that
 * differs on, entries are taken in, until many in a row are known again. */
enum { KNOWN_RUN = 64 };

typedef struct {
    Log *log, *from;
    Moment now;
    Intake intake;
    Spot last;    /* so far the other log is dealt with */
    Spot first;   /* of it that differs */
    bool differs; /* there is one */
    int known;    /* in a row */
    sqlite3_stmt *theirs, *mine;
    DbPass their_pass, mine_pass;
    DbRow their; /* the other log's row at hand, and its place */
    Spot spot;
    Spot next; /* where the next walk has to go on, where it resumes one */
    bool resumes, begun;
    bool alike; /* this log's row and it, in place and in all that they say */
    Spot until; /* so far this log is to be proved */
    Spot seen;  /* so far it was, and its ids were shown to the watch over them */
    bool bad;
    Fault *fault;
} Merge;

/* A log's rows from a time on, in the order of the fold. */
static sqlite3_stmt *pass_prepare(Log *log, DbPass *pass, Fault *fault)
{
    sqlite3_stmt *stmt = db_prepare(
        &log->db, "SELECT 1 FROM entry WHERE at>=?1 AND pass(?2," CODEC_COLUMNS ") ORDER BY at,id",
        fault);
    if (stmt != NULL)
        db_bind_pass(stmt, 2, pass);
    return stmt;
}

/* ---- this log is no less foreign than the other ---- */

/* Of a row that is damaged nobody can say that both have it, nor, where its id is, that the other's
 * is new. */
static bool mine_wrong(const Merge *m, const Spot *spot, Fault *fault)
{
    char at[48], id[40];
    const char *log = m->log->db.name;
    return fault_set(
        fault, FAULT_LOG,
        "%s is damaged: its entry %s of %s is not what was written. Nothing was merged. "
        "Write what is sound to a new log (ullage salvage %s NEW), and merge %s into "
        "that.",
        log, uuid_print(&spot->id, id), moment_print_utc(spot->at, at), log, m->from->db.name);
}

/* One that can't be read, perhaps of a kind that is not known, counts for nothing. */
static bool mine_fits(void *context, DbRow row, const Spot *spot, const Event *e, Fault *fault)
{
    Merge *m = context;
    bool sealed;
    if (spot_compare(spot, &m->seen) <= 0)
        return true;
    m->seen = *spot;
    idwatch_pass(&m->intake.ids, spot);
    return e == NULL || codec_sealed(row, e, &sealed, NULL) || mine_wrong(m, spot, fault);
}

static bool mine_prove_row(void *context, DbRow row)
{
    Merge *m = context;
    Event e MEMORY_UNSET;
    const Spot spot = spot_load(row, 0);
    if (spot_compare(&spot, &m->until) >= 0)
        return true;
    const bool read = codec_decode(&m->log->codec, row, true, &e, m->fault);
    m->bad =
        (!read && !log_may_pass(m->log)) || !mine_fits(m, row, &spot, read ? &e : NULL, m->fault);
    return m->bad;
}

static bool mine_prove(Merge *m, Moment from, Spot until)
{
    DbPass pass = {.look = mine_prove_row, .context = m};
    sqlite3_stmt *rows = pass_prepare(m->log, &pass, m->fault);
    if (rows == NULL)
        return false;
    m->until = until;
    db_bind_number(rows, 1, from.ms);
    const DbStep step = db_step(&m->log->db, rows, m->fault);
    db_done(rows);
    return step != DB_BAD && !m->bad;
}

/* ---- what both have alike ---- */

/* On to the first of this log that does not stand before theirs. */
static bool mine_beside(void *context, DbRow row)
{
    Merge *m = context;
    if (row_number(row, 0) < m->spot.at.ms)
        return false;
    const Spot spot = spot_load(row, 0);
    const int order = spot_compare(&spot, &m->spot);
    m->alike = order == 0 && db_same(row.values + CODEC_PLACE, m->their.values + CODEC_PLACE,
                                     CODEC_SEAL + 1 - CODEC_PLACE);
    return order >= 0;
}

/* What is out of its order may be missed. */
static bool their_astray(Merge *m)
{
    const char *from = m->from->db.name;
    m->bad = true;
    return fault_set(m->fault, FAULT_LOG,
                     "%s is damaged: entries stand out of their order. Nothing was merged. Write "
                     "what is sound to a new log (ullage salvage %s NEW), and merge that.",
                     from, from);
}

/* A walk begins with the first entry of the time of the last one, and goes on where the one before
 * it ended. False: it was dealt with, or is bad. */
static bool their_place(Merge *m, DbRow row)
{
    const bool begun = m->begun;
    m->their = row;
    m->spot = spot_load(row, 0);
    m->begun = spot_compare(&m->last, &m->spot) < 0;
    if (begun ? !m->begun : m->begun && m->resumes && spot_compare(&m->next, &m->spot) != 0)
        return their_astray(m);
    return m->begun;
}

static bool their_alike(void *context, DbRow row)
{
    Merge *m = context;
    if (!their_place(m, row))
        return m->bad;
    const DbStep step = db_step(&m->log->db, m->mine, m->fault);
    m->bad = step == DB_BAD;
    if (step != DB_ROW || !m->alike)
        return true;
    m->last = m->spot;
    m->intake.count.read++;
    m->intake.count.same++;
    return false;
}

/* ---- what comes in ---- */

/* What import would refuse is refused here. */
static bool their_fits(Merge *m, const Event *e)
{
    char id[40];
    return (value_check(e, m->fault) && fit(e, m->fault) &&
            not_ahead(m->from, e, m->now, m->fault)) ||
           fault_prefix(m->fault, "%s, entry %s: ", m->from->db.name, uuid_print(&e->id, id));
}

static bool their_taken(Merge *m, DbRow row)
{
    Event e MEMORY_UNSET;
    bool sealed;
    const int64_t added = m->intake.count.added;
    if (!codec_decode(&m->from->codec, row, true, &e, m->fault) ||
        !codec_sealed(row, &e, &sealed, m->fault))
        return fault_prefix(m->fault, "%s: ", m->from->db.name);
    const uint32_t seal = sealed ? (uint32_t)row_number(row, CODEC_SEAL) : event_seal(&e);
    m->last = m->spot;
    if (!intake_put(&m->intake, &e, seal, m->fault))
        return m->intake.damaged && mine_wrong(m, &m->spot, m->fault);
    m->known = m->intake.count.added > added ? 0 : m->known + 1;
    return m->known > 0 || their_fits(m, &e);
}

static bool their_in(void *context, DbRow row)
{
    Merge *m = context;
    if (!their_place(m, row))
        return m->bad;
    if (m->known == KNOWN_RUN)
        return true;
    m->bad = !their_taken(m, row);
    return m->bad;
}

/* ---- the walk ---- */

/* Along the other log from where it was left. DB_ROW: the look has ended it. */
static DbStep walk_on(Merge *m, bool (*look)(void *context, DbRow row))
{
    m->their_pass.look = look;
    m->begun = false;
    db_bind_number(m->theirs, 1, m->last.at.ms);
    db_bind_number(m->mine, 1, m->last.at.ms);
    const DbStep step = db_step(&m->from->db, m->theirs, m->fault);
    sqlite3_reset(m->theirs);
    sqlite3_reset(m->mine);
    if (m->bad || (step == DB_END && m->resumes && !m->begun && !their_astray(m)))
        return DB_BAD;
    m->next = m->spot;
    m->resumes = true;
    return step;
}

static DbStep take_on(Merge *m)
{
    m->known = 0;
    if (!m->differs) {
        m->differs = true;
        m->first = m->spot;
        m->intake.ids.greatest = (Uuid){{0}};
        m->intake.watch = (ReplayWatch){.look = mine_fits, .context = m, .whole = true};
        if (!mine_prove(m, SPOT_BEFORE_ALL.at, m->first))
            return DB_BAD;
    }
    return walk_on(m, their_in);
}

/* What stands behind the first that differs is proved by the fold, where there is a new one. */
static bool walk_end(Merge *m)
{
    if (!m->differs)
        return true;
    if (m->intake.count.added == 0)
        return mine_prove(m, m->first.at, SPOT_AFTER_ALL);
    if (spot_compare(&m->first, &m->intake.earliest) < 0)
        m->intake.earliest = m->first;
    return true;
}

static bool merge_prepare(Merge *m)
{
    m->their_pass.context = m->mine_pass.context = m;
    m->mine_pass.look = mine_beside;
    m->theirs = pass_prepare(m->from, &m->their_pass, m->fault);
    m->mine = pass_prepare(m->log, &m->mine_pass, m->fault);
    return m->theirs != NULL && m->mine != NULL;
}

static bool merge_walk(Merge *m)
{
    m->last = m->seen = SPOT_BEFORE_ALL;
    DbStep step = merge_prepare(m) ? DB_ROW : DB_BAD;
    while (step == DB_ROW && (step = walk_on(m, their_alike)) == DB_ROW)
        step = take_on(m);
    const bool good = step == DB_END && walk_end(m);
    db_done(m->theirs);
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
        good = merge_walk(&m) && (m.intake.count.added == 0 || mark_parted(log, from, fault));
        good = intake_end(&m.intake, good, false, false, fault);
    }
    log_close(from);
    if (good)
        *intake = m.intake.count;
    return good;
}
