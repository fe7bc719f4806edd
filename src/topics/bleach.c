/* bleach.c - topics of what household bleach does: chlorine (to drink), shock (to sanitise). */
#include "reckon/bleach.h"
#include "model/treatment.h"
#include "reckon/disinfection.h"
#include "topics/reckoner_private.h"

#include <stdio.h>
#include <string.h>

/* WHO household dose: 2 mg/L below 10 NTU, 4 from there to 100 (man/ullage.7, reproduced). The
 * sheets give cloudy and very cold no number: from 5 NTU on, and below 10 C, where the CT
 * tables ask half as much again as at 15, doubling is the safe reading (common practice, no
 * source). */
enum { NTU_DOUBLE_DOSE = 10, NTU_LAST = 100, COLD_C = 10 };

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
enum { CLOUDY_UNKNOWN, CLOUDY_NO, CLOUDY_YES };
static const char *const cloudy_words[] = {"unknown", "no", "yes", NULL};
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
    [CHLORINE_STRENGTH] = {.option = "strength",
                           .param = "percent",
                           .quantity = QUANTITY_NUMBER,
                           .unit = "%",
                           .help = "of the bleach when new, as its label says (weight by volume)",
                           .usual = NAN},
    [CHLORINE_AGE] = AGE_FIELD,
    [CHLORINE_STORED] = STORED_FIELD,
    [CHLORINE_CLOUDY] = {.option = "cloudy",
                         .param = "",
                         .quantity = QUANTITY_CHOICE,
                         .help = "or coloured, to the eye: the emergency sheets double",
                         .choices = cloudy_words},
    [CHLORINE_TEMP] = {.option = "temp",
                       .param = "temperature_c",
                       .quantity = QUANTITY_TEMPERATURE,
                       .help = "of the water during the contact, the coldest",
                       .usual = 0.5},
    [CHLORINE_PH] = {.option = "ph",
                     .param = "ph",
                     .quantity = QUANTITY_NUMBER,
                     .help = "of the water; the higher, the slower chlorine works",
                     .usual = 8.5},
    [CHLORINE_RESIDUAL] = {.option = "residual",
                           .param = "residual_mg_l",
                           .quantity = QUANTITY_NUMBER,
                           .unit = "mg/L",
                           .help = "free chlorine at the end, the lowest measured",
                           .usual = 0.5},
    [CHLORINE_MINUTES] = {.option = "minutes",
                          .param = "minutes",
                          .quantity = QUANTITY_MINUTES,
                          .help = "contact so far",
                          .usual = 30.0},
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

/* Drops, or spoons where drops are too many to count: what is told holds at least `ml`. */
static char *measure_words(double ml, char *out)
{
    const BleachMeasure m = bleach_measure(ml);
    if (ml < BLEACH_TEASPOON_ML)
        (void)snprintf(out, QUANTITY_TEXT, "%.0f drops of 0.05 mL (%.0f of 0.094)", m.drops,
                       m.drops_large);
    else if (ml < 4.0 * BLEACH_TABLESPOON_ML)
        (void)snprintf(out, QUANTITY_TEXT, "%g teaspoons", m.teaspoons);
    else
        (void)snprintf(out, QUANTITY_TEXT, "%g tablespoons", m.tablespoons);
    return out;
}

typedef enum { CLEAR_KNOWN, CLEAR_UNKNOWN, CLEAR_NOT } Clearness;

static Clearness clearness(const Reckoning *out)
{
    const double ntu = value_known(out, CHLORINE_NTU);
    const int said = choice_of(out->values[CHLORINE_CLOUDY], 3);
    if (said == CLOUDY_YES || ntu >= DISINFECTION_CLOUDY_NTU)
        return CLEAR_NOT;
    return said == CLOUDY_NO || ntu < DISINFECTION_CLOUDY_NTU ? CLEAR_KNOWN : CLEAR_UNKNOWN;
}

