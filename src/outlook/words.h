/* words.h - what the board says in words, said once: `status`, `outlook`, the text screen, the
 * screens and the previews print it from here, and only choose place, ink and room.
 *
 * Rounding is to the safe side: litres that can be had, rations and days are rounded down, use and
 * what is to be taken on up; odds are rounded down and never said as certain.
 */
#ifndef ULLAGE_OUTLOOK_WORDS_H
#define ULLAGE_OUTLOOK_WORDS_H

#include "outlook/board.h"
#include "outlook/forecast_view.h"

/* What a sentence is about; in the order of the board, and of what has to be answered first. */
typedef enum {
    WORDS_TAP,      /* can I drink from it */
    WORDS_RUNS,     /* water runs at the moment */
    WORDS_WATER,    /* how much on the line, and until when */
    WORDS_RESERVE,  /* how the reserve stands */
    WORDS_APART,    /* what is kept apart */
    WORDS_CLASS,    /* how much of which class, over all */
    WORDS_EXPECTED, /* the level that is expected where not every cup is logged */
    WORDS_STAGES,   /* life left in the train */
    WORDS_DUE,      /* what is to be done, soonest first */
    WORDS_ALERT,    /* warnings, cautions */
    WORDS_NOTICE,
    WORDS_STOP,  /* planned stops */
    WORDS_USE,   /* crew and rate */
    WORDS_LAST,  /* the latest entries (of the screens: a board knows of none) */
    WORDS_LASTS, /* of the outlook alone: how long, the parts to buy, a day's litres, the limits */
    WORDS_PARTS,
    WORDS_LEFT,
    WORDS_LIMITS
} WordsAbout;

/* How it is meant. */
typedef enum {
    TONE_TEXT,
    TONE_QUIET,
    TONE_STRONG,
    TONE_BAND, /* expected, not measured */
    TONE_GOOD,
    TONE_NOTICE,
    TONE_CAUTION,
    TONE_WARNING
} Tone;

enum {
    ALERTS_OPEN = 3, /* alerts that a list tells in full; the rest are opened one by one */
    WORDS_TEXT = 400,
    WORDS_BRIEF = 120,
    WORDS_MAX = 2 * LINES_MAX + BOARD_ALERTS_MAX + DUE_MAX + STOPS_MAX + 16
};

typedef struct {
    WordsAbout about;
    const char *caption; /* "Reserve"; several sentences in a row may share one */
    Tone tone;           /* of the first `strong` bytes; of all of it in an outlook */
    size_t strong;
    unsigned alert; /* of an alert: its ALERT_... flags */
    bool marked;    /* an alert: shown with the mark of its tone */
    char text[WORDS_TEXT];
    char brief[WORDS_BRIEF]; /* of an alert after the first ALERTS_OPEN that neither warns nor
                                asks: what is so, without what to do; else what to say where `text`
                                does not fit: "sediment Mon 30 Nov", "28.0 L, to Sat 28 Nov"; "" */
} Words;

/* All sentences of a board, in order. Returns how many. */
int words_of(const Board *board, Units units, Words out[WORDS_MAX]);

/* Where no vessel is aboard, why: "No vessel is named yet.", "All vessels are retired.", or
 * that entries of the log can't be read. */
const char *none_aboard(const Board *board);

/* The class with its grade and marks: "potable", "potable, on your word", "questionable, raw".
 * Appends. */
void class_tell(const BoardVessel *vessel, Str *out);
/* What a vessel can take: "300 kPa (43.5 psi)", "no pressure", "not known". `out` of at least 64
 * bytes; returns it. */
char *rated_words(int64_t rated_pa, char *out);
/* Is what it holds called raw? Non-potable water is not: nothing that is done about it is another.
 */
bool raw_told(const BoardVessel *vessel);
/* The marks alone, in a word or two: "", "on your word", "raw", "on your word, raw". */
const char *marks_name(bool asserted, bool raw);

/* Results in a row, each with its age: "chlorine 0.6 mg/L 2 d, pH 7.4 2 d". Appends; nothing where
 * nothing was tested. */
void results_tell(const Result results[RESULT_COUNT], Moment now, Units units, Str *out);
/* The residual of the water that it holds and its age: "Cl 0.6 2d"; "" where it was not tested
 * since it was filled. `out` of at least 64 bytes; returns it. */
char *residual_brief(const BoardVessel *vessel, Moment now, char *out);
/* What tests found in it: "", "E. coli found", "coliforms found, nitrate". */
const char *found_name(uint8_t marks);

/* The verdict at a line's tap: "boil first", "no water". "drink" is said alone only where nothing
 * speaks against it: "drink (coliforms)", "drink (stale)", "drink (your word)", the gravest of
 * them.
 */
const char *tap_verdict(const BoardLine *line);
/* Why, in a clause: "potable all the way", "questionable from A2 on", "foul water reached the tap".
 */
void tap_why(const Board *board, const BoardLine *line, char *out, size_t size);

/* How a stage stands: "ok", "soon", "due"; "life?" where no life of it was given: nothing is ok that
 * nobody can know. At most 5 columns. */
const char *stage_stands(const BoardStage *stage);
/* "82 %", "due", "life?": life left of a stage in at most 5 columns. */
void life_tell(const BoardStage *stage, char out[16]);

/* "97 %", ">99 %", "<1 %", "-" where it is not known: never a certainty. Returns `out`. */
char *odds_print(double odds, char out[16]);
/* Litres that can be had or may be used, rounded down; that are needed, rounded up. "-" where it is
 * no number. `out` of at least 64 bytes; return `out`. */
char *litres_had(double litres, Units units, char *out);
char *litres_needed(double litres, Units units, char *out);
/* Days from one time to another, rounded down to a tenth; never negative, 0 where one of them is
 * not known. */
double days_had(Moment from, Moment to);

/* ---- the outlook ---- */

/* Three facts at the head, the limits at the end; at least one word of stops and one of parts. */
enum { OUTLOOK_DAYS = 10, OUTLOOK_WORDS = 4 + STOPS_MAX + STAGES_MAX + OUTLOOK_DAYS };

/* Facts under a what-if, decided and put into words. */
typedef struct {
    Board board; /* under the what-if: filled by the caller (what_if_board) */
    Units units; /* set by the caller, as is `brief`: the first ones with few words */
    bool brief;
    bool changed; /* the what-if changes something */
    int count;
    int head_count;            /* the first ones: how long it lasts, how much is used */
    int part_from, part_count; /* those about parts to buy */
    Words words[OUTLOOK_WORDS];
} OutlookFacts;
/* `view` must be the curve of facts->board. */
void outlook_facts(const Board *as_is, const State *state, const WhatIf *what,
                   const ForecastView *view, OutlookFacts *facts);

/* "as logged", or "if 3 aboard, 9.0 L a day, Holm tap dry". Appends. */
void what_if_tell(const WhatIf *what, Units units, Str *out);

#endif
