/* The air that pushes. Fixtures gas_compression.csv, boyle_once_pressurised.csv (computed with
 * mpmath 1.2.1). */
#include "reckon/air.h"

#include "reckon/atmosphere.h"
#include "support/csv_table.h"
#include "support/nasty.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#define PSI_KPA 6.894757293168361

/* The same formulas in doubles; adiabatic through expm1: 13 digits. */
static void the_compression_table_agrees(void **state)
{
    (void)state;
    CsvTable t = csv_read("gas_compression");
    assert_int_equal(t.rows, 20);
    for (size_t i = 0; i < t.rows; i++) {
        AirCharge c =
            air_charge(csv_number(&t, i, "V_L"), csv_number(&t, i, "p_gauge_Pa") / 1000.0, 101.325);
        assert_true(c.basis.ok);
        assert_ratio(c.free_air_l, csv_number(&t, i, "free_air_L"), 1e-13);
        assert_ratio(c.added_air_l, csv_number(&t, i, "added_free_air_L"), 1e-13);
        assert_ratio(c.isothermal_j, csv_number(&t, i, "W_iso_J"), 1e-13);
        assert_ratio(c.isothermal_net_j, csv_number(&t, i, "W_iso_minus_atm_J"), 1e-12);
        assert_ratio(c.adiabatic_closed_j, csv_number(&t, i, "W_adiabatic_closed_J"), 1e-13);
        assert_ratio(c.adiabatic_j, csv_number(&t, i, "W_adiabatic_steady_J"), 1e-13);
    }
    csv_free(&t);
}

static AirVessel vessel_of(double total, double gauge)
{
    return (AirVessel){.total_l = total,
                       .heel_l = 0.0,
                       .gauge_kpa = gauge,
                       .floor_kpa = 0.0,
                       .ambient_kpa = 101.325};
}

/* The fixture keeps negative gauge values, where the tap has stopped: told as 0. 1e-9 kPa: 15
 * digits of Pa. */
static void the_once_charged_table_agrees(void **state)
{
    (void)state;
    CsvTable t = csv_read("boyle_once_pressurised");
    assert_int_equal(t.rows, 24);
    for (size_t i = 0; i < t.rows; i++) {
        AirVessel v =
            vessel_of(csv_number(&t, i, "Vt_L"), csv_number(&t, i, "p_gauge_Pa") / 1000.0);
        double water = csv_number(&t, i, "Vw_L");
        double drawn = csv_number(&t, i, "drawn_L");
        AirAfter a = air_after(&v, water, drawn);
        assert_true(a.basis.ok);
        double slow = csv_number(&t, i, "isothermal_gauge_after_Pa") / 1000.0;
        double fast = csv_number(&t, i, "adiabatic_gauge_after_Pa") / 1000.0;
        assert_near(a.gauge_kpa, fmax(0.0, slow), 1e-9);
        assert_near(a.gauge_fast_kpa, fmax(0.0, fast), 1e-9);
        /* And back: drawn to that pressure as the floor, the same litres come out. */
        if (fast > 0.0) {
            v.floor_kpa = fast;
            assert_near(air_once(&v, water).litres, drawn, 1e-9);
        }
        if (slow > 0.0) {
            v.floor_kpa = slow;
            assert_near(air_once(&v, water).litres_slow, drawn, 1e-9);
        }
    }
    csv_free(&t);
}

/* Worked examples, half of the last printed digit. */
static void worked_examples_of_gas_agree(void **state)
{
    (void)state;
    /* G1 OpenStax Chemistry 2e m68751 (seen): 13.0 psi at 15.0 mL is 26 psi at 7.5 mL. As
     * expansion: a litre of air at twice the pressure doubles before it is down again. */
    AirVessel v = {.total_l = 15.0,
                   .heel_l = 0.0,
                   .gauge_kpa = 13.0 * PSI_KPA,
                   .floor_kpa = 0.0,
                   .ambient_kpa = 13.0 * PSI_KPA};
    assert_near(air_once(&v, 7.5).litres_slow, 7.5, 1e-9);
    /* G7 OpenStax University Physics 2 m58397 (seen): 1 mol at 300 K to 3 V, 2.74e3 J = p V ln 3.
     */
    double pv = 8.314462618 * 300.0;
    AirCharge g = air_charge(pv / 300.0, 200.0, 100.0);
    assert_near(g.isothermal_j, 2.74e3, 5.0);
    /* G16 (reproduced): 10 cubic feet a minute at 100 psig, ratio about 8 (7.803), 78.0 of free
     * air. */
    AirPressure p = air_pressure(100.0 * PSI_KPA, 0.0);
    assert_near(p.ratio, 7.803, 0.0021); /* the page takes 14.7 psi */
    assert_near(air_charge(10.0, 100.0 * PSI_KPA, 101.325).free_air_l, 78.0, 0.051);
}

