/* idwatch.h - does one id stand for two entries? Private to src/store.
 *
 * The log has no index on ids (idset.h). But most tell the time of their entry (UUIDv7) and ascend
 * with it; those can't be alike. The others are collected, and the whole log is passed by them
 * once, the greater part of it by the replay that an intake needs anyway. Where more come than a
 * set holds, a filter of 1 MiB of all ids stands before it, and the set holds what may have come
 * before. Where there are so many that the filter is of no use (about a million and a half), it is
 * left to log_verify, which does it on disk. */
#ifndef ULLAGE_STORE_IDWATCH_H
#define ULLAGE_STORE_IDWATCH_H

#include "store/idset.h"
#include "store/replay.h"

typedef struct {
    Uuid greatest; /* so far, of those that tell their entry's time */
    IdSet set;
    uint8_t *filter; /* NULL: the set holds all that did not ascend */
    int64_t *times;  /* where those of the set were met, -1: not yet */
    Spot from;       /* entries before it are passed by already */
    bool lost;       /* too many to tell */
} IdWatch;

/* Zero-initialise; then, or without it where all entries of the log are gone through: */
bool idwatch_open(IdWatch *watch, Log *log, Fault *fault);
/* An entry that came in and stands in the table. */
bool idwatch_add(IdWatch *watch, Log *log, const Spot *spot, Fault *fault);
/* Passes by all entries before `earliest`, and gives what has to see the others. FAULT_REFUSED,
 * here or there: an id stands for two entries. */
bool idwatch_begin(IdWatch *watch, Log *log, const Spot *earliest, ReplayWatch *rest, Fault *fault);
/* For who walks along all entries: each in turn, and then the set holds the ids that may have come
 * before, unless there are too many (lost). */
void idwatch_pass(IdWatch *watch, const Spot *spot);
bool idwatch_passed(IdWatch *watch, Log *log, Fault *fault);
void idwatch_finish(IdWatch *watch);

#endif
