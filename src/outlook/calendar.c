#include "outlook/calendar.h"

#include "outlook/service.h"

#include <stdio.h>
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

static void moment_tell(Moment m, Str *out)
{
    const Civil c = moment_civil(m, 0);
    str_addf(out, "%04d%02d%02dT%02d%02d%02dZ", c.year, c.month, c.day, c.hour, c.minute, c.second);
}

static void property_utc(const char *name, Moment m, Str *out)
{
    Str line = {0};
    moment_tell(m, &line);
    property(name, line.s, out);
    str_finish(&line);
}

/* "DTSTART;VALUE=DATE:20261201", or the moment in UTC. */
static void when_tell(const char *name, Moment m, bool timed, Str *out)
{
    const Civil c = moment_local(m);
    if (timed) {
        str_addf(out, "%s:", name);
        moment_tell(m, out);
    } else {
        str_addf(out, "%s;VALUE=DATE:%04d%02d%02d", name, c.year, c.month, c.day);
    }
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

/* What was put off rings on its day only; water and a spare, which come at shorter notice, too. A
 * ring that would be in the past is left out: phones ring it at once. */
static void alarms_print(const Board *board, const DueItem *item, bool todo, const Str *summary,
                         Str *out)
{
    const bool timed = is_timed(item);
    const Moment at = moment_known(item->at) ? item->at : board->now;
    const Moment rings =
        timed ? at : (Moment){service_date(at, 0).ms + CALENDAR_RING_HOUR * MS_PER_HOUR};
    const long long lead = (long long)board->lead_days;
    const bool ahead = (item->care == CARE_SWAP || item->care == CARE_SANITISE) &&
                       !moment_known(item->put_off) && rings.ms - lead * MS_PER_DAY > board->now.ms;
    Str trigger = {0};
    str_addf(&trigger, timed ? "-P%lldD" : "-P%lldDT%dH", timed ? lead : lead - 1,
             24 - CALENDAR_RING_HOUR);
    if (ahead)
        alarm_print(trigger.s, todo, summary, out);
    _Static_assert(CALENDAR_RING_HOUR == 9, "the trigger below");
    if (rings.ms > board->now.ms)
        alarm_print(timed ? "PT0S" : "PT9H", todo, summary, out);
    str_finish(&trigger);
}

/* ---- what was told before ---- */

static CalendarTold *told_of(CalendarMemory *memory, const Uuid *id, CalendarAs as)
{
    for (int i = 0; i < memory->count; i++)
        if (memory->told[i].as == as && uuid_compare(&memory->told[i].id, id) == 0)
            return &memory->told[i];
    return NULL;
}

/* A place for one more: that of one which is over, where all are taken. */
static CalendarTold *told_room(CalendarMemory *memory)
{
    if (memory->count < CALENDAR_TOLD_MAX)
        return &memory->told[memory->count++];
    for (int i = 0; i < memory->count; i++)
        if (memory->told[i].cancelled)
            return &memory->told[i];
    return &memory->told[0];
}

/* What is said of an item now. */
typedef struct {
    Uuid id;
    CalendarAs as;
    Str when, summary, why;
} Saying;

static uint64_t content_hash(const Saying *s)
{
    uint64_t h = UINT64_C(14695981039346656037);
    const char *const parts[] = {s->when.s, s->summary.s, s->why.s};
    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++)
        for (const char *c = parts[i]; *c != '\0'; c++)
            h = (h ^ (unsigned char)*c) * UINT64_C(1099511628211);
    return h;
}

/* Brings what is known of an item up to date with what is said of it now. */
static const CalendarTold *told_now(CalendarMemory *memory, const Saying *s, Moment now)
{
    const uint64_t content = content_hash(s);
    CalendarTold *told = told_of(memory, &s->id, s->as);
    if (told != NULL && told->content == content && !told->cancelled)
        return told;
    memory->changed = true;
    if (told == NULL) {
        told = told_room(memory);
        *told = (CalendarTold){.id = s->id, .as = s->as, .sequence = -1};
    }
    if (told->cancelled || strcmp(told->when, s->when.s) != 0)
        told->sequence++;
    told->cancelled = false;
    told->changed = now;
    told->content = content;
    snprintf(told->when, sizeof told->when, "%s", s->when.s);
    snprintf(told->summary, sizeof told->summary, "%s", s->summary.s);
    return told;
}

void calendar_keep(const CalendarMemory *memory, Str *out)
{
    char id[40];
    str_addf(out, "%s\n", memory->log);
    for (int i = 0; i < memory->count; i++) {
        const CalendarTold *told = &memory->told[i];
        str_addf(out, "%s %d %d %lld %llx %d %s\t%s\n", uuid_print(&told->id, id), (int)told->as,
                 told->sequence, (long long)told->changed.ms, (unsigned long long)told->content,
                 told->cancelled, told->when, told->summary);
    }
}

