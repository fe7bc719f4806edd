/* The use rate, learnt entry by entry: hand-worked cases and the promises of use.h. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "model/use.h"

#include <math.h>
#include <string.h>

#define HOUR INT64_C(3600000)
#define DAY (24 * HOUR)
/* A day number to start from: 2026-01-01 (20454 days after 1970-01-01). */
#define START (INT64_C(20454) * DAY)

static void assert_close(double got, double want, double tolerance)
{
    if (!(fabs(got - want) <= tolerance))
        fail_msg("got %.15g, want %.15g", got, want);
}

static void assert_within(double got, double want, double part)
{
    assert_close(got, want, part * want);
}

/* A log that begins at midnight with `persons` aboard. */
static Use begun(int32_t persons)
{
    Use use;
    use_init(&use);
    use_crew(&use, START, 0, persons);
    return use;
}

static void draw_on(Use *use, int day, int64_t ml)
{
    use_draw(use, START + day * DAY + 12 * HOUR, 0, ml);
}

static double mean_rate(const Use *use)
{
    UseRate rate = use_rate(use);
    return rate.logged + rate.unlogged + rate.prior;
}

static void an_empty_log_knows_the_prior_only(void **state)
{
    (void)state;
    Use use;
    use_init(&use);
    UseRate rate = use_rate(&use);
    assert_close(rate.share, 1.0, 0.0);
    /* Common practice, no source: 3.3 to 5 L per person-day. */
    assert_true(rate.prior > 3300.0 && rate.prior < 5000.0);
    assert_true(rate.logged == 0.0 && rate.unlogged == 0.0);
    assert_true(rate.variance.noise > 0.0 && rate.variance.doubt > 0.0);
    assert_int_equal(use_persons(&use), -1);
}

static void the_day_that_is_open_teaches_nothing_yet(void **state)
{
    (void)state;
    Use use = begun(1);
    draw_on(&use, 0, 4000);
    assert_int_equal(use.logged.spans, 0);
    draw_on(&use, 1, 500);
    assert_int_equal(use.logged.spans, 1);
    assert_close(pace_mean(&use.logged), 4000.0, 1e-9);
}

/* Nor does its first cup, whoever is aboard: nobody ever said, or nobody. */
static void a_cup_in_the_morning_is_no_day(void **state)
{
    (void)state;
    for (int said = 0; said < 2; said++) {
        Use use;
        use_init(&use);
        for (int day = 0; day < 14; day++)
            draw_on(&use, day, 4000);
        use_seen(&use, START + 14 * DAY, 0);
        if (said)
            use_crew(&use, START + 14 * DAY, 0, 0);
        Use cup = use;
        use_draw(&cup, START + 14 * DAY + 8 * HOUR, 0, 200);
        use_settle(&cup, START + 14 * DAY + 9 * HOUR, 0);
        assert_int_equal(cup.logged.spans, use.logged.spans);
        assert_int_equal(cup.stay.away, 0);
        use_draw(&cup, START + 14 * DAY + 10 * HOUR, 0, 4000); /* more than a usual day */
        use_settle(&cup, START + 14 * DAY + 11 * HOUR, 0);
        assert_int_equal(cup.logged.spans, use.logged.spans + 1);
    }
}

/* Days of 4 L and 2 L, half-lives of 5 and 365 days, a fifth of the weight on the long one:
 * with k = 0.5^(1/5) and m = 0.5^(1/365): 0.8 (4 k + 2)/(k + 1) + 0.2 (4 m + 2)/(m + 1), by hand.
 */
static void two_days_give_the_mean_worked_by_hand(void **state)
{
    (void)state;
    Use use = begun(1);
    draw_on(&use, 0, 4000);
    draw_on(&use, 1, 2000);
    use_seen(&use, START + 2 * DAY, 0);
    double k = pow(0.5, 1.0 / 5.0);
    double m = pow(0.5, 1.0 / 365.0);
    double want = 0.8 * (4000 * k + 2000) / (k + 1) + 0.2 * (4000 * m + 2000) / (m + 1);
    assert_close(pace_mean(&use.logged), want, 1e-9);
    assert_close(want, 2944.5, 0.5); /* (4 x 0.87055 + 2)/1.87055 = 2.9308; half of 6 = 2.9990 */
}

static void a_rate_is_per_person_and_day(void **state)
{
    (void)state;
    Use use = begun(4);
    draw_on(&use, 0, 12000);
    use_crew(&use, START + DAY, 0, 2);
    draw_on(&use, 1, 6000);
    use_seen(&use, START + 2 * DAY, 0);
    assert_close(pace_mean(&use.logged), 3000.0, 1e-9); /* 12 L / 4 and 6 L / 2 */
    assert_int_equal(use_persons(&use), 2);
}

/* A day is lived from 07 to 23. Two persons until 12:00, one after: 2 x 5 h + 11 h are 21 / 16
 * person-days, 4.2 L, so 3.2 L per person-day. The night counts for nothing. */
static void a_change_of_crew_within_a_day_is_counted_by_waking_hours(void **state)
{
    (void)state;
    Use use = begun(2);
    use_draw(&use, START + 9 * HOUR, 0, 4200);
    use_crew(&use, START + 12 * HOUR, 0, 1);
    use_seen(&use, START + DAY, 0);
    assert_close(pace_mean(&use.logged), 3200.0, 1e-9);
    assert_close(use_person_days(&use, START, START + DAY, 0), 21.0 / 16, 1e-12);
    assert_close(use_person_days(&use, START + 6 * HOUR, START + 18 * HOUR, 0), 1.0, 1e-12);
    assert_close(use_person_days(&use, START + 23 * HOUR, START + DAY + 7 * HOUR, 0), 0.0, 0.0);
    assert_close(use_person_days(&use, START + 22 * HOUR, START + DAY + 8 * HOUR, 0), 0.125, 1e-12);
    assert_close(use_person_days(&use, START, START + 7 * HOUR, 60), 0.125, 1e-12);
    assert_close(use_person_days(&use, START + DAY, START, 0), 0.0, 0.0);
    /* 1970 began on the 31st of December in the west: a day before it is a day, hour by hour */
    assert_close(use_person_days(&use, 5 * HOUR - DAY, 5 * HOUR, -300), 2.0, 1e-12);
    assert_close(use_person_days(&use, 12 * HOUR - DAY, 17 * HOUR - DAY, -300), 2 * 5.0 / 16,
                 1e-12);
    assert_true(use_aboard(&use, START + 23 * HOUR, START + DAY));
    use_crew(&use, START + DAY, 0, 0);
    assert_true(use_aboard(&use, START + DAY - 1, START + 2 * DAY));
    assert_false(use_aboard(&use, START + DAY, START + 2 * DAY));
    assert_false(use_aboard(&use, START, START));
}

static void splitting_a_draw_changes_no_byte(void **state)
{
    (void)state;
    Use one = begun(2);
    Use parts = begun(2);
    for (int day = 0; day < 20; day++) {
        use_draw(&one, START + day * DAY + 20 * HOUR, 0, 7001 + 13 * day);
        for (int i = 0; i < 10; i++)
            use_draw(&parts, START + day * DAY + (2 + 2 * i) * HOUR, 0, 700);
        use_draw(&parts, START + day * DAY + 20 * HOUR, 0, 1 + 13 * day);
    }
    assert_memory_equal(&one, &parts, sizeof one);
}

static void equal_histories_give_equal_bytes(void **state)
{
    (void)state;
    Use one;
    Use two;
    memset(&one, 0xA5, sizeof one);
    memset(&two, 0x5A, sizeof two);
    Use *uses[] = {&one, &two};
    for (int i = 0; i < 2; i++) {
        use_init(uses[i]);
        use_crew(uses[i], START, 60, 2);
        for (int day = 0; day < 40; day++) {
            draw_on(uses[i], day, 3000 + 700 * (day % 5));
            if (day % 4 == 3)
                use_unlogged(uses[i], START + (day - 3) * DAY, START + day * DAY + 18 * HOUR, 60,
                             900);
        }
    }
    assert_memory_equal(&one, &two, sizeof one);
}

/* 30 days of steady use, then everybody leaves for 60 days and says so: the streams are byte for
 * byte the same, and so is the rate. */
static void days_with_nobody_aboard_do_not_drag_the_rate_down(void **state)
{
    (void)state;
    Use use = begun(2);
    for (int day = 0; day < 30; day++)
        draw_on(&use, day, 8000);
    use_crew(&use, START + 30 * DAY, 0, 0);
    Use before = use;
    use_seen(&use, START + 45 * DAY, 0);
    use_unlogged(&use, START + 30 * DAY, START + 90 * DAY, 0, 0);
    use_crew(&use, START + 90 * DAY, 0, 2);
    use_settle(&use, START + 90 * DAY + HOUR, 0);
    assert_memory_equal(&use.logged, &before.logged, sizeof use.logged);
    assert_close(mean_rate(&use), mean_rate(&before), 1e-9);
    assert_int_equal(use.unlogged.spans, 0);
}

