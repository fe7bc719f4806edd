/* How long the water lasts, the stops, the levels to be expected. */
#include "outlook/board.h"
#include "outlook/plan.h"

#include "support/board_book.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static void with_nobody_aboard_there_is_no_date_by_litres_and_no_end(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_of_days("stage s --type other --line galley --life-litres 4000", 20);
    book_say(book, "crew 0");
    book_say(book, "stop Holm --eta 2026-07-10T12:00:00Z");
    Board *board = board_of(book, NULL);
    assert_true(board->use_known);
    assert_true(board->litres_per_day == 0);
    assert_false(moment_known(stage_of(board, "s")->due));
    assert_int_equal(stage_of(board, "s")->state, SERVICE_OK);
    assert_false(moment_known(board->to_reserve.p50));
    assert_false(moment_known(board->to_empty.p90));
    assert_true(board->stops[0].odds_line == 1);
    assert_true(isnan(board->stops[0].ration_90)); /* as much as you like is no number */
    free(board);
    book_close(book);
}

/* Common practice, no source: four vessels of 20 L coupled and one in reserve carry 100 L, which
 * last two careful people 10 to 15 days; when the four are spent, exactly the reserve is left. */
static void a_hundred_litres_last_two_careful_people_ten_to_fifteen_days(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    static const double per_person[] = {3.4, 4.0, 4.9};
    for (size_t i = 0; i < 3; i++) {
        Logbook *book = book_open();
        char words[40];
        snprintf(words, sizeof words, "draw galley %.1f", 2 * per_person[i]);
        for (int v = 1; v <= 4; v++) {
            char name[60];
            snprintf(name, sizeof name, "vessel A%d --capacity 20 --class potable --level 20", v);
            book_say(book, name);
        }
        book_say(book, "vessel R1 --capacity 20 --duty reserve --class potable --level 20");
        book_say(book, "couple galley A1 A2 A3 A4");
        book_say(book, "crew 2");
        for (int day = 0; day < 60; day++) {
            book_pass(book, 1);
            book_say(book, words);
            book_say(book, "fill A1 full --class potable");
        }
        book_pass(book, 0.5);
        book_say(book, "fill A1 full --class potable");
        for (int v = 1; v <= 4; v++) {
            snprintf(words, sizeof words, "sound A%d full", v);
            book_say(book, words);
        }
        Board *board = board_of(book, NULL);
        assert_int_equal(board->supply.line + board->supply.reserve, 100000);
        const double day = (double)MS_PER_DAY;
        const double median = (double)(board->to_empty.p50.ms - board->now.ms) / day;
        const double line = (double)(board->to_reserve.p50.ms - board->now.ms) / day;
        assert_true(median > 9 && median < 16);
        assert_true(line < median);
        assert_true(board->to_empty.p10.ms < board->to_empty.p50.ms);
        assert_true(board->to_empty.p50.ms < board->to_empty.p90.ms);
        free(board);
        book_say(book, "draw galley 80");
        board = board_of(book, NULL);
        assert_int_equal(board->supply.line, 0);
        assert_int_equal(board->supply.reserve, 20000);
        assert_int_equal(board->reserve, RESERVE_IN_USE);
        assert_int_equal(board->to_reserve.p50.ms, board->now.ms);
        free(board);
        book_close(book);
    }
}

static void stops_come_by_their_time_with_odds_that_make_sense(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_of_days(NULL, 30);
    book_say(book, "stop far --eta 2026-07-20T12:00:00Z");
    book_say(book, "stop near --eta 2026-07-04T12:00:00Z --litres 20");
    book_say(book, "stop gone --eta 2026-07-01T12:00:00Z");
    Board *board = board_of(book, "2026-07-02T08:00:00Z");
    assert_int_equal(board->stop_count, 2); /* the one whose time is past has been */
    assert_string_equal(board->stops[0].label.s, "near");
    assert_string_equal(board->stops[1].label.s, "far");
    for (int i = 0; i < 2; i++) {
        assert_true(board->stops[i].odds_line >= 0 && board->stops[i].odds_all <= 1);
        assert_true(board->stops[i].odds_line <= board->stops[i].odds_all);
        assert_true(board->stops[i].ration_90 > 0);
    }
    /* 50 L on the line at 10 L a day: 2 days are safe, 18 days with 20 L more are not. */
    assert_true(board->stops[0].odds_line > 0.9);
    assert_true(board->stops[1].odds_all < 0.1);
    assert_non_null(alert_of(board, "stop-missed"));
    /* The leg of 16 days needs at 90 % more than 160 L, the mean. */
    assert_true(board->stops[0].take_on > 160000 && board->stops[0].take_on < 320000);
    assert_int_equal(board->stops[1].take_on, -1);
    free(board);
    book_close(book);
}

