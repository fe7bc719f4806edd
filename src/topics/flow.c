/* Topics of what slows the water: flow, clog. */
#include "model/line.h"
#include "reckon/hydraulics.h"
#include "topics/reckoner_private.h"

#include <stdio.h>
#include <string.h>

/* ---- flow ---- */

enum {
    FLOW_SUPPLY,
    FLOW_PLATE,
    FLOW_RISE,
    FLOW_BORE,
    FLOW_LENGTH,
    FLOW_BENDS,
    FLOW_COUPLINGS,
    FLOW_OPENING,
    FLOW_RATED,
    FLOW_SEDIMENT,
    FLOW_CARBON,
    FLOW_LAMP,
    FLOW_TAP_FLOW,
    FLOW_TAP_DROP,
    FLOW_TEMP,
    FLOW_VOLUME,
    FLOW_DOSE,
    FLOW_HOURS
};
/* What a stage or a tap drops at its rated flow is on its sheet; the usual values are common
 * practice, no source. */
static const ReckonField flow_fields[] = {
    [FLOW_SUPPLY] = {.option = "pressure",
                     .param = "supply_kpa",
                     .quantity = QUANTITY_PRESSURE,
                     .help = "of the air, by the gauge at the regulator",
                     .usual = PRESSURE_USUAL_KPA},
    [FLOW_PLATE] = RATED_FIELD,
    [FLOW_RISE] = {.option = "rise",
                   .param = "rise_m",
                   .quantity = QUANTITY_LENGTH,
                   .help = "of the tap above the water's surface",
                   .usual = 1.0},
    [FLOW_BORE] = {.option = "bore",
                   .param = "bore_m",
                   .scale = 0.001,
                   .quantity = QUANTITY_BORE,
                   .help = "inside the tubing; 3/8 inch tube is 6.4 mm (1/4 in) inside",
                   .usual = 6.4},
    [FLOW_LENGTH] = {.option = "length",
                     .param = "length_m",
                     .quantity = QUANTITY_LENGTH,
                     .help = "of tubing in all",
                     .usual = 4.0},
    [FLOW_BENDS] = {.option = "bends",
                    .param = "k",
                    .quantity = QUANTITY_NUMBER,
                    .scale = 1.5,
                    .help = "elbows in it, each K 1.5",
                    .usual = 6.0},
    [FLOW_COUPLINGS] = {.option = "couplings",
                        .param = "count",
                        .quantity = QUANTITY_NUMBER,
                        .help = "and ends of dip tubes on the way, each K 1.5",
                        .usual = 4.0},
    [FLOW_OPENING] = {.option = "opening",
                      .param = "bore_m",
                      .scale = 0.001,
                      .quantity = QUANTITY_BORE,
                      .help = "the narrowest bore of a coupling",
                      .usual = 5.0},
    [FLOW_RATED] = {.option = "rated-flow",
                    .param = "rated_l_min rated_flow_l_min",
                    .quantity = QUANTITY_FLOW,
                    .help = "of the stages: the flow at which the next three are dropped",
                    .usual = 4.0},
    [FLOW_SEDIMENT] = {.option = "sediment",
                       .param = "rated_drop_kpa",
                       .quantity = QUANTITY_PRESSURE,
                       .help = "dropped by the sediment cartridge at its rated flow",
                       .usual = 10.0},
    [FLOW_CARBON] = {.option = "carbon",
                     .param = "rated_drop_kpa",
                     .quantity = QUANTITY_PRESSURE,
                     .help = "dropped by the carbon cartridge at its rated flow",
                     .usual = 35.0},
    [FLOW_LAMP] = {.option = "lamp",
                   .param = "rated_drop_kpa",
                   .quantity = QUANTITY_PRESSURE,
                   .help = "dropped by the lamp's chamber at its rated flow",
                   .usual = 5.0},
    [FLOW_TAP_FLOW] = {.option = "tap-flow",
                       .param = "rated_l_min",
                       .quantity = QUANTITY_FLOW,
                       .help = "of the tap or hand spray, by its sheet",
                       .usual = 6.0},
    [FLOW_TAP_DROP] = {.option = "tap-drop",
                       .param = "rated_drop_kpa",
                       .quantity = QUANTITY_PRESSURE,
                       .help = "that it drops at that flow",
                       .usual = 200.0},
    [FLOW_TEMP] = {.option = "temp",
                   .param = "water_c",
                   .quantity = QUANTITY_TEMPERATURE,
                   .help = "of the water",
                   .usual = 15.0},
    [FLOW_VOLUME] = {.option = "volume",
                     .param = "reachable_l",
                     .quantity = QUANTITY_VOLUME,
                     .help = "that can be reached: how long does it run?",
                     .usual = 10.0},
    [FLOW_DOSE] = {.option = "dose",
                   .param = "rated_mj_cm2",
                   .quantity = QUANTITY_NUMBER,
                   .unit = "mJ/cm2",
                   .help = "of the lamp at the stages' rated flow; none: no lamp",
                   .usual = NAN},
    [FLOW_HOURS] = {.option = "lamp-hours",
                    .param = "lamp_h",
                    .quantity = QUANTITY_HOURS,
                    .help = "that the lamp has burnt",
                    .usual = 0.0},
};
enum { PART_TUBE, PART_COUPLINGS, PART_SEDIMENT, PART_CARBON, PART_LAMP, PART_TAP, PART_COUNT };

