/* picture.h - what a terminal would show: bytes in, a grid of cells out.
 *
 * A terminal small enough for a test, and not the library's own idea of one: ECMA-48 as far as the
 * descriptions of vt100, linux, screen and xterm use it. A sequence that it does not know is
 * counted in `unknown`, so that a test can tell a gap here from a fault there.
 */
#ifndef ULLAGE_TESTS_TTY_PICTURE_H
#define ULLAGE_TESTS_TTY_PICTURE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { PICTURE_ROWS = 100, PICTURE_COLS = 240, PICTURE_TEXT = 24, PICTURE_NUMBERS = 16 };

typedef struct {
    int32_t fg, bg; /* of the 256 colours; -1: the terminal's own */
    uint32_t looks; /* bit n: SGR n is on (1 bold, 4 underline, 7 reverse ...) */
} PicturePen;

typedef struct {
    char text[PICTURE_TEXT]; /* UTF-8 of one character and what combines with it */
    int32_t width;           /* 1, 2; 0: the right half of the one before */
    PicturePen pen;
} PictureCell;

typedef struct {
    int rows, cols, row, col;
    bool wrap_next; /* the last column is written: the next character begins a new row */
    bool cursor, alternate, bracketed, drawing; /* drawing: the line characters of the vt100 */
    int clears;                                 /* times that the whole screen was cleared */
    int coloured;                               /* SGR parameters that set a colour */
    int unknown;
    char unknown_text[32]; /* the first of them */
    PicturePen pen;
    PictureCell cells[PICTURE_ROWS][PICTURE_COLS];
    PictureCell primary[PICTURE_ROWS][PICTURE_COLS]; /* behind the alternate screen */
    int primary_row, primary_col;
    int top, bottom; /* scrolling region, inclusive */

    /* the reader of sequences */
    int state, numbers[PICTURE_NUMBERS], number_count;
    char mark, between;
    unsigned char partial[4];
    int partial_count, partial_need, system_count;
    char system_first;
    char line_set[2]; /* the sets G0 and G1: 'B' or '0' */
    int line_used;
} Picture;

void picture_init(Picture *p, int rows, int cols);
/* The window got another size: what is outside is lost, what is new is blank. */
void picture_resize(Picture *p, int rows, int cols);
void picture_feed(Picture *p, const char *bytes, size_t n);
/* The text of a row without the blanks at its end; `out` of PICTURE_COLS * PICTURE_TEXT bytes. */
char *picture_row(const Picture *p, int row, char *out);
/* The row in which `text` stands; -1: nowhere. */
int picture_find(const Picture *p, const char *text);
/* Same size, texts and pens. *row receives the first one that differs. */
bool picture_equal(const Picture *a, const Picture *b, int *row);
/* Bytes that it takes at least, near enough, to turn `before` into `after`: for each run of cells
 * that differ a move of the cursor, the change of pen and the text, or clearing the rest of the
 * row; at the end the plain pen, and the cursor where it stands. Scrolling is not thought of. */
size_t picture_delta(const Picture *before, const Picture *after);

#endif
