#include "paint/chart.h"

#include "paint/width.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { TICKS_MAX = 16, TICK_TEXT = 32, LABEL_GAP = 2 };

bool chart_fits(Area area)
{
    return area.rows >= CHART_ROWS_MIN && area.cols >= CHART_COLS_MIN;
}

/* ---- the y axis ---- */

typedef struct {
    double low, high, step;
} Scale;

/* The least of 1, 2, 5 times a power of ten that is at least `least`. */
static double step_above(double least)
{
    if (!(least > 0) || !isfinite(least))
        return 1;
    double power = pow(10, floor(log10(least)));
    static const double figures[] = {1, 2, 5, 10};
    for (size_t i = 0; i < sizeof figures / sizeof *figures; i++)
        if (power * figures[i] >= least * (1 - 1e-9))
            return power * figures[i];
    return power * 10;
}

static void take_most(double *most, double value)
{
    if (isfinite(value) && value > *most)
        *most = value;
}

static Scale scale_of(const Chart *chart, int rows)
{
    Scale scale = {chart->low, chart->high, 1};
    int most_ticks = rows / 2 < 2 ? 2 : rows / 2 > 6 ? 6 : rows / 2;
    if (scale.high > scale.low) {
        scale.step = step_above((scale.high - scale.low) / most_ticks);
        return scale;
    }
    double most = 0;
    for (int s = 0; s < chart->series_count; s++)
        for (int i = 0; i < chart->series[s].count; i++)
            take_most(&most, chart->series[s].points[i].value);
    for (int i = 0; i < chart->band.count; i++)
        take_most(&most, chart->band.points[i].high);
    for (int i = 0; i < chart->rule_count; i++)
        take_most(&most, chart->rules[i].value);
    scale.low = 0;
    scale.step = step_above((most > 0 ? most : 1) / most_ticks);
    scale.high = scale.step * ceil((most > 0 ? most : 1) / scale.step - 1e-9);
    return scale;
}

/* Eighths of a cell from the axis up, 0..8*rows; -1 for NaN. */
static int eighths_of(const Scale *scale, int rows, double value)
{
    if (isnan(value))
        return -1;
    double part = (value - scale->low) / (scale->high - scale->low);
    part = part < 0 ? 0 : part > 1 ? 1 : part;
    return (int)lround(part * rows * 8);
}

/* The row, counted from the top, that a value stands in; `rows` is the axis itself. */
static int row_of(const Scale *scale, int rows, double value)
{
    int eighths = eighths_of(scale, rows, value);
    return eighths <= 0 ? rows : rows - 1 - (eighths - 1) / 8;
}

typedef struct {
    double value;
    char text[TICK_TEXT];
} Tick;

static int ticks_of(const Chart *chart, const Scale *scale, Tick ticks[TICKS_MAX])
{
    int count = 0, decimals = 0;
    if (scale->step < 1 - 1e-9) /* 0.5: one, 0.02: two */
        decimals = (int)ceil(-log10(scale->step) - 1e-9);
    if (decimals > 3)
        decimals = 3;
    double first = ceil(scale->low / scale->step - 1e-9);
    for (int i = 0; i < TICKS_MAX; i++) {
        double value = (first + i) * scale->step;
        if (value > scale->high + scale->step * 1e-9)
            break;
        ticks[count].value = value;
        snprintf(ticks[count].text, TICK_TEXT, "%.*f", decimals, value);
        count++;
    }
    if (count > 0 && chart->unit != NULL) { /* the unit once, at the highest */
        char figure[TICK_TEXT];
        memcpy(figure, ticks[count - 1].text, TICK_TEXT);
        snprintf(ticks[count - 1].text, TICK_TEXT, "%.20s %.8s", figure, chart->unit);
    }
    return count;
}

static Area plot_of(const Chart *chart, Area area, Scale *scale, Tick ticks[TICKS_MAX], int *count)
{
    int below = chart->legend && area.rows > CHART_ROWS_MIN ? 3 : 2, captions = 0;
    int rows = area.rows - below;
    *scale = scale_of(chart, rows);
    *count = ticks_of(chart, scale, ticks);
    for (int i = 0; i < *count; i++) {
        int width = width_ofs(ticks[i].text);
        captions = width > captions ? width : captions;
    }
    Area plot = area_rows(area, 0, rows);
    return area_cols(plot, captions + 2, area.cols - captions - 2);
}

