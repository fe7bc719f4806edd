#include "support/scene.h"

/* The season, with no spare of the carbon cartridge, and two flow tests of which the later one took
 * twice as long. */
static Scene *service_scene(int rows, int cols, Alphabet alphabet)
{
    Scene *scene = scene_season(rows, cols, SCHEME_DEFAULT, alphabet);
    scene_entry(scene, "-15d", KIND_FLOWTEST, "line", "galley", "litres", "1", "seconds", "14",
                NULL);
    scene_entry(scene, "yesterday 10:00", KIND_FLOWTEST, "line", "galley", "litres", "1", "seconds",
                "28", NULL);
    scene_entry(scene, "-15d", KIND_SPARES, "stage", "carbon", "count", "0", NULL);
    scene_tell(scene);
    scene_keys(scene, "4");
    return scene;
}

static void service_looks_as_drawn_before(void **state)
{
    (void)state;
    for (int i = 0; i < SCENE_GOLDEN_COUNT; i++) {
        const SceneSize *size = &SCENE_SIZES[i];
        Scene *scene = service_scene(size->rows, size->cols, size->alphabet);
        scene_golden_sheet(scene, "service");
        scene_close(scene);
    }
}

static void one_stage_closely_looks_as_drawn_before(void **state)
{
    (void)state;
    Scene *scene = service_scene(12, 40, ALPHABET_ASCII);
    scene_keys(scene, "\njjjj");
    scene_golden_sheet(scene, "service-closer");
    scene_close(scene);
}

/* What has no stated life is never due: nobody knows that it is in it. */
static void a_stage_without_a_life_is_not_said_to_be_in_it(void **state)
{
    (void)state;
    Scene *scene = scene_open(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_entry(scene, "-2d", KIND_VESSEL, "vessel", "A1", "capacity", "12", "level", "6", NULL);
    scene_entry(scene, "-2d", KIND_COUPLE, "line", "galley", "order", "A1", NULL);
    scene_entry(scene, "-2d", KIND_STAGE, "stage", "grit", "type", "sediment", "line", "galley",
                "life_days", "90", NULL);
    scene_tell(scene);
    scene_keys(scene, "4");
    assert_true(scene_shows(scene, "every stage is in life"));
    scene_entry(scene, "-1d", KIND_STAGE, "stage", "lamp", "type", "uv", "line", "galley", NULL);
    scene_tell(scene);
    assert_false(scene_shows(scene, "in life"));
    assert_true(scene_shows(scene, "no life is given of 1 of 2"));
    assert_true(scene_shows(scene, "life?"));
    scene_keys(scene, "1");
    assert_true(scene_shows(scene, "life?"));
    scene_close(scene);
}

static void it_opens_on_what_is_due_first_and_says_why(void **state)
{
    (void)state;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "4");
    assert_true(scene_shows(scene, "▸ carbon"));
    assert_true(scene_shows(scene, "soon 27 Nov"));
    assert_true(scene_shows(scene, "by litres"));
    assert_true(scene_shows(scene, "129.2 of 150.0 L are through, 20.8 L left"));
    assert_true(scene_shows(scene, "1 spare"));
    assert_true(scene_shows(scene, "Vent the line before the housing is opened."));
    scene_close(scene);
}

static void no_spare_is_said_louder(void **state)
{
    (void)state;
    Scene *scene = service_scene(24, 80, ALPHABET_UTF8);
    assert_true(scene_shows(scene, "NO SPARE ABOARD"));
    scene_keys(scene, "G"); /* the lamp is in life, so it stands last: */
    scene_keys(scene, "p0\n");
    assert_int_equal(scene->log[scene->count - 1].kind, KIND_SPARES);
    assert_string_equal(scene->log[scene->count - 1].u.spares.stage.s, "lamp");
    assert_true(scene_shows(scene, "▲ no spare"));
    scene_keys(scene, "g");
    scene_keys(scene, "p2\n");
    assert_string_equal(scene->log[scene->count - 1].u.spares.stage.s, "carbon");
    Str text = {0};
    assert_null(strstr(scene_draw(scene, &text), "NO SPARE ABOARD"));
    assert_non_null(strstr(text.s, "2 spares"));
    str_finish(&text);
    scene_close(scene);
}

static void w_swaps_the_chosen_stage_and_counts_the_spare_down(void **state)
{
    (void)state;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "4j"); /* the sediment cartridge, though carbon is due before it */
    assert_true(scene_shows(scene, "▸ sediment"));
    scene_keys(scene, "w\n");
    const Event *e = &scene->log[scene->count - 1];
    assert_int_equal(e->kind, KIND_SWAP);
    assert_string_equal(e->u.name.name.s, "sediment");
    assert_ptr_equal(app_top(scene->app), &SCREEN_SERVICE);
    assert_true(scene_shows(scene, "fitted     Tue 24 Nov, today"));
    assert_true(scene_shows(scene, "100 %"));
    assert_true(scene_shows(scene, "no spare"));
    scene_close(scene);
}

static void w_enter_swaps_what_is_most_due(void **state)
{
    (void)state;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    assert_int_equal(scene_keys(scene, "4w\n"), 3);
    assert_string_equal(scene->log[scene->count - 1].u.name.name.s, "carbon");
    scene_close(scene);
}

