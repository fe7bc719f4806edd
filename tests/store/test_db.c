/* Opening: what is there, what is not, what may be written, who else is writing. */
#include "support/store_kit.h"

#include <errno.h>
#include <fcntl.h>
#include <sys/mount.h>
#include <sys/syscall.h>
#include <sys/wait.h>

static void refused(const char *path, LogMode mode, const char *says)
{
    Fault fault = {0};
    Log *log = log_open_tuned(path, mode, KIT_TUNING, &fault);
    if (log != NULL)
        fail_msg("%s was opened", path);
    assert_int_equal(fault.kind, FAULT_LOG);
    assert_says(fault, says);
}

static void write_file(const char *path, const void *bytes, size_t n)
{
    FILE *file = fopen(path, "wb");
    assert_int_equal(fwrite(bytes, 1, n, file), n);
    fclose(file);
}

static void what_is_no_log_is_refused_with_a_sentence(void **state)
{
    (void)state;
    Kit kit;
    char file[160], rubbish[9000];
    kit_init(&kit);
    snprintf(file, sizeof file, "%s/file", kit.dir);
    memset(rubbish, 'x', sizeof rubbish);
    for (int mode = LOG_READ; mode <= LOG_WRITE; mode++) {
        refused(kit.dir, (LogMode)mode, "is a folder");
        refused("/dev/full", (LogMode)mode, "no regular file");
        refused("", (LogMode)mode, "no log is named");
        write_file(file, rubbish, sizeof rubbish);
        refused(file, (LogMode)mode, "is not a water log");
        write_file(file, rubbish, 10);
        refused(file, (LogMode)mode, "is not a water log");
        char below[200];
        snprintf(below, sizeof below, "%s/file/water.db", kit.dir);
        refused(below, (LogMode)mode, "can't be opened");
        remove(file);
    }
    refused(file, LOG_READ, "there is no log at ");
    write_file(file, "", 0);
    refused(file, LOG_READ, "is empty: there is no log in it yet");
    struct stat info;
    assert_int_equal(stat(file, &info), 0);
    assert_int_equal(info.st_size, 0); /* looking at it did not make it one */
    log_close(kit_open(file, LOG_WRITE));
    log_close(kit_open(file, LOG_READ));
    kit_finish(&kit);
}

static void a_new_log_is_for_its_owner_alone_whatever_the_umask(void **state)
{
    (void)state;
    static const mode_t masks[] = {0, 022, 0777, 0277};
    for (int i = 0; i < 4; i++) {
        Kit kit;
        char file[160], part[160];
        struct stat info;
        kit_init(&kit);
        snprintf(file, sizeof file, "%s/a/b/water.db", kit.dir);
        mode_t was = umask(masks[i]);
        Log *log = kit_open(file, LOG_WRITE);
        kit_import(log, KIT_SETUP);
        umask(was);
        static const char *const names[] = {"a", "a/b", "a/b/water.db", "a/b/water.db-wal",
                                            "a/b/water.db-shm"};
        for (int j = 0; j < 5; j++) {
            snprintf(part, sizeof part, "%s/%s", kit.dir, names[j]);
            if (stat(part, &info) == 0) /* without WAL the last two are not there */
                assert_int_equal(info.st_mode & 0777, j < 2 ? 0700 : 0600);
            else
                assert_true(j > 2);
        }
        log_close(log);
        kit_finish(&kit);
    }
}

static const char *pragma(Log *log, const char *sql, char *out)
{
    Fault fault = {0};
    sqlite3_stmt *stmt = db_prepare(&log->db, sql, &fault);
    assert_non_null(stmt);
    assert_int_equal(db_step(&log->db, stmt, &fault), DB_ROW);
    Text text = db_text(stmt, 0);
    snprintf(out, 40, "%.*s", (int)text.n, text.s);
    db_done(stmt);
    return out;
}

