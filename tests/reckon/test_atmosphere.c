/* The standard atmosphere. Fixture atmosphere.csv: US Standard Atmosphere 1976, computed with
 * Python double (boiling point iapws 1.5.5). */
#include "reckon/atmosphere.h"

#include "support/csv_table.h"
#include "support/nasty.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

/* The tables' altitude is geopotential; ours, as maps and receivers give it, geometric. */
static Atmosphere at_geopotential(double metres)
{
    const double earth = 6356766.0; /* U.S. Standard Atmosphere 1976, eq. 18 */
    return atmosphere_at(earth * metres / (earth - metres));
}

/* The same formula: half of the last printed digit, 0.0005 K, 0.0005 Pa, 5e-7 kg/m3, 5e-5 C. */
static void the_geopotential_table_agrees_to_its_last_digit(void **state)
{
    (void)state;
    CsvTable t = csv_read("atmosphere");
    assert_int_equal(t.rows, 29);
    for (size_t i = 0; i < t.rows; i++) {
        Atmosphere a = at_geopotential(csv_number(&t, i, "H_m"));
        assert_true(a.basis.ok);
        assert_near(a.temperature_k, csv_number(&t, i, "T_K"), 6e-4);
        assert_near(a.pressure_pa, csv_number(&t, i, "p_Pa"), 6e-4);
        assert_near(a.density_kg_m3, csv_number(&t, i, "rho_kg_m3"), 6e-7);
        assert_near(a.boiling_c, csv_number(&t, i, "water_boil_C"), 6e-5);
    }
    csv_free(&t);
}

/* Mechanical Engineers' Handbook vol. 4 (Wiley), table 6 p. 12, by GEOMETRIC Z, reproduced:
 * half of the last printed digit, a whole one for the density, whose 0.8194 is 0.81935
 * (0.819346) rounded a second time. */
static void a_geometric_altitude_agrees_with_a_handbook(void **state)
{
    (void)state;
    const double rows[][5] = {{0, 0, 288.15, 1.0133, 1.2250},
                              {2000, 1999, 275.15, 0.7950, 1.0066},
                              {4000, 3997, 262.17, 0.6166, 0.8194},
                              {6000, 5994, 249.19, 0.4722, 0.6601}};
    for (size_t i = 0; i < 4; i++) {
        Atmosphere a = atmosphere_at(rows[i][0]);
        assert_near(a.geopotential_m, rows[i][1], 0.51);
        assert_near(a.temperature_k, rows[i][2], 0.0051);
        assert_near(a.pressure_pa / 1e5, rows[i][3], 0.000051);
        assert_near(a.density_kg_m3, rows[i][4], 0.0001);
    }
    /* Atmosphere to 86 km by 2 km, geometric, reproduced: 61660 Pa, 0.81935 kg/m3 at 4000 m. */
    assert_near(atmosphere_at(4000.0).pressure_pa, 61660.0, 5.1);
    assert_near(atmosphere_at(4000.0).density_kg_m3, 0.81935, 5.1e-6);
}

/* ASHRAE (1997) short form, reproduced: its rounded constants differ by up to 0.01 % to 6 km. */
static void the_short_form_of_a_handbook_agrees(void **state)
{
    (void)state;
    for (double z = 0.0; z <= 6000.0; z += 250.0) {
        double kpa = 101.325 * pow(1.0 - 2.25577e-5 * z, 5.2559);
        assert_ratio(at_geopotential(z).pressure_pa / 1000.0, kpa, 1e-4);
    }
}

/* W3: a public copy of the table prints -25.96 C at 4572 m and 87439.3 Pa at 1219.2 m; -14.72 C
 * and 87511 Pa. */
static void a_wrong_public_copy_does_not_pass(void **state)
{
    (void)state;
    assert_near(at_geopotential(4572.0).temperature_k - 273.15, -14.72, 0.006);
    assert_true(fabs(at_geopotential(4572.0).temperature_k - 273.15 + 25.96) > 10.0);
    assert_near(at_geopotential(1219.2).pressure_pa, 87511.0, 0.6);
    assert_true(fabs(at_geopotential(1219.2).pressure_pa - 87439.3) > 50.0);
}

static void pressure_and_boiling_point_fall_with_every_metre(void **state)
{
    (void)state;
    Atmosphere before = atmosphere_at(-500.0);
    for (double z = -499.0; z <= 11000.0; z += 1.0) {
        Atmosphere a = atmosphere_at(z);
        assert_true(a.pressure_pa < before.pressure_pa);
        assert_true(a.boiling_c < before.boiling_c);
        before = a;
    }
}

static void no_altitude_gives_nan_or_infinity(void **state)
{
    (void)state;
    uint64_t seed = 2;
    for (int i = 0; i < 100000; i++) {
        double z = nasty_number(&seed, -500.0, 11000.0);
        Atmosphere a = i % 2 == 0 ? atmosphere_at(z) : at_geopotential(z);
        assert_true(nasty_good(a.geopotential_m, a.temperature_k, a.pressure_pa, a.density_kg_m3,
                               a.boiling_c));
        assert_true(a.basis.ok == (a.pressure_pa > 0.0));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_geopotential_table_agrees_to_its_last_digit),
        cmocka_unit_test(a_geometric_altitude_agrees_with_a_handbook),
        cmocka_unit_test(the_short_form_of_a_handbook_agrees),
        cmocka_unit_test(a_wrong_public_copy_does_not_pass),
        cmocka_unit_test(pressure_and_boiling_point_fall_with_every_metre),
        cmocka_unit_test(no_altitude_gives_nan_or_infinity),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
