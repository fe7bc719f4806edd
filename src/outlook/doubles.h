/* doubles.h - one thing that two people logged on two machines. */
#ifndef ULLAGE_OUTLOOK_DOUBLES_H
#define ULLAGE_OUTLOOK_DOUBLES_H

#include "model/event.h"

/* Common practice, no source: a cartridge is not changed twice within an hour, and a vessel that
 * was just filled is not filled again within ten minutes. */
#define DOUBLE_SWAP_MS MS_PER_HOUR
#define DOUBLE_FILL_MS (10 * MS_PER_MINUTE)

/* Are these two, made on different ones of the machines in step, likely one swap of the same stage
 * or one fill of the same vessel? The bounds count as within. */
bool likely_double(const Event *a, const Event *b, const Marks *machines);

#endif
