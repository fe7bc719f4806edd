/* What can harm: what is worse upstream, what the tap delivers, what tests found. */
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

static int alerts_of(const Board *board, const char *id)
{
    int count = 0;
    for (int i = 0; i < board->alert_count; i++)
        count += strcmp(board->alerts[i].id, id) == 0;
    return count;
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

/* Each vessel of a line that is worse than one behind it is at fault, wherever they stand; what is
 * spent or stands behind the last that it would spoil is not. */
static void every_vessel_at_fault_on_a_line_is_named(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    static const struct {
        const char *order, *says;
    } cases[] = {
        {"Q1 P1 N1 P2", "P1 is potable (and 1 more) but stands downstream of Q1, N1 "
                        "(non-potable): the next draw "
                        "from galley spoils it. Uncouple Q1, N1 before anything is drawn."},
        {"Q1 Q2 Q3 P1", "P1 is potable but stands downstream of Q1-Q3 (questionable): the next "
                        "draw from galley spoils it. Uncouple Q1-Q3 before anything is drawn, or "
                        "treat what they hold."},
        {"Q1 P1 N1", "P1 is potable but stands downstream of Q1 (questionable): the next draw from "
                     "galley spoils "
                     "it. Uncouple Q1 before anything is drawn, or treat what they hold."},
        {"S1 P1 N1 P2", "P2 is potable but stands downstream of N1 (non-potable): the next draw "
                        "from galley spoils "
                        "it. Uncouple N1 before anything is drawn."},
    };
    Logbook *book = book_open();
    book_say(book, "vessel Q1 --capacity 5 --class questionable --level 4");
    book_say(book, "vessel Q2 --capacity 5 --class questionable --level 4");
    book_say(book, "vessel Q3 --capacity 5 --class questionable --level 4");
    book_say(book, "vessel N1 --capacity 5 --class non-potable --level 4");
    book_say(book, "vessel P1 --capacity 5 --class potable --level 4");
    book_say(book, "vessel P2 --capacity 5 --class potable --level 4");
    book_say(book, "vessel S1 --capacity 5 --class non-potable");
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        char words[80];
        snprintf(words, sizeof words, "couple galley %s", cases[i].order);
        book_say(book, words);
        Board *board = board_of(book, NULL);
        assert_string_equal(alert_of(board, "upstream-worse")->text, cases[i].says);
        free(board);
    }
    book_close(book);
}

/* However many they are and whatever they are called, the sentence ends with what to do. */
static void vessels_at_fault_that_are_too_many_to_name_are_counted(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    static const char *const names[] = {"N", "Canister by the port bench ",
                                        "On the roof at the very front is blue "};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
        for (int worse = 1; worse < VESSELS_ABOARD_MAX; worse++) {
            Logbook *book = book_open();
            char words[1000], order[900] = "couple galley";
            for (int v = 0; v < worse; v++) {
                (void)snprintf(words, sizeof words,
                               "vessel \"%s%d\" --capacity 5 --class questionable --level 4",
                               names[i], v);
                book_say(book, words);
                const size_t n = strlen(order);
                (void)snprintf(order + n, sizeof order - n, " \"%s%d\"", names[i], v);
            }
            book_say(book, "vessel P --capacity 5 --class potable --level 4");
            (void)snprintf(words, sizeof words, "%s P", order);
            book_say(book, words);
            Board *board = board_of(book, NULL);
            const char *text = alert_of(board, "upstream-worse")->text;
            const char *end = " before anything is drawn, or treat what they hold.";
            if (strlen(text) < strlen(end) || strcmp(text + strlen(text) - strlen(end), end) != 0)
                fail_msg("%d of \"%s\": %s", worse, names[i], text);
            (void)snprintf(words, sizeof words, "%s%d", names[i], worse - 1);
            char count[40];
            (void)snprintf(count, sizeof count, "Uncouple %d worse vessels", worse);
            assert_true(strstr(text, words) != NULL || strstr(text, count) != NULL);
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

/* domain 3.6: whoever declared a train purifying is told what it lacks, and no more once it has it. */
static void a_declared_train_says_what_it_lacks(void **unused)
{
    (void)unused;
    static const struct {
        const char *does, *says;
    } cases[] = {
        {"stage carbon --type carbon-block --line galley --purifying --life-days 90",
         "boil first, for its train has no lamp and no membrane."},
        {"stage uv --type uv --line galley --rated-lpm 2",
         "boil first, for uv has no stated life."},
        {"stage uv --life-days 365", NULL},
        {"flowtest galley 1 --seconds 29", "boil first, for it ran faster than uv is rated for."},
        {"stage uv --rated-lpm 0", "boil first, for its flow was tested and uv has no rated flow."},
        {"stage uv --rated-lpm 3", NULL},
    };
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 5 --class questionable --level 4");
    book_say(book, "couple galley A1");
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        book_say(book, cases[i].does);
        Board *board = board_of(book, NULL);
        assert_int_equal(said(board, "delivers-treated"), cases[i].says == NULL);
        if (cases[i].says != NULL)
            assert_non_null(strstr(alert_of(board, "delivers-questionable")->text, cases[i].says));
        free(board);
    }
    book_close(book);
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
        cmocka_unit_test(worse_water_upstream_can_be_treated_only_where_treatment_helps),
        cmocka_unit_test(every_vessel_at_fault_on_a_line_is_named),
        cmocka_unit_test(vessels_at_fault_that_are_too_many_to_name_are_counted),
        cmocka_unit_test(a_tap_of_doubtful_water_is_told_once),
        cmocka_unit_test(a_declared_train_says_what_it_lacks),
        cmocka_unit_test(results_count_at_the_edge),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
