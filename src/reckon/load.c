#include "reckon/load.h"

#include "reckon/water.h"

#include <math.h>

static const char mass_source[] = "density of water IAPWS SR6-08(2011)";
static const char mass_limits[] = "fresh water; salt water weighs 2 to 3 % more";
static const char mass_caution[] =
    "keep within the vehicle's or boat's load, low and lashed; half-full vessels surge";
static const char centre_source[] = "moments by masses: FAA-H-8083-1B (2016), chapter 2";
static const char centre_limits[] =
    "a row of vessels, each with its mass in its middle; axle loads are for a weighbridge";
static const char need_source[] =
    "Sphere 2011, WASH standard 1; CDC (2017); WHO; UN/WHO; heat and work: US Army TB MED 507, US "
    "Customs and Border Protection, FEMA and American Red Cross";
static const char need_limits[] =
    "people differ: the army's own limits are 1/4 US qt an hour up or down";
static const char need_caution[] = "more for heat, pregnancy, illness and small children; too much "
                                   "water without salt is dangerous too";

LoadMass load_mass(double volume_l, double temperature_c, double tare_kg)
{
    LoadMass r = {.basis = basis_begin(mass_source, mass_limits, mass_caution)};
    if (basis_within(&r.basis, "volume_l", volume_l, 0.0, 10000.0) &&
        basis_within(&r.basis, "temperature_c", temperature_c, 0.0, 100.0) &&
        basis_within(&r.basis, "tare_kg", tare_kg, 0.0, 10000.0)) {
        r.water_kg = volume_l * water_at(temperature_c).density_kg_m3 / 1000.0;
        r.gross_kg = r.water_kg + tare_kg;
    }
    return r;
}

LoadVolume load_volume(double gross_kg, double temperature_c, double tare_kg)
{
    LoadVolume r = {.basis = basis_begin(mass_source, mass_limits, mass_caution)};
    if (basis_within(&r.basis, "temperature_c", temperature_c, 0.0, 100.0) &&
        basis_within(&r.basis, "tare_kg", tare_kg, 0.0, 10000.0) &&
        basis_within(&r.basis, "gross_kg", gross_kg, tare_kg, 20000.0))
        r.volume_l = (gross_kg - tare_kg) / water_at(temperature_c).density_kg_m3 * 1000.0;
    return r;
}

LoadCentre load_centre(const double kg[], int count, double apart_m)
{
    LoadCentre r = {.basis = basis_begin(centre_source, centre_limits, mass_caution)};
    double total = 0.0, moment = 0.0;
    if (!basis_within(&r.basis, "apart_m", apart_m, 0.0, 100.0) ||
        !basis_within(&r.basis, "vessels", count, 1.0, LOAD_VESSELS_MAX))
        return r;
    for (int i = 0; i < count; i++) {
        if (!basis_within(&r.basis, "vessel_kg", kg[i], 0.0, 1000.0))
            return r;
        total += kg[i];
        moment += kg[i] * i * apart_m;
    }
    if (total <= 0.0) {
        (void)basis_refuse(&r.basis, RECKON_UNREACHABLE, "vessel_kg", total);
        return r;
    }
    r.total_kg = total;
    r.middle_m = moment / total;
    return r;
}

static const NeedRow needs[NEED_COUNT] = {
    [NEED_SURVIVAL] = {"survival", "Sphere 2011, WASH standard 1: drinking and food", 2.5, 3.0},
    [NEED_STORE] = {"store", "CDC (2017): a US gallon, half of it to drink", 3.785411784,
                    3.785411784},
    [NEED_BASIC] = {"basic", "Sphere 2011, WASH standard 1: with hygiene and cooking", 7.5, 15.0},
    [NEED_MINIMUM] = {"minimum", "WHO: 20 L to survive in the long run", 20.0, 20.0},
    [NEED_COMFORT] = {"comfort", "UN/WHO: 50 to 100 L", 50.0, 100.0},
};

const NeedRow *load_need_row(NeedLevel level)
{
    return (unsigned)level < NEED_COUNT ? &needs[level] : &needs[NEED_COMFORT];
}

/* US Army TB MED 507: WBGT from 78, 82, 85, 88, 90 F; US quarts an hour for easy, moderate,
 * hard work. */
enum { HEAT_CATEGORIES = 5 };
static const double wbgt_from_f[HEAT_CATEGORIES] = {78.0, 82.0, 85.0, 88.0, 90.0};
static const double intake_qt[HEAT_CATEGORIES][3] = {
    {0.5, 0.75, 0.75}, {0.5, 0.75, 1.0}, {0.75, 0.75, 1.0}, {0.75, 0.75, 1.0}, {1.0, 1.0, 1.0}};

HeatIntake load_heat_intake(double wbgt_c, Work work)
{
    HeatIntake r = {.basis = basis_begin(need_source, need_limits, need_caution)};
    if (!basis_within(&r.basis, "wbgt_c", wbgt_c, -50.0, 60.0))
        return r;
    double wbgt_f = wbgt_c * 1.8 + 32.0;
    for (int i = 0; i < HEAT_CATEGORIES; i++)
        if (wbgt_f >= wbgt_from_f[i] - 1e-9)
            r.category = i + 1;
    if (r.category > 0) {
        int column = work <= WORK_EASY ? 0 : (work == WORK_MODERATE ? 1 : 2);
        r.litres_an_hour = intake_qt[r.category - 1][column] * LOAD_QUART_L;
    }
    return r;
}

#define WORK_PLAN_L_H 1.5

/* The table that asks for the most. */
static void heat_most(LoadNeed *r, double litres, const char *source)
{
    if (litres <= r->heat_l)
        return;
    r->heat_l = fmin(litres, LOAD_DRINK_DAY_L);
    r->heat_source = source;
}

LoadNeed load_need(NeedLevel level, double persons, double days, double wbgt_c, Work work,
                   double work_hours)
{
    LoadNeed r = {.basis = basis_begin(need_source, need_limits, need_caution), .heat_source = ""};
    if (!basis_within(&r.basis, "persons", persons, 1.0, 1000.0) ||
        !basis_within(&r.basis, "days", days, 0.01, 3650.0) ||
        !basis_within(&r.basis, "wbgt_c", wbgt_c, -50.0, 60.0) ||
        !basis_within(&r.basis, "work_hours", work_hours, 0.0, 24.0))
        return r;
    HeatIntake intake = load_heat_intake(wbgt_c, work);
    r.heat_category = intake.category;
    r.drink_l_h = intake.litres_an_hour;
    if (r.heat_category > 0) {
        heat_most(&r, LOAD_HOT_DAY_L,
                  "FEMA and American Red Cross: heat doubles the US gallon a day");
        heat_most(&r, intake.litres_an_hour * work_hours, "US Army TB MED 507, by the hour");
        if (work != WORK_REST)
            heat_most(&r, WORK_PLAN_L_H * work_hours,
                      "US Customs and Border Protection: plan 1.5 L an hour of work");
    }
    r.low = load_need_row(level)->low + r.heat_l;
    r.high = load_need_row(level)->high + r.heat_l;
    r.total_low = r.low * persons * days;
    r.total_high = r.high * persons * days;
    return r;
}
