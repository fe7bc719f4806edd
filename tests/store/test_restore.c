/* A backup in the place of the log: beside an open reader, over a damaged file, and not at all
 * where it is not sound. */
#include "support/store_kit.h"

#include <time.h>

/* With the program's own interval between checkpoints: the backup is proved with it. */
static Log *log_as(const char *path, LogMode mode)
{
    Fault fault = {0};
    Log *log = log_open(path, mode, &fault);
    if (log == NULL)
        fail_msg("%s", fault.text);
    return log;
}

static int64_t entries_of(Log *log)
{
    State *state = malloc(sizeof *state);
    int64_t entries;
    kit_state(log, state, &entries);
    free(state);
    return entries;
}

static void log_with(const char *path, int notes)
{
    Log *log = log_as(path, LOG_WRITE);
    kit_import(log, KIT_SETUP);
    for (int i = 0; i < notes; i++) {
        char line[120];
        snprintf(line, sizeof line,
                 "{\"at\":\"2026-05-01T08:%02d:00Z\",\"kind\":\"note\",\"note\":\"n\"}\n", i);
        kit_import(log, line);
    }
    log_close(log);
}

static void an_open_board_sees_the_backup_and_what_was_there_is_kept(void **state)
{
    (void)state;
    Kit kit;
    char copy[160];
    kit_init(&kit);
    snprintf(copy, sizeof copy, "%s/copy.db", kit.dir);
    log_with(kit.path, 2);
    Fault fault = {0};
    Log *board = log_as(kit.path, LOG_WRITE);
    assert_true(log_backup(board, copy, false, &fault));
    kit_import(board, "{\"at\":\"2026-05-02T08:00:00Z\",\"kind\":\"note\",\"note\":\"later\"}\n");
    const int64_t now = entries_of(board);
    int64_t before, after;
    assert_true(log_version(board, &before, &fault));
    Str kept = {0};
    if (!log_restore(kit.path, copy, KIT_NOW, &kept, &fault))
        fail_msg("%s", fault.text);
    assert_true(log_version(board, &after, &fault));
    assert_true(before != after);
    assert_int_equal(entries_of(board), now - 1);
    kit_sound(board);
    kit_import(board, "{\"at\":\"2026-05-03T08:00:00Z\",\"kind\":\"note\",\"note\":\"goes on\"}\n");
    log_close(board);
    Log *old = log_as(kept.s, LOG_READ);
    assert_int_equal(entries_of(old), now);
    kit_sound(old);
    log_close(old);
    str_finish(&kept);
    kit_finish(&kit);
}

static void a_log_that_cannot_be_opened_is_moved_aside(void **state)
{
    (void)state;
    Kit kit;
    char copy[160];
    kit_init(&kit);
    snprintf(copy, sizeof copy, "%s/copy.db", kit.dir);
    log_with(copy, 3);
    FILE *bad = fopen(kit.path, "w");
    fputs("this was a log once", bad);
    fclose(bad);
    Fault fault = {0};
    Str kept = {0};
    if (!log_restore(kit.path, copy, KIT_NOW, &kept, &fault))
        fail_msg("%s", fault.text);
    assert_int_equal(access(kept.s, F_OK), 0);
    Log *log = log_as(kit.path, LOG_WRITE);
    assert_int_equal(entries_of(log), 4);
    kit_sound(log);
    log_close(log);
    str_finish(&kept);
    kit_finish(&kit);
}

/* Twice within a second: each time what was there keeps a name of its own. */
static void nothing_that_was_kept_is_written_over(void **state)
{
    (void)state;
    Kit kit;
    char copy[160];
    kit_init(&kit);
    snprintf(copy, sizeof copy, "%s/copy.db", kit.dir);
    log_with(copy, 1);
    log_with(kit.path, 2);
    Fault fault = {0};
    Str kept[3] = {{0}};
    for (int i = 0; i < 3; i++) {
        if (!log_restore(kit.path, copy, KIT_NOW, &kept[i], &fault))
            fail_msg("%s", fault.text);
        Log *log = log_as(kept[i].s, LOG_READ);
        assert_int_equal(entries_of(log), i == 0 ? 3 : 2);
        log_close(log);
    }
    assert_string_equal(kept[2].s + strlen(kept[0].s), "-3");
    for (int i = 0; i < 3; i++)
        str_finish(&kept[i]);
    kit_finish(&kit);
}

