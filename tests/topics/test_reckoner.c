/* The topics: each computes with what it proposes, in every system of units, and refuses in
 * sentences; the figures are those of the reckoners below. */
#include "topics/reckoner.h"

#include "reckon/bleach.h"
#include "reckon/freeze.h"

#include "support/board_book.h"
#include "support/nasty.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* A camper: two vessels with a rating on a line with stages, one of questionable water, a crew. */
static Logbook *camper(void)
{
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --heel 0.2 --tare 3.1 --rated 410kPa --class potable "
                   "--level 4");
    book_say(book, "vessel A2 --capacity 12 --heel 0.2 --tare 3.2 --rated 350kPa --class potable "
                   "--level 11");
    book_say(book, "vessel B1 --capacity 10 --duty store --class questionable --level 8");
    book_say(book, "vessel W1 --capacity 20 --duty wash --class non-potable --level 6");
    book_say(book, "couple galley A1 A2");
    book_say(book, "stage sediment --type sediment --line galley --position 1 --life-litres 4000");
    book_say(book,
             "stage lamp --type uv --line galley --position 2 --life-hours 9000 --lamp always "
             "--rated-lpm 3");
    book_say(book, "pressurise galley --kpa 276");
    book_say(book, "flowtest galley 1 --seconds 15");
    book_say(book, "crew 3");
    book_say(book, "stop \"Holm tap\" --eta 2026-06-05T08:00Z");
    book_pass(book, 1);
    book_say(book, "flowtest galley 1 --seconds 20");
    return book;
}

typedef struct {
    Logbook *book;
    Board *board;
    ReckonSite site, settled;
    ReckonInput inputs[RECKON_FIELDS_MAX];
    Reckoning result;
} Bench;

static void bench_site(Bench *b, Logbook *book)
{
    b->book = book;
    b->board = board_of(book, NULL);
    b->site = (ReckonSite){.state = &book->state, .board = b->board, .vessel = -1, .line = -1};
}

static void bench_end(Bench *b)
{
    free(b->board);
    book_close(b->book);
}

static const Topic *topic(const char *name)
{
    const Topic *t = topic_named(text_of(name));
    if (t == NULL)
        fail_msg("no topic %s", name);
    return t;
}

static void bench_propose(Bench *b, const Topic *t)
{
    b->settled = b->site;
    site_settle(t, &b->settled);
    reckon_propose(t, &b->settled, b->inputs);
}

static int topic_field(const Topic *topic, const char *option)
{
    for (int i = 0; i < topic->field_count; i++)
        if (strcmp(option, topic->fields[i].option) == 0)
            return i;
    return -1;
}

static void set(Bench *b, const Topic *t, const char *option, const char *text, Units units)
{
    Fault fault = {0};
    const int field = topic_field(t, option);
    assert_true(field >= 0);
    if (!reckon_read(&t->fields[field], text_of(text), units, &b->inputs[field], &fault))
        fail_msg("%s %s %s: %s", t->name, option, text, fault.text);
}

/* Option and text in turn, NULL at the end. */
static void reckon(Bench *b, const char *name, ...)
{
    const Topic *t = topic(name);
    va_list pairs;
    bench_propose(b, t);
    va_start(pairs, name);
    for (const char *option; (option = va_arg(pairs, const char *)) != NULL;)
        set(b, t, option, va_arg(pairs, const char *), UNITS_METRIC);
    va_end(pairs);
    reckon_compute(t, &b->settled, b->inputs, UNITS_METRIC, &b->result);
}

static const ReckonLine *line(const Bench *b, const char *label)
{
    for (int i = 0; i < b->result.count; i++)
        if (strcmp(b->result.lines[i].label, label) == 0)
            return &b->result.lines[i];
    fail_msg("no line %s", label);
    return NULL;
}

static bool has_line(const Bench *b, const char *label)
{
    for (int i = 0; i < b->result.count; i++)
        if (strcmp(b->result.lines[i].label, label) == 0)
            return true;
    return false;
}

static double value(const Bench *b, const char *label)
{
    if (b->result.refused)
        fail_msg("refused: %s", b->result.refusal.field);
    return line(b, label)->value;
}

static const char *refusal(Bench *b, const Topic *t, Units units, Str *out)
{
    assert_true(b->result.refused);
    str_clear(out);
    reckon_refusal(t, &b->result, units, NULL, out);
    return out->s;
}

/* No figure that is none, in any text that is shown. */
static void assert_tellable(const Topic *t, const Reckoning *r)
{
    static const char *const none[] = {"nan",  "NAN",      "inf ", "inf,", "inf)",
                                       "-inf", "Infinity", " -0 ", " -0,"};
    Str text = {0};
    for (int i = 0; i < r->count; i++) {
        assert_true(isfinite(r->lines[i].value));
        for (int units = 0; units < 3; units++) {
            str_clear(&text);
            str_adds(&text, " ");
            reckon_line_tell(&r->lines[i], (Units)units, &text);
            for (size_t k = 0; k < sizeof none / sizeof none[0]; k++)
                if (strstr(text.s, none[k]) != NULL)
                    fail_msg("%s, %s: %s", t->name, r->lines[i].label, text.s);
        }
    }
    str_finish(&text);
}

static void every_topic_computes_with_what_it_proposes(void **unused)
{
    (void)unused;
    for (int full = 0; full < 2; full++) {
        Bench b;
        zone_set("UTC0");
        bench_site(&b, full ? camper() : book_open());
        int count = 0;
        const Topic *const *all = topics_all(&count);
        assert_int_equal(count, 20);
        for (int i = 0; i < count; i++) {
            bench_propose(&b, all[i]);
            reckon_compute(all[i], &b.settled, b.inputs, UNITS_METRIC, &b.result);
            if (b.result.refused)
                fail_msg("%s refuses its own %s", all[i]->name, b.result.refusal.field);
            assert_true(b.result.count > 0);
            assert_true(b.result.source_count > 0);
            assert_true(b.result.limit_count > 0);
            assert_true(b.result.caution_count > 0);
            assert_tellable(all[i], &b.result);
            for (int f = 0; f < all[i]->field_count; f++) /* each proposal says where it is from */
                assert_true(isnan(b.inputs[f].value) || b.inputs[f].why[0] != '\0');
        }
        bench_end(&b);
    }
}

static void the_table_is_sound(void **unused)
{
    (void)unused;
    int count = 0;
    const Topic *const *all = topics_all(&count);
    for (int i = 0; i < count; i++) {
        const Topic *t = all[i];
        assert_true(t->field_count <= RECKON_FIELDS_MAX);
        assert_ptr_equal(topic_named(text_of(t->name)), t);
        for (int k = 0; k < i; k++)
            assert_string_not_equal(t->name, all[k]->name);
        for (int f = 0; f < t->field_count; f++) {
            assert_non_null(t->fields[f].option);
            assert_non_null(t->fields[f].help);
            assert_non_null(t->fields[f].param);
            assert_int_equal(topic_field(t, t->fields[f].option), f);
            assert_true((t->fields[f].quantity == QUANTITY_CHOICE) ==
                        (t->fields[f].choices != NULL));
        }
    }
    assert_ptr_equal(topic_nearest(text_of("chlorin")), topic("chlorine"));
    assert_null(topic_nearest(text_of("quartz")));
    assert_null(topic_named(text_of("")));
}

static void values_go_through_every_system_of_units_and_come_back(void **unused)
{
    (void)unused;
    Bench b;
    bench_site(&b, camper());
    int count = 0;
    const Topic *const *all = topics_all(&count);
    Reckoning *same = calloc(1, sizeof *same);
    for (int i = 0; i < count; i++)
        for (int units = 0; units < 3; units++) {
            const Topic *t = all[i];
            bench_propose(&b, t);
            reckon_compute(t, &b.settled, b.inputs, UNITS_METRIC, &b.result);
            for (int f = 0; f < t->field_count; f++) {
                char text[QUANTITY_TEXT];
                Fault fault = {0};
                const double was = b.inputs[f].value;
                const bool known = b.inputs[f].known;
                reckon_text(&t->fields[f], was, (Units)units, 1e-9, text);
                if (!reckon_read(&t->fields[f], text_of(text), (Units)units, &b.inputs[f], &fault))
                    fail_msg("%s %s: %s", t->name, text, fault.text);
                b.inputs[f].known = known;
                if (isnan(was))
                    assert_true(isnan(b.inputs[f].value));
                else
                    assert_near(b.inputs[f].value, was, 1e-7 * fmax(fabs(was), 1));
            }
            /* a rating must not be passed by the rounding of a figure: none may be refused */
            reckon_compute(t, &b.settled, b.inputs, UNITS_METRIC, same);
            assert_false(same->refused);
            assert_int_equal(same->count, b.result.count);
            for (int l = 0; l < same->count; l++)
                assert_near(same->lines[l].value, b.result.lines[l].value,
                            1e-5 * fmax(fabs(b.result.lines[l].value), 1));
        }
    free(same);
    bench_end(&b);
}

