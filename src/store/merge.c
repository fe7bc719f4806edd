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

typedef enum {
    MINE_WHOLE,
    MINE_UNREAD, /* of a kind that is not known, or damaged: it counts for nothing */
    MINE_OTHER   /* read, and not what was written */
} MineState;

typedef struct {
    Spot spot;
    int64_t seal;
    bool sealed;
} SealedSpot;

typedef struct {
    SealedSpot at;
    MineState state;
} MineRow;

typedef struct {
    sqlite3_stmt *rows;
    IdWatch *ids; /* which is shown both logs in their order: what ascends through both is new */
    MineRow run[MINE_RUN];
    int at, count;
    const char *other; /* the other log */
} Mine;

/* This log is no less foreign than the other: of a row that is damaged nobody can say that both
 * have it, nor, where its id is, that the other's is new. */
static bool mine_wrong(Log *log, const MineRow *row, const char *other, Fault *fault)
{
    char at[48], id[40];
    return fault_set(
        fault, FAULT_LOG,
        "%s is damaged: its entry %s of %s is not what was written. Nothing was merged. "
        "Write what is sound to a new log (ullage salvage %s NEW), and merge %s into "
        "that.",
        log->db.name, uuid_print(&row->at.spot.id, id), moment_print_utc(row->at.spot.at, at),
        log->db.name, other);
}

static bool mine_judge(Log *log, sqlite3_stmt *stmt, MineRow *row, Fault *fault)
{
    Event e MEMORY_UNSET;
    Fault why;
    row->at =
        (SealedSpot){spot_load(db_row(stmt), 0), sqlite3_column_int64(stmt, CODEC_SEAL), false};
    row->state = MINE_UNREAD;
    if (codec_decode(&log->codec, db_row(stmt), true, &e, &why))
        row->state =
            codec_sealed(db_row(stmt), &e, &row->at.sealed, &why) ? MINE_WHOLE : MINE_OTHER;
    if (row->state == MINE_WHOLE || log_may_pass(log))
        return true;
    *fault = why;
    return false;
}

/* The next run, behind `last`. (at,id)>(?1,?2) would be asked of every single row. */
static bool mine_fill(Log *log, Mine *mine, const Spot *last, Fault *fault)
{
    DbStep step = DB_END;
    mine->at = mine->count = 0;
    db_bind_number(mine->rows, 1, last->at.ms);
    while (mine->count < MINE_RUN && (step = db_step(&log->db, mine->rows, fault)) == DB_ROW) {
        MineRow *row = &mine->run[mine->count];
        if (!mine_judge(log, mine->rows, row, fault))
            return false;
        mine->count += mine->count > 0 || spot_compare(last, &row->at.spot) < 0;
    }
    sqlite3_reset(mine->rows);
    return step != DB_BAD;
}

static bool mine_open(Log *log, Mine *mine, Fault *fault)
{
    mine->rows = db_prepare(
        &log->db, "SELECT " CODEC_COLUMNS " FROM entry WHERE at>=?1 ORDER BY at,id", fault);
    return mine->rows != NULL && mine_fill(log, mine, &SPOT_BEFORE_ALL, fault);
}

static bool mine_next(Log *log, Mine *mine, Fault *fault)
{
    const MineRow *row = &mine->run[mine->at++];
    const Spot last = row->at.spot;
    if (row->state == MINE_OTHER)
        return mine_wrong(log, row, mine->other, fault);
    if (mine->ids->filter == NULL && !idwatch_add(mine->ids, log, &last, fault))
        return false;
    return mine->at < MINE_RUN || mine_fill(log, mine, &last, fault);
}

static bool mine_before(Log *log, Mine *mine, const Spot *spot, Fault *fault)
{
    while (mine->at < mine->count && spot_compare(&mine->run[mine->at].at.spot, spot) < 0)
        if (!mine_next(log, mine, fault))
            return false;
    return true;
}

/* The row of this log at the place of theirs: NULL where there is none. */
static const MineRow *mine_at(const Mine *mine, const Spot *spot)
{
    const MineRow *row = mine->at < mine->count ? &mine->run[mine->at] : NULL;
    return row != NULL && spot_compare(&row->at.spot, spot) == 0 ? row : NULL;
}

static bool their_read(Log *from, sqlite3_stmt *row, Event *e, SealedSpot *their, Fault *fault)
{
    if (!codec_decode(&from->codec, db_row(row), true, e, fault) ||
        !codec_sealed(db_row(row), e, &their->sealed, fault))
        return fault_prefix(fault, "%s: ", from->db.name);
    their->spot = spot_of(e);
    their->seal = sqlite3_column_int64(row, CODEC_SEAL);
    return true;
}

/* The other log is as foreign as a file of lines: what import would refuse is refused here, and a
 * seal is believed only where it fits, on both sides. */
static bool row_in(Intake *intake, Log *from, Mine *mine, sqlite3_stmt *row, Moment now,
                   Fault *fault)
{
    Event e MEMORY_UNSET;
    SealedSpot their = {.sealed = false};
    char id[40];
    if (!their_read(from, row, &e, &their, fault) ||
        !mine_before(intake->log, mine, &their.spot, fault))
        return false;
    const MineRow *own = mine_at(mine, &their.spot);
    if (own != NULL && own->state != MINE_WHOLE)
        return mine_wrong(intake->log, own, from->db.name, fault);
    if (own != NULL && own->at.sealed && their.sealed && own->at.seal == their.seal) {
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
    mine->other = from->db.name;
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
    if (access(other, F_OK) != 0) {
        return fault_set(fault, FAULT_LOG, "%s can't be merged: %s. Name the file of another log.",
                         other, strerror(errno));
    }
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
