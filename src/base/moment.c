#include "base/moment.h"

#include <stdio.h>
#include <string.h>
#include <time.h>

bool moment_known(Moment m)
{
    return m.ms != MOMENT_NONE_MS;
}

int moment_compare(Moment a, Moment b)
{
    return (a.ms > b.ms) - (a.ms < b.ms);
}

Moment moment_sooner(Moment a, Moment b)
{
    if (!moment_known(a))
        return b;
    return moment_known(b) && b.ms < a.ms ? b : a;
}

/* Division towards minus infinity: moments before 1970 belong to the day that they are in. */
static int64_t floor_divide(int64_t a, int64_t b)
{
    return a / b - (a % b < 0);
}

static int64_t floor_rest(int64_t a, int64_t b)
{
    int64_t rest = a % b;
    return rest < 0 ? rest + b : rest;
}

/* ---- the calendar ---- */

/* Years are counted from 1 March, so that the leap day is the last of its year; a cycle of 400
 * years has 146,097 days, and 1970-01-01 is day 719,468 of the calendar counted from 0000-03-01. */
enum { DAYS_PER_CYCLE = 146097, DAYS_TO_1970 = 719468 };

int64_t civil_day_number(int year, int month, int day)
{
    int64_t y = (int64_t)year - (month <= 2);
    int64_t cycle = floor_divide(y, 400);
    int64_t of_cycle = y - cycle * 400;
    int64_t from_march = month > 2 ? month - 3 : month + 9;
    /* Months from March have 31 30 31 30 31 31 30 31 30 31 31 days: (153 m + 2) / 5 in sum. */
    int64_t of_year = (153 * from_march + 2) / 5 + day - 1;
    return cycle * DAYS_PER_CYCLE + of_cycle * 365 + of_cycle / 4 - of_cycle / 100 + of_year -
           DAYS_TO_1970;
}

void civil_from_day(int64_t day_number, int *year, int *month, int *day)
{
    int64_t days = day_number + DAYS_TO_1970;
    int64_t cycle = floor_divide(days, DAYS_PER_CYCLE);
    int64_t of_cycle = days - cycle * DAYS_PER_CYCLE;
    /* Leap days before the day are taken out: one in 1,460 days, but not at the end of a century,
     * yet again on the last day of the cycle. */
    int64_t years = (of_cycle - of_cycle / 1460 + of_cycle / 36524 - of_cycle / 146096) / 365;
    int64_t of_year = of_cycle - (365 * years + years / 4 - years / 100);
    int64_t from_march = (5 * of_year + 2) / 153;
    *day = (int)(of_year - (153 * from_march + 2) / 5 + 1);
    *month = (int)(from_march < 10 ? from_march + 3 : from_march - 9);
    *year = (int)(years + cycle * 400 + (*month <= 2));
}

