/* Opening: what is there, what is not, what may be written, who else is writing. */
#include "support/store_kit.h"

#include <fcntl.h>
#include <sys/mount.h>
#include <sys/wait.h>

static void refused(const char *path, LogMode mode, const char *says)
{
    Fault fault = {0};
    Log *log = log_open_tuned(path, mode, KIT_TUNING, &fault);
    if (log != NULL) {
        fail_msg("%s was opened", path);
    }
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
            if (stat(part, &info) == 0) { /* without WAL the last two are not there */
                assert_int_equal(info.st_mode & 0777, j < 2 ? 0700 : 0600);
            } else {
                assert_true(j > 2);
            }
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
    sqlite3 *db;
    assert_int_equal(sqlite3_open(kit.path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, "PRAGMA journal_mode=DELETE; BEGIN; SELECT * FROM entry",
                                  NULL, NULL, NULL),
                     SQLITE_OK);
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
    sqlite3 *db;
    assert_int_equal(sqlite3_open(kit.path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, "BEGIN IMMEDIATE", NULL, NULL, NULL), SQLITE_OK);
    Event e;
    Fault fault = {0};
    event_clear(&e, KIND_CREW);
    e.at = KIT_NOW;
    kit_give(&e, "persons", 2);
    assert_false(log_append(log, &e, KIT_NOW, false, NULL, NULL, &fault));
    assert_int_equal(fault.kind, FAULT_LOG);
    assert_says(fault, "another program is writing to this log");
    State *s = malloc(sizeof *s);
    kit_state(log, s, NULL); /* readers are not held up */
    free(s);
    sqlite3_exec(db, "COMMIT", NULL, NULL, NULL);
    assert_true(log_append(log, &e, KIT_NOW, false, NULL, NULL, &fault));
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
        if (getuid() == 0 && (setgid(65534) != 0 || setuid(65534) != 0)) {
            _exit(77);
        }
        act(kit);
        _exit(0);
    }
    int status;
    waitpid(child, &status, 0);
    if (WIFEXITED(status) && WEXITSTATUS(status) == 77) {
        skip();
    }
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
        !log_verify(log, NULL, NULL, &fault)) {
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
        if (port_import(log, &input, 1, PORT_JSON, KIT_NOW, false, NULL, NULL, &intake, &fault)) {
            _exit(2);
        }
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
    for (int i = 0; i < 20000; i++) {
        str_adds(
            &text,
            "{\"at\":\"2026-03-01T08:00:00Z\",\"kind\":\"draw\",\"vessel\":\"A1\",\"litres\":1}\n");
    }
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
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
