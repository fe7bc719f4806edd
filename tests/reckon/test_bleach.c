/* Bleach: doses, emergency sheets, shock chlorination, against the published arithmetic. */
#include "reckon/bleach.h"

#include "support/csv_table.h"
#include "support/nasty.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#define GALLON_L 3.785411784
#define FLUID_OUNCE_ML 29.5735295625
#define CUP_ML 236.5882365

/* What a recipe comes to, by the dose of 1 mg/L. */
static double recipe_mg_l(double litres, double ml, double percent)
{
    return ml / bleach_dose(litres, 1.0, percent, 0.0, 20.0).ml;
}

/* Arithmetic printed beside ANSI A119.2, NFPA 1192 and Wyoming ch. 12 (computed): half of the
 * last digit. */
static void recipes_give_the_published_concentrations(void **state)
{
    (void)state;
    assert_near(recipe_mg_l(GALLON_L, 0.13 * FLUID_OUNCE_ML, 5.25), 53.3, 0.051);
    assert_near(recipe_mg_l(1.0, 1.0, 5.25), 52.5, 1e-9);
    assert_near(recipe_mg_l(15.0 * GALLON_L, CUP_ML / 4.0, 5.25), 54.7, 0.051);
    assert_near(recipe_mg_l(15.0 * GALLON_L, CUP_ML / 4.0, 6.0), 62.5, 0.051);
    assert_near(recipe_mg_l(15.0 * GALLON_L, CUP_ML / 4.0, 8.25), 85.9, 0.051);
    assert_near(recipe_mg_l(1000.0, 1000.0, 5.25), 52.5, 1e-9); /* Wyoming */
    /* West Virginia: 3 oz of 5.25 % in 1,000 gal, 1.23 mg/L. */
    assert_near(recipe_mg_l(1000.0 * GALLON_L, 3.0 * FLUID_OUNCE_ML, 5.25), 1.23, 0.0051);
    /* CDC container rinse: 5 mL in a quart, 277 mg/L; with 8.25 %, 436. Printed from 0.946 L. */
    assert_near(recipe_mg_l(0.946, 5.0, 5.25), 277.0, 0.51);
    assert_near(recipe_mg_l(0.946, 5.0, 8.25), 436.0, 0.51);
}

/* V7: "0.13 fl oz per gallon" and "1/8 cup per 10 gallons" of one recipe are apart by 23 %. */
static void a_recipe_that_contradicts_itself_is_seen(void **state)
{
    (void)state;
    double ounces = recipe_mg_l(GALLON_L, 0.13 * FLUID_OUNCE_ML, 5.25);
    double cups = recipe_mg_l(10.0 * GALLON_L, CUP_ML / 8.0, 5.25);
    assert_near(cups, 41.0, 0.051);
    assert_near(1.0 - cups / ounces, 0.23, 0.0051);
}

/* US EPA 816-F-15-003, cross-check (computed): mg/L of the printed drops, half of the last
 * digit. */
static void the_emergency_drops_are_6_to_8_mg_a_litre(void **state)
{
    (void)state;
    assert_near(recipe_mg_l(3.785, 8 * 0.05, 6.0), 6.3, 0.051);
    assert_near(recipe_mg_l(3.785, 6 * 0.05, 8.25), 6.5, 0.051);
    assert_near(recipe_mg_l(1.0, 2 * 0.05, 6.0), 6.0, 1e-9);
    assert_near(recipe_mg_l(1.0, 2 * 0.05, 8.25), 8.25, 1e-9);
    assert_near(recipe_mg_l(30.28, 3.29, 6.0), 6.5, 0.051);
}

/* The EPA rows are kitchen-rounded: within 35 % of 6.5 mg/L by their drops (0.05 mL), within 60
 * % by their spoons (1/8 spoon for 2 gallons of 8.25 % is rounded down, 1/4 for 6 % up). */
