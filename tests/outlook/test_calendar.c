/* What is due as a calendar: content lines, values, components. RFC 5545 (IETF, September 2009). */
#include "outlook/calendar.h"

#include "outlook/service.h"
#include "support/board_book.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* New York as a rule in POSIX form: EST is UTC-5, daylight saving from April to October as in 1997.
 */
#define NEW_YORK_1997 "EST5EDT,M4.1.0,M10.5.0"
/* Takes the folds out: CRLF and the one space or tab behind it (section 3.1). */
static void unfold(const Str *in, Str *out)
{
    str_adds(out, "");
    for (size_t i = 0; i < in->n; i++)
        if (i + 2 < in->n && in->s[i] == '\r' && in->s[i + 1] == '\n' &&
            (in->s[i + 2] == ' ' || in->s[i + 2] == '\t'))
            i += 2;
        else
            str_addc(out, in->s[i]);
}

/* Ends with CRLF, no stray CR or LF, no physical line over 75 octets, each line whole UTF-8. */
static void assert_lines_sound(const Str *out)
{
    assert_true(out->n >= 2);
    for (size_t at = 0; at < out->n;) {
        const char *end = strstr(out->s + at, "\r\n");
        assert_non_null(end);
        const Text line = text_slice(out->s + at, (size_t)(end - out->s) - at);
        if (line.n > CALENDAR_OCTETS || !text_is_utf8(line))
            fail_msg("bad line of %zu octets: %.*s", line.n, (int)line.n, line.s);
        assert_null(memchr(line.s, '\r', line.n));
        assert_null(memchr(line.s, '\n', line.n));
        at += line.n + 2;
    }
}

static void assert_has(const Str *out, const char *line)
{
    Str whole = {0}, wanted = {0};
    unfold(out, &whole);
    str_addf(&wanted, "\r\n%s\r\n", line);
    if (strstr(whole.s, wanted.s) == NULL)
        fail_msg("no line \"%s\" in:\n%s", line, whole.s);
    str_finish(&whole);
    str_finish(&wanted);
}

static int lines_that_begin(const Str *out, const char *with)
{
    int n = strncmp(out->s, with, strlen(with)) == 0;
    Str wanted = {0};
    str_addf(&wanted, "\r\n%s", with);
    for (const char *at = out->s; (at = strstr(at, wanted.s)) != NULL; at++)
        n++;
    str_finish(&wanted);
    return n;
}

/* Seconds of a duration (section 3.3.6). */
static int64_t duration(const char *text)
{
    const int sign = *text == '-' ? -1 : 1;
    int64_t seconds = 0, number = 0;
    for (text += *text == '-' || *text == '+'; *text != '\0'; text++) {
        if (*text >= '0' && *text <= '9') {
            number = number * 10 + (*text - '0');
            continue;
        }
        assert_non_null(strchr("PTWDHMS", *text));
        seconds += number * (*text == 'W'   ? 604800
                             : *text == 'D' ? 86400
                             : *text == 'H' ? 3600
                             : *text == 'M' ? 60
                                            : 1);
        number = 0;
    }
    return sign * seconds;
}

/* The calendar of a book at its now (or a time). */
static Str calendar_again(Logbook *book, const char *at, CalendarAs as, CalendarMemory *memory)
{
    Board *board = board_of(book, at);
    DueItem *items = calloc(DUE_MAX, sizeof *items);
    const int count = board_due(board, items);
    Str out = {0};
    calendar_print(board, &(CalendarItems){items, items, count, count}, as, memory, &out);
    assert_lines_sound(&out);
    free(items);
    free(board);
    return out;
}

/* The first one, of a log without an id of its own. */
static Str calendar_of(Logbook *book, const char *at, CalendarAs as)
{
    CalendarMemory *memory = calloc(1, sizeof *memory);
    Str out = calendar_again(book, at, as, memory);
    free(memory);
    return out;
}

/* ---- content lines ---- */

/* Section 3.1: the line "DESCRIPTION:This is a long description that exists on a long line." may be
 * written as the three lines below. */
