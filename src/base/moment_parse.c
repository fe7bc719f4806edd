#include "base/moment.h"
#include "base/moment_words.h"

#include <stdio.h>
#include <string.h>

/* ---- the pieces of a time as it is typed ---- */

/* A reader that moves along a text. */
typedef struct {
    const char *s, *end;
} Reader;

static Reader reader_of(Text text)
{
    const char *s = text.n > 0 ? text.s : "";
    return (Reader){s, s + text.n};
}

static bool take(Reader *r, char c)
{
    if (r->s == r->end || *r->s != c)
        return false;
    r->s++;
    return true;
}

/* Exactly `count` digits. */
static bool take_digits(Reader *r, int count, int *value)
{
    if (r->end - r->s < count)
        return false;
    int sum = 0;
    for (int i = 0; i < count; i++) {
        if (!is_digit(r->s[i]))
            return false;
        sum = sum * 10 + (r->s[i] - '0');
    }
    r->s += count;
    *value = sum;
    return true;
}

/* "2026-11-24", in shape only. */
static bool take_date(Reader *r, Civil *c)
{
    return take_digits(r, 4, &c->year) && take(r, '-') && take_digits(r, 2, &c->month) &&
           take(r, '-') && take_digits(r, 2, &c->day);
}

/* "." and digits, of which three are kept. */
static bool take_fraction(Reader *r, int *milli)
{
    int weight = 100;
    *milli = 0;
    if (!take(r, '.'))
        return true;
    if (r->s == r->end || !is_digit(*r->s))
        return false;
    for (; r->s < r->end && is_digit(*r->s); r->s++) {
        *milli += (*r->s - '0') * weight;
        weight /= 10;
    }
    return true;
}

/* "Z" or "+01:00", in shape only. */
static bool take_zone(Reader *r, int *sign, int *hours, int *minutes)
{
    *sign = 1;
    *hours = *minutes = 0;
    if (take(r, 'Z') || take(r, 'z'))
        return true;
    if (take(r, '-'))
        *sign = -1;
    else if (!take(r, '+'))
        return false;
    return take_digits(r, 2, hours) && take(r, ':') && take_digits(r, 2, minutes);
}

/* ---- sentences ---- */

static bool date_fault(Fault *fault, Text text, const Civil *c)
{
    Quote quote = text_quote(text);
    if (c->year < 1970)
        return fault_set(fault, FAULT_REFUSED,
                         "%s is before 1970, and the log begins there: check the year.", quote.s);
    if (c->month < 1 || c->month > 12)
        return fault_set(
            fault, FAULT_REFUSED,
            "%s has no month %d: write the date as year-month-day, such as 2026-11-24.", quote.s,
            c->month);
    if (c->month == 2 && c->day == 29)
        return fault_set(fault, FAULT_REFUSED,
                         "%s does not exist: %d is no leap year, February ends on the 28th.",
                         quote.s, c->year);
    return fault_set(fault, FAULT_REFUSED,
                     "%s does not exist: month %d of %d has no day %d. Check the date.", quote.s,
                     c->month, c->year, c->day);
}

/* Hour, minute and second in their ranges; a second of 60 is looked at when the offset is known. */
static bool clock_check(Text text, const Civil *c, Fault *fault)
{
    if (c->hour == 24)
        return fault_set(fault, FAULT_REFUSED,
                         "%s has an hour of 24: midnight is 00:00 of the next day.",
                         text_quote(text).s);
    if (c->hour > 23)
        return fault_set(fault, FAULT_REFUSED, "%s has no hour %d: hours go from 00 to 23.",
                         text_quote(text).s, c->hour);
    if (c->minute > 59)
        return fault_set(fault, FAULT_REFUSED, "%s has no minute %d: minutes go from 00 to 59.",
                         text_quote(text).s, c->minute);
    if (c->second > 60)
        return fault_set(fault, FAULT_REFUSED, "%s has no second %d: seconds go from 00 to 59.",
                         text_quote(text).s, c->second);
    return true;
}

static bool zone_check(Text text, int sign, int hours, int minutes, int *zone, Fault *fault)
{
    if (hours > 23 || minutes > 59)
        return fault_set(
            fault, FAULT_REFUSED,
            "%s has an offset that no clock has: write hours up to 23 and minutes up to "
            "59, such as +01:00.",
            text_quote(text).s);
    *zone = sign * (hours * 60 + minutes);
    return true;
}

