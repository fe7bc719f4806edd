/* Rows that another hand wrote: every number of every kind on both sides of its bounds, and what is
 * no number, name or note at all. What is read is what the fold was made for, or nothing. */
#include "model/field.h"
#include "model/seal.h"
#include "store/codec.h"
#include "support/store_kit.h"

/* An entry of that kind with every field given, each number at its lower or upper bound. */
static Event entry_at_bounds(const Kind *kind, bool upper)
{
    Event e;
    memset(&e, 0, sizeof e);
    event_clear(&e, kind->id);
    e.at = KIT_NOW;
    memset(e.id.b, 0x5a, sizeof e.id.b);
    e.has = kind->field_count > 0 ? (1u << kind->field_count) - 1 : 0;
    for (int i = 0; i < kind->field_count; i++) {
        const Field *f = &kind->fields[i];
        if (field_is_number(f))
            *field_number(&e, f) = upper ? f->max : f->min;
        else if (f->type == FIELD_LABEL)
            *field_label(&e, f) = label_of(text_of("A1"));
        else if (f->type == FIELD_LABELS)
            e.u.couple.order[e.u.couple.count++] = label_of(text_of("A1"));
    }
    return e;
}

/* Writes the entry as a row, changes it with `sql` (may be NULL), reads it back and forgets it. */
static bool through_a_row(Log *log, const Event *e, const char *sql, Event *back, Fault *fault)
{
    Fault ignored = {0};
    *fault = (Fault){0};
    memset(back, 0, sizeof *back);
    assert_true(db_run(&log->db, "BEGIN; DROP TRIGGER entry_stays", &ignored));
    sqlite3_stmt *stmt = db_prepare(&log->db, CODEC_INSERT, &ignored);
    assert_non_null(stmt);
    codec_bind(&log->codec, e, event_seal(e), stmt, 0);
    assert_true(db_exec(&log->db, stmt, &ignored));
    db_done(stmt);
    if (sql != NULL && !db_run(&log->db, sql, &ignored))
        fail_msg("%s: %s", sql, ignored.text);
    stmt = db_prepare(&log->db, "SELECT " CODEC_COLUMNS " FROM entry", &ignored);
    assert_int_equal(db_step(&log->db, stmt, &ignored), DB_ROW);
    const bool good = codec_decode(&log->codec, db_row(stmt), true, back, fault);
    db_done(stmt);
    assert_true(db_run(&log->db, "ROLLBACK", &ignored));
    return good;
}

static void assert_refused(Log *log, const Event *e, const char *sql, const char *says)
{
    Event back;
    Fault fault;
    if (through_a_row(log, e, sql, &back, &fault))
        fail_msg("%s, %s: was read", kind_of((KindId)e->kind)->name, sql != NULL ? sql : says);
    assert_int_equal(fault.kind, FAULT_LOG);
    if (strstr(fault.text, "5a5a5a5a") == NULL || strstr(fault.text, "2026-11-24") == NULL ||
        strstr(fault.text, says) == NULL)
        fail_msg("%s: \"%s\" does not name the entry and \"%s\"", kind_of((KindId)e->kind)->name,
                 fault.text, says);
}

static void every_number_is_read_within_its_bounds_and_refused_beyond(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    for (int k = 1; k < KIND_END; k++) {
        const Kind *kind = kind_of((KindId)k);
        for (int upper = 0; upper < 2; upper++) {
            const Event good = entry_at_bounds(kind, upper != 0);
            Event back;
            Fault fault;
            State *fold = calloc(1, sizeof *fold);
            state_init(fold);
            if (!through_a_row(log, &good, NULL, &back, &fault))
                fail_msg("%s: %s", kind->name, fault.text);
            assert_true(event_equal(&good, &back));
            fold_apply(fold, &back);
            free(fold);
            for (int i = 0; i < kind->field_count; i++) {
                const Field *f = &kind->fields[i];
                if (!field_is_number(f))
                    continue;
                const int64_t beyond[] = {upper != 0 ? f->max + 1 : f->min - 1,
                                          upper != 0 ? INT64_MAX / 1000 : INT64_MIN / 1000};
                for (size_t j = 0; j < sizeof beyond / sizeof beyond[0]; j++) {
                    Event bad = good;
                    *field_number(&bad, f) = beyond[j];
                    assert_refused(log, &bad, NULL, f->name);
                }
            }
        }
    }
    log_close(log);
}

static void a_required_field_that_is_missing_is_named(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    for (int k = 1; k < KIND_END; k++) {
        const Kind *kind = kind_of((KindId)k);
        for (int i = 0; i < kind->field_count; i++) {
            Event e = entry_at_bounds(kind, true);
            e.has &= ~(1u << i);
            if (kind->fields[i].required)
                assert_refused(log, &e, NULL, kind->fields[i].name);
        }
    }
    log_close(log);
}

