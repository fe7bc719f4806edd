#include "tty/terminal.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

#include <errno.h>
#include <poll.h>
#include <pty.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>
#include <utmp.h>

int64_t clock_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (int64_t)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

static void environment_set(const char *const *environment)
{
    for (; environment && *environment; environment++) {
        const char *equals = strchr(*environment, '=');
        char name[64];
        snprintf(name, sizeof name, "%.*s",
                 equals ? (int)(equals - *environment) : (int)strlen(*environment), *environment);
        if (equals)
            setenv(name, equals + 1, 1);
        else
            unsetenv(name);
    }
}

static _Noreturn void child(const Terminal *t, const char *term, const char *const *environment,
                            const char *words)
{
    char *argv[12] = {(char *)(uintptr_t)ULLAGE_BIN}, *all = strdup(words != NULL ? words : "");
    int count = 1;
    struct rlimit no_core = {0, 0};
    static const char *const unset[] = {"NO_COLOR", "LINES", "COLUMNS", "ESCDELAY",
                                        "LC_CTYPE", "LANG",  "TMUX",    NULL};
    close(t->fd);
    if (login_tty(t->slave) != 0)
        _exit(126);
    setrlimit(RLIMIT_CORE, &no_core);
    environment_set(unset);
    setenv("TERM", term, 1);
    setenv("LC_ALL", "C.UTF-8", 1);
    setenv("TZ", "UTC0", 1);
    environment_set(environment);
    for (char *word = strtok(all, " "); word != NULL && count < 11; word = strtok(NULL, " "))
        argv[count++] = word;
    execv(ULLAGE_BIN, argv);
    _exit(127);
}

void terminal_open(Terminal *t, int rows, int cols, const char *term,
                   const char *const *environment, const char *words)
{
    struct winsize size = {.ws_row = (unsigned short)rows, .ws_col = (unsigned short)cols};
    memset(t, 0, sizeof *t);
    t->picture = malloc(sizeof *t->picture);
    assert_non_null(t->picture);
    picture_init(t->picture, rows, cols);
    if (openpty(&t->fd, &t->slave, NULL, NULL, &size) != 0 || tcgetattr(t->slave, &t->before) != 0)
        fail_msg("no pseudo-terminal: %s", strerror(errno));
    t->pid = fork();
    if (t->pid == 0)
        child(t, term, environment, words);
    assert_true(t->pid > 0);
}

void terminal_size(Terminal *t, int rows, int cols)
{
    struct winsize size = {.ws_row = (unsigned short)rows, .ws_col = (unsigned short)cols};
    while (terminal_read(t, 0)) { /* what was painted for the old size */
    }
    picture_resize(t->picture, rows, cols);
    assert_int_equal(ioctl(t->fd, TIOCSWINSZ, &size), 0);
}

void terminal_send(Terminal *t, const char *keys)
{
    size_t n = strlen(keys), sent = 0;
    while (sent < n) {
        ssize_t part = write(t->fd, keys + sent, n - sent);
        if (part < 0 && errno != EINTR)
            terminal_fail(t, "the keys are not taken");
        sent += part > 0 ? (size_t)part : 0;
        terminal_read(t, 0);
    }
}

void terminal_forget(Terminal *t)
{
    t->n = 0;
}

bool terminal_read(Terminal *t, int ms)
{
    struct pollfd fd = {t->fd, POLLIN, 0};
    bool some = false;
    while (poll(&fd, 1, some ? 0 : ms) > 0) {
        if (t->capacity - t->n < 8193) {
            t->capacity = t->capacity * 2 + 16384;
            t->out = realloc(t->out, t->capacity);
            assert_non_null(t->out);
        }
        ssize_t got = read(t->fd, t->out + t->n, 8192);
        if (got <= 0)
            break;
        picture_feed(t->picture, t->out + t->n, (size_t)got);
        t->n += (size_t)got;
        t->out[t->n] = '\0';
        some = true;
    }
    if (!t->ended && waitpid(t->pid, &t->status, WNOHANG) == t->pid) {
        t->ended = true;
        terminal_read(t, 0); /* its last words */
    }
    return some;
}

void terminal_fail(const Terminal *t, const char *why)
{
    char line[PICTURE_COLS * PICTURE_TEXT];
    for (int row = 0; row < t->picture->rows; row++)
        print_message("%2d |%s\n", row, picture_row(t->picture, row, line));
    if (t->ended)
        print_message("the program has ended, status %#x\n", (unsigned)t->status);
    fail_msg("%s", why);
    abort();
}

bool terminal_shows(const Terminal *t, const char *text)
{
    return picture_find(t->picture, text) >= 0;
}

static void wait_for(Terminal *t, const char *text, bool there)
{
    int64_t end = clock_ms() + PATIENCE_MS;
    while (terminal_shows(t, text) != there) {
        if (clock_ms() > end || (t->ended && !terminal_read(t, 0))) {
            char why[200];
            snprintf(why, sizeof why, "%s: '%s'",
                     there ? "this does not appear" : "this does not go away", text);
            terminal_fail(t, why);
        }
        terminal_read(t, 50);
    }
}

void terminal_until(Terminal *t, const char *text)
{
    wait_for(t, text, true);
}

void terminal_until_not(Terminal *t, const char *text)
{
    wait_for(t, text, false);
}

void terminal_quiet(Terminal *t, int ms)
{
    int64_t end = clock_ms() + PATIENCE_MS;
    while (terminal_read(t, ms))
        if (clock_ms() > end)
            terminal_fail(t, "bytes without end");
}

int terminal_end(Terminal *t)
{
    int64_t end = clock_ms() + PATIENCE_MS;
    while (!t->ended) {
        if (clock_ms() > end)
            terminal_fail(t, "the program does not end");
        terminal_read(t, 20);
    }
    return t->status;
}

void terminal_is_restored(Terminal *t)
{
    struct termios now;
    const Picture *p = t->picture;
    assert_int_equal(tcgetattr(t->slave, &now), 0);
    assert_int_equal(now.c_iflag, t->before.c_iflag);
    assert_int_equal(now.c_oflag, t->before.c_oflag);
    assert_int_equal(now.c_lflag, t->before.c_lflag);
    assert_false(p->alternate);
    assert_true(p->cursor);
    assert_false(p->bracketed);
    assert_int_equal(p->line_used, 0);
    assert_int_equal(p->pen.looks, 0);
    assert_int_equal(p->pen.fg, -1);
    assert_int_equal(p->pen.bg, -1);
    assert_int_equal(p->top, 0);
    assert_int_equal(p->bottom, p->rows - 1);
}

bool terminal_sent(const Terminal *t, const char *bytes)
{
    return t->n > 0 && memmem(t->out, t->n, bytes, strlen(bytes)) != NULL;
}

void terminal_close(Terminal *t)
{
    if (!t->ended) {
        kill(t->pid, SIGKILL);
        waitpid(t->pid, &t->status, 0);
    }
    if (t->fd >= 0)
        close(t->fd);
    close(t->slave);
    free(t->out);
    free(t->picture);
    memset(t, 0, sizeof *t);
}
