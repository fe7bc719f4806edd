/* One line of text: what each key does to it, and what is seen of it. */
#include "tui/entry.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static void type(Typed *typed, const char *text, size_t most)
{
    Text rest = text_of(text);
    for (size_t at = 0; at < rest.n;)
        assert_true(entry_key(typed, most, text_next(rest, &at)));
}

static void characters_go_in_at_the_caret_and_out_whole(void **unused)
{
    (void)unused;
    Typed typed = {.caret = 0};
    type(&typed, "水道æ", TYPED_MAX);
    entry_key(&typed, TYPED_MAX, PRESS_LEFT);
    type(&typed, "x", TYPED_MAX);
    assert_string_equal(typed.text, "水道xæ");
    entry_key(&typed, TYPED_MAX, PRESS_DELETE);
    assert_string_equal(typed.text, "水道x");
    entry_key(&typed, TYPED_MAX, PRESS_LEFT);
    entry_key(&typed, TYPED_MAX, PRESS_BACKSPACE);
    assert_string_equal(typed.text, "水x");
    assert_int_equal(typed.caret, 3);
    entry_key(&typed, TYPED_MAX, PRESS_CTRL('U'));
    assert_string_equal(typed.text, "");
    assert_int_equal(typed.caret, 0);
}

static void the_caret_stops_at_both_ends(void **unused)
{
    static const struct {
        Press press;
        size_t at;
    } moves[] = {{PRESS_RIGHT, 3},     {PRESS_HOME, 0},      {PRESS_LEFT, 0},
                 {PRESS_BACKSPACE, 0}, {PRESS_CTRL('E'), 3}, {PRESS_DELETE, 3},
                 {PRESS_CTRL('A'), 0}, {PRESS_END, 3}};
    (void)unused;
    Typed typed = {.caret = 0};
    type(&typed, "abc", TYPED_MAX);
    for (size_t i = 0; i < sizeof moves / sizeof *moves; i++) {
        assert_true(entry_key(&typed, TYPED_MAX, moves[i].press));
        assert_int_equal(typed.caret, moves[i].at);
        assert_string_equal(typed.text, "abc");
    }
}

static void what_does_not_fit_is_not_begun(void **unused)
{
    (void)unused;
    Typed typed = {.caret = 0};
    type(&typed, "ab", 4);
    type(&typed, "水", 4); /* three bytes: not even one of them */
    assert_string_equal(typed.text, "ab");
    type(&typed, "cde", 4);
    assert_string_equal(typed.text, "abcd");
}

static void keys_of_a_form_are_left_to_it(void **unused)
{
    static const Press others[] = {PRESS_ENTER, PRESS_ESC,  PRESS_TAB,       PRESS_BACKTAB,
                                   PRESS_UP,    PRESS_DOWN, PRESS_PAGE_DOWN, PRESS_CTRL('L')};
    (void)unused;
    Typed typed = {.caret = 0};
    for (size_t i = 0; i < sizeof others / sizeof *others; i++)
        assert_false(entry_key(&typed, TYPED_MAX, others[i]));
}

/* In any number of columns the caret is inside them, at every place in the text. */
static void the_caret_is_always_seen(void **unused)
{
    (void)unused;
    Sheet sheet;
    sheet_init(&sheet, 1, 30);
    for (int columns = 4; columns < 30; columns++) {
        Typed typed = {.caret = 0};
        type(&typed, "a long text 水道 with æ in it", TYPED_MAX);
        for (int step = 0; step < 30; step++) {
            sheet_resize(&sheet, 1, 30);
            entry_draw(&typed, sheet_area(&sheet), 0, 0, columns);
            assert_int_equal(sheet.cursor_row, 0);
            assert_in_range(sheet.cursor_col, 0, columns - 1);
            entry_key(&typed, TYPED_MAX, PRESS_LEFT);
        }
        assert_int_equal(sheet.cursor_col, 0);
        assert_string_equal(sheet_cell(&sheet, 0, 0)->text, "a");
    }
    sheet_finish(&sheet);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(characters_go_in_at_the_caret_and_out_whole),
        cmocka_unit_test(the_caret_stops_at_both_ends),
        cmocka_unit_test(what_does_not_fit_is_not_begun),
        cmocka_unit_test(keys_of_a_form_are_left_to_it),
        cmocka_unit_test(the_caret_is_always_seen),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
