#include "support/scene.h"

static void the_vessels_look_as_drawn_before(void **state)
{
    (void)state;
    for (int i = 0; i < SCENE_SIZE_COUNT; i++) {
        const SceneSize *size = &SCENE_SIZES[i];
        Scene *scene = scene_season(size->rows, size->cols, SCHEME_DEFAULT, size->alphabet);
        scene_keys(scene, "3j");
        scene_golden_sheet(scene, "vessels");
        scene_keys(scene, "\n");
        scene_golden_sheet(scene, "vessel");
        scene_close(scene);
    }
}

static void the_list_says_level_class_place_and_age(void **state)
{
    (void)state;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "3");
    assert_true(scene_shows(scene, "A2         7.6 L"));
    assert_true(scene_shows(scene, "galley 2 lead"));
    assert_true(scene_shows(scene, "galley 1 spent"));
    assert_true(scene_shows(scene, "× non-potable  wash"));
    assert_true(scene_shows(scene, "42.8 L potable, 2.1 L non-potable"));
    assert_true(scene_shows(scene, "Vent it before its lid is opened."));
    assert_true(scene_shows(scene, "not a laboratory test"));
    scene_close(scene);
}

/* Two states that differ only in class differ in their text. */
static void a_class_is_told_without_colour(void **state)
{
    (void)state;
    for (int alphabet = 0; alphabet < ALPHABET_COUNT; alphabet++) {
        Str sheets[CLASS_COUNT] = {{0}};
        for (int q = 0; q < CLASS_COUNT; q++) {
            Scene *scene = scene_open(12, 40, SCHEME_MONOCHROME, (Alphabet)alphabet);
            scene_entry(scene, "-2d", KIND_VESSEL, "vessel", "A1", "capacity", "12", "level", "6",
                        "class", quality_name((Quality)q), NULL);
            scene_tell(scene);
            scene_keys(scene, "3");
            scene_draw(scene, &sheets[q]);
            scene_close(scene);
        }
        assert_string_not_equal(sheets[0].s, sheets[1].s);
        assert_string_not_equal(sheets[1].s, sheets[2].s);
        assert_string_not_equal(sheets[0].s, sheets[2].s);
        for (int q = 0; q < CLASS_COUNT; q++)
            str_finish(&sheets[q]);
    }
}

static void keys_of_the_list_log_what_happens_to_the_chosen_vessel(void **state)
{
    (void)state;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "3jf\n"); /* the second one, full, from the usual source */
    const Event *e = &scene->log[scene->count - 1];
    assert_int_equal(e->kind, KIND_FILL);
    assert_string_equal(e->u.fill.vessel.s, "A2");
    assert_ptr_equal(app_top(scene->app), &SCREEN_VESSELS);
    assert_true(scene_shows(scene, "▸ A2        12.0 L"));
    scene_keys(scene, "ks");
    scene_keys(scene, "0.1\n");
    e = &scene->log[scene->count - 1];
    assert_int_equal(e->kind, KIND_SOUND);
    assert_string_equal(e->u.sound.vessel.s, "A1");
    assert_int_equal(e->u.sound.level, 100);
    scene_keys(scene, "c\n");
    e = &scene->log[scene->count - 1];
    assert_int_equal(e->kind, KIND_SANITISE);
    assert_string_equal(e->u.name.name.s, "A1");
    assert_true(scene_shows(scene, "sanitised Tue 24 Nov, today"));
    scene_close(scene);
}

static void a_coupled_vessel_is_drawn_at_its_tap(void **state)
{
    (void)state;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "3jd1\n");
    const Event *e = &scene->log[scene->count - 1];
    assert_int_equal(e->kind, KIND_DRAW);
    assert_string_equal(e->u.draw.line.s, "galley");
    assert_true(label_empty(&e->u.draw.vessel));
    scene_keys(scene, "Gd1\n"); /* the wash vessel stands alone */
    e = &scene->log[scene->count - 1];
    assert_string_equal(e->u.draw.vessel.s, "W1");
    scene_close(scene);
}

static void a_closer_look_shows_history_and_every_entry(void **state)
{
    (void)state;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "3jj\n");
    assert_true(scene_shows(scene, "A3 level over 30 days"));
    assert_true(scene_shows(scene, "vessel     A3"));
    assert_false(strcmp(scene->app->history.query.vessel.s, "A3") != 0);
    scene_keys(scene, "G"); /* the end of the facts: its first entry */
    assert_true(scene_shows(scene, "vessel A3 capacity 12 L"));
    scene_keys(scene, "l"); /* the next one */
    assert_true(scene_shows(scene, "A4 level over 30 days"));
    assert_true(scene_shows(scene, "vessel     A4"));
    scene_keys(scene, "\x1b"); /* back to the list, not to the board */
    assert_ptr_equal(app_top(scene->app), &SCREEN_VESSELS);
    assert_true(scene_shows(scene, "▸ A4"));
    scene_close(scene);
}

