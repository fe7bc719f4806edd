/* pace.c - see pace.h. */
#include "model/pace.h"

#define KEEP_30_DAYS 0.97715996843424591
#define KEEP_EXCESS PACE_KEEP_SLOW
#define KEEP_ERRORS KEEP_30_DAYS

/* A span of more than so many standard deviations above the mean of spans is cut there for the
 * level. */
#define EXCESS_DEVIATIONS 2.5
/* Of what is cut, the share that the mean takes back, spread over time. Errors are measured uncut,
 * so the rest is in the variance. None would promise too much over a month, all of it shifts the
 * median of a week. */
#define EXCESS_SHARE 0.5
#define EXCESS_AFTER_DAYS 5.0
/* One error counts as at most so many times what errors usually are: one burst pipe is not a new
 * habit. */
#define ERROR_TIMES 2.5
/* sqrt(pi / 2): standard deviation over mean absolute deviation of a normal quantity. */
#define DEVIATION_PER_ABSOLUTE 1.2533141373155003
/* The scale is itself an estimate, from an effective dozen of independent weeks at best: Student's
 * t with 12 degrees of freedom is wider than the normal, t(0.9) / z(0.9) = 1.356 / 1.282
 * (NIST/SEMATECH e-Handbook, section 1.3.6.7.2), about this much. */
#define DEVIATION_PER_ERROR (1.05 * DEVIATION_PER_ABSOLUTE)
/* What is expected before any was seen (PACE_DAY_ERROR, PACE_WEEK_ERROR) weighs as so many days.
 */
#define PRIOR_ERROR_DAYS 14.0
/* Of the squared error of a week, the share that would be the same in the next week: a judgement,
 * not a published value; the back-test watches it at 14 and 28 days. */
#define LASTING_SHARE 0.5

double pace_larger(double a, double b)
{
    return a > b ? a : b;
}

double pace_smaller(double a, double b)
{
    return a < b ? a : b;
}

/* sqrt by Newton from above: the same on every machine, and no libm in this floor. */
double pace_root(double x)
{
    if (!(x > 0.0))
        return 0.0;
    double scale = 1.0; /* bring x into 1..4 by even powers of two: exact */
    while (x >= 4.0) {
        x *= 0.25;
        scale *= 2.0;
    }
    while (x < 1.0) {
        x *= 4.0;
        scale *= 0.5;
    }
    double r = 0.5 * (x + 1.0);
    for (int i = 0; i < 6; i++)
        r = 0.5 * (r + x / r);
    return r * scale;
}

/* ---- exponentially weighted means ---- */

/* keep^days; the broken day is interpolated. */
static double kept(double keep, double days)
{
    double left = 1.0;
    while (days >= 1.0) {
        left *= keep;
        days -= 1.0;
    }
    return left * (1.0 - days * (1.0 - keep));
}

void mean_add(UseMean *mean, double keep, double value, double days)
{
    double left = kept(keep, days);
    double weight = (1.0 - left) / (1.0 - keep);
    mean->sum = mean->sum * left + weight * value;
    mean->weight = mean->weight * left + weight;
}

static void weight_add(double *weight, double keep, double days)
{
    UseMean mean = {0.0, *weight};
    mean_add(&mean, keep, 0.0, days);
    *weight = mean.weight;
}

void mean_fade(UseMean *mean, double share)
{
    mean->sum *= share;
    mean->weight *= share;
}

double mean_value(const UseMean *mean)
{
    return mean->weight > 0.0 ? mean->sum / mean->weight : 0.0;
}

/* ---- one stream ---- */

double pace_level(const UsePace *pace)
{
    double level =
        USE_FAST_SHARE * mean_value(&pace->fast) + (1.0 - USE_FAST_SHARE) * mean_value(&pace->slow);
    return pace_larger(level, 0.0);
}

double pace_mean(const UsePace *pace)
{
    return pace_level(pace) + EXCESS_SHARE * pace_larger(mean_value(&pace->excess), 0.0);
}

double pace_base(const UsePace *pace)
{
    return 0.5 * pace_level(pace) + 0.5 * pace_larger(mean_value(&pace->slow), 0.0);
}

static UseMean error_prior(double deviation)
{
    return (UseMean){deviation / DEVIATION_PER_ABSOLUTE * PRIOR_ERROR_DAYS, PRIOR_ERROR_DAYS};
}

void pace_init(UsePace *pace)
{
    pace->span_error = error_prior(PACE_DAY_ERROR);
    pace->span_inverse = (UseMean){PRIOR_ERROR_DAYS, PRIOR_ERROR_DAYS}; /* of one day */
    pace->window_error = error_prior(PACE_WEEK_ERROR);
    pace->window_inverse = (UseMean){PRIOR_ERROR_DAYS / USE_WINDOW_DAYS, PRIOR_ERROR_DAYS};
}

