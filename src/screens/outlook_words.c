#include "screens/outlook_words.h"

#include "outlook/plan.h"

#include <math.h>
#include <stdio.h>

char *outlook_odds(double odds, char out[16])
{
    if (isnan(odds))
        snprintf(out, 16, "-");
    else if (odds >= 1) /* nothing is used: no chance about it */
        snprintf(out, 16, "100 %%");
    else if (odds > 0.99)
        snprintf(out, 16, ">99 %%");
    else if (odds < 0.01)
        snprintf(out, 16, "<1 %%");
    else
        snprintf(out, 16, "%.0f %%", floor(odds * 100));
    return out;
}

static char *litres(const App *app, double amount, char *out)
{
    return app_volume(app, (int64_t)floor(amount * 1000 + 0.5), out);
}

char *outlook_ration(const App *app, const BoardStop *stop, char *out)
{
    if (!isnan(stop->ration_90))
        return litres(app, stop->ration_90, out);
    snprintf(out, 64, "-");
    return out;
}

void outlook_what(const App *app, const WhatIf *what, Str *out)
{
    char text[64];
    if (!what_if_changes(what)) {
        str_adds(out, "as logged");
        return;
    }
    const char *comma = "if ";
    if (what->crew >= 0) {
        str_addf(out, "%s%d aboard", comma, what->crew);
        comma = ", ";
    }
    if (what->litres_per_day >= 0) {
        str_addf(out, "%s%s a day", comma, litres(app, what->litres_per_day, text));
        comma = ", ";
    }
    for (int i = 0; i < what->dry_count; i++) {
        str_addf(out, "%s%s dry", comma, what->dry[i].s);
        comma = ", ";
    }
}

static OutlookLine *line_add(OutlookFacts *facts, const char *caption, Ink ink)
{
    OutlookLine *line =
        &facts->line[facts->line_count < OUTLOOK_LINES ? facts->line_count++ : OUTLOOK_LINES - 1];
    *line = (OutlookLine){.caption = caption, .ink = ink};
    return line;
}

static void line_text(OutlookLine *line, Str *text)
{
    snprintf(line->text, sizeof line->text, "%s", text->s ? text->s : "");
    str_finish(text);
}

static double days_to(const Board *board, Moment m)
{
    return m.ms > board->now.ms ? (double)(m.ms - board->now.ms) / (double)MS_PER_DAY : 0;
}

/* "to Sun 29 Nov (3.2-5.4 days)"; "no end in sight (not at this rate)". */
static void band_words(const App *app, const Board *board, const Band *band, Str *out)
{
    char date[64];
    if (!moment_known(band->p50)) {
        str_adds(out, "no end in sight (not at this rate");
        if (moment_known(band->p10))
            str_addf(out, ", but 1 in 10 by %s", app_date(app, band->p10, date));
        str_adds(out, ")");
        return;
    }
    str_addf(out, "to %s", app_date(app, band->p50, date));
    if (!moment_known(band->p90))
        str_addf(out, " (%.1f days or more)", days_to(board, band->p10));
    else
        str_addf(out, " (%.1f%s%.1f days)", days_to(board, band->p10),
                 glyph(app->alphabet, GLYPH_TO), days_to(board, band->p90));
}

static void lasts_words(const App *app, const Board *board, Str *out)
{
    const bool line = board->supply.line > 0, reserve = board->supply.reserve > 0;
    if (!line && !reserve) {
        str_adds(out, "nothing usable is left on the line or in the reserve");
        return;
    }
    if (!board->outlook_known) {
        str_adds(out, "not known yet: log the crew and what is drawn, or try a crew with +");
        return;
    }
    str_adds(out, line ? "on the line " : "the line is spent; ");
    if (line)
        band_words(app, board, &board->to_reserve, out);
    if (reserve) {
        str_adds(out, line ? ", with the reserve " : "the reserve lasts ");
        band_words(app, board, &board->to_empty, out);
    }
}

static void use_words(const App *app, const Board *board, Str *out)
{
    char text[64];
    if (board->crew >= 0)
        str_addf(out, "%d aboard", board->crew);
    else
        str_adds(out, "crew not said");
    if (!board->outlook_known)
        return;
    str_addf(out, ", %s a day", litres(app, board->litres_per_day, text));
    if (board->crew > 1)
        str_addf(out, ", %s each", litres(app, board->litres_per_day / board->crew, text));
    if (board->use_prior >= 0.5)
        str_addf(out, "; mostly assumed, the log is young");
}

static void stop_words(const App *app, const OutlookFacts *facts, int i, Str *out)
{
    const BoardStop *stop = &facts->board.stops[i], *was = &app->board.stops[i];
    char when[64], odds[16], text[64];
    str_addf(out, "%s %s: ", stop->label.s, app_time(app, stop->eta, when));
    if (isnan(stop->odds_line)) {
        str_adds(out, "odds not known");
        return;
    }
    str_addf(out, "%s on the line, ", outlook_odds(stop->odds_line, odds));
    str_addf(out, "%s with the reserve", outlook_odds(stop->odds_all, odds));
    if (facts->changed && !isnan(was->odds_line)) {
        str_addf(out, " (as logged %s", outlook_odds(was->odds_line, odds));
        str_addf(out, " and %s)", outlook_odds(was->odds_all, odds));
    }
    if (!isnan(stop->ration_90))
        str_addf(out, "; for 90 %% not over %s a person and day", outlook_ration(app, stop, text));
    if (stop->litres == 0)
        str_adds(out, "; dry, nothing to take on");
    else if (stop->take_on >= 0) {
        double room = plan_full_litres(&facts->board, PLACE_LINE) +
                      plan_full_litres(&facts->board, PLACE_RESERVE);
        str_addf(out, "; leave with %s for the next leg", app_volume(app, stop->take_on, text));
        if ((double)stop->take_on / 1000 > room)
            str_addf(out, ", more than the %s that line and reserve hold", litres(app, room, text));
    }
}

