#include "screens/words.h"

#include "model/field.h"
#include "outlook/service.h"
#include "outlook/words.h"
#include "paint/width.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

typedef struct {
    const App *app;
    Words *out;
    int count;
} Writer;

static Words *words_add(Writer *w, WordsAbout about, const char *caption, Ink ink)
{
    /* WORDS_MAX covers every list at its longest; were it not so, the last sentence would give way.
     */
    Words *words = &w->out[w->count < WORDS_MAX ? w->count++ : WORDS_MAX - 1];
    memset(words, 0, sizeof *words);
    words->about = about;
    words->caption = caption;
    words->ink = ink;
    return words;
}

__attribute__((format(printf, 2, 3))) static void say(Words *words, const char *format, ...)
{
    size_t n = strlen(words->text);
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(words->text + n, sizeof words->text - n, format, arguments);
    va_end(arguments);
}

/* What was said so far is the part that is looked for. */
static void say_strong(Words *words)
{
    words->strong = strlen(words->text);
}

static double days_to(const App *app, Moment m)
{
    double days = (double)(m.ms - app->now.ms) / (double)MS_PER_DAY;
    return days > 0 ? days : 0;
}

/* "Sun 29 Nov (3.2-5.4 days)". */
static void say_band(const App *app, Words *words, const Band *band)
{
    char date[64];
    if (!moment_known(band->p50)) {
        if (moment_known(band->p10))
            say(words, "at least to %s", app_date(app, band->p10, date));
        else
            say(words, "no end in sight at this rate");
        return;
    }
    say(words, "to %s", app_date(app, band->p50, date));
    if (moment_known(band->p10) && moment_known(band->p90))
        say(words, " (%.1f%s%.1f days)", days_to(app, band->p10), glyph(app->alphabet, GLYPH_TO),
            days_to(app, band->p90));
    else if (moment_known(band->p10))
        say(words, " (%.1f days or more)", days_to(app, band->p10));
}

Ink words_verdict_ink(const BoardLine *line)
{
    switch (line->delivers ? line->verdict : VERDICT_NONE) {
    case VERDICT_DRINK:
        return line->doubt.stale || (line->doubt.marks & MARK_RAW) != 0 ? INK_VERDICT_CARE
                                                                        : INK_VERDICT_GOOD;
    case VERDICT_DRINK_IF_TREATED:
    case VERDICT_BOIL_FIRST:
        return INK_VERDICT_CARE;
    case VERDICT_NONE:
    case VERDICT_WASH_ONLY:
        break;
    }
    return INK_VERDICT_BAD;
}

const char *words_class(const App *app, Quality quality, int columns)
{
    static const char *const SHORT[CLASS_COUNT] = {"pot.", "quest.", "non-p."};
    static const char *const LEAST[CLASS_COUNT] = {"pot.", "quest", "non-p"};
    if (columns >= width_ofs(quality_name(quality)))
        return quality_name(quality);
    if (columns >= 8)
        return quality_short(quality);
    if (columns == 5)
        return LEAST[quality];
    if (columns >= 6)
        return SHORT[quality];
    return glyph(app->alphabet, glyph_mark(quality));
}

void words_life(const BoardStage *stage, char out[16])
{
    if (stage->state == SERVICE_DUE)
        snprintf(out, 16, "due");
    else if (stage->life_left >= 0)
        service_life_text(stage->life_left, out);
    else
        snprintf(out, 16, "%s", service_state_name(stage->state));
}

static void write_water(Writer *w)
{
    const App *app = w->app;
    const Board *board = &app->board;
    char volume[64];
    if (board->line_count == 0 && board->vessel_count == 0)
        return;
    bool some = board->supply.line > 0;
    Words *words = words_add(w, WORDS_WATER, "Water", some ? INK_STRONG : INK_WARNING);
    say(words, "%s", some ? app_volume(app, board->supply.line, volume) : "nothing");
    say_strong(words);
    say(words, some ? " on the line" : " to be had on the line");
    if (board->outlook_known && some) {
        char date[64];
        say(words, ", lasts ");
        say_band(app, words, &board->to_reserve);
        if (moment_known(board->to_reserve.p50))
            snprintf(words->brief, sizeof words->brief, "%s, to %s", volume,
                     app_date(app, board->to_reserve.p50, date));
    }
}

static Ink reserve_ink(ReserveState state)
{
    switch (state) {
    case RESERVE_INTACT:
        return INK_GOOD;
    case RESERVE_SHORT:
        return INK_CAUTION;
    case RESERVE_IN_USE:
    case RESERVE_SPENT:
        return INK_WARNING;
    case RESERVE_NONE:
        break;
    }
    return INK_QUIET;
}

static const char *level_words(const App *app, int64_t ml, char *out)
{
    return ml == 0 ? "empty" : app_volume(app, ml, out);
}