/* What the table puts in and takes out, against published values. */
static void the_figures_are_those_of_the_publications(void **unused)
{
    (void)unused;
    Bench b;
    zone_set("UTC0");
    bench_site(&b, book_open());
    /* arithmetic of US EPA 816-F-15-003: 1 % = 10 g/L; 10 L at 2 mg/L of fresh 5 % are 0.4 mL */
    reckon(&b, "chlorine", "age", "0", "strength", "5", "residual", "1", "minutes", "60", "temp",
           "10", "ph", "7.5", "ntu", "0.5", NULL);
    assert_near(value(&b, "only with a meter"), 0.4, 1e-9);
    /* US EPA 815-R-20-003 (2020), Table B-1: CT 134 at 10 C, pH 7.5, 1 mg/L: no fewer minutes */
    assert_true(value(&b, "Giardia, 3 log") >= 134);
    assert_near(value(&b, "Giardia, 3 log"), 134, 8); /* the formula's own, where it asks more */
    /* SWTR Guidance Manual (1991), Table E-7: 6 mg min/L at 10 C for 4 log */
    assert_near(value(&b, "viruses, 4 log"), 6, 0);
    /* 40 CFR 141.534: 3 x 60/134 logs at the most, told in hundredths, never more */
    assert_true(value(&b, "Giardia credit") <= 3 * 60 / 134.0);
    assert_near(value(&b, "Giardia credit"), 3 * 60 / 134.0, 0.08);
    assert_near(value(&b, "virus credit"), 4, 0);
    assert_int_equal(line(&b, "WHO criterion")->mark, MARK_FINE);
    /* US EPA 816-F-15-003: 3 minutes above 5,000 ft; boiling point at 2,000 m 93.3 C (IAPWS R7-97
     * at the standard atmosphere's 79.5 kPa) */
    reckon(&b, "boil", "altitude", "2000", NULL);
    assert_near(value(&b, "rolling boil"), 3, 0);
    assert_near(value(&b, "boils at"), 93.3, 0.05);
    /* not known how high: the time that serves anywhere */
    reckon(&b, "boil", NULL);
    assert_near(value(&b, "rolling boil"), 3, 0);
    assert_int_equal(line(&b, "altitude")->mark, MARK_CAUTION);
    reckon(&b, "boil", "minutes", "1", NULL);
    assert_int_equal(line(&b, "as it was boiled")->mark, MARK_REFUSED);
    reckon(&b, "boil", "altitude", "500", "minutes", "1", NULL);
    assert_int_equal(line(&b, "as it was boiled")->mark, MARK_FINE);
    reckon(&b, "boil", "altitude", "500", "minutes", "0.5", NULL);
    assert_int_equal(line(&b, "as it was boiled")->mark, MARK_REFUSED);
    /* US Army TB 43-0153: 100 mg/L for 4 h; 12 L at 100 mg/L of fresh 5 %: 24 mL */
    reckon(&b, "shock", "volume", "12", "target", "100", "age", "0", NULL);
    assert_near(value(&b, "bleach"), 24, 1e-9);
    assert_near(value(&b, "stand for"), 4, 0);
    /* dose goes as 1/flow; 40 CFR 141.720(d)(1): 39 mJ/cm2 are half a log of viruses, 22 are 4 log
     * of Giardia */
    reckon(&b, "uv", "flow", "4", NULL);
    assert_near(value(&b, "dose"), 40, 1e-9);
    assert_near(value(&b, "viruses"), 0.5, 0);
    assert_near(value(&b, "Giardia"), 4, 0);
    /* Beer-Lambert by hand: (0.85/0.95)^2 = 0.80055 through the usual 20 mm, 0.89474 through 10 */
    reckon(&b, "uv", "flow", "4", "uvt", "85", NULL);
    assert_near(value(&b, "dose"), 40 * 0.80055, 0.001);
    assert_string_equal(line(&b, "of the plate's dose")->words, "lamp 100 %, water 80 %");
    reckon(&b, "uv", "flow", "4", "hours", "4500", NULL); /* half of the way to 60 %: its root */
    assert_string_equal(line(&b, "of the plate's dose")->words, "lamp 77 %, water 100 %");
    reckon(&b, "uv", "flow", "4", "uvt", "85", "gap", "10", NULL);
    assert_near(value(&b, "dose"), 40 * 0.89474, 0.001);
    reckon(&b, "uv", "flow", "8", NULL);
    assert_near(value(&b, "dose"), 20, 1e-9);
    assert_int_equal(line(&b, "as treatment")->mark, MARK_REFUSED);
    reckon(&b, "uv", "flow", "1", "hours", "9500", NULL);
    assert_int_equal(line(&b, "lamp")->mark, MARK_REFUSED);
    assert_int_equal(line(&b, "flow limit")->mark, MARK_CAUTION);
    /* 40 mJ/cm2 take a fortieth of the plate's 29.69 x 4 L/min: told down, never up */
    reckon(&b, "uv", "flow", "2", "dose", "29.69", "rated-flow", "4", NULL);
    assert_near(value(&b, "flow limit"), 2.96, 1e-9);
    assert_int_equal(line(&b, "flow limit")->mark, MARK_PLAIN);
    reckon(&b, "uv", "flow", "2.97", "dose", "29.69", "rated-flow", "4", NULL);
    assert_int_equal(line(&b, "flow limit")->mark, MARK_CAUTION);
    /* common practice, no source: 250 Wh, about 15 minutes, 7.5 L to a shower */
    reckon(&b, "heat", NULL);
    assert_near(value(&b, "on the energy given"), 41, 3);
    assert_near(value(&b, "time"), 15, 2.5);
    /* burns: none published at 40 C; seconds at 90 C */
    assert_int_equal(line(&b, "scalds in")->mark, MARK_PLAIN);
    reckon(&b, "mix", "volume", "10", "hot", "80", "cold", "20", "target", "40", NULL);
    assert_near(value(&b, "hot") / 10, 1 / 3.0, 0.01);
    assert_int_equal(line(&b, "hot scalds in")->mark, MARK_CAUTION);
    reckon(&b, "freeze", "air", "4", NULL);
    assert_int_equal(line(&b, "frost")->mark, MARK_FINE);
    reckon(&b, "freeze", "air", "3.9", NULL); /* a clear night sky */
    assert_int_equal(line(&b, "frost")->mark, MARK_CAUTION);
    reckon(&b, "freeze", "air", "0", NULL);
    assert_int_equal(line(&b, "frost")->mark, MARK_CAUTION);
    /* ideal gas: a litre at 40 psi at sea level is 3.72 L of free air; at least 496 J, at most 601
     */
    reckon(&b, "air", "volume", "1", "pressure", "40psi", NULL);
    assert_near(value(&b, "free air"), 3.72, 0.005);
    assert_near(value(&b, "work at the least"), 0.496, 0.001);
    assert_near(line(&b, "work at the least")->high, 0.601, 0.001);
    reckon(&b, "air", "pressure", "-0", NULL);
    assert_null(strstr(line(&b, "from the battery")->words, "-0"));
    /* Boyle, drawn slowly: 4 L of air at 377.1 kPa fill 8.80 L at 171.3 kPa */
    reckon(&b, "charge", "capacity", "12", "volume", "8", "pressure", "40psi", "floor", "70", NULL);
    assert_near(line(&b, "delivers")->high, 4 * (377.115 / 171.325 - 1), 0.002);
    reckon(&b, "clog", "jug", "1", "seconds", "20", "after-swap", "6", NULL);
    assert_near(value(&b, "flow now"), 3, 1e-9);
    assert_near(value(&b, "lost since the swap"), 50, 1e-9);
    assert_int_equal(line(&b, "lost since the swap")->mark, MARK_CAUTION);
    /* IAPWS SR6-08(2011): 998.21 kg/m3 at 20 C */
    reckon(&b, "mass", "volume", "10", "temp", "20", "tare", "3", "scale", "12.9821kg", NULL);
    assert_near(value(&b, "water"), 9.9821, 0.0001);
    assert_near(value(&b, "behind the scale"), 10, 0.0005);
    /* Sphere 2011: 7.5 to 15 L */
    reckon(&b, "need", "level", "basic", "persons", "2", "days", "3", "have", "40", NULL);
    assert_near(value(&b, "in all"), 45, 1e-9);
    assert_near(line(&b, "in all")->high, 90, 1e-9);
    assert_int_equal(line(&b, "what there is lasts")->mark, MARK_CAUTION);
    /* 40 L by 30 and by 15 a day: 1.33 and 2.67 days, told short */
    assert_near(value(&b, "what there is lasts"), 1.3, 1e-9);
    assert_near(line(&b, "what there is lasts")->high, 2.6, 1e-9);
    reckon(&b, "need", "have", "0", NULL);
    assert_near(line(&b, "what there is lasts")->high, 0, 0);
    /* 3 days of 2 persons are 45 L by the lower, 90 L by the higher: as much is enough */
    static const struct {
        const char *have, *verdict;
        ReckonMark mark;
    } lasts[] = {{"44.9", "not long enough", MARK_CAUTION},
                 {"45", "long enough at the lower end only", MARK_CAUTION},
                 {"89.9", "long enough at the lower end only", MARK_CAUTION},
                 {"90", "long enough", MARK_FINE}};
    for (size_t i = 0; i < sizeof lasts / sizeof *lasts; i++) {
        reckon(&b, "need", "level", "basic", "persons", "2", "days", "3", "wbgt", "20", "have",
               lasts[i].have, NULL);
        assert_string_equal(line(&b, "what there is lasts")->words, lasts[i].verdict);
        assert_int_equal(line(&b, "what there is lasts")->mark, lasts[i].mark);
    }
    bench_end(&b);
}

static void the_parts_of_the_way_take_up_the_pressure(void **unused)
{
    static const char *const parts[] = {"tubing and bends", "couplings",      "sediment",
                                        "carbon",           "lamp's chamber", "tap"};
    (void)unused;
    Bench b;
    zone_set("UTC0");
    bench_site(&b, book_open());
    reckon(&b, "flow", "dose", "40", NULL);
    double sum = 0;
    for (size_t i = 0; i < 6; i++) {
        sum += value(&b, parts[i]);
        assert_near(atof(line(&b, parts[i])->words),
                    value(&b, parts[i]) / value(&b, "driving pressure") * 100, 0.501);
    }
    assert_ratio(sum, value(&b, "driving pressure"), 1e-6);
    /* a rated drop at the rated flow, by the power of 1 (cartridge) or 2 (chamber, tap) */
    const double by_four = value(&b, "flow") / 4, by_six = value(&b, "flow") / 6;
    assert_ratio(value(&b, "sediment"), 10 * by_four, 1e-9);
    assert_ratio(value(&b, "carbon"), 35 * by_four, 1e-9);
    assert_ratio(value(&b, "lamp's chamber"), 5 * by_four * by_four, 1e-9);
    assert_ratio(value(&b, "tap"), 200 * by_six * by_six, 1e-9);
    const double free_flow = value(&b, "flow"), dose = value(&b, "lamp's dose");
    assert_near(dose * free_flow, 40 * 4, 1e-6); /* as 1/flow */
    reckon(&b, "flow", "sediment", "0", NULL);
    assert_false(has_line(&b, "sediment"));
    reckon(&b, "flow", "carbon", "150", "dose", "40", NULL); /* clogged: slower, more dose */
    assert_true(value(&b, "flow") < free_flow);
    assert_true(value(&b, "lamp's dose") > dose);
    reckon(&b, "flow", "rise", "40", NULL);
    assert_int_equal(line(&b, "flow")->mark, MARK_CAUTION);
    bench_end(&b);
}

