/* Service: what each stage has left and when it is due, the spares, the flow at the tap, what is to
 * be sanitised. */
#include "base/memory.h"
#include "paint/width.h"
#include "screens/screens.h"
#include "tui/pane.h"

#include "outlook/service.h"
#include "outlook/words.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { HEADS = 2, HEADS_SHORT = 1, SHORT = 14, SERVICE_PLACE_COLS = 17, BAR_COLS = 10 };

typedef struct {
    Pane pane;
    Label chosen;
} ServiceOwn;

static ServiceOwn *service_own(const App *app)
{
    return app_own(app, &SCREEN_SERVICE);
}

static bool stage_sooner(const BoardStage *a, const BoardStage *b)
{
    if (a->state != b->state)
        return a->state > b->state;
    return moment_known(a->due) && (!moment_known(b->due) || a->due.ms < b->due.ms);
}

/* The one that is due first stands first; without a date last, by name. */
static int service_order(const Board *board, const BoardStage *out[STAGES_MAX])
{
    for (int i = 0; i < board->stage_count; i++) {
        int at = i;
        for (; at > 0 && stage_sooner(&board->stages[i], out[at - 1]); at--)
            out[at] = out[at - 1];
        out[at] = &board->stages[i];
    }
    return board->stage_count;
}

static const BoardStage *service_chosen(const App *app, const ServiceOwn *own)
{
    const BoardStage *order[STAGES_MAX];
    int at = own->pane.list.cursor;
    return at < service_order(&app->board, order) ? order[at] : NULL;
}

/* ---- words ---- */

static Ink spares_words(const App *app, const BoardStage *s, char *out, size_t size)
{
    if (s->spares < 0) {
        snprintf(out, size, "spares not said");
        return INK_QUIET;
    }
    if (s->spares > 0) {
        snprintf(out, size, "%lld spare%s", (long long)s->spares, s->spares == 1 ? "" : "s");
        return INK_TEXT;
    }
    bool loud = s->state != SERVICE_OK;
    snprintf(out, size, "%s %s",
             glyph(app->alphabet, loud ? GLYPH_MARK_WARNING : GLYPH_MARK_CAUTION),
             loud ? "NO SPARE ABOARD" : "no spare");
    return loud ? INK_WARNING : INK_CAUTION;
}

/* "ok 6 Jan", "soon 1 Dec", "due now", "life?"; put off: "soon, to 5 Dec". */
static void due_words(const App *app, const BoardStage *s, char *out, size_t size)
{
    char day[64];
    if (moment_known(s->put_off))
        snprintf(out, size, "%s, to %s", service_state_name(s->state),
                 pane_day(app, s->put_off, day)); /* put off, whatever it is */
    else if (s->state == SERVICE_DUE)
        snprintf(out, size, "due now");
    else if (s->because == BECAUSE_CLOGGING || !moment_known(s->due))
        snprintf(out, size, "%s", stage_stands(s));
    else
        snprintf(out, size, "%s %s", service_state_name(s->state), pane_day(app, s->due, day));
}

static void fact_limits(const App *app, const Stage *stage, Facts *facts)
{
    char used[64], of[64], left[64];
    if (stage->life_ml > 0) {
        int64_t rest = stage->life_ml - stage->through_ml;
        app_volume_bare(app, stage->through_ml, used);
        app_volume(app, stage->life_ml, of);
        if (rest >= 0)
            facts_add(facts, "litres", INK_TEXT, "%s of %s are through, %s left", used, of,
                      app_volume(app, rest, left));
        else
            facts_add(facts, "litres", INK_WARNING, "%s of %s are through: %s past its life", used,
                      of, app_volume(app, -rest, left));
    } else {
        facts_add(facts, "litres", INK_TEXT, "%s are through; no litres of life given",
                  app_volume(app, stage->through_ml, used));
    }
    if (stage->life_days > 0) {
        long long gone = (long long)service_days_until((Moment){stage->fitted_at}, app->now);
        long long rest = (long long)stage->life_days - gone;
        facts_add(facts, "days", rest < 0 ? INK_WARNING : INK_TEXT,
                  rest < 0 ? "%lld of %lld are gone: %lld past its life"
                           : "%lld of %lld are gone, %lld left",
                  gone, (long long)stage->life_days, rest < 0 ? -rest : rest);
    }
    if (stage->life_ms > 0) {
        long long gone = (long long)(stage_lamp_ms(stage, app->now.ms) / MS_PER_HOUR);
        long long life = (long long)(stage->life_ms / MS_PER_HOUR), rest = life - gone;
        facts_add(facts, "lamp", rest < 0 ? INK_WARNING : INK_TEXT,
                  rest < 0 ? "%lld of %lld h are burnt: %lld h past its life (%s)"
                           : "%lld of %lld h are burnt, %lld h left (%s)",
                  gone, life, rest < 0 ? -rest : rest,
                  stage->lamp == LAMP_ALWAYS ? "it burns always"
                  : stage->rated_ml_min > 0  ? "it burns while water runs"
                                             : "counted as always: no rated flow given");
    }
}

