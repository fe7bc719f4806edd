/* The vessels: how full, of what class, where, how old the water; one of them closely, with its
 * level over time and the entries that name it. */
#include "paint/chart.h"
#include "paint/width.h"
#include "screens/screens.h"
#include "screens/vessel_chart.h"
#include "screens/words.h"
#include "tui/pane.h"

#include "model/tell.h"
#include "outlook/service.h"

#include <stdio.h>
#include <string.h>

enum { HISTORY_POINTS = 240, ENTRIES_SHOWN = 150, CHART_ROWS = 12, SIDE_CHART_COLS = 100 };
enum { VESSELS_HEADS = 2, VESSELS_HEADS_SHORT = 1, VESSELS_SHORT = 14, VESSELS_PLACE_COLS = 17 };

/* How far back the chart goes, in days. */
static const int ranges[] = {2, 7, 30, 90, 365};
enum { RANGE_COUNT = sizeof ranges / sizeof *ranges, RANGE_FIRST = 2 };

typedef struct {
    Pane pane;
    Label chosen;
    int64_t asked; /* App.entries at the latest question */
    int range;     /* less RANGE_FIRST, so that 0 is the usual one */
    int over;      /* VesselOver: what the chart is of */
    bool entries;  /* App.found holds the entries of `chosen`; only tests, where those are drawn */
} VesselsOwn;

static VesselsOwn *vessels_own(const App *app)
{
    return app_own(app, &SCREEN_VESSELS);
}

static const BoardVessel *vessels_chosen(const App *app, const VesselsOwn *own)
{
    int at = own->pane.list.cursor;
    return at < app->board.vessel_count ? &app->board.vessels[at] : NULL;
}

static int vessels_days(const VesselsOwn *own)
{
    return ranges[own->range + RANGE_FIRST];
}

/* The chosen vessel's levels; where they are shown its entries, too. */
static void vessels_ask(App *app, VesselsOwn *own, Wish *wish)
{
    const BoardVessel *v = vessels_chosen(app, own);
    own->asked = app->entries;
    own->entries = false;
    if (v == NULL)
        return;
    own->chosen = v->label;
    bool entries = own->pane.closer || app->cols >= PANE_BESIDE_COLS;
    wish->kind = entries ? WISH_STORY : WISH_HISTORY;
    wish->history = (HistoryQuery){.vessel = v->label,
                                   .since = {app->now.ms - vessels_days(own) * MS_PER_DAY},
                                   .until = app->now,
                                   .count = HISTORY_POINTS};
    if (!entries)
        return;
    wish->query = (EntryQuery){
        .since = MOMENT_NONE, .until = MOMENT_NONE, .vessel = v->label, .limit = ENTRIES_SHOWN};
    if (own->over != OVER_LEVEL)
        wish->query.kind = KIND_TEST;
    app->found_count = 0;
    app->found_more = false;
    own->entries = true;
}

/* ---- words ---- */

static const char *vessel_flag(const App *app, const BoardVessel *v)
{
    if (v->stale)
        return "stale";
    if (moment_known(v->sanitise_due) &&
        service_days_until(app->now, v->sanitise_due) <= app->board.lead_days)
        return "sanitise";
    if (!v->washes && !moment_known(v->sanitised))
        return "not san.";
    if (v->rated_pa == 0)
        return "no air";
    return "";
}

/* "galley 2 lead", "reserve", "wash" in at most `columns`: what gives way is the name of the line.
 * Where there is one line only, `brief` leaves it out. */
static void vessel_where(const App *app, const BoardVessel *v, bool brief, int columns, Str *out)
{
    char tail[32];
    const char *line = brief && app->board.line_count == 1 ? "line" : v->line.s;
    str_clear(out);
    if (v->position == 0) {
        str_adds(out, v->duty == DUTY_LINE ? "not coupled" : duty_name(v->duty));
        return;
    }
    snprintf(tail, sizeof tail, " %d%s", v->position,
             v->lead                   ? " lead"
             : v->spent                ? " spent"
             : v->duty == DUTY_RESERVE ? " res."
                                       : "");
    width_cut(out, text_of(line), columns - width_ofs(tail), glyph(app->alphabet, GLYPH_CUT));
    str_adds(out, tail);
}

