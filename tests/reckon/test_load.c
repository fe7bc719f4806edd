/* Mass aboard and the need of people. */
#include "reckon/load.h"

#include "support/csv_table.h"
#include "support/nasty.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* density.csv, IAPWS SR6-08 column: half of its last digit on a tonne. */
static void a_tonne_of_water_weighs_its_density(void **state)
{
    (void)state;
    CsvTable t = csv_read("density");
    for (size_t i = 0; i < t.rows; i++) {
        LoadMass m = load_mass(1000.0, csv_number(&t, i, "t_C"), 3.1);
        assert_near(m.water_kg, csv_number(&t, i, "iapws_SR6_0.1MPa"), 6e-7);
        assert_near(m.gross_kg, m.water_kg + 3.1, 1e-12);
    }
    csv_free(&t);
}

static void a_scale_turns_back_into_litres(void **state)
{
    (void)state;
    for (double litres = 0.0; litres < 25.0; litres += 0.37) {
        for (double celsius = 0.0; celsius <= 100.0; celsius += 10.0) {
            LoadMass m = load_mass(litres, celsius, 2.4);
            assert_near(load_volume(m.gross_kg, celsius, 2.4).volume_l, litres, 1e-11);
        }
    }
    assert_int_equal(load_volume(2.0, 20.0, 2.4).basis.reason, RECKON_TOO_LOW);
}

/* The Sphere Project 2011, WASH standard 1 (seen): 2.5 to 3; 7.5 to 15 = (2.5+2+3) to (3+6+6).
 * CDC 2017 (reproduced) 1 US gal. WHO 20, UN/WHO 50 to 100 (reproduced). Exact. */
static void the_levels_are_the_published_ones(void **state)
{
    (void)state;
    const double rows[NEED_COUNT][2] = {{2.5, 3.0},
                                        {3.785411784, 3.785411784},
                                        {2.5 + 2.0 + 3.0, 3.0 + 6.0 + 6.0},
                                        {20.0, 20.0},
                                        {50.0, 100.0}};
    double before = 0.0;
    for (int i = 0; i < NEED_COUNT; i++) {
        const NeedRow *row = load_need_row((NeedLevel)i);
        assert_near(row->low, rows[i][0], 1e-12);
        assert_near(row->high, rows[i][1], 1e-12);
        assert_true(row->low > before && row->low <= row->high);
        assert_true(strlen(row->source) > 3);
        before = row->low;
        LoadNeed n = load_need((NeedLevel)i, 2.0, 5.0, 15.0, WORK_REST, 0.0);
        assert_near(n.total_low, 10.0 * row->low, 1e-9);
        assert_near(n.total_high, 10.0 * row->high, 1e-9);
        assert_near(n.heat_l, 0.0, 0.0);
    }
}

/* US Army TB MED 507 (seen, whole table): US quarts an hour by WBGT F. 1 qt = 0.946352946 L.
 * Exact. */
static void the_heat_table_is_the_armys(void **state)
{
    (void)state;
    const double wbgt_f[5][2] = {{78, 81.9}, {82, 84.9}, {85, 87.9}, {88, 89.9}, {90, 110}};
    const double quarts[5][3] = {
        {0.5, 0.75, 0.75}, {0.5, 0.75, 1}, {0.75, 0.75, 1}, {0.75, 0.75, 1}, {1, 1, 1}};
    const Work works[3] = {WORK_EASY, WORK_MODERATE, WORK_HARD};
    for (int c = 0; c < 5; c++) {
        for (int w = 0; w < 3; w++) {
            for (int end = 0; end < 2; end++) {
                HeatIntake h = load_heat_intake((wbgt_f[c][end] - 32.0) / 1.8, works[w]);
                assert_int_equal(h.category, c + 1);
                assert_near(h.litres_an_hour, quarts[c][w] * 0.946352946, 1e-12);
            }
        }
    }
    assert_int_equal(load_heat_intake((77.9 - 32.0) / 1.8, WORK_HARD).category, 0);
    assert_near(load_heat_intake(20.0, WORK_HARD).litres_an_hour, 0.0, 0.0);
}

/* The same table: at most 1 1/2 qt an hour and 12 qt a day. V11: one copy prints 2 and 3 qt in
 * categories 4 and 5. */
static void nobody_is_told_to_drink_more_than_the_cap(void **state)
{
    (void)state;
    for (double wbgt = -10.0; wbgt <= 60.0; wbgt += 0.1) {
        for (int w = WORK_REST; w <= WORK_HARD; w++) {
            assert_true(load_heat_intake(wbgt, (Work)w).litres_an_hour <= 1.5 * 0.946352946);
            assert_true(load_need(NEED_SURVIVAL, 1, 1, wbgt, (Work)w, 24.0).heat_l <=
                        12.0 * 0.946352946 + 1e-12);
        }
    }
}

/* WBGT 45 C at rest: FEMA and the American Red Cross (reproduced) double the US gallon in very hot
 * weather, so one more. US Customs and Border Protection (seen): 1.0 to 1.5 L an hour of work,
 * above the army's 0.95. 25.6 C is 78 F, where the army's table begins. Exact. */
