/* cmd_status.c - the board as text or JSON. */
#include "cli/command.h"

#include "base/memory.h"
#include "cli/print.h"

#include <stdlib.h>

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