static void a_leak_with_nobody_aboard_is_no_use(void **state)
{
    (void)state;
    Use use = begun(2);
    use_crew(&use, START + DAY, 0, 0);
    use_unlogged(&use, START + DAY, START + 20 * DAY, 0, 15000);
    use_settle(&use, START + 21 * DAY, 0);
    assert_close(pace_mean(&use.unlogged), 0.0, 0.0);
}

/* Who only notes what they see has not stopped drinking: a note is no witness. Days with a fill and
 * no draw teach that nothing was drawn, for a week at most; a sounding that finds water missing
 * shows that people were there, and such days count again. */
static void days_without_a_draw_are_no_thrift(void **state)
{
    (void)state;
    Use use = begun(2);
    for (int day = 0; day < 60; day++)
        use_seen(&use, START + day * DAY + HOUR, 0);
    assert_int_equal(use.logged.spans, 0);
    assert_close(use_rate(&use).share, 1.0, 1e-12); /* all of the rate is still the prior's */
    for (int day = 60; day < 90; day++)
        draw_on(&use, day, 8000);
    const int64_t drawn = use.logged.spans; /* 29: the last day is still open */
    for (int day = 90; day < 150; day++)
        use_seen(&use, START + day * DAY + HOUR, 0);
    assert_int_equal(use.logged.spans, drawn + 1);
    for (int day = 150; day < 170; day++)
        use_witness(&use, START + day * DAY + HOUR, 0);
    assert_int_equal(use.logged.spans, drawn + 1 + USE_IDLE_DAYS);
    assert_int_equal(use.stay.away, 0); /* a fill is made by somebody */
    const int64_t before = use.logged.spans;
    use_unlogged(&use, START + 169 * DAY + HOUR, START + 170 * DAY + HOUR, 0, 8000);
    use_seen(&use, START + 172 * DAY + HOUR, 0);
    assert_true(use.logged.spans > before);
}

/* Twenty days of 5 L, then days of `ml` each. */
static UseRate after_days(int days, int64_t ml)
{
    Use use = begun(1);
    for (int day = 0; day < 20 + days; day++)
        draw_on(&use, day, day < 20 ? 5000 : ml);
    use_settle(&use, START + (20 + days) * DAY, 0);
    return use_rate(&use);
}

/* Domain: under a fifth of a day at home is a day away. It teaches the chances and no rate: 0.5
 * leavings in 40 days are the prior, and days are halved in 90. */
static void a_day_of_less_than_a_fifth_is_one_away(void **state)
{
    (void)state;
    const UseRate before = after_days(0, 0);
    assert_int_equal(before.away, 0);
    assert_int_equal(after_days(1, 1001).away, 0);
    assert_int_equal(after_days(1, 999).away, 1);
    const UseRate away = after_days(3, 999);
    assert_int_equal(away.away, 3);
    assert_close(away.logged, before.logged, 0.0);
    const double keep = pow(0.5, 1.0 / 90.0), home = (1 - pow(keep, 20)) / (1 - keep);
    assert_close(before.leave, 0.5 / (40 + home), 1e-12);
    assert_close(after_days(1, 999).leave, 1.5 / (40 + home * keep + 1), 1e-12);
    assert_close(away.back, 3 / (2 + keep / 2 + 1.0 / 3), 1e-12); /* chances 1/2, 1/3, no return */
    /* What somebody draws for more than four weeks is a habit. */
    assert_int_equal(after_days(28, 999).away, 28);
    assert_int_equal(after_days(29, 999).away, 0);
}

/* Who draws nothing for longer than four weeks has no habit of it: a week after the other in which
 * a sounding proves it, and they are away all the while, the rate what it was. */
static void an_absence_that_is_proved_is_no_habit(void **state)
{
    (void)state;
    Use use = begun(1);
    for (int day = 0; day < 20; day++)
        draw_on(&use, day, 5000);
    for (int week = 0; week < 6; week++)
        use_unlogged(&use, START + (20 + 7 * week) * DAY - 1, START + (27 + 7 * week) * DAY, 0, 0);
    assert_int_equal(use_rate(&use).away, 42);
    assert_close(pace_level(&use.logged), 5000.0, 1e-6);
    draw_on(&use, 62, 5000); /* and they come back once */
    use_seen(&use, START + 63 * DAY, 0);
    assert_int_equal(use_rate(&use).away, 0);
    assert_close(use.stay.back.sum, 1.0, 0.01);
}

/* A draw of today puts the crew at home; a sounding that finds nothing missing over silent days
 * proves them away, one that finds their use at home; and a fill without a draw says neither. */
static void what_puts_a_crew_at_home_or_away(void **state)
{
    (void)state;
    Use use = begun(1);
    for (int day = 0; day < 20; day++)
        draw_on(&use, day, 5000);
    Use other = use;
    use_unlogged(&use, START + 20 * DAY - 1, START + 24 * DAY, 0, 0);
    assert_int_equal(use_rate(&use).away, 4);
    use_draw(&use, START + 24 * DAY + HOUR, 0, 1001);
    assert_int_equal(use_rate(&use).away, 0);
    use = other;
    use_unlogged(&use, START + 20 * DAY - 1, START + 24 * DAY, 0, 19000);
    assert_int_equal(use_rate(&use).away, 0);
    use = other;
    for (int day = 20; day < 24; day++)
        use_witness(&use, START + day * DAY + HOUR, 0);
    assert_int_equal(use_rate(&use).away, 0);
}

/* Silence of any length teaches nothing, with a note a day or without: the rate is what it was.
 * Where a sounding finds what a crew uses, at least a quarter of it, they were there. */
static void a_silence_teaches_nothing(void **state)
{
    (void)state;
    Use use = begun(2);
    for (int day = 0; day < 30; day++)
        draw_on(&use, day, 8000);
    for (int days = 0; days <= 14; days++) {
        for (int notes = 0; notes <= 1; notes++) {
            Use silent = use;
            for (int day = 30; notes && day < 30 + days; day++)
                use_seen(&silent, START + day * DAY + HOUR, 0);
            draw_on(&silent, 30 + days, 8000);
            assert_int_equal(silent.logged.spans, 30);
            draw_on(&silent, 31 + days, 8000);
            assert_close(pace_mean(&silent.logged), 4000.0, 1e-6);
        }
    }
    Use silent = use;
    draw_on(&silent, 400, 8000);
    assert_int_equal(silent.logged.spans, 30);
    /* Three days of 8 L: 24 L expected, to within a hundredth. */
    const int64_t from = START + 30 * DAY - 1, to = from + 3 * DAY;
    use_witness(&use, from, 0);
    silent = use;
    use_unlogged(&silent, from, to, 0, 5900);
    assert_int_equal(silent.logged.spans, 30);
    use_unlogged(&use, from, to, 0, 6100);
    assert_int_equal(use.logged.spans, 32);
}

/* Of two who draw 5 L a day and are found to have used 3 more a quarter of all 8 is what tells. */
static void a_quarter_is_one_of_what_is_drawn_and_forgotten(void **state)
{
    (void)state;
    Use use = begun(2);
    for (int day = 0; day < 35; day++) {
        draw_on(&use, day, 5000);
        if (day % 7 == 6)
            use_unlogged(&use, START + (day - 6) * DAY, START + (day + 1) * DAY - HOUR, 0, 21000);
    }
    const int64_t from = START + 35 * DAY - HOUR, to = from + 3 * DAY, spans = use.logged.spans;
    Use away = use;
    use_unlogged(&away, from, to, 0, 5900); /* of 24 L */
    assert_int_equal(away.logged.spans, spans + 1);
    use_unlogged(&use, from, to, 0, 6100);
    assert_int_equal(use.logged.spans, spans + 3);
}

/* use.h: over more than a week of silence with next to nothing missing nothing could go unlogged: 4 L
 * of two, 0.5 of them found after it, are of the two days after it alone. A week is a week. */
static void an_absence_is_no_time_in_which_use_goes_unlogged(void **state)
{
    (void)state;
    for (int silent = 7; silent <= 9; silent++) {
        Use use = begun(2);
        for (int day = 0; day < 30; day++)
            draw_on(&use, day, 8000);
        const int64_t back = START + (30 + silent) * DAY;
        use_unlogged(&use, START + 30 * DAY - HOUR, back + 12 * HOUR, 0, 500); /* 5 h awake */
        draw_on(&use, 30 + silent, 8000);
        draw_on(&use, 31 + silent, 8000);
        use_unlogged(&use, back + 12 * HOUR, back + 2 * DAY - HOUR, 0, 3500);
        use_settle(&use, back + 2 * DAY, 0);
        const UseSpan *span = &use.unlogged.span[(use.unlogged.spans - 1) % USE_SPANS];
        if (silent > USE_IDLE_DAYS) {
            assert_close(span->days, 2.0, 1e-9);
            assert_close(span->ml, 2000.0, 1e-9);
        } else /* 5 h short of two days */
            assert_close(span->days, 2.0 - 5.0 / 16, 1e-9);
    }
}

