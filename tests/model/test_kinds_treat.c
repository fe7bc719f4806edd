/* Stories of the kinds that make a vessel or its water clean: sanitise, treat. What a treatment
 * must reach: test_treatment.c. */
#include "model/line.h"
#include "support/logbook.h"

#include <setjmp.h>
#include <stdarg.h>
#include <string.h>

#include <cmocka.h>

/* A1 potable and half full, B1 clean and empty, W1 for washing. */
static Logbook *aboard(void)
{
    Logbook *book = book_open();
    book_say(book, "source \"Holm tap\" --type mains --class potable");
    book_say(book, "source \"Fen well\" --type well");
    book_say(book, "vessel A1 --capacity 12 --heel 0.2 --duty line --class potable");
    book_say(book, "vessel B1 --capacity 20 --heel 0.5 --duty store --class potable");
    book_say(book, "vessel W1 --capacity 10 --duty wash");
    book_say(book, "fill A1 6 --from \"Holm tap\"");
    return book;
}

static void test_sanitising_an_empty_vessel_makes_it_potable_and_wastes_the_heel(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "fill B1 5 --class non-potable");
    book_refuses(book, "sanitise B1", "more than its heel of 0.5 L");
    book_say(book, "draw B1 4.5");
    book_say(book, "sanitise B1");
    book_holds(book, "B1", 0, CLASS_POTABLE);
    assert_int_equal(book_state(book)->totals.dumped, 500);
    assert_true(book_vessel(book, "B1")->sanitised_at == book->now.ms);
    book_close(book);
}

static void test_sanitising_a_vessel_that_turns_out_to_hold_water_does_nothing(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_force(book, "fill B1 5 --class non-potable");
    book_force(book, "sanitise B1");
    book_holds(book, "B1", 5000, CLASS_NON_POTABLE);
    assert_true(book_vessel(book, "B1")->sanitised_at == MOMENT_NONE_MS);
    assert_int_equal(book_discrepancies(book, DISCREPANCY_ABOVE_HEEL), 1);
    assert_int_equal(book_amount(book, DISCREPANCY_ABOVE_HEEL),
                     5000 - book_vessel(book, "B1")->heel);
    book_say(book, "vessel C1 --capacity 12 --heel 0.5");
    book_force(book, "fill C1 3");
    book_force(book, "sanitise C1"); /* what it holds above the heel is told */
    const State *s = book_state(book);
    assert_int_equal(s->discrepancies[s->discrepancy_count - 1].amount, 2500);
    book_close(book);
}

/* Foul water that reached the tap in the same millisecond may have done so after the sanitising. */
static void test_a_tap_is_clean_once_all_its_vessels_were_sanitised_since(void **state)
{
    (void)state;
    for (int later = 0; later <= 1; later++) {
        Logbook *book = aboard();
        Quality quality;
        book_say(book, "fill B1 1.5 --class non-potable");
        book_say(book, "couple galley B1 A1");
        book_say(book, "draw galley 1");
        book_say(book, "dump A1");
        book_say(book, "sanitise A1");
        book->now.ms += later;
        book_say(book, "sanitise B1");
        book_say(book, "fill A1 3 --from \"Holm tap\"");
        assert_true(line_delivers(book_state(book), book_line(book, "galley"), &quality));
        assert_int_equal(quality, CLASS_NON_POTABLE); /* A1 was sanitised no later than that */
        book_say(book, "dump A1");
        book_say(book, "sanitise A1");
        book_say(book, "fill A1 3 --from \"Holm tap\"");
        assert_true(line_delivers(book_state(book), book_line(book, "galley"), &quality));
        assert_int_equal(quality, later ? CLASS_POTABLE : CLASS_NON_POTABLE);
        book_close(book);
    }
}

static void test_treatment_makes_questionable_water_potable(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "fill B1 5 --from \"Fen well\"");
    book_say(book, "treat B1 chlorine --dose 2 --residual 1.0 --minutes 60 --temp 10 --ph 7.5 "
                   "--ntu 0.5");
    book_holds(book, "B1", 5000, CLASS_POTABLE);
    book_close(book);
}

