/* The board in all its sizes, and what it must never do: cut silently, or tell by colour alone. */
#include "support/scene.h"

#include "outlook/advice.h"
#include "screens/plumbing.h"

static void the_board_in_every_size_and_both_alphabets(void **unused)
{
    (void)unused;
    scene_golden_sizes("board", "");
    scene_golden_ascii("board", "");
}

static void an_empty_log_says_how_to_begin(void **unused)
{
    (void)unused;
    Scene *scene = scene_open(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    assert_true(scene_shows(scene, "No vessel is named yet."));
    assert_true(scene_shows(scene, "begins the set-up"));
    scene_close(scene);
}

/* Danger first, at every size: where it names no vessel, a log that can't be read says so. */
static void an_unread_log_without_vessels_warns_before_it_says_how_to_begin(void **unused)
{
    (void)unused;
    static const int sizes[][2] = {{24, 80}, {12, 40}, {40, 132}};
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
        Scene *scene = scene_open(sizes[i][0], sizes[i][1], SCHEME_DEFAULT, ALPHABET_ASCII);
        scene->app->board.unread = 1;
        advice_give(&scene->app->board);
        assert_true(scene_shows(scene, "No vessel is named in what can be read"));
        assert_true(scene_shows(scene, "1 entry of the log can't be"));
        assert_false(scene_shows(scene, "named yet"));
        scene_close(scene);
    }
}

/* Sixteen vessels on two lines, eight stages, names that are long and wide. */
static Scene *crowd(int rows, int cols)
{
    Scene *scene = scene_open(rows, cols, SCHEME_DEFAULT, ALPHABET_UTF8);
    char label[LABEL_SIZE], position[16];
    for (int i = 0; i < 16; i++) {
        snprintf(label, sizeof label, "%c%d", i < 7 ? 'A' : i < 14 ? 'B' : 'R', i % 7 + 1);
        scene_entry(scene, "-9d", KIND_VESSEL, "vessel", label, "capacity", "25", "heel", "0.2",
                    "duty", i < 14 ? "line" : "reserve", "class",
                    i % 5 ? "potable" : "questionable", "level", i % 3 ? "24.5" : "3", NULL);
    }
    scene_entry(scene, "-9d", KIND_COUPLE, "line", "galley", "order", "A1,A2,A3,A4,A5,A6,A7", NULL);
    scene_entry(scene, "-9d", KIND_COUPLE, "line", "foredeck washdown", "order",
                "B1,B2,B3,B4,B5,B6,B7", NULL);
    for (int i = 0; i < 8; i++) {
        snprintf(label, sizeof label, "%s %d", i % 2 ? "carbon block" : "sediment", i + 1);
        snprintf(position, sizeof position, "%d", i / 2 + 1);
        scene_entry(scene, "-9d", KIND_STAGE, "stage", label, "type", "sediment", "line",
                    i % 2 ? "galley" : "foredeck washdown", "position", position, "life_litres",
                    "500", NULL);
    }
    scene_tell(scene);
    return scene;
}

static void a_crowd_is_wrapped_or_condensed(void **unused)
{
    static const int sizes[][2] = {{24, 80}, {50, 132}, {12, 40}};
    (void)unused;
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
        Scene *scene = crowd(sizes[i][0], sizes[i][1]);
        scene_golden_sheet(scene, "crowd");
        scene_close(scene);
    }
}

static void no_vessel_is_ever_left_out_without_a_word(void **unused)
{
    (void)unused;
    for (int rows = 6; rows <= 60; rows += 3) {
        for (int cols = 24; cols <= 160; cols += 8) {
            Scene *scene = crowd(rows, cols);
            Str text = {0};
            scene_draw(scene, &text);
            for (int v = 0; v < scene->app->board.vessel_count; v++) {
                if (!strstr(text.s, scene->app->board.vessels[v].label.s) && !strstr(text.s, ": t"))
                    fail_msg("%s is missing at %dx%d\n%s", scene->app->board.vessels[v].label.s,
                             cols, rows, text.s);
            }
            str_finish(&text);
            scene_close(scene);
        }
    }
}

/* Two boards that differ in the class of one vessel differ in their text, at every size. */
static void what_does_not_fit_is_said_briefly_and_marked(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(8, 40, SCHEME_DEFAULT, ALPHABET_UTF8);
    char date[64];
    app_date(scene->app, scene->app->board.to_reserve.p50, date);
    assert_true(scene_shows(scene, date)); /* until when */
    assert_true(scene_shows(scene, "carbon Fri 27 Nov"));
    assert_true(scene_shows(scene, glyph(ALPHABET_UTF8, GLYPH_CUT)));
    scene_close(scene);
}