static void each_row_of_the_epa_sheet_is_near_the_dose_reckoned(void **state)
{
    (void)state;
    int rows = 0;
    for (size_t i = 0; i < EMERGENCY_ROW_COUNT; i++) {
        const EmergencyRow *row = &EMERGENCY_ROWS[i];
        if (strcmp(row->document, "EPA 816-F-15-003") != 0)
            continue;
        BleachDose dose = bleach_dose(row->litres, 6.5, row->percent_low, 0.0, 20.0);
        assert_true(dose.basis.ok);
        if (row->drops > 0.0)
            assert_ratio(dose.ml / BLEACH_DROP_SMALL_ML, row->drops, 0.35);
        else
            assert_ratio(dose.ml / BLEACH_TEASPOON_ML, row->teaspoons, 0.35);
        rows++;
    }
    assert_int_equal(rows, 10);
}

/* The published sheets themselves, clear water. */
static void the_emergency_dose_is_what_the_sheets_print(void **state)
{
    (void)state;
    /* US EPA 2015/2017, CDC: 8 drops of 6 % a gallon; all sheets agree. */
    EmergencyDose six = bleach_emergency(GALLON_L, 6.0, false);
    assert_near(six.drops, 8.0, 1e-9);
    assert_near(six.drops_least, 8.0, 1e-9);
    /* 2 drops a litre. */
    assert_near(bleach_emergency(1.0, 6.0, false).drops, 8.0 / GALLON_L, 0.12);
    /* 8.25 %: EPA and CDC sheet 6, CDC current table (from memory) 8: the larger, both named. */
    EmergencyDose strong = bleach_emergency(GALLON_L, 8.25, false);
    assert_near(strong.drops, 8.0, 1e-9);
    assert_string_equal(strong.document, "CDC current table");
    assert_near(strong.drops_least, 4.0, 1e-9); /* EPA 1993: 7 to 10 % */
    assert_string_equal(strong.document_least, "EPA 810-F-93-002");
    /* EPA 1993: unknown strength 40 a gallon; 1 % 40. CDC current: 5 gallons of 5 to 9 % 40 drops.
     */
    assert_near(bleach_emergency(GALLON_L, 0.0, false).drops, 40.0, 1e-9);
    assert_near(bleach_emergency(GALLON_L, 1.0, false).drops, 40.0, 1e-9);
    assert_near(bleach_emergency(5.0 * GALLON_L, 7.0, false).drops, 40.0, 1e-9);
    assert_true(bleach_emergency(GALLON_L, 6.0, false).wait_minutes == 30.0);
    /* CDC, Make Water Safe: 8 drops are about 0.5 mL */
    assert_near(bleach_emergency(GALLON_L, 6.0, false).ml, 0.5, 1e-9);
}

/* What it comes to in the water: the millilitres that the CDC prints beside the drops (Make Water
 * Safe: 0.5 mL of 5 to 6 % a gallon, 1 mL of a cloudy one; current table, from memory: 2.5 mL of 1
 * %), 1 % = 10 g/L. By hand: 0.5 mL x 60 g/L / 3.785 L = 7.93 mg/L, which is the 6.3 of the EPA's
 * cross-check at 0.05 mL a drop. It is said of the water, not of its amount. */
static void the_emergency_dose_in_mg_a_litre_is_that_of_the_printed_millilitres(void **state)
{
    (void)state;
    for (int gallons = 1; gallons <= 3; gallons++) {
        const double litres = gallons * GALLON_L;
        assert_near(bleach_emergency(litres, 6.0, false).mg_l, 7.93, 0.0051);
        assert_near(bleach_emergency(litres, 5.0, false).mg_l, 6.60, 0.0051);
        assert_near(bleach_emergency(litres, 6.0, true).mg_l, 15.85, 0.0051);
        assert_near(bleach_emergency(litres, 1.0, false).mg_l, 6.60, 0.0051);
    }
    assert_near(bleach_emergency(GALLON_L, 6.0, false).mg_l * 0.05 / 0.0625, 6.3, 0.051);
    /* The strength that is there, not the weaker one whose row was read. */
    assert_near(bleach_emergency(GALLON_L, 2.0, false).mg_l, 2.5 * 20.0 / GALLON_L, 0.0051);
    assert_near(bleach_emergency(GALLON_L, 0.0, false).mg_l, 0.0, 0.0); /* unknown */
}

