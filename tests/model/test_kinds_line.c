/* Stories of the kinds about lines: couple, pressurise, flowtest. */
#include "model/line.h"
#include "model/supply.h"
#include "support/logbook.h"

#include <setjmp.h>
#include <stdarg.h>
#include <string.h>

#include <cmocka.h>

/* ---- couple ---- */

static void test_coupling_sets_the_whole_order_air_side_first(void **state)
{
    (void)state;
    Logbook *book = book_of_three();
    book_order(book, "galley", "A1 A2 A3");
    book_say(book, "couple galley A3 A1");
    book_order(book, "galley", "A3 A1");
    assert_int_equal(book_vessel(book, "A2")->line, -1);
    assert_int_equal(book_vessel(book, "A1")->position, 1);
    book_say(book, "couple galley"); /* none uncouples all */
    book_order(book, "galley", "");
    assert_int_equal(book_vessel(book, "A1")->line, -1);
    book_close(book);
}

static void test_the_latest_coupling_that_names_a_vessel_has_it(void **state)
{
    (void)state;
    Logbook *book = book_of_three();
    book_pass(book, 2);
    book_say(book, "couple shower A2");
    book_order(book, "galley", "A1 A3");
    book_order(book, "shower", "A2");
    assert_int_equal(book_vessel(book, "A3")->position, 1);
    book_pass(book, -1);
    book_say(book, "couple shower A1"); /* back-dated: the shower had A1 for a day */
    book_order(book, "galley", "A3");
    book_order(book, "shower", "A2");
    assert_int_equal(book_vessel(book, "A1")->line, -1);
    book_close(book);
}

static void test_a_coupling_that_can_not_be_is_refused(void **state)
{
    (void)state;
    Logbook *book = book_of_three();
    book_refuses(book, "couple galley A1 A1", "A1 stands twice in the order");
    book_refuses(book, "couple galley A1 A9", "There is no vessel 'A9'. Did you mean 'A1'?");
    book_refuses(book, "couple A1 A2", "'A1' is a vessel. Name the line first");
    book_say(book, "stage s1 --type sediment --line shower");
    book_say(book, "stage s2 --type sediment --line bow");
    book_say(book, "stage s3 --type sediment --line stern");
    book_refuses(book, "couple loft A1", "There are 4 lines already");
    book_refuses(book, "couple", "couple: say which line");
    book_force(book, "couple loft A1");
    assert_int_equal(book_discrepancies(book, DISCREPANCY_NO_ROOM), 1);
    book_order(book, "galley", "A1 A2 A3");
    book_close(book);
}

/* The order of a line that is there may be said whatever else bears its name. */
static void test_a_line_that_is_there_is_no_new_one(void **state)
{
    (void)state;
    Logbook *book = book_of_three();
    book_refuses(book, "couple A1 A2 A3", "'A1' is a vessel");
    book_force(book, "vessel galley --capacity 5");
    book_say(book, "couple galley A2 A1");
    book_order(book, "galley", "A2 A1");
    book_close(book);
}

static void test_an_order_with_a_vessel_twice_or_gone_keeps_the_rest(void **state)
{
    (void)state;
    Logbook *book = book_of_three();
    book_pass(book, 1);
    book_force(book, "couple galley A1 A2 A1 A3");
    book_pass(book, -0.5);
    book_say(book, "retire A2"); /* back-dated */
    book_order(book, "galley", "A1 A3");
    assert_int_equal(book_discrepancies(book, DISCREPANCY_SAME_VESSEL), 1);
    assert_int_equal(book_discrepancies(book, DISCREPANCY_NO_SUCH), 1);
    book_close(book);
}

