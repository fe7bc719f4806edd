/* The answers of the set-up, and the entries that they become. */
#include "support/scene.h"

#include "screens/setup.h"

typedef struct {
    State state;
    Setup setup;
    Event entries[SETUP_ENTRIES_MAX];
} Desk;

static Desk *desk_open(void)
{
    Desk *desk = memory_get(sizeof *desk);
    setenv("TZ", "UTC", 1);
    tzset();
    state_init(&desk->state);
    setup_begin(&desk->setup, &desk->state, UNITS_METRIC);
    return desk;
}

static const char *answer(Desk *desk, Ask ask, const char *text)
{
    snprintf(desk->setup.answer[ask].text, SETUP_TEXT, "%s", text);
    setup_read(&desk->setup, &desk->state);
    return desk->setup.answer[ask].error;
}

static const Moment NOW = {INT64_C(1795545720000)};

/* Writes a step as the log does: each entry is asked for, then folded. Returns how many. */
static int write_step(Desk *desk, SetupStep step)
{
    Fault fault = {0};
    assert_int_equal(setup_wrong(&desk->setup, step), ASK_END);
    int n = setup_entries(&desk->setup, step, NOW, desk->entries);
    for (int i = 0; i < n; i++) {
        desk->entries[i].id.b[15] = (uint8_t)(i + 1);
        if (!event_check(&desk->state, &desk->entries[i], NOW, &fault))
            fail_msg("entry %d: %s", i, fault.text);
        fold_apply(&desk->state, &desk->entries[i]);
    }
    setup_read(&desk->setup, &desk->state);
    return n;
}

static void empty_answers_all_the_way_give_a_set_up_that_works(void **unused)
{
    (void)unused;
    Desk *desk = desk_open();
    assert_int_equal(write_step(desk, SETUP_VESSELS), 7);
    assert_int_equal(write_step(desk, SETUP_STAGES), 3);
    assert_int_equal(write_step(desk, SETUP_CREW), 1);
    assert_int_equal(write_step(desk, SETUP_SOURCE), 0);
    const State *s = &desk->state;
    assert_int_equal(s->vessel_count, 6);
    assert_int_equal(s->lines[0].count, 4);
    assert_string_equal(s->vessels[s->lines[0].order[0]].label.s, "A1");
    assert_string_equal(s->vessels[s->lines[0].order[3]].label.s, "A4");
    assert_int_equal(s->vessels[4].duty, DUTY_RESERVE);
    assert_int_equal(s->vessels[5].duty, DUTY_WASH);
    assert_int_equal(s->vessels[0].capacity, 12000);
    assert_int_equal(s->stage_count, 3);
    assert_int_equal(s->stages[0].life_ml, 4000000);
    assert_int_equal(s->stages[2].life_ms, 9000 * MS_PER_HOUR);
    assert_int_equal(s->stages[2].life_days, 365);
    assert_int_equal(s->stages[0].spares, -1);
    assert_int_equal(s->crew, 2);
    assert_int_equal(s->discrepancy_count, 0);
    /* every step but the source is behind, and no question of those is asked again */
    assert_true(setup_done(s, SETUP_VESSELS) && setup_done(s, SETUP_STAGES));
    assert_false(setup_done(s, SETUP_SOURCE));
    assert_false(desk->setup.answer[ASK_COUNT].applies);
    assert_true(desk->setup.answer[ASK_SOURCE].applies);
    free(desk);
}

static void nothing_is_potable_unless_the_person_says_so(void **unused)
{
    (void)unused;
    Desk *desk = desk_open();
    assert_string_equal(answer(desk, ASK_LEVEL, "full"), "");
    assert_string_equal(answer(desk, ASK_SOURCE, "Holm tap"), "");
    write_step(desk, SETUP_VESSELS);
    write_step(desk, SETUP_SOURCE);
    for (int i = 0; i < 6; i++)
        assert_int_equal(desk->state.vessels[i].quality,
                         i == 5 ? CLASS_NON_POTABLE : CLASS_QUESTIONABLE);
    assert_int_equal(desk->state.vessels[0].volume, 12000);
    assert_int_equal(desk->state.sources[0].quality, SOURCE_UNKNOWN_CLASS);
    for (int i = 0; i < desk->state.stage_count; i++)
        assert_false(desk->state.stages[i].purifying);
    free(desk);

    desk = desk_open();
    answer(desk, ASK_LEVEL, "full");
    assert_string_equal(answer(desk, ASK_CLEAN, "pot"), "");
    write_step(desk, SETUP_VESSELS);
    assert_int_equal(desk->state.vessels[0].quality, CLASS_POTABLE);
    assert_int_equal(desk->state.vessels[4].quality, CLASS_POTABLE);
    assert_int_equal(desk->state.vessels[5].quality, CLASS_NON_POTABLE); /* for washing */
    assert_int_equal(desk->state.vessels[0].sanitised_at, MOMENT_NONE_MS);
    free(desk);
}

