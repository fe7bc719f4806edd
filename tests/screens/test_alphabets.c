/* In ASCII every sheet says what it says in UTF-8: cell by cell the same letter, or the twin of the
 * same glyph, in the same ink. */
#include "support/scene.h"

static bool twins(const char *fine, const char *plain)
{
    if (strcmp(fine, plain) == 0)
        return true;
    if (strcmp(fine, glyph(ALPHABET_UTF8, GLYPH_BAR_1)) == 0) /* the least of a bar is seen, too */
        return strcmp(plain, glyph(ALPHABET_ASCII, GLYPH_BAR_2)) == 0;
    for (int g = 0; g < GLYPH_COUNT; g++)
        if (strcmp(fine, glyph(ALPHABET_UTF8, (Glyph)g)) == 0 &&
            strcmp(plain, glyph(ALPHABET_ASCII, (Glyph)g)) == 0)
            return true;
    return false;
}

static void assert_twins(const Sheet *fine, const Sheet *plain, const char *keys)
{
    for (int row = 0; row < fine->rows; row++)
        for (int col = 0; col < fine->cols; col++) {
            const Cell *a = sheet_cell(fine, row, col), *b = sheet_cell(plain, row, col);
            if (!twins(a->text, b->text) || a->ink != b->ink)
                fail_msg("%dx%d, keys \"%s\", row %d, column %d: \"%s\" in ink %d, \"%s\" in %d",
                         fine->cols, fine->rows, keys, row, col, a->text, a->ink, b->text, b->ink);
        }
}

typedef Scene *(*Begin)(int rows, int cols, Scheme scheme, Alphabet alphabet);

static void compare(Begin begin, const char *keys)
{
    static const int sizes[][2] = {{24, 80}, {50, 132}, {12, 40}, {17, 60}};
    Scene *fine = begin(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    Scene *plain = begin(24, 80, SCHEME_DEFAULT, ALPHABET_ASCII);
    Scene *const both[] = {fine, plain};
    scene_keys(fine, keys);
    scene_keys(plain, keys);
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
        for (int a = 0; a < ALPHABET_COUNT; a++) {
            app_resize(both[a]->app, sizes[i][0], sizes[i][1]);
            scene_tell(both[a]);
            app_draw(both[a]->app, &both[a]->sheet);
        }
        assert_twins(&fine->sheet, &plain->sheet, keys);
    }
    scene_close(fine);
    scene_close(plain);
}

static void every_sheet_says_the_same_in_both_alphabets(void **unused)
{
    (void)unused;
    for (int s = 0; s < SCENE_SHEET_COUNT; s++)
        if (strcmp(SCENE_SHEETS[s], "0") != 0) /* its large figures are drawn in halves of a cell */
            compare(scene_season, SCENE_SHEETS[s]);
}

static void the_set_up_of_an_empty_log_says_the_same_in_both(void **unused)
{
    (void)unused;
    compare(scene_open, "");
    compare(scene_open, "8");
    compare(scene_open, "8\n3\n\n\n\n1x");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_sheet_says_the_same_in_both_alphabets),
        cmocka_unit_test(the_set_up_of_an_empty_log_says_the_same_in_both),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
