/* Kinds that record what was measured: test, meter. */
#include "base/whole.h"
#include "model/kinds_private.h"
#include "model/line.h"

#include <string.h>

/* ---- test ---- */

static const char *const presence_words[] = {"absent", "present", NULL};
static const char *const nitrate_words[] = {"n", "no3", NULL};
enum {
    TEST_VESSEL,
    TEST_LINE,
    TEST_SOURCE,
    TEST_CHLORINE,
    TEST_PH,
    TEST_NTU,
    TEST_TDS,
    TEST_HARDNESS,
    TEST_NITRATE,
    TEST_NITRATE_AS,
    TEST_TEMP,
    TEST_COLIFORM,
    TEST_ECOLI
};
#define TEST_OF(json, names_, column_, help_)                                                      \
    {                                                                                              \
        .name = #json, .option = #json, .help = (help_), .type = FIELD_LABEL, .names = (names_),   \
        .position = 1, .column = (column_), .offset = offsetof(Event, u.test.json)                 \
    }
#define TEST_NUMBER(json, opt, unit_, help_, column_, max_)                                        \
    {                                                                                              \
        .name = #json, .option = (opt), .unit = (unit_), .help = (help_), .type = FIELD_DECIMAL,   \
        .max = (max_), .column = (column_), .offset = offsetof(Event, u.test.json)                 \
    }
#define TEST_CHOICE(json, opt, help_, words, max_)                                                 \
    {                                                                                              \
        .name = #json, .option = (opt), .help = (help_), .type = FIELD_CHOICE, .choices = (words), \
        .max = (max_), .column = COLUMN_MORE, .offset = offsetof(Event, u.test.json)               \
    }
static const Field test_fields[] = {
    [TEST_VESSEL] = TEST_OF(vessel, NAMES_VESSEL, COLUMN_NAME, "the vessel whose water was tested"),
    [TEST_LINE] = TEST_OF(line, NAMES_LINE, COLUMN_OTHER, "the line, tested at its tap"),
    [TEST_SOURCE] = TEST_OF(source, NAMES_SOURCE, COLUMN_MORE, "the source, tested where it runs"),
    [TEST_CHLORINE] =
        TEST_NUMBER(chlorine_mg_l, "chlorine", "mg/L",
                    "free chlorine; a total reading does not count", COLUMN_N1, 1000000),
    [TEST_PH] = TEST_NUMBER(ph, "ph", NULL, "pH", COLUMN_MORE, 14000),
    [TEST_NTU] = TEST_NUMBER(ntu, "ntu", "NTU", "turbidity", COLUMN_MORE, 10000000),
    [TEST_TDS] = TEST_NUMBER(tds_mg_l, "tds", "mg/L", "dissolved solids", COLUMN_MORE, 100000000),
    [TEST_HARDNESS] =
        TEST_NUMBER(hardness_mg_l, "hardness", "mg/L", "hardness as CaCO3", COLUMN_MORE, 100000000),
    [TEST_NITRATE] =
        TEST_NUMBER(nitrate_mg_l, "nitrate", "mg/L",
                    "nitrate; say with nitrate-as what the kit reads", COLUMN_N2, 100000000),
    [TEST_NITRATE_AS] = TEST_CHOICE(nitrate_as, "nitrate-as",
                                    "what the kit reads: nitrogen (n) or the ion (no3), 4.43 times "
                                    "as much",
                                    nitrate_words, NITRATE_NO3),
    [TEST_TEMP] = {.name = "temp_c",
                   .option = "temp",
                   .unit = "C",
                   .help = "temperature of the water",
                   .type = FIELD_TEMPERATURE,
                   .min = -100000,
                   .max = 200000,
                   .column = COLUMN_MORE,
                   .offset = offsetof(Event, u.test.temp_c)},
    [TEST_COLIFORM] =
        TEST_CHOICE(coliform, "coliform", "coliforms: absent or present", presence_words, 1),
    [TEST_ECOLI] = TEST_CHOICE(ecoli, "ecoli", "E. coli: absent or present", presence_words, 1),
};

static bool test_complete(const Event *e, Fault *fault)
{
    const uint32_t of = 1u << TEST_VESSEL | 1u << TEST_LINE | 1u << TEST_SOURCE;
    const uint32_t places = e->has & of, found = e->has & ~(of | 1u << TEST_NITRATE_AS);
    if (places == 0 || (places & (places - 1)) != 0)
        return fault_set(fault, FAULT_USAGE,
                         "test: give a vessel, a line or a source, one of the three. For example: "
                         "ullage test %s",
                         kind_test.example);
    return found != 0 || fault_set(fault, FAULT_USAGE,
                                   "test: what was found is missing. For example: ullage test %s",
                                   kind_test.example);
}

