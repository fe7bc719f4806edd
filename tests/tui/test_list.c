#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "support/look.h"
#include "tui/list.h"

#include <string.h>

static void the_cursor_moves_and_stays_inside(void **unused)
{
    List list = {0};
    (void)unused;
    list_set_count(&list, 3);
    assert_true(list_key(&list, PRESS_UP, 5));
    assert_int_equal(list.cursor, 0);
    list_key(&list, 'j', 5);
    list_key(&list, PRESS_DOWN, 5);
    list_key(&list, 'j', 5);
    assert_int_equal(list.cursor, 2);
    assert_false(list_key(&list, 'x', 5));
    list_key(&list, 'g', 5);
    assert_int_equal(list.cursor, 0);
    list_key(&list, PRESS_END, 5);
    assert_int_equal(list.cursor, 2);
    list_set_count(&list, 1);
    assert_int_equal(list.cursor, 0);
    list_set_count(&list, 0);
    list_key(&list, 'G', 5);
    assert_int_equal(list.cursor, 0);
}

static void the_window_follows_the_cursor_and_only_when_it_has_to(void **unused)
{
    List list = {0};
    (void)unused;
    list_set_count(&list, 100);
    for (int i = 0; i < 10; i++)
        list_key(&list, 'j', 5);
    assert_int_equal(list_top(&list, 5), 6);
    list_key(&list, 'k', 5);
    assert_int_equal(list_top(&list, 5), 6);
    list_key(&list, PRESS_PAGE_DOWN, 5);
    assert_int_equal(list.cursor, 13);
    list_key(&list, 'G', 5);
    assert_int_equal(list_top(&list, 5), 95);
    list_key(&list, PRESS_PAGE_UP, 5);
    assert_int_equal(list.cursor, 95);
}

static void a_window_of_any_height_holds_the_cursor(void **unused)
{
    (void)unused;
    for (int count = 0; count < 9; count++) {
        for (int rows = 0; rows < 12; rows++) {
            List list = {0};
            list_set_count(&list, count);
            for (int i = 0; i < 12; i++) {
                list_key(&list, i % 3 ? 'j' : PRESS_PAGE_DOWN, rows);
                int top = list_top(&list, rows);
                assert_true(top >= 0);
                if (count > 0 && rows > 0)
                    assert_in_range(list.cursor, top, top + rows - 1);
            }
        }
    }
}

static void the_place_is_told_only_where_something_is_hidden(void **unused)
{
    Sheet sheet;
    List list = {.count = 3};
    Str out = {0};
    (void)unused;
    sheet_init(&sheet, 1, 20);
    sheet.alphabet = ALPHABET_ASCII;
    list_draw_place(&list, 3, sheet_area(&sheet), 0);
    sheet_dump(&sheet, &out);
    assert_string_equal(out.s, "\n");
    list.count = 30;
    list.cursor = 4;
    list_draw_place(&list, 3, sheet_area(&sheet), 0);
    str_clear(&out);
    sheet_dump(&sheet, &out);
    assert_non_null(strstr(out.s, "5 of 30 ^v"));
    str_finish(&out);
    sheet_finish(&sheet);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_cursor_moves_and_stays_inside),
        cmocka_unit_test(the_window_follows_the_cursor_and_only_when_it_has_to),
        cmocka_unit_test(a_window_of_any_height_holds_the_cursor),
        cmocka_unit_test(the_place_is_told_only_where_something_is_hidden),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
