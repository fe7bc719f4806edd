#include "tui/grant.h"

#include "base/memory.h"
#include "model/fold.h"
#include "model/tell.h"
#include "outlook/forecast_view.h"
#include "store/running.h"
#include "store/sync.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { FIND_LIMIT = 2000, DEPTH_MAX = 4 };

void grant_init(Grant *grant, Log *log, App *app)
{
    *grant = (Grant){.log = log, .app = app, .version = -1};
}

void grant_finish(Grant *grant)
{
    *grant = (Grant){0};
}

static void grant_refused(Grant *grant, Fault *fault)
{
    if (log_moved(grant->log))
        fault_suffix(fault, " O opens what is there.");
    app_refused(grant->app, fault);
}

/* ---- reading ---- */

static int lower(char c)
{
    return c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c;
}

static bool holds(Text line, const char *part)
{
    size_t n = strlen(part);
    for (size_t at = 0; at + n <= line.n; at++) {
        size_t i = 0;
        while (i < n && lower(line.s[at + i]) == lower(part[i]))
            i++;
        if (i == n)
            return true;
    }
    return false;
}

typedef struct {
    Entry *entries;
    int count, limit;
    bool more;
    const char *contains;
    Units units;
    Str line;
} Gather;

static bool gather(void *context, const Event *e, bool voided)
{
    Gather *g = context;
    if (g->contains[0]) {
        str_clear(&g->line);
        event_tell(e, g->units, true, &g->line);
        if (!holds((Text){g->line.s, g->line.n}, g->contains))
            return true;
    }
    if (g->count == g->limit) {
        g->more = true;
        return false;
    }
    if (g->count % 64 == 0)
        g->entries = memory_resize(g->entries, (size_t)(g->count + 64) * sizeof *g->entries);
    g->entries[g->count++] = (Entry){*e, voided};
    return true;
}

static bool grant_gather(Grant *grant, const EntryQuery *asked, Gather *g, Fault *fault)
{
    LogQuery query = {.since = asked->since,
                      .until = asked->until,
                      .vessel = asked->vessel,
                      .kind = asked->kind,
                      .voided = asked->voided,
                      .newest_first = true,
                      .limit = asked->contains[0] ? 0 : asked->limit + 1};
    *g = (Gather){.limit = asked->limit, .contains = asked->contains, .units = grant->app->units};
    bool good = log_each(grant->log, &query, gather, g, fault);
    str_finish(&g->line);
    return good;
}

static bool grant_recent(Grant *grant, Fault *fault)
{
    EntryQuery query = {.since = MOMENT_NONE, .until = MOMENT_NONE, .limit = APP_RECENT};
    Gather g;
    bool good = grant_gather(grant, &query, &g, fault);
    if (good)
        app_tell_recent(grant->app, g.entries, g.count);
    free(g.entries);
    return good;
}

static void grant_find(Grant *grant, const EntryQuery *asked)
{
    EntryQuery query = *asked;
    Fault fault = {0};
    Gather g;
    if (query.limit < 1 || query.limit > FIND_LIMIT)
        query.limit = FIND_LIMIT;
    if (grant_gather(grant, &query, &g, &fault))
        app_found(grant->app, g.entries, g.count, g.more);
    else
        grant_refused(grant, &fault);
    free(g.entries);
}

static void history_look(void *context, int i, const State *state)
{
    History *history = context;
    if (label_empty(&history->query.vessel)) { /* all that is counted on */
        Quality quality;
        history->volume[i] = view_water(state, &quality);
        history->quality[i] = (uint8_t)quality;
    } else {
        const int v = state_vessel(state, &history->query.vessel);
        history->volume[i] = v < 0 ? -1 : state->vessels[v].volume;
        history->quality[i] = v < 0 ? 0 : state->vessels[v].quality;
    }
}

static void grant_history(Grant *grant, const HistoryQuery *asked)
{
    History *history = memory_get(sizeof *history);
    Fault fault = {0};
    HistoryQuery *query = &history->query;
    *query = *asked;
    if (query->count < 2)
        query->count = 2;
    if (query->count > APP_HISTORY)
        query->count = APP_HISTORY;
    if (log_sample(grant->log, (LogSpan){query->since, query->until, query->count}, history_look,
                   history, &fault))
        app_history(grant->app, history);
    else
        grant_refused(grant, &fault);
    free(history);
}

typedef struct {
    State state;
    Season *season;
} SeasonWalk;

