/* ink.h - colour by role. A screen says what a thing is; the scheme says how that looks.
 *
 * Nothing is told by an ink alone: each state that has an ink of its own has a word, a mark or a
 * texture as well, so that the monochrome scheme loses nothing.
 */
#ifndef ULLAGE_PAINT_INK_H
#define ULLAGE_PAINT_INK_H

#include <stdbool.h>
#include <stdint.h>

typedef enum {
    INK_TEXT,    /* plain words */
    INK_QUIET,   /* captions, units, what stands behind the rest */
    INK_STRONG,  /* the figure or the name that is looked for */
    INK_TITLE,   /* name of a screen */
    INK_VESSEL,  /* walls of a vessel or a housing */
    INK_SPENT,   /* walls and words of a vessel with nothing to give */
    INK_LEAD,    /* the lead */
    INK_AIR,     /* pipe that passes air */
    INK_POTABLE, /* potable water: in a vessel, in a pipe, as a word */
    INK_QUESTIONABLE,
    INK_NON_POTABLE,
    INK_RESERVE, /* what belongs to the reserve */
    INK_LIFE,    /* life left of a stage */
    INK_BAND,    /* expected, reckoned, not measured: bands and odds */
    INK_GOOD,    /* in order */
    INK_NOTICE,  /* alert levels, also service ok/soon/due */
    INK_CAUTION,
    INK_WARNING,
    INK_VERDICT_GOOD, /* the tap's verdict as a plate: drink */
    INK_VERDICT_CARE, /* drink if treated, boil first */
    INK_VERDICT_BAD,  /* wash only, nothing to deliver */
    INK_KEY,          /* a key to press */
    INK_HINT,         /* what it does */
    INK_MESSAGE,      /* what was just done */
    INK_CAPTION,      /* caption of a field */
    INK_FIELD,        /* text typed into a field */
    INK_ACTIVE,       /* the field that has the cursor */
    INK_PROPOSAL,     /* a value proposed, not typed; completion */
    INK_ERROR,        /* what is wrong with a field */
    INK_CHANGE,       /* what an entry would change */
    INK_CURSOR,       /* the row that the cursor is on */
    INK_VOIDED,       /* an entry taken back */
    INK_CHART,        /* a line or bar of a chart */
    INK_RULE,         /* lines between parts */
    INK_COUNT
} Ink;

typedef enum { SCHEME_DEFAULT, SCHEME_LIGHT, SCHEME_MONOCHROME, SCHEME_NIGHT, SCHEME_COUNT } Scheme;
const char *scheme_name(Scheme scheme); /* "default", "light", "monochrome", "night" */

enum { PEN_BOLD = 1, PEN_REVERSE = 2, PEN_UNDERLINE = 4 };
typedef struct {
    int fg, bg;          /* of xterm's 256, only 16..255: the first 16 are the owner's to redefine;
                            -1 in the monochrome scheme */
    int fg8, bg8;        /* of the 8 colours; -1: the terminal's own */
    unsigned bright;     /* attributes with 256 colours: few, each costs the terminal a reset */
    unsigned attributes; /* with 8 colours */
    unsigned plain;      /* where there are none */
} Pen;

Pen ink_pen(Scheme scheme, Ink ink);

#endif
