/* Stories of vessels as such: vessel, retire. */
#include "support/logbook.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static void test_a_vessel_begins_empty_and_questionable_and_for_the_line(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12");
    const Vessel *v = book_vessel(book, "A1");
    assert_int_equal(v->volume, 0);
    assert_int_equal(v->quality, CLASS_QUESTIONABLE); /* nothing is ever assumed potable */
    assert_int_equal(v->duty, DUTY_LINE);
    assert_int_equal(v->heel, 0);
    assert_int_equal(v->tare_g, -1);
    assert_int_equal(v->rated_pa, -1);
    assert_true(v->sanitised_at == MOMENT_NONE_MS && v->sounded_at == MOMENT_NONE_MS);
    book_close(book);
}

static void test_a_first_naming_may_give_class_and_level(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --heel 0.2 --tare 3.1 --rated 400 --duty reserve "
                   "--class potable --level full");
    const Vessel *v = book_vessel(book, "A1");
    assert_int_equal(v->volume, 12000);
    assert_int_equal(v->quality, CLASS_POTABLE);
    assert_int_equal(v->heel, 200);
    assert_int_equal(v->tare_g, 3100);
    assert_int_equal(v->rated_pa, 400000);
    assert_int_equal(v->duty, DUTY_RESERVE);
    assert_int_equal(book_state(book)->totals.named, 12000);
    book_close(book);
}

/* -1: nobody said; 0: it takes none. A can of which nothing is known is not one that takes none. */
static void test_a_plain_can_takes_no_pressure_and_that_is_known(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --rated 0");
    assert_int_equal(book_vessel(book, "A1")->rated_pa, 0);
    book_say(book, "vessel A1 --heel 0.1");
    assert_int_equal(book_vessel(book, "A1")->rated_pa, 0);
    book_say(book, "vessel A1 --rated 0.001");
    assert_int_equal(book_vessel(book, "A1")->rated_pa, 1);
    book_close(book);
}

static void test_naming_a_vessel_again_amends_it_and_keeps_what_is_left_out(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --heel 0.2 --tare 3.1 --duty line --level 5");
    book_say(book, "vessel A1 --heel 0.3");
    const Vessel *v = book_vessel(book, "A1");
    assert_int_equal(v->capacity, 12000);
    assert_int_equal(v->heel, 300);
    assert_int_equal(v->tare_g, 3100);
    assert_int_equal(v->duty, DUTY_LINE);
    assert_int_equal(v->volume, 5000);
    book_close(book);
}

static void test_class_and_level_of_a_known_vessel_follow_from_the_log_alone(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --level 5 --class questionable");
    book_refuses(book, "vessel A1 --class potable", "its class and level follow from the log");
    book_refuses(book, "vessel A1 --level 6", "its class and level follow from the log");
    book_force(book, "vessel A1 --class potable --level 6");
    assert_int_equal(book_vessel(book, "A1")->quality, CLASS_QUESTIONABLE);
    assert_int_equal(book_vessel(book, "A1")->volume, 5000);
    assert_int_equal(book_discrepancies(book, DISCREPANCY_CLASS_IGNORED), 1);
    book_close(book);
}

/* A date alone: no class is better for it, and no foul line is clean again. */
static void test_a_sanitising_before_the_log_is_a_date_and_no_more(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --sanitised 2026-05-01T08:00:00Z");
    assert_int_equal(book_vessel(book, "A1")->sanitised_at, BOOK_BEGIN_MS - 31 * MS_PER_DAY);
    assert_int_equal(book_vessel(book, "A1")->quality, CLASS_QUESTIONABLE);
    book_refuses(book, "vessel A1 --sanitised 2026-05-02", "follows from the log");
    book_refuses(book, "vessel A2 --capacity 12 --sanitised 2026-06-02", "follows from the log");
    static const char foul[] = "vessel F1 --sanitised 2026-05-02T08:00:00Z";
    book_say(book, "vessel F1 --capacity 12 --class non-potable --level 3");
    book_refuses(book, foul, "use 'sanitise F1'");
    book_force(book, foul);
    assert_int_equal(book_vessel(book, "F1")->sanitised_at, MOMENT_NONE_MS);
    book_say(book, "vessel A2 --capacity 12");
    book_say(book, "couple galley A2");
    book_pass(book, 2);
    book_say(book, "test galley --ecoli present");
    book_pass(book, 2);
    book_refuses(book, "vessel A2 --sanitised 2026-06-04T08:00:00Z", "use 'sanitise A2'");
    book_force(book, "vessel A2 --sanitised 2026-06-04T08:00:00Z");
    assert_int_equal(book_vessel(book, "A2")->sanitised_at, MOMENT_NONE_MS);
    book_force(book, "vessel A2 --sanitised 2026-06-03T08:00:00Z"); /* at the bad result's time */
    assert_int_equal(book_vessel(book, "A2")->sanitised_at, MOMENT_NONE_MS);
    book_say(book, "vessel A2 --sanitised 2026-06-02T08:00:00Z");
    assert_int_equal(book_vessel(book, "A2")->sanitised_at, BOOK_BEGIN_MS + MS_PER_DAY);
    assert_int_equal(book_vessel(book, "A2")->quality, CLASS_QUESTIONABLE);
    book_close(book);
}

