#include "support/nasty.h"

#include <float.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>

#include <cmocka.h>

/* xorshift64*, Vigna 2016: small, repeatable, good enough to spread numbers. */
static uint64_t seed_next(uint64_t *seed)
{
    uint64_t x = *seed == 0 ? 88172645463325252U : *seed;
    x ^= x >> 12;
    x ^= x << 25;
    x ^= x >> 27;
    *seed = x;
    return x * 2685821657736338717U;
}

unsigned nasty_pick(uint64_t *seed, unsigned count)
{
    return (unsigned)((seed_next(seed) >> 33) % count);
}

double nasty_number(uint64_t *seed, double low, double high)
{
    static const double odd[] = {0.0,     -0.0,        DBL_MIN,  -DBL_MIN,  4.9e-324, -4.9e-324,
                                 DBL_MAX, -DBL_MAX,    INFINITY, -INFINITY, NAN,      1e-300,
                                 1e300,   DBL_EPSILON, -1.0,     1.0};
    double share = (double)(seed_next(seed) >> 11) / 9007199254740992.0;
    switch (nasty_pick(seed, 40)) {
    case 0:
        return odd[nasty_pick(seed, (unsigned)(sizeof(odd) / sizeof(odd[0])))];
    case 1:
    case 2:
        return low;
    case 3:
    case 4:
        return high;
    case 5:
        return nextafter(low, -INFINITY);
    case 6:
        return nextafter(high, INFINITY);
    case 7:
        return nextafter(low, INFINITY);
    case 8:
        return low - share * (high - low);
    case 9: /* crowded towards the low end, where divisions live */
    case 10:
        return low + (high - low) * pow(share, 20.0);
    default:
        return low + share * (high - low);
    }
}

bool nasty_finite(const double *numbers, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (!isfinite(numbers[i]))
            return false;
    return true;
}

void nasty_near(double got, double wanted, double tolerance, const char *what, const char *file,
                int line)
{
    if (!(fabs(got - wanted) <= tolerance)) {
        print_error("%s is %.17g, wanted %.17g within %g\n", what, got, wanted, tolerance);
        _fail(file, line);
    }
}
