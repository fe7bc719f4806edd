/* How long it lasts: against the gamma process table, by hand, and by properties; scoring rules. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "outlook/forecast.h"
#include "reckon/gamma.h"
#include "support/csv_table.h"
#include "support/score.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define HOUR INT64_C(3600000)
#define DAY (24 * HOUR)
#define START (INT64_C(20454) * DAY) /* 2026-01-01 */

static void assert_close(double got, double want, double tolerance)
{
    if (!(fabs(got - want) <= tolerance))
        fail_msg("got %.15g, want %.15g, allowed %.3g", got, want, tolerance);
}

static ForecastRate rate_of(double day, double noise, double doubt)
{
    return (ForecastRate){
        .person = day / 2.0, .persons = 2.0, .day = day, .noise = noise, .doubt = doubt};
}

/* tables/gamma_process_fpt.csv, computed with mpmath 1.2.1 (50 digits): increments Gamma(kappa dt,
 * theta) have mean kappa theta and variance kappa theta^2 a day. */
static void row_process(const double c[CSV_COLUMNS], const char *line)
{
    (void)line;
    ForecastRate rate = rate_of(c[0] * c[1], c[0] * c[1] * c[1], 0.0);
    double p = forecast_lasts(&rate, c[2], c[3]);
    assert_close(p / c[4], 1.0,
                 3e-12); /* kappa and theta go through products and quotients first */
}

static void a_known_rate_is_a_gamma_process(void **state)
{
    (void)state;
    assert_int_equal(csv_each("gamma_process_fpt", row_process), 35);
}

/* Mean 10 L and variance 25 L^2 a day, no doubt: over 4 days mean 40, variance 100: shape 16,
 * scale 2.5. P(C < 40) = P(16, 16). With doubt 4 besides: variance 25 x 4 + 4 x 16 = 164; with
 * drift 1 none more before a week; over 10 days 250 + 400 + 10 x 3 = 680. */
static void moments_and_shape_are_as_worked_by_hand(void **state)
{
    (void)state;
    ForecastRate rate = rate_of(10.0, 25.0, 0.0);
    assert_close(forecast_mean(&rate, 4.0), 40.0, 1e-12);
    assert_close(forecast_lasts(&rate, 40.0, 4.0), gamma_p(16.0, 16.0), 1e-14);
    assert_close(forecast_quantile(&rate, 4.0, 0.9), 2.5 * gamma_quantile(16.0, 0.9), 1e-11);
    const double four = 40.0 * 40.0 / 164.0, ten = 100.0 * 100.0 / 680.0; /* shapes */
    rate.doubt = 4.0;
    assert_close(forecast_lasts(&rate, 40.0, 4.0), gamma_p(four, four), 1e-14);
    rate.drift = 1.0;
    assert_close(forecast_lasts(&rate, 40.0, 4.0), gamma_p(four, four), 1e-14);
    assert_close(forecast_lasts(&rate, 100.0, 10.0), gamma_p(ten, ten), 1e-14);
}

/* With only doubt the rate is a gamma quantity that holds for ever: T = V / rate, and the odds
 * depend on t through m t alone: quantiles of T are V over quantiles of the rate. */
static void a_doubtful_but_constant_rate_gives_reciprocal_times(void **state)
{
    (void)state;
    ForecastRate rate = rate_of(8.0, 0.0, 16.0); /* shape 4, scale 2 */
    ForecastBand band = forecast_band(&rate, 100.0);
    assert_close(band.median.days, 100.0 / (2.0 * gamma_quantile(4.0, 0.5)), 1e-5);
    assert_close(band.early.days, 100.0 / (2.0 * gamma_quantile(4.0, 0.9)), 1e-5);
    assert_close(band.late.days, 100.0 / (2.0 * gamma_quantile(4.0, 0.1)), 1e-5);
}

