/* The board: the drawing, and under it the sentences in the order in which they have to be
 * answered: can I drink, how much and until when, am I on reserve, what needs doing. */
#include "base/memory.h"
#include "paint/width.h"
#include "screens/plumbing.h"
#include "screens/screens.h"
#include "screens/sentences.h"
#include "screens/wide.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { LEAST_SENTENCES = 4, TWO_COLUMNS = 116 };

/* ---- the strip: one vessel a few cells ---- */

typedef struct {
    int order[VESSELS_ABOARD_MAX], count;
    int ends[LINES_MAX + 1], groups; /* where the vessels of each line end, then those apart */
    int name_cols, width, per_row, rows;
    bool words;
    bool grouped; /* each line begins a row of its own, under its title */
} Strip;

static void strip_order(const Board *board, Strip *strip)
{
    strip->count = strip->groups = 0;
    for (int l = 0; l < board->line_count; l++) {
        for (int i = 0; i < board->lines[l].count && strip->count < VESSELS_ABOARD_MAX; i++)
            strip->order[strip->count++] = board->lines[l].vessels[i];
        strip->ends[strip->groups++] = strip->count;
    }
    for (int i = 0; i < board->vessel_count && strip->count < VESSELS_ABOARD_MAX; i++)
        if (board->vessels[i].position == 0)
            strip->order[strip->count++] = i;
    strip->ends[strip->groups++] = strip->count;
}

static int rows_for(const Strip *strip, int vessels)
{
    return (vessels + strip->per_row - 1) / strip->per_row;
}

/* Class as a word and each line by itself, as far as `rows` allow; else closer together. */
static void strip_plan(const App *app, int rows, int cols, Strip *strip)
{
    const Board *board = &app->board;
    strip_order(board, strip);
    strip->name_cols = 2;
    for (int i = 0; i < board->vessel_count; i++) {
        int w = width_ofs(board->vessels[i].label.s);
        if (w > strip->name_cols)
            strip->name_cols = w < 8 ? w : 8;
    }
    for (int way = 0; way < 4; way++) {
        strip->words = way < 2;
        strip->grouped = way % 2 == 0;
        strip->width = plumbing_strip_cols(strip->name_cols, strip->words) + 1;
        strip->per_row = (cols - 1) / strip->width;
        if (strip->per_row < 1)
            strip->per_row = 1;
        strip->rows = strip->grouped ? 0 : rows_for(strip, strip->count);
        for (int g = 0; g < strip->groups && strip->grouped; g++)
            strip->rows += rows_for(strip, strip->ends[g] - (g > 0 ? strip->ends[g - 1] : 0));
        if (strip->rows <= rows)
            return;
    }
    strip->rows = rows > 1 ? rows : 1;
}

/* Vessels from..to of the order; returns the row after them. */
static int strip_draw(const App *app, const Strip *strip, int from, int to, Area area, int row)
{
    const int rows = strip->rows;
    int places = strip->per_row * rows;
    for (int i = from; i < to; i++) {
        int place = i - from, col = 1 + place % strip->per_row * strip->width;
        if (place == places - 1 && to - from > places) { /* the last place says how many more */
            area_printf(area, row + rows - 1, col, INK_KEY, "+%d: t", to - i);
            break;
        }
        plumbing_strip(app, &app->board.vessels[strip->order[i]], strip->name_cols, strip->words,
                       area_part(area, row + place / strip->per_row, col, 1, area.cols));
    }
    return row + (rows < rows_for(strip, to - from) ? rows : rows_for(strip, to - from));
}

/* Titles of the lines with their vessels under them, or all titles and then all vessels. */
static int draw_strips(const App *app, const Strip *strip, Area area)
{
    const Board *board = &app->board;
    char clock[64];
    int row = 0, from = 0;
    app_clock_text(app, true, clock);
    for (int l = 0; l < board->line_count && row < area.rows; l++) {
        plumbing_title(app, l, area, row, area.cols - (row == 0 ? width_ofs(clock) + 3 : 1));
        row++;
        if (strip->grouped)
            row = strip_draw(app, strip, from, strip->ends[l], area, row);
        from = strip->grouped ? strip->ends[l] : 0;
    }
    if (board->line_count == 0)
        area_cut(area, row++, 1, area.cols - 9, INK_TITLE, text_of("No line is coupled"));
    area_right(area, 0, area.cols - 1, INK_QUIET, text_of(clock));
    return strip_draw(app, strip, from, strip->count, area, row);
}

