/* pace.h - one stream of use: its level, and how far off it is, learnt span by span.
 *
 * What use.h learns twice, of what is logged and of what is not. Weights are in days; rates in mL
 * per person-day. No pointers, no padding, no libm (see use.h). */
#ifndef ULLAGE_MODEL_PACE_H
#define ULLAGE_MODEL_PACE_H

#include <stdint.h>

#define USE_SPAN_DAYS_MAX 31 /* one span teaches as at most so many days, at its average */
#define USE_SPANS 12
#define USE_WINDOW_DAYS 7.0

/* Half-lives in days with somebody aboard. No weekday is modelled: a half-life of most of a week
 * keeps the swing that a weekly rhythm makes small, and the level leans a fifth of the way back to
 * the long run. */
#define USE_FAST_DAYS 5.0
#define USE_SLOW_DAYS 365.0
#define USE_FAST_SHARE 0.8

/* What is kept of a weight after one day: 0.5^(1 / half-life), written out so that no libm is
 * asked. */
#define PACE_KEEP_FAST 0.87055056329612412 /* USE_FAST_DAYS */
#define PACE_KEEP_SLOW 0.99810276865159464 /* USE_SLOW_DAYS */

/* Days taught before expectations are held against what happens. */
#define PACE_EXPECT_AFTER_DAYS 6.5
/* Errors expected before any was seen, relative, standard deviations: of a day and of a week. From
 * memory of how single households' days vary. */
#define PACE_DAY_ERROR 0.6
#define PACE_WEEK_ERROR 0.3
/* From crew to crew, relative standard deviation, a judgement: the 10-90 % band of a week reaches
 * from under 1.5 to over 8 L. No crew is less known than one of which nothing is. */
#define PACE_CREW_SPREAD 0.64

/* An exponentially weighted mean: sum / weight. */
typedef struct {
    double sum, weight;
} UseMean;

/* A taught span: days with somebody aboard, millilitres per person in all of it, and what had been
 * expected before it, per person-day (base < 0: nothing was expected yet). */
typedef struct {
    double days, ml, mean, base;
} UseSpan;

/* One stream, in mL per person and day. Errors are absolute, relative to `base` (see pace_base). */
typedef struct {
    UseMean fast, slow;     /* the level, rare excesses cut */
    UseMean excess;         /* what was cut */
    UseMean centre, spread; /* mean and squared deviation of spans: where an excess begins */
    UseMean span_error;     /* of one span against what was expected before it */
    UseMean span_inverse;   /* 1 / days of those spans */
    UseMean window_error;   /* of the spans that make up USE_WINDOW_DAYS or a little more */
    UseMean window_inverse; /* 1 / days of those windows */
    UseSpan span[USE_SPANS];
    double taught_fast, taught_slow; /* weights of all that was ever taught, whatever the crew */
    int64_t spans; /* how many were ever taught; the newest is span[(spans - 1) % USE_SPANS] */
} UsePace;

_Static_assert(sizeof(UsePace) == 9 * sizeof(UseMean) + USE_SPANS * sizeof(UseSpan) + 24,
               "no padding in UsePace");
_Static_assert(sizeof(UseMean) == 16 && sizeof(UseSpan) == 32, "8-byte members only");

/* `days` (>= 0) days in a row of `value` each; `keep` of a weight is left after a day. */
void mean_add(UseMean *mean, double keep, double value, double days);
/* What was learnt counts for so much less from now on. */
void mean_fade(UseMean *mean, double share);
double mean_value(const UseMean *mean); /* 0 where nothing was added */

/* Of a pace whose bytes are all 0: the errors that are expected before any was seen. */
void pace_init(UsePace *pace);
/* Teaches a span of `days` with somebody aboard, `ml` per person in all; nothing for no days. */
void pace_teach(UsePace *pace, double days, double ml);

/* mL per person-day of one stream; 0 when it was never taught. pace_level cuts rare excesses;
 * pace_mean takes half of them back, spread over time. pace_base is the rate that errors are
 * relative to: half the level, half the long run, so that a quiet spell does not make the crew look
 * predictable. Never negative. */
double pace_level(const UsePace *pace);
double pace_mean(const UsePace *pace);
double pace_base(const UsePace *pace);

/* Variance of the total of t days about t pace_mean, in mL^2 per person^2:
 *     noise t + doubt t^2 + drift t max(0, t - USE_WINDOW_DAYS)
 * noise is from day to day; doubt is the uncertainty of the rate itself, its wandering from week to
 * week included (so what makes 7-day totals vary more than 7 single days would). Both are learnt
 * from past errors, of single days (or spans) and of weeks. Beyond a week errors average out less
 * than the two would make believe, since what a forecast gets wrong lasts: drift; 7 drift <= noise,
 * so that the relative error never grows with t and the absolute one never falls. */
typedef struct {
    double noise, doubt, drift;
} UseVariance;
UseVariance pace_variance(const UsePace *pace);

/* Larger and smaller of two, and the root (0 for what is not above 0): the same on every machine,
 * without libm. */
double pace_larger(double a, double b);
double pace_smaller(double a, double b);
double pace_root(double x);

#endif
