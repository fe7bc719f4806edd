/* Copies of a log that is in use. */
#include "support/full_disk.h"
#include "support/store_kit.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <time.h>

/* A stick with a file system that knows no second name for a file. */
static bool no_links;

int link(const char *from, const char *to);
int link(const char *from, const char *to)
{
    if (!no_links)
        return linkat(AT_FDCWD, from, AT_FDCWD, to, 0);
    errno = EPERM;
    return -1;
}

enum { EVENTS = 60 };

static int parts_left(const char *dir)
{
    DIR *folder = opendir(dir);
    int count = 0;
    assert_non_null(folder);
    for (struct dirent *d = readdir(folder); d != NULL; d = readdir(folder))
        count += strstr(d->d_name, "part-") != NULL;
    closedir(folder);
    return count;
}

static void a_copy_has_the_same_entries_and_is_sound(void **state)
{
    (void)state;
    Kit kit;
    char copy[160];
    kit_init(&kit);
    snprintf(copy, sizeof copy, "%s/copy.db", kit.dir);
    Event *events = calloc(EVENTS, sizeof *events);
    kit_log(events, EVENTS, 1);
    Log *log = kit_open(kit.path, LOG_WRITE);
    kit_feed(log, events, 0, EVENTS);
    Fault fault = {0};
    mode_t was = umask(0);
    assert_true(log_backup(log, copy, false, &fault));
    umask(was);
    struct stat info;
    assert_int_equal(stat(copy, &info), 0);
    assert_int_equal(info.st_mode & 0777, 0600);
    Log *other = kit_open(copy, LOG_READ);
    char *a = kit_export(log, PORT_JSON), *b = kit_export(other, PORT_JSON);
    assert_string_equal(a, b);
    kit_sound(other);
    free(a);
    free(b);
    log_close(other);
    /* nothing else is left lying in the folder */
    assert_int_equal(parts_left(kit.dir), 0);
    log_close(log);
    free(events);
    kit_finish(&kit);
}

static void a_file_that_is_there_is_replaced_only_when_asked(void **state)
{
    (void)state;
    Kit kit;
    char copy[160];
    kit_init(&kit);
    snprintf(copy, sizeof copy, "%s/copy.db", kit.dir);
    Log *log = kit_open(kit.path, LOG_WRITE);
    FILE *there = fopen(copy, "w");
    fputs("precious", there);
    fclose(there);
    Fault fault = {0};
    assert_false(log_backup(log, copy, false, &fault));
    assert_int_equal(fault.kind, FAULT_REFUSED);
    assert_says(fault, "there already");
    there = fopen(copy, "r");
    char words[16] = {0};
    assert_non_null(fgets(words, sizeof words, there));
    assert_string_equal(words, "precious");
    fclose(there);
    assert_true(log_backup(log, copy, true, &fault));
    log_close(kit_open(copy, LOG_READ));
    assert_false(log_backup(log, kit.path, true, &fault));
    assert_says(fault, "the log itself");
    assert_false(log_backup(log, kit.dir, true, &fault));
    assert_says(fault, "is no file");
    assert_false(log_backup(log, "/nonexistent/copy.db", false, &fault));
    assert_int_equal(fault.kind, FAULT_LOG);
    log_close(log);
    kit_finish(&kit);
}

/* Where a link leads may be another disk: the copy goes there, and not to where the link lies. */
static void a_link_stays_a_link(void **state)
{
    (void)state;
    Kit kit;
    char copy[160], lead[160];
    struct stat info;
    kit_init(&kit);
    snprintf(copy, sizeof copy, "%s/stick.db", kit.dir);
    snprintf(lead, sizeof lead, "%s/lead.db", kit.dir);
    Log *log = kit_open(kit.path, LOG_WRITE);
    Fault fault = {0};
    assert_int_equal(symlink(copy, lead), 0);
    for (int replace = 0; replace < 2; replace++) {
        assert_false(log_backup(log, lead, replace != 0, &fault));
        assert_int_equal(fault.kind, FAULT_LOG);
        assert_says(fault, "lead.db is a link to a file that is not there");
    }
    assert_true(log_backup(log, copy, false, &fault));
    kit_import(log, KIT_SETUP);
    assert_true(log_backup(log, lead, true, &fault));
    assert_int_equal(lstat(lead, &info), 0);
    assert_true(S_ISLNK(info.st_mode));
    Log *there = kit_open(copy, LOG_READ);
    char *ours = kit_export(log, PORT_JSON), *theirs = kit_export(there, PORT_JSON);
    assert_string_equal(ours, theirs);
    free(ours);
    free(theirs);
    log_close(there);
    log_close(log);
    kit_finish(&kit);
}

