/* sync.h - several machines in step through any folder that they share or that is carried about.
 *
 * Each machine writes one file there, and only its own: lines are added at its end, never changed.
 * It reads every other file whose name has ".jsonl" in it, whatever a synchroniser made of the
 * name: the first line says whose it is, each line ends in its seal, and an entry that comes twice
 * is one. So delay, repetition, order and what a kill leaves behind do not matter; a file that
 * shrinks or goes deletes nothing. There is no index, no lock and no marker in the folder.
 */
#ifndef ULLAGE_STORE_SYNC_H
#define ULLAGE_STORE_SYNC_H

#include "store/log.h"

typedef struct {
    int64_t read, added, sent; /* entry lines read, entries that were new here, lines written */
    int64_t differ;            /* discrepancies that are open after it and were not before */
    int64_t waiting;           /* lines that could not be taken in, and will be tried again */
    char machine[16];          /* the name of this machine: its file is ullage-NAME.jsonl */
} SyncCount;

/* Sentences about a file or this machine that somebody should know; nothing stops for them. */
typedef struct {
    void (*say)(void *context, const char *sentence); /* NULL: nobody listens */
    bool (*begins)(void *context, Fault *fault);      /* before something is read; false: not now */
    void *context;
} SyncTell;

/* One round: takes in what the others wrote, through the gates of an import, then writes what none
 * of the files holds. A line that is damaged, of a newer version, ahead of `now` or at odds with
 * the log is told, costs itself only and is tried again; where `now` lies before this program was
 * made, the times of others are not held against it. A machine that finds more in its own file than
 * its log ever wrote was put back to an older copy, or copied: it takes a new name and reads the
 * old file as another's. Nothing new anywhere: a look at the folder, and no more. FAULT_REFUSED:
 * there is no such folder, or the log lies in it; FAULT_LOG: as everywhere, and what the folder
 * can't take. */
bool log_sync(Log *log, const char *folder, Moment now, SyncTell tell, SyncCount *count,
              Fault *fault);

/* The folder of the latest sync ("": none), and when another machine was last heard of
 * (MOMENT_NONE: never). */
bool log_sync_folder(Log *log, Str *folder, Moment *heard, Fault *fault);
/* The machines that this log knows of, those whose name it had itself too. */
bool log_sync_machines(Log *log, Marks *marks, Fault *fault);
/* Takes no part any more; the files in the folder stay. */
bool log_sync_leave(Log *log, Fault *fault);

#endif
