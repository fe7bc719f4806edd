/* water.c - topics that make water fit to drink: chlorine, boil, filter, shock, uv. */
#include "model/treatment.h"
#include "reckon/bleach.h"
#include "reckon/disinfection.h"
#include "reckon/ultraviolet.h"
#include "topics/reckoner_private.h"

#include <stdio.h>
#include <string.h>

static const char *const no_yes[] = {"no", "yes", NULL};

/* WHO household dose: 2 mg/L below 10 NTU, 4 from there to 100 (man/ullage.7, reproduced). Below 5
 * NTU treatment holds, below 1 the lamp's plate does: Ohio Department of Health, see ultraviolet.h.
 * The sheets give cloudy and very cold no number: from 5 NTU on, and below 10 C, where the CT
 * tables ask half as much again as at 15, doubling is the safe reading (common practice, no
 * source). */
enum { NTU_DOUBLE_DOSE = 10, NTU_LAST = 100, NTU_LIMIT = 5, COLD_C = 10 };

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
    if (said == CLOUDY_YES || ntu >= NTU_LIMIT)
        return CLEAR_NOT;
    return said == CLOUDY_NO || ntu < NTU_LIMIT ? CLEAR_KNOWN : CLEAR_UNKNOWN;
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

/* What the dose comes to; of unknown strength, from the weakest to the strongest that the EPA's
 * sheets print for the home. Far above what may be drunk only where the strength was read as a
 * weaker one. */
static void chlorine_put_in(const double v[], Reckoning *out, const EmergencyDose *sheet)
{
    const double strength = value_known(out, CHLORINE_STRENGTH);
    const double mg_per_percent = sheet->ml * 10.0 / v[CHLORINE_VOLUME];
    const bool strong = isnan(strength) || sheet->read_percent < strength;
    ReckonLine *line = isnan(strength)
                           ? line_range(out, MARK_CAUTION, "it puts in", QUANTITY_NUMBER, "mg/L",
                                        mg_per_percent, 8.25 * mg_per_percent)
                           : line_number(out, strong ? MARK_CAUTION : MARK_PLAIN, "it puts in",
                                         QUANTITY_NUMBER, "mg/L", sheet->mg_l);
    line_note(line, "at the most; dirt takes some up. %s 0.5 to %g mg/L after 30 minutes",
              strong ? "Drink it only when a meter reads" : "A meter should read",
              BLEACH_GUIDELINE_MG_L);
}

/* The one dose to use: what the public bodies print. */
static bool chlorine_use(const double v[], Reckoning *out)
{
    char why[160], ml[QUANTITY_TEXT], spoons[QUANTITY_TEXT];
    if (v[CHLORINE_NTU] > NTU_LAST) {
        line_words(out, MARK_REFUSED, "use",
                   "no published dose covers more than %d NTU: let it settle, filter it, then ask "
                   "again",
                   NTU_LAST);
        return false;
    }
    const bool doubled = *doubled_why(out, why, sizeof why) != '\0';
    const double strength = value_known(out, CHLORINE_STRENGTH);
    const EmergencyDose sheet =
        bleach_emergency(v[CHLORINE_VOLUME], isnan(strength) ? 0.0 : strength, doubled);
    if (!take(out, &sheet.basis))
        return false;
    ReckonLine *line =
        line_number(out, MARK_PLAIN, "use", QUANTITY_NUMBER, "drops", ceil(sheet.drops - 1e-9));
    line->up = true;
    line_note(line, "or %s%s%s, of bleach", told_up(out, QUANTITY_DOSE, sheet.ml, ml),
              sheet.ml >= BLEACH_TEASPOON_ML ? ", " : "",
              sheet.ml >= BLEACH_TEASPOON_ML ? measure_words(sheet.ml, spoons) : "");
    if (doubled)
        line_words(out, MARK_CAUTION, "doubled", "%s; %.0f drops otherwise", why,
                   ceil(sheet.drops / 2.0 - 1e-9));
    if (isnan(strength))
        line_words(
            out, MARK_CAUTION, "strength",
            "not given: five times the drops of ordinary bleach; read the label (--strength)");
    else if (sheet.read_percent < strength)
        line_words(out, MARK_PLAIN, "strength",
                   "no sheet prints %g %%: read as %g %%, the next weaker", strength,
                   sheet.read_percent);
    line_note(line_number(out, MARK_PLAIN, "then wait", QUANTITY_MINUTES, NULL, sheet.wait_minutes),
              "and 15 more after a second dose where no smell of chlorine is left");
    if (sheet.drops_least < sheet.drops)
        line_words(out, MARK_PLAIN, "who says so", "%s; at the least %.0f drops by %s",
                   sheet.document, ceil(sheet.drops_least - 1e-9), sheet.document_least);
    else
        line_words(out, MARK_PLAIN, "who says so", "%s", sheet.document);
    chlorine_put_in(v, out, &sheet);
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
                   ntu < ULTRAVIOLET_CLEAR_NTU ? MARK_FINE
                   : ntu < NTU_LIMIT           ? MARK_CAUTION
                                               : MARK_REFUSED,
                   "before lamp, chlorine", "%s",
                   ntu < ULTRAVIOLET_CLEAR_NTU ? "clear enough"
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
    line_note(line_range(out, judged(out, decides, dose.class_a, MARK_CAUTION), "dose",
                         QUANTITY_NUMBER, "mJ/cm2", dose.dose_mj_cm2, dose.dose_high_mj_cm2),
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