static void a_stick_without_hard_links_takes_it_too(void **state)
{
    (void)state;
    Kit kit;
    char copy[160];
    kit_init(&kit);
    snprintf(copy, sizeof copy, "%s/copy.db", kit.dir);
    Log *log = kit_open(kit.path, LOG_WRITE);
    Fault fault = {0};
    kit_import(log, KIT_SETUP);
    no_links = true;
    const bool good = log_backup(log, copy, false, &fault);
    const bool again = log_backup(log, copy, false, &fault);
    no_links = false;
    assert_true(good);
    assert_false(again);
    assert_says(fault, "is there already");
    assert_int_equal(parts_left(kit.dir), 0);
    Log *there = kit_open(copy, LOG_READ);
    kit_sound(there);
    log_close(there);
    log_close(log);
    kit_finish(&kit);
}

/* Where there is no write-ahead log, who writes keeps others from reading. */
static void a_log_that_is_being_written_to_is_waited_for(void **state)
{
    (void)state;
    Kit kit;
    char copy[160];
    kit_init(&kit);
    snprintf(copy, sizeof copy, "%s/copy.db", kit.dir);
    log_close(kit_open(kit.path, LOG_WRITE));
    sqlite3 *writer = kit_beside(kit.path, "PRAGMA journal_mode=DELETE");
    Log *log = kit_open(kit.path, LOG_READ);
    Fault fault = {0};
    assert_int_equal(sqlite3_exec(writer, "BEGIN EXCLUSIVE", NULL, NULL, NULL), SQLITE_OK);
    assert_false(log_backup(log, copy, false, &fault));
    assert_int_equal(fault.kind, FAULT_LOG);
    assert_says(fault, "another program is writing to this log");
    assert_int_equal(access(copy, F_OK), -1);
    assert_int_equal(parts_left(kit.dir), 0);
    assert_int_equal(sqlite3_exec(writer, "COMMIT", NULL, NULL, NULL), SQLITE_OK);
    assert_true(log_backup(log, copy, false, &fault));
    sqlite3_close(writer);
    log_close(log);
    kit_finish(&kit);
}

/* A name without a folder is one of the folder that somebody stands in, and its parts are too. */
static void a_name_without_a_folder_is_of_this_one(void **state)
{
    (void)state;
    Kit kit;
    char here[400];
    kit_init(&kit);
    assert_non_null(getcwd(here, sizeof here));
    assert_int_equal(chdir(kit.dir), 0);
    Log *log = kit_open(kit.path, LOG_WRITE);
    Fault fault = {0};
    kit_import(log, KIT_SETUP);
    for (int replace = 0; replace < 2; replace++)
        if (!log_backup(log, "copy.db", replace != 0, &fault))
            fail_msg("%s", fault.text);
    assert_int_equal(mkdir("copy.db.part-folder", 0700), 0); /* none of ours */
    assert_true(log_backup(log, "copy.db", true, &fault));
    assert_int_equal(access("copy.db.part-folder", F_OK), 0);
    Log *copy = kit_open("copy.db", LOG_READ);
    kit_sound(copy);
    log_close(copy);
    log_close(log);
    assert_int_equal(chdir(here), 0);
    kit_finish(&kit);
}

/* Parts of another program's that are meant are in the copy too, and do not make it unsound. */
static void what_is_asserted_is_copied(void **state)
{
    (void)state;
    Kit kit;
    char copy[160];
    kit_init(&kit);
    snprintf(copy, sizeof copy, "%s/copy.db", kit.dir);
    log_close(kit_open(kit.path, LOG_WRITE));
    kit_sql(kit.path, "CREATE TRIGGER mine AFTER INSERT ON entry BEGIN SELECT 1; END");
    Fault fault = {0};
    Log *log = kit_open(kit.path, LOG_READ);
    assert_false(log_backup(log, copy, false, &fault));
    assert_says(fault, "is not sound");
    unlink(copy);
    log_close(log);
    log = kit_open(kit.path, LOG_READ | LOG_ASSERTED);
    assert_true(log_backup(log, copy, false, &fault));
    log_close(log);
    kit_finish(&kit);
}

