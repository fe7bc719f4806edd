/* water.c - topics that make water fit to drink without bleach: boil, filter, uv. */
#include "reckon/disinfection.h"
#include "reckon/ultraviolet.h"
#include "topics/reckoner_private.h"

bool turbidity_within(Reckoning *out, double ntu)
{
    Basis basis = basis_begin(NULL, NULL, NULL);
    if (!isnan(ntu))
        (void)basis_within(&basis, "ntu", ntu, 0.0, 10000.0);
    return take(out, &basis);
}

void leaves(Reckoning *out, TreatmentMethod method)
{
    size_t count = 0;
    const char *const *list = disinfection_limits(method, &count);
    line_list(out, MARK_CAUTION, "what it leaves", list, count);
}

/* ---- boil ---- */

enum { BOIL_ALTITUDE, BOIL_MINUTES };
enum { BOIL_ANYWHERE_M = 2000 }; /* above both bodies' thresholds: the longer time of either */
static const ReckonField boil_fields[] = {
    [BOIL_ALTITUDE] = {.option = "altitude",
                       .param = "altitude_m",
                       .quantity = QUANTITY_LENGTH,
                       .help = "above the sea, as a map gives it",
                       .usual = NAN},
    [BOIL_MINUTES] = {.option = "minutes",
                      .param = "minutes",
                      .quantity = QUANTITY_MINUTES,
                      .help = "of rolling boil, where it was timed",
                      .usual = NAN},
};

static void boil_compute(const double v[], Reckoning *out)
{
    const bool placed = !isnan(v[BOIL_ALTITUDE]);
    const BoilTime boil = disinfection_boil(placed ? v[BOIL_ALTITUDE] : BOIL_ANYWHERE_M);
    Basis minutes = basis_begin(NULL, NULL, NULL);
    if (!isnan(v[BOIL_MINUTES])) /* a day: what is longer was not a boil */
        (void)basis_within(&minutes, "minutes", v[BOIL_MINUTES], 0.0, 1440.0);
    if (!take(out, &boil.basis) || !take(out, &minutes))
        return;
    line_note(line_number(out, MARK_PLAIN, "rolling boil", QUANTITY_NUMBER, "min", boil.minutes),
              "US EPA %g, CDC %g: the stricter", boil.minutes_epa, boil.minutes_cdc);
    if (placed)
        line_number(out, MARK_PLAIN, "boils at", QUANTITY_TEMPERATURE, NULL, boil.boiling_c);
    else
        line_words(out, MARK_CAUTION, "altitude",
                   "not given: so long it takes from 1,000 m (3,281 ft) on, and serves anywhere");
    if (boil.sheet_contradicts)
        line_words(out, MARK_CAUTION, "altitude",
                   "the EPA sheet prints its threshold as 5,000 feet (1,000 meters); 5,000 ft are "
                   "1,524 m: in between, 3 minutes are the safe reading");
    if (isfinite(v[BOIL_MINUTES])) {
        const TreatmentVerdict verdict = disinfection_judge_boil(v[BOIL_MINUTES], v[BOIL_ALTITUDE]);
        line_words(out, judged(out, FIELD(BOIL_MINUTES), verdict.sufficient, MARK_REFUSED),
                   "as it was boiled", "%s",
                   verdict.sufficient ? "long enough" : verdict.shortfall);
    }
    leaves(out, TREATMENT_BOIL);
}

const Topic topic_boil = {.name = "boil",
                          .gist = "how long to boil water at an altitude",
                          .about = ABOUT_NOTHING,
                          .example = "--altitude 1800",
                          RECKON_FIELDS(boil_fields),
                          NULL,
                          boil_compute};

/* ---- filter ---- */

enum { FILTER_NTU };
static const ReckonField filter_fields[] = {
    [FILTER_NTU] = {.option = "ntu",
                    .param = "ntu",
                    .quantity = QUANTITY_NUMBER,
                    .unit = "NTU",
                    .help = "turbidity behind the cartridge, where it was measured",
                    .usual = NAN},
};

