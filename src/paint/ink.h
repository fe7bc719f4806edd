/* ink.h - colour by role. A screen says what a thing is; the scheme says how that looks.
 *
 * Nothing is told by an ink alone: each state that has an ink of its own has a word, a mark or a
 * texture as well, so that the monochrome scheme loses nothing.
 */
#ifndef ULLAGE_PAINT_INK_H
#define ULLAGE_PAINT_INK_H

#include "model/quality.h"

typedef enum {
    INK_TEXT,    /* plain words */
    INK_QUIET,   /* captions, units, what stands behind the rest */
    INK_STRONG,  /* the figure or the name that is looked for */
    INK_TITLE,   /* name of a screen */
    INK_VESSEL,  /* walls of a vessel or a housing; drawn, as all that is marked so: no words */
    INK_SPENT,   /* words of a vessel with nothing to give */
    INK_LEAD,    /* the lead */
    INK_AIR,     /* pipe that passes air; drawn */
    INK_POTABLE, /* a class as a word */
    INK_QUESTIONABLE,
    INK_NON_POTABLE,
    INK_WATER_POTABLE, /* water in a vessel, in a pipe, in a chart; drawn */
    INK_WATER_QUESTIONABLE,
    INK_WATER_NON_POTABLE,
    INK_RESERVE,  /* what belongs to the reserve */
    INK_LIFE,     /* life left of a stage; drawn */
    INK_LIFE_LOW, /* the same where it is soon or due; drawn */
    INK_BAND,     /* expected, reckoned, not measured: bands and odds as words */
    INK_GOOD,     /* in order */
    INK_NOTICE,   /* a notice, a caution: words */
    INK_CAUTION,
    INK_SOON,         /* plates: what is soon, the head of a caution */
    INK_WARNING,      /* what is due, a warning */
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
    INK_CHART,        /* a line or bar of a chart; drawn */
    INK_RULE,         /* lines between parts, the area of a band; drawn */
    INK_COUNT
} Ink;

typedef enum { SCHEME_DEFAULT, SCHEME_LIGHT, SCHEME_MONOCHROME, SCHEME_NIGHT, SCHEME_COUNT } Scheme;
const char *scheme_name(Scheme scheme); /* "default", "light", "monochrome", "night" */

enum { PEN_BOLD = 1, PEN_REVERSE = 2, PEN_UNDERLINE = 4 };
typedef struct {
    int fg, bg;          /* of xterm's 256, only 16..255: the first 16 are the owner's to redefine;
                            -1: the terminal's own */
    int fg8, bg8;        /* of the 8 colours; -1: the terminal's own */
    unsigned bright;     /* attributes with 256 colours: few, each costs the terminal a reset */
    unsigned attributes; /* with 8 colours */
    unsigned plain;      /* where there are none */
} Pen;

Ink ink_of_water(Quality quality);
Pen ink_pen(Scheme scheme, Ink ink);

#endif