static void the_folded_example_of_the_rfc_is_one_line(void **unused)
{
    (void)unused;
    Str folded = {0}, whole = {0};
    str_adds(&folded,
             "DESCRIPTION:This is a lo\r\n ng description\r\n  that exists on a long line.");
    unfold(&folded, &whole);
    assert_string_equal(whole.s,
                        "DESCRIPTION:This is a long description that exists on a long line.");
    str_finish(&folded);
    /* It has 67 octets: a line of up to 75 need not be folded, and is not. */
    calendar_line(text_of(whole.s), &folded);
    str_adds(&whole, "\r\n");
    assert_string_equal(folded.s, whole.s);
    str_finish(&folded);
    str_finish(&whole);
}

static void lines_are_folded_at_75_octets_and_come_back_as_they_were(void **unused)
{
    (void)unused;
    /* Characters of one, two, three and four bytes at every place of the fold. */
    static const char *const letters[] = {"x", "\303\246", "\342\202\254", "\360\235\204\236"};
    for (size_t l = 0; l < 4; l++)
        for (int before = 60; before < 80; before++) {
            Str line = {0}, out = {0}, whole = {0};
            for (int i = 0; i < before; i++)
                str_addc(&line, 'a');
            for (int i = 0; i < 90; i++)
                str_adds(&line, letters[l]);
            calendar_line(text_slice(line.s, line.n), &out);
            assert_lines_sound(&out);
            unfold(&out, &whole);
            str_adds(&line, "\r\n");
            assert_string_equal(whole.s, line.s);
            str_finish(&line);
            str_finish(&out);
            str_finish(&whole);
        }
    Str out = {0};
    Str seventy_five = {0};
    for (int i = 0; i < 75; i++)
        str_addc(&seventy_five, 'a');
    calendar_line(text_slice(seventy_five.s, 75), &out);
    assert_int_equal(out.n, 77); /* exactly 75 is not folded */
    str_finish(&out);
    str_addc(&seventy_five, 'b');
    calendar_line(text_slice(seventy_five.s, 76), &out);
    assert_string_equal(out.s + 75, "\r\n b\r\n");
    str_finish(&out);
    str_finish(&seventy_five);
}

static void bytes_that_are_no_utf8_are_folded_too(void **unused)
{
    (void)unused;
    Str line = {0}, out = {0};
    for (int i = 0; i < 200; i++)
        str_addc(&line, (char)0x80);
    calendar_line(text_slice(line.s, line.n), &out);
    assert_int_equal(out.n, 200 + 2 * 3 + 2); /* 75, 74 and 51 octets */
    str_finish(&line);
    str_finish(&out);
}

static void text_is_escaped_as_in_the_rfc(void **unused)
{
    (void)unused;
    static const struct {
        const char *text, *value;
    } cases[] = {
        /* Section 3.3.11, the example of a TEXT value of three lines. */
        {"Project XYZ Final Review\nConference Room - 3B\nCome Prepared.",
         "Project XYZ Final Review\\nConference Room - 3B\\nCome Prepared."},
        /* The same section: ESCAPED-CHAR = ("\\" / "\;" / "\," / "\N" / "\n"); a colon is none. */
        {"a\\b;c,d:e\"f", "a\\\\b\\;c\\,d:e\"f"},
        {"one\r\ntwo", "one\\ntwo"},
        {"bell\a, tab\t, del\177.", "bell\\, tab\t\\, del."},
        {"", ""},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        Str out = {0};
        str_adds(&out, "");
        calendar_escape(text_of(cases[i].text), &out);
        assert_string_equal(out.s, cases[i].value);
        str_finish(&out);
    }
}

/* ---- components ---- */

/* Section 3.6.2, first example of a to-do: DTSTAMP:20070313T123432Z, DUE;VALUE=DATE:20070501,
 * STATUS:NEEDS-ACTION. Fitted on 3 March 2007 local with 59 days of life it is due on 1 May. */