static void a_later_stop_is_never_surer_than_one_before_it(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_of_days(NULL, 30);
    /* 7 days on 50 L at 10 L a day fail; a day after a full fill would not, were it ever reached.
     */
    book_say(book, "stop far --eta 2026-07-09T08:00:00Z");
    book_say(book, "stop next --eta 2026-07-10T08:00:00Z");
    Board *board = board_of(book, "2026-07-02T08:00:00Z");
    assert_true(board->stops[0].odds_line < 0.5);
    assert_true(board->stops[1].odds_line <= board->stops[0].odds_line);
    assert_true(board->stops[1].odds_all <= board->stops[0].odds_all);
    free(board);
    book_close(book);
}

/* 62 L usable less what is drawn, 10 L more at the first stop: it must last twelve days on all of
 * that, and how unsure the first four days were is not forgotten at the stop. The expected values
 * are the gamma odds of outlook/forecast.h over the whole time; at a full fill they start again. */
static void a_stop_that_gives_a_little_leaves_the_odds_as_unsure_as_they_were(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_of_days(NULL, 30);
    book_say(book, "stop little --eta 2026-07-04T08:00:00Z --litres 10");
    book_say(book, "stop brim --eta 2026-07-08T08:00:00Z");
    book_say(book, "stop last --eta 2026-07-10T08:00:00Z");
    Board *board = board_of(book, "2026-07-02T08:00:00Z");
    const ForecastRate rate = plan_rate(board, book_state(book));
    const ForecastRate since = plan_since(board, book_state(book), &rate);
    const double line = (double)board->supply.line / 1000,
                 reserve = (double)board->supply.reserve / 1000;
    const double all_odds = forecast_lasts(&since, line + reserve + 10, 6);
    assert_true(all_odds > 0.1 && all_odds < 0.99);
    assert_true(fabs(board->stops[1].odds_all - all_odds) < 1e-12);
    assert_true(fabs(board->stops[1].odds_line - forecast_lasts(&since, line + 10, 6)) < 1e-12);
    assert_true(fabs(board->stops[1].ration_90 -
                     forecast_ration(&since, line + reserve + 10, 6, 0.9)) < 1e-12);
    const double full =
        plan_full_litres(board, PLACE_LINE) + plan_full_litres(board, PLACE_RESERVE);
    assert_true(fabs(board->stops[2].odds_all - fmin(all_odds, forecast_lasts(&rate, full, 2))) <
                1e-12);
    assert_true(fabs(board->stops[2].ration_90 - forecast_ration(&rate, full, 2, 0.9)) < 1e-12);
    free(board);
    /* What was used of the reserve on the way has room at the stop, and no more has. */
    book_say(book, "stop little --eta 2026-07-08T08:00:00Z --litres 5000");
    book_say(book, "unstop brim");
    board = board_of(book, "2026-07-02T08:00:00Z");
    const double used = forecast_mean(&rate, 6), given = line + reserve;
    assert_true(used > line && used < given);
    assert_true(fabs(board->stops[1].ration_90 - forecast_ration(&since, full + used, 8, 0.9)) <
                1e-9);
    free(board);
    /* A stop that offers more than fits gives no more than fits. */
    book_say(book, "stop little --eta 2026-07-04T08:00:00Z --litres 5000");
    board = board_of(book, "2026-07-02T08:00:00Z");
    assert_int_equal(board->stop_count, 2);
    assert_true(board->stops[1].odds_all > 0);
    assert_true(board->stops[1].odds_all <= forecast_lasts(&rate, full, 6));
    free(board);
    book_close(book);
}

