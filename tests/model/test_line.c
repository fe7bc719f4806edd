/* The series line: levels, classes and ages on the way to the tap; pressurising. Mixing and Boyle's
 * law are held against published and tabulated values. */
#include "model/line.h"
#include "model/supply.h"
#include "support/csv_table.h"
#include "support/logbook.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static void assert_near(double is, double should, double tolerance, const char *what)
{
    if (!(fabs(is - should) <= tolerance))
        fail_msg("%s: %.15g, should be %.15g", what, is, should);
}

/* ---- the mixing, against tables ---- */

static void test_one_vessel_washes_out_exponentially(void **state)
{
    (void)state;
    /* tables/washout_single.csv: C/C0 = exp(-V/V0), computed with mpmath 1.2.1. */
    CsvTable table = csv_read("washout_single");
    for (size_t i = 0; i < table.rows; i++) {
        double s[2] = {0, 1};
        const double W[2] = {0, 15000};
        line_mix(s, W, 1, 15000 * csv_number(&table, i, "V_over_V0"));
        assert_near(s[1], csv_number(&table, i, "C_over_C0"), 1e-14, "one vessel");
    }
    csv_free(&table);
}

static void test_a_slug_in_the_first_of_several_reaches_the_tap_as_tabulated(void **state)
{
    (void)state;
    /* tables/washout_series_first_contaminated.csv: only vessel 1 dirty, clean feed:
     * C_N/C0 = exp(-x) x^(N-1)/(N-1)!, x = volume passed / volume of one vessel; mpmath 1.2.1. */
    CsvTable table = csv_read("washout_series_first_contaminated");
    for (size_t i = 0; i < table.rows; i++) {
        const int n = (int)csv_number(&table, i, "N");
        double s[VESSELS_ABOARD_MAX + 1] = {0, 1}, W[VESSELS_ABOARD_MAX + 1];
        assert_in_range(n, 1, VESSELS_ABOARD_MAX);
        for (int j = 0; j <= n; j++)
            W[j] = 12000;
        line_mix(s, W, n, 12000 * csv_number(&table, i, "x"));
        assert_near(s[n], csv_number(&table, i, "C_out_over_C0"), 1e-14, "slug");
    }
    csv_free(&table);
}

static void test_equal_vessels_give_the_curves_of_tanks_in_series(void **state)
{
    (void)state;
    /* R. B. MacMullin and M. Weber, Trans. AIChE 31(2), 409-458 (1935): E and F of N equal tanks;
     * values in tables/tanks_in_series.csv (mpmath 1.2.1, 50 digits). All N dirty and a clean feed
     * leave 1-F(theta) at the outlet; a slug in the first leaves E(theta)/N. */
    CsvTable table = csv_read("tanks_in_series");
    int checked = 0;
    for (size_t i = 0; i < table.rows; i++) {
        const int n = (int)csv_number(&table, i, "N");
        if (n > VESSELS_ABOARD_MAX)
            continue;
        double all[VESSELS_ABOARD_MAX + 1] = {0}, slug[VESSELS_ABOARD_MAX + 1] = {0, 1};
        double W[VESSELS_ABOARD_MAX + 1];
        for (int j = 0; j <= n; j++)
            W[j] = 1;
        for (int j = 1; j <= n; j++)
            all[j] = 1;
        const double v = n * csv_number(&table, i, "theta");
        line_mix(all, W, n, v);
        line_mix(slug, W, n, v);
        assert_near(all[n], csv_number(&table, i, "1-F"), 2e-14, "1-F");
        assert_near(n * slug[n], csv_number(&table, i, "E_theta"), 2e-13, "E");
        checked++;
    }
    csv_free(&table);
    assert_true(checked >= 60);
}

/* Distinct vessels in a row in closed form: H. Bateman, Proc. Cambridge Philos. Soc. 15 (1910) 423
 * (from memory). Of a content of 1 in vessel i, with k = 1/W, vessel n has
 *   k(i+1) ... k(n) * sum over j = i..n of exp(-k(j) v) / product over m != j of (k(m) - k(j)). */
static double bateman(const double *W, int i, int n, double v)
{
    long double sum = 0;
    for (int j = i; j <= n; j++) {
        long double part = expl(-(long double)v / W[j]);
        for (int m = i; m <= n; m++)
            if (m != j)
                part /= 1.0L / W[m] - 1.0L / W[j];
        sum += part;
    }
    for (int m = i + 1; m <= n; m++)
        sum /= W[m];
    return (double)sum;
}

