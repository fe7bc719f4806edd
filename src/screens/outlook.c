/* The outlook: what is left against date, its band, the reserve, the stops; and what if the crew,
 * the litres a day or a stop were otherwise. Nothing here writes to the log; the unchanged answer
 * stands beside. */
#include "paint/width.h"
#include "screens/screens.h"
#include "screens/wide.h"
#include "screens/words.h"
#include "tui/list.h"

#include "base/memory.h"
#include "outlook/plan.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct {
    WhatIf what;
    List stops;
    bool words;      /* the sentences instead of the chart */
    List lines;      /* of them; the cursor is the first that is shown */
    int64_t entries; /* in the log when the past was asked for */
} OutlookOwn;

static OutlookOwn *outlook_own(const App *app)
{
    return app_own(app, &SCREEN_OUTLOOK);
}

static void ask_past(const App *app, OutlookOwn *own, Wish *wish)
{
    own->entries = app->entries;
    past_ask(app, wish);
}

static void outlook_open(App *app, Wish *wish)
{
    OutlookOwn *own = outlook_own(app);
    own->what = what_if_nothing();
    list_set_count(&own->stops, app->board.stop_count);
    ask_past(app, own, wish);
}

static void outlook_told(App *app, Wish *wish)
{
    OutlookOwn *own = outlook_own(app);
    list_set_count(&own->stops, app->board.stop_count);
    for (int i = own->what.dry_count - 1; i >= 0; i--) { /* a stop may be gone from the plan */
        bool planned = false;
        for (int k = 0; k < app->board.stop_count; k++)
            planned = planned || label_equal(&app->board.stops[k].label, &own->what.dry[i]);
        if (!planned)
            own->what.dry[i] = own->what.dry[--own->what.dry_count];
    }
    if (own->entries != app->entries)
        ask_past(app, own, wish);
}

/* ---- keys: what if ---- */

static void act_crew(App *app, int step, Wish *wish)
{
    (void)wish;
    OutlookOwn *own = outlook_own(app);
    int crew = own->what.crew >= 0 ? own->what.crew : app->board.crew >= 0 ? app->board.crew : 1;
    crew += step;
    own->what.crew = crew < 0 ? 0 : crew > 99 ? 99 : crew;
    if (own->what.crew == app->board.crew)
        own->what.crew = -1;
}

/* Half a litre, a tenth of a gallon: the least step that a chart shows. */
static double litres_step(const App *app)
{
    return app->units == UNITS_METRIC ? 0.5
           : app->units == UNITS_US   ? UNITS_ML_PER_US_GALLON / 10000
                                      : UNITS_ML_PER_IMPERIAL_GALLON / 10000;
}

static void act_litres(App *app, int direction, Wish *wish)
{
    (void)wish;
    OutlookOwn *own = outlook_own(app);
    double step = litres_step(app), now = own->what.litres_per_day;
    if (now < 0)
        now = what_if_rate(&app->board, &app->state, &own->what).day;
    /* to the next whole step, so that the figures stay round */
    double steps = direction > 0 ? floor(now / step + 1e-6) + 1 : ceil(now / step - 1e-6) - 1;
    if (steps < 0)
        steps = 0;
    if (steps * step <= 500)
        own->what.litres_per_day = steps * step;
}

static void act_dry(App *app, int unused, Wish *wish)
{
    (void)unused;
    (void)wish;
    OutlookOwn *own = outlook_own(app);
    if (own->stops.count == 0)
        app_say(app, INK_NOTICE, "No stop is planned. a, then stop, plans one.");
    else
        what_if_toggle_dry(&own->what, &app->board.stops[own->stops.cursor].label);
}

static void act_as_logged(App *app, int unused, Wish *wish)
{
    (void)unused;
    (void)wish;
    outlook_own(app)->what = what_if_nothing();
}

static void act_words(App *app, int unused, Wish *wish)
{
    (void)unused;
    (void)wish;
    OutlookOwn *own = outlook_own(app);
    own->words = !own->words;
    own->lines = (List){0};
}

/* ---- drawing ---- */

/* What is drawn, for one frame. */
typedef struct {
    OutlookFacts facts;
    ForecastView view, unchanged;
    OutlookChart chart;
    bool charted; /* there is a curve to draw */
} Frame;

