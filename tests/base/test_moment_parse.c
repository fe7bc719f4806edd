/* Times as RFC 3339 writes them and as people type them. Time zones are POSIX TZ strings. */
#include "base/moment.h"

#include "support/zone.h"

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
#define ACROSS_MIDNIGHT "AAA0BBB,M4.1.0/23:30,M9.1.0/0:30" /* 23:30 -> 00:30; 00:30 -> 23:30 */

static void assert_says(const Fault *fault, FaultKind kind, const char *words)
{
    if (fault->kind != kind || strstr(fault->text, words) == NULL)
        fail_msg("kind %d, \"%s\" does not say \"%s\"", (int)fault->kind, fault->text, words);
    assert_true(text_is_utf8(text_of(fault->text)));
    assert_false(text_has_control(text_of(fault->text)));
}

/* ---- RFC 3339 ---- */

static void test_the_examples_of_rfc_3339_are_read(void **state)
{
    (void)state;
    static const struct {
        const char *text, *utc;
        int zone;
    } cases[] = {
        /* RFC 3339 (2002) section 5.8, in its order */
        {"1985-04-12T23:20:50.52Z", "1985-04-12T23:20:50.520Z", 0},
        {"1996-12-19T16:39:57-08:00", "1996-12-20T00:39:57Z", -480},
        {"1990-12-31T23:59:60Z", "1990-12-31T23:59:59Z", 0},
        {"1990-12-31T15:59:60-08:00", "1990-12-31T23:59:59Z", -480},
        /* section 5.6: t and z in lower case; a space for readability; 4.3: -00:00 */
        {"1985-04-12t23:20:50.52z", "1985-04-12T23:20:50.520Z", 0},
        {"1985-04-12 23:20:50Z", "1985-04-12T23:20:50Z", 0},
        {"1985-04-12T23:20:50-00:00", "1985-04-12T23:20:50Z", 0},
        {"1985-04-12T23:20:50+00:00", "1985-04-12T23:20:50Z", 0},
        /* section 5.6: any number of digits of a fraction; what is beyond the millisecond is cut */
        {"2026-11-24T18:30:00.5Z", "2026-11-24T18:30:00.500Z", 0},
        {"2026-11-24T18:30:00.05Z", "2026-11-24T18:30:00.050Z", 0},
        {"2026-11-24T18:30:00.0009999Z", "2026-11-24T18:30:00Z", 0},
        {"2026-11-24T18:30:00.99999999999999999999999999Z", "2026-11-24T18:30:00.999Z", 0},
        {"2026-11-24T18:30:00+23:59", "2026-11-23T18:31:00Z", 1439},
        {"2026-11-24T18:30:00-23:59", "2026-11-25T18:29:00Z", -1439},
        /* leap days, year ends, the ends of the log */
        {"2028-02-29T00:00:00Z", "2028-02-29T00:00:00Z", 0},
        {"2000-02-29T23:59:59+01:00", "2000-02-29T22:59:59Z", 60},
        {"2026-12-31T23:30:00-01:00", "2027-01-01T00:30:00Z", -60},
        {"1970-01-01T00:00:00Z", "1970-01-01T00:00:00Z", 0},
        {"1969-12-31T23:00:00-01:00", "1970-01-01T00:00:00Z", -60},
        {"9999-12-31T23:59:59.999Z", "9999-12-31T23:59:59.999Z", 0},
    };
    for (size_t i = 0; i < COUNT(cases); i++) {
        Moment m = MOMENT_NONE;
        int zone = 4711;
        Fault fault = {0};
        char out[40];
        if (!moment_parse_rfc3339(text_of(cases[i].text), &m, &zone, &fault))
            fail_msg("%s", fault.text);
        assert_string_equal(moment_print_utc(m, out), cases[i].utc);
        assert_int_equal(zone, cases[i].zone);
        assert_int_equal(fault.kind, FAULT_NONE);
    }
}

static void test_every_leap_second_of_the_rfc_is_read_as_59(void **state)
{
    (void)state;
    /* RFC 3339 appendix D: the UTC dates of leap seconds up to 1998. */
    static const char *const dates[] = {
        "1972-06-30", "1972-12-31", "1973-12-31", "1974-12-31", "1975-12-31", "1976-12-31",
        "1977-12-31", "1978-12-31", "1979-12-31", "1981-06-30", "1982-06-30", "1983-06-30",
        "1985-06-30", "1987-12-31", "1989-12-31", "1990-12-31", "1992-06-30", "1993-06-30",
        "1994-06-30", "1995-12-31", "1997-06-30", "1998-12-31"};
    for (size_t i = 0; i < COUNT(dates); i++) {
        char leap[40], before[40];
        snprintf(leap, sizeof leap, "%sT23:59:60Z", dates[i]);
        snprintf(before, sizeof before, "%sT23:59:59Z", dates[i]);
        assert_true(utc(leap).ms == utc(before).ms);
    }
    assert_true(utc("1998-12-31T23:59:60.25Z").ms == utc("1998-12-31T23:59:59.25Z").ms);
    assert_true(utc("1999-01-01T10:29:60+10:30").ms == utc("1998-12-31T23:59:59Z").ms);
}

