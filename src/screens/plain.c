/* The board in plain words, top to bottom: for a screen reader, and for all that did not fit the
 * drawing. Nothing here is told by place or colour. */
#include "model/tell.h"
#include "paint/width.h"
#include "screens/screens.h"
#include "screens/words.h"
#include "tui/list.h"

#include "base/memory.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct {
    List list; /* the cursor is the first line that is shown */
} PlainOwn;

static void plain_vessel(const App *app, const BoardVessel *v, Str *out)
{
    static const char *const duties[] = {"not coupled", "reserve", "wash", "store"};
    char text[64];
    if (v->position > 0)
        str_addf(out, "%d. %s: ", v->position, v->label.s);
    else
        str_addf(out, "%s, %s: ", v->label.s, duties[v->duty]);
    str_adds(out, app_volume(app, v->volume, text));
    str_addf(out, " of %s, ", app_volume(app, v->capacity, text));
    class_tell(v, out);
    str_addf(out, "%s%s%s\n", v->lead ? ", the lead" : "", v->spent ? ", spent" : "",
             v->position > 0 && v->place == PLACE_RESERVE ? ", reserve" : "");
}

static void plain_stage(const BoardStage *stage, Str *out)
{
    char life[16];
    life_tell(stage, life);
    str_addf(out, "Stage %s: %s%s", stage->label.s,
             stage->state == SERVICE_OK && stage->life_left < 0 ? "no life is given" : life,
             stage->life_left >= 0 && stage->state != SERVICE_DUE ? " of its life left" : "");
    if (stage->state == SERVICE_SOON)
        str_adds(out, ", due soon");
    if (stage->spares >= 0)
        str_addf(out, ", spares %lld", (long long)stage->spares);
    str_adds(out, "\n");
}

/* What the sentences of the board have no room for: each vessel, each stage. */
static void plain_parts(const App *app, Str *out)
{
    const Board *board = &app->board;
    for (int l = 0; l < board->line_count; l++) {
        const BoardLine *line = &board->lines[l];
        str_addf(out, "Line %s from the air side:\n", line->label.s);
        for (int i = 0; i < line->count; i++)
            plain_vessel(app, &board->vessels[line->vessels[i]], out);
        for (int i = 0; i < line->stage_count; i++)
            plain_stage(&board->stages[line->stages[i]], out);
    }
    for (int i = 0; i < board->vessel_count; i++)
        if (board->vessels[i].position == 0)
            plain_vessel(app, &board->vessels[i], out);
}

static void plain_lines(const App *app, Str *out)
{
    const Board *board = &app->board;
    char text[64];
    str_addf(out, "%s\n", moment_print_local(app->now, app->now, text));
    Words *words = memory_get(APP_WORDS_MAX * sizeof *words);
    const int count = app_words(app, words);
    bool parts = false;
    for (int i = 0; i < count; i++) {
        if (words[i].about != WORDS_TAP && !parts) {
            plain_parts(app, out);
            parts = true;
        }
        if (words[i].about != WORDS_STAGES && words[i].about != WORDS_APART) /* told one by one */
            str_addf(out, "%s: %s\n", words[i].caption, words[i].text);
    }
    free(words);
    for (int i = 0; i < board->discrepancy_count; i++) {
        str_addf(out, "Differs: %s: ", app_time(app, (Moment){board->discrepancies[i].at}, text));
        discrepancy_tell(&board->discrepancies[i], app->units, out);
        str_adds(out, "\n");
    }
    if (board->discrepancies_older > 0)
        str_addf(out, "Differs: and %lld older ones\n", (long long)board->discrepancies_older);
}

static int plain_rows(const App *app)
{
    return app_body(app).rows;
}

static int plain_columns(const App *app)
{
    return app->cols - 2;
}

static bool plain_key(App *app, Press press, Wish *wish)
{
    (void)wish;
    PlainOwn *own = app_own(app, &SCREEN_PLAIN);
    Str text = {0};
    plain_lines(app, &text);
    int rows = plain_rows(app);
    int last = width_lines((Text){text.s, text.n}, plain_columns(app)) - rows;
    str_finish(&text);
    list_set_count(&own->list, last > 0 ? last + 1 : 1);
    return list_key(&own->list, press, rows);
}

static void plain_draw(const App *app, Area area)
{
    const PlainOwn *own = app_own(app, &SCREEN_PLAIN);
    Str text = {0};
    plain_lines(app, &text);
    Text rest = {text.s, text.n}, line;
    int columns = plain_columns(app), count = width_lines(rest, columns), top = own->list.cursor;
    if (top > count - area.rows)
        top = count - area.rows;
    if (top < 0)
        top = 0;
    for (int i = 0; width_wrap(&rest, columns, &line); i++)
        area_put(area, i - top, 1, INK_TEXT, line);
    if (top + area.rows < count)
        area_glyph(area, area.rows - 1, area.cols - 1, INK_KEY, GLYPH_DOWN);
    if (top > 0)
        area_glyph(area, 0, area.cols - 1, INK_KEY, GLYPH_UP);
    str_finish(&text);
}

static const Action plain_actions[] = {
    {'j', PRESS_DOWN, "down", "further down; k or Up: further up", 1, NULL, 0},
};

const Screen SCREEN_PLAIN = {
    .name = "as text",
    .gist = "the board in plain words",
    .actions = plain_actions,
    .action_count = sizeof plain_actions / sizeof *plain_actions,
    .own_size = sizeof(PlainOwn),
    .draw = plain_draw,
    .key = plain_key,
};
