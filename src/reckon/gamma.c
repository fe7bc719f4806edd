/* gamma.c - see gamma.h. */
#include "reckon/gamma.h"

#include <float.h>
#include <math.h>
#include <stdbool.h>
#include <stddef.h>

#define COEFFICIENT_COUNT(array) (sizeof(array) / sizeof((array)[0]))
#define LN_2PI 1.8378770664093454836
#define EULER 0.57721566490153286061
/* From here on Temme's expansion is used near x = a: with the terms kept below its error is then
 * under 1e-15 for |eta| <= ETA_MAX, and beyond that the series and the fraction are short. */
#define SHAPE_LARGE 1000.0
#define ETA_MAX 0.3
#define STEPS_MAX 100000

/* zeta(k) - 1, k = 2, 3, ...: Abramowitz & Stegun (NBS 1964) table 23.3; here recomputed with 60
 * digits (direct sum and Euler-Maclaurin). */
static const double zeta_less_one[] = {
    6.449340668482264364724e-01, 2.020569031595942853997e-01, 8.232323371113819151600e-02,
    3.692775514336992633137e-02, 1.734306198444913971452e-02, 8.349277381922826839798e-03,
    4.077356197944339378687e-03, 2.008392826082214417853e-03, 9.945751278180853371460e-04,
    4.941886041194645587023e-04, 2.460865533080482986380e-04, 1.227133475784891467518e-04,
    6.124813505870482925850e-05, 3.058823630702049355173e-05, 1.528225940865187173260e-05,
    7.637197637899762273600e-06, 3.817293264999839856500e-06, 1.908212716553938925700e-06,
    9.539620338727961132000e-07, 4.769329867878064631000e-07, 2.384505027277329900000e-07,
    1.192199259653110731000e-07, 5.960818905125947960000e-08, 2.980350351465228020000e-08,
    1.490155482836504120000e-08, 7.450711789835429500000e-09,
};

/* A&S 6.1.33: ln Gamma(1 + a) = -ln(1 + a) + a (1 - gamma) + sum over k >= 2 of (-1)^k (zeta(k) -
 * 1) a^k / k, |a| < 2. With |a| <= 1/2 a term is under 4^-k. */
static double ln1p_series(double a)
{
    double sum = 0.0;
    for (size_t i = COEFFICIENT_COUNT(zeta_less_one); i-- > 0;) {
        double k = (double)i + 2.0;
        double sign = i % 2 == 0 ? 1.0 : -1.0;
        sum = sum * a + sign * zeta_less_one[i] / k;
    }
    return -log1p(a) + a * (1.0 - EULER) + sum * a * a;
}

double gamma_ln1p(double a)
{
    if (!(a > -1.0))
        return NAN;
    if (fabs(a) <= 0.5)
        return ln1p_series(a);
    if (a > 0.5 && a <= 1.5) /* ln Gamma(1 + a) = ln a + ln Gamma(1 + (a - 1)) */
        return log(a) + ln1p_series(a - 1.0);
    return lgamma(a + 1.0);
}

/* a ln(a/x) + x - a, without cancellation near x = a (Loader 2000, the deviance bd0). */
static double deviance(double a, double x)
{
    if (fabs(x - a) < 0.1 * (x + a)) {
        double v = (a - x) / (a + x);
        double sum = (a - x) * v;
        double term = 2.0 * a * v;
        for (int j = 1; j < 100; j++) {
            term *= v * v;
            double next = sum + term / (2.0 * j + 1.0);
            if (next == sum)
                break;
            sum = next;
        }
        return sum;
    }
    return a * log(a / x) + x - a;
}

/* ln Gamma(a + 1) - (a + 1/2) ln a + a - ln(2 pi)/2, a >= 10: A&S 6.1.41 (the next term is 2e-17 at
 * 10). */
static double stirling_rest(double a)
{
    double r = 1.0 / (a * a);
    double s = 1.0 / 156.0;
    s = s * r - 691.0 / 360360.0;
    s = s * r + 1.0 / 1188.0;
    s = s * r - 1.0 / 1680.0;
    s = s * r + 1.0 / 1260.0;
    s = s * r - 1.0 / 360.0;
    s = s * r + 1.0 / 12.0;
    return s / a;
}

double gamma_point(double a, double x)
{
    if (isnan(a) || isnan(x) || a < 0.0 || x < 0.0)
        return NAN;
    if (x == 0.0)
        return a == 0.0 ? 1.0 : 0.0;
    if (isinf(x) || isinf(a))
        return 0.0;
    if (a < 10.0)
        return exp(a * log(x) - x - gamma_ln1p(a));
    return exp(-stirling_rest(a) - deviance(a, x) - 0.5 * (LN_2PI + log(a)));
}

/* P by DLMF 8.11.4: gamma_point times 1 + x/(a+1) + x^2/((a+1)(a+2)) + ... */
static double lower_series(double a, double x)
{
    double sum = 1.0;
    double term = 1.0;
    for (int n = 1; n < STEPS_MAX; n++) {
        term *= x / (a + n);
        sum += term;
        if (term < sum * (0.25 * DBL_EPSILON))
            break;
    }
    return gamma_point(a, x) * sum;
}

