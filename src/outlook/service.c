#include "outlook/service.h"

#include "base/whole.h"
#include "outlook/plan.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

const char *service_state_name(ServiceState s)
{
    static const char *const names[] = {"ok", "soon", "due"};
    return names[s];
}

const char *because_name(Because b)
{
    static const char *const names[] = {NULL, "date", "litres", "lamp hours", "clogging"};
    return names[b];
}

Moment service_date(Moment from, int64_t days)
{
    if (!moment_known(from))
        return MOMENT_NONE;
    const int64_t last = moment_day((Moment){MOMENT_MAX_MS}, 0) - 1;
    const int64_t day = moment_local_day(from);
    if (days > last - day)
        return MOMENT_NONE;
    return moment_of_local_day(day + days);
}

int64_t service_days_until(Moment now, Moment then)
{
    return moment_local_day(then) - moment_local_day(now);
}

Moment service_put_off(int64_t until_ms, Moment now)
{
    const Moment until = {until_ms};
    return until_ms > now.ms ? until : MOMENT_NONE; /* NONE is before every now */
}

Moment service_ahead(Moment from, double days)
{
    if (!(days < FORECAST_NEVER_DAYS))
        return MOMENT_NONE;
    return (Moment){from.ms + (int64_t)floor(days * (double)MS_PER_DAY)};
}

ForecastRate service_rate(const Board *board, const State *state, const ForecastRate *all, int line)
{
    if (!board->use_known)
        return forecast_rate_at(*all, 0);
    double share = 1;
    if (line >= 0 && state->totals.drawn > 0 && state->lines[line].drawn > 0)
        share = (double)state->lines[line].drawn / (double)state->totals.drawn;
    return forecast_at_home(share < 1 ? forecast_rate_at(*all, all->day * share) : *all);
}

char *service_life_text(double life_left, char out[8])
{
    enum { NEW_PER_MILLE = 995 };
    if (!(life_left >= 0))
        out[0] = '\0';
    else if (life_left * 1000 >= NEW_PER_MILLE)
        snprintf(out, 8, "100 %%");
    else if (life_left > 0 && life_left < 0.01)
        snprintf(out, 8, "<1 %%");
    else
        snprintf(out, 8, "%d %%", (int)(life_left * 100 + 1e-9));
    return out;
}

/* What the limits of one stage say so far: the earliest date, and the least life left. */
typedef struct {
    Moment due, early, late;
    Because because;
    double life_left;
} Limits;

/* All limits that hang on the use hang on the same use, so a quantile of the earliest is the
 * earliest of the quantiles: litres that may be through before the date count in the band. */
static void limit_add(Limits *l, Band band, Because because, double left)
{
    if (moment_known(band.p50) && (!moment_known(l->due) || band.p50.ms < l->due.ms)) {
        l->due = band.p50;
        l->because = because;
    }
    l->early = moment_sooner(l->early, band.p10);
    l->late = moment_sooner(l->late, band.p90);
    left = fmin(fmax(left, 0), 1);
    if (l->life_left < 0 || left < l->life_left)
        l->life_left = left;
}

static Band band_certain(Moment at)
{
    return (Band){at, at, at};
}

/* When `litres` more have run through, at the rate; already, where none are left. */
static Band band_litres(Moment now, double litres, const ForecastRate *rate)
{
    if (litres <= 0)
        return band_certain(now);
    const ForecastBand band = forecast_band(rate, litres);
    return (Band){service_ahead(now, band.early.days), service_ahead(now, litres / rate->day),
                  service_ahead(now, band.late.days)};
}

static void limit_date(Limits *l, const Stage *stage, Moment now)
{
    if (stage->life_days <= 0)
        return;
    const Moment fitted = {stage->fitted_at};
    const double used = (double)(now.ms - fitted.ms) / (double)MS_PER_DAY;
    limit_add(l, band_certain(service_date(fitted, stage->life_days)), BECAUSE_DATE,
              1 - used / (double)stage->life_days);
}

