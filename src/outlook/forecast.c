/* forecast.c - see forecast.h. */
#include "outlook/forecast.h"

#include "base/memory.h"
#include "reckon/gamma.h"

#include <math.h>
#include <string.h>

#define ML 0.001 /* litres */
/* Share of the use that may go unlogged where no sounding ever said: common practice, no source. */
#define UNSOUNDED_SHARE 0.1
/* Who says how much a day it is knows it better than a log that has learnt nothing: relative
 * standard deviation, a judgement. */
#define SAID_SPREAD 0.3
/* Odds that nothing was used in a silence up to now of more than a week: so many that the edge of a
 * 10-90 % band is the median of that case (domain 6: the band reaches up to nothing used). A
 * shorter one is how people log who only sound, and bands cover what they say without (the
 * back-test). */
#define UNUSED_ODDS 0.2
/* Odds that a silence which has ended was lived through and nothing logged: a judgement. */
#define MAYBE_ODDS 0.25

static double positive(double x)
{
    return fmax(x, 0.0);
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
    int64_t aboard = use_persons(&settled);
    double people = persons >= 0 ? persons : aboard >= 0 ? (double)aboard : 1.0;
    UseRate known = use_rate_of(&settled, people);
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
    const double sure = SAID_SPREAD * litres;
    rate.doubt = fmin(like.doubt * factor * factor, sure * sure);
    rate.drift = like.drift * factor * factor;
    rate.day = litres;
    rate.person = rate.persons > 0.0 ? litres / rate.persons : litres;
    return rate;
}

/* ---- the days at home ---- */

#define RUN_MAX 16 /* from so many days away on the chance of coming back stays what it is */
#define STAY_DAYS                                                                                  \
    60 /* beyond so many days nobody is counted away: the safe side, and soon done                 \
        */
#define DAYS_MAX (STAY_DAYS + 3)
#define STAY_ROW(days) ((days) * ((days) + 1) / 2) /* where the row of so many days begins */

/* After some days from now: by the number of days at home so far the chance of it, with the last day
 * at home, and with the last 1, 2, .. days away; and that of none at home at all yet. */
typedef struct {
    double first; /* away ever since, who was away to begin with; days at home: 0 */
    double home[DAYS_MAX], away[DAYS_MAX][RUN_MAX];
    double back[RUN_MAX + 1]; /* the chance to come back after so many days away */
    double stay[RUN_MAX + 1]; /* and that not to */
    int days;
} Stay;

static double back_after(const ForecastRate *rate, double days)
{
    return fmin(rate->back / (1.0 + days), 1.0);
}

static void stay_begin(Stay *stay, const ForecastRate *rate)
{
    memset(stay, 0, sizeof *stay);
    stay->first = rate->away > 0.0 ? 1.0 : 0.0;
    stay->home[0] = 1.0 - stay->first;
    for (int r = 0; r <= RUN_MAX; r++) {
        stay->back[r] = back_after(rate, r);
        stay->stay[r] = 1.0 - stay->back[r];
    }
}

/* Gives by the number `n` of days at home so far the chance of it, and that of the next day being at
 * home too; then that day goes by. */
static void stay_day(Stay *stay, const ForecastRate *rate, double *all, double *next)
{
    for (int n = 0; n <= stay->days; n++) {
        double *away = stay->away[n], goes = stay->home[n] * rate->leave;
        double here = stay->home[n] + (n == 0 ? stay->first : 0.0);
        double comes = stay->home[n] * (1.0 - rate->leave);
        int r = 0;
        for (; r < RUN_MAX && r < stay->days - n; r++) {
            const double was = away[r];
            here += was;
            comes += was * stay->back[r + 1];
            away[r] = goes;
            goes = was * stay->stay[r + 1];
        }
        away[r < RUN_MAX ? r : RUN_MAX - 1] += goes;
        all[n] = here;
        next[n] = comes;
    }
    const double back = back_after(rate, rate->away + stay->days);
    next[0] += stay->first * back;
    stay->first *= 1.0 - back;
    stay->days++;
    stay->home[0] = 0.0;
    memcpy(stay->home + 1, next, (size_t)stay->days * sizeof *next);
}

