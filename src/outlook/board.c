#include "outlook/board.h"

#include "base/whole.h"
#include "model/kinds.h"
#include "model/line.h"
#include "outlook/advice.h"
#include "outlook/plan.h"
#include "outlook/service.h"
#include "reckon/meter.h"

#include <math.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

static const char *choice_name(KindId kind, const char *field, int code)
{
    const Kind *k = kind_of(kind);
    return k->fields[kind_field(k, text_of(field))].choices[code];
}

const char *duty_name(Duty duty)
{
    return choice_name(KIND_VESSEL, "duty", (int)duty);
}

const char *stage_type_name(StageType type)
{
    return choice_name(KIND_STAGE, "type", (int)type);
}

static Moment moment_of_mean(double ms)
{
    return (Moment){(int64_t)floor(ms + 0.5)};
}

/* The vessel is the lead of its line, or spent: upstream of the lead, where only air passes. */
static void vessel_role(const State *state, const Vessel *v, BoardVessel *out)
{
    if (v->line < 0)
        return;
    const int lead = line_lead(state, &state->lines[v->line]);
    out->lead = lead == v->position;
    out->spent = lead < 0 || v->position < lead;
}

static void vessel_fill(const Board *board, const State *state, int slot, BoardVessel *out)
{
    const Vessel *v = &state->vessels[slot];
    *out = (BoardVessel){.slot = slot,
                         .label = v->label,
                         .duty = (Duty)v->duty,
                         .quality = (Quality)v->quality,
                         .place = vessel_place(v),
                         .washes = vessel_washes(v),
                         .position = v->line >= 0 ? v->position + 1 : 0,
                         .stale = vessel_usable(v) > 0 && vessel_stale(v, board->now),
                         .asserted = v->quality == CLASS_POTABLE && (v->marks & MARK_ASSERTED) != 0,
                         .raw = (v->marks & MARK_RAW) != 0,
                         .marks = v->marks,
                         .residual = vessel_residual(v),
                         .results = v->results,
                         .faded = MOMENT_NONE,
                         .capacity = v->capacity,
                         .heel = v->heel,
                         .volume = v->volume,
                         .usable = vessel_usable(v),
                         .expected_low = v->volume,
                         .expected_high = v->volume,
                         .mean_fill = MOMENT_NONE,
                         .oldest_fill = MOMENT_NONE,
                         .sanitised = {v->sanitised_at},
                         .sounded = {v->sounded_at},
                         .known = {v->known_at},
                         .stale_at = vessel_usable(v) > 0 ? vessel_stale_at(v) : MOMENT_NONE,
                         .sanitise_due = MOMENT_NONE,
                         .sanitise_days = v->sanitise_days,
                         .sanitise_put_off = service_put_off(v->sanitise_put_off, board->now),
                         .water_put_off = service_put_off(v->water_put_off, board->now),
                         .mass_g = v->tare_g >= 0 ? v->tare_g + v->volume : -1,
                         .rated_pa = v->rated_pa};
    if (v->line >= 0)
        out->line = state->lines[v->line].label;
    if ((v->tested & TESTED_ALONE) != 0)
        out->faded = results_low_at(&v->results);
    if (v->volume > 0) {
        out->mean_fill = moment_of_mean(v->mean_fill);
        out->oldest_fill = (Moment){v->oldest_fill};
    }
    if (!out->washes)
        out->sanitise_due = service_date(out->sanitised, v->sanitise_days);
    vessel_role(state, v, out);
}

static void vessels_fill(Board *board, const State *state)
{
    for (int i = 0; i < state->vessel_count; i++) {
        if (!vessel_aboard(&state->vessels[i])) {
            board->retired++;
            continue;
        }
        if (board->vessel_count == VESSELS_ABOARD_MAX)
            continue;
        BoardVessel vessel;
        vessel_fill(board, state, i, &vessel);
        int at = board->vessel_count++;
        for (; at > 0 && label_compare(&board->vessels[at - 1].label, &vessel.label) > 0; at--)
            board->vessels[at] = board->vessels[at - 1];
        board->vessels[at] = vessel;
    }
}

static int board_vessel(const Board *board, int slot)
{
    for (int i = 0; i < board->vessel_count; i++)
        if (board->vessels[i].slot == slot)
            return i;
    return -1;
}

/* Is the supply pressure of two flow tests the same, as far as the log can tell? */
static bool pressure_unchanged(int64_t a, int64_t b)
{
    const int64_t apart = int64_larger(a - b, b - a);
    /* -1, never said, is near no pressure; twice it says of no change */
    return a == b || apart * 100 <= a * SERVICE_PRESSURE_PER_CENT;
}

static void line_flow(const Line *line, BoardLine *out)
{
    if (line->flow_base_ml_min <= 0 || line->flow_last_ml_min < 0)
        return;
    out->flow_ratio = (double)line->flow_last_ml_min / (double)line->flow_base_ml_min;
    out->flow_fell = line->flow_last_ml_min * 3 < line->flow_base_ml_min * 2 &&
                     pressure_unchanged(line->flow_base_pa, line->flow_last_pa);
}

