/* moment.h - points in time and civil dates.
 *
 * A Moment is milliseconds since 1970-01-01T00:00:00Z (no leap seconds, as POSIX counts). Nothing
 * in this file asks the clock. Local time is the process's TZ (localtime_r); whoever changes TZ
 * calls tzset.
 */
#ifndef ULLAGE_BASE_MOMENT_H
#define ULLAGE_BASE_MOMENT_H

#include "base/fault.h"
#include "base/text.h"

#include <stdbool.h>
#include <stdint.h>

typedef struct {
    int64_t ms;
} Moment;

#define MOMENT_NONE_MS INT64_MIN
#define MOMENT_NONE ((Moment){MOMENT_NONE_MS})
#define MS_PER_SECOND INT64_C(1000)
#define MS_PER_MINUTE INT64_C(60000)
#define MS_PER_HOUR INT64_C(3600000)
#define MS_PER_DAY INT64_C(86400000)
/* The log accepts 1970-01-01T00:00:00Z up to the end of 9999. */
#define MOMENT_MIN_MS INT64_C(0)
#define MOMENT_MAX_MS INT64_C(253402300799999)

bool moment_known(Moment m); /* false for MOMENT_NONE only */
/* Negative, 0, positive; MOMENT_NONE is before all. */
int moment_compare(Moment a, Moment b);
/* The earlier of two, of which either may be MOMENT_NONE: never. */
Moment moment_sooner(Moment a, Moment b);

typedef struct {
    int year, month, day;            /* 1..9999, 1..12, 1..31 */
    int hour, minute, second, milli; /* 0..23, 0..59, 0..59, 0..999 */
    int zone;                        /* minutes east of UTC */
    int weekday;                     /* 0 = Sunday */
} Civil;

/* Proleptic Gregorian calendar. Day 0 is 1970-01-01. */
int64_t civil_day_number(int year, int month, int day);
void civil_from_day(int64_t day_number, int *year, int *month, int *day);
bool civil_date_valid(int year, int month, int day);
int civil_weekday(int64_t day_number);

/* The civil day (day number) of a moment at an offset, and at local time. */
int64_t moment_day(Moment m, int zone);
int64_t moment_local_day(Moment m);
/* Offset of local time from UTC at that moment, in minutes (seconds of old zones are cut). */
int moment_local_zone(Moment m);
Civil moment_civil(Moment m, int zone);
Civil moment_local(Moment m);
/* The first moment of a local civil day (after a gap at midnight: the first that exists; of a day
 * that was left out when a zone crossed the date line: the first of the next). */
Moment moment_of_local_day(int64_t day_number);
/* The moments at which local clocks show a time, given as the ms since 1970-01-01T00:00:00 on those
 * clocks: 0 (clocks went forward over it), 1, or 2 (clocks went back over it; earlier one first).
 */
int moment_of_local_ms(int64_t local_ms, Moment found[2]);

/* RFC 3339 date-time: "1996-12-19T16:39:57-08:00"; 't', 'z', a space for the T and any number of
 * fraction digits (beyond ms cut) are accepted; an offset is required; "-00:00" is UTC. A second of
 * 60 is taken where UTC then reads 23:59:60, as :59 of that minute (POSIX has no leap seconds).
 * Refused with a sentence: anything else, 31 February, hour 24, moments before 1970 or after 9999.
 */
bool moment_parse_rfc3339(Text text, Moment *m, int *zone, Fault *fault);

/* A time as a person types it: RFC 3339; "2026-11-24 18:30[:15]"; "2026-11-24" (noon that day);
 * "18:30" (the most recent 18:30 at or before `now`); "yesterday 18:30", "today 07:00", "tomorrow
 * 9:00"; "now"; "-2h", "-30m", "-3d", "+2d" (d = civil days at the same local time, m, h exact).
 * Local time where no offset is given; an optional offset ("18:30+01:00") is honoured. A local time
 * that does not exist (clocks go forward) or exists twice (clocks go back) is refused with a
 * sentence that gives the offsets to choose from; "HH:MM" alone takes the latest that is not after
 * `now`, and is refused where the clocks jumped over it on the day that it would be, and
 * with both days where it is up to two hours ahead ("22:15" at 22:13 is hardly yesterday's).
 * yesterday, today and tomorrow are local days. *zone receives the offset in force; `zone` may be
 * NULL, here and above. `now` must be known. */
bool moment_parse(Text text, Moment now, Moment *m, int *zone, Fault *fault);
/* The same for what has happened: today's date alone is `now` as long as noon is ahead; "fri
 * 18:30", "29.11. 18:30" and "29 nov" are the latest such. */
bool moment_parse_past(Text text, Moment now, Moment *m, int *zone, Fault *fault);

/* The same for what is planned: "HH:MM" alone is the next such time after `now`, and so are "fri
 * 12:00", "29.11." (at noon) and "29 nov". */
bool moment_parse_ahead(Text text, Moment now, Moment *m, int *zone, Fault *fault);

/* "2026-11-24T18:30:00Z" or with ".250" where ms are not 0; `out` of at least 40 bytes, here and
 * below. MOMENT_NONE is printed as "-" by all four. */
char *moment_print_utc(Moment m, char *out);
/* "2026-11-24T18:30:00+01:00". */
char *moment_print_zone(Moment m, int zone, char *out);
char *moment_put_zone(Moment m, int zone, char *out); /* the same; returns its end */
/* For people, local: "Tue 24 Nov 18:30"; with the year where it is not that of `now`: "Tue 24 Nov
 * 2025 18:30". Date alone: "Tue 24 Nov". English names whatever the locale. */
char *moment_print_local(Moment m, Moment now, char *out);
char *moment_print_date(Moment m, Moment now, char *out);
/* Where room is dear: "24 Nov", "24 Nov 25". */
char *moment_print_day(Moment m, Moment now, char *out);
/* By local civil days: "today", "tomorrow", "in 3 days", "2 days ago". Both must be known. */
char *moment_print_distance(Moment m, Moment now, char *out);
/* Days from one to the other; 0 where `to` is not after `from`. */
double moment_days(Moment from, Moment to);

#endif