static void thinner_air_needs_more_of_it(void **state)
{
    (void)state;
    double before = 0.0;
    for (double z = 0.0; z <= 5000.0; z += 100.0) {
        AirPressure p = air_pressure(275.79, z);
        double free_air = air_charge(1.0, 275.79, p.ambient_kpa).free_air_l;
        assert_ratio(free_air, p.ratio, 1e-12);
        assert_true(free_air > before);
        before = free_air;
    }
    assert_string_equal(air_pressure(275.79, 12000.0).basis.field, "altitude_m");
}

static void a_compressor_takes_more_than_a_perfect_one(void **state)
{
    (void)state;
    /* 10 L at 40 psi by a small pump of 15 L/min free air at pressure, 120 W: 37.2 L of air, 2.5
     * min, 5 Wh. */
    AirRun r = air_run(10.0, 40.0 * PSI_KPA, 101.325, 15.0, 120.0, 12.0);
    assert_near(r.run_minutes, 37.2184 / 15.0, 1e-5);
    assert_near(r.battery_wh, 120.0 * 37.2184 / 15.0 / 60.0, 1e-4);
    assert_near(r.battery_ah, r.battery_wh / 12.0, 1e-12);
    assert_near(r.bound_low_wh, 4956.12 / 3600.0, 1e-5);
    /* no heat given off: 3.5 p0 V (ratio^(2/7) - 1) with the 37.2184 L at 101.325 kPa, ratio 3.72184 */
    assert_near(r.bound_high_wh, 6014.9 / 3600.0, 1e-4);
    assert_true(r.bound_high_wh < r.battery_wh);
}

/* The best fill against every other fill, tried one by one. */
static void no_other_fill_delivers_more(void **state)
{
    (void)state;
    AirVessel v = vessel_of(12.0, 275.79);
    v.heel_l = 0.3;
    v.floor_kpa = 70.0;
    AirBest best = air_best_fill(&v);
    assert_true(best.basis.ok);
    assert_near(air_once(&v, best.water_l).litres, best.litres, 1e-9);
    assert_near(air_once(&v, best.water_slow_l).litres_slow, best.litres_slow, 1e-9);
    for (double w = 0.3; w <= 12.0; w += 0.01) {
        AirOnce o = air_once(&v, w);
        assert_true(o.litres <= best.litres + 1e-9);
        assert_true(o.litres_slow <= best.litres_slow + 1e-9);
        assert_true(o.litres <= o.litres_slow);
        if (fabs(w - best.water_l) > 1e-9)
            assert_int_equal(o.runs_out, w < best.water_l);
    }
    /* brim-full and nothing drawn: the pressure stays */
    const AirAfter full = air_after(&v, 12.0, 0.0);
    assert_near(full.gauge_kpa, 275.79, 1e-9);
    assert_near(full.gauge_fast_kpa, 275.79, 1e-9);
    /* and with a drop drawn there is no air that could press on */
    for (double drawn = 1.0; drawn > 1e-4; drawn /= 10.0) {
        assert_near(air_after(&v, 12.0, drawn).gauge_kpa, 0.0, 0.0);
        assert_near(air_after(&v, 12.0, drawn).gauge_fast_kpa, 0.0, 0.0);
    }
}

