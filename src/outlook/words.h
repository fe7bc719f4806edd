/* words.h - what the board says in words, said once: `status`, the text screen, the screens and the
 * previews print it from here. */
#ifndef ULLAGE_OUTLOOK_WORDS_H
#define ULLAGE_OUTLOOK_WORDS_H

#include "outlook/board.h"

/* The class with its grade and marks: "potable", "potable, on your word", "questionable, raw".
 * Appends. */
void class_tell(const BoardVessel *vessel, Str *out);
/* The marks alone, in a word or two: "", "on your word", "raw", "on your word, raw". */
const char *marks_name(bool asserted, bool raw);

/* The verdict at a line's tap: "boil first", "no water". "drink" is said alone only where nothing
 * speaks against it: "drink (stale)", "drink (raw)", "drink (your word)", the gravest of them. */
const char *tap_verdict(const BoardLine *line);
/* Why, in a clause: "potable all the way", "questionable from A2 on", "foul water reached the tap".
 */
void tap_why(const Board *board, const BoardLine *line, char *out, size_t size);

#endif
