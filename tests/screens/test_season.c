/* The season on the board: what the command says, a chart, and spans. */
#include "support/scene.h"

static void the_season_says_what_the_command_says(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(50, 132, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "9");
    assert_true(scene_shows(scene, "Season from Wed 4 Nov to Tue 24 Nov"));
    assert_true(scene_shows(scene, "kg carried; the longest stretch without one"));
    assert_true(scene_shows(scene, "Holm tap: "));
    assert_true(scene_shows(scene, "a person a day, by week"));
    assert_true(scene_shows(scene, "7 d ahead"));
    scene_close(scene);
}

static void all_of_it_can_be_reached_at_the_least_size(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(12, 40, SCHEME_DEFAULT, ALPHABET_ASCII);
    scene_keys(scene, "9");
    assert_true(scene_shows(scene, "Taken on"));
    assert_false(scene_shows(scene, "no wash vessel, no leak"));
    scene_keys(scene, "G");
    assert_true(scene_shows(scene, "leak."));
    scene_close(scene);
}

static void a_span_can_be_chosen(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_entry(scene, "2025-03-01 09:00", KIND_NOTE, "note", "the year before", NULL);
    scene_tell(scene);
    scene_keys(scene, "9");
    assert_true(scene_shows(scene, "Season from Sat 1 Mar 2025"));
    scene_keys(scene, "<");
    assert_true(scene_shows(scene, "Season from Wed 28 Oct to")); /* 28 days */
    scene_keys(scene, ">");
    assert_true(scene_shows(scene, "Season from Sat 1 Mar 2025"));
    scene_keys(scene, ">");
    assert_true(scene_shows(scene, "365 days"));
    scene_close(scene);
}

static void it_is_as_drawn_before(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "9");
    scene_golden_sheet(scene, "season");
    scene_close(scene);
}

static void an_empty_log_has_no_season(void **unused)
{
    (void)unused;
    Scene *scene = scene_open(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "9");
    assert_true(scene_shows(scene, "nothing was logged"));
    scene_close(scene);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_season_says_what_the_command_says),
        cmocka_unit_test(all_of_it_can_be_reached_at_the_least_size),
        cmocka_unit_test(a_span_can_be_chosen),
        cmocka_unit_test(it_is_as_drawn_before),
        cmocka_unit_test(an_empty_log_has_no_season),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
