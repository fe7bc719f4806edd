#include "base/units.h"

#include "base/label.h"

#include <stdio.h>
#include <string.h>

#define BILLION INT64_C(1000000000)

/* ---- systems of units ---- */

static const char *const unit_systems[] = {
    [UNITS_METRIC] = "metric", [UNITS_US] = "us", [UNITS_IMPERIAL] = "imperial"};

bool units_parse(Text text, Units *units, Fault *fault)
{
    for (int i = UNITS_METRIC; i <= UNITS_IMPERIAL; i++) {
        if (text_is(text, unit_systems[i])) {
            *units = (Units)i;
            return true;
        }
    }
    return fault_set(fault, FAULT_USAGE,
                     "%s is not a system of units: choose metric, us or imperial.",
                     text_quote(text).s);
}

const char *units_name(Units units)
{
    return unit_systems[units];
}

/* ---- plain decimal numbers ---- */

enum { WHOLE_DIGITS_MAX = 12, DECIMALS_MAX = 9 };

/* A number as it was typed, exactly. */
typedef struct {
    bool negative;
    int64_t whole; /* 0..999,999,999,999 */
    int64_t nano;  /* 0..999,999,999: what stands behind the point */
    int decimals;  /* without trailing zeros; 0..DECIMALS_MAX, or more where digits were left out */
} Decimal;

static bool is_mark(char c, bool comma)
{
    return c == '.' || (comma && c == ',');
}

static const int64_t powers_of_ten[] = {1,      10,      100,      1000,      10000,
                                        100000, 1000000, 10000000, 100000000, 1000000000};

/* NUMBER_UNSURE: one comma before exactly three digits. "1,500" is a thousand and a half to one
 * hand and one and a half to another. */
typedef enum { NUMBER_GOOD, NUMBER_NONE, NUMBER_HUGE, NUMBER_UNSURE } NumberState;

static NumberState decimal_scan(Text text, bool comma, Decimal *decimal)
{
    Decimal d = {0};
    const char *s = text.n > 0 ? text.s : "";
    const char *end = s + text.n;
    if (s < end && (*s == '+' || *s == '-'))
        d.negative = *s++ == '-';
    const char *first = s;
    while (s < end && is_digit(*s)) {
        if (s - first < WHOLE_DIGITS_MAX)
            d.whole = d.whole * 10 + (*s - '0');
        s++;
    }
    bool huge = s - first > WHOLE_DIGITS_MAX;
    bool any = s > first;
    bool unsure = false;
    if (s < end && is_mark(*s, comma)) {
        unsure = *s == ',' && end - s == 4 && any;
        const char *decimals = ++s;
        for (; s < end && is_digit(*s); s++) {
            if (*s == '0')
                continue; /* counted when a digit that matters stands behind it */
            /* No overflow of the int: a text that long is not a number worth counting. */
            ptrdiff_t place = s - decimals + 1;
            d.decimals = place <= DECIMALS_MAX ? (int)place : DECIMALS_MAX + 1;
            if (place <= DECIMALS_MAX)
                d.nano += (*s - '0') * powers_of_ten[DECIMALS_MAX - place];
        }
        any = s > decimals; /* "12." is no number */
    }
    if (!any || s < end)
        return NUMBER_NONE;
    if (unsure)
        return NUMBER_UNSURE;
    if (huge)
        return NUMBER_HUGE;
    if (d.whole == 0 && d.nano == 0)
        d.negative = false;
    *decimal = d;
    return NUMBER_GOOD;
}

/* Says why a text is no plain number; `whole` is what the person typed, units and all. */
static bool number_fault(Fault *fault, NumberState state, Text whole, Text number)
{
    Quote quote = text_quote(whole);
    if (state == NUMBER_HUGE)
        return fault_set(fault, FAULT_REFUSED,
                         "%s is too large: at most %d digits may stand before the point.", quote.s,
                         WHOLE_DIGITS_MAX);
    if (state == NUMBER_UNSURE) {
        const int before = (int)(number.n - 4 < 16 ? number.n - 4 : 16);
        const char *after = number.s + number.n - 3;
        return fault_set(fault, FAULT_USAGE,
                         "%s can be read as %.*s%.3s or as %.*s.%.3s: write the one that is meant.",
                         quote.s, before, number.s, after, before, number.s, after);
    }
    if (text_trim(whole).n == 0)
        return fault_set(fault, FAULT_USAGE,
                         "A number is missing (%s was given): write it as 12 or 0.5.", quote.s);
    int marks = 0;
    for (size_t i = 0; i < number.n; i++)
        marks += number.s[i] == '.' || number.s[i] == ',';
    if (marks > 1)
        return fault_set(fault, FAULT_USAGE,
                         "%s is not a plain number: write it with one decimal point and without "
                         "separators between thousands, such as 1234.5.",
                         quote.s);
    return fault_set(
        fault, FAULT_USAGE,
        "%s is not a plain number: write digits with at most one decimal point, such as 12 "
        "or 0.5 (no exponent, no hexadecimal digits, no words).",
        quote.s);
}

