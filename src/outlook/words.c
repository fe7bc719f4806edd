#include "outlook/words_private.h"

#include "base/memory.h"
#include "outlook/parts.h"
#include "outlook/plan.h"
#include "outlook/service.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- class and verdict ---- */

const char *marks_name(bool asserted, bool raw)
{
    static const char *const names[2][2] = {{"", "raw"}, {"on your word", "on your word, raw"}};
    return names[asserted][raw];
}

const char *found_name(uint8_t marks)
{
    static const char *const names[3][2] = {{"", "nitrate"},
                                            {"coliforms found", "coliforms found, nitrate"},
                                            {"E. coli found", "E. coli found, nitrate"}};
    const int found = (marks & MARK_ECOLI) != 0 ? 2 : (marks & MARK_COLIFORM) != 0;
    return names[found][(marks & MARK_NITRATE) != 0];
}

void results_tell(const Result results[RESULT_COUNT], Moment now, Units units, Str *out)
{
    static const struct {
        const char *name, *unit;
    } names[RESULT_COUNT] = {{"chlorine", " mg/L"},
                             {"pH", ""},
                             {"turbidity", " NTU"},
                             {"TDS", " mg/L"},
                             {"hardness", " mg/L"},
                             {"nitrate", " mg/L as N"},
                             {"", ""},
                             {"coliforms", ""},
                             {"E. coli", ""}};
    char number[40];
    const char *between = "";
    for (int i = 0; i < RESULT_COUNT; i++) {
        const Result *r = &results[i];
        if (r->at == 0)
            continue;
        const char *value = i == RESULT_TEMP      ? temperature_print(r->value, units, number)
                            : i < RESULT_COLIFORM ? thousandths_print(r->value, number)
                            : r->value != 0       ? "present"
                                                  : "absent";
        str_addf(out, "%s%s%s%s%s, %.0f d ago", between, names[i].name,
                 names[i].name[0] != '\0' ? " " : "", value, names[i].unit,
                 floor(days_had((Moment){r->at}, now)));
        between = "; ";
    }
}

char *residual_brief(const BoardVessel *v, Moment now, char *out)
{
    const Result *r = &v->results.latest[RESULT_CHLORINE];
    const int64_t hours = (now.ms - r->at) / MS_PER_HOUR;
    char number[40];
    out[0] = '\0';
    if (v->residual != RESIDUAL_UNKNOWN)
        snprintf(out, 64, "Cl %s %lld%s", thousandths_print(r->value, number),
                 (long long)(hours < 48 ? hours : hours / 24), hours < 48 ? "h" : "d");
    return out;
}

static const char *comma_before(const char *words)
{
    return words[0] != '\0' ? ", " : "";
}

const char *none_aboard(const Board *board)
{
    return board->unread > 0    ? "No vessel is named in what can be read of the log."
           : board->retired > 0 ? "All vessels are retired."
                                : "No vessel is named yet.";
}

bool raw_told(const BoardVessel *v)
{
    return v->raw && v->quality != CLASS_NON_POTABLE;
}

void class_tell(const BoardVessel *v, Str *out)
{
    const char *marks = marks_name(v->asserted, raw_told(v));
    const char *found = found_name(v->marks);
    str_addf(out, "%s%s%s%s%s", quality_name(v->quality), comma_before(marks), marks,
             comma_before(found), found);
}

char *rated_words(int64_t rated_pa, char *out)
{
    if (rated_pa > 0)
        return pressure_print_exact(rated_pa, out);
    snprintf(out, 64, "%s", rated_pa == 0 ? "no pressure" : "not known");
    return out;
}

static const char drink_asserted[] = "drink (your word)";

const char *tap_verdict(const BoardLine *line)
{
    const char *name = verdict_name(line->verdict);
    if (name == NULL || !line->delivers)
        return "no water";
    if (line->verdict != VERDICT_DRINK)
        return name;
    return (line->doubt.marks & MARK_FOUND) != 0 || line->tainted ? "drink (coliforms)"
           : line->doubt.residual_high                            ? "drink (chlorine)"
           : (line->doubt.marks & MARK_NITRATE) != 0              ? "drink (nitrate)"
           : line->leant                                          ? "drink (class)"
           : line->doubt.stale                                    ? "drink (stale)"
           : (line->doubt.marks & MARK_RAW) != 0                  ? "drink (raw)"
           : line->doubt.residual_low                             ? "drink (residual)"
           : (line->doubt.marks & MARK_ASSERTED) != 0             ? drink_asserted
                                                                  : name;
}