static void the_settings_are_the_safe_ones(void **state)
{
    (void)state;
    Kit kit;
    char out[40];
    kit_init(&kit);
    Log *log = kit_open(kit.path, LOG_WRITE);
    bool wal = strcmp(pragma(log, "PRAGMA journal_mode", out), "wal") == 0;
    assert_string_equal(pragma(log, "PRAGMA synchronous", out), wal ? "2" : "3");
    assert_string_equal(pragma(log, "PRAGMA foreign_keys", out), "1");
    assert_string_equal(pragma(log, "PRAGMA trusted_schema", out), "0");
    assert_string_equal(pragma(log, "PRAGMA application_id", out), "1970038629"); /* "ulge" */
    assert_string_equal(pragma(log, "PRAGMA user_version", out), "2");
    Fault fault = {0};
    /* defensive: the schema can't be written to past SQLite's own statements */
    assert_false(db_run(&log->db, "PRAGMA writable_schema=ON; DELETE FROM sqlite_schema", &fault));
    log_close(log);
    log = kit_open(kit.path, LOG_READ);
    assert_false(db_run(&log->db, "INSERT INTO setting VALUES('a','b')", &fault));
    assert_says(fault, "read-only");
    log_close(log);
    kit_finish(&kit);
}

/* A file system without shared memory for the write-ahead log is played by a log that stands in
 * rollback mode and is held by somebody, so that the mode can't be changed. */
static void where_wal_cannot_be_had_the_rollback_journal_serves(void **state)
{
    (void)state;
    Kit kit;
    char out[40];
    kit_init(&kit);
    log_close(kit_open(kit.path, LOG_WRITE));
    sqlite3 *db = kit_beside(kit.path, "PRAGMA journal_mode=DELETE; BEGIN; SELECT * FROM entry");
    sqlite3_stmt *held;
    assert_int_equal(sqlite3_prepare_v2(db, "SELECT * FROM sqlite_schema", -1, &held, NULL),
                     SQLITE_OK);
    assert_int_equal(sqlite3_step(held), SQLITE_ROW);
    Log *log = kit_open(kit.path, LOG_WRITE);
    assert_string_equal(pragma(log, "PRAGMA journal_mode", out), "delete");
    assert_string_equal(pragma(log, "PRAGMA synchronous", out), "3");
    sqlite3_finalize(held);
    sqlite3_close(db);
    kit_import(log, KIT_SETUP);
    kit_sound(log);
    log_close(log);
    kit_finish(&kit);
}

static void a_log_that_another_program_is_writing_to_is_waited_for_and_then_refused(void **state)
{
    (void)state;
    Kit kit;
    kit_init(&kit);
    Log *log = kit_open(kit.path, LOG_WRITE);
    kit_import(log, KIT_SETUP);
    sqlite3 *db = kit_beside(kit.path, "BEGIN IMMEDIATE");
    Event e;
    Fault fault = {0};
    event_clear(&e, KIND_CREW);
    e.at = KIT_NOW;
    kit_give(&e, "persons", 2);
    assert_false(log_append(log, &e, KIT_NOW, &fault));
    assert_int_equal(fault.kind, FAULT_LOG);
    assert_says(fault, "another program is writing to this log");
    kit_usable(log); /* readers are not held up */
    sqlite3_exec(db, "COMMIT", NULL, NULL, NULL);
    assert_true(log_append(log, &e, KIT_NOW, &fault));
    sqlite3_close(db);
    log_close(log);
    kit_finish(&kit);
}

/* Runs `act` as an ordinary user where we are root, whom no permission stops. */
static void as_nobody(void (*act)(const Kit *), const Kit *kit)
{
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        if (getuid() == 0 && (setgid(65534) != 0 || setuid(65534) != 0))
            _exit(77);
        act(kit);
        _exit(0);
    }
    int status;
    waitpid(child, &status, 0);
    if (WIFEXITED(status) && WEXITSTATUS(status) == 77)
        skip();
    assert_true(WIFEXITED(status));
    assert_int_equal(WEXITSTATUS(status), 0);
}