static void a_class_is_never_told_by_colour_alone(void **unused)
{
    static const int sizes[][2] = {{24, 80}, {50, 132}, {17, 60}, {12, 40}, {8, 30}};
    (void)unused;
    for (int a = 0; a < ALPHABET_COUNT; a++) {
        for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
            Str texts[CLASS_COUNT] = {{0}};
            for (int q = 0; q < CLASS_COUNT; q++) {
                Scene *scene = scene_season(sizes[i][0], sizes[i][1], SCHEME_DEFAULT, (Alphabet)a);
                for (int v = 0; v < scene->app->board.vessel_count; v++)
                    if (strcmp(scene->app->board.vessels[v].label.s, "A3") == 0)
                        scene->app->board.vessels[v].quality = (Quality)q;
                scene_draw(scene, &texts[q]);
                scene_close(scene);
            }
            assert_string_not_equal(texts[0].s, texts[1].s);
            assert_string_not_equal(texts[1].s, texts[2].s);
            assert_string_not_equal(texts[0].s, texts[2].s);
            for (int q = 0; q < CLASS_COUNT; q++)
                str_finish(&texts[q]);
        }
    }
}

/* One vessel's water measured, on the owner's word, raw: the sheets differ at every size, and so for
 * the lead. */
static void the_grade_and_raw_water_are_told_at_every_size(void **unused)
{
    static const int sizes[][2] = {{50, 132}, {24, 80}, {17, 60}, {12, 40}, {8, 30}};
    enum { MEASURED, ASSERTED, RAW, GRADES };
    (void)unused;
    for (int a = 0; a < ALPHABET_COUNT; a++)
        for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++)
            for (int lead = 0; lead < 2; lead++) {
                Str texts[GRADES] = {{0}};
                for (int grade = 0; grade < GRADES; grade++) {
                    Scene *scene =
                        scene_season(sizes[i][0], sizes[i][1], SCHEME_DEFAULT, (Alphabet)a);
                    for (int v = 0; v < scene->app->board.vessel_count; v++) {
                        BoardVessel *vessel = &scene->app->board.vessels[v];
                        if (lead ? !vessel->lead : strcmp(vessel->label.s, "A3") != 0)
                            continue;
                        vessel->asserted = grade == ASSERTED;
                        vessel->raw = grade == RAW;
                    }
                    scene_draw(scene, &texts[grade]);
                    scene_close(scene);
                }
                for (int grade = 0; grade < GRADES; grade++)
                    assert_string_not_equal(texts[grade].s, texts[(grade + 1) % GRADES].s);
                for (int grade = 0; grade < GRADES; grade++)
                    str_finish(&texts[grade]);
            }
}

static void the_lead_a_spent_vessel_and_a_due_stage_are_marked_in_text(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_MONOCHROME, ALPHABET_ASCII);
    assert_true(scene_shows(scene, "^ lead"));
    assert_true(scene_shows(scene, "spent"));
    assert_true(scene_shows(scene, "soon"));
    scene_close(scene);
}

static void questionable_water_is_said_at_the_tap_in_the_drawing_and_in_words(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_ASCII);
    scene_keys(scene, "fA2\ta\n");
    app_key(scene->app, PRESS_NONE, &(Wish){0});
    assert_true(scene_shows(scene, "boil first"));
    assert_true(scene_shows(scene, "questionable from A2 on"));
    assert_true(scene_shows(scene, "???")); /* the water itself */
    scene_golden_sheet(scene, "board-questionable");
    scene_close(scene);
}

static void a_line_with_nothing_left_says_no_water(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    static const char *const line[] = {"A1", "A2", "A3", "A4"};
    for (int i = 0; i < 4; i++)
        scene_entry(scene, "18:40", KIND_SOUND, "vessel", line[i], "level", "0.2", NULL);
    scene_tell(scene);
    assert_true(scene_shows(scene, "no water"));
    assert_true(scene_shows(scene, "in use"));
    scene_golden_sheet(scene, "board-spent");
    scene_close(scene);
}