static void draw_y(Area area, Area plot, const Scale *scale, const Tick *ticks, int count)
{
    int axis = plot.col - area.col - 1;
    for (int row = 0; row < plot.rows; row++)
        area_glyph(area, row, axis, INK_RULE, GLYPH_AXIS);
    area_glyph(area, plot.rows, axis, INK_RULE, GLYPH_AXIS_CORNER);
    int last = plot.rows + 1;
    for (int i = 0; i < count; i++) {
        int row = row_of(scale, plot.rows, ticks[i].value);
        if (row < last) /* two in one row: the lower one stays */
            area_right(area, row, axis - (axis > 0), INK_QUIET, text_of(ticks[i].text));
        last = row;
    }
}

/* ---- the x axis ---- */

static int column_of(const Chart *chart, int cols, Moment at)
{
    double span = (double)(chart->until.ms - chart->since.ms);
    return (int)floor((double)(at.ms - chart->since.ms) / span * cols);
}

static Moment moment_of_column(const Chart *chart, int cols, double column)
{
    double span = (double)(chart->until.ms - chart->since.ms);
    return (Moment){chart->since.ms + (int64_t)(span * column / cols)};
}

static void x_label(Area area, Area plot, const Chart *chart, Moment at, bool hours, int *free_from)
{
    char text[40];
    int column = column_of(chart, plot.cols, at);
    if (column < 0 || column >= plot.cols)
        return;
    if (hours)
        snprintf(text, sizeof text, "%02d:%02d", moment_local(at).hour, moment_local(at).minute);
    else
        moment_print_day(at, moment_known(chart->now) ? chart->now : at, text);
    int col = plot.col - area.col + column;
    area_glyph(area, plot.rows, col, INK_RULE, GLYPH_PORT);
    if (col >= *free_from && col + width_ofs(text) <= area.cols) {
        area_puts(area, plot.rows + 1, col, INK_QUIET, text);
        *free_from = col + width_ofs(text) + LABEL_GAP;
    }
}

static void draw_x(const Chart *chart, Area area, Area plot)
{
    static const int days[] = {1, 2, 3, 7, 14, 28, 56, 91, 182, 364, 1820};
    static const int hours_words[] = {1, 2, 3, 6, 12};
    int64_t span = chart->until.ms - chart->since.ms;
    int most = plot.cols / 9 < 1 ? 1 : plot.cols / 9, free_from = 0;
    area_fill(area_part(area, plot.rows, plot.col - area.col, 1, plot.cols), INK_RULE,
              area_sign(plot, GLYPH_RULE));
    if (span < 3 * MS_PER_DAY) {
        size_t i = 0;
        while (i + 1 < sizeof hours_words / sizeof *hours_words &&
               span / (hours_words[i] * MS_PER_HOUR) > most)
            i++;
        int64_t step = hours_words[i] * MS_PER_HOUR;
        int64_t zone = moment_local_zone(chart->since) * MS_PER_MINUTE;
        int64_t first = (chart->since.ms + zone + step - 1) / step * step - zone;
        for (int64_t at = first; at <= chart->until.ms; at += step)
            x_label(area, plot, chart, (Moment){at}, true, &free_from);
        return;
    }
    size_t i = 0;
    while (i + 1 < sizeof days / sizeof *days && span / (days[i] * MS_PER_DAY) > most)
        i++;
    int64_t day = moment_local_day(chart->since);
    if (moment_of_local_day(day).ms < chart->since.ms)
        day++;
    for (int64_t n = 0; n <= 1000; n++) {
        Moment at = moment_of_local_day(day + n * days[i]);
        if (at.ms > chart->until.ms)
            break;
        if (at.ms >= chart->since.ms)
            x_label(area, plot, chart, at, false, &free_from);
    }
}

/* ---- what stands in a column ---- */

/* The last point at or before a moment; -1: none, or the moment lies after the last point. */
static int point_held(const ChartSeries *series, Moment at)
{
    int low = 0, high = series->count;
    while (low < high) {
        int middle = (low + high) / 2;
        if (series->points[middle].at.ms <= at.ms)
            low = middle + 1;
        else
            high = middle;
    }
    if (low == 0 || (low == series->count && at.ms > series->points[low - 1].at.ms))
        return -1;
    return low - 1;
}

static double between(Moment a, double from, Moment b, double to, Moment at)
{
    if (b.ms <= a.ms)
        return to;
    return from + (to - from) * (double)(at.ms - a.ms) / (double)(b.ms - a.ms);
}

