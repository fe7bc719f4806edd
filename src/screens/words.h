/* words.h - the board in sentences: what stands under the drawing, and all that the plain-text
 * screen says. Facts come from the Board; here they only get their words and their order.
 */
#ifndef ULLAGE_SCREENS_WORDS_H
#define ULLAGE_SCREENS_WORDS_H

#include "tui/app.h"

enum {
    WORDS_TEXT = 400,
    WORDS_BRIEF = 120,
    WORDS_MAX = BOARD_ALERTS_MAX + DUE_MAX + APP_RECENT + STOPS_MAX + 24
};

/* What a sentence is about; in the order of the board, and of what has to be answered first. */
typedef enum {
    WORDS_WATER,    /* how much on the line, and until when */
    WORDS_RESERVE,  /* how the reserve stands */
    WORDS_APART,    /* what is kept apart */
    WORDS_EXPECTED, /* the level that is expected where not every cup is logged */
    WORDS_STAGES,   /* life left in the train (where the drawing can't say it) */
    WORDS_DUE,      /* what is to be done, soonest first */
    WORDS_ALERT,    /* warnings, cautions */
    WORDS_NOTICE,
    WORDS_STOP, /* planned stops */
    WORDS_USE,  /* crew and rate */
    WORDS_LAST  /* the latest entries */
} WordsAbout;

typedef struct {
    WordsAbout about;
    const char *caption; /* "Reserve"; several sentences in a row may share one */
    Glyph mark;          /* of an alert */
    bool marked;
    bool repeated; /* an alert that a sentence about what is due says as well */
    bool asks;     /* a notice that asks for something to be done: a sounding */
    Ink ink;       /* of the first `strong` bytes */
    size_t strong;
    char text[WORDS_TEXT];
    char brief[WORDS_BRIEF]; /* what to say where `text` does not fit: "sediment Mon 30 Nov",
                                "28.0 L, to Sat 28 Nov"; "" */
} Words;

/* All sentences, in order. Returns how many. */
int words_of(const App *app, Words out[WORDS_MAX]);

/* The ink of the verdict at a line's tap; its words are in outlook/words.h. */
Ink words_verdict_ink(const BoardLine *line);

/* A class in at most `columns`: "potable", "pot.", or its mark. */
const char *words_class(const App *app, Quality quality, int columns);
/* "82 %", "due", "ok": life left of a stage in at most 5 columns. */
void words_life(const BoardStage *stage, char out[16]);

#endif
