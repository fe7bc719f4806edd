/* use.c - see use.h. */
#include "model/use.h"

#include "base/whole.h"

#include <stdbool.h>
#include <string.h>

/* What is known of a day. */
typedef enum {
    WITNESS_NONE,
    WITNESS_LOGGED, /* somebody was there and logged */
    WITNESS_LIVED,  /* a sounding found use that nobody logged: at home, whatever was logged */
    WITNESS_IDLE    /* a sounding found that next to nothing was used */
} Witness;

#define DAY_MS INT64_C(86400000)
#define NEVER INT64_MIN

/* 0.5^(1 / 90): see pace.h. */
#define KEEP_90_DAYS 0.99232794626294350

/* A day of less than this share of a home day is one away (domain: two states). */
#define AWAY_SHARE 0.2
#define SILENT_SHOWN 64 /* days, bits of Use.silent */
/* Missing of what was to be expected, it shows that they were there whatever they logged. */
#define PRESENT_SHARE 0.25
/* Leavings and days at home, comings home and the chances of them, before any was seen: the first
 * from the domain, the second a judgement; the back-test watches them. */
#define PRIOR_LEAVE ((UseMean){0.5, 40.0})
#define PRIOR_BACK ((UseMean){3.0, 2.0})
/* Days in a row of little use after which it is a habit and no absence. */
#define HABIT_DAYS 28
/* A day is lived from 07 to 23 local time (domain), and counts by those hours. */
#define WAKE_MS (DAY_MS / 24 * 7)
#define AWAKE_MS (DAY_MS / 24 * 16)
/* Under this, an open unlogged span is too short to be a rate of its own. */
#define GAP_MIN_MS (AWAKE_MS / 2)
/* How far a crew's use per head may be from following the heads, relative to their relative change:
 * a judgement, as sure as one unit of squared changes. */
#define PRIOR_FOLLOW 0.5
#define PRIOR_FOLLOW_WEIGHT 1.0
/* Of all use, what goes unlogged where soundings have said little yet (common practice, no source);
 * it weighs as so many days. */
#define UNSOUNDED_SHARE 0.1
#define UNSOUNDED_DAYS 14.0
/* 199 of 200 (domain: leaks) of a normal quantity (NIST/SEMATECH e-Handbook, 1.3.6.7.1), and of one
 * whose spread is itself an estimate: Student's t with 12 degrees of freedom (1.3.6.7.2), of which
 * the variances have 1.05 already (pace.c). */
#define LEAK_NORMAL 2.5758
#define LEAK_DEVIATIONS (3.0545 / 1.05)
/* So many losses in a row are no longer an accident: what lasts is learnt, whatever it is. */
#define LEAKS_LEARNT 3

static int64_t day_of(int64_t at, int32_t zone)
{
    int64_t local = at + (int64_t)zone * 60000;
    int64_t day = local / DAY_MS;
    return local % DAY_MS < 0 ? day - 1 : day;
}

static int64_t day_start(int64_t day, int32_t zone)
{
    return day * DAY_MS - (int64_t)zone * 60000;
}

/* Waking time up to `at`, ms. */
static int64_t awake_until(int64_t at, int32_t zone)
{
    const int64_t day = day_of(at, zone), since = at - day_start(day, zone) - WAKE_MS;
    return day * AWAKE_MS + int64_smaller(int64_larger(since, 0), AWAKE_MS);
}

/* ---- home and away ---- */

/* Did the crew stay away over a span that used so much a day? */
static bool is_away(const UsePace *pace, double rate, int64_t away)
{
    return pace->slow.weight >= PACE_EXPECT_AFTER_DAYS && rate < AWAY_SHARE * pace_level(pace) &&
           (rate <= 0.0 || away < HABIT_DAYS);
}

static void stay_teach(UseStay *stay, bool away)
{
    UseMean *risk = stay->away > 0 ? &stay->back : &stay->leave;
    const double chance = stay->away > 0 ? 1.0 / (1.0 + (double)stay->away) : 1.0;
    const bool changes = away != (stay->away > 0);
    stay->back = (UseMean){stay->back.sum * KEEP_90_DAYS, stay->back.weight * KEEP_90_DAYS};
    stay->leave = (UseMean){stay->leave.sum * KEEP_90_DAYS, stay->leave.weight * KEEP_90_DAYS};
    risk->sum += changes ? 1.0 : 0.0;
    risk->weight += chance;
    stay->away = away ? stay->away + 1 : 0;
}

