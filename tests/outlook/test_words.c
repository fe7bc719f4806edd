/* The board in words: nothing certain that is none, rounding to the safe side. */
#include "outlook/words.h"

#include "support/board_book.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static Words words[WORDS_MAX];

static const Words *said(const Board *board, WordsAbout about)
{
    const int count = words_of(board, UNITS_METRIC, words);
    for (int i = 0; i < count; i++)
        if (words[i].about == about)
            return &words[i];
    return NULL;
}

static void expect_said(const Board *board, WordsAbout about, const char *text)
{
    const Words *w = said(board, about);
    assert_non_null(w);
    if (strstr(w->text, text) == NULL)
        fail_msg("expected \"%s\", got: %s", text, w->text);
}

static void expect_silent(const Board *board, WordsAbout about, const char *text)
{
    const Words *w = said(board, about);
    if (w != NULL && strstr(w->text, text) != NULL)
        fail_msg("\"%s\" in: %s", text, w->text);
}

/* What is had is never made more by printing it, what is needed never less. */
static void litres_are_rounded_to_the_safe_side(void **unused)
{
    (void)unused;
    char out[64];
    static const struct {
        double litres;
        const char *had, *needed;
    } cases[] = {
        {4.6, "4.6 L", "4.6 L"},
        {4.699, "4.6 L", "4.7 L"},
        {4.601, "4.6 L", "4.7 L"},
        {0.999, "0.99 L", "1.00 L"},
        {0.991, "0.99 L", "1.00 L"},
        {0, "0.00 L", "0.00 L"},
        {0.001, "0.00 L", "0.01 L"},
        {11.999, "11.9 L", "12.0 L"},
        {12, "12.0 L", "12.0 L"},
        {12.001, "12.0 L", "12.1 L"},
        {NAN, "-", "-"},
        {INFINITY, "-", "-"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        assert_string_equal(litres_had(cases[i].litres, UNITS_METRIC, out), cases[i].had);
        assert_string_equal(litres_needed(cases[i].litres, UNITS_METRIC, out), cases[i].needed);
    }
    for (int ml = 0; ml < 30000; ml += 7) {
        assert_true(strtod(litres_had(ml / 1000.0, UNITS_METRIC, out), NULL) * 1000 <= ml + 1e-6);
        assert_true(strtod(litres_needed(ml / 1000.0, UNITS_METRIC, out), NULL) * 1000 >=
                    ml - 1e-6);
        if (ml % 100 == 0 && ml >= 1000) { /* what needs no rounding gets none */
            char needed[64];
            litres_needed(ml / 1000.0, UNITS_METRIC, needed);
            assert_string_equal(litres_had(ml / 1000.0, UNITS_METRIC, out), needed);
        }
    }
    /* 1 US gallon is 3.785411784 L (NIST Handbook 44, 2024, Appendix C) */
    assert_string_equal(litres_had(3.785, UNITS_US, out), "0.99 gal");
    assert_string_equal(litres_needed(3.786, UNITS_US, out), "1.1 gal");
}

static void odds_are_never_a_certainty(void **unused)
{
    char out[16];
    (void)unused;
    assert_string_equal(odds_print(0.979, out), "97 %");
    assert_string_equal(odds_print(0.99, out), "99 %");
    assert_string_equal(odds_print(0.9901, out), ">99 %");
    assert_string_equal(odds_print(1, out), ">99 %");
    assert_string_equal(odds_print(0.01, out), "1 %");
    assert_string_equal(odds_print(0.0099, out), "<1 %");
    assert_string_equal(odds_print(0, out), "<1 %");
    assert_string_equal(odds_print(NAN, out), "-");
    for (double odds = 0; odds <= 1; odds += 0.0003) {
        odds_print(odds, out);
        assert_string_not_equal(out, "100 %");
        assert_string_not_equal(out, "0 %");
        if (out[0] != '<' && out[0] != '>')
            assert_true(strtod(out, NULL) <= odds * 100 + 1e-9);
    }
}

static Moment in_days(const Board *board, double days)
{
    return (Moment){board->now.ms + (int64_t)(days * (double)MS_PER_DAY)};
}

static void days_are_rounded_down_and_an_end_that_is_not_in_sight_is_no_date(void **unused)
{
    (void)unused;
    Logbook *book = book_of_days(NULL, 20);
    Board *board = board_of(book, NULL);
    board->to_reserve =
        (Band){in_days(board, 3.299), in_days(board, 4), {board->now.ms + MS_PER_DAY * 63 / 10}};
    expect_said(board, WORDS_WATER, "(3.2 to 6.3 days)");
    board->to_reserve.p90 = MOMENT_NONE;
    expect_said(board, WORDS_WATER, "(3.2 days or more)");
    board->to_reserve.p50 = MOMENT_NONE;
    expect_said(board, WORDS_WATER, "lasts no end in sight at this rate, but 1 in 10 by ");
    board->to_reserve.p10 = MOMENT_NONE;
    expect_silent(board, WORDS_WATER, "1 in 10");
    board->to_reserve.p50 = in_days(board, 4);
    board->to_empty.p50 = in_days(board, 5.99);
    expect_said(board, WORDS_RESERVE, "+1.9 days");
    free(board);
    book_close(book);
}

/* The band of the lead is told from 100 mL on. */
static void the_expected_level_is_told_from_a_tenth_of_a_litre(void **unused)
{
    (void)unused;
    Logbook *book = book_open();
    book_say(book, "crew 2");
    book_say(book, "vessel A1 --capacity 50 --class potable --level full");
    book_say(book, "couple galley A1");
    int64_t before = 0, after = 0;
    for (int step = 0; step < 4000 && after == 0; step++) {
        book_pass(book, 1.0 / 1440);
        Board *board = board_of(book, NULL);
        const int64_t under = board->vessels[0].volume - board->vessels[0].expected_low;
        if (board->vessels[0].expected_told)
            after = under;
        else
            before = under;
        assert_int_equal(said(board, WORDS_EXPECTED) != NULL, after > 0);
        free(board);
    }
    assert_in_range(before, 90, 99);
    assert_in_range(after, 100, 110);
    book_close(book);
}

/* "4.6 L", not "4.6 L to 4.6 L"; and both where they differ by what is shown. */
static void two_ends_that_round_to_one_are_one(void **unused)
{
    (void)unused;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --class potable --level 6");
    book_say(book, "couple galley A1");
    Board *board = board_of(book, NULL);
    board->vessels[0].expected_told = true;
    board->vessels[0].expected_low = 4610;
    board->vessels[0].expected_high = 4640;
    const Words *one = said(board, WORDS_EXPECTED);
    assert_non_null(one);
    assert_string_equal(one->text, "A1 4.6 L, with the cups that nobody logs");
    board->vessels[0].expected_high = 4740;
    const Words *two = said(board, WORDS_EXPECTED);
    assert_string_equal(two->text, "A1 4.6 to 4.7 L, with the cups that nobody logs");
    free(board);
    book_close(book);
}

static void a_stop_says_more_where_the_odds_are_under_nine_in_ten(void **unused)
{
    (void)unused;
    Logbook *book = book_of_days(NULL, 20);
    book_say(book, "stop Holm --eta +3d");
    Board *board = board_of(book, NULL);
    board->stops[0].odds_line = 0.9;
    board->stops[0].odds_all = 1;
    expect_said(board, WORDS_STOP, ": 90 % on the line");
    expect_silent(board, WORDS_STOP, "reserve");
    board->stops[0].odds_line = 0.8999;
    board->stops[0].ration_90 = 3.999;
    expect_said(board, WORDS_STOP, ": 89 % on the line, >99 % with the reserve; 90 % at 3.9 L");
    free(board);
    book_close(book);
}

static void the_sentences_come_in_order_and_alerts_with_their_flags(void **unused)
{
    (void)unused;
    Logbook *book = book_of_days("stage s --type sediment --line galley --life-days 20", 20);
    Board *board = board_of(book, NULL);
    const int count = words_of(board, UNITS_METRIC, words);
    bool due = false;
    assert_in_range(count, 8, WORDS_MAX);
    for (int i = 0; i < count; i++) {
        assert_true(words[i].caption[0] != '\0' && words[i].text[0] != '\0');
        assert_true(words[i].strong <= strlen(words[i].text));
        assert_true(i == 0 || words[i].about >= words[i - 1].about);
    }
    const Alert *alert = alert_of(board, "stage-due-no-spare"); /* louder: said twice */
    assert_non_null(alert);
    assert_int_equal(alert->flags, 0);
    book_say(book, "spares s 1");
    free(board);
    board = board_of(book, NULL);
    alert = alert_of(board, "stage-due");
    assert_non_null(alert);
    assert_int_equal(alert->flags, ALERT_IN_DUE);
    for (int i = words_of(board, UNITS_METRIC, words) - 1; i >= 0; i--)
        due = due || (words[i].about == WORDS_DUE && strcmp(words[i].caption, "Due now") == 0);
    assert_true(due);
    free(board);
    book_close(book);
}

static void the_life_of_a_stage_is_a_share_or_a_word(void **unused)
{
    char out[16];
    (void)unused;
    life_tell(&(BoardStage){.state = SERVICE_OK, .life_left = 0.829}, out);
    assert_string_equal(out, "82 %");
    life_tell(&(BoardStage){.state = SERVICE_DUE, .life_left = 0}, out);
    assert_string_equal(out, "due");
    life_tell(&(BoardStage){.state = SERVICE_OK, .life_left = -1}, out);
    assert_string_equal(out, "ok");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(litres_are_rounded_to_the_safe_side),
        cmocka_unit_test(odds_are_never_a_certainty),
        cmocka_unit_test(days_are_rounded_down_and_an_end_that_is_not_in_sight_is_no_date),
        cmocka_unit_test(the_expected_level_is_told_from_a_tenth_of_a_litre),
        cmocka_unit_test(two_ends_that_round_to_one_are_one),
        cmocka_unit_test(a_stop_says_more_where_the_odds_are_under_nine_in_ten),
        cmocka_unit_test(the_sentences_come_in_order_and_alerts_with_their_flags),
        cmocka_unit_test(the_life_of_a_stage_is_a_share_or_a_word),
    };
    zone_set("UTC0");
    return cmocka_run_group_tests(tests, NULL, NULL);
}
