/* Service: when each stage is due and why; what is due at all. Hand-worked cases. */
#include "outlook/board.h"
#include "outlook/service.h"

#include "outlook/forecast.h"
#include "support/board_book.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* Central European rules written out, so that no zone files are needed: clocks go forward on the
 * last Sunday of March at 02:00, back on the last of October at 03:00. */
/* Clocks go forward at midnight on the first Sunday of November. */
#define GAP_AT_MIDNIGHT "<-03>3<-02>,M11.1.0/0,M2.3.0/0"

/* The due moment of a stage with so many days of life, fitted at a time. */
static void due_by_days(const char *fitted, const char *days, const char *looked, const char *due,
                        ServiceState state)
{
    Logbook *book = book_open();
    char words[120] = "stage carbon --type carbon-block --line galley --position 1 --life-days ";
    strcat(words, days);
    book_at(book, fitted);
    book_say(book, words);
    Board *board = board_of(book, looked);
    assert_moment(stage_of(board, "carbon")->due, due);
    assert_int_equal(stage_of(board, "carbon")->state, state);
    assert_int_equal(stage_of(board, "carbon")->because, BECAUSE_DATE);
    free(board);
    book_close(book);
}

/* The board after a flow test of `first` and one of `second` seconds for 1 L, the second at a
 * pressure. */
static Board *board_of_flow(const char *first, const char *second, const char *pressure)
{
    Logbook *book = book_of_days("stage sediment --type sediment --line galley", 1);
    book_say(book, "pressurise galley 276");
    book_say(book, first);
    book_pass(book, 30);
    if (pressure != NULL)
        book_say(book, pressure);
    book_say(book, second);
    Board *board = board_of(book, NULL);
    book_close(book);
    return board;
}

static void days_of_life_end_on_a_local_date_across_the_change_of_the_clocks(void **unused)
{
    (void)unused;
    zone_set(CENTRAL_EUROPE);
    /* 20 March 18:30 (+01:00) and 30 days: 19 April, which begins at 22:00 UTC the day before. */
    due_by_days("2026-03-20T17:30:00Z", "30", "2026-03-20T17:30:00Z", "2026-04-18T22:00:00Z",
                SERVICE_OK);
    /* 10 October 23:30 (+02:00) and 30 days: 9 November, at 23:00 UTC the day before. */
    due_by_days("2026-10-10T21:30:00Z", "30", "2026-10-10T21:30:00Z", "2026-11-08T23:00:00Z",
                SERVICE_OK);
}

static void days_of_life_know_month_ends_and_leap_days(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    due_by_days("2026-01-31T12:00:00Z", "31", "2026-01-31T12:00:00Z", "2026-03-03T00:00:00Z",
                SERVICE_OK);
    due_by_days("2028-02-01T12:00:00Z", "28", "2028-02-01T12:00:00Z", "2028-02-29T00:00:00Z",
                SERVICE_OK);
    due_by_days("2028-02-29T12:00:00Z", "366", "2028-02-29T12:00:00Z", "2029-03-01T00:00:00Z",
                SERVICE_OK);
    due_by_days("2026-12-31T23:59:59Z", "1", "2026-12-31T23:59:59Z", "2027-01-01T00:00:00Z",
                SERVICE_SOON);
}

static void a_date_whose_midnight_does_not_exist_begins_when_the_day_does(void **unused)
{
    (void)unused;
    zone_set(GAP_AT_MIDNIGHT);
    /* 4 November 2018, the first Sunday: 00:00 (-03:00) became 01:00 (-02:00) = 03:00 UTC. */
    due_by_days("2018-10-05T12:00:00Z", "30", "2018-10-05T12:00:00Z", "2018-11-04T03:00:00Z",
                SERVICE_OK);
}

static void soon_begins_fourteen_civil_days_before_and_due_with_the_day(void **unused)
{
    (void)unused;
    zone_set(CENTRAL_EUROPE);
    /* Due on 19 April local; the clocks change in between. */
    due_by_days("2026-03-20T17:30:00Z", "30", "2026-04-04T21:59:59Z", "2026-04-18T22:00:00Z",
                SERVICE_OK);
    due_by_days("2026-03-20T17:30:00Z", "30", "2026-04-04T22:00:00Z", "2026-04-18T22:00:00Z",
                SERVICE_SOON);
    due_by_days("2026-03-20T17:30:00Z", "30", "2026-04-18T21:59:59Z", "2026-04-18T22:00:00Z",
                SERVICE_SOON);
    due_by_days("2026-03-20T17:30:00Z", "30", "2026-04-18T22:00:00Z", "2026-04-18T22:00:00Z",
                SERVICE_DUE);
}

static void litres_of_life_give_a_date_at_the_learnt_rate(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book =
        book_of_days("stage sediment --type sediment --line galley --life-litres 1000", 40);
    Board *board = board_of(book, NULL);
    const BoardStage *s = stage_of(board, "sediment");
    assert_int_equal(s->through, 400000);
    assert_int_equal(s->litres_left, 600000);
    assert_int_equal(s->because, BECAUSE_LITRES);
    assert_int_equal(s->state, SERVICE_OK);
    /* 10 L a day was drawn on each of 40 days: 600 L are 60 days; the prior may still tell a
     * little. */
    const double days = (double)(s->due.ms - board->now.ms) / (double)MS_PER_DAY;
    assert_true(days > 54 && days < 66);
    assert_true(fabs(days - 600 / board->litres_per_day) < 0.001);
    assert_true(s->due_early.ms < s->due.ms && s->due.ms < s->due_late.ms);
    assert_true(fabs(s->life_left - 0.6) < 1e-9);
    free(board);
    book_close(book);
}

