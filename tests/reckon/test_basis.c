/* The basis of every result: refusals and their sentences. */
#include "reckon/basis.h"

#include <float.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static void a_value_in_range_leaves_the_basis_ok(void **state)
{
    (void)state;
    Basis b = basis_begin("source", "limits", "caution");
    assert_true(basis_within(&b, "x", 0.0, 0.0, 1.0));
    assert_true(basis_within(&b, "x", 1.0, 0.0, 1.0));
    assert_true(b.ok);
    assert_null(b.field);
    char text[80];
    assert_string_equal(basis_explain(&b, text, sizeof(text)), "");
}

static void each_way_out_of_range_has_its_reason(void **state)
{
    (void)state;
    Basis low = basis_begin("", "", "");
    assert_false(basis_within(&low, "x", nextafter(0.0, -1.0), 0.0, 1.0));
    assert_int_equal(low.reason, RECKON_TOO_LOW);
    Basis high = basis_begin("", "", "");
    assert_false(basis_within(&high, "x", nextafter(1.0, 2.0), 0.0, 1.0));
    assert_int_equal(high.reason, RECKON_TOO_HIGH);
    const double odd[] = {NAN, INFINITY, -INFINITY};
    for (int i = 0; i < 3; i++) {
        Basis b = basis_begin("", "", "");
        assert_false(basis_within(&b, "x", odd[i], -DBL_MAX, DBL_MAX));
        assert_int_equal(b.reason, RECKON_NOT_A_NUMBER);
        assert_true(b.value == 0.0);
    }
}

static void the_first_refusal_stays(void **state)
{
    (void)state;
    Basis b = basis_begin("", "", "");
    assert_false(basis_within(&b, "first", 5.0, 0.0, 1.0));
    assert_false(basis_within(&b, "second", 0.5, 0.0, 1.0));
    assert_false(basis_refuse(&b, RECKON_NO_ROW, "third", 1.0));
    assert_string_equal(b.field, "first");
    assert_int_equal(b.reason, RECKON_TOO_HIGH);
}

static void a_refusal_is_a_sentence_with_the_field_and_the_end_of_the_range(void **state)
{
    (void)state;
    char text[120];
    Basis b = basis_begin("", "", "");
    (void)basis_within(&b, "temperature_c", 120.0, 0.0, 110.0);
    assert_string_equal(basis_explain(&b, text, sizeof(text)),
                        "temperature_c is 120, above 110, where the figures end");
    Basis rated = basis_begin("", "", "");
    rated.high = 300.0;
    (void)basis_refuse(&rated, RECKON_ABOVE_RATING, "gauge_kpa", 301.0);
    assert_string_equal(basis_explain(&rated, text, sizeof(text)),
                        "gauge_kpa is 301, above the lowest rating, 300");
    char small[8];
    (void)basis_explain(&b, small, sizeof(small));
    assert_string_equal(small, "tempera");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_value_in_range_leaves_the_basis_ok),
        cmocka_unit_test(each_way_out_of_range_has_its_reason),
        cmocka_unit_test(the_first_refusal_stays),
        cmocka_unit_test(a_refusal_is_a_sentence_with_the_field_and_the_end_of_the_range),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
