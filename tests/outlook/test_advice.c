/* The alerts: when each applies, how loud, about what. */
#include "model/fold.h"
#include "outlook/advice.h"
#include "outlook/board.h"
#include "outlook/words.h"
#include "reckon/freeze.h"

#include "support/board_book.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static void due_without_a_spare_is_said_louder(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    static const struct {
        const char *spares, *id;
        AlertLevel level;
    } cases[] = {{NULL, "stage-due-no-spare", ALERT_WARNING},
                 {"spares s 0", "stage-due-no-spare", ALERT_WARNING},
                 {"spares s 1", "stage-due", ALERT_CAUTION}};
    for (size_t i = 0; i < 3; i++) {
        Logbook *book = book_open();
        book_say(book, "stage s --type other --line galley --life-days 30");
        if (cases[i].spares != NULL)
            book_say(book, cases[i].spares);
        book_pass(book, 40);
        Board *board = board_of(book, NULL);
        const Alert *alert = alert_of(board, cases[i].id);
        assert_non_null(alert);
        assert_int_equal(alert->level, cases[i].level);
        assert_string_equal(alert->about.s, "s");
        free(board);
        book_close(book);
    }
}

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
    book_close(book);
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
    stop->eta.ms--;
    assert_true(said(board, "low-water"));
    /* which of the two it is: the odds, where they are short */
    board->odds_two_days = 0.9;
    board->line_share = 0.05;
    assert_true(said(board, "low-water"));
    assert_non_null(
        strstr(alert_of(board, "low-water")->text, "is under a tenth of what it holds"));
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

static void worse_water_upstream_is_warned_of_before_anything_is_drawn(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 10 --class questionable --level 5");
    book_say(book, "vessel A2 --capacity 10 --class potable --level 5");
    book_say(book, "vessel A3 --capacity 10 --class potable --level 5");
    book_say(book, "couple galley A1 A2 A3");
    Board *board = board_of(book, NULL);
    const Alert *alert = alert_of(board, "upstream-worse");
    assert_non_null(alert);
    assert_int_equal(alert->level, ALERT_WARNING);
    assert_string_equal(alert->about.s, "A2");
    assert_non_null(strstr(alert->text, "A1"));
    assert_non_null(strstr(alert->text, "(and 1 more)"));
    assert_int_equal(vessel_of(board, "A2")->quality, CLASS_POTABLE);
    free(board);
    /* Once it is drawn the harm is done: nothing is left to warn of, but what the tap delivers. */
    book_say(book, "draw galley 1");
    board = board_of(book, NULL);
    assert_null(alert_of(board, "upstream-worse"));
    assert_non_null(alert_of(board, "delivers-questionable"));
    assert_string_equal(alert_of(board, "delivers-questionable")->about.s, "galley");
    free(board);
    book_close(book);
}

static void a_spent_vessel_of_worse_class_passes_only_air(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 10 --heel 0.2 --class non-potable --level 0.2");
    book_say(book, "vessel A2 --capacity 10 --class potable --level 5");
    book_say(book, "couple galley A1 A2");
    Board *board = board_of(book, NULL);
    assert_null(alert_of(board, "upstream-worse"));
    assert_true(vessel_of(board, "A1")->spent);
    assert_true(vessel_of(board, "A2")->lead);
    assert_int_equal(board->lines[0].verdict, VERDICT_DRINK);
    free(board);
    book_close(book);
}

static void the_tap_says_what_it_delivers(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 10 --class non-potable --level 5");
    book_say(book, "couple galley A1");
    Board *board = board_of(book, NULL);
    assert_non_null(alert_of(board, "delivers-non-potable"));
    assert_non_null(alert_of(board, "no-potable"));
    assert_int_equal(board->alerts[0].level, ALERT_WARNING);
    free(board);
    book_close(book);
}

static void the_reserve_speaks_up(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 10 --class potable --level 5");
    book_say(book, "vessel R1 --capacity 10 --duty reserve --class potable --level 9.4");
    book_say(book, "couple galley A1");
    Board *board = board_of(book, NULL);
    assert_int_equal(board->reserve, RESERVE_SHORT); /* 94 % full */
    assert_non_null(alert_of(board, "reserve-short"));
    free(board);
    book_say(book, "draw galley 5");
    board = board_of(book, NULL);
    assert_int_equal(board->reserve, RESERVE_IN_USE);
    assert_int_equal(alert_of(board, "reserve-in-use")->level, ALERT_WARNING);
    free(board);
    book_say(book, "draw R1 9.4");
    board = board_of(book, NULL);
    assert_int_equal(board->reserve, RESERVE_SPENT);
    assert_non_null(alert_of(board, "no-potable"));
    free(board);
    book_close(book);
}

