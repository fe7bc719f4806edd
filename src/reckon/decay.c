#include "reckon/decay.h"

#include <math.h>
#include <stdbool.h>
#include <stddef.h>

double decay_rate(double first, double second, double hours)
{
    return second > 0 && first > second && hours > 0 ? log(first / second) / hours : NAN;
}

/* Readings are decimal, steps are not all binary: whole within a thousandth of a step. */
static bool multiple_of(double value, double step)
{
    const double n = value / step;
    return fabs(n - floor(n + 0.5)) < 1e-3;
}

double decay_step(double first, double second)
{
    static const double steps[] = {1, 0.5, 0.25, 0.2};
    for (size_t i = 0; i < sizeof steps / sizeof steps[0]; i++)
        if (multiple_of(first, steps[i]) && multiple_of(second, steps[i]))
            return steps[i];
    return 0.1;
}

double decay_earliest_hours(double first, double second, double hours)
{
    const double step = decay_step(first, second), low = second - step;
    if (!(hours > 0) || !(first - second > step + 1e-9))
        return NAN;
    if (low <= DECAY_LEAST_MG_L)
        return 0;
    return log(low / DECAY_LEAST_MG_L) / decay_rate(first + step, low, hours);
}