UseVariance pace_variance(const UsePace *pace)
{
    /* With relative squared errors e(d) = a / d + b, of spans and of windows: two equations. */
    double span = DEVIATION_PER_ERROR * mean_value(&pace->span_error);
    double window = DEVIATION_PER_ERROR * mean_value(&pace->window_error);
    double span_inverse = mean_value(&pace->span_inverse);
    double window_inverse = mean_value(&pace->window_inverse);
    double a = 0.0;
    if (span_inverse > 1.05 * window_inverse)
        a = (span * span - window * window) / (span_inverse - window_inverse);
    /* Neither part may be all of it: a rate is never known exactly, days are never all alike. */
    double all = window * window / window_inverse;
    a = pace_larger(pace_smaller(a, 0.9 * all), 0.1 * all);
    double b = window * window - a * window_inverse;
    double week = a / USE_WINDOW_DAYS + b;
    double drift = pace_larger(0.0, a / USE_WINDOW_DAYS - (1.0 - LASTING_SHARE) * week);
    /* In the first days the mean itself is worth less than it will be, but no less than what is taken
     * for it before them. */
    if (pace->fast.weight > 0.0) {
        const double first = a * pace_larger(0.0, 1.0 / pace->fast.weight - (1.0 - PACE_KEEP_FAST));
        b = pace_smaller(b + first, pace_larger(b, PACE_CREW_SPREAD * PACE_CREW_SPREAD));
    }
    double base = pace_base(pace);
    double square = base * base;
    return (UseVariance){a * square, b * square, drift * square};
}

static void error_add(UseMean *mean, double error, double days)
{
    error = pace_larger(error, -error);
    error = pace_smaller(error, ERROR_TIMES * DEVIATION_PER_ABSOLUTE * mean_value(mean));
    mean_add(mean, KEEP_ERRORS, error, days);
}

/* The last spans that make up USE_WINDOW_DAYS or a little more, against what was expected before
 * them. */
static void pace_teach_window(UsePace *pace, double days)
{
    double sum_days = 0.0;
    double sum_ml = 0.0;
    for (int64_t i = 1; i <= USE_SPANS && i <= pace->spans; i++) {
        const UseSpan *span = &pace->span[(pace->spans - i) % USE_SPANS];
        sum_days += span->days;
        sum_ml += span->ml;
        if (sum_days >= USE_WINDOW_DAYS - 1e-6) {
            if (span->base > 0.0) {
                error_add(&pace->window_error, (sum_ml / sum_days - span->mean) / span->base, days);
                mean_add(&pace->window_inverse, KEEP_ERRORS, 1.0 / sum_days, days);
            }
            return;
        }
    }
}

void pace_teach(UsePace *pace, double days, double ml)
{
    if (!(days > 0.0))
        return;
    if (days > USE_SPAN_DAYS_MAX) {
        ml *= USE_SPAN_DAYS_MAX / days;
        days = USE_SPAN_DAYS_MAX;
    }
    double rate = ml / days;
    UseSpan span = {days, ml, 0.0, -1.0};
    if (pace->slow.weight >= PACE_EXPECT_AFTER_DAYS) {
        span.mean = pace_mean(pace);
        span.base = pace_base(pace);
    }
    if (span.base > 0.0 && days >= 0.5) {
        error_add(&pace->span_error, (rate - span.mean) / span.base, days);
        mean_add(&pace->span_inverse, KEEP_ERRORS, 1.0 / days, days);
    }
    /* Where an excess begins follows from the spans before this one; this one goes in uncut. */
    double cut = rate;
    if (pace->centre.weight > 0.0) {
        double centre = mean_value(&pace->centre);
        if (pace->spread.weight > EXCESS_AFTER_DAYS)
            cut = pace_smaller(rate,
                               centre + EXCESS_DEVIATIONS * pace_root(mean_value(&pace->spread)));
        mean_add(&pace->spread, KEEP_30_DAYS, (rate - centre) * (rate - centre), days);
    }
    mean_add(&pace->centre, KEEP_30_DAYS, rate, days);
    mean_add(&pace->fast, PACE_KEEP_FAST, cut, days);
    mean_add(&pace->slow, PACE_KEEP_SLOW, cut, days);
    weight_add(&pace->taught_fast, PACE_KEEP_FAST, days);
    weight_add(&pace->taught_slow, PACE_KEEP_SLOW, days);
    mean_add(&pace->excess, KEEP_EXCESS, rate - cut, days);
    pace->span[pace->spans % USE_SPANS] = span;
    pace->spans++;
    pace_teach_window(pace, days);
}
