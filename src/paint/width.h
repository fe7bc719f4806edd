/* width.h - how many columns text takes, and cutting it to fit.
 *
 * Widths follow wcwidth of the process's locale, so that they agree with the terminal's library;
 * where the locale knows no more than ASCII a small table stands in. Control characters, direction
 * overrides, joiners and variation selectors are never shown: what they would do to a row of cells
 * can't be told beforehand.
 */
#ifndef ULLAGE_PAINT_WIDTH_H
#define ULLAGE_PAINT_WIDTH_H

#include "base/text.h"

/* Columns of one code point: 2 wide, 1, 0 for a combining mark, -1 for what is never shown. */
int width_of_code(uint32_t code);

/* Columns that a text takes when it is put on a sheet. */
int width_of(Text text);
int width_ofs(const char *terminated);

/* The longest beginning of the text that fits into `columns` (combining marks stay with their
 * letter). */
Text width_take(Text text, int columns);

/* The text if it fits into `columns`, else its beginning and `mark` (one column: the alphabet's cut
 * mark), so that nothing is cut silently. Adds to `out`. columns <= 0 adds nothing. */
void width_cut(Str *out, Text text, int columns, const char *mark);

/* Breaks off the next line of at most `columns` at a space (or, where a word is longer than the
 * line, inside it). *rest moves on; false at the end of the text. A newline ends a line too. */
bool width_wrap(Text *rest, int columns, Text *line);
/* How many lines width_wrap makes of it; at least 1 for text that is not empty. */
int width_lines(Text text, int columns);

#endif
