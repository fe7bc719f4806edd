/* Two logs become one: either order, any number of times, the same state. */
#include "model/field.h"
#include "support/logbook.h"
#include "support/store_kit.h"

enum { EVENTS = 80 };

static LogIntake merged(Log *log, const char *other)
{
    LogIntake intake = {0};
    Fault fault = {0};
    if (!log_merge(log, other, KIT_NOW, &intake, &fault))
        fail_msg("%s", fault.text);
    return intake;
}

/* An empty log, and another one beside it that is merged into it. */
typedef struct {
    Kit kit;
    char other[160];
    Log *from, *log;
} Pair;

static void pair_init(Pair *pair)
{
    kit_init(&pair->kit);
    snprintf(pair->other, sizeof pair->other, "%s/other.db", pair->kit.dir);
    pair->from = kit_open(pair->other, LOG_WRITE);
    pair->log = kit_open(pair->kit.path, LOG_WRITE);
}

static void pair_finish(Pair *pair)
{
    log_close(pair->from);
    log_close(pair->log);
    kit_finish(&pair->kit);
}

static void both_directions_and_repeatedly_give_the_same(void **state)
{
    (void)state;
    for (uint64_t seed = 50; seed < 58; seed++) {
        Kit kit;
        char a[160], b[160];
        kit_init(&kit);
        snprintf(a, sizeof a, "%s/a.db", kit.dir);
        snprintf(b, sizeof b, "%s/b.db", kit.dir);
        Event *events = calloc(EVENTS, sizeof *events);
        kit_log(events, EVENTS, seed);
        Log *one = kit_open(a, LOG_WRITE), *two = kit_open(b, LOG_WRITE);
        kit_feed(one, events, 0, 50); /* entries 30..49 are in both */
        kit_feed(two, events, 30, EVENTS);
        LogIntake into_one = merged(one, b);
        assert_int_equal(into_one.read, 50);
        assert_int_equal(into_one.added, 30);
        assert_int_equal(into_one.same, 20);
        assert_int_equal(merged(one, b).added, 0);
        assert_int_equal(merged(two, a).added, 30);
        assert_int_equal(merged(two, a).added, 0);
        assert_int_equal(merged(one, a).added, 0); /* with itself */
        State *s1 = malloc(sizeof *s1), *s2 = malloc(sizeof *s2), *want = malloc(sizeof *want);
        int64_t n1, n2;
        kit_state(one, s1, &n1);
        kit_state(two, s2, &n2);
        kit_oracle(events, EVENTS, (Moment){INT64_MAX}, want);
        assert_true(state_equal(s1, want));
        assert_true(state_equal(s2, want));
        char *t1 = kit_export(one, PORT_JSON), *t2 = kit_export(two, PORT_JSON);
        assert_string_equal(t1, t2);
        kit_sound(one);
        kit_sound(two);
        free(t1);
        free(t2);
        free(s1);
        free(s2);
        free(want);
        log_close(one);
        log_close(two);
        free(events);
        kit_finish(&kit);
    }
}

static int by_place(const void *a, const void *b)
{
    const Spot one = spot_of(a), two = spot_of(b);
    return spot_compare(&one, &two);
}

/* Voids and what they take out, here and there, both or one of them; the other log's table of voids
 * is right, empty, says too much, or something else. */
static void what_voids_take_out_across_logs_is_out(void **state)
{
    (void)state;
    enum { MANY = 160 };
    static const char *const tables[] = {
        "SELECT 1",
        "DELETE FROM void_of",
        "INSERT INTO void_of(target,void) SELECT id,x'00000000000070008000000000000009' FROM entry",
        "INSERT INTO void_of(target,void) VALUES(x'01',x'02')",
        "UPDATE OR REPLACE void_of SET target=(SELECT id FROM entry LIMIT 1)",
        "DROP TABLE void_of",
    };
    for (uint64_t seed = 0; seed < 48; seed++) {
        Pair pair;
        uint64_t dice = seed + 900;
        int64_t n;
        Event *events = calloc(MANY, sizeof *events);
        State *got = malloc(sizeof *got), *want = malloc(sizeof *want);
        pair_init(&pair);
        kit_log(events, MANY, seed + 700);
        for (int i = 0; i < MANY; i++) {
            const bool both = seed % 2 == 0 && kit_below(&dice, 5) == 0;
            const bool one = kit_below(&dice, 2) == 0;
            if (both || one)
                kit_feed(pair.log, events, i, i + 1);
            if (both || !one)
                kit_feed(pair.from, events, i, i + 1);
        }
        kit_state(pair.log, got, &n);
        const int64_t differed = got->discrepancy_count + got->discrepancy_lost;
        log_close(pair.from);
        kit_sql(pair.other, tables[seed / 2 % (sizeof tables / sizeof *tables)]);
        const LogIntake intake = merged(pair.log, pair.other);
        assert_int_equal(intake.added + intake.same, intake.read);
        kit_sound(pair.log);
        kit_state(pair.log, got, &n);
        kit_oracle(events, MANY, (Moment){INT64_MAX}, want);
        assert_int_equal(n, MANY);
        assert_true(state_equal(got, want));
        const int64_t more = got->discrepancy_count + got->discrepancy_lost - differed;
        assert_int_equal(intake.differ, more > 0 ? more : 0);
        pair.from = kit_open(pair.other, LOG_WRITE);
        if (seed / 2 % 6 == 0) { /* else it is no sound log of its own any more */
            assert_int_equal(merged(pair.from, pair.kit.path).added, MANY - intake.read);
            kit_sound(pair.from);
        }
        free(got);
        free(want);
        free(events);
        pair_finish(&pair);
    }
}