static void fact_level(const App *app, const BoardVessel *v, Facts *facts)
{
    char level[64], of[64], usable[64], heel[64];
    facts_add(facts, "level", INK_STRONG, "%s of %s", app_volume(app, v->volume, level),
              app_volume(app, v->capacity, of));
    if (v->usable > 0)
        facts_add(facts, "", INK_TEXT, "%s can be drawn, the heel is %s",
                  app_volume(app, v->usable, usable), app_volume(app, v->heel, heel));
    else
        facts_add(facts, "", INK_SPENT, "nothing can be drawn: the heel is %s",
                  app_volume(app, v->heel, heel));
    if (v->expected_told)
        facts_add(facts, "expected", INK_BAND, "%s %s %s %s %s now: not every cup is logged",
                  glyph(app->alphabet, GLYPH_ABOUT), app_volume_down(app, v->expected_low, level),
                  glyph(app->alphabet, GLYPH_TO), app_volume_down(app, v->expected_high, of),
                  volume_unit(app->units));
}

static void fact_place(const App *app, const BoardVessel *v, Facts *facts)
{
    int count = 0;
    for (int i = 0; i < app->board.line_count; i++)
        if (label_equal(&app->board.lines[i].label, &v->line))
            count = app->board.lines[i].count;
    if (v->position > 0)
        facts_add(facts, "place", INK_TEXT, "%s, %d of %d from the air side%s%s", v->line.s,
                  v->position, count,
                  v->lead    ? "; the lead"
                  : v->spent ? "; spent"
                             : "",
                  v->place == PLACE_RESERVE ? "; reserve" : "");
    else
        facts_add(facts, "place", INK_TEXT, "on no line; its duty is %s", duty_name(v->duty));
}

static void fact_water(const App *app, const BoardVessel *v, Facts *facts)
{
    char age[64], when[64], date[64];
    if (v->volume > 0) {
        facts_add(facts, "water", INK_TEXT, "%s old on the mean, its oldest part %s at most",
                  pane_age(app, v->mean_fill, age), pane_age(app, v->oldest_fill, when));
        if (v->stale)
            facts_add(facts, "stale", INK_CAUTION, "%s since %s: change the water",
                      glyph(app->alphabet, GLYPH_MARK_CAUTION), app_date(app, v->stale_at, date));
        else if (moment_known(v->stale_at))
            facts_add(facts, "stale", INK_TEXT, "from %s on (%s)", app_date(app, v->stale_at, date),
                      pane_when(app, v->stale_at, when));
    } else {
        facts_add(facts, "water", INK_TEXT, "none");
    }
    if (moment_known(v->sanitised))
        facts_add(facts, "clean", INK_TEXT, "sanitised %s, %s", app_date(app, v->sanitised, date),
                  pane_when(app, v->sanitised, when));
    else
        facts_add(facts, "clean", INK_TEXT, "no sanitising is logged");
    if (moment_known(v->sanitise_due)) {
        bool late = v->sanitise_due.ms <= app->now.ms;
        facts_add(facts, "", late ? INK_CAUTION : INK_TEXT, "%s%s%s (%s)",
                  late ? glyph(app->alphabet, GLYPH_MARK_CAUTION) : "",
                  late ? " was due again " : "due again ", app_date(app, v->sanitise_due, date),
                  pane_when(app, v->sanitise_due, when));
    }
}

static void fact_class(const App *app, const BoardVessel *v, Facts *facts)
{
    facts_add(facts, "class", ink_of_class(v->quality), "%s %s",
              glyph(app->alphabet, glyph_mark(v->quality)), quality_name(v->quality));
    if (v->asserted)
        facts_add(facts, "", INK_CAUTION, "%s on your word: nothing measured says so",
                  glyph(app->alphabet, GLYPH_MARK_CAUTION));
    if (v->raw)
        facts_add(facts, "", INK_CAUTION, "%s raw: it may carry Giardia and Cryptosporidium",
                  glyph(app->alphabet, GLYPH_MARK_CAUTION));
    facts_add(facts, "", INK_QUIET, "a record of what was logged, not a laboratory test");
}

static void fact_tests(const App *app, const BoardVessel *v, Facts *facts)
{
    char text[64];
    Str tested = {0};
    results_tell(v->results.latest, app->now, app->units, &tested);
    if (tested.n > 0)
        facts_add(facts, "tested", INK_TEXT, "%s", tested.s);
    str_finish(&tested);
    if (moment_known(v->faded))
        facts_add(facts, "", INK_BAND, "chlorine under 0.2 mg/L from %s on, at the earliest",
                  app_date(app, v->faded, text));
    else if (v->residual != RESIDUAL_UNKNOWN && v->results.before.at != 0)
        facts_add(facts, "", INK_QUIET,
                  "its tests can't tell when the chlorine falls under 0.2 mg/L");
    if (*found_name(v->marks))
        facts_add(facts, "", INK_WARNING, "%s %s", glyph(app->alphabet, GLYPH_MARK_WARNING),
                  found_name(v->marks));
}