static void fact_due(const App *app, const BoardStage *s, Facts *facts)
{
    char date[64], when[64], early[64], late[64];
    const char *because = because_name(s->because);
    Ink ink = s->state == SERVICE_OK ? INK_TEXT : ink_of_service(s->state);
    const char *mark = s->state == SERVICE_DUE    ? glyph(app->alphabet, GLYPH_MARK_WARNING)
                       : s->state == SERVICE_SOON ? glyph(app->alphabet, GLYPH_MARK_CAUTION)
                                                  : "";
    if (s->state != SERVICE_OK && s->because == BECAUSE_CLOGGING)
        facts_add(facts, "due", ink, "%s soon, by clogging: the flow fell by more than a third",
                  mark);
    else if (s->state == SERVICE_DUE)
        facts_add(facts, "due", ink, "%s now, by %s: swap it with w", mark,
                  because != NULL ? because : "age");
    else if (moment_known(s->due))
        facts_add(facts, "due", ink, "%s%s%s, %s, by %s", mark, *mark ? " " : "",
                  app_date(app, s->due, date), pane_when(app, s->due, when),
                  because != NULL ? because : "age");
    else
        facts_add(facts, "due", INK_TEXT, "%s",
                  s->life_left < 0 ? "no life was given: m amends the stage"
                                   : "no date: not at this rate of use");
    if (s->state == SERVICE_DUE || !moment_known(s->due_early) || s->due_early.ms == s->due.ms)
        return;
    pane_day(app, s->due_early, early);
    snprintf(late, sizeof late, "much later");
    if (moment_known(s->due_late))
        pane_day(app, s->due_late, late);
    const bool one = strcmp(early, late) == 0;
    facts_add(facts, "", INK_BAND, "%s%s %s%s%s%s%s, 8 times in 10",
              s->because == BECAUSE_CLOGGING ? "its life ends " : "",
              glyph(app->alphabet, GLYPH_ABOUT), early, one ? "" : " ",
              one ? "" : glyph(app->alphabet, GLYPH_TO), one ? "" : " ", one ? "" : late);
}

static void stage_facts(const App *app, const BoardStage *s, bool named, Facts *facts)
{
    char text[64], when[64];
    const Stage *stage = &app->state.stages[s->slot];
    if (named)
        facts_add(facts, "stage", INK_STRONG, "%s", s->label.s);
    if (label_empty(&s->line))
        facts_add(facts, "type", INK_TEXT, "%s, on no line", stage_type_name(s->type));
    else
        facts_add(facts, "type", INK_TEXT, "%s, %d on the line %s%s", stage_type_name(s->type),
                  (int)stage->position, s->line.s, stage->purifying ? "; declared purifying" : "");
    facts_add(facts, "fitted", INK_TEXT, "%s, %s", app_date(app, s->fitted, text),
              pane_when(app, s->fitted, when));
    fact_limits(app, stage, facts);
    fact_due(app, s, facts);
    Ink ink = spares_words(app, s, text, sizeof text);
    facts_add(facts, "spares", ink, "%s%s", s->spares < 0 ? "not said" : text,
              s->spares == 0  ? s->state == SERVICE_OK ? " aboard: get one before it is due"
                                                       : ": get one now, p sets the count"
              : s->spares < 0 ? ": p sets the count"
                              : " aboard");
    facts_add(
        facts, "caution", INK_CAUTION, "%s %s", glyph(app->alphabet, GLYPH_MARK_CAUTION),
        s->type == STAGE_UV
            ? "Unplug the lamp before it is touched; vent the line before its housing is opened."
            : "Vent the line before the housing is opened.");
}

