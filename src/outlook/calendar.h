/* calendar.h - what is due as an iCalendar object (RFC 5545), for the phone. Pure: board in, text
 * out.
 *
 * One component for each thing that is due, soon or later, the planned stops not among them. Its
 * UID follows from what is due of which thing and from nothing else: a file taken in again moves
 * the date of what it brought before, and brings nothing twice. So two logs whose stages or vessels
 * have the same labels do not mix well in one calendar.
 */
#ifndef ULLAGE_OUTLOOK_CALENDAR_H
#define ULLAGE_OUTLOOK_CALENDAR_H

#include "outlook/board.h"

/* Octets of a content line without its CRLF (RFC 5545 section 3.1). */
enum { CALENDAR_OCTETS = 75 };

/* Hours of a day at which an alarm rings, local time where the calendar is. */
enum { CALENDAR_RING_HOUR = 9 };

typedef enum { CALENDAR_EVENT, CALENDAR_TODO } CalendarAs;

/* What a calendar was told before: a phone keeps an entry until it is told otherwise, and takes a
 * change only where the SEQUENCE is higher. */
enum { CALENDAR_TOLD_MAX = 2 * DUE_MAX, CALENDAR_WHEN = 48 };
typedef struct {
    Uuid id;
    CalendarAs as;
    int sequence;     /* raised with every other date or status */
    Moment changed;   /* DTSTAMP and LAST-MODIFIED */
    uint64_t content; /* a hash of all that was said */
    bool cancelled;
    char when[CALENDAR_WHEN]; /* the line that says when */
    char summary[BOARD_TEXT + 80];
} CalendarTold;
typedef struct {
    char log[40]; /* the log's own id, which stands in every UID; "": it has none */
    CalendarTold told[CALENDAR_TOLD_MAX];
    int count;
    bool changed; /* it is not what was read */
} CalendarMemory;
/* From and to the text that is kept between two calendars; what can't be read is forgotten. */
void calendar_remember(Text kept, CalendarMemory *memory);
void calendar_keep(const CalendarMemory *memory, Str *out);

/* The items of a calendar, and all that is due: of what was told and is due no more the calendar
 * says so once (STATUS:CANCELLED). */
typedef struct {
    const DueItem *items, *all;
    int count, all_count;
} CalendarItems;

/* The whole object, with CRLF after every line. DTSTAMP is that of the last change: RFC 5545,
 * section 3.8.7.2, for an object without a METHOD.
 *
 * Date: a local civil date (VALUE=DATE) where the thing is due on a day or by a forecast that is no
 * better than a day; UTC to the second where it is due at a time (a lamp that always burns, water
 * that goes stale). What has no date stands on the local day of `now`; what was put off stands
 * where it was put off to. As an event that is DTSTART, as a to-do DUE.
 *
 * Summary: what to do, and when it is due with the year (and put off to); description: why.
 *
 * Alarms: at 9:00 on the day (at the moment, where there is one), and Board.lead_days before,
 * except for water, which keeps only some weeks, for a spare, and for what was put off. None in the
 * past.
 *
 * Where there is nothing the object holds the time zone UTC and no more: an iCalendar object
 * without any component is not allowed (section 3.4). Appends. */
void calendar_print(const Board *board, const CalendarItems *due, CalendarAs as,
                    CalendarMemory *memory, Str *out);

/* The UID of what is due of a thing, before the @ and the log's own id: a UUID of version 8 (RFC
 * 9562 section 5.8) of a hash of both.
 */
Uuid calendar_uid(Care care, const Label *about);

/* One content line, folded to CALENDAR_OCTETS octets, never inside a UTF-8 sequence, ended by CRLF.
 * Appends. */
void calendar_line(Text line, Str *out);
/* Text as a value of type TEXT (section 3.3.11): backslash, semicolon and comma get a backslash, a
 * line break (LF or CRLF) is "\n"; other control characters but the tab are left out. Appends. */
void calendar_escape(Text text, Str *out);

#endif
