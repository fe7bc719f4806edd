#include "tui/loop.h"

#include "base/memory.h"
#include "store/sync.h"
#include "tui/app.h"
#include "tui/grant.h"
#include "tui/term.h"
#include "tui/watch.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum { KEYS_AT_ONCE = 2000, PASTE_MAX = 4096, BURST_MS = 25 };

/* ---- signals: they set flags and nothing else ---- */

static volatile sig_atomic_t ended_by, window_changed, stop_asked, went_on;

static void on_signal(int number)
{
    switch (number) {
    case SIGWINCH:
        window_changed = 1;
        break;
    case SIGTSTP:
        stop_asked = 1;
        break;
    case SIGCONT:
        went_on = 1;
        break;
    default:
        ended_by = number;
        break;
    }
}

static const int loop_heard[] = {SIGINT, SIGTERM, SIGHUP, SIGQUIT, SIGWINCH, SIGTSTP, SIGCONT};
enum { HEARD_COUNT = sizeof loop_heard / sizeof *loop_heard };

typedef struct {
    struct sigaction before[HEARD_COUNT];
    struct sigaction pipe_before;
    sigset_t mask_before, waiting; /* signals come only while the loop waits */
} Signals;

static void signals_hear(Signals *signals)
{
    struct sigaction action = {0};
    sigset_t heard;
    ended_by = window_changed = stop_asked = went_on = 0;
    sigemptyset(&heard);
    sigemptyset(&action.sa_mask);
    action.sa_handler = on_signal;
    for (int i = 0; i < HEARD_COUNT; i++)
        sigaddset(&heard, loop_heard[i]);
    sigprocmask(SIG_BLOCK, &heard, &signals->mask_before);
    for (int i = 0; i < HEARD_COUNT; i++)
        sigaction(loop_heard[i], &action, &signals->before[i]);
    signals->waiting = signals->mask_before;
    for (int i = 0; i < HEARD_COUNT; i++)
        sigdelset(&signals->waiting, loop_heard[i]);
    action.sa_handler = SIG_IGN;
    sigaction(SIGPIPE, &action, &signals->pipe_before);
}

static void signals_leave(const Signals *signals)
{
    struct sigaction drop = {0};
    drop.sa_handler = SIG_IGN; /* what came while we were leaving must not end the caller */
    sigemptyset(&drop.sa_mask);
    for (int i = 0; i < HEARD_COUNT; i++)
        sigaction(loop_heard[i], &drop, NULL);
    for (int i = 0; i < HEARD_COUNT; i++)
        sigaction(loop_heard[i], &signals->before[i], NULL);
    sigaction(SIGPIPE, &signals->pipe_before, NULL);
    sigprocmask(SIG_SETMASK, &signals->mask_before, NULL);
}

/* ---- the clock: asked here and nowhere else in the board ---- */

static Moment clock_now(int64_t shift_ms)
{
    struct timespec t;
    clock_gettime(CLOCK_REALTIME, &t);
    return (Moment){(int64_t)t.tv_sec * MS_PER_SECOND + t.tv_nsec / 1000000 + shift_ms};
}

/* Never set back by anybody. */
static int64_t clock_steady(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (int64_t)t.tv_sec * MS_PER_SECOND + t.tv_nsec / 1000000;
}

/* ---- the loop ---- */

typedef struct {
    Grant grant;
    TermInfo term;
    Sheet sheet;
    Signals signals;
    Watch watch;
    int64_t minute, shift_ms;
    int typed;        /* letters that came faster than a hand types, up to now */
    bool burst;       /* there was an Enter among them */
    int64_t typed_at; /* the latest of them, ms */
    pid_t syncing;    /* the child that keeps step with other machines; 0: none runs */
    bool gone;        /* the terminal is no more */
    bool dirty;       /* something may look different */
} Loop;

static void loop_size(Loop *loop)
{
    if (term_resize(&loop->term)) {
        app_resize(loop->grant.app, loop->term.rows, loop->term.cols);
        loop->grant.version = -1; /* a larger sheet may have room for more than was asked for */
        loop->dirty = true;
    }
}

/* Stops as the shell expects it, and comes back with the terminal set up again. */
static void loop_suspend(Loop *loop)
{
    struct sigaction plain = {0}, ours;
    sigset_t stop;
    term_suspend();
    plain.sa_handler = SIG_DFL;
    sigemptyset(&plain.sa_mask);
    sigaction(SIGTSTP, &plain, &ours);
    kill(getpid(), SIGTSTP);
    sigemptyset(&stop);
    sigaddset(&stop, SIGTSTP);
    sigaddset(&stop, SIGCONT);
    sigprocmask(SIG_UNBLOCK, &stop, NULL); /* here it stops, here it goes on */
    sigprocmask(SIG_BLOCK, &stop, NULL);
    sigaction(SIGTSTP, &ours, NULL);
    stop_asked = went_on = 0;
    term_resume();
    loop_size(loop); /* the window may have another one by now */
    loop->minute = -1;
    loop->dirty = true;
}

