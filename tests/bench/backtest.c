/* backtest.c - how good the forecast is, on real households: one week ahead, rolling origin.
 *
 *     backtest FILE
 *
 * FILE has lines `household,date,litres` (comments start with #), a home's days in order, a day
 * without a reading absent. It is read in place and never part of this project. Without it: exit 77
 * (skipped).
 *
 * Each home lives through the same functions as a log does: one person aboard, each day's litres
 * (one hundredth of them, about a camper's measure) as a draw, a day of zero as a sounding that
 * agrees, days without a reading as days with nobody aboard. From the 28th day on, each evening the
 * total of the next 7 days is forecast, if all 7 were read.
 *
 * The partner: simple exponential smoothing of the daily litres, alpha 0.2, times 7, with the
 * quantiles of its own last 90 seven-day residuals that are known by then.
 *
 * Then the same homes seen only through soundings every 2 to 5 and every 1 to 11 days (a fixed
 * pseudo-random rhythm): the use since the last sounding is not known then and counts in the total.
 *
 * Exit 0 if every goal is met, 1 if one is missed, 2 if FILE is no such file.
 */
#include "model/use.h"
#include "outlook/forecast.h"
#include "support/score.h"

#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define HOMES_MAX 200
#define DAYS_MAX 1500
#define DAY_MS INT64_C(86400000)
#define WEEK 7
#define WARM_UP 28
#define RESIDUALS 90
#define ML_PER_HOUSEHOLD_LITRE 10.0 /* 1000 / 100 */

typedef struct {
    char name[16];
    int64_t first; /* civil day number */
    int days;
    double litres[DAYS_MAX]; /* NAN: not read */
} Home;

typedef struct {
    int origins, inside, below, above;
    double wanted, missed; /* sums of totals and of absolute errors of the median */
    double ours, partner;  /* pinball, mean over the deciles, summed */
} Tally;

static int64_t day_number(int year, int month, int day)
{
    /* Days from 1970-01-01 in the Gregorian calendar; March-based years. */
    int64_t y = year - (month <= 2);
    int64_t era = y / 400;
    int64_t of_era = y - era * 400;
    int64_t of_year = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + day - 1;
    return era * 146097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - 719468;
}

static int homes_read(FILE *file, Home *homes)
{
    int count = 0;
    char line[256];
    while (fgets(line, sizeof line, file)) {
        char name[16];
        int year;
        int month;
        int day;
        double litres;
        if (sscanf(line, "%15[^,],%d-%d-%d,%lf", name, &year, &month, &day, &litres) != 5) {
            continue;
        }
        int64_t number = day_number(year, month, day);
        if (count == 0 || strcmp(homes[count - 1].name, name) != 0) {
            if (count == HOMES_MAX) {
                break;
            }
            Home *home = &homes[count++];
            memcpy(home->name, name, sizeof name);
            home->first = number;
            for (int i = 0; i < DAYS_MAX; i++) {
                home->litres[i] = NAN;
            }
        }
        Home *home = &homes[count - 1];
        int64_t at = number - home->first;
        if (at >= 0 && at < DAYS_MAX) {
            home->litres[at] = litres / 100.0;
            home->days = (int)at + 1;
        }
    }
    return count;
}

/* The total of the `days` days after day `at`; NAN if one of them was not read. */
static double total_after(const Home *home, int at, int days)
{
    double sum = 0.0;
    if (at + days >= home->days) {
        return NAN;
    }
    for (int i = 1; i <= days; i++) {
        sum += home->litres[at + i];
    }
    return sum;
}

static int double_order(const void *a, const void *b)
{
    double x = *(const double *)a;
    double y = *(const double *)b;
    return (x > y) - (x < y);
}

static double sample_quantile(const double *sorted, int n, double p)
{
    double at = (n - 1) * p;
    int low = (int)at;
    return low + 1 < n ? sorted[low] + (at - low) * (sorted[low + 1] - sorted[low]) : sorted[n - 1];
}

/* ---- the partner ---- */

typedef struct {
    double level;
    double forecast[DAYS_MAX];
    double residual[DAYS_MAX];
    int residuals;
} Partner;

static void partner_day(Partner *partner, const Home *home, int at)
{
    double y = home->litres[at];
    if (!isnan(y)) {
        partner->level = isnan(partner->level) ? y : partner->level + 0.2 * (y - partner->level);
    }
    partner->forecast[at] = WEEK * partner->level;
    if (at >= 2 * WEEK) { /* the first week's levels are hardly smoothed yet: leave them out */
        double total = total_after(home, at - WEEK, WEEK);
        if (!isnan(total)) {
            partner->residual[partner->residuals++] = total - partner->forecast[at - WEEK];
        }
    }
}

