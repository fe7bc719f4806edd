/* The reckoners: a list of topics, and one of them as a form with its result. */
#include "base/memory.h"
#include "screens/screens.h"
#include "screens/sum.h"
#include "tui/list.h"
#include "tui/pane.h"

#include <stdlib.h>

enum {
    RECKON_NAME_COLS = 12,
    BESIDE_COLS = 110,
    LIST_COLS = 76,
    RECKON_PLACE_COLS = 17,
    PREVIEW_ROWS = 7
};

typedef struct {
    List list;
} ReckonOwn;

static void sum_open_topic(App *app, const Topic *topic, Wish *wish)
{
    app_open(app, &SCREEN_SUM, wish);
    Sum *sum = app_own(app, &SCREEN_SUM);
    if (sum != NULL)
        sum_begin(sum, topic, app);
}

static int topic_count(void)
{
    int count = 0;
    (void)topics_all(&count);
    return count;
}

static void reckon_open(App *app, Wish *wish)
{
    (void)wish;
    ReckonOwn *own = app_own(app, &SCREEN_RECKON);
    list_set_count(&own->list, topic_count());
}

static int list_rows(Area area)
{
    int rows = area.rows - (area.rows >= 16 ? 2 : 1);
    if (area.rows >= 16 && area.cols < BESIDE_COLS) /* the result has to be seen below the list */
        rows -= PREVIEW_ROWS;
    return rows < topic_count() ? rows : topic_count();
}

static void act_open(App *app, int unused, Wish *wish)
{
    (void)unused;
    const ReckonOwn *own = app_own(app, &SCREEN_RECKON);
    int count = 0;
    sum_open_topic(app, topics_all(&count)[own->list.cursor], wish);
}

static bool reckon_key(App *app, Press press, Wish *wish)
{
    (void)wish;
    ReckonOwn *own = app_own(app, &SCREEN_RECKON);
    return list_key(&own->list, press, list_rows(app_body(app)));
}

/* The result with what is proposed, so that a look at the list answers already. */
static void draw_preview(const App *app, const Topic *topic, Area area)
{
    if (area.rows < 3 || area.cols < 30)
        return;
    Sum *sum = memory_get(sizeof *sum);
    sum_begin(sum, topic, app);
    area_puts(area, 0, 1, INK_TITLE, "With what is proposed");
    (void)sum_draw_result(sum, app, true, area_rows(area, 1, area.rows - 1), 0);
    free(sum);
}

static void reckon_draw(const App *app, Area area)
{
    const ReckonOwn *own = app_own(app, &SCREEN_RECKON);
    const bool airy = area.rows >= 16, beside = area.cols >= BESIDE_COLS;
    const int rows = list_rows(area), head = airy ? 2 : 1, top = list_top(&own->list, rows);
    int count = 0;
    const Topic *const *all = topics_all(&count);
    const bool placed = own->list.count > rows;
    pane_title(area_cols(area, 0, area.cols - (placed ? RECKON_PLACE_COLS : 0)), "reckoners",
               "sums beside the log, each with its source");
    const Area list = area_cols(area_rows(area, head, rows), 0, beside ? LIST_COLS : area.cols);
    for (int i = 0; i < rows && top + i < count; i++) {
        const bool here = top + i == own->list.cursor;
        if (here)
            pane_cursor(list, i);
        area_cut(list, i, 3, RECKON_NAME_COLS - 1, here ? INK_STRONG : INK_TEXT,
                 text_of(all[top + i]->name));
        area_cut(list, i, 3 + RECKON_NAME_COLS, list.cols - RECKON_NAME_COLS - 4, INK_QUIET,
                 text_of(all[top + i]->gist));
    }
    list_draw_place(&own->list, rows, area, 0);
    const int under = head + rows + 1;
    const Area preview = beside ? area_cols(area_rows(area, head, area.rows - head), LIST_COLS,
                                            area.cols - LIST_COLS)
                                : area_rows(area, under, area.rows - under);
    draw_preview(app, all[own->list.cursor], preview);
}

static const Action list_actions[] = {
    {PRESS_ENTER, PRESS_RIGHT, "open", "the topic under the cursor, as a form with its result", 1,
     act_open, 0},
    {'j', PRESS_DOWN, "down", "further down; k or Up: further up", 2, NULL, 0},
};

const Screen SCREEN_RECKON = {
    .name = "reckoners",
    .gist = "treatment, heat, air, flow, mass and need, each with its source",
    .press = '6',
    .actions = list_actions,
    .action_count = sizeof list_actions / sizeof *list_actions,
    .own_size = sizeof(ReckonOwn),
    .open = reckon_open,
    .draw = reckon_draw,
    .key = reckon_key,
};

/* ---- one topic ---- */

static void sum_told(App *app, Wish *wish)
{
    (void)wish;
    Sum *sum = app_own(app, &SCREEN_SUM);
    if (sum->topic != NULL)
        sum_read(sum, app);
}

static bool sum_screen_key(App *app, Press press, Wish *wish)
{
    (void)wish;
    Sum *sum = app_own(app, &SCREEN_SUM);
    if (!sum_key(sum, press, app))
        return false;
    sum_read(sum, app);
    return true;
}

static void sum_screen_draw(const App *app, Area area)
{
    const Sum *sum = app_own(app, &SCREEN_SUM);
    if (sum->topic != NULL)
        sum_draw(sum, app, area);
}

static const Action sum_actions[] = {
    {PRESS_ESC, 0, "leave", "back to the list; nothing of this is written", 1, NULL, 0},
    {PRESS_TAB, PRESS_DOWN, "next field", "the next field; Shift-Tab or Up: the one before", 2,
     NULL, 0},
    {PRESS_RIGHT, PRESS_LEFT, "choose", "go through the names or words that a field can hold", 3,
     NULL, 0},
    {PRESS_PAGE_DOWN, PRESS_PAGE_UP, "more", "further down in the result, its cautions and sources",
     4, NULL, 0},
    {PRESS_CTRL('U'), 0, "clear", "empty the field: its proposal counts again", 0, NULL, 0},
};

const Screen SCREEN_SUM = {
    .name = "reckoner",
    .gist = "one topic: what is asked, what comes out, its sources and limits",
    .typed = true,
    .actions = sum_actions,
    .action_count = sizeof sum_actions / sizeof *sum_actions,
    .own_size = sizeof(Sum),
    .told = sum_told,
    .draw = sum_screen_draw,
    .key = sum_screen_key,
};