static Frame *frame_make(const App *app, const OutlookOwn *own, int points)
{
    Frame *f = memory_get(sizeof *f);
    f->facts.units = app->units;
    f->facts.brief = !own->words && app->cols < 60;
    what_if_board(&f->facts.board, &app->board, &app->state, &own->what);
    const ForecastRate rate = what_if_rate(&app->board, &app->state, &own->what);
    forecast_view(&f->view, &f->facts.board, &app->state, &rate, points);
    outlook_facts(&app->board, &app->state, &own->what, &f->view, &f->facts);
    if (f->facts.changed && app->board.outlook_known) {
        const ForecastRate learnt = plan_rate(&app->board, &app->state);
        forecast_view(&f->unchanged, &app->board, &app->state, &learnt, points);
    }
    for (int i = 0; i < f->view.count; i++) /* dry all the way is a word, no picture */
        f->charted = f->charted || f->view.point[i].high > 0;
    if (f->charted) {
        const OutlookPast past = past_told(app);
        outlook_chart(&f->chart, &f->facts.board, &f->view, f->facts.changed ? &f->unchanged : NULL,
                      &past, app->units);
    }
    return f;
}

static void draw_title(const App *app, const OutlookOwn *own, Area area)
{
    Str text = {0};
    int col = area_puts(area, 0, 1, INK_TITLE, "outlook") + 2;
    what_if_tell(&own->what, app->units, &text);
    area_cut(area, 0, col, area.cols - col - 1,
             what_if_changes(&own->what) ? INK_CHANGE : INK_QUIET, text_of(text.s));
    str_finish(&text);
}

/* Sentences from `row` on, as many as fit before `end`; returns the row after. */
static int draw_lines(const OutlookFacts *facts, int from, int count, Area area, int row, int end)
{
    for (int i = from; i < count && row < end; i++) {
        const Words *line = &facts->words[i];
        int indent = area.cols >= 60 ? 12 : 2;
        Area room = area_cols(area_rows(area, 0, end), 0, area.cols - 1);
        if (area.cols >= 60) {
            area_puts(area, row, 1, INK_QUIET, line->caption);
            room = area_cols(room, indent, room.cols - indent);
            row = area_wrap(room, row, 0, ink_of_tone(line->tone), text_of(line->text));
        } else {
            Str text = {0};
            str_addf(&text, "%s%s%s", line->caption, line->caption[0] ? ": " : "", line->text);
            room = area_cols(room, 1, room.cols - 1);
            row = area_wrap(room, row, 0, ink_of_tone(line->tone), text_of(text.s));
            str_finish(&text);
        }
    }
    return row;
}

static int line_rows(const Words *line, int cols)
{
    if (cols >= 60)
        return width_lines(text_of(line->text), cols - 13);
    Str text = {0};
    str_addf(&text, "%s%s%s", line->caption, line->caption[0] ? ": " : "", line->text);
    int rows = width_lines(text_of(text.s), cols - 2);
    str_finish(&text);
    return rows;
}

/* Where the columns of the table of stops begin. */
enum { TABLE_COLS = 76 };
typedef struct {
    int when, line, all, ration, take;
} Columns;

static const Columns *columns_of(int cols)
{
    static const Columns NARROW = {18, 35, 49, 64, 71}, WIDE = {26, 50, 66, 82, 92};
    return cols >= 104 ? &WIDE : &NARROW;
}

static void odds_cell(double now, double before, bool changed, char out[32])
{
    if (changed && !isnan(now) && !isnan(before))
        snprintf(out, 32, "%s (%s)", odds_print(now, (char[16]){0}),
                 odds_print(before, (char[16]){0}));
    else
        snprintf(out, 32, "%s", odds_print(now, (char[16]){0}));
}

