/* The questions of the set-up, one under the other, each with its proposal: Enter takes it. The
 * entries of a step are written, all or none, with the Enter on its last question. Esc leaves; what
 * is written stays, and the set-up goes on from there another time. */
#include "paint/width.h"
#include "screens/setup.h"
#include "tui/app.h"

#include <stdio.h>
#include <string.h>

typedef struct {
    Setup setup;
    Ask ask;                   /* the question that the cursor is on; ASK_END: none is left */
    bool waiting;              /* for it */
    bool skipped[SETUP_STEPS]; /* answered with nothing to write */
    int64_t entries;           /* in the log when the wish was made */
} AskOwn;

extern const Screen SCREEN_SETUP_ASK;

static AskOwn *ask_own(const App *app)
{
    return app_own(app, &SCREEN_SETUP_ASK);
}

static bool step_open(const AskOwn *own, const State *state, SetupStep step)
{
    return !own->skipped[step] && !setup_done(state, step);
}

/* The first question of the first step that is open; ASK_END where all are behind. */
static Ask first_open(const AskOwn *own, const State *state)
{
    for (int i = 0; i < ASK_END; i++) {
        if (own->setup.answer[i].applies && step_open(own, state, setup_step_of((Ask)i)))
            return (Ask)i;
    }
    return ASK_END;
}

static void ask_open(App *app, Wish *wish)
{
    (void)wish;
    AskOwn *own = ask_own(app);
    setup_begin(&own->setup, &app->state, app->units);
    own->ask = first_open(own, &app->state);
}

static void ask_go_on(App *app, AskOwn *own)
{
    own->ask = first_open(own, &app->state);
    if (own->ask == ASK_END)
        app_home(app); /* the board is what it was all for */
}

static void ask_told(App *app, Wish *wish)
{
    (void)wish;
    AskOwn *own = ask_own(app);
    setup_read(&own->setup, &app->state);
    if (own->waiting && app->entries > own->entries) {
        own->waiting = false;
        ask_go_on(app, own);
    } else if (own->ask != ASK_END && !own->setup.answer[own->ask].applies) {
        own->ask = first_open(own, &app->state); /* somebody else answered it meanwhile */
    }
}

/* ---- keys ---- */

static void say_wrong(App *app, AskOwn *own, Ask ask)
{
    char caption[SETUP_TEXT];
    own->ask = ask;
    app_say(app, INK_WARNING, "%s: %s", setup_caption(&own->setup, ask, caption),
            own->setup.answer[ask].error);
}

static void step_write(App *app, AskOwn *own, SetupStep step, Wish *wish)
{
    Ask wrong = setup_wrong(&own->setup, step);
    if (wrong != ASK_END) {
        say_wrong(app, own, wrong);
        return;
    }
    app->outbox_count = setup_entries(&own->setup, step, app->now, app->outbox);
    if (app->outbox_count == 0) {
        own->skipped[step] = true;
        ask_go_on(app, own);
        return;
    }
    own->waiting = true;
    own->entries = app->entries;
    wish->kind = WISH_APPEND;
}

static void act_take(App *app, int unused, Wish *wish)
{
    (void)unused;
    AskOwn *own = ask_own(app);
    if (own->ask == ASK_END) {
        app_home(app);
        return;
    }
    if (own->setup.answer[own->ask].error[0]) {
        say_wrong(app, own, own->ask);
        return;
    }
    Ask next = setup_next(&own->setup, own->ask, 1);
    SetupStep step = setup_step_of(own->ask);
    if (own->ask == ASK_UNITS && own->setup.units != app->units) {
        app->units = own->setup.units;
        wish->kind = WISH_UNITS;
    }
    if (next != ASK_END && setup_step_of(next) == step)
        own->ask = next;
    else
        step_write(app, own, step, wish);
}

/* Up and down stay inside the step: what lies before it is written. */
static void act_move(App *app, int step, Wish *wish)
{
    (void)wish;
    AskOwn *own = ask_own(app);
    if (own->ask == ASK_END)
        return;
    Ask next = setup_next(&own->setup, own->ask, step);
    if (next != ASK_END && setup_step_of(next) == setup_step_of(own->ask))
        own->ask = next;
}

static void act_clear(App *app, int unused, Wish *wish)
{
    (void)unused;
    (void)wish;
    AskOwn *own = ask_own(app);
    if (own->ask != ASK_END)
        own->setup.answer[own->ask].text[0] = '\0';
    setup_read(&own->setup, &app->state);
}

