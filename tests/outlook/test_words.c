/* The board in words: nothing certain that is none, rounding to the safe side. */
#include "outlook/words.h"

#include "support/board_book.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
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
    expect_said(board, WORDS_WATER, "on the line, no end in sight at this rate, but 1 in 10 by ");
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
    life_tell(&(BoardStage){.state = SERVICE_SOON, .life_left = 0}, out);
    assert_string_equal(out, "0 %");
    life_tell(&(BoardStage){.state = SERVICE_OK, .life_left = -1}, out);
    assert_string_equal(out, "life?"); /* none was stated: nobody knows that it is ok */
    life_tell(&(BoardStage){.state = SERVICE_SOON, .life_left = -1}, out);
    assert_string_equal(out, "soon"); /* it clogs */
    assert_string_equal(stage_stands(&(BoardStage){.state = SERVICE_OK, .life_left = 0.5}), "ok");
}

/* Over all subsets of what may stand against it: "drink" alone where there is nothing, else the
 * gravest of them in one word, and each of them in the reason. */
static void drink_is_never_said_alone_of_doubtful_water(void **unused)
{
    (void)unused;
    enum { COLIFORM, ECOLI, TAINTED, HIGH, NITRATE, SOURCE, STALE, RAW, LOW, ASSERTED, DOUBTS };
    static const uint8_t marks[DOUBTS] = {
        [COLIFORM] = MARK_COLIFORM, [ECOLI] = MARK_ECOLI,       [NITRATE] = MARK_NITRATE,
        [RAW] = MARK_RAW,           [ASSERTED] = MARK_ASSERTED,
    };
    static const char *const verdicts[DOUBTS] = {
        [COLIFORM] = "drink (coliforms)", [ECOLI] = "drink (coliforms)",
        [TAINTED] = "drink (coliforms)",  [HIGH] = "drink (chlorine)",
        [NITRATE] = "drink (nitrate)",    [SOURCE] = "drink (class)",
        [STALE] = "drink (stale)",        [RAW] = "drink (raw)",
        [LOW] = "drink (residual)",       [ASSERTED] = "drink (your word)",
    };
    static const char *const reasons[DOUBTS] = {
        [COLIFORM] = "coliforms",
        [ECOLI] = "E. coli",
        [TAINTED] = "coliforms were found at its source",
        [HIGH] = "much chlorine",
        [NITRATE] = "nitrate",
        [SOURCE] = "source",
        [STALE] = "stale",
        [RAW] = "raw",
        [LOW] = "little chlorine",
    };
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --class potable --level 6");
    book_say(book, "couple galley A1");
    Board *board = board_of(book, NULL);
    BoardLine *line = &board->lines[0];
    line->verdict = VERDICT_DRINK;
    for (unsigned set = 0; set < 1U << DOUBTS; set++) {
        const char *verdict = "drink";
        line->doubt = (LineDoubt){.stale = (set >> STALE & 1) != 0,
                                  .residual_low = (set >> LOW & 1) != 0,
                                  .residual_high = (set >> HIGH & 1) != 0};
        line->leant = (set >> SOURCE & 1) != 0;
        line->tainted = (set >> TAINTED & 1) != 0;
        for (int i = DOUBTS - 1; i >= 0; i--)
            if ((set >> i & 1) != 0) {
                line->doubt.marks |= marks[i];
                verdict = verdicts[i];
            }
        assert_string_equal(tap_verdict(line), verdict);
        char why[200];
        tap_why(board, line, why, sizeof why);
        for (int i = 0; i < DOUBTS; i++) {
            const bool besides = (i == COLIFORM && (set >> ECOLI & 1) != 0) ||
                                 (i == LOW && (set >> HIGH & 1) != 0); /* the graver one is said */
            if (reasons[i] != NULL && (set >> i & 1) != 0 && !besides &&
                strstr(why, reasons[i]) == NULL)
                fail_msg("%s is not in: %s", reasons[i], why);
        }
        assert_int_equal(strcmp(why, "potable all the way") == 0, (set & ~(1U << ASSERTED)) == 0);
    }
    line->delivers = false; /* what runs dry delivers nothing, whatever was in it */
    assert_string_equal(tap_verdict(line), "no water");
    free(board);
    book_close(book);
}

/* domain 3.6, 5: what a test finds at a source makes no worse what was filled before, and is not
 * kept from whoever drinks that. Ends with a treatment by a criterion, with sanitising, with the
 * last of it, with a class that is given anew; with nobody's word. */
