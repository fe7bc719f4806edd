/* quantity.h - measured numbers that are reckoned with: their units, read and shown.
 *
 * The log's own amounts are exact integers (base/units.h). What a reckoner takes in and gives out
 * is a double in one unit per quantity, named below; this file turns text into it and back, in
 * metric, US and imperial units. The unit words are those of base/units.h and a few more.
 */
#ifndef ULLAGE_TOPICS_QUANTITY_H
#define ULLAGE_TOPICS_QUANTITY_H

#include "base/text.h"
#include "base/units.h"

typedef enum {
    QUANTITY_NUMBER,      /* in a unit of its own that all systems share: pH, mg/L, W, %, ... */
    QUANTITY_VOLUME,      /* L; gal (US or imperial) */
    QUANTITY_DOSE,        /* mL; fl oz (US or imperial): what is measured with a spoon */
    QUANTITY_MASS,        /* kg; lb */
    QUANTITY_TEMPERATURE, /* C; F in US units */
    QUANTITY_PRESSURE,    /* kPa; psi */
    QUANTITY_LENGTH,      /* m; ft */
    QUANTITY_BORE,        /* mm; in, fractions allowed ("3/8in") */
    QUANTITY_FLOW,        /* L/min; gal/min: of water */
    QUANTITY_AIR,         /* L; cuft: of free air */
    QUANTITY_AIRFLOW,     /* L/min; cfm: of free air */
    QUANTITY_SPEED,       /* m/s; mph: of the wind */
    QUANTITY_MINUTES,     /* min; s, h, d are taken too */
    QUANTITY_SECONDS,     /* s; the same */
    QUANTITY_HOURS,       /* h; the same */
    QUANTITY_CHOICE,      /* index into a list of words */
    QUANTITY_WORDS        /* no number at all */
} Quantity;

enum { QUANTITY_TEXT = 48, QUANTITY_RANGE = 128 };

/* The unit that a bare number is in, and that results are shown in: "L", "gal", "psi"; "" for a
 * number without one. `unit`: of a QUANTITY_NUMBER, NULL for none. */
const char *quantity_unit(Quantity quantity, const char *unit, Units units);

/* Reads "12", "12 L", "3gal", "40psi", "3/8in", "50F", "-3.5": digits with a decimal point or
 * comma, at most one '/', no exponent, then a unit of that quantity; without one, quantity_unit's.
 * FAULT_USAGE with the units that would do. Never NaN, never infinite; at most 1e12 either way. */
bool quantity_parse(Quantity quantity, const char *unit, Text text, Units units, double *value,
                    Fault *fault);

/* The value in the system's unit, the shortest text that quantity_parse reads back to within
 * `tolerance` of it (relative; 1e-9 at the least). `out` of QUANTITY_TEXT bytes; returns `out`. ""
 * for a value that is not finite. */
char *quantity_text(Quantity quantity, const char *unit, double value, Units units,
                    double tolerance, char *out);

/* For people: three figures ("4.08 L", "0.0625 in", "12.4 h"), whole numbers from 1,000 on, spans
 * of time in the unit that suits them; "not known" for a value that is not finite. */
char *quantity_show(Quantity quantity, const char *unit, double value, Units units, char *out);
/* The same, but what is shown is never less than the value: for a dose, a wait. */
char *quantity_show_up(Quantity quantity, const char *unit, double value, Units units, char *out);
/* Two ends of a range: "2.5 to 3 L"; one value where both show alike. `out` of
 * QUANTITY_RANGE bytes. */
char *quantity_show_range(Quantity quantity, const char *unit, double low, double high, Units units,
                          char *out);

#endif