static bool range_check(Text text, Moment m, Fault *fault)
{
    if (m.ms < MOMENT_MIN_MS)
        return fault_set(fault, FAULT_REFUSED,
                         "%s is before 1970, and the log begins there: check the year.",
                         text_quote(text).s);
    if (m.ms > MOMENT_MAX_MS)
        return fault_set(fault, FAULT_REFUSED,
                         "%s is after the year 9999, and the log ends there: check the year.",
                         text_quote(text).s);
    return true;
}

/* What the clocks show, as ms since 1970-01-01T00:00:00 on them. A second of 60 counts as 59: POSIX
 * time has no leap seconds. */
static int64_t reading_of(int64_t day, const Civil *c)
{
    int second = c->second == 60 ? 59 : c->second;
    return day * MS_PER_DAY + c->hour * MS_PER_HOUR + c->minute * MS_PER_MINUTE +
           second * MS_PER_SECOND + c->milli;
}

/* Leap seconds are put in at the end of a UTC day only (RFC 3339 section 5.7), whatever local
 * clocks then show. Which days is not checked: later ones aren't known yet. */
static bool leap_check(Text text, Moment m, const Civil *c, Fault *fault)
{
    if (c->second != 60)
        return true;
    int64_t of_day = m.ms >= 0 ? m.ms % MS_PER_DAY : 0;
    if (of_day / MS_PER_SECOND == MS_PER_DAY / MS_PER_SECOND - 1)
        return true;
    return fault_set(fault, FAULT_REFUSED,
                     "%s has a second of 60, which only 23:59 UTC can have: write 59 or the next "
                     "minute.",
                     text_quote(text).s);
}

/* The moment of a reading at a known offset, checked. */
static bool moment_at_zone(Text text, int64_t day, const Civil *c, int zone, Moment *m,
                           Fault *fault)
{
    Moment there = {reading_of(day, c) - zone * MS_PER_MINUTE};
    if (!range_check(text, there, fault) || !leap_check(text, there, c, fault))
        return false;
    *m = there;
    return true;
}

/* ---- RFC 3339 ---- */

bool moment_parse_rfc3339(Text text, Moment *m, int *zone, Fault *fault)
{
    Reader r = reader_of(text);
    Civil c = {0};
    int sign = 1, hours = 0, minutes = 0, offset = 0;
    bool shaped = take_date(&r, &c) && (take(&r, 'T') || take(&r, 't') || take(&r, ' ')) &&
                  take_digits(&r, 2, &c.hour) && take(&r, ':') && take_digits(&r, 2, &c.minute) &&
                  take(&r, ':') && take_digits(&r, 2, &c.second) && take_fraction(&r, &c.milli);
    if (shaped && r.s == r.end)
        return fault_set(fault, FAULT_USAGE,
                         "%s has no offset from UTC: add Z or one such as +01:00.",
                         text_quote(text).s);
    if (!shaped || !take_zone(&r, &sign, &hours, &minutes) || r.s != r.end)
        return fault_set(
            fault, FAULT_USAGE,
            "%s is not a date and time of RFC 3339: write it as 2026-11-24T18:30:00Z or "
            "2026-11-24T18:30:00+01:00.",
            text_quote(text).s);
    if (!civil_date_valid(c.year, c.month, c.day))
        return date_fault(fault, text, &c);
    if (!clock_check(text, &c, fault) || !zone_check(text, sign, hours, minutes, &offset, fault))
        return false;
    if (!moment_at_zone(text, civil_day_number(c.year, c.month, c.day), &c, offset, m, fault))
        return false;
    if (zone != NULL)
        *zone = offset;
    return true;
}

/* ---- a time as a person types it ---- */

/* "18:30", "9:05:30", "18:30:15.5", with what may stand behind: an offset. */
typedef struct {
    Civil c;
    bool has_zone;
    int zone;
} Clock;

/* False with `*shaped` false where this is no clock time at all (no Fault then). */
static bool clock_parse(Text text, Text part, Clock *clock, bool *shaped, Fault *fault)
{
    Reader r = reader_of(part);
    int sign = 1, hours = 0, minutes = 0;
    *clock = (Clock){0};
    *shaped = (take_digits(&r, 2, &clock->c.hour) || take_digits(&r, 1, &clock->c.hour)) &&
              take(&r, ':') && take_digits(&r, 2, &clock->c.minute);
    if (*shaped && take(&r, ':'))
        *shaped = take_digits(&r, 2, &clock->c.second) && take_fraction(&r, &clock->c.milli);
    while (*shaped && take(&r, ' '))
        continue;
    if (*shaped && r.s < r.end) {
        clock->has_zone = true;
        *shaped = take_zone(&r, &sign, &hours, &minutes) && r.s == r.end;
    }
    if (!*shaped || !clock_check(text, &clock->c, fault))
        return false;
    return !clock->has_zone || zone_check(text, sign, hours, minutes, &clock->zone, fault);
}

