/* results.h - what tests found: of the water in a vessel, at a line's tap, of a source.
 *
 * Flat, part of the State. Values are thousandths of the unit of ullage(5), nitrate as nitrogen;
 * RESULT_COLIFORM and RESULT_ECOLI are 0 (absent) or 1 (present). */
#ifndef ULLAGE_MODEL_RESULTS_H
#define ULLAGE_MODEL_RESULTS_H

#include "base/moment.h"

#include <stdint.h>

typedef enum {
    RESULT_CHLORINE,
    RESULT_PH,
    RESULT_NTU,
    RESULT_TDS,
    RESULT_HARDNESS,
    RESULT_NITRATE,
    RESULT_TEMP,
    RESULT_COLIFORM,
    RESULT_ECOLI,
    RESULT_COUNT
} ResultId;

typedef struct {
    int64_t at, value; /* at 0: not tested */
} Result;

/* Of a vessel: the latest of each, and residuals of the same water before the latest one. */
typedef struct {
    Result latest[RESULT_COUNT];
    Result first, before;
} Results;

/* Free chlorine, thousandths of mg/L: WHO, Guidelines for drinking-water quality (0.2 at least, 5
 * the guideline value); 40 CFR 141.65 (4, running annual average). Nitrate as nitrogen: 40 CFR
 * 141.62 (10); the WHO's 50 mg/L of the ion are 11.3. */
enum {
    RESIDUAL_LEAST = 200,
    RESIDUAL_MOST_US = 4000,
    RESIDUAL_MOST_WHO = 5000,
    NITRATE_MOST = 10000
};
typedef enum { RESIDUAL_UNKNOWN, RESIDUAL_LOW, RESIDUAL_GOOD, RESIDUAL_HIGH } Residual;

/* What a residual says. A low one is told of the water that was tested only (`same`): what came in
 * since brought its own. A high one is told until it was tested again. */
Residual residual_judge(const Result *chlorine, bool same);

/* A residual measured; `same`: of the water that was tested before. */
void results_residual(Results *results, Result now, bool same);

/* Nitrate as the ion (NO3) in thousandths, as nitrogen, rounded up: 62.0049 / 14.0067 = 4.4268. */
int64_t nitrate_as_n(int64_t no3);

/* The earliest time when the residual may be under RESIDUAL_LEAST, by its latest reading and the
 * earlier ones (reckon/decay.h); MOMENT_NONE: the kit can't tell. */
Moment results_low_at(const Results *results);

#endif
