#include "reckon/hydraulics.h"

#include "reckon/water.h"

#include <math.h>

static const double hydraulics_pi = 3.14159265358979323846;

static const char hydraulics_source[] =
    "Darcy-Weisbach; 64/Re; Colebrook (1939); loss coefficients of "
    "engineering and waterworks tables";
static const char hydraulics_limits[] =
    "full pipes, steady flow, clean parts; between Re 2300 and 4000 a "
    "bridge of this program's own; loss "
    "coefficients differ between tables by half and more";
static const char hydraulics_caution[] =
    "never above the lowest rated pressure on the line; a faster flow is a "
    "smaller dose of the lamp";
#define GRAVITY 9.80665
#define FLOW_HIGH_L_MIN 10000.0

/* Colebrook by fixed point on x = 1/sqrt f; the map contracts by about a tenth a turn, so 60
 * turns are more than rounding needs. Started from the smooth estimate of Blasius. */
static double colebrook(double re, double rough)
{
    double x = sqrt(pow(re, 0.25) / 0.3164);
    for (int i = 0; i < 60; i++) {
        double next = -2.0 * log10(rough / 3.7 + 2.51 * x / re);
        if (fabs(next - x) <= 1e-15 * x) {
            x = next;
            break;
        }
        x = next;
    }
    return 1.0 / (x * x);
}

double hydraulics_friction(double re, double rough, FlowRegime *regime)
{
    if (re <= HYDRAULICS_RE_LAMINAR) {
        *regime = FLOW_LAMINAR;
        return 64.0 / re;
    }
    if (re >= HYDRAULICS_RE_TURBULENT) {
        *regime = FLOW_TURBULENT;
        return colebrook(re, rough);
    }
    *regime = FLOW_BETWEEN;
    double low = log(64.0 / HYDRAULICS_RE_LAMINAR);
    double high = log(colebrook(HYDRAULICS_RE_TURBULENT, rough));
    double share =
        log(re / HYDRAULICS_RE_LAMINAR) / log(HYDRAULICS_RE_TURBULENT / HYDRAULICS_RE_LAMINAR);
    return exp(low + (high - low) * share);
}

static bool tube_within(Basis *b, const Tube *t)
{
    return basis_within(b, "bore_m", t->bore_m, 0.0001, 1.0) &&
           basis_within(b, "length_m", t->length_m, 0.0, 1000.0) &&
           basis_within(b, "roughness_m", t->roughness_m, 0.0, 0.05 * t->bore_m);
}

static double velocity(double bore_m, double flow_l_min)
{
    return flow_l_min / 60000.0 / (hydraulics_pi / 4.0 * bore_m * bore_m);
}

TubeDrop hydraulics_tube(const Tube *t, double flow_l_min, Fluid fluid)
{
    TubeDrop r = {.velocity_m_s = velocity(t->bore_m, flow_l_min)};
    r.reynolds = fluid.density_kg_m3 * r.velocity_m_s * t->bore_m / fluid.viscosity_pa_s;
    /* Below this no flow that can be measured, and 64/Re would run off. */
    if (r.reynolds < 1.0e-9)
        return r;
    r.factor = hydraulics_friction(r.reynolds, t->roughness_m / t->bore_m, &r.regime);
    r.drop_pa = r.factor * t->length_m / t->bore_m * fluid.density_kg_m3 * r.velocity_m_s *
                r.velocity_m_s / 2.0;
    return r;
}

static const double fittings[FITTING_COUNT] = {
    [FITTING_ELBOW_90] = 1.5,    [FITTING_ELBOW_90_LONG] = 0.7, [FITTING_ELBOW_45] = 0.4,
    [FITTING_TEE_RUN] = 0.9,     [FITTING_TEE_BRANCH] = 2.0,    [FITTING_VALVE_BALL] = 0.04,
    [FITTING_VALVE_GATE] = 0.3,  [FITTING_VALVE_GLOBE] = 10.0,  [FITTING_VALVE_ANGLE] = 5.0,
    [FITTING_VALVE_CHECK] = 2.5, [FITTING_ENTRANCE] = 0.5,      [FITTING_EXIT] = 1.0,
};

