/* cmd_feed.c - a sensor's running count, line by line, becomes readings of the line's meter. */
#include "cli/command.h"

#include "base/memory.h"
#include "model/field.h"
#include "model/tell.h"
#include "reckon/counter.h"
#include "reckon/flow.h"
#include "store/running.h"
#include "store/sensor.h"

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
    RUN_MS = 60 * 1000,  /* so often it is logged while the water runs */
    TELL_MS = 500,       /* so often the boards are told */
    FLOW_LEAST_ML = 200, /* in a window of flow.h: what stands for the train is no trickle */
    COLD = 3000,         /* thousandths of a degree: under it a cold one is told at once, */
    COLD_STEP = 1000,    /* and again where it is so much colder (common practice, no source) */
    WAIT_MS = 250,       /* one look at the signals, the stillness, the device */
    AGAIN_MS = 1000,     /* between two tries to open what was unplugged */
    LINE_BYTES = 256
};

typedef struct {
    Session *session;
    Label line;
    Counter counter;
    bool timed;       /* lines come as the water runs, not out of a file */
    double per_litre; /* 0: only litres are taken */
    int64_t quiet_ms;
    int64_t counts; /* the sensor's count, what wrapped round added to it */
    int64_t logged; /* the same at the latest reading in the log */
    bool fresh;     /* the next reading is that of another meter */
    double owed;    /* mL that rounding left out of the readings before a new start */
    int64_t ms;     /* steady: what follows is by it, and now */
    int64_t flow_at, run_at, tried_at; /* latest flow, the run's begin or its latest entry, ... */
    Moment written;                    /* time of the latest entry: the next comes after it */
    int64_t wrong;                     /* lines that were no count */
    Flow flow;
    Running running; /* since 0: nothing runs */
    int64_t told_at, woken_at;
    int64_t day;         /* local civil day of what follows: the day's coldest and fastest */
    bool cold_known;     /* and not logged */
    int64_t coldest;     /* thousandths of a degree */
    int64_t cold_logged; /* the same, told that day; INT64_MAX: none */
    int64_t flow_counts, flow_ms; /* 0: none was sustained */
    Fault told;                   /* what the log said last, told once */
} Feed;

/* ---- what is told, what is written ---- */

static void feed_tell(Feed *feed, const Fault *fault)
{
    if (strcmp(feed->told.text, fault->text) != 0)
        fprintf(stderr, "ullage: %s\n", fault->text);
    feed->told = *fault;
}

static Moment feed_now(const Feed *feed)
{
    const Moment now = session_clock();
    return now.ms > feed->written.ms ? now : (Moment){feed->written.ms + 1};
}

static bool feed_append(Feed *feed, Event *e)
{
    Fault fault = {0};
    e->at = feed_now(feed);
    e->zone = (int32_t)moment_local_zone(e->at);
    if (!log_append(feed->session->log, e, e->at, &fault)) {
        feed_tell(feed, &fault);
        return false;
    }
    Str line = {0};
    char when[64];
    event_tell(e, feed->session->units, true, &line);
    printf("%s  %s\n", moment_print_zone(e->at, e->zone, when), line.s);
    fflush(stdout);
    str_finish(&line);
    feed->written = e->at;
    feed->told = (Fault){0};
    return true;
}

static void field_put(Event *e, const char *name, int64_t value)
{
    const Kind *kind = kind_of((KindId)e->kind);
    const int field = kind_field(kind, text_of(name));
    *field_number(e, &kind->fields[field]) = value;
    e->has |= 1u << field;
}

static Event feed_event(const Feed *feed, KindId id)
{
    Event e = {0};
    event_clear(&e, id);
    const Kind *kind = kind_of(id);
    const int field = kind_field(kind, text_of("line"));
    *field_label(&e, &kind->fields[field]) = feed->line;
    e.has |= 1u << field;
    return e;
}

static int64_t feed_ml(const Feed *feed, int64_t counts)
{
    return (int64_t)((double)counts * 1000 / feed->counter.per_litre);
}

static bool feed_log_reading(Feed *feed, int64_t ml)
{
    Event e = feed_event(feed, KIND_METER);
    feed->tried_at = feed->ms;
    field_put(&e, "reading", ml);
    if (feed->fresh)
        field_put(&e, "new", 1);
    if (!feed_append(feed, &e))
        return false;
    feed->logged = feed->counts;
    feed->fresh = false;
    return true;
}

/* A reading of what is open. Where the log refuses it, it is tried again with the next. */
static bool feed_log(Feed *feed)
{
    if (feed->counts == feed->logged && !feed->fresh)
        return true;
    return feed_log_reading(feed, feed_ml(feed, feed->counts));
}