static void write_reserve(Writer *w)
{
    const App *app = w->app;
    const Board *board = &app->board;
    char text[64];
    if (board->vessel_count == 0)
        return;
    Words *words = words_add(w, WORDS_RESERVE, "Reserve", reserve_ink(board->reserve));
    say(words, "%s",
        board->reserve == RESERVE_NONE ? "none kept" : reserve_state_name(board->reserve));
    say_strong(words);
    if (board->reserve == RESERVE_NONE)
        return;
    say(words, ":");
    for (int i = 0; i < board->vessel_count; i++) {
        const BoardVessel *v = &board->vessels[i];
        if (v->place == PLACE_RESERVE) {
            say(words, " %s %s", v->label.s, level_words(app, v->volume, text));
            if (v->quality != CLASS_POTABLE)
                say(words, " %s", quality_name(v->quality));
        }
    }
    if (board->outlook_known && moment_known(board->to_empty.p50) &&
        moment_known(board->to_reserve.p50)) {
        double more = days_to(app, board->to_empty.p50) - days_to(app, board->to_reserve.p50);
        if (more > 0)
            say(words, ", +%.1f days", more);
    }
}

static void write_apart(Writer *w)
{
    const Board *board = &w->app->board;
    char text[64];
    Words *words = NULL;
    for (int i = 0; i < board->vessel_count; i++) {
        const BoardVessel *v = &board->vessels[i];
        if (v->place != PLACE_APART || v->position > 0)
            continue;
        if (!words)
            words = words_add(w, WORDS_APART, "Apart", INK_TEXT);
        Str class = {0};
        class_tell(v, &class);
        say(words, "%s%s %s %s", words->text[0] ? ", " : "", v->label.s,
            level_words(w->app, v->volume, text), class.s);
        str_finish(&class);
    }
}

static void write_expected(Writer *w)
{
    const Board *board = &w->app->board;
    char low[64], high[64];
    Words *words = NULL;
    for (int i = 0; i < board->vessel_count; i++) {
        const BoardVessel *v = &board->vessels[i];
        if (v->expected_high - v->expected_low < 100)
            continue;
        if (!words) {
            words = words_add(w, WORDS_EXPECTED, "Expected", INK_BAND);
            say_strong(words);
        }
        say(words, "%s%s %s%s%s", words->text[0] ? ", " : "", v->label.s,
            app_volume_bare(w->app, v->expected_low, low), glyph(w->app->alphabet, GLYPH_TO),
            app_volume(w->app, v->expected_high, high));
    }
    if (words)
        say(words, ", with the cups that nobody logs");
}

static void write_stages(Writer *w)
{
    const Board *board = &w->app->board;
    char life[16];
    Words *words = NULL;
    for (int l = 0; l < board->line_count; l++) {
        const BoardLine *line = &board->lines[l];
        for (int i = 0; i < line->stage_count; i++) {
            const BoardStage *stage = &board->stages[line->stages[i]];
            if (!words)
                words = words_add(w, WORDS_STAGES, "Stages", INK_TEXT);
            words_life(stage, life);
            say(words, "%s%s %s", words->text[0] ? ", " : "", stage->label.s, life);
            if (stage->state != SERVICE_OK && stage->life_left >= 0)
                say(words, " %s", service_state_name(stage->state));
        }
    }
}

static void say_due(const App *app, Words *words, const DueItem *item)
{
    char date[64];
    if (item->state == SERVICE_SOON && moment_known(item->at))
        snprintf(words->brief, sizeof words->brief, "%s %s", item->about.s,
                 app_date(app, item->at, date));
    else if (item->state != SERVICE_OK)
        snprintf(words->brief, sizeof words->brief, "%s", item->about.s);
    say(words, "%s", item->what);
    if (item->state != SERVICE_OK)
        say_strong(words);
    if (moment_known(item->at))
        say(words, " %s", app_date(app, item->at, date));
    if (item->state != SERVICE_OK && item->why[0])
        say(words, " (%s)", item->why);
}

/* What is due or soon has a sentence each; what comes later shares one. */
static void write_due(Writer *w)
{
    static const struct {
        const char *caption;
        Ink ink;
    } STATES[] = {{"Later", INK_TEXT}, {"Due soon", INK_CAUTION}, {"Due now", INK_WARNING}};
    DueItem items[DUE_MAX];
    int count = board_due(&w->app->board, items), later = 0;
    for (int i = 0; i < count; i++) {
        if (items[i].state == SERVICE_OK)
            continue;
        say_due(w->app,
                words_add(w, WORDS_DUE, STATES[items[i].state].caption, STATES[items[i].state].ink),
                &items[i]);
    }
    Words *words = NULL;
    for (int i = 0; i < count; i++) {
        if (items[i].state != SERVICE_OK || ++later > 3)
            continue;
        if (!words) {
            words = words_add(w, WORDS_DUE, STATES[SERVICE_OK].caption, INK_TEXT);
        } else {
            say(words, ", ");
        }
        say_due(w->app, words, &items[i]);
    }
    if (words && later > 3)
        say(words, " and %d more later", later - 3);
    if (count == 0 && w->app->board.vessel_count > 0)
        say(words_add(w, WORDS_DUE, "Due", INK_QUIET), "nothing");
}