static void a_day_counts_only_with_a_witness(void **state)
{
    (void)state;
    Use use = begun(1);
    draw_on(&use, 0, 3000);
    use_witness(&use, START + 3 * DAY + HOUR, 0);
    assert_int_equal(use.logged.spans, 1); /* day 0; nobody knows of days 1 and 2 */
    Use later = use;
    use_settle(&later, START + 6 * DAY, 0); /* day 3 had a witness; days 4 and 5 had none */
    assert_int_equal(later.logged.spans, 2);
    assert_int_equal(use.logged.spans, 1);
}

/* A crew that sounds every ten days and logs no draw: what is missing shows that they are there. */
static void a_silence_with_much_missing_was_no_absence(void **state)
{
    (void)state;
    Use use = begun(2);
    for (int i = 0; i < 6; i++)
        use_unlogged(&use, START + i * 10 * DAY, START + (i + 1) * 10 * DAY, 0, 60000);
    use_settle(&use, START + 61 * DAY, 0);
    assert_close(pace_mean(&use.unlogged), 3000.0, 1e-6); /* 60 L / 20 person-days */
    assert_close(mean_rate(&use), 3000.0, 60.0);
    assert_true(use_rate(&use).share < 0.05);
    /* Nothing missing over the next 100 days: they were away, the rate stays. */
    Use away = use;
    use_unlogged(&away, START + 60 * DAY, START + 160 * DAY, 0, 0);
    use_settle(&away, START + 161 * DAY, 0);
    assert_true(mean_rate(&away) > 0.75 * mean_rate(&use));
}

static void vessels_sounded_one_after_the_other_count_their_time_once(void **state)
{
    (void)state;
    Use use = begun(1);
    int64_t then = START + 2 * DAY;
    use_unlogged(&use, START, then, 0, 1000);
    use_unlogged(&use, START, then + 60000, 0, 500);
    use_unlogged(&use, START, then + 120000, 0, 500);
    use_settle(&use, then + HOUR, 0);
    assert_int_equal(use.unlogged.spans, 1);
    assert_close(pace_mean(&use.unlogged), 1000.0, 1.0); /* 2 L in 2 days and 2 minutes */
}

/* At the same moment, too, and at night, when no time of waking has gone by yet. */
static void vessels_sounded_at_one_moment_add_up(void **state)
{
    (void)state;
    const int64_t end = START + 2 * DAY;
    for (int night = 0; night <= 1; night++) {
        Use use = begun(1);
        const int64_t then = night ? START + 6 * HOUR : end;
        use_unlogged(&use, START, then, 0, 1000);
        use_unlogged(&use, START, then, 0, 500);
        use_unlogged(&use, START, end, 0, 0);
        use_settle(&use, end + HOUR, 0);
        assert_int_equal(use.unlogged.spans, 1);
        assert_close(pace_mean(&use.unlogged), 750.0, 1e-9); /* 1.5 L in 2 days */
    }
}

static void a_sounding_that_agrees_is_information(void **state)
{
    (void)state;
    Use use = begun(1);
    use_unlogged(&use, START, START + 2 * DAY, 0, 2000);
    use_unlogged(&use, START + 2 * DAY, START + 4 * DAY, 0, 0);
    Use once = use;
    use_settle(&use, START + 5 * DAY, 0);
    double k = pow(0.5, 2.0 / 5.0);
    double m = pow(0.5, 2.0 / 365.0);
    assert_close(pace_mean(&use.unlogged), 0.8 * 1000 * k / (k + 1) + 0.2 * 1000 * m / (m + 1),
                 1e-6);
    assert_close(pace_mean(&once.unlogged), 1000.0, 1e-9);
}

static void a_gain_takes_back_and_never_makes_a_rate_negative(void **state)
{
    (void)state;
    Use use = begun(1);
    use_unlogged(&use, START, START + 2 * DAY, 0, 1000);
    use_unlogged(&use, START, START + 2 * DAY + HOUR, 0, -400); /* at night */
    use_settle(&use, START + 3 * DAY, 0);
    assert_close(pace_mean(&use.unlogged), 300.0, 1e-9);
    for (int i = 1; i < 9; i++)
        use_unlogged(&use, START + 2 * i * DAY, START + (2 * i + 2) * DAY, 0, -5000);
    assert_true(pace_mean(&use.unlogged) == 0.0);
    assert_true(pace_base(&use.unlogged) == 0.0);
    assert_true(mean_rate(&use) >= 0.0);
}

static void what_is_drawn_with_nobody_aboard_was_drawn_by_somebody(void **state)
{
    (void)state;
    Use use = begun(0);
    draw_on(&use, 0, 2500);
    draw_on(&use, 1, 0);
    assert_close(pace_mean(&use.logged), 2500.0, 1e-9);
}

/* 2026-01-01 23:30 at UTC+1 is 22:30Z; 00:30 on the 2nd is 23:30Z on the 1st: another local day. */
static void days_are_local_days(void **state)
{
    (void)state;
    Use use;
    use_init(&use);
    use_crew(&use, START - HOUR, 60, 1);
    use_draw(&use, START + 22 * HOUR + HOUR / 2, 60, 1000);
    assert_int_equal(use.logged.spans, 0);
    use_draw(&use, START + 23 * HOUR + HOUR / 2, 60, 700);
    assert_int_equal(use.logged.spans, 1);
    assert_close(pace_mean(&use.logged), 1000.0, 1e-9);
    assert_int_equal(use.day_ml, 700);
}

/* Central Europe, 2026-03-29: the zone goes from 60 to 120 minutes at 01:00Z; that local day has 23
 * hours, and as many waking ones as any: one day (day 20541). */
static void the_day_that_the_clocks_change_is_one_day(void **state)
{
    (void)state;
    Use use;
    use_init(&use);
    int64_t day = INT64_C(20541);
    use_crew(&use, day * DAY - HOUR, 60, 1);
    use_draw(&use, day * DAY + 6 * HOUR, 120, 3000);
    use_draw(&use, (day + 1) * DAY + 6 * HOUR, 120, 3000);
    assert_int_equal(use.logged.spans, 1);
    assert_close(pace_mean(&use.logged), 3000.0, 1e-9);
}

/* Sailing west, the calendar goes back a day: nothing is closed twice, nothing lost. */
static void a_day_that_comes_again_goes_on(void **state)
{
    (void)state;
    Use use;
    use_init(&use);
    use_crew(&use, START, 0, 1);
    use_draw(&use, START + HOUR, 0, 1000);
    use_draw(&use, START + 2 * HOUR, -300, 1000); /* 21:00 of the day before */
    assert_int_equal(use.logged.spans, 0);
    assert_int_equal(use.day_ml, 2000);
}

static void an_earlier_time_counts_as_the_last_one(void **state)
{
    (void)state;
    Use use = begun(1);
    draw_on(&use, 5, 1000);
    Use before = use;
    use_draw(&use, START, 0, 500);
    assert_int_equal(use.day, before.day);
    assert_int_equal(use.last_at, before.last_at);
    assert_int_equal(use.day_ml, 1500);
}

static void steady_use_is_learnt_and_becomes_nearly_sure(void **state)
{
    (void)state;
    Use use = begun(2);
    for (int day = 0; day < 120; day++)
        draw_on(&use, day, 6000);
    UseRate rate = use_rate(&use);
    assert_close(mean_rate(&use), 3000.0, 10.0);
    double week = 7.0 * rate.variance.noise + 49.0 * rate.variance.doubt;
    assert_true(week > 0.0);
    assert_true(sqrt(week) < 0.05 * 7.0 * 3000.0);
    assert_true(rate.share < 0.01);
}

/* A deterministic stand-in for chance: 2 to 6 L, independent from day to day. */
static int64_t chance_ml(uint32_t *seed)
{
    *seed = *seed * 1664525U + 1013904223U;
    return 2000 + (int64_t)((*seed >> 8) % 4001U);
}

/* Uniform on 2..6 L: variance 4^2/12 = 1.333 L^2 a day. Independent days: a week has 7 times that,
 * plus what the forecast itself is off. */
static void independent_days_have_their_variance_learnt(void **state)
{
    (void)state;
    Use use = begun(1);
    uint32_t seed = 7;
    double sum = 0.0;
    int counted = 0;
    for (int day = 0; day < 800; day++) {
        draw_on(&use, day, chance_ml(&seed));
        if (day > 60) {
            UseVariance v = use_rate(&use).variance;
            sum += 7.0 * v.noise + 49.0 * v.doubt;
            counted++;
        }
    }
    double week = sum / counted / 1e6;
    assert_true(week > 7.0 * 1.333);       /* never under what chance alone makes */
    assert_true(week < 2.5 * 7.0 * 1.333); /* nor wildly above */
}

/* Whole quiet and busy fortnights: weeks vary far more than seven independent days of that spread.
 */
