/* strike.h - which entries the voids take out.
 *
 * A void names one entry. It acts unless a void that acts takes it out itself. Voids form a graph
 * in which every node names one target, so the answer is unique whatever the order in which entries
 * arrive; voids that name each other in a ring (possible only in a foreign log) do nothing, unless
 * an acting void from outside the ring takes one of them out.
 */
#ifndef ULLAGE_MODEL_STRIKE_H
#define ULLAGE_MODEL_STRIKE_H

#include "base/uuid.h"

#include <stdbool.h>
#include <stddef.h>

/* The voids that name `target`: calls `each` for every one. Supplied by whoever keeps the voids (a
 * table in the store, an array in a test). */
typedef struct {
    void *context;
    /* Fetches the n-th void (0..) that names `target`; false where there are no more. */
    bool (*nth)(void *context, const Uuid *target, size_t n, Uuid *void_id);
} VoidSource;

/* True where an acting void names `entry`. Bounded stack: chains deeper than 10,000 are taken as
 * rings. */
bool strike_holds(const VoidSource *source, const Uuid *entry);

#endif
