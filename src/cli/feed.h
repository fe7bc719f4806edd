/* feed.h - a sensor's running count, line by line: what of it is logged, and what the boards are
 * told while the water runs.
 */
#ifndef ULLAGE_CLI_FEED_H
#define ULLAGE_CLI_FEED_H

#include "cli/session.h"
#include "reckon/counter.h"
#include "reckon/flow.h"
#include "store/running.h"

typedef struct {
    Session *session;
    Label line;
    Counter counter;
    bool timed;       /* lines come as the water runs, not out of a file */
    double per_litre; /* 0: only litres are taken */
    int64_t quiet_ms;
    int64_t counts; /* the sensor's count, what wrapped round added to it */
    int64_t logged; /* the same at the latest reading in the log */
    bool fresh;     /* the next reading is that of another meter */
    double owed;    /* mL that rounding left out of the readings before a new start */
    int64_t ms;     /* steady: what follows is by it, and now */
    int64_t flow_at, run_at, tried_at; /* latest flow, the run's begin or its latest entry, ... */
    Moment written;                    /* time of the latest entry: the next comes after it */
    int64_t wrong;                     /* lines that were no count */
    Flow flow;
    Running running; /* since 0: nothing runs */
    int64_t told_at, woken_at;
    int64_t day;         /* local civil day of what follows: the day's coldest and fastest */
    bool cold_known;     /* and not logged */
    int64_t coldest;     /* thousandths of a degree */
    int64_t cold_logged; /* the same, told that day; INT64_MAX: none */
    int64_t flow_counts, flow_ms; /* 0: none was sustained */
    Fault told;                   /* what the log said last, told once */
} Feed;

/* A feed of nothing yet. The caller sets line, counter, per_litre, quiet_ms and timed; and `ms`
 * before each of the calls below. */
void feed_begin(Feed *feed, Session *session);
/* One line of the sensor; `ms`: when it came, as the counter is to take it (reckon/counter.h). What
 * can't be used is said once, on standard error. */
void feed_line(Feed *feed, Text line, int64_t ms);
/* Time went on: logs what is due, tells the boards. */
void feed_tick(Feed *feed);
/* Logs what is open. False: what the log said to it. */
bool feed_end(Feed *feed, Fault *fault);

#endif
