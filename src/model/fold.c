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

void fold_unread(State *state)
{
    state->folded++;
    state->unread++;
    for (int i = 0; i < state->vessel_count; i++) {
        Vessel *v = &state->vessels[i];
        if (!vessel_aboard(v))
            continue;
        v->quality = (uint8_t)quality_worst((Quality)v->quality, CLASS_QUESTIONABLE);
        v->marks |= MARK_RAW;
    }
}

bool fold_check(const State *state, const Event *e, Moment now, Fault *fault)
{
    return event_check(state, e, now, fault);
}
