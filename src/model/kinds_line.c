/* Kinds about lines: couple, pressurise, flowtest. */
#include "base/whole.h"
#include "model/kinds_private.h"
#include "model/line.h"

/* ---- couple ---- */

static const Field couple_fields[] = {
    LINE_FIELD(couple.line, true),
    [COUPLE_ORDER] = {.name = "order",
                      .option = "order",
                      .help = "all its vessels, air side first; none uncouples all",
                      .type = FIELD_LABELS,
                      .names = NAMES_VESSEL,
                      .position = 2,
                      .column = COLUMN_MORE,
                      .offset = offsetof(Event, u.couple.count)},
};

static bool couple_check(const State *state, const Event *e, Fault *fault)
{
    const CoupleEvent *c = &e->u.couple;
    if (state_line(state, &c->line) < 0) {
        if (state_vessel(state, &c->line) >= 0)
            return fault_set(fault, FAULT_REFUSED,
                             "'%s' is a vessel. Name the line first, then its vessels, air side "
                             "first.",
                             c->line.s);
        if (!state_line_fits(state, &c->line))
            return fault_set(
                fault, FAULT_REFUSED,
                "There are %d lines already, and no more can be kept. Use one of them.", LINES_MAX);
    }
    for (int i = 0; i < c->count; i++) {
        if (!must_exist(state, NAMES_VESSEL, &c->order[i], fault))
            return false;
        for (int j = 0; j < i; j++)
            if (label_equal(&c->order[i], &c->order[j]))
                return fault_set(fault, FAULT_REFUSED,
                                 "%s stands twice in the order. Name each vessel once.",
                                 c->order[i].s);
    }
    return true;
}

static void uncouple(State *state, int slot)
{
    Vessel *v = &state->vessels[slot];
    if (v->line < 0)
        return;
    Line *line = &state->lines[v->line];
    int n = 0;
    for (int i = 0; i < line->count; i++) {
        if (line->order[i] == slot)
            continue;
        line->order[n] = line->order[i];
        state->vessels[line->order[n]].position = n;
        n++;
    }
    for (int i = n; i < line->count; i++)
        line->order[i] = 0;
    line->count = n;
    v->line = -1;
    v->position = 0;
}

static void couple_apply(State *state, const Event *e)
{
    const CoupleEvent *c = &e->u.couple;
    use_seen(&state->use, e->at.ms, e->zone);
    const int index = state_line_ensure(state, &c->line);
    if (index < 0) {
        state_discrepancy(state, e, DISCREPANCY_NO_ROOM, &c->line, 0);
        return;
    }
    Line *line = &state->lines[index];
    while (line->count > 0)
        uncouple(state, line->order[line->count - 1]);
    line->strangers = 0;
    for (int i = 0; i < c->count; i++) {
        const int slot = state_vessel(state, &c->order[i]);
        if (slot < 0) {
            state_discrepancy(state, e, DISCREPANCY_NO_SUCH, &c->order[i], 0);
            line->strangers++;
            continue;
        }
        Vessel *v = &state->vessels[slot];
        if (v->line == index) {
            state_discrepancy(state, e, DISCREPANCY_SAME_VESSEL, &v->label, 0);
            continue;
        }
        uncouple(state, slot);
        v->line = index;
        v->position = line->count;
        line->order[line->count++] = slot;
    }
}

static bool couple_present(const State *state, const Event *e, Event *out)
{
    const int slot = state_line(state, &e->u.couple.line);
    if (slot < 0 || state->lines[slot].count == 0)
        return false;
    const Line *line = &state->lines[slot];
    out->u.couple = (CoupleEvent){.line = line->label, .count = line->count};
    for (int i = 0; i < line->count; i++)
        out->u.couple.order[i] = state->vessels[line->order[i]].label;
    out->has = 1u | 1u << COUPLE_ORDER;
    return true;
}

const Kind kind_couple = {
    .id = KIND_COUPLE,
    .name = "couple",
    .gist = "the whole order of a line's vessels, from the air side to the tap",
    .example = "galley A1 A2 A3",
    .caution = "Vent the line before a coupling is opened.",
    FIELDS(couple_fields),
    .check = couple_check,
    .present = couple_present,
    .apply = couple_apply,
};

/* ---- pressurise ---- */

enum { PRESS_LINE, PRESS_KPA, PRESS_AMBIENT, PRESS_ASSERTED };
static const Field pressurise_fields[] = {
    [PRESS_LINE] = LINE_FIELD(pressurise.line, false),
    [PRESS_KPA] = {.name = "kpa",
                   .option = "kpa",
                   .unit = "kPa",
                   .help = "working pressure on the gauge",
                   .type = FIELD_PRESSURE,
                   .required = true,
                   .position = 2,
                   .max = PRESSURE_MAX,
                   .column = COLUMN_N1,
                   .offset = offsetof(Event, u.pressurise.kpa)},
    [PRESS_AMBIENT] = {.name = "ambient_kpa",
                       .option = "ambient",
                       .unit = "kPa",
                       .help = "pressure of the air around; left out: that of sea level",
                       .type = FIELD_PRESSURE,
                       .min = 10000,
                       .max = 200000,
                       .column = COLUMN_N2,
                       .offset = offsetof(Event, u.pressurise.ambient_kpa)},
    [PRESS_ASSERTED] = {.name = "asserted",
                        .option = "asserted",
                        .help = "it stands above a vessel's rating, and is logged all the same",
                        .type = FIELD_FLAG,
                        .max = 1,
                        .column = COLUMN_MORE,
                        .offset = offsetof(Event, u.pressurise.asserted)},
};