static void the_chart_goes_back_as_far_as_is_asked(void **state)
{
    (void)state;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "3\n+");
    assert_true(scene_shows(scene, "level over 90 days"));
    scene_keys(scene, "+++");
    assert_true(scene_shows(scene, "level over 365 days"));
    scene_keys(scene, "------");
    assert_true(scene_shows(scene, "level over 2 days"));
    assert_int_equal(scene->app->history.query.until.ms - scene->app->history.query.since.ms,
                     2 * MS_PER_DAY);
    scene_close(scene);
}

static void the_chart_follows_what_is_written_elsewhere(void **state)
{
    (void)state;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "3\n");
    assert_int_equal(scene->app->history.volume[scene->app->history.query.count - 1], 200);
    scene_entry(scene, "18:40", KIND_FILL, "vessel", "A1", "litres", "full", NULL);
    scene_tell(scene);
    assert_int_equal(scene->app->history.volume[scene->app->history.query.count - 1], 12000);
    assert_true(scene_shows(scene, "12.0 L of 12.0 L"));
    scene_close(scene);
}

static void stale_water_and_a_missing_sanitising_are_said(void **state)
{
    (void)state;
    Scene *scene = scene_open(24, 80, SCHEME_DEFAULT, ALPHABET_ASCII);
    scene_entry(scene, "-300d", KIND_VESSEL, "vessel", "A1", "capacity", "12", "level", "empty",
                "class", "potable", NULL);
    scene_entry(scene, "-299d", KIND_SANITISE, "vessel", "A1", NULL);
    scene_entry(scene, "-299d", KIND_FILL, "vessel", "A1", "litres", "full", NULL);
    scene_entry(scene, "-300d", KIND_VESSEL, "vessel", "A2", "capacity", "12", "level", "empty",
                NULL);
    scene_tell(scene);
    scene_keys(scene, "3");
    assert_true(scene_shows(scene, "!stale"));
    assert_true(scene_shows(scene, "change the water"));
    assert_true(scene_shows(scene, "was due again"));
    scene_keys(scene, "j");
    assert_true(scene_shows(scene, "!not san."));
    assert_true(scene_shows(scene, "no sanitising is logged"));
    scene_close(scene);
}

static void a_long_name_of_a_line_never_hides_the_place_on_it(void **unused)
{
    (void)unused;
    for (int i = 0; i < SCENE_SIZE_COUNT; i++) {
        const SceneSize *size = &SCENE_SIZES[i];
        Scene *scene = scene_open(size->rows, size->cols, SCHEME_DEFAULT, size->alphabet);
        scene_entry(scene, "-3d", KIND_VESSEL, "vessel", "V1", "capacity", "10", "heel", "1",
                    "level", "1", NULL);
        scene_entry(scene, "-3d", KIND_VESSEL, "vessel", "V2", "capacity", "10", "level", "5",
                    NULL);
        scene_entry(scene, "-3d", KIND_COUPLE, "line", "the head and the shower", "order", "V1,V2",
                    NULL);
        scene_entry(scene, "-3d", KIND_COUPLE, "line", "galley", NULL);
        scene_tell(scene);
        scene_keys(scene, "3");
        assert_true(scene_shows(scene, " 1 spent"));
        assert_true(scene_shows(scene, " 2 lead"));
        scene_close(scene);
    }
}