static void life_left_is_rounded_down_but_for_what_is_new(void **unused)
{
    (void)unused;
    static const struct {
        double left;
        const char *text;
    } cases[] = {{1, "100 %"},     {0.9999, "100 %"}, {0.995, "100 %"}, {0.9949, "99 %"},
                 {0.829, "82 %"},  {0.29, "29 %"},    {0.0199, "1 %"},  {0.01, "1 %"},
                 {0.0099, "<1 %"}, {1e-12, "<1 %"},   {0, "0 %"},       {-1, ""}};
    char out[8];
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        assert_string_equal(service_life_text(cases[i].left, out), cases[i].text);
}

/* 5 L a day are logged and each sounding finds 2 more missing. Five days after the last, 10 L are
 * expected to have passed the stages besides: the date comes nearer by them, the life left is what
 * the log proves. What left before a stage was fitted did not pass it. */
static void litres_expected_gone_since_the_last_sounding_bring_the_date_nearer(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    static const struct {
        const char *stage;
        double days_nearer; /* 10 L at 7 L a day; fitted after two of the five days: 6 L */
        int fitted_on;
    } cases[] = {
        {"stage s --type other --line galley --life-litres 400", 10.0 / 7, 0},
        {"stage s --type uv --line galley --life-hours 4 --lamp with-flow --rated-lpm 2", 10.0 / 7,
         0},
        {"stage s --type other --line galley --life-litres 400", 6.0 / 7, 32},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        Logbook *book = book_open();
        book_say(book, "crew 2");
        book_say(book, "vessel A1 --capacity 60 --class potable --level 60");
        book_say(book, "couple galley A1");
        for (int day = 0; day < 35; day++) {
            if (day == cases[i].fitted_on)
                book_say(book, cases[i].stage);
            book_pass(book, 0.5);
            book_say(book, "draw galley 5");
            book_pass(book, 0.5);
            if (day >= 30)
                continue;
            book_say(book, "sound A1 53");
            book_say(book, "fill A1 7 --class potable");
        }
        Board *board = board_of(book, NULL);
        const BoardStage *s = stage_of(board, "s");
        const double life_litres = s->has_lamp_life ? 480 : 400;
        const double left = life_litres - (double)s->through / 1000;
        const double days = (double)(s->due.ms - board->now.ms) / 86400e3;
        const double nearer = left / board->litres_per_day - days;
        if (!(fabs(nearer - cases[i].days_nearer) < 0.25))
            fail_msg("%s, fitted on day %d: %.2f days nearer, not %.2f", cases[i].stage,
                     cases[i].fitted_on, nearer, cases[i].days_nearer);
        assert_true(fabs(s->life_left - left / life_litres) < 1e-6);
        free(board);
        book_close(book);
    }
}

static void under_a_tenth_of_the_litres_is_soon_and_none_is_due(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    static const struct {
        const char *stage;
        ServiceState state;
    } cases[] = {
        /* 400 L have run through: 40 of 440 are less than a tenth. */
        {"stage s --type other --line galley --life-litres 440", SERVICE_SOON},
        {"stage s --type other --line galley --life-litres 400", SERVICE_DUE},
        {"stage s --type other --line galley --life-litres 399.999", SERVICE_DUE},
        {"stage s --type other --line galley --life-litres 4000", SERVICE_OK},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        Logbook *book = book_of_days(cases[i].stage, 40);
        Board *board = board_of(book, NULL);
        assert_int_equal(stage_of(board, "s")->state, cases[i].state);
        assert_int_equal(stage_of(board, "s")->because, BECAUSE_LITRES);
        free(board);
        book_close(book);
    }
}

static void the_last_tenth_is_soon_without_any_rate(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_of_days("stage s --type other --line galley --life-litres 440", 40);
    book_say(book, "crew 0");
    Board *board = board_of(book, NULL);
    const BoardStage *s = stage_of(board, "s");
    assert_int_equal(s->state, SERVICE_SOON);
    assert_int_equal(s->because, BECAUSE_LITRES);
    assert_false(moment_known(s->due));
    free(board);
    book_close(book);
    /* under 10 % of the litres (domain 7): 44.4 of 444.4 are, 50 of 500 are not */
    book = book_of_days("stage s --type other --line galley --life-litres 444.4", 40);
    book_say(book, "crew 0");
    board = board_of(book, NULL);
    assert_int_equal(stage_of(board, "s")->state, SERVICE_SOON);
    free(board);
    book_say(book, "stage s --life-litres 500 --through 450");
    board = board_of(book, NULL);
    assert_int_equal(stage_of(board, "s")->litres_left, 50000);
    assert_int_equal(stage_of(board, "s")->state, SERVICE_OK);
    free(board);
    book_close(book);
}

static void a_lamp_that_always_burns_is_due_by_its_hours(void **unused)
{
    (void)unused;
    zone_set(CENTRAL_EUROPE);
    Logbook *book = book_open();
    book_at(book, "2026-06-01T08:00:00Z");
    book_say(book, "stage lamp --type uv --line galley --life-hours 9000 --lamp always");
    /* 9000 h are 375 days. */
    Board *board = board_of(book, "2026-06-11T08:00:00Z");
    const BoardStage *s = stage_of(board, "lamp");
    assert_moment(s->due, "2027-06-11T08:00:00Z");
    assert_int_equal(s->because, BECAUSE_LAMP_HOURS);
    assert_int_equal(s->lamp_ms, 240 * MS_PER_HOUR);
    assert_true(s->litres_left == INT64_MIN); /* no litres of life given */
    free(board);
    board = board_of(book, "2027-06-11T07:59:59Z");
    assert_int_equal(stage_of(board, "lamp")->state, SERVICE_SOON);
    free(board);
    board = board_of(book, "2027-06-20T08:00:00Z"); /* the hour that is past stays known */
    assert_moment(stage_of(board, "lamp")->due, "2027-06-11T08:00:00Z");
    free(board);
    board = board_of(book, "2027-06-11T08:00:00Z");
    assert_int_equal(stage_of(board, "lamp")->state, SERVICE_DUE);
    free(board);
    book_close(book);
}

