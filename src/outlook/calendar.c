#include "outlook/calendar.h"

#include "outlook/service.h"

#include <string.h>

/* A byte that continues a UTF-8 sequence. */
static bool continues(char c)
{
    return ((unsigned char)c & 0xc0u) == 0x80u;
}

void calendar_line(Text line, Str *out)
{
    size_t room = CALENDAR_OCTETS;
    while (line.n > room) {
        size_t cut = room;
        while (cut > 0 && continues(line.s[cut]))
            cut--;
        if (cut == 0)
            cut = room; /* no UTF-8: nothing that could be kept whole */
        str_add(out, text_slice(line.s, cut));
        str_adds(out, "\r\n ");
        line = text_slice(line.s + cut, line.n - cut);
        room = CALENDAR_OCTETS - 1; /* the space that goes before counts */
    }
    str_add(out, line);
    str_adds(out, "\r\n");
}

void calendar_escape(Text text, Str *out)
{
    for (size_t i = 0; i < text.n; i++) {
        const char c = text.s[i];
        if (c == '\n')
            str_adds(out, "\\n");
        else if ((unsigned char)c < 0x20 && c != '\t')
            continue;
        else if (c == '\\' || c == ';' || c == ',') {
            str_addc(out, '\\');
            str_addc(out, c);
        } else if (c != 0x7f)
            str_addc(out, c);
    }
}

/* FNV-1a (Fowler, Noll, Vo), from a basis of one's own. */
static uint64_t hash(uint64_t basis, Care care, const Label *about)
{
    uint64_t h = (basis ^ (uint64_t)care) * UINT64_C(1099511628211);
    for (size_t i = 0; i < sizeof about->s && about->s[i] != '\0'; i++)
        h = (h ^ (unsigned char)about->s[i]) * UINT64_C(1099511628211);
    /* the finaliser of splitmix64 (Steele, Lea, Flood, OOPSLA 2014): short labels differ in every
     * bit */
    h = (h ^ h >> 30) * UINT64_C(0xbf58476d1ce4e5b9);
    h = (h ^ h >> 27) * UINT64_C(0x94d049bb133111eb);
    return h ^ h >> 31;
}

Uuid calendar_uid(Care care, const Label *about)
{
    /* Permanent: these numbers stand in people's calendars. */
    const uint64_t halves[2] = {hash(UINT64_C(14695981039346656037), care, about),
                                hash(UINT64_C(0x756c6c616765), care, about)};
    Uuid id;
    for (int i = 0; i < 16; i++)
        id.b[i] = (uint8_t)(halves[i / 8] >> (56 - 8 * (i % 8)));
    id.b[6] = (uint8_t)((id.b[6] & 0x0fu) | 0x80u); /* version 8 */
    id.b[8] = (uint8_t)((id.b[8] & 0x3fu) | 0x80u); /* variant of RFC 9562 */
    return id;
}

/* ---- one component ---- */

static void property(const char *name, const char *value, Str *out)
{
    Str line = {0};
    str_addf(&line, "%s:%s", name, value);
    calendar_line(text_slice(line.s, line.n), out);
    str_finish(&line);
}

static void property_text(const char *name, const Str *text, Str *out)
{
    Str line = {0};
    str_addf(&line, "%s:", name);
    calendar_escape(text_slice(text->s, text->n), &line);
    calendar_line(text_slice(line.s, line.n), out);
    str_finish(&line);
}

static void property_utc(const char *name, Moment m, Str *out)
{
    const Civil c = moment_civil(m, 0);
    Str line = {0};
    str_addf(&line, "%s:%04d%02d%02dT%02d%02d%02dZ", name, c.year, c.month, c.day, c.hour, c.minute,
             c.second);
    calendar_line(text_slice(line.s, line.n), out);
    str_finish(&line);
}