static void water_from_a_source_where_coliforms_were_found_later_is_not_drink_alone(void **unused)
{
    (void)unused;
    static const struct {
        const char *does;
        bool ends;
    } cases[] = {
        {"treat A1 boil --minutes 3", true},
        {"treat A1 boil --minutes 2 --asserted", false},
        {"test A1 --ecoli absent", false},
        {"test Holm --ecoli absent", false},
        {"fill A1 1 --from Moor", false},
        {"source Holm --class potable", true},
        {"dump A1\nsanitise A1\nfill A1 6 --from Moor", true},
        {"dump A1\nfill A1 6 --from Moor", false},
        /* spent: what it held is in the next vessel */
        {"fill C1 6 --from Moor\ncouple galley A1 C1\ndraw galley 6", false},
        {"fill C1 6 --from Moor\ncouple galley A1 C1\ndraw galley 1\ncouple galley C1", false},
        {"decant A1 C1 1\ncouple galley C1", false},
        {"fill C1 6 --from Moor\ncouple galley C1 A1\npressurise galley 276", false},
        {"fill C1 6 --from Moor\ncouple galley A1 C1\npressurise galley 276\ncouple "
         "galley C1",
         false},
        {"fill C1 6 --from Moor\ncouple galley C1", true}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        Logbook *book = book_open();
        char why[200];
        book_say(book, "source Holm --type mains --class potable");
        book_say(book, "source Moor --type mains --class potable");
        book_say(book, "vessel A1 --capacity 12 --class potable");
        book_say(book, "vessel B1 --capacity 12 --class potable");
        book_say(book, "vessel C1 --capacity 12 --class potable");
        book_say(book, "couple galley A1");
        book_say(book, "couple deck B1");
        book_say(book, "fill A1 6 --from Holm --class potable"); /* whoever called it so */
        book_say(book, "fill B1 6 --from Moor");
        book_pass(book, 20);
        book_say(book, "test Holm --ecoli present");
        Board *board = board_of(book, NULL);
        assert_string_equal(tap_verdict(&board->lines[0]), "drink"); /* deck */
        assert_string_equal(tap_verdict(&board->lines[1]), "drink (coliforms)");
        tap_why(board, &board->lines[1], why, sizeof why);
        assert_non_null(strstr(why, ", but coliforms were found at its source"));
        assert_false(board->vessels[1].tainted);
        free(board);
        char act[160], *saved = NULL;
        (void)snprintf(act, sizeof act, "%s", cases[i].does);
        for (char *one = strtok_r(act, "\n", &saved); one != NULL;
             one = strtok_r(NULL, "\n", &saved))
            book_say(book, one);
        board = board_of(book, NULL);
        if ((strcmp(tap_verdict(&board->lines[1]), "drink") == 0) != cases[i].ends)
            fail_msg("%s: %s", cases[i].does, tap_verdict(&board->lines[1]));
        free(board);
        book_close(book);
    }
}

/* Nor is it made fit by a train, as no water is in which a test found coliforms. */
static void a_train_is_not_relied_on_for_water_whose_source_had_coliforms(void **unused)
{
    (void)unused;
    static const struct {
        const char *does, *verdict;
    } cases[] = {{"note nothing", "drink if treated"},
                 {"test Fen --ecoli absent", "drink if treated"},
                 {"test Fen --coliform present", "boil first"},
                 {"test Fen --ecoli present", "boil first"}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        Logbook *book = book_open();
        book_say(book, "source Fen --type spring");
        book_say(book, "vessel A1 --capacity 12 --class potable");
        book_say(book, "couple galley A1");
        book_say(book, "stage uv --type uv --line galley --life-hours 9000 --purifying");
        book_say(book, "fill A1 6 --from Fen");
        book_pass(book, 1);
        book_say(book, cases[i].does);
        Board *board = board_of(book, NULL);
        assert_string_equal(tap_verdict(&board->lines[0]), cases[i].verdict);
        assert_int_equal(alert_of(board, "source-found") != NULL, i > 1);
        char why[200];
        tap_why(board, &board->lines[0], why, sizeof why);
        assert_int_equal(strstr(why, "coliforms at its source") != NULL, i > 1);
        free(board);
        book_close(book);
    }
}

