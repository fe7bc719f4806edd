#include "base/moment_words.h"

#include <stdio.h>
#include <string.h>

static const char *const weekdays[] = {"sunday",   "monday", "tuesday", "wednesday",
                                       "thursday", "friday", "saturday"};
static const char *const months[] = {"january",   "february", "march",    "april",
                                     "may",       "june",     "july",     "august",
                                     "september", "october",  "november", "december"};

/* Three letters of it at least; -1: none of them. */
static int word_of(Text text, const char *const *words, int count)
{
    for (int i = 0; i < count && text.n >= 3; i++)
        if (text_begins(text, words[i]))
            return i;
    return -1;
}

static bool number_take(Text *rest, int most, int *value)
{
    size_t n = 0;
    *value = 0;
    for (; n < rest->n && n < 4 && is_digit(rest->s[n]); n++)
        *value = *value * 10 + (rest->s[n] - '0');
    *rest = text_slice(rest->s + n, rest->n - n);
    return n > 0 && *value >= 1 && *value <= most;
}

/* "29.11." and "29.11.2026": day, month, and the year or 0. */
static bool dotted(Text text, int *day, int *month, int *year)
{
    *year = 0;
    if (!number_take(&text, 31, day) || text.n == 0 || text.s[0] != '.')
        return false;
    text = text_slice(text.s + 1, text.n - 1);
    if (!number_take(&text, 12, month) || text.n == 0 || text.s[0] != '.')
        return false;
    text = text_slice(text.s + 1, text.n - 1);
    return text.n == 0 || (number_take(&text, 9999, year) && *year >= 1000 && text.n == 0);
}

/* The day as this year has it, or the nearest year that does and lies on the side asked for. */
static bool day_of_year(int day, int month, Moment now, bool ahead, bool again, int64_t *number)
{
    const int64_t today = moment_local_day(now);
    const int step = ahead ? 1 : -1;
    int year = moment_local(now).year - step;
    for (int i = 0; i < 10; i++, year += step) {
        if (!civil_date_valid(year, month, day))
            continue;
        *number = civil_day_number(year, month, day);
        if (ahead ? *number < today + again : *number > today - again)
            continue;
        return true;
    }
    return false;
}

/* A day in words at the head of the text; *rest is what stands behind it. `again`: today is not
 * meant. */
static bool day_read(Text text, Moment now, bool ahead, bool again, int64_t *number, Text *rest)
{
    int day, month, year;
    *rest = text;
    Text first = text_cut(rest, ' ');
    const int weekday = word_of(first, weekdays, 7);
    if (weekday >= 0) {
        const int64_t today = moment_local_day(now);
        const int now_is = civil_weekday(today);
        int days = ahead ? (weekday - now_is + 7) % 7 : -((now_is - weekday + 7) % 7);
        if (days == 0 && again)
            days = ahead ? 7 : -7;
        *number = today + days;
        return true;
    }
    if (dotted(first, &day, &month, &year)) {
        if (year == 0)
            return day_of_year(day, month, now, ahead, again, number);
        *number = civil_date_valid(year, month, day) ? civil_day_number(year, month, day) : 0;
        return *number > 0;
    }
    Text word = first;
    if (!number_take(&word, 31, &day) || word.n > 0)
        return false;
    month = word_of(text_cut(rest, ' '), months, 12) + 1;
    return month > 0 && day_of_year(day, month, now, ahead, again, number);
}

bool moment_day_words(Text text, Moment now, bool ahead, bool again, char out[64])
{
    int64_t number;
    Text rest;
    int year, month, day;
    text = text_trim(text);
    if (text.n > 40 || !day_read(text, now, ahead, again, &number, &rest))
        return false;
    rest = text_trim(rest);
    civil_from_day(number, &year, &month, &day);
    snprintf(out, 64, "%04d-%02d-%02d%s%.*s", year, month, day, rest.n > 0 ? " " : "", (int)rest.n,
             rest.s);
    return true;
}