static void odds_fall_with_time_and_rise_with_water(void **state)
{
    (void)state;
    const ForecastRate rates[] = {
        rate_of(8.0, 20.0, 0.0),
        rate_of(8.0, 0.0, 10.0),
        rate_of(8.0, 20.0, 5.0),
        {.person = 4, .persons = 2, .day = 8, .noise = 20, .doubt = 1, .drift = 20.0 / 7.0},
        {.person = .1, .persons = 2, .day = .2, .noise = 3, .doubt = .4, .drift = .1},
        {.persons = 2, .day = 8, .noise = 20, .doubt = 5, .leave = .2, .back = 1.2},
        {.persons = 2, .day = 8, .noise = 20, .doubt = 5, .leave = .02, .back = .6, .away = 9},
    };
    for (size_t i = 0; i < sizeof rates / sizeof rates[0]; i++) {
        for (double litres = 0.5; litres < 400.0; litres *= 1.6) {
            double before = 1.0;
            for (double days = 0.05; days < 300.0; days *= 1.13) {
                double odds = forecast_lasts(&rates[i], litres, days);
                assert_true(odds <= before + 1e-13);
                assert_true(forecast_lasts(&rates[i], litres * 1.1, days) >= odds - 1e-13);
                before = odds;
            }
        }
    }
}

/* P(C < litres) by following every way the days can go, home or away, one by one. */
static double every_way(const ForecastRate *rate, double litres, double days, double away,
                        double home)
{
    if (!(days > 0.0)) {
        const ForecastRate steady = rate_of(rate->day, rate->noise, rate->doubt);
        return home > 0.0 ? forecast_lasts(&steady, litres, home) : 1.0;
    }
    const double part =
        fmin(days - (ceil(days) - 1.0), 1.0); /* the last day, taken first in time */
    const double step = days > 1.0 ? 1.0 : part;
    const double back = away > 0.0 ? fmin(1.0, rate->back / (1.0 + away)) : 1.0 - rate->leave;
    return back * every_way(rate, litres, days - step, 0.0, home + step) +
           (1.0 - back) * every_way(rate, litres, days - step, away + 1.0, home);
}

static void odds_are_those_of_every_way_the_days_can_go(void **state)
{
    (void)state;
    ForecastRate rate = rate_of(8.0, 20.0, 3.0);
    rate.leave = 0.2;
    rate.back = 0.9;
    for (double away = 0.0; away < 13.0; away += 3.0) {
        rate.away = away;
        for (double days = 0.25; days < 10.0; days += 0.75) {
            for (double litres = 1.0; litres < 100.0; litres *= 3.0)
                assert_close(forecast_lasts(&rate, litres, days),
                             every_way(&rate, litres, days, away, 0.0), 1e-5);
        }
    }
}

/* The longer away, the longer the water is expected to last, and with nobody ever away it lasts
 * shortest; a crew that is away for ever would be no safe thing to count on: the ration does not.
 */
static void an_absence_makes_the_water_last(void **state)
{
    (void)state;
    ForecastRate rate = rate_of(8.0, 20.0, 3.0);
    rate.leave = 0.05;
    rate.back = 1.0;
    double before =
        forecast_lasts(&(ForecastRate){.persons = 2, .day = 8, .noise = 20, .doubt = 3}, 40.0, 6.0);
    const double ration = forecast_ration(&rate, 40.0, 6.0, 0.9);
    for (rate.away = 0.0; rate.away < 40.0; rate.away += 1.0) {
        const double odds = forecast_lasts(&rate, 40.0, 6.0);
        assert_true(odds > before && odds < 1.0);
        before = odds;
        assert_close(forecast_ration(&rate, 40.0, 6.0, 0.9), ration, 0.0);
    }
}

static void times_undo_odds(void **state)
{
    (void)state;
    ForecastRate rate = {.person = 4, .persons = 2, .day = 8, .noise = 20, .doubt = 2, .drift = 1};
    for (double odds = 0.05; odds < 1.0; odds += 0.05) {
        for (double litres = 3.0; litres < 500.0; litres *= 2.3) {
            ForecastTime time = forecast_time(&rate, litres, odds);
            assert_false(time.never);
            assert_close(forecast_lasts(&rate, litres, time.days), 1.0 - odds, 1e-5);
        }
    }
}

