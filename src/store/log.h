/* log.h - the water log: one SQLite file, append-only, and the state that follows from it.
 *
 * Only this floor includes sqlite3.h; its headers do not. Every function that can fail takes a
 * Fault: FAULT_LOG (the file can't be opened, is damaged, locked for too long, of another program
 * or of a newer version, the disk is full) or FAULT_REFUSED (the entry can't be). On failure
 * nothing is written.
 */
#ifndef ULLAGE_STORE_LOG_H
#define ULLAGE_STORE_LOG_H

#include "base/label.h"
#include "base/moment.h"
#include "model/event.h"
#include "model/state.h"

#include <stdbool.h>
#include <stdint.h>

typedef struct Log Log;

typedef enum {
    LOG_READ,    /* never writes; a file that is not there is a fault that says how to begin */
    LOG_WRITE,   /* creates the file (0600) and its folder (0700) where they are not there */
    LOG_SCRATCH, /* a private log in memory or a temporary file, gone at close; path is ignored */
    LOG_ASSERTED = 4 /* a flag beside these: triggers, tables and views of another program in it are
                        meant, and do not stop it from being written to */
} LogMode;

/* Opens the log. Gives back NULL and a Fault on failure. Migrates an older schema (LOG_WRITE only;
 * a read of an older one works on a view of it or says to run a writing command). The caller closes
 * it. */
Log *log_open(const char *path, LogMode mode, Fault *fault);
void log_close(Log *log);
/* Of a log that this handle began: takes its file away again where no entry has come into it. Then
 * only log_close may follow. */
void log_unbegin(Log *log);
const char *log_path(const Log *log);
/* Is another file, or none, at its path now? As it was found by the last call that failed. */
bool log_moved(const Log *log);
/* Opens what is at its path now, for a log that was opened with LOG_WRITE; never begins a new one.
 * FAULT_LOG: there is nothing, or no log; then nothing is open, and only this can be tried again.
 */
bool log_reopen(Log *log, Fault *fault);
/* `told` is called once whenever another program that writes is waited for so long that a person
 * notices (up to 15 s). */
void log_on_wait(Log *log, void (*told)(void *context), void *context);

/* The log's own setting of units; metric where none was made. One that can't be read is FAULT_LOG:
 * an amount without a unit must not change its meaning in silence. */
bool log_units(Log *log, Units *units, Fault *fault);
bool log_set_units(Log *log, Units units, Fault *fault);

/* Of the SQLite that runs: "3.40.1". */
const char *log_engine_version(void);

/* How the board was asked to look: "theme", or "alphabet" and "mouse" of a kind of terminal ("" for
 * what is one on all), as a word; empty where nothing was said. */
bool log_look(Log *log, const char *what, const char *terminal, Str *word, Fault *fault);
bool log_set_look(Log *log, const char *what, const char *terminal, const char *word, Fault *fault);

/* What the calendar was told (outlook/calendar.h: calendar_keep); empty at first. */
bool log_calendar(Log *log, Str *kept, Fault *fault);
bool log_set_calendar(Log *log, const char *kept, Fault *fault);

/* A number that changes whenever any process has committed to the log: cheap to ask (no lock held).
 * FAULT_LOG where the file at its path is another one now, or none (log_moved). */
bool log_version(Log *log, int64_t *version, Fault *fault);

/* The state now (all entries), from the stored head; rebuilt by replay where it is stale. *state is
 * the caller's. *entries: rows in the log, voided ones and voids included. */
bool log_state(Log *log, State *state, int64_t *entries, Fault *fault);
/* The stored state, from a look at the file that leaves no trace and waits for nothing: for the
 * completion of names. False where there is none that can be read as it is. */
bool log_peek(const char *path, State *state);
/* The state after all entries with a time <= at. */
bool log_state_at(Log *log, Moment at, State *state, int64_t *entries, Fault *fault);
/* Either without a copy (`at` NULL: now): the log's own, and good until the log is next asked for
 * anything. NULL with a Fault. */
const State *log_state_lent(Log *log, const Moment *at, int64_t *entries, Fault *fault);