static void flow_words(const App *app, int64_t ml_min, char *out, size_t size)
{
    char text[64];
    snprintf(out, size, "%s a minute", app_volume(app, ml_min, text));
}

static void flow_facts(const App *app, Facts *facts)
{
    char last[96], base[96], day[64], first[64];
    for (int i = 0; i < app->board.line_count; i++) {
        const BoardLine *line = &app->board.lines[i];
        const Line *at = &app->state.lines[line->slot];
        const char *caption = i == 0 ? "flow" : "";
        if (at->flow_last_ml_min < 0) {
            facts_add(facts, caption, INK_QUIET,
                      "%s: no test is logged; r times a known volume at the tap", line->label.s);
            continue;
        }
        flow_words(app, at->flow_last_ml_min, last, sizeof last);
        pane_day(app, (Moment){at->flow_last_at}, day);
        if (at->flow_base_ml_min < 0) {
            facts_add(facts, caption, INK_TEXT,
                      "%s: %s on %s, before the last swap; r tests it with the new one",
                      line->label.s, last, day);
            continue;
        }
        flow_words(app, at->flow_base_ml_min, base, sizeof base);
        if (at->flow_last_at == at->flow_base_at) {
            facts_add(facts, caption, INK_TEXT, "%s: %s on %s, the first test since the last swap",
                      line->label.s, last, day);
            continue;
        }
        facts_add(facts, caption, INK_TEXT, "%s: %s on %s, %.0f %% of that after the last swap",
                  line->label.s, last, day,
                  100.0 * (double)at->flow_last_ml_min / (double)at->flow_base_ml_min);
        facts_add(facts, "", INK_QUIET, "then %s, on %s", base,
                  pane_day(app, (Moment){at->flow_base_at}, first));
        if (line->flow_fell)
            facts_add(facts, "", INK_CAUTION,
                      "%s more than a third less at the same pressure: it clogs",
                      glyph(app->alphabet, GLYPH_MARK_CAUTION));
    }
}

/* Vessels by the date at which they are to be sanitised, soonest first. */
static int sanitise_order(const Board *board, int out[VESSELS_ABOARD_MAX])
{
    int count = 0;
    for (int i = 0; i < board->vessel_count; i++) {
        if (!moment_known(board->vessels[i].sanitise_due))
            continue;
        int at = count++;
        for (; at > 0 &&
               board->vessels[out[at - 1]].sanitise_due.ms > board->vessels[i].sanitise_due.ms;
             at--)
            out[at] = out[at - 1];
        out[at] = i;
    }
    return count;
}

static void sanitise_facts(const App *app, Facts *facts)
{
    const Board *board = &app->board;
    int order[VESSELS_ABOARD_MAX], count = sanitise_order(board, order);
    char date[64], when[64];
    const char *caption = "sanitise";
    for (int i = 0; i < count;) { /* those of one day together */
        const BoardVessel *first = &board->vessels[order[i]];
        bool soon = service_days_until(app->now, first->sanitise_due) <= board->lead_days;
        bool due = first->sanitise_due.ms <= app->now.ms;
        int64_t day = moment_local_day(first->sanitise_due);
        Str names = {0};
        for (; i < count && moment_local_day(board->vessels[order[i]].sanitise_due) == day; i++)
            str_addf(&names, "%s%s", names.n ? ", " : "", board->vessels[order[i]].label.s);
        facts_add(facts, caption,
                  due    ? INK_WARNING
                  : soon ? INK_CAUTION
                         : INK_TEXT,
                  "%s%s: %s, %s",
                  due    ? glyph(app->alphabet, GLYPH_MARK_WARNING)
                  : soon ? glyph(app->alphabet, GLYPH_MARK_CAUTION)
                         : "",
                  names.s, app_date(app, first->sanitise_due, date),
                  pane_when(app, first->sanitise_due, when));
        str_finish(&names);
        caption = "";
    }
    Str never = {0};
    for (int i = 0; i < board->vessel_count; i++) {
        const BoardVessel *v = &board->vessels[i];
        if (!v->washes && !moment_known(v->sanitised))
            str_addf(&never, "%s%s", never.n ? ", " : "", v->label.s);
    }
    if (never.n)
        facts_add(facts, caption, INK_CAUTION, "%s never logged: %s",
                  glyph(app->alphabet, GLYPH_MARK_CAUTION), never.s);
    str_finish(&never);
}