static double stay_chance(UseMean seen, UseMean prior)
{
    return (seen.sum + prior.sum) / (seen.weight + prior.weight);
}

/* ---- both ---- */

/* What the prior still weighs beside evidence of `weight`: its days are forgotten like days, and
 * keep^n = 1 - weight (1 - keep) after n of them. */
static double prior_share(double weight, double keep)
{
    double prior = USE_PRIOR_DAYS * pace_larger(0.0, 1.0 - weight * (1.0 - keep));
    double all = prior + weight;
    return all > 0.0 ? prior / all : 0.0;
}

/* How many more heads than those that the rate was learnt with, relative to both: -2..2. */
static double heads_more(const Use *use, double persons)
{
    const double heads = mean_value(&use->heads);
    return heads > 0.0 && persons > 0.0 ? 2.0 * (persons - heads) / (persons + heads) : 0.0;
}

/* How far use per head may be from staying what it was, per unit of heads_more: the prior, as far
 * as changes have not been seen yet, and what they showed. */
static double follow_doubt(const Use *use)
{
    const double seen = use->follow.weight, all = seen + PRIOR_FOLLOW_WEIGHT;
    const double slope = use->follow.sum / all;
    return pace_root(PRIOR_FOLLOW * PRIOR_FOLLOW * PRIOR_FOLLOW_WEIGHT / all + slope * slope);
}

/* Of both streams and the prior. */
static double rate_whole(const UseRate *rate)
{
    return rate->logged + rate->unlogged + rate->prior;
}

/* The doubt of a rate of which it is not known how far it follows the heads: `off` more, but no crew
 * is less known than one of which nothing is. */
static double doubt_of_heads(const UseRate *rate, double off)
{
    const double strange = PACE_CREW_SPREAD * rate_whole(rate);
    const double known = rate->variance.doubt;
    return pace_smaller(known + off * off, pace_larger(known, strange * strange));
}

UseRate use_rate_of(const Use *use, double persons_then)
{
    const UsePace *logged = &use->logged;
    const UsePace *unlogged = &use->unlogged;
    double fast =
        prior_share(pace_larger(logged->taught_fast, unlogged->taught_fast), PACE_KEEP_FAST);
    double slow =
        prior_share(pace_larger(logged->taught_slow, unlogged->taught_slow), PACE_KEEP_SLOW);
    double share = USE_FAST_SHARE * fast + (1.0 - USE_FAST_SHARE) * slow;
    UseRate rate = {0};
    rate.share = share;
    rate.logged = (1.0 - share) * pace_mean(logged);
    rate.unlogged = (1.0 - share) * pace_mean(unlogged);
    rate.prior = share * USE_PRIOR_ML;
    UseVariance a = pace_variance(logged);
    UseVariance b = pace_variance(unlogged);
    double keep = (1.0 - share) * (1.0 - share);
    double prior = share * USE_PRIOR_ML;
    rate.variance.noise =
        keep * (a.noise + b.noise) + prior * prior * PACE_DAY_ERROR * PACE_DAY_ERROR;
    rate.variance.doubt =
        keep * (a.doubt + b.doubt) + prior * prior * PACE_CREW_SPREAD * PACE_CREW_SPREAD;
    const double off = follow_doubt(use) * heads_more(use, persons_then);
    rate.variance.doubt = doubt_of_heads(&rate, off * (rate.logged + rate.unlogged));
    rate.variance.drift = keep * (a.drift + b.drift);
    rate.leave = stay_chance(use->stay.leave, PRIOR_LEAVE);
    rate.back = stay_chance(use->stay.back, PRIOR_BACK);
    const double persons = pace_larger(1.0, (double)use_persons(use));
    const bool home = (double)use->day_ml > AWAY_SHARE * pace_level(logged) * persons;
    rate.away = home ? 0 : use->stay.away;
    return rate;
}

UseRate use_rate(const Use *use)
{
    return use_rate_of(use, (double)use_persons(use));
}

void use_init(Use *use)
{
    memset(use, 0, sizeof *use);
    pace_init(&use->logged);
    pace_init(&use->unlogged);
    use->last_at = NEVER;
    use->known_to = NEVER;
    use->idle = USE_IDLE_DAYS; /* nobody has logged a draw yet */
}

int64_t use_persons(const Use *use)
{
    return use->crews > 0 ? use->crew[(use->crews - 1) % USE_CREW_CHANGES].persons : -1;
}

