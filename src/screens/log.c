/* The log screen: every entry as it was written, the newest first; search, filter, amend, take
 * back. */
#include "paint/width.h"
#include "screens/log_entry.h"
#include "screens/screens.h"
#include "tui/entry.h"
#include "tui/pane.h"

#include <stdio.h>
#include <string.h>

/* So many entries are held at once; older ones are asked for. LIVE_ENTRIES: in a longer log the
 * search waits for Enter instead of running at every letter. */
enum { LOG_LIMIT = 400, LIVE_ENTRIES = 20000, SEARCH_MAX = 63 };
enum { NARROW_COLS = 60, LOG_PLACE_COLS = 17 };

typedef enum { SAID_NOTHING, SAID_TAKEN_BACK, SAID_BROUGHT_BACK, SAID_SETTLED } Said;

typedef struct {
    Pane pane;
    Moment until; /* MOMENT_NONE_MS: from the newest on */
    Label vessel;
    int32_t kind;
    bool hide_voided;
    Typed search; /* only entries that contain it */
    bool typing;
    int64_t asked; /* App.entries when the entries shown were asked for */
    bool on_entry; /* the cursor was put on an entry: it stays there while newer ones come in */
    Uuid chosen;
    bool amending; /* the cursor then goes to the entry that took the place of the chosen one */
    Said said;     /* what is being written, for the sentence after it */
    char about[200];
} LogOwn;

static LogOwn *log_own(const App *app)
{
    return app_own(app, &SCREEN_LOG);
}

static void log_ask(const App *app, LogOwn *own, Wish *wish)
{
    wish->kind = WISH_FIND;
    wish->query = (EntryQuery){.since = MOMENT_NONE,
                               .until = own->until,
                               .vessel = own->vessel,
                               .kind = own->kind,
                               .voided = !own->hide_voided,
                               .limit = LOG_LIMIT};
    memcpy(wish->query.contains, own->search.text, SEARCH_MAX + 1);
    own->asked = app->entries;
}

/* The last row, where there is more in the log, leads to the older ones. */
static int log_rows_listed(const App *app)
{
    return app->found_count + (app->found_more ? 1 : 0);
}

static const Entry *log_chosen(const App *app, const LogOwn *own)
{
    int at = own->pane.list.cursor;
    return at < app->found_count ? &app->found[at] : NULL;
}

/* ---- words ---- */

static bool log_filtered(const LogOwn *own)
{
    return own->kind || own->search.text[0] || !label_empty(&own->vessel) || own->hide_voided;
}

static void log_filters(const App *app, const LogOwn *own, Str *out)
{
    char heard[64];
    if (label_empty(&own->vessel) && !own->kind && !own->search.text[0])
        str_adds(out, "all entries");
    else
        str_addf(out, "%s", own->kind ? kind_of((KindId)own->kind)->name : "entries");
    if (!label_empty(&own->vessel))
        str_addf(out, " of %s", own->vessel.s);
    if (own->search.text[0])
        str_addf(out, " with \"%s\"", own->search.text);
    if (own->hide_voided)
        str_adds(out, ", taken back hidden");
    if (moment_known(own->until))
        str_adds(out, ", older ones");
    if (moment_known(app->heard))
        str_addf(out, "; another machine heard of %s",
                 moment_print_local(app->heard, app->now, heard));
}

/* ---- opening, being told ---- */

static void log_open(App *app, Wish *wish)
{
    LogOwn *own = log_own(app);
    own->until = MOMENT_NONE;
    app->found_count = 0; /* another screen's answer */
    app->found_more = false;
    log_ask(app, own, wish);
}

static void log_say(App *app, LogOwn *own)
{
    if (own->said == SAID_TAKEN_BACK)
        app_say(app, INK_MESSAGE, "Taken back: %s. x on it brings it back.", own->about);
    else if (own->said == SAID_BROUGHT_BACK)
        app_say(app, INK_MESSAGE, "Brought back: %s. It counts again.", own->about);
    else if (own->said == SAID_SETTLED)
        app_say(app, INK_MESSAGE, "Settled: %s. z takes that back.", own->about);
    own->said = SAID_NOTHING;
}