static void the_flow_stands_against_that_after_the_last_swap(void **state)
{
    (void)state;
    Scene *scene = service_scene(24, 80, ALPHABET_UTF8);
    /* 1 L in 28 s is 60/28 = 2.14 L a minute; in 14 s 4.29: half of it. */
    assert_true(
        scene_shows(scene, "galley: 2.1 L a minute on 23 Nov, 50 % of that after the last"));
    assert_true(scene_shows(scene, "then 4.3 L a minute, on 9 Nov"));
    assert_true(scene_shows(scene, "more than a third less"));
    scene_keys(scene, "jj");
    assert_true(scene_shows(scene, "by clogging"));
    scene_keys(scene, "r");
    assert_int_equal(app_form(scene->app)->kind->id, KIND_FLOWTEST);
    scene_close(scene);
}

static void after_a_swap_the_old_flow_is_not_compared_with(void **state)
{
    (void)state;
    Scene *scene = service_scene(24, 80, ALPHABET_UTF8);
    scene_keys(scene, "jjw\n");
    Str text = {0};
    assert_null(strstr(scene_draw(scene, &text), "by clogging"));
    assert_non_null(strstr(text.s, "before the last swap"));
    str_finish(&text);
    scene_close(scene);
}

static void what_is_past_its_life_is_due_now(void **state)
{
    (void)state;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_entry(scene, "18:40", KIND_STAGE, "stage", "carbon", "life_litres", "100", NULL);
    scene_tell(scene);
    scene_keys(scene, "4");
    assert_true(scene_shows(scene, "1 due"));
    assert_true(scene_shows(scene, "due now"));
    assert_true(scene_shows(scene, "29.2 L past its life"));
    scene_close(scene);
}

static void a_lamp_is_unplugged_first(void **state)
{
    (void)state;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "4jj");
    assert_true(scene_shows(scene, "Unplug the lamp before it is touched"));
    assert_true(scene_shows(scene, "480 of 9000 h are burnt"));
    scene_close(scene);
}

static void vessels_due_for_sanitising_are_listed_and_logged(void **state)
{
    (void)state;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "4");
    assert_true(scene_shows(scene, "A1, A2, A3, A4, R1: Mon 3 May 2027, in 160 days"));
    scene_keys(scene, "c");
    assert_int_equal(app_form(scene->app)->kind->id, KIND_SANITISE);
    assert_string_equal(field_value(&app_form(scene->app)->rows.fields[0]), "A1");
    scene_close(scene);
}

/* A band that begins and ends on one day is one day. */
static void a_band_of_one_day_is_said_once(void **state)
{
    (void)state;
    Scene *scene = service_scene(24, 80, ALPHABET_ASCII);
    for (int i = 0; i < scene->app->board.stage_count; i++) {
        BoardStage *stage = &scene->app->board.stages[i];
        stage->due_early = moment_of_local_day(moment_local_day(scene->now) + 5);
        stage->due_late = (Moment){stage->due_early.ms + MS_PER_DAY - 1};
    }
    assert_true(scene_shows(scene, "its life ends ~ 29 Nov, 8 times in 10"));
    for (int i = 0; i < scene->app->board.stage_count; i++)
        scene->app->board.stages[i].due_late.ms++;
    assert_true(scene_shows(scene, "its life ends ~ 29 Nov - 30 Nov, 8 times in 10"));
    scene_close(scene);
}

static void without_stages_it_says_how_to_begin(void **state)
{
    (void)state;
    Scene *scene = scene_open(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "4jkGg\n");
    assert_true(scene_shows(scene, "No stage is named yet"));
    scene_keys(scene, "w");
    assert_non_null(app_form(scene->app));
    scene_close(scene);
}

static void the_help_tells_every_key(void **state)
{
    (void)state;
    Scene *scene = scene_season(50, 100, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "4?");
    for (int i = 0; i < SCREEN_SERVICE.action_count; i++)
        assert_true(scene_shows(scene, SCREEN_SERVICE.actions[i].help));
    scene_close(scene);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(service_looks_as_drawn_before),
        cmocka_unit_test(one_stage_closely_looks_as_drawn_before),
        cmocka_unit_test(a_stage_without_a_life_is_not_said_to_be_in_it),
        cmocka_unit_test(it_opens_on_what_is_due_first_and_says_why),
        cmocka_unit_test(no_spare_is_said_louder),
        cmocka_unit_test(w_swaps_the_chosen_stage_and_counts_the_spare_down),
        cmocka_unit_test(w_enter_swaps_what_is_most_due),
        cmocka_unit_test(the_flow_stands_against_that_after_the_last_swap),
        cmocka_unit_test(after_a_swap_the_old_flow_is_not_compared_with),
        cmocka_unit_test(what_is_past_its_life_is_due_now),
        cmocka_unit_test(a_lamp_is_unplugged_first),
        cmocka_unit_test(vessels_due_for_sanitising_are_listed_and_logged),
        cmocka_unit_test(a_band_of_one_day_is_said_once),
        cmocka_unit_test(without_stages_it_says_how_to_begin),
        cmocka_unit_test(the_help_tells_every_key),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
