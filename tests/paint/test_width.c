#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "paint/width.h"

#include <locale.h>
#include <string.h>

static int utf8_locale(void **unused)
{
    (void)unused;
    return setlocale(LC_CTYPE, "C.UTF-8") ? 0 : -1;
}

static void letters_take_one_column_and_ideographs_two(void **unused)
{
    (void)unused;
    assert_int_equal(width_ofs("A1"), 2);
    assert_int_equal(width_ofs("\xc3\xa9"), 1);     /* é */
    assert_int_equal(width_ofs("\xe6\xb0\xb4"), 2); /* 水 */
    assert_int_equal(width_ofs("e\xcc\x81"), 1);    /* e and a combining acute */
    assert_int_equal(width_ofs(""), 0);
}

static void what_would_upset_a_row_of_cells_is_never_shown(void **unused)
{
    (void)unused;
    assert_int_equal(width_of_code(0x1b), -1);
    assert_int_equal(width_of_code(0x200d), -1); /* joiner */
    assert_int_equal(width_of_code(0x202e), -1); /* right-to-left override */
    assert_int_equal(width_of_code(0xfe0f), -1); /* variation selector */
    assert_int_equal(width_of_code(0x9b), -1);
}

static void the_c_locale_measures_alike(void **unused)
{
    (void)unused;
    setlocale(LC_CTYPE, "C");
    assert_int_equal(width_of_code(0xe9), 1);
    assert_int_equal(width_of_code(0x6c34), 2);
    assert_int_equal(width_of_code(0x301), 0);
    assert_int_equal(width_of_code(0x202e), -1);
    setlocale(LC_CTYPE, "C.UTF-8");
}

static void a_taken_beginning_never_splits_a_wide_character_or_drops_a_mark(void **unused)
{
    (void)unused;
    Text wide = text_of("\xe6\xb0\xb4\xe6\xb0\xb4");
    assert_int_equal(width_take(wide, 3).n, 3);
    assert_int_equal(width_take(wide, 4).n, 6);
    assert_int_equal(width_take(text_of("e\xcc\x81x"), 1).n, 3);
    assert_int_equal(width_take(wide, 0).n, 0);
}

static void a_cut_text_ends_in_the_mark_and_fits(void **unused)
{
    Str out = {0};
    (void)unused;
    width_cut(&out, text_of("sediment"), 8, "~");
    assert_string_equal(out.s, "sediment");
    str_clear(&out);
    width_cut(&out, text_of("sediment"), 5, "~");
    assert_string_equal(out.s, "sedi~");
    str_clear(&out);
    width_cut(&out, text_of("sediment"), 1, "~");
    assert_string_equal(out.s, "~");
    str_finish(&out);
}

static void wrapping_breaks_at_spaces_and_inside_long_words_only(void **unused)
{
    (void)unused;
    Text rest = text_of("lasts to Sunday  29 November"), line;
    static const char *const lines[] = {"lasts to", "Sunday  29", "November"};
    for (int i = 0; i < 3; i++) {
        assert_true(width_wrap(&rest, 10, &line));
        assert_true(text_is(line, lines[i]));
    }
    assert_false(width_wrap(&rest, 10, &line));
    rest = text_of("unbreakable");
    assert_true(width_wrap(&rest, 5, &line));
    assert_true(text_is(line, "unbre"));
    assert_int_equal(width_lines(text_of("a\nb\n\nc"), 10), 4);
}

static void a_per_cent_sign_stays_with_its_figure(void **unused)
{
    (void)unused;
    Text rest = text_of("odds of 97 % at most"), line;
    assert_true(width_wrap(&rest, 10, &line));
    assert_true(text_is(line, "odds of"));
    assert_true(width_wrap(&rest, 10, &line));
    assert_true(text_is(line, "97 % at"));
    rest = text_of("97 %"); /* nowhere else to break: it is torn rather than lost */
    assert_true(width_wrap(&rest, 3, &line));
    assert_true(text_is(line, "97"));
    assert_true(width_wrap(&rest, 3, &line));
    assert_true(text_is(line, "%"));
    assert_false(width_wrap(&rest, 3, &line));
}

static void wrapping_ends_even_where_nothing_fits(void **unused)
{
    (void)unused;
    assert_in_range(width_lines(text_of("\xe6\xb0\xb4\xe6\xb0\xb4"), 1), 1, 4);
    assert_in_range(width_lines(text_of("abc"), 0), 1, 3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(letters_take_one_column_and_ideographs_two),
        cmocka_unit_test(what_would_upset_a_row_of_cells_is_never_shown),
        cmocka_unit_test(the_c_locale_measures_alike),
        cmocka_unit_test(a_taken_beginning_never_splits_a_wide_character_or_drops_a_mark),
        cmocka_unit_test(a_cut_text_ends_in_the_mark_and_fits),
        cmocka_unit_test(wrapping_breaks_at_spaces_and_inside_long_words_only),
        cmocka_unit_test(a_per_cent_sign_stays_with_its_figure),
        cmocka_unit_test(wrapping_ends_even_where_nothing_fits),
    };
    return cmocka_run_group_tests(tests, utf8_locale, NULL);
}