static void log_told(App *app, Wish *wish)
{
    LogOwn *own = log_own(app);
    List *list = &own->pane.list;
    if (own->asked != app->entries) {
        log_say(app, own);
        log_ask(app, own, wish);
        return;
    }
    list_set_count(list, log_rows_listed(app));
    const Entry *entry = own->on_entry ? found_by_id(app, &own->chosen) : NULL;
    if (entry != NULL && own->amending && entry->voided)
        entry = found_in_place_of(app, entry);
    own->amending = false;
    if (entry == NULL)
        return;
    own->chosen = entry->event.id;
    list->cursor = (int)(entry - app->found);
}

/* A new question: the cursor goes to the newest that fits. */
static void log_renew(App *app, LogOwn *own, Wish *wish)
{
    own->pane.list = (List){0};
    own->pane.closer = false;
    own->on_entry = false;
    log_ask(app, own, wish);
}

/* ---- what its keys do ---- */

static void act_search(App *app, int unused, Wish *wish)
{
    (void)unused;
    (void)wish;
    log_own(app)->typing = true;
}

/* All vessels, then each one aboard, round. */
static void act_vessel(App *app, int step, Wish *wish)
{
    LogOwn *own = log_own(app);
    const Board *board = &app->board;
    int at = 0, count = board->vessel_count + 1;
    for (int i = 0; i < board->vessel_count; i++)
        if (label_equal(&board->vessels[i].label, &own->vessel))
            at = i + 1;
    at = (at + step + count) % count;
    own->vessel = at ? board->vessels[at - 1].label : (Label){{0}};
    own->until = MOMENT_NONE;
    log_renew(app, own, wish);
}

static void act_kind(App *app, int step, Wish *wish)
{
    LogOwn *own = log_own(app);
    own->kind = (own->kind + step + KIND_END) % KIND_END; /* 0: all */
    own->until = MOMENT_NONE;
    log_renew(app, own, wish);
}

static void act_only_this(App *app, int unused, Wish *wish)
{
    (void)unused;
    LogOwn *own = log_own(app);
    const Entry *entry = log_chosen(app, own);
    if (!own->kind && entry == NULL)
        return;
    own->kind = own->kind ? 0 : entry->event.kind;
    log_renew(app, own, wish);
}

static void act_clear(App *app, int unused, Wish *wish)
{
    (void)unused;
    LogOwn *own = log_own(app);
    own->vessel = (Label){{0}};
    own->kind = 0;
    entry_set(&own->search, "");
    own->until = MOMENT_NONE;
    own->hide_voided = false;
    log_renew(app, own, wish);
}

static void act_voided(App *app, int unused, Wish *wish)
{
    (void)unused;
    LogOwn *own = log_own(app);
    own->hide_voided = !own->hide_voided;
    log_renew(app, own, wish);
}

static void act_older(App *app, int unused, Wish *wish)
{
    (void)unused;
    LogOwn *own = log_own(app);
    if (!app->found_more || app->found_count == 0) {
        app_say(app, INK_MESSAGE, "There are no older entries that fit.");
        return;
    }
    Moment first = app->found[0].event.at, last = app->found[app->found_count - 1].event.at;
    /* Entries of the same moment as the last one are shown again rather than left out. */
    own->until = last.ms < first.ms ? last : (Moment){last.ms - 1};
    log_renew(app, own, wish);
}

static void act_newest(App *app, int unused, Wish *wish)
{
    (void)unused;
    LogOwn *own = log_own(app);
    own->until = MOMENT_NONE;
    log_renew(app, own, wish);
}

static void act_amend(App *app, int unused, Wish *wish)
{
    (void)unused;
    LogOwn *own = log_own(app);
    const Entry *entry = log_chosen(app, own);
    if (entry == NULL)
        return;
    if (entry->event.kind == KIND_VOID)
        app_say(app, INK_WARNING, "A void is not amended: x brings back what it took out.");
    else if (entry->event.kind == KIND_SETTLE)
        app_say(app, INK_WARNING, "A settlement is not amended: x takes it back.");
    else if (entry->voided)
        app_say(app, INK_WARNING, "It was taken back: bring it back with x, then amend it.");
    else {
        own->on_entry = own->amending = true;
        own->chosen = entry->event.id;
        app_open_amend(app, &entry->event, wish);
    }
}

