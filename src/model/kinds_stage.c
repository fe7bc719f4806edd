/* Kinds about treatment stages: stage, unstage, swap, spares. */
#include "base/whole.h"
#include "model/kinds_private.h"
#include "model/line.h"

#include <string.h>

#define STAGE_FIELD(member, new_)                                                                  \
    {                                                                                              \
        .name = "stage", .option = "stage", .help = "which stage", .type = FIELD_LABEL,            \
        .names = NAMES_STAGE, .may_be_new = (new_), .required = true, .position = 1,               \
        .column = COLUMN_NAME, .offset = offsetof(Event, u.member)                                 \
    }

/* ---- stage ---- */

static const char *const stage_words[] = {
    "sediment", "carbon-granular", "carbon-block", "uv", "membrane", "other", NULL};
static const char *const lamp_words[] = {"always", "with-flow", NULL};
enum {
    STAGE_NAME,
    STAGE_TYPE,
    STAGE_LINE,
    STAGE_POSITION,
    STAGE_LITRES,
    STAGE_DAYS,
    STAGE_HOURS,
    STAGE_LAMP,
    STAGE_LPM,
    STAGE_PURIFYING,
    STAGE_FITTED,
    STAGE_THROUGH,
    STAGE_COST
};
static const Field stage_fields[] = {
    [STAGE_NAME] = STAGE_FIELD(stage.stage, true),
    [STAGE_TYPE] = {.name = "type",
                    .option = "type",
                    .help = "what it is",
                    .type = FIELD_CHOICE,
                    .choices = stage_words,
                    .max = STAGE_OTHER,
                    .column = COLUMN_CODE,
                    .offset = offsetof(Event, u.stage.type)},
    [STAGE_LINE] = {.name = "line",
                    .option = "line",
                    .help = "the line it treats",
                    .type = FIELD_LABEL,
                    .names = NAMES_LINE,
                    .may_be_new = true,
                    .column = COLUMN_OTHER,
                    .offset = offsetof(Event, u.stage.line)},
    [STAGE_POSITION] = {.name = "position",
                        .option = "position",
                        .help = "place on the line, 1 = first that the water passes",
                        .type = FIELD_COUNT,
                        .min = 1,
                        .max = STAGES_MAX,
                        .column = COLUMN_N1,
                        .offset = offsetof(Event, u.stage.position)},
    [STAGE_LITRES] = {.name = "life_litres",
                      .option = "life-litres",
                      .unit = "L",
                      .help = "rated life in litres; 0 = no such limit",
                      .type = FIELD_VOLUME,
                      .max = LITRES_MAX,
                      .column = COLUMN_N2,
                      .offset = offsetof(Event, u.stage.life_litres)},
    [STAGE_DAYS] = {.name = "life_days",
                    .option = "life-days",
                    .unit = "days",
                    .help = "rated life in days; 0 = no such limit",
                    .type = FIELD_COUNT,
                    .max = 36500,
                    .column = COLUMN_MORE,
                    .offset = offsetof(Event, u.stage.life_days)},
    [STAGE_HOURS] = {.name = "life_hours",
                     .option = "life-hours",
                     .unit = "h",
                     .help = "rated lamp hours; 0 = no such limit",
                     .type = FIELD_DECIMAL,
                     .max = 1000000000,
                     .column = COLUMN_MORE,
                     .offset = offsetof(Event, u.stage.life_hours)},
    [STAGE_LAMP] = {.name = "lamp",
                    .option = "lamp",
                    .help = "when the lamp burns",
                    .type = FIELD_CHOICE,
                    .choices = lamp_words,
                    .max = LAMP_WITH_FLOW,
                    .column = COLUMN_MORE,
                    .offset = offsetof(Event, u.stage.lamp)},
    [STAGE_LPM] = {.name = "rated_lpm",
                   .option = "rated-lpm",
                   .unit = "L/min",
                   .help = "rated flow",
                   .type = FIELD_DECIMAL,
                   .flow = true,
                   .max = 1000000,
                   .column = COLUMN_MORE,
                   .offset = offsetof(Event, u.stage.rated_lpm)},
    [STAGE_PURIFYING] = {.name = "purifying",
                         .option = "purifying",
                         .help = "you declare that the train makes questionable water fit to drink",
                         .type = FIELD_FLAG,
                         .max = 1,
                         .column = COLUMN_MORE,
                         .offset = offsetof(Event, u.stage.purifying)},
    [STAGE_FITTED] = {.name = "fitted_at",
                      .option = "fitted",
                      .help = "since when the one in it is fitted; left out: its naming",
                      .type = FIELD_MOMENT,
                      .past = true,
                      .min = MOMENT_MIN_MS,
                      .max = MOMENT_MAX_MS,
                      .column = COLUMN_MORE,
                      .offset = offsetof(Event, u.stage.fitted)},
    [STAGE_THROUGH] = {.name = "litres_through",
                       .option = "through",
                       .unit = "L",
                       .help =
                           "litres through the one in it already; a lamp that burns with the flow "
                           "has its hours from them",
                       .type = FIELD_VOLUME,
                       .max = LITRES_MAX,
                       .column = COLUMN_MORE,
                       .offset = offsetof(Event, u.stage.through)},
    [STAGE_COST] = {.name = "cost",
                    .option = "cost",
                    .help = "what the one in it cost, in your own currency",
                    .type = FIELD_DECIMAL,
                    .max = LITRES_MAX,
                    .column = COLUMN_MORE,
                    .offset = offsetof(Event, u.stage.cost)},
};

