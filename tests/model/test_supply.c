/* How much is left, of what class and where; the reserve; stale water; the verdict at the tap. */
#include "model/supply.h"

#include "support/logbook.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static ReserveState reserve(Logbook *book)
{
    return reserve_state(book_state(book), book->now);
}

/* common practice, no source: four 20 L vessels in series and one in reserve. */
static Logbook *four_and_one(void)
{
    Logbook *book = book_open();
    for (int i = 1; i <= 4; i++) {
        char words[90];
        (void)snprintf(words, sizeof words,
                       "vessel A%d --capacity 20 --duty line --class potable --level full", i);
        book_say(book, words);
    }
    book_say(book, "vessel R1 --capacity 20 --duty reserve --class potable --level full");
    book_say(book, "couple galley A1 A2 A3 A4");
    book_say(book, "crew 2");
    return book;
}

static void test_four_in_series_and_one_in_reserve_carry_100_litres(void **state)
{
    (void)state;
    Logbook *book = four_and_one();
    const Supply s = supply_of(book_state(book));
    assert_int_equal(s.line, 80000);
    assert_int_equal(s.reserve, 20000);
    assert_int_equal(s.line + s.reserve + s.apart, 100000);
    assert_int_equal(s.by_class[CLASS_POTABLE], 100000);
    assert_int_equal(reserve(book), RESERVE_INTACT);
    book_close(book);
}

static void test_when_the_four_are_spent_exactly_the_reserve_is_left(void **state)
{
    (void)state;
    Logbook *book = four_and_one();
    int days = 0;
    while (supply_of(book_state(book)).line > 0) {
        book_pass(book, 1);
        book_say(book, "draw galley 8"); /* two persons, 4 L each */
        days++;
    }
    const Supply s = supply_of(book_state(book));
    assert_int_equal(days, 10);
    assert_int_equal(s.reserve, 20000);
    assert_int_equal(s.line + s.apart, 0);
    assert_int_equal(reserve(book), RESERVE_IN_USE);
    book_close(book);
}

static void test_two_people_make_the_hundred_litres_last_ten_to_fifteen_days(void **state)
{
    (void)state;
    /* common practice, no source: 100 L last two people on a composting toilet 10 to 15 days; the
     * rate that a new log begins with must say so. */
    Logbook *book = four_and_one();
    const UseRate rate = use_rate(&book_state(book)->use);
    const double a_day = 2 * (rate.logged + rate.unlogged + rate.prior);
    const double days = 100000 / a_day;
    assert_true(days >= 10 && days <= 15);
    book_close(book);
}

static void test_supply_counts_above_the_heel_by_class_and_by_place(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --heel 0.2 --class potable --level 12");
    book_say(book, "vessel A2 --capacity 12 --heel 0.2 --class questionable --level 5");
    book_say(book, "vessel R1 --capacity 10 --heel 0.5 --duty reserve --class potable --level 10");
    book_say(book, "vessel R2 --capacity 10 --duty reserve --class potable --level 4");
    book_say(book, "vessel W1 --capacity 10 --heel 1 --duty wash --class non-potable --level 0.5");
    book_say(book, "vessel S1 --capacity 10 --class potable --level 3");
    book_say(book, "couple galley R2 A1 A2"); /* a reserve vessel counts as one wherever it is */
    const Supply s = supply_of(book_state(book));
    assert_int_equal(s.line, 11800 + 4800);
    assert_int_equal(s.reserve, 9500 + 4000);
    assert_int_equal(s.reserve_volume, 14000);
    assert_int_equal(s.apart, 3000); /* W1 is below its heel */
    assert_int_equal(s.by_class[CLASS_POTABLE], 11800 + 9500 + 4000 + 3000);
    assert_int_equal(s.by_class[CLASS_QUESTIONABLE], 4800);
    assert_int_equal(s.by_class[CLASS_NON_POTABLE], 0);
    assert_int_equal(vessel_place(book_vessel(book, "R2")), PLACE_RESERVE);
    assert_int_equal(vessel_place(book_vessel(book, "A1")), PLACE_LINE);
    assert_int_equal(vessel_place(book_vessel(book, "W1")), PLACE_APART);
    book_say(book, "retire R1");
    assert_int_equal(supply_of(book_state(book)).reserve, 4000);
    book_close(book);
}

