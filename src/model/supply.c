#include "model/supply.h"

#include "model/line.h"

Place vessel_place(const Vessel *vessel)
{
    if (vessel->duty == DUTY_RESERVE)
        return PLACE_RESERVE;
    return vessel->line >= 0 ? PLACE_LINE : PLACE_APART;
}

Supply supply_of(const State *state)
{
    Supply supply = {{0}, 0, 0, 0, 0};
    for (int i = 0; i < state->vessel_count; i++) {
        const Vessel *v = &state->vessels[i];
        if (!vessel_aboard(v))
            continue;
        const int64_t usable = vessel_usable(v);
        supply.by_class[v->quality] += usable;
        switch (vessel_place(v)) {
        case PLACE_LINE:
            supply.line += usable;
            break;
        case PLACE_RESERVE:
            supply.reserve += usable;
            supply.reserve_volume += v->volume;
            break;
        case PLACE_APART:
            supply.apart += usable;
            break;
        }
    }
    return supply;
}

Moment vessel_stale_at(const Vessel *vessel)
{
    if (vessel->volume == 0 || vessel_washes(vessel))
        return MOMENT_NONE;
    const bool sealed = vessel->duty == DUTY_RESERVE && vessel->line < 0;
    const int64_t days = sealed ? STALE_DAYS_RESERVE : STALE_DAYS_LINE;
    return (Moment){(int64_t)vessel->mean_fill + days * MS_PER_DAY};
}

bool vessel_stale(const Vessel *vessel, Moment now)
{
    const Moment at = vessel_stale_at(vessel);
    return moment_known(at) && now.ms >= at.ms;
}

const char *reserve_state_name(ReserveState r)
{
    static const char *const names[] = {"none", "intact", "short", "in use", "spent"};
    return names[r];
}

/* A reserve vessel that its line draws from now. */
static bool reserve_leads(const State *state)
{
    for (int i = 0; i < state->line_count; i++) {
        const Line *line = &state->lines[i];
        const int lead = line_lead(state, line);
        if (lead >= 0 && state->vessels[line->order[lead]].duty == DUTY_RESERVE)
            return true;
    }
    return false;
}

static ShortReason vessel_short(const Vessel *v, Moment now)
{
    /* at least 95 % full, in whole numbers */
    return v->volume * 20 < v->capacity * 19 ? SHORT_LOW
           : v->quality != CLASS_POTABLE     ? SHORT_QUESTIONABLE
           : vessel_stale(v, now)            ? SHORT_STALE
                                             : SHORT_NOT;
}

ShortReason reserve_short(const State *state, Moment now)
{
    for (int i = 0; i < state->vessel_count; i++) {
        const Vessel *v = &state->vessels[i];
        const bool is = vessel_aboard(v) && v->duty == DUTY_RESERVE;
        const ShortReason reason = is ? vessel_short(v, now) : SHORT_NOT;
        if (reason != SHORT_NOT)
            return reason;
    }
    return SHORT_NOT;
}

static bool any_reserve(const State *state)
{
    for (int i = 0; i < state->vessel_count; i++)
        if (vessel_aboard(&state->vessels[i]) && state->vessels[i].duty == DUTY_RESERVE)
            return true;
    return false;
}

static bool any_coupled(const State *state)
{
    for (int i = 0; i < state->line_count; i++)
        if (state->lines[i].count > 0)
            return true;
    return false;
}

ReserveState reserve_state(const State *state, Moment now)
{
    const Supply supply = supply_of(state);
    if (!any_reserve(state))
        return RESERVE_NONE;
    if (any_coupled(state) && (supply.line == 0 || reserve_leads(state)))
        return supply.reserve > 0 ? RESERVE_IN_USE : RESERVE_SPENT;
    return reserve_short(state, now) == SHORT_NOT ? RESERVE_INTACT : RESERVE_SHORT;
}

bool stage_in_life(const Stage *stage, Moment now)
{
    if (stage->life_ml > 0 && stage->through_ml >= stage->life_ml)
        return false;
    if (stage->life_days > 0 && now.ms >= stage->fitted_at + stage->life_days * MS_PER_DAY)
        return false;
    if (stage->life_ms > 0 && stage_lamp_ms(stage, now.ms) >= stage->life_ms)
        return false;
    return true;
}

