/* The board in sentences. */
#include "outlook/words.h"
#include "support/scene.h"

#include "screens/words.h"

static Words words[APP_WORDS_MAX], none;

static const Words *about(const App *app, WordsAbout what, int nth)
{
    int count = app_words(app, words);
    for (int i = 0; i < count; i++)
        if (words[i].about == what && nth-- == 0)
            return &words[i];
    print_message("nothing is said about %d\n", (int)what);
    return &none;
}

static void the_sentences_answer_in_order(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_ASCII);
    int count = app_words(scene->app, words);
    assert_in_range(count, 8, APP_WORDS_MAX - 1);
    for (int i = 1; i < count; i++)
        assert_true(words[i].about >= words[i - 1].about);
    for (int i = 0; i < count; i++) {
        assert_true(words[i].caption[0] != '\0' && words[i].text[0] != '\0');
        assert_true(words[i].strong <= strlen(words[i].text));
    }
    scene_close(scene);
}

static void water_says_how_much_and_until_when(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_ASCII);
    const Board *board = &scene->app->board;
    char volume[64], date[64];
    const Words *water = about(scene->app, WORDS_WATER, 0);
    assert_non_null(strstr(water->text, app_volume(scene->app, board->supply.line, volume)));
    assert_non_null(strstr(water->text, app_date(scene->app, board->to_reserve.p50, date)));
    scene_close(scene);
}

static void the_reserve_is_named_and_its_state_is_said(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_ASCII);
    assert_non_null(strstr(about(scene->app, WORDS_RESERVE, 0)->text, "intact: R1 12.0 L"));
    scene_entry(scene, "18:40", KIND_SOUND, "vessel", "R1", "level", "6", NULL);
    scene_tell(scene);
    assert_non_null(strstr(about(scene->app, WORDS_RESERVE, 0)->text, "short: R1 6.0 L"));
    assert_int_equal(about(scene->app, WORDS_RESERVE, 0)->tone, TONE_CAUTION);
    scene_close(scene);
}

static void what_is_due_comes_with_its_date_and_no_alert_repeats_it_on_the_board(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_ASCII);
    const Words *due = about(scene->app, WORDS_DUE, 0);
    assert_string_equal(due->caption, "Due soon");
    assert_non_null(strstr(due->text, "carbon: swap the cartridge"));
    const Words *alert = about(scene->app, WORDS_ALERT, 0);
    assert_non_null(strstr(alert->text, "carbon is due soon"));
    assert_true((alert->alert & ALERT_IN_DUE) != 0); /* kept for the plain text */
    scene_close(scene);
}

static void the_verdict_says_why(void **unused)
{
    char why[160];
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_ASCII);
    BoardLine *line = &scene->app->board.lines[0];
    assert_string_equal(tap_verdict(line), "drink");
    assert_int_equal(words_verdict_ink(line), INK_VERDICT_GOOD);
    tap_why(&scene->app->board, line, why, sizeof why);
    assert_string_equal(why, "potable all the way");
    line->verdict = VERDICT_WASH_ONLY;
    assert_int_equal(words_verdict_ink(line), INK_VERDICT_BAD);
    line->delivers = false;
    assert_string_equal(tap_verdict(line), "no water");
    assert_int_equal(words_verdict_ink(line),
                     INK_VERDICT_BAD); /* never the good plate without water */
    scene_close(scene);
}

static void a_class_fits_its_column_and_stays_different(void **unused)
{
    (void)unused;
    Scene *scene = scene_open(24, 80, SCHEME_DEFAULT, ALPHABET_ASCII);
    for (int columns = 1; columns < 14; columns++) {
        for (int q = 0; q < CLASS_COUNT; q++) {
            const char *word = words_class(scene->app, (Quality)q, columns);
            assert_true((int)strlen(word) <= columns);
            for (int r = 0; r < q; r++)
                assert_string_not_equal(word, words_class(scene->app, (Quality)r, columns));
        }
    }
    scene_close(scene);
}

static void an_empty_log_has_nothing_to_say(void **unused)
{
    (void)unused;
    Scene *scene = scene_open(24, 80, SCHEME_DEFAULT, ALPHABET_ASCII);
    int count = app_words(scene->app, words);
    for (int i = 0; i < count; i++)
        assert_true(words[i].about == WORDS_NOTICE);
    scene_close(scene);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_sentences_answer_in_order),
        cmocka_unit_test(water_says_how_much_and_until_when),
        cmocka_unit_test(the_reserve_is_named_and_its_state_is_said),
        cmocka_unit_test(what_is_due_comes_with_its_date_and_no_alert_repeats_it_on_the_board),
        cmocka_unit_test(the_verdict_says_why),
        cmocka_unit_test(a_class_fits_its_column_and_stays_different),
        cmocka_unit_test(an_empty_log_has_nothing_to_say),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
