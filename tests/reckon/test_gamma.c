/* Incomplete gamma, its quantiles, chi-square and normal, against published and computed tables. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "reckon/gamma.h"
#include "support/csv_table.h"

#include <float.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void assert_near(double got, double want, double relative, const char *what)
{
    double error = want == 0.0 ? fabs(got) : fabs(got / want - 1.0);
    if (!(error <= relative))
        fail_msg("%s: got %.17g, want %.17g, relative error %.3g", what, got, want, error);
}

/* tables/gamma.csv: computed with mpmath 1.2.1 (50 digits), cross-checked by R 4.2.2 pgamma. */
static double worst;
static void row_gamma(const double c[CSV_COLUMNS], const char *line)
{
    double p = gamma_p(c[0], c[1]);
    double q = gamma_q(c[0], c[1]);
    assert_near(p, c[2], 1e-12, line);
    assert_near(q, c[3], 1e-12, line);
    worst = fmax(worst, fmax(fabs(p / c[2] - 1.0), fabs(q / c[3] - 1.0)));
}

static void P_and_Q_agree_with_the_table_to_1e_12(void **state)
{
    (void)state;
    worst = 0.0;
    assert_int_equal(csv_each("gamma", row_gamma), 75);
    print_message("worst relative error of P and Q: %.2g\n", worst);
}

/* tables/gamma_quantiles.csv: computed with mpmath 1.2.1 (50 digits). */
static void row_quantile(const double c[CSV_COLUMNS], const char *line)
{
    assert_near(gamma_quantile(c[0], c[1]), c[2], 1e-12, line);
    if (c[1] == 0.5)
        assert_near(gamma_quantile_upper(c[0], 0.5), c[2], 1e-12, line);
}

static void quantiles_agree_with_the_table_even_at_1e_minus_61(void **state)
{
    (void)state;
    assert_int_equal(csv_each("gamma_quantiles", row_quantile), 56);
}

/* Chi-square is gamma of half its degrees of freedom, scale 2 (NIST e-Handbook 1.3.6.6.6). */
static double chi2_quantile(double df, double p)
{
    return 2.0 * gamma_quantile(0.5 * df, p);
}

/* tables/chi2_quantiles.csv: computed with mpmath 1.2.1 (Newton on gammainc). */
static void row_chi2(const double c[CSV_COLUMNS], const char *line)
{
    assert_near(chi2_quantile(c[0], c[1]), c[2], 1e-12, line);
}

static void chi_square_quantiles_agree_with_the_table(void **state)
{
    (void)state;
    assert_true(csv_each("chi2_quantiles", row_chi2) > 100);
}

/* NIST/SEMATECH e-Handbook of Statistical Methods (Sept 2011), lower critical values of chi-square,
 * three decimals, as reproduced in a textbook appendix, table 7b; columns: P(exceeding). */
static void chi_square_quantiles_agree_with_the_handbook(void **state)
{
    (void)state;
    static const double exceeding[] = {0.90, 0.95, 0.975, 0.99, 0.999};
    static const double handbook[][6] = {
        {1, .016, .004, .001, .000, .000},
        {3, .584, .352, .216, .115, .024},
        {5, 1.610, 1.145, .831, .554, .210},
        {7, 2.833, 2.167, 1.690, 1.239, .598},
        {10, 4.865, 3.940, 3.247, 2.558, 1.479},
        {20, 12.443, 10.851, 9.591, 8.260, 5.921},
        {30, 20.599, 18.493, 16.791, 14.953, 11.588},
        {50, 37.689, 34.764, 32.357, 29.707, 24.674},
        {100, 82.358, 77.929, 74.222, 70.065, 61.918},
    };
    for (size_t i = 0; i < sizeof handbook / sizeof handbook[0]; i++) {
        for (size_t j = 0; j < 5; j++) {
            double x = chi2_quantile(handbook[i][0], 1.0 - exceeding[j]);
            if (fabs(x - handbook[i][j + 1]) > 0.00051)
                fail_msg("df %g, P(exceeding) %g: got %.6f, printed %.3f", handbook[i][0],
                         exceeding[j], x, handbook[i][j + 1]);
        }
    }
}

/* tables/gamma_process_fpt.csv: computed with mpmath 1.2.1. P(T > t) = P_reg(kappa t, V/theta). */
static void row_process(const double c[CSV_COLUMNS], const char *line)
{
    assert_near(gamma_p(c[0] * c[3], c[2] / c[1]), c[4], 1e-12, line);
    assert_near(gamma_q(c[0] * c[3], c[2] / c[1]), c[5], 1e-12, line);
}

static void first_passage_of_a_gamma_process_agrees_with_the_table(void **state)
{
    (void)state;
    assert_int_equal(csv_each("gamma_process_fpt", row_process), 35);
}

/* tables/lgamma.csv: computed with mpmath 1.2.1. */
static void row_lgamma(const double c[CSV_COLUMNS], const char *line)
{
    double got = gamma_ln1p(c[0] - 1.0);
    if (c[1] == 0.0)
        assert_true(fabs(got) < 1e-16);
    else
        assert_near(got, c[1], 1e-13, line);
}

