/* meter.c - the topic of a meter's worth: true pulses per litre, by jugs and by soundings. */
#include "reckon/meter.h"
#include "topics/reckoner_private.h"

enum {
    METER_JUG,
    METER_READ,
    METER_RUNS,
    METER_PULSES,
    METER_COUNTED,
    METER_SECONDS,
    METER_SET,
    METER_CHECKED,
    METER_FOUND,
    METER_SD,
    METER_FACTOR
};
static const ReckonField meter_fields[] = {
    [METER_JUG] = {.option = "litres",
                   .param = "volume_l",
                   .quantity = QUANTITY_VOLUME,
                   .help = "of a jug filled to its mark at the tap, opened as far as usual",
                   .usual = NAN},
    [METER_READ] = {.option = "mark",
                    .param = "read_l",
                    .quantity = QUANTITY_VOLUME,
                    .help = "what the jug's mark may be wrong by; a weighed jug is best",
                    .usual = 0.05},
    [METER_RUNS] = {.option = "jugs",
                    .param = "runs",
                    .quantity = QUANTITY_NUMBER,
                    .help = "how many were filled, one after the other",
                    .usual = 1},
    [METER_PULSES] = {.option = "pulses",
                      .param = "pulses",
                      .quantity = QUANTITY_NUMBER,
                      .help = "that the sensor counted over all jugs",
                      .usual = NAN},
    [METER_COUNTED] = {.option = "counted",
                       .param = "dial_l",
                       .quantity = QUANTITY_VOLUME,
                       .help = "or, of a meter with a dial, what it counted over all jugs",
                       .usual = NAN},
    [METER_SECONDS] = {.option = "seconds",
                       .param = "seconds",
                       .quantity = QUANTITY_SECONDS,
                       .help = "that all jugs took together: tells at which flow it was measured",
                       .usual = NAN},
    [METER_SET] = {.option = "per-litre",
                   .param = "per_litre",
                   .quantity = QUANTITY_NUMBER,
                   .unit = "pulses",
                   .help = "pulses per litre that the feed is set to",
                   .usual = 450},
    [METER_CHECKED] = {.option = "metered",
                       .param = "counted_l",
                       .quantity = QUANTITY_VOLUME,
                       .help = "litres counted between soundings",
                       .usual = NAN},
    [METER_FOUND] = {.option = "found",
                     .param = "found_l",
                     .quantity = QUANTITY_NUMBER,
                     .unit = "L",
                     .help = "that had gone beside them, as the soundings found; less: negative",
                     .usual = NAN},
    [METER_SD] = {.option = "stick",
                  .param = "sd_l",
                  .quantity = QUANTITY_NUMBER,
                  .unit = "L",
                  .help = "standard error of what the soundings found, all together",
                  .usual = NAN},
    [METER_FACTOR] = {.option = "factor",
                      .param = "factor",
                      .quantity = QUANTITY_NUMBER,
                      .help = "that the log has for the meter now",
                      .usual = 1},
};

static void meter_propose(const ReckonSite *site, ReckonInput in[])
{
    const Line *line = site_line(site);
    if (line == NULL)
        return;
    if (line->meter_factor != 0)
        propose_value(&in[METER_FACTOR], (double)line->meter_factor / 1000, "of %s, in the log",
                      line->label.s);
    if (line->checked <= 0)
        return;
    propose_value(&in[METER_CHECKED], (double)line->checked / 1000, "of %s, between soundings",
                  line->label.s);
    propose_value(&in[METER_FOUND], (double)line->check_found / 1000, "by soundings of %s",
                  line->label.s);
    propose_value(&in[METER_SD], sqrt((double)line->check_variance) / 1000, "of a stick");
}

static void error_note(ReckonLine *line, double error, const char *by)
{
    line_note(line, "within %.1f %% (2 standard errors), by %s", ceil(error * 1000) / 10, by);
}

/* How far the meter reads off, against what a meter of class 2 may. */
static void meter_judge(Reckoning *out, double indicated, double actual, double doubt)
{
    const double error = meter_error(indicated, actual);
    const bool good = fabs(error) + doubt <= METER_CLASS_2_LOW;
    line_note(line_number(out, good ? MARK_PLAIN : MARK_CAUTION, "it reads", QUANTITY_NUMBER, "%",
                          error * 100),
              "%s; a meter of class 2 may err by %.0f %%, at low flow by %.0f %%",
              error < 0 ? "too little" : "too much", METER_CLASS_2 * 100, METER_CLASS_2_LOW * 100);
}

