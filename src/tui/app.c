#include "tui/app.h"

#include "base/memory.h"
#include "model/tell.h"
#include "outlook/words.h"
#include "paint/width.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { SMALLEST_ROWS = 6, SMALLEST_COLS = 24, MESSAGE_ROWS = 3 };

App *app_create(const ScreenTable *table, int rows, int cols, Scheme scheme, Alphabet alphabet,
                bool ascii)
{
    App *app = memory_get(sizeof *app);
    app->table = table;
    app->scheme = app->by_day = scheme;
    app->alphabet = alphabet;
    app->ascii = ascii;
    app->now = (Moment){0};
    app->heard = MOMENT_NONE;
    state_init(&app->state);
    board_make(&app->board, &app->state, 0, app->now, app->units);
    app_resize(app, rows, cols);
    app->stack[0].screen = table->screens[0];
    app->stack[0].own = memory_get(table->screens[0]->own_size + 1);
    app->depth = 1;
    return app;
}

static void season_drop(App *app)
{
    if (app->season != NULL)
        season_finish(app->season);
    free(app->season);
}

void app_destroy(App *app)
{
    if (app == NULL)
        return;
    while (app->depth > 1)
        app_close(app);
    free(app->stack[0].own);
    free(app->kept.own);
    free(app->found);
    season_drop(app);
    free(app);
}

/* ---- the stack of screens ---- */

const Screen *app_top(const App *app)
{
    return app->stack[app->depth - 1].screen;
}

const Screen *app_screen(const App *app, const char *name)
{
    const Screen *const *screens = app->table->screens;
    for (int i = 0; screens[i] != NULL; i++)
        if (strcmp(screens[i]->name, name) == 0)
            return screens[i];
    return NULL;
}

void *app_own(const App *app, const Screen *screen)
{
    for (int i = app->depth - 1; i >= 0; i--)
        if (app->stack[i].screen == screen)
            return app->stack[i].own;
    return NULL;
}

void app_close(App *app)
{
    if (app->depth <= 1)
        return;
    Opening *top = &app->stack[app->depth - 1];
    if (top->screen->close != NULL)
        top->screen->close(app);
    if (top->screen->keeps != NULL && top->screen->keeps(app)) {
        free(app->kept.own);
        app->kept = *top;
    } else {
        free(top->own);
    }
    *top = (Opening){0};
    app->depth--;
}

void app_home(App *app)
{
    while (app->depth > 1)
        app_close(app);
}

void app_open(App *app, const Screen *screen, Wish *wish)
{
    for (int i = 0; i < app->depth; i++) {
        if (app->stack[i].screen == screen) {
            while (app->depth > i + 1)
                app_close(app);
            return;
        }
    }
    if (app->depth == APP_DEPTH)
        app_close(app);
    app->stack[app->depth].screen = screen;
    if (app->kept.screen == screen) {
        app->stack[app->depth] = app->kept;
        app->kept = (Opening){0};
    } else {
        app->stack[app->depth].own = memory_get(screen->own_size + 1);
    }
    app->depth++;
    if (screen->open != NULL)
        screen->open(app, wish);
}

/* ---- night by the clock ---- */

static void night_look(App *app)
{
    enum { DAY = 24 * 60 };
    const Civil civil = moment_local(app->now);
    const int since = (civil.hour * 60 + civil.minute - app->night_begins + DAY) % DAY,
              lasts = (app->night_ends - app->night_begins + DAY) % DAY;
    if (lasts > 0 && app->by_day != SCHEME_MONOCHROME)
        app->scheme = since < lasts ? SCHEME_NIGHT : app->by_day;
}

void app_night(App *app, int begins, int ends)
{
    app->night_begins = begins;
    app->night_ends = ends;
    night_look(app);
}

void app_theme(App *app, Scheme scheme)
{
    app->scheme = app->by_day = scheme;
    app->night_begins = app->night_ends = 0;
}

