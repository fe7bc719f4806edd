/* load.c - what the water weighs, and how much of it is needed: mass, need. */
#include "reckon/load.h"
#include "topics/reckoner_private.h"

/* ---- mass ---- */

enum { MASS_VOLUME, MASS_TEMP, MASS_TARE, MASS_SCALE, MASS_APART };
static const ReckonField mass_fields[] = {
    [MASS_VOLUME] = {.option = "volume",
                     .param = "volume_l",
                     .quantity = QUANTITY_VOLUME,
                     .help = "of water",
                     .usual = 10.0},
    [MASS_TEMP] = {.option = "temp",
                   .param = "temperature_c",
                   .quantity = QUANTITY_TEMPERATURE,
                   .help = "of the water",
                   .usual = 15.0},
    [MASS_TARE] = {.option = "tare",
                   .param = "tare_kg",
                   .quantity = QUANTITY_MASS,
                   .help = "of the empty vessels",
                   .usual = 0.0},
    [MASS_SCALE] = {.option = "scale",
                    .param = "gross_kg",
                    .quantity = QUANTITY_MASS,
                    .help = "what a scale shows, vessel and all: how much water is that?",
                    .usual = NAN},
    [MASS_APART] = {.option = "apart",
                    .param = "apart_m",
                    .quantity = QUANTITY_LENGTH,
                    .help = "from one vessel of the line to the next, middle to middle",
                    .usual = NAN},
};

static void mass_propose(const ReckonSite *site, ReckonInput in[])
{
    const Vessel *only = site_vessel(site);
    double volume = 0.0, tare = 0.0;
    int count = 0, weighed = 0;
    for (int i = 0; i < site->state->vessel_count; i++) {
        const Vessel *v = &site->state->vessels[i];
        if (only != NULL ? v != only
                         : !vessel_aboard(v) || (site->line >= 0 && v->line != site->line))
            continue;
        count++;
        volume += (double)v->volume / 1000.0;
        if (v->tare_g >= 0) {
            tare += (double)v->tare_g / 1000.0;
            weighed++;
        }
    }
    if (count == 0)
        return;
    if (only != NULL) {
        propose_value(&in[MASS_VOLUME], volume, "%s holds it", only->label.s);
        if (weighed > 0)
            propose_value(&in[MASS_TARE], tare, "tare of %s", only->label.s);
        return;
    }
    propose_value(&in[MASS_VOLUME], volume, "%d vessels hold it", count);
    propose_value(&in[MASS_TARE], tare, "of %d vessels; %d without a tare", weighed,
                  count - weighed);
}

/* ---- where it sits, as the lead empties ---- */

static void row_weigh(const State *state, const Line *line, const double water_l[], double temp_c,
                      double kg[])
{
    for (int i = 0; i < line->count; i++) {
        const Vessel *v = &state->vessels[line->order[i]];
        kg[i] = load_mass(water_l[i], temp_c, v->tare_g >= 0 ? (double)v->tare_g / 1000.0 : 0.0)
                    .gross_kg;
    }
}

/* "A1 spent: A1 3.3 kg, A2 15.1 kg, 18.4 kg in all, its middle 0.33 m from A1" */
static void row_tell(const Line *line, const double kg[], double apart_m, const char *spent,
                     Reckoning *out)
{
    const State *state = out->site->state;
    const LoadCentre centre = load_centre(kg, line->count, isnan(apart_m) ? 0.0 : apart_m);
    char buf[QUANTITY_TEXT];
    Str words = {0};
    if (!centre.basis.ok) /* nothing weighs anything */
        return;
    take_notes(out, &centre.basis);
    str_addf(&words, "%s%s:", spent != NULL ? spent : "now", spent != NULL ? " spent" : "");
    for (int i = 0; i < line->count; i++)
        str_addf(&words, " %s %s,", state->vessels[line->order[i]].label.s,
                 told(out, QUANTITY_MASS, kg[i], buf));
    str_addf(&words, " %s in all", told(out, QUANTITY_MASS, centre.total_kg, buf));
    if (!isnan(apart_m))
        str_addf(&words, ", its middle %s from %s",
                 told(out, QUANTITY_LENGTH, centre.middle_m, buf),
                 state->vessels[line->order[0]].label.s);
    line_words(out, MARK_PLAIN, spent == NULL ? "on the line" : "", "%s", words.s);
    str_finish(&words);
}

/* Now, and each time that another vessel is spent: water goes from the air side on, so what is
 * left moves towards the tap. */
static void row_empties(const Line *line, const double v[], Reckoning *out)
{
    const State *state = out->site->state;
    double water_l[VESSELS_ABOARD_MAX] = {0}, kg[VESSELS_ABOARD_MAX] = {0};
    for (int i = 0; i < line->count; i++) {
        water_l[i] = (double)state->vessels[line->order[i]].volume / 1000.0;
        if (state->vessels[line->order[i]].tare_g < 0)
            add_limit(out, "of a vessel without a tare the water alone is counted");
    }
    row_weigh(state, line, water_l, v[MASS_TEMP], kg);
    row_tell(line, kg, v[MASS_APART], NULL, out);
    for (int i = 0; i < line->count; i++) {
        const Vessel *spent = &state->vessels[line->order[i]];
        if (spent->volume <= spent->heel)
            continue;
        water_l[i] = (double)spent->heel / 1000.0;
        row_weigh(state, line, water_l, v[MASS_TEMP], kg);
        row_tell(line, kg, v[MASS_APART], spent->label.s, out);
    }
}