static void draw_water(const Chart *chart, const ChartSeries *series, Area plot, const Scale *scale)
{
    for (int col = 0; col < plot.cols; col++) {
        int held = point_held(series, moment_of_column(chart, plot.cols, col + 0.5));
        if (held < 0 || isnan(series->points[held].value))
            continue;
        const ChartPoint *point = &series->points[held];
        int full = eighths_of(scale, plot.rows, point->value);
        if (full == 0 && point->value > scale->low)
            full = 1; /* a little water is not none */
        const Ink ink = ink_of_water(point->quality);
        for (int k = 0; k < plot.rows && full > k * 8; k++) {
            int row = plot.rows - 1 - k, part = full - k * 8;
            if (part >= 8 || (point->quality != CLASS_POTABLE && (part >= 4 || k == 0)))
                area_glyph(plot, row, col, ink, glyph_water(point->quality));
            else if (point->quality == CLASS_POTABLE)
                area_puts(plot, row, col, ink, glyph_level(plot.sheet->alphabet, part));
        }
    }
}

static void draw_trace(const Chart *chart, const ChartSeries *series, Area plot, const Scale *scale)
{
    for (int col = 0; col < plot.cols; col++) {
        Moment at = moment_of_column(chart, plot.cols, col + 0.5);
        int held = point_held(series, at);
        if (held < 0)
            continue;
        const ChartPoint *point = &series->points[held];
        double value = point->value;
        if (held + 1 < series->count)
            value = between(point->at, point->value, point[1].at, point[1].value, at);
        if (isnan(value))
            continue;
        int row = row_of(scale, plot.rows, value);
        area_glyph(plot, row < plot.rows ? row : plot.rows - 1, col, series->ink, series->mark);
    }
}

static void draw_dots(const Chart *chart, const ChartSeries *series, Area plot, const Scale *scale)
{
    for (int i = 0; i < series->count; i++) {
        const int col = column_of(chart, plot.cols, series->points[i].at);
        if (isnan(series->points[i].value) || col < 0 || col >= plot.cols)
            continue;
        const int row = row_of(scale, plot.rows, series->points[i].value);
        area_glyph(plot, row < plot.rows ? row : plot.rows - 1, col, series->ink, series->mark);
    }
}

static void draw_band(const Chart *chart, Area plot, const Scale *scale)
{
    const ChartBand *band = &chart->band;
    int next = 1;
    for (int col = 0; col < plot.cols; col++) {
        Moment at = moment_of_column(chart, plot.cols, col + 0.5);
        while (next < band->count && band->points[next].at.ms < at.ms)
            next++;
        if (next >= band->count)
            break;
        const ChartBandPoint *a = &band->points[next - 1], *b = &band->points[next];
        if (at.ms < a->at.ms)
            continue;
        double low = between(a->at, a->low, b->at, b->low, at);
        double high = between(a->at, a->high, b->at, b->high, at);
        if (isnan(low) || isnan(high))
            continue;
        int top = row_of(scale, plot.rows, high), bottom = row_of(scale, plot.rows, low);
        for (int row = top; row <= bottom && row < plot.rows; row++)
            area_glyph(plot, row, col, INK_RULE, GLYPH_BAND);
    }
}

/* ---- lines and their names ---- */

/* A name on top of what is not data: it gives way to water, points and bands. Is it there? */
static bool put_name(Area plot, int row, int col, Ink ink, const char *name)
{
    int width = width_ofs(name);
    if (row < 0 || col < 0 || row >= plot.rows || col + width > plot.cols)
        return false;
    for (int i = 0; i < width; i++) {
        const Cell *cell = sheet_cell(plot.sheet, plot.row + row, plot.col + col + i);
        if (cell == NULL ||
            (strcmp(cell->text, " ") != 0 && strcmp(cell->text, area_sign(plot, GLYPH_RULE)) != 0))
            return false;
    }
    area_puts(plot, row, col, ink, name);
    return true;
}

static void draw_rules(const Chart *chart, Area plot, const Scale *scale)
{
    for (int i = 0; i < chart->rule_count; i++) {
        int row = row_of(scale, plot.rows, chart->rules[i].value);
        if (row < plot.rows) /* one at the axis is the axis */
            area_fill(area_part(plot, row, 0, 1, plot.cols), chart->rules[i].ink,
                      area_sign(plot, GLYPH_RULE));
    }
}