static void a_to_do_has_the_lines_of_the_rfcs_example(void **unused)
{
    (void)unused;
    zone_set(CENTRAL_EUROPE);
    Logbook *book = book_open();
    book_at(book, "2007-03-02T23:30:00Z"); /* 3 March 00:30 local */
    book_say(book, "stage sediment --type sediment --line galley --life-days 59");
    Str out = calendar_of(book, "2007-03-13T12:34:32Z", CALENDAR_TODO);
    assert_true(strncmp(out.s, "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:", 37) == 0);
    assert_has(&out, "BEGIN:VTODO");
    assert_has(&out, "DTSTAMP:20070313T123432Z");
    assert_has(&out, "DUE;VALUE=DATE:20070501");
    assert_has(&out, "STATUS:NEEDS-ACTION");
    assert_has(&out, "SUMMARY:sediment: swap the cartridge\\, due Tue 1 May 2007");
    assert_has(&out, "DESCRIPTION:by date\\; spares never counted");
    assert_has(&out, "END:VTODO");
    assert_has(&out, "END:VCALENDAR");
    assert_int_equal(lines_that_begin(&out, "DTSTART"), 0);
    assert_int_equal(lines_that_begin(&out, "TRIGGER;RELATED=END:"), 2);
    assert_int_equal(lines_that_begin(&out, "BEGIN:VEVENT"), 0);
    str_finish(&out);
    book_close(book);
}

static void an_event_of_a_day_is_a_date_with_alarms_at_nine(void **unused)
{
    (void)unused;
    zone_set(CENTRAL_EUROPE);
    /* Section 3.3.6: "P15DT5H0M20S" is 15 days, 5 hours and 20 seconds, "P7W" 7 weeks. */
    assert_int_equal(duration("P15DT5H0M20S"), 15 * 86400 + 5 * 3600 + 20);
    assert_int_equal(duration("P7W"), 49 * 86400);
    Logbook *book = book_open();
    book_at(book, "2026-03-20T17:30:00Z");
    book_say(book, "stage carbon --type carbon-block --line galley --life-days 30");
    book_say(book, "spares carbon 1");
    Str out = calendar_of(book, NULL, CALENDAR_EVENT);
    assert_has(&out, "DTSTART;VALUE=DATE:20260419"); /* 18 April 22:00 UTC */
    assert_has(&out, "SUMMARY:carbon: swap the cartridge\\, due Sun 19 Apr 2026");
    assert_has(&out, "DESCRIPTION:by date\\; 1 spare aboard");
    assert_has(&out, "TRIGGER:-P13DT15H");
    assert_has(&out, "TRIGGER:PT9H");
    assert_int_equal(duration("PT9H"), CALENDAR_RING_HOUR * 3600);
    assert_int_equal(duration("-P13DT15H"), -LEAD_DAYS * 86400 + CALENDAR_RING_HOUR * 3600);
    assert_int_equal(lines_that_begin(&out, "BEGIN:VALARM"), 2);
    assert_int_equal(lines_that_begin(&out, "END:VALARM"), 2);
    assert_int_equal(lines_that_begin(&out, "ACTION:DISPLAY"), 2);
    assert_int_equal(lines_that_begin(&out, "DUE"), 0);
    str_finish(&out);
    book_close(book);
}

/* A ring in the past is left out: at nine on the day, and so many days before it at nine. */
static void no_alarm_rings_in_the_past(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    static const struct {
        const char *at;
        int alarms;
    } cases[] = {{"2026-04-05T08:59:59Z", 2},
                 {"2026-04-05T09:00:00Z", 1},
                 {"2026-04-19T08:59:59Z", 1},
                 {"2026-04-19T09:00:00Z", 0}};
    Logbook *book = book_open();
    book_at(book, "2026-03-20T17:30:00Z");
    book_say(book, "stage carbon --type carbon-block --line galley --life-days 30");
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        Str out = calendar_of(book, cases[i].at, CALENDAR_EVENT);
        assert_has(&out, "DTSTART;VALUE=DATE:20260419");
        assert_int_equal(lines_that_begin(&out, "BEGIN:VALARM"), cases[i].alarms);
        str_finish(&out);
    }
    book_close(book);
}

/* Section 3.3.5: 14 July 1997, 1:30 PM in New York City is 19970714T173000Z in UTC. Water filled 30
 * days before goes stale then. */