/* ---- the use ---- */

/* Of every whole number of days: the chances of so many at home among them, and those of the next
 * one being at home too; as many more as there are days, row behind row. Asked for some thousand
 * times with the same chances: worked out once, and no further than it is asked for. */
typedef struct {
    double leave, back, away; /* of which it is the table */
    Stay stay;                /* after the last day of the table, and one more */
    int count;                /* of its days; 0: there is no table yet */
    double all[STAY_ROW(STAY_DAYS + 1)], next[STAY_ROW(STAY_DAYS + 1)];
} StayTable;

static bool stay_same(const StayTable *table, const ForecastRate *rate)
{
    return table->count > 0 && !(table->leave < rate->leave) && !(table->leave > rate->leave) &&
           !(table->back < rate->back) && !(table->back > rate->back) &&
           !(table->away < rate->away) && !(table->away > rate->away);
}

static const StayTable *stay_table(const ForecastRate *rate, int days)
{
    static StayTable table;
    if (!stay_same(&table, rate)) {
        stay_begin(&table.stay, rate);
        table.count = 0;
        table.leave = rate->leave;
        table.back = rate->back;
        table.away = rate->away;
    }
    for (; table.count <= days; table.count++)
        stay_day(&table.stay, rate, table.all + STAY_ROW(table.count),
                 table.next + STAY_ROW(table.count));
    return &table;
}

/* Days at home, not all of them whole, and their chances. */
typedef struct {
    int count;
    struct {
        double days, chance;
    } at[4 * DAYS_MAX];
} Homes;

static void homes_add(Homes *homes, double days, double chance)
{
    if (chance > 1e-7) {
        homes->at[homes->count].days = days;
        homes->at[homes->count++].chance = chance;
    }
}

/* Of `days`, with odds `odds`. */
static void homes_walk(Homes *homes, const ForecastRate *rate, double days, double odds)
{
    if (!(rate->leave > 0.0) && !(rate->away > 0.0)) {
        homes_add(homes, days, odds);
        return;
    }
    const double beyond = positive(days - STAY_DAYS);
    days -= beyond;
    const int whole = (int)days;
    const StayTable *table = stay_table(rate, whole);
    const double *all = table->all + STAY_ROW(whole), *nexts = table->next + STAY_ROW(whole);
    const double part = days - whole; /* of a day that has only begun */
    for (int n = 0; n <= whole; n++) {
        const double next = part > 0.0 ? nexts[n] : 0.0;
        homes_add(homes, n + beyond, odds * (all[n] - next));
        homes_add(homes, n + part + beyond, odds * next);
    }
}

/* A silence is charged in full. */
static void homes_charged(Homes *homes, const ForecastRate *rate, double days, double odds)
{
    homes->count = 0;
    homes_walk(homes, rate, rate->silent + positive(days), odds);
}

static void homes_of(Homes *homes, const ForecastRate *rate, double days)
{
    const double unused = rate->silent > USE_IDLE_DAYS ? UNUSED_ODDS : 0.0;
    homes_charged(homes, rate, days, 1.0 - unused);
    if (unused > 0.0)
        homes_walk(homes, rate, positive(days), unused);
}

/* Of so many days at home, and of the past. */
static double home_variance(const ForecastRate *rate, double days)
{
    double beyond = positive(days - USE_WINDOW_DAYS);
    return (rate->noise + rate->doubt * days + rate->drift * beyond + 2.0 * rate->shared) * days +
           rate->past_variance;
}

static double home_mean(const ForecastRate *rate, double days)
{
    return rate->day * days + rate->past;
}

ForecastRate forecast_at_home(ForecastRate rate)
{
    rate.leave = rate.away = rate.silent = 0.0;
    rate.past = rate.past_variance = rate.shared = rate.maybe = rate.unsounded = 0.0;
    return rate;
}