static void choose(AskOwn *own, int step)
{
    const char *const *words = setup_choices(own->ask);
    int count = 0, at = 0;
    for (; words[count] != NULL; count++) {
        if (strcmp(words[count], setup_value(&own->setup, own->ask)) == 0)
            at = count;
    }
    at += step;
    at = at < 0 ? count - 1 : at >= count ? 0 : at;
    snprintf(own->setup.answer[own->ask].text, SETUP_TEXT, "%s", words[at]);
}

static bool ask_key(App *app, Press press, Wish *wish)
{
    (void)wish;
    AskOwn *own = ask_own(app);
    own->waiting = false; /* it was refused, or it is answered already */
    if (own->ask == ASK_END)
        return false;
    char *text = own->setup.answer[own->ask].text;
    size_t n = strlen(text);
    if ((press == PRESS_LEFT || press == PRESS_RIGHT) && setup_choices(own->ask)) {
        choose(own, press == PRESS_RIGHT ? 1 : -1);
    } else if (press == PRESS_BACKSPACE) {
        while (n > 0 && ((unsigned char)text[n - 1] & 0xc0u) == 0x80u)
            n--;
        text[n > 0 ? n - 1 : 0] = '\0';
    } else if (press_is_text(press)) {
        char bytes[5];
        size_t more = press_utf8(press, bytes);
        if (n + more < SETUP_TEXT)
            memcpy(text + n, bytes, more + 1);
    } else {
        return false;
    }
    setup_read(&own->setup, &app->state);
    return true;
}

/* ---- drawing ---- */

/* A row of the list: a question, or the name of a step. */
typedef struct {
    bool step;
    int which;
} Row;

static int rows_of(const App *app, const AskOwn *own, Row out[ASK_END + SETUP_STEPS])
{
    int n = 0, last = -1;
    for (int i = 0; i < ASK_END; i++) {
        int step = (int)setup_step_of((Ask)i);
        if (step != last)
            out[n++] = (Row){true, step};
        last = step;
        if (own->setup.answer[i].applies && step_open(own, &app->state, (SetupStep)step))
            out[n++] = (Row){false, i};
    }
    return n;
}

static void draw_step(const App *app, const AskOwn *own, Sheet *sheet, Area area, int row, int step)
{
    char name[40];
    snprintf(name, sizeof name, "%d %s", step + 1, setup_step_name((SetupStep)step));
    bool now = own->ask != ASK_END && (int)setup_step_of(own->ask) == step;
    int col = sheet_puts(sheet, area, row, 1, now ? INK_STRONG : INK_QUIET, name);
    if (setup_done(&app->state, (SetupStep)step))
        sheet_puts(sheet, area, row, col, INK_GOOD, ": done");
    else if (own->skipped[step])
        sheet_puts(sheet, area, row, col, INK_QUIET, ": left out");
}

static void draw_question(const App *app, const AskOwn *own, Sheet *sheet, Area area, int row,
                          Ask ask)
{
    char caption[SETUP_TEXT];
    const Answer *a = &own->setup.answer[ask];
    bool here = ask == own->ask;
    int wide = area.cols >= 64 ? 30 : area.cols / 2 - 3;
    int col = wide + 5, room = area.cols - col - 1;
    if (here)
        sheet_glyph(sheet, area, row, 1, app->alphabet, INK_LEAD, GLYPH_CURSOR);
    sheet_cut(sheet, area, row, 3, wide, app->alphabet, here ? INK_STRONG : INK_CAPTION,
              text_of(setup_caption(&own->setup, ask, caption)));
    Ink ink = a->text[0] ? INK_FIELD : INK_PROPOSAL;
    if (here) {
        sheet_fill(sheet, area, row, col, 1, room, INK_ACTIVE, " ");
        ink = a->text[0] ? INK_ACTIVE : INK_PROPOSAL;
    }
    const char *value = setup_value(&own->setup, ask);
    Text shown = text_of(value);
    while (here && a->text[0] && width_of(shown) > room - 1 && shown.n > 0) {
        size_t at = 0; /* while typing, the end is what has to be seen */
        text_next(shown, &at);
        shown = text_slice(shown.s + at, shown.n - at);
    }
    if (shown.s != value)
        sheet_glyph(sheet, area, row, col - 1, app->alphabet, INK_QUIET, GLYPH_CUT);
    if (value[0])
        sheet_cut(sheet, area, row, col, room, app->alphabet, ink, shown);
    else
        sheet_cut(sheet, area, row, col, room, app->alphabet, INK_QUIET, text_of("(left out)"));
    if (here)
        sheet_cursor(sheet, area, row, col + (a->text[0] ? width_of(shown) : 0));
    if (a->error[0])
        sheet_puts(sheet, area, row, area.cols - 2, INK_ERROR, "!");
}

