/* The state: look-ups, slots, lamp time, the words of a discrepancy. */
#include "model/state.h"

#include "model/tell.h"
#include "support/logbook.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static void test_look_ups_find_by_label_and_only_what_is_aboard(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12");
    book_say(book, "vessel A2 --capacity 12");
    book_say(book, "couple galley A1");
    book_say(book, "stage sediment --type sediment --line galley");
    book_say(book, "source \"Holm tap\" --type mains");
    book_say(book, "stop Vik --eta 2026-07-01T12:00:00Z");
    book_say(book, "retire A2");
    const State *s = book_state(book);
    const Label a2 = label_of(text_of("A2")), a1 = label_of(text_of("A1"));
    const Label galley = label_of(text_of("galley")), sediment = label_of(text_of("sediment"));
    const Label tap = label_of(text_of("Holm tap")), vik = label_of(text_of("Vik"));
    assert_int_equal(state_vessel(s, &a1), 0);
    assert_int_equal(state_vessel(s, &a2), -1);
    assert_int_equal(state_vessel_ever(s, &a2), 1);
    assert_int_equal(state_line(s, &galley), 0);
    assert_int_equal(state_line(s, &a1), -1);
    assert_int_equal(state_stage(s, &sediment), 0);
    assert_int_equal(state_source(s, &tap), 0);
    assert_int_equal(state_stop(s, &vik), 0);
    assert_int_equal(state_find(s, NAMES_VESSEL, &a2), -1);
    assert_int_equal(state_find(s, NAMES_STOP, &vik), 0);
    assert_int_equal(state_find(s, NAMES_NOTHING, &vik), -1);
    assert_string_equal(state_name(s, NAMES_VESSEL, 1)->s, "A2");
    assert_null(state_name(s, NAMES_VESSEL, 2));
    assert_string_equal(state_name(s, NAMES_SOURCE, 0)->s, "Holm tap");
    assert_null(state_name(s, NAMES_NOTHING, 0));
    book_close(book);
}

/* As many as there are, and then none, though a slot stands behind them. */
static void test_names_end_where_there_are_no_more(void **state)
{
    (void)state;
    Logbook *book = book_of_three();
    book_say(book, "stage sediment --type sediment --line galley");
    book_say(book, "source \"Holm tap\" --type mains");
    book_say(book, "stop Vik --eta 2026-07-01T12:00:00Z");
    static const int counts[] = {[NAMES_VESSEL] = 3,
                                 [NAMES_LINE] = 1,
                                 [NAMES_STAGE] = 1,
                                 [NAMES_SOURCE] = 1,
                                 [NAMES_STOP] = 1};
    for (Names names = NAMES_VESSEL; names <= NAMES_STOP; names++) {
        int n = 0;
        for (const Label *name; (name = state_name(book_state(book), names, n)) != NULL; n++)
            assert_false(label_empty(name));
        assert_int_equal(n, counts[names]);
    }
    book_close(book);
}

static void test_usable_is_above_the_heel_and_room_is_up_to_the_brim(void **state)
{
    (void)state;
    const Vessel v = {.capacity = 12000, .heel = 200, .volume = 5000};
    const Vessel low = {.capacity = 12000, .heel = 200, .volume = 150};
    assert_int_equal(vessel_usable(&v), 4800);
    assert_int_equal(vessel_room(&v), 7000);
    assert_int_equal(vessel_usable(&low), 0); /* never negative */
}

static void test_equal_states_are_equal_to_the_byte(void **state)
{
    (void)state;
    State a, b;
    memset(&b, 0xff, sizeof b);
    state_init(&a);
    state_init(&b);
    assert_true(state_equal(&a, &b));
    b.stages[3].pad = 1;
    assert_false(state_equal(&a, &b));
}

static void test_a_fifth_line_takes_the_slot_of_one_without_vessel_or_stage(void **state)
{
    (void)state;
    State s;
    state_init(&s);
    static const char *const names[] = {"galley", "shower", "bow", "stern"};
    for (int i = 0; i < LINES_MAX; i++) {
        const Label label = label_of(text_of(names[i]));
        assert_int_equal(state_line_ensure(&s, &label), i);
        assert_int_equal(state_line_ensure(&s, &label), i);
    }
    const Label fifth = label_of(text_of("loft"));
    s.stage_count = LINES_MAX;
    for (int i = 0; i < LINES_MAX; i++)
        s.stages[i] = (Stage){.label = label_of(text_of(names[i])), .line = i};
    for (int i = 0; i < LINES_MAX; i++)
        assert_true(state_line_fits(&s, &s.lines[i].label)); /* it is there */
    assert_false(state_line_fits(&s, &fifth));
    assert_int_equal(state_line_ensure(&s, &fifth), -1);
    s.stages[2].line = 1; /* nothing stands on the line "bow" any more */
    assert_true(state_line_fits(&s, &fifth));
    assert_int_equal(state_line_ensure(&s, &fifth), 2);
    assert_int_equal(s.line_count, LINES_MAX);
}

