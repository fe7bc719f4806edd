/* What is passed by on the way to a kind or an id: never what is looked for, whatever arrives in
 * which order, and whatever a disk does to what is stored. */
#include "store/entry.h"
#include "support/store_kit.h"

enum { EVENTS = 90 };

/* Several at one time, and every fourth with an id that tells no time. */
static Event *events_make(uint64_t seed)
{
    Event *events = calloc(EVENTS, sizeof *events);
    kit_log(events, EVENTS, seed);
    for (int i = 3; i < EVENTS; i += 4)
        for (int b = 0; b < 16; b++)
            events[i].id.b[b] = (uint8_t)kit_random(&seed);
    return events;
}

static Log *log_of(const Event *events, uint64_t seed)
{
    Log *log = kit_open("", LOG_SCRATCH);
    for (int from = 0; from < EVENTS;) {
        const int to = from + 1 + (int)kit_below(&seed, 30);
        kit_feed(log, events, from, to < EVENTS ? to : EVENTS);
        from = to;
    }
    return log;
}

typedef struct {
    Uuid ids[EVENTS];
    int count;
    const LogQuery *query; /* only what it asks for is noted */
} Seen;

static bool note(void *context, const Event *e, bool voided)
{
    Seen *seen = context;
    (void)voided;
    if (seen->query->kind == e->kind && e->at.ms >= seen->query->since.ms &&
        (!moment_known(seen->query->until) || e->at.ms <= seen->query->until.ms))
        seen->ids[seen->count++] = e->id;
    return true;
}

static void assert_lists_what_is_there(Log *log, const LogQuery *query)
{
    Fault fault = {0};
    Seen is = {.query = query}, want = {.query = query};
    LogQuery all = KIT_EVERYTHING;
    all.newest_first = query->newest_first;
    assert_true(log_each(log, query, note, &is, &fault));
    assert_true(log_each(log, &all, note, &want, &fault));
    assert_int_equal(is.count, want.count);
    assert_memory_equal(is.ids, want.ids, (size_t)is.count * sizeof(Uuid));
}

static void assert_each_kind_is_listed(Log *log, const Event *events, uint64_t *seed)
{
    for (int kind = 1; kind < KIND_END; kind++) {
        for (int i = 0; i < 4; i++) {
            LogQuery query = KIT_EVERYTHING;
            query.kind = kind;
            query.newest_first = i % 2 == 1;
            if (i >= 2) {
                query.since = events[kit_below(seed, EVENTS)].at;
                query.until = events[kit_below(seed, EVENTS)].at;
            }
            assert_lists_what_is_there(log, &query);
        }
    }
}

static void assert_each_id_is_found(Log *log, const Event *events)
{
    for (int i = 0; i < EVENTS; i++) {
        char id[40];
        Event e;
        Fault fault = {0};
        uuid_print(&events[i].id, id);
        assert_true(log_find(log, text_slice(id, 30), &e, &fault));
        assert_memory_equal(e.id.b, events[i].id.b, sizeof e.id.b);
        assert_true(log_find(log, text_of(id), &e, &fault));
        assert_memory_equal(e.id.b, events[i].id.b, sizeof e.id.b);
    }
}

static void a_kind_and_an_id_are_found_wherever_they_stand(void **state)
{
    (void)state;
    uint64_t seed = 3;
    for (uint64_t round = 1; round <= 8; round++) {
        Event *events = events_make(round);
        Log *log = log_of(events, round);
        assert_each_kind_is_listed(log, events, &seed);
        assert_each_id_is_found(log, events);
        log_close(log);
        free(events);
    }
}

/* A bit of a stretch, or of where it ends, falls; or a checkpoint is gone. */
static void what_does_not_fit_its_seal_is_looked_into(void **state)
{
    (void)state;
    uint64_t seed = 5;
    Event *events = events_make(7);
    for (int round = 0; round < 30; round++) {
        Log *log = log_of(events, 7);
        Fault fault = {0};
        Stretch stretch;
        const int64_t entries = 3 + 3 * kit_below(&seed, EVENTS / 3);
        sqlite3_stmt *stmt =
            db_prepare(&log->db, "SELECT stretch FROM checkpoint WHERE entries=?1", &fault);
        db_bind_number(stmt, 1, entries);
        assert_int_equal(sqlite3_step(stmt), SQLITE_ROW);
        assert_true(db_bytes(stmt, 0, &stretch, sizeof stretch));
        db_done(stmt);
        const int64_t bit = kit_below(&seed, 8 * (int64_t)sizeof stretch);
        ((uint8_t *)&stretch)[bit / 8] ^= (uint8_t)(1u << bit % 8);
        static const char *const damages[] = {"UPDATE checkpoint SET stretch=?2 WHERE entries=?1",
                                              "UPDATE checkpoint SET at=at-7 WHERE entries=?1",
                                              "DELETE FROM checkpoint WHERE entries=?1"};
        stmt = db_prepare(&log->db, damages[round % 3], &fault);
        db_bind_number(stmt, 1, entries);
        db_bind_blob(stmt, 2, &stretch, sizeof stretch);
        assert_int_equal(sqlite3_step(stmt), SQLITE_DONE);
        assert_int_equal(sqlite3_changes(log->db.handle), 1);
        db_done(stmt);
        assert_each_kind_is_listed(log, events, &seed);
        assert_each_id_is_found(log, events);
        assert_false(log_verify(log, (LogReport){0}, &fault));
        log_close(log);
    }
    free(events);
}

/* Steps of SQLite's machine on the way to all entries in these bounds. */
static int steps(Log *log, const Uuid *least, const Uuid *greatest, int *found)
{
    Fault fault = {0};
    StretchWalk walk;
    assert_true(log_begin(log, false, &fault));
    DbStep step = entry_by_id(&walk, log, least, greatest, &fault);
    sqlite3_stmt_status(walk.rows, SQLITE_STMTSTATUS_VM_STEP, 1);
    for (*found = 0; step == DB_ROW; ++*found)
        step = stretch_walk_next(&walk, &fault);
    assert_int_equal(step, DB_END);
    const int taken = sqlite3_stmt_status(walk.rows, SQLITE_STMTSTATUS_VM_STEP, 0);
    stretch_walk_close(&walk);
    assert_true(db_end(&log->db, true, &fault));
    return taken;
}

static void what_can_not_hold_an_id_is_passed_by(void **state)
{
    (void)state;
    Event *events = calloc(EVENTS, sizeof *events);
    int one, all;
    uint64_t seed = 1;
    for (int i = 0; i < EVENTS; i++)
        kit_draw(&events[i], INT64_C(1790000000000) + i * MS_PER_HOUR, &seed, 1);
    Log *log = kit_open("", LOG_SCRATCH);
    kit_feed(log, events, 0, EVENTS);
    const int few = steps(log, &events[40].id, &events[40].id, &one);
    const int many = steps(log, &(Uuid){{0}}, &LAST_ID, &all);
    assert_int_equal(one, 1);
    assert_int_equal(all, EVENTS);
    assert_true(few * 8 < many);
    log_close(log);
    free(events);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_kind_and_an_id_are_found_wherever_they_stand),
        cmocka_unit_test(what_does_not_fit_its_seal_is_looked_into),
        cmocka_unit_test(what_can_not_hold_an_id_is_passed_by),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