/* The last reading before a new start: to the nearest millilitre, with what was left out before. */
static void feed_anew(Feed *feed, int64_t count)
{
    const double per_ml = feed->counter.per_litre / 1000;
    const double end = (double)feed->counts / per_ml + feed->owed;
    const int64_t least = feed_ml(feed, feed->counts);
    const int64_t ml = (int64_t)(end + 0.5) > least ? (int64_t)(end + 0.5) : least;
    if ((ml == least ? feed_log(feed) : feed_log_reading(feed, ml)))
        feed->owed = end - (double)ml;
    feed->counts = count;
    feed->flow.samples = 0;
    feed->fresh = true;
    feed_log(feed);
    feed->owed -= (double)count / per_ml - (double)feed_ml(feed, count);
}

static bool feed_log_cold(Feed *feed)
{
    Event e = feed_event(feed, KIND_TEST);
    if (!feed->cold_known)
        return true;
    field_put(&e, "temp_c", feed->coldest);
    feed->cold_known = !feed_append(feed, &e);
    if (!feed->cold_known)
        feed->cold_logged = feed->coldest;
    return !feed->cold_known;
}

/* The fastest flow of the day, as a flow test that a meter counted. */
static bool feed_log_flow(Feed *feed)
{
    Event e = feed_event(feed, KIND_FLOWTEST);
    const int64_t ml = feed_ml(feed, feed->flow_counts);
    if (ml < FLOW_LEAST_ML)
        return true;
    field_put(&e, "litres", ml);
    field_put(&e, "seconds", feed->flow_ms);
    field_put(&e, "counted", 1);
    if (!feed_append(feed, &e))
        return false;
    feed->flow_counts = feed->flow_ms = 0;
    return true;
}

/* With the first sign of another day what the day before had is logged. */
static void feed_day(Feed *feed)
{
    const Moment now = feed_now(feed);
    const int64_t day = (now.ms + moment_local_zone(now) * MS_PER_MINUTE) / MS_PER_DAY;
    if (day == feed->day)
        return;
    if (feed->day != 0) {
        feed_log_cold(feed);
        feed_log_flow(feed);
    }
    feed->cold_logged = INT64_MAX;
    feed->day = day;
}

/* ---- what runs, told to the boards ---- */

static void feed_runs(Feed *feed, int64_t passed)
{
    int64_t counts, ms;
    if (feed->running.since == 0)
        feed->running = (Running){.line = feed->line, .since = feed_now(feed).ms};
    feed->running.ml += feed_ml(feed, passed);
    if (flow_sustained(&feed->flow, &counts, &ms) &&
        (feed->flow_ms == 0 ||
         (double)counts / (double)ms > (double)feed->flow_counts / (double)feed->flow_ms)) {
        feed->flow_counts = counts;
        feed->flow_ms = ms;
    }
}

static void feed_tell_boards(Feed *feed)
{
    if (feed->running.since == 0 || !feed->timed || feed->ms - feed->told_at < TELL_MS)
        return;
    feed->told_at = feed->ms;
    feed->running.at = feed_now(feed).ms;
    feed->running.ml_min =
        (int64_t)(flow_rate(&feed->flow, feed->ms) * 1000 / feed->counter.per_litre);
    if (feed->ms - feed->flow_at > RUNNING_OLD_MS)
        feed->running.ml_min = 0;
    running_tell(log_path(feed->session->log), &feed->running);
    if (feed->ms - feed->woken_at >= RUNNING_WAKE_MS) {
        feed->woken_at = feed->ms;
        running_wake(log_path(feed->session->log));
    }
}

static void feed_stands(Feed *feed)
{
    if (feed->running.since != 0)
        running_end(log_path(feed->session->log), &feed->line);
    feed->running.since = feed->woken_at = 0;
}

/* ---- lines ---- */

/* The sensor goes on from where the log knows it, where that can be; else it is another meter. */
static bool feed_resume(Feed *feed, int64_t count, Fault *fault)
{
    State *state = memory_get(sizeof *state);
    int64_t entries;
    const bool good = log_state(feed->session->log, state, &entries, fault);
    const int index = good ? state_line(state, &feed->line) : -1;
    if (index >= 0) {
        const Line *line = &state->lines[index];
        feed->counts = count;
        while (feed->counter.span > 0 && line->meter_at != MOMENT_NONE_MS &&
               feed_ml(feed, feed->counts) + 1 < line->meter_ml)
            feed->counts += feed->counter.span;
        const int64_t passed = feed_ml(feed, feed->counts) - line->meter_ml;
        const double most =
            ((double)(feed_now(feed).ms - line->meter_at) + 1000 * COUNTER_SLACK_S) *
            COUNTER_LITRES_PER_S;
        const bool known = line->meter_at != MOMENT_NONE_MS;
        feed->fresh = known && (passed < 0 || (feed->timed && (double)passed > most));
        feed->logged = known && !feed->fresh && passed == 0 ? feed->counts : -1;
        feed->written = (Moment){state->last_at < feed_now(feed).ms ? state->last_at : 0};
    }
    free(state);
    return good;
}

