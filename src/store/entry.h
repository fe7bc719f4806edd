/* entry.h - the entries as they stand: one by its place or its id, or a walk along them. Private to
 * src/store. The derived tables must be fresh where an id is searched for, where a walk is for one
 * kind, and for what it says of voids.
 */
#ifndef ULLAGE_STORE_ENTRY_H
#define ULLAGE_STORE_ENTRY_H

#include "store/stretch.h"

/* Is it a version 7 id, made within minutes of what the entry is about? */
bool entry_id_near(const Spot *spot);
/* Finds the entry with this id, where it is a version 7 one and the entry was logged within minutes
 * of what it is about: most are. */
bool entry_spot_near(Log *log, const Uuid *id, bool *found, Spot *spot, Fault *fault);
/* The same wherever it stands. *found false where there is none. */
bool entry_spot(Log *log, const Uuid *id, bool *found, Spot *spot, Fault *fault);
/* The first entry, as a row of CODEC_COLUMNS under walk->rows, whose id lies in these bounds, both
 * included; stretch_walk_next gives the others, in the order of the fold. */
DbStep entry_by_id(StretchWalk *walk, Log *log, const Uuid *least, const Uuid *greatest,
                   Fault *fault);
/* Reads one entry; *found false where there is none at that spot. */
bool entry_read(Log *log, const Spot *spot, bool *found, Event *e, Fault *fault);
/* The same; FAULT_LOG also where its seal does not fit. */
bool entry_proved(Log *log, const Spot *spot, bool *found, Event *e, Fault *fault);

/* Does the entry stand as it was just put in? Asked only where triggers of another program's are
 * meant: FAULT_LOG where one of them took it out again or changed it. */
bool entry_taken(Log *log, const Event *e, Fault *fault);

/* A walk in the order of the fold, or back. Beside the entries it goes along the table of those
 * that are taken out, so neither needs memory. */
typedef struct {
    Log *log;
    sqlite3_stmt *struck;
    Spot out; /* the next entry that is taken out */
    bool more, down;
} EntryWalk;

/* Shows all that `query` asks for, as rows of CODEC_COLUMNS (`whole` false: perhaps without note
 * and seal), to pass->look, which gives true to end the walk: DB_ROW. `voided` and `limit` are the
 * caller's. What is left out is decided by SQLite, so it costs no decoding; an entry of a kind that
 * this program does not know is never left out, and a vessel may have to be asked for again: see
 * names_vessel in find.c. */
DbStep entry_walk(EntryWalk *walk, Log *log, const LogQuery *query, bool whole, DbPass *pass,
                  Fault *fault);
/* For who goes along the entries by itself: only the table beside them. entry_walk_close follows in
 * any case. */
bool entry_walk_open(EntryWalk *walk, Log *log, const LogQuery *query, Fault *fault);
void entry_walk_close(EntryWalk *walk);
/* For the look: is the entry at `spot`, the one that is shown or one after it, taken out? */
bool entry_walk_out(EntryWalk *walk, const Spot *spot, bool *out, Fault *fault);

#endif
