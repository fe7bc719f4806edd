/* The reckoners: the list, a topic as a form, and what its keys do. */
#include "support/scene.h"

#include "screens/sum.h"

static int topic_field(const Topic *topic, const char *option)
{
    for (int i = 0; i < topic->field_count; i++)
        if (strcmp(option, topic->fields[i].option) == 0)
            return i;
    return -1;
}

static Sum *sum_of(const Scene *scene)
{
    assert_ptr_equal(app_top(scene->app), &SCREEN_SUM);
    return app_own(scene->app, &SCREEN_SUM);
}

static double input(const Scene *scene, const char *option)
{
    const Sum *sum = sum_of(scene);
    const int field = topic_field(sum->topic, option);
    assert_true(field >= 0);
    return sum->inputs[field].value;
}

static void presses(Scene *scene, Press press, int times)
{
    for (int i = 0; i < times; i++)
        scene_press(scene, press);
}

static void the_list_in_every_size(void **unused)
{
    (void)unused;
    scene_golden_sizes("reckoners", "6");
}

static void a_topic_in_every_size(void **unused)
{
    (void)unused;
    scene_golden_sizes("reckoner-chlorine", "6\n");
    scene_golden_sizes("reckoner-flow", "6jjjjjjjjjj\n");
}

static void a_refusal_in_every_size(void **unused)
{
    (void)unused;
    scene_golden_sizes("reckoner-refused", "6jjjjjjjjj\n\t\t\t500\t");
}

static void six_opens_the_list_and_enter_the_topic(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    assert_int_equal(scene_keys(scene, "6\n"), 2);
    assert_true(scene_shows(scene, "how much bleach makes water fit to drink"));
    assert_true(scene_shows(scene, "use: "));
    scene_keys(scene, "\x1b");
    assert_ptr_equal(app_top(scene->app), &SCREEN_RECKON);
    scene_keys(scene, "j\n");
    assert_string_equal(sum_of(scene)->topic->name, "boil");
    scene_close(scene);
}

static void the_result_follows_every_key(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(50, 132, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "6j\n");                              /* boil: altitude, minutes */
    assert_true(scene_shows(scene, "rolling boil: 3 min")); /* not known how high */
    scene_keys(scene, "500");
    assert_true(scene_shows(scene, "rolling boil: 1 min"));
    scene_keys(scene, "\b\b\b1600"); /* US EPA 816-F-15-003: 3 minutes above 5,000 ft, 1,524 m */
    assert_true(scene_shows(scene, "rolling boil: 3 min"));
    scene_keys(scene, "\b\b\b\b5000ft");
    assert_true(scene_shows(scene, "rolling boil: 3 min"));
    assert_true(scene_shows(scene, "= 1524 m"));
    scene_keys(scene, "\t2\t");
    assert_true(scene_shows(scene, "as it was boiled: REFUSED: it boiled too short"));
    scene_press(scene, PRESS_CTRL('U')); /* back at the altitude: its proposal counts again */
    assert_true(scene_shows(scene, "rolling boil: 3 min"));
    assert_true(scene_shows(scene, "it boiled too short"));
    scene_keys(scene, "500");
    assert_true(scene_shows(scene, "long enough"));
    scene_close(scene);
}

static void nothing_of_it_is_written(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    const int before = scene->count;
    scene_keys(scene, "6\n12\t3\nqfdz\n\n\x1b\x1b");
    assert_int_equal(scene->count, before);
    assert_false(scene->quit);
    scene_close(scene);
}

static void proposals_follow_the_vessel(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(50, 132, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "6jjjjj\n"); /* heat: of the wash vessel */
    assert_true(input(scene, "volume") == 2.1);
    assert_true(scene_shows(scene, "W1 holds"));
    presses(scene, PRESS_UP, 1);
    scene_keys(scene, "r1");
    assert_true(input(scene, "volume") == 12);
    scene_press(scene, PRESS_CTRL('U'));
    scene_press(scene, PRESS_RIGHT); /* the next after the one proposed */
    assert_true(input(scene, "volume") != 2.1);
    scene_press(scene, PRESS_CTRL('U'));
    scene_keys(scene, "Z9");
    assert_true(scene_shows(scene, "There is no such vessel."));
    scene_close(scene);
}

static void words_are_chosen_with_the_arrows(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "6jjjjjjjjjjjjj\n"); /* need: level */
    assert_true(input(scene, "level") == 2);
    scene_press(scene, PRESS_RIGHT);
    assert_true(input(scene, "level") == 3);
    scene_press(scene, PRESS_LEFT);
    scene_press(scene, PRESS_LEFT);
    assert_true(input(scene, "level") == 1);
    scene_close(scene);
}