static void test_a_vessel_with_a_millilitre_in_it_is_solved_like_any_other(void **state)
{
    (void)state;
    static const double chains[][5] = {{0, 12000, 1, 9000, 0},
                                       {0, 1, 12000, 9000, 0},
                                       {0, 12000, 9000, 1, 0},
                                       {0, 200, 12000, 3, 9000}};
    for (size_t c = 0; c < sizeof chains / sizeof *chains; c++) {
        const double *W = chains[c];
        const int n = W[4] > 0 ? 4 : 3;
        for (double v = 1; v < 40000; v *= 1.9) {
            double s[5] = {100, 1, 2, 3, 5};
            line_mix(s, W, n, v);
            for (int j = 1; j <= n; j++) {
                static const double first[] = {100, 1, 2, 3, 5};
                double want = first[0]; /* the inflow has taken the place of what is gone */
                for (int i = 1; i <= j; i++)
                    want += (first[i] - first[0]) * bateman(W, i, j, v);
                assert_near(s[j], want, 1e-9, "millilitre");
            }
        }
    }
}

static void test_the_spread_of_n_equal_vessels_is_one_nth_of_the_mean_squared(void **state)
{
    (void)state;
    /* N = tau^2/sigma^2: O. Levenspiel, Chemical Reaction Engineering, 3rd ed. (1999), ch. 14. With
     * the outlet 1-F = h: mean = integral of h, mean square = 2 integral of t h (Simpson). */
    for (int n = 1; n <= 8; n++) {
        double mean = 0, square = 0;
        const int steps = 6000;
        const double end = 40, h = end / steps;
        for (int i = 0; i <= steps; i++) {
            double s[VESSELS_ABOARD_MAX + 1] = {0}, W[VESSELS_ABOARD_MAX + 1];
            for (int j = 1; j <= n; j++)
                s[j] = 1;
            for (int j = 0; j <= n; j++)
                W[j] = 1.0 / n;
            line_mix(s, W, n, i * h);
            const double weight = (i == 0 || i == steps ? 1 : i % 2 == 1 ? 4 : 2) * h / 3;
            mean += weight * s[n];
            square += weight * 2 * i * h * s[n];
        }
        assert_near(mean, 1, 1e-7, "mean");
        assert_near(mean * mean / (square - mean * mean), n, 1e-4 * n, "tau^2/sigma^2");
    }
}

static void test_mixing_problems_of_textbooks_come_out(void **state)
{
    (void)state;
    /* A public teaching page (references/physics T6): 200 L with 20 kg of salt, 5 L/min of clean
     * water for 40 min leave 20/e = 7.36 kg. */
    double s[2] = {0, 20.0 / 200};
    const double tank[2] = {0, 200};
    line_mix(s, tank, 1, 5 * 40);
    assert_near(s[1] * 200, 7.36, 0.005, "kg of salt");
    /* Purdue University, MA 366, lesson 7: 600 L, rate constant 1/150 per min, so 4 L/min in at
     * 1/2 kg/L from 40 kg: Q(t) = 300 - 260 exp(-t/150) kg, limit 300 kg. */
    for (double t = 0; t < 3000; t += 75) {
        double q[2] = {0.5, 40.0 / 600};
        const double W[2] = {0, 600};
        line_mix(q, W, 1, 4 * t);
        assert_near(q[1] * 600, 300 - 260 * exp(-t / 150), 1e-10, "kg in the tank");
    }
}

/* W ds/dv = s(j-1) - s(j) by the classical Runge-Kutta method: another road to the same. */
static void mix_by_steps(double *s, const double *W, int n, double v, int steps)
{
    const double h = v / steps;
    for (int i = 0; i < steps; i++) {
        double k[4][VESSELS_ABOARD_MAX + 1] = {{0}}, at[VESSELS_ABOARD_MAX + 1] = {0};
        const double part[4] = {0, h / 2, h / 2, h};
        for (int r = 0; r < 4; r++) {
            at[0] = s[0];
            for (int j = 1; j <= n; j++)
                at[j] = s[j] + (r > 0 ? part[r] * k[r - 1][j] : 0);
            for (int j = 1; j <= n; j++)
                k[r][j] = (at[j - 1] - at[j]) / W[j];
        }
        for (int j = 1; j <= n; j++)
            s[j] += h / 6 * (k[0][j] + 2 * k[1][j] + 2 * k[2][j] + k[3][j]);
    }
}