/* Both logs have rows of a kind that only a later version knows, between entries that one of them
 * has: nothing comes in of those, and they are in nobody's way. */
static void what_neither_can_read_is_passed_by(void **state)
{
    (void)state;
    enum { MANY = 12 };
    Pair pair;
    uint64_t seed = 3;
    LogIntake intake;
    Fault fault = {0};
    Event events[MANY];
    pair_init(&pair);
    for (int i = 0; i < MANY; i++)
        kit_draw(&events[i], INT64_C(1790000000000) + i * MS_PER_MINUTE, &seed, 1);
    for (int i = 0; i < MANY; i++)
        kit_feed(i % 3 == 0 ? pair.log : pair.from, events, i, i + 1);
    for (int i = 0; i < MANY; i++) {
        char sql[200];
        snprintf(sql, sizeof sql,
                 "INSERT INTO entry(at,id,kind,zone) VALUES(%lld,CAST(zeroblob(15)||x'%02x' AS "
                 "BLOB),99,0)",
                 (long long)events[i].at.ms + 1, i);
        kit_sql(pair.kit.path, sql);
        kit_sql(pair.other, sql);
    }
    intake = merged(pair.log, pair.other);
    assert_int_equal(intake.read, 8 + MANY);
    assert_int_equal(intake.added, 8);
    assert_int_equal(intake.same, MANY);
    assert_int_equal(merged(pair.log, pair.other).added, 0);
    kit_sql(pair.other, "INSERT INTO entry(at,id,kind,zone) VALUES(1790000000500,"
                        "x'00000000000070008000000000000009',99,0)");
    assert_false(log_merge(pair.log, pair.other, KIT_NOW, &intake, &fault));
    assert_says(fault, "its kind is not known");
    pair_finish(&pair);
}

/* The id of an entry of one log stands in the other at another time: before all, among them, after
 * all; ids ascend with the time but for some. */
static void one_id_at_two_times_is_refused_wherever_it_stands(void **state)
{
    (void)state;
    uint64_t seed = 7;
    Event events[40];
    for (int round = 0; round < 60; round++) {
        Kit kit;
        char a[160], b[160];
        kit_init(&kit);
        snprintf(a, sizeof a, "%s/a.db", kit.dir);
        snprintf(b, sizeof b, "%s/b.db", kit.dir);
        for (int i = 0; i < 40; i++) {
            kit_draw(&events[i], INT64_C(1790000000000) + i * MS_PER_HOUR, &seed, 1);
            if (round % 2 == 1 && kit_below(&seed, 5) == 0)
                events[i].id.b[0] = (uint8_t)kit_random(&seed);
        }
        Log *one = kit_open(a, LOG_WRITE), *two = kit_open(b, LOG_WRITE);
        kit_feed(one, events, 0, 15);
        kit_feed(one, events, 30, 35);
        kit_feed(two, events, 10, 30);
        char *before = kit_export(one, PORT_JSON);
        assert_int_equal(merged(one, b).added, 15);
        log_close(one);
        unlink(a);
        one = kit_open(a, LOG_WRITE);
        kit_import(one, before);
        const int twice = (int)kit_below(&seed, 15); /* of those that only one has */
        events[39].id = events[twice < 10 ? twice : 20 + twice].id;
        events[39].at.ms += (kit_below(&seed, 60) - 50) * MS_PER_HOUR + 1;
        kit_feed(two, events, 39, 40);
        LogIntake intake;
        Fault fault = {0};
        assert_false(log_merge(one, b, KIT_NOW, &intake, &fault));
        assert_says(fault, "would stand for two entries");
        char *after = kit_export(one, PORT_JSON);
        assert_string_equal(before, after);
        free(before);
        free(after);
        log_close(one);
        log_close(two);
        kit_finish(&kit);
    }
}