static void property_date(const char *name, Moment m, Str *out)
{
    const Civil c = moment_local(m);
    Str line = {0};
    str_addf(&line, "%s;VALUE=DATE:%04d%02d%02d", name, c.year, c.month, c.day);
    calendar_line(text_slice(line.s, line.n), out);
    str_finish(&line);
}

/* With the year, whatever year it is: a calendar is kept. */
static void say_when(const DueItem *item, Moment m, Str *out)
{
    char date[64];
    const Moment long_ago = {0};
    str_adds(out, item->day ? moment_print_date(m, long_ago, date)
                            : moment_print_local(m, long_ago, date));
}

static void say_summary(const DueItem *item, Str *out)
{
    const DueItem day = {.day = true};
    str_adds(out, item->what);
    if (moment_known(item->due)) {
        str_adds(out, ", due ");
        say_when(item, item->due, out);
    } else {
        str_adds(out, ", due without a date: look at it now");
    }
    if (moment_known(item->put_off)) {
        str_adds(out, ", put off to ");
        say_when(&day, item->put_off, out);
    }
}

/* Is the moment itself given, and not only its day? A reminder that was put off comes on a day. */
static bool is_timed(const DueItem *item)
{
    return !item->day && moment_known(item->at) && item->at.ms == item->due.ms;
}

static void alarm_print(const char *trigger, bool related_end, const Str *summary, Str *out)
{
    property("BEGIN", "VALARM", out);
    property("ACTION", "DISPLAY", out);
    property(related_end ? "TRIGGER;RELATED=END" : "TRIGGER", trigger, out);
    property_text("DESCRIPTION", summary, out);
    property("END", "VALARM", out);
}

static void item_print(const Board *board, const DueItem *item, CalendarAs as, Str *out)
{
    const bool todo = as == CALENDAR_TODO, timed = is_timed(item);
    const char *component = todo ? "VTODO" : "VEVENT", *when = todo ? "DUE" : "DTSTART";
    const Moment at = moment_known(item->at) ? item->at : board->now;
    const Uuid uid = calendar_uid(item->care, &item->about);
    char id[40];
    Str summary = {0}, why = {0};
    say_summary(item, &summary);
    str_adds(&why, item->why);
    property("BEGIN", component, out);
    property("UID", uuid_print(&uid, id), out);
    property_utc("DTSTAMP", board->now, out);
    if (timed)
        property_utc(when, at, out);
    else
        property_date(when, at, out);
    property_text("SUMMARY", &summary, out);
    property_text("DESCRIPTION", &why, out);
    if (todo)
        property("STATUS", "NEEDS-ACTION", out);
    else
        property("TRANSP", "TRANSPARENT", out); /* it takes no time of the day */
    _Static_assert(SERVICE_LEAD_DAYS == 14 && CALENDAR_RING_HOUR == 9, "the triggers below");
    if (item->care != CARE_WATER)
        alarm_print(timed ? "-P14D" : "-P13DT15H", todo, &summary, out);
    alarm_print(timed ? "PT0S" : "PT9H", todo, &summary, out);
    property("END", component, out);
    str_finish(&summary);
    str_finish(&why);
}

static void zone_print(Str *out)
{
    property("BEGIN", "VTIMEZONE", out);
    property("TZID", "Etc/UTC", out);
    property("BEGIN", "STANDARD", out);
    property("DTSTART", "19700101T000000", out);
    property("TZOFFSETFROM", "+0000", out);
    property("TZOFFSETTO", "+0000", out);
    property("END", "STANDARD", out);
    property("END", "VTIMEZONE", out);
}

void calendar_print(const Board *board, const DueItem *items, int count, CalendarAs as, Str *out)
{
    property("BEGIN", "VCALENDAR", out);
    property("VERSION", "2.0", out);
    property("PRODID", "-//ullage//due//EN", out);
    if (count == 0)
        zone_print(out);
    for (int i = 0; i < count; i++)
        item_print(board, &items[i], as, out);
    property("END", "VCALENDAR", out);
}