static void assert_rfc3339_refused(Text text, FaultKind kind, const char *says)
{
    Moment m = {4711};
    int zone = 4711;
    Fault fault = {0};
    if (moment_parse_rfc3339(text, &m, &zone, &fault))
        fail_msg("\"%.*s\" was taken", (int)text.n, text.s);
    assert_says(&fault, kind, says);
    assert_true(m.ms == 4711);
    assert_int_equal(zone, 4711);
}

static void test_what_is_not_rfc_3339_is_refused(void **state)
{
    (void)state;
    static const char *const shapeless[] = {
        "",
        "2026",
        "2026-11-24",
        "2026-11-24T",
        "2026-11-24T18:30Z",
        "2026-11-24T18:30+01:00",
        "26-11-24T18:30:00Z",
        "24-11-2026T18:30:00Z",
        "2026/11/24T18:30:00Z",
        "2026-1-24T18:30:00Z",
        "2026-11-24T8:30:00Z",
        "2026-11-24T18:30:0Z",
        "2026-11-24T18-30-00Z",
        "2026-11-24T18:30:00.Z",
        "2026-11-24T18:30:00,5Z",
        "2026-11-24T18:30:00+1:00",
        "2026-11-24T18:30:00+0100",
        "2026-11-24T18:30:00+01",
        "2026-11-24T18:30:00 +01:00",
        "2026-11-24T18:30:00CET",
        "2026-11-24T18:30:00ZZ",
        "2026-11-24T18:30:00Z ",
        " 2026-11-24T18:30:00Z",
        "2026-11-24  18:30:00Z",
        "2026-11-24_18:30:00Z",
        "-2026-11-24T18:30:00Z",
        "+2026-11-24T18:30:00Z",
        "12026-11-24T18:30:00Z",
        "2026-11-24T18:30:00.5.5Z",
        "20261124T183000Z",
        "NaN",
        "1e5",
        "\xD9\xA2\xD9\xA0\xD9\xA2\xD9\xA6-11-24T18:30:00Z", /* digits, yet not ASCII */
        "2026-11-24T18:30:00\xFF",
        "2026-11-24T18:30:00Z\n",
        "2026-11-24T18:30:00\x1B",
    };
    for (size_t i = 0; i < COUNT(shapeless); i++)
        assert_rfc3339_refused(text_of(shapeless[i]), FAULT_USAGE,
                               "not a date and time of RFC 3339: write it as 2026-11-24T18:30:00Z");
    assert_rfc3339_refused((Text){NULL, 0}, FAULT_USAGE, "not a date and time");
    assert_rfc3339_refused(text_slice("2026-11-24T18:30:00Z\0", 21), FAULT_USAGE,
                           "not a date and time");
    /* Nothing is read behind the slice. */
    assert_rfc3339_refused(text_slice("2026-11-24T18:30:00Z", 18), FAULT_USAGE,
                           "\"2026-11-24T18:30:0\" is not a date and time");

    static const struct {
        const char *text;
        FaultKind kind;
        const char *says;
    } cases[] = {
        {"2026-11-24T18:30:00", FAULT_USAGE, "has no offset from UTC: add Z"},
        {"2026-11-24T18:30:00.5", FAULT_USAGE, "has no offset from UTC"},
        {"2026-02-31T18:30:00Z", FAULT_REFUSED, "month 2 of 2026 has no day 31"},
        {"2026-04-31T18:30:00Z", FAULT_REFUSED, "month 4 of 2026 has no day 31"},
        {"2027-02-29T18:30:00Z", FAULT_REFUSED, "2027 is no leap year"},
        {"2100-02-29T18:30:00Z", FAULT_REFUSED, "2100 is no leap year"},
        {"2026-11-00T18:30:00Z", FAULT_REFUSED, "has no day 0"},
        {"2026-13-24T18:30:00Z", FAULT_REFUSED, "has no month 13"},
        {"2026-00-24T18:30:00Z", FAULT_REFUSED, "has no month 0"},
        {"2026-11-24T24:00:00Z", FAULT_REFUSED, "midnight is 00:00 of the next day"},
        {"2026-11-24T25:00:00Z", FAULT_REFUSED, "no hour 25"},
        {"2026-11-24T18:60:00Z", FAULT_REFUSED, "no minute 60"},
        {"2026-11-24T18:30:61Z", FAULT_REFUSED, "no second 61"},
        {"2026-11-24T18:30:60Z", FAULT_REFUSED, "only 23:59 UTC can have"},
        {"1990-12-31T23:59:60-08:00", FAULT_REFUSED, "only 23:59 UTC can have"},
        {"1990-12-31T22:59:60Z", FAULT_REFUSED, "only 23:59 UTC can have"},
        {"2026-11-24T18:30:00+24:00", FAULT_REFUSED, "an offset that no clock has"},
        {"2026-11-24T18:30:00-01:60", FAULT_REFUSED, "an offset that no clock has"},
        /* RFC 3339 section 5.8, the last of its examples: the log begins in 1970 */
        {"1937-01-01T12:00:27.87+00:20", FAULT_REFUSED, "is before 1970"},
        {"1969-12-31T23:59:59.999Z", FAULT_REFUSED, "is before 1970"},
        {"1970-01-01T00:00:00+00:01", FAULT_REFUSED, "is before 1970"},
        {"0000-01-01T00:00:00Z", FAULT_REFUSED, "is before 1970"},
        {"0001-01-01T00:00:00Z", FAULT_REFUSED, "is before 1970"},
        {"9999-12-31T23:59:59-00:01", FAULT_REFUSED, "after the year 9999"},
    };
    for (size_t i = 0; i < COUNT(cases); i++) {
        char quoted[60];
        snprintf(quoted, sizeof quoted, "\"%s\"", cases[i].text);
        assert_rfc3339_refused(text_of(cases[i].text), cases[i].kind, cases[i].says);
        assert_rfc3339_refused(text_of(cases[i].text), cases[i].kind, quoted);
    }
}

