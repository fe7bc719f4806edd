/* The fading of free chlorine, against worked examples and a table. */
#include "reckon/decay.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>

/* College algebra textbook, exercise "uninhibited decay" (answer page of a tutor): 2.3 to 1.9 mg/L
 * in 24 h, k 0.191 a day, 1.0 mg/L after 4.4 days. */
static void the_rate_is_that_of_a_worked_example(void **state)
{
    (void)state;
    const double k = decay_rate(2.3, 1.9, 24) * 24;
    assert_true(fabs(k - 0.191) < 0.0005);
    assert_true(fabs(log(2.3 / 1.0) / k - 4.4) < 0.05);
    /* The solution page of its twin prints 0.00544 an hour for 2.5 to 2.2 mg/L: that is wrong. */
    const double twin = decay_rate(2.5, 2.2, 24);
    assert_true(fabs(twin - log(2.5 / 2.2) / 24) < 1e-12);
    assert_true(fabs(twin - 0.00544) > 1e-4);
}

static void what_did_not_fall_has_no_rate(void **state)
{
    (void)state;
    assert_true(isnan(decay_rate(0.5, 0.5, 24)) && isnan(decay_rate(0.5, 0.6, 24)));
    assert_true(isnan(decay_rate(0.5, 0.4, 0)) && isnan(decay_rate(0.5, 0.4, -1)));
    assert_true(isnan(decay_rate(0.5, 0, 24)));
}

static void the_step_is_the_coarsest_that_gives_both_readings(void **state)
{
    (void)state;
    static const double cases[][3] = {{3, 1, 1},       {1.5, 0.5, 0.5}, {0.75, 0.5, 0.25},
                                      {0.8, 0.4, 0.2}, {0.8, 0.5, 0.1}, {0.57, 0.41, 0.1},
                                      {1, 0.4, 0.2},   {1, 0, 1}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++)
        if (fabs(decay_step(cases[i][0], cases[i][1]) - cases[i][2]) > 1e-12)
            fail_msg("%g and %g: %g", cases[i][0], cases[i][1],
                     decay_step(cases[i][0], cases[i][1]));
}

/* Computed for 2.3 to 1.9 mg/L in a day, each reading in error by 0.1: 7.638 days at the earliest
 * (C1 + u with C2 - u), 11.78 in the middle. */
static void the_earliest_is_told_and_not_the_middle(void **state)
{
    (void)state;
    assert_true(fabs(decay_earliest_hours(2.3, 1.9, 24) / 24 - 7.638) < 0.001);
    /* A reading at the edge of the step under which it would be under 0.2 already. */
    assert_true(decay_earliest_hours(1.0, 0.3, 24) == 0);
    assert_true(decay_earliest_hours(1.0, 0.33, 24) > 0);
}

/* At the edge of the rule: a drop of just the kit's step is within it, and a second reading whose
 * step reaches down to just 0.2 may be there already. */
static void the_edge_of_the_step_counts_as_within(void **state)
{
    (void)state;
    assert_true(isnan(decay_earliest_hours(2, 1, 24)));
    assert_true(isnan(decay_earliest_hours(1.5, 1, 24)));
    assert_true(decay_earliest_hours(1.3, 1.1, 24) > 0);  /* step 0.1 */
    assert_true(decay_earliest_hours(0.8, 0.4, 24) == 0); /* 0.4 - 0.2 */
    /* 0.799 and 0.401 are whole steps of 0.2 to no kit: readings are typed with two decimals. */
    assert_true(decay_step(0.799, 0.4) == 0.1 && decay_step(0.8, 0.399) == 0.1);
    assert_true(decay_step(0.6, 0.2) == 0.2 && decay_step(0.3, 0.15) == 0.1);
    assert_true(decay_step(2.5, 1.5) == 0.5 && decay_step(1.75, 1.25) == 0.25);
}

static void a_drop_within_the_step_gives_no_date(void **state)
{
    (void)state;
    assert_true(isnan(decay_earliest_hours(0.6, 0.5, 24)));
    assert_true(isnan(decay_earliest_hours(1.0, 0.5, 48)));
    assert_true(isnan(decay_earliest_hours(0.8, 0.6, 72)));
    assert_true(isnan(decay_earliest_hours(0.65, 0.57, 72)));
    assert_true(isnan(decay_earliest_hours(0.5, 0.9, 72)));
    assert_true(isnan(decay_earliest_hours(2.3, 1.9, 0)));
    assert_true(isnan(decay_earliest_hours(1.0, 0.2, 0))); /* nor does one at the same time */
    assert_true(decay_earliest_hours(0.65, 0.5, 24) > 0);
}

/* Whatever the readings: never later than what true values within the step would give. */
static void no_truth_within_the_step_comes_sooner(void **state)
{
    (void)state;
    for (int a = 3; a < 40; a++)
        for (int b = 1; b < a; b++) {
            const double first = a / 10.0, second = b / 10.0;
            const double told = decay_earliest_hours(first, second, 24);
            for (int e = 0; !isnan(told) && e < 9; e++) {
                const int left = e % 3 - 1, right = e / 3 - 1;
                const double c1 = first + left * 0.1, c2 = second + right * 0.1;
                const double k = c2 > 0 ? log(c1 / c2) / 24 : 1e9;
                const double truth = k > 0 ? log(c2 / DECAY_LEAST_MG_L) / k : INFINITY;
                if (told > (truth > 0 ? truth : 0) + 1e-9)
                    fail_msg("%g to %g: told %g h, may be %g h", first, second, told, truth);
            }
        }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_rate_is_that_of_a_worked_example),
        cmocka_unit_test(what_did_not_fall_has_no_rate),
        cmocka_unit_test(the_step_is_the_coarsest_that_gives_both_readings),
        cmocka_unit_test(the_earliest_is_told_and_not_the_middle),
        cmocka_unit_test(the_edge_of_the_step_counts_as_within),
        cmocka_unit_test(a_drop_within_the_step_gives_no_date),
        cmocka_unit_test(no_truth_within_the_step_comes_sooner),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
