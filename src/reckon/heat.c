#include "reckon/heat.h"

#include "reckon/tables_scald.h"
#include "reckon/water.h"

#include <math.h>

static const char heat_source[] =
    "Q = m c dT; heat capacity and density of water IAPWS SR6-08(2011)";
static const char heat_limits[] = "water well stirred, constant watts, constant loss per kelvin";
static const char heat_caution[] =
    "vent before heating, never heat a closed full vessel; above 49 C (120 F) water scalds";
static const char scald_source[] = "Moritz & Henriques 1947; a children's hospital; Burn "
                                   "Foundation; a university sheet; US CPSC 5098 "
                                   "(from memory)";
static const char scald_limits[] = "the shortest published time is given; skin differs";
static const char scald_caution[] =
    "49 C (120 F) at most at the outlet; test with the elbow; children "
    "burn sooner";
static const char standing_source[] = "UK HSE L8 / HSG274; WHO, Legionella and the prevention of "
                                      "legionellosis (2007)";
static const char standing_limits[] = "Legionella in water that stands; by temperature alone";
static const char standing_caution[] =
    "keep cold water below 20 C (68 F); do not breathe spray of water that stood warm; flush first";

static bool loss_within(Basis *basis, HeatLoss loss)
{
    return basis_within(basis, "loss_w_k", loss.loss_w_k, 0.0, 1000.0) &&
           basis_within(basis, "air_c", loss.air_c, -50.0, 60.0);
}

/* The energy balance m c dT/dt = P - K (T - air), solved for the time from `from` to `to`.
 * Written with log1p so that K -> 0 runs smoothly into m c dT / P. */
static double seconds_to(double mass_heat, double from_c, double to_c, double watts, HeatLoss loss)
{
    double net_from = watts - loss.loss_w_k * (from_c - loss.air_c);
    double rise = to_c - from_c;
    double x = loss.loss_w_k * rise / net_from; /* 0 <= x < 1 when it is reached */
    if (x < 1e-12)
        return mass_heat * rise / net_from;
    return mass_heat / loss.loss_w_k * -log1p(-x);
}

static double mass_of(double volume_l, double temperature_c)
{
    return volume_l / 1000.0 * water_at(temperature_c).density_kg_m3;
}

HeatTime heat_time(double volume_l, double from_c, double to_c, double watts, HeatLoss loss)
{
    HeatTime r = {.basis = basis_begin(heat_source, heat_limits, heat_caution)};
    if (!basis_within(&r.basis, "volume_l", volume_l, 0.05, 1000.0) ||
        !basis_within(&r.basis, "from_c", from_c, 0.0, 100.0) ||
        !basis_within(&r.basis, "to_c", to_c, from_c, 100.0) ||
        !basis_within(&r.basis, "watts", watts, 1.0, 50000.0) || !loss_within(&r.basis, loss))
        return r;
    double net_end = watts - loss.loss_w_k * (to_c - loss.air_c);
    /* A hundredth of a watt left at the end is not reaching it within any stay. */
    if (net_end < 0.01) {
        basis_refuse(&r.basis, RECKON_UNREACHABLE, "to_c", to_c);
        return r;
    }
    r.mass_kg = mass_of(volume_l, from_c);
    double mass_heat = r.mass_kg * water_at((from_c + to_c) / 2.0).heat_j_kg_k;
    r.energy_wh = mass_heat * (to_c - from_c) / 3600.0;
    double seconds = seconds_to(mass_heat, from_c, to_c, watts, loss);
    r.minutes = seconds / 60.0;
    r.electric_wh = watts * seconds / 3600.0;
    r.lost_wh = r.electric_wh - r.energy_wh;
    r.ceiling_c = loss.loss_w_k > 0.0 ? fmin(1.0e6, loss.air_c + watts / loss.loss_w_k) : 1.0e6;
    return r;
}

HeatReached heat_reached(double volume_l, double from_c, double energy_wh, double watts,
                         HeatLoss loss)
{
    HeatReached r = {.basis = basis_begin(heat_source, heat_limits, heat_caution)};
    if (!basis_within(&r.basis, "volume_l", volume_l, 0.05, 1000.0) ||
        !basis_within(&r.basis, "from_c", from_c, 0.0, 100.0) ||
        !basis_within(&r.basis, "energy_wh", energy_wh, 0.1, 1.0e5) ||
        !basis_within(&r.basis, "watts", watts, 1.0, 50000.0) || !loss_within(&r.basis, loss))
        return r;
    double seconds = energy_wh * 3600.0 / watts;
    r.minutes = seconds / 60.0;
    /* Heat capacity varies by 1 % over the span; its value at 40 C is within 1 % everywhere. */
    double mass_heat = mass_of(volume_l, from_c) * water_at(40.0).heat_j_kg_k;
    double net = watts - loss.loss_w_k * (from_c - loss.air_c);
    double x = loss.loss_w_k * seconds / mass_heat;
    double rise = x < 1e-12 ? net * seconds / mass_heat : net / loss.loss_w_k * -expm1(-x);
    r.temperature_c = fmax(0.0, fmin(100.0, from_c + rise));
    return r;
}

