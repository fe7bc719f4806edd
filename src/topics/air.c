/* Topics of what drives the water: air, charge. */
#include "reckon/air.h"
#include "model/line.h"
#include "reckon/atmosphere.h"
#include "topics/reckoner_private.h"

#include <stdio.h>
#include <string.h>

#define ALTITUDE_FIELD                                                                             \
    {                                                                                              \
        .option = "altitude", .param = "altitude_m", .quantity = QUANTITY_LENGTH,                  \
        .help = "above the sea: the air is thinner there"                                          \
    }

/* kPa, 0 where the altitude is refused. */
static double ambient_kpa(double altitude_m, Reckoning *out)
{
    const Atmosphere air = atmosphere_at(altitude_m);
    return take(out, &air.basis) ? air.pressure_pa / 1000.0 : 0.0;
}

/* ---- air ---- */

enum { AIR_WATER, AIR_PRESSURE, AIR_RATED, AIR_ALTITUDE, AIR_PUMP, AIR_WATTS, AIR_VOLTS };
static const ReckonField air_fields[] = {
    [AIR_WATER] = {.option = "volume",
                   .param = "water_l volume_l",
                   .quantity = QUANTITY_VOLUME,
                   .help = "water to be pressed out",
                   .usual = 10.0},
    [AIR_PRESSURE] = {.option = "pressure",
                      .param = "gauge_kpa",
                      .quantity = QUANTITY_PRESSURE,
                      .help = "held on it, by the gauge",
                      .usual = PRESSURE_USUAL_KPA},
    [AIR_RATED] = RATED_FIELD,
    [AIR_ALTITUDE] = ALTITUDE_FIELD,
    [AIR_PUMP] = {.option = "pump",
                  .param = "free_l_min",
                  .quantity = QUANTITY_AIRFLOW,
                  .help = "free air that the compressor gives AT that pressure",
                  .usual = 10.0},
    [AIR_WATTS] = {.option = "watts",
                   .param = "watts",
                   .quantity = QUANTITY_NUMBER,
                   .unit = "W",
                   .help = "that it draws",
                   .usual = 120.0},
    [AIR_VOLTS] = {.option = "volts",
                   .param = "volts",
                   .quantity = QUANTITY_NUMBER,
                   .unit = "V",
                   .help = "of the battery",
                   .usual = 12.0},
};

static void air_propose(const ReckonSite *site, ReckonInput in[])
{
    const Line *line = site_line(site);
    propose_pressure(&in[AIR_PRESSURE], site);
    propose_rating(&in[AIR_RATED], site);
    if (line != NULL && line_usable(site->state, line) > 0)
        propose_value(&in[AIR_WATER], (double)line_usable(site->state, line) / 1000.0,
                      "usable on %s", line->label.s);
    else
        propose_contents(&in[AIR_WATER], site);
}

static void air_compute(const double v[], Reckoning *out)
{
    const double ambient = ambient_kpa(v[AIR_ALTITUDE], out);
    if (ambient <= 0.0 || !rating_holds(out, "gauge_kpa", v[AIR_PRESSURE], AIR_RATED))
        return;
    const AirPressure pressure = air_pressure(v[AIR_PRESSURE], v[AIR_ALTITUDE]);
    if (!take(out, &pressure.basis))
        return;
    line_note(line_number(out, MARK_PLAIN, "absolute pressure", QUANTITY_PRESSURE, NULL,
                          pressure.absolute_kpa),
              "%.3g times that of the air outside", pressure.ratio);
    const AirCharge charge = air_charge(v[AIR_WATER], v[AIR_PRESSURE], ambient);
    if (take(out, &charge.basis)) {
        line_number(out, MARK_PLAIN, "free air", QUANTITY_AIR, NULL, charge.free_air_l);
        line_note(line_to(line_number(out, MARK_PLAIN, "work at the least", QUANTITY_NUMBER, "kJ",
                                      charge.isothermal_j / 1000.0),
                          charge.adiabatic_j / 1000.0),
                  "isothermal, adiabatic");
    }
    const AirRun run =
        air_run(v[AIR_WATER], v[AIR_PRESSURE], ambient, v[AIR_PUMP], v[AIR_WATTS], v[AIR_VOLTS]);
    if (!take(out, &run.basis))
        return;
    line_number(out, MARK_PLAIN, "compressor runs", QUANTITY_MINUTES, NULL, run.run_minutes);
    line_note(
        line_number(out, MARK_PLAIN, "from the battery", QUANTITY_NUMBER, "Wh", run.battery_wh),
        "%.3g Ah; a perfect pump %.2g to %.2g Wh", run.battery_ah, run.bound_low_wh,
        run.bound_high_wh);
    line_number(out, MARK_PLAIN, "per litre of water", QUANTITY_NUMBER, "Wh", run.per_litre_wh);
}

