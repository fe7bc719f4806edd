/* main.c - the program: the commands, and the board that opens where none is given. */
#include "cli/command.h"
#include "tui/loop.h"

#include <locale.h>

static bool board_open(Session *session, Fault *fault)
{
    const bool demo = session->command != NULL; /* `ullage demo`; `ullage` alone has no command */
    if (session->log == NULL && !session_open(session, LOG_WRITE, fault))
        return false;
    const TuiOptions options = {
        .scheme = -1, .alphabet = -1, .units = session->units, .demo = demo};
    return tui_run_on(session->log, &options, &session->status, fault);
}

int main(int argc, char **argv)
{
    setlocale(LC_CTYPE, ""); /* widths and the alphabet; numbers and names stay those of C */
    return cli_run(argc, argv, board_open);
}
