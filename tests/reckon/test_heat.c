/* Warming, mixing, scalds, standing, cooling, freezing. Fixtures heating.csv,
 * newton_cooling.csv, plank.csv (computed with mpmath 1.2.1), scald.csv (published). */
#include "reckon/heat.h"

#include "reckon/water.h"
#include "support/csv_table.h"
#include "support/nasty.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static const HeatLoss NONE = {.loss_w_k = 0.0, .air_c = 20.0};

/* The same formula in doubles: the fixture's 15 digits. */
static void the_heating_table_agrees(void **state)
{
    (void)state;
    CsvTable t = csv_read("heating");
    assert_int_equal(t.rows, 96);
    for (size_t i = 0; i < t.rows; i++) {
        HeatNeed n =
            heat_need(csv_number(&t, i, "m_kg"), csv_number(&t, i, "c"), csv_number(&t, i, "T1_C"),
                      csv_number(&t, i, "T2_C"), csv_number(&t, i, "P_W"));
        assert_ratio(n.energy_j, csv_number(&t, i, "Q_J"), 1e-13);
        assert_ratio(n.seconds, csv_number(&t, i, "t_s"), 1e-13);
        assert_ratio(n.energy_wh, csv_number(&t, i, "Wh"), 1e-13);
    }
    csv_free(&t);
}

/* Worked examples of textbooks, half of the last printed digit. */
static void worked_examples_of_heating_agree(void **state)
{
    (void)state;
    /* H1 OpenStax College Physics 2e m42224 (seen): 0.250 kg of water and 0.500 kg of aluminium, 20
     * to 80 C. */
    double water = heat_need(0.250, 4186.0, 20.0, 80.0, 1.0).energy_j;
    double pan = heat_need(0.500, 900.0, 20.0, 80.0, 1.0).energy_j;
    assert_near(water, 62.8e3, 50.1);
    assert_near(pan, 27.0e3, 50.0);
    assert_near(water + pan, 89.8e3, 50.0);
    assert_near(100.0 * pan / (water + pan), 30.1, 0.05);
    /* H9 Cengel, Ex. 1-2 (reproduced): 429.856 kJ, 6.0 min at 1,200 W. */
    double kettle = heat_need(1.2, 4186.0, 15.0, 95.0, 1200.0).energy_j +
                    heat_need(0.5, 700.0, 15.0, 95.0, 1200.0).energy_j;
    assert_near(kettle, 429856.0, 0.5);
    assert_near(kettle / 1200.0 / 60.0, 6.0, 0.05);
    /* H3 OpenStax m42225 (seen): 18 g of ice at 0 C into 0.25 kg at 20 C gives 13 C. */
    double melt = 0.018 * 334000.0;
    double left = (heat_need(0.25, 4186.0, 0.0, 20.0, 1.0).energy_j - melt) / (0.268 * 4186.0);
    assert_near(left, 13.0, 0.5);
    /* H7 OpenStax Chemistry 2e m68768 (seen): 94.0 g, 80 C to ice at -30 C, 68.7 kJ. With the
     * program's own latent heat and ice; 0.1 kJ, because the book takes 4.184, 6.01 kJ/mol
     * and 2.09. */
    double freeze = heat_need(0.094, 4184.0, 0.0, 80.0, 1.0).energy_j + 0.094 * HEAT_ICE_J_KG +
                    heat_need(0.094, HEAT_ICE_J_KG_K, -30.0, 0.0, 1.0).energy_j;
    assert_near(freeze, 68.7e3, 100.0);
    /* 15 kg, 15 to 40 C, 300 W, c 4186: 1,569,750 J, 5,232.5 s (computed with mpmath). */
    assert_near(heat_need(15.0, 4186.0, 15.0, 40.0, 300.0).seconds, 5232.5, 1e-9);
}

/* Against the bare formula with c 4186 and 1 kg/L: density and heat capacity of real water
 * differ by < 0.8 %. */
static void heating_a_vessel_without_losses_is_the_bare_formula(void **state)
{
    (void)state;
    HeatTime h = heat_time(15.0, 15.0, 40.0, 300.0, NONE);
    assert_ratio(h.minutes * 60.0, 5232.5, 0.008);
    assert_near(h.lost_wh, 0.0, 1e-9);
    assert_ratio(h.mass_kg, 15.0 * 0.999102, 1e-6);
}