static void test_unequal_vessels_mix_as_the_equations_integrated_by_steps(void **state)
{
    (void)state;
    Dice dice = {41};
    for (int trial = 0; trial < 200; trial++) {
        const int n = (int)dice_from(&dice, 1, 8);
        double s[VESSELS_ABOARD_MAX + 1] = {0}, W[VESSELS_ABOARD_MAX + 1] = {0};
        double by_steps[VESSELS_ABOARD_MAX + 1] = {0};
        for (int j = 0; j <= n; j++) {
            s[j] = by_steps[j] = (double)dice_from(&dice, 0, 1000);
            W[j] = (double)dice_from(&dice, 500, 20000);
        }
        const double v = (double)dice_from(&dice, 1, 20000);
        line_mix(s, W, n, v);
        mix_by_steps(by_steps, W, n, v, 4000);
        for (int j = 1; j <= n; j++)
            assert_near(s[j], by_steps[j], 1e-6, "by steps");
    }
}

static void test_an_empty_vessel_passes_the_water_straight_on(void **state)
{
    (void)state;
    double with[5] = {7, 3, 100, 5, 9}, without[4] = {7, 3, 5, 9};
    const double W[5] = {0, 800, 0, 500, 900}, V[4] = {0, 800, 500, 900};
    line_mix(with, W, 4, 650);
    line_mix(without, V, 3, 650);
    assert_near(with[1], without[1], 1e-12, "before the empty one");
    assert_near(with[2], with[1], 0, "the empty one passes on what it gets");
    assert_near(with[3], without[2], 1e-12, "behind it");
    assert_near(with[4], without[3], 1e-12, "at the tap");
    double alone[2] = {7, 3};
    const double none[2] = {0, 0};
    line_mix(alone, none, 1, 5);
    assert_near(alone[1], 7, 0, "alone");
}

static void test_far_more_water_than_a_vessel_holds_leaves_the_inflow(void **state)
{
    (void)state;
    double s[4] = {1.78e12, 1.70e12, 1.71e12, 1.72e12};
    const double W[4] = {0, 1, 20000, 3};
    line_mix(s, W, 3, 1e6);
    for (int j = 1; j <= 3; j++)
        assert_near(s[j], 1.78e12, 1e-3, "after 50 changes of water");
    double same[3] = {5, 6, 7};
    line_mix(same, W, 2, 0);
    assert_true(same[1] == 6 && same[2] == 7);
}

/* ---- whole draws ---- */

static void test_draws_through_a_line_follow_the_tanks_in_series(void **state)
{
    (void)state;
    /* The table of MacMullin & Weber (1935) again, now by entries: N vessels of 10 L filled on day
     * 0 behind 1000 L of day 10; what is left of the old water in the tap-side vessel shows in its
     * mean fill time. */
    CsvTable table = csv_read("tanks_in_series");
    int checked = 0;
    for (size_t i = 0; i < table.rows; i++) {
        const int n = (int)csv_number(&table, i, "N");
        const double theta = csv_number(&table, i, "theta");
        if (n > 10 || n * theta > 99 || theta == 0)
            continue;
        Logbook *book = book_open();
        Str order = {0};
        str_adds(&order, "couple galley lead");
        for (int j = 1; j <= n; j++) {
            char named[60];
            (void)snprintf(named, sizeof named, "vessel T%d --capacity 10 --level 10", j);
            book_say(book, named);
            str_addf(&order, " T%d", j);
        }
        book_pass(book, 10);
        book_say(book, "vessel lead --capacity 1000 --level 1000");
        book_say(book, order.s);
        str_finish(&order);
        char words[60];
        (void)snprintf(words, sizeof words, "draw galley %.3f", 10 * n * theta);
        book_say(book, words);
        char tap[16];
        (void)snprintf(tap, sizeof tap, "T%d", n);
        const double last = book_vessel(book, tap)->mean_fill;
        const double fresh = (double)(BOOK_BEGIN_MS + 10 * MS_PER_DAY);
        assert_near((fresh - last) / (double)(10 * MS_PER_DAY), csv_number(&table, i, "1-F"), 1e-11,
                    "old water at the tap");
        assert_true(book_vessel(book, tap)->volume == 10000);
        checked++;
        book_close(book);
    }
    csv_free(&table);
    assert_true(checked > 40);
}

static Logbook *three_in_series(void)
{
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --heel 0.2 --class potable --level 12");
    book_say(book, "vessel A2 --capacity 12 --heel 0.2 --class potable --level 10");
    book_say(book, "vessel A3 --capacity 12 --heel 0.3 --class potable --level 8");
    book_say(book, "couple galley A1 A2 A3");
    return book;
}

static void test_the_vessel_nearest_the_air_loses_level_and_the_others_hold_theirs(void **state)
{
    (void)state;
    Logbook *book = three_in_series();
    assert_int_equal(line_lead(book_state(book), book_line(book, "galley")), 0);
    book_say(book, "draw galley 5");
    assert_int_equal(book_vessel(book, "A1")->volume, 7000);
    assert_int_equal(book_vessel(book, "A2")->volume, 10000);
    assert_int_equal(book_vessel(book, "A3")->volume, 8000);
    assert_int_equal(book_line(book, "galley")->drawn, 5000);
    book_close(book);
}