/* ---- the reserve ---- */

static void test_without_a_reserve_vessel_there_is_no_reserve(void **state)
{
    (void)state;
    Logbook *book = book_open();
    assert_int_equal(reserve(book), RESERVE_NONE);
    book_say(book, "vessel A1 --capacity 12 --class potable --level 12");
    assert_int_equal(reserve(book), RESERVE_NONE);
    assert_string_equal(reserve_state_name(RESERVE_NONE), "none");
    book_close(book);
}

static void test_an_intact_reserve_is_full_potable_and_in_date(void **state)
{
    (void)state;
    Logbook *book = four_and_one();
    book_say(book, "draw R1 1"); /* exactly 95 % */
    assert_int_equal(reserve(book), RESERVE_INTACT);
    book_say(book, "draw R1 0.001");
    assert_int_equal(reserve(book), RESERVE_SHORT);
    book_close(book);

    book = four_and_one();
    book_say(book, "fill R1 1 --class questionable");
    assert_int_equal(reserve(book), RESERVE_SHORT);
    book_close(book);

    book = four_and_one();
    book_pass(book, 180 - 0.001);
    assert_int_equal(reserve(book), RESERVE_INTACT);
    book_pass(book, 0.001);
    assert_int_equal(reserve(book), RESERVE_SHORT);
    assert_string_equal(reserve_state_name(RESERVE_INTACT), "intact");
    assert_string_equal(reserve_state_name(RESERVE_SHORT), "short");
    book_close(book);
}

static void test_each_reserve_vessel_must_be_whole(void **state)
{
    (void)state;
    Logbook *book = four_and_one();
    book_say(book, "vessel R2 --capacity 20 --duty reserve --class potable");
    assert_int_equal(reserve(book), RESERVE_SHORT);
    book_close(book);
}

static void test_a_reserve_vessel_that_leads_its_line_is_in_use(void **state)
{
    (void)state;
    Logbook *book = four_and_one();
    book_say(book, "couple galley R1 A1 A2 A3 A4");
    assert_int_equal(reserve(book), RESERVE_IN_USE);
    /* on the tap side it waits, and water flows through it */
    book_say(book, "couple galley A1 A2 A3 A4 R1");
    assert_int_equal(reserve(book), RESERVE_INTACT);
    book_say(book, "draw galley 80");
    assert_int_equal(reserve(book), RESERVE_IN_USE);
    assert_string_equal(reserve_state_name(RESERVE_IN_USE), "in use");
    book_close(book);
}

static void test_with_nothing_usable_on_the_line_nor_in_it_the_reserve_is_spent(void **state)
{
    (void)state;
    Logbook *book = four_and_one();
    book_say(book, "draw galley 80");
    book_say(book, "draw R1 20");
    assert_int_equal(reserve(book), RESERVE_SPENT);
    book_say(book, "fill A1 20 --class non-potable"); /* no longer drawn from: but it is low */
    assert_int_equal(reserve(book), RESERVE_SHORT);
    assert_string_equal(reserve_state_name(RESERVE_SPENT), "spent");
    book_close(book);
}

/* ---- stale water ---- */

static void test_water_goes_stale_by_its_mean_age(void **state)
{
    (void)state;
    Logbook *book = four_and_one();
    assert_true(vessel_stale_at(book_vessel(book, "A1")).ms == BOOK_BEGIN_MS + 30 * MS_PER_DAY);
    assert_true(vessel_stale_at(book_vessel(book, "R1")).ms == BOOK_BEGIN_MS + 180 * MS_PER_DAY);
    const Moment at = {BOOK_BEGIN_MS + 30 * MS_PER_DAY};
    assert_true(vessel_stale(book_vessel(book, "A1"), at));
    assert_false(vessel_stale(book_vessel(book, "A1"), (Moment){at.ms - 1}));
    assert_false(vessel_stale(book_vessel(book, "R1"), at));
    /* half of it new at day 20: mean day 10 */
    book_pass(book, 20);
    book_say(book, "couple galley A2 A3 A4");
    book_say(book, "draw A1 10");
    book_say(book, "fill A1 10 --class potable");
    assert_true(vessel_stale_at(book_vessel(book, "A1")).ms == BOOK_BEGIN_MS + 40 * MS_PER_DAY);
    /* a reserve on a line is not sealed */
    book_say(book, "couple galley R1 A2");
    assert_true(vessel_stale_at(book_vessel(book, "R1")).ms == BOOK_BEGIN_MS + 30 * MS_PER_DAY);
    book_close(book);
}