static void fact_known(const App *app, const BoardVessel *v, Facts *facts)
{
    char date[64], when[64];
    if (moment_known(v->sounded))
        facts_add(facts, "sounded", INK_TEXT, "%s, %s", app_date(app, v->sounded, date),
                  pane_when(app, v->sounded, when));
    else
        facts_add(facts, "sounded", INK_TEXT, "never; level last certain %s",
                  pane_when(app, v->known, when));
}

static void fact_vessel(const App *app, const BoardVessel *v, Facts *facts)
{
    char pressure[64], mass[32];
    if (v->mass_g >= 0)
        facts_add(facts, "mass", INK_TEXT, "%s with its water",
                  mass_print((v->mass_g + 50) / 100 * 100, app->units, mass));
    else
        facts_add(facts, "mass", INK_QUIET, "not known: its empty mass was never given (m)");
    if (v->rated_pa == 0)
        facts_add(facts, "rated", INK_CAUTION, "%s a plain can: it takes no pressure",
                  glyph(app->alphabet, GLYPH_MARK_CAUTION));
    else if (v->rated_pa > 0)
        facts_add(facts, "rated", INK_TEXT, "%s: never above it",
                  pressure_print_exact(v->rated_pa, pressure));
    else
        facts_add(facts, "rated", INK_QUIET, "pressure not known (m)");
}

static void vessel_facts(const App *app, const BoardVessel *v, Facts *facts)
{
    fact_level(app, v, facts);
    fact_class(app, v, facts);
    fact_tests(app, v, facts);
    fact_place(app, v, facts);
    facts_add(facts, "caution", INK_CAUTION, "%s Vent it before its lid is opened.",
              glyph(app->alphabet, GLYPH_MARK_CAUTION));
    fact_water(app, v, facts);
    fact_known(app, v, facts);
    fact_vessel(app, v, facts);
}

static void vessel_entry_facts(const App *app, bool tests, Facts *facts)
{
    char when[64];
    for (int i = 0; i < app->found_count; i++) {
        Str line = {0};
        event_tell(&app->found[i].event, app->units, true, &line);
        facts_add(facts,
                  i > 0   ? ""
                  : tests ? "tests"
                          : "entries",
                  INK_TEXT, "%s  %s", moment_print_local(app->found[i].event.at, app->now, when),
                  line.s);
        str_finish(&line);
    }
    if (app->found_more)
        facts_add(facts, "", INK_QUIET, "and older ones: see the log, 2");
    if (app->found_count == 0)
        facts_add(facts, tests ? "tests" : "entries", INK_QUIET, "none");
}

static void vessels_facts(const App *app, const VesselsOwn *own, Facts *facts)
{
    const BoardVessel *v = vessels_chosen(app, own);
    if (v == NULL)
        return;
    if (own->pane.closer)
        facts_add(facts, "vessel", INK_STRONG, "%s", v->label.s);
    vessel_facts(app, v, facts);
    if (own->entries && (own->pane.closer || app->cols >= PANE_BESIDE_COLS))
        vessel_entry_facts(app, own->over != OVER_LEVEL, facts);
}

/* ---- opening, being told ---- */

static void vessels_open(App *app, Wish *wish)
{
    VesselsOwn *own = vessels_own(app);
    list_set_count(&own->pane.list, app->board.vessel_count);
    vessels_ask(app, own, wish);
}

static void vessels_told(App *app, Wish *wish)
{
    VesselsOwn *own = vessels_own(app);
    list_set_count(&own->pane.list, app->board.vessel_count);
    for (int i = 0; i < app->board.vessel_count; i++)
        if (label_equal(&app->board.vessels[i].label, &own->chosen))
            own->pane.list.cursor = i;
    if (own->asked != app->entries)
        vessels_ask(app, own, wish);
}

/* ---- keys ---- */

