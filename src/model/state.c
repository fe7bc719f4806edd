#include "model/state.h"

#include "base/whole.h"

#include <string.h>

/* No padding: see state.h. */
_Static_assert(sizeof(Vessel) == 48 + 18 * 8 + 2 * 4 + 8 + sizeof(Results), "Vessel has padding");
_Static_assert(sizeof(Line) == 48 + VESSELS_ABOARD_MAX * 4 + 2 * 4 + 28 * 8 + RESULT_COUNT * 16,
               "Line has padding");
_Static_assert(sizeof(Stage) == 48 + 9 * 8 + 2 * 4 + 8, "Stage has padding");
_Static_assert(sizeof(Source) == 48 + 104 + RESULT_COUNT * 16, "Source has padding");
_Static_assert(sizeof(Discrepancy) == 16 + 2 * 8 + 48 + 8, "Discrepancy has padding");
_Static_assert(sizeof(Use) % 8 == 0, "Use must keep what follows aligned");
_Static_assert(sizeof(State) == 16 + 8 + sizeof(Totals) + sizeof(Use) + 24 + 8 + 8 + 8 +
                                    VESSEL_SLOTS * sizeof(Vessel) + LINES_MAX * sizeof(Line) +
                                    STAGES_MAX * sizeof(Stage) + SOURCES_MAX * sizeof(Source) +
                                    STOPS_MAX * sizeof(Stop) +
                                    DISCREPANCIES_MAX * sizeof(Discrepancy),
               "State has padding");

void state_init(State *state)
{
    memset(state, 0, sizeof *state);
    state->last_at = MOMENT_NONE_MS;
    state->crew = -1;
    state->lead_days = LEAD_DAYS;
    use_init(&state->use);
}

int state_vessel_ever(const State *state, const Label *label)
{
    for (int i = 0; i < state->vessel_count; i++)
        if (label_equal(&state->vessels[i].label, label))
            return i;
    return -1;
}

int state_vessel(const State *state, const Label *label)
{
    const int i = state_vessel_ever(state, label);
    return i >= 0 && vessel_aboard(&state->vessels[i]) ? i : -1;
}

int state_line(const State *state, const Label *label)
{
    for (int i = 0; i < state->line_count; i++)
        if (label_equal(&state->lines[i].label, label))
            return i;
    return -1;
}

int state_stage(const State *state, const Label *label)
{
    for (int i = 0; i < state->stage_count; i++)
        if (label_equal(&state->stages[i].label, label))
            return i;
    return -1;
}

int state_source(const State *state, const Label *label)
{
    for (int i = 0; i < state->source_count; i++)
        if (label_equal(&state->sources[i].label, label))
            return i;
    return -1;
}

int state_stop(const State *state, const Label *label)
{
    for (int i = 0; i < state->stop_count; i++)
        if (label_equal(&state->stops[i].label, label))
            return i;
    return -1;
}

const Label *state_name(const State *state, Names names, int i)
{
    switch (names) {
    case NAMES_VESSEL:
        return i < state->vessel_count ? &state->vessels[i].label : NULL;
    case NAMES_LINE:
        return i < state->line_count ? &state->lines[i].label : NULL;
    case NAMES_STAGE:
        return i < state->stage_count ? &state->stages[i].label : NULL;
    case NAMES_SOURCE:
        return i < state->source_count ? &state->sources[i].label : NULL;
    case NAMES_STOP:
        return i < state->stop_count ? &state->stops[i].label : NULL;
    case NAMES_NOTHING:
        break;
    }
    return NULL;
}

int state_find(const State *state, Names names, const Label *label)
{
    switch (names) {
    case NAMES_VESSEL:
        return state_vessel(state, label);
    case NAMES_LINE:
        return state_line(state, label);
    case NAMES_STAGE:
        return state_stage(state, label);
    case NAMES_SOURCE:
        return state_source(state, label);
    case NAMES_STOP:
        return state_stop(state, label);
    case NAMES_NOTHING:
        break;
    }
    return -1;
}

bool vessel_aboard(const Vessel *vessel)
{
    return vessel->retired_at == MOMENT_NONE_MS;
}

bool vessel_washes(const Vessel *vessel)
{
    return vessel->duty == DUTY_WASH && vessel->line < 0;
}

int64_t vessel_usable(const Vessel *vessel)
{
    return int64_larger(vessel->volume - vessel->heel, 0);
}

int64_t vessel_room(const Vessel *vessel)
{
    return vessel->capacity - vessel->volume;
}

void vessel_lower(Vessel *vessel, int64_t ml)
{
    vessel->volume -= ml;
    if (vessel->volume == 0) {
        vessel->mean_fill = 0;
        vessel->oldest_fill = MOMENT_NONE_MS;
        vessel->water_put_off = MOMENT_NONE_MS; /* that water is gone */
        memset(&vessel->results, 0, sizeof vessel->results);
        vessel->tested = 0;
        vessel->marks &= (uint8_t)~MARK_NITRATE;
    }
}

int64_t stage_lamp_ms(const Stage *stage, int64_t now)
{
    if (stage->lamp == LAMP_WITH_FLOW && stage->rated_ml_min > 0)
        return (int64_t)((double)stage->through_ml / (double)stage->rated_ml_min *
                         (double)MS_PER_MINUTE);
    return int64_larger(now - stage->fitted_at, 0);
}

int line_stages(const State *state, int line, int out[STAGES_MAX])
{
    int n = 0;
    for (int i = 0; i < state->stage_count; i++) {
        const Stage *stage = &state->stages[i];
        if (stage->line != line)
            continue;
        int at = n++;
        for (; at > 0; at--) {
            const Stage *before = &state->stages[out[at - 1]];
            if (before->position < stage->position ||
                (before->position == stage->position &&
                 label_compare(&before->label, &stage->label) < 0))
                break;
            out[at] = out[at - 1];
        }
        out[at] = i;
    }
    return n;
}

