/* Stories: keys in, entries and screen out. */
#include "support/scene.h"

static Scene *scene;

static int season(void **unused)
{
    (void)unused;
    scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    return 0;
}

static int leave(void **unused)
{
    (void)unused;
    scene_close(scene);
    return 0;
}

static const Event *last(void)
{
    return &scene->log[scene->count - 1];
}

static void a_refill_takes_two_keys_when_the_proposals_are_right(void **unused)
{
    int before = scene->count;
    (void)unused;
    assert_int_equal(scene_keys(scene, "f\n"), 2);
    assert_int_equal(scene->count, before + 1);
    assert_int_equal(last()->kind, KIND_FILL);
    assert_string_equal(last()->u.fill.vessel.s, "A1");
    assert_string_equal(last()->u.fill.source.s, "Holm tap");
    assert_int_equal(last()->u.fill.level, 12000);
    assert_true(scene_shows(scene, "Written: fill A1"));
    assert_true(scene_shows(scene, "z takes it back"));
    assert_int_equal(scene->app->state.vessels[0].volume, 12000);
}

static void a_refill_of_another_vessel_from_another_source_takes_six_keys_at_most(void **unused)
{
    (void)unused;
    assert_in_range(scene_keys(scene, "fA2\ta\n"), 1, 6);
    assert_int_equal(last()->kind, KIND_FILL);
    assert_string_equal(last()->u.fill.vessel.s, "A2");
    assert_string_equal(last()->u.fill.source.s, "Alder spring");
    assert_int_equal(last()->u.fill.level, 12000);
}

static void the_class_downstream_is_told_before_enter(void **unused)
{
    (void)unused;
    scene_keys(scene, "fA2\ta");
    assert_true(scene_shows(scene, "A2 potable -> questionable"));
    assert_true(scene_shows(scene, "galley"));
}

static void a_draw_is_a_number_and_enter(void **unused)
{
    (void)unused;
    scene_keys(scene, "d2.5\n");
    assert_int_equal(last()->kind, KIND_DRAW);
    assert_string_equal(last()->u.draw.line.s, "galley");
    assert_int_equal(last()->u.draw.litres, 2500);
}

static void a_sounding_of_the_lead_is_a_number_and_enter(void **unused)
{
    (void)unused;
    scene_keys(scene, "s\t40%\n");
    assert_int_equal(last()->kind, KIND_SOUND);
    assert_string_equal(last()->u.sound.vessel.s, "A2");
    assert_int_equal(last()->u.sound.level, 4800);
}

static void a_swap_of_the_most_due_stage_takes_two_keys_and_counts_the_spare(void **unused)
{
    (void)unused;
    scene_entry(scene, "18:35", KIND_SPARES, "stage", "carbon", "count", "1", NULL);
    scene_tell(scene);
    assert_int_equal(scene_keys(scene, "w\n"), 2);
    assert_int_equal(last()->kind, KIND_SWAP);
    assert_string_equal(last()->u.name.name.s, "carbon");
    assert_int_equal(scene->app->state.stages[1].spares, 0);
}

static void z_takes_back_one_entry_after_the_other_and_says_which(void **unused)
{
    (void)unused;
    scene_keys(scene, "f\nd2\n");
    int before = scene->count;
    scene_keys(scene, "z");
    assert_true(scene_shows(scene, "Taken back: draw galley 2 L"));
    scene_keys(scene, "z");
    assert_true(scene_shows(scene, "Taken back: fill A1"));
    assert_int_equal(scene->count, before + 2);
    assert_int_equal(scene->app->state.vessels[0].volume, 200);
    scene_keys(scene, "z");
    assert_true(scene_shows(scene, "Taken back: stop Holm tap"));
}