/* One vessel, filled up every day after 6 L were drawn, for a month. */
static Logbook *book_of_habit(const char *capacity)
{
    char words[80];
    Logbook *book = book_open();
    snprintf(words, sizeof words, "vessel A1 --capacity %s --class potable --level full", capacity);
    book_say(book, words);
    book_say(book, "couple galley A1");
    book_say(book, "crew 2");
    for (int day = 0; day < 30; day++) {
        book_pass(book, 1);
        book_say(book, "draw galley 6");
        book_say(book, "fill A1 full --class potable");
    }
    return book;
}

static void days_of_silence(Logbook *book, int days)
{
    for (int day = 0; day < days; day++) {
        book_pass(book, 1);
        book_say(book, "note quiet");
    }
}

/* 6 L a day for a month, silence of up to a fortnight with a note a day, one draw: a day after the
 * return as much water lasts as long as it did, within 15 %. */
static void a_silence_does_not_lengthen_the_outlook(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    double before = 0;
    for (int silent = 0; silent <= 14; silent++) {
        Logbook *book = book_of_habit("80");
        days_of_silence(book, silent);
        book_pass(book, 1);
        book_say(book, "draw galley 6");
        book_pass(book, 1);
        Board *board = board_of(book, NULL);
        assert_int_equal(board->supply.line, 74000);
        const double days = (double)(board->to_reserve.p50.ms - board->now.ms) / (double)MS_PER_DAY;
        before = silent == 0 ? days : before;
        assert_true(days > 0.85 * before && days < 1.15 * before);
        assert_true(days > 0.85 * 74 / 6 && days < 1.15 * 74 / 6);
        free(board);
        book_close(book);
    }
}

/* 6 L a day, then nothing at all: the water is charged all the same, so the date stays where it
 * was, and the level may be what it was. */
static void silence_is_charged_and_the_date_stays(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    double before = 0;
    for (int silent = 0; silent <= 14; silent++) {
        Logbook *book = book_of_habit("150");
        book_pass(book, 1);
        days_of_silence(book, silent);
        Board *board = board_of(book, NULL);
        const double days = (double)(board->to_reserve.p50.ms - board->now.ms) / (double)MS_PER_DAY;
        before = silent == 0 ? days : before;
        assert_true(fabs(days + silent - before) < 2);
        const BoardVessel *lead = &board->vessels[0];
        assert_int_equal(lead->expected_high, lead->volume);
        assert_true(lead->expected_low <= lead->volume - 5500 * silent);
        free(board);
        book_close(book);
    }
}

static double days_left(Logbook *book)
{
    Board *board = board_of(book, NULL);
    const double days = (double)(board->to_reserve.p50.ms - board->now.ms) / (double)MS_PER_DAY;
    free(board);
    return days;
}

/* Water does not last longer for some of it having been drawn, whatever came before. */
static void no_draw_after_a_silence_lengthens_the_outlook(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    static const char *const draws[] = {"draw galley 0.1", "draw galley 1.2", "draw galley 12"};
    for (int silent = 0; silent <= 14; silent++)
        for (size_t i = 0; i < sizeof draws / sizeof *draws; i++) {
            Logbook *book = book_of_habit("150");
            days_of_silence(book, silent);
            book_pass(book, 1);
            const double before = days_left(book);
            book_say(book, draws[i]);
            assert_true(days_left(book) <= before);
            book_pass(book, 0.2);
            book_say(book, draws[i]);
            assert_true(days_left(book) <= before);
            book_close(book);
        }
}