/* A vessel that nobody has named, or that had gone, may hold anything, and stand anywhere. */
static void test_a_line_with_a_vessel_that_nobody_named_delivers_unknown_water(void **state)
{
    (void)state;
    Logbook *book = book_of_three();
    Quality quality;
    book_pass(book, 1);
    book_force(book, "couple galley A1 A2 A3");
    assert_int_equal(line_verdict(book_state(book), 0, book->now), VERDICT_DRINK);
    book_pass(book, -0.5);
    book_say(book, "retire A1"); /* back-dated */
    book_pass(book, 1);
    const State *s = book_state(book);
    assert_true(line_delivers(s, book_line(book, "galley"), &quality));
    assert_int_equal(quality, CLASS_QUESTIONABLE);
    assert_int_equal(line_verdict(s, 0, book->now), VERDICT_BOIL_FIRST);
    assert_int_equal(line_doubt(s, 0, book->now).marks & MARK_RAW, MARK_RAW);
    book_holds(book, "A3", 12000, CLASS_POTABLE); /* nothing has passed yet */
    book_say(book, "draw galley 0.001");
    book_holds(book, "A2", 11999, CLASS_QUESTIONABLE);
    book_holds(book, "A3", 12000, CLASS_QUESTIONABLE);
    book_say(book, "couple galley A2 A3"); /* it is off: what it wetted stays so */
    assert_int_equal(book_line(book, "galley")->strangers, 0);
    assert_int_equal(line_verdict(book_state(book), 0, book->now), VERDICT_BOIL_FIRST);
    book_close(book);
}

/* It gives when air is put on, as when water is drawn; and where it stands first, what it gives goes
 * through the spent. */
static void test_a_vessel_that_nobody_named_gives_under_air(void **state)
{
    (void)state;
    static const struct {
        const char *does;
        Quality first, second;
    } cases[] = {{"note nothing", CLASS_POTABLE, CLASS_POTABLE},
                 {"pressurise galley 0", CLASS_POTABLE, CLASS_POTABLE},
                 {"pressurise galley 276", CLASS_QUESTIONABLE, CLASS_QUESTIONABLE},
                 {"draw galley 0.001", CLASS_QUESTIONABLE, CLASS_QUESTIONABLE}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        Logbook *book = book_open();
        book_say(book, "vessel A1 --capacity 12 --class potable");
        book_say(book, "vessel A2 --capacity 12 --class potable --level 6");
        book_say(book, "vessel X --capacity 12");
        book_pass(book, 1);
        book_force(book, "couple galley X A1 A2");
        book_pass(book, -0.5);
        book_say(book, "retire X"); /* back-dated */
        book_pass(book, 1);
        book_say(book, cases[i].does);
        book_say(book, "couple galley A1 A2");
        assert_int_equal(book_vessel(book, "A1")->quality, cases[i].first);
        assert_int_equal(book_vessel(book, "A2")->quality, cases[i].second);
        assert_int_equal(book_vessel(book, "A1")->marks & MARK_RAW,
                         cases[i].first == CLASS_POTABLE ? 0 : MARK_RAW);
        book_close(book);
    }
}

static void test_coupling_moves_no_water_and_no_class(void **state)
{
    (void)state;
    Logbook *book = book_of_three();
    book_say(book, "vessel B1 --capacity 5 --class non-potable --level 5");
    book_say(book, "couple galley B1 A1 A2 A3");
    assert_int_equal(book_vessel(book, "A1")->quality, CLASS_POTABLE);
    assert_int_equal(line_volume(book_state(book), book_line(book, "galley")), 41000);
    book_close(book);
}

/* ---- pressurise, flowtest ---- */

static void test_pressurising_keeps_the_working_pressure(void **state)
{
    (void)state;
    Logbook *book = book_of_three();
    assert_int_equal(book_line(book, "galley")->working_pa, -1);
    book_say(book, "pressurise galley 2.76bar");
    assert_int_equal(book_line(book, "galley")->working_pa, 276000);
    assert_true(book_line(book, "galley")->pressurised_at == book->now.ms);
    assert_int_equal(book_vessel(book, "A2")->volume, 12000); /* full: no headspace to shrink */
    book_close(book);
}

/* Boyle's law: a headspace of 6 L at the pressure of the air is one of 6 * 100 / 300 = 2 L at 200 kPa
 * above it, so 4 L are pressed on from the lead; those before the lead give and take nothing. */
static void test_pressurising_presses_water_on_from_the_lead(void **state)
{
    (void)state;
    Logbook *book = book_of_three();
    book_say(book, "sound A1 spent");
    book_say(book, "dump A3");
    book_say(book, "fill A3 6 --class potable");
    const int64_t spent = book_vessel(book, "A1")->volume;
    book_say(book, "pressurise galley 200 --ambient 100");
    book_holds(book, "A1", spent, CLASS_POTABLE);
    book_holds(book, "A2", 8000, CLASS_POTABLE);
    book_holds(book, "A3", 10000, CLASS_POTABLE);
    book_close(book);
}