static void proposals_come_from_what_is_aboard(void **unused)
{
    (void)unused;
    Bench b;
    bench_site(&b, camper());
#define PROPOSED(name, option) (b.inputs[topic_field(topic(name), option)])
    bench_propose(&b, topic("chlorine")); /* the questionable one */
    assert_near(PROPOSED("chlorine", "volume").value, 8, 0);
    assert_string_equal(PROPOSED("chlorine", "volume").why, "B1 holds it");
    bench_propose(&b, topic("heat"));
    assert_near(PROPOSED("heat", "volume").value, 6, 0);
    bench_propose(&b, topic("freeze"));
    assert_near(PROPOSED("freeze", "volume").value,
                (double)book_vessel(b.book, "A2")->volume / 1000.0, 1e-9);
    bench_propose(&b, topic("uv"));
    assert_near(PROPOSED("uv", "flow").value, 3, 0);
    assert_near(PROPOSED("uv", "rated-flow").value, 3, 0);
    assert_near(PROPOSED("uv", "hours").value, 24, 0.01);
    bench_propose(&b, topic("clog"));
    assert_near(PROPOSED("clog", "seconds").value, 20, 0.01);
    assert_near(PROPOSED("clog", "after-swap").value, 4, 0.01);
    bench_propose(&b, topic("need"));
    assert_near(PROPOSED("need", "persons").value, 3, 0);
    assert_near(PROPOSED("need", "days").value, 3, 0.1);
    assert_near(PROPOSED("need", "have").value, 4 + 11 - 2 * 0.2, 0.01); /* above the heels */
    bench_propose(&b, topic("mass"));
    assert_near(PROPOSED("mass", "tare").value, 6.3, 1e-9);
    b.site.vessel = (int)(book_vessel(b.book, "A1") - b.book->state.vessels);
    bench_propose(&b, topic("mass"));
    assert_near(PROPOSED("mass", "tare").value, 3.1, 1e-9);
    assert_near(PROPOSED("mass", "volume").value,
                (double)book_vessel(b.book, "A1")->volume / 1000.0, 1e-9);
    b.site.vessel = -1;
    /* the lowest rating on the line, and never a charge above it */
    bench_propose(&b, topic("charge"));
    assert_near(PROPOSED("charge", "rated").value, 350, 1e-9);
    assert_true(PROPOSED("charge", "pressure").value <= 350);
    b.site.vessel = state_vessel(&b.book->state, &(Label){"A1"});
    b.site.vessel_said = true;
    bench_propose(&b, topic("charge"));
    assert_near(PROPOSED("charge", "rated").value, 410, 1e-9);
    bench_propose(&b, topic("shock"));
    assert_near(PROPOSED("shock", "volume").value, 12, 0);
    assert_near(PROPOSED("shock", "heel").value, 0.2, 0);
    b.site.vessel = -1;
    b.site.vessel_said = false;
    b.site.line = 0;
    b.site.line_said = true;
    bench_propose(&b, topic("shock"));
    assert_near(PROPOSED("shock", "volume").value, 12, 0);
    assert_near(PROPOSED("shock", "vessels").value, 2, 0);
    assert_near(PROPOSED("shock", "what").value, 1, 0);
    bench_end(&b);
}

/* ullage(7), USUAL VALUES: customary (common practice, no source), the train's drops and the tap's
 * with them. */
static void the_usual_values_of_air_are_those_that_the_manual_tells(void **unused)
{
    static const struct {
        const char *topic, *option;
        double value;
    } usual[] = {
        {"air", "volume", 10},       {"air", "pressure", 275.790}, {"air", "pump", 10},
        {"air", "watts", 120},       {"air", "volts", 12},         {"air", "altitude", 0},
        {"charge", "capacity", 12},  {"charge", "volume", 8},      {"charge", "heel", 0.2},
        {"charge", "floor", 70},     {"charge", "temp", 15},       {"charge", "warmest", 45},
        {"charge", "highest", 3000}, {"charge", "altitude", 0},    {"flow", "rise", 1},
        {"flow", "bore", 6.4},       {"flow", "length", 4},        {"flow", "bends", 6},
        {"flow", "couplings", 4},    {"flow", "opening", 5},       {"flow", "rated-flow", 4},
        {"flow", "sediment", 10},    {"flow", "carbon", 35},       {"flow", "lamp", 5},
        {"flow", "tap-flow", 6},     {"flow", "tap-drop", 200},    {"flow", "temp", 15},
        {"flow", "volume", 10},      {"flow", "lamp-hours", 0},    {"clog", "jug", 1},
        {"clog", "seconds", 20},     {"clog", "after-swap", 4},    {"clog", "through", 500},
    };
    (void)unused;
    Bench b;
    zone_set("UTC0");
    bench_site(&b, book_open());
    for (size_t i = 0; i < sizeof usual / sizeof usual[0]; i++) {
        bench_propose(&b, topic(usual[i].topic));
        const ReckonInput *in = &PROPOSED(usual[i].topic, usual[i].option);
        if (fabs(in->value - usual[i].value) > 5e-4 || in->known)
            fail_msg("%s %s: %g", usual[i].topic, usual[i].option, in->value);
    }
    bench_end(&b);
}

/* What the log says of the line stands in, in its own units, by name. */
static void what_is_proposed_of_air_is_what_the_log_says(void **unused)
{
    (void)unused;
    Bench b;
    bench_site(&b, camper());
    book_say(b.book, "draw galley 3");
    book_say(b.book, "pressurise galley 200");
    (void)book_state(b.book);
    bench_propose(&b, topic("clog"));
    assert_near(PROPOSED("clog", "through").value, 3, 1e-9);
    assert_near(PROPOSED("clog", "pressure").value, 276, 1e-9); /* at the last flow test */
    assert_near(PROPOSED("clog", "pressure-then").value, 276, 1e-9);
    bench_propose(&b, topic("charge"));
    assert_near(PROPOSED("charge", "capacity").value, 24, 1e-9);
    assert_near(PROPOSED("charge", "heel").value, 0.4, 1e-9);
    assert_near(PROPOSED("charge", "volume").value, 12, 1e-9);
    assert_near(PROPOSED("charge", "pressure").value, 200, 1e-9);
    assert_string_equal(PROPOSED("charge", "capacity").why, "capacity of galley");
    b.site.vessel = state_vessel(&b.book->state, &(Label){"A2"});
    b.site.vessel_said = true;
    bench_propose(&b, topic("charge"));
    assert_string_equal(PROPOSED("charge", "capacity").why, "capacity of A2");
    assert_near(PROPOSED("charge", "pressure").value, 275.790, 5e-4); /* no line's */
    book_say(b.book, "vessel A2 --rated 100"); /* the floor gives way to half of a low charge */
    (void)book_state(b.book);
    bench_propose(&b, topic("charge"));
    assert_near(PROPOSED("charge", "pressure").value, 100, 1e-9);
    assert_near(PROPOSED("charge", "floor").value, 50, 1e-9);
    /* 2.97 L/min is what gives 40 of a lamp of 29.7 mJ/cm2 at 4: told down, never up */
    reckon(&b, "flow", "dose", "29.69", "pressure", "100", NULL);
    assert_true(value(&b, "flow limit") <= 4 * 29.69 / 40);
    assert_near(value(&b, "flow limit"), 2.96, 1e-9);
    bench_end(&b);
}

/* Before any flow test the pressure of a line is the one that was put on it, then and now. */
static void a_clog_is_proposed_at_the_pressure_that_was_put_on(void **unused)
{
    (void)unused;
    Bench b;
    zone_set("UTC0");
    Logbook *book = book_of_three();
    book_say(book, "stage sediment --type sediment --line galley");
    book_say(book, "pressurise galley --kpa 200 --asserted");
    book_say(book, "draw galley 2.5");
    bench_site(&b, book);
    (void)book_state(book);
    bench_propose(&b, topic("clog"));
    assert_near(PROPOSED("clog", "pressure").value, 200, 1e-9);
    assert_string_equal(PROPOSED("clog", "pressure").why, "galley was pressurised to it");
    assert_near(PROPOSED("clog", "pressure-then").value, 200, 1e-9);
    assert_string_equal(PROPOSED("clog", "pressure-then").why, "unchanged");
    assert_near(PROPOSED("clog", "through").value, 2.5, 1e-9);
    bench_end(&b);
}

static const char *rating_said(Bench *b, const char *name, ReckonMark mark)
{
    assert_false(b->result.refused);
    const ReckonLine *l = line(b, "rating");
    if (l->mark != mark)
        fail_msg("%s: rating is marked %d: %s", name, (int)l->mark, l->words);
    return l->words;
}

/* A rating that nobody gave is never taken for one: each reckoner that is asked about a pressure
 * says what it did not compare it with, and refuses what is above what it knows. */
static void a_pressure_is_compared_with_the_rating_or_said_not_to_be(void **unused)
{
    static const char *const topics[] = {"air", "charge", "flow"};
    (void)unused;
    Bench bare, b;
    zone_set("UTC0");
    bench_site(&bare, book_open());
    bench_site(&b, camper()); /* A1 410 kPa, A2 350 kPa */
    for (size_t i = 0; i < sizeof topics / sizeof topics[0]; i++) {
        const char *t = topics[i];
        reckon(&bare, t, "pressure", "276", NULL);
        const char *const said = rating_said(&bare, t, MARK_CAUTION);
        assert_non_null(strstr(said, "276 kPa is not compared"));
        assert_null(strstr(said, "none is known of")); /* there is no vessel to name */
        reckon(&bare, t, "pressure", "276", "rated", "276", NULL);
        assert_non_null(strstr(rating_said(&bare, t, MARK_PLAIN), "within the lowest, 276 kPa"));
        reckon(&bare, t, "pressure", "276.001", "rated", "276", NULL);
        assert_true(bare.result.refused);
        assert_int_equal(bare.result.refusal.reason, RECKON_ABOVE_RATING);
        reckon(&b, t, "pressure", "350", NULL);
        assert_non_null(strstr(rating_said(&b, t, MARK_PLAIN), "within the lowest, 350 kPa"));
        reckon(&b, t, "pressure", "350.001", NULL);
        assert_true(b.result.refused);
        reckon(&b, t, "pressure", "350", "rated", "none", NULL);
        (void)rating_said(&b, t, MARK_CAUTION);
    }
    book_say(b.book, "vessel A2 --capacity 12"); /* as it was; and one more, of unknown rating */
    book_say(b.book, "vessel A3 --capacity 12");
    book_say(b.book, "couple galley A1 A2 A3");
    (void)book_state(b.book);
    for (size_t i = 0; i < sizeof topics / sizeof topics[0]; i++) {
        const char *t = topics[i];
        reckon(&b, t, "pressure", "350", NULL);
        assert_non_null(strstr(rating_said(&b, t, MARK_CAUTION), "none is known of A3"));
        reckon(&b, t, "pressure", "350.001",
               NULL); /* the lowest that is known counts all the same */
        assert_true(b.result.refused);
        reckon(&b, t, "pressure", "350", "rated", "400", NULL); /* the plates were read */
        (void)rating_said(&b, t, MARK_PLAIN);
    }
    book_say(b.book, "vessel A3 --rated 0"); /* a plain can */
    (void)book_state(b.book);
    for (size_t i = 0; i < sizeof topics / sizeof topics[0]; i++) {
        reckon(&b, topics[i], NULL, NULL);
        assert_true(b.result.refused);
        assert_int_equal(b.result.refusal.reason, RECKON_ABOVE_RATING);
    }
    bench_end(&b);
    bench_end(&bare);
}

