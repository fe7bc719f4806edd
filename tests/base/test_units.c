/* Numbers, amounts, pressures, masses and temperatures as people type them and read them. */
#include "base/units.h"

#include <inttypes.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

static void assert_says(const Fault *fault, FaultKind kind, const char *words)
{
    if (fault->kind != kind || strstr(fault->text, words) == NULL)
        fail_msg("kind %d, \"%s\" does not say \"%s\"", (int)fault->kind, fault->text, words);
}

/* ---- published factors ---- */

/* The factor of a row of tables/units.csv (computed with GNU units 2.22 from the exact
 * definitions). */
static double factor(const char *from, const char *to)
{
    FILE *file = fopen(FIXTURES "/tables/units.csv", "r");
    assert_non_null(file);
    char line[200];
    double found = 0;
    while (fgets(line, sizeof line, file) != NULL) {
        Text rest = text_of(line);
        if (text_is(text_cut(&rest, ','), from) && text_is(text_cut(&rest, ','), to))
            found = strtod(rest.s, NULL);
    }
    (void)fclose(file);
    if (found == 0 && strcmp(from, "32 degF") != 0)
        fail_msg("no factor from %s to %s", from, to);
    return found;
}

static void assert_near(double a, double b, double relative)
{
    if (fabs(a - b) > relative * fabs(b))
        fail_msg("%.17g is not %.17g", a, b);
}

static void test_the_factors_are_the_published_ones(void **state)
{
    (void)state;
    assert_near(UNITS_ML_PER_US_GALLON, factor("US gallon", "L") * 1000, 1e-15);
    assert_near(UNITS_ML_PER_IMPERIAL_GALLON, factor("imperial gallon", "L") * 1000, 1e-15);
    assert_near(UNITS_PA_PER_PSI, factor("psi", "Pa"), 1e-14);
    assert_near(UNITS_KG_PER_POUND, factor("lb", "kg"), 1e-15);
    /* NIST SP 811 (2008) appendix B: gallon (US) 3.785412 E-03 m3, psi 6.894757 E+03 Pa (given
     * there to seven digits), imperial gallon 4.54609 E-03 m3. */
    assert_near(UNITS_ML_PER_US_GALLON, 3785.412, 1e-7);
    assert_near(UNITS_ML_PER_IMPERIAL_GALLON, 4546.09, 1e-12);
    assert_near(UNITS_PA_PER_PSI, 6894.757, 1e-7);
    /* NIST Handbook 44 (2024) appendix C: the US gallon is 231 cubic inches exactly. */
    assert_near(UNITS_ML_PER_US_GALLON, 231 * factor("in3", "mL"), 1e-15);
    /* psi from its parts: pound-force / square inch. */
    assert_near(UNITS_PA_PER_PSI, factor("lbf", "N") / (0.0254 * 0.0254), 1e-14);
}

/* ---- plain numbers ---- */

static void test_plain_numbers_are_read_exactly(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        int64_t thousandths;
    } cases[] = {
        {"12", 12000},
        {"0.5", 500},
        {"12.345", 12345},
        {"+3", 3000},
        {"-0.25", -250},
        {".5", 500},
        {"-.5", -500},
        {"+.001", 1},
        {"0", 0},
        {"-0", 0},
        {"-0.000", 0},
        {"007", 7000},
        {"0.1", 100},
        {"0.01", 10},
        {"0.001", 1},
        {"1.2300000000000000000000000000", 1230},
        {"8.3", 8300}, /* has no exact double */
        {"999999999999.999", INT64_C(999999999999999)},
        {"-999999999999.999", INT64_C(-999999999999999)},
    };
    for (size_t i = 0; i < COUNT(cases); i++) {
        int64_t value = -1;
        Fault fault = {0};
        if (!thousandths_parse(text_of(cases[i].text), false, &value, &fault))
            fail_msg("%s", fault.text);
        if (value != cases[i].thousandths)
            fail_msg("%s gives %" PRId64, cases[i].text, value);
    }
    int64_t value = 0;
    assert_true(thousandths_parse(text_slice("12.5kg", 4), false, &value, NULL));
    assert_true(value == 12500);
}

static void test_a_decimal_comma_is_taken_where_it_is_allowed(void **state)
{
    (void)state;
    int64_t value = 7;
    Fault fault = {0};
    assert_true(thousandths_parse(text_of("3,5"), true, &value, &fault));
    assert_true(value == 3500);
    assert_true(thousandths_parse(text_of("3.5"), true, &value, &fault));
    assert_true(thousandths_parse(text_of(",25"), true, &value, &fault));
    assert_true(value == 250);
    assert_false(thousandths_parse(text_of("3,5"), false, &value, &fault));
    assert_says(&fault, FAULT_USAGE, "\"3,5\" is not a plain number");
    assert_true(value == 250);
}

