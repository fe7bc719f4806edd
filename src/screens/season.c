/* The season: what a span of time came to, use a person and day as a chart by weeks, and how good
 * the program's own forecasts were. The sentences are those of `ullage season`. */
#include "outlook/season_words.h"
#include "paint/width.h"
#include "screens/screens.h"
#include "tui/pane.h"

#include "base/memory.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

enum { AXIS_COLS = 8, BAR_COLS_MAX = 9, CHART_LEAST = 10, WEEK_CAPTION = 8 };

typedef struct {
    int span;   /* index into season_spans */
    int scroll; /* first line that is shown */
    int64_t entries;
    SeasonWords words[SEASON_WORDS_MAX];
} SeasonOwn;

/* Days back; 0: from the first entry on. */
static const int season_spans[] = {0, 365, 91, 28};
enum { SPAN_COUNT = sizeof season_spans / sizeof *season_spans };

static SeasonOwn *season_own(const App *app)
{
    return app_own(app, &SCREEN_SEASON);
}

static void season_ask(App *app, Wish *wish)
{
    SeasonOwn *own = season_own(app);
    own->entries = app->entries;
    wish->kind = WISH_SEASON;
    wish->since =
        season_spans[own->span] == 0
            ? MOMENT_NONE
            : moment_of_local_day(moment_local_day(app->now) - season_spans[own->span] + 1);
}

static void season_told(App *app, Wish *wish)
{
    if (season_own(app)->entries != app->entries)
        season_ask(app, wish);
}

static void act_span(App *app, int step, Wish *wish)
{
    SeasonOwn *own = season_own(app);
    own->span = (own->span + step + SPAN_COUNT) % SPAN_COUNT;
    own->scroll = 0;
    season_ask(app, wish);
}

/* ---- the facts ---- */

static void facts_sources(const App *app, Facts *facts)
{
    Str line = {0};
    for (int i = 0; i < app->season->source_count; i++) {
        str_clear(&line);
        season_source_tell(&app->season->sources[i], app->units, &line);
        facts_add(facts, i == 0 ? "From" : "", INK_TEXT, "%s", line.s);
    }
    str_finish(&line);
}

static void facts_parts(const App *app, Facts *facts)
{
    char fitted[64], swapped[64], through[64], life[32] = "", litre[40] = "";
    for (int i = 0; i < app->season->part_count; i++) {
        const SeasonPart *part = &app->season->parts[i];
        const double of = season_part_life(part);
        if (!isnan(of))
            snprintf(life, sizeof life, ", %.0f %% of its life", 100.0 * of);
        if (!isnan(season_part_litre(part)))
            snprintf(litre, sizeof litre, ", %.3f a litre", season_part_litre(part));
        facts_add(facts, i == 0 ? "Swapped" : "", INK_TEXT, "%s: %s to %s, %s through it%s%s",
                  part->stage.s, pane_day(app, part->fitted, fitted),
                  pane_day(app, part->swapped, swapped), app_volume(app, part->through_ml, through),
                  isnan(of) ? "" : life, isnan(season_part_litre(part)) ? "" : litre);
    }
    if (app->season->parts_more > 0)
        facts_add(facts, "", INK_QUIET, "and %d more", app->season->parts_more);
}

static char *litres_text(const App *app, double litres, char *out)
{
    return app_volume(app, (int64_t)(litres * 1000.0 + 0.5), out);
}

static void season_facts_rows(const App *app, Facts *facts)
{
    SeasonRow rows[SEASON_ROWS_MAX];
    int days = 0;
    const int count = season_rows(app->season, SEASON_ROWS_MAX, rows, &days);
    for (int i = 0; i < count; i++) {
        const SeasonRow *row = &rows[i];
        char day[64], used[64], unlogged[64], taken[64];
        Str in = {0};
        if (row->unlogged > 0)
            str_addf(&in, " (%s unlogged)", litres_text(app, row->unlogged, unlogged));
        str_addf(&in, ", crew %.1f; %d refill%s", row->crew, row->refills,
                 row->refills == 1 ? "" : "s");
        for (int q = 0; q < CLASS_COUNT; q++)
            if (row->taken[q] > 0)
                str_addf(&in, ", %s %s", litres_text(app, row->taken[q], taken),
                         quality_name((Quality)q));
        facts_add(facts,
                  i > 0       ? ""
                  : days == 7 ? "Week from"
                              : "From",
                  INK_TEXT, "%s: used %s%s", pane_day(app, row->from, day),
                  litres_text(app, row->litres, used), in.s);
        str_finish(&in);
    }
}