static void what_is_due_at_a_time_is_given_in_utc(void **unused)
{
    (void)unused;
    zone_set(NEW_YORK_1997);
    Logbook *book = book_open();
    book_at(book, "1997-06-14T17:30:00Z");
    book_say(book, "vessel A1 --capacity 10");
    book_say(book, "couple galley A1");
    book_say(book, "fill A1 5 --class potable");
    Str out = calendar_of(book, NULL, CALENDAR_EVENT);
    assert_has(&out, "DTSTART:19970714T173000Z");
    assert_has(&out, "SUMMARY:A1: change the water\\, due Mon 14 Jul 1997 13:30");
    assert_has(&out, "TRIGGER:PT0S");
    assert_int_equal(lines_that_begin(&out, "BEGIN:VALARM"), 1); /* water keeps some weeks only */
    str_finish(&out);
    book_close(book);
}

static void a_lamp_that_always_burns_has_a_time_and_a_forecast_only_a_day(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_at(book, "2026-06-01T08:00:00Z");
    book_say(book, "stage lamp --type uv --line galley --life-hours 9000 --lamp always");
    Str out = calendar_of(book, NULL, CALENDAR_EVENT);
    assert_has(&out, "DTSTART:20270611T080000Z"); /* 9000 h are 375 days */
    assert_has(&out, "TRIGGER:-P14D");
    str_finish(&out);
    book_close(book);
    book = book_of_days(
        "stage lamp --type uv --line galley --life-hours 10 --lamp with-flow --rated-lpm 4", 40);
    out = calendar_of(book, NULL, CALENDAR_EVENT);
    assert_int_equal(lines_that_begin(&out, "DTSTART;VALUE=DATE:"), 1);
    /* the water of three vessels: each has its time */
    assert_int_equal(lines_that_begin(&out, "DTSTART:"), 3);
    str_finish(&out);
    book_close(book);
}

static void a_clogged_stage_stands_on_the_day_of_looking(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_of_days("stage sediment --type sediment --line galley", 1);
    book_say(book, "flowtest galley 1 10");
    book_say(book, "flowtest galley 1 16");
    Str out = calendar_of(book, "2026-06-03T23:00:00Z", CALENDAR_EVENT);
    assert_has(&out, "DTSTART;VALUE=DATE:20260603");
    assert_has(&out, "SUMMARY:sediment: swap the cartridge\\, due without a date: look at it now");
    assert_has(&out, "DESCRIPTION:by clogging\\; spares never counted");
    str_finish(&out);
    book_close(book);
}

static void what_was_put_off_stands_where_it_was_put_off_to(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 10 --class potable --level 5");
    book_say(book, "stage s --type sediment --line galley --life-days 30");
    book_pass(book, 40);
    book_say(book, "putoff s --until 2026-07-20T12:00:00Z");
    book_say(book, "putoff A1 --what water --until 2026-07-21T12:00:00Z");
    Str out = calendar_of(book, NULL, CALENDAR_EVENT);
    assert_has(&out, "DTSTART;VALUE=DATE:20260720");
    assert_has(&out, "SUMMARY:s\\, put off: swap the cartridge\\, due Wed 1 Jul 2026\\, put off to "
                     "Mon 20 Jul 2026");
    assert_has(&out, "DTSTART;VALUE=DATE:20260721"); /* a reminder that comes again: a day */
    str_finish(&out);
    book_close(book);
}

/* Computed apart from the program, in another language, from the description in calendar.c. They
 * stand in people's calendars: they never change. */