static bool season_visit(void *context, const Event *e, bool voided)
{
    SeasonWalk *walk = context;
    (void)voided;
    season_take(walk->season, &walk->state, e);
    return true;
}

static void grant_season(Grant *grant, Moment since)
{
    SeasonWalk *walk = memory_get(sizeof *walk);
    Fault fault = {0};
    const LogQuery query = {.since = MOMENT_NONE, .until = grant->app->now};
    walk->season = memory_get(sizeof *walk->season);
    state_init(&walk->state);
    season_begin(walk->season, since, MOMENT_NONE, grant->app->now);
    if (log_each(grant->log, &query, season_visit, walk, &fault)) {
        season_end(walk->season, &walk->state);
        app_season(grant->app, walk->season);
    } else {
        season_finish(walk->season);
        free(walk->season);
        grant_refused(grant, &fault);
    }
    free(walk);
}

/* ---- telling ---- */

static bool grant_machines(Grant *grant, Fault *fault)
{
    Str folder = {0};
    const bool good = log_sync_folder(grant->log, &folder, &grant->app->heard, fault) &&
                      log_sync_machines(grant->log, &grant->app->machines, fault);
    str_finish(&folder);
    return good;
}

static bool grant_tell(Grant *grant, Moment now, Fault *fault)
{
    int64_t entries = 0, version = grant->version;
    Wish wish = {0};
    /* The version first: what is written in between is told twice rather than never. */
    if (!log_version(grant->log, &version, fault) || !grant_machines(grant, fault) ||
        !grant_recent(grant, fault))
        return false;
    const State *state = log_state_lent(grant->log, NULL, &entries, fault);
    if (state == NULL)
        return false;
    grant->version = version;
    app_tell(grant->app, state, entries, now, &wish);
    grant_wish(grant, &wish);
    return true;
}

bool grant_first(Grant *grant, Moment now, Fault *fault)
{
    if (!grant_tell(grant, now, fault))
        return false;
    const Screen *set_up = app_screen(grant->app, "set-up");
    if (grant->app->entries == 0 && set_up != NULL) {
        Wish wish = {0};
        app_open(grant->app, set_up, &wish);
        grant_wish(grant, &wish);
    }
    return true;
}

/* What feeds tell without an entry. */
static bool grant_runs(Grant *grant, Moment now)
{
    Running running[LINES_MAX];
    memset(running, 0, sizeof running);
    const int count = running_read(log_path(grant->log), &grant->app->state, now, running);
    return app_runs(grant->app, running, count, now);
}

bool grant_look(Grant *grant, Moment now)
{
    int64_t version = grant->version;
    Fault fault = {0};
    const bool runs = grant_runs(grant, now);
    if (log_version(grant->log, &version, &fault) && version == grant->version)
        return runs;
    if (fault.kind != FAULT_NONE || !grant_tell(grant, now, &fault))
        grant_refused(grant, &fault);
    return true;
}

/* ---- writing ---- */

static void grant_append(Grant *grant)
{
    App *app = grant->app;
    Fault fault = {0};
    int count = app->outbox_count;
    if (count == 0)
        return;
    if (!log_append_all(grant->log, app->outbox, count, app->now, NULL, &fault)) {
        grant_refused(grant, &fault);
        return;
    }
    for (int i = 0; i < count; i++)
        grant->written[i] = app->outbox[i].id;
    grant->written_count = count;
    app_written(app, app->outbox, count); /* closes the form: the screen below it is told then */
    if (!grant_tell(grant, app->now, &fault))
        grant_refused(grant, &fault);
}

static void grant_try(Grant *grant)
{
    App *app = grant->app;
    Fault fault = {0};
    State *states = memory_get(2 * sizeof *states);
    Event *events = memory_get((size_t)app->outbox_count * sizeof *events + 1);
    memcpy(events, app->outbox, (size_t)app->outbox_count * sizeof *events);
    bool good =
        log_append_all(grant->log, events, app->outbox_count, app->now,
                       &(LogTry){.dry = true, .before = &states[0], .after = &states[1]}, &fault);
    app_tried(app, &(Trial){&states[0], &states[1], app->entries, good ? NULL : &fault});
    free(events);
    free(states);
}

/* Voids of several entries, in one transaction; their ids go to `out`. */
static bool grant_void(Grant *grant, const Uuid *ids, int count, Uuid *out, Fault *fault)
{
    const Moment now = grant->app->now;
    Event *voids = memory_get((size_t)count * sizeof *voids + 1);
    for (int i = 0; i < count; i++) /* the latest first */
        event_about(&voids[i], KIND_VOID, &ids[count - 1 - i], now);
    const bool good = log_append_all(grant->log, voids, count, now, NULL, fault);
    for (int i = 0; i < count && good; i++)
        out[i] = voids[i].id;
    free(voids);
    return good;
}

