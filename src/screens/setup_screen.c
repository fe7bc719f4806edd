/* The set-up: what is aboard, and how it is coupled; amended through the ordinary forms. Where
 * something is not said yet, its questions (setup_ask.c) are offered; in an empty log they come
 * at once. */
#include "outlook/words.h"
#include "paint/width.h"
#include "screens/screens.h"
#include "screens/setup.h"
#include "tui/form.h"
#include "tui/list.h"
#include "tui/pane.h"

#include "base/memory.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct {
    List list;
} SetupOwn;

/* What Enter does on a row. */
typedef enum { ROW_HEAD, ROW_FORM, ROW_ASK, ROW_UNITS } RowDoes;
typedef struct {
    RowDoes does;
    KindId kind; /* ROW_FORM */
    Label about; /* what the form is to be about; empty: something new */
    bool adds;
    char name[64], text[160];
} Row;

enum { ROWS_MAX = VESSELS_ABOARD_MAX + 2 * LINES_MAX + STAGES_MAX + STOPS_MAX + 20 };

static Row *row_add(Row out[ROWS_MAX], int *count, RowDoes does, KindId kind, const char *name)
{
    Row *row = &out[*count < ROWS_MAX ? (*count)++ : ROWS_MAX - 1];
    *row = (Row){.does = does, .kind = kind};
    snprintf(row->name, sizeof row->name, "%s", name);
    return row;
}

static void row_new(Row out[ROWS_MAX], int *count, KindId kind, const char *name, const char *text)
{
    Row *row = row_add(out, count, ROW_FORM, kind, name);
    row->adds = true;
    snprintf(row->text, sizeof row->text, "%s", text);
}

static void rows_vessels(const App *app, Row out[ROWS_MAX], int *count)
{
    const Board *board = &app->board;
    char holds[64], heel[64], rated[64];
    row_add(out, count, ROW_HEAD, 0, "Vessels");
    for (int i = 0; i < board->vessel_count; i++) {
        const BoardVessel *v = &board->vessels[i];
        Row *row = row_add(out, count, ROW_FORM, KIND_VESSEL, v->label.s);
        row->about = v->label;
        int n = snprintf(row->text, sizeof row->text, "%s, %s, %s, heel %s",
                         app_volume(app, v->capacity, holds), duty_name(v->duty),
                         quality_name(v->quality), app_volume(app, v->heel, heel));
        if (v->rated_pa >= 0 && n > 0 && (size_t)n < sizeof row->text)
            snprintf(row->text + n, sizeof row->text - (size_t)n, ", rated %s",
                     rated_words(v->rated_pa, rated));
    }
    if (board->vessel_count == 0)
        row_add(out, count, ROW_ASK, 0,
                board->retired > 0 ? "All vessels are retired" : "Vessels are not named yet");
    else if (board->vessel_count < VESSELS_ABOARD_MAX)
        row_new(out, count, KIND_VESSEL, "another vessel", "");
}

static void rows_lines(const App *app, Row out[ROWS_MAX], int *count)
{
    const Board *board = &app->board;
    if (board->vessel_count == 0)
        return;
    row_add(out, count, ROW_HEAD, 0, "Order, air side to tap side");
    for (int i = 0; i < board->line_count; i++) {
        const BoardLine *line = &board->lines[i];
        Row *row = row_add(out, count, ROW_FORM, KIND_COUPLE, line->label.s);
        Str order = {0};
        row->about = line->label;
        str_adds(&order, "air");
        for (int k = 0; k < line->count; k++)
            str_addf(&order, " %s %s", glyph(app->alphabet, GLYPH_BECOMES),
                     board->vessels[line->vessels[k]].label.s);
        str_addf(&order, " %s tap", glyph(app->alphabet, GLYPH_BECOMES));
        snprintf(row->text, sizeof row->text, "%s", order.s);
        str_finish(&order);
    }
    if (board->line_count < LINES_MAX)
        row_new(out, count, KIND_COUPLE,
                board->line_count == 0 ? "no vessel is coupled yet" : "another line", "");
}