static void test_anything_else_is_no_number(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        FaultKind kind;
        const char *says;
    } bad[] = {
        {"", FAULT_USAGE, "A number is missing"},
        {" ", FAULT_USAGE, "A number is missing"},
        {"NaN", FAULT_USAGE, "\"NaN\" is not a plain number"},
        {"nan", FAULT_USAGE, "no words"},
        {"inf", FAULT_USAGE, "no words"},
        {"-infinity", FAULT_USAGE, "no words"},
        {"1e5", FAULT_USAGE, "no exponent"},
        {"1E-5", FAULT_USAGE, "\"1E-5\""},
        {"0x10", FAULT_USAGE, "no hexadecimal digits"},
        {"--3", FAULT_USAGE, "\"--3\" is not a plain number"},
        {"+-3", FAULT_USAGE, "not a plain number"},
        {"-", FAULT_USAGE, "not a plain number"},
        {"+", FAULT_USAGE, "not a plain number"},
        {".", FAULT_USAGE, "not a plain number"},
        {"-.", FAULT_USAGE, "not a plain number"},
        {"12.", FAULT_USAGE, "not a plain number"},
        {"3-", FAULT_USAGE, "not a plain number"},
        {" 3", FAULT_USAGE, "not a plain number"},
        {"3 ", FAULT_USAGE, "not a plain number"},
        {"1 000", FAULT_USAGE, "not a plain number"},
        {"1.2.3", FAULT_USAGE, "without separators between thousands"},
        {"1,234.5", FAULT_USAGE, "without separators between thousands"},
        {"1.234,5", FAULT_USAGE, "without separators between thousands"},
        {"\xD9\xA3", FAULT_USAGE, "not a plain number"}, /* ARABIC-INDIC DIGIT THREE */
        {"3\xFF", FAULT_USAGE, "\"3?\" is not a plain number"},
        {"3\x1B[2J", FAULT_USAGE, "\"3?[2J\" is not a plain number"},
        {"1000000000000", FAULT_REFUSED, "too large: at most 12 digits"},
        {"99999999999999999999999999999999999999999999999999999999999999999", FAULT_REFUSED,
         "999...\" is too large"},
        {"-1000000000000.5", FAULT_REFUSED, "too large"},
        {"0.0001", FAULT_REFUSED, "\"0.0001\" has more than three decimals"},
        {"12.3456", FAULT_REFUSED, "round it to three"},
        {"0.00000000000000000000000000000000000000000000000000000000000001", FAULT_REFUSED,
         "more than three decimals"},
    };
    for (size_t i = 0; i < COUNT(bad); i++) {
        for (int comma = 0; comma < 2; comma++) {
            int64_t value = 4711;
            Fault fault = {0};
            assert_false(thousandths_parse(text_of(bad[i].text), comma == 1, &value, &fault));
            assert_says(&fault, bad[i].kind, bad[i].says);
            assert_true(value == 4711);
            assert_true(text_is_utf8(text_of(fault.text)));
            assert_false(text_has_control(text_of(fault.text)));
        }
    }
    int64_t value = 0;
    Fault fault = {0};
    assert_false(thousandths_parse((Text){NULL, 0}, false, &value, &fault));
    assert_false(thousandths_parse(text_slice("1\0", 2), false, &value, &fault));
    assert_says(&fault, FAULT_USAGE, "\"1?\"");
}

static void test_numbers_are_printed_in_their_shortest_exact_form(void **state)
{
    (void)state;
    static const struct {
        int64_t thousandths;
        const char *shortest, *three;
    } cases[] = {
        {12000, "12", "12.000"},
        {500, "0.5", "0.500"},
        {-250, "-0.25", "-0.250"},
        {0, "0", "0.000"},
        {1, "0.001", "0.001"},
        {-1, "-0.001", "-0.001"},
        {10, "0.01", "0.010"},
        {1010, "1.01", "1.010"},
        {100000, "100", "100.000"},
        {INT64_MAX, "9223372036854775.807", "9223372036854775.807"},
        {INT64_MIN, "-9223372036854775.808", "-9223372036854775.808"},
    };
    for (size_t i = 0; i < COUNT(cases); i++) {
        char out[32];
        assert_ptr_equal(thousandths_print(cases[i].thousandths, out), out);
        assert_string_equal(out, cases[i].shortest);
        assert_string_equal(thousandths_print3(cases[i].thousandths, out), cases[i].three);
    }
}

static void test_what_is_printed_is_read_back(void **state)
{
    (void)state;
    uint64_t seed = 99;
    for (int i = 0; i < 20000; i++) {
        seed = seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
        int64_t value = (int64_t)(seed >> (14 + i % 48)) % INT64_C(1000000000000000);
        if (seed & 1)
            value = -value;
        char out[32];
        int64_t back = 0;
        assert_true(thousandths_parse(text_of(thousandths_print(value, out)), false, &back, NULL));
        assert_true(back == value);
        assert_true(thousandths_parse(text_of(thousandths_print3(value, out)), false, &back, NULL));
        assert_true(back == value);
    }
}

/* ---- systems of units ---- */

static void test_the_systems_of_units_have_names(void **state)
{
    (void)state;
    Units units = UNITS_METRIC;
    Fault fault = {0};
    assert_true(units_parse(text_of("us"), &units, &fault));
    assert_int_equal(units, UNITS_US);
    assert_true(units_parse(text_of("imperial"), &units, &fault));
    assert_int_equal(units, UNITS_IMPERIAL);
    assert_true(units_parse(text_of("metric"), &units, &fault));
    assert_int_equal(units, UNITS_METRIC);
    assert_string_equal(units_name(UNITS_METRIC), "metric");
    assert_string_equal(units_name(UNITS_US), "us");
    assert_string_equal(units_name(UNITS_IMPERIAL), "imperial");
    units = UNITS_US;
    static const char *const bad[] = {"", "uk", "metrics", "US gallons", "met"};
    for (size_t i = 0; i < COUNT(bad); i++) {
        assert_false(units_parse(text_of(bad[i]), &units, &fault));
        assert_says(&fault, FAULT_USAGE, "choose metric, us or imperial");
        assert_int_equal(units, UNITS_US);
    }
    assert_says(&fault, FAULT_USAGE, "\"met\"");
}

/* ---- amounts ---- */

static void assert_amount(const char *text, Units units, AmountKind kind, bool level, int64_t value)
{
    Amount amount = {0};
    Fault fault = {0};
    if (!amount_parse(text_of(text), units, &amount, &fault))
        fail_msg("%s", fault.text);
    if (amount.kind != kind || amount.level != level || amount.value != value)
        fail_msg("%s in %s: kind %d, level %d, %" PRId64, text, units_name(units), (int)amount.kind,
                 (int)amount.level, amount.value);
}

