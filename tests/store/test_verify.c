/* What verify must find: every way to tamper with a log that leaves an SQLite file behind, and some
 * that don't. */
#include "store/replay.h"
#include "support/store_kit.h"

#include <fcntl.h>

typedef struct {
    int good, bad;
    char first[400];
} Report;

static void note(void *context, bool good, const char *line)
{
    Report *report = context;
    if (good) {
        report->good++;
    } else if (report->bad++ == 0) {
        snprintf(report->first, sizeof report->first, "%s", line);
    }
}

enum { EVENTS = 60 };

static void make(const char *path)
{
    Event *events = calloc(EVENTS, sizeof *events);
    kit_log(events, EVENTS, 77);
    Log *log = kit_open(path, LOG_WRITE);
    kit_feed(log, events, 0, EVENTS);
    log_close(log);
    free(events);
}

static void a_sound_log_is_proved_line_by_line_also_for_a_reader(void **state)
{
    (void)state;
    Kit kit;
    kit_init(&kit);
    make(kit.path);
    for (int mode = LOG_READ; mode <= LOG_WRITE; mode++) {
        Log *log = kit_open(kit.path, (LogMode)mode);
        Report report = {0};
        Fault fault = {0};
        assert_true(log_verify(log, note, &report, &fault));
        assert_int_equal(report.bad, 0);
        assert_true(report.good >= 8);
        kit_sound(log); /* and the log can be used as before */
        State *s = malloc(sizeof *s);
        kit_state(log, s, NULL);
        free(s);
        log_close(log);
    }
    kit_finish(&kit);
}

/* Changes made with another program, as one who has the file could. */
static void tampering_is_found(void **state)
{
    (void)state;
    static const struct {
        const char *sql, *says;
    } cases[] = {
        {"DROP TRIGGER entry_stays", "tables or triggers were changed"},
        {"DROP TRIGGER entry_remains; DELETE FROM entry WHERE kind=1",
         "tables or triggers were changed"},
        {"UPDATE head SET entries=entries+1", "the latest state: differ"},
        {"UPDATE head SET state=(SELECT state FROM checkpoint LIMIT 1)",
         "the latest state: differ"},
        {"UPDATE head SET written=zeroblob(24)", "the order of writing"},
        {"UPDATE checkpoint SET state=(SELECT state FROM head) WHERE entries=9",
         "checkpoints: differ"},
        {"DELETE FROM checkpoint WHERE entries=12", "checkpoints: differ"},
        {"DELETE FROM void_of WHERE target=(SELECT target FROM void_of WHERE target_at IS NOT NULL "
         "LIMIT 1)",
         "voids: differ"},
        {"DELETE FROM struck", "entries taken out: differ"},
        {"INSERT OR IGNORE INTO struck SELECT at,id FROM entry WHERE kind=5 OR kind=2 OR kind=3",
         "entries taken out: differ"},
        {"INSERT INTO entry(at,id,kind,zone,note) "
         "VALUES(1,x'00000000000040008000000000000001',21,0,'early')",
         "checkpoints: differ"},
        {"INSERT INTO entry SELECT at+1,id,kind,zone,name,other,n1,n2,code,more,note FROM entry "
         "WHERE kind=2 LIMIT 1",
         "stands for 2 entries"},
        {"INSERT INTO entry(at,id,kind,zone,more) "
         "VALUES(1,x'00000000000040008000000000000001',22,0,'{')",
         "more is no JSON"},
        {"INSERT INTO entry(at,id,kind,zone,more) "
         "VALUES(1,x'00000000000040008000000000000001',22,0,'{\"litres\":1}')",
         "does not belong there"},
        {"INSERT INTO entry(at,id,kind,zone,note) "
         "VALUES(1,x'00000000000040008000000000000001',21,0,CAST(x'ff' AS TEXT))",
         "not UTF-8"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        Kit kit;
        kit_init(&kit);
        make(kit.path);
        sqlite3 *db;
        assert_int_equal(sqlite3_open(kit.path, &db), SQLITE_OK);
        assert_int_equal(sqlite3_exec(db, cases[i].sql, NULL, NULL, NULL), SQLITE_OK);
        assert_true(sqlite3_total_changes(db) > 0 || strncmp(cases[i].sql, "DROP", 4) == 0);
        sqlite3_close(db);
        Log *log = kit_open(kit.path, LOG_READ);
        Report report = {0};
        Fault fault = {0};
        if (log_verify(log, note, &report, &fault)) {
            fail_msg("not found: %s", cases[i].sql);
        }
        assert_int_equal(fault.kind, FAULT_LOG);
        if (strstr(report.first, cases[i].says) == NULL) {
            fail_msg("%s: %s", cases[i].sql, report.first);
        }
        log_close(log);
        kit_finish(&kit);
    }
}

/* Every page but the first is overwritten in turn. */
static void a_page_of_rubbish_is_found_wherever_it_is(void **state)
{
    (void)state;
    Kit kit;
    kit_init(&kit);
    make(kit.path);
    struct stat info;
    assert_int_equal(stat(kit.path, &info), 0);
    for (off_t page = 1; page < info.st_size / 4096; page++) {
        char file[160], rubbish[4096];
        snprintf(file, sizeof file, "%s/bad.db", kit.dir);
        kit_copy(kit.path, file);
        memset(rubbish, 0x5a, sizeof rubbish);
        int fd = open(file, O_WRONLY);
        assert_int_equal(pwrite(fd, rubbish, sizeof rubbish, page * 4096), sizeof rubbish);
        close(fd);
        Fault fault = {0};
        Log *log = log_open_tuned(file, LOG_READ, KIT_TUNING, &fault);
        if (log != NULL) {
            assert_false(log_verify(log, NULL, NULL, &fault));
        }
        assert_int_equal(fault.kind, FAULT_LOG);
        log_close(log);
    }
    kit_finish(&kit);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_sound_log_is_proved_line_by_line_also_for_a_reader),
        cmocka_unit_test(tampering_is_found),
        cmocka_unit_test(a_page_of_rubbish_is_found_wherever_it_is),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