/* Adds the waking time with somebody aboard and that of all persons over from..to, by the crew
 * changes that are still kept; before the oldest of them its own number counts. Nobody ever set:
 * one "person". Returns whether anybody was aboard at any hour. */
static bool aboard_over(const Use *use, int64_t from, int64_t to, int32_t zone, int64_t *aboard,
                        int64_t *person)
{
    const UseCrewChange whole = {from, 1};
    const int64_t changes = int64_smaller(use->crews, USE_CREW_CHANGES);
    int64_t end = to;
    bool any = false;
    for (int64_t i = 1; (i <= changes || i == 1) && end > from; i++) {
        const UseCrewChange *change =
            changes > 0 ? &use->crew[(use->crews - i) % USE_CREW_CHANGES] : &whole;
        const int64_t begin = i >= changes ? from : int64_larger(change->at, from);
        if (begin >= end)
            continue;
        const int64_t awake = awake_until(end, zone) - awake_until(begin, zone);
        any = any || change->persons > 0;
        *aboard += change->persons > 0 ? awake : 0;
        *person += change->persons * awake;
        end = begin;
    }
    return any;
}

double use_person_days(const Use *use, int64_t from, int64_t to, int32_t zone)
{
    int64_t aboard = 0;
    int64_t person = 0;
    if (from < to)
        (void)aboard_over(use, from, to, zone, &aboard, &person);
    return (double)person / (double)AWAKE_MS;
}

bool use_aboard(const Use *use, int64_t from, int64_t to)
{
    int64_t aboard = 0;
    int64_t person = 0;
    return from < to && aboard_over(use, from, to, 0, &aboard, &person);
}

UseSilence use_silence(const Use *use, int64_t from, int64_t now, int32_t zone)
{
    UseSilence silence = {0.0, 0.0};
    bool open = true; /* a draw of today tells that somebody is there, not what was before */
    for (int64_t day = day_of(now, zone) - 1; day > day_of(from, zone); day--) {
        const int64_t ago = use->day - day - 1;
        if (ago >= SILENT_SHOWN)
            break;
        if (ago >= 0 && ((use->silent >> ago) & 1) == 0)
            open = false;
        else
            *(open ? &silence.open : &silence.closed) +=
                use_person_days(use, day_start(day, zone), day_start(day + 1, zone), zone);
    }
    return silence;
}

/* The day that is open is over, and is silent or not. */
static void day_pass(Use *use, bool silent)
{
    use->silent = (use->silent << 1) | (silent ? 1 : 0);
    use->day++;
}

/* With how many heads it was learnt; and what became of the use per head when they changed. */
static void heads_teach(Use *use, const UsePace *pace, double heads, double days, double rate)
{
    const double more = heads_more(use, heads), mean = pace_mean(pace);
    if (pace->taught_slow >= PACE_EXPECT_AFTER_DAYS && rate + mean > 0.0) {
        use->follow.sum += days * more * 2.0 * (rate - mean) / (rate + mean);
        use->follow.weight += days * more * more;
    }
    mean_add(&use->heads, PACE_KEEP_FAST, heads, days);
}

/* Days with somebody aboard and millilitres per person, from sums. The stream that more is used by
 * tells home from away; a span away teaches no rate. */
static void teach_sums(Use *use, UsePace *pace, int64_t aboard, int64_t person, int64_t ml)
{
    const bool lived = pace == &use->logged &&
                       (use->witness == WITNESS_LIVED || (ml <= 0 && use->witness != WITNESS_IDLE));
    const double days = (double)aboard / (double)AWAKE_MS;
    const double each = (double)ml * (double)aboard / (double)person;
    const UsePace *main =
        pace_mean(&use->logged) < pace_mean(&use->unlogged) ? &use->unlogged : &use->logged;
    const bool away = pace == main && !lived && is_away(pace, each / days, use->stay.away);
    for (int d = 0; pace == main && d + 0.5 < days && d < USE_SPAN_DAYS_MAX; d++)
        stay_teach(&use->stay, away);
    if (!away && pace == main && days > 0.0)
        heads_teach(use, pace, (double)person / (double)aboard, days, each / days);
    if (!away)
        pace_teach(pace, days, each);
}

/* The days of a new crew count for more than those of the one before, and what is much is not known
 * of it yet. */
