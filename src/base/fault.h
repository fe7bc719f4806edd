/* fault.h - an error is a sentence, built on the way up.
 *
 * A function that can fail returns bool and takes a Fault *. On failure it returns false, the Fault
 * says what is wrong, where, and what to do, and nothing the function was asked to change has
 * changed. On success the Fault is left as it was. A Fault owns no memory. Where the sentence is of
 * no use, NULL may stand for the Fault: every function here then only returns false.
 *
 * What the readers of text in base/ raise: FAULT_USAGE where the text can't be read at all ("8x",
 * "1e5", "24-11-2026"), FAULT_REFUSED where it is understood and can't be (a negative amount, 31
 * February, a label with a control character). A caller that reads a file sets its own kind.
 */
#ifndef ULLAGE_BASE_FAULT_H
#define ULLAGE_BASE_FAULT_H

#include <stdbool.h>

/* The values are the program's exit statuses. */
typedef enum {
    FAULT_NONE = 0,
    FAULT_REFUSED = 1, /* an entry that can't be, an unknown name; nothing was written */
    FAULT_USAGE = 2,   /* the words of the command are off */
    FAULT_LOG = 3      /* the log can't be opened, is damaged or newer; the disk is full */
} FaultKind;

enum { FAULT_TEXT_MAX = 600 };

typedef struct {
    FaultKind kind;
    char text[FAULT_TEXT_MAX]; /* one or more sentences, no newline, always terminated */
} Fault;

/* Sets kind and text (cut at FAULT_TEXT_MAX - 1 bytes, never inside a UTF-8 sequence; what
 * acts (code_acts, base/text.h) and bytes that are not UTF-8 are shown as '?').
 * The arguments may point into the text of this same Fault. Returns false, so that `return
 * fault_set(...)` reads well. */
bool fault_set(Fault *fault, FaultKind kind, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* Puts words in front of the text that is there ("season.jsonl, line 12: " ...). Returns false. */
bool fault_prefix(Fault *fault, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* Adds words behind the text that is there. Returns false. */
bool fault_suffix(Fault *fault, const char *format, ...) __attribute__((format(printf, 2, 3)));

#endif
