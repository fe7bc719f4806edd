/* The answers of the set-up, and the entries that they become. */
#include "support/scene.h"

#include "screens/setup.h"

typedef struct {
    State state;
    Setup setup;
} Desk;

static const Moment NOW = {INT64_C(1795545720000)};

static Desk *desk_open(void)
{
    Desk *desk = memory_get(sizeof *desk);
    setenv("TZ", "UTC", 1);
    tzset();
    state_init(&desk->state);
    setup_begin(&desk->setup, SETUP_VESSELS, &desk->state, UNITS_METRIC, NOW);
    return desk;
}

static FormField *row(Desk *desk, const char *caption)
{
    for (int i = 0; i < desk->setup.rows.count; i++)
        if (strcmp(desk->setup.rows.fields[i].caption, caption) == 0)
            return &desk->setup.rows.fields[i];
    fail_msg("the step does not ask \"%s\"", caption);
    return NULL;
}

/* What is said against it, beside the row or of the whole; "": nothing. */
static const char *answer(Desk *desk, const char *caption, const char *text)
{
    FormField *asked = row(desk, caption);
    entry_set(&asked->typed, text);
    setup_read(&desk->setup, &desk->state, NOW);
    return asked->wrong ? asked->error : desk->setup.refusal;
}

/* Writes the step as the log does, each entry asked for and then folded, and begins `next`. Returns
 * how many. */
static int write_step(Desk *desk, SetupStep next)
{
    Fault fault = {0};
    Setup *setup = &desk->setup;
    if (!setup->ready)
        fail_msg("%s: not ready: %s", setup_step_name(setup->step), setup->refusal);
    int n = setup->count;
    for (int i = 0; i < n; i++) {
        Event *e = &setup->entries[i];
        e->id.b[15] = (uint8_t)(i + 1);
        if (!event_check(&desk->state, e, NOW, &fault))
            fail_msg("entry %d: %s", i, fault.text);
        assert_true(e->at.ms >= desk->state.last_at && !clock_ahead(e->at, NOW));
        fold_apply(&desk->state, e);
    }
    setup_begin(setup, next, &desk->state, setup->units, NOW);
    return n;
}

static void empty_answers_all_the_way_give_a_set_up_that_works(void **unused)
{
    (void)unused;
    Desk *desk = desk_open();
    assert_int_equal(write_step(desk, SETUP_STAGES), 7);
    assert_int_equal(write_step(desk, SETUP_CREW), 3);
    assert_int_equal(write_step(desk, SETUP_SOURCES), 1);
    assert_int_equal(write_step(desk, SETUP_STOPS), 0);
    assert_int_equal(write_step(desk, SETUP_STOPS), 0);
    const State *s = &desk->state;
    assert_int_equal(s->vessel_count, 6);
    assert_int_equal(s->lines[0].count, 4);
    assert_string_equal(s->vessels[s->lines[0].order[0]].label.s, "A1");
    assert_string_equal(s->vessels[s->lines[0].order[3]].label.s, "A4");
    assert_int_equal(s->vessels[4].duty, DUTY_RESERVE);
    assert_int_equal(s->vessels[5].duty, DUTY_WASH);
    assert_int_equal(s->vessels[0].capacity, 12000);
    assert_int_equal(s->vessels[0].heel, 200);
    assert_int_equal(s->stage_count, 3);
    assert_int_equal(s->stages[0].type, STAGE_SEDIMENT);
    assert_int_equal(s->stages[1].type, STAGE_CARBON_BLOCK);
    assert_int_equal(s->stages[2].type, STAGE_UV);
    assert_int_equal(s->stages[0].life_ml, 4000000);
    assert_int_equal(s->stages[2].life_ml, 0);
    assert_int_equal(s->stages[2].life_ms, 9000 * MS_PER_HOUR);
    assert_int_equal(s->stages[2].life_days, 365);
    assert_int_equal(s->stages[0].spares, -1);
    assert_int_equal(s->crew, 2);
    assert_int_equal(s->discrepancy_count, 0);
    static const bool done[] = {true, true, true, false, false};
    for (int i = 0; i < SETUP_STEPS; i++)
        assert_int_equal(setup_done(s, (SetupStep)i), done[i]);
    free(desk);
}

