/* value.h - one field of an entry from its interchange text. Private to src/store.
 *
 * The interchange is exact and knows one spelling of each thing, so this is stricter than event_set
 * (model/field.h), which takes what a person types. */
#ifndef ULLAGE_STORE_VALUE_H
#define ULLAGE_STORE_VALUE_H

#include "model/kinds.h"
#include "store/json.h"

/* Sets field `field` from text without quotes; not for FIELD_LABELS. Sentences do not name the
 * field. */
bool value_set(Event *e, const Field *f, int field, Text text, Fault *fault);
/* Adds one vessel to a FIELD_LABELS. */
bool value_add_label(Event *e, int field, Text text, Fault *fault);
/* Sets it from a JSON list of texts; an empty one says something: nothing is coupled. */
bool value_order(JsonReader *reader, Event *e, int field, Text list, Fault *fault);
/* Writes the order of an entry as such a list (json_out.h). */
void value_order_json(const Event *e, const char *key, Str *out);

/* The fields that every kind has. */
bool value_id(Event *e, Text text, Fault *fault);
bool value_at(Event *e, Text text, Moment now, Fault *fault);

/* The kind of that name; NULL with a sentence that has the nearest one. */
const Kind *value_kind(Text text, Fault *fault);
/* A sentence for a field that the kind has not. Always false. */
bool value_unknown(const Kind *kind, Text name, Fault *fault);
/* Required fields and ranges (event_check_fields); the sentence begins with "field NAME: " where
 * one field is to blame. */
bool value_check(const Event *e, Fault *fault);

#endif
