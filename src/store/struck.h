/* struck.h - which entries are taken out: the tables void_of and struck. Private to src/store.
 *
 * void_of holds every void by what it names, whether that is here or not, so a void acts as soon as
 * its target arrives. struck holds the entries that are out, by the rule of model/strike.h. */
#ifndef ULLAGE_STORE_STRUCK_H
#define ULLAGE_STORE_STRUCK_H

#include "store/inside.h"

/* Remembers the void `e`. *target_here tells where its target stands, where that is known (NULL:
 * not). */
bool struck_note_void(Log *log, const Event *e, const Spot *target_here, Fault *fault);
/* An entry arrives: do voids name it already? They are told where it stands. */
bool struck_note_entry(Log *log, const Spot *spot, bool *named, Fault *fault);
/* Looks for the targets that are not known to be here yet, or in `other` (NULL: none), whose entries
 * come in: one scan per 65,536 of them. */
bool struck_resolve(Log *log, Log *other, Fault *fault);
/* The entries of `other` will come in: the voids that it remembers, *count that were not known here,
 * are remembered, and all targets, here and there, looked for. Where they do not come just so,
 * everything that is derived has to be made anew. */
bool struck_foresee(Log *log, Log *other, int64_t *count, Fault *fault);
/* The void `e` arrives: is it remembered? */
bool struck_foreseen(Log *log, const Event *e, bool *noted, Fault *fault);

/* Decides anew about the entry that stands at `target` and, where it is a void, about what that
 * takes out, and so on along the chain. *earliest is moved to the first entry whose fate changed.
 */
bool struck_touch(Log *log, const Spot *target, Spot *earliest, bool *changed, Fault *fault);
/* Decides anew about every target. */
bool struck_all(Log *log, Spot *earliest, bool *changed, Fault *fault);
/* Both tables from nothing (they are empty). */
bool struck_rebuild(Log *log, Fault *fault);

bool struck_is(Log *log, const Spot *spot, bool *out, Fault *fault);

#endif