static void a_lamp_with_the_flow_burns_by_litres_over_its_rated_flow(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    /* 400 L at 4 L/min are 100 min; 10 h of life leave 500 min = 2000 L. */
    Logbook *book = book_of_days(
        "stage lamp --type uv --line galley --life-hours 10 --lamp with-flow --rated-lpm 4", 40);
    Board *board = board_of(book, NULL);
    const BoardStage *s = stage_of(board, "lamp");
    assert_int_equal(s->lamp_ms, 100 * MS_PER_MINUTE);
    assert_int_equal(s->because, BECAUSE_LAMP_HOURS);
    const double days = (double)(s->due.ms - board->now.ms) / (double)MS_PER_DAY;
    assert_true(fabs(days - 2000 / board->litres_per_day) < 0.001);
    free(board);
    book_close(book);
    /* Without a rated flow it counts as burning always: the safe side. */
    book =
        book_of_days("stage lamp --type uv --line galley --life-hours 1200 --lamp with-flow", 40);
    board = board_of(book, NULL);
    assert_moment(stage_of(board, "lamp")->due, "2026-07-21T08:00:00Z");
    free(board);
    book_close(book);
}

static void the_earliest_of_the_limits_decides(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book =
        book_of_days("stage s --type other --line galley --life-litres 4000 --life-days 90", 40);
    Board *board = board_of(book, NULL);
    assert_moment(stage_of(board, "s")->due, "2026-08-30T00:00:00Z");
    assert_int_equal(stage_of(board, "s")->because, BECAUSE_DATE);
    free(board);
    book_close(book);
    book = book_of_days("stage s --type other --line galley --life-litres 800 --life-days 180", 40);
    board = board_of(book, NULL);
    assert_int_equal(stage_of(board, "s")->because, BECAUSE_LITRES);
    free(board);
    book_close(book);
}

/* 400 of 800 L are left at 10 L a day; the date falls before they are expected to be through, but
 * not before they may be (odds of 10 %): the band begins with the litres and ends with the date. */
static void litres_that_may_be_through_before_the_date_are_in_the_band(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_of_days("stage s --type other --line galley --life-litres 800", 40);
    Board *board = board_of(book, NULL);
    const BoardStage by_litres = *stage_of(board, "s");
    free(board);
    book_say(book, "stage s --life-days 79");
    board = board_of(book, NULL);
    const BoardStage *s = stage_of(board, "s");
    assert_int_equal(s->because, BECAUSE_DATE);
    assert_moment(s->due, "2026-08-19T00:00:00Z");
    assert_true(by_litres.due_early.ms < s->due.ms && s->due.ms < by_litres.due.ms);
    assert_int_equal(s->due_early.ms, by_litres.due_early.ms);
    assert_int_equal(s->due_late.ms, s->due.ms);
    free(board);
    book_close(book);
}

static void a_date_beyond_all_planning_is_no_date(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_of_days("stage s --type other --line galley --life-litres 900000", 10);
    Board *board = board_of(book, NULL);
    assert_false(moment_known(stage_of(board, "s")->due));
    free(board);
    book_close(book);
}

static void a_flow_that_fell_by_more_than_a_third_makes_the_sediment_stage_soon(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    /* 1 L in 10 s is 6 L/min; in 16 s 3.75: fallen by 37.5 %. */
    Board *board = board_of_flow("flowtest galley 1 10", "flowtest galley 1 16", NULL);
    assert_int_equal(stage_of(board, "sediment")->state, SERVICE_SOON);
    assert_int_equal(stage_of(board, "sediment")->because, BECAUSE_CLOGGING);
    assert_non_null(strstr(alert_of(board, "flow-fell")->text,
                           "at the same pressure; no spare is known to be aboard."));
    free(board);
    board = board_of_flow("flowtest galley 1 10", "flowtest galley 1 16", "spares sediment 1");
    assert_non_null(strstr(alert_of(board, "flow-fell")->text, "at the same pressure. Look"));
    free(board);
    /* In 15 s 4 L/min: a third exactly, not more. */
    board = board_of_flow("flowtest galley 1 10", "flowtest galley 1 15", NULL);
    assert_int_equal(stage_of(board, "sediment")->state, SERVICE_OK);
    assert_null(alert_of(board, "flow-fell"));
    free(board);
    /* At a lower pressure a slower flow says nothing. */
    board = board_of_flow("flowtest galley 1 10", "flowtest galley 1 30", "pressurise galley 140");
    assert_int_equal(stage_of(board, "sediment")->state, SERVICE_OK);
    free(board);
    /* The same is what differs by a tenth at most: 276 kPa and 248.4. */
    static const char *const pressures[] = {"pressurise galley 248.4", "pressurise galley 248.399",
                                            "pressurise galley 303.6"};
    for (size_t i = 0; i < 3; i++) {
        board = board_of_flow("flowtest galley 1 10", "flowtest galley 1 30", pressures[i]);
        assert_int_equal(stage_of(board, "sediment")->state, i == 1 ? SERVICE_OK : SERVICE_SOON);
        free(board);
    }
}

static const DueItem *due_of(const DueItem *items, int count, const char *about, Care care)
{
    for (int i = 0; i < count; i++)
        if (strcmp(items[i].about.s, about) == 0 && items[i].care == care)
            return &items[i];
    fail_msg("%s is not in the list", about);
    return NULL;
}

/* A stage of 60 days, fitted on 1 June: due on 31 July. Without a spare it is told one lead time
 * earlier, or as many days earlier as a stop with a shop is away; *by: to have one. */
