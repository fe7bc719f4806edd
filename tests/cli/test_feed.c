/* A sensor that counts, simulated: over a pseudo-terminal, a pipe, a file. */
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

static pid_t feed_start(const Run *r, const char *link)
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
              "1", (char *)NULL);
        _exit(127);
    }
    return child;
}

static void wait_ms(long ms)
{
    nanosleep(&(struct timespec){ms / 1000, ms % 1000 * 1000000}, NULL);
}

/* Until the board shows the level, some seconds at most. */
static void level_comes(Run *r, pid_t feed, const char *level)
{
    char volume[40];
    snprintf(volume, sizeof volume, "\"volume\":%s", level);
    for (int i = 0; i < 40; i++, wait_ms(250)) {
        run_expect(r, 0, "status --json");
        if (strstr(r->out, volume) != NULL)
            return;
    }
    if (feed > 0)
        kill(feed, SIGKILL);
    fail_msg("%s never came: %s", volume, r->out);
}

static void a_device_is_read_through_replugs_resets_and_to_the_last_drop(void **unused)
{
    (void)unused;
    Run r;
    char link[160];
    begin(&r);
    run_path(&r, "sensor", link, sizeof link);
    int sensor = sensor_plug(link);
    const pid_t feed = feed_start(&r, link);
    wait_ms(700);
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
    assert_int_equal(kill(feed, SIGTERM), 0);
    int status;
    assert_int_equal(waitpid(feed, &status, 0), feed);
    assert_true(WIFEXITED(status) && WEXITSTATUS(status) == 0);
    level_comes(&r, 0, "86.000");
    run_expect(&r, 0, "verify");
    close(sensor);
    run_end(&r);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_file_of_counts_becomes_readings_once),
        cmocka_unit_test(litres_and_the_coldest_of_the_day_are_taken_as_they_are),
        cmocka_unit_test(what_can_not_be_is_refused),
        cmocka_unit_test(a_device_is_read_through_replugs_resets_and_to_the_last_drop),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