bool thousandths_parse(Text text, bool comma, int64_t *thousandths, Fault *fault)
{
    Decimal d;
    NumberState state = decimal_scan(text, comma, &d);
    if (state != NUMBER_GOOD)
        return number_fault(fault, state, text, text);
    if (d.decimals > 3)
        return fault_set(fault, FAULT_REFUSED,
                         "%s has more than three decimals: round it to three, such as 12.345.",
                         text_quote(text).s);
    int64_t magnitude = d.whole * 1000 + d.nano / 1000000;
    *thousandths = d.negative ? -magnitude : magnitude;
    return true;
}

static uint64_t magnitude_of(int64_t value)
{
    return value < 0 ? UINT64_C(0) - (uint64_t)value : (uint64_t)value;
}

/* Writes a count of 10^-places with that many decimals; `shortest` leaves out zeros at the end. */
/* Gives back the end of what it wrote. */
static char *places_put(bool negative, uint64_t value, int places, bool shortest, char *p)
{
    char backwards[32];
    int n = 0;
    bool seen = !shortest;
    for (int i = 0; i < places; i++, value /= 10) {
        seen = seen || value % 10 != 0;
        if (seen)
            backwards[n++] = (char)('0' + value % 10);
    }
    if (n > 0)
        backwards[n++] = '.';
    do {
        backwards[n++] = (char)('0' + value % 10);
        value /= 10;
    } while (value > 0);
    if (negative)
        *p++ = '-';
    while (n > 0)
        *p++ = backwards[--n];
    *p = '\0';
    return p;
}

static char *places_print(bool negative, uint64_t value, int places, bool shortest, char *out)
{
    places_put(negative, value, places, shortest, out);
    return out;
}

char *thousandths_put(int64_t thousandths, char *out)
{
    return places_put(thousandths < 0, magnitude_of(thousandths), 3, true, out);
}

char *thousandths_print(int64_t thousandths, char *out)
{
    return places_print(thousandths < 0, magnitude_of(thousandths), 3, true, out);
}

char *thousandths_print3(int64_t thousandths, char *out)
{
    return places_print(thousandths < 0, magnitude_of(thousandths), 3, false, out);
}

/* ---- quantities with a unit ---- */

/* What a unit word means: one of it is `whole` + `micro` / 10^6 of the log's unit (mL, g, Pa).
 * `decimals` is how many are exact; DECIMALS_MAX where the result is rounded. */
typedef struct {
    const char *word;
    int64_t whole, micro;
    int decimals;
} UnitWord;

/* The largest number before the point that scale() takes; each quantity has a lower limit of its
 * own. */
#define SCALE_WHOLE_MAX BILLION

/* decimal * unit, rounded half up, without a double: 50000 lb is exactly 22,679,618.5 g, and
 * doubles miss such halves. Every intermediate stays below 2^63: whole * unit->whole <= 10^9 *
 * 10^8, whole * unit->micro * 1000 <= 10^18, nano * unit->whole <= 10^17, nano * unit->micro <=
 * 10^15. */
static int64_t scale(const Decimal *d, const UnitWord *unit)
{
    int64_t billionths =
        d->whole * unit->micro * 1000 + d->nano * unit->whole + d->nano * unit->micro / 1000000;
    return d->whole * unit->whole + billionths / BILLION + (billionths % BILLION * 2 >= BILLION);
}

/* Splits "8 L" into "8" and "L". */
static void quantity_split(Text text, Text *number, Text *word)
{
    size_t n = 0;
    while (n < text.n && (is_digit(text.s[n]) || strchr("+-.,", text.s[n]) != NULL) &&
           text.s[n] != '\0')
        n++;
    *number = text_slice(text.s, n);
    *word = text_trim(text_slice(text.s + n, text.n - n));
}

