/* idset.h - a bounded set of ids that a scan of the log is held against. Private to src/store.
 *
 * The log has no index on ids (house.md: it would cost five times the time of an insert), so
 * whoever looks for ids collects them here and walks the log once. */
#ifndef ULLAGE_STORE_IDSET_H
#define ULLAGE_STORE_IDSET_H

#include "base/uuid.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { IDSET_MAX = 65536, IDSET_BITS = 1 << 19 };

/* Zero-initialise; idset_finish frees. At most IDSET_MAX ids: 1 MiB. */
typedef struct {
    Uuid *ids;
    uint8_t *bits; /* one bit per hash: most ids that are not in the set are told apart here */
    size_t count, room;
    bool full; /* an id did not fit */
} IdSet;

void idset_add(IdSet *set, const Uuid *id);
void idset_sort(IdSet *set); /* before idset_find; takes doubles out */
/* Index of the id, or -1. */
ptrdiff_t idset_find(const IdSet *set, const Uuid *id);
void idset_clear(IdSet *set);
void idset_finish(IdSet *set);

/* Two hashes of an id for filters. */
uint64_t id_hash(const Uuid *id);

#endif
