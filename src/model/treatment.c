#include "model/treatment.h"

#include "model/supply.h"
#include "reckon/atmosphere.h"
#include "reckon/disinfection.h"
#include "reckon/ultraviolet.h"

#include <math.h>

/* What was measured; NAN where it was not. */
typedef struct {
    double residual, minutes, temperature, ph, ntu, altitude, uv_dose;
} Measured;

/* What is missing or short, as a clause; NULL: nothing. `needs`: the values that would do. */
typedef struct {
    const char *why, *needs, *source;
    bool giardia;
} Finding;

#define WHO_SOURCE "WHO GDWQ 2nd ed. vol. 2 (1996); US EPA 815-R-20-003 (2020), Table B-1"
#define RESIDUAL_MAX_MG_L 5.0 /* WHO GDWQ 4th ed.: guideline value of free chlorine */
#define BOIL_SLACK_C 2.0      /* of a kitchen thermometer (common practice, no source) */
#define HAIR 1e-9

static const char chlorine_needs[] =
    "Log --residual of 0.5 to 5 mg/L after --minutes 30 or more at --ph below 8; or with --temp as "
    "well, the contact that ullage reckon chlorine gives";
static const char boil_needs[] =
    "Log --minutes 3 or more of rolling boil, or 1 with --altitude below 1000 m (3281 ft)";
static const char uv_needs[] =
    "Log --uv-dose of 40 mJ/cm2 or more, validated for that flow, and --ntu below 1, with a lamp "
    "aboard whose life is stated and not over";

static double measured(const Event *e, int field, int64_t thousandths)
{
    return event_has(e, field) ? (double)thousandths / 1000.0 : NAN;
}

static Measured measured_of(const Event *e)
{
    const TreatEvent *t = &e->u.treat;
    return (Measured){.residual = measured(e, TREAT_RESIDUAL, t->residual_mg_l),
                      .minutes = measured(e, TREAT_MINUTES, t->minutes),
                      .temperature = measured(e, TREAT_TEMP, t->temp_c),
                      .ph = measured(e, TREAT_PH, t->ph),
                      .ntu = measured(e, TREAT_NTU, t->ntu),
                      .altitude = measured(e, TREAT_ALTITUDE, t->altitude_m),
                      .uv_dose = measured(e, TREAT_UV_DOSE, t->uv_mj_cm2)};
}

static Finding judge_chlorine(const Measured *m)
{
    Finding f = {.needs = chlorine_needs, .source = WHO_SOURCE};
    const TreatmentVerdict v =
        disinfection_judge_chlorine(m->residual, m->minutes, m->temperature, m->ph, NAN);
    f.giardia = v.giardia_log >= DISINFECTION_GIARDIA_LOG - HAIR &&
                v.virus_log >= DISINFECTION_VIRUS_LOG - HAIR;
    if (!isfinite(m->residual))
        f.why = "the residual was not measured";
    else if (!isfinite(m->minutes))
        f.why = "the minutes of contact are missing";
    else if (!isfinite(m->ph))
        f.why = "the pH was not measured";
    else if (m->residual > RESIDUAL_MAX_MG_L)
        f.why = "the residual is above the 5 mg/L that may be drunk";
    else if (m->ntu >= DISINFECTION_CLOUDY_NTU)
        f.why = "water of 5 NTU and more is too cloudy: filter it first";
    else if (!v.who_met && !f.giardia)
        f.why = "the residual, the minutes or the pH fall short of the WHO's criterion, and the "
                "contact of 3-log Giardia and 4-log viruses";
    f.giardia = f.giardia && f.why == NULL;
    return f;
}

