#include "support/scene.h"

/* The season, and three fills by litres from a source that is not known to be fit to drink. */
static Scene *sources_scene(int rows, int cols, Alphabet alphabet)
{
    Scene *scene = scene_season(rows, cols, SCHEME_DEFAULT, alphabet);
    scene_entry(scene, "-4d", KIND_FILL, "vessel", "W1", "litres", "2.5", "source", "Alder spring",
                NULL);
    scene_entry(scene, "-3d", KIND_FILL, "vessel", "W1", "litres", "1.5", "source", "Alder spring",
                NULL);
    scene_entry(scene, "-3d", KIND_FILL, "vessel", "W1", "litres", "full", "source", "Alder spring",
                NULL);
    scene_entry(scene, "-6d", KIND_SOURCE, "source", "Orvella stall", "type", "vendor", "class",
                "potable", NULL);
    scene_tell(scene);
    scene_keys(scene, "7");
    return scene;
}

static void the_sources_look_as_drawn_before(void **state)
{
    (void)state;
    for (int i = 0; i < SCENE_GOLDEN_COUNT; i++) {
        const SceneSize *size = &SCENE_SIZES[i];
        Scene *scene = sources_scene(size->rows, size->cols, size->alphabet);
        scene_keys(scene, "j");
        scene_golden_sheet(scene, "sources");
        scene_close(scene);
    }
}

static void the_one_used_last_stands_first(void **state)
{
    (void)state;
    Scene *scene = sources_scene(24, 80, ALPHABET_UTF8);
    Str text = {0};
    scene_draw(scene, &text);
    const char *first = strstr(text.s, "Holm tap"), *second = strstr(text.s, "Alder spring");
    assert_true(first && second && first < second);
    assert_true(second < strstr(text.s, "Orvella stall"));
    str_finish(&text);
    scene_close(scene);
}

static void an_unknown_class_counts_as_questionable(void **state)
{
    (void)state;
    Scene *scene = sources_scene(24, 80, ALPHABET_UTF8);
    scene_keys(scene, "j");
    assert_true(scene_shows(scene, "? not known: its water counts as questionable"));
    assert_true(scene_shows(scene, "declared fit to"));
    scene_close(scene);
}

static void fills_and_their_litres_are_summed_also_those_by_level(void **state)
{
    (void)state;
    Scene *scene = sources_scene(24, 80, ALPHABET_UTF8);
    scene_keys(scene, "j");
    assert_true(scene_shows(scene, "3, 7.9 L taken")); /* 2.5, 1.5, and 3.9 to the brim */
    scene_keys(scene, "j");                            /* never filled from */
    assert_true(scene_shows(scene, "fills      none"));
    scene_close(scene);
}

static void f_fills_from_the_chosen_source(void **state)
{
    (void)state;
    Scene *scene = sources_scene(24, 80, ALPHABET_UTF8);
    scene_keys(scene, "jjf\n");
    const Event *e = &scene->log[scene->count - 1];
    assert_int_equal(e->kind, KIND_FILL);
    assert_string_equal(e->u.fill.source.s, "Orvella stall");
    assert_ptr_equal(app_top(scene->app), &SCREEN_SOURCES);
    assert_true(scene_shows(scene, "▸ Orvella stall")); /* first by now, and still chosen */
    assert_true(scene_shows(scene, "fills      1"));
    scene_close(scene);
}

static void m_amends_the_class_of_the_chosen_source(void **state)
{
    (void)state;
    Scene *scene = sources_scene(24, 80, ALPHABET_UTF8);
    scene_keys(scene, "jm");
    Form *form = app_form(scene->app);
    assert_non_null(form);
    assert_string_equal(field_value(&form->rows.fields[form_index(form, "source")]),
                        "Alder spring");
    while (form->rows.active != form_index(form, "class"))
        scene_keys(scene, "\t");
    scene_keys(scene, "non-potable\n");
    assert_true(scene_shows(scene, "× usually non-potable"));
    assert_int_equal(scene->log[scene->count - 1].kind, KIND_SOURCE);
    scene_close(scene);
}

static void c_puts_fills_right_that_keep_a_class_the_source_had(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "7c");
    assert_true(scene_shows(scene, "No fill stands as another class"));
    scene_keys(scene, "m\tquest\n");
    assert_int_equal(scene->log[scene->count - 1].u.source.quality, CLASS_QUESTIONABLE);
    assert_true(scene_shows(scene, "▲ 22 fills since"));
    assert_true(scene_shows(scene, "(A1, A2, A3, A4, R1) keep"));
    assert_int_equal(scene->app->state.vessels[3].quality, CLASS_POTABLE);
    scene_keys(scene, "c");
    assert_true(scene_shows(scene, "A4 potable -> questionable"));
    scene_keys(scene, "\n");
    assert_int_equal(scene->app->state.vessels[3].quality, CLASS_QUESTIONABLE);
    Str text = {0};
    assert_null(strstr(scene_draw(scene, &text), "(A1, A2, A3, A4, R1) keep"));
    str_finish(&text);
    scene_keys(scene, "c");
    assert_true(scene_shows(scene, "No fill stands as another class"));
    scene_close(scene);
}

static void many_sources_are_counted_and_reached(void **state)
{
    (void)state;
    Scene *scene = scene_open(12, 40, SCHEME_DEFAULT, ALPHABET_ASCII);
    for (int i = 0; i < 60; i++) {
        char name[24];
        snprintf(name, sizeof name, "Tap %02d", i);
        scene_entry(scene, "-2d", KIND_SOURCE, "source", name, "type", "mains", NULL);
    }
    scene_tell(scene);
    scene_keys(scene, "7");
    assert_true(scene_shows(scene, "1 of 60"));
    scene_keys(scene, "G");
    assert_true(scene_shows(scene, "60 of 60"));
    assert_true(scene_shows(scene, "Tap 59"));
    scene_close(scene);
}

static void without_sources_it_says_how_to_begin(void **state)
{
    (void)state;
    Scene *scene = scene_open(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "7jkGg\n");
    assert_true(scene_shows(scene, "No source is named yet"));
    scene_keys(scene, "n");
    assert_int_equal(app_form(scene->app)->kind->id, KIND_SOURCE);
    scene_close(scene);
}

static void the_help_tells_every_key(void **state)
{
    (void)state;
    Scene *scene = scene_season(50, 100, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "7?");
    for (int i = 0; i < SCREEN_SOURCES.action_count; i++)
        assert_true(scene_shows(scene, SCREEN_SOURCES.actions[i].help));
    scene_close(scene);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_sources_look_as_drawn_before),
        cmocka_unit_test(the_one_used_last_stands_first),
        cmocka_unit_test(an_unknown_class_counts_as_questionable),
        cmocka_unit_test(fills_and_their_litres_are_summed_also_those_by_level),
        cmocka_unit_test(f_fills_from_the_chosen_source),
        cmocka_unit_test(m_amends_the_class_of_the_chosen_source),
        cmocka_unit_test(c_puts_fills_right_that_keep_a_class_the_source_had),
        cmocka_unit_test(many_sources_are_counted_and_reached),
        cmocka_unit_test(without_sources_it_says_how_to_begin),
        cmocka_unit_test(the_help_tells_every_key),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
