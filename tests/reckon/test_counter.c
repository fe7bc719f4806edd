/* A sensor's count: resets, torn lines, wraps and gaps never make up a litre. */
#include "reckon/counter.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>
#include <math.h>
#include <stdio.h>

#define PER_LITRE 450.0 /* common practice, no source */

static uint64_t seed;
static int64_t dice(int64_t most) /* 0..most; splitmix64 (Steele, Lea, Flood, OOPSLA 2014) */
{
    uint64_t z = seed += UINT64_C(0x9e3779b97f4a7c15);
    z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
    return (int64_t)((z ^ (z >> 31)) % (uint64_t)(most + 1));
}

static void what_passed_is_the_difference_and_the_first_line_nothing(void **state)
{
    (void)state;
    Counter c = {.per_litre = PER_LITRE};
    int64_t passed;
    assert_int_equal(counter_take(&c, 1000, 0, &passed), COUNTER_BEGAN);
    assert_int_equal(passed, 0);
    assert_int_equal(counter_take(&c, 1450, 1000, &passed), COUNTER_COUNTS);
    assert_int_equal(passed, 450);
    assert_int_equal(counter_take(&c, 1450, 2000, &passed), COUNTER_COUNTS);
    assert_int_equal(passed, 0);
}

/* One litre a second, and two seconds that a line may come late. */
static void more_than_can_pass_waits_for_the_next_line(void **state)
{
    (void)state;
    int64_t passed;
    Counter c = {.per_litre = PER_LITRE};
    counter_take(&c, 0, 0, &passed);
    assert_int_equal(counter_take(&c, 1350, 1000, &passed), COUNTER_COUNTS);
    assert_int_equal(counter_take(&c, 2701, 2000, &passed), COUNTER_WAITS);
    assert_int_equal(counter_take(&c, 1360, 3000, &passed), COUNTER_COUNTS); /* it was torn */
    assert_int_equal(passed, 10);
    assert_int_equal(counter_take(&c, 90000, 4000, &passed), COUNTER_WAITS);
    assert_int_equal(counter_take(&c, 90010, 5000, &passed), COUNTER_ANEW);
    assert_int_equal(passed, 0);
    assert_int_equal(counter_take(&c, 90020, 6000, &passed), COUNTER_COUNTS);
    assert_int_equal(passed, 10);
    /* After an hour without a line as much may have passed. */
    assert_int_equal(counter_take(&c, 90020 + 3600 * 450, 3606000, &passed), COUNTER_COUNTS);
}

static void a_count_wraps_round_only_where_it_is_said_to(void **state)
{
    (void)state;
    static const int64_t spans[] = {INT64_C(1) << 16, INT64_C(1) << 32};
    int64_t passed;
    for (int i = 0; i < 2; i++) {
        Counter c = {.per_litre = PER_LITRE, .span = spans[i]};
        counter_take(&c, spans[i] - 30, 0, &passed);
        assert_int_equal(counter_take(&c, 20, 1000, &passed), COUNTER_COUNTS);
        assert_int_equal(passed, 50);
        Counter plain = {.per_litre = PER_LITRE};
        counter_take(&plain, spans[i] - 30, 0, &passed);
        assert_int_equal(counter_take(&plain, 20, 1000, &passed), COUNTER_WAITS);
        assert_int_equal(counter_take(&plain, 20, 2000, &passed), COUNTER_ANEW);
        assert_int_equal(passed, 0);
    }
}

/* A count that can't stand on the sensor's counter is no wrap, nor is one that fell where the
 * counter is wider. */
