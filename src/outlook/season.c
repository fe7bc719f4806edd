#include "outlook/season.h"

#include "base/memory.h"
#include "base/whole.h"
#include "model/fold.h"
#include "model/kinds.h"
#include "model/supply.h"
#include "outlook/forecast.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const int horizons[SEASON_HORIZONS] = {3, 7};

void season_begin(Season *season, Moment since, Moment until, Moment now)
{
    *season = (Season){.since = since, .until = moment_known(until) ? until : now};
    season->was.at = season->was.last_fill = MOMENT_NONE_MS;
    for (int h = 0; h < SEASON_HORIZONS; h++)
        season->judged[h].days = horizons[h];
}

void season_finish(Season *season)
{
    free(season->days);
    free(season->said);
    season->days = NULL;
    season->said = NULL;
}

/* ---- days ---- */

static SeasonDay *day_at(Season *season, int64_t number)
{
    const int64_t i = number - season->first_day;
    return i >= 0 && i < season->day_count ? &season->days[i] : NULL;
}

/* What is said at the beginning of the day, from all entries before it. */
static void day_foretell(Season *season, const State *state, Moment begin)
{
    double(*said)[3] = season->said[season->day_count - 1];
    const ForecastRate rate = forecast_rate(&state->use, begin.ms, moment_local_zone(begin), -1);
    for (int h = 0; h < SEASON_HORIZONS; h++)
        for (int i = 0; i < 3; i++)
            said[h][i] =
                rate.prior < 1.0 ? forecast_quantile(&rate, horizons[h], 0.1 + 0.4 * i) : -1.0;
}

static void day_open(Season *season, const State *state, int64_t number)
{
    if (season->day_count == season->day_room) {
        season->day_room = season->day_room > 0 ? season->day_room * 2 : 512;
        season->days = memory_resize(season->days, (size_t)season->day_room * sizeof *season->days);
        season->said = memory_resize(season->said, (size_t)season->day_room * sizeof *season->said);
    }
    if (season->day_count == 0)
        season->first_day = number;
    season->days[season->day_count++] = (SeasonDay){0};
    day_foretell(season, state, moment_of_local_day(number));
}

static double person_days(const State *state, Moment from, Moment to)
{
    return use_person_days(&state->use, from.ms, to.ms, moment_local_zone(from));
}

/* Days up to that of `at`, in the state that held until then. */
static void days_to(Season *season, const State *state, Moment at)
{
    const int64_t last = moment_local_day(at);
    if (season->day_count == 0)
        day_open(season, state, last);
    for (int64_t d = season->first_day + season->day_count; d <= last; d++) {
        SeasonDay *over = day_at(season, d - 1);
        over->person_days = person_days(state, moment_of_local_day(d - 1), moment_of_local_day(d));
        day_open(season, state, d);
    }
}

/* Litres evenly over the days from `from` to `to`. */
static void spread(Season *season, int64_t from, int64_t to, double litres, bool foretold)
{
    const int64_t first = moment_local_day((Moment){int64_smaller(from, to)});
    const int64_t last = moment_local_day((Moment){to});
    const int64_t begin = int64_larger(first, season->first_day);
    for (int64_t d = begin; d <= last; d++) {
        SeasonDay *day = day_at(season, d);
        const double share = litres / (double)(last - begin + 1);
        day->unlogged += share;
        day->foretold += foretold ? share : 0.0;
    }
}

/* ---- the time between two entries ---- */

static void stretch_end(Season *season, int64_t at)
{
    if (season->was.last_fill != MOMENT_NONE_MS && at - season->was.last_fill > season->longest_ms)
        season->longest_ms = at - season->was.last_fill;
}

static bool in_span(const Season *season, int64_t at)
{
    return at >= season->since.ms && at <= season->until.ms;
}

/* The part of from..to that lies in the span. */
static int64_t clipped(const Season *season, int64_t from, int64_t to)
{
    from = int64_larger(from, season->since.ms);
    to = int64_smaller(to, season->until.ms);
    return int64_larger(to - from, 0);
}

static void time_pass(Season *season, int64_t to)
{
    if (season->was.at == MOMENT_NONE_MS)
        return;
    const int64_t passed = clipped(season, season->was.at, to);
    season->on_reserve_ms += season->was.on_reserve ? passed : 0;
    season->without_potable_ms += season->was.dry ? passed : 0;
}

