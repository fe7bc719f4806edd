/* stretch.h - what the entries from one checkpoint to the next hold, and a search that passes by
 * the stretches that can't hold what is looked for. Private to src/store.
 *
 * So a kind that is rare is listed, and an id is found, without a look at every row: no second
 * index, which would cost at every insert (schema.c), but 72 bytes a checkpoint. It is derived: a
 * program that does not know it makes its own tables, and this one makes them anew (stamp). Where a
 * kind is everywhere, or ids tell no time (UUIDv4), the search is the scan that it was.
 */
#ifndef ULLAGE_STORE_STRETCH_H
#define ULLAGE_STORE_STRETCH_H

#include "store/inside.h"

typedef struct {
    Spot from;      /* it begins behind this entry */
    uint64_t kinds; /* as bits; bit 0: there is one that can't be read, and may be anything */
    Uuid least, greatest;
    uint64_t seal; /* of the above and of the spot where it ends; 0 while it grows */
} Stretch;
_Static_assert(KIND_END <= 64 && sizeof(Stretch) == 72, "no bytes between its parts");

/* An empty one behind `from`. */
Stretch stretch_from(const Spot *from);
/* One more entry; NULL: one that can't be read. */
void stretch_add(Stretch *stretch, const Event *e);
/* As it is stored with the checkpoint at `end`. */
Stretch stretch_sealed(const Stretch *stretch, const Spot *end);

#define LAST_ID                                                                                    \
    ((Uuid){{255, 255, 255, 255, 255, 255, 255, 255, 255, 255, 255, 255, 255, 255, 255, 255}})
#define SPOT_AFTER_ALL ((Spot){{INT64_MAX}, LAST_ID})
/* What holds anything; a search narrows it down. */
#define STRETCH_ANY ((Stretch){.kinds = UINT64_MAX, .greatest = LAST_ID})

/* The search goes along `rows`, which are of entries in the order of the fold, or back where
 * `down`, at and id their first columns, with at>=?1 AND at<=?2 among their conditions. */
typedef struct {
    Log *log;
    sqlite3_stmt *rows; /* borrowed */
    bool down;
    Stretch wanted;    /* only stretches that share a kind and an id with it */
    Spot after, until; /* the bounds of it all */
    /* from here on the walk's own */
    sqlite3_stmt *ends;
    Stretch held;        /* of the entries up to `edge`, going down */
    Spot edge, from, to; /* so far it has come; what the rows are bound to */
    bool on, over;       /* it goes along the rows just now; no stretch is left */
} StretchWalk;

/* The derived tables are fresh (log_begin). stretch_walk_close follows in any case. */
bool stretch_walk_open(StretchWalk *walk, Fault *fault);
DbStep stretch_walk_next(StretchWalk *walk, Fault *fault);
/* Resets the rows. */
void stretch_walk_close(StretchWalk *walk);

#endif
