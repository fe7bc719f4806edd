/* Import and export as a whole: all or nothing, whatever happens in the middle. */
#include "support/full_disk.h"
#include "support/store_kit.h"

#include <fcntl.h>
#include <signal.h>
#include <sys/wait.h>

#define DRAW                                                                                       \
    "{\"at\":\"2026-03-02T08:00:00Z\",\"kind\":\"draw\",\"vessel\":\"A1\",\"litres\":0.5}\n"

static int64_t entries_of(Log *log)
{
    State *s = malloc(sizeof *s);
    int64_t entries;
    kit_state(log, s, &entries);
    free(s);
    return entries;
}

static void several_files_are_one_transaction(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    static char good[] = KIT_SETUP, bad[] = DRAW "{\"at\":\"2026-03-02T08:00:00Z\"}\n";
    FILE *one = fmemopen(good, sizeof good - 1, "r"), *two = fmemopen(bad, sizeof bad - 1, "r");
    PortInput inputs[] = {{"one.jsonl", one}, {"two.jsonl", two}};
    Fault fault = {0};
    LogIntake intake;
    assert_false(port_import(log, &(PortImport){.inputs = inputs, .count = 2, .now = KIT_NOW},
                             &intake, &fault));
    assert_says(fault, "two.jsonl, line 2, field kind");
    assert_int_equal(entries_of(log), 0);
    fclose(one);
    fclose(two);
    log_close(log);
}

static void a_dry_import_counts_and_writes_nothing(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    static char text[] = KIT_SETUP DRAW;
    FILE *in = fmemopen(text, sizeof text - 1, "r");
    PortInput input = {"a", in};
    Fault fault = {0};
    LogIntake intake;
    assert_true(
        port_import(log, &(PortImport){.inputs = &input, .count = 1, .now = KIT_NOW, .dry = true},
                    &intake, &fault));
    assert_int_equal(intake.added, 2);
    assert_int_equal(entries_of(log), 0);
    fclose(in);
    log_close(log);
}

static void an_empty_file_is_no_entries(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    assert_int_equal(kit_import(log, "").read, 0);
    assert_int_equal(kit_import(log, "\n \n").read, 0);
    log_close(log);
}

static void note_progress(void *context, int64_t bytes, int64_t lines)
{
    int64_t *last = context;
    assert_true(bytes >= last[0] && lines >= last[1]);
    last[0] = bytes;
    last[1] = lines;
    last[2]++;
}

static void progress_is_told_now_and_then(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    Str text = {0};
    for (int i = 0; i < 5000; i++)
        str_adds(&text, DRAW);
    FILE *in = fmemopen(text.s, text.n, "r");
    PortInput input = {"a", in};
    Fault fault = {0};
    LogIntake intake;
    int64_t last[3] = {0};
    assert_true(port_import(log,
                            &(PortImport){.inputs = &input,
                                          .count = 1,
                                          .now = KIT_NOW,
                                          .dry = true,
                                          .progress = note_progress,
                                          .context = last},
                            &intake, &fault));
    assert_int_equal(last[0], text.n);
    assert_int_equal(last[1], 5000);
    assert_true(last[2] >= 2);
    fclose(in);
    str_finish(&text);
    log_close(log);
}

/* An import is killed (SIGKILL) while its rows have spilled to the file already: nothing of it is
 * there. */
static void an_import_that_is_killed_leaves_nothing_half_written(void **state)
{
    (void)state;
    Kit kit;
    kit_init(&kit);
    Log *log = kit_open(kit.path, LOG_WRITE);
    kit_import(log, KIT_SETUP);
    log_close(log);
    int pipes[2];
    assert_int_equal(pipe(pipes), 0);
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        close(pipes[1]);
        Fault fault = {0};
        LogIntake intake;
        Log *mine = log_open(kit.path, LOG_WRITE, &fault);
        PortInput input = {"pipe", fdopen(pipes[0], "r")};
        if (mine != NULL)
            port_import(
                mine,
                &(PortImport){.inputs = &input, .count = 1, .now = KIT_NOW, .format = PORT_JSON},
                &intake, &fault);
        _exit(0);
    }
    close(pipes[0]);
    FILE *out = fdopen(pipes[1], "w");
    for (int i = 0; i < 80000; i++) /* 5 MB of rows; the cache of pages holds 2 */
        fputs(DRAW, out);
    fflush(out);
    char wal[160];
    struct stat info = {0};
    snprintf(wal, sizeof wal, "%s-wal", kit.path);
    for (int i = 0; i < 500 && (stat(wal, &info) != 0 || info.st_size < 1 << 20); i++)
        usleep(10000);
    kill(child, SIGKILL);
    int status;
    waitpid(child, &status, 0);
    assert_true(WIFSIGNALED(status));
    fclose(out);
    assert_true(info.st_size >= 1 << 20); /* it really was in the middle */
    log = kit_open(kit.path, LOG_WRITE);
    assert_int_equal(entries_of(log), 1);
    kit_sound(log);
    log_close(log);
    kit_finish(&kit);
}