/* Does the meter differ from the soundings by more than can be chance? */
static void line_meter(const Line *line, BoardLine *out)
{
    const MeterSounding s =
        meter_soundings((double)line->checked / 1000, (double)line->check_found / 1000,
                        sqrt((double)line->check_variance) / 1000);
    if (!s.basis.ok || s.chance)
        return;
    out->meter_off = s.factor - 1;
    out->meter_doubt = s.factor * s.error;
}

static void line_fill(const Board *board, const State *state, int slot, BoardLine *out)
{
    const Line *line = &state->lines[slot];
    *out = (BoardLine){.slot = slot,
                       .label = line->label,
                       .lead = -1,
                       .volume = line_volume(state, line),
                       .usable = line_usable(state, line),
                       .verdict = line_verdict(state, slot, board->now),
                       .doubt = line_doubt(state, slot, board->now),
                       .residual = line_residual(state, line),
                       .metered = {line->meter_at},
                       .meter_ml = line->meter_ml,
                       .working_pa = line->working_pa};
    memcpy(out->results, line->results, sizeof out->results);
    int stage;
    out->train = line_train(state, slot, board->now, &stage);
    if (stage >= 0)
        out->train_stage = state->stages[stage].label;
    out->delivers = line_delivers(state, line, &out->quality);
    const int lead = line_lead(state, line);
    Quality runs = CLASS_POTABLE;
    for (int i = 0; i < line->count; i++) {
        const int vessel = board_vessel(board, line->order[i]);
        if (vessel < 0)
            continue;
        if (i == lead)
            out->lead = vessel;
        if (lead >= 0 && i >= lead)
            runs = quality_worst(runs, board->vessels[vessel].quality);
        out->pipe[out->count] = i == line->count - 1 && out->delivers ? out->quality : runs;
        out->vessels[out->count++] = vessel;
    }
    out->known = (Moment){line->known_at};
    if (!moment_known(out->known) && out->lead >= 0)
        out->known = board->vessels[out->lead].known;
    line_flow(line, out);
    line_meter(line, out);
}

static bool line_shown(const State *state, int slot)
{
    int stages[STAGES_MAX];
    return !label_empty(&state->lines[slot].label) &&
           (state->lines[slot].count > 0 || line_stages(state, slot, stages) > 0);
}

static void lines_fill(Board *board, const State *state)
{
    for (int i = 0; i < state->line_count; i++) {
        if (!line_shown(state, i))
            continue;
        BoardLine line;
        line_fill(board, state, i, &line);
        int at = board->line_count++;
        for (; at > 0 && label_compare(&board->lines[at - 1].label, &line.label) > 0; at--)
            board->lines[at] = board->lines[at - 1];
        board->lines[at] = line;
    }
}

/* A stage that is due, be it since this morning only, is no longer one to rely on: the board's
 * local date is stricter than the model's count of hours. */
static void line_judge(const Board *board, BoardLine *line)
{
    for (int i = 0; i < line->stage_count; i++)
        if (board->stages[line->stages[i]].state == SERVICE_DUE && line->train == TRAIN_PURIFIES)
            line->train = TRAIN_LIFE_OVER;
    if (line->verdict == VERDICT_DRINK_IF_TREATED &&
        (line->train != TRAIN_PURIFIES || line->tainted))
        line->verdict = VERDICT_BOIL_FIRST;
}

/* The stages of each line as the water passes them; after service_stages. */
static void lines_stages(Board *board, const State *state)
{
    for (int i = 0; i < board->line_count; i++) {
        BoardLine *line = &board->lines[i];
        int slots[STAGES_MAX];
        const int n = line_stages(state, line->slot, slots);
        for (int s = 0; s < n; s++)
            for (int j = 0; j < board->stage_count; j++)
                if (board->stages[j].slot == slots[s])
                    line->stages[line->stage_count++] = j;
        line_judge(board, line);
    }
}

static int stop_compare(const BoardStop *a, const BoardStop *b)
{
    const int order = moment_compare(a->eta, b->eta);
    return order != 0 ? order : label_compare(&a->label, &b->label);
}

/* Stops ahead, by eta. One whose time is past has been, whatever was had there. */
static void stops_fill(Board *board, const State *state)
{
    for (int i = 0; i < state->stop_count; i++) {
        const Stop *s = &state->stops[i];
        if (label_empty(&s->label) || s->eta < board->now.ms)
            continue;
        const BoardStop stop = {.label = s->label,
                                .eta = {s->eta},
                                .litres = s->litres,
                                .shop = s->shop,
                                .odds_line = NAN,
                                .odds_all = NAN,
                                .ration_90 = NAN,
                                .take_on = -1};
        int at = board->stop_count++;
        for (; at > 0 && stop_compare(&board->stops[at - 1], &stop) > 0; at--)
            board->stops[at] = board->stops[at - 1];
        board->stops[at] = stop;
    }
}

/* Was it refilled there, as the log tells? */
static bool stop_done(const State *state, const Stop *stop)
{
    const int source = state_source(state, &stop->label);
    return source >= 0 && state->sources[source].used_at >= stop->eta - PASSED_EARLY_MS;
}