/* In the child: no cmocka, an exit status says it. */
static void read_only_file(const Kit *kit)
{
    Fault fault = {0};
    State *s = malloc(sizeof *s);
    Log *log = log_open_tuned(kit->path, LOG_READ, KIT_TUNING, &fault);
    if (log == NULL || !log_state(log, s, NULL, &fault) || s->vessel_count != 1 ||
        !log_verify(log, (LogReport){0}, &fault)) {
        fprintf(stderr, "reading: %s\n", fault.text);
        _exit(1);
    }
    log_close(log);
    free(s);
    log = log_open_tuned(kit->path, LOG_WRITE, KIT_TUNING, &fault);
    if (log != NULL) {
        LogIntake intake;
        FILE *in = fmemopen((char[]){KIT_SETUP}, sizeof KIT_SETUP - 1, "r");
        PortInput input = {"a", in};
        if (port_import(
                log,
                &(PortImport){.inputs = &input, .count = 1, .now = KIT_NOW, .format = PORT_JSON},
                &intake, &fault))
            _exit(2);
        fclose(in);
        log_close(log);
    }
    if (fault.kind != FAULT_LOG ||
        (strstr(fault.text, "read-only") == NULL && strstr(fault.text, "ermission") == NULL)) {
        fprintf(stderr, "writing: %s\n", fault.text);
        _exit(3);
    }
}

static void a_read_only_log_can_be_read_but_not_written(void **state)
{
    (void)state;
    static const mode_t modes[][2] = {{0444, 0777}, {0444, 0555}};
    for (int i = 0; i < 2; i++) {
        Kit kit;
        kit_init(&kit);
        Log *log = kit_open(kit.path, LOG_WRITE);
        kit_import(log, KIT_SETUP);
        log_close(log);
        assert_int_equal(chmod(kit.path, modes[i][0]), 0);
        assert_int_equal(chmod(kit.dir, modes[i][1]), 0);
        as_nobody(read_only_file, &kit);
        chmod(kit.dir, 0700);
        kit_finish(&kit);
    }
}

static void forbidden_file(const Kit *kit)
{
    Fault fault = {0};
    if (log_open_tuned(kit->path, LOG_READ, KIT_TUNING, &fault) != NULL ||
        fault.kind != FAULT_LOG || strstr(fault.text, "ermission") == NULL) {
        fprintf(stderr, "%s\n", fault.text);
        _exit(1);
    }
}

static void a_log_of_somebody_else_cannot_be_opened(void **state)
{
    (void)state;
    Kit kit;
    kit_init(&kit);
    log_close(kit_open(kit.path, LOG_WRITE));
    assert_int_equal(chmod(kit.path, 0), 0);
    assert_int_equal(chmod(kit.dir, 0755), 0);
    as_nobody(forbidden_file, &kit);
    kit_finish(&kit);
}

/* A tmpfs of 256 KiB, where one may be mounted (as root): a real full disk. */
static void a_small_disk_fills_up_and_says_so(void **state)
{
    (void)state;
    Kit kit;
    kit_init(&kit);
    if (mount("tmpfs", kit.dir, "tmpfs", 0, "size=256k") != 0) {
        kit_finish(&kit);
        skip();
    }
    Log *log = kit_open(kit.path, LOG_WRITE);
    kit_import(log, KIT_SETUP);
    Str text = {0};
    for (int i = 0; i < 20000; i++)
        str_adds(
            &text,
            "{\"at\":\"2026-03-01T08:00:00Z\",\"kind\":\"draw\",\"vessel\":\"A1\",\"litres\":1}\n");
    Fault fault = {0};
    LogIntake intake;
    bool good = kit_import_as(log, text.s, text.n, PORT_JSON, &intake, &fault);
    State *s = malloc(sizeof *s);
    int64_t entries;
    kit_state(log, s, &entries);
    kit_sound(log);
    log_close(log);
    umount(kit.dir);
    kit_finish(&kit);
    str_finish(&text);
    free(s);
    assert_false(good);
    assert_int_equal(fault.kind, FAULT_LOG);
    assert_says(fault, "the disk is full");
    assert_int_equal(entries, 1);
}

static void names_with_spaces_and_signs_are_only_names(void **state)
{
    (void)state;
    Kit kit;
    char file[200];
    kit_init(&kit);
    snprintf(file, sizeof file, "%s/file:a b?mode=ro#%%41.db", kit.dir);
    Log *log = kit_open(file, LOG_WRITE);
    kit_import(log, KIT_SETUP);
    assert_string_equal(log_path(log), file);
    log_close(log);
    assert_int_equal(access(file, F_OK), 0);
    log_close(kit_open(file, LOG_READ));
    kit_finish(&kit);
}

