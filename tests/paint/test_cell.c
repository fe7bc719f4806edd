#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "paint/cell.h"
#include "support/look.h"

#include <locale.h>
#include <string.h>

static int utf8_locale(void **unused)
{
    (void)unused;
    return setlocale(LC_CTYPE, "C.UTF-8") ? 0 : -1;
}

static void shows(const Sheet *sheet, const char *text)
{
    Str out = {0};
    sheet_dump(sheet, &out);
    assert_string_equal(out.s, text);
    str_finish(&out);
}

static void text_stands_where_it_is_put_and_the_next_piece_can_follow(void **unused)
{
    Sheet sheet;
    (void)unused;
    sheet_init(&sheet, 2, 10);
    Area area = sheet_area(&sheet);
    int col = area_puts(area, 0, 1, INK_STRONG, "A1");
    assert_int_equal(col, 3);
    area_printf(area, 0, col + 1, INK_TEXT, "%d L", 12);
    shows(&sheet, " A1 12 L\n\n");
    assert_int_equal(sheet_cell(&sheet, 0, 1)->ink, INK_STRONG);
    assert_null(sheet_cell(&sheet, 2, 0));
    assert_null(sheet_cell(&sheet, 0, -1));
    sheet_finish(&sheet);
}

static void nothing_is_drawn_outside_the_area(void **unused)
{
    Sheet sheet;
    (void)unused;
    sheet_init(&sheet, 3, 8);
    Area area = {&sheet, 1, 2, 1, 4};
    assert_int_equal(area_puts(area, 0, -2, INK_TEXT, "abcdefgh"), 6);
    area_puts(area, -1, 0, INK_TEXT, "up");
    area_puts(area, 1, 0, INK_TEXT, "down");
    shows(&sheet, "\n  cdef\n\n");
    area_fill(area_part(area, -5, -5, 50, 50), INK_TEXT, "x");
    shows(&sheet, "\n  xxxx\n\n");
    sheet_finish(&sheet);
}

static void a_wide_character_is_two_cells_or_none(void **unused)
{
    Sheet sheet;
    (void)unused;
    sheet_init(&sheet, 1, 3);
    Area area = sheet_area(&sheet);
    area_puts(area, 0, 0, INK_TEXT, "\xe6\xb0\xb4\xe6\xb0\xb4");
    shows(&sheet, "\xe6\xb0\xb4\n");
    assert_int_equal(sheet_cell(&sheet, 0, 0)->width, 2);
    assert_int_equal(sheet_cell(&sheet, 0, 1)->width, 0);
    area_puts(area, 0, 1, INK_TEXT, "x"); /* over its right half: the left one goes as well */
    shows(&sheet, " x\n");
    sheet_finish(&sheet);
}

static void combining_marks_join_their_letter_and_too_many_are_left_out(void **unused)
{
    Sheet sheet;
    (void)unused;
    sheet_init(&sheet, 1, 4);
    Area area = sheet_area(&sheet);
    area_puts(area, 0, 0, INK_TEXT, "e\xcc\x81x");
    shows(&sheet, "e\xcc\x81x\n");
    Str many = {0};
    str_adds(&many, "e");
    for (int i = 0; i < 40; i++)
        str_adds(&many, "\xcc\x81");
    area_put(area, 0, 0, INK_TEXT, (Text){many.s, many.n});
    assert_true(strlen(sheet_cell(&sheet, 0, 0)->text) < CELL_BYTES);
    str_finish(&many);
    sheet_finish(&sheet);
}

static void control_characters_never_reach_a_cell(void **unused)
{
    Sheet sheet;
    (void)unused;
    sheet_init(&sheet, 1, 12);
    area_puts(sheet_area(&sheet), 0, 0, INK_TEXT,
              "a\x1b[31mb\x07\xe2\x80\xae"
              "c\xff");
    shows(&sheet, "a[31mbc?\n");
    sheet_finish(&sheet);
}

static void an_ascii_sheet_shows_stand_ins_of_the_same_width(void **unused)
{
    Sheet sheet;
    (void)unused;
    sheet_init(&sheet, 1, 12);
    sheet.ascii = true;
    int col = area_puts(sheet_area(&sheet), 0, 0, INK_TEXT, "h\xc3\xb8y \xe6\xb0\xb4 e\xcc\x81");
    assert_int_equal(col, 8);
    shows(&sheet, "hoy ?? e\n");
    sheet_finish(&sheet);
}