static void nothing_is_potable_unless_the_person_says_so(void **unused)
{
    (void)unused;
    Desk *desk = desk_open();
    assert_string_equal(answer(desk, "level", "full"), "");
    write_step(desk, SETUP_SOURCES);
    assert_string_equal(answer(desk, "sources", "Holm tap"), "");
    write_step(desk, SETUP_STAGES);
    write_step(desk, SETUP_CREW);
    for (int i = 0; i < 6; i++)
        assert_int_equal(desk->state.vessels[i].quality,
                         i == 5 ? CLASS_NON_POTABLE : CLASS_QUESTIONABLE);
    assert_int_equal(desk->state.vessels[0].volume, 12000);
    assert_int_equal(desk->state.sources[0].quality, SOURCE_UNKNOWN_CLASS);
    for (int i = 0; i < desk->state.stage_count; i++)
        assert_false(desk->state.stages[i].purifying);
    free(desk);

    desk = desk_open();
    answer(desk, "level", "full");
    assert_string_equal(answer(desk, "class", "pot"), "");
    write_step(desk, SETUP_STAGES);
    assert_int_equal(desk->state.vessels[0].quality, CLASS_POTABLE);
    assert_int_equal(desk->state.vessels[4].quality, CLASS_POTABLE);
    assert_int_equal(desk->state.vessels[5].quality, CLASS_NON_POTABLE); /* for washing */
    assert_int_equal(desk->state.vessels[0].sanitised_at, MOMENT_NONE_MS);
    free(desk);

    /* not even where one for washing is called so by itself */
    desk = desk_open();
    answer(desk, "class", "pot, pot, pot, pot, pot, pot");
    write_step(desk, SETUP_STAGES);
    assert_int_equal(desk->state.vessels[5].quality, CLASS_NON_POTABLE);
    free(desk);
}

static void sanitised_vessels_are_empty_ones(void **unused)
{
    (void)unused;
    Desk *desk = desk_open();
    assert_string_equal(answer(desk, "sanitised", "y"), "");
    assert_int_equal(write_step(desk, SETUP_STAGES), 12); /* 6 named, 5 sanitised, 1 order */
    assert_int_equal(desk->state.vessels[0].quality, CLASS_POTABLE);
    assert_int_equal(desk->state.vessels[5].quality, CLASS_NON_POTABLE);
    assert_true(desk->state.vessels[0].sanitised_at != MOMENT_NONE_MS);
    free(desk);
    desk = desk_open();
    answer(desk, "sanitised", "yes");
    assert_string_not_equal(answer(desk, "level", "full"), "");
    assert_false(desk->setup.ready);
    /* water in the one for washing is no matter */
    assert_string_equal(answer(desk, "level", "empty, empty, empty, empty, empty, full"), "");
    assert_true(desk->setup.ready);
    free(desk);
}

static void each_vessel_may_have_its_own_name_size_and_level(void **unused)
{
    (void)unused;
    Desk *desk = desk_open();
    answer(desk, "wash", "0");
    assert_string_equal(answer(desk, "on the line", "bow, under the bunk"), "");
    assert_string_equal(answer(desk, "capacity", "10 L, 20 L, 12.5 L"), "");
    assert_string_equal(answer(desk, "level", "50%, 4, full"), "");
    assert_string_equal(answer(desk, "tare", "-, 3.1, -"), "");
    write_step(desk, SETUP_STAGES);
    const State *s = &desk->state;
    assert_string_equal(s->vessels[1].label.s, "under the bunk");
    assert_int_equal(s->vessels[1].capacity, 20000);
    assert_int_equal(s->vessels[0].volume, 5000);
    assert_int_equal(s->vessels[1].volume, 4000);
    assert_int_equal(s->vessels[2].volume, 12500);
    assert_string_equal(s->vessels[2].label.s, "R1");
    assert_int_equal(s->vessels[0].tare_g, -1);
    assert_int_equal(s->vessels[1].tare_g, 3100);
    free(desk);
}