static void facts_parts(const App *app, const WhatIf *what, OutlookFacts *facts)
{
    const Board *board = &facts->board;
    Part parts[STAGES_MAX];
    const ForecastRate rate = what_if_rate(&app->board, &app->state, what);
    int count = parts_needed(board, &app->state, &rate, parts_trip_end(board), parts);
    facts->part_from = facts->line_count;
    for (int i = 0; i < count; i++) {
        if (parts[i].buy == 0)
            continue;
        OutlookLine *line = line_add(facts, facts->part_count == 0 ? "Parts" : "", INK_CAUTION);
        char text[BOARD_TEXT];
        snprintf(line->text, sizeof line->text, "%s", part_tell(board, &parts[i], text));
        facts->part_count++;
    }
    if (facts->part_count == 0 && board->stop_count > 0) {
        OutlookLine *line = line_add(facts, "Parts", INK_QUIET);
        snprintf(line->text, sizeof line->text, "%s",
                 count > 0 ? "the spares aboard are enough to the last stop"
                           : "nothing falls due before the last stop");
        facts->part_count = 1;
    }
}

/* The curve in words: a day a line. */
static void facts_days(const App *app, const ForecastView *view, OutlookFacts *facts)
{
    char date[64], amount[64];
    for (int day = 1; day <= OUTLOOK_DAYS && view->known; day++) {
        ViewPoint p;
        if (!view_at(view, (Moment){app->now.ms + day * MS_PER_DAY}, &p))
            return;
        OutlookLine *line = line_add(facts, day == 1 ? "Left" : "", INK_TEXT);
        Str text = {0};
        str_addf(&text, "%s, this time of day: ", app_date(app, p.at, date));
        str_addf(&text, "%s", litres(app, p.expected, amount));
        str_addf(&text, " (%s", app_volume_bare(app, (int64_t)(p.low * 1000), amount));
        str_addf(&text, " to %s)", litres(app, p.high, amount));
        line_text(line, &text);
    }
}

/* The same with as few words as will do; `days`: with the band. */
static void lasts_briefly(const App *app, const Board *board, bool days, Str *out)
{
    const Band *bands[] = {&board->to_reserve, &board->to_empty};
    static const char *const NAMES[] = {"line", "all"};
    char date[64];
    if (!board->outlook_known || (board->supply.line <= 0 && board->supply.reserve <= 0)) {
        lasts_words(app, board, out);
        return;
    }
    for (int i = 0; i < 2; i++) {
        const Band *b = bands[i];
        str_addf(out, "%s%s ", i ? ", " : "", NAMES[i]);
        if (!moment_known(b->p50)) {
            str_adds(out, "not at this rate");
            continue;
        }
        str_addf(out, "to %s", app_date(app, b->p50, date));
        if (days && moment_known(b->p90))
            str_addf(out, " (%.1f%s%.1f)", days_to(board, b->p10), glyph(app->alphabet, GLYPH_TO),
                     days_to(board, b->p90));
    }
    if (days)
        str_adds(out, " days");
}

void outlook_facts(const App *app, const WhatIf *what, const ForecastView *view,
                   OutlookFacts *facts)
{
    Str text = {0};
    facts->changed = what_if_changes(what);
    facts->line_count = facts->part_count = 0;
    const Board *board = &facts->board;
    if (board->vessel_count == 0) {
        OutlookLine *line = line_add(facts, "", INK_TEXT);
        snprintf(
            line->text, sizeof line->text,
            "No vessel is named yet, so there is nothing to look out for. 8 opens the set-up.");
        facts->head_count = 1;
        facts->part_from = 1;
        return;
    }
    if (facts->brief)
        lasts_briefly(app, board, true, &text);
    else
        lasts_words(app, board, &text);
    line_text(line_add(facts, "Lasts", INK_STRONG), &text);
    if (facts->changed) {
        if (facts->brief)
            lasts_briefly(app, &app->board, false, &text);
        else
            lasts_words(app, &app->board, &text);
        line_text(line_add(facts, "As logged", INK_QUIET), &text);
    }
    use_words(app, board, &text);
    if (facts->changed) {
        str_adds(&text, " (as logged ");
        use_words(app, &app->board, &text);
        str_adds(&text, ")");
    }
    line_text(line_add(facts, "Use", INK_TEXT), &text);
    facts->head_count = facts->line_count;
    for (int i = 0; i < board->stop_count; i++) {
        stop_words(app, facts, i, &text);
        line_text(line_add(facts, i == 0 ? "Stops" : "", INK_TEXT), &text);
    }
    if (board->stop_count == 0)
        snprintf(line_add(facts, "Stops", INK_QUIET)->text, OUTLOOK_TEXT, "none is planned");
    facts_parts(app, what, facts);
    facts_days(app, view, facts);
    snprintf(
        line_add(facts, "Limits", INK_QUIET)->text, OUTLOOK_TEXT,
        "odds are about use as the log has taught it, not about leaks, frost or a broken pump");
}
