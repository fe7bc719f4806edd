/* cmd_feed.c - a sensor's running count, line by line, becomes readings of the line's meter. */
#include "cli/command.h"

#include "base/memory.h"
#include "cli/feed.h"
#include "model/field.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>

enum {
    OPTION_PULSES = OPTION_OWN,
    OPTION_QUIET,
    OPTION_WRAP,
    OPTION_BAUD,
    WAIT_MS = 250,   /* one look at the signals, the stillness, the device */
    AGAIN_MS = 1000, /* between two tries to open what was unplugged */
    LINE_BYTES = 256
};

/* ---- the input ---- */

typedef struct {
    const char *path; /* NULL: standard input */
    int fd;           /* -1: to be opened again */
    speed_t baud;
    bool device; /* a terminal line: comes back after it was unplugged */
    bool timed;  /* lines come as the water runs */
    bool skip;   /* up to the next line's end: torn, or too long */
    size_t n;
    char bytes[LINE_BYTES];
    int64_t lines, tried_at;
} Input;

static volatile sig_atomic_t stopped;

static void on_signal(int signal)
{
    (void)signal;
    stopped = 1;
}

static int64_t steady_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (int64_t)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

/* Raw, with nothing that the other end could take for a command; nobody else opens it meanwhile. */
static void device_raw(Input *in)
{
    struct termios line;
    if (tcgetattr(in->fd, &line) != 0)
        return;
    cfmakeraw(&line);
    line.c_cflag |= CLOCAL | CREAD;
    line.c_cflag &= ~(tcflag_t)(CRTSCTS | HUPCL);
    cfsetispeed(&line, in->baud);
    cfsetospeed(&line, in->baud);
    tcsetattr(in->fd, TCSANOW, &line);
    ioctl(in->fd, TIOCEXCL);
}

static bool input_open(Input *in, Fault *fault)
{
    struct stat file;
    in->n = 0;
    in->fd = in->path == NULL ? STDIN_FILENO : -1;
    if (in->path != NULL && stat(in->path, &file) == 0) /* a pipe that is written to never ends */
        in->fd = open(in->path, (S_ISFIFO(file.st_mode) ? O_RDWR : O_RDONLY) | O_NOCTTY |
                                    O_NONBLOCK | O_CLOEXEC);
    if (in->fd < 0)
        return fault_set(fault, FAULT_REFUSED, "%s can't be opened: %s.", in->path,
                         strerror(errno));
    if (fstat(in->fd, &file) != 0)
        return fault_set(fault, FAULT_REFUSED, "The input can't be read: %s.", strerror(errno));
    in->device = in->path != NULL && isatty(in->fd);
    in->timed = in->device || (in->path != NULL && S_ISFIFO(file.st_mode));
    in->skip = in->device;
    if (in->device)
        device_raw(in);
    return true;
}

static void input_take(Input *in, Feed *feed, const char *bytes, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (bytes[i] != '\n') {
            if (in->n < LINE_BYTES)
                in->bytes[in->n++] = bytes[i];
            else
                in->skip = true;
            continue;
        }
        /* Lines of a file have no time of their own: any flow may lie between two of them. */
        const int64_t ms = in->timed ? feed->ms : ++in->lines * MS_PER_HOUR;
        if (!in->skip)
            feed_line(feed, text_slice(in->bytes, in->n), ms);
        in->skip = false;
        in->n = 0;
    }
}

/* False at the end of a file. What was unplugged is opened again once it is back. */
static bool input_turn(Input *in, Feed *feed)
{
    char bytes[1024];
    Fault fault = {0};
    if (in->fd < 0) {
        poll(NULL, 0, WAIT_MS);
        feed->ms = steady_ms();
        if (feed->ms - in->tried_at >= AGAIN_MS) {
            in->tried_at = feed->ms;
            input_open(in, &fault);
        }
        return true;
    }
    struct pollfd waits = {.fd = in->fd, .events = POLLIN};
    const int ready = poll(&waits, 1, WAIT_MS);
    feed->ms = steady_ms();
    if (ready <= 0)
        return true;
    const ssize_t n = read(in->fd, bytes, sizeof bytes);
    if (n > 0)
        input_take(in, feed, bytes, (size_t)n);
    if (n > 0 || (n < 0 && (errno == EINTR || errno == EAGAIN)))
        return true;
    if (!in->device) {
        if (in->n > 0)
            input_take(in, feed, "\n", 1);
        return false;
    }
    fprintf(stderr, "ullage: %s is gone; waiting for it.\n", in->path);
    close(in->fd);
    in->fd = -1;
    in->tried_at = feed->ms;
    return true;
}

/* ---- the command ---- */

#define WHOLE INT64_C(1000) /* numbers come as thousandths */

static bool number_given(const Session *session, int id, int64_t least, int64_t most,
                         int64_t *value, Fault *fault)
{
    const Given *given = arguments_get(&session->arguments, id);
    if (given == NULL)
        return true;
    if (!thousandths_parse(text_of(given->value), true, value, fault))
        return false;
    return (*value >= least && *value <= most) ||
           fault_set(fault, FAULT_USAGE, "%s is out of range: from %lld to %lld.",
                     text_quote(text_of(given->value)).s, (long long)(least / 1000),
                     (long long)(most / 1000));
}