static void identifiers_follow_from_what_is_due_and_nothing_else(void **unused)
{
    (void)unused;
    static const struct {
        Care care;
        const char *label, *uid;
    } cases[] = {
        {CARE_SWAP, "sediment", "abdcd4ed-92f4-8198-bc26-a76ed6dc4367"},
        {CARE_SANITISE, "A1", "cec4cb0b-165f-8e9d-bdcd-fbdc3c9061ac"},
        {CARE_WATER, "A1", "2d642e13-f2ec-8f2e-8ccd-6a0153e93a8b"},
        {CARE_WATER, "\303\206r\303\270", "c6a216d6-cd39-89d2-8c3d-b0782af85d6c"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        const Label label = label_of(text_of(cases[i].label));
        const Uuid id = calendar_uid(cases[i].care, &label);
        char text[40];
        assert_string_equal(uuid_print(&id, text), cases[i].uid);
        /* RFC 9562 (IETF, May 2024), section 5.8: version 8, variant 10. */
        assert_int_equal(id.b[6] >> 4, 8);
        assert_int_equal(id.b[8] >> 6, 2);
    }
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "stage sediment --type sediment --line galley --life-days 60");
    Str first = calendar_of(book, NULL, CALENDAR_EVENT);
    book_pass(book, 50);
    book_say(book, "swap sediment");
    Str later = calendar_of(book, NULL, CALENDAR_TODO);
    assert_has(&first, "DTSTART;VALUE=DATE:20260731");
    assert_has(&later, "DUE;VALUE=DATE:20260919");
    char line[64];
    snprintf(line, sizeof line, "UID:%s", cases[0].uid);
    assert_has(&first, line);
    assert_has(&later, line); /* so the phone moves it, and has it once */
    str_finish(&first);
    str_finish(&later);
    book_close(book);
}

static void every_thing_has_an_identifier_of_its_own(void **unused)
{
    (void)unused;
    enum { LABELS = 300, ALL = LABELS * 3 };
    Uuid *seen = calloc(ALL, sizeof *seen);
    char text[16];
    for (int i = 0; i < ALL; i++) {
        snprintf(text, sizeof text, "A%d", i / 3);
        const Label label = label_of(text_of(text));
        seen[i] = calendar_uid((Care)(i % 3), &label);
        for (int j = 0; j < i; j++)
            assert_int_not_equal(uuid_compare(&seen[i], &seen[j]), 0);
    }
    free(seen);
}

static void long_labels_of_any_letters_keep_their_lines_sound(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "stage \"\303\206r\303\270, aft; the \342\202\254 one \\ \360\235\204\236"
                   "\360\235\204\236\360\235\204\236\360\235\204\236x\" --type sediment --line "
                   "galley --life-days 60");
    Str out = calendar_of(book, NULL, CALENDAR_EVENT);
    assert_has(&out, "SUMMARY:\303\206r\303\270\\, aft\\; the \342\202\254 one \\\\ "
                     "\360\235\204\236\360\235\204\236\360\235\204\236\360\235\204\236x: swap the "
                     "cartridge\\, due Fri 31 Jul 2026");
    str_finish(&out);
    book_close(book);
}

/* Section 3.4: component = 1*(eventc / todoc / journalc / freebusyc / timezonec / ...). */
static void a_calendar_of_nothing_still_has_a_component(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    Str out = calendar_of(book, NULL, CALENDAR_EVENT);
    assert_has(&out, "BEGIN:VTIMEZONE");
    assert_has(&out, "TZID:Etc/UTC");
    assert_int_equal(lines_that_begin(&out, "BEGIN:V"), 2);
    str_finish(&out);
    book_close(book);
}

/* The memory is text in a file that anybody may edit: a line that is none of ours is passed over.
 */
static void a_line_that_is_none_is_not_remembered(void **unused)
{
    (void)unused;
    static const struct {
        const char *line;
        int count;
    } cases[] = {{"1 0 5 ff 0 DTSTART:20261201T120000Z", 1},
                 {"1 0 5 ff 0 DUE:20261201T120000Z", 1},
                 {"1 0 5 ff 0 SUMMARY:x", 0},
                 {"1 -1 5 ff 0 DUE:20261201T120000Z", 0},
                 {"1 0 5 ff DUE:20261201T120000Z", 0},
                 {"", 0}};
    CalendarMemory *memory = calloc(1, sizeof *memory);
    assert_non_null(memory);
    char text[200];
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        snprintf(text, sizeof text, "0190-log\nabdcd4ed-92f4-8198-bc26-a76ed6dc4367 %s\tsediment\n",
                 cases[i].line);
        calendar_remember(text_of(text), memory);
        if (memory->count != cases[i].count)
            fail_msg("%s", cases[i].line);
    }
    free(memory);
}

/* The story of ics/1-created, 2-moved and 3-cancelled: one UID, SEQUENCE 0, 1 and 2; between two
 * calendars the memory goes through its text. RFC 5545 (2009), 3.8.7.2 to 3.8.7.4, 3.8.1.11. */
