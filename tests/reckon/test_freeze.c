/* Wind on tubes and vessels, cooling, freezing. Fixtures cylinder_crossflow.csv, cylinder_free.csv,
 * line_freezing.csv: computed with a heat-transfer library (ht 1.0.7), see their first lines. */
#include "reckon/freeze.h"

#include "support/csv_table.h"
#include "support/nasty.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* Emissivity 0.9 between 0 C and the air: cylinder_free.csv. */
static double radiation(double air_c)
{
    return air_c == -2.0 ? 4.1148 : 3.9373;
}

/* Half of the last printed digit, for tubes. A vessel takes the highest of the correlations. */
static void the_film_is_that_of_the_published_correlations(void **state)
{
    (void)state;
    CsvTable t = csv_read("cylinder_crossflow");
    assert_int_equal(t.rows, 12);
    for (size_t i = 0; i < t.rows; i++) {
        const double d = csv_number(&t, i, "D_mm") / 1000.0, air = csv_number(&t, i, "air_C");
        const double h = freeze_film(d, csv_number(&t, i, "wind_m_s"), air) - radiation(air);
        const double hilpert = csv_number(&t, i, "h_Hilpert");
        if (d < 0.1)
            assert_near(h, csv_number(&t, i, "h_CB"), 6e-4);
        assert_true(h > csv_number(&t, i, "h_CB") - 6e-4);
        assert_true(h > hilpert * 0.9999 && h < hilpert * 1.15);
    }
    csv_free(&t);
    t = csv_read("cylinder_free");
    assert_int_equal(t.rows, 4);
    for (size_t i = 0; i < t.rows; i++) {
        const double air = csv_number(&t, i, "air_C");
        assert_near(freeze_film(csv_number(&t, i, "D_mm") / 1000.0, 0.0, air),
                    csv_number(&t, i, "h_CC_all_Ra") +
                        csv_number(&t, i, "h_radiation_emissivity_0.9"),
                    2e-4);
    }
    csv_free(&t);
    assert_near(freeze_film(0.0004, 1, -5), 0, 0);
    assert_near(freeze_film(0.006, 1, 0.001), 0, 0);
    assert_true(freeze_film(0.006, 1, 0) > 0);
    assert_near(freeze_film(0.006, NAN, -5), 0, 0);
}

/* The whole table, half of its last digit: bare and lagged, still air and wind, 6x4 and 12x9 mm. */
static void tubes_freeze_as_the_table_says(void **state)
{
    (void)state;
    CsvTable t = csv_read("line_freezing");
    assert_int_equal(t.rows, 36);
    for (size_t i = 0; i < t.rows; i++) {
        FreezeTube tube = {.bore_m = csv_number(&t, i, "di_mm") / 1000.0,
                           .outer_m = csv_number(&t, i, "do_mm") / 1000.0,
                           .wall_w_mk = 0.4,
                           .foam_m = csv_number(&t, i, "insulation_mm") / 1000.0};
        const double from = csv_number(&t, i, "start_C"), air = csv_number(&t, i, "air_C"),
                     wind = csv_number(&t, i, "wind_m_s");
        FreezeTime f = freeze_tube(&tube, from, air, wind);
        assert_true(f.freezes && f.basis.ok);
        assert_ratio(f.first_seconds / 60.0, csv_number(&t, i, "min_to_0C"), 2e-4);
        assert_ratio(f.last_seconds / 60.0, csv_number(&t, i, "min_total"), 2e-4);
        tube.wall_w_mk = INFINITY; /* a wall that resists nothing is sooner */
        assert_true(freeze_tube(&tube, from, air, wind).last_seconds < f.last_seconds);
    }
    csv_free(&t);
}

/* A full 6 mm tube from 10 C in air of -10 C, no wall: about 14 / 9.5 / 6.8 minutes at 2 / 5 / 10
 * m/s, behind 19 mm of foam about 2.6 h (the same correlations, reckoned elsewhere). */
static void a_full_six_millimetre_tube_is_a_matter_of_minutes(void **state)
{
    (void)state;
    FreezeTube tube = {.bore_m = 0.006, .outer_m = 0.006, .wall_w_mk = INFINITY};
    assert_near(freeze_tube(&tube, 10, -10, 2).last_seconds / 60.0, 14, 0.5);
    assert_near(freeze_tube(&tube, 10, -10, 5).last_seconds / 60.0, 9.5, 0.3);
    assert_near(freeze_tube(&tube, 10, -10, 10).last_seconds / 60.0, 6.8, 0.1);
    tube.foam_m = 0.019;
    assert_near(freeze_tube(&tube, 10, -10, 10).last_seconds / 3600.0, 2.6, 0.15);
}

/* exp(1) erfc(1) = 0.4275836 (Abramowitz & Stegun 1964, table 7.1: erf 1 = 0.8427008): with air and
 * water so that the face is at 0 C then, t = (k/h)^2 rho c/k. By hand, k 0.5556 W/(m K), 999.8
 * kg/m3, 4,217 J/(kg K). */
static void the_water_at_a_vessels_wall_freezes_before_the_whole_is_cold(void **state)
{
    (void)state;
    const double share = 2.718281828 * (1.0 - 0.8427008), air = -10.0;
    const double from = -air / share + air;
    const double d = cbrt(0.02 / 3.14159265); /* 10 L, twice as high as wide */
    const double film = freeze_film(d, 10.0, air);
    assert_ratio(freeze_vessel(10, 0, from, air, 10).first_seconds,
                 0.5556 / film / film * 999.8 * 4217.0, 1e-4);
    /* in still air the whole is cold first: 10 kg, 0.2698 m2 */
    const double still = freeze_film(d, 0.0, air);
    assert_ratio(freeze_vessel(10, 0, 10, air, 0).first_seconds,
                 9.998 * 4217.0 / (0.2698 * still) * log(2.0), 1e-3);
}