/* ---- what the loop tells ---- */

static void top_told(App *app, Wish *wish)
{
    if (app_top(app)->told != NULL)
        app_top(app)->told(app, wish);
}

void app_tell(App *app, const State *state, int64_t entries, Moment now, Wish *wish)
{
    app->state = *state;
    if (app->ascii)
        stand_ins_make(&app->state, &app->stand_ins);
    app->entries = entries;
    app->now = now;
    night_look(app);
    board_make(&app->board, &app->state, entries, now, app->units);
    board_runs(&app->board, app->running, app->running_count);
    top_told(app, wish);
}

void app_tick(App *app, Moment now)
{
    app->now = now;
    night_look(app);
    board_make(&app->board, &app->state, app->entries, now, app->units);
    board_runs(&app->board, app->running, app->running_count);
    if (app_top(app)->tick != NULL)
        app_top(app)->tick(app);
}

bool app_runs(App *app, const Running *running, int count, Moment now)
{
    if (count == app->running_count &&
        memcmp(running, app->running, (size_t)count * sizeof *running) == 0)
        return false;
    memcpy(app->running, running, (size_t)count * sizeof *running);
    app->running_count = count;
    app->board.now = app->now = now;
    board_runs(&app->board, running, count);
    return true;
}

void app_clock(App *app, Moment now)
{
    app->now = now;
}

void app_tell_recent(App *app, const Entry *entries, int count)
{
    app->recent_count = count < APP_RECENT ? count : APP_RECENT;
    for (int i = 0; i < app->recent_count; i++)
        app->recent[i] = entries[i];
}

void app_resize(App *app, int rows, int cols)
{
    app->rows = rows < 1 ? 1 : rows > 1000 ? 1000 : rows;
    app->cols = cols < 1 ? 1 : cols > 1000 ? 1000 : cols;
}

void app_say(App *app, Ink ink, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(app->message, sizeof app->message, format, arguments);
    va_end(arguments);
    app->message_ink = ink;
}

void app_written(App *app, const Event *events, int count)
{
    if (app_top(app)->written != NULL)
        app_top(app)->written(app);
    const Event *told = NULL;
    for (int i = 0; i < count; i++)
        if (events[i].kind != KIND_VOID)
            told = told != NULL ? told : &events[i];
    const bool typed = app_top(app)->typed; /* there z is a letter */
    const bool amended =
        count == 2 && told != NULL && (events[0].kind == KIND_VOID || events[1].kind == KIND_VOID);
    Str line = {0};
    event_tell(told != NULL ? told : &events[0], app->units, true, &line);
    if (count > 1 && !amended)
        str_addf(&line, " and %d more", count - 1);
    app_say(app, INK_MESSAGE, "%s: %s.%s", amended ? "Amended" : "Written", line.s,
            typed       ? ""
            : count > 1 ? " z takes all of it back."
                        : " z takes it back.");
    str_finish(&line);
}

void app_took_back(App *app, const Event *taken, int count)
{
    Str line = {0};
    char when[64];
    event_tell(taken, app->units, true, &line);
    app_time(app, taken->at, when);
    if (count > 1)
        app_say(app, INK_MESSAGE,
                "Taken back: %s (%s) and %d more written with it. Z brings them back.", line.s,
                when, count - 1);
    else
        app_say(app, INK_MESSAGE,
                "Taken back: %s (%s). Z brings it back; z again takes back the one before.", line.s,
                when);
    str_finish(&line);
}

void app_brought_back(App *app, int count)
{
    app_say(app, INK_MESSAGE, count > 1 ? "Brought back: %d entries." : "Brought back.", count);
}

void app_tried(App *app, const Trial *trial)
{
    if (app_top(app)->tried != NULL)
        app_top(app)->tried(app, trial);
}

