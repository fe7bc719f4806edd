#include "reckon/flow.h"

#include <string.h>

/* All but the latest and the one before it are apart by so much, so that there is room for the
 * whole window. A line may come so late before the water is taken to stand (common practice, no
 * source).
 */
enum { CLOSEST_MS = FLOW_WINDOW_MS / (FLOW_SAMPLES - 2) + 1, LATE_MS = 2000 };

static void sample_drop(Flow *f)
{
    f->samples--;
    memmove(f->ms, f->ms + 1, (size_t)f->samples * sizeof f->ms[0]);
    memmove(f->counts, f->counts + 1, (size_t)f->samples * sizeof f->counts[0]);
}

void flow_take(Flow *f, int64_t counts, int64_t ms)
{
    /* after a long silence nobody knows when in it the count rose */
    if (f->samples > 0 && ms - f->ms[f->samples - 1] > INT64_C(2) * FLOW_WINDOW_MS)
        f->samples = 0;
    /* what stood before the run is no part of its rate */
    while (f->samples > 1 && f->counts[0] == f->counts[f->samples - 1] &&
           counts > f->counts[f->samples - 1])
        sample_drop(f);
    /* the one that is a whole window old is kept: the rate begins there */
    while (f->samples > 1 && ms - f->ms[1] >= FLOW_WINDOW_MS)
        sample_drop(f);
    if (f->samples > 1 && f->ms[f->samples - 1] - f->ms[f->samples - 2] < CLOSEST_MS)
        f->samples--;
    else if (f->samples == FLOW_SAMPLES)
        sample_drop(f);
    f->ms[f->samples] = ms;
    f->counts[f->samples++] = counts;
}

double flow_rate(const Flow *f, int64_t ms)
{
    int from = 0;
    while (from + 1 < f->samples && ms - f->ms[from + 1] >= FLOW_WINDOW_MS)
        from++;
    if (f->samples < 1)
        return 0;
    const int last = f->samples - 1;
    const int64_t end = ms - f->ms[last] > LATE_MS ? ms : f->ms[last];
    const int64_t rose = f->counts[last] - f->counts[from];
    return end > f->ms[from] ? (double)rose * 60000 / (double)(end - f->ms[from]) : 0;
}

bool flow_sustained(const Flow *f, int64_t *counts, int64_t *ms)
{
    if (f->samples < 2)
        return false;
    *counts = f->counts[f->samples - 1] - f->counts[0];
    *ms = f->ms[f->samples - 1] - f->ms[0];
    return *ms >= FLOW_WINDOW_MS && *ms < INT64_C(2) * FLOW_WINDOW_MS;
}