static bool test_check(const State *state, const Event *e, Fault *fault)
{
    const TestEvent *t = &e->u.test;
    if (event_has(e, TEST_LINE)     ? !must_exist(state, NAMES_LINE, &t->line, fault)
        : event_has(e, TEST_SOURCE) ? !must_exist(state, NAMES_SOURCE, &t->source, fault)
                                    : !must_exist(state, NAMES_VESSEL, &t->vessel, fault))
        return false;
    if (event_has(e, TEST_VESSEL) && state->vessels[state_vessel(state, &t->vessel)].volume == 0)
        return fault_set(fault, FAULT_REFUSED,
                         "%s is empty: there is no water to test. Sound it, if it holds some.",
                         t->vessel.s);
    if (event_has(e, TEST_NITRATE) && !event_has(e, TEST_NITRATE_AS))
        return fault_set(fault, FAULT_REFUSED,
                         "Nitrate is read as nitrogen or as the ion, which is 4.43 times as much. "
                         "Say which the kit reads: --nitrate-as n, or no3.");
    return true;
}

static uint8_t marks_found(const Event *e)
{
    return (uint8_t)((event_has(e, TEST_ECOLI) && e->u.test.ecoli != 0 ? MARK_ECOLI : 0) |
                     (event_has(e, TEST_COLIFORM) && e->u.test.coliform != 0 ? MARK_COLIFORM : 0));
}

/* A reading whose unit nobody gave (it came in by import) is taken as nitrogen: the safe side. */
static int64_t nitrogen(const TestEvent *t)
{
    return t->nitrate_as == NITRATE_NO3 ? nitrate_as_n(t->nitrate_mg_l) : t->nitrate_mg_l;
}

/* MARK_NITRATE by this test; what was marked before, where it did not look for it. */
static uint8_t marks_nitrate(const Event *e, uint8_t before)
{
    if (!event_has(e, TEST_NITRATE))
        return before & MARK_NITRATE;
    return nitrogen(&e->u.test) > NITRATE_MOST ? MARK_NITRATE : 0;
}

/* All but the residual, which has a past. */
static void results_note(Result *latest, const Event *e)
{
    const TestEvent *t = &e->u.test;
    const struct {
        int field;
        ResultId id;
        int64_t value;
    } found[] = {
        {TEST_PH, RESULT_PH, t->ph},
        {TEST_NTU, RESULT_NTU, t->ntu},
        {TEST_TDS, RESULT_TDS, t->tds_mg_l},
        {TEST_HARDNESS, RESULT_HARDNESS, t->hardness_mg_l},
        {TEST_NITRATE, RESULT_NITRATE, nitrogen(t)},
        {TEST_TEMP, RESULT_TEMP, t->temp_c},
        {TEST_COLIFORM, RESULT_COLIFORM, t->coliform},
        {TEST_ECOLI, RESULT_ECOLI, t->ecoli},
    };
    for (size_t i = 0; i < sizeof found / sizeof found[0]; i++)
        if (event_has(e, found[i].field))
            latest[found[i].id] = (Result){e->at.ms, found[i].value};
}

static void vessel_found(Vessel *v, uint8_t marks)
{
    v->marks |= marks;
    if ((marks & MARK_FOUND) != 0)
        v->quality = (uint8_t)quality_worst((Quality)v->quality, CLASS_QUESTIONABLE);
}

static void test_vessel(const Event *e, Vessel *v)
{
    v->marks = (v->marks & (uint8_t)~MARK_NITRATE) | marks_nitrate(e, v->marks);
    vessel_found(v, marks_found(e));
    if (v->volume == 0)
        return;
    results_note(v->results.latest, e);
    if (!event_has(e, TEST_CHLORINE))
        return;
    results_residual(&v->results, (Result){e->at.ms, e->u.test.chlorine_mg_l},
                     (v->tested & TESTED_ALONE) != 0);
    v->tested |= TESTED_VESSEL | TESTED_ALONE;
}

/* What the tap gives has stood in every vessel of the line. */
static void test_line(State *state, const Event *e, Line *line)
{
    const uint8_t marks = marks_found(e) | marks_nitrate(e, 0);
    for (int i = 0; i < line->count; i++)
        vessel_found(&state->vessels[line->order[i]], marks);
    if ((marks & MARK_FOUND) != 0) {
        line->found |= marks & MARK_FOUND;
        line->found_at = e->at.ms;
    }
    results_note(line->results, e);
    if (!event_has(e, TEST_CHLORINE))
        return;
    line->results[RESULT_CHLORINE] = (Result){e->at.ms, e->u.test.chlorine_mg_l};
    if (line->count > 0)
        state->vessels[line->order[line->count - 1]].tested |= TESTED_TAP;
}

