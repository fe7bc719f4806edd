#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "tui/press.h"

static void typed_characters_are_text_and_control_keys_are_not(void **unused)
{
    (void)unused;
    assert_true(press_is_text('a'));
    assert_true(press_is_text(' '));
    assert_true(press_is_text(0xe9));
    assert_true(press_is_text(0x1f4a7));
    assert_false(press_is_text(PRESS_CTRL('L')));
    assert_false(press_is_text(0x7f));
    assert_false(press_is_text(0x9b)); /* a C1 control that terminals obey */
    assert_false(press_is_text(0xd800));
    assert_false(press_is_text(PRESS_ENTER));
    assert_false(press_is_text(PRESS_NONE));
}

static void text_becomes_utf8_of_one_to_four_bytes(void **unused)
{
    char out[5];
    (void)unused;
    assert_int_equal(press_utf8('a', out), 1);
    assert_string_equal(out, "a");
    assert_int_equal(press_utf8(0xe9, out), 2);
    assert_string_equal(out, "\xc3\xa9");
    assert_int_equal(press_utf8(0x6c34, out), 3);
    assert_string_equal(out, "\xe6\xb0\xb4");
    assert_int_equal(press_utf8(0x1f4a7, out), 4);
    assert_string_equal(out, "\xf0\x9f\x92\xa7");
    assert_int_equal(press_utf8(PRESS_UP, out), 0);
    assert_string_equal(out, "");
}

static void every_key_has_a_name_for_help(void **unused)
{
    char out[16];
    (void)unused;
    assert_string_equal(press_name('f', out), "f");
    assert_string_equal(press_name(PRESS_CTRL('L'), out), "Ctrl-L");
    assert_string_equal(press_name(PRESS_TAB, out), "Tab");
    assert_string_equal(press_name(' ', out), "Space");
    for (Press p = PRESS_ENTER; p <= PRESS_PAGE_DOWN; p++)
        assert_true(press_name(p, out)[0] != '\0');
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(typed_characters_are_text_and_control_keys_are_not),
        cmocka_unit_test(text_becomes_utf8_of_one_to_four_bytes),
        cmocka_unit_test(every_key_has_a_name_for_help),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