static bool spare_told(const char *entries, const char *at, Moment *by)
{
    Logbook *book = book_open();
    book_at(book, "2026-06-01T08:00:00Z");
    book_say(book, "stage s --type other --line galley --life-days 60");
    for (const char *line = entries; *line != '\0';) {
        char words[160];
        const size_t n = strcspn(line, "\n");
        snprintf(words, sizeof words, "%.*s", (int)n, line);
        book_say(book, words);
        line += n + (line[n] != '\0');
    }
    Board *board = board_of(book, at);
    const bool told = stage_wants_spare(board, stage_of(board, "s"), by);
    free(board);
    book_close(book);
    return told;
}

static void a_stage_without_a_spare_is_told_one_lead_time_earlier(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    static const struct {
        const char *entries, *at, *by; /* by NULL: it is not told */
    } cases[] = {
        {"spares s 0", "2026-07-02T12:00:00Z", NULL}, /* 29 days ahead */
        {"spares s 0", "2026-07-03T00:00:00Z", "2026-07-17T00:00:00Z"},
        {"spares s 1", "2026-07-20T12:00:00Z", NULL},
        {"stop Fen --eta 2027-01-01", "2026-07-20T12:00:00Z", NULL}, /* never counted */
        {"spares s 0\nleadtime 3", "2026-07-24T12:00:00Z", NULL},
        {"spares s 0\nleadtime 3", "2026-07-25T12:00:00Z", "2026-07-28T00:00:00Z"},
        {"spares s 0\nstop Fen --eta 2026-07-20T10:00:00Z --shop", "2026-06-26T12:00:00Z",
         "2026-07-20T00:00:00Z"}, /* 35 days: 14 and 24 */
        {"spares s 0\nstop Fen --eta 2026-07-20T10:00:00Z --shop", "2026-06-15T12:00:00Z",
         "2026-07-20T00:00:00Z"}, /* 46 days: 14 and 35 */
        {"spares s 0\nstop Fen --eta 2026-06-20T10:00:00Z --shop", "2026-06-15T12:00:00Z", NULL},
        {"spares s 0\nstop Fen --eta 2026-07-20T10:00:00Z\nstop Moor --eta 2026-09-20T10:00:00Z "
         "--shop",
         "2026-06-26T12:00:00Z", "2026-07-17T00:00:00Z"},
        {"spares s 0\nstop Fen --eta 2026-07-20T10:00:00Z", "2026-06-26T12:00:00Z",
         "2026-07-20T00:00:00Z"}, /* nobody says of any stop */
        {"spares s 0\nstop Fen --eta 2026-08-20T10:00:00Z --shop", "2026-06-26T12:00:00Z",
         "2026-07-17T00:00:00Z"},                     /* the shop comes too late */
        {"spares s 0", "2026-07-31T00:00:00Z", NULL}, /* due: that is said louder */
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        Moment by;
        const bool told = spare_told(cases[i].entries, cases[i].at, &by);
        if (told != (cases[i].by != NULL))
            fail_msg("%s at %s: %s", cases[i].entries, cases[i].at, told ? "told" : "not told");
        if (told)
            assert_moment(by, cases[i].by);
    }
}

static void the_lead_time_moves_where_soon_begins(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_at(book, "2026-06-01T08:00:00Z");
    book_say(book, "stage s --type other --line galley --life-days 60");
    book_say(book, "leadtime 21");
    Board *board = board_of(book, "2026-07-09T12:00:00Z"); /* 22 days ahead */
    assert_int_equal(stage_of(board, "s")->state, SERVICE_OK);
    free(board);
    board = board_of(book, "2026-07-10T12:00:00Z");
    assert_int_equal(stage_of(board, "s")->state, SERVICE_SOON);
    free(board);
    book_close(book);
}

/* 31 January and 30 days, 29 February, 30 and 31 days over the ends of months, of lamps and vessels
 * too: all by hand. */
static void sanitising_and_stale_water_fall_on_their_days(void **unused)
{
    (void)unused;
    zone_set(CENTRAL_EUROPE);
    Logbook *book = book_open();
    DueItem *items = calloc(DUE_MAX, sizeof *items);
    book_at(book, "2028-01-31T22:30:00Z"); /* 23:30 local, of a leap year */
    book_say(book, "vessel A1 --capacity 10");
    book_say(book, "vessel R1 --capacity 10 --duty reserve");
    book_say(book, "vessel W1 --capacity 10 --duty wash");
    book_say(book, "couple galley A1");
    book_say(book, "sanitise A1");
    book_say(book, "sanitise W1");
    book_say(book, "fill A1 5 --class potable");
    book_say(book, "fill R1 5 --class potable");
    book_say(book, "fill W1 5 --class potable");
    Board *board = board_of(book, NULL);
    const int count = board_due(board, items);
    /* A1 to sanitise; A1 and R1 for their water; R1 never was sanitised, W1 takes any water. */
    assert_int_equal(count, 3);
    /* Day 31 of 366, and 180 days: day 211, 29 July, which begins at 22:00 UTC the day before. */
    assert_moment(due_of(items, count, "A1", CARE_SANITISE)->at, "2028-07-28T22:00:00Z");
    assert_true(due_of(items, count, "A1", CARE_SANITISE)->day);
    /* 30 days of 24 hours after the fill: 1 March; 180 days: 29 July. */
    assert_moment(due_of(items, count, "A1", CARE_WATER)->at, "2028-03-01T22:30:00Z");
    assert_moment(due_of(items, count, "R1", CARE_WATER)->at, "2028-07-29T22:30:00Z");
    assert_false(due_of(items, count, "A1", CARE_WATER)->day);
    assert_string_equal(due_of(items, count, "A1", CARE_SANITISE)->why,
                        "180 days after the last time");
    /* domain 7, "unless set": 90 days, day 121, 30 April */
    free(board);
    book_say(book, "vessel A1 --interval 90");
    board = board_of(book, NULL);
    assert_int_equal(board_due(board, items), 3);
    assert_moment(due_of(items, count, "A1", CARE_SANITISE)->at, "2028-04-29T22:00:00Z");
    assert_string_equal(due_of(items, count, "A1", CARE_SANITISE)->why,
                        "90 days after the last time");
    free(board);
    book_say(book, "vessel A1 --heel 0.1"); /* what is left out keeps its value */
    board = board_of(book, NULL);
    board_due(board, items);
    assert_moment(due_of(items, count, "A1", CARE_SANITISE)->at, "2028-04-29T22:00:00Z");
    free(items);
    free(board);
    book_close(book);
}

