/* audit.h - what must hold of every State.
 *
 * The fold keeps it so; a State that comes from anywhere else (a stored one, whose bytes may have
 * changed on the disk) is asked first, because its counts and indexes are believed afterwards. */
#ifndef ULLAGE_MODEL_AUDIT_H
#define ULLAGE_MODEL_AUDIT_H

#include "model/state.h"

/* NULL, or what is wrong, in words: levels from 0 to the brim, volumes conserved to the millilitre,
 * classes and times in their ranges, every count and index inside its array, lines and vessels
 * agree, unused slots zero. */
const char *state_audit(const State *state);

#endif