/* Words, limits and most sentences are those of the kinds' own field tables. */
static void what_is_wrong_is_said_beside_the_answer(void **unused)
{
    (void)unused;
    static const struct {
        SetupStep step;
        const char *caption, *text, *part;
    } wrong[] = {{SETUP_VESSELS, "units", "cubits", "metric, us, imperial"},
                 {SETUP_VESSELS, "on the line", "17", "16"},
                 {SETUP_VESSELS, "on the line", "15", "16 vessels aboard"},
                 {SETUP_VESSELS, "on the line", "14", ""},
                 {SETUP_VESSELS, "on the line", "A1 A2 A2 A4", "A2"},
                 {SETUP_VESSELS, "on the line", "A1 A2 R1", "R1"},
                 {SETUP_VESSELS, "line", "A1", "A1"},
                 {SETUP_VESSELS, "capacity", "0", "capacity"},
                 {SETUP_VESSELS, "capacity", "1001", "capacity"},
                 {SETUP_VESSELS, "capacity", "1000", ""},
                 {SETUP_VESSELS, "capacity", "40%", "Give litres"},
                 {SETUP_VESSELS, "capacity", "12 parsecs", "parsecs"},
                 {SETUP_VESSELS, "capacity", "12, 12", "6 with commas; 2 given"},
                 {SETUP_VESSELS, "capacity", "12,5", "6 with commas; 2 given"},
                 {SETUP_VESSELS, "heel", "12", "leaves nothing"},
                 {SETUP_VESSELS, "level", "13", "12 L at most"},
                 {SETUP_VESSELS, "level", "3kg", "tare"},
                 {SETUP_VESSELS, "class", "yes", "questionable"},
                 {SETUP_VESSELS, "sanitised", "maybe", "is not a time"},
                 {SETUP_STAGES, "fitted", "+2d", "after the entry"},
                 {SETUP_STAGES, "type", "sieve", "sediment"},
                 {SETUP_STAGES, "life-days", "1.5", "life-days"},
                 {SETUP_STAGES, "life-litres", "none", ""},
                 {SETUP_STAGES, "spares", "2, -, 1", ""},
                 {SETUP_STAGES, "spares", "1000", "999"},
                 {SETUP_STAGES, "spares", "999", ""},
                 {SETUP_CREW, "persons", "-1", "persons"},
                 {SETUP_CREW, "persons", "100", "persons"},
                 {SETUP_CREW, "persons", "0", ""},
                 {SETUP_CREW, "persons", "99", ""},
                 {SETUP_STOPS, "stops", "Holm tap", "eta"}};
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
        Desk *desk = desk_open();
        setup_begin(&desk->setup, wrong[i].step, &desk->state, UNITS_METRIC, NOW);
        const char *error = answer(desk, wrong[i].caption, wrong[i].text);
        if (wrong[i].part[0] == '\0' ? error[0] != '\0' : !strstr(error, wrong[i].part))
            fail_msg("%s \"%s\": said \"%s\", not \"%s\"", wrong[i].caption, wrong[i].text, error,
                     wrong[i].part);
        assert_int_equal(desk->setup.ready, wrong[i].part[0] == '\0');
        free(desk);
    }
}

/* One comma between digits, for two vessels: an answer for each, or one with decimals. */
static void a_comma_that_can_be_read_two_ways_is_asked_about(void **unused)
{
    (void)unused;
    Desk *desk = desk_open();
    answer(desk, "on the line", "2");
    answer(desk, "reserve", "0");
    answer(desk, "wash", "0");
    assert_non_null(strstr(answer(desk, "capacity", "12,5"), "12.5 for both, or \"12, 5\""));
    assert_false(desk->setup.ready);
    assert_string_equal(answer(desk, "capacity", "12, 5"), "");
    assert_string_equal(answer(desk, "capacity", "12.5"), "");
    assert_true(desk->setup.ready);
    free(desk);
}

static void stages_have_lives_by_their_names_and_spares(void **unused)
{
    (void)unused;
    Desk *desk = desk_open();
    write_step(desk, SETUP_STAGES);
    assert_string_equal(answer(desk, "stages", "lamp mystery"), "");
    assert_string_equal(row(desk, "type")->proposal, "uv, other");
    assert_string_equal(answer(desk, "life-hours", "8000.5, -"), "");
    assert_string_equal(answer(desk, "life-days", "365, none"), "");
    assert_string_equal(answer(desk, "spares", "2, -"), "");
    assert_int_equal(write_step(desk, SETUP_CREW), 3);
    assert_int_equal(desk->state.stages[0].life_ms, 8000 * MS_PER_HOUR + 30 * MS_PER_MINUTE);
    assert_int_equal(desk->state.stages[0].life_days, 365);
    assert_int_equal(desk->state.stages[0].spares, 2);
    assert_int_equal(desk->state.stages[1].life_days, 0);
    assert_int_equal(desk->state.stages[1].spares, -1);
    assert_int_equal(desk->state.stages[1].position, 2);
    free(desk);
}