static void flow_stage(ReckonInput *drop, const Stage *stage, const char *what)
{
    if (stage == NULL)
        propose_value(drop, 0.0, "no %s on the line", what);
}

static void flow_propose(const ReckonSite *site, ReckonInput in[])
{
    const Line *line = site_line(site);
    propose_pressure(&in[FLOW_SUPPLY], site);
    propose_rating(&in[FLOW_PLATE], site);
    if (line == NULL)
        return;
    propose_value(&in[FLOW_COUPLINGS], 2.0 * line->count + 2.0, "two a vessel, and the train's");
    propose_value(&in[FLOW_VOLUME], (double)line_usable(site->state, line) / 1000.0, "usable on %s",
                  line->label.s);
    flow_stage(&in[FLOW_SEDIMENT], site_stage(site, STAGE_SEDIMENT, STAGE_SEDIMENT),
               "sediment stage");
    flow_stage(&in[FLOW_CARBON], site_stage(site, STAGE_CARBON_GRANULAR, STAGE_CARBON_BLOCK),
               "carbon stage");
    const Stage *lamp = site_stage(site, STAGE_UV, STAGE_UV);
    flow_stage(&in[FLOW_LAMP], lamp, "lamp");
    for (int i = 0; i < site->state->stage_count; i++) {
        const Stage *stage = &site->state->stages[i];
        if (!label_empty(&stage->label) && stage->line == site->line && stage->rated_ml_min > 0 &&
            (lamp == NULL || stage == lamp))
            propose_value(&in[FLOW_RATED], (double)stage->rated_ml_min / 1000.0, "stage %s",
                          stage->label.s);
    }
    if (lamp != NULL) {
        propose_value(&in[FLOW_DOSE], 40.0, "usual for %s; see its plate", lamp->label.s);
        in[FLOW_DOSE].known = false;
        propose_value(&in[FLOW_HOURS],
                      (double)stage_lamp_ms(lamp, site->board->now.ms) / (double)MS_PER_HOUR,
                      "stage %s", lamp->label.s);
    }
}

static void flow_lamp(const FlowPath *path, const double v[], Reckoning *out)
{
    if (isnan(v[FLOW_DOSE]))
        return;
    const UvChamber chamber = ultraviolet_chamber(v[FLOW_DOSE], v[FLOW_RATED]);
    const FlowDose both = hydraulics_dose(path, &chamber, v[FLOW_HOURS], 95.0);
    if (both.flow.basis.ok && !both.dose.basis.ok &&
        strcmp(both.dose.basis.field, "flow_l_min") == 0) {
        line_words(out, MARK_REFUSED, "lamp's dose", "none: no chamber is rated for such a flow");
        return;
    }
    if (!take(out, &both.dose.basis))
        return;
    /* never fine: the transmittance is taken as 95 %, ullage reckon uv asks for it */
    line_note(line_number(out, both.dose.class_a ? MARK_PLAIN : MARK_CAUTION, "lamp's dose",
                          QUANTITY_NUMBER, "mJ/cm2", both.dose.dose_mj_cm2),
              both.dose.lamp_spent ? "the lamp is past its hours"
              : both.dose.class_a  ? "at this flow; 40 is asked for"
                                   : "at this flow, short of 40: throttle the tap");
    line_number(out, MARK_PLAIN, "flow limit", QUANTITY_FLOW, NULL,
                floor(both.dose.flow_limit_l_min * 100.0) / 100.0);
}