/* An entry that names the one with that id; `about` is what the message will speak of. */
static void log_write(App *app, LogOwn *own, Said said, const Uuid *id, const Entry *about,
                      Wish *wish)
{
    char when[64];
    Str line = {0};
    entry_tell(app, about, &line);
    snprintf(own->about, sizeof own->about, "%.110s (%s)", line.s,
             app_time(app, about->event.at, when));
    str_finish(&line);
    event_about(app->outbox, said == SAID_SETTLED ? KIND_SETTLE : KIND_VOID, id, app->now);
    app->outbox_count = 1;
    own->said = said;
    wish->kind = WISH_APPEND;
}

static void act_settle(App *app, int unused, Wish *wish)
{
    (void)unused;
    LogOwn *own = log_own(app);
    const Entry *entry = log_chosen(app, own);
    if (entry == NULL)
        return;
    own->on_entry = true;
    own->chosen = entry->event.id;
    if (discrepancy_of(app, &entry->event.id) != NULL)
        log_write(app, own, SAID_SETTLED, &entry->event.id, entry, wish);
    else
        app_say(app, INK_MESSAGE, "It agrees with the rest of the log: nothing is to be settled.");
}

/* The newest entry that does not agree, then the one before it, round. */
static void act_differs(App *app, int unused, Wish *wish)
{
    (void)unused;
    LogOwn *own = log_own(app);
    const Board *board = &app->board;
    if (board->discrepancy_count == 0) {
        app_say(app, INK_MESSAGE, "Every entry agrees with the rest of the log.");
        return;
    }
    const Entry *entry = log_chosen(app, own);
    const Discrepancy *here = entry != NULL ? discrepancy_of(app, &entry->event.id) : NULL;
    int at = here != NULL ? (int)(here - board->discrepancies) - 1 : board->discrepancy_count - 1;
    const Discrepancy *next = &board->discrepancies[at < 0 ? board->discrepancy_count - 1 : at];
    act_clear(app, 0, wish);
    own->until = (Moment){next->at};
    log_renew(app, own, wish);
    own->on_entry = true;
    own->chosen = next->entry;
}

/* Takes the chosen entry back; one that was taken back, or a void, is undone the same way. */
static void act_take_back(App *app, int unused, Wish *wish)
{
    (void)unused;
    LogOwn *own = log_own(app);
    const Entry *entry = log_chosen(app, own);
    if (entry == NULL)
        return;
    own->on_entry = true;
    own->chosen = entry->event.id;
    const Entry *out = entry->voided ? found_void_of(app, &entry->event.id) : NULL;
    if (entry->voided && out == NULL && log_filtered(own)) {
        Uuid chosen = own->chosen;
        act_clear(app, 0, wish);
        own->on_entry = true;
        own->chosen = chosen;
        app_say(app, INK_MESSAGE, "All entries are shown now: x again brings it back.");
    } else if (entry->voided && out == NULL)
        app_say(app, INK_WARNING,
                "What took it back is not among the entries shown: n shows the newest ones, x on "
                "the void that names it brings it back.");
    else if (out != NULL)
        log_write(app, own, SAID_BROUGHT_BACK, &out->event.id, entry, wish);
    else if (entry->event.kind == KIND_VOID) {
        const Entry *target = found_by_id(app, &entry->event.u.entry.entry);
        log_write(app, own, SAID_BROUGHT_BACK, &entry->event.id, target != NULL ? target : entry,
                  wish);
    } else
        log_write(app, own, SAID_TAKEN_BACK, &entry->event.id, entry, wish);
}

/* ---- keys ---- */

static void search_done(App *app, LogOwn *own, bool keep, Wish *wish)
{
    own->typing = false;
    if (!keep)
        entry_set(&own->search, "");
    log_renew(app, own, wish);
}

static bool search_key(App *app, LogOwn *own, Press press, Wish *wish)
{
    if (press == PRESS_ENTER || press == PRESS_ESC) {
        search_done(app, own, press == PRESS_ENTER, wish);
        return true;
    }
    if (!entry_key(&own->search, SEARCH_MAX, press))
        return true; /* other keys do nothing while a word is typed */
    own->until = MOMENT_NONE;
    if (app->entries <= LIVE_ENTRIES)
        log_renew(app, own, wish);
    return true;
}