/* No sheet prints 2.6, 3.9 or 12 %: the next weaker row takes more, so it is the safe reading. */
static void a_strength_between_the_rows_is_read_as_the_weaker(void **state)
{
    (void)state;
    assert_near(bleach_emergency(GALLON_L, 2.6, false).drops, 40.0, 1e-9);
    assert_near(bleach_emergency(GALLON_L, 3.9, false).read_percent, 1.0, 0.0);
    assert_near(bleach_emergency(GALLON_L, 4.0, false).drops, 8.0, 1e-9);
    assert_near(bleach_emergency(GALLON_L, 12.0, false).drops, 4.0, 1e-9); /* EPA 1993: 10 % */
    assert_false(bleach_emergency(GALLON_L, 0.9, false).basis.ok);
    double before = 1e9;
    for (double percent = 1.0; percent <= 15.0; percent += 0.05) {
        double drops = bleach_emergency(GALLON_L, percent, false).drops;
        assert_true(drops <= before);
        assert_true(drops <= bleach_emergency(GALLON_L, 0.0, false).drops);
        before = drops;
    }
}

/* V5: a county table attributed to the EPA "doubles" 8 drops to 10 and half a teaspoon to a
 * tablespoon. */
static void cloudy_water_takes_exactly_twice(void **state)
{
    (void)state;
    for (double litres = 0.5; litres < 40.0; litres *= 1.3) {
        double clear = bleach_emergency(litres, 6.0, false).drops;
        assert_near(bleach_emergency(litres, 6.0, true).drops, 2.0 * clear, 1e-9);
    }
    /* CDC sheet: 16 drops of 5 to 6 % for a cloudy gallon. */
    assert_near(bleach_emergency(GALLON_L, 6.0, true).drops, 16.0, 1e-9);
    assert_true(fabs(bleach_emergency(GALLON_L, 6.0, true).drops - 10.0) > 1.0);
}

/* V6: drops of 0.05 to 0.094 mL are in circulation: 0.4 mL are 8 of the small, 5 of the large.
 * Spoons: NIST SP 811. */
static void what_is_measured_out_holds_at_least_the_dose(void **state)
{
    (void)state;
    assert_near(bleach_measure(0.4).drops, 8.0, 0.0);
    assert_near(bleach_measure(0.4001).drops, 9.0, 0.0);
    assert_near(bleach_measure(0.4).drops_large, 5.0, 0.0);
    assert_near(bleach_measure(2.0).teaspoons, 0.5, 0.0);
    assert_near(bleach_measure(14.79).tablespoons, 1.5, 0.0);
    uint64_t seed = 5;
    for (int i = 0; i < 20000; i++) {
        double ml = (1 + nasty_pick(&seed, 4000000)) * 1e-4;
        BleachMeasure m = bleach_measure(ml);
        assert_true(m.drops * 0.05 >= ml * (1 - 1e-9) && (m.drops - 1.0) * 0.05 < ml);
        assert_true(m.drops_large * 0.094 >= ml * (1 - 1e-9) && (m.drops_large - 1.0) * 0.094 < ml);
        assert_true(m.teaspoons * 4.928921 >= ml * (1 - 1e-6) &&
                    (m.teaspoons - 0.25) * 4.928921 < ml);
        assert_true(m.tablespoons * 14.786764 >= ml * (1 - 1e-6) &&
                    (m.tablespoons - 0.5) * 14.786764 < ml);
    }
}

/* A dose put back into the recipe gives its target. Rounding only. */
static void dose_and_concentration_are_inverses(void **state)
{
    (void)state;
    uint64_t seed = 3;
    for (int i = 0; i < 10000; i++) {
        double litres = 0.1 + nasty_pick(&seed, 1000);
        double target = 0.5 + 0.01 * nasty_pick(&seed, 10000);
        double percent = 1.0 + 0.1 * nasty_pick(&seed, 100);
        BleachDose dose = bleach_dose(litres, target, percent, 0.0, 20.0);
        assert_ratio(dose.ml * percent * 10.0 / litres, target, 1e-12);
        assert_true(dose.above_guideline == (target > 5.0));
    }
}

static double percent_left(double percent, double months, double stored_c)
{
    return bleach_dose(10.0, 2.0, percent, months, stored_c).percent_now;
}

