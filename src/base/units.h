/* units.h - quantities as types. A unit is a type: litres can't be added to kilograms.
 *
 * The log holds exact integers: each quantity is a whole number of thousandths of the unit that the
 * interchange format uses (mL for litres, g for kg, Pa for kPa, m°C ...).
 */
#ifndef ULLAGE_BASE_UNITS_H
#define ULLAGE_BASE_UNITS_H

#include "base/fault.h"
#include "base/text.h"

#include <stdbool.h>
#include <stdint.h>

typedef struct {
    int64_t ml;
} Volume; /* millilitres */

/* Systems of units for display and for amounts without a unit. */
typedef enum { UNITS_METRIC, UNITS_US, UNITS_IMPERIAL } Units;
/* "metric", "us", "imperial"; false for any other word (Fault: usage). */
bool units_parse(Text text, Units *units, Fault *fault);
const char *units_name(Units units);

/* Exact or published factors. Sources: BIPM, SI Brochure 9th ed. 2019 (litre); NIST Handbook 44
 * (2024) Appendix C: US gallon 231 in3 = 3.785411784 L; UK Weights and Measures Act 1985 Sch. 1:
 * gallon 4.54609 L; international yard and pound agreement 1959: in = 25.4 mm, lb = 0.45359237 kg;
 * standard gravity 9.80665 m/s2 (3rd CGPM 1901), so psi = 6894.757293168... Pa. */
#define UNITS_ML_PER_US_GALLON 3785.411784
#define UNITS_ML_PER_IMPERIAL_GALLON 4546.09
#define UNITS_PA_PER_PSI 6894.757293168361
#define UNITS_KG_PER_POUND 0.45359237

/* A plain decimal number as thousandths: "12", "0.5", "12.345", "+3", "-0.25", ".5". At most three
 * decimals (trailing zeros beyond are allowed), at most 12 digits before the point; no exponent, no
 * NaN, no infinity, no grouping, '.' as the decimal mark; a decimal comma is accepted where
 * `comma` is true ("3,5"), but not one before exactly three digits: "1,500" has two readings, which
 * the sentence gives (FAULT_USAGE), here and in all that follows. Refused with a sentence that
 * quotes the text. */
bool thousandths_parse(Text text, bool comma, int64_t *thousandths, Fault *fault);
/* Writes the shortest exact form: 12, 0.5, -0.25. `out` of at least 32 bytes. Returns `out`. */
char *thousandths_print(int64_t thousandths, char *out);
char *thousandths_put(int64_t thousandths, char *out); /* the same; returns its end */
/* Always three decimals: 12.000. For litres in status --json. */
char *thousandths_print3(int64_t thousandths, char *out);

/* An amount as a person types it, before it is known what it is measured against.
 *
 *   "8" "8l" "8 L" "500ml" "2gal" "1.5impgal" "3qt" -> AMOUNT_VOLUME   in mL
 *   "9.1kg" "800g" "20lb"                           -> AMOUNT_MASS     in g
 *   "40%"                                           -> AMOUNT_PERCENT  in thousandths of a per cent
 *   "full" "empty" "spent"                          -> AMOUNT_FULL, AMOUNT_EMPTY, AMOUNT_SPENT (at
 *                                                     the heel: no more can be pressed out)
 *   "=11.5" and "=40%", "=9.1kg"                    -> the same with `level` true: a level after
 *
 * Without a unit `units` decides: litres, US gallons, imperial gallons. gal and qt are a US gallon
 * and a quarter of one, in imperial units those of an imperial gallon, as volume_print shows them;
 * usgal and impgal are never in doubt.
 *
 * Metric amounts are exact to the millilitre and the gram: more than three decimals of a litre or a
 * kilogram, or any decimal of a millilitre or a gram, is refused. Others are rounded to the nearest
 * (half up) and may have nine decimals. Negative amounts, NaN, anything above 1,000,000 L or
 * 100,000 kg or 100 % are refused. A decimal comma is accepted. Unit words ignore case. */
