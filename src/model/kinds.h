/* kinds.h - the table of the kinds of entries: the one place that knows them all. */
#ifndef ULLAGE_MODEL_KINDS_H
#define ULLAGE_MODEL_KINDS_H

#include "model/kind.h"

const Kind *kind_of(KindId id);      /* NULL for KIND_NONE and outside the list */
const Kind *kind_named(Text name);   /* NULL where there is none of that name */
const Kind *kind_nearest(Text name); /* for "did you mean"; NULL where nothing is near */

#endif