static void draw_stop(const App *app, const OutlookFacts *facts, int i, bool here, Area area,
                      int row)
{
    const BoardStop *stop = &facts->board.stops[i], *was = &app->board.stops[i];
    char when[64], odds[32], all[32], litres[64];
    bool dry = stop->litres == 0;
    if (area.cols >= TABLE_COLS) {
        const Columns *at = columns_of(area.cols);
        area_cut(area, row, 3, at->when - 4, INK_STRONG, text_of(stop->label.s));
        area_cut(area, row, at->when, at->line - at->when - 1, INK_TEXT,
                 text_of(app_time(app, stop->eta, when)));
        odds_cell(stop->odds_line, was->odds_line, facts->changed, odds);
        odds_cell(stop->odds_all, was->odds_all, facts->changed, all);
        area_puts(area, row, at->line, INK_BAND, odds);
        area_puts(area, row, at->all, INK_BAND, all);
        area_puts(area, row, at->ration, INK_TEXT, litres_had(stop->ration_90, app->units, litres));
        area_puts(area, row, at->take, INK_TEXT,
                  dry ? "dry"
                  : stop->take_on >= 0
                      ? litres_needed((double)stop->take_on / 1000, app->units, litres)
                      : "-");
    } else {
        bool wide = area.cols >= 52;
        int name = wide ? 15 : 9;
        odds_cell(stop->odds_line, was->odds_line, facts->changed && wide, odds);
        odds_cell(stop->odds_all, NAN, false, all);
        area_cut(area, row, 3, name, INK_STRONG, text_of(stop->label.s));
        int col = area_puts(area, row, 4 + name, INK_TEXT, app_date(app, stop->eta, when));
        col = area_puts(area, row, col + 1, INK_BAND, odds);
        if (dry && !wide) { /* there is no room for all: what is not usual is said */
            area_puts(area, row, col + 1, INK_CAUTION, "dry");
        } else {
            col = area_puts(area, row, col + 1, INK_QUIET,
                            wide && !facts->changed ? "with reserve" : "res.");
            col = area_puts(area, row, col + 1, INK_BAND, all);
            if (dry)
                area_puts(area, row, col + 1, INK_CAUTION, "dry");
        }
    }
    if (here)
        area_chosen(area, row);
}

static void draw_stops(const App *app, const OutlookOwn *own, const OutlookFacts *facts, Area area)
{
    int row = 0, rows = area.rows;
    if (area.cols >= TABLE_COLS && rows > 1) {
        const Columns *at = columns_of(area.cols);
        area_puts(area, 0, 3, INK_QUIET, "stop");
        if (facts->changed)
            area_puts(area, 0, at->when, INK_QUIET, "odds (as logged)");
        area_puts(area, 0, at->line, INK_QUIET, "on the line");
        area_puts(area, 0, at->all, INK_QUIET, "with reserve");
        area_puts(area, 0, at->ration, INK_QUIET, "ration");
        area_puts(area, 0, at->take, INK_QUIET, "take on");
        row = 1;
        rows--;
    }
    int top = list_top(&own->stops, rows);
    for (int i = top; i < facts->board.stop_count && i < top + rows; i++)
        draw_stop(app, facts, i, i == own->stops.cursor, area, row++);
    if (top > 0)
        area_glyph(area, area.rows - rows, 0, INK_QUIET, GLYPH_UP);
    if (top + rows < facts->board.stop_count)
        area_glyph(area, area.rows - 1, 0, INK_QUIET, GLYPH_DOWN);
}

/* Sentences, chart, stops, parts, from top to bottom; the chart gets what the others leave. */
static void draw_all(const App *app, const OutlookOwn *own, Frame *f, Area area)
{
    const OutlookFacts *facts = &f->facts;
    const int end = area.rows;
    int row = 1, heads = 0, parts = 0, parts_rows = 0;
    for (int i = 0; i < facts->head_count; i++)
        heads += line_rows(&facts->words[i], area.cols);
    for (int i = facts->part_from; i < facts->part_from + facts->part_count; i++)
        parts_rows += line_rows(&facts->words[i], area.cols);
    int stops =
        facts->board.stop_count + (area.cols >= TABLE_COLS && facts->board.stop_count ? 1 : 0);
    bool chart = f->charted && area.cols >= CHART_COLS_MIN && end - 1 >= CHART_ROWS_MIN + 4;
    int least = chart ? (end >= 18 ? 8 : 5) : 0;
    int free_rows = end - 1 - least;
    int keep =
        stops > 0 && end >= 8 ? (area.cols >= TABLE_COLS ? 2 : 1) : 0; /* a stop at least is seen */
    if (heads > free_rows - keep)
        heads = free_rows - keep;
    free_rows -= heads;
    int most = chart && end >= 18 ? (free_rows > 1 ? free_rows : 0) : free_rows;
    if (stops > most)
        stops = most;
    free_rows -= stops;
    parts = parts_rows < free_rows ? parts_rows : free_rows;
    int chart_rows = chart ? end - 1 - heads - stops - parts : 0;
    draw_lines(facts, 0, facts->head_count, area, row, row + heads);
    row += heads;
    f->chart.chart.legend = chart_rows >= 7;
    if (chart_rows > 0)
        chart_draw(&f->chart.chart, area_rows(area, row, chart_rows));
    row += chart_rows;
    if (stops > 0)
        draw_stops(app, own, facts, area_rows(area, row, stops));
    row += stops;
    if (parts > 0)
        draw_lines(facts, facts->part_from, facts->part_from + facts->part_count, area, row,
                   row + parts);
    bool left_out = facts->part_count > 0 && parts < parts_rows;
    if (left_out && area.cols >= 52)
        area_right(area, 0, area.cols - 1, INK_CAUTION, text_of("v: parts to buy"));
}

