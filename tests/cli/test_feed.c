/* A sensor that counts, simulated: over a pseudo-terminal, a pipe, a file. */
#include "support/logbook.h"
#include "support/run.h"

#include <fcntl.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

static void begin(Run *r)
{
    run_begin(r, "UTC0");
    run_expect(r, 0, "vessel A1 --capacity 100 --class potable --level 90");
    run_expect(r, 0, "couple galley A1");
    run_expect(r, 0, "crew 2");
}

static void a_file_of_counts_becomes_readings_once(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    r.input = "900\nnonsense\n{\"pulses\":1350}\n{\"pulses\":\"x\"}\n4500";
    assert_int_equal(run(&r, "feed galley --pulses-per-litre 450"), 0);
    assert_non_null(strstr(r.err, "2 lines were passed over"));
    run_expect(&r, 0, "log --kind meter");
    run_said(&r, "meter galley 2 L");
    run_said(&r, "meter galley 10 L");
    run_expect(&r, 0, "status --json");
    run_said(&r, "\"volume\":82.000"); /* 8 L passed after the first line */
    /* The same again changes nothing, more of it goes on from there. */
    r.input = "4500\n";
    run_expect(&r, 0, "feed galley --pulses-per-litre 450");
    r.input = "4500\n4950\n";
    run_expect(&r, 0, "feed galley --pulses-per-litre 450");
    run_expect(&r, 0, "status --json");
    run_said(&r, "\"volume\":81.000");
    /* A sensor that begins again from nothing: what it had counted is not made up. */
    r.input = "0\n450\n";
    run_expect(&r, 0, "feed galley --pulses-per-litre 450");
    run_expect(&r, 0, "status --json");
    run_said(&r, "\"volume\":80.000");
    run_expect(&r, 0, "verify");
    run_end(&r);
}

static void litres_and_the_coldest_of_the_day_are_taken_as_they_are(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    r.input = "{\"litres\":5,\"c\":3.4}\n{\"c\":2.9}\n{\"litres\":6.25,\"c\":8}\n{\"c\":300}\n";
    assert_int_equal(run(&r, "feed galley"), 0);
    assert_non_null(strstr(r.err, "1 line was passed over"));
    run_expect(&r, 0, "log");
    run_said(&r, "meter galley 6.25 L");
    run_said(&r, "test galley temp 2.9 C");
    run_end(&r);
}

static void what_can_not_be_is_refused(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_refused(&r, 1, "feed galey --pulses-per-litre 450", "Did you mean 'galley'");
    run_refused(&r, 1, "feed galley /nowhere", "can't be opened");
    run_refused(&r, 2, "feed galley --baud 1234", "--baud is");
    run_refused(&r, 2, "feed galley --pulses-per-litre 0", "out of range");
    r.input = "450\n"; /* pulses of nobody knows what */
    assert_int_equal(run(&r, "feed galley"), 0);
    assert_non_null(strstr(r.err, "--pulses-per-litre"));
    /* More than the line can give: nothing is written, and the end says so. */
    r.input = "0\n90000\n";
    assert_int_equal(run(&r, "feed galley --pulses-per-litre 450"), 1);
    assert_non_null(strstr(r.err, "could give only 90 L"));
    run_expect(&r, 0, "status --json");
    run_said(&r, "\"volume\":90.000");
    run_end(&r);
}

/* ---- a device ---- */

static int sensor_plug(const char *link)
{
    const int sensor = posix_openpt(O_RDWR | O_NOCTTY | O_CLOEXEC);
    assert_true(sensor >= 0 && grantpt(sensor) == 0 && unlockpt(sensor) == 0);
    unlink(link);
    assert_int_equal(symlink(ptsname(sensor), link), 0);
    return sensor;
}

static void sensor_says(int sensor, const char *text)
{
    assert_int_equal(write(sensor, text, strlen(text)), (ssize_t)strlen(text));
}

static pid_t feed_start(const Run *r, const char *link, const char *quiet)
{
    const pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        setenv("HOME", r->folder, 1);
        unsetenv("XDG_DATA_HOME");
        unsetenv("ULLAGE_LOG");
        const int null = open("/dev/null", O_RDWR);
        dup2(null, 1);
        dup2(null, 2);
        execl(ULLAGE_BIN, "ullage", "feed", "galley", link, "--pulses-per-litre", "450", "--quiet",
              quiet, (char *)NULL);
        _exit(127);
    }
    return child;
}

static void feed_stop(pid_t feed)
{
    int status;
    assert_int_equal(kill(feed, SIGTERM), 0);
    assert_int_equal(waitpid(feed, &status, 0), feed);
    assert_true(WIFEXITED(status) && WEXITSTATUS(status) == 0);
}