static void a_line_above_the_rated_pressure_of_a_vessel_is_a_warning(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 10 --rated 400 --class potable --level 5");
    book_say(book, "couple galley A1");
    book_say(book, "pressurise galley 276");
    Board *board = board_of(book, NULL);
    assert_null(alert_of(board, "above-rated"));
    free(board);
    book_say(book, "vessel A1 --rated 276"); /* to the pascal: at the rating, and one below it */
    board = board_of(book, NULL);
    assert_null(alert_of(board, "above-rated"));
    free(board);
    book_say(book, "vessel A1 --rated 275.999");
    board = board_of(book, NULL);
    assert_non_null(alert_of(board, "above-rated"));
    assert_int_equal(alert_of(board, "above-rated")->level, ALERT_WARNING);
    assert_non_null(strstr(alert_of(board, "above-rated")->text,
                           "A1 is rated for 275.999 kPa (40 psi), and galley works at 276 kPa "
                           "(40 psi)."));
    free(board);
    book_close(book);
}

static void assert_can(Logbook *book, const char *alert)
{
    static const char *const ids[] = {"above-rated", "takes-no-pressure",
                                      "takes-no-pressure-vented"};
    Board *board = board_of(book, NULL);
    for (size_t i = 0; i < sizeof ids / sizeof ids[0]; i++) {
        const Alert *a = alert_of(board, ids[i]);
        if (strcmp(ids[i], alert) != 0) {
            assert_null(a);
            continue;
        }
        assert_non_null(a);
        assert_non_null(strstr(a->text, "A1"));
        assert_int_equal(a->level, i < 2 ? ALERT_WARNING : ALERT_CAUTION);
    }
    free(board);
}

static void a_plain_can_on_a_line_is_warned_of(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 10 --rated 0");
    book_say(book, "vessel A2 --capacity 10");
    assert_can(book, ""); /* apart it may stand */
    book_say(book, "couple galley A1 A2");
    assert_can(book, "takes-no-pressure"); /* nobody says that the line is without air */
    book_say(book, "pressurise galley 0");
    assert_can(book, "takes-no-pressure-vented");
    book_say(book, "pressurise galley 0.001 --asserted");
    assert_can(book, "above-rated");
    book_say(book, "couple galley A2");
    assert_can(book, "");
    book_close(book);
}

static void vessels_are_due_for_sanitising_and_water_ages(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 10");
    book_say(book, "vessel W1 --capacity 10 --duty wash");
    Board *board = board_of(book, NULL);
    assert_string_equal(alert_of(board, "never-sanitised")->about.s, "A1");
    assert_false(moment_known(vessel_of(board, "W1")->sanitise_due));
    free(board);
    book_say(book, "sanitise A1");
    book_say(book, "sanitise W1"); /* it takes whatever water is found: never due */
    book_say(book, "fill A1 5 --class potable");
    /* 1 June and 180 days: 28 November. 14 days before: 14 November. */
    board = board_of(book, "2026-11-13T23:00:00Z");
    assert_null(alert_of(board, "never-sanitised"));
    assert_moment(vessel_of(board, "A1")->sanitise_due, "2026-11-28T00:00:00Z");
    assert_false(moment_known(vessel_of(board, "W1")->sanitise_due));
    assert_null(alert_of(board, "sanitise-soon"));
    free(board);
    board = board_of(book, "2026-11-14T00:00:00Z");
    assert_non_null(alert_of(board, "sanitise-soon"));
    free(board);
    board = board_of(book, "2026-11-28T00:00:00Z");
    assert_non_null(alert_of(board, "sanitise-due"));
    free(board);
    board = board_of(book, "2026-07-01T07:59:59Z");
    assert_null(alert_of(board, "stale"));
    free(board);
    board = board_of(book, "2026-07-01T08:00:00Z"); /* 30 days after the fill */
    assert_non_null(alert_of(board, "stale"));
    assert_true(vessel_of(board, "A1")->stale);
    free(board);
    book_close(book);
}

static void a_sounding_is_asked_for_after_seven_days(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 10 --class potable --level 5");
    book_say(book, "vessel S1 --capacity 10 --duty store --class potable --level 5");
    book_say(book, "couple galley A1");
    Board *board = board_of(book, "2026-06-08T08:00:00Z");
    assert_null(alert_of(board, "sound-overdue"));
    free(board);
    board = board_of(book, "2026-06-08T08:00:01Z");
    assert_string_equal(alert_of(board, "sound-overdue")->about.s, "A1");
    assert_non_null(strstr(alert_of(board, "sound-overdue")->text, "for 7 days"));
    free(board);
    book_pass(book, 7);
    book_say(book, "sound A1 5");
    board = board_of(book, "2026-06-08T08:00:01Z");
    assert_null(alert_of(board, "sound-overdue"));
    free(board);
    book_close(book);
}

static void a_log_that_ends_after_now_is_said(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 10 --class potable --level 5");
    Board *board = board_of(book, "2026-06-01T07:57:59Z"); /* two minutes and a second */
    assert_null(alert_of(board, "clock"));
    free(board);
    board = board_of(book, "2026-06-01T07:57:58Z");
    assert_int_equal(alert_of(board, "clock")->level, ALERT_CAUTION);
    assert_non_null(strstr(alert_of(board, "clock")->text, "08:00"));
    free(board);
    book_close(book);
}