static void test_what_is_printed_is_read_back(void **state)
{
    (void)state;
    uint64_t seed = 7;
    for (int i = 0; i < 20000; i++) {
        seed = seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
        Moment m = {(int64_t)(seed >> 1) % (MOMENT_MAX_MS - MS_PER_DAY) + MS_PER_DAY / 2};
        if (i % 3 == 0)
            m.ms -= m.ms % 1000;
        int offset = (int)(seed >> 20 & 1023) - 512;
        char out[40];
        Moment back = MOMENT_NONE;
        int zone = 4711;
        assert_true(
            moment_parse_rfc3339(text_of(moment_print_zone(m, offset, out)), &back, &zone, NULL));
        assert_true(back.ms == m.ms);
        assert_int_equal(zone, offset);
        assert_true(moment_parse_rfc3339(text_of(moment_print_utc(m, out)), &back, &zone, NULL));
        assert_true(back.ms == m.ms);
        assert_int_equal(zone, 0);
    }
}

/* ---- as people type it ---- */

static void assert_typed(const char *text, const char *now, const char *expected)
{
    Moment m = MOMENT_NONE;
    int zone = 4711;
    Fault fault = {0};
    if (!moment_parse(text_of(text), utc(now), &m, &zone, &fault))
        fail_msg("now %s: %s", now, fault.text);
    char out[40];
    moment_print_zone(m, zone, out);
    if (strcmp(out, expected) != 0)
        fail_msg("\"%s\" at %s is %s, not %s", text, now, out, expected);
}

static void assert_not_typed(const char *text, const char *now, FaultKind kind, const char *says)
{
    Moment m = {4711};
    int zone = 4711;
    Fault fault = {0};
    if (moment_parse(text_of(text), utc(now), &m, &zone, &fault))
        fail_msg("\"%s\" was taken", text);
    assert_says(&fault, kind, says);
    assert_true(m.ms == 4711);
    assert_int_equal(zone, 4711);
}

