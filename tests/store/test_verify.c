/* What verify must find: every way to tamper with a log that leaves an SQLite file behind, and some
 * that don't. */
#include "store/replay.h"
#include "support/logbook.h"
#include "support/store_kit.h"

#include <fcntl.h>

typedef struct {
    int good, bad;
    char first[400];
} Report;

static void note(void *context, bool good, const char *line)
{
    Report *report = context;
    if (good)
        report->good++;
    else if (report->bad++ == 0)
        snprintf(report->first, sizeof report->first, "%s", line);
}

typedef struct {
    const char *words;
    bool met;
} Asked;

static void asked_for(void *context, bool good, const char *line)
{
    Asked *asked = context;
    (void)good;
    asked->met = asked->met || strstr(line, asked->words) != NULL;
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
        assert_true(log_verify(log, (LogReport){note, &report}, &fault));
        assert_int_equal(report.bad, 0);
        assert_true(report.good >= 8);
        kit_sound(log); /* and the log can be used as before */
        kit_usable(log);
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
        {"DROP TRIGGER entry_stays", "is gone or was changed"},
        {"DROP TRIGGER entry_remains; DELETE FROM entry WHERE kind=1", "is gone or was changed"},
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
        {"INSERT INTO entry SELECT at+1,id,kind,zone,name,other,n1,n2,code,more,note,NULL FROM "
         "entry "
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
         "its note is none"},
        {"INSERT INTO entry(at,id,kind,zone) "
         "VALUES(1,x'00000000000040008000000000000001',99,0)",
         "kind is not known"},
        {"INSERT INTO entry(at,id,kind,zone) "
         "VALUES(1,x'00000000000040008000000000000001',8,2000)",
         "its time or its zone"},
        {"INSERT INTO entry(at,id,kind,zone,name) "
         "VALUES(1,x'00000000000040008000000000000001',1,0,'A9')",
         "entry 00000000-0000-4000-8000-000000000001"},
        {"UPDATE tally SET entries=entries+1", "1 entries are missing since they were written"},
        {"UPDATE tally SET entries=entries-1", "1 entries were added by another program"},
        {"UPDATE tally SET sum=sum+1", "entries are other ones"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        Kit kit;
        kit_init(&kit);
        make(kit.path);
        sqlite3 *db = kit_beside(kit.path, cases[i].sql);
        assert_true(sqlite3_total_changes(db) > 0 || strncmp(cases[i].sql, "DROP", 4) == 0);
        sqlite3_close(db);
        Log *log = kit_open(kit.path, LOG_READ);
        Report report = {0};
        Fault fault = {0};
        if (log_verify(log, (LogReport){note, &report}, &fault))
            fail_msg("not found: %s", cases[i].sql);
        assert_int_equal(fault.kind, FAULT_LOG);
        if (strstr(report.first, cases[i].says) == NULL)
            fail_msg("%s: %s", cases[i].sql, report.first);
        log_close(log);
        kit_finish(&kit);
    }
}

static bool exported(Log *log, char **text)
{
    size_t n = 0;
    Fault fault = {0};
    const LogQuery everything = KIT_EVERYTHING;
    FILE *out = open_memstream(text, &n);
    const bool good = port_export(log, &everything, PORT_JSON, out, &fault);
    fclose(out);
    return good;
}

/* Each row of it is whole and its seal fits; but it stands there twice, and others are gone. */
static void a_page_in_the_place_of_another_is_not_read_in_silence(void **unused)
{
    (void)unused;
    enum { MANY = 600, PAGE = 4096, PAGES_MAX = 64 };
    Kit kit;
    static char bytes[PAGES_MAX * PAGE];
    int leaves[PAGES_MAX], count = 0, silent = 0, loud = 0;
    char *want;
    kit_init(&kit);
    Event *events = calloc(MANY, sizeof *events);
    State *state = malloc(sizeof *state), *sound = malloc(sizeof *sound);
    kit_log(events, MANY, 8);
    Log *log = log_open_tuned(kit.path, LOG_WRITE, (LogTuning){LOG_INTERVAL, 50}, &(Fault){0});
    kit_feed(log, events, 0, MANY);
    kit_state(log, sound, NULL);
    assert_true(exported(log, &want));
    log_close(log);
    FILE *file = fopen(kit.path, "rb");
    const size_t n = fread(bytes, 1, sizeof bytes, file);
    fclose(file);
    for (int i = 1; i < (int)(n / PAGE); i++)
        if (bytes[i * PAGE] == 10)
            leaves[count++] = i;
    assert_true(count > 8);
    for (int i = 0; i < count; i++) {
        const int j = (i * 7 + 3) % count;
        static char hurt[sizeof bytes];
        memcpy(hurt, bytes, n);
        memcpy(hurt + leaves[i] * PAGE, bytes + leaves[j] * PAGE, PAGE);
        file = fopen(kit.path, "wb");
        assert_int_equal(fwrite(hurt, 1, n, file), n);
        fclose(file);
        sqlite3 *db;
        assert_int_equal(sqlite3_open(kit.path, &db), SQLITE_OK);
        sqlite3_exec(db, "UPDATE head SET stamp=stamp+1", NULL, NULL, NULL);
        sqlite3_close(db);
        Fault fault = {0};
        char *text = NULL;
        log = log_open(kit.path, LOG_READ, &fault);
        if (log == NULL || !exported(log, &text)) {
            loud++;
        } else {
            assert_string_equal(text, want);
            silent++;
        }
        free(text);
        if (log != NULL && log_state(log, state, NULL, &fault))
            assert_true(state_equal(state, sound) || state->unread > 0);
        log_close(log);
    }
    assert_true(loud > 5);
    print_message("%d pages, %d told, %d without harm\n", count, loud, silent);
    free(want);
    free(events);
    free(state);
    free(sound);
    kit_finish(&kit);
}