static void test_when_the_lead_reaches_its_heel_the_next_leads(void **state)
{
    (void)state;
    Logbook *book = three_in_series();
    book_say(book, "draw galley 15"); /* 11.8 of A1, 3.2 of A2 */
    assert_int_equal(book_vessel(book, "A1")->volume, 200);
    assert_int_equal(book_vessel(book, "A2")->volume, 6800);
    assert_int_equal(book_vessel(book, "A3")->volume, 8000);
    assert_int_equal(line_lead(book_state(book), book_line(book, "galley")), 1);
    book_say(book, "draw galley 14.3"); /* all that is left: 6.6 and 7.7 */
    assert_int_equal(line_usable(book_state(book), book_line(book, "galley")), 0);
    assert_int_equal(line_volume(book_state(book), book_line(book, "galley")), 700);
    assert_int_equal(line_lead(book_state(book), book_line(book, "galley")), -1);
    book_close(book);
}

static void test_one_vessel_behind_the_lead_ages_by_the_closed_form(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A2 --capacity 8 --level 8");
    book_pass(book, 4);
    book_say(book, "vessel A1 --capacity 12 --level 12");
    book_say(book, "couple galley A1 A2");
    book_say(book, "draw galley 6");
    /* domain: s(v) = s_k + (s_0 - s_k) exp(-v/W), v = 6 L, W = 8 L */
    const double sk = (double)(BOOK_BEGIN_MS + 4 * MS_PER_DAY), s0 = (double)BOOK_BEGIN_MS;
    assert_near(book_vessel(book, "A2")->mean_fill, sk + (s0 - sk) * exp(-6.0 / 8), 0.01, "A2");
    assert_near(book_vessel(book, "A1")->mean_fill, sk, 0, "the lead keeps its age");
    assert_true(book_vessel(book, "A2")->oldest_fill == BOOK_BEGIN_MS);
    book_close(book);
}

static void test_the_oldest_time_goes_downstream_as_a_bound(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --level 12"); /* the older water leads */
    book_pass(book, 3);
    book_say(book, "vessel A2 --capacity 12 --level 6");
    book_say(book, "vessel A3 --capacity 12 --level 6");
    book_say(book, "couple galley A1 A2 A3");
    book_say(book, "draw galley 0.001");
    assert_true(book_vessel(book, "A2")->oldest_fill == BOOK_BEGIN_MS);
    assert_true(book_vessel(book, "A3")->oldest_fill == BOOK_BEGIN_MS);
    book_close(book);
}

static void test_the_first_millilitre_of_doubtful_water_makes_all_downstream_doubtful(void **state)
{
    (void)state;
    Logbook *book = three_in_series();
    book_say(book, "fill A2 1 --class questionable");
    assert_int_equal(book_vessel(book, "A3")->quality, CLASS_POTABLE);
    Quality q;
    assert_true(line_delivers(book_state(book), book_line(book, "galley"), &q));
    assert_int_equal(q, CLASS_QUESTIONABLE); /* told before it happens */
    book_say(book, "draw galley 0.001");
    assert_int_equal(book_vessel(book, "A1")->quality, CLASS_POTABLE); /* upstream */
    assert_int_equal(book_vessel(book, "A2")->quality, CLASS_QUESTIONABLE);
    assert_int_equal(book_vessel(book, "A3")->quality, CLASS_QUESTIONABLE);
    book_close(book);
}

static void test_an_empty_vessel_downstream_is_wetted_too(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --class non-potable --level 12");
    book_say(book, "vessel A2 --capacity 12 --class potable");
    book_say(book, "couple galley A1 A2");
    book_say(book, "draw galley 1");
    assert_int_equal(book_vessel(book, "A2")->quality, CLASS_NON_POTABLE);
    assert_int_equal(book_vessel(book, "A2")->volume, 0);
    book_close(book);
}

/* Between clean vessels stands one with raw water on the owner's word: all behind it have its
 * marks. */
static void test_a_vessel_in_the_middle_marks_those_behind_it_and_none_before(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "source main --type mains --class potable");
    book_say(book, "source brook --type stream --class potable");
    for (int i = 1; i <= 3; i++) {
        char words[60];
        snprintf(words, sizeof words, "vessel A%d --capacity 10 --class potable", i);
        book_say(book, words);
        snprintf(words, sizeof words, "fill A%d 8 --from %s", i, i == 2 ? "brook" : "main");
        book_say(book, words);
    }
    book_say(book, "couple galley A1 A2 A3");
    assert_int_equal(book_vessel(book, "A3")->marks, 0);
    book_say(book, "draw galley 0.001");
    assert_int_equal(book_vessel(book, "A1")->marks, 0);
    assert_int_equal(book_vessel(book, "A2")->marks, MARK_ASSERTED | MARK_RAW);
    assert_int_equal(book_vessel(book, "A3")->marks, MARK_ASSERTED | MARK_RAW);
    book_close(book);
}