static void test_a_time_is_read_as_it_is_typed(void **state)
{
    (void)state;
    zone_set(CENTRAL_EUROPE);
    const char *now = "2026-11-25T10:15:30.250+01:00";
    static const struct {
        const char *text, *expected;
    } cases[] = {
        {"2026-11-24 18:30", "2026-11-24T18:30:00+01:00"},
        {"2026-11-24 18:30:15", "2026-11-24T18:30:15+01:00"},
        {"2026-11-24 18:30:15.5", "2026-11-24T18:30:15.500+01:00"},
        {"2026-11-24T18:30", "2026-11-24T18:30:00+01:00"},
        {"2026-11-24  18:30", "2026-11-24T18:30:00+01:00"},
        {"2026-11-24 9:05", "2026-11-24T09:05:00+01:00"},
        {"2026-07-24 18:30", "2026-07-24T18:30:00+02:00"},
        {"2026-11-24", "2026-11-24T12:00:00+01:00"},
        {"2026-07-24", "2026-07-24T12:00:00+02:00"},
        {"2028-02-29", "2028-02-29T12:00:00+01:00"},
        {"2026-11-24 18:30+05:30", "2026-11-24T18:30:00+05:30"},
        {"2026-11-24 18:30 -08:00", "2026-11-24T18:30:00-08:00"},
        {"2026-11-24 18:30Z", "2026-11-24T18:30:00+00:00"},
        /* RFC 3339 as it stands */
        {"2026-11-24T18:30:00Z", "2026-11-24T18:30:00+00:00"},
        {"1996-12-19T16:39:57-08:00", "1996-12-19T16:39:57-08:00"},
        {"1990-12-31T23:59:60Z", "1990-12-31T23:59:59+00:00"},
        /* alone: the most recent one */
        {"18:30", "2026-11-24T18:30:00+01:00"},
        {"10:15", "2026-11-25T10:15:00+01:00"},
        {"10:15:30", "2026-11-25T10:15:30+01:00"},
        {"10:15:30.250", "2026-11-25T10:15:30.250+01:00"},
        {"12:15:30.251", "2026-11-24T12:15:30.251+01:00"}, /* over two hours ahead */
        {"9:00", "2026-11-25T09:00:00+01:00"},
        {"00:00", "2026-11-25T00:00:00+01:00"},
        {"18:30+02:00", "2026-11-24T18:30:00+02:00"},
        {"11:15+02:00", "2026-11-25T11:15:00+02:00"}, /* 10:15 here */
        {"13:16+02:00", "2026-11-24T13:16:00+02:00"},
        {"23:30-12:00", "2026-11-23T23:30:00-12:00"}, /* there it is 21:15 on the 24th */
        {"09:15Z", "2026-11-25T09:15:00+00:00"},
        /* words */
        {"yesterday 18:30", "2026-11-24T18:30:00+01:00"},
        {"Yesterday  18:30", "2026-11-24T18:30:00+01:00"},
        {"today 07:00", "2026-11-25T07:00:00+01:00"},
        {"today 23:00", "2026-11-25T23:00:00+01:00"},
        {"tomorrow 9:00", "2026-11-26T09:00:00+01:00"},
        {"yesterday 18:30+05:30", "2026-11-24T18:30:00+05:30"},
        {"now", "2026-11-25T10:15:30.250+01:00"},
        {" NOW ", "2026-11-25T10:15:30.250+01:00"},
        /* steps */
        {"-2h", "2026-11-25T08:15:30.250+01:00"},
        {"-30m", "2026-11-25T09:45:30.250+01:00"},
        {"-3d", "2026-11-22T10:15:30.250+01:00"},
        {"+2d", "2026-11-27T10:15:30.250+01:00"},
        {"+90m", "2026-11-25T11:45:30.250+01:00"},
        {"-0d", "2026-11-25T10:15:30.250+01:00"},
        {"-365d", "2025-11-25T10:15:30.250+01:00"},
        {"-200d", "2026-05-09T10:15:30.250+02:00"},  /* the same local time, in summer */
        {"-4800h", "2026-05-09T11:15:30.250+02:00"}, /* 200 times 24 hours, exactly */
    };
    for (size_t i = 0; i < COUNT(cases); i++)
        assert_typed(cases[i].text, now, cases[i].expected);
    Moment m = MOMENT_NONE;
    assert_true(moment_parse(text_of("now"), utc(now), &m, NULL, NULL));
    assert_true(m.ms == utc(now).ms);
}

