/* Tests of water: what they make worse, what they never make better, how long they speak. */
#include "model/kinds.h"
#include "model/line.h"
#include "model/supply.h"

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
    book_say(book, "source \"Holm tap\" --type mains --class potable");
    for (int i = 0; i < 3; i++) {
        static const char *const names[] = {"vessel A1 --capacity 12", "vessel A2 --capacity 12",
                                            "vessel B1 --capacity 20"};
        static const char *const clean[] = {"sanitise A1", "sanitise A2", "sanitise B1"};
        static const char *const fills[] = {"fill A1 10 --from \"Holm tap\"",
                                            "fill A2 10 --from \"Holm tap\"",
                                            "fill B1 10 --from \"Holm tap\""};
        book_say(book, names[i]);
        book_say(book, clean[i]);
        book_say(book, fills[i]);
    }
    book_say(book, "couple galley A1 A2");
    book_pass(book, 0.1);
    return book;
}

static Verdict verdict(Logbook *book)
{
    return line_verdict(book_state(book), 0, book->now);
}

static void a_test_names_one_thing_and_what_was_found(void **state)
{
    (void)state;
    Fault fault = {0};
    Logbook *book = aboard();
    assert_non_null(strstr(book_refusal(book, "test B1", &fault), "what was found is missing"));
    assert_non_null(strstr(book_refusal(book, "test B1 --nitrate-as n", &fault), "is missing"));
    assert_non_null(strstr(book_refusal(book, "test --ph 7", &fault), "one of the three"));
    assert_non_null(
        strstr(book_refusal(book, "test --vessel B1 --line galley --ph 7", &fault), "one of"));
    /* the unit of nitrate is asked; what came in without it is taken as the worse */
    assert_non_null(strstr(book_refusal(book, "test B1 --nitrate 9", &fault), "--nitrate-as"));
    book_force(book, "test B1 --nitrate 10.001");
    assert_int_equal(book_vessel(book, "B1")->marks, MARK_NITRATE);
    book_say(book, "dump B1");
    assert_non_null(strstr(book_refusal(book, "test B1 --ph 7", &fault), "empty"));
    book_close(book);
}

static void coliforms_make_it_questionable_and_absent_never_better(void **state)
{
    (void)state;
    static const char *const found[] = {"test B1 --coliform present", "test B1 --ecoli present"};
    static const int marks[] = {MARK_COLIFORM, MARK_ECOLI};
    for (int i = 0; i < 2; i++) {
        Logbook *book = aboard();
        assert_int_equal(book_vessel(book, "B1")->quality, CLASS_POTABLE);
        book_say(book, "test B1 --coliform absent --ecoli absent");
        assert_int_equal(book_vessel(book, "B1")->quality, CLASS_POTABLE);
        book_say(book, found[i]);
        assert_int_equal(book_vessel(book, "B1")->quality, CLASS_QUESTIONABLE);
        assert_int_equal(book_vessel(book, "B1")->marks, marks[i]);
        book_say(book, "test B1 --coliform absent --ecoli absent");
        assert_int_equal(book_vessel(book, "B1")->quality, CLASS_QUESTIONABLE);
        assert_int_equal(book_vessel(book, "B1")->marks, marks[i]);
        /* it goes along, and no vouching takes it away */
        book_say(book, "decant B1 A2 2 --treated");
        assert_int_equal(book_vessel(book, "A2")->marks, marks[i] | MARK_ASSERTED);
        book_say(book, "treat B1 boil --minutes 0.5 --asserted");
        assert_int_equal(book_vessel(book, "B1")->marks, marks[i] | MARK_ASSERTED);
        book_say(book, "treat B1 boil --minutes 3");
        assert_int_equal(book_vessel(book, "B1")->marks, 0);
        book_say(book, "dump A2");
        book_say(book, "sanitise A2");
        assert_int_equal(book_vessel(book, "A2")->marks, 0);
        book_close(book);
    }
}

static void non_potable_water_stays_so(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "fill B1 1 --class non-potable");
    book_say(book, "test B1 --ecoli present --coliform present");
    assert_int_equal(book_vessel(book, "B1")->quality, CLASS_NON_POTABLE);
    book_close(book);
}