static void loop_paint(Loop *loop)
{
    if (!loop->dirty)
        return;
    app_draw(loop->grant.app, &loop->sheet);
    term_paint(&loop->sheet, loop->grant.app->scheme);
    loop->dirty = false;
}

/* Another program writes, and what was asked for waits. */
static void loop_waits(void *context)
{
    Loop *loop = context;
    app_say(loop->grant.app, INK_MESSAGE,
            "Another program is writing to this log: waiting for it.");
    loop->dirty = true;
    loop_paint(loop);
    loop->grant.app->message[0] = '\0';
    loop->dirty = true;
}

static void loop_grant(Loop *loop, const Wish *wish)
{
    switch (wish->kind) {
    case WISH_SUSPEND:
        loop_suspend(loop);
        break;
    case WISH_REDRAW:
        term_forget();
        break;
    case WISH_THEME:
        term_forget();
        grant_wish(&loop->grant, wish);
        break;
    default:
        grant_wish(&loop->grant, wish);
        break;
    }
    loop->dirty = true;
}

static void loop_paste(Loop *loop, Str *paste)
{
    Wish wish;
    if (paste->n == 0)
        return;
    app_paste(loop->grant.app, (Text){paste->s, paste->n}, &wish);
    str_clear(paste);
    loop_grant(loop, &wish);
}

/* A hand is not that fast: an Enter within a burst may be part of a paste, on a terminal that does
 * not say what is pasted, and so is each that follows in one go. */
static bool enter_in_burst(Loop *loop, Press press)
{
    const int64_t now = clock_steady();
    if (now - loop->typed_at > BURST_MS) {
        loop->typed = 0;
        loop->burst = false;
    }
    loop->typed_at = now;
    if (press == PRESS_ENTER && app_top(loop->grant.app)->typed &&
        (loop->burst || term_burst(loop->typed))) {
        loop->burst = true;
        return true;
    }
    loop->typed = press_is_text(press) ? loop->typed + 1 : 0;
    return false;
}

/* Everything that was typed, before anything is painted: a burst of keys is painted once. */
static void loop_keys(Loop *loop)
{
    Str paste = {0};
    for (int i = 0; i < KEYS_AT_ONCE && !loop->grant.quit && !loop->gone; i++) {
        bool pasted = false;
        Press press = term_press(&pasted, &loop->gone);
        if (press == PRESS_NONE)
            break;
        if (pasted) {
            char bytes[5];
            size_t n = press_utf8(press, bytes);
            if (press == '\n' || press == '\r' || press == '\t')
                str_addc(&paste, ' ');
            else if (n > 0 && paste.n < PASTE_MAX)
                str_add(&paste, text_slice(bytes, n));
            continue;
        }
        loop_paste(loop, &paste);
        Wish wish;
        if (enter_in_burst(loop, press)) {
            app_say(loop->grant.app, INK_NOTICE,
                    "That came in one go, as a paste does: Enter once "
                    "more, by hand, writes it.");
            loop->dirty = true;
            continue;
        }
        app_clock(loop->grant.app, clock_now(loop->shift_ms));
        if (press == PRESS_CLICK) {
            int row, col;
            term_click(&row, &col);
            app_click(loop->grant.app, row, col, &wish);
        } else {
            app_key(loop->grant.app, press, &wish);
        }
        loop_grant(loop, &wish);
    }
    loop_paste(loop, &paste);
    str_finish(&paste);
}

static pid_t sync_start(const char *path)
{
    const char *const words[] = {"ullage", "--log", path, "sync", NULL};
    posix_spawn_file_actions_t files;
    posix_spawnattr_t how;
    sigset_t none;
    pid_t child = 0;
    sigemptyset(&none);
    posix_spawn_file_actions_init(&files);
    posix_spawnattr_init(&how);
    for (int fd = 0; fd < 3; fd++)
        posix_spawn_file_actions_addopen(&files, fd, "/dev/null", O_RDWR, 0);
    posix_spawnattr_setflags(&how, POSIX_SPAWN_SETSIGMASK);
    posix_spawnattr_setsigmask(&how, &none);
    if (posix_spawn(&child, "/proc/self/exe", &files, &how, (char *const *)words, environ) != 0)
        child = 0;
    posix_spawnattr_destroy(&how);
    posix_spawn_file_actions_destroy(&files);
    return child;
}