/* Half: 5 L give up their own 10 K, then 333.6 kJ/kg, through 0.2698 m2. By hand. */
static void half_a_vessel_freezes_at_the_rate_that_the_air_takes(void **state)
{
    (void)state;
    const double film = freeze_film(0.18534, 5.0, -10.0);
    const double watts_k = 0.2698 * film;
    assert_ratio(freeze_vessel(10, 0, 10, -10, 5).last_seconds,
                 4.999 * (4217.0 * log(2.0) + 33360.0) / watts_k, 1e-3);
    /* 20 mm of foam, 0.035 W/(m K): 1.75 W/(m2 K) at the most, on a can 40 mm wider and higher:
     * 0.22534 and 0.41068 m, 0.3705 m2 */
    const double lagged = 1.0 / (1.0 / freeze_film(0.22534, 5.0, -10.0) + 1.0 / 1.75);
    assert_ratio(freeze_vessel(10, 0.02, 10, -10, 5).last_seconds,
                 4.999 * (4217.0 * log(2.0) + 33360.0) / (0.3705 * lagged), 1e-3);
}

static void sooner_the_colder_the_windier_and_the_smaller(void **state)
{
    (void)state;
    const double winds[] = {0, 0.2, 0.5, 1, 2, 5, 10, 20, 40, 60};
    double before = 1e12, tube_before = 1e12;
    const FreezeTube tube = {.bore_m = 0.006, .outer_m = 0.008, .wall_w_mk = INFINITY};
    for (size_t i = 0; i < sizeof winds / sizeof *winds; i++) {
        FreezeTime f = freeze_vessel(10, 0, 10, -10, winds[i]);
        FreezeTime g = freeze_tube(&tube, 10, -10, winds[i]);
        assert_true(f.first_seconds <= before && g.last_seconds <= tube_before);
        assert_true(f.first_seconds <= f.last_seconds && g.first_seconds < g.last_seconds);
        assert_true(g.first_seconds < f.first_seconds && g.last_seconds < f.last_seconds);
        before = f.first_seconds;
        tube_before = g.last_seconds;
    }
    FreezeTime f = freeze_vessel(10, 0, 10, -10, 0);
    assert_true(freeze_vessel(10, 0, 10, -20, 0).last_seconds < f.last_seconds);
    assert_true(freeze_vessel(5, 0, 10, -10, 0).last_seconds < f.last_seconds);
    assert_true(freeze_vessel(10, 0, 5, -10, 0).first_seconds < f.first_seconds);
    assert_near(freeze_vessel(10, 0, 0, -10, 0).first_seconds, 0.0, 0.0);
    assert_false(freeze_vessel(10, 0, 10, 0.0, 0).freezes);
    assert_true(freeze_vessel(10, 0, 10, -1e-9, 0).freezes);
    size_t count = 0;
    assert_non_null(strstr(freeze_order(&count)[0], "tap"));
    assert_true(count >= 5);
}

static void no_input_gives_nan_or_infinity(void **state)
{
    (void)state;
    uint64_t s = 7;
    for (int i = 0; i < 50000; i++) {
        const FreezeTube tube = {.bore_m = nasty_number(&s, 0.001, 0.1),
                                 .outer_m = nasty_number(&s, 0.001, 0.2),
                                 .wall_w_mk = i % 2 ? INFINITY : 0.4,
                                 .foam_m = nasty_number(&s, 0, 0.2)};
        const double from = nasty_number(&s, 0, 60), air = nasty_number(&s, -60, 60),
                     wind = nasty_number(&s, 0, 60);
        FreezeTime f = freeze_tube(&tube, from, air, wind);
        FreezeTime g = freeze_vessel(nasty_number(&s, 0.1, 1000), tube.foam_m, from, air, wind);
        assert_true(nasty_good(f.first_seconds, f.last_seconds, g.first_seconds, g.last_seconds));
        assert_true(f.first_seconds >= 0 && g.first_seconds >= 0);
    }
}

/* freeze.h: air between -0.01 C and 0 is taken as -0.01. */
static void air_that_is_hardly_cold_is_a_hundredth_below(void **state)
{
    (void)state;
    const FreezeTime hardly = freeze_vessel(10, 0, 5, -0.001, 1),
                     hundredth = freeze_vessel(10, 0, 5, -0.01, 1),
                     more = freeze_vessel(10, 0, 5, -0.0105, 1);
    assert_true(hardly.freezes && hardly.last_seconds > 0);
    assert_true(fabs(hardly.last_seconds - hundredth.last_seconds) < 1e-6);
    assert_true(more.last_seconds < hundredth.last_seconds);
    assert_false(freeze_vessel(10, 0, 5, 0, 1).freezes);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(air_that_is_hardly_cold_is_a_hundredth_below),
        cmocka_unit_test(the_film_is_that_of_the_published_correlations),
        cmocka_unit_test(tubes_freeze_as_the_table_says),
        cmocka_unit_test(a_full_six_millimetre_tube_is_a_matter_of_minutes),
        cmocka_unit_test(the_water_at_a_vessels_wall_freezes_before_the_whole_is_cold),
        cmocka_unit_test(half_a_vessel_freezes_at_the_rate_that_the_air_takes),
        cmocka_unit_test(sooner_the_colder_the_windier_and_the_smaller),
        cmocka_unit_test(no_input_gives_nan_or_infinity),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