/* The exact solution against 200,000 steps of the same energy balance: Euler's error is below
 * 1e-4 of it. */
static void losses_follow_the_energy_balance(void **state)
{
    (void)state;
    HeatLoss loss = {.loss_w_k = 2.0, .air_c = 5.0};
    HeatTime h = heat_time(10.0, 10.0, 45.0, 150.0, loss);
    assert_true(h.basis.ok);
    double mass_heat = h.energy_wh * 3600.0 / 35.0;
    double t = 10.0;
    double step = h.minutes * 60.0 / 200000.0;
    for (int i = 0; i < 200000; i++) {
        t += step * (150.0 - 2.0 * (t - 5.0)) / mass_heat;
    }
    assert_near(t, 45.0, 35.0 * 1e-4);
    assert_true(h.lost_wh > 0.0);
    assert_near(h.ceiling_c, 80.0, 1e-9);
    HeatTime never = heat_time(10.0, 10.0, 85.0, 150.0, loss);
    assert_int_equal(never.basis.reason, RECKON_UNREACHABLE);
    assert_true(never.minutes == 0.0);
}

static void losses_run_smoothly_into_none_and_more_loss_never_takes_less_time(void **state)
{
    (void)state;
    double none = heat_time(10.0, 10.0, 40.0, 300.0, NONE).minutes;
    double before = none;
    for (double k = 1e-15; k < 3.0; k *= 1.5) {
        HeatLoss loss = {.loss_w_k = k, .air_c = 5.0};
        double now = heat_time(10.0, 10.0, 40.0, 300.0, loss).minutes;
        assert_true(now >= before * (1.0 - 1e-12));
        assert_true(k > 1e-6 || fabs(now / none - 1.0) < 1e-6);
        before = now;
    }
}

/* Common practice, no source: 250 Wh warms the contents of a three-quarters-full 10 L wash
 * vessel to shower temperature (38 to 40 C) in about 15 minutes: by a 1,000 W element, from
 * tap-cold 10 C. */
static void two_hundred_and_fifty_watt_hours_make_a_shower_in_a_quarter_of_an_hour(void **state)
{
    (void)state;
    HeatLoss bare = {.loss_w_k = heat_loss_bare(10.0, 10.0).loss_w_k, .air_c = 15.0};
    HeatReached r = heat_reached(7.5, 10.0, 250.0, 1000.0, bare);
    assert_near(r.minutes, 15.0, 1e-9);
    assert_near(r.temperature_c, 38.5, 1.5);
    /* And back: the time to reach it is the time it took (heat capacity at the mean against 40 C:
     * 0.5 %). */
    assert_ratio(heat_time(7.5, 10.0, r.temperature_c, 1000.0, bare).minutes, 15.0, 0.005);
}

static void a_battery_and_the_sun_pay_for_it(void **state)
{
    (void)state;
    HeatSupply s = heat_supply(250.0, 1000.0, 12.5, 0.8, 200.0, 4.0);
    assert_near(s.battery_wh, 312.5, 1e-12);
    assert_near(s.battery_ah, 25.0, 1e-12);
    assert_near(s.battery_share, 0.3125, 1e-12);
    assert_near(s.solar_hours, 1.5625, 1e-12);
    assert_near(s.solar_day_share, 0.390625, 1e-12);
}

/* Exact arithmetic: (10 kg at 80 C + 5 kg at 15 C) = 58.3333 C. */
static void mixing_is_exact_and_turns_back(void **state)
{
    (void)state;
    assert_near(heat_mix(10.0, 80.0, 5.0, 15.0).temperature_c, 175.0 / 3.0, 1e-12);
    for (double target = 10.0; target <= 70.0; target += 2.5) {
        HeatMixTo m = heat_mix_to(12.0, 70.0, 10.0, target);
        assert_true(m.basis.ok && m.hot_l >= 0.0 && m.cold_l >= 0.0);
        double hot_kg = m.hot_l * water_at(70.0).density_kg_m3 / 1000.0;
        double cold_kg = m.cold_l * water_at(10.0).density_kg_m3 / 1000.0;
        assert_near(heat_mix(hot_kg, 70.0, cold_kg, 10.0).temperature_c, target, 1e-9);
        assert_ratio(hot_kg + cold_kg, 0.012 * water_at(target).density_kg_m3, 1e-12);
    }
    assert_false(heat_mix_to(12.0, 50.0, 10.0, 55.0).basis.ok);
    assert_int_equal(heat_mix_to(12.0, 50.0, 50.0, 50.0).basis.reason, RECKON_CONTRADICTION);
    assert_int_equal(heat_mix(0.0, 50.0, 0.0, 50.0).basis.reason, RECKON_CONTRADICTION);
}