static void days_that_hang_together_make_the_rate_doubtful(void **state)
{
    (void)state;
    Use loose = begun(1);
    Use tied = begun(1);
    uint32_t seed = 99;
    int64_t block = 0;
    for (int day = 0; day < 400; day++) {
        int64_t ml = chance_ml(&seed);
        block = day % 14 == 0 ? ml : block;
        draw_on(&loose, day, ml);
        draw_on(&tied, day, block);
    }
    UseVariance a = use_rate(&loose).variance;
    UseVariance b = use_rate(&tied).variance;
    assert_true(b.doubt > 2.0 * a.doubt);
    assert_true(b.noise < a.noise);
    assert_true(7.0 * a.drift <= a.noise * (1.0 + 1e-12) &&
                7.0 * b.drift <= b.noise * (1.0 + 1e-12));
}

static void one_burst_moves_the_rate_less_than_a_plain_mean_would(void **state)
{
    (void)state;
    Use use = begun(1);
    uint32_t seed = 3;
    for (int day = 0; day < 60; day++)
        draw_on(&use, day, chance_ml(&seed));
    use_seen(&use, START + 60 * DAY, 0);
    double before = mean_rate(&use);
    draw_on(&use, 60, 60000);
    use_seen(&use, START + 61 * DAY, 0);
    double after = mean_rate(&use);
    double plain =
        before + 0.13 * (60000.0 - before) * 0.8; /* 1 - 0.5^(1/5) = 0.13 of the new day */
    assert_true(after > before);
    assert_true(after - before < 0.25 * (plain - before));
}

static double mean_of(UseMean mean)
{
    return mean.sum / mean.weight;
}

/* Days of 1 and 3 L in turn: mean 2 L, standard deviation 1 L. A burst counts for the level up to
 * 2.5 of them above the mean, 4.5 L, and with 1 - 0.5^(1/5) = 0.1294 of the fast mean; its error as
 * at most 2.5 sqrt(pi/2) = 3.1333 usual ones, of whose weight 0.5^(1/30) is kept. By hand. */
static void one_burst_counts_for_so_much_and_no_more(void **state)
{
    (void)state;
    for (int64_t burst = 60000; burst <= 600000; burst *= 10) {
        Use use = begun(1);
        for (int day = 0; day < 200; day++)
            draw_on(&use, day, day % 2 ? 3000 : 1000);
        use_seen(&use, START + 200 * DAY, 0);
        const double fast = mean_of(use.logged.fast);
        const UseMean error = use.logged.span_error;
        draw_on(&use, 200, burst);
        use_seen(&use, START + 201 * DAY, 0);
        assert_close(mean_of(use.logged.fast) - fast, 0.1294 * (4500.0 - fast), 15.0);
        const double kept = error.weight * pow(0.5, 1.0 / 30.0);
        assert_close(mean_of(use.logged.span_error) / mean_of(error),
                     (kept + 2.5 * 1.2533141) / (kept + 1.0), 1e-5);
    }
}

static void a_new_habit_is_followed_within_two_weeks(void **state)
{
    (void)state;
    Use use = begun(1);
    for (int day = 0; day < 60; day++)
        draw_on(&use, day, 3000 + 200 * (day % 3));
    for (int day = 60; day < 74; day++)
        draw_on(&use, day, 6000 + 200 * (day % 3));
    assert_true(mean_rate(&use) > 4500.0);
}

/* The same week over and over: whichever weekday it is, the rate stays within an eighth of the
 * week's own mean, 28 L / 7, though single days go from 3 to 7 L. */
static void the_rate_is_blind_to_the_weekday(void **state)
{
    (void)state;
    static const int64_t week[7] = {3000, 3000, 3000, 3000, 3000, 6000, 7000};
    Use use = begun(1);
    double low = 1e9;
    double high = 0.0;
    for (int day = 0; day < 140; day++) {
        draw_on(&use, day, week[day % 7]);
        if (day > 70) {
            double rate = mean_rate(&use);
            low = rate < low ? rate : low;
            high = rate > high ? rate : high;
        }
    }
    assert_true(low > 0.875 * 4000.0 && high < 1.125 * 4000.0);
}

static void soundings_alone_give_the_same_rate_as_every_draw(void **state)
{
    (void)state;
    Use drawn = begun(2);
    Use sounded = begun(2);
    uint32_t seed = 11;
    int64_t since = 0;
    int64_t from = START;
    for (int day = 0; day < 90; day++) {
        int64_t ml = chance_ml(&seed);
        use_draw(&drawn, START + day * DAY + 23 * HOUR, 0, ml);
        since += ml;
        if (day % 3 == 2) {
            use_unlogged(&sounded, from, START + day * DAY + 23 * HOUR, 0, since);
            from = START + day * DAY + 23 * HOUR;
            since = 0;
        }
    }
    use_settle(&drawn, START + 90 * DAY, 0);
    use_settle(&sounded, START + 90 * DAY, 0);
    assert_close(mean_rate(&sounded) / mean_rate(&drawn), 1.0, 0.06);
    assert_close(use_rate(&sounded).logged, 0.0, 0.0);
}

static void assert_silence(const Use *use, int64_t from, int64_t now, double open, double closed)
{
    const UseSilence got = use_silence(use, from, now, 0);
    assert_close(got.open, open, 0.1);
    assert_close(got.closed, closed, 0.1);
}

/* Days that nothing witnesses, whole ones with a crew aboard, since a moment and up to now. */
static void silent_days_are_counted(void **state)
{
    (void)state;
    Use use = begun(2);
    draw_on(&use, 0, 1000);
    use_seen(&use, START + 2 * DAY + HOUR, 0);
    draw_on(&use, 5, 1000);
    use_seen(&use, START + 8 * DAY + HOUR, 0);
    use_settle(&use, START + 10 * DAY + HOUR, 0);
    const int64_t now = START + 10 * DAY + HOUR;
    assert_silence(&use, START, now, 2 * 4, 2 * 4); /* 6-9, 1-4 */
    assert_silence(&use, START + 3 * DAY, now, 2 * 4, 2);
    assert_silence(&use, START + 9 * DAY, now, 0, 0);
    Use back = use;
    draw_on(&back, 10, 1000);
    assert_silence(&back, START, START + 10 * DAY + 23 * HOUR, 2 * 4, 2 * 4);
    draw_on(&back, 11, 1000);
    assert_silence(&back, START, START + 11 * DAY + 23 * HOUR, 0, 2 * 8);
    use_crew(&use, now, 0, 0);
    assert_silence(&use, START + 9 * DAY, now + 9 * DAY, 2.0 / 24, 0); /* an hour of day 10 */
    draw_on(&use, 300, 1000);
    use_crew(&use, START + 300 * DAY + 23 * HOUR, 0, 1);
    use_settle(&use, START + 500 * DAY, 0);
    assert_silence(&use, START, START + 500 * DAY, 199, 0);
}

/* Six weeks of 4 L a day, five days of nothing at all, some days more, and a sounding. */
static Use sounded_after_silence(int64_t missing, bool aboard, int days)
{
    Use use = begun(1);
    for (int day = 0; day < 42; day++)
        draw_on(&use, day, 4000);
    use_crew(&use, START + 42 * DAY - HOUR, 0, aboard);
    use_crew(&use, START + 47 * DAY, 0, 1);
    for (int day = 47; day < 47 + days; day++)
        draw_on(&use, day, 4000);
    use_unlogged(&use, START + 41 * DAY, START + (46 + days) * DAY + 20 * HOUR, 0, missing);
    return use;
}

/* A quarter of the 20 L of those days has to be missing that they may have been lived through. With
 * less they were away: left once in some 42 days (0.5 in 40 was said before), came back after 5. */
static void a_sounding_tells_what_an_ended_silence_was(void **state)
{
    (void)state;
    const Use away = sounded_after_silence(4900, true, 3),
              lived = sounded_after_silence(5100, true, 3),
              nobody = sounded_after_silence(0, false, 3),
              gain = sounded_after_silence(-500, true, 3);
    const int64_t now = START + 49 * DAY + 21 * HOUR;
    assert_silence(&away, START, now, 0, 0);
    assert_silence(&lived, START, now, 0, 5);
    assert_silence(&gain, START, now, 0, 5);
    assert_close(use_rate(&lived).leave, use_rate(&nobody).leave, 0.001);
    assert_close(use_rate(&gain).leave, use_rate(&nobody).leave, 0.001);
    assert_close(use_rate(&nobody).leave, 0.5 / 77, 0.002);
    assert_close(use_rate(&away).leave, 1.5 / 78, 0.002);
    assert_close(use_rate(&away).back,
                 (3.0 + 1.0) / (2.0 + 1.0 / 2 + 1.0 / 3 + 1.0 / 4 + 1.0 / 5 + 1.0 / 6), 0.02);
    assert_int_equal(use_rate(&away).away, 0);
    /* the same on the day of the return itself */
    const Use back = sounded_after_silence(0, true, 1);
    assert_close(use_rate(&back).back, use_rate(&away).back, 0.001);
    assert_silence(&back, START, START + 47 * DAY + 21 * HOUR, 0, 0);
    assert_int_equal(use_rate(&back).away, 0);
}

/* What a change of crew does to the use is doubt of its own: it is no error of what was expected of
 * the crew before. */