/* Shut off it is held against the rating as it will be, the water's vapour counted. */
static void a_charge_that_is_shut_off_is_held_against_the_rating_when_warm(void **unused)
{
    (void)unused;
    Bench b;
    char rated[2][24];
    zone_set("UTC0");
    bench_site(&b, book_open());
    /* half full, 2.76 bar at 20 C, to 60 C: 3.34 bar (references/physics-more.md 6) */
    reckon(&b, "charge", "capacity", "20", "volume", "10", "pressure", "276", "temp", "20",
           "warmest", "60", "highest", "0", NULL);
    assert_near(value(&b, "shut off"), 334, 0.5);
    assert_near(line(&b, "shut off")->high, 334 + 20, 1.5);
    assert_int_equal(line(&b, "shut off")->mark, MARK_PLAIN); /* no rating: said once, above it */
    const double wet = value(&b, "shut off") + 19.946;        /* IAPWS R7-97(2012), 60 C */
    snprintf(rated[0], sizeof rated[0], "%.3f", wet + 0.02);
    snprintf(rated[1], sizeof rated[1], "%.3f", wet - 0.02);
    for (int i = 0; i < 2; i++) {
        reckon(&b, "charge", "capacity", "20", "volume", "10", "pressure", "276", "temp", "20",
               "warmest", "60", "highest", "0", "rated", rated[i], NULL);
        assert_int_equal(line(&b, "shut off")->mark, i == 0 ? MARK_PLAIN : MARK_CAUTION);
        assert_int_equal(strstr(line(&b, "shut off")->words, "above the rating") != NULL, i == 1);
    }
    reckon(&b, "charge", "capacity", "20", "volume", "19.9", "pressure", "276", "temp", "20",
           "warmest", "60", NULL);
    assert_int_equal(line(&b, "shut off")->mark, MARK_CAUTION);
    assert_non_null(strstr(line(&b, "shut off")->words, "no room is left at 60 C"));
    bench_end(&b);
}

static void what_is_out_of_range_is_refused_by_its_name_in_the_units_asked_for(void **unused)
{
    (void)unused;
    Bench b;
    Str text = {0};
    zone_set("UTC0");
    bench_site(&b, book_open());
    reckon(&b, "chlorine", "strength", "5", "target", "600", NULL);
    assert_string_equal(refusal(&b, topic("chlorine"), UNITS_METRIC, &text),
                        "target is 600 mg/L, above 500 mg/L, where the figures end.");
    reckon(&b, "chlorine", "temp", "70", NULL);
    assert_string_equal(refusal(&b, topic("chlorine"), UNITS_US, &text),
                        "temp is 158 F, above 140 F, where the figures end.");
    reckon(&b, "charge", "rated", "30psi", "pressure", "40psi", NULL);
    assert_string_equal(refusal(&b, topic("charge"), UNITS_IMPERIAL, &text),
                        "pressure is 40 psi, above the lowest rating, 30 psi: never above it.");
    reckon(&b, "heat", "to", "90", "watts", "100", NULL);
    assert_string_equal(refusal(&b, topic("heat"), UNITS_METRIC, &text),
                        "to 90 C is never reached with the other values as they are.");
    reckon(&b, "flow", "tap-flow", "2000", NULL); /* of several with that parameter the one meant */
    assert_string_equal(refusal(&b, topic("flow"), UNITS_METRIC, &text),
                        "tap-flow is 2000 L/min, above 1000 L/min, where the figures end.");
    reckon(&b, "flow", "opening", "2000", NULL);
    assert_string_equal(refusal(&b, topic("flow"), UNITS_METRIC, &text),
                        "opening is 2000 mm, above 1000 mm, where the figures end.");
    reckon(&b, "heat", "efficiency", "120", NULL);
    assert_string_equal(refusal(&b, topic("heat"), UNITS_METRIC, &text),
                        "efficiency is 120 %, above 100 %, where the figures end.");
    str_finish(&text);
    bench_end(&b);
}

/* What is taken where nobody gives anything, as man/ullage.7 lists it (practice, no source), and
 * the ends that the headers of reckon/ give for their figures; NAN: none by itself. */
static void what_is_usual_and_where_figures_end_is_what_the_pages_say(void **unused)
{
    (void)unused;
    static const struct {
        const char *topic, *option;
        double usual, low, high;
    } fields[] = {
        {"chlorine", "volume", 10, 0.25, 1000},
        {"chlorine", "target", 2, NAN, NAN},
        {"chlorine", "strength", NAN, 1, 15},
        {"chlorine", "age", 3, NAN, NAN},
        {"chlorine", "stored", 21, NAN, NAN},
        {"chlorine", "temp", 0.5, 0, 60},
        {"chlorine", "ph", 8.5, 5, 9},
        {"chlorine", "residual", 0.5, 0.1, 5},
        {"chlorine", "minutes", 30, NAN, NAN},
        {"chlorine", "ntu", NAN, 0, 10000},
        {"boil", "altitude", NAN, -500, 9000},
        {"boil", "minutes", NAN, 0, 1440},
        {"filter", "ntu", NAN, 0, 10000},
        {"shock", "volume", 12, 0.5, 10000},
        {"shock", "vessels", 1, 1, 16},
        {"shock", "target", 50, 50, 200},
        {"shock", "strength", 5, 0.5, 15},
        {"shock", "age", 3, 0, 12},
        {"shock", "stored", 21, -10, 50},
        {"shock", "heel", 0, 0, 6},
        {"uv", "flow", 2, 0.01, 200},
        {"uv", "dose", 40, 1, 1000},
        {"uv", "rated-flow", 4, 0.1, 200},
        {"uv", "hours", 0, 0, 50000},
        {"uv", "life", 9000, 100, 20000},
        {"uv", "uvt", 95, 50, 100},
        {"uv", "rated-uvt", 95, 50, 100},
        {"uv", "gap", 20, 1, 100},
        {"uv", "ntu", NAN, 0, 10000},
        {"heat", "volume", 7.5, 0.05, 1000},
        {"heat", "from", 15, 0, 100},
        {"heat", "to", 40, 15, 100},
        {"heat", "watts", 1000, 1, 50000},
        {"heat", "loss", 2.5, 0, 1000},
        {"heat", "air", 15, -50, 60},
        {"heat", "energy", 250, 0.1, 100000},
        {"heat", "battery", 1000, 1, 1000000},
        {"heat", "volts", 12, 1, 1000},
        {"heat", "efficiency", 90, 10, 100},
        {"heat", "solar", 200, 1, 100000},
        {"heat", "sun", 4, 0.1, 24},
        {"mix", "volume", 5, 0.05, 1000},
        {"mix", "target", 40, 12, 90},
        {"mix", "hot", 90, 12, 100},
        {"mix", "cold", 12, 0, 100},
        {"freeze", "volume", 10, 0.1, 1000},
        {"freeze", "from", 10, 0, 60},
        {"freeze", "air", -5, -60, 60},
        {"freeze", "wind", 10, 0, 60},
        {"freeze", "bore", NAN, 1, 100},
        {"freeze", "lag-line", 0, 0, 200},
        {"freeze", "lag-vessel", 0, 0, 200},
        {"clog", "jug", 1, 0.05, 100},
        {"clog", "seconds", 20, 1, 36000},
        {"clog", "after-swap", 4, 0.01, 1000},
        {"clog", "through", 500, 0, 10000000},
        {"clog", "pressure", 40 * 6.894757293, 1, 1000},
        {"clog", "pressure-then", 40 * 6.894757293, 1, 1000},
        {"mass", "volume", 10, 0, 10000},
        {"mass", "temp", 15, 0, 100},
        {"mass", "tare", 0, 0, 10000},
        {"mass", "scale", NAN, 0, 20000},
        {"mass", "apart", NAN, 0, 100},
        {"meter", "per-litre", 450, 1, 100000},
        {"meter", "factor", 1, 0.5, 2},
        {"meter", "counted", NAN, 0.001, 1000000},
        {"meter", "seconds", NAN, 1, 36000},
        {"residual", "measured", 0.1, 0, 200},
        {"residual", "wanted", 0.5, 0.05, 200},
        {"residual", "volume", 10, 0.05, 10000},
        {"blend", "volume", 10, 0, 100000},
        {"blend", "holds", 800, 0, 1000000},
        {"membrane", "made", 2.5, 0, 9.9},
        {"purge", "length", 10, 0, 1000},
        {"purge", "bore", 12.5, 1, 200},
        {"purge", "times", 3, 1, 100},
        {"power", "volts", 12, 1, 1000},
        {"power", "lamp-hours", 24, 0, 24},
        {"power", "efficiency", 85, 10, 100},
        {"need", "persons", 2, 1, 1000},
        {"need", "days", 7, 0.01, 3650},
        {"need", "wbgt", 20, -50, 60},
        {"need", "hours", 0, 0, 24},
        {"need", "have", NAN, 0, 1000000},
        {"need", "rate", NAN, 0, 10000},
    };
    Bench b;
    zone_set("UTC0");
    bench_site(&b, book_open());
    for (size_t i = 0; i < sizeof fields / sizeof *fields; i++) {
        const Topic *t = topic(fields[i].topic);
        const int f = topic_field(t, fields[i].option);
        const double scale = t->fields[f].scale > 0 ? t->fields[f].scale : 1;
        bench_propose(&b, t);
        assert_true(isnan(fields[i].usual) ? isnan(b.inputs[f].value)
                                           : fabs(b.inputs[f].value - fields[i].usual) < 1e-6);
        for (int above = 0; above < 2; above++) {
            const double end = above ? fields[i].high : fields[i].low;
            if (isnan(end))
                continue;
            bench_propose(&b, t);
            b.inputs[f] = (ReckonInput){.value = above ? 1e11 : -1e11, .known = true};
            reckon_compute(t, &b.settled, b.inputs, UNITS_METRIC, &b.result);
            assert_int_equal(b.result.refusal.reason, above ? RECKON_TOO_HIGH : RECKON_TOO_LOW);
            const Basis *why = &b.result.refusal;
            if (fabs((above ? why->high : why->low) / scale - end) > 1e-9 * fabs(end))
                fail_msg("%s %s ends at %g", t->name, fields[i].option,
                         (above ? why->high : why->low) / scale);
        }
    }
    bench_end(&b);
}