/* Half of 10 L is three days younger: the mean age is that of the middle. */
static void water_is_stale_by_its_mean_age(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 10");
    book_say(book, "couple galley A1");
    book_say(book, "fill A1 5 --class potable"); /* 1 June 08:00 */
    book_pass(book, 3);
    book_say(book, "fill A1 5 --class potable"); /* 4 June 08:00: mean 2 June 20:00 */
    Board *board = board_of(book, "2026-07-02T19:59:59Z");
    assert_moment(vessel_of(board, "A1")->stale_at, "2026-07-02T20:00:00Z");
    assert_null(alert_of(board, "stale"));
    free(board);
    board = board_of(book, "2026-07-02T20:00:00Z");
    assert_non_null(alert_of(board, "stale"));
    free(board);
    book_close(book);
}

static void a_lamp_of_hours_does_not_feel_the_clocks_change(void **unused)
{
    (void)unused;
    zone_set(CENTRAL_EUROPE);
    Logbook *book = book_open();
    book_at(book, "2026-03-28T12:00:00Z"); /* 13:00 local; the clocks go forward that night */
    book_say(book, "stage lamp --type uv --line galley --life-hours 48 --lamp always");
    Board *board = board_of(book, NULL);
    assert_moment(stage_of(board, "lamp")->due, "2026-03-30T12:00:00Z"); /* 14:00 local */
    free(board);
    book_close(book);
}

/* Nobody aboard, nothing known, nothing at all: no date, no division by zero, and said so. */
static void without_a_rate_litres_give_no_date(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    DueItem *items = calloc(DUE_MAX, sizeof *items);
    static const char *const crews[] = {"crew 0", NULL};
    for (size_t i = 0; i < 2; i++) {
        Logbook *book = book_open();
        book_say(book, "stage s --type other --line galley --life-litres 4000");
        book_say(book, "stage u --type uv --line galley --life-hours 100 --lamp with-flow "
                       "--rated-lpm 4");
        book_say(book, "stage x --type other --line galley"); /* no life: nothing to say */
        if (crews[i] != NULL)
            book_say(book, crews[i]);
        Board *board = board_of(book, NULL);
        if (crews[i] != NULL) {
            assert_false(moment_known(stage_of(board, "s")->due));
            assert_false(moment_known(stage_of(board, "u")->due));
            assert_int_equal(board_due(board, items), 0);
            assert_int_equal(board_undated(board, items), 2);
            assert_string_equal(items[0].about.s, "s");
            assert_string_equal(items[1].about.s, "u");
            assert_string_equal(items[0].why, "spares never counted");
        }
        for (int s = 0; s < board->stage_count; s++) {
            assert_int_equal(board->stages[s].state, SERVICE_OK);
            /* no further off than can be planned, and never in the year 40000 */
            if (moment_known(board->stages[s].due))
                assert_true(board->stages[s].due.ms <
                            board->now.ms + (int64_t)FORECAST_NEVER_DAYS * MS_PER_DAY);
        }
        free(board);
        book_close(book);
    }
    Logbook *empty = book_open();
    Board *board = board_of(empty, NULL);
    assert_int_equal(board_due(board, items), 0);
    assert_int_equal(board_undated(board, items), 0);
    free(board);
    book_close(empty);
    free(items);
}

/* ---- put off ---- */

static void a_reminder_that_was_put_off_waits_in_the_list_until_its_time(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    DueItem *items = calloc(DUE_MAX, sizeof *items);
    book_say(book, "stage s --type other --line galley --life-days 30"); /* due on 1 July */
    book_say(book, "stage t --type other --line galley --life-days 37"); /* due on 8 July */
    book_pass(book, 31);                                                 /* 2 July 08:00 */
    book_say(book, "putoff s --until 2026-07-09T08:00:00Z");
    Board *board = board_of(book, NULL);
    assert_int_equal(board_due(board, items), 2);
    assert_string_equal(items[0].about.s, "t"); /* 8 July comes before 9 July */
    const DueItem *s = &items[1];
    assert_string_equal(s->what, "s, put off: swap the cartridge");
    assert_string_equal(s->why, "due since Wed 1 Jul, by date; spares never counted");
    assert_int_equal(s->state, SERVICE_OK);
    assert_moment(s->at, "2026-07-09T08:00:00Z");
    assert_moment(s->due, "2026-07-01T00:00:00Z");
    /* What the stage is good for does not change by it. */
    assert_int_equal(stage_of(board, "s")->state, SERVICE_DUE);
    assert_moment(stage_of(board, "s")->put_off, "2026-07-09T08:00:00Z");
    free(board);
    board = board_of(book, "2026-07-09T07:59:59Z");
    assert_true(moment_known(stage_of(board, "s")->put_off));
    free(board);
    board = board_of(book, "2026-07-09T08:00:00Z");
    assert_false(moment_known(stage_of(board, "s")->put_off));
    assert_int_equal(board_due(board, items), 2);
    assert_string_equal(items[0].what, "s: swap the cartridge");
    assert_int_equal(items[0].state, SERVICE_DUE);
    free(board);
    free(items);
    book_close(book);
}

