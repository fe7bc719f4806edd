/* Water against the published tables. Fixtures: density.csv, viscosity.csv,
 * vapour_pressure.csv, boiling_point.csv, each computed with iapws 1.5.5 or Python double from
 * the publication named. */
#include "reckon/water.h"

#include "support/csv_table.h"
#include "support/nasty.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

/* IAPWS SR6-08(2011) at 0.1 MPa: the same equations, so the only difference is the last printed
 * digit (6 decimals of kg/m3, of uPa s; 8 of kJ/(kg K), W/(m K), mm2/s). */
static void density_agrees_with_the_release_and_with_four_other_formulas(void **state)
{
    (void)state;
    CsvTable t = csv_read("density");
    assert_int_equal(t.rows, 101);
    for (size_t i = 0; i < t.rows; i++) {
        double celsius = csv_number(&t, i, "t_C");
        double density = water_at(celsius).density_kg_m3;
        assert_near(density, csv_number(&t, i, "iapws_SR6_0.1MPa"), 6e-7);
        /* Other formulas differ by temperature scale (IPTS-68 against ITS-90): 0.01 kg/m3 below 40
         * C, 0.02 above. */
        double loose = celsius <= 40.0 ? 0.01 : 0.02;
        assert_near(density, csv_number(&t, i, "kell1975"), loose);
        const char *others[] = {"tanaka2001", "jones_harris1992", "iapws95_101325Pa"};
        for (int k = 0; k < 3; k++) {
            double other = csv_number(&t, i, others[k]);
            if (isfinite(other))
                assert_near(density, other, loose);
        }
    }
    csv_free(&t);
}

/* W1: Kell (1975) as printed in NIST J. Res. 97:335 (1992) has two digits of the denominator
 * swapped. */
static void kell_with_the_swapped_digits_does_not_pass(void **state)
{
    (void)state;
    double t = 4.0;
    double top = 999.83952 + 16.945176 * t - 7.9870401e-3 * t * t - 46.170461e-6 * t * t * t +
                 105.56302e-9 * pow(t, 4) - 280.54253e-12 * pow(t, 5);
    double right = top / (1.0 + 16.879850e-3 * t);
    double swapped = top / (1.0 + 16.897850e-3 * t);
    assert_near(water_at(t).density_kg_m3, right, 0.01);
    assert_true(fabs(water_at(t).density_kg_m3 - swapped) > 0.05);
}

/* OpenStax, Chemistry 2e, App. E (m68863), seen, g/mL; half of the last printed digit, plus
 * 0.01 kg/m3 for the temperature scale. 22 C and 30 C are on the older scale. */
static void density_agrees_with_a_printed_table(void **state)
{
    (void)state;
    const double rows[][3] = {{4, 0.9999720, 0.01},  {15, 0.9991026, 0.01}, {22, 0.9977735, 0.01},
                              {30, 0.9956502, 0.01}, {60, 0.9832, 0.06},    {100, 0.9584, 0.07}};
    for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); i++)
        assert_near(water_at(rows[i][0]).density_kg_m3, 1000.0 * rows[i][1], rows[i][2]);
    /* IAPWS SR6-08 verification table 8: 298.15 K; 375 K. Reproduced. */
    assert_near(water_at(25.0).density_kg_m3, 997.047013, 6e-7);
    assert_near(water_at(101.85).density_kg_m3, 957.009710, 6e-7);
}

static void density_is_greatest_at_4_c(void **state)
{
    (void)state;
    for (double t = 0.0; t <= 110.0; t += 0.25)
        assert_true(water_at(t).density_kg_m3 <= water_at(4.0).density_kg_m3 + 1e-6);
}

