/* heat.h - warming, mixing, cooling and freezing of the water in a vessel.
 *
 * Sources: Q = m c dT with the heat capacity of water.h; Newton's law of cooling (lumped, Bi
 * small); Plank (1913) for freezing; latent heat of ice 333.6 kJ/kg (CRC Handbook, from memory;
 * published spread 333.4 to 334); ice 2,090 J/(kg K) (OpenStax, University Physics 2, m58387);
 * scald times: tables_scald.h; Legionella: UK HSE L8 / HSG274 and WHO, Legionella and the
 * prevention of legionellosis (2007). */
#ifndef ULLAGE_RECKON_HEAT_H
#define ULLAGE_RECKON_HEAT_H

#include "reckon/basis.h"

#define HEAT_ICE_J_KG 333600.0
#define HEAT_ICE_J_KG_K 2090.0

typedef struct {
    Basis basis;
    double energy_j; /* into the water alone, no losses */
    double energy_wh;
    double seconds; /* at the watts given, no losses */
} HeatNeed;
/* A mass (0.001 to 100,000 kg) of heat capacity `heat_j_kg_k` (100 to 10,000) from one
 * temperature to another (-100 to 200 C, warmer or equal) with `watts` (0.1 to 100,000). The
 * bare formula, for anything. */
HeatNeed heat_need(double mass_kg, double heat_j_kg_k, double from_c, double to_c, double watts);

/* What loses heat: `loss_w_k` W per kelvin to air at `air_c`. 2 to 3 W/K is usual for 10 L
 * bare, a sixth of that in a jacket (common practice, no source); heat_loss_bare reckons it. */
typedef struct {
    double loss_w_k; /* 0 to 1,000 */
    double air_c;    /* -50 to 60 */
} HeatLoss;

typedef struct {
    Basis basis;
    double mass_kg;
    double energy_wh;   /* into the water */
    double electric_wh; /* drawn, losses included */
    double minutes;
    double lost_wh;   /* electric less into the water */
    double ceiling_c; /* the temperature at which losses eat all the watts; 0 to 1e6 */
} HeatTime;
/* Warming `volume_l` (0.05 to 1,000; measured at from_c) from `from_c` to `to_c` (0 to 100 C)
 * with `watts` (1 to 50,000). RECKON_UNREACHABLE where the losses stop it short. */
HeatTime heat_time(double volume_l, double from_c, double to_c, double watts, HeatLoss loss);

typedef struct {
    Basis basis;
    double temperature_c; /* held to 0 to 100: it neither freezes nor boils here */
    double minutes;
} HeatReached;
/* How warm `volume_l` gets on `energy_wh` (0.1 to 100,000) spent at `watts`, with losses. */
HeatReached heat_reached(double volume_l, double from_c, double energy_wh, double watts,
                         HeatLoss loss);

typedef struct {
    Basis basis;
    double battery_wh; /* taken from the battery, conversion losses included */
    double battery_ah;
    double battery_share;   /* of the usable battery; above 1 where it can't be done */
    double solar_hours;     /* of the panel's full watts to put it back */
    double solar_day_share; /* of a day's harvest; above 1 where a day is not enough */
} HeatSupply;
/* `electric_wh` (0 to 1e6) from a battery of `battery_wh` usable (1 to 1e6) at `volts` (1 to
 * 1,000) through `efficiency` (0.1 to 1), put back by `solar_w` (1 to 1e5) over `sun_hours`
 * (0.1 to 24) full-sun hours a day. */
HeatSupply heat_supply(double electric_wh, double battery_wh, double volts, double efficiency,
                       double solar_w, double sun_hours);

typedef struct {
    Basis basis;
    double temperature_c;
} HeatMix;
/* Two masses (0 to 100,000 kg, not both 0) of water mixed, equal heat capacities, no losses. */
HeatMix heat_mix(double mass_a_kg, double a_c, double mass_b_kg, double b_c);

typedef struct {
    Basis basis;
    double hot_l, cold_l; /* measured at their own temperatures */
} HeatMixTo;
/* `total_l` (0.05 to 1,000) at `target_c` out of hot and cold water (0 to 100 C, cold <= target
 * <= hot, hot above cold). Masses are conserved; `total_l` is counted at the target
 * temperature. */