static void every_field_has_an_end_that_is_told_by_its_name(void **unused)
{
    (void)unused;
    Bench b;
    Str text = {0};
    zone_set("UTC0");
    bench_site(&b, book_open());
    int count = 0;
    const Topic *const *all = topics_all(&count);
    for (int i = 0; i < count; i++)
        for (int f = 0; f < all[i]->field_count; f++) {
            if (all[i]->fields[f].quantity == QUANTITY_CHOICE)
                continue;
            bench_propose(&b, all[i]);
            for (int k = 0; k < all[i]->field_count; k++) {
                b.inputs[k].known = true;
                if (isnan(b.inputs[k].value))
                    b.inputs[k].value = 1;
            }
            b.inputs[f].value = 1e11;
            reckon_compute(all[i], &b.settled, b.inputs, UNITS_METRIC, &b.result);
            if (!b.result.refused)
                fail_msg("%s takes any %s", all[i]->name, all[i]->fields[f].option);
            refusal(&b, all[i], UNITS_US, &text);
            if (strchr(text.s, '_') != NULL || text.s[text.n - 1] != '.')
                fail_msg("%s %s: %s", all[i]->name, all[i]->fields[f].option, text.s);
            assert_tellable(all[i], &b.result);
        }
    str_finish(&text);
    bench_end(&b);
}

static void wild_numbers_give_no_figure_that_is_none(void **unused)
{
    (void)unused;
    Bench b;
    bench_site(&b, camper());
    int count = 0;
    const Topic *const *all = topics_all(&count);
    uint64_t seed = 11;
    Str text = {0};
    for (int round = 0; round < 14 * 400; round++) {
        const Topic *t = all[round % count];
        bench_propose(&b, t);
        for (int f = 0; f < t->field_count; f++)
            if (nasty_pick(&seed, 3) == 0)
                b.inputs[f].value = nasty_number(&seed, 0, 100);
        reckon_compute(t, &b.settled, b.inputs, UNITS_METRIC, &b.result);
        assert_tellable(t, &b.result);
        if (b.result.refused) {
            refusal(&b, t, (Units)nasty_pick(&seed, 3), &text);
            assert_null(strstr(text.s, "nan"));
            assert_int_equal(text.s[text.n - 1], '.');
        }
    }
    str_finish(&text);
    bench_end(&b);
}

/* A line is bare or lagged by itself, every time is the earliest, and of two digits. Outside
 * values: tests/fixtures/tables/line_freezing.csv, 4 mm of water in a tube of 6, -10 C, from 10 C,
 * minutes until it is frozen through: bare 7.644 at 2 m/s, 4.259 at 10; behind 19 mm of foam 71.187
 * at 10. */
static void a_line_freezes_no_later_than_the_table_says(void **unused)
{
    (void)unused;
    static const struct {
        const char *wind, *lag;
        double minutes;
    } rows[] = {{"0", "0", 34.3532},
                {"2", "0", 7.6440},
                {"10", "0", 4.2592},
                {"0", "19", 76.7921},
                {"10", "19", 71.1870}};
    Bench b;
    zone_set("UTC0");
    bench_site(&b, book_open());
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        reckon(&b, "freeze", "from", "10", "air", "-10", "wind", rows[i].wind, "bore", "4",
               "lag-line", rows[i].lag, "volume", "10", NULL);
        const double said = line(&b, "line")->high / 60;
        assert_true(said <= rows[i].minutes && said > 0.6 * rows[i].minutes);
        const double digits = said / pow(10, floor(log10(said)) - 1);
        assert_near(digits, round(digits), 1e-6);
        assert_true(value(&b, "line") < value(&b, "vessel"));
    }
    /* lagging on the one says nothing of the other */
    const double lagged = line(&b, "line")->high, bare = line(&b, "vessel")->high;
    reckon(&b, "freeze", "from", "10", "air", "-10", "wind", "10", "bore", "4", "lag-line", "19",
           "volume", "10", "lag-vessel", "20", NULL);
    assert_true(line(&b, "vessel")->high > 4 * bare);
    assert_near(line(&b, "line")->high, lagged, 0);
    /* what nobody gave: three bores, thinnest first, in a wind of 10 m/s, which is said */
    reckon(&b, "freeze", "from", "10", "air", "-10", "wind", "10", "bore", "4", NULL);
    const double given = line(&b, "line")->high;
    reckon(&b, "freeze", "from", "10", "air", "-10", NULL);
    assert_near(line(&b, "line")->high, given, 0);
    reckon(&b, "freeze", "from", "10", "air", "-10", "wind", "10", "bore", "10", NULL);
    const double widest = line(&b, "line")->high;
    reckon(&b, "freeze", "from", "10", "air", "-10", NULL);
    assert_near(line(&b, "line")[2].high, widest, 0);
    assert_true(line(&b, "line")[1].high > given &&
                line(&b, "line")[2].high > line(&b, "line")[1].high);
    assert_int_equal(line(&b, "wind")->mark, MARK_CAUTION);
    bench_end(&b);
}

/* What is shown of an earliest time is two digits, and never later than what was reckoned: from
 * water at 0 C, whose first ice is now, to weeks in air that hardly freezes. */
static void a_freezing_time_is_shown_short_of_the_reckoned_by_less_than_a_digit(void **unused)
{
    (void)unused;
    struct {
        const char *word;
        double seconds;
        bool seen;
    } scales[] = {{"s", 1, false}, {"min", 60, false}, {"h", 3600, false}, {"days", 86400, false}};
    enum { SCALES = sizeof scales / sizeof *scales };
    static const char *const from[] = {"0", "4", "20"}, *const bore[] = {"1", "10", "60"};
    enum { AIRS = 200, FROM = 3, BORES = 3 };
    Bench b;
    zone_set("UTC0");
    bench_site(&b, book_open());
    for (int i = 0; i < AIRS * FROM * BORES; i++) {
        const char *const begin = from[i % FROM], *const wide = bore[i / FROM % BORES];
        char cold[16]; /* in steps of 3 %, so that every time between the scales comes up */
        const int cooler = i / (FROM * BORES);
        snprintf(cold, sizeof cold, "%.3f", -60 * pow(0.97, cooler));
        const double bore_m = atof(wide) / 1000;
        const FreezeTube tube = {.bore_m = bore_m, .outer_m = 1.5 * bore_m, .wall_w_mk = INFINITY};
        const FreezeTime exact = freeze_tube(&tube, atof(begin), atof(cold), 2);
        reckon(&b, "freeze", "from", begin, "air", cold, "wind", "2", "bore", wide, NULL);
        const ReckonLine *said = line(&b, "line");
        char text[QUANTITY_RANGE], unit[8];
        double ends[2], real[2] = {exact.first_seconds, exact.last_seconds};
        assert_int_equal(said->quantity, QUANTITY_SECONDS);
        quantity_show_range(said->quantity, NULL, said->value, said->high, UNITS_METRIC, text);
        assert_int_equal(sscanf(text, "%lf to %lf %7s", &ends[0], &ends[1], unit), 3);
        double scale = 0;
        for (int k = 0; k < SCALES; k++)
            if (strcmp(scales[k].word, unit) == 0) {
                scales[k].seen = true;
                scale = scales[k].seconds;
            }
        assert_true(scale > 0);
        assert_true(atof(begin) > 0 || ends[0] == 0);
        for (int e = 0; e < 2; e++) {
            real[e] /= scale;
            if (real[e] <= 0)
                continue;
            const double step = pow(10, floor(log10(real[e])) - 1);
            if (!(ends[e] <= real[e] * (1 + 1e-9) && ends[e] > real[e] - step * (1 + 1e-6) &&
                  fabs(ends[e] / step - round(ends[e] / step)) < 1e-3))
                fail_msg("from %s at %s, %s mm: \"%s\", %f", begin, cold, wide, text, real[e]);
        }
    }
    for (int k = 0; k < SCALES; k++)
        assert_true(scales[k].seen);
    bench_end(&b);
}

/* 120 F: infants 4 min; 140 F: 1 s (a table for infants); above 156 F no table goes. */
static void scalds_are_told_where_water_gets_hot(void **unused)
{
    (void)unused;
    Bench b;
    zone_set("UTC0");
    bench_site(&b, book_open());
    reckon(&b, "heat", "to", "49", NULL);
    assert_false(has_line(&b, "at the outlet"));
    assert_non_null(strstr(line(&b, "scalds in")->words, "infants 1 s"));
    reckon(&b, "heat", "to", "48.5", NULL);
    assert_non_null(strstr(line(&b, "scalds in")->words, "infants 4 min"));
    reckon(&b, "heat", "to", "49.1", NULL);
    assert_int_equal(line(&b, "at the outlet")->mark, MARK_CAUTION);
    reckon(&b, "heat", "to", "90", "energy", "1500", "watts", "2000", NULL);
    assert_near(value(&b, "on the energy given"), 100, 0);
    assert_int_equal(line(&b, "which scalds in")->mark, MARK_CAUTION);
    assert_non_null(strstr(line(&b, "which scalds in")->words, "or sooner"));
    assert_int_equal(line(&b, "if it stands")->mark, MARK_CAUTION);
    reckon(&b, "heat", "energy", "200", NULL);
    assert_false(has_line(&b, "which scalds in"));
    bench_end(&b);
}

/* US Army TB MED 507: never above 1 1/2 US qt an hour, 12 a day. */
static void heat_is_never_nothing_to_carry(void **unused)
{
    (void)unused;
    Bench b;
    zone_set("UTC0");
    bench_site(&b, book_open());
    reckon(&b, "need", "level", "survival", "wbgt", "45", NULL);
    assert_near(value(&b, "of it for heat"), 3.785, 0.001);
    assert_non_null(strstr(line(&b, "of it for heat")->words, "Red Cross"));
    assert_non_null(strstr(line(&b, "drink in that heat")->words,
                           "never more than 1.42 L (1 1/2 US qt) an hour and 11.36 L (12 US qt) a "
                           "day (US Army TB MED 507)"));
    assert_false(has_line(&b, "heat"));
    reckon(&b, "need", "level", "survival", "wbgt", "25.5", NULL); /* 77.9 F */
    assert_false(has_line(&b, "of it for heat") || has_line(&b, "heat"));
    reckon(&b, "need", "level", "survival", "wbgt", "25.6", NULL); /* 78.1 F */
    assert_near(value(&b, "of it for heat"), 3.785, 0.001);
    reckon(&b, "need", "level", "survival", NULL); /* nobody gave it: that is said */
    assert_non_null(strstr(line(&b, "heat")->words, "at least 3.79 L more"));
    bench_end(&b);
}