/* Foul water reached the tap at noon: whoever sanitised at that very time did not clean what came
 * then. */
static void test_a_sanitising_at_the_time_of_the_foul_water_is_none_after_it(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A2 --capacity 12 --class potable --level 6");
    book_say(book, "vessel W1 --capacity 12 --class non-potable --level 6");
    book_say(book, "couple galley W1");
    book_pass(book, 2);
    book_say(book, "draw galley 1");
    book_say(book, "couple galley A2");
    book_pass(book, 2);
    book_force(book, "vessel A2 --sanitised 2026-06-03T08:00:00Z");
    assert_int_equal(book_vessel(book, "A2")->sanitised_at, MOMENT_NONE_MS);
    book_say(book, "vessel A2 --sanitised 2026-06-03T07:59:59Z");
    assert_true(book_vessel(book, "A2")->sanitised_at != MOMENT_NONE_MS);
    book_close(book);
}

/* Domain 3.7: a vessel named potable and empty asserts nothing, and no empty one is raw. */
static void test_an_empty_vessel_has_no_mark_of_water(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --class potable --level 0");
    book_say(book, "vessel B1 --capacity 12 --class questionable --level 0");
    book_say(book, "vessel A2 --capacity 12 --class potable --level 0.001");
    book_say(book, "vessel B2 --capacity 12 --class questionable --level 0.001");
    assert_int_equal(book_vessel(book, "A1")->marks, 0);
    assert_int_equal(book_vessel(book, "B1")->marks, 0);
    assert_int_equal(book_vessel(book, "A2")->marks, MARK_ASSERTED | MARK_RAW);
    assert_int_equal(book_vessel(book, "B2")->marks, MARK_RAW);
    book_close(book);
}

static void test_a_vessel_that_can_not_be_is_refused(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "couple galley");
    book_refuses(book, "vessel A1", "give its --capacity");
    book_refuses(book, "vessel A1 --capacity 5 --heel 5", "leaves nothing of a capacity of 5 L");
    book_refuses(book, "vessel A1 --capacity 5 --level 6", "holds 5 L at most, not 6 L");
    book_refuses(book, "vessel galley --capacity 5", "'galley' is a line");
    book_refuses(book, "vessel \"A;1\" --capacity 5", "can't hold a comma or semicolon");
    book_refuses(book, "vessel A1 --capacity 1000.001", "too much: at most 1000 L");
    book_say(book, "vessel A1 --capacity 12 --level 8");
    book_refuses(book, "vessel A1 --capacity 7", "reckoned to hold 8 L");
    book_close(book);
}

static void test_a_capacity_below_the_level_in_a_merged_log_stops_at_the_brim(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --heel 3 --level 8");
    book_force(book, "vessel A1 --capacity 2");
    const Vessel *v = book_vessel(book, "A1");
    assert_int_equal(v->volume, 2000);
    assert_int_equal(v->heel, 2000); /* never past the brim either */
    assert_int_equal(v->unlogged, 6000);
    assert_int_equal(book_discrepancies(book, DISCREPANCY_PAST_BRIM), 1);
    assert_int_equal(book_amount(book, DISCREPANCY_PAST_BRIM), 6000);
    book_force(book, "vessel A2 --capacity 5 --level 6.5");
    assert_int_equal(book_vessel(book, "A2")->volume, 5000);
    assert_int_equal(book_amount(book, DISCREPANCY_PAST_BRIM), 1500);
    book_close(book);
}

static void test_the_seventeenth_vessel_is_refused_until_one_is_retired(void **state)
{
    (void)state;
    Logbook *book = book_open();
    char words[60];
    for (int i = 1; i <= VESSELS_ABOARD_MAX; i++) {
        (void)snprintf(words, sizeof words, "vessel A%d --capacity 10", i);
        book_say(book, words);
    }
    book_refuses(book, "vessel A17 --capacity 10", "Retire one first");
    book_force(book, "vessel A17 --capacity 10");
    assert_int_equal(book_discrepancies(book, DISCREPANCY_NO_ROOM), 1);
    book_say(book, "vessel A1 --capacity 11"); /* one that is there needs no room */
    book_say(book, "retire A3");
    book_say(book, "vessel A18 --capacity 10");
    assert_int_equal(book_vessel(book, "A18")->capacity, 10000);
    book_close(book);
}

