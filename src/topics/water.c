/* reckoner_water.c - topics that make water fit to drink: chlorine, boil, filter, shock, uv. */
#include "model/treatment.h"
#include "reckon/bleach.h"
#include "reckon/disinfection.h"
#include "reckon/ultraviolet.h"
#include "topics/reckoner_private.h"

static const char *const no_yes[] = {"no", "yes", NULL};

/* WHO household dose: 4 mg/L from 10 NTU on (man/ullage.7, reproduced). Below 5 NTU treatment
 * holds, below 1 the lamp's plate does: Ohio Department of Health, see ultraviolet.h. */
enum { NTU_DOUBLE_DOSE = 10, NTU_LIMIT = 5, NTU_CLEAR = 1 };

/* Turbidity is left out, or a number that can be. */
static bool turbidity_within(Reckoning *out, double ntu)
{
    Basis basis = basis_begin(NULL, NULL, NULL);
    if (!isnan(ntu))
        (void)basis_within(&basis, "ntu", ntu, 0.0, 10000.0);
    return take(out, &basis);
}

static void leaves(Reckoning *out, TreatmentMethod method)
{
    size_t count = 0;
    const char *const *list = disinfection_limits(method, &count);
    line_list(out, MARK_CAUTION, "what it leaves", list, count);
}

/* ---- bleach, as several topics ask for it ---- */

#define STRENGTH_FIELD                                                                             \
    {                                                                                              \
        .option = "strength", .param = "percent", .quantity = QUANTITY_NUMBER, .unit = "%",        \
        .help = "of the bleach when new, as its label says (weight by volume)", .usual = 5.0       \
    }
#define AGE_FIELD                                                                                  \
    {                                                                                              \
        .option = "age", .param = "age_months age_at_21_c", .quantity = QUANTITY_NUMBER,           \
        .unit = "months", .help = "since the bleach was made", .usual = 3.0                        \
    }
#define STORED_FIELD                                                                               \
    {                                                                                              \
        .option = "stored", .param = "storage_c", .quantity = QUANTITY_TEMPERATURE,                \
        .help = "temperature at which the bleach was kept", .usual = 21.0                          \
    }

/* ---- chlorine ---- */

enum {
    CHLORINE_VOLUME,
    CHLORINE_TARGET,
    CHLORINE_STRENGTH,
    CHLORINE_AGE,
    CHLORINE_STORED,
    CHLORINE_CLOUDY,
    CHLORINE_TEMP,
    CHLORINE_PH,
    CHLORINE_RESIDUAL,
    CHLORINE_MINUTES,
    CHLORINE_NTU
};
static const ReckonField chlorine_fields[] = {
    [CHLORINE_VOLUME] = {.option = "volume",
                         .param = "volume_l",
                         .quantity = QUANTITY_VOLUME,
                         .help = "water to be treated",
                         .usual = 10.0},
    [CHLORINE_TARGET] = {.option = "target",
                         .param = "target_mg_l",
                         .quantity = QUANTITY_NUMBER,
                         .unit = "mg/L",
                         .help = "chlorine to be added; WHO 2 in clear water, 4 from 10 NTU on",
                         .usual = 2.0},
    [CHLORINE_STRENGTH] = STRENGTH_FIELD,
    [CHLORINE_AGE] = AGE_FIELD,
    [CHLORINE_STORED] = STORED_FIELD,
    [CHLORINE_CLOUDY] = {.option = "cloudy",
                         .param = "",
                         .quantity = QUANTITY_CHOICE,
                         .help = "cloudy, coloured or very cold: the emergency sheets double",
                         .choices = no_yes},
    [CHLORINE_TEMP] = {.option = "temp",
                       .param = "temperature_c",
                       .quantity = QUANTITY_TEMPERATURE,
                       .help = "of the water during the contact",
                       .usual = 10.0},
    [CHLORINE_PH] = {.option = "ph",
                     .param = "ph",
                     .quantity = QUANTITY_NUMBER,
                     .help = "of the water; the higher, the slower chlorine works",
                     .usual = 7.5},
    [CHLORINE_RESIDUAL] = {.option = "residual",
                           .param = "residual_mg_l",
                           .quantity = QUANTITY_NUMBER,
                           .unit = "mg/L",
                           .help = "free chlorine at the end, the lowest measured",
                           .usual = 1.0},
    [CHLORINE_MINUTES] = {.option = "minutes",
                          .param = "minutes",
                          .quantity = QUANTITY_MINUTES,
                          .help = "contact so far, or as planned",
                          .usual = 60.0},
    [CHLORINE_NTU] = {.option = "ntu",
                      .param = "ntu",
                      .quantity = QUANTITY_NUMBER,
                      .unit = "NTU",
                      .help = "turbidity, where it was measured",
                      .usual = NAN},
};

