/* Stories of the kinds about treatment stages: stage, unstage, swap, spares. */
#include "model/line.h"
#include "support/logbook.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static void test_a_stage_counts_the_litres_of_its_line_since_it_was_fitted(void **state)
{
    (void)state;
    Logbook *book = book_of_three();
    book_say(book, "draw galley 2");
    book_say(book, "stage sediment --type sediment --line galley --position 1 --life-litres 4000 "
                   "--life-days 180");
    book_say(book, "draw galley 3.5");
    const Stage *stage = book_stage(book, "sediment");
    assert_int_equal(stage->through_ml, 3500);
    assert_int_equal(stage->life_ml, 4000000);
    assert_int_equal(stage->life_days, 180);
    assert_int_equal(stage->spares, -1);
    assert_true(stage->fitted_at == BOOK_BEGIN_MS);
    book_close(book);
}

static void test_a_used_cartridge_brings_its_days_and_litres(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --level 12");
    book_say(book, "couple galley A1");
    book_say(book, "stage carbon --type carbon-block --line galley");
    book_say(book, "draw galley 3");
    book_say(book, "stage carbon --fitted 2026-05-01T08:00:00Z --through 1200");
    assert_int_equal(book_stage(book, "carbon")->fitted_at, BOOK_BEGIN_MS - 31 * MS_PER_DAY);
    assert_int_equal(book_stage(book, "carbon")->through_ml, 1200000);
    book_say(book, "draw galley 3");
    assert_int_equal(book_stage(book, "carbon")->through_ml, 1203000);
    book_refuses(book, "stage carbon --fitted 2026-06-02T08:00:00Z", "after the entry's own time");
    char words[80], at[48];
    snprintf(words, sizeof words, "stage carbon --fitted %s", moment_print_utc(book->now, at));
    book_say(book, words);
    assert_true(book_stage(book, "carbon")->fitted_at == book->now.ms);
    book_say(book, "swap carbon");
    assert_int_equal(book_stage(book, "carbon")->through_ml, 0);
    assert_true(book_stage(book, "carbon")->fitted_at >= BOOK_BEGIN_MS);
    book_close(book);
}

static void test_a_stage_of_another_line_counts_none_of_it(void **state)
{
    (void)state;
    Logbook *book = book_of_three();
    book_say(book, "stage lamp --type uv --line shower");
    book_say(book, "draw galley 3");
    assert_int_equal(book_stage(book, "lamp")->through_ml, 0);
    book_say(book, "stage lamp --line galley"); /* the first line of all is one, too */
    book_say(book, "draw galley 1");
    assert_int_equal(book_stage(book, "lamp")->through_ml, 1000);
    book_close(book);
}

static void test_a_swap_begins_litres_and_hours_again_and_takes_a_spare(void **state)
{
    (void)state;
    Logbook *book = book_of_three();
    book_say(book, "stage lamp --type uv --line galley --life-hours 9000 --lamp always");
    book_say(book, "spares lamp 1");
    book_say(book, "draw galley 5");
    book_pass(book, 10);
    assert_int_equal(stage_lamp_ms(book_stage(book, "lamp"), book->now.ms), 10 * MS_PER_DAY);
    book_say(book, "swap lamp");
    const Stage *stage = book_stage(book, "lamp");
    assert_int_equal(stage->through_ml, 0);
    assert_int_equal(stage->spares, 0);
    assert_true(stage->fitted_at == book->now.ms);
    assert_int_equal(stage_lamp_ms(stage, book->now.ms), 0);
    assert_int_equal(stage->life_ms, 9000 * MS_PER_HOUR);
    book_say(book, "swap lamp"); /* from the shop: there was no spare to take */
    assert_int_equal(book_stage(book, "lamp")->spares, 0);
    book_close(book);
}

static void test_a_lamp_burns_always_or_only_with_the_flow(void **state)
{
    (void)state;
    Logbook *book = book_of_three();
    book_say(book, "stage lamp --type uv --line galley --lamp with-flow --rated-lpm 4");
    book_say(book, "draw galley 8");
    book_pass(book, 3);
    assert_int_equal(stage_lamp_ms(book_stage(book, "lamp"), book->now.ms), 2 * MS_PER_MINUTE);
    /* what went through it before it was named counts, too */
    book_say(book, "stage lamp --through 40");
    assert_int_equal(stage_lamp_ms(book_stage(book, "lamp"), book->now.ms), 10 * MS_PER_MINUTE);
    /* without a rated flow it is taken to burn always: the safe side */
    book_say(book, "stage lamp --rated-lpm 0");
    assert_int_equal(stage_lamp_ms(book_stage(book, "lamp"), book->now.ms), 3 * MS_PER_DAY);
    book_close(book);
}

