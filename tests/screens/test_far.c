/* The far view: read back from the sheet letter by letter, at every size. */
#include "support/scene.h"

#include "paint/tall.h"

/* Is the word on the sheet in tall letters of some scale? Its bottom row too. */
static bool tall_at(const Sheet *sheet, const Sheet *word, int row, int col, int rows, int cols)
{
    for (int r = 0; r < rows; r++) {
        for (int c = 0; c < cols; c++) {
            const Cell *there = sheet_cell(sheet, row + r, col + c);
            if (!there || strcmp(there->text, sheet_cell(word, r, c)->text) != 0)
                return false;
        }
    }
    return true;
}

static bool tall_reads(const Scene *scene, const char *text)
{
    const Sheet *sheet = &scene->sheet;
    bool found = false;
    for (int scale = 1; scale <= 12 && !found; scale++) {
        const int rows = tall_rows(scene->app->alphabet, scale), cols = tall_cols(text, scale);
        Sheet word;
        if (rows > sheet->rows || cols > sheet->cols)
            break;
        sheet_init(&word, rows, cols);
        word.alphabet = sheet->alphabet;
        tall_put(sheet_area(&word), 0, 0, INK_TEXT, text, scale);
        for (int r = 0; r + rows <= sheet->rows && !found; r++)
            for (int c = 0; c + cols <= sheet->cols && !found; c++)
                found = tall_at(sheet, &word, r, c, rows, cols);
        sheet_finish(&word);
    }
    return found;
}

static void far_draw_again(Scene *scene)
{
    Str text = {0};
    scene_draw(scene, &text);
    str_finish(&text);
}

static void verdict_and_litres_are_tall_at_every_size(void **unused)
{
    static const int sizes[][2] = {{11, 36}, {12, 40}, {24, 80}, {50, 132}, {60, 200}};
    (void)unused;
    for (int a = 0; a < ALPHABET_COUNT; a++) {
        for (size_t i = (size_t)a; i < sizeof sizes / sizeof *sizes; i++) {
            Scene *scene = scene_season(sizes[i][0], sizes[i][1], SCHEME_DEFAULT, (Alphabet)a);
            scene_keys(scene, "0");
            far_draw_again(scene);
            if (!tall_reads(scene, "DRINK") || !tall_reads(scene, "31.0 L"))
                fail_msg("not to be read at %dx%d", sizes[i][1], sizes[i][0]);
            scene_close(scene);
        }
    }
}

/* What speaks against a bare "drink" is as tall, or a question mark stands for it. */
static void no_bare_drink_from_two_metres(void **unused)
{
    (void)unused;
    for (int rows = 6; rows <= 60; rows += 3) {
        for (int cols = 24; cols <= 200; cols += 11) {
            Scene *scene = scene_season(rows, cols, SCHEME_DEFAULT, ALPHABET_UTF8);
            scene->app->board.lines[0].doubt.stale = true;
            scene_keys(scene, "0");
            far_draw_again(scene);
            if (tall_reads(scene, "DRINK") && !tall_reads(scene, "(STALE)") &&
                !tall_reads(scene, "DRINK?"))
                fail_msg("a bare DRINK at %dx%d", cols, rows);
            scene_close(scene);
        }
    }
}

static void until_when_the_reserve_and_what_is_due_stand_beneath(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "0");
    assert_true(scene_shows(scene, "lasts to Sun 29 Nov"));
    assert_true(scene_shows(scene, "Reserve intact"));
    assert_true(scene_shows(scene, "carbon Fri 27 Nov"));
    scene_golden_sheet(scene, "far");
    scene_close(scene);
}

static void on_reserve_is_tall_too(void **unused)
{
    static const char *const line[] = {"A1", "A2", "A3", "A4"};
    (void)unused;
    Scene *scene = scene_season(50, 132, SCHEME_DEFAULT, ALPHABET_UTF8);
    for (int i = 0; i < 4; i++)
        scene_entry(scene, "18:40", KIND_SOUND, "vessel", line[i], "level", "0.2", NULL);
    scene_tell(scene);
    scene_keys(scene, "0");
    far_draw_again(scene);
    assert_true(tall_reads(scene, "NO"));
    assert_true(tall_reads(scene, "WATER"));
    assert_true(tall_reads(scene, "RESERVE"));
    scene_close(scene);
}

static void a_log_without_a_line_says_so(void **unused)
{
    (void)unused;
    Scene *scene = scene_open(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "0");
    assert_true(scene_shows(scene, "No line is coupled."));
    scene_close(scene);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(verdict_and_litres_are_tall_at_every_size),
        cmocka_unit_test(no_bare_drink_from_two_metres),
        cmocka_unit_test(until_when_the_reserve_and_what_is_due_stand_beneath),
        cmocka_unit_test(on_reserve_is_tall_too),
        cmocka_unit_test(a_log_without_a_line_says_so),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