/* Q by the even part of DLMF 8.9.2: numerators and denominators of its convergents by their
 * recurrence (DLMF 1.12(ii)). x > a: all denominators are above 0. No step waits for a division, as
 * it would where the convergents themselves are carried on. */
static double upper_fraction(double a, double x)
{
    const double large = 1e100, point = gamma_point(a, x);
    double b = x + 1.0 - a;
    double h = 1.0 / b;
    double over = h, over_before = 0.0;
    double under = 1.0, under_before = h;
    for (int n = 1; point > 0.0 && n < STEPS_MAX; n++) {
        const double an = n * (a - n), before = h;
        b += 2.0;
        const double over_next = b * over + an * over_before;
        const double under_next = b * under + an * under_before;
        const double shrink = under_next > large ? 1.0 / large : 1.0;
        over_before = over * shrink;
        under_before = under * shrink;
        over = over_next * shrink;
        under = under_next * shrink;
        h = over / under;
        if (fabs(h - before) < DBL_EPSILON * h)
            break;
    }
    return a * point * h;
}

/* Q for small x by DLMF 8.7.1, with the leading 1 - x^a/Gamma(a+1) taken by expm1. */
static double upper_small(double a, double x)
{
    double log_lead = a * log(x) - gamma_ln1p(a);
    double power = 1.0;
    double sum = 0.0;
    for (int n = 1; n < 200; n++) {
        power *= -x / n;
        double term = power * a / (a + n);
        sum += term;
        if (fabs(term) < fabs(sum) * (0.25 * DBL_EPSILON))
            break;
    }
    return -expm1(log_lead) - exp(log_lead) * sum;
}

/* Coefficients d(k, n) of c_k(eta) = sum of d(k, n) eta^n in Temme's expansion, from the recursion
 * of DLMF 8.12.9 to 8.12.13 in exact fractions; d(k, 0) = -1/3, -1/540, 25/6048, 101/155520 as
 * printed there. */
static const double temme_0[] = {
    -3.33333333333333314830e-01, 8.33333333333333287074e-02,  -1.48148148148148153802e-02,
    1.15740740740740734316e-03,  3.52733686067019424140e-04,  -1.78755144032921798247e-04,
    3.91926317852243766954e-05,  -2.18544851067999198181e-06, -1.85406221071515996597e-06,
    8.29671134095308651501e-07,  -1.76659527368260782004e-07, 6.70785354340149841119e-09,
    1.02618097842403085622e-08,  -4.38203601845335294179e-09};
static const double temme_1[] = {
    -1.85185185185185192253e-03, -3.47222222222222202948e-03, 2.64550264550264535579e-03,
    -9.90226337448559630269e-04, 2.05761316872427979345e-04,  -4.01877572016460897158e-07,
    -1.80985503344899766563e-05, 7.64916091608110982280e-06,  -1.61209008945634464836e-06};
static const double temme_2[] = {4.13359788359788336842e-03,  -2.68132716049382727186e-03,
                                 7.71604938271604895439e-04,  2.00938786008230469755e-06,
                                 -1.07366532263651598801e-04, 5.29234488291201250385e-05};
static const double temme_3[] = {6.49434156378600772538e-04, 2.29472093621399167830e-04,
                                 -4.69189494395255701775e-04};

static double polynomial(const double *coefficient, size_t count, double x)
{
    double sum = 0.0;
    for (size_t i = count; i-- > 0;)
        sum = sum * x + coefficient[i];
    return sum;
}

/* DLMF 8.12.3 to 8.12.8: the upper tail if `upper`, else the lower. `half` is a eta^2 / 2. */
static double temme(double a, double eta, double half, bool upper)
{
    double series = polynomial(temme_3, COEFFICIENT_COUNT(temme_3), eta);
    series = series / a + polynomial(temme_2, COEFFICIENT_COUNT(temme_2), eta);
    series = series / a + polynomial(temme_1, COEFFICIENT_COUNT(temme_1), eta);
    series = series / a + polynomial(temme_0, COEFFICIENT_COUNT(temme_0), eta);
    double rest = exp(-half - 0.5 * (LN_2PI + log(a))) * series;
    double z = copysign(sqrt(half), eta);
    return upper ? 0.5 * erfc(z) + rest : 0.5 * erfc(-z) - rest;
}

/* The smaller tail, or near enough, and which one it is. a > 0, x > 0, both finite. */
static double tail(double a, double x, bool *upper)
{
    if (a >= SHAPE_LARGE) {
        double half = deviance(a, x);
        double eta = copysign(sqrt(2.0 * half / a), x - a);
        if (fabs(eta) <= ETA_MAX) {
            *upper = eta > 0.0;
            return temme(a, eta, half, *upper);
        }
    }
    if (x < 1.1) {
        /* x^a / Gamma(a+1) is an upper bound of P. */
        *upper = a * log(x) - gamma_ln1p(a) > -0.5;
        return *upper ? upper_small(a, x) : lower_series(a, x);
    }
    *upper = x > a;
    return *upper ? upper_fraction(a, x) : lower_series(a, x);
}