static void service_facts(const App *app, const ServiceOwn *own, Facts *facts)
{
    const BoardStage *s = service_chosen(app, own);
    if (s != NULL)
        stage_facts(app, s, own->pane.closer, facts);
    flow_facts(app, facts);
    sanitise_facts(app, facts);
}

/* ---- being told, keys ---- */

static void service_told(App *app, Wish *wish)
{
    (void)wish;
    ServiceOwn *own = service_own(app);
    const BoardStage *order[STAGES_MAX];
    int count = service_order(&app->board, order);
    list_set_count(&own->pane.list, count);
    for (int i = 0; i < count; i++)
        if (label_equal(&order[i]->label, &own->chosen))
            own->pane.list.cursor = i;
}

/* Opens on the stage that is most due. */
static void service_open(App *app, Wish *wish)
{
    ServiceOwn *own = service_own(app);
    DueItem *items = app->board.stage_count ? memory_get(DUE_MAX * sizeof *items) : NULL;
    int count = items != NULL ? board_due(&app->board, items) : 0;
    for (int i = 0; i < count && label_empty(&own->chosen); i++)
        if (state_stage(&app->state, &items[i].about) >= 0)
            own->chosen = items[i].about;
    free(items);
    service_told(app, wish);
}

static bool service_key(App *app, Press press, Wish *wish)
{
    (void)wish;
    ServiceOwn *own = service_own(app);
    Facts facts = {0};
    service_facts(app, own, &facts);
    int lines = facts_lines(&facts, pane_facts_cols(&own->pane, app->cols));
    facts_finish(&facts);
    if (!pane_key(&own->pane, press, lines, app_body(app).rows - HEADS_SHORT))
        return false;
    const BoardStage *s = service_chosen(app, own);
    if (s != NULL)
        own->chosen = s->label;
    return true;
}

static void act_about(App *app, int kind, Wish *wish)
{
    const BoardStage *s = service_chosen(app, service_own(app));
    char label[LABEL_SIZE] = "";
    if (s != NULL && kind == KIND_FLOWTEST)
        snprintf(label, sizeof label, "%s", s->line.s);
    else if (s != NULL)
        snprintf(label, sizeof label, "%s", s->label.s);
    app_open_form(app, (KindId)kind, label, wish);
}

static void act_new(App *app, int kind, Wish *wish)
{
    app_open_form(app, (KindId)kind, "", wish);
}

static void act_sanitise(App *app, int unused, Wish *wish)
{
    (void)unused;
    int order[VESSELS_ABOARD_MAX];
    char label[LABEL_SIZE] = "";
    if (sanitise_order(&app->board, order) > 0)
        snprintf(label, sizeof label, "%s", app->board.vessels[order[0]].label.s);
    app_open_form(app, KIND_SANITISE, label, wish);
}

/* ---- drawing ---- */

static void draw_life(const App *app, const BoardStage *s, Area area, int row, int col)
{
    int eighths = s->life_left < 0 ? 0 : (int)(s->life_left * BAR_COLS * 8 + 0.5);
    for (int i = 0; i < BAR_COLS; i++, eighths -= 8)
        if (eighths > 0)
            area_puts(area, row, col + i, INK_LIFE, pane_bar(app, eighths));
        else
            area_glyph(area, row, col + i, INK_QUIET, GLYPH_BAR_EMPTY);
}

