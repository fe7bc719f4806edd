/* Flow from the regulator to the tap. Fixture small_tube.csv (computed with mpmath 1.2.1). */
#include "reckon/hydraulics.h"
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

#define PI 3.14159265358979323846
#define PSI_KPA 6.894757293168361

static double friction(double re, double rough)
{
    FlowRegime regime;
    return hydraulics_friction(re, rough, &regime);
}

static double drop_kpa(const FlowPath *path, double flow_l_min)
{
    WaterProperties w = water_at(path->water_c);
    return hydraulics_drop_pa(path, flow_l_min, (Fluid){w.density_kg_m3, w.viscosity_pa_s}) /
           1000.0;
}

/* The same formulas in doubles, Colebrook solved to rounding: 12 digits. Blank rows lie on the
 * bridge. */
static void the_small_tube_table_agrees(void **state)
{
    (void)state;
    CsvTable t = csv_read("small_tube");
    assert_int_equal(t.rows, 35);
    const Fluid water = {998.2, 1.0016e-3};
    for (size_t i = 0; i < t.rows; i++) {
        Tube tube = {csv_number(&t, i, "D_m"), 1.0, 1.5e-6};
        TubeDrop d = hydraulics_tube(&tube, csv_number(&t, i, "Q_L_min"), water);
        assert_ratio(d.velocity_m_s, csv_number(&t, i, "V_m_s"), 1e-13);
        assert_ratio(d.reynolds, csv_number(&t, i, "Re"), 1e-13);
        const char *regime = csv_text(&t, i, "regime");
        if (strcmp(regime, "transition") == 0) {
            assert_int_equal(d.regime, FLOW_BETWEEN);
            assert_true(d.factor > 64.0 / d.reynolds);
            continue;
        }
        assert_int_equal(d.regime, regime[0] == 'l' ? FLOW_LAMINAR : FLOW_TURBULENT);
        assert_ratio(d.factor, csv_number(&t, i, "f"), 1e-12);
        assert_ratio(d.drop_pa, csv_number(&t, i, "dp_Pa_per_m"), 1e-12);
    }
    csv_free(&t);
}

/* Moody diagram facts (Metzger & Willard, reproduced): smooth 1/sqrt f = 2 log(R sqrt f) - 0.8
 * (0.8 is rounded: 0.5 %); fully rough 1/sqrt f = 1.14 - 2 log r (1.14 is rounded: 0.5 %).
 * Haaland and Swamee-Jain: 2 and 3 %. */
static void friction_agrees_with_other_forms(void **state)
{
    (void)state;
    for (double re = 4000.0; re < 1e7; re *= 1.7) {
        double smooth = friction(re, 0.0);
        assert_ratio(1.0 / sqrt(smooth), 2.0 * log10(re * sqrt(smooth)) - 0.8, 0.005);
        for (double e = 1e-6; e < 0.05; e *= 3.0) {
            double f = friction(re, e);
            double haaland = pow(-1.8 * log10(pow(e / 3.7, 1.11) + 6.9 / re), -2.0);
            double log_sj = log10(e / 3.7 + 5.74 / pow(re, 0.9));
            assert_ratio(f, haaland, 0.02);
            assert_ratio(f, 0.25 / (log_sj * log_sj), 0.035);
            /* Colebrook's own equation holds. */
            assert_near(1.0 / sqrt(f) + 2.0 * log10(e / 3.7 + 2.51 / (re * sqrt(f))), 0.0, 1e-12);
        }
    }
    double rough = friction(1e9, 0.01);
    assert_ratio(1.0 / sqrt(rough), 1.14 - 2.0 * log10(0.01), 0.005);
    /* P13 (reproduced): 90 L/min, 15 mm, k 0.045 mm, nu 1.6e-6: 0.028 read off a diagram (4 %). */
    double v = 90.0 / 60000.0 / (PI / 4.0 * 0.015 * 0.015);
    assert_ratio(friction(v * 0.015 / 1.6e-6, 0.045 / 15.0), 0.028, 0.04);
}