static void viscosity_heat_and_conductivity_agree_with_the_release(void **state)
{
    (void)state;
    CsvTable t = csv_read("viscosity");
    assert_int_equal(t.rows, 101);
    for (size_t i = 0; i < t.rows; i++) {
        WaterProperties w = water_at(csv_number(&t, i, "t_C"));
        assert_near(w.viscosity_pa_s * 1e6, csv_number(&t, i, "mu_uPas"), 6e-7);
        assert_near(w.kinematic_m2_s * 1e6, csv_number(&t, i, "nu_mm2_s"), 6e-9);
        assert_near(w.heat_j_kg_k / 1000.0, csv_number(&t, i, "cp_kJ_kgK"), 6e-9);
        assert_near(w.conduct_w_m_k, csv_number(&t, i, "k_W_mK"), 6e-9);
    }
    csv_free(&t);
    /* SR6-08 verification table 8 at 375 K, reproduced: uPa s; kJ/(kg K). */
    assert_near(water_at(101.85).viscosity_pa_s * 1e6, 276.207245, 6e-7);
    assert_near(water_at(101.85).heat_j_kg_k, 4217.74697, 6e-6);
}

/* Other books. OpenStax College Physics 2e m42209, seen (0.2 %: three digits); London South
 * Bank Univ., seen (0.7 %: three digits); Perry 9th ed. table 2-135, reproduced (0.2 %: its own
 * correlation). */
static void viscosity_agrees_with_other_books(void **state)
{
    (void)state;
    const double openstax[][2] = {{0, 1.792}, {20, 1.002}, {37, 0.6947}, {40, 0.653}, {100, 0.282}};
    for (size_t i = 0; i < sizeof(openstax) / sizeof(openstax[0]); i++) {
        double tolerance = openstax[i][0] == 37 ? 0.006 : 0.0025; /* its 37 C row is 0.5 % high */
        assert_ratio(water_at(openstax[i][0]).viscosity_pa_s * 1e3, openstax[i][1], tolerance);
    }
    const double bank[][2] = {{60, 0.467}, {80, 0.355}, {100, 0.283}};
    for (size_t i = 0; i < sizeof(bank) / sizeof(bank[0]); i++)
        assert_ratio(water_at(bank[i][0]).viscosity_pa_s * 1e3, bank[i][1], 0.007);
    const double perry[][2] = {{273.16, 1791.2}, {290, 1084.0}, {310, 693.54},
                               {330, 489.49},    {350, 368.77}, {370, 291.36}};
    for (size_t i = 0; i < sizeof(perry) / sizeof(perry[0]); i++)
        assert_ratio(water_at(perry[i][0] - 273.15).viscosity_pa_s * 1e6, perry[i][1], 0.002);
    /* W10: the same London table at 70 and 90 C is wrong. */
    assert_true(fabs(water_at(70.0).viscosity_pa_s * 1e3 / 0.400 - 1.0) > 0.007);
    assert_true(fabs(water_at(90.0).viscosity_pa_s * 1e3 / 0.310 - 1.0) > 0.007);
}

/* IAPWS-IF97, fixture printed to 0.001 Pa. */
static void vapour_pressure_agrees_with_if97(void **state)
{
    (void)state;
    CsvTable t = csv_read("vapour_pressure");
    assert_int_equal(t.rows, 27);
    for (size_t i = 0; i < t.rows; i++) {
        if (csv_number(&t, i, "t_C") <= WATER_T_HIGH_C)
            assert_near(water_at(csv_number(&t, i, "t_C")).vapour_pa, csv_number(&t, i, "p_Pa"),
                        6e-4);
    }
    csv_free(&t);
    /* R7-97 table 35: 300 K 0.00353658941 MPa (nine digits). Reproduced. */
    assert_near(water_at(26.85).vapour_pa, 3536.58941, 6e-6);
    /* W7: 613.2812 Pa at 0 C is 4.6 torr with false digits; within 0.05 torr of the truth, and no
     * more. */
    assert_near(water_at(0.0).vapour_pa, 4.6 * 133.322387415, 0.05 * 133.322387415);
    assert_true(fabs(water_at(0.0).vapour_pa - 613.2812) > 1.0);
}

