/* changes.c - what an entry did, in lines: the preview under a form, the echo behind a command. */
#include "model/field.h"
#include "model/line.h"
#include "model/tell.h"
#include "outlook/board.h"
#include "outlook/words.h"

#include <stdio.h>
#include <string.h>

/* The entry, two boards and where the lines go: what changes a verdict, then a class, then warnings
 * and cautions; levels, dates and the rest after them. */
typedef struct {
    const Event *entry;
    const Board *was, *is;
    const State *state_was, *state_is;
    Units units;
    Str *verdicts, *classes, *alerts, *out;
} Change;

static const char *volume_words(int64_t ml, Units units, char *out)
{
    return volume_print((Volume){ml}, units, out);
}

static const BoardVessel *vessel_in(const Board *board, const Label *label)
{
    for (int i = 0; i < board->vessel_count; i++)
        if (label_equal(&board->vessels[i].label, label))
            return &board->vessels[i];
    return NULL;
}

static const BoardLine *line_in(const Board *board, const Label *label)
{
    for (int i = 0; i < board->line_count; i++)
        if (label_equal(&board->lines[i].label, label))
            return &board->lines[i];
    return NULL;
}

static const BoardStage *stage_in(const Board *board, const Label *label)
{
    for (int i = 0; i < board->stage_count; i++)
        if (label_equal(&board->stages[i].label, label))
            return &board->stages[i];
    return NULL;
}

static void vessel_new(const Change *c, const BoardVessel *v)
{
    char volume[32], capacity[32], rated[64];
    str_addf(c->out, "%s is aboard: %s of %s, %s", v->label.s,
             volume_words(v->volume, c->units, volume),
             volume_words(v->capacity, c->units, capacity), quality_name(v->quality));
    if (v->rated_pa >= 0)
        str_addf(c->out, ", rated for %s", rated_words(v->rated_pa, rated));
    str_addc(c->out, '\n');
}

static void put_off_changed(const Change *c, const Label *about, const char *what, Moment was,
                            Moment is)
{
    char until[64];
    if (was.ms == is.ms)
        return;
    if (moment_known(is))
        str_addf(c->out, "%s: %s is put off to %s\n", about->s, what,
                 moment_print_local(is, c->is->now, until));
    else
        str_addf(c->out, "%s: %s is no longer put off\n", about->s, what);
}

/* Cryptosporidium is named after every chlorine treatment of raw water (domain: "Quality class"),
 * whatever it changed. */
static bool chlorinated_raw(const Change *c, const BoardVessel *was)
{
    return c->entry != NULL && c->entry->kind == KIND_TREAT &&
           c->entry->u.treat.method == METHOD_CHLORINE &&
           label_equal(&c->entry->u.treat.vessel, &was->label) && was->raw;
}

static void class_changed(const Change *c, const BoardVessel *was, const BoardVessel *is)
{
    const uint8_t others = (uint8_t) ~(MARK_RAW | MARK_ASSERTED);
    const bool changed = was->quality != is->quality || was->asserted != is->asserted ||
                         was->raw != is->raw || (was->marks & others) != (is->marks & others);
    if (changed) {
        str_addf(c->classes, "%s ", is->label.s);
        class_tell(was, c->classes);
        str_adds(c->classes, " -> ");
        class_tell(is, c->classes);
        str_addc(c->classes, '\n');
    }
    const bool chlorinated = chlorinated_raw(c, was);
    if ((changed || chlorinated) && is->quality == CLASS_POTABLE && is->raw)
        str_addf(c->classes,
                 "%s: Giardia is not dealt with, nor is Cryptosporidium: boil what is drunk\n",
                 is->label.s);
    else if (chlorinated)
        str_addf(c->classes, "%s was raw water: chlorine leaves Cryptosporidium alive\n",
                 is->label.s);
}