static void the_expected_level_lies_below_what_was_reckoned(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_of_days(NULL, 0);
    /* Every three days 6 L are gone that nobody logged. */
    for (int i = 0; i < 8; i++) {
        book_pass(book, 3);
        book_say(book, "sound A1 19");
        book_say(book, "fill A1 =25 --class potable");
    }
    book_pass(book, 3);
    Board *board = board_of(book, NULL);
    const BoardVessel *lead = vessel_of(board, "A1");
    assert_true(lead->lead);
    assert_int_equal(lead->volume, 25000);
    assert_true(lead->expected_low < lead->expected_high);
    assert_int_equal(lead->expected_high,
                     25000); /* days without an entry: perhaps nobody was there */
    assert_true(lead->expected_low > 10000);
    assert_true(board->unlogged_per_person_day > 0.5 && board->unlogged_per_person_day < 1.5);
    free(board);
    book_close(book);
}

/* domain 4 and 6: what went unlogged left by the lead first, then by the next towards the tap; the
 * band is that of the level, to the millilitre, and stands beside the level from 0.1 L on. */
static void what_went_unlogged_is_taken_off_the_lead_first(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_of_days(NULL, 0);
    for (int i = 0; i < 8; i++) { /* 6 L in three days that nobody logged, draws besides */
        for (int day = 0; day < 3; day++) {
            book_pass(book, 1);
            book_say(book, "draw galley 1");
        }
        book_say(book, "sound A1 16");
        book_say(book, "fill A1 =25 --class potable");
    }
    book_say(book, "sound A1 2");
    book_say(book, "sound A2 25");
    for (int day = 0; day < 3; day++) {
        book_pass(book, 1);
        book_say(book, "draw galley 0.1");
    }
    Board *board = board_of(book, NULL);
    const State *state = book_state(book);
    const BoardVessel *lead = vessel_of(board, "A1"), *next = vessel_of(board, "A2");
    const ForecastRate rate = plan_rate(board, state), since = plan_since(board, state, &rate);
    const double usable = (double)board->lines[0].usable / 1000;
    const ForecastLevel level = forecast_level(&since, usable);
    assert_int_equal(lead->volume, 1700);
    assert_int_equal(lead->expected_low, 0); /* no heel */
    const int64_t most = (int64_t)floor((usable - level.low) * 1000 + 0.5),
                  least = (int64_t)floor((usable - level.high) * 1000 + 0.5);
    assert_true(most > 2000 && least > 100);
    assert_int_equal(next->expected_low, 25000 - (most - 1700));
    assert_int_equal(lead->expected_high, least < 1700 ? 1700 - least : 0);
    assert_int_equal(next->expected_high, least < 1700 ? 25000 : 25000 - (least - 1700));
    assert_true(lead->expected_told && next->expected_told);
    assert_true(fabs(board->line_share * 50 - level.expected) < 1e-9);
    /* The same is gone for the tap as for the vessels. */
    assert_true(fabs(plan_gone_litres(board, state, board->lines[0].slot, MOMENT_NONE) -
                     fmin(forecast_mean(&since, 0), usable)) < 1e-9);
    assert_true(plan_gone_litres(board, state, board->lines[0].slot + 1, MOMENT_NONE) == 0);
    const Moment half = {(board->now.ms + board->lines[0].known.ms) / 2};
    assert_true(fabs(plan_gone_litres(board, state, board->lines[0].slot, half) -
                     forecast_mean(&since, 0) / 2) < 1e-6);
    free(board);
    book_close(book);
}

/* Where neither a crew was said nor anything learnt, nothing is taken as gone; one of the two is
 * enough to take it so. */
static void what_may_be_gone_needs_a_crew_or_a_log(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    for (int crew = 0; crew < 2; crew++)
        for (int learnt = 0; learnt < 2; learnt++) {
            Logbook *book = book_open();
            book_say(book, "vessel A1 --capacity 200 --class potable --level 150");
            book_say(book, "couple galley A1");
            if (crew == 1)
                book_say(book, "crew 2");
            for (int day = 0; day < 5 * learnt; day++) {
                book_say(book, "draw galley 8");
                book_pass(book, 1);
            }
            book_say(book, "sound A1 90");
            book_pass(book, 3);
            Board *board = board_of(book, NULL);
            const double gone = plan_gone_litres(board, book_state(book), 0, MOMENT_NONE);
            assert_int_equal(board->crew >= 0, crew);
            assert_int_equal(board->use_prior < 1, learnt);
            assert_int_equal(gone > 0.1, crew + learnt > 0);
            assert_true(gone >= 0 && (gone == 0 || crew + learnt > 0));
            free(board);
            book_close(book);
        }
}

