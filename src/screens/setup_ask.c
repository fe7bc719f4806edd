/* The questions of the set-up, a step at a time as a form, each with its proposal: Enter takes it.
 * The entries of a step are written, all or none, with the Enter on its last question. Esc leaves;
 * what is written stays, and the set-up goes on from there another time. */
#include "model/tell.h"
#include "screens/screens.h"
#include "screens/setup.h"

typedef struct {
    Setup setup;
    bool over;                 /* no step is open */
    bool waiting;              /* for what was wished */
    bool skipped[SETUP_STEPS]; /* answered with nothing to write */
    int64_t entries;           /* in the log when the wish was made */
} AskOwn;

static AskOwn *ask_own(const App *app)
{
    return app_own(app, &SCREEN_SETUP_ASK);
}

/* The first step that is open; none is left: the board is what it was all for. */
static void step_next(App *app, AskOwn *own)
{
    int step = 0;
    while (step < SETUP_STEPS && (own->skipped[step] || setup_done(&app->state, (SetupStep)step)))
        step++;
    own->waiting = false;
    own->over = step == SETUP_STEPS;
    if (!own->over)
        setup_begin(&own->setup, (SetupStep)step, &app->state, app->units, app->now);
}

/* What was typed and not written stands there again. */
static void ask_open(App *app, Wish *wish)
{
    (void)wish;
    AskOwn *own = ask_own(app);
    own->waiting = false;
    if (own->setup.rows.count > 0 && !setup_done(&app->state, own->setup.step))
        setup_read(&own->setup, &app->state, app->now);
    else
        step_next(app, own);
}

static bool ask_keeps(const App *app)
{
    const AskOwn *own = ask_own(app);
    return !own->over && own->setup.rows.touched;
}

static void ask_told(App *app, Wish *wish)
{
    (void)wish;
    AskOwn *own = ask_own(app);
    const bool written = own->waiting && app->entries > own->entries;
    if (own->over)
        return;
    if (written || setup_done(&app->state, own->setup.step))
        step_next(app, own); /* somebody else may have answered it meanwhile */
    else
        setup_read(&own->setup, &app->state, app->now);
    if (own->over)
        app_home(app);
}

/* ---- keys ---- */

static void step_write(App *app, AskOwn *own, Wish *wish)
{
    Setup *setup = &own->setup;
    setup_read(setup, &app->state, app->now);
    if (!setup->ready) {
        if (fields_show_wrong(&setup->rows)) {
            const FormField *row = &setup->rows.fields[setup->rows.active];
            app_say(app, INK_WARNING, "%s: %s", row->caption, row->error);
        } else {
            app_say(app, INK_WARNING, "%s", setup->refusal);
        }
    } else if (setup->count == 0) {
        own->skipped[setup->step] = true;
        step_next(app, own);
        if (own->over)
            app_home(app);
    } else {
        for (int i = 0; i < setup->count; i++)
            app->outbox[i] = setup->entries[i];
        app->outbox_count = setup->count;
        own->waiting = true;
        own->entries = app->entries;
        wish->kind = WISH_APPEND;
    }
}

static void act_take_all(App *app, int unused, Wish *wish)
{
    (void)unused;
    step_write(app, ask_own(app), wish);
}

static void act_take(App *app, int unused, Wish *wish)
{
    (void)unused;
    AskOwn *own = ask_own(app);
    Setup *setup = &own->setup;
    const FormField *row = &setup->rows.fields[setup->rows.active];
    if (row->wrong) {
        app_say(app, INK_WARNING, "%s: %s", row->caption, row->error);
        return;
    }
    if (setup_asks_units(setup) && setup->units != app->units) {
        app->units = setup->units;
        wish->kind = WISH_UNITS;
    }
    if (!setup->nothing && setup->rows.active + 1 < setup->rows.count)
        fields_go(&setup->rows, setup->rows.active + 1);
    else
        step_write(app, own, wish);
}

static bool ask_key(App *app, Press press, Wish *wish)
{
    (void)wish;
    AskOwn *own = ask_own(app);
    own->waiting = false; /* it was refused, or it is answered already */
    if (!setup_key(&own->setup, press))
        return false;
    setup_read(&own->setup, &app->state, app->now);
    return true;
}