static void vessel_changed(const Change *c, const BoardVessel *was, const BoardVessel *is)
{
    char a[64], b[64];
    if (was->volume != is->volume)
        str_addf(c->out, "%s %s -> %s\n", is->label.s, volume_words(was->volume, c->units, a),
                 volume_words(is->volume, c->units, b));
    class_changed(c, was, is);
    if (was->capacity != is->capacity)
        str_addf(c->out, "%s capacity %s -> %s\n", is->label.s,
                 volume_words(was->capacity, c->units, a), volume_words(is->capacity, c->units, b));
    if (was->heel != is->heel)
        str_addf(c->out, "%s heel %s -> %s\n", is->label.s, volume_words(was->heel, c->units, a),
                 volume_words(is->heel, c->units, b));
    if (was->rated_pa != is->rated_pa)
        str_addf(c->out, "%s is rated for: %s -> %s\n", is->label.s, rated_words(was->rated_pa, a),
                 rated_words(is->rated_pa, b));
    if (was->duty != is->duty)
        str_addf(c->out, "%s duty %s -> %s\n", is->label.s, duty_name(was->duty),
                 duty_name(is->duty));
    if (was->sanitise_days != is->sanitise_days && moment_known(is->sanitise_due))
        str_addf(c->out, "%s is due for sanitising %s\n", is->label.s,
                 moment_print_date(is->sanitise_due, c->is->now, (char[64]){0}));
    if (was->sanitised.ms != is->sanitised.ms && moment_known(is->sanitised))
        str_addf(c->out, "%s sanitised %s\n", is->label.s,
                 moment_print_local(is->sanitised, c->is->now, (char[64]){0}));
    put_off_changed(c, &is->label, "sanitising", was->sanitise_put_off, is->sanitise_put_off);
    put_off_changed(c, &is->label, "changing its water", was->water_put_off, is->water_put_off);
    if (was->stale != is->stale)
        str_addf(c->out, "%s %s\n", is->label.s,
                 is->stale ? "holds stale water" : "no longer holds stale water");
}

static void vessels_changed(const Change *c)
{
    for (int i = 0; i < c->is->vessel_count; i++) {
        const BoardVessel *is = &c->is->vessels[i];
        const BoardVessel *was = vessel_in(c->was, &is->label);
        if (was == NULL)
            vessel_new(c, is);
        else
            vessel_changed(c, was, is);
    }
    for (int i = 0; i < c->was->vessel_count; i++)
        if (vessel_in(c->is, &c->was->vessels[i].label) == NULL)
            str_addf(c->out, "%s is no longer aboard\n", c->was->vessels[i].label.s);
}

static void order_words(const Board *board, const BoardLine *line, Str *out)
{
    str_adds(out, line == NULL || line->count == 0 ? "nothing coupled" : "");
    for (int i = 0; line != NULL && i < line->count; i++)
        str_addf(out, "%s%s", i > 0 ? " " : "", board->vessels[line->vessels[i]].label.s);
}

static void order_changed(const Change *c, const BoardLine *was, const BoardLine *is,
                          const Label *label)
{
    Str a = {0}, b = {0};
    order_words(c->was, was, &a);
    order_words(c->is, is, &b);
    if (!text_equal(text_slice(a.s, a.n), text_slice(b.s, b.n)))
        str_addf(c->out, "%s, from the air side: %s -> %s\n", label->s, a.s, b.s);
    str_finish(&a);
    str_finish(&b);
}

static void delivery_changed(const Change *c, const BoardLine *was, const BoardLine *is)
{
    const BoardLine none = {.verdict = VERDICT_NONE};
    const char *before = tap_verdict(was != NULL ? was : &none);
    if (strcmp(before, tap_verdict(is)) == 0)
        return;
    if (is->verdict == VERDICT_NONE)
        str_addf(c->verdicts, "%s has no more water to deliver\n", is->label.s);
    else
        str_addf(c->verdicts, "%s now delivers %s water: %s\n", is->label.s,
                 quality_name(is->quality), tap_verdict(is));
}

