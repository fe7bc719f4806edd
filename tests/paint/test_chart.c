#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "support/golden.h"

#include <locale.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "paint/chart.h"
#include "support/look.h"

#include <math.h>

/* Tue 24 Nov 2026 00:00 UTC. */
static const int64_t MIDNIGHT = INT64_C(1795478400000);

typedef struct {
    Sheet sheet;
    Str text;
    Area plot;
} Paper;

static void paper_draw(Paper *paper, const Chart *chart, int rows, int cols, Alphabet alphabet)
{
    sheet_init(&paper->sheet, rows, cols);
    paper->sheet.ascii = alphabet == ALPHABET_ASCII;
    paper->sheet.alphabet = alphabet;
    paper->plot = chart_draw(chart, sheet_area(&paper->sheet));
    paper->text = (Str){0};
    sheet_dump(&paper->sheet, &paper->text);
}

static void paper_finish(Paper *paper)
{
    sheet_finish(&paper->sheet);
    str_finish(&paper->text);
}

static Moment day(double days)
{
    return (Moment){MIDNIGHT + (int64_t)(days * (double)MS_PER_DAY)};
}

/* Ten days of a level that falls, five of a forecast with its band; a reserve and a stop. */
static Chart fortnight(void)
{
    static ChartPoint past[11], ahead[2];
    static ChartBandPoint band[2];
    for (int i = 0; i <= 10; i++) {
        past[i].at = day(i - 10);
        past[i].value = i == 4 ? (double)NAN : 40 - 2.5 * i;
        past[i].quality = i < 7 ? CLASS_POTABLE : CLASS_QUESTIONABLE;
    }
    ahead[0] = (ChartPoint){.at = day(0), .value = 15};
    ahead[1] = (ChartPoint){.at = day(5), .value = 2};
    band[0] = (ChartBandPoint){day(0), 14, 16};
    band[1] = (ChartBandPoint){day(5), 0, 8};
    Chart chart = {.since = day(-10), .until = day(5), .now = day(0), .unit = "L", .legend = true};
    chart.series[0] = (ChartSeries){.style = CHART_WATER, .points = past, .count = 11};
    chart.series[1] = (ChartSeries){.style = CHART_TRACE,
                                    .points = ahead,
                                    .count = 2,
                                    .name = "expected",
                                    .mark = GLYPH_POINT,
                                    .ink = INK_CHART};
    chart.series_count = 2;
    chart.band = (ChartBand){band, 2, "8 in 10"};
    chart.rules[0] = (ChartRule){30, "reserve", INK_RESERVE};
    chart.rule_count = 1;
    chart.marks[0] = (ChartMark){day(3), "stop", INK_NOTICE};
    chart.mark_count = 1;
    return chart;
}

static void a_fortnight_looks_as_drawn_before(void **state)
{
    (void)state;
    static const int sizes[][2] = {{16, 72}, {30, 120}, {9, 40}};
    Chart chart = fortnight();
    setenv("TZ", "UTC", 1);
    tzset();
    setlocale(LC_CTYPE, "C.UTF-8");
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
        for (int alphabet = 0; alphabet < ALPHABET_COUNT; alphabet++) {
            char name[64];
            Paper paper;
            paper_draw(&paper, &chart, sizes[i][0], sizes[i][1], (Alphabet)alphabet);
            snprintf(name, sizeof name, "chart-%dx%d-%s", sizes[i][1], sizes[i][0],
                     alphabet == ALPHABET_UTF8 ? "utf8" : "ascii");
            golden_text(name, &paper.text);
            paper_finish(&paper);
        }
    }
}

static void an_area_too_small_stays_blank(void **state)
{
    (void)state;
    Chart chart = fortnight();
    Paper paper;
    paper_draw(&paper, &chart, CHART_ROWS_MIN - 1, 60, ALPHABET_UTF8);
    assert_string_equal(paper.text.s, "\n\n\n");
    assert_int_equal(paper.plot.rows, 0);
    paper_finish(&paper);
    assert_false(chart_fits((Area){NULL, 0, 0, 10, CHART_COLS_MIN - 1}));
    assert_true(chart_fits((Area){NULL, 0, 0, CHART_ROWS_MIN, CHART_COLS_MIN}));
}

/* One point at the start and one at the end, of 8 L each, on an axis of 0 to 8 in 8 rows. */
static Chart steady(ChartPoint points[2], double value, Quality quality)
{
    points[0] = (ChartPoint){day(0), value, quality};
    points[1] = (ChartPoint){day(10), value, quality};
    Chart chart = {.since = day(0), .until = day(10), .now = day(10), .high = 8, .unit = "L"};
    chart.series[0] = (ChartSeries){.style = CHART_WATER, .points = points, .count = 2};
    chart.series_count = 1;
    return chart;
}

