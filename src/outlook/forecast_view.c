#include "outlook/forecast_view.h"

#include "base/whole.h"
#include "outlook/advice.h"
#include "outlook/plan.h"
#include "outlook/service.h"

#include <math.h>

/* ---- what if ---- */

WhatIf what_if_nothing(void)
{
    return (WhatIf){.crew = -1, .litres_per_day = -1};
}

bool what_if_changes(const WhatIf *what)
{
    return what->crew >= 0 || what->litres_per_day >= 0 || what->dry_count > 0;
}

static int dry_index(const WhatIf *what, const Label *stop)
{
    for (int i = 0; i < what->dry_count; i++)
        if (label_equal(&what->dry[i], stop))
            return i;
    return -1;
}

bool what_if_dry(const WhatIf *what, const Label *stop)
{
    return dry_index(what, stop) >= 0;
}

void what_if_toggle_dry(WhatIf *what, const Label *stop)
{
    const int at = dry_index(what, stop);
    if (at >= 0)
        what->dry[at] = what->dry[--what->dry_count];
    else if (what->dry_count < STOPS_MAX)
        what->dry[what->dry_count++] = *stop;
}

ForecastRate what_if_rate(const Board *as_is, const State *state, const WhatIf *what)
{
    ForecastRate rate = forecast_rate(&state->use, as_is->now.ms, moment_local_zone(as_is->now),
                                      what->crew >= 0 ? what->crew : -1);
    return what->litres_per_day >= 0 ? forecast_rate_at(rate, what->litres_per_day) : rate;
}

void what_if_board(Board *board, const Board *as_is, const State *state, const WhatIf *what)
{
    *board = *as_is;
    if (!what_if_changes(what))
        return;
    const ForecastRate rate = what_if_rate(as_is, state, what);
    if (what->crew >= 0)
        board->crew = what->crew;
    for (int i = 0; i < board->stop_count; i++) {
        BoardStop *stop = &board->stops[i];
        if (what_if_dry(what, &stop->label))
            stop->litres = 0;
        stop->odds_line = stop->odds_all = stop->ration_90 = NAN;
        stop->take_on = -1;
    }
    board->to_reserve = board->to_empty = (Band){MOMENT_NONE, MOMENT_NONE, MOMENT_NONE};
    /* plan_make asks whether anything is known of the use; a rate that was given is */
    const int crew = board->crew;
    if (crew < 0 && what->litres_per_day >= 0)
        board->crew = 1;
    plan_make(board, state, &rate);
    service_stages(board, state, &rate);
    board->crew = crew;
    advice_give(board);
}

/* ---- the curve ---- */

int64_t view_water(const State *state, Quality *quality)
{
    int64_t sum = -1;
    *quality = CLASS_POTABLE;
    for (int i = 0; i < state->vessel_count; i++) {
        const Vessel *v = &state->vessels[i];
        if (!vessel_aboard(v))
            continue;
        sum = int64_larger(sum, 0);
        if (vessel_place(v) == PLACE_APART || vessel_usable(v) == 0)
            continue;
        sum += vessel_usable(v);
        *quality = quality_worst(*quality, (Quality)v->quality);
    }
    return sum;
}

/* One quantile of the consumption, followed over the stops. */
typedef struct {
    double odds;
    double line, reserve; /* L, when the leg began */
    Moment from;          /* when the leg began */
    Moment sure;          /* C counts from there: now, or where a stop filled everything */
    double before;        /* of C, when the leg began */
    const ForecastRate *rate;
} Path;

/* Used between the beginning of the leg and `at`. */
static double path_used(const Path *path, Moment at)
{
    return fmax(
        forecast_quantile(path->rate, moment_days(path->sure, at), path->odds) - path->before, 0);
}

static double path_left(const Path *path, Moment at)
{
    const double water = path->line + path->reserve;
    /* Where nothing is left it is enough to know that: one sum in place of a dozen. */
    if (forecast_lasts(path->rate, water + path->before, moment_days(path->sure, at)) <= path->odds)
        return 0;
    return fmax(water - path_used(path, at), 0);
}

