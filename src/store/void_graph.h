/* void_graph.h - which voids act, for many of them at once. Private to src/store.
 *
 * The same answer as model/strike.h gives entry by entry, but in one pass: a file of thousands of
 * voids, each naming the one before, is decided in a moment and not in hours. (Only where a chain
 * is deeper than the 10,000 that strike.h follows do the two differ: here it is followed to its
 * end.) */
#ifndef ULLAGE_STORE_VOID_GRAPH_H
#define ULLAGE_STORE_VOID_GRAPH_H

#include "base/uuid.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { VOID_GRAPH_MAX = 32768 }; /* 1.5 MiB of nodes */

typedef enum { VOID_UNDECIDED, VOID_ACTS, VOID_STRUCK } VoidFate;

typedef struct {
    Uuid id, target; /* the void, and what it names */
    int32_t pending; /* voids that name it and are not struck so far */
    int32_t next;    /* in the list of those to be followed */
    uint8_t fate;    /* VoidFate; VOID_UNDECIDED at the end: part of a ring, or behind one */
} VoidNode;

/* Decides all fates; the nodes are sorted by id. False where an id stands for two voids. */
bool void_graph_solve(VoidNode *nodes, size_t count);
VoidFate void_graph_fate(const VoidNode *nodes, size_t count, const Uuid *id);

#endif
