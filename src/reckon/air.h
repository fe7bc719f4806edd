/* air.h - the air that pushes the water.
 *
 * Sources: ideal gas; isothermal work p V ln(p/p0) and adiabatic work with exponent 1.4
 * (OpenStax, University Physics 2, m58397); absolute = gauge + ambient, ambient by the US
 * Standard Atmosphere 1976. Litre-atmosphere arithmetic at the air's own ambient pressure:
 * "free air" is air as the compressor draws it in. */
#ifndef ULLAGE_RECKON_AIR_H
#define ULLAGE_RECKON_AIR_H

#include "reckon/basis.h"

#define AIR_GAUGE_HIGH_KPA 1000.0

typedef struct {
    Basis basis;
    double ambient_kpa;
    double absolute_kpa;
    double ratio; /* absolute / ambient */
} AirPressure;
/* `gauge_kpa` 0 to 1,000 at an altitude of -500 to 11,000 m. */
AirPressure air_pressure(double gauge_kpa, double altitude_m);

typedef struct {
    Basis basis;
    double free_air_l;         /* that fills the volume at the pressure */
    double added_air_l;        /* where the volume was full of ambient air before */
    double isothermal_j;       /* least work: steady compression, all heat given off */
    double isothermal_net_j;   /* the same less what the atmosphere does */
    double adiabatic_closed_j; /* one closed stroke, no heat given off */
    double adiabatic_j;        /* most work: steady compression, no heat given off */
} AirCharge;
/* Air to fill `volume_l` (0 to 100,000) at `gauge_kpa` (0 to 1,000) over `ambient_kpa` (20 to
 * 120). A litre of water delivered leaves a litre to be filled: volume_l = the water delivered. */
AirCharge air_charge(double volume_l, double gauge_kpa, double ambient_kpa);

typedef struct {
    Basis basis;
    double run_minutes;
    double battery_wh;
    double battery_ah;
    double per_litre_wh;
    double bound_low_wh,
        bound_high_wh; /* isothermal and adiabatic work: what a perfect pump would take */
} AirRun;
/* What a small compressor takes to deliver `water_l` (0.01 to 100,000) at `gauge_kpa` (0 to
 * 1,000) over `ambient_kpa`: it gives `free_l_min` (0.1 to 1,000) of free air AT that pressure,
 * and draws `watts` (1 to 5,000) at `volts` (1 to 1,000). */
AirRun air_run(double water_l, double gauge_kpa, double ambient_kpa, double free_l_min,
               double watts, double volts);

typedef struct {
    Basis basis;
    bool compared; /* a rating was given */
} AirRating;
/* Holds `gauge_kpa` (0 to 10,000), the parameter `field`, against the LOWEST rating of all that is
 * under it (0 to 10,000: 0 takes no pressure; NAN: not known, so nothing is compared).
 * RECKON_ABOVE_RATING above it. Both count to the pascal, as the log keeps them. */
AirRating air_rating(const char *field, double gauge_kpa, double rated_kpa);

/* A vessel or a whole line, charged once and shut off. Whether it bears the charge: air_rating. */
typedef struct {
    double total_l;     /* 0.1 to 10,000: all the room in it */
    double heel_l;      /* 0 to total: what can't be reached */
    double gauge_kpa;   /* 1 to 1,000: charged to */
    double floor_kpa;   /* 0 to gauge: below it the tap is too slow */
    double ambient_kpa; /* 20 to 120 */
} AirVessel;

typedef struct {
    Basis basis;
    double litres;      /* surely delivered before the floor: adiabatic, a fast draw */
    double litres_slow; /* isothermal, a draw slow enough to take up heat */
    bool runs_out;      /* all that can be reached comes out even when drawn fast */
} AirOnce;
/* Water delivered by one charge from `water_l` (heel to total) before the pressure falls to the
 * floor. */
AirOnce air_once(const AirVessel *vessel, double water_l);

typedef struct {
    Basis basis;
    double gauge_kpa;      /* isothermal; never below 0: the tap has stopped there */
    double gauge_fast_kpa; /* adiabatic */
} AirAfter;
/* Gauge pressure after drawing `drawn_l` of `water_l`. The signed values of the formula are
 * kept from 0 up. */
AirAfter air_after(const AirVessel *vessel, double water_l, double drawn_l);

typedef struct {
    Basis basis;
    double water_l; /* fill to this */
    double litres;  /* and it delivers so much, drawn fast */
    double water_slow_l, litres_slow;
} AirBest;
/* How full to fill for the most water out of one charge: where the last reachable drop leaves
 * at the floor. */
AirBest air_best_fill(const AirVessel *vessel);

typedef struct {
    Basis basis;
    double gauge_kpa;     /* what the gauge comes to; may be below 0 */
    double gauge_wet_kpa; /* the most: with the water's own vapour, the air having been dry */
    bool brimful;         /* the water takes all the room: no figure, it alone bursts the vessel */
} AirSealed;
/* A vessel that holds `water_l` (0 to total), charged at `from_c` and shut off, then at `to_c`
 * (both 0 to 110) where the air around is at `to_ambient_kpa` (20 to 120): p2 = (p1 + a1) (T2/T1)
 * (H1/H2) - a2,   H1 = V - W,   H2 = V - W rho(T1)/rho(T2) ideal gas, and the water swells into the
 * headspace (IAPWS SR6-08). The vessel is taken as rigid: a real one gives way, so this errs high.
 */
AirSealed air_sealed(const AirVessel *vessel, double water_l, double from_c, double to_c,
                     double to_ambient_kpa);

#endif
