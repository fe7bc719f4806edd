/* print_json.c - the board as JSON: what scripts and other machines rely on. */
#include "cli/print.h"

#include "base/json_out.h"
#include "model/tell.h"
#include "outlook/words.h"

#include <math.h>

static void milli_where(Str *out, const char *key, bool known, int64_t value)
{
    if (known)
        json_milli(out, key, value);
    else
        json_null(out, key);
}

static void whole_where(Str *out, const char *key, bool known, int64_t value)
{
    if (known)
        json_whole(out, key, value);
    else
        json_null(out, key);
}

static void residual(Str *out, const Result *chlorine)
{
    const bool known = chlorine->at != 0;
    const Moment at = {known ? chlorine->at : MOMENT_NONE_MS};
    milli_where(out, "residual_mg_l", known, chlorine->value);
    json_moment(out, "residual_at", at);
}

/* What makes it potable; and whether it is raw. */
static void grade(Str *out, bool potable, bool asserted, bool raw)
{
    json_text(out, "grade", !potable ? NULL : asserted ? "asserted" : "measured");
    json_flag(out, "raw", raw);
}

static void vessels(Str *out, const Board *board)
{
    json_open(out, "vessels", '[');
    for (int i = 0; i < board->vessel_count; i++) {
        const BoardVessel *v = &board->vessels[i];
        json_open(out, NULL, '{');
        json_label(out, "vessel", &v->label);
        json_text(out, "duty", duty_name(v->duty));
        json_milli(out, "capacity", v->capacity);
        json_milli(out, "heel", v->heel);
        json_milli(out, "volume", v->volume);
        json_milli(out, "usable", v->usable);
        json_text(out, "class", quality_name(v->quality));
        json_label(out, "line", &v->line);
        whole_where(out, "position", v->position > 0, v->position);
        json_flag(out, "lead", v->lead);
        json_moment(out, "mean_fill_at", v->mean_fill);
        json_moment(out, "oldest_fill_at", v->oldest_fill);
        json_moment(out, "sanitised_at", v->sanitised);
        json_moment(out, "sounded_at", v->sounded);
        milli_where(out, "mass_kg", v->mass_g >= 0, v->mass_g);
        json_milli(out, "expected_low", v->expected_low);
        json_milli(out, "expected_high", v->expected_high);
        grade(out, v->quality == CLASS_POTABLE, v->asserted, v->raw);
        milli_where(out, "rated_kpa", v->rated_pa >= 0, v->rated_pa);
        residual(out, &v->results.latest[RESULT_CHLORINE]);
        json_moment(out, "sanitise_put_off_to", v->sanitise_put_off);
        json_moment(out, "water_put_off_to", v->water_put_off);
        str_addc(out, '}');
    }
    str_addc(out, ']');
}

static void lines(Str *out, const Board *board)
{
    json_open(out, "lines", '[');
    for (int i = 0; i < board->line_count; i++) {
        const BoardLine *l = &board->lines[i];
        json_open(out, NULL, '{');
        json_label(out, "line", &l->label);
        json_open(out, "order", '[');
        for (int j = 0; j < l->count; j++)
            json_label(out, NULL, &board->vessels[l->vessels[j]].label);
        str_addc(out, ']');
        if (l->lead >= 0)
            json_label(out, "lead", &board->vessels[l->lead].label);
        else
            json_null(out, "lead");
        json_milli(out, "volume", l->volume);
        json_milli(out, "usable", l->usable);
        json_text(out, "class", l->delivers ? quality_name(l->quality) : NULL);
        json_text(out, "verdict", verdict_name(l->verdict));
        residual(out, &l->results[RESULT_CHLORINE]);
        milli_where(out, "meter", moment_known(l->metered), l->meter_ml);
        json_moment(out, "metered_at", l->metered);
        const Moment since = {l->runs ? l->running.since : MOMENT_NONE_MS};
        json_moment(out, "running_since", since);
        if (l->runs) {
            json_milli(out, "running_litres", l->running.ml);
            json_milli(out, "running_litres_per_minute", l->running.ml_min);
        }
        char why[160];
        tap_why(board, l, why, sizeof why);
        json_text(out, "why", why);
        grade(out, l->delivers && l->quality == CLASS_POTABLE,
              (l->doubt.marks & MARK_ASSERTED) != 0, (l->doubt.marks & MARK_RAW) != 0);
        str_addc(out, '}');
    }
    str_addc(out, ']');
}

static void supply(Str *out, const Board *board)
{
    json_open(out, "supply", '{');
    for (int q = 0; q < CLASS_COUNT; q++)
        json_milli(out, quality_name((Quality)q), board->supply.by_class[q]);
    json_milli(out, "line", board->supply.line);
    json_milli(out, "reserve", board->supply.reserve);
    json_milli(out, "apart", board->supply.apart);
    str_addc(out, '}');
    json_open(out, "reserve", '{');
    json_text(out, "state", reserve_state_name(board->reserve));
    json_milli(out, "usable", board->supply.reserve);
    json_milli(out, "volume", board->supply.reserve_volume);
    str_addc(out, '}');
}

