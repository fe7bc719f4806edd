/* Reminders put off: what may be, until when they are quiet, what ends it. */
#include "model/audit.h"
#include "model/kinds.h"

#include "support/logbook.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static Logbook *aboard(void)
{
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --class potable --level 6");
    book_say(book, "vessel A2 --capacity 12 --class potable --level 6");
    book_say(book, "couple galley A1");
    book_say(book, "stage sediment --type sediment --line galley --life-days 90");
    return book;
}

static int64_t after_days(const Logbook *book, double days)
{
    return book->now.ms + (int64_t)(days * (double)MS_PER_DAY);
}

static void test_a_reminder_is_quiet_until_the_time_that_was_said(void **state)
{
    (void)state;
    Logbook *book = aboard();
    assert_true(book_stage(book, "sediment")->put_off == MOMENT_NONE_MS);
    assert_true(book_vessel(book, "A1")->sanitise_put_off == MOMENT_NONE_MS);
    assert_true(book_vessel(book, "A1")->water_put_off == MOMENT_NONE_MS);
    book_say(book, "putoff sediment --until 2026-06-11T08:00:00Z");
    book_say(book, "putoff A1 --what water --until 2026-06-04T08:00:00Z");
    /* The book is at 2026-06-01T08:00:00Z. */
    assert_int_equal(book_stage(book, "sediment")->put_off, after_days(book, 10));
    assert_int_equal(book_vessel(book, "A1")->water_put_off, after_days(book, 3));
    assert_true(book_vessel(book, "A1")->sanitise_put_off == MOMENT_NONE_MS);
    book_say(book, "putoff A1 --what sanitise --until 2026-06-05T08:00:00Z");
    assert_int_equal(book_vessel(book, "A1")->sanitise_put_off, after_days(book, 4));
    assert_int_equal(book_vessel(book, "A1")->water_put_off, after_days(book, 3));
    assert_true(book_vessel(book, "A2")->sanitise_put_off == MOMENT_NONE_MS);
    book_close(book);
}

static void test_without_a_time_it_is_acknowledged_for_a_week(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "putoff sediment");
    assert_int_equal(book_stage(book, "sediment")->put_off, after_days(book, 7));
    book_close(book);
}

static void test_the_latest_word_counts_and_a_void_takes_it_back(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "putoff sediment --until 2026-07-01T08:00:00Z");
    book_pass(book, 1);
    const size_t second = book_say(book, "putoff sediment --until 2026-06-05T08:00:00Z");
    assert_int_equal(book_stage(book, "sediment")->put_off, after_days(book, 3));
    book_void(book, second);
    assert_int_equal(book_stage(book, "sediment")->put_off, after_days(book, 29));
    book_close(book);
}

static void test_a_swap_a_sanitising_or_a_fill_ends_it(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "putoff sediment");
    book_say(book, "putoff A1 --what sanitise");
    book_say(book, "putoff A1 --what water");
    book_say(book, "putoff A2 --what water");
    book_pass(book, 1);
    book_say(book, "draw galley 1"); /* not done by it: nothing ends */
    assert_true(book_stage(book, "sediment")->put_off > book->now.ms);
    assert_true(book_vessel(book, "A1")->water_put_off > book->now.ms);
    book_say(book, "swap sediment");
    assert_true(book_stage(book, "sediment")->put_off == MOMENT_NONE_MS);
    book_say(book, "fill A1 1 --class potable");
    assert_true(book_vessel(book, "A1")->water_put_off == MOMENT_NONE_MS);
    assert_true(book_vessel(book, "A1")->sanitise_put_off > book->now.ms); /* not by a fill */
    book_say(book, "dump A1");
    book_say(book, "sanitise A1");
    assert_true(book_vessel(book, "A1")->sanitise_put_off == MOMENT_NONE_MS);
    book_say(book, "dump A2"); /* that water is gone */
    assert_true(book_vessel(book, "A2")->water_put_off == MOMENT_NONE_MS);
    book_close(book);
}

static void test_water_drawn_to_the_last_or_decanted_into_ends_it_too(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "putoff A1 --what water");
    book_say(book, "draw galley 6");
    assert_true(book_vessel(book, "A1")->water_put_off == MOMENT_NONE_MS);
    book_say(book, "putoff A2 --what water");
    book_say(book, "fill A1 5 --class potable");
    book_say(book, "decant A1 A2 1");
    assert_true(book_vessel(book, "A2")->water_put_off == MOMENT_NONE_MS);
    book_close(book);
}