typedef enum {
    AMOUNT_VOLUME,
    AMOUNT_MASS,
    AMOUNT_PERCENT,
    AMOUNT_FULL,
    AMOUNT_EMPTY,
    AMOUNT_SPENT
} AmountKind;
typedef struct {
    AmountKind kind;
    bool level;
    int64_t value; /* mL, g, or thousandths of a per cent */
} Amount;
bool amount_parse(Text text, Units units, Amount *amount, Fault *fault);

/* "full" for "f": the word of a level that the text begins, for a form, which shows what it took.
 * NULL: none. Where nothing is seen before it is written, amount_parse asks for the whole word. */
const char *level_word_begun(Text text);

/* For people: "7.2 L", "0.35 L", "1.9 gal". One decimal from 1 L (1 gal) up, two below, half away
 * from zero; never "-0.0". A gallon is the US one with UNITS_US and the imperial one with
 * UNITS_IMPERIAL. `out` of at least 32 bytes; returns `out`. */
char *volume_print(Volume volume, Units units, char *out);
/* Number only, the same decimals, no unit. */
char *volume_print_bare(Volume volume, Units units, char *out);
/* The same without a unit, the magnitude rounded as said: what can be had is rounded down, what is
 * needed up. */
typedef enum { ROUND_NEAREST, ROUND_DOWN, ROUND_UP } Rounding;
char *volume_print_round(Volume volume, Units units, Rounding rounding, char *out);
const char *volume_unit(Units units); /* "L", "gal", "gal" */

/* A pressure with an optional unit: "40psi", "2.76bar", "275.79kPa", "276" (kPa; psi with us and
 * imperial units), to Pa, rounded to the nearest pascal. kPa with more than three decimals is
 * refused, as are negative values and values above 10,000 kPa. A decimal comma is accepted here and
 * below. */
bool pressure_parse(Text text, Units units, int64_t *pascal, Fault *fault);
/* "2.8 bar" metric, "40 psi" us and imperial; half away from zero. `out` of at least 32 bytes. */
char *pressure_print(int64_t pascal, Units units, char *out);
/* Where a limit is told: "275.79 kPa (40 psi)", kPa exact, psi down to a tenth, so that a regulator
 * set by either is not above it. `out` of at least 64 bytes. */
char *pressure_print_exact(int64_t pascal, char *out);
/* A mass with an optional unit ("3.1", "3.1kg", "500g", "7lb"), to g; without one kg, or lb with us
 * and imperial units. Refused: negative, above 100,000 kg, decimals of a gram. */
bool mass_parse(Text text, Units units, int64_t *gram, Fault *fault);
/* "3.1 kg" metric, to the gram; "6.8 lb" us and imperial, to a tenth. `out` of at least 32 bytes. */
char *mass_print(int64_t gram, Units units, char *out);
/* A temperature with an optional unit ("10", "10C", "50F", "-3.5"), to thousandths of a degree C;
 * without one C, or F with us units. Fahrenheit is rounded, Celsius has at most three decimals.
 * Refused outside -100..200 C. */
bool temperature_parse(Text text, Units units, int64_t *milli_c, Fault *fault);
const char *temperature_unit(Units units); /* "C", "F", "C" */
/* "10.5 C" to the thousandth; "50.9 F" with us units, to a tenth. `out` of at least 32 bytes. */
char *temperature_print(int64_t milli_c, Units units, char *out);
/* An altitude with an optional unit ("1500", "1500m", "5000ft"), to mm; without one m, or ft with
 * us and imperial units. Feet are rounded, metres have at most three decimals. Refused: negative,
 * above 9,000 m. */
bool altitude_parse(Text text, Units units, int64_t *millimetre, Fault *fault);
const char *altitude_unit(Units units); /* "m", "ft", "ft" */
/* "1524 m" to the millimetre; "5000 ft" us and imperial, to the foot. `out` of at least 32 bytes. */
char *altitude_print(int64_t millimetre, Units units, char *out);

#endif
