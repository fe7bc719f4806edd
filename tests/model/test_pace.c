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

/* An excess is what lies more than two and a half deviations above the mean of days, with a
 * half-life of 30 days both; it is cut there, and nothing is before so many days were seen. */
static void what_is_no_ordinary_day_is_cut_at_two_and_a_half_deviations(void **state)
{
    (void)state;
    UsePace pace = begun();
    for (int i = 0; i < 20; i++)
        teach(&pace, 1, i % 2 ? 4000 : 5000);
    const double limit = mean_value(&pace.centre) + 2.5 * sqrt(mean_value(&pace.spread));
    UsePace within = pace, beyond = pace;
    teach(&within, 1, limit * 0.999);
    assert_close(within.fast.sum, pace.fast.sum * PACE_KEEP_FAST + limit * 0.999, 1e-12);
    teach(&beyond, 1, limit + 1000);
    assert_close(beyond.fast.sum, pace.fast.sum * PACE_KEEP_FAST + limit, 1e-12);
    assert_close(beyond.slow.sum, pace.slow.sum * PACE_KEEP_SLOW + limit, 1e-12);
    assert_close(beyond.excess.sum, pace.excess.sum * PACE_KEEP_SLOW + 1000, 1e-9);
    const double keep = pow(0.5, 1.0 / 30);
    assert_close(beyond.centre.sum, pace.centre.sum * keep + limit + 1000, 1e-12);
    UsePace young = begun();
    teach(&young, 1, 4000);
    assert_true(young.spread.weight == 0); /* one day deviates from nothing */
    teach(&young, 4, 4000);
    const double before = young.fast.sum;
    teach(&young, 1, 40000);
    assert_close(young.fast.sum, before * PACE_KEEP_FAST + 40000, 1e-12);
}

/* Errors are relative to what was expected, absolute deviations, kept with a half-life of 30 days.
 * One counts as two and a half standard deviations at most, which are sqrt(pi / 2) mean absolute
 * ones of a normal quantity. */
static void an_error_is_relative_and_capped(void **state)
{
    (void)state;
    const double keep = pow(0.5, 1.0 / 30);
    UsePace pace = begun();
    teach(&pace, 20, 4000);
    UsePace more = pace, less = pace, wild = pace;
    teach(&more, 1, 4400);
    assert_close(more.span_error.sum, pace.span_error.sum * keep + 0.1, 1e-9);
    assert_close(more.span_error.weight, pace.span_error.weight * keep + 1, 1e-9);
    assert_close(more.window_error.sum, pace.window_error.sum * keep + 0.1 / 7, 1e-9);
    assert_close(mean_value(&more.window_inverse), 1.0 / 7, 1e-9);
    teach(&less, 1, 3600);
    assert_close(less.span_error.sum, more.span_error.sum, 1e-9);
    teach(&wild, 1, 400000);
    const double most = 2.5 * sqrt(acos(-1.0) / 2) * mean_value(&pace.span_error);
    assert_close(wild.span_error.sum, pace.span_error.sum * keep + most, 1e-9);
    /* a window is as many spans as make up a week or a little more: two of five days */
    UsePace spans = begun();
    for (int i = 0; i < 8; i++)
        pace_teach(&spans, 5, 5 * 4000.0);
    const UseMean was = spans.window_error, inverse = spans.window_inverse;
    const double five = pow(keep, 5);
    const double weight = (1 - five) / (1 - keep);
    pace_teach(&spans, 5, 5 * 4800.0);
    assert_close(spans.window_error.sum, was.sum * five + weight * 0.1, 1e-9);
    assert_close(spans.window_inverse.sum, inverse.sum * five + weight * 0.1, 1e-9);
}

static UseVariance variance_of(double span, double window, double inverse, double weight)
{
    UsePace pace = begun();
    const double absolute = 1 / (1.05 * sqrt(acos(-1.0) / 2));
    pace.fast = (UseMean){1000 * weight, weight};
    pace.slow = (UseMean){1000.0 * 1000, 1000};
    pace.span_error = (UseMean){span * absolute, 1};
    pace.span_inverse = (UseMean){inverse, 1};
    pace.window_error = (UseMean){window * absolute, 1};
    pace.window_inverse = (UseMean){1.0 / 7, 1};
    return pace_variance(&pace);
}

/* e(d) = a / d + b of a day and a week, in 1,000 mL squared; a is between a tenth and nine tenths
 * of what a week would make of it alone, half of a week's error lasts, and a rate of w days is
 * worth a / w less than one that is known for long. */
static void noise_and_doubt_share_the_error_of_a_week(void **state)
{
    (void)state;
    const double long_known = 1 / (1 - PACE_KEEP_FAST), square = 1e6;
    UseVariance v = variance_of(0.5, 0.3, 1, long_known); /* (0.25 - 0.09) / (6 / 7) */
    assert_close(v.noise, 0.16 * 7 / 6 * square, 1e-9);
    assert_close(v.doubt, (0.09 - 0.16 / 6) * square, 1e-9);
    assert_true(v.drift == 0);                /* 0.16 / 6 is less than half of 0.09 */
    v = variance_of(0.1, 0.3, 1, long_known); /* days err less than weeks: a tenth */
    assert_close(v.noise, 0.1 * 0.63 * square, 1e-9);
    assert_close(v.doubt, 0.9 * 0.09 * square, 1e-9);
    v = variance_of(2, 0.3, 1, long_known); /* nine tenths */
    assert_close(v.noise, 0.9 * 0.63 * square, 1e-9);
    assert_close(v.drift, (0.9 - 0.5) * 0.09 * square, 1e-9);
    v = variance_of(0.5, 0.3, 1.04 / 7, long_known); /* spans as long as weeks tell nothing apart */
    assert_close(v.noise, 0.1 * 0.63 * square, 1e-9);
    v = variance_of(0.3 * sqrt(1.05), 0.3, 1.1 / 7, long_known); /* a little shorter: they do */
    assert_close(v.noise, 0.09 * 0.05 * 70 * square, 1e-9);
    v = variance_of(0.5, 0.3, 1, 2);
    assert_close(v.doubt, (0.09 - 0.16 / 6 + 0.16 * 7 / 6 * (0.5 - 1 / long_known)) * square, 1e-9);
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
        cmocka_unit_test(what_is_no_ordinary_day_is_cut_at_two_and_a_half_deviations),
        cmocka_unit_test(an_error_is_relative_and_capped),
        cmocka_unit_test(noise_and_doubt_share_the_error_of_a_week),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
