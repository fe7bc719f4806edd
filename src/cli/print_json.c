/* print_json.c - the board as JSON: what scripts and other machines rely on. */
#include "cli/print.h"
#include "outlook/words.h"

#include <math.h>

static void key(Str *out, const char *name)
{
    json_key(out, name, out->s[out->n - 1] == '{');
}

static void text(Str *out, const char *name, const char *value)
{
    key(out, name);
    json_text(out, value);
}

static void label(Str *out, const char *name, const Label *value)
{
    key(out, name);
    json_label(out, value);
}

static void print_json_volume(Str *out, const char *name, int64_t ml)
{
    key(out, name);
    json_volume(out, ml);
}

static void moment(Str *out, const char *name, Moment m)
{
    key(out, name);
    json_moment(out, m);
}

static void number(Str *out, const char *name, double value, int decimals)
{
    key(out, name);
    json_number(out, value, decimals);
}

static void whole(Str *out, const char *name, int64_t value)
{
    key(out, name);
    str_addf(out, "%lld", (long long)value);
}

static void nothing(Str *out, const char *name)
{
    key(out, name);
    str_adds(out, "null");
}

static void comma(Str *out)
{
    const char last = out->s[out->n - 1];
    if (last != '[' && last != '{')
        str_addc(out, ',');
}

static void residual(Str *out, const Result *chlorine)
{
    if (chlorine->at != 0)
        print_json_volume(out, "residual_mg_l", chlorine->value);
    else
        nothing(out, "residual_mg_l");
    moment(out, "residual_at", chlorine->at != 0 ? (Moment){chlorine->at} : MOMENT_NONE);
}

static void vessels(Str *out, const Board *board)
{
    key(out, "vessels");
    str_addc(out, '[');
    for (int i = 0; i < board->vessel_count; i++) {
        const BoardVessel *v = &board->vessels[i];
        comma(out);
        str_addc(out, '{');
        label(out, "vessel", &v->label);
        text(out, "duty", duty_name(v->duty));
        print_json_volume(out, "capacity", v->capacity);
        print_json_volume(out, "heel", v->heel);
        print_json_volume(out, "volume", v->volume);
        print_json_volume(out, "usable", v->usable);
        text(out, "class", quality_name(v->quality));
        label(out, "line", &v->line);
        if (v->position > 0)
            whole(out, "position", v->position);
        else
            nothing(out, "position");
        key(out, "lead");
        str_adds(out, v->lead ? "true" : "false");
        moment(out, "mean_fill_at", v->mean_fill);
        moment(out, "oldest_fill_at", v->oldest_fill);
        moment(out, "sanitised_at", v->sanitised);
        moment(out, "sounded_at", v->sounded);
        if (v->mass_g >= 0)
            print_json_volume(out, "mass_kg", v->mass_g);
        else
            nothing(out, "mass_kg");
        print_json_volume(out, "expected_low", v->expected_low);
        print_json_volume(out, "expected_high", v->expected_high);
        text(out, "grade",
             v->quality != CLASS_POTABLE ? NULL
             : v->asserted               ? "asserted"
                                         : "measured");
        key(out, "raw");
        str_adds(out, v->raw ? "true" : "false");
        if (v->rated_pa >= 0)
            print_json_volume(out, "rated_kpa", v->rated_pa);
        else
            nothing(out, "rated_kpa");
        residual(out, &v->results.latest[RESULT_CHLORINE]);
        moment(out, "sanitise_put_off_to", v->sanitise_put_off);
        moment(out, "water_put_off_to", v->water_put_off);
        str_addc(out, '}');
    }
    str_addc(out, ']');
}

static void lines(Str *out, const Board *board)
{
    key(out, "lines");
    str_addc(out, '[');
    for (int i = 0; i < board->line_count; i++) {
        const BoardLine *l = &board->lines[i];
        comma(out);
        str_addc(out, '{');
        label(out, "line", &l->label);
        key(out, "order");
        str_addc(out, '[');
        for (int j = 0; j < l->count; j++) {
            comma(out);
            json_label(out, &board->vessels[l->vessels[j]].label);
        }
        str_addc(out, ']');
        if (l->lead >= 0)
            label(out, "lead", &board->vessels[l->lead].label);
        else
            nothing(out, "lead");
        print_json_volume(out, "volume", l->volume);
        print_json_volume(out, "usable", l->usable);
        text(out, "class", l->delivers ? quality_name(l->quality) : NULL);
        text(out, "verdict", verdict_name(l->verdict));
        residual(out, &l->results[RESULT_CHLORINE]);
        if (moment_known(l->metered))
            print_json_volume(out, "meter", l->meter_ml);
        else
            nothing(out, "meter");
        moment(out, "metered_at", l->metered);
        moment(out, "running_since", l->runs ? (Moment){l->running.since} : MOMENT_NONE);
        if (l->runs) {
            print_json_volume(out, "running_litres", l->running.ml);
            print_json_volume(out, "running_litres_per_minute", l->running.ml_min);
        }
        char why[160];
        tap_why(board, l, why, sizeof why);
        text(out, "why", why);
        str_addc(out, '}');
    }
    str_addc(out, ']');
}