/* ---- drawing ---- */

static void setup_ask_draw_title(const App *app, const AskOwn *own, Area area)
{
    const SetupStep step = own->setup.step;
    const char *first =
        area.cols >= 76
            ? "Nothing is logged yet. A demo to look at first: Esc, q, then ullage demo."
            : "Demo first? Esc, q, then ullage demo.";
    int col = area_printf(area, 0, 1, INK_TITLE, "set-up: %s", setup_step_name(step));
    area_printf(area, 0, col + 2, INK_QUIET, area.cols >= 60 ? "step %d of %d" : "%d of %d",
                step + 1, SETUP_STEPS);
    if (app->entries == 0)
        area_cut(area, 1, 1, area.cols - 2, INK_NOTICE, text_of(first));
    else
        area_cut(
            area, 1, 1, area.cols - 2, INK_QUIET,
            text_of(area.cols >= 76
                        ? "Enter takes what stands there: one for all, or one each with commas."
                        : "One for all, or one each with commas."));
}

/* What the answers would write, or why they can't be. */
static void draw_entries(const App *app, const Setup *setup, Area area)
{
    if (setup->refusal[0]) {
        area_puts(area, 0, 1, INK_ERROR, "!");
        area_wrap(area_cols(area, 0, area.cols - 1), 0, 3, INK_ERROR, text_of(setup->refusal));
        return;
    }
    if (!setup->ready || area.rows < 2)
        return;
    area_puts(area, 0, 1, INK_TITLE,
              setup->count > 0 ? "This would write" : "This would write nothing");
    for (int i = 0; i < setup->count && i + 1 < area.rows; i++) {
        Str line = {0};
        const int more = setup->count - i;
        if (i + 2 == area.rows && more > 1)
            str_addf(&line, "and %d more", more);
        else
            event_tell(&setup->entries[i], app->units, false, &line);
        area_cut(area, i + 1, 3, area.cols - 4, INK_CHANGE, text_of(line.s));
        str_finish(&line);
    }
}

static void ask_draw(const App *app, Area area)
{
    const AskOwn *own = ask_own(app);
    if (own->over)
        return;
    const int head = 2, airy = area.rows >= 16 ? 1 : 0, below = area.rows >= 16 ? 5 : 2;
    const Area rows = area_rows(area, head + airy, area.rows - head - airy - below);
    const Fields *fields = &own->setup.rows;
    setup_ask_draw_title(app, own, area);
    (void)fields_draw_place(fields, fields_shown(fields, rows), area);
    const int row = rows.row - area.row + fields_draw(fields, rows) + airy;
    draw_entries(app, &own->setup, area_rows(area, row, area.rows - row));
}

static const Action setup_ask_actions[] = {
    {PRESS_ENTER, 0, "take it",
     "take the answer; on the last one of a step its entries are written", 1, act_take, 0},
    {PRESS_ESC, 0, "leave",
     "leave; what is written stays, what is typed stands there the next time", 2, NULL, 0},
    {PRESS_PAGE_DOWN, 0, "take all", "take all that stands there: the step's entries are written",
     3, act_take_all, 0},
    {PRESS_TAB, PRESS_DOWN, "next",
     "the next question of this step; Shift-Tab or Up: the one before", 4, NULL, 0},
    {PRESS_RIGHT, PRESS_LEFT, "choose", "go through the words that an answer can be", 5, NULL, 0},
    {PRESS_CTRL('U'), 0, "proposal", "empty the answer: the proposal counts again", 0, NULL, 0},
};

const Screen SCREEN_SETUP_ASK = {
    .name = "set-up questions",
    .gist = "what the program has to know, a proposal for each answer",
    .typed = true,
    .actions = setup_ask_actions,
    .action_count = sizeof setup_ask_actions / sizeof *setup_ask_actions,
    .own_size = sizeof(AskOwn),
    .open = ask_open,
    .keeps = ask_keeps,
    .told = ask_told,
    .draw = ask_draw,
    .key = ask_key,
};
