#include "reckon/air.h"

#include "reckon/atmosphere.h"
#include "reckon/water.h"

#include <math.h>

static const char air_source[] = "ideal gas, isothermal and adiabatic work (OpenStax, University "
                                 "Physics 2, m58397); US Standard "
                                 "Atmosphere 1976";
static const char air_limits[] =
    "dry air, exponent 1.4; the truth lies between the isothermal and the "
    "adiabatic value; leaks and the "
    "compressor's own losses are not in the bounds";
static const char air_caution[] =
    "never above the lowest rated pressure on the line; a relief valve "
    "and a regulator; vent before a lid "
    "is opened";

static const char sealed_source[] = "ideal gas at absolute pressures; density and vapour of water "
                                    "IAPWS SR6-08(2011), R7-97(2012)";
static const char sealed_limits[] = "shut off: a rigid vessel, its headspaces taken as one, so the "
                                    "figure errs high, but a full vessel shut off by itself has no "
                                    "headspace; the upper figure counts the water's vapour";
static const char sealed_caution[] =
    "a charge that is shut off rises with warmth and height: leave "
    "headspace, and a relief valve set no higher than the lowest "
    "rating; a regulator is none";

#define GAMMA 1.4
#define AMBIENT_LOW_KPA 20.0
#define AMBIENT_HIGH_KPA 120.0
#define RATING_HIGH_KPA 10000.0 /* what the log takes */
#define ZERO_C_K 273.15

AirPressure air_pressure(double gauge_kpa, double altitude_m)
{
    AirPressure r = {.basis = basis_begin(air_source, air_limits, air_caution)};
    if (!basis_within(&r.basis, "gauge_kpa", gauge_kpa, 0.0, AIR_GAUGE_HIGH_KPA))
        return r;
    Atmosphere air = atmosphere_at(altitude_m);
    if (!air.basis.ok) {
        r.basis.low = air.basis.low;
        r.basis.high = air.basis.high;
        basis_refuse(&r.basis, air.basis.reason, "altitude_m", altitude_m);
        return r;
    }
    r.ambient_kpa = air.pressure_pa / 1000.0;
    r.absolute_kpa = r.ambient_kpa + gauge_kpa;
    r.ratio = r.absolute_kpa / r.ambient_kpa;
    return r;
}

/* Work per free litre at ratio r, in units of ambient pressure times volume. expm1 keeps r near
 * 1 exact. */
static double adiabatic_factor(double ratio)
{
    return expm1((GAMMA - 1.0) / GAMMA * log(ratio)) / (GAMMA - 1.0);
}

static void charge_fill(AirCharge *r, double volume_l, double gauge_kpa, double ambient_kpa)
{
    double absolute = ambient_kpa + gauge_kpa;
    double ratio = absolute / ambient_kpa;
    r->free_air_l = volume_l * ratio;
    r->added_air_l = volume_l * gauge_kpa / ambient_kpa;
    /* kPa times litres are joules. */
    r->isothermal_j = absolute * volume_l * log1p(gauge_kpa / ambient_kpa);
    r->isothermal_net_j = r->isothermal_j - ambient_kpa * (r->free_air_l - volume_l);
    r->adiabatic_closed_j = ambient_kpa * r->free_air_l * adiabatic_factor(ratio);
    r->adiabatic_j = GAMMA * r->adiabatic_closed_j;
}

AirCharge air_charge(double volume_l, double gauge_kpa, double ambient_kpa)
{
    AirCharge r = {.basis = basis_begin(air_source, air_limits, air_caution)};
    if (basis_within(&r.basis, "volume_l", volume_l, 0.0, 1.0e5) &&
        basis_within(&r.basis, "gauge_kpa", gauge_kpa, 0.0, AIR_GAUGE_HIGH_KPA) &&
        basis_within(&r.basis, "ambient_kpa", ambient_kpa, AMBIENT_LOW_KPA, AMBIENT_HIGH_KPA))
        charge_fill(&r, volume_l, gauge_kpa, ambient_kpa);
    return r;
}

AirRun air_run(double water_l, double gauge_kpa, double ambient_kpa, double free_l_min,
               double watts, double volts)
{
    AirRun r = {.basis = basis_begin(air_source, air_limits, air_caution)};
    if (!basis_within(&r.basis, "water_l", water_l, 0.01, 1.0e5) ||
        !basis_within(&r.basis, "gauge_kpa", gauge_kpa, 0.0, AIR_GAUGE_HIGH_KPA) ||
        !basis_within(&r.basis, "ambient_kpa", ambient_kpa, AMBIENT_LOW_KPA, AMBIENT_HIGH_KPA) ||
        !basis_within(&r.basis, "free_l_min", free_l_min, 0.1, 1000.0) ||
        !basis_within(&r.basis, "watts", watts, 1.0, 5000.0) ||
        !basis_within(&r.basis, "volts", volts, 1.0, 1000.0))
        return r;
    AirCharge charge = {.free_air_l = 0.0};
    charge_fill(&charge, water_l, gauge_kpa, ambient_kpa);
    r.run_minutes = charge.free_air_l / free_l_min;
    r.battery_wh = watts * r.run_minutes / 60.0;
    r.battery_ah = r.battery_wh / volts;
    r.per_litre_wh = r.battery_wh / water_l;
    r.bound_low_wh = charge.isothermal_j / 3600.0;
    r.bound_high_wh = charge.adiabatic_j / 3600.0;
    return r;
}

