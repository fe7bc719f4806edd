/* intake.h - taking in many entries at once: what import and merge share. Private to src/store.
 *
 * The same entry (time, id and content) changes nothing; the same time and id with other content,
 * or the same id at another time (idwatch.h), is a conflict and refuses the whole. */
#ifndef ULLAGE_STORE_INTAKE_H
#define ULLAGE_STORE_INTAKE_H

#include "store/idwatch.h"
#include "store/inside.h"
#include "store/tally.h"

typedef struct {
    Log *log;
    LogIntake count;
    Spot earliest; /* of what was added */
    IdWatch ids;   /* of what was added */
    /* Of who proves the whole log as well, and shows all ids: those before `earliest`, and, in this
     * watch, those that the fold passes. Else look is NULL. */
    ReplayWatch watch;
    uint8_t *targets; /* filter: ids that voids name; NULL: none do */
    Uuid last_target; /* the greatest of them */
    bool unsent;      /* it has yet to be written to the folder of sync */
    bool strikes;     /* voids came in, or entries that voids name */
    bool damaged;     /* what was to be put is there, and is not what was written */
    Tally tally;      /* of what was added */
    sqlite3_stmt *insert;
} Intake;

/* Begins a transaction. intake_end must follow in any case where this succeeds. */
bool intake_begin(Intake *intake, Log *log, Fault *fault);
/* `seal`: event_seal(e). */
bool intake_put(Intake *intake, const Event *e, uint32_t seal, Fault *fault);
/* With `good`: looks for conflicts, brings the derived tables up to date, and commits unless `dry`.
 * Else rolls back. `imported`: the order of writing is forgotten (find.c). */
bool intake_end(Intake *intake, bool good, bool dry, bool imported, Fault *fault);

#endif