HeatSupply heat_supply(double electric_wh, double battery_wh, double volts, double efficiency,
                       double solar_w, double sun_hours)
{
    HeatSupply r = {.basis = basis_begin("arithmetic: Wh = V Ah, losses of conversion as given",
                                         "usable battery, not its plate; cold takes a part of it",
                                         heat_caution)};
    if (!basis_within(&r.basis, "electric_wh", electric_wh, 0.0, 1.0e6) ||
        !basis_within(&r.basis, "battery_wh", battery_wh, 1.0, 1.0e6) ||
        !basis_within(&r.basis, "volts", volts, 1.0, 1000.0) ||
        !basis_within(&r.basis, "efficiency", efficiency, 0.1, 1.0) ||
        !basis_within(&r.basis, "solar_w", solar_w, 1.0, 1.0e5) ||
        !basis_within(&r.basis, "sun_hours", sun_hours, 0.1, 24.0))
        return r;
    r.battery_wh = electric_wh / efficiency;
    r.battery_ah = r.battery_wh / volts;
    r.battery_share = r.battery_wh / battery_wh;
    r.solar_hours = r.battery_wh / solar_w;
    r.solar_day_share = r.solar_hours / sun_hours;
    return r;
}

HeatMixTo heat_mix_to(double total_l, double hot_c, double cold_c, double target_c)
{
    HeatMixTo r = {.basis =
                       basis_begin("mixing of equal heat capacities; density IAPWS SR6-08(2011)",
                                   "no losses to the vessel or the air", scald_caution)};
    if (!basis_within(&r.basis, "total_l", total_l, 0.05, 1000.0) ||
        !basis_within(&r.basis, "cold_c", cold_c, 0.0, 100.0) ||
        !basis_within(&r.basis, "hot_c", hot_c, cold_c, 100.0) ||
        !basis_within(&r.basis, "target_c", target_c, cold_c, hot_c))
        return r;
    if (!(hot_c - cold_c > 1.0e-6)) {
        basis_refuse(&r.basis, RECKON_CONTRADICTION, "hot_c", hot_c);
        return r;
    }
    double mass = mass_of(total_l, target_c);
    double share = (target_c - cold_c) / (hot_c - cold_c);
    r.hot_l = mass * share / water_at(hot_c).density_kg_m3 * 1000.0;
    r.cold_l = mass * (1.0 - share) / water_at(cold_c).density_kg_m3 * 1000.0;
    return r;
}

#define SCALD_LOWEST_F 113.0
#define MIXED_C 49.0

/* The row of adults, or of infants, that is read at `temp_f`: the next hotter printed one, or the
 * hottest; of several the shortest time. A time printed for cooler water is too long for hotter:
 * no longer than that of any cooler row. */
static const ScaldRow *scald_row(double temp_f, bool infant)
{
    double read = INFINITY, hottest = 0.0;
    for (size_t i = 0; i < SCALD_ROW_COUNT; i++) {
        const double f = SCALD_ROWS[i].temp_f;
        if (SCALD_ROWS[i].infant != infant)
            continue;
        hottest = fmax(hottest, f);
        if (f >= temp_f - 1e-6)
            read = fmin(read, f);
    }
    const ScaldRow *row = NULL;
    for (size_t i = 0; i < SCALD_ROW_COUNT; i++) {
        const ScaldRow *other = &SCALD_ROWS[i];
        if (other->infant == infant && other->temp_f <= fmin(read, hottest) &&
            (row == NULL || other->seconds < row->seconds))
            row = other;
    }
    return row;
}

ScaldTime heat_scald(double temperature_c)
{
    ScaldTime r = {.basis = basis_begin(scald_source, scald_limits, scald_caution),
                   .who = "",
                   .who_infant = ""};
    if (!basis_within(&r.basis, "temperature_c", temperature_c, 0.0, 100.0))
        return r;
    const double temp_f = temperature_c * 1.8 + 32.0;
    r.above_mixed = temperature_c > MIXED_C + 1e-9;
    r.burns = temp_f >= SCALD_LOWEST_F - 1e-6;
    if (!r.burns)
        return r;
    const ScaldRow *row = scald_row(temp_f, false), *own = scald_row(temp_f, true);
    const ScaldRow *infant = own->seconds < row->seconds ? own : row;
    r.beyond = true;
    for (size_t i = 0; i < SCALD_ROW_COUNT; i++)
        r.beyond = r.beyond && SCALD_ROWS[i].temp_f < temp_f - 1e-6;
    r.seconds = row->seconds;
    r.who = row->who;
    r.seconds_infant = infant->seconds;
    r.who_infant = infant->who;
    return r;
}

typedef struct {
    double from_c;
    StandingBand band;
    const char *remark;
} StandingRow;
static const StandingRow standing_rows[] = {
    {0.0, STANDING_COLD, "cold enough: little or no growth"},
    {20.0, STANDING_COOL, "UK L8 counts growth from 20 C (68 F) on, the WHO from 25 C (77 F)"},
    {25.0, STANDING_GROWS, "Legionella multiplies, fastest from 32 to 42 C (90 to 108 F)"},
    {45.0, STANDING_LIVES, "hardly grows but lives on"},
    {50.0, STANDING_KILLS_H, "dies in hours (90 % in 80 to 124 min at 50 C, 122 F)"},
    {60.0, STANDING_KILLS,
     "Legionella dies in minutes; it scalds in seconds, and cools to where they grow"},
};

StandingWater heat_standing(double temperature_c)
{
    StandingWater r = {.basis = basis_begin(standing_source, standing_limits, standing_caution),
                       .remark = ""};
    if (!basis_within(&r.basis, "temperature_c", temperature_c, 0.0, 100.0))
        return r;
    for (size_t i = 0; i < sizeof(standing_rows) / sizeof(standing_rows[0]); i++) {
        if (temperature_c >= standing_rows[i].from_c) {
            r.band = standing_rows[i].band;
            r.remark = standing_rows[i].remark;
        }
    }
    r.beware = r.band != STANDING_COLD;
    return r;
}
