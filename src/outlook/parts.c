#include "outlook/parts.h"

#include "base/whole.h"
#include "outlook/service.h"

#include <math.h>
#include <stdio.h>

Moment parts_trip_end(const Board *board)
{
    return board->stop_count > 0 ? board->stops[board->stop_count - 1].eta : MOMENT_NONE;
}

/* When `litres` have run through since `from`: early (odds of 10 %) or expected. */
static Moment after_litres(Moment from, double litres, const ForecastRate *rate, bool early)
{
    if (!early)
        return service_ahead(from, litres / rate->day);
    const ForecastTime time = forecast_time(rate, litres, 0.1);
    return service_ahead(from, time.days);
}

/* When a cartridge or lamp that is fitted at `from` is due in its turn. MOMENT_NONE: not at this
 * rate, or it has no life. */
static Moment life_end(const Stage *stage, Moment from, const ForecastRate *rate, bool early)
{
    Moment end = MOMENT_NONE;
    if (stage->life_days > 0)
        end = service_date(from, stage->life_days);
    if (stage->life_ml > 0)
        end = moment_sooner(end, after_litres(from, (double)stage->life_ml / 1000, rate, early));
    if (stage->life_ms > 0) {
        const double minutes = (double)stage->life_ms / (double)MS_PER_MINUTE;
        Moment lamp;
        if (stage->lamp == LAMP_WITH_FLOW && stage->rated_ml_min > 0)
            lamp = after_litres(from, minutes * (double)stage->rated_ml_min / 1000, rate, early);
        else
            lamp = service_ahead(from, (double)stage->life_ms / (double)MS_PER_DAY);
        end = moment_sooner(end, lamp);
    }
    return end;
}

/* Swaps are made when due: one that is overdue is made now, not in the past. */
static Moment swap_made(Moment due, Moment now)
{
    if (moment_known(due))
        due.ms = int64_larger(due.ms, now.ms);
    return due;
}

static Part part_of(const Board *board, const State *state, const ForecastRate *all, int index,
                    Moment until)
{
    const BoardStage *s = &board->stages[index];
    const Stage *stage = &state->stages[s->slot];
    const ForecastRate rate = service_rate(board, state, all, stage->line);
    Part part = {.stage = index,
                 .spares = int64_larger(s->spares, 0),
                 .counted = s->spares >= 0,
                 .before = MOMENT_NONE,
                 .due = MOMENT_NONE,
                 .at_stop = -1};
    const bool clogged = s->because == BECAUSE_CLOGGING;
    Moment early = swap_made(clogged ? board->now : s->due_early, board->now);
    Moment due = swap_made(clogged ? board->now : s->due, board->now);
    while (moment_known(early) && early.ms <= until.ms && part.needed < PARTS_SWAPS_MAX) {
        if (part.needed++ == part.spares) { /* this one has no spare */
            part.before = early;
            part.due = due;
        }
        const Moment next = life_end(stage, early, &rate, true);
        if (moment_known(next) && next.ms <= early.ms)
            break; /* a life of no length: one swap is all that can be told */
        early = next;
        due = moment_known(due) ? life_end(stage, due, &rate, false) : due;
    }
    part.buy = int64_larger(part.needed - part.spares, 0);
    for (int i = 0; part.buy > 0 && i < board->stop_count; i++)
        if (board->stops[i].eta.ms < part.before.ms && stop_has_shop(board, &board->stops[i]))
            part.at_stop = i;
    return part;
}

int parts_needed(const Board *board, const State *state, const ForecastRate *rate, Moment until,
                 Part out[STAGES_MAX])
{
    int count = 0;
    for (int i = 0; i < board->stage_count && moment_known(until); i++) {
        const Part part = part_of(board, state, rate, i, until);
        if (part.needed > 0)
            out[count++] = part;
    }
    return count;
}

char *part_tell(const Board *board, const Part *part, char *out)
{
    const BoardStage *s = &board->stages[part->stage];
    char before[64];
    if (part->buy == 0) {
        snprintf(out, BOARD_TEXT, "%s: %d needed, %lld aboard", s->label.s, part->needed,
                 (long long)part->spares);
        return out;
    }
    const char *more = part->needed == PARTS_SWAPS_MAX ? "at least " : "";
    const char *spares = part->counted ? "" : " (spares never counted)";
    if (part->before.ms <= board->now.ms)
        snprintf(out, BOARD_TEXT, "buy %s%lld for %s now: it is due%s", more, (long long)part->buy,
                 s->label.s, spares);
    else if (part->at_stop >= 0)
        snprintf(out, BOARD_TEXT, "buy %s%lld for %s before %s, at the latest at %s%s", more,
                 (long long)part->buy, s->label.s,
                 moment_print_date(part->before, board->now, before),
                 board->stops[part->at_stop].label.s, spares);
    else
        snprintf(out, BOARD_TEXT, "buy %s%lld for %s before %s, so before the next stop%s", more,
                 (long long)part->buy, s->label.s,
                 moment_print_date(part->before, board->now, before), spares);
    return out;
}