/* W11: tables give Fanning's factor too, four times smaller. Darcy's laminar one is 64/Re, not
 * 16/Re. */
static void the_factor_is_darcys_and_not_fannings(void **state)
{
    (void)state;
    assert_ratio(friction(1000.0, 0.0), 0.064, 1e-13);
    assert_true(fabs(friction(1000.0, 0.0) - 0.016) > 0.04);
    /* P9 (reproduced), Blasius 4 x 0.079 Re^-0.25: water 80 C, 10 mm, 3 m, 0.2 m/s, 214.1563 Pa.
     * Colebrook smooth is within 2.5 % of Blasius at Re 5,480. */
    Tube tube = {0.01, 3.0, 0.0};
    double flow = 0.2 * PI / 4.0 * 0.01 * 0.01 * 60000.0;
    TubeDrop d = hydraulics_tube(&tube, flow, (Fluid){971.8, 971.8 * 0.365e-6});
    assert_near(d.reynolds, 5479.5, 0.051);
    assert_ratio(d.drop_pa, 214.1563, 0.025);
}

static void laminar_worked_examples_agree(void **state)
{
    (void)state;
    /* P1 OpenStax College Physics 2e m42209 (seen): 0.120 cm3/s, r 0.150 mm, 2.50
     * cm, 1.00e-3: 1.62e4 N/m2 over a vein of 1.066e3: half of the last digit. */
    Tube needle = {0.0003, 0.025, 0.0};
    TubeDrop d = hydraulics_tube(&needle, 0.120e-3 * 60.0, (Fluid){1000.0, 1.0e-3});
    assert_near(d.drop_pa + 1066.0, 1.62e4, 50.0);
    assert_near(d.drop_pa, 15090.0, 0.51);
    /* P3 (seen): half the flow at the same pressure: r2/r1 = 0.841. */
    Tube narrow = {0.0003 * 0.8409, 0.025, 0.0};
    assert_ratio(hydraulics_tube(&narrow, 0.060e-3 * 60.0, (Fluid){1000.0, 1.0e-3}).drop_pa,
                 d.drop_pa, 4e-4);
    /* P5 Cengel & Cimbala Ex. 8-2 (inputs; result computed): Re 1777.49, f 0.0360059, 43.7472 kPa.
     */
    Tube pipe = {0.003, 9.0, 0.0};
    TubeDrop p5 =
        hydraulics_tube(&pipe, 0.9 * PI / 4.0 * 9e-6 * 60000.0, (Fluid){1000.0, 1.519e-3});
    assert_near(p5.reynolds, 1777.49, 0.0051);
    assert_near(p5.factor, 0.0360059, 5.1e-8);
    assert_near(p5.drop_pa, 43747.2, 0.051);
    /* P11 (reproduced) glycerin: 3 m/s, 40 mm, 70 m, 1252, 0.3073: 1291 kPa, Re 488.9. */
    Tube oil = {0.04, 70.0, 0.0};
    TubeDrop p11 =
        hydraulics_tube(&oil, 3.0 * PI / 4.0 * 0.0016 * 60000.0, (Fluid){1252.0, 0.3073});
    assert_near(p11.drop_pa, 1291e3, 500.0);
    assert_near(p11.reynolds, 488.9, 0.051);
}

/* P7 Cengel & Cimbala Ex. 8-8 (inputs; result computed with Colebrook): Re 116,865, f
 * 0.0315189, head loss 27.825 m with K 2.36. Through the whole path: driven by just that head,
 * the flow is 6 L/s. */