/* The sentences of the command; sources and parts where it has its tables. */
static void facts_make(const App *app, SeasonOwn *own, Facts *facts)
{
    const int count = season_words(app->season, app->units, own->words);
    for (int i = 0; i < count; i++) {
        facts_add(facts, own->words[i].caption, INK_TEXT, "%s", own->words[i].text);
        if (own->words[i].about == SEASON_TAKEN)
            facts_sources(app, facts);
        if (own->words[i].about == SEASON_USED)
            season_facts_rows(app, facts);
    }
    facts_parts(app, facts);
}

/* ---- the chart ---- */

/* Use a person and day, a bar for so many days. */
static void bars_draw(const App *app, Area area)
{
    SeasonRow rows[SEASON_ROWS_MAX];
    int days = 0, fit = (area.cols - AXIS_COLS) / 2, high = area.rows - 2;
    const int count =
        season_rows(app->season, fit < SEASON_ROWS_MAX ? fit : SEASON_ROWS_MAX, rows, &days);
    int wide = (area.cols - AXIS_COLS) / count, next = 0;
    double most = 0.0;
    char text[64];
    wide = wide > BAR_COLS_MAX ? BAR_COLS_MAX : wide;
    for (int i = 0; i < count; i++)
        most = rows[i].rate > most ? rows[i].rate : most;
    area_printf(area, 0, 1, INK_QUIET, "a person a day, %s",
                days == 7 ? "by week" : "by spans of equal days");
    for (int i = 0; i < count && most > 0; i++) {
        const int col = AXIS_COLS + i * wide, eighths = (int)(rows[i].rate / most * 8 * high + 0.5);
        for (int r = 0; r < high; r++) {
            const int in = eighths - 8 * (high - 1 - r);
            for (int c = 0; c < (wide > 2 ? wide - 1 : wide); c++)
                area_puts(area, 1 + r, col + c, INK_CHART,
                          glyph_level(app->alphabet, in > 8   ? 8
                                                     : in < 0 ? 0
                                                              : in));
        }
        if (col >= next && col + WEEK_CAPTION <= area.cols)
            next = 2 + area_puts(area, area.rows - 1, col, INK_QUIET,
                                 pane_day(app, rows[i].from, text));
    }
    if (most > 0)
        area_puts(area, 1, 1, INK_QUIET, litres_text(app, most, text));
}

static Area facts_area(Area area, int *chart)
{
    *chart = area.rows >= CHART_LEAST ? (area.rows - 1) * 2 / 5 : 0;
    return area_rows(area, 1 + *chart, area.rows - 1 - *chart);
}

static void season_draw(const App *app, Area area)
{
    SeasonOwn *own = season_own(app);
    int chart = 0;
    const Area below = facts_area(area, &chart);
    if (app->season == NULL || app->season->entries == 0) {
        pane_title(area, "season", "nothing was logged");
        return;
    }
    Str title = {0};
    season_title(app->season, app->now, &title);
    pane_title(area, "season", title.s);
    str_finish(&title);
    if (chart > 0)
        bars_draw(app, area_rows(area, 1, chart));
    Facts facts = {0};
    facts_make(app, own, &facts);
    facts_draw(&facts, below, own->scroll);
    facts_finish(&facts);
}

static bool season_key(App *app, Press press, Wish *wish)
{
    SeasonOwn *own = season_own(app);
    int chart = 0;
    (void)wish;
    const Area below = facts_area(app_body(app), &chart);
    Facts facts = {0};
    if (app->season != NULL)
        facts_make(app, own, &facts);
    int over = facts_lines(&facts, below.cols) - below.rows;
    facts_finish(&facts);
    List list = {.cursor = own->scroll};
    list_set_count(&list, over > 0 ? over + 1 : 1);
    const bool mine = list_key(&list, press, below.rows);
    own->scroll = list.cursor;
    return mine;
}

static const Action season_actions[] = {
    {'<', 'h', "longer", "a longer span: 28 days, 91 days, a year, all", 2, act_span, -1},
    {'>', 'l', "shorter", "a shorter span", 1, act_span, 1},
    {'j', PRESS_DOWN, "down", "further down; k or Up: further up", 3, NULL, 0},
};

const Screen SCREEN_SEASON = {
    .name = "season",
    .gist = "what a span of time came to, and how good the forecasts were",
    .press = '9',
    .actions = season_actions,
    .action_count = sizeof season_actions / sizeof *season_actions,
    .own_size = sizeof(SeasonOwn),
    .open = season_ask,
    .told = season_told,
    .draw = season_draw,
    .key = season_key,
};
