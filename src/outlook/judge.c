#include "outlook/judge.h"

#include "model/kinds.h"
#include "reckon/disinfection.h"
#include "reckon/ultraviolet.h"

#include <math.h>
#include <stdio.h>

/* What was measured; NAN where it was not. */
typedef struct {
    double residual, minutes, temperature, ph, ntu;
} Measured;

static double measured(const Event *e, const char *name, int64_t thousandths)
{
    const int field = kind_field(kind_of(KIND_TREAT), text_of(name));
    return field >= 0 && event_has(e, field) ? (double)thousandths / 1000.0 : NAN;
}

static double either(double value, double kind)
{
    return isfinite(value) ? value : kind;
}

static bool refuse(const Event *e, Fault *fault, const char *why, const char *todo)
{
    return fault_set(fault, FAULT_REFUSED,
                     "%s stays as it is: %s. %s, or vouch for the water yourself (asserted); the "
                     "vessel will show that.",
                     e->u.treat.vessel.s, why, todo);
}

static bool refuse_verdict(const Event *e, const TreatmentVerdict *v, const char *unit,
                           const char *todo, Fault *fault)
{
    char why[400];
    if (v->needed > 0.0)
        (void)snprintf(why, sizeof why, "%s (%.4g%s against %.4g%s; %s)", v->shortfall, v->measured,
                       unit, v->needed, unit, v->source);
    else
        (void)snprintf(why, sizeof why, "%s (%s)", v->shortfall, v->source);
    return refuse(e, fault, why, todo);
}

/* Values that leave nothing to be desired, to look at one other value alone. */
enum { KIND_MINUTES = 20160, KIND_RESIDUAL = 3, KIND_PH = 7, KIND_TEMPERATURE = 25 };

static bool who_met(double residual, double minutes, double ph)
{
    return disinfection_judge_chlorine(either(residual, KIND_RESIDUAL),
                                       either(minutes, KIND_MINUTES), KIND_TEMPERATURE,
                                       either(ph, KIND_PH), NAN)
        .who_met;
}

static TreatmentVerdict judge_turbidity(double ntu)
{
    return disinfection_judge_chlorine(KIND_RESIDUAL, KIND_MINUTES, KIND_TEMPERATURE, KIND_PH, ntu);
}

bool judge_chlorine_suffices(double residual, double minutes, double temperature, double ph,
                             double ntu)
{
    if (!isfinite(residual) || !isfinite(minutes) || !isfinite(temperature) || !isfinite(ph) ||
        !judge_turbidity(ntu).sufficient)
        return false;
    const TreatmentVerdict v = disinfection_judge_chlorine(residual, minutes, temperature, ph, NAN);
    return v.who_met || (v.giardia_log >= DISINFECTION_GIARDIA_LOG - 1e-9 &&
                         v.virus_log >= DISINFECTION_VIRUS_LOG - 1e-9);
}

static bool judge_chlorine(const Event *e, const Measured *m, Fault *fault)
{
    const TreatmentVerdict cloudy = judge_turbidity(m->ntu);
    if (!cloudy.sufficient)
        return refuse_verdict(e, &cloudy, " NTU", "Filter it and dose again", fault);
    const bool all = isfinite(m->residual) && isfinite(m->minutes) && isfinite(m->temperature) &&
                     isfinite(m->ph);
    if (all ? judge_chlorine_suffices(m->residual, m->minutes, m->temperature, m->ph, NAN)
            : who_met(m->residual, m->minutes, m->ph))
        return true;
    const TreatmentVerdict v =
        disinfection_judge_chlorine(m->residual, m->minutes, m->temperature, m->ph, NAN);
    char why[400];
    int n = snprintf(why, sizeof why, "the chlorine falls short");
    if (!who_met(m->residual, NAN, NAN))
        n += snprintf(why + n, sizeof why - (size_t)n,
                      ": a residual of %.4g mg/L is below the 0.5 of the WHO", m->residual);
    else if (!who_met(NAN, m->minutes, NAN))
        n += snprintf(why + n, sizeof why - (size_t)n,
                      ": %.4g minutes are fewer than the 30 of the WHO", m->minutes);
    else
        n += snprintf(why + n, sizeof why - (size_t)n,
                      ": at pH %.4g the WHO's 0.5 mg/L and 30 minutes do not hold (below 8 only)",
                      m->ph);
    if (all)
        (void)snprintf(
            why + n, sizeof why - (size_t)n,
            ", and the contact reaches only %.2f log of Giardia and %.2f of viruses, not "
            "3 and 4 (US EPA contact tables)",
            v.giardia_log, v.virus_log);
    else
        (void)snprintf(why + n, sizeof why - (size_t)n,
                       ", and without residual, minutes, temperature and pH the contact can't be "
                       "reckoned");
    return refuse(e, fault, why, "Dose again or wait longer, and measure");
}

static bool judge_boil(const Event *e, const Measured *m, Fault *fault)
{
    if (!isfinite(m->minutes))
        return true;
    const TreatmentVerdict v = disinfection_judge_boil(m->minutes, 0.0); /* the least anywhere */
    return v.sufficient || refuse_verdict(e, &v, " min", "Boil it again", fault);
}

/* Are all lamps aboard that have a life past it? False where there is none. */
static bool lamps_spent(const State *state, int64_t at)
{
    bool any = false;
    for (int i = 0; i < state->stage_count; i++) {
        const Stage *stage = &state->stages[i];
        if (label_empty(&stage->label) || stage->type != STAGE_UV)
            continue;
        if (stage->life_ms <= 0 || stage_lamp_ms(stage, at) < stage->life_ms)
            return false;
        any = true;
    }
    return any;
}

static bool judge_uv(const State *state, const Event *e, const Measured *m, Fault *fault)
{
    const TreatmentVerdict v =
        ultraviolet_judge(ULTRAVIOLET_CLASS_A_MJ_CM2, m->ntu, lamps_spent(state, e->at.ms));
    return v.sufficient || refuse_verdict(e, &v, " NTU", "Filter it, or swap the lamp", fault);
}

bool judge_entry(const State *state, const Event *e, Fault *fault)
{
    const TreatEvent *t = &e->u.treat;
    if (e->kind != KIND_TREAT || t->asserted != 0)
        return true;
    const Measured m = {.residual = measured(e, "residual_mg_l", t->residual_mg_l),
                        .minutes = measured(e, "minutes", t->minutes),
                        .temperature = measured(e, "temp_c", t->temp_c),
                        .ph = measured(e, "ph", t->ph),
                        .ntu = measured(e, "ntu", t->ntu)};
    switch ((Method)t->method) {
    case METHOD_CHLORINE:
        return judge_chlorine(e, &m, fault);
    case METHOD_BOIL:
        return judge_boil(e, &m, fault);
    case METHOD_UV:
        return judge_uv(state, e, &m, fault);
    case METHOD_FILTER:
        break;
    }
    const TreatmentVerdict v = disinfection_judge_filter();
    return refuse_verdict(e, &v, "", "Boil or chlorinate it", fault);
}