static void life_words(const BoardStage *s, char out[8])
{
    if (!*service_life_text(s->life_left, out))
        memcpy(out, "-", 2);
}

static void service_draw_wide(const App *app, const BoardStage *s, Area area, int row)
{
    char life[8], text[96];
    const char *because = because_name(s->because);
    life_words(s, life);
    area_cut(area, row, 3, 12, INK_STRONG, text_of(s->label.s));
    draw_life(app, s, area, row, 16);
    area_right(area, row, 32, INK_TEXT, text_of(life));
    due_words(app, s, text, sizeof text);
    area_cut(area, row, 33, 14, ink_of_service(s->state), text_of(text));
    if (because != NULL)
        area_printf(area, row, 48, INK_TEXT, "by %s", because);
    Ink ink = spares_words(app, s, text, sizeof text);
    area_cut(area, row, 62, 17, ink, text_of(text));
}

static void service_draw_narrow(const App *app, const BoardStage *s, Area area, int row)
{
    char life[8], text[64];
    life_words(s, life);
    area_cut(area, row, 3, 9, INK_STRONG, text_of(s->label.s));
    area_right(area, row, 17, INK_TEXT, text_of(life));
    due_words(app, s, text, sizeof text);
    area_cut(area, row, 18, area.cols < 31 ? area.cols - 19 : 12, ink_of_service(s->state),
             text_of(text));
    if (s->spares == 0)
        area_printf(
            area, row, 31, s->state == SERVICE_OK ? INK_CAUTION : INK_WARNING, "%s%s",
            glyph(app->alphabet, s->state == SERVICE_OK ? GLYPH_MARK_CAUTION : GLYPH_MARK_WARNING),
            s->state == SERVICE_OK ? "none" : "NONE");
    else if (s->spares > 0)
        area_printf(area, row, 32, INK_TEXT, "%lld", (long long)s->spares);
    else
        area_puts(area, row, 32, INK_QUIET, "?");
}

static void draw_heads(Area area, bool wide)
{
    area_puts(area, 1, 3, INK_CAPTION, "stage");
    if (wide) {
        area_puts(area, 1, 16, INK_CAPTION, "life left");
        area_puts(area, 1, 33, INK_CAPTION, "due");
        area_puts(area, 1, 48, INK_CAPTION, "why");
        area_puts(area, 1, 62, INK_CAPTION, "spares");
    } else {
        area_right(area, 1, 17, INK_CAPTION, text_of("life"));
        area_puts(area, 1, 18, INK_CAPTION, "due");
        area_puts(area, 1, 31, INK_CAPTION, "spares");
    }
}

static void service_draw_list(const App *app, const ServiceOwn *own, Area area, bool wide)
{
    int top = list_top(&own->pane.list, area.rows);
    const BoardStage *order[STAGES_MAX];
    int count = service_order(&app->board, order);
    for (int row = 0; row < area.rows && top + row < count; row++) {
        const BoardStage *s = order[top + row];
        if (wide)
            service_draw_wide(app, s, area, row);
        else
            service_draw_narrow(app, s, area, row);
        if (top + row == own->pane.list.cursor)
            pane_cursor(area, row);
    }
    if (count == 0)
        area_wrap(area_cols(area, 0, area.cols - 1), 0, 3, INK_QUIET,
                  text_of("No stage is named yet: n names a cartridge or a lamp."));
}

/* Where there is room below the list: all that is due, stages and vessels, soonest first. */
static void draw_due(const App *app, Area area)
{
    char day[64];
    DueItem *items = memory_get(DUE_MAX * sizeof *items);
    int count = board_due(&app->board, items);
    if (area.rows >= 3 && count > 0) {
        area_puts(area, 0, 3, INK_CAPTION, "all that is due, soonest first");
        for (int i = 0; i < count && i + 1 < area.rows; i++) {
            const DueItem *item = &items[i];
            if (i + 2 == area.rows && i + 1 < count) {
                area_printf(area, i + 1, 3, INK_QUIET, "and %d more", count - i);
                break;
            }
            area_puts(area, i + 1, 3, ink_of_service(item->state), service_state_name(item->state));
            area_puts(area, i + 1, 9, INK_TEXT,
                      moment_known(item->at) ? pane_day(app, item->at, day) : "now");
            int col = area_cut(area, i + 1, 19, 34, INK_STRONG, text_of(item->what));
            area_cut(area, i + 1, col + 2, area.cols - col - 3, INK_QUIET, text_of(item->why));
        }
    }
    free(items);
}