static void time_mark(Season *season, const State *state, int64_t at)
{
    const ReserveState reserve = reserve_state(state, (Moment){at});
    season->was.at = at;
    season->was.on_reserve = reserve == RESERVE_IN_USE || reserve == RESERVE_SPENT;
    season->was.dry = state->vessel_count > 0 && supply_of(state).by_class[CLASS_POTABLE] == 0;
}

/* ---- an entry ---- */

/* The vessel whose level the entry is about; NULL: none. */
static const Vessel *vessel_named(const State *state, const Event *e)
{
    const Label *label = e->kind == KIND_FILL    ? &e->u.fill.vessel
                         : e->kind == KIND_SOUND ? &e->u.sound.vessel
                         : e->kind == KIND_DRAW  ? &e->u.draw.vessel
                                                 : NULL;
    const int i = label != NULL && !label_empty(label) ? state_vessel(state, label) : -1;
    return i >= 0 ? &state->vessels[i] : NULL;
}

static void season_before(Season *season, const State *state, const Event *e)
{
    if (e->at.ms > season->until.ms)
        return;
    if (season->day_count == 0 && season->since.ms < e->at.ms) /* NONE is before every time */
        season->since = e->at;
    days_to(season, state, e->at);
    time_pass(season, e->at.ms);
    const Vessel *v = vessel_named(state, e);
    season->was.totals = state->totals;
    season->was.discrepancies = state->discrepancy_count + state->discrepancy_lost;
    season->was.known_at = v != NULL ? v->known_at : MOMENT_NONE_MS;
    season->was.wash = v != NULL && v->duty == DUTY_WASH;
    season->was.part = (SeasonPart){.swapped = MOMENT_NONE};
    const int i = e->kind == KIND_SWAP ? state_stage(state, &e->u.swap.stage) : -1;
    if (i >= 0) {
        const Stage *stage = &state->stages[i];
        season->was.part =
            (SeasonPart){stage->label,   {stage->fitted_at}, e->at,      stage->through_ml,
                         stage->life_ml, stage->life_days,   stage->cost};
    }
}

static Quality class_called(const State *state, const Event *e)
{
    if (event_has(e, kind_field(kind_of(KIND_FILL), text_of("class"))))
        return (Quality)e->u.fill.quality;
    const int i = state_source(state, &e->u.fill.source);
    return source_quality(i >= 0 ? state->sources[i].quality : (uint8_t)SOURCE_UNKNOWN_CLASS);
}

static void fill_take(Season *season, const State *state, const Event *e, int64_t ml)
{
    enum { ONE_REFILL_MS = 60 * 60 * 1000 };
    int i = 0;
    SeasonDay *day = day_at(season, moment_local_day(e->at));
    day->taken[class_called(state, e)] += (double)ml / 1000.0;
    while (i < season->source_count && !label_equal(&season->sources[i].source, &e->u.fill.source))
        i++;
    if (i == season->source_count && i < SEASON_SOURCES_MAX)
        season->sources[season->source_count++].source = e->u.fill.source;
    if (i < SEASON_SOURCES_MAX) {
        SeasonSource *from = &season->sources[i];
        from->ml[class_called(state, e)] += ml;
        from->fills++;
        if (event_has(e, kind_field(kind_of(KIND_FILL), text_of("cost")))) {
            from->cost += e->u.fill.cost;
            from->paid_ml += ml;
        }
    }
    if (season->was.last_fill == MOMENT_NONE_MS ||
        e->at.ms - season->was.last_fill > ONE_REFILL_MS) {
        season->refills++;
        day->refills++;
        stretch_end(season, e->at.ms);
    }
    season->was.last_fill = e->at.ms;
}

static void part_take(Season *season)
{
    if (season->part_count < SEASON_PARTS_MAX)
        season->parts[season->part_count++] = season->was.part;
    else
        season->parts_more++;
}

static bool leak_found(const State *state, const Event *e)
{
    if (state->discrepancy_count == 0)
        return false;
    const Discrepancy *d = &state->discrepancies[state->discrepancy_count - 1];
    return d->kind == DISCREPANCY_LEAK && uuid_compare(&d->entry, &e->id) == 0;
}

/* Days are kept outside the span, too: what was foretold inside it may come after it, and the other
 * way. */
