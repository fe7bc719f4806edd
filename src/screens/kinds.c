/* The list of all kinds of entry: any of them can be written from here. */
#include "paint/width.h"
#include "screens/screens.h"
#include "tui/list.h"
#include "tui/pane.h"

#include <string.h>

enum { NAME_COLS = 16 };

typedef struct {
    List list;
} KindsOwn;

/* Voids and settlements name an entry: the log screen writes them, on the entry itself. */
static int kinds_listed(KindId out[KIND_END])
{
    int n = 0;
    for (int id = 1; id < KIND_END; id++)
        if (id != KIND_VOID && id != KIND_SETTLE)
            out[n++] = (KindId)id;
    return n;
}

static void kinds_open(App *app, Wish *wish)
{
    (void)wish;
    KindsOwn *own = app_own(app, &SCREEN_KINDS);
    KindId kinds[KIND_END];
    list_set_count(&own->list, kinds_listed(kinds));
}

/* Rows at the foot for the chosen kind's gist in full, where some gist does not fit beside its
 * name; with a row of air above. */
static int kinds_foot(Area area)
{
    KindId kinds[KIND_END];
    int count = kinds_listed(kinds), lines = 0;
    bool cut = false;
    for (int i = 0; i < count; i++) {
        Text gist = text_of(kind_of(kinds[i])->gist);
        int wants = width_lines(gist, area.cols - 2);
        cut = cut || width_of(gist) > area.cols - NAME_COLS - 1;
        lines = wants > lines ? wants : lines;
    }
    return cut && area.rows >= 8 ? lines + 1 : 0;
}

static int kinds_rows(Area area)
{
    return area.rows - 2 - kinds_foot(area);
}

static bool kinds_key(App *app, Press press, Wish *wish)
{
    (void)wish;
    KindsOwn *own = app_own(app, &SCREEN_KINDS);
    return list_key(&own->list, press, kinds_rows(app_body(app)));
}

static void act_choose(App *app, int unused, Wish *wish)
{
    (void)unused;
    KindsOwn *own = app_own(app, &SCREEN_KINDS);
    KindId kinds[KIND_END];
    kinds_listed(kinds);
    KindId kind = kinds[own->list.cursor];
    app_close(app);
    app_open_form(app, kind, "", wish);
}

static void kinds_draw(const App *app, Area area)
{
    const KindsOwn *own = app_own(app, &SCREEN_KINDS);
    KindId kinds[KIND_END];
    int count = kinds_listed(kinds), rows = kinds_rows(area), top = list_top(&own->list, rows);
    area_puts(area, 0, 1, INK_TITLE, "any entry");
    list_draw_place(&own->list, rows, area, 0);
    for (int i = top; i < count && i < top + rows; i++) {
        const Kind *kind = kind_of(kinds[i]);
        int row = 2 + i - top;
        bool here = i == own->list.cursor;
        area_puts(area, row, 3, INK_STRONG, kind->name);
        area_cut(area, row, NAME_COLS, area.cols - NAME_COLS - 1, INK_TEXT, text_of(kind->gist));
        if (here)
            pane_cursor(area, row);
    }
    if (kinds_foot(area) > 0 && own->list.cursor < count)
        area_wrap(area_cols(area, 0, area.cols - 1), area.rows - kinds_foot(area) + 1, 1, INK_TEXT,
                  text_of(kind_of(kinds[own->list.cursor])->gist));
}

static const Action kinds_actions[] = {
    {PRESS_ENTER, PRESS_RIGHT, "choose", "a form for this kind of entry", 1, act_choose, 0},
    {'j', PRESS_DOWN, "down", "the next kind; k or Up: the one before", 0, NULL, 0},
};

const Screen SCREEN_KINDS = {
    .name = "any entry",
    .gist = "every kind of entry that the log takes",
    .actions = kinds_actions,
    .action_count = sizeof kinds_actions / sizeof *kinds_actions,
    .own_size = sizeof(KindsOwn),
    .open = kinds_open,
    .draw = kinds_draw,
    .key = kinds_key,
};