static void draw_condensed(const App *app, Words *words, int count, Area area)
{
    Strip strip;
    Sentences s;
    int titles = app->board.line_count > 0 ? app->board.line_count : 1;
    int room = area.rows - titles - LEAST_SENTENCES;
    strip_plan(app, room > 1 ? room : 1, area.cols, &strip);
    int row = draw_strips(app, &strip, area);
    sentences_init(&s, words, count, area.cols, false);
    if (sentences_share(&s, area.rows - row) < area.rows - row) {
        row++; /* there is room for a row of air */
        sentences_share(&s, area.rows - row);
    }
    sentences_draw(&s, area_rows(area, row, area.rows - row));
}

/* ---- the whole ---- */

/* What is wrong is said though no vessel is aboard. Returns the rows that it took. */
static int draw_alerts(const App *app, Area area)
{
    Sentences s;
    Words *words = memory_get(APP_WORDS_MAX * sizeof *words);
    int count = 0, all = app_words(app, words);
    for (int i = 0; i < all; i++)
        if (words[i].about == WORDS_ALERT || words[i].about == WORDS_NOTICE)
            words[count++] = words[i];
    sentences_init(&s, words, count, area.cols, false);
    const int rows = count > 0 ? sentences_share(&s, area.rows) : 0;
    if (rows > 0)
        sentences_draw(&s, area);
    free(words);
    return rows;
}

/* No vessel is aboard: say what there is to do. */
static void draw_empty(const App *app, Area area)
{
    const int air = area.rows > 8 ? 1 : 0, left = area.cols > 50 ? 4 : 1;
    Area inner = area_cols(area, left, area.cols - 2 * left);
    int row = area_wrap(inner, 2 * air, 0, INK_TITLE, text_of(none_aboard(&app->board))) + air;
    const int wrong = draw_alerts(app, area_rows(area, row, area.rows - row));
    row += wrong > 0 ? wrong + air : 0;
    Str text = {0};
    char key[16];
    str_addf(&text,
             "%s begins the set-up: how many vessels, of what size, in what order. a writes any "
             "single entry: begin with `vessel`, then `couple` them in their order from the air "
             "side to the tap. z takes back the latest entry.",
             press_name(SCREEN_SETUP.press, key));
    area_wrap(inner, row, 0, INK_TEXT, text_of(text.s));
    str_finish(&text);
}

/* What stands on the right of a wide sheet: plans, use and entries. */
static bool goes_right(const Words *words)
{
    return words->about == WORDS_STOP || words->about == WORDS_USE || words->about == WORDS_LAST;
}

/* Wide sheets: what is and what needs doing on the left, the rest on the right. */
static void draw_two_columns(Words *words, int count, Area area)
{
    Words *right = memory_get(APP_WORDS_MAX * sizeof *right);
    int left_count = 0, right_count = 0, half = area.cols * 5 / 9;
    for (int i = 0; i < count; i++)
        if (goes_right(&words[i]))
            right[right_count++] = words[i];
        else
            words[left_count++] = words[i];
    Sentences s;
    sentences_init(&s, words, left_count, half, true);
    sentences_share(&s, area.rows);
    sentences_draw(&s, area_cols(area, 0, half));
    sentences_init(&s, right, right_count, area.cols - half, true);
    sentences_share(&s, area.rows);
    sentences_draw(&s, area_cols(area, half, area.cols - half));
    free(right);
}