static void test_amounts_are_read_as_they_are_typed(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        Units units;
        AmountKind kind;
        bool level;
        int64_t value;
    } cases[] = {
        {"8", UNITS_METRIC, AMOUNT_VOLUME, false, 8000},
        {"8l", UNITS_METRIC, AMOUNT_VOLUME, false, 8000},
        {"8 L", UNITS_METRIC, AMOUNT_VOLUME, false, 8000},
        {" 8 L ", UNITS_US, AMOUNT_VOLUME, false, 8000},
        {"8 litres", UNITS_IMPERIAL, AMOUNT_VOLUME, false, 8000},
        {"+8", UNITS_METRIC, AMOUNT_VOLUME, false, 8000},
        {"0", UNITS_METRIC, AMOUNT_VOLUME, false, 0},
        {"-0", UNITS_METRIC, AMOUNT_VOLUME, false, 0},
        {"3,5", UNITS_METRIC, AMOUNT_VOLUME, false, 3500},
        {"0.001", UNITS_METRIC, AMOUNT_VOLUME, false, 1},
        {"500ml", UNITS_METRIC, AMOUNT_VOLUME, false, 500},
        {"500 ML", UNITS_US, AMOUNT_VOLUME, false, 500},
        {"500.000ml", UNITS_METRIC, AMOUNT_VOLUME, false, 500},
        /* Gallons: 3.785411784 L and 4.54609 L (tables/units.csv), a quart is a quarter (NIST
         * Handbook 44 (2024) appendix C: 4 liquid quarts). */
        {"2gal", UNITS_METRIC, AMOUNT_VOLUME, false, 7571},
        {"2", UNITS_US, AMOUNT_VOLUME, false, 7571},
        {"2 gal", UNITS_US, AMOUNT_VOLUME, false, 7571},
        {"2", UNITS_IMPERIAL, AMOUNT_VOLUME, false, 9092},
        {"2 gal", UNITS_IMPERIAL, AMOUNT_VOLUME, false, 9092},
        {"2 usgal", UNITS_IMPERIAL, AMOUNT_VOLUME, false, 7571},
        {"1.5impgal", UNITS_METRIC, AMOUNT_VOLUME, false, 6819},
        {"1.5ImpGal", UNITS_US, AMOUNT_VOLUME, false, 6819},
        {"3qt", UNITS_METRIC, AMOUNT_VOLUME, false, 2839},
        {"3qt", UNITS_US, AMOUNT_VOLUME, false, 2839},
        {"3qt", UNITS_IMPERIAL, AMOUNT_VOLUME, false, 3410},       /* 3409.5675 */
        {"1000qt", UNITS_IMPERIAL, AMOUNT_VOLUME, false, 1136523}, /* 1136522.5 */
        {"1000qt", UNITS_US, AMOUNT_VOLUME, false, 946353},        /* 946352.946 */
        {"2.641720524gal", UNITS_METRIC, AMOUNT_VOLUME, false, 10000},
        {"100000gal", UNITS_METRIC, AMOUNT_VOLUME, false, INT64_C(378541178)},
        /* The pound is 0.45359237 kg (tables/units.csv): 9071.8474 g. */
        {"9.1kg", UNITS_METRIC, AMOUNT_MASS, false, 9100},
        {"9,1 KG", UNITS_US, AMOUNT_MASS, false, 9100},
        {"800g", UNITS_METRIC, AMOUNT_MASS, false, 800},
        {"20lb", UNITS_METRIC, AMOUNT_MASS, false, 9072},
        {"20 lbs", UNITS_METRIC, AMOUNT_MASS, false, 9072},
        {"40%", UNITS_METRIC, AMOUNT_PERCENT, false, 40000},
        {"33.333 %", UNITS_US, AMOUNT_PERCENT, false, 33333},
        {"100%", UNITS_METRIC, AMOUNT_PERCENT, false, 100000},
        {"full", UNITS_METRIC, AMOUNT_FULL, false, 0},
        {"Empty", UNITS_METRIC, AMOUNT_EMPTY, false, 0},
        {"spent", UNITS_METRIC, AMOUNT_SPENT, false, 0},
        {"=11.5", UNITS_METRIC, AMOUNT_VOLUME, true, 11500},
        {"= 11.5 l", UNITS_US, AMOUNT_VOLUME, true, 11500},
        {"=3", UNITS_US, AMOUNT_VOLUME, true, 11356},
        {"=40%", UNITS_METRIC, AMOUNT_PERCENT, true, 40000},
        {"=9.1kg", UNITS_METRIC, AMOUNT_MASS, true, 9100},
        {"=full", UNITS_METRIC, AMOUNT_FULL, true, 0},
        {"1000000", UNITS_METRIC, AMOUNT_VOLUME, false, INT64_C(1000000000)},
        {"1000000000 ml", UNITS_METRIC, AMOUNT_VOLUME, false, INT64_C(1000000000)},
    };
    for (size_t i = 0; i < COUNT(cases); i++)
        assert_amount(cases[i].text, cases[i].units, cases[i].kind, cases[i].level, cases[i].value);
}

static void test_conversions_round_exactly_at_the_half(void **state)
{
    (void)state;
    /* 50,000 lb are 22,679,618.5 g exactly (50,000 * 453.59237); a little less lies below the half.
     */
    assert_amount("50000lb", UNITS_METRIC, AMOUNT_MASS, false, INT64_C(22679619));
    assert_amount("49999.999999999lb", UNITS_METRIC, AMOUNT_MASS, false, INT64_C(22679618));
    /* 0.5 impgal = 2273.045 mL; 50 impgal = 227,304.5 mL exactly. */
    assert_amount("0.5impgal", UNITS_METRIC, AMOUNT_VOLUME, false, 2273);
    assert_amount("50impgal", UNITS_METRIC, AMOUNT_VOLUME, false, 227305);
    assert_amount("49.999999999impgal", UNITS_METRIC, AMOUNT_VOLUME, false, 227304);
    /* Over a range, against doubles. */
    const double gallon_ml = factor("US gallon", "L") * 1000;
    for (int i = 1; i < 20000; i += 7) {
        char text[40];
        int whole = i / 10;
        int thousandths = i % 1000;
        snprintf(text, sizeof text, "%d.%03d gal", whole, thousandths);
        double expected = ((double)whole + thousandths / 1000.0) * gallon_ml;
        Amount amount;
        assert_true(amount_parse(text_of(text), UNITS_METRIC, &amount, NULL));
        assert_true(fabs((double)amount.value - expected) <= 0.5 + 1e-6);
    }
}