/* Common practice, no source: 100 L lasts two careful people 10 to 15 days. */
static void an_empty_log_forecasts_common_practice(void **state)
{
    (void)state;
    Use use;
    use_init(&use);
    ForecastRate rate = forecast_rate(&use, START, 0, 2);
    assert_close(rate.prior, 1.0, 0.0);
    assert_close(rate.day, 2 * 4.3, 1e-12);
    ForecastBand band = forecast_band(&rate, 100.0);
    assert_true(band.median.days > 10.0 && band.median.days < 15.0);
    assert_true(band.early.days < 10.0 &&
                band.late.days > 15.0); /* a strange crew: wider than that */
    assert_true(band.late.days < 40.0);
    /* A crew may be of 1.5 or of 8 L a person and day: a week of either is inside, twice it is not.
     */
    assert_true(forecast_quantile(&rate, 7.0, 0.1) < 2 * 7 * 1.5);
    assert_true(forecast_quantile(&rate, 7.0, 0.9) > 2 * 7 * 8.0);
    assert_true(forecast_quantile(&rate, 7.0, 0.1) > 2 * 7 * 0.75);
    assert_true(forecast_quantile(&rate, 7.0, 0.9) < 2 * 7 * 16.0);
}

static void nobody_aboard_and_nothing_used_never_end(void **state)
{
    (void)state;
    Use use;
    use_init(&use);
    use_crew(&use, START, 0, 0);
    ForecastRate nobody = forecast_rate(&use, START + DAY, 0, -1);
    assert_true(nobody.day == 0.0 && nobody.persons == 0.0);
    ForecastBand band = forecast_band(&nobody, 20.0);
    assert_true(band.early.never && band.median.never && band.late.never);
    assert_close(band.median.days, FORECAST_NEVER_DAYS, 0.0);
    assert_close(forecast_lasts(&nobody, 20.0, 1e6), 1.0, 0.0);
    assert_close(forecast_need(&nobody, 30.0, 0.9), 0.0, 0.0);
    assert_true(isinf(forecast_ration(&nobody, 20.0, 10.0, 0.9)));
    assert_close(forecast_staged_litres(&nobody, 10.0, 5.0, 0.0), 15.0, 0.0);

    ForecastRate nothing = rate_of(0.0, 0.0, 0.0);
    assert_true(forecast_time(&nothing, 1.0, 0.5).never);
    assert_false(forecast_time(&nothing, 0.0, 0.5).never); /* no water: gone now, used or not */
    assert_close(forecast_time(&nothing, 0.0, 0.5).days, 0.0, 0.0);
}

/* 1000 L at a tenth of a litre a day would be 27 years: not at this rate. */
static void more_than_three_years_is_no_date(void **state)
{
    (void)state;
    ForecastRate rate = rate_of(0.1, 0.01, 0.0);
    assert_true(forecast_time(&rate, 1000.0, 0.5).never);
    assert_false(forecast_time(&rate, 50.0, 0.5).never); /* about 500 days */
    ForecastBand band = forecast_band(&rate, 109.0);
    assert_false(band.early.never);
    assert_true(band.late.never);
}

static void no_water_lasts_no_time(void **state)
{
    (void)state;
    ForecastRate rate = rate_of(8.0, 20.0, 2.0);
    assert_close(forecast_lasts(&rate, 0.0, 1.0), 0.0, 0.0);
    assert_close(forecast_lasts(&rate, -5.0, 1.0), 0.0, 0.0);
    assert_close(forecast_lasts(&rate, 5.0, 0.0), 1.0, 0.0);
    assert_close(forecast_time(&rate, -5.0, 0.5).days, 0.0, 0.0);
    ForecastRate silent = rate; /* perhaps it is gone already */
    silent.silent = 10.0;
    const double gone = 1.0 - forecast_lasts(&silent, 80.0, 0.0);
    assert_true(gone > 0.2 && gone < 0.8);
    assert_close(forecast_time(&silent, 80.0, gone - 1e-6).days, 0.0, 0.0);
    assert_true(forecast_time(&silent, 80.0, gone + 1e-3).days > 0.0);
    assert_close(forecast_ration(&rate, 0.0, 5.0, 0.9), 0.0, 0.0);
    assert_true(isinf(forecast_ration(&rate, 0.0, 0.0, 0.9))); /* for no time anything will do */
}

