/* power.c - the topic of what lamp, compressor and heater take from a battery. */
#include "topics/reckoner_private.h"

enum {
    POWER_LAMP,
    POWER_LAMP_HOURS,
    POWER_AIR,
    POWER_AIR_HOURS,
    POWER_HEAT,
    POWER_HEAT_HOURS,
    POWER_VOLTS,
    POWER_EFFICIENCY
};
#define POWER_WATTS(option_, help_, usual_)                                                        \
    {                                                                                              \
        .option = (option_), .param = (option_), .quantity = QUANTITY_NUMBER, .unit = "W",         \
        .help = (help_), .usual = (usual_)                                                         \
    }
#define POWER_TIME(option_, help_, usual_)                                                         \
    {                                                                                              \
        .option = (option_), .param = (option_), .quantity = QUANTITY_HOURS, .help = (help_),      \
        .usual = (usual_)                                                                          \
    }
static const ReckonField power_fields[] = {
    [POWER_LAMP] = POWER_WATTS("lamp", "of the ultraviolet lamp, ballast included", 15.0),
    [POWER_LAMP_HOURS] = POWER_TIME("lamp-hours", "a day that it burns; 24 where always", 24.0),
    [POWER_AIR] = POWER_WATTS("compressor", "of the compressor", 120.0),
    [POWER_AIR_HOURS] = POWER_TIME("compressor-hours", "a day that it runs", 0.25),
    [POWER_HEAT] = POWER_WATTS("heater", "of the heater", 0.0),
    [POWER_HEAT_HOURS] = POWER_TIME("heater-hours", "a day that it heats", 0.25),
    [POWER_VOLTS] = {.option = "volts",
                     .param = "volts",
                     .quantity = QUANTITY_NUMBER,
                     .unit = "V",
                     .help = "of the battery, the lowest that it runs at",
                     .usual = 12.0},
    [POWER_EFFICIENCY] = {.option = "efficiency",
                          .param = "efficiency",
                          .quantity = QUANTITY_NUMBER,
                          .unit = "%",
                          .scale = 0.01,
                          .help = "of cables and an inverter",
                          .usual = 85.0},
};

static const char power_caution[] =
    "a cable carries the amperes with a margin, a fuse stands at the battery and is sized for the "
    "cable; a heater never runs dry, and on mains or an inverter only behind an earth-leakage "
    "switch: have it looked at by a licensed electrician";

typedef struct {
    const char *name;
    int watts, hours;
} PowerUse;

static bool power_within(const double v[], Reckoning *out)
{
    Basis basis = basis_begin("arithmetic: Wh = W h, A = W / V",
                              "what a plate says is a mean: a compressor takes several times as "
                              "much while it starts (common practice, no source)",
                              power_caution);
    for (int i = POWER_LAMP; i <= POWER_HEAT_HOURS; i++)
        (void)basis_within(&basis, power_fields[i].param, v[i], 0,
                           power_fields[i].quantity == QUANTITY_HOURS ? 24 : 1e5);
    (void)basis_within(&basis, "volts", v[POWER_VOLTS], 1, 1000);
    (void)basis_within(&basis, "efficiency", v[POWER_EFFICIENCY] / 100, 0.1, 1);
    return take(out, &basis);
}

static void power_compute(const double v[], Reckoning *out)
{
    static const PowerUse uses[] = {{"lamp", POWER_LAMP, POWER_LAMP_HOURS},
                                    {"compressor", POWER_AIR, POWER_AIR_HOURS},
                                    {"heater", POWER_HEAT, POWER_HEAT_HOURS}};
    double wh = 0, watts = 0;
    if (!power_within(v, out))
        return;
    const double from_battery = v[POWER_VOLTS] * v[POWER_EFFICIENCY] / 100;
    for (size_t i = 0; i < sizeof uses / sizeof uses[0]; i++) {
        const double w = v[uses[i].watts];
        wh += w * v[uses[i].hours];
        watts += w;
        if (w > 0)
            line_note(
                line_number(out, MARK_PLAIN, uses[i].name, QUANTITY_NUMBER, "A", w / from_battery),
                "while it runs; %.0f Wh a day", fmax(ceil(w * v[uses[i].hours] - 1e-9), 0.0) + 0.0);
    }
    line_number(out, MARK_CAUTION, "all at once", QUANTITY_NUMBER, "A", watts / from_battery);
    const double drawn = wh / (v[POWER_EFFICIENCY] / 100);
    line_note(line_number(out, MARK_PLAIN, "a day", QUANTITY_NUMBER, "Wh", drawn),
              "out of the battery: %.1f Ah",
              fmax(ceil(drawn / v[POWER_VOLTS] * 10 - 1e-9), 0.0) / 10 + 0.0);
}

const Topic topic_power = {.name = "power",
                           .gist = "watt-hours a day and amperes of lamp, compressor and heater",
                           .about = ABOUT_NOTHING,
                           .example =
                               "--lamp 15 --compressor 120 --compressor-hours 0.3 --volts 12",
                           RECKON_FIELDS(power_fields),
                           NULL,
                           power_compute};
