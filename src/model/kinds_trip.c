/* Kinds about the trip: where water comes from, who is aboard, what is planned: source, crew, stop,
 * unstop. */
#include "model/kinds_private.h"

#include <string.h>

/* ---- source ---- */

static const char *const source_words[] = {"mains", "vendor", "well", "spring", "stream",
                                           "lake",  "rain",   "hose", "other",  NULL};
static const Field source_fields[] = {
    [SOURCE_NAME] = {.name = "source",
                     .option = "source",
                     .help = "its name",
                     .type = FIELD_LABEL,
                     .names = NAMES_SOURCE,
                     .may_be_new = true,
                     .required = true,
                     .position = 1,
                     .column = COLUMN_NAME,
                     .offset = offsetof(Event, u.source.source)},
    [SOURCE_TYPE] = {.name = "type",
                     .option = "type",
                     .help = "what it is; needed when it is named first",
                     .type = FIELD_CHOICE,
                     .choices = source_words,
                     .max = SOURCE_OTHER,
                     .column = COLUMN_CODE,
                     .offset = offsetof(Event, u.source.type)},
    [SOURCE_CLASS] = {.name = "class",
                      .option = "class",
                      .help = "its usual class; left out: not known, so questionable",
                      .type = FIELD_CHOICE,
                      .choices = class_words,
                      .max = CLASS_COUNT - 1,
                      .column = COLUMN_N1,
                      .offset = offsetof(Event, u.source.quality)},
};

static bool source_check(const State *state, const Event *e, Fault *fault)
{
    if (event_has(e, SOURCE_TYPE) || state_source(state, &e->u.source.source) >= 0)
        return true;
    return fault_set(fault, FAULT_REFUSED,
                     "'%s' is a new source: give its --type, as in --type mains. (To amend a "
                     "source, use the name it has.)",
                     e->u.source.source.s);
}

static void source_apply(State *state, const Event *e)
{
    use_seen(&state->use, e->at.ms, e->zone);
    Source *source = source_ensure(state, &e->u.source.source, e->at.ms);
    if (event_has(e, SOURCE_TYPE))
        source->type = (uint8_t)e->u.source.type;
    if (event_has(e, SOURCE_CLASS))
        source_class(source, (Quality)e->u.source.quality, e->at.ms);
    if (event_has(e, SOURCE_CLASS))
        source->marks &= (uint8_t)~MARK_FOUND;
}

static bool source_present(const State *state, const Event *e, Event *out)
{
    const int slot = state_source(state, &e->u.source.source);
    if (slot < 0)
        return false;
    const Source *source = &state->sources[slot];
    const bool classed = source->quality != SOURCE_UNKNOWN_CLASS;
    out->u.source =
        (SourceEvent){source->label, source->type, classed ? source->quality : CLASS_QUESTIONABLE};
    out->has = 1u << SOURCE_NAME | 1u << SOURCE_TYPE | (classed ? 1u << SOURCE_CLASS : 0);
    return true;
}

const Kind kind_source = {
    .id = KIND_SOURCE,
    .name = "source",
    .gist = "a place to take water from: names it, or amends what is known of it",
    .example = "\"Holm tap\" --type mains --class potable",
    .caution = "Call a source potable only where its water is declared fit to drink.",
    FIELDS(source_fields),
    .check = source_check,
    .present = source_present,
    .apply = source_apply,
};

/* ---- crew ---- */

static const Field crew_fields[] = {
    {.name = "persons",
     .option = "persons",
     .help = "how many are aboard from now on",
     .type = FIELD_COUNT,
     .required = true,
     .position = 1,
     .max = 99,
     .column = COLUMN_N1,
     .offset = offsetof(Event, u.crew.persons)},
};

static void crew_apply(State *state, const Event *e)
{
    state->crew = (int32_t)e->u.crew.persons;
    use_crew(&state->use, e->at.ms, e->zone, state->crew);
}

static bool crew_present(const State *state, const Event *e, Event *out)
{
    (void)e;
    out->u.crew.persons = state->crew;
    out->has = 1u;
    return state->crew >= 0;
}

const Kind kind_crew = {
    .id = KIND_CREW,
    .name = "crew",
    .gist = "persons aboard, from this time on",
    .example = "2",
    FIELDS(crew_fields),
    .present = crew_present,
    .apply = crew_apply,
};

/* ---- stop, unstop ---- */

enum { STOP_NAME, STOP_ETA, STOP_LITRES, STOP_SHOP };
static const Field stop_fields[] = {
    [STOP_NAME] = {.name = "stop",
                   .option = "stop",
                   .help = "where",
                   .type = FIELD_LABEL,
                   .names = NAMES_STOP,
                   .may_be_new = true,
                   .required = true,
                   .position = 1,
                   .column = COLUMN_NAME,
                   .offset = offsetof(Event, u.stop.stop)},
    [STOP_ETA] = {.name = "eta",
                  .option = "eta",
                  .help = "when you will be there",
                  .type = FIELD_MOMENT,
                  .min = MOMENT_MIN_MS,
                  .max = MOMENT_MAX_MS,
                  .column = COLUMN_N2,
                  .offset = offsetof(Event, u.stop.eta)},
    [STOP_LITRES] = {.name = "litres",
                     .option = "litres",
                     .unit = "L",
                     .help = "how much can be had; left out: as much as fits",
                     .type = FIELD_VOLUME,
                     .max = LITRES_MAX,
                     .column = COLUMN_N1,
                     .offset = offsetof(Event, u.stop.litres)},
    [STOP_SHOP] = {.name = "shop",
                   .option = "shop",
                   .help = "cartridges and lamps can be had there",
                   .type = FIELD_FLAG,
                   .max = 1,
                   .column = COLUMN_CODE,
                   .offset = offsetof(Event, u.stop.shop)},
};

