#include "reckon/freeze.h"

#include <math.h>

static const double freeze_pi = 3.14159265358979323846;
static const double freeze_kelvin = 273.15;

/* Water at 0 C (IAPWS SR6-08), whose heat capacity is the highest and conductivity the lowest. */
#define WATER_KG_M3 999.8
#define WATER_J_KG_K 4217.0
#define WATER_W_MK 0.5556
#define ICE_J_KG 333600.0
#define ICE_W_MK 2.2
#define FOAM_W_MK 0.035

static const char freeze_source[] =
    "Churchill & Bernstein 1977, Churchill & Chu 1975; Newton; Plank 1913; ice 333.6 kJ/kg (CRC, "
    "from memory)";
static const char freeze_limits[] =
    "standing water, the earliest credible time: no supercooling, no wall; dry foam of 0.035 W/(m "
    "K); a clear night sky takes more heat than the air does";
static const char freeze_caution[] =
    "drain the thin parts first: a frozen lamp sleeve, filter housing or valve cracks; ice under "
    "pressure can burst a vessel; lagging delays, it does not prevent";

typedef struct {
    double w_mk, nu_m2_s, prandtl, kelvin;
} Air;

/* US Standard Atmosphere 1976: viscosity and conductivity; 1,005 J/(kg K). */
static Air air_film(double celsius)
{
    const double t = celsius + freeze_kelvin;
    const double mu = 1.458e-6 * t * sqrt(t) / (t + 110.4);
    const double k = 2.64638e-3 * t * sqrt(t) / (t + 245.4 * pow(10.0, -12.0 / t));
    return (Air){.w_mk = k,
                 .nu_m2_s = mu * 287.05287 * t / 101325.0,
                 .prandtl = mu * 1005.0 / k,
                 .kelvin = t};
}

static double nusselt_wind(double re, double pr)
{
    const double churchill = 0.3 + 0.62 * sqrt(re) * cbrt(pr) /
                                       pow(1.0 + pow(0.4 / pr, 2.0 / 3.0), 0.25) *
                                       pow(1.0 + pow(re / 282000.0, 0.625), 0.8);
    return fmax(churchill, 0.027 * pow(re, 0.805) * cbrt(pr));
}

static double nusselt_still(double rayleigh, double pr)
{
    const double root = 0.60 + 0.387 * pow(rayleigh, 1.0 / 6.0) /
                                   pow(1.0 + pow(0.559 / pr, 9.0 / 16.0), 8.0 / 27.0);
    return root * root;
}

double freeze_film(double diameter_m, double wind_m_s, double air_c)
{
    if (!(diameter_m >= 0.0005 && diameter_m <= 5.0 && wind_m_s >= 0.0 && wind_m_s <= 60.0 &&
          air_c >= -60.0 && air_c <= 0.0))
        return 0.0;
    const Air air = air_film(air_c / 2.0);
    const double rayleigh = 9.80665 / air.kelvin * -air_c * pow(diameter_m, 3.0) * air.prandtl /
                            (air.nu_m2_s * air.nu_m2_s);
    const double still = nusselt_still(rayleigh, air.prandtl);
    const double moved = nusselt_wind(wind_m_s * diameter_m / air.nu_m2_s, air.prandtl);
    const double cold = air_c + freeze_kelvin;
    const double radiation =
        0.9 * 5.670374e-8 * (freeze_kelvin * freeze_kelvin + cold * cold) * (freeze_kelvin + cold);
    return fmax(still, moved) * air.w_mk / diameter_m + radiation;
}

/* Begins a result; whether there is anything to reckon. Air between -0.01 and 0 C is taken as
 * -0.01: months. */
static bool freeze_begin(FreezeTime *r, double from_c, double *air_c, double wind_m_s,
                         double foam_m)
{
    r->basis = basis_begin(freeze_source, freeze_limits, freeze_caution);
    if (!basis_within(&r->basis, "from_c", from_c, 0.0, 60.0) ||
        !basis_within(&r->basis, "air_c", *air_c, -60.0, 60.0) ||
        !basis_within(&r->basis, "wind_m_s", wind_m_s, 0.0, 60.0) ||
        !basis_within(&r->basis, "foam_m", foam_m, 0.0, 0.2))
        return false;
    r->freezes = *air_c < 0.0;
    *air_c = fmin(*air_c, -0.01);
    return r->freezes;
}