/* The limits that need no arithmetic: true with the value of P in `p`. */
static bool limit(double a, double x, double *p)
{
    if (isnan(a) || isnan(x) || a < 0.0 || x < 0.0 || (isinf(a) && isinf(x)))
        *p = NAN;
    else if (a == 0.0 || isinf(x))
        *p = 1.0;
    else if (x == 0.0 || isinf(a))
        *p = 0.0;
    else
        return false;
    return true;
}

static double clamp_unit(double p)
{
    return p < 0.0 ? 0.0 : p > 1.0 ? 1.0 : p;
}

double gamma_p(double a, double x)
{
    double p;
    if (limit(a, x, &p))
        return p;
    bool upper;
    double t = tail(a, x, &upper);
    return clamp_unit(upper ? 1.0 - t : t);
}

double gamma_q(double a, double x)
{
    double p;
    if (limit(a, x, &p))
        return 1.0 - p;
    bool upper;
    double t = tail(a, x, &upper);
    return clamp_unit(upper ? t : 1.0 - t);
}

/* First guess of ln x. Wilson and Hilferty (1931), or the first term of the series where that is of
 * no use (small shapes, deep lower tail). `z` is the normal quantile, `ln_p` ln P. */
static double first_guess(double a, double z, double ln_p)
{
    double lead = (ln_p + gamma_ln1p(a)) / a;
    double c = 1.0 / (9.0 * a);
    double root = 1.0 - c + z * sqrt(c);
    if (root <= 0.3 || a < 0.5)
        return lead < 6.0 ? lead : 6.0;
    return log(a) + 3.0 * log(root);
}

/* Newton on ln(tail) against ln x, both tails being concave there; kept inside a bracket. */
static double invert(double a, double p, double q)
{
    bool upper = q < p;
    double ln_p = upper ? log1p(-q) : log(p);
    double lead = (ln_p + gamma_ln1p(a)) / a;
    if (lead < log(DBL_EPSILON / 16.0))
        return exp(lead); /* the rest of the series is 1 + O(x) */
    double target = upper ? q : p;
    double ln_target = log(target);
    double z = upper ? -normal_quantile(q) : normal_quantile(p);
    double low = log(DBL_EPSILON / 32.0);
    double high = log(a + 800.0 + 40.0 * sqrt(a));
    double y = first_guess(a, z, ln_p);
    if (!(y > low && y < high))
        y = 0.5 * (low + high);
    for (int i = 0; i < 200; i++) {
        double x = exp(y);
        double t = upper ? gamma_q(a, x) : gamma_p(a, x);
        bool above = upper ? t < target : t > target; /* x is too large */
        if (above)
            high = y;
        else
            low = y;
        double slope = a * gamma_point(a, x) / t;
        double step = (log(t) - ln_target) / (upper ? -slope : slope);
        double next = y - step;
        if (!isfinite(next) || next <= low || next >= high)
            next = 0.5 * (low + high);
        double moved = fabs(next - y);
        y = next;
        if (moved <= 2.0 * DBL_EPSILON * (1.0 + fabs(y)))
            break;
    }
    /* exp rounds by eps |y|: one step on x itself gives the last digits back. */
    double x = exp(y);
    double t = upper ? gamma_q(a, x) : gamma_p(a, x);
    double step = x * (t - target) / (a * gamma_point(a, x));
    if (fabs(step) < 1e-9 * x)
        x -= upper ? -step : step;
    return x;
}

static double quantile(double a, double p, double q)
{
    if (isnan(a) || isnan(p) || isnan(q) || !(a > 0.0) || isinf(a) || p < 0.0 || q < 0.0)
        return NAN;
    if (p == 0.0)
        return 0.0;
    if (q == 0.0)
        return INFINITY;
    return invert(a, p, q);
}

double gamma_quantile(double a, double p)
{
    return quantile(a, p, 1.0 - p);
}

double gamma_quantile_upper(double a, double q)
{
    return quantile(a, 1.0 - q, q);
}

double normal_cdf(double z)
{
    return 0.5 * erfc(-z * 0.70710678118654752440);
}

double normal_quantile(double p)
{
    if (isnan(p) || p < 0.0 || p > 1.0)
        return NAN;
    if (p == 0.0 || p == 1.0)
        return p == 0.0 ? -INFINITY : INFINITY;
    if (p > 0.5)
        return -normal_quantile(1.0 - p);
    /* A&S 26.2.23 (absolute error under 4.5e-4), then Halley steps. */
    double t = sqrt(-2.0 * log(p));
    double z = -(t - (2.515517 + t * (0.802853 + t * 0.010328)) /
                         (1.0 + t * (1.432788 + t * (0.189269 + t * 0.001308))));
    for (int i = 0; i < 4; i++) {
        double density = exp(-0.5 * (z * z + LN_2PI));
        if (!(density > 0.0))
            break; /* deeper than the smallest double */
        double u = (normal_cdf(z) - p) / density;
        z -= u / (1.0 + 0.5 * z * u);
    }
    return z;
}
