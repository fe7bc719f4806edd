/* What is to be done in time: water that ages, vessels to sanitise, stages; and what the log itself
 * asks for. */
#include "outlook/advice_private.h"

#include "model/field.h"
#include "model/kinds.h"
#include "outlook/service.h"
#include "outlook/words.h"
#include "reckon/freeze.h"

#include <math.h>
#include <stdio.h>

static bool stale(const Board *board, int i, Finding *f)
{
    const BoardVessel *v = &board->vessels[i];
    f->about = &v->label;
    if (!v->stale || !moment_known(v->mean_fill) || moment_known(v->water_put_off))
        return false;
    snprintf(f->words, sizeof f->words, "%lld",
             (long long)service_days_until(v->mean_fill, board->now));
    return true;
}

static bool is_asserted(const BoardVessel *v)
{
    return v->asserted && v->volume > 0;
}

static bool asserted(const Board *board, int i, Finding *f)
{
    (void)i;
    return vessels_such(board, is_asserted, f);
}

static bool is_raw(const BoardVessel *v)
{
    return v->raw && v->quality == CLASS_POTABLE && v->volume > 0;
}

static bool raw(const Board *board, int i, Finding *f)
{
    (void)i;
    return vessels_such(board, is_raw, f);
}

static bool never_sanitised(const Board *board, int i, Finding *f)
{
    const BoardVessel *v = &board->vessels[i];
    f->about = &v->label;
    return !v->washes && !moment_known(v->sanitised) && !moment_known(v->sanitise_put_off);
}

static bool sanitise_due(const Board *board, int i, Finding *f)
{
    const BoardVessel *v = &board->vessels[i];
    f->about = &v->label;
    finding_date(f, board, v->sanitise_due);
    return moment_known(v->sanitise_due) && board->now.ms >= v->sanitise_due.ms &&
           !moment_known(v->sanitise_put_off);
}

static bool sanitise_soon(const Board *board, int i, Finding *f)
{
    const BoardVessel *v = &board->vessels[i];
    f->about = &v->label;
    finding_date(f, board, v->sanitise_due);
    return moment_known(v->sanitise_due) && board->now.ms < v->sanitise_due.ms &&
           !moment_known(v->sanitise_put_off) &&
           service_days_until(board->now, v->sanitise_due) <= board->lead_days;
}

/* ---- service ---- */

static bool stage_is(const Board *board, int i, ServiceState state, bool spare, Finding *f)
{
    const BoardStage *s = &board->stages[i];
    f->about = &s->label;
    f->place = &s->line;
    finding_date(f, board, s->due);
    return s->state == state && s->because != BECAUSE_CLOGGING && (s->spares > 0) == spare &&
           !moment_known(s->put_off);
}

static bool stage_due_bare(const Board *board, int i, Finding *f)
{
    return stage_is(board, i, SERVICE_DUE, false, f);
}

static bool stage_due(const Board *board, int i, Finding *f)
{
    return stage_is(board, i, SERVICE_DUE, true, f);
}

static void stage_when(const Board *board, int i, Finding *f)
{
    const BoardStage *s = &board->stages[i];
    char date[64], litres[64];
    if (s->because == BECAUSE_LITRES && s->litres_left >= 0)
        snprintf(f->words, sizeof f->words, "with %s of its life left",
                 litres_had((double)s->litres_left / 1000, board->units, litres));
    else if (moment_known(s->due))
        snprintf(f->words, sizeof f->words, "on %s", moment_print_date(s->due, board->now, date));
}

static bool stage_soon_bare(const Board *board, int i, Finding *f)
{
    const bool is = stage_is(board, i, SERVICE_SOON, false, f);
    stage_when(board, i, f);
    return is;
}

static bool stage_soon(const Board *board, int i, Finding *f)
{
    const bool is = stage_is(board, i, SERVICE_SOON, true, f);
    stage_when(board, i, f);
    return is;
}

/* Earlier than `soon`, where nothing is aboard to swap it for. */
static bool spare_wanted(const Board *board, int i, Finding *f)
{
    const BoardStage *s = &board->stages[i];
    const BoardStop *shop = service_shop(board, s->due);
    Moment by;
    f->about = &s->label;
    finding_date(f, board, s->due);
    if (shop != NULL)
        snprintf(f->others, sizeof f->others, " at %s", shop->label.s);
    return s->state == SERVICE_OK && stage_wants_spare(board, s, &by) && !moment_known(s->put_off);
}

