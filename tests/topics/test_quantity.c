/* Numbers with units: read, shown, and the way back, in all three systems. */
#include "topics/quantity.h"

#include "support/nasty.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static double read_as(Quantity q, const char *text, Units units)
{
    Fault fault = {0};
    double value = NAN;
    if (!quantity_parse(q, NULL, text_of(text), units, &value, &fault))
        fail_msg("%s: %s", text, fault.text);
    return value;
}

static void published_factors_hold(void **unused)
{
    (void)unused;
    /* NIST Handbook 44 (2024) App. C: gallon 3.785411784 L; Weights and Measures Act 1985: 4.54609
     * L; yard and pound agreement 1959: in 25.4 mm, lb 0.45359237 kg; psi 6.894757293168 kPa; SP
     * 811 App. B: cubic foot 28.31685 L, US fluid ounce 29.57353 mL, imperial one 28.41306 mL */
    assert_near(read_as(QUANTITY_VOLUME, "1gal", UNITS_US), 3.785411784, 1e-12);
    assert_near(read_as(QUANTITY_VOLUME, "1 gal", UNITS_IMPERIAL), 4.54609, 1e-12);
    assert_near(read_as(QUANTITY_VOLUME, "1gal", UNITS_METRIC), 3.785411784, 1e-12);
    assert_near(read_as(QUANTITY_VOLUME, "2 impgal", UNITS_US), 9.09218, 1e-12);
    assert_near(read_as(QUANTITY_VOLUME, "4qt", UNITS_US), 3.785411784, 1e-12);
    assert_near(read_as(QUANTITY_VOLUME, "4qt", UNITS_IMPERIAL), 4.54609, 1e-12);
    assert_near(read_as(QUANTITY_DOSE, "128 fl oz", UNITS_US), 3785.411784, 1e-9);
    assert_near(read_as(QUANTITY_DOSE, "160 fl oz", UNITS_IMPERIAL), 4546.09, 1e-9);
    assert_near(read_as(QUANTITY_VOLUME, "500 ml", UNITS_US), 0.5, 1e-12);
    assert_near(read_as(QUANTITY_MASS, "1lb", UNITS_METRIC), 0.45359237, 1e-12);
    assert_near(read_as(QUANTITY_PRESSURE, "40psi", UNITS_METRIC), 275.79029, 1e-5);
    assert_near(read_as(QUANTITY_PRESSURE, "2.8bar", UNITS_METRIC), 280, 1e-9);
    assert_near(read_as(QUANTITY_TEMPERATURE, "212F", UNITS_METRIC), 100, 1e-9);
    assert_near(read_as(QUANTITY_TEMPERATURE, "-40F", UNITS_METRIC), -40, 1e-9);
    assert_near(read_as(QUANTITY_BORE, "3/8in", UNITS_METRIC), 9.525, 1e-9);
    assert_near(read_as(QUANTITY_LENGTH, "5000ft", UNITS_METRIC), 1524, 1e-9);
    assert_near(read_as(QUANTITY_AIRFLOW, "1cfm", UNITS_METRIC), 28.31685, 1e-5);
    assert_near(read_as(QUANTITY_DOSE, "1 fl oz", UNITS_US), 29.57353, 1e-5);
    assert_near(read_as(QUANTITY_DOSE, "1 fl oz", UNITS_IMPERIAL), 28.41306, 1e-5);
    assert_near(read_as(QUANTITY_MINUTES, "2h", UNITS_METRIC), 120, 1e-12);
    assert_near(read_as(QUANTITY_SECONDS, "1.5 min", UNITS_METRIC), 90, 1e-12);
    assert_near(read_as(QUANTITY_HOURS, "2d", UNITS_METRIC), 48, 1e-12);
}

static void a_bare_number_is_in_the_unit_that_is_shown(void **unused)
{
    (void)unused;
    assert_near(read_as(QUANTITY_PRESSURE, "40", UNITS_METRIC), 40, 0);
    assert_near(read_as(QUANTITY_PRESSURE, "40", UNITS_US), 275.79029, 1e-5);
    assert_near(read_as(QUANTITY_TEMPERATURE, "50", UNITS_US), 10, 1e-9);
    assert_near(read_as(QUANTITY_TEMPERATURE, "50", UNITS_IMPERIAL), 50, 0);
    assert_near(read_as(QUANTITY_VOLUME, "3,5", UNITS_METRIC), 3.5, 0);
    assert_string_equal(quantity_unit(QUANTITY_PRESSURE, NULL, UNITS_US), "psi");
    assert_string_equal(quantity_unit(QUANTITY_NUMBER, "mg/L", UNITS_US), "mg/L");
    assert_string_equal(quantity_unit(QUANTITY_NUMBER, NULL, UNITS_US), "");
}

static void what_is_written_is_read_back_in_every_system(void **unused)
{
    (void)unused;
    uint64_t seed = 7;
    for (int i = 0; i < 60000; i++) {
        const Quantity q = (Quantity)nasty_pick(&seed, QUANTITY_CHOICE);
        const Units units = (Units)nasty_pick(&seed, 3);
        const double value = nasty_number(&seed, -300, 30000);
        if (!isfinite(value) || fabs(value) > 1e11 || (value != 0 && fabs(value) < 1e-4))
            continue;
        char text[QUANTITY_TEXT];
        double back = NAN;
        Fault fault = {0};
        quantity_text(q, NULL, value, units, 1e-9, text);
        if (!quantity_parse(q, NULL, text_of(text), units, &back, &fault))
            fail_msg("%g as %s: %s", value, text, fault.text);
        /* an offset (Fahrenheit) may eat figures near its zero */
        if (fabs(back - value) > 1e-8 * fmax(fabs(value), 20))
            fail_msg("%.12g is written %s and read %.12g", value, text, back);
    }
}

