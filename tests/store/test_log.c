/* Appending, reading and finding entries. */
#include "store/log.h"
#include "support/store_kit.h"

#include "store/struck.h"

static const char setup[] =
    "{\"at\":\"2026-03-01T08:00:00Z\",\"kind\":\"vessel\",\"vessel\":\"A1\",\"capacity\":12,"
    "\"level\":10,"
    "\"class\":\"potable\"}\n"
    "{\"at\":\"2026-03-01T08:01:00Z\",\"kind\":\"vessel\",\"vessel\":\"A2\",\"capacity\":12}\n";

static Event draw(int64_t ms, int64_t ml)
{
    Event e;
    event_clear(&e, KIND_DRAW);
    e.at.ms = ms;
    kit_name(&e, "vessel", "A1");
    kit_give(&e, "litres", ml);
    return e;
}

static Event void_of(Moment at, const Uuid *target)
{
    Event e;
    uint64_t seed = 1;
    kit_void(&e, at.ms, &seed, target);
    e.id = (Uuid){{0}};
    return e;
}

static int64_t level(Log *log)
{
    State *s = malloc(sizeof *s);
    kit_state(log, s, NULL);
    Label a1 = label_of(text_of("A1"));
    int i = state_vessel(s, &a1);
    assert_true(i >= 0);
    int64_t volume = s->vessels[i].volume;
    free(s);
    return volume;
}

static void append(Log *log, Event *e)
{
    Fault fault = {0};
    if (!log_append(log, e, KIT_NOW, &fault))
        fail_msg("%s", fault.text);
}

static void an_entry_that_can_be_is_written_and_folded(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    kit_import(log, setup);
    State *before = malloc(sizeof *before), *after = malloc(sizeof *after);
    Fault fault = {0};
    Event e = draw(KIT_NOW.ms - MS_PER_HOUR, 1500);
    assert_true(log_append_all(log, &e, 1, KIT_NOW,
                               &(LogTry){.dry = false, .before = before, .after = after}, &fault));
    assert_int_equal(before->vessels[0].volume, 10000);
    assert_int_equal(after->vessels[0].volume, 8500);
    assert_false(uuid_is_nil(&e.id));
    assert_int_equal(e.id.b[6] >> 4, 7); /* RFC 9562: version 7, variant 10 */
    assert_int_equal(e.id.b[8] >> 6, 2);
    assert_int_equal(level(log), 8500);
    kit_sound(log);
    free(before);
    free(after);
    log_close(log);
}

/* Two programs draw the last 6 of 10 L. The one that looked at its clock first comes to write last.
 */
static void an_entry_of_this_moment_comes_after_what_another_program_wrote_meanwhile(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    kit_import(log, setup);
    Fault fault = {0};
    const Moment later = {KIT_NOW.ms + 40};
    Event first = draw(later.ms, 6000), second = draw(KIT_NOW.ms, 6000);
    assert_true(log_append(log, &first, later, &fault));
    assert_false(log_append(log, &second, KIT_NOW, &fault));
    assert_non_null(strstr(fault.text, "can give only 4 L"));
    assert_int_equal(second.at.ms, KIT_NOW.ms); /* as it was */
    assert_true(uuid_is_nil(&second.id));
    second = draw(KIT_NOW.ms, 4000);
    assert_true(log_append(log, &second, KIT_NOW, &fault));
    assert_int_equal(second.at.ms, later.ms + 1);
    /* an entry that is back-dated on purpose keeps its time */
    Event early = draw(KIT_NOW.ms - 1, 1000);
    assert_true(log_append(log, &early, KIT_NOW, &fault));
    assert_int_equal(early.at.ms, KIT_NOW.ms - 1);
    kit_sound(log);
    log_close(log);
}

/* The log reaches 24 November; the machine wakes up on the 5th, is put right, and was ahead once.
 */