/* Why the sheets' dose is doubled; "" where it is not. What nobody said is read the safe way;
 * colour has no turbidity, so that --ntu alone does not say that there is none. */
static const char *doubled_why(const Reckoning *out, char *buf, size_t size)
{
    const bool seen = choice_of(out->values[CHLORINE_CLOUDY], 3) == CLOUDY_NO;
    char limit[QUANTITY_TEXT];
    const double t = value_known(out, CHLORINE_TEMP);
    const char *first = clearness(out) == CLEAR_NOT ? "it is cloudy"
                        : !seen ? "nobody said that it has neither cloud nor colour (--cloudy no)"
                                : "";
    (void)told(out, QUANTITY_TEMPERATURE, COLD_C, limit);
    (void)snprintf(buf, size, "%s%s", first, t >= COLD_C || *first == '\0' ? "" : ", and ");
    if (isnan(t))
        (void)snprintf(buf + strlen(buf), size - strlen(buf),
                       "nobody said that it has %s or more (--temp)", limit);
    else if (t < COLD_C)
        (void)snprintf(buf + strlen(buf), size - strlen(buf), "it is colder than %s", limit);
    return buf;
}

/* A dose of the sheets: drops lead, spoons where they are too many to count. */
static ReckonLine *sheet_line(Reckoning *out, const char *label, const EmergencyDose *sheet)
{
    char ml[QUANTITY_TEXT], spoons[QUANTITY_TEXT];
    ReckonLine *line =
        line_number(out, MARK_PLAIN, label, QUANTITY_NUMBER, "drops", ceil(sheet->drops - 1e-9));
    line->up = true;
    line_note(line, "or %s%s%s, of bleach", told_up(out, QUANTITY_DOSE, sheet->ml, ml),
              sheet->ml >= BLEACH_TEASPOON_ML ? ", " : "",
              sheet->ml >= BLEACH_TEASPOON_ML ? measure_words(sheet->ml, spoons) : "");
    return line;
}

/* Far above what may be drunk only where the strength was read as a weaker one. */
static void chlorine_put_in(Reckoning *out, const EmergencyDose *sheet, double strength)
{
    const bool strong = sheet->read_percent < strength;
    line_note(line_number(out, strong ? MARK_CAUTION : MARK_PLAIN, "it puts in", QUANTITY_NUMBER,
                          "mg/L", sheet->mg_l),
              "at the most; dirt takes some up. %s 0.5 to %g mg/L after 30 minutes",
              strong ? "Drink it only when a meter reads" : "A meter should read",
              BLEACH_GUIDELINE_MG_L);
}

/* The one dose to use: what the public bodies print for the strength. Minutes to wait, 0 where it
 * is refused. */
static double chlorine_by_strength(Reckoning *out, double volume_l, double strength, bool doubled)
{
    const EmergencyDose sheet = bleach_emergency(volume_l, strength, doubled);
    if (!take(out, &sheet.basis))
        return 0.0;
    sheet_line(out, "use", &sheet);
    if (sheet.read_percent < strength)
        line_words(out, MARK_PLAIN, "strength",
                   "no sheet prints %g %%: read as %g %%, the next weaker", strength,
                   sheet.read_percent);
    if (sheet.drops_least < sheet.drops)
        line_words(out, MARK_PLAIN, "who says so", "%s; at the least %.0f drops by %s",
                   sheet.document, ceil(sheet.drops_least - 1e-9), sheet.document_least);
    else
        line_words(out, MARK_PLAIN, "who says so", "%s", sheet.document);
    chlorine_put_in(out, &sheet, strength);
    return sheet.wait_minutes;
}

/* Nobody gave the strength, which decides: of ordinary bleach the sheets' dose for unknown strength
 * is far too much, of weak bleach any smaller one too little. So no dose leads; each label's own is
 * told, and what to do where the label is gone. Returns as chlorine_by_strength. */
