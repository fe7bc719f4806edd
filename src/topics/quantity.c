#include "topics/quantity.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* canonical = (shown - offset) * factor. `systems`: bit of each Units whose own unit it is. */
typedef struct {
    Quantity quantity;
    const char *word;
    double factor, offset;
    unsigned systems;
} UnitWord;

enum {
    METRIC = 1u << UNITS_METRIC,
    US = 1u << UNITS_US,
    IMPERIAL = 1u << UNITS_IMPERIAL,
    ALL = METRIC | US | IMPERIAL
};

#define US_GALLON_L (UNITS_ML_PER_US_GALLON / 1000.0)
#define IMPERIAL_GALLON_L (UNITS_ML_PER_IMPERIAL_GALLON / 1000.0)
#define PSI_KPA (UNITS_PA_PER_PSI / 1000.0)
#define FOOT_M 0.3048             /* international yard and pound agreement 1959 */
#define CUBIC_FOOT_L 28.316846592 /* 0.3048^3 m3 */

/* Factors: those of base/units.h; fluid ounces: a US gallon has 128, an imperial one 160 (NIST
 * Handbook 44 App. C; Weights and Measures Act 1985). The first word of a system is the one shown.
 * "gal" and "qt" are the system's own, as in base/units.h: see unit_factor. */
static const UnitWord quantity_words[] = {
    {QUANTITY_VOLUME, "L", 1.0, 0.0, METRIC},
    {QUANTITY_VOLUME, "gal", US_GALLON_L, 0.0, US},
    {QUANTITY_VOLUME, "gal", IMPERIAL_GALLON_L, 0.0, IMPERIAL},
    {QUANTITY_VOLUME, "ml", 0.001, 0.0, 0},
    {QUANTITY_VOLUME, "usgal", US_GALLON_L, 0.0, 0},
    {QUANTITY_VOLUME, "impgal", IMPERIAL_GALLON_L, 0.0, 0},
    {QUANTITY_VOLUME, "qt", US_GALLON_L / 4.0, 0.0, US},
    {QUANTITY_VOLUME, "qt", IMPERIAL_GALLON_L / 4.0, 0.0, IMPERIAL},
    {QUANTITY_DOSE, "mL", 1.0, 0.0, METRIC},
    {QUANTITY_DOSE, "fl oz", UNITS_ML_PER_US_GALLON / 128.0, 0.0, US},
    {QUANTITY_DOSE, "fl oz", UNITS_ML_PER_IMPERIAL_GALLON / 160.0, 0.0, IMPERIAL},
    {QUANTITY_DOSE, "L", 1000.0, 0.0, 0},
    {QUANTITY_MASS, "kg", 1.0, 0.0, METRIC},
    {QUANTITY_MASS, "lb", UNITS_KG_PER_POUND, 0.0, US | IMPERIAL},
    {QUANTITY_MASS, "g", 0.001, 0.0, 0},
    {QUANTITY_TEMPERATURE, "C", 1.0, 0.0, METRIC | IMPERIAL},
    {QUANTITY_TEMPERATURE, "F", 1.0 / 1.8, 32.0, US},
    {QUANTITY_PRESSURE, "kPa", 1.0, 0.0, METRIC},
    {QUANTITY_PRESSURE, "psi", PSI_KPA, 0.0, US | IMPERIAL},
    {QUANTITY_PRESSURE, "bar", 100.0, 0.0, 0},
    {QUANTITY_LENGTH, "m", 1.0, 0.0, METRIC},
    {QUANTITY_LENGTH, "ft", FOOT_M, 0.0, US | IMPERIAL},
    {QUANTITY_LENGTH, "km", 1000.0, 0.0, 0},
    {QUANTITY_LENGTH, "in", FOOT_M / 12.0, 0.0, 0},
    {QUANTITY_BORE, "mm", 1.0, 0.0, METRIC},
    {QUANTITY_BORE, "in", 25.4, 0.0, US | IMPERIAL},
    {QUANTITY_BORE, "cm", 10.0, 0.0, 0},
    {QUANTITY_FLOW, "L/min", 1.0, 0.0, METRIC},
    {QUANTITY_FLOW, "gal/min", US_GALLON_L, 0.0, US},
    {QUANTITY_FLOW, "gal/min", IMPERIAL_GALLON_L, 0.0, IMPERIAL},
    {QUANTITY_FLOW, "lpm", 1.0, 0.0, 0},
    {QUANTITY_FLOW, "gpm", US_GALLON_L, 0.0, US},
    {QUANTITY_FLOW, "gpm", IMPERIAL_GALLON_L, 0.0, IMPERIAL},
    {QUANTITY_AIR, "L", 1.0, 0.0, METRIC},
    {QUANTITY_AIR, "cuft", CUBIC_FOOT_L, 0.0, US | IMPERIAL},
    {QUANTITY_AIRFLOW, "L/min", 1.0, 0.0, METRIC},
    {QUANTITY_AIRFLOW, "cfm", CUBIC_FOOT_L, 0.0, US | IMPERIAL},
    {QUANTITY_SPEED, "m/s", 1.0, 0.0, METRIC},
    {QUANTITY_SPEED, "mph", FOOT_M * 5280.0 / 3600.0, 0.0, US | IMPERIAL},
    {QUANTITY_SPEED, "km/h", 1.0 / 3.6, 0.0, 0},
    {QUANTITY_SPEED, "kn", 1852.0 / 3600.0, 0.0, 0},
    {QUANTITY_MINUTES, "min", 1.0, 0.0, ALL},
    {QUANTITY_MINUTES, "s", 1.0 / 60.0, 0.0, 0},
    {QUANTITY_MINUTES, "h", 60.0, 0.0, 0},
    {QUANTITY_MINUTES, "d", 1440.0, 0.0, 0},
    {QUANTITY_SECONDS, "s", 1.0, 0.0, ALL},
    {QUANTITY_SECONDS, "min", 60.0, 0.0, 0},
    {QUANTITY_SECONDS, "h", 3600.0, 0.0, 0},
    {QUANTITY_HOURS, "h", 1.0, 0.0, ALL},
    {QUANTITY_HOURS, "min", 1.0 / 60.0, 0.0, 0},
    {QUANTITY_HOURS, "s", 1.0 / 3600.0, 0.0, 0},
    {QUANTITY_HOURS, "d", 24.0, 0.0, 0},
};
enum { WORD_COUNT = sizeof quantity_words / sizeof quantity_words[0] };

