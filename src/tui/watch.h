/* watch.h - told when a file of the log changes, instead of asking several times a second: an idle
 * board wakes a processor that runs on a battery. Where the system can't tell, the log is asked. */
#ifndef ULLAGE_TUI_WATCH_H
#define ULLAGE_TUI_WATCH_H

#include "base/text.h"

#include <stdint.h>

typedef struct {
    int fd;         /* to poll for reading; -1: nothing can be told */
    bool told;      /* the log itself is watched */
    Str path;       /* of the log; empty for one in memory, which nobody else can write */
    int64_t active; /* when something was last seen to change, ms of a steady clock */
} Watch;

/* Watches the log and its -wal; "" for one in memory. */
void watch_open(Watch *watch, const char *path);
void watch_close(Watch *watch);

/* Watches what bears the names of the files now: once a minute, for files that came or were put in
 * the place of others. */
void watch_renew(Watch *watch);

/* Takes what the system has told. A writer touches the files before what it writes can be read, so
 * one look at that moment may come too early: for a while the log is asked again and again. */
void watch_drain(Watch *watch, int64_t steady_ms);

/* How long nothing needs to be asked, in ms; INT64_MAX: until the system tells. */
int64_t watch_quiet(const Watch *watch, int64_t steady_ms);

#endif