static void a_change_of_crew_is_no_error_of_the_weeks_before(void **state)
{
    (void)state;
    Use use = begun(1);
    for (int day = 0; day < 56; day++)
        draw_on(&use, day, 4000);
    const double before = mean_value(&use.logged.window_error);
    use_crew(&use, START + 56 * DAY, 0, 2);
    for (int day = 56; day < 63; day++)
        draw_on(&use, day, 4000);
    assert_true(mean_value(&use.logged.window_error) <= before);
    /* Who comes back in the same number is expected to use what they used. */
    Use same = begun(1);
    for (int day = 0; day < 56; day++)
        draw_on(&same, day, 4000);
    use_crew(&same, START + 56 * DAY, 0, 1);
    for (int day = 56; day < 60; day++)
        draw_on(&same, day, 8000);
    assert_true(mean_value(&same.logged.window_error) > before);
}

/* Eight weeks of 8 L a day for two, every draw logged, weekly soundings that find `missing` mL. */
static Use weeks_of_soundings(int64_t missing)
{
    Use use = begun(2);
    for (int day = 0; day < 56; day++) {
        draw_on(&use, day, 8000);
        if (day % 7 == 6)
            assert_true(use_missing(&use, START + (day - 6) * DAY, START + (day + 1) * DAY - HOUR,
                                    0, missing, 1000));
    }
    return use;
}

/* Domain 6: what ordinary use explains with a chance under 1 in 200 is a leak, and teaches nothing;
 * two days' use, 16 L, is one. */
static void a_loss_that_use_does_not_explain_teaches_nothing(void **state)
{
    (void)state;
    Use use = weeks_of_soundings(0);
    const int64_t from = START + 56 * DAY - HOUR, to = START + 63 * DAY - HOUR;
    use_settle(&use, from, 0);
    for (int day = 56; day < 63; day++)
        draw_on(&use, day, 8000);
    const int64_t most = (int64_t)use_unlogged_most(&use, from, to, 0, 1000);
    assert_true(most > 500 && most < 15000);
    Use leak = use, used = use, nothing = use;
    assert_false(use_missing(&leak, from, to, 0, most + 1, 1000));
    assert_true(use_missing(&used, from, to, 0, most - 1, 1000));
    /* Another at once: what a reading may err by is no leak beside it, a millilitre more is. */
    Use errs = used, more = used;
    assert_true(use_missing(&errs, from, to, 0, 1000, 1000));
    assert_false(use_missing(&more, from, to, 0, 1001, 1000));
    assert_true(use_missing(&nothing, from, to, 0, -5000, 1000));
    use_settle(&leak, START + 64 * DAY, 0);
    use_settle(&used, START + 64 * DAY, 0);
    assert_true(use_rate(&leak).unlogged < 1.0);
    assert_true(use_rate(&used).unlogged > 10.0);
    /* The next sounding counts from this one. */
    Use next = leak;
    assert_true(use_missing(&next, from, to + 7 * DAY, 0, 700, 0));
    use_settle(&next, START + 80 * DAY, 0);
    assert_close(next.unlogged.span[(next.unlogged.spans - 1) % USE_SPANS].days, 7.0, 1e-9);
}

/* Who forgets a quarter of every draw forgets twice as much where twice as much is drawn: 17 L
 * beside 56 L drawn are ordinary, beside 28 L they are not. */
static void what_was_drawn_tells_what_was_forgotten(void **state)
{
    (void)state;
    static const int64_t drawn[] = {4000, 8000, 6000, 5000, 7000, 4000, 8000, 8000, 4000, 6000};
    Use use = begun(1);
    for (int week = 0; week < 31; week++) {
        const int64_t each = drawn[week % 10], to = START + (week + 1) * 7 * DAY - HOUR;
        for (int day = 0; day < 7; day++)
            draw_on(&use, 7 * week + day, each);
        Use found = use;
        if (week == 26 || week == 30)
            assert_true(use_missing(&found, to - 7 * DAY, to, 0, 17000, 500) == (week == 26));
        (void)use_missing(&use, to - 7 * DAY, to, 0, each * 7 / 4, 500);
    }
}

/* Four leave at 15 o'clock, half of the waking day: the 4 L of that day are half of their 8. And
 * nobody is aboard on the days after it, though somebody looks in: they teach nothing. */
static void a_day_that_nobody_is_aboard_on_teaches_nothing(void **state)
{
    (void)state;
    Use use = begun(4);
    for (int day = 0; day < 20; day++)
        draw_on(&use, day, 8000);
    use_seen(&use, START + 20 * DAY, 0);
    const UseRate before = use_rate_of(&use, 4);
    draw_on(&use, 20, 4000);
    use_crew(&use, START + 20 * DAY + 15 * HOUR, 0, 0);
    use_seen(&use, START + 21 * DAY, 0);
    const double spans = (double)use.logged.spans;
    assert_close(pace_mean(&use.logged), 2000.0, 1e-6);
    for (int day = 21; day < 30; day++)
        use_witness(&use, START + day * DAY + 12 * HOUR, 0);
    use_seen(&use, START + 30 * DAY, 0);
    assert_close((double)use.logged.spans, spans, 0.0);
    assert_close(before.logged + before.prior, use_rate(&use).logged + use_rate(&use).prior, 50.0);
    /* What is drawn on such a day somebody drew: one. */
    draw_on(&use, 30, 3000);
    use_seen(&use, START + 31 * DAY, 0);
    assert_close(use.logged.span[(use.logged.spans - 1) % USE_SPANS].ml, 3000.0, 1e-6);
    assert_close(use.logged.span[(use.logged.spans - 1) % USE_SPANS].days, 1.0, 1e-6);
}

/* So many years of weekly soundings for one: `each` mL a day drawn, and found missing in turn. */
static Use years_of_soundings(int weeks, int64_t each, int64_t odd, int64_t even)
{
    Use use = begun(1);
    for (int day = 0; day < 7 * weeks; day++) {
        draw_on(&use, day, each);
        if (day % 7 == 6)
            use_unlogged(&use, START + (day - 6) * DAY, START + (day + 1) * DAY - HOUR, 0,
                         day / 7 % 2 == 0 ? odd : even);
    }
    use_settle(&use, START + 7 * weeks * DAY - HOUR, 0);
    return use;
}

/* What may be missing after one more week with so much drawn each day, readings erring by `error`.
 */
static double most_of_next_week(const Use *years, int weeks, int64_t each, int64_t error)
{
    Use use = *years;
    for (int day = 7 * weeks; day < 7 * weeks + 7; day++)
        draw_on(&use, day, each);
    const int64_t from = START + 7 * weeks * DAY - HOUR;
    return use_unlogged_most(&use, from, from + 7 * DAY, 0, error);
}

/* By hand: 28 L drawn and 7 missing, a quarter, week by week for years. Half-life 90 days: 130.3
 * days, 18.6 weeks that tell as much as 37.2; the prior is two weeks, each 0.3 of 7 L off. So 2 x
 * 2.1^2 / (130.3 + 14) = 0.0611 L^2 a day; t for 39 degrees of freedom 2.708, for 9 3.250
 * (NIST/SEMATECH e-Handbook, 1.3.6.7.2). */
static void the_share_that_is_forgotten_is_learnt_with_its_scatter(void **state)
{
    (void)state;
    enum { WEEKS = 400 };
    const Use steady = years_of_soundings(WEEKS, 4000, 7000, 7000);
    assert_within(most_of_next_week(&steady, WEEKS, 4000, 500), 7000 + 2708 * sqrt(0.0611 * 7),
                  0.002);
    /* Twice as much drawn: half of the scatter goes by the draws, and a span beyond the usual errs
     * as one. Nothing drawn: a day's draws are counted on. */
    assert_within(most_of_next_week(&steady, WEEKS, 8000, 500),
                  14000 + 2708 * sqrt(0.0611 * 10.5 * 1.5), 0.002);
    assert_within(most_of_next_week(&steady, WEEKS, 0, 500), 1000 + 2708 * sqrt(0.0611 * 4), 0.002);
    /* A sounding's own error is in what soundings taught: it is the least, and adds nothing. */
    assert_close(most_of_next_week(&steady, WEEKS, 4000, 5000), 12000, 10);
    /* 5 and 9 L in turn: each 2 L off (and 0.05, by what the one before taught). */
    const Use varied = years_of_soundings(WEEKS, 4000, 5000, 9000);
    const double a_day = (2.05 * 2.05 / 7 * 130.3 + 2 * 2.1 * 2.1) / (130.3 + 14);
    assert_within(most_of_next_week(&varied, WEEKS, 4000, 500), 7000 + 2708 * sqrt(a_day * 7),
                  0.01);
    /* Of few soundings each tells its own: the second is the first that has an error, of 6.841 days.
     * With 3.004 degrees of freedom the three terms of Abramowitz and Stegun's 26.7.5, 4.917, 8.834
     * and 12.14, make 5.640. */
    const Use two = years_of_soundings(2, 4000, 7000, 7000);
    assert_within(most_of_next_week(&two, 2, 4000, 500),
                  7000 + 5640 * sqrt(2 * 2.1 * 2.1 / (6.841 + 14) * 7), 0.0001);
    const Use eight = years_of_soundings(8, 4000, 7000, 7000);
    assert_within(most_of_next_week(&eight, 8, 4000, 500),
                  7000 + 3250 * sqrt(2 * 2.1 * 2.1 / (41 + 14) * 7), 0.01);
    /* Who forgets nothing may begin to: a tenth, with the same doubt, 0.84 L. */
    const Use none = years_of_soundings(WEEKS, 4000, 0, 0);
    assert_within(most_of_next_week(&none, WEEKS, 4000, 100),
                  2708 * sqrt(2 * 0.84 * 0.84 / (130.3 + 14) * 7), 0.002);
}

