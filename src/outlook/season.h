/* season.h - what a span of time came to: use, sources, parts, days on reserve; and how good the
 * program's own forecasts were.
 *
 * Fed with every entry of the log in order, from the first on, whatever the span: a season begins
 * in the state that the log had come to. Pure.
 */
#ifndef ULLAGE_OUTLOOK_SEASON_H
#define ULLAGE_OUTLOOK_SEASON_H

#include "model/state.h"

enum {
    SEASON_PARTS_MAX = 128, /* swaps kept; later ones are counted only */
    SEASON_SOURCES_MAX = SOURCES_MAX + 1,
    PURPOSE_COUNT = PURPOSE_OTHER + 1,
    SEASON_HORIZONS = 2
};

typedef struct {
    Label source;            /* empty: nobody said whence */
    int64_t ml[CLASS_COUNT]; /* by the class that it was called when it was filled in */
    int64_t cost;            /* thousandths of the owner's currency, of the fills that have one */
    int64_t paid_ml;         /* mL of those fills */
    int32_t fills;
} SeasonSource;

/* A cartridge or lamp that was swapped within the span: what it reached. */
typedef struct {
    Label stage;
    Moment fitted, swapped;
    int64_t through_ml;
    int64_t life_ml, life_days; /* 0: no such limit */
    int64_t cost;               /* thousandths of the owner's currency; -1: never said */
} SeasonPart;

/* What would have been said on each day about the use of the next `days`, against what came. */
typedef struct {
    int days;
    int cases, inside; /* days judged; those whose use fell into the 10-90 % band */
    double low, high;  /* what so many cases can tell of the band: 95 % limits of inside / cases
                          (score  interval, Wilson 1927); overlapping spans are not independent, so
                          the truth is wider */
    double bias;       /* L: mean of what came less the median that was said */
} SeasonJudged;

/* One local day. */
typedef struct {
    double logged,
        unlogged;    /* L; what a sounding found missing is spread from when the level was known */
    double foretold; /* L of both that forecasts are about: no wash vessel, no leak */
    double taken[CLASS_COUNT]; /* L filled in, by the class that it was called */
    int refills;
    double person_days; /* as the crew was logged */
} SeasonDay;

typedef struct {
    Moment since, until; /* the span: whole local days but for its ends; settled by season_end */
    int64_t first_day;   /* civil day number of days[0] */
    SeasonDay *days;     /* every day from the first entry on; season_finish frees it */
    double (*said)[SEASON_HORIZONS][3]; /* per day, at its beginning: L with odds of 10, 50, 90 % */
    int day_count, day_room;
    int64_t entries; /* within the span */
    int64_t filled_ml, drawn_ml, unlogged_ml, dumped_ml, gained_ml;
    int64_t by_purpose_ml[PURPOSE_COUNT + 1]; /* the last: no purpose given */
    SeasonSource sources[SEASON_SOURCES_MAX];
    int source_count;
    SeasonPart parts[SEASON_PARTS_MAX];
    int part_count, parts_more;
    int refills;        /* hours with a fill: four vessels at one tap are one refill */
    int64_t longest_ms; /* longest time between two of them, or to the ends of the span */
    int64_t on_reserve_ms, without_potable_ms; /* time in which it was so, by the log */
    int treatments, tests, discrepancies;
    SeasonJudged judged[SEASON_HORIZONS];
    struct {
        Totals totals;
        int64_t at, last_fill;
        int64_t discrepancies;
        bool on_reserve, dry;
        SeasonPart part;
        int64_t known_at; /* of the vessel that the entry names */
        bool wash;        /* it is one */
    } was;                /* before the entry that is being taken */
} Season;

/* `since`, `until`: MOMENT_NONE: from the first entry, to `now`. A span that begins before the first
 * entry begins with it. */
void season_begin(Season *season, Moment since, Moment until, Moment now);
/* The next entry: folds it into *state, which the caller began with state_init. */
void season_take(Season *season, State *state, const Event *e);
/* The rest of the span after the last entry, and the judgement. */
void season_end(Season *season, const State *state);
void season_finish(Season *season);

/* The 95 % score interval of a share of which `inside` of `cases` (1 or more) were seen (E. B.
 * Wilson, J. Am. Stat. Assoc. 22, 1927). */
void season_limits(int inside, int cases, double *low, double *high);

/* Days of the span, counted from 0; NULL outside. The first and the last may be parts of days. */
int season_day_count(const Season *season);
const SeasonDay *season_day(const Season *season, int i);

#endif