static const char *plot_cell(const Paper *paper, Area plot, int row, int col)
{
    return sheet_cell(&paper->sheet, plot.row + row, plot.col + col)->text;
}

static void a_level_fills_the_rows_below_it_and_no_more(void **state)
{
    (void)state;
    ChartPoint points[2];
    Chart chart = steady(points, 2.5, CLASS_POTABLE);
    Paper paper;
    paper_draw(&paper, &chart, 10, 40, ALPHABET_UTF8);
    Area plot = paper.plot;
    assert_int_equal(plot.rows, 8);
    for (int col = 0; col < plot.cols; col++) {
        assert_string_equal(plot_cell(&paper, plot, 7, col), "█");
        assert_string_equal(plot_cell(&paper, plot, 6, col), "█");
        assert_string_equal(plot_cell(&paper, plot, 5, col), "▄"); /* half a litre: four eighths */
        assert_string_equal(plot_cell(&paper, plot, 4, col), " ");
    }
    paper_finish(&paper);
}

static void a_little_water_is_not_none(void **state)
{
    (void)state;
    ChartPoint points[2];
    for (int quality = 0; quality < CLASS_COUNT; quality++) {
        Chart chart = steady(points, 0.01, (Quality)quality);
        Paper paper;
        paper_draw(&paper, &chart, 10, 40, ALPHABET_UTF8);
        Area plot = paper.plot;
        assert_string_not_equal(plot_cell(&paper, plot, 7, 5), " ");
        paper_finish(&paper);
    }
    Chart chart = steady(points, 0, CLASS_POTABLE);
    Paper paper;
    paper_draw(&paper, &chart, 10, 40, ALPHABET_UTF8);
    assert_string_equal(plot_cell(&paper, paper.plot, 7, 5), " ");
    paper_finish(&paper);
}

static void classes_differ_without_any_colour(void **state)
{
    (void)state;
    for (int alphabet = 0; alphabet < ALPHABET_COUNT; alphabet++) {
        ChartPoint points[2];
        Paper papers[CLASS_COUNT];
        for (int q = 0; q < CLASS_COUNT; q++) {
            Chart chart = steady(points, 5, (Quality)q);
            paper_draw(&papers[q], &chart, 10, 40, (Alphabet)alphabet);
        }
        assert_string_not_equal(papers[0].text.s, papers[1].text.s);
        assert_string_not_equal(papers[1].text.s, papers[2].text.s);
        assert_string_not_equal(papers[0].text.s, papers[2].text.s);
        for (int q = 0; q < CLASS_COUNT; q++)
            paper_finish(&papers[q]);
    }
}

static void a_level_holds_until_the_next_point(void **state)
{
    (void)state;
    ChartPoint points[3] = {
        {day(0), 8, CLASS_POTABLE}, {day(5), 2, CLASS_POTABLE}, {day(10), 2, CLASS_POTABLE}};
    Chart chart = {.since = day(0), .until = day(10), .now = day(10), .high = 8};
    chart.series[0] = (ChartSeries){.style = CHART_WATER, .points = points, .count = 3};
    chart.series_count = 1;
    Paper paper;
    paper_draw(&paper, &chart, 10, 43, ALPHABET_ASCII);
    Area plot = paper.plot;
    assert_int_equal(plot.cols % 2, 0);
    assert_string_equal(plot_cell(&paper, plot, 0, plot.cols / 2 - 1), "#");
    assert_string_equal(plot_cell(&paper, plot, 0, plot.cols / 2), " ");
    assert_string_equal(plot_cell(&paper, plot, 6, plot.cols / 2), "#");
    paper_finish(&paper);
}

static void dots_stand_where_something_was_measured_and_nowhere_else(void **state)
{
    (void)state;
    ChartPoint points[3] = {{.at = day(0), .value = 8},
                            {.at = day(4), .value = (double)NAN},
                            {.at = day(9), .value = 1}}; /* after the end of the axis */
    Chart chart = {.since = day(0), .until = day(8), .now = day(0), .high = 8};
    chart.series[0] = (ChartSeries){
        .style = CHART_DOTS, .points = points, .count = 3, .mark = GLYPH_POINT, .ink = INK_CHART};
    chart.series_count = 1;
    Paper paper;
    paper_draw(&paper, &chart, 10, 19, ALPHABET_ASCII);
    int dots = 0;
    for (int row = 0; row < paper.plot.rows; row++)
        for (int col = 0; col < paper.plot.cols; col++)
            dots += strcmp(plot_cell(&paper, paper.plot, row, col), "*") == 0;
    assert_int_equal(dots, 1);
    assert_string_equal(plot_cell(&paper, paper.plot, 0, 0), "*");
    paper_finish(&paper);
}

