/* The permanent part: what it refuses, how it grows. */
#include "store/schema.h"
#include "support/logbook.h"
#include "support/store_kit.h"

static char *file_text(const char *path)
{
    FILE *in = fopen(path, "r");
    if (in == NULL)
        fail_msg("no %s", path);
    Str text = {0};
    char bytes[4096];
    size_t n;
    while ((n = fread(bytes, 1, sizeof bytes, in)) > 0)
        str_add(&text, text_slice(bytes, n));
    fclose(in);
    return text.s;
}

/* tests/fixtures/log-v1.db was made by version 1 of the program (log-v1.md says how); log-v1.jsonl
 * is what it holds. */
static void a_log_of_version_1_is_brought_up_to_date_and_loses_nothing(void **state)
{
    (void)state;
    Kit kit;
    kit_init(&kit);
    kit_copy(FIXTURES "/log-v1.db", kit.path);
    char kept[160];
    snprintf(kept, sizeof kept, "%s-before-2", kit.path);
    assert_int_not_equal(access(kept, F_OK), 0);
    Log *log = kit_open(kit.path, LOG_WRITE);
    Log *before = kit_open(kept, LOG_READ); /* the older log as it was, beside it */
    int64_t was;
    Fault ignored = {0};
    assert_true(db_number(&before->db, "PRAGMA user_version", 0, &was, &ignored));
    assert_int_equal(was, 1);
    char *old = kit_export(before, PORT_JSON);
    log_close(before);
    char *is = kit_export(log, PORT_JSON), *want = file_text(FIXTURES "/log-v1.jsonl");
    assert_string_equal(is, want);
    assert_string_equal(old, want);
    free(old);
    int64_t version;
    Fault fault = {0};
    assert_true(db_number(&log->db, "PRAGMA user_version", 0, &version, &fault));
    assert_int_equal(version, schema_version());
    Units units = UNITS_METRIC;
    assert_true(log_units(log, &units, &fault));
    assert_int_equal(units, UNITS_IMPERIAL);
    State *s = malloc(sizeof *s), *fresh_state = malloc(sizeof *s);
    kit_state(log, s, NULL);
    Log *fresh = kit_open("", LOG_SCRATCH);
    kit_import(fresh, want);
    kit_state(fresh, fresh_state, NULL);
    assert_true(state_equal(s, fresh_state));
    log_close(fresh);
    free(s);
    free(fresh_state);
    free(is);
    free(want);
    log_close(log);
    kit_finish(&kit);
}

/* Its stored states are of another layout, and another program is writing: the reader makes them
 * for itself and leaves the file as it is. */
static void the_fixture_can_be_read_without_being_written_to(void **state)
{
    (void)state;
    Kit kit;
    kit_init(&kit);
    kit_copy(FIXTURES "/log-v1.db", kit.path);
    char *before = file_text(kit.path);
    sqlite3 *busy = kit_beside(kit.path, "BEGIN IMMEDIATE");
    Log *log = kit_open(kit.path, LOG_READ);
    State *s = malloc(sizeof *s);
    int64_t entries;
    kit_state(log, s, &entries);
    assert_int_equal(entries, 28);
    free(s);
    log_close(log);
    sqlite3_close(busy);
    struct stat one, two;
    assert_int_equal(stat(kit.path, &one), 0);
    assert_int_equal(stat(FIXTURES "/log-v1.db", &two), 0);
    assert_int_equal(one.st_size, two.st_size);
    FILE *a = fopen(kit.path, "rb"), *b = fopen(FIXTURES "/log-v1.db", "rb");
    for (off_t i = 0; i < one.st_size; i++)
        assert_int_equal(fgetc(a), fgetc(b));
    fclose(a);
    fclose(b);
    free(before);
    kit_finish(&kit);
}

/* It goes on with rows that have no seal; verify --seal gives them one, and then a changed one is
 * found. */
static void the_rows_of_an_older_log_are_sealed_when_asked(void **state)
{
    (void)state;
    Kit kit;
    kit_init(&kit);
    kit_copy(FIXTURES "/log-v1.db", kit.path);
    Log *log = kit_open(kit.path, LOG_WRITE);
    Fault fault = {0};
    int64_t unsealed, sealed;
    kit_import(log, KIT_SETUP);
    assert_true(db_number(&log->db, "SELECT count(*) FROM entry WHERE seal IS NULL", -1, &unsealed,
                          &fault));
    assert_int_equal(unsealed, 28);
    kit_sound(log);
    assert_true(log_seal(log, &sealed, &fault));
    assert_int_equal(sealed, 28);
    kit_sound(log);
    assert_true(log_seal(log, &sealed, &fault));
    assert_int_equal(sealed, 0);
    assert_false(db_run(&log->db, "UPDATE entry SET n1=0", &fault)); /* refused as before */
    assert_true(db_run(
        &log->db, "DROP TRIGGER entry_stays; UPDATE entry SET zone=zone+15 WHERE kind=1", &fault));
    assert_false(log_verify(log, (LogReport){0}, &fault));
    log_close(log);
    kit_finish(&kit);
}

/* No room for the copy: the log stays what it was, and says so. */
static void an_older_log_without_its_copy_is_not_touched(void **state)
{
    (void)state;
    Kit kit;
    kit_init(&kit);
    kit_copy(FIXTURES "/log-v1.db", kit.path);
    char folder[160];
    snprintf(folder, sizeof folder, "%s-before-2", kit.path);
    assert_int_equal(symlink("/nowhere/at/all", folder),
                     0); /* the name is taken by what is not there */
    Fault fault = {0};
    assert_null(log_open_tuned(kit.path, LOG_WRITE, KIT_TUNING, &fault));
    assert_says(fault, "The log was not brought up to date, and is as it was.");
    Log *log = kit_open(kit.path, LOG_READ);
    int64_t version;
    assert_true(db_number(&log->db, "PRAGMA user_version", 0, &version, &fault));
    assert_int_equal(version, 1);
    log_close(log);
    kit_finish(&kit);
}