static void the_highest_of_the_tables_for_heat_is_carried(void **state)
{
    (void)state;
    LoadNeed rest = load_need(NEED_SURVIVAL, 1, 1, 45.0, WORK_REST, 0.0);
    assert_near(rest.heat_l, 3.785411784, 1e-9);
    assert_near(rest.low, 2.5 + 3.785411784, 1e-9);
    assert_non_null(strstr(rest.heat_source, "FEMA"));
    assert_near(rest.drink_l_h, 0.946352946, 1e-12); /* easy work, category 5: 1 qt */
    assert_near(load_need(NEED_SURVIVAL, 1, 1, 45.0, WORK_REST, 8.0).heat_l, 8 * 0.946352946, 1e-9);
    LoadNeed work = load_need(NEED_SURVIVAL, 1, 1, 45.0, WORK_EASY, 4.0);
    assert_near(work.heat_l, 6.0, 1e-12);
    assert_non_null(strstr(work.heat_source, "Customs"));
    assert_near(load_need(NEED_SURVIVAL, 1, 1, 45.0, WORK_HARD, 24.0).heat_l, 11.356235, 1e-6);
    assert_near(load_need(NEED_SURVIVAL, 1, 1, 25.5, WORK_HARD, 8.0).heat_l, 0.0, 0.0);
    assert_near(load_need(NEED_SURVIVAL, 1, 1, (78.0 - 32.0) / 1.8, WORK_REST, 0.0).heat_l,
                3.785411784, 1e-9);
}

static void more_heat_more_work_more_people_never_need_less(void **state)
{
    (void)state;
    double before = 0.0;
    for (double wbgt = 0.0; wbgt <= 45.0; wbgt += 0.1) {
        double now = load_need(NEED_BASIC, 2.0, 3.0, wbgt, WORK_MODERATE, 5.0).total_low;
        assert_true(now >= before);
        before = now;
    }
    for (int w = WORK_REST; w < WORK_HARD; w++)
        assert_true(load_need(NEED_BASIC, 2, 3, 30, (Work)w, 5).low <=
                    load_need(NEED_BASIC, 2, 3, 30, (Work)(w + 1), 5).low);
    assert_true(load_need(NEED_BASIC, 2, 3, 30, WORK_HARD, 5).total_low >
                load_need(NEED_BASIC, 2, 3, 30, WORK_HARD, 4).total_low);
}

static void no_input_gives_nan_or_infinity(void **state)
{
    (void)state;
    uint64_t s = 10;
    for (int i = 0; i < 100000; i++) {
        double tare = nasty_number(&s, 0, 10000);
        LoadMass m = load_mass(nasty_number(&s, 0, 10000), nasty_number(&s, 0, 100), tare);
        LoadVolume v = load_volume(nasty_number(&s, tare, 20000), nasty_number(&s, 0, 100), tare);
        LoadNeed n =
            load_need((NeedLevel)(i % 6), nasty_number(&s, 1, 1000), nasty_number(&s, 0.01, 3650),
                      nasty_number(&s, -50, 60), (Work)(i % 4), nasty_number(&s, 0, 24));
        assert_true(nasty_good(m.water_kg, m.gross_kg, v.volume_l, n.low, n.high, n.heat_l,
                               n.total_low, n.total_high));
        assert_true(n.basis.ok == (n.low > 0.0));
    }
}

/* FAA-H-8083-1B, Weight and Balance Handbook (2016), chapter 2, three weights on a board (from
 * memory): 100 lb at 50 in, 100 at 90, 200 at 150: moments 44,000, middle at 110. Arms of equal
 * steps of 20 from 50 on: places 0, 2 and 5. */
static void the_middle_of_a_row_is_that_of_the_handbook(void **state)
{
    (void)state;
    const double board[] = {100.0, 0.0, 100.0, 0.0, 0.0, 200.0};
    const LoadCentre centre = load_centre(board, 6, 20.0);
    assert_near(centre.total_kg, 400.0, 1e-12);
    assert_near(centre.middle_m, 110.0 - 50.0, 1e-12);
    const double empty[] = {0.0, 0.0}, odd[] = {1.0, NAN};
    assert_int_equal(load_centre(empty, 2, 1.0).basis.reason, RECKON_UNREACHABLE);
    assert_int_equal(load_centre(odd, 2, 1.0).basis.reason, RECKON_NOT_A_NUMBER);
    assert_int_equal(load_centre(board, 0, 1.0).basis.reason, RECKON_TOO_LOW);
    assert_int_equal(load_centre(board, 17, 1.0).basis.reason, RECKON_TOO_HIGH);
    assert_int_equal(load_centre(board, 6, -0.1).basis.reason, RECKON_TOO_LOW);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_tonne_of_water_weighs_its_density),
        cmocka_unit_test(a_scale_turns_back_into_litres),
        cmocka_unit_test(the_levels_are_the_published_ones),
        cmocka_unit_test(the_heat_table_is_the_armys),
        cmocka_unit_test(nobody_is_told_to_drink_more_than_the_cap),
        cmocka_unit_test(the_highest_of_the_tables_for_heat_is_carried),
        cmocka_unit_test(more_heat_more_work_more_people_never_need_less),
        cmocka_unit_test(the_middle_of_a_row_is_that_of_the_handbook),
        cmocka_unit_test(no_input_gives_nan_or_infinity),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
