/* tell.h - an entry, and a discrepancy, as text for people. */
#ifndef ULLAGE_MODEL_TELL_H
#define ULLAGE_MODEL_TELL_H

#include "model/event.h"
#include "model/state.h"

/* The log line without the time: "fill A1 8 L from Holm tap": the kind, the positional fields, then
 * the others each behind its option's name; the note in quotes where `with_note`. Appends. */
void event_tell(const Event *e, Units units, bool with_note, Str *out);

/* The value of one field in the words of that line; a flag's "yes" or "no". Appends. */
void event_tell_field(const Event *e, int field, Units units, Str *out);

/* A field's value as a person would type it, for event_set (model/field.h) to read back: exact, and
 * with its unit where a bare number is in another. Nothing where it was not given. Appends. */
void event_typed(const Event *e, int field, Units units, Str *out);
enum { TIME_TYPED = 64 };
char *time_typed(Moment m, char out[TIME_TYPED]); /* "2026-11-24 18:30", local; returns `out` */

/* The discrepancy in words: "draw galley 9 L: the line could give only 7.2 L". Appends. */
void discrepancy_tell(const Discrepancy *d, Units units, Str *out);

#endif
