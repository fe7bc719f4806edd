/* heat.c - topics of warm and cold: heat, mix, freeze. */
#include "reckon/heat.h"
#include "reckon/freeze.h"
#include "topics/reckoner_private.h"

static void add_scald(Reckoning *out, const char *label, double temperature_c)
{
    const ScaldTime scald = heat_scald(temperature_c);
    if (!scald.basis.ok)
        return;
    take_notes(out, &scald.basis);
    if (!scald.burns) {
        line_words(out, MARK_PLAIN, label, "no published time to a scald at this temperature");
        return;
    }
    char infants[QUANTITY_TEXT];
    const char *sooner = scald.beyond ? "or sooner: hotter than any table; " : "";
    line_note(line_number(out, MARK_CAUTION, label, QUANTITY_SECONDS, NULL, scald.seconds),
              "%s%s; infants %s (%s)", sooner, scald.who,
              told(out, QUANTITY_SECONDS, scald.seconds_infant, infants), scald.who_infant);
    if (scald.above_mixed)
        line_words(out, MARK_CAUTION, "at the outlet",
                   "above 49 C (120 F): mix it down before anyone is under it");
}

static void add_standing(Reckoning *out, const char *label, double temperature_c)
{
    const StandingWater standing = heat_standing(temperature_c);
    if (!standing.basis.ok)
        return;
    take_notes(out, &standing.basis);
    line_words(out, standing.beware ? MARK_CAUTION : MARK_PLAIN, label, "%s", standing.remark);
}

/* ---- heat ---- */

enum {
    HEAT_VOLUME,
    HEAT_FROM,
    HEAT_TO,
    HEAT_WATTS,
    HEAT_LOSS,
    HEAT_AIR,
    HEAT_ENERGY,
    HEAT_BATTERY,
    HEAT_VOLTS,
    HEAT_EFFICIENCY,
    HEAT_SOLAR,
    HEAT_SUN
};
static const ReckonField heat_fields[] = {
    [HEAT_VOLUME] = {.option = "volume",
                     .param = "volume_l",
                     .quantity = QUANTITY_VOLUME,
                     .help = "water to be warmed",
                     .usual = 7.5},
    [HEAT_FROM] = {.option = "from",
                   .param = "from_c",
                   .quantity = QUANTITY_TEMPERATURE,
                   .help = "its temperature now",
                   .usual = 15.0},
    [HEAT_TO] = {.option = "to",
                 .param = "to_c temperature_c",
                 .quantity = QUANTITY_TEMPERATURE,
                 .help = "as warm as it is to be; a shower is 38 to 40 C (100 to 104 F)",
                 .usual = 40.0},
    [HEAT_WATTS] = {.option = "watts",
                    .param = "watts",
                    .quantity = QUANTITY_NUMBER,
                    .unit = "W",
                    .help = "of the heater",
                    .usual = 1000.0},
    [HEAT_LOSS] = {.option = "loss",
                   .param = "loss_w_k",
                   .quantity = QUANTITY_NUMBER,
                   .unit = "W/K",
                   .help = "10 L (2.6 US gal) bare: 2 to 3; in a jacket: a sixth of that",
                   .usual = 2.5},
    [HEAT_AIR] = {.option = "air",
                  .param = "air_c",
                  .quantity = QUANTITY_TEMPERATURE,
                  .help = "around the vessel",
                  .usual = 15.0},
    [HEAT_ENERGY] = {.option = "energy",
                     .param = "energy_wh",
                     .quantity = QUANTITY_NUMBER,
                     .unit = "Wh",
                     .help = "that can be spent: how warm does it get on this?",
                     .usual = 250.0},
    [HEAT_BATTERY] = {.option = "battery",
                      .param = "battery_wh",
                      .quantity = QUANTITY_NUMBER,
                      .unit = "Wh",
                      .help = "usable in the battery",
                      .usual = 1000.0},
    [HEAT_VOLTS] = {.option = "volts",
                    .param = "volts",
                    .quantity = QUANTITY_NUMBER,
                    .unit = "V",
                    .help = "of the battery",
                    .usual = 12.0},
    [HEAT_EFFICIENCY] = {.option = "efficiency",
                         .param = "efficiency",
                         .quantity = QUANTITY_NUMBER,
                         .unit = "%",
                         .scale = 0.01,
                         .help = "from the battery to the heater (an inverter: 85 to 95)",
                         .usual = 90.0},
    [HEAT_SOLAR] = {.option = "solar",
                    .param = "solar_w",
                    .quantity = QUANTITY_NUMBER,
                    .unit = "W",
                    .help = "of the panel in full sun",
                    .usual = 200.0},
    [HEAT_SUN] = {.option = "sun",
                  .param = "sun_hours",
                  .quantity = QUANTITY_HOURS,
                  .help = "hours of full sun a day",
                  .usual = 4.0},
};

