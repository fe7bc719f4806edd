/* ullage sync: what it says, what it refuses, and that it ends when it is told to. */
#include "base/text.h"
#include "support/run.h"

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

typedef struct {
    Run run;
    char folder[256], other[256], words[700];
} Two;

static void two_begin(Two *t)
{
    run_begin(&t->run, "UTC0");
    run_path(&t->run, "shared", t->folder, sizeof t->folder);
    run_path(&t->run, "other.db", t->other, sizeof t->other);
    assert_int_equal(mkdir(t->folder, 0700), 0);
    run_expect(&t->run, 0,
               "vessel A1 --capacity 12 --class potable --level 5 --at 2024-05-01T08:00:00Z");
    snprintf(t->words, sizeof t->words, "sync %s", t->folder);
    run_expect(&t->run, 0, t->words);
    run_said(&t->run, "0 entries taken in, 1 written.");
}

static void on_other(Two *t, const char *words)
{
    snprintf(t->words, sizeof t->words, "%s --log %s", words, t->other);
    run_expect(&t->run, 0, t->words);
}

static void it_says_what_the_others_changed(void **unused)
{
    (void)unused;
    Two t;
    char words[400];
    two_begin(&t);
    snprintf(words, sizeof words, "sync %s", t.folder);
    on_other(&t, words);
    run_said(&t.run, "1 entry taken in, 0 written.");
    on_other(&t, "fill A1 3 --class questionable --at 2024-05-02T08:00:00Z");
    on_other(&t, "sync");
    run_expect(&t.run, 0, "sync");
    run_said(&t.run, "1 entry taken in, 0 written.");
    run_said(&t.run, "A1 5.0 L -> 8.0 L");
    run_said(&t.run, " -> questionable, raw\n");
    on_other(&t, "draw A1 1 --at 2024-05-03T08:00:00Z");
    on_other(&t, "sync");
    run_expect(&t.run, 0, "sync --json");
    run_said(&t.run, "\"added\":1,\"written\":0,\"waiting\":0,\"discrepancies\":0,\"told\":[],"
                     "\"changes\":[");
    run_said(&t.run, "\"A1 8.0 L -> 7.0 L\"");
    /* merge says it alike */
    on_other(&t, "draw A1 2 --at 2024-05-04T08:00:00Z");
    snprintf(words, sizeof words, "merge %s", t.other);
    run_expect(&t.run, 0, words);
    run_said(&t.run, "1 added");
    run_said(&t.run, "A1 7.0 L -> 5.0 L");
    run_end(&t.run);
}

/* Two people, one cartridge: each logs it, and one spare would be lost. */
static void one_swap_logged_on_two_machines_is_told(void **unused)
{
    (void)unused;
    Two t;
    char words[400], id[48];
    two_begin(&t);
    snprintf(words, sizeof words, "sync %s", t.folder);
    on_other(&t, words);
    run_expect(&t.run, 0, "stage sediment --type sediment --line galley --position 1 --at -3d");
    run_expect(&t.run, 0, "spares sediment 3 --at -3d");
    run_expect(&t.run, 0, "sync");
    on_other(&t, "sync");
    run_not_said(&t.run, "likely");
    run_expect(&t.run, 0, "swap sediment --at -40m");
    on_other(&t, "swap sediment --at -20m");
    run_expect(&t.run, 0, "sync");
    on_other(&t, "sync");
    run_said(&t.run, "swap sediment: likely the one that another machine logged 20 minutes before");
    const char *at = strstr(t.run.out, "ullage void ");
    assert_non_null(at);
    snprintf(id, sizeof id, "void %.36s", at + strlen("ullage void "));
    run_expect(&t.run, 0, "sync"); /* here the other's comes in, and is told as well */
    run_said(&t.run, "likely");
    run_expect(&t.run, 0, "status");
    run_said(&t.run, "The swap of sediment of");
    run_said(&t.run, "keep both (ullage settle).");
    run_expect(&t.run, 0, "status --json");
    run_said(&t.run, "\"spares\":1"); /* the safe side: none is believed in that may not be there */
    on_other(&t, id);
    on_other(&t, "sync");
    run_expect(&t.run, 0, "sync");
    run_said(&t.run, "no longer in the list of discrepancies: swap sediment");
    run_expect(&t.run, 0, "status");
    run_not_said(&t.run, "likely");
    run_expect(&t.run, 0, "status --json");
    run_said(&t.run, "\"spares\":2");
    run_end(&t.run);
}

