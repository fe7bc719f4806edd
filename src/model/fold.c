#include "model/fold.h"

#include "model/field.h"
#include "model/kinds.h"

void fold_apply(State *state, const Event *e)
{
    state->folded++;
    state->last_at = e->at.ms;
    state->last_zone = e->zone;
    const Kind *kind = kind_of((KindId)e->kind);
    if (kind != NULL)
        kind->apply(state, e);
}

bool fold_check(const State *state, const Event *e, Moment now, Fault *fault)
{
    return event_check(state, e, now, fault);
}