HeatMixTo heat_mix_to(double total_l, double hot_c, double cold_c, double target_c);

typedef struct {
    Basis basis;
    bool burns;     /* a published time exists at or below this temperature's row */
    double seconds; /* the shortest published, adults and children */
    double seconds_infant;
    const char *who;  /* which table prints it */
    bool above_mixed; /* above 49 C (120 F): needs a mixing valve */
} ScaldTime;
/* Water of 0 to 100 C on skin. Between printed temperatures the hotter one is read; above 69 C
 * the last. */
ScaldTime heat_scald(double temperature_c);

typedef enum {
    STANDING_COLD,    /* below 20 C: little or no growth (WHO 2007; UK L8) */
    STANDING_COOL,    /* 20 to 25: UK L8 says it multiplies, the WHO only from 25 on */
    STANDING_GROWS,   /* 25 to 45: multiplies */
    STANDING_LIVES,   /* 45 to 50: lives on */
    STANDING_KILLS_H, /* 50 to 60: dies in hours */
    STANDING_KILLS /* 60 and above: dies in minutes; store hot water here, and beware of scalds */
} StandingBand;
typedef struct {
    Basis basis;
    StandingBand band;
    bool beware; /* 20 to 50 C */
    const char *remark;
} StandingWater;
/* Water that stands at a temperature of 0 to 100 C. */
StandingWater heat_standing(double temperature_c);

typedef struct {
    Basis basis;
    double temperature_c;
} CoolTo;
/* Newton: after `seconds` (0 to 1e9) with time constant `tau_s` (1 to 1e9), -100 to 1,000 C. */
CoolTo heat_cool(double from_c, double air_c, double tau_s, double seconds);
typedef struct {
    Basis basis;
    double seconds;
} CoolTime;
/* The time to fall (or rise) from `from_c` to `to_c` towards `air_c`; RECKON_UNREACHABLE where
 * `to_c` is not strictly between, RECKON_OK with 0 s where from and to are equal. */
CoolTime heat_cool_time(double from_c, double to_c, double air_c, double tau_s);
/* tau of a lump: density (0.1 to 30,000 kg/m3) x heat capacity (100 to 10,000) x volume/area
 * (1e-5 to 10 m) / h (0.1 to 10,000 W/(m2 K)). seconds = tau. */
CoolTime heat_lump_tau(double density_kg_m3, double heat_j_kg_k, double length_m,
                       double film_w_m2_k);

typedef struct {
    Basis basis;
    double loss_w_k;
    double area_m2;
} HeatBare;
/* Heat lost by a full upright can of `volume_l` (0.1 to 1,000), twice as high as wide, through
 * all its surface with `film_w_m2_k` (0.5 to 100): 10 still air, 25 wind; a jacket of foam 20
 * mm thick gives 1.5 (common practice, no source; foam 0.035 W/(m K), OpenStax University
 * Physics 2, m58389). */
HeatBare heat_loss_bare(double volume_l, double film_w_m2_k);

typedef enum { PLANK_SLAB, PLANK_CYLINDER, PLANK_SPHERE } PlankShape;
/* Plank: seconds to freeze through from water already at 0 C; `size_m` (0.0005 to 5) is
 * thickness (slab cooled on both sides) or diameter; `air_c` -60 to -0.1; `film_w_m2_k` 0.5 to
 * 1,000; 1,000 kg/m3, 333.6 kJ/kg, ice 2.2 W/(m K). */
CoolTime heat_plank(PlankShape shape, double size_m, double air_c, double film_w_m2_k);

typedef struct {
    Basis basis;
    bool freezes; /* false: the air is not below 0 C, hours are 0 */
    double hours_to_zero;
    double hours_to_half;  /* from now until half the water is ice */
    double tubing_minutes; /* from now until 6 mm of water in a tube is frozen through, in the same
                              air */
} FreezeTime;
/* `volume_l` (0.1 to 1,000) at `from_c` (0 to 60) in air at `air_c` (-60 to 60), full surface,
 * coefficient as in heat_loss_bare. Lumped: the ice's own resistance is left out, so ice comes
 * no sooner than told. */
FreezeTime heat_freeze(double volume_l, double from_c, double air_c, double film_w_m2_k);
/* What to drain first, thinnest first. */
const char *const *heat_freeze_order(size_t *count);

#endif
