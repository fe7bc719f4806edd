/* The outlook screen: the chart and its words, and what-if keys that write nothing. */
#include "support/logbook.h"
#include "support/scene.h"

static void the_outlook_in_every_size_and_both_alphabets(void **unused)
{
    (void)unused;
    scene_golden_sizes("outlook", "5");
    scene_golden_ascii("outlook", "5");
}

static void the_what_if_in_every_size(void **unused)
{
    (void)unused;
    scene_golden_sizes("outlook-what-if", "5+x");
}

static void the_outlook_in_words(void **unused)
{
    (void)unused;
    scene_golden_sizes("outlook-words", "5v");
}

static void the_outlook_in_its_inks(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "5+");
    scene_golden_inks(scene, "outlook-what-if");
    scene_close(scene);
}

static void no_what_if_key_writes_anything(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    const int before = scene->count;
    State *state = memory_get(sizeof *state);
    *state = scene->app->state;
    scene_keys(scene, "5++-cCx>><lhvjkvxr+x");
    assert_int_equal(scene->count, before);
    assert_true(state_equal(state, &scene->app->state));
    assert_int_equal(scene->app->board.crew, 2);
    free(state);
    scene_close(scene);
}

static void the_unchanged_answer_stands_beside_what_is_tried(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "5");
    assert_true(scene_shows(scene, "outlook  as logged"));
    assert_true(scene_shows(scene, "to Sun 29 Nov"));
    scene_keys(scene, "+");
    assert_true(scene_shows(scene, "if 3 aboard"));
    assert_true(scene_shows(scene, "As logged  on the line to Sun 29 Nov"));
    assert_true(scene_shows(scene, "○ as logged"));
    scene_keys(scene, "x");
    assert_true(scene_shows(scene, "Holm tap dry"));
    scene_keys(scene, "-x"); /* each key puts back what the other did */
    assert_true(scene_shows(scene, "outlook  as logged"));
    scene_keys(scene, ">");
    assert_true(scene_shows(scene, "if 7.0 L a day")); /* from 6.8 to the next half litre */
    scene_keys(scene, ">");
    assert_true(scene_shows(scene, "if 7.5 L a day"));
    scene_keys(scene, "r");
    assert_true(scene_shows(scene, "outlook  as logged"));
    scene_close(scene);
}

static void nobody_aboard_or_no_use_gives_no_date(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "5--");
    assert_true(scene_shows(scene, "on the line no end in sight at this rate"));
    scene_keys(scene, "-"); /* fewer than nobody is nobody */
    assert_true(scene_shows(scene, "if 0 aboard"));
    scene_keys(scene, "r<<<<<<<<<<<<<<<<");
    assert_true(scene_shows(scene, "if 0.00 L a day"));
    assert_true(scene_shows(scene, "no end in sight at this rate"));
    scene_close(scene);
}

static void an_empty_log_and_one_without_use_say_what_is_missing(void **unused)
{
    (void)unused;
    Scene *scene = scene_open(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "5");
    assert_true(scene_shows(scene, "No vessel is named yet."));
    scene_keys(scene, "+<>xvr"); /* and no key does harm */
    scene_entry(scene, "-2h", KIND_VESSEL, "vessel", "A1", "capacity", "12", "level", "full", NULL);
    scene_entry(scene, "-2h", KIND_COUPLE, "line", "galley", "order", "A1", NULL);
    scene_tell(scene);
    scene_keys(scene, "v");
    assert_true(scene_shows(scene, "not known yet"));
    assert_true(scene_shows(scene, "none is planned"));
    scene_keys(scene, "x");
    assert_true(scene_shows(scene, "No stop is planned."));
    scene_keys(scene, "++"); /* a crew can be tried before one is logged */
    assert_true(scene_shows(scene, "if 3 aboard"));
    assert_true(scene_shows(scene, "mostly assumed"));
    scene_close(scene);
}

static void the_past_is_asked_for_and_asked_again_after_an_entry(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "5");
    const History *h = &scene->app->history;
    assert_true(label_empty(&h->query.vessel));
    assert_int_equal(h->query.until.ms, scene->now.ms);
    Quality quality;
    assert_int_equal(h->volume[h->query.count - 1], view_water(&scene->app->state, &quality));
    const int64_t before = h->volume[h->query.count - 1];
    scene->now.ms += MS_PER_HOUR;
    scene_entry(scene, "now", KIND_DRAW, "line", "galley", "litres", "5", NULL);
    scene_tell(scene);
    assert_int_equal(h->query.until.ms, scene->now.ms);
    assert_int_equal(h->volume[h->query.count - 1], before - 5000);
    scene_close(scene);
}

static void a_stop_that_leaves_the_plan_is_no_longer_dry(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "5x");
    assert_true(scene_shows(scene, "Holm tap dry"));
    scene_entry(scene, "now", KIND_UNSTOP, "stop", "Holm tap", NULL);
    scene_tell(scene);
    assert_true(scene_shows(scene, "outlook  as logged"));
    scene_close(scene);
}

static void thirty_stops_and_a_small_window_never_hide_one_silently(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(17, 60, SCHEME_DEFAULT, ALPHABET_UTF8);
    for (int i = 0; i < 20; i++) {
        char name[16], eta[16];
        snprintf(name, sizeof name, "stop %d", i);
        snprintf(eta, sizeof eta, "+%dd", i + 4);
        scene_entry(scene, "18:40", KIND_STOP, "stop", name, "eta", eta, NULL);
    }
    scene_tell(scene);
    scene_keys(scene, "5");
    assert_true(scene_shows(scene, "↓")); /* more below */
    for (int i = 0; i < 20; i++)
        scene_keys(scene, "j");
    assert_true(scene_shows(scene, "▸ stop 19"));
    scene_keys(scene, "v");
    assert_true(scene_shows(scene, "↓"));
    scene_keys(scene, "G");
    assert_true(scene_shows(scene, "Limits"));
    scene_close(scene);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_outlook_in_every_size_and_both_alphabets),
        cmocka_unit_test(the_what_if_in_every_size),
        cmocka_unit_test(the_outlook_in_words),
        cmocka_unit_test(the_outlook_in_its_inks),
        cmocka_unit_test(no_what_if_key_writes_anything),
        cmocka_unit_test(the_unchanged_answer_stands_beside_what_is_tried),
        cmocka_unit_test(nobody_aboard_or_no_use_gives_no_date),
        cmocka_unit_test(an_empty_log_and_one_without_use_say_what_is_missing),
        cmocka_unit_test(the_past_is_asked_for_and_asked_again_after_an_entry),
        cmocka_unit_test(a_stop_that_leaves_the_plan_is_no_longer_dry),
        cmocka_unit_test(thirty_stops_and_a_small_window_never_hide_one_silently),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
