/* chart.h - amounts against time, drawn from cells: a level that was, a forecast with its band.
 *
 *    12 |      ####      the y axis in units, steps of 1, 2 or 5 times a power of ten
 *       |##  ######..
 *     6 |##########::..  past: filled; forecast: points, and its band in another texture
 *       |----------::::  a reference line (the heel, the reserve)
 *     0 +------+-------
 *       20 Nov 24 Nov    the x axis in local dates, or hours where the span is short
 *
 * Pure and stateless. Values are doubles in the unit that the axis names (litres or gallons,
 * already converted). Nothing is told by colour alone: each class of water has its own texture
 * (glyph_water), each trace its own glyph, the band its own texture. Everything clips.
 */
#ifndef ULLAGE_PAINT_CHART_H
#define ULLAGE_PAINT_CHART_H

#include "base/moment.h"
#include "paint/cell.h"

enum { CHART_SERIES_MAX = 4, CHART_RULES_MAX = 6, CHART_MARKS_MAX = 32 };
/* Below this nothing is drawn (chart_fits): the caller says the same in words. */
enum { CHART_ROWS_MIN = 4, CHART_COLS_MIN = 16 };

typedef struct {
    Moment at;
    double value;    /* in the chart's unit; NaN: nothing is known there, a gap */
    Quality quality; /* texture and ink of the water; CHART_WATER only */
} ChartPoint;

typedef enum {
    /* Filled from the axis up, in the texture of the point's class; a value holds until the next
     * point (a level stays until something happens). Potable water shows eighths of a cell. */
    CHART_WATER,
    /* One glyph a column at the value, straight between the points (a forecast). */
    CHART_TRACE,
    /* One glyph at each point and nothing between: what was measured then, and then only. */
    CHART_DOTS
} ChartStyle;

/* Points in order of time, borrowed. Nothing is drawn before the first or after the last one. */
typedef struct {
    ChartStyle style;
    const ChartPoint *points;
    int count;
    const char *name; /* for the legend; NULL: not in it */
    Glyph mark;       /* CHART_TRACE, CHART_DOTS: the glyph of a point (GLYPH_POINT is usual) */
    Ink ink;          /* the same */
} ChartSeries;

/* Between low and high at each moment, straight between the points; NaN: none there. */
typedef struct {
    Moment at;
    double low, high;
} ChartBandPoint;
typedef struct {
    const ChartBandPoint *points; /* in order of time, borrowed */
    int count;                    /* 0: no band */
    const char *name;             /* for the legend; NULL: not in it */
} ChartBand;

/* A line across at a value; drawn only where nothing else is. */
typedef struct {
    double value;
    const char *name; /* written on the line where there is room; NULL: nothing */
    Ink ink;          /* of the line; its name is words */
} ChartRule;

/* A line up from the axis at a moment: now, a stop, a fill. */
typedef struct {
    Moment at;
    const char *name; /* written at its head where there is room; NULL: nothing */
    Ink ink;
} ChartMark;

typedef struct {
    Moment since, until; /* ends of the x axis; since < until */
    Moment now;          /* dates of another year than this show the year's last two figures */
    double low,
        high; /* ends of the y axis; high <= low: 0 and a round value above all that is drawn */
    const char *unit;                     /* "L" */
    ChartSeries series[CHART_SERIES_MAX]; /* drawn in order, later ones on top */
    int series_count;
    ChartBand band; /* behind the series */
    ChartRule rules[CHART_RULES_MAX];
    int rule_count;
    ChartMark marks[CHART_MARKS_MAX]; /* in order of time */
    int mark_count;
    bool legend; /* one more row: which glyph is what */
} Chart;

bool chart_fits(Area area);
/* Draws it into the whole area; nothing where !chart_fits. Returns the part inside the axes: a
 * column of it is (until - since) / cols long. */
Area chart_draw(const Chart *chart, Area area);

#endif
