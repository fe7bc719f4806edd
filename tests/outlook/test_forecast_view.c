/* What if, and the curve of what is left. */
#include "outlook/forecast_view.h"

#include "outlook/plan.h"
#include "support/board_book.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

typedef struct {
    Logbook *book;
    Board *as_is, *board;
    ForecastView view;
} Look;

static Look look_at(Logbook *book, const char *at, const WhatIf *what)
{
    Look look = {.book = book, .as_is = board_of(book, at), .board = malloc(sizeof(Board))};
    assert_non_null(look.board);
    what_if_board(look.board, look.as_is, book_state(book), what);
    const ForecastRate rate = what_if_rate(look.as_is, book_state(book), what);
    forecast_view(&look.view, look.board, book_state(book), &rate, 100);
    return look;
}

static void look_end(Look *look)
{
    free(look->as_is);
    free(look->board);
}

static double days_to(const Board *board, Moment m)
{
    assert_true(moment_known(m));
    return (double)(m.ms - board->now.ms) / (double)MS_PER_DAY;
}

static void an_empty_log_gives_no_curve_and_no_date(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    const WhatIf nothing = what_if_nothing();
    Logbook *book = book_open();
    Look look = look_at(book, NULL, &nothing);
    assert_false(look.view.known);
    assert_int_equal(look.view.count, 0);
    assert_false(moment_known(look.board->to_empty.p50));
    assert_memory_equal(look.board, look.as_is, sizeof *look.board);
    look_end(&look);
    book_close(book);
}

static void what_if_nothing_changes_nothing(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    const WhatIf nothing = what_if_nothing();
    Logbook *book = book_of_days(NULL, 20);
    book_say(book, "stop near --eta 2026-06-25T12:00:00Z");
    Look look = look_at(book, NULL, &nothing);
    assert_false(what_if_changes(&nothing));
    assert_memory_equal(look.board, look.as_is, sizeof *look.board);
    look_end(&look);
    book_close(book);
}

static void with_nobody_aboard_the_water_lasts_and_no_date_is_given(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    WhatIf what = what_if_nothing();
    what.crew = 0;
    Logbook *book = book_of_days(NULL, 20);
    book_say(book, "stop near --eta 2026-06-25T12:00:00Z --litres 0");
    Look look = look_at(book, NULL, &what);
    assert_true(look.board->litres_per_day == 0);
    assert_false(moment_known(look.board->to_reserve.p10));
    assert_false(moment_known(look.board->to_empty.p90));
    assert_true(look.board->stops[0].odds_line == 1);
    assert_true(isnan(look.board->stops[0].ration_90));
    assert_true(look.view.known && look.view.lasts);
    const ViewPoint *last = &look.view.point[look.view.count - 1];
    assert_true(last->expected == look.view.point[0].expected && last->low == last->high);
    /* the stop is 3.2 days ahead and ends no leg: 14 days from there, never the year 40000 */
    assert_true(days_to(look.board, look.view.until) <= VIEW_IDLE_DAYS + 6);
    look_end(&look);
    book_close(book);
}

/* 20 L, 5 L a day: gone in 4 days in the middle, whatever the spread; 0 L a day: never. */
static void a_rate_can_be_tried_before_the_log_has_taught_one(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    WhatIf what = what_if_nothing();
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 20 --class potable --level 20");
    book_say(book, "couple galley A1");
    what.litres_per_day = 5;
    Look look = look_at(book, NULL, &what);
    assert_false(look.as_is->outlook_known);
    assert_true(look.board->outlook_known && look.view.known);
    assert_int_equal(look.board->crew, -1);
    assert_true(look.board->litres_per_day == 5);
    const double median = days_to(look.board, look.board->to_reserve.p50);
    assert_true(median > 3.5 && median < 4.6);
    look_end(&look);
    what.litres_per_day = 0;
    look = look_at(book, NULL, &what);
    assert_false(moment_known(look.board->to_empty.p50));
    assert_true(look.view.lasts);
    look_end(&look);
    book_close(book);
}