/* Found at the tap: every vessel of the line, and the line until all of it is sanitised, whatever
 * the train is declared to be. */
static void what_is_found_at_the_tap_is_in_all_of_the_line(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "stage lamp --type uv --line galley --life-days 365 --purifying");
    book_say(book, "test galley --coliform absent");
    assert_int_equal(verdict(book), VERDICT_DRINK);
    book_say(book, "test galley --coliform present");
    assert_int_equal(book_vessel(book, "A1")->quality, CLASS_QUESTIONABLE);
    assert_int_equal(book_vessel(book, "A2")->quality, CLASS_QUESTIONABLE);
    assert_int_equal(book_vessel(book, "B1")->quality, CLASS_POTABLE);
    assert_int_equal(verdict(book), VERDICT_BOIL_FIRST);
    book_say(book, "treat A1 boil --minutes 3");
    book_say(book, "treat A2 boil --minutes 3");
    assert_int_equal(book_vessel(book, "A2")->quality, CLASS_POTABLE);
    assert_int_equal(verdict(book), VERDICT_BOIL_FIRST); /* the pipe is what it was */
    book_pass(book, 0.1);
    for (int i = 0; i < 2; i++) {
        book_say(book, i == 0 ? "dump A1" : "dump A2");
        book_say(book, i == 0 ? "sanitise A1" : "sanitise A2");
        book_say(book, i == 0 ? "fill A1 5 --from \"Holm tap\"" : "fill A2 5 --from \"Holm tap\"");
        assert_int_equal(verdict(book), i == 0 ? VERDICT_BOIL_FIRST : VERDICT_DRINK);
    }
    book_close(book);
}

static void found_in_a_vessel_no_train_makes_it_fit(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "stage lamp --type uv --line galley --life-days 365 --purifying");
    book_say(book, "fill A2 1 --class questionable");
    assert_int_equal(verdict(book), VERDICT_DRINK_IF_TREATED);
    book_say(book, "test A1 --ecoli present");
    assert_int_equal(verdict(book), VERDICT_BOIL_FIRST);
    book_close(book);
}

static void a_source_found_so_gives_such_water_until_its_class_is_given_again(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "test --source \"Holm tap\" --coliform present --nitrate 60 --nitrate-as no3");
    assert_int_equal(book_vessel(book, "B1")->quality, CLASS_POTABLE); /* filled before */
    book_say(book, "fill B1 1 --from \"Holm tap\" --class potable");
    assert_int_equal(book_vessel(book, "B1")->quality, CLASS_QUESTIONABLE);
    assert_int_equal(book_vessel(book, "B1")->marks, MARK_COLIFORM | MARK_NITRATE);
    book_say(book, "test --source \"Holm tap\" --coliform absent");
    book_say(book, "dump A2");
    book_say(book, "fill A2 1 --from \"Holm tap\"");
    assert_int_equal(book_vessel(book, "A2")->quality, CLASS_QUESTIONABLE);
    book_say(book, "source \"Holm tap\" --class potable");
    book_say(book, "test --source \"Holm tap\" --nitrate 44 --nitrate-as no3");
    book_say(book, "fill A1 1 --from \"Holm tap\"");
    assert_int_equal(book_vessel(book, "A1")->quality, CLASS_POTABLE);
    assert_int_equal(book_vessel(book, "A1")->marks, 0);
    book_close(book);
}

/* 40 CFR 141.62: 10 mg/L as nitrogen. Boiling does not take it out; other water and a test do. */
static void nitrate_stays_through_every_treatment(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "test B1 --nitrate 10 --nitrate-as n");
    assert_int_equal(book_vessel(book, "B1")->marks, 0);
    book_say(book, "test B1 --nitrate 10.001 --nitrate-as n");
    assert_int_equal(book_vessel(book, "B1")->marks, MARK_NITRATE);
    assert_int_equal(book_vessel(book, "B1")->quality, CLASS_POTABLE);
    book_say(book, "treat B1 boil --minutes 5");
    assert_int_equal(book_vessel(book, "B1")->marks, MARK_NITRATE);
    book_say(book, "decant B1 A2 1");
    assert_int_equal(book_vessel(book, "A2")->marks, MARK_NITRATE);
    book_say(book, "test A2 --ph 7"); /* it was not looked for */
    assert_int_equal(book_vessel(book, "A2")->marks, MARK_NITRATE);
    book_say(book, "test A2 --nitrate 2 --nitrate-as n");
    assert_int_equal(book_vessel(book, "A2")->marks, 0);
    book_say(book, "dump B1");
    assert_int_equal(book_vessel(book, "B1")->marks, 0);
    book_close(book);
}

