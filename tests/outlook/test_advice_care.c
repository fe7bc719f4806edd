/* What is to be done in time, and what the log itself asks for. */
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

static bool said(Board *board, const char *id)
{
    advice_give(board);
    return alert_of(board, id) != NULL;
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
    assert_non_null(strstr(alert_of(board, "stage-soon")->text, "with 1000.0 L of its life left"));
    board->units = UNITS_US; /* a US gallon is 3.785 L (NIST HB 44): rounded down */
    assert_true(said(board, "stage-soon"));
    assert_non_null(strstr(alert_of(board, "stage-soon")->text, "with 264.1 gal of its life left"));
    board->units = UNITS_METRIC;
    s->litres_left = 0;
    assert_true(said(board, "stage-soon"));
    assert_non_null(strstr(alert_of(board, "stage-soon")->text, "with 0.00 L of its life left"));
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

/* Where a stop comes before the day, the spare is to be had there; one after it is too late. */
/* Kept apart it takes whatever water is found; on a line it gives the tap's water, and is asked for
 * what every vessel there is. */
static void a_wash_vessel_on_a_line_is_one_of_the_line(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    static const char *const ids[] = {"never-sanitised", "sanitise-due", "stale", "residual-low"};
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --duty wash");
    book_say(book, "vessel A2 --capacity 12 --duty wash --class potable");
    book_say(book, "sanitise A1");
    book_say(book, "fill A1 10 --class potable");
    book_say(book, "test A1 --chlorine 0.1");
    book_pass(book, 200);
    Board *board = board_of(book, NULL);
    for (size_t i = 0; i < sizeof ids / sizeof ids[0]; i++)
        if (said(board, ids[i]))
            fail_msg("%s of a vessel apart", ids[i]);
    free(board);
    book_say(book, "couple galley A1 A2");
    board = board_of(book, NULL);
    for (size_t i = 0; i < sizeof ids / sizeof ids[0]; i++)
        if (!said(board, ids[i]))
            fail_msg("no %s of a vessel on a line", ids[i]);
    assert_string_equal(tap_verdict(&board->lines[0]), "drink (stale)");
    free(board);
    book_close(book);
}

static void a_spare_that_is_wanted_names_the_stop_where_it_can_be_had(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "stage s --type other --line galley --life-days 30"); /* due on 1 July */
    book_say(book, "spares s 0");
    book_pass(book, 5);
    Board *board = board_of(book, NULL);
    assert_non_null(alert_of(board, "spare-wanted"));
    assert_non_null(strstr(alert_of(board, "spare-wanted")->text, "Get one, and log it"));
    free(board);
    book_say(book, "stop Fen --eta 2026-07-02T08:00:00Z");
    board = board_of(book, NULL);
    assert_non_null(strstr(alert_of(board, "spare-wanted")->text, "Get one, and log it"));
    free(board);
    book_say(book, "stop Fen --eta 2026-07-01T00:00:00Z"); /* in time, just so */
    board = board_of(book, NULL);
    assert_int_equal(board->stages[0].due.ms, board->stops[0].eta.ms);
    assert_non_null(strstr(alert_of(board, "spare-wanted")->text, "Get one at Fen, and log it"));
    free(board);
    book_say(book, "stop Holm --eta 2026-06-20T08:00:00Z");
    board = board_of(book, NULL);
    assert_non_null(strstr(alert_of(board, "spare-wanted")->text, "Get one at Holm, and log it"));
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
            board_make(board, book_state(book), 0, board->now, UNITS_US);
            alert = alert_of(board, "frost");
            assert_non_null(strstr(alert->text, i == 5 ? "in air of 10.4 F and wind"
                                                       : "in air of 23 F and wind"));
            assert_non_null(strstr(alert->text, i == 5   ? "galley was 10.4 F on"
                                                : i == 1 ? "galley was 37.4 F on"
                                                         : "galley was 37.2 F on"));
        }
        free(board);
        book_close(book);
    }
}

/* Colder than the reckoner reckons is no reason for silence: the coldest that an entry may say, and
 * both sides of its least. */
static void colder_than_the_reckoner_goes_is_told_too(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    static const char *const colds[] = {"-60", "-60.001", "-60.5", "-100"};
    static const char *const airs[] = {"-60", "-61", "-61", "-100"};
    for (int i = 0; i < 4; i++) {
        Logbook *book = book_open();
        char told[160];
        book_say(book, "vessel A1 --capacity 12 --class potable --level 10");
        book_say(book, "couple galley A1");
        snprintf(told, sizeof told, "test galley --temp %s", colds[i]);
        book_say(book, told);
        Board *board = board_of(book, NULL);
        assert_true(said(board, "frost"));
        snprintf(told, sizeof told,
                 "galley was %s C on Mon 1 Jun 08:00: in air of %s C and wind a bare line may "
                 "freeze from 08:00 on, ice begin in a vessel from 08:00 on",
                 colds[i], airs[i]);
        assert_non_null(strstr(alert_of(board, "frost")->text, told));
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
    board->vessels[1].volume = 0;
    for (int64_t ml = 100; ml <= 10000; ml += 90) {
        board->vessels[0].volume = ml;
        assert_true(said(board, "frost"));
        const int at = (int)freeze_vessel((double)ml / 1000, 0, 2.5, -5, 10).first_seconds;
        snprintf(vessel, sizeof vessel, ", ice begin in a vessel from %02d:%02d on", 8 + at / 3600,
                 at / 60 % 60);
        assert_non_null(strstr(alert_of(board, "frost")->text, vessel));
    }
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
    board->lines[0].meter_doubt = 0.0625;
    assert_true(said(board, "meter-off"));
    assert_non_null(strstr(alert_of(board, "meter-off")->text, "give or take 6.3"));
    board->lines[0].meter_doubt = 0.5; /* what is a tenth already stays */
    assert_true(said(board, "meter-off"));
    assert_non_null(strstr(alert_of(board, "meter-off")->text, "give or take 50.0"));
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

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_due_soon_says_when),
        cmocka_unit_test(a_wash_vessel_on_a_line_is_one_of_the_line),
        cmocka_unit_test(a_spare_that_is_wanted_names_the_stop_where_it_can_be_had),
        cmocka_unit_test(a_sounding_is_asked_for_after_seven_days),
        cmocka_unit_test(a_meter_that_differs_from_the_soundings_is_said),
        cmocka_unit_test(cold_water_says_what_to_drain_and_by_when),
        cmocka_unit_test(colder_than_the_reckoner_goes_is_told_too),
        cmocka_unit_test(frost_is_told_to_the_minute_of_the_reckoner),
        cmocka_unit_test(a_meter_says_by_how_much_it_differs),
        cmocka_unit_test(what_stood_twice_is_told_with_how_many_more),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
