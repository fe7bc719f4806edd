/* The sources: what they are, what class their water usually has, when they were used last, how
 * often. */
#include "paint/width.h"
#include "screens/screens.h"
#include "tui/pane.h"

#include "outlook/words.h"

#include <stdio.h>
#include <string.h>

enum { SOURCES_HEADS = 2, SOURCES_HEADS_SHORT = 1, SOURCES_SHORT = 14, SOURCES_PLACE_COLS = 17 };

typedef struct {
    Pane pane;
    Label chosen;
    int order[SOURCES_MAX];
} SourcesOwn;

static SourcesOwn *sources_own(const App *app)
{
    return app_own(app, &SCREEN_SOURCES);
}

static const Source *sources_chosen(const App *app, const SourcesOwn *own)
{
    int at = own->pane.list.cursor;
    return at < own->pane.list.count ? &app->state.sources[own->order[at]] : NULL;
}

/* The one used last first. */
static void sources_sort(const App *app, SourcesOwn *own)
{
    const Source *all = app->state.sources;
    int count = 0;
    for (int i = 0; i < app->state.source_count; i++) {
        if (label_empty(&all[i].label))
            continue;
        int at = count++;
        for (; at > 0; at--) {
            const Source *before = &all[own->order[at - 1]];
            if (before->used_at > all[i].used_at ||
                (before->used_at == all[i].used_at &&
                 label_compare(&before->label, &all[i].label) < 0))
                break;
            own->order[at] = own->order[at - 1];
        }
        own->order[at] = i;
    }
    list_set_count(&own->pane.list, count);
    for (int i = 0; i < count; i++)
        if (label_equal(&all[own->order[i]].label, &own->chosen))
            own->pane.list.cursor = i;
}

static void sources_told(App *app, Wish *wish)
{
    (void)wish;
    sources_sort(app, sources_own(app));
}

/* ---- words ---- */

static const char *source_type(const Source *source)
{
    const Kind *kind = kind_of(KIND_SOURCE);
    const char *const *words = kind->fields[kind_field(kind, text_of("type"))].choices;
    return source->type <= SOURCE_OTHER ? words[source->type] : "other";
}

static bool class_known(const Source *source)
{
    return source->quality != SOURCE_UNKNOWN_CLASS;
}

static Quality class_of(const Source *source)
{
    return class_known(source) ? (Quality)source->quality : CLASS_QUESTIONABLE;
}

static void sources_facts(const App *app, const SourcesOwn *own, Facts *facts)
{
    const Source *source = sources_chosen(app, own);
    char date[64], when[64];
    if (source == NULL)
        return;
    facts_add(facts, "source", INK_STRONG, "%s", source->label.s);
    facts_add(facts, "type", INK_TEXT, "%s", source_type(source));
    if (class_known(source))
        facts_add(facts, "class", ink_of_class(class_of(source)), "%s usually %s",
                  glyph(app->alphabet, glyph_mark(class_of(source))),
                  quality_name(class_of(source)));
    else
        facts_add(facts, "class", INK_QUESTIONABLE,
                  "%s not known: its water counts as questionable",
                  glyph(app->alphabet, GLYPH_MARK_QUESTIONABLE));
    facts_add(facts, "", INK_QUIET, "a record of what was logged, not a laboratory test");
    Str tested = {0};
    results_tell(source->results, app->now, app->units, &tested);
    if (tested.n > 0)
        facts_add(facts, "tested", INK_TEXT, "%s", tested.s);
    str_finish(&tested);
    if (*found_name(source->marks))
        facts_add(facts, "", INK_WARNING, "%s %s: so is what is filled from it",
                  glyph(app->alphabet, GLYPH_MARK_WARNING), found_name(source->marks));
    facts_add(facts, "used", INK_TEXT, "%s, %s", app_date(app, (Moment){source->used_at}, date),
              pane_when(app, (Moment){source->used_at}, when));
    if (source->fills == 0)
        facts_add(facts, "fills", INK_TEXT, "none");
    else
        facts_add(facts, "fills", INK_TEXT, "%lld, %s taken", (long long)source->fills,
                  app_volume(app, source->taken, date));
    Str leant = {0};
    const bool worse = leaning_tell(&app->state, source, app->now, &leant);
    if (leant.n > 0)
        facts_add(facts, "before", worse ? INK_CAUTION : INK_TEXT,
                  "%s%s%s, as it was called then: c puts them right",
                  worse ? glyph(app->alphabet, GLYPH_MARK_CAUTION) : "", worse ? " " : "", leant.s);
    str_finish(&leant);
    facts_add(facts, "caution", INK_CAUTION, "%s %s", glyph(app->alphabet, GLYPH_MARK_CAUTION),
              kind_of(KIND_SOURCE)->caution);
}

/* ---- keys ---- */

static bool sources_key(App *app, Press press, Wish *wish)
{
    (void)wish;
    SourcesOwn *own = sources_own(app);
    Facts facts = {0};
    sources_facts(app, own, &facts);
    int lines = facts_lines(&facts, pane_facts_cols(&own->pane, app->cols));
    facts_finish(&facts);
    if (!pane_key(&own->pane, press, lines, app_body(app).rows - SOURCES_HEADS_SHORT))
        return false;
    const Source *source = sources_chosen(app, own);
    if (source != NULL)
        own->chosen = source->label;
    return true;
}

static void sources_act_about(App *app, int kind, Wish *wish)
{
    const Source *source = sources_chosen(app, sources_own(app));
    app_open_form(app, (KindId)kind, source != NULL ? source->label.s : "", wish);
}

