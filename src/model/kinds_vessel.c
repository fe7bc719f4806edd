/* Kinds about vessels as such: vessel, retire. */
#include "base/whole.h"
#include "model/kinds_private.h"

#include <string.h>

/* ---- vessel ---- */

static const char *const duty_words[] = {"line", "reserve", "wash", "store", NULL};
enum {
    VESSEL_NAME,
    VESSEL_CAPACITY,
    VESSEL_HEEL,
    VESSEL_TARE,
    VESSEL_RATED,
    VESSEL_DUTY,
    VESSEL_CLASS,
    VESSEL_LEVEL,
    VESSEL_SANITISED,
    VESSEL_SANITISE_DAYS
};
static const Field vessel_fields[] = {
    [VESSEL_NAME] = {.name = "vessel",
                     .option = "vessel",
                     .help = "its label",
                     .type = FIELD_LABEL,
                     .names = NAMES_VESSEL,
                     .may_be_new = true,
                     .required = true,
                     .position = 1,
                     .column = COLUMN_NAME,
                     .offset = offsetof(Event, u.vessel.vessel)},
    [VESSEL_CAPACITY] = {.name = "capacity",
                         .option = "capacity",
                         .unit = "L",
                         .help = "what it holds when full to the brim",
                         .type = FIELD_VOLUME,
                         .min = 1,
                         .max = CAPACITY_MAX,
                         .column = COLUMN_N1,
                         .offset = offsetof(Event, u.vessel.capacity)},
    [VESSEL_HEEL] = {.name = "heel",
                     .option = "heel",
                     .unit = "L",
                     .help = "the remainder that the dip tube cannot reach",
                     .type = FIELD_VOLUME,
                     .max = CAPACITY_MAX,
                     .column = COLUMN_MORE,
                     .offset = offsetof(Event, u.vessel.heel)},
    [VESSEL_TARE] = {.name = "tare_kg",
                     .option = "tare",
                     .unit = "kg",
                     .help = "mass of the empty vessel",
                     .type = FIELD_MASS,
                     .max = 1000000,
                     .column = COLUMN_MORE,
                     .offset = offsetof(Event, u.vessel.tare_kg)},
    [VESSEL_RATED] = {.name = "rated_kpa",
                      .option = "rated",
                      .unit = "kPa",
                      .help = "rated working pressure; 0: a plain can, it takes none",
                      .type = FIELD_PRESSURE,
                      .limit = true,
                      .max = PRESSURE_MAX,
                      .column = COLUMN_MORE,
                      .offset = offsetof(Event, u.vessel.rated_kpa)},
    [VESSEL_DUTY] = {.name = "duty",
                     .option = "duty",
                     .help = "what it is for; left out: line",
                     .type = FIELD_CHOICE,
                     .choices = duty_words,
                     .max = DUTY_STORE,
                     .column = COLUMN_CODE,
                     .offset = offsetof(Event, u.vessel.duty)},
    [VESSEL_CLASS] = {.name = "class",
                      .option = "class",
                      .help = "its class at first naming; left out: questionable",
                      .type = FIELD_CHOICE,
                      .choices = class_words,
                      .max = CLASS_COUNT - 1,
                      .column = COLUMN_MORE,
                      .offset = offsetof(Event, u.vessel.quality)},
    [VESSEL_LEVEL] = {.name = "level",
                      .option = "level",
                      .unit = "L",
                      .help = "what it holds at first naming; left out: empty",
                      .type = FIELD_VOLUME,
                      .level = true,
                      .max = CAPACITY_MAX,
                      .column = COLUMN_N2,
                      .offset = offsetof(Event, u.vessel.level)},
    [VESSEL_SANITISED] = {.name = "sanitised_at",
                          .option = "sanitised",
                          .help = "when it was sanitised last, before the log says so",
                          .type = FIELD_MOMENT,
                          .past = true,
                          .min = MOMENT_MIN_MS,
                          .max = MOMENT_MAX_MS,
                          .column = COLUMN_MORE,
                          .offset = offsetof(Event, u.vessel.sanitised)},
    [VESSEL_SANITISE_DAYS] = {.name = "sanitise_days",
                              .option = "interval",
                              .unit = "d",
                              .help = "from one sanitising to the next; 180 until it is said",
                              .type = FIELD_COUNT,
                              .min = 1,
                              .max = SANITISE_DAYS_MAX,
                              .column = COLUMN_MORE,
                              .offset = offsetof(Event, u.vessel.sanitise_days)},
};