/* fixtures/tables/pulse_calibration.csv: 10 L read to 0.05 L and 4,512 pulses: 451.2 a litre within
 * 0.58 %. */
static void a_jug_tells_what_a_meter_is_worth(void **unused)
{
    (void)unused;
    Bench b;
    zone_set("UTC0");
    bench_site(&b, camper());
    reckon(&b, "meter", NULL);
    assert_true(has_line(&b, "measure")); /* nothing is made up */
    assert_false(has_line(&b, "a litre read is"));
    reckon(&b, "meter", "litres", "10", "pulses", "4512", NULL);
    assert_near(value(&b, "pulses per litre"), 451.2, 1e-9);
    assert_non_null(strstr(line(&b, "pulses per litre")->words, "within 0.6 %"));
    assert_near(value(&b, "a litre read is"), 450 / 451.2, 1e-9);
    assert_near(value(&b, "it reads"), 0.26667, 1e-4);
    assert_int_equal(line(&b, "it reads")->mark, MARK_PLAIN);
    assert_non_null(strstr(line(&b, "set it")->words, "--pulses-per-litre 451.2"));
    reckon(&b, "meter", "litres", "10", "counted", "9.4", NULL); /* a dial */
    assert_near(value(&b, "a litre read is"), 10 / 9.4, 1e-9);
    assert_int_equal(line(&b, "it reads")->mark, MARK_CAUTION); /* beyond a class 2 meter's 5 % */
    assert_non_null(strstr(line(&b, "set it")->words, "--factor 1.064"));
    bench_end(&b);
}

static void soundings_between_readings_are_proposed(void **unused)
{
    (void)unused;
    Bench b;
    Logbook *book = camper();
    book_say(book, "sound A1 4");
    book_say(book, "meter galley 0 --factor 1.02");
    book_say(book, "meter galley 3");
    book_say(book, "sound A1 0.5"); /* 3.06 L reckoned, 3.5 L gone */
    bench_site(&b, book);
    (void)book_state(book);
    reckon(&b, "meter", NULL);
    assert_near(value(&b, "by soundings"), 3.5 / 3.06, 1e-9);
    assert_non_null(strstr(line(&b, "by soundings")->words, "may be chance"));
    assert_near(value(&b, "a litre read is"), 1.02 * 3.5 / 3.06, 1e-9);
    reckon(&b, "meter", "stick", "0.05", NULL);
    assert_non_null(strstr(line(&b, "by soundings")->words, "more than chance"));
    bench_end(&b);
}

/* What was measured in a vessel is proposed for it, until other water came in. */
static void a_residual_that_was_tested_is_proposed(void **unused)
{
    (void)unused;
    static const struct {
        const char *words;
        double measured;
    } steps[] = {{NULL, 0}, {"test B1 --chlorine 0.4", 0.4}, {"fill B1 0.5", 0}};
    for (size_t i = 0; i < sizeof steps / sizeof steps[0]; i++) {
        Bench b;
        Logbook *book = camper();
        for (size_t k = 1; k <= i; k++)
            book_say(book, steps[k].words);
        bench_site(&b, book);
        (void)book_state(book);
        b.site.vessel = state_vessel(&book->state, &(Label){"B1"});
        b.site.vessel_said = true;
        const Topic *t = topic("residual");
        bench_propose(&b, t);
        const ReckonInput *in = &b.inputs[topic_field(t, "measured")];
        assert_int_equal(in->known, i == 1);
        if (i == 1) {
            assert_near(in->value, steps[i].measured, 1e-9);
            assert_string_equal(in->why, "tested in B1");
        }
        bench_end(&b);
    }
}

/* Ohm by hand: 250 Wh of heat out of 12 V at 100 % are 20.83 Ah; a battery of so many is empty, and
 * one that holds a hair less has not as much. */
static void a_battery_that_has_not_as_much_is_said(void **unused)
{
    (void)unused;
    Bench b;
    char battery[32];
    zone_set("UTC0");
    bench_site(&b, book_open());
    for (int less = 0; less <= 1; less++) {
        reckon(&b, "heat", "efficiency", "100", NULL);
        snprintf(battery, sizeof battery, "%.6f Wh",
                 value(&b, "from the battery") * (less ? 0.98 : 1.001));
        reckon(&b, "heat", "efficiency", "100", "battery", battery, NULL);
        assert_int_equal(line(&b, "from the battery")->mark, less ? MARK_CAUTION : MARK_PLAIN);
        assert_int_equal(strstr(line(&b, "from the battery")->words, "more than it has") != NULL,
                         less);
    }
    bench_end(&b);
}