static void a_phone_is_told_of_every_change_and_of_no_other(void **unused)
{
    (void)unused;
    CalendarMemory *memory = calloc(1, sizeof *memory);
    Str kept = {0};
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "stage sediment --type sediment --line galley --life-days 60");
    snprintf(memory->log, sizeof memory->log, "0190-log");
    Str first = calendar_again(book, NULL, CALENDAR_EVENT, memory);
    assert_true(memory->changed);
    assert_has(&first, "UID:abdcd4ed-92f4-8198-bc26-a76ed6dc4367@0190-log");
    assert_has(&first, "SEQUENCE:0");
    assert_has(&first, "STATUS:CONFIRMED");
    /* a day later nothing else is known: not a byte is other */
    calendar_keep(memory, &kept);
    calendar_remember(text_of(kept.s), memory);
    book_pass(book, 1);
    Str same = calendar_again(book, NULL, CALENDAR_EVENT, memory);
    assert_string_equal(first.s, same.s);
    assert_false(memory->changed);
    /* swapped: another date */
    book_say(book, "swap sediment");
    Str moved = calendar_again(book, NULL, CALENDAR_EVENT, memory);
    assert_has(&moved, "SEQUENCE:1");
    assert_int_equal(lines_that_begin(&moved, "BEGIN:VEVENT"), 1);
    /* taken out: said once */
    str_clear(&kept);
    calendar_keep(memory, &kept);
    calendar_remember(text_of(kept.s), memory);
    book_say(book, "unstage sediment");
    Str over = calendar_again(book, NULL, CALENDAR_EVENT, memory);
    assert_has(&over, "UID:abdcd4ed-92f4-8198-bc26-a76ed6dc4367@0190-log");
    assert_has(&over, "SEQUENCE:2");
    assert_has(&over, "STATUS:CANCELLED");
    assert_has(&over, "BEGIN:VEVENT");
    assert_has(&over, "END:VEVENT");
    Str after = calendar_again(book, NULL, CALENDAR_EVENT, memory);
    assert_int_equal(lines_that_begin(&after, "BEGIN:VEVENT"), 0);
    /* and it comes back with a higher number */
    book_say(book, "stage sediment --type sediment --line galley --life-days 60");
    Str back = calendar_again(book, NULL, CALENDAR_EVENT, memory);
    assert_has(&back, "SEQUENCE:3");
    Str *all[] = {&first, &same, &moved, &over, &after, &back, &kept};
    for (size_t i = 0; i < sizeof all / sizeof all[0]; i++)
        str_finish(all[i]);
    free(memory);
    book_close(book);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_line_that_is_none_is_not_remembered),
        cmocka_unit_test(a_phone_is_told_of_every_change_and_of_no_other),
        cmocka_unit_test(the_folded_example_of_the_rfc_is_one_line),
        cmocka_unit_test(lines_are_folded_at_75_octets_and_come_back_as_they_were),
        cmocka_unit_test(bytes_that_are_no_utf8_are_folded_too),
        cmocka_unit_test(text_is_escaped_as_in_the_rfc),
        cmocka_unit_test(a_to_do_has_the_lines_of_the_rfcs_example),
        cmocka_unit_test(an_event_of_a_day_is_a_date_with_alarms_at_nine),
        cmocka_unit_test(no_alarm_rings_in_the_past),
        cmocka_unit_test(what_is_due_at_a_time_is_given_in_utc),
        cmocka_unit_test(a_lamp_that_always_burns_has_a_time_and_a_forecast_only_a_day),
        cmocka_unit_test(a_clogged_stage_stands_on_the_day_of_looking),
        cmocka_unit_test(what_was_put_off_stands_where_it_was_put_off_to),
        cmocka_unit_test(identifiers_follow_from_what_is_due_and_nothing_else),
        cmocka_unit_test(every_thing_has_an_identifier_of_its_own),
        cmocka_unit_test(long_labels_of_any_letters_keep_their_lines_sound),
        cmocka_unit_test(a_calendar_of_nothing_still_has_a_component),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