/* scald.csv: never longer than any published time at that temperature, and it is one that is
 * printed. */
static void scald_times_are_the_shortest_published(void **state)
{
    (void)state;
    CsvTable t = csv_read("scald");
    for (size_t i = 0; i < t.rows; i++) {
        double celsius = (csv_number(&t, i, "temp_f") - 32.0) / 1.8;
        ScaldTime s = heat_scald(celsius);
        assert_true(s.burns);
        double printed = csv_number(&t, i, "time_s");
        assert_true(s.seconds_infant <= printed);
        if (strcmp(csv_text(&t, i, "source"), "infants table") != 0) {
            assert_true(s.seconds <= printed);
        }
    }
    csv_free(&t);
    /* 140 F: 2nd degree after Moritz & Henriques 1947 3 s; infants 1 s. 120 F: US CPSC 5098 and a
     * hospital about 5 min. */
    assert_near(heat_scald(60.0).seconds, 3.0, 0.0);
    assert_near(heat_scald(60.0).seconds_infant, 1.0, 0.0);
    assert_near(heat_scald((120.0 - 32.0) / 1.8).seconds, 300.0, 0.0);
    assert_near(heat_scald(45.0).seconds, 7200.0, 0.0);
    assert_false(heat_scald(40.0).burns);
    assert_false(heat_scald((120.0 - 32.0) / 1.8).above_mixed);
    assert_true(heat_scald(50.0).above_mixed);
    double before = 1e9;
    double before_infant = 1e9;
    for (double celsius = 45.0; celsius <= 100.0; celsius += 0.05) {
        ScaldTime s = heat_scald(celsius);
        assert_true(s.seconds <= before && s.seconds_infant <= before_infant);
        assert_true(s.seconds_infant <= s.seconds && s.seconds_infant > 0.0);
        before = s.seconds;
        before_infant = s.seconds_infant;
    }
}

/* UK L8 / HSG274 20 to 45 C; WHO 2007 25 to 45 C; 50 C some killed in hours; 60 C most in
 * minutes (reproduced). */
static void standing_water_is_warned_of_by_its_temperature(void **state)
{
    (void)state;
    assert_false(heat_standing(19.9).beware);
    assert_int_equal(heat_standing(20.0).band, STANDING_COOL);
    assert_int_equal(heat_standing(37.0).band, STANDING_GROWS);
    assert_true(heat_standing(37.0).beware && heat_standing(47.0).beware &&
                heat_standing(20.0).beware);
    assert_int_equal(heat_standing(55.0).band, STANDING_KILLS_H);
    assert_int_equal(heat_standing(60.0).band, STANDING_KILLS);
    assert_false(heat_standing(60.0).beware);
}

/* The same formula: 15 digits, absolute because it tends to 20 C. */
static void the_cooling_table_agrees_and_turns_back(void **state)
{
    (void)state;
    CsvTable t = csv_read("newton_cooling");
    assert_int_equal(t.rows, 32);
    for (size_t i = 0; i < t.rows; i++) {
        double from = csv_number(&t, i, "T0");
        double air = csv_number(&t, i, "Ta");
        double tau = csv_number(&t, i, "tau_s");
        double seconds = csv_number(&t, i, "t_s");
        double to = heat_cool(from, air, tau, seconds).temperature_c;
        assert_near(to, csv_number(&t, i, "T"), 1e-11);
        if (seconds < 10.0 * tau) {
            assert_near(heat_cool_time(from, to, air, tau).seconds, seconds, 1e-6 * tau);
        }
    }
    csv_free(&t);
    assert_int_equal(heat_cool_time(20.0, 5.0, 10.0, 1000.0).basis.reason, RECKON_UNREACHABLE);
    assert_int_equal(heat_cool_time(20.0, 10.0, 10.0, 1000.0).basis.reason, RECKON_UNREACHABLE);
}