static bool stage_check(const State *state, const Event *e, Fault *fault)
{
    const bool is_new = state_stage(state, &e->u.stage.stage) < 0;
    if (is_new && (!event_has(e, STAGE_TYPE) || !event_has(e, STAGE_LINE)))
        return fault_set(fault, FAULT_REFUSED,
                         "'%s' is a new stage: give its --type and its --line. (To amend a stage, "
                         "use the name it has.)",
                         e->u.stage.stage.s);
    if (is_new && state->stage_count == STAGES_MAX)
        return fault_set(fault, FAULT_REFUSED,
                         "There are %d stages already, and no more can be kept. Take one out with "
                         "'unstage' first.",
                         STAGES_MAX);
    if (event_has(e, STAGE_LINE) && state_line(state, &e->u.stage.line) < 0) {
        if (state_vessel(state, &e->u.stage.line) >= 0)
            return fault_set(fault, FAULT_REFUSED,
                             "'%s' is a vessel, and a stage stands on a line. Name the line.",
                             e->u.stage.line.s);
        if (!state_line_fits(state, &e->u.stage.line))
            return refuse_unknown(state, NAMES_LINE, &e->u.stage.line, fault);
    }
    return !event_has(e, STAGE_FITTED) || e->u.stage.fitted <= e->at.ms ||
           fault_set(fault, FAULT_REFUSED, "%s can't have been fitted after the entry's own time.",
                     e->u.stage.stage.s);
}

/* The slot of a stage that was not there, behind the others of its line; -1 with a discrepancy: it
 * names no line (`line` is -1), or there is no room. */
static int stage_new(State *state, const Event *e, int line)
{
    const Label *label = &e->u.stage.stage;
    if (line < 0 || state->stage_count == STAGES_MAX) {
        state_discrepancy(state, e, line < 0 ? DISCREPANCY_NO_SUCH : DISCREPANCY_NO_ROOM, label, 0);
        return -1;
    }
    int others[STAGES_MAX];
    const int last = line_stages(state, line, others);
    state->stages[state->stage_count] = (Stage){.label = *label,
                                                .fitted_at = e->at.ms,
                                                .spares = -1,
                                                .put_off = MOMENT_NONE_MS,
                                                .cost = -1,
                                                .line = line,
                                                .position = last + 1,
                                                .type = STAGE_OTHER};
    return state->stage_count++;
}