static void test_a_sanitising_that_could_not_be_ends_nothing(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "putoff A1 --what sanitise");
    book_force(book, "sanitise A1"); /* it holds 6 L */
    assert_int_equal(book_discrepancies(book, DISCREPANCY_ABOVE_HEEL), 1);
    assert_true(book_vessel(book, "A1")->sanitise_put_off > book->now.ms);
    book_close(book);
}

static void test_a_vessel_that_comes_back_aboard_begins_anew(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "putoff A2 --what sanitise");
    book_say(book, "retire A2");
    book_pass(book, 1);
    book_say(book, "vessel A2 --capacity 12");
    assert_true(book_vessel(book, "A2")->sanitise_put_off == MOMENT_NONE_MS);
    book_close(book);
}

static void test_what_makes_no_sense_is_refused(void **state)
{
    (void)state;
    static const struct {
        const char *words, *says;
    } cases[] = {
        {"putoff --until 2026-06-11T08:00:00Z", "a stage or a vessel, one of the two"},
        {"putoff --stage sediment --vessel A1", "a stage or a vessel, one of the two"},
        {"putoff --stage sediment --what water", "which is swapped and not 'water'"},
        {"putoff --vessel A1", "sanitise or water"},
        {"putoff --vessel A1 --what swap", "sanitise or water"},
        {"putoff --vessel A9 --what water", "There is no vessel 'A9'"},
        {"putoff --stage carbon", "There is no stage 'carbon'"},
        {"putoff sediment --until 2026-06-01T08:00:00Z", "is not after the entry"},
        {"putoff sediment --until 2027-06-03T08:00:00Z", "more than a year ahead"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        Logbook *book = aboard();
        Fault fault = {0};
        const char *said = book_refusal(book, cases[i].words, &fault);
        if (strstr(said, cases[i].says) == NULL)
            fail_msg("%s: %s", cases[i].words, said);
        book_close(book);
    }
}

/* 366 days are allowed: a date in the same week of the next year, a leap day between them or not.
 */
static void test_a_year_ahead_is_the_most_even_where_nobody_checked(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "putoff sediment --until 2027-06-02T08:00:00Z");
    assert_int_equal(book_stage(book, "sediment")->put_off, after_days(book, 366));
    book_pass(book, 1);
    book_force(book, "putoff sediment --until 2090-01-01T08:00:00Z");
    assert_int_equal(book_stage(book, "sediment")->put_off, after_days(book, 366));
    book_close(book);
}

static void test_one_that_names_nothing_aboard_is_a_discrepancy(void **state)
{
    (void)state;
    Logbook *book = aboard();
    const size_t named = book->count;
    book_say(book, "vessel A3 --capacity 5");
    book_say(book, "stage carbon --type other --line galley");
    book_say(book, "putoff A3 --what sanitise");
    book_say(book, "putoff carbon");
    assert_int_equal(book_discrepancies(book, DISCREPANCY_NO_SUCH), 0);
    book_void(book, named);
    book_void(book, named + 1);
    assert_int_equal(book_discrepancies(book, DISCREPANCY_NO_SUCH), 2);
    assert_null(state_audit(book_state(book)));
    book_close(book);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_a_reminder_is_quiet_until_the_time_that_was_said),
        cmocka_unit_test(test_without_a_time_it_is_acknowledged_for_a_week),
        cmocka_unit_test(test_the_latest_word_counts_and_a_void_takes_it_back),
        cmocka_unit_test(test_a_swap_a_sanitising_or_a_fill_ends_it),
        cmocka_unit_test(test_water_drawn_to_the_last_or_decanted_into_ends_it_too),
        cmocka_unit_test(test_a_sanitising_that_could_not_be_ends_nothing),
        cmocka_unit_test(test_a_vessel_that_comes_back_aboard_begins_anew),
        cmocka_unit_test(test_what_makes_no_sense_is_refused),
        cmocka_unit_test(test_a_year_ahead_is_the_most_even_where_nobody_checked),
        cmocka_unit_test(test_one_that_names_nothing_aboard_is_a_discrepancy),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