static void vessels_act_about(App *app, int kind, Wish *wish)
{
    const BoardVessel *v = vessels_chosen(app, vessels_own(app));
    const char *about = "";
    if (v != NULL) /* coupled, it is drawn at the tap of its line */
        about = kind == KIND_DRAW && v->position > 0 ? v->line.s : v->label.s;
    char label[LABEL_SIZE];
    snprintf(label, sizeof label, "%s", about);
    app_open_form(app, (KindId)kind, label, wish);
}

static void act_plain(App *app, int kind, Wish *wish)
{
    app_open_form(app, (KindId)kind, "", wish);
}

static void act_range(App *app, int step, Wish *wish)
{
    VesselsOwn *own = vessels_own(app);
    int range = own->range + step;
    if (range + RANGE_FIRST < 0 || range + RANGE_FIRST >= RANGE_COUNT)
        return;
    own->range = range;
    vessels_ask(app, own, wish);
}

/* What the chart is of; results are drawn in the closer look, where the tests are at hand. */
static void act_over(App *app, int unused, Wish *wish)
{
    (void)unused;
    VesselsOwn *own = vessels_own(app);
    own->over = (own->over + 1) % OVER_COUNT;
    own->pane.closer = own->pane.closer || own->pane.list.count > 0;
    vessels_ask(app, own, wish);
}

typedef struct {
    Area head, list, facts, chart;
    PanePlan plan;
} VesselsPlan;

static VesselsPlan vessels_plan(const App *app, const VesselsOwn *own, Area area)
{
    VesselsPlan p = {.chart = area_rows(area, 0, 0)};
    int heads = area.rows < VESSELS_SHORT || own->pane.closer ? VESSELS_HEADS_SHORT : VESSELS_HEADS;
    Area body = area_rows(area, heads, area.rows - heads);
    Facts facts = {0};
    if (own->pane.closer) {
        if (area.cols >= SIDE_CHART_COLS && area.rows >= VESSELS_SHORT) {
            p.chart = area_cols(body, area.cols / 2, area.cols - area.cols / 2 - 1);
            p.chart = area_rows(p.chart, 0,
                                p.chart.rows < 2 * CHART_ROWS ? p.chart.rows : 2 * CHART_ROWS);
            body = area_cols(body, 0, area.cols / 2 - 1);
        } else if (area.rows >= VESSELS_SHORT) {
            int rows = area.rows / 2 < CHART_ROWS ? area.rows / 2 : CHART_ROWS;
            p.chart = area_cols(area_rows(body, 0, rows), 1, area.cols - 2);
            body = area_rows(body, rows, body.rows - rows);
        }
        p.plan = pane_plan(&own->pane, body, 0);
        return p;
    }
    vessels_facts(app, own, &facts);
    p.plan =
        pane_plan(&own->pane, body, facts_lines(&facts, pane_facts_cols(&own->pane, area.cols)));
    facts_finish(&facts);
    if (p.plan.beside) {
        int below = own->pane.list.count + 1;
        if (p.plan.list.rows - below >= CHART_ROWS_MIN + 3) {
            p.chart = area_rows(p.plan.list, below, p.plan.list.rows - below);
            if (p.chart.rows > 2 * CHART_ROWS)
                p.chart.rows = 2 * CHART_ROWS;
            p.chart = area_cols(p.chart, 1, p.chart.cols - 2);
            p.plan.list = area_rows(p.plan.list, 0, below - 1);
        }
    }
    return p;
}

static bool vessels_key(App *app, Press press, Wish *wish)
{
    VesselsOwn *own = vessels_own(app);
    VesselsPlan plan = vessels_plan(app, own, app_body(app));
    bool closer = own->pane.closer;
    int cursor = own->pane.list.cursor, rows = closer ? plan.plan.facts.rows : plan.plan.list.rows;
    Facts facts = {0};
    vessels_facts(app, own, &facts);
    int lines = facts_lines(&facts, closer ? plan.plan.facts.cols : app->cols);
    facts_finish(&facts);
    if (!pane_key(&own->pane, press, lines, rows))
        return false;
    if (cursor != own->pane.list.cursor || (own->pane.closer && !closer))
        vessels_ask(app, own, wish);
    return true;
}

/* ---- drawing ---- */