/* The lowest rating that is known counts, to the pascal; a vessel without one hides none. */
static void test_a_pressure_above_the_lowest_known_rating_is_refused(void **state)
{
    (void)state;
    Logbook *book = book_of_three();
    book_say(book, "pressurise galley 10000"); /* nothing is known of them: nothing to hold it to */
    book_say(book, "vessel A1 --rated 410");
    book_say(book, "vessel A3 --rated 300");
    book_say(book, "pressurise galley 300");
    book_refuses(book, "pressurise galley 300.001",
                 "A3 is rated for 300 kPa (43.5 psi), and 300.001 kPa (43.5 psi) is above it");
    book_refuses(book, "pressurise galley 300.001", "Lower the regulator, or take A3 off galley");
    book_refuses(book, "pressurise galley 300.001", "--asserted");
    assert_int_equal(book_line(book, "galley")->working_pa, 300000);
    book_say(book, "couple galley A1 A2");
    book_say(book, "pressurise galley 410");
    book_refuses(book, "pressurise galley 410.001", "A1 is rated for 410 kPa");
    book_close(book);
}

static void test_a_plain_can_on_the_line_takes_no_pressure_at_all(void **state)
{
    (void)state;
    Logbook *book = book_of_three();
    book_say(book, "vessel A1 --rated 410");
    book_say(book, "vessel A2 --rated 0");
    book_say(book, "pressurise galley 0");
    book_refuses(book, "pressurise galley 0.001", "A2 takes no pressure: put no air on galley");
    book_refuses(book, "pressurise galley 0.001", "Take it off the line first");
    book_close(book);
}

/* What has happened has happened: the word of the owner opens the log, and changes nothing in the
 * fold; what is imported or merged is taken as it is. */
static void test_what_is_asserted_is_logged_and_folds_as_any_other(void **state)
{
    (void)state;
    Logbook *said = book_of_three(), *merged = book_of_three();
    book_say(said, "vessel A1 --rated 100");
    book_say(merged, "vessel A1 --rated 100");
    book_say(said, "dump A2 5");
    book_say(merged, "dump A2 5");
    book_say(said, "pressurise galley 276 --asserted");
    book_force(merged, "pressurise galley 276");
    assert_int_equal(book_line(said, "galley")->working_pa, 276000);
    assert_true(state_equal(book_state(said), book_state(merged)));
    book_close(said);
    book_close(merged);
}

static void test_pressurising_what_is_not_there_is_refused(void **state)
{
    (void)state;
    Logbook *book = book_of_three();
    book_refuses(book, "pressurise galey 276", "Did you mean 'galley'?");
    book_say(book, "couple galley");
    book_refuses(book, "pressurise galley 276", "No vessel is coupled in galley");
    book_refuses(book, "pressurise galley", "kpa is missing");
    book_refuses(book, "pressurise galley 276 --ambient 5", "too little: at least 10 kPa");
    const size_t coupled = book_say(book, "couple loft A1");
    book_pass(book, 1);
    book_say(book, "pressurise loft 276");
    book_void(book, coupled);
    assert_int_equal(book_discrepancies(book, DISCREPANCY_NO_SUCH), 1);
    book_close(book);
}

static void test_a_flowtest_is_held_against_the_first_after_a_swap(void **state)
{
    (void)state;
    Logbook *book = book_of_three();
    book_say(book, "stage sediment --type sediment --line galley");
    book_say(book, "pressurise galley 276");
    book_say(book, "flowtest galley 1 --seconds 15");
    book_pass(book, 20);
    book_say(book, "flowtest galley 1 --seconds 24");
    const Line *line = book_line(book, "galley");
    assert_int_equal(line->flow_base_ml_min, 4000); /* 1 L in 15 s */
    assert_int_equal(line->flow_last_ml_min, 2500);
    assert_int_equal(line->flow_last_pa, 276000);
    book_say(book, "swap sediment");
    assert_true(book_line(book, "galley")->flow_base_at == MOMENT_NONE_MS);
    book_say(book, "flowtest galley 2 --seconds 25");
    line = book_line(book, "galley");
    assert_int_equal(line->flow_base_ml_min, 4800);
    assert_true(line->flow_base_at == book->now.ms);
    assert_int_equal(line->drawn, 0); /* what ran is logged as a draw, if it was lost */
    book_refuses(book, "flowtest galley 1", "seconds is missing");
    book_refuses(book, "flowtest galley 1 0", "too little");
    book_close(book);
}