/* H11 Cengel, Ex. 4-2 inputs (result computed): Lc 0.0689189 m, b 2.78948e-5 1/s, 43,871 s.
 * H13: Cu slab, 123.43 s. */
static void lumped_examples_agree(void **state)
{
    (void)state;
    double lc = 0.15 * 1.7 / (2.0 * (1.7 + 0.15));
    assert_near(lc, 0.0689189, 5e-8);
    double tau = heat_lump_tau(996.0, 4178.0, lc, 8.0).seconds;
    assert_near(1.0 / tau, 2.78948e-5, 5e-11);
    assert_near(heat_cool_time(37.0, 25.0, 20.0, tau).seconds, 43871.0, 0.51);
    double slab = heat_lump_tau(9000.0, 380.0, 0.005 / 2.0, 90.0).seconds;
    assert_near(heat_cool_time(250.0, 90.0, 30.0, slab).seconds, 123.43, 0.0051);
}

/* plank.csv: the same formula with the same constants, 15 digits. */
static void the_whole_plank_table_agrees(void **state)
{
    (void)state;
    CsvTable t = csv_read("plank");
    assert_true(t.rows >= 180);
    for (size_t i = 0; i < t.rows; i++) {
        const char *shape = csv_text(&t, i, "shape");
        PlankShape s =
            shape[1] == 'l' ? PLANK_SLAB : (shape[0] == 'c' ? PLANK_CYLINDER : PLANK_SPHERE);
        CoolTime p = heat_plank(s, csv_number(&t, i, "d_m"), csv_number(&t, i, "Ta_C"),
                                csv_number(&t, i, "h"));
        assert_true(p.basis.ok);
        assert_ratio(p.seconds, csv_number(&t, i, "t_s"), 1e-13);
        assert_ratio(p.seconds / 3600.0, csv_number(&t, i, "t_h"), 1e-13);
    }
    csv_free(&t);
}

static void freezing_is_sooner_the_colder_the_windier_and_the_smaller(void **state)
{
    (void)state;
    FreezeTime f = heat_freeze(10.0, 10.0, -10.0, 10.0);
    assert_true(f.freezes);
    /* By hand: a can of 10 L is 0.185 m wide, 0.27 m2, loses 2.7 W/K; tau 15,500 s; ln 2 of it is 3
     * h. */
    assert_ratio(f.hours_to_zero,
                 9.9970 * 4195.0 / (heat_loss_bare(10.0, 10.0).loss_w_k * 3600.0) * log(2.0),
                 0.003);
    assert_true(f.hours_to_half > f.hours_to_zero);
    /* The lumped half is sooner than half of Plank's whole for a ball of the same volume, which has
     * less surface. */
    double ball = cbrt(6.0 * 0.010 / 3.14159265358979);
    assert_true(f.hours_to_half - f.hours_to_zero <
                0.5 * heat_plank(PLANK_SPHERE, ball, -10.0, 10.0).seconds / 3600.0);
    assert_true(f.tubing_minutes / 60.0 < f.hours_to_half);
    assert_true(heat_freeze(10, 10, -20, 10).hours_to_half < f.hours_to_half);
    assert_true(heat_freeze(10, 10, -10, 25).hours_to_half < f.hours_to_half);
    assert_true(heat_freeze(5, 10, -10, 10).hours_to_half < f.hours_to_half);
    assert_true(heat_freeze(10, 5, -10, 10).hours_to_zero < f.hours_to_zero);
    assert_true(heat_freeze(10, 0, -10, 10).hours_to_zero == 0.0);
    assert_false(heat_freeze(10, 10, 0.0, 10).freezes);
    assert_true(heat_freeze(10, 10, 0.0, 10).basis.ok);
    size_t count = 0;
    assert_non_null(strstr(heat_freeze_order(&count)[0], "tap"));
    assert_true(count >= 5);
}