static void what_is_no_number_name_or_note_is_refused(void **state)
{
    (void)state;
    static const struct {
        KindId kind;
        const char *sql;
    } rows[] = {
        {KIND_FLOWTEST, "UPDATE entry SET n1=0"},
        {KIND_FLOWTEST, "UPDATE entry SET n2=0"},
        {KIND_FILL, "UPDATE entry SET n1=-9223372036854775808"},
        {KIND_FILL, "UPDATE entry SET n2=9223372036854775807"},
        {KIND_FILL, "UPDATE entry SET name=''"},
        {KIND_FILL, "UPDATE entry SET name=' A1'"},
        {KIND_FILL, "UPDATE entry SET name='A1 '"},
        {KIND_FILL, "UPDATE entry SET name='-A1'"},
        {KIND_FILL, "UPDATE entry SET name=char(27)||'[2J'"},
        {KIND_FILL, "UPDATE entry SET name=char(155)||'2J'"},
        {KIND_FILL, "UPDATE entry SET name=CAST(x'fffe' AS TEXT)"},
        {KIND_FILL, "UPDATE entry SET other=printf('%.48c','x')"},
        {KIND_FILL, "UPDATE entry SET note=char(27)||'c'"},
        {KIND_FILL, "UPDATE entry SET note=printf('%.1001c','x')"},
        {KIND_FILL, "UPDATE entry SET note=CAST(x'c0af' AS TEXT)"},
        {KIND_FILL, "UPDATE entry SET code=3"},
        {KIND_FILL, "UPDATE entry SET kind=0"},
        {KIND_FILL, "UPDATE entry SET kind=25"},
        {KIND_FILL, "UPDATE entry SET zone=1440"},
        {KIND_FILL, "UPDATE entry SET zone=-1440"},
        {KIND_FILL, "UPDATE entry SET more='{\"cost\":NaN}'"},
        {KIND_FILL, "UPDATE entry SET more='{\"cost\":\"dear\"}'"},
        {KIND_FILL, "UPDATE entry SET more='{\"cost\":null}'"},
        {KIND_FILL, "UPDATE entry SET more='{\"cost\":1e999}'"},
        {KIND_FILL, "UPDATE entry SET more='{\"cost\":1.5}'"},
        {KIND_FILL, "UPDATE entry SET more='{\"cost\":-1}'"},
        {KIND_FILL, "UPDATE entry SET more='{\"level\":1}'"},
        {KIND_FILL, "UPDATE entry SET more='[1]'"},
        {KIND_COUPLE, "UPDATE entry SET more='{\"order\":[\"A1\",7]}'"},
        {KIND_COUPLE, "UPDATE entry SET more='{\"order\":[\"\\u001b[2J\"]}'"},
        {KIND_VOID, "UPDATE entry SET more='{\"entry\":\"last\"}'"},
        {KIND_VOID, "UPDATE entry SET more=NULL"},
    };
    Log *log = kit_open("", LOG_SCRATCH);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const Event e = entry_at_bounds(kind_of(rows[i].kind), false);
        assert_refused(log, &e, rows[i].sql, "can't be read");
    }
    log_close(log);
}

static bool none_seen(void *context, const Event *e, bool voided)
{
    (void)context;
    (void)e;
    (void)voided;
    fail();
    return false;
}

/* The story: somebody writes a flow test of no litres into the file, and asks how much is left. */
static void a_log_with_such_a_row_is_damaged_and_verify_names_it(void **state)
{
    (void)state;
    Kit kit;
    kit_init(&kit);
    Log *log = kit_open(kit.path, LOG_WRITE);
    Fault fault = {0};
    assert_true(db_run(&log->db,
                       "INSERT INTO entry(at,id,kind,zone,other,n1,n2) VALUES"
                       "(1795478400000,x'5a5a5a5a5a5a5a5a5a5a5a5a5a5a5a5a',12,0,'galley',0,14000)",
                       &fault));
    log_close(log);
    log = kit_open(kit.path, LOG_READ);
    State *s = calloc(1, sizeof *s);
    assert_true(log_state(log, s, NULL, &fault)); /* passed over, which the state says */
    assert_int_equal(s->unread, 1);
    const LogQuery everything = KIT_EVERYTHING;
    assert_true(log_each(log, &everything, none_seen, NULL, &fault));
    assert_false(log_all_read(log, &fault));
    assert_int_equal(fault.kind, FAULT_LOG);
    assert_non_null(strstr(fault.text, "5a5a5a5a-"));
    assert_non_null(strstr(fault.text, "litres of 0"));
    assert_false(log_verify(log, (LogReport){0}, &fault));
    free(s);
    log_close(log);
    kit_finish(&kit);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_number_is_read_within_its_bounds_and_refused_beyond),
        cmocka_unit_test(a_required_field_that_is_missing_is_named),
        cmocka_unit_test(what_is_no_number_name_or_note_is_refused),
        cmocka_unit_test(a_log_with_such_a_row_is_damaged_and_verify_names_it),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
