/* moment_words.h - days as people call them: "fri", "29.11.", "29 nov". Private to base/moment*.c.
 */
#ifndef ULLAGE_BASE_MOMENT_WORDS_H
#define ULLAGE_BASE_MOMENT_WORDS_H

#include "base/moment.h"

/* A text that begins with such a day, written with the date in its place: "fri 12:00" becomes
 * "2026-11-27 12:00". The next day of that name, today included (`again`: not today); with `ahead`
 * false the latest. English names, three letters of them at least. False: it begins otherwise. */
bool moment_day_words(Text text, Moment now, bool ahead, bool again, char out[64]);

#endif
