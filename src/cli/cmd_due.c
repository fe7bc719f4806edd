/* cmd_due.c - what is due: a table, JSON, an exit status for a timer, a calendar for the phone. */
#include "cli/command.h"

#include "base/json_out.h"
#include "base/memory.h"
#include "cli/print.h"
#include "outlook/calendar.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/random.h>

enum { OPTION_WITHIN = OPTION_OWN, OPTION_CHECK, OPTION_ICAL, OPTION_AS };

/* What was asked for. */
typedef struct {
    int64_t within; /* days; -1: no window */
    bool check, ical;
    CalendarAs as;
} Asked;

static bool days_parse(const char *text, int64_t *days, Fault *fault)
{
    char *end = NULL;
    errno = 0;
    const long value = strtol(text, &end, 10);
    if (*text < '0' || *text > '9' || *end != '\0' || errno != 0 || value > 36500)
        return fault_set(fault, FAULT_USAGE, "--within %s: give whole days, from 0 to 36500.",
                         text_quote(text_of(text)).s);
    *days = value;
    return true;
}

static bool asked_read(const Session *session, Asked *asked, Fault *fault)
{
    const Given *within = arguments_get(&session->arguments, OPTION_WITHIN);
    const Given *as = arguments_get(&session->arguments, OPTION_AS);
    *asked = (Asked){.within = -1,
                     .check = arguments_get(&session->arguments, OPTION_CHECK) != NULL,
                     .ical = arguments_get(&session->arguments, OPTION_ICAL) != NULL};
    if (within != NULL && !days_parse(within->value, &asked->within, fault))
        return false;
    if (asked->ical && session->json)
        return fault_set(fault, FAULT_USAGE, "--ical and --json are two formats: give one.");
    if (as == NULL)
        return true;
    if (!asked->ical)
        return fault_set(fault, FAULT_USAGE, "--as goes with --ical: give both.");
    if (text_is(text_of(as->value), "todo"))
        asked->as = CALENDAR_TODO;
    else if (!text_is(text_of(as->value), "event"))
        return fault_set(fault, FAULT_USAGE, "--as %s: give event or todo.",
                         text_quote(text_of(as->value)).s);
    return true;
}

/* Is the item printed? --check prints what counts; without it what was put off stays in sight, in
 * the window of the day on which it is due by the log. */
static bool item_shown(const DueItem *item, const Asked *asked, Moment now)
{
    if (asked->check)
        return due_counts(item, now, asked->within);
    if (asked->within < 0 || due_counts(item, now, asked->within))
        return true;
    DueItem as_due = *item;
    as_due.at = item->due;
    return due_counts(&as_due, now, asked->within);
}

/* ---- the formats ---- */

static void due_json(const DueItem *items, int count, Moment now, Str *out)
{
    json_open(out, NULL, '{');
    json_moment(out, "at", now);
    json_open(out, "due", '[');
    for (int i = 0; i < count; i++) {
        json_open(out, NULL, '{');
        json_label(out, "about", &items[i].about);
        json_text(out, "state", service_state_name(items[i].state));
        json_moment(out, "due_at", items[i].due);
        json_text(out, "what", items[i].what);
        json_text(out, "why", items[i].why);
        json_moment(out, "put_off_to", items[i].put_off);
        str_addc(out, '}');
    }
    str_adds(out, "]}\n");
}

static const char *state_words(const DueItem *item)
{
    if (moment_known(item->put_off))
        return "put off";
    return item->state == SERVICE_DUE ? "DUE" : service_state_name(item->state);
}

static void due_row(const DueItem *item, Moment now, Table *t)
{
    char date[64];
    Str away = {0};
    str_adds(&away, "");
    table_cell(t, state_words(item));
    if (moment_known(item->at)) {
        table_cell(t, moment_print_date(item->at, now, date));
        print_distance(&away, item->at, now);
    } else {
        table_cell(t, item->state == SERVICE_OK ? "not at this rate" : "no date");
    }
    table_cell(t, away.s);
    table_cell(t, item->what);
    table_cell(t, item->why);
    table_row(t);
    str_finish(&away);
}

static void due_text(const DueItem *items, int count, Moment now, Str *out)
{
    Table t = {0};
    static const char *const head[] = {"STATE", "WHEN", "", "WHAT", "WHY"};
    if (count == 0)
        return;
    for (size_t i = 0; i < sizeof head / sizeof head[0]; i++)
        table_cell(&t, head[i]);
    table_row(&t);
    for (int i = 0; i < count; i++)
        due_row(&items[i], now, &t);
    table_print(&t, "", out);
    table_finish(&t);
}