/* Quiet where a sediment stage of the line was put off: it is what the rule asks to look at. */
static bool flow_fell(const Board *board, int i, Finding *f)
{
    const BoardLine *line = &board->lines[i];
    f->about = &line->label;
    snprintf(f->words, sizeof f->words, "%.0f", floor(line->flow_ratio * 100));
    for (int s = 0; s < line->stage_count; s++) {
        const BoardStage *stage = &board->stages[line->stages[s]];
        if (stage->type != STAGE_SEDIMENT)
            continue;
        if (moment_known(stage->put_off))
            return false;
        if (stage->spares <= 0)
            snprintf(f->more, sizeof f->more, "; no spare is known to be aboard");
    }
    return line->flow_fell;
}

static bool stage_due_put_off(const Board *board, int i, Finding *f)
{
    const BoardStage *s = &board->stages[i];
    f->about = &s->label;
    finding_date(f, board, s->put_off);
    return moment_known(s->put_off) && s->state == SERVICE_DUE;
}

/* ---- the log itself ---- */

/* What nobody logged comes out of the lead: when its level was last known is what counts. */
static bool sound_overdue(const Board *board, int i, Finding *f)
{
    const BoardLine *line = &board->lines[i];
    if (line->lead < 0 || (moment_known(line->known) &&
                           board->now.ms - line->known.ms <= ADVICE_SOUND_DAYS * MS_PER_DAY))
        return false;
    f->about = &board->vessels[line->lead].label;
    f->place = &line->label;
    if (moment_known(line->known))
        snprintf(f->words, sizeof f->words, "for %lld days",
                 (long long)((board->now.ms - line->known.ms) / MS_PER_DAY));
    else
        snprintf(f->words, sizeof f->words, "since it was named");
    return true;
}

/* Both count: for spares and what a cartridge has done that errs to the safe side, for water it
 * does not. So it is asked about until one is taken back, or both are kept. */
static bool logged_twice(const Board *board, int i, Finding *f)
{
    (void)i;
    char date[64];
    int count = 0;
    const Discrepancy *d = board_twice(board);
    for (int k = 0; k < board->discrepancy_count; k++)
        count += board->discrepancies[k].kind == DISCREPANCY_TWICE;
    if (d == NULL)
        return false;
    f->about = &d->name;
    snprintf(f->words, sizeof f->words, "The %s of %s of %s", kind_of((KindId)d->entry_kind)->name,
             d->name.s, moment_print_local((Moment){d->at}, board->now, date));
    uuid_print(&d->entry, f->others);
    finding_more(f, count - 1);
    return true;
}

static bool discrepant(const Board *board, int i, Finding *f)
{
    (void)i;
    long long n = board->discrepancy_count + board->discrepancies_older;
    for (int d = 0; d < board->discrepancy_count; d++) /* said by themselves */
        n -= board->discrepancies[d].kind == DISCREPANCY_LEAK ||
             board->discrepancies[d].kind == DISCREPANCY_TWICE ||
             board->discrepancies[d].kind == DISCREPANCY_RUN_LONG ||
             board->discrepancies[d].kind == DISCREPANCY_RUN_DRIP;
    snprintf(f->words, sizeof f->words, "%lld %s", n,
             n == 1 ? "entry does not agree" : "entries do not agree");
    return n > 0;
}

/* Nobody knows how cold it gets: air of -5 C, or as cold as it was measured, and a wind of 10 m/s,
 * on a bare line of 6 mm bore, its wall no help (as ullage reckon freeze takes them; common
 * practice, no source). A reading speaks for a day. */
enum { FROST_BELOW = 3000, FROST_AIR_C = -5, FROST_AIR_LEAST_C = -60, FROST_WIND_M_S = 10 };