double hydraulics_fitting_k(Fitting fitting)
{
    return (unsigned)fitting < FITTING_COUNT ? fittings[fitting] : 0.0;
}

Resist resist_tube(double bore_mm, double length_m, double k)
{
    return (Resist){.kind = RESIST_TUBE,
                    .tube = {.bore_m = bore_mm / 1000.0,
                             .length_m = length_m,
                             .roughness_m = HYDRAULICS_ROUGHNESS_M},
                    .k = k};
}

Resist resist_opening(double bore_mm, double k, double count)
{
    return (Resist){
        .kind = RESIST_OPENING, .tube = {.bore_m = bore_mm / 1000.0}, .k = k, .count = count};
}

Resist resist_rated(double rated_l_min, double rated_drop_kpa, double exponent)
{
    return (Resist){.kind = RESIST_RATED,
                    .rated_l_min = rated_l_min,
                    .rated_drop_kpa = rated_drop_kpa,
                    .exponent = exponent};
}

static bool resist_within(Basis *b, const Resist *p)
{
    switch (p->kind) {
    case RESIST_TUBE:
        return tube_within(b, &p->tube) && basis_within(b, "k", p->k, 0.0, 1.0e6);
    case RESIST_OPENING:
        return basis_within(b, "bore_m", p->tube.bore_m, 0.0001, 1.0) &&
               basis_within(b, "k", p->k, 0.0, 1.0e6) &&
               basis_within(b, "count", p->count, 0.0, 1000.0);
    case RESIST_RATED:
        return basis_within(b, "rated_l_min", p->rated_l_min, 0.01, 1000.0) &&
               basis_within(b, "rated_drop_kpa", p->rated_drop_kpa, 0.0, 5000.0) &&
               basis_within(b, "exponent", p->exponent, 1.0, 2.0);
    }
    return basis_refuse(b, RECKON_CONTRADICTION, "kind", (double)p->kind);
}

static bool path_within(Basis *b, const FlowPath *path)
{
    if (!basis_within(b, "count", (double)path->count, 1.0, (double)FLOW_PATH_MAX) ||
        !basis_within(b, "supply_kpa", path->supply_kpa, 0.0, 1000.0) ||
        !basis_within(b, "rise_m", path->rise_m, -50.0, 50.0) ||
        !basis_within(b, "water_c", path->water_c, 0.0, 60.0))
        return false;
    for (size_t i = 0; i < path->count; i++)
        if (!resist_within(b, &path->parts[i]))
            return false;
    return true;
}

static Fluid path_fluid(const FlowPath *path)
{
    WaterProperties water = water_at(path->water_c);
    return (Fluid){.density_kg_m3 = water.density_kg_m3, .viscosity_pa_s = water.viscosity_pa_s};
}

static double part_drop_pa(const Resist *p, double flow_l_min, Fluid fluid, TubeDrop *tube)
{
    double speed = 0.0;
    switch (p->kind) {
    case RESIST_TUBE:
        *tube = hydraulics_tube(&p->tube, flow_l_min, fluid);
        speed = tube->velocity_m_s;
        return tube->drop_pa + p->k * fluid.density_kg_m3 * speed * speed / 2.0;
    case RESIST_OPENING:
        speed = velocity(p->tube.bore_m, flow_l_min);
        return p->count * p->k * fluid.density_kg_m3 * speed * speed / 2.0;
    case RESIST_RATED:
        return 1000.0 * p->rated_drop_kpa * pow(flow_l_min / p->rated_l_min, p->exponent);
    }
    return 0.0;
}

double hydraulics_drop_pa(const FlowPath *path, double flow_l_min, Fluid fluid)
{
    double sum = 0.0;
    for (size_t i = 0; i < path->count; i++) {
        TubeDrop tube = {.drop_pa = 0.0};
        sum += part_drop_pa(&path->parts[i], flow_l_min, fluid, &tube);
    }
    return sum;
}

