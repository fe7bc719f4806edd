/* terminal.h - a pseudo-terminal with the built program on it, and the patience to wait for what is
 * expected: conditions with deadlines, never a fixed pause.
 *
 * What can't be started, and a condition that is not met in time, ends the test (cmocka) and says
 * what the terminal showed.
 */
#ifndef ULLAGE_TESTS_TTY_TERMINAL_H
#define ULLAGE_TESTS_TTY_TERMINAL_H

#include "tty/picture.h"

#include <sys/types.h>
#include <termios.h>

enum { PATIENCE_MS = 20000 }; /* a loaded machine, a program under the sanitizers */

typedef struct {
    pid_t pid;
    int fd, slave;
    struct termios before; /* of the terminal, when it was made */
    char *out;             /* bytes since terminal_forget */
    size_t n, capacity;
    Picture *picture;
    bool ended;
    int status; /* as of waitpid, where it has ended */
} Terminal;

int64_t clock_ms(void); /* monotonic */

/* Runs the program with TERM, in C.UTF-8 and without NO_COLOR, LINES, COLUMNS; `environment` is
 * "NAME=value"s that are set besides, a "NAME" is unset; `words` follow the program's name, parted
 * by single spaces. Both may be NULL. */
void terminal_open(Terminal *t, int rows, int cols, const char *term,
                   const char *const *environment, const char *words);
void terminal_size(Terminal *t, int rows, int cols);
void terminal_send(Terminal *t, const char *keys);
void terminal_forget(Terminal *t);
/* Takes in what has come, waiting up to `ms` for the first byte. True where something came. */
bool terminal_read(Terminal *t, int ms);
/* Until `text` stands on the screen; until it does no more. */
void terminal_until(Terminal *t, const char *text);
void terminal_until_not(Terminal *t, const char *text);
bool terminal_shows(const Terminal *t, const char *text);
/* Until nothing has come for `ms`. */
void terminal_quiet(Terminal *t, int ms);
/* Until the program has ended; gives back its status as of waitpid, or ends the test. */
int terminal_end(Terminal *t);
/* The terminal is as it was before: its modes, cursor, pen, screen, pasting. */
void terminal_is_restored(Terminal *t);
bool terminal_sent(const Terminal *t, const char *bytes);
/* Fails the test with what is on the screen. */
_Noreturn void terminal_fail(const Terminal *t, const char *why);
/* Frees all; kills the program where it still runs. */
void terminal_close(Terminal *t);

#endif