static bool written_together(const Grant *grant, const Uuid *id)
{
    for (int i = 0; i < grant->written_count; i++)
        if (uuid_compare(&grant->written[i], id) == 0)
            return true;
    return false;
}

/* What another machine wrote, or nobody knows who, is not taken back unasked. */
static bool take_back_asks(Grant *grant, const Event *taken, bool own)
{
    char when[64];
    Str line = {0};
    if (own || grant->app->demo || uuid_compare(&grant->asked, &taken->id) == 0)
        return false;
    grant->asked = taken->id;
    event_tell(taken, grant->app->units, true, &line);
    app_say(grant->app, INK_NOTICE,
            "Nothing more was written here. The latest entry of all is %s (%s): z again takes it "
            "back all the same.",
            line.s, app_time(grant->app, taken->at, when));
    str_finish(&line);
    return true;
}

static void grant_take_back(Grant *grant)
{
    App *app = grant->app;
    Fault fault = {0};
    bool own = false;
    Event *taken = memory_get(sizeof *taken);
    if (!log_last(grant->log, taken, &own, &fault)) {
        grant_refused(grant, &fault);
    } else if (!take_back_asks(grant, taken, own)) {
        const bool all = grant->written_count > 1 && written_together(grant, &taken->id);
        int count = all ? grant->written_count : 1;
        bool good = all && grant_void(grant, grant->written, count, grant->taken, &fault);
        if (!good) { /* one of them may be out already */
            count = 1;
            good = grant_void(grant, &taken->id, 1, grant->taken, &fault);
        }
        if (good && grant_tell(grant, app->now, &fault)) {
            grant->taken_count = count;
            app_took_back(app, taken, count);
        } else {
            grant_refused(grant, &fault);
        }
    }
    free(taken);
}

static void grant_bring_back(Grant *grant)
{
    Fault fault = {0};
    Uuid ignored[APP_OUTBOX];
    const int count = grant->taken_count;
    if (count == 0) {
        app_say(grant->app, INK_NOTICE, "Nothing was taken back here since the board was opened.");
    } else if (grant_void(grant, grant->taken, count, ignored, &fault) &&
               grant_tell(grant, grant->app->now, &fault)) {
        grant->taken_count = 0;
        app_brought_back(grant->app, count);
    } else {
        grant_refused(grant, &fault);
    }
}

static void grant_reopen(Grant *grant)
{
    Fault fault = {0};
    if (log_reopen(grant->log, &fault) && grant_tell(grant, grant->app->now, &fault))
        app_say(grant->app, INK_MESSAGE, "Opened anew: %s.", log_path(grant->log));
    else
        app_refused(grant->app, &fault);
}

void grant_wish(Grant *grant, const Wish *wish)
{
    Fault fault = {0};
    if (grant->depth >= DEPTH_MAX)
        return; /* a screen that wishes anew at every answer is not followed for ever */
    grant->depth++;
    switch (wish->kind) {
    case WISH_QUIT:
        grant->quit = true;
        break;
    case WISH_APPEND:
        grant_append(grant);
        break;
    case WISH_TRY:
        grant_try(grant);
        break;
    case WISH_TAKE_BACK:
        grant_take_back(grant);
        break;
    case WISH_BRING_BACK:
        grant_bring_back(grant);
        break;
    case WISH_FIND:
        grant_find(grant, &wish->query);
        break;
    case WISH_HISTORY:
        grant_history(grant, &wish->history);
        break;
    case WISH_STORY:
        grant_history(grant, &wish->history);
        grant_find(grant, &wish->query);
        break;
    case WISH_SEASON:
        grant_season(grant, wish->since);
        break;
    case WISH_UNITS:
        if (!log_set_units(grant->log, grant->app->units, &fault))
            grant_refused(grant, &fault);
        break;
    case WISH_THEME:
        if (!grant->app->demo &&
            !log_set_look(grant->log, "theme", "", scheme_name(grant->app->scheme), &fault))
            grant_refused(grant, &fault);
        break;
    case WISH_REOPEN:
        grant_reopen(grant);
        break;
    case WISH_NOTHING:
    case WISH_SUSPEND:
    case WISH_REDRAW:
        break;
    }
    grant->depth--;
}