static void lead_changed(const Change *c, const BoardLine *was, const BoardLine *is)
{
    if (is->lead < 0)
        return;
    const Label *lead = &c->is->vessels[is->lead].label;
    if (was == NULL || was->lead < 0)
        str_addf(c->out, "%s: %s is the lead\n", is->label.s, lead->s);
    else if (!label_equal(&c->was->vessels[was->lead].label, lead))
        str_addf(c->out, "%s: lead %s -> %s\n", is->label.s, c->was->vessels[was->lead].label.s,
                 lead->s);
}

/* Every time that air is put on: what it was not held against. */
static void pressed(const Change *c, const Label *label)
{
    const int was = state_line(c->state_was, label), is = state_line(c->state_is, label);
    const Line *line = &c->state_is->lines[is];
    char works[64];
    Str names = {0};
    if (line->working_pa > 0 &&
        (was < 0 || line->pressurised_at > c->state_was->lines[was].pressurised_at))
        line_unrated_tell(c->state_is, line, &names);
    if (names.n > 0)
        str_addf(
            c->alerts,
            "caution: %s is not compared with a rating: none is known of %s. Read the plate, and "
            "log it (rated)\n",
            pressure_print_exact(line->working_pa, works), names.s);
    str_finish(&names);
}

static void lines_changed(const Change *c)
{
    for (int i = 0; i < c->is->line_count; i++) {
        const BoardLine *is = &c->is->lines[i];
        const BoardLine *was = line_in(c->was, &is->label);
        order_changed(c, was, is, &is->label);
        lead_changed(c, was, is);
        delivery_changed(c, was, is);
        char a[32], b[32];
        if (is->working_pa >= 0 && (was == NULL || was->working_pa != is->working_pa))
            str_addf(c->out, "%s works at %s (%s)\n", is->label.s,
                     pressure_print(is->working_pa, UNITS_METRIC, a),
                     pressure_print(is->working_pa, UNITS_US, b));
        if (moment_known(is->metered) &&
            (was == NULL || !moment_known(was->metered) || is->meter_ml < was->meter_ml))
            str_addf(c->out, "%s: its meter counts from %s on\n", is->label.s,
                     volume_words(is->meter_ml, c->units, a));
        pressed(c, &is->label);
        if (is->flow_fell && (was == NULL || !was->flow_fell))
            str_addf(c->out, "%s: the flow has fallen by more than a third\n", is->label.s);
    }
    for (int i = 0; i < c->was->line_count; i++)
        if (line_in(c->is, &c->was->lines[i].label) == NULL)
            order_changed(c, &c->was->lines[i], NULL, &c->was->lines[i].label);
}

static void spares_words(int64_t spares, char *out, size_t size)
{
    if (spares < 0)
        snprintf(out, size, "not counted");
    else
        snprintf(out, size, "%lld", (long long)spares);
}

static void stages_changed(const Change *c)
{
    for (int i = 0; i < c->is->stage_count; i++) {
        const BoardStage *is = &c->is->stages[i];
        const BoardStage *was = stage_in(c->was, &is->label);
        if (was == NULL) {
            str_addf(c->out, "%s is fitted on %s: %s\n", is->label.s,
                     label_empty(&is->line) ? "no line" : is->line.s,
                     is->life_left < 0 ? "no life of it is given" : service_state_name(is->state));
            continue;
        }
        if (is->fitted.ms < was->fitted.ms)
            str_addf(c->out, "%s is fitted since %s\n", is->label.s,
                     moment_print_local(is->fitted, c->is->now, (char[64]){0}));
        else if (was->fitted.ms != is->fitted.ms)
            str_addf(c->out, "%s is new since %s: its litres and hours start again%s\n",
                     is->label.s, moment_print_local(is->fitted, c->is->now, (char[64]){0}),
                     was->state == SERVICE_OK ? "; early: it was not due" : "");
        if (was->state != is->state)
            str_addf(c->out, "%s: %s -> %s\n", is->label.s, service_state_name(was->state),
                     service_state_name(is->state));
        put_off_changed(c, &is->label, "the swap", was->put_off, is->put_off);
        if (was->spares != is->spares) {
            char a[24], b[24];
            spares_words(was->spares, a, sizeof a);
            spares_words(is->spares, b, sizeof b);
            str_addf(c->out, "%s spares aboard: %s -> %s%s\n", is->label.s, a, b,
                     is->spares == 0 ? ", none is left" : "");
        }
    }
    for (int i = 0; i < c->was->stage_count; i++)
        if (stage_in(c->is, &c->was->stages[i].label) == NULL)
            str_addf(c->out, "%s is no longer fitted\n", c->was->stages[i].label.s);
}

