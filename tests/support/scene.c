#include "support/scene.h"
#include "model/tell.h"
#include "support/look.h"

/* clang-format off */
const char *const SCENE_SHEETS[SCENE_SHEET_COUNT] = {
    "", "0", "2", "2/holm", "2m", "3", "3\n", "3v", "3m", "3o", "3r", "4", "4\n", "4m", "5", "5v", "5+x",
    "6", "6\n", "6jj\n", "6jjjjjjjjjj\n", "6jjjjjjjjj\n\t\t\t500\t", "7", "7\n", "7m", "7n", "8", "8e", "9",
    "a", "a\n", "d", "f", "fA2\t\t99\t", "fZ9\tx\t99", "s", "t", "w", "z", "?"};
/* clang-format on */

const SceneSize SCENE_SIZES[SCENE_SIZE_COUNT] = {{24, 80, ALPHABET_UTF8},
                                                 {50, 132, ALPHABET_UTF8},
                                                 {12, 40, ALPHABET_UTF8},
                                                 {24, 80, ALPHABET_ASCII}};

static int scene_order(const void *a, const void *b)
{
    return event_compare(*(const Event *const *)a, *(const Event *const *)b);
}

/* The fold of everything that acts up to `until`, with one entry more where `extra` is given. */
static void scene_fold(const Scene *scene, const Event *extra, int extras, Moment until,
                       State *state)
{
    const Event **order = memory_get((size_t)(scene->count + extras + 1) * sizeof(void *));
    int n = 0;
    for (int i = 0; i < scene->count; i++) {
        bool out = scene->voided[i];
        for (int k = 0; k < extras; k++)
            out = out || (extra[k].kind == KIND_VOID &&
                          uuid_compare(&extra[k].u.entry.entry, &scene->log[i].id) == 0);
        if (!out && scene->log[i].at.ms <= until.ms)
            order[n++] = &scene->log[i];
    }
    for (int k = 0; k < extras; k++)
        order[n++] = &extra[k];
    qsort(order, (size_t)n, sizeof(void *), scene_order);
    state_init(state);
    for (int i = 0; i < n; i++)
        fold_apply(state, order[i]);
    free(order);
}

void scene_tell(Scene *scene)
{
    State *state = memory_get(sizeof *state);
    Wish wish = {0};
    scene_fold(scene, NULL, 0, (Moment){INT64_MAX}, state);
    app_tell(scene->app, state, scene->count, scene->now, &wish);
    Entry *recent = memory_get(APP_RECENT * sizeof *recent);
    int n = 0;
    bool *taken = memory_get((size_t)scene->count + 1);
    for (; n < APP_RECENT;) { /* newest by time first */
        int best = -1;
        for (int i = 0; i < scene->count; i++) {
            if (taken[i] || scene->voided[i] || scene->log[i].kind == KIND_VOID)
                continue;
            if (best < 0 || event_compare(&scene->log[i], &scene->log[best]) > 0)
                best = i;
        }
        if (best < 0)
            break;
        taken[best] = true;
        recent[n++] = (Entry){scene->log[best], false};
    }
    app_tell_recent(scene->app, recent, n);
    free(taken);
    free(recent);
    free(state);
    scene_grant(scene, wish);
}

/* The n-th void that names an entry: what strike.h asks for. */
static bool scene_nth_void(void *context, const Uuid *target, size_t n, Uuid *void_id)
{
    const Scene *scene = context;
    for (int i = 0; i < scene->count; i++) {
        const Event *e = &scene->log[i];
        if (e->kind != KIND_VOID || uuid_compare(&e->u.entry.entry, target) != 0)
            continue;
        if (n-- == 0) {
            *void_id = e->id;
            return true;
        }
    }
    return false;
}