static void stage_amend(Stage *stage, const Event *e)
{
    const StageEvent *p = &e->u.stage;
    if (event_has(e, STAGE_TYPE))
        stage->type = (uint8_t)p->type;
    if (event_has(e, STAGE_POSITION))
        stage->position = (int32_t)p->position;
    if (event_has(e, STAGE_LITRES))
        stage->life_ml = p->life_litres;
    if (event_has(e, STAGE_DAYS))
        stage->life_days = p->life_days;
    if (event_has(e, STAGE_HOURS))
        stage->life_ms = p->life_hours * 3600; /* thousandths of an hour */
    if (event_has(e, STAGE_LAMP))
        stage->lamp = (uint8_t)p->lamp;
    if (event_has(e, STAGE_LPM))
        stage->rated_ml_min = p->rated_lpm;
    if (event_has(e, STAGE_PURIFYING))
        stage->purifying = (uint8_t)p->purifying;
    if (event_has(e, STAGE_FITTED))
        stage->fitted_at = int64_smaller(p->fitted, e->at.ms);
    if (event_has(e, STAGE_THROUGH))
        stage->through_ml = p->through;
    if (event_has(e, STAGE_COST))
        stage->cost = p->cost;
}

static void stage_apply(State *state, const Event *e)
{
    const StageEvent *p = &e->u.stage;
    use_seen(&state->use, e->at.ms, e->zone);
    const int line = event_has(e, STAGE_LINE) ? state_line_ensure(state, &p->line) : -1;
    if (event_has(e, STAGE_LINE) && line < 0) {
        state_discrepancy(state, e, DISCREPANCY_NO_ROOM, &p->line, 0);
        return;
    }
    const int known = state_stage(state, &p->stage);
    const int index = known >= 0 ? known : stage_new(state, e, line);
    if (index < 0)
        return;
    if (line >= 0)
        state->stages[index].line = line;
    stage_amend(&state->stages[index], e);
}

static bool stage_present(const State *state, const Event *e, Event *out)
{
    const int index = state_stage(state, &e->u.stage.stage);
    if (index < 0)
        return false;
    const Stage *stage = &state->stages[index];
    out->u.stage = (StageEvent){.stage = stage->label,
                                .type = stage->type,
                                .position = stage->position,
                                .life_litres = stage->life_ml,
                                .life_days = stage->life_days,
                                .life_hours = stage->life_ms / 3600,
                                .lamp = stage->lamp,
                                .rated_lpm = stage->rated_ml_min,
                                .purifying = stage->purifying,
                                .cost = int64_larger(stage->cost, 0)};
    if (stage->line >= 0)
        out->u.stage.line = state->lines[stage->line].label;
    out->has =
        1u << STAGE_NAME | 1u << STAGE_TYPE | 1u << STAGE_POSITION |
        (stage->line >= 0 ? 1u << STAGE_LINE : 0) | (stage->life_ml > 0 ? 1u << STAGE_LITRES : 0) |
        (stage->life_days > 0 ? 1u << STAGE_DAYS : 0) |
        (stage->life_ms > 0 ? 1u << STAGE_HOURS : 0) |
        (stage->type == STAGE_UV ? 1u << STAGE_LAMP : 0) |
        (stage->rated_ml_min > 0 ? 1u << STAGE_LPM : 0) |
        (stage->purifying ? 1u << STAGE_PURIFYING : 0) | (stage->cost >= 0 ? 1u << STAGE_COST : 0);
    return true;
}

const Kind kind_stage = {
    .id = KIND_STAGE,
    .name = "stage",
    .gist = "a treatment stage: names it, or amends what is known of it",
    .example = "sediment --type sediment --line galley --position 1 --life-litres 4000 "
               "--life-days 180",
    .caution = "Declare a train purifying only where its maker's certificate says so for "
               "water of unknown quality; a sediment or carbon stage does not disinfect.",
    FIELDS(stage_fields),
    .check = stage_check,
    .present = stage_present,
    .apply = stage_apply,
};

/* ---- unstage, swap, spares ---- */

static const Field stage_name_fields[] = {STAGE_FIELD(name.name, false)};

static bool stage_name_check(const State *state, const Event *e, Fault *fault)
{
    return must_exist(state, NAMES_STAGE, &e->u.name.name, fault);
}