static void feed_count(Feed *feed, int64_t count, int64_t ms)
{
    int64_t passed;
    Fault fault = {0};
    switch (counter_take(&feed->counter, count, ms, &passed)) {
    case COUNTER_BEGAN:
        feed->counter.begun = feed_resume(feed, count, &fault);
        if (feed->counter.begun)
            feed_log(feed);
        else
            feed_tell(feed, &fault); /* the next line is the first, then */
        return;
    case COUNTER_WAITS:
        return;
    case COUNTER_ANEW:
        fprintf(stderr,
                "ullage: the count of %s began anew at %lld; what passed meanwhile is not known.\n",
                feed->line.s, (long long)count);
        feed_anew(feed, count);
        return;
    case COUNTER_COUNTS:
        break;
    }
    if (passed > 0 && feed->counts == feed->logged)
        feed->run_at = feed->ms;
    feed->counts += passed;
    flow_take(&feed->flow, feed->counts, feed->ms);
    if (passed == 0)
        return;
    feed->flow_at = feed->ms;
    if (feed->timed)
        feed_runs(feed, passed);
}

static void feed_cold(Feed *feed, int64_t thousandths)
{
    if (thousandths >= feed->cold_logged)
        return;
    if (!feed->cold_known || thousandths < feed->coldest)
        feed->coldest = thousandths;
    feed->cold_known = true;
    if (feed->timed && thousandths < COLD &&
        (feed->cold_logged == INT64_MAX || thousandths <= feed->cold_logged - COLD_STEP))
        feed_log_cold(feed);
}

static void feed_line(Feed *feed, Text line, int64_t ms)
{
    SensorLine sensor;
    if (text_trim(line).n == 0)
        return;
    if (!sensor_read(feed->session->log, line, &sensor) ||
        (sensor.pulses >= 0 && feed->per_litre <= 0)) {
        if (feed->wrong++ == 0)
            fprintf(stderr,
                    "ullage: %s is no count that can be used%s; such lines are passed over.\n",
                    text_quote(line).s,
                    feed->per_litre <= 0 ? " (pulses need --pulses-per-litre)" : "");
        return;
    }
    feed_day(feed);
    if (sensor.pulses >= 0)
        feed_count(feed, sensor.pulses, ms);
    else if (sensor.ml >= 0)
        feed_count(feed, sensor.ml, ms);
    if (sensor.has_temperature)
        feed_cold(feed, sensor.temperature);
}

static void feed_tick(Feed *feed)
{
    const int64_t since = feed->run_at > feed->tried_at ? feed->run_at : feed->tried_at;
    const bool still = feed->ms - feed->flow_at >= feed->quiet_ms &&
                       feed->tried_at < feed->flow_at + feed->quiet_ms;
    if (feed->counts != feed->logged && feed->counter.begun &&
        (still || feed->ms - since >= RUN_MS))
        feed_log(feed);
    if (feed->ms - feed->flow_at >= feed->quiet_ms)
        feed_stands(feed);
    feed_tell_boards(feed);
}

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
    State *state = memory_get(sizeof *state);
    int64_t entries;
    Event e = {0};
    const Reading reading = {state, feed->session->now, feed->session->units};
    event_clear(&e, KIND_METER);
    const bool good = log_state(feed->session->log, state, &entries, fault) &&
                      event_set(&e, 0, text_of(feed->session->arguments.words[0]), &reading, fault);
    feed->line = e.u.meter.line;
    free(state);
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
    feed_stands(feed);
    const bool good =
        (!feed->counter.begun || feed_log(feed)) && feed_log_cold(feed) && feed_log_flow(feed);
    if (feed->wrong > 0)
        fprintf(stderr, "ullage: %lld line%s passed over.\n", (long long)feed->wrong,
                feed->wrong == 1 ? " was" : "s were");
    if (!good)
        *fault = feed->told;
    return good;
}

static bool run_feed(Session *session, Fault *fault)
{
    Feed *feed = memory_get(sizeof *feed);
    Input in = {.fd = -1};
    feed->session = session;
    feed->logged = -1;
    feed->cold_logged = INT64_MAX;
    const Arguments *a = &session->arguments;
    in.path = a->word_count > 1 && strcmp(a->words[1], "-") != 0 ? a->words[1] : NULL;
    const bool good = feed_options(feed, &in, fault) && session_open(session, LOG_WRITE, fault) &&
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
    .more =
        "FILE is a serial device, a named pipe or a file; left out, standard input. Each line is a "
        "running count of pulses, or a JSON object with \"pulses\" or \"litres\" (running, too) "
        "and "
        "\"c\", the temperature. A reading is logged when the water has stopped, each minute while "
        "it runs, and at the end; the lowest temperature of a day as a test of the line, the "
        "fastest "
        "flow as a flow test. While it runs the board shows it. A count "
        "that can't be waits for the line after it; what passed while a sensor was reset is not "
        "made up.",
    .options = feed_option_list,
    .option_count = sizeof feed_option_list / sizeof feed_option_list[0],
    .words_min = 1,
    .words_max = 2,
    .run = run_feed};