static void crew_fade(Use *use)
{
    double more = heads_more(use, (double)use_persons(use));
    more = pace_larger(more, -more);
    const double left = pace_larger(1.0 - more, 0.1), share = left * left;
    UsePace *paces[] = {&use->logged, &use->unlogged};
    for (int i = 0; i < 2; i++) {
        mean_fade(&paces[i]->fast, share);
        mean_fade(&paces[i]->slow, share);
        mean_fade(&paces[i]->centre, share);
        mean_fade(&paces[i]->spread, share);
        for (int j = 0; more > 0.0 && j < USE_SPANS; j++)
            paces[i]->span[j].base = -1.0; /* expected of another crew */
    }
    mean_fade(&use->heads, share);
}

static void day_close(Use *use)
{
    if (use->day_person == 0 && use->day_ml > 0 && use_persons(use) == 0) { /* somebody drew it */
        use->day_aboard = AWAKE_MS;
        use->day_person = AWAKE_MS;
    }
    /* No draw for long, or never yet, and nothing missing either: nobody logs, which is no thrift.
     */
    const bool logs = use->day_ml > 0 || use->witness > WITNESS_LOGGED || use->idle < USE_IDLE_DAYS;
    if (use->witness)
        use->idle = use->day_ml > 0 ? 0 : use->idle + (use->idle < USE_IDLE_DAYS);
    if (use->day_person > 0 && use->witness && logs)
        teach_sums(use, &use->logged, use->day_aboard, use->day_person, use->day_ml);
    if (use->changed) /* the day of the change was both crews' */
        crew_fade(use);
    use->changed = 0;
    day_pass(use, use->witness == WITNESS_NONE);
    use->day_ml = 0;
    use->day_aboard = 0;
    use->day_person = 0;
    use->witness = WITNESS_NONE;
}

/* mL unlogged for each that was logged. */
static double forgotten_share(const UseForgotten *forgotten)
{
    return pace_larger(0.0, forgotten->missing.sum / forgotten->drawn.sum);
}

/* A span of so many days, per person. */
static void forgotten_teach(UseForgotten *forgotten, double days, double ml, double drawn)
{
    if (forgotten->drawn.sum > 0.0 && forgotten->drawn.weight >= PACE_EXPECT_AFTER_DAYS) {
        const double off = ml - forgotten_share(forgotten) * drawn;
        mean_add(&forgotten->error, KEEP_90_DAYS, off * off / days, days);
        mean_add(&forgotten->spans, KEEP_90_DAYS, 1.0 / days, days);
    }
    mean_add(&forgotten->missing, KEEP_90_DAYS, ml / days, days);
    mean_add(&forgotten->drawn, KEEP_90_DAYS, drawn / days, days);
}

static void gap_close(Use *use)
{
    if (use->gap_person > 0) {
        const double persons = (double)use->gap_person / (double)use->gap_aboard;
        forgotten_teach(&use->forgotten, (double)use->gap_aboard / (double)AWAKE_MS,
                        (double)use->gap_ml / persons, (double)use->gap_drawn / persons);
        teach_sums(use, &use->unlogged, use->gap_aboard, use->gap_person, use->gap_ml);
    }
    use->gap_drawn = 0;
    use->gap_ml = 0;
    use->gap_aboard = 0;
    use->gap_person = 0;
}

/* Moves on to `at`; `silence` is what is known of the silent days before it. */
static void move_on(Use *use, int64_t at, int32_t zone, Witness silence)
{
    int64_t day = day_of(at, zone);
    if (use->last_at == NEVER) {
        use->last_at = at;
        use->day = day;
        return;
    }
    if (at <= use->last_at)
        return;
    if (day <= use->day) { /* the same day, or a zone further west: the day goes on */
        (void)aboard_over(use, use->last_at, at, zone, &use->day_aboard, &use->day_person);
        use->last_at = at;
        return;
    }
    int64_t midnight = day_start(use->day + 1, zone);
    if (midnight > use->last_at)
        (void)aboard_over(use, use->last_at, midnight, zone, &use->day_aboard, &use->day_person);
    day_close(use);
    const int64_t shown = day - SILENT_SHOWN;
    use->day = int64_larger(use->day, shown);
    while (use->day < day) {
        if (silence == WITNESS_NONE || day - use->day > USE_SPAN_DAYS_MAX) {
            day_pass(use, true);
            continue;
        }
        use->witness = silence;
        (void)aboard_over(use, day_start(use->day, zone), day_start(use->day + 1, zone), zone,
                          &use->day_aboard, &use->day_person);
        day_close(use);
    }
    int64_t start = day_start(day, zone);
    start = int64_larger(start, use->last_at);
    (void)aboard_over(use, start, at, zone, &use->day_aboard, &use->day_person);
    use->last_at = at;
}