/* A pressure is held against the lowest rating that is known. */
static bool pressure_borne(const State *state, const Line *line, const PressuriseEvent *p,
                           Fault *fault)
{
    char rated[64], asked[64];
    const Vessel *v = line_weakest(state, line);
    if (v == NULL || p->kpa <= v->rated_pa || p->asserted != 0)
        return true;
    if (v->rated_pa == 0)
        fault_set(fault, FAULT_REFUSED,
                  "%s takes no pressure: put no air on %s while it is coupled. Take it off the "
                  "line first.",
                  v->label.s, line->label.s);
    else
        fault_set(fault, FAULT_REFUSED,
                  "%s is rated for %s, and %s is above it: it may burst. Lower the regulator, or "
                  "take %s off %s.",
                  v->label.s, pressure_print_exact(v->rated_pa, rated),
                  pressure_print_exact(p->kpa, asked), v->label.s, line->label.s);
    return fault_suffix(fault, " If it is on already: vent it, then log it with --asserted.");
}

static bool pressurise_check(const State *state, const Event *e, Fault *fault)
{
    if (!must_exist(state, NAMES_LINE, &e->u.pressurise.line, fault))
        return false;
    const Line *line = &state->lines[state_line(state, &e->u.pressurise.line)];
    if (line->count == 0)
        return fault_set(fault, FAULT_REFUSED,
                         "No vessel is coupled in %s. Couple its vessels first.", line->label.s);
    return pressure_borne(state, line, &e->u.pressurise, fault);
}

static void pressurise_apply(State *state, const Event *e)
{
    use_seen(&state->use, e->at.ms, e->zone);
    const int index = line_or_discrepancy(state, e, &e->u.pressurise.line);
    if (index < 0)
        return;
    const int64_t ambient =
        event_has(e, PRESS_AMBIENT) ? e->u.pressurise.ambient_kpa : STANDARD_AMBIENT_PA;
    line_pressurise(state, index, e->u.pressurise.kpa, ambient);
    state->lines[index].working_pa = e->u.pressurise.kpa;
    state->lines[index].pressurised_at = e->at.ms;
}

const Kind kind_pressurise = {
    .id = KIND_PRESSURISE,
    .name = "pressurise",
    .gist = "air put on a vented line: the headspaces shrink",
    .example = "galley --psi 40",
    .caution = "Never above the lowest rated pressure on the line. Vent before a lid "
               "or coupling is opened.",
    FIELDS(pressurise_fields),
    .check = pressurise_check,
    .apply = pressurise_apply,
};

/* ---- flowtest ---- */

static const Field flowtest_fields[] = {
    LINE_FIELD(flowtest.line, false),
    {.name = "litres",
     .option = "litres",
     .unit = "L",
     .help = "the known volume that was run",
     .type = FIELD_VOLUME,
     .required = true,
     .position = 2,
     .min = 1,
     .max = CAPACITY_MAX,
     .column = COLUMN_N1,
     .offset = offsetof(Event, u.flowtest.litres)},
    {.name = "seconds",
     .option = "seconds",
     .unit = "s",
     .help = "how long it took",
     .type = FIELD_DECIMAL,
     .required = true,
     .position = 3,
     .min = 1,
     .max = 86400000,
     .column = COLUMN_N2,
     .offset = offsetof(Event, u.flowtest.seconds)},
    {.name = "counted",
     .option = "counted",
     .help = "by a meter, the tap as open as it was: the train gives as much at the least",
     .type = FIELD_FLAG,
     .max = 1,
     .column = COLUMN_CODE,
     .offset = offsetof(Event, u.flowtest.counted)},
};

static bool flowtest_check(const State *state, const Event *e, Fault *fault)
{
    return must_exist(state, NAMES_LINE, &e->u.flowtest.line, fault);
}

/* What a meter counts is what the train gives at the least, for a tap is seldom wide open. So of a
 * week's flows the fastest counts, after a swap as later (common practice, no source). */
enum { FLOW_COUNTED_DAYS = 7 };

/* Is it a faster one of the week after the swap? */
static bool opens_more(const Line *line, const Event *e, int64_t flow)
{
    return flow > line->flow_base_ml_min &&
           e->at.ms - line->flow_base_at < FLOW_COUNTED_DAYS * MS_PER_DAY;
}

static void flowtest_apply(State *state, const Event *e)
{
    use_seen(&state->use, e->at.ms, e->zone);
    const int index = line_or_discrepancy(state, e, &e->u.flowtest.line);
    if (index < 0)
        return;
    Line *line = &state->lines[index];
    /* mL per minute from mL and ms; both within their ranges, so this can't overflow */
    const int64_t flow = e->u.flowtest.litres * MS_PER_MINUTE / e->u.flowtest.seconds;
    const bool counted = e->u.flowtest.counted != 0;
    if (line->flow_base_at == MOMENT_NONE_MS || (counted && opens_more(line, e, flow))) {
        line->flow_base_ml_min = flow;
        line->flow_base_at = line->flow_base_at == MOMENT_NONE_MS ? e->at.ms : line->flow_base_at;
        line->flow_base_pa = line->working_pa;
    }
    line->flow_top_ml_min = int64_larger(line->flow_top_ml_min, flow);
    if (counted && flow < line->flow_last_ml_min &&
        e->at.ms - line->flow_last_at < FLOW_COUNTED_DAYS * MS_PER_DAY)
        return; /* nobody opened the tap as far: that says nothing of the train */
    line->flow_last_ml_min = flow;
    line->flow_last_at = e->at.ms;
    line->flow_last_pa = line->working_pa;
}

const Kind kind_flowtest = {
    .id = KIND_FLOWTEST,
    .name = "flowtest",
    .gist = "seconds to run a known volume at the tap: how open the train is",
    .example = "galley 1 --seconds 14",
    FIELDS(flowtest_fields),
    .check = flowtest_check,
    .apply = flowtest_apply,
};