static void no_input_gives_nan_or_infinity(void **state)
{
    (void)state;
    uint64_t s = 7;
    for (int i = 0; i < 100000; i++) {
        HeatLoss loss = {nasty_number(&s, 0, 1000), nasty_number(&s, -50, 60)};
        if (i % 3 == 0) {
            loss.loss_w_k = nasty_number(&s, 0, 3);
        }
        double litres = nasty_number(&s, 0.05, 1000);
        double from = nasty_number(&s, 0, 100);
        double watts = nasty_number(&s, 1, 50000);
        double air = nasty_number(&s, -60, 60);
        double film = nasty_number(&s, 0.5, 100);
        HeatNeed n = heat_need(nasty_number(&s, 0.001, 1e5), nasty_number(&s, 100, 1e4), from,
                               nasty_number(&s, from, 200), watts);
        HeatTime h = heat_time(litres, from, nasty_number(&s, from, 100), watts, loss);
        HeatReached r = heat_reached(litres, from, nasty_number(&s, 0.1, 1e5), watts, loss);
        HeatSupply p = heat_supply(nasty_number(&s, 0, 1e6), nasty_number(&s, 1, 1e6),
                                   nasty_number(&s, 1, 1000), nasty_number(&s, 0.1, 1), watts,
                                   nasty_number(&s, 0.1, 24));
        HeatMix m = heat_mix(nasty_number(&s, 0, 1e5), from, nasty_number(&s, 0, 1e5),
                             nasty_number(&s, 0, 100));
        HeatMixTo x =
            heat_mix_to(litres, from, nasty_number(&s, 0, from), nasty_number(&s, 0, from));
        ScaldTime b = heat_scald(from);
        CoolTo c = heat_cool(from, air, nasty_number(&s, 1, 1e9), nasty_number(&s, 0, 1e9));
        CoolTime d =
            heat_cool_time(from, nasty_number(&s, -100, 200), air, nasty_number(&s, 1, 1e9));
        CoolTime l = heat_lump_tau(nasty_number(&s, 0.1, 3e4), nasty_number(&s, 100, 1e4),
                                   nasty_number(&s, 1e-5, 10), nasty_number(&s, 0.1, 1e4));
        HeatBare e = heat_loss_bare(litres, film);
        CoolTime k = heat_plank((PlankShape)(i % 3), nasty_number(&s, 0.0005, 5),
                                nasty_number(&s, -60, -0.1), film);
        FreezeTime f = heat_freeze(litres, nasty_number(&s, 0, 60), air, film);
        assert_true(nasty_good(n.energy_j, n.energy_wh, n.seconds, h.mass_kg, h.energy_wh,
                               h.electric_wh, h.minutes, h.lost_wh, h.ceiling_c, r.temperature_c,
                               r.minutes));
        assert_true(nasty_good(p.battery_wh, p.battery_ah, p.battery_share, p.solar_hours,
                               p.solar_day_share, m.temperature_c, x.hot_l, x.cold_l, b.seconds,
                               b.seconds_infant, c.temperature_c, d.seconds, l.seconds, e.loss_w_k,
                               e.area_m2, k.seconds, f.hours_to_zero, f.hours_to_half,
                               f.tubing_minutes));
        assert_true(h.minutes >= 0.0 && d.seconds >= 0.0 && f.hours_to_zero >= 0.0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_heating_table_agrees),
        cmocka_unit_test(worked_examples_of_heating_agree),
        cmocka_unit_test(heating_a_vessel_without_losses_is_the_bare_formula),
        cmocka_unit_test(losses_follow_the_energy_balance),
        cmocka_unit_test(losses_run_smoothly_into_none_and_more_loss_never_takes_less_time),
        cmocka_unit_test(two_hundred_and_fifty_watt_hours_make_a_shower_in_a_quarter_of_an_hour),
        cmocka_unit_test(a_battery_and_the_sun_pay_for_it),
        cmocka_unit_test(mixing_is_exact_and_turns_back),
        cmocka_unit_test(scald_times_are_the_shortest_published),
        cmocka_unit_test(standing_water_is_warned_of_by_its_temperature),
        cmocka_unit_test(the_cooling_table_agrees_and_turns_back),
        cmocka_unit_test(lumped_examples_agree),
        cmocka_unit_test(the_whole_plank_table_agrees),
        cmocka_unit_test(freezing_is_sooner_the_colder_the_windier_and_the_smaller),
        cmocka_unit_test(no_input_gives_nan_or_infinity),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