static void service_gist(const App *app, char *out, size_t size)
{
    int due = 0, soon = 0, unknown = 0;
    for (int i = 0; i < app->board.stage_count; i++) {
        due += app->board.stages[i].state == SERVICE_DUE;
        soon += app->board.stages[i].state == SERVICE_SOON;
        unknown += app->board.stages[i].life_left < 0;
    }
    if (due || soon)
        snprintf(out, size, "%d due, %d soon", due, soon);
    else if (unknown > 0)
        snprintf(out, size, "no life is given of %d of %d", unknown, app->board.stage_count);
    else
        snprintf(out, size, "%s", app->board.stage_count ? "every stage is in life" : "");
}

static void service_draw(const App *app, Area area)
{
    const ServiceOwn *own = service_own(app);
    bool wide = area.cols >= 80;
    int heads = own->pane.closer || area.rows < SHORT ? HEADS_SHORT : HEADS;
    char gist[64];
    Facts facts = {0};
    service_facts(app, own, &facts);
    service_gist(app, gist, sizeof gist);
    PanePlan plan = pane_plan(&own->pane, area_rows(area, heads, area.rows - heads),
                              facts_lines(&facts, pane_facts_cols(&own->pane, area.cols)));
    bool counted = !own->pane.closer && own->pane.list.count > plan.list.rows;
    pane_title(area_cols(area, 0, area.cols - (counted ? SERVICE_PLACE_COLS : 0)), "service", gist);
    if (counted)
        list_draw_place(&own->pane.list, plan.list.rows, area, 0);
    if (heads == HEADS)
        draw_heads(area, wide);
    if (!own->pane.closer)
        service_draw_list(app, own, plan.list, wide);
    int listed = own->pane.list.count + 1;
    if (plan.beside)
        draw_due(app, area_rows(plan.list, listed, plan.list.rows - listed));
    pane_draw_rule(&plan);
    facts_draw(&facts, plan.facts, own->pane.closer ? own->pane.scroll : 0);
    facts_finish(&facts);
}

static const Action service_actions[] = {
    {'w', 0, "swap", "log a new cartridge or lamp in the chosen stage", 1, act_about, KIND_SWAP},
    {'p', 0, "spares", "set how many spares of the chosen stage are aboard", 2, act_about,
     KIND_SPARES},
    {'r', 0, "flow test", "log how long a known volume takes at the tap", 3, act_about,
     KIND_FLOWTEST},
    {'c', 0, "sanitised", "log that a vessel was sanitised, the most due one first", 4,
     act_sanitise, 0},
    {PRESS_ENTER, 0, "closer", "the chosen stage, flow and sanitising alone; again: back", 5, NULL,
     0},
    {'m', 0, "amend", "amend what is known of the chosen stage", 6, act_about, KIND_STAGE},
    {'o', 0, "put off", "put the reminder to swap the chosen stage off: it is quiet until then", 0,
     act_about, KIND_PUTOFF},
    {'n', 0, "new", "name a new stage", 0, act_new, KIND_STAGE},
    {'j', PRESS_DOWN, "down", "the next stage, or further down; k or Up: the other way", 0, NULL,
     0},
    {'l', PRESS_RIGHT, "next one", "in a closer look the next stage; h or Left: the one before", 0,
     NULL, 0},
};

const Screen SCREEN_SERVICE = {
    .name = "service",
    .gist = "life left, due dates, spares, flow, sanitising",
    .press = '4',
    .actions = service_actions,
    .action_count = sizeof service_actions / sizeof *service_actions,
    .own_size = sizeof(ServiceOwn),
    .open = service_open,
    .told = service_told,
    .draw = service_draw,
    .key = service_key,
};
