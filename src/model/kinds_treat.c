/* Kinds that make a vessel or its water clean, the only ones that improve a class: sanitise, treat.
 */
#include "model/kinds_private.h"
#include "model/treatment.h"

/* ---- sanitise ---- */

static const Field sanitise_fields[] = {VESSEL_FIELD(name.name)};

static bool sanitise_check(const State *state, const Event *e, Fault *fault)
{
    char a[40], b[40];
    if (!must_exist(state, NAMES_VESSEL, &e->u.name.name, fault))
        return false;
    const Vessel *v = &state->vessels[state_vessel(state, &e->u.name.name)];
    if (v->volume > v->heel)
        return fault_set(fault, FAULT_REFUSED,
                         "%s still holds %s, more than its heel of %s. Draw, decant or dump it "
                         "first, then sanitise.",
                         v->label.s, litres(v->volume, a), litres(v->heel, b));
    return true;
}

/* A line whose vessels were all sanitised since foul water reached its tap, or a test found it so,
 * was sanitised as a whole: the disinfectant went the same way (ullage(7), shock). */
static bool cleaned_since(const State *state, const Line *line, int64_t at)
{
    for (int i = 0; i < line->count; i++)
        if (state->vessels[line->order[i]].sanitised_at <= at)
            return false;
    return true;
}

static void tap_cleaned(const State *state, Line *line)
{
    if (cleaned_since(state, line, line->fouled_at))
        line->fouled_at = MOMENT_NONE_MS;
    if (!cleaned_since(state, line, line->found_at))
        return;
    line->found_at = MOMENT_NONE_MS;
    line->found = 0;
}

static void sanitise_apply(State *state, const Event *e)
{
    use_seen(&state->use, e->at.ms, e->zone);
    Vessel *v = vessel_or_discrepancy(state, e, &e->u.name.name);
    if (v == NULL)
        return;
    if (v->volume > v->heel) {
        state_discrepancy(state, e, DISCREPANCY_ABOVE_HEEL, &v->label, v->volume - v->heel);
        return;
    }
    state->totals.dumped += v->volume;
    vessel_lower(v, v->volume);
    v->quality = CLASS_POTABLE;
    v->marks = 0;
    v->gained = 0;
    v->sanitised_at = e->at.ms;
    sources_forget(state, v);
    if (v->line >= 0)
        tap_cleaned(state, &state->lines[v->line]);
    v->sanitise_put_off = MOMENT_NONE_MS;
    v->known_at = e->at.ms;
}

const Kind kind_sanitise = {
    .id = KIND_SANITISE,
    .name = "sanitise",
    .gist = "a vessel cleaned and disinfected; its heel goes to waste",
    .example = "B1",
    .caution = "Vent before opening; follow the disinfectant's label and local rules; "
               "rinse before use.",
    .earlier = "'vessel NAME --sanitised TIME' says when it was, as a reminder",
    FIELDS(sanitise_fields),
    .several = true,
    .moves_water = true,
    .check = sanitise_check,
    .apply = sanitise_apply,
};

/* ---- treat ---- */

static const char *const method_words[] = {"chlorine", "boil", "uv", "filter", NULL};
#define TREAT_NUMBER(json, opt, unit_, help_, kind_, max_, member)                                 \
    {                                                                                              \
        .name = (json), .option = (opt), .unit = (unit_), .help = (help_), .type = (kind_),        \
        .max = (max_), .column = COLUMN_MORE, .offset = offsetof(Event, u.treat.member)            \
    }