static void test_bad_amounts_are_refused_with_a_sentence(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        FaultKind kind;
        const char *says;
    } bad[] = {
        {"", FAULT_USAGE, "A number is missing"},
        {"  ", FAULT_USAGE, "A number is missing"},
        {"=", FAULT_USAGE, "not a plain number"},
        {"spnt", FAULT_USAGE, "\"spnt\" is no amount: did you mean spent? Else write a number"},
        {"ful", FAULT_USAGE, "did you mean full?"},
        {"lots", FAULT_USAGE,
         "\"lots\" is no amount: write a number such as 12 or 0.5, or full, spent or empty."},
        {"==3", FAULT_USAGE, "\"==3\" is not a plain number"},
        {"NaN", FAULT_USAGE, "\"NaN\" is no amount"},
        {"inf", FAULT_USAGE, "is no amount"},
        {"1e5", FAULT_USAGE, "exponents are not taken"},
        {"1E+5l", FAULT_USAGE, "exponents are not taken"},
        {"0x10", FAULT_USAGE, "hexadecimal digits are not taken"},
        {"--3", FAULT_USAGE, "\"--3\" is not a plain number"},
        {"1,234.5", FAULT_USAGE, "without separators between thousands"},
        {"l", FAULT_USAGE, "is no amount"},
        {"8x", FAULT_USAGE, "\"x\" behind the number, which is no unit of an amount"},
        {"8x", FAULT_USAGE, "use l, ml, gal, impgal, qt, kg, g, lb or %"},
        {"8 buckets", FAULT_USAGE, "\"buckets\""},
        {"8psi", FAULT_USAGE, "no unit"},
        {"8l8", FAULT_USAGE, "no unit"},
        {"8 l l", FAULT_USAGE, "no unit"},
        {"full up", FAULT_USAGE, "is no amount"},
        {"8\xC3", FAULT_USAGE, "\"8?\" has"},
        {"8\x1B", FAULT_USAGE, "\"8?\" has"},
        {"-5", FAULT_REFUSED, "\"-5\" is below zero"},
        {"=-5l", FAULT_REFUSED, "can't be negative"},
        {"-1kg", FAULT_REFUSED, "a mass can't be negative"},
        {"-0.001", FAULT_REFUSED, "below zero"},
        {"8.0001", FAULT_REFUSED, "\"8.0001\" has more than three decimals"},
        {"500.5ml", FAULT_REFUSED, "a fraction of a ml"},
        {"9.1234kg", FAULT_REFUSED, "more than three decimals"},
        {"9.5g", FAULT_REFUSED, "a fraction of a g"},
        {"33.3333%", FAULT_REFUSED, "more than three decimals"},
        {"1.0000000001gal", FAULT_REFUSED, "more than nine decimals"},
        {"1000000.001", FAULT_REFUSED, "at most 1,000,000 litres"},
        {"1000000001ml", FAULT_REFUSED, "at most 1,000,000 litres"},
        {"264173gal", FAULT_REFUSED, "at most 1,000,000 litres"}, /* 1,000,003.6 L */
        {"999999999999", FAULT_REFUSED, "at most 1,000,000 litres"},
        {"99999999999999999999", FAULT_REFUSED, "too large: at most 12 digits"},
        {"100000.001kg", FAULT_REFUSED, "at most 100,000 kg"},
        {"100.001%", FAULT_REFUSED, "at most 100 %"},
    };
    for (size_t i = 0; i < COUNT(bad); i++) {
        Amount amount = {AMOUNT_FULL, true, 4711};
        Fault fault = {0};
        if (amount_parse(text_of(bad[i].text), UNITS_METRIC, &amount, &fault))
            fail_msg("\"%s\" was taken", bad[i].text);
        assert_says(&fault, bad[i].kind, bad[i].says);
        assert_true(amount.kind == AMOUNT_FULL && amount.level && amount.value == 4711);
        assert_true(text_is_utf8(text_of(fault.text)));
        assert_false(text_has_control(text_of(fault.text)));
    }
    Amount amount;
    Fault fault = {0};
    assert_false(amount_parse(text_slice("8\0l", 3), UNITS_METRIC, &amount, &fault));
    assert_false(amount_parse((Text){NULL, 0}, UNITS_METRIC, &amount, &fault));
}

/* ---- volumes for people ---- */

