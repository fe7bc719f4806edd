/* Which parts the trip needs, and before which date. */
#include "outlook/parts.h"

#include "outlook/forecast_view.h"
#include "outlook/plan.h"
#include "outlook/service.h"
#include "support/board_book.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* The parts to the last stop, as logged. */
static int parts_of(Logbook *book, const Board *board, Part out[STAGES_MAX])
{
    const State *state = book_state(book);
    const ForecastRate rate = plan_rate(board, state);
    return parts_needed(board, state, &rate, parts_trip_end(board), out);
}

/* Fitted 1 June, life 10 days: due 11 and 21 June and 1 July, all before 5 July. */
static void a_cartridge_by_date_is_counted_swap_by_swap_to_the_last_stop(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Part parts[STAGES_MAX];
    Logbook *book = book_of_days("stage s --type other --line galley --life-days 10", 5);
    book_say(book, "spares s 1");
    book_say(book, "stop Holm --eta 2026-06-15T12:00:00Z");
    book_say(book, "stop Tarn --eta 2026-07-05T12:00:00Z");
    Board *board = board_of(book, NULL);
    assert_int_equal(parts_of(book, board, parts), 1);
    assert_int_equal(parts[0].needed, 3);
    assert_int_equal(parts[0].spares, 1);
    assert_int_equal(parts[0].buy, 2);
    assert_moment(parts[0].before, "2026-06-21T00:00:00Z");
    assert_moment(parts[0].due, "2026-06-21T00:00:00Z");
    assert_int_equal(parts[0].at_stop, 0); /* Holm is the last one before it */
    char text[BOARD_TEXT];
    assert_string_equal(part_tell(board, &parts[0], text),
                        "buy 2 for s before Sun 21 Jun, at the latest at Holm");
    free(board);
    /* What is due at the moment of the last stop is due before it is left; a stop at the moment
     * when a part is due is not before it. */
    book_say(book, "stop Tarn --eta 2026-07-01T00:00:00Z");
    book_say(book, "stop Holm --eta 2026-06-21T00:00:00Z");
    board = board_of(book, NULL);
    assert_int_equal(parts_of(book, board, parts), 1);
    assert_int_equal(parts[0].needed, 3);
    assert_int_equal(parts[0].at_stop, -1);
    free(board);
    book_say(book, "stop Holm --eta 2026-06-20T23:59:59Z");
    board = board_of(book, NULL);
    assert_int_equal(parts_of(book, board, parts), 1);
    assert_int_equal(parts[0].at_stop, 0);
    free(board);
    book_say(book, "stop Tarn --eta 2026-06-30T23:59:59Z");
    board = board_of(book, NULL);
    assert_int_equal(parts_of(book, board, parts), 1);
    assert_int_equal(parts[0].needed, 2);
    free(board);
    book_say(book, "stop Tarn --eta 2026-07-05T12:00:00Z");
    book_say(book, "spares s 3");
    board = board_of(book, NULL);
    assert_int_equal(parts_of(book, board, parts), 1);
    assert_int_equal(parts[0].buy, 0);
    assert_false(moment_known(parts[0].before));
    assert_string_equal(part_tell(board, &parts[0], text), "s: 3 needed, 3 aboard");
    free(board);
    book_close(book);
}

static void spares_that_were_never_counted_are_taken_for_none(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Part parts[STAGES_MAX];
    char text[BOARD_TEXT];
    Logbook *book = book_of_days("stage s --type other --line galley --life-days 10", 5);
    book_say(book, "stop Holm --eta 2026-06-15T12:00:00Z");
    Board *board = board_of(book, NULL);
    assert_int_equal(parts_of(book, board, parts), 1);
    assert_int_equal(parts[0].buy, 1);
    assert_int_equal(parts[0].at_stop, -1);
    assert_string_equal(
        part_tell(board, &parts[0], text),
        "buy 1 for s before Thu 11 Jun, so before the next stop (spares never counted)");
    free(board);
    book_close(book);
}

/* Due 3 June; it is 7 June 08:00: the swap is made now, the next are due 9 and 11 June. */
static void what_is_overdue_is_swapped_now_and_not_in_the_past(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Part parts[STAGES_MAX];
    char text[BOARD_TEXT];
    Logbook *book = book_of_days("stage s --type other --line galley --life-days 2", 5);
    book_say(book, "spares s 0");
    book_say(book, "stop Holm --eta 2026-06-12T12:00:00Z");
    Board *board = board_of(book, "2026-06-07T08:00:00Z");
    assert_int_equal(parts_of(book, board, parts), 1);
    assert_int_equal(parts[0].needed, 3);
    assert_int_equal(parts[0].before.ms, board->now.ms);
    assert_string_equal(part_tell(board, &parts[0], text), "buy 3 for s now: it is due");
    free(board);
    book_close(book);
}