static void heat_propose(const ReckonSite *site, ReckonInput in[])
{
    propose_contents(&in[HEAT_VOLUME], site);
}

static void heat_compute(const double v[], Reckoning *out)
{
    const HeatLoss loss = {.loss_w_k = v[HEAT_LOSS], .air_c = v[HEAT_AIR]};
    const HeatTime time = heat_time(v[HEAT_VOLUME], v[HEAT_FROM], v[HEAT_TO], v[HEAT_WATTS], loss);
    const HeatReached reached =
        heat_reached(v[HEAT_VOLUME], v[HEAT_FROM], v[HEAT_ENERGY], v[HEAT_WATTS], loss);
    if (take(out, &time.basis)) {
        line_number(out, MARK_PLAIN, "time", QUANTITY_MINUTES, NULL, time.minutes);
        line_note(line_number(out, MARK_PLAIN, "energy", QUANTITY_NUMBER, "Wh", time.electric_wh),
                  "%.3g into the water, %.3g lost", time.energy_wh, time.lost_wh);
        if (time.ceiling_c < 150.0)
            line_note(line_number(out, MARK_PLAIN, "never above", QUANTITY_TEMPERATURE, NULL,
                                  time.ceiling_c),
                      "where the losses eat all the watts");
        const HeatSupply supply =
            heat_supply(time.electric_wh, v[HEAT_BATTERY], v[HEAT_VOLTS],
                        v[HEAT_EFFICIENCY] / 100.0, v[HEAT_SOLAR], v[HEAT_SUN]);
        if (take(out, &supply.basis)) {
            line_note(line_number(out, supply.battery_share > 1.0 ? MARK_CAUTION : MARK_PLAIN,
                                  "from the battery", QUANTITY_NUMBER, "Wh", supply.battery_wh),
                      "%.3g Ah, %.0f %% of it%s", supply.battery_ah,
                      percent_up(supply.battery_share),
                      supply.battery_share > 1.0 ? ": more than it has" : "");
            line_note(line_number(out, MARK_PLAIN, "put back by", QUANTITY_HOURS, NULL,
                                  supply.solar_hours),
                      "of full sun, %.0f %% of a day's harvest",
                      percent_up(supply.solar_day_share));
        }
        add_scald(out, "scalds in", v[HEAT_TO]);
        add_standing(out, "if it stands", v[HEAT_TO]);
    }
    if (!take(out, &reached.basis))
        return;
    const bool scalds = heat_scald(reached.temperature_c).burns;
    line_note(line_number(out, scalds ? MARK_CAUTION : MARK_PLAIN, "on the energy given",
                          QUANTITY_TEMPERATURE, NULL, reached.temperature_c),
              "after %.0f min", reached.minutes);
    if (scalds)
        add_scald(out, "which scalds in", reached.temperature_c);
}

const Topic topic_heat = {.name = "heat",
                          .gist = "time, energy and battery that warm the water",
                          .about = ABOUT_WASH,
                          .example = "--volume 7.5 --from 12 --to 40 --watts 1000",
                          RECKON_FIELDS(heat_fields),
                          heat_propose,
                          heat_compute};

/* ---- mix ---- */