/* Many entries in a row that both have are passed by unread, before, between and behind new ones;
 * the watch over the ids misses none of them. */
static void few_new_ones_among_many_known_are_found(void **state)
{
    (void)state;
    enum { MANY = 600 };
    static const int news[] = {0, 150, 151, 152, 400, MANY - 1};
    for (int twice = 0; twice < 2; twice++) {
        Pair pair;
        uint64_t seed = 9;
        LogIntake intake;
        Fault fault = {0};
        Event *events = calloc(MANY, sizeof *events);
        pair_init(&pair);
        for (int i = 0; i < MANY; i++)
            kit_draw(&events[i], INT64_C(1790000000000) + i / 3 * MS_PER_MINUTE, &seed, 1);
        qsort(events, MANY, sizeof *events, by_place);
        if (twice == 1)
            events[400].id = events[300].id;
        for (size_t i = 0, from = 0; i < sizeof news / sizeof *news; i++) {
            kit_feed(pair.log, events, (int)from, news[i]);
            from = (size_t)news[i] + 1;
        }
        kit_feed(pair.from, events, 0, 300);
        kit_feed(pair.from, events, 300 + twice, MANY);
        if (twice == 1) {
            assert_false(log_merge(pair.log, pair.other, KIT_NOW, &intake, &fault));
            assert_says(fault, "would stand for two entries");
        } else {
            intake = merged(pair.log, pair.other);
            assert_int_equal(intake.added, 6);
            assert_int_equal(intake.same, MANY - 6);
            assert_int_equal(merged(pair.log, pair.other).added, 0);
            assert_int_equal(merged(pair.from, pair.kit.path).same, MANY);
            char *one = kit_export(pair.log, PORT_JSON), *two = kit_export(pair.from, PORT_JSON);
            assert_string_equal(one, two);
            free(one);
            free(two);
        }
        kit_sound(pair.log);
        free(events);
        pair_finish(&pair);
    }
}

static void what_is_no_log_is_not_merged(void **state)
{
    (void)state;
    Kit kit;
    kit_init(&kit);
    Log *log = kit_open(kit.path, LOG_WRITE);
    LogIntake intake;
    Fault fault = {0};
    assert_false(log_merge(log, kit.dir, KIT_NOW, &intake, &fault));
    assert_int_equal(fault.kind, FAULT_LOG);
    assert_false(log_merge(log, "/nonexistent/other.db", KIT_NOW, &intake, &fault));
    assert_says(fault, "/nonexistent/other.db can't be merged");
    char lead[160];
    snprintf(lead, sizeof lead, "%s/lead.db", kit.dir);
    assert_int_equal(symlink("nowhere", lead), 0);
    assert_false(log_merge(log, lead, KIT_NOW, &intake, &fault));
    assert_says(fault, "is a link to a file that is not there");
    log_close(log);
    kit_finish(&kit);
}

/* Another program has put something into the other log that no import would take: all or nothing.
 */
static void an_entry_that_cannot_be_read_stops_the_merge(void **state)
{
    (void)state;
    static const char *const rows[] = {
        "x'00000000000040008000000000000001',99,0,'A1',NULL,NULL", /* no such kind */
        "x'00000000000040008000000000000001',5,0,NULL,7,NULL",     /* dump of no vessel */
        "x'00000000000040008000000000000001',5,0,'A1',-7,NULL",    /* less than nothing */
        "x'00000000000040008000000000000001',1,0,'A1',7,7",        /* no such class */
        "x'00000000000040008000000000000001',5,9999,'A1',7,NULL",  /* no such zone */
        ("x'00000000000040008000000000000001',5,0,'"
         "0123456789012345678901234567890123456789012345678',7,NULL")};
    for (int i = 0; i < 6; i++) {
        Pair pair;
        pair_init(&pair);
        Log *bad = pair.from, *log = pair.log;
        Fault fault = {0};
        LogIntake intake;
        char sql[400];
        kit_import(bad, KIT_SETUP);
        snprintf(sql, sizeof sql,
                 "INSERT INTO entry(at,id,kind,zone,name,n1,code) VALUES(1790000000000,%s)",
                 rows[i]);
        assert_true(db_run(&bad->db, sql, &fault));
        assert_false(log_merge(log, pair.other, KIT_NOW, &intake, &fault));
        assert_says(fault, "00000000-0000-4000-8000-000000000001");
        char *left = kit_export(log, PORT_JSON);
        assert_string_equal(left, "");
        free(left);
        assert_false(log_verify(bad, (LogReport){0}, &fault));
        pair_finish(&pair);
    }
}