static void test_a_spent_vessel_upstream_passes_air_and_no_class(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --heel 0.5 --class non-potable --level 0.5");
    book_say(book, "vessel A2 --capacity 12 --class potable --level 12");
    book_say(book, "couple galley A1 A2");
    book_say(book, "draw galley 3");
    assert_int_equal(book_vessel(book, "A1")->volume, 500);
    assert_int_equal(book_vessel(book, "A2")->quality, CLASS_POTABLE);
    assert_int_equal(line_verdict(book_state(book), 0, book->now), VERDICT_DRINK);
    book_close(book);
}

/* ---- pressurising ---- */

/* A big lead and one vessel behind it with `headspace`; how much water comes over. */
static int64_t taken_in(int64_t capacity, int64_t headspace, double p_gauge, double ambient)
{
    Logbook *book = book_open();
    book_say(book, "vessel lead --capacity 1000 --level 1000");
    book_say(book, "vessel V --capacity 100");
    book_say(book, "couple galley lead V");
    State s = *book_state(book);
    Vessel *v = &s.vessels[1];
    v->capacity = capacity;
    v->volume = capacity - headspace;
    const int64_t before = v->volume, lead = s.vessels[0].volume;
    line_pressurise(&s, 0, llround(p_gauge), llround(ambient));
    assert_true(s.vessels[0].volume + s.vessels[1].volume == before + lead);
    book_close(book);
    return v->volume - before;
}

static void test_a_headspace_shrinks_as_in_boyles_worked_example(void **state)
{
    (void)state;
    /* OpenStax, Chemistry 2e (2019), section 9.2 (m68751), Boyle: 15.0 mL at 13.0 psi is 7.5 mL at
     * 26 psi, both absolute. Here 15.0 L, so that whole millilitres suffice. */
    const double psi = UNITS_PA_PER_PSI;
    assert_int_equal(taken_in(20000, 15000, 13 * psi, 13 * psi), 7500);
}

static void test_headspaces_follow_a_laboratory_table_of_boyles_law(void **state)
{
    (void)state;
    /* OpenStax, College Physics 2e (2022), m42216: volume and absolute pressure of a gas at 270,
     * 290 and 310 K; read to two digits, so p V is true to 4 %. */
    static const double litres[] = {20, 16, 12, 10, 8};
    static const double pressure[3][5] = {
        {1.1e5, 1.4e5, 1.9e5, 2.2e5, 2.8e5},
        {1.2e5, 1.5e5, 2.0e5, 2.4e5, 3.0e5},
        {1.3e5, 1.6e5, 2.1e5, 2.6e5, 3.2e5},
    };
    for (int row = 0; row < 3; row++)
        for (int i = 1; i < 5; i++) {
            const int64_t in =
                taken_in(40000, 20000, pressure[row][i] - pressure[row][0], pressure[row][0]);
            assert_near(20 - (double)in / 1000, litres[i], 0.05 * litres[i], "L of gas");
        }
}

static void test_a_headspace_shrinks_as_the_table_of_a_vessel_charged_once_says(void **state)
{
    (void)state;
    /* tables/boyle_once_pressurised.csv (mpmath 1.2.1): after d litres are drawn from a closed
     * vessel the air has spread from p to p_after. Pressurising from p_after back to p must take in
     * those d litres. */
    CsvTable table = csv_read("boyle_once_pressurised");
    for (size_t i = 0; i < table.rows; i++) {
        const double whole = 1000 * csv_number(&table, i, "Vt_L");
        const double water = 1000 * csv_number(&table, i, "Vw_L");
        const double drawn = 1000 * csv_number(&table, i, "drawn_L");
        const double after = csv_number(&table, i, "isothermal_gauge_after_Pa");
        const double p = csv_number(&table, i, "p_gauge_Pa");
        const int64_t in =
            taken_in(llround(whole), llround(whole - water + drawn), p - after, 101325 + after);
        assert_near((double)in, drawn, 1, "mL taken in");
    }
    csv_free(&table);
}