static void witness(Use *use)
{
    if (use->witness == WITNESS_NONE)
        use->witness = WITNESS_LOGGED;
}

void use_seen(Use *use, int64_t at, int32_t zone)
{
    move_on(use, at, zone, WITNESS_NONE);
}

void use_witness(Use *use, int64_t at, int32_t zone)
{
    move_on(use, at, zone, WITNESS_NONE);
    witness(use);
}

void use_crew(Use *use, int64_t at, int32_t zone, int32_t persons)
{
    move_on(use, at, zone, WITNESS_NONE);
    UseCrewChange change = {use->last_at, persons < 0              ? 0
                                          : persons > USE_CREW_MAX ? USE_CREW_MAX
                                                                   : persons};
    use->crew[use->crews % USE_CREW_CHANGES] = change;
    use->crews++;
    use->changed = 1;
}

void use_draw(Use *use, int64_t at, int32_t zone, int64_t ml)
{
    use_witness(use, at, zone);
    use->day_ml += int64_larger(ml, 0);
    use->drawn += int64_larger(ml, 0);
}

/* The unlogged span that ends now: where it starts, and what of it is new. */
static int64_t gap_start(const Use *use, int64_t from, int64_t to)
{
    return int64_smaller(int64_larger(use->known_to, from), to);
}

static void gap_begin(Use *use, int64_t day, int64_t start)
{
    if (day > use->gap_day && use->gap_aboard >= GAP_MIN_MS)
        gap_close(use);
    if (use->gap_ml == 0 && use->gap_aboard == 0)
        use->gap_from = start;
}

/* An absence is no time in which anything could go unlogged: takes the silent days off. */
static void gap_absence(const Use *use, int64_t start, int64_t day, int32_t zone, int64_t *aboard,
                        int64_t *person)
{
    int64_t begin = day_start(use->day + 1, zone);
    int64_t end = day_start(day, zone);
    begin = int64_larger(begin, start);
    int64_t away = 0;
    int64_t away_person = 0;
    if (begin < end)
        (void)aboard_over(use, begin, end, zone, &away, &away_person);
    *aboard -= away;
    *person -= away_person;
}

/* Absences that draws had ended already: next to nothing is missing over them, and now that is
 * known. They teach leaving and coming back, and are no silence any more. */
static void silence_told(Use *use, int64_t start, int32_t zone, int64_t ml)
{
    const UseSilence silence = use_silence(use, start, day_start(use->day, zone), zone);
    const double days = silence.open + silence.closed;
    if (ml < 0 || !(days > 0.0)) /* mostly: a meter is read every minute */
        return;
    const UseRate rate = use_rate(use);
    const double expected = rate_whole(&rate) * days;
    if ((double)ml >= PRESENT_SHARE * expected || rate.share > 0.5)
        return;
    const int64_t away = use->stay.away, first = day_of(start, zone) + 1;
    use->stay.away = 0;
    for (int64_t ago = SILENT_SHOWN; ago > 0; ago--) {
        const int64_t day = use->day - ago;
        const uint64_t bit = UINT64_C(1) << (ago - 1);
        if (day < first || !use_aboard(use, day_start(day, zone), day_start(day + 1, zone)))
            continue;
        if ((use->silent & bit) != 0)
            stay_teach(&use->stay, true);
        else if (use->stay.away > 0)
            stay_teach(&use->stay, false);
        use->silent &= ~bit;
    }
    if (use->stay.away > 0) /* they are back today */
        stay_teach(&use->stay, false);
    use->stay.away = away;
}

