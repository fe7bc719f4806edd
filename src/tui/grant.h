/* grant.h - wishes of the App, granted from the log. Neither terminal nor clock: a test can use it
 * on a log in memory. */
#ifndef ULLAGE_TUI_GRANT_H
#define ULLAGE_TUI_GRANT_H

#include "store/log.h"
#include "tui/app.h"

typedef struct {
    Log *log;        /* borrowed */
    App *app;        /* borrowed */
    int64_t version; /* of the log that the App was last told */
    int depth;
    bool quit;
    /* what can be taken back, and brought back, as one */
    Uuid written[APP_OUTBOX], taken[APP_OUTBOX];
    int written_count, taken_count;
    Uuid asked; /* an entry that was not written on this machine: the person was told so */
} Grant;

void grant_init(Grant *grant, Log *log, App *app);
void grant_finish(Grant *grant);

/* Tells the App the log as it is now, and opens the set-up where the log is empty. False with
 * FAULT_LOG. */
bool grant_first(Grant *grant, Moment now, Fault *fault);

/* Asks whether anybody has written since, or moved the file, and tells the App if so. Cheap: no
 * lock, no read of the log. True where something is new. */
bool grant_look(Grant *grant, Moment now);

/* Grants every wish but those of the terminal (WISH_SUSPEND, WISH_REDRAW). */
void grant_wish(Grant *grant, const Wish *wish);

#endif