static void a_pressure_is_held_against_the_lowest_rating_to_the_pascal(void **state)
{
    (void)state;
    assert_true(air_rating("gauge_kpa", 380.0, 380.0).basis.ok);
    assert_true(air_rating("gauge_kpa", 380.0, 380.0).compared);
    const Basis above = air_rating("gauge_kpa", 380.001, 380.0).basis;
    assert_int_equal(above.reason, RECKON_ABOVE_RATING);
    assert_string_equal(above.field, "gauge_kpa");
    assert_near(above.value, 380.001, 0.0);
    assert_near(above.high, 380.0, 0.0);
    /* 40 psi as typed, and as the log keeps it */
    assert_true(air_rating("gauge_kpa", 40.0 * PSI_KPA, 275.79).basis.ok);
    assert_int_equal(air_rating("gauge_kpa", 0.001, 0.0).basis.reason, RECKON_ABOVE_RATING);
    assert_true(air_rating("gauge_kpa", 0.0, 0.0).basis.ok);
    /* what nobody gave compares with nothing, and says so */
    assert_true(air_rating("gauge_kpa", 5000.0, NAN).basis.ok);
    assert_false(air_rating("gauge_kpa", 5000.0, NAN).compared);
    assert_true(air_rating("gauge_kpa", 10000.0, 10000.0).basis.ok);
    assert_string_equal(air_rating("gauge_kpa", 10001.0, NAN).basis.field, "gauge_kpa");
    assert_string_equal(air_rating("gauge_kpa", 1.0, 10001.0).basis.field, "rated_kpa");
}

/* references/physics-more.md 6, tables/sealed_gas.csv (Python double, US Standard Atmosphere 1976):
 * a rigid vessel of dry gas, its pressures to 0.1 Pa. Below 0 C there would be ice. */
static void the_table_of_sealed_gas_agrees(void **state)
{
    (void)state;
    CsvTable t = csv_read("sealed_gas");
    assert_int_equal(t.rows, 15);
    const AirVessel v = vessel_of(20.0, 276.0);
    int compared = 0;
    for (size_t i = 0; i < t.rows; i++) {
        if (csv_number(&t, i, "T_C") < 0.0)
            continue;
        const AirSealed s = air_sealed(&v, 0.0, 20.0, csv_number(&t, i, "T_C"),
                                       csv_number(&t, i, "ambient_Pa") / 1000.0);
        assert_true(s.basis.ok && !s.brimful);
        assert_near(s.gauge_kpa, csv_number(&t, i, "p_gauge_Pa") / 1000.0, 1e-4);
        compared++;
    }
    assert_int_equal(compared, 12);
    csv_free(&t);
}

/* Half of the last printed digit. */
static void a_sealed_charge_rises_with_warmth_height_and_the_swelling_of_the_water(void **state)
{
    (void)state;
    AirVessel v = vessel_of(20.0, 276.0);
    /* 276 to 315 kPa from 15 to 45 C, 31 kPa more at 3,000 m (references/physics-more.md 6) */
    const double warm = air_sealed(&v, 0.0, 15.0, 45.0, 101.325).gauge_kpa;
    assert_near(warm, 315.0, 0.5);
    const double high = atmosphere_at(3000.0).pressure_pa / 1000.0;
    assert_near(air_sealed(&v, 0.0, 15.0, 45.0, high).gauge_kpa - warm, 31.0, 0.5);
    /* S3, university exercise (reproduced there): 210 kPa gauge, 25 to 0 C, 184 kPa */
    v.gauge_kpa = 210.0;
    assert_near(air_sealed(&v, 0.0, 25.0, 0.0, 101.325).gauge_kpa, 184.0, 0.5);
    /* the same place, rigid vessel of 20 L, 2.76 bar at 20 C, to 60 C (rho 998.207, 983.195) */
    static const struct {
        double share, bar;
    } rows[] = {{0.0, 3.27}, {0.5, 3.34}, {0.8, 3.55}, {0.9, 3.96}, {0.95, 5.03}};
    v.gauge_kpa = 276.0;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const AirSealed s = air_sealed(&v, 20.0 * rows[i].share, 20.0, 60.0, 101.325);
        assert_near(s.gauge_kpa, 100.0 * rows[i].bar, 0.51);
        /* IAPWS R7-97(2012), fixture vapour_pressure.csv: 19.9 kPa at 60 C */
        assert_near(s.gauge_wet_kpa - s.gauge_kpa, 19.9, 0.05);
    }
}