static void due_print(const Session *session, const Board *board, const Asked *asked,
                      const DueItem *items, int count, Str *out)
{
    if (session->json)
        due_json(items, count, board->now, out);
    else if (count > 0 || asked->check)
        due_text(items, count, board->now, out);
    else
        str_adds(out, asked->within >= 0
                          ? "Nothing is due in that time.\n"
                          : "Nothing with a date: no stage, no vessel to sanitise, no water that "
                            "ages.\n");
}

/* A log's own id: of random bits, made when its first calendar is. */
static void log_id(const Session *session, char out[40])
{
    uint8_t random[10];
    if (getrandom(random, sizeof random, 0) != (ssize_t)sizeof random)
        return;
    const Uuid id = uuid_v7(session->now, random);
    uuid_print(&id, out);
}

/* The calendar, and what it told; where the log can't be written to, nothing is remembered. */
static bool calendar_run(Session *session, const Board *board, const CalendarItems *due,
                         CalendarAs as, Fault *fault)
{
    CalendarMemory *memory = memory_get(sizeof *memory);
    Str kept = {0}, out = {0};
    Fault ignored = {0};
    bool good = log_calendar(session->log, &kept, fault);
    calendar_remember(text_of(kept.s), memory);
    Log *log = arguments_get(&session->arguments, OPTION_AT) == NULL
                   ? log_open(session->path.s, LOG_WRITE, &ignored)
                   : NULL;
    if (log != NULL && memory->log[0] == '\0')
        log_id(session, memory->log);
    if (good) {
        print_as_is();
        calendar_print(board, due, as, memory, &out);
        good = print_out(&out, false, fault);
    }
    str_clear(&kept);
    calendar_keep(memory, &kept);
    if (good && log != NULL && memory->changed)
        (void)log_set_calendar(log, kept.s, &ignored);
    if (log != NULL)
        log_close(log);
    str_finish(&kept);
    str_finish(&out);
    free(memory);
    return good;
}

static bool run_due(Session *session, Fault *fault)
{
    Asked asked;
    if (!asked_read(session, &asked, fault))
        return false;
    Board *board = session_board(session, fault);
    if (board == NULL)
        return false;
    session_unread_tell(board);
    DueItem *items = memory_resize(NULL, (BOARD_ALERTS_MAX + DUE_MAX + STAGES_MAX) * sizeof *items);
    DueItem *due = memory_resize(NULL, DUE_MAX * sizeof *due);
    const int all = board_due(board, due);
    int count = asked.ical ? 0 : board_looks(board, items);
    if (asked.check && count > 0)
        session->status = STATUS_DUE;
    for (int i = 0; i < all; i++) {
        if (asked.check && due_counts(&due[i], board->now, asked.within))
            session->status = STATUS_DUE;
        if (item_shown(&due[i], &asked, board->now))
            items[count++] = due[i];
    }
    if (!asked.check && !asked.ical && asked.within < 0) /* the whole list: also what has no date */
        count += board_undated(board, items + count);
    Str out = {0};
    str_adds(&out, "");
    const CalendarItems calendar = {items, due, count, all};
    bool good = false;
    if (asked.ical) {
        good = calendar_run(session, board, &calendar, asked.as, fault);
    } else {
        due_print(session, board, &asked, items, count, &out);
        good = print_out(&out, false, fault);
    }
    str_finish(&out);
    free(due);
    free(items);
    free(board);
    return good;
}

static const Option due_options[] = {
    {"within", 0, TAKES_VALUE, "DAYS",
     "only what is due now or falls due within so many days (0: today)", OPTION_WITHIN},
    {"check", 0, TAKES_NOTHING, NULL,
     "print only what is due now (with --within: what falls due in that time), and exit with 4 "
     "where there is any; frost, a leak, chlorine out of its bounds and low water count as due "
     "now; what was put off does not count before its time",
     OPTION_CHECK},
    {"ical", 0, TAKES_NOTHING, NULL, "print a calendar (RFC 5545) with an alarm for each",
     OPTION_ICAL},
    {"as", 0, TAKES_VALUE, "event|todo", "with --ical: event (left out), or todo", OPTION_AS},
    {"at", 0, TAKES_VALUE, "TIME", "as it stood, or will stand, at that time", OPTION_AT},
};

const Command command_due = {
    .name = "due",
    .gist = "What is due, soonest first: cartridges, lamps, sanitising, water that ages",
    .words = "",
    .more = "For a login message or a timer, and for the phone:\n"
            "  ullage due --check --within 3 || echo 'something is due'\n"
            "  ullage due --ical > water.ics\n"
            "'ullage putoff' puts a reminder off; what is due stays in this list.",
    .options = due_options,
    .option_count = 5,
    .run = run_due};