/* Water that took a class which its source no longer has: said at the tap that it comes out of,
 * until it is put right; behind the lead only, and not of a source that became better. */
static void water_that_keeps_the_class_its_source_had_is_not_drink_alone(void **unused)
{
    (void)unused;
    Logbook *book = book_open();
    book_say(book, "source Holm --type mains --class potable");
    book_say(book, "source Moor --type mains --class potable");
    book_say(book, "vessel A1 --capacity 12 --class potable");
    book_say(book, "vessel A2 --capacity 12 --class potable");
    book_say(book, "vessel B1 --capacity 12 --class potable");
    book_say(book, "couple galley A1 A2");
    book_say(book, "couple deck B1");
    book_say(book, "fill A1 6 --from Moor");
    book_say(book, "fill A2 6 --from Holm");
    book_say(book, "fill B1 6 --from Moor");
    book_pass(book, 1);
    book_say(book, "source Holm --class questionable");
    Board *board = board_of(book, NULL);
    assert_string_equal(tap_verdict(&board->lines[0]), "drink"); /* deck */
    assert_string_equal(tap_verdict(&board->lines[1]), "drink (class)");
    free(board);
    book_say(book, "source Holm --class potable"); /* so was it all the time */
    board = board_of(book, NULL);
    assert_string_equal(tap_verdict(&board->lines[1]), "drink");
    free(board);
    book_say(book, "source Holm --class non-potable");
    board = board_of(book, NULL);
    assert_string_equal(tap_verdict(&board->lines[1]), "drink (class)");
    free(board);
    book_say(book,
             "couple galley A2 A1"); /* the lead's water goes through A1: both are in the way */
    book_say(book, "draw galley 7");
    book_say(book, "sound A2 spent");
    board = board_of(book, NULL);
    for (int i = 0; i < board->line_count; i++)
        assert_int_equal(board->lines[i].leant && board->lines[i].quality == CLASS_POTABLE &&
                             strcmp(tap_verdict(&board->lines[i]), "drink") == 0,
                         0);
    assert_string_equal(tap_verdict(&board->lines[1]), "drink (class)"); /* it is in A1 */
    free(board);
    book_say(book, "sanitise A2");
    book_say(book, "couple galley A1");
    board = board_of(book, NULL);
    assert_string_equal(tap_verdict(&board->lines[1]), "drink (class)");
    free(board);
    book_say(book, "decant A1 B1 1");
    board = board_of(book, NULL);
    assert_string_equal(tap_verdict(&board->lines[0]), "drink (class)");
    free(board);
    book_say(book, "dump A1");
    book_say(book, "sanitise A1");
    book_say(book, "fill A1 6 --from Moor");
    board = board_of(book, NULL);
    assert_string_equal(tap_verdict(&board->lines[1]), "drink");
    free(board);
    book_close(book);
}

static void the_reason_names_the_vessel_from_which_on_it_is_so(void **unused)
{
    (void)unused;
    char why[200];
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --class potable --level 6");
    book_say(book, "vessel A2 --capacity 12 --class questionable --level 6");
    book_say(book, "couple galley A1 A2");
    Board *board = board_of(book, NULL);
    tap_why(board, &board->lines[0], why, sizeof why);
    assert_string_equal(why, "questionable from A2 on");
    board->lines[0].verdict = VERDICT_DRINK_IF_TREATED;
    tap_why(board, &board->lines[0], why, sizeof why);
    assert_string_equal(why, "questionable and raw from A2 on; on your word the train treats it");
    board->lines[0].doubt.marks = MARK_NITRATE;
    tap_why(board, &board->lines[0], why, sizeof why);
    assert_string_equal(why, "questionable from A2 on, nitrate; on your word the train treats it");
    board->lines[0].doubt.marks = 0;
    tap_why(board, &board->lines[0], why, sizeof why);
    assert_string_equal(why, "questionable from A2 on; on your word the train treats it");
    board->lines[0].quality = CLASS_NON_POTABLE; /* no vessel holds it: it came through before */
    tap_why(board, &board->lines[0], why, sizeof why);
    assert_string_equal(why, "foul water reached the tap: sanitise the line");
    free(board);

    book_say(book, "vessel B1 --capacity 12");
    book_pass(book, 1);
    book_say(book, "couple galley A1 B1");
    book_pass(book, -0.5);
    book_say(book, "retire B1"); /* back-dated: it had gone before */
    book_pass(book, 1);
    board = board_of(book, NULL);
    tap_why(board, &board->lines[0], why, sizeof why);
    assert_string_equal(why, "a coupled vessel is not aboard");
    free(board);

    book_say(book, "vessel A3 --capacity 12 --class non-potable --level 6");
    book_say(book, "couple galley A3 A2"); /* the air side: its water goes through A2 */
    board = board_of(book, NULL);
    expect_said(board, WORDS_TAP, "non-potable from A3 on");
    free(board);
    book_say(book, "dump A2");
    book_say(book, "dump A3");
    board = board_of(book, NULL);
    expect_said(board, WORDS_TAP, "galley, no water: every vessel is down to its heel");
    expect_said(board, WORDS_WATER, "nothing to be had on the line");
    free(board);
    book_say(book, "couple galley");
    board = board_of(book, NULL);
    if (board->line_count > 0)
        expect_said(board, WORDS_TAP, "no vessel is coupled");
    free(board);
    book_close(book);
}

