#include "screens/vessel_chart.h"

#include "model/field.h"
#include "paint/chart.h"
#include "paint/width.h"

#include <math.h>

/* What is drawn of a result. Guideline values, each with who gives it; those above `from` only
 * where a reading comes near them, lest they press the curve flat. */
typedef struct {
    const char *name, *field, *unit;
    double low, high; /* ends of the axis; both 0: by what is drawn */
    int rule_count;
    struct {
        double value, from;
        const char *name;
        Ink ink;
    } rules[3];
} Over;

/* WHO, Guidelines for drinking-water quality (chlorine 0.2 and 5 mg/L; pH under 8 for chlorine to
 * work); 40 CFR 141.65 (chlorine 4 mg/L); 40 CFR 143.3 (pH 6.5 to 8.5, dissolved solids 500 mg/L:
 * taste); WHO background document on dissolved solids, 1996 (taste unacceptable above 1200). */
static const Over overs[OVER_COUNT] = {
    [OVER_LEVEL] = {.name = "level"},
    [OVER_CHLORINE] = {.name = "chlorine",
                       .field = "chlorine_mg_l",
                       .unit = "mg/L",
                       .rule_count = 3,
                       .rules = {{0.2, 0, "0.2 at least (WHO)", INK_RULE},
                                 {4, 2, "4 at most (US)", INK_RULE},
                                 {5, 2, "5 at most (WHO)", INK_WARNING}}},
    [OVER_PH] = {.name = "pH",
                 .field = "ph",
                 .low = 5,
                 .high = 10,
                 .rule_count = 3,
                 .rules = {{6.5, 0, "6.5 (US)", INK_RULE},
                           {8, 0, "8: above it chlorine works slowly (WHO)", INK_RULE},
                           {8.5, 0, "8.5 (US)", INK_RULE}}},
    [OVER_TDS] = {.name = "TDS",
                  .field = "tds_mg_l",
                  .unit = "mg/L",
                  .rule_count = 2,
                  .rules = {{500, 0, "500: taste (US)", INK_RULE},
                            {1200, 600, "1200: taste (WHO)", INK_RULE}}},
};

static double in_units(Units units, int64_t ml)
{
    switch (units) {
    case UNITS_US:
        return (double)ml / UNITS_ML_PER_US_GALLON;
    case UNITS_IMPERIAL:
        return (double)ml / UNITS_ML_PER_IMPERIAL_GALLON;
    case UNITS_METRIC:
        break;
    }
    return (double)ml / 1000;
}

static void draw_level(const App *app, const BoardVessel *v, Area area)
{
    const History *history = &app->history;
    ChartPoint points[APP_HISTORY];
    if (!label_equal(&history->query.vessel, &v->label) || history->query.count < 2)
        return;
    int count = history->query.count;
    int64_t span = history->query.until.ms - history->query.since.ms;
    for (int i = 0; i < count; i++) {
        points[i].at = (Moment){history->query.since.ms + span * i / (count - 1)};
        points[i].value =
            history->volume[i] < 0 ? (double)NAN : in_units(app->units, history->volume[i]);
        points[i].quality = (Quality)history->quality[i];
    }
    Chart chart = {.since = history->query.since,
                   .until = history->query.until,
                   .now = app->now,
                   .high = in_units(app->units, v->capacity),
                   .unit = volume_unit(app->units),
                   .series = {{.style = CHART_WATER, .points = points, .count = count}},
                   .series_count = 1,
                   .legend = true};
    if (v->heel > 0) {
        chart.rules[0] = (ChartRule){in_units(app->units, v->heel), "heel", INK_RULE};
        chart.rule_count = 1;
    }
    chart_draw(&chart, area);
}

/* The readings of a result in order of time; returns how many. */
static int points_of(const App *app, const Over *over, Moment since, ChartPoint points[APP_HISTORY])
{
    const Kind *kind = kind_of(KIND_TEST);
    const int field = kind_field(kind, text_of(over->field));
    int count = 0;
    for (int i = app->found_count - 1; i >= 0 && count < APP_HISTORY; i--) {
        Event e = app->found[i].event;
        if (e.kind == KIND_TEST && event_has(&e, field) && e.at.ms >= since.ms)
            points[count++] = (ChartPoint){
                .at = e.at, .value = (double)*field_number(&e, &kind->fields[field]) / 1000};
    }
    return count;
}

/* The guidelines, and an axis that leaves the top free for a name. */
static void rules_add(Chart *chart, const Over *over)
{
    double most = 0, high = 0;
    for (int i = 0; i < chart->series[0].count; i++)
        most = fmax(most, chart->series[0].points[i].value);
    for (int i = 0; i < over->rule_count; i++) {
        if (most < over->rules[i].from)
            continue;
        chart->rules[chart->rule_count++] =
            (ChartRule){over->rules[i].value, over->rules[i].name, over->rules[i].ink};
        high = over->rules[i].value;
    }
    if (over->high <= over->low)
        chart->high = fmax(most, high) * 1.3;
}

/* The time ahead is drawn as far as the day that the tests tell, but no further than back. */
static void faded_add(Chart *chart, Moment faded)
{
    const int64_t span = chart->until.ms - chart->since.ms;
    if (!moment_known(faded) || faded.ms <= chart->since.ms)
        return;
    const int64_t ahead = faded.ms + span / 20;
    if (ahead > chart->until.ms)
        chart->until.ms = ahead < chart->until.ms + span ? ahead : chart->until.ms + span;
    chart->marks[chart->mark_count++] = (ChartMark){faded, "under 0.2 at the earliest", INK_BAND};
}

static void draw_results(const App *app, const BoardVessel *v, VesselOver which, int days,
                         Area area)
{
    const Over *over = &overs[which];
    const Moment since = {app->now.ms - days * MS_PER_DAY};
    ChartPoint points[APP_HISTORY];
    const int count = points_of(app, over, since, points);
    if (count == 0) {
        area_puts(area, 1, 0, INK_QUIET, "no test of it in this time: x logs one");
        return;
    }
    Chart chart = {.since = since,
                   .until = {app->now.ms + 1},
                   .now = app->now,
                   .low = over->low,
                   .high = over->high,
                   .unit = over->unit,
                   .series = {{.style = CHART_DOTS,
                               .points = points,
                               .count = count,
                               .mark = GLYPH_POINT,
                               .ink = INK_CHART}},
                   .series_count = 1};
    rules_add(&chart, over);
    if (which == OVER_CHLORINE)
        faded_add(&chart, v->faded);
    chart_draw(&chart, area);
}

void vessel_chart_draw(const App *app, const BoardVessel *v, VesselOver over, int days, Area area)
{
    const char *next = overs[(over + 1) % OVER_COUNT].name;
    if (area.rows < CHART_ROWS_MIN + 1)
        return;
    area_printf(area, 0, 0, INK_TITLE, "%s", v->label.s);
    area_printf(area, 0, width_ofs(v->label.s) + 1, INK_QUIET,
                "%s over %d days   + longer  - shorter  v %s", overs[over].name, days, next);
    Area below = area_rows(area, 1, area.rows - 1);
    if (over == OVER_LEVEL)
        draw_level(app, v, below);
    else
        draw_results(app, v, over, days, below);
}