static const BoardStop *stop_in(const Board *board, const Label *label)
{
    for (int i = 0; i < board->stop_count; i++)
        if (label_equal(&board->stops[i].label, label))
            return &board->stops[i];
    return NULL;
}

static void stops_changed(const Change *c)
{
    for (int i = 0; i < c->is->stop_count; i++) {
        const BoardStop *is = &c->is->stops[i];
        const BoardStop *was = stop_in(c->was, &is->label);
        if (was == NULL || was->eta.ms != is->eta.ms || was->litres != is->litres)
            str_addf(c->out, "stop %s planned for %s\n", is->label.s,
                     moment_print_local(is->eta, c->is->now, (char[64]){0}));
    }
    for (int i = 0; i < c->was->stop_count; i++)
        if (stop_in(c->is, &c->was->stops[i].label) == NULL)
            str_addf(c->out, "stop %s is no longer planned\n", c->was->stops[i].label.s);
}

/* The class is one from now on; what was filled before may have been that, too. An alert tells it
 * where it does harm. */
static void leaning_changed(const Change *c, const Source *is)
{
    Str told = {0};
    leaning_tell(c->state_is, is, c->is->now, &told);
    if (told.n > 0 && !label_equal(&c->is->leant_on, &is->label))
        str_addf(c->out,
                 "%s, as %s was called then; was it %s by then, the same with a time before them "
                 "puts them right\n",
                 told.s, is->label.s, quality_name(source_quality(is->quality)));
    str_finish(&told);
}

/* What was filled under another type keeps the grade and the mark that this gave it (domain 3.7,
 * 3.8); of a type that is put in before those fills the classes tell. */
static void type_changed(const Change *c, const Source *was, const Source *is)
{
    if (was->type == is->type || was->fills == 0 || c->entry->at.ms < was->used_at)
        return;
    str_addf(c->out,
             "%lld fill%s from %s keep%s grade and mark; had it been that by then, the same with a "
             "time before them puts them right\n",
             (long long)was->fills, was->fills == 1 ? "" : "s", is->label.s,
             was->fills == 1 ? "s its" : " their");
}

static void sources_changed(const Change *c)
{
    for (int i = 0; i < c->state_is->source_count; i++) {
        const Source *is = &c->state_is->sources[i];
        const int at = state_source(c->state_was, &is->label);
        if (at >= 0 && is->marks != 0 && c->state_was->sources[at].marks != is->marks)
            str_addf(c->out, "source %s: %s; so is from now on what is filled from it\n",
                     is->label.s, found_name(is->marks));
        if (label_empty(&is->label) ||
            (at >= 0 && c->state_was->sources[at].quality == is->quality &&
             c->state_was->sources[at].type == is->type))
            continue;
        const bool classed = is->quality != SOURCE_UNKNOWN_CLASS;
        str_addf(c->out, "source %s is known: %s%s\n", is->label.s,
                 classed ? quality_name((Quality)is->quality)
                         : "class not said, so its water counts as questionable",
                 classed ? " from now on, unless a fill says another class" : "");
        if (at >= 0 && c->state_was->sources[at].quality != is->quality)
            leaning_changed(c, is);
        if (at >= 0)
            type_changed(c, &c->state_was->sources[at], is);
    }
}