static void twice_the_crew_uses_twice_and_the_log_stays_as_it_was(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    WhatIf what = what_if_nothing();
    what.crew = 4;
    Logbook *book = book_of_days(NULL, 20);
    const State before = *book_state(book);
    Look look = look_at(book, NULL, &what);
    assert_true(fabs(look.board->litres_per_day - 2 * look.as_is->litres_per_day) < 1e-9);
    assert_int_equal(look.board->crew, 4);
    assert_int_equal(look.as_is->crew, 2);
    const double now = days_to(look.as_is, look.as_is->to_empty.p50);
    const double then = days_to(look.board, look.board->to_empty.p50);
    assert_true(then > 0.4 * now && then < 0.6 * now);
    assert_true(state_equal(&before, book_state(book)));
    /* levels are what they are: only the future is otherwise */
    for (int i = 0; i < look.board->vessel_count; i++)
        assert_int_equal(look.board->vessels[i].volume, look.as_is->vessels[i].volume);
    look_end(&look);
    book_close(book);
}

static void a_dry_stop_ends_no_leg(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    WhatIf what = what_if_nothing();
    Logbook *book = book_of_days(NULL, 30);
    book_say(book, "stop near --eta 2026-07-05T12:00:00Z");
    book_say(book, "stop far --eta 2026-07-08T12:00:00Z");
    book_say(book, "stop end --eta 2026-07-12T12:00:00Z");
    what_if_toggle_dry(&what, &(Label){"near"});
    assert_true(what_if_dry(&what, &(Label){"near"}));
    Look look = look_at(book, "2026-07-02T08:00:00Z", &what);
    assert_int_equal(look.as_is->stops[0].litres, -1);
    assert_int_equal(look.board->stops[0].litres, 0);
    assert_int_equal(look.board->stops[0].take_on, 0);
    /* the first stop is reached as before, the second from now on without the first */
    assert_true(look.board->stops[0].odds_line == look.as_is->stops[0].odds_line);
    const ForecastRate rate = plan_rate(look.as_is, book_state(book));
    const ForecastRate since = plan_since(look.as_is, book_state(book), &rate);
    const double line = (double)look.as_is->supply.line / 1000;
    const double days = days_to(look.board, look.board->stops[1].eta);
    assert_true(look.board->stops[1].odds_line == forecast_lasts(&since, line, days));
    assert_true(look.board->stops[1].odds_line < look.as_is->stops[1].odds_line);
    look_end(&look);
    /* take on at `near` for the leg to `far`; where that is dry, to the end */
    what_if_toggle_dry(&what, &(Label){"near"});
    assert_false(what_if_changes(&what));
    what_if_toggle_dry(&what, &(Label){"far"});
    look = look_at(book, "2026-07-02T08:00:00Z", &what);
    const double need = forecast_need(&rate, 7, 0.9), leg = forecast_need(&rate, 3, 0.9);
    assert_int_equal(look.board->stops[0].take_on, (int64_t)ceil(need * 1000));
    assert_int_equal(look.as_is->stops[0].take_on, (int64_t)ceil(leg * 1000));
    look_end(&look);
    book_close(book);
}

static void the_curve_meets_zero_on_the_dates_that_the_board_gives(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    const WhatIf nothing = what_if_nothing();
    Logbook *book = book_of_days(NULL, 30);
    Look look = look_at(book, NULL, &nothing);
    const Board *b = look.board;
    ViewPoint p;
    const double line = b->line_share * plan_full_litres(b, PLACE_LINE);
    assert_true(fabs(look.view.point[0].expected - (line + 12)) < 1e-9); /* with the reserve */
    const int64_t hour = MS_PER_HOUR;
    assert_true(view_at(&look.view, (Moment){b->to_empty.p50.ms + 3 * hour}, &p));
    assert_true(p.expected < 0.5);
    assert_true(view_at(&look.view, (Moment){b->to_empty.p50.ms - 12 * hour}, &p));
    assert_true(p.expected > 2);
    assert_true(view_at(&look.view, (Moment){b->to_empty.p10.ms + 3 * hour}, &p));
    assert_true(p.low < 0.5);
    assert_true(view_at(&look.view, (Moment){b->to_empty.p10.ms - 12 * hour}, &p));
    assert_true(p.low > 2);
    /* the end of the curve is where the high path is empty */
    assert_true(llabs(look.view.until.ms - b->to_empty.p90.ms) < MS_PER_MINUTE);
    assert_true(view_at(&look.view, (Moment){b->to_reserve.p50.ms}, &p));
    assert_true(fabs(p.expected - 12) < 1);
    assert_true(p.reserve == 12);
    assert_false(view_at(&look.view, (Moment){b->now.ms - 1}, &p));
    assert_false(view_at(&look.view, (Moment){look.view.until.ms + 1}, &p));
    look_end(&look);
    book_close(book);
}