static void test_a_headspace_of_free_air_shrinks_to_the_tabulated_volume(void **state)
{
    (void)state;
    /* tables/gas_compression.csv (mpmath 1.2.1): free air of V litres at a gauge pressure. */
    CsvTable table = csv_read("gas_compression");
    int checked = 0;
    for (size_t i = 0; i < table.rows; i++) {
        const double V = 1000 * csv_number(&table, i, "V_L");
        const double free_air = 1000 * csv_number(&table, i, "free_air_L");
        if (free_air > 400000)
            continue;
        const int64_t in =
            taken_in(500000, llround(free_air), csv_number(&table, i, "p_gauge_Pa"), 101325);
        assert_near((double)llround(free_air) - (double)in, V, 1, "mL of air");
        checked++;
    }
    csv_free(&table);
    assert_true(checked >= 4);
}

static void
test_pressurising_fills_in_proportion_and_the_next_vessel_leads_when_one_is_spent(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 10 --heel 1 --class potable --level 2");
    book_say(book, "vessel A2 --capacity 10 --class potable --level 8");
    book_say(book, "vessel A3 --capacity 10 --class potable --level 6");
    book_say(book, "couple galley A1 A2 A3");
    /* Gauge = ambient: every headspace halves. Demands 1 L (A2) and 2 L (A3); A1 gives its 1 L, a
     * third of them. Then A2 leads: it takes no more and gives A3 the other 4/3 L. */
    book_say(book, "pressurise galley 100 --ambient 100");
    assert_int_equal(book_vessel(book, "A1")->volume, 1000);
    assert_int_equal(book_vessel(book, "A2")->volume, 7000);
    assert_int_equal(book_vessel(book, "A3")->volume, 8000);
    assert_int_equal(book_state(book)->totals.drawn, 0); /* nothing leaves at the tap */
    assert_int_equal(book_line(book, "galley")->working_pa, 100000);
    book_close(book);
}

static void test_ages_and_classes_move_with_the_water_that_the_pressure_moves(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A2 --capacity 10 --class potable --level 6");
    book_say(book, "vessel A3 --capacity 10 --class potable --level 10"); /* full: takes nothing */
    book_pass(book, 8);
    book_say(book, "vessel A1 --capacity 20 --class questionable --level 20");
    book_say(book, "couple galley A1 A2 A3");
    book_say(book, "pressurise galley 300 --ambient 100"); /* 3/4 of 4 L */
    assert_int_equal(book_vessel(book, "A1")->volume, 17000);
    assert_int_equal(book_vessel(book, "A2")->volume, 9000);
    assert_int_equal(book_vessel(book, "A2")->quality, CLASS_QUESTIONABLE);
    assert_int_equal(book_vessel(book, "A3")->quality, CLASS_POTABLE); /* nothing reached it */
    /* 6 L of day 0 and 3 L of day 8 */
    assert_near((book_vessel(book, "A2")->mean_fill - (double)BOOK_BEGIN_MS) / (double)MS_PER_DAY,
                8.0 / 3, 1e-6, "days");
    book_close(book);
}

/* The same water moved in 200,000 small portions, each mixed on its way. */
static void test_ages_through_a_vessel_that_fills_itself_agree_with_small_portions(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A3 --capacity 30 --level 5");
    book_pass(book, 2);
    book_say(book, "vessel A2 --capacity 20 --level 8");
    book_pass(book, 7);
    book_say(book, "vessel A1 --capacity 100 --level 100");
    book_say(book, "couple galley A1 A2 A3");
    book_say(book, "pressurise galley 150 --ambient 100");
    double s[3] = {9, 2, 0}, W[3] = {100, 8, 5};
    const double d[3] = {0, 12 * 0.6, 25 * 0.6};
    const int steps = 200000;
    for (int i = 0; i < steps; i++) {
        const double to3 = d[2] / steps, to2 = d[1] / steps + to3;
        s[2] = (s[2] * W[2] + s[1] * to3) / (W[2] + to3);
        W[2] += to3;
        s[1] = (s[1] * W[1] + s[0] * to2) / (W[1] + to2);
        W[1] += to2 - to3;
    }
    const double begin = (double)BOOK_BEGIN_MS, day = (double)MS_PER_DAY;
    assert_int_equal(book_vessel(book, "A2")->volume, 15200);
    assert_int_equal(book_vessel(book, "A3")->volume, 20000);
    assert_near((book_vessel(book, "A2")->mean_fill - begin) / day, s[1], 1e-3, "A2, days");
    assert_near((book_vessel(book, "A3")->mean_fill - begin) / day, s[2], 1e-3, "A3, days");
    book_close(book);
}