double forecast_mean(const ForecastRate *rate, double days)
{
    Homes homes MEMORY_UNSET;
    homes_charged(&homes, rate, days, 1.0);
    double sum = 0.0;
    for (int i = 0; i < homes.count; i++)
        sum += homes.at[i].chance * home_mean(rate, homes.at[i].days);
    return sum;
}

/* P(the use of so many days at home < litres). */
static double home_lasts(const ForecastRate *rate, double litres, double days)
{
    const double mean = home_mean(rate, days);
    const double variance = home_variance(rate, days);
    if (!(mean > 0.0) || !(litres > 0.0))
        return litres > 0.0 ? 1.0 : 0.0;
    if (!(variance > mean * mean * 1e-12))
        return mean < litres ? 1.0 : 0.0;
    if (litres > mean + 9.0 * sqrt(variance) + 40.0 * variance / mean)
        return 1.0; /* to 1e-15 */
    return gamma_p(mean * mean / variance, litres * mean / variance);
}

/* Litres, and the odds that they last so many whole days at home: asked for again at every time. */
typedef struct {
    const ForecastRate *rate;
    double litres;
    double whole[DAYS_MAX]; /* below 0: not asked for yet */
} Volume;

static Volume volume_of(const ForecastRate *rate, double litres)
{
    Volume volume MEMORY_UNSET;
    volume.rate = rate;
    volume.litres = litres;
    for (int i = 0; i < DAYS_MAX; i++)
        volume.whole[i] = -1.0;
    return volume;
}

static double volume_odds(const Volume *volume, double days)
{
    const ForecastRate *rate = volume->rate;
    const double maybe = rate->maybe > 0.0 ? MAYBE_ODDS : 0.0;
    const double lasts = (1.0 - maybe) * home_lasts(rate, volume->litres, days);
    return maybe > 0.0 ? lasts + maybe * home_lasts(rate, volume->litres - rate->maybe, days)
                       : lasts;
}

static double volume_lasts(Volume *volume, double days)
{
    if (!(days < DAYS_MAX) || days > floor(days))
        return volume_odds(volume, days);
    double *known = &volume->whole[(int)days];
    if (*known < 0.0)
        *known = volume_odds(volume, days);
    return *known;
}

static double homes_last(const Homes *homes, Volume *volume)
{
    double odds = 0.0, gone = INFINITY; /* after so many days nothing is left, nor after more */
    for (int i = 0; i < homes->count; i++) {
        const double days = homes->at[i].days;
        if (days >= gone)
            continue;
        const double lasts = volume_lasts(volume, days);
        odds += homes->at[i].chance * lasts;
        gone = lasts < 1e-12 ? days : gone;
    }
    return odds;
}

static double volume_until(Volume *volume, double days)
{
    const ForecastRate *rate = volume->rate;
    if (!(home_mean(rate, rate->silent + positive(days)) + rate->maybe > 0.0))
        return 1.0;
    if (!(volume->litres > 0.0))
        return 0.0;
    Homes homes MEMORY_UNSET;
    homes_of(&homes, rate, days);
    return homes_last(&homes, volume);
}

double forecast_lasts(const ForecastRate *rate, double litres, double days)
{
    Volume volume = volume_of(rate, litres);
    return volume_until(&volume, days);
}

/* ---- where odds are met ---- */

/* Where something changes its sign: between `at` and `other`; `before` is where one of them was. By
 * Chandrupatla (Advances in Engineering Software 28, 1997): next on the parabola through the three
 * where that can be trusted, else in the middle. */
typedef struct {
    double at, is, other, other_is, before, before_is;
    double part; /* where to look next: of the way from `at` to `other` */
    double near; /* known to so much it is known well enough */
} Root;

static bool root_found(const Root *r)
{
    return !(fabs(r->other - r->at) > r->near);
}

