#include "outlook/plan.h"

#include "base/whole.h"

#include <math.h>

#define PLAN_ODDS 0.9 /* for the ration and for what to take on (domain: "Stops") */

static double litres_of(int64_t ml)
{
    return (double)ml / 1000;
}

ForecastRate plan_rate(const Board *board, const State *state)
{
    return forecast_rate(&state->use, board->now.ms, moment_local_zone(board->now), -1);
}

static Moment moment_of(const Board *board, ForecastTime time)
{
    if (time.never || !isfinite(time.days))
        return MOMENT_NONE;
    return (Moment){board->now.ms + (int64_t)floor(time.days * (double)MS_PER_DAY + 0.5)};
}

static Band band_of(const Board *board, ForecastBand band)
{
    return (Band){moment_of(board, band.early), moment_of(board, band.median),
                  moment_of(board, band.late)};
}

/* The line that most of the water has gone through: what nobody logged went through it too. -1:
 * none. */
static int line_main(const Board *board, const State *state)
{
    int best = -1;
    for (int i = 0; i < board->line_count; i++)
        if (best < 0 ||
            state->lines[board->lines[i].slot].drawn > state->lines[board->lines[best].slot].drawn)
            best = i;
    return best;
}

/* Takes `loss` mL off the line as the water goes: the lead first, then the next towards the tap. */
static void line_lower(Board *board, const BoardLine *line, int64_t loss, bool low)
{
    for (int i = 0; i < line->count && loss > 0; i++) {
        BoardVessel *v = &board->vessels[line->vessels[i]];
        const int64_t part = int64_smaller(loss, v->usable);
        if (low)
            v->expected_low = v->volume - part;
        else
            v->expected_high = v->volume - part;
        v->expected_told = v->volume - v->expected_low >= EXPECTED_TOLD_ML;
        loss -= part;
    }
}

ForecastRate plan_since(const Board *board, const State *state, const ForecastRate *rate)
{
    const int line = line_main(board, state);
    if (line < 0 || board->lines[line].lead < 0 || !moment_known(board->lines[line].known))
        return *rate;
    const ForecastRate since = forecast_since(*rate, &state->use, board->lines[line].known.ms,
                                              board->now.ms, moment_local_zone(board->now));
    return forecast_found(since, litres_of(state->lines[board->lines[line].slot].known_found));
}

/* The usable water on the lines as it is expected, L: what the log makes it, less what went
 * unlogged, all of it from the main line; that one's vessels' bands follow. */
static double line_expected(Board *board, const State *state, const ForecastRate *since)
{
    const double reckoned = litres_of(board->supply.line);
    const int index = line_main(board, state);
    if (index < 0 || board->lines[index].lead < 0)
        return reckoned;
    const BoardLine *line = &board->lines[index];
    const double usable = litres_of(line->usable);
    const ForecastLevel level = forecast_level(since, usable);
    line_lower(board, line, (int64_t)floor((usable - level.low) * 1000 + 0.5), true);
    line_lower(board, line, (int64_t)floor((usable - level.high) * 1000 + 0.5), false);
    return fmax(reckoned - (usable - level.expected), 0);
}

double plan_gone_litres(const Board *board, const State *state, int slot, Moment since)
{
    const int index = line_main(board, state);
    const BoardLine *line = index >= 0 ? &board->lines[index] : NULL;
    if (line == NULL || line->slot != slot || line->lead < 0 || !moment_known(line->known))
        return 0;
    const ForecastRate rate = plan_rate(board, state), all = plan_since(board, state, &rate);
    if (board->crew < 0 && rate.prior >= 1) /* nothing is known of the use */
        return 0;
    const double usable = litres_of(line->usable);
    const double gone = fmin(forecast_mean(&all, 0), usable);
    const double days = (double)(board->now.ms - line->known.ms);
    return since.ms > line->known.ms && days > 0 ? gone * (double)(board->now.ms - since.ms) / days
                                                 : gone;
}

double plan_full_litres(const Board *board, Place place)
{
    int64_t sum = 0;
    for (int i = 0; i < board->vessel_count; i++)
        if (board->vessels[i].place == place)
            sum += board->vessels[i].capacity - board->vessels[i].heel;
    return litres_of(sum);
}

/* Water at the start of a leg as it is expected, L; and as it was reckoned when the odds began to
 * count (now, with all that may have gone before in the rate, or where a stop filled everything),
 * with what has been taken on since. The odds are about that sum: a stop that gives a little does
 * not make anybody forget how unsure the use of the days before it was. */
typedef struct {
    const ForecastRate *rate;
    double line, reserve;
    Moment from;
    double line_sum, all_sum;
    Moment sure;
} Leg;