static void crew_words(int crew, char *out, size_t size)
{
    if (crew < 0)
        snprintf(out, size, "not said");
    else
        snprintf(out, size, "%d", crew);
}

static void days_changed(const Change *c, const char *what, const Band *was, const Band *is)
{
    if (was->p50.ms == is->p50.ms)
        return;
    char a[32] = "not at this rate", b[32] = "not at this rate";
    if (moment_known(was->p50))
        snprintf(a, sizeof a, "%.1f", days_had(c->was->now, was->p50));
    if (moment_known(is->p50))
        snprintf(b, sizeof b, "%.1f", days_had(c->is->now, is->p50));
    if (strcmp(a, b) != 0)
        str_addf(c->out, "days left %s: %s -> %s\n", what, a, b);
}

/* Water that nobody logged, gains: the sums of the audit tell them apart from use. */
static void booked(const Change *c)
{
    char volume[32];
    const int64_t unlogged = c->state_is->totals.unlogged - c->state_was->totals.unlogged;
    const int64_t gained = c->state_is->totals.gained - c->state_was->totals.gained;
    if (unlogged > 0)
        str_addf(c->out, "booked as use that nobody logged: %s\n",
                 volume_words(unlogged, c->units, volume));
    else if (unlogged < 0)
        str_addf(c->out, "less is booked as use that nobody logged, by %s\n",
                 volume_words(-unlogged, c->units, volume));
    if (gained > 0)
        str_addf(c->out, "booked as a gain, nobody knows from where: %s\n",
                 volume_words(gained, c->units, volume));
    else if (gained < 0)
        str_addf(c->out, "less is booked as a gain, by %s\n",
                 volume_words(-gained, c->units, volume));
}

static bool discrepancy_in(const Board *board, const Discrepancy *d)
{
    for (int i = 0; i < board->discrepancy_count; i++)
        if (uuid_compare(&board->discrepancies[i].entry, &d->entry) == 0 &&
            board->discrepancies[i].kind == d->kind)
            return true;
    return false;
}

static void discrepancies_changed(const Change *c)
{
    char id[40];
    for (int i = 0; i < c->is->discrepancy_count; i++) {
        const Discrepancy *d = &c->is->discrepancies[i];
        if (discrepancy_in(c->was, d))
            continue;
        str_adds(c->out, "does not agree with the rest of the log: ");
        discrepancy_tell(d, c->units, c->out);
        if (d->kind == DISCREPANCY_TWICE)
            str_addf(c->out, ": ullage void %s", uuid_print(&d->entry, id));
        str_addc(c->out, '\n');
    }
    for (int i = 0; i < c->was->discrepancy_count; i++) {
        const Discrepancy *d = &c->was->discrepancies[i];
        if (discrepancy_in(c->is, d))
            continue;
        str_adds(c->out, "no longer in the list of discrepancies: ");
        discrepancy_tell(d, c->units, c->out);
        str_addc(c->out, '\n');
    }
}

/* Alerts that the entry brought: only what is said nowhere else in these lines. */
static void alerts_changed(const Change *c)
{
    for (int i = 0; i < c->is->alert_count; i++) {
        const Alert *a = &c->is->alerts[i];
        bool stood = a->level == ALERT_NOTICE || (a->flags & ALERT_DIFFERS) != 0;
        for (int j = 0; j < c->was->alert_count && !stood; j++)
            stood = a->id == c->was->alerts[j].id &&
                    label_equal(&a->about, &c->was->alerts[j].about) &&
                    ((a->flags & ALERT_MANY) == 0 || strcmp(a->text, c->was->alerts[j].text) == 0);
        if (!stood)
            str_addf(c->alerts, "%s: %s\n", alert_level_name(a->level), a->text);
    }
}