static void a_clock_that_is_behind_writes_nothing_into_the_past(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    kit_import(log, setup);
    Fault fault = {0};
    Event e = draw(KIT_NOW.ms, 1000);
    assert_true(log_append(log, &e, KIT_NOW, &fault));
    const Moment behind = {KIT_NOW.ms - 19 * MS_PER_DAY};
    const Moment grace = {KIT_NOW.ms - 2 * MS_PER_MINUTE}, past_it = {grace.ms - 1};
    const int64_t was = level(log);
    Event late = draw(behind.ms, 1000);
    assert_false(log_append(log, &late, behind, &fault));
    assert_int_equal(fault.kind, FAULT_REFUSED);
    assert_says(fault, "2026-11-05T00:00:00");
    assert_says(fault, "2026-11-24T00:00:00");
    late = draw(past_it.ms, 1000);
    assert_false(log_append(log, &late, past_it, &fault));
    assert_int_equal(level(log), was);
    late = draw(grace.ms, 1000);
    assert_true(log_append(log, &late, grace, &fault));
    assert_int_equal(late.at.ms, KIT_NOW.ms + 1);
    /* ahead, and then right: what was entered ahead is voided, and all is as before */
    const Moment ahead = {KIT_NOW.ms + 3 * MS_PER_DAY}, right = {KIT_NOW.ms + MS_PER_HOUR};
    Event wrong = draw(ahead.ms, 1000), next = draw(right.ms, 1000), out;
    assert_true(log_append(log, &wrong, ahead, &fault));
    assert_false(log_append(log, &next, right, &fault));
    event_clear(&out, KIND_VOID);
    out.at = right;
    out.has = 1;
    out.u.entry.entry = wrong.id;
    assert_true(log_append(log, &out, right, &fault));
    assert_true(log_append(log, &next, right, &fault));
    kit_sound(log);
    log_close(log);
}

static void with_dry_all_is_reckoned_and_nothing_is_written(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    kit_import(log, setup);
    State *after = malloc(sizeof *after);
    Fault fault = {0};
    Event e = draw(KIT_NOW.ms - MS_PER_HOUR, 1500);
    assert_true(log_append_all(log, &e, 1, KIT_NOW,
                               &(LogTry){.dry = true, .before = NULL, .after = after}, &fault));
    assert_int_equal(after->vessels[0].volume, 8500);
    assert_int_equal(level(log), 10000);
    kit_sound(log);
    free(after);
    log_close(log);
}

static void an_entry_that_cannot_be_is_refused_and_nothing_is_written(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    kit_import(log, setup);
    char *was = kit_export(log, PORT_JSON);
    Fault fault = {0};
    Event e = draw(KIT_NOW.ms - MS_PER_HOUR, 11000); /* more than the 10 L that are there */
    assert_false(log_append(log, &e, KIT_NOW, &fault));
    assert_int_equal(fault.kind, FAULT_REFUSED);
    assert_true(uuid_is_nil(&e.id));
    Event late = draw(KIT_NOW.ms + 3 * MS_PER_MINUTE, 1);
    assert_false(log_append(log, &late, KIT_NOW, &fault));
    assert_says(fault, "future");
    char *is = kit_export(log, PORT_JSON);
    assert_string_equal(was, is);
    free(was);
    free(is);
    log_close(log);
}

/* The check asks the state at the time of the entry, not the state now. */
static void a_back_dated_entry_is_checked_and_folded_at_its_place(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    kit_import(log, setup);
    int64_t noon = KIT_NOW.ms - MS_PER_DAY;
    for (int i = 0; i < 8; i++) {
        Event e = draw(noon + i * MS_PER_HOUR, 1000);
        append(log, &e);
    }
    assert_int_equal(level(log), 2000);
    Event e = draw(noon - MS_PER_HOUR, 3000); /* fits then, though only 2 L are left now */
    State *after = malloc(sizeof *after);
    Fault fault = {0};
    assert_true(log_append_all(log, &e, 1, KIT_NOW,
                               &(LogTry){.dry = false, .before = NULL, .after = after}, &fault));
    assert_int_equal(after->vessels[0].volume, 0);
    assert_int_equal(after->discrepancy_count, 1); /* the last draw finds 1 L too little */
    assert_int_equal(after->discrepancies[0].amount, 1000);
    kit_sound(log);
    Event before_naming =
        draw(INT64_C(1772352000000) - MS_PER_DAY, 100); /* the day before A1 was named */
    assert_false(log_append(log, &before_naming, KIT_NOW, &fault));
    free(after);
    log_close(log);
}

