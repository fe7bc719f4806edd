#include "paint/outlook_chart.h"

#include <math.h>
#include <stdio.h>

/* Litres in the unit of display. */
static double shown(double litres, Units units)
{
    if (units == UNITS_US)
        return litres * 1000 / UNITS_ML_PER_US_GALLON;
    if (units == UNITS_IMPERIAL)
        return litres * 1000 / UNITS_ML_PER_IMPERIAL_GALLON;
    return litres;
}

static ChartSeries *series_add(Chart *chart, const ChartPoint *points, int count, const char *name)
{
    ChartSeries *series = &chart->series[chart->series_count++];
    *series = (ChartSeries){.style = CHART_TRACE, .points = points, .count = count, .name = name};
    return series;
}

static void past_add(OutlookChart *out, const OutlookPast *past, Units units)
{
    int n = 0;
    for (int i = 0; i < past->count && i < OUTLOOK_PAST_POINTS; i++) {
        const Moment at = {past->since.ms +
                           (past->until.ms - past->since.ms) * i / (past->count - 1)};
        if (at.ms < out->chart.since.ms)
            continue;
        const double left = shown((double)past->volume[i] / 1000, units);
        out->past[n++] = (ChartPoint){.at = at,
                                      .value = past->volume[i] < 0 ? NAN : left,
                                      .quality = (Quality)past->quality[i]};
    }
    if (n > 0)
        series_add(&out->chart, out->past, n, "was")->style = CHART_WATER;
}

static int curve_points(const ForecastView *view, ChartPoint *out, Units units)
{
    for (int i = 0; i < view->count; i++)
        out[i] =
            (ChartPoint){.at = view->point[i].at, .value = shown(view->point[i].expected, units)};
    return view->count;
}

static void stops_add(OutlookChart *out, const Board *board, const ForecastView *view)
{
    Chart *chart = &out->chart;
    for (int i = 0; i < board->stop_count && chart->mark_count < CHART_MARKS_MAX; i++) {
        const BoardStop *stop = &board->stops[i];
        if (stop->eta.ms > view->until.ms)
            continue;
        snprintf(out->stop[i], sizeof out->stop[i], "%s%s", stop->label.s,
                 stop->litres == 0 ? " dry" : "");
        chart->marks[chart->mark_count++] = (ChartMark){stop->eta, out->stop[i], INK_STRONG};
    }
}

void outlook_chart(OutlookChart *out, const Board *board, const ForecastView *view,
                   const ForecastView *unchanged, const OutlookPast *past, Units units)
{
    Chart *chart = &out->chart;
    int64_t back = (view->until.ms - board->now.ms) * 2 / 5;
    if (back > OUTLOOK_PAST_DAYS * MS_PER_DAY)
        back = OUTLOOK_PAST_DAYS * MS_PER_DAY;
    *chart = (Chart){.since = {board->now.ms - back},
                     .until = view->until,
                     .now = board->now,
                     .unit = volume_unit(units),
                     .legend = true};
    past_add(out, past, units);
    if (unchanged != NULL && unchanged->count > 0) {
        int n = curve_points(unchanged, out->unchanged, units);
        ChartSeries *series = series_add(chart, out->unchanged, n, "as logged");
        series->mark = GLYPH_MARK_SPENT;
        series->ink = INK_QUIET;
    }
    int n = curve_points(view, out->expected, units);
    ChartSeries *series = series_add(chart, out->expected, n, "expected");
    series->mark = GLYPH_POINT;
    series->ink = INK_CHART;
    for (int i = 0; i < view->count; i++) {
        const ViewPoint *p = &view->point[i];
        out->band[i] = (ChartBandPoint){p->at, shown(p->low, units), shown(p->high, units)};
    }
    chart->band = (ChartBand){out->band, view->count, "10-90 %"};
    if (view->point[0].reserve > 0)
        chart->rules[chart->rule_count++] =
            (ChartRule){shown(view->point[0].reserve, units), "reserve", INK_RESERVE};
    chart->marks[chart->mark_count++] = (ChartMark){board->now, "now", INK_QUIET};
    stops_add(out, board, view);
}