static const Field treat_fields[] = {
    [TREAT_VESSEL] = VESSEL_FIELD(treat.vessel),
    [TREAT_METHOD] = {.name = "method",
                      .option = "method",
                      .help = "how it was treated",
                      .type = FIELD_CHOICE,
                      .choices = method_words,
                      .required = true,
                      .position = 2,
                      .max = METHOD_FILTER,
                      .column = COLUMN_CODE,
                      .offset = offsetof(Event, u.treat.method)},
    [TREAT_DOSE] = TREAT_NUMBER("dose_mg_l", "dose", "mg/L", "chlorine added", FIELD_DECIMAL,
                                1000000, dose_mg_l),
    [TREAT_RESIDUAL] =
        TREAT_NUMBER("residual_mg_l", "residual", "mg/L", "free chlorine measured at the end",
                     FIELD_DECIMAL, 1000000, residual_mg_l),
    [TREAT_MINUTES] = TREAT_NUMBER("minutes", "minutes", "min", "contact or boiling time",
                                   FIELD_DECIMAL, 100000000, minutes),
    [TREAT_TEMP] = {.name = "temp_c",
                    .option = "temp",
                    .unit = "C",
                    .help = "temperature of the water",
                    .type = FIELD_TEMPERATURE,
                    .min = -100000,
                    .max = 200000,
                    .column = COLUMN_MORE,
                    .offset = offsetof(Event, u.treat.temp_c)},
    [TREAT_PH] = TREAT_NUMBER("ph", "ph", NULL, "pH measured", FIELD_DECIMAL, 14000, ph),
    [TREAT_NTU] =
        TREAT_NUMBER("ntu", "ntu", "NTU", "turbidity measured", FIELD_DECIMAL, 10000000, ntu),
    [TREAT_ALTITUDE] =
        TREAT_NUMBER("altitude_m", "altitude", "m", "above the sea, where it was boiled",
                     FIELD_ALTITUDE, 9000000, altitude_m),
    [TREAT_UV_DOSE] =
        TREAT_NUMBER("uv_mj_cm2", "uv-dose", "mJ/cm2", "validated dose of the lamp at that flow",
                     FIELD_DECIMAL, 10000000, uv_mj_cm2),
    [TREAT_ASSERTED] =
        {.name = "asserted",
         .option = "asserted",
         .help = "the owner vouches for it, though the values fall short; shown beside the vessel",
         .type = FIELD_FLAG,
         .max = 1,
         .column = COLUMN_MORE,
         .offset = offsetof(Event, u.treat.asserted)},
};

static bool treat_check(const State *state, const Event *e, Fault *fault)
{
    if (!must_exist(state, NAMES_VESSEL, &e->u.treat.vessel, fault))
        return false;
    const Vessel *v = &state->vessels[state_vessel(state, &e->u.treat.vessel)];
    if (v->volume == 0)
        return fault_set(fault, FAULT_REFUSED,
                         "%s is empty: there is no water to treat. To make the vessel clean, "
                         "sanitise it.",
                         v->label.s);
    if (v->quality == CLASS_NON_POTABLE)
        return fault_set(fault, FAULT_REFUSED,
                         "%s is non-potable: treatment never raises it. Dump it and sanitise the "
                         "vessel.",
                         v->label.s);
    if (treatment_judge(state, e).measured)
        return true;
    return vouched_for(v, "Log the values of a treatment that meets its criterion", fault) &&
           (e->u.treat.asserted != 0 || treatment_refuse(state, e, fault));
}

/* What is potable already is none the worse for a treatment that nobody measured. Giardia in raw
 * water is dealt with only by what reaches 3 log of it; what meets the short criterion alone leaves
 * it raw, and potable on the owner's word. Nitrate no treatment takes out. */
static void water_treated(Vessel *v, Treatment treatment)
{
    const bool was_potable = v->quality == CLASS_POTABLE;
    const uint8_t kept = v->marks & MARK_NITRATE;
    if (treatment.measured || !was_potable)
        v->gained = 0;
    v->quality = CLASS_POTABLE;
    if (treatment.giardia || (treatment.measured && (v->marks & MARK_RAW) == 0))
        v->marks = kept;
    else if (!was_potable)
        v->marks |= MARK_ASSERTED;
    if (treatment.measured)
        v->marks &= (uint8_t)~MARK_FOUND;
}

static void treat_apply(State *state, const Event *e)
{
    use_seen(&state->use, e->at.ms, e->zone);
    Vessel *v = vessel_or_discrepancy(state, e, &e->u.treat.vessel);
    if (v == NULL)
        return;
    const Treatment treatment = treatment_judge(state, e);
    if (v->volume == 0 || v->quality == CLASS_NON_POTABLE ||
        (!treatment.measured && (v->marks & MARK_FOUND) != 0))
        state_discrepancy(state, e, DISCREPANCY_NOT_RAISED, &v->label, v->volume);
    else {
        water_treated(v, treatment);
        if (treatment.measured)
            sources_treated(state, v);
    }
    if (v->volume > 0)
        treatment_tested(v, e);
}

const Kind kind_treat = {
    .id = KIND_TREAT,
    .name = "treat",
    .gist = "treatment of what a vessel holds; questionable becomes potable",
    .example = "B1 chlorine --residual 1.0 --minutes 60 --temp 10 --ph 7.5",
    .caution = "Chlorine does not kill every parasite and removes no chemicals. Local "
               "rules and a laboratory test come first.",
    FIELDS(treat_fields),
    .moves_water = true,
    .check = treat_check,
    .apply = treat_apply,
};
