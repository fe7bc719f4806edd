/* Checkpoints, replay and voids over the stored log: the same state as the fold by definition. */
#include "store/replay.h"
#include "support/logbook.h"
#include "support/store_kit.h"

#include <time.h>

enum { EVENTS = 90, ROUNDS = 25 };

static void assert_same_as_oracle(Log *log, const Event *events, int count)
{
    State *is = malloc(sizeof *is), *want = malloc(sizeof *want);
    int64_t entries;
    kit_state(log, is, &entries);
    kit_oracle(events, count, (Moment){INT64_MAX}, want);
    assert_int_equal(entries, count);
    assert_true(state_equal(is, want));
    free(is);
    free(want);
}

static void shuffle(Event *events, int count, uint64_t *seed)
{
    for (int i = count - 1; i > 0; i--) {
        int j = (int)kit_below(seed, i + 1);
        Event e = events[i];
        events[i] = events[j];
        events[j] = e;
    }
}

/* domain.md 5: entries imported in any order, in any number of parts, twice, with voids and voids
 * of voids before or after what they name. */
static void any_order_and_any_parts_give_the_same_state(void **state)
{
    (void)state;
    Event *events = calloc(EVENTS, sizeof *events);
    uint64_t seed = 2026;
    for (int round = 0; round < ROUNDS; round++) {
        kit_log(events, EVENTS, 100 + (uint64_t)round);
        shuffle(events, EVENTS, &seed);
        Log *log = kit_open("", LOG_SCRATCH);
        int from = 0, read = 0, added = 0;
        while (from < EVENTS) {
            int to = from + 1 + (int)kit_below(&seed, 30);
            to = to < EVENTS ? to : EVENTS;
            int back = (int)kit_below(&seed, from + 1); /* some that are there already */
            LogIntake one = kit_feed(log, events, back, to);
            read += (int)one.read;
            added += (int)one.added;
            assert_int_equal(one.read, one.added + one.same);
            from = to;
            if (round % 5 == 0)
                assert_same_as_oracle(log, events, to);
        }
        assert_int_equal(added, EVENTS);
        assert_true(read > EVENTS);
        assert_same_as_oracle(log, events, EVENTS);
        kit_sound(log);
        log_close(log);
    }
    free(events);
}

static void an_import_done_twice_changes_nothing(void **state)
{
    (void)state;
    Event *events = calloc(EVENTS, sizeof *events);
    kit_log(events, EVENTS, 7);
    Log *log = kit_open("", LOG_SCRATCH);
    kit_feed(log, events, 0, EVENTS);
    char *before = kit_export(log, PORT_JSON);
    LogIntake again = kit_feed(log, events, 0, EVENTS);
    assert_int_equal(again.added, 0);
    assert_int_equal(again.same, EVENTS);
    char *after = kit_export(log, PORT_JSON);
    assert_string_equal(before, after);
    free(before);
    free(after);
    log_close(log);
    free(events);
}

/* Checkpoints every 3 entries; the state at any time is that of a fresh fold. */
static void the_state_at_any_time_is_that_of_a_fresh_fold(void **state)
{
    (void)state;
    Event *events = calloc(EVENTS, sizeof *events);
    State *is = malloc(sizeof *is), *want = malloc(sizeof *want);
    kit_log(events, EVENTS, 31);
    Log *log = kit_open("", LOG_SCRATCH);
    kit_feed(log, events, 0, EVENTS);
    for (int i = 0; i < EVENTS; i++) {
        Fault fault = {0};
        int64_t entries = 0, counted = 0;
        Moment at = events[i].at;
        assert_true(log_state_at(log, at, is, &entries, &fault));
        kit_oracle(events, EVENTS, at, want);
        for (int j = 0; j < EVENTS; j++)
            counted += events[j].at.ms <= at.ms;
        assert_int_equal(entries, counted);
        assert_true(state_equal(is, want));
        assert_true(log_state_at(log, (Moment){at.ms - 1}, is, &entries, &fault));
        kit_oracle(events, EVENTS, (Moment){at.ms - 1}, want);
        assert_true(state_equal(is, want));
    }
    free(is);
    free(want);
    log_close(log);
    free(events);
}

static int64_t number(Log *log, const char *sql)
{
    int64_t value = -1;
    Fault fault = {0};
    assert_true(db_number(&log->db, sql, -1, &value, &fault));
    return value;
}

static void there_is_a_checkpoint_at_every_third_entry(void **state)
{
    (void)state;
    Event *events = calloc(EVENTS, sizeof *events);
    kit_log(events, EVENTS, 5);
    Log *log = kit_open("", LOG_SCRATCH);
    kit_feed(log, events, 0, 40);
    assert_int_equal(number(log, "SELECT count(*) FROM checkpoint"), 13);
    kit_feed(log, events, 40, EVENTS);
    assert_int_equal(number(log, "SELECT count(*) FROM checkpoint"), EVENTS / 3);
    assert_int_equal(number(log, "SELECT count(*) FROM checkpoint WHERE entries%3<>0"), 0);
    log_close(log);
    free(events);
}

