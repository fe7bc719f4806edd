/* How much there is, and whether it lasts: low water, stops, leaks. */
#include "outlook/advice.h"
#include "outlook/board.h"

#include "support/board_book.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static bool said(Board *board, const char *id)
{
    advice_give(board);
    return alert_of(board, id) != NULL;
}

/* domain 6: odds of two more days under 90 %, or under a tenth on the line; no stop is needed. */
static void low_water_is_said_before_the_tap_runs_dry(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "crew 1");
    book_say(book, "vessel A1 --capacity 12 --heel 0.2 --class potable --level 12");
    book_say(book, "vessel A2 --capacity 12 --heel 0.2 --class potable --level 12");
    book_say(book, "couple galley A1 A2");
    Board *board = board_of(book, NULL);
    if (!(board->odds_two_days > 0.9 && board->line_share > 0.9))
        fail_msg("%g %g", board->odds_two_days, board->line_share);
    assert_null(alert_of(board, "low-water"));
    board->odds_two_days = 0.5;
    board->use_prior = 1; /* nothing learnt yet: a guess is no caution */
    assert_false(said(board, "low-water"));
    board->use_prior = 0.5;
    board->odds_two_days = 0.9;
    assert_false(said(board, "low-water"));
    board->odds_two_days = 0.8999;
    assert_true(said(board, "low-water"));
    assert_non_null(
        strstr(alert_of(board, "low-water")->text, "the odds are 89 %")); /* rounded down */
    board->odds_two_days = 1;
    board->line_share = 0.1;
    assert_false(said(board, "low-water"));
    board->line_share = 0.0999;
    assert_true(said(board, "low-water"));
    board->reserve = RESERVE_IN_USE; /* said louder */
    assert_false(said(board, "low-water"));
    free(board);
    /* and from a log: 1.6 L of 23.6, no stop planned */
    book_say(book, "draw galley 22");
    board = board_of(book, NULL);
    assert_non_null(alert_of(board, "low-water"));
    free(board);
    book_say(book, "stop \"Fen spring\" --eta 2026-06-02T08:00:00Z"); /* tomorrow: it lasts */
    board = board_of(book, NULL);
    assert_null(alert_of(board, "low-water"));
    /* the line does not, though with a reserve it would: of that nothing else is said */
    board->use_prior = 0.5;
    board->stops[0].odds_line = 0.9;
    board->stops[0].odds_all = 0.9;
    assert_false(said(board, "low-water"));
    board->stops[0].odds_line = 0.8999;
    assert_true(said(board, "low-water"));
    board->stops[0].odds_all = 0.8999;
    assert_false(said(board, "low-water"));
    assert_true(said(board, "stop-doubtful"));
    board->stops[0].odds_line = board->stops[0].odds_all = 1;
    board->stops[0].litres = 0; /* dry */
    assert_true(said(board, "low-water"));
    board->stops[0].litres = 5000;
    assert_false(said(board, "low-water"));
    board->stops[0].eta.ms = board->now.ms + 2 * MS_PER_DAY + 1;
    assert_true(said(board, "low-water"));
    free(board);
    book_say(book, "unstop \"Fen spring\"");
    board = board_of(book, NULL);
    assert_non_null(alert_of(board, "low-water"));
    free(board);
    book_say(book, "couple galley"); /* of no line nothing is said */
    board = board_of(book, NULL);
    assert_null(alert_of(board, "low-water"));
    free(board);
    book_close(book);
}

/* What is expected is not said as what is: the log makes it full, and nobody was heard of since. */
static void low_water_that_is_only_expected_may_be(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    static const struct {
        double days;
        const char *draws, *says;
    } cases[] = {{20, "note nothing", " may be under a tenth"},
                 {0, "draw galley 9", " is under a tenth"},
                 {20, "draw galley 9", " is under a tenth"}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        Logbook *book = book_open();
        book_say(book, "crew 2");
        book_say(book, "vessel A1 --capacity 10 --heel 0.1 --class potable --level 10");
        book_say(book, "couple galley A1");
        book_say(book, cases[i].draws);
        book_pass(book, cases[i].days);
        Board *board = board_of(book, NULL);
        board->use_prior = 1;
        assert_true(said(board, "low-water"));
        if (strstr(alert_of(board, "low-water")->text, cases[i].says) == NULL)
            fail_msg("%s", alert_of(board, "low-water")->text);
        free(board);
        book_close(book);
    }
}

