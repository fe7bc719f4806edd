/* words.h - the board's sentences (outlook/words.h) as the screens show them: with the latest
 * entries, the keys that lead on, and inks.
 */
#ifndef ULLAGE_SCREENS_WORDS_H
#define ULLAGE_SCREENS_WORDS_H

#include "outlook/words.h"
#include "tui/app.h"

enum { APP_WORDS_MAX = WORDS_MAX + APP_RECENT };

/* All sentences, in order. Returns how many. */
int app_words(const App *app, Words out[APP_WORDS_MAX]);

Ink ink_of_tone(Tone tone);
Glyph glyph_of_tone(Tone tone); /* the mark of an alert: its shape tells how loud it is */
Ink ink_of_alert_mark(Tone tone);
/* The ink of the verdict at a line's tap; its words are in outlook/words.h. */
Ink words_verdict_ink(const BoardLine *line);
Ink ink_of_residual(Residual residual);

/* A class in at most `columns`: "potable", "pot.", or its mark. */
const char *words_class(const App *app, Quality quality, int columns);
/* The same of what a vessel holds, with the mark of its grade or of raw water behind it:
 * "potable*". Of one column there are two. `out` of at least 64 bytes; returns it. */
const char *words_class_marked(const App *app, const BoardVessel *vessel, int columns, char *out);

#endif