static void several_entries_are_all_or_nothing(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    kit_import(log, setup);
    Fault fault = {0};
    Event pair[2] = {draw(KIT_NOW.ms - 2000, 500), draw(KIT_NOW.ms - 1000, 99000)};
    assert_false(log_append_all(log, pair, 2, KIT_NOW, NULL, &fault));
    assert_true(uuid_is_nil(&pair[0].id));
    assert_int_equal(level(log), 10000);
    pair[1] = draw(KIT_NOW.ms - 1000, 700);
    assert_true(log_append_all(log, pair, 2, KIT_NOW, NULL, &fault));
    assert_int_equal(level(log), 8800);
    kit_sound(log);
    log_close(log);
}

static void ids_of_one_process_only_rise(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    Uuid last = {{0}}, id;
    Fault fault = {0};
    for (int i = 0; i < 3000; i++) {
        /* within one millisecond, and with a clock that goes back now and then */
        Moment now = {KIT_NOW.ms - (i % 100 == 0 ? 5000 : 0)};
        assert_true(log_new_id(log, now, &id, &fault));
        assert_true(uuid_compare(&id, &last) > 0);
        assert_int_equal(id.b[6] >> 4, 7);
        assert_int_equal(id.b[8] >> 6, 2);
        last = id;
    }
    log_close(log);
}

/* RFC 9562 appendix A.6 has one vector; here the carry over version and variant bits is what
 * matters. */
static void a_full_random_part_carries_into_the_next_one_up(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    Fault fault = {0};
    Uuid id;
    assert_true(log_new_id(log, KIT_NOW, &id, &fault));
    memset(log->last_id.b + 9, 0xff, 7);
    log->last_id.b[8] = 0xbf;
    log->last_id.b[7] = 0xff;
    log->last_id.b[6] = 0x71;
    Uuid full = log->last_id;
    assert_true(log_new_id(log, (Moment){0}, &id, &fault));
    assert_true(uuid_compare(&id, &full) > 0);
    assert_int_equal(id.b[6], 0x72);
    assert_int_equal(id.b[7], 0);
    assert_int_equal(id.b[8], 0x80);
    assert_int_equal(id.b[15], 0);
    log_close(log);
}

static void taking_back_again_and_again_takes_the_next_one_back(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    kit_import(log, setup);
    /* written in an order that is not that of their times */
    int64_t hours[] = {5, 2, 8, 3};
    for (int i = 0; i < 4; i++) {
        Event e = draw(KIT_NOW.ms - hours[i] * MS_PER_HOUR, 100 * (i + 1));
        append(log, &e);
    }
    assert_int_equal(level(log), 9000);
    int64_t left[] = {9400, 9700, 9900, 10000};
    for (int i = 0; i < 4; i++) {
        Event last;
        Fault fault = {0};
        assert_true(log_find(log, text_of("last"), &last, &fault));
        assert_int_equal(last.at.ms, KIT_NOW.ms - hours[3 - i] * MS_PER_HOUR);
        Event back = void_of(KIT_NOW, &last.id);
        append(log, &back);
        assert_int_equal(level(log), left[i]);
    }
    /* beyond what was written here: what was imported, by time */
    Event last;
    Fault fault = {0};
    assert_true(log_find(log, text_of("last"), &last, &fault));
    assert_int_equal(last.kind, KIND_VESSEL);
    assert_true(label_equal(&last.u.vessel.vessel, &(Label){"A2"}));
    kit_sound(log);
    log_close(log);
}

