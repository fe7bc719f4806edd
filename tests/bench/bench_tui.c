/* bench_tui.c - bytes that the board sends when something changes, against the bytes that the
 * change needs.
 *
 *     bench_tui --ullage PROGRAM [--minute]
 *
 * The program runs on a pty of 80x24 (TERM=xterm-256color). A terminal of the tests' own
 * (tests/tty) keeps the picture; what a change needs is reckoned from the pictures before and after
 * it (picture_delta: moves, changes of pen, text). With --minute it also waits for a minute to end,
 * the one time that the board changes by itself. First paint, start, keys and memory are in
 * bench_board. Exit 0 where every goal is met, 1 where one is missed.
 */
#include "measure.h"
#include "tty/terminal.h"

#include <locale.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { QUIET_MS = 150 };

static Picture before; /* two megabytes */
static char log_file[64];

static void run_or_fail(const char *const *argv)
{
    if (run_program(argv).status != 0) {
        fprintf(stderr, "bench_tui: ullage %s fails\n", argv[1]);
        exit(3);
    }
}

static bool ratio(const char *what, const Terminal *t)
{
    char text[96];
    size_t needed = picture_delta(&before, t->picture);
    if (needed == 0)
        terminal_fail(t, "nothing has changed");
    snprintf(text, sizeof text, "%.2f x (%zu of %zu bytes)", (double)t->n / (double)needed, t->n,
             needed);
    return report(what, "<= 1.5 x", text, (double)t->n <= 1.5 * (double)needed);
}

static void settle(Terminal *t)
{
    terminal_quiet(t, QUIET_MS);
    before = *t->picture;
    terminal_forget(t);
}

/* The keys in one write, as a paste or a slow line gives them. */
static bool keys(Terminal *t, const char *what, const char *together)
{
    settle(t);
    terminal_send(t, together);
    terminal_read(t, PATIENCE_MS);
    terminal_quiet(t, QUIET_MS);
    return ratio(what, t);
}

static void open_screen(Terminal *t, const char *key, const char *mark)
{
    terminal_send(t, key);
    terminal_until(t, mark);
}

/* From one screen to another, one key each: nearly everything is another thing then. */
static bool changes_of_screen(Terminal *t)
{
    static const struct {
        const char *what, *key;
    } changes[] = {{"the board to a form", "f"},     {"a form to the board", "\033"},
                   {"the board to the log", "2"},    {"the log to the vessels", "3"},
                   {"the vessels to service", "4"},  {"service to the outlook", "5"},
                   {"the outlook to its keys", "?"}, {"the keys to the outlook", "\033"},
                   {"the outlook to the board", "1"}};
    bool met = true;
    for (size_t i = 0; i < sizeof changes / sizeof *changes; i++)
        met = keys(t, changes[i].what, changes[i].key) && met;
    return met;
}

static bool goals(Terminal *t, bool minute)
{
    bool met = true;
    terminal_until(t, "f fill");
    if (minute) {
        settle(t);
        terminal_read(t, 61000);
        terminal_quiet(t, QUIET_MS);
        met = ratio("a minute ends: the clock", t) && met;
    }
    settle(t);
    run_or_fail((const char *const[]){ULLAGE_BIN, "sound", "A2", "3.9", "--log", log_file, NULL});
    terminal_read(t, PATIENCE_MS);
    terminal_quiet(t, QUIET_MS);
    met = ratio("another process sounds a vessel", t) && met;
    open_screen(t, "s", "Esc leave");
    terminal_send(t, "\t1");
    met = keys(t, "one digit typed in a form", "2") && met;
    terminal_send(t, "\033[Z\033[Z");
    met = keys(t, "a burst of 20 letters in a form", "sounded with the rod") && met;
    open_screen(t, "\033", "f fill");
    open_screen(t, "a", "couple");
    met = keys(t, "one step down a list", "j") && met;
    met = keys(t, "a burst of 20 steps down and up a list", "jjjjjjjjjkkkjjjjjjkk") && met;
    open_screen(t, "\033", "f fill");
    terminal_send(t, "2");
    met = keys(t, "one step down the log", "j") && met;
    met = keys(t, "a burst of 20 steps down the log", "jjjjjjjjjjjjjjjjjjjj") && met;
    open_screen(t, "1", "f fill");
    return changes_of_screen(t) && met;
}

int main(int argc, char **argv)
{
    const char *program = NULL;
    bool minute = false;
    for (int i = 1; i < argc; i++)
        if (strcmp(argv[i], "--minute") == 0)
            minute = true;
        else if (strcmp(argv[i], "--ullage") == 0 && i + 1 < argc)
            program = argv[++i];
    if (program == NULL || strcmp(program, ULLAGE_BIN) != 0) {
        fprintf(stderr, "usage: bench_tui --ullage %s [--minute]\n", ULLAGE_BIN);
        return 2;
    }
    Terminal t;
    char folder[] = "/tmp/ullage-bytes-XXXXXX";
    char words[80];
    setlocale(LC_CTYPE, "C.UTF-8");
    setenv("ULLAGE_SHARE", SHARE, 1);
    if (mkdtemp(folder) == NULL)
        return 3;
    snprintf(log_file, sizeof log_file, "%s/demo.db", folder);
    run_or_fail((const char *const[]){ULLAGE_BIN, "demo", "--write", log_file, NULL});
    snprintf(words, sizeof words, "--log %s", log_file);
    terminal_open(&t, 24, 80, "xterm-256color", NULL, words);
    bool met = goals(&t, minute);
    terminal_send(&t, "q");
    terminal_end(&t);
    terminal_close(&t);
    remove(log_file);
    remove(folder);
    return met ? 0 : 1;
}