/* Where a folder is set, this program itself keeps step, beside the board: a folder that hangs must
 * not hold it up, and an open log is not to be carried over a fork. Its news are seen as those of
 * any other program; what it can't do, it says when it is asked on the command line. */
static void loop_sync(Loop *loop)
{
    Str folder = {0};
    Moment heard;
    Fault ignored;
    if (loop->syncing != 0 && waitpid(loop->syncing, NULL, WNOHANG) == 0)
        return;
    loop->syncing = 0;
    const char *path = log_path(loop->grant.log);
    if (path[0] != '\0' && !loop->grant.app->demo &&
        log_sync_folder(loop->grant.log, &folder, &heard, &ignored) && folder.n > 0)
        loop->syncing = sync_start(path);
    str_finish(&folder);
}

static void loop_minute(Loop *loop)
{
    Moment now = clock_now(loop->shift_ms);
    int64_t minute = now.ms / MS_PER_MINUTE;
    if (minute == loop->minute)
        return;
    loop->minute = minute;
    watch_renew(&loop->watch);
    loop_sync(loop);
    app_tick(loop->grant.app, now);
    loop->dirty = true;
}

static void loop_wait(Loop *loop)
{
    Moment now = clock_now(loop->shift_ms);
    int64_t ms = MS_PER_MINUTE - now.ms % MS_PER_MINUTE;
    const int64_t quiet = watch_quiet(&loop->watch, clock_steady());
    if (ms > quiet)
        ms = quiet;
    struct timespec limit = {(time_t)(ms / 1000), (long)(ms % 1000) * 1000000L};
    struct pollfd fds[] = {{loop->term.input, POLLIN, 0}, {loop->watch.fd, POLLIN, 0}};
    int ready = ppoll(fds, 2, &limit, &loop->signals.waiting); /* one below zero is passed over */
    if (ready > 0 && (fds[0].revents & (POLLHUP | POLLERR | POLLNVAL)))
        loop->gone = true;
    if (ready > 0 && fds[1].revents != 0)
        watch_drain(&loop->watch, clock_steady());
}

static void loop_signals(Loop *loop)
{
    if (stop_asked)
        loop_suspend(loop);
    if (went_on) { /* stopped by SIGSTOP: the terminal may have been used by others */
        went_on = 0;
        term_resume();
        loop->dirty = true;
    }
    if (window_changed) {
        window_changed = 0;
        loop_size(loop);
        term_forget(); /* terminals move or crop what they show when their size changes, and it may
                          have changed there and back */
        loop->dirty = true;
    }
}

static void loop_run(Loop *loop)
{
    loop->dirty = true;
    while (!loop->grant.quit && !ended_by && !loop->gone) {
        loop_signals(loop);
        loop_keys(loop);
        if (loop->gone || loop->grant.quit)
            break;
        if (grant_look(&loop->grant, clock_now(loop->shift_ms)))
            loop->dirty = true;
        loop_minute(loop);
        loop_paint(loop);
        loop_wait(loop);
    }
}

bool tui_run_on(Log *log, const ScreenTable *screens, const TuiOptions *options, int *status,
                Fault *fault)
{
    Loop loop = {.shift_ms = options->shift_ms};
    TermOptions wanted = {options->scheme, options->alphabet, options->mouse};
    *status = 0;
    if (!term_open(&wanted, &loop.term, fault))
        return false;
    signals_hear(&loop.signals);
    App *app = app_create(screens, loop.term.rows, loop.term.cols, loop.term.scheme,
                          loop.term.alphabet, loop.term.ascii);
    app->units = options->units;
    app_night(app, options->night_begins, options->night_ends);
    app->demo = options->demo;
    app->log_name = log_path(log);
    watch_open(&loop.watch, log_path(log));
    sheet_init(&loop.sheet, loop.term.rows, loop.term.cols);
    grant_init(&loop.grant, log, app);
    log_on_wait(log, loop_waits, &loop);
    bool good = grant_first(&loop.grant, clock_now(options->shift_ms), fault);
    if (good && options->far && app->entries > 0)
        app_open(app, app_screen(app, "far view"), &(Wish){0});
    if (good) {
        loop.minute = app->now.ms / MS_PER_MINUTE;
        loop_run(&loop);
    }
    term_close();
    signals_leave(&loop.signals);
    log_on_wait(log, NULL, NULL);
    if (ended_by || loop.gone)
        *status = 128 + (ended_by ? (int)ended_by : SIGHUP);
    grant_finish(&loop.grant);
    watch_close(&loop.watch);
    sheet_finish(&loop.sheet);
    app_destroy(app);
    return good;
}
