/* Writing JSON: commas, keys, what is not known, exact numbers, the program's own moments. */
#include "base/json_out.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static void is(Str *out, const char *expected)
{
    assert_string_equal(out->s, expected);
    str_finish(out);
}

static void what_is_not_known_is_null(void **unused)
{
    (void)unused;
    Str out = {0};
    json_open(&out, NULL, '[');
    json_number(&out, NULL, NAN, 2);
    json_number(&out, NULL, INFINITY, 2);
    json_moment(&out, NULL, MOMENT_NONE);
    json_label(&out, NULL, &(Label){{0}});
    json_text(&out, NULL, NULL);
    is(&out, "[null,null,null,null,null");
}

static void numbers_are_plain_and_exact(void **unused)
{
    (void)unused;
    Str out = {0};
    json_open(&out, NULL, '[');
    json_milli(&out, NULL, 12000);
    json_milli(&out, NULL, -5);
    json_number(&out, NULL, -0.0001, 3);
    json_number(&out, NULL, -1.25, 2);
    json_whole(&out, NULL, INT64_MIN);
    is(&out, "[12.000,-0.005,0.000,-1.25,-9223372036854775808");
}

/* A text may end in what looks like the begin of something: its quote stands behind it. */
static void a_comma_stands_between_values_and_nowhere_else(void **unused)
{
    (void)unused;
    Str out = {0};
    json_open(&out, NULL, '{');
    json_text(&out, "a", "[");
    json_flag(&out, "b", true);
    json_open(&out, "c", '[');
    json_open(&out, NULL, '{');
    json_null(&out, "d");
    str_addc(&out, '}');
    json_open(&out, NULL, '{');
    str_addc(&out, '}');
    json_raw(&out, NULL, "1.5");
    str_adds(&out, "]}\n");
    json_moment(&out, NULL, (Moment){0}); /* the next line is a document of its own */
    is(&out, "{\"a\":\"[\",\"b\":true,\"c\":[{\"d\":null},{},1.5]}\n\"1970-01-01T00:00:00Z\"");
}

static void lines_become_a_list_of_texts(void **unused)
{
    (void)unused;
    Str out = {0};
    json_open(&out, NULL, '{');
    json_each_line(&out, "none", text_of(""));
    json_each_line(&out, "two", text_of("a \"b\"\n\\\n"));
    is(&out, "{\"none\":[],\"two\":[\"a \\\"b\\\"\",\"\\\\\"]");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_not_known_is_null),
        cmocka_unit_test(numbers_are_plain_and_exact),
        cmocka_unit_test(a_comma_stands_between_values_and_nowhere_else),
        cmocka_unit_test(lines_become_a_list_of_texts),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