static bool crew(Log *log, int persons, Fault *fault)
{
    Event e;
    event_clear(&e, KIND_CREW);
    e.at = KIT_NOW;
    kit_give(&e, "persons", persons);
    *fault = (Fault){0};
    return log_append(log, &e, KIT_NOW, fault);
}

/* Each waits for its turn, and all get one. */
static void eight_that_write_at_once_are_all_heard(void **state)
{
    (void)state;
    enum { WRITERS = 8, EACH = 25 };
    Kit kit;
    kit_init(&kit);
    log_close(kit_open(kit.path, LOG_WRITE));
    for (int w = 0; w < WRITERS; w++) {
        if (fork() != 0)
            continue;
        Fault fault = {0};
        Log *log = log_open(kit.path, LOG_WRITE, &fault);
        for (int i = 0; i < EACH; i++) {
            if (log == NULL || !crew(log, w + 1, &fault)) {
                fprintf(stderr, "%s\n", fault.text);
                _exit(1);
            }
        }
        log_close(log);
        _exit(0);
    }
    for (int w = 0; w < WRITERS; w++) {
        int status;
        assert_true(wait(&status) > 0);
        assert_int_equal(status, 0);
    }
    Fault fault = {0};
    Log *log = log_open(kit.path, LOG_READ, &fault);
    State *s = malloc(sizeof *s);
    int64_t entries;
    kit_state(log, s, &entries);
    assert_int_equal(entries, WRITERS * EACH);
    kit_sound(log);
    free(s);
    log_close(log);
    kit_finish(&kit);
}

static void count(void *context)
{
    (*(int *)context)++;
}

static void a_wait_that_a_person_notices_is_told_once(void **state)
{
    (void)state;
    Kit kit;
    kit_init(&kit);
    Fault fault = {0};
    int told = 0;
    Log *log = log_open_tuned(kit.path, LOG_WRITE, (LogTuning){3, 1500}, &fault);
    sqlite3 *db;
    assert_int_equal(sqlite3_open(kit.path, &db), SQLITE_OK);
    assert_true(crew(log, 1, &fault));
    log_on_wait(log, count, &told);
    assert_true(crew(log, 2, &fault));
    assert_int_equal(told, 0);
    for (int i = 1; i <= 2; i++) {
        assert_int_equal(sqlite3_exec(db, "BEGIN IMMEDIATE", NULL, NULL, NULL), SQLITE_OK);
        assert_false(crew(log, 3, &fault));
        assert_says(fault, "within 2 seconds");
        assert_int_equal(told, i);
        sqlite3_exec(db, "COMMIT", NULL, NULL, NULL);
    }
    sqlite3_close(db);
    log_close(log);
    kit_finish(&kit);
}

/* The file is moved, put back, removed, and another one put in its place, all while it is open. */
static void a_file_that_is_not_the_one_that_was_opened_is_not_written_to(void **state)
{
    (void)state;
    Kit kit;
    char aside[160], other[160];
    Fault fault = {0};
    int64_t version, entries;
    State *s = malloc(sizeof *s);
    kit_init(&kit);
    snprintf(aside, sizeof aside, "%s/aside.db", kit.dir);
    snprintf(other, sizeof other, "%s/other.db", kit.dir);
    Log *log = kit_open(kit.path, LOG_WRITE), *two = kit_open(other, LOG_WRITE);
    assert_true(crew(log, 1, &fault));
    assert_true(crew(two, 7, &fault));
    log_close(two);
    assert_int_equal(rename(kit.path, aside), 0);
    assert_false(crew(log, 2, &fault));
    assert_int_equal(fault.kind, FAULT_LOG);
    assert_says(fault, "not there any more");
    assert_true(log_moved(log));
    assert_false(log_version(log, &version, &fault));
    assert_false(log_state(log, s, &entries, &fault));
    assert_false(log_reopen(log, &fault)); /* and begins no new one */
    assert_int_equal(access(kit.path, F_OK), -1);
    assert_int_equal(rename(aside, kit.path), 0); /* put back: as if nothing had been */
    assert_true(log_version(log, &version, &fault));
    assert_false(log_moved(log));
    assert_true(crew(log, 3, &fault));
    assert_int_equal(unlink(kit.path), 0);
    kit_copy(other, kit.path);
    assert_false(crew(log, 4, &fault));
    assert_says(fault, "another file");
    assert_true(log_reopen(log, &fault));
    kit_state(log, s, &entries);
    assert_int_equal(s->crew, 7);
    assert_true(crew(log, 8, &fault));
    /* what is there is no log: nothing is open, until a log is there again */
    assert_int_equal(rename(kit.path, aside), 0);
    FILE *rubbish = fopen(kit.path, "w");
    fputs("no database, whatever its name may be, and long enough to be none\n", rubbish);
    fclose(rubbish);
    assert_false(log_reopen(log, &fault));
    assert_false(crew(log, 9, &fault));
    assert_false(log_version(log, &version, &fault));
    assert_false(log_state(log, s, &entries, &fault));
    assert_int_equal(rename(aside, kit.path), 0);
    assert_true(log_reopen(log, &fault));
    assert_true(crew(log, 9, &fault));
    log_close(log);
    log = kit_open(kit.path, LOG_READ);
    kit_state(log, s, &entries);
    assert_int_equal(entries, 3);
    assert_int_equal(s->crew, 9);
    kit_sound(log);
    log_close(log);
    free(s);
    kit_finish(&kit);
}