/* True litres for each that the meter reads, by the jug; value 0: no jug was given. */
static MeterBest by_jug(const double v[], Reckoning *out)
{
    const bool pulses = !isnan(v[METER_PULSES]);
    const MeterBest none = {0, 0};
    if (isnan(v[METER_JUG]) || (!pulses && isnan(v[METER_COUNTED])))
        return none;
    const MeterCount jug =
        meter_jug(v[METER_JUG], v[METER_READ], pulses ? v[METER_PULSES] : v[METER_COUNTED] * 1000,
                  v[METER_RUNS]);
    if (!take(out, &jug.basis))
        return none;
    const double set = pulses ? v[METER_SET] : 1000;
    if (pulses)
        error_note(
            line_number(out, MARK_PLAIN, "pulses per litre", QUANTITY_NUMBER, NULL, jug.per_litre),
            jug.error, "the jug");
    if (!isnan(v[METER_SECONDS]))
        line_note(line_number(out, MARK_PLAIN, "measured at", QUANTITY_FLOW, NULL,
                              v[METER_JUG] * v[METER_RUNS] / v[METER_SECONDS] * 60),
                  "%s", "measure at the flow that is usual: at a trickle it counts less");
    meter_judge(out, jug.per_litre / set, 1, jug.error);
    return (MeterBest){set / jug.per_litre, jug.error};
}

/* The same by soundings: those say what a litre is worth with the factor that the log has. */
static MeterBest by_soundings(const double v[], Reckoning *out)
{
    const MeterBest none = {0, 0};
    if (isnan(v[METER_CHECKED]) || isnan(v[METER_FOUND]) || isnan(v[METER_SD]))
        return none;
    const MeterSounding s = meter_soundings(v[METER_CHECKED], v[METER_FOUND], v[METER_SD]);
    if (!take(out, &s.basis))
        return none;
    ReckonLine *line = line_number(out, s.chance ? MARK_PLAIN : MARK_CAUTION, "by soundings",
                                   QUANTITY_NUMBER, NULL, s.factor);
    error_note(line, s.error,
               s.chance ? "soundings: what they found may be chance"
                        : "soundings: more than chance (1 in 100)");
    return (MeterBest){s.factor * v[METER_FACTOR], s.error};
}

/* What no reckoning below looks at. */
static bool meter_within(const double v[], Reckoning *out)
{
    const MeterSounding any = meter_soundings(1, 0, 1);
    Basis basis = any.basis;
    take_notes(out, &basis);
    (void)basis_within(&basis, "per_litre", v[METER_SET], 1, 100000);
    (void)basis_within(&basis, "factor", v[METER_FACTOR], 0.5, 2);
    if (!isnan(v[METER_COUNTED]))
        (void)basis_within(&basis, "dial_l", v[METER_COUNTED], 0.001, 1000000);
    if (!isnan(v[METER_SECONDS]))
        (void)basis_within(&basis, "seconds", v[METER_SECONDS], 1, 36000);
    return take(out, &basis);
}

static void meter_compute(const double v[], Reckoning *out)
{
    if (!meter_within(v, out))
        return;
    const MeterBest jug = by_jug(v, out), soundings = by_soundings(v, out);
    if (jug.value <= 0 && soundings.value <= 0) {
        if (!out->refused)
            line_words(out, MARK_PLAIN, "measure",
                       "fill a jug to its mark with the tap as it usually runs, three times, and "
                       "give --litres, --jugs and --pulses (or --counted); or sound the vessels "
                       "for some weeks: what they find beside the meter is proposed here");
        return;
    }
    MeterBest best = jug.value > 0 ? jug : soundings;
    if (jug.value > 0 && soundings.value > 0)
        best = meter_best(jug, soundings);
    error_note(line_number(out, MARK_PLAIN, "a litre read is", QUANTITY_NUMBER, "L", best.value),
               best.error, "all of it");
    if (!isnan(v[METER_PULSES]) && v[METER_FACTOR] == 1)
        line_words(out, MARK_PLAIN, "set it", "ullage feed ... --pulses-per-litre %.1f, or",
                   v[METER_SET] / best.value);
    line_words(out, MARK_PLAIN, "set it", "log the next reading with --factor %.3f", best.value);
}

const Topic topic_meter = {.name = "meter",
                           .gist = "what a water meter's litre is worth, by jugs and by soundings",
                           .about = ABOUT_LINE,
                           .example = "--litres 2 --jugs 3 --pulses 2706",
                           RECKON_FIELDS(meter_fields),
                           meter_propose,
                           meter_compute};
