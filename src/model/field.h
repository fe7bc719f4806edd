/* field.h - giving an entry's fields from text, and showing them as text.
 *
 * The command line, the forms and the importer all set fields here, so they accept and refuse
 * alike.
 */
#ifndef ULLAGE_MODEL_FIELD_H
#define ULLAGE_MODEL_FIELD_H

#include "model/kinds.h"

/* The note: at most NOTE_MAX bytes that text_fit lets pass. FAULT_REFUSED; the entry is as it was.
 */
bool event_set_note(Event *e, Text text, Fault *fault);
/* Do all texts of an entry that was read pass text_fit? A log may hold some that don't (another
 * program, or version 0.1, which took marks of direction). FAULT_REFUSED, naming the first. */
bool event_texts_fit(const Event *e, Fault *fault);

/* What typed text is understood against. */
typedef struct {
    const State *state; /* just before the entry */
    Moment now;
    Units units;
} Reading;

/* Sets field `field` of `e` from text as a person types it:
 *  - labels: exact, else the one that matches with ASCII case ignored; refused with the nearest
 *    name where the field must exist and does not. Names that may be new are taken as typed; where
 *    water comes from also by a unique beginning, and refused where it is within two letters of a
 *    source that is known.
 *  - amounts: see amount_parse. For `litres` of fill: "full" and "=x" set `level` instead (the
 *    field of that name). "x%" is of the vessel's capacity, "kg" of `sound`/`level` has the
 *    vessel's tare taken off (refused where no tare is known), 1 kg of water counted as 1 L. "full"
 *    as a level is the capacity, "empty" is 0. Percentages of a line are refused.
 *  - pressures, masses, temperatures, times with the units of base/units.h and base/moment.h.
 *  - choices: the word, or a unique beginning of it.
 *  - flags: yes/no/true/false; empty = yes.
 *  - entry: a UUID; unique beginnings and "last" are resolved by the store before.
 *  - LABELS: one call adds one vessel at the end (the command line) or, with ';' or ','
 *    between them, several.
 * The vessel (line) that an amount is measured against must be set before the amount. */
bool event_set(Event *e, int field, Text text, const Reading *reading, Fault *fault);

/* Small machines have no clock of their own, and two are never quite alike. So much is absorbed: an
 * entry without a time of its own is placed after one that lies so far ahead of now. */
#define CLOCK_GRACE_MS (2 * MS_PER_MINUTE)
/* Does the time lie ahead of now by more than that (and a second, for what was placed after the
 * last of them)? One bound for what is entered, imported and merged. */
static inline bool clock_ahead(Moment at, Moment now)
{
    return at.ms > now.ms + CLOCK_GRACE_MS + MS_PER_SECOND;
}
/* Gives an entry without a time of its own (it is `now`) its place: now, or just after the latest
 * entry of `state` where that lies up to CLOCK_GRACE_MS ahead. FAULT_REFUSED with both times where
 * it lies further ahead: the clock is behind, or was ahead, and what happens now must not be
 * written as if it were the past. A void acts wherever it stands and is never refused: it is the
 * way out of entries of a clock that was ahead. */
bool event_place(const State *state, Event *e, Moment now, Fault *fault);

/* The kind-independent part of a check: required fields, ranges, the time is not ahead of `now`
 * (entries of set-up and plans included), then the kind's own check. */
bool event_check(const State *state, const Event *e, Moment now, Fault *fault);
/* Only what does not depend on the state: required fields and ranges (what import asks). */
bool event_check_fields(const Event *e, Fault *fault);

/* Has the field a value that an entry can hold? What comes in as text, import, merge or a row of
 * the database is held against the same bounds. Names and ids have none. */
static inline bool field_is_number(const Field *f)
{
    return f->type != FIELD_LABEL && f->type != FIELD_LABELS && f->type != FIELD_ENTRY;
}
static inline bool field_fits(const Field *f, int64_t value)
{
    return value >= f->min && value <= f->max;
}

/* The unit in which a bare number is read: "gal", "psi" and "lb" with us and imperial units; NULL:
 * a field without one. */
const char *field_unit(const Field *f, Units units);

/* The value as interchange text without quotes ("8", "Holm tap", "2026-..Z", "true", "potable");
 * false where the field was not given. LABELS: names separated by ';' (a vessel's label can't
 * contain one). */
bool event_get(const Event *e, int field, Str *out);
/* Raw access for stores and importers. */
int64_t *field_number(Event *e, const Field *f);
int64_t field_number_of(const Event *e, const Field *f);
Label *field_label(Event *e, const Field *f);
const Label *field_label_of(const Event *e, const Field *f);

#endif
