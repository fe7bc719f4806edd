/* nasty.h - numbers that break careless formulas, for the fuzz tests of the reckoners. */
#ifndef ULLAGE_TESTS_SUPPORT_NASTY_H
#define ULLAGE_TESTS_SUPPORT_NASTY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* A number out of a repeatable sequence: mostly within low..high, often an end of it or its
 * neighbour, sometimes far out, zero, denormal, huge, infinite or NaN. `seed` is any start and
 * moves on. */
double nasty_number(uint64_t *seed, double low, double high);
/* A whole number from 0 to count - 1. */
unsigned nasty_pick(uint64_t *seed, unsigned count);
/* True when all are finite. */
bool nasty_finite(const double *numbers, size_t count);

/* nasty_good(a, b, c): every double listed is finite. */
#define nasty_good(...)                                                                            \
    nasty_finite((const double[]){__VA_ARGS__},                                                    \
                 sizeof((const double[]){__VA_ARGS__}) / sizeof(double))
/* assert_near(got, wanted, tolerance): absolute; says both numbers when it fails. */
#define assert_near(got, wanted, tolerance)                                                        \
    nasty_near((got), (wanted), (tolerance), #got, __FILE__, __LINE__)
/* The same, relative to the number wanted. */
#define assert_ratio(got, wanted, tolerance)                                                       \
    nasty_near((got), (wanted), (tolerance) * ((wanted) < 0 ? -(wanted) : (wanted)), #got,         \
               __FILE__, __LINE__)
void nasty_near(double got, double wanted, double tolerance, const char *what, const char *file,
                int line);

#endif