static void unstage_apply(State *state, const Event *e)
{
    use_seen(&state->use, e->at.ms, e->zone);
    const int index = stage_or_discrepancy(state, e, &e->u.name.name);
    if (index < 0)
        return;
    state->stage_count--;
    memmove(&state->stages[index], &state->stages[index + 1],
            (size_t)(state->stage_count - index) * sizeof state->stages[0]);
    memset(&state->stages[state->stage_count], 0, sizeof state->stages[0]);
}

const Kind kind_unstage = {
    .id = KIND_UNSTAGE,
    .name = "unstage",
    .gist = "a stage taken out of its line",
    .example = "carbon",
    .caution = "Vent the line before a housing is opened.",
    FIELDS(stage_name_fields),
    .check = stage_name_check,
    .apply = unstage_apply,
};

enum { SWAP_STAGE, SWAP_COST };
static const Field swap_fields[] = {
    [SWAP_STAGE] = STAGE_FIELD(swap.stage, false),
    [SWAP_COST] = {.name = "cost",
                   .option = "cost",
                   .help = "what the new one cost; left out: as the one before",
                   .type = FIELD_DECIMAL,
                   .max = LITRES_MAX,
                   .column = COLUMN_MORE,
                   .offset = offsetof(Event, u.swap.cost)},
};

static bool swap_check(const State *state, const Event *e, Fault *fault)
{
    return must_exist(state, NAMES_STAGE, &e->u.swap.stage, fault);
}

static void swap_apply(State *state, const Event *e)
{
    use_witness(&state->use, e->at.ms, e->zone);
    const int index = stage_or_discrepancy(state, e, &e->u.swap.stage);
    if (index < 0)
        return;
    Stage *stage = &state->stages[index];
    state_twice(state, e, &stage->label, stage->fitted_at, stage->swapped_by, TWICE_SWAP_MS);
    stage->fitted_at = e->at.ms;
    stage->swapped_by = uuid_maker(&e->id);
    stage->through_ml = 0;
    stage->put_off = MOMENT_NONE_MS;
    if (event_has(e, SWAP_COST))
        stage->cost = e->u.swap.cost;
    if (stage->spares > 0)
        stage->spares--;
    /* The next flow test is the one that later ones are held against. */
    Line *line = &state->lines[stage->line];
    line->flow_base_ml_min = line->flow_base_pa = line->flow_top_ml_min = -1;
    line->flow_base_at = MOMENT_NONE_MS;
}

const Kind kind_swap = {
    .id = KIND_SWAP,
    .name = "swap",
    .gist = "a new cartridge or lamp in a stage; one spare less",
    .example = "sediment",
    .caution = "Vent the line before a housing is opened; unplug a lamp before it is "
               "touched.",
    .earlier = "'stage NAME --fitted TIME' says when the one in it was fitted",
    FIELDS(swap_fields),
    .check = swap_check,
    .apply = swap_apply,
};

static const Field spares_fields[] = {
    STAGE_FIELD(spares.stage, false),
    {.name = "count",
     .option = "count",
     .help = "how many spares are aboard",
     .type = FIELD_COUNT,
     .required = true,
     .position = 2,
     .max = 999,
     .column = COLUMN_N1,
     .offset = offsetof(Event, u.spares.count)},
};

static bool spares_check(const State *state, const Event *e, Fault *fault)
{
    return must_exist(state, NAMES_STAGE, &e->u.spares.stage, fault);
}

static void spares_apply(State *state, const Event *e)
{
    use_seen(&state->use, e->at.ms, e->zone);
    const int index = stage_or_discrepancy(state, e, &e->u.spares.stage);
    if (index >= 0)
        state->stages[index].spares = e->u.spares.count;
}

static bool spares_present(const State *state, const Event *e, Event *out)
{
    const int index = state_stage(state, &e->u.spares.stage);
    if (index < 0 || state->stages[index].spares < 0)
        return false;
    out->u.spares = (SparesEvent){state->stages[index].label, state->stages[index].spares};
    out->has = 3u;
    return true;
}

const Kind kind_spares = {
    .id = KIND_SPARES,
    .name = "spares",
    .gist = "how many spare cartridges or lamps of a stage are aboard",
    .example = "sediment 2",
    FIELDS(spares_fields),
    .check = spares_check,
    .present = spares_present,
    .apply = spares_apply,
};
