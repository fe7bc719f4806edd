/* Conflicts: one id for two things. */
#include "support/store_kit.h"

#define NOTE(id, at, words)                                                                        \
    "{\"id\":\"00000000-0000-4000-8000-0000000000" id "\",\"at\":\"2026-03-" at                    \
    ":00Z\",\"kind\":\"note\",\"note\":\"" words "\"}\n"

static void the_same_id_and_time_with_other_content_is_refused(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    kit_import(log, NOTE("01", "01T08:00", "one"));
    static const char *const other[] = {
        NOTE("01", "01T08:00", "two"),
        "{\"id\":\"00000000-0000-4000-8000-000000000001\",\"at\":\"2026-03-01T09:00:00+01:00\","
        "\"kind\":\"note\",\"note\":\"one\"}\n", /* the same moment, of another zone */
        "{\"id\":\"00000000-0000-4000-8000-000000000001\",\"at\":\"2026-03-01T08:00:00Z\","
        "\"kind\":\"crew\",\"persons\":2}\n"};
    for (int i = 0; i < 3; i++) {
        Fault fault;
        kit_refused(log, other[i], strlen(other[i]), &fault);
        assert_int_equal(fault.kind, FAULT_REFUSED);
        assert_says(fault, "season.jsonl, line 1, the entry 00000000-0000-4000-8000-000000000001");
        assert_says(fault, "with other content");
    }
    log_close(log);
}

static void the_same_id_at_another_time_is_refused(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    kit_import(log, NOTE("01", "01T08:00", "one") NOTE("02", "01T09:00", "two"));
    static const char *const other[] = {NOTE("03", "02T08:00", "x") NOTE("01", "02T08:00", "one"),
                                        NOTE("05", "02T08:00", "x") NOTE("05", "02T09:00", "x")};
    for (int i = 0; i < 2; i++) {
        Fault fault;
        kit_refused(log, other[i], strlen(other[i]), &fault);
        assert_int_equal(fault.kind, FAULT_REFUSED);
        assert_says(fault, "would stand for two entries");
        assert_says(fault, ". Nothing was imported.");
    }
    kit_sound(log);
    log_close(log);
}

/* More ids that do not ascend than are kept in memory one by one: the filter finds the two. */
static void one_id_twice_among_seventy_thousand_is_found(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    Str text = {0};
    uint64_t seed = 5;
    for (int i = 0; i < 70000; i++) {
        char id[40];
        Event e;
        kit_draw(&e, INT64_C(1772352000000) - i * 1000, &seed, 1);
        char at[48];
        str_addf(&text, "{\"id\":\"%s\",\"at\":\"%s\",\"kind\":\"crew\",\"persons\":2}\n",
                 uuid_print(&e.id, id), moment_print_utc(e.at, at));
    }
    Str with = {0};
    str_add(&with, text_slice(text.s, text.n));
    str_adds(&with, "{\"at\":\"2026-04-20T08:00:00Z\",\"kind\":\"crew\",\"persons\":3,");
    str_add(&with, text_slice(text.s + 1, 43)); /* "id":"..." of the first */
    str_adds(&with, "}\n");
    Fault fault;
    kit_refused(log, with.s, with.n, &fault);
    assert_says(fault, "would stand for two entries");
    LogIntake intake = kit_import(log, text.s);
    assert_int_equal(intake.added, 70000);
    str_finish(&text);
    str_finish(&with);
    log_close(log);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_same_id_and_time_with_other_content_is_refused),
        cmocka_unit_test(the_same_id_at_another_time_is_refused),
        cmocka_unit_test(one_id_twice_among_seventy_thousand_is_found),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