/* `gone`: litres that are expected to have passed since the level was last known. They bring the
 * date nearer; the life left is what the log proves. */
static void limit_litres(Limits *l, const Stage *stage, Moment now, const ForecastRate *rate,
                         double gone)
{
    if (stage->life_ml <= 0)
        return;
    const double left = (double)(stage->life_ml - stage->through_ml);
    limit_add(l, band_litres(now, left / 1000 - gone, rate), BECAUSE_LITRES,
              left / (double)stage->life_ml);
}

static void limit_lamp(Limits *l, const Stage *stage, Moment now, const ForecastRate *rate,
                       double gone)
{
    if (stage->life_ms <= 0)
        return;
    const double left = (double)(stage->life_ms - stage_lamp_ms(stage, now.ms));
    Band band;
    if (stage->lamp == LAMP_WITH_FLOW && stage->rated_ml_min > 0) {
        const double litres = left / (double)MS_PER_MINUTE * (double)stage->rated_ml_min / 1000;
        band = band_litres(now, litres - gone, rate);
    } else { /* burns always, or nobody said how fast the water runs: the hour is known */
        const Moment at = {stage->fitted_at + stage->life_ms};
        const bool never = at.ms - now.ms >= (int64_t)FORECAST_NEVER_DAYS * MS_PER_DAY;
        band = band_certain(never ? MOMENT_NONE : at);
    }
    limit_add(l, band, BECAUSE_LAMP_HOURS, left / (double)stage->life_ms);
}

static bool line_clogs(const Board *board, const Label *line)
{
    for (int i = 0; i < board->line_count; i++)
        if (label_equal(&board->lines[i].label, line))
            return board->lines[i].flow_fell;
    return false;
}

static Limits limits_of(const Stage *stage, Moment now, const ForecastRate *rate, double gone)
{
    Limits l = {MOMENT_NONE, MOMENT_NONE, MOMENT_NONE, BECAUSE_NOTHING, -1};
    limit_date(&l, stage, now);
    limit_litres(&l, stage, now, rate, gone);
    limit_lamp(&l, stage, now, rate, gone);
    return l;
}

static ServiceState state_of(const BoardStage *s, const Stage *stage, Moment now, int64_t lead)
{
    if (moment_known(s->due) && now.ms >= s->due.ms)
        return SERVICE_DUE;
    if (moment_known(s->due) && service_days_until(now, s->due) <= lead)
        return SERVICE_SOON;
    /* less than a tenth of the litres left, in whole numbers */
    if (stage->life_ml > 0 && (stage->life_ml - stage->through_ml) * 10 < stage->life_ml)
        return SERVICE_SOON;
    return SERVICE_OK;
}

static void stage_fill(const Board *board, const State *state, const ForecastRate *all, int slot,
                       BoardStage *out)
{
    const Stage *stage = &state->stages[slot];
    const ForecastRate rate = service_rate(board, state, all, stage->line);
    const double gone = plan_gone_litres(board, state, stage->line, (Moment){stage->fitted_at});
    const Limits l = limits_of(stage, board->now, &rate, gone);
    *out = (BoardStage){.slot = slot,
                        .label = stage->label,
                        .type = (StageType)stage->type,
                        .through = stage->through_ml,
                        .lamp_ms = stage_lamp_ms(stage, board->now.ms),
                        .has_lamp_life = stage->life_ms > 0,
                        .fitted = {stage->fitted_at},
                        .spares = stage->spares,
                        .due = l.due,
                        .due_early = l.early,
                        .due_late = l.late,
                        .because = l.because,
                        .litres_left = INT64_MIN,
                        .life_left = l.life_left,
                        .put_off = service_put_off(stage->put_off, board->now)};
    if (stage->line >= 0)
        out->line = state->lines[stage->line].label;
    if (stage->life_ml > 0)
        out->litres_left = stage->life_ml - stage->through_ml;
    out->state = state_of(out, stage, board->now, board->lead_days);
    if (out->state == SERVICE_SOON &&
        (!moment_known(out->due) || service_days_until(board->now, out->due) > board->lead_days))
        out->because = BECAUSE_LITRES; /* the last tenth, though the date is further off */
    if (out->state == SERVICE_OK && stage->type == STAGE_SEDIMENT &&
        line_clogs(board, &out->line)) {
        out->state = SERVICE_SOON;
        out->because = BECAUSE_CLOGGING;
    }
}

