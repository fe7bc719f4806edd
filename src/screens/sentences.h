/* sentences.h - the board's sentences in the rows that there are: by rank one row each, then as
 * many more as it takes to read them in full. What is left out is counted where the last of its
 * sort stands.
 */
#ifndef ULLAGE_SCREENS_SENTENCES_H
#define ULLAGE_SCREENS_SENTENCES_H

#include "screens/words.h"

typedef struct {
    Words *words;
    int count;
    int rows[APP_WORDS_MAX];    /* that each one gets; 0: left out */
    bool beside[APP_WORDS_MAX]; /* stands to the right of the one before */
    int columns;                /* of the area */
    int caption;                /* where the text begins */
    bool drawn_stages;          /* the drawing tells the stages */
} Sentences;

/* Borrows the words. `columns`: of the area that they will be drawn in. */
void sentences_init(Sentences *s, Words *words, int count, int columns, bool drawn_stages);
/* Gives `rows` rows away by rank. Returns how many were used. */
int sentences_share(Sentences *s, int rows);
/* Rows that all sentences would take, the long tails (more due, more entries) left out. */
int sentences_want(Sentences *s);
/* In the rows that were shared out. */
void sentences_draw(const Sentences *s, Area area);

#endif
