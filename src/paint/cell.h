/* cell.h - a sheet of cells: what a screen draws on, what a terminal is painted from, what tests
 * read.
 *
 * Every operation clips to its area and to the sheet, at any size down to 1x1; a wide character
 * that would be cut in half is left out. Rows and columns are counted from 0 inside the area.
 */
#ifndef ULLAGE_PAINT_CELL_H
#define ULLAGE_PAINT_CELL_H

#include "base/text.h"
#include "paint/glyph.h"
#include "paint/ink.h"
#include "paint/stand_in.h"

enum { CELL_BYTES = 21 }; /* a letter and a few combining marks; more marks are left out */

typedef struct {
    char text[CELL_BYTES]; /* one grapheme, terminated; " " where nothing was put */
    uint8_t width;         /* 1, 2; 0: the right half of the cell before */
    uint8_t ink;           /* Ink */
} Cell;

typedef struct {
    int rows, cols;
    bool ascii; /* show other characters by their stand-ins (glyph_ascii): the terminal has only
                   ASCII */
    const StandIns *stand_ins;  /* where it is ascii, for names; borrowed; NULL: none */
    Alphabet alphabet;          /* of the glyphs that are put on it */
    int cursor_row, cursor_col; /* where the terminal's cursor stands; -1: anywhere */
    bool cursor_seen;           /* else it stands there for those who listen, and is not shown */
    Cell *cells;
} Sheet;

/* A part of a sheet, and what draws on it: the functions below take it by value. */
typedef struct {
    Sheet *sheet; /* NULL: only planned with, never drawn on */
    int row, col, rows, cols;
} Area;

void sheet_init(Sheet *sheet, int rows, int cols); /* both clamped to 1..1000 */
void sheet_finish(Sheet *sheet);
void sheet_resize(Sheet *sheet, int rows, int cols); /* cleared */
void sheet_clear(Sheet *sheet);                      /* spaces in INK_TEXT, cursor hidden */
Area sheet_area(Sheet *sheet);
const Cell *sheet_cell(const Sheet *sheet, int row, int col); /* NULL outside */

/* Parts of an area; what does not fit is empty (rows or cols 0). */
Area area_rows(Area area, int from, int count);
Area area_cols(Area area, int from, int count);
Area area_part(Area area, int row, int col, int rows, int cols);
Area area_inset(Area area, int rows, int cols);
Area area_unseen(Area area); /* the same place without a sheet: to plan and to measure */

/* Puts text from (row, col) on, clipped at the area's right edge. Returns the column after the text
 * as if nothing had been clipped, so that the next piece can go on from there. Negative rows and
 * columns are clipped, too. */
int area_put(Area area, int row, int col, Ink ink, Text text);
int area_puts(Area area, int row, int col, Ink ink, const char *terminated);
int area_printf(Area area, int row, int col, Ink ink, const char *format, ...)
    __attribute__((format(printf, 5, 6)));
/* At most `columns` wide, with the alphabet's cut mark where it is longer. Returns the column
 * after. */
int area_cut(Area area, int row, int col, int columns, Ink ink, Text text);
/* So that it ends before column `end`. */
void area_right(Area area, int row, int end, Ink ink, Text text);
/* Wrapped at spaces into the area from `row` on, `col` columns in; returns the row after. A text
 * that does not end in the area ends in the cut mark. */
int area_wrap(Area area, int row, int col, Ink ink, Text text);

const char *area_sign(Area area, Glyph g); /* a glyph in the alphabet of the area's sheet */
int area_glyph(Area area, int row, int col, Ink ink, Glyph g);
/* The whole area, of one glyph (a one-column string). */
void area_fill(Area area, Ink ink, const char *text);
/* Changes the ink of cells and leaves their text (a row under the cursor). */
void area_ink(Area area, int row, int col, int cols, Ink ink);
/* Walls along the edge of the rectangle; 2x2 at least. */
void area_box(Area area, int row, int col, int rows, int cols, Ink ink);
void area_cursor(Area area, int row, int col);
/* The mark of the row that is chosen, in its second column, and the terminal's cursor on it. */
void area_chosen(Area area, int row);

#endif