static void only_a_count_below_the_span_is_one_that_went_round(void **state)
{
    (void)state;
    int64_t passed;
    Counter c = {.per_litre = PER_LITRE, .span = 65536};
    counter_take(&c, 70000, 0, &passed); /* said beyond the span: the sensor is not what was said */
    assert_int_equal(counter_take(&c, 65536, 200000, &passed), COUNTER_WAITS);
    Counter edge = {.per_litre = PER_LITRE, .span = 65536};
    counter_take(&edge, 66000, 0, &passed);
    assert_int_equal(counter_take(&edge, 65535, 200000, &passed), COUNTER_COUNTS);
    assert_int_equal(passed, 65535 + 65536 - 66000);
    Counter same = {.per_litre = PER_LITRE, .span = 1000};
    counter_take(&same, 500, 0, &passed);
    assert_int_equal(counter_take(&same, 500, 3000, &passed), COUNTER_COUNTS);
    assert_int_equal(passed, 0);
    Counter up = {.per_litre = PER_LITRE, .span = 1000};
    counter_take(&up, 500, 0, &passed);
    assert_int_equal(counter_take(&up, 600, 3000, &passed), COUNTER_COUNTS);
    assert_int_equal(passed, 100);
}

/* A litre a second and two seconds' slack, in the sensor's own counts. */
static void what_can_pass_is_reckoned_in_litres(void **state)
{
    (void)state;
    static const double per_litre[] = {1, 7.5, 450, 1000};
    for (size_t i = 0; i < sizeof per_litre / sizeof per_litre[0]; i++) {
        int64_t passed;
        Counter c = {.per_litre = per_litre[i]};
        counter_take(&c, 0, 0, &passed);
        Counter more = c;
        const int64_t most = (int64_t)floor(12 * per_litre[i]);
        assert_int_equal(counter_take(&c, most, 10000, &passed), COUNTER_COUNTS);
        assert_int_equal(counter_take(&more, most + 1, 10000, &passed), COUNTER_WAITS);
    }
}

/* A sensor that is unplugged, reset, and whose lines are torn or run together, 1,000 times over:
 * what is counted is the truth to the pulse, but for what passed about a reset; and never more. */
static void a_thousand_mishaps_make_up_no_litre_and_lose_none(void **state)
{
    (void)state;
    for (seed = 1; seed < 200; seed += 40) {
        Counter c = {.per_litre = PER_LITRE};
        int64_t truth = 0, counted = 0, gaps = 0, count = 0, ms = 0, since = 0;
        bool reset = false;
        for (int n = 0, mishaps = 0; mishaps < 1000; n++) {
            int64_t passed, said;
            const int64_t mishap = dice(9), flow = dice(3) == 0 ? dice(90) : 0;
            const int64_t seconds = mishap == 0 ? 1 + dice(3600) : 1;
            ms += seconds * 1000;
            if (mishap == 1) { /* reset: what it counted is gone */
                count = 0;
                reset = true;
            }
            count += flow;
            truth += n == 0 ? 0 : flow;
            since += n == 0 ? 0 : flow;
            mishaps += mishap <= 3;
            said = count;
            if (mishap == 2 && n > 0) { /* torn in front or behind */
                char digits[32];
                snprintf(digits, sizeof digits, "%lld", (long long)count);
                said = dice(1) == 0 ? count / 10 : strtoll(digits + (digits[1] != 0), NULL, 10);
            } else if (mishap == 3 && n > 0) { /* two lines run together */
                said = count * 1000000 + count;
            }
            const CounterStep step = counter_take(&c, said, ms, &passed);
            counted += passed;
            if (step == COUNTER_ANEW)
                reset = true;
            if (step != COUNTER_WAITS && said == count) {
                gaps += reset ? since : 0;
                reset = step == COUNTER_COUNTS ? false : reset && step != COUNTER_ANEW;
                since = 0;
            }
            if (counted > truth)
                fail_msg("%lld pulses were made up", (long long)(counted - truth));
        }
        assert_true(truth > 5000);
        if (truth - counted > gaps + 1 + since)
            fail_msg("%lld of %lld pulses are lost, %lld about resets",
                     (long long)(truth - counted), (long long)truth, (long long)gaps);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_passed_is_the_difference_and_the_first_line_nothing),
        cmocka_unit_test(more_than_can_pass_waits_for_the_next_line),
        cmocka_unit_test(a_count_wraps_round_only_where_it_is_said_to),
        cmocka_unit_test(only_a_count_below_the_span_is_one_that_went_round),
        cmocka_unit_test(what_can_pass_is_reckoned_in_litres),
        cmocka_unit_test(a_thousand_mishaps_make_up_no_litre_and_lose_none),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