static void path_stop(Path *path, const Board *board, const ForecastRate *rate,
                      const BoardStop *stop)
{
    const double used_all = path_used(path, stop->eta);
    double used = used_all;
    const double from_line = fmin(used, path->line);
    used -= from_line;
    path->line -= from_line;
    path->reserve = fmax(path->reserve - used, 0);
    path->from = stop->eta;
    plan_take_on(board, stop, &path->line, &path->reserve);
    path->before += used_all;
    if (stop->litres < 0) {
        path->sure = stop->eta;
        path->before = 0;
        path->rate = rate;
    }
}

static void view_add(ForecastView *view, const Path paths[3], Moment at)
{
    if (view->count == VIEW_POINTS)
        return;
    view->point[view->count++] = (ViewPoint){.at = at,
                                             .low = path_left(&paths[0], at),
                                             .expected = path_left(&paths[1], at),
                                             .high = path_left(&paths[2], at),
                                             .reserve = paths[1].reserve};
}

static Moment moment_after(Moment from, double days)
{
    return (Moment){from.ms + (int64_t)floor(days * (double)MS_PER_DAY + 0.5)};
}

/* Days after the last stop until even the high path is empty. */
static double view_tail(const Path *high)
{
    const double water = high->line + high->reserve + high->before;
    const ForecastTime end = forecast_time(high->rate, water, 1 - high->odds);
    return end.never ? INFINITY : fmax(end.days - moment_days(high->sure, high->from), 0);
}

void forecast_view(ForecastView *view, const Board *board, const State *state,
                   const ForecastRate *rate, int points)
{
    view->known = board->outlook_known;
    view->lasts = false;
    view->count = 0;
    view->until = board->now;
    if (!view->known)
        return;
    const ForecastRate since = plan_since(board, state, rate);
    const double line = (double)board->supply.line / 1000,
                 reserve = (double)board->supply.reserve / 1000;
    Path paths[3];
    for (int i = 0; i < 3; i++)
        paths[i] = (Path){
            (const double[]){0.9, 0.5, 0.1}[i], line, reserve, board->now, board->now, 0, &since};

    /* Where it ends: the high path is followed to its end first. */
    const Moment limit = moment_after(board->now, VIEW_DAYS_MAX);
    Path high = paths[2];
    int stops = 0;
    for (; stops < board->stop_count && board->stops[stops].eta.ms < limit.ms; stops++)
        path_stop(&high, board, rate, &board->stops[stops]);
    const double tail = view_tail(&high);
    view->lasts = !isfinite(tail);
    const double days =
        moment_days(board->now, high.from) + (view->lasts ? (double)VIEW_IDLE_DAYS : fmax(tail, 1));
    view->until = days < VIEW_DAYS_MAX ? moment_after(board->now, days) : limit;

    points = (int)int64_smaller(int64_larger(points, 2), VIEW_POINTS - 2 * STOPS_MAX);
    int stop = 0;
    for (int i = 0; i < points; i++) {
        const Moment at = {board->now.ms + (view->until.ms - board->now.ms) * i / (points - 1)};
        for (; stop < stops && board->stops[stop].eta.ms <= at.ms; stop++) {
            const Moment eta = board->stops[stop].eta;
            view_add(view, paths, eta);
            for (int p = 0; p < 3; p++)
                path_stop(&paths[p], board, rate, &board->stops[stop]);
            view_add(view, paths, eta);
        }
        view_add(view, paths, at);
    }
}

bool view_at(const ForecastView *view, Moment at, ViewPoint *point)
{
    for (int i = view->count - 1; i >= 0; i--) {
        const ViewPoint *a = &view->point[i];
        if (a->at.ms > at.ms)
            continue;
        *point = *a;
        if (i + 1 == view->count || a->at.ms == at.ms)
            return a->at.ms == at.ms;
        const ViewPoint *b = &view->point[i + 1];
        const double part = (double)(at.ms - a->at.ms) / (double)(b->at.ms - a->at.ms);
        point->at = at;
        point->low += (b->low - a->low) * part;
        point->expected += (b->expected - a->expected) * part;
        point->high += (b->high - a->high) * part;
        return true;
    }
    return false;
}