void scene_write(Scene *scene, Event *e)
{
    uint8_t random[10] = {0};
    assert_true(scene->count < SCENE_LOG_MAX);
    random[8] = (uint8_t)(scene->count >> 8);
    random[9] = (uint8_t)scene->count;
    e->id = uuid_v7(scene->now, random);
    scene->log[scene->count++] = *e;
    if (e->kind == KIND_VOID) {
        VoidSource source = {scene, scene_nth_void};
        for (int i = 0; i < scene->count; i++)
            scene->voided[i] = strike_holds(&source, &scene->log[i].id);
    }
}

static void scene_append(Scene *scene)
{
    App *app = scene->app;
    State *before = memory_get(sizeof *before);
    Fault fault = {0};
    bool good = true;
    for (int i = 0; i < app->outbox_count && good; i++) {
        Event *e = &app->outbox[i];
        scene_fold(scene, app->outbox, i, (Moment){e->at.ms}, before);
        good = e->kind == KIND_VOID || event_check(before, e, scene->now, &fault);
    }
    free(before);
    if (!good) {
        memcpy(scene->refusal, fault.text, sizeof scene->refusal);
        app_refused(app, &fault);
        return;
    }
    for (int i = 0; i < app->outbox_count; i++)
        scene_write(scene, &app->outbox[i]);
    app_written(app, app->outbox,
                app->outbox_count); /* closes the form: the screen below it is told */
    scene_tell(scene);
}

static void scene_try(Scene *scene)
{
    App *app = scene->app;
    State *states = memory_get(3 * sizeof *states);
    Fault fault = {0};
    Event *last = &app->outbox[app->outbox_count - 1];
    scene_fold(scene, app->outbox, app->outbox_count - 1, last->at, &states[2]);
    bool good = event_check(&states[2], last, scene->now, &fault);
    scene_fold(scene, NULL, 0, (Moment){INT64_MAX}, &states[0]);
    scene_fold(scene, app->outbox, app->outbox_count, (Moment){INT64_MAX}, &states[1]);
    app_tried(app, &(Trial){&states[0], &states[1], scene->count, good ? NULL : &fault});
    free(states);
}

static bool scene_contains(const char *line, const char *part)
{
    Str a = {0}, b = {0};
    for (; *line; line++)
        str_addc(&a, *line >= 'A' && *line <= 'Z' ? (char)(*line + 32) : *line);
    for (; *part; part++)
        str_addc(&b, *part >= 'A' && *part <= 'Z' ? (char)(*part + 32) : *part);
    bool found = !b.s || (a.s && strstr(a.s, b.s));
    str_finish(&a);
    str_finish(&b);
    return found;
}

/* As store/log.h's log_each with `contains`; names of vessels are looked for in the told line. */
static void scene_find(Scene *scene, const EntryQuery *query)
{
    const Event **order = memory_get((size_t)(scene->count + 1) * sizeof(void *));
    Entry *found = memory_get((size_t)(scene->count + 1) * sizeof *found);
    int n = 0, kept = 0;
    for (int i = 0; i < scene->count; i++)
        order[n++] = &scene->log[i];
    qsort(order, (size_t)n, sizeof(void *), scene_order);
    for (int i = n - 1; i >= 0; i--) {
        const Event *e = order[i];
        bool voided = scene->voided[e - scene->log];
        Str line = {0};
        event_tell(e, scene->app->units, true, &line);
        bool wanted = (query->voided || (!voided && e->kind != KIND_VOID)) &&
                      (query->kind == 0 || query->kind == e->kind) &&
                      (!moment_known(query->since) || e->at.ms >= query->since.ms) &&
                      (!moment_known(query->until) || e->at.ms <= query->until.ms) &&
                      scene_contains(line.s, query->contains) &&
                      scene_contains(line.s, query->vessel.s);
        str_finish(&line);
        if (wanted)
            found[kept++] = (Entry){*e, voided};
    }
    int limit = query->limit > 0 ? query->limit : 1;
    app_found(scene->app, found, kept < limit ? kept : limit, kept > limit);
    free(found);
    free(order);
}