static void ln_gamma_agrees_with_the_table(void **state)
{
    (void)state;
    assert_int_equal(csv_each("lgamma", row_lgamma), 9);
    /* ln Gamma(1 + a) = -gamma a + pi^2/12 a^2 - ... (A&S 6.1.33), gamma = 0.5772156649015329
     * (DLMF 5.2.3). */
    assert_near(gamma_ln1p(1e-12), -0.5772156649015329e-12, 1e-11, "near 1");
    assert_near(gamma_ln1p(-1e-12), 0.5772156649015329e-12, 1e-11, "near 1");
    assert_near(gamma_ln1p(1.0 + 1e-9), (1.0 - 0.5772156649015329) * 1e-9, 1e-6, "near 2");
}

/* tables/normal_quantiles.csv: computed with mpmath 1.2.1 (R 4.2.2 qnorm agrees). */
static void row_normal(const double c[CSV_COLUMNS], const char *line)
{
    if (c[0] == 0.5) {
        assert_true(fabs(normal_quantile(c[0])) < 1e-15);
        return;
    }
    /* p itself is rounded: 0.999999 as a double pins z to 2e-12 only. */
    assert_near(normal_quantile(c[0]), c[1], c[0] > 0.99 ? 1e-11 : 1e-13, line);
    assert_near(normal_cdf(c[1]), c[0], 1e-13, line);
}

static void normal_quantiles_agree_with_the_table(void **state)
{
    (void)state;
    assert_int_equal(csv_each("normal_quantiles", row_normal), 22);
}

/* Misprints must be seen, not met: two digits swapped in a cell of the handbook's chi-square table;
 * and the printed (1 + x/10) e^-x for two well-mixed vessels in series (University of Southampton
 * edshare document 6230, found wrong by solving it), where (1 + x) e^-x = Q(2, x) is right, x =
 * t/100. */
static void a_misprint_of_one_digit_would_be_seen(void **state)
{
    (void)state;
    assert_true(fabs(chi2_quantile(10, 0.01) - 2.585) >
                0.00051); /* 2.558 with two digits swapped */
    assert_true(fabs(chi2_quantile(30, 0.05) - 18.439) > 0.00051); /* 18.493 likewise */
    double x = 1.0;
    assert_near(gamma_q(2.0, x), (1.0 + x) * exp(-x), 1e-14, "Q(2, 1)");
    assert_true(fabs(gamma_q(2.0, x) - (1.0 + x / 10.0) * exp(-x)) > 0.3);
}

/* DLMF 8.4: P(1,x) = 1 - e^-x; P(1/2,x) = erf(sqrt x); Q(n,x) = e^-x sum of x^j/j!, j < n; 8.8.5:
 * P(a+1,x) = P(a,x) - x^a e^-x / Gamma(a+1). */
static void identities_hold_across_the_plane(void **state)
{
    (void)state;
    for (double x = 1e-12; x < 600.0; x *= 1.7) {
        assert_near(gamma_p(1.0, x), -expm1(-x), 1e-13, "P(1,x)");
        assert_near(gamma_q(1.0, x), exp(-x), 1e-12, "Q(1,x)");
        assert_near(gamma_p(0.5, x), erf(sqrt(x)), 1e-13, "P(1/2,x)");
        assert_near(gamma_q(0.5, x), erfc(sqrt(x)), 1e-12, "Q(1/2,x)");
        double sum = 0.0;
        double term = exp(-x);
        for (int n = 1; n < 30; n++) {
            sum += term;
            term *= x / n;
            assert_near(gamma_q(n, x), sum, 1e-12, "Q(n,x)");
        }
        for (double a = 1e-6; a < 3000.0; a *= 2.3) {
            double p = gamma_p(a, x);
            double q = gamma_q(a, x);
            assert_true(fabs(p + q - 1.0) <= 2.0 * DBL_EPSILON);
            double next = gamma_p(a + 1.0, x);
            assert_true(fabs(p - gamma_point(a, x) - next) <= 1e-13);
            assert_near(gamma_q(a + 1.0, x), q + gamma_point(a, x), 1e-12, "Q(a+1,x)");
            assert_true(next <= p);
        }
    }
}

/* The expansion for large shapes and the plain series or fraction must meet where one takes over
 * from the other; P(a+1,x) and P(a,x) are on its two sides. Relative, deep into both tails. */
static void the_large_shape_expansion_joins_the_series_smoothly(void **state)
{
    (void)state;
    const double a = 999.5; /* a below, a + 1 above the change */
    for (double x = 600.0; x < 1500.0; x += 7.3) {
        double q = gamma_q(a, x) + gamma_point(a, x);
        assert_near(gamma_q(a + 1.0, x), q, 2e-12, "Q across 1000");
        double p = gamma_p(a + 1.0, x) + gamma_point(a, x);
        assert_near(gamma_p(a, x), p, 2e-12, "P across 1000");
    }
}

