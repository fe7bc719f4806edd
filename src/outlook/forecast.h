/* forecast.h - how long the water lasts, how sure that is, and how much is needed.
 *
 * The model. A day is spent at home or away (under a fifth of a home day's use: nothing). Whoever
 * is at home leaves with a chance `leave` a day; whoever has been away for r days comes back with
 * k / (1 + r): the longer an absence, the longer it lasts on. So of the next t days N are at home,
 * and given N = n the crew's consumption C(t) is gamma distributed with
 *     mean      m n
 *     variance  A n + B n^2 + D n max(0, n - 7)
 * m is the mean rate of a home day that the log taught; A is day-to-day noise (a gamma process, as
 * van Noortwijk 2009 surveys it for wear: independent increments); B is the uncertainty of the rate
 * itself: of its estimate and of its wandering from week to week; D is what keeps errors of a week
 * from averaging out over several (were the rate itself gamma distributed and known to nobody, C
 * would be a gamma mixture; its first two moments are matched here). Shape mean^2/variance and
 * scale variance/mean both rise with n (7 D <= A), so C(t) grows stochastically, and with paths
 * that only rise the first passage of a volume V is
 *     P(lasts beyond t) = P(C(t) < V) = sum over n of P(N = n) P(shape(n), V / scale(n)),
 * P(., .) the regularised incomplete gamma; falling in t and rising in V. The last day may be a
 * part of one. All is learnt in model/use.h. From 16 days of an absence on its chance to end stays
 * what it is, except for the absence that goes on now; beyond
 * 60 days nobody is counted away.
 *
 * Limits: the odds are about use, not about leaks, frost or a broken pump; the coming days are
 * taken to be like the past ones; weekdays, heat and guests are not foreseen. Volumes are litres,
 * times days from now.
 *
 * Pure; no function fails. Volumes and times below 0 count as 0; odds are clamped to 0..1.
 */
#ifndef ULLAGE_RECKON_FORECAST_H
#define ULLAGE_RECKON_FORECAST_H

#include "model/use.h"

#include <stdbool.h>
#include <stdint.h>

/* Beyond so many days nothing is promised: "not at this rate". */
#define FORECAST_NEVER_DAYS 1096.0

typedef struct {
    double logged;   /* litres per person-day that entries showed */
    double unlogged; /* litres per person-day that soundings showed besides */
    double person;   /* litres per person-day in all, the prior's part in it */
    double prior;    /* 0..1: how much of `person` is still the prior (1: an empty log) */
    double persons;  /* whom the following is for */
    double day;      /* m: litres per day */
    double noise;    /* A: L^2 per day */
    double doubt;    /* B: L^2 per day^2 */
    double drift;    /* D: L^2 per day^2 */
    double leave;    /* chance that a day at home is followed by one away */
    double back;     /* k: chance k / (1 + r) that the r-th day away is followed by one at home */
    double away;     /* r now; 0: at home */
    /* What went since the water was last known and nobody logged: all 0 unless forecast_since. */
    double silent; /* days up to now that nobody witnessed, in days of the present rate: they go
                      like those to come, and before them */
    double past, past_variance; /* of the other days: L, L^2 */
    double shared;              /* doubt that the past has in common with a day to come: L^2 */
    double maybe;     /* L gone besides with odds of a quarter: a silence that has ended */
    double unsounded; /* L besides that may be gone where nobody ever sounded; in no mean */
} ForecastRate;

/* The rates at `now`. `persons` < 0: the crew as logged (1 if none was ever set). A crew of 0 has
 * rate 0. */
ForecastRate forecast_rate(const Use *use, int64_t now, int32_t zone, int32_t persons);

/* The same where water was last known (sounded, filled to a known level) at `known`: every function
 * below then takes litres as they are reckoned at `now`, and days from now, and counts what went
 * unlogged since: the unlogged rate on days with a witness, the whole rate on the silent ones
 * (model/use.h) up to now, with its doubt. In a silence of more than a week nothing was used with
 * odds of a fifth (a judgement), so that every 10-90 % band reaches there. A silence that has
 * ended, and the day of the return with it, was an absence or was lived through: its use is gone
 * with odds of a quarter (a judgement), which leaves the median nearly as it was and takes hold of
 * the early edge and of all odds. Where there never was a sounding a tenth of the use (common
 * practice, no source) may have gone unlogged besides. */
ForecastRate forecast_since(ForecastRate rate, const Use *use, int64_t known, int64_t now,
                            int32_t zone);

/* The same where so many litres of what went since were found missing already, and are off the
 * reckoned level. */
ForecastRate forecast_found(ForecastRate since, double litres);

/* What if it were `litres` a day: the mean replaced, relative noise and doubt as they were, the
 * doubt at most that of a rate that somebody says (with a rate of 0 before: the prior's). */
ForecastRate forecast_rate_at(ForecastRate rate, double litres);

/* The same with nobody ever away: what stretches no water and no cartridge on hope. */
ForecastRate forecast_at_home(ForecastRate rate);

/* Consumption over t days from now, and since the water was known. */
double forecast_mean(const ForecastRate *rate, double days);
double forecast_quantile(const ForecastRate *rate, double days, double odds);

/* P(the use of `days` days stays below `litres`). 1 with a rate of 0 or days 0; 0 with no litres.
 */
double forecast_lasts(const ForecastRate *rate, double litres, double days);

/* A time from now that may not come. `days` is 0..FORECAST_NEVER_DAYS; with `never` it is
 * FORECAST_NEVER_DAYS and must not be shown as a date: say "not at this rate". */
typedef struct {
    double days;
    bool never;
} ForecastTime;

typedef struct {
    ForecastTime early, median, late; /* gone by then with odds of 10, 50, 90 % */
} ForecastBand;

/* When `litres` are used up, with odds `odds` that it is then or before. */
ForecastTime forecast_time(const ForecastRate *rate, double litres, double odds);
ForecastBand forecast_band(const ForecastRate *rate, double litres);

/* First `line` litres at the rate, then `reserve` litres at `ration` litres a day (0: as before).
 * The crew varies as much, relatively, at the ration: so the reserve is as good as reserve * day /
 * ration litres at the rate. */
double forecast_staged_litres(const ForecastRate *rate, double line, double reserve, double ration);
ForecastBand forecast_staged(const ForecastRate *rate, double line, double reserve, double ration);

/* Litres per person-day at which `litres` last `days` days with odds `odds` (0.9); relative
 * variation as at the present rate, no day away counted on. 0 with no litres; never NaN: with
 * nobody aboard or no days left, INFINITY, "as much as you like". */
double forecast_ration(const ForecastRate *rate, double litres, double days, double odds);

/* Litres needed to last `days` days with odds `odds`: forecast_quantile by its trade name. */
double forecast_need(const ForecastRate *rate, double days, double odds);

/* The level now, of `reckoned` litres, at a rate from forecast_since. low..high is a 10-90 % band;
 * low is never under 0, high never over `reckoned`, and just that after silent days: perhaps nobody
 * was there. Where soundings found nothing missing, all three agree. */
typedef struct {
    double expected, low, high;
} ForecastLevel;
ForecastLevel forecast_level(const ForecastRate *rate, double reckoned);

#endif