void app_found(App *app, const Entry *entries, int count, bool more)
{
    if (count > 0) {
        app->found = memory_resize(app->found, (size_t)count * sizeof *app->found);
        memcpy(app->found, entries, (size_t)count * sizeof *app->found);
    }
    app->found_count = count;
    app->found_more = more;
    Wish none = {0}; /* an answer is no reason to ask again */
    top_told(app, &none);
}

void app_history(App *app, const History *history)
{
    app->history = *history;
    Wish none = {0};
    top_told(app, &none);
}

void app_season(App *app, Season *season)
{
    season_drop(app);
    app->season = season;
    Wish none = {0};
    top_told(app, &none);
}

void app_refused(App *app, const Fault *fault)
{
    app_say(app, INK_WARNING, "%s", fault->text);
}

/* ---- keys ---- */

static const Action *action_of(const Action *actions, int count, Press press)
{
    for (int i = 0; i < count; i++)
        if (actions[i].press == press || (actions[i].other && actions[i].other == press))
            return &actions[i];
    return NULL;
}

static bool too_small(const App *app)
{
    return app->rows < SMALLEST_ROWS || app->cols < SMALLEST_COLS;
}

static const Screen *screen_of(const App *app, Press press)
{
    const Screen *const *screens = app->table->screens;
    for (int i = 0; screens[i] != NULL && press != PRESS_NONE; i++)
        if (screens[i]->press == press)
            return screens[i];
    return NULL;
}

static const Action *general_of(const App *app, Press press)
{
    return action_of(app->table->general->actions, app->table->general->count, press);
}

/* A key that does nothing says so, and whether the case is to blame. */
static void key_unknown(App *app, Press press)
{
    const Screen *top = app_top(app);
    char key[16], lower[16];
    press_name(press, key);
    if (press < 'A' || press > 'Z' || top->typed) {
        app_say(app, INK_NOTICE, "%s means nothing here.%s", key,
                top->typed ? "" : " ? shows every key.");
        return;
    }
    const Press small = press - 'A' + 'a';
    const Action *action = action_of(top->actions, top->action_count, small);
    action = action != NULL ? action : general_of(app, small);
    press_name(small, lower);
    if (action != NULL)
        app_say(app, INK_NOTICE, "%s means nothing here: caps lock? %s is %s.", key, lower,
                action->name);
    else
        app_say(app, INK_NOTICE, "%s means nothing here. ? shows every key.", key);
}

static void key_pressed(App *app, Press press, Wish *wish)
{
    const Screen *top = app_top(app);
    const Action *general = general_of(app, press);
    if (press == PRESS_CTRL('L') || press == PRESS_CTRL('Z')) {
        general->act(app, general->argument, wish);
        return;
    }
    if (too_small(app)) { /* nothing is entered blindly */
        if (press == 'q')
            wish->kind = WISH_QUIT;
        return;
    }
    if (top->key != NULL && top->key(app, press, wish))
        return;
    const Action *action = action_of(top->actions, top->action_count, press);
    if (action != NULL && action->act != NULL) {
        action->act(app, action->argument, wish);
        return;
    }
    if (general != NULL && (!top->typed || press == PRESS_ESC)) {
        general->act(app, general->argument, wish);
        return;
    }
    const Screen *named = top->typed ? NULL : screen_of(app, press);
    if (named != NULL) {
        app_home(app);
        app_open(app, named, wish);
    } else if (press != PRESS_NONE) {
        key_unknown(app, press);
    }
}

void app_key(App *app, Press press, Wish *wish)
{
    int depth = app->depth;
    *wish = (Wish){0};
    app->message[0] = '\0';
    key_pressed(app, press, wish);
    if (app->depth < depth && wish->kind == WISH_NOTHING)
        top_told(app, wish); /* it may have missed something under the screen that was closed */
}

