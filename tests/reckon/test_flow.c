/* How fast a count rises. */
#include "reckon/flow.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>

/* f = 7.5 Q: 1.2 L a minute of a sensor of 450 pulses a litre are 9 a second (common practice, no
 * source). */
static void a_steady_flow_is_told_as_it_is(void **state)
{
    (void)state;
    Flow flow = {0};
    int64_t counts, ms;
    assert_true(flow_rate(&flow, 1000) == 0);
    for (int s = 0; s <= 60; s++) {
        flow_take(&flow, s * 9, s * 1000);
        if (s > 0)
            assert_true(fabs(flow_rate(&flow, s * 1000) / 450 - 1.2) < 1e-9);
        assert_int_equal(flow_sustained(&flow, &counts, &ms), s >= 10);
    }
    assert_true(flow_sustained(&flow, &counts, &ms));
    assert_true(counts == 90 && ms == FLOW_WINDOW_MS); /* the whole window and no more */
}

static void lines_in_bursts_give_the_same(void **state)
{
    (void)state;
    Flow flow = {0};
    for (int i = 0; i <= 2000; i++)
        flow_take(&flow, i, i * 10); /* 100 a second, a line each */
    assert_true(flow.samples <= FLOW_SAMPLES);
    assert_true(fabs(flow_rate(&flow, 20000) - 6000) < 60);
}

/* However often a line comes, the window stays whole and the rate what it is. */
static void no_rhythm_of_lines_shortens_the_window(void **state)
{
    (void)state;
    for (int every = 1; every < 1200; every += every < 700 ? 1 : 37) {
        Flow flow = {0};
        int64_t counts, ms;
        for (int64_t at = 0; at <= 3 * FLOW_WINDOW_MS; at += every) {
            flow_take(&flow, at, at);
            if (at < FLOW_WINDOW_MS + every)
                continue;
            if (!flow_sustained(&flow, &counts, &ms) || counts != ms)
                fail_msg("a line every %d ms: %d counts in %d ms", every, (int)counts, (int)ms);
            assert_true(ms < FLOW_WINDOW_MS + 1500);
            assert_true(fabs(flow_rate(&flow, at) - 60000) < 1);
        }
    }
}

/* 100 in the first second, 10 in each of the nine after it: when no line comes at 11 s, the first
 * second is out of the window. */
static void what_is_older_than_the_window_is_no_part_of_the_rate(void **state)
{
    (void)state;
    Flow flow = {0};
    flow_take(&flow, 0, 0);
    for (int s = 1; s <= 10; s++)
        flow_take(&flow, 90 + 10 * s, s * 1000);
    assert_true(fabs(flow_rate(&flow, 10999) - 190 * 6) < 1e-9);
    assert_true(fabs(flow_rate(&flow, 11000) - 600) < 1e-9);
}

static void water_that_stands_is_known_to_stand(void **state)
{
    (void)state;
    Flow flow = {0};
    int64_t counts, ms;
    for (int s = 0; s <= 10; s++)
        flow_take(&flow, 100, s * 1000);
    assert_true(flow_sustained(&flow, &counts, &ms));
    assert_true(counts == 0 && ms == FLOW_WINDOW_MS);
}

/* Two lines tell of the time between them from one window on; of two windows nobody knows when in
 * them it ran, and beyond them nothing is left of the first. */
static void two_lines_tell_of_one_window_and_not_of_two(void **state)
{
    (void)state;
    static const struct {
        int64_t apart;
        bool sustained, rate;
    } cases[] = {{FLOW_WINDOW_MS - 1, false, true},
                 {FLOW_WINDOW_MS, true, true},
                 {2 * FLOW_WINDOW_MS - 1, true, true},
                 {2 * FLOW_WINDOW_MS, false, true},
                 {2 * FLOW_WINDOW_MS + 1, false, false}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        Flow flow = {0};
        int64_t counts, ms;
        flow_take(&flow, 0, 0);
        flow_take(&flow, 900, cases[i].apart);
        assert_int_equal(flow_sustained(&flow, &counts, &ms), cases[i].sustained);
        assert_int_equal(flow_rate(&flow, cases[i].apart) > 0, cases[i].rate);
    }
}

static void it_falls_as_the_water_stands(void **state)
{
    (void)state;
    Flow flow = {0};
    for (int s = 0; s <= 20; s++)
        flow_take(&flow, s * 10, s * 1000);
    assert_true(fabs(flow_rate(&flow, 20000) - 600) < 1e-9);
    assert_true(flow_rate(&flow, 25000) < 400);
    assert_true(flow_rate(&flow, 31000) == 0);
}

static void a_run_begins_where_the_water_stood_last(void **state)
{
    (void)state;
    Flow flow = {0};
    for (int s = 0; s <= 8; s++)
        flow_take(&flow, 100, s * 1000); /* it stands, and the sensor says so */
    flow_take(&flow, 109, 9000);
    assert_true(fabs(flow_rate(&flow, 9000) - 540) < 1e-9);
    assert_true(fabs(flow_rate(&flow, 11000) - 540) < 1e-9); /* a line may come late */
    assert_true(flow_rate(&flow, 11001) < 200);
}

/* What a line after hours tells may have run at any time in them. */
static void after_a_long_silence_no_rate_is_made_up(void **state)
{
    (void)state;
    Flow flow = {0};
    int64_t counts, ms;
    flow_take(&flow, 0, 0);
    flow_take(&flow, 5000, 7200000);
    assert_true(flow_rate(&flow, 7200000) == 0);
    assert_false(flow_sustained(&flow, &counts, &ms));
    flow_take(&flow, 5009, 7201000);
    assert_true(fabs(flow_rate(&flow, 7201000) - 540) < 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_steady_flow_is_told_as_it_is),
        cmocka_unit_test(lines_in_bursts_give_the_same),
        cmocka_unit_test(no_rhythm_of_lines_shortens_the_window),
        cmocka_unit_test(what_is_older_than_the_window_is_no_part_of_the_rate),
        cmocka_unit_test(water_that_stands_is_known_to_stand),
        cmocka_unit_test(two_lines_tell_of_one_window_and_not_of_two),
        cmocka_unit_test(it_falls_as_the_water_stands),
        cmocka_unit_test(a_run_begins_where_the_water_stood_last),
        cmocka_unit_test(after_a_long_silence_no_rate_is_made_up),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