/* Logs that never were in step have their marks too, and one that meets its copy takes another. */
static void a_merge_tells_of_one_fill_logged_in_both(void **unused)
{
    (void)unused;
    Two t;
    char words[400];
    run_begin(&t.run, "UTC0");
    run_path(&t.run, "other.db", t.other, sizeof t.other);
    run_expect(&t.run, 0, "vessel A1 --capacity 20 --class potable --at -3d");
    snprintf(words, sizeof words, "backup %s", t.other);
    run_expect(&t.run, 0, words);
    on_other(&t, "note copied");
    snprintf(words, sizeof words, "merge %s", t.other);
    run_expect(&t.run, 0, words);
    run_expect(&t.run, 0, "fill A1 1 --at -9m");
    run_expect(&t.run, 0, "fill A1 1 --at -8m"); /* two on one machine are two */
    run_expect(&t.run, 0, "status");
    run_not_said(&t.run, "likely");
    on_other(&t, "fill A1 1 --at -7m");
    run_expect(&t.run, 0, words);
    run_said(&t.run, "fill A1: likely the one that another machine logged 1 minute before");
    run_said(&t.run, "ullage void ");
    run_end(&t.run);
}

static void it_refuses_what_it_cannot_do(void **unused)
{
    (void)unused;
    Run r;
    run_begin(&r, "UTC0");
    run_refused(&r, 2, "sync", "No folder is set");
    run_refused(&r, 1, "sync /nonexistent/folder", "Is its disk there?");
    run_refused(&r, 2, "sync /tmp --every 0", "give a whole number of seconds, 1 to 86400");
    run_refused(&r, 2, "sync /tmp --every 86401", "give a whole number of seconds");
    run_refused(&r, 2, "sync /tmp --every 5x", "give a whole number of seconds");
    run_end(&r);
}

static void who_leaves_takes_no_part(void **unused)
{
    (void)unused;
    Two t;
    two_begin(&t);
    run_expect(&t.run, 0, "sync --leave");
    run_refused(&t.run, 2, "sync", "No folder is set");
    run_end(&t.run);
}

/* In the foreground, it brings what is new, and ends with status 0 when it is told to. */
static void it_goes_on_until_it_is_told_to_end(void **unused)
{
    (void)unused;
    Two t;
    char words[400];
    two_begin(&t);
    const pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        if (freopen("/dev/null", "w", stdout) == NULL)
            _exit(9);
        execl(ULLAGE_BIN, "ullage", "sync", t.folder, "--every", "1", "--log", t.other,
              (char *)NULL);
        _exit(9);
    }
    run_expect(&t.run, 0, "draw A1 1 --at 2024-05-03T08:00:00Z");
    run_expect(&t.run, 0, "sync");
    snprintf(words, sizeof words, "log --log %s", t.other);
    bool there = false;
    for (int i = 0; i < 200 && !there; i++) {
        nanosleep(&(struct timespec){.tv_nsec = 100000000}, NULL);
        there = run(&t.run, words) == 0 && strstr(t.run.out, "draw") != NULL;
    }
    assert_true(there);
    assert_int_equal(kill(child, SIGTERM), 0);
    int status;
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(WIFEXITED(status));
    assert_int_equal(WEXITSTATUS(status), 0);
    run_end(&t.run);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(it_says_what_the_others_changed),
        cmocka_unit_test(one_swap_logged_on_two_machines_is_told),
        cmocka_unit_test(a_merge_tells_of_one_fill_logged_in_both),
        cmocka_unit_test(it_refuses_what_it_cannot_do),
        cmocka_unit_test(who_leaves_takes_no_part),
        cmocka_unit_test(it_goes_on_until_it_is_told_to_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
