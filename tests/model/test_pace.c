/* One stream of use: half-lives, what a rare excess does, and how the errors become a variance. By
 * hand, by closed forms and by properties. */
#include "model/pace.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static void assert_close(double got, double want, double relative)
{
    if (!(fabs(got - want) <= relative * fabs(want)))
        fail_msg("got %.17g, want %.17g", got, want);
}

static UsePace begun(void)
{
    UsePace pace;
    memset(&pace, 0, sizeof pace);
    pace_init(&pace);
    return pace;
}

static void teach(UsePace *pace, int days, double ml)
{
    for (int i = 0; i < days; i++)
        pace_teach(pace, 1.0, ml);
}

/* libm's sqrt is exact to half a unit in the last place (IEEE 754-2019, 5.4.1). */
static void the_root_is_that_of_the_library(void **state)
{
    (void)state;
    for (double x = 1e-300; x < 1e300; x *= 3.7)
        assert_close(pace_root(x), sqrt(x), 1e-15);
    for (double x = 0.9; x < 4.1; x += 0.001)
        assert_close(pace_root(x), sqrt(x), 1e-15);
    assert_true(pace_root(0.0) == 0.0 && pace_root(-1.0) == 0.0 && pace_root((double)NAN) == 0.0);
}

/* 2^(-1 / half-life), and a step that the days of a span take together. */
static void what_is_kept_halves_in_its_half_life(void **state)
{
    (void)state;
    assert_close(pow(PACE_KEEP_FAST, USE_FAST_DAYS), 0.5, 1e-12);
    assert_close(pow(PACE_KEEP_SLOW, USE_SLOW_DAYS), 0.5, 1e-12);
    UseMean one = {0, 0}, many = {0, 0};
    mean_add(&one, PACE_KEEP_FAST, 3.0, 7.0);
    for (int i = 0; i < 7; i++)
        mean_add(&many, PACE_KEEP_FAST, 3.0, 1.0);
    assert_close(one.weight, many.weight, 1e-12);
    assert_close(one.sum, many.sum, 1e-12);
    /* of equal days there are (1 - k^n) / (1 - k) in the end */
    assert_close(one.weight, (1 - pow(PACE_KEEP_FAST, 7)) / (1 - PACE_KEEP_FAST), 1e-12);
    mean_add(&one, PACE_KEEP_FAST, 9.0, USE_FAST_DAYS);
    const double half = (1 - 0.5) / (1 - PACE_KEEP_FAST);
    assert_close(mean_value(&one), (0.5 * many.weight * 3 + half * 9) / (0.5 * many.weight + half),
                 1e-9);
    mean_fade(&one, 0.25);
    assert_close(one.weight, 0.25 * (0.5 * many.weight + half), 1e-9);
    const UseMean none = {0, 0};
    assert_true(mean_value(&none) == 0.0);
}

static void a_steady_crew_is_its_own_rate(void **state)
{
    (void)state;
    UsePace pace = begun();
    assert_true(pace_level(&pace) == 0.0 && pace_mean(&pace) == 0.0 && pace_base(&pace) == 0.0);
    teach(&pace, 30, 4200);
    assert_close(pace_level(&pace), 4200, 1e-12);
    assert_close(pace_mean(&pace), 4200, 1e-12);
    assert_close(pace_base(&pace), 4200, 1e-12);
    /* the level leans on the last days, four fifths of it; the base half on the long run */
    teach(&pace, 5, 8400);
    const double fast = mean_value(&pace.fast), slow = mean_value(&pace.slow);
    assert_true(fast > slow && slow > 4200);
    assert_close(pace_level(&pace), 0.8 * fast + 0.2 * slow, 1e-12);
    assert_close(pace_base(&pace), 0.5 * pace_level(&pace) + 0.5 * slow, 1e-12);
}

/* A party, once: the level is cut where it would be no ordinary day, and half of what was cut comes
 * back, spread over time. */
static void a_rare_excess_is_cut_and_half_of_it_given_back(void **state)
{
    (void)state;
    UsePace pace = begun();
    for (int i = 0; i < 20; i++)
        teach(&pace, 1, i % 2 ? 4000 : 5000);
    const double before = pace_level(&pace);
    teach(&pace, 1, 60000);
    const double raw = before + 0.8 * (60000 - before) / pace.fast.weight;
    assert_true(pace_level(&pace) > before);
    assert_true(pace_level(&pace) < before + 0.2 * (raw - before));
    assert_true(mean_value(&pace.excess) > 0);
    assert_close(pace_mean(&pace) - pace_level(&pace), 0.5 * mean_value(&pace.excess), 1e-12);
}