static void filter_compute(const double v[], Reckoning *out)
{
    const TreatmentVerdict verdict = disinfection_judge_filter();
    add_source(out, verdict.source);
    add_limit(out, "cartridges in their litres and months of life");
    add_caution(out, "a cartridge is no treatment: boil, chlorinate or light what is drunk");
    if (!turbidity_within(out, v[FILTER_NTU]))
        return;
    line_words(out, MARK_REFUSED, "as a treat entry", "%s; refused unless the owner asserts it",
               verdict.shortfall);
    if (isfinite(v[FILTER_NTU])) {
        const double ntu = v[FILTER_NTU];
        add_source(out, "Ohio Department of Health (turbidity)");
        line_words(out,
                   ntu < ULTRAVIOLET_CLEAR_NTU     ? MARK_FINE
                   : ntu < DISINFECTION_CLOUDY_NTU ? MARK_CAUTION
                                                   : MARK_REFUSED,
                   "before lamp, chlorine", "%s",
                   ntu < ULTRAVIOLET_CLEAR_NTU ? "clear enough"
                   : ntu < DISINFECTION_CLOUDY_NTU
                       ? "clear enough for chlorine; a lamp's plate asks for less than "
                         "1 NTU"
                       : "too cloudy for either: from 5 NTU on neither counts");
    }
    leaves(out, TREATMENT_FILTER);
}

const Topic topic_filter = {.name = "filter",
                            .gist = "what sediment and carbon cartridges do not take out",
                            .about = ABOUT_NOTHING,
                            .example = "--ntu 2",
                            RECKON_FIELDS(filter_fields),
                            NULL,
                            filter_compute};

/* ---- uv ---- */

static const char *const no_yes[] = {"no", "yes", NULL};

enum {
    UV_FLOW,
    UV_DOSE,
    UV_RATED_FLOW,
    UV_HOURS,
    UV_LIFE,
    UV_UVT,
    UV_RATED_UVT,
    UV_GAP,
    UV_AGED,
    UV_NTU
};
static const ReckonField uv_fields[] = {
    [UV_FLOW] = {.option = "flow",
                 .param = "flow_l_min",
                 .quantity = QUANTITY_FLOW,
                 .help = "through the lamp's chamber",
                 .usual = 2.0},
    [UV_DOSE] = {.option = "dose",
                 .param = "rated_mj_cm2",
                 .quantity = QUANTITY_NUMBER,
                 .unit = "mJ/cm2",
                 .help = "on the chamber's plate",
                 .usual = 40.0},
    [UV_RATED_FLOW] = {.option = "rated-flow",
                       .param = "rated_flow_l_min",
                       .quantity = QUANTITY_FLOW,
                       .help = "on the plate: the flow at which it gives that",
                       .usual = 4.0},
    [UV_HOURS] = {.option = "hours",
                  .param = "lamp_h",
                  .quantity = QUANTITY_HOURS,
                  .help = "that the lamp has burnt",
                  .usual = 0.0},
    [UV_LIFE] = {.option = "life",
                 .param = "lamp_life_h",
                 .quantity = QUANTITY_HOURS,
                 .help = "of the lamp",
                 .usual = ULTRAVIOLET_LAMP_LIFE_H},
    [UV_UVT] = {.option = "uvt",
                .param = "uvt_percent",
                .quantity = QUANTITY_NUMBER,
                .unit = "%",
                .help = "ultraviolet transmittance of the water, a centimetre",
                .usual = 95.0},
    [UV_RATED_UVT] = {.option = "rated-uvt",
                      .param = "rated_uvt_percent",
                      .quantity = QUANTITY_NUMBER,
                      .unit = "%",
                      .help = "on the plate: the transmittance it was rated at",
                      .usual = 95.0},
    [UV_GAP] = {.option = "gap",
                .param = "gap_cm",
                .quantity = QUANTITY_BORE,
                .scale = 0.1,
                .help = "from the lamp's sleeve to the chamber's wall",
                .usual = 20.0},
    [UV_AGED] = {.option = "aged",
                 .param = "",
                 .quantity = QUANTITY_CHOICE,
                 .help = "the plate's dose allows for a lamp at its end already",
                 .choices = no_yes},
    [UV_NTU] = {.option = "ntu",
                .param = "ntu",
                .quantity = QUANTITY_NUMBER,
                .unit = "NTU",
                .help = "turbidity, where it was measured",
                .usual = NAN},
};