static void test_a_retired_vessel_leaves_with_its_water_and_its_place_on_the_line(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --level 5");
    book_say(book, "vessel A2 --capacity 12 --level 6");
    book_say(book, "vessel A3 --capacity 12 --level 7");
    book_say(book, "couple galley A1 A2 A3");
    book_say(book, "retire A2");
    assert_int_equal(book_state(book)->totals.retired, 6000);
    assert_int_equal(book_line(book, "galley")->count, 2);
    assert_int_equal(book_vessel(book, "A3")->position, 1);
    book_refuses(book, "fill A2 1", "Vessel 'A2' is retired");
    book_refuses(book, "retire A2", "is retired");
    book_close(book);
}

static void test_a_vessel_keeps_its_class_through_retirement(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --class non-potable --level 5");
    book_say(book, "retire A1");
    book_pass(book, 100);
    book_say(book, "vessel A1 --class potable --level 2");
    const Vessel *v = book_vessel(book, "A1");
    assert_int_equal(v->quality, CLASS_NON_POTABLE);
    assert_int_equal(v->capacity, 12000);
    assert_int_equal(v->volume, 2000);
    assert_int_equal(book_state(book)->vessel_count, 1);
    book_close(book);
}

static void test_of_many_retired_vessels_the_doubtful_are_remembered_longest(void **state)
{
    (void)state;
    Logbook *book = book_open();
    char words[80];
    book_say(book, "vessel good --capacity 10 --class potable");
    book_say(book, "vessel bad --capacity 10 --class non-potable");
    book_say(book, "retire bad"); /* before the good one, whose place comes first */
    book_pass(book, 0.01);
    book_say(book, "retire good");
    for (int i = 1; i < VESSEL_SLOTS + 10; i++) {
        (void)snprintf(words, sizeof words, "vessel V%d --capacity 10 --class potable --level 1",
                       i);
        book_say(book, words);
        (void)snprintf(words, sizeof words, "retire V%d", i);
        book_say(book, words);
        book_pass(book, 0.01);
    }
    assert_int_equal(book_state(book)->vessel_count, VESSEL_SLOTS);
    book_say(book, "vessel bad --class potable");
    assert_int_equal(book_vessel(book, "bad")->quality, CLASS_NON_POTABLE);
    book_close(book);
}

/* Of those that are alike the one that was retired longest ago is forgotten, wherever it stands. */
static void test_of_retired_vessels_that_are_alike_the_oldest_is_forgotten(void **state)
{
    (void)state;
    Logbook *book = book_open();
    char words[80];
    book_say(book, "vessel late --capacity 10 --class potable");
    for (int i = 2; i <= VESSEL_SLOTS; i++) {
        (void)snprintf(words, sizeof words, "vessel V%d --capacity 10 --class potable", i);
        book_say(book, words);
        if (i == VESSEL_SLOTS)
            break;
        (void)snprintf(words, sizeof words, "retire V%d", i);
        book_say(book, words);
        book_pass(book, 0.01);
    }
    book_say(book, "retire late");
    book_pass(book, 0.01);
    for (int i = 2; i <= 4; i++) {
        (void)snprintf(words, sizeof words, "V%d", i);
        Label gone;
        Fault fault;
        assert_true(label_set(&gone, text_of(words), &fault));
        assert_true(state_vessel_ever(book_state(book), &gone) >= 0);
        (void)snprintf(words, sizeof words, "vessel N%d --capacity 10 --class potable", i);
        book_say(book, words);
        assert_int_equal(state_vessel_ever(book_state(book), &gone), -1);
    }
    assert_true(state_vessel_ever(book_state(book), &(Label){"late"}) >= 0);
    book_close(book);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_a_vessel_begins_empty_and_questionable_and_for_the_line),
        cmocka_unit_test(test_a_first_naming_may_give_class_and_level),
        cmocka_unit_test(test_a_plain_can_takes_no_pressure_and_that_is_known),
        cmocka_unit_test(test_naming_a_vessel_again_amends_it_and_keeps_what_is_left_out),
        cmocka_unit_test(test_class_and_level_of_a_known_vessel_follow_from_the_log_alone),
        cmocka_unit_test(test_a_sanitising_before_the_log_is_a_date_and_no_more),
        cmocka_unit_test(test_a_sanitising_at_the_time_of_the_foul_water_is_none_after_it),
        cmocka_unit_test(test_an_empty_vessel_has_no_mark_of_water),
        cmocka_unit_test(test_a_vessel_that_can_not_be_is_refused),
        cmocka_unit_test(test_a_capacity_below_the_level_in_a_merged_log_stops_at_the_brim),
        cmocka_unit_test(test_the_seventeenth_vessel_is_refused_until_one_is_retired),
        cmocka_unit_test(test_a_retired_vessel_leaves_with_its_water_and_its_place_on_the_line),
        cmocka_unit_test(test_a_vessel_keeps_its_class_through_retirement),
        cmocka_unit_test(test_of_many_retired_vessels_the_doubtful_are_remembered_longest),
        cmocka_unit_test(test_of_retired_vessels_that_are_alike_the_oldest_is_forgotten),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
