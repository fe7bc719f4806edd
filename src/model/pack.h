/* pack.h - a State as a few kilobytes, for checkpoints.
 *
 * Run-length coding of the zero bytes: unused slots cost nothing. The stamp names the layout; a
 * checkpoint whose stamp differs is thrown away and the log is replayed. Never a format for
 * exchange.
 */
#ifndef ULLAGE_MODEL_PACK_H
#define ULLAGE_MODEL_PACK_H

#include "model/state.h"

#include <stddef.h>

/* Upper bound of a packed state. */
#define STATE_PACKED_MAX (sizeof(State) + sizeof(State) / 64 + 64)

int64_t state_stamp(void);
size_t state_pack(const State *state, uint8_t *out, size_t size); /* size >= STATE_PACKED_MAX */
/* False where the bytes are not a packed state of this layout; *state is then undefined. */
bool state_unpack(State *state, const uint8_t *bytes, size_t n);

#endif
