/* Help: made from the action tables, so it can't tell of a key that is not there. */
#include "paint/width.h"
#include "screens/screens.h"
#include "tui/list.h"

#include <stdio.h>
#include <string.h>

typedef struct {
    List list;
} HelpOwn;

enum { HELP_LINES_MAX = 96, HELP_KEY_COLS = 16 };
typedef struct {
    char key[40];
    const char *text;
    bool heading;
} HelpLine;

static const Screen *help_about(const App *app)
{
    return app->depth > 1 ? app->stack[app->depth - 2].screen : app_top(app);
}

static void help_action(HelpLine *line, const Action *action)
{
    char first[16], second[16];
    press_name(action->press, first);
    if (action->other) {
        press_name(action->other, second);
        snprintf(line->key, sizeof line->key, "%s, %s", first, second);
    } else {
        snprintf(line->key, sizeof line->key, "%s", first);
    }
    line->text = action->help;
    line->heading = false;
}

static int heading(HelpLine out[HELP_LINES_MAX], int n, const char *text)
{
    if (n < HELP_LINES_MAX)
        out[n++] = (HelpLine){.text = text, .heading = true};
    return n;
}

static int actions(HelpLine out[HELP_LINES_MAX], int n, const Action *action, int count)
{
    for (int i = 0; i < count && n < HELP_LINES_MAX; i++)
        help_action(&out[n++], &action[i]);
    return n;
}

static int signs(HelpLine out[HELP_LINES_MAX], int n, const App *app, const Screen *about)
{
    n = about->sign_count > 0 ? heading(out, n, "signs") : n;
    for (int i = 0; i < about->sign_count && n < HELP_LINES_MAX; i++) {
        HelpLine *line = &out[n++];
        *line = (HelpLine){.text = about->signs[i].means};
        snprintf(line->key, sizeof line->key, "%s", glyph(app->alphabet, about->signs[i].glyph));
    }
    return n;
}

/* The screen's own keys first; on the first screen, which is the ground of all others, those that
 * work everywhere: they are what is done there each day. */
static int help_lines(const App *app, HelpLine out[HELP_LINES_MAX])
{
    const Screen *about = help_about(app);
    const ActionList *general = app->table->general;
    const Screen *const *screens = app->table->screens;
    const bool ground = about == screens[0];
    int n = heading(out, 0, about->gist);
    if (ground)
        n = actions(out, n, general->actions, general->count);
    n = actions(out, n, about->actions, about->action_count);
    n = signs(out, n, app, about);
    if (!ground) {
        n = heading(out, n, "everywhere");
        n = actions(out, n, general->actions, general->count);
    }
    n = heading(out, n, "in a form");
    n = actions(out, n, SCREEN_FORM.actions, SCREEN_FORM.action_count);
    n = heading(out, n, "screens");
    for (int i = 0; screens[i] != NULL && n < HELP_LINES_MAX; i++) {
        HelpLine *line = &out[n++];
        *line = (HelpLine){.text = screens[i]->gist};
        char key[16];
        press_name(screens[i]->press, key);
        snprintf(line->key, sizeof line->key, "%s %s", key, screens[i]->name);
    }
    return n;
}

/* On a narrow sheet the keys get fewer columns; a text that does not fit goes on below itself. */
static int help_key_cols(int cols)
{
    return cols >= 70 ? HELP_KEY_COLS : 11;
}

static int help_text_cols(int cols)
{
    int room = cols - 4 - help_key_cols(cols);
    return room > 8 ? room : 8;
}

static int help_line_rows(const HelpLine *line, int cols)
{
    bool beside = line->heading || width_ofs(line->key) < help_key_cols(cols);
    return width_lines(text_of(line->text), line->heading ? cols - 2 : help_text_cols(cols)) +
           (beside ? 0 : 1);
}

static int help_all_rows(const HelpLine *lines, int count, int cols)
{
    int rows = 0;
    for (int i = 0; i < count; i++)
        rows += help_line_rows(&lines[i], cols);
    return rows;
}

static int help_rows(const App *app)
{
    return app_body(app).rows - 2;
}

static bool help_key(App *app, Press press, Wish *wish)
{
    (void)wish;
    HelpOwn *own = app_own(app, &SCREEN_HELP);
    HelpLine lines[HELP_LINES_MAX];
    int count = help_lines(app, lines), rows = help_rows(app);
    int last = help_all_rows(lines, count, app->cols) - rows;
    List *list =
        &own->list; /* here the cursor is the first row: a text is scrolled, not pointed at */
    list_set_count(list, last > 0 ? last + 1 : 1);
    return list_key(list, press, rows);
}

static void draw_line(const HelpLine *line, Area area, int row)
{
    int keys = help_key_cols(area.cols);
    if (line->heading) {
        area_wrap(area_cols(area, 0, area.cols - 1), row, 1, INK_TITLE, text_of(line->text));
        return;
    }
    area_cut(area, row, 3, area.cols - 4, INK_KEY, text_of(line->key));
    if (width_ofs(line->key) >= keys)
        row++;
    Text rest = text_of(line->text), part;
    for (; width_wrap(&rest, help_text_cols(area.cols), &part); row++)
        area_put(area, row, 3 + keys, INK_TEXT, part);
}

static void help_draw(const App *app, Area area)
{
    const HelpOwn *own = app_own(app, &SCREEN_HELP);
    HelpLine lines[HELP_LINES_MAX];
    int count = help_lines(app, lines), rows = area.rows - 2, top = own->list.cursor;
    int all = help_all_rows(lines, count, area.cols);
    int col = area_puts(area, 0, 1, INK_TITLE, "keys");
    area_printf(area, 0, col + 2, INK_QUIET, "of the screen: %s", help_about(app)->name);
    if (top > all - rows)
        top = all - rows;
    if (top < 0)
        top = 0;
    if (all > rows) {
        char place[40];
        snprintf(place, sizeof place, "%s %s", top > 0 ? glyph(app->alphabet, GLYPH_UP) : " ",
                 top + rows < all ? glyph(app->alphabet, GLYPH_DOWN) : " ");
        area_right(area, 0, area.cols - 1, INK_QUIET, text_of(place));
    }
    Area body = area_rows(area, 2, rows);
    int row = -top;
    for (int i = 0; i < count && row < rows; i++) {
        draw_line(&lines[i], body, row);
        row += help_line_rows(&lines[i], area.cols);
    }
}

static const Action help_actions[] = {
    {'j', PRESS_DOWN, "down", "further down; k or Up: further up", 0, NULL, 0},
};

const Screen SCREEN_HELP = {
    .name = "keys",
    .gist = "what every key does",
    .actions = help_actions,
    .action_count = sizeof help_actions / sizeof *help_actions,
    .own_size = sizeof(HelpOwn),
    .draw = help_draw,
    .key = help_key,
};