/* Appends one entry: gives it an id where it has none (nil), checks it against the state at its
 * time (fold_check; `now` bounds it), writes it durably, brings head and checkpoints up to date;
 * all in one transaction. For a void the target must be there and act: what is taken back already
 * is refused (a void of a void that acts is fine: it brings the entry back). *e receives the id,
 * and where its time is `now` and the latest entry lies a little ahead, the time just after that
 * (event_place, model/field.h); on failure it is as it was. */
bool log_append(Log *log, Event *e, Moment now, Fault *fault);
/* What they change: the head state before and after (NULL: not asked for). Discrepancies that a
 * back-dated entry causes later are in `after`. `dry`: all is done, and then rolled back. */
typedef struct {
    bool dry;
    State *before, *after;
} LogTry;
/* Several entries in one transaction, all or nothing (amend = void plus new; set-up). `try` may be
 * NULL. */
bool log_append_all(Log *log, Event *events, int count, Moment now, const LogTry *try,
                    Fault *fault);

/* Finds an entry by a unique beginning of its id (at least 4 hex digits), or "last" = the latest
 * written entry that still acts and is no void (store/find.c says what is latest). Refused: none or
 * several. */
bool log_find(Log *log, Text id, Event *e, Fault *fault);

/* The same "last"; *own: it is among the latest that were written here, one by one. */
bool log_last(Log *log, Event *e, bool *own, Fault *fault);

/* Reading entries. */
typedef struct {
    Moment since, until; /* inclusive; MOMENT_NONE = open */
    Label vessel; /* only entries that name this vessel (couple orders included); empty = all */
    int32_t kind; /* KindId; KIND_NONE = all */
    bool voided;  /* voided entries too, and the voids */
    bool newest_first;
    int64_t limit; /* 0 = all */
} LogQuery;
/* Called for each entry in order; return false to stop. `voided`: it is taken out by a void. */
typedef bool (*LogVisit)(void *context, const Event *e, bool voided);
bool log_each(Log *log, const LogQuery *query, LogVisit visit, void *context, Fault *fault);
/* Shows the state at `count` moments (two or more), evenly from `since` to `until`, both included.
 */
typedef struct {
    Moment since, until;
    int count;
} LogSpan;
typedef void (*LogLook)(void *context, int i, const State *state);
bool log_sample(Log *log, LogSpan span, LogLook look, void *context, Fault *fault);
/* False with FAULT_LOG where the last log_each passed entries over, because they can't be read or
 * their seal does not fit: how many, and why the first; or where it met some out of their order or,
 * asked for all, not as many as were written. */
bool log_all_read(const Log *log, Fault *fault);

/* Proves the file sound (SQLite's own integrity check, foreign keys, the triggers, every row
 * readable, ids unique) and every stored state and strike equal to a fresh fold. `report` receives
 * one line per thing proved or found wrong. False with FAULT_LOG where anything is wrong. */
typedef struct {
    void (*line)(void *context, bool good, const char *line); /* NULL: nobody listens */
    void *context;
} LogReport;
bool log_verify(Log *log, LogReport report, Fault *fault);
/* Seals the entries that have no seal (those of an older version), and tells how many. Verify
 * first: a seal says that an entry is still what it was when it was sealed. */
bool log_seal(Log *log, int64_t *sealed, Fault *fault);

/* An online copy through the backup API: written beside the target, synced, renamed over it.
 * Refused where the target exists, unless `replace`. */
bool log_backup(Log *log, const char *target, bool replace, Fault *fault);

/* Puts a proved backup in the place of the log at `path`, which may be open elsewhere, damaged, or
 * not there. What was there is kept under a name with `now` in it; *kept receives that name ("":
 * there was nothing). FAULT_LOG: the backup is not sound, the disk is full, the log is busy; the
 * log is as it was. */
bool log_restore(const char *path, const char *backup, Moment now, Str *kept, Fault *fault);

/* Takes in what another log has and this one has not. */
typedef struct {
    int64_t read, added, same;
    int64_t differ; /* discrepancies that are open after it and were not before */
} LogIntake;
/* Refused whole, like an import, where an entry lies ahead of `now` (clock_ahead, model/field.h),
 * unless a void in the other log names it: it would stand before all that is logged now. */
bool log_merge(Log *log, const char *other, Moment now, LogIntake *intake, Fault *fault);

#endif