/* A span of two months teaches as one of 31 days at its average; none teaches nothing; half a day
 * and more is held against what was expected, less is not. */
static void spans_teach_by_their_length(void **state)
{
    (void)state;
    UsePace two = begun(), one = begun();
    pace_teach(&two, 62, 62 * 4000.0);
    pace_teach(&one, USE_SPAN_DAYS_MAX, USE_SPAN_DAYS_MAX * 4000.0);
    assert_memory_equal(&two, &one, sizeof two);
    pace_teach(&two, 0.0, 9000);
    pace_teach(&two, -1.0, 9000);
    assert_memory_equal(&two, &one, sizeof two);
    for (int half = 0; half <= 1; half++) {
        UsePace pace = begun();
        teach(&pace, 20, 4000);
        const double weight = pace.span_error.weight;
        pace_teach(&pace, half ? 0.5 : 0.49, 5000);
        assert_int_equal(pace.span_error.weight > weight, half);
    }
}

/* Nothing is held against a forecast before six and a half days were taught. */
static void errors_count_from_the_seventh_day_on(void **state)
{
    (void)state;
    UsePace pace = begun();
    const double prior = mean_value(&pace.span_error);
    teach(&pace, 6, 4000);
    pace_teach(&pace, 1, 12000);
    assert_close(mean_value(&pace.span_error), prior, 1e-12);
    pace_teach(&pace, 1, 12000);
    assert_true(mean_value(&pace.span_error) > prior);
}

/* Errors that are expected before any was seen: 0.6 of a day, 0.3 of a week, relative standard
 * deviations. So n / 1 + d = 0.36 and n / 7 + d = 0.09; and since a spread is an estimate
 * itself, 1.05 times as wide: t(0.9) of 12 degrees of freedom over the normal's, 1.356 / 1.282
 * (NIST/SEMATECH e-Handbook, 1.3.6.7.2), rounded down. */
static void the_prior_is_that_of_a_day_and_a_week(void **state)
{
    (void)state;
    UsePace pace = begun();
    pace.slow = pace.fast = (UseMean){1000.0 * 1000, 1000}; /* known for long */
    const UseVariance v = pace_variance(&pace);
    const double square = 1000.0 * 1000.0 * 1.05 * 1.05;
    const double noise = (0.36 - 0.09) / (1 - 1.0 / 7);
    assert_close(v.noise, noise * square, 1e-9);
    assert_close(v.doubt, (0.09 - noise / 7) * square, 1e-9);
    assert_close((v.noise * 7 + v.doubt * 49) / (49 * square), 0.09, 1e-9);
    assert_true(7 * v.drift <= v.noise * (1 + 1e-12));
}

/* What is known for a few days only is worth less, in the doubt; whatever was taught, the relative
 * error never grows with the span, and the absolute one never falls. */
static void a_variance_is_one_whatever_was_taught(void **state)
{
    (void)state;
    uint32_t seed = 7;
    for (int crew = 0; crew < 200; crew++) {
        UsePace pace = begun();
        const int days = 1 + crew % 40;
        for (int i = 0; i < days; i++) {
            seed = seed * 1664525U + 1013904223U;
            pace_teach(&pace, 0.3 + (double)(seed >> 28), (double)(seed >> 16) / 4);
        }
        const UseVariance v = pace_variance(&pace);
        assert_true(v.noise >= 0 && v.doubt >= 0 && v.drift >= 0);
        assert_true(7 * v.drift <= v.noise * (1 + 1e-9));
        double before = 0, relative = INFINITY;
        for (double t = 0.5; t < 60; t += 0.5) {
            const double all =
                v.noise * t + v.doubt * t * t + v.drift * t * fmax(0.0, t - USE_WINDOW_DAYS);
            assert_true(all >= before);
            assert_true(all / (t * t) <= relative * (1 + 1e-9));
            before = all;
            relative = all / (t * t);
        }
    }
    UsePace young = begun(), old = begun();
    teach(&young, 2, 4000);
    teach(&old, 60, 4000);
    assert_true(pace_variance(&young).doubt > pace_variance(&old).doubt);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_root_is_that_of_the_library),
        cmocka_unit_test(what_is_kept_halves_in_its_half_life),
        cmocka_unit_test(a_steady_crew_is_its_own_rate),
        cmocka_unit_test(a_rare_excess_is_cut_and_half_of_it_given_back),
        cmocka_unit_test(spans_teach_by_their_length),
        cmocka_unit_test(errors_count_from_the_seventh_day_on),
        cmocka_unit_test(the_prior_is_that_of_a_day_and_a_week),
        cmocka_unit_test(a_variance_is_one_whatever_was_taught),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
