/* The set-up: its questions in an empty log, and amending later. */
#include "support/scene.h"

static void the_set_up_in_every_size(void **unused)
{
    (void)unused;
    scene_golden_sizes("set-up", "8");
}

static void the_questions_in_every_size(void **unused)
{
    (void)unused;
    for (int i = 0; i < SCENE_GOLDEN_COUNT; i++) {
        Scene *scene = scene_open(24, 80, SCHEME_DEFAULT, SCENE_SIZES[i].alphabet);
        scene_keys(scene, "8\n3\n\n\n\n1x"); /* the sixth question, an answer that is wrong */
        app_resize(scene->app, SCENE_SIZES[i].rows, SCENE_SIZES[i].cols);
        scene_golden_sheet(scene, "set-up-questions");
        scene_close(scene);
    }
}

static void the_questions_in_their_inks(void **unused)
{
    (void)unused;
    Scene *scene = scene_open(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "8\n3\n\n\n\n1x");
    scene_golden_inks(scene, "set-up-questions");
    scene_close(scene);
}

static void the_first_start_offers_the_demo_and_no_later_one_does(void **unused)
{
    (void)unused;
    static const int sizes[][2] = {{24, 80}, {17, 60}, {12, 40}};
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
        Str text = {0};
        Scene *scene = scene_open(sizes[i][0], sizes[i][1], SCHEME_DEFAULT, ALPHABET_UTF8);
        scene_keys(scene, "8");
        assert_true(scene_shows(scene, "Esc, q, then ullage demo"));
        for (int k = 0; k < 12; k++)
            scene_keys(scene, "\n");
        assert_true(scene->count > 0);
        assert_ptr_equal(app_top(scene->app), &SCREEN_SETUP_ASK);
        assert_null(strstr(scene_draw(scene, &text), "ullage demo"));
        scene_keys(scene, "\x1bq");
        scene_keys(scene, "q"); /* and that is how it is left */
        assert_true(scene->quit);
        str_finish(&text);
        scene_close(scene);
    }
}

static void enter_all_the_way_sets_up_and_shows_the_board(void **unused)
{
    (void)unused;
    Scene *scene = scene_open(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "8");
    assert_ptr_equal(app_top(scene->app), &SCREEN_SETUP_ASK);
    int keys = 0;
    while (app_top(scene->app) == &SCREEN_SETUP_ASK && keys < 40) {
        scene_keys(scene, "\n");
        keys++;
    }
    assert_ptr_equal(app_top(scene->app), &SCREEN_BOARD);
    assert_true(keys <= 25); /* two minutes at 5 seconds a key */
    assert_int_equal(scene->count, 11);
    assert_int_equal(scene->app->board.vessel_count, 6);
    assert_int_equal(scene->app->board.lines[0].count, 4);
    assert_int_equal(scene->app->board.stage_count, 3);
    assert_int_equal(scene->app->board.crew, 2);
    assert_int_equal(scene->app->board.supply.by_class[CLASS_POTABLE], 0);
    /* the usual refill follows with its two keys */
    scene_keys(scene, "f\n");
    assert_int_equal(scene->count, 12);
    scene_close(scene);
}