static bool told_read(Text line, CalendarTold *told)
{
    char id[40] = "", when[CALENDAR_WHEN] = "";
    const Text head = text_cut(&line, '\t');
    int as = 0, cancelled = 0, sequence = 0;
    long long changed = 0;
    unsigned long long content = 0;
    char text[200];
    Fault ignored = {0};
    snprintf(text, sizeof text, "%.*s", (int)head.n, head.s);
    if (sscanf(text, "%39s %d %d %lld %llx %d %47s", id, &as, &sequence, &changed, &content,
               &cancelled, when) != 7)
        return false;
    *told = (CalendarTold){.as = as == CALENDAR_TODO ? CALENDAR_TODO : CALENDAR_EVENT,
                           .sequence = sequence,
                           .changed = {changed},
                           .content = content,
                           .cancelled = cancelled != 0};
    snprintf(told->when, sizeof told->when, "%s", when);
    snprintf(told->summary, sizeof told->summary, "%.*s", (int)line.n, line.s);
    return uuid_parse(text_of(id), &told->id, &ignored) && sequence >= 0 &&
           (strncmp(when, "DTSTART", 7) == 0 || strncmp(when, "DUE", 3) == 0);
}

void calendar_remember(Text kept, CalendarMemory *memory)
{
    const Text log = text_cut(&kept, '\n');
    *memory = (CalendarMemory){.count = 0};
    snprintf(memory->log, sizeof memory->log, "%.*s", (int)log.n, log.s);
    while (kept.n > 0 && memory->count < CALENDAR_TOLD_MAX)
        memory->count += told_read(text_cut(&kept, '\n'), &memory->told[memory->count]);
}

/* ---- components ---- */

/* What stands in one whatever its state. */
static void head_print(const CalendarTold *told, const char *status, const char *log, Str *out)
{
    char id[40];
    Str uid = {0};
    str_addf(&uid, "%s%s%s", uuid_print(&told->id, id), log[0] != '\0' ? "@" : "", log);
    property("BEGIN", told->as == CALENDAR_TODO ? "VTODO" : "VEVENT", out);
    property("UID", uid.s, out);
    property_utc("DTSTAMP", told->changed, out);
    property_utc("LAST-MODIFIED", told->changed, out);
    str_clear(&uid);
    str_addf(&uid, "%d", told->sequence);
    property("SEQUENCE", uid.s, out);
    property("STATUS", status, out);
    calendar_line(text_of(told->when), out);
    str_finish(&uid);
}

static void item_print(const Board *board, const DueItem *item, CalendarAs as,
                       CalendarMemory *memory, Str *out)
{
    const bool todo = as == CALENDAR_TODO, timed = is_timed(item);
    const Moment at = moment_known(item->at) ? item->at : board->now;
    Saying said = {.id = calendar_uid(item->care, &item->about), .as = as};
    say_summary(item, &said.summary);
    str_adds(&said.why, item->why);
    when_tell(todo ? "DUE" : "DTSTART", at, timed, &said.when);
    head_print(told_now(memory, &said, board->now), todo ? "NEEDS-ACTION" : "CONFIRMED",
               memory->log, out);
    property_text("SUMMARY", &said.summary, out);
    property_text("DESCRIPTION", &said.why, out);
    if (!todo)
        property("TRANSP", "TRANSPARENT", out); /* it takes no time of the day */
    alarms_print(board, item, todo, &said.summary, out);
    property("END", todo ? "VTODO" : "VEVENT", out);
    str_finish(&said.summary);
    str_finish(&said.why);
    str_finish(&said.when);
}

/* What was told and is due no more: said once. Returns whether it was. */
static bool cancelled_print(CalendarTold *told, const CalendarItems *due, Moment now,
                            const char *log, Str *out)
{
    for (int i = 0; i < due->all_count; i++) {
        const Uuid id = calendar_uid(due->all[i].care, &due->all[i].about);
        if (uuid_compare(&id, &told->id) == 0)
            return false;
    }
    told->cancelled = true;
    told->sequence++;
    told->changed = now;
    head_print(told, "CANCELLED", log, out);
    Str summary = {0};
    str_adds(&summary, told->summary);
    property_text("SUMMARY", &summary, out);
    property("END", told->as == CALENDAR_TODO ? "VTODO" : "VEVENT", out);
    str_finish(&summary);
    return true;
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

void calendar_print(const Board *board, const CalendarItems *due, CalendarAs as,
                    CalendarMemory *memory, Str *out)
{
    int printed = due->count;
    property("BEGIN", "VCALENDAR", out);
    property("VERSION", "2.0", out);
    property("PRODID", "-//ullage//due//EN", out);
    for (int i = 0; i < due->count; i++)
        item_print(board, &due->items[i], as, memory, out);
    for (int i = 0; i < memory->count; i++) {
        CalendarTold *told = &memory->told[i];
        if (told->as == as && !told->cancelled &&
            cancelled_print(told, due, board->now, memory->log, out)) {
            memory->changed = true;
            printed++;
        }
    }
    if (printed == 0)
        zone_print(out);
    property("END", "VCALENDAR", out);
}