/* What is asked, in full, and what is wrong with the answer, or what it would write. */
static void draw_help(const App *app, const AskOwn *own, Sheet *sheet, Area area)
{
    char caption[SETUP_TEXT];
    Str text = {0};
    if (own->ask == ASK_END)
        return;
    const Answer *a = &own->setup.answer[own->ask];
    for (int i = 0; i < area.cols; i++)
        sheet_glyph(sheet, area, 0, i, app->alphabet, INK_RULE, GLYPH_RULE);
    if (a->error[0])
        str_addf(&text, "%s", a->error);
    else
        str_addf(&text, "%s: %s", setup_caption(&own->setup, own->ask, caption),
                 setup_help(own->ask));
    sheet_wrap(sheet, area_cols(area, 0, area.cols - 1), 1, 1, app->alphabet,
               a->error[0] ? INK_ERROR : INK_TEXT, text_of(text.s));
    str_finish(&text);
}

static void draw_title(const AskOwn *own, Sheet *sheet, Area area)
{
    char place[48] = "";
    if (own->ask != ASK_END)
        snprintf(place, sizeof place, "step %d of %d", (int)setup_step_of(own->ask) + 1,
                 SETUP_STEPS);
    int col = sheet_puts(sheet, area, 0, 1, INK_TITLE, "set-up");
    if (area.cols >= 70)
        sheet_puts(sheet, area, 0, col + 2, INK_QUIET,
                   "Enter takes what stands there; type to change it.");
    sheet_right(sheet, area, 0, area.cols - 1, INK_QUIET, text_of(place));
}

/* On the first start a look at the demo is offered. Returns the row after it. */
static int draw_demo_first(const App *app, Sheet *sheet, Area area, int row)
{
    if (app->entries > 0 || area.rows < 9)
        return row;
    sheet_cut(
        sheet, area, row, 1, area.cols - 2, app->alphabet, INK_NOTICE,
        text_of(area.cols >= 76
                    ? "Nothing is logged yet. A demo to look at first: Esc, q, then ullage demo."
                    : "Demo first? Esc, q, then ullage demo."));
    return row + 1;
}

static void ask_draw(const App *app, Sheet *sheet, Area area)
{
    const AskOwn *own = ask_own(app);
    Row rows[ASK_END + SETUP_STEPS];
    int count = rows_of(app, own, rows), cursor = 0;
    for (int i = 0; i < count; i++) {
        if (!rows[i].step && (Ask)rows[i].which == own->ask)
            cursor = i;
    }
    draw_title(own, sheet, area);
    int first = draw_demo_first(app, sheet, area, 1);
    int help = area.rows >= 9 ? 4 : 3;
    if (area.cols < 60 && area.rows >= 10)
        help = 5;
    int room = area.rows - first - help;
    if (room < 1)
        room = 1;
    int top = cursor - room / 2;
    if (top > count - room)
        top = count - room;
    if (top < 0)
        top = 0;
    for (int i = top; i < count && i < top + room; i++) {
        int row = first + i - top;
        if (rows[i].step)
            draw_step(app, own, sheet, area, row, rows[i].which);
        else
            draw_question(app, own, sheet, area, row, (Ask)rows[i].which);
    }
    if (top > 0)
        sheet_glyph(sheet, area, first, area.cols - 1, app->alphabet, INK_QUIET, GLYPH_UP);
    if (top + room < count)
        sheet_glyph(sheet, area, first + room - 1, area.cols - 1, app->alphabet, INK_QUIET,
                    GLYPH_DOWN);
    draw_help(app, own, sheet, area_rows(area, area.rows - help, help));
}

static const Action ACTIONS[] = {
    {PRESS_ENTER, 0, "take it",
     "take the answer; on the last one of a step its entries are written", 1, act_take, 0},
    {PRESS_ESC, 0, "leave", "leave; what is written stays, the rest is asked another time", 2, NULL,
     0},
    {PRESS_TAB, PRESS_DOWN, "next", "the next question of this step", 3, act_move, 1},
    {PRESS_BACKTAB, PRESS_UP, "before", "the question before", 4, act_move, -1},
    {PRESS_RIGHT, PRESS_LEFT, "choose", "go through the words that an answer can be", 5, NULL, 0},
    {PRESS_CTRL('U'), 0, "proposal", "empty the answer: the proposal counts again", 0, act_clear,
     0},
};

const Screen SCREEN_SETUP_ASK = {
    .name = "set-up questions",
    .gist = "what the program has to know, a proposal for each answer",
    .typed = true,
    .actions = ACTIONS,
    .action_count = sizeof ACTIONS / sizeof *ACTIONS,
    .own_size = sizeof(AskOwn),
    .open = ask_open,
    .told = ask_told,
    .draw = ask_draw,
    .key = ask_key,
};