static void a_vessel_shows_full_only_when_it_is_and_empty_only_when_it_is(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_ASCII);
    Plumbing plan;
    assert_true(plumbing_plan(scene->app, 14, 80, &plan));
    for (int step = 0; step <= 12; step++) {
        BoardVessel *v = &scene->app->board.vessels[2]; /* A3 */
        v->volume = step == 0 ? 1 : step == 12 ? v->capacity : v->capacity * step / 12 - 1;
        sheet_resize(&scene->sheet, 24, 80);
        plumbing_draw(scene->app, &plan, sheet_area(&scene->sheet));
        const Piece *piece = NULL;
        for (int i = 0; i < plan.pieces; i++)
            if (plan.piece[i].kind == PIECE_VESSEL && plan.piece[i].which == 2)
                piece = &plan.piece[i];
        assert_non_null(piece);
        int lid = plan.airy ? 3 : 2, top = lid + 1, bottom = lid + plan.levels;
        const char *highest = sheet_cell(&scene->sheet, top, piece->col + 1)->text;
        const char *lowest = sheet_cell(&scene->sheet, bottom, piece->col + 1)->text;
        assert_true((strcmp(highest, "#") == 0) == (step == 12));
        assert_string_not_equal(lowest, " ");
    }
    scene_close(scene);
}