/* A flow that a sensor counted is a lower bound: nobody may have opened the tap as far. For a week
 * the fastest of them stands for the train; a jug is believed at once. */
static void test_a_counted_flow_is_believed_when_a_week_knows_no_faster_one(void **state)
{
    (void)state;
    Logbook *book = book_of_three();
    book_say(book, "flowtest galley 1 --seconds 30");
    book_pass(book, 1);
    book_say(book, "flowtest galley 1 --seconds 20 --counted"); /* more: the base as well */
    const int64_t first = book->now.ms - MS_PER_DAY;
    assert_int_equal(book_line(book, "galley")->flow_base_ml_min, 3000);
    assert_true(book_line(book, "galley")->flow_base_at == first);
    assert_int_equal(book_line(book, "galley")->flow_last_ml_min, 3000);
    book_pass(book, 7 - 1.0 / 86400000);
    book_say(book, "flowtest galley 1 --seconds 40 --counted");
    assert_int_equal(book_line(book, "galley")->flow_last_ml_min, 3000);
    book_pass(book, 1.0 / 86400000); /* seven days */
    book_say(book, "flowtest galley 1 --seconds 40 --counted");
    assert_int_equal(book_line(book, "galley")->flow_last_ml_min, 1500);
    assert_int_equal(book_line(book, "galley")->flow_base_ml_min, 3000);
    book_say(book, "flowtest galley 1 --seconds 60"); /* a jug */
    assert_int_equal(book_line(book, "galley")->flow_last_ml_min, 1000);
    assert_int_equal(book_line(book, "galley")->flow_top_ml_min, 3000);
    book_close(book);
    /* As fast a one begins the week anew; a week after the swap none is the base any more. */
    book = book_of_three();
    book_say(book, "flowtest galley 1 --seconds 30 --counted");
    book_pass(book, 5);
    book_say(book, "flowtest galley 1 --seconds 30 --counted");
    book_pass(book, 2);
    book_say(book, "flowtest galley 1 --seconds 20 --counted"); /* seven days after the first */
    assert_int_equal(book_line(book, "galley")->flow_base_ml_min, 2000);
    assert_int_equal(book_line(book, "galley")->flow_last_ml_min, 3000);
    book_close(book);
    book = book_of_three();
    book_say(book, "flowtest galley 1 --seconds 30 --counted");
    book_pass(book, 5);
    book_say(book, "flowtest galley 1 --seconds 30 --counted");
    book_pass(book, 6);
    book_say(book, "flowtest galley 1 --seconds 40 --counted");
    assert_int_equal(book_line(book, "galley")->flow_last_ml_min, 2000);
    book_close(book);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_coupling_sets_the_whole_order_air_side_first),
        cmocka_unit_test(test_the_latest_coupling_that_names_a_vessel_has_it),
        cmocka_unit_test(test_a_coupling_that_can_not_be_is_refused),
        cmocka_unit_test(test_a_line_that_is_there_is_no_new_one),
        cmocka_unit_test(test_an_order_with_a_vessel_twice_or_gone_keeps_the_rest),
        cmocka_unit_test(test_a_line_with_a_vessel_that_nobody_named_delivers_unknown_water),
        cmocka_unit_test(test_a_vessel_that_nobody_named_gives_under_air),
        cmocka_unit_test(test_coupling_moves_no_water_and_no_class),
        cmocka_unit_test(test_pressurising_keeps_the_working_pressure),
        cmocka_unit_test(test_pressurising_presses_water_on_from_the_lead),
        cmocka_unit_test(test_a_pressure_above_the_lowest_known_rating_is_refused),
        cmocka_unit_test(test_a_plain_can_on_the_line_takes_no_pressure_at_all),
        cmocka_unit_test(test_what_is_asserted_is_logged_and_folds_as_any_other),
        cmocka_unit_test(test_pressurising_what_is_not_there_is_refused),
        cmocka_unit_test(test_a_flowtest_is_held_against_the_first_after_a_swap),
        cmocka_unit_test(test_a_counted_flow_is_believed_when_a_week_knows_no_faster_one),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
