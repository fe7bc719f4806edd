#include "reckon/heat.h"

#include "reckon/tables_scald.h"
#include "reckon/water.h"

#include <math.h>

static const double PI = 3.14159265358979323846;

static const char HEAT_SOURCE[] =
    "Q = m c dT; heat capacity and density of water IAPWS SR6-08(2011)";
static const char HEAT_LIMITS[] = "water well stirred, constant watts, constant loss per kelvin";
static const char HEAT_CAUTION[] =
    "vent before heating, never heat a closed full vessel; above 49 C water scalds";
static const char COOL_SOURCE[] = "Newton's law of cooling, lumped";
static const char COOL_LIMITS[] = "the whole lump at one temperature, constant air and coefficient";
static const char FREEZE_SOURCE[] =
    "Newton's law of cooling, lumped; latent heat 333.6 kJ/kg (CRC, from memory); Plank (1913)";
static const char FREEZE_LIMITS[] =
    "10 W/(m2 K) in still air, 25 in wind; ice's own resistance left out; sun and sky not counted";
static const char FREEZE_CAUTION[] =
    "drain the thin parts first: a frozen lamp sleeve, filter housing or valve cracks; ice under "
    "pressure can burst a vessel";
static const char SCALD_SOURCE[] = "Moritz & Henriques 1947; a children's hospital; Burn "
                                   "Foundation; a university sheet; US CPSC 5098 "
                                   "(from memory)";
static const char SCALD_LIMITS[] = "the shortest published time is given; skin differs";
static const char SCALD_CAUTION[] =
    "49 C (120 F) at most at the outlet; test with the elbow; children "
    "burn sooner";
static const char STANDING_SOURCE[] = "UK HSE L8 / HSG274; WHO, Legionella and the prevention of "
                                      "legionellosis (2007)";
static const char STANDING_LIMITS[] = "Legionella in water that stands; by temperature alone";
static const char STANDING_CAUTION[] =
    "keep cold water below 20 C; do not breathe spray of water that stood warm; flush first";

HeatNeed heat_need(double mass_kg, double heat_j_kg_k, double from_c, double to_c, double watts)
{
    HeatNeed r = {.basis = basis_begin(HEAT_SOURCE, HEAT_LIMITS, HEAT_CAUTION)};
    if (!basis_within(&r.basis, "mass_kg", mass_kg, 0.001, 1.0e5) ||
        !basis_within(&r.basis, "heat_j_kg_k", heat_j_kg_k, 100.0, 1.0e4) ||
        !basis_within(&r.basis, "from_c", from_c, -100.0, 200.0) ||
        !basis_within(&r.basis, "to_c", to_c, from_c, 200.0) ||
        !basis_within(&r.basis, "watts", watts, 0.1, 1.0e5)) {
        return r;
    }
    r.energy_j = mass_kg * heat_j_kg_k * (to_c - from_c);
    r.energy_wh = r.energy_j / 3600.0;
    r.seconds = r.energy_j / watts;
    return r;
}

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
    if (x < 1e-12) {
        return mass_heat * rise / net_from;
    }
    return mass_heat / loss.loss_w_k * -log1p(-x);
}

static double mass_of(double volume_l, double temperature_c)
{
    return volume_l / 1000.0 * water_at(temperature_c).density_kg_m3;
}

HeatTime heat_time(double volume_l, double from_c, double to_c, double watts, HeatLoss loss)
{
    HeatTime r = {.basis = basis_begin(HEAT_SOURCE, HEAT_LIMITS, HEAT_CAUTION)};
    if (!basis_within(&r.basis, "volume_l", volume_l, 0.05, 1000.0) ||
        !basis_within(&r.basis, "from_c", from_c, 0.0, 100.0) ||
        !basis_within(&r.basis, "to_c", to_c, from_c, 100.0) ||
        !basis_within(&r.basis, "watts", watts, 1.0, 50000.0) || !loss_within(&r.basis, loss)) {
        return r;
    }
    double net_end = watts - loss.loss_w_k * (to_c - loss.air_c);
    double net_start = watts - loss.loss_w_k * (from_c - loss.air_c);
    /* A hundredth of a watt left at the end is not reaching it within any stay. */
    if (net_end < 0.01 || net_start < 0.01) {
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
    HeatReached r = {.basis = basis_begin(HEAT_SOURCE, HEAT_LIMITS, HEAT_CAUTION)};
    if (!basis_within(&r.basis, "volume_l", volume_l, 0.05, 1000.0) ||
        !basis_within(&r.basis, "from_c", from_c, 0.0, 100.0) ||
        !basis_within(&r.basis, "energy_wh", energy_wh, 0.1, 1.0e5) ||
        !basis_within(&r.basis, "watts", watts, 1.0, 50000.0) || !loss_within(&r.basis, loss)) {
        return r;
    }
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
                                         HEAT_CAUTION)};
    if (!basis_within(&r.basis, "electric_wh", electric_wh, 0.0, 1.0e6) ||
        !basis_within(&r.basis, "battery_wh", battery_wh, 1.0, 1.0e6) ||
        !basis_within(&r.basis, "volts", volts, 1.0, 1000.0) ||
        !basis_within(&r.basis, "efficiency", efficiency, 0.1, 1.0) ||
        !basis_within(&r.basis, "solar_w", solar_w, 1.0, 1.0e5) ||
        !basis_within(&r.basis, "sun_hours", sun_hours, 0.1, 24.0)) {
        return r;
    }
    r.battery_wh = electric_wh / efficiency;
    r.battery_ah = r.battery_wh / volts;
    r.battery_share = r.battery_wh / battery_wh;
    r.solar_hours = r.battery_wh / solar_w;
    r.solar_day_share = r.solar_hours / sun_hours;
    return r;
}

