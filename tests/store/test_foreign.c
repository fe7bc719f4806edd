/* A log that another program has put parts of its own into: they are listed, and have no say until
 * somebody says that they are meant; and then an entry that did not arrive is still not called
 * written. */
#include "support/store_kit.h"

#include <time.h>

static void begin(Kit *kit)
{
    kit_init(kit);
    Log *log = kit_open(kit->path, LOG_WRITE);
    kit_import(log, KIT_SETUP);
    log_close(log);
}

static bool append(Log *log, Fault *fault)
{
    Event e;
    event_clear(&e, KIND_CREW);
    e.at = KIT_NOW;
    kit_give(&e, "persons", 2);
    return log_append(log, &e, KIT_NOW, fault);
}

static int64_t rows(const char *path)
{
    sqlite3 *db;
    sqlite3_stmt *stmt;
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    sqlite3_prepare_v2(db, "SELECT count(*) FROM entry", -1, &stmt, NULL);
    assert_int_equal(sqlite3_step(stmt), SQLITE_ROW);
    const int64_t n = sqlite3_column_int64(stmt, 0);
    sqlite3_finalize(stmt);
    sqlite3_close(db);
    return n;
}

typedef struct {
    const char *asked;
    bool met, good;
} Listed;

static void listed(void *context, bool good, const char *line)
{
    Listed *l = context;
    if (strstr(line, l->asked) != NULL) {
        l->met = true;
        l->good = good;
    }
}

/* `sound`: it lets the entries alone. */
static const struct {
    const char *sql, *named;
    bool sound;
} parts[] = {
    {"CREATE TABLE mine(a)", "table \"mine\"", true},
    {"CREATE VIEW mine AS SELECT * FROM entry", "view \"mine\"", true},
    {"CREATE INDEX mine ON entry(kind)", "index \"mine\"", true},
    {"CREATE TRIGGER mine AFTER INSERT ON entry BEGIN SELECT 1; END", "trigger \"mine\"", false},
    {"CREATE TRIGGER sqlitey BEFORE INSERT ON head BEGIN SELECT 1; END", "trigger \"sqlitey\"",
     false},
    /* one of ours in name only */
    {"DROP TRIGGER entry_stays; CREATE TRIGGER entry_stays AFTER INSERT ON entry BEGIN SELECT 1; "
     "END",
     "trigger \"entry_stays\"", false},
    {"ALTER TABLE entry ADD COLUMN mine TEXT", "table \"entry\"", false},
    {"CREATE TRIGGER head AFTER INSERT ON setting BEGIN SELECT 1; END", "trigger \"head\"", false},
};

static void what_is_not_ours_is_listed_and_stops_writing_until_it_is_asserted(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++) {
        Kit kit;
        begin(&kit);
        Log *open = kit_open(kit.path, LOG_WRITE); /* a board that is open meanwhile */
        kit_sql(kit.path, parts[i].sql);
        Fault fault = {0};
        assert_false(append(open, &fault));
        assert_int_equal(fault.kind, FAULT_LOG);
        assert_says(fault, parts[i].named);
        assert_says(fault, "--asserted");
        log_close(open);
        assert_null(log_open_tuned(kit.path, LOG_WRITE, KIT_TUNING, &fault));
        assert_says(fault, parts[i].named);
        assert_int_equal(rows(kit.path), 1);
        Log *reader = kit_open(kit.path, LOG_READ);
        State *s = malloc(sizeof *s);
        kit_state(reader, s, NULL);
        assert_int_equal(s->vessel_count, 1);
        free(s);
        Listed l = {.asked = parts[i].named};
        assert_int_equal(log_verify(reader, (LogReport){listed, &l}, &fault), parts[i].sound);
        assert_true(l.met);
        log_close(reader);
        Log *asserted = kit_open(kit.path, LOG_WRITE | LOG_ASSERTED);
        fault = (Fault){0};
        if (!append(asserted, &fault))
            fail_msg("%s: %s", parts[i].sql, fault.text);
        log_close(asserted);
        assert_int_equal(rows(kit.path), 2);
        kit_finish(&kit);
    }
}

/* What SQLite makes by itself is not another program's. */
static void statistics_are_nobodys(void **state)
{
    (void)state;
    Kit kit;
    begin(&kit);
    kit_sql(kit.path, "ANALYZE");
    Log *log = kit_open(kit.path, LOG_WRITE);
    Fault fault = {0};
    assert_true(append(log, &fault));
    kit_sound(log);
    log_close(log);
    kit_finish(&kit);
}

