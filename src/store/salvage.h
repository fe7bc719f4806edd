/* salvage.h - what can still be read of a damaged log, into a new one. */
#ifndef ULLAGE_STORE_SALVAGE_H
#define ULLAGE_STORE_SALVAGE_H

#include "store/log.h"

typedef struct {
    int64_t read;        /* entries in the new log */
    int64_t unsealed;    /* of them without a seal: each field is in its range, no more is known */
    int64_t least, most; /* how many are missing, by the counts that the log kept; -1: it can't be
                            told */
    bool torn;           /* the -wal ends within a write: what was written last may be missing
                            besides, and no count tells it */
} LogSalvage;

/* Reads every page of `damaged` and of its write-ahead log as bytes, whatever its tree says, and
 * writes each entry whose seal fits to a new log, which takes the name `target` only when it was
 * read back and is sound. Of rows that an older version wrote without a seal, those are taken that
 * stand where they must and whose fields are in their ranges; they stay without a seal. `damaged`
 * is only ever read. `report` receives a line about all that was found and not found.
 * FAULT_REFUSED: there is no such file, `target` is there already (and `replace` is false) or is
 * the same file. FAULT_LOG: there is no entry in it, the disk is full. No file is left then. */
bool log_salvage(const char *damaged, const char *target, bool replace, LogReport report,
                 LogSalvage *count, Fault *fault);

#endif