void app_paste(App *app, Text text, Wish *wish)
{
    *wish = (Wish){0};
    const Screen *top = app_top(app);
    if (!top->typed || top->key == NULL || too_small(app))
        return;
    for (size_t at = 0; at < text.n;) {
        uint32_t code = text_next(text, &at);
        if (code == '\n' || code == '\r' || code == '\t')
            code = at < text.n ? ' ' : 0; /* a line's end at the very end is no space */
        Wish each = {0};
        if (press_is_text(code) && app_top(app) == top)
            top->key(app, code, &each);
        if (each.kind != WISH_NOTHING)
            *wish = each;
    }
}

/* ---- drawing ---- */

static int message_rows(const App *app)
{
    if (!app->message[0])
        return 1;
    int rows = width_lines(text_of(app->message), app->cols - 2);
    return rows < 1 ? 1 : rows > MESSAGE_ROWS ? MESSAGE_ROWS : rows;
}

Area app_body(const App *app)
{
    int bottom = message_rows(app);
    return (Area){NULL, 0, 0, app->rows > bottom ? app->rows - bottom : 0, app->cols};
}

/* The row of hints, one after the other: each is visited with the columns that it takes. */
typedef struct {
    const App *app;
    Area area; /* without a sheet nothing is drawn */
    int row, col, end;
    int wanted; /* column that is looked for */
    Press found;
} Hints;

static void hint_visit(Hints *h, int col, int end, const Action *action)
{
    char key[16];
    const Screen *top = app_top(h->app);
    const char *name = top->hint != NULL ? top->hint(h->app, action) : NULL;
    name = name != NULL ? name : action->name;
    press_name(action->press, key);
    int width = width_ofs(key) + 1 + width_ofs(name);
    if (col + width > end)
        return;
    if (h->area.sheet != NULL) {
        int after = area_puts(h->area, h->row, col, INK_KEY, key);
        area_puts(h->area, h->row, after + 1, name == action->name ? INK_HINT : INK_WARNING, name);
    }
    if (h->wanted >= col && h->wanted < col + width)
        h->found = action->press;
    if (col == h->col)
        h->col += width + 2;
}

static void hints_walk(Hints *h)
{
    const Screen *top = app_top(h->app);
    const ActionList *general = h->app->table->general;
    const Action *keys = general_of(h->app, '?');
    h->end = h->area.cols - 1;
    h->col = 1;
    if (!top->typed) { /* `?` is always there: it leads to all the others */
        hint_visit(h, h->end - 6, h->end, keys);
        h->end -= 8;
    }
    for (int rank = 1; rank < 100; rank++) {
        for (int i = 0; i < top->action_count; i++)
            if (top->actions[i].rank == rank)
                hint_visit(h, h->col, h->end, &top->actions[i]);
    }
    for (int rank = 1; rank < 100 && !top->typed; rank++) {
        for (int i = 0; i < general->count; i++) {
            const Action *action = &general->actions[i];
            if (action->rank == rank && action != keys &&
                action_of(top->actions, top->action_count, action->press) == NULL)
                hint_visit(h, h->col, h->end, action);
        }
    }
}

int app_draw_hints(const App *app, Area area, int row)
{
    Hints hints = {.app = app, .area = area, .row = row, .wanted = -1};
    hints_walk(&hints);
    return hints.col;
}

void app_click(App *app, int row, int col, Wish *wish)
{
    *wish = (Wish){0};
    if (app->message[0] || row != app->rows - 1 || too_small(app))
        return;
    Hints hints = {.app = app, .area = {NULL, 0, 0, app->rows, app->cols}, .wanted = col};
    hints_walk(&hints);
    if (hints.found != PRESS_NONE)
        app_key(app, hints.found, wish);
}

/* Below the smallest size: the two facts that matter most, and why there is no more. */
static void draw_notice(const App *app, Area area)
{
    char out[64];
    const Board *board = &app->board;
    int row = 0;
    for (int i = 0; i < board->line_count && row < area.rows - 1; i++) {
        const BoardLine *line = &board->lines[i];
        Str text = {0};
        str_addf(&text, "%s: %s, %s", line->label.s, tap_verdict(line),
                 app_volume(app, line->usable, out));
        row = area_wrap(area_rows(area, 0, area.rows - 1), row, 0, INK_STRONG, text_of(text.s));
        str_finish(&text);
    }
    Str text = {0};
    str_addf(&text, "More at %dx%d and up.", SMALLEST_COLS, SMALLEST_ROWS);
    area_wrap(area, row, 0, INK_QUIET, text_of(text.s));
    str_finish(&text);
}