static void an_entry_that_a_trigger_drops_is_not_called_written(void **state)
{
    (void)state;
    static const char *const drops[] = {
        "CREATE TRIGGER mine BEFORE INSERT ON entry BEGIN SELECT RAISE(IGNORE); END",
        "CREATE TRIGGER mine BEFORE INSERT ON head BEGIN SELECT RAISE(IGNORE); END",
        "CREATE TRIGGER mine BEFORE INSERT ON tally BEGIN SELECT RAISE(IGNORE); END",
        "DROP TRIGGER entry_remains; CREATE TRIGGER mine AFTER INSERT ON entry BEGIN DELETE FROM "
        "entry WHERE id=new.id; END",
        "DROP TRIGGER entry_stays; CREATE TRIGGER mine AFTER INSERT ON entry BEGIN UPDATE entry "
        "SET zone=60 WHERE id=new.id; END",
    };
    for (size_t i = 0; i < sizeof drops / sizeof *drops; i++) {
        Kit kit;
        char other[160];
        begin(&kit);
        snprintf(other, sizeof other, "%s/other.db", kit.dir);
        Log *two = kit_open(other, LOG_WRITE);
        Fault fault = {0};
        assert_true(append(two, &fault));
        log_close(two);
        kit_sql(kit.path, drops[i]);
        Log *log = kit_open(kit.path, LOG_WRITE | LOG_ASSERTED);
        assert_false(append(log, &fault));
        assert_says(fault, "did not take the entry");
        LogIntake intake;
        fault = (Fault){0};
        assert_false(log_merge(log, other, KIT_NOW, &intake, &fault));
        assert_says(fault, "did not take the entry");
        log_close(log);
        assert_int_equal(rows(kit.path), 1);
        kit_finish(&kit);
    }
}

static void a_void_that_a_trigger_drops_is_not_called_written(void **state)
{
    (void)state;
    static const char *const drops[] = {
        "CREATE TRIGGER mine BEFORE INSERT ON void_of BEGIN SELECT RAISE(IGNORE); END",
        "CREATE TRIGGER mine BEFORE INSERT ON struck BEGIN SELECT RAISE(IGNORE); END",
    };
    for (size_t i = 0; i < sizeof drops / sizeof *drops; i++) {
        Kit kit;
        begin(&kit);
        kit_sql(kit.path, drops[i]);
        Log *log = kit_open(kit.path, LOG_WRITE | LOG_ASSERTED);
        Event last, e;
        Fault fault = {0};
        assert_true(log_find(log, text_of("last"), &last, &fault));
        event_clear(&e, KIND_VOID);
        e.at = KIT_NOW;
        e.has = 1;
        e.u.entry.entry = last.id;
        assert_false(log_append(log, &e, KIT_NOW, &fault));
        assert_says(fault, "did not take the entry");
        log_close(log);
        assert_int_equal(rows(kit.path), 1);
        kit_finish(&kit);
    }
}

/* It counts for ever: stopped after DB_CHANGE_MS. */
static void a_trigger_without_an_end_is_stopped(void **state)
{
    (void)state;
    Kit kit;
    begin(&kit);
    kit_sql(kit.path, "CREATE TABLE mine(a);"
                      "CREATE TRIGGER endless AFTER INSERT ON entry BEGIN INSERT INTO mine "
                      "SELECT max(n) FROM (WITH RECURSIVE c(n) AS (SELECT 1 UNION ALL SELECT n+1 "
                      "FROM c) SELECT n FROM c); END");
    Log *log = kit_open(kit.path, LOG_WRITE | LOG_ASSERTED);
    Fault fault = {0};
    const clock_t before = clock();
    assert_false(append(log, &fault));
    const long ms = (long)((clock() - before) * 1000 / CLOCKS_PER_SEC);
    assert_says(fault, "does not come to an end");
    assert_true(ms >= DB_CHANGE_MS - 10 && ms < DB_CHANGE_MS + 2000);
    log_close(log);
    assert_int_equal(rows(kit.path), 1);
    kit_finish(&kit);
}

/* Bounds of what SQLite does for a log: a row of 5 MiB is not read, a word of our own is. */
static void what_is_too_large_for_any_entry_is_not_read(void **state)
{
    (void)state;
    Kit kit;
    begin(&kit);
    kit_sql(kit.path, "INSERT INTO entry(at,id,kind,zone,note) VALUES(1790000000000,"
                      "x'00000000000040008000000000000001',21,0,CAST(zeroblob(5000000) AS TEXT))");
    Log *log = kit_open(kit.path, LOG_READ);
    Fault fault = {0};
    assert_false(log_verify(log, (LogReport){0}, &fault));
    assert_int_equal(fault.kind, FAULT_LOG);
    assert_says(fault, "larger than any of this program");
    assert_says(fault, "ullage salvage");
    int on = 0;
    sqlite3_db_config(log->db.handle, SQLITE_DBCONFIG_DEFENSIVE, -1, &on);
    assert_int_equal(on, 1);
    sqlite3_db_config(log->db.handle, SQLITE_DBCONFIG_TRUSTED_SCHEMA, -1, &on);
    assert_int_equal(on, 0);
    assert_true((size_t)sqlite3_limit(log->db.handle, SQLITE_LIMIT_LENGTH, -1) >
                2 * STATE_PACKED_MAX);
    log_close(log);
    kit_finish(&kit);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_not_ours_is_listed_and_stops_writing_until_it_is_asserted),
        cmocka_unit_test(statistics_are_nobodys),
        cmocka_unit_test(an_entry_that_a_trigger_drops_is_not_called_written),
        cmocka_unit_test(a_void_that_a_trigger_drops_is_not_called_written),
        cmocka_unit_test(a_trigger_without_an_end_is_stopped),
        cmocka_unit_test(what_is_too_large_for_any_entry_is_not_read),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