/* Of a week with a silent day six days go by their draws, 24 L, and one at the whole rate, as a gamma
 * quantity; what either errs knows nothing of the other. */
static void a_silent_day_is_none_of_the_share(void **state)
{
    (void)state;
    enum { WEEKS = 400 };
    Use use = years_of_soundings(WEEKS, 4000, 7000, 7000);
    for (int day = 7 * WEEKS; day < 7 * WEEKS + 7; day++)
        if (day % 7 != 3)
            draw_on(&use, day, 4000);
    const int64_t from = START + 7 * WEEKS * DAY - HOUR;
    const UseRate rate = use_rate(&use);
    const double whole = rate.logged + rate.unlogged + rate.prior;
    const double c = (rate.variance.noise + rate.variance.doubt) / (9.0 * whole * whole);
    const double lived = whole * (pow(1.0 - c + 3.0545 / 1.05 * sqrt(c), 3.0) - 1.0);
    const double share = 2708 * sqrt(0.0611 * 6);
    assert_within(use_unlogged_most(&use, from, from + 7 * DAY, 0, 500),
                  6000 + whole + sqrt(share * share + lived * lived), 0.002);
}

/* A day that is not over is taken in once it took more than a usual one: of what is logged and what
 * is not, 4 and 1 L; of the prior, 4.3 L, before anything is known. */
static void a_day_that_is_dear_already_is_one_beyond_all_use(void **state)
{
    (void)state;
    enum { WEEKS = 400 };
    const Use known = years_of_soundings(WEEKS, 4000, 7000, 7000), none = begun(1);
    for (int more = -20; more <= 20; more += 40) {
        Use use = known, first = none;
        draw_on(&use, 7 * WEEKS, 5000 + more);
        const int64_t spans = use.logged.spans;
        use_settle(&use, START + 7 * WEEKS * DAY + 13 * HOUR, 0);
        assert_int_equal(use.logged.spans - spans, more > 0);
        draw_on(&first, 0, 4300 + more);
        use_settle(&first, START + 13 * HOUR, 0);
        assert_int_equal(first.logged.spans, more > 0);
    }
}

/* Draws are no measure of what is forgotten where less than half is logged: then it goes by days. */
static void draws_tell_of_who_logs_half(void **state)
{
    (void)state;
    enum { WEEKS = 20 };
    const Use half = years_of_soundings(WEEKS, 2000, 14000, 14000),
              less = years_of_soundings(WEEKS, 2000, 14001, 14001);
    assert_true(most_of_next_week(&half, WEEKS, 4000, 500) >
                14000 + most_of_next_week(&half, WEEKS, 2000, 500));
    assert_close(most_of_next_week(&less, WEEKS, 4000, 500),
                 most_of_next_week(&less, WEEKS, 2000, 500), 500);
}

/* A loss that comes again and again is a rate, whatever it is: the third in a row teaches. A
 * sounding that use explains between them begins the count anew; one where nothing is missing tells
 * nothing. */
static void what_lasts_is_learnt(void **state)
{
    (void)state;
    for (int explained = 0; explained <= 1; explained++) {
        Use use = weeks_of_soundings(0);
        for (int week = 8; week < 11; week++) {
            const int64_t from = START + week * 7 * DAY - HOUR, to = from + 7 * DAY;
            for (int day = 7 * week; day < 7 * week + 7; day++) {
                draw_on(&use, day, 8000);
                if (explained && week == 10 && day == 70)
                    assert_true(use_missing(&use, from, to - 6 * DAY, 0, 500, 1000));
            }
            assert_false(use_missing(&use, from, to, 0, 20000, 1000));
        }
        use_settle(&use, START + 80 * DAY, 0);
        if (explained)
            assert_true(use_rate(&use).unlogged < 150.0);
        else
            assert_true(use_rate(&use).unlogged > 300.0);
    }
}

/* A share that has changed for good is learnt anew: 20 L a week where nothing was missing before. Nine
 * weeks later a leak beside it of 10 L, not half of it, is one again. */
static void a_share_that_has_changed_is_learnt_anew(void **state)
{
    (void)state;
    Use use = weeks_of_soundings(0);
    for (int week = 8; week < 20; week++) {
        const int64_t from = START + week * 7 * DAY - HOUR, to = from + 7 * DAY;
        for (int day = 7 * week; day < 7 * week + 7; day++)
            draw_on(&use, day, 8000);
        Use leak = use;
        if (week == 19)
            assert_false(use_missing(&leak, from, to, 0, 30000, 1000));
        assert_true(use_missing(&use, from, to, 0, 20000, 1000) == (week >= 12));
    }
}

/* Ten weeks of soundings that find 3 L a head and day missing; who logs draws as much besides. Then
 * days on which somebody was heard of, and what may be missing after them. */
static Use ten_weeks(int32_t persons, bool logs)
{
    Use use = begun(persons);
    for (int day = 0; day < 70; day++) {
        if (logs)
            draw_on(&use, day, 4000 * persons);
        if (day % 7 == 6)
            use_unlogged(&use, START + (day - 6) * DAY, START + (day + 1) * DAY - HOUR, 0,
                         (int64_t)21000 * persons);
    }
    use_settle(&use, START + 70 * DAY - HOUR, 0);
    return use;
}

static double most_after_days(int32_t persons, bool logs, int days)
{
    Use use = ten_weeks(persons, logs);
    for (int day = 70; day < 70 + days; day++) {
        if (logs)
            draw_on(&use, day, 4000 * persons);
        use_witness(&use, START + day * DAY + 12 * HOUR, 0);
    }
    const int64_t from = START + 70 * DAY - HOUR;
    return use_unlogged_most(&use, from, from + days * DAY, 0, 0);
}

/* Twice the heads that use the same each have twice as much missing, whether it goes by days or by
 * draws, and by the day no more the longer. Ten weeks of 3 L and a prior of two of a tenth of it: 3
 * (70 + 1.4) / (70 + 14) L a day at the least. */
static void what_may_be_missing_grows_with_heads_and_days(void **state)
{
    (void)state;
    for (int logs = 0; logs <= 1; logs++) {
        double before = INFINITY;
        for (int days = 1; days <= 28; days *= 2) {
            const double one = most_after_days(1, logs, days);
            assert_within(most_after_days(2, logs, days), 2 * one, 1e-9);
            assert_within(most_after_days(4, logs, days), 4 * one, 1e-9);
            assert_true(one > days * 3000.0 * 71.4 / 84.0);
            assert_true(one / days < before * (1 + 1e-9));
            before = one / days;
        }
        assert_true(before < 2 * 3000.0);
    }
}

/* Where draws don't tell: what soundings found, 70 days of it less what was forgotten, and two weeks
 * of a tenth of all use, whose days err by 0.6 and whose weeks by 0.3 (pace.h); of both the quantile
 * that is exceeded once in 200 times, by Wilson and Hilferty. Beyond a week drift comes on top. */
static void by_days_it_is_what_was_found_and_a_tenth_of_all(void **state)
{
    (void)state;
    for (int days = 1; days <= 14; days += 13) {
        Use use = ten_weeks(1, false);
        for (int day = 70; day < 70 + days; day++)
            use_witness(&use, START + day * DAY + 12 * HOUR, 0);
        const double keep = pow(0.5, 1.0 / 365.0), seen = (1 - pow(keep, 70)) / (1 - keep);
        const double all = seen + 14, usual = 0.1 * mean_rate(&use) * 14 / all;
        const UseVariance v = pace_variance(&use.unlogged);
        const double mean = days * (pace_mean(&use.unlogged) * seen / all + usual);
        const double noise = v.noise + 0.36 * usual * usual, doubt = v.doubt + 0.09 * usual * usual,
                     drift = days > 7 ? v.drift * (days - 7) : 0;
        const double c = days * (noise + doubt * days + drift) / (9 * mean * mean);
        const int64_t from = START + 70 * DAY - HOUR;
        assert_within(use_unlogged_most(&use, from, from + days * DAY, 0, 0),
                      mean * pow(1 - c + 3.0545 / 1.05 * sqrt(c), 3), 1e-6);
    }
}

/* Nobody knows whether a crew logs before soundings have covered a week: all of their use may be
 * missing. Two persons, 4.3 L of the prior, two days: more than that is none. */