/* Exactly 10 L a day: 50 L on the line and 20 L of reserve at 5 L a day are 5 and 4 days. */
static void the_reserve_lasts_at_the_ration(void **state)
{
    (void)state;
    ForecastRate rate = rate_of(10.0, 0.0, 0.0);
    assert_close(forecast_staged(&rate, 50.0, 20.0, 5.0).median.days, 9.0, 1e-5);
    assert_close(forecast_staged(&rate, 50.0, 20.0, 0.0).median.days, 7.0, 1e-5);
    assert_close(forecast_band(&rate, 50.0).median.days, 5.0, 1e-5);
    /* Four vessels of 20 L coupled and one in reserve: when the four are spent, the reserve is
     * left. */
    ForecastRate careful = rate_of(8.0, 10.0, 1.0);
    ForecastBand line = forecast_band(&careful, 80.0);
    ForecastBand all = forecast_staged(&careful, 80.0, 20.0, 8.0);
    ForecastBand plain = forecast_band(&careful, 100.0);
    assert_true(line.early.days < all.early.days && line.late.days < all.late.days);
    assert_close(all.median.days, plain.median.days, 1e-5);
}

static void the_ration_gives_the_odds_it_promises(void **state)
{
    (void)state;
    ForecastRate rate = {.person = 4, .persons = 2, .day = 8, .noise = 20, .doubt = 2, .drift = 1};
    for (double days = 0.5; days < 40.0; days *= 1.7) {
        double ration = forecast_ration(&rate, 60.0, days, 0.9);
        ForecastRate rationed = forecast_rate_at(rate, ration * rate.persons);
        assert_close(forecast_lasts(&rationed, 60.0, days), 0.9, 1e-9);
        assert_close(rationed.person, ration, 1e-12);
    }
    /* Known exactly: 60 L for 2 persons over 10 days are 3 L each. */
    ForecastRate exact = rate_of(8.0, 0.0, 0.0);
    assert_close(forecast_ration(&exact, 60.0, 10.0, 0.9), 3.0, 1e-12);
}

static void what_is_needed_lasts_with_the_odds_asked(void **state)
{
    (void)state;
    ForecastRate rate = {.person = 4, .persons = 2, .day = 8, .noise = 20, .doubt = 2, .drift = 1};
    double before = 0.0;
    for (double days = 0.5; days < 60.0; days *= 1.4) {
        double need = forecast_need(&rate, days, 0.9);
        assert_close(forecast_lasts(&rate, need, days), 0.9, 1e-10);
        assert_true(need > before && need > forecast_mean(&rate, days));
        before = need;
    }
}

static void what_if_the_rate_were_another_keeps_the_relative_spread(void **state)
{
    (void)state;
    ForecastRate rate = {.person = 4, .persons = 2, .day = 8, .noise = 20, .doubt = 2, .drift = 1};
    ForecastRate twice = forecast_rate_at(rate, 16.0);
    assert_close(forecast_lasts(&twice, 100.0, 9.0), forecast_lasts(&rate, 50.0, 9.0), 1e-12);
    ForecastRate from_nothing = forecast_rate_at(rate_of(0.0, 0.0, 0.0), 8.0);
    assert_true(from_nothing.noise > 0.0 && from_nothing.doubt > 0.0);
    assert_close(from_nothing.day, 8.0, 0.0);
    /* 30 % of 8 L at most, where the log knows less: 2.4^2 */
    assert_close(from_nothing.doubt, 2.4 * 2.4, 1e-9);
    assert_true(forecast_time(&rate, 50.0, 0.5).days > forecast_time(&twice, 50.0, 0.5).days);
}

/* Odds and times have no unit of volume: a thousandth of all volumes leaves them as they are. */
static void so_much_less_of_everything_has_the_same_odds(void **state)
{
    (void)state;
    enum { VOLUMES = 4 };
    const double maybe[VOLUMES] = {0, 40, 0, 40}, past[VOLUMES] = {0, 0, 6, 6};
    for (int i = 0; i < VOLUMES; i++) {
        ForecastRate much = {.persons = 2,
                             .person = 4,
                             .day = 8,
                             .noise = 20,
                             .doubt = 2,
                             .drift = 0.1,
                             .maybe = maybe[i],
                             .past = past[i],
                             .past_variance = past[i] * past[i]},
                     less = much;
        const double part = 1e-3, square = part * part;
        less.day *= part;
        less.person *= part;
        less.maybe *= part;
        less.past *= part;
        less.noise *= square;
        less.doubt *= square;
        less.drift *= square;
        less.past_variance *= square;
        for (double days = 0.0; days < 30.0; days += 1.5)
            assert_close(forecast_lasts(&less, 80.0 * part, days),
                         forecast_lasts(&much, 80.0, days), 1e-9);
        for (double odds = 0.1; odds < 0.95; odds += 0.2)
            assert_close(forecast_time(&less, 80.0 * part, odds).days,
                         forecast_time(&much, 80.0, odds).days, 1e-4);
        assert_close(forecast_rate_at(less, 16.0 * part).person, 8.0 * part, 1e-12);
    }
}