/* Four vessels in line, a reserve, one for washing, three stages, the crew, two sources, a stop. */
static void a_newcomer_needs_thirty_keys(void **unused)
{
    (void)unused;
    Scene *scene = scene_open(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    int keys = scene_keys(scene, "8");
    for (int i = 0; i < 3; i++, keys++) /* vessels, treatment, crew: as they stand */
        scene_press(scene, PRESS_PAGE_DOWN);
    keys += scene_keys(scene, "Holm,Alder\nm,sp\n");
    scene_press(scene, PRESS_PAGE_DOWN);
    keys += 2 + scene_keys(scene, "Holm\n+2d");
    scene_press(scene, PRESS_PAGE_DOWN);
    assert_ptr_equal(app_top(scene->app), &SCREEN_BOARD);
    assert_in_range(keys, 1, 30);
    assert_int_equal(scene->count, 14);
    assert_int_equal(scene->app->board.vessel_count, 6);
    assert_int_equal(scene->app->state.source_count, 2);
    assert_int_equal(scene->app->board.stop_count, 1);
    scene_close(scene);
}

static void it_can_be_left_and_taken_up_again(void **unused)
{
    (void)unused;
    Scene *scene = scene_open(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "8\n\n\n\n\x1b"); /* in the middle of a step: nothing of it is written */
    assert_int_equal(scene->count, 0);
    assert_ptr_equal(app_top(scene->app), &SCREEN_SETUP);
    assert_true(scene_shows(scene, "Vessels are not named yet"));
    scene_keys(scene, "\n\n\n\n\n\n\n\n\n\n\n\n\n"); /* opened again, twelve answers */
    assert_int_equal(scene->count, 7);
    assert_true(scene_shows(scene, "set-up: treatment"));
    scene_keys(scene, "\x1b");
    assert_true(scene_shows(scene, "A1 → A2 → A3 → A4"));
    assert_true(scene_shows(scene, "Stages are not named yet"));
    scene_keys(scene, "\x1b\x1b");
    assert_ptr_equal(app_top(scene->app), &SCREEN_BOARD);
    /* from the board: not the questions at once, but what is there and what is open */
    scene_keys(scene, "8");
    assert_ptr_equal(app_top(scene->app), &SCREEN_SETUP);
    scene_keys(scene, "e");
    assert_true(scene_shows(scene, "▸ stages"));
    scene_keys(scene, "none");
    assert_true(scene_shows(scene, "This would write nothing"));
    scene_press(scene, PRESS_PAGE_DOWN); /* nothing to write: on to the crew */
    assert_int_equal(scene->count, 7);
    scene_keys(scene, "3\n");
    assert_int_equal(scene->app->board.crew, 3);
    scene_keys(scene, "Holm tap\nmai\npot\n");
    scene_keys(scene, "\n"); /* no stop: nothing more is asked about one */
    assert_int_equal(scene->app->state.sources[0].quality, CLASS_POTABLE);
    assert_int_equal(scene->app->state.sources[0].type, SOURCE_MAINS);
    assert_ptr_equal(app_top(scene->app), &SCREEN_BOARD);
    scene_close(scene);
}

static void a_wrong_answer_is_not_passed_and_can_be_put_right(void **unused)
{
    (void)unused;
    Scene *scene = scene_open(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "8\n99\n");
    assert_true(scene_shows(scene, "on the line: Up to 16 vessels"));
    scene_press(scene, PRESS_PAGE_DOWN);
    assert_int_equal(scene->count, 0);
    scene_keys(scene, "\b\b2\n");
    assert_true(scene_shows(scene, "and 1 more") || scene_shows(scene, "couple galley A1 A2"));
    scene_press(scene, PRESS_UP);
    scene_press(scene, PRESS_CTRL('U')); /* back to the proposal */
    assert_true(scene_shows(scene, "▸ on the line  4"));
    assert_int_equal(scene->count, 0);
    scene_close(scene);
}

static void words_are_chosen_with_the_arrows_and_units_are_kept(void **unused)
{
    (void)unused;
    Scene *scene = scene_open(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "8");
    scene_press(scene, PRESS_RIGHT);
    assert_true(scene_shows(scene, "gal"));
    scene_keys(scene, "\n");
    assert_int_equal(scene->app->units, UNITS_US);
    scene_close(scene);
}

static void things_are_amended_by_their_forms(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "8\n");
    assert_ptr_equal(app_top(scene->app), &SCREEN_FORM);
    assert_string_equal(
        field_value(&app_form(scene->app)->rows.fields[form_index(app_form(scene->app), "vessel")]),
        "A1");
    scene_keys(scene, "\x1bxx"); /* take out: a form to retire it, which types the second x */
    assert_ptr_equal(app_top(scene->app), &SCREEN_FORM);
    assert_string_equal(app_form(scene->app)->kind->name, "retire");
    scene_keys(scene, "\x1b");
    /* the order: the form begins with the one that is there */
    for (int i = 0; i < 7; i++)
        scene_keys(scene, "j");
    scene_keys(scene, "\n");
    const Form *form = app_form(scene->app);
    assert_non_null(form);
    assert_string_equal(form->kind->name, "couple");
    assert_string_equal(field_value(&form->rows.fields[form_index(form, "order")]),
                        "A1, A2, A3, A4");
    int before = scene->count;
    scene_keys(scene, "\n");
    assert_int_equal(scene->count, before + 1);
    assert_int_equal(scene->app->board.lines[0].count, 4);
    assert_ptr_equal(app_top(scene->app), &SCREEN_SETUP);
    scene_close(scene);
}

static void the_cursor_walks_over_headings(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "8G");
    assert_true(scene_shows(scene, "▸ units"));
    scene_keys(scene, "\n");
    assert_int_equal(scene->app->units, UNITS_US);
    scene_keys(scene, "g");
    assert_true(scene_shows(scene, "▸ A1"));
    for (int i = 0; i < 60; i++) {
        scene_keys(scene, i < 30 ? "j" : "k");
        assert_true(scene_shows(scene, "▸ "));
        assert_false(strstr(scene->app->message, "Only"));
    }
    scene_close(scene);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_set_up_in_every_size),
        cmocka_unit_test(the_questions_in_every_size),
        cmocka_unit_test(the_questions_in_their_inks),
        cmocka_unit_test(the_first_start_offers_the_demo_and_no_later_one_does),
        cmocka_unit_test(enter_all_the_way_sets_up_and_shows_the_board),
        cmocka_unit_test(a_newcomer_needs_thirty_keys),
        cmocka_unit_test(it_can_be_left_and_taken_up_again),
        cmocka_unit_test(a_wrong_answer_is_not_passed_and_can_be_put_right),
        cmocka_unit_test(words_are_chosen_with_the_arrows_and_units_are_kept),
        cmocka_unit_test(things_are_amended_by_their_forms),
        cmocka_unit_test(the_cursor_walks_over_headings),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