void plan_take_on(const Board *board, const BoardStop *stop, double *line, double *reserve)
{
    const double full_line = plan_full_litres(board, PLACE_LINE),
                 full_reserve = plan_full_litres(board, PLACE_RESERVE);
    if (stop->litres < 0) {
        *line = full_line;
        *reserve = full_reserve;
        return;
    }
    double had = litres_of(stop->litres);
    const double to_line = fmin(had, fmax(full_line - *line, 0));
    *line += to_line;
    had -= to_line;
    *reserve += fmin(had, fmax(full_reserve - *reserve, 0));
}

/* At the stop: what is expected to be left, and what is taken on. */
static Leg leg_next(const Board *board, const Leg *leg, const BoardStop *stop,
                    const ForecastRate *rate)
{
    Leg next = *leg;
    double used = forecast_mean(rate, moment_days(leg->from, stop->eta));
    next.from = stop->eta;
    next.line = fmax(leg->line - used, 0);
    used = fmax(used - leg->line, 0);
    next.reserve = fmax(leg->reserve - used, 0);
    const double line_left = next.line, all_left = next.line + next.reserve;
    plan_take_on(board, stop, &next.line, &next.reserve);
    const double all = next.line + next.reserve;
    if (stop->litres < 0) { /* filled: known again */
        next.line_sum = next.line;
        next.all_sum = all;
        next.sure = stop->eta;
        next.rate = rate;
    } else {
        next.line_sum += next.line - line_left;
        next.all_sum += all - all_left;
    }
    return next;
}

/* The odds that the leg lasts to `eta`: of all there was since the level was last known something
 * is left; and no leg can use more than all that fits. */
static double leg_lasts(const ForecastRate *rate, const Leg *leg, double sum, double full,
                        Moment eta)
{
    const double odds = forecast_lasts(leg->rate, sum, moment_days(leg->sure, eta));
    if (leg->from.ms <= leg->sure.ms)
        return odds;
    return fmin(odds, forecast_lasts(rate, full, moment_days(leg->from, eta)));
}

/* The end of the leg that begins at stop `i`: the next stop that has water, or the last of all. */
static Moment leg_end(const Board *board, int i)
{
    for (i++; i + 1 < board->stop_count && board->stops[i].litres == 0;)
        i++;
    return board->stops[i].eta;
}

static void stops_odds(Board *board, const ForecastRate *rate, Leg leg)
{
    const double full_line = plan_full_litres(board, PLACE_LINE),
                 full_all = full_line + plan_full_litres(board, PLACE_RESERVE);
    double line = 1, all = 1;
    for (int i = 0; i < board->stop_count; i++) {
        BoardStop *stop = &board->stops[i];
        line = fmin(line, leg_lasts(rate, &leg, leg.line_sum, full_line, stop->eta));
        all = fmin(all, leg_lasts(rate, &leg, leg.all_sum, full_all, stop->eta));
        stop->odds_line = line;
        stop->odds_all = all;
        const double ration =
            forecast_ration(leg.rate, leg.all_sum, moment_days(leg.sure, stop->eta), PLAN_ODDS);
        stop->ration_90 = isfinite(ration) ? ration : NAN;
        if (stop->litres == 0) { /* a dry stop ends no leg: the water at hand has to last on */
            stop->take_on = 0;
            continue;
        }
        if (i + 1 < board->stop_count) {
            const double need =
                forecast_need(rate, moment_days(stop->eta, leg_end(board, i)), PLAN_ODDS);
            stop->take_on = (int64_t)ceil(need * 1000);
        }
        leg = leg_next(board, &leg, stop, rate);
    }
}

#define LOW_WATER_DAYS 2.0 /* domain: a line that may not last so long is said to be low */

void plan_make(Board *board, const State *state, const ForecastRate *rate)
{
    board->use_known = board->outlook_known = board->crew >= 0 || rate->prior < 1;
    board->use_prior = rate->prior;
    if (!board->use_known)
        return;
    board->litres_per_day = rate->day;
    board->logged_per_person_day = rate->logged;
    board->unlogged_per_person_day = rate->unlogged;
    const ForecastRate since = plan_since(board, state, rate);
    const double line = line_expected(board, state, &since),
                 reserve = litres_of(board->supply.reserve);
    const double reckoned = litres_of(board->supply.line);
    const double full = plan_full_litres(board, PLACE_LINE);
    if (full > 0) { /* else nothing is coupled that could run low */
        board->odds_two_days = forecast_lasts(&since, reckoned, LOW_WATER_DAYS);
        board->line_share = line / full;
    }
    board->to_reserve = band_of(board, forecast_band(&since, reckoned));
    board->to_empty = band_of(board, forecast_staged(&since, reckoned, reserve, 0));
    stops_odds(board, rate,
               (Leg){&since, line, reserve, board->now, reckoned, reckoned + reserve, board->now});
}