static void test_what_was_treated_on_the_owners_word_stays_marked_wherever_it_goes(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "fill B1 8 --from \"Fen well\"");
    book_say(book, "treat B1 filter --asserted");
    book_holds(book, "B1", 8000, CLASS_POTABLE);
    assert_true(book_vessel(book, "B1")->marks & MARK_ASSERTED);
    book_say(book, "decant B1 A1 2"); /* decanted */
    assert_true(book_vessel(book, "A1")->marks & MARK_ASSERTED);
    book_say(book, "vessel C1 --capacity 12 --class potable");
    book_say(book, "vessel C2 --capacity 12 --class potable");
    book_say(book, "fill C1 6 --from \"Holm tap\"");
    book_say(book, "fill C2 full --from \"Holm tap\"");
    book_say(book, "couple galley A1 C1 C2");
    book_say(book, "pressurise galley 100"); /* pressed into the headspace of C1 */
    assert_true(book_vessel(book, "C1")->marks & MARK_ASSERTED);
    assert_false(book_vessel(book, "C2")->marks & MARK_ASSERTED);
    book_say(book, "draw galley 0.001"); /* drawn to the tap */
    assert_true(book_vessel(book, "C2")->marks & MARK_ASSERTED);
    book_say(book, "dump B1"); /* its walls remember */
    assert_true(book_vessel(book, "B1")->marks & MARK_ASSERTED);
    book_say(book, "sanitise B1");
    assert_false(book_vessel(book, "B1")->marks & MARK_ASSERTED);
    book_close(book);
}

static void test_an_empty_vessel_can_be_sanitised_but_not_treated(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_refuses(book, "treat W1 boil", "there is no water to treat");
    book_force(book, "treat W1 boil");
    book_holds(book, "W1", 0, CLASS_QUESTIONABLE);
    assert_int_equal(book_discrepancies(book, DISCREPANCY_NOT_RAISED), 1);
    book_close(book);
}

/* domain 5, `test`: the residual of a treatment is a reading of that water, as one by itself is. */
static void test_the_residual_of_a_treatment_is_a_reading(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "fill B1 5 --class questionable");
    book_say(book, "treat B1 chlorine --residual 0.6 --minutes 30 --ph 7.5 --temp 12");
    const Vessel *v = book_vessel(book, "B1");
    assert_int_equal(v->tested, TESTED_VESSEL | TESTED_ALONE);
    assert_int_equal(v->results.latest[RESULT_CHLORINE].value, 600);
    assert_int_equal(v->results.latest[RESULT_PH].value, 7500);
    assert_int_equal(v->results.latest[RESULT_NTU].at, 0);
    book_say(book, "test B1 --chlorine 0.6");
    book_say(book, "treat B1 boil --minutes 3"); /* another water: what was read is gone */
    assert_int_equal(book_vessel(book, "B1")->tested, 0);
    assert_int_equal(book_vessel(book, "B1")->results.latest[RESULT_CHLORINE].at, 0);
    book_say(book, "dump B1");
    book_force(book, "treat B1 chlorine --residual 0.6 --minutes 30 --ph 7.5"); /* by a merge */
    assert_int_equal(book_vessel(book, "B1")->tested, 0);
    book_close(book);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_sanitising_an_empty_vessel_makes_it_potable_and_wastes_the_heel),
        cmocka_unit_test(test_sanitising_a_vessel_that_turns_out_to_hold_water_does_nothing),
        cmocka_unit_test(test_a_tap_is_clean_once_all_its_vessels_were_sanitised_since),
        cmocka_unit_test(test_treatment_makes_questionable_water_potable),
        cmocka_unit_test(test_what_was_treated_on_the_owners_word_stays_marked_wherever_it_goes),
        cmocka_unit_test(test_an_empty_vessel_can_be_sanitised_but_not_treated),
        cmocka_unit_test(test_the_residual_of_a_treatment_is_a_reading),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