static int aboard_count(const State *state)
{
    int n = 0;
    for (int i = 0; i < state->vessel_count; i++)
        n += vessel_aboard(&state->vessels[i]);
    return n;
}

static bool vessel_check_new(const State *state, const Event *e, Fault *fault)
{
    const VesselEvent *p = &e->u.vessel;
    if (state_line(state, &p->vessel) >= 0)
        return fault_set(fault, FAULT_REFUSED,
                         "'%s' is a line. Give the vessel a label of its own.", p->vessel.s);
    if (strpbrk(p->vessel.s, ";,") != NULL)
        return fault_set(fault, FAULT_REFUSED,
                         "A vessel's label can't hold a comma or semicolon: '%s'. They part the "
                         "names in an order.",
                         p->vessel.s);
    if (aboard_count(state) == VESSELS_ABOARD_MAX)
        return fault_set(fault, FAULT_REFUSED,
                         "There are %d vessels aboard already, and no more can be kept. Retire one "
                         "first.",
                         VESSELS_ABOARD_MAX);
    return true;
}

/* A date alone reminds and is shown; it improves no class, and clears no vessel that foul water is
 * or was in, and no line that it or a bad result was found on since: that takes a sanitising. */
static bool sanitising_told(const State *state, const Event *e)
{
    const int64_t at = e->u.vessel.sanitised;
    const int slot = state_vessel(state, &e->u.vessel.vessel);
    const Vessel *v = slot >= 0 ? &state->vessels[slot] : NULL;
    const Line *line = v != NULL && v->line >= 0 ? &state->lines[v->line] : NULL;
    return at <= e->at.ms &&
           (v == NULL || (v->sanitised_at == MOMENT_NONE_MS && v->quality != CLASS_NON_POTABLE)) &&
           (line == NULL || ((line->fouled_at == MOMENT_NONE_MS || at < line->fouled_at) &&
                             (line->found_at == MOMENT_NONE_MS || at < line->found_at)));
}

static bool vessel_check(const State *state, const Event *e, Fault *fault)
{
    const VesselEvent *p = &e->u.vessel;
    char a[40], b[40];
    const int aboard = state_vessel(state, &p->vessel);
    const int known = state_vessel_ever(state, &p->vessel);
    if (aboard < 0 && !vessel_check_new(state, e, fault))
        return false;
    if (known < 0 && !event_has(e, VESSEL_CAPACITY))
        return fault_set(fault, FAULT_REFUSED,
                         "'%s' is a new vessel: give its --capacity. (To amend a vessel, use the "
                         "label it has.)",
                         p->vessel.s);
    if (aboard >= 0 && (event_has(e, VESSEL_CLASS) || event_has(e, VESSEL_LEVEL)))
        return fault_set(
            fault, FAULT_REFUSED,
            "%s is named already: its class and level follow from the log. Use 'sound' "
            "for a level; 'sanitise' or 'treat' for a class.",
            p->vessel.s);
    const Vessel *v = known >= 0 ? &state->vessels[known] : NULL;
    const int64_t capacity = event_has(e, VESSEL_CAPACITY) ? p->capacity : v->capacity;
    const int64_t heel = event_has(e, VESSEL_HEEL) ? p->heel : (v != NULL ? v->heel : 0);
    if (heel >= capacity)
        return fault_set(fault, FAULT_REFUSED,
                         "A heel of %s leaves nothing of a capacity of %s. Check the two amounts.",
                         litres(heel, a), litres(capacity, b));
    if (event_has(e, VESSEL_LEVEL) && p->level > capacity)
        return fault_set(fault, FAULT_REFUSED,
                         "%s holds %s at most, not %s. Check the two amounts.", p->vessel.s,
                         litres(capacity, a), litres(p->level, b));
    if (aboard >= 0 && v != NULL && capacity < v->volume)
        return fault_set(fault, FAULT_REFUSED,
                         "%s is reckoned to hold %s, more than a capacity of %s. Sound it first.",
                         p->vessel.s, litres(v->volume, a), litres(capacity, b));
    return !event_has(e, VESSEL_SANITISED) || sanitising_told(state, e) ||
           fault_set(fault, FAULT_REFUSED,
                     "When %s was sanitised follows from the log: use 'sanitise %s', with its own "
                     "--at.",
                     p->vessel.s, p->vessel.s);
}

