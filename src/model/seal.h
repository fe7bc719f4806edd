/* seal.h - the seal of an entry: a checksum over all that it says.
 *
 * Taken over the interchange values (kind and fields by their names, quantities in thousandths),
 * not over how a table stores them, so it stays the same through export, import, merge and a change
 * of the schema. It finds damage and slips; it is no proof against somebody who means it. */
#ifndef ULLAGE_MODEL_SEAL_H
#define ULLAGE_MODEL_SEAL_H

#include "model/event.h"

/* CRC-32C (base/crc.h) of id, time, zone, kind, the fields that were given in the order of the
 * kind's table, and the note. About 100 ns. */
uint32_t event_seal(const Event *e);

/* Sums over many entries, in no order: they tell that one is missing, or is there twice. */
typedef struct {
    int64_t entries;
    uint64_t sum; /* modulo 2^64, of a hash of id and seal */
} Tally;
void tally_add(Tally *tally, const Uuid *id, uint32_t seal);

#endif