/* The day of 25 October 2026 has 25 hours in Central Europe; dates are local days all the same. */
static void dates_are_local_days_also_where_the_clocks_change(void **unused)
{
    (void)unused;
    zone_set(CENTRAL_EUROPE);
    Part parts[STAGES_MAX];
    Logbook *book = book_open();
    book_at(book, "2026-10-23T10:00:00Z");
    book_say(book, "vessel A1 --capacity 12");
    book_say(book, "couple galley A1");
    book_say(book, "stage s --type other --line galley --life-days 2");
    book_say(book, "spares s 1");
    book_say(book, "stop Holm --eta 2026-10-28T10:00:00Z");
    Board *board = board_of(book, NULL);
    assert_int_equal(parts_of(book, board, parts), 1);
    /* 25 and 27 October, 00:00 local: the second at +01:00 */
    assert_int_equal(parts[0].needed, 2);
    assert_moment(parts[0].before, "2026-10-26T23:00:00Z");
    free(board);
    book_close(book);
    zone_set("UTC0");
}

/* A life of one day from 28 February 2028 ends on the leap day. */
static void the_leap_day_is_a_day(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Part parts[STAGES_MAX];
    Logbook *book = book_open();
    book_at(book, "2028-02-28T10:00:00Z");
    book_say(book, "vessel A1 --capacity 12");
    book_say(book, "couple galley A1");
    book_say(book, "stage s --type other --line galley --life-days 1");
    book_say(book, "spares s 1");
    book_say(book, "stop Holm --eta 2028-03-01T12:00:00Z");
    Board *board = board_of(book, NULL);
    assert_int_equal(parts_of(book, board, parts), 1);
    assert_int_equal(parts[0].needed, 2); /* 29 February, 1 March */
    assert_moment(parts[0].before, "2028-03-01T00:00:00Z");
    free(board);
    book_close(book);
}

/* After the one that is in, each cartridge of 60 L lasts 60 / rate days. */
static void litres_are_counted_at_the_rate_that_the_log_taught(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Part parts[STAGES_MAX];
    Logbook *book = book_of_days("stage s --type other --line galley --life-litres 260", 20);
    book_say(book, "spares s 1");
    book_say(book, "stage s --life-litres 260");
    book_say(book, "stop Holm --eta 2026-09-01T12:00:00Z");
    Board *board = board_of(book, NULL);
    const ForecastRate rate = plan_rate(board, book_state(book));
    const BoardStage *s = stage_of(board, "s");
    assert_int_equal(s->litres_left, 60000); /* 20 x 10 L have gone through */
    assert_int_equal(parts_of(book, board, parts), 1);
    const double first = 60 / rate.day, second = first + 260 / rate.day;
    const double due = (double)(parts[0].due.ms - board->now.ms) / (double)MS_PER_DAY;
    assert_true(fabs(due - second) < 1e-6);
    /* the safe side: it may be due with odds of 10 % */
    const ForecastRate home = forecast_at_home(rate);
    const double early = forecast_time(&home, 260, 0.1).days;
    assert_true(fabs((double)(parts[0].before.ms - s->due_early.ms) / (double)MS_PER_DAY - early) <
                1e-6);
    assert_true(parts[0].before.ms < parts[0].due.ms);
    /* 73 days at about 10 L are about 730 L: the 60 that are left and two or three more */
    assert_in_range(parts[0].needed, 3, 4);
    assert_int_equal(parts[0].buy, parts[0].needed - 1);
    /* twice the use needs more, and earlier */
    Part doubled[STAGES_MAX];
    Board *what = malloc(sizeof *what);
    WhatIf twice = what_if_nothing();
    twice.litres_per_day = 2 * rate.day;
    what_if_board(what, board, book_state(book), &twice);
    const ForecastRate faster = what_if_rate(board, book_state(book), &twice);
    assert_int_equal(parts_needed(what, book_state(book), &faster, parts_trip_end(what), doubled),
                     1);
    assert_true(doubled[0].needed > parts[0].needed);
    assert_true(doubled[0].before.ms < parts[0].before.ms);
    free(what);
    free(board);
    book_close(book);
}

static void with_nobody_aboard_no_litres_run_and_no_part_is_needed(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Part parts[STAGES_MAX];
    Logbook *book = book_of_days("stage s --type other --line galley --life-litres 260", 20);
    book_say(book, "crew 0");
    book_say(book, "stop Holm --eta 2026-09-01T12:00:00Z");
    Board *board = board_of(book, NULL);
    assert_int_equal(parts_of(book, board, parts), 0);
    free(board);
    book_close(book);
}