/* A slot for a new vessel. When all are taken, that of the vessel retired longest ago goes, a
 * potable one before others: so that a vessel which was retired as doubtful is remembered as long
 * as can be. */
static int vessel_slot(State *state)
{
    if (state->vessel_count < VESSEL_SLOTS)
        return state->vessel_count++;
    int best = -1;
    for (int i = 0; i < state->vessel_count; i++) {
        const Vessel *v = &state->vessels[i];
        if (vessel_aboard(v))
            continue;
        if (best < 0 || v->quality < state->vessels[best].quality ||
            (v->quality == state->vessels[best].quality &&
             v->retired_at < state->vessels[best].retired_at))
            best = i;
    }
    return best;
}

/* First naming, or naming again after retirement. A vessel keeps its class through retirement: only
 * sanitising or treatment raise one. */
static Vessel *vessel_begin(State *state, const Event *e)
{
    const VesselEvent *p = &e->u.vessel;
    int slot = state_vessel_ever(state, &p->vessel);
    if (aboard_count(state) == VESSELS_ABOARD_MAX) {
        state_discrepancy(state, e, DISCREPANCY_NO_ROOM, &p->vessel, 0);
        return NULL;
    }
    Quality quality = event_has(e, VESSEL_CLASS) ? (Quality)p->quality : CLASS_QUESTIONABLE;
    if (slot >= 0) {
        quality = quality_worst(quality, (Quality)state->vessels[slot].quality);
    } else {
        if (!event_has(e, VESSEL_CAPACITY)) {
            state_discrepancy(state, e, DISCREPANCY_NO_SUCH, &p->vessel, 0);
            return NULL;
        }
        slot = vessel_slot(state);
        state->vessels[slot] = (Vessel){.label = p->vessel,
                                        .sanitised_at = MOMENT_NONE_MS,
                                        .filled_at = MOMENT_NONE_MS,
                                        .sanitise_put_off = MOMENT_NONE_MS,
                                        .water_put_off = MOMENT_NONE_MS,
                                        .tare_g = -1,
                                        .rated_pa = -1,
                                        .sanitise_days = SANITISE_DAYS,
                                        .duty = DUTY_LINE};
    }
    Vessel *v = &state->vessels[slot];
    v->quality = (uint8_t)quality;
    v->volume = 0;
    v->mean_fill = 0;
    v->oldest_fill = MOMENT_NONE_MS;
    v->sounded_at = MOMENT_NONE_MS;
    v->retired_at = MOMENT_NONE_MS;
    v->known_at = e->at.ms;
    v->line = -1;
    v->position = 0;
    return v;
}

static void vessel_amend(State *state, const Event *e)
{
    const VesselEvent *p = &e->u.vessel;
    const int slot = state_vessel(state, &p->vessel);
    const bool first = slot < 0, told = event_has(e, VESSEL_SANITISED) && sanitising_told(state, e);
    Vessel *v = first ? vessel_begin(state, e) : &state->vessels[slot];
    if (v == NULL)
        return;
    if (!first && (event_has(e, VESSEL_CLASS) || event_has(e, VESSEL_LEVEL)))
        state_discrepancy(state, e, DISCREPANCY_CLASS_IGNORED, &p->vessel, 0);
    if (event_has(e, VESSEL_CAPACITY))
        v->capacity = p->capacity;
    if (event_has(e, VESSEL_HEEL))
        v->heel = p->heel;
    v->heel = int64_smaller(v->heel, v->capacity);
    if (event_has(e, VESSEL_TARE))
        v->tare_g = p->tare_kg;
    if (event_has(e, VESSEL_RATED))
        v->rated_pa = p->rated_kpa;
    if (event_has(e, VESSEL_DUTY))
        v->duty = (uint8_t)p->duty;
    if (event_has(e, VESSEL_SANITISE_DAYS))
        v->sanitise_days = p->sanitise_days;
    if (told && v->sanitised_at == MOMENT_NONE_MS)
        v->sanitised_at = p->sanitised;
    if (v->volume > v->capacity) {
        state_discrepancy(state, e, DISCREPANCY_PAST_BRIM, &v->label, v->volume - v->capacity);
        level_corrected(state, v, v->capacity);
    }
    if (first && event_has(e, VESSEL_LEVEL)) {
        int64_t level = p->level;
        if (level > v->capacity) {
            state_discrepancy(state, e, DISCREPANCY_PAST_BRIM, &v->label, level - v->capacity);
            level = v->capacity;
        }
        /* As a fill from nowhere named: raw, and potable at best on the owner's word. */
        const uint8_t marks = MARK_RAW | (v->quality == CLASS_POTABLE ? MARK_ASSERTED : 0);
        water_in(v, level, (double)e->at.ms, e->at.ms,
                 (Water){(Quality)v->quality, level > 0 ? marks : 0});
        state->totals.named += level;
    }
}