static void water_that_runs_is_said_with_what_went_rounded_up(void **unused)
{
    (void)unused;
    Logbook *book = book_of_days(NULL, 2);
    Board *board = board_of(book, NULL);
    assert_null(said(board, WORDS_RUNS));
    const Running running[] = {
        {.line = {"bath"}, .since = BOOK_BEGIN_MS, .ml = 9000, .ml_min = 9000},
        {.line = {"galley"}, .since = BOOK_BEGIN_MS + 5 * MS_PER_HOUR, .ml = 1501, .ml_min = 1999},
    };
    board_runs(board, running, 2);
    expect_said(board, WORDS_RUNS, "galley running 2.0 L/min, 1.6 L since 13:00");
    expect_silent(board, WORDS_RUNS, "bath");
    board->lines[0].running.ml_min = 0;
    expect_said(board, WORDS_RUNS, "galley stopped, 1.6 L since 13:00");
    board_runs(board, running, 1); /* of another line */
    assert_null(said(board, WORDS_RUNS));
    free(board);
    book_close(book);
}

static void what_is_apart_and_what_may_not_be_drunk_is_said_with_its_class(void **unused)
{
    (void)unused;
    Logbook *book = book_of_days(NULL, 2);
    Board *board = board_of(book, NULL);
    assert_null(said(board, WORDS_APART));
    expect_silent(board, WORDS_CLASS, "apart");
    expect_silent(board, WORDS_CLASS, "questionable"); /* there is none of it */
    expect_silent(board, WORDS_RESERVE, "potable");
    expect_silent(board, WORDS_TAP, "on it");    /* one line: the water of all is its water */
    board->line_count = board->vessel_count = 0; /* nothing is set up: no water is missing */
    assert_null(said(board, WORDS_WATER));
    free(board);
    Logbook *bare = book_open();
    book_say(bare, "stage s --type other --line galley");
    board = board_of(bare, NULL);
    expect_said(board, WORDS_WATER, "nothing to be had on the line");
    free(board);
    book_close(bare);
    book_say(book, "vessel W1 --capacity 20 --duty wash --class non-potable --level 15");
    book_say(book, "vessel W2 --capacity 20 --duty wash --class questionable --level 0");
    book_say(book, "vessel C1 --capacity 10 --class potable --level 4");
    book_say(book, "couple deck C1");
    board = board_of(book, NULL);
    expect_said(board, WORDS_APART, "W1 15.0 L non-potable, W2 empty");
    expect_said(board, WORDS_CLASS, "15.0 L non-potable");
    expect_said(board, WORDS_CLASS, "; 15.0 L of it apart");
    expect_said(board, WORDS_TAP, "; 4.0 L on it");
    for (int i = 0; i < board->vessel_count; i++)
        if (board->vessels[i].place == PLACE_RESERVE)
            board->vessels[i].quality = CLASS_QUESTIONABLE;
    expect_said(board, WORDS_RESERVE, "R1 12.0 L questionable");
    const Band band = board->to_empty;
    board->to_empty.p50.ms = board->to_reserve.p50.ms + MS_PER_DAY / 10;
    expect_said(board, WORDS_RESERVE, ", +0.1 days");
    board->to_empty = board->to_reserve;
    expect_silent(board, WORDS_RESERVE, "days");
    board->to_empty.p50 = MOMENT_NONE;
    expect_silent(board, WORDS_RESERVE, "days");
    board->to_empty = band;
    board->to_reserve.p50 = MOMENT_NONE;
    expect_silent(board, WORDS_RESERVE, "days");
    board->outlook_known = false;
    expect_silent(board, WORDS_WATER, "lasts");
    board->to_reserve = band;
    board->to_empty.p50.ms = board->to_reserve.p50.ms + MS_PER_DAY;
    expect_silent(board, WORDS_RESERVE, "days");
    board->reserve = RESERVE_NONE;
    expect_said(board, WORDS_RESERVE, "none kept");
    expect_silent(board, WORDS_RESERVE, "R1");
    free(board);
    book_close(book);
}

