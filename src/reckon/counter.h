/* counter.h - a running count from a sensor, taken line by line: what passed, and nothing else.
 *
 * A sensor counts pulses and says its count now and then. It may be reset, wrap round, be unplugged
 * for a while, and a line may be torn. So the count is believed only where as much can have passed
 * (COUNTER_LITRES_PER_S); a line that can't follow the one before waits for the next, which says
 * which of the two was right. What passed between the last line and a reset is not known and never
 * made up. Pure: counts and times in, counts out. */
#ifndef ULLAGE_RECKON_COUNTER_H
#define ULLAGE_RECKON_COUNTER_H

#include <stdbool.h>
#include <stdint.h>

/* More than any tap of a line this small gives (common practice, no source). */
#define COUNTER_LITRES_PER_S 1.0
#define COUNTER_SLACK_S 2.0 /* lines come late, in bursts */

typedef struct {
    double per_litre; /* counts a litre, above 0 */
    int64_t span;     /* the count wraps round at this: 65536; 0: it does not */
    bool begun;
    int64_t last, at; /* the latest count that was believed, and when (ms) */
    bool doubted;     /* the line after it can't follow it: */
    int64_t doubt, doubt_at;
} Counter;

typedef enum {
    COUNTER_BEGAN,  /* the first line: from here on it counts */
    COUNTER_COUNTS, /* what passed stands in *passed, 0 and more */
    COUNTER_WAITS,  /* a line that can't be: the next one tells */
    COUNTER_ANEW    /* and the next agreed with it: reset or changed, the sensor counts from here */
} CounterStep;

/* A line at time `ms` (which does not go back) with that count (0 and more). */
CounterStep counter_take(Counter *counter, int64_t count, int64_t ms, int64_t *passed);

#endif
