/* words_private.h - how a sentence is put together. Private to outlook/words*.c. */
#ifndef ULLAGE_OUTLOOK_WORDS_PRIVATE_H
#define ULLAGE_OUTLOOK_WORDS_PRIVATE_H

#include "outlook/words.h"

void words_begin(Words *words, WordsAbout about, const char *caption, Tone tone);
/* Appends to what was said so far. */
void say(Words *words, const char *format, ...) __attribute__((format(printf, 2, 3)));
void say_comma(Words *words); /* between two parts of it */
/* "to Sun 29 Nov (3.2 to 5.4 days)", "to Sun 29 Nov (3.2 days or more)", "no end in sight at this
 * rate, but 1 in 10 by Fri 4 Dec". */
void say_band(Words *words, const Band *band, Moment now);

/* The rate is mostly what is assumed of a crew, not what the log has taught. */
static inline bool use_assumed(const Board *board)
{
    return board->use_prior >= 0.5;
}

#endif