static void test_words_count_local_days(void **state)
{
    (void)state;
    zone_set(EASTERN); /* the 25th in UTC, the evening of the 24th here */
    const char *now = "2026-11-25T02:00:00Z";
    assert_typed("yesterday 18:30", now, "2026-11-23T18:30:00-05:00");
    assert_typed("today 18:30", now, "2026-11-24T18:30:00-05:00");
    assert_typed("tomorrow 18:30", now, "2026-11-25T18:30:00-05:00");
    assert_typed("yesterday 18:30Z", now, "2026-11-23T18:30:00+00:00");
    assert_typed("today 00:00", "2027-01-01T04:59:00Z", "2026-12-31T00:00:00-05:00");
    assert_typed("tomorrow 00:00", "2027-01-01T04:59:00Z", "2027-01-01T00:00:00-05:00");
    assert_typed("yesterday 12:00", "2028-03-01T12:00:00Z", "2028-02-29T12:00:00-05:00");
    assert_typed("-1d", "2028-03-01T12:00:00Z", "2028-02-29T07:00:00-05:00");
    assert_typed("-1d", "2027-03-01T12:00:00Z", "2027-02-28T07:00:00-05:00");
    /* A step of days over the change of clocks keeps the local time, one of hours does not. */
    assert_typed("-1d", "2026-11-01T12:00:00-05:00", "2026-10-31T12:00:00-04:00");
    assert_typed("-24h", "2026-11-01T12:00:00-05:00", "2026-10-31T13:00:00-04:00");
    assert_typed("+1d", "2026-03-07T12:00:00-05:00", "2026-03-08T12:00:00-04:00");
    assert_typed("+24h", "2026-03-07T12:00:00-05:00", "2026-03-08T13:00:00-04:00");
}

static void test_a_local_time_in_a_gap_is_refused_with_its_offsets(void **state)
{
    (void)state;
    zone_set(CENTRAL_EUROPE);
    const char *now = "2026-03-29T10:00:00+02:00";
    static const char *const typed[] = {"2026-03-29 02:30", "2026-03-29T02:30:00", "today 2:30",
                                        "02:30"};
    for (size_t i = 0; i < COUNT(typed); i++) {
        assert_not_typed(typed[i], now, FAULT_REFUSED, "does not exist in local time");
        assert_not_typed(typed[i], now, FAULT_REFUSED, "the clocks went forward over it");
        assert_not_typed(typed[i], now, FAULT_REFUSED, "2026-03-29T02:30:00+01:00 (by the");
        assert_not_typed(typed[i], now, FAULT_REFUSED, "2026-03-29T02:30:00+02:00 (by those");
        assert_not_typed(typed[i], now, FAULT_REFUSED, typed[i]);
    }
    /* What the sentence offers is taken, and so is the offset alone. */
    assert_typed("2026-03-29T02:30:00+01:00", now, "2026-03-29T02:30:00+01:00");
    assert_typed("2026-03-29 02:30+02:00", now, "2026-03-29T02:30:00+02:00");
    assert_typed("02:30+02:00", now, "2026-03-29T02:30:00+02:00");
    /* Around the gap. */
    assert_typed("2026-03-29 01:59:59", now, "2026-03-29T01:59:59+01:00");
    assert_typed("2026-03-29 03:00", now, "2026-03-29T03:00:00+02:00");
    /* A step of days that ends in it. */
    assert_not_typed("-1d", "2026-03-30T02:30:00+02:00", FAULT_REFUSED, "does not exist");
    assert_not_typed("+1d", "2026-03-28T02:30:00+01:00", FAULT_REFUSED, "does not exist");
    /* Alone: before the clocks jump it is the one of the day before; the day after it is asked. */
    assert_typed("02:30", "2026-03-29T01:30:00+01:00", "2026-03-28T02:30:00+01:00");
    assert_not_typed("02:30", "2026-03-30T00:20:00+02:00", FAULT_REFUSED, "does not exist");
    assert_typed("02:30", "2026-03-30T02:30:00+02:00", "2026-03-30T02:30:00+02:00");
    zone_set(HALF_HOUR_SHIFT);
    assert_not_typed("2026-10-04 02:15", now, FAULT_REFUSED, "02:15:00+10:30 (by the");
    assert_not_typed("2026-10-04 02:15", now, FAULT_REFUSED, "02:15:00+11:00 (by those");
    zone_set(MIDNIGHT_GAP);
    assert_not_typed("2026-10-18 00:00", now, FAULT_REFUSED, "00:00:00-03:00");
    assert_not_typed("2026-10-18 00:59:59", now, FAULT_REFUSED, "00:59:59-02:00");
    assert_typed("2026-10-18 01:00", now, "2026-10-18T01:00:00-02:00");
    assert_typed("2026-10-18", now, "2026-10-18T12:00:00-02:00");
}