static void entries_that_can_not_be_read_come_first(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 10 --class potable --level 5");
    Board *board = board_of(book, NULL);
    assert_null(alert_of(board, "unread"));
    State s = *book_state(book);
    fold_unread(&s);
    board_make(board, &s, 2, book->now);
    assert_ptr_equal(&board->alerts[0], alert_of(board, "unread"));
    assert_int_equal(board->alerts[0].level, ALERT_WARNING);
    assert_non_null(strstr(board->alerts[0].text, "1 entry of the log can't be read"));
    assert_int_equal(vessel_of(board, "A1")->quality, CLASS_QUESTIONABLE);
    free(board);
    book_close(book);
}

/* What is due soon says when: litres where they are what ends it, else the day. */
static void what_is_due_soon_says_when(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "stage s --type sediment --line galley --life-days 30");
    book_say(book, "spares s 1");
    Board *board = board_of(book, NULL);
    BoardStage *s = &board->stages[0];
    s->state = SERVICE_SOON;
    assert_true(said(board, "stage-soon"));
    assert_non_null(strstr(alert_of(board, "stage-soon")->text, "on Wed 1 Jul"));
    s->litres_left = 1000000; /* by date all the same */
    assert_true(said(board, "stage-soon"));
    assert_non_null(strstr(alert_of(board, "stage-soon")->text, "on Wed 1 Jul"));
    s->because = BECAUSE_LITRES;
    assert_true(said(board, "stage-soon"));
    assert_non_null(strstr(alert_of(board, "stage-soon")->text, "with 1000 L of its life left"));
    s->litres_left = 0;
    assert_true(said(board, "stage-soon"));
    assert_non_null(strstr(alert_of(board, "stage-soon")->text, "with 0 L of its life left"));
    /* clogging asks to look at a sediment stage, and says where nothing is aboard for it */
    BoardLine *line = &board->lines[0];
    assert_int_equal(line->stage_count, 1);
    line->flow_fell = true;
    line->flow_ratio = 0.5;
    assert_true(said(board, "flow-fell"));
    assert_null(strstr(alert_of(board, "flow-fell")->text, "no spare"));
    s->spares = 0;
    assert_true(said(board, "flow-fell"));
    assert_non_null(strstr(alert_of(board, "flow-fell")->text, "no spare"));
    free(board);
    book_close(book);
}

static void discrepancies_and_a_crew_never_said_are_on_the_board(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 10 --class potable --level 5");
    book_force(book, "draw A1 9");
    Board *board = board_of(book, NULL);
    assert_int_equal(board->discrepancy_count, 1);
    assert_non_null(strstr(alert_of(board, "discrepancy")->text, "1 entry"));
    assert_non_null(alert_of(board, "crew-unknown"));
    free(board);
    static const char *const crews[] = {"crew 1", "crew 0"}; /* nobody aboard is an answer */
    for (int i = 0; i < 2; i++) {
        book_say(book, crews[i]);
        board = board_of(book, NULL);
        assert_null(alert_of(board, "crew-unknown"));
        free(board);
    }
    book_close(book);
}

/* Before: the alert of that id; after the putoff: none, and a notice only of what is not to be
 * relied on. */
static void assert_held(Logbook *book, const char *alert, const char *putoff, const char *notice)
{
    Board *board = board_of(book, NULL);
    if (alert_of(board, alert) == NULL)
        fail_msg("%s does not speak", alert);
    free(board);
    book_say(book, putoff);
    board = board_of(book, NULL);
    if (alert_of(board, alert) != NULL)
        fail_msg("%s still speaks after: %s", alert, putoff);
    const Alert *held = notice ? alert_of(board, notice) : NULL;
    if (!notice) {
        for (int i = 0; i < board->alert_count; i++)
            if (strcmp(board->alerts[i].id, "stage-due-put-off") != 0)
                assert_null(strstr(board->alerts[i].text, "put off"));
        free(board);
        return;
    }
    assert_non_null(held);
    assert_int_equal(held->level, ALERT_NOTICE);
    assert_non_null(strstr(held->text, "put off to"));
    free(board);
}

static void what_was_put_off_is_quiet_until_its_time(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 10");
    book_say(book, "couple galley A1");
    assert_held(book, "never-sanitised", "putoff A1 --what sanitise", NULL);
    book_say(book, "sanitise A1");
    book_say(book, "fill A1 5 --class potable");
    book_say(book, "stage s --type other --line galley --life-days 30");
    book_say(book, "stage t --type other --line galley --life-days 35");
    book_say(book, "spares t 1");
    book_pass(book, 31);
    assert_held(book, "stage-due-no-spare", "putoff s", "stage-due-put-off");
    assert_held(book, "stage-soon", "putoff t", NULL);
    assert_held(book, "stale", "putoff A1 --what water", NULL);
    book_pass(book, 140); /* 171 days: 9 before sanitising */
    assert_held(book, "sanitise-soon", "putoff A1 --what sanitise", NULL);
    book_pass(book, 10);
    assert_held(book, "sanitise-due", "putoff A1 --what sanitise", NULL);
    book_pass(book, 7);
    Board *board = board_of(book, NULL); /* a week later it is there again */
    assert_non_null(alert_of(board, "sanitise-due"));
    assert_non_null(alert_of(board, "stage-due-no-spare"));
    free(board);
    book_close(book);
}