/* The unit that the system shows; NULL for a number of its own unit. */
static const UnitWord *unit_shown(Quantity quantity, Units units)
{
    for (size_t i = 0; i < WORD_COUNT; i++)
        if (quantity_words[i].quantity == quantity &&
            (quantity_words[i].systems & (1u << units)) != 0)
            return &quantity_words[i];
    return NULL;
}

/* A word that several systems have is the one of `units`; in metric, where none is, the US one, as
 * base/units.h has it. */
static const UnitWord *unit_named(Quantity quantity, Text word, Units units)
{
    const UnitWord *any = NULL;
    for (size_t i = 0; i < WORD_COUNT; i++) {
        const UnitWord *u = &quantity_words[i];
        if (u->quantity != quantity || !text_is_nocase(word, u->word))
            continue;
        if ((u->systems & (1u << units)) != 0)
            return u;
        if (any == NULL)
            any = u;
    }
    return any;
}

const char *quantity_unit(Quantity quantity, const char *unit, Units units)
{
    const UnitWord *u = unit_shown(quantity, units);
    if (u != NULL)
        return u->word;
    return unit != NULL ? unit : "";
}

/* Digits with at most one point or comma; false where there are none. Moves *text on. */
static bool digits_take(Text *text, double *value)
{
    size_t at = 0;
    double whole = 0.0, scale = 1.0;
    bool point = false, any = false;
    size_t comma = text->n; /* one comma before exactly three digits has two readings */
    for (; at < text->n; at++) {
        const char c = text->s[at];
        if ((c == '.' || c == ',') && !point) {
            point = true;
            comma = c == ',' && any ? at : comma;
            continue;
        }
        if (c < '0' || c > '9')
            break;
        any = true;
        whole = whole * 10.0 + (c - '0');
        if (point)
            scale *= 10.0;
        if (whole > 1e15 || scale > 1e15)
            return false;
    }
    if (comma < text->n && at - comma == 4)
        return false;
    *value = whole / scale;
    *text = text_slice(text->s + at, text->n - at);
    return any;
}

