/* bench_board.c - the board on a terminal of 80x24: bytes sent, time to the first paint, time a key
 * takes, memory.
 *
 *     bench_board --ullage PROGRAM [--entries N] [--small N] [--rounds N] [SCRATCH]
 *
 * The program runs on a pty of its own (TERM=xterm-256color). A paint is over when nothing came for
 * a while; its end is when its last byte came. Prints one row a goal. Exit 0 where every goal is
 * met, 1 where one is missed, 2 for wrong usage, 3 where a program failed.
 */
#include "measure.h"
#include "season.h"

#include <errno.h>
#include <inttypes.h>
#include <poll.h>
#include <pty.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum { PATH_SIZE = 4096, KEYS = 400, IDLE_SECONDS = 10 };

typedef struct {
    pid_t pid;
    int fd;
    double begun;
} Board;

typedef struct {
    int64_t bytes;
    double last; /* when the last byte came; 0: none */
} Burst;

static double now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static _Noreturn void give_up(const char *what)
{
    fprintf(stderr, "bench_board: %s: %s\n", what, strerror(errno));
    exit(3);
}

static Board board_open(const char *program, const char *log, int rows, int cols)
{
    struct winsize size = {.ws_row = (unsigned short)rows, .ws_col = (unsigned short)cols};
    Board board = {.begun = now()};
    board.pid = forkpty(&board.fd, NULL, NULL, &size);
    if (board.pid < 0)
        give_up("no pty");
    if (board.pid == 0) {
        unsetenv("LINES");
        unsetenv("COLUMNS");
        unsetenv("NO_COLOR");
        setenv("TERM", "xterm-256color", 1);
        setenv("LC_ALL", "C.UTF-8", 1);
        execl(program, program, "--log", log, (char *)NULL);
        _exit(127);
    }
    return board;
}

/* Reads until nothing came for `quiet` ms, at most `most` ms in all while nothing came yet. */
static Burst board_read(const Board *board, int quiet, int most)
{
    Burst burst = {0};
    char bytes[65536];
    for (;;) {
        struct pollfd wait = {.fd = board->fd, .events = POLLIN};
        if (poll(&wait, 1, burst.bytes > 0 ? quiet : most) <= 0)
            return burst;
        ssize_t n = read(board->fd, bytes, sizeof bytes);
        if (n <= 0)
            return burst;
        burst.bytes += n;
        burst.last = now();
    }
}

static void board_key(const Board *board, char key)
{
    if (write(board->fd, &key, 1) != 1)
        give_up("the board takes no key");
}

/* Leaves by q; gives back the largest resident set in MiB. */
static double board_leave(Board *board)
{
    int status;
    struct rusage use;
    board_key(board, 'q');
    board_read(board, 100, 500);
    kill(board->pid, SIGTERM); /* where q asked something first */
    if (wait4(board->pid, &status, 0, &use) != board->pid)
        give_up("the board does not end");
    close(board->fd);
    return (double)use.ru_maxrss / 1024;
}

static double processor_seconds(pid_t pid)
{
    char name[64];
    long long ns = 0;
    snprintf(name, sizeof name, "/proc/%d/schedstat", (int)pid);
    FILE *file = fopen(name, "r");
    if (file == NULL || fscanf(file, "%lld", &ns) != 1)
        give_up(name);
    fclose(file);
    return 1e-9 * (double)ns;
}

/* Times that it waited of its own and was woken. */
static long long wake_ups(pid_t pid)
{
    char name[64], line[128];
    long long n = -1;
    snprintf(name, sizeof name, "/proc/%d/status", (int)pid);
    FILE *file = fopen(name, "r");
    while (file != NULL && n < 0 && fgets(line, sizeof line, file) != NULL)
        if (sscanf(line, "voluntary_ctxt_switches: %lld", &n) != 1)
            n = -1;
    if (n < 0)
        give_up(name);
    fclose(file);
    return n;
}

/* The minute's tick may change a figure: begin just after it. */
static void wait_for_minute(const Board *board)
{
    int64_t second = (int64_t)time(NULL) % 60;
    if (second + IDLE_SECONDS + 2 >= 60)
        board_read(board, (int)(62 - second) * 1000, (int)(62 - second) * 1000);
}

/* What a line of 9600 bauds feels: a small screen's first paint, and a step from entry to entry. */
static bool slow_line_goals(const char *program, const char *log)
{
    enum { STEPS = 40 };
    char text[128];
    Board board = board_open(program, log, 12, 40);
    const int64_t first = board_read(&board, 300, 5000).bytes;
    board_leave(&board);
    snprintf(text, sizeof text, "%" PRId64, first);
    bool met =
        report("bytes of the first paint, 40x12", "<= 1000", text, first > 0 && first <= 1000);

    int64_t bytes = 0;
    board = board_open(program, log, 24, 80);
    board_read(&board, 300, 5000);
    board_key(&board, '2');
    board_read(&board, 200, 5000);
    for (int i = 0; i < STEPS; i++) {
        board_key(&board, 'j');
        bytes += board_read(&board, 50, 500).bytes;
    }
    board_leave(&board);
    snprintf(text, sizeof text, "%" PRId64, bytes / STEPS);
    return report("bytes of one step down the log, of 40", "<= 350", text,
                  bytes > 0 && bytes <= 350 * STEPS) &&
           met;
}