/* With a large, P(a, a) = 1/2 + 1/(3 sqrt(2 pi a)) + O(a^-3/2) (DLMF 8.11.12 gives the leading
 * terms). */
static void huge_shapes_keep_their_digits(void **state)
{
    (void)state;
    static const double pi = 3.14159265358979323846;
    for (double a = 1e4; a < 1e13; a *= 10.0) {
        double want = 0.5 + 1.0 / (3.0 * sqrt(2.0 * pi * a));
        assert_true(fabs(gamma_p(a, a) - want) < 0.1 / (a * sqrt(a)) + 1e-15);
    }
    double median =
        gamma_quantile(1e9, 0.5); /* a - 1/3 + 8/(405 a) ... (Ramanujan; DLMF 8.11(v)) */
    assert_true(fabs(median - (1e9 - 1.0 / 3.0)) < 1e-5);
}

/* For tiny a: Q(a,x) = a E1(x) (1 + O(a)). E1(1) = 0.219383934395520273677 (DLMF table in 6.19
 * sources: A&S table 5.1). */
static void tiny_shapes_keep_their_digits(void **state)
{
    (void)state;
    assert_near(gamma_q(1e-13, 1.0), 0.219383934395520273677e-13, 1e-12, "Q(1e-13, 1)");
    assert_near(gamma_p(1e-13, 1.0), 1.0 - 0.2194e-13, 3e-16, "P(1e-13, 1)");
    assert_true(gamma_quantile(1e-4, 0.1) == 0.0); /* 10^-10000: below the smallest double */
}

static void quantiles_undo_probabilities(void **state)
{
    (void)state;
    static const double odds[] = {1e-300, 1e-30, 1e-9, 0.001, 0.1,        0.3,
                                  0.5,    0.7,   0.9,  0.999, 1.0 - 1e-12};
    for (double a = 0.02; a < 1e7; a *= 3.1) {
        double before = -1.0;
        for (size_t i = 0; i < sizeof odds / sizeof odds[0]; i++) {
            double x = gamma_quantile(a, odds[i]);
            assert_true(x >= before);
            before = x;
            /* A relative step of x of 1e-16 moves P by a factor of up to a 1e-16 and more. */
            if (x > 1e-290)
                assert_near(gamma_p(a, x), odds[i], 1e-11 + 1e-15 * a, "P of quantile");
            double y = gamma_quantile_upper(a, odds[i]);
            assert_true(y == 0.0 || fabs(gamma_q(a, y) / odds[i] - 1.0) < 1e-11 + 4e-14 * a);
        }
    }
}

static void limits_are_answers_and_nonsense_is_nan(void **state)
{
    (void)state;
    assert_true(gamma_p(2.0, 0.0) == 0.0 && gamma_q(2.0, 0.0) == 1.0);
    assert_true(gamma_p(2.0, INFINITY) == 1.0 && gamma_q(2.0, INFINITY) == 0.0);
    assert_true(gamma_q(0.5, 1e308) == 0.0 && gamma_q(1e200, 2e200) == 0.0); /* no NaN */
    assert_true(gamma_p(0.0, 1.0) == 1.0 && gamma_p(0.0, 0.0) == 1.0);
    assert_true(gamma_p(INFINITY, 1.0) == 0.0);
    assert_true(isnan(gamma_p(-1.0, 1.0)) && isnan(gamma_p(1.0, -1.0)) && isnan(gamma_q(NAN, 1.0)));
    assert_true(gamma_quantile(3.0, 0.0) == 0.0 && isinf(gamma_quantile(3.0, 1.0)));
    assert_true(isnan(gamma_quantile(3.0, 1.5)) && isnan(gamma_quantile(0.0, 0.5)));
    assert_true(isnan(normal_quantile(-0.1)) && isinf(normal_quantile(1.0)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(P_and_Q_agree_with_the_table_to_1e_12),
        cmocka_unit_test(quantiles_agree_with_the_table_even_at_1e_minus_61),
        cmocka_unit_test(chi_square_quantiles_agree_with_the_table),
        cmocka_unit_test(chi_square_quantiles_agree_with_the_handbook),
        cmocka_unit_test(first_passage_of_a_gamma_process_agrees_with_the_table),
        cmocka_unit_test(ln_gamma_agrees_with_the_table),
        cmocka_unit_test(normal_quantiles_agree_with_the_table),
        cmocka_unit_test(a_misprint_of_one_digit_would_be_seen),
        cmocka_unit_test(identities_hold_across_the_plane),
        cmocka_unit_test(the_large_shape_expansion_joins_the_series_smoothly),
        cmocka_unit_test(huge_shapes_keep_their_digits),
        cmocka_unit_test(tiny_shapes_keep_their_digits),
        cmocka_unit_test(quantiles_undo_probabilities),
        cmocka_unit_test(limits_are_answers_and_nonsense_is_nan),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
