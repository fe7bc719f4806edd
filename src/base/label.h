/* label.h - what a name is, which text is let in, names that are nearly right. */
#ifndef ULLAGE_BASE_LABEL_H
#define ULLAGE_BASE_LABEL_H

#include "base/fault.h"
#include "base/text.h"

/* The gate for text from elsewhere, typed or read: well-formed UTF-8, and no code point that acts.
 * FAULT_REFUSED with a sentence that begins with `what` ("The note"). */
bool text_fit(Text a, const char *what, Fault *fault);

/* A label: the name of a vessel, line, stage, source or stop. Up to LABEL_MAX bytes; the rest of
 * the array is zero, so labels are compared as blocks. An empty label means: none. */
enum { LABEL_SIZE = 48, LABEL_MAX = LABEL_SIZE - 1 };
typedef struct {
    char s[LABEL_SIZE];
} Label;

/* Refused: empty, longer than LABEL_MAX bytes, what text_fit refuses, white space at an end, a
 * leading '-' (it would read as an option). *label is unchanged then. */
bool label_set(Label *label, Text text, Fault *fault);
/* For text that is known to be good (read back from the log); cut at LABEL_MAX, not inside a UTF-8
 * sequence. */
Label label_of(Text text);
bool label_equal(const Label *a, const Label *b);
bool label_empty(const Label *a);
/* Order of labels on screens and in output: digit runs by value, so A2 stands before A10; else, and
 * where the values are alike (A02, A2), by bytes. Negative, zero, positive as in strcmp; zero only
 * for equal labels. */
int label_compare(const Label *a, const Label *b);

/* Edit distance in code points (insert, delete, replace, swap of neighbours each 1; ASCII case
 * ignored; no place is edited twice), counted to at most `limit` + 1. A negative limit counts as 0.
 */
int text_distance(Text a, Text b, int limit);

/* "Did you mean": of the names that are offered, the first of those nearest to what was asked for,
 * at most two slips away and with something in common (Q9 was not meant to be A1); NULL: none.
 * Start with {.asked = text}. The name is borrowed. */
typedef struct {
    Text asked;
    const char *name;
    int distance; /* of `name` */
} Nearest;
void nearest_offer(Nearest *nearest, const char *name);

#endif