static void what_if_the_crew_were_larger_scales_the_use(void **state)
{
    (void)state;
    Use use;
    use_init(&use);
    use_crew(&use, START, 0, 2);
    for (int day = 0; day < 30; day++)
        use_draw(&use, START + day * DAY + HOUR, 0, 6000 + 1000 * (day % 4));
    ForecastRate two = forecast_rate(&use, START + 30 * DAY, 0, -1);
    ForecastRate three = forecast_rate(&use, START + 30 * DAY, 0, 3);
    assert_close(two.persons, 2.0, 0.0);
    assert_close(three.day / two.day, 1.5, 1e-12);
    assert_close(three.noise / two.noise, 2.25, 1e-12);
    assert_close(two.person, 3.75, 0.4);
    assert_close(two.person * 2.0, two.day, 1e-12);
    assert_close(forecast_rate(&use, START + 30 * DAY, 0, 0).day, 0.0, 0.0);
}

static ForecastLevel level_of(const Use *use, double reckoned, int64_t known, int64_t now)
{
    const ForecastRate since = forecast_since(forecast_rate(use, now, 0, -1), use, known, now, 0);
    return forecast_level(&since, reckoned);
}

static void asking_changes_nothing(void **state)
{
    (void)state;
    Use use;
    use_init(&use);
    use_crew(&use, START, 0, 2);
    use_draw(&use, START + HOUR, 0, 6000);
    Use before = use;
    (void)forecast_rate(&use, START + 9 * DAY, 0, -1);
    (void)level_of(&use, 50.0, START, START + 9 * DAY);
    assert_memory_equal(&use, &before, sizeof use);
}

static void where_soundings_agree_the_level_is_as_reckoned(void **state)
{
    (void)state;
    Use use;
    use_init(&use);
    use_crew(&use, START, 0, 2);
    int64_t known = START;
    for (int day = 0; day < 30; day++) {
        int64_t at = START + day * DAY + 12 * HOUR;
        use_draw(&use, at, 0, 8000);
        if (day % 3 == 2) {
            use_unlogged(&use, known, at + HOUR, 0, 0);
            known = at + HOUR;
        }
    }
    for (int day = 30; day < 35; day++)
        use_draw(&use, START + day * DAY + 12 * HOUR, 0, 8000);
    ForecastLevel level = level_of(&use, 44.0, known, known + 5 * DAY);
    assert_close(level.expected, 44.0, 0.0);
    assert_close(level.low, 44.0, 0.0);
    assert_close(level.high, 44.0, 0.0);
}

/* One litre per person-day goes unlogged, two aboard, three days since: 6 L less. */
static void the_expected_level_falls_by_what_goes_unlogged(void **state)
{
    (void)state;
    Use use;
    use_init(&use);
    use_crew(&use, START, 0, 2);
    for (int i = 0; i < 10; i++)
        use_unlogged(&use, START + 2 * i * DAY, START + (2 * i + 2) * DAY, 0,
                     4000 + 200 * (i % 2 * 2 - 1));
    int64_t known = START + 20 * DAY;
    ForecastLevel level = level_of(&use, 44.0, known, known + 3 * DAY);
    assert_close(level.expected, 37.6, 0.2); /* a little of the prior in it */
    assert_true(level.low < level.expected && level.expected < level.high);
    assert_close(level.high, 44.0, 0.0); /* silent days: perhaps nobody was there */
    ForecastLevel later = level_of(&use, 44.0, known, known + 6 * DAY);
    assert_close(later.expected, 31.0, 0.4);
    assert_true(later.high - later.low > level.high - level.low);
    assert_close(level_of(&use, 44.0, known, known).low, 44.0, 0.0);
    assert_true(level_of(&use, 3.0, known, known + 30 * DAY).low == 0.0);
    /* With everybody away since, nothing is used. */
    use_crew(&use, known, 0, 0);
    assert_close(level_of(&use, 44.0, known, known + 30 * DAY).low, 44.0, 0.0);
}

