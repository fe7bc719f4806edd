/* running.h - how a feed tells the boards that water runs, without an entry.
 *
 * Decided: a file beside the log, one for each line, "<log>-running-<hash of the line>", that is
 * there while water runs and no longer. A row of the log would wake every board and wear a card
 * each second; this is some tens of bytes in memory that the disk need never see. It holds one line
 * with a checksum and is written over in place: a reader that meets it half written finds nothing,
 * and looks again. Nothing depends on it; it may be deleted at any time. */
#ifndef ULLAGE_STORE_RUNNING_H
#define ULLAGE_STORE_RUNNING_H

#include "model/running.h"
#include "model/state.h"

/* `log`: the path of the log; one without a file tells nothing. What can't be written is left: the
 * entry that follows tells the same, later. */
void running_tell(const char *log, const Running *running);
void running_end(const char *log, const Label *line);
/* A board that is idle watches the log's own files alone: their time is touched, which wakes it. It
 * looks for twenty seconds then. */
enum { RUNNING_WAKE_MS = 10000 };
void running_wake(const char *log);

/* The lines on which water runs at `now`; returns how many. */
int running_read(const char *log, const State *state, Moment now, Running out[LINES_MAX]);

#endif
