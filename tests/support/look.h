/* look.h - sheets and inks as text, and what the eye makes of a colour. */
#ifndef ULLAGE_TESTS_SUPPORT_LOOK_H
#define ULLAGE_TESTS_SUPPORT_LOOK_H

#include "paint/cell.h"
#include "paint/ink.h"

/* The sheet as text, a line a row, without white space at the ends of the lines. */
void sheet_dump(const Sheet *sheet, Str *out);
/* The inks as letters (ink_letter), a line a row. */
void sheet_dump_inks(const Sheet *sheet, Str *out);

const char *ink_name(Ink ink); /* "text", "potable", ... */
char ink_letter(Ink ink);      /* one printable character for ink maps, different for each */
bool ink_is_drawn(Ink ink);    /* never for words: it need not be readable, only seen */

/* Red, green and blue, 0..255, of colour 16..255 of xterm's palette: a cube of 6x6x6 with the
 * levels 0, 95, 135, 175, 215, 255, then 24 greys 8, 18 .. 238 (xterm, 256colres.pl). */
void ink_rgb(int colour, int rgb[3]);
/* Contrast of two colours: (L1 + 0.05) / (L2 + 0.05), L the relative luminance. W3C, Web Content
 * Accessibility Guidelines 2.2 (2023), definitions "contrast ratio" and "relative luminance". */
double rgb_contrast(const int a[3], const int b[3]);
double ink_contrast(int colour_a, int colour_b);

#endif
