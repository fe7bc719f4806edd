/* main.c - the program: the commands, and the board that opens where none is given. */
#include "cli/cli.h"
#include "paint/glyph.h"
#include "screens/screens.h"
#include "tui/loop.h"

#include <langinfo.h>
#include <locale.h>
#include <string.h>

enum { DEMO_AFTER_MINUTES = 20 };

/* The demo's story ends on a day of its own: its clock stands a little after the last entry, so
 * that it looks the same in any year. */
static bool demo_shift(Session *session, int64_t *shift_ms, Fault *fault)
{
    const State *state = log_state_lent(session->log, NULL, NULL, fault);
    if (state != NULL && state->folded > 0)
        *shift_ms = state->last_at + DEMO_AFTER_MINUTES * MS_PER_MINUTE - session->now.ms;
    return state != NULL;
}

static bool board_open(Session *session, Fault *fault)
{
    const bool demo = session->command != NULL; /* `ullage demo`; `ullage` alone has no command */
    int64_t shift_ms = 0;
    if (session->log == NULL && !session_open(session, LOG_WRITE, fault))
        return false;
    if (demo && !demo_shift(session, &shift_ms, fault))
        return false;
    setlocale(LC_CTYPE, ""); /* widths and the alphabet; numbers and names stay those of C */
    if (session->looks.alphabet == ALPHABET_UTF8 && strcmp(nl_langinfo(CODESET), "UTF-8") != 0)
        setlocale(LC_CTYPE, "C.UTF-8"); /* it was asked for */
    const TuiOptions options = {.scheme = session->looks.theme,
                                .alphabet = session->looks.alphabet,
                                .mouse = session->looks.mouse > 0,
                                .far = session->looks.far,
                                .night_begins = session->looks.night_begins,
                                .night_ends = session->looks.night_ends,
                                .units = session->units,
                                .demo = demo,
                                .shift_ms = shift_ms};
    session->board = true;
    return tui_run_on(session->log, &SCREENS, &options, &session->status, fault);
}

int main(int argc, char **argv)
{
    return cli_run(argc, argv, board_open);
}