void service_stages(Board *board, const State *state, const ForecastRate *rate)
{
    board->stage_count = 0;
    for (int i = 0; i < state->stage_count; i++) {
        if (label_empty(&state->stages[i].label))
            continue;
        BoardStage stage;
        stage_fill(board, state, rate, i, &stage);
        int at = board->stage_count++;
        for (; at > 0 && label_compare(&board->stages[at - 1].label, &stage.label) > 0; at--)
            board->stages[at] = board->stages[at - 1];
        board->stages[at] = stage;
    }
}

/* ---- what is due ---- */

static int due_compare(const DueItem *a, const DueItem *b)
{
    const int order = moment_compare(a->at, b->at);
    if (order != 0)
        return order;
    if (a->state != b->state)
        return (int)b->state - (int)a->state;
    return label_compare(&a->about, &b->about);
}

static void due_add(DueItem out[DUE_MAX], int *count, const DueItem *item)
{
    int at = (*count)++;
    for (; at > 0 && due_compare(&out[at - 1], item) > 0; at--)
        out[at] = out[at - 1];
    out[at] = *item;
}

static ServiceState date_state(const Board *board, Moment at)
{
    if (board->now.ms >= at.ms)
        return SERVICE_DUE;
    return service_days_until(board->now, at) <= board->lead_days ? SERVICE_SOON : SERVICE_OK;
}

static void service_spares_words(char *out, size_t size, int64_t spares)
{
    if (spares < 0)
        snprintf(out, size, "spares never counted");
    else if (spares == 0)
        snprintf(out, size, "no spare aboard");
    else
        snprintf(out, size, "%lld spare%s aboard", (long long)spares, spares == 1 ? "" : "s");
}

static const char *stage_thing(StageType type)
{
    switch (type) {
    case STAGE_UV:
        return "lamp";
    case STAGE_MEMBRANE:
        return "membrane";
    case STAGE_SEDIMENT:
    case STAGE_CARBON_GRANULAR:
    case STAGE_CARBON_BLOCK:
    case STAGE_OTHER:
        break;
    }
    return "cartridge";
}

/* Says what is to be done to `item.about`. Its date and state are those without putting off. */
static DueItem due_item(const Board *board, DueItem item, const char *act, const char *why)
{
    const Moment due = item.due, put_off = item.put_off;
    const ServiceState state = item.state;
    item.at = due;
    item.day = true;
    if (!moment_known(put_off)) {
        snprintf(item.what, sizeof item.what, "%s: %s", item.about.s, act);
        snprintf(item.why, sizeof item.why, "%s", why);
        return item;
    }
    /* What falls due only after it was put off to is not brought forward by that. */
    if (!moment_known(due) || due.ms < put_off.ms)
        item.at = put_off;
    item.state = SERVICE_OK;
    snprintf(item.what, sizeof item.what, "%s, put off: %s", item.about.s, act);
    char date[64];
    if (!moment_known(due))
        snprintf(item.why, sizeof item.why, "%s", why);
    else if (due.ms == board->now.ms) /* its litres are through; since when is not kept */
        snprintf(item.why, sizeof item.why, "due, %s", why);
    else
        snprintf(item.why, sizeof item.why, "%s %s, %s", state == SERVICE_DUE ? "due since" : "due",
                 moment_print_date(due, board->now, date), why);
    return item;
}