/* A mark stands before the first line of a list and not before those that go on with it. */
static void a_mark_is_said_once(void **unused)
{
    (void)unused;
    static const struct {
        ReckonMark mark;
        const char *label, *told;
    } cases[] = {
        {MARK_PLAIN, "way", "by hand"},
        {MARK_FINE, "way", "fine: by hand"},
        {MARK_CAUTION, "way", "caution: by hand"},
        {MARK_REFUSED, "way", "REFUSED: by hand"},
        {MARK_CAUTION, "", "by hand"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        const ReckonLine words = {.label = cases[i].label,
                                  .mark = cases[i].mark,
                                  .quantity = QUANTITY_WORDS,
                                  .words = "by hand"};
        Str told = {0};
        reckon_line_tell(&words, UNITS_METRIC, &told);
        assert_string_equal(told.s, cases[i].told);
        str_finish(&told);
    }
}

/* The references' own sum: 20 L from 0.1 to 1.0 mg/L with 5 %: 0.36 mL; the demand of a wastewater
 * operators' text, example 9.1: dose 7.1, residual 1.0, demand 6.1 mg/L. */
static void a_residual_is_topped_up_by_the_gap(void **unused)
{
    (void)unused;
    Bench b;
    zone_set("UTC0");
    bench_site(&b, book_open());
    reckon(&b, "residual", "volume", "20", "measured", "0.1", "wanted", "1", "strength", "5", "age",
           "0", "dosed", "7.1", "after", "1", NULL);
    assert_near(value(&b, "of bleach"), 0.36, 1e-9);
    assert_near(value(&b, "such water takes up"), 6.1, 1e-9);
    assert_non_null(strstr(line(&b, "of bleach")->words, "test after 30 minutes"));
    reckon(&b, "residual", "measured", "0.04", NULL);
    assert_true(has_line(&b, "none was left"));
    reckon(&b, "residual", "measured", "0.06", NULL);
    assert_false(has_line(&b, "none was left"));
    reckon(&b, "residual", "wanted", "5.001", NULL);
    assert_int_equal(line(&b, "wanted")->mark, MARK_CAUTION);
    reckon(&b, "residual", "wanted", "5", NULL);
    assert_false(has_line(&b, "wanted"));
    reckon(&b, "residual", "wanted", "0.199", NULL);
    assert_non_null(strstr(line(&b, "wanted")->words, "nothing protects"));
    bench_end(&b);
}

/* 10 L of 8 mg/L to 4 mg/L takes 10 L; 20 L at 5 mg/L 250 mg of ascorbic acid. */
static void too_much_chlorine_is_diluted_or_neutralised(void **unused)
{
    (void)unused;
    Bench b;
    zone_set("UTC0");
    bench_site(&b, book_open());
    reckon(&b, "residual", "volume", "10", "measured", "8", "wanted", "4", NULL);
    assert_near(value(&b, "dilute with"), 10, 1e-9);
    assert_near(value(&b, "or ascorbic acid"), 100, 1e-9);
    assert_non_null(strstr(line(&b, "or let it stand")->words, "open for a day"));
    reckon(&b, "residual", "volume", "10", "measured", "8", "wanted", "3.9", NULL);
    assert_non_null(strstr(line(&b, "or let it stand")->words, "longer than a day"));
    assert_false(has_line(&b, "of bleach"));
    bench_end(&b);
}

static void mixing_membrane_hose_and_battery_do_their_sums(void **unused)
{
    (void)unused;
    Bench b;
    zone_set("UTC0");
    bench_site(&b, book_open());
    reckon(&b, "blend", "volume", "10", "holds", "800", "with", "30", "other", "0", "wanted", "400",
           NULL);
    assert_near(value(&b, "the mixture has"), 200, 1e-9);
    assert_near(value(&b, "for what is wanted"), 10, 1e-9);
    reckon(&b, "membrane", NULL);
    assert_near(value(&b, "recovery"), 25, 1e-9);
    assert_near(value(&b, "rejection"), 95, 1e-9);
    reckon(&b, "purge", "length", "10", "bore", "12.5", "flow", "10", "roof", "10", NULL);
    assert_near(value(&b, "the hose holds"), 1.2272, 1e-4);
    assert_near(value(&b, "run off first"), 3.6816, 1e-3);
    assert_near(value(&b, "which takes"), 22.09, 0.01);
    assert_near(value(&b, "first flush"), 20, 1e-9);
    reckon(&b, "power", "lamp", "12", "lamp-hours", "24", "compressor", "120", "compressor-hours",
           "0.5", "efficiency", "100", "volts", "12", NULL);
    assert_near(value(&b, "compressor"), 10, 1e-9);
    assert_near(value(&b, "all at once"), 11, 1e-9);
    assert_near(value(&b, "a day"), 348, 1e-9);
    assert_non_null(strstr(line(&b, "a day")->words, "29.0 Ah"));
    bench_end(&b);
}

/* By hand, at 4 C (IAPWS SR6-08(2011): 999.97 kg/m3, so a litre is a kilogram here): A1 3.1 + 4,
 * A2 3.2 + 11; then A1 at its heel of 0.2 L, then both. The middle: A2's share of the row. */
static void the_mass_moves_to_the_tap_as_the_lead_empties(void **unused)
{
    (void)unused;
    static const char *const rows[] = {
        "now: A1 7.1 kg, A2 14.2 kg, 21.3 kg in all, its middle 0.4 m from A1",
        "A1 spent: A1 3.3 kg, A2 14.2 kg, 17.5 kg in all, its middle 0.487 m from A1",
        "A2 spent: A1 3.3 kg, A2 3.4 kg, 6.7 kg in all, its middle 0.304 m from A1"};
    Bench b;
    Logbook *book = camper();
    book_say(book, "sound A2 11"); /* under pressure some of A1 went into it */
    book_say(book, "sound A1 4");
    (void)book_state(book);
    bench_site(&b, book);
    reckon(&b, "mass", "temp", "4", "apart", "0.6", NULL);
    const ReckonLine *row = line(&b, "on the line");
    for (size_t i = 0; i < 3; i++) {
        assert_string_equal(row[i].words, rows[i]);
        assert_string_equal(row[i].label, i == 0 ? "on the line" : "");
    }
    reckon(&b, "mass", "temp", "4", NULL);
    assert_string_equal(line(&b, "on the line")->words,
                        "now: A1 7.1 kg, A2 14.2 kg, 21.3 kg in all");
    assert_false(b.result.limit_count > 2); /* all have a tare */
    book_say(book, "vessel A3 --capacity 12 --class potable --level 5");
    book_say(book, "couple galley A1 A2 A3");
    (void)book_state(book);
    reckon(&b, "mass", "temp", "4", NULL);
    assert_string_equal(line(&b, "on the line")->words,
                        "now: A1 7.1 kg, A2 14.2 kg, A3 5 kg, 26.3 kg in all");
    assert_string_equal(b.result.limits[1],
                        "of a vessel without a tare the water alone is counted");
    bench_end(&b);
}

static void words_and_none_are_read_as_values(void **unused)
{
    (void)unused;
    Fault fault = {0};
    ReckonInput in = {.value = 5};
    const Topic *t = topic("chlorine");
    const ReckonField *cloudy = &t->fields[topic_field(t, "cloudy")];
    assert_true(reckon_read(cloudy, text_of("n"), UNITS_METRIC, &in, &fault)); /* no */
    assert_near(in.value, 1, 0);
    assert_true(reckon_read(cloudy, text_of("YES"), UNITS_METRIC, &in, &fault));
    assert_near(in.value, 2, 0);
    assert_false(reckon_read(cloudy, text_of("x"), UNITS_METRIC, &in, &fault));
    assert_non_null(strstr(fault.text, "unknown, no, yes"));
    assert_int_equal(fault.kind, FAULT_USAGE);
    assert_near(in.value, 2, 0);
    const ReckonField *ntu = &t->fields[topic_field(t, "ntu")];
    assert_true(reckon_read(ntu, text_of("none"), UNITS_METRIC, &in, &fault));
    assert_true(isnan(in.value));
    assert_false(reckon_read(&t->fields[0], text_of("none"), UNITS_METRIC, &in, &fault));
    assert_non_null(strstr(fault.text, "volume: "));
}

static void the_verdict_is_that_of_the_treat_entry(void **unused)
{
    (void)unused;
    Bench b;
    zone_set("UTC0");
    bench_site(&b, book_open());
    reckon(&b, "chlorine", "residual", "1", "minutes", "60", "temp", "10", "ph", "7.5", "ntu", "1",
           NULL);
    assert_int_equal(line(&b, "as a treat entry")->mark, MARK_FINE);
    assert_int_equal(line(&b, "contact reached")->mark, MARK_CAUTION);
    reckon(&b, "chlorine", "residual", "0.2", "minutes", "60", "ph", "7.5", NULL);
    assert_int_equal(line(&b, "as a treat entry")->mark, MARK_REFUSED);
    reckon(&b, "chlorine", "residual", "1", "minutes", "60", "ph", "7.5", "ntu", "5", NULL);
    assert_int_equal(line(&b, "as a treat entry")->mark, MARK_REFUSED);
    assert_non_null(strstr(line(&b, "WHO criterion")->words, "not met"));
    reckon(&b, "chlorine", "residual", "1", "minutes", "60", "ph", "7.5", "cloudy", "yes", NULL);
    assert_int_equal(line(&b, "as a treat entry")->mark, MARK_REFUSED);
    /* That it is clear a look says, or a measurement; where neither does, it is not known. */
    static const struct {
        const char *option, *value;
        bool known;
    } looks[] = {{"cloudy", "no", true}, {"ntu", "4.9", true}, {"ph", "7.5", false}};
    for (size_t i = 0; i < sizeof looks / sizeof looks[0]; i++) {
        reckon(&b, "chlorine", "residual", "1", "minutes", "60", "ph", "7.5", looks[i].option,
               looks[i].value, NULL);
        assert_int_equal(strstr(line(&b, "WHO criterion")->words, "were the water clear") == NULL,
                         looks[i].known);
    }
    reckon(&b, "chlorine", NULL); /* nothing measured: nothing judged */
    assert_false(has_line(&b, "as a treat entry"));
    reckon(&b, "filter", "ntu", "0.2", NULL);
    assert_int_equal(line(&b, "as a treat entry")->mark, MARK_REFUSED);
    assert_int_equal(line(&b, "before lamp, chlorine")->mark, MARK_FINE);
    /* guidance for wells: a lamp below 1 NTU; Ohio Department of Health: neither from 5 NTU on */
    static const struct {
        const char *ntu;
        ReckonMark mark;
    } clear[] = {
        {"0.99", MARK_FINE}, {"1", MARK_CAUTION}, {"4.9", MARK_CAUTION}, {"5", MARK_REFUSED}};
    for (size_t i = 0; i < sizeof clear / sizeof *clear; i++) {
        reckon(&b, "filter", "ntu", clear[i].ntu, NULL);
        assert_int_equal(line(&b, "before lamp, chlorine")->mark, clear[i].mark);
    }
    bench_end(&b);
}

/* US EPA 816-F-15-003, CDC: 8 drops of 5 to 6 % a US gallon, twice that where cloudy, coloured or
 * very cold; US EPA 810-F-93-002: 40 of unknown strength. What nobody said counts as the worse. */
static void the_dose_to_use_is_that_of_the_sheets(void **unused)
{
    static const struct {
        const char *strength, *cloudy, *ntu, *temp;
        double drops;
    } cases[] = {
        {"6", "no", "none", "10", 8},       {"6", "yes", "none", "10", 16},
        {"6", "no", "none", "9.9", 16},     {"6", "no", "4.9", "20", 8},
        {"6", "unknown", "4.9", "20", 16},  {"6", "no", "5", "20", 16},
        {"6", "unknown", "none", "20", 16}, {"6", "yes", "1", "20", 16},
        {"1", "no", "none", "20", 40},      {"8.25", "no", "none", "20", 8},
    };
    (void)unused;
    Bench b;
    zone_set("UTC0");
    bench_site(&b, book_open());
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        reckon(&b, "chlorine", "volume", "1usgal", "strength", cases[i].strength, "cloudy",
               cases[i].cloudy, "ntu", cases[i].ntu, "temp", cases[i].temp, NULL);
        assert_near(value(&b, "use"), cases[i].drops, 0);
        assert_ptr_equal(&b.result.lines[0], line(&b, "use")); /* it leads */
        assert_true(has_line(&b, "doubled") == (cases[i].drops == 16));
    }
    reckon(&b, "chlorine", "volume", "1usgal", "strength", "6", "cloudy", "no", NULL);
    assert_near(value(&b, "use"), 16, 0);
    /* WHO household dose: 2 mg/L below 10 NTU, 4 from there to 100, none above */
    reckon(&b, "chlorine", "strength", "6", "ntu", "9.9", NULL);
    assert_false(has_line(&b, "target"));
    reckon(&b, "chlorine", "strength", "6", "ntu", "10", NULL);
    assert_int_equal(line(&b, "target")->mark, MARK_CAUTION);
    reckon(&b, "chlorine", "strength", "6", "ntu", "100", NULL);
    assert_true(value(&b, "use") > 0);
    reckon(&b, "chlorine", "strength", "6", "ntu", "100.1", NULL);
    assert_int_equal(line(&b, "use")->mark, MARK_REFUSED);
    assert_int_equal(line(&b, "use")->quantity, QUANTITY_WORDS);
    bench_end(&b);
}

/* The strength decides, so that it is asked for and no dose leads; each label's is told as the
 * sheets print it (EPA 816-F-15-003, CDC: 8 drops a US gallon of 5 to 6 %, at the most 8 of 8.25 %;
 * EPA 810-F-93-002: 40 of 1 % and of unknown strength), and boiling comes before the unknown. */
static void without_a_strength_no_dose_leads(void **unused)
{
    (void)unused;
    Bench b;
    zone_set("UTC0");
    bench_site(&b, book_open());
    reckon(&b, "chlorine", "volume", "1usgal", "cloudy", "no", "temp", "20", NULL);
    assert_ptr_equal(&b.result.lines[0], line(&b, "use"));
    assert_int_equal(line(&b, "use")->mark, MARK_CAUTION);
    assert_int_equal(line(&b, "use")->quantity, QUANTITY_WORDS);
    assert_non_null(strstr(line(&b, "use")->words, "--strength"));
    assert_near(value(&b, "label says 1 %"), 40, 0);
    assert_near(value(&b, "label says 5 or 6 %"), 8, 0);
    assert_near(value(&b, "label says 8.25 %"), 8, 0);
    assert_false(has_line(&b, "only with a meter"));
    /* 40 drops of 0.0625 mL: 2.5 mL, 25 mg in a gallon for each per cent: 6.6 to 54.5 mg/L */
    assert_int_equal(line(&b, "label is gone")->mark, MARK_CAUTION);
    const char *gone = line(&b, "label is gone")->words;
    assert_non_null(strstr(gone, "boil the water"));
    assert_true(strstr(gone, "boil the water") < strstr(gone, "40 drops"));
    assert_non_null(strstr(gone, "put in 6 to 55 mg/L: drink it only when a meter reads"));
    reckon(&b, "chlorine", "volume", "1usgal", NULL);
    assert_near(value(&b, "label says 5 or 6 %"), 16, 0);
    assert_true(has_line(&b, "doubled"));
    bench_end(&b);
}

/* The number at the beginning of a text. */
static double leading(const char *text)
{
    return strtod(text, NULL);
}