static bool word_is(Text word, const UnitWord *unit)
{
    return text_is_nocase(word, unit->word);
}

static bool decimals_fault(Fault *fault, Text whole, int decimals, const char *unit)
{
    Quote quote = text_quote(whole);
    if (decimals == 0)
        return fault_set(
            fault, FAULT_REFUSED,
            "%s has a fraction of a %s, which the log can't hold: give a whole number.", quote.s,
            unit);
    return fault_set(fault, FAULT_REFUSED, "%s has more than %s decimals: round it.", quote.s,
                     decimals == 3 ? "three" : "nine");
}

static bool is_hex_digit(char c)
{
    return is_digit(c) || (c >= 'a' && c <= 'f') || (c >= 'A' && c <= 'F');
}

/* "1e5", "0x10", "3 buckets": what stands behind the number is no unit. */
static bool word_fault(Fault *fault, Text whole, Text word, const char *what, const char *units)
{
    Quote quote = text_quote(whole);
    char c = word.s[0]; /* there is one: every quantity has a unit for no word */
    bool exponent = (c == 'e' || c == 'E') && word.n > 1 &&
                    (is_digit(word.s[1]) || word.s[1] == '+' || word.s[1] == '-');
    bool hexadecimal = (c == 'x' || c == 'X') && word.n > 1 && is_hex_digit(word.s[1]);
    if (exponent || hexadecimal)
        return fault_set(
            fault, FAULT_USAGE,
            "%s is not a plain number: %s are not taken, write all its decimal digits.", quote.s,
            exponent ? "exponents" : "hexadecimal digits");
    return fault_set(fault, FAULT_USAGE,
                     "%s has %s behind the number, which is no unit of %s: use %s.", quote.s,
                     text_quote(word).s, what, units);
}

static bool negative_fault(Fault *fault, Text whole, const char *what)
{
    return fault_set(fault, FAULT_REFUSED,
                     "%s is below zero: %s can't be negative, give a number from 0 up.",
                     text_quote(whole).s, what);
}

/* 231 in3, 4.54609 L, 0.45359237 kg: units.h has the sources. */
static const UnitWord unit_us_gallon = {"usgal", 3785, 411784, DECIMALS_MAX};
static const UnitWord unit_us_quart = {"qt", 946, 352946, DECIMALS_MAX};
static const UnitWord unit_imperial_gallon = {"impgal", 4546, 90000, DECIMALS_MAX};
static const UnitWord unit_imperial_quart = {"qt", 1136, 522500, DECIMALS_MAX};
static const UnitWord unit_litre = {"l", 1000, 0, 3};

static const UnitWord volume_words[] = {
    {"l", 1000, 0, 3},     {"litre", 1000, 0, 3},  {"litres", 1000, 0, 3},
    {"liter", 1000, 0, 3}, {"liters", 1000, 0, 3}, {"ml", 1, 0, 0},
};

static const UnitWord mass_words[] = {
    {"kg", 1000, 0, 3},
    {"g", 1, 0, 0},
    {"lb", 453, 592370, DECIMALS_MAX},
    {"lbs", 453, 592370, DECIMALS_MAX},
};

/* The international foot is 0.3048 m (NIST Handbook 44, Appendix C, 2023). */
static const UnitWord altitude_words[] = {
    {"m", 1000, 0, 3},
    {"ft", 304, 800000, DECIMALS_MAX},
};

/* A psi is 6894.757293168... Pa; what is cut here is under 10^-7 Pa a psi, 0.3 mPa at 10,000 kPa.
 */
static const UnitWord pressure_words[] = {
    {"kpa", 1000, 0, 3},
    {"bar", 100000, 0, DECIMALS_MAX},
    {"mbar", 100, 0, DECIMALS_MAX},
    {"psi", 6894, 757293, DECIMALS_MAX},
    {"pa", 1, 0, DECIMALS_MAX},
};

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

static const UnitWord *word_find(Text word, const UnitWord *words, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (word_is(word, &words[i]))
            return &words[i];
    return NULL;
}

