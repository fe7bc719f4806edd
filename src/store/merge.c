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

/* The entries of this log, walked along beside those of the other: what both have, by place and
 * seal, need not be put in. Read ahead in runs: SQLite would have to find the place of an open walk
 * again behind each row that comes in. Rows that come in stand before the one stepped on. */
enum { MINE_RUN = 1024 };

typedef struct {
    Spot spot;
    int64_t seal;
    bool sealed;
} SealedSpot;

typedef struct {
    sqlite3_stmt *rows;
    IdWatch *ids; /* which is shown both logs in their order: what ascends through both is new */
    SealedSpot run[MINE_RUN];
    int at, count;
} Mine;

/* The next run, behind `last`. (at,id)>(?1,?2) would be asked of every single row. */
static bool mine_fill(Log *log, Mine *mine, const Spot *last, Fault *fault)
{
    DbStep step = DB_END;
    mine->at = mine->count = 0;
    db_bind_number(mine->rows, 1, last->at.ms);
    while (mine->count < MINE_RUN && (step = db_step(&log->db, mine->rows, fault)) == DB_ROW) {
        SealedSpot *row = &mine->run[mine->count];
        sqlite3_value *seal = db_value(mine->rows, 2);
        row->spot = spot_load(mine->rows, 0);
        row->sealed = sqlite3_value_type(seal) == SQLITE_INTEGER;
        row->seal = sqlite3_value_int64(seal);
        mine->count += mine->count > 0 || spot_compare(last, &row->spot) < 0;
    }
    sqlite3_reset(mine->rows);
    return step != DB_BAD;
}

static bool mine_open(Log *log, Mine *mine, Fault *fault)
{
    mine->rows =
        db_prepare(&log->db, "SELECT at,id,seal FROM entry WHERE at>=?1 ORDER BY at,id", fault);
    return mine->rows != NULL && mine_fill(log, mine, &SPOT_BEFORE_ALL, fault);
}

static bool mine_next(Log *log, Mine *mine, Fault *fault)
{
    const Spot last = mine->run[mine->at++].spot;
    if (mine->ids->filter == NULL && !idwatch_add(mine->ids, log, &last, fault))
        return false;
    return mine->at < MINE_RUN || mine_fill(log, mine, &last, fault);
}

static bool mine_before(Log *log, Mine *mine, const Spot *spot, Fault *fault)
{
    while (mine->at < mine->count && spot_compare(&mine->run[mine->at].spot, spot) < 0)
        if (!mine_next(log, mine, fault))
            return false;
    return true;
}

static bool mine_has(Log *log, Mine *mine, const SealedSpot *their, bool *has, Fault *fault)
{
    if (!mine_before(log, mine, &their->spot, fault))
        return false;
    const SealedSpot *row = mine->at < mine->count ? &mine->run[mine->at] : NULL;
    *has = row != NULL && spot_compare(&row->spot, &their->spot) == 0 && row->sealed &&
           their->sealed && row->seal == their->seal;
    return true;
}

static bool their_read(Log *from, sqlite3_stmt *row, Event *e, SealedSpot *their, Fault *fault)
{
    if (!codec_decode(&from->codec, row, true, e, fault) ||
        !codec_sealed(row, e, &their->sealed, fault))
        return fault_prefix(fault, "%s: ", from->db.name);
    their->spot = spot_of(e);
    their->seal = sqlite3_column_int64(row, CODEC_SEAL);
    return true;
}

/* The other log is as foreign as a file of lines: what import would refuse is refused here, and a
 * seal is believed only where it fits, also that of an entry that this log has. */
static bool row_in(Intake *intake, Log *from, Mine *mine, sqlite3_stmt *row, Moment now,
                   Fault *fault)
{
    Event e MEMORY_UNSET;
    SealedSpot their = {.sealed = false};
    bool has = false;
    char id[40];
    if (!their_read(from, row, &e, &their, fault) ||
        !mine_has(intake->log, mine, &their, &has, fault))
        return false;
    if (has) {
        intake->count.read++;
        intake->count.same++;
        return true;
    }
    if (!value_check(&e, fault) || !fit(&e, fault) || !not_ahead(from, &e, now, fault))
        return fault_prefix(fault, "%s, entry %s: ", from->db.name, uuid_print(&e.id, id));
    return intake_put(intake, &e, fault);
}

static bool rows_in(Intake *intake, Log *from, Moment now, Fault *fault)
{
    sqlite3_stmt *rows =
        db_prepare(&from->db, "SELECT " CODEC_COLUMNS " FROM entry ORDER BY at,id", fault);
    Mine *mine = memory_get(sizeof *mine);
    DbStep step = DB_BAD;
    bool good = rows != NULL && mine_open(intake->log, mine, fault);
    mine->ids = &intake->ids;
    mine->ids->greatest = (Uuid){{0}};
    while (good && (step = db_step(&from->db, rows, fault)) == DB_ROW)
        good = row_in(intake, from, mine, rows, now, fault);
    good = good &&
           (intake->count.added == 0 || mine_before(intake->log, mine, &SPOT_AFTER_ALL, fault));
    db_done(mine->rows);
    free(mine);
    db_done(rows);
    return good && step == DB_END;
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
    if (access(other, F_OK) != 0)
        return fault_set(fault, FAULT_LOG, "%s can't be merged: %s. Name the file of another log.",
                         other, strerror(errno));
    /* log_open_tuned(LOG_READ) makes sure that it is a log, of a version that is known */
    Log *from = log_open_tuned(other, LOG_READ, log->tuning, fault);
    if (from == NULL)
        return false;
    Intake taking;
    /* It is walked through once, in its order: pages seen need not be kept. */
    bool good =
        db_run(&from->db, "PRAGMA cache_size=-256", fault) && intake_begin(&taking, log, fault);
    if (good) {
        good = rows_in(&taking, from, now, fault) &&
               (taking.count.added == 0 || mark_parted(log, from, fault));
        good = intake_end(&taking, good, false, false, fault);
    }
    log_close(from);
    if (good)
        *intake = taking.count;
    return good;
}
