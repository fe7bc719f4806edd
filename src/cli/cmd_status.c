/* cmd_status.c - the board as text or JSON. */
#include "cli/command.h"

#include "base/memory.h"
#include "cli/print.h"

#include <stdlib.h>

bool session_state(Session *session, State *state, Board *board, Moment *at, Fault *fault)
{
    const Given *given = arguments_get(&session->arguments, OPTION_AT);
    int64_t entries = 0;
    int zone = 0;
    *at = session->now;
    if (given != NULL && !moment_parse(text_of(given->value), session->now, at, &zone, fault))
        return false;
    if (!session_open(session, LOG_READ, fault) ||
        !(given != NULL ? log_state_at(session->log, *at, state, &entries, fault)
                        : log_state(session->log, state, &entries, fault)))
        return false;
    board_make(board, state, entries, *at);
    session->status = board->unread > 0 ? FAULT_LOG : STATUS_DONE;
    return true;
}

Board *session_board(Session *session, Fault *fault)
{
    State *state = memory_get(sizeof *state);
    Board *board = memory_get(sizeof *board);
    Moment at;
    const bool good = session_state(session, state, board, &at, fault);
    free(state);
    if (good)
        return board;
    free(board);
    return NULL;
}

static bool print_board(Session *session, void (*json)(Str *, const Board *, Units),
                        void (*text)(Str *, const Board *, Units, bool), Fault *fault)
{
    Board *board = session_board(session, fault);
    if (board == NULL)
        return false;
    Str out = {0};
    if (session->json) {
        json(&out, board, session->units);
        str_addc(&out, '\n');
    } else {
        text(&out, board, session->units, session->colour);
    }
    const bool good = print_out(&out, session->colour, fault);
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