static void what_falls_due_after_it_was_put_off_to_keeps_its_date(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    DueItem *items = calloc(DUE_MAX, sizeof *items);
    book_say(book, "stage s --type other --line galley --life-days 12"); /* due on 13 June: soon */
    book_say(book, "putoff s --until 2026-06-08T08:00:00Z");
    Board *board = board_of(book, NULL);
    assert_int_equal(board_due(board, items), 1);
    assert_moment(items[0].at, "2026-06-13T00:00:00Z");
    assert_int_equal(items[0].state, SERVICE_OK);
    assert_string_equal(items[0].why, "due Sat 13 Jun, by date; spares never counted");
    free(board);
    board = board_of(book, "2026-06-08T08:00:00Z");
    assert_int_equal(board_due(board, items), 1);
    assert_int_equal(items[0].state, SERVICE_SOON);
    free(board);
    free(items);
    book_close(book);
}

static void a_window_counts_local_days_and_what_has_no_date(void **unused)
{
    (void)unused;
    zone_set(CENTRAL_EUROPE);
    const Moment now = utc("2026-03-28T22:59:59Z"); /* 23:59:59 local, before the clocks change */
    static const struct {
        const char *at;
        ServiceState state;
        int64_t within;
        bool counts;
    } cases[] = {
        {"2026-03-28T20:00:00Z", SERVICE_DUE, -1, true},
        {"2026-03-28T20:00:00Z", SERVICE_DUE, 0, true},
        {"2026-04-28T20:00:00Z", SERVICE_DUE, 0, true}, /* a spare to get now, for then */
        {"2026-03-28T23:00:00Z", SERVICE_SOON, -1, false},
        {"2026-03-28T23:00:00Z", SERVICE_SOON, 0, false}, /* tomorrow, in a second */
        {"2026-03-28T23:00:00Z", SERVICE_SOON, 1, true},
        {"2026-03-29T21:59:59Z", SERVICE_SOON, 1, true}, /* 23:59:59 of the day of 23 hours */
        {"2026-03-29T22:00:00Z", SERVICE_SOON, 1, false},
        {"2026-03-29T22:00:00Z", SERVICE_OK, 2, true},
        {NULL, SERVICE_SOON, -1, false}, /* clogging: soon, not due */
        {NULL, SERVICE_SOON, 0, true},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        const DueItem item = {.at = cases[i].at != NULL ? utc(cases[i].at) : MOMENT_NONE,
                              .state = cases[i].state};
        if (due_counts(&item, now, cases[i].within) != cases[i].counts)
            fail_msg("case %zu", i);
    }
}

static void what_is_due_comes_soonest_first(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    DueItem *items = calloc(DUE_MAX, sizeof *items);
    book_say(book, "vessel A1 --capacity 10");
    book_say(book, "sanitise A1");
    book_say(book, "fill A1 5 --class potable");
    book_say(book, "stage s --type sediment --line galley --life-days 60");
    book_say(book, "stage u --type uv --line galley --life-days 20");
    book_say(book, "spares u 2");
    book_say(book, "stage x --type other --line galley"); /* no life: never due */
    book_pass(book, 25);
    Board *board = board_of(book, NULL);
    assert_int_equal(board_due(board, items), 4);
    assert_string_equal(items[0].about.s, "u"); /* 21 June, past */
    assert_int_equal(items[0].state, SERVICE_DUE);
    assert_non_null(strstr(items[0].what, "lamp"));
    assert_non_null(strstr(items[0].why, "2 spares aboard"));
    assert_string_equal(items[1].about.s, "A1"); /* stale on 1 July */
    assert_int_equal(items[1].state, SERVICE_SOON);
    assert_string_equal(items[2].about.s, "s"); /* 31 July */
    assert_int_equal(items[2].state, SERVICE_OK);
    assert_string_equal(items[3].about.s, "A1"); /* sanitise on 28 November */
    free(items);
    free(board);
    book_close(book);
}

/* What an alert asks to be looked at stands in the list of what is due; the residual that carbon
 * takes out is no matter of care: nothing would end it. */
static void what_is_to_be_looked_at_says_what_to_do(void **unused)
{
    (void)unused;
    static const struct {
        const char *id, *about, *what; /* what NULL: not in the list */
        StageType stage;
    } cases[] = {
        {"frost", "galley", "galley: drain what freezes", STAGE_SEDIMENT},
        {"low-water", "", "water: refill", STAGE_SEDIMENT},
        {"residual-low", "A1", "A1: dose, or use it soon", STAGE_CARBON_BLOCK},
        {"residual-high", "A1", "A1: dilute it", STAGE_SEDIMENT},
        {"residual-faded", "A1", "A1: test it again", STAGE_SEDIMENT},
        {"tap-residual-high", "galley", "galley: dilute it", STAGE_CARBON_BLOCK},
        {"tap-residual-low", "galley", "galley: use what is drawn at once", STAGE_SEDIMENT},
        {"tap-residual-low", "galley", NULL, STAGE_CARBON_BLOCK},
        {"tap-residual-low", "galley", NULL, STAGE_CARBON_GRANULAR},
        {"tap-residual-low", "deck", "deck: use what is drawn at once", STAGE_CARBON_BLOCK},
        {"leak", "R1", "R1: look for a leak", STAGE_SEDIMENT},
        {"run-long", "galley", "galley: look for a leak", STAGE_SEDIMENT},
    };
    zone_set("UTC0");
    Logbook *book = book_of_days("stage s --type sediment --line galley", 1);
    Board *board = board_of(book, NULL);
    DueItem *looks = malloc(sizeof(DueItem) * BOARD_ALERTS_MAX);
    assert_non_null(looks);
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        board->stages[0].type = cases[i].stage;
        Alert *alert = &board->alerts[0];
        *alert = (Alert){.level = ALERT_CAUTION, .id = cases[i].id, .says = 5, .flags = ALERT_LOOK};
        snprintf(alert->about.s, sizeof alert->about.s, "%s", cases[i].about);
        snprintf(alert->text, sizeof alert->text, "is so. Do that");
        board->alert_count = 1;
        assert_int_equal(board_looks(board, looks), cases[i].what != NULL ? 1 : 0);
        if (cases[i].what != NULL) {
            assert_string_equal(looks[0].what, cases[i].what);
            assert_string_equal(looks[0].why, "is so");
            assert_int_equal(looks[0].state, SERVICE_DUE);
            assert_int_equal(looks[0].at.ms, board->now.ms);
        }
        alert->flags = ALERT_IN_DUE; /* told there already */
        assert_int_equal(board_looks(board, looks), 0);
    }
    free(looks);
    free(board);
    book_close(book);
}