static void more_take_backs_than_are_remembered_go_on_by_time(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    kit_import(log, setup);
    for (int i = 0; i < WRITTEN_MAX; i++) {
        Event e = draw(KIT_NOW.ms - MS_PER_DAY + i * 1000, 10);
        append(log, &e);
    }
    for (int i = 0; i < WRITTEN_MAX; i++) {
        Event last;
        Fault fault = {0};
        assert_true(log_find(log, text_of("last"), &last, &fault));
        assert_int_equal(last.at.ms, KIT_NOW.ms - MS_PER_DAY + (WRITTEN_MAX - 1 - i) * 1000);
        Event back = void_of(KIT_NOW, &last.id);
        append(log, &back);
    }
    assert_int_equal(level(log), 10000);
    log_close(log);
}

static void with_nothing_that_acts_there_is_nothing_to_take_back(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    Event last;
    Fault fault = {0};
    assert_false(log_find(log, text_of("last"), &last, &fault));
    assert_int_equal(fault.kind, FAULT_REFUSED);
    assert_says(fault, "nothing to take back");
    log_close(log);
}

static void a_void_needs_a_target_that_is_there_and_acts(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    kit_import(log, setup);
    Event e = draw(KIT_NOW.ms - MS_PER_DAY, 1000);
    append(log, &e);
    Uuid none = {{1, 2, 3}};
    Event v = void_of(KIT_NOW, &none);
    Fault fault = {0};
    assert_false(log_append(log, &v, KIT_NOW, &fault));
    assert_says(fault, "no entry 01020300");
    v = void_of(KIT_NOW, &e.id);
    append(log, &v);
    assert_int_equal(level(log), 10000);
    Event again = void_of(KIT_NOW, &e.id);
    assert_false(log_append(log, &again, KIT_NOW, &fault));
    assert_says(fault, "taken back already");
    Event undo = void_of(KIT_NOW, &v.id); /* voiding the void brings it back */
    append(log, &undo);
    assert_int_equal(level(log), 9000);
    Event undo_undo = void_of(KIT_NOW, &undo.id);
    append(log, &undo_undo);
    assert_int_equal(level(log), 10000);
    kit_sound(log);
    log_close(log);
}

static void entries_are_found_by_a_unique_beginning_of_their_id(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    kit_import(log,
               "{\"id\":\"017F22E2-79B0-7CC3-98C4-DC0C0C07398F\",\"at\":\"2026-03-01T08:00:00Z\","
               "\"kind\":\"vessel\",\"vessel\":\"A1\",\"capacity\":12,\"note\":\"x\"}\n"
               "{\"id\":\"017f22e2-79b0-7cc3-98c5-dc0c0c07398f\",\"at\":\"2026-03-02T08:00:00Z\","
               "\"kind\":\"note\",\"note\":\"n\"}\n");
    static const struct {
        const char *id, *says; /* says NULL: found */
    } cases[] = {{"017f22e2-79b0-7cc3-98c4", NULL},
                 {"017F22E279B07CC398C4D", NULL},
                 {"017f22e2-79b0-7cc3-98c4-dc0c0c07398f", NULL},
                 {"017f22e2", "several"},
                 {"017f22e2-79b0-7cc3-98c4-dc0c0c073990", "no entry"},
                 {"0180", "no entry"},
                 {"017", "too short"},
                 {"", "too short"},
                 {"last one", "no id"},
                 {"017f22e2-79b0-7cc3-98c4-dc0c0c07398f0", "no id"}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        Event e = {0};
        Fault fault = {0};
        bool found = log_find(log, text_of(cases[i].id), &e, &fault);
        assert_int_equal(found, cases[i].says == NULL);
        if (found) {
            assert_int_equal(e.kind, KIND_VESSEL);
            assert_string_equal(e.note, "x");
        } else {
            assert_int_equal(fault.kind, FAULT_REFUSED);
            assert_says(fault, cases[i].says);
        }
    }
    log_close(log);
}