static double chlorine_by_label(Reckoning *out, double volume_l, bool doubled)
{
    static const struct {
        const char *label;
        double percent;
    } labels[] = {
        {"label says 1 %", 1.0}, {"label says 5 or 6 %", 5.0}, {"label says 8.25 %", 8.25}};
    const EmergencyDose unknown = bleach_emergency(volume_l, 0.0, doubled);
    if (!take(out, &unknown.basis))
        return 0.0;
    line_words(out, MARK_CAUTION, "use",
               "what the strength on the bleach's label asks for: read it, and give --strength");
    for (size_t i = 0; i < sizeof labels / sizeof *labels; i++) {
        const EmergencyDose sheet = bleach_emergency(volume_l, labels[i].percent, doubled);
        sheet_line(out, labels[i].label, &sheet);
    }
    const double mg_per_percent = unknown.ml * 10.0 / volume_l;
    line_words(out, MARK_CAUTION, "label is gone",
               "boil the water, or take other bleach. The %.0f drops that %s prints for unknown "
               "strength put in %.0f to %.0f mg/L: drink it only when a meter reads 0.5 to %g mg/L "
               "after 30 minutes",
               ceil(unknown.drops - 1e-9), unknown.document, floor(mg_per_percent),
               ceil(8.25 * mg_per_percent), BLEACH_GUIDELINE_MG_L);
    return unknown.wait_minutes;
}

static bool chlorine_use(const double v[], Reckoning *out)
{
    char why[160];
    if (v[CHLORINE_NTU] > NTU_LAST) {
        line_words(out, MARK_REFUSED, "use",
                   "no published dose covers more than %d NTU: let it settle, filter it, then ask "
                   "again",
                   NTU_LAST);
        return false;
    }
    const bool doubled = *doubled_why(out, why, sizeof why) != '\0';
    const double strength = value_known(out, CHLORINE_STRENGTH);
    const double wait = isnan(strength)
                            ? chlorine_by_label(out, v[CHLORINE_VOLUME], doubled)
                            : chlorine_by_strength(out, v[CHLORINE_VOLUME], strength, doubled);
    if (wait <= 0.0)
        return false;
    if (doubled)
        line_words(out, MARK_CAUTION, "doubled", "%s; half of it otherwise", why);
    line_note(line_number(out, MARK_PLAIN, "then wait", QUANTITY_MINUTES, NULL, wait),
              "and 15 more after a second dose where no smell of chlorine is left");
    return true;
}

/* What the arithmetic asks for: to be trusted with a meter only. */
static void chlorine_metered(const double v[], Reckoning *out)
{
    char words[QUANTITY_TEXT];
    if (isnan(v[CHLORINE_STRENGTH]))
        return;
    const BleachDose dose = bleach_dose(v[CHLORINE_VOLUME], v[CHLORINE_TARGET],
                                        v[CHLORINE_STRENGTH], v[CHLORINE_AGE], v[CHLORINE_STORED]);
    if (!take(out, &dose.basis))
        return;
    ReckonLine *line =
        line_number(out, MARK_PLAIN, "only with a meter", QUANTITY_DOSE, NULL, dose.ml);
    line->up = true;
    line_note(line,
              "%s, puts in %g mg/L with bleach that has %.2g %% left: measure at least 0.5 mg/L "
              "after 30 minutes",
              measure_words(dose.ml, words), v[CHLORINE_TARGET], dose.percent_now);
    if (dose.above_guideline)
        line_words(out, MARK_CAUTION, "target",
                   "above the %g mg/L that the WHO lets drinking water have",
                   BLEACH_GUIDELINE_MG_L);
    if (v[CHLORINE_NTU] >= NTU_DOUBLE_DOSE && v[CHLORINE_TARGET] < 4.0)
        line_words(out, MARK_CAUTION, "target", "the WHO doubles it to 4 mg/L from 10 NTU on");
}

static ReckonLine *wait_line(Reckoning *out, const char *label, double minutes)
{
    ReckonLine *line = line_number(out, MARK_PLAIN, label, QUANTITY_MINUTES, NULL, ceil(minutes));
    line->up = true;
    return line;
}