void use_unlogged(Use *use, int64_t from, int64_t to, int32_t zone, int64_t ml)
{
    from = from < 0 ? to : int64_smaller(from, to);
    if (use->last_at == NEVER) {
        use->last_at = from;
        use->day = day_of(use->last_at, zone);
    }
    to = int64_larger(to, use->last_at);
    const int64_t start = gap_start(use, from, to);
    int64_t aboard = 0;
    int64_t person = 0;
    const bool any = aboard_over(use, start, to, zone, &aboard, &person);

    int64_t day = day_of(to, zone);
    const UseRate rate = use_rate(use);
    const double expected = rate_whole(&rate) * ((double)person / (double)AWAKE_MS);
    const bool present = ml > 0 && (double)ml >= PRESENT_SHARE * expected;
    if (!present && day - use->day - 1 > USE_IDLE_DAYS)
        gap_absence(use, start, day, zone, &aboard, &person);
    gap_begin(use, day, start);
    const Witness found = present ? WITNESS_LIVED : ml >= 0 ? WITNESS_IDLE : WITNESS_NONE;
    move_on(use, to, zone, found);
    if (use->witness != WITNESS_LIVED)
        use->witness = found;
    witness(use);
    silence_told(use, start, zone, ml);
    use->idle = 0; /* what is missing, or that nothing is, says what the silence was */
    use->gap_ml += ml;
    use->gap_drawn += use->drawn;
    use->drawn = 0;
    use->gap_aboard += aboard;
    use->gap_person += person;
    if (use->gap_person == 0 && start < to && !any) /* lost with nobody aboard: no use */
        use->gap_ml = 0;
    use->known_to = int64_larger(use->known_to, to);
    use->gap_day = day;
}

/* ---- what ordinary use explains ---- */

/* Over so many days of a crew, mL^2: as pace_variance says. */
static double variance_over(UseVariance v, double persons, double days)
{
    const double beyond = pace_larger(0.0, days - USE_WINDOW_DAYS);
    return (v.noise + v.doubt * days + v.drift * beyond) * days * persons * persons;
}

/* What is expected, and how far beyond it ordinary use reaches, mL. */
typedef struct {
    double mean, beyond;
} Most;

/* Of a gamma quantity: the quantile that is exceeded once in 200 times (Wilson and Hilferty 1931,
 * Proc. Natl. Acad. Sci. 17, 684). */
static Most most_gamma(double mean, double variance)
{
    if (!(mean > 0.0))
        return (Most){0.0, 0.0};
    const double ninth = variance / (9.0 * mean * mean);
    const double cube = 1.0 - ninth + LEAK_DEVIATIONS * pace_root(ninth);
    return (Most){mean, mean * (cube * cube * cube - 1.0)};
}

/* Days of all use. */
static Most most_whole(const Use *use, double persons, double days)
{
    const UseRate rate = use_rate(use);
    return most_gamma(rate_whole(&rate) * days * persons,
                      variance_over(rate.variance, persons, days));
}

/* Days of what goes unlogged where no draws tell: what soundings taught, and as long as they are
 * few a tenth of all use. */
static Most most_by_days(const Use *use, double persons, double days)
{
    const UsePace *pace = &use->unlogged;
    const double seen = pace->taught_slow, all = seen + UNSOUNDED_DAYS, part = seen / all;
    if (seen < PACE_EXPECT_AFTER_DAYS) /* nobody knows yet whether they log */
        return most_whole(use, persons, days);
    const UseRate rate = use_rate(use);
    const double usual = UNSOUNDED_SHARE * rate_whole(&rate) * UNSOUNDED_DAYS / all;
    UseVariance v = pace_variance(pace);
    v.noise += usual * usual * PACE_DAY_ERROR * PACE_DAY_ERROR;
    v.doubt += usual * usual * PACE_WEEK_ERROR * PACE_WEEK_ERROR;
    return most_gamma((part * pace_mean(pace) + usual) * days * persons,
                      variance_over(v, persons, days));
}

/* 199 of 200 of Student's t (Abramowitz and Stegun 26.7.5, three terms). */
static double student(double freedom)
{
    const double z = LEAK_NORMAL, z2 = z * z, f = 1.0 / freedom;
    const double first = (z2 + 1.0) / 4.0, second = ((5.0 * z2 + 16.0) * z2 + 3.0) / 96.0,
                 third = (((3.0 * z2 + 19.0) * z2 + 17.0) * z2 - 15.0) / 384.0;
    return z * (1.0 + f * (first + f * (second + f * third)));
}

/* Of `drawn` mL of draws (a day's at least) in so many days, each per person: the share, and the
 * errors of past spans, half of them by the days and half by the draws, which count as a sum of
 * independent ones up to the usual span and as one beyond. The prior weighs as two weeks do, of a
 * tenth at least; so many discounted spans tell as much as 2 / (1 + keep^n) times as many that are
 * all alike. */