/* domain 6: expected = reckoned - what is thought to be gone; the band's low end is the nine tenths
 * of that, and never below nothing. */
static void the_low_end_is_what_nine_tenths_of_the_use_leave(void **state)
{
    (void)state;
    Use use;
    use_init(&use);
    use_crew(&use, START, 0, 2);
    for (int day = 0; day < 60; day++)
        use_draw(&use, START + day * DAY + (day % 3) * HOUR, 0, 4000 + 1500 * (day % 4));
    use_missing(&use, START, START + 60 * DAY, 0, 40000, 500);
    int some = 0, none = 0;
    for (int days = 0; days < 24; days++) {
        const int64_t known = START + 60 * DAY, now = known + days * DAY;
        const ForecastRate since =
            forecast_since(forecast_rate(&use, now, 0, -1), &use, known, now, 0);
        for (double litres = 1.0; litres < 120.0; litres += 7.0) {
            const double left = litres - forecast_quantile(&since, 0.0, 0.9) - since.unsounded;
            const double low = forecast_level(&since, litres).low;
            assert_close(low, left > 0.0 ? left : 0.0, 1e-6);
            *(low > 0.0 ? &some : &none) += 1;
        }
    }
    assert_true(some > 50 && none > 50);
}

static void a_log_that_was_never_sounded_says_so_in_the_band_only(void **state)
{
    (void)state;
    Use use;
    use_init(&use);
    use_crew(&use, START, 0, 2);
    for (int day = 0; day < 30; day++)
        use_draw(&use, START + day * DAY, 0, 8000);
    int64_t now = START + 30 * DAY;
    ForecastLevel level = level_of(&use, 44.0, START + 20 * DAY, now);
    assert_close(level.expected, 44.0, 0.0);
    assert_close(level.high, 44.0, 0.0);
    assert_close(level.low, 44.0 - 0.1 * 8.0 * 10.0, 0.05); /* a tenth of 8 L a day, 10 days */
}

/* Who has been away for 5 days comes back with a chance of 1/6: with odds of 10 % and of 50 % the
 * day uses nothing at all. */
static void a_day_that_is_likely_away_uses_nothing(void **state)
{
    (void)state;
    ForecastRate rate = rate_of(8.0, 10.0, 1.0);
    rate.back = 1.0;
    rate.away = 5.0;
    assert_close(forecast_quantile(&rate, 1.0, 0.1), 0.0, 0.0);
    assert_close(forecast_quantile(&rate, 1.0, 0.83), 0.0, 0.0);
    assert_true(forecast_quantile(&rate, 1.0, 0.84) > 0.0);
}

/* Beyond 60 days nobody is counted away: the mean grows by all of a day at home. */
static void far_off_nobody_is_counted_away(void **state)
{
    (void)state;
    ForecastRate rate = rate_of(8.0, 10.0, 1.0);
    rate.leave = 0.1;
    rate.back = 1.0;
    assert_close(forecast_mean(&rate, 70.0) - forecast_mean(&rate, 60.0), 80.0, 1e-2);
    assert_true(forecast_mean(&rate, 60.0) - forecast_mean(&rate, 59.0) < 7.5);
    /* Up to a week silent days go like any; in a longer one a fifth of the odds are that none did.
     */
    ForecastRate week = rate;
    week.silent = 7.0;
    rate.silent = 0.0;
    assert_close(forecast_lasts(&week, 60.0, 1.0), forecast_lasts(&rate, 60.0, 8.0), 1e-12);
    week.silent = 7.001;
    assert_close(forecast_lasts(&week, 60.0, 1.0),
                 0.8 * forecast_lasts(&rate, 60.0, 8.001) + 0.2 * forecast_lasts(&rate, 60.0, 1.0),
                 1e-12);
    rate.silent = 900.0; /* a log that nobody opened for years is read at once */
    assert_true(forecast_mean(&rate, 0.0) > 780 * 8.0 && forecast_mean(&rate, 0.0) < 900 * 8.0);
    /* All of it is likely gone, and the band reaches to where nothing was used: 60 L at 8 a day. */
    const ForecastBand band = forecast_band(&rate, 60.0);
    assert_true(band.median.days < 1e-3 && band.early.days < 1e-3);
    assert_true(band.late.days > 60.0 / 8.0 / 2 && band.late.days < 60.0);
    assert_true(forecast_quantile(&rate, 0.0, 0.1) < 1e-6);
    assert_true(forecast_quantile(&rate, 0.0, 0.19) < 1e-6);
    assert_true(forecast_quantile(&rate, 0.0, 0.21) > 60.0);
}