static void supply(Str *out, const Board *board)
{
    key(out, "supply");
    str_addc(out, '{');
    for (int q = 0; q < CLASS_COUNT; q++)
        print_json_volume(out, quality_name((Quality)q), board->supply.by_class[q]);
    print_json_volume(out, "line", board->supply.line);
    print_json_volume(out, "reserve", board->supply.reserve);
    print_json_volume(out, "apart", board->supply.apart);
    str_addc(out, '}');
    key(out, "reserve");
    str_addc(out, '{');
    text(out, "state", reserve_state_name(board->reserve));
    print_json_volume(out, "usable", board->supply.reserve);
    print_json_volume(out, "volume", board->supply.reserve_volume);
    str_addc(out, '}');
}

void json_use(Str *out, const Board *board)
{
    const double unknown = NAN;
    str_addc(out, '{');
    number(out, "litres_per_day", board->use_known ? board->litres_per_day : unknown, 3);
    number(out, "logged_per_person_day", board->use_known ? board->logged_per_person_day : unknown,
           3);
    number(out, "unlogged_per_person_day",
           board->use_known ? board->unlogged_per_person_day : unknown, 3);
    number(out, "assumed_share", board->use_known ? board->use_prior : unknown, 3);
    str_addc(out, '}');
}

static void days(Str *out, const char *name, Moment m, Moment now)
{
    number(out, name, moment_known(m) ? (double)(m.ms - now.ms) / (double)MS_PER_DAY : NAN, 3);
}

static void band(Str *out, const char *name, const Band *b, Moment now)
{
    key(out, name);
    str_addc(out, '{');
    days(out, "p10", b->p10, now);
    days(out, "p50", b->p50, now);
    days(out, "p90", b->p90, now);
    str_addc(out, '}');
}

void json_outlook(Str *out, const Board *board)
{
    str_addc(out, '{');
    band(out, "to_reserve", &board->to_reserve, board->now);
    band(out, "to_empty", &board->to_empty, board->now);
    key(out, "stops");
    str_addc(out, '[');
    for (int i = 0; i < board->stop_count; i++) {
        const BoardStop *s = &board->stops[i];
        comma(out);
        str_addc(out, '{');
        label(out, "stop", &s->label);
        moment(out, "eta", s->eta);
        number(out, "odds_line", s->odds_line, 4);
        number(out, "odds_all", s->odds_all, 4);
        number(out, "ration_90", s->ration_90, 3);
        if (s->take_on >= 0)
            print_json_volume(out, "take_on", s->take_on);
        else
            nothing(out, "take_on");
        str_addc(out, '}');
    }
    str_adds(out, "]}");
}

static void stages(Str *out, const Board *board)
{
    key(out, "stages");
    str_addc(out, '[');
    for (int i = 0; i < board->stage_count; i++) {
        const BoardStage *s = &board->stages[i];
        comma(out);
        str_addc(out, '{');
        label(out, "stage", &s->label);
        text(out, "type", stage_type_name(s->type));
        label(out, "line", &s->line);
        print_json_volume(out, "litres", s->through);
        number(out, "lamp_hours",
               s->type == STAGE_UV || s->has_lamp_life ? (double)s->lamp_ms / (double)MS_PER_HOUR
                                                       : NAN,
               3);
        moment(out, "fitted_at", s->fitted);
        if (s->spares >= 0)
            whole(out, "spares", s->spares);
        else
            nothing(out, "spares");
        text(out, "state", service_state_name(s->state));
        moment(out, "due_at", s->due);
        text(out, "because", because_name(s->because));
        if (s->litres_left != INT64_MIN)
            print_json_volume(out, "litres_left", s->litres_left);
        else
            nothing(out, "litres_left");
        moment(out, "due_early", s->due_early);
        moment(out, "due_late", s->due_late);
        moment(out, "put_off_to", s->put_off);
        str_addc(out, '}');
    }
    str_addc(out, ']');
}

static void discrepancies(Str *out, const Board *board, Units units)
{
    key(out, "discrepancies");
    str_addc(out, '[');
    for (int i = 0; i < board->discrepancy_count; i++) {
        const Discrepancy *d = &board->discrepancies[i];
        char id[40];
        Str words = {0};
        comma(out);
        str_addc(out, '{');
        text(out, "entry", uuid_print(&d->entry, id));
        moment(out, "at", (Moment){d->at});
        discrepancy_tell(d, units, &words);
        text(out, "text", words.s);
        str_addc(out, '}');
        str_finish(&words);
    }
    str_addc(out, ']');
}

static void alerts(Str *out, const Board *board)
{
    key(out, "alerts");
    str_addc(out, '[');
    for (int i = 0; i < board->alert_count; i++) {
        const Alert *a = &board->alerts[i];
        comma(out);
        str_addc(out, '{');
        text(out, "level", alert_level_name(a->level));
        label(out, "about", &a->about);
        text(out, "text", a->text);
        text(out, "id", a->id);
        str_addc(out, '}');
    }
    str_addc(out, ']');
}

void json_status(Str *out, const Board *board, Units units)
{
    str_addc(out, '{');
    moment(out, "at", board->now);
    whole(out, "entries", board->entries);
    if (board->crew >= 0)
        whole(out, "crew", board->crew);
    else
        nothing(out, "crew");
    vessels(out, board);
    lines(out, board);
    supply(out, board);
    key(out, "use");
    json_use(out, board);
    key(out, "outlook");
    json_outlook(out, board);
    stages(out, board);
    discrepancies(out, board, units);
    alerts(out, board);
    key(out, "discrepancies_older");
    str_addf(out, "%lld", (long long)board->discrepancies_older);
    str_addc(out, '}');
}