static void before_a_week_of_soundings_all_use_may_be_missing(void **state)
{
    (void)state;
    Use use = begun(2);
    assert_true(use_unlogged_most(&use, START, START + 2 * DAY, 0, 0) > 2 * 2 * 4300.0);
    /* A silent day, too, may have gone unlogged whole, however well they log: 8 L on each of 3. */
    Use steady = weeks_of_soundings(0);
    const int64_t from = START + 56 * DAY - HOUR;
    const double one = use_unlogged_most(&steady, from, from + DAY, 0, 0);
    const double four = use_unlogged_most(&steady, from, from + 4 * DAY, 0, 0);
    assert_true(one < 8000.0);
    assert_true(four > 3 * 8000.0);
    /* No span counts as less than a day, and a tenth of the use as long as soundings are few. */
    assert_close(use_unlogged_most(&steady, from, from + HOUR, 0, 0), one, 1e-6);
    assert_true(one > 0.1 * 8000.0 * 14 / (14 + 56));
}

/* The gamma quantile of 199 in 200 by Wilson and Hilferty's cube: for shape 4 (mean 1, variance a
 * quarter) the table of chi-square with 8 degrees of freedom gives 21.955 / 8 (NIST/SEMATECH
 * e-Handbook, section 1.3.6.7.4). */
static void a_rare_loss_is_rare_by_the_table(void **state)
{
    (void)state;
    Use use;
    use_init(&use);
    /* An empty log: prior 4300 mL, all of it; over one day the variance is 0.6^2 + 0.64^2 of it. */
    const double ratio = use_unlogged_most(&use, START, START + DAY, 0, 0) / 4300.0;
    const double variance = 0.6 * 0.6 + 0.64 * 0.64, c = variance / 9.0;
    assert_close(ratio, pow(1.0 - c + 3.0545 / 1.05 * sqrt(c), 3.0), 1e-6);
    /* Two errors that know nothing of one another: 3 and 4 make 5 (Pythagoras). */
    const double beyond = (ratio - 1.0) * 4300.0;
    const double both = use_unlogged_most(&use, START, START + DAY, 0, llround(beyond * 4.0 / 3.0));
    assert_close(both, 4300.0 + beyond * 5.0 / 3.0, 1.0);
    const double quarter = 0.25 / 9.0;
    assert_close(pow(1.0 - quarter + 2.5758 * sqrt(quarter), 3.0), 21.955 / 8.0, 0.01);
}

/* What a change of crew shows: who used 8 L with four and uses 8 L with two does not follow the
 * heads, and the next change is more doubtful than after one that was followed. */
static void how_far_use_follows_the_heads_is_learnt(void **state)
{
    (void)state;
    double doubt[2], before = 0.0;
    for (int follows = 0; follows <= 1; follows++) {
        Use use = begun(4);
        for (int day = 0; day < 30; day++)
            draw_on(&use, day, 8000);
        use_seen(&use, START + 30 * DAY, 0);
        const UseVariance same = use_rate_of(&use, 4).variance;
        before = use_rate_of(&use, 2).variance.doubt - same.doubt;
        /* A half of the relative change of heads, 2 x 2 / 6, of 2 L a head: by hand. */
        assert_close(sqrt(before) / (0.5 * 2.0 / 3.0 * use_rate(&use).logged), 1.0, 1e-6);
        use_crew(&use, START + 30 * DAY, 0, 2);
        for (int day = 30; day < 90; day++)
            draw_on(&use, day, follows ? 4000 : 8000);
        use_seen(&use, START + 90 * DAY, 0);
        const double each = use_rate(&use).logged;
        doubt[follows] =
            sqrt(use_rate_of(&use, 4).variance.doubt - use_rate(&use).variance.doubt) / each;
    }
    assert_true(doubt[1] < 0.8 * 0.5 * 2.0 / 3.0);
    assert_true(doubt[0] > 1.3 * doubt[1]);
}

/* Four who used 8 L and two who use 8 L: heads fell by 2/3 of their mean, use per head rose by 2/3,
 * so that they didn't follow at all, -1 for each unit squared. Only the stream that most is used by
 * says so, and no day away. */
static void only_days_at_home_tell_how_use_follows_the_heads(void **state)
{
    (void)state;
    Use use = begun(4);
    for (int day = 0; day < 28; day++) {
        draw_on(&use, day, 8000);
        if (day % 7 == 6)
            use_unlogged(&use, START + (day - 6) * DAY, START + (day + 1) * DAY - HOUR, 0, 700);
    }
    use_settle(&use, START + 28 * DAY, 0);
    use_crew(&use, START + 28 * DAY, 0, 2);
    Use away = use;
    draw_on(&use, 28, 8000);
    use_unlogged(&use, START + 28 * DAY, START + 29 * DAY - HOUR, 0, 400);
    use_settle(&use, START + 29 * DAY, 0);
    assert_close(use.follow.weight, 4.0 / 9.0, 1e-6);
    assert_close(use.follow.sum, -4.0 / 9.0, 1e-6);
    draw_on(&away, 28, 100);
    use_settle(&away, START + 29 * DAY, 0);
    assert_close(away.follow.weight, 0.0, 0.0);
}

/* Who only sounds was away where a week's loss is less than a fifth of a usual one by the day: 28 L
 * a week, then 4.2 L. It teaches the days of absence and no rate. */
static void a_week_of_little_loss_was_an_absence(void **state)
{
    (void)state;
    for (int little = 4200; little <= 6300; little += 2100) {
        Use use = begun(1);
        for (int week = 0; week <= 10; week++)
            use_unlogged(&use, START + 7 * week * DAY, START + (7 * week + 7) * DAY - HOUR, 0,
                         week < 10 ? 28000 : little);
        use_settle(&use, START + 77 * DAY, 0);
        const bool away = little < 28000 / 5;
        assert_int_equal(use.stay.away, away ? 7 : 0);
        assert_int_equal(pace_mean(&use.unlogged) > 3990.0, away);
    }
}

/* Guests, or another crew: their days count for more than those before them, and a crew of the same
 * number changes nothing. The day of the change was both crews'. */
static void the_days_of_a_new_crew_count_for_more(void **state)
{
    (void)state;
    Use use = begun(4);
    for (int day = 0; day < 30; day++)
        draw_on(&use, day, 8000);
    use_seen(&use, START + 30 * DAY, 0);
    Use same = use, other = use;
    use_crew(&same, START + 30 * DAY, 0, 4);
    use_seen(&same, START + 31 * DAY, 0);
    assert_close(same.logged.fast.weight, use.logged.fast.weight, 1e-9);
    use_crew(&other, START + 30 * DAY, 0, 2);
    assert_close(other.logged.fast.weight, use.logged.fast.weight, 0.0);
    use_seen(&other, START + 31 * DAY, 0);
    /* |2 - 4| / 3 = 2/3: a ninth is left. */
    assert_close(other.logged.fast.weight, use.logged.fast.weight / 9.0, 1e-9);
    assert_close(other.logged.slow.weight, use.logged.slow.weight / 9.0, 1e-9);
    assert_close(pace_mean(&other.logged), pace_mean(&use.logged), 1e-9);
    assert_close(use_rate(&other).share, use_rate(&use).share, 1e-9); /* no return of the prior */
}

/* Four and a half months of 8 L a day: a day that took more by noon teaches a reader at once. */
static void a_dear_day_teaches_a_reader_before_it_is_over(void **state)
{
    (void)state;
    Use use = begun(2);
    for (int day = 0; day < 130; day++)
        draw_on(&use, day, 8000);
    use_seen(&use, START + 130 * DAY, 0);
    const double usual = 2 * mean_rate(&use);
    Use less = use, more = use;
    draw_on(&less, 130, (int64_t)(usual * 0.99));
    draw_on(&more, 130, (int64_t)(usual * 1.5));
    const Use told = more;
    use_settle(&less, START + 130 * DAY + 14 * HOUR, 0);
    use_settle(&more, START + 130 * DAY + 14 * HOUR, 0);
    assert_int_equal(less.logged.spans, use.logged.spans);
    assert_int_equal(more.logged.spans, use.logged.spans + 1);
    assert_true(mean_rate(&more) > mean_rate(&use));
    assert_int_equal(use_rate(&more).away, 0);
    /* It is witnessed all the same, and so is the silence before it. */
    assert_silence(&more, START + 125 * DAY, START + 130 * DAY + 14 * HOUR, 0, 0);
    Use midnight = told;
    use_settle(&midnight, START + 131 * DAY, 0);
    assert_close(mean_rate(&midnight), mean_rate(&more), 1e-9);
}

/* Some history of a year by dice, told of so many times the heads and the water, in a zone, so many
 * days later; with all of them ashore at times. */
typedef struct {
    int32_t heads, zone;
    int64_t later;
    bool ashore;
} Told;

