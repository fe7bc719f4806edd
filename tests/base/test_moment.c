/* The calendar, local time with its gaps and overlaps, and how moments are printed. Time zones are
 * POSIX TZ strings, so that no zone files are needed. */
#include "base/moment.h"

#include "support/zone.h"

#include <inttypes.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

#define EASTERN "EST5EDT,M3.2.0,M11.1.0"
#define HALF_HOUR_SHIFT "LHST-10:30LHDT-11,M10.1.0,M4.1.0"
#define MIDNIGHT_GAP "AAA3BBB,M10.3.0/0,M2.3.0/0"          /* 00:00 -> 01:00; 00:00 -> 23:00 */
#define MIDNIGHT_TWICE "AAA5BBB,M3.2.0/0,M11.1.0/1"        /* 00:00 -> 01:00; 01:00 -> 00:00 */
#define ACROSS_MIDNIGHT "AAA0BBB,M4.1.0/23:30,M9.1.0/0:30" /* 23:30 -> 00:30; 00:30 -> 23:30 */
#define NEW_YEAR_GAP "AAA-1BBB,0/0,J182/3"        /* clocks go forward as the year begins */
#define SUMMER_OF_A_DAY "AAA0BBB,J100/12,J101/12" /* two changes closer than a day and a half */
#define DAY_LEFT_OUT "AAA10BBB-14,J364/0,J60/0"   /* 30 December is skipped: a day line crossed */

/* What clocks show, as ms since 1970-01-01T00:00:00 on them. */
static int64_t reading(const char *clocks)
{
    char text[40];
    snprintf(text, sizeof text, "%sZ", clocks);
    return utc(text).ms;
}

static void assert_moment(Moment m, const char *expected)
{
    char out[40];
    moment_print_utc(m, out);
    if (strcmp(out, expected) != 0)
        fail_msg("%s is not %s", out, expected);
}

/* ---- the calendar ---- */

/* RFC 3339 (2002) appendix B: day of the week by Zeller's congruence, 0 = Sunday. */
static int zeller(int day, int month, int year)
{
    month -= 2;
    if (month < 1) {
        month += 12;
        --year;
    }
    int century = year / 100;
    year %= 100;
    return ((26 * month - 2) / 10 + day + year + year / 4 + century / 4 + 5 * century) % 7;
}

/* RFC 3339 appendix C. */
static int is_leap(int year)
{
    return year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
}