static void a_clogged_stage_that_was_put_off_is_quiet(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_of_days("stage sediment --type sediment --line galley", 1);
    book_say(book, "flowtest galley 1 10");
    book_say(book, "flowtest galley 1 16");
    assert_held(book, "flow-fell", "putoff sediment", NULL);
    book_close(book);
}

/* A putoff of everything there is: what the tap delivers, and the pressure, are said all the same,
 * and a train past its life is not relied on. */
static void nothing_about_class_or_pressure_can_be_put_off(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 10 --rated 200 --class questionable --level 5");
    book_say(book, "vessel A2 --capacity 10 --class potable --level 5");
    book_say(book, "couple galley A1 A2");
    book_say(book, "pressurise galley 276 --asserted"); /* it moves water down the line */
    book_say(book, "stage s --type uv --line galley --life-days 30 --purifying");
    Board *board = board_of(book, NULL);
    assert_int_equal(board->lines[0].verdict, VERDICT_DRINK_IF_TREATED);
    free(board);
    book_pass(book, 30);
    book_say(book, "putoff s");
    book_say(book, "putoff A1 --what water");
    book_say(book, "putoff A1 --what sanitise");
    book_say(book, "putoff A2 --what water");
    book_say(book, "putoff A2 --what sanitise");
    board = board_of(book, NULL);
    assert_non_null(alert_of(board, "above-rated"));
    assert_non_null(alert_of(board, "delivers-questionable"));
    assert_int_equal(board->lines[0].verdict, VERDICT_BOIL_FIRST);
    assert_false(board->lines[0].purifies);
    free(board);
    book_close(book);
}

static void alerts_come_worst_first_and_fit(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    char words[160];
    /* Labels as long as they may be, in letters of two bytes: the sentences are cut, never inside
     * one. */
    for (int i = 0; i < VESSELS_ABOARD_MAX; i++) {
        snprintf(words, sizeof words,
                 "vessel \303\244\303\244\303\244\303\244\303\244\303\244\303\244\303\244\303\244"
                 "\303\244\303\244\303\244\303\244\303\244\303\244\303\244\303\244\303\244\303\244"
                 "\303\244\303\244%02d --capacity 10 --class questionable --level 5",
                 i);
        book_say(book, words);
    }
    book_pass(book, 200);
    Board *board = board_of(book, NULL);
    assert_true(board->alert_count <= BOARD_ALERTS_MAX);
    assert_non_null(strstr(alert_of(board, "never-sanitised")->text, ": never sanitised"));
    for (int i = 0; i < board->alert_count; i++) {
        assert_true(text_is_utf8(text_of(board->alerts[i].text)));
        assert_true(strlen(board->alerts[i].text) < BOARD_TEXT);
        if (i > 0)
            assert_true(board->alerts[i].level <= board->alerts[i - 1].level);
    }
    free(board);
    book_close(book);
}

/* ---- what tests found ---- */

static Logbook *tested_aboard(void)
{
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "source \"Holm tap\" --type mains --class potable");
    book_say(book, "vessel A1 --capacity 12");
    book_say(book, "vessel B1 --capacity 12");
    book_say(book, "sanitise A1");
    book_say(book, "sanitise B1");
    book_say(book, "fill A1 12 --from \"Holm tap\"");
    book_say(book, "fill B1 12 --from \"Holm tap\"");
    book_say(book, "couple galley A1");
    return book;
}

typedef struct {
    const char *test, *id, *verdict; /* id: NULL where nothing of the kind is to be said */
    const char *says;
} Tested;

