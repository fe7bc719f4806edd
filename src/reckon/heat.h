/* heat.h - warming and mixing the water in a vessel, scalds, water that stands.
 *
 * Sources: Q = m c dT with the heat capacity of water.h; scald times: tables_scald.h; Legionella:
 * UK HSE L8 / HSG274 and WHO, Legionella and the prevention of legionellosis (2007). */
#ifndef ULLAGE_RECKON_HEAT_H
#define ULLAGE_RECKON_HEAT_H

#include "reckon/basis.h"

/* What loses heat: `loss_w_k` W per kelvin to air at `air_c`. 2 to 3 W/K is usual for 10 L
 * bare, a sixth of that in a jacket (common practice, no source). */
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
    double hot_l, cold_l; /* measured at their own temperatures */
} HeatMixTo;
/* `total_l` (0.05 to 1,000) at `target_c` out of hot and cold water (0 to 100 C, cold <= target
 * <= hot, hot above cold). Masses are conserved; `total_l` is counted at the target
 * temperature. */
HeatMixTo heat_mix_to(double total_l, double hot_c, double cold_c, double target_c);

typedef struct {
    Basis basis;
    bool burns;                   /* a time is printed for this or a cooler temperature */
    double seconds;               /* the shortest published for adults and children */
    double seconds_infant;        /* of the infants' own table, never longer than that */
    const char *who, *who_infant; /* which table prints it */
    bool beyond;                  /* hotter than any table: sooner than that */
    bool above_mixed;             /* above 49 C (120 F): needs a mixing valve */
} ScaldTime;
/* Water of 0 to 100 C on skin. Between printed temperatures the next hotter one is read; above the
 * hottest that, as `beyond`. */
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
    bool beware; /* from 20 C on: it grows there, cools to where it does, or scalds */
    const char *remark;
} StandingWater;
/* Water that stands at a temperature of 0 to 100 C. */
StandingWater heat_standing(double temperature_c);

#endif