static void vessel_apply(State *state, const Event *e)
{
    vessel_amend(state, e);
    use_seen(&state->use, e->at.ms, e->zone); /* after level_found: see use.h on silences */
}

static bool vessel_present(const State *state, const Event *e, Event *out)
{
    const int slot = state_vessel(state, &e->u.vessel.vessel);
    if (slot < 0)
        return false;
    const Vessel *v = &state->vessels[slot];
    out->u.vessel = (VesselEvent){.vessel = v->label,
                                  .capacity = v->capacity,
                                  .heel = v->heel,
                                  .tare_kg = v->tare_g,
                                  .rated_kpa = v->rated_pa,
                                  .duty = v->duty,
                                  .sanitise_days = v->sanitise_days};
    out->has = 1u << VESSEL_NAME | 1u << VESSEL_CAPACITY | 1u << VESSEL_HEEL |
               (v->tare_g >= 0 ? 1u << VESSEL_TARE : 0) |
               (v->rated_pa >= 0 ? 1u << VESSEL_RATED : 0) | 1u << VESSEL_DUTY |
               (v->sanitise_days != SANITISE_DAYS ? 1u << VESSEL_SANITISE_DAYS : 0);
    return true;
}

static bool vessel_measures(const Event *e, Vessel *out)
{
    const VesselEvent *p = &e->u.vessel;
    *out = (Vessel){.label = p->vessel,
                    .capacity = p->capacity,
                    .heel = int64_larger(p->heel, 0),
                    .tare_g = p->tare_kg > 0 ? p->tare_kg : -1};
    return p->capacity > 0;
}

const Kind kind_vessel = {
    .id = KIND_VESSEL,
    .name = "vessel",
    .gist = "a vessel: names it, or amends what is known of it",
    .example = "A1 --capacity 12 --heel 0.2 --tare 3.1 --duty line",
    FIELDS(vessel_fields),
    .measures = vessel_measures,
    .check = vessel_check,
    .present = vessel_present,
    .apply = vessel_apply,
};

/* ---- retire ---- */

static const Field retire_fields[] = {
    {.name = "vessel",
     .option = "vessel",
     .help = "which vessel",
     .type = FIELD_LABEL,
     .names = NAMES_VESSEL,
     .required = true,
     .position = 1,
     .column = COLUMN_NAME,
     .offset = offsetof(Event, u.name.name)},
};

static bool retire_check(const State *state, const Event *e, Fault *fault)
{
    return must_exist(state, NAMES_VESSEL, &e->u.name.name, fault);
}

static void retire_apply(State *state, const Event *e)
{
    use_seen(&state->use, e->at.ms, e->zone);
    Vessel *v = vessel_or_discrepancy(state, e, &e->u.name.name);
    if (v == NULL)
        return;
    if (v->line >= 0) {
        /* out of its line, the others close up */
        Line *line = &state->lines[v->line];
        for (int i = v->position; i + 1 < line->count; i++) {
            line->order[i] = line->order[i + 1];
            state->vessels[line->order[i]].position = i;
        }
        line->order[--line->count] = 0;
        v->line = -1;
        v->position = 0;
    }
    state->totals.retired += v->volume;
    vessel_lower(v, v->volume);
    v->retired_at = e->at.ms;
    sources_forget(state, v);
    v->sanitise_put_off = v->water_put_off = MOMENT_NONE_MS;
}

const Kind kind_retire = {
    .id = KIND_RETIRE,
    .name = "retire",
    .gist = "a vessel leaves the boat or vehicle, with what it holds",
    .example = "A1",
    FIELDS(retire_fields),
    .check = retire_check,
    .apply = retire_apply,
};