static bool gap_fault(Fault *fault, Text text, int64_t local_ms)
{
    int before = moment_local_zone((Moment){local_ms - MS_PER_DAY});
    int after = moment_local_zone((Moment){local_ms + MS_PER_DAY});
    char early[40], late[40];
    moment_print_zone((Moment){local_ms - before * MS_PER_MINUTE}, before, early);
    moment_print_zone((Moment){local_ms - after * MS_PER_MINUTE}, after, late);
    return fault_set(
        fault, FAULT_REFUSED,
        "%s does not exist in local time, as the clocks went forward over it: give the "
        "offset, %s (by the clocks before the change) or %s (by those after it).",
        text_quote(text).s, early, late);
}

static bool overlap_fault(Fault *fault, Text text, const Moment found[2])
{
    char first[40], second[40];
    moment_print_zone(found[0], moment_local_zone(found[0]), first);
    moment_print_zone(found[1], moment_local_zone(found[1]), second);
    return fault_set(fault, FAULT_REFUSED,
                     "%s exists twice in local time, as the clocks went back over it: give the "
                     "offset, %s (the first) or %s (the second).",
                     text_quote(text).s, first, second);
}

/* A reading of local clocks, of which there must be one. */
static bool moment_at_local(Text text, int64_t local_ms, Moment *m, int *zone, Fault *fault)
{
    Moment found[2];
    int count = moment_of_local_ms(local_ms, found);
    if (count == 0)
        return gap_fault(fault, text, local_ms);
    if (count == 2)
        return overlap_fault(fault, text, found);
    if (!range_check(text, found[0], fault))
        return false;
    *m = found[0];
    *zone = moment_local_zone(found[0]);
    return true;
}

/* A clock time on a given day. */
static bool moment_on_day(Text text, int64_t day, const Clock *clock, Moment *m, int *zone,
                          Fault *fault)
{
    if (clock->has_zone) {
        *zone = clock->zone;
        return moment_at_zone(text, day, &clock->c, clock->zone, m, fault);
    }
    Moment there = MOMENT_NONE;
    int offset = 0;
    if (!moment_at_local(text, reading_of(day, &clock->c), &there, &offset, fault) ||
        !leap_check(text, there, &clock->c, fault))
        return false;
    *m = there;
    *zone = offset;
    return true;
}

/* A clock time that is a little ahead: yesterday's is hardly what was meant, today's has not been.
 */
#define SOON_MS (2 * MS_PER_HOUR)

static bool soon_fault(Fault *fault, Text text, bool tomorrow)
{
    const Quote quote = text_quote(text);
    const int n = (int)strlen(quote.s) - 2; /* without its quotes */
    return fault_set(fault, FAULT_REFUSED,
                     "%s is still ahead: say which day, \"%s %.*s\" or \"%s %.*s\".", quote.s,
                     tomorrow ? "tomorrow" : "today", n, quote.s + 1,
                     tomorrow ? "today" : "yesterday", n, quote.s + 1);
}

/* A clock time alone: the latest that is not after now. */
static bool moment_most_recent(Text text, Moment now, const Clock *clock, Moment *m, int *zone,
                               Fault *fault)
{
    if (clock->has_zone) {
        int64_t day = moment_day(now, clock->zone);
        for (int64_t next = day; next <= day + 1; next++) {
            const Moment ahead = {reading_of(next, &clock->c) - clock->zone * MS_PER_MINUTE};
            if (ahead.ms > now.ms && ahead.ms <= now.ms + SOON_MS)
                return soon_fault(fault, text, next > day);
        }
        if (reading_of(day, &clock->c) - clock->zone * MS_PER_MINUTE > now.ms)
            day--;
        return moment_on_day(text, day, clock, m, zone, fault);
    }
    /* From tomorrow back: clocks that went back over midnight have shown some of it already. */
    int64_t today = moment_local_day(now);
    for (int64_t day = today + 1; day >= today - 1; day--) {
        int64_t reading = reading_of(day, &clock->c);
        Moment found[2];
        int count = moment_of_local_ms(reading, found);
        const bool there_is = count > 0;
        /* Clocks that have gone over it: the day before is hardly what was meant, so ask. */
        bool over = count == 0 && reading - moment_local_zone(now) * MS_PER_MINUTE <= now.ms;
        if (over)
            return gap_fault(fault, text, reading);
        while (count > 0 && found[count - 1].ms > now.ms)
            count--;
        if (count == 0 && there_is && found[0].ms <= now.ms + SOON_MS)
            return soon_fault(fault, text, day > today);
        if (count == 0)
            continue;
        Moment there = found[count - 1];
        if (!range_check(text, there, fault) || !leap_check(text, there, &clock->c, fault))
            return false;
        *m = there;
        *zone = moment_local_zone(there);
        return true;
    }
    return fault_set(fault, FAULT_REFUSED,
                     "%s was not shown by local clocks within the last day: give the date with it, "
                     "such as 2026-11-24 18:30.",
                     text_quote(text).s);
}