static const UnitWord *volume_word_find(Text word, Units units)
{
    bool imperial = units == UNITS_IMPERIAL;
    const UnitWord *gallon = imperial ? &unit_imperial_gallon : &unit_us_gallon;
    if (word.n == 0)
        return units == UNITS_METRIC ? &unit_litre : gallon;
    if (text_is_nocase(word, "gal") || text_is_nocase(word, "gallon") ||
        text_is_nocase(word, "gallons"))
        return gallon;
    if (word_is(word, &unit_us_gallon))
        return &unit_us_gallon;
    if (word_is(word, &unit_imperial_gallon))
        return &unit_imperial_gallon;
    if (text_is_nocase(word, "qt"))
        return imperial ? &unit_imperial_quart : &unit_us_quart;
    return word_find(word, volume_words, COUNT(volume_words));
}

/* What bounds a quantity, and what it is called in a refusal. */
typedef struct {
    const char *what;
    int64_t most;
    const char *most_words;
} Bound;

static const Bound bound_volume = {"an amount", INT64_C(1000000) * 1000, "1,000,000 litres"};
static const Bound bound_percent = {"an amount", INT64_C(100) * 1000, "100 %"};
static const Bound bound_mass = {"a mass", INT64_C(100000) * 1000, "100,000 kg"};
static const Bound bound_altitude = {"an altitude", INT64_C(9000) * 1000, "9,000 m"};
static const Bound bound_pressure = {"a pressure", INT64_C(10000) * 1000, "10,000 kPa"};

/* The steps that amounts, pressures and masses share once the unit is known. */
static bool quantity_scale(Text whole, const Decimal *d, const UnitWord *unit, const Bound *bound,
                           int64_t *value, Fault *fault)
{
    if (d->negative)
        return negative_fault(fault, whole, bound->what);
    if (d->decimals > unit->decimals)
        return decimals_fault(fault, whole, unit->decimals, unit->word);
    int64_t scaled = d->whole <= SCALE_WHOLE_MAX ? scale(d, unit) : INT64_MAX;
    if (scaled > bound->most)
        return fault_set(fault, FAULT_REFUSED, "%s is too large: %s can be at most %s.",
                         text_quote(whole).s, bound->what, bound->most_words);
    *value = scaled;
    return true;
}

static const UnitWord unit_percent = {"%", 1000, 0, 3};

static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

static const char *const level_words[] = {"full", "empty", "spent"};

const char *level_word_begun(Text text)
{
    for (size_t i = 0; i < COUNT(level_words); i++)
        if (text.n > 0 && text_begins(text, level_words[i]))
            return level_words[i];
    return NULL;
}

/* A word that is none of an amount's. */
static bool level_fault(Fault *fault, Text text, Text rest)
{
    Nearest near = {.asked = rest};
    for (size_t i = 0; i < COUNT(level_words); i++)
        nearest_offer(&near, level_words[i]);
    return fault_set(
        fault, FAULT_USAGE,
        "%s is no amount%s%s%s write a number such as 12 or 0.5, or full, spent or empty.",
        text_quote(text).s, near.name != NULL ? ": did you mean " : ":",
        near.name != NULL ? near.name : "", near.name != NULL ? "? Else" : "");
}

bool amount_parse(Text text, Units units, Amount *amount, Fault *fault)
{
    Amount read = {0};
    Text rest = text_trim(text);
    if (rest.n > 0 && rest.s[0] == '=') {
        read.level = true;
        rest = text_trim(text_slice(rest.s + 1, rest.n - 1));
    }
    for (size_t i = 0; i < COUNT(level_words); i++)
        if (text_is_nocase(rest, level_words[i])) {
            read.kind = (AmountKind)(AMOUNT_FULL + (int)i);
            *amount = read;
            return true;
        }
    Text number, word;
    quantity_split(rest, &number, &word);
    Decimal d;
    NumberState state = decimal_scan(number, true, &d);
    if (state != NUMBER_GOOD && number.n == 0 && rest.n > 0 && is_letter(rest.s[0]))
        return level_fault(fault, text, rest);
    if (state != NUMBER_GOOD)
        return number_fault(fault, state, text, number);

    const UnitWord *unit = volume_word_find(word, units);
    const Bound *bound = &bound_volume;
    if (unit == NULL && (unit = word_find(word, mass_words, COUNT(mass_words))) != NULL) {
        read.kind = AMOUNT_MASS;
        bound = &bound_mass;
    } else if (unit == NULL && word_is(word, &unit_percent)) {
        unit = &unit_percent;
        read.kind = AMOUNT_PERCENT;
        bound = &bound_percent;
    }
    if (unit == NULL)
        return word_fault(
            fault, text, word, "an amount",
            "l, ml, gal, impgal, qt, kg, g, lb or %, or the words full, spent and empty");
    if (!quantity_scale(text, &d, unit, bound, &read.value, fault))
        return false;
    *amount = read;
    return true;
}