static void chlorine_propose(const ReckonSite *site, ReckonInput in[])
{
    propose_contents(&in[CHLORINE_VOLUME], site);
}

static void chlorine_dose(const double v[], Reckoning *out)
{
    const BleachDose dose = bleach_dose(v[CHLORINE_VOLUME], v[CHLORINE_TARGET],
                                        v[CHLORINE_STRENGTH], v[CHLORINE_AGE], v[CHLORINE_STORED]);
    if (!take(out, &dose.basis))
        return;
    line_note(line_number(out, MARK_PLAIN, "bleach", QUANTITY_NUMBER, "mL", dose.ml),
              "%.0f drops of 0.05 mL (%.0f of 0.094)", dose.drops, dose.drops_large);
    if (dose.teaspoons >= 0.2)
        line_words(out, MARK_PLAIN, "in spoons", "%.2g teaspoons (4.93 mL), %.2g tablespoons",
                   dose.teaspoons, dose.tablespoons);
    line_number(out, MARK_PLAIN, "strength now", QUANTITY_NUMBER, "%", dose.percent_now);
    if (dose.above_guideline)
        line_words(out, MARK_CAUTION, "dose",
                   "above the %g mg/L that the WHO lets drinking water have",
                   BLEACH_GUIDELINE_MG_L);
    if (v[CHLORINE_NTU] >= NTU_DOUBLE_DOSE && v[CHLORINE_TARGET] < 4.0)
        line_words(out, MARK_CAUTION, "dose", "the WHO doubles it to 4 mg/L from 10 NTU on");
}

static void chlorine_sheets(const double v[], Reckoning *out)
{
    const EmergencyDose sheet =
        bleach_emergency(v[CHLORINE_VOLUME], v[CHLORINE_STRENGTH], v[CHLORINE_CLOUDY] > 0.0);
    char why[200];
    if (!sheet.basis.ok) {
        line_words(out, MARK_CAUTION, "emergency sheets", "none: %s",
                   basis_explain(&sheet.basis, why, sizeof why));
        return;
    }
    take_notes(out, &sheet.basis);
    ReckonLine *line = line_number(out, MARK_PLAIN, "emergency sheets", QUANTITY_NUMBER, "drops",
                                   ceil(sheet.drops - 1e-9));
    if (sheet.drops_least < sheet.drops)
        line_note(line, "%.3g mL, %.3g mg/L, by %s; at the least %.0f by %s", sheet.ml, sheet.mg_l,
                  sheet.document, ceil(sheet.drops_least - 1e-9), sheet.document_least);
    else
        line_note(line, "%.3g mL, %.3g mg/L, by %s", sheet.ml, sheet.mg_l, sheet.document);
    line_note(line_number(out, MARK_PLAIN, "then wait", QUANTITY_MINUTES, NULL, sheet.wait_minutes),
              "and 15 more after a second dose where no smell of chlorine is left");
}

static void chlorine_contact(const double v[], Reckoning *out)
{
    const double t = v[CHLORINE_TEMP], ph = v[CHLORINE_PH], residual = v[CHLORINE_RESIDUAL];
    const ContactNeed giardia = disinfection_giardia(t, ph, residual, DISINFECTION_GIARDIA_LOG);
    const ContactNeed virus = disinfection_virus(t, ph, residual, DISINFECTION_VIRUS_LOG);
    if (take(out, &giardia.basis))
        line_note(line_number(out, MARK_PLAIN, "Giardia, 3 log", QUANTITY_MINUTES, NULL,
                              ceil(giardia.minutes)),
                  "CT %.0f mg min/L, read at %g C, pH %g, %g mg/L", ceil(giardia.ct),
                  giardia.row_temperature_c, giardia.row_ph, giardia.row_residual_mg_l);
    if (take(out, &virus.basis))
        line_note(line_number(out, MARK_PLAIN, "viruses, 4 log", QUANTITY_MINUTES, NULL,
                              ceil(virus.minutes)),
                  "CT %.0f mg min/L", ceil(virus.ct));
    const ContactCredit credit = disinfection_credit(residual, v[CHLORINE_MINUTES], t, ph);
    if (!take(out, &credit.basis))
        return;
    const bool enough = credit.giardia_log >= DISINFECTION_GIARDIA_LOG - 1e-9 &&
                        credit.virus_log >= DISINFECTION_VIRUS_LOG - 1e-9;
    line_note(line_number(out, enough ? MARK_FINE : MARK_CAUTION, "contact reached",
                          QUANTITY_NUMBER, "mg min/L", credit.ct),
              "%.2f log of Giardia, %.2f log of viruses", floor(credit.giardia_log * 100.0) / 100.0,
              floor(credit.virus_log * 100.0) / 100.0);
    const TreatmentVerdict verdict =
        disinfection_judge_chlorine(residual, v[CHLORINE_MINUTES], t, ph, v[CHLORINE_NTU]);
    line_words(out, verdict.who_met ? MARK_FINE : MARK_CAUTION, "WHO criterion",
               "0.5 mg/L after 30 minutes at a pH below 8, in clear water: %s",
               verdict.who_met ? "met" : "not met");
    add_source(out, verdict.source);
    const bool suffices =
        treatment_chlorine(residual, v[CHLORINE_MINUTES], t, ph, v[CHLORINE_NTU]).measured;
    if (!verdict.sufficient)
        line_words(out, MARK_CAUTION, "falls short", "%s", verdict.shortfall);
    line_words(out, suffices ? MARK_FINE : MARK_REFUSED, "as a treat entry",
               suffices ? "questionable water becomes potable"
                        : "refused unless the owner asserts it");
    if (verdict.turbidity_unknown)
        line_words(out, MARK_CAUTION, "turbidity", "not given: all this holds in clear water only");
}

