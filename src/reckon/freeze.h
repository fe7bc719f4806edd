/* freeze.h - how soon a line and a vessel freeze: the earliest credible time, not the likely one.
 *
 * Sources: forced convection Churchill & Bernstein (1977) and, where it is higher, Hilpert's last
 * row (1933, from memory); free convection Churchill & Chu (1975); radiation by Stefan and
 * Boltzmann with emissivity 0.9; air by the US Standard Atmosphere 1976 at sea level, where it is
 * thickest; cooling by Newton, a wall of still water by the half-infinite body (Carslaw & Jaeger,
 * Conduction of Heat in Solids, 2.7, from memory), freezing through by Plank (1913). Ice 333.6
 * kJ/kg (CRC, from memory) and 2.2 W/(m K), foam 0.035 W/(m K) (OpenStax, University Physics 2,
 * m58389). All that delays ice but can't be counted on is left out: supercooling, heat along the
 * line, the wall. */
#ifndef ULLAGE_RECKON_FREEZE_H
#define ULLAGE_RECKON_FREEZE_H

#include "reckon/basis.h"

/* W/(m2 K) from a surface at 0 C of a body `diameter_m` (0.0005 to 5) across, in air at `air_c`
 * (-60 to 0) and a wind of `wind_m_s` (0 to 60): the highest of the correlations, radiation
 * included. 0 out of range. */
double freeze_film(double diameter_m, double wind_m_s, double air_c);

typedef struct {
    double bore_m, outer_m; /* 0.001 to 0.1; outer not under the bore */
    double wall_w_mk;       /* what its wall conducts; INFINITY: no resistance, the earliest */
    double foam_m;          /* 0 to 0.2 of lagging around it */
} FreezeTube;

typedef struct {
    Basis basis;
    bool freezes;         /* false: the air is not below 0 C, the times are 0 */
    double first_seconds; /* from now until the first ice, at the earliest */
    double last_seconds;  /* until a tube is frozen through, half of a vessel */
} FreezeTime;
/* Standing water of `from_c` (0 to 60) in air at `air_c` (-60 to 60) and a wind of `wind_m_s`
 * (0 to 60). */
FreezeTime freeze_tube(const FreezeTube *tube, double from_c, double air_c, double wind_m_s);
/* `volume_l` (0.1 to 1,000) in an upright can twice as high as wide, behind `foam_m` (0 to 0.2) of
 * lagging. The first ice comes with the whole at 0 C or, where that is sooner, with the water at
 * the wall, unstirred. */
FreezeTime freeze_vessel(double volume_l, double foam_m, double from_c, double air_c,
                         double wind_m_s);
/* What to drain first, thinnest first. */
const char *const *freeze_order(size_t *count);

#endif
