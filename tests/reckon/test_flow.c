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
    assert_true(counts * 1000 == ms * 9 && ms >= FLOW_WINDOW_MS && ms < FLOW_WINDOW_MS + 1001);
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
        cmocka_unit_test(it_falls_as_the_water_stands),
        cmocka_unit_test(a_run_begins_where_the_water_stood_last),
        cmocka_unit_test(after_a_long_silence_no_rate_is_made_up),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