static double root_next(const Root *r)
{
    return r->at + r->part * (r->other - r->at);
}

static double root_part(const Root *r)
{
    const double x = (r->at - r->other) / (r->before - r->other);
    const double y = (r->is - r->other_is) / (r->before_is - r->other_is);
    if (!(y * y < x) || !((1.0 - y) * (1.0 - y) < 1.0 - x))
        return 0.5;
    const double least = fmin(0.5 * r->near / fabs(r->other - r->at), 0.5);
    const double part =
        r->is / (r->other_is - r->is) * r->before_is / (r->other_is - r->before_is) +
        (r->before - r->at) / (r->other - r->at) * r->is / (r->before_is - r->is) * r->other_is /
            (r->before_is - r->other_is);
    return fmin(fmax(part, least), 1.0 - least);
}

/* It `is` so much at root_next. */
static void root_tell(Root *r, double is)
{
    const double at = root_next(r);
    const bool same = (is < 0.0) == (r->is < 0.0);
    r->before = same ? r->at : r->other;
    r->before_is = same ? r->is : r->other_is;
    r->other = same ? r->other : r->at;
    r->other_is = same ? r->other_is : r->is;
    r->at = at;
    r->is = is;
    r->part = root_part(r);
}

/* Between 0 and `high`, where the odds are at least `odds`. */
static double homes_quantile(const Homes *homes, const ForecastRate *rate, double high, double odds)
{
    Volume volume = volume_of(rate, high);
    Root root = {.at = high, .is = homes_last(homes, &volume) - odds, .other_is = -odds};
    if (root.is < 0.0)
        return high;
    root.part = 0.5;
    root.near = 1e-9 * (high + 1.0);
    while (!root_found(&root)) {
        volume = volume_of(rate, root_next(&root));
        root_tell(&root, homes_last(homes, &volume) - odds);
    }
    /* 0: perhaps nobody is there, and nothing is used */
    return fmin(root.at, root.other) > 0.0 ? fmax(root.at, root.other) : 0.0;
}

double forecast_quantile(const ForecastRate *rate, double days, double odds)
{
    Homes homes MEMORY_UNSET;
    homes_of(&homes, rate, days);
    odds = fmin(positive(odds), 1.0);
    double high = 0.0;
    days = rate->silent + positive(days);
    const double mean = home_mean(rate, days), variance = home_variance(rate, days);
    if (mean > 0.0)
        high = variance > mean * mean * 1e-12
                   ? variance / mean * gamma_quantile(mean * mean / variance, odds)
                   : mean;
    high += rate->maybe;
    if ((homes.count == 1 && !(rate->maybe > 0.0)) || !(high > 0.0))
        return high;
    /* Whoever is never away uses most: the quantile lies below theirs. */
    return homes_quantile(&homes, rate, high, odds);
}

double forecast_need(const ForecastRate *rate, double days, double odds)
{
    return forecast_quantile(rate, days, odds);
}

/* The odds fall in t: it is doubled until they are met, unless they are now. Told is the middle of a step of at most a
 * tenth of a second, so that no last digit of the search shows. */
static ForecastTime volume_time(Volume *volume, double odds)
{
    const double keep = 1.0 - fmin(positive(odds), 1.0);
    Root root = {.at = 1.0, .other_is = keep - 1.0, .part = 0.5, .near = 1e-9};
    if (!(volume->litres > 0.0) || volume_until(volume, 0.0) <= keep)
        return (ForecastTime){0.0, false};
    while ((root.is = keep - volume_until(volume, root.at)) < 0.0) {
        if (!(root.at < FORECAST_NEVER_DAYS))
            return (ForecastTime){FORECAST_NEVER_DAYS, true};
        root.other = root.at;
        root.other_is = root.is;
        root.at = fmin(2.0 * root.at, FORECAST_NEVER_DAYS);
    }
    const double from = root.other;
    double step = root.at - from;
    while (step > 1e-6)
        step *= 0.5;
    while (!root_found(&root))
        root_tell(&root, keep - volume_until(volume, root_next(&root)));
    const double days = fmin(root.at, root.other);
    return (ForecastTime){from + (floor((days - from) / step) + 0.5) * step, false};
}