/* On both sides of each limit: what is said, and that "drink" never stands alone beside it. */
static void each_result_is_told_with_what_to_do_and_no_more(void **unused)
{
    (void)unused;
    static const Tested cases[] = {
        {"test A1 --chlorine 0.2", NULL, "drink", ""},
        {"test A1 --chlorine 0.199", "residual-low", "drink (residual)", "test after 30 minutes"},
        {"test galley --chlorine 0.199", "tap-residual-low", "drink (residual)", "at the tap"},
        {"test A1 --chlorine 4", NULL, "drink", ""},
        {"test A1 --chlorine 4.001", "residual-high", "drink (chlorine)", "US EPA (WHO: 5)"},
        {"test A1 --chlorine 5.001", "residual-high", "drink (chlorine)", "and the 5 of the WHO"},
        {"test galley --chlorine 4.001", "tap-residual-high", "drink (chlorine)", "at the tap"},
        {"test A1 --nitrate 10 --nitrate-as n", NULL, "drink", ""},
        {"test A1 --nitrate 10.001 --nitrate-as n", "nitrate", "drink (nitrate)", "12 months"},
        /* 50 mg/L of the ion are 11.3 as nitrogen: not 50, and not under 10 */
        {"test A1 --nitrate 50 --nitrate-as no3", "nitrate", "drink (nitrate)", "Do not boil"},
        {"test A1 --nitrate 44 --nitrate-as no3", NULL, "drink", ""},
        {"test A1 --coliform absent --ecoli absent", NULL, "drink", ""},
        {"test A1 --coliform present", "coliforms", "boil first", "sanitise"},
        {"test A1 --ecoli present", "ecoli", "boil first", "test again"},
        {"test galley --ecoli present", "ecoli", "boil first", "in A1"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        Logbook *book = tested_aboard();
        Board *before = board_of(book, NULL);
        book_say(book, cases[i].test);
        Board *board = board_of(book, NULL);
        assert_string_equal(tap_verdict(&board->lines[0]), cases[i].verdict);
        if (cases[i].id == NULL)
            assert_int_equal(board->alert_count, before->alert_count);
        else if (alert_of(board, cases[i].id) == NULL ||
                 strstr(alert_of(board, cases[i].id)->text, cases[i].says) == NULL)
            fail_msg("%s: %s", cases[i].test,
                     alert_of(board, cases[i].id) ? alert_of(board, cases[i].id)->text : "nothing");
        char why[200];
        tap_why(board, &board->lines[0], why, sizeof why);
        assert_int_equal(strcmp(why, "potable all the way") == 0, cases[i].id == NULL);
        free(before);
        free(board);
        book_close(book);
    }
}

static void with_e_coli_too_infants_get_other_water(void **unused)
{
    (void)unused;
    Logbook *book = tested_aboard();
    book_say(book, "test B1 --nitrate 12 --nitrate-as n --ecoli present");
    Board *board = board_of(book, NULL);
    const char *text = alert_of(board, "nitrate")->text;
    assert_non_null(strstr(text, "Give them other water"));
    assert_non_null(strstr(text, "others boil first"));
    assert_string_equal(tap_verdict(&board->lines[0]), "drink"); /* B1 is not on the line */
    free(board);
    book_close(book);
}

/* Public pages promise that chlorine is gone after 24 hours in an open can; measured are 51 to 62 %
 * lost (Toxin Reviews 40:1407, 2021). Standing is advised with a test after it only. */
static void nothing_promises_that_standing_takes_chlorine_out(void **unused)
{
    (void)unused;
    Logbook *book = tested_aboard();
    book_say(book, "test A1 --chlorine 8");
    book_pass(book, 5);
    Board *board = board_of(book, NULL);
    assert_non_null(strstr(alert_of(board, "residual-high")->text, "let it stand and test again"));
    assert_null(strstr(alert_of(board, "residual-high")->text, "24"));
    free(board);
    book_close(book);
}

static void a_residual_is_asked_for_again_when_it_may_have_faded(void **unused)
{
    (void)unused;
    Logbook *book = tested_aboard();
    book_say(book, "test B1 --chlorine 2.3");
    book_pass(book, 1);
    book_say(book, "test B1 --chlorine 1.9");
    book_pass(book, 7.6);
    Board *board = board_of(book, NULL);
    assert_null(alert_of(board, "residual-faded"));
    free(board);
    book_pass(book, 0.1); /* 7.638 days: tests/reckon/test_decay.c */
    board = board_of(book, NULL);
    assert_non_null(alert_of(board, "residual-faded"));
    free(board);
    book_say(book, "dump B1 1");
    book_say(book, "decant A1 B1 0.1"); /* of what is mixed no decay is known */
    board = board_of(book, NULL);
    assert_false(moment_known(vessel_of(board, "B1")->faded));
    assert_null(alert_of(board, "residual-faded"));
    free(board);
    book_close(book);
}

/* Found at the tap, and gone from the vessels: the line stays what it is, and says why. */
static void a_line_that_was_found_so_says_it_until_it_is_sanitised(void **unused)
{
    (void)unused;
    Logbook *book = tested_aboard();
    book_say(book, "test galley --coliform present");
    book_say(book, "treat A1 boil --minutes 3");
    Board *board = board_of(book, NULL);
    char why[200];
    assert_non_null(strstr(alert_of(board, "tap-found")->text, "boil first"));
    assert_string_equal(tap_verdict(&board->lines[0]), "boil first");
    tap_why(board, &board->lines[0], why, sizeof why);
    assert_string_equal(why, "coliforms found at the tap: sanitise the line");
    free(board);
    book_close(book);
}

static void results_are_told_with_their_unit_and_age(void **unused)
{
    (void)unused;
    Logbook *book = tested_aboard();
    book_say(book, "test B1 --chlorine 0.6 --nitrate 44.3 --nitrate-as no3 --ecoli absent");
    book_pass(book, 1.9);
    book_say(book, "test B1 --ph 7.4 --temp 3.5 --coliform present");
    Board *board = board_of(book, NULL);
    Str told = {0};
    results_tell(vessel_of(board, "B1")->results.latest, board->now, &told);
    assert_string_equal(told.s, "chlorine 0.6 mg/L, 1 d ago; pH 7.4, 0 d ago; "
                                "nitrate 10.008 mg/L as N, 1 d ago; 3.5 C, 0 d ago; "
                                "coliforms present, 0 d ago; E. coli absent, 1 d ago");
    str_finish(&told);
    assert_string_equal(found_name(vessel_of(board, "B1")->marks), "coliforms found, nitrate");
    free(board);
    book_close(book);
}

/* Four readings and soundings with 10 L each: chance within 2.576 standard errors of a stick that
 * is right within 0.6 L, 19 times of 20. */
static void a_meter_that_differs_from_the_soundings_is_said(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    for (int off = 0; off < 3; off++) {
        static const char *const sounds[] = {"sound A1 1.46", "sound A1 1.45", "sound A1 2.55"};
        Logbook *book = book_open();
        book_say(book, "vessel A1 --capacity 12 --class potable --level 12");
        book_say(book, "couple galley A1");
        book_say(book, "meter galley 0");
        for (int i = 1; i <= 4; i++) {
            char words[64];
            snprintf(words, sizeof words, "meter galley %d", i * 10);
            book_say(book, words);
            book_say(book, sounds[off]);
            book_say(book, "fill A1 --level 12");
            book_pass(book, 2);
        }
        Board *board = board_of(book, NULL);
        const Alert *alert = alert_of(board, "meter-off");
        assert_int_equal(alert != NULL, off > 0);
        if (alert != NULL) {
            assert_int_equal(alert->level, ALERT_CAUTION);
            assert_non_null(strstr(alert->text, off == 1 ? "5.5 % less" : "5.5 % more"));
            assert_non_null(strstr(alert->text, "ullage reckon meter"));
        }
        free(board);
        book_close(book);
    }
}

/* ullage reckon freeze: 6 mm of 2.9 C in air of -5 C and 10 m/s of wind has its first ice within a
 * minute or two, a vessel within hours; both from the time that it was measured. */
static void cold_water_says_what_to_drain_and_by_when(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    static const struct {
        const char *test;
        double days;
        bool said;
    } cases[] = {{"test galley --temp 3", 0, false},      {"test galley --temp 2.999", 0, true},
                 {"test galley --temp 2.9", 0.999, true}, {"test galley --temp 2.9", 1.001, false},
                 {"test A1 --temp 2.9", 0, false},        {"test galley --temp -12", 0, true}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        Logbook *book = book_open();
        book_say(book, "vessel A1 --capacity 12 --class potable --level 10");
        book_say(book, "couple galley A1");
        book_say(book, cases[i].test);
        book_pass(book, cases[i].days);
        Board *board = board_of(book, NULL);
        const Alert *alert = alert_of(board, "frost");
        assert_int_equal(alert != NULL, cases[i].said);
        if (alert != NULL) {
            assert_non_null(strstr(alert->text, i == 5 ? "in air of -12 C and wind"
                                                       : "in air of -5 C and wind"));
            assert_non_null(strstr(alert->text, "a bare line may freeze from "));
            assert_non_null(strstr(alert->text, ", ice begin in a vessel from "));
            assert_non_null(strstr(alert->text, "Drain first the tap"));
        }
        free(board);
        book_close(book);
    }
}

/* As `ullage reckon freeze` takes them: bare line of 6 mm in 9 mm, no wall, -5 C or as cold as
 * measured, 10 m/s. The earliest vessel is the fullest of the small ones: an empty one has no ice,
 * and less than 0.1 L is reckoned as that. */
static void frost_is_told_to_the_minute_of_the_reckoner(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --class potable --level 10");
    book_say(book, "vessel A2 --capacity 12 --class potable --level 0");
    book_say(book, "couple galley A1 A2");
    book_say(book, "test galley --temp 2.5");
    Board *board = board_of(book, NULL);
    char line[120], vessel[80];
    const FreezeTube bare = {.bore_m = 0.006, .outer_m = 0.009, .wall_w_mk = INFINITY};
    const int first = (int)freeze_tube(&bare, 2.5, -5, 10).first_seconds;
    const int ice = (int)freeze_vessel(10, 0, 2.5, -5, 10).first_seconds;
    assert_true(ice > first + 60);
    snprintf(line, sizeof line,
             "2.5 C on Mon 1 Jun 08:00: in air of -5 C and wind a bare line may "
             "freeze from 08:%02d on",
             first / 60);
    snprintf(vessel, sizeof vessel, ", ice begin in a vessel from %02d:%02d on", 8 + ice / 3600,
             ice / 60 % 60);
    assert_non_null(strstr(alert_of(board, "frost")->text, line));
    assert_non_null(strstr(alert_of(board, "frost")->text, vessel));
    board->vessels[1].volume = 40;
    assert_true(said(board, "frost"));
    const int small = (int)freeze_vessel(0.1, 0, 2.5, -5, 10).first_seconds;
    snprintf(vessel, sizeof vessel, ", ice begin in a vessel from %02d:%02d on", 8 + small / 3600,
             small / 60 % 60);
    assert_non_null(strstr(alert_of(board, "frost")->text, vessel));
    board->vessels[0].volume = board->vessels[1].volume = 0;
    assert_true(said(board, "frost"));
    assert_null(strstr(alert_of(board, "frost")->text, "in a vessel"));
    free(board);
    book_close(book);
}

/* Rounded up, the doubt; and which way. */
static void a_meter_says_by_how_much_it_differs(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_of_days(NULL, 2);
    Board *board = board_of(book, NULL);
    board->lines[0].meter_off = 0.055;
    board->lines[0].meter_doubt = 0.0211;
    assert_true(said(board, "meter-off"));
    assert_non_null(strstr(alert_of(board, "meter-off")->text,
                           "5.5 % less than the soundings, give or take 2.2"));
    board->lines[0].meter_off = -0.2;
    assert_true(said(board, "meter-off"));
    assert_non_null(strstr(alert_of(board, "meter-off")->text, "20.0 % more than the soundings"));
    free(board);
    book_close(book);
}

static void what_stood_twice_is_told_with_how_many_more(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 20 --class potable --level 0");
    Board *board = board_of(book, NULL);
    board->discrepancy_count = 3;
    for (int i = 0; i < 3; i++)
        board->discrepancies[i] =
            (Discrepancy){.kind = i < 2 ? DISCREPANCY_TWICE : DISCREPANCY_LEAK,
                          .entry_kind = KIND_FILL,
                          .at = BOOK_BEGIN_MS,
                          .name = {"A1"}};
    assert_true(said(board, "twice"));
    assert_non_null(strstr(alert_of(board, "twice")->text, "(and 1 more)"));
    free(board);
    book_close(book);
}

static int alerts_of(const Board *board, const char *id)
{
    int count = 0;
    for (int i = 0; i < board->alert_count; i++)
        count += strcmp(board->alerts[i].id, id) == 0;
    return count;
}

/* Two cans on one line are one sentence, those of two lines two; vessels due on different days are
 * not told as one. */
static void what_is_alike_is_told_once_and_what_is_not_apart(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel C1 --capacity 5 --rated 0");
    book_say(book, "vessel C2 --capacity 5 --rated 0");
    book_say(book, "vessel C3 --capacity 5 --rated 0");
    book_say(book, "couple galley C1 C3");
    book_say(book, "couple deck C2");
    Board *board = board_of(book, NULL);
    assert_int_equal(alerts_of(board, "takes-no-pressure"), 2);
    assert_non_null(strstr(alert_of(board, "takes-no-pressure")->text,
                           "C1, C3 take no pressure, and are coupled in galley."));
    free(board);
    book_close(book);
    book = book_open();
    book_say(book, "vessel A1 --capacity 5 --class potable --sanitised 2025-10-01");
    book_say(book, "vessel A2 --capacity 5 --class potable --sanitised 2025-11-01");
    book_say(book, "vessel A3 --capacity 5 --class potable --sanitised 2025-10-01");
    board = board_of(book, NULL);
    assert_int_equal(alerts_of(board, "sanitise-due"), 2);
    assert_non_null(strstr(alert_of(board, "sanitise-due")->text, "A1, A3 are due"));
    free(board);
    book_close(book);
}

/* domain 3.4: treatment raises what is questionable, and never what is non-potable. */
static void worse_water_upstream_can_be_treated_only_where_treatment_helps(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    static const struct {
        const char *class, *todo;
    } cases[] = {{"questionable", "Uncouple A1 before anything is drawn, or treat what they hold."},
                 {"non-potable", "Uncouple A1 before anything is drawn."}};
    for (size_t i = 0; i < 2; i++) {
        char words[80];
        Logbook *book = book_open();
        snprintf(words, sizeof words, "vessel A1 --capacity 5 --class %s --level 4",
                 cases[i].class);
        book_say(book, words);
        book_say(book, "vessel A2 --capacity 5 --class potable --level 4");
        book_say(book, "couple galley A1 A2");
        Board *board = board_of(book, NULL);
        const char *text = alert_of(board, "upstream-worse")->text;
        const size_t n = strlen(text), tail = strlen(cases[i].todo);
        if (n < tail || strcmp(text + n - tail, cases[i].todo) != 0)
            fail_msg("%s", text);
        free(board);
        book_close(book);
    }
}

/* domain 3.6: "boil first" or "drink if treated", one of them. */
static void a_tap_of_doubtful_water_is_told_once(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    for (int treated = 0; treated < 2; treated++) {
        Logbook *book = book_open();
        book_say(book, "vessel A1 --capacity 5 --class questionable --level 4");
        book_say(book, "couple galley A1");
        if (treated)
            book_say(book, "stage uv --type uv --line galley --life-days 365 --life-hours 9000 "
                           "--purifying");
        Board *board = board_of(book, NULL);
        assert_int_equal(alerts_of(board, "delivers-treated"), treated);
        assert_int_equal(alerts_of(board, "delivers-questionable"), !treated);
        assert_int_equal(alerts_of(board, "delivers-non-potable"), 0);
        free(board);
        book_close(book);
    }
}

/* domain 5, `test`: above 4 mg/L (US), and above 5 (WHO); nitrate is told of the vessel that has
 * it; a residual may have faded from its date on. */
static void results_count_at_the_edge(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 5 --class potable --level 4");
    book_say(book, "vessel A2 --capacity 5 --class potable --level 4");
    book_say(book, "test A1 --nitrate 12 --nitrate-as n");
    book_say(book, "test A2 --chlorine 5");
    Board *board = board_of(book, NULL);
    assert_non_null(strstr(alert_of(board, "nitrate")->text, "as nitrogen in A1: not for infants"));
    assert_non_null(
        strstr(alert_of(board, "residual-high")->text, "above the 4 mg/L of the US EPA (WHO: 5)."));
    board->vessels[1].results.latest[RESULT_CHLORINE].value++;
    assert_true(said(board, "residual-high"));
    assert_non_null(strstr(alert_of(board, "residual-high")->text,
                           "above the 4 mg/L of the US EPA and the 5 of the WHO."));
    board->vessels[1].residual = RESIDUAL_GOOD;
    board->vessels[1].faded.ms = board->now.ms + 1;
    assert_false(said(board, "residual-faded"));
    board->vessels[1].faded = board->now;
    assert_true(said(board, "residual-faded"));
    free(board);
    book_close(book);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(low_water_is_said_before_the_tap_runs_dry),
        cmocka_unit_test(a_stop_within_two_days_comes_before_low_water),
        cmocka_unit_test(a_stop_is_missed_under_even_odds_and_doubtful_under_nine_in_ten),
        cmocka_unit_test(what_is_alike_is_told_once_and_what_is_not_apart),
        cmocka_unit_test(worse_water_upstream_can_be_treated_only_where_treatment_helps),
        cmocka_unit_test(a_tap_of_doubtful_water_is_told_once),
        cmocka_unit_test(results_count_at_the_edge),
        cmocka_unit_test(a_meter_that_differs_from_the_soundings_is_said),
        cmocka_unit_test(cold_water_says_what_to_drain_and_by_when),
        cmocka_unit_test(frost_is_told_to_the_minute_of_the_reckoner),
        cmocka_unit_test(a_meter_says_by_how_much_it_differs),
        cmocka_unit_test(what_stood_twice_is_told_with_how_many_more),
        cmocka_unit_test(due_without_a_spare_is_said_louder),
        cmocka_unit_test(worse_water_upstream_is_warned_of_before_anything_is_drawn),
        cmocka_unit_test(a_spent_vessel_of_worse_class_passes_only_air),
        cmocka_unit_test(the_tap_says_what_it_delivers),
        cmocka_unit_test(the_reserve_speaks_up),
        cmocka_unit_test(a_line_above_the_rated_pressure_of_a_vessel_is_a_warning),
        cmocka_unit_test(a_plain_can_on_a_line_is_warned_of),
        cmocka_unit_test(vessels_are_due_for_sanitising_and_water_ages),
        cmocka_unit_test(a_sounding_is_asked_for_after_seven_days),
        cmocka_unit_test(a_log_that_ends_after_now_is_said),
        cmocka_unit_test(entries_that_can_not_be_read_come_first),
        cmocka_unit_test(discrepancies_and_a_crew_never_said_are_on_the_board),
        cmocka_unit_test(what_is_due_soon_says_when),
        cmocka_unit_test(what_was_put_off_is_quiet_until_its_time),
        cmocka_unit_test(a_clogged_stage_that_was_put_off_is_quiet),
        cmocka_unit_test(nothing_about_class_or_pressure_can_be_put_off),
        cmocka_unit_test(alerts_come_worst_first_and_fit),
        cmocka_unit_test(each_result_is_told_with_what_to_do_and_no_more),
        cmocka_unit_test(results_are_told_with_their_unit_and_age),
        cmocka_unit_test(with_e_coli_too_infants_get_other_water),
        cmocka_unit_test(nothing_promises_that_standing_takes_chlorine_out),
        cmocka_unit_test(a_residual_is_asked_for_again_when_it_may_have_faded),
        cmocka_unit_test(a_line_that_was_found_so_says_it_until_it_is_sanitised),
        cmocka_unit_test(a_leak_is_named_with_its_litres_and_its_day),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