enum { MIX_TOTAL, MIX_TARGET, MIX_HOT, MIX_COLD };
static const ReckonField mix_fields[] = {
    [MIX_TOTAL] = {.option = "volume",
                   .param = "total_l",
                   .quantity = QUANTITY_VOLUME,
                   .help = "wanted in all",
                   .usual = 5.0},
    [MIX_TARGET] = {.option = "target",
                    .param = "target_c temperature_c",
                    .quantity = QUANTITY_TEMPERATURE,
                    .help = "as warm as it is to be",
                    .usual = 40.0},
    [MIX_HOT] = {.option = "hot",
                 .param = "hot_c",
                 .quantity = QUANTITY_TEMPERATURE,
                 .help = "the hot water",
                 .usual = 90.0},
    [MIX_COLD] = {.option = "cold",
                  .param = "cold_c",
                  .quantity = QUANTITY_TEMPERATURE,
                  .help = "the cold water",
                  .usual = 12.0},
};

static void mix_compute(const double v[], Reckoning *out)
{
    const HeatMixTo mix = heat_mix_to(v[MIX_TOTAL], v[MIX_HOT], v[MIX_COLD], v[MIX_TARGET]);
    if (!take(out, &mix.basis))
        return;
    line_number(out, MARK_PLAIN, "hot", QUANTITY_VOLUME, NULL, mix.hot_l);
    line_number(out, MARK_PLAIN, "cold", QUANTITY_VOLUME, NULL, mix.cold_l);
    line_words(out, MARK_PLAIN, "order", "cold first, hot after, stir, then feel");
    add_scald(out, "hot scalds in", v[MIX_HOT]);
    add_scald(out, "mixed scalds in", v[MIX_TARGET]);
    add_standing(out, "if it stands", v[MIX_TARGET]);
}

const Topic topic_mix = {.name = "mix",
                         .gist = "hot and cold water for a temperature",
                         .about = ABOUT_NOTHING,
                         .example = "--volume 5 --hot 90 --cold 12 --target 40",
                         RECKON_FIELDS(mix_fields),
                         NULL,
                         mix_compute};

/* ---- freeze ---- */

enum {
    FREEZE_VOLUME,
    FREEZE_FROM,
    FREEZE_AIR,
    FREEZE_WIND,
    FREEZE_BORE,
    FREEZE_LAG_LINE,
    FREEZE_LAG_VESSEL
};
static const ReckonField freeze_fields[] = {
    [FREEZE_VOLUME] = {.option = "volume",
                       .param = "volume_l",
                       .quantity = QUANTITY_VOLUME,
                       .help = "in the vessel",
                       .usual = 10.0},
    [FREEZE_FROM] = {.option = "from",
                     .param = "from_c",
                     .quantity = QUANTITY_TEMPERATURE,
                     .help = "the water's temperature now",
                     .usual = 10.0},
    [FREEZE_AIR] = {.option = "air",
                    .param = "air_c",
                    .quantity = QUANTITY_TEMPERATURE,
                    .help = "outside, the coldest that is expected",
                    .usual = -5.0},
    [FREEZE_WIND] = {.option = "wind",
                     .param = "wind_m_s",
                     .quantity = QUANTITY_SPEED,
                     .help = "on the line and the vessel; 0 only where no air moves",
                     .usual = 10.0},
    [FREEZE_BORE] = {.option = "bore",
                     .param = "bore_m",
                     .quantity = QUANTITY_BORE,
                     .scale = 0.001,
                     .help = "of the tubing; several where it is left out",
                     .usual = NAN},
    [FREEZE_LAG_LINE] = {.option = "lag-line",
                         .param = "foam_m",
                         .quantity = QUANTITY_BORE,
                         .scale = 0.001,
                         .help = "of dry foam around the tubing, all along",
                         .usual = 0.0},
    [FREEZE_LAG_VESSEL] = {.option = "lag-vessel",
                           .param = "foam_m",
                           .quantity = QUANTITY_BORE,
                           .scale = 0.001,
                           .help = "of dry foam around the vessel, on all sides",
                           .usual = 0.0},
};

static void freeze_propose(const ReckonSite *site, ReckonInput in[])
{
    propose_contents(&in[FREEZE_VOLUME], site);
}

/* Two digits, rounded down, in the unit that the later of two times is shown in. */
static double earliest(double seconds, double later)
{
    const double unit = later < 90.0       ? 1.0
                        : later < 7200.0   ? 60.0
                        : later < 345600.0 ? 3600.0
                                           : 86400.0;
    const double shown = seconds / unit;
    if (shown <= 0.0)
        return 0.0;
    const double step = pow(10.0, floor(log10(shown)) - 1.0);
    return floor(shown / step + 1e-9) * step * unit;
}