static void wait_ms(long ms)
{
    nanosleep(&(struct timespec){ms / 1000, ms % 1000 * 1000000}, NULL);
}

/* A sensor on a line of its own, and the feed that listens to it by now. */
static pid_t sensor_begin(Run *r, const char *quiet, char link[160], int *sensor)
{
    begin(r);
    run_path(r, "sensor", link, 160);
    *sensor = sensor_plug(link);
    const pid_t feed = feed_start(r, link, quiet);
    wait_ms(700);
    return feed;
}

/* Until the board shows it, some seconds at most. */
static void status_comes(Run *r, pid_t feed, const char *text)
{
    for (int i = 0; i < 60; i++, wait_ms(250)) {
        run_expect(r, 0, "status --json");
        if (strstr(r->out, text) != NULL)
            return;
    }
    if (feed > 0)
        kill(feed, SIGKILL);
    fail_msg("%s never came: %s", text, r->out);
}

static void level_comes(Run *r, pid_t feed, const char *level)
{
    char volume[40];
    snprintf(volume, sizeof volume, "\"volume\":%s", level);
    status_comes(r, feed, volume);
}

static void a_device_is_read_through_replugs_resets_and_to_the_last_drop(void **unused)
{
    (void)unused;
    Run r;
    char link[160];
    int sensor;
    const pid_t feed = sensor_begin(&r, "1", link, &sensor);
    sensor_says(sensor, "500\n4500\n"); /* of the first line who knows how much was lost */
    wait_ms(300);
    sensor_says(sensor, "49");
    wait_ms(300);
    sensor_says(sensor, "50\n"); /* torn in time, whole in the end */
    level_comes(&r, feed, "89.000");
    close(sensor); /* unplugged; it counts on by itself */
    wait_ms(300);
    sensor = sensor_plug(link);
    wait_ms(1600);
    sensor_says(sensor, "0\n5400\n");
    level_comes(&r, feed, "88.000");
    sensor_says(sensor, "0\n0\n450\n"); /* reset */
    level_comes(&r, feed, "87.000");
    sensor_says(sensor, "900\n");
    wait_ms(300); /* less than it takes to stand still */
    feed_stop(feed);
    level_comes(&r, 0, "86.000");
    run_expect(&r, 0, "verify");
    close(sensor);
    run_end(&r);
}

static bool running_file(const Run *r)
{
    char command[300];
    snprintf(command, sizeof command, "ls '%s'/.local/share/ullage/*-running-* >/dev/null 2>&1",
             r->folder);
    return system(command) == 0; // NOLINT(cert-env33-c): the words are the test's own
}

/* The board hears of running water within a second, without an entry; once it stands, the entry
 * says it, and the word beside the log is gone. */
static void water_that_runs_is_told_before_it_is_logged(void **unused)
{
    (void)unused;
    Run r;
    char link[160];
    int sensor;
    const pid_t feed = sensor_begin(&r, "8", link, &sensor);
    sensor_says(sensor, "0\n4500\n");
    wait_ms(300);
    run_expect(&r, 0, "status --json");
    assert_non_null(strstr(r.out, "\"running_since\":null"));
    sensor_says(sensor, "4590\n");
    wait_ms(400);
    sensor_says(sensor, "4680\n");
    status_comes(&r, feed, "\"running_litres\":0.400");
    run_said(&r, "\"volume\":90.000"); /* nothing is written yet */
    run_expect(&r, 0, "status");
    run_said(&r, "Running");
    run_said(&r, ", 0.40 L since ");
    assert_true(running_file(&r));
    level_comes(&r, feed, "89.600");
    status_comes(&r, feed, "\"running_since\":null");
    assert_false(running_file(&r));
    sensor_says(sensor, "5130\n");
    wait_ms(300);
    feed_stop(feed);
    assert_false(running_file(&r));
    close(sensor);
    run_end(&r);
}

/* Under 3 C is told at once, and again a degree further down; the rest of a day at its end. */
static void cold_is_told_at_once(void **unused)
{
    (void)unused;
    Run r;
    char link[160];
    int sensor;
    const pid_t feed = sensor_begin(&r, "1", link, &sensor);
    sensor_says(sensor, "0\n{\"c\":3}\n");
    wait_ms(300);
    run_expect(&r, 0, "log --kind test");
    assert_null(strstr(r.out, "test galley"));
    sensor_says(sensor, "{\"c\":2.9}\n{\"c\":2}\n{\"c\":1.9}\n{\"c\":1.5}\n{\"c\":4}\n");
    wait_ms(300);
    run_expect(&r, 0, "log --kind test");
    run_said(&r, "temp 2.9 C");
    run_said(&r, "temp 1.9 C");
    assert_null(strstr(r.out, "temp 2 C"));
    assert_null(strstr(r.out, "temp 1.5 C"));
    feed_stop(feed);
    run_expect(&r, 0, "log --kind test");
    run_said(&r, "temp 1.5 C");
    assert_null(strstr(r.out, "temp 4 C"));
    close(sensor);
    run_end(&r);
}