static void test_an_empty_or_a_wash_vessel_is_never_stale(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12");
    book_say(book, "vessel W1 --capacity 12 --duty wash --level 5");
    book_pass(book, 1000);
    assert_false(vessel_stale(book_vessel(book, "A1"), book->now));
    assert_false(vessel_stale(book_vessel(book, "W1"), book->now));
    assert_false(moment_known(vessel_stale_at(book_vessel(book, "A1"))));
    /* on a line it is the tap's water, whatever it was meant for */
    book_say(book, "couple galley W1");
    assert_true(vessel_stale(book_vessel(book, "W1"), book->now));
    assert_true(line_doubt(book_state(book), 0, book->now).stale);
    book_close(book);
}

/* ---- the verdict ---- */

static Verdict verdict(Logbook *book)
{
    return line_verdict(book_state(book), 0, book->now);
}

static Logbook *one_of(const char *quality)
{
    Logbook *book = book_open();
    char words[90];
    (void)snprintf(words, sizeof words, "vessel A1 --capacity 100 --class %s --level 100", quality);
    book_say(book, words);
    book_say(book, "couple galley A1");
    return book;
}

static void test_potable_all_the_way_is_to_drink(void **state)
{
    (void)state;
    Logbook *book = one_of("potable");
    assert_int_equal(verdict(book), VERDICT_DRINK);
    assert_string_equal(verdict_name(VERDICT_DRINK), "drink");
    book_say(book, "draw galley 100");
    assert_int_equal(verdict(book), VERDICT_NONE);
    assert_null(verdict_name(VERDICT_NONE));
    book_close(book);
}

static void test_one_doubtful_vessel_on_the_way_spoils_the_verdict(void **state)
{
    (void)state;
    Logbook *book = one_of("potable");
    book_say(book, "vessel A2 --capacity 10 --class questionable");
    book_say(book, "couple galley A1 A2"); /* empty, but its walls are wet */
    assert_int_equal(verdict(book), VERDICT_BOIL_FIRST);
    assert_int_equal(book_vessel(book, "A1")->quality, CLASS_POTABLE); /* changes no class */
    book_close(book);
}

static void test_questionable_is_to_boil_unless_the_train_purifies(void **state)
{
    (void)state;
    Logbook *book = one_of("questionable");
    assert_int_equal(verdict(book), VERDICT_BOIL_FIRST);
    /* a cartridge that the owner calls purifying neither disinfects nor holds microbes back */
    book_say(book, "stage sediment --type sediment --line galley --life-days 180 --purifying");
    assert_int_equal(verdict(book), VERDICT_BOIL_FIRST);
    book_say(book, "stage lamp --type uv --line galley --life-hours 9000 --rated-lpm 2");
    assert_int_equal(verdict(book), VERDICT_DRINK_IF_TREATED);
    book_say(book, "stage carbon --type carbon-block --line galley"); /* no life was stated */
    assert_int_equal(verdict(book), VERDICT_BOIL_FIRST);
    book_say(book, "stage carbon --type carbon-block --line galley --life-litres 100");
    assert_int_equal(verdict(book), VERDICT_DRINK_IF_TREATED);
    book_say(book, "flowtest galley 1 --seconds 30"); /* 2 L/min: what the lamp is rated for */
    assert_int_equal(verdict(book), VERDICT_DRINK_IF_TREATED);
    book_say(book, "flowtest galley 1 --seconds 29.9");
    assert_int_equal(verdict(book), VERDICT_BOIL_FIRST);
    book_say(book, "flowtest galley 1 --seconds 60"); /* it has run too fast all the same */
    assert_int_equal(verdict(book), VERDICT_BOIL_FIRST);
    book_say(book, "swap lamp");
    assert_int_equal(verdict(book), VERDICT_DRINK_IF_TREATED);
    book_say(book, "stage lamp --type uv --line shower"); /* on another line it helps nothing */
    assert_int_equal(verdict(book), VERDICT_BOIL_FIRST);
    book_say(book, "stage film --type membrane --line galley --life-days 700 --purifying");
    assert_int_equal(verdict(book), VERDICT_DRINK_IF_TREATED);
    book_close(book);
}