/* A line with no lead, or of which nothing was ever known, has nothing that may be gone besides. */
static void nothing_is_gone_of_a_line_that_gives_nothing(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_of_days(NULL, 10);
    book_say(book, "dump A1");
    book_say(book, "dump A2");
    book_pass(book, 3);
    Board *board = board_of(book, NULL);
    const State *state = book_state(book);
    const ForecastRate rate = plan_rate(board, state), since = plan_since(board, state, &rate);
    assert_true(board->lines[0].lead < 0);
    assert_memory_equal(&rate, &since, sizeof rate);
    assert_true(plan_gone_litres(board, state, board->lines[0].slot, MOMENT_NONE) == 0);
    assert_true(board->line_share == 0);
    board->lines[0].lead = 0;
    board->lines[0].known = MOMENT_NONE;
    const ForecastRate unknown = plan_since(board, state, &rate);
    assert_memory_equal(&rate, &unknown, sizeof rate);
    assert_true(plan_gone_litres(board, state, board->lines[0].slot, MOMENT_NONE) == 0);
    board->line_count = 0;
    const ForecastRate none = plan_since(board, state, &rate);
    assert_memory_equal(&rate, &none, sizeof rate);
    free(board);
    book_close(book);
}

static Logbook *book_on_one_vessel(const char *vessel, int crew)
{
    char words[80];
    Logbook *book = book_open();
    book_say(book, vessel);
    book_say(book, "couple galley A1");
    snprintf(words, sizeof words, "crew %d", crew);
    book_say(book, words);
    return book;
}

static void draw_and_refill(Logbook *book, double litres)
{
    char words[80];
    book_pass(book, 1);
    snprintf(words, sizeof words, "draw galley %.2f", litres);
    book_say(book, words);
    snprintf(words, sizeof words, "fill A1 %.2f --class potable", litres);
    book_say(book, words);
}

static double litres_a_day(Logbook *book, const char *at)
{
    Board *board = board_of(book, at);
    const double litres = board->litres_per_day;
    free(board);
    return litres;
}

static double days_to_moment(const Board *board, Moment moment)
{
    return (double)(moment.ms - board->now.ms) / (double)MS_PER_DAY;
}

/* Four use 8 L a day for a month, then two leave in the evening. Use in proportion to the heads is
 * expected at once; the band reaches to two who use 5.6 L, 1.4 times their share; and after six
 * days their own days count: within 15 % of what is true. */
static void a_new_crew_has_its_share_at_once_and_a_wider_band(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    static const double each_day[] = {4.0, 5.6, 3.0};
    for (size_t i = 0; i < 3; i++) {
        Logbook *book = book_on_one_vessel("vessel A1 --capacity 56 --class potable --level 56", 4);
        for (int day = 0; day < 30; day++)
            draw_and_refill(book, 8);
        Board *board = board_of(book, NULL);
        const double before = days_to_moment(board, board->to_reserve.p90) -
                              days_to_moment(board, board->to_reserve.p10);
        free(board);
        book_pass(book, 0.6);
        book_say(book, "crew 2");
        board = board_of(book, NULL);
        assert_true(fabs(board->litres_per_day - 4) < 0.2);
        const double low = days_to_moment(board, board->to_reserve.p10),
                     high = days_to_moment(board, board->to_reserve.p90);
        assert_true(low < 56 / each_day[i] && high > 56 / each_day[i]);
        assert_true(high - low > 3 * before);
        free(board);
        book_pass(book, -0.6);
        for (int day = 0; day < 6; day++)
            draw_and_refill(book, each_day[i]);
        board = board_of(book, NULL);
        const double median = days_to_moment(board, board->to_reserve.p50);
        assert_true(median > 0.85 * 56 / each_day[i] && median < 1.15 * 56 / each_day[i]);
        assert_true(days_to_moment(board, board->to_reserve.p90) -
                        days_to_moment(board, board->to_reserve.p10) <
                    high - low);
        free(board);
        book_close(book);
    }
}