/* Of the chosen entry; none where none is. */
static void log_facts(const App *app, const LogOwn *own, Facts *facts)
{
    const Entry *entry = log_chosen(app, own);
    if (entry != NULL)
        entry_facts(app, entry, facts);
}

static int log_fact_lines(const App *app, const LogOwn *own)
{
    Facts facts = {0};
    log_facts(app, own, &facts);
    int lines = facts_lines(&facts, pane_facts_cols(&own->pane, app->cols));
    facts_finish(&facts);
    return lines;
}

static bool log_key(App *app, Press press, Wish *wish)
{
    LogOwn *own = log_own(app);
    own->said = SAID_NOTHING;
    if (own->typing)
        return search_key(app, own, press, wish);
    if (press == PRESS_ENTER && !own->pane.closer && app->found_more &&
        log_chosen(app, own) == NULL && app->found_count > 0) {
        act_older(app, 0, wish);
        return true;
    }
    if (!pane_key(&own->pane, press, log_fact_lines(app, own), app_body(app).rows - 2))
        return false;
    if (own->pane.closer &&
        log_chosen(app, own) == NULL) /* the row of the older ones has no facts */
        list_key(&own->pane.list, PRESS_UP, 1);
    const Entry *entry = log_chosen(app, own);
    own->on_entry = entry != NULL && own->pane.list.cursor > 0;
    if (entry != NULL)
        own->chosen = entry->event.id;
    return true;
}

/* ---- drawing ---- */

static char *log_day(const App *app, Moment at, bool narrow, char *out)
{
    return narrow ? pane_day(app, at, out) : app_date(app, at, out);
}

static void draw_row(const App *app, Area area, int row, int i, int top, int day_cols)
{
    char text[64];
    bool narrow = area.cols < NARROW_COLS;
    if (i >= app->found_count) {
        area_cut(area, row, 3, area.cols - 4, INK_KEY, text_of("older entries: Enter"));
        return;
    }
    const Entry *entry = &app->found[i];
    const Event *e = &entry->event;
    Civil civil = moment_local(e->at);
    bool same_day =
        i > top && moment_local_day(app->found[i - 1].event.at) == moment_local_day(e->at);
    int time_col = 3 + day_cols + 1, mark_col = time_col + 6;
    if (!same_day)
        area_puts(area, row, 3, INK_QUIET, log_day(app, e->at, narrow, text));
    area_printf(area, row, time_col, INK_QUIET, "%02d:%02d", civil.hour, civil.minute);
    Str line = {0};
    if (entry->voided && !narrow)
        str_adds(&line, "taken back: ");
    entry_tell(app, entry, &line);
    if (entry->voided)
        area_glyph(area, row, mark_col, INK_VOIDED, GLYPH_MARK_VOIDED);
    else if (discrepancy_of(app, &e->id) != NULL)
        area_glyph(area, row, mark_col, INK_CAUTION, GLYPH_MARK_CAUTION);
    area_cut(area, row, mark_col + 2, area.cols - mark_col - 3,
             entry->voided ? INK_VOIDED : INK_TEXT, (Text){line.s, line.n});
    if (!entry->voided)
        area_ink(area, row, mark_col + 2, width_ofs(kind_of((KindId)e->kind)->name), INK_STRONG);
    str_finish(&line);
}

static void draw_list(const App *app, const LogOwn *own, Area area)
{
    int count = log_rows_listed(app), top = list_top(&own->pane.list, area.rows);
    int day_cols = 0;
    for (int i = top; i < top + area.rows && i < app->found_count; i++) {
        char text[64];
        int width = width_ofs(log_day(app, app->found[i].event.at, area.cols < NARROW_COLS, text));
        day_cols = width > day_cols ? width : day_cols;
    }
    for (int row = 0; row < area.rows && top + row < count; row++) {
        draw_row(app, area, row, top + row, top, day_cols);
        if (top + row == own->pane.list.cursor)
            pane_cursor(area, row);
    }
    if (count == 0)
        area_wrap(area_cols(area, 0, area.cols - 1), 0, 3, INK_QUIET,
                  text_of(app->entries == 0 ? "The log is empty: f logs water into a vessel."
                                            : "No entry fits. c shows all of them again."));
}

