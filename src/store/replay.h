/* replay.h - the fold over stored entries, checkpoints, and the head. Private to src/store.
 *
 * A checkpoint is the state just after every interval-th entry in the order of the fold, so which
 * checkpoints there are follows from the entries alone. An entry that arrives at or before one
 * makes it and all later ones stale: they are removed in the same transaction and written again by
 * the replay.
 */
#ifndef ULLAGE_STORE_REPLAY_H
#define ULLAGE_STORE_REPLAY_H

#include "store/entry.h"

typedef struct Head {
    int64_t entries; /* rows up to `last`, voided ones and voids included */
    Spot last;       /* SPOT_BEFORE_ALL where entries is 0 */
    Written written;
    Stretch stretch; /* of the entries since the last checkpoint */
    State state;
} Head;

/* Of the empty log; what was written is left alone. */
void head_init(Head *head);
/* One more entry at the end (NULL: one that can't be read), which its state has taken in; with
 * `keep`, and where one is due, the checkpoint is written. */
bool head_step(Log *log, Head *head, const Spot *spot, const Event *e, bool keep, Fault *fault);

/* The stamp of all derived tables. */
int64_t derived_stamp(void);

/* *fresh false where there is no head, its stamp or last entry is not what it must be, its seal
 * does not fit or its state fails the audit. */
bool head_fresh(Log *log, bool *fresh, Fault *fault);
/* The stored head, which is fresh, in the log's one place for it: the caller may change it, and has
 * it until the next call. FAULT_LOG where its state can't be read. */
bool head_load(Log *log, Head **head, Fault *fault);
bool head_store(Log *log, const Head *head, Fault *fault);

/* Is shown each entry that a replay passes: its row, and what was read of it (NULL where it can't
 * be, and *fault says why). False with a Fault ends the replay. */
typedef struct {
    bool (*look)(void *context, DbRow row, const Spot *spot, const Event *e,
                 Fault *fault); /* NULL: nobody asks */
    void *context;
    bool whole; /* with note and seal */
} ReplayWatch;

/* Walks on from head->last with head->state and head->entries: up to the end, or while entries are
 * at or before `until`, or strictly before `before` (NULL: open). With `keep`, writes checkpoints.
 */
typedef struct {
    const Moment *until;
    const Spot *before;
    bool keep;
    ReplayWatch watch;
} ReplayWish;
bool replay(Log *log, Head *head, ReplayWish wish, Fault *fault);

/* The same by hand, for who goes along the entries by itself: each in turn (NULL: it can't be
 * read), with checkpoints. replay_close follows in any case. */
typedef struct {
    Head *head;
    EntryWalk walk;
} Replay;
bool replay_open(Replay *replay, Log *log, Head *head, Fault *fault);
bool replay_entry(Replay *replay, const Spot *spot, const Event *e, Fault *fault);
void replay_close(Replay *replay);

/* The nearest checkpoint at or before (strictly before) a spot that can be believed, into head:
 * state, entries, last. The empty log's state where there is none. */
bool checkpoint_load(Log *log, const Spot *spot, bool strictly, Head *head, Fault *fault);

/* What was written or struck at `earliest` (and perhaps later ones) changed: removes the checkpoints
 * from there on, and takes *head, which held before, back to one before it. */
bool replay_back(Log *log, const Spot *earliest, Head *head, Fault *fault);
/* What was written or struck at `earliest` (and perhaps later ones) changed: brings checkpoints and
 * *head, which held before, up to date. head->written is left alone. Does not store the head. The
 * watch meets every entry from `earliest` on, and perhaps some before. */
bool replay_from(Log *log, const Spot *earliest, Head *head, ReplayWatch watch, Fault *fault);

/* Empties the derived tables and makes them anew from `entry`. */
bool derived_rebuild(Log *log, ReplayWatch watch, Fault *fault);

#endif
