/* What holds in every sheet, whatever it shows. */
#include "support/look.h"
#include "support/scene.h"

#include <ctype.h>

static bool is_glyph(const Scene *scene, int row, int col, Glyph g)
{
    const Cell *cell = sheet_cell(&scene->sheet, row, col);
    return cell != NULL && (cell->ink == INK_LEAD || cell->ink == INK_CURSOR) &&
           strcmp(cell->text, glyph(scene->app->alphabet, g)) == 0;
}

/* The row of the field that is typed into: -1 where there is none. */
static int active_row(const Scene *scene)
{
    for (int row = 0; row < scene->sheet.rows; row++)
        for (int col = 0; col < scene->sheet.cols; col++)
            if (sheet_cell(&scene->sheet, row, col)->ink == INK_ACTIVE)
                return row;
    return -1;
}

static int chosen_row(const Scene *scene)
{
    int chosen = -1;
    for (int row = 0; row < scene->sheet.rows; row++)
        for (int col = 1; col < scene->sheet.cols; col++)
            if (is_glyph(scene, row, col, GLYPH_CURSOR) &&
                (col == 1 || is_glyph(scene, row, col - 1, GLYPH_CURSOR)))
                chosen = row;
    return chosen;
}

static void cursor_check(Scene *scene, const char *keys)
{
    Str text = {0};
    scene_draw(scene, &text);
    const int active = active_row(scene), chosen = chosen_row(scene);
    const int expected = active >= 0 ? active : chosen >= 0 ? chosen : 0;
    if (scene->sheet.cursor_row != expected || scene->sheet.cursor_seen != (active + chosen > -2) ||
        scene->sheet.cursor_col < 0 || scene->sheet.cursor_col >= scene->sheet.cols)
        fail_msg("%dx%d, keys \"%s\": the cursor stands in row %d, not %d:\n%s", scene->sheet.cols,
                 scene->sheet.rows, keys, scene->sheet.cursor_row, expected, text.s);
    str_finish(&text);
}

/* It is what somebody hears who listens to the screen. */
static void the_cursor_stands_on_what_is_chosen_in_every_sheet(void **unused)
{
    (void)unused;
    static const char *const moves[] = {"j", "j", "G", "k", "\t", "\t", "\n", "x"};
    for (int s = 0; s < SCENE_SHEET_COUNT; s++)
        for (int i = 0; i < SCENE_SIZE_COUNT; i++) {
            const SceneSize *size = &SCENE_SIZES[i];
            Scene *scene = scene_season(size->rows, size->cols, SCHEME_DEFAULT, size->alphabet);
            scene_keys(scene, SCENE_SHEETS[s]);
            cursor_check(scene, SCENE_SHEETS[s]);
            for (size_t m = 0; m < sizeof moves / sizeof *moves; m++) {
                scene_keys(scene, moves[m]);
                cursor_check(scene, SCENE_SHEETS[s]);
            }
            scene_close(scene);
        }
}

/* The lists have a chosen row and the forms a field: the rule above is not met by showing none. */
static void lists_and_forms_have_something_chosen(void **unused)
{
    (void)unused;
    static const char *const with[] = {"2", "3", "4", "5", "6", "6\n", "7", "8", "a", "f", "2m"};
    for (size_t i = 0; i < sizeof with / sizeof *with; i++) {
        Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
        scene_keys(scene, with[i]);
        app_draw(scene->app, &scene->sheet);
        if (!scene->sheet.cursor_seen || scene->sheet.cursor_row == 0)
            fail_msg("nothing is chosen after \"%s\"", with[i]);
        scene_close(scene);
    }
}

static void words_check(Scene *scene, const char *keys)
{
    app_draw(scene->app, &scene->sheet);
    for (int i = 0; i < scene->sheet.rows * scene->sheet.cols; i++) {
        const Cell *cell = &scene->sheet.cells[i];
        if (ink_is_drawn((Ink)cell->ink) && isalnum((unsigned char)cell->text[0]))
            fail_msg("%dx%d, keys \"%s\": '%s' in row %d has the ink %s", scene->sheet.cols,
                     scene->sheet.rows, keys, cell->text, i / scene->sheet.cols,
                     ink_name((Ink)cell->ink));
    }
}

/* What is drawn need not be readable (tests/paint/test_ink.c), so nothing to be read is drawn. */
static void no_letter_and_no_figure_has_an_ink_of_drawings(void **unused)
{
    (void)unused;
    for (int s = 0; s < SCENE_SHEET_COUNT; s++)
        for (int i = 0; i < SCENE_SIZE_COUNT; i++) {
            Scene *scene = scene_season(SCENE_SIZES[i].rows, SCENE_SIZES[i].cols, SCHEME_DEFAULT,
                                        ALPHABET_UTF8);
            scene_keys(scene, SCENE_SHEETS[s]);
            words_check(scene, SCENE_SHEETS[s]);
            scene_close(scene);
        }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_cursor_stands_on_what_is_chosen_in_every_sheet),
        cmocka_unit_test(lists_and_forms_have_something_chosen),
        cmocka_unit_test(no_letter_and_no_figure_has_an_ink_of_drawings),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
