/* glyph.h - drawing characters by role, in two alphabets. The alphabet is chosen once, at the
 * start.
 *
 * Every glyph is one column wide in both alphabets.
 */
#ifndef ULLAGE_PAINT_GLYPH_H
#define ULLAGE_PAINT_GLYPH_H

#include "model/quality.h"

#include <stdint.h>

typedef enum { ALPHABET_UTF8, ALPHABET_ASCII, ALPHABET_COUNT } Alphabet;

typedef enum {
    /* a vessel */
    GLYPH_WALL_TOP_LEFT,
    GLYPH_WALL_TOP,
    GLYPH_WALL_TOP_RIGHT,
    GLYPH_WALL_SIDE,
    GLYPH_WALL_BOTTOM_LEFT,
    GLYPH_WALL_BOTTOM,
    GLYPH_WALL_BOTTOM_RIGHT,
    GLYPH_PORT, /* where the pipe enters the lid */
    GLYPH_DIP_TUBE,
    /* the pipe: with water, and with air */
    GLYPH_PIPE,
    GLYPH_PIPE_DOWN_LEFT,  /* from the left, turning down */
    GLYPH_PIPE_DOWN_RIGHT, /* from below, turning right */
    GLYPH_PIPE_TEE,        /* a housing hangs from it */
    GLYPH_AIR,
    GLYPH_AIR_DOWN_LEFT,
    GLYPH_AIR_DOWN_RIGHT,
    GLYPH_FLOW, /* the way that it runs */
    GLYPH_TAP,
    /* water of each class, a full cell */
    GLYPH_WATER_POTABLE,
    GLYPH_WATER_QUESTIONABLE,
    GLYPH_WATER_NON_POTABLE,
    /* a surface at 1..8 eighths of a cell */
    GLYPH_LEVEL_1,
    GLYPH_LEVEL_2,
    GLYPH_LEVEL_3,
    GLYPH_LEVEL_4,
    GLYPH_LEVEL_5,
    GLYPH_LEVEL_6,
    GLYPH_LEVEL_7,
    GLYPH_LEVEL_8,
    /* a bar to the right at 1..8 eighths of a cell, and what is not filled */
    GLYPH_BAR_1,
    GLYPH_BAR_2,
    GLYPH_BAR_3,
    GLYPH_BAR_4,
    GLYPH_BAR_5,
    GLYPH_BAR_6,
    GLYPH_BAR_7,
    GLYPH_BAR_8,
    GLYPH_BAR_EMPTY,
    /* marks */
    GLYPH_MARK_POTABLE,
    GLYPH_MARK_QUESTIONABLE,
    GLYPH_MARK_NON_POTABLE,
    GLYPH_MARK_LEAD,
    GLYPH_MARK_SPENT,
    GLYPH_MARK_NOTICE,
    GLYPH_MARK_CAUTION,
    GLYPH_MARK_WARNING,
    GLYPH_MARK_VOIDED,
    GLYPH_MARK_ASSERTED, /* behind a class: on the owner's word */
    GLYPH_MARK_RAW,      /* behind a class: raw water */
    GLYPH_CURSOR,        /* before the row or field that the cursor is on */
    GLYPH_CUT,           /* here something was cut off */
    GLYPH_DOT,           /* between two facts on a line */
    GLYPH_ABOUT,         /* before an expected, not measured, amount */
    GLYPH_TO,            /* between two ends of a range */
    GLYPH_BECOMES,       /* from -> to */
    GLYPH_UP,            /* more above */
    GLYPH_DOWN,          /* more below */
    /* lines and charts */
    GLYPH_RULE,
    GLYPH_AXIS,
    GLYPH_AXIS_CORNER,
    GLYPH_POINT,
    GLYPH_BAND,
    GLYPH_COUNT
} Glyph;

const char *glyph(Alphabet alphabet, Glyph g);
/* The surface of `eighths` (1..8); 0 gives a space. */
const char *glyph_level(Alphabet alphabet, int eighths);
const char *glyph_bar(Alphabet alphabet, int eighths);
Glyph glyph_water(Quality quality);
Glyph glyph_mark(Quality quality);

/* An ASCII stand-in for a code point: letters lose their accents, dashes and quotes become plain,
 * the rest '?'. Of one column: for a code point of two it is put twice (cell.c). */
char glyph_ascii(uint32_t code);

#endif