void json_use(Str *out, const char *key, const Board *board)
{
    const double unknown = NAN;
    json_open(out, key, '{');
    json_number(out, "litres_per_day", board->use_known ? board->litres_per_day : unknown, 3);
    json_number(out, "logged_per_person_day",
                board->use_known ? board->logged_per_person_day : unknown, 3);
    json_number(out, "unlogged_per_person_day",
                board->use_known ? board->unlogged_per_person_day : unknown, 3);
    json_number(out, "assumed_share", board->use_known ? board->use_prior : unknown, 3);
    str_addc(out, '}');
}

static void days(Str *out, const char *name, Moment m, Moment now)
{
    json_number(out, name, moment_known(m) ? (double)(m.ms - now.ms) / (double)MS_PER_DAY : NAN, 3);
}

static void band(Str *out, const char *name, const Band *b, Moment now)
{
    json_open(out, name, '{');
    days(out, "p10", b->p10, now);
    days(out, "p50", b->p50, now);
    days(out, "p90", b->p90, now);
    str_addc(out, '}');
}

void json_outlook(Str *out, const char *key, const Board *board)
{
    json_open(out, key, '{');
    band(out, "to_reserve", &board->to_reserve, board->now);
    band(out, "to_empty", &board->to_empty, board->now);
    json_open(out, "stops", '[');
    for (int i = 0; i < board->stop_count; i++) {
        const BoardStop *s = &board->stops[i];
        json_open(out, NULL, '{');
        json_label(out, "stop", &s->label);
        json_moment(out, "eta", s->eta);
        json_number(out, "odds_line", s->odds_line, 4);
        json_number(out, "odds_all", s->odds_all, 4);
        json_number(out, "ration_90", s->ration_90, 3);
        milli_where(out, "take_on", s->take_on >= 0, s->take_on);
        str_addc(out, '}');
    }
    str_adds(out, "]}");
}

static void stages(Str *out, const Board *board)
{
    json_open(out, "stages", '[');
    for (int i = 0; i < board->stage_count; i++) {
        const BoardStage *s = &board->stages[i];
        json_open(out, NULL, '{');
        json_label(out, "stage", &s->label);
        json_text(out, "type", stage_type_name(s->type));
        json_label(out, "line", &s->line);
        json_milli(out, "litres", s->through);
        json_number(out, "lamp_hours",
                    s->type == STAGE_UV || s->has_lamp_life
                        ? (double)s->lamp_ms / (double)MS_PER_HOUR
                        : NAN,
                    3);
        json_moment(out, "fitted_at", s->fitted);
        whole_where(out, "spares", s->spares >= 0, s->spares);
        json_text(out, "state", service_state_name(s->state));
        json_moment(out, "due_at", s->due);
        json_text(out, "because", because_name(s->because));
        milli_where(out, "litres_left", s->litres_left != INT64_MIN, s->litres_left);
        json_moment(out, "due_early", s->due_early);
        json_moment(out, "due_late", s->due_late);
        json_moment(out, "put_off_to", s->put_off);
        str_addc(out, '}');
    }
    str_addc(out, ']');
}

static void discrepancies(Str *out, const Board *board, Units units)
{
    json_open(out, "discrepancies", '[');
    for (int i = 0; i < board->discrepancy_count; i++) {
        const Discrepancy *d = &board->discrepancies[i];
        Str words = {0};
        json_open(out, NULL, '{');
        json_id(out, "entry", &d->entry);
        json_moment(out, "at", (Moment){d->at});
        discrepancy_tell(d, units, &words);
        json_text(out, "text", words.s);
        str_addc(out, '}');
        str_finish(&words);
    }
    str_addc(out, ']');
}

static void alerts(Str *out, const Board *board)
{
    json_open(out, "alerts", '[');
    for (int i = 0; i < board->alert_count; i++) {
        const Alert *a = &board->alerts[i];
        json_open(out, NULL, '{');
        json_text(out, "level", alert_level_name(a->level));
        json_label(out, "about", &a->about);
        json_text(out, "text", a->text);
        json_text(out, "id", a->id);
        str_addc(out, '}');
    }
    str_addc(out, ']');
}

void json_status(Str *out, const Board *board, Units units)
{
    json_open(out, NULL, '{');
    json_moment(out, "at", board->now);
    json_whole(out, "entries", board->entries);
    whole_where(out, "crew", board->crew >= 0, board->crew);
    vessels(out, board);
    lines(out, board);
    supply(out, board);
    json_use(out, "use", board);
    json_outlook(out, "outlook", board);
    stages(out, board);
    discrepancies(out, board, units);
    alerts(out, board);
    json_whole(out, "discrepancies_older", board->discrepancies_older);
    str_addc(out, '}');
}