FreezeTime freeze_tube(const FreezeTube *tube, double from_c, double air_c, double wind_m_s)
{
    FreezeTime r = {.freezes = false};
    if (!freeze_begin(&r, from_c, &air_c, wind_m_s, tube->foam_m) ||
        !basis_within(&r.basis, "bore_m", tube->bore_m, 0.001, 0.1) ||
        !basis_within(&r.basis, "outer_m", tube->outer_m, tube->bore_m, 0.5))
        return r;
    const double lagged = tube->outer_m + 2.0 * tube->foam_m;
    const double resistance =
        1.0 / (freeze_pi * lagged * freeze_film(lagged, wind_m_s, air_c)) +
        log(tube->outer_m / tube->bore_m) / (2.0 * freeze_pi * tube->wall_w_mk) +
        log(lagged / tube->outer_m) / (2.0 * freeze_pi * FOAM_W_MK);
    const double radius = tube->bore_m / 2.0;
    const double kg_m = WATER_KG_M3 * freeze_pi * radius * radius;
    r.first_seconds = kg_m * WATER_J_KG_K * resistance * log1p(from_c / -air_c);
    r.last_seconds =
        r.first_seconds +
        ICE_J_KG / -air_c * (kg_m * resistance + WATER_KG_M3 * radius * radius / (4.0 * ICE_W_MK));
    return r;
}

/* The time until the face of still water, cooled through `film`, is at 0 C: share = exp(x^2)
 * erfc(x), x = film sqrt(diffusivity t)/k, falls from 1 at 0 towards 0. */
static double wall_seconds(double film, double share)
{
    double low = 0.0, high = 20.0;
    for (int i = 0; i < 60; i++) {
        const double x = (low + high) / 2.0;
        if (exp(x * x) * erfc(x) > share)
            low = x;
        else
            high = x;
    }
    const double root = low * WATER_W_MK / film;
    return root * root * WATER_KG_M3 * WATER_J_KG_K / WATER_W_MK;
}

FreezeTime freeze_vessel(double volume_l, double foam_m, double from_c, double air_c,
                         double wind_m_s)
{
    FreezeTime r = {.freezes = false};
    if (!freeze_begin(&r, from_c, &air_c, wind_m_s, foam_m) ||
        !basis_within(&r.basis, "volume_l", volume_l, 0.1, 1000.0))
        return r;
    /* V = pi w^2/4 times 2 w; the foam's outside is the larger surface, which loses more. */
    const double inner = cbrt(2.0 * volume_l / 1000.0 / freeze_pi);
    const double width = inner + 2.0 * foam_m, height = 2.0 * inner + 2.0 * foam_m;
    const double area = freeze_pi * width * (width / 2.0 + height);
    const double film = 1.0 / (1.0 / freeze_film(width, wind_m_s, air_c) + foam_m / FOAM_W_MK);
    const double kg = volume_l / 1000.0 * WATER_KG_M3;
    const double to_zero = kg * WATER_J_KG_K / (area * film) * log1p(from_c / -air_c);
    const double at_wall =
        wall_seconds(film * area / (2.5 * freeze_pi * inner * inner), -air_c / (from_c - air_c));
    r.first_seconds = fmin(to_zero, at_wall);
    /* The half that freezes gives up its own warmth only: the other may stay warm. */
    r.last_seconds = to_zero / 2.0 + kg / 2.0 * ICE_J_KG / (area * film * -air_c);
    return r;
}

/* By Plank's equation the time goes with the thickness and its square. */
static const char *const freeze_order_table[] = {
    "tap, spray head and valves (the thinnest water, and brittle)",
    "tubing and couplings outside the heated space",
    "the lamp chamber: its quartz sleeve cracks",
    "filter housings and cartridges",
    "membrane, if there is one: it does not survive freezing",
    "small vessels, then the large ones; leave a tenth of each free for the ice to grow into",
};

const char *const *freeze_order(size_t *count)
{
    *count = sizeof(freeze_order_table) / sizeof(freeze_order_table[0]);
    return freeze_order_table;
}
