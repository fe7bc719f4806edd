/* Logs that are longer than what is read, written or copied at once: a merge reads runs of 1,024
 * entries, a sync writes lines by 64 KiB, a backup copies 512 pages at a time. */
#include "store/sync.h"
#include "support/logbook.h"
#include "support/store_kit.h"

enum { MANY = 2600, WIDE = 900, PAGES_AT_ONCE = 512 };

typedef struct {
    Kit kit;
    char other[160], folder[160];
    Event *events;
} Long;

static void long_begin(Long *l)
{
    uint64_t seed = 3;
    kit_init(&l->kit);
    snprintf(l->other, sizeof l->other, "%s/other.db", l->kit.dir);
    snprintf(l->folder, sizeof l->folder, "%s/shared", l->kit.dir);
    l->events = calloc(MANY, sizeof *l->events);
    assert_non_null(l->events);
    for (int i = 0; i < MANY; i++) {
        Event *e = &l->events[i];
        event_clear(e, KIND_NOTE);
        kit_stamp(e, INT64_C(1790000000000) + i * MS_PER_MINUTE, &seed);
        memset(e->note, 'a' + i % 26, (size_t)(1 + i % 200));
        if (i % 11 == 0) /* made elsewhere: of no time that could be told */
            e->id.b[0] = (uint8_t)kit_random(&seed);
    }
}

static void long_end(Long *l)
{
    free(l->events);
    kit_finish(&l->kit);
}

/* All but every `left_out`-th. */
static Log *part_of(const Long *l, const char *path, int left_out)
{
    Str text = {0};
    Log *log = kit_open(path, LOG_WRITE);
    for (int i = 0; i < MANY; i++) {
        if (i % left_out == 0)
            continue;
        port_json(&l->events[i], NULL, &text);
        str_addc(&text, '\n');
    }
    kit_import(log, text.s);
    str_finish(&text);
    return log;
}

static void same_exports(Log *one, Log *two)
{
    char *a = kit_export(one, PORT_JSON), *b = kit_export(two, PORT_JSON);
    assert_string_equal(a, b);
    free(a);
    free(b);
    kit_sound(one);
    kit_sound(two);
}

static void long_logs_merge_like_short_ones(void **state)
{
    (void)state;
    Long l;
    LogIntake intake;
    Fault fault = {0};
    int64_t entries;
    State *now = calloc(1, sizeof *now);
    long_begin(&l);
    Log *one = part_of(&l, l.kit.path, 7), *two = part_of(&l, l.other, 5);
    if (!log_merge(one, l.other, KIT_NOW, &intake, &fault))
        fail_msg("%s", fault.text);
    int lacked = 0, both = 0;
    for (int i = 0; i < MANY; i++) {
        lacked += i % 7 == 0 && i % 5 != 0;
        both += i % 7 != 0 && i % 5 != 0;
    }
    assert_int_equal(intake.added, lacked);
    assert_int_equal(intake.same, both);
    if (!log_merge(two, l.kit.path, KIT_NOW, &intake, &fault))
        fail_msg("%s", fault.text);
    same_exports(one, two);
    kit_state(one, now, &entries);
    assert_int_equal(entries, MANY - (MANY + 34) / 35); /* but for what neither had */
    free(now);
    log_close(one);
    log_close(two);
    long_end(&l);
}

/* Of an older version: what has no seal is held against the other by all that it says. */
static void entries_without_a_seal_are_the_same_by_what_they_say(void **state)
{
    (void)state;
    Kit kit;
    char other[160];
    LogIntake intake;
    Fault fault = {0};
    kit_init(&kit);
    snprintf(other, sizeof other, "%s/other.db", kit.dir);
    kit_copy(FIXTURES "/log-v1.db", kit.path);
    Log *one = kit_open(kit.path, LOG_WRITE);
    char *text = kit_export(one, PORT_JSON);
    Log *two = kit_open(other, LOG_WRITE);
    const int64_t all = kit_import(two, text).added; /* with seals */
    assert_true(all > 20);
    for (int way = 0; way < 2; way++) {
        if (!log_merge(way == 0 ? one : two, way == 0 ? other : kit.path, KIT_NOW, &intake, &fault))
            fail_msg("%s", fault.text);
        assert_int_equal(intake.added, 0);
        assert_int_equal(intake.same, all);
    }
    assert_true(db_run(&one->db,
                       "DROP TRIGGER entry_stays; UPDATE entry SET zone=zone+1 WHERE id IN "
                       "(SELECT id FROM entry LIMIT 1 OFFSET 9)",
                       &fault));
    for (int way = 0; way < 2; way++) {
        fault = (Fault){0};
        assert_false(
            log_merge(way == 0 ? one : two, way == 0 ? other : kit.path, KIT_NOW, &intake, &fault));
        assert_says(fault, "other content");
    }
    free(text);
    log_close(one);
    log_close(two);
    kit_finish(&kit);
}

static void synced(Log *log, const char *folder)
{
    SyncCount count;
    Fault fault = {0};
    if (!log_sync(log, folder, KIT_NOW, (SyncTell){0}, &count, &fault))
        fail_msg("%s", fault.text);
}

static void long_logs_keep_step_like_short_ones(void **state)
{
    (void)state;
    Long l;
    long_begin(&l);
    assert_int_equal(mkdir(l.folder, 0700), 0);
    Log *one = part_of(&l, l.kit.path, 7), *two = part_of(&l, l.other, 5);
    synced(one, l.folder);
    synced(two, l.folder);
    synced(one, l.folder);
    same_exports(one, two);
    log_close(one);
    log_close(two);
    long_end(&l);
}

/* Another program writes between two rounds of the copying: the backup is of one moment. */
static void a_backup_of_many_rounds_is_whole(void **state)
{
    (void)state;
    Long l;
    Fault fault = {0};
    struct stat info;
    Str text = {0};
    long_begin(&l);
    for (int i = 0; i < MANY; i++) {
        memset(l.events[i].note, 'a' + i % 26, WIDE);
        port_json(&l.events[i], NULL, &text);
        str_addc(&text, '\n');
    }
    Log *one = kit_open(l.kit.path, LOG_WRITE);
    kit_import(one, text.s);
    assert_int_equal(stat(l.kit.path, &info), 0);
    assert_true(info.st_size > 4096 * PAGES_AT_ONCE);
    if (!log_backup(one, l.other, false, &fault))
        fail_msg("%s", fault.text);
    Log *two = kit_open(l.other, LOG_READ);
    same_exports(one, two);
    log_close(one);
    log_close(two);
    str_finish(&text);
    long_end(&l);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(long_logs_merge_like_short_ones),
        cmocka_unit_test(entries_without_a_seal_are_the_same_by_what_they_say),
        cmocka_unit_test(long_logs_keep_step_like_short_ones),
        cmocka_unit_test(a_backup_of_many_rounds_is_whole),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