/* The earliest that the line freezes, and any vessel with water in it, ms; false: neither. */
static bool frost_earliest(const Board *board, const Result *cold, int64_t *line, int64_t *vessel)
{
    static const FreezeTube bare = {.bore_m = 0.006, .outer_m = 0.009, .wall_w_mk = INFINITY};
    const double c = (double)cold->value / 1000, from = fmax(c, 0);
    /* Under what the reckoner takes no air makes it sooner: at 0 C the ice is there with the
     * reading. */
    const double air = fmax(fmin(c, FROST_AIR_C), FROST_AIR_LEAST_C);
    const FreezeTime tube = freeze_tube(&bare, from, air, FROST_WIND_M_S);
    *line = cold->at + (int64_t)(tube.first_seconds * 1000);
    *vessel = INT64_MAX;
    for (int i = 0; i < board->vessel_count; i++) {
        const double litres = fmax((double)board->vessels[i].volume / 1000, 0.1);
        const FreezeTime can = freeze_vessel(litres, 0, from, air, FROST_WIND_M_S);
        const int64_t at = cold->at + (int64_t)(can.first_seconds * 1000);
        if (board->vessels[i].volume > 0 && can.basis.ok && at < *vessel)
            *vessel = at;
    }
    return tube.freezes;
}

/* "17:04", or with its date where that is another day. */
static char *hour_of(Moment m, Moment day, char out[64])
{
    const Civil c = moment_local(m);
    if (moment_local_day(m) != moment_local_day(day))
        return moment_print_local(m, day, out);
    snprintf(out, 64, "%02d:%02d", c.hour, c.minute);
    return out;
}

static bool frost(const Board *board, int i, Finding *f)
{
    const Result *cold = &board->lines[i].results[RESULT_TEMP];
    int64_t line, vessel;
    char cold_is[32], air[32], at[64], first[64];
    size_t count;
    f->about = &board->lines[i].label;
    f->or_else = freeze_order(&count)[0];
    if (cold->at == 0 || cold->value >= FROST_BELOW || board->now.ms - cold->at > MS_PER_DAY ||
        !frost_earliest(board, cold, &line, &vessel))
        return false;
    const Moment then = {cold->at};
    const double air_c = fmin(floor((double)cold->value / 1000), FROST_AIR_C);
    snprintf(f->words, sizeof f->words,
             "%s on %s: in air of %s and wind a bare line may freeze from %s on",
             temperature_print(cold->value, board->units, cold_is),
             moment_print_local(then, board->now, at),
             temperature_print((int64_t)air_c * 1000, board->units, air),
             hour_of((Moment){line}, then, first));
    if (vessel != INT64_MAX)
        snprintf(f->others, sizeof f->others, ", ice begin in a vessel from %s on",
                 hour_of((Moment){vessel}, then, first));
    return true;
}

static bool meter_off(const Board *board, int i, Finding *f)
{
    const BoardLine *line = &board->lines[i];
    const double percent = line->meter_off * 100, doubt = ceil(line->meter_doubt * 1000) / 10;
    f->about = &line->label;
    snprintf(f->words, sizeof f->words, "%.1f %% %s than the soundings, give or take %.1f",
             fabs(percent), percent > 0 ? "less" : "more", doubt);
    return line->meter_off != 0;
}

static bool crew_unknown(const Board *board, int i, Finding *f)
{
    (void)i;
    (void)f;
    return board->vessel_count > 0 && board->crew < 0;
}

static bool clock_behind(const Board *board, int i, Finding *f)
{
    (void)i;
    char last[64], now[64];
    if (!moment_known(board->last) || !clock_ahead(board->last, board->now))
        return false;
    snprintf(f->words, sizeof f->words, "%s, and it is %s",
             moment_print_local(board->last, board->now, last),
             moment_print_local(board->now, board->last, now));
    return true;
}

static bool source_amended(const Board *board, int i, Finding *f)
{
    (void)i;
    f->about = &board->leant_on;
    snprintf(f->words, sizeof f->words, "%s", board->leant);
    return !label_empty(&board->leant_on);
}