/* The vessel nearest the air, from the lead on, that is of the delivered class. */
static const BoardVessel *culprit(const Board *board, const BoardLine *line)
{
    for (int i = 0; i < line->count; i++) {
        const BoardVessel *v = &board->vessels[line->vessels[i]];
        if (!v->spent && v->quality == line->quality)
            return v;
    }
    return NULL;
}

void tap_why(const Board *board, const BoardLine *line, char *out, size_t size)
{
    const BoardVessel *from = culprit(board, line);
    const bool said = strcmp(tap_verdict(line), drink_asserted) == 0; /* once is enough */
    const char *marks = marks_name((line->doubt.marks & MARK_ASSERTED) != 0 && !said,
                                   (line->doubt.marks & MARK_RAW) != 0);
    const char *found = found_name(line->doubt.marks);
    const char *residual = line->doubt.residual_high  ? ", much chlorine"
                           : line->doubt.residual_low ? ", little chlorine left"
                                                      : "";
    if (line->count == 0)
        snprintf(out, size, "no vessel is coupled");
    else if (!line->delivers)
        snprintf(out, size, "every vessel is down to its heel");
    else if (line->quality == CLASS_POTABLE)
        snprintf(out, size, "potable all the way%s%s%s%s%s%s%s%s", comma_before(marks), marks,
                 line->tainted ? ", but coliforms were found at its source" : "",
                 line->leant ? ", but its source is not called so any more" : "",
                 line->doubt.stale ? ", stale" : "", comma_before(found), found, residual);
    else if (from == NULL && line->quality == CLASS_QUESTIONABLE &&
             (line->doubt.marks & MARK_FOUND) == 0)
        snprintf(out, size, "a coupled vessel is not aboard");
    else if (from == NULL && line->quality == CLASS_QUESTIONABLE)
        snprintf(out, size, "%s at the tap: sanitise the line", found);
    else if (from == NULL)
        snprintf(out, size, "foul water reached the tap: sanitise the line");
    else if (line->verdict == VERDICT_DRINK_IF_TREATED) /* nothing measured says so */
        snprintf(out, size, "%s%s from %s on%s%s; on your word the train treats it",
                 quality_name(line->quality), (line->doubt.marks & MARK_RAW) != 0 ? " and raw" : "",
                 from->label.s, comma_before(found), found);
    else
        snprintf(out, size, "%s from %s on%s%s%s", quality_name(line->quality), from->label.s,
                 comma_before(found), found, line->tainted ? ", coliforms at its source" : "");
}

/* ---- quantities ---- */

const char *stage_stands(const BoardStage *stage)
{
    return stage->state == SERVICE_OK && stage->life_left < 0 ? "life?"
                                                              : service_state_name(stage->state);
}

void life_tell(const BoardStage *stage, char out[16])
{
    if (stage->state == SERVICE_DUE)
        snprintf(out, 16, "due");
    else if (stage->life_left >= 0)
        service_life_text(stage->life_left, out);
    else
        snprintf(out, 16, "%s", stage_stands(stage));
}

char *odds_print(double odds, char out[16])
{
    if (isnan(odds))
        snprintf(out, 16, "-");
    else if (odds > 0.99)
        snprintf(out, 16, ">99 %%");
    else if (odds < 0.01)
        snprintf(out, 16, "<1 %%");
    else
        snprintf(out, 16, "%.0f %%", floor(odds * 100));
    return out;
}

static char *volume_tell(int64_t ml, Units units, Rounding rounding, char *out)
{
    volume_print_round((Volume){ml}, units, rounding, out);
    const size_t n = strlen(out);
    snprintf(out + n, 64 - n, " %s", volume_unit(units));
    return out;
}

#define SAME_ML 1e-6 /* what a fraction may miss the whole millilitre by that it stands for */

char *litres_had(double litres, Units units, char *out)
{
    if (isfinite(litres))
        return volume_tell((int64_t)floor(litres * 1000 + SAME_ML), units, ROUND_DOWN, out);
    snprintf(out, 64, "-");
    return out;
}

char *litres_needed(double litres, Units units, char *out)
{
    if (isfinite(litres))
        return volume_tell((int64_t)ceil(litres * 1000 - SAME_ML), units, ROUND_UP, out);
    snprintf(out, 64, "-");
    return out;
}

/* Water that can be had, and a level as it was logged or measured. */
static char *usable(int64_t ml, Units units, char *out)
{
    return volume_tell(ml, units, ROUND_DOWN, out);
}

static const char *level(int64_t ml, Units units, char *out)
{
    return ml == 0 ? "empty" : volume_print((Volume){ml}, units, out);
}