static void what_is_no_number_is_refused_in_a_sentence(void **unused)
{
    static const char *const bad[] = {"",      "x",     "1e5", "nan",  "inf",        "1..2", "1/0",
                                      "1/2/3", "5 psi", "--3", "0x10", "12 L extra", "/2"};
    (void)unused;
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        Fault fault = {0};
        double value = 4;
        if (quantity_parse(QUANTITY_VOLUME, NULL, text_of(bad[i]), UNITS_METRIC, &value, &fault))
            fail_msg("\"%s\" was read as %g", bad[i], value);
        assert_int_equal(fault.kind, FAULT_USAGE);
        assert_true(value == 4);
        assert_non_null(strstr(fault.text, "gal"));
    }
    Fault fault = {0};
    double value = 4;
    assert_false(quantity_parse(QUANTITY_VOLUME, NULL, text_of("9999999999999"), UNITS_METRIC,
                                &value, &fault));
    assert_int_equal(fault.kind, FAULT_REFUSED);
}

static void people_see_three_figures_and_spans_that_suit(void **unused)
{
    static const struct {
        Quantity q;
        const char *unit;
        double value;
        Units units;
        const char *shown;
    } cases[] = {
        {QUANTITY_VOLUME, NULL, 4.0791, UNITS_METRIC, "4.08 L"},
        {QUANTITY_VOLUME, NULL, 37.85411784, UNITS_US, "10 gal"},
        {QUANTITY_VOLUME, NULL, 12345.6, UNITS_METRIC, "12346 L"},
        {QUANTITY_PRESSURE, NULL, 275.79029, UNITS_IMPERIAL, "40 psi"},
        {QUANTITY_TEMPERATURE, NULL, 40, UNITS_US, "104 F"},
        {QUANTITY_TEMPERATURE, NULL, -0.0001, UNITS_METRIC, "-0.0001 C"},
        {QUANTITY_TEMPERATURE, NULL, -1e-9, UNITS_METRIC, "0 C"},
        {QUANTITY_NUMBER, "mg/L", 0.42345, UNITS_METRIC, "0.423 mg/L"},
        {QUANTITY_MINUTES, NULL, 0.5, UNITS_METRIC, "30 s"},
        {QUANTITY_MINUTES, NULL, 90, UNITS_METRIC, "90 min"},
        {QUANTITY_MINUTES, NULL, 180, UNITS_METRIC, "3 h"},
        {QUANTITY_MINUTES, NULL, 14400, UNITS_METRIC, "10 days"},
        {QUANTITY_HOURS, NULL, 6000, UNITS_METRIC, "6000 h"},
        {QUANTITY_VOLUME, NULL, (double)NAN, UNITS_METRIC, "not known"},
    };
    (void)unused;
    char text[QUANTITY_RANGE];
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++)
        assert_string_equal(
            quantity_show(cases[i].q, cases[i].unit, cases[i].value, cases[i].units, text),
            cases[i].shown);
    assert_string_equal(quantity_show_range(QUANTITY_VOLUME, NULL, 7.5, 15, UNITS_METRIC, text),
                        "7.5 to 15 L");
    assert_string_equal(quantity_show_range(QUANTITY_VOLUME, NULL, 20, 20, UNITS_METRIC, text),
                        "20 L");
}

static void a_comma_before_three_digits_and_a_unit_that_is_none_are_explained(void **unused)
{
    (void)unused;
    double value;
    Fault fault;
    assert_false(
        quantity_parse(QUANTITY_VOLUME, NULL, text_of("1,500 ml"), UNITS_METRIC, &value, &fault));
    assert_non_null(strstr(fault.text, "a comma before three digits"));
    assert_true(
        quantity_parse(QUANTITY_VOLUME, NULL, text_of("1,5"), UNITS_METRIC, &value, &fault));
    assert_true(value == 1.5);
    assert_true(
        quantity_parse(QUANTITY_VOLUME, NULL, text_of("1,5000"), UNITS_METRIC, &value, &fault));
    assert_false(
        quantity_parse(QUANTITY_MASS, NULL, text_of("5 stones"), UNITS_METRIC, &value, &fault));
    assert_non_null(strstr(fault.text, "(kg, lb, g)"));
    assert_false(
        quantity_parse(QUANTITY_NUMBER, NULL, text_of("5 x"), UNITS_METRIC, &value, &fault));
    assert_non_null(strstr(fault.text, "it has no unit"));
}

static void any_bytes_are_read_without_harm(void **unused)
{
    (void)unused;
    uint64_t seed = 3;
    for (int i = 0; i < 40000; i++) {
        char text[24];
        size_t n = nasty_pick(&seed, sizeof text);
        for (size_t k = 0; k < n; k++)
            text[k] = nasty_pick(&seed, 3) ? "0123456789.,/-+ Lgapsi%"[nasty_pick(&seed, 23)]
                                           : (char)nasty_pick(&seed, 256);
        double value = 0;
        if (quantity_parse((Quantity)nasty_pick(&seed, QUANTITY_CHOICE), "mg/L",
                           text_slice(text, n), (Units)nasty_pick(&seed, 3), &value, NULL))
            assert_true(isfinite(value));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published_factors_hold),
        cmocka_unit_test(a_bare_number_is_in_the_unit_that_is_shown),
        cmocka_unit_test(what_is_written_is_read_back_in_every_system),
        cmocka_unit_test(what_is_no_number_is_refused_in_a_sentence),
        cmocka_unit_test(people_see_three_figures_and_spans_that_suit),
        cmocka_unit_test(a_comma_before_three_digits_and_a_unit_that_is_none_are_explained),
        cmocka_unit_test(any_bytes_are_read_without_harm),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