/* All but empty, A2 and A3 are renewed over and over while the first of the water comes in. */
static void test_ages_in_vessels_that_were_all_but_empty_agree_with_small_portions(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A3 --capacity 12 --level 0.2");
    book_pass(book, 20);
    book_say(book, "vessel A2 --capacity 12 --level 0.2");
    book_pass(book, 20);
    book_say(book, "vessel A1 --capacity 20 --level 20");
    book_say(book, "couple galley A1 A2 A3");
    book_say(book, "pressurise galley 100 --ambient 100"); /* half of 11.8 L, twice */
    double s[3] = {40, 20, 0}, W[3] = {20, 0.2, 0.2};
    const int steps = 400000;
    const double d = 5.9 / steps;
    for (int i = 0; i < steps; i++) {
        s[2] = (s[2] * W[2] + s[1] * d) / (W[2] + d);
        W[2] += d;
        s[1] = (s[1] * W[1] + s[0] * 2 * d) / (W[1] + 2 * d);
        W[1] += d;
    }
    const double begin = (double)BOOK_BEGIN_MS, day = (double)MS_PER_DAY;
    assert_int_equal(book_vessel(book, "A2")->volume, 6100);
    assert_int_equal(book_vessel(book, "A3")->volume, 6100);
    assert_near((book_vessel(book, "A2")->mean_fill - begin) / day, s[1], 1e-4, "A2, days");
    assert_near((book_vessel(book, "A3")->mean_fill - begin) / day, s[2], 1e-4, "A3, days");
    book_close(book);
}

/* ds/dt = F (s_up - s) / (W + d t) by the classical fourth-order Runge-Kutta method (Abramowitz and
 * Stegun, Handbook of Mathematical Functions, NBS 1964, 25.5.10), in x with t = x^2: what stands
 * all but empty is renewed at the very start. */
static void slopes(double x, const double *s, double *slope)
{
    enum { BEHIND = 3 };
    slope[0] = 0;
    for (int j = 1; j <= BEHIND; j++)
        slope[j] = (BEHIND + 1 - j) * 6 * (s[j - 1] - s[j]) * 2 * x / (0.05 + 6 * x * x);
}

/* Two vessels behind the lead come out exact however few the steps: three tell. */
static void test_ages_through_three_all_but_empty_vessels_agree_with_runge_kutta(void **state)
{
    (void)state;
    static const double share[] = {0, 0.5, 0.5, 1};
    Logbook *book = book_open();
    book_say(book, "vessel A2 --capacity 12.05 --level 0.05");
    book_pass(book, 30);
    book_say(book, "vessel A4 --capacity 12.05 --level 0.05");
    book_pass(book, 30);
    book_say(book, "vessel A3 --capacity 12.05 --level 0.05");
    book_pass(book, 30);
    book_say(book, "vessel A1 --capacity 25 --level 25");
    book_say(book, "couple galley A1 A2 A3 A4");
    book_say(book, "pressurise galley 100 --ambient 100"); /* half of 12 L, three times */
    double s[4] = {90, 0, 60, 30};
    const int steps = 20000;
    for (int i = 0; i < steps; i++) {
        double k[4][4], at[4], sum[4] = {0};
        for (int m = 0; m < 4; m++) {
            for (int j = 0; j < 4; j++)
                at[j] = s[j] + (m > 0 ? share[m] * k[m - 1][j] / steps : 0);
            slopes((i + share[m]) / steps, at, k[m]);
            for (int j = 0; j < 4; j++)
                sum[j] += (m == 1 || m == 2 ? 2 : 1) * k[m][j];
        }
        for (int j = 0; j < 4; j++)
            s[j] += sum[j] / 6 / steps;
    }
    static const char *const names[] = {"A1", "A2", "A3", "A4"};
    for (int j = 1; j < 4; j++)
        assert_near((book_vessel(book, names[j])->mean_fill - (double)BOOK_BEGIN_MS) /
                        (double)MS_PER_DAY,
                    s[j], 1e-4, names[j]);
    book_close(book);
}

static void test_whole_millilitres_keep_the_total_when_shares_are_odd(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 10 --level 10");
    book_say(book, "vessel A2 --capacity 10 --level 3.333");
    book_say(book, "vessel A3 --capacity 10 --level 0.001");
    book_say(book, "vessel A4 --capacity 7.777 --level 7.776");
    book_say(book, "couple galley A1 A2 A3 A4");
    for (int i = 0; i < 20; i++) {
        book_say(book, "pressurise galley 12.345 --ambient 98.765");
        assert_int_equal(line_volume(book_state(book), book_line(book, "galley")), 21110);
    }
    assert_true(book_vessel(book, "A4")->volume <= 7777);
    book_close(book);
}