static DueItem due_of_stage(const Board *board, const BoardStage *s)
{
    const bool clogs = s->state == SERVICE_SOON && s->because == BECAUSE_CLOGGING;
    const char *because = because_name(s->because);
    char act[32], why[96], spares[48];
    service_spares_words(spares, sizeof spares, s->spares);
    snprintf(act, sizeof act, "swap the %s", stage_thing(s->type));
    snprintf(why, sizeof why, "by %s; %s", because != NULL ? because : "age", spares);
    /* clogging has no date: look at it now */
    DueItem item = due_item(board,
                            (DueItem){.about = s->label,
                                      .care = CARE_SWAP,
                                      .due = clogs ? MOMENT_NONE : s->due,
                                      .state = s->state,
                                      .put_off = s->put_off},
                            act, why);
    /* A lamp that always burns is due at an hour; one that burns with the flow, by a rate, or now.
     */
    item.day = s->because != BECAUSE_LAMP_HOURS || s->due_early.ms != s->due_late.ms ||
               s->due.ms == board->now.ms;
    return item;
}

bool stop_has_shop(const Board *board, const BoardStop *stop)
{
    bool said = false;
    for (int i = 0; i < board->stop_count; i++)
        said = said || board->stops[i].shop >= 0;
    return stop->shop > 0 || !said;
}

const BoardStop *service_shop(const Board *board, Moment until)
{
    for (int i = 0; i < board->stop_count; i++) {
        const BoardStop *s = &board->stops[i];
        if (stop_has_shop(board, s) && (!moment_known(until) || s->eta.ms <= until.ms))
            return s;
    }
    return NULL;
}

bool stage_wants_spare(const Board *board, const BoardStage *s, Moment *by)
{
    *by = MOMENT_NONE;
    if (s->spares != 0 || !moment_known(s->due) || s->state == SERVICE_DUE)
        return false;
    const BoardStop *shop = service_shop(board, MOMENT_NONE);
    const int64_t away = shop != NULL ? service_days_until(board->now, shop->eta) : 0;
    const int64_t ahead = int64_larger(away, board->lead_days);
    if (service_days_until(board->now, s->due) > board->lead_days + ahead)
        return false;
    shop = service_shop(board, s->due);
    *by = service_date(shop != NULL ? shop->eta : s->due, shop != NULL ? 0 : -board->lead_days);
    return true;
}

static void due_spare(const Board *board, const BoardStage *s, DueItem out[DUE_MAX], int *count)
{
    Moment by;
    char act[32], why[96], date[64];
    if (!stage_wants_spare(board, s, &by))
        return;
    const BoardStop *shop = service_shop(board, s->due);
    snprintf(act, sizeof act, "get a spare %s", stage_thing(s->type));
    snprintf(why, sizeof why, "%s%sno spare aboard; due %s", shop != NULL ? shop->label.s : "",
             shop != NULL ? "; " : "", moment_print_date(s->due, board->now, date));
    const DueItem item = due_item(board,
                                  (DueItem){.about = s->label,
                                            .care = CARE_SPARE,
                                            .due = by,
                                            .state = date_state(board, by),
                                            .put_off = s->put_off},
                                  act, why);
    due_add(out, count, &item);
}

static bool stage_undated(const BoardStage *s)
{
    return s->state == SERVICE_OK && !moment_known(s->due);
}

