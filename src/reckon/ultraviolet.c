#include "reckon/ultraviolet.h"

#include "reckon/tables_disinfection.h"

#include <math.h>

static const char ultraviolet_source[] =
    "40 CFR 141.720(d)(1) = US EPA UV Disinfection Guidance Manual (2006), Table 1.4; NSF/ANSI 55; "
    "lamp output 60 % at 9,000 h (public guidance) against 80 % at 8,000 h (EPA manual)";
static const char ultraviolet_limits[] =
    "clear water: below 1 NTU, iron below 0.3 mg/L, hardness below 120 "
    "mg/L, 5 micrometre filter before "
    "it; the dose at another flow is by proportion";
static const char ultraviolet_caution[] =
    "a clean sleeve and a lamp in its hours; no protection afterwards; never look at a lit lamp";

UvChamber ultraviolet_chamber(double rated_mj_cm2, double rated_flow_l_min)
{
    return (UvChamber){.rated_mj_cm2 = rated_mj_cm2,
                       .rated_flow_l_min = rated_flow_l_min,
                       .rated_uvt_percent = 95.0,
                       .gap_cm = 2.0,
                       .lamp_life_h = ULTRAVIOLET_LAMP_LIFE_H,
                       .rated_at_end_of_life = false};
}

/* Exponential between the two printed points (new and end of life) and beyond: below the
 * straight line between them, so on the safe side within the lamp's life. */
static double lamp_output(double hours, double share, double at_hours)
{
    return pow(share, hours / at_hours);
}

/* The light at the far wall, relative to the rated water: the worst path, not the mean, so that
 * the factor errs low. Clearer water than rated earns nothing. */
static double water_factor(const UvChamber *c, double uvt_percent)
{
    return fmin(1.0, pow(uvt_percent / c->rated_uvt_percent, c->gap_cm));
}

static double credit_log(const double *doses, double dose)
{
    double log_credit = 0.0;
    for (int i = 0; i < UV_STEPS; i++)
        if (dose >= doses[i])
            log_credit = UV_LOG[i];
    return log_credit;
}

UvDose ultraviolet_dose(const UvChamber *chamber, double flow_l_min, double lamp_h,
                        double uvt_percent)
{
    UvDose r = {.basis = basis_begin(ultraviolet_source, ultraviolet_limits, ultraviolet_caution)};
    const UvChamber *c = chamber;
    if (!basis_within(&r.basis, "rated_mj_cm2", c->rated_mj_cm2, 1.0, 1000.0) ||
        !basis_within(&r.basis, "rated_flow_l_min", c->rated_flow_l_min, 0.1, 200.0) ||
        !basis_within(&r.basis, "rated_uvt_percent", c->rated_uvt_percent, 50.0, 100.0) ||
        !basis_within(&r.basis, "gap_cm", c->gap_cm, 0.1, 10.0) ||
        !basis_within(&r.basis, "lamp_life_h", c->lamp_life_h, 100.0, 20000.0) ||
        !basis_within(&r.basis, "flow_l_min", flow_l_min, 0.01, 200.0) ||
        !basis_within(&r.basis, "lamp_h", lamp_h, 0.0, 50000.0) ||
        !basis_within(&r.basis, "uvt_percent", uvt_percent, 50.0, 100.0))
        return r;
    double life = fmin(c->lamp_life_h, ULTRAVIOLET_LAMP_LIFE_H);
    r.lamp_factor = lamp_output(lamp_h, 0.6, 9000.0);
    double kinder = lamp_output(lamp_h, 0.8, 8000.0);
    if (c->rated_at_end_of_life) {
        /* The plate stands for the lamp at the end of its life; a younger one earns nothing more.
         */
        double end = lamp_output(life, 0.6, 9000.0);
        double kinder_end = lamp_output(life, 0.8, 8000.0);
        r.lamp_factor = fmin(1.0, r.lamp_factor / end);
        kinder = fmin(1.0, kinder / kinder_end);
    }
    r.water_factor = water_factor(c, uvt_percent);
    double product = c->rated_mj_cm2 * c->rated_flow_l_min * r.water_factor;
    r.dose_mj_cm2 = product * r.lamp_factor / flow_l_min;
    r.dose_high_mj_cm2 = product * kinder / flow_l_min;
    r.lamp_spent = lamp_h >= life; /* as stage_in_life (model/supply.h) ends a stage */
    r.murky = uvt_percent < ULTRAVIOLET_UVT_LOW_PERCENT;
    if (!r.lamp_spent && !r.murky) {
        r.flow_limit_l_min = product * r.lamp_factor / ULTRAVIOLET_CLASS_A_MJ_CM2;
        r.cryptosporidium_log = credit_log(UV_DOSE_CRYPTOSPORIDIUM, r.dose_mj_cm2);
        r.giardia_log = credit_log(UV_DOSE_GIARDIA, r.dose_mj_cm2);
        r.virus_log = credit_log(UV_DOSE_VIRUS, r.dose_mj_cm2);
        r.class_a = r.dose_mj_cm2 >= ULTRAVIOLET_CLASS_A_MJ_CM2;
    }
    return r;
}

static TreatmentVerdict ultraviolet_verdict_short(TreatmentVerdict r, const char *shortfall)
{
    r.sufficient = false;
    r.shortfall = shortfall;
    return r;
}

TreatmentVerdict ultraviolet_judge(const UvDose *dose, double ntu)
{
    TreatmentVerdict r = {.sufficient = true,
                          .source = "NSF/ANSI 55 class A; public guidance for wells (turbidity)"};
    if (dose->lamp_spent)
        return ultraviolet_verdict_short(r, "the lamp is past its hours");
    if (dose->murky)
        return ultraviolet_verdict_short(r, "the water lets too little of the light through");
    if (!isfinite(ntu))
        return ultraviolet_verdict_short(r, "the turbidity was not measured");
    if (ntu >= ULTRAVIOLET_CLEAR_NTU)
        return ultraviolet_verdict_short(
            r, "water of 1 NTU and more shields microbes from the lamp: filter it first");
    if (!isfinite(dose->dose_mj_cm2))
        return ultraviolet_verdict_short(r, "the dose is not known");
    if (dose->dose_mj_cm2 < ULTRAVIOLET_CLASS_A_MJ_CM2)
        return ultraviolet_verdict_short(r, "the dose falls short of 40 mJ/cm2");
    return r;
}
