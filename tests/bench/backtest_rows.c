/* backtest_rows.c - what the plain back-test leaves out: origins within the day, crews that change,
 * absences that nobody logs, odds that are nearly sure, leaks. Chance is a fixed sequence. */
#include "homes.h"

#include "model/use.h"

#define HOUR_MS (DAY_MS / 24)
#define EVERY 3 /* days between origins, so that it takes a minute and no more */

static const int horizons[] = {1, 3, 7, 14};
enum { HORIZONS = sizeof horizons / sizeof horizons[0] };

static double chance(unsigned *seed) /* 0..1 */
{
    *seed = *seed * 1664525U + 1013904223U;
    return (double)(*seed >> 8) / 16777216.0;
}

static int64_t midnight_of(const Home *home, int at)
{
    return (home->first + at) * DAY_MS;
}

/* A day without a reading is one with nobody aboard. */
static bool day_aboard(Use *use, const Home *home, int at, bool aboard, int32_t persons)
{
    const bool is = !isnan(home->litres[at]);
    if (is != aboard)
        use_crew(use, midnight_of(home, at), 0, is ? persons : 0);
    return is;
}

/* The days of a home that has somebody aboard, one after the other. */
typedef struct {
    const Home *home;
    Use use;
    int at;   /* the day */
    int read; /* how many there were, with this one */
    bool aboard;
} Days;

static void days_begin(Days *days, const Home *home)
{
    *days = (Days){.home = home, .at = -1};
    use_init(&days->use);
}

static bool days_next(Days *days)
{
    while (++days->at < days->home->days) {
        days->aboard = day_aboard(&days->use, days->home, days->at, days->aboard, 1);
        if (days->aboard) {
            days->read++;
            return true;
        }
    }
    return false;
}

/* Draws at 08, 12, 18 and 21 o'clock; nothing drawn is a sounding that agrees. */
enum { PARTS = 4 };
static void day_draw(Use *use, int64_t midnight, const double part[PARTS], int from, int to)
{
    static const int hours[PARTS] = {8, 12, 18, 21};
    for (int i = from; i < to; i++)
        if (part[i] > 0.0)
            use_draw(use, midnight + hours[i] * HOUR_MS, 0, llround(part[i] * 1000.0));
    if (to == PARTS && part[0] + part[1] + part[2] + part[3] <= 0.0)
        use_unlogged(use, midnight, midnight + DAY_MS - 1, 0, 0);
}

/* The data tell what a day used, not when: so many draws of exponential sizes at any waking hour (07
 * to 23), added up where the draws of day_draw stand. The seed is stirred, so that days that follow
 * one another are not alike. */
static void day_parts(double litres, int draws, unsigned seed, double part[PARTS])
{
    double sum = 0.0;
    seed = (seed ^ seed >> 16) * 0x85ebca6bU;
    seed = (seed ^ seed >> 13) * 0xc2b2ae35U;
    memset(part, 0, PARTS * sizeof *part);
    for (int i = 0; i < draws; i++) {
        const double size = -log(1.0 - chance(&seed)), hour = 7.0 + 16.0 * chance(&seed);
        part[hour < 10.0 ? 0 : hour < 14.0 ? 1 : hour < 20.0 ? 2 : 3] += size;
        sum += size;
    }
    for (int i = 0; i < PARTS; i++)
        part[i] *= litres / sum;
}

/* ---- within the day, several draws a day ---- */

/* How many draws a day has decides how much two halves of days vary: about twenty of all sizes
 * (common practice, no source) for the goals, half and twice as many for information. */
static const int draws_a_day[] = {20, 10, 40};
enum { WITHIN = sizeof draws_a_day / sizeof draws_a_day[0] };

static void home_within(const Home *home, int draws, unsigned seed, Cover cover[HORIZONS])
{
    Days days;
    days_begin(&days, home);
    while (days_next(&days)) {
        const int at = days.at;
        double part[PARTS];
        const int64_t midnight = midnight_of(home, at), two = midnight + 14 * HOUR_MS;
        day_parts(home->litres[at], draws, seed + (unsigned)at, part);
        day_draw(&days.use, midnight, part, 0, 2);
        if (days.read > WARM_UP && at % EVERY == 0) {
            const ForecastRate rate = forecast_rate(&days.use, two, 0, 1);
            for (int i = 0; i < HORIZONS; i++) {
                const double whole = home_total(home, at, horizons[i]);
                if (isnan(whole))
                    continue;
                double last[PARTS];
                day_parts(home->litres[at + horizons[i]], draws,
                          seed + (unsigned)(at + horizons[i]), last);
                cover_add(&cover[i], &rate, whole + part[2] + part[3] - last[2] - last[3],
                          horizons[i]);
            }
        }
        day_draw(&days.use, midnight, part, 2, PARTS);
    }
}

/* ---- crews that change ---- */

static const int changed_days[] = {0, 3, 7, 20};
enum { CHANGED = sizeof changed_days / sizeof changed_days[0] };