static void a_lamp_that_always_burns_needs_no_rate(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Part parts[STAGES_MAX];
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12");
    book_say(book, "couple galley A1");
    book_say(book, "stage lamp --type uv --line galley --life-hours 48 --lamp always");
    book_say(book, "stop Holm --eta 2026-06-06T12:00:00Z");
    Board *board = board_of(book, NULL); /* 2026-06-01T08:00Z: due 3 and 5 June 08:00 */
    assert_false(board->use_known);
    assert_int_equal(parts_of(book, board, parts), 1);
    assert_int_equal(parts[0].needed, 2);
    assert_moment(parts[0].before, "2026-06-03T08:00:00Z");
    free(board);
    book_close(book);
}

static void a_very_short_life_is_not_counted_for_ever(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Part parts[STAGES_MAX];
    char text[BOARD_TEXT];
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12");
    book_say(book, "couple galley A1");
    book_say(book, "stage lamp --type uv --line galley --life-hours 0.001 --lamp always");
    book_say(book, "stop Holm --eta 2036-06-06T12:00:00Z");
    Board *board = board_of(book, NULL);
    assert_int_equal(parts_of(book, board, parts), 1);
    assert_int_equal(parts[0].needed, PARTS_SWAPS_MAX);
    assert_non_null(strstr(part_tell(board, &parts[0], text), "at least"));
    free(board);
    book_close(book);
}

static void without_a_stop_there_is_no_trip_and_in_an_empty_log_no_part(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Part parts[STAGES_MAX];
    Logbook *book = book_open();
    Board *board = board_of(book, NULL);
    assert_false(moment_known(parts_trip_end(board)));
    assert_int_equal(parts_of(book, board, parts), 0);
    free(board);
    book_close(book);
}

/* A lamp of 10 h that burns with the flow at 2 L/min is good for 1,200 L: at 10 L a day no swap
 * in 24 days; one of 0.5 h for 60 L: four, and few more by the early edge. */
static void a_lamp_that_burns_with_the_flow_lasts_by_litres(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    static const struct {
        const char *hours;
        int least, most;
    } cases[] = {{"10", 0, 0}, {"0.5", 3, 6}};
    char words[120];
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        snprintf(words, sizeof words,
                 "stage lamp --type uv --line galley --life-hours %s --lamp with-flow "
                 "--rated-lpm 2",
                 cases[i].hours);
        Logbook *book = book_of_days(NULL, 30); /* 10 L a day */
        book_say(book, words);
        book_say(book, "stop Holm --eta +24d");
        Board *board = board_of(book, NULL);
        Part parts[STAGES_MAX];
        const int count = parts_of(book, board, parts);
        const int needed = count > 0 ? (int)parts[0].needed : 0;
        assert_in_range(needed, cases[i].least, cases[i].most);
        free(board);
        book_close(book);
    }
}

/* A lamp that always burns, or whose flow was never said, lasts by the clock: 48 h from 1 June. */
static void a_lamp_without_a_flow_lasts_by_the_clock(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    static const char *const lamps[] = {"--lamp always --rated-lpm 2", "--lamp with-flow"};
    for (size_t i = 0; i < 2; i++) {
        char words[120];
        Part parts[STAGES_MAX];
        Logbook *book = book_open();
        book_say(book, "vessel A1 --capacity 12");
        book_say(book, "couple galley A1");
        snprintf(words, sizeof words, "stage lamp --type uv --line galley --life-hours 48 %s",
                 lamps[i]);
        book_say(book, words);
        book_say(book, "spares lamp 1");
        book_say(book, "stop Holm --eta 2026-06-06T12:00:00Z");
        Board *board = board_of(book, NULL);
        assert_int_equal(parts_of(book, board, parts), 1);
        assert_int_equal(parts[0].needed, 2);
        assert_moment(parts[0].before, "2026-06-05T08:00:00Z");
        free(board);
        book_close(book);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_cartridge_by_date_is_counted_swap_by_swap_to_the_last_stop),
        cmocka_unit_test(spares_that_were_never_counted_are_taken_for_none),
        cmocka_unit_test(what_is_overdue_is_swapped_now_and_not_in_the_past),
        cmocka_unit_test(dates_are_local_days_also_where_the_clocks_change),
        cmocka_unit_test(the_leap_day_is_a_day),
        cmocka_unit_test(litres_are_counted_at_the_rate_that_the_log_taught),
        cmocka_unit_test(with_nobody_aboard_no_litres_run_and_no_part_is_needed),
        cmocka_unit_test(a_lamp_that_always_burns_needs_no_rate),
        cmocka_unit_test(a_very_short_life_is_not_counted_for_ever),
        cmocka_unit_test(without_a_stop_there_is_no_trip_and_in_an_empty_log_no_part),
        cmocka_unit_test(a_lamp_that_burns_with_the_flow_lasts_by_litres),
        cmocka_unit_test(a_lamp_without_a_flow_lasts_by_the_clock),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