/* The disk is full at the first write, at the second, ... until there is room for all. */
static void a_disk_that_is_full_at_any_write_leaves_the_log_as_it_was(void **state)
{
    (void)state;
    Kit kit;
    char base[160];
    kit_init(&kit);
    snprintf(base, sizeof base, "%s/base.db", kit.dir);
    Event events[40];
    kit_log(events, 40, 3);
    Log *log = kit_open(base, LOG_WRITE);
    kit_feed(log, events, 0, 20);
    log_close(log);
    int refused = 0;
    bool done = false;
    for (int n = 0; !done && n < 500; n++) {
        char file[160];
        snprintf(file, sizeof file, "%s/%d.db", kit.dir, n);
        kit_copy(base, file);
        Str text = {0};
        for (int i = 0; i < 40; i++) {
            port_json(&events[i], NULL, &text);
            str_addc(&text, '\n');
        }
        Fault fault = {0};
        LogIntake intake;
        log = kit_open(file, LOG_WRITE);
        full_arm(n);
        bool good = kit_import_as(log, text.s, text.n, PORT_JSON, &intake, &fault);
        done = good && full_writes <= n;
        log_close(log);
        full_arm(INT64_MAX);
        if (!good) {
            refused++;
            assert_int_equal(fault.kind, FAULT_LOG);
            assert_says(fault, "the disk is full");
        }
        log = kit_open(file, LOG_WRITE);
        assert_int_equal(entries_of(log), good ? 40 : 20);
        kit_sound(log);
        log_close(log);
        str_finish(&text);
        remove(file);
    }
    assert_true(done);
    assert_true(refused > 5);
    kit_finish(&kit);
}

static void an_append_on_a_full_disk_is_refused_and_the_log_stays_whole(void **state)
{
    (void)state;
    Kit kit;
    kit_init(&kit);
    Log *log = kit_open(kit.path, LOG_WRITE);
    kit_import(log, KIT_SETUP);
    int refused = 0, written = 0;
    for (int n = 0; n < 12; n++) {
        Event e;
        Fault fault = {0};
        event_clear(&e, KIND_CREW);
        e.at.ms = KIT_NOW.ms - MS_PER_HOUR + n;
        kit_give(&e, "persons", n);
        full_arm(n);
        bool good = log_append(log, &e, KIT_NOW, &fault);
        full_arm(INT64_MAX);
        refused += !good;
        written += good;
        assert_true(good || fault.kind == FAULT_LOG);
        assert_int_equal(entries_of(log), 1 + written);
    }
    assert_true(refused > 1 && written > 1);
    kit_sound(log);
    log_close(log);
    kit_finish(&kit);
}

static void an_export_to_a_full_disk_says_so(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    kit_import(log, KIT_SETUP DRAW);
    for (int format = PORT_JSON; format <= PORT_CSV; format++) {
        FILE *out = fopen("/dev/full", "w");
        assert_non_null(out);
        LogQuery all = KIT_EVERYTHING;
        Fault fault = {0};
        assert_false(port_export(log, &all, (PortFormat)format, out, &fault));
        assert_int_equal(fault.kind, FAULT_LOG);
        assert_says(fault, "the disk is full");
        fclose(out);
    }
    log_close(log);
}

static void an_input_that_cannot_be_read_is_no_empty_one(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    FILE *in = fopen("/tmp", "r"); /* a folder opens, but does not read */
    assert_non_null(in);
    PortInput input = {"/tmp", in};
    Fault fault = {0};
    LogIntake intake;
    assert_false(port_import(log, &(PortImport){.inputs = &input, .count = 1, .now = KIT_NOW},
                             &intake, &fault));
    assert_says(fault, "can't be read");
    fclose(in);
    log_close(log);
}

int main(void)
{
    signal(SIGPIPE, SIG_IGN);
    full_install();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(several_files_are_one_transaction),
        cmocka_unit_test(a_dry_import_counts_and_writes_nothing),
        cmocka_unit_test(an_empty_file_is_no_entries),
        cmocka_unit_test(progress_is_told_now_and_then),
        cmocka_unit_test(an_import_that_is_killed_leaves_nothing_half_written),
        cmocka_unit_test(a_disk_that_is_full_at_any_write_leaves_the_log_as_it_was),
        cmocka_unit_test(an_append_on_a_full_disk_is_refused_and_the_log_stays_whole),
        cmocka_unit_test(an_export_to_a_full_disk_says_so),
        cmocka_unit_test(an_input_that_cannot_be_read_is_no_empty_one),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
