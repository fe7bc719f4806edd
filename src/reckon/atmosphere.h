/* atmosphere.h - the air outside, by altitude.
 *
 * Source: US Standard Atmosphere 1976 (NOAA, NASA, USAF), identical with ICAO Doc 7488 below 11
 * km: g0 9.80665 m/s2, p0 101325 Pa, T0 288.15 K, lapse -6.5 K/km, M 28.9644 kg/kmol, R*
 * 8.31432 J/(mol K) (that older value is part of the standard), earth radius 6356766 m. */
#ifndef ULLAGE_RECKON_ATMOSPHERE_H
#define ULLAGE_RECKON_ATMOSPHERE_H

#include "reckon/basis.h"

#define ATMOSPHERE_PA 101325.0

typedef struct {
    Basis basis;
    double geopotential_m;
    double temperature_k;
    double pressure_pa; /* absolute */
    double density_kg_m3;
    double boiling_c; /* of water at that pressure */
} Atmosphere;

/* At a height above mean sea level as a map or a receiver gives it (geometric), -500 to 11,019
 * m (11,000 m of the geopotential altitude that the standard's printed tables use). */
Atmosphere atmosphere_at(double altitude_m);

#endif