/* The slot for one more line: a free one, else that of a line that has neither vessel nor stage. */
static int line_room(const State *state)
{
    if (state->line_count < LINES_MAX)
        return state->line_count;
    int stages[STAGES_MAX];
    for (int i = 0; i < state->line_count; i++)
        if (state->lines[i].count == 0 && line_stages(state, i, stages) == 0)
            return i;
    return -1;
}

bool state_line_fits(const State *state, const Label *label)
{
    return state_line(state, label) >= 0 || line_room(state) >= 0;
}

int state_line_ensure(State *state, const Label *label)
{
    const int known = state_line(state, label);
    if (known >= 0)
        return known;
    const int room = line_room(state);
    if (room < 0)
        return -1;
    Line *line = &state->lines[room];
    memset(line, 0, sizeof *line);
    line->label = *label;
    line->working_pa = -1;
    line->pressurised_at = line->fouled_at = line->found_at = line->meter_at = MOMENT_NONE_MS;
    line->known_at = MOMENT_NONE_MS;
    line->flow_base_ml_min = line->flow_base_pa = -1;
    line->flow_last_ml_min = line->flow_last_pa = line->flow_top_ml_min = -1;
    line->flow_base_at = line->flow_last_at = MOMENT_NONE_MS;
    if (room == state->line_count)
        state->line_count++;
    return room;
}

void state_discrepancy(State *state, const Event *e, DiscrepancyKind kind, const Label *name,
                       int64_t amount)
{
    if (state->discrepancy_count == DISCREPANCIES_MAX) {
        memmove(state->discrepancies, state->discrepancies + 1,
                (DISCREPANCIES_MAX - 1) * sizeof state->discrepancies[0]);
        state->discrepancy_count--;
        state->discrepancy_lost++;
    }
    Discrepancy *d = &state->discrepancies[state->discrepancy_count++];
    memset(d, 0, sizeof *d);
    d->entry = e->id;
    d->at = e->at.ms;
    d->amount = amount;
    if (name != NULL)
        d->name = *name;
    d->kind = (uint8_t)kind;
    d->entry_kind = (uint8_t)e->kind;
}

void state_twice(State *state, const Event *e, const Label *name, int64_t at, uint32_t maker,
                 int64_t within)
{
    const uint32_t own = uuid_maker(&e->id);
    if (own != 0 && maker != 0 && own != maker && e->at.ms - at <= within)
        state_discrepancy(state, e, DISCREPANCY_TWICE, name, e->at.ms - at);
}

/* ---- sources ---- */

void source_class(Source *source, Quality quality, int64_t at)
{
    if (source->quality == (uint8_t)quality)
        return;
    if (source->leaning.fills > 0) {
        source->leant = source->leaning;
        source->leaning = (Leaning){0};
        source->was = source->quality;
        source->amended_at = at;
    } else if (source->was == (uint8_t)quality) {
        source->leaning = source->leant;
        source->leant = (Leaning){0};
    }
    source->quality = (uint8_t)quality;
}

void source_filled(Source *source, int slot, int64_t at, int64_t ml, bool classed)
{
    source->fills++;
    source->taken += ml;
    source->filled |= UINT64_C(1) << slot;
    source->held |= UINT64_C(1) << slot;
    if (classed)
        return;
    Leaning *leaning = &source->leaning;
    if (leaning->fills++ == 0)
        leaning->since = at;
    leaning->vessels |= UINT64_C(1) << slot;
}

static void vessels_follow(uint64_t *vessels, uint64_t way, const int32_t *slots, int count)
{
    bool had = false;
    if ((*vessels & way) == 0 || (*vessels & way) == way)
        return; /* none of it, or all of it: the rule rather than the exception */
    for (int j = 0; j < count; j++) {
        had = had || (*vessels >> slots[j] & 1) != 0;
        *vessels |= (uint64_t)had << slots[j];
    }
}

void sources_follow(State *state, const int32_t *slots, int count)
{
    uint64_t way = 0;
    for (int j = 0; j < count; j++)
        way |= UINT64_C(1) << slots[j];
    for (int i = 0; i < state->source_count; i++) {
        Source *source = &state->sources[i];
        vessels_follow(&source->filled, way, slots, count);
        vessels_follow(&source->leaning.vessels, way, slots, count);
        vessels_follow(&source->leant.vessels, way, slots, count);
        vessels_follow(&source->held, way, slots, count);
    }
}

void source_nitrate(State *state, const Source *source)
{
    for (int i = 0; i < state->vessel_count; i++)
        if ((source->held >> i & 1) != 0 && state->vessels[i].volume > 0)
            state->vessels[i].marks |= MARK_NITRATE;
}

void sources_treated(State *state, const Vessel *vessel)
{
    for (int i = 0; i < state->source_count; i++)
        state->sources[i].filled &= ~(UINT64_C(1) << (vessel - state->vessels));
}

void sources_emptied(State *state, const Vessel *vessel)
{
    for (int i = 0; i < state->source_count; i++)
        state->sources[i].held &= ~(UINT64_C(1) << (vessel - state->vessels));
}

void sources_forget(State *state, const Vessel *vessel)
{
    sources_treated(state, vessel);
    sources_emptied(state, vessel);
    const uint64_t kept = ~(UINT64_C(1) << (vessel - state->vessels));
    for (int i = 0; i < state->source_count; i++) {
        state->sources[i].leaning.vessels &= kept;
        state->sources[i].leant.vessels &= kept;
    }
}