/* 4 L were expected to be gone and 3 silent days charged at 8 L: what is found comes off the first,
 * then off the silence, and never gives back more. */
static void what_was_found_missing_comes_off_what_is_charged(void **state)
{
    (void)state;
    ForecastRate rate = rate_of(8.0, 10.0, 1.0);
    rate.past = 4.0;
    rate.silent = 3.0;
    assert_close(forecast_mean(&rate, 0.0), 28.0, 1e-9);
    ForecastRate some = forecast_found(rate, 3.0), more = forecast_found(rate, 12.0),
                 all = forecast_found(rate, 100.0);
    assert_close(forecast_mean(&some, 0.0), 25.0, 1e-9);
    assert_close(some.silent, 3.0, 0.0);
    assert_close(forecast_mean(&more, 0.0), 16.0, 1e-9);
    assert_close(more.silent, 2.0, 1e-12);
    assert_close(forecast_mean(&all, 0.0), 0.0, 0.0);
}

/* A silence that ended may have been lived through: 5 days of 8 L. The median stays within 15 %,
 * and no odds are better than three quarters of what they were plus a quarter with those 40 L gone.
 */
static void a_silence_that_ended_takes_hold_of_the_early_edge(void **state)
{
    (void)state;
    ForecastRate rate = rate_of(8.0, 10.0, 1.0), after = rate;
    after.maybe = 40.0;
    for (double days = 1.0; days < 12.0; days += 1.0)
        assert_close(forecast_lasts(&after, 80.0, days),
                     0.75 * forecast_lasts(&rate, 80.0, days) +
                         0.25 * forecast_lasts(&rate, 40.0, days),
                     1e-12);
    assert_close(forecast_band(&after, 80.0).median.days / forecast_band(&rate, 80.0).median.days,
                 1.0, 0.15);
    assert_close(forecast_band(&after, 80.0).early.days, forecast_time(&rate, 40.0, 0.4).days, 0.1);
    const ForecastLevel level = forecast_level(&after, 80.0);
    assert_close(level.expected, 80.0, 0.0);
    assert_close(level.high, 80.0, 0.0);
    assert_close(level.low, 40.0, 1e-3);
    assert_close(forecast_level(&after, 80.0).low, 80.0 - forecast_quantile(&after, 0.0, 0.9),
                 1e-9);
}

/* What is gone with mean 6 and variance 36 is exponential: a tenth of it under 6 ln(10/9), a tenth
 * over 6 ln 10. What may be gone besides where nobody ever sounded is in the low edge alone. */
static void the_level_has_a_band_of_ten_to_ninety_percent(void **state)
{
    (void)state;
    ForecastRate rate = rate_of(8.0, 10.0, 1.0);
    rate.past = 6.0;
    rate.past_variance = 36.0;
    ForecastLevel level = forecast_level(&rate, 80.0);
    assert_close(level.expected, 74.0, 1e-9);
    assert_close(level.low, 80.0 - 6.0 * log(10.0), 1e-4);
    assert_close(level.high, 80.0 - 6.0 * log(10.0 / 9.0), 1e-4);
    rate.unsounded = 5.0;
    level = forecast_level(&rate, 80.0);
    assert_close(level.expected, 74.0, 1e-9);
    assert_close(level.low, 75.0 - 6.0 * log(10.0), 1e-4);
    assert_close(level.high, 80.0 - 6.0 * log(10.0 / 9.0), 1e-4);
    assert_close(forecast_level(&rate, 10.0).low, 0.0, 0.0);
    rate.silent = 1.0; /* perhaps nobody was there */
    assert_close(forecast_level(&rate, 80.0).high, 80.0, 0.0);
}