/* Of many rows that are wrong, or hide something, the first are named and all are counted. */
static void many_findings_are_counted(void **state)
{
    (void)state;
    static const struct {
        const char *sql, *says;
        bool sound;
    } many[] = {
        {"WITH RECURSIVE c(n) AS (SELECT 1 UNION ALL SELECT n+1 FROM c WHERE n<30) INSERT INTO "
         "entry(at,id,kind,zone) SELECT n,randomblob(16),99,0 FROM c",
         "and 10 more entries that can't be", false},
        {"WITH RECURSIVE c(n) AS (SELECT 1 UNION ALL SELECT n+1 FROM c WHERE n<30) INSERT INTO "
         "entry(at,id,kind,zone,note) SELECT n,randomblob(16),21,0,'a'||char(8238) FROM c; DELETE "
         "FROM head",
         "and 10 more that are shown with '?'", true},
    };
    for (size_t i = 0; i < sizeof many / sizeof *many; i++) {
        Kit kit;
        kit_init(&kit);
        make(kit.path);
        kit_sql(kit.path, many[i].sql);
        Log *log = kit_open(kit.path, LOG_WRITE);
        Asked asked = {.words = many[i].says};
        Fault fault = {0};
        kit_usable(log);
        assert_int_equal(log_verify(log, (LogReport){asked_for, &asked}, &fault), many[i].sound);
        assert_true(asked.met);
        log_close(log);
        kit_finish(&kit);
    }
}

/* Another program does something to one row and leaves the schema as it was. False where there was
 * nothing to do or SQLite itself refused. */
static bool changed(const char *path, const char *sql, const Event *e)
{
    static const char *const triggers[] = {"entry_stays", "entry_remains"};
    sqlite3 *db;
    sqlite3_stmt *stmt;
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    char *text[2];
    for (int i = 0; i < 2; i++) {
        assert_int_equal(
            sqlite3_prepare_v2(db, "SELECT sql FROM sqlite_schema WHERE name=?1", -1, &stmt, NULL),
            SQLITE_OK);
        sqlite3_bind_text(stmt, 1, triggers[i], -1, SQLITE_STATIC);
        assert_int_equal(sqlite3_step(stmt), SQLITE_ROW);
        text[i] = sqlite3_mprintf("%s", sqlite3_column_text(stmt, 0));
        sqlite3_finalize(stmt);
    }
    sqlite3_exec(db, "DROP TRIGGER entry_stays; DROP TRIGGER entry_remains", NULL, NULL, NULL);
    assert_int_equal(sqlite3_prepare_v2(db, sql, -1, &stmt, NULL), SQLITE_OK);
    sqlite3_bind_int64(stmt, 1, e->at.ms);
    sqlite3_bind_blob(stmt, 2, e->id.b, sizeof e->id.b, SQLITE_STATIC);
    const bool done = sqlite3_step(stmt) == SQLITE_DONE && sqlite3_changes(db) > 0;
    sqlite3_finalize(stmt);
    for (int i = 0; i < 2; i++) {
        assert_int_equal(sqlite3_exec(db, text[i], NULL, NULL, NULL), SQLITE_OK);
        sqlite3_free(text[i]);
    }
    sqlite3_close(db);
    return done;
}

typedef struct {
    Event events[40];
    int count;
} Collected;

static bool collect(void *context, const Event *e, bool voided)
{
    Collected *rows = context;
    (void)voided;
    assert_true(rows->count < 40);
    rows->events[rows->count++] = *e;
    return true;
}

/* Every value of every row, changed by the least or taken out, and every row gone: nothing of it
 * passes. */
