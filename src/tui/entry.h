/* entry.h - one line of text as it is typed: its caret, its keys, its look. Forms, reckoners, the
 * set-up and the search of the log all type here.
 */
#ifndef ULLAGE_TUI_ENTRY_H
#define ULLAGE_TUI_ENTRY_H

#include "model/event.h"
#include "paint/cell.h"
#include "tui/press.h"

enum { TYPED_MAX = NOTE_MAX }; /* bytes, without the terminating one */

/* Zero-initialise: an empty line. */
typedef struct {
    char text[TYPED_MAX + 1];
    size_t caret; /* byte in text that the next character is put before */
} Typed;

/* Takes `text` over (it may be the text of the line itself), the caret at its end. */
void entry_set(Typed *typed, const char *text);
/* Characters, as long as the text keeps within `most` bytes (up to TYPED_MAX); Left, Right, Home,
 * End, Ctrl-A, Ctrl-E; Backspace, Delete, Ctrl-U. False: not a key of a text, nothing is done. */
bool entry_key(Typed *typed, size_t most, Press press);
/* The line in `columns` from `col` on, with the terminal's cursor at the caret; what lies to the
 * left of it is left out where it does not fit. */
void entry_draw(const Typed *typed, Area area, int row, int col, int columns);

#endif