/* All sentences as lines that fit, from the cursor on. */
static int words_lines(const OutlookFacts *facts, int cols)
{
    int n = 0;
    for (int i = 0; i < facts->count; i++)
        n += line_rows(&facts->words[i], cols);
    return n;
}

static void draw_words(const OutlookOwn *own, const OutlookFacts *facts, Area area)
{
    int all = words_lines(facts, area.cols), rows = area.rows - 1;
    Sheet whole; /* wrapped once, shown in part */
    sheet_init(&whole, all > 0 ? all : 1, area.cols);
    whole.ascii = area.sheet->ascii;
    whole.alphabet = area.sheet->alphabet;
    draw_lines(facts, 0, facts->count, sheet_area(&whole), 0, all);
    int top = own->lines.cursor;
    if (top > all - rows)
        top = all - rows;
    if (top < 0)
        top = 0;
    for (int i = 0; i < rows && top + i < all; i++) {
        for (int col = 0; col < area.cols;) {
            const Cell *cell = sheet_cell(&whole, top + i, col);
            area_puts(area, 1 + i, col, (Ink)cell->ink, cell->text);
            col += cell->width > 0 ? cell->width : 1;
        }
    }
    if (top > 0)
        area_glyph(area, 0, area.cols - 3, INK_QUIET, GLYPH_UP);
    if (top + rows < all)
        area_glyph(area, 0, area.cols - 2, INK_QUIET, GLYPH_DOWN);
    sheet_finish(&whole);
}

static void outlook_draw(const App *app, Area area)
{
    const OutlookOwn *own = outlook_own(app);
    int points = area.cols < 2 ? 2 : area.cols;
    Frame *f = frame_make(app, own, points);
    draw_title(app, own, area);
    if (own->words || !f->charted)
        draw_words(own, &f->facts, area);
    else
        draw_all(app, own, f, area);
    free(f);
}

static bool outlook_key(App *app, Press press, Wish *wish)
{
    OutlookOwn *own = outlook_own(app);
    if (press == PRESS_LEFT || press == 'h' || press == PRESS_RIGHT || press == 'l') {
        act_litres(app, press == PRESS_LEFT || press == 'h' ? -1 : 1, wish);
        return true;
    }
    Area body = app_body(app);
    if (own->words) {
        Frame *f = frame_make(app, own, body.cols);
        int over = words_lines(&f->facts, body.cols) - (body.rows - 1);
        free(f);
        list_set_count(&own->lines, over > 0 ? over + 1 : 1);
        return list_key(&own->lines, press, body.rows - 1);
    }
    return list_key(&own->stops, press, 5);
}

static const Action outlook_actions[] = {
    {'+', 'c', "crew", "what if one more were aboard; - or C: one fewer", 1, act_crew, 1},
    {'-', 'C', "fewer", "what if one fewer were aboard", 0, act_crew, -1},
    {'>', 0, "litres", "what if more were used a day, Right or l as well; < Left h: less", 2,
     act_litres, 1},
    {'<', 0, "less", "what if less were used a day", 0, act_litres, -1},
    {'x', 0, "dry stop", "what if the stop under the cursor had no water; again: it has", 3,
     act_dry, 0},
    {'r', 0, "as logged", "put every what-if away", 4, act_as_logged, 0},
    {'v', 0, "in words", "the same as sentences, or the chart again", 5, act_words, 0},
    {'j', PRESS_DOWN, "next stop", "the next stop; k or Up: the one before", 0, NULL, 0},
};

const Screen SCREEN_OUTLOOK = {
    .name = "outlook",
    .gist = "what is left against date, the odds at each stop, and what if",
    .press = '5',
    .actions = outlook_actions,
    .action_count = sizeof outlook_actions / sizeof *outlook_actions,
    .own_size = sizeof(OutlookOwn),
    .open = outlook_open,
    .told = outlook_told,
    .draw = outlook_draw,
    .key = outlook_key,
};
