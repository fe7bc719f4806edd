#include "screens/wide.h"

#include "base/memory.h"
#include "model/tell.h"
#include "outlook/plan.h"
#include "paint/width.h"

#include <stdlib.h>

bool wide_sheet(const App *app)
{
    return app->cols >= WIDE_COLS && app->rows >= WIDE_ROWS;
}

void past_ask(const App *app, Wish *wish)
{
    wish->kind = WISH_HISTORY;
    wish->history = (HistoryQuery){.since = {app->now.ms - OUTLOOK_PAST_DAYS * MS_PER_DAY},
                                   .until = app->now,
                                   .count = OUTLOOK_PAST_POINTS};
}

OutlookPast past_told(const App *app)
{
    const History *h = &app->history;
    if (!label_empty(&h->query.vessel) || h->query.count != OUTLOOK_PAST_POINTS)
        return (OutlookPast){.count = 0};
    return (OutlookPast){h->query.since, h->query.until, h->query.count, h->volume, h->quality};
}

typedef struct {
    ForecastView view;
    OutlookChart chart;
} Curve;

/* NULL where there is nothing to draw: no rate is known, or nothing is left all the way. */
static Curve *curve_make(const App *app, int points)
{
    bool any = false;
    Curve *curve = memory_get(sizeof *curve);
    const ForecastRate rate = plan_rate(&app->board, &app->state);
    if (app->board.outlook_known)
        forecast_view(&curve->view, &app->board, &app->state, &rate, points);
    for (int i = 0; i < curve->view.count && curve->view.known; i++)
        any = any || curve->view.point[i].high > 0;
    if (!any) {
        free(curve);
        return NULL;
    }
    const OutlookPast past = past_told(app);
    outlook_chart(&curve->chart, &app->board, &curve->view, NULL, &past, app->units);
    return curve;
}

/* The last row says how many more there are, and the key that shows them. */
static bool row_of_more(Area area, int row, int left, Press key)
{
    if (row < area.rows - 1 || left < 2)
        return false;
    area_printf(area, row, 1, INK_KEY, "+%d: %c", left, (char)key);
    return true;
}

static void due_draw(const App *app, Area area)
{
    DueItem items[DUE_MAX];
    char when[64];
    const int count = board_due(&app->board, items);
    int wide = 4;
    for (int i = 0; i < count; i++) {
        const int date =
            moment_known(items[i].at) ? width_ofs(app_date(app, items[i].at, when)) : 0;
        wide = date > wide ? date : wide;
    }
    area_puts(area, 0, 1, INK_TITLE, count > 0 ? "due" : "nothing is due");
    for (int i = 0, row = 1; i < count && row < area.rows; i++, row++) {
        if (row_of_more(area, row, count - i, '4'))
            return;
        area_cut(area, row, 1, wide, ink_of_service(items[i].state),
                 text_of(moment_known(items[i].at)       ? app_date(app, items[i].at, when)
                         : items[i].state == SERVICE_DUE ? "now"
                                                         : "soon"));
        const int col =
            area_cut(area, row, wide + 3, area.cols - wide - 4, INK_TEXT, text_of(items[i].what));
        area_cut(area, row, col + 2, area.cols - col - 3, INK_QUIET, text_of(items[i].why));
    }
}

static void entries_draw(const App *app, Area area)
{
    char when[64];
    Str line = {0};
    area_puts(area, 0, 1, INK_TITLE, "latest");
    for (int i = 0; i < app->recent_count && i + 1 < area.rows; i++) {
        const Event *e = &app->recent[i].event;
        str_clear(&line);
        event_tell(e, app->units, true, &line);
        const int col = area_puts(area, i + 1, 1, INK_QUIET, app_time(app, e->at, when));
        area_cut(area, i + 1, col + 1, area.cols - col - 2, INK_TEXT, text_of(line.s));
    }
    str_finish(&line);
}

void wide_draw(const App *app, Area area)
{
    Curve *curve = curve_make(app, area.cols / 2);
    const int parts = (curve != NULL) + 1 + (area.cols >= WIDEST_COLS || curve == NULL);
    const int chart_cols = curve == NULL ? 0 : parts == 3 ? area.cols * 4 / 10 : area.cols * 5 / 9;
    const int due_cols =
        parts == 2 && curve != NULL ? area.cols - chart_cols : (area.cols - chart_cols) / 2;
    if (curve != NULL)
        chart_draw(&curve->chart.chart, area_cols(area, 0, chart_cols - 1));
    due_draw(app, area_cols(area, chart_cols, due_cols));
    if (chart_cols + due_cols < area.cols)
        entries_draw(app,
                     area_cols(area, chart_cols + due_cols, area.cols - chart_cols - due_cols));
    free(curve);
}