static void test_volumes_are_printed_for_people(void **state)
{
    (void)state;
    static const struct {
        int64_t ml;
        const char *metric, *us, *imperial;
    } cases[] = {
        {0, "0.00 L", "0.00 gal", "0.00 gal"},
        {7200, "7.2 L", "1.9 gal", "1.6 gal"},
        {350, "0.35 L", "0.09 gal", "0.08 gal"},
        {5, "0.01 L", "0.00 gal", "0.00 gal"}, /* half away from zero */
        {4, "0.00 L", "0.00 gal", "0.00 gal"},
        {-4, "0.00 L", "0.00 gal", "0.00 gal"}, /* never "-0.00" */
        {-5, "-0.01 L", "0.00 gal", "0.00 gal"},
        {994, "0.99 L", "0.26 gal", "0.22 gal"},
        {999, "1.00 L", "0.26 gal", "0.22 gal"}, /* below 1 L: two decimals */
        {1000, "1.0 L", "0.26 gal", "0.22 gal"},
        {1049, "1.0 L", "0.28 gal", "0.23 gal"},
        {1050, "1.1 L", "0.28 gal", "0.23 gal"},
        {-1050, "-1.1 L", "-0.28 gal", "-0.23 gal"},
        {3785, "3.8 L", "1.00 gal", "0.83 gal"},
        {3786, "3.8 L", "1.0 gal", "0.83 gal"},
        {4546, "4.5 L", "1.2 gal", "1.00 gal"},
        {4547, "4.5 L", "1.2 gal", "1.0 gal"},
        {99949, "99.9 L", "26.4 gal", "22.0 gal"},
        {99950, "100.0 L", "26.4 gal", "22.0 gal"},
        {INT64_C(1000000000), "1000000.0 L", "264172.1 gal", "219969.2 gal"},
    };
    for (size_t i = 0; i < COUNT(cases); i++) {
        const char *expected[] = {cases[i].metric, cases[i].us, cases[i].imperial};
        for (int units = UNITS_METRIC; units <= UNITS_IMPERIAL; units++) {
            char out[32], bare[32];
            Volume volume = {cases[i].ml};
            assert_ptr_equal(volume_print(volume, (Units)units, out), out);
            assert_string_equal(out, expected[units]);
            volume_print_bare(volume, (Units)units, bare);
            assert_memory_equal(out, bare, strlen(bare));
            assert_int_equal(out[strlen(bare)], ' ');
            assert_string_equal(out + strlen(bare) + 1, volume_unit((Units)units));
        }
    }
    /* 264172.0524 and 219969.2483 gallons in a million litres, by the factors of tables/units.csv.
     */
    assert_near(264172.1, 1e6 / factor("US gallon", "L"), 1e-6);
    assert_near(219969.2, 1e6 / factor("imperial gallon", "L"), 1e-6);
}

static void test_any_volume_at_all_can_be_printed(void **state)
{
    (void)state;
    char out[32];
    assert_string_equal(volume_print((Volume){INT64_MAX}, UNITS_METRIC, out),
                        "9223372036854775.8 L");
    assert_string_equal(volume_print((Volume){INT64_MIN}, UNITS_METRIC, out),
                        "-9223372036854775.8 L");
    /* 9223372036854775.808 L / 3.785411784 and / 4.54609, worked out with 40 digits. */
    assert_string_equal(volume_print((Volume){INT64_MIN}, UNITS_US, out),
                        "-2436557120638681.8 gal");
    assert_string_equal(volume_print((Volume){INT64_MAX}, UNITS_IMPERIAL, out),
                        "2028858213729771.3 gal");
    /* Whole litres and tenths against the definition. */
    for (int64_t ml = 0; ml < 30000; ml++) {
        char expected[32];
        if (ml < 1000)
            snprintf(expected, sizeof expected, "%" PRId64 ".%02" PRId64, (ml + 5) / 10 / 100,
                     (ml + 5) / 10 % 100);
        else
            snprintf(expected, sizeof expected, "%" PRId64 ".%" PRId64, (ml + 50) / 100 / 10,
                     (ml + 50) / 100 % 10);
        assert_string_equal(volume_print_bare((Volume){ml}, UNITS_METRIC, out), expected);
    }
}

static void test_what_a_screen_shows_is_read_back_in_the_same_units(void **state)
{
    (void)state;
    for (int units = UNITS_METRIC; units <= UNITS_IMPERIAL; units++) {
        for (int64_t ml = 0; ml < 40000; ml += 37) {
            char out[32];
            Amount amount;
            volume_print((Volume){ml}, (Units)units, out);
            assert_true(amount_parse(text_of(out), (Units)units, &amount, NULL));
            /* Half of the last place: 0.05 of a gallon of 4546 mL, and the rounding of the mL. */
            assert_true(llabs(amount.value - ml) <= (ml < 1000 ? 24 : 229));
        }
    }
}

/* ---- pressures, masses, temperatures ---- */

typedef bool ParseFunction(Text text, int64_t *value, Fault *fault);

static bool pressure_metric(Text text, int64_t *value, Fault *fault)
{
    return pressure_parse(text, UNITS_METRIC, value, fault);
}

static bool mass_metric(Text text, int64_t *value, Fault *fault)
{
    return mass_parse(text, UNITS_METRIC, value, fault);
}

static bool temperature_metric(Text text, int64_t *value, Fault *fault)
{
    return temperature_parse(text, UNITS_METRIC, value, fault);
}

static void assert_reads(ParseFunction *parse, const char *text, int64_t expected)
{
    int64_t value = -4711;
    Fault fault = {0};
    if (!parse(text_of(text), &value, &fault))
        fail_msg("%s", fault.text);
    if (value != expected)
        fail_msg("\"%s\" gives %" PRId64 ", not %" PRId64, text, value, expected);
}

static void assert_refuses(ParseFunction *parse, const char *text, FaultKind kind, const char *says)
{
    int64_t value = 4711;
    Fault fault = {0};
    if (parse(text_of(text), &value, &fault))
        fail_msg("\"%s\" was taken as %" PRId64, text, value);
    assert_says(&fault, kind, says);
    assert_true(value == 4711);
}

