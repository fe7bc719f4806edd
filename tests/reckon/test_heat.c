/* Warming, mixing, scalds, standing. Fixtures heating.csv (computed with mpmath 1.2.1), scald.csv
 * (published). */
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

/* heating.csv, rows of 4,186 J/(kg K): real water's heat capacity lies within 0.6 % of it. */
static void the_heating_table_agrees(void **state)
{
    (void)state;
    CsvTable t = csv_read("heating");
    int used = 0;
    for (size_t i = 0; i < t.rows; i++) {
        if (csv_number(&t, i, "c") != 4186.0)
            continue;
        const double from = csv_number(&t, i, "T1_C");
        const double litres = csv_number(&t, i, "m_kg") / water_at(from).density_kg_m3 * 1000.0;
        HeatTime h =
            heat_time(litres, from, csv_number(&t, i, "T2_C"), csv_number(&t, i, "P_W"), NONE);
        assert_ratio(h.minutes * 60.0, csv_number(&t, i, "t_s"), 0.006);
        assert_ratio(h.energy_wh, csv_number(&t, i, "Wh"), 0.006);
        used++;
    }
    assert_int_equal(used, 48);
    csv_free(&t);
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
    for (int i = 0; i < 200000; i++)
        t += step * (150.0 - 2.0 * (t - 5.0)) / mass_heat;
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
    HeatLoss bare = {.loss_w_k = 2.7, .air_c = 15.0};
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

/* Exact arithmetic: 5 kg at 15 C with 10 kg at 80 C are 15 kg at 58.3333 C. */
static void mixing_is_exact(void **state)
{
    (void)state;
    HeatMixTo m = heat_mix_to(15.0, 80.0, 15.0, 175.0 / 3.0);
    assert_ratio(m.hot_l * water_at(80.0).density_kg_m3,
                 2.0 * m.cold_l * water_at(15.0).density_kg_m3, 1e-9);
    for (double target = 10.0; target <= 70.0; target += 2.5) {
        m = heat_mix_to(12.0, 70.0, 10.0, target);
        assert_true(m.basis.ok && m.hot_l >= 0.0 && m.cold_l >= 0.0);
        double hot_kg = m.hot_l * water_at(70.0).density_kg_m3 / 1000.0;
        double cold_kg = m.cold_l * water_at(10.0).density_kg_m3 / 1000.0;
        assert_ratio(hot_kg * 70.0 + cold_kg * 10.0, target * (hot_kg + cold_kg), 1e-9);
        assert_ratio(hot_kg + cold_kg, 0.012 * water_at(target).density_kg_m3, 1e-12);
    }
    assert_false(heat_mix_to(12.0, 50.0, 10.0, 55.0).basis.ok);
    assert_int_equal(heat_mix_to(12.0, 50.0, 50.0, 50.0).basis.reason, RECKON_CONTRADICTION);
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
        if (strcmp(csv_text(&t, i, "source"), "infants table") != 0)
            assert_true(s.seconds <= printed);
    }
    csv_free(&t);
    /* 140 F: 2nd degree after Moritz & Henriques 1947 3 s; infants 1 s. 120 F: US CPSC 5098 and a
     * hospital about 5 min. */
    assert_near(heat_scald(60.0).seconds, 3.0, 0.0);
    assert_near(heat_scald(60.0).seconds_infant, 1.0, 0.0);
    assert_near(heat_scald((120.0 - 32.0) / 1.8).seconds, 300.0, 0.0);
    assert_near(heat_scald(45.0).seconds, 7200.0, 0.0);
    assert_false(heat_scald(40.0).burns);
    /* the mixing valve's 49 C (120 F): at it is not above it */
    assert_false(heat_scald(49.0).above_mixed);
    assert_true(heat_scald(49.1).above_mixed);
    /* between printed rows the next hotter one: 121 F reads 124 F, 2 min; 126 F reads 130, 30 s */
    assert_near(heat_scald((121.0 - 32.0) / 1.8).seconds, 120.0, 0.0);
    assert_near(heat_scald((126.0 - 32.0) / 1.8).seconds, 30.0, 0.0);
    /* infants by their own rows, 120 F 4 min, 140 F 1 s, 150 F half a second */
    assert_near(heat_scald(45.0).seconds_infant, 240.0, 0.0);
    assert_near(heat_scald((120.0 - 32.0) / 1.8).seconds_infant, 240.0, 0.0);
    assert_near(heat_scald((120.5 - 32.0) / 1.8).seconds_infant, 1.0, 0.0);
    assert_near(heat_scald((140.5 - 32.0) / 1.8).seconds_infant, 0.5, 0.0);
    assert_non_null(strstr(heat_scald(54.0).who_infant, "infants"));
    assert_null(strstr(heat_scald(54.0).who, "infants"));
    /* no row above 156 F */
    assert_false(heat_scald((156.0 - 32.0) / 1.8).beyond);
    assert_true(heat_scald((157.0 - 32.0) / 1.8).beyond);
    assert_true(heat_scald(45.0).burns && !heat_scald(44.9).burns);
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
    assert_int_equal(heat_standing(24.9).band, STANDING_COOL);
    assert_int_equal(heat_standing(25.0).band, STANDING_GROWS);
    assert_int_equal(heat_standing(44.9).band, STANDING_GROWS);
    assert_int_equal(heat_standing(45.0).band, STANDING_LIVES);
    assert_int_equal(heat_standing(49.9).band, STANDING_LIVES);
    assert_int_equal(heat_standing(50.0).band, STANDING_KILLS_H);
    assert_true(heat_standing(37.0).beware && heat_standing(47.0).beware &&
                heat_standing(20.0).beware);
    assert_int_equal(heat_standing(55.0).band, STANDING_KILLS_H);
    assert_int_equal(heat_standing(59.9).band, STANDING_KILLS_H);
    assert_int_equal(heat_standing(60.0).band, STANDING_KILLS);
    assert_true(heat_standing(90.0).beware); /* it scalds, and cools through all the bands */
}