const Topic topic_air = {.name = "air",
                         .gist = "air and battery that press the water out",
                         .about = ABOUT_LINE,
                         .example = "--volume 20 --pressure 40psi --pump 10 --watts 120",
                         RECKON_FIELDS(air_fields),
                         air_propose,
                         air_compute};

/* ---- charge ---- */

enum {
    CHARGE_TOTAL,
    CHARGE_WATER,
    CHARGE_HEEL,
    CHARGE_PRESSURE,
    CHARGE_FLOOR,
    CHARGE_RATED,
    CHARGE_ALTITUDE,
    CHARGE_TEMP,
    CHARGE_WARMEST,
    CHARGE_HIGHEST
};
static const ReckonField charge_fields[] = {
    [CHARGE_TOTAL] = {.option = "capacity",
                      .param = "total_l",
                      .quantity = QUANTITY_VOLUME,
                      .help = "all the room in the vessel, or on the line",
                      .usual = 12.0},
    [CHARGE_WATER] = {.option = "volume",
                      .param = "water_l drawn_l",
                      .quantity = QUANTITY_VOLUME,
                      .help = "of water in it",
                      .usual = 8.0},
    [CHARGE_HEEL] = {.option = "heel",
                     .param = "heel_l",
                     .quantity = QUANTITY_VOLUME,
                     .help = "that the dip tube can't reach",
                     .usual = 0.2},
    [CHARGE_PRESSURE] = {.option = "pressure",
                         .param = "gauge_kpa",
                         .quantity = QUANTITY_PRESSURE,
                         .help = "charged to, by the gauge, then shut off",
                         .usual = PRESSURE_USUAL_KPA},
    [CHARGE_FLOOR] = {.option = "floor",
                      .param = "floor_kpa",
                      .quantity = QUANTITY_PRESSURE,
                      .help = "below it the tap is too slow",
                      .usual = 70.0},
    [CHARGE_RATED] = RATED_FIELD,
    [CHARGE_ALTITUDE] = ALTITUDE_FIELD,
    [CHARGE_TEMP] = {.option = "temp",
                     .param = "from_c",
                     .quantity = QUANTITY_TEMPERATURE,
                     .help = "of air and water when it is shut off",
                     .usual = 15.0},
    [CHARGE_WARMEST] = {.option = "warmest",
                        .param = "to_c",
                        .quantity = QUANTITY_TEMPERATURE,
                        .help = "that it comes to while shut off, as in the sun",
                        .usual = 45.0},
    [CHARGE_HIGHEST] = {.option = "highest",
                        .param = "altitude_m",
                        .quantity = QUANTITY_LENGTH,
                        .help = "that it is taken to while shut off",
                        .usual = 3000.0},
};

static void charge_propose(const ReckonSite *site, ReckonInput in[])
{
    const Vessel *only = site_vessel(site);
    const Line *line = only == NULL ? site_line(site) : NULL;
    double total = 0.0, water = 0.0, heel = 0.0;
    const char *name = only != NULL ? only->label.s : line != NULL ? line->label.s : "";
    const int count = only != NULL ? 1 : line != NULL ? line->count : 0;
    propose_pressure(&in[CHARGE_PRESSURE], site);
    propose_rating(&in[CHARGE_RATED], site);
    if (in[CHARGE_FLOOR].value > in[CHARGE_PRESSURE].value / 2.0)
        propose_value(&in[CHARGE_FLOOR], in[CHARGE_PRESSURE].value / 2.0, "half the charge");
    for (int i = 0; i < count; i++) {
        const Vessel *v = only != NULL ? only : &site->state->vessels[line->order[i]];
        total += (double)v->capacity / 1000.0;
        water += (double)v->volume / 1000.0;
        heel += (double)v->heel / 1000.0;
    }
    if (total <= 0.0)
        return;
    propose_value(&in[CHARGE_TOTAL], total, "capacity of %s", name);
    propose_value(&in[CHARGE_HEEL], heel, "heel of %s", name);
    if (water >= heel && water > 0.0)
        propose_value(&in[CHARGE_WATER], water, "%s holds it", name);
    else
        propose_value(&in[CHARGE_WATER], heel + 0.6 * (total - heel), "%s filled so far", name);
}

