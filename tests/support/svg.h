/* svg.h - a sheet as a picture: SVG that shows its cells in the inks of the default theme, on a
 * dark ground, and on a light one where the reader prefers light. */
#ifndef ULLAGE_TESTS_SUPPORT_SVG_H
#define ULLAGE_TESTS_SUPPORT_SVG_H

#include "paint/cell.h"

/* Letters are text; blocks, walls and pipes are drawn, so that they meet whatever the font is. */
void svg_of_sheet(const Sheet *sheet, const char *title, Str *out);

#endif