/* Another program has made the table anew, and it keeps no order. What would be passed over in
 * silence is said. */
static void a_log_that_is_out_of_order_is_loud(void **state)
{
    (void)state;
    for (int both = 0; both < 2; both++) {
        Pair pair;
        Fault fault = {0};
        LogIntake intake;
        pair_init(&pair);
        kit_import(pair.from, KIT_SETUP);
        if (both == 1)
            assert_true(merged(pair.log, pair.other).added > 0);
        assert_true(db_run(&pair.from->db,
                           "CREATE TABLE other AS SELECT * FROM entry ORDER BY at DESC,id DESC;"
                           "DROP TABLE entry; ALTER TABLE other RENAME TO entry",
                           &fault));
        if (log_merge(pair.log, pair.other, KIT_NOW, &intake, &fault)) {
            int64_t there;
            assert_true(db_number(&pair.from->db, "SELECT count(*) FROM entry", 0, &there, &fault));
            assert_int_equal(intake.read, there);
        } else {
            assert_says(fault, "out of their order");
        }
        pair_finish(&pair);
    }
}

/* Damage left a row's seal as it was: both logs have the entry and its seal, but not its content.
 */
static void an_entry_of_both_with_other_content_is_loud(void **state)
{
    (void)state;
    Pair pair;
    pair_init(&pair);
    Log *from = pair.from, *log = pair.log;
    Fault fault = {0};
    LogIntake intake;
    kit_import(log, KIT_SETUP);
    assert_true(merged(from, pair.kit.path).added > 0);
    assert_true(db_run(&from->db,
                       "DROP TRIGGER entry_stays; UPDATE entry SET zone=zone+60 WHERE id IN "
                       "(SELECT id FROM entry LIMIT 1)",
                       &fault));
    assert_false(log_merge(log, pair.other, KIT_NOW, &intake, &fault));
    assert_int_equal(fault.kind, FAULT_LOG);
    assert_says(fault, "its seal does not fit");
    pair_finish(&pair);
}

/* The other machine's clock was three days ahead. Its entry is refused until it is voided there. */
static void an_entry_of_a_clock_that_was_ahead_is_refused(void **state)
{
    (void)state;
    Pair pair;
    pair_init(&pair);
    Log *from = pair.from, *log = pair.log;
    Fault fault = {0};
    LogIntake intake;
    Event e, out;
    const Moment ahead = {KIT_NOW.ms + 3 * MS_PER_DAY};
    event_clear(&e, KIND_CREW);
    e.at = ahead;
    e.has = 1;
    assert_true(log_append(from, &e, ahead, &fault));
    assert_false(log_merge(log, pair.other, KIT_NOW, &intake, &fault));
    assert_int_equal(fault.kind, FAULT_REFUSED);
    assert_says(fault, "2026-11-27T00:00:00+00:00 is in the future");
    const Moment nearly = {ahead.ms - CLOCK_GRACE_MS - MS_PER_SECOND};
    assert_false(log_merge(log, pair.other, (Moment){nearly.ms - 1}, &intake, &fault));
    event_about(&out, KIND_VOID, &e.id, KIT_NOW);
    assert_true(log_append(from, &out, KIT_NOW, &fault));
    assert_true(log_merge(log, pair.other, KIT_NOW, &intake, &fault));
    assert_int_equal(intake.added, 2);
    assert_true(log_merge(from, pair.kit.path, nearly, &intake, &fault));
    pair_finish(&pair);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(both_directions_and_repeatedly_give_the_same),
        cmocka_unit_test(what_voids_take_out_across_logs_is_out),
        cmocka_unit_test(what_neither_can_read_is_passed_by),
        cmocka_unit_test(one_id_at_two_times_is_refused_wherever_it_stands),
        cmocka_unit_test(few_new_ones_among_many_known_are_found),
        cmocka_unit_test(what_is_no_log_is_not_merged),
        cmocka_unit_test(an_entry_that_cannot_be_read_stops_the_merge),
        cmocka_unit_test(an_entry_of_both_with_other_content_is_loud),
        cmocka_unit_test(a_log_that_is_out_of_order_is_loud),
        cmocka_unit_test(an_entry_of_a_clock_that_was_ahead_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
