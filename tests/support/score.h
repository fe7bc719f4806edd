/* score.h - scoring rules for forecasts; used by tests and by the back-test. */
#ifndef ULLAGE_TESTS_SUPPORT_SCORE_H
#define ULLAGE_TESTS_SUPPORT_SCORE_H

#include "reckon/gamma.h"

#include <math.h>

/* Quantile (pinball) score with the factor 2: Hyndman & Athanasopoulos, Forecasting: Principles and
 * Practice 3rd ed. (2021) section 5.9. */
static inline double score_pinball(double p, double forecast, double y)
{
    return y < forecast ? 2.0 * (1.0 - p) * (forecast - y) : 2.0 * p * (y - forecast);
}

/* Interval (Winkler) score of a central 1 - alpha interval. */
static inline double score_interval(double low, double high, double alpha, double y)
{
    double score = high - low;
    score += y < low ? 2.0 / alpha * (low - y) : 0.0;
    score += y > high ? 2.0 / alpha * (y - high) : 0.0;
    return score;
}

/* Continuous ranked probability score. Normal: Gneiting et al. (2005), sigma (z (2 Phi(z) - 1) + 2
 * phi(z) - 1/sqrt(pi)). */
static inline double score_crps_normal(double mean, double deviation, double y)
{
    const double pi = 3.14159265358979323846;
    double z = (y - mean) / deviation;
    double density = exp(-0.5 * z * z) / sqrt(2.0 * pi);
    return deviation * (z * (2.0 * normal_cdf(z) - 1.0) + 2.0 * density - 1.0 / sqrt(pi));
}

/* Gamma with shape a and rate b: y (2 F_a(y) - 1) - (a/b) (2 F_{a+1}(y) - 1) - 1 / (b B(1/2, a)).
 */
static inline double score_crps_gamma(double shape, double rate, double y)
{
    const double pi = 3.14159265358979323846;
    double ln_beta = 0.5 * log(pi) + gamma_ln1p(shape - 1.0) - gamma_ln1p(shape - 0.5);
    return y * (2.0 * gamma_p(shape, rate * y) - 1.0) -
           shape / rate * (2.0 * gamma_p(shape + 1.0, rate * y) - 1.0) - exp(-ln_beta) / rate;
}

#endif
