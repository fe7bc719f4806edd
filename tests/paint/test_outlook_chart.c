/* What the chart of the outlook is made of: the past, the curve, its band, the reserve, the stops.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/memory.h"

#include <stdlib.h>
#include <string.h>

#include "paint/outlook_chart.h"

#include <math.h>

static const Moment NOW = {INT64_C(1795545720000)};

static Moment day(double days)
{
    return (Moment){NOW.ms + (int64_t)(days * (double)MS_PER_DAY)};
}

typedef struct {
    Board board;
    ForecastView view, unchanged;
    int64_t volume[OUTLOOK_PAST_POINTS];
    uint8_t quality[OUTLOOK_PAST_POINTS];
    OutlookPast past;
    OutlookChart chart;
} Wall;

/* 20 L now, 5 L a day, of it 8 in the reserve; a stop in a day, one in two weeks. */
static Wall *wall_open(void)
{
    Wall *w = memory_get(sizeof *w);
    w->board.now = NOW;
    w->board.stop_count = 2;
    w->board.stops[0] = (BoardStop){.label = {"Holm"}, .eta = day(1), .litres = 0};
    w->board.stops[1] = (BoardStop){.label = {"Tarn"}, .eta = day(14), .litres = -1};
    w->view = (ForecastView){.known = true, .until = day(5), .count = 6};
    for (int i = 0; i < 6; i++) {
        double left = 20 - 5 * i > 0 ? 20 - 5 * i : 0;
        w->view.point[i] = (ViewPoint){day(i), left * 0.9, left, left * 1.1, 8};
    }
    w->unchanged = w->view;
    for (int i = 0; i < OUTLOOK_PAST_POINTS; i++) {
        w->volume[i] = i < 10 ? -1 : 20000;
        w->quality[i] = CLASS_QUESTIONABLE;
    }
    w->past =
        (OutlookPast){day(-OUTLOOK_PAST_DAYS), NOW, OUTLOOK_PAST_POINTS, w->volume, w->quality};
    return w;
}

static void the_past_takes_two_sevenths_of_the_width_and_ends_now(void **unused)
{
    (void)unused;
    Wall *w = wall_open();
    outlook_chart(&w->chart, &w->board, &w->view, NULL, &w->past, UNITS_METRIC);
    const Chart *c = &w->chart.chart;
    assert_int_equal(c->since.ms, day(-2).ms);
    assert_int_equal(c->until.ms, day(5).ms);
    assert_int_equal(c->series_count, 2);
    const ChartSeries *was = &c->series[0], *expected = &c->series[1];
    assert_int_equal(was->style, CHART_WATER);
    assert_int_equal(was->count, 49); /* two days by the hour, both ends */
    assert_true(was->points[0].at.ms >= c->since.ms);
    assert_int_equal(was->points[48].at.ms, NOW.ms);
    assert_true(was->points[48].value == 20);
    assert_int_equal(was->points[48].quality, CLASS_QUESTIONABLE);
    assert_int_equal(expected->style, CHART_TRACE);
    assert_int_equal(expected->count, 6);
    assert_true(expected->points[1].value == 15);
    assert_true(c->band.points[1].low == 13.5 && c->band.count == 6);
    free(w);
}

static void what_was_not_known_is_a_gap(void **unused)
{
    (void)unused;
    Wall *w = wall_open();
    w->view.until = day(40); /* so that all of the seven days are shown */
    outlook_chart(&w->chart, &w->board, &w->view, NULL, &w->past, UNITS_METRIC);
    assert_int_equal(w->chart.chart.series[0].count, OUTLOOK_PAST_POINTS);
    assert_true(isnan(w->chart.chart.series[0].points[9].value));
    assert_true(w->chart.chart.series[0].points[10].value == 20);
    w->past.count = 0; /* the log has not answered yet */
    outlook_chart(&w->chart, &w->board, &w->view, NULL, &w->past, UNITS_METRIC);
    assert_int_equal(w->chart.chart.series_count, 1);
    assert_string_equal(w->chart.chart.series[0].name, "expected");
    free(w);
}

static void stops_in_sight_are_marked_and_a_dry_one_is_called_so(void **unused)
{
    (void)unused;
    Wall *w = wall_open();
    outlook_chart(&w->chart, &w->board, &w->view, NULL, &w->past, UNITS_METRIC);
    const Chart *c = &w->chart.chart;
    assert_int_equal(c->mark_count, 2); /* now, and the one before the curve ends */
    assert_string_equal(c->marks[0].name, "now");
    assert_string_equal(c->marks[1].name, "Holm dry");
    assert_int_equal(c->rule_count, 1);
    assert_true(c->rules[0].value == 8);
    w->view.point[0].reserve = 0;
    outlook_chart(&w->chart, &w->board, &w->view, NULL, &w->past, UNITS_METRIC);
    assert_int_equal(w->chart.chart.rule_count, 0);
    free(w);
}

static void the_unchanged_curve_has_a_glyph_of_its_own(void **unused)
{
    (void)unused;
    Wall *w = wall_open();
    outlook_chart(&w->chart, &w->board, &w->view, &w->unchanged, &w->past, UNITS_METRIC);
    const Chart *c = &w->chart.chart;
    assert_int_equal(c->series_count, 3);
    assert_string_equal(c->series[1].name, "as logged");
    assert_string_equal(c->series[2].name, "expected"); /* drawn last: on top */
    for (int alphabet = 0; alphabet < ALPHABET_COUNT; alphabet++)
        assert_string_not_equal(glyph((Alphabet)alphabet, c->series[1].mark),
                                glyph((Alphabet)alphabet, c->series[2].mark));
    free(w);
}

/* 20 L are 20000 / 3785.411784 US gallons and 20000 / 4546.09 imperial ones (base/units.h). */
static void amounts_are_in_the_unit_of_display(void **unused)
{
    (void)unused;
    Wall *w = wall_open();
    outlook_chart(&w->chart, &w->board, &w->view, NULL, &w->past, UNITS_US);
    assert_true(fabs(w->chart.chart.series[1].points[0].value - 5.283441) < 1e-6);
    assert_string_equal(w->chart.chart.unit, "gal");
    outlook_chart(&w->chart, &w->board, &w->view, NULL, &w->past, UNITS_IMPERIAL);
    assert_true(fabs(w->chart.chart.series[1].points[0].value - 4.399385) < 1e-6);
    assert_true(fabs(w->chart.chart.rules[0].value - 8 * 0.2199692) < 1e-5);
    free(w);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_past_takes_two_sevenths_of_the_width_and_ends_now),
        cmocka_unit_test(what_was_not_known_is_a_gap),
        cmocka_unit_test(stops_in_sight_are_marked_and_a_dry_one_is_called_so),
        cmocka_unit_test(the_unchanged_curve_has_a_glyph_of_its_own),
        cmocka_unit_test(amounts_are_in_the_unit_of_display),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
