/* outlook_words.h - the outlook in sentences: above the chart, and all of it for a screen reader.
 */
#ifndef ULLAGE_SCREENS_OUTLOOK_WORDS_H
#define ULLAGE_SCREENS_OUTLOOK_WORDS_H

#include "outlook/forecast_view.h"
#include "outlook/parts.h"
#include "tui/app.h"

enum {
    OUTLOOK_TEXT = 400,
    OUTLOOK_DAYS = 10,
    OUTLOOK_LINES = 10 + STOPS_MAX + STAGES_MAX + OUTLOOK_DAYS
};

typedef struct {
    const char *caption; /* "Lasts"; "" where it goes on from the line before */
    Ink ink;
    char text[OUTLOOK_TEXT];
} OutlookLine;

/* Facts under a what-if, decided and put into words. */
typedef struct {
    Board board;  /* under the what-if: filled by the caller */
    bool brief;   /* the first lines with as few words as will do: set by the caller */
    bool changed; /* the what-if changes something */
    int line_count;
    int head_count;            /* the first ones: how long it lasts, how much is used */
    int part_from, part_count; /* those about parts to buy */
    OutlookLine line[OUTLOOK_LINES];
} OutlookFacts;

/* facts->board must be filled (what_if_board), `view` be its curve. */
void outlook_facts(const App *app, const WhatIf *what, const ForecastView *view,
                   OutlookFacts *facts);

/* "as logged", or "if 3 aboard, 9.0 L a day, Holm tap dry". Appends. */
void outlook_what(const App *app, const WhatIf *what, Str *out);

/* "97 %", ">99 %", "<1 %", "-" where it is not known: never a certainty that is none. Returns
 * `out`. */
char *outlook_odds(double odds, char out[16]);
/* Litres per person-day that make the odds of the stop 90 %; "-" where that is no number. `out` of
 * at least 64 bytes; returns `out`. */
char *outlook_ration(const App *app, const BoardStop *stop, char *out);

#endif
