/* forecast.c - see forecast.h. */
#include "outlook/forecast.h"

#include "reckon/gamma.h"

#include <math.h>

#define ML 0.001 /* litres */
/* Share of the use that may go unlogged where no sounding ever said: common practice, no source. */
#define UNSOUNDED_SHARE 0.1

static double positive(double x)
{
    return x > 0.0 ? x : 0.0;
}

/* The crew varies as one: a day is hot, or for washing, for all of them. So deviations add, not
 * variances. */
static void variance_set(ForecastRate *rate, UseVariance person, double people)
{
    double factor = ML * ML * people * people;
    rate->noise = person.noise * factor;
    rate->doubt = person.doubt * factor;
    rate->drift = person.drift * factor;
}

ForecastRate forecast_rate(const Use *use, int64_t now, int32_t zone, int32_t persons)
{
    Use settled = *use;
    use_settle(&settled, now, zone);
    UseRate known = use_rate(&settled);
    int64_t aboard = use_persons(&settled);
    double people = persons >= 0 ? persons : aboard >= 0 ? (double)aboard : 1.0;
    ForecastRate rate = {
        .logged = pace_mean(&settled.logged) * ML,
        .unlogged = pace_mean(&settled.unlogged) * ML,
        .person = (known.logged + known.unlogged + known.prior) * ML,
        .prior = known.share,
        .persons = people,
    };
    rate.day = rate.person * people;
    variance_set(&rate, known.variance, people);
    return rate;
}

ForecastRate forecast_rate_at(ForecastRate rate, double litres)
{
    litres = positive(litres);
    ForecastRate like = rate;
    if (!(rate.day > 0.0)) {
        Use empty;
        use_init(&empty);
        like = forecast_rate(&empty, 0, 0, 1);
    }
    double factor = litres / like.day;
    rate.noise = like.noise * factor * factor;
    rate.doubt = like.doubt * factor * factor;
    rate.drift = like.drift * factor * factor;
    rate.day = litres;
    rate.person = rate.persons > 0.0 ? litres / rate.persons : litres;
    return rate;
}

double forecast_mean(const ForecastRate *rate, double days)
{
    return rate->day * positive(days);
}

double forecast_variance(const ForecastRate *rate, double days)
{
    days = positive(days);
    double beyond = positive(days - USE_WINDOW_DAYS);
    return (rate->noise + rate->doubt * days + rate->drift * beyond) * days;
}

/* Shape and scale of C(days); false where C is no distribution but a number: the mean. */
static bool shape_of(const ForecastRate *rate, double days, double *shape, double *scale)
{
    double mean = forecast_mean(rate, days);
    double variance = forecast_variance(rate, days);
    if (!(mean > 0.0) || !(variance > mean * mean * 1e-12)) {
        return false;
    }
    *shape = mean * mean / variance;
    *scale = variance / mean;
    return true;
}

double forecast_quantile(const ForecastRate *rate, double days, double odds)
{
    double shape;
    double scale;
    if (!shape_of(rate, days, &shape, &scale)) {
        return forecast_mean(rate, days);
    }
    return scale * gamma_quantile(shape, fmin(positive(odds), 1.0));
}

double forecast_need(const ForecastRate *rate, double days, double odds)
{
    return forecast_quantile(rate, days, odds);
}

double forecast_lasts(const ForecastRate *rate, double litres, double days)
{
    double shape;
    double scale;
    if (!(days > 0.0) || !(rate->day > 0.0)) {
        return 1.0;
    }
    if (!(litres > 0.0)) {
        return 0.0;
    }
    if (!shape_of(rate, days, &shape, &scale)) {
        return forecast_mean(rate, days) < litres ? 1.0 : 0.0;
    }
    return gamma_p(shape, litres / scale);
}

ForecastTime forecast_time(const ForecastRate *rate, double litres, double odds)
{
    if (!(litres > 0.0)) {
        return (ForecastTime){0.0, false};
    }
    double keep = 1.0 - fmin(positive(odds), 1.0);
    double low = 0.0;
    double high = FORECAST_NEVER_DAYS;
    if (!(rate->day > 0.0) || forecast_lasts(rate, litres, high) > keep) {
        return (ForecastTime){FORECAST_NEVER_DAYS, true};
    }
    /* The odds fall in t: halve the bracket until it is well under a second. */
    while (high - low > 1e-6) {
        double middle = 0.5 * (low + high);
        if (forecast_lasts(rate, litres, middle) > keep) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return (ForecastTime){0.5 * (low + high), false};
}

ForecastBand forecast_band(const ForecastRate *rate, double litres)
{
    return (ForecastBand){
        .early = forecast_time(rate, litres, 0.1),
        .median = forecast_time(rate, litres, 0.5),
        .late = forecast_time(rate, litres, 0.9),
    };
}

double forecast_staged_litres(const ForecastRate *rate, double line, double reserve, double ration)
{
    double stretch = ration > 0.0 && rate->day > 0.0 ? rate->day / ration : 1.0;
    return positive(line) + positive(reserve) * stretch;
}

ForecastBand forecast_staged(const ForecastRate *rate, double line, double reserve, double ration)
{
    return forecast_band(rate, forecast_staged_litres(rate, line, reserve, ration));
}

double forecast_ration(const ForecastRate *rate, double litres, double days, double odds)
{
    if (!(rate->persons > 0.0) || !(days > 0.0)) {
        return INFINITY;
    }
    /* C scales with the rate: what the crew uses at 1 L a day, at those odds, goes into `litres` so
     * often. */
    ForecastRate unit = forecast_rate_at(*rate, 1.0);
    double used = forecast_quantile(&unit, days, odds);
    return positive(litres) / used / rate->persons;
}

ForecastLevel forecast_level(const Use *use, double reckoned, int64_t known, int64_t now,
                             int32_t zone)
{
    Use settled = *use;
    use_settle(&settled, now, zone);
    reckoned = positive(reckoned);
    double people_days = use_person_days(&settled, known, now);
    double days = positive(((double)now - (double)known) / 86400000.0);
    ForecastLevel level = {reckoned, reckoned, reckoned};
    if (!(people_days > 0.0)) {
        return level;
    }
    const UsePace *pace = &settled.unlogged;
    if (!(pace->slow.weight > 0.0)) {
        UseRate all = use_rate(&settled);
        double lost = UNSOUNDED_SHARE * (all.logged + all.prior) * ML * people_days;
        level.low = positive(reckoned - lost);
        return level;
    }
    double people = people_days / days; /* on average */
    ForecastRate unlogged = {.persons = people, .day = pace_mean(pace) * ML * people};
    variance_set(&unlogged, pace_variance(pace), people);
    level.expected = positive(reckoned - forecast_mean(&unlogged, days));
    level.low = positive(reckoned - forecast_quantile(&unlogged, days, 0.9));
    level.high = positive(reckoned - forecast_quantile(&unlogged, days, 0.1));
    /* A very skew use has its mean outside: the expectation stays inside its band. */
    level.low = fmin(level.low, level.expected);
    level.high = fmax(level.high, level.expected);
    return level;
}