static void test_pressures_are_read_to_the_pascal(void **state)
{
    (void)state;
    /* tables/units.csv: 40 psi are 2.75790291726734 bar. */
    assert_reads(pressure_metric, "40psi", llround(factor("40 psi", "bar") * 1e5));
    assert_reads(pressure_metric, "40psi", 275790);
    assert_reads(pressure_metric, "40 PSI", 275790);
    assert_reads(pressure_metric, "1psi", 6895);
    assert_reads(pressure_metric, "1000psi", llround(1000 * factor("psi", "Pa")));
    assert_reads(pressure_metric, "2.76bar", 276000);
    assert_reads(pressure_metric, "2,76 bar", 276000);
    assert_reads(pressure_metric, "2.760004 bar", 276000);
    assert_reads(pressure_metric, "2.760005 bar", 276001);
    assert_reads(pressure_metric, "275.79kPa", 275790);
    assert_reads(pressure_metric, "276", 276000);
    assert_reads(pressure_metric, " 101.325 kpa ", 101325);
    assert_reads(pressure_metric, "1013.25mbar", 101325);
    assert_reads(pressure_metric, "275790 Pa", 275790);
    assert_reads(pressure_metric, "0", 0);
    assert_reads(pressure_metric, "10000", 10000000);
    assert_reads(pressure_metric, "100 bar", 10000000);

    assert_refuses(pressure_metric, "", FAULT_USAGE, "A number is missing");
    assert_refuses(pressure_metric, "NaN", FAULT_USAGE, "not a plain number");
    assert_refuses(pressure_metric, "1e5", FAULT_USAGE, "exponents");
    assert_refuses(pressure_metric, "0x10", FAULT_USAGE, "hexadecimal");
    assert_refuses(pressure_metric, "--3", FAULT_USAGE, "not a plain number");
    assert_refuses(pressure_metric, "40 lb", FAULT_USAGE, "no unit of pressure");
    assert_refuses(pressure_metric, "40 lb", FAULT_USAGE, "use kPa, bar, mbar, Pa or psi");
    assert_refuses(pressure_metric, "-1", FAULT_REFUSED, "a pressure can't be negative");
    assert_refuses(pressure_metric, "275.7901", FAULT_REFUSED, "more than three decimals");
    assert_refuses(pressure_metric, "10000.001", FAULT_REFUSED, "at most 10,000 kPa");
    assert_refuses(pressure_metric, "100.00001 bar", FAULT_REFUSED, "at most 10,000 kPa");
    assert_refuses(pressure_metric, "1451psi", FAULT_REFUSED, "at most 10,000 kPa");
    assert_refuses(pressure_metric, "9999999999999", FAULT_REFUSED, "too large");
}

static void test_pressures_are_printed_for_people(void **state)
{
    (void)state;
    static const struct {
        int64_t pascal;
        const char *metric, *us;
    } cases[] = {
        {0, "0.0 bar", "0 psi"},
        {275790, "2.8 bar", "40 psi"},
        {276000, "2.8 bar", "40 psi"}, /* 40.03 psi: tables/units.csv */
        {274999, "2.7 bar", "40 psi"},
        {275000, "2.8 bar", "40 psi"},
        {3447, "0.0 bar", "0 psi"}, /* half a psi is 3447.4 Pa */
        {3448, "0.0 bar", "1 psi"},
        {-275790, "-2.8 bar", "-40 psi"},
        {-4000, "0.0 bar", "-1 psi"},
        {-3000, "0.0 bar", "0 psi"},
        {10000000, "100.0 bar", "1450 psi"},
    };
    for (size_t i = 0; i < COUNT(cases); i++) {
        char out[32];
        assert_string_equal(pressure_print(cases[i].pascal, UNITS_METRIC, out), cases[i].metric);
        assert_string_equal(pressure_print(cases[i].pascal, UNITS_US, out), cases[i].us);
        assert_string_equal(pressure_print(cases[i].pascal, UNITS_IMPERIAL, out), cases[i].us);
    }
    char out[32];
    assert_true(strlen(pressure_print(INT64_MIN, UNITS_METRIC, out)) < sizeof out);
    assert_true(strlen(pressure_print(INT64_MIN, UNITS_US, out)) < sizeof out);
}

/* NIST SP 811 (2008), B.8: 1 lb = 0.45359237 kg, 1 ft = 0.3048 m, t/F = 1.8 t/C + 32. */
static void test_masses_temperatures_and_altitudes_are_told_in_the_units_that_are_set(void **state)
{
    (void)state;
    static const struct {
        int64_t is;
        const char *metric, *us, *imperial;
    } masses[] = {{0, "0 kg", "0 lb", "0 lb"},
                  {3100, "3.1 kg", "6.8 lb", "6.8 lb"}, /* 6.834 */
                  {9072, "9.072 kg", "20 lb", "20 lb"}, /* 20 lb are 9.0718474 kg */
                  {45, "0.045 kg", "0.1 lb", "0.1 lb"}, /* 0.0992 */
                  {22, "0.022 kg", "0 lb", "0 lb"}},    /* 0.0485 */
        temperatures[] = {{10000, "10 C", "50 F", "10 C"},
                          {-40000, "-40 C", "-40 F", "-40 C"},
                          {10500, "10.5 C", "50.9 F", "10.5 C"},
                          {0, "0 C", "32 F", "0 C"},
                          {-17778, "-17.778 C", "0 F", "-17.778 C"}, /* -0.0004 */
                          {-18000, "-18 C", "-0.4 F", "-18 C"},
                          {200000, "200 C", "392 F", "200 C"},
                          {-100000, "-100 C", "-148 F", "-100 C"}},
      altitudes[] = {{0, "0 m", "0 ft", "0 ft"},
                     {1524000, "1524 m", "5000 ft", "5000 ft"},
                     {1000000, "1000 m", "3281 ft", "3281 ft"},    /* 3280.8 */
                     {9000000, "9000 m", "29528 ft", "29528 ft"}}; /* 29527.6 */
    char out[32];
    for (size_t i = 0; i < COUNT(masses); i++) {
        assert_string_equal(mass_print(masses[i].is, UNITS_METRIC, out), masses[i].metric);
        assert_string_equal(mass_print(masses[i].is, UNITS_US, out), masses[i].us);
        assert_string_equal(mass_print(masses[i].is, UNITS_IMPERIAL, out), masses[i].imperial);
    }
    for (size_t i = 0; i < COUNT(temperatures); i++) {
        const int64_t is = temperatures[i].is;
        assert_string_equal(temperature_print(is, UNITS_METRIC, out), temperatures[i].metric);
        assert_string_equal(temperature_print(is, UNITS_US, out), temperatures[i].us);
        assert_string_equal(temperature_print(is, UNITS_IMPERIAL, out), temperatures[i].imperial);
    }
    for (size_t i = 0; i < COUNT(altitudes); i++) {
        assert_string_equal(altitude_print(altitudes[i].is, UNITS_METRIC, out),
                            altitudes[i].metric);
        assert_string_equal(altitude_print(altitudes[i].is, UNITS_US, out), altitudes[i].us);
        assert_string_equal(altitude_print(altitudes[i].is, UNITS_IMPERIAL, out),
                            altitudes[i].imperial);
    }
}