/* OpenStax Chemistry 2e App. E, seen, torr, half of the last printed digit (0.05 torr) and 0.2
 * % for the older formulation: its 55 C row is 0.19 % below IAPWS-IF97. */
static void vapour_pressure_agrees_with_a_printed_table(void **state)
{
    (void)state;
    const double rows[][2] = {{4, 6.1},    {10, 9.2},   {15, 12.8},  {20, 17.5},  {25, 23.8},
                              {30, 31.8},  {35, 42.2},  {40, 55.3},  {45, 71.9},  {50, 92.5},
                              {55, 118.0}, {60, 149.4}, {65, 187.5}, {70, 233.7}, {75, 289.1},
                              {80, 355.1}, {85, 433.6}, {90, 525.8}, {95, 633.9}, {100, 760.0}};
    for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); i++) {
        double torr = water_at(rows[i][0]).vapour_pa / 133.322387415;
        assert_near(torr, rows[i][1], 0.05 + 0.002 * rows[i][1]);
    }
}

static void boiling_point_agrees_with_if97_and_turns_back(void **state)
{
    (void)state;
    CsvTable t = csv_read("boiling_point");
    assert_true(t.rows >= 30);
    for (size_t i = 0; i < t.rows; i++) {
        double kpa = csv_number(&t, i, "p_kPa_abs");
        double celsius = water_boiling(kpa).temperature_c;
        assert_near(celsius, csv_number(&t, i, "t_C"), 6e-6);
        /* R7-97: the backward equation is an exact root of the forward one; rounding of p^(1/4). */
        if (celsius <= WATER_T_HIGH_C)
            assert_ratio(water_at(celsius).vapour_pa, kpa * 1000.0, 1e-9);
    }
    csv_free(&t);
    /* R7-97 table 36: 0.1 MPa 372.755919 K; 1 MPa 453.035632 K. Reproduced. */
    assert_near(water_boiling(100.0).temperature_c, 372.755919 - 273.15, 6e-7);
    assert_near(water_boiling(1000.0).temperature_c, 453.035632 - 273.15, 6e-7);
    /* A vessel at 40 psi over a standard atmosphere boils at 141.50 C. OpenStax m68768 reads about
     * 90 C off a graph at 68 kPa (seen; a graph: 1 C). */
    assert_near(water_boiling(377.115).temperature_c, 141.50, 0.005);
    assert_near(water_boiling(68.0).temperature_c, 90.0, 1.0);
}

static void no_input_gives_nan_or_infinity(void **state)
{
    (void)state;
    uint64_t seed = 1;
    for (int i = 0; i < 100000; i++) {
        WaterProperties w = water_at(nasty_number(&seed, 0.0, 110.0));
        WaterBoiling b = water_boiling(nasty_number(&seed, 0.7, 1500.0));
        assert_true(nasty_good(w.density_kg_m3, w.viscosity_pa_s, w.kinematic_m2_s, w.heat_j_kg_k,
                               w.conduct_w_m_k, w.vapour_pa, b.temperature_c));
        assert_true(w.basis.ok == (w.density_kg_m3 > 0.0));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(density_agrees_with_the_release_and_with_four_other_formulas),
        cmocka_unit_test(kell_with_the_swapped_digits_does_not_pass),
        cmocka_unit_test(density_agrees_with_a_printed_table),
        cmocka_unit_test(density_is_greatest_at_4_c),
        cmocka_unit_test(viscosity_heat_and_conductivity_agree_with_the_release),
        cmocka_unit_test(viscosity_agrees_with_other_books),
        cmocka_unit_test(vapour_pressure_agrees_with_if97),
        cmocka_unit_test(vapour_pressure_agrees_with_a_printed_table),
        cmocka_unit_test(boiling_point_agrees_with_if97_and_turns_back),
        cmocka_unit_test(no_input_gives_nan_or_infinity),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