static void with_nothing_left_z_says_so(void **unused)
{
    (void)unused;
    Scene *empty = scene_open(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(empty, "z");
    assert_true(scene_shows(empty, "no entry"));
    scene_close(empty);
}

static void an_entry_the_log_refuses_leaves_the_form_as_it_was(void **unused)
{
    Fault fault = {0};
    int before = scene->count;
    (void)unused;
    scene_keys(scene, "d4");
    fault_set(&fault, FAULT_LOG, "The disk is full.");
    app_refused(scene->app, &fault);
    assert_int_equal(scene->count, before);
    assert_true(scene_shows(scene, "The disk is full."));
    assert_string_equal(app_form(scene->app)->rows.fields[0].typed.text, "4");
}

static void esc_leaves_a_form_and_nothing_is_written(void **unused)
{
    int before = scene->count;
    (void)unused;
    scene_keys(scene, "fA2\x1b");
    assert_ptr_equal(app_top(scene->app), &SCREEN_BOARD);
    assert_int_equal(scene->count, before);
    scene_keys(scene, "\x1b");
    assert_false(scene->quit);
}

static void q_closes_a_screen_and_then_the_program(void **unused)
{
    (void)unused;
    scene_keys(scene, "?");
    assert_ptr_equal(app_top(scene->app), &SCREEN_HELP);
    scene_keys(scene, "q");
    assert_ptr_equal(app_top(scene->app), &SCREEN_BOARD);
    assert_false(scene->quit);
    scene_keys(scene, "q");
    assert_true(scene->quit);
}

static void letters_are_text_in_a_form(void **unused)
{
    (void)unused;
    scene_keys(scene, "f\tqz?T");
    assert_false(scene->quit);
    assert_string_equal(app_form(scene->app)->rows.fields[1].typed.text, "qz?T");
}

static void redraw_and_suspend_work_everywhere(void **unused)
{
    (void)unused;
    scene_press(scene, PRESS_CTRL('L'));
    scene_keys(scene, "f");
    scene_press(scene, PRESS_CTRL('L'));
    scene_press(scene, PRESS_CTRL('Z'));
    assert_int_equal(scene->redrawn, 2);
    assert_int_equal(scene->suspended, 1);
    assert_non_null(app_form(scene->app));
}

static void pasted_text_is_never_taken_for_commands(void **unused)
{
    int before = scene->count;
    Wish wish;
    (void)unused;
    app_paste(scene->app, text_of("fz\nq"), &wish);
    assert_int_equal(wish.kind, WISH_NOTHING);
    assert_ptr_equal(app_top(scene->app), &SCREEN_BOARD);
    scene_keys(scene, "f\t");
    app_paste(scene->app, text_of("Fjord\ttap\n"), &wish);
    assert_int_equal(wish.kind, WISH_NOTHING);
    assert_string_equal(app_form(scene->app)->rows.fields[1].typed.text, "Fjord tap");
    assert_int_equal(scene->count, before);
}

static void an_entry_by_another_hand_is_on_the_board_and_in_the_open_form(void **unused)
{
    (void)unused;
    scene_keys(scene, "f");
    scene_entry(scene, "18:41", KIND_FILL, "vessel", "A1", "litres", "5", NULL);
    scene_tell(scene);
    Form *form = app_form(scene->app);
    assert_non_null(strstr(form->changes.s, "A1 5.2 L -> 12.0 L"));
    scene_keys(scene, "\x1b");
    assert_true(scene_shows(scene, "fill A1 5 L"));
}

static void below_the_smallest_size_nothing_is_entered_blindly(void **unused)
{
    int before = scene->count;
    (void)unused;
    app_resize(scene->app, 5, 20);
    scene_keys(scene, "f\n");
    assert_int_equal(scene->count, before);
    assert_true(scene_shows(scene, "drink"));
    app_resize(scene->app, 24, 80);
    assert_ptr_equal(app_top(scene->app), &SCREEN_BOARD);
}

static void help_tells_every_action_of_the_tables(void **unused)
{
    (void)unused;
    app_resize(scene->app, 90, 100);
    scene_keys(scene, "?");
    for (int i = 0; i < GENERAL_ACTIONS.count; i++)
        assert_true(scene_shows(scene, GENERAL_ACTIONS.actions[i].help));
    for (int i = 0; SCREENS.screens[i]; i++)
        assert_true(scene_shows(scene, SCREENS.screens[i]->gist));
}

static void help_is_never_cut_on_a_narrow_screen(void **unused)
{
    (void)unused;
    static const int cols[] = {24, 30, 40, 60, 80};
    for (size_t c = 0; c < sizeof cols / sizeof *cols; c++) {
        Str text = {0};
        app_resize(scene->app, 300, cols[c]);
        scene_keys(scene, "?");
        assert_null(strstr(scene_draw(scene, &text), glyph(scene->app->alphabet, GLYPH_CUT)));
        for (int i = 0; i < GENERAL_ACTIONS.count; i++) { /* the last word of each is there */
            const char *help = GENERAL_ACTIONS.actions[i].help, *last = strrchr(help, ' ');
            assert_non_null(strstr(text.s, last ? last + 1 : help));
        }
        str_finish(&text);
        scene_keys(scene, "\x1b");
    }
}

static void no_key_is_declared_twice(void **unused)
{
    const Action *actions = GENERAL_ACTIONS.actions;
    const Screen *const *screens = SCREENS.screens;
    (void)unused;
    for (int a = 0; a < GENERAL_ACTIONS.count; a++) {
        for (int b = 0; b < a; b++)
            assert_int_not_equal(actions[a].press, actions[b].press);
        for (int s = 0; screens[s]; s++)
            assert_int_not_equal(actions[a].press, screens[s]->press);
    }
    for (int s = 0; screens[s]; s++)
        for (int t = 0; t < s; t++)
            assert_int_not_equal(screens[s]->press, screens[t]->press);
}

static void a_click_on_a_key_hint_is_that_key(void **unused)
{
    Wish wish;
    (void)unused;
    app_click(scene->app, 23, 2, &wish); /* " f fill" */
    assert_non_null(app_form(scene->app));
    scene_keys(scene, "\x1b");
    app_click(scene->app, 23, 76, &wish); /* "? keys" at the right end */
    assert_ptr_equal(app_top(scene->app), &SCREEN_HELP);
    scene_keys(scene, "q");
    app_click(scene->app, 10, 2, &wish);
    app_click(scene->app, 99, 99, &wish);
    app_click(scene->app, 23, 500, &wish);
    assert_ptr_equal(app_top(scene->app), &SCREEN_BOARD);
}

static void a_throw_away_copy_says_so(void **unused)
{
    (void)unused;
    scene->app->demo = true;
    assert_true(scene_shows(scene, "demo Tue 24 Nov 18:42"));
    app_resize(scene->app, 12, 40);
    assert_true(scene_shows(scene, "demo 18:42"));
}

static void the_theme_key_goes_through_all_themes(void **unused)
{
    (void)unused;
    for (int i = 1; i <= SCHEME_COUNT; i++) {
        scene_keys(scene, "T");
        assert_int_equal(scene->app->scheme, i % SCHEME_COUNT);
    }
}

/* Seeded; with ULLAGE_KEYS=n in the environment as many keys as wanted. */
static void random_keys_and_sizes_never_break_anything(void **unused)
{
    static const Press named[] = {PRESS_ENTER, PRESS_ESC,  PRESS_TAB,       PRESS_BACKTAB,
                                  PRESS_UP,    PRESS_DOWN, PRESS_LEFT,      PRESS_RIGHT,
                                  PRESS_HOME,  PRESS_END,  PRESS_BACKSPACE, PRESS_DELETE};
    static const char letters[] = "fdswaztT?123456789qAaRrWw0.=%/ jkhlg-+e";
    uint64_t seed = 88172645463325252u;
    const char *wanted = getenv("ULLAGE_KEYS");
    int keys = wanted ? atoi(wanted) : 6000;
    (void)unused;
    for (int i = 0; i < keys; i++) {
        seed ^= seed << 13;
        seed ^= seed >> 7;
        seed ^= seed << 17;
        unsigned r = (unsigned)(seed >> 33);
        if (scene->count > 400) {
            scene_close(scene);
            scene = scene_season(24, 80, SCHEME_DEFAULT, (Alphabet)(r & 1u));
        }
        if (r % 61 == 0)
            app_resize(scene->app, (int)(r / 61 % 60), (int)(r / 4000 % 150));
        else if (r % 3 == 0)
            scene_press(scene, named[r / 3 % (sizeof named / sizeof *named)]);
        else
            scene_press(scene, (Press)letters[r / 3 % (sizeof letters - 1)]);
        scene->quit = false;
        if (r % 7 == 0)
            app_draw(scene->app, &scene->sheet);
        for (int v = 0; v < scene->app->state.vessel_count; v++) {
            const Vessel *vessel = &scene->app->state.vessels[v];
            assert_true(vessel->volume >= 0 && vessel->volume <= vessel->capacity);
        }
    }
}

#define APP_TEST(name) cmocka_unit_test_setup_teardown(name, season, leave)

int main(void)
{
    const struct CMUnitTest tests[] = {
        APP_TEST(a_refill_takes_two_keys_when_the_proposals_are_right),
        APP_TEST(a_refill_of_another_vessel_from_another_source_takes_six_keys_at_most),
        APP_TEST(the_class_downstream_is_told_before_enter),
        APP_TEST(a_draw_is_a_number_and_enter),
        APP_TEST(a_sounding_of_the_lead_is_a_number_and_enter),
        APP_TEST(a_swap_of_the_most_due_stage_takes_two_keys_and_counts_the_spare),
        APP_TEST(z_takes_back_one_entry_after_the_other_and_says_which),
        APP_TEST(with_nothing_left_z_says_so),
        APP_TEST(an_entry_the_log_refuses_leaves_the_form_as_it_was),
        APP_TEST(esc_leaves_a_form_and_nothing_is_written),
        APP_TEST(q_closes_a_screen_and_then_the_program),
        APP_TEST(letters_are_text_in_a_form),
        APP_TEST(redraw_and_suspend_work_everywhere),
        APP_TEST(pasted_text_is_never_taken_for_commands),
        APP_TEST(an_entry_by_another_hand_is_on_the_board_and_in_the_open_form),
        APP_TEST(below_the_smallest_size_nothing_is_entered_blindly),
        APP_TEST(help_tells_every_action_of_the_tables),
        APP_TEST(help_is_never_cut_on_a_narrow_screen),
        APP_TEST(no_key_is_declared_twice),
        APP_TEST(a_click_on_a_key_hint_is_that_key),
        APP_TEST(a_throw_away_copy_says_so),
        APP_TEST(the_theme_key_goes_through_all_themes),
        APP_TEST(random_keys_and_sizes_never_break_anything),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