/* A log in which a row changed behind its seal: its copy does not take the place of a good one. */
static void a_damaged_copy_never_replaces_a_good_one(void **state)
{
    (void)state;
    Kit kit;
    char copy[160], second[160], left[200];
    kit_init(&kit);
    snprintf(copy, sizeof copy, "%s/copy.db", kit.dir);
    snprintf(second, sizeof second, "%s/second.db", kit.dir);
    snprintf(left, sizeof left, "%s.part-killed", copy);
    Log *log = kit_open(kit.path, LOG_WRITE);
    kit_import(log, KIT_SETUP);
    Fault fault = {0};
    assert_true(log_backup(log, copy, false, &fault));
    log_close(log);
    kit_sql(kit.path, "DROP TRIGGER entry_stays; UPDATE entry SET zone=zone+1");
    log = kit_open(kit.path, LOG_READ);
    assert_false(log_backup(log, copy, true, &fault));
    assert_says(fault, "left as it was");
    assert_false(
        log_backup(log, second, false, &fault)); /* better than nothing, and not called good */
    assert_says(fault, "not sound");
    assert_int_equal(access(second, F_OK), 0);
    assert_int_equal(parts_left(kit.dir), 0);
    log_close(log);
    log = kit_open(copy, LOG_READ);
    kit_sound(log);
    /* what a killed backup left an hour ago goes with the next one */
    FILE *part = fopen(left, "w");
    fclose(part);
    const struct timespec old[2] = {{time(NULL) - 3700, 0}, {time(NULL) - 3700, 0}};
    assert_int_equal(utimensat(AT_FDCWD, left, old, 0), 0);
    unlink(second);
    assert_true(log_backup(log, second, false, &fault));
    assert_int_equal(access(left, F_OK), 0); /* it is of another target */
    log_close(log);
    log = kit_open(second, LOG_READ);
    assert_true(log_backup(log, copy, true, &fault));
    assert_int_equal(access(left, F_OK), -1);
    log_close(log);
    kit_finish(&kit);
}

static void a_disk_that_is_full_half_way_leaves_no_half_copy(void **state)
{
    (void)state;
    Kit kit;
    char copy[160];
    kit_init(&kit);
    snprintf(copy, sizeof copy, "%s/copy.db", kit.dir);
    Event *events = calloc(EVENTS, sizeof *events);
    kit_log(events, EVENTS, 1);
    Log *log = kit_open(kit.path, LOG_WRITE);
    kit_feed(log, events, 0, EVENTS);
    bool done = false;
    int refused = 0;
    for (int n = 0; !done && n < 200; n++) {
        Fault fault = {0};
        full_arm(n);
        done = log_backup(log, copy, false, &fault);
        full_arm(INT64_MAX);
        if (!done) {
            refused++;
            assert_int_equal(fault.kind, FAULT_LOG);
            assert_says(fault, "disk is full");
            assert_int_equal(access(copy, F_OK), -1);
            assert_int_equal(parts_left(kit.dir), 0);
        }
    }
    assert_true(done && refused > 3);
    kit_sound(log);
    log_close(log);
    free(events);
    kit_finish(&kit);
}

int main(void)
{
    full_install();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_damaged_copy_never_replaces_a_good_one),
        cmocka_unit_test(a_copy_has_the_same_entries_and_is_sound),
        cmocka_unit_test(a_file_that_is_there_is_replaced_only_when_asked),
        cmocka_unit_test(a_link_stays_a_link),
        cmocka_unit_test(a_stick_without_hard_links_takes_it_too),
        cmocka_unit_test(a_log_that_is_being_written_to_is_waited_for),
        cmocka_unit_test(a_name_without_a_folder_is_of_this_one),
        cmocka_unit_test(what_is_asserted_is_copied),
        cmocka_unit_test(a_disk_that_is_full_half_way_leaves_no_half_copy),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