/* What is not due shares a sentence of three; nothing due is said so; so is nothing to warn of. */
static void what_comes_later_is_three_and_a_number(void **unused)
{
    (void)unused;
    Logbook *book = book_open();
    Board *board = board_of(book, NULL);
    assert_null(said(board, WORDS_DUE)); /* an empty log has nothing to say */
    assert_null(said(board, WORDS_ALERT));
    free(board);
    book_say(book, "vessel A1 --capacity 12 --class potable --level 6");
    book_say(book, "couple galley A1");
    board = board_of(book, NULL);
    board->alert_count = 0;
    expect_said(board, WORDS_ALERT, "none");
    for (int i = 0; i < board->vessel_count; i++)
        board->vessels[i].sanitise_due = board->vessels[i].stale_at = MOMENT_NONE;
    expect_said(board, WORDS_DUE, "nothing");
    free(board);
    static const char *const stages[] = {"a", "b", "c", "d", "e"};
    char text[100];
    for (int i = 0; i < 5; i++) {
        snprintf(text, sizeof text,
                 "stage %s --type sediment --line galley --position %d --life-days %d", stages[i],
                 i + 1, 60 + i);
        book_say(book, text);
        board = board_of(book, NULL);
        const int later = i + 1; /* the water of A1 is no matter of this */
        for (int v = 0; v < board->vessel_count; v++)
            board->vessels[v].sanitise_due = board->vessels[v].stale_at = MOMENT_NONE;
        snprintf(text, sizeof text, " and %d more later", later - 3);
        if (later > 3)
            expect_said(board, WORDS_DUE, text);
        for (int n = 0; n < later && n < 3; n++) { /* three by name */
            snprintf(text, sizeof text, "%s: swap", stages[n]);
            expect_said(board, WORDS_DUE, text);
        }
        expect_silent(board, WORDS_DUE, "("); /* why is for what is due or soon */
        if (later > 3)
            expect_silent(board, WORDS_DUE, "d: swap");
        else
            expect_silent(board, WORDS_DUE, "more later");
        free(board);
    }
    book_close(book);
}

/* Where there is no room the thing and its date stand alone; what is due now has no date. */
static void what_is_due_is_told_briefly_by_name_and_date(void **unused)
{
    (void)unused;
    Logbook *book = book_of_days("stage s --type sediment --line galley --life-days 30", 20);
    Board *board = board_of(book, NULL);
    const int count = words_of(board, UNITS_METRIC, words);
    bool soon = false;
    for (int i = 0; i < count; i++)
        if (strcmp(words[i].caption, "Due soon") == 0 && strstr(words[i].text, "s: swap") != NULL) {
            assert_string_equal(words[i].brief, "s Wed 1 Jul"); /* 1 June and 30 days */
            assert_int_equal(words[i].strong, strlen("s: swap the cartridge"));
            soon = true;
        }
    assert_true(soon);
    free(board);
    board = board_of(book, "2026-07-02T12:00:00Z");
    const Words *due = said(board, WORDS_DUE);
    assert_string_equal(due->caption, "Due now");
    assert_string_equal(due->brief, "s");
    free(board);
    book_close(book);
}

/* Three in full; after them what is so, but warnings and what asks for something are never cut. */
static void alerts_after_the_third_are_brief_unless_they_warn_or_ask(void **unused)
{
    (void)unused;
    Logbook *book = book_of_days(NULL, 2);
    Board *board = board_of(book, NULL);
    for (int i = 0; i < ALERTS_OPEN + 3; i++) {
        board->alerts[i] = (Alert){.level = ALERT_CAUTION, .id = "x", .says = 5};
        snprintf(board->alerts[i].text, sizeof board->alerts[i].text, "is so. Do that");
    }
    board->alert_count = ALERTS_OPEN + 3;
    board->alerts[ALERTS_OPEN].level = ALERT_WARNING;
    board->alerts[ALERTS_OPEN + 1].flags = ALERT_ASKS;
    const int count = words_of(board, UNITS_METRIC, words);
    int at = 0;
    for (int i = 0; i < count; i++)
        if (words[i].about == WORDS_ALERT) {
            assert_true(words[i].marked);
            assert_string_equal(words[i].brief, at == ALERTS_OPEN + 2 ? "is so" : "");
            at++;
        }
    assert_int_equal(at, ALERTS_OPEN + 3);
    free(board);
    book_close(book);
}