/* tables/interval_score.csv, computed with mpmath 1.2.1. */
static void row_interval(const double c[CSV_COLUMNS], const char *line)
{
    (void)line;
    assert_close(score_interval(c[0], c[1], c[2], c[3]), c[4], 1e-12 * c[4]);
}

/* tables/crps.csv, closed forms checked by quadrature, computed with mpmath 1.2.1. The exponential
 * of rate r is the gamma of shape 1. */
static void row_crps(const double c[CSV_COLUMNS], const char *line)
{
    double got = strncmp(line, "normal", 6) == 0         ? score_crps_normal(c[1], c[2], c[3])
                 : strncmp(line, "exponential", 11) == 0 ? score_crps_gamma(1.0, c[1], c[3])
                                                         : score_crps_gamma(c[1], c[2], c[3]);
    if (!(fabs(got / c[4] - 1.0) < 1e-12))
        fail_msg("%s: got %.17g", line, got);
}

static void scoring_rules_agree_with_the_tables(void **state)
{
    (void)state;
    assert_int_equal(csv_each("interval_score", row_interval), 5);
    assert_int_equal(csv_each("crps", row_crps), 13);
    /* Hyndman & Athanasopoulos, Forecasting: Principles and Practice 3rd ed. (2021) section 5.9: p
     * 0.1, forecast 744.54, outcome 741.84: 4.86. */
    assert_close(score_pinball(0.1, 744.54, 741.84), 4.86, 1e-9);
    assert_close(score_pinball(0.9, 10.0, 12.0), 3.6, 1e-12);
    assert_true(score_pinball(0.5, 10.0, 10.0) == 0.0);
    /* A printed formula elsewhere has Phi(z) - 1 for 2 Phi(z) - 1; its own example, normal(0.1,
     * 0.4) at 0.0, is 0.10339992515976162 and agrees with the right one only. */
    assert_close(score_crps_normal(0.1, 0.4, 0.0), 0.10339992515976162, 1e-15);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_known_rate_is_a_gamma_process),
        cmocka_unit_test(moments_and_shape_are_as_worked_by_hand),
        cmocka_unit_test(a_doubtful_but_constant_rate_gives_reciprocal_times),
        cmocka_unit_test(odds_fall_with_time_and_rise_with_water),
        cmocka_unit_test(odds_are_those_of_every_way_the_days_can_go),
        cmocka_unit_test(an_absence_makes_the_water_last),
        cmocka_unit_test(times_undo_odds),
        cmocka_unit_test(an_empty_log_forecasts_common_practice),
        cmocka_unit_test(nobody_aboard_and_nothing_used_never_end),
        cmocka_unit_test(more_than_three_years_is_no_date),
        cmocka_unit_test(no_water_lasts_no_time),
        cmocka_unit_test(the_reserve_lasts_at_the_ration),
        cmocka_unit_test(the_ration_gives_the_odds_it_promises),
        cmocka_unit_test(what_is_needed_lasts_with_the_odds_asked),
        cmocka_unit_test(what_if_the_rate_were_another_keeps_the_relative_spread),
        cmocka_unit_test(so_much_less_of_everything_has_the_same_odds),
        cmocka_unit_test(what_if_the_crew_were_larger_scales_the_use),
        cmocka_unit_test(asking_changes_nothing),
        cmocka_unit_test(where_soundings_agree_the_level_is_as_reckoned),
        cmocka_unit_test(the_expected_level_falls_by_what_goes_unlogged),
        cmocka_unit_test(the_low_end_is_what_nine_tenths_of_the_use_leave),
        cmocka_unit_test(a_log_that_was_never_sounded_says_so_in_the_band_only),
        cmocka_unit_test(a_day_that_is_likely_away_uses_nothing),
        cmocka_unit_test(far_off_nobody_is_counted_away),
        cmocka_unit_test(what_was_found_missing_comes_off_what_is_charged),
        cmocka_unit_test(a_silence_that_ended_takes_hold_of_the_early_edge),
        cmocka_unit_test(the_level_has_a_band_of_ten_to_ninety_percent),
        cmocka_unit_test(scoring_rules_agree_with_the_tables),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
