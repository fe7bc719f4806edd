/* gamma.h - the gamma distribution: incomplete gamma functions, their quantiles; normal.
 *
 * Accuracy: P and Q to 1e-12 relative, both tails, shapes 1e-6 to 1e9 (tests/reckon/test_gamma.c,
 * against tables computed with 50 digits). The smaller of the two is computed and the other is one
 * minus it, so that neither tail loses digits.
 *
 * Methods: power series (NIST DLMF 8.7.1, 8.11.4), continued fraction (DLMF 8.9.2), the alternating
 * series for small shapes (DLMF 8.7.1), the uniform expansion for large ones (Temme, DLMF 8.12);
 * the factor x^a e^-x / Gamma(a+1) in the saddle-point form (Loader, "Fast and accurate computation
 * of binomial probabilities", 2000), which keeps its digits where a ln x, x and ln Gamma(a) nearly
 * cancel.
 *
 * Pure; no function fails, none sets errno on purpose; NaN in or out of domain gives NaN.
 */
#ifndef ULLAGE_RECKON_GAMMA_H
#define ULLAGE_RECKON_GAMMA_H

/* ln Gamma(1 + a), a > -1, without loss near a = 0 and a = 1. NaN for a <= -1. */
double gamma_ln1p(double a);

/* x^a e^-x / Gamma(a + 1): the probability of exactly `a` events where x are expected, for a >= 0
 * not necessarily whole, x >= 0. */
double gamma_point(double a, double x);

/* Regularised lower and upper incomplete gamma, P(a, x) = 1 - Q(a, x), a > 0, x >= 0.
 * Limits: P(a, 0) = 0, P(a, inf) = 1; a = 0 counts as a quantity that is surely 0: P(0, x) = 1. */
double gamma_p(double a, double x);
double gamma_q(double a, double x);

/* x with P(a, x) = p (lower) or Q(a, x) = q (upper); a > 0, p and q in 0..1. An x below the
 * smallest double comes out as 0. To about 1e-12 relative, times the condition of the problem. */
double gamma_quantile(double a, double p);
double gamma_quantile_upper(double a, double q);

/* Standard normal: P(Z <= z), and z with P(Z <= z) = p. */
double normal_cdf(double z);
double normal_quantile(double p);

#endif