static void a_pipe_between_two_reservoirs_agrees(void **state)
{
    (void)state;
    Tube pipe = {0.05, 89.0, 0.00026};
    TubeDrop d = hydraulics_tube(&pipe, 360.0, (Fluid){999.7, 1.307e-3});
    assert_near(d.reynolds, 116865.0, 0.51);
    assert_near(d.factor, 0.0315189, 5.1e-8);
    double head = (d.drop_pa / 999.7 + 2.36 * d.velocity_m_s * d.velocity_m_s / 2.0) / 9.81;
    assert_near(head, 27.825, 0.00051);
    Resist part = {.kind = RESIST_TUBE, .tube = pipe, .k = 2.36};
    double lift_kpa = 999.7 * 9.81 * head / 1000.0;
    FlowPath path = {
        .parts = &part, .count = 1, .supply_kpa = lift_kpa, .rise_m = 0.0, .water_c = 10.0};
    /* Viscosity and density at 10 C are 1.3059e-3 and 999.70 here: the flow differs by less than
     * 0.05 %. */
    assert_ratio(hydraulics_flow(&path).flow_l_min, 360.0, 5e-4);
}

/* Within the step of a hair of Re the factor moves by a hair, at both ends of the bridge, and
 * the drop always rises. */
static void friction_is_continuous_and_the_drop_rises_with_the_flow(void **state)
{
    (void)state;
    const double seams[] = {HYDRAULICS_RE_LAMINAR, HYDRAULICS_RE_TURBULENT};
    for (double e = 0.0; e <= 0.05; e += 0.005) {
        for (int i = 0; i < 2; i++) {
            double below = friction(seams[i] * (1.0 - 1e-9), e);
            double above = friction(seams[i] * (1.0 + 1e-9), e);
            assert_ratio(above, below, 1e-8);
        }
        double before = 0.0;
        for (double re = 1.0; re < 1e6; re *= 1.003) {
            double drop = friction(re, e) * re * re;
            assert_true(drop > before);
            before = drop;
        }
    }
}

/* The coefficients used lie in the span of the three published tables (reproduced). */
static void loss_coefficients_lie_in_the_published_span(void **state)
{
    (void)state;
    const double span[FITTING_COUNT][2] = {{0.9, 1.5},  {0.6, 0.7},   {0.4, 0.4}, {0.3, 0.9},
                                           {0.75, 2.0}, {0.04, 0.04}, {0.1, 0.3}, {4.0, 10.0},
                                           {1.8, 5.0},  {0.6, 2.5},   {0.5, 0.5}, {1.0, 1.0}};
    for (int i = 0; i < FITTING_COUNT; i++) {
        double k = hydraulics_fitting_k((Fitting)i);
        assert_true(k >= span[i][0] && k <= span[i][1]);
    }
    assert_true(hydraulics_fitting_k(FITTING_COUNT) == 0.0);
}

/* P17 OpenStax College Physics 2e m42206 (seen): hose 1.96 m/s to nozzle 25.5 m/s, 3.23e5 Pa
 * above the air outside: an opening of K 1 less the speed in the hose. */
static void an_opening_turns_pressure_into_speed(void **state)
{
    (void)state;
    double bore = 0.005;
    double flow = 25.5 * PI / 4.0 * bore * bore * 60000.0;
    Resist nozzle = resist_opening(bore * 1000.0, 1.0, 1.0);
    FlowPath path = {
        .parts = &nozzle, .count = 1, .supply_kpa = 324.0, .rise_m = 0.0, .water_c = 4.0};
    double drop = drop_kpa(&path, flow);
    assert_near(drop - 1.96 * 1.96 / 2.0 + 101.0, 424.0, 0.51);
}

enum { PARTS = 6 };
/* A line of a camper as usual, common practice, no source: couplings of 6 mm bore, 6 m of 3/8
 * inch tube (outside; 6.35 mm inside), a sediment and a carbon cartridge, a lamp chamber, a
 * hand spray of 4 L/min at 100 kPa. */
static void line_of_a_camper(Resist parts[PARTS], double tube_mm)
{
    parts[0] = resist_opening(6.0, 2.0, 8.0);
    parts[1] = resist_tube(tube_mm, 6.0, 10.0 * 1.5);
    parts[2] = resist_rated(4.0, 20.0, 1.2);
    parts[3] = resist_rated(4.0, 40.0, 1.0);
    parts[4] = resist_rated(4.0, 5.0, 2.0);
    parts[5] = resist_rated(4.0, 100.0, 2.0);
}