/* Between two points of the curve a straight line; what stands on the line is not drawn between. */
static void between_two_points_the_curve_is_straight(void **unused)
{
    (void)unused;
    static ForecastView view = {.known = true, .count = 2};
    const Moment begin = {BOOK_BEGIN_MS};
    view.point[0] = (ViewPoint){begin, 8, 20, 30, 12};
    view.point[1] = (ViewPoint){{begin.ms + 4 * MS_PER_HOUR}, 0, 10, 28, 12};
    ViewPoint p;
    assert_true(view_at(&view, (Moment){begin.ms + MS_PER_HOUR}, &p));
    assert_true(fabs(p.low - 6) < 1e-9 && fabs(p.expected - 17.5) < 1e-9);
    assert_true(fabs(p.high - 29.5) < 1e-9 && p.reserve == 12);
    assert_int_equal(p.at.ms, begin.ms + MS_PER_HOUR);
    /* two points at one time are before and after a stop: it is had from then on */
    view.count = 4;
    view.point[2] = (ViewPoint){view.point[1].at, 12, 22, 30, 12};
    view.point[3] = (ViewPoint){{begin.ms + 8 * MS_PER_HOUR}, 4, 12, 28, 12};
    assert_true(view_at(&view, view.point[1].at, &p));
    assert_true(p.low == 12 && p.expected == 22 && p.high == 30);
    assert_true(view_at(&view, begin, &p)); /* the first of all */
    assert_true(p.low == 8 && p.expected == 20 && p.high == 30);
    view.count = 2;
    assert_true(view_at(&view, view.point[1].at, &p));
    assert_true(p.low == 0 && p.expected == 10);
}

/* domain 6: median and 10-90 % band, at as many times as were asked for, evenly. */
static void each_point_is_what_the_quantiles_leave(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    const WhatIf nothing = what_if_nothing();
    Logbook *book = book_of_days(NULL, 30);
    Look look = look_at(book, NULL, &nothing);
    const State *state = book_state(book);
    const ForecastRate rate = plan_rate(look.board, state);
    const ForecastRate since = plan_since(look.board, state, &rate);
    const double water = (double)(look.board->supply.line + look.board->supply.reserve) / 1000;
    assert_int_equal(look.view.count, 100);
    for (int i = 0; i < 100; i++) {
        const ViewPoint *p = &look.view.point[i];
        const double days = days_to(look.board, p->at);
        assert_true(fabs(days - days_to(look.board, look.view.until) * i / 99) < 1e-7);
        assert_true(fabs(p->low - fmax(water - forecast_quantile(&since, days, 0.9), 0)) < 1e-4);
        assert_true(fabs(p->expected - fmax(water - forecast_quantile(&since, days, 0.5), 0)) <
                    1e-4);
        assert_true(fabs(p->high - fmax(water - forecast_quantile(&since, days, 0.1), 0)) < 1e-4);
    }
    forecast_view(&look.view, look.board, state, &rate, 1);
    assert_int_equal(look.view.count, 2);
    assert_int_equal(look.view.point[1].at.ms, look.view.until.ms);
    forecast_view(&look.view, look.board, state, &rate, 100000); /* room for each stop twice */
    assert_int_equal(look.view.count, VIEW_POINTS - 2 * STOPS_MAX);
    look_end(&look);
    /* With a stop that gives a little the curve ends as well where the high path is empty. */
    book_say(book, "stop near --eta +2d --litres 6");
    look = look_at(book, NULL, &nothing);
    const ViewPoint *end = &look.view.point[look.view.count - 1];
    assert_true(end->high < 0.1 && end[-1].high > 0);
    look_end(&look);
    book_close(book);
}