static void uv_propose(const ReckonSite *site, ReckonInput in[])
{
    const Stage *lamp = site_stage(site, STAGE_UV, STAGE_UV);
    const Line *line = site_line(site);
    if (lamp != NULL) {
        if (lamp->rated_ml_min > 0)
            propose_value(&in[UV_RATED_FLOW], (double)lamp->rated_ml_min / 1000.0, "stage %s",
                          lamp->label.s);
        if (lamp->life_ms > 0)
            propose_value(&in[UV_LIFE], (double)lamp->life_ms / (double)MS_PER_HOUR, "stage %s",
                          lamp->label.s);
        propose_value(&in[UV_HOURS],
                      (double)stage_lamp_ms(lamp, site->board->now.ms) / (double)MS_PER_HOUR,
                      "stage %s", lamp->label.s);
    }
    if (line != NULL && line->flow_last_ml_min > 0)
        propose_value(&in[UV_FLOW], (double)line->flow_last_ml_min / 1000.0, "last flow test of %s",
                      line->label.s);
}

/* All that the dose rests on; the gap only where the water is murkier than the plate's. */
static unsigned uv_decides(const UvDose *dose)
{
    return FIELD(UV_FLOW) | FIELD(UV_DOSE) | FIELD(UV_RATED_FLOW) | FIELD(UV_HOURS) |
           FIELD(UV_LIFE) | FIELD(UV_UVT) | FIELD(UV_RATED_UVT) |
           (dose->water_factor < 1.0 ? FIELD(UV_GAP) : 0);
}

static void uv_credits(Reckoning *out, const UvDose *dose)
{
    const struct {
        const char *label;
        double log;
    } credits[] = {{"Cryptosporidium", dose->cryptosporidium_log},
                   {"Giardia", dose->giardia_log},
                   {"viruses", dose->virus_log}};
    for (size_t i = 0; i < sizeof credits / sizeof *credits; i++)
        line_number(out, MARK_PLAIN, credits[i].label, QUANTITY_NUMBER, "log", credits[i].log);
}

static void uv_compute(const double v[], Reckoning *out)
{
    const UvChamber chamber = {.rated_mj_cm2 = v[UV_DOSE],
                               .rated_flow_l_min = v[UV_RATED_FLOW],
                               .rated_uvt_percent = v[UV_RATED_UVT],
                               .gap_cm = v[UV_GAP] / 10.0,
                               .lamp_life_h = v[UV_LIFE],
                               .rated_at_end_of_life = v[UV_AGED] > 0.0};
    const UvDose dose = ultraviolet_dose(&chamber, v[UV_FLOW], v[UV_HOURS], v[UV_UVT]);
    if (!take(out, &dose.basis) || !turbidity_within(out, v[UV_NTU]))
        return;
    const unsigned decides = uv_decides(&dose);
    line_note(line_to(line_number(out, judged(out, decides, dose.class_a, MARK_CAUTION), "dose",
                                  QUANTITY_NUMBER, "mJ/cm2", dose.dose_mj_cm2),
                      dose.dose_high_mj_cm2),
              "the lower end counts");
    line_words(out, MARK_PLAIN, "of the plate's dose", "lamp %.0f %%, water %.0f %%",
               floor(dose.lamp_factor * 100.0 + 1e-9), floor(dose.water_factor * 100.0 + 1e-9));
    uv_credits(out, &dose);
    line_note(line_number(
                  out, judged(out, decides, v[UV_FLOW] <= dose.flow_limit_l_min, MARK_CAUTION),
                  "flow limit", QUANTITY_FLOW, NULL, floor(dose.flow_limit_l_min * 100.0) / 100.0),
              "for 40 mJ/cm2 (NSF/ANSI 55 class A)");
    if (dose.lamp_spent)
        line_words(out, MARK_REFUSED, "lamp", "past its hours: no credit; swap it");
    if (dose.murky)
        line_words(out, MARK_REFUSED, "water", "below %g %% transmittance no credit is given",
                   ULTRAVIOLET_UVT_LOW_PERCENT);
    const TreatmentVerdict verdict = ultraviolet_judge(&dose, v[UV_NTU]);
    const ReckonMark mark = judged(out, decides | FIELD(UV_NTU), verdict.sufficient, MARK_REFUSED);
    line_words(out, mark, "as treatment", "%s",
               mark == MARK_FINE    ? "enough for water that is questionable"
               : verdict.sufficient ? "enough, were all values true"
                                    : verdict.shortfall);
    add_source(out, verdict.source);
    leaves(out, TREATMENT_UV);
}

const Topic topic_uv = {.name = "uv",
                        .gist = "what the lamp does to the water at a flow",
                        .about = ABOUT_LINE,
                        .example = "--flow 3 --hours 6000",
                        RECKON_FIELDS(uv_fields),
                        uv_propose,
                        uv_compute};