static void a_log_that_is_being_written_to_is_left_as_it_is(void **state)
{
    (void)state;
    Kit kit;
    char copy[160];
    kit_init(&kit);
    snprintf(copy, sizeof copy, "%s/copy.db", kit.dir);
    log_with(copy, 1);
    log_with(kit.path, 2);
    sqlite3 *writer = kit_beside(kit.path, "BEGIN IMMEDIATE");
    Fault fault = {0};
    Str kept = {0};
    const time_t begun = time(NULL);
    assert_false(log_restore(kit.path, copy, KIT_NOW, &kept, &fault));
    assert_true(time(NULL) - begun < 2 * LOG_BUSY_MS / 1000 - 3); /* waited for once, as is said */
    assert_int_equal(fault.kind, FAULT_LOG);
    assert_says(fault, "another program is writing to this log");
    assert_says(fault, "The log is as it was.");
    sqlite3_close(writer);
    Log *log = log_as(kit.path, LOG_WRITE);
    assert_int_equal(entries_of(log), 3);
    kit_sound(log);
    log_close(log);
    str_finish(&kept);
    kit_finish(&kit);
}

static void what_is_not_sound_is_not_put_there(void **state)
{
    (void)state;
    Kit kit;
    char copy[160];
    kit_init(&kit);
    snprintf(copy, sizeof copy, "%s/copy.db", kit.dir);
    log_with(copy, 3);
    log_with(kit.path, 1);
    kit_sql(copy, "DROP TRIGGER entry_stays; UPDATE entry SET zone=zone+1");
    Fault fault = {0};
    Str kept = {0};
    assert_false(log_restore(kit.path, copy, KIT_NOW, &kept, &fault));
    assert_says(fault, "not sound");
    assert_false(log_restore(kit.path, kit.path, KIT_NOW, &kept, &fault));
    assert_says(fault, "the log itself");
    assert_false(log_restore(kit.path, "/nowhere/copy.db", KIT_NOW, &kept, &fault));
    Log *log = log_as(kit.path, LOG_READ);
    assert_int_equal(entries_of(log), 2);
    log_close(log);
    str_finish(&kept);
    kit_finish(&kit);
}

static void a_link_to_nothing_is_told(void **state)
{
    (void)state;
    Kit kit;
    char copy[160], lead[160];
    kit_init(&kit);
    snprintf(copy, sizeof copy, "%s/copy.db", kit.dir);
    snprintf(lead, sizeof lead, "%s/lead.db", kit.dir);
    log_with(kit.path, 1);
    assert_int_equal(symlink(copy, lead), 0);
    Fault fault = {0};
    Str kept = {0};
    assert_false(log_restore(kit.path, lead, KIT_NOW, &kept, &fault));
    assert_says(fault, "lead.db is a link to a file that is not there");
    fault = (Fault){0};
    assert_false(log_restore(lead, kit.path, KIT_NOW, &kept, &fault));
    assert_says(fault, "lead.db is a link to a file that is not there");
    str_finish(&kept);
    kit_finish(&kit);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_open_board_sees_the_backup_and_what_was_there_is_kept),
        cmocka_unit_test(a_log_that_cannot_be_opened_is_moved_aside),
        cmocka_unit_test(nothing_that_was_kept_is_written_over),
        cmocka_unit_test(a_log_that_is_being_written_to_is_left_as_it_is),
        cmocka_unit_test(what_is_not_sound_is_not_put_there),
        cmocka_unit_test(a_link_to_nothing_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
