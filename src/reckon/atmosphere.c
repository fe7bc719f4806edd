#include "reckon/atmosphere.h"

#include "reckon/water.h"

#include <math.h>

#define GRAVITY_M_S2 9.80665
#define MOLAR_KG_MOL 0.0289644
#define GAS_J_MOL_K 8.31432
#define LAPSE_K_M 0.0065
#define SEA_LEVEL_K 288.15
#define EARTH_M 6356766.0

static const char atmosphere_source[] =
    "US Standard Atmosphere 1976 (NOAA, NASA, USAF) = ICAO Doc 7488 below 11 km; boiling point "
    "IAPWS R7-97(2012)";
static const char atmosphere_limits[] =
    "a standard day: weather moves the pressure by up to about 5 %";
static const char atmosphere_caution[] = "a barometer on board is better than an altitude";

#define LOW_M (-500.0)
#define HIGH_M 11019.068 /* 11 km of geopotential altitude, where the formula ends */

static void atmosphere_fill(Atmosphere *r, double geopotential_m)
{
    r->geopotential_m = geopotential_m;
    r->temperature_k = SEA_LEVEL_K - LAPSE_K_M * geopotential_m;
    double exponent = GRAVITY_M_S2 * MOLAR_KG_MOL / (GAS_J_MOL_K * LAPSE_K_M);
    r->pressure_pa = ATMOSPHERE_PA * pow(r->temperature_k / SEA_LEVEL_K, exponent);
    r->density_kg_m3 = r->pressure_pa * MOLAR_KG_MOL / (GAS_J_MOL_K * r->temperature_k);
    r->boiling_c = water_boiling(r->pressure_pa / 1000.0).temperature_c;
}

Atmosphere atmosphere_at(double altitude_m)
{
    Atmosphere r = {.basis = basis_begin(atmosphere_source, atmosphere_limits, atmosphere_caution)};
    if (basis_within(&r.basis, "altitude_m", altitude_m, LOW_M, HIGH_M))
        atmosphere_fill(&r, EARTH_M * altitude_m / (EARTH_M + altitude_m));
    return r;
}