static LineDoubt doubt(Logbook *book)
{
    return line_doubt(book_state(book), 0, book->now);
}

static void a_residual_speaks_of_the_water_that_was_tested(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "test A2 --chlorine 0.2");
    assert_false(doubt(book).residual_low || doubt(book).residual_high);
    book_say(book, "test A2 --chlorine 0.199");
    assert_true(doubt(book).residual_low);
    book_say(book, "draw galley 1"); /* what runs through does not better it */
    assert_true(doubt(book).residual_low);
    assert_int_equal(vessel_residual(book_vessel(book, "A2")), RESIDUAL_LOW);
    book_say(book, "fill A2 1 --from \"Holm tap\"");
    assert_false(doubt(book).residual_low);
    assert_int_equal(vessel_residual(book_vessel(book, "A2")), RESIDUAL_UNKNOWN);
    book_say(book, "test galley --chlorine 4.001"); /* a high one stays until it is tested again */
    book_say(book, "fill A2 0.5 --from \"Holm tap\"");
    assert_true(doubt(book).residual_high);
    book_say(book, "test galley --chlorine 0.1");
    assert_true(doubt(book).residual_low && !doubt(book).residual_high);
    book_say(book, "fill A1 0.5 --from \"Holm tap\""); /* the tap still gives what was tested */
    assert_true(doubt(book).residual_low);
    book_say(book, "treat A2 chlorine --residual 0.6 --minutes 30 --ph 7");
    assert_false(doubt(book).residual_low);
    assert_int_equal(book_vessel(book, "A2")->results.latest[RESULT_CHLORINE].value, 600);
    assert_int_equal(book_vessel(book, "A2")->results.latest[RESULT_PH].value, 7000);
    book_say(book, "dump A2");
    assert_int_equal(book_vessel(book, "A2")->results.latest[RESULT_CHLORINE].at, 0);
    book_close(book);
}

/* Decay is told of water that stood alone: nothing came in, nor down the line. */
static void two_tests_of_the_same_water_tell_of_its_fading(void **state)
{
    (void)state;
    static const char *const between[] = {
        "note \"nothing\"",          "draw galley 1", "fill A1 1", "fill A2 1",
        "treat A2 boil --minutes 3", "draw galley 10"};
    for (size_t i = 0; i < sizeof between / sizeof between[0]; i++) {
        Logbook *book = aboard();
        book_say(book, "test A2 --chlorine 2.3");
        book_pass(book, 0.5);
        book_say(book, between[i]);
        book_pass(book, 0.5);
        book_say(book, "test A2 --chlorine 1.9");
        const Vessel *v = book_vessel(book, "A2");
        const bool told = moment_known(results_low_at(&v->results));
        assert_int_equal(told, i == 0 || i == 2);
        assert_int_equal((v->tested & TESTED_ALONE) != 0, true);
        book_say(book, "draw galley 0.1");
        assert_false((book_vessel(book, "A2")->tested & TESTED_ALONE) != 0 && told);
        book_close(book);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_test_names_one_thing_and_what_was_found),
        cmocka_unit_test(coliforms_make_it_questionable_and_absent_never_better),
        cmocka_unit_test(non_potable_water_stays_so),
        cmocka_unit_test(what_is_found_at_the_tap_is_in_all_of_the_line),
        cmocka_unit_test(found_in_a_vessel_no_train_makes_it_fit),
        cmocka_unit_test(a_source_found_so_gives_such_water_until_its_class_is_given_again),
        cmocka_unit_test(nitrate_stays_through_every_treatment),
        cmocka_unit_test(a_residual_speaks_of_the_water_that_was_tested),
        cmocka_unit_test(two_tests_of_the_same_water_tell_of_its_fading),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