bool civil_date_valid(int year, int month, int day)
{
    static const signed char lengths[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    if (year < 1 || year > 9999 || month < 1 || month > 12 || day < 1)
        return false;
    bool leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    return day <= lengths[month - 1] + (month == 2 && leap);
}

int civil_weekday(int64_t day_number)
{
    return (int)floor_rest(floor_rest(day_number, 7) + 4, 7); /* 1970-01-01 was a Thursday */
}

/* ---- local time ---- */

/* The clocks' reading at an offset, as ms since 1970-01-01T00:00:00 on those clocks. Kept inside
 * the range of the type at its ends. */
static int64_t reading_ms(Moment m, int zone)
{
    int64_t shift = zone * MS_PER_MINUTE;
    if (shift > 0 && m.ms > INT64_MAX - shift)
        return INT64_MAX;
    if (shift < 0 && m.ms < INT64_MIN - shift)
        return INT64_MIN;
    return m.ms + shift;
}

int64_t moment_day(Moment m, int zone)
{
    return floor_divide(reading_ms(m, zone), MS_PER_DAY);
}

int moment_local_zone(Moment m)
{
    time_t seconds = (time_t)floor_divide(m.ms, MS_PER_SECOND);
    struct tm local;
    if (localtime_r(&seconds, &local) == NULL)
        return 0; /* a year that struct tm can't hold */
    return (int)(local.tm_gmtoff / 60);
}

int64_t moment_local_day(Moment m)
{
    return moment_day(m, moment_local_zone(m));
}

Civil moment_civil(Moment m, int zone)
{
    int64_t reading = reading_ms(m, zone);
    int64_t day = floor_divide(reading, MS_PER_DAY);
    int ms = (int)floor_rest(reading, MS_PER_DAY);
    Civil civil = {.hour = ms / (int)MS_PER_HOUR,
                   .minute = ms / (int)MS_PER_MINUTE % 60,
                   .second = ms / (int)MS_PER_SECOND % 60,
                   .milli = ms % (int)MS_PER_SECOND,
                   .zone = zone,
                   .weekday = civil_weekday(day)};
    civil_from_day(day, &civil.year, &civil.month, &civil.day);
    return civil;
}

Civil moment_local(Moment m)
{
    return moment_civil(m, moment_local_zone(m));
}

int moment_of_local_ms(int64_t local_ms, Moment found[2])
{
    /* Every offset that can hold for this reading is in force within a day before or after. That
     * stretch is looked at in steps of half a day, as some clocks have been changed forth and back
     * within days; each offset is tried, and stands if it holds at the moment that it leads to.
     * mktime would pick one of two silently, and differently between C libraries. */
    enum { LOOKS = 5 };
    int zones[LOOKS] = {0};
    int tried = 0;
    for (int look = 0; look < LOOKS; look++) {
        int zone = moment_local_zone((Moment){local_ms + (look - LOOKS / 2) * (MS_PER_DAY / 2)});
        bool known = false;
        for (int k = 0; k < tried; k++)
            known = known || zones[k] == zone;
        if (!known)
            zones[tried++] = zone;
    }
    int count = 0;
    for (int i = 0; i < tried; i++) {
        Moment m = {local_ms - zones[i] * MS_PER_MINUTE};
        if (moment_local_zone(m) != zones[i])
            continue;
        if (count < 2)
            found[count++] = m;
    }
    if (count == 2 && found[0].ms > found[1].ms) {
        Moment later = found[0];
        found[0] = found[1];
        found[1] = later;
    }
    return count;
}

Moment moment_of_local_day(int64_t day_number)
{
    int64_t midnight = day_number * MS_PER_DAY;
    Moment found[2];
    if (moment_of_local_ms(midnight, found) > 0)
        return found[0];
    /* Clocks went forward over midnight. Where they jumped is looked for, as the gap may have begun
     * before midnight: the last moment of the day before and the first behind it are closed in on.
     */
    int64_t before = midnight - 2 * MS_PER_DAY;
    int64_t behind = midnight + 2 * MS_PER_DAY;
    while (behind - before > 1) {
        int64_t middle = before + (behind - before) / 2;
        if (moment_local_day((Moment){middle}) >= day_number)
            behind = middle;
        else
            before = middle;
    }
    return (Moment){behind};
}

/* ---- printing ---- */

static const char weekday_names[7][4] = {"Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"};
static const char month_names[12][4] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                        "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};

static char *two_digits(char *p, int value)
{
    *p++ = (char)('0' + value / 10 % 10);
    *p++ = (char)('0' + value % 10);
    return p;
}

static char *digits(char *p, int value, int least)
{
    char backwards[12];
    int n = 0;
    unsigned left = value < 0 ? 0U - (unsigned)value : (unsigned)value;
    for (; left > 0 || n < least; left /= 10)
        backwards[n++] = (char)('0' + left % 10);
    if (value < 0)
        *p++ = '-';
    while (n > 0)
        *p++ = backwards[--n];
    return p;
}

static char *word(char *p, const char *letters)
{
    while (*letters != '\0')
        *p++ = *letters++;
    return p;
}

/* "2026-11-24T18:30:00[.250]" */
static char *print_reading(const Civil *c, char *p)
{
    p = c->year >= 0 && c->year <= 9999 ? two_digits(two_digits(p, c->year / 100), c->year % 100)
                                        : digits(p, c->year, 4);
    *p++ = '-';
    p = two_digits(p, c->month);
    *p++ = '-';
    p = two_digits(p, c->day);
    *p++ = 'T';
    p = two_digits(p, c->hour);
    *p++ = ':';
    p = two_digits(p, c->minute);
    *p++ = ':';
    p = two_digits(p, c->second);
    if (c->milli != 0) {
        *p++ = '.';
        *p++ = (char)('0' + c->milli / 100);
        p = two_digits(p, c->milli % 100);
    }
    return p;
}

static char *print_unknown(char *out)
{
    out[0] = '-';
    out[1] = '\0';
    return out;
}

char *moment_print_utc(Moment m, char *out)
{
    if (!moment_known(m))
        return print_unknown(out);
    Civil c = moment_civil(m, 0);
    char *p = print_reading(&c, out);
    *p++ = 'Z';
    *p = '\0';
    return out;
}

char *moment_put_zone(Moment m, int zone, char *p)
{
    if (!moment_known(m))
        return print_unknown(p) + 1;
    Civil c = moment_civil(m, zone);
    p = print_reading(&c, p);
    int minutes = zone < 0 ? -zone : zone;
    *p++ = zone < 0 ? '-' : '+';
    p = two_digits(p, minutes / 60);
    *p++ = ':';
    p = two_digits(p, minutes % 60);
    *p = '\0';
    return p;
}

char *moment_print_zone(Moment m, int zone, char *out)
{
    moment_put_zone(m, zone, out);
    return out;
}

/* "Tue 24 Nov[ 2025]" */
static char *print_day(const Civil *c, Moment now, char *p)
{
    p = word(p, weekday_names[c->weekday]);
    *p++ = ' ';
    p = digits(p, c->day, 1);
    *p++ = ' ';
    p = word(p, month_names[c->month - 1]);
    if (c->year != moment_local(now).year) {
        *p++ = ' ';
        p = digits(p, c->year, 1);
    }
    return p;
}

char *moment_print_local(Moment m, Moment now, char *out)
{
    if (!moment_known(m))
        return print_unknown(out);
    Civil c = moment_local(m);
    char *p = print_day(&c, now, out);
    *p++ = ' ';
    p = two_digits(p, c.hour);
    *p++ = ':';
    p = two_digits(p, c.minute);
    *p = '\0';
    return out;
}

char *moment_print_date(Moment m, Moment now, char *out)
{
    if (!moment_known(m))
        return print_unknown(out);
    Civil c = moment_local(m);
    *print_day(&c, now, out) = '\0';
    return out;
}

char *moment_print_day(Moment m, Moment now, char *out)
{
    if (!moment_known(m))
        return print_unknown(out);
    const Civil c = moment_local(m);
    char *p = digits(out, c.day, 1);
    *p++ = ' ';
    p = word(p, month_names[c.month - 1]);
    if (c.year != moment_local(now).year) {
        *p++ = ' ';
        p = two_digits(p, c.year % 100);
    }
    *p = '\0';
    return out;
}

char *moment_print_distance(Moment m, Moment now, char *out)
{
    const long long days = (long long)(moment_local_day(m) - moment_local_day(now));
    if (days >= -1 && days <= 1)
        snprintf(out, 40, "%s", days == 0 ? "today" : days > 0 ? "tomorrow" : "yesterday");
    else if (days > 0)
        snprintf(out, 40, "in %lld days", days);
    else
        snprintf(out, 40, "%lld days ago", -days);
    return out;
}

double moment_days(Moment from, Moment to)
{
    return to.ms > from.ms ? (double)(to.ms - from.ms) / (double)MS_PER_DAY : 0;
}