/* A bar of `cols` cells in the texture of the class. */
static void draw_bar(const App *app, const BoardVessel *v, Area area, int row, int col, int cols)
{
    int eighths = v->capacity > 0 ? (int)(v->volume * cols * 8 / v->capacity) : 0;
    if (v->volume > 0 && eighths == 0)
        eighths = 1;
    for (int i = 0; i < cols; i++, eighths -= 8) {
        const Ink ink = ink_of_water(v->quality);
        if (eighths >= 8 || (eighths >= 4 && v->quality != CLASS_POTABLE))
            area_glyph(area, row, col + i, ink, glyph_water(v->quality));
        else if (eighths > 0)
            area_puts(area, row, col + i, ink, pane_bar(app, eighths));
        else
            area_glyph(area, row, col + i, INK_QUIET, GLYPH_BAR_EMPTY);
    }
}

static void vessels_draw_wide(const App *app, const BoardVessel *v, Area area, int row)
{
    char text[64];
    const char *flag = vessel_flag(app, v);
    area_cut(area, row, 3, 8, INK_STRONG, text_of(v->label.s));
    area_right(area, row, 19, INK_STRONG, text_of(app_volume(app, v->volume, text)));
    draw_bar(app, v, area, row, 20, 10);
    int col = area_glyph(area, row, 31, ink_of_class(v->quality), glyph_mark(v->quality));
    area_puts(area, row, col + 1, ink_of_class(v->quality),
              raw_told(v)   ? (v->quality == CLASS_POTABLE ? "pot., raw" : "quest., raw")
              : v->asserted ? "pot. on word"
                            : quality_name(v->quality));
    Str where = {0};
    vessel_where(app, v, false, 14, &where);
    area_cut(area, row, 46, 14, v->lead ? INK_LEAD : INK_TEXT, (Text){where.s, where.n});
    str_finish(&where);
    if (v->volume > 0)
        area_right(area, row, 69, INK_TEXT, text_of(pane_age(app, v->mean_fill, text)));
    if (*flag) {
        area_glyph(area, row, 70, INK_CAUTION, GLYPH_MARK_CAUTION);
        area_puts(area, row, 71, INK_CAUTION, flag);
    } else if (*residual_brief(v, app->now, text)) {
        area_cut(area, row, 71, 9, ink_of_residual(v->residual), text_of(text));
    }
}

static void vessels_draw_narrow(const App *app, const BoardVessel *v, Area area, int row)
{
    char text[64];
    area_cut(area, row, 3, 5, INK_STRONG, text_of(v->label.s));
    area_right(area, row, 15, INK_STRONG, text_of(app_volume(app, v->volume, text)));
    int col = area_glyph(area, row, 16, ink_of_class(v->quality), glyph_mark(v->quality));
    area_puts(area, row, col + 1, ink_of_class(v->quality), quality_short(v->quality));
    bool flagged = *vessel_flag(app, v);
    int room = area.cols - 28 - (flagged ? 2 : 0);
    Str where = {0};
    vessel_where(app, v, true, room, &where);
    area_cut(area, row, 27, room, v->lead ? INK_LEAD : INK_TEXT, (Text){where.s, where.n});
    str_finish(&where);
    if (flagged)
        area_glyph(area, row, area.cols - 2, INK_CAUTION, GLYPH_MARK_CAUTION);
}

static void vessels_draw_heads(Area area, bool wide)
{
    if (!wide) {
        area_puts(area, 1, 3, INK_CAPTION, "vessel level class    place");
        return;
    }
    area_puts(area, 1, 3, INK_CAPTION, "vessel");
    area_right(area, 1, 19, INK_CAPTION, text_of("level"));
    area_puts(area, 1, 31, INK_CAPTION, "class");
    area_puts(area, 1, 46, INK_CAPTION, "place");
    area_right(area, 1, 69, INK_CAPTION, text_of("water age"));
}

static void vessels_draw_list(const App *app, const VesselsOwn *own, Area area, bool wide)
{
    int top = list_top(&own->pane.list, area.rows), count = app->board.vessel_count;
    for (int row = 0; row < area.rows && top + row < count; row++) {
        const BoardVessel *v = &app->board.vessels[top + row];
        if (wide)
            vessels_draw_wide(app, v, area, row);
        else
            vessels_draw_narrow(app, v, area, row);
        if (top + row == own->pane.list.cursor)
            pane_cursor(area, row);
    }
    if (count > 0)
        return;
    Str text = {0};
    str_adds(&text, none_aboard(&app->board));
    str_adds(&text, " n names one, 8 leads through all of it.");
    area_wrap(area_cols(area, 0, area.cols - 1), 0, 3, INK_QUIET, text_of(text.s));
    str_finish(&text);
}