/* One of two persons leaves or comes every 30 days; the other's use is another home's, of 0.7, 1 or
 * 1.4 times the first one's mean. */
static void home_crews(const Home *home, const Home *guest, double scale, Cover cover[CHANGED])
{
    enum { SPELL = 30 };
    Use use;
    use_init(&use);
    double means[2] = {0.0, 0.0};
    int count[2] = {0, 0};
    const int days = home->days < guest->days ? home->days : guest->days;
    for (int at = 0; at < days; at++) {
        const double both[2] = {home->litres[at], guest->litres[at]};
        for (int i = 0; i < 2; i++)
            if (!isnan(both[i])) {
                means[i] += both[i];
                count[i]++;
            }
    }
    if (count[0] == 0 || count[1] == 0 || !(means[1] > 0.0))
        return;
    scale *= means[0] / count[0] / (means[1] / count[1]);
    static Home joint;
    joint = *home;
    for (int at = 0; at < days; at++)
        joint.litres[at] += at / SPELL % 2 ? scale * guest->litres[at] : 0.0;
    joint.days = days;
    bool aboard = false;
    int read = 0;
    for (int at = 0; at < days; at++) {
        const int32_t persons = 1 + at / SPELL % 2;
        if (aboard && at % SPELL == 0)
            use_crew(&use, midnight_of(home, at), 0, persons);
        aboard = day_aboard(&use, &joint, at, aboard, persons);
        const int since = at % SPELL;
        if (++read > 2 * WARM_UP && aboard && since + WEEK <= SPELL && at / SPELL > 0) {
            const double total = home_total(&joint, at - 1, WEEK);
            const ForecastRate rate = forecast_rate(&use, midnight_of(home, at), 0, -1);
            for (int i = 0; i < CHANGED && !isnan(total); i++)
                if (since <= changed_days[i]) {
                    cover_add(&cover[i], &rate, total, WEEK);
                    break;
                }
        }
        double part[PARTS] = {aboard ? joint.litres[at] : 0.0};
        if (aboard)
            day_draw(&use, midnight_of(home, at), part, 0, PARTS);
    }
}

/* ---- absences that nobody logs ---- */

enum { DURING, RETURNED, LATER, SILENCES };
static const char *const silence_names[] = {"during a silence", "up to 3 days after it", "later"};

/* Every 40 days a silence of 1 to 14 days in which nothing is used, or (lived) all the same and not
 * logged. The water was last known on the day before. */
static void home_silent(const Home *home, unsigned seed, bool lived, Cover cover[SILENCES])
{
    static Home true_home;
    true_home = *home;
    int left = 0, since = 99;
    double gone = 0.0;
    int64_t known = midnight_of(home, 0);
    bool silent[DAYS_MAX] = {false};
    for (int at = WARM_UP; at < home->days; at++) {
        if (at % 40 == 0)
            left = 1 + (int)(14.0 * chance(&seed));
        silent[at] = left > 0 && !isnan(home->litres[at]);
        left -= left > 0;
        if (silent[at] && !lived)
            true_home.litres[at] = 0.0;
    }
    Days days;
    days_begin(&days, &true_home);
    while (days_next(&days)) {
        const int at = days.at;
        const int64_t midnight = midnight_of(home, at);
        if (at % 40 == 39) { /* a sounding that agrees, whatever was gone */
            use_unlogged(&days.use, known, midnight + 6 * HOUR_MS, 0, llround(gone * 1000.0));
            known = midnight + 6 * HOUR_MS;
            gone = 0.0;
        }
        if (silent[at]) {
            since = 0;
            gone += true_home.litres[at];
        } else {
            double part[PARTS] = {true_home.litres[at]};
            day_draw(&days.use, midnight, part, 0, PARTS);
            since++;
        }
        const double total = home_total(&true_home, at, WEEK);
        if (days.read <= 2 * WARM_UP || isnan(total))
            continue;
        const ForecastRate now = forecast_rate(&days.use, midnight + DAY_MS, 0, 1);
        const ForecastRate rate = forecast_since(now, &days.use, known, midnight + DAY_MS, 0);
        cover_add(&cover[since == 0   ? DURING
                         : since <= 3 ? RETURNED
                                      : LATER],
                  &rate, gone + total, WEEK);
    }
}

/* ---- odds that are nearly sure ---- */

static void home_sure(const Home *home, double *said, double *held, int *count)
{
    Days days;
    days_begin(&days, home);
    while (days_next(&days)) {
        const int at = days.at;
        double part[PARTS] = {home->litres[at]};
        day_draw(&days.use, midnight_of(home, at), part, 0, PARTS);
        if (days.read <= WARM_UP || at % EVERY != 0)
            continue;
        const ForecastRate rate = forecast_rate(&days.use, midnight_of(home, at + 1), 0, 1);
        for (int i = 0; i < HORIZONS; i++) {
            const double total = home_total(home, at, horizons[i]);
            for (int step = 0; step < 12 && !isnan(total); step++) {
                const double litres = rate.day * horizons[i] * (1.0 + 0.25 * step);
                const double odds = forecast_lasts(&rate, litres, horizons[i]);
                if (odds < 0.95)
                    continue;
                *said += odds;
                *held += total < litres;
                ++*count;
            }
        }
    }
}