static void sanitised_vessels_are_empty_ones(void **unused)
{
    (void)unused;
    Desk *desk = desk_open();
    assert_string_equal(answer(desk, ASK_CLEAN, "sanitised"), "");
    assert_int_equal(write_step(desk, SETUP_VESSELS), 12); /* 6 named, 5 sanitised, 1 order */
    assert_int_equal(desk->state.vessels[0].quality, CLASS_POTABLE);
    assert_int_equal(desk->state.vessels[5].quality, CLASS_NON_POTABLE);
    assert_true(desk->state.vessels[0].sanitised_at != MOMENT_NONE_MS);
    free(desk);
    desk = desk_open();
    answer(desk, ASK_CLEAN, "sanitised");
    answer(desk, ASK_LEVEL, "full");
    assert_non_null(strstr(desk->setup.answer[ASK_CLEAN].error, "sanitised empty"));
    /* water in the one for washing is no matter */
    answer(desk, ASK_LEVEL, "empty, empty, empty, empty, empty, full");
    assert_string_equal(desk->setup.answer[ASK_CLEAN].error, "");
    free(desk);
}

static void each_vessel_may_have_its_own_name_size_and_level(void **unused)
{
    (void)unused;
    Desk *desk = desk_open();
    answer(desk, ASK_COUNT, "2");
    answer(desk, ASK_WASH, "0");
    assert_string_equal(desk->setup.answer[ASK_ORDER].proposal, "A1 A2");
    assert_string_equal(desk->setup.answer[ASK_APART].proposal, "R1");
    assert_string_equal(answer(desk, ASK_ORDER, "bow, under the bunk"), "");
    assert_string_equal(answer(desk, ASK_SIZE, "10 L, 20 L, 12.5 L"), "");
    assert_string_equal(answer(desk, ASK_LEVEL, "50%, 4, full"), "");
    write_step(desk, SETUP_VESSELS);
    const State *s = &desk->state;
    assert_string_equal(s->vessels[1].label.s, "under the bunk");
    assert_int_equal(s->vessels[1].capacity, 20000);
    assert_int_equal(s->vessels[0].volume, 5000);
    assert_int_equal(s->vessels[1].volume, 4000);
    assert_int_equal(s->vessels[2].volume, 12500);
    free(desk);
}

static void what_is_wrong_is_said_beside_the_answer(void **unused)
{
    (void)unused;
    static const struct {
        Ask ask;
        const char *text, *part;
    } WRONG[] = {{ASK_COUNT, "seventeen", "whole number"},
                 {ASK_COUNT, "17", "0 to 16"},
                 {ASK_RESERVE, "13", "0 to 12"},
                 {ASK_ORDER, "A1 A2", "4 names are wanted, 2 given"},
                 {ASK_ORDER, "A1 A2 A2 A4", "A2 stands there twice"},
                 {ASK_ORDER, "A1 A2 A3 galley", "name of a line"},
                 {ASK_ORDER, "A1 A2 A3 R1", ""},
                 {ASK_SIZE, "0", "up to 1000 L"},
                 {ASK_SIZE, "40%", "up to 1000 L"},
                 {ASK_SIZE, "12 parsecs", "parsecs"},
                 {ASK_SIZE, "12, 12", "6 parted by commas; 2 given"},
                 {ASK_HEEL, "12", "leaves nothing"},
                 {ASK_LEVEL, "13", "more than A1 holds"},
                 {ASK_LEVEL, "3kg", "empty, full"},
                 {ASK_CLEAN, "yes", "One of: not known, potable, sanitised"},
                 {ASK_UNITS, "", ""},
                 {ASK_UNITS, "cubits", "One of: metric, us, imperial"},
                 {ASK_STAGES, "sediment sediment", "stands there twice"},
                 {ASK_STAGES, "a b c d e f g h i", "Up to 8"},
                 {ASK_LIFE, "4000", "neither litres"},
                 {ASK_LIFE, "soon", "Amounts with their units"},
                 {ASK_LIFE, "1.5 days", "Whole days"},
                 {ASK_LIFE, "4000 L 180 d 2 spares", ""},
                 {ASK_LIFE, "none", ""},
                 {ASK_CREW, "-1", "whole number"},
                 {ASK_CREW, "0", ""}};
    for (size_t i = 0; i < sizeof WRONG / sizeof *WRONG; i++) {
        Desk *desk = desk_open();
        const char *error = answer(desk, WRONG[i].ask, WRONG[i].text);
        if (WRONG[i].part[0] == '\0' ? error[0] != '\0' : !strstr(error, WRONG[i].part))
            fail_msg("\"%s\": said \"%s\", not \"%s\"", WRONG[i].text, error, WRONG[i].part);
        free(desk);
    }
    /* R1 is then wrong where it stands the second time */
    Desk *desk = desk_open();
    answer(desk, ASK_ORDER, "A1 A2 A3 R1");
    assert_non_null(strstr(desk->setup.answer[ASK_APART].error, "R1 stands there twice"));
    assert_int_equal(setup_wrong(&desk->setup, SETUP_VESSELS), ASK_APART);
    free(desk);
}