/* A plan for a time that is past is a slip, or a stop that was made: it is asked about. */
static void stop_past(const Change *c)
{
    char when[64];
    if (c->entry == NULL || c->entry->kind != KIND_STOP || c->entry->u.stop.eta == 0 ||
        c->is->now.ms <= c->entry->u.stop.eta)
        return;
    str_addf(c->alerts,
             "%s is past: is that meant? The board will ask whether you refilled there\n",
             moment_print_local((Moment){c->entry->u.stop.eta}, c->is->now, when));
}

void board_changes(const Event *entry, Standing before, Standing after, Units units, Str *out)
{
    Str verdicts = {0}, classes = {0}, alerts = {0}, rest = {0};
    const Board *was = before.board, *is = after.board;
    const Change c = {.entry = entry,
                      .was = was,
                      .is = is,
                      .state_was = before.state,
                      .state_is = after.state,
                      .units = units,
                      .verdicts = &verdicts,
                      .classes = &classes,
                      .alerts = &alerts,
                      .out = &rest};
    stop_past(&c);
    vessels_changed(&c);
    lines_changed(&c);
    if (was->reserve != is->reserve)
        str_addf(&rest, "reserve: %s -> %s\n", reserve_state_name(was->reserve),
                 reserve_state_name(is->reserve));
    stages_changed(&c);
    sources_changed(&c);
    stops_changed(&c);
    if (was->crew != is->crew) {
        char a[24], b[24];
        crew_words(was->crew, a, sizeof a);
        crew_words(is->crew, b, sizeof b);
        str_addf(&rest, "crew %s -> %s\n", a, b);
    }
    if (was->outlook_known && is->outlook_known) {
        days_changed(&c, "to the reserve", &was->to_reserve, &is->to_reserve);
        days_changed(&c, "in all", &was->to_empty, &is->to_empty);
    }
    booked(&c);
    discrepancies_changed(&c);
    alerts_changed(&c);
    enum { PARTS = 4 };
    Str *const parts[PARTS] = {&verdicts, &classes, &alerts, &rest};
    for (int i = 0; i < PARTS; i++) {
        if (parts[i]->n > 0)
            str_add(out, text_slice(parts[i]->s, parts[i]->n));
        str_finish(parts[i]);
    }
}

/* What made the vessel's water known anew after `at`, the latest of it; NULL where nothing did. */
static const char *known_again(const Vessel *v, int64_t at, int64_t *when)
{
    const char *how = NULL;
    *when = at;
    if (v->known_at > *when) {
        *when = v->known_at;
        how = "its level was known again";
    }
    if (v->sounded_at >= *when && v->sounded_at > at) {
        *when = v->sounded_at;
        how = "it was sounded";
    }
    if (v->sanitised_at >= *when && v->sanitised_at > at) {
        *when = v->sanitised_at;
        how = "it was sanitised";
    }
    return how;
}

static bool same_water(const Vessel *a, const Vessel *b)
{
    return a->volume == b->volume && a->quality == b->quality && a->marks == b->marks;
}

void backdated_tell(const Event *e, const State *before, const State *after, Moment now, Str *out)
{
    const Kind *kind = kind_of((KindId)e->kind);
    char words[64];
    int64_t when;
    if (before->folded == 0 || e->at.ms >= before->last_at || !kind->moves_water)
        return;
    for (int i = 0; i < kind->field_count; i++) {
        const Field *f = &kind->fields[i];
        if (f->type != FIELD_LABEL || f->names != NAMES_VESSEL || !event_has(e, i))
            continue;
        const Label *label = field_label_of(e, f);
        const int was = state_vessel(before, label), is = state_vessel(after, label);
        if (was < 0 || is < 0 || !same_water(&before->vessels[was], &after->vessels[is]))
            continue;
        const char *how = known_again(&after->vessels[is], e->at.ms, &when);
        if (how != NULL)
            str_addf(out, "changes nothing in %s today: %s %s, after it\n", label->s, how,
                     moment_print_local((Moment){when}, now, words));
    }
}