/* domain 6: "low water": under 90 % that it lasts two more days. A stop within two days at which
 * the water is known to last to comes first, to the millisecond; now is not too late. */
static void a_stop_within_two_days_comes_before_low_water(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_of_days(NULL, 20);
    book_say(book, "stop Holm --eta +3d");
    Board *board = board_of(book, NULL);
    BoardStop *stop = &board->stops[0];
    board->use_prior = 0.1;
    board->odds_two_days = 0.5;
    stop->odds_line = stop->odds_all = 1;
    stop->eta.ms = board->now.ms + 2 * MS_PER_DAY;
    assert_false(said(board, "low-water"));
    stop->eta.ms++;
    assert_true(said(board, "low-water"));
    stop->eta = board->now;
    assert_false(said(board, "low-water"));
    board->stop_count = 0; /* no longer planned */
    assert_true(said(board, "low-water"));
    board->stop_count = 1;
    stop->eta.ms--;
    assert_true(said(board, "low-water"));
    /* which of the two it is: the odds, where they are short */
    board->odds_two_days = 0.9;
    board->line_share = 0.05;
    assert_true(said(board, "low-water"));
    assert_non_null(
        strstr(alert_of(board, "low-water")->text, "may be under a tenth of what it holds"));
    free(board);
    book_close(book);
}

/* domain 6: of a stop the odds: hardly under 50 %, doubtful under 90 %. */
static void a_stop_is_missed_under_even_odds_and_doubtful_under_nine_in_ten(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_of_days(NULL, 20);
    book_say(book, "stop Holm --eta +3d");
    Board *board = board_of(book, NULL);
    static const struct {
        double odds;
        bool missed, doubtful;
    } cases[] = {{0, true, false},      {0.4999, true, false}, {0.5, false, true},
                 {0.5049, false, true}, {0.8999, false, true}, {0.9, false, false}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        board->stops[0].odds_all = cases[i].odds;
        assert_int_equal(said(board, "stop-missed"), cases[i].missed);
        assert_int_equal(said(board, "stop-doubtful"), cases[i].doubtful);
    }
    free(board);
    book_close(book);
}

/* domain 6: a leak is said as such, and is no entry that does not agree. */
static void a_leak_is_named_with_its_litres_and_its_day(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel R1 --capacity 12 --duty reserve --class potable --level 12");
    book_pass(book, 3);
    book_say(book, "sound R1 8.9");
    Board *board = board_of(book, NULL);
    assert_string_equal(
        alert_of(board, "leak")->text,
        "3.1 L were missing from R1 on Thu 4 Jun: a leak? Look for it. Where it was "
        "used or spilt, settle the entry.");
    assert_int_equal(alert_of(board, "leak")->level, ALERT_CAUTION);
    assert_null(alert_of(board, "discrepancy"));
    board->discrepancies[0].amount = 60000; /* thousandths, and nothing but */
    assert_true(said(board, "leak"));
    assert_non_null(strstr(alert_of(board, "leak")->text, "60.0 L were missing from R1"));
    board->units = UNITS_US; /* a US gallon is 3.785 L, an imperial one 4.546 (NIST HB 44) */
    assert_true(said(board, "leak"));
    assert_non_null(strstr(alert_of(board, "leak")->text, "15.9 gal were missing from R1"));
    board->units = UNITS_IMPERIAL;
    assert_true(said(board, "leak"));
    assert_non_null(strstr(alert_of(board, "leak")->text, "13.2 gal were missing from R1"));
    free(board);
    book_pass(book, 3);
    book_say(book, "sound R1 5");
    book_force(book, "draw R1 9");
    board = board_of(book, NULL);
    assert_non_null(strstr(alert_of(board, "leak")->text, "3.9 L were missing from R1"));
    assert_non_null(strstr(alert_of(board, "leak")->text, "(and 1 more)"));
    assert_non_null(strstr(alert_of(board, "discrepancy")->text, "1 entry"));
    free(board);
    book_close(book);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(low_water_is_said_before_the_tap_runs_dry),
        cmocka_unit_test(low_water_that_is_only_expected_may_be),
        cmocka_unit_test(a_stop_within_two_days_comes_before_low_water),
        cmocka_unit_test(a_stop_is_missed_under_even_odds_and_doubtful_under_nine_in_ten),
        cmocka_unit_test(a_leak_is_named_with_its_litres_and_its_day),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