static Most most_by_draws(const UseForgotten *forgotten, double drawn, double days)
{
    const double share = forgotten_share(forgotten), usual = mean_value(&forgotten->drawn);
    drawn = pace_larger(drawn, usual);
    const double weeks = UNSOUNDED_DAYS / USE_WINDOW_DAYS;
    const double week =
        PACE_WEEK_ERROR * pace_larger(share, UNSOUNDED_SHARE) * usual * USE_WINDOW_DAYS;
    const UseMean *error = &forgotten->error;
    const double kept = 1.0 - error->weight * (1.0 - KEEP_90_DAYS);
    const double freedom = weeks + forgotten->spans.sum * 2.0 / (1.0 + kept);
    const double a_day = (error->sum + weeks * week * week) / (error->weight + UNSOUNDED_DAYS);
    const double much = 0.5 * (days + drawn / usual);
    const double spans = pace_larger(1.0, much * mean_value(&forgotten->spans));
    return (Most){share * drawn, student(freedom) * pace_root(a_day * much * spans)};
}

/* Do draws tell how much went unlogged? Of who logs at least half. */
static bool draws_tell(const UseForgotten *forgotten)
{
    return forgotten->spans.sum > 0.0 && forgotten->missing.sum <= forgotten->drawn.sum;
}

double use_unlogged_most(const Use *use, int64_t from, int64_t to, int32_t zone, int64_t error)
{
    const double persons = pace_larger(1.0, (double)use_persons(use));
    const UseSilence silence = use_silence(use, from, to, zone);
    /* Hours are not told apart: what is a day's is that of each hour of it. */
    const double all = pace_larger(use_person_days(use, from, to, zone), persons) / persons;
    const double silent = pace_smaller((silence.open + silence.closed) / persons, all);
    const Most lived = most_whole(use, persons, silent);
    Most most = most_by_days(use, persons, all - silent);
    double off = (double)error;
    if (draws_tell(&use->forgotten)) {
        const double drawn = (double)(use->gap_drawn + use->drawn) / persons;
        most = most_by_draws(&use->forgotten, drawn, all - silent);
        most.mean *= persons;
        most.beyond = pace_larger(most.beyond * persons, off);
        off = 0.0; /* past soundings erred as well */
    }
    const double squares = most.beyond * most.beyond + lived.beyond * lived.beyond + off * off;
    return most.mean + lived.mean + pace_root(squares);
}

void use_unknown(Use *use, int64_t to, int32_t zone)
{
    use->drawn = 0;
    use_witness(use, to, zone);
    use->known_to = int64_larger(use->known_to, to);
    use->gap_day = day_of(to, zone);
}

bool use_missing(Use *use, int64_t from, int64_t to, int32_t zone, int64_t ml, int64_t error)
{
    from = from < 0 ? to : int64_smaller(from, to);
    gap_begin(use, day_of(to, zone), from);
    from = int64_smaller(use->gap_from, from);
    const int64_t before = use->gap_ml;
    const double most = use_unlogged_most(use, from, to, zone, error);
    const bool explained = ml <= error || (double)(before + ml) <= most;
    if (ml > 0)
        use->leaks = explained ? 0 : use->leaks + 1;
    if (!explained && use->leaks >= LEAKS_LEARNT) {
        use->unlogged.spread = (UseMean){0.0, 0.0};           /* no rare excess */
        use->forgotten = (UseForgotten){.spans = {0.0, 0.0}}; /* learnt anew */
    }
    if (explained || use->leaks >= LEAKS_LEARNT) {
        use_unlogged(use, from, to, zone, ml);
        return explained;
    }
    use_unknown(use, to, zone); /* neither the loss nor the time in which it came about teaches */
    return false;
}

void use_settle(Use *use, int64_t now, int32_t zone)
{
    const int64_t today = day_of(now, zone), midnight = day_start(use->day + 1, zone);
    const UseRate rate = use_rate(use);
    const double usual = rate_whole(&rate) * pace_larger(1.0, (double)use_persons(use));
    /* A day that is over, or one that took more than a usual one by now. */
    const bool closes = use->last_at != NEVER &&
                        (today > use->day || (double)use->day_ml > pace_larger(usual, 1.0));
    if (closes) {
        if (midnight > use->last_at) {
            (void)aboard_over(use, use->last_at, midnight, zone, &use->day_aboard,
                              &use->day_person);
            use->last_at = midnight;
        }
        day_close(use);
    }
    if (use->gap_aboard >= GAP_MIN_MS)
        gap_close(use);
}
