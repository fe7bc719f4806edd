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
    if (vessel->volume == 0 || vessel->duty == DUTY_WASH)
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

ReserveState reserve_state(const State *state, Moment now)
{
    const Supply supply = supply_of(state);
    bool any = false, whole = true;
    for (int i = 0; i < state->vessel_count; i++) {
        const Vessel *v = &state->vessels[i];
        if (!vessel_aboard(v) || v->duty != DUTY_RESERVE)
            continue;
        any = true;
        /* at least 95 % full, in whole numbers */
        if (v->volume * 20 < v->capacity * 19 || v->quality != CLASS_POTABLE ||
            vessel_stale(v, now))
            whole = false;
    }
    if (!any)
        return RESERVE_NONE;
    if (supply.by_class[CLASS_POTABLE] == 0)
        return RESERVE_SPENT;
    if (supply.line == 0 || reserve_leads(state))
        return RESERVE_IN_USE;
    return whole ? RESERVE_INTACT : RESERVE_SHORT;
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

bool line_purifies(const State *state, int line, Moment now)
{
    bool declared = false;
    for (int i = 0; i < state->stage_count; i++) {
        const Stage *stage = &state->stages[i];
        if (stage->line != line)
            continue;
        if (!stage_in_life(stage, now))
            return false;
        if (stage->purifying != 0)
            declared = true;
    }
    return declared;
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
        return line_purifies(state, line, now) ? VERDICT_DRINK_IF_TREATED : VERDICT_BOIL_FIRST;
    case CLASS_NON_POTABLE:
        break;
    }
    return VERDICT_WASH_ONLY;
}