/* The line that is meant, or the first; NULL where one vessel is, or none is coupled. */
static const Line *row_meant(const ReckonSite *site)
{
    if (site->vessel >= 0)
        return NULL;
    for (int i = 0; i < site->state->line_count; i++)
        if (site->state->lines[i].count > 0 && (site->line < 0 || site->line == i))
            return &site->state->lines[i];
    return NULL;
}

static void mass_compute(const double v[], Reckoning *out)
{
    const LoadMass mass = load_mass(v[MASS_VOLUME], v[MASS_TEMP], v[MASS_TARE]);
    if (!take(out, &mass.basis))
        return;
    line_number(out, MARK_PLAIN, "water", QUANTITY_MASS, NULL, mass.water_kg);
    line_number(out, MARK_PLAIN, "with the vessels", QUANTITY_MASS, NULL, mass.gross_kg);
    const Line *row = row_meant(out->site);
    Basis apart = basis_begin(NULL, NULL, NULL);
    if (!isnan(v[MASS_APART]) && !basis_within(&apart, "apart_m", v[MASS_APART], 0.0, 100.0))
        (void)take(out, &apart);
    else if (row != NULL)
        row_empties(row, v, out);
    if (isnan(v[MASS_SCALE]))
        return;
    const LoadVolume volume = load_volume(v[MASS_SCALE], v[MASS_TEMP], v[MASS_TARE]);
    if (take(out, &volume.basis))
        line_number(out, MARK_PLAIN, "behind the scale", QUANTITY_VOLUME, NULL, volume.volume_l);
}

const Topic topic_mass = {
    .name = "mass",
    .gist = "what the water aboard weighs, where it sits, or how much a scale means",
    .about = ABOUT_ALL,
    .example = "--tare 3.1kg --scale 9.1kg",
    RECKON_FIELDS(mass_fields),
    mass_propose,
    mass_compute};

/* ---- need ---- */

enum {
    NEED_LEVEL,
    NEED_PERSONS,
    NEED_DAYS,
    NEED_WBGT,
    NEED_WORK,
    NEED_HOURS,
    NEED_HAVE,
    NEED_RATE
};
static const char *const level_words[] = {"survival", "store", "basic", "minimum", "comfort", NULL};
static const char *const work_words[] = {"rest", "easy", "moderate", "hard", NULL};
static const ReckonField need_fields[] = {
    [NEED_LEVEL] = {.option = "level",
                    .param = "",
                    .quantity = QUANTITY_CHOICE,
                    .help = "how sparingly",
                    .usual = NEED_BASIC,
                    .choices = level_words},
    [NEED_PERSONS] = {.option = "persons",
                      .param = "persons",
                      .quantity = QUANTITY_NUMBER,
                      .help = "aboard",
                      .usual = 2.0},
    [NEED_DAYS] = {.option = "days",
                   .param = "days",
                   .quantity = QUANTITY_NUMBER,
                   .unit = "days",
                   .help = "that it is to last",
                   .usual = 7.0},
    [NEED_WBGT] = {.option = "wbgt",
                   .param = "wbgt_c",
                   .quantity = QUANTITY_TEMPERATURE,
                   .help = "wet bulb globe temperature; heat counts from 25.6 C (78 F) on",
                   .usual = 20.0},
    [NEED_WORK] = {.option = "work",
                   .param = "",
                   .quantity = QUANTITY_CHOICE,
                   .help = "how hard in that heat",
                   .choices = work_words},
    [NEED_HOURS] = {.option = "hours",
                    .param = "work_hours",
                    .quantity = QUANTITY_HOURS,
                    .help = "of that work a day",
                    .usual = 0.0},
    [NEED_HAVE] = {.option = "have",
                   .param = "have_l",
                   .quantity = QUANTITY_VOLUME,
                   .help = "potable water that can be reached",
                   .usual = NAN},
    [NEED_RATE] = {.option = "rate",
                   .param = "rate_l",
                   .quantity = QUANTITY_VOLUME,
                   .help = "used a person a day, as the log taught it",
                   .usual = NAN},
};

static void need_propose(const ReckonSite *site, ReckonInput in[])
{
    const Board *board = site->board;
    if (board->crew > 0)
        propose_value(&in[NEED_PERSONS], board->crew, "crew");
    if (board->vessel_count > 0)
        propose_value(&in[NEED_HAVE], (double)board->supply.by_class[CLASS_POTABLE] / 1000.0,
                      "potable aboard, above the heels");
    if (board->use_known && board->use_prior < 1.0)
        propose_value(&in[NEED_RATE], board->logged_per_person_day + board->unlogged_per_person_day,
                      "learnt from the log");
    for (int i = 0; i < board->stop_count; i++) {
        const double days = (double)(board->stops[i].eta.ms - board->now.ms) / (double)MS_PER_DAY;
        if (days < 0.01)
            continue;
        propose_value(&in[NEED_DAYS], ceil(days * 10.0) / 10.0, "to %s", board->stops[i].label.s);
        return;
    }
}