static void vessels_draw(const App *app, Area area)
{
    const VesselsOwn *own = vessels_own(app);
    VesselsPlan p = vessels_plan(app, own, area);
    const Supply *supply = &app->board.supply;
    char gist[160], text[64];
    bool wide = area.cols >= 80;
    int below = 0;
    if (!own->pane.closer && own->pane.list.count > p.plan.list.rows)
        below = VESSELS_PLACE_COLS;
    int n = snprintf(gist, sizeof gist, "%d aboard", app->board.vessel_count);
    for (int q = 0; q < CLASS_COUNT; q++) {
        if (supply->by_class[q] > 0)
            n += snprintf(gist + n, sizeof gist - (size_t)n, ", %s %s",
                          app_volume(app, supply->by_class[q], text), quality_name((Quality)q));
    }
    if (app->board.retired > 0)
        snprintf(gist + strlen(gist), sizeof gist - strlen(gist), ", %d retired",
                 app->board.retired);
    pane_title(area_cols(area, 0, area.cols - below), "vessels", gist);
    if (!own->pane.closer) {
        if (below)
            list_draw_place(&own->pane.list, p.plan.list.rows, area, 0);
        if (area.rows >= VESSELS_SHORT)
            vessels_draw_heads(area, wide);
        vessels_draw_list(app, own, p.plan.list, wide);
        pane_draw_rule(&p.plan);
    }
    Facts facts = {0};
    vessels_facts(app, own, &facts);
    facts_draw(&facts, p.plan.facts, own->pane.closer ? own->pane.scroll : 0);
    facts_finish(&facts);
    const BoardVessel *v = vessels_chosen(app, own);
    if (v != NULL && p.chart.rows > 0)
        vessel_chart_draw(app, v, (VesselOver)own->over, vessels_days(own), p.chart);
}

static const Action vessels_actions[] = {
    {PRESS_ENTER, 0, "closer", "the chosen vessel alone: level over time, its entries; again: back",
     1, NULL, 0},
    {'f', 0, "fill", "log water into the chosen vessel", 2, vessels_act_about, KIND_FILL},
    {'s', 0, "sound", "log a measured level of the chosen vessel", 3, vessels_act_about,
     KIND_SOUND},
    {'c', 0, "sanitised", "log that the chosen vessel was sanitised", 4, vessels_act_about,
     KIND_SANITISE},
    {'e', 0, "empty", "log that the chosen vessel was dumped", 0, vessels_act_about, KIND_DUMP},
    {'r', 0, "treat", "log a treatment of the chosen vessel's water", 0, vessels_act_about,
     KIND_TREAT},
    {'p', 0, "pour", "log water decanted from the chosen vessel into another", 0, vessels_act_about,
     KIND_DECANT},
    {'d', 0, "draw", "log water drawn from it, or at the tap of its line", 0, vessels_act_about,
     KIND_DRAW},
    {'m', 0, "amend", "amend what is known of the chosen vessel", 5, vessels_act_about,
     KIND_VESSEL},
    {'n', 0, "new", "name a new vessel", 6, act_plain, KIND_VESSEL},
    {'o', 0, "order", "log a new order of vessels on a line", 0, act_plain, KIND_COUPLE},
    {'x', 0, "test", "log what a strip, a meter or a laboratory found in the chosen vessel", 0,
     vessels_act_about, KIND_TEST},
    {'v', 0, "chart of", "draw the level, then chlorine, pH, TDS as they were tested", 0, act_over,
     0},
    {'+', '=', "longer", "the chart over a longer time", 0, act_range, 1},
    {'-', '_', "shorter", "the chart over a shorter time", 0, act_range, -1},
    {'j', PRESS_DOWN, "down", "the next vessel, or further down; k or Up: the other way", 0, NULL,
     0},
    {'l', PRESS_RIGHT, "next one", "in a closer look the next vessel; h or Left: the one before", 0,
     NULL, 0},
};

const Screen SCREEN_VESSELS = {
    .name = "vessels",
    .gist = "levels, classes, places, ages; one vessel over time",
    .press = '3',
    .actions = vessels_actions,
    .action_count = sizeof vessels_actions / sizeof *vessels_actions,
    .own_size = sizeof(VesselsOwn),
    .open = vessels_open,
    .told = vessels_told,
    .draw = vessels_draw,
    .key = vessels_key,
};