static void each_changed_value_and_each_missing_row_is_found(void **state)
{
    (void)state;
    static const char *const changes[] = {
        "UPDATE entry SET at=at+1 WHERE at=?1 AND id=?2",
        "UPDATE entry SET id=randomblob(16) WHERE at=?1 AND id=?2",
        "UPDATE entry SET kind=CASE kind WHEN 5 THEN 6 ELSE 5 END WHERE at=?1 AND id=?2",
        "UPDATE entry SET zone=zone+1 WHERE at=?1 AND id=?2",
        "UPDATE entry SET name=name||'x' WHERE at=?1 AND id=?2 AND name IS NOT NULL",
        "UPDATE entry SET name=NULL WHERE at=?1 AND id=?2 AND name IS NOT NULL",
        "UPDATE entry SET other=other||'x' WHERE at=?1 AND id=?2 AND other IS NOT NULL",
        "UPDATE entry SET other=NULL WHERE at=?1 AND id=?2 AND other IS NOT NULL",
        "UPDATE entry SET n1=n1+1 WHERE at=?1 AND id=?2 AND n1 IS NOT NULL",
        "UPDATE entry SET n1=NULL WHERE at=?1 AND id=?2 AND n1 IS NOT NULL",
        "UPDATE entry SET n2=n2+1 WHERE at=?1 AND id=?2 AND n2 IS NOT NULL",
        "UPDATE entry SET code=1-min(code,1) WHERE at=?1 AND id=?2 AND code IS NOT NULL",
        "UPDATE entry SET code=NULL WHERE at=?1 AND id=?2 AND code IS NOT NULL",
        /* an order that is not there is an empty one: the same entry */
        "UPDATE entry SET more=NULL WHERE at=?1 AND id=?2 AND more<>'{\"order\":[]}'",
        /* what nothing is read from */
        "UPDATE entry SET name='x' WHERE at=?1 AND id=?2 AND name IS NULL",
        "UPDATE entry SET other='x' WHERE at=?1 AND id=?2 AND other IS NULL",
        "UPDATE entry SET n1=1 WHERE at=?1 AND id=?2 AND n1 IS NULL",
        "UPDATE entry SET n2=1 WHERE at=?1 AND id=?2 AND n2 IS NULL",
        "UPDATE entry SET code=1 WHERE at=?1 AND id=?2 AND code IS NULL",
        "UPDATE entry SET more='x' WHERE at=?1 AND id=?2 AND more IS NULL",
        "UPDATE entry SET note=note||'.' WHERE at=?1 AND id=?2 AND note IS NOT NULL",
        "UPDATE entry SET note='.' WHERE at=?1 AND id=?2 AND note IS NULL",
        "UPDATE entry SET seal=seal+1 WHERE at=?1 AND id=?2",
        "UPDATE entry SET seal=NULL WHERE at=?1 AND id=?2",
        "DELETE FROM entry WHERE at=?1 AND id=?2",
    };
    enum { CHANGES = sizeof changes / sizeof *changes };
    Kit kit;
    kit_init(&kit);
    kit_copy(FIXTURES "/log-v1.db", kit.path); /* every kind with all of its fields */
    Collected rows = {0};
    Fault fault = {0};
    int64_t sealed;
    Log *log = kit_open(kit.path, LOG_WRITE);
    assert_true(log_seal(log, &sealed, &fault));
    assert_true(log_each(log, &KIT_EVERYTHING, collect, &rows, &fault));
    log_close(log);
    assert_int_equal(rows.count, sealed);
    int tried[CHANGES] = {0};
    for (int i = 0; i < rows.count; i++) {
        for (int c = 0; c < CHANGES; c++) {
            char file[160];
            snprintf(file, sizeof file, "%s/other.db", kit.dir);
            kit_copy(kit.path, file);
            if (!changed(file, changes[c], &rows.events[i]))
                continue;
            Report report = {0};
            log = kit_open(file, LOG_READ);
            if (log_verify(log, (LogReport){note, &report}, &fault))
                fail_msg("not found: %s of entry %d", changes[c], i);
            assert_null(strstr(report.first, "triggers"));
            log_close(log);
            tried[c]++;
        }
    }
    for (int c = 0; c < CHANGES; c++)
        if (tried[c] == 0)
            fail_msg("never tried: %s", changes[c]);
    kit_finish(&kit);
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
        if (log != NULL)
            assert_false(log_verify(log, (LogReport){0}, &fault));
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
        cmocka_unit_test(a_page_in_the_place_of_another_is_not_read_in_silence),
        cmocka_unit_test(many_findings_are_counted),
        cmocka_unit_test(each_changed_value_and_each_missing_row_is_found),
        cmocka_unit_test(a_page_of_rubbish_is_found_wherever_it_is),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