static bool number_take(Text *text, double *value)
{
    double below = 0.0;
    const bool minus = text->n > 0 && text->s[0] == '-';
    if (text->n > 0 && (text->s[0] == '-' || text->s[0] == '+'))
        *text = text_slice(text->s + 1, text->n - 1);
    if (!digits_take(text, value))
        return false;
    if (text->n > 1 && text->s[0] == '/' && is_digit(text->s[1])) {
        *text = text_slice(text->s + 1, text->n - 1);
        if (!digits_take(text, &below) || below <= 0.0)
            return false;
        *value /= below;
    }
    *value = minus ? -*value : *value;
    return true;
}

/* Several systems share a word; the list of words has it once. */
static size_t first_named(size_t i)
{
    size_t first = 0;
    while (quantity_words[first].quantity != quantity_words[i].quantity ||
           strcmp(quantity_words[first].word, quantity_words[i].word) != 0)
        first++;
    return first;
}

/* Is a comma there before exactly three digits? */
static bool unsure_comma(Text text)
{
    text_cut(&text, ',');
    size_t digits = 0;
    while (digits < text.n && is_digit(text.s[digits]))
        digits++;
    return digits == 3;
}

static bool refuse_unit(Quantity quantity, const char *unit, Text text, Fault *fault)
{
    char known[120] = "";
    size_t n = 0;
    if (unsure_comma(text))
        return fault_set(fault, FAULT_USAGE,
                         "%s has a comma before three digits, which can part thousands or "
                         "decimals: write it with a point, or without.",
                         text_quote(text).s);
    for (size_t i = 0; i < WORD_COUNT; i++) {
        if (quantity_words[i].quantity != quantity || first_named(i) != i)
            continue;
        n += (size_t)snprintf(known + n, sizeof known - n, "%s%s", n > 0 ? ", " : "",
                              quantity_words[i].word);
    }
    if (n == 0 && unit == NULL)
        return fault_set(fault, FAULT_USAGE, "%s is not a number: it has no unit, write digits.",
                         text_quote(text).s);
    if (n == 0)
        (void)snprintf(known, sizeof known, "%s", unit);
    return fault_set(fault, FAULT_USAGE, "%s is not a number with a unit that fits (%s).",
                     text_quote(text).s, known);
}

bool quantity_parse(Quantity quantity, const char *unit, Text text, Units units, double *value,
                    Fault *fault)
{
    Text rest = text_trim(text);
    double number = 0.0;
    if (!number_take(&rest, &number))
        return refuse_unit(quantity, unit, text, fault);
    rest = text_trim(rest);
    const UnitWord *u =
        rest.n == 0 ? unit_shown(quantity, units) : unit_named(quantity, rest, units);
    if (rest.n > 0 && u == NULL &&
        (quantity != QUANTITY_NUMBER || unit == NULL || !text_is_nocase(rest, unit)))
        return refuse_unit(quantity, unit, text, fault);
    const double in = u != NULL ? (number - u->offset) * u->factor : number;
    if (fabs(in) > 1e12)
        return fault_set(fault, FAULT_REFUSED, "%s is beyond all measure.", text_quote(text).s);
    *value = in;
    return true;
}

static double shown_of(Quantity quantity, double value, Units units)
{
    const UnitWord *u = unit_shown(quantity, units);
    return u != NULL ? value / u->factor + u->offset : value;
}

/* "-0" and "-0.00" without the sign. */
static void unsign_zero(char *out)
{
    if (out[0] == '-' && strspn(out + 1, "0.") == strlen(out + 1))
        memmove(out, out + 1, strlen(out));
}

static void unit_add(char *out, const char *word)
{
    const size_t n = strlen(out);
    if (word[0] != '\0')
        (void)snprintf(out + n, QUANTITY_TEXT - n, " %s", word);
}

char *quantity_text(Quantity quantity, const char *unit, double value, Units units,
                    double tolerance, char *out)
{
    out[0] = '\0';
    if (!isfinite(value))
        return out;
    const double shown = shown_of(quantity, value, units);
    const double near = fmax(tolerance, 1e-9) * fmax(fabs(shown), 1e-9);
    for (int figures = 1; figures <= 15; figures++) {
        Text read;
        double back = 0.0;
        (void)snprintf(out, QUANTITY_TEXT, "%.*g", figures, shown);
        unsign_zero(out);
        read = text_of(out);
        if (strchr(out, 'e') == NULL && number_take(&read, &back) && read.n == 0 &&
            fabs(back - shown) <= near)
            break;
    }
    if (strchr(out, 'e') != NULL) /* too small or too large for plain figures */
        (void)snprintf(out, QUANTITY_TEXT, "%.12f", shown);
    unit_add(out, quantity_unit(quantity, unit, units));
    return out;
}