static void test_apply(State *state, const Event *e)
{
    const TestEvent *t = &e->u.test;
    use_seen(&state->use, e->at.ms, e->zone);
    if (event_has(e, TEST_LINE)) {
        const int line = line_or_discrepancy(state, e, &t->line);
        if (line >= 0)
            test_line(state, e, &state->lines[line]);
    } else if (event_has(e, TEST_SOURCE)) {
        const int known = state_source(state, &t->source);
        Source *source =
            source_ensure(state, &t->source, known >= 0 ? state->sources[known].used_at : e->at.ms);
        source->marks =
            (source->marks & MARK_FOUND) | marks_found(e) | marks_nitrate(e, source->marks);
        /* Domain 5: its class stays what it was; of infants' water that is no answer. */
        if (marks_nitrate(e, 0) != 0)
            source_nitrate(state, source);
        results_note(source->results, e);
        if (event_has(e, TEST_CHLORINE))
            source->results[RESULT_CHLORINE] = (Result){e->at.ms, t->chlorine_mg_l};
    } else {
        Vessel *v = vessel_or_discrepancy(state, e, &t->vessel);
        if (v != NULL)
            test_vessel(e, v);
    }
}

const Kind kind_test = {
    .id = KIND_TEST,
    .name = "test",
    .gist = "what a strip, a meter or a laboratory found",
    .example = "B1 --chlorine 0.6 --ph 7.4 --coliform absent",
    .caution = "A test speaks of one sample. Absent never makes water better than it was logged; "
               "local rules and a laboratory come first.",
    FIELDS(test_fields),
    .complete = test_complete,
    .check = test_check,
    .apply = test_apply,
};

/* ---- meter ---- */

#define METER_MAX INT64_C(100000000000) /* 100,000 m3 in mL */
enum { METER_LINE, METER_READING, METER_NEW, METER_FACTOR };
static const Field meter_fields[] = {
    [METER_LINE] = LINE_FIELD(meter.line, false),
    [METER_READING] = {.name = "reading",
                       .option = "reading",
                       .unit = "L",
                       .help = "what the meter reads, all it ever counted",
                       .type = FIELD_VOLUME,
                       .required = true,
                       .position = 2,
                       .max = METER_MAX,
                       .column = COLUMN_N1,
                       .offset = offsetof(Event, u.meter.reading)},
    [METER_NEW] = {.name = "new",
                   .option = "new",
                   .help = "another meter, or one that was turned on: counted from here",
                   .type = FIELD_FLAG,
                   .max = 1,
                   .column = COLUMN_CODE,
                   .offset = offsetof(Event, u.meter.fresh)},
    [METER_FACTOR] = {.name = "factor",
                      .option = "factor",
                      .help = "from here on: true litres for each that it counts (reckon meter)",
                      .type = FIELD_DECIMAL,
                      .min = 500,
                      .max = 2000,
                      .column = COLUMN_N2,
                      .offset = offsetof(Event, u.meter.factor)},
};

/* A first reading, one of another meter, or one below the last: nothing is known to have passed. */
static bool meter_starts(const Line *line, const MeterEvent *m)
{
    return line->meter_at == MOMENT_NONE_MS || m->fresh != 0 || m->reading < line->meter_ml;
}

/* What passed since the reading before, as the meter is calibrated. */
static int64_t meter_passed(const Line *line, const MeterEvent *m)
{
    const int64_t counted = m->reading - line->meter_ml;
    if (line->meter_factor == 0)
        return counted;
    return counted / 1000 * line->meter_factor + counted % 1000 * line->meter_factor / 1000;
}

/* What the meter counted beyond what is known to have left by the tap, logged or found missing. */
static int64_t meter_excess(const Line *line, const MeterEvent *m)
{
    return meter_passed(line, m) - (line->drawn - line->meter_drawn);
}

static bool meter_check(const State *state, const Event *e, Fault *fault)
{
    char a[40], b[40];
    const MeterEvent *m = &e->u.meter;
    if (!must_exist(state, NAMES_LINE, &m->line, fault))
        return false;
    const Line *line = &state->lines[state_line(state, &m->line)];
    const int64_t usable = line_usable(state, line);
    if (meter_starts(line, m) || meter_excess(line, m) <= usable)
        return true;
    return fault_set(fault, FAULT_REFUSED,
                     "The meter counted %s more than is logged, and %s could give only %s. Log the "
                     "fill that is missing, or sound its vessels; another meter is logged with "
                     "--new.",
                     litres(meter_excess(line, m), a), line->label.s, litres(usable, b));
}