static void the_interval_of_the_program_is_a_thousand(void **state)
{
    (void)state;
    Fault fault = {0};
    Log *log = log_open("", LOG_SCRATCH, &fault);
    assert_non_null(log);
    Str text = {0};
    str_adds(&text, KIT_SETUP);
    for (int i = 0; i < 2100; i++)
        str_addf(&text,
                 "{\"at\":\"2026-04-%02dT%02d:%02d:00Z\",\"kind\":\"draw\",\"vessel\":\"A1\","
                 "\"litres\":0.001}\n",
                 1 + i / 1440, i / 60 % 24, i % 60);
    kit_import(log, text.s);
    assert_int_equal(number(log, "SELECT count(*) FROM checkpoint"), 2);
    assert_int_equal(number(log, "SELECT max(entries) FROM checkpoint"), 2000);
    str_finish(&text);
    log_close(log);
}

/* A checkpoint of another layout is thrown away; what is made anew is the same. */
static void a_stamp_that_differs_means_replay(void **state)
{
    (void)state;
    Kit kit;
    kit_init(&kit);
    Event *events = calloc(EVENTS, sizeof *events);
    kit_log(events, EVENTS, 9);
    Log *log = kit_open(kit.path, LOG_WRITE);
    kit_feed(log, events, 0, EVENTS);
    Fault fault = {0};
    assert_true(db_run(&log->db, "UPDATE head SET stamp=stamp+1, state=x'00'", &fault));
    assert_true(db_run(&log->db, "UPDATE checkpoint SET state=x'00'", &fault));
    log_close(log);
    /* a reader makes them anew; where the file may be written, the next one finds them made */
    log = kit_open(kit.path, LOG_READ);
    assert_same_as_oracle(log, events, EVENTS);
    State *at = malloc(sizeof *at), *want = malloc(sizeof *want);
    assert_true(log_state_at(log, events[EVENTS / 2].at, at, NULL, &fault));
    kit_oracle(events, EVENTS, events[EVENTS / 2].at, want);
    assert_true(state_equal(at, want));
    free(at);
    free(want);
    assert_true(number(log, "SELECT length(state) FROM main.head") > 1);
    kit_sound(log);
    log_close(log);
    free(events);
    kit_finish(&kit);
}

/* One bit of one stored state is another; which one, is thrown. */
/* It would store what it makes anew; but it was asked to read, and another program is writing. */
static void a_reader_of_stale_tables_hardly_waits_for_a_writer(void **state)
{
    (void)state;
    Kit kit;
    Fault fault = {0};
    kit_init(&kit);
    Log *log = kit_open(kit.path, LOG_WRITE);
    kit_import(log, KIT_SETUP);
    log_close(log);
    sqlite3 *writer = kit_beside(kit.path, "UPDATE head SET stamp=stamp+1; BEGIN IMMEDIATE");
    const time_t begun = time(NULL);
    log = log_open(kit.path, LOG_READ, &fault);
    assert_non_null(log);
    State *s = malloc(sizeof *s);
    int64_t entries;
    kit_state(log, s, &entries);
    assert_int_equal(entries, 1);
    assert_true(time(NULL) - begun < LOG_BUSY_MS / 1000 / 2);
    free(s);
    log_close(log);
    sqlite3_close(writer);
    kit_finish(&kit);
}

static void flip(Log *log, const char *table, uint64_t *seed)
{
    Str sql = {0};
    Fault fault = {0};
    str_addf(&sql, "SELECT state,entries FROM %s LIMIT 1 OFFSET %lld", table,
             strcmp(table, "head") == 0 ? 0 : (long long)kit_below(seed, (EVENTS - 1) / 3));
    sqlite3_stmt *stmt = db_prepare(&log->db, sql.s, &fault);
    assert_int_equal(sqlite3_step(stmt), SQLITE_ROW);
    const int n = sqlite3_column_bytes(stmt, 0);
    uint8_t *bytes = malloc((size_t)n);
    memcpy(bytes, sqlite3_column_blob(stmt, 0), (size_t)n);
    const int64_t entries = sqlite3_column_int64(stmt, 1);
    db_done(stmt);
    const int64_t bit = kit_below(seed, 8 * n);
    bytes[bit / 8] ^= (uint8_t)(1u << bit % 8);
    str_clear(&sql);
    str_addf(&sql, "UPDATE %s SET state=?1 WHERE entries=?2", table);
    stmt = db_prepare(&log->db, sql.s, &fault);
    db_bind_blob(stmt, 1, bytes, (size_t)n);
    db_bind_number(stmt, 2, entries);
    assert_int_equal(sqlite3_step(stmt), SQLITE_DONE);
    db_done(stmt);
    free(bytes);
    str_finish(&sql);
}