static const Rule rules[] = {
    {"source-amended", ALERT_CAUTION, 0, OVER_BOARD, source_amended,
     "%a is not called any more what it was: %w.",
     "Put them right (7, then c); until then do not drink of them."},
    {"stale", ALERT_CAUTION, ALERT_IN_DUE | GROUPED, OVER_VESSELS, stale,
     "The water in %a is stale: %w days old on average.",
     "Use it for washing, or dump and refill."},
    {"raw", ALERT_CAUTION, 0, OVER_BOARD, raw,
     "Raw water%m in %w: nothing shows that Giardia was dealt with, and chlorine leaves "
     "Cryptosporidium.",
     "Boil what is drunk."},
    {"asserted", ALERT_NOTICE, 0, OVER_BOARD, asserted,
     "Potable on your word only%m: %w. Nothing measured says so.",
     "Fill from a supplied source, or treat and log what you measured."},
    {"sanitise-due", ALERT_CAUTION, ALERT_IN_DUE | GROUPED, OVER_VESSELS, sanitise_due,
     "%a %{is|are} due for sanitising since %w.",
     "Empty %{it|them}, sanitise %{it|them}, and log it."},
    {"sanitise-soon", ALERT_NOTICE, ALERT_IN_DUE | GROUPED, OVER_VESSELS, sanitise_soon,
     "%a %{is|are} due for sanitising on %w.", "Plan it for when %{the vessel is|they are} empty."},
    {"never-sanitised", ALERT_NOTICE, GROUPED, OVER_VESSELS, never_sanitised,
     "%a: never sanitised, as far as the log tells.",
     "Sanitise %{it when it is|each when it is} empty, and log it, or when it was done."},
    {"stage-due-no-spare", ALERT_WARNING, 0, OVER_STAGES, stage_due_bare,
     "%a is due and NO SPARE is known to be aboard.",
     "Get one now; until then do not rely on this stage."},
    {"stage-due", ALERT_CAUTION, ALERT_IN_DUE, OVER_STAGES, stage_due, "%a is due.",
     "Swap it and log the swap."},
    {"stage-soon-no-spare", ALERT_CAUTION, ALERT_IN_DUE, OVER_STAGES, stage_soon_bare,
     "%a is due soon, %w, and no spare is known to be aboard.", "Get one before then."},
    {"stage-soon", ALERT_NOTICE, ALERT_IN_DUE, OVER_STAGES, stage_soon, "%a is due soon, %w.",
     "Keep its spare at hand."},
    {"spare-wanted", ALERT_NOTICE, ALERT_IN_DUE, OVER_STAGES, spare_wanted,
     "%a is due on %w, and no spare is aboard.", "Get one%b, and log it: spares %a 1."},
    {"stage-due-put-off", ALERT_NOTICE, 0, OVER_STAGES, stage_due_put_off,
     "%a is due; its swap is put off to %w.", "Until then do not rely on this stage."},
    {"flow-fell", ALERT_CAUTION, 0, OVER_LINES, flow_fell,
     "The flow of %a has fallen to %w %% of that after the last swap, at the same pressure%m.",
     "Look at the sediment stage; swap it if it is clogged."},
    {"frost", ALERT_CAUTION, ALERT_LOOK, OVER_LINES, frost, "%a was %w%b.",
     "Drain first the %t. ullage reckon freeze tells the rest."},
    {"meter-off", ALERT_CAUTION, 0, OVER_LINES, meter_off,
     "The meter of %a counts %w: more than chance.", "Calibrate it: ullage reckon meter."},
    {"sound-overdue", ALERT_NOTICE, ALERT_ASKS, OVER_LINES, sound_overdue,
     "The level of %a on %l has not been known %w%m.", "Sound it."},
    {"twice", ALERT_CAUTION, ALERT_DIFFERS | ALERT_TWICE, OVER_BOARD, logged_twice,
     "%w was likely logged on two machines%m, and both count.",
     "Take it back (ullage void %b), or keep both (ullage settle)."},
    {"discrepancy", ALERT_CAUTION, ALERT_DIFFERS, OVER_BOARD, discrepant,
     "%w with the rest of the log.", "Correct each (void, then log it right), or settle it."},
    {"clock", ALERT_CAUTION, 0, OVER_BOARD, clock_behind,
     "The log's latest entry is of %w by this clock.",
     "Set the clock, or void what was entered while it was ahead."},
    {"crew-unknown", ALERT_NOTICE, 0, OVER_BOARD, crew_unknown,
     "Nobody has said how many are aboard.", "Log the crew."},
};
const Rules advice_care = {rules, (int)(sizeof rules / sizeof rules[0])};
