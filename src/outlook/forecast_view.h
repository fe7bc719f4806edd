/* forecast_view.h - the outlook as a curve, and what it would be if things were otherwise.
 *
 * For the chart of what is left against date, and for the what-if keys and options. Pure; nothing
 * here writes to a log or changes a State.
 */
#ifndef ULLAGE_OUTLOOK_FORECAST_VIEW_H
#define ULLAGE_OUTLOOK_FORECAST_VIEW_H

#include "outlook/board.h"
#include "outlook/forecast.h"

/* What is taken to be otherwise. {.crew = -1, .litres_per_day = -1} changes nothing. */
typedef struct {
    int crew;              /* persons aboard from now on, 0..99; -1: as logged */
    double litres_per_day; /* of all aboard together, >= 0; negative: as learnt (for that crew) */
    int dry_count;
    Label dry[STOPS_MAX]; /* stops where no water is to be had */
} WhatIf;

WhatIf what_if_nothing(void);
bool what_if_changes(const WhatIf *what);
bool what_if_dry(const WhatIf *what, const Label *stop);
/* Dry becomes as planned, as planned becomes dry. */
void what_if_toggle_dry(WhatIf *what, const Label *stop);

/* The rate that holds under it, at the board's `now`. */
ForecastRate what_if_rate(const Board *as_is, const State *state, const WhatIf *what);

/* Fills *board with *as_is as it would be: crew, use, days left, stops, stages' dates, alerts. The
 * levels stay what they are, the past was what it was. `board` may not be `as_is`. With litres a
 * day given the outlook is known even where the log has taught nothing yet. */
void what_if_board(Board *board, const Board *as_is, const State *state, const WhatIf *what);

/* Usable water on the lines and in the reserve together, mL, and the worst class of the vessels
 * that hold it; -1 where no vessel is aboard. The past of the curve. */
int64_t view_water(const State *state, Quality *quality);

/* What the planned trip leaves at one moment, litres of usable water on the lines and in the
 * reserve. By `low` odds are 10 % that it is less, by `high` 10 % that it is more; `expected` is
 * the median. */
typedef struct {
    Moment at;
    double low, expected, high;
    double reserve; /* what of it the reserve holds until it is broached, L */
} ViewPoint;

enum { VIEW_POINTS = 256 };
typedef struct {
    bool known;   /* false: no rate is known, nothing else is filled */
    bool lasts;   /* no end in sight at this rate: `until` is VIEW_IDLE_DAYS ahead */
    Moment until; /* where the curve ends */
    int count;    /* 2..VIEW_POINTS; two points with the same time at a stop: before and after */
    ViewPoint point[VIEW_POINTS];
} ForecastView;

/* The curve never goes further than so many days ahead; without an end in sight it goes as far as
 * VIEW_IDLE_DAYS. */
enum { VIEW_DAYS_MAX = 60, VIEW_IDLE_DAYS = 14 };

/* The curve of a board (what_if_board's or the plain one) at its rate.
 *
 * Each of the three is the path of one quantile of the consumption, C of outlook/forecast.h: from a
 * moment with a known level on, left(t) = water - C(t). At a stop the stop's litres come aboard as
 * far as they fit; where all that fits can be had the level is known again and the band closes.
 * Below 0 there is nothing: the path stays there until the next stop with water.
 *
 * It ends when even the high path is empty after the last stop, or a day after a last stop that
 * fills nothing, at VIEW_DAYS_MAX at the latest. `points`: how fine, 2..VIEW_POINTS - 2 STOPS_MAX.
 */
void forecast_view(ForecastView *view, const Board *board, const State *state,
                   const ForecastRate *rate, int points);

/* Between the points, by straight lines; false before the first or after the last point. */
bool view_at(const ForecastView *view, Moment at, ViewPoint *point);

#endif