/* ---- leaks ---- */

typedef struct {
    int soundings, named, leaks, found;
} Leaks;

/* Soundings every 7 days, and on no other one, with a stick that errs by up to 0.3 L; of each day's
 * use a share goes unlogged; a leak is as large as two days' mean use. */
static void home_leaks(const Home *home, unsigned seed, double unlogged, Leaks *leaks)
{
    Days days;
    days_begin(&days, home);
    int64_t known = midnight_of(home, 0);
    double missing = 0.0, error = 0.0, mean = 0.0;
    while (days_next(&days)) {
        const int at = days.at;
        const double litres = home->litres[at];
        const double off = litres * fmin(1.0, 2.0 * unlogged * chance(&seed));
        missing += off;
        mean += litres;
        use_draw(&days.use, midnight_of(home, at) + 8 * HOUR_MS, 0, llround((litres - off) * 1e3));
        if (days.read % 7 != 0)
            continue;
        const double stick = 0.6 * chance(&seed) - 0.3;
        const int64_t to = midnight_of(home, at + 1) - HOUR_MS;
        const int64_t ml = llround((missing + stick - error) * 1000.0);
        Use leaking = days.use;
        const bool ordinary = use_missing(&days.use, known, to, 0, ml, 1000);
        if (days.read > WARM_UP) {
            leaks->soundings++;
            leaks->named += !ordinary;
            leaks->leaks++;
            leaks->found +=
                !use_missing(&leaking, known, to, 0, ml + llround(2000.0 * mean / days.read), 1000);
        }
        missing = 0.0;
        error = stick;
        known = to;
    }
}

static bool leaks_run(const Home *homes, int count, double unlogged, bool goals)
{
    Leaks leaks = {0, 0, 0, 0};
    for (int i = 0; i < count; i++)
        home_leaks(&homes[i], (unsigned)i + 77U, unlogged, &leaks);
    const double named = (double)leaks.named / leaks.soundings,
                 found = (double)leaks.found / leaks.leaks;
    (void)printf(
        "  %2.0f %% of the use unlogged: %.4f of %d ordinary soundings named, %.3f of leaks of "
        "two days' use\n",
        100.0 * unlogged, named, leaks.soundings, found);
    if (!goals)
        return true;
    return goal("  at most 0.02 named", named <= 0.02) & goal("  at least 0.8 found", found >= 0.8);
}

bool backtest_rows(const Home *homes, int count)
{
    bool met = true;
    Cover within[WITHIN][HORIZONS] = {{{0}}}, crews[CHANGED] = {{0}}, silent[2][SILENCES] = {{{0}}};
    double said = 0.0, held = 0.0;
    int sure = 0;
    static const double scales[] = {0.7, 1.0, 1.4};
    char what[60];
    for (int i = 0; i < count; i++) {
        for (int j = 0; j < WITHIN; j++)
            home_within(&homes[i], draws_a_day[j], (unsigned)i * 1000U, within[j]);
        home_crews(&homes[i], &homes[(i + 1) % count], scales[i % 3], crews);
        for (int lived = 0; lived < 2; lived++)
            home_silent(&homes[i], (unsigned)i + 7U, lived == 1, silent[lived]);
        home_sure(&homes[i], &said, &held, &sure);
    }
    for (int j = 0; j < WITHIN; j++) {
        (void)printf("origins at 14:00, %d draws a day\n", draws_a_day[j]);
        for (int i = 0; i < HORIZONS; i++) {
            snprintf(what, sizeof what, "%d days ahead", horizons[i]);
            cover_print(what, &within[j][i]);
            met &= j > 0 || cover_goal(&within[j][i]);
        }
    }
    (void)printf("crews of one and two in turn, 7 days\n");
    for (int i = 0; i < CHANGED; i++) {
        snprintf(what, sizeof what, "up to %d days after the change", changed_days[i]);
        cover_print(what, &crews[i]);
    }
    (void)printf("silences of 1 to 14 days, 7 days ahead\n");
    for (int lived = 0; lived < 2; lived++)
        for (int i = 0; i < SILENCES; i++) {
            snprintf(what, sizeof what, "%s, %s", lived ? "lived through" : "away",
                     silence_names[i]);
            cover_print(what, &silent[lived][i]);
        }
    (void)printf("odds of 95 %% and more: said %.4f on average, happened %.4f of %d\n", said / sure,
                 held / sure, sure);
    met &= goal("what was said happens within 0.01", fabs(said - held) <= 0.01 * sure);
    (void)printf("leaks, weekly soundings\n");
    met &= leaks_run(homes, count, 0.0, true);
    met &= leaks_run(homes, count, 0.1, true);
    met &= leaks_run(homes, count, 0.2, true);
    met &= leaks_run(homes, count, 0.5, false);
    return met;
}