static void crew_and_stops_say_what_is_not_known(void **unused)
{
    (void)unused;
    Logbook *book = book_of_days("stage s --type sediment --line galley --life-days 20", 20);
    book_say(book, "stop Holm --eta +3d");
    Board *board = board_of(book, NULL);
    expect_said(board, WORDS_STAGES, "s due");
    board->stages[0].state = SERVICE_SOON;
    board->stages[0].life_left = 0.05;
    expect_said(board, WORDS_STAGES, "s 5 % soon");
    board->stages[0].state = SERVICE_OK;
    expect_silent(board, WORDS_STAGES, "soon");
    board->stops[0].odds_line = 0.5;
    board->stops[0].odds_all = NAN;
    expect_silent(board, WORDS_STOP, "with the reserve");
    board->stops[0].odds_all = 0.6;
    board->stops[0].ration_90 = NAN;
    expect_said(board, WORDS_STOP, "60 % with the reserve");
    expect_silent(board, WORDS_STOP, "each a day");
    board->reserve = RESERVE_NONE;
    expect_silent(board, WORDS_STOP, "with the reserve");
    board->stops[0].odds_line = NAN;
    expect_silent(board, WORDS_STOP, "%");
    expect_said(board, WORDS_USE, "2, ");
    board->use_prior = 0.499;
    expect_silent(board, WORDS_USE, "assumed");
    board->use_prior = 0.5;
    expect_said(board, WORDS_USE, " a day, mostly assumed");
    board->crew = -1;
    expect_said(board, WORDS_USE, "not said, ");
    board->use_known = false;
    assert_null(said(board, WORDS_USE));
    board->crew = 0;
    assert_string_equal(said(board, WORDS_USE)->text, "0");
    free(board);
    book_close(book);
}

/* The residual of the water that is held; none where nothing was tested since it was filled. */
static void a_residual_has_its_number_and_its_age(void **unused)
{
    (void)unused;
    char out[64];
    const Moment now = {BOOK_BEGIN_MS};
    BoardVessel v = {.residual = RESIDUAL_GOOD};
    v.results.latest[RESULT_CHLORINE] = (Result){now.ms - 47 * MS_PER_HOUR, 600};
    assert_string_equal(residual_brief(&v, now, out), "Cl 0.6 47h");
    v.results.latest[RESULT_CHLORINE].at -= MS_PER_HOUR;
    assert_string_equal(residual_brief(&v, now, out), "Cl 0.6 2d");
    v.residual = RESIDUAL_UNKNOWN;
    assert_string_equal(residual_brief(&v, now, out), "");
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
        cmocka_unit_test(drink_is_never_said_alone_of_doubtful_water),
        cmocka_unit_test(water_from_a_source_where_coliforms_were_found_later_is_not_drink_alone),
        cmocka_unit_test(a_train_is_not_relied_on_for_water_whose_source_had_coliforms),
        cmocka_unit_test(water_that_keeps_the_class_its_source_had_is_not_drink_alone),
        cmocka_unit_test(the_reason_names_the_vessel_from_which_on_it_is_so),
        cmocka_unit_test(water_that_runs_is_said_with_what_went_rounded_up),
        cmocka_unit_test(what_is_apart_and_what_may_not_be_drunk_is_said_with_its_class),
        cmocka_unit_test(what_comes_later_is_three_and_a_number),
        cmocka_unit_test(what_is_due_is_told_briefly_by_name_and_date),
        cmocka_unit_test(alerts_after_the_third_are_brief_unless_they_warn_or_ask),
        cmocka_unit_test(crew_and_stops_say_what_is_not_known),
        cmocka_unit_test(a_residual_has_its_number_and_its_age),
    };
    zone_set("UTC0");
    return cmocka_run_group_tests(tests, NULL, NULL);
}