AirRating air_rating(const char *field, double gauge_kpa, double rated_kpa)
{
    AirRating r = {.basis = basis_begin(NULL, NULL, NULL)};
    if (!basis_within(&r.basis, field, gauge_kpa, 0.0, RATING_HIGH_KPA) || isnan(rated_kpa) ||
        !basis_within(&r.basis, "rated_kpa", rated_kpa, 0.0, RATING_HIGH_KPA))
        return r;
    r.compared = true;
    r.basis.high = rated_kpa;
    if (llround(gauge_kpa * 1000.0) > llround(rated_kpa * 1000.0))
        (void)basis_refuse(&r.basis, RECKON_ABOVE_RATING, field, gauge_kpa);
    return r;
}

static bool vessel_within(Basis *b, const AirVessel *v)
{
    return basis_within(b, "total_l", v->total_l, 0.1, 10000.0) &&
           basis_within(b, "heel_l", v->heel_l, 0.0, v->total_l) &&
           basis_within(b, "gauge_kpa", v->gauge_kpa, 1.0, AIR_GAUGE_HIGH_KPA) &&
           basis_within(b, "floor_kpa", v->floor_kpa, 0.0, v->gauge_kpa) &&
           basis_within(b, "ambient_kpa", v->ambient_kpa, AMBIENT_LOW_KPA, AMBIENT_HIGH_KPA);
}

/* How far the air expands from the charge to the floor: volume after over volume before. */
static double expansion(const AirVessel *v, double exponent)
{
    double ratio = (v->gauge_kpa + v->ambient_kpa) / (v->floor_kpa + v->ambient_kpa);
    return pow(ratio, 1.0 / exponent);
}

AirOnce air_once(const AirVessel *vessel, double water_l)
{
    AirOnce r = {.basis = basis_begin(air_source, air_limits, air_caution)};
    if (!vessel_within(&r.basis, vessel) ||
        !basis_within(&r.basis, "water_l", water_l, vessel->heel_l, vessel->total_l))
        return r;
    double air_l = vessel->total_l - water_l;
    double reach_l = water_l - vessel->heel_l;
    double fast_l = air_l * (expansion(vessel, GAMMA) - 1.0);
    double slow_l = air_l * (expansion(vessel, 1.0) - 1.0);
    r.litres = fmin(fast_l, reach_l);
    r.litres_slow = fmin(slow_l, reach_l);
    r.runs_out = fast_l >= reach_l;
    return r;
}

AirAfter air_after(const AirVessel *vessel, double water_l, double drawn_l)
{
    AirAfter r = {.basis = basis_begin(air_source, air_limits, air_caution)};
    if (!vessel_within(&r.basis, vessel) ||
        !basis_within(&r.basis, "water_l", water_l, vessel->heel_l, vessel->total_l) ||
        !basis_within(&r.basis, "drawn_l", drawn_l, 0.0, water_l - vessel->heel_l))
        return r;
    double air_l = vessel->total_l - water_l;
    double whole_l = air_l + drawn_l;
    double share = 1.0; /* brim-full and nothing drawn: the pressure stays */
    if (whole_l > 0.0)
        share = air_l / whole_l;
    double absolute = vessel->gauge_kpa + vessel->ambient_kpa;
    r.gauge_kpa = fmax(0.0, absolute * share - vessel->ambient_kpa);
    r.gauge_fast_kpa = fmax(0.0, absolute * pow(share, GAMMA) - vessel->ambient_kpa);
    return r;
}

AirBest air_best_fill(const AirVessel *vessel)
{
    AirBest r = {.basis = basis_begin(air_source, air_limits, air_caution)};
    if (!vessel_within(&r.basis, vessel))
        return r;
    /* Air a grows to a e at the floor; it is best spent when that is all the room above the heel:
     * a e = total - heel. */
    double room_l = vessel->total_l - vessel->heel_l;
    double fast = expansion(vessel, GAMMA);
    double slow = expansion(vessel, 1.0);
    r.water_l = vessel->total_l - room_l / fast;
    r.litres = room_l * (1.0 - 1.0 / fast);
    r.water_slow_l = vessel->total_l - room_l / slow;
    r.litres_slow = room_l * (1.0 - 1.0 / slow);
    return r;
}

AirSealed air_sealed(const AirVessel *vessel, double water_l, double from_c, double to_c,
                     double to_ambient_kpa)
{
    AirSealed r = {.basis = basis_begin(sealed_source, sealed_limits, sealed_caution)};
    if (!vessel_within(&r.basis, vessel) ||
        !basis_within(&r.basis, "water_l", water_l, 0.0, vessel->total_l) ||
        !basis_within(&r.basis, "from_c", from_c, WATER_T_LOW_C, WATER_T_HIGH_C) ||
        !basis_within(&r.basis, "to_c", to_c, WATER_T_LOW_C, WATER_T_HIGH_C) ||
        !basis_within(&r.basis, "to_ambient_kpa", to_ambient_kpa, AMBIENT_LOW_KPA,
                      AMBIENT_HIGH_KPA))
        return r;
    const WaterProperties then = water_at(from_c), now = water_at(to_c);
    const double before_l = vessel->total_l - water_l;
    const double after_l = vessel->total_l - water_l * then.density_kg_m3 / now.density_kg_m3;
    r.brimful = fmin(before_l, after_l) <= 0.0;
    if (r.brimful)
        return r;
    const double absolute = (vessel->gauge_kpa + vessel->ambient_kpa) * (to_c + ZERO_C_K) /
                            (from_c + ZERO_C_K) * before_l / after_l;
    r.gauge_kpa = absolute - to_ambient_kpa;
    r.gauge_wet_kpa = r.gauge_kpa + now.vapour_pa / 1000.0;
    return r;
}
