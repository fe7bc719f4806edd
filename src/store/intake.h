/* intake.h - taking in many entries at once: what import and merge share. Private to src/store.
 *
 * The same entry (time, id and content) changes nothing; the same time and id with other content,
 * or the same id at another time (idwatch.h), is a conflict and refuses the whole. */
#ifndef ULLAGE_STORE_INTAKE_H
#define ULLAGE_STORE_INTAKE_H

#include "store/idwatch.h"
#include "store/inside.h"
#include "store/tally.h"

enum { INTAKE_ROWS = 32 };

typedef struct {
    Event e;
    uint32_t seal;
} IntakeRow;

typedef struct {
    Log *log;
    LogIntake count;
    Spot earliest;    /* of what was added */
    IdWatch ids;      /* of what was added */
    uint8_t *targets; /* filter: ids that voids name; NULL: none do */
    Uuid last_target; /* the greatest of them */
    bool unsent;      /* it has yet to be written to the folder of sync */
    bool strikes;     /* voids came in, or entries that voids name */
    Tally tally;      /* of what was added */
    sqlite3_stmt *insert;

    /* Of who folds what comes in by itself, in its order (merge.c). */
    Replay fold;         /* .head is NULL where nobody does */
    int64_t differed;    /* discrepancies before */
    int64_t voids;       /* were foreseen, and did not come yet */
    sqlite3_stmt *whole; /* inserts INTAKE_ROWS */
    IntakeRow *rows;     /* INTAKE_ROWS */
    int held;            /* so many of them wait */
} Intake;

/* Begins a transaction. intake_end must follow in any case where this succeeds. */
bool intake_begin(Intake *intake, Log *log, Fault *fault);
/* `seal`: event_seal(e). */
bool intake_put(Intake *intake, const Event *e, uint32_t seal, Fault *fault);
/* The refusal of an entry that is there with other content. Always false. */
bool intake_conflict(const Event *e, Fault *fault);

/* Begins the fold at `first`, the first entry that comes in: what the voids of `other` take out is
 * foreseen, and all before it is folded. */
bool intake_fold(Intake *intake, Log *other, const Spot *first, Fault *fault);
/* The place for the next entry that comes in, which is not there yet, and takes it in, in the order
 * of the fold: so it is in the state, though it may be written with the next ones only. */
Event *intake_next(Intake *intake);
bool intake_push(Intake *intake, uint32_t seal, Fault *fault);
/* One that was there already, in its turn; e NULL: it can't be read. */
bool intake_pass(Intake *intake, const Spot *spot, const Event *e, Fault *fault);
/* With `good`: looks for conflicts, brings the derived tables up to date, and commits unless `dry`.
 * Else rolls back. `imported`: the order of writing is forgotten (find.c). */
bool intake_end(Intake *intake, bool good, bool dry, bool imported, Fault *fault);

#endif
