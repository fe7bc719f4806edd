/* Waters put together, against worked examples and arithmetic that is done the other way round. */
#include "reckon/blend.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>

static void near(double a, double b)
{
    assert_true(fabs(a - b) < 1e-9 * (1 + fabs(b)));
}

/* The references of this project, "Doses": above 5 mg/L add V2 = V1 (C1/C - 1) of clean water, 10 L
 * of 8 mg/L to 4 mg/L takes 10 L. */
static void too_much_is_diluted_as_published(void **state)
{
    (void)state;
    near(blend_add(10, 8, 0, 4).b_l, 10);
    near(blend_mix(10, 8, 10, 0).value, 4);
    for (int wanted = 1; wanted < 8; wanted++) {
        const BlendAdd add = blend_add(10, 8, 0.5, wanted);
        assert_true(add.basis.ok);
        near(blend_mix(10, 8, add.b_l, 0.5).value, wanted);
    }
}

static void what_lies_outside_of_both_is_never_reached(void **state)
{
    (void)state;
    assert_int_equal(blend_add(10, 8, 0, 9).basis.reason, RECKON_UNREACHABLE);
    assert_int_equal(blend_add(10, 8, 2, 1).basis.reason, RECKON_UNREACHABLE);
    assert_int_equal(blend_add(10, 8, 2, 2).basis.reason, RECKON_UNREACHABLE);
    assert_true(blend_add(10, 8, 2, 8).basis.ok && blend_add(10, 8, 2, 8).b_l == 0);
    assert_true(blend_add(10, 1, 8, 4).basis.ok); /* upwards */
    near(blend_mix(10, 1, blend_add(10, 1, 8, 4).b_l, 8).value, 4);
    assert_false(blend_mix(0, 1, 0, 2).basis.ok);
    assert_false(blend_mix(1, (double)NAN, 0, 2).basis.ok);
}

/* Field guide of pipeline disinfection, table 7-2 (tables/dechlorination.csv): 2.5 mg of ascorbic
 * acid for each mg, not under the 2.4839 of the equation. 51 % is the lesser of two measured. */
static void the_constants_are_the_safe_ones(void **state)
{
    (void)state;
    assert_true(BLEND_ASCORBIC_MG == 2.5 && BLEND_ASCORBIC_MG > 2.4839);
    near(20 * 5 * BLEND_ASCORBIC_MG, 250);
    assert_true(BLEND_STANDING_DAY == 0.51);
}

static void a_membrane_loses_nothing_on_the_way(void **state)
{
    (void)state;
    const BlendMembrane m = blend_membrane(10, 2.5, 500, 25);
    near(m.recovery, 0.25);
    near(m.rejection, 0.95);
    near(m.waste_l, 7.5);
    near(m.waste_l * m.waste + 2.5 * 25, 10 * 500);
    assert_false(blend_membrane(10, 9.91, 500, 25).basis.ok);
    assert_true(blend_membrane(10, 9.9, 500, 25).basis.ok);
    assert_false(blend_membrane(10, 1, 500, 501).basis.ok);
    assert_true(blend_membrane(10, 1, 500, 500).rejection == 0);
}

/* 12.5 mm of bore: 0.1227 L a metre. */
static void a_hose_is_a_cylinder(void **state)
{
    (void)state;
    assert_true(fabs(blend_hose(1, 0.0125).litres - 0.12272) < 1e-5);
    near(blend_hose(15, 0.025).litres, 4 * blend_hose(15, 0.0125).litres);
    assert_false(blend_hose(1001, 0.0125).basis.ok);
    assert_false(blend_hose(1, 0.0009).basis.ok || blend_hose(1, 0.201).basis.ok);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(too_much_is_diluted_as_published),
        cmocka_unit_test(what_lies_outside_of_both_is_never_reached),
        cmocka_unit_test(the_constants_are_the_safe_ones),
        cmocka_unit_test(a_membrane_loses_nothing_on_the_way),
        cmocka_unit_test(a_hose_is_a_cylinder),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