static void chlorine_compute(const double v[], Reckoning *out)
{
    chlorine_dose(v, out);
    chlorine_sheets(v, out);
    if (turbidity_within(out, v[CHLORINE_NTU]))
        chlorine_contact(v, out);
    leaves(out, TREATMENT_CHLORINE);
}

const Topic topic_chlorine = {.name = "chlorine",
                              .gist = "how much bleach makes water fit to drink, and how long to "
                                      "wait",
                              .about = ABOUT_QUESTIONABLE,
                              .example = "--volume 10 --strength 5 --temp 8 --ph 7.5",
                              RECKON_FIELDS(chlorine_fields),
                              chlorine_propose,
                              chlorine_compute};

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
                   "not given: so long it takes from 1,524 m (5,000 ft) on, and serves anywhere");
    if (boil.sheet_contradicts)
        line_words(out, MARK_CAUTION, "altitude",
                   "the EPA sheet prints its threshold as 5,000 feet (1,000 meters); 5,000 ft are "
                   "1,524 m: in between, 3 minutes are the safe reading");
    if (isfinite(v[BOIL_MINUTES])) {
        const TreatmentVerdict verdict = disinfection_judge_boil(v[BOIL_MINUTES], v[BOIL_ALTITUDE]);
        line_words(out, verdict.sufficient ? MARK_FINE : MARK_REFUSED, "as it was boiled", "%s",
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
                   ntu < NTU_CLEAR   ? MARK_FINE
                   : ntu < NTU_LIMIT ? MARK_CAUTION
                                     : MARK_REFUSED,
                   "before lamp, chlorine", "%s",
                   ntu < NTU_CLEAR ? "clear enough"
                   : ntu < NTU_LIMIT
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

/* ---- shock ---- */

enum {
    SHOCK_WHAT,
    SHOCK_VOLUME,
    SHOCK_TARGET,
    SHOCK_STRENGTH,
    SHOCK_AGE,
    SHOCK_STORED,
    SHOCK_HEEL
};
static const char *const shock_words[] = {"vessel", "line", NULL};
static const ReckonField shock_fields[] = {
    [SHOCK_WHAT] = {.option = "what",
                    .param = "",
                    .quantity = QUANTITY_CHOICE,
                    .help = "a vessel by itself, or a whole line with its stages",
                    .choices = shock_words},
    [SHOCK_VOLUME] = {.option = "volume",
                      .param = "volume_l",
                      .quantity = QUANTITY_VOLUME,
                      .help = "filled to the brim; a line: all its vessels, housings and tubing",
                      .usual = 12.0},
    [SHOCK_TARGET] = {.option = "target",
                      .param = "target_mg_l",
                      .quantity = QUANTITY_NUMBER,
                      .unit = "mg/L",
                      .help = "50, 100 or 200: the stronger, the shorter",
                      .usual = 50.0},
    [SHOCK_STRENGTH] = STRENGTH_FIELD,
    [SHOCK_AGE] = AGE_FIELD,
    [SHOCK_STORED] = STORED_FIELD,
    [SHOCK_HEEL] = {.option = "heel",
                    .param = "heel_l",
                    .quantity = QUANTITY_VOLUME,
                    .help = "stays behind at each draining",
                    .usual = 0.0},
};

static void shock_propose(const ReckonSite *site, ReckonInput in[])
{
    const Line *line = site_line(site);
    const Vessel *v = site_vessel(site);
    if (v != NULL) {
        propose_value(&in[SHOCK_VOLUME], (double)v->capacity / 1000.0, "capacity of %s",
                      v->label.s);
        propose_value(&in[SHOCK_HEEL], (double)v->heel / 1000.0, "heel of %s", v->label.s);
    } else if (line != NULL) {
        double volume = 0.0, heel = 0.0;
        for (int i = 0; i < line->count; i++) {
            volume += (double)site->state->vessels[line->order[i]].capacity / 1000.0;
            heel += (double)site->state->vessels[line->order[i]].heel / 1000.0;
        }
        propose_value(&in[SHOCK_WHAT], 1.0, "%s", line->label.s);
        if (volume > 0.0) {
            propose_value(&in[SHOCK_VOLUME], volume, "the vessels of %s; add its housings",
                          line->label.s);
            propose_value(&in[SHOCK_HEEL], heel, "heels of %s", line->label.s);
        }
    }
}

static void shock_compute(const double v[], Reckoning *out)
{
    const ShockPlan plan = bleach_shock(v[SHOCK_VOLUME], v[SHOCK_TARGET], v[SHOCK_STRENGTH],
                                        v[SHOCK_AGE], v[SHOCK_STORED], v[SHOCK_HEEL]);
    if (!take(out, &plan.basis))
        return;
    line_note(line_number(out, MARK_PLAIN, "bleach", QUANTITY_DOSE, NULL, plan.ml),
              "%.1f tablespoons", plan.tablespoons);
    line_note(line_number(out, MARK_PLAIN, "stand for", QUANTITY_NUMBER, "h", plan.hours), "%s",
              plan.body);
    line_note(
        line_number(out, MARK_PLAIN, "at the least", QUANTITY_NUMBER, "h", plan.hours_shortest),
        "%s", plan.body_shortest);
    line_note(
        line_number(out, MARK_PLAIN, "fills that rinse it", QUANTITY_NUMBER, NULL, plan.rinses),
        "until no more than %g mg/L is measured", BLEACH_GUIDELINE_MG_L);
    size_t count = 0;
    const char *const *steps = bleach_shock_steps(v[SHOCK_WHAT] > 0.0, &count);
    line_list(out, MARK_PLAIN, "order of work", steps, count);
}

const Topic topic_shock = {.name = "shock",
                           .gist = "bleach and hours that sanitise a vessel or a line",
                           .about = ABOUT_DUE,
                           .example = "--vessel A1 --target 100",
                           RECKON_FIELDS(shock_fields),
                           shock_propose,
                           shock_compute};

/* ---- uv ---- */

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

static void uv_compute(const double v[], Reckoning *out)
{
    const UvChamber chamber = {.rated_mj_cm2 = v[UV_DOSE],
                               .rated_flow_l_min = v[UV_RATED_FLOW],
                               .rated_uvt_percent = v[UV_RATED_UVT],
                               .gap_cm = v[UV_GAP] / 10.0,
                               .lamp_life_h = v[UV_LIFE],
                               .rated_at_end_of_life = v[UV_AGED] > 0.0};
    const UvDose dose = ultraviolet_dose(&chamber, v[UV_FLOW], v[UV_HOURS], v[UV_UVT]);
    const double ntu = v[UV_NTU];
    if (!take(out, &dose.basis) || !turbidity_within(out, ntu))
        return;
    const TreatmentVerdict verdict = ultraviolet_judge(dose.dose_mj_cm2, ntu, dose.lamp_spent);
    line_note(line_range(out, dose.class_a ? MARK_FINE : MARK_CAUTION, "dose", QUANTITY_NUMBER,
                         "mJ/cm2", dose.dose_mj_cm2, dose.dose_high_mj_cm2),
              "the lower end counts");
    line_words(out, MARK_PLAIN, "of the plate's dose", "lamp %.0f %%, water %.0f %%",
               dose.lamp_factor * 100.0, dose.water_factor * 100.0);
    line_words(out, MARK_PLAIN, "log credit", "Cryptosporidium %.1f, Giardia %.1f, viruses %.1f",
               dose.cryptosporidium_log, dose.giardia_log, dose.virus_log);
    line_note(line_number(out, v[UV_FLOW] > dose.flow_limit_l_min ? MARK_CAUTION : MARK_FINE,
                          "flow limit", QUANTITY_FLOW, NULL,
                          floor(dose.flow_limit_l_min * 100.0) / 100.0),
              "for 40 mJ/cm2 (NSF/ANSI 55 class A)");
    if (dose.lamp_spent)
        line_words(out, MARK_REFUSED, "lamp", "past its hours: no credit; swap it");
    line_words(out, verdict.sufficient ? MARK_FINE : MARK_REFUSED, "as treatment", "%s",
               verdict.sufficient ? "enough for water that is questionable" : verdict.shortfall);
    if (verdict.turbidity_unknown)
        line_words(out, MARK_CAUTION, "turbidity", "not given: all this holds below 1 NTU only");
    else if (ntu >= NTU_CLEAR && ntu < NTU_LIMIT)
        line_words(out, MARK_CAUTION, "turbidity", "from 1 NTU on the plate's dose is not reached");
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