/* domain 3.6 and 3.7: less evidence never earns more. A flow that was tested is held against what
 * the lamp is rated for; where nobody said for what, it is not taken to be enough. */
static void test_a_lamp_of_unknown_flow_purifies_at_no_flow_that_was_tested(void **state)
{
    (void)state;
    static const char *const barriers[] = {"uv", "membrane"};
    for (size_t i = 0; i < 2; i++) {
        Logbook *book = one_of("questionable");
        char words[90];
        int stage;
        (void)snprintf(words, sizeof words, "stage b --type %s --line galley --life-days 180",
                       barriers[i]);
        book_say(book, words);
        assert_int_equal(line_train(book_state(book), 0, book->now, &stage), TRAIN_UNDECLARED);
        book_say(book, "stage b --purifying");
        book_say(book, "stage s --type sediment --line galley --life-days 180");
        assert_int_equal(verdict(book), VERDICT_DRINK_IF_TREATED); /* no flow is known to be more */
        book_say(book, "flowtest galley 1 --seconds 600");
        assert_int_equal(verdict(book), VERDICT_BOIL_FIRST);
        assert_int_equal(line_train(book_state(book), 0, book->now, &stage), TRAIN_UNRATED);
        assert_string_equal(book_state(book)->stages[stage].label.s, "b");
        book_say(book, "stage b --rated-lpm 0.1"); /* as fast as it ran; s bars nothing */
        assert_int_equal(verdict(book), VERDICT_DRINK_IF_TREATED);
        book_say(book, "stage s --rated-lpm 0.09");
        assert_int_equal(verdict(book), VERDICT_BOIL_FIRST);
        assert_int_equal(line_train(book_state(book), 0, book->now, &stage), TRAIN_TOO_FAST);
        assert_string_equal(book_state(book)->stages[stage].label.s, "s");
        book_close(book);
    }
}

/* domain 6: why it is short, and what only a reserve, or a full one that is questionable, is. */
static void test_a_reserve_says_why_it_is_short_and_is_in_use_only_where_a_line_is(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel R1 --capacity 20 --duty reserve --class potable --level 20");
    assert_int_equal(reserve(book), RESERVE_INTACT); /* nothing is coupled */
    book_say(book, "draw R1 1");                     /* 95 % */
    assert_int_equal(reserve(book), RESERVE_INTACT);
    book_say(book, "draw R1 0.001");
    assert_int_equal(reserve(book), RESERVE_SHORT);
    assert_int_equal(reserve_short(book_state(book), book->now), SHORT_LOW);
    book_say(book, "fill R1 full --class questionable");
    assert_int_equal(reserve(book), RESERVE_SHORT); /* full of doubtful water: not spent */
    assert_int_equal(reserve_short(book_state(book), book->now), SHORT_QUESTIONABLE);
    book_say(book, "treat R1 boil --minutes 3");
    assert_int_equal(reserve(book), RESERVE_INTACT);
    book_pass(book, 181);
    assert_int_equal(reserve_short(book_state(book), book->now), SHORT_STALE);
    book_say(book, "vessel A1 --capacity 10");
    book_say(book, "couple galley A1"); /* empty */
    assert_int_equal(reserve(book), RESERVE_IN_USE);
    book_say(book, "couple galley"); /* a line of none is no line */
    assert_int_equal(reserve(book), RESERVE_SHORT);
    book_say(book, "couple galley A1");
    book_say(book, "draw R1 20");
    assert_int_equal(reserve(book), RESERVE_SPENT);
    book_close(book);
}

static void doubt_is(Logbook *book, bool stale, uint8_t marks)
{
    const LineDoubt doubt = line_doubt(book_state(book), 0, book->now);
    assert_true(doubt.stale == stale);
    assert_int_equal(doubt.marks, marks);
}

