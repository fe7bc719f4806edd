/* An idle board is told of changes; it asks only for a while after one, or where it can't be told.
 */
#include "store/running.h"
#include "tui/watch.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

static char folder[40];
static char path[64], wal[64], other[64];

static void put(const char *name, const char *bytes)
{
    FILE *file = fopen(name, "a");
    assert_non_null(file);
    assert_true(fputs(bytes, file) >= 0);
    assert_int_equal(fclose(file), 0);
}

static int begin(void **unused)
{
    (void)unused;
    (void)snprintf(folder, sizeof folder, "%s", "/tmp/ullage-watch-XXXXXX");
    if (mkdtemp(folder) == NULL)
        return -1;
    (void)snprintf(path, sizeof path, "%s/water.db", folder);
    (void)snprintf(wal, sizeof wal, "%s/water.db-wal", folder);
    (void)snprintf(other, sizeof other, "%s/other", folder);
    put(path, "log");
    return 0;
}

static int end(void **unused)
{
    (void)unused;
    (void)unlink(path);
    (void)unlink(wal);
    (void)unlink(other);
    return rmdir(folder);
}

static void watch_or_skip(Watch *watch)
{
    watch_open(watch, path);
    if (!watch->told)
        skip(); /* a system that can't tell */
}

/* Is the log to be asked, at a time long after what went before? */
static bool asked(Watch *watch, int64_t at)
{
    watch_drain(watch, at);
    return watch_quiet(watch, at) < 1000;
}

static void a_write_is_told_and_then_asked_for_a_while(void **unused)
{
    (void)unused;
    Watch watch;
    watch_or_skip(&watch);
    int64_t at = 1000000;
    assert_false(asked(&watch, at));
    put(other, "of no concern");
    assert_false(asked(&watch, at += 100));
    put(path, "more");
    assert_true(asked(&watch, at += 100));
    assert_true(asked(&watch, at + 19999));
    assert_false(asked(&watch, at + 20000));
    at += 100000;
    put(wal, "a -wal that was not there");
    assert_false(asked(&watch, at)); /* not told, until it is looked for: each minute */
    put(wal, "more");
    assert_true(asked(&watch, at += 100));
    watch_close(&watch);
}

static void a_log_that_is_moved_removed_or_replaced_is_told(void **unused)
{
    (void)unused;
    Watch watch;
    watch_or_skip(&watch);
    int64_t at = 1000000;
    put(other, "a backup put in its place");
    assert_int_equal(rename(other, path), 0);
    assert_true(asked(&watch, at));
    assert_false(asked(&watch, at += 100000));
    put(path, "and written to");
    assert_true(asked(&watch, at));
    assert_int_equal(unlink(path), 0);
    assert_true(asked(&watch, at += 100000));
    assert_true(asked(&watch, at += 100000)); /* nothing there that could tell: asked for good */
    put(path, "back");
    watch_renew(&watch);
    assert_false(asked(&watch, at += 100000));
    watch_close(&watch);
}

static void a_log_in_memory_is_never_asked(void **unused)
{
    (void)unused;
    Watch watch;
    watch_open(&watch, "");
    assert_true(watch_quiet(&watch, 0) == INT64_MAX);
    watch_drain(&watch, 0);
    assert_true(watch_quiet(&watch, 0) == INT64_MAX);
    watch_close(&watch);
}

/* A feed tells that water runs beside the log: what wakes the board is the log's own time. */
static void running_water_wakes_an_idle_board(void **unused)
{
    (void)unused;
    Watch watch;
    watch_or_skip(&watch);
    int64_t at = 1000000;
    assert_false(asked(&watch, at));
    running_wake(path);
    assert_true(asked(&watch, at += 100));
    assert_true(asked(&watch, at + RUNNING_WAKE_MS + 1000)); /* the next one comes in time */
    assert_false(asked(&watch, at + 20000));
    watch_close(&watch);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(running_water_wakes_an_idle_board, begin, end),
        cmocka_unit_test_setup_teardown(a_write_is_told_and_then_asked_for_a_while, begin, end),
        cmocka_unit_test_setup_teardown(a_log_that_is_moved_removed_or_replaced_is_told, begin,
                                        end),
        cmocka_unit_test(a_log_in_memory_is_never_asked),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