/* Nobody aboard is a crew; and what a dry stop changes tells nothing of a use that is not known. */
static void a_what_if_says_no_more_than_it_was_told(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    WhatIf what = what_if_nothing();
    what.crew = 0;
    Logbook *book = book_of_days(NULL, 20);
    Look look = look_at(book, NULL, &what);
    assert_int_equal(look.board->crew, 0);
    look_end(&look);
    book_close(book);
    book = book_open();
    book_say(book, "vessel A1 --capacity 20 --class potable --level 20");
    book_say(book, "couple galley A1");
    book_say(book, "stop near --eta +2d");
    what = what_if_nothing();
    what_if_toggle_dry(&what, &(Label){"near"});
    look = look_at(book, NULL, &what);
    assert_false(look.board->outlook_known);
    assert_false(look.view.known);
    look_end(&look);
    book_close(book);
    /* as many dry stops as there are stops, and no more */
    what = what_if_nothing();
    for (int i = 0; i <= STOPS_MAX; i++) {
        Label stop = {""};
        snprintf(stop.s, sizeof stop.s, "s%d", i);
        what_if_toggle_dry(&what, &stop);
        assert_int_equal(what.dry_count, i < STOPS_MAX ? i + 1 : STOPS_MAX);
    }
}

static int stop_point(const ForecastView *view, Moment eta)
{
    for (int i = 1; i < view->count; i++)
        if (view->point[i].at.ms == eta.ms && view->point[i - 1].at.ms == eta.ms)
            return i;
    return -1;
}

static void a_stop_fills_up_and_closes_the_band_or_adds_its_litres(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    const WhatIf nothing = what_if_nothing();
    Logbook *book = book_of_days(NULL, 30);
    book_say(book, "stop near --eta 2026-07-04T12:00:00Z --litres 6");
    book_say(book, "stop far --eta 2026-07-06T12:00:00Z");
    Look look = look_at(book, "2026-07-02T08:00:00Z", &nothing);
    int i = stop_point(&look.view, look.board->stops[0].eta);
    assert_true(i > 0);
    const ViewPoint *p = &look.view.point[i];
    assert_true(fabs(p->expected - look.view.point[i - 1].expected - 6) < 1e-9);
    assert_true(fabs(p->low - look.view.point[i - 1].low - 6) < 1e-9);
    i = stop_point(&look.view, look.board->stops[1].eta);
    assert_true(i > 0);
    p = &look.view.point[i];
    assert_true(p->low == p->high && p->expected == p->low);
    /* two of 25 L on the line, 12 in reserve, no heels */
    assert_true(p->expected == 62);
    assert_true(plan_full_litres(look.board, PLACE_LINE) == 50);
    look_end(&look);
    book_close(book);
}

static void the_curve_is_in_order_at_any_plan_and_ends_in_sight(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    const WhatIf nothing = what_if_nothing();
    Logbook *book = book_of_days(NULL, 12);
    for (int i = 0; i < STOPS_MAX - 1; i++) {
        char words[80];
        snprintf(words, sizeof words, "stop s%d --eta +%dd --litres %d", i, 1 + i, i % 3 * 7);
        book_say(book, words);
    }
    book_say(book, "stop last --eta 2040-01-01T12:00:00Z");
    Look look = look_at(book, NULL, &nothing);
    assert_true(days_to(look.board, look.view.until) <= VIEW_DAYS_MAX);
    assert_true(look.view.count > 100 && look.view.count <= VIEW_POINTS);
    for (int i = 0; i < look.view.count; i++) {
        const ViewPoint *p = &look.view.point[i];
        assert_true(p->low >= 0 && p->low <= p->expected && p->expected <= p->high);
        assert_true(p->high <= 62);
        assert_true(i == 0 || p->at.ms >= look.view.point[i - 1].at.ms);
    }
    look_end(&look);
    book_close(book);
}