/* Takes ml off the line as use that nobody logged, lead first; returns what it could not give. */
static int64_t meter_unlogged(State *state, int index, int64_t ml)
{
    const Line *line = &state->lines[index];
    int k;
    while (ml > 0 && (k = line_lead(state, line)) >= 0) {
        Vessel *lead = &state->vessels[line->order[k]];
        const int64_t usable = vessel_usable(lead), part = int64_smaller(ml, usable);
        line_leave(state, index, k, part);
        lead->unlogged += part;
        state->totals.unlogged += part;
        ml -= part;
    }
    return ml;
}

/* So much may pass a meter with nobody aboard: a drip, a hose that was filled (common practice, no
 * source). */
#define METER_LEAK_ML 500

static void meter_counts(State *state, const Event *e, int index)
{
    Line *line = &state->lines[index];
    const MeterEvent *m = &e->u.meter;
    const int64_t fewer = line->meter_logged - meter_passed(line, m);
    const int64_t excess = int64_larger(meter_excess(line, m), 0);
    const int64_t lacking = meter_unlogged(state, index, excess);
    if (fewer * 100 > line->meter_logged * METER_ERROR_PER_CENT)
        state_discrepancy(state, e, DISCREPANCY_METER_FEWER, &line->label, fewer);
    line_lacked(state, index, 0, lacking);
    if (lacking > 0)
        state_discrepancy(state, e, DISCREPANCY_DRAW_BEYOND, &line->label, lacking);
    const bool away =
        line->meter_at < e->at.ms && !use_aboard(&state->use, line->meter_at, e->at.ms);
    const bool explained =
        away ? excess <= METER_LEAK_ML
             : use_missing(&state->use, line->meter_at, e->at.ms, e->zone, excess, METER_LEAK_ML);
    if (!explained)
        state_discrepancy(state, e, DISCREPANCY_LEAK, &line->label, excess);
    if (lacking > 0)
        return;
    line_known(line, e->at.ms);
    for (int i = 0; i < line->count; i++)
        state->vessels[line->order[i]].known_at = e->at.ms;
}

/* From here on the meter is checked anew. A vessel whose level was known a moment ago is measured
 * from here on; of another one nobody knows what left it before. */
static void meter_check_anew(State *state, const Event *e, Line *line)
{
    line->checked = line->check_found = line->check_variance = 0;
    for (int i = 0; i < line->count; i++) {
        Vessel *v = &state->vessels[line->order[i]];
        v->metered = v->known_at >= e->at.ms - METER_TOGETHER_MS ? 0 : -1;
    }
}

/* Water that runs on and on, and in each quarter of an hour: told once for each run. */
static void meter_runs(State *state, const Event *e, Line *line)
{
    const int64_t passed = meter_passed(line, &e->u.meter), before = e->at.ms - line->meter_at;
    const int64_t limit = METER_RUN_MINUTES * MS_PER_MINUTE;
    const int64_t quarter = e->at.ms / METER_QUARTER_MS;
    if (passed <= 0) {
        line->run_at = line->run_ml = 0;
        return;
    }
    if (line->run_at == 0 || before > METER_RUN_GAP_MS) {
        line->run_at = e->at.ms - int64_smaller(before, MS_PER_MINUTE);
        line->run_ml = 0;
    }
    line->run_ml += passed;
    if (e->at.ms - line->run_at > limit && line->meter_at - line->run_at <= limit)
        state_discrepancy(state, e, DISCREPANCY_RUN_LONG, &line->label, line->run_ml);
    if (quarter > line->drip_last + 1) {
        line->drip_first = quarter;
        line->drip_ml = 0;
    }
    line->drip_ml += passed;
    if (quarter > line->drip_last && quarter == line->drip_first + METER_DRIP_QUARTERS - 1)
        state_discrepancy(state, e, DISCREPANCY_RUN_DRIP, &line->label, line->drip_ml);
    line->drip_last = quarter;
}

static void meter_apply(State *state, const Event *e)
{
    const int index = line_or_discrepancy(state, e, &e->u.meter.line);
    if (index >= 0) {
        Line *line = &state->lines[index];
        const bool starts = meter_starts(line, &e->u.meter);
        if (!starts) {
            meter_runs(state, e, line);
            meter_counts(state, e, index);
        }
        if (e->u.meter.factor != 0)
            line->meter_factor = e->u.meter.factor;
        if (starts || e->u.meter.factor != 0)
            meter_check_anew(state, e, line);
        line->meter_at = e->at.ms;
        line->meter_ml = e->u.meter.reading;
        line->meter_drawn = line->drawn;
        line->meter_logged = 0;
    }
    use_witness(&state->use, e->at.ms, e->zone);
}

const Kind kind_meter = {
    .id = KIND_METER,
    .name = "meter",
    .gist = "a reading of the water meter on a line: what nobody logged is booked",
    .example = "galley 1234.5",
    FIELDS(meter_fields),
    .check = meter_check,
    .apply = meter_apply,
};
