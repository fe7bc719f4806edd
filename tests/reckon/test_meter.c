/* What a meter's litre is worth, against a table and the worked zones of a standard. */
#include "reckon/meter.h"

#include "support/csv_table.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>

/* fixtures/tables/pulse_calibration.csv: K = N / V, volume read to +-a, start and stop up to a
 * pulse each (computed with Python double). */
static void a_jug_gives_pulses_and_their_error(void **state)
{
    (void)state;
    CsvTable t = csv_read("pulse_calibration");
    assert_int_equal(t.rows, 2);
    for (size_t i = 0; i < t.rows; i++) {
        const MeterCount c = meter_jug(csv_number(&t, i, "V_L"), csv_number(&t, i, "a_L"),
                                       csv_number(&t, i, "pulses"), 1);
        assert_true(c.basis.ok);
        assert_true(fabs(c.per_litre - csv_number(&t, i, "K_per_L")) < 1e-6);
        assert_true(fabs(c.error * 100 - csv_number(&t, i, "U_rel_percent")) < 1e-6);
    }
    csv_free(&t);
}

/* More jugs do not mend a mark that is wrong: only the pulses lost at both ends count less. */
static void more_jugs_help_no_more_than_they_can(void **state)
{
    (void)state;
    const MeterCount one = meter_jug(2, 0.02, 900, 1), ten = meter_jug(2, 0.02, 9000, 10);
    assert_true(fabs(one.per_litre - 450) < 1e-9 && fabs(ten.per_litre - 450) < 1e-9);
    assert_true(ten.error < one.error);
    assert_true(ten.error > 2 * 0.02 / sqrt(3) / 2);
    const MeterCount loose = meter_jug(2, 0.2, 900, 1);
    assert_true(loose.error > one.error); /* a coarser mark never earns more */
}

static void what_no_jug_can_be_is_refused(void **state)
{
    (void)state;
    static const double cases[][4] = {{0.049, 0, 10, 1},      {1001, 0, 10, 1}, {1, 0.51, 10, 1},
                                      {1, 0.05, 0, 1},        {1, 0.05, 10, 0}, {1, -0.01, 10, 1},
                                      {(double)NAN, 0, 10, 1}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        const MeterCount c = meter_jug(cases[i][0], cases[i][1], cases[i][2], cases[i][3]);
        assert_false(c.basis.ok);
        assert_true(c.per_litre == 0 && c.error == 0);
    }
    assert_true(meter_jug(0.05, 0.025, 1, 1).basis.ok);
}

/* OIML R 49-1: error of indication = (Vi - Va) / Va. */
static void the_error_is_of_what_really_passed(void **state)
{
    (void)state;
    assert_true(fabs(meter_error(9.7, 10) + 0.03) < 1e-12);
    assert_true(fabs(meter_error(10, 9.7) - 0.0309278) < 1e-6); /* not the same the other way */
    assert_true(isnan(meter_error(1, 0)));
}

/* 2.576 standard errors: the 0.995 quantile of the normal distribution
 * (fixtures/tables/normal_quantiles.csv), so that 1 in 100 lies beyond them. */
static void soundings_differ_by_chance_or_not(void **state)
{
    (void)state;
    const MeterSounding s = meter_soundings(100, 3, 1);
    assert_true(s.basis.ok && !s.chance);
    assert_true(fabs(s.factor - 1.03) < 1e-12 && fabs(s.error - 2 / 103.0) < 1e-12);
    assert_true(meter_soundings(100, 2.575, 1).chance);
    assert_false(meter_soundings(100, 2.577, 1).chance);
    assert_true(meter_soundings(100, -2.575, 1).chance);
    assert_false(meter_soundings(100, -2.577, 1).chance);
    assert_false(meter_soundings(0, 1, 1).basis.ok);
    assert_false(meter_soundings(100, -99.5, 1).basis.ok);
    assert_false(meter_soundings(100, 1, 0).basis.ok);
    assert_true(meter_soundings(100, 1, 0).chance); /* nothing is claimed without an error */
    CsvTable t = csv_read("normal_quantiles");
    bool found = false;
    for (size_t i = 0; i < t.rows; i++)
        if (fabs(csv_number(&t, i, "p") - 0.995) < 1e-12) {
            assert_true(fabs(csv_number(&t, i, "z") - METER_CHANCE) < 5e-4);
            found = true;
        }
    csv_free(&t);
    assert_true(found);
}

static void of_two_measures_the_better_weighs_more(void **state)
{
    (void)state;
    const MeterBest a = {1.03, 0.01}, b = {1.00, 0.03}, both = meter_best(a, b);
    assert_true(both.value > 1.02 && both.value < 1.03);
    assert_true(both.error < a.error);
    const MeterBest twin = meter_best(a, a);
    assert_true(fabs(twin.value - 1.03) < 1e-12 && fabs(twin.error - 0.01 / sqrt(2)) < 1e-12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_jug_gives_pulses_and_their_error),
        cmocka_unit_test(more_jugs_help_no_more_than_they_can),
        cmocka_unit_test(what_no_jug_can_be_is_refused),
        cmocka_unit_test(the_error_is_of_what_really_passed),
        cmocka_unit_test(soundings_differ_by_chance_or_not),
        cmocka_unit_test(of_two_measures_the_better_weighs_more),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