static void test_a_local_time_that_exists_twice_is_refused_with_its_offsets(void **state)
{
    (void)state;
    zone_set(CENTRAL_EUROPE);
    const char *now = "2026-10-25T10:00:00+01:00";
    static const char *const typed[] = {"2026-10-25 02:30", "2026-10-25T02:30:00", "today 2:30"};
    for (size_t i = 0; i < COUNT(typed); i++) {
        assert_not_typed(typed[i], now, FAULT_REFUSED, "exists twice in local time");
        assert_not_typed(typed[i], now, FAULT_REFUSED, "the clocks went back over it");
        assert_not_typed(typed[i], now, FAULT_REFUSED, "2026-10-25T02:30:00+02:00 (the first)");
        assert_not_typed(typed[i], now, FAULT_REFUSED, "2026-10-25T02:30:00+01:00 (the second)");
    }
    assert_typed("2026-10-25 02:30+02:00", now, "2026-10-25T02:30:00+02:00");
    assert_typed("2026-10-25 02:30+01:00", now, "2026-10-25T02:30:00+01:00");
    assert_typed("2026-10-25 01:59:59", now, "2026-10-25T01:59:59+02:00");
    assert_typed("2026-10-25 03:00", now, "2026-10-25T03:00:00+01:00");
    assert_not_typed("-1d", "2026-10-26T02:30:00+01:00", FAULT_REFUSED, "exists twice");
    /* Alone: the latest that is not after now. */
    assert_typed("02:30", now, "2026-10-25T02:30:00+01:00");
    assert_typed("02:30", "2026-10-25T02:29:00+01:00", "2026-10-25T02:30:00+02:00");
    assert_typed("02:30", "2026-10-25T02:30:00+01:00", "2026-10-25T02:30:00+01:00");
    assert_not_typed("02:30", "2026-10-25T02:29:00+02:00", FAULT_REFUSED, "yesterday 02:30");
    assert_typed("02:30", "2026-10-26T00:20:00+01:00", "2026-10-25T02:30:00+01:00");
    zone_set(HALF_HOUR_SHIFT);
    assert_not_typed("2026-04-05 01:45", now, FAULT_REFUSED, "01:45:00+11:00 (the first)");
    assert_not_typed("2026-04-05 01:45", now, FAULT_REFUSED, "01:45:00+10:30 (the second)");
    zone_set(MIDNIGHT_GAP);
    assert_not_typed("2026-02-14 23:30", now, FAULT_REFUSED, "23:30:00-02:00 (the first)");
    /* The clocks went back from 00:30 of the 6th to 23:30 of the 5th: a time of tomorrow has been.
     */
    zone_set(ACROSS_MIDNIGHT);
    assert_typed("00:15", "2026-09-05T23:45:00Z", "2026-09-06T00:15:00+01:00");
    assert_typed("00:15", "2026-09-06T00:20:00Z", "2026-09-06T00:15:00+00:00");
}