static void figures_print(double value, Rounding rounding, char *out)
{
    const double size = fabs(value);
    int decimals = 0;
    if (size > 1e15) {
        (void)snprintf(out, QUANTITY_TEXT, "%.3g", value);
        return;
    }
    if (size < 1000.0 && size > 0.0)
        decimals = 2 - (int)floor(log10(size));
    if (decimals > 6)
        decimals = 6;
    if (decimals < 0)
        decimals = 0;
    if (rounding == ROUND_UP) {
        const double scale = pow(10.0, decimals);
        value = ceil(value * scale * (1.0 - 1e-12)) / scale;
    }
    (void)snprintf(out, QUANTITY_TEXT, "%.*f", decimals, value);
    if (strchr(out, '.') != NULL) { /* no zeros that say nothing */
        size_t n = strlen(out);
        while (out[n - 1] == '0')
            out[--n] = '\0';
        if (out[n - 1] == '.')
            out[n - 1] = '\0';
    }
    unsign_zero(out);
}

/* A span of time in the unit that suits it. */
static const char *span_scale(Quantity quantity, double value, double *scale)
{
    const double seconds = fabs(value) * (quantity == QUANTITY_MINUTES   ? 60.0
                                          : quantity == QUANTITY_SECONDS ? 1.0
                                                                         : 3600.0);
    const double own = quantity == QUANTITY_MINUTES   ? 60.0
                       : quantity == QUANTITY_SECONDS ? 1.0
                                                      : 3600.0;
    if (seconds < 90.0) {
        *scale = own;
        return "s";
    }
    if (seconds < 7200.0) {
        *scale = own / 60.0;
        return "min";
    }
    if (seconds < 4.0 * 86400.0 || quantity == QUANTITY_HOURS) {
        *scale = own / 3600.0;
        return "h";
    }
    *scale = own / 86400.0;
    return "days";
}

static bool is_span(Quantity quantity)
{
    return quantity == QUANTITY_MINUTES || quantity == QUANTITY_SECONDS ||
           quantity == QUANTITY_HOURS;
}

/* A figure without its unit; of a span of time, in the unit that suits the value `leads`. */
static void show_bare(Quantity quantity, double value, double leads, Rounding rounding, Units units,
                      char *out)
{
    double scale = 1.0;
    if (is_span(quantity))
        span_scale(quantity, leads, &scale);
    figures_print(is_span(quantity) ? value * scale : shown_of(quantity, value, units), rounding,
                  out);
}

static const char *unit_beside(Quantity quantity, const char *unit, double leads, Units units)
{
    double scale;
    return is_span(quantity) ? span_scale(quantity, leads, &scale)
                             : quantity_unit(quantity, unit, units);
}

static char *show(Quantity quantity, const char *unit, double value, Rounding rounding, Units units,
                  char *out)
{
    if (!isfinite(value)) {
        (void)snprintf(out, QUANTITY_TEXT, "not known");
        return out;
    }
    show_bare(quantity, value, value, rounding, units, out);
    unit_add(out, unit_beside(quantity, unit, value, units));
    return out;
}

char *quantity_show(Quantity quantity, const char *unit, double value, Units units, char *out)
{
    return show(quantity, unit, value, ROUND_NEAREST, units, out);
}

char *quantity_show_up(Quantity quantity, const char *unit, double value, Units units, char *out)
{
    return show(quantity, unit, value, ROUND_UP, units, out);
}

char *quantity_show_range(Quantity quantity, const char *unit, double low, double high, Units units,
                          char *out)
{
    char a[QUANTITY_TEXT], b[QUANTITY_TEXT];
    if (!isfinite(low) || !isfinite(high))
        return quantity_show(quantity, unit, isfinite(low) ? low : high, units, out);
    const char *word = unit_beside(quantity, unit, high, units);
    show_bare(quantity, low, high, ROUND_NEAREST, units, a);
    show_bare(quantity, high, high, ROUND_NEAREST, units, b);
    if (strcmp(a, b) == 0)
        (void)snprintf(out, QUANTITY_RANGE, "%s%s%s", a, word[0] ? " " : "", word);
    else
        (void)snprintf(out, QUANTITY_RANGE, "%s to %s%s%s", a, b, word[0] ? " " : "", word);
    return out;
}
