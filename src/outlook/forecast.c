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
        .leave = known.leave,
        .back = known.back,
        .away = (double)known.away,
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

/* ---- the days at home ---- */

#define RUN_MAX 16 /* from so many days away on the chance of coming back stays what it is */
#define DAYS_MAX 1098

/* After some days from now: the chance of each number of days at home so far, with the last day at
 * home, with the last 1, 2, .. days away, and with none at home at all yet. */
typedef struct {
    double first; /* away ever since, who was away to begin with; days at home: 0 */
    double home[DAYS_MAX], away[RUN_MAX][DAYS_MAX];
    int days;
} Stay;

static void stay_begin(Stay *stay, const ForecastRate *rate)
{
    stay->days = 0;
    stay->first = rate->away > 0.0 ? 1.0 : 0.0;
    stay->home[0] = 1.0 - stay->first;
    for (int r = 0; r < RUN_MAX; r++)
        stay->away[r][0] = 0.0;
}

static double back_after(const ForecastRate *rate, double days)
{
    return fmin(rate->back / (1.0 + days), 1.0);
}

/* The chance that, after `n` days at home up to now, the next day is at home too. */
static double stay_home_next(const Stay *stay, const ForecastRate *rate, int n)
{
    double chance = stay->home[n] * (1.0 - rate->leave);
    for (int r = 0; r < RUN_MAX; r++)
        chance += stay->away[r][n] * back_after(rate, r + 1);
    return n > 0 ? chance : chance + stay->first * back_after(rate, rate->away + stay->days);
}

static double stay_all(const Stay *stay, int n)
{
    double chance = stay->home[n] + (n == 0 ? stay->first : 0.0);
    for (int r = 0; r < RUN_MAX; r++)
        chance += stay->away[r][n];
    return chance;
}

static void stay_step(Stay *stay, const ForecastRate *rate)
{
    double before = 0.0; /* to be at home next, with one day fewer so far */
    for (int n = 0; n <= stay->days + 1; n++) {
        if (n > stay->days) {
            for (int r = 0; r < RUN_MAX; r++)
                stay->away[r][n] = 0.0;
            stay->home[n] = before;
            break;
        }
        const double next = stay_home_next(stay, rate, n);
        const int last = RUN_MAX - 1;
        stay->away[last][n] *= 1.0 - back_after(rate, RUN_MAX);
        stay->away[last][n] += stay->away[last - 1][n] * (1.0 - back_after(rate, last));
        for (int r = last - 1; r > 0; r--)
            stay->away[r][n] = stay->away[r - 1][n] * (1.0 - back_after(rate, r));
        stay->away[0][n] = stay->home[n] * rate->leave;
        stay->home[n] = before;
        before = next;
    }
    stay->first *= 1.0 - back_after(rate, rate->away + stay->days);
    stay->days++;
}

/* ---- the use ---- */

/* Days at home, not all of them whole, and their chances. */
typedef struct {
    int count;
    struct {
        double days, chance;
    } at[2 * DAYS_MAX];
} Homes;

static void homes_add(Homes *homes, double days, double chance)
{
    if (chance > 1e-7) {
        homes->at[homes->count].days = days;
        homes->at[homes->count++].chance = chance;
    }
}

static void homes_of(Homes *homes, const ForecastRate *rate, double days)
{
    static Stay stay; /* large; written before it is read */
    homes->count = 0;
    days = fmin(positive(days), DAYS_MAX - 2);
    if (!(rate->leave > 0.0) && !(rate->away > 0.0)) {
        homes_add(homes, days, 1.0);
        return;
    }
    stay_begin(&stay, rate);
    while (stay.days + 1 <= days)
        stay_step(&stay, rate);
    const double part = days - stay.days; /* of a day that has only begun */
    for (int n = 0; n <= stay.days; n++) {
        const double next = part > 0.0 ? stay_home_next(&stay, rate, n) : 0.0;
        homes_add(homes, n, stay_all(&stay, n) - next);
        homes_add(homes, n + part, next);
    }
}

/* Of so many days at home. */
static double home_variance(const ForecastRate *rate, double days)
{
    double beyond = positive(days - USE_WINDOW_DAYS);
    return (rate->noise + rate->doubt * days + rate->drift * beyond) * days;
}

ForecastRate forecast_at_home(ForecastRate rate)
{
    rate.leave = rate.away = 0.0;
    return rate;
}

double forecast_mean(const ForecastRate *rate, double days)
{
    Homes homes;
    homes_of(&homes, rate, days);
    double sum = 0.0;
    for (int i = 0; i < homes.count; i++)
        sum += homes.at[i].chance * homes.at[i].days;
    return rate->day * sum;
}

double forecast_variance(const ForecastRate *rate, double days)
{
    const double mean = forecast_mean(rate, days);
    Homes homes;
    homes_of(&homes, rate, days);
    double sum = 0.0;
    for (int i = 0; i < homes.count; i++) {
        const double off = rate->day * homes.at[i].days - mean;
        sum += homes.at[i].chance * (home_variance(rate, homes.at[i].days) + off * off);
    }
    return sum;
}

/* P(the use of so many days at home < litres), litres > 0. */
static double home_lasts(const ForecastRate *rate, double litres, double days)
{
    const double mean = rate->day * days;
    const double variance = home_variance(rate, days);
    if (!(mean > 0.0))
        return 1.0;
    if (!(variance > mean * mean * 1e-12))
        return mean < litres ? 1.0 : 0.0;
    return gamma_p(mean * mean / variance, litres * mean / variance);
}

static double homes_last(const Homes *homes, const ForecastRate *rate, double litres)
{
    double odds = 0.0;
    for (int i = 0; i < homes->count; i++)
        odds += homes->at[i].chance * home_lasts(rate, litres, homes->at[i].days);
    return odds;
}

double forecast_lasts(const ForecastRate *rate, double litres, double days)
{
    if (!(days > 0.0) || !(rate->day > 0.0))
        return 1.0;
    if (!(litres > 0.0))
        return 0.0;
    Homes homes;
    homes_of(&homes, rate, days);
    return homes_last(&homes, rate, litres);
}

double forecast_quantile(const ForecastRate *rate, double days, double odds)
{
    Homes homes;
    homes_of(&homes, rate, days);
    odds = fmin(positive(odds), 1.0);
    double low = 0.0, high = 0.0;
    const double mean = rate->day * days, variance = home_variance(rate, days);
    if (mean > 0.0)
        high = variance > mean * mean * 1e-12
                   ? variance / mean * gamma_quantile(mean * mean / variance, odds)
                   : mean;
    if (homes.count == 1 || !(high > 0.0))
        return high;
    /* Whoever is never away uses most: the quantile lies below theirs. */
    while (high - low > 1e-6 * high) {
        const double middle = 0.5 * (low + high);
        if (homes_last(&homes, rate, middle) < odds)
            low = middle;
        else
            high = middle;
    }
    return high;
}

double forecast_need(const ForecastRate *rate, double days, double odds)
{
    return forecast_quantile(rate, days, odds);
}

ForecastTime forecast_time(const ForecastRate *rate, double litres, double odds)
{
    if (!(litres > 0.0)) {
        return (ForecastTime){0.0, false};
    }
    double keep = 1.0 - fmin(positive(odds), 1.0);
    double low = 0.0;
    double high = 1.0;
    while (high < FORECAST_NEVER_DAYS && forecast_lasts(rate, litres, high) > keep) {
        low = high;
        high = fmin(2.0 * high, FORECAST_NEVER_DAYS);
    }
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
    ForecastRate unit = forecast_at_home(forecast_rate_at(*rate, 1.0));
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
