/* tall.h - letters as tall as a sheet allows, for a screen that is read from across a room.
 *
 * A letter is five dots high and three to five wide; what has no letter of its own (small ones
 * become capitals) is left out. A dot at scale s is s columns wide. In UTF-8 it is s half rows
 * high, so that it looks square; in ASCII, which has no half rows, (s + 1) / 2 whole ones.
 */
#ifndef ULLAGE_PAINT_TALL_H
#define ULLAGE_PAINT_TALL_H

#include "paint/cell.h"

int tall_cols(const char *text, int scale);
int tall_rows(Alphabet alphabet, int scale); /* of one row of letters */
/* From (row, col) on, clipped. Returns the column after, the gap to a next letter left out. */
int tall_put(Area area, int row, int col, Ink ink, const char *text, int scale);

#endif