static bool life_stated(const Stage *stage)
{
    return stage->life_ml > 0 || stage->life_days > 0 || stage->life_ms > 0;
}

static bool is_barrier(const Stage *stage)
{
    return stage->type == STAGE_UV || stage->type == STAGE_MEMBRANE;
}

static Train stage_train(const Stage *stage, int64_t top_ml_min, Moment now)
{
    if (!life_stated(stage))
        return TRAIN_LIFE_UNKNOWN;
    if (!stage_in_life(stage, now))
        return TRAIN_LIFE_OVER;
    if (stage->rated_ml_min > 0 && top_ml_min > stage->rated_ml_min)
        return TRAIN_TOO_FAST;
    return stage->rated_ml_min <= 0 && top_ml_min >= 0 && is_barrier(stage) ? TRAIN_UNRATED
                                                                            : TRAIN_PURIFIES;
}

Train line_train(const State *state, int line, Moment now, int *stage)
{
    bool declared = false, barrier = false;
    Train train = TRAIN_PURIFIES;
    *stage = -1;
    for (int i = 0; i < state->stage_count; i++) {
        const Stage *s = &state->stages[i];
        if (s->line != line)
            continue;
        const Train is = stage_train(s, state->lines[line].flow_top_ml_min, now);
        if (train == TRAIN_PURIFIES && is != TRAIN_PURIFIES) {
            train = is;
            *stage = i;
        }
        declared = declared || s->purifying != 0;
        barrier = barrier || is_barrier(s);
    }
    return !declared ? TRAIN_UNDECLARED : !barrier ? TRAIN_NO_BARRIER : train;
}

static bool line_purifies(const State *state, int line, Moment now)
{
    int stage;
    return line_train(state, line, now, &stage) == TRAIN_PURIFIES;
}

static void doubt_residual(LineDoubt *doubt, Residual residual)
{
    doubt->residual_low = doubt->residual_low || residual == RESIDUAL_LOW;
    doubt->residual_high = doubt->residual_high || residual == RESIDUAL_HIGH;
}

Residual line_residual(const State *state, const Line *line)
{
    const bool same =
        line->count > 0 && (state->vessels[line->order[line->count - 1]].tested & TESTED_TAP) != 0;
    return residual_judge(&line->results[RESULT_CHLORINE], same);
}

Residual vessel_residual(const Vessel *vessel)
{
    return residual_judge(&vessel->results.latest[RESULT_CHLORINE],
                          (vessel->tested & TESTED_VESSEL) != 0);
}

LineDoubt line_doubt(const State *state, int index, Moment now)
{
    const Line *line = &state->lines[index];
    LineDoubt doubt = {.fouled = line->fouled_at != MOMENT_NONE_MS, .marks = (uint8_t)line->found};
    if (line->strangers > 0)
        doubt.marks |= MARK_RAW;
    doubt_residual(&doubt, line_residual(state, line));
    const int lead = line_lead(state, line);
    for (int i = lead < 0 ? line->count : lead; i < line->count; i++) {
        const Vessel *v = &state->vessels[line->order[i]];
        doubt.stale = doubt.stale || vessel_stale(v, now);
        doubt.marks |= v->marks;
        doubt_residual(&doubt, vessel_residual(v));
    }
    return doubt;
}

Verdict line_verdict(const State *state, int line, Moment now)
{
    Quality quality;
    if (!line_delivers(state, &state->lines[line], &quality))
        return VERDICT_NONE;
    switch (quality) {
    case CLASS_POTABLE:
        return VERDICT_DRINK;
    case CLASS_QUESTIONABLE:
        return line_purifies(state, line, now) &&
                       (line_doubt(state, line, now).marks & MARK_FOUND) == 0
                   ? VERDICT_DRINK_IF_TREATED
                   : VERDICT_BOIL_FIRST;
    case CLASS_NON_POTABLE:
        break;
    }
    return VERDICT_WASH_ONLY;
}