static const DueItem *due_about(const Board *board, DueItem items[DUE_MAX], const char *label,
                                Care care)
{
    const int count = board_due(board, items);
    for (int i = 0; i < count; i++)
        if (strcmp(items[i].about.s, label) == 0 && items[i].care == care)
            return &items[i];
    return NULL;
}

/* The thing to get or to swap has its name, and the shop that comes in time. */
static void a_spare_to_get_is_due_at_the_shop_and_named_as_what_it_is(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    static const struct {
        const char *type, *get, *swap;
    } cases[] = {
        {"sediment", "s: get a spare cartridge", "s: swap the cartridge"},
        {"carbon-granular", "s: get a spare cartridge", "s: swap the cartridge"},
        {"membrane", "s: get a spare membrane", "s: swap the membrane"},
        {"uv", "s: get a spare lamp", "s: swap the lamp"},
    };
    char words[120];
    DueItem *items = malloc(sizeof(DueItem) * DUE_MAX);
    assert_non_null(items);
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        Logbook *book = book_open();
        book_at(book, "2026-06-01T08:00:00Z");
        snprintf(words, sizeof words, "stage s --type %s --line galley --life-days 60",
                 cases[i].type);
        book_say(book, words);
        book_say(book, "spares s 0");
        Board *board = board_of(book, "2026-07-05T12:00:00Z");
        const DueItem *get = due_about(board, items, "s", CARE_SPARE);
        assert_non_null(get);
        assert_string_equal(get->what, cases[i].get);
        assert_string_equal(get->why, "no spare aboard; due Fri 31 Jul");
        assert_moment(get->at, "2026-07-17T00:00:00Z");
        assert_int_equal(get->state, SERVICE_SOON); /* 12 days ahead */
        const DueItem *swap = due_about(board, items, "s", CARE_SWAP);
        assert_non_null(swap);
        assert_string_equal(swap->what, cases[i].swap);
        assert_string_equal(swap->why, "by date; no spare aboard");
        free(board);
        book_say(book, "stop Fen --eta 2026-07-05T10:00:00Z --shop");
        board = board_of(book, "2026-07-05T09:00:00Z");
        get = due_about(board, items, "s", CARE_SPARE);
        assert_non_null(get);
        assert_string_equal(get->why, "Fen; no spare aboard; due Fri 31 Jul");
        assert_int_equal(get->state, SERVICE_DUE); /* today is the day */
        free(board);
        book_say(book, "spares s 1");
        board = board_of(book, "2026-07-05T12:00:00Z");
        assert_null(due_about(board, items, "s", CARE_SPARE));
        assert_string_equal(due_about(board, items, "s", CARE_SWAP)->why,
                            "by date; 1 spare aboard");
        free(board);
        book_close(book);
    }
    free(items);
}

/* A stage's rate is its line's share of what was drawn; none without a rate. */
static void the_litres_of_a_stage_go_at_its_lines_share_of_the_use(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 200 --class potable --level 200");
    book_say(book, "vessel B1 --capacity 200 --class potable --level 200");
    book_say(book, "couple galley A1");
    book_say(book, "couple deck B1");
    book_say(book, "crew 1");
    for (int i = 0; i < 12; i++) {
        book_pass(book, 1);
        book_say(book, "draw galley 3");
        book_say(book, "draw deck 1");
    }
    const State *state = book_state(book);
    Board *board = board_of(book, NULL);
    const ForecastRate all = forecast_rate(&state->use, book->now.ms, 0, -1);
    const double whole = service_rate(board, state, &all, -1).day;
    assert_true(fabs(whole - all.day) < 1e-9);
    for (int i = 0; i < board->line_count; i++) {
        const bool galley = strcmp(board->lines[i].label.s, "galley") == 0;
        const double day = service_rate(board, state, &all, board->lines[i].slot).day;
        assert_true(fabs(day - all.day * (galley ? 0.75 : 0.25)) < 1e-9);
    }
    board->use_known = false;
    assert_true(service_rate(board, state, &all, -1).day <= 0.0);
    free(board);
    /* A line that nothing was drawn from yet goes at the whole rate: the safe side. */
    book_say(book, "vessel C1 --capacity 20");
    book_say(book, "couple shower C1");
    board = board_of(book, NULL);
    state = book_state(book);
    for (int i = 0; i < board->line_count; i++)
        if (strcmp(board->lines[i].label.s, "shower") == 0)
            assert_true(fabs(service_rate(board, state, &all, board->lines[i].slot).day - whole) <
                        1e-9);
    /* Nor is a time that never comes one. */
    assert_false(moment_known(service_ahead(board->now, FORECAST_NEVER_DAYS)));
    assert_false(moment_known(service_ahead(board->now, (double)NAN)));
    assert_int_equal(service_ahead(board->now, 1095.5).ms - board->now.ms,
                     1095 * MS_PER_DAY + MS_PER_DAY / 2);
    free(board);
    book_close(book);
}