static double partner_pinball(const Partner *partner, int at, double total)
{
    double sorted[RESIDUALS];
    int n = partner->residuals < RESIDUALS ? partner->residuals : RESIDUALS;
    memcpy(sorted, partner->residual + partner->residuals - n, (size_t)n * sizeof *sorted);
    qsort(sorted, (size_t)n, sizeof *sorted, double_order);
    double sum = 0.0;
    for (int i = 1; i <= 9; i++) {
        double forecast = partner->forecast[at] + (n ? sample_quantile(sorted, n, 0.1 * i) : 0.0);
        sum += score_pinball(0.1 * i, fmax(forecast, 0.0), total);
    }
    return sum / 9.0;
}

/* ---- ours ---- */

static double our_pinball(const ForecastRate *rate, double total)
{
    double sum = 0.0;
    for (int i = 1; i <= 9; i++) {
        sum += score_pinball(0.1 * i, forecast_quantile(rate, WEEK, 0.1 * i), total);
    }
    return sum / 9.0;
}

static void tally_add(Tally *tally, const ForecastRate *rate, double total, int days)
{
    double low = forecast_quantile(rate, days, 0.1);
    double high = forecast_quantile(rate, days, 0.9);
    tally->origins++;
    tally->below += total < low;
    tally->above += total > high;
    tally->inside += total >= low && total <= high;
    tally->wanted += total;
    tally->missed += fabs(total - forecast_quantile(rate, days, 0.5));
}

static void tally_sum(Tally *all, const Tally *one)
{
    all->origins += one->origins;
    all->inside += one->inside;
    all->below += one->below;
    all->above += one->above;
    all->wanted += one->wanted;
    all->missed += one->missed;
    all->ours += one->ours;
    all->partner += one->partner;
}

/* Other horizons, for information. */
static const int horizons[] = {1, 3, 14, 28};
enum { HORIZONS = sizeof horizons / sizeof horizons[0] };

/* Days since the last sounding, up to each of these. */
static const int sinces[] = {0, 2, 4, 10};
enum { SINCES = sizeof sinces / sizeof sinces[0] };

typedef enum { DRAWS, SOUNDINGS, SELDOM } Logs;
static const char *const logs_names[] = {"every draw logged", "soundings every 2 to 5 days",
                                         "soundings every 1 to 11 days"};

static unsigned rhythm(unsigned *seed, Logs logs)
{
    *seed = *seed * 1664525U + 1013904223U;
    return logs == SELDOM ? 1 + (*seed >> 16) % 11 : 2 + (*seed >> 16) % 4;
}

static void home_run(const Home *home, Logs logs, unsigned seed, Tally *tally, Tally *other,
                     Tally *since)
{
    static Partner partner;
    memset(&partner, 0, sizeof partner);
    partner.level = NAN;
    Use use;
    use_init(&use);
    int64_t start = home->first * DAY_MS;
    use_crew(&use, start, 0, 1);
    bool aboard = true;
    int read = 0;
    int64_t sounded = start;
    int64_t unsounded_ml = 0;
    unsigned until = rhythm(&seed, logs);
    for (int at = 0; at < home->days; at++) {
        int64_t midnight = start + at * DAY_MS;
        int64_t evening = midnight + DAY_MS - 1;
        double litres = home->litres[at];
        if (isnan(litres) == aboard) {
            aboard = !aboard;
            use_crew(&use, midnight, 0, aboard);
        }
        if (aboard) {
            int64_t ml = llround(litres * 1000.0);
            read++;
            if (logs != DRAWS) {
                unsounded_ml += ml;
                if (--until == 0) {
                    use_unlogged(&use, sounded, evening, 0, unsounded_ml);
                    sounded = evening;
                    unsounded_ml = 0;
                    until = rhythm(&seed, logs);
                }
            } else if (ml > 0) {
                use_draw(&use, evening, 0, ml);
            } else {
                use_unlogged(&use, midnight, evening, 0, 0); /* a meter that did not move */
            }
        }
        partner_day(&partner, home, at);
        if (read < WARM_UP) {
            continue;
        }
        ForecastRate rate = forecast_rate(&use, evening + 1, 0, 1);
        const double before = (double)unsounded_ml / 1000.0; /* used and not known of yet */
        if (logs != DRAWS)
            rate = forecast_since(rate, &use, sounded, evening + 1, 0);
        double total = total_after(home, at, WEEK);
        if (!isnan(total)) {
            tally_add(tally, &rate, before + total, WEEK);
            tally->ours += our_pinball(&rate, before + total);
            const int64_t days = (evening - sounded) / DAY_MS;
            for (int i = 0; i < SINCES; i++)
                if (days <= sinces[i]) {
                    tally_add(&since[i], &rate, before + total, WEEK);
                    break;
                }
            tally->partner += partner_pinball(&partner, at, total);
        }
        for (int i = 0; i < HORIZONS; i++) {
            total = total_after(home, at, horizons[i]);
            if (!isnan(total)) {
                tally_add(&other[i], &rate, before + total, horizons[i]);
            }
        }
    }
}