double days_had(Moment from, Moment to)
{
    if (!moment_known(from) || !moment_known(to))
        return 0;
    const int64_t tenths = (to.ms - from.ms) * 10 / MS_PER_DAY;
    return fmax((double)tenths / 10, 0);
}

/* ---- sentences ---- */

void words_begin(Words *words, WordsAbout about, const char *caption, Tone tone)
{
    *words = (Words){.about = about, .caption = caption, .tone = tone};
}

void say(Words *words, const char *format, ...)
{
    const size_t n = strlen(words->text);
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

void say_comma(Words *words)
{
    say(words, "%s", words->text[0] != '\0' ? ", " : "");
}

void say_band(Words *words, const Band *band, Moment now)
{
    char date[64];
    if (!moment_known(band->p50)) {
        say(words, "no end in sight at this rate");
        if (moment_known(band->p10))
            say(words, ", but 1 in 10 by %s", moment_print_date(band->p10, now, date));
        return;
    }
    say(words, "to %s (%.1f", moment_print_date(band->p50, now, date), days_had(now, band->p10));
    if (moment_known(band->p90))
        say(words, " to %.1f days)", days_had(now, band->p90));
    else
        say(words, " days or more)");
}

static void say_class(Words *words, const BoardVessel *v)
{
    Str class = {0};
    class_tell(v, &class);
    say(words, "%s", class.s);
    str_finish(&class);
}

/* ---- the board ---- */

typedef struct {
    const Board *board;
    Units units;
    Words *out;
    int count;
} Writer;

static Words *words_add(Writer *w, WordsAbout about, const char *caption, Tone tone)
{
    /* WORDS_MAX covers every list at its longest; were it not so, the last one would give way. */
    Words *words = &w->out[w->count < WORDS_MAX ? w->count++ : WORDS_MAX - 1];
    words_begin(words, about, caption, tone);
    return words;
}

static void write_taps(Writer *w)
{
    char why[160], litres[64];
    for (int i = 0; i < w->board->line_count; i++) {
        const BoardLine *line = &w->board->lines[i];
        Words *words = words_add(w, WORDS_TAP, "Tap", TONE_TEXT);
        tap_why(w->board, line, why, sizeof why);
        say(words, "%s, %s", line->label.s, tap_verdict(line));
        say_strong(words);
        say(words, ": %s", why);
        if (w->board->line_count > 1 && line->delivers)
            say(words, "; %s on it", usable(line->usable, w->units, litres));
    }
}

/* Litres rounded up: what is gone is gone. */
static void write_runs(Writer *w)
{
    char text[64];
    for (int i = 0; i < w->board->line_count; i++) {
        const BoardLine *line = &w->board->lines[i];
        const Running *r = &line->running;
        if (!line->runs)
            continue;
        Words *words = words_add(w, WORDS_RUNS, "Running", TONE_STRONG);
        if (r->ml_min > 0)
            say(words, "%s running %s/min", line->label.s,
                volume_tell(r->ml_min, w->units, ROUND_UP, text));
        else
            say(words, "%s stopped", line->label.s);
        say_strong(words);
        const Civil since = moment_local((Moment){r->since});
        say(words, ", %s since %02d:%02d", volume_tell(r->ml, w->units, ROUND_UP, text), since.hour,
            since.minute);
    }
}

static void write_water(Writer *w)
{
    const Board *board = w->board;
    char volume[64], date[64];
    if (board->line_count == 0 && board->vessel_count == 0)
        return;
    const bool some = board->supply.line > 0;
    Words *words = words_add(w, WORDS_WATER, "Water", some ? TONE_STRONG : TONE_WARNING);
    say(words, "%s", some ? usable(board->supply.line, w->units, volume) : "nothing");
    say_strong(words);
    say(words, some ? " on the line" : " to be had on the line");
    if (!board->outlook_known || !some)
        return;
    say(words, moment_known(board->to_reserve.p50) ? ", lasts " : ", ");
    say_band(words, &board->to_reserve, board->now);
    if (moment_known(board->to_reserve.p50))
        snprintf(words->brief, sizeof words->brief, "%s, to %s", volume,
                 moment_print_date(board->to_reserve.p50, board->now, date));
}

static const Tone reserve_tones[] = {[RESERVE_NONE] = TONE_QUIET,
                                     [RESERVE_INTACT] = TONE_GOOD,
                                     [RESERVE_SHORT] = TONE_CAUTION,
                                     [RESERVE_IN_USE] = TONE_WARNING,
                                     [RESERVE_SPENT] = TONE_WARNING};

static void write_reserve(Writer *w)
{
    const Board *board = w->board;
    char text[64];
    if (board->vessel_count == 0)
        return;
    Words *words = words_add(w, WORDS_RESERVE, "Reserve", reserve_tones[board->reserve]);
    say(words, "%s",
        board->reserve == RESERVE_NONE ? "none kept" : reserve_state_name(board->reserve));
    say_strong(words);
    if (board->reserve == RESERVE_NONE)
        return;
    say(words, ":");
    for (int i = 0; i < board->vessel_count; i++) {
        const BoardVessel *v = &board->vessels[i];
        if (v->place != PLACE_RESERVE)
            continue;
        say(words, " %s %s", v->label.s, level(v->volume, w->units, text));
        if (v->quality != CLASS_POTABLE)
            say(words, " %s", quality_name(v->quality));
    }
    if (!board->outlook_known || !moment_known(board->to_empty.p50) ||
        !moment_known(board->to_reserve.p50))
        return;
    const double more = days_had(board->to_reserve.p50, board->to_empty.p50);
    if (more > 0)
        say(words, ", +%.1f days", more);
}

static void write_apart(Writer *w)
{
    char text[64];
    Words *words = NULL;
    for (int i = 0; i < w->board->vessel_count; i++) {
        const BoardVessel *v = &w->board->vessels[i];
        if (v->place != PLACE_APART || v->position > 0)
            continue;
        if (words == NULL)
            words = words_add(w, WORDS_APART, "Apart", TONE_TEXT);
        say_comma(words);
        say(words, "%s %s ", v->label.s, level(v->volume, w->units, text));
        say_class(words, v);
    }
}

static void write_class(Writer *w)
{
    const Supply *supply = &w->board->supply;
    char text[64];
    Words *words = NULL;
    for (int q = 0; q < CLASS_COUNT; q++) {
        if (supply->by_class[q] == 0)
            continue;
        if (words == NULL)
            words = words_add(w, WORDS_CLASS, "Usable", TONE_TEXT);
        say_comma(words);
        say(words, "%s %s", usable(supply->by_class[q], w->units, text), quality_name((Quality)q));
    }
    if (words != NULL && supply->apart > 0)
        say(words, "; %s of it apart", usable(supply->apart, w->units, text));
}

static void write_expected(Writer *w)
{
    char low[64], high[64];
    Words *words = NULL;
    for (int i = 0; i < w->board->vessel_count; i++) {
        const BoardVessel *v = &w->board->vessels[i];
        if (!v->expected_told)
            continue;
        if (words == NULL)
            words = words_add(w, WORDS_EXPECTED, "Expected", TONE_BAND);
        say_comma(words);
        volume_print_round((Volume){v->expected_low}, w->units, ROUND_DOWN, low);
        usable(v->expected_high, w->units, high);
        const size_t n = strlen(low); /* rounded they may be one */
        if (strncmp(low, high, n) == 0 && high[n] == ' ')
            say(words, "%s %s", v->label.s, high);
        else
            say(words, "%s %s to %s", v->label.s, low, high);
    }
    if (words != NULL)
        say(words, ", with the cups that nobody logs");
}

static void write_stages(Writer *w)
{
    char life[16];
    Words *words = NULL;
    for (int l = 0; l < w->board->line_count; l++) {
        const BoardLine *line = &w->board->lines[l];
        for (int i = 0; i < line->stage_count; i++) {
            const BoardStage *stage = &w->board->stages[line->stages[i]];
            if (words == NULL)
                words = words_add(w, WORDS_STAGES, "Stages", TONE_TEXT);
            life_tell(stage, life);
            say_comma(words);
            say(words, "%s %s", stage->label.s, life);
            if (stage->state != SERVICE_OK && stage->life_left >= 0)
                say(words, " %s", service_state_name(stage->state));
        }
    }
}

static void say_due(Words *words, const DueItem *item, Moment now)
{
    char date[64];
    if (item->state == SERVICE_SOON && moment_known(item->at))
        snprintf(words->brief, sizeof words->brief, "%s %s", item->about.s,
                 moment_print_date(item->at, now, date));
    else if (item->state != SERVICE_OK)
        snprintf(words->brief, sizeof words->brief, "%s", item->about.s);
    say(words, "%s", item->what);
    if (item->state != SERVICE_OK)
        say_strong(words);
    if (moment_known(item->at))
        say(words, " %s", moment_print_date(item->at, now, date));
    if (item->state != SERVICE_OK && item->why[0] != '\0')
        say(words, " (%s)", item->why);
}

/* What is due or soon has a sentence each; what comes later shares one. */
static void write_due(Writer *w)
{
    enum { LATER_SAID = 3 };
    static const struct {
        const char *caption;
        Tone tone;
    } states[] = {{"Later", TONE_TEXT}, {"Due soon", TONE_CAUTION}, {"Due now", TONE_WARNING}};
    DueItem *items = memory_resize(NULL, DUE_MAX * sizeof *items); /* few of it are touched */
    const int count = board_due(w->board, items);
    int later = 0;
    for (int i = 0; i < count; i++)
        if (items[i].state != SERVICE_OK)
            say_due(words_add(w, WORDS_DUE, states[items[i].state].caption,
                              states[items[i].state].tone),
                    &items[i], w->board->now);
    Words *words = NULL;
    for (int i = 0; i < count; i++) {
        if (items[i].state != SERVICE_OK || ++later > LATER_SAID)
            continue;
        if (words == NULL)
            words = words_add(w, WORDS_DUE, states[SERVICE_OK].caption, TONE_TEXT);
        say_comma(words);
        say_due(words, &items[i], w->board->now);
    }
    if (words != NULL && later > LATER_SAID)
        say(words, " and %d more later", later - LATER_SAID);
    if (count == 0 && w->board->vessel_count > 0)
        say(words_add(w, WORDS_DUE, "Due", TONE_QUIET), "nothing");
    free(items);
}

static void write_alerts(Writer *w, bool notices)
{
    static const struct {
        const char *caption;
        Tone tone;
    } levels[] = {{"Notice", TONE_NOTICE}, {"Caution", TONE_CAUTION}, {"Warning", TONE_WARNING}};
    bool none = true;
    for (int i = 0; i < w->board->alert_count; i++) {
        const Alert *alert = &w->board->alerts[i];
        if ((alert->level == ALERT_NOTICE) != notices)
            continue;
        Words *words = words_add(w, notices ? WORDS_NOTICE : WORDS_ALERT,
                                 levels[alert->level].caption, levels[alert->level].tone);
        words->marked = true;
        words->alert = alert->flags;
        say(words, "%s", alert->text);
        if (i >= ALERTS_OPEN && alert->level != ALERT_WARNING && (alert->flags & ALERT_ASKS) == 0 &&
            alert->says < sizeof words->brief)
            snprintf(words->brief, sizeof words->brief, "%.*s", (int)alert->says, alert->text);
        none = false;
    }
    if (none && !notices && w->board->vessel_count > 0) {
        Words *words = words_add(w, WORDS_ALERT, "Cautions", TONE_GOOD);
        say(words, "none");
        say_strong(words);
    }
}

/* Odds of which more is said: with the reserve, and what to keep to. */
#define ODDS_GOOD 0.9

static void write_stops(Writer *w)
{
    const Board *board = w->board;
    char text[64], odds[16];
    for (int i = 0; i < board->stop_count; i++) {
        const BoardStop *stop = &board->stops[i];
        Words *words = words_add(w, WORDS_STOP, "Next", TONE_STRONG);
        say(words, "%s", stop->label.s);
        say_strong(words);
        say(words, " %s", moment_print_date(stop->eta, board->now, text));
        if (isnan(stop->odds_line))
            continue;
        say(words, ": %s on the line", odds_print(stop->odds_line, odds));
        if (stop->odds_line >= ODDS_GOOD)
            continue;
        if (!isnan(stop->odds_all) && board->reserve != RESERVE_NONE)
            say(words, ", %s with the reserve", odds_print(stop->odds_all, odds));
        if (!isnan(stop->ration_90))
            say(words, "; 90 %% at %s each a day", litres_had(stop->ration_90, w->units, text));
    }
}

static void write_use(Writer *w)
{
    const Board *board = w->board;
    char text[64];
    if (board->crew < 0 && !board->use_known)
        return;
    Words *words = words_add(w, WORDS_USE, "Crew", TONE_TEXT);
    if (board->crew >= 0)
        say(words, "%d", board->crew);
    else
        say(words, "not said");
    if (board->use_known)
        say(words, ", %s a day%s", litres_needed(board->litres_per_day, w->units, text),
            use_assumed(board) ? ", mostly assumed" : "");
}

int words_of(const Board *board, Units units, Words out[WORDS_MAX])
{
    Writer w = {board, units, out, 0};
    write_taps(&w);
    write_runs(&w);
    write_water(&w);
    write_reserve(&w);
    write_apart(&w);
    write_class(&w);
    write_expected(&w);
    write_stages(&w);
    write_due(&w);
    write_alerts(&w, false);
    write_alerts(&w, true);
    write_stops(&w);
    write_use(&w);
    return w.count;
}