typedef struct {
    char words[400];
    int stop_after;
} Seen;

static bool see(void *context, const Event *e, bool voided)
{
    Seen *seen = context;
    size_t n = strlen(seen->words);
    snprintf(seen->words + n, sizeof seen->words - n, "%s%s ", kind_of((KindId)e->kind)->name,
             voided ? "-" : "");
    return --seen->stop_after != 0;
}

static const char *listed(Log *log, LogQuery query, Seen *seen)
{
    Fault fault = {0};
    seen->words[0] = '\0';
    if (!log_each(log, &query, see, seen, &fault))
        fail_msg("%s", fault.text);
    return seen->words;
}

static void entries_are_listed_as_asked(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    kit_import(log, setup);
    kit_import(log, "{\"at\":\"2026-03-02T08:00:00Z\",\"kind\":\"couple\",\"line\":\"galley\","
                    "\"order\":[\"A2\",\"A1\"]}\n"
                    "{\"id\":\"00000000-0000-4000-8000-000000000001\",\"at\":\"2026-03-03T08:00:"
                    "00Z\",\"kind\":\"draw\","
                    "\"line\":\"galley\",\"litres\":1}\n"
                    "{\"at\":\"2026-03-04T08:00:00Z\",\"kind\":\"dump\",\"vessel\":\"A1\"}\n"
                    "{\"at\":\"2026-03-05T08:00:00Z\",\"kind\":\"void\",\"entry\":\"00000000-0000-"
                    "4000-8000-000000000001\"}\n"
                    "{\"at\":\"2026-03-06T08:00:00Z\",\"kind\":\"note\",\"note\":\"n\"}\n");
    Seen seen = {{0}, 0};
    LogQuery all = {.since = MOMENT_NONE, .until = MOMENT_NONE};
    assert_string_equal(listed(log, all, &seen), "vessel vessel couple dump note ");
    LogQuery q = all;
    q.voided = true;
    assert_string_equal(listed(log, q, &seen), "vessel vessel couple draw- dump void note ");
    q.newest_first = true;
    assert_string_equal(listed(log, q, &seen), "note void dump draw- couple vessel vessel ");
    q.limit = 2;
    assert_string_equal(listed(log, q, &seen), "note void ");
    q = all;
    q.vessel = label_of(text_of("A1"));
    assert_string_equal(listed(log, q, &seen), "vessel couple dump ");
    q.kind = KIND_COUPLE;
    assert_string_equal(listed(log, q, &seen), "couple ");
    q = all;
    q.voided = true;
    q.since.ms = INT64_C(1772524800000); /* 2026-03-03T08:00:00Z, inclusive */
    q.until.ms = INT64_C(1772697600000); /* 2026-03-05T08:00:00Z, inclusive */
    assert_string_equal(listed(log, q, &seen), "draw- dump void ");
    q.newest_first = true;
    assert_string_equal(listed(log, q, &seen), "void dump draw- ");
    seen.stop_after = 1;
    assert_string_equal(listed(log, q, &seen), "void ");
    log_close(log);
}

static bool append_inside(void *context, const Event *e, bool voided)
{
    Log *log = context;
    Fault fault = {0};
    (void)voided;
    Event again = *e;
    again.id = (Uuid){{0}};
    assert_false(log_append(log, &again, KIT_NOW, &fault));
    assert_says(fault, "while it is being read");
    kit_usable(log); /* reading inside is fine */
    return true;
}

static void the_log_is_not_written_while_it_is_being_listed(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    kit_import(log, setup);
    LogQuery all = {.since = MOMENT_NONE, .until = MOMENT_NONE};
    Fault fault = {0};
    assert_true(log_each(log, &all, append_inside, log, &fault));
    log_close(log);
}