/* Rows that the facts take beside a panel: those of the longer column, the entries left out. */
static int facts_rows(const Words *words, int count, int cols)
{
    enum { MOST = 1000 };
    Words *some = memory_get(APP_WORDS_MAX * sizeof *some);
    int rows = 0;
    for (int side = 0; side < 2; side++) {
        Sentences s;
        int n = 0;
        for (int i = 0; i < count; i++)
            if (goes_right(&words[i]) == (side == 1) && words[i].about != WORDS_LAST)
                some[n++] = words[i];
        sentences_init(&s, some, n, side == 0 ? cols * 5 / 9 : cols - cols * 5 / 9, true);
        const int used = sentences_share(&s, MOST);
        rows = used > rows ? used : rows;
    }
    free(some);
    return rows;
}

/* Leaves out what a panel tells: what is due later, and on the widest sheets the entries. */
static int facts_beside_panel(Words *words, int count, int cols)
{
    int n = 0;
    for (int i = 0; i < count; i++)
        if ((words[i].about != WORDS_DUE || words[i].strong > 0) &&
            (words[i].about != WORDS_LAST || cols < WIDEST_COLS))
            words[n++] = words[i];
    return n;
}

/* Drawing, facts, and under them a panel. False where that does not fit; `words` is then as it
 * was. */
static bool draw_wide(const App *app, Words *words, int count, Area area)
{
    Plumbing plan;
    Words *facts = memory_get(APP_WORDS_MAX * sizeof *facts);
    memcpy(facts, words, (size_t)count * sizeof *facts);
    const int told = facts_beside_panel(facts, count, area.cols);
    const int rows = facts_rows(facts, told, area.cols);
    const bool fits = plumbing_plan(app, area.rows - rows - WIDE_PANEL_ROWS - 2, area.cols, &plan);
    if (fits) {
        const int below = plan.rows + 1 + rows + 1;
        plumbing_draw(app, &plan, area);
        draw_two_columns(facts, told, area_rows(area, plan.rows + 1, rows));
        wide_draw(app, area_rows(area, below, area.rows - below));
    }
    free(facts);
    return fits;
}

static void draw_full(const App *app, const Plumbing *plan, Words *words, int count, Area area)
{
    plumbing_draw(app, plan, area);
    int row = plan->rows;
    Sentences s;
    sentences_init(&s, words, count, area.cols, true);
    bool two = area.cols >= TWO_COLUMNS;
    if (two || sentences_share(&s, area.rows - row) < area.rows - row)
        row++;
    Area below = area_rows(area, row, area.rows - row);
    if (two) {
        draw_two_columns(words, count, below);
        return;
    }
    sentences_share(&s, below.rows);
    sentences_draw(&s, below);
}

/* The drawing with the sentences under it, or condensed. */
static void draw_narrow(const App *app, Words *words, int count, Area area)
{
    Sentences s;
    Plumbing plan;
    sentences_init(&s, words, count, area.cols >= TWO_COLUMNS ? area.cols * 5 / 9 : area.cols,
                   true);
    int want = sentences_want(&s), least = LEAST_SENTENCES + 1, enough = area.rows * 2 / 5;
    if (want > enough && enough >= least)
        want = enough;
    bool drawn = false;
    /* All sentences first; where the drawing then does not fit, the later ones give way to it. */
    for (int rows = want + 1; rows >= least && !drawn && area.cols >= 50; rows--)
        drawn = plumbing_plan(app, area.rows - rows, area.cols, &plan);
    if (drawn)
        draw_full(app, &plan, words, count, area);
    else
        draw_condensed(app, words, count, area);
}

static void board_draw(const App *app, Area area)
{
    if (app->board.vessel_count == 0) {
        draw_empty(app, area);
        return;
    }
    Words *words = memory_get(APP_WORDS_MAX * sizeof *words);
    int count = 0, all = app_words(app, words);
    for (int i = 0; i < all; i++) {
        /* what the drawing tells, and alerts that stand in what is due, with date and reason */
        if (words[i].about != WORDS_TAP && words[i].about != WORDS_CLASS &&
            (words[i].alert & ALERT_IN_DUE) == 0)
            words[count++] = words[i];
        else
            continue;
        Words *told = &words[count - 1];
        if ((told->about == WORDS_ALERT || told->about == WORDS_NOTICE) && told->brief[0] &&
            (told->alert & ALERT_ASKS) == 0) {
            /* t opens it */
            memcpy(told->text, told->brief, sizeof told->brief);
            told->brief[0] = '\0';
        }
    }
    if (!wide_sheet(app) || !draw_wide(app, words, count, area))
        draw_narrow(app, words, count, area);
    free(words);
}