/* Public summary (reproduced): 10 to 20 % a year, about x 3.5 per 10 K; 12 months at 70 F, as
 * short as 3 in the tropics; US EPA: less than a year. */
static void bleach_ages_and_is_refused_when_too_old(void **state)
{
    (void)state;
    assert_near(percent_left(6.0, 0.0, 21.0), 6.0, 1e-12);
    double year = percent_left(6.0, 12.0, 21.0) / 6.0;
    assert_true(year >= 0.8 - 1e-9 && year <= 0.9);
    assert_false(percent_left(6.0, 12.1, 10.0) > 0.0);
    assert_true(percent_left(6.0, 3.0, 31.0) > 0.0); /* the tropics: 3 months yes, 4 no */
    /* x 3.5 for 10 K: a month at 31 C is three and a half at 21; 5 months at 29.8 C are the last */
    assert_near(percent_left(6.0, 1.0, 31.0), 6.0 * pow(0.8, 3.5 / 12.0), 1e-9);
    assert_near(percent_left(6.0, 1.0, 31.0), 5.622, 0.001);
    assert_false(percent_left(6.0, 4.0, 31.0) > 0.0);
    double before = 7.0;
    for (double months = 0.0; months <= 12.0; months += 0.1) {
        double now = percent_left(6.0, months, 15.0);
        assert_true(now < before);
        before = now;
    }
    /* Cold storage earns nothing. */
    assert_near(percent_left(6.0, 6.0, 0.0), percent_left(6.0, 6.0, 21.0), 1e-12);
    assert_true(bleach_dose(10, 2, 6, 6, 21).ml > bleach_dose(10, 2, 6, 0, 21).ml);
}

/* ANSI A119.2: 50 mg/L, 1.0 mL of 5.25 % a litre (52.5 mg/L: 5 % over). */
static void a_shock_takes_the_published_volume_and_time(void **state)
{
    (void)state;
    ShockPlan plan = bleach_shock(12.0, 50.0, 5.25, 0.0, 20.0, 0.0);
    assert_ratio(plan.ml, 12.0, 0.05);
    assert_near(plan.hours_shortest, 4.0, 0.0); /* ANSI A119.2; CDC VSP 2018 5.3.4.1.4 (seen) */
    assert_near(plan.hours, 24.0, 0.0);         /* Wyoming ch. 12 sec. 10 */
    assert_near(bleach_shock(12.0, 100.0, 5.25, 0, 20, 0).hours, 4.0, 0.0); /* US Army TB 43-0153 */
    assert_near(bleach_shock(12.0, 200.0, 5.25, 0, 20, 0).hours, 2.0,
                0.0); /* CDC VSP 2018 5.3.5.2 */
    assert_near(bleach_shock(12.0, 200.0, 5.25, 0, 20, 0).hours_shortest, 0.5, 0.0); /* Wyoming */
    double before = 1e9;
    for (double mg = 50.0; mg <= 200.0; mg += 1.0) {
        double hours = bleach_shock(12.0, mg, 5.25, 0.0, 20.0, 0.0).hours;
        assert_true(hours <= before && hours > 0.0);
        before = hours;
    }
    assert_false(bleach_shock(12.0, 49.0, 5.25, 0, 20, 0).basis.ok);
}

/* CDC VSP 2018 5.3.5.2: no more than 5.0 mg/L before use. */
static void rinses_bring_it_to_5_mg_a_litre(void **state)
{
    (void)state;
    for (double heel = 0.0; heel <= 6.0; heel += 0.1) {
        int rinses = bleach_shock(12.0, 100.0, 6.0, 0.0, 20.0, heel).rinses;
        assert_true(rinses >= 1);
        assert_true(100.0 * pow(heel / 12.0, rinses) <= 5.0 + 1e-9);
        assert_true(rinses == 1 || 100.0 * pow(heel / 12.0, rinses - 1) > 5.0);
    }
}

/* tables/tanks_in_series.csv (computed with 50 digits): with N vessels of W litres each, N theta W
 * litres leave the share 1 - F at the tap. */
