/* fold.h - the one road in: live entries, replay, import, merge and tests all reach the state here.
 *
 * State = fold over the entries that are not voided, ordered by (time, id). Who feeds the fold (the
 * store, a test) leaves out the voided ones: see strike.h. */
#ifndef ULLAGE_MODEL_FOLD_H
#define ULLAGE_MODEL_FOLD_H

#include "model/event.h"
#include "model/state.h"

/* Can't fail: what is in the log has happened. Entries must come in order; void entries are counted
 * and change nothing. */
void fold_apply(State *state, const Event *e);
/* An entry is there and can't be read (the log is damaged, or it is of a newer program): what it
 * changed is not known, so the water of every vessel aboard is at least questionable and raw from
 * here on, as from a source that nobody knows. Levels stay as they are. */
void fold_unread(State *state);
/* Is asked before an append only: see event_check. */
bool fold_check(const State *state, const Event *e, Moment now, Fault *fault);

#endif