static void test_a_limit_is_told_to_the_pascal(void **state)
{
    (void)state;
    char out[64];
    assert_string_equal(pressure_print_exact(275790, out), "275.79 kPa (40 psi)");
    assert_string_equal(pressure_print_exact(300000, out), "300 kPa (43.5 psi)");
    assert_string_equal(pressure_print_exact(300001, out), "300.001 kPa (43.5 psi)");
    assert_string_equal(pressure_print_exact(250000, out), "250 kPa (36.2 psi)"); /* of 36.26 */
    for (int tenth = 0; tenth < 1000; tenth++) { /* what was typed in psi comes back */
        int64_t pascal = 0;
        char typed[32];
        snprintf(typed, sizeof typed, "%d.%dpsi", tenth / 10, tenth % 10);
        assert_true(pressure_parse(text_of(typed), UNITS_METRIC, &pascal, NULL));
        snprintf(typed, sizeof typed, "(%g psi)", tenth / 10.0);
        assert_non_null(strstr(pressure_print_exact(pascal, out), typed));
    }
    assert_string_equal(pressure_print_exact(0, out), "0 kPa (0 psi)");
    assert_true(strlen(pressure_print_exact(INT64_MIN, out)) < sizeof out);
}

static void test_masses_are_read_to_the_gram(void **state)
{
    (void)state;
    assert_reads(mass_metric, "3.1", 3100);
    assert_reads(mass_metric, "3.1kg", 3100);
    assert_reads(mass_metric, "3,1 KG", 3100);
    assert_reads(mass_metric, "500g", 500);
    assert_reads(mass_metric, "7lb", llround(7 * factor("lb", "kg") * 1000));
    assert_reads(mass_metric, "7lb", 3175);
    assert_reads(mass_metric, "0", 0);
    assert_reads(mass_metric, "100000", 100000000);
    assert_refuses(mass_metric, "", FAULT_USAGE, "A number is missing");
    assert_refuses(mass_metric, "3 l", FAULT_USAGE, "no unit of mass: use kg, g or lb");
    assert_refuses(mass_metric, "1e3", FAULT_USAGE, "exponents");
    assert_refuses(mass_metric, "-3", FAULT_REFUSED, "a mass can't be negative");
    assert_refuses(mass_metric, "3.1234", FAULT_REFUSED, "more than three decimals");
    assert_refuses(mass_metric, "500.1g", FAULT_REFUSED, "a fraction of a g");
    assert_refuses(mass_metric, "100000.001", FAULT_REFUSED, "at most 100,000 kg");
    assert_refuses(mass_metric, "220463lb", FAULT_REFUSED, "at most 100,000 kg"); /* 100,000.3 kg */
}

static bool altitude_metric(Text text, int64_t *value, Fault *fault)
{
    return altitude_parse(text, UNITS_METRIC, value, fault);
}

/* NIST Handbook 44, Appendix C, 2023: 1 ft = 0.3048 m exactly. */
static void test_altitudes_are_read_in_metres_and_feet(void **state)
{
    (void)state;
    int64_t mm;
    Fault fault;
    assert_reads(altitude_metric, "1524", 1524000);
    assert_reads(altitude_metric, "1524.5 m", 1524500);
    assert_reads(altitude_metric, "5000ft", 1524000);
    assert_reads(altitude_metric, "1 FT", 305); /* 304.8 */
    assert_reads(altitude_metric, "9000", 9000000);
    for (Units units = UNITS_US; units <= UNITS_IMPERIAL; units++) {
        assert_true(altitude_parse(text_of("5000"), units, &mm, &fault));
        assert_int_equal(mm, 1524000);
        assert_string_equal(altitude_unit(units), "ft");
    }
    assert_string_equal(altitude_unit(UNITS_METRIC), "m");
    assert_false(altitude_parse(text_of("9001"), UNITS_METRIC, &mm, &fault));
    assert_false(altitude_parse(text_of("-1"), UNITS_METRIC, &mm, &fault));
    assert_false(altitude_parse(text_of("12 km"), UNITS_METRIC, &mm, &fault));
}

