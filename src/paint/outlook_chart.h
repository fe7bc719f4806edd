/* outlook_chart.h - the chart of what is left against date: for the outlook screen and for `ullage
 * outlook`.
 */
#ifndef ULLAGE_PAINT_OUTLOOK_CHART_H
#define ULLAGE_PAINT_OUTLOOK_CHART_H

#include "outlook/forecast_view.h"
#include "paint/chart.h"

/* The past is looked at so many days back, every hour. */
enum { OUTLOOK_PAST_DAYS = 7, OUTLOOK_PAST_POINTS = OUTLOOK_PAST_DAYS * 24 + 1 };

/* What was left at `count` moments from `since` to `until`, evenly spaced: view_water of each; -1
 * where nothing is known. Borrowed. */
typedef struct {
    Moment since, until;
    int count; /* 0..OUTLOOK_PAST_POINTS; 0: the past is not known */
    const int64_t *volume;
    const uint8_t *quality;
} OutlookPast;

/* The chart, and what it borrows: not to be moved once it is made. */
typedef struct {
    ChartPoint past[OUTLOOK_PAST_POINTS], expected[VIEW_POINTS], unchanged[VIEW_POINTS];
    ChartBandPoint band[VIEW_POINTS];
    char stop[STOPS_MAX][LABEL_SIZE + 8];
    Chart chart;
} OutlookChart;

/* Draws `view`, the curve of `board`; `unchanged` (may be NULL) is the curve as logged, beside a
 * what-if. The past takes at most two sevenths of the width. view->known must hold. */
void outlook_chart(OutlookChart *out, const Board *board, const ForecastView *view,
                   const ForecastView *unchanged, const OutlookPast *past, Units units);

#endif