static void places_are_named_with_spaces_and_several_at_once(void **unused)
{
    (void)unused;
    Desk *desk = desk_open();
    setup_begin(&desk->setup, SETUP_SOURCES, &desk->state, UNITS_METRIC, NOW);
    answer(desk, "sources", "Holm tap, Alder spring");
    answer(desk, "type", "mains, spring");
    assert_string_equal(answer(desk, "class", "pot, -"), "");
    assert_int_equal(write_step(desk, SETUP_STOPS), 2);
    assert_string_equal(desk->state.sources[1].label.s, "Alder spring");
    assert_int_equal(desk->state.sources[0].quality, CLASS_POTABLE);
    assert_int_equal(desk->state.sources[1].quality, SOURCE_UNKNOWN_CLASS);
    assert_int_equal(desk->state.sources[1].type, SOURCE_SPRING);
    answer(desk, "stops", "Holm tap");
    assert_string_equal(answer(desk, "eta", "+2d"), "");
    assert_int_equal(write_step(desk, SETUP_STOPS), 1);
    assert_int_equal(desk->state.stops[0].eta, NOW.ms + 2 * MS_PER_DAY);
    free(desk);
}

static void no_line_no_stages_is_an_answer_too(void **unused)
{
    (void)unused;
    Desk *desk = desk_open();
    answer(desk, "on the line", "0");
    answer(desk, "reserve", "none");
    assert_string_not_equal(answer(desk, "wash", "0"), "");
    assert_false(desk->setup.ready);
    assert_string_equal(answer(desk, "wash", "1"), "");
    assert_int_equal(write_step(desk, SETUP_STAGES), 1);
    assert_int_equal(desk->state.line_count, 0);
    assert_string_equal(answer(desk, "stages", "none"), "");
    assert_int_equal(write_step(desk, SETUP_CREW), 0);
    free(desk);
}

static void sixteen_vessels_fit_in_one_writing(void **unused)
{
    (void)unused;
    Desk *desk = desk_open();
    answer(desk, "on the line", "16");
    answer(desk, "reserve", "0");
    answer(desk, "wash", "0");
    assert_string_equal(answer(desk, "sanitised", "yes"), "");
    assert_int_equal(write_step(desk, SETUP_STAGES), SETUP_ENTRIES_MAX);
    assert_in_range((int)SETUP_ENTRIES_MAX, 1, (int)APP_OUTBOX);
    free(desk);
}

static void gallons_are_proposed_and_read_where_they_are_used(void **unused)
{
    (void)unused;
    Desk *desk = desk_open();
    answer(desk, "units", "us");
    assert_string_equal(row(desk, "capacity")->proposal, "3");
    assert_string_equal(row(desk, "capacity")->unit, "gal");
    assert_string_equal(answer(desk, "capacity", "5"), "");
    write_step(desk, SETUP_STAGES);
    /* 5 x 3785.411784 mL (NIST Handbook 44, 2024, Appendix C) */
    assert_int_equal(desk->state.vessels[0].capacity, 18927);
    free(desk);
}

/* What was so before the log began: the vessels sanitised, a cartridge half used. */
static void what_was_before_the_log_can_be_said(void **unused)
{
    (void)unused;
    Desk *desk = desk_open();
    assert_string_equal(answer(desk, "class", "potable"), "");
    assert_string_equal(answer(desk, "sanitised", "-10d"), "");
    write_step(desk, SETUP_STAGES);
    for (int i = 0; i < 5; i++) {
        assert_int_equal(desk->state.vessels[i].sanitised_at, NOW.ms - 10 * MS_PER_DAY);
        assert_int_equal(desk->state.vessels[i].volume, 0);
    }
    assert_int_equal(desk->state.vessels[5].sanitised_at, MOMENT_NONE_MS); /* for washing */
    assert_int_equal(desk->state.vessels[5].quality, CLASS_NON_POTABLE);
    assert_string_equal(answer(desk, "fitted", "-90d, -, -200d"), "");
    assert_string_equal(answer(desk, "through", "1200, -, -"), "");
    write_step(desk, SETUP_CREW);
    assert_int_equal(desk->state.stages[0].fitted_at, NOW.ms - 90 * MS_PER_DAY);
    assert_int_equal(desk->state.stages[0].through_ml, 1200000);
    assert_true(desk->state.stages[1].fitted_at >= NOW.ms);
    assert_int_equal(desk->state.stages[2].fitted_at, NOW.ms - 200 * MS_PER_DAY);
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
        cmocka_unit_test(a_comma_that_can_be_read_two_ways_is_asked_about),
        cmocka_unit_test(stages_have_lives_by_their_names_and_spares),
        cmocka_unit_test(places_are_named_with_spaces_and_several_at_once),
        cmocka_unit_test(no_line_no_stages_is_an_answer_too),
        cmocka_unit_test(sixteen_vessels_fit_in_one_writing),
        cmocka_unit_test(what_was_before_the_log_can_be_said),
        cmocka_unit_test(gallons_are_proposed_and_read_where_they_are_used),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