static void passed_fill(Board *board, const State *state)
{
    board->passed = (Stop){.eta = MOMENT_NONE_MS};
    for (int i = 0; i < state->stop_count; i++) {
        const Stop *s = &state->stops[i];
        if (label_empty(&s->label) || s->eta >= board->now.ms ||
            board->now.ms - s->eta > PASSED_DAYS * MS_PER_DAY || stop_done(state, s))
            continue;
        if (board->passed.eta == MOMENT_NONE_MS || s->eta < board->passed.eta)
            board->passed = *s;
    }
}

/* Does a vessel that leant on it still stand as better than its water is called now? An empty one
 * too: its walls keep the class. */
static bool vessel_leant(const State *state, int slot, const Source *source)
{
    const Vessel *v = &state->vessels[slot];
    const Quality is = (Quality)source->quality;
    return (source->leant.vessels >> slot & 1) != 0 && vessel_aboard(v) && v->quality != is &&
           quality_worst((Quality)v->quality, is) == is;
}

/* Is there one? A tap that it would come out of is not called fit without a word of that. */
static bool leant_aboard(Board *board, const State *state, const Source *source)
{
    bool found = false;
    for (int i = 0; i < state->vessel_count; i++)
        found = found || vessel_leant(state, i, source);
    for (int l = 0; l < board->line_count; l++) {
        BoardLine *line = &board->lines[l];
        bool leads = false;
        for (int i = 0; i < line->count; i++) {
            leads = leads || line->vessels[i] == line->lead;
            if (leads && vessel_leant(state, board->vessels[line->vessels[i]].slot, source))
                line->leant = true;
        }
    }
    return found;
}

/* Water that came from a source before a test found coliforms there: its class stays (domain 5), and
 * it is not called fit without a word of that. */
static bool vessel_tainted(const Source *source, const BoardVessel *v)
{
    return (source->marks & MARK_FOUND) != 0 && (source->filled >> v->slot & 1) != 0 &&
           v->volume > 0 && v->quality != CLASS_NON_POTABLE && (v->marks & MARK_FOUND) == 0;
}

static void tainted_fill(Board *board, const State *state)
{
    for (int s = 0; s < state->source_count; s++) {
        const Source *source = &state->sources[s];
        for (int i = 0; i < board->vessel_count; i++) {
            if (!vessel_tainted(source, &board->vessels[i]))
                continue;
            board->vessels[i].tainted = true;
            if (board->tainted_marks < (source->marks & MARK_FOUND)) {
                board->tainted = source->label;
                board->tainted_marks = source->marks & MARK_FOUND;
            }
        }
    }
    for (int l = 0; l < board->line_count; l++) {
        BoardLine *line = &board->lines[l];
        bool leads = false;
        for (int i = 0; i < line->count; i++) {
            leads = leads || line->vessels[i] == line->lead;
            line->tainted = line->tainted || (leads && board->vessels[line->vessels[i]].tainted);
        }
    }
}

static void leant_fill(Board *board, const State *state)
{
    for (int i = 0; i < state->source_count; i++) {
        const Source *source = &state->sources[i];
        Str told = {0};
        if (source->quality != SOURCE_UNKNOWN_CLASS &&
            board->now.ms - source->amended_at <= PASSED_DAYS * MS_PER_DAY &&
            leant_aboard(board, state, source) && leaning_tell(state, source, board->now, &told)) {
            board->leant_on = source->label;
            snprintf(board->leant, sizeof board->leant, "%s", told.s);
        }
        str_finish(&told);
    }
}

void board_make(Board *board, const State *state, int64_t entries, Moment now, Units units)
{
    memset(board, 0, offsetof(Board, alerts));
    board->now = now;
    board->units = units;
    board->last = (Moment){state->folded > 0 ? state->last_at : MOMENT_NONE_MS};
    board->entries = entries;
    board->unread = state->unread;
    board->crew = state->crew;
    board->lead_days = state->lead_days;
    board->to_reserve = board->to_empty = (Band){MOMENT_NONE, MOMENT_NONE, MOMENT_NONE};
    board->supply = supply_of(state);
    board->odds_two_days = board->line_share = NAN;
    board->reserve = reserve_state(state, now);
    board->reserve_short = reserve_short(state, now);
    board->discrepancy_count = state->discrepancy_count;
    board->discrepancies_older = state->discrepancy_lost;
    memcpy(board->discrepancies, state->discrepancies, sizeof board->discrepancies);
    vessels_fill(board, state);
    lines_fill(board, state);
    stops_fill(board, state);
    passed_fill(board, state);
    tainted_fill(board, state);
    leant_fill(board, state);
    const ForecastRate rate = plan_rate(board, state);
    plan_make(board, state, &rate);
    service_stages(board, state, &rate);
    lines_stages(board, state);
    advice_give(board);
}

void board_runs(Board *board, const Running *running, int count)
{
    for (int i = 0; i < board->line_count; i++) {
        BoardLine *line = &board->lines[i];
        line->runs = false;
        for (int r = 0; r < count; r++)
            if (label_equal(&running[r].line, &line->label)) {
                line->runs = true;
                line->running = running[r];
            }
    }
}