static void test_temperatures_are_read_in_both_scales(void **state)
{
    (void)state;
    assert_reads(temperature_metric, "10", 10000);
    assert_reads(temperature_metric, "10C", 10000);
    assert_reads(temperature_metric,
                 "10 \xC2\xB0"
                 "C",
                 10000);
    assert_reads(temperature_metric, "-3.5", -3500);
    assert_reads(temperature_metric, "-3,5 c", -3500);
    assert_reads(temperature_metric, "50F", 10000);
    assert_reads(temperature_metric, "50\xC2\xB0 f", 10000);
    assert_reads(temperature_metric, "0F", -17778); /* -17.7777... */
    assert_reads(temperature_metric, "-0.0001F", -17778);
    assert_reads(temperature_metric, "1.0009F", -17222); /* -17.22172 */
    /* The four rows of tables/units.csv, by their own words. */
    static const char *const rows[] = {"32 degF", "212 degF", "-40 degF", "98.6 degF"};
    for (size_t i = 0; i < COUNT(rows); i++)
        assert_reads(temperature_metric, rows[i], llround(factor(rows[i], "degC") * 1000));
    assert_reads(temperature_metric, "98.6F", 37000);
    assert_reads(temperature_metric, "-100", -100000);
    assert_reads(temperature_metric, "200", 200000);
    assert_reads(temperature_metric, "392F", 200000);
    assert_reads(temperature_metric, "-148F", -100000);

    assert_refuses(temperature_metric, "", FAULT_USAGE, "A number is missing");
    assert_refuses(temperature_metric, "warm", FAULT_USAGE, "not a plain number");
    assert_refuses(temperature_metric, "10K", FAULT_USAGE, "no unit of temperature: use C or F");
    assert_refuses(temperature_metric, "1e1", FAULT_USAGE, "exponents");
    assert_refuses(temperature_metric, "10.0001", FAULT_REFUSED, "more than three decimals");
    assert_refuses(temperature_metric, "-100.001", FAULT_REFUSED, "from -100 to 200 C");
    assert_refuses(temperature_metric, "200.001", FAULT_REFUSED, "from -100 to 200 C");
    assert_refuses(temperature_metric, "393F", FAULT_REFUSED, "-148 to 392 F");
    assert_refuses(temperature_metric, "999999999999", FAULT_REFUSED, "from -100 to 200 C");
    assert_refuses(temperature_metric, "-999999999999F", FAULT_REFUSED, "from -100 to 200 C");
}

/* What is on the gauge of who set the units: 40 psi is 275,790 Pa, 20 lb 9,072 g (NIST HB 44), 50 F
 * are 10 C; an imperial thermometer reads in C. */
static void test_a_bare_pressure_mass_or_temperature_is_in_the_units_that_are_set(void **state)
{
    (void)state;
    int64_t value;
    Fault fault;
    for (Units units = UNITS_METRIC; units <= UNITS_IMPERIAL; units++) {
        const bool metric = units == UNITS_METRIC;
        assert_true(pressure_parse(text_of("40"), units, &value, &fault));
        assert_int_equal(value, metric ? 40000 : 275790);
        assert_true(pressure_parse(text_of("40 kPa"), units, &value, &fault));
        assert_int_equal(value, 40000);
        assert_true(mass_parse(text_of("20"), units, &value, &fault));
        assert_int_equal(value, metric ? 20000 : 9072);
        assert_true(mass_parse(text_of("20kg"), units, &value, &fault));
        assert_int_equal(value, 20000);
        assert_true(temperature_parse(text_of("50"), units, &value, &fault));
        assert_int_equal(value, units == UNITS_US ? 10000 : 50000);
        assert_true(temperature_parse(text_of("50C"), units, &value, &fault));
        assert_int_equal(value, 50000);
    }
}

static void test_one_comma_before_three_digits_has_two_readings(void **state)
{
    (void)state;
    static const char *const unsure[] = {"1,500",    "4,000", "1,000ml",
                                         "12,345 l", "0,500", "=1,500"};
    static const char *const sure[] = {"1,5", "1,50", "1,5000", "1.500", "1500", ",500"};
    Amount amount;
    Fault fault;
    int64_t value;
    for (size_t i = 0; i < sizeof unsure / sizeof unsure[0]; i++) {
        assert_false(amount_parse(text_of(unsure[i]), UNITS_METRIC, &amount, &fault));
        assert_int_equal(fault.kind, FAULT_USAGE);
        assert_non_null(strstr(fault.text, "can be read as"));
    }
    for (size_t i = 0; i < sizeof sure / sizeof sure[0]; i++)
        if (!amount_parse(text_of(sure[i]), UNITS_METRIC, &amount, &fault))
            fail_msg("%s: %s", sure[i], fault.text);
    assert_false(amount_parse(text_of("1,500"), UNITS_METRIC, &amount, &fault));
    assert_non_null(strstr(fault.text, "as 1500 or as 1.500:"));
    assert_false(pressure_parse(text_of("1,013"), UNITS_METRIC, &value, &fault));
    assert_false(temperature_parse(text_of("12,125"), UNITS_METRIC, &value, &fault));
    assert_false(thousandths_parse(text_of("-1,250"), true, &value, &fault));
    assert_non_null(strstr(fault.text, "as -1250 or as -1.250:"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_the_factors_are_the_published_ones),
        cmocka_unit_test(test_plain_numbers_are_read_exactly),
        cmocka_unit_test(test_a_decimal_comma_is_taken_where_it_is_allowed),
        cmocka_unit_test(test_anything_else_is_no_number),
        cmocka_unit_test(test_numbers_are_printed_in_their_shortest_exact_form),
        cmocka_unit_test(test_what_is_printed_is_read_back),
        cmocka_unit_test(test_the_systems_of_units_have_names),
        cmocka_unit_test(test_amounts_are_read_as_they_are_typed),
        cmocka_unit_test(test_conversions_round_exactly_at_the_half),
        cmocka_unit_test(test_bad_amounts_are_refused_with_a_sentence),
        cmocka_unit_test(test_volumes_are_printed_for_people),
        cmocka_unit_test(test_any_volume_at_all_can_be_printed),
        cmocka_unit_test(test_what_a_screen_shows_is_read_back_in_the_same_units),
        cmocka_unit_test(test_pressures_are_read_to_the_pascal),
        cmocka_unit_test(test_pressures_are_printed_for_people),
        cmocka_unit_test(test_masses_temperatures_and_altitudes_are_told_in_the_units_that_are_set),
        cmocka_unit_test(test_a_limit_is_told_to_the_pascal),
        cmocka_unit_test(test_masses_are_read_to_the_gram),
        cmocka_unit_test(test_altitudes_are_read_in_metres_and_feet),
        cmocka_unit_test(test_temperatures_are_read_in_both_scales),
        cmocka_unit_test(test_a_bare_pressure_mass_or_temperature_is_in_the_units_that_are_set),
        cmocka_unit_test(test_one_comma_before_three_digits_has_two_readings),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