static void test_town_main_pressure_is_about_40_psi(void **state)
{
    (void)state;
    /* common practice, no source: a town main has about 40 psi, 2.76 bar. */
    Logbook *book = three_in_series();
    char shown[32];
    book_say(book, "pressurise galley 40psi");
    const int64_t pa = book_line(book, "galley")->working_pa;
    assert_near((double)pa / 1e5, 2.76, 0.005, "bar");
    assert_string_equal(pressure_print(pa, UNITS_US, shown), "40 psi");
    assert_string_equal(pressure_print(pa, UNITS_METRIC, shown), "2.8 bar");
    book_close(book);
}

/* Domain 4: venting moves no water; and what no pressure stands on, or in no air, is as it was. */
static void test_without_pressure_nothing_of_a_line_is_another(void **state)
{
    (void)state;
    Logbook *book = book_of_three();
    book_say(book, "draw galley 15");
    book_say(book, "test A3 --chlorine 0.5"); /* of water that stands alone */
    static const int64_t none[][2] = {{0, 101325}, {-1, 101325}, {276000, 0}, {276000, -1}};
    for (size_t i = 0; i < sizeof none / sizeof none[0]; i++) {
        State s = *book_state(book);
        line_pressurise(&s, 0, none[i][0], none[i][1]);
        assert_true(state_equal(&s, book_state(book)));
    }
    book_close(book);
}

static void test_a_line_with_nothing_to_give_stays_as_it_is(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 10 --heel 0.5 --level 0.4");
    book_say(book, "couple galley A1");
    Quality q;
    assert_false(line_delivers(book_state(book), book_line(book, "galley"), &q));
    State s = *book_state(book);
    assert_int_equal(line_draw(&s, 0, 100), 100); /* all of it is missing */
    line_pressurise(&s, 0, 200000, 101325);
    assert_int_equal(s.vessels[0].volume, 400);
    book_close(book);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_one_vessel_washes_out_exponentially),
        cmocka_unit_test(test_a_slug_in_the_first_of_several_reaches_the_tap_as_tabulated),
        cmocka_unit_test(test_equal_vessels_give_the_curves_of_tanks_in_series),
        cmocka_unit_test(test_a_vessel_with_a_millilitre_in_it_is_solved_like_any_other),
        cmocka_unit_test(test_the_spread_of_n_equal_vessels_is_one_nth_of_the_mean_squared),
        cmocka_unit_test(test_mixing_problems_of_textbooks_come_out),
        cmocka_unit_test(test_unequal_vessels_mix_as_the_equations_integrated_by_steps),
        cmocka_unit_test(test_an_empty_vessel_passes_the_water_straight_on),
        cmocka_unit_test(test_far_more_water_than_a_vessel_holds_leaves_the_inflow),
        cmocka_unit_test(test_draws_through_a_line_follow_the_tanks_in_series),
        cmocka_unit_test(test_the_vessel_nearest_the_air_loses_level_and_the_others_hold_theirs),
        cmocka_unit_test(test_when_the_lead_reaches_its_heel_the_next_leads),
        cmocka_unit_test(test_one_vessel_behind_the_lead_ages_by_the_closed_form),
        cmocka_unit_test(test_the_oldest_time_goes_downstream_as_a_bound),
        cmocka_unit_test(test_the_first_millilitre_of_doubtful_water_makes_all_downstream_doubtful),
        cmocka_unit_test(test_an_empty_vessel_downstream_is_wetted_too),
        cmocka_unit_test(test_a_vessel_in_the_middle_marks_those_behind_it_and_none_before),
        cmocka_unit_test(test_a_spent_vessel_upstream_passes_air_and_no_class),
        cmocka_unit_test(test_a_headspace_shrinks_as_in_boyles_worked_example),
        cmocka_unit_test(test_headspaces_follow_a_laboratory_table_of_boyles_law),
        cmocka_unit_test(test_a_headspace_shrinks_as_the_table_of_a_vessel_charged_once_says),
        cmocka_unit_test(test_a_headspace_of_free_air_shrinks_to_the_tabulated_volume),
        cmocka_unit_test(
            test_pressurising_fills_in_proportion_and_the_next_vessel_leads_when_one_is_spent),
        cmocka_unit_test(test_ages_and_classes_move_with_the_water_that_the_pressure_moves),
        cmocka_unit_test(test_ages_through_a_vessel_that_fills_itself_agree_with_small_portions),
        cmocka_unit_test(test_ages_in_vessels_that_were_all_but_empty_agree_with_small_portions),
        cmocka_unit_test(test_ages_through_three_all_but_empty_vessels_agree_with_runge_kutta),
        cmocka_unit_test(test_whole_millilitres_keep_the_total_when_shares_are_odd),
        cmocka_unit_test(test_town_main_pressure_is_about_40_psi),
        cmocka_unit_test(test_without_pressure_nothing_of_a_line_is_another),
        cmocka_unit_test(test_a_line_with_nothing_to_give_stays_as_it_is),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