/* FNV-1a of the SQL of every version that was ever released: a migration is never edited. */
static void migrations_only_grow(void **state)
{
    (void)state;
    static const uint64_t released[] = {UINT64_C(0xa8cac15d59e092c9), UINT64_C(0x17da1fda72acd3ba)};
    assert_true(schema_version() >= (int)(sizeof released / sizeof *released));
    for (int v = 1; v <= (int)(sizeof released / sizeof *released); v++) {
        uint64_t hash = UINT64_C(14695981039346656037);
        for (const char *s = schema_migration(v); *s != '\0'; s++)
            hash = (hash ^ (unsigned char)*s) * UINT64_C(1099511628211);
        if (hash != released[v - 1])
            fail_msg("version %d: %#llx", v, (unsigned long long)hash);
    }
    assert_null(schema_migration(0));
    assert_null(schema_migration(schema_version() + 1));
}

static void entries_are_neither_changed_nor_removed_nor_replaced(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    kit_import(log, KIT_SETUP);
    static const struct {
        const char *sql, *says;
    } cases[] = {
        {"UPDATE entry SET n1=0", "never changed"},
        {"UPDATE entry SET note='x' WHERE kind=13", "never changed"},
        {"DELETE FROM entry", "never removed"},
        {"INSERT OR REPLACE INTO entry SELECT at,id,kind,zone,'B9',other,n1,n2,code,more,note,seal "
         "FROM "
         "entry",
         "never removed"},
        {"INSERT INTO entry SELECT * FROM entry", "UNIQUE"},
        {"INSERT INTO entry(at,id,kind,zone) VALUES(1,x'00',1,0)", "CHECK"},
        {"INSERT INTO entry(at,id,kind,zone) "
         "VALUES('noon',x'00000000000040008000000000000001',1,0)",
         "INTEGER"},
        {"INSERT INTO entry(at,id,kind,zone) VALUES(1,NULL,1,0)", "NOT NULL"},
    };
    char *was = kit_export(log, PORT_JSON);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        Fault fault = {0};
        if (db_run(&log->db, cases[i].sql, &fault))
            fail_msg("done: %s", cases[i].sql);
        assert_says(fault, cases[i].says);
    }
    char *is = kit_export(log, PORT_JSON);
    assert_string_equal(was, is);
    free(was);
    free(is);
    log_close(log);
}

static void refused_after(const char *sql, LogMode mode, const char *says)
{
    Kit kit;
    kit_init(&kit);
    log_close(kit_open(kit.path, LOG_WRITE));
    kit_sql(kit.path, sql);
    Fault fault = {0};
    if (log_open_tuned(kit.path, mode, KIT_TUNING, &fault) != NULL)
        fail_msg("opened after %s", sql);
    assert_int_equal(fault.kind, FAULT_LOG);
    assert_says(fault, says);
    kit_finish(&kit);
}

static void other_programs_databases_and_newer_logs_are_refused(void **state)
{
    (void)state;
    for (int mode = LOG_READ; mode <= LOG_WRITE; mode++) {
        refused_after("PRAGMA application_id=1", (LogMode)mode, "of another program");
        refused_after("PRAGMA application_id=0", (LogMode)mode, "of another program");
        refused_after("PRAGMA user_version=3", (LogMode)mode, "newer version");
        refused_after("PRAGMA user_version=0", (LogMode)mode, "of another program");
    }
}

static void a_table_of_another_program_is_not_taken_over(void **state)
{
    (void)state;
    Kit kit;
    kit_init(&kit);
    kit_sql(kit.path, "CREATE TABLE pets(name)");
    Fault fault = {0};
    assert_null(log_open_tuned(kit.path, LOG_WRITE, KIT_TUNING, &fault));
    assert_says(fault, "of another program");
    kit_finish(&kit);
}

/* Each field of each kind has a column that can hold it, and no two of one kind share one. */
static void every_field_has_a_column_of_its_own(void **state)
{
    (void)state;
    for (int k = 1; k < KIND_END; k++) {
        const Kind *kind = kind_of((KindId)k);
        bool taken[COLUMN_MORE + 1] = {false};
        assert_true(kind->field_count <= CODEC_STEPS_MAX);
        for (int i = 0; i < kind->field_count; i++) {
            const Field *f = &kind->fields[i];
            bool text = f->column == COLUMN_NAME || f->column == COLUMN_OTHER;
            if (f->column == COLUMN_MORE)
                continue;
            assert_false(taken[f->column]);
            taken[f->column] = true;
            assert_int_equal(text, f->type == FIELD_LABEL);
            assert_true(f->type != FIELD_LABELS && f->type != FIELD_ENTRY);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_log_of_version_1_is_brought_up_to_date_and_loses_nothing),
        cmocka_unit_test(the_fixture_can_be_read_without_being_written_to),
        cmocka_unit_test(the_rows_of_an_older_log_are_sealed_when_asked),
        cmocka_unit_test(an_older_log_without_its_copy_is_not_touched),
        cmocka_unit_test(migrations_only_grow),
        cmocka_unit_test(entries_are_neither_changed_nor_removed_nor_replaced),
        cmocka_unit_test(other_programs_databases_and_newer_logs_are_refused),
        cmocka_unit_test(a_table_of_another_program_is_not_taken_over),
        cmocka_unit_test(every_field_has_a_column_of_its_own),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