static void the_flush_is_that_of_tanks_in_series(void **state)
{
    (void)state;
    CsvTable t = csv_read("tanks_in_series");
    int checked = 0;
    for (size_t i = 0; i < t.rows; i++) {
        double n = csv_number(&t, i, "N"), theta = csv_number(&t, i, "theta");
        double left = csv_number(&t, i, "1-F"), target = 5.0 / left;
        if (target < 50.0 || target > 200.0)
            continue;
        assert_ratio(bleach_flush_l(target, 12.0, (int)n), n * theta * 12.0, 1e-9);
        checked++;
    }
    assert_true(checked >= 5);
    csv_free(&t);
    /* tables/washout_single.csv: a tenth is left after 2.302585 volumes */
    assert_near(bleach_flush_l(50.0, 10.0, 1), 23.02585, 1e-4);
    for (int n = 1; n < 16; n++) {
        assert_true(bleach_flush_l(50.0, 10.0, n + 1) > bleach_flush_l(50.0, 10.0, n));
        assert_true(bleach_flush_l(60.0, 10.0, n) > bleach_flush_l(50.0, 10.0, n));
    }
}

static void the_order_of_work_begins_with_venting(void **state)
{
    (void)state;
    for (int line = 0; line < 2; line++) {
        size_t count = 0;
        const char *const *steps = bleach_shock_steps(line == 1, &count);
        assert_true(count >= 6);
        assert_non_null(strstr(steps[0], "vent"));
        for (size_t i = 0; i < count; i++)
            assert_true(strlen(steps[i]) > 10);
    }
}

static void no_input_gives_nan_or_infinity(void **state)
{
    (void)state;
    uint64_t seed = 4;
    for (int i = 0; i < 100000; i++) {
        double litres = nasty_number(&seed, 0.05, 10000.0);
        double percent = nasty_number(&seed, 0.5, 15.0);
        double age = nasty_number(&seed, 0.0, 12.0);
        double store = nasty_number(&seed, -10.0, 50.0);
        BleachDose d = bleach_dose(litres, nasty_number(&seed, 0.1, 500.0), percent, age, store);
        EmergencyDose e = bleach_emergency(nasty_number(&seed, 0.25, 1000.0), percent, i % 2 == 0);
        ShockPlan p = bleach_shock(litres, nasty_number(&seed, 50.0, 200.0), percent, age, store,
                                   nasty_number(&seed, 0.0, litres / 2.0));
        assert_true(nasty_good(d.ml, d.percent_now, e.drops, e.drops_least, e.ml, e.mg_l,
                               e.read_percent, e.wait_minutes, p.ml, p.hours, p.hours_shortest));
        assert_true(d.basis.ok == (d.ml > 0.0) && p.basis.ok == (p.ml > 0.0));
        assert_true(e.basis.ok == (e.drops > 0.0) && p.basis.ok == (p.rinses > 0));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(recipes_give_the_published_concentrations),
        cmocka_unit_test(a_recipe_that_contradicts_itself_is_seen),
        cmocka_unit_test(the_emergency_drops_are_6_to_8_mg_a_litre),
        cmocka_unit_test(each_row_of_the_epa_sheet_is_near_the_dose_reckoned),
        cmocka_unit_test(the_emergency_dose_is_what_the_sheets_print),
        cmocka_unit_test(the_emergency_dose_in_mg_a_litre_is_that_of_the_printed_millilitres),
        cmocka_unit_test(cloudy_water_takes_exactly_twice),
        cmocka_unit_test(a_strength_between_the_rows_is_read_as_the_weaker),
        cmocka_unit_test(what_is_measured_out_holds_at_least_the_dose),
        cmocka_unit_test(dose_and_concentration_are_inverses),
        cmocka_unit_test(bleach_ages_and_is_refused_when_too_old),
        cmocka_unit_test(a_shock_takes_the_published_volume_and_time),
        cmocka_unit_test(rinses_bring_it_to_5_mg_a_litre),
        cmocka_unit_test(the_flush_is_that_of_tanks_in_series),
        cmocka_unit_test(the_order_of_work_begins_with_venting),
        cmocka_unit_test(no_input_gives_nan_or_infinity),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