static Finding judge_boil(const Measured *m)
{
    Finding f = {.needs = boil_needs, .source = "US EPA 816-F-15-003 (2015/2017); CDC"};
    const double boiling = atmosphere_at(isfinite(m->altitude) ? m->altitude : 0).boiling_c;
    if (!isfinite(m->minutes))
        f.why = "the minutes of rolling boil are missing";
    else if (!disinfection_judge_boil(m->minutes, m->altitude).sufficient)
        f.why = isfinite(m->altitude) ? "it boiled too short"
                                      : "it boiled too short for an altitude that is not known";
    else if (m->temperature < boiling - BOIL_SLACK_C)
        f.why = isfinite(m->altitude) ? "at that temperature it did not boil"
                                      : "at that temperature it did not boil, unless high up";
    f.giardia = f.why == NULL;
    return f;
}

/* Is there a lamp aboard that is known to be good? By hours, and by whatever else its life is said to
 * end with: its days end with a local date. */
static bool lamp_in_life(const State *state, const Event *e)
{
    for (int i = 0; i < state->stage_count; i++) {
        const Stage *stage = &state->stages[i];
        const int64_t today = moment_day(e->at, e->zone),
                      fitted = moment_day((Moment){stage->fitted_at}, e->zone);
        if (stage->type == STAGE_UV && stage->life_ms > 0 && stage_in_life(stage, e->at) &&
            (stage->life_days == 0 || today - fitted < stage->life_days))
            return true;
    }
    return false;
}

static Finding judge_uv(const State *state, const Event *e, const Measured *m)
{
    const TreatmentVerdict v = ultraviolet_judge(&(UvDose){.dose_mj_cm2 = m->uv_dose}, m->ntu);
    Finding f = {.why = v.shortfall, .needs = uv_needs, .source = v.source};
    if (!lamp_in_life(state, e))
        f.why = "no lamp aboard is known to be within its life";
    f.giardia = f.why == NULL;
    return f;
}

static Finding judge(const State *state, const Event *e)
{
    const Measured m = measured_of(e);
    switch ((Method)e->u.treat.method) {
    case METHOD_CHLORINE:
        return judge_chlorine(&m);
    case METHOD_BOIL:
        return judge_boil(&m);
    case METHOD_UV:
        return judge_uv(state, e, &m);
    case METHOD_FILTER:
        break;
    }
    return (Finding){.why = "a sediment or carbon cartridge does not make water safe to drink",
                     .needs = "Boil or chlorinate it",
                     .source = "NSF/ANSI 42 and 53 certify cartridges, not water"};
}

Treatment treatment_judge(const State *state, const Event *e)
{
    const Finding f = judge(state, e);
    return (Treatment){f.why == NULL, f.giardia};
}

bool treatment_refuse(const State *state, const Event *e, Fault *fault)
{
    const Finding f = judge(state, e);
    return fault_set(fault, FAULT_REFUSED,
                     "%s stays as it is: %s (%s). %s. Or vouch for the water yourself (asserted); "
                     "the vessel will show that.",
                     e->u.treat.vessel.s, f.why, f.source, f.needs);
}

Treatment treatment_chlorine(double residual, double minutes, double temperature, double ph,
                             double ntu)
{
    const Measured m = {residual, minutes, temperature, ph, ntu, NAN, NAN};
    const Finding f = judge_chlorine(&m);
    return (Treatment){f.why == NULL, f.giardia};
}

void treatment_tested(Vessel *v, const Event *e)
{
    const TreatEvent *t = &e->u.treat;
    const struct {
        int field;
        ResultId id;
        int64_t value;
    } tested[] = {{TREAT_RESIDUAL, RESULT_CHLORINE, t->residual_mg_l},
                  {TREAT_PH, RESULT_PH, t->ph},
                  {TREAT_NTU, RESULT_NTU, t->ntu},
                  {TREAT_TEMP, RESULT_TEMP, t->temp_c}};
    v->tested = 0;
    results_residual(&v->results, (Result){0}, false);
    for (size_t i = 0; i < sizeof tested / sizeof tested[0]; i++)
        if (event_has(e, tested[i].field))
            v->results.latest[tested[i].id] = (Result){e->at.ms, tested[i].value};
    if (v->results.latest[RESULT_CHLORINE].at != 0)
        v->tested = TESTED_VESSEL | TESTED_ALONE;
}