static bool stop_check(const State *state, const Event *e, Fault *fault)
{
    const bool is_new = state_stop(state, &e->u.stop.stop) < 0;
    if (is_new && !event_has(e, STOP_ETA))
        return fault_set(fault, FAULT_REFUSED,
                         "'%s' is a new stop: give its --eta, as in --eta \"2026-12-01 12:00\".",
                         e->u.stop.stop.s);
    if (is_new && state->stop_count == STOPS_MAX) {
        for (int i = 0; i < STOPS_MAX; i++)
            if (state->stops[i].eta < e->at.ms)
                return true; /* one that is past makes room */
        return fault_set(fault, FAULT_REFUSED,
                         "There are %d planned stops already. Take one out with 'unstop' first.",
                         STOPS_MAX);
    }
    return true;
}

static void stop_remove(State *state, int index)
{
    state->stop_count--;
    memmove(&state->stops[index], &state->stops[index + 1],
            (size_t)(state->stop_count - index) * sizeof state->stops[0]);
    memset(&state->stops[state->stop_count], 0, sizeof state->stops[0]);
}

static void stop_apply(State *state, const Event *e)
{
    const StopEvent *p = &e->u.stop;
    use_seen(&state->use, e->at.ms, e->zone);
    int index = state_stop(state, &p->stop);
    if (index < 0 && !event_has(e, STOP_ETA)) {
        state_discrepancy(state, e, DISCREPANCY_NO_SUCH, &p->stop, 0);
        return;
    }
    if (index < 0) {
        if (state->stop_count == STOPS_MAX) {
            int oldest = 0;
            for (int i = 1; i < STOPS_MAX; i++)
                if (state->stops[i].eta < state->stops[oldest].eta)
                    oldest = i;
            if (state->stops[oldest].eta >= e->at.ms) {
                state_discrepancy(state, e, DISCREPANCY_NO_ROOM, &p->stop, 0);
                return;
            }
            stop_remove(state, oldest);
        }
        index = state->stop_count++;
        state->stops[index] = (Stop){.label = p->stop, .litres = -1, .shop = -1};
    }
    Stop *stop = &state->stops[index];
    if (event_has(e, STOP_ETA))
        stop->eta = p->eta;
    if (event_has(e, STOP_LITRES))
        stop->litres = p->litres;
    if (event_has(e, STOP_SHOP))
        stop->shop = p->shop;
}

static bool stop_present(const State *state, const Event *e, Event *out)
{
    const int index = state_stop(state, &e->u.stop.stop);
    if (index < 0)
        return false;
    const Stop *stop = &state->stops[index];
    out->u.stop = (StopEvent){stop->label, stop->eta, stop->litres, stop->shop > 0};
    out->has = 1u << STOP_NAME | 1u << STOP_ETA | (stop->litres >= 0 ? 1u << STOP_LITRES : 0) |
               (stop->shop >= 0 ? 1u << STOP_SHOP : 0);
    return true;
}

const Kind kind_stop = {
    .id = KIND_STOP,
    .name = "stop",
    .gist = "a planned refill: names it, or amends the plan",
    .example = "\"Holm tap\" --eta \"2026-12-01 12:00\"",
    FIELDS(stop_fields),
    .check = stop_check,
    .present = stop_present,
    .apply = stop_apply,
};

static const Field unstop_fields[] = {
    {.name = "stop",
     .option = "stop",
     .help = "which stop",
     .type = FIELD_LABEL,
     .names = NAMES_STOP,
     .required = true,
     .position = 1,
     .column = COLUMN_NAME,
     .offset = offsetof(Event, u.name.name)},
};

static bool unstop_check(const State *state, const Event *e, Fault *fault)
{
    return must_exist(state, NAMES_STOP, &e->u.name.name, fault);
}

static void unstop_apply(State *state, const Event *e)
{
    use_seen(&state->use, e->at.ms, e->zone);
    const int index = state_stop(state, &e->u.name.name);
    if (index >= 0)
        stop_remove(state, index);
    else
        state_discrepancy(state, e, DISCREPANCY_NO_SUCH, &e->u.name.name, 0);
}

const Kind kind_unstop = {
    .id = KIND_UNSTOP,
    .name = "unstop",
    .gist = "a planned refill taken out of the plan",
    .example = "\"Holm tap\"",
    FIELDS(unstop_fields),
    .check = unstop_check,
    .apply = unstop_apply,
};