static bool baud_given(const Session *session, speed_t *baud, Fault *fault)
{
    static const struct {
        int64_t rate;
        speed_t speed;
    } rates[] = {{1200, B1200},   {2400, B2400},   {4800, B4800},   {9600, B9600},
                 {19200, B19200}, {38400, B38400}, {57600, B57600}, {115200, B115200}};
    int64_t asked = 9600 * WHOLE;
    if (!number_given(session, OPTION_BAUD, 1200 * WHOLE, 115200 * WHOLE, &asked, fault))
        return false;
    for (size_t i = 0; i < sizeof rates / sizeof rates[0]; i++)
        if (rates[i].rate * WHOLE == asked)
            *baud = rates[i].speed;
    return *baud != 0 || fault_set(fault, FAULT_USAGE,
                                   "--baud is 1200, 2400, 4800, 9600, 19200, 38400, 57600 or "
                                   "115200.");
}

static bool feed_options(Feed *feed, Input *in, Fault *fault)
{
    int64_t per_litre = 0, quiet = 20 * WHOLE, bits = 0;
    const Session *session = feed->session;
    if (!number_given(session, OPTION_PULSES, 1, 100000 * WHOLE, &per_litre, fault) ||
        !number_given(session, OPTION_QUIET, 1000, 3600 * WHOLE, &quiet, fault) ||
        !number_given(session, OPTION_WRAP, 8 * WHOLE, 32 * WHOLE, &bits, fault) ||
        !baud_given(session, &in->baud, fault))
        return false;
    feed->per_litre = (double)per_litre / 1000;
    feed->counter.per_litre = per_litre > 0 ? feed->per_litre : 1000;
    feed->counter.span = bits > 0 ? INT64_C(1) << (bits / WHOLE) : 0;
    feed->quiet_ms = quiet;
    return true;
}

static bool feed_line_known(Feed *feed, Fault *fault)
{
    const State *state = log_state_lent(feed->session->log, NULL, NULL, fault);
    Event e = {0};
    const Reading reading = {state, feed->session->now, feed->session->units};
    event_clear(&e, KIND_METER);
    const bool good = state != NULL &&
                      event_set(&e, 0, text_of(feed->session->arguments.words[0]), &reading, fault);
    feed->line = e.u.meter.line;
    return good;
}

static bool feed_run(Feed *feed, Input *in, Fault *fault)
{
    struct sigaction action = {0};
    action.sa_handler = on_signal;
    sigemptyset(&action.sa_mask);
    stopped = 0;
    sigaction(SIGTERM, &action, NULL);
    sigaction(SIGINT, &action, NULL);
    sigaction(SIGHUP, &action, NULL);
    feed->timed = in->timed;
    while (!stopped && input_turn(in, feed))
        feed_tick(feed);
    return feed_end(feed, fault);
}

static bool run_feed(Session *session, Fault *fault)
{
    Feed *feed = memory_get(sizeof *feed);
    Input in = {.fd = -1};
    feed_begin(feed, session);
    const Arguments *a = &session->arguments;
    in.path = a->word_count > 1 && strcmp(a->words[1], "-") != 0 ? a->words[1] : NULL;
    const bool good = feed_options(feed, &in, fault) && session_open_begun(session, fault) &&
                      feed_line_known(feed, fault) && input_open(&in, fault) &&
                      feed_run(feed, &in, fault);
    if (in.path != NULL && in.fd >= 0)
        close(in.fd);
    free(feed);
    return good;
}

static const Option feed_option_list[] = {
    {"pulses-per-litre", 0, TAKES_VALUE, "N", "pulses of the sensor for a litre", OPTION_PULSES},
    {"quiet", 0, TAKES_VALUE, "SECONDS", "log when the water stood so long; left out: 20",
     OPTION_QUIET},
    {"wrap", 0, TAKES_VALUE, "BITS", "the sensor's count wraps round after so many bits: 16, 32",
     OPTION_WRAP},
    {"baud", 0, TAKES_VALUE, "RATE", "of a serial device; left out: 9600", OPTION_BAUD},
};

const Command command_feed = {
    .name = "feed",
    .gist = "Logs the readings of a flow sensor as it counts",
    .words = "LINE [FILE]",
    .more = "FILE is a serial device, a named pipe or a file; left out, standard input. Each line "
            "is a running count of pulses, or a JSON object with \"pulses\" or \"litres\" "
            "(running, too) and \"c\", the temperature. A reading is logged when the water has "
            "stopped, each minute while it runs, and at the end; the lowest temperature of a day "
            "as a test of the line, the fastest flow as a flow test. While it runs the board "
            "shows it. A count that can't be waits for the line after it; what passed while a "
            "sensor was reset is not made up.",
    .options = feed_option_list,
    .option_count = sizeof feed_option_list / sizeof feed_option_list[0],
    .words_min = 1,
    .words_max = 2,
    .run = run_feed};
