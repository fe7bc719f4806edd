/* store_kit.h - what the tests of the store share: folders of their own, logs with rare paths made
 * common (a checkpoint every 3 entries), lines in and out, random logs, and an oracle that shares
 * no code with the store. */
#ifndef ULLAGE_TESTS_STORE_KIT_H
#define ULLAGE_TESTS_STORE_KIT_H

#include "model/fold.h"
#include "model/kinds.h"
#include "model/strike.h"
#include "store/inside.h"
#include "store/port.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* 2026-11-24T00:00:00Z */
#define KIT_NOW ((Moment){INT64_C(1795478400000)})
#define KIT_TUNING ((LogTuning){.interval = 3, .busy_ms = 50})

typedef struct {
    char dir[64];
    char path[128];
} Kit;

/* A folder of its own, removed with all that is in it; `path`: of a log there, not made yet. */
void kit_init(Kit *kit);
void kit_finish(Kit *kit);

Log *kit_open(const char *path, LogMode mode);
void kit_state(Log *log, State *state, int64_t *entries);
void kit_sound(Log *log);  /* verify finds nothing */
void kit_usable(Log *log); /* its state can be read */

/* What another program does to a log: it runs `sql`, of which nothing may fail. */
void kit_sql(const char *path, const char *sql);
/* The same, and it stays: the caller closes it. */
sqlite3 *kit_beside(const char *path, const char *sql);

bool kit_import_as(Log *log, const char *text, size_t n, PortFormat format, LogIntake *intake,
                   Fault *fault);
LogIntake kit_import(Log *log, const char *text);
/* Imports events [from, to) as JSON Lines. */
LogIntake kit_feed(Log *log, const Event *events, int from, int to);
/* The sentence with which an import is refused. */
void kit_refused(Log *log, const char *text, size_t n, Fault *fault);

#define KIT_EVERYTHING ((LogQuery){.since = MOMENT_NONE, .until = MOMENT_NONE, .voided = true})

/* All entries as text; free it. */
char *kit_export(Log *log, PortFormat format);

/* xorshift64*: the same logs on every machine */
uint64_t kit_random(uint64_t *seed);
int64_t kit_below(uint64_t *seed, int64_t n);

/* Fields of an entry, by their names; its time and id; whole entries. */
void kit_give(Event *e, const char *field, int64_t value);
void kit_name(Event *e, const char *field, const char *label);
void kit_stamp(Event *e, int64_t ms, uint64_t *seed);
void kit_draw(Event *e, int64_t ms, uint64_t *seed, int64_t ml);
void kit_void(Event *e, int64_t ms, uint64_t *seed, const Uuid *target);

/* A random log, legal or not: vessels, fills, draws, soundings, notes, and voids of anything, voids
 * included, earlier or later ones. Times are in no order, and some are equal. */
void kit_log(Event *events, int count, uint64_t seed);
/* The state by definition: sorted, voided ones left out, folded, all in memory. `until` bounds the
 * times. */
void kit_oracle(const Event *events, int count, Moment until, State *state);

void kit_copy(const char *from, const char *to); /* a file */

#define KIT_SETUP                                                                                  \
    "{\"at\":\"2026-03-01T08:00:00Z\",\"kind\":\"vessel\",\"vessel\":\"A1\",\"capacity\":12}\n"

#define assert_says(fault, words)                                                                  \
    do {                                                                                           \
        if (strstr((fault).text, words) == NULL)                                                   \
            fail_msg("'%s' is not in: %s", words, (fault).text);                                   \
    } while (0)

#endif