/* A sensor that nobody can rely on. What it counts between two of its lines is the truth that the
 * feed has to know; what passed while it was reset, or before its first line, nobody knows. */
typedef struct {
    int fd;
    const char *link;
    int64_t count, said; /* at its latest whole line; -1: none that tells of what comes */
    int64_t truth;       /* pulses that lie between whole lines */
} Sensor;

static void sensor_count(Sensor *s)
{
    char line[40];
    if (s->said >= 0)
        s->truth += s->count - s->said;
    s->said = s->count;
    snprintf(line, sizeof line, "%lld\n", (long long)s->count);
    sensor_says(s->fd, line);
}

/* It counts on by itself. The first line after it is opened may be torn, and is passed over. */
static void sensor_replug(Sensor *s, Dice *dice)
{
    close(s->fd);
    wait_ms(50);
    s->fd = sensor_plug(s->link);
    wait_ms(1400);
    s->count += dice_from(dice, 0, 100);
    sensor_says(s->fd, "77");
    sensor_says(s->fd, "7\n");
    sensor_count(s);
}

/* It begins from nothing, or was turned on: two lines agree before it is believed. */
static void sensor_reset(Sensor *s)
{
    s->count = 0;
    s->said = -1;
    for (int i = 0; i < 2; i++)
        sensor_count(s);
}

static void sensor_tear(Sensor *s, Dice *dice)
{
    char line[60];
    const int64_t i = dice_from(dice, 0, 5);
    if (i == 0)
        snprintf(line, sizeof line, "\n");
    else
        snprintf(line, sizeof line,
                 i == 1   ? "%lld{\n"
                 : i == 2 ? "x%lld\n"
                 : i == 3 ? "{\"pulses\":%lld\n"
                 : i == 4 ? "-%lld\n"
                          : "%lld99999999\n",
                 (long long)s->count);
    sensor_says(s->fd, line);
}

/* ULLAGE_TRIALS: how many; 1,000 take half an hour. */
static void a_bad_sensor_is_right_to_the_pulse_outside_of_gaps(void **unused)
{
    (void)unused;
    const char *asked = getenv("ULLAGE_TRIALS");
    const int trials = asked != NULL ? atoi(asked) : 40;
    Run r;
    char link[160], expected[60];
    Dice dice = {20261126};
    run_begin(&r, "UTC0");
    run_expect(&r, 0, "vessel A1 --capacity 1000 --class potable --level 1000");
    run_expect(&r, 0, "couple galley A1");
    run_path(&r, "sensor", link, sizeof link);
    Sensor s = {.fd = sensor_plug(link), .link = link, .said = -1};
    const pid_t feed = feed_start(&r, link, "1");
    wait_ms(700);
    sensor_says(s.fd, "1\n"); /* of the first line who knows how much was lost */
    sensor_count(&s);
    for (int i = 0; i < trials; i++) {
        const int64_t what = dice_from(&dice, 0, 14);
        s.count += dice_from(&dice, 0, 200);
        if (what == 0)
            sensor_replug(&s, &dice);
        else if (what <= 2)
            sensor_reset(&s);
        else if (what <= 7)
            sensor_tear(&s, &dice);
        else
            sensor_count(&s);
        wait_ms(20);
    }
    sensor_count(&s);
    wait_ms(300);
    feed_stop(feed);
    run_expect(&r, 0, "status --json");
    const char *volume = strstr(r.out, "\"volume\":");
    assert_non_null(volume);
    const double left = strtod(volume + strlen("\"volume\":"), NULL);
    const double truth = 1000 - (double)s.truth / 450;
    snprintf(expected, sizeof expected, "%.3f", truth);
    if (left > truth + 1.0 / 450 + 0.001 || left < truth - 1.0 / 450 - 0.001)
        fail_msg("%.3f L are left, %s L should be", left, expected);
    run_expect(&r, 0, "verify");
    close(s.fd);
    run_end(&r);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_file_of_counts_becomes_readings_once),
        cmocka_unit_test(litres_and_the_coldest_of_the_day_are_taken_as_they_are),
        cmocka_unit_test(what_can_not_be_is_refused),
        cmocka_unit_test(a_device_is_read_through_replugs_resets_and_to_the_last_drop),
        cmocka_unit_test(a_bad_sensor_is_right_to_the_pulse_outside_of_gaps),
        cmocka_unit_test(water_that_runs_is_told_before_it_is_logged),
        cmocka_unit_test(cold_is_told_at_once),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