static void rows_stages(const App *app, Row out[ROWS_MAX], int *count)
{
    char litres[64];
    if (app->board.vessel_count == 0)
        return;
    row_add(out, count, ROW_HEAD, 0, "Treatment, as the water passes");
    for (int l = 0; l < app->board.line_count; l++) {
        const BoardLine *line = &app->board.lines[l];
        for (int i = 0; i < line->stage_count; i++) {
            const BoardStage *s = &app->board.stages[line->stages[i]];
            const Stage *stage = &app->state.stages[s->slot];
            Row *row = row_add(out, count, ROW_FORM, KIND_STAGE, s->label.s);
            Str text = {0};
            row->about = s->label;
            str_addf(&text, "%s on %s", stage_type_name(s->type), line->label.s);
            if (stage->life_ml > 0)
                str_addf(&text, ", %s", app_volume(app, stage->life_ml, litres));
            if (stage->life_days > 0)
                str_addf(&text, ", %lld days", (long long)stage->life_days);
            if (stage->life_ms > 0)
                str_addf(&text, ", %lld lamp hours", (long long)(stage->life_ms / MS_PER_HOUR));
            if (stage->spares >= 0)
                str_addf(&text, ", spares %lld", (long long)stage->spares);
            if (stage->purifying)
                str_adds(&text, ", declared purifying");
            snprintf(row->text, sizeof row->text, "%s", text.s);
            str_finish(&text);
        }
    }
    if (app->board.stage_count == 0)
        row_add(out, count, ROW_ASK, 0, "Stages are not named yet");
    else if (app->board.stage_count < STAGES_MAX)
        row_new(out, count, KIND_STAGE, "another stage", "");
}

static void rows_rest(const App *app, Row out[ROWS_MAX], int *count)
{
    char when[64];
    row_add(out, count, ROW_HEAD, 0, "Crew, plans, units");
    Row *row;
    if (app->state.crew < 0) {
        row_add(out, count, ROW_ASK, 0, "Crew is not said yet");
    } else {
        row = row_add(out, count, ROW_FORM, KIND_CREW, "crew");
        snprintf(row->text, sizeof row->text, "%d aboard", (int)app->state.crew);
    }
    if (app->state.source_count == 0)
        row_add(out, count, ROW_ASK, 0, "No source is named yet");
    else
        row_new(out, count, KIND_SOURCE, "another source", "");
    for (int i = 0; i < app->board.stop_count; i++) {
        const BoardStop *stop = &app->board.stops[i];
        row = row_add(out, count, ROW_FORM, KIND_STOP, stop->label.s);
        row->about = stop->label;
        snprintf(row->text, sizeof row->text, "planned stop, %s", app_time(app, stop->eta, when));
    }
    row_new(out, count, KIND_STOP, app->board.stop_count ? "another stop" : "plan a stop", "");
    row = row_add(out, count, ROW_UNITS, 0, "units");
    snprintf(row->text, sizeof row->text, "%s", units_name(app->units));
}

static int setup_screen_rows_of(const App *app, Row out[ROWS_MAX])
{
    int count = 0;
    rows_vessels(app, out, &count);
    rows_lines(app, out, &count);
    rows_stages(app, out, &count);
    rows_rest(app, out, &count);
    return count;
}

static Row *rows_make(const App *app, int *count)
{
    Row *rows = memory_get(ROWS_MAX * sizeof *rows);
    *count = setup_screen_rows_of(app, rows);
    return rows;
}

static int setup_rows(const App *app)
{
    int rows = app_body(app).rows - 2;
    return rows > 1 ? rows : 1;
}

/* A heading is no place to stand on; the last row is none. */
static void leave_heading(const Row *rows, List *list, bool down)
{
    while (list->cursor + 1 < list->count && rows[list->cursor].does == ROW_HEAD) {
        if (list->cursor == 0)
            down = true;
        list->cursor += down ? 1 : -1;
    }
}

/* The rows as they are now, and the list fitted to them: forms and questions on top may have
 * changed what there is. The caller frees them. */
static Row *rows_fit(const App *app, List *list)
{
    int count;
    Row *rows = rows_make(app, &count);
    list_set_count(list, count);
    leave_heading(rows, list, true);
    return rows;
}

static void setup_open(App *app, Wish *wish)
{
    if (app->entries == 0)
        app_open(app, &SCREEN_SETUP_ASK, wish);
}

/* ---- keys ---- */

static bool rows_key(App *app, Press press, Wish *wish)
{
    (void)wish;
    SetupOwn *own = app_own(app, &SCREEN_SETUP);
    Row *rows = rows_fit(app, &own->list);
    int before = own->list.cursor;
    bool mine = list_key(&own->list, press, setup_rows(app));
    leave_heading(rows, &own->list, own->list.cursor >= before);
    free(rows);
    return mine;
}

/* The form for an order begins with the order that is there: an empty one would uncouple all. */
static void order_begin(App *app, const Label *label)
{
    Form *form = app_form(app);
    int line = state_line(&app->state, label),
        field = form != NULL ? form_index(form, "order") : -1;
    if (line < 0 || field < 0)
        return;
    Str order = {0};
    str_adds(&order, "");
    for (int i = 0; i < app->state.lines[line].count; i++)
        str_addf(&order, "%s%s", i ? ", " : "",
                 app->state.vessels[app->state.lines[line].order[i]].label.s);
    entry_set(&form->rows.fields[field].typed, order.s);
    fields_go(&form->rows, field);
    str_finish(&order);
    form_read(form, app);
}

