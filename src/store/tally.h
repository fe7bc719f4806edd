/* tally.h - how many entries are sealed, and the sum of their seals. Private to src/store.
 *
 * One permanent row, brought up to date in the transaction of each insert. Rows that no seal tells
 * to be wrong, because they are gone, are missed by it. */
#ifndef ULLAGE_STORE_TALLY_H
#define ULLAGE_STORE_TALLY_H

#include "model/seal.h"
#include "store/db.h"

bool tally_load(Db *db, Tally *tally, Fault *fault);
/* Adds what was inserted since. */
bool tally_grow(Db *db, const Tally *more, Fault *fault);

#endif