/* What is told, in any units, by drop, spoon or mL, holds at least the dose asked. */
static void what_is_told_holds_at_least_the_dose(void **unused)
{
    (void)unused;
    static const double ml_per[] = {1.0, 29.5735295625, 28.4130625}; /* NIST HB 44; W&M Act 1985 */
    Bench b;
    uint64_t seed = 8;
    Str text = {0};
    zone_set("UTC0");
    bench_site(&b, book_open());
    for (int i = 0; i < 3000; i++) {
        const bool shock = i % 2 == 0;
        const Units units = (Units)nasty_pick(&seed, 3);
        char volume[32], percent[32];
        const double litres = 0.5 + nasty_pick(&seed, 4000) / 32.0;
        const double strength = 2.0 + nasty_pick(&seed, 100) / 16.0;
        (void)snprintf(volume, sizeof volume, "%.5f L", litres);
        (void)snprintf(percent, sizeof percent, "%.4f", strength);
        reckon(&b, shock ? "shock" : "chlorine", "volume", volume, "strength", percent, "age", "0",
               NULL);
        const double dose = litres * (shock ? 50.0 : 2.0) / (10.0 * strength);
        const ReckonLine *told = line(&b, shock ? "bleach" : "only with a meter");
        str_clear(&text);
        reckon_line_tell(told, units, &text);
        if (leading(text.s) * ml_per[units] < dose * (1 - 1e-6))
            fail_msg("%s for %g mL", text.s, dose);
        const double count = leading(told->words);
        const double each = strstr(told->words, "tablespoons") != NULL ? 14.78676
                            : strstr(told->words, "teaspoons") != NULL ? 4.928921
                                                                       : 0.05;
        if (count * each < dose * (1 - 1e-5))
            fail_msg("%s for %g mL", told->words, dose);
        if (!shock) /* the least row of the sheets: 2 drops a litre of 5 to 9 %, 10 of 1 %, 1 a
                       quart */
            assert_true(value(&b, "use") >= litres * 4 / 3.785411784);
    }
    str_finish(&text);
    bench_end(&b);
}

/* A vessel's bleach must be in that vessel: put in at the air side, the washout leaves the third of
 * a line a hundredth of it (tables/washout_series_first_contaminated.csv is the same sum). */
static void each_vessel_of_a_line_takes_its_own_bleach(void **unused)
{
    (void)unused;
    Bench b;
    Logbook *book = camper();
    book_say(book, "vessel A3 --capacity 6 --heel 0.1 --class potable --level 6");
    book_say(book, "couple galley A1 A2 A3");
    bench_site(&b, book);
    b.site.line = 0;
    b.site.line_said = true;
    reckon(&b, "shock", "strength", "5", "age", "0", "target", "50", NULL);
    assert_near(value(&b, "A1"), 12, 1e-9); /* 12 L at 50 mg/L of 50 g/L */
    assert_near(value(&b, "A2"), 12, 1e-9);
    assert_near(value(&b, "A3"), 6, 1e-9);
    assert_false(has_line(&b, "bleach"));
    assert_near(value(&b, "or flush with"), bleach_flush_l(50, 12, 3), 1e-9);
    reckon(&b, "shock", "strength", "5", "age", "0", "vessels", "2", "volume", "20", NULL);
    assert_near(value(&b, "bleach in each"), 20, 1e-9);
    assert_near(value(&b, "or flush with"), bleach_flush_l(50, 20, 2), 1e-9);
    reckon(&b, "shock", "strength", "5", "what", "vessel", "volume", "20", NULL);
    assert_false(has_line(&b, "or flush with"));
    reckon(&b, "shock", "vessels", "17", NULL);
    assert_true(b.result.refused);
    bench_end(&b);
}

static bool any_fine(const Reckoning *r)
{
    for (int i = 0; i < r->count; i++)
        if (r->lines[i].mark == MARK_FINE)
            return true;
    return false;
}

/* Nothing is fine on what is usual, in any topic; nor with one of the values missing that decide
 * it. */
static void nothing_is_fine_on_values_that_nobody_gave(void **unused)
{
    (void)unused;
    static const char *const uv[] = {"flow",      "2",  "dose", "40",   "rated-flow", "4",
                                     "hours",     "0",  "life", "9000", "uvt",        "90",
                                     "rated-uvt", "95", "gap",  "20",   "ntu",        "0.5"};
    static const char *const contact[] = {"residual", "2",  "minutes", "400", "temp",
                                          "10",       "ph", "7",       "ntu", "0.5"};
    Bench b;
    zone_set("UTC0");
    bench_site(&b, book_open());
    int count = 0;
    const Topic *const *all = topics_all(&count);
    for (int i = 0; i < count; i++) {
        bench_propose(&b, all[i]);
        reckon_compute(all[i], &b.settled, b.inputs, UNITS_METRIC, &b.result);
        if (any_fine(&b.result))
            fail_msg("%s is fine on nothing", all[i]->name);
    }
    for (int topic_index = 0; topic_index < 2; topic_index++) {
        const Topic *t = topic(topic_index == 0 ? "uv" : "chlorine");
        const char *const *pairs = topic_index == 0 ? uv : contact;
        const int fields =
            (int)(topic_index == 0 ? sizeof uv / sizeof *uv : sizeof contact / sizeof *contact) / 2;
        const char *label = topic_index == 0 ? "as treatment" : "contact reached";
        for (int left_out = -1; left_out < fields; left_out++) {
            bench_propose(&b, t);
            for (int f = 0; f < fields; f++)
                if (f != left_out)
                    set(&b, t, pairs[2 * f], pairs[2 * f + 1], UNITS_METRIC);
            reckon_compute(t, &b.settled, b.inputs, UNITS_METRIC, &b.result);
            const bool fine = has_line(&b, label) && line(&b, label)->mark == MARK_FINE;
            if (fine != (left_out < 0))
                fail_msg("%s without %s: %d", t->name, left_out < 0 ? "-" : pairs[2 * left_out],
                         fine);
        }
    }
    bench_end(&b);
}

/* Leaving a value out never gives a smaller dose or a shorter wait than any that can be given. */
static void what_is_left_out_never_lowers_the_dose(void **unused)
{
    (void)unused;
    static const char *const options[] = {"strength", "cloudy", "ntu", "temp", "ph", "residual"};
    Bench b;
    uint64_t seed = 21;
    zone_set("UTC0");
    bench_site(&b, book_open());
    const Topic *t = topic("chlorine");
    for (int round = 0; round < 2000; round++) {
        double use[2] = {0.0, 0.0}, wait[2];
        const unsigned left_out = nasty_pick(&seed, 64);
        const char *const cloudy[] = {"no", "yes", "unknown"};
        char texts[6][24];
        (void)snprintf(texts[0], 24, "%.1f", 4.0 + nasty_pick(&seed, 90) / 10.0);
        (void)snprintf(texts[1], 24, "%s", cloudy[nasty_pick(&seed, 3)]);
        /* seen to be clear, it is */
        (void)snprintf(texts[2], 24, "%.1f",
                       nasty_pick(&seed, texts[1][0] == 'n' ? 50 : 1000) / 10.0);
        (void)snprintf(texts[3], 24, "%.1f", nasty_pick(&seed, 300) / 10.0);
        (void)snprintf(texts[4], 24, "%.1f", 6.0 + nasty_pick(&seed, 26) / 10.0);
        (void)snprintf(texts[5], 24, "%.1f", 0.5 + nasty_pick(&seed, 20) / 10.0);
        for (int less = 0; less < 2; less++) {
            bench_propose(&b, t);
            for (int f = 0; f < 6; f++)
                if (less == 0 || (left_out & (1u << f)) == 0)
                    set(&b, t, options[f], texts[f], UNITS_METRIC);
            reckon_compute(t, &b.settled, b.inputs, UNITS_METRIC, &b.result);
            const bool strong = less == 0 || (left_out & 1) == 0;
            assert_true(strong == (line(&b, "use")->quantity == QUANTITY_NUMBER));
            use[less] = strong ? value(&b, "use") : use[0];
            wait[less] = value(&b, "Giardia, 3 log");
        }
        assert_true(use[1] >= use[0]);
        assert_true(wait[1] >= wait[0]);
    }
    bench_end(&b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_topic_computes_with_what_it_proposes),
        cmocka_unit_test(the_table_is_sound),
        cmocka_unit_test(values_go_through_every_system_of_units_and_come_back),
        cmocka_unit_test(the_figures_are_those_of_the_publications),
        cmocka_unit_test(the_parts_of_the_way_take_up_the_pressure),
        cmocka_unit_test(proposals_come_from_what_is_aboard),
        cmocka_unit_test(the_usual_values_of_air_are_those_that_the_manual_tells),
        cmocka_unit_test(what_is_proposed_of_air_is_what_the_log_says),
        cmocka_unit_test(a_clog_is_proposed_at_the_pressure_that_was_put_on),
        cmocka_unit_test(a_pressure_is_compared_with_the_rating_or_said_not_to_be),
        cmocka_unit_test(a_charge_that_is_shut_off_is_held_against_the_rating_when_warm),
        cmocka_unit_test(what_is_out_of_range_is_refused_by_its_name_in_the_units_asked_for),
        cmocka_unit_test(what_is_usual_and_where_figures_end_is_what_the_pages_say),
        cmocka_unit_test(every_field_has_an_end_that_is_told_by_its_name),
        cmocka_unit_test(wild_numbers_give_no_figure_that_is_none),
        cmocka_unit_test(a_line_freezes_no_later_than_the_table_says),
        cmocka_unit_test(a_freezing_time_is_shown_short_of_the_reckoned_by_less_than_a_digit),
        cmocka_unit_test(scalds_are_told_where_water_gets_hot),
        cmocka_unit_test(heat_is_never_nothing_to_carry),
        cmocka_unit_test(a_jug_tells_what_a_meter_is_worth),
        cmocka_unit_test(soundings_between_readings_are_proposed),
        cmocka_unit_test(a_residual_that_was_tested_is_proposed),
        cmocka_unit_test(a_battery_that_has_not_as_much_is_said),
        cmocka_unit_test(a_mark_is_said_once),
        cmocka_unit_test(a_residual_is_topped_up_by_the_gap),
        cmocka_unit_test(too_much_chlorine_is_diluted_or_neutralised),
        cmocka_unit_test(mixing_membrane_hose_and_battery_do_their_sums),
        cmocka_unit_test(the_mass_moves_to_the_tap_as_the_lead_empties),
        cmocka_unit_test(words_and_none_are_read_as_values),
        cmocka_unit_test(the_verdict_is_that_of_the_treat_entry),
        cmocka_unit_test(the_dose_to_use_is_that_of_the_sheets),
        cmocka_unit_test(without_a_strength_no_dose_leads),
        cmocka_unit_test(what_is_told_holds_at_least_the_dose),
        cmocka_unit_test(each_vessel_of_a_line_takes_its_own_bleach),
        cmocka_unit_test(nothing_is_fine_on_values_that_nobody_gave),
        cmocka_unit_test(what_is_left_out_never_lowers_the_dose),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