static TapFlow flow_at(const Resist *parts, double psi, double rise_m)
{
    FlowPath path = {.parts = parts,
                     .count = PARTS,
                     .supply_kpa = psi * PSI_KPA,
                     .rise_m = rise_m,
                     .water_c = 12.0};
    return hydraulics_flow(&path);
}

static void the_drops_add_up_to_the_driving_pressure(void **state)
{
    (void)state;
    Resist parts[PARTS];
    line_of_a_camper(parts, 6.35);
    TapFlow f = flow_at(parts, 40.0, 0.8);
    assert_true(f.basis.ok);
    double sum = 0.0;
    for (int i = 0; i < PARTS; i++) {
        sum += f.drop_kpa[i];
        assert_true(f.drop_kpa[i] <= f.drop_kpa[f.worst]);
    }
    assert_ratio(sum, f.driving_kpa, 1e-12); /* solved to rounding */
    assert_ratio(f.driving_kpa, 40.0 * PSI_KPA - 0.8 * 9.80665 * 0.9995, 1e-5);
}

/* Common practice, no source: 40 to 50 psi runs a hand spray (2 L/min and more), 3/8 inch tube
 * is the usual size: a size up gains less than a quarter of the flow, 1/8 inch inside loses
 * most of it. */
static void forty_psi_runs_a_hand_spray_through_three_eighths_tube(void **state)
{
    (void)state;
    Resist parts[PARTS];
    line_of_a_camper(parts, 6.35);
    double usual = flow_at(parts, 40.0, 1.0).flow_l_min;
    double more = flow_at(parts, 50.0, 1.0).flow_l_min;
    assert_true(usual > 2.0 && more > usual && more < 10.0);
    Resist wide[PARTS];
    line_of_a_camper(wide, 9.5);
    assert_true(flow_at(wide, 40.0, 1.0).flow_l_min < usual * 1.25);
    Resist thin[PARTS];
    line_of_a_camper(thin, 3.175);
    assert_true(flow_at(thin, 40.0, 1.0).flow_l_min < usual * 0.6);
}

/* K adds up over openings one behind the other; the drop goes with the square of the flow. */
static void couplings_in_series_add_up(void **state)
{
    (void)state;
    Resist eight = resist_opening(6.0, 2.0, 8.0);
    Resist one = resist_opening(6.0, 2.0, 1.0);
    FlowPath path = {.parts = &eight, .count = 1, .supply_kpa = 100.0, .water_c = 20.0};
    double all = drop_kpa(&path, 3.0);
    path.parts = &one;
    assert_ratio(all, 8.0 * drop_kpa(&path, 3.0), 1e-12);
    assert_ratio(drop_kpa(&path, 6.0), all / 2.0, 1e-12);
}

static void more_pressure_less_lift_shorter_tube_never_give_less_flow(void **state)
{
    (void)state;
    Resist parts[PARTS];
    line_of_a_camper(parts, 6.35);
    double before = -1.0;
    for (double psi = 0.0; psi <= 100.0; psi += 0.25) {
        double now = flow_at(parts, psi, 1.0).flow_l_min;
        assert_true(now >= before);
        before = now;
    }
    before = INFINITY;
    for (double rise = -5.0; rise <= 40.0; rise += 0.1) {
        double now = flow_at(parts, 40.0, rise).flow_l_min;
        assert_true(now <= before);
        before = now;
    }
    assert_true(before == 0.0); /* 40 psi lifts 28 m, no more */
    before = INFINITY;
    for (double metres = 0.0; metres <= 100.0; metres += 0.5) {
        parts[1].tube.length_m = metres;
        double now = flow_at(parts, 40.0, 1.0).flow_l_min;
        assert_true(now < before);
        before = now;
    }
}