static void test_what_is_no_time_is_refused_with_a_sentence(void **state)
{
    (void)state;
    zone_set(CENTRAL_EUROPE);
    const char *now = "2026-11-25T10:15:30+01:00";
    static const char *const shapeless[] = {
        "",
        "  ",
        "noon",
        "18",
        "1830",
        "18.30",
        "18:3",
        "183:30",
        "18:30:",
        "18:30:1",
        "18:30:15.",
        "18:30pm",
        "6:30 pm",
        "18:30+1",
        "18:30+",
        "24.11.2026",
        "24-11-2026",
        "11/24/2026",
        "2026-11",
        "2026-11-24x18:30",
        "2026-11-24 1830",
        "2026-11-24T",
        "2026-11-24 18:30 yesterday",
        "yesterday noon",
        "yesterday 18",
        "yesterdays 18:30",
        "nowish",
        "NaN",
        "1e5",
        "0x10",
        "18:30\xFF",
        "18:30\x1B[2J",
    };
    for (size_t i = 0; i < COUNT(shapeless); i++)
        assert_not_typed(shapeless[i], now, FAULT_USAGE, "is not a time: write 18:30,");
    /* White space at an end is no harm. */
    assert_typed("2026-11-24 ", now, "2026-11-24T12:00:00+01:00");
    static const struct {
        const char *text;
        FaultKind kind;
        const char *says;
    } cases[] = {
        {"noon", FAULT_USAGE, "\"noon\""},
        {"yesterday", FAULT_USAGE, "needs a time behind it: write it as \"yesterday 18:30\""},
        {"today", FAULT_USAGE, "\"today 18:30\""},
        {"tomorrow ", FAULT_USAGE, "\"tomorrow 18:30\""},
        {"-", FAULT_USAGE, "not a step in time"},
        {"-2", FAULT_USAGE, "not a step in time"},
        {"--3", FAULT_USAGE, "\"--3\" is not a step in time"},
        {"-2x", FAULT_USAGE, "such as -30m, -2h, -3d"},
        {"-2.5h", FAULT_USAGE, "a whole number"},
        {"-1e5h", FAULT_USAGE, "a whole number"},
        {"-2h30m", FAULT_USAGE, "not a step in time"},
        {"-h", FAULT_USAGE, "not a step in time"},
        {"- 2h", FAULT_USAGE, "not a step in time"},
        {"+2w", FAULT_USAGE, "not a step in time"},
        {"-99999999999999999999h", FAULT_REFUSED, "is before 1970"},
        {"+99999999999999999999h", FAULT_REFUSED, "after the year 9999"},
        {"-99999999999999999999d", FAULT_REFUSED, "is before 1970"},
        {"+99999999999999999999d", FAULT_REFUSED, "after the year 9999"},
        {"-500000h", FAULT_REFUSED, "is before 1970"},
        {"24:00", FAULT_REFUSED, "midnight is 00:00 of the next day"},
        {"today 24:00", FAULT_REFUSED, "midnight is 00:00 of the next day"},
        {"2026-11-24 24:00", FAULT_REFUSED, "\"2026-11-24 24:00\" has an hour of 24"},
        {"18:60", FAULT_REFUSED, "no minute 60"},
        {"18:30:60", FAULT_REFUSED, "only 23:59 UTC can have"},
        {"2026-11-24 18:30:60", FAULT_REFUSED, "only 23:59 UTC can have"},
        {"18:30:61", FAULT_REFUSED, "no second 61"},
        {"18:30+24:00", FAULT_REFUSED, "an offset that no clock has"},
        {"2026-02-31", FAULT_REFUSED, "month 2 of 2026 has no day 31"},
        {"2026-02-31 18:30", FAULT_REFUSED, "\"2026-02-31 18:30\" does not exist"},
        {"2027-02-29", FAULT_REFUSED, "2027 is no leap year"},
        {"2026-13-01", FAULT_REFUSED, "has no month 13"},
        {"1937-01-01T12:00:27.87+00:20", FAULT_REFUSED, "is before 1970"},
        {"1969-12-31", FAULT_REFUSED, "is before 1970"},
        {"0000-01-01", FAULT_REFUSED, "is before 1970"},
        {"9999-12-31 23:59:59-00:01", FAULT_REFUSED, "after the year 9999"},
    };
    for (size_t i = 0; i < COUNT(cases); i++)
        assert_not_typed(cases[i].text, now, cases[i].kind, cases[i].says);
    /* 23:59:60 UTC is 00:59:60 here. */
    assert_typed("2027-01-01 00:59:60", now, "2027-01-01T00:59:59+01:00");
    Moment m;
    Fault fault = {0};
    assert_false(moment_parse((Text){NULL, 0}, utc(now), &m, NULL, &fault));
    assert_false(moment_parse(text_slice("18:30\0", 6), utc(now), &m, NULL, &fault));
    char words[300];
    memset(words, '9', sizeof words);
    assert_false(moment_parse(text_slice(words, sizeof words), utc(now), &m, NULL, &fault));
    assert_says(&fault, FAULT_USAGE, "9...\" is not a time");
}

static void test_alone_at_the_very_start_of_the_log(void **state)
{
    (void)state;
    zone_set(CENTRAL_EUROPE);
    assert_typed("01:30", "1970-01-01T01:00:00Z", "1970-01-01T01:30:00+01:00");
    assert_not_typed("23:30", "1970-01-01T01:00:00Z", FAULT_REFUSED, "is before 1970");
}

/* A minute of haste must not become a day: both sides of now, and of two hours. */
static void test_a_clock_time_up_to_two_hours_ahead_is_refused_with_both_days(void **state)
{
    (void)state;
    zone_set(CENTRAL_EUROPE);
    const char *now = "2026-11-24T22:13:00+01:00";
    Moment m, is;
    Fault fault;
    int zone;
    assert_true(moment_parse_rfc3339(text_of(now), &is, NULL, &fault));
    assert_typed("22:13", now, now);
    assert_typed("22:12", now, "2026-11-24T22:12:00+01:00");
    assert_typed("00:13:01", now, "2026-11-24T00:13:01+01:00");
    static const char *const ahead[] = {"22:14", "22:15",       "23:59",
                                        "00:13", "22:15+01:00", "21:14Z"};
    for (size_t i = 0; i < COUNT(ahead); i++) {
        if (moment_parse(text_of(ahead[i]), is, &m, &zone, &fault))
            fail_msg("%s was taken", ahead[i]);
        assert_int_equal(fault.kind, FAULT_REFUSED);
    }
    assert_false(moment_parse(text_of("22:15"), is, &m, &zone, &fault));
    assert_says(&fault, FAULT_REFUSED, "\"today 22:15\" or \"yesterday 22:15\"");
    assert_false(moment_parse(text_of("00:13"), is, &m, &zone, &fault));
    assert_says(&fault, FAULT_REFUSED, "\"tomorrow 00:13\" or \"today 00:13\"");
    assert_typed("today 22:15", now, "2026-11-24T22:15:00+01:00"); /* the log refuses it later */
}