/* As the facts beside the picture say it: what is there at least is never rounded up. */
static void an_expected_level_is_rounded_down_wherever_it_stands(void **unused)
{
    (void)unused;
    static const struct {
        int64_t low, high;
        const char *picture, *facts, *vessel;
    } cases[] = {
        {10550, 11999, "~10.5-11.9", "A2 10.5 to 11.9 L", "~ 10.5 - 11.9 L now"},
        {10499, 11900, "~10.4-11.9", "A2 10.4 to 11.9 L", "~ 10.4 - 11.9 L now"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        Scene *scene = scene_season(50, 132, SCHEME_DEFAULT, ALPHABET_ASCII);
        BoardVessel *v = &scene->app->board.vessels[1]; /* A2 */
        v->expected_told = true;
        v->expected_low = cases[i].low;
        v->expected_high = cases[i].high;
        assert_true(scene_shows(scene, cases[i].picture));
        assert_true(scene_shows(scene, cases[i].facts));
        scene_keys(scene, "3ggj");
        v->expected_told = true;
        v->expected_low = cases[i].low;
        v->expected_high = cases[i].high;
        assert_true(scene_shows(scene, cases[i].vessel));
        scene_close(scene);
    }
}

static void names_with_wide_and_combining_letters_keep_the_rows_straight(void **unused)
{
    (void)unused;
    Scene *scene = scene_open(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_entry(scene, "-9d", KIND_VESSEL, "vessel", "\xe6\xb0\xb4\xe6\xa1\xb6\xe4\xb8\x80",
                "capacity", "12", "class", "potable", "level", "9", NULL);
    scene_entry(scene, "-9d", KIND_VESSEL, "vessel",
                "e\xcc\x81"
                "te\xcc\x81",
                "capacity", "12", "class", "potable", "level", "9", NULL);
    scene_entry(scene, "-9d", KIND_COUPLE, "line", "h\xc3\xb8y", "order",
                "\xe6\xb0\xb4\xe6\xa1\xb6\xe4\xb8\x80,e\xcc\x81"
                "te\xcc\x81",
                NULL);
    scene_tell(scene);
    scene_golden_sheet(scene, "board-names");
    scene_close(scene);
}

static void the_other_small_screens(void **unused)
{
    (void)unused;
    scene_golden_sizes("form-fill", "f");
    scene_golden_sizes("form-wrong", "fZ9\tx\t99");
    scene_golden_sizes("keys", "?");
    scene_golden_sizes("any-entry", "ajjj");
    scene_golden_sizes("as-text", "t");
}

/* 132x50: the chart and what is due; 200x60: the entries as well; a row less: as it was. */
static void a_wide_board_has_the_chart_and_what_is_due(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(40, 120, SCHEME_DEFAULT, ALPHABET_UTF8);
    assert_true(scene_shows(scene, "10-90 %"));
    assert_true(scene_shows(scene, "carbon: swap the cartridge  by"));
    assert_false(scene_shows(scene, "latest"));
    scene_close(scene);
    scene = scene_season(60, 200, SCHEME_DEFAULT, ALPHABET_UTF8);
    assert_true(scene_shows(scene, "10-90 %"));
    assert_true(scene_shows(scene, "latest"));
    scene_close(scene);
    scene = scene_season(39, 120, SCHEME_DEFAULT, ALPHABET_UTF8);
    assert_false(scene_shows(scene, "10-90 %"));
    scene_close(scene);
}

/* Beside the arrow there are seven columns: "(chlorine)" was broken inside the word. */
static void a_doubt_that_is_too_long_for_its_column_is_a_question_mark(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_entry(scene, "-1m", KIND_TEST, "line", "galley", "chlorine_mg_l", "6", NULL);
    scene_tell(scene);
    Str text = {0};
    scene_draw(scene, &text);
    assert_non_null(strstr(text.s, "drink (chlorine)")); /* in the head */
    assert_non_null(strstr(text.s, "  (?)"));
    assert_null(strstr(text.s, "(chlori\n"));
    assert_null(strstr(text.s, "(chlori "));
    str_finish(&text);
    scene_close(scene);
}

/* The stop of the season, an hour after its time. */
static Scene *at_a_passed_stop(int rows, int cols)
{
    Scene *scene = scene_season(rows, cols, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene->now.ms += 2 * MS_PER_DAY + 18 * MS_PER_HOUR; /* Tue 24 Nov 18:42 -> Fri 27 Nov 12:42 */
    scene_tell(scene);
    return scene;
}

/* Wherever it is asked, the last of its keys stands there as well, with or without the time. */
static void a_passed_stop_is_asked_about_with_all_its_keys(void **unused)
{
    (void)unused;
    int whole = 0, brief = 0;
    for (int rows = 12; rows <= 50; rows++) {
        for (int cols = 60; cols <= 132; cols += 12) {
            Str text = {0};
            Scene *scene = at_a_passed_stop(rows, cols);
            scene_draw(scene, &text);
            const bool timed = strstr(text.s, "was planned for") != NULL;
            const bool named = strstr(text.s, "Holm tap: r refilled") != NULL;
            if ((timed || named) && strstr(text.s, "x drop") == NULL)
                fail_msg("%dx%d\n%s", cols, rows, text.s);
            whole += timed;
            brief += named;
            str_finish(&text);
            scene_close(scene);
        }
    }
    assert_true(whole > 0 && brief > 0);
}

static void one_key_answers_for_a_passed_stop(void **unused)
{
    (void)unused;
    Scene *scene = at_a_passed_stop(24, 80);
    scene_keys(scene, "x");
    assert_int_equal(scene->log[scene->count - 1].kind, KIND_UNSTOP);
    assert_false(scene_shows(scene, "m move"));
    scene_keys(scene, "x"); /* there is none any more */
    assert_true(scene_shows(scene, "No planned stop is past"));
    scene_close(scene);

    scene = at_a_passed_stop(24, 80);
    scene_keys(scene, "m");
    assert_true(scene_shows(scene, "Holm tap"));
    assert_int_equal(app_form(scene->app)->kind->id, KIND_STOP);
    scene_close(scene);

    scene = at_a_passed_stop(24, 80);
    const int before = scene->count;
    scene_keys(scene, "r");
    assert_int_equal(app_form(scene->app)->kind->id, KIND_FILL);
    assert_true(scene_shows(scene, "Holm tap"));
    scene_keys(scene, "\n");
    int fills = 0;
    for (int i = before; i < scene->count; i++) {
        const Event *e = &scene->log[i];
        fills += e->kind == KIND_FILL && strcmp(e->u.fill.source.s, "Holm tap") == 0;
    }
    assert_int_equal(fills, 2);                 /* A1 and A2: the others are full */
    assert_false(scene_shows(scene, "m move")); /* refilled there: nothing is asked any more */
    scene_close(scene);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_board_in_every_size_and_both_alphabets),
        cmocka_unit_test(an_empty_log_says_how_to_begin),
        cmocka_unit_test(an_unread_log_without_vessels_warns_before_it_says_how_to_begin),
        cmocka_unit_test(a_crowd_is_wrapped_or_condensed),
        cmocka_unit_test(no_vessel_is_ever_left_out_without_a_word),
        cmocka_unit_test(what_does_not_fit_is_said_briefly_and_marked),
        cmocka_unit_test(a_class_is_never_told_by_colour_alone),
        cmocka_unit_test(the_grade_and_raw_water_are_told_at_every_size),
        cmocka_unit_test(the_lead_a_spent_vessel_and_a_due_stage_are_marked_in_text),
        cmocka_unit_test(questionable_water_is_said_at_the_tap_in_the_drawing_and_in_words),
        cmocka_unit_test(a_line_with_nothing_left_says_no_water),
        cmocka_unit_test(a_vessel_shows_full_only_when_it_is_and_empty_only_when_it_is),
        cmocka_unit_test(an_expected_level_is_rounded_down_wherever_it_stands),
        cmocka_unit_test(names_with_wide_and_combining_letters_keep_the_rows_straight),
        cmocka_unit_test(a_wide_board_has_the_chart_and_what_is_due),
        cmocka_unit_test(the_other_small_screens),
        cmocka_unit_test(a_doubt_that_is_too_long_for_its_column_is_a_question_mark),
        cmocka_unit_test(a_passed_stop_is_asked_about_with_all_its_keys),
        cmocka_unit_test(one_key_answers_for_a_passed_stop),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