/* "-2h", "+3d": read whole. */
static bool steps_parse(Text text, Text part, Moment now, Moment *m, int *zone, Fault *fault)
{
    int64_t sign = part.s[0] == '-' ? -1 : 1;
    int64_t count = 0;
    size_t i = 1;
    for (; i < part.n && is_digit(part.s[i]); i++)
        if (count < INT64_C(1000000000))
            count = count * 10 + (part.s[i] - '0');
    char unit = '\0';
    if (i + 1 == part.n)
        unit = part.s[i];
    if (i == 1 || (unit != 'm' && unit != 'h' && unit != 'd'))
        return fault_set(fault, FAULT_USAGE,
                         "%s is not a step in time: write a whole number and m, h or d behind the "
                         "sign, such as -30m, -2h, -3d.",
                         text_quote(text).s);
    if (unit == 'd' && count > 0) {
        /* Civil days at the same local time; bounded, so that no sum overflows. */
        int64_t days = count < 4000000 ? count : 4000000;
        int64_t reading =
            now.ms + moment_local_zone(now) * MS_PER_MINUTE + sign * days * MS_PER_DAY;
        if (!range_check(text, (Moment){reading}, fault))
            return false;
        return moment_at_local(text, reading, m, zone, fault);
    }
    Moment there = {now.ms + sign * count * (unit == 'm' ? MS_PER_MINUTE : MS_PER_HOUR)};
    if (!range_check(text, there, fault))
        return false;
    *m = there;
    *zone = moment_local_zone(there);
    return true;
}

/* "yesterday 18:30": the days from today, and what stands behind the word. */
static bool day_word(Text text, int *days, Text *rest)
{
    static const struct {
        const char *word;
        int days;
    } words[] = {{"yesterday", -1}, {"today", 0}, {"tomorrow", 1}};
    *rest = text;
    Text first = text_cut(rest, ' ');
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        if (text_is_nocase(first, words[i].word)) {
            *days = words[i].days;
            *rest = text_trim(*rest);
            return true;
        }
    }
    return false;
}

static bool form_fault(Fault *fault, Text text)
{
    return fault_set(fault, FAULT_USAGE,
                     "%s is not a time: write 18:30, \"yesterday 18:30\", \"fri 18:30\", "
                     "\"29 nov 18:30\", \"2026-11-24 18:30\", 2026-11-24, -2h, -30m, -3d, now, or "
                     "RFC 3339 (2026-11-24T18:30:00Z).",
                     text_quote(text).s);
}

static bool clock_read(Text text, Text part, Clock *clock, Fault *fault)
{
    bool shaped;
    return clock_parse(text, part, clock, &shaped, fault) || (!shaped && form_fault(fault, text));
}

static bool clock_of_day(Text text, int64_t day, Text part, Moment *m, int *zone, Fault *fault)
{
    Clock clock;
    return clock_read(text, part, &clock, fault) &&
           moment_on_day(text, day, &clock, m, zone, fault);
}

static bool day_alone(Text text, int days, Fault *fault)
{
    return fault_set(fault, FAULT_USAGE, "%s needs a time behind it: write it as \"%s 18:30\".",
                     text_quote(text).s,
                     days < 0   ? "yesterday"
                     : days > 0 ? "tomorrow"
                                : "today");
}