static void scene_history(Scene *scene, const HistoryQuery *query)
{
    History *history = memory_get(sizeof *history);
    State *state = memory_get(sizeof *state);
    history->query = *query;
    for (int i = 0; i < query->count; i++) {
        int64_t span = query->until.ms - query->since.ms;
        Moment at = {query->since.ms + span * i / (query->count - 1)};
        scene_fold(scene, NULL, 0, at, state);
        if (label_empty(&query->vessel)) {
            Quality quality;
            history->volume[i] = view_water(state, &quality);
            history->quality[i] = (uint8_t)quality;
            continue;
        }
        int v = state_vessel(state, &query->vessel);
        history->volume[i] = v < 0 ? -1 : state->vessels[v].volume;
        history->quality[i] = v < 0 ? 0 : state->vessels[v].quality;
    }
    app_history(scene->app, history);
    free(state);
    free(history);
}

static void scene_season_told(Scene *scene, Moment since)
{
    Season *season = memory_get(sizeof *season);
    State *state = memory_get(sizeof *state);
    const Event **order = memory_get((size_t)scene->count * sizeof(void *) + 1);
    int n = 0;
    for (int i = 0; i < scene->count; i++)
        if (!scene->voided[i] && scene->log[i].kind != KIND_VOID)
            order[n++] = &scene->log[i];
    qsort(order, (size_t)n, sizeof(void *), scene_order);
    state_init(state);
    season_begin(season, since, MOMENT_NONE, scene->now);
    for (int i = 0; i < n; i++)
        season_take(season, state, order[i]);
    season_end(season, state);
    app_season(scene->app, season);
    free(order);
    free(state);
}

static void scene_take_back(Scene *scene)
{
    for (int i = scene->count - 1; i >= 0; i--) {
        if (scene->voided[i] || scene->log[i].kind == KIND_VOID)
            continue;
        Event taken = scene->log[i], e;
        event_clear(&e, KIND_VOID);
        e.at = scene->now;
        e.has = 1;
        e.u.entry.entry = taken.id;
        scene_write(scene, &e);
        scene_tell(scene);
        app_took_back(scene->app, &taken, 1);
        return;
    }
    Fault fault = {0};
    fault_set(&fault, FAULT_REFUSED, "There is no entry to take back.");
    app_refused(scene->app, &fault);
}

void scene_grant(Scene *scene, Wish wish)
{
    switch (wish.kind) {
    case WISH_NOTHING:
        break;
    case WISH_QUIT:
        scene->quit = true;
        break;
    case WISH_SUSPEND:
        scene->suspended++;
        break;
    case WISH_THEME:
    case WISH_REDRAW:
        scene->redrawn++;
        break;
    case WISH_APPEND:
        scene_append(scene);
        break;
    case WISH_TRY:
        scene_try(scene);
        break;
    case WISH_TAKE_BACK:
        scene_take_back(scene);
        break;
    case WISH_FIND:
        scene_find(scene, &wish.query);
        break;
    case WISH_HISTORY:
        scene_history(scene, &wish.history);
        break;
    case WISH_STORY:
        scene_history(scene, &wish.history);
        scene_find(scene, &wish.query);
        break;
    case WISH_SEASON:
        scene_season_told(scene, wish.since);
        break;
    case WISH_BRING_BACK: /* tests/tui/test_grant.c */
    case WISH_REOPEN:
    case WISH_UNITS:
        break;
    }
}

void scene_press(Scene *scene, Press press)
{
    Wish wish;
    app_key(scene->app, press, &wish);
    scene_grant(scene, wish);
}

int scene_keys(Scene *scene, const char *keys)
{
    int n = 0;
    Text text = text_of(keys);
    for (size_t at = 0; at < text.n; n++) {
        Press press = text_next(text, &at);
        if (press == '\n')
            press = PRESS_ENTER;
        else if (press == 0x1b)
            press = PRESS_ESC;
        else if (press == '\b')
            press = PRESS_BACKSPACE;
        scene_press(scene, press);
    }
    return n;
}