static void due_vessel(const Board *board, const BoardVessel *v, DueItem out[DUE_MAX], int *count)
{
    char why[48];
    if (moment_known(v->sanitise_due)) {
        snprintf(why, sizeof why, "%lld day%s after the last time", (long long)v->sanitise_days,
                 v->sanitise_days == 1 ? "" : "s");
        const DueItem item = due_item(board,
                                      (DueItem){.about = v->label,
                                                .care = CARE_SANITISE,
                                                .due = v->sanitise_due,
                                                .state = date_state(board, v->sanitise_due),
                                                .put_off = v->sanitise_put_off},
                                      "sanitise", why);
        due_add(out, count, &item);
    }
    if (moment_known(v->stale_at)) {
        DueItem item = due_item(board,
                                (DueItem){.about = v->label,
                                          .care = CARE_WATER,
                                          .due = v->stale_at,
                                          .state = date_state(board, v->stale_at),
                                          .put_off = v->water_put_off},
                                "change the water", "stale by its mean age");
        item.day = false;
        due_add(out, count, &item);
    }
}

int board_due(const Board *board, DueItem out[DUE_MAX])
{
    int count = 0;
    for (int i = 0; i < board->stage_count; i++) {
        if (stage_undated(&board->stages[i]))
            continue;
        const DueItem item = due_of_stage(board, &board->stages[i]);
        due_add(out, &count, &item);
        due_spare(board, &board->stages[i], out, &count);
    }
    for (int i = 0; i < board->vessel_count; i++)
        due_vessel(board, &board->vessels[i], out, &count);
    return count;
}

/* Free chlorine at a tap behind carbon is low by the carbon: nothing ends that. */
static bool behind_carbon(const Board *board, const Label *line)
{
    for (int i = 0; i < board->stage_count; i++) {
        const BoardStage *s = &board->stages[i];
        if (label_equal(&s->line, line) &&
            (s->type == STAGE_CARBON_BLOCK || s->type == STAGE_CARBON_GRANULAR))
            return true;
    }
    return false;
}

static const char *look_act(const char *id)
{
    static const struct {
        const char *id, *act;
    } acts[] = {
        {"frost", "drain what freezes"},          {"low-water", "refill"},
        {"residual-low", "dose, or use it soon"}, {"residual-high", "dilute it"},
        {"residual-faded", "test it again"},      {"tap-residual-low", "use what is drawn at once"},
        {"tap-residual-high", "dilute it"}};
    for (size_t i = 0; i < sizeof acts / sizeof acts[0]; i++)
        if (strcmp(acts[i].id, id) == 0)
            return acts[i].act;
    return "look for a leak";
}

int board_looks(const Board *board, DueItem out[BOARD_ALERTS_MAX])
{
    int count = 0;
    for (int i = 0; i < board->alert_count; i++) {
        const Alert *alert = &board->alerts[i];
        if ((alert->flags & ALERT_LOOK) == 0 ||
            (strcmp(alert->id, "tap-residual-low") == 0 && behind_carbon(board, &alert->about)))
            continue;
        DueItem *item = &out[count++];
        *item = (DueItem){.state = SERVICE_DUE,
                          .at = board->now,
                          .due = board->now,
                          .put_off = MOMENT_NONE,
                          .about = alert->about,
                          .care = CARE_LOOK};
        snprintf(item->what, sizeof item->what, "%s: %s",
                 label_empty(&alert->about) ? "water" : alert->about.s, look_act(alert->id));
        snprintf(item->why, sizeof item->why, "%.*s", (int)alert->says, alert->text);
    }
    return count;
}

int board_undated(const Board *board, DueItem out[STAGES_MAX])
{
    int count = 0;
    for (int i = 0; i < board->stage_count; i++) {
        const BoardStage *s = &board->stages[i];
        if (!stage_undated(s) || s->life_left < 0)
            continue;
        out[count] = due_of_stage(board, s);
        out[count].at = MOMENT_NONE;
        service_spares_words(out[count].why, sizeof out[count].why, s->spares);
        count++;
    }
    return count;
}

bool due_counts(const DueItem *item, Moment now, int64_t within)
{
    if (within < 0)
        return item->state == SERVICE_DUE;
    if (item->state == SERVICE_DUE || !moment_known(item->at))
        return true;
    return service_days_until(now, item->at) <= within;
}