/* SQLite's calls come here first. */
static int sync_fault;
int fsync(int fd)
{
    errno = sync_fault;
    return sync_fault != 0 ? -1 : (int)syscall(SYS_fsync, fd);
}
int fdatasync(int fd)
{
    errno = sync_fault;
    return sync_fault != 0 ? -1 : (int)syscall(SYS_fdatasync, fd);
}

static void a_disk_that_fails_to_sync_leaves_it_open_whether_it_was_written(void **state)
{
    (void)state;
    static const int faults[] = {EIO, ENOSPC, EDQUOT};
    for (size_t i = 0; i < sizeof faults / sizeof *faults; i++) {
        Kit kit;
        kit_init(&kit);
        Fault fault = {0};
        Log *log = kit_open(kit.path, LOG_WRITE);
        kit_import(log, KIT_SETUP);
        sync_fault = faults[i];
        const bool written = crew(log, 2, &fault);
        sync_fault = 0;
        assert_false(written);
        assert_int_equal(fault.kind, FAULT_LOG);
        assert_says(fault, "not certain");
        assert_says(fault, "ullage log");
        assert_null(strstr(fault.text, "othing was written"));
        assert_true(crew(log, 3, &fault)); /* and it goes on when the disk does */
        kit_sound(log);
        log_close(log);
        kit_finish(&kit);
    }
}

static void a_link_to_nothing_is_no_place_for_a_log(void **state)
{
    (void)state;
    Kit kit;
    kit_init(&kit);
    assert_int_equal(symlink("/nonexistent/water.db", kit.path), 0);
    for (int mode = LOG_READ; mode <= LOG_WRITE; mode++) {
        Fault fault = {0};
        assert_null(log_open_tuned(kit.path, (LogMode)mode, KIT_TUNING, &fault));
        assert_says(fault, "is a link to a file that is not there");
    }
    kit_finish(&kit);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_no_log_is_refused_with_a_sentence),
        cmocka_unit_test(a_new_log_is_for_its_owner_alone_whatever_the_umask),
        cmocka_unit_test(the_settings_are_the_safe_ones),
        cmocka_unit_test(where_wal_cannot_be_had_the_rollback_journal_serves),
        cmocka_unit_test(a_log_that_another_program_is_writing_to_is_waited_for_and_then_refused),
        cmocka_unit_test(a_read_only_log_can_be_read_but_not_written),
        cmocka_unit_test(a_log_of_somebody_else_cannot_be_opened),
        cmocka_unit_test(a_small_disk_fills_up_and_says_so),
        cmocka_unit_test(names_with_spaces_and_signs_are_only_names),
        cmocka_unit_test(eight_that_write_at_once_are_all_heard),
        cmocka_unit_test(a_wait_that_a_person_notices_is_told_once),
        cmocka_unit_test(a_file_that_is_not_the_one_that_was_opened_is_not_written_to),
        cmocka_unit_test(a_disk_that_fails_to_sync_leaves_it_open_whether_it_was_written),
        cmocka_unit_test(a_link_to_nothing_is_no_place_for_a_log),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