/* One tube alone across the bridge: a small step of pressure is a small step of flow. */
static void the_flow_does_not_jump_across_the_regimes(void **state)
{
    (void)state;
    Resist tube = resist_tube(6.35, 10.0, 0.0);
    FlowPath path = {.parts = &tube, .count = 1, .supply_kpa = 1.0, .rise_m = 0.0, .water_c = 20.0};
    double before = hydraulics_flow(&path).flow_l_min;
    bool seen[3] = {false, false, false};
    for (double kpa = 1.001; kpa < 30.0; kpa *= 1.001) {
        path.supply_kpa = kpa;
        TapFlow f = hydraulics_flow(&path);
        seen[f.regime] = true;
        assert_true(f.flow_l_min > before && f.flow_l_min < before * 1.0012);
        before = f.flow_l_min;
    }
    assert_true(seen[FLOW_LAMINAR] && seen[FLOW_BETWEEN] && seen[FLOW_TURBULENT]);
}

static void a_timed_jug_tells_a_clogged_train(void **state)
{
    (void)state;
    Clogging c = hydraulics_clogging(1.0, 30.0, 3.2, 1500.0, 275.0, 275.0);
    assert_near(c.flow_l_min, 2.0, 1e-12);
    assert_near(c.fall, 0.375, 1e-12);
    assert_true(c.clogged);
    Clogging third = hydraulics_clogging(1.0, 30.0, 3.0, 1500.0, 275.0, 275.0);
    assert_near(third.fall, 1.0 / 3.0, 1e-12);
    /* both sides of a third: 2.01 and 1.99 of 3 L/min */
    assert_false(hydraulics_clogging(2.01, 60.0, 3.0, 1500.0, 275.0, 275.0).clogged);
    assert_true(hydraulics_clogging(1.99, 60.0, 3.0, 1500.0, 275.0, 275.0).clogged);
    /* Torricelli (OpenStax, College Physics 2e, 12.3): speed goes with the root of the pressure, so
     * that a quarter of it gives half the flow with nothing clogged */
    assert_near(hydraulics_clogging(1.6, 60.0, 3.2, 1500.0, 68.75, 275.0).fall, 0.0, 1e-12);
    /* a fall under a hundredth promises nothing */
    assert_near(hydraulics_clogging(2.98, 60.0, 3.0, 100.0, 275.0, 275.0).swap_in_litres, 0.0, 0.0);
    assert_true(hydraulics_clogging(2.96, 60.0, 3.0, 100.0, 275.0, 275.0).swap_in_litres > 0.0);
    Clogging half_way = hydraulics_clogging(1.0, 30.0, 2.4, 1000.0, 275.0, 275.0);
    assert_false(half_way.clogged);
    assert_near(half_way.swap_in_litres, 1000.0,
                1e-9); /* a sixth lost in 1,000 L: another 1,000 to a third */
    /* Less pressure is not clogging. */
    assert_false(hydraulics_clogging(1.0, 30.0, 3.2, 1500.0, 100.0, 275.0).clogged);
    assert_near(hydraulics_clogging(1.0, 15.0, 3.2, 0.0, 275.0, 275.0).fall, -0.25, 1e-12);
}

static void time_to_empty_is_volume_over_flow(void **state)
{
    (void)state;
    assert_near(hydraulics_empty(30.0, 2.5).minutes, 12.0, 1e-12);
    assert_false(hydraulics_empty(30.0, 0.0).basis.ok);
}

static void more_pressure_at_the_regulator_never_gives_more_dose(void **state)
{
    (void)state;
    Resist parts[PARTS];
    line_of_a_camper(parts, 6.35);
    UvChamber chamber = ultraviolet_chamber(40.0, 4.0);
    double before = INFINITY;
    for (double psi = 2.0; psi <= 80.0; psi += 1.0) {
        FlowPath path = {.parts = parts,
                         .count = PARTS,
                         .supply_kpa = psi * PSI_KPA,
                         .rise_m = 0.5,
                         .water_c = 12.0};
        FlowDose d = hydraulics_dose(&path, &chamber, 3000.0, 92.0);
        assert_true(d.dose.basis.ok && d.dose.dose_mj_cm2 < before);
        assert_ratio(d.dose.dose_mj_cm2,
                     ultraviolet_dose(&chamber, d.flow.flow_l_min, 3000.0, 92.0).dose_mj_cm2,
                     1e-15);
        before = d.dose.dose_mj_cm2;
    }
}