static double flow_solve(const FlowPath *path, double driving_pa, Fluid fluid)
{
    double low = 0.0;
    double high = FLOW_HIGH_L_MIN;
    for (int i = 0; i < 200; i++) {
        double middle = (low + high) / 2.0;
        if (middle <= low || middle >= high)
            break;
        if (hydraulics_drop_pa(path, middle, fluid) > driving_pa)
            high = middle;
        else
            low = middle;
    }
    return low;
}

TapFlow hydraulics_flow(const FlowPath *path)
{
    TapFlow r = {.basis = basis_begin(hydraulics_source, hydraulics_limits, hydraulics_caution)};
    if (!path_within(&r.basis, path))
        return r;
    Fluid fluid = path_fluid(path);
    double driving_pa = 1000.0 * path->supply_kpa - fluid.density_kg_m3 * GRAVITY * path->rise_m;
    if (driving_pa <= 0.0)
        return r; /* it can't lift the water: no flow, which is an answer */
    if (hydraulics_drop_pa(path, FLOW_HIGH_L_MIN, fluid) < driving_pa) {
        basis_refuse(&r.basis, RECKON_UNREACHABLE, "supply_kpa", path->supply_kpa);
        return r;
    }
    r.driving_kpa = driving_pa / 1000.0;
    r.flow_l_min = flow_solve(path, driving_pa, fluid);
    for (size_t i = 0; i < path->count; i++) {
        TubeDrop tube = {.drop_pa = 0.0};
        r.drop_kpa[i] = part_drop_pa(&path->parts[i], r.flow_l_min, fluid, &tube) / 1000.0;
        if (r.drop_kpa[i] > r.drop_kpa[r.worst])
            r.worst = i;
        if (tube.reynolds > r.reynolds) {
            r.reynolds = tube.reynolds;
            r.regime = tube.regime;
        }
    }
    return r;
}

Clogging hydraulics_clogging(double litres, double seconds, double after_swap_l_min,
                             double since_swap_l, double supply_now_kpa, double supply_then_kpa)
{
    Clogging r = {.basis = basis_begin(
                      "flow by a timed jug against the flow after the last swap; a fall of "
                      "more than a third is this program's own limit",
                      "the same tap, wide open, and the same supply pressure", hydraulics_caution)};
    if (!basis_within(&r.basis, "litres", litres, 0.05, 100.0) ||
        !basis_within(&r.basis, "seconds", seconds, 1.0, 36000.0) ||
        !basis_within(&r.basis, "after_swap_l_min", after_swap_l_min, 0.01, 1000.0) ||
        !basis_within(&r.basis, "since_swap_l", since_swap_l, 0.0, 1.0e7) ||
        !basis_within(&r.basis, "supply_now_kpa", supply_now_kpa, 1.0, 1000.0) ||
        !basis_within(&r.basis, "supply_then_kpa", supply_then_kpa, 1.0, 1000.0))
        return r;
    r.flow_l_min = litres / seconds * 60.0;
    double alike = r.flow_l_min * sqrt(supply_then_kpa / supply_now_kpa);
    r.fall = 1.0 - alike / after_swap_l_min;
    r.clogged = r.fall > 1.0 / 3.0;
    /* A fall of less than a hundredth says nothing about where it will end. */
    if (r.fall >= 0.01 && !r.clogged)
        r.swap_in_litres = since_swap_l * (1.0 / 3.0 - r.fall) / r.fall;
    return r;
}

TimeToEmpty hydraulics_empty(double reachable_l, double flow_l_min)
{
    TimeToEmpty r = {.basis =
                         basis_begin("volume over flow", "tap open all the time, pressure held",
                                     hydraulics_caution)};
    if (basis_within(&r.basis, "reachable_l", reachable_l, 0.0, 10000.0) &&
        basis_within(&r.basis, "flow_l_min", flow_l_min, 0.001, 10000.0))
        r.minutes = reachable_l / flow_l_min;
    return r;
}

FlowDose hydraulics_dose(const FlowPath *path, const UvChamber *chamber, double lamp_h,
                         double uvt_percent)
{
    FlowDose r = {.flow = hydraulics_flow(path)};
    r.dose = ultraviolet_dose(chamber, r.flow.flow_l_min, lamp_h, uvt_percent);
    return r;
}