static void what_is_cut_says_so(void **unused)
{
    Sheet sheet;
    (void)unused;
    sheet_init(&sheet, 2, 12);
    sheet.alphabet = ALPHABET_ASCII;
    Area area = sheet_area(&sheet);
    area_cut(area, 0, 0, 6, INK_TEXT, text_of("sediment"));
    int row = area_wrap(area_rows(area, 1, 1), 0, 0, INK_TEXT, text_of("more than one row holds"));
    assert_int_equal(row, 1);
    shows(&sheet, "sedim~\nmore than~\n");
    sheet_finish(&sheet);
}

static void text_is_set_right(void **unused)
{
    Sheet sheet;
    (void)unused;
    sheet_init(&sheet, 1, 9);
    Area area = sheet_area(&sheet);
    area_right(area, 0, 9, INK_TEXT, text_of("12.0"));
    shows(&sheet, "     12.0\n");
    sheet_finish(&sheet);
}

static void a_box_has_four_walls(void **unused)
{
    Sheet sheet;
    (void)unused;
    sheet_init(&sheet, 3, 4);
    sheet.alphabet = ALPHABET_ASCII;
    Area area = sheet_area(&sheet);
    area_box(area, 0, 0, 3, 4, INK_VESSEL);
    shows(&sheet, ".--.\n|  |\n'--'\n");
    area_box(area, 0, 0, 1, 1, INK_VESSEL); /* too small: nothing */
    shows(&sheet, ".--.\n|  |\n'--'\n");
    sheet_finish(&sheet);
}

static void every_operation_is_safe_on_one_cell(void **unused)
{
    Sheet sheet;
    (void)unused;
    sheet_init(&sheet, 0, -4);
    assert_int_equal(sheet.rows * sheet.cols, 1);
    Area area = sheet_area(&sheet), none = area_inset(area, 3, 3);
    assert_int_equal(none.rows + none.cols, 0);
    area_puts(none, 0, 0, INK_TEXT, "x");
    area_box(area, -1, -1, 4, 4, INK_TEXT);
    area_right(area, 0, 1, INK_TEXT, text_of("long"));
    area_ink(area, 0, -9, 99, INK_CURSOR);
    area_cursor(area, 5, 5);
    assert_int_equal(sheet.cursor_row, -1);
    area_cursor(area, 0, 0);
    assert_int_equal(sheet.cursor_col, 0);
    shows(&sheet, "g\n");
    assert_int_equal(sheet_cell(&sheet, 0, 0)->ink, INK_CURSOR);
    sheet_finish(&sheet);
}

static void an_ink_map_has_a_letter_a_cell(void **unused)
{
    Sheet sheet;
    Str out = {0};
    (void)unused;
    sheet_init(&sheet, 2, 6);
    area_puts(sheet_area(&sheet), 0, 1, INK_STRONG, "ab");
    area_puts(sheet_area(&sheet), 1, 0, INK_CURSOR, "  ");
    sheet_dump_inks(&sheet, &out);
    assert_string_equal(out.s, " SS\nKK\n");
    str_finish(&out);
    sheet_finish(&sheet);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(text_stands_where_it_is_put_and_the_next_piece_can_follow),
        cmocka_unit_test(nothing_is_drawn_outside_the_area),
        cmocka_unit_test(a_wide_character_is_two_cells_or_none),
        cmocka_unit_test(combining_marks_join_their_letter_and_too_many_are_left_out),
        cmocka_unit_test(control_characters_never_reach_a_cell),
        cmocka_unit_test(an_ascii_sheet_shows_stand_ins_of_the_same_width),
        cmocka_unit_test(what_is_cut_says_so),
        cmocka_unit_test(text_is_set_right),
        cmocka_unit_test(a_box_has_four_walls),
        cmocka_unit_test(every_operation_is_safe_on_one_cell),
        cmocka_unit_test(an_ink_map_has_a_letter_a_cell),
    };
    return cmocka_run_group_tests(tests, utf8_locale, NULL);
}
