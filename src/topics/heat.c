/* reckoner_heat.c - topics of warm and cold: heat, mix, freeze. */
#include "reckon/heat.h"
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
    ReckonLine *line = line_number(out, MARK_CAUTION, label, QUANTITY_SECONDS, NULL, scald.seconds);
    if (scald.seconds_infant > 0.0 && scald.seconds_infant < scald.seconds)
        line_note(line, "infants %.2g s (%s)", scald.seconds_infant, scald.who);
    else
        line_note(line, "(%s)", scald.who);
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
                   .help = "10 L bare: 2 to 3; in a jacket: a sixth of that",
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
    if (take(out, &reached.basis))
        line_note(line_number(out, MARK_PLAIN, "on the energy given", QUANTITY_TEMPERATURE, NULL,
                              reached.temperature_c),
                  "after %.0f min", reached.minutes);
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

enum { FREEZE_VOLUME, FREEZE_FROM, FREEZE_AIR, FREEZE_AROUND };
/* W/(m2 K), common practice, no source: see heat.h. */
static const double films[] = {10.0, 25.0, 1.5};
static const char *const film_words[] = {"still", "wind", "jacket", NULL};
enum { FILM_COUNT = sizeof films / sizeof films[0] };
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
                    .help = "outside, around the vessel",
                    .usual = -5.0},
    [FREEZE_AROUND] = {.option = "around",
                       .param = "film_w_m2_k",
                       .quantity = QUANTITY_CHOICE,
                       .help = "still air, wind, or a jacket of 20 mm of foam",
                       .choices = film_words},
};

static void freeze_propose(const ReckonSite *site, ReckonInput in[])
{
    propose_contents(&in[FREEZE_VOLUME], site);
}

static void freeze_compute(const double v[], Reckoning *out)
{
    const double film = films[choice_of(v[FREEZE_AROUND], FILM_COUNT)];
    const FreezeTime freeze = heat_freeze(v[FREEZE_VOLUME], v[FREEZE_FROM], v[FREEZE_AIR], film);
    if (!take(out, &freeze.basis))
        return;
    if (!freeze.freezes) {
        line_words(out, judged(out, FIELD(FREEZE_AIR), true, MARK_PLAIN), "frost",
                   "none: the air is not below 0 C (32 F)");
        return;
    }
    line_note(line_number(out, MARK_CAUTION, "at freezing point", QUANTITY_HOURS, NULL,
                          freeze.hours_to_zero),
              "from now; the first ice comes after it");
    line_note(line_number(out, MARK_CAUTION, "half of it ice", QUANTITY_HOURS, NULL,
                          freeze.hours_to_half),
              "from now");
    line_note(line_number(out, MARK_CAUTION, "a full 6 mm tube", QUANTITY_MINUTES, NULL,
                          freeze.tubing_minutes),
              "frozen through, in the same air");
    size_t count = 0;
    const char *const *order = heat_freeze_order(&count);
    line_list(out, MARK_PLAIN, "drain first", order, count);
}

const Topic topic_freeze = {.name = "freeze",
                            .gist = "hours until a vessel freezes, and what to drain first",
                            .about = ABOUT_FULLEST,
                            .example = "--volume 10 --from 8 --air -6 --around wind",
                            RECKON_FIELDS(freeze_fields),
                            freeze_propose,
                            freeze_compute};