void scene_entry(Scene *scene, const char *when, KindId kind, ...)
{
    Event e;
    Fault fault = {0};
    int zone;
    State *state = memory_get(sizeof *state);
    event_clear(&e, kind);
    if (!moment_parse(text_of(when), scene->now, &e.at, &zone, &fault))
        fail_msg("%s", fault.text);
    e.zone = zone;
    scene_fold(scene, NULL, 0, e.at, state);
    va_list pairs;
    va_start(pairs, kind);
    for (const char *name; (name = va_arg(pairs, const char *)) != NULL;) {
        const char *value = va_arg(pairs, const char *);
        if (strcmp(name, "note") == 0) {
            snprintf(e.note, sizeof e.note, "%s", value);
            continue;
        }
        int field = kind_field(kind_of(kind), text_of(name));
        Reading reading = {state, scene->now, UNITS_METRIC};
        if (field < 0 || !event_set(&e, field, text_of(value), &reading, &fault))
            fail_msg("%s %s %s: %s", kind_of(kind)->name, name, value, fault.text);
    }
    va_end(pairs);
    if (!event_check(state, &e, scene->now, &fault))
        fail_msg("%s: %s", kind_of(kind)->name, fault.text);
    free(state);
    scene_write(scene, &e);
}

Scene *scene_open(int rows, int cols, Scheme scheme, Alphabet alphabet)
{
    setenv("TZ", "UTC", 1);
    tzset();
    setlocale(LC_CTYPE, "C.UTF-8");
    Scene *scene = memory_get(sizeof *scene);
    scene->log = memory_get(SCENE_LOG_MAX * sizeof *scene->log);
    scene->voided = memory_get(SCENE_LOG_MAX * sizeof *scene->voided);
    scene->now = (Moment){INT64_C(1795545720000)};
    scene->app = app_create(&SCREENS, rows, cols, scheme, alphabet, alphabet == ALPHABET_ASCII);
    sheet_init(&scene->sheet, rows, cols);
    scene_tell(scene);
    return scene;
}

void scene_close(Scene *scene)
{
    app_destroy(scene->app);
    sheet_finish(&scene->sheet);
    free(scene->log);
    free(scene->voided);
    free(scene);
}

