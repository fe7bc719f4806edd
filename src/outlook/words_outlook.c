/* words_outlook.c - the facts of the outlook, under a what-if, in words. */
#include "outlook/parts.h"
#include "outlook/plan.h"
#include "outlook/words_private.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

void what_if_tell(const WhatIf *what, Units units, Str *out)
{
    char text[64];
    const char *comma = "if ";
    if (!what_if_changes(what))
        str_adds(out, "as logged");
    if (what->crew >= 0) {
        str_addf(out, "%s%d aboard", comma, what->crew);
        comma = ", ";
    }
    if (what->litres_per_day >= 0) {
        str_addf(out, "%s%s a day", comma, litres_needed(what->litres_per_day, units, text));
        comma = ", ";
    }
    for (int i = 0; i < what->dry_count; i++) {
        str_addf(out, "%s%s dry", comma, what->dry[i].s);
        comma = ", ";
    }
}

static Words *fact_add(OutlookFacts *facts, WordsAbout about, const char *caption, Tone tone)
{
    Words *words = &facts->words[facts->count++];
    words_begin(words, about, caption, tone);
    return words;
}

static bool lasts_known(Words *words, const Board *board)
{
    if (board->supply.line <= 0 && board->supply.reserve <= 0) {
        say(words, "nothing usable is left on the line or in the reserve");
        return false;
    }
    if (!board->outlook_known)
        say(words, "not known yet: log the crew and what is drawn, or try a crew");
    return board->outlook_known;
}

static void say_lasts(Words *words, const Board *board)
{
    const bool line = board->supply.line > 0;
    if (!lasts_known(words, board))
        return;
    say(words, "%s", line ? "on the line " : "the line is spent");
    if (line)
        say_band(words, &board->to_reserve, board->now);
    if (board->supply.reserve > 0) {
        say(words, "%s", line ? ", with the reserve " : "; the reserve lasts ");
        say_band(words, &board->to_empty, board->now);
    }
}

/* The same with as few words as will do; `days`: with the band. */
static void say_lasts_briefly(Words *words, const Board *board, bool days)
{
    const Band *bands[] = {&board->to_reserve, &board->to_empty};
    static const char *const names[] = {"line", "all"};
    char date[64];
    if (!lasts_known(words, board))
        return;
    for (int i = 0; i < 2; i++) {
        const Band *b = bands[i];
        say_comma(words);
        if (!moment_known(b->p50)) {
            say(words, "%s not at this rate", names[i]);
            continue;
        }
        say(words, "%s to %s", names[i], moment_print_date(b->p50, board->now, date));
        if (days && moment_known(b->p90))
            say(words, " (%.1f-%.1f)", days_had(board->now, b->p10), days_had(board->now, b->p90));
    }
    if (days)
        say(words, " days");
}

static void say_use(Words *words, const Board *board, Units units)
{
    char text[64];
    if (board->crew >= 0)
        say(words, "%d aboard", board->crew);
    else
        say(words, "crew not said");
    if (!board->outlook_known)
        return;
    say(words, ", %s a day", litres_needed(board->litres_per_day, units, text));
    if (board->crew > 1)
        say(words, ", %s each", litres_needed(board->litres_per_day / board->crew, units, text));
    if (use_assumed(board))
        say(words, "; mostly assumed, the log is young");
}

static void facts_head(const Board *as_is, OutlookFacts *facts)
{
    const Board *board = &facts->board;
    Words *words = fact_add(facts, WORDS_LASTS, "Lasts", TONE_STRONG);
    if (facts->brief)
        say_lasts_briefly(words, board, true);
    else
        say_lasts(words, board);
    if (facts->changed) {
        words = fact_add(facts, WORDS_LASTS, "As logged", TONE_QUIET);
        if (facts->brief)
            say_lasts_briefly(words, as_is, false);
        else
            say_lasts(words, as_is);
    }
    words = fact_add(facts, WORDS_USE, "Use", TONE_TEXT);
    say_use(words, board, facts->units);
    if (facts->changed) {
        say(words, " (as logged ");
        say_use(words, as_is, facts->units);
        say(words, ")");
    }
    facts->head_count = facts->count;
}