/* Takes the result's refusal; whether there is a time to show. */
static ReckonLine *freeze_line(Reckoning *out, const char *label, const FreezeTime *freeze)
{
    if (!take(out, &freeze->basis))
        return NULL;
    return line_to(line_number(out, MARK_CAUTION, label, QUANTITY_SECONDS, NULL,
                               earliest(freeze->first_seconds, freeze->last_seconds)),
                   earliest(freeze->last_seconds, freeze->last_seconds));
}

/* The tubing of the usual bores, thinnest first, or of the one that was given. A tube is taken as
 * half as thick again as its bore, its wall as metal: the earliest. */
static bool freeze_lines(const double v[], Reckoning *out)
{
    static const double usual_mm[] = {4.0, 6.0, 10.0};
    const bool given = !isnan(v[FREEZE_BORE]);
    for (size_t i = 0; i < (given ? 1 : sizeof usual_mm / sizeof *usual_mm); i++) {
        const double bore = given ? v[FREEZE_BORE] : usual_mm[i];
        const FreezeTube tube = {.bore_m = bore / 1000.0,
                                 .outer_m = bore * 1.5 / 1000.0,
                                 .wall_w_mk = INFINITY,
                                 .foam_m = v[FREEZE_LAG_LINE] / 1000.0};
        const FreezeTime freeze = freeze_tube(&tube, v[FREEZE_FROM], v[FREEZE_AIR], v[FREEZE_WIND]);
        ReckonLine *line = freeze_line(out, i == 0 ? "line" : "", &freeze);
        char words[QUANTITY_TEXT];
        if (line == NULL)
            return false;
        line_note(line, "from the first ice to frozen through; %s bore, standing full",
                  told(out, QUANTITY_BORE, bore, words));
    }
    return true;
}

/* Under a clear sky what lies open gets colder than the air (common practice, no source). */
enum { FREEZE_SKY_C = 4 };

static void freeze_none(const double v[], Reckoning *out)
{
    if (v[FREEZE_AIR] < FREEZE_SKY_C)
        line_words(out, MARK_CAUTION, "frost",
                   "the air is not below 0 C (32 F), but a clear night sky can freeze what lies "
                   "open");
    else
        line_words(out, judged(out, FIELD(FREEZE_AIR), true, MARK_PLAIN), "frost",
                   "none: the air is well above 0 C (32 F)");
}

static void freeze_compute(const double v[], Reckoning *out)
{
    const FreezeTime vessel = freeze_vessel(v[FREEZE_VOLUME], v[FREEZE_LAG_VESSEL] / 1000.0,
                                            v[FREEZE_FROM], v[FREEZE_AIR], v[FREEZE_WIND]);
    if (take(out, &vessel.basis) && !vessel.freezes) {
        freeze_none(v, out);
        return;
    }
    if (!freeze_lines(v, out))
        return;
    ReckonLine *line = freeze_line(out, "vessel", &vessel);
    if (line == NULL)
        return;
    line_note(line, "from the first ice at its wall to half of it ice");
    line_words(out, MARK_PLAIN, "these are", "the earliest credible times, from now on");
    char wind[QUANTITY_TEXT];
    if ((out->known & FIELD(FREEZE_WIND)) == 0)
        line_words(out, MARK_CAUTION, "wind", "nobody gave it: taken as %s (--wind)",
                   told(out, QUANTITY_SPEED, v[FREEZE_WIND], wind));
    else if (v[FREEZE_WIND] < 0.5)
        line_words(out, MARK_CAUTION, "wind",
                   "a draught of %s makes a bare line freeze about three times as soon",
                   told(out, QUANTITY_SPEED, 0.5, wind));
    size_t count = 0;
    const char *const *order = freeze_order(&count);
    line_list(out, MARK_PLAIN, "drain first", order, count);
}

const Topic topic_freeze = {.name = "freeze",
                            .gist = "how soon a line and a vessel freeze, and what to drain first",
                            .about = ABOUT_FULLEST,
                            .example = "--volume 10 --from 8 --air -6 --wind 5 --bore 6",
                            RECKON_FIELDS(freeze_fields),
                            freeze_propose,
                            freeze_compute};