void app_draw(const App *app, Sheet *sheet)
{
    sheet_resize(sheet, app->rows, app->cols);
    sheet->cursor_row = sheet->cursor_col = 0; /* where nothing is chosen it is heard from here */
    sheet->ascii = app->ascii;
    sheet->stand_ins = &app->stand_ins;
    sheet->alphabet = app->alphabet;
    Area area = sheet_area(sheet);
    if (too_small(app)) {
        draw_notice(app, area);
        return;
    }
    Area body = app_body(app);
    body.sheet = sheet;
    app_top(app)->draw(app, body);
    Area bottom = area_rows(area, body.rows, area.rows - body.rows);
    if (app->message[0]) {
        area_fill(bottom, app->message_ink, " ");
        area_wrap(area_cols(bottom, 0, bottom.cols - 1), 0, 1, app->message_ink,
                  text_of(app->message));
    } else {
        app_draw_hints(app, bottom, 0);
    }
}

/* ---- words ---- */

char *app_volume(const App *app, int64_t ml, char *out)
{
    return volume_print((Volume){ml}, app->units, out);
}

char *app_volume_bare(const App *app, int64_t ml, char *out)
{
    return volume_print_bare((Volume){ml}, app->units, out);
}

char *app_volume_down(const App *app, int64_t ml, char *out)
{
    return volume_print_round((Volume){ml}, app->units, ROUND_DOWN, out);
}

char *app_clock_text(const App *app, bool brief, char *out)
{
    char when[48];
    Civil civil = moment_local(app->now);
    if (brief)
        snprintf(when, sizeof when, "%02d:%02d", civil.hour, civil.minute);
    else
        moment_print_local(app->now, app->now, when);
    snprintf(out, 64, "%s%s", app->demo ? "demo " : "", when);
    return out;
}

char *app_date(const App *app, Moment m, char *out)
{
    if (moment_known(m))
        return moment_print_date(m, app->now, out);
    snprintf(out, 64, "not known");
    return out;
}

char *app_time(const App *app, Moment m, char *out)
{
    if (!moment_known(m)) {
        snprintf(out, 64, "not known");
        return out;
    }
    if (moment_local_day(m) == moment_local_day(app->now)) {
        Civil civil = moment_local(m);
        snprintf(out, 64, "%02d:%02d", civil.hour, civil.minute);
        return out;
    }
    return moment_print_local(m, app->now, out);
}

char *app_span(int64_t ms, char *out)
{
    if (ms < 0)
        ms = 0;
    if (ms < 2 * MS_PER_HOUR)
        snprintf(out, 64, "%d min", (int)(ms / MS_PER_MINUTE));
    else if (ms < 2 * MS_PER_DAY)
        snprintf(out, 64, "%d h", (int)(ms / MS_PER_HOUR));
    else if (ms < 10 * MS_PER_DAY)
        snprintf(out, 64, "%d.%d days", (int)(ms / MS_PER_DAY),
                 (int)(ms % MS_PER_DAY * 10 / MS_PER_DAY));
    else
        snprintf(out, 64, "%lld days", (long long)(ms / MS_PER_DAY));
    return out;
}

Ink ink_of_class(Quality quality)
{
    static const Ink inks[CLASS_COUNT] = {INK_POTABLE, INK_QUESTIONABLE, INK_NON_POTABLE};
    return inks[quality];
}

Ink ink_of_service(ServiceState state)
{
    static const Ink inks[] = {INK_GOOD, INK_SOON, INK_WARNING};
    return inks[state];
}