Scene *scene_season(int rows, int cols, Scheme scheme, Alphabet alphabet)
{
    static const char *const line[] = {"A1", "A2", "A3", "A4"};
    Scene *scene = scene_open(rows, cols, scheme, alphabet);
    for (int i = 0; i < 4; i++)
        scene_entry(scene, "-20d", KIND_VESSEL, "vessel", line[i], "capacity", "12", "heel", "0.2",
                    "tare_kg", "3.1", "level", "empty", NULL);
    scene_entry(scene, "-20d", KIND_VESSEL, "vessel", "R1", "capacity", "12", "heel", "0.2", "duty",
                "reserve", "level", "empty", NULL);
    scene_entry(scene, "-20d", KIND_VESSEL, "vessel", "W1", "capacity", "10", "duty", "wash",
                "class", "non-potable", "level", "2.1", NULL);
    for (int i = 0; i < 4; i++)
        scene_entry(scene, "-20d", KIND_SANITISE, "vessel", line[i], NULL);
    scene_entry(scene, "-20d", KIND_SANITISE, "vessel", "R1", NULL);
    scene_entry(scene, "-20d", KIND_SOURCE, "source", "Holm tap", "type", "mains", "class",
                "potable", NULL);
    scene_entry(scene, "-20d", KIND_SOURCE, "source", "Alder spring", "type", "spring", NULL);
    scene_entry(scene, "-20d", KIND_COUPLE, "line", "galley", "order", "A1,A2,A3,A4", NULL);
    scene_entry(scene, "-20d", KIND_STAGE, "stage", "sediment", "type", "sediment", "line",
                "galley", "position", "1", "life_litres", "600", "life_days", "180", NULL);
    scene_entry(scene, "-20d", KIND_STAGE, "stage", "carbon", "type", "carbon-block", "line",
                "galley", "position", "2", "life_litres", "150", NULL);
    scene_entry(scene, "-20d", KIND_STAGE, "stage", "lamp", "type", "uv", "line", "galley",
                "position", "3", "life_hours", "9000", "lamp", "always", NULL);
    scene_entry(scene, "-20d", KIND_SPARES, "stage", "sediment", "count", "1", NULL);
    scene_entry(scene, "-20d", KIND_CREW, "persons", "2", NULL);
    for (int i = 0; i < 4; i++)
        scene_entry(scene, "-19d", KIND_FILL, "vessel", line[i], "litres", "full", "source",
                    "Holm tap", NULL);
    scene_entry(scene, "-19d", KIND_FILL, "vessel", "R1", "litres", "full", "source", "Holm tap",
                NULL);
    for (int day = 18; day >= 2; day--) {
        char when[32];
        snprintf(when, sizeof when, "-%dd", day);
        scene_entry(scene, when, KIND_DRAW, "line", "galley", "litres", day % 3 ? "6.5" : "8",
                    "purpose", day % 2 ? "cook" : "dishes", NULL);
        if (day % 5 == 3) {
            for (int i = 0; i < 4; i++)
                scene_entry(scene, when, KIND_FILL, "vessel", line[i], "litres", "full", "source",
                            "Holm tap", NULL);
        }
    }
    scene_entry(scene, "yesterday 09:12", KIND_FILL, "vessel", "A4", "litres", "full", "source",
                "Holm tap", NULL);
    scene_entry(scene, "yesterday 18:30", KIND_DRAW, "line", "galley", "litres", "6.2", "purpose",
                "wash", NULL);
    scene_entry(scene, "18:30", KIND_DRAW, "line", "galley", "litres", "3.5", "purpose", "cook",
                NULL);
    scene_entry(scene, "18:31", KIND_STOP, "stop", "Holm tap", "eta", "2026-11-27 12:00", NULL);
    scene_tell(scene);
    return scene;
}

const char *scene_draw(Scene *scene, Str *out)
{
    app_draw(scene->app, &scene->sheet);
    str_clear(out);
    sheet_dump(&scene->sheet, out);
    return out->s;
}

bool scene_shows(Scene *scene, const char *part)
{
    Str text = {0};
    bool shows = strstr(scene_draw(scene, &text), part) != NULL;
    if (!shows)
        printf("not on the sheet: \"%s\"\n%s", part, text.s);
    str_finish(&text);
    return shows;
}

void scene_golden_sheet(Scene *scene, const char *name)
{
    Str text = {0};
    char full[200];
    scene_draw(scene, &text);
    snprintf(full, sizeof full, "%s-%dx%d-%s", name, scene->app->cols, scene->app->rows,
             scene->app->alphabet == ALPHABET_UTF8 ? "utf8" : "ascii");
    golden_text(full, &text);
    str_finish(&text);
}

void scene_golden_inks(Scene *scene, const char *name)
{
    Str text = {0};
    char full[200];
    app_draw(scene->app, &scene->sheet);
    sheet_dump_inks(&scene->sheet, &text);
    snprintf(full, sizeof full, "%s-%dx%d-inks", name, scene->app->cols, scene->app->rows);
    golden_text(full, &text);
    str_finish(&text);
}

static void golden_size(const char *name, const char *go, const SceneSize *size)
{
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, size->alphabet);
    scene_keys(scene, go);
    app_resize(scene->app, size->rows, size->cols);
    scene_tell(scene); /* as the loop does */
    scene_golden_sheet(scene, name);
    scene_close(scene);
}

void scene_golden_sizes(const char *name, const char *go)
{
    for (int i = 0; i < SCENE_GOLDEN_COUNT; i++)
        golden_size(name, go, &SCENE_SIZES[i]);
}

void scene_golden_ascii(const char *name, const char *go)
{
    golden_size(name, go, &SCENE_SIZES[SCENE_SIZE_COUNT - 1]);
}