static void lives_are_read_in_any_order_and_may_be_left_out(void **unused)
{
    (void)unused;
    Desk *desk = desk_open();
    write_step(desk, SETUP_VESSELS);
    answer(desk, ASK_STAGES, "lamp mystery");
    assert_int_equal(desk->setup.stage[0].type, STAGE_UV);
    assert_int_equal(desk->setup.stage[1].type, STAGE_OTHER);
    assert_string_equal(answer(desk, ASK_LIFE, "2 spares, 365days 8000.5h"), "");
    assert_string_equal(answer(desk, (Ask)(ASK_LIFE + 1), "none"), "");
    assert_int_equal(write_step(desk, SETUP_STAGES), 3);
    assert_int_equal(desk->state.stages[0].life_ms, 8000 * MS_PER_HOUR + 30 * MS_PER_MINUTE);
    assert_int_equal(desk->state.stages[0].life_days, 365);
    assert_int_equal(desk->state.stages[0].spares, 2);
    assert_int_equal(desk->state.stages[1].life_days, 0);
    free(desk);
}

static void no_line_no_stages_no_source_is_an_answer_too(void **unused)
{
    (void)unused;
    Desk *desk = desk_open();
    answer(desk, ASK_COUNT, "0");
    answer(desk, ASK_RESERVE, "0");
    answer(desk, ASK_WASH, "0");
    assert_int_equal(setup_wrong(&desk->setup, SETUP_VESSELS), ASK_COUNT);
    assert_int_equal(setup_next(&desk->setup, ASK_WASH, 1), ASK_STAGES);
    answer(desk, ASK_WASH, "1");
    assert_int_equal(write_step(desk, SETUP_VESSELS), 1);
    assert_int_equal(desk->state.line_count, 0);
    answer(desk, ASK_STAGES, "none");
    assert_int_equal(write_step(desk, SETUP_STAGES), 0);
    assert_int_equal(setup_next(&desk->setup, ASK_STAGES, 1), ASK_CREW);
    free(desk);
}

static void sixteen_vessels_fit_in_one_writing(void **unused)
{
    (void)unused;
    Desk *desk = desk_open();
    answer(desk, ASK_COUNT, "16");
    answer(desk, ASK_RESERVE, "0");
    answer(desk, ASK_WASH, "0");
    answer(desk, ASK_CLEAN, "sanitised");
    assert_int_equal(write_step(desk, SETUP_VESSELS), SETUP_ENTRIES_MAX);
    assert_in_range((int)SETUP_ENTRIES_MAX, 1, (int)APP_OUTBOX);
    free(desk);
}

static void gallons_are_proposed_and_read_where_they_are_used(void **unused)
{
    (void)unused;
    Desk *desk = desk_open();
    answer(desk, ASK_UNITS, "us");
    assert_string_equal(desk->setup.answer[ASK_SIZE].proposal, "3 gal");
    assert_string_equal(answer(desk, ASK_SIZE, "5"), "");
    write_step(desk, SETUP_VESSELS);
    /* 5 x 3785.411784 mL (NIST Handbook 44, 2024, Appendix C) */
    assert_int_equal(desk->state.vessels[0].capacity, 18927);
    free(desk);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(empty_answers_all_the_way_give_a_set_up_that_works),
        cmocka_unit_test(nothing_is_potable_unless_the_person_says_so),
        cmocka_unit_test(sanitised_vessels_are_empty_ones),
        cmocka_unit_test(each_vessel_may_have_its_own_name_size_and_level),
        cmocka_unit_test(what_is_wrong_is_said_beside_the_answer),
        cmocka_unit_test(lives_are_read_in_any_order_and_may_be_left_out),
        cmocka_unit_test(no_line_no_stages_no_source_is_an_answer_too),
        cmocka_unit_test(sixteen_vessels_fit_in_one_writing),
        cmocka_unit_test(gallons_are_proposed_and_read_where_they_are_used),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