static void test_lamp_time_never_runs_backwards(void **state)
{
    (void)state;
    const Stage stage = {.lamp = LAMP_ALWAYS, .fitted_at = 5000};
    assert_int_equal(stage_lamp_ms(&stage, 9000), 4000);
    assert_int_equal(stage_lamp_ms(&stage, 4000), 0);
}

static void assert_tells(DiscrepancyKind kind, KindId entry, int64_t amount, Units units,
                         const char *words)
{
    const Discrepancy d = {.amount = amount,
                           .name = label_of(text_of("galley")),
                           .kind = (uint8_t)kind,
                           .entry_kind = (uint8_t)entry};
    Str out = {0};
    discrepancy_tell(&d, units, &out);
    if (strstr(out.s, words) == NULL)
        fail_msg("\"%s\" does not say \"%s\"", out.s, words);
    str_finish(&out);
}

static void test_every_discrepancy_says_what_happened(void **state)
{
    (void)state;
    assert_tells(DISCREPANCY_DRAW_BEYOND, KIND_DRAW, 1800, UNITS_METRIC,
                 "draw galley: 1.8 L more went out than was there");
    assert_tells(DISCREPANCY_GAIN, KIND_SOUND, 1234, UNITS_METRIC,
                 "sound galley: 1.234 L more than reckoned");
    assert_tells(DISCREPANCY_GAIN, KIND_SOUND, 4000, UNITS_US, "1.1 gal more than reckoned");
    assert_tells(DISCREPANCY_PAST_BRIM, KIND_FILL, 1000, UNITS_METRIC,
                 "1 L more than the vessel holds");
    assert_tells(DISCREPANCY_NO_SUCH, KIND_SWAP, 0, UNITS_METRIC, "no such vessel, line, stage");
    assert_tells(DISCREPANCY_NOT_RAISED, KIND_TREAT, 0, UNITS_METRIC, "did not raise its class");
    assert_tells(DISCREPANCY_ABOVE_HEEL, KIND_SANITISE, 500, UNITS_METRIC,
                 "not sanitised: it held 0.5 L above its heel");
    assert_tells(DISCREPANCY_COUPLED, KIND_DRAW, 0, UNITS_METRIC, "while it was coupled");
    assert_tells(DISCREPANCY_CLASS_IGNORED, KIND_VESSEL, 0, UNITS_METRIC, "was named before");
    assert_tells(DISCREPANCY_NO_ROOM, KIND_STAGE, 0, UNITS_METRIC, "one more than can be kept");
    assert_tells(DISCREPANCY_TWICE, KIND_FILL, 119999, UNITS_METRIC, "logged 1 minute before;");
    assert_tells(DISCREPANCY_TWICE, KIND_SWAP, 59999, UNITS_METRIC, "in the same minute;");
    assert_tells(DISCREPANCY_LEVEL_FELL, KIND_FILL, 250, UNITS_METRIC,
                 "ends 0.25 L lower than reckoned");
    assert_tells(DISCREPANCY_LEAK, KIND_SOUND, 3100, UNITS_METRIC,
                 "3.1 L are missing from galley; a leak?");
    assert_tells(DISCREPANCY_SAME_VESSEL, KIND_COUPLE, 0, UNITS_METRIC, "same vessel twice");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_look_ups_find_by_label_and_only_what_is_aboard),
        cmocka_unit_test(test_names_end_where_there_are_no_more),
        cmocka_unit_test(test_usable_is_above_the_heel_and_room_is_up_to_the_brim),
        cmocka_unit_test(test_equal_states_are_equal_to_the_byte),
        cmocka_unit_test(test_a_fifth_line_takes_the_slot_of_one_without_vessel_or_stage),
        cmocka_unit_test(test_lamp_time_never_runs_backwards),
        cmocka_unit_test(test_every_discrepancy_says_what_happened),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
