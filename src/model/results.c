#include "model/results.h"

#include "reckon/decay.h"

#include <math.h>

Residual residual_judge(const Result *chlorine, bool same)
{
    if (chlorine->at == 0)
        return RESIDUAL_UNKNOWN;
    if (chlorine->value > RESIDUAL_MOST_US)
        return RESIDUAL_HIGH;
    if (!same)
        return RESIDUAL_UNKNOWN;
    return chlorine->value < RESIDUAL_LEAST ? RESIDUAL_LOW : RESIDUAL_GOOD;
}

void results_residual(Results *results, Result now, bool same)
{
    Result *latest = &results->latest[RESULT_CHLORINE];
    const bool again = same && latest->at != 0;
    if (!again)
        results->first = (Result){0};
    else if (results->first.at == 0)
        results->first = *latest;
    results->before = again ? *latest : (Result){0};
    *latest = now;
}

int64_t nitrate_as_n(int64_t no3)
{
    return (int64_t)ceil((double)no3 * 14.0067 / 62.0049);
}

/* One that was never taken is 0 at 0: of it and another one there is no decay. */
static Moment low_at(const Result *first, const Result *latest)
{
    const double hours =
        decay_earliest_hours((double)first->value / 1000, (double)latest->value / 1000,
                             (double)(latest->at - first->at) / (double)MS_PER_HOUR);
    const double ms = hours * (double)MS_PER_HOUR;
    if (!isfinite(ms) || ms > (double)(MOMENT_MAX_MS - latest->at))
        return MOMENT_NONE;
    return (Moment){latest->at + (int64_t)floor(ms)};
}

Moment results_low_at(const Results *results)
{
    const Result *latest = &results->latest[RESULT_CHLORINE];
    return moment_sooner(low_at(&results->first, latest), low_at(&results->before, latest));
}