/* The chart of a wide board has a past. */
static void board_told(App *app, Wish *wish)
{
    if (wide_sheet(app) && app->board.outlook_known)
        past_ask(app, wish);
}

/* An entry of now with its first field, which the caller gives. */
static Event *now_begin(App *app, KindId kind, Wish *wish)
{
    Event *e = app->outbox;
    event_clear(e, kind);
    e->at = app->now;
    e->zone = moment_local_zone(app->now);
    e->has = 1u;
    app->outbox_count = 1;
    wish->kind = WISH_APPEND;
    return e;
}

/* ---- a stop that is past ---- */

static bool stop_is_past(App *app)
{
    const bool is = moment_known((Moment){app->board.passed.eta});
    if (!is)
        app_say(app, INK_NOTICE, "No planned stop is past: there is nothing to put right.");
    return is;
}

static void act_refilled(App *app, int unused, Wish *wish)
{
    (void)unused;
    const Stop stop = app->board.passed;
    if (stop_is_past(app))
        app_open_refill(app, &stop, wish);
}

static void act_move(App *app, int unused, Wish *wish)
{
    (void)unused;
    if (stop_is_past(app))
        app_open_form(app, KIND_STOP, app->board.passed.label.s, wish);
}

static void act_drop(App *app, int unused, Wish *wish)
{
    (void)unused;
    if (!stop_is_past(app))
        return;
    now_begin(app, KIND_UNSTOP, wish)->u.name.name = app->board.passed.label;
}

/* ---- what was likely logged twice ---- */

static void twice_end(App *app, KindId kind, Wish *wish)
{
    const Discrepancy *twice = board_twice(&app->board);
    if (twice == NULL)
        app_say(app, INK_NOTICE, "Nothing was likely logged twice.");
    else
        now_begin(app, kind, wish)->u.entry.entry = twice->entry;
}

static void act_one(App *app, int unused, Wish *wish)
{
    (void)unused;
    twice_end(app, KIND_VOID, wish);
}

static void act_both(App *app, int unused, Wish *wish)
{
    (void)unused;
    twice_end(app, KIND_SETTLE, wish);
}

static const Action board_actions[] = {
    {'r', 0, "refilled", "a planned stop that is past: log the fills that were made there", 0,
     act_refilled, 0},
    {'m', 0, "move", "a planned stop that is past: plan it for another time", 0, act_move, 0},
    {'x', 0, "drop", "a planned stop that is past: take it out of the plan", 0, act_drop, 0},
    {'b', 0, "take back", "what was likely logged twice: take the later one back", 0, act_one, 0},
    {'y', 0, "keep both", "what was likely logged twice: both happened", 0, act_both, 0},
};

static const Sign board_signs[] = {
    {GLYPH_MARK_LEAD, "the lead: the vessel that the next draw comes out of"},
    {GLYPH_MARK_SPENT, "spent: down to its heel, air has come through"},
    {GLYPH_MARK_ASSERTED, "behind a class: on your word only, nothing measured says so"},
    {GLYPH_MARK_RAW, "behind a class: raw water, nothing logged deals with what lives in it"},
    {GLYPH_WATER_POTABLE, "potable, as logged"},
    {GLYPH_WATER_QUESTIONABLE, "questionable: boil first, or treat"},
    {GLYPH_WATER_NON_POTABLE, "non-potable: never for drinking, no treatment raises it"},
    {GLYPH_ABOUT, "expected, with what nobody logged"},
};

const Screen SCREEN_BOARD = {
    .name = "board",
    .gist = "the water system at one look",
    .press = '1',
    .actions = board_actions,
    .action_count = sizeof board_actions / sizeof *board_actions,
    .signs = board_signs,
    .sign_count = sizeof board_signs / sizeof *board_signs,
    .told = board_told,
    .draw = board_draw,
};
