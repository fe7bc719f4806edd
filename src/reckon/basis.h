/* basis.h - what every reckoner's result stands on: whether it may be used, where its figures
 * come from, where they end, and what to beware of.
 *
 * Each result struct of this floor begins with a Basis. When `ok` is false every number beside
 * it is 0 and must not be shown: an input was out of the range in which the published figures
 * hold. Nothing in a result is ever NaN or infinite. The strings are constants of the program:
 * nobody frees them. */
#ifndef ULLAGE_RECKON_BASIS_H
#define ULLAGE_RECKON_BASIS_H

#include <stdbool.h>
#include <stddef.h>

typedef enum {
    RECKON_OK,
    RECKON_NOT_A_NUMBER,  /* an input is NaN or infinite (not given) */
    RECKON_TOO_LOW,       /* an input is below `low` */
    RECKON_TOO_HIGH,      /* an input is above `high` */
    RECKON_NO_ROW,        /* no published figure covers the input */
    RECKON_UNREACHABLE,   /* the state asked for is never reached with these inputs */
    RECKON_CONTRADICTION, /* two inputs exclude each other */
    RECKON_ABOVE_RATING   /* a pressure above `high`, the lowest rating of what is under it */
} ReckonReason;

typedef struct {
    bool ok;
    ReckonReason reason;
    const char *field; /* the input refused, as the parameter is named; NULL when ok */
    double value;      /* what it was; 0 when it was no number */
    double low, high;  /* the range it had to be in; both 0 where no range applies */
    const char *source;
    const char *limits;
    const char *caution;
} Basis;

/* A basis that is ok so far. */
Basis basis_begin(const char *source, const char *limits, const char *caution);
/* True when `value` is finite and low <= value <= high. Otherwise refuses (first refusal stays). */
bool basis_within(Basis *basis, const char *field, double value, double low, double high);
/* Refuses for `reason`; returns false. The first refusal stays. */
bool basis_refuse(Basis *basis, ReckonReason reason, const char *field, double value);
/* The refusal as a sentence: "temperature_c is 120, above 110, where the published figures
 * end". Empty when ok. Writes at most `size` bytes with the terminator; returns `out`. */
char *basis_explain(const Basis *basis, char *out, size_t size);

#endif