static void draw_search(const App *app, const LogOwn *own, Area area)
{
    area_fill(area_part(area, 1, 1, 1, area.cols - 2), INK_ACTIVE, " ");
    area_puts(area, 1, 1, INK_ACTIVE, "/");
    entry_draw(&own->search, area, 1, 3, area.cols - 4);
    int col = 3 + width_ofs(own->search.text);
    const char *hint =
        app->entries <= LIVE_ENTRIES ? "Enter keeps, Esc clears" : "Enter searches, Esc clears";
    if (col + 4 + width_ofs(hint) < area.cols)
        area_right(area, 1, area.cols - 2, INK_ACTIVE, text_of(hint));
}

static void log_draw(const App *app, Area area)
{
    const LogOwn *own = log_own(app);
    int heads = area.rows >= 16 || own->typing ? 2 : 1;
    Facts facts = {0};
    Str filters = {0};
    log_facts(app, own, &facts);
    log_filters(app, own, &filters);
    Area body = area_rows(area, heads, area.rows - heads);
    PanePlan plan =
        pane_plan(&own->pane, body, facts_lines(&facts, pane_facts_cols(&own->pane, area.cols)));
    bool counted = !own->pane.closer && own->pane.list.count > plan.list.rows;
    pane_title(area_cols(area, 0, area.cols - (counted ? LOG_PLACE_COLS : 0)), "log", filters.s);
    if (counted)
        list_draw_place(&own->pane.list, plan.list.rows, area, 0);
    draw_list(app, own, plan.list);
    if (own->typing) /* after it: the cursor stands where is typed */
        draw_search(app, own, area);
    pane_draw_rule(&plan);
    facts_draw(&facts, plan.facts, own->pane.closer ? own->pane.scroll : 0);
    str_finish(&filters);
    facts_finish(&facts);
}

static const Action log_actions[] = {
    {'/', 0, "search", "search for a word: only entries that contain it", 1, act_search, 0},
    {'m', 0, "amend", "amend the chosen entry: it is taken back and written anew", 2, act_amend, 0},
    {'x', 0, "take this back", "take back the chosen entry; again: bring it back", 3, act_take_back,
     0},
    {'v', 0, "vessel", "only entries of the next vessel; V: of the one before", 4, act_vessel, 1},
    {'V', 0, "vessel before", "only entries of the vessel before", 0, act_vessel, -1},
    {PRESS_RIGHT, 'l', "kind", "only entries of the next kind; h or Left: of the one before", 5,
     act_kind, 1},
    {PRESS_LEFT, 'h', "kind before", "only entries of the kind before", 0, act_kind, -1},
    {'e', 0, "only such", "only entries of the chosen one's kind; again: all kinds", 0,
     act_only_this, 0},
    {'c', 0, "show all", "put search and filters away", 6, act_clear, 0},
    {PRESS_ENTER, 0, "closer", "the chosen entry alone, all of it; again: back to the list", 0,
     NULL, 0},
    {'j', PRESS_DOWN, "down", "an older entry; k or Up: a newer one", 0, NULL, 0},
    {'u', 0, "taken back", "hide or show what was taken back", 0, act_voided, 0},
    {'D', 0, "differs", "the next entry that does not agree with the rest of the log", 0,
     act_differs, 0},
    {'y', 0, "settle", "the chosen entry was looked at: it leaves the list of what differs", 0,
     act_settle, 0},
    {'o', 0, "older", "the entries before the oldest one in the list", 0, act_older, 0},
    {'n', 0, "newest", "back to the newest entries", 0, act_newest, 0},
};

const Screen SCREEN_LOG = {
    .name = "log",
    .gist = "every entry, newest first",
    .press = '2',
    .actions = log_actions,
    .action_count = sizeof log_actions / sizeof *log_actions,
    .own_size = sizeof(LogOwn),
    .open = log_open,
    .told = log_told,
    .draw = log_draw,
    .key = log_key,
};