static void test_the_date_of_today_is_now_until_noon(void **state)
{
    (void)state;
    zone_set(CENTRAL_EUROPE);
    static const struct {
        const char *text, *now, *is;
    } cases[] = {
        {"2026-11-24", "2026-11-24T09:00:00+01:00", "2026-11-24T09:00:00+01:00"},
        {"2026-11-24", "2026-11-24T11:59:59+01:00", "2026-11-24T11:59:59+01:00"},
        {"2026-11-24", "2026-11-24T12:00:01+01:00", "2026-11-24T12:00:00+01:00"},
        {"2026-11-23", "2026-11-24T09:00:00+01:00", "2026-11-23T12:00:00+01:00"},
        {"2026-11-25", "2026-11-24T09:00:00+01:00", "2026-11-25T12:00:00+01:00"},
        {"2026-11-24 10:00", "2026-11-24T09:00:00+01:00", "2026-11-24T10:00:00+01:00"},
    };
    for (size_t i = 0; i < COUNT(cases); i++) {
        Moment now, is, m;
        Fault fault;
        int zone;
        assert_true(moment_parse_rfc3339(text_of(cases[i].now), &now, NULL, &fault));
        assert_true(moment_parse_rfc3339(text_of(cases[i].is), &is, NULL, &fault));
        assert_true(moment_parse_past(text_of(cases[i].text), now, &m, &zone, &fault));
        assert_int_equal(m.ms, is.ms);
    }
}

/* A plan made at 08:00 for 23:59 is for tonight, one for 07:59 for tomorrow. */
static void test_a_bare_time_that_is_planned_is_the_next_one(void **state)
{
    (void)state;
    static const struct {
        const char *text, *is;
    } cases[] = {
        {"23:59", "2026-11-24T23:59:00+01:00"},
        {"08:01", "2026-11-24T08:01:00+01:00"},
        {"8:00", "2026-11-25T08:00:00+01:00"},
        {" 07:59 ", "2026-11-25T07:59:00+01:00"},
        {"12:00+01:00", "2026-11-24T12:00:00+01:00"},
        {"yesterday 9:00", "2026-11-23T09:00:00+01:00"},
        {"2026-11-20", "2026-11-20T12:00:00+01:00"},
    };
    Moment now, m, is;
    Fault fault;
    zone_set(CENTRAL_EUROPE);
    assert_true(moment_parse_rfc3339(text_of("2026-11-24T08:00:00+01:00"), &now, NULL, &fault));
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        assert_true(moment_parse_rfc3339(text_of(cases[i].is), &is, NULL, &fault));
        assert_true(moment_parse_ahead(text_of(cases[i].text), now, &m, NULL, &fault));
        assert_int_equal(m.ms, is.ms);
    }
    assert_false(moment_parse_ahead(text_of("25:00"), now, &m, NULL, &fault));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_a_bare_time_that_is_planned_is_the_next_one),
        cmocka_unit_test_setup(test_the_examples_of_rfc_3339_are_read, zone_reset),
        cmocka_unit_test_setup(test_every_leap_second_of_the_rfc_is_read_as_59, zone_reset),
        cmocka_unit_test_setup(test_what_is_not_rfc_3339_is_refused, zone_reset),
        cmocka_unit_test_setup(test_what_is_printed_is_read_back, zone_reset),
        cmocka_unit_test_setup(test_a_time_is_read_as_it_is_typed, zone_reset),
        cmocka_unit_test_setup(test_words_count_local_days, zone_reset),
        cmocka_unit_test_setup(test_a_local_time_in_a_gap_is_refused_with_its_offsets, zone_reset),
        cmocka_unit_test_setup(test_a_local_time_that_exists_twice_is_refused_with_its_offsets,
                               zone_reset),
        cmocka_unit_test_setup(test_what_is_no_time_is_refused_with_a_sentence, zone_reset),
        cmocka_unit_test_setup(test_alone_at_the_very_start_of_the_log, zone_reset),
        cmocka_unit_test(test_a_clock_time_up_to_two_hours_ahead_is_refused_with_both_days),
        cmocka_unit_test(test_the_date_of_today_is_now_until_noon),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