/* 1,000 L of water of 20 C are 998.207/983.195 = 1.01527 times as much at 60 C: that much headspace
 * is filled by it. */
static void water_that_fills_all_the_room_has_no_pressure_to_tell(void **state)
{
    (void)state;
    AirVessel v = vessel_of(10.0, 276.0);
    const double swells = 10.0 / (998.207 / 983.195);
    assert_true(air_sealed(&v, swells + 0.0005, 20.0, 60.0, 101.325).brimful);
    assert_near(air_sealed(&v, swells + 0.0005, 20.0, 60.0, 101.325).gauge_wet_kpa, 0.0, 0.0);
    assert_false(air_sealed(&v, swells - 0.0005, 20.0, 60.0, 101.325).brimful);
    assert_true(air_sealed(&v, 10.0, 20.0, 10.0, 101.325).brimful); /* none from the first */
    assert_string_equal(air_sealed(&v, 5.0, -1.0, 20.0, 101.325).basis.field, "from_c");
    assert_string_equal(air_sealed(&v, 5.0, 20.0, 111.0, 101.325).basis.field, "to_c");
    assert_string_equal(air_sealed(&v, 10.1, 20.0, 20.0, 101.325).basis.field, "water_l");
}

static void no_input_gives_nan_or_infinity(void **state)
{
    (void)state;
    uint64_t s = 8;
    for (int i = 0; i < 100000; i++) {
        double total = nasty_number(&s, 0.1, 10000);
        double gauge = nasty_number(&s, 1, 1000);
        AirVessel v = {total, nasty_number(&s, 0, total), gauge, nasty_number(&s, 0, gauge),
                       nasty_number(&s, 20, 120)};
        double water = nasty_number(&s, v.heel_l, total);
        AirPressure p = air_pressure(gauge, nasty_number(&s, -500, 11000));
        AirCharge c = air_charge(total, gauge, v.ambient_kpa);
        AirRun r = air_run(total, gauge, v.ambient_kpa, nasty_number(&s, 0.1, 1000),
                           nasty_number(&s, 1, 5000), nasty_number(&s, 1, 1000));
        AirOnce o = air_once(&v, water);
        AirAfter a = air_after(&v, water, nasty_number(&s, 0, water - v.heel_l));
        AirBest b = air_best_fill(&v);
        AirSealed shut = air_sealed(&v, nasty_number(&s, 0, total), nasty_number(&s, 0, 110),
                                    nasty_number(&s, 0, 110), nasty_number(&s, 20, 120));
        AirRating held = air_rating("gauge_kpa", gauge, nasty_number(&s, 0, 10000));
        assert_true(nasty_good(shut.gauge_kpa, shut.gauge_wet_kpa, held.basis.value));
        assert_true(nasty_good(
            p.ambient_kpa, p.absolute_kpa, p.ratio, c.free_air_l, c.added_air_l, c.isothermal_j,
            c.isothermal_net_j, c.adiabatic_closed_j, c.adiabatic_j, r.run_minutes, r.battery_wh,
            r.battery_ah, r.per_litre_wh, r.bound_low_wh, r.bound_high_wh, o.litres, o.litres_slow,
            a.gauge_kpa, a.gauge_fast_kpa, b.water_l, b.litres, b.water_slow_l, b.litres_slow));
        assert_true(o.litres >= 0.0 && a.gauge_kpa >= a.gauge_fast_kpa && b.litres >= 0.0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_compression_table_agrees),
        cmocka_unit_test(the_once_charged_table_agrees),
        cmocka_unit_test(worked_examples_of_gas_agree),
        cmocka_unit_test(thinner_air_needs_more_of_it),
        cmocka_unit_test(a_compressor_takes_more_than_a_perfect_one),
        cmocka_unit_test(no_other_fill_delivers_more),
        cmocka_unit_test(a_pressure_is_held_against_the_lowest_rating_to_the_pascal),
        cmocka_unit_test(the_table_of_sealed_gas_agrees),
        cmocka_unit_test(a_sealed_charge_rises_with_warmth_height_and_the_swelling_of_the_water),
        cmocka_unit_test(water_that_fills_all_the_room_has_no_pressure_to_tell),
        cmocka_unit_test(no_input_gives_nan_or_infinity),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