enum {
    CHARGE_DECIDES = FIELD(CHARGE_TOTAL) | FIELD(CHARGE_WATER) | FIELD(CHARGE_HEEL) |
                     FIELD(CHARGE_PRESSURE) | FIELD(CHARGE_FLOOR)
};

/* What the gauge comes to while it is shut off; false where nothing is left to be told of it. The
 * upper end counts, and is rounded up. */
static bool charge_rises(const AirVessel *vessel, const double v[], double altitude_m,
                         Reckoning *out)
{
    char warm[QUANTITY_TEXT], high[QUANTITY_TEXT];
    const double around = ambient_kpa(altitude_m, out);
    if (around <= 0.0)
        return false;
    const AirSealed shut =
        air_sealed(vessel, v[CHARGE_WATER], v[CHARGE_TEMP], v[CHARGE_WARMEST], around);
    if (!take(out, &shut.basis))
        return false;
    (void)told(out, QUANTITY_TEMPERATURE, v[CHARGE_WARMEST], warm);
    if (shut.brimful) {
        line_words(out, MARK_CAUTION, "shut off", "no room is left at %s: the water bursts it",
                   warm);
        return false;
    }
    const bool above = shut.gauge_wet_kpa > v[CHARGE_RATED]; /* not known: NAN */
    line_note(line_to(line_number(out, above ? MARK_CAUTION : MARK_PLAIN, "shut off",
                                  QUANTITY_PRESSURE, NULL, shut.gauge_kpa),
                      ceil(shut.gauge_wet_kpa)),
              "at %s and %s%s", warm, told(out, QUANTITY_LENGTH, altitude_m, high),
              above ? ": above the rating" : "");
    return true;
}

static void charge_compute(const double v[], Reckoning *out)
{
    const double ambient = ambient_kpa(v[CHARGE_ALTITUDE], out);
    if (ambient <= 0.0 || !rating_holds(out, "gauge_kpa", v[CHARGE_PRESSURE], CHARGE_RATED))
        return;
    const AirVessel vessel = {.total_l = v[CHARGE_TOTAL],
                              .heel_l = v[CHARGE_HEEL],
                              .gauge_kpa = v[CHARGE_PRESSURE],
                              .floor_kpa = v[CHARGE_FLOOR],
                              .ambient_kpa = ambient};
    const AirOnce once = air_once(&vessel, v[CHARGE_WATER]);
    if (take(out, &once.basis)) {
        line_note(line_to(line_number(out, judged(out, CHARGE_DECIDES, once.runs_out, MARK_PLAIN),
                                      "delivers", QUANTITY_VOLUME, NULL, once.litres),
                          once.litres_slow),
                  once.runs_out ? "all that can be reached, before the floor"
                                : "drawn fast, drawn slowly; the first counts");
        const AirAfter after = air_after(&vessel, v[CHARGE_WATER], once.litres);
        if (take(out, &after.basis))
            line_note(line_to(line_number(out, MARK_PLAIN, "pressure then", QUANTITY_PRESSURE, NULL,
                                          after.gauge_fast_kpa),
                              after.gauge_kpa),
                      "drawn fast, drawn slowly");
    }
    const AirBest best = air_best_fill(&vessel);
    if (take(out, &best.basis)) {
        line_note(
            line_number(out, MARK_PLAIN, "most if filled to", QUANTITY_VOLUME, NULL, best.water_l),
            "for one charge, drawn fast");
        line_number(out, MARK_PLAIN, "it then delivers", QUANTITY_VOLUME, NULL, best.litres);
    }
    if (charge_rises(&vessel, v, v[CHARGE_ALTITUDE], out) && v[CHARGE_HIGHEST] > v[CHARGE_ALTITUDE])
        (void)charge_rises(&vessel, v, v[CHARGE_HIGHEST], out);
    line_words(out, MARK_CAUTION, "before opening", "vent it until the gauge stands at nought");
}

const Topic topic_charge = {
    .name = "charge",
    .gist = "how far one charge of air carries, and how full to fill",
    .about = ABOUT_LINE,
    .example = "--capacity 12 --volume 8 --pressure 40psi --rated 60psi --floor 10psi",
    RECKON_FIELDS(charge_fields),
    charge_propose,
    charge_compute};