static void the_version_changes_with_every_commit_of_anyone(void **state)
{
    (void)state;
    Kit kit;
    kit_init(&kit);
    Log *one = kit_open(kit.path, LOG_WRITE), *two = kit_open(kit.path, LOG_READ);
    Fault fault = {0};
    int64_t v[4], w[3];
    assert_true(log_version(one, &v[0], &fault));
    assert_true(log_version(two, &w[0], &fault));
    kit_import(one, setup);
    assert_true(log_version(one, &v[1], &fault));
    assert_true(log_version(two, &w[1], &fault));
    assert_int_not_equal(v[0], v[1]);
    assert_int_not_equal(w[0], w[1]);
    assert_true(log_version(two, &w[2], &fault));
    assert_int_equal(w[1], w[2]);
    assert_int_equal(level(two), 10000); /* the reader sees what the other wrote */
    assert_true(log_version(one, &v[2], &fault));
    assert_int_equal(v[1], v[2]);
    log_close(one);
    log_close(two);
    kit_finish(&kit);
}

static void units_belong_to_the_log(void **state)
{
    (void)state;
    Kit kit;
    kit_init(&kit);
    Fault fault = {0};
    Log *log = kit_open(kit.path, LOG_WRITE);
    Units units = UNITS_US;
    assert_true(log_units(log, &units, &fault));
    assert_int_equal(units, UNITS_METRIC);
    assert_true(log_set_units(log, UNITS_IMPERIAL, &fault));
    log_close(log);
    log = kit_open(kit.path, LOG_READ);
    assert_true(log_units(log, &units, &fault));
    assert_int_equal(units, UNITS_IMPERIAL);
    assert_false(log_set_units(log, UNITS_US, &fault));
    assert_int_equal(fault.kind, FAULT_LOG);
    log_close(log);
    /* one that can't be read is not metric in silence, and can be set anew */
    log = kit_open(kit.path, LOG_WRITE);
    assert_true(db_run(&log->db, "UPDATE setting SET value='furlongs'", &fault));
    assert_false(log_units(log, &units, &fault));
    assert_int_equal(fault.kind, FAULT_LOG);
    assert_non_null(strstr(fault.text, "furlongs"));
    assert_true(log_set_units(log, UNITS_US, &fault));
    assert_true(log_units(log, &units, &fault));
    assert_int_equal(units, UNITS_US);
    log_close(log);
    kit_finish(&kit);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_entry_that_can_be_is_written_and_folded),
        cmocka_unit_test(an_entry_of_this_moment_comes_after_what_another_program_wrote_meanwhile),
        cmocka_unit_test(a_clock_that_is_behind_writes_nothing_into_the_past),
        cmocka_unit_test(with_dry_all_is_reckoned_and_nothing_is_written),
        cmocka_unit_test(an_entry_that_cannot_be_is_refused_and_nothing_is_written),
        cmocka_unit_test(a_back_dated_entry_is_checked_and_folded_at_its_place),
        cmocka_unit_test(several_entries_are_all_or_nothing),
        cmocka_unit_test(ids_of_one_process_only_rise),
        cmocka_unit_test(a_full_random_part_carries_into_the_next_one_up),
        cmocka_unit_test(taking_back_again_and_again_takes_the_next_one_back),
        cmocka_unit_test(more_take_backs_than_are_remembered_go_on_by_time),
        cmocka_unit_test(with_nothing_that_acts_there_is_nothing_to_take_back),
        cmocka_unit_test(a_void_needs_a_target_that_is_there_and_acts),
        cmocka_unit_test(entries_are_found_by_a_unique_beginning_of_their_id),
        cmocka_unit_test(entries_are_listed_as_asked),
        cmocka_unit_test(the_log_is_not_written_while_it_is_being_listed),
        cmocka_unit_test(the_version_changes_with_every_commit_of_anyone),
        cmocka_unit_test(units_belong_to_the_log),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