/* domain 7: what is left of a life is a share of it, of days, litres or hours: the least counts. */
static void the_life_left_is_the_least_share_of_any_life(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    static const struct {
        const char *stage;
        double left;
    } cases[] = {{"stage s --type other --line galley --life-days 40", 0.75},
                 {"stage s --type other --line galley --life-litres 200", 0.5},
                 {"stage s --type uv --line galley --life-hours 960 --lamp always", 0.75},
                 {"stage s --type uv --line galley --life-hours 10 --lamp with-flow --rated-lpm 2",
                  11.0 / 12},
                 {"stage s --type other --line galley --life-days 40 --life-litres 200", 0.5},
                 {"stage s --type other --line galley --life-days 15 --life-litres 200", 1.0 / 3},
                 {"stage s --type other --line galley --life-days 5", 0},
                 {"stage s --type other --line galley --life-days 5 --life-litres 200", 0},
                 {"stage s --type other --line galley", -1}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        Logbook *book = book_open();
        book_say(book, "vessel A1 --capacity 200 --class potable --level 200");
        book_say(book, "couple galley A1");
        book_say(book, cases[i].stage);
        book_say(book, "draw galley 100");
        book_pass(book, 10);
        Board *board = board_of(book, NULL);
        const double left = stage_of(board, "s")->life_left;
        if (fabs(left - cases[i].left) > 1e-9)
            fail_msg("%s: %g", cases[i].stage, left);
        free(board);
        book_close(book);
    }
}

/* Where any stop says whether it has a shop, one that does not say has none. */
static void a_shop_is_taken_for_granted_only_where_nobody_speaks_of_shops(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 20");
    book_say(book, "stop Fen --eta +2d");
    book_say(book, "stop Holm --eta +3d");
    Board *board = board_of(book, NULL);
    assert_true(stop_has_shop(board, &board->stops[0]) && stop_has_shop(board, &board->stops[1]));
    board->stops[1].shop = 0; /* "no shop" is said of Holm: the others would have said so */
    assert_false(stop_has_shop(board, &board->stops[0]) || stop_has_shop(board, &board->stops[1]));
    board->stops[1].shop = 1;
    assert_false(stop_has_shop(board, &board->stops[0]));
    assert_true(stop_has_shop(board, &board->stops[1]));
    free(board);
    book_close(book);
    /* what has no date counts whatever the days */
    const DueItem never = {.state = SERVICE_OK, .at = MOMENT_NONE};
    assert_true(due_counts(&never, utc("2026-06-01T08:00:00Z"), 3));
    assert_false(due_counts(&never, utc("2026-06-01T08:00:00Z"), -1));
    const DueItem then = {.state = SERVICE_OK, .at = utc("2026-06-05T08:00:00Z")};
    assert_false(due_counts(&then, utc("2026-06-01T08:00:00Z"), 3));
    assert_true(due_counts(&then, utc("2026-06-01T08:00:00Z"), 4));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(days_of_life_end_on_a_local_date_across_the_change_of_the_clocks),
        cmocka_unit_test(days_of_life_know_month_ends_and_leap_days),
        cmocka_unit_test(the_life_left_is_the_least_share_of_any_life),
        cmocka_unit_test(a_shop_is_taken_for_granted_only_where_nobody_speaks_of_shops),
        cmocka_unit_test(a_date_whose_midnight_does_not_exist_begins_when_the_day_does),
        cmocka_unit_test(a_stage_without_a_spare_is_told_one_lead_time_earlier),
        cmocka_unit_test(the_lead_time_moves_where_soon_begins),
        cmocka_unit_test(soon_begins_fourteen_civil_days_before_and_due_with_the_day),
        cmocka_unit_test(litres_of_life_give_a_date_at_the_learnt_rate),
        cmocka_unit_test(life_left_is_rounded_down_but_for_what_is_new),
        cmocka_unit_test(litres_expected_gone_since_the_last_sounding_bring_the_date_nearer),
        cmocka_unit_test(under_a_tenth_of_the_litres_is_soon_and_none_is_due),
        cmocka_unit_test(the_last_tenth_is_soon_without_any_rate),
        cmocka_unit_test(a_lamp_that_always_burns_is_due_by_its_hours),
        cmocka_unit_test(a_lamp_with_the_flow_burns_by_litres_over_its_rated_flow),
        cmocka_unit_test(the_earliest_of_the_limits_decides),
        cmocka_unit_test(litres_that_may_be_through_before_the_date_are_in_the_band),
        cmocka_unit_test(a_date_beyond_all_planning_is_no_date),
        cmocka_unit_test(a_flow_that_fell_by_more_than_a_third_makes_the_sediment_stage_soon),
        cmocka_unit_test(sanitising_and_stale_water_fall_on_their_days),
        cmocka_unit_test(water_is_stale_by_its_mean_age),
        cmocka_unit_test(a_lamp_of_hours_does_not_feel_the_clocks_change),
        cmocka_unit_test(without_a_rate_litres_give_no_date),
        cmocka_unit_test(a_reminder_that_was_put_off_waits_in_the_list_until_its_time),
        cmocka_unit_test(what_falls_due_after_it_was_put_off_to_keeps_its_date),
        cmocka_unit_test(a_window_counts_local_days_and_what_has_no_date),
        cmocka_unit_test(what_is_due_comes_soonest_first),
        cmocka_unit_test(what_is_to_be_looked_at_says_what_to_do),
        cmocka_unit_test(a_spare_to_get_is_due_at_the_shop_and_named_as_what_it_is),
        cmocka_unit_test(the_litres_of_a_stage_go_at_its_lines_share_of_the_use),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