static void test_every_day_from_year_1_to_9999_follows_the_one_before(void **state)
{
    (void)state;
    /* RFC 3339 section 5.7: the lengths of months. */
    static const int lengths[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    int64_t day_number = civil_day_number(1, 1, 1);
    for (int year = 1; year <= 9999; year++) {
        for (int month = 1; month <= 12; month++) {
            int length = lengths[month - 1] + (month == 2 && is_leap(year));
            for (int day = 1; day <= length; day++, day_number++) {
                int y = 0, m = 0, d = 0;
                civil_from_day(day_number, &y, &m, &d);
                if (y != year || m != month || d != day ||
                    civil_day_number(year, month, day) != day_number ||
                    !civil_date_valid(year, month, day) ||
                    civil_weekday(day_number) != zeller(day, month, year))
                    fail_msg("%04d-%02d-%02d: day %" PRId64, year, month, day, day_number);
            }
            assert_false(civil_date_valid(year, month, length + 1));
        }
    }
    /* The last day of 9999 is the last that the log accepts. */
    assert_true(day_number * MS_PER_DAY - 1 == MOMENT_MAX_MS);
}

static void test_the_calendar_agrees_with_the_c_library(void **state)
{
    (void)state;
    for (int64_t day = -200000; day < 200000; day += 17) {
        time_t seconds = (time_t)(day * 86400);
        struct tm utc;
        assert_non_null(gmtime_r(&seconds, &utc));
        int y = 0, m = 0, d = 0;
        civil_from_day(day, &y, &m, &d);
        assert_int_equal(y, utc.tm_year + 1900);
        assert_int_equal(m, utc.tm_mon + 1);
        assert_int_equal(d, utc.tm_mday);
        assert_int_equal(civil_weekday(day), utc.tm_wday);
    }
}

static void test_known_days_have_their_numbers(void **state)
{
    (void)state;
    assert_true(civil_day_number(1970, 1, 1) == 0);
    assert_true(civil_day_number(1969, 12, 31) == -1);
    assert_true(civil_day_number(1970, 12, 31) == 364);
    assert_true(civil_day_number(2000, 3, 1) == 11017); /* 951868800 s: POSIX, from memory */
    /* RFC 9562 appendix A.6: 22 February 2022 was a Tuesday. */
    assert_int_equal(civil_weekday(civil_day_number(2022, 2, 22)), 2);
    /* The day of the 1937 example of RFC 3339 section 5.8, before 1970: a Friday by Zeller. */
    assert_int_equal(civil_weekday(civil_day_number(1937, 1, 1)), zeller(1, 1, 1937));
    assert_int_equal(civil_weekday(-1), 3);
    assert_int_equal(civil_weekday(-7), 4);
}

static void test_dates_that_do_not_exist_are_known(void **state)
{
    (void)state;
    assert_true(civil_date_valid(2028, 2, 29));
    assert_true(civil_date_valid(2000, 2, 29));
    assert_false(civil_date_valid(2027, 2, 29));
    assert_false(civil_date_valid(1900, 2, 29));
    assert_false(civil_date_valid(2100, 2, 29));
    assert_false(civil_date_valid(2026, 2, 31));
    assert_false(civil_date_valid(2026, 4, 31));
    assert_false(civil_date_valid(2026, 0, 1));
    assert_false(civil_date_valid(2026, 13, 1));
    assert_false(civil_date_valid(2026, 1, 0));
    assert_false(civil_date_valid(2026, 1, -1));
    assert_false(civil_date_valid(0, 1, 1));
    assert_false(civil_date_valid(10000, 1, 1));
}

static void test_a_moment_before_1970_has_its_civil_time(void **state)
{
    (void)state;
    /* RFC 3339 section 5.8: 1937-01-01T12:00:27.87+00:20. */
    Moment m = {civil_day_number(1937, 1, 1) * MS_PER_DAY + 12 * MS_PER_HOUR + 27870 -
                20 * MS_PER_MINUTE};
    Civil c = moment_civil(m, 20);
    assert_int_equal(c.year, 1937);
    assert_int_equal(c.month, 1);
    assert_int_equal(c.day, 1);
    assert_int_equal(c.hour, 12);
    assert_int_equal(c.minute, 0);
    assert_int_equal(c.second, 27);
    assert_int_equal(c.milli, 870);
    assert_int_equal(c.zone, 20);
    assert_int_equal(c.weekday, zeller(1, 1, 1937));
    char out[40];
    assert_string_equal(moment_print_zone(m, 20, out), "1937-01-01T12:00:27.870+00:20");
    assert_string_equal(moment_print_utc(m, out), "1937-01-01T11:40:27.870Z");
}

static void test_an_offset_moves_the_day(void **state)
{
    (void)state;
    Moment m = utc("2026-12-31T23:30:00Z");
    assert_true(moment_day(m, 0) == civil_day_number(2026, 12, 31));
    assert_true(moment_day(m, 60) == civil_day_number(2027, 1, 1));
    assert_true(moment_day(m, -12 * 60) == civil_day_number(2026, 12, 31));
    assert_true(moment_day((Moment){-1}, 0) == -1);
    assert_true(moment_day((Moment){0}, -1) == -1);
    Civil c = moment_civil(m, 60);
    assert_int_equal(c.year, 2027);
    assert_int_equal(c.hour, 0);
    assert_int_equal(c.minute, 30);
    assert_int_equal(c.weekday, 5);
}

static void test_only_none_is_unknown(void **state)
{
    (void)state;
    assert_false(moment_known(MOMENT_NONE));
    assert_true(moment_known((Moment){0}));
    assert_true(moment_known((Moment){-1}));
    assert_true(moment_known((Moment){INT64_MAX}));
}

static void test_never_is_later_than_any_time(void **state)
{
    (void)state;
    const Moment one = {1}, two = {2};
    assert_int_equal(moment_sooner(one, two).ms, 1);
    assert_int_equal(moment_sooner(two, one).ms, 1);
    assert_int_equal(moment_sooner(one, MOMENT_NONE).ms, 1);
    assert_int_equal(moment_sooner(MOMENT_NONE, one).ms, 1);
    assert_false(moment_known(moment_sooner(MOMENT_NONE, MOMENT_NONE)));
    assert_true(moment_compare(one, two) < 0 && moment_compare(two, one) > 0);
    assert_int_equal(moment_compare(one, one), 0);
    assert_true(moment_compare(MOMENT_NONE, one) < 0);
}

/* ---- local time ---- */

static void test_local_time_follows_the_zone(void **state)
{
    (void)state;
    zone_set(CENTRAL_EUROPE);
    assert_int_equal(moment_local_zone(utc("2026-01-15T12:00:00Z")), 60);
    assert_int_equal(moment_local_zone(utc("2026-07-15T12:00:00Z")), 120);
    assert_int_equal(moment_local_zone(utc("2026-03-29T00:59:59.999Z")), 60);
    assert_int_equal(moment_local_zone(utc("2026-03-29T01:00:00Z")), 120);
    zone_set(EASTERN);
    assert_int_equal(moment_local_zone(utc("2026-01-15T12:00:00Z")), -300);
    assert_true(moment_local_day(utc("2027-01-01T04:59:59Z")) == civil_day_number(2026, 12, 31));
    assert_true(moment_local_day(utc("2027-01-01T05:00:00Z")) == civil_day_number(2027, 1, 1));
    Civil c = moment_local(utc("2026-07-04T00:30:15.250Z"));
    assert_int_equal(c.day, 3);
    assert_int_equal(c.hour, 20);
    assert_int_equal(c.minute, 30);
    assert_int_equal(c.second, 15);
    assert_int_equal(c.milli, 250);
    assert_int_equal(c.zone, -240);
    /* The seconds of old zones are cut: 0:19:32 east, as Amsterdam had (RFC 3339 section 5.8). */
    zone_set("AMT-0:19:32");
    assert_int_equal(moment_local_zone((Moment){0}), 19);
    zone_set("WST0:19:32");
    assert_int_equal(moment_local_zone((Moment){0}), -19);
}

static void assert_found(const char *clocks, const char *first, const char *second)
{
    Moment found[2] = {MOMENT_NONE, MOMENT_NONE};
    int expected = (first != NULL) + (second != NULL);
    int count = moment_of_local_ms(reading(clocks), found);
    if (count != expected)
        fail_msg("%s was shown %d times", clocks, count);
    if (first != NULL)
        assert_moment(found[0], first);
    if (second != NULL)
        assert_moment(found[1], second);
}

static void test_a_gap_has_no_moment_and_an_overlap_two(void **state)
{
    (void)state;
    zone_set(CENTRAL_EUROPE);
    assert_found("2026-03-29T01:59:59.999", "2026-03-29T00:59:59.999Z", NULL);
    assert_found("2026-03-29T02:00:00", NULL, NULL);
    assert_found("2026-03-29T02:30:00", NULL, NULL);
    assert_found("2026-03-29T02:59:59.999", NULL, NULL);
    assert_found("2026-03-29T03:00:00", "2026-03-29T01:00:00Z", NULL);
    assert_found("2026-10-25T01:59:59.999", "2026-10-24T23:59:59.999Z", NULL);
    assert_found("2026-10-25T02:00:00", "2026-10-25T00:00:00Z", "2026-10-25T01:00:00Z");
    assert_found("2026-10-25T02:59:59.999", "2026-10-25T00:59:59.999Z", "2026-10-25T01:59:59.999Z");
    assert_found("2026-10-25T03:00:00", "2026-10-25T02:00:00Z", NULL);
    zone_set(EASTERN);
    assert_found("2026-03-08T02:30:00", NULL, NULL);
    assert_found("2026-11-01T01:30:00", "2026-11-01T05:30:00Z", "2026-11-01T06:30:00Z");
    zone_set(HALF_HOUR_SHIFT);
    assert_found("2026-10-04T01:59:00", "2026-10-03T15:29:00Z", NULL);
    assert_found("2026-10-04T02:15:00", NULL, NULL);
    assert_found("2026-10-04T02:30:00", "2026-10-03T15:30:00Z", NULL);
    assert_found("2026-04-05T01:45:00", "2026-04-04T14:45:00Z", "2026-04-04T15:15:00Z");
    assert_found("2026-04-05T02:00:00", "2026-04-04T15:30:00Z", NULL);
    zone_set(DAY_LEFT_OUT);
    assert_found("2026-12-29T23:59:59", "2026-12-30T09:59:59Z", NULL);
    assert_found("2026-12-30T00:00:00", NULL, NULL);
    assert_found("2026-12-30T12:00:00", NULL, NULL);
    assert_found("2026-12-31T00:00:00", "2026-12-30T10:00:00Z", NULL);
    assert_found("2026-02-28T12:00:00", "2026-02-27T22:00:00Z", "2026-02-28T22:00:00Z");
}

static const char *const zones[] = {
    CENTRAL_EUROPE,  EASTERN,      HALF_HOUR_SHIFT, MIDNIGHT_GAP,    MIDNIGHT_TWICE,
    ACROSS_MIDNIGHT, NEW_YEAR_GAP, DAY_LEFT_OUT,    SUMMER_OF_A_DAY, "UTC0",
    "AAA-14",        "AAA12",      "AAA-5:45",
};

/* Every quarter of an hour of a year, forwards: what clocks show is counted, and is what is found.
 */
static void test_local_times_are_found_as_clocks_show_them(void **state)
{
    (void)state;
    enum { QUARTER = 15 * 60 * 1000, STEPS = 400 * 96 };
    static unsigned char shown[STEPS];
    const int64_t start = utc("2026-01-01T00:00:00Z").ms;
    for (size_t z = 0; z < COUNT(zones); z++) {
        zone_set(zones[z]);
        memset(shown, 0, sizeof shown);
        for (int64_t i = -200; i < STEPS + 200; i++) {
            Moment m = {start + i * QUARTER};
            int64_t slot = i + moment_local_zone(m) / 15;
            if (slot >= 0 && slot < STEPS)
                shown[slot]++;
        }
        for (int64_t slot = 0; slot < STEPS; slot++) {
            Moment found[2];
            int64_t local_ms = start + slot * QUARTER;
            int count = moment_of_local_ms(local_ms, found);
            bool right = count == shown[slot];
            for (int k = 0; k < count && right; k++)
                right = found[k].ms + moment_local_zone(found[k]) * MS_PER_MINUTE == local_ms;
            if (!right || (count == 2 && found[0].ms >= found[1].ms))
                fail_msg("TZ=%s slot %" PRId64 ": %d, shown %d", zones[z], slot, count,
                         shown[slot]);
        }
    }
}

static void test_a_local_day_begins_at_its_first_moment(void **state)
{
    (void)state;
    zone_set(CENTRAL_EUROPE);
    assert_moment(moment_of_local_day(civil_day_number(2026, 3, 29)), "2026-03-28T23:00:00Z");
    assert_moment(moment_of_local_day(civil_day_number(2026, 3, 30)), "2026-03-29T22:00:00Z");
    assert_moment(moment_of_local_day(civil_day_number(2027, 1, 1)), "2026-12-31T23:00:00Z");
    assert_moment(moment_of_local_day(civil_day_number(2028, 2, 29)), "2028-02-28T23:00:00Z");
    zone_set(MIDNIGHT_GAP); /* the day begins at 01:00 */
    assert_moment(moment_of_local_day(civil_day_number(2026, 10, 18)), "2026-10-18T03:00:00Z");
    assert_int_equal(moment_local(utc("2026-10-18T03:00:00Z")).hour, 1);
    zone_set(MIDNIGHT_TWICE); /* the first of two midnights */
    assert_moment(moment_of_local_day(civil_day_number(2026, 11, 1)), "2026-11-01T04:00:00Z");
    zone_set(ACROSS_MIDNIGHT); /* the gap begins the evening before: the day begins at 00:30 */
    assert_moment(moment_of_local_day(civil_day_number(2026, 4, 6)), "2026-04-05T23:30:00Z");
    assert_moment(moment_of_local_day(civil_day_number(2026, 9, 6)), "2026-09-05T23:00:00Z");
    zone_set(NEW_YEAR_GAP);
    assert_moment(moment_of_local_day(civil_day_number(2026, 1, 1)), "2025-12-31T23:00:00Z");
    zone_set(DAY_LEFT_OUT); /* a day that never was: the first moment of the next */
    assert_moment(moment_of_local_day(civil_day_number(2026, 12, 30)), "2026-12-30T10:00:00Z");
    assert_moment(moment_of_local_day(civil_day_number(2026, 12, 31)), "2026-12-30T10:00:00Z");
}

static void test_nothing_before_the_first_moment_belongs_to_the_day(void **state)
{
    (void)state;
    for (size_t z = 0; z < COUNT(zones); z++) {
        zone_set(zones[z]);
        int64_t end = civil_day_number(2027, 3, 1);
        for (int64_t day = civil_day_number(2025, 12, 30); day < end; day++) {
            Moment first = moment_of_local_day(day);
            bool left_out =
                strcmp(zones[z], DAY_LEFT_OUT) == 0 && day == civil_day_number(2026, 12, 30);
            bool left_out_before =
                strcmp(zones[z], DAY_LEFT_OUT) == 0 && day == civil_day_number(2025, 12, 30);
            if (left_out || left_out_before)
                continue;
            if (moment_local_day(first) != day)
                fail_msg("TZ=%s day %" PRId64, zones[z], day);
            /* A day is shown for 50 hours at most; look back in quarters of an hour, and at 1 ms.
             */
            assert_true(moment_local_day((Moment){first.ms - 1}) < day);
            for (int64_t back = 1; back < 200; back += 3)
                if (moment_local_day((Moment){first.ms - back * 15 * MS_PER_MINUTE}) >= day)
                    fail_msg("TZ=%s day %" PRId64 " began earlier", zones[z], day);
        }
    }
}

/* ---- printing ---- */

static void test_moments_are_printed_in_rfc_3339(void **state)
{
    (void)state;
    char out[40];
    Moment m = utc("2026-11-24T17:30:00Z");
    assert_ptr_equal(moment_print_utc(m, out), out);
    assert_string_equal(out, "2026-11-24T17:30:00Z");
    assert_string_equal(moment_print_zone(m, 60, out), "2026-11-24T18:30:00+01:00");
    assert_string_equal(moment_print_zone(m, 0, out), "2026-11-24T17:30:00+00:00");
    assert_string_equal(moment_print_zone(m, -570, out), "2026-11-24T08:00:00-09:30");
    assert_string_equal(moment_print_zone(m, 630, out), "2026-11-25T04:00:00+10:30");
    assert_string_equal(moment_print_utc((Moment){m.ms + 250}, out), "2026-11-24T17:30:00.250Z");
    assert_string_equal(moment_print_utc((Moment){m.ms + 7}, out), "2026-11-24T17:30:00.007Z");
    assert_string_equal(moment_print_zone((Moment){m.ms + 7}, -60, out),
                        "2026-11-24T16:30:00.007-01:00");
    assert_string_equal(moment_print_utc((Moment){0}, out), "1970-01-01T00:00:00Z");
    assert_string_equal(moment_print_utc((Moment){-1}, out), "1969-12-31T23:59:59.999Z");
    assert_string_equal(moment_print_utc((Moment){MOMENT_MAX_MS}, out), "9999-12-31T23:59:59.999Z");
    assert_string_equal(moment_print_utc((Moment){civil_day_number(1, 1, 1) * MS_PER_DAY}, out),
                        "0001-01-01T00:00:00Z");
    /* RFC 3339 section 5.8: these two are the same instant. */
    m = utc("1996-12-19T16:39:57-08:00");
    assert_string_equal(moment_print_utc(m, out), "1996-12-20T00:39:57Z");
    assert_string_equal(moment_print_zone(m, -480, out), "1996-12-19T16:39:57-08:00");
}

static void test_any_number_fits_the_room_for_a_moment(void **state)
{
    (void)state;
    static const int64_t ends[] = {INT64_MIN + 1, INT64_MAX, MOMENT_MAX_MS + 1, -MOMENT_MAX_MS};
    for (size_t i = 0; i < COUNT(ends); i++) {
        char out[40];
        assert_true(strlen(moment_print_utc((Moment){ends[i]}, out)) < 40);
        assert_true(strlen(moment_print_zone((Moment){ends[i]}, 1439, out)) < 40);
        assert_true(strlen(moment_print_zone((Moment){ends[i]}, -1439, out)) < 40);
        assert_true(strlen(moment_print_local((Moment){ends[i]}, (Moment){0}, out)) < 40);
    }
    char out[40];
    assert_string_equal(moment_print_utc(MOMENT_NONE, out), "-");
    assert_string_equal(moment_print_zone(MOMENT_NONE, 60, out), "-");
    assert_string_equal(moment_print_local(MOMENT_NONE, (Moment){0}, out), "-");
    assert_string_equal(moment_print_date(MOMENT_NONE, (Moment){0}, out), "-");
}

static void test_people_read_local_time_with_the_year_where_it_differs(void **state)
{
    (void)state;
    zone_set(CENTRAL_EUROPE);
    char out[40];
    Moment now = utc("2026-11-25T08:00:00Z");
    assert_string_equal(moment_print_local(utc("2026-11-24T17:30:59Z"), now, out),
                        "Tue 24 Nov 18:30");
    assert_string_equal(moment_print_date(utc("2026-11-24T17:30:59Z"), now, out), "Tue 24 Nov");
    assert_string_equal(moment_print_local(utc("2025-11-24T17:30:00Z"), now, out),
                        "Mon 24 Nov 2025 18:30");
    assert_string_equal(moment_print_date(utc("2025-11-24T17:30:00Z"), now, out),
                        "Mon 24 Nov 2025");
    assert_string_equal(moment_print_day(utc("2026-11-04T17:30:59Z"), now, out), "4 Nov");
    assert_string_equal(moment_print_day(utc("2025-11-24T17:30:00Z"), now, out), "24 Nov 25");
    assert_string_equal(moment_print_local(utc("2026-06-01T00:05:00Z"), now, out),
                        "Mon 1 Jun 02:05");
    /* The year is that of local clocks: half an hour before midnight UTC, 2027 has begun here. */
    assert_string_equal(moment_print_local(utc("2026-12-31T23:30:00Z"), now, out),
                        "Fri 1 Jan 2027 00:30");
    assert_string_equal(
        moment_print_local(utc("2026-12-31T23:30:00Z"), utc("2026-12-31T23:10:00Z"), out),
        "Fri 1 Jan 00:30");
    zone_set(EASTERN);
    assert_string_equal(moment_print_local(utc("2027-01-01T04:30:00Z"), now, out),
                        "Thu 31 Dec 23:30");
}

static void test_distances_are_in_local_civil_days(void **state)
{
    (void)state;
    zone_set(CENTRAL_EUROPE);
    const Moment now = {
        INT64_C(1711828800000)}; /* 2024-03-30T20:00:00Z: 21:00, the eve of a 23 h day */
    static const struct {
        int64_t hours;
        const char *words;
    } cases[] = {{0, "today"},      {2, "today"},   {3, "tomorrow"},    {25, "tomorrow"},
                 {26, "in 2 days"}, {-21, "today"}, {-22, "yesterday"}, {-46, "2 days ago"}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        char out[40];
        const Moment m = {now.ms + cases[i].hours * MS_PER_HOUR};
        assert_string_equal(moment_print_distance(m, now, out), cases[i].words);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_every_day_from_year_1_to_9999_follows_the_one_before),
        cmocka_unit_test(test_the_calendar_agrees_with_the_c_library),
        cmocka_unit_test(test_known_days_have_their_numbers),
        cmocka_unit_test(test_dates_that_do_not_exist_are_known),
        cmocka_unit_test(test_a_moment_before_1970_has_its_civil_time),
        cmocka_unit_test(test_an_offset_moves_the_day),
        cmocka_unit_test(test_only_none_is_unknown),
        cmocka_unit_test(test_never_is_later_than_any_time),
        cmocka_unit_test_setup(test_local_time_follows_the_zone, zone_reset),
        cmocka_unit_test_setup(test_a_gap_has_no_moment_and_an_overlap_two, zone_reset),
        cmocka_unit_test_setup(test_local_times_are_found_as_clocks_show_them, zone_reset),
        cmocka_unit_test_setup(test_a_local_day_begins_at_its_first_moment, zone_reset),
        cmocka_unit_test_setup(test_nothing_before_the_first_moment_belongs_to_the_day, zone_reset),
        cmocka_unit_test_teardown(test_distances_are_in_local_civil_days, zone_reset),
        cmocka_unit_test_setup(test_moments_are_printed_in_rfc_3339, zone_reset),
        cmocka_unit_test_setup(test_any_number_fits_the_room_for_a_moment, zone_reset),
        cmocka_unit_test_setup(test_people_read_local_time_with_the_year_where_it_differs,
                               zone_reset),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