/* A date, with what the reader has behind it: a clock time, or nothing. */
static bool date_parse(Text text, const Civil *date, Reader *r, Moment *m, int *zone, Fault *fault)
{
    if (!civil_date_valid(date->year, date->month, date->day))
        return date_fault(fault, text, date);
    const int64_t day = civil_day_number(date->year, date->month, date->day);
    if (r->s == r->end) {
        const Clock noon = {.c.hour = 12}; /* clocks do not jump over it */
        return moment_on_day(text, day, &noon, m, zone, fault);
    }
    if (!take(r, 'T') && !take(r, 't') && !take(r, ' '))
        return form_fault(fault, text);
    const Text rest = text_trim(text_slice(r->s, (size_t)(r->end - r->s)));
    return clock_of_day(text, day, rest, m, zone, fault);
}

bool moment_parse(Text text, Moment now, Moment *m, int *zone, Fault *fault)
{
    const Text part = text_trim(text);
    Reader r = reader_of(part);
    Text rest;
    Moment there = now;
    Civil date = {0};
    int offset = 0, days = 0;
    bool good = true;
    if (part.n == 0)
        return form_fault(fault, text);
    if (text_is_nocase(part, "now")) {
        offset = moment_local_zone(now);
    } else if (part.s[0] == '-' || part.s[0] == '+') {
        good = steps_parse(text, part, now, &there, &offset, fault);
    } else if (day_word(part, &days, &rest)) {
        good = rest.n == 0
                   ? day_alone(text, days, fault)
                   : clock_of_day(text, moment_local_day(now) + days, rest, &there, &offset, fault);
    } else if (take_date(&r, &date)) {
        good = date_parse(text, &date, &r, &there, &offset, fault);
    } else {
        Clock clock;
        good = clock_read(text, part, &clock, fault) &&
               moment_most_recent(text, now, &clock, &there, &offset, fault);
    }
    if (!good)
        return false;
    *m = there;
    if (zone != NULL)
        *zone = offset;
    return true;
}

typedef enum {
    DAY_WORDS_NONE, /* it is written in another way */
    DAY_WORDS_BAD,
    DAY_WORDS_READ
} DayWords;

/* "fri 12:00": the nearest on the side that is asked for; today's, unless that is on the other. */
static DayWords words_parse(Text text, Moment now, bool ahead, Moment *m, int *zone, Fault *fault)
{
    char date[64];
    Moment there = MOMENT_NONE;
    if (!moment_day_words(text, now, ahead, false, date))
        return DAY_WORDS_NONE;
    if (!moment_parse(text_of(date), now, &there, zone, fault))
        return DAY_WORDS_BAD;
    if (ahead ? there.ms < now.ms : there.ms > now.ms) {
        moment_day_words(text, now, ahead, true, date);
        if (!moment_parse(text_of(date), now, &there, zone, fault))
            return DAY_WORDS_BAD;
    }
    *m = there;
    return DAY_WORDS_READ;
}

bool moment_parse_ahead(Text text, Moment now, Moment *m, int *zone, Fault *fault)
{
    const Text part = text_trim(text);
    const DayWords words = words_parse(text, now, true, m, zone, fault);
    if (words != DAY_WORDS_NONE)
        return words == DAY_WORDS_READ;
    Clock clock = {0};
    bool shaped;
    if (part.n > 40 || !clock_parse(text, part, &clock, &shaped, NULL))
        return moment_parse(text, now, m, zone, fault);
    static const char *const days[] = {"today", "tomorrow"};
    for (int i = 0; i < 2; i++) {
        char named[64];
        Moment there = MOMENT_NONE;
        const int n = snprintf(named, sizeof named, "%s %.*s", days[i], (int)part.n, part.s);
        if (!moment_parse(text_slice(named, (size_t)n), now, &there, zone, fault))
            return false;
        *m = there;
        if (there.ms > now.ms)
            break;
    }
    return true;
}

bool moment_parse_past(Text text, Moment now, Moment *m, int *zone, Fault *fault)
{
    Reader r = reader_of(text_trim(text));
    Civil date = {0};
    const bool alone = take_date(&r, &date) && r.s == r.end;
    Moment there = MOMENT_NONE;
    int offset = 0;
    const DayWords words = words_parse(text, now, false, &there, &offset, fault);
    if (words == DAY_WORDS_BAD ||
        (words == DAY_WORDS_NONE && !moment_parse(text, now, &there, &offset, fault)))
        return false;
    if (alone && there.ms > now.ms && moment_local_day(there) == moment_local_day(now)) {
        there = now;
        offset = moment_local_zone(now);
    }
    *m = there;
    *zone = offset;
    return true;
}