/* Rules of outlook/advice.c whose news stand in the list of what is due, with date and reason. A
 * stage that is due without a spare is not among them: it is said twice, louder. */
static bool alert_repeats(const Alert *alert)
{
    static const char *const IDS[] = {"stage-due",    "stage-soon",    "stage-soon-no-spare",
                                      "sanitise-due", "sanitise-soon", "stale"};
    for (size_t i = 0; i < sizeof IDS / sizeof *IDS; i++) {
        if (strcmp(alert->id, IDS[i]) == 0)
            return true;
    }
    return false;
}

static void write_alerts(Writer *w, bool notices)
{
    const Board *board = &w->app->board;
    static const Glyph MARKS[] = {GLYPH_MARK_NOTICE, GLYPH_MARK_CAUTION, GLYPH_MARK_WARNING};
    static const char *const CAPTIONS[] = {"Notice", "Caution", "Warning"};
    bool none = true;
    for (int i = 0; i < board->alert_count; i++) {
        const Alert *alert = &board->alerts[i];
        if ((alert->level == ALERT_NOTICE) != notices)
            continue;
        Words *words = words_add(w, notices ? WORDS_NOTICE : WORDS_ALERT, CAPTIONS[alert->level],
                                 ink_of_alert(alert->level));
        words->marked = true;
        words->mark = MARKS[alert->level];
        words->repeated = alert_repeats(alert);
        words->asks = strcmp(alert->id, "sound-overdue") == 0;
        say(words, "%s", alert->text);
        if (strcmp(alert->id, "discrepancy") == 0)
            say(words, " 2, then D, shows them.");
        none = false;
    }
    if (none && !notices && board->vessel_count > 0) {
        Words *words = words_add(w, WORDS_ALERT, "Cautions", INK_GOOD);
        say(words, "none");
        say_strong(words);
    }
}

static void write_stops(Writer *w)
{
    const App *app = w->app;
    const Board *board = &app->board;
    char text[64];
    for (int i = 0; i < board->stop_count; i++) {
        const BoardStop *stop = &board->stops[i];
        Words *words = words_add(w, WORDS_STOP, "Next", INK_STRONG);
        say(words, "%s", stop->label.s);
        say_strong(words);
        say(words, " %s", app_date(app, stop->eta, text));
        if (!isnan(stop->odds_line))
            say(words, ": %.0f %% on the line", floor(stop->odds_line * 100));
        if (!isnan(stop->odds_all) && stop->odds_line < 0.9 && board->reserve != RESERVE_NONE)
            say(words, ", %.0f %% with the reserve", floor(stop->odds_all * 100));
        if (!isnan(stop->odds_line) && stop->odds_line < 0.9 && !isnan(stop->ration_90))
            say(words, "; 90 %% at %s each a day",
                app_volume(app, (int64_t)floor(stop->ration_90 * 1000), text));
    }
}

static void write_use(Writer *w)
{
    const App *app = w->app;
    const Board *board = &app->board;
    char text[64];
    if (board->crew < 0 && !board->use_known)
        return;
    Words *words = words_add(w, WORDS_USE, "Crew", INK_TEXT);
    if (board->crew >= 0)
        say(words, "%d", board->crew);
    else
        say(words, "not said");
    if (board->use_known)
        say(words, ", %s a day",
            app_volume(app, (int64_t)floor(board->litres_per_day * 1000 + 0.5), text));
}

static void write_last(Writer *w)
{
    const App *app = w->app;
    char when[64];
    for (int i = 0; i < app->recent_count; i++) {
        Words *words = words_add(w, WORDS_LAST, "Last", INK_QUIET);
        say(words, "%s", app_time(app, app->recent[i].event.at, when));
        say_strong(words);
        Str line = {0};
        event_tell(&app->recent[i].event, app->units, true, &line);
        say(words, " %s", line.s ? line.s : "");
        str_finish(&line);
    }
}

int words_of(const App *app, Words out[WORDS_MAX])
{
    Writer w = {app, out, 0};
    write_water(&w);
    write_reserve(&w);
    write_apart(&w);
    write_expected(&w);
    write_stages(&w);
    write_due(&w);
    write_alerts(&w, false);
    write_alerts(&w, true);
    write_stops(&w);
    write_use(&w);
    write_last(&w);
    return w.count;
}