ForecastTime forecast_time(const ForecastRate *rate, double litres, double odds)
{
    Volume volume = volume_of(rate, litres);
    return volume_time(&volume, odds);
}

ForecastBand forecast_band(const ForecastRate *rate, double litres)
{
    Volume volume = volume_of(rate, litres);
    return (ForecastBand){
        .early = volume_time(&volume, 0.1),
        .median = volume_time(&volume, 0.5),
        .late = volume_time(&volume, 0.9),
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
    if (!(rate->persons > 0.0) || !(days > 0.0))
        return INFINITY;
    /* C scales with the rate: what the crew uses at 1 L a day, at those odds, goes into `litres` so
     * often. */
    ForecastRate unit = forecast_at_home(forecast_rate_at(*rate, 1.0));
    double used = forecast_quantile(&unit, days, odds);
    return positive(litres - forecast_quantile(rate, 0.0, odds)) / used / rate->persons;
}

ForecastRate forecast_since(ForecastRate rate, const Use *use, int64_t known, int64_t now,
                            int32_t zone)
{
    Use settled = *use;
    use_settle(&settled, now, zone);
    const UsePace *pace = &settled.unlogged;
    const UseRate all = use_rate(&settled);
    const double person = (all.logged + all.unlogged + all.prior) * ML;
    const UseSilence silence = use_silence(&settled, known, now, zone);
    const double rest =
        positive(use_person_days(&settled, known, now, zone) - silence.open - silence.closed);
    rate.maybe = silence.closed * person;
    const UseVariance doubt = pace_variance(pace);
    rate.past = pace_mean(pace) * ML * rest;
    rate.unsounded =
        pace->slow.weight > 0.0 ? 0.0 : UNSOUNDED_SHARE * (all.logged + all.prior) * ML * rest;
    if (rate.day > 0.0)
        rate.silent = silence.open * person / rate.day;
    else
        rate.past += silence.open * person;
    /* The crew varies as one, whatever its number was: as the present one. */
    const double people = rate.persons > 0.0 ? rate.persons : 1.0, days = rest / people;
    ForecastRate unlogged = {.day = 1.0};
    variance_set(&unlogged, doubt, people);
    rate.past_variance = home_variance(&unlogged, days);
    rate.shared = unlogged.doubt * days;
    const double spread = rate.unsounded / normal_quantile(0.9);
    rate.past_variance += spread * spread;
    return rate;
}

ForecastRate forecast_found(ForecastRate since, double litres)
{
    const double past = fmin(positive(litres), since.past);
    since.past -= past;
    if (since.day > 0.0)
        since.silent = positive(since.silent - (litres - past) / since.day);
    return since;
}

/* What is left of so many litres with odds of 0.9. Whether any is, is asked first: one look, where
 * the quantile takes ten. */
static double level_low(const ForecastRate *rate, double litres)
{
    if (forecast_lasts(rate, litres, 0.0) < 0.9)
        return 0.0;
    return positive(litres - forecast_quantile(rate, 0.0, 0.9) - rate->unsounded);
}

ForecastLevel forecast_level(const ForecastRate *rate, double reckoned)
{
    reckoned = positive(reckoned);
    const double high =
        rate->silent > 0.0 || rate->maybe > 0.0 ? 0.0 : forecast_quantile(rate, 0.0, 0.1);
    ForecastLevel level = {
        .expected = positive(reckoned - forecast_mean(rate, 0.0)),
        .low = level_low(rate, reckoned),
        .high = positive(reckoned - high),
    };
    /* A very skew use has its mean outside: the expectation stays inside its band. */
    level.low = fmin(level.low, level.expected);
    level.high = fmax(level.high, level.expected);
    return level;
}