/* Guests come to one who uses 4 L a day, and no day of theirs is known yet: neither that evening nor
 * after midnight does the water last longer than for a crew of which nothing is known, nor for more
 * of them. */
static void guests_make_no_water_last_longer(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    for (int night = 0; night < 2; night++) {
        double before = INFINITY;
        for (int crew = 2; crew < 9; crew++) {
            char words[40];
            Logbook *book =
                book_on_one_vessel("vessel A1 --capacity 56 --class potable --level 56", 1);
            for (int day = 0; day < 30; day++)
                draw_and_refill(book, 4);
            snprintf(words, sizeof words, "crew %d", crew);
            book_pass(book, 0.5);
            book_say(book, words);
            book_pass(book, night * 0.5);
            Board *board = board_of(book, NULL);
            const double median = days_to_moment(board, board->to_reserve.p50),
                         late = days_to_moment(board, board->to_reserve.p90);
            assert_true(median < before);
            assert_true(median < 1.3 * 56 / 4 / crew && late < 4.0 * 56 / 4 / crew);
            before = median;
            free(board);
            book_close(book);
        }
    }
}

/* Who only sounds forgets a fill: what came in hides what went out. It is no absence, and promises
 * no day more. */
static void a_fill_that_nobody_logged_makes_no_water_last_longer(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    double median[2], late[2];
    for (int forgets = 0; forgets < 2; forgets++) {
        Logbook *book = book_on_one_vessel("vessel A1 --capacity 25 --class potable --level 25", 2);
        for (int day = 1; day <= 20; day++) { /* 5 L a day, filled up each fourth */
            book_pass(book, 1);
            if (day % 4 == 0 && (day < 20 || forgets == 0))
                book_say(book, "fill A1 =25 --class potable");
            book_pass(book, 0.4);
            book_say(book, day % 4 == 0   ? "sound A1 23"
                           : day % 4 == 1 ? "sound A1 18"
                           : day % 4 == 2 ? "sound A1 13"
                                          : "sound A1 8");
            book_pass(book, -0.4);
        }
        book_pass(book, 0.4);
        Board *board = board_of(book, NULL);
        median[forgets] = days_to_moment(board, board->to_reserve.p50);
        late[forgets] = days_to_moment(board, board->to_reserve.p90);
        free(board);
        book_close(book);
    }
    assert_true(median[1] < 1.1 * median[0] && late[1] < 1.1 * late[0]);
}

/* Sounded is a vessel that is not the lead: what it lost has left by the tap, and is not expected
 * to have gone once more. 2 L a day go unlogged: after three days 6 L, of which A2 lost 3. */
static void what_was_found_is_not_expected_to_be_gone_again(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_of_days(NULL, 0);
    for (int i = 0; i < 12; i++) {
        for (int day = 0; day < 3; day++) {
            book_pass(book, 1);
            book_say(book, "draw galley 2");
        }
        book_say(book, "sound A1 13");
        book_say(book, "fill A1 12 --class potable");
    }
    for (int day = 0; day < 3; day++) {
        book_pass(book, 1);
        book_say(book, "draw galley 2");
    }
    Board *board = board_of(book, NULL);
    const double before = board->line_share;
    free(board);
    book_say(book, "sound A2 22");
    board = board_of(book, NULL);
    assert_int_equal(vessel_of(board, "A2")->volume, 22000);
    assert_true(fabs(board->line_share - before) < 0.02);
    const double left = plan_gone_litres(board, book_state(book), 0, (Moment){0});
    if (!(left > 1.5 && left < 3.7)) /* not 5 and more */
        fail_msg("%g L", left);
    free(board);
    book_say(book, "sound A1 16"); /* the lead: known again */
    board = board_of(book, NULL);
    assert_true(plan_gone_litres(board, book_state(book), 0, (Moment){0}) < 1e-6);
    free(board);
    book_close(book);
}