typedef struct {
    const UnitWord *words;
    size_t count;
    const char *noun, *known; /* "pressure", and the list of its units */
    const Bound *bound;
} Measure;

/* A number, and the word behind it. */
static bool decimal_read(Text text, Decimal *d, Text *word, Fault *fault)
{
    Text number;
    quantity_split(text_trim(text), &number, word);
    const NumberState state = decimal_scan(number, true, d);
    if (state == NUMBER_GOOD)
        return true;
    (void)number_fault(fault, state, text, number);
    return false;
}

/* A number with one of the words behind it; without one it is in the unit of `bare`. */
static bool quantity_read(Text text, const Measure *m, const char *bare, int64_t *value,
                          Fault *fault)
{
    Decimal d;
    Text word;
    if (!decimal_read(text, &d, &word, fault))
        return false;
    const UnitWord *unit = word_find(word.n == 0 ? text_of(bare) : word, m->words, m->count);
    if (unit == NULL)
        return word_fault(fault, text, word, m->noun, m->known);
    return quantity_scale(text, &d, unit, m->bound, value, fault);
}

bool pressure_parse(Text text, Units units, int64_t *pascal, Fault *fault)
{
    static const Measure pressure = {pressure_words, COUNT(pressure_words), "pressure",
                                     "kPa, bar, mbar, Pa or psi", &bound_pressure};
    return quantity_read(text, &pressure, units == UNITS_METRIC ? "kpa" : "psi", pascal, fault);
}

bool mass_parse(Text text, Units units, int64_t *gram, Fault *fault)
{
    static const Measure mass = {mass_words, COUNT(mass_words), "mass", "kg, g or lb", &bound_mass};
    return quantity_read(text, &mass, units == UNITS_METRIC ? "kg" : "lb", gram, fault);
}

const char *altitude_unit(Units units)
{
    return units == UNITS_METRIC ? "m" : "ft";
}

bool altitude_parse(Text text, Units units, int64_t *millimetre, Fault *fault)
{
    static const Measure altitude = {altitude_words, COUNT(altitude_words), "altitude", "m or ft",
                                     &bound_altitude};
    return quantity_read(text, &altitude, altitude_unit(units), millimetre, fault);
}

/* Division rounded to the nearest, half away from zero. */
static int64_t divide_nearest(int64_t value, int64_t by)
{
    return value >= 0 ? (value + by / 2) / by : -((-value + by / 2) / by);
}

const char *temperature_unit(Units units)
{
    return units == UNITS_US ? "F" : "C";
}

/* "F", "degF", and with the sign of the degree (U+00B0). */
static bool temperature_word(Text word, const char *letter)
{
    if (text_starts(word, "\xC2\xB0"))
        word = text_trim(text_slice(word.s + 2, word.n - 2));
    else if (word.n == 4 && text_is_nocase(text_slice(word.s, 3), "deg"))
        word = text_slice(word.s + 3, 1);
    return text_is_nocase(word, letter);
}

bool temperature_parse(Text text, Units units, int64_t *milli_c, Fault *fault)
{
    Decimal d;
    Text word;
    if (!decimal_read(text, &d, &word, fault))
        return false;
    if (word.n == 0)
        word = text_of(temperature_unit(units));
    const bool fahrenheit = temperature_word(word, "f"), celsius = temperature_word(word, "c");
    if (!fahrenheit && !celsius)
        return word_fault(fault, text, word, "temperature", "C or F");
    int most = celsius ? 3 : DECIMALS_MAX;
    if (d.decimals > most)
        return decimals_fault(fault, text, most, "degree");
    /* Billionths of a degree; 10,000 is far outside in either scale. */
    int64_t nano = (d.whole < 10000 ? d.whole : 10000) * BILLION + d.nano;
    if (d.negative)
        nano = -nano;
    int64_t milli =
        fahrenheit ? divide_nearest((nano - 32 * BILLION) * 5, 9000000) : nano / 1000000;
    if (milli < -100000 || milli > 200000)
        return fault_set(
            fault, FAULT_REFUSED,
            "%s is outside of what water on board can have: give a temperature from -100 "
            "to 200 C (-148 to 392 F).",
            text_quote(text).s);
    *milli_c = milli;
    return true;
}