static void test_naming_a_stage_again_amends_it_and_keeps_what_is_left_out(void **state)
{
    (void)state;
    Logbook *book = book_of_three();
    book_say(book, "stage carbon --type carbon-block --line galley --position 2 --life-litres 3000 "
                   "--rated-lpm 4 --purifying");
    book_say(book, "draw galley 1");
    book_pass(book, 1);
    book_say(book, "stage carbon --life-days 365");
    const Stage *stage = book_stage(book, "carbon");
    assert_int_equal(stage->type, STAGE_CARBON_BLOCK);
    assert_int_equal(stage->position, 2);
    assert_int_equal(stage->life_ml, 3000000);
    assert_int_equal(stage->life_days, 365);
    assert_int_equal(stage->rated_ml_min, 4000);
    assert_int_equal(stage->purifying, 1);
    assert_int_equal(stage->through_ml, 1000);
    assert_true(stage->fitted_at == BOOK_BEGIN_MS);
    book_say(book, "stage carbon --life-litres 0"); /* 0 takes the limit away */
    assert_int_equal(book_stage(book, "carbon")->life_ml, 0);
    book_close(book);
}

static void test_stages_stand_by_position_and_then_by_label(void **state)
{
    (void)state;
    Logbook *book = book_of_three();
    book_say(book, "stage lamp --type uv --line galley --position 3");
    book_say(book, "stage c10 --type carbon-block --line galley --position 2");
    book_say(book, "stage c9 --type carbon-block --line galley --position 2");
    book_say(book, "stage sediment --type sediment --line galley --position 1");
    book_say(book, "stage other --type other --line shower --position 1");
    book_say(book, "stage last --type other --line galley"); /* left out: behind all */
    const State *s = book_state(book);
    int order[STAGES_MAX];
    assert_int_equal(line_stages(s, 0, order), 5);
    static const char *const names[] = {"sediment", "c9", "c10", "lamp", "last"};
    for (int i = 0; i < 5; i++)
        assert_string_equal(s->stages[order[i]].label.s, names[i]);
    book_close(book);
    /* Named without a position each stands behind the one before, whatever it is called. */
    book = book_of_three();
    book_say(book, "stage z --type sediment --line galley");
    book_say(book, "stage m --type carbon-block --line galley");
    book_say(book, "stage a --type uv --line galley");
    assert_int_equal(line_stages(book_state(book), 0, order), 3);
    for (int i = 0; i < 3; i++) {
        assert_int_equal(order[i], i);
        assert_int_equal(book_state(book)->stages[i].position, i + 1);
    }
    book_close(book);
}

static void test_a_stage_taken_out_is_gone_with_its_count(void **state)
{
    (void)state;
    Logbook *book = book_of_three();
    book_say(book, "stage sediment --type sediment --line galley");
    book_say(book, "stage carbon --type carbon-granular --line galley");
    book_say(book, "draw galley 2");
    book_say(book, "unstage sediment");
    assert_int_equal(book_state(book)->stage_count, 1);
    assert_int_equal(book_stage(book, "carbon")->through_ml, 2000);
    book_say(book, "stage sediment --type sediment --line galley");
    assert_int_equal(book_stage(book, "sediment")->through_ml, 0);
    book_close(book);
}

static void test_a_stage_that_can_not_be_is_refused(void **state)
{
    (void)state;
    Logbook *book = book_of_three();
    book_refuses(book, "stage sediment --line galley", "give its --type and its --line");
    book_refuses(book, "stage sediment --type sediment", "give its --type and its --line");
    book_refuses(book, "stage sediment --type sediment --line A1", "'A1' is a vessel");
    book_refuses(book, "swap sediment", "no stage has been named yet");
    book_say(book, "stage sediment --type sediment --line galley");
    book_refuses(book, "unstage sedimnet", "Did you mean 'sediment'?");
    book_refuses(book, "spares carbon 2", "Known: sediment.");
    book_refuses(book, "spares sediment 1.5", "is a whole number");
    book_refuses(book, "spares sediment 1000", "too much: at most 999");
    book_close(book);
}

static void test_the_seventeenth_stage_is_refused(void **state)
{
    (void)state;
    Logbook *book = book_of_three();
    char words[] = "stage s? --type other --line galley";
    for (int i = 0; i < STAGES_MAX; i++) {
        words[7] = (char)('a' + i);
        book_say(book, words);
    }
    words[7] = 'z';
    book_refuses(book, words, "There are 16 stages already");
    book_force(book, words);
    assert_int_equal(book_discrepancies(book, DISCREPANCY_NO_ROOM), 1);
    book_close(book);
}