static void the_water_counted_on_is_that_of_lines_and_reserve_with_its_worst_class(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Quality quality;
    Logbook *book = book_open();
    assert_int_equal(view_water(book_state(book), &quality), -1);
    book_say(book, "vessel A1 --capacity 20 --heel 0.5 --class potable --level 10");
    book_say(book, "vessel R1 --capacity 12 --duty reserve --class potable --level 12");
    book_say(book, "vessel W1 --capacity 12 --duty wash --class non-potable --level 5");
    assert_int_equal(view_water(book_state(book), &quality), 12000);
    book_say(book, "couple galley A1");
    assert_int_equal(view_water(book_state(book), &quality), 21500);
    assert_int_equal(quality, CLASS_POTABLE);
    book_say(book, "fill A1 2");
    assert_int_equal(view_water(book_state(book), &quality), 23500);
    assert_int_equal(quality, CLASS_QUESTIONABLE);
    book_close(book);
}

/* A log that nobody opened for two months, a year, two, twenty: the water is likely gone by now,
 * the band and the curve reach to where nothing was used (62 L at 10 L a day, and days away), and
 * the end is in sight. */
static void after_years_of_silence_the_end_is_in_sight_and_all_may_be_there(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    static const double silent[] = {60, 365, 730, 7300};
    const WhatIf nothing = what_if_nothing();
    for (size_t i = 0; i < sizeof silent / sizeof *silent; i++) {
        Logbook *book = book_of_days(NULL, 40);
        book_pass(book, silent[i]);
        Look look = look_at(book, NULL, &nothing);
        const Board *board = look.board;
        assert_true(days_to(board, board->to_empty.p10) < 0.01);
        assert_true(days_to(board, board->to_empty.p50) < 0.01);
        assert_true(days_to(board, board->to_empty.p90) > 4);
        assert_true(days_to(board, board->to_empty.p90) < 10);
        assert_true(board->odds_two_days > 0.1 && board->odds_two_days < 0.3);
        assert_non_null(alert_of(board, "low-water"));
        assert_non_null(alert_of(board, "sound-overdue"));
        assert_int_equal(vessel_of(board, "A1")->expected_low, 0);
        assert_int_equal(vessel_of(board, "A1")->expected_high, vessel_of(board, "A1")->volume);
        const ViewPoint *first = &look.view.point[0];
        assert_true(look.view.known && !look.view.lasts);
        assert_true(first->low <= 0 && first->expected <= 0);
        assert_true(
            fabs(first->high - (double)(board->supply.line + board->supply.reserve) / 1000) < 1e-6);
        assert_true(days_to(board, look.view.until) < 20);
        look_end(&look);
        book_close(book);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_empty_log_gives_no_curve_and_no_date),
        cmocka_unit_test(what_if_nothing_changes_nothing),
        cmocka_unit_test(with_nobody_aboard_the_water_lasts_and_no_date_is_given),
        cmocka_unit_test(a_rate_can_be_tried_before_the_log_has_taught_one),
        cmocka_unit_test(twice_the_crew_uses_twice_and_the_log_stays_as_it_was),
        cmocka_unit_test(a_dry_stop_ends_no_leg),
        cmocka_unit_test(the_curve_meets_zero_on_the_dates_that_the_board_gives),
        cmocka_unit_test(a_stop_fills_up_and_closes_the_band_or_adds_its_litres),
        cmocka_unit_test(the_curve_is_in_order_at_any_plan_and_ends_in_sight),
        cmocka_unit_test(the_water_counted_on_is_that_of_lines_and_reserve_with_its_worst_class),
        cmocka_unit_test(between_two_points_the_curve_is_straight),
        cmocka_unit_test(each_point_is_what_the_quantiles_leave),
        cmocka_unit_test(a_what_if_says_no_more_than_it_was_told),
        cmocka_unit_test(after_years_of_silence_the_end_is_in_sight_and_all_may_be_there),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