static void chlorine_need(const double v[], Reckoning *out)
{
    const double t = v[CHLORINE_TEMP], ph = v[CHLORINE_PH], residual = v[CHLORINE_RESIDUAL];
    const ContactNeed giardia = disinfection_giardia(t, ph, residual, DISINFECTION_GIARDIA_LOG);
    const ContactNeed virus = disinfection_virus(t, ph, residual, DISINFECTION_VIRUS_LOG);
    char at[QUANTITY_TEXT];
    if (take(out, &giardia.basis)) {
        ReckonLine *line = wait_line(out, "Giardia, 3 log", giardia.minutes);
        line_note(line, "CT %.0f mg min/L, read at %s, pH %g, %g mg/L", ceil(giardia.ct),
                  told(out, QUANTITY_TEMPERATURE, giardia.row_temperature_c, at), giardia.row_ph,
                  giardia.row_residual_mg_l);
    }
    if (take(out, &virus.basis))
        line_note(wait_line(out, "viruses, 4 log", virus.minutes), "CT %.0f mg min/L",
                  ceil(virus.ct));
}

static double credit_down(double log)
{
    return floor(log * 100.0 + 1e-9) / 100.0;
}

/* What was measured, judged: values that nobody gave do not stand in. */
static void chlorine_reached(Reckoning *out)
{
    const double residual = value_known(out, CHLORINE_RESIDUAL),
                 minutes = value_known(out, CHLORINE_MINUTES), t = value_known(out, CHLORINE_TEMP),
                 ph = value_known(out, CHLORINE_PH), ntu = value_known(out, CHLORINE_NTU);
    const Clearness clear = clearness(out);
    const unsigned decides = FIELD(CHLORINE_RESIDUAL) | FIELD(CHLORINE_MINUTES) |
                             FIELD(CHLORINE_PH) |
                             (clear == CLEAR_UNKNOWN ? FIELD(CHLORINE_NTU) : 0);
    if (isnan(residual) || isnan(minutes))
        return;
    const TreatmentVerdict verdict = disinfection_judge_chlorine(residual, minutes, t, ph, ntu);
    add_source(out, verdict.source);
    if (!isnan(t) && !isnan(ph)) {
        const ContactCredit credit = disinfection_credit(residual, minutes, t, ph);
        if (!take(out, &credit.basis))
            return;
        const bool enough = credit.giardia_log >= DISINFECTION_GIARDIA_LOG - 1e-9 &&
                            credit.virus_log >= DISINFECTION_VIRUS_LOG - 1e-9;
        line_number(
            out,
            judged(out, decides | FIELD(CHLORINE_TEMP), enough && clear != CLEAR_NOT, MARK_CAUTION),
            "contact reached", QUANTITY_NUMBER, "mg min/L", credit.ct);
        line_number(out, MARK_PLAIN, "Giardia credit", QUANTITY_NUMBER, "log",
                    credit_down(credit.giardia_log));
        line_number(out, MARK_PLAIN, "virus credit", QUANTITY_NUMBER, "log",
                    credit_down(credit.virus_log));
    }
    const bool who = verdict.who_met && clear != CLEAR_NOT;
    line_words(out, judged(out, decides, who, MARK_CAUTION), "WHO criterion",
               "0.5 mg/L after 30 minutes at a pH below 8, in clear water: %s",
               !who                     ? "not met"
               : clear == CLEAR_UNKNOWN ? "met, were the water clear"
                                        : "met");
    const Treatment entry = treatment_chlorine(residual, minutes, t, ph, ntu);
    const bool suffices = entry.measured && clear != CLEAR_NOT;
    if (!verdict.sufficient)
        line_words(out, MARK_CAUTION, "falls short", "%s", verdict.shortfall);
    line_words(out, judged(out, decides, suffices, MARK_REFUSED), "as a treat entry", "%s",
               !suffices       ? "refused unless the owner asserts it"
               : entry.giardia ? "questionable water becomes potable"
                               : "questionable water becomes potable; raw water stays marked, for "
                                 "Giardia is not dealt with");
}