static void a_forecast_runs_straight_between_its_points(void **state)
{
    (void)state;
    ChartPoint points[2] = {{.at = day(0), .value = 8}, {.at = day(8), .value = 0}};
    Chart chart = {.since = day(0), .until = day(8), .now = day(0), .high = 8};
    chart.series[0] = (ChartSeries){
        .style = CHART_TRACE, .points = points, .count = 2, .mark = GLYPH_POINT, .ink = INK_CHART};
    chart.series_count = 1;
    Paper paper;
    paper_draw(&paper, &chart, 10, 19, ALPHABET_ASCII);
    Area plot = paper.plot;
    assert_int_equal(plot.cols, 16);
    for (int col = 0; col < 16; col++) /* half a day a column, a litre a row */
        for (int row = 0; row < 8; row++)
            assert_string_equal(plot_cell(&paper, plot, row, col), row == col / 2 ? "*" : " ");
    paper_finish(&paper);
}

static void the_axis_ends_at_a_round_value_above_all(void **state)
{
    (void)state;
    ChartPoint points[2];
    Chart chart = steady(points, 37, CLASS_POTABLE);
    chart.high = 0;
    Paper paper;
    paper_draw(&paper, &chart, 12, 40, ALPHABET_ASCII);
    assert_non_null(strstr(paper.text.s, "40 L |"));
    assert_null(strstr(paper.text.s, "50"));
    paper_finish(&paper);
}

static void a_short_span_is_told_in_hours_and_another_year_is_named(void **state)
{
    (void)state;
    ChartPoint points[2];
    Paper paper;
    Chart chart = steady(points, 4, CLASS_POTABLE);
    chart.until = day(1);
    paper_draw(&paper, &chart, 10, 60, ALPHABET_ASCII);
    assert_non_null(strstr(paper.text.s, "12:00"));
    paper_finish(&paper);
    chart.until = day(80);
    chart.now = day(0);
    paper_draw(&paper, &chart, 10, 60, ALPHABET_ASCII);
    assert_non_null(strstr(paper.text.s, "24 Nov "));
    assert_non_null(strstr(paper.text.s, "Jan 27"));
    paper_finish(&paper);
}

static void any_size_and_any_numbers_are_safe(void **state)
{
    (void)state;
    static const double values[] = {0, -5, 1e9, 1e-9, 12.345};
    for (int rows = 1; rows < 24; rows++) {
        for (int cols = 1; cols < 90; cols += 3) {
            for (size_t i = 0; i < sizeof values / sizeof *values; i++) {
                Chart chart = fortnight();
                ChartPoint points[2] = {{day(-3), values[i], CLASS_POTABLE},
                                        {day(2), (double)NAN, CLASS_NON_POTABLE}};
                chart.series[0].points = points;
                chart.series[0].count = 2;
                chart.rules[0].value = values[i];
                chart.until = i % 2 ? day(4000) : day(-9.9);
                Paper paper;
                paper_draw(&paper, &chart, rows, cols, (Alphabet)(i % 2));
                assert_int_equal(paper.sheet.rows, rows);
                paper_finish(&paper);
            }
        }
    }
}

int main(void)
{
    setenv("TZ", "UTC", 1);
    tzset();
    setlocale(LC_CTYPE, "C.UTF-8");
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_fortnight_looks_as_drawn_before),
        cmocka_unit_test(an_area_too_small_stays_blank),
        cmocka_unit_test(a_level_fills_the_rows_below_it_and_no_more),
        cmocka_unit_test(a_little_water_is_not_none),
        cmocka_unit_test(classes_differ_without_any_colour),
        cmocka_unit_test(a_level_holds_until_the_next_point),
        cmocka_unit_test(dots_stand_where_something_was_measured_and_nowhere_else),
        cmocka_unit_test(a_forecast_runs_straight_between_its_points),
        cmocka_unit_test(the_axis_ends_at_a_round_value_above_all),
        cmocka_unit_test(a_short_span_is_told_in_hours_and_another_year_is_named),
        cmocka_unit_test(any_size_and_any_numbers_are_safe),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