static void flow_parts(const double v[], Resist parts[PART_COUNT])
{
    const double rated = v[FLOW_RATED];
    const double couplings =
        hydraulics_fitting_k(FITTING_ENTRANCE) + hydraulics_fitting_k(FITTING_EXIT);
    parts[PART_TUBE] = resist_tube(v[FLOW_BORE], v[FLOW_LENGTH],
                                   v[FLOW_BENDS] * hydraulics_fitting_k(FITTING_ELBOW_90));
    parts[PART_COUPLINGS] = resist_opening(v[FLOW_OPENING], couplings, v[FLOW_COUPLINGS]);
    parts[PART_SEDIMENT] = resist_rated(rated, v[FLOW_SEDIMENT], 1.0);
    parts[PART_CARBON] = resist_rated(rated, v[FLOW_CARBON], 1.0);
    parts[PART_LAMP] = resist_rated(rated, v[FLOW_LAMP], 2.0);
    parts[PART_TAP] = resist_rated(v[FLOW_TAP_FLOW], v[FLOW_TAP_DROP], 2.0);
}

/* What drives it, and what each part takes of that. */
static void flow_drops(const TapFlow *flow, Reckoning *out)
{
    static const char *const names[PART_COUNT] = {
        "tubing and bends", "couplings", "sediment", "carbon", "lamp's chamber", "tap",
    };
    line_number(out, MARK_PLAIN, "driving pressure", QUANTITY_PRESSURE, NULL, flow->driving_kpa);
    for (int i = 0; i < PART_COUNT; i++)
        if (flow->drop_kpa[i] > 0.0)
            line_note(
                line_number(out, MARK_PLAIN, names[i], QUANTITY_PRESSURE, NULL, flow->drop_kpa[i]),
                "%.0f %% of it%s", flow->drop_kpa[i] / flow->driving_kpa * 100.0,
                (size_t)i == flow->worst ? ": the most" : "");
}

static void flow_compute(const double v[], Reckoning *out)
{
    static const char *const regimes[] = {"laminar", "between laminar and turbulent", "turbulent"};
    if (!rating_holds(out, "supply_kpa", v[FLOW_SUPPLY], FLOW_PLATE))
        return;
    Resist parts[PART_COUNT];
    flow_parts(v, parts);
    const FlowPath path = {.parts = parts,
                           .count = PART_COUNT,
                           .supply_kpa = v[FLOW_SUPPLY],
                           .rise_m = v[FLOW_RISE],
                           .water_c = v[FLOW_TEMP]};
    const TapFlow flow = hydraulics_flow(&path);
    if (!take(out, &flow.basis))
        return;
    add_limit(out, "what stages and taps drop is on their sheets: the usual values are common "
                   "practice, no source");
    if (flow.flow_l_min <= 0.0) {
        line_words(out, MARK_CAUTION, "flow", "none: the pressure can't lift the water so high");
        return;
    }
    line_note(line_number(out, MARK_PLAIN, "flow", QUANTITY_FLOW, NULL, flow.flow_l_min),
              "%s in the tubing, Re %.0f", regimes[flow.regime], flow.reynolds);
    const TimeToEmpty empty = hydraulics_empty(v[FLOW_VOLUME], flow.flow_l_min);
    if (take(out, &empty.basis))
        line_note(line_number(out, MARK_PLAIN, "runs for", QUANTITY_MINUTES, NULL, empty.minutes),
                  "tap open, pressure held");
    flow_lamp(&path, v, out);
    flow_drops(&flow, out);
}

const Topic topic_flow = {.name = "flow",
                          .gist = "the flow at the tap, and what takes the pressure",
                          .about = ABOUT_LINE,
                          .example = "--pressure 40psi --bore 6.4 --length 4 --rise 1",
                          RECKON_FIELDS(flow_fields),
                          flow_propose,
                          flow_compute};

/* ---- clog ---- */