static void chlorine_compute(const double v[], Reckoning *out)
{
    if (!turbidity_within(out, v[CHLORINE_NTU]))
        return;
    if (chlorine_use(v, out))
        chlorine_metered(v, out);
    chlorine_need(v, out);
    chlorine_reached(out);
    if (clearness(out) == CLEAR_UNKNOWN)
        line_words(out, MARK_CAUTION, "turbidity", "not given: contact counts in clear water only");
    leaves(out, TREATMENT_CHLORINE);
}

const Topic topic_chlorine = {.name = "chlorine",
                              .gist = "how much bleach makes water fit to drink, and how long to "
                                      "wait",
                              .about = ABOUT_QUESTIONABLE,
                              .example = "--volume 10 --strength 5 --temp 12 --cloudy no",
                              RECKON_FIELDS(chlorine_fields),
                              chlorine_propose,
                              chlorine_compute};

/* ---- shock ---- */

enum {
    SHOCK_WHAT,
    SHOCK_VOLUME,
    SHOCK_VESSELS,
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
                      .help = "filled to the brim; on a line: of its largest vessel",
                      .usual = 12.0},
    [SHOCK_VESSELS] = {.option = "vessels",
                       .param = "vessels",
                       .quantity = QUANTITY_NUMBER,
                       .help = "on the line, one behind the other",
                       .usual = 1.0},
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
                    .help = "stays behind in a vessel at each draining",
                    .usual = 0.0},
};

static double litres(int64_t ml)
{
    return (double)ml / 1000.0;
}

static void shock_propose_line(const State *state, const Line *line, ReckonInput in[])
{
    double volume = 0.0, heel = 0.0;
    for (int i = 0; i < line->count; i++) {
        volume = fmax(volume, litres(state->vessels[line->order[i]].capacity));
        heel = fmax(heel, litres(state->vessels[line->order[i]].heel));
    }
    propose_value(&in[SHOCK_WHAT], 1.0, "%s", line->label.s);
    if (line->count == 0)
        return;
    propose_value(&in[SHOCK_VOLUME], volume, "the largest vessel of %s", line->label.s);
    propose_value(&in[SHOCK_VESSELS], line->count, "on %s", line->label.s);
    propose_value(&in[SHOCK_HEEL], heel, "the largest heel of %s", line->label.s);
}

static void shock_propose(const ReckonSite *site, ReckonInput in[])
{
    const Vessel *v = site_vessel(site);
    if (v != NULL) {
        propose_value(&in[SHOCK_VOLUME], litres(v->capacity), "capacity of %s", v->label.s);
        propose_value(&in[SHOCK_HEEL], litres(v->heel), "heel of %s", v->label.s);
    } else if (site_line(site) != NULL) {
        shock_propose_line(site->state, site_line(site), in);
    }
}

static ShockPlan shock_of(const double v[], double volume_l, double heel_l)
{
    return bleach_shock(volume_l, v[SHOCK_TARGET], v[SHOCK_STRENGTH], v[SHOCK_AGE], v[SHOCK_STORED],
                        heel_l);
}

static void shock_bleach(Reckoning *out, const char *label, double ml)
{
    char words[QUANTITY_TEXT];
    ReckonLine *line = line_number(out, MARK_PLAIN, label, QUANTITY_DOSE, NULL, ml);
    line->up = true;
    line_note(line, "%s of bleach", measure_words(ml, words));
}