/* Set up at 19:00 with 5 L drawn until night: next morning no 12 L a person a day are said. */
static void an_evening_is_no_day(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_at(book, "2026-06-01T19:00:00Z");
    book_say(book, "vessel A1 --capacity 60 --class potable --level 60");
    book_say(book, "couple galley A1");
    book_say(book, "crew 1");
    book_pass(book, 1.5 / 24);
    book_say(book, "draw galley 5");
    Board *board = board_of(book, "2026-06-02T08:00:00Z");
    assert_true(board->litres_per_day > 4 && board->litres_per_day < 7);
    free(board);
    book_close(book);
}

/* 6 to 10 L a day; 20 L by 14:00 count before midnight, 5 L by then say nothing yet. */
static void a_day_that_is_dear_already_counts_before_midnight(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_on_one_vessel("vessel A1 --capacity 60 --class potable --level 60", 2);
    for (int day = 0; day < 30; day++)
        draw_and_refill(book, 6 + 2 * (day % 3));
    book_at(book, "2026-07-02T14:00:00Z");
    const double usual = litres_a_day(book, NULL);
    book_say(book, "draw galley 5");
    assert_true(litres_a_day(book, NULL) == usual);
    book_say(book, "draw galley 15");
    const double dear = litres_a_day(book, NULL);
    assert_true(dear > usual + 0.4);
    assert_true(fabs(litres_a_day(book, "2026-07-03T00:10:00Z") - dear) < 1e-9);
    book_close(book);
}

/* Fills to the brim, nothing else. "full" says no litres: the rate stays what it was before; 18 L
 * into a vessel that was full three days ago are 18 L used. */
static void fills_to_the_brim_teach_what_they_prove(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    static const char *const fills[] = {"fill A1 full --class potable",
                                        "fill A1 18 --class potable"};
    for (int i = 0; i < 2; i++) {
        Logbook *book = book_on_one_vessel("vessel A1 --capacity 20 --class potable --level 20", 2);
        book_say(book, "draw galley 8");
        book_say(book, "fill A1 8 --class potable");
        const double first = litres_a_day(book, "2026-06-02T08:00:00Z");
        for (int n = 0; n < 20; n++) {
            book_pass(book, 3);
            book_say(book, fills[i]);
        }
        Board *board = board_of(book, NULL);
        if (i == 0)
            assert_true(fabs(board->litres_per_day - first) < 1e-9);
        else
            assert_true(board->litres_per_day > 5.4 && board->litres_per_day < 6.6);
        assert_true(board->supply.line == 20000);
        free(board);
        book_close(book);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(with_nobody_aboard_there_is_no_date_by_litres_and_no_end),
        cmocka_unit_test(a_hundred_litres_last_two_careful_people_ten_to_fifteen_days),
        cmocka_unit_test(stops_come_by_their_time_with_odds_that_make_sense),
        cmocka_unit_test(a_later_stop_is_never_surer_than_one_before_it),
        cmocka_unit_test(a_stop_that_gives_a_little_leaves_the_odds_as_unsure_as_they_were),
        cmocka_unit_test(a_silence_does_not_lengthen_the_outlook),
        cmocka_unit_test(silence_is_charged_and_the_date_stays),
        cmocka_unit_test(no_draw_after_a_silence_lengthens_the_outlook),
        cmocka_unit_test(the_expected_level_lies_below_what_was_reckoned),
        cmocka_unit_test(what_went_unlogged_is_taken_off_the_lead_first),
        cmocka_unit_test(what_may_be_gone_needs_a_crew_or_a_log),
        cmocka_unit_test(nothing_is_gone_of_a_line_that_gives_nothing),
        cmocka_unit_test(a_new_crew_has_its_share_at_once_and_a_wider_band),
        cmocka_unit_test(guests_make_no_water_last_longer),
        cmocka_unit_test(a_fill_that_nobody_logged_makes_no_water_last_longer),
        cmocka_unit_test(what_was_found_is_not_expected_to_be_gone_again),
        cmocka_unit_test(an_evening_is_no_day),
        cmocka_unit_test(a_day_that_is_dear_already_counts_before_midnight),
        cmocka_unit_test(fills_to_the_brim_teach_what_they_prove),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