static void a_wrong_text_is_said_beside_its_field_and_the_proposal_counts(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(50, 132, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "6j\nhigh");
    assert_true(scene_shows(scene, "\"high\" is not a"));
    assert_true(scene_shows(scene, "rolling boil: 3 min"));
    scene_keys(scene, "\b\b\b\b20km");
    assert_true(scene_shows(scene, "altitude is 20000 m, above 9000 m"));
    scene_close(scene);
}

static void a_bare_number_shows_the_unit_that_it_is_taken_in(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene->app->units = UNITS_US;
    scene_keys(scene, "6jjjjjjjj\n\t40"); /* air: pressure */
    assert_true(scene_shows(scene, "40 psi"));
    assert_true(input(scene, "pressure") > 275.7 && input(scene, "pressure") < 275.9);
    scene_close(scene);
}

static void the_result_scrolls_to_its_end_and_back(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "6\n");
    presses(scene, PRESS_PAGE_DOWN, 40);
    assert_true(scene_shows(scene, "licensed"));
    assert_false(scene_shows(scene, "use: 2"));
    presses(scene, PRESS_PAGE_UP, 1); /* no dead keys on the way back */
    assert_false(scene_shows(scene, "licensed"));
    presses(scene, PRESS_PAGE_UP, 40);
    assert_true(scene_shows(scene, "use: "));
    scene_close(scene);
}

static void every_topic_opens_with_an_empty_log(void **unused)
{
    (void)unused;
    Scene *scene = scene_open(24, 80, SCHEME_DEFAULT, ALPHABET_ASCII);
    int count = 0;
    (void)topics_all(&count);
    for (int i = 0; i < count; i++) {
        Wish wish = {0};
        app_open(scene->app, &SCREEN_RECKON, &wish);
        presses(scene, PRESS_HOME, 1);
        presses(scene, PRESS_DOWN, i);
        scene_press(scene, PRESS_ENTER);
        assert_false(sum_of(scene)->result.refused);
        for (int field = 0; field < sum_of(scene)->rows.count; field++) {
            scene_keys(scene, "9999999");
            scene_press(scene, PRESS_TAB);
        }
        Str text = {0};
        scene_draw(scene, &text);
        if (strstr(text.s, "nan ") != NULL)
            fail_msg("%s", text.s);
        str_finish(&text);
        scene_press(scene, PRESS_ESC);
    }
    scene_close(scene);
}

/* The form asks model/treatment.h as the command line does. */
static void a_treatment_that_falls_short_is_not_written_by_the_form_unless_asserted(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(50, 132, SCHEME_DEFAULT, ALPHABET_UTF8);
    Wish wish = {0};
    scene_entry(scene, "18:20", KIND_VESSEL, "vessel", "B1", "capacity", "10", "level", "5", NULL);
    scene_tell(scene);
    app_open_form(scene->app, KIND_TREAT, "B1", &wish);
    Form *form = app_form(scene->app);
    assert_non_null(form);
    const int method = form_index(form, "method"), minutes = form_index(form, "minutes"),
              asserted = form_index(form, "asserted"), before = scene->count;
    assert_true(method >= 0 && minutes > method && asserted > minutes);
    presses(scene, PRESS_TAB, method - form->rows.active);
    scene_keys(scene, "boil");
    presses(scene, PRESS_TAB, minutes - method);
    scene_keys(scene, "0.5\n");
    assert_int_equal(scene->count, before);
    assert_true(scene_shows(scene, "it boiled too short"));
    presses(scene, PRESS_TAB, asserted - minutes);
    scene_keys(scene, "yes\n");
    assert_int_equal(scene->count, before + 1);
    assert_true(scene->log[before].u.treat.asserted == 1);
    /* and every screen that shows the vessel says so */
    assert_true(scene_shows(scene, "Raw water in B1"));
    scene_keys(scene, "t");
    assert_true(scene_shows(scene, "potable, on your word, raw"));
    scene_keys(scene, "\x1b"
                      "3");
    assert_true(scene_shows(scene, "pot., raw"));
    scene_close(scene);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_list_in_every_size),
        cmocka_unit_test(a_topic_in_every_size),
        cmocka_unit_test(a_refusal_in_every_size),
        cmocka_unit_test(six_opens_the_list_and_enter_the_topic),
        cmocka_unit_test(the_result_follows_every_key),
        cmocka_unit_test(nothing_of_it_is_written),
        cmocka_unit_test(proposals_follow_the_vessel),
        cmocka_unit_test(words_are_chosen_with_the_arrows),
        cmocka_unit_test(a_wrong_text_is_said_beside_its_field_and_the_proposal_counts),
        cmocka_unit_test(a_bare_number_shows_the_unit_that_it_is_taken_in),
        cmocka_unit_test(the_result_scrolls_to_its_end_and_back),
        cmocka_unit_test(every_topic_opens_with_an_empty_log),
        cmocka_unit_test(a_treatment_that_falls_short_is_not_written_by_the_form_unless_asserted),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
