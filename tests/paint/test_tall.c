/* Tall letters: the size they say, the same letters at every scale, in both alphabets. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "paint/tall.h"
#include "support/look.h"

#include <stdlib.h>
#include <string.h>

static const char letters[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789.,-?()";

static void a_word_is_as_wide_and_as_high_as_it_says(void **unused)
{
    (void)unused;
    for (int a = 0; a < ALPHABET_COUNT; a++) {
        for (int scale = 1; scale <= 7; scale++) {
            Sheet sheet;
            sheet_init(&sheet, 60, 400);
            sheet.alphabet = (Alphabet)a;
            const int after = tall_put(sheet_area(&sheet), 1, 2, INK_TEXT, "DRINK", scale);
            const int rows = tall_rows((Alphabet)a, scale);
            assert_int_equal(after - 2, tall_cols("DRINK", scale));
            for (int r = 0; r < 60; r++) {
                for (int c = 0; c < 400; c++) {
                    const bool blank = strcmp(sheet_cell(&sheet, r, c)->text, " ") == 0;
                    assert_true(blank || (r >= 1 && r < 1 + rows && c >= 2 && c < after));
                }
            }
            /* both ends of the D's stem are drawn */
            assert_string_not_equal(sheet_cell(&sheet, 1, 2)->text, " ");
            assert_string_not_equal(sheet_cell(&sheet, rows, 2)->text, " ");
            sheet_finish(&sheet);
        }
    }
}

/* Five dots high at scale 1: two and a half rows of UTF-8, five of ASCII. */
static void half_rows_are_used_where_there_are_any(void **unused)
{
    (void)unused;
    assert_int_equal(tall_rows(ALPHABET_UTF8, 1), 3);
    assert_int_equal(tall_rows(ALPHABET_UTF8, 2), 5);
    assert_int_equal(tall_rows(ALPHABET_ASCII, 1), 5);
    assert_int_equal(tall_rows(ALPHABET_ASCII, 2), 5);
    assert_int_equal(tall_rows(ALPHABET_ASCII, 3), 10);
}

static void letter_text(char letter, Alphabet alphabet, Str *out)
{
    const char text[2] = {letter, '\0'};
    Sheet sheet;
    sheet_init(&sheet, 5, 12);
    sheet.alphabet = alphabet;
    tall_put(sheet_area(&sheet), 0, 0, INK_TEXT, text, 2);
    sheet_dump(&sheet, out);
    sheet_finish(&sheet);
}

static void no_two_letters_look_alike(void **unused)
{
    (void)unused;
    for (int a = 0; a < ALPHABET_COUNT; a++) {
        for (size_t i = 0; i < sizeof letters - 1; i++) {
            assert_true(tall_cols((char[2]){letters[i], '\0'}, 1) > 0);
            for (size_t k = 0; k < i; k++) {
                Str one = {0}, other = {0};
                letter_text(letters[i], (Alphabet)a, &one);
                letter_text(letters[k], (Alphabet)a, &other);
                if (strcmp(one.s, other.s) == 0)
                    fail_msg("%c and %c look alike", letters[i], letters[k]);
                str_finish(&one);
                str_finish(&other);
            }
        }
    }
}

static void small_letters_are_capitals_and_the_rest_is_left_out(void **unused)
{
    (void)unused;
    assert_int_equal(tall_cols("boil", 1), tall_cols("BOIL", 1));
    assert_int_equal(tall_cols("A\xc3\xa9", 3), tall_cols("A", 3));
    assert_int_equal(tall_cols("", 3), 0);
}

static void what_does_not_fit_is_clipped(void **unused)
{
    (void)unused;
    for (int size = 1; size < 6; size++) {
        Sheet sheet;
        sheet_init(&sheet, size, size);
        tall_put(sheet_area(&sheet), 0, 0, INK_TEXT, "WASH ONLY", 5);
        assert_string_equal(sheet_cell(&sheet, 0, 0)->text, "\xe2\x96\x88");
        sheet_finish(&sheet);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_word_is_as_wide_and_as_high_as_it_says),
        cmocka_unit_test(half_rows_are_used_where_there_are_any),
        cmocka_unit_test(no_two_letters_look_alike),
        cmocka_unit_test(small_letters_are_capitals_and_the_rest_is_left_out),
        cmocka_unit_test(what_does_not_fit_is_clipped),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