static void sources_act_class(App *app, int unused, Wish *wish)
{
    (void)unused;
    const Source *source = sources_chosen(app, sources_own(app));
    if (source != NULL && source->leant.fills > 0)
        app_open_class(app, source, wish);
    else
        app_say(app, INK_NOTICE, "No fill stands as another class than its source has now.");
}

static void sources_act_new(App *app, int kind, Wish *wish)
{
    app_open_form(app, (KindId)kind, "", wish);
}

/* ---- drawing ---- */

static int draw_class(const Source *source, Area area, int row, int col, bool wide)
{
    Quality quality = class_of(source);
    Ink ink = ink_of_class(quality);
    int at = area_glyph(area, row, col, ink, glyph_mark(quality));
    const char *word = !class_known(source) ? "not known"
                       : wide               ? quality_name(quality)
                                            : quality_short(quality);
    return area_puts(area, row, at + 1, ink, word);
}

static void sources_draw_row(const App *app, const Source *source, Area area, int row, bool wide)
{
    char text[96];
    Moment used = {source->used_at};
    if (!wide) {
        area_cut(area, row, 3, 14, INK_STRONG, text_of(source->label.s));
        draw_class(source, area, row, 18, false);
        area_right(area, row, area.cols - 1, INK_TEXT, text_of(pane_day(app, used, text)));
        return;
    }
    area_cut(area, row, 3, 20, INK_STRONG, text_of(source->label.s));
    area_puts(area, row, 24, INK_TEXT, source_type(source));
    draw_class(source, area, row, 33, true);
    area_puts(area, row, 49, INK_TEXT, pane_when(app, used, text));
    snprintf(text, sizeof text, "%lld", (long long)source->fills);
    area_right(area, row, 68, INK_TEXT, text_of(text));
    area_right(area, row, 79, INK_TEXT,
               text_of(source->fills == 0 ? "-" : app_volume(app, source->taken, text)));
}

static void sources_draw_heads(Area area, bool wide)
{
    area_puts(area, 1, 3, INK_CAPTION, "source");
    if (!wide) {
        area_puts(area, 1, 18, INK_CAPTION, "class");
        area_right(area, 1, area.cols - 1, INK_CAPTION, text_of("used"));
        return;
    }
    area_puts(area, 1, 24, INK_CAPTION, "type");
    area_puts(area, 1, 33, INK_CAPTION, "usual class");
    area_puts(area, 1, 49, INK_CAPTION, "last used");
    area_right(area, 1, 68, INK_CAPTION, text_of("fills"));
    area_right(area, 1, 79, INK_CAPTION, text_of("taken"));
}

static void sources_draw(const App *app, Area area)
{
    const SourcesOwn *own = sources_own(app);
    bool wide = area.cols >= 80;
    int heads = own->pane.closer || area.rows < SOURCES_SHORT ? SOURCES_HEADS_SHORT : SOURCES_HEADS;
    int count = own->pane.list.count;
    char gist[96];
    Facts facts = {0};
    sources_facts(app, own, &facts);
    snprintf(gist, sizeof gist, "%d known, the one used last first", count);
    PanePlan plan = pane_plan(&own->pane, area_rows(area, heads, area.rows - heads),
                              facts_lines(&facts, pane_facts_cols(&own->pane, area.cols)));
    bool counted = !own->pane.closer && count > plan.list.rows;
    pane_title(area_cols(area, 0, area.cols - (counted ? SOURCES_PLACE_COLS : 0)), "sources", gist);
    if (counted)
        list_draw_place(&own->pane.list, plan.list.rows, area, 0);
    if (heads == SOURCES_HEADS)
        sources_draw_heads(area, wide);
    int top = list_top(&own->pane.list, plan.list.rows);
    for (int row = 0; row < plan.list.rows && top + row < count; row++) {
        sources_draw_row(app, &app->state.sources[own->order[top + row]], plan.list, row, wide);
        if (top + row == own->pane.list.cursor)
            pane_cursor(plan.list, row);
    }
    if (count == 0)
        area_wrap(area_cols(plan.list, 0, area.cols - 1), 0, 3, INK_QUIET,
                  text_of("No source is named yet: n names one. A fill names its source, too."));
    pane_draw_rule(&plan);
    facts_draw(&facts, plan.facts, own->pane.closer ? own->pane.scroll : 0);
    facts_finish(&facts);
}

static const Action sources_actions[] = {
    {'f', 0, "fill", "log water taken from the chosen source", 1, sources_act_about, KIND_FILL},
    {'n', 0, "new", "name a new source", 2, sources_act_new, KIND_SOURCE},
    {'m', 0, "amend", "amend type or usual class of the chosen source", 3, sources_act_about,
     KIND_SOURCE},
    {'c', 0, "put right", "give fills from the chosen source the class that it was amended to", 0,
     sources_act_class, 0},
    {PRESS_ENTER, 0, "closer", "the chosen source alone; again: back", 4, NULL, 0},
    {'j', PRESS_DOWN, "down", "the next source, or further down; k or Up: the other way", 0, NULL,
     0},
    {'l', PRESS_RIGHT, "next one", "in a closer look the next source; h or Left: the one before", 0,
     NULL, 0},
};

const Screen SCREEN_SOURCES = {
    .name = "sources",
    .gist = "where water is taken from, and its usual class",
    .press = '7',
    .actions = sources_actions,
    .action_count = sizeof sources_actions / sizeof *sources_actions,
    .own_size = sizeof(SourcesOwn),
    .open = sources_told,
    .told = sources_told,
    .draw = sources_draw,
    .key = sources_key,
};