static void sixteen_vessels_fit_or_are_counted(void **state)
{
    (void)state;
    Scene *scene = scene_open(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    for (int i = 1; i <= VESSELS_ABOARD_MAX; i++) {
        char label[16];
        snprintf(label, sizeof label, "V%d", i);
        scene_entry(scene, "-3d", KIND_VESSEL, "vessel", label, "capacity", "10", "level", "5",
                    NULL);
    }
    scene_tell(scene);
    scene_keys(scene, "3");
    assert_true(scene_shows(scene, "1 of 16"));
    scene_keys(scene, "G");
    assert_true(scene_shows(scene, "V16"));
    assert_true(scene_shows(scene, "16 of 16"));
    scene_close(scene);
}

static void without_vessels_it_says_how_to_begin(void **state)
{
    (void)state;
    Scene *scene = scene_open(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "3jkhl+-");
    assert_true(scene_shows(scene, "No vessel is named yet. n names one,"));
    scene_entry(scene, "-2d", KIND_VESSEL, "vessel", "A1", "capacity", "10", NULL);
    scene_entry(scene, "-1d", KIND_RETIRE, "vessel", "A1", NULL);
    scene_tell(scene);
    assert_true(scene_shows(scene, "All vessels are retired. n names one, 8 leads"));
    scene_keys(scene, "1");
    assert_true(scene_shows(scene, "All vessels are retired."));
    scene_keys(scene, "8");
    assert_true(scene_shows(scene, "All vessels are retired"));
    scene_keys(scene, "3n");
    assert_non_null(app_form(scene->app));
    assert_int_equal(app_form(scene->app)->kind->id, KIND_VESSEL);
    scene_close(scene);
}

static int cells_like(Scene *scene, const char *glyph)
{
    Str text = {0};
    int count = 0;
    scene_draw(scene, &text);
    for (const char *at = text.s; (at = strstr(at, glyph)) != NULL; at += strlen(glyph))
        count++;
    str_finish(&text);
    return count;
}

/* Three tests of the same water: a point each, the guideline of the WHO, and the earliest day on
 * which it may be under it; nothing of what was voided, and no day where the kit can't tell. */
static void what_tests_found_is_drawn_over_time(void **state)
{
    (void)state;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_entry(scene, "-4d", KIND_TEST, "vessel", "R1", "chlorine_mg_l", "1.4", "ph", "7.6", NULL);
    scene_tell(scene);
    scene_keys(scene, "3");
    assert_true(scene_shows(scene, "Cl 1.4 4d"));
    scene_keys(scene, "jjjjv");
    assert_true(scene_shows(scene, "R1 chlorine over 30 days"));
    assert_true(scene_shows(scene, "0.2 at least (WHO)"));
    assert_false(scene_shows(scene, "4 at most"));
    assert_false(scene_shows(scene, "at the earliest"));
    assert_false(scene_shows(scene, "can't tell"));
    assert_int_equal(cells_like(scene, "•"), 1);
    scene_entry(scene, "-3d", KIND_TEST, "vessel", "R1", "chlorine_mg_l", "1.3", NULL);
    scene_tell(scene); /* a drop within the step of the kit */
    assert_int_equal(cells_like(scene, "•"), 2);
    assert_true(scene_shows(scene, "its tests can't tell when the chlorine falls under 0.2"));
    scene_entry(scene, "-2d", KIND_TEST, "vessel", "R1", "chlorine_mg_l", "0.9", NULL);
    scene_tell(scene);
    assert_int_equal(cells_like(scene, "•"), 3);
    assert_true(scene_shows(scene, "chlorine under 0.2 mg/L from"));
    assert_true(scene_shows(scene, "under 0.2 at the earliest"));
    scene_keys(scene, "v");
    assert_true(scene_shows(scene, "R1 pH over 30 days"));
    assert_true(scene_shows(scene, "8: above it chlorine works slowly (WHO)"));
    assert_int_equal(cells_like(scene, "•"), 1);
    scene_keys(scene, "v");
    assert_true(scene_shows(scene, "R1 TDS over 30 days"));
    assert_true(scene_shows(scene, "no test of it in this time"));
    scene_keys(scene, "v");
    assert_true(scene_shows(scene, "R1 level over 30 days"));
    scene_keys(scene, "x0.1");
    assert_int_equal(app_form(scene->app)->kind->id, KIND_TEST);
    scene_close(scene);
}

/* The guidelines above come in where a reading is near them; on a large board the residual stands
 * under its vessel. */
static void high_chlorine_is_drawn_under_both_guidelines(void **state)
{
    (void)state;
    Scene *scene = scene_season(50, 132, SCHEME_DEFAULT, ALPHABET_UTF8);
    assert_false(scene_shows(scene, "Cl 2"));
    scene_entry(scene, "-3h", KIND_TEST, "vessel", "R1", "chlorine_mg_l", "2", NULL);
    scene_tell(scene);
    assert_true(scene_shows(scene, "Cl 2 3h"));
    scene_keys(scene, "3jjjjv");
    assert_true(scene_shows(scene, "4 at most (US)"));
    assert_true(scene_shows(scene, "5 at most (WHO)"));
    scene_close(scene);
}

static void the_help_tells_every_key(void **state)
{
    (void)state;
    Scene *scene = scene_season(50, 100, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "3?");
    for (int i = 0; i < SCREEN_VESSELS.action_count; i++)
        assert_true(scene_shows(scene, SCREEN_VESSELS.actions[i].help));
    scene_close(scene);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_vessels_look_as_drawn_before),
        cmocka_unit_test(the_list_says_level_class_place_and_age),
        cmocka_unit_test(a_class_is_told_without_colour),
        cmocka_unit_test(keys_of_the_list_log_what_happens_to_the_chosen_vessel),
        cmocka_unit_test(a_coupled_vessel_is_drawn_at_its_tap),
        cmocka_unit_test(a_closer_look_shows_history_and_every_entry),
        cmocka_unit_test(the_chart_goes_back_as_far_as_is_asked),
        cmocka_unit_test(the_chart_follows_what_is_written_elsewhere),
        cmocka_unit_test(stale_water_and_a_missing_sanitising_are_said),
        cmocka_unit_test(a_long_name_of_a_line_never_hides_the_place_on_it),
        cmocka_unit_test(sixteen_vessels_fit_or_are_counted),
        cmocka_unit_test(without_vessels_it_says_how_to_begin),
        cmocka_unit_test(what_tests_found_is_drawn_over_time),
        cmocka_unit_test(high_chlorine_is_drawn_under_both_guidelines),
        cmocka_unit_test(the_help_tells_every_key),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