/* What stands beside "drink": over all that the water passes. */
static void test_a_verdict_carries_what_speaks_against_it(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "source M --type mains --class potable");
    book_say(book, "vessel A1 --capacity 10 --heel 0 --class potable");
    book_say(book, "vessel A2 --capacity 10 --heel 0 --class potable");
    book_say(book, "fill A1 full --from M");
    book_say(book, "fill A2 full --from M");
    book_say(book, "couple galley A1 A2");
    assert_int_equal(verdict(book), VERDICT_DRINK);
    doubt_is(book, false, 0);
    book_pass(book, 29.9);
    doubt_is(book, false, 0);
    book_pass(book, 0.2);
    doubt_is(book, true, 0);
    book_say(book, "dump A1");
    book_say(book, "dump A2");
    book_say(book, "fill A2 full --from M");
    doubt_is(book, false, 0);
    book_say(book, "fill A1 1 --class potable"); /* upstream, by nobody knows what */
    assert_int_equal(verdict(book), VERDICT_DRINK);
    doubt_is(book, false, MARK_ASSERTED | MARK_RAW);
    book_close(book);
}

static void test_a_train_with_any_stage_out_of_life_does_not_purify(void **state)
{
    (void)state;
    Logbook *book = one_of("questionable");
    book_say(book, "stage sediment --type sediment --line galley --life-litres 50");
    book_say(book,
             "stage lamp --type uv --line galley --life-hours 2400 --lamp always --purifying");
    book_say(book, "stage carbon --type carbon-block --line galley --life-days 90");
    assert_int_equal(verdict(book), VERDICT_DRINK_IF_TREATED);
    book_say(book, "draw galley 49.999");
    assert_int_equal(verdict(book), VERDICT_DRINK_IF_TREATED);
    book_say(book, "draw galley 0.001"); /* litres */
    assert_int_equal(verdict(book), VERDICT_BOIL_FIRST);
    book_say(book, "swap sediment");
    assert_int_equal(verdict(book), VERDICT_DRINK_IF_TREATED);
    book_pass(book, 90); /* days */
    assert_int_equal(verdict(book), VERDICT_BOIL_FIRST);
    book_say(book, "swap carbon");
    assert_int_equal(verdict(book), VERDICT_DRINK_IF_TREATED);
    book_pass(book, 10); /* 100 days of 24 hours */
    assert_int_equal(verdict(book), VERDICT_BOIL_FIRST);
    book_say(book, "swap lamp");
    assert_int_equal(verdict(book), VERDICT_DRINK_IF_TREATED);
    book_close(book);
}

static void test_non_potable_is_for_washing_whatever_the_train(void **state)
{
    (void)state;
    Logbook *book = one_of("non-potable");
    book_say(book, "stage lamp --type uv --line galley --purifying");
    assert_int_equal(verdict(book), VERDICT_WASH_ONLY);
    assert_string_equal(verdict_name(VERDICT_WASH_ONLY), "wash only");
    book_close(book);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_four_in_series_and_one_in_reserve_carry_100_litres),
        cmocka_unit_test(test_when_the_four_are_spent_exactly_the_reserve_is_left),
        cmocka_unit_test(test_two_people_make_the_hundred_litres_last_ten_to_fifteen_days),
        cmocka_unit_test(test_supply_counts_above_the_heel_by_class_and_by_place),
        cmocka_unit_test(test_without_a_reserve_vessel_there_is_no_reserve),
        cmocka_unit_test(test_an_intact_reserve_is_full_potable_and_in_date),
        cmocka_unit_test(test_each_reserve_vessel_must_be_whole),
        cmocka_unit_test(test_a_reserve_vessel_that_leads_its_line_is_in_use),
        cmocka_unit_test(test_with_nothing_usable_on_the_line_nor_in_it_the_reserve_is_spent),
        cmocka_unit_test(test_water_goes_stale_by_its_mean_age),
        cmocka_unit_test(test_an_empty_or_a_wash_vessel_is_never_stale),
        cmocka_unit_test(test_potable_all_the_way_is_to_drink),
        cmocka_unit_test(test_one_doubtful_vessel_on_the_way_spoils_the_verdict),
        cmocka_unit_test(test_a_reserve_says_why_it_is_short_and_is_in_use_only_where_a_line_is),
        cmocka_unit_test(test_a_verdict_carries_what_speaks_against_it),
        cmocka_unit_test(test_questionable_is_to_boil_unless_the_train_purifies),
        cmocka_unit_test(test_a_lamp_of_unknown_flow_purifies_at_no_flow_that_was_tested),
        cmocka_unit_test(test_a_train_with_any_stage_out_of_life_does_not_purify),
        cmocka_unit_test(test_non_potable_is_for_washing_whatever_the_train),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