static void no_input_gives_nan_or_infinity(void **state)
{
    (void)state;
    uint64_t s = 9;
    for (int i = 0; i < 20000; i++) {
        Resist parts[4];
        for (int k = 0; k < 4; k++) {
            double bore = nasty_number(&s, 0.0001, i % 2 == 0 ? 0.02 : 1.0);
            parts[k] = (Resist){
                .kind = (ResistKind)nasty_pick(&s, 3),
                .tube = {bore, nasty_number(&s, 0, 1000), nasty_number(&s, 0, 0.05 * bore)},
                .k = nasty_number(&s, 0, 1e6),
                .count = nasty_number(&s, 0, 1000),
                .rated_l_min = nasty_number(&s, 0.01, 1000),
                .rated_drop_kpa = nasty_number(&s, 0, 5000),
                .exponent = nasty_number(&s, 1, 2)};
        }
        FlowPath path = {parts, nasty_pick(&s, 5), nasty_number(&s, 0, 1000),
                         nasty_number(&s, -50, 50), nasty_number(&s, 0, 60)};
        UvChamber chamber =
            ultraviolet_chamber(nasty_number(&s, 1, 1000), nasty_number(&s, 0.1, 200));
        FlowDose f =
            hydraulics_dose(&path, &chamber, nasty_number(&s, 0, 20000), nasty_number(&s, 50, 100));
        Clogging c = hydraulics_clogging(nasty_number(&s, 0.05, 100), nasty_number(&s, 1, 36000),
                                         nasty_number(&s, 0.01, 1000), nasty_number(&s, 0, 1e7),
                                         nasty_number(&s, 1, 1000), nasty_number(&s, 1, 1000));
        TimeToEmpty e =
            hydraulics_empty(nasty_number(&s, 0, 10000), nasty_number(&s, 0.001, 10000));
        assert_true(nasty_good(f.flow.flow_l_min, f.flow.driving_kpa, f.flow.reynolds,
                               f.dose.dose_mj_cm2, f.dose.flow_limit_l_min, c.flow_l_min, c.fall,
                               c.swap_in_litres, e.minutes));
        assert_true(nasty_finite(f.flow.drop_kpa, FLOW_PATH_MAX));
        assert_true(f.flow.flow_l_min >= 0.0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_small_tube_table_agrees),
        cmocka_unit_test(friction_agrees_with_other_forms),
        cmocka_unit_test(the_factor_is_darcys_and_not_fannings),
        cmocka_unit_test(laminar_worked_examples_agree),
        cmocka_unit_test(a_pipe_between_two_reservoirs_agrees),
        cmocka_unit_test(friction_is_continuous_and_the_drop_rises_with_the_flow),
        cmocka_unit_test(loss_coefficients_lie_in_the_published_span),
        cmocka_unit_test(an_opening_turns_pressure_into_speed),
        cmocka_unit_test(the_drops_add_up_to_the_driving_pressure),
        cmocka_unit_test(forty_psi_runs_a_hand_spray_through_three_eighths_tube),
        cmocka_unit_test(couplings_in_series_add_up),
        cmocka_unit_test(more_pressure_less_lift_shorter_tube_never_give_less_flow),
        cmocka_unit_test(the_flow_does_not_jump_across_the_regimes),
        cmocka_unit_test(a_timed_jug_tells_a_clogged_train),
        cmocka_unit_test(time_to_empty_is_volume_over_flow),
        cmocka_unit_test(more_pressure_at_the_regulator_never_gives_more_dose),
        cmocka_unit_test(no_input_gives_nan_or_infinity),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
