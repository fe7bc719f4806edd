/* What a result says: the limits on both sides, the unit of nitrate, the date of fading. */
#include "model/results.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static Residual judged(int64_t thousandths, bool same)
{
    return residual_judge(&(Result){1, thousandths}, same);
}

/* WHO GDWQ 4th ed. (2011): 0.2 mg/L at least at the point of delivery; 40 CFR 141.65: 4 mg/L. */
static void a_residual_is_low_under_0_2_and_high_above_4(void **state)
{
    (void)state;
    assert_int_equal(judged(199, true), RESIDUAL_LOW);
    assert_int_equal(judged(200, true), RESIDUAL_GOOD);
    assert_int_equal(judged(4000, true), RESIDUAL_GOOD);
    assert_int_equal(judged(4001, true), RESIDUAL_HIGH);
    assert_int_equal(RESIDUAL_MOST_WHO, 5000); /* WHO GDWQ 4th ed., table A3.3 */
    /* Of other water since: low or good is not known; high stays until it is tested again. */
    assert_int_equal(judged(0, false), RESIDUAL_UNKNOWN);
    assert_int_equal(judged(600, false), RESIDUAL_UNKNOWN);
    assert_int_equal(judged(4001, false), RESIDUAL_HIGH);
    assert_int_equal(residual_judge(&(Result){0, 0}, true), RESIDUAL_UNKNOWN);
}

/* 50 mg/L of the ion are 11.295 mg/L as nitrogen (50 / 4.42680); a question page that takes the
 * WHO's 50 for nitrogen is wrong by 4.43 times. 10 mg/L as nitrogen are 44.27 of the ion. */
static void nitrate_is_told_as_nitrogen_never_too_low(void **state)
{
    (void)state;
    assert_int_equal(nitrate_as_n(50000), 11295); /* 11.2948: rounded up */
    assert_true(nitrate_as_n(44270) > NITRATE_MOST);
    assert_true(nitrate_as_n(44260) <= NITRATE_MOST);
    assert_int_equal(nitrate_as_n(0), 0);
}

static void the_earliest_of_all_pairs_is_the_date(void **state)
{
    (void)state;
    Results r = {0};
    const int64_t day = MS_PER_DAY, begin = 1000 * day;
    results_residual(&r, (Result){begin, 2300}, false);
    assert_false(moment_known(results_low_at(&r)));
    results_residual(&r, (Result){begin + day, 1900}, true);
    const double days = (double)(results_low_at(&r).ms - begin - day) / (double)day;
    assert_true(days > 7.637 && days < 7.639); /* computed: tests/reckon/test_decay.c */
    /* It warms up, and fades faster: the latest two tell, not the first. */
    results_residual(&r, (Result){begin + 2 * day, 900}, true);
    assert_int_equal(r.first.value, 2300);
    assert_int_equal(r.before.value, 1900);
    Results late = {0};
    results_residual(&late, (Result){begin + day, 1900}, false);
    results_residual(&late, (Result){begin + 2 * day, 900}, true);
    assert_int_equal(results_low_at(&r).ms, results_low_at(&late).ms);
    /* The kit reads a little more than the last time: the whole span tells, it faded in that. */
    Results rose = {0};
    results_residual(&rose, (Result){begin, 2300}, false);
    results_residual(&rose, (Result){begin + day, 1500}, true);
    results_residual(&rose, (Result){begin + 2 * day, 1600}, true);
    assert_true(moment_known(results_low_at(&rose)));
    /* No time can be so late: a fall that hardly is one has no date. */
    Results end = {0};
    results_residual(&end, (Result){MOMENT_MAX_MS - 2 * day, 2300}, false);
    results_residual(&end, (Result){MOMENT_MAX_MS - day, 1900}, true);
    assert_false(moment_known(results_low_at(&end)));
    /* Other water: nothing is known of its fading. */
    results_residual(&r, (Result){begin + 3 * day, 500}, false);
    assert_false(moment_known(results_low_at(&r)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_residual_is_low_under_0_2_and_high_above_4),
        cmocka_unit_test(nitrate_is_told_as_nitrogen_never_too_low),
        cmocka_unit_test(the_earliest_of_all_pairs_is_the_date),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