static void setup_screen_act_amend(App *app, int unused, Wish *wish)
{
    (void)unused;
    SetupOwn *own = app_own(app, &SCREEN_SETUP);
    Row *rows = rows_fit(app, &own->list);
    const Row row = rows[own->list.cursor];
    free(rows);
    switch (row.does) {
    case ROW_FORM:
        app_open_form(app, row.kind, row.about.s, wish);
        if (row.kind == KIND_COUPLE && !row.adds)
            order_begin(app, &row.about);
        break;
    case ROW_ASK:
        app_open(app, &SCREEN_SETUP_ASK, wish);
        break;
    case ROW_UNITS:
        app->units = (Units)((app->units + 1) % 3);
        app_say(app, INK_MESSAGE, "Units: %s.", units_name(app->units));
        wish->kind = WISH_UNITS;
        break;
    case ROW_HEAD:
        break;
    }
}

static void act_out(App *app, int unused, Wish *wish)
{
    (void)unused;
    SetupOwn *own = app_own(app, &SCREEN_SETUP);
    Row *rows = rows_fit(app, &own->list);
    const Row row = rows[own->list.cursor];
    free(rows);
    KindId kind = row.kind == KIND_VESSEL  ? KIND_RETIRE
                  : row.kind == KIND_STAGE ? KIND_UNSTAGE
                  : row.kind == KIND_STOP  ? KIND_UNSTOP
                                           : 0;
    if (row.does == ROW_FORM && kind != KIND_NONE && !row.adds)
        app_open_form(app, kind, row.about.s, wish);
    else
        app_say(app, INK_NOTICE, "Only a vessel, a stage or a stop can be taken out.");
}

static void act_questions(App *app, int unused, Wish *wish)
{
    (void)unused;
    for (int step = 0; step < SETUP_STEPS; step++) {
        if (!setup_done(&app->state, (SetupStep)step)) {
            app_open(app, &SCREEN_SETUP_ASK, wish);
            return;
        }
    }
    app_say(app, INK_NOTICE, "Everything is answered. Enter amends what stands under the cursor.");
}

/* ---- drawing ---- */

static void setup_screen_draw_row(const Row *row, bool here, Area area, int at)
{
    if (row->does == ROW_HEAD) {
        area_puts(area, at, 1, INK_QUIET, row->name);
        return;
    }
    Ink ink = row->does == ROW_ASK ? INK_CAUTION : row->adds ? INK_HINT : INK_STRONG;
    int name = area.cols >= 60 ? 18 : 10;
    if (row->does == ROW_ASK) {
        Str text = {0};
        str_addf(&text, "%s: Enter asks for it", row->name);
        area_cut(area, at, 3, area.cols - 4, ink, text_of(text.s));
        str_finish(&text);
    } else if (!row->text[0]) {
        area_cut(area, at, 3, area.cols - 4, ink, text_of(row->name));
    } else {
        area_cut(area, at, 3, name - 1, ink, text_of(row->name));
        area_cut(area, at, 3 + name, area.cols - name - 4, INK_TEXT, text_of(row->text));
    }
    if (here)
        pane_cursor(area, at);
}

static void setup_draw(const App *app, Area area)
{
    const SetupOwn *own = app_own(app, &SCREEN_SETUP);
    List list = own->list;
    Row *all = rows_fit(app, &list);
    int rows = area.rows - 2 > 1 ? area.rows - 2 : 1, top = list_top(&list, rows);
    if (top == 1 && list.cursor < rows)
        top = 0; /* the heading above the first row is worth its line */
    area_puts(area, 0, 1, INK_TITLE, "set-up");
    list_draw_place(&list, rows, area, 0);
    for (int i = top; i < list.count && i < top + rows; i++)
        setup_screen_draw_row(&all[i], i == list.cursor, area, 2 + i - top);
    free(all);
}

static const Action setup_screen_actions[] = {
    {PRESS_ENTER, PRESS_RIGHT, "amend", "a form for what is under the cursor, or its questions", 1,
     setup_screen_act_amend, 0},
    {'x', 0, "take out", "retire the vessel, take the stage or the stop out", 2, act_out, 0},
    {'e', 0, "questions", "go on with what is not answered yet", 3, act_questions, 0},
    {'j', PRESS_DOWN, "down", "the next row; k or Up: the one before", 0, NULL, 0},
};

const Screen SCREEN_SETUP = {
    .name = "set-up",
    .gist = "vessels, their order, stages, crew and units: named first, amended later",
    .press = '8',
    .actions = setup_screen_actions,
    .action_count = sizeof setup_screen_actions / sizeof *setup_screen_actions,
    .own_size = sizeof(SetupOwn),
    .open = setup_open,
    .draw = setup_draw,
    .key = rows_key,
};