static void say_stop(Words *words, const OutlookFacts *facts, const BoardStop *stop,
                     const BoardStop *was)
{
    char when[64], odds[16], text[64];
    say(words, "%s %s: ", stop->label.s, moment_print_local(stop->eta, facts->board.now, when));
    if (isnan(stop->odds_line)) {
        say(words, "odds not known");
        return;
    }
    say(words, "%s on the line, ", odds_print(stop->odds_line, odds));
    say(words, "%s with the reserve", odds_print(stop->odds_all, odds));
    if (facts->changed && !isnan(was->odds_line)) {
        say(words, " (as logged %s", odds_print(was->odds_line, odds));
        say(words, " and %s)", odds_print(was->odds_all, odds));
    }
    if (!isnan(stop->ration_90))
        say(words, "; for 90 %% not over %s a person and day",
            litres_had(stop->ration_90, facts->units, text));
    if (stop->litres == 0)
        say(words, "; dry, nothing to take on");
    else if (stop->take_on >= 0) {
        const double need = (double)stop->take_on / 1000,
                     room = plan_full_litres(&facts->board, PLACE_LINE) +
                            plan_full_litres(&facts->board, PLACE_RESERVE);
        say(words, "; leave with %s for the next leg", litres_needed(need, facts->units, text));
        if (need > room)
            say(words, ", more than the %s that line and reserve hold",
                litres_had(room, facts->units, text));
    }
}

static void facts_parts(const Board *as_is, const State *state, const WhatIf *what,
                        OutlookFacts *facts)
{
    const Board *board = &facts->board;
    Part parts[STAGES_MAX];
    char text[BOARD_TEXT];
    const ForecastRate rate = what_if_rate(as_is, state, what);
    const int count = parts_needed(board, state, &rate, parts_trip_end(board), parts);
    facts->part_from = facts->count;
    for (int i = 0; i < count; i++)
        if (parts[i].buy > 0)
            say(fact_add(facts, WORDS_PARTS, facts->part_count++ == 0 ? "Parts" : "", TONE_CAUTION),
                "%s", part_tell(board, &parts[i], text));
    if (facts->part_count == 0 && board->stop_count > 0) {
        say(fact_add(facts, WORDS_PARTS, "Parts", TONE_QUIET), "%s",
            count > 0 ? "the spares aboard are enough to the last stop"
                      : "nothing falls due before the last stop");
        facts->part_count = 1;
    }
}

/* The curve in words: a day a line. */
static void facts_days(const ForecastView *view, OutlookFacts *facts)
{
    char text[64];
    const Moment now = facts->board.now;
    for (int day = 1; day <= OUTLOOK_DAYS && view->known; day++) {
        ViewPoint p;
        if (!view_at(view, (Moment){now.ms + day * MS_PER_DAY}, &p))
            return;
        Words *words = fact_add(facts, WORDS_LEFT, day == 1 ? "Left" : "", TONE_TEXT);
        say(words, "%s, this time of day: ", moment_print_date(p.at, now, text));
        say(words, "%s", litres_had(p.expected, facts->units, text));
        volume_print_round((Volume){(int64_t)(p.low * 1000)}, facts->units, ROUND_DOWN, text);
        say(words, " (%s", text);
        say(words, " to %s)", litres_had(p.high, facts->units, text));
    }
}

void outlook_facts(const Board *as_is, const State *state, const WhatIf *what,
                   const ForecastView *view, OutlookFacts *facts)
{
    const Board *board = &facts->board;
    facts->changed = what_if_changes(what);
    facts->count = facts->part_count = 0;
    if (board->vessel_count == 0) {
        say(fact_add(facts, WORDS_LASTS, "Lasts", TONE_TEXT),
            "not known yet. %s The set-up (8 on the board) asks for all that is needed.",
            none_aboard(board));
        facts->head_count = facts->part_from = 1;
        return;
    }
    facts_head(as_is, facts);
    for (int i = 0; i < board->stop_count; i++)
        say_stop(fact_add(facts, WORDS_STOP, i == 0 ? "Stops" : "", TONE_TEXT), facts,
                 &board->stops[i], &as_is->stops[i]);
    if (board->stop_count == 0)
        say(fact_add(facts, WORDS_STOP, "Stops", TONE_QUIET), "none is planned");
    facts_parts(as_is, state, what, facts);
    facts_days(view, facts);
    say(fact_add(facts, WORDS_LIMITS, "Limits", TONE_QUIET),
        "odds are about use as the log has taught it, not about leaks, frost or a broken pump");
}