static void draw_marks(const Chart *chart, Area plot)
{
    for (int i = 0; i < chart->mark_count; i++) {
        int col = column_of(chart, plot.cols, chart->marks[i].at);
        if (col >= 0 && col < plot.cols)
            area_fill(area_part(plot, 0, col, plot.rows, 1), chart->marks[i].ink,
                      area_sign(plot, GLYPH_AXIS));
    }
}

static void draw_names(const Chart *chart, Area plot, const Scale *scale)
{
    for (int i = 0; i < chart->mark_count; i++) {
        const ChartMark *mark = &chart->marks[i];
        int col = column_of(chart, plot.cols, mark->at);
        if (mark->name == NULL || col < 0 || col >= plot.cols)
            continue;
        int row = 0, left = col - 1 - width_ofs(mark->name);
        if (col + 1 + width_ofs(mark->name) <= plot.cols)
            put_name(plot, row, col + 1, mark->ink, mark->name);
        else
            put_name(plot, row, left, mark->ink, mark->name);
    }
    for (int i = 0; i < chart->rule_count; i++) {
        const ChartRule *rule = &chart->rules[i];
        int row = row_of(scale, plot.rows, rule->value);
        if (rule->name != NULL &&
            !put_name(plot, row, plot.cols - 1 - width_ofs(rule->name), INK_QUIET, rule->name))
            put_name(plot, row, 1, INK_QUIET, rule->name);
    }
}

/* ---- the legend ---- */

typedef struct {
    Area area;
    int row, col;
    bool cut; /* something found no room */
} Legend;

static void legend_add(Legend *legend, Ink ink, Glyph mark, const char *name)
{
    if (name == NULL || legend->cut)
        return;
    legend->cut = legend->col + 2 + width_ofs(name) > legend->area.cols - LABEL_GAP;
    if (legend->cut) {
        area_glyph(legend->area, legend->row, legend->area.cols - 1, INK_QUIET, GLYPH_CUT);
        return;
    }
    area_glyph(legend->area, legend->row, legend->col, ink, mark);
    legend->col =
        area_puts(legend->area, legend->row, legend->col + 2, INK_QUIET, name) + LABEL_GAP;
}

static void legend_water(const Chart *chart, Legend *legend)
{
    bool seen[CLASS_COUNT] = {false};
    for (int s = 0; s < chart->series_count; s++) {
        const ChartSeries *series = &chart->series[s];
        for (int i = 0; series->style == CHART_WATER && i < series->count; i++) {
            const ChartPoint *point = &series->points[i];
            if (!isnan(point->value) && point->value > 0 && (int)point->quality < CLASS_COUNT)
                seen[point->quality] = true;
        }
    }
    for (int q = 0; q < CLASS_COUNT; q++)
        if (seen[q])
            legend_add(legend, ink_of_water((Quality)q), glyph_water((Quality)q),
                       quality_name((Quality)q));
}

static void draw_legend(const Chart *chart, Area area, Area plot)
{
    Legend legend = {area, plot.rows + 2, plot.col - area.col, false};
    legend_water(chart, &legend);
    for (int s = 0; s < chart->series_count; s++) {
        const ChartSeries *series = &chart->series[s];
        if (series->style != CHART_WATER)
            legend_add(&legend, series->ink, series->mark, series->name);
    }
    if (chart->band.count > 0)
        legend_add(&legend, INK_RULE, GLYPH_BAND, chart->band.name);
}

Area chart_draw(const Chart *chart, Area area)
{
    Scale scale;
    Tick ticks[TICKS_MAX];
    int count;
    if (!chart_fits(area) || chart->until.ms <= chart->since.ms)
        return area_rows(area, 0, 0);
    Area plot = plot_of(chart, area, &scale, ticks, &count);
    if (plot.rows < 1 || plot.cols < 1)
        return plot;
    draw_y(area, plot, &scale, ticks, count);
    draw_x(chart, area, plot);
    draw_rules(chart, plot, &scale);
    draw_band(chart, plot, &scale);
    draw_marks(chart, plot);
    for (int s = 0; s < chart->series_count; s++) {
        if (chart->series[s].count < 1)
            continue;
        if (chart->series[s].style == CHART_WATER)
            draw_water(chart, &chart->series[s], plot, &scale);
        else if (chart->series[s].style == CHART_DOTS)
            draw_dots(chart, &chart->series[s], plot, &scale);
        else
            draw_trace(chart, &chart->series[s], plot, &scale);
    }
    draw_names(chart, plot, &scale);
    if (chart->legend && area.rows > CHART_ROWS_MIN)
        draw_legend(chart, area, plot);
    return plot;
}