static void need_have(const double v[], const LoadNeed *need, Reckoning *out)
{
    Basis basis = basis_begin(NULL, NULL, NULL);
    if (!basis_within(&basis, "have_l", v[NEED_HAVE], 0.0, 1.0e6)) {
        (void)take(out, &basis);
        return;
    }
    const double low = v[NEED_HAVE] / (need->high * v[NEED_PERSONS]);
    const double high = v[NEED_HAVE] / (need->low * v[NEED_PERSONS]);
    const bool enough = low >= v[NEED_DAYS];
    const ReckonMark mark = judged(out,
                                   FIELD(NEED_LEVEL) | FIELD(NEED_PERSONS) | FIELD(NEED_DAYS) |
                                       FIELD(NEED_HAVE) | FIELD(NEED_WBGT),
                                   enough, MARK_CAUTION);
    line_note(line_to(line_number(out, mark, "what there is lasts", QUANTITY_NUMBER, "days",
                                  floor(low * 10.0) / 10.0),
                      floor(high * 10.0) / 10.0),
              enough                 ? "long enough"
              : high >= v[NEED_DAYS] ? "long enough at the lower end only"
                                     : "not long enough");
}

static void need_heat(const LoadNeed *need, Reckoning *out)
{
    char more[QUANTITY_TEXT];
    if (need->heat_category > 0) {
        char hourly[QUANTITY_TEXT], quarter[QUANTITY_TEXT];
        ReckonLine *line =
            line_number(out, MARK_CAUTION, "of it for heat", QUANTITY_VOLUME, NULL, need->heat_l);
        line->up = true;
        line_note(line, "heat category %d of 5; the highest of three tables: %s",
                  need->heat_category, need->heat_source);
        line_words(out, MARK_CAUTION, "drink in that heat",
                   "about %s an hour, %s more or less by person and sun; never more than 1.42 L "
                   "(1 1/2 US qt) an hour and 11.36 L (12 US qt) a day (US Army TB MED 507)",
                   told(out, QUANTITY_VOLUME, need->drink_l_h, hourly),
                   told(out, QUANTITY_VOLUME, LOAD_QUART_L / 4.0, quarter));
    }
    if ((out->known & FIELD(NEED_WBGT)) == 0)
        line_words(out, MARK_PLAIN, "heat",
                   "not counted, for nobody gave --wbgt: from 25.6 C (78 F) on at least %s more a "
                   "person a day",
                   told_up(out, QUANTITY_VOLUME, LOAD_HOT_DAY_L, more));
}

/* Against what the log says is used. */
static void need_rate(const double v[], const LoadNeed *need, Reckoning *out)
{
    Basis basis = basis_begin(NULL, NULL, NULL);
    (void)basis_within(&basis, "rate_l", v[NEED_RATE], 0.0, 10000.0);
    if (take(out, &basis))
        line_note(line_number(out,
                              judged(out, FIELD(NEED_LEVEL) | FIELD(NEED_RATE),
                                     v[NEED_RATE] >= need->low, MARK_CAUTION),
                              "used by the log", QUANTITY_VOLUME, NULL, v[NEED_RATE]),
                  v[NEED_RATE] < need->low    ? "a person a day, less than this level"
                  : v[NEED_RATE] > need->high ? "a person a day, more than this level"
                                              : "a person a day, as this level");
}

static void need_compute(const double v[], Reckoning *out)
{
    const NeedLevel level = (NeedLevel)choice_of(v[NEED_LEVEL], NEED_COUNT);
    const Work work = (Work)choice_of(v[NEED_WORK], WORK_HARD + 1);
    const LoadNeed need =
        load_need(level, v[NEED_PERSONS], v[NEED_DAYS], v[NEED_WBGT], work, v[NEED_HOURS]);
    if (!take(out, &need.basis))
        return;
    line_note(
        line_to(line_number(out, MARK_PLAIN, "a person a day", QUANTITY_VOLUME, NULL, need.low),
                need.high),
        "%s", load_need_row(level)->source);
    need_heat(&need, out);
    line_to(line_number(out, MARK_PLAIN, "in all", QUANTITY_VOLUME, NULL, need.total_low),
            need.total_high);
    if (!isnan(v[NEED_HAVE]))
        need_have(v, &need, out);
    if (!isnan(v[NEED_RATE]))
        need_rate(v, &need, out);
}

const Topic topic_need = {.name = "need",
                          .gist = "how much water people need, by published minimums",
                          .about = ABOUT_NOTHING,
                          .example = "--level basic --persons 2 --days 5",
                          RECKON_FIELDS(need_fields),
                          need_propose,
                          need_compute};
