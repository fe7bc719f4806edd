/* cmd_status.c - the board as text or JSON; what is due. */
#include "cli/command.h"

#include "base/arena.h"
#include "cli/print.h"

#include <errno.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>

enum { OPTION_WITHIN = OPTION_OWN, OPTION_CHECK };

/* The board now, or at the time that --at names. The caller frees it. NULL with a Fault on failure.
 */
static Board *board_read(Session *session, Fault *fault)
{
    const Given *given = arguments_get(&session->arguments, OPTION_AT);
    Moment at = session->now;
    int zone = 0;
    if (given != NULL && !moment_parse(text_of(given->value), session->now, &at, &zone, fault))
        return NULL;
    if (!session_open(session, LOG_READ, fault))
        return NULL;
    State *state = memory_get(sizeof *state);
    Board *board = memory_get(sizeof *board);
    int64_t entries = 0;
    const bool good = given != NULL ? log_state_at(session->log, at, state, &entries, fault)
                                    : log_state(session->log, state, &entries, fault);
    if (good)
        board_make(board, state, entries, at);
    free(state);
    if (good)
        return board;
    free(board);
    return NULL;
}

static bool print_board(Session *session, void (*json)(Str *, const Board *, Units),
                        void (*text)(Str *, const Board *, Units, bool), Fault *fault)
{
    Board *board = board_read(session, fault);
    if (board == NULL)
        return false;
    Str out = {0};
    if (session->json) {
        json(&out, board, session->units);
        str_addc(&out, '\n');
    } else {
        text(&out, board, session->units, session->colour);
    }
    const bool good = print_out(&out, fault);
    str_finish(&out);
    free(board);
    return good;
}

static bool run_status(Session *session, Fault *fault)
{
    return print_board(session, json_status, text_status, fault);
}

static const Option at_options[] = {
    {"at", 0, TAKES_VALUE, "TIME", "the state at that time; left out: now", OPTION_AT},
};

const Command command_status = {
    .name = "status",
    .gist = "The board as plain text: what is left, what is safe to drink, what is due",
    .words = "",
    .more =
        "A class or a verdict is a record of what was logged, not a laboratory test. Supply and "
        "verdict follow from the log alone: what nobody logged, the program can't know.",
    .options = at_options,
    .option_count = 1,
    .run = run_status};

/* ---- due ---- */

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

static int64_t item_days(const DueItem *item, Moment now)
{
    if (item->state == SERVICE_DUE || !moment_known(item->at))
        return 0;
    return moment_local_day(item->at) - moment_local_day(now);
}

static void due_json(const DueItem *items, int count, Moment now, Str *out)
{
    str_addc(out, '{');
    json_key(out, "at", true);
    json_moment(out, now);
    json_key(out, "due", false);
    str_addc(out, '[');
    for (int i = 0; i < count; i++) {
        str_adds(out, i > 0 ? ",{" : "{");
        json_key(out, "about", true);
        json_label(out, &items[i].about);
        json_key(out, "state", false);
        json_text(out, service_state_name(items[i].state));
        json_key(out, "due_at", false);
        json_moment(out, items[i].at);
        json_key(out, "what", false);
        json_text(out, items[i].what);
        json_key(out, "why", false);
        json_text(out, items[i].why);
        str_addc(out, '}');
    }
    str_adds(out, "]}\n");
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
    for (int i = 0; i < count; i++) {
        char date[64];
        Str away = {0};
        str_adds(&away, "");
        table_cell(&t, items[i].state == SERVICE_DUE ? "DUE" : service_state_name(items[i].state));
        if (moment_known(items[i].at)) {
            table_cell(&t, moment_print_date(items[i].at, now, date));
            print_distance(&away, items[i].at, now);
        } else {
            table_cell(&t, items[i].state == SERVICE_OK ? "not at this rate" : "now");
        }
        table_cell(&t, away.s);
        table_cell(&t, items[i].what);
        table_cell(&t, items[i].why);
        table_row(&t);
        str_finish(&away);
    }
    table_print(&t, "", out);
    table_finish(&t);
}

static bool run_due(Session *session, Fault *fault)
{
    const Given *within = arguments_get(&session->arguments, OPTION_WITHIN);
    const bool check = arguments_get(&session->arguments, OPTION_CHECK) != NULL;
    int64_t days = -1; /* no window */
    if (within != NULL && !days_parse(within->value, &days, fault))
        return false;
    Board *board = board_read(session, fault);
    if (board == NULL)
        return false;
    DueItem *items = memory_get(DUE_MAX * sizeof *items);
    const int all = board_due(board, items);
    int count = 0;
    bool due = false;
    for (int i = 0; i < all; i++) {
        const bool in_window = days >= 0 ? item_days(&items[i], board->now) <= days
                                         : !check || items[i].state == SERVICE_DUE;
        if (!in_window)
            continue;
        due = due || items[i].state == SERVICE_DUE || days >= 0;
        items[count++] = items[i];
    }
    Str out = {0};
    if (session->json)
        due_json(items, count, board->now, &out);
    else if (count == 0 && !check)
        str_adds(&out, days >= 0 ? "Nothing is due in that time.\n"
                                 : "Nothing with a date: no stage, no vessel to sanitise, no "
                                   "water that ages.\n");
    else
        due_text(items, count, board->now, &out);
    if (check && due)
        session->status = STATUS_DUE;
    const bool good = print_out(&out, fault);
    str_finish(&out);
    free(items);
    free(board);
    return good;
}

static const Option due_options[] = {
    {"within", 0, TAKES_VALUE, "DAYS", "only what is due now or falls due within so many days",
     OPTION_WITHIN},
    {"check", 0, TAKES_NOTHING, NULL,
     "print only what is due (or falls in --within), and exit with 4 where there is any",
     OPTION_CHECK},
    {"at", 0, TAKES_VALUE, "TIME", "as it stood, or will stand, at that time", OPTION_AT},
};

const Command command_due = {
    .name = "due",
    .gist = "What is due, soonest first: cartridges, lamps, sanitising, water that ages",
    .words = "",
    .more = "For a login message or a timer:\n"
            "  ullage due --check || echo 'something is due'",
    .options = due_options,
    .option_count = 3,
    .run = run_due};
