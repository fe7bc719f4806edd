/* tables_disinfection.h - the published tables of disinfection, as printed.
 *
 * Labels of the rows: `reproduced` = taken from a transcription of the named publication; `from
 * memory` = to be confirmed against it. */
#ifndef ULLAGE_RECKON_TABLES_DISINFECTION_H
#define ULLAGE_RECKON_TABLES_DISINFECTION_H

#include <stdbool.h>
#include <stddef.h>

enum { GIARDIA_TEMPS = 6, GIARDIA_RESIDUALS = 14, GIARDIA_PHS = 7 };
/* US EPA, Disinfection Profiling and Benchmarking Technical Guidance Manual, EPA 815-R-20-003,
 * June 2020, Table B-1: CT (mg min/L) for 3-log Giardia with free chlorine. The first
 * temperature is 0.5 C or lower, the first residual 0.4 mg/L or less, the first pH 6.0 or less.
 * Reproduced. */
extern const double GIARDIA_TEMP_C[GIARDIA_TEMPS];
extern const double GIARDIA_RESIDUAL_MG_L[GIARDIA_RESIDUALS];
extern const double GIARDIA_PH[GIARDIA_PHS];
extern const double GIARDIA_CT[GIARDIA_TEMPS][GIARDIA_RESIDUALS][GIARDIA_PHS];

enum { VIRUS_LOGS = 3, VIRUS_PHS = 2 };
/* US EPA, SWTR Guidance Manual, 1991, Table E-7: CT for 2, 3 and 4-log viruses with free
 * chlorine, at the temperatures of the Giardia table; first column pH 6 to 9, second pH 10.
 * Reproduced. */
extern const double VIRUS_CT[GIARDIA_TEMPS][VIRUS_LOGS][VIRUS_PHS];

/* One printed dose of household bleach. `litres` is the amount treated in litres. Drops,
 * teaspoons and ml are 0 where the sheet prints none. */
typedef struct {
    const char *document;
    const char *unit; /* "litre", "quart", "gallon" ("litre" stands for "quart or litre" too) */
    double amount;
    double litres;
    bool cloudy;
    double percent_low, percent_high; /* both 0: strength unknown */
    double drops, teaspoons, ml;
    const char *label;
} EmergencyRow;
extern const EmergencyRow EMERGENCY_ROWS[];
extern const size_t EMERGENCY_ROW_COUNT;

enum { UV_STEPS = 8 };
/* 40 CFR 141.720(d)(1); US EPA, UV Disinfection Guidance Manual, 2006, Table 1.4: dose in
 * mJ/cm2 for 0.5, 1.0 ... 4.0 log, by target. Reproduced. */
extern const double UV_LOG[UV_STEPS];
extern const double UV_DOSE_CRYPTOSPORIDIUM[UV_STEPS];
extern const double UV_DOSE_GIARDIA[UV_STEPS];
extern const double UV_DOSE_VIRUS[UV_STEPS];

#endif
