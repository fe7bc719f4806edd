/* flow.h - how fast a running count rises: over the latest seconds, and the fastest of a day.
 *
 * A count comes now and then, so the rate is that of a window: of 10 s where it runs so long, of
 * what there is at first. A rate that stands for the train is one over the whole window. Pure. */
#ifndef ULLAGE_RECKON_FLOW_H
#define ULLAGE_RECKON_FLOW_H

#include <stdbool.h>
#include <stdint.h>

enum { FLOW_SAMPLES = 32, FLOW_WINDOW_MS = 10000 };

typedef struct {
    int64_t ms[FLOW_SAMPLES], counts[FLOW_SAMPLES]; /* oldest first */
    int samples;
} Flow;

/* The count at `ms`, neither below the one before. However often it comes, the whole window is
 * kept: the latest sample takes the place of one too close to that before it. */
void flow_take(Flow *flow, int64_t counts, int64_t ms);
/* Counts a minute up to `ms`; 0 where nothing is known. Falls as it stands. */
double flow_rate(const Flow *flow, int64_t ms);
/* What rose over the latest whole window, and its length; false where it has not run so long. */
bool flow_sustained(const Flow *flow, int64_t *counts, int64_t *ms);

#endif