enum { CLOG_LITRES, CLOG_SECONDS, CLOG_AFTER, CLOG_SINCE, CLOG_NOW, CLOG_THEN };
static const ReckonField clog_fields[] = {
    [CLOG_LITRES] = {.option = "jug",
                     .param = "litres",
                     .quantity = QUANTITY_VOLUME,
                     .help = "run into a jug",
                     .usual = 1.0},
    [CLOG_SECONDS] = {.option = "seconds",
                      .param = "seconds",
                      .quantity = QUANTITY_SECONDS,
                      .help = "that it took, the tap full open",
                      .usual = 20.0},
    [CLOG_AFTER] = {.option = "after-swap",
                    .param = "after_swap_l_min",
                    .quantity = QUANTITY_FLOW,
                    .help = "the flow just after the last swap",
                    .usual = 4.0},
    [CLOG_SINCE] = {.option = "through",
                    .param = "since_swap_l",
                    .quantity = QUANTITY_VOLUME,
                    .help = "put through the sediment cartridge since",
                    .usual = 500.0},
    [CLOG_NOW] = {.option = "pressure",
                  .param = "supply_now_kpa",
                  .quantity = QUANTITY_PRESSURE,
                  .help = "of the air now",
                  .usual = PRESSURE_USUAL_KPA},
    [CLOG_THEN] = {.option = "pressure-then",
                   .param = "supply_then_kpa",
                   .quantity = QUANTITY_PRESSURE,
                   .help = "of the air just after the swap",
                   .usual = PRESSURE_USUAL_KPA},
};

static void clog_propose(const ReckonSite *site, ReckonInput in[])
{
    const Line *line = site_line(site);
    const Stage *sediment = site_stage(site, STAGE_SEDIMENT, STAGE_SEDIMENT);
    if (line != NULL) {
        if (line->flow_last_ml_min > 0)
            propose_value(&in[CLOG_SECONDS], 60000.0 / (double)line->flow_last_ml_min,
                          "last flow test of %s", line->label.s);
        if (line->flow_base_ml_min > 0)
            propose_value(&in[CLOG_AFTER], (double)line->flow_base_ml_min / 1000.0,
                          "flow test after the swap");
        if (line->working_pa > 0)
            propose_value(&in[CLOG_NOW], (double)line->working_pa / 1000.0,
                          "%s was pressurised to it", line->label.s);
        if (line->flow_last_pa > 0)
            propose_value(&in[CLOG_NOW], (double)line->flow_last_pa / 1000.0,
                          "at the last flow test");
        propose_value(&in[CLOG_THEN], in[CLOG_NOW].value, "unchanged");
        if (line->flow_base_pa > 0)
            propose_value(&in[CLOG_THEN], (double)line->flow_base_pa / 1000.0,
                          "at the flow test after the swap");
    }
    if (sediment != NULL)
        propose_value(&in[CLOG_SINCE], (double)sediment->through_ml / 1000.0, "through %s",
                      sediment->label.s);
}

enum { CLOG_DECIDES = FIELD(CLOG_LITRES) | FIELD(CLOG_SECONDS) | FIELD(CLOG_AFTER) };

static void clog_compute(const double v[], Reckoning *out)
{
    const Clogging clog = hydraulics_clogging(v[CLOG_LITRES], v[CLOG_SECONDS], v[CLOG_AFTER],
                                              v[CLOG_SINCE], v[CLOG_NOW], v[CLOG_THEN]);
    if (!take(out, &clog.basis))
        return;
    line_number(out, MARK_PLAIN, "flow now", QUANTITY_FLOW, NULL, clog.flow_l_min);
    if (clog.fall > 0.0)
        line_note(line_number(out, judged(out, CLOG_DECIDES, !clog.clogged, MARK_CAUTION),
                              "lost since the swap", QUANTITY_NUMBER, "%", clog.fall * 100.0),
                  clog.clogged ? "more than a third: swap the sediment cartridge"
                               : "a third is where it is called clogged");
    else
        line_words(out, judged(out, CLOG_DECIDES, true, MARK_PLAIN), "lost since the swap",
                   "nothing");
    if (clog.swap_in_litres > 0.0)
        line_note(line_number(out, MARK_PLAIN, "a third is lost in", QUANTITY_VOLUME, NULL,
                              clog.swap_in_litres),
                  "if it goes on as it went");
}

const Topic topic_clog = {.name = "clog",
                          .gist = "how clogged the train is, by a timed jug",
                          .about = ABOUT_LINE,
                          .example = "--jug 1 --seconds 22 --after-swap 4",
                          RECKON_FIELDS(clog_fields),
                          clog_propose,
                          clog_compute};