static void use_take(Season *season, const State *state, const Event *e, int64_t drawn,
                     int64_t unlogged)
{
    SeasonDay *day = day_at(season, moment_local_day(e->at));
    day->logged += (double)drawn / 1000.0;
    day->foretold += season->was.wash ? 0.0 : (double)drawn / 1000.0;
    if (unlogged <= 0)
        return;
    const int64_t from = season->was.known_at != MOMENT_NONE_MS ? season->was.known_at : e->at.ms;
    spread(season, from, e->at.ms, (double)unlogged / 1000.0,
           !season->was.wash && !leak_found(state, e));
}

static void season_after(Season *season, const State *state, const Event *e)
{
    const Totals *was = &season->was.totals, *is = &state->totals;
    if (e->at.ms > season->until.ms)
        return;
    const int64_t drawn = is->drawn - was->drawn, unlogged = is->unlogged - was->unlogged;
    use_take(season, state, e, drawn, unlogged);
    time_mark(season, state, e->at.ms);
    if (!in_span(season, e->at.ms))
        return;
    season->entries++;
    season->filled_ml += is->filled - was->filled;
    season->drawn_ml += drawn;
    season->unlogged_ml += unlogged;
    season->dumped_ml += is->dumped - was->dumped;
    season->gained_ml += is->gained - was->gained;
    season->discrepancies +=
        state->discrepancy_count + state->discrepancy_lost > season->was.discrepancies;
    season->treatments += e->kind == KIND_TREAT;
    season->tests += e->kind == KIND_TEST;
    if (e->kind == KIND_DRAW) {
        const bool told = event_has(e, kind_field(kind_of(KIND_DRAW), text_of("purpose")));
        season->by_purpose_ml[told ? e->u.draw.purpose : PURPOSE_COUNT] += drawn;
    } else if (e->kind == KIND_FILL) {
        fill_take(season, state, e, is->filled - was->filled);
    } else if (moment_known(season->was.part.swapped)) { /* of a swap alone */
        part_take(season);
    }
}

void season_take(Season *season, State *state, const Event *e)
{
    season_before(season, state, e);
    fold_apply(state, e);
    season_after(season, state, e);
}

/* ---- the judgement ---- */

void season_limits(int inside, int cases, double *low, double *high)
{
    const double z = 1.959963984540054, n = cases, p = inside / n;
    const double middle = (p + z * z / (2.0 * n)) / (1.0 + z * z / n);
    const double half = z * sqrt(p * (1.0 - p) / n + z * z / (4.0 * n * n)) / (1.0 + z * z / n);
    *low = fmax(0.0, middle - half);
    *high = fmin(1.0, middle + half);
}

static void judge(Season *season, int h)
{
    SeasonJudged *judged = &season->judged[h];
    double bias = 0.0;
    if (season->day_count == 0)
        return;
    /* Up to the last entry: what came after it nobody knows; its own day is not over. */
    const int64_t last = moment_local_day((Moment){season->was.at}) - season->first_day;
    for (int i = 0; i + judged->days <= last; i++) {
        const double *said = season->said[i][h];
        if (said[0] < 0.0 || !in_span(season, moment_of_local_day(season->first_day + i).ms))
            continue;
        double came = 0.0;
        for (int d = 0; d < judged->days; d++)
            came += season->days[i + d].foretold;
        judged->cases++;
        judged->inside += came >= said[0] && came <= said[2];
        bias += came - said[1];
    }
    if (judged->cases == 0)
        return;
    judged->bias = bias / judged->cases;
    season_limits(judged->inside, judged->cases, &judged->low, &judged->high);
}

void season_end(Season *season, const State *state)
{
    if (!moment_known(season->since))
        season->since = season->until;
    if (season->day_count > 0) {
        days_to(season, state, season->until);
        const int64_t last = season->first_day + season->day_count - 1;
        day_at(season, last)->person_days =
            person_days(state, moment_of_local_day(last), season->until);
    }
    time_pass(season, season->until.ms);
    stretch_end(season, season->until.ms);
    for (int h = 0; h < SEASON_HORIZONS; h++)
        judge(season, h);
}

static int64_t span_begin(const Season *season)
{
    const int64_t since = moment_local_day(season->since);
    return int64_larger(since - season->first_day, 0);
}

int season_day_count(const Season *season)
{
    return (int)int64_larger(season->day_count - span_begin(season), 0);
}

const SeasonDay *season_day(const Season *season, int i)
{
    return i >= 0 && i < season_day_count(season) ? &season->days[span_begin(season) + i] : NULL;
}