static Use history_told(uint32_t seed, Told as)
{
    const int64_t begin = START + as.later * DAY - as.zone * INT64_C(60000);
    Use use;
    use_init(&use);
    int64_t at = begin, known = begin, persons = 2;
    use_crew(&use, at, as.zone, 2 * as.heads);
    for (int i = 0; i < 500; i++) {
        const int64_t ml = chance_ml(&seed) / 32 * 8 * as.heads, dice = chance_ml(&seed) % 16;
        at += (chance_ml(&seed) % 20 + (dice == 0 ? 200 : 0)) * HOUR;
        if (dice == 1) {
            persons = as.ashore ? chance_ml(&seed) % 4 : 1 + chance_ml(&seed) % 3;
            use_crew(&use, at, as.zone, (int32_t)persons * as.heads);
        } else if (dice == 2 || dice == 3)
            use_witness(&use, at, as.zone);
        else if (dice == 4)
            use_seen(&use, at, as.zone);
        else if (dice == 5)
            use_unknown(&use, at, as.zone);
        else if (dice == 6)
            use_unlogged(&use, known, at, as.zone, ml);
        else if (dice <= 8)
            (void)use_missing(&use, known, at, as.zone, dice == 7 ? ml / 8 : 0, 500 * as.heads);
        else if (persons > 0)
            use_draw(&use, at, as.zone, ml);
        if (dice >= 5 && dice <= 8)
            known = at;
    }
    return use;
}

static void assert_the_same(uint32_t seed, Told as)
{
    const Use plain = history_told(seed, (Told){1, 0, 0, as.ashore}),
              other = history_told(seed, as);
    const UseRate want = use_rate(&plain), got = use_rate(&other);
    assert_within(got.logged, want.logged, 1e-9);
    assert_within(got.unlogged, want.unlogged, 1e-9);
    assert_within(got.prior, want.prior, 1e-9);
    assert_within(got.variance.noise, want.variance.noise, 1e-9);
    assert_within(got.variance.doubt, want.variance.doubt, 1e-9);
    assert_within(got.variance.drift, want.variance.drift, 1e-9);
    assert_within(got.leave, want.leave, 1e-9);
    assert_within(got.back, want.back, 1e-9);
    assert_int_equal(got.away, want.away);
    assert_within(use_unlogged_most(&other, other.known_to, other.last_at + DAY, as.zone,
                                    (int64_t)500 * as.heads),
                  as.heads * use_unlogged_most(&plain, plain.known_to, plain.last_at + DAY, 0, 500),
                  1e-9);
    const UseSilence silent =
                         use_silence(&plain, plain.last_at - 50 * DAY, plain.last_at + 5 * DAY, 0),
                     told = use_silence(&other, other.last_at - 50 * DAY, other.last_at + 5 * DAY,
                                        as.zone);
    assert_within(told.open, as.heads * silent.open, 1e-9);
    assert_within(told.closed, as.heads * silent.closed, 1e-9);
}

/* Where the day begins, what the date is and how many they are (each of whom uses the same) makes no
 * rate, no odds and no leak another. */
static void zone_date_and_heads_make_no_rate_another(void **state)
{
    (void)state;
    static const Told others[] = {{2, 0, 0, false},
                                  {4, 0, 0, false},
                                  {1, 765, 0, true},
                                  {1, -570, 0, true},
                                  {1, 0, 10001, true}};
    for (uint32_t seed = 1; seed <= 60; seed++)
        for (size_t i = 0; i < sizeof others / sizeof others[0]; i++)
            assert_the_same(seed, others[i]);
}

static void nonsense_is_clamped(void **state)
{
    (void)state;
    Use use;
    use_init(&use);
    use_crew(&use, START, 0, -5);
    assert_int_equal(use_persons(&use), 0);
    use_crew(&use, START, 0, 2000000);
    assert_int_equal(use_persons(&use), USE_CREW_MAX);
    use_draw(&use, START, 0, -100);
    assert_int_equal(use.day_ml, 0);
    use_unlogged(&use, INT64_MIN, START + DAY, 0, 100);
    use_unlogged(&use, START + 5 * DAY, START + DAY, 0, 100);
    use_settle(&use, START + 2 * DAY, 0);
    assert_true(isfinite(mean_rate(&use)));
    for (int i = 0; i < 100; i++) /* more changes than are kept */
        use_crew(&use, START + (2 + i) * DAY, 0, 1 + i % 3);
    assert_close(use_person_days(&use, START + 101 * DAY, START + 102 * DAY, 0), 1.0 + 99 % 3,
                 1e-12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_empty_log_knows_the_prior_only),
        cmocka_unit_test(the_day_that_is_open_teaches_nothing_yet),
        cmocka_unit_test(a_cup_in_the_morning_is_no_day),
        cmocka_unit_test(two_days_give_the_mean_worked_by_hand),
        cmocka_unit_test(a_rate_is_per_person_and_day),
        cmocka_unit_test(a_change_of_crew_within_a_day_is_counted_by_waking_hours),
        cmocka_unit_test(splitting_a_draw_changes_no_byte),
        cmocka_unit_test(equal_histories_give_equal_bytes),
        cmocka_unit_test(days_with_nobody_aboard_do_not_drag_the_rate_down),
        cmocka_unit_test(a_leak_with_nobody_aboard_is_no_use),
        cmocka_unit_test(days_without_a_draw_are_no_thrift),
        cmocka_unit_test(a_day_of_less_than_a_fifth_is_one_away),
        cmocka_unit_test(an_absence_that_is_proved_is_no_habit),
        cmocka_unit_test(what_puts_a_crew_at_home_or_away),
        cmocka_unit_test(a_silence_teaches_nothing),
        cmocka_unit_test(a_quarter_is_one_of_what_is_drawn_and_forgotten),
        cmocka_unit_test(an_absence_is_no_time_in_which_use_goes_unlogged),
        cmocka_unit_test(a_day_counts_only_with_a_witness),
        cmocka_unit_test(a_silence_with_much_missing_was_no_absence),
        cmocka_unit_test(vessels_sounded_one_after_the_other_count_their_time_once),
        cmocka_unit_test(vessels_sounded_at_one_moment_add_up),
        cmocka_unit_test(a_sounding_that_agrees_is_information),
        cmocka_unit_test(a_gain_takes_back_and_never_makes_a_rate_negative),
        cmocka_unit_test(what_is_drawn_with_nobody_aboard_was_drawn_by_somebody),
        cmocka_unit_test(days_are_local_days),
        cmocka_unit_test(the_day_that_the_clocks_change_is_one_day),
        cmocka_unit_test(a_day_that_comes_again_goes_on),
        cmocka_unit_test(an_earlier_time_counts_as_the_last_one),
        cmocka_unit_test(steady_use_is_learnt_and_becomes_nearly_sure),
        cmocka_unit_test(independent_days_have_their_variance_learnt),
        cmocka_unit_test(days_that_hang_together_make_the_rate_doubtful),
        cmocka_unit_test(one_burst_moves_the_rate_less_than_a_plain_mean_would),
        cmocka_unit_test(one_burst_counts_for_so_much_and_no_more),
        cmocka_unit_test(a_new_habit_is_followed_within_two_weeks),
        cmocka_unit_test(the_rate_is_blind_to_the_weekday),
        cmocka_unit_test(soundings_alone_give_the_same_rate_as_every_draw),
        cmocka_unit_test(silent_days_are_counted),
        cmocka_unit_test(a_sounding_tells_what_an_ended_silence_was),
        cmocka_unit_test(a_change_of_crew_is_no_error_of_the_weeks_before),
        cmocka_unit_test(zone_date_and_heads_make_no_rate_another),
        cmocka_unit_test(nonsense_is_clamped),
        cmocka_unit_test(a_loss_that_use_does_not_explain_teaches_nothing),
        cmocka_unit_test(what_was_drawn_tells_what_was_forgotten),
        cmocka_unit_test(a_day_that_nobody_is_aboard_on_teaches_nothing),
        cmocka_unit_test(the_share_that_is_forgotten_is_learnt_with_its_scatter),
        cmocka_unit_test(a_silent_day_is_none_of_the_share),
        cmocka_unit_test(a_day_that_is_dear_already_is_one_beyond_all_use),
        cmocka_unit_test(draws_tell_of_who_logs_half),
        cmocka_unit_test(what_lasts_is_learnt),
        cmocka_unit_test(a_share_that_has_changed_is_learnt_anew),
        cmocka_unit_test(what_may_be_missing_grows_with_heads_and_days),
        cmocka_unit_test(by_days_it_is_what_was_found_and_a_tenth_of_all),
        cmocka_unit_test(before_a_week_of_soundings_all_use_may_be_missing),
        cmocka_unit_test(a_rare_loss_is_rare_by_the_table),
        cmocka_unit_test(how_far_use_follows_the_heads_is_learnt),
        cmocka_unit_test(only_days_at_home_tell_how_use_follows_the_heads),
        cmocka_unit_test(a_week_of_little_loss_was_an_absence),
        cmocka_unit_test(the_days_of_a_new_crew_count_for_more),
        cmocka_unit_test(a_dear_day_teaches_a_reader_before_it_is_over),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
