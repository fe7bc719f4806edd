/* Kinds that record what was measured: test. */
#include "model/kinds_private.h"

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
    .payload_size = sizeof(TestEvent),
    .complete = test_complete,
    .check = test_check,
    .apply = test_apply,
};
