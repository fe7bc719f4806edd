/* season_words.h - what a span of time came to (season.h), said once: `ullage season` and the
 * screen lay it out.
 */
#ifndef ULLAGE_OUTLOOK_SEASON_WORDS_H
#define ULLAGE_OUTLOOK_SEASON_WORDS_H

#include "base/units.h"
#include "outlook/season.h"

enum { SEASON_WORDS_MAX = 12, SEASON_TEXT = 320, SEASON_ROWS_MAX = 26 };

/* What stands about a sentence, where there is room for more than sentences. */
typedef enum {
    SEASON_PLAIN,
    SEASON_TAKEN, /* the sources stand behind it */
    SEASON_USED,  /* the weeks do */
    SEASON_JUDGED /* the parts that were swapped stand before it */
} SeasonAbout;

typedef struct {
    SeasonAbout about;
    bool begins;      /* an empty line stands before it, or before its table */
    char caption[16]; /* "Taken on"; "" goes on below the one before */
    char text[SEASON_TEXT];
} SeasonWords;

/* "Season from Sat 12 Sep to Thu 26 Nov: 76 days, 475 entries." Appends. */
void season_title(const Season *season, Moment now, Str *out);
/* What was taken on and used, what for, days on reserve, care, and how good the forecasts were.
 * Returns how many. */
int season_words(const Season *season, Units units, SeasonWords out[SEASON_WORDS_MAX]);

/* Some days in a row. */
typedef struct {
    Moment from;
    double litres, unlogged; /* used; what of it nobody logged */
    double taken[CLASS_COUNT];
    double person_days, crew; /* crew: persons on average */
    double rate;              /* L a person a day; 0 where nobody was aboard */
    int refills;
} SeasonRow;
/* The span in rows of *days each: weeks, as far as `most` of them reach. Returns how many. */
int season_rows(const Season *season, int most, SeasonRow out[], int *days);

/* "Holm tap: 280.6 L potable in 27 fills, cost 7.50, 0.212 a litre". Appends. */
void season_source_tell(const SeasonSource *from, Units units, Str *out);

/* "drink", ...; "not said" for PURPOSE_COUNT. */
const char *season_purpose(int purpose);

/* The most of its life, by litres or days, that a part reached: 0.77; NaN where it has no life
 * told. */
double season_part_life(const SeasonPart *part);
/* What a litre through it cost; NaN where its cost was never said, or nothing went through. */
double season_part_litre(const SeasonPart *part);

#endif
