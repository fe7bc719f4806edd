/* Tables, wrapping and times. */
#include "cli/print.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

static void is(Str *out, const char *expected)
{
    assert_string_equal(out->s, expected);
    str_finish(out);
    *out = (Str){0};
}

static void columns_are_counted_as_a_terminal_shows_them(void **unused)
{
    (void)unused;
    assert_int_equal(text_columns(text_of("A1")), 2);
    assert_int_equal(text_columns(text_of("\303\244")), 1);         /* a umlaut */
    assert_int_equal(text_columns(text_of("a\314\210")), 1);        /* a and a combining mark */
    assert_int_equal(text_columns(text_of("\346\260\264")), 2);     /* the sign for water */
    assert_int_equal(text_columns(text_of("\360\237\222\247")), 2); /* a drop */
}

static void a_table_is_aligned_and_no_line_ends_in_blanks(void **unused)
{
    (void)unused;
    Table t = {.right = {[1] = true}};
    Str out = {0};
    static const char *const cells[] = {"VESSEL", "HOLDS",        "NOTE",   "A1",  "4.0 L",
                                        "",       "\303\204rmel", "12.0 L", "lead"};
    for (int i = 0; i < 9; i++) {
        table_cell(&t, cells[i]);
        if (i % 3 == 2)
            table_row(&t);
    }
    table_print(&t, "  ", &out);
    is(&out, "  VESSEL  HOLDS   NOTE\n"
             "  A1       4.0 L\n"
             "  \303\204rmel   12.0 L  lead\n");
    table_finish(&t);
}

static void text_is_wrapped_at_its_blanks(void **unused)
{
    (void)unused;
    Str out = {0};
    print_wrapped(&out, "  ", text_of("one two three four"), 11);
    is(&out, "  one two\n  three\n  four\n");
    print_wrapped(&out, "", text_of("unbreakable"), 5);
    is(&out, "unbreakable\n");
}

static void a_moment_leaves_nothing_to_guess(void **unused)
{
    (void)unused;
    Str out = {0};
    /* 1996-12-20T00:39:57Z, an example of RFC 3339 section 5.8, was a Friday. */
    const Moment m = {INT64_C(851042397000)};
    print_moment(&out, m, 0);
    is(&out, "Fri 20 Dec 1996 00:39 +00:00");
    print_moment(&out, m, -480);
    is(&out, "Thu 19 Dec 1996 16:39 -08:00");
}

static void a_caption_stands_in_the_margin(void **unused)
{
    (void)unused;
    Str out = {0};
    print_captioned(&out, "Reserve", "intact");
    is(&out, "Reserve   intact\n");
    print_captioned(&out, "", "on");
    is(&out, "          on\n");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(columns_are_counted_as_a_terminal_shows_them),
        cmocka_unit_test(a_table_is_aligned_and_no_line_ends_in_blanks),
        cmocka_unit_test(text_is_wrapped_at_its_blanks),
        cmocka_unit_test(a_moment_leaves_nothing_to_guess),
        cmocka_unit_test(a_caption_stands_in_the_margin),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