/* A disk that lets a bit fall changes nothing that is told: now, at an earlier time, or after an
 * entry that arrives late. */
static void a_flipped_bit_in_a_stored_state_is_never_believed(void **state)
{
    (void)state;
    Event *events = calloc(EVENTS, sizeof *events);
    State *is = malloc(sizeof *is), *want = malloc(sizeof *want);
    uint64_t seed = 11;
    kit_log(events, EVENTS, 13);
    for (int round = 0; round < 200; round++) {
        Log *log = kit_open("", LOG_SCRATCH);
        kit_feed(log, events, 0, EVENTS - 1);
        flip(log, "head", &seed);
        for (int i = 0; i < 5; i++)
            flip(log, "checkpoint", &seed);
        const Moment then = events[kit_below(&seed, EVENTS - 1)].at;
        Fault fault = {0};
        assert_true(log_state_at(log, then, is, NULL, &fault));
        kit_oracle(events, EVENTS - 1, then, want);
        assert_true(state_equal(is, want));
        kit_feed(log, events, EVENTS - 1, EVENTS);
        assert_same_as_oracle(log, events, EVENTS);
        log_close(log);
    }
    free(is);
    free(want);
    free(events);
}

/* Somebody who knows the seal makes a state whose indexes lead out of it. */
static void a_state_that_can_not_be_is_not_believed_although_its_seal_fits(void **state)
{
    (void)state;
    Event *events = calloc(EVENTS, sizeof *events);
    kit_log(events, EVENTS, 17);
    Log *log = kit_open("", LOG_SCRATCH);
    kit_feed(log, events, 0, EVENTS);
    Head *head;
    Fault fault = {0};
    assert_true(head_load(log, &head, &fault));
    const State good = head->state;
    for (int i = 0; i < 4; i++) {
        head->state = good;
        if (i == 0)
            head->state.vessel_count = 1 << 30;
        else if (i == 1)
            head->state.lines[0].order[0] = 1 << 30;
        else if (i == 2)
            head->state.stages[0].line = -7;
        else
            head->state.vessels[0].volume += 5;
        assert_true(head_store(log, head, &fault));
        assert_same_as_oracle(log, events, EVENTS);
    }
    log_close(log);
    free(events);
}

static void derived_tables_that_are_gone_are_made_anew(void **state)
{
    (void)state;
    Kit kit;
    kit_init(&kit);
    Event *events = calloc(EVENTS, sizeof *events);
    kit_log(events, EVENTS, 11);
    for (int reader = 0; reader < 2; reader++) {
        Fault fault = {0};
        Log *log = kit_open(kit.path, LOG_WRITE);
        kit_feed(log, events, 0, EVENTS);
        assert_true(db_run(&log->db, "DROP TABLE struck; DROP TABLE head", &fault));
        log_close(log);
        log = kit_open(kit.path, reader ? LOG_READ : LOG_WRITE);
        assert_same_as_oracle(log, events, EVENTS);
        log_close(log);
    }
    free(events);
    kit_finish(&kit);
}

/* Another program (a shell) that only adds a row to `entry`: the head notices that it lags behind.
 */
static void rows_added_behind_our_back_are_folded_in(void **state)
{
    (void)state;
    Kit kit;
    kit_init(&kit);
    Log *log = kit_open(kit.path, LOG_WRITE);
    kit_import(log, KIT_SETUP);
    Fault fault = {0};
    assert_true(db_run(&log->db,
                       "INSERT INTO entry(at,id,kind,zone,name,n1) VALUES(1790000000000,"
                       "x'01890000000070008000000000000001',5,0,'A1',1)",
                       &fault));
    State *is = malloc(sizeof *is);
    int64_t entries;
    kit_state(log, is, &entries);
    assert_int_equal(entries, 2);
    assert_int_equal(is->last_at, INT64_C(1790000000000));
    free(is);
    log_close(log);
    kit_finish(&kit);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(any_order_and_any_parts_give_the_same_state),
        cmocka_unit_test(an_import_done_twice_changes_nothing),
        cmocka_unit_test(the_state_at_any_time_is_that_of_a_fresh_fold),
        cmocka_unit_test(there_is_a_checkpoint_at_every_third_entry),
        cmocka_unit_test(the_interval_of_the_program_is_a_thousand),
        cmocka_unit_test(a_stamp_that_differs_means_replay),
        cmocka_unit_test(a_reader_of_stale_tables_hardly_waits_for_a_writer),
        cmocka_unit_test(a_flipped_bit_in_a_stored_state_is_never_believed),
        cmocka_unit_test(a_state_that_can_not_be_is_not_believed_although_its_seal_fits),
        cmocka_unit_test(derived_tables_that_are_gone_are_made_anew),
        cmocka_unit_test(rows_added_behind_our_back_are_folded_in),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