HeatMix heat_mix(double mass_a_kg, double a_c, double mass_b_kg, double b_c)
{
    HeatMix r = {.basis = basis_begin("mixing of equal heat capacities (exact arithmetic)",
                                      "no losses to the vessel or the air", HEAT_CAUTION)};
    if (!basis_within(&r.basis, "mass_a_kg", mass_a_kg, 0.0, 1.0e5) ||
        !basis_within(&r.basis, "a_c", a_c, 0.0, 100.0) ||
        !basis_within(&r.basis, "mass_b_kg", mass_b_kg, 0.0, 1.0e5) ||
        !basis_within(&r.basis, "b_c", b_c, 0.0, 100.0)) {
        return r;
    }
    if (!(mass_a_kg + mass_b_kg > 1.0e-9)) {
        basis_refuse(&r.basis, RECKON_CONTRADICTION, "mass_a_kg", mass_a_kg);
        return r;
    }
    double share = mass_a_kg / (mass_a_kg + mass_b_kg);
    r.temperature_c = b_c + (a_c - b_c) * share;
    return r;
}

HeatMixTo heat_mix_to(double total_l, double hot_c, double cold_c, double target_c)
{
    HeatMixTo r = {.basis =
                       basis_begin("mixing of equal heat capacities; density IAPWS SR6-08(2011)",
                                   "no losses to the vessel or the air", SCALD_CAUTION)};
    if (!basis_within(&r.basis, "total_l", total_l, 0.05, 1000.0) ||
        !basis_within(&r.basis, "cold_c", cold_c, 0.0, 100.0) ||
        !basis_within(&r.basis, "hot_c", hot_c, cold_c, 100.0) ||
        !basis_within(&r.basis, "target_c", target_c, cold_c, hot_c)) {
        return r;
    }
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

/* The smallest printed temperature that is not below `temp_f`, or the hottest printed. */
static double scald_row_f(double temp_f, bool infant)
{
    double row = -1.0;
    double hottest = 0.0;
    for (size_t i = 0; i < SCALD_ROW_COUNT; i++) {
        double f = SCALD_ROWS[i].temp_f;
        if (SCALD_ROWS[i].infant && !infant) {
            continue;
        }
        hottest = fmax(hottest, f);
        if (f >= temp_f - 1e-6 && (row < 0.0 || f < row)) {
            row = f;
        }
    }
    return row < 0.0 ? hottest : row;
}

/* The shortest time printed for that row or any cooler one: tables disagree, and a time printed
 * for cooler water is too long for hotter. */
static double scald_seconds(double row_f, bool infant, const char **who)
{
    double seconds = -1.0;
    for (size_t i = 0; i < SCALD_ROW_COUNT; i++) {
        const ScaldRow *row = &SCALD_ROWS[i];
        if (row->temp_f > row_f + 1e-6 || (row->infant && !infant)) {
            continue;
        }
        if (seconds < 0.0 || row->seconds < seconds) {
            seconds = row->seconds;
            *who = row->who;
        }
    }
    return fmax(seconds, 0.0);
}

#define SCALD_LOWEST_F 113.0
#define MIXED_F 120.0

ScaldTime heat_scald(double temperature_c)
{
    ScaldTime r = {.basis = basis_begin(SCALD_SOURCE, SCALD_LIMITS, SCALD_CAUTION), .who = ""};
    if (!basis_within(&r.basis, "temperature_c", temperature_c, 0.0, 100.0)) {
        return r;
    }
    double temp_f = temperature_c * 1.8 + 32.0;
    r.above_mixed = temp_f > MIXED_F + 1e-6;
    r.burns = temp_f >= SCALD_LOWEST_F - 1e-6;
    if (r.burns) {
        const char *who_infant = "";
        r.seconds = scald_seconds(scald_row_f(temp_f, false), false, &r.who);
        r.seconds_infant = scald_seconds(scald_row_f(temp_f, true), true, &who_infant);
    }
    return r;
}

typedef struct {
    double from_c;
    StandingBand band;
    const char *remark;
} StandingRow;
static const StandingRow STANDING_ROWS[] = {
    {0.0, STANDING_COLD, "cold enough: little or no growth"},
    {20.0, STANDING_COOL, "UK L8 counts growth from 20 C on, the WHO from 25 C"},
    {25.0, STANDING_GROWS, "Legionella multiplies, fastest from 32 to 42 C"},
    {45.0, STANDING_LIVES, "hardly grows but lives on"},
    {50.0, STANDING_KILLS_H, "dies in hours (90 % in 80 to 124 min at 50 C)"},
    {60.0, STANDING_KILLS, "dies in minutes; such water scalds in seconds"},
};

StandingWater heat_standing(double temperature_c)
{
    StandingWater r = {.basis = basis_begin(STANDING_SOURCE, STANDING_LIMITS, STANDING_CAUTION),
                       .remark = ""};
    if (!basis_within(&r.basis, "temperature_c", temperature_c, 0.0, 100.0)) {
        return r;
    }
    for (size_t i = 0; i < sizeof(STANDING_ROWS) / sizeof(STANDING_ROWS[0]); i++) {
        if (temperature_c >= STANDING_ROWS[i].from_c) {
            r.band = STANDING_ROWS[i].band;
            r.remark = STANDING_ROWS[i].remark;
        }
    }
    r.beware = r.band != STANDING_COLD && temperature_c < 50.0;
    return r;
}

CoolTo heat_cool(double from_c, double air_c, double tau_s, double seconds)
{
    CoolTo r = {.basis = basis_begin(COOL_SOURCE, COOL_LIMITS, FREEZE_CAUTION)};
    if (basis_within(&r.basis, "from_c", from_c, -100.0, 1000.0) &&
        basis_within(&r.basis, "air_c", air_c, -100.0, 1000.0) &&
        basis_within(&r.basis, "tau_s", tau_s, 1.0, 1.0e9) &&
        basis_within(&r.basis, "seconds", seconds, 0.0, 1.0e9)) {
        r.temperature_c = air_c + (from_c - air_c) * exp(-seconds / tau_s);
    }
    return r;
}

CoolTime heat_cool_time(double from_c, double to_c, double air_c, double tau_s)
{
    CoolTime r = {.basis = basis_begin(COOL_SOURCE, COOL_LIMITS, FREEZE_CAUTION)};
    if (!basis_within(&r.basis, "from_c", from_c, -100.0, 1000.0) ||
        !basis_within(&r.basis, "to_c", to_c, -100.0, 1000.0) ||
        !basis_within(&r.basis, "air_c", air_c, -100.0, 1000.0) ||
        !basis_within(&r.basis, "tau_s", tau_s, 1.0, 1.0e9)) {
        return r;
    }
    double before = from_c - air_c;
    double after = to_c - air_c;
    if (before == after) {
        return r;
    }
    bool towards = (before > 0.0 && after > 0.0 && after < before) ||
                   (before < 0.0 && after < 0.0 && after > before);
    if (!towards) {
        basis_refuse(&r.basis, RECKON_UNREACHABLE, "to_c", to_c);
        return r;
    }
    /* log of each, not of the quotient: a quotient of a tiny difference would overflow. */
    r.seconds = tau_s * (log(fabs(before)) - log(fabs(after)));
    return r;
}

CoolTime heat_lump_tau(double density_kg_m3, double heat_j_kg_k, double length_m,
                       double film_w_m2_k)
{
    CoolTime r = {.basis = basis_begin(COOL_SOURCE, COOL_LIMITS, FREEZE_CAUTION)};
    if (basis_within(&r.basis, "density_kg_m3", density_kg_m3, 0.1, 30000.0) &&
        basis_within(&r.basis, "heat_j_kg_k", heat_j_kg_k, 100.0, 1.0e4) &&
        basis_within(&r.basis, "length_m", length_m, 1.0e-5, 10.0) &&
        basis_within(&r.basis, "film_w_m2_k", film_w_m2_k, 0.1, 1.0e4)) {
        r.seconds = density_kg_m3 * heat_j_kg_k * length_m / film_w_m2_k;
    }
    return r;
}

/* An upright can of height 2 d: V = pi d^3/2, surface 2.5 pi d^2. */
static double can_area_m2(double volume_l)
{
    double width = cbrt(2.0 * volume_l / 1000.0 / PI);
    return 2.5 * PI * width * width;
}

HeatBare heat_loss_bare(double volume_l, double film_w_m2_k)
{
    HeatBare r = {.basis =
                      basis_begin("surface of an upright can twice as high as wide; coefficient as "
                                  "given",
                                  FREEZE_LIMITS, FREEZE_CAUTION)};
    if (basis_within(&r.basis, "volume_l", volume_l, 0.1, 1000.0) &&
        basis_within(&r.basis, "film_w_m2_k", film_w_m2_k, 0.5, 100.0)) {
        r.area_m2 = can_area_m2(volume_l);
        r.loss_w_k = r.area_m2 * film_w_m2_k;
    }
    return r;
}

static double plank_seconds(PlankShape shape, double size_m, double air_c, double film_w_m2_k)
{
    static const double P[] = {1.0 / 2.0, 1.0 / 4.0, 1.0 / 6.0};
    static const double R[] = {1.0 / 8.0, 1.0 / 16.0, 1.0 / 24.0};
    double film = P[shape] * size_m / film_w_m2_k;
    double ice = R[shape] * size_m * size_m / 2.2;
    return 1000.0 * HEAT_ICE_J_KG / -air_c * (film + ice);
}

CoolTime heat_plank(PlankShape shape, double size_m, double air_c, double film_w_m2_k)
{
    CoolTime r = {.basis = basis_begin(FREEZE_SOURCE, FREEZE_LIMITS, FREEZE_CAUTION)};
    if (basis_within(&r.basis, "size_m", size_m, 0.0005, 5.0) &&
        basis_within(&r.basis, "air_c", air_c, -60.0, -0.1) &&
        basis_within(&r.basis, "film_w_m2_k", film_w_m2_k, 0.5, 1000.0)) {
        r.seconds = plank_seconds(shape, size_m, air_c, film_w_m2_k);
    }
    return r;
}

#define TUBE_M 0.006

FreezeTime heat_freeze(double volume_l, double from_c, double air_c, double film_w_m2_k)
{
    FreezeTime r = {.basis = basis_begin(FREEZE_SOURCE, FREEZE_LIMITS, FREEZE_CAUTION)};
    if (!basis_within(&r.basis, "volume_l", volume_l, 0.1, 1000.0) ||
        !basis_within(&r.basis, "from_c", from_c, 0.0, 60.0) ||
        !basis_within(&r.basis, "air_c", air_c, -60.0, 60.0) ||
        !basis_within(&r.basis, "film_w_m2_k", film_w_m2_k, 0.5, 100.0)) {
        return r;
    }
    /* Air between -0.01 and 0 C: months, not a warning anybody needs. */
    r.freezes = air_c < -0.01;
    if (!r.freezes) {
        return r;
    }
    double loss_w_k = can_area_m2(volume_l) * film_w_m2_k;
    double mass = mass_of(volume_l, from_c);
    double mass_heat = mass * water_at(from_c / 2.0).heat_j_kg_k;
    double logs = log((from_c - air_c) / -air_c);
    double to_zero_s = mass_heat / loss_w_k * logs;
    double half_s = 0.5 * mass * HEAT_ICE_J_KG / (loss_w_k * -air_c);
    r.hours_to_zero = to_zero_s / 3600.0;
    r.hours_to_half = (to_zero_s + half_s) / 3600.0;
    double tube_tau = 1000.0 * water_at(from_c / 2.0).heat_j_kg_k * (TUBE_M / 4.0) / film_w_m2_k;
    double tube_s = tube_tau * logs + plank_seconds(PLANK_CYLINDER, TUBE_M, air_c, film_w_m2_k);
    r.tubing_minutes = tube_s / 60.0;
    return r;
}

/* Thinnest first, by Plank's equation: the time goes with the thickness and its square. */
static const char *const FREEZE_ORDER[] = {
    "tap, spray head and valves (the thinnest water, and brittle)",
    "tubing and couplings outside the heated space",
    "the lamp chamber: its quartz sleeve cracks",
    "filter housings and cartridges",
    "membrane, if there is one: it does not survive freezing",
    "small vessels, then the large ones; leave a tenth of each free for the ice to grow into",
};

const char *const *heat_freeze_order(size_t *count)
{
    *count = sizeof(FREEZE_ORDER) / sizeof(FREEZE_ORDER[0]);
    return FREEZE_ORDER;
}
