#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "paint/glyph.h"
#include "paint/width.h"

#include <locale.h>
#include <string.h>

static int utf8_locale(void **unused)
{
    (void)unused;
    return setlocale(LC_CTYPE, "C.UTF-8") ? 0 : -1;
}

static void every_glyph_is_there_and_one_column_wide_in_both_alphabets(void **unused)
{
    (void)unused;
    for (int g = 0; g < GLYPH_COUNT; g++) {
        for (int a = 0; a < ALPHABET_COUNT; a++) {
            assert_non_null(glyph((Alphabet)a, (Glyph)g));
            assert_int_equal(width_ofs(glyph((Alphabet)a, (Glyph)g)), 1);
        }
        const char *plain = glyph(ALPHABET_ASCII, (Glyph)g);
        assert_true(strlen(plain) == 1 && plain[0] >= ' ' && plain[0] < 0x7f);
    }
}

static void classes_differ_in_water_and_mark_without_colour(void **unused)
{
    (void)unused;
    for (int a = 0; a < ALPHABET_COUNT; a++) {
        for (int q = 1; q < CLASS_COUNT; q++) {
            for (int r = 0; r < q; r++) {
                assert_string_not_equal(glyph((Alphabet)a, glyph_water((Quality)q)),
                                        glyph((Alphabet)a, glyph_water((Quality)r)));
                assert_string_not_equal(glyph((Alphabet)a, glyph_mark((Quality)q)),
                                        glyph((Alphabet)a, glyph_mark((Quality)r)));
            }
        }
    }
}

static void levels_go_from_nothing_to_a_full_cell(void **unused)
{
    (void)unused;
    assert_string_equal(glyph_level(ALPHABET_UTF8, 0), " ");
    assert_string_equal(glyph_level(ALPHABET_UTF8, -3), " ");
    assert_string_equal(glyph_level(ALPHABET_UTF8, 8), glyph_level(ALPHABET_UTF8, 99));
    assert_string_equal(glyph_level(ALPHABET_ASCII, 8), "#");
    assert_string_equal(glyph_bar(ALPHABET_UTF8, 0), " ");
}

static void other_characters_have_an_ascii_stand_in(void **unused)
{
    (void)unused;
    assert_int_equal(glyph_ascii('A'), 'A');
    assert_int_equal(glyph_ascii(0xe9), 'e');
    assert_int_equal(glyph_ascii(0xd8), 'O');
    assert_int_equal(glyph_ascii(0x161), 's');
    assert_int_equal(glyph_ascii(0x17e), 'z');
    assert_int_equal(glyph_ascii(0x2013), '-');
    assert_int_equal(glyph_ascii(0x6c34), '?');
    for (uint32_t code = 0; code < 0x3000; code++)
        assert_in_range(glyph_ascii(code), ' ', '~');
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_glyph_is_there_and_one_column_wide_in_both_alphabets),
        cmocka_unit_test(classes_differ_in_water_and_mark_without_colour),
        cmocka_unit_test(levels_go_from_nothing_to_a_full_cell),
        cmocka_unit_test(other_characters_have_an_ascii_stand_in),
    };
    return cmocka_run_group_tests(tests, utf8_locale, NULL);
}
