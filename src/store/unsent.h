/* unsent.h - which entries have yet to be written to the folder that machines share. Private to
 * src/store.
 *
 * A derived table: where it was made anew nothing is known, and all of them may be unsent. It is
 * kept only by a log that takes part (it has a machine id). */
#ifndef ULLAGE_STORE_UNSENT_H
#define ULLAGE_STORE_UNSENT_H

#include "store/inside.h"

/* Does the log take part? Else unsent_note does nothing. */
bool unsent_kept(Log *log, bool *kept, Fault *fault);
/* An entry came in that no other machine's file brought. */
bool unsent_note(Log *log, const Spot *spot, Fault *fault);
/* All entries may be unsent: the next sync looks through the whole folder. */
bool unsent_note_all(Log *log, Fault *fault);
/* Is there any; may it be all? */
bool unsent_look(Log *log, bool *any, bool *all, Fault *fault);
bool unsent_clear(Log *log, Fault *fault);

#endif