/* The line that the values were proposed from; NULL where others were typed. */
static const Line *shock_line(const double v[], const Reckoning *out)
{
    ReckonInput in[RECKON_FIELDS_MAX] = {{.value = 0.0}};
    const Line *line = site_line(out->site);
    if (line == NULL || v[SHOCK_WHAT] <= 0.0)
        return NULL;
    shock_propose_line(out->site->state, line, in);
    const bool same = in[SHOCK_VOLUME].value == v[SHOCK_VOLUME] &&
                      in[SHOCK_VESSELS].value == v[SHOCK_VESSELS] &&
                      in[SHOCK_HEEL].value == v[SHOCK_HEEL];
    return same ? line : NULL;
}

/* Each vessel takes its own bleach: what is put in at the air side is thinned away on its way to
 * the tap. Returns the fills that rinse the slowest. */
static int shock_vessels(const double v[], Reckoning *out, const ShockPlan *plan)
{
    const Line *line = shock_line(v, out);
    int rinses = plan->rinses;
    if (line == NULL) {
        shock_bleach(out, v[SHOCK_WHAT] > 0.0 ? "bleach in each" : "bleach", plan->ml);
        return rinses;
    }
    for (int i = 0; i < line->count; i++) {
        const Vessel *vessel = &out->site->state->vessels[line->order[i]];
        const ShockPlan own = shock_of(v, litres(vessel->capacity), litres(vessel->heel));
        if (!take(out, &own.basis))
            return rinses;
        shock_bleach(out, vessel->label.s, own.ml);
        if (own.rinses > rinses)
            rinses = own.rinses;
    }
    return rinses;
}

static void shock_flush(const double v[], Reckoning *out)
{
    ReckonLine *line =
        line_number(out, MARK_PLAIN, "or flush with", QUANTITY_VOLUME, NULL,
                    bleach_flush_l(v[SHOCK_TARGET], v[SHOCK_VOLUME], (int)v[SHOCK_VESSELS]));
    line->up = true;
    line_note(
        line,
        "of potable water from the air side, vessels full, and what the housings hold: down to "
        "%g mg/L at the tap (CDC VSP 2018 5.3.5.2)",
        BLEACH_GUIDELINE_MG_L);
}

static void shock_compute(const double v[], Reckoning *out)
{
    const bool line = v[SHOCK_WHAT] > 0.0;
    const ShockPlan plan = shock_of(v, v[SHOCK_VOLUME], v[SHOCK_HEEL]);
    Basis vessels = basis_begin(NULL, NULL, NULL);
    (void)basis_within(&vessels, "vessels", v[SHOCK_VESSELS], 1.0, VESSELS_ABOARD_MAX);
    if (!take(out, &plan.basis) || !take(out, &vessels))
        return;
    const int rinses = shock_vessels(v, out, &plan);
    if ((out->known & FIELD(SHOCK_STRENGTH)) == 0)
        line_words(
            out, MARK_CAUTION, "strength",
            "taken as %g %%, for nobody gave it: weaker bleach leaves the walls foul, read the "
            "label",
            v[SHOCK_STRENGTH]);
    line_note(line_number(out, MARK_PLAIN, "stand for", QUANTITY_NUMBER, "h", plan.hours), "%s",
              plan.body);
    line_note(
        line_number(out, MARK_PLAIN, "at the least", QUANTITY_NUMBER, "h", plan.hours_shortest),
        "%s", plan.body_shortest);
    line_note(line_number(out, MARK_PLAIN, "fills that rinse it", QUANTITY_NUMBER, NULL, rinses),
              "of each vessel, drained between, until no more than %g mg/L is measured",
              BLEACH_GUIDELINE_MG_L);
    if (line)
        shock_flush(v, out);
    size_t count = 0;
    const char *const *steps = bleach_shock_steps(line, &count);
    line_list(out, MARK_PLAIN, "order of work", steps, count);
}

const Topic topic_shock = {.name = "shock",
                           .gist = "bleach and hours that sanitise a vessel or a line",
                           .about = ABOUT_DUE,
                           .example =
                               "--what line --vessels 3 --volume 12 --target 100 --strength 5",
                           RECKON_FIELDS(shock_fields),
                           shock_propose,
                           shock_compute};