static void test_stage_entries_without_their_stage_are_listed(void **state)
{
    (void)state;
    static const char *const entries[] = {"swap sediment", "spares sediment 2", "unstage sediment",
                                          "stage sediment --life-days 9"};
    for (size_t i = 0; i < sizeof entries / sizeof entries[0]; i++) {
        Logbook *book = book_of_three();
        const size_t named = book_say(book, "stage sediment --type sediment --line galley");
        book_pass(book, 1);
        book_say(book, entries[i]);
        book_void(book, named);
        assert_int_equal(book_discrepancies(book, DISCREPANCY_NO_SUCH), 1);
        assert_int_equal(book_state(book)->stage_count, 0);
        book_close(book);
    }
}

/* What another machine logged within the bound is likely the same; both count until it is known. */
static void twice(const char *set_up, const char *words, int64_t bound)
{
    static const struct {
        uint32_t before, after;
        int64_t past; /* the bound, ms */
        int found;
    } cases[] = {{0x111111, 0x222222, 0, 1},       {0x111111, 0x222222, 1, 0},
                 {0x111111, 0x222222, -600000, 1}, {0x111111, 0x111111, -600000, 0},
                 {0x111111, 0, -600000, 0},        {0, 0x222222, -600000, 0}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        Logbook *book = book_open();
        book_say(book, "vessel A1 --capacity 20 --class potable");
        book_say(book, set_up);
        book_pass(book, 1);
        book_force_by(book, cases[i].before, words);
        book->now.ms += bound + cases[i].past;
        book->latest = book->now;
        const size_t second = book_force_by(book, cases[i].after, words);
        assert_int_equal(book_discrepancies(book, DISCREPANCY_TWICE), cases[i].found);
        if (cases[i].found > 0) /* how long after the other one */
            assert_true(book_state(book)->discrepancies[0].amount == bound + cases[i].past);
        book_void(book, second);
        assert_int_equal(book_discrepancies(book, DISCREPANCY_TWICE), 0);
        book_close(book);
    }
}

static void a_swap_that_two_machines_logged_within_an_hour_is_asked_about(void **state)
{
    (void)state;
    const char *const stage = "stage sediment --type sediment --line galley --position 1";
    twice(stage, "swap sediment", MS_PER_HOUR); /* common practice, no source */
    Logbook *book = book_open();
    book_say(book, stage);
    book_say(book, "stage carbon --type carbon-block --line galley --position 2");
    book_say(book, "spares sediment 3");
    book_force_by(book, 0x111111, "swap sediment");
    book_force_by(book, 0x222222, "swap carbon"); /* another one */
    assert_int_equal(book_discrepancies(book, DISCREPANCY_TWICE), 0);
    const size_t second = book_force_by(book, 0x222222, "swap sediment");
    assert_int_equal(book_discrepancies(book, DISCREPANCY_TWICE), 1);
    assert_int_equal(book_stage(book, "sediment")->spares, 1);
    book_void(book, second);
    assert_int_equal(book_stage(book, "sediment")->spares, 2);
    book_close(book);
}

static void a_fill_that_two_machines_logged_within_ten_minutes_is_asked_about(void **state)
{
    (void)state;
    twice("note x", "fill A1 2", 10 * MS_PER_MINUTE); /* common practice, no source */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_a_stage_counts_the_litres_of_its_line_since_it_was_fitted),
        cmocka_unit_test(test_a_used_cartridge_brings_its_days_and_litres),
        cmocka_unit_test(test_a_stage_of_another_line_counts_none_of_it),
        cmocka_unit_test(a_swap_that_two_machines_logged_within_an_hour_is_asked_about),
        cmocka_unit_test(a_fill_that_two_machines_logged_within_ten_minutes_is_asked_about),
        cmocka_unit_test(test_a_swap_begins_litres_and_hours_again_and_takes_a_spare),
        cmocka_unit_test(test_a_lamp_burns_always_or_only_with_the_flow),
        cmocka_unit_test(test_naming_a_stage_again_amends_it_and_keeps_what_is_left_out),
        cmocka_unit_test(test_stages_stand_by_position_and_then_by_label),
        cmocka_unit_test(test_a_stage_taken_out_is_gone_with_its_count),
        cmocka_unit_test(test_a_stage_that_can_not_be_is_refused),
        cmocka_unit_test(test_the_seventeenth_stage_is_refused),
        cmocka_unit_test(test_stage_entries_without_their_stage_are_listed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