/* ---- for people ---- */

/* Millionths of a millilitre in the unit shown. */
static int64_t unit_size(Units units)
{
    switch (units) {
    case UNITS_US:
        return INT64_C(3785411784);
    case UNITS_IMPERIAL:
        return INT64_C(4546090000);
    case UNITS_METRIC:
        break;
    }
    return INT64_C(1000000000);
}

static char *unit_beside(char *out, const char *unit)
{
    const size_t n = strlen(out);
    out[n] = ' ';
    memcpy(out + n + 1, unit, strlen(unit) + 1);
    return out;
}

char *volume_print_bare(Volume volume, Units units, char *out)
{
    return volume_print_round(volume, units, ROUND_NEAREST, out);
}

char *volume_print_round(Volume volume, Units units, Rounding rounding, char *out)
{
    uint64_t size = (uint64_t)unit_size(units);
    uint64_t ml = magnitude_of(volume.ml);
    /* Whole units first, so that nothing overflows at any volume: what is left is under one unit.
     */
    uint64_t whole = ml / size * 1000000;
    uint64_t left = ml % size; /* mL, under 4.6e9: left * 10^6 fits */
    whole += left * 1000000 / size;
    left = left * 1000000 % size; /* 10^-6 mL, under one unit */
    int places = whole > 0 ? 1 : 2;
    uint64_t parts = places == 1 ? 10 : 100;
    /* half a place, nothing, or all but the least of one */
    const uint64_t lift = rounding == ROUND_NEAREST ? size
                          : rounding == ROUND_UP    ? size * 2 - 1
                                                    : 0;
    uint64_t shown = whole * parts + (left * parts * 2 + lift) / (size * 2);
    return places_print(volume.ml < 0 && shown > 0, shown, places, false, out);
}

const char *volume_unit(Units units)
{
    return units == UNITS_METRIC ? "L" : "gal";
}

char *volume_print(Volume volume, Units units, char *out)
{
    return unit_beside(volume_print_bare(volume, units, out), volume_unit(units));
}

char *mass_print(int64_t gram, Units units, char *out)
{
    if (units == UNITS_METRIC)
        return unit_beside(thousandths_print(gram, out), "kg");
    const double tenths = (double)magnitude_of(gram) / 100.0 / UNITS_KG_PER_POUND;
    const uint64_t shown = (uint64_t)(tenths + 0.5);
    return unit_beside(places_print(gram < 0 && shown > 0, shown, 1, true, out), "lb");
}

char *temperature_print(int64_t milli_c, Units units, char *out)
{
    if (units != UNITS_US)
        return unit_beside(thousandths_print(milli_c, out), "C");
    const int64_t tenths = divide_nearest(milli_c * 9 + INT64_C(160000), 500);
    return unit_beside(places_print(tenths < 0, magnitude_of(tenths), 1, true, out), "F");
}

char *altitude_print(int64_t millimetre, Units units, char *out)
{
    if (units == UNITS_METRIC)
        return unit_beside(thousandths_print(millimetre, out), "m");
    const int64_t feet = divide_nearest(millimetre * 10, 3048);
    return unit_beside(places_print(feet < 0, magnitude_of(feet), 0, true, out), "ft");
}

char *pressure_print(int64_t pascal, Units units, char *out)
{
    uint64_t pa = magnitude_of(pascal);
    bool metric = units == UNITS_METRIC;
    uint64_t shown = 0;
    if (metric)
        shown = pa / 10000 + (pa % 10000 >= 5000);
    else
        shown = (uint64_t)((double)pa / UNITS_PA_PER_PSI + 0.5);
    places_print(pascal < 0 && shown > 0, shown, metric ? 1 : 0, false, out);
    memcpy(out + strlen(out), metric ? " bar" : " psi", 5);
    return out;
}

char *pressure_print_exact(int64_t pascal, char *out)
{
    char kpa[32], psi[32];
    /* half a pascal more: 40 psi were rounded to the pascal when they were read */
    const double tenths = ((double)magnitude_of(pascal) + 0.5) * 10.0 / UNITS_PA_PER_PSI;
    places_print(pascal < 0, (uint64_t)tenths, 1, true, psi);
    snprintf(out, 64, "%s kPa (%s psi)", thousandths_print(pascal, kpa), psi);
    return out;
}
