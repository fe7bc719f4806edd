/* quality.h - the three classes of water, and what they mean at the tap.
 *
 * A class is a record of what was logged, not a laboratory test. */
#ifndef ULLAGE_MODEL_QUALITY_H
#define ULLAGE_MODEL_QUALITY_H

#include "base/text.h"

#include <stdbool.h>
#include <stdint.h>

/* Ordered: further down is worse. The values stand in logs and never change. */
typedef enum { CLASS_POTABLE = 0, CLASS_QUESTIONABLE = 1, CLASS_NON_POTABLE = 2 } Quality;
enum { CLASS_COUNT = 3 };

/* Marks of water beside its class; a mixture has those of both. */
enum {
    MARK_ASSERTED = 1, /* where it is potable, that is the owner's word: nothing measured says so.
                          Without it the grade is `measured` */
    MARK_RAW = 2,      /* from open or unknown water, and not treated against Giardia since */
    MARK_COLIFORM = 4, /* a test found coliforms; ends as the class does */
    MARK_ECOLI = 8,    /* a test found E. coli */
    MARK_NITRATE = 16, /* a test found more nitrate than infants may have; no treatment ends it, but
                          a later test of the vessel, or emptying it */
    MARK_FOUND = MARK_COLIFORM | MARK_ECOLI,
    MARK_ALL = 31
};

Quality quality_worst(Quality a, Quality b);
const char *quality_name(Quality q);  /* "potable", "questionable", "non-potable" */
const char *quality_short(Quality q); /* "pot.", "quest.", "non-pot." */

/* What a person may do with the water that the tap would deliver now. */
typedef enum {
    VERDICT_NONE,             /* the line has no water to deliver */
    VERDICT_DRINK,            /* potable all the way */
    VERDICT_DRINK_IF_TREATED, /* questionable; the train is declared purifying and all of it in life
                               */
    VERDICT_BOIL_FIRST,       /* questionable, and the train is not */
    VERDICT_WASH_ONLY         /* non-potable */
} Verdict;
const char *
verdict_name(Verdict v); /* NULL for VERDICT_NONE; else "drink", "drink if treated", ... */

#endif