static bool goal(const char *what, bool met)
{
    (void)printf("  %-58s %s\n", what, met ? "met" : "MISSED");
    return met;
}

static bool run(const Home *homes, int count, Logs logs, bool each)
{
    Tally all = {0};
    Tally other[HORIZONS] = {{0}}, since[SINCES] = {{0}};
    int within = 0;
    int counted = 0;
    double ratios = 0.0;
    for (int i = 0; i < count; i++) {
        Tally one = {0};
        home_run(&homes[i], logs, (unsigned)i, &one, other, since);
        if (one.origins == 0) {
            continue;
        }
        counted++;
        double inside = (double)one.inside / one.origins;
        within += inside >= 0.70 && inside <= 0.90;
        ratios += one.ours / one.partner;
        tally_sum(&all, &one);
        if (each) {
            (void)printf("  %-6s %4d origins, inside %.3f (below %.3f, above %.3f), WAPE %.3f, "
                         "pinball ratio %.3f\n",
                         homes[i].name, one.origins, inside, (double)one.below / one.origins,
                         (double)one.above / one.origins, one.missed / one.wanted,
                         one.ours / one.partner);
        }
    }
    if (counted == 0) {
        (void)printf("no home has more than %d days\n", WARM_UP + WEEK);
        return false;
    }
    double inside = (double)all.inside / all.origins;
    double wape = all.missed / all.wanted;
    double ratio = all.ours / all.partner;
    (void)printf("%s: %d homes, %d origins\n", logs_names[logs], counted, all.origins);
    (void)printf(
        "  10-90 %% band covers %.4f (below %.4f, above %.4f), %d of %d homes within 0.70-0.90\n",
        inside, (double)all.below / all.origins, (double)all.above / all.origins, within, counted);
    (void)printf("  WAPE of the 7-day total %.4f\n", wape);
    if (logs == DRAWS)
        (void)printf(
            "  pinball over the deciles %.4f of the partner's (mean of the homes' ratios %.4f)\n",
            ratio, ratios / counted);
    for (int i = 0; i < HORIZONS; i++) {
        (void)printf("  %2d days ahead: covers %.4f, WAPE %.4f\n", horizons[i],
                     (double)other[i].inside / other[i].origins, other[i].missed / other[i].wanted);
    }
    bool met = goal("covers 0.77 to 0.83", inside >= 0.77 && inside <= 0.83);
    for (int i = 0; i < HORIZONS - 1; i++) { /* 28 days for information */
        const double covers = (double)other[i].inside / other[i].origins;
        met &= goal("  and so many days ahead", covers >= 0.77 && covers <= 0.83);
    }
    for (int i = 0; logs != DRAWS && i < SINCES; i++) {
        if (since[i].origins == 0)
            continue;
        const double covers = (double)since[i].inside / since[i].origins;
        (void)printf("  up to %2d days since the sounding: covers %.4f\n", sinces[i], covers);
        met &= goal("  covers 0.77 to 0.83", covers >= 0.77 && covers <= 0.83);
    }
    met &= goal("nine homes of ten within 0.70 to 0.90", within * 10 >= counted * 9);
    if (logs == DRAWS) {
        met &= goal("WAPE at most 0.195", wape <= 0.195);
        met &= goal("pinball at most 0.86 of the partner's", ratio <= 0.86);
    }
    return met;
}

int main(int argc, char **argv)
{
    if (argc < 2 || argc > 3 || (argc == 3 && strcmp(argv[2], "--each") != 0)) {
        (void)fprintf(stderr, "usage: backtest FILE [--each]\n");
        return 2;
    }
    FILE *file = fopen(argv[1], "r");
    if (!file) {
        (void)fprintf(
            stderr,
            "backtest: cannot read %s: the household data are not here, nothing was tested\n",
            argv[1]);
        return 77;
    }
    static Home homes[HOMES_MAX];
    int count = homes_read(file, homes);
    (void)fclose(file);
    if (count == 0) {
        (void)fprintf(stderr, "backtest: no lines `household,date,litres` in %s\n", argv[1]);
        return 2;
    }
    bool met = true;
    for (int logs = DRAWS; logs <= SELDOM; logs++)
        met &= run(homes, count, (Logs)logs, argc == 3);
    return met ? 0 : 1;
}