static bool goals(const char *program, const char *small, const char *large, int rounds)
{
    Sample start_small = {0}, start_large = {0}, first = {0}, keys = {0};
    char text[128];
    double peak = 0;
    for (int i = 0; i < rounds * 4 + 1; i++) {
        Board board = board_open(program, i % 2 == 0 ? small : large, 24, 80);
        Burst paint = board_read(&board, 150, 5000);
        if (paint.bytes == 0)
            give_up("the board paints nothing");
        sample_add(i % 2 == 0 ? &start_small : &start_large, paint.last - board.begun);
        sample_add(&first, (double)paint.bytes);
        double mib = board_leave(&board);
        peak = mib > peak ? mib : peak;
    }
    snprintf(text, sizeof text, "%.0f", sample_median(&first));
    bool met =
        report("bytes of the first paint, 80x24", "<= 3200", text, sample_median(&first) <= 3200);
    double a = sample_median(&start_large), b = sample_median(&start_small);
    snprintf(text, sizeof text, "%.2f x (%.2f to %.2f ms)", a / b, a * 1e3, b * 1e3);
    met = report("start to first paint, large log to small", "<= 2 x", text, a / b <= 2) && met;

    Board board = board_open(program, large, 24, 80);
    board_read(&board, 300, 5000);
    wait_for_minute(&board);
    double before = processor_seconds(board.pid);
    const long long woken = wake_ups(board.pid);
    Burst idle = board_read(&board, IDLE_SECONDS * 1000, IDLE_SECONDS * 1000);
    double used = (processor_seconds(board.pid) - before) / IDLE_SECONDS;
    const double a_minute = (double)(wake_ups(board.pid) - woken) * 60 / IDLE_SECONDS + 1;
    snprintf(text, sizeof text, "%.0f", a_minute);
    met = report("wake-ups in an idle minute, with its tick", "<= 5", text, a_minute <= 5) && met;
    snprintf(text, sizeof text, "%" PRId64, idle.bytes);
    met = report("bytes while nothing changes", "0", text, idle.bytes == 0) && met;
    snprintf(text, sizeof text, "%.3f %%", used * 100);
    met = report("processor time while nothing changes", "<= 0.1 %", text, used <= 0.001) && met;

    /* every screen but the season, which reads the whole log: its row is below */
    static const char walk[] = "1jjk2jjk3jjk4jjk5jjk6jjk7jjk8jjk";
    for (int i = 0; i < KEYS; i++) {
        double sent = now();
        board_key(&board, walk[i % ((int)sizeof walk - 1)]);
        Burst burst = board_read(&board, 20, 500);
        if (burst.bytes > 0 && keys.count < ROUNDS_MAX)
            sample_add(&keys, burst.last - sent);
    }
    const double asked = now();
    board_key(&board, '9');
    const double season =
        (board_read(&board, 300, 10000).last - asked) * 3 / 10; /* the log spans ten */
    double mib = board_leave(&board);
    peak = mib > peak ? mib : peak;
    snprintf(text, sizeof text, "%.2f ms (median %.2f)", sample_part(&keys, 0.99) * 1e3,
             sample_median(&keys) * 1e3);
    met =
        report("key to last byte, 99 of 100", "<= 10 ms", text, sample_part(&keys, 0.99) <= 0.01) &&
        met;
    snprintf(text, sizeof text, "%.2f s", season);
    met = report("the season of three years of the large log", "<= 1 s", text,
                 season > 0 && season <= 1) &&
          met;
    snprintf(text, sizeof text, "%.1f MiB", peak);
    return report("peak memory of the board", "<= 12 MiB", text, peak <= 12) && met;
}

static void log_make(const char *program, const char *scratch, int64_t n, char *log, size_t size)
{
    char season[PATH_SIZE + 64];
    int64_t last;
    snprintf(season, sizeof season, "%s/board-%" PRId64 ".jsonl", scratch, n);
    snprintf(log, size, "%s/board-%" PRId64 ".db", scratch, n);
    unlink(log);
    const char *const import[] = {program, "import", "--log", log, season, NULL};
    if (!season_write(n, season, NULL, &last) || run_program(import).status != 0)
        give_up("the log can't be made");
    unlink(season);
}

static int usage(void)
{
    fprintf(
        stderr,
        "usage: bench_board --ullage PROGRAM [--entries N] [--small N] [--rounds N] [SCRATCH]\n");
    return 2;
}

int main(int argc, char **argv)
{
    static char large[PATH_SIZE + 64], small[PATH_SIZE + 64], scratch[PATH_SIZE];
    const char *program = NULL, *given = NULL, *temporary = getenv("TMPDIR");
    int64_t large_n = 1000000, small_n = 1000, rounds = 5;
    for (int i = 1; i < argc; i++) {
        if (argv[i][0] != '-') {
            given = argv[i];
            continue;
        }
        if (i + 1 == argc)
            return usage();
        const char *word = argv[i++];
        if (strcmp(word, "--ullage") == 0)
            program = argv[i];
        else if (strcmp(word, "--entries") == 0)
            large_n = strtoll(argv[i], NULL, 10);
        else if (strcmp(word, "--small") == 0)
            small_n = strtoll(argv[i], NULL, 10);
        else if (strcmp(word, "--rounds") == 0)
            rounds = strtoll(argv[i], NULL, 10);
        else
            return usage();
    }
    if (program == NULL || small_n < 100 || large_n < small_n || rounds < 1 || rounds > 24)
        return usage();
    snprintf(scratch, sizeof scratch, "%s/ullage-board-XXXXXX",
             temporary != NULL && temporary[0] != '\0' ? temporary : "/tmp");
    if (given != NULL)
        snprintf(scratch, sizeof scratch, "%s", given);
    else if (mkdtemp(scratch) == NULL)
        give_up(scratch);
    log_make(program, scratch, small_n, small, sizeof small);
    log_make(program, scratch, large_n, large, sizeof large);
    bool met = slow_line_goals(program, small);
    met = goals(program, small, large, (int)rounds) && met;
    unlink(small);
    unlink(large);
    if (given == NULL)
        rmdir(scratch);
    return met ? 0 : 1;
}