static void no_input_gives_nan_or_infinity(void **state)
{
    (void)state;
    uint64_t s = 7;
    for (int i = 0; i < 100000; i++) {
        HeatLoss loss = {nasty_number(&s, 0, 1000), nasty_number(&s, -50, 60)};
        if (i % 3 == 0)
            loss.loss_w_k = nasty_number(&s, 0, 3);
        double litres = nasty_number(&s, 0.05, 1000);
        double from = nasty_number(&s, 0, 100);
        double watts = nasty_number(&s, 1, 50000);
        HeatTime h = heat_time(litres, from, nasty_number(&s, from, 100), watts, loss);
        HeatReached r = heat_reached(litres, from, nasty_number(&s, 0.1, 1e5), watts, loss);
        HeatSupply p = heat_supply(nasty_number(&s, 0, 1e6), nasty_number(&s, 1, 1e6),
                                   nasty_number(&s, 1, 1000), nasty_number(&s, 0.1, 1), watts,
                                   nasty_number(&s, 0.1, 24));
        HeatMixTo x =
            heat_mix_to(litres, from, nasty_number(&s, 0, from), nasty_number(&s, 0, from));
        ScaldTime b = heat_scald(from);
        assert_true(nasty_good(h.mass_kg, h.energy_wh, h.electric_wh, h.minutes, h.lost_wh,
                               h.ceiling_c, r.temperature_c, r.minutes));
        assert_true(nasty_good(p.battery_wh, p.battery_ah, p.battery_share, p.solar_hours,
                               p.solar_day_share, x.hot_l, x.cold_l, b.seconds, b.seconds_infant));
        assert_true(h.minutes >= 0.0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_heating_table_agrees),
        cmocka_unit_test(heating_a_vessel_without_losses_is_the_bare_formula),
        cmocka_unit_test(losses_follow_the_energy_balance),
        cmocka_unit_test(losses_run_smoothly_into_none_and_more_loss_never_takes_less_time),
        cmocka_unit_test(two_hundred_and_fifty_watt_hours_make_a_shower_in_a_quarter_of_an_hour),
        cmocka_unit_test(a_battery_and_the_sun_pay_for_it),
        cmocka_unit_test(mixing_is_exact),
        cmocka_unit_test(scald_times_are_the_shortest_published),
        cmocka_unit_test(standing_water_is_warned_of_by_its_temperature),
        cmocka_unit_test(no_input_gives_nan_or_infinity),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
