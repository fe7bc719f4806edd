#include "outlook/advice.h"

#include "model/field.h"
#include "outlook/service.h"
#include "outlook/words.h"
#include "reckon/freeze.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

const char *alert_level_name(AlertLevel level)
{
    static const char *const names[] = {"notice", "caution", "warning"};
    return names[level];
}

/* What a rule found: the names and words that its sentences are filled with. */
typedef struct {
    const Label *about;  /* %a; also the alert's `about` */
    const Label *place;  /* %l */
    char words[160];     /* %w */
    char others[160];    /* %b: the vessels at fault */
    const char *or_else; /* %t: what else would do; "" or a clause */
    char more[40];       /* %m: " (and 2 more)" or "" */
} Finding;

typedef enum { OVER_BOARD, OVER_VESSELS, OVER_LINES, OVER_STAGES, OVER_STOPS } Scope;

typedef struct {
    const char *id;
    AlertLevel level;
    unsigned flags; /* ALERT_... */
    Scope scope;
    bool (*applies)(const Board *board, int i, Finding *finding);
    const char *says; /* what is so */
    const char *todo; /* what to do */
} Rule;

static void finding_more(Finding *f, int more)
{
    if (more > 0)
        snprintf(f->more, sizeof f->more, " (and %d more)", more);
}

static void finding_date(Finding *f, const Board *board, Moment at)
{
    char date[64];
    snprintf(f->words, sizeof f->words, "%s",
             moment_known(at) ? moment_print_date(at, board->now, date) : "long");
}

/* ---- the water ---- */

static bool line_delivers_class(const Board *board, int i, Quality quality, bool treated,
                                Finding *f)
{
    const BoardLine *line = &board->lines[i];
    f->about = &line->label;
    return line->delivers && line->quality == quality &&
           (quality != CLASS_QUESTIONABLE ||
            (line->verdict == VERDICT_DRINK_IF_TREATED) == treated);
}

static bool delivers_non_potable(const Board *board, int i, Finding *f)
{
    return line_delivers_class(board, i, CLASS_NON_POTABLE, false, f);
}

static bool delivers_questionable(const Board *board, int i, Finding *f)
{
    return line_delivers_class(board, i, CLASS_QUESTIONABLE, false, f);
}

static bool delivers_treated(const Board *board, int i, Finding *f)
{
    return line_delivers_class(board, i, CLASS_QUESTIONABLE, true, f);
}

/* A vessel downstream of worse water takes its class with the first millilitre drawn. The vessels
 * upstream of the lead are spent and pass air only; the worst class from the lead on counts. All
 * vessels upstream that are worse than the first one they would spoil are at fault. */
static bool upstream_worse(const Board *board, int i, Quality from, Finding *f)
{
    const BoardLine *line = &board->lines[i];
    Quality worst = from;
    bool flows = false;
    int found = 0;
    for (int j = 0; j < line->count; j++) {
        const BoardVessel *v = &board->vessels[line->vessels[j]];
        flows = flows || line->vessels[j] == line->lead;
        if (!flows)
            continue;
        if (v->quality > from && found == 0) {
            const size_t n = strlen(f->others);
            snprintf(f->others + n, sizeof f->others - n, "%s%s", n > 0 ? " and " : "", v->label.s);
            worst = quality_worst(worst, v->quality);
        } else if (v->quality == from && f->others[0] != '\0' && found++ == 0) {
            f->about = &v->label;
            f->place = &line->label;
            snprintf(f->words, sizeof f->words, "%s", quality_name(worst));
            f->or_else = worst == CLASS_QUESTIONABLE ? ", or treat what they hold" : "";
        }
    }
    finding_more(f, found - 1);
    return found > 0;
}

static bool upstream_of_potable(const Board *board, int i, Finding *f)
{
    return upstream_worse(board, i, CLASS_POTABLE, f);
}

static bool upstream_of_questionable(const Board *board, int i, Finding *f)
{
    return upstream_worse(board, i, CLASS_QUESTIONABLE, f);
}

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

/* Several vessels of which one thing is to be said, by their labels. */
static bool vessels_such(const Board *board, bool (*such)(const BoardVessel *v), Finding *f)
{
    int found = 0;
    size_t n = 0;
    for (int i = 0; i < board->vessel_count; i++) {
        const BoardVessel *v = &board->vessels[i];
        if (!such(v))
            continue;
        if (n + strlen(v->label.s) + 2 < sizeof f->words)
            n += (size_t)snprintf(f->words + n, sizeof f->words - n, "%s%s", found > 0 ? ", " : "",
                                  v->label.s);
        else
            finding_more(f, 1);
        found++;
    }
    return found > 0;
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

static bool unread(const Board *board, int i, Finding *f)
{
    (void)i;
    snprintf(f->words, sizeof f->words, "%lld entr%s", (long long)board->unread,
             board->unread == 1 ? "y" : "ies");
    return board->unread > 0;
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

/* ---- what tests found ---- */

static bool has_ecoli(const BoardVessel *v)
{
    return (v->marks & MARK_ECOLI) != 0 && v->volume > 0;
}

static bool has_coliforms_only(const BoardVessel *v)
{
    return (v->marks & MARK_FOUND) == MARK_COLIFORM && v->volume > 0;
}

static bool has_nitrate(const BoardVessel *v)
{
    return (v->marks & MARK_NITRATE) != 0 && v->volume > 0;
}

static bool ecoli_found(const Board *board, int i, Finding *f)
{
    (void)i;
    return vessels_such(board, has_ecoli, f);
}

static bool coliforms_found(const Board *board, int i, Finding *f)
{
    (void)i;
    return vessels_such(board, has_coliforms_only, f);
}

static bool nitrate_found(const Board *board, int i, Finding *f)
{
    (void)i;
    Finding unused = {0};
    f->or_else = vessels_such(board, has_ecoli, &unused)
                     ? "; but E. coli was found too: others boil first"
                     : "";
    return vessels_such(board, has_nitrate, f);
}

/* Found at the tap, with nothing of it left in the vessels. */
static bool tap_found(const Board *board, int i, Finding *f)
{
    const BoardLine *line = &board->lines[i];
    f->about = &line->label;
    snprintf(f->words, sizeof f->words, "%s", found_name(line->doubt.marks & MARK_FOUND));
    for (int v = 0; v < line->count; v++)
        if ((board->vessels[line->vessels[v]].marks & MARK_FOUND) != 0)
            return false;
    return f->words[0] != '\0';
}

static bool residual_is(const Board *board, Residual wanted, Residual is, const Result *chlorine,
                        Finding *f)
{
    char number[40], date[64];
    if (is != wanted)
        return false;
    snprintf(f->words, sizeof f->words, "%s mg/L on %s", thousandths_print(chlorine->value, number),
             moment_print_date((Moment){chlorine->at}, board->now, date));
    f->or_else = chlorine->value > RESIDUAL_MOST_WHO ? "4 mg/L of the US EPA and the 5 of the WHO"
                                                     : "4 mg/L of the US EPA (WHO: 5)";
    return true;
}

static bool vessel_residual_is(const Board *board, int i, Residual wanted, Finding *f)
{
    const BoardVessel *v = &board->vessels[i];
    f->about = &v->label;
    return v->volume > 0 && v->duty != DUTY_WASH &&
           residual_is(board, wanted, v->residual, &v->results.latest[RESULT_CHLORINE], f);
}

static bool residual_low(const Board *board, int i, Finding *f)
{
    return vessel_residual_is(board, i, RESIDUAL_LOW, f);
}

static bool residual_high(const Board *board, int i, Finding *f)
{
    return vessel_residual_is(board, i, RESIDUAL_HIGH, f);
}

static bool residual_faded(const Board *board, int i, Finding *f)
{
    const BoardVessel *v = &board->vessels[i];
    return moment_known(v->faded) && board->now.ms >= v->faded.ms &&
           vessel_residual_is(board, i, RESIDUAL_GOOD, f);
}

static bool tap_residual_is(const Board *board, int i, Residual wanted, Finding *f)
{
    const BoardLine *line = &board->lines[i];
    f->about = &line->label;
    return line->delivers &&
           residual_is(board, wanted, line->residual, &line->results[RESULT_CHLORINE], f);
}

static bool tap_residual_low(const Board *board, int i, Finding *f)
{
    return tap_residual_is(board, i, RESIDUAL_LOW, f);
}

static bool tap_residual_high(const Board *board, int i, Finding *f)
{
    return tap_residual_is(board, i, RESIDUAL_HIGH, f);
}

static bool never_sanitised(const Board *board, int i, Finding *f)
{
    const BoardVessel *v = &board->vessels[i];
    f->about = &v->label;
    return v->duty != DUTY_WASH && !moment_known(v->sanitised) &&
           !moment_known(v->sanitise_put_off);
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
           service_days_until(board->now, v->sanitise_due) <= SERVICE_LEAD_DAYS;
}

static bool sanitise_put_off(const Board *board, int i, Finding *f)
{
    const BoardVessel *v = &board->vessels[i];
    f->about = &v->label;
    finding_date(f, board, v->sanitise_put_off);
    return moment_known(v->sanitise_put_off);
}

static bool water_put_off(const Board *board, int i, Finding *f)
{
    const BoardVessel *v = &board->vessels[i];
    f->about = &v->label;
    finding_date(f, board, v->water_put_off);
    return moment_known(v->water_put_off);
}

static const BoardLine *line_of(const Board *board, const BoardVessel *v)
{
    for (int i = 0; i < board->line_count; i++)
        if (label_equal(&board->lines[i].label, &v->line))
            return &board->lines[i];
    return NULL;
}

/* A vessel on a line that works above what the vessel is rated for. */
static bool above_rated(const Board *board, int i, Finding *f)
{
    const BoardVessel *v = &board->vessels[i];
    const BoardLine *line = line_of(board, v);
    if (line == NULL || v->rated_pa < 0 || line->working_pa <= v->rated_pa)
        return false;
    char rated[64], works[64];
    f->about = &v->label;
    snprintf(f->words, sizeof f->words, "%s, and %s works at %s", rated_words(v->rated_pa, rated),
             line->label.s, pressure_print_exact(line->working_pa, works));
    return true;
}

/* A plain can on a line. Vented is what the log says of it; where it says nothing there may be air
 * on it. */
static bool can_coupled(const Board *board, int i, bool vented, Finding *f)
{
    const BoardVessel *v = &board->vessels[i];
    const BoardLine *line = line_of(board, v);
    if (line == NULL || v->rated_pa != 0 || line->working_pa > 0)
        return false;
    f->about = &v->label;
    f->place = &line->label;
    return (line->working_pa == 0) == vented;
}

static bool can_under_air(const Board *board, int i, Finding *f)
{
    return can_coupled(board, i, false, f);
}

static bool can_on_vented_line(const Board *board, int i, Finding *f)
{
    return can_coupled(board, i, true, f);
}

/* ---- how much ---- */

static bool no_potable(const Board *board, int i, Finding *f)
{
    (void)i;
    (void)f;
    return board->vessel_count > 0 && board->supply.by_class[CLASS_POTABLE] == 0;
}

static bool reserve_in_use(const Board *board, int i, Finding *f)
{
    (void)i;
    (void)f;
    return board->reserve == RESERVE_IN_USE;
}

static bool reserve_is_short(const Board *board, int i, Finding *f)
{
    static const char *const why[] = {"", "not full", "not potable", "too old"};
    (void)i;
    snprintf(f->words, sizeof f->words, "%s", why[board->reserve_short]);
    return board->reserve == RESERVE_SHORT;
}

enum { ODDS_ENOUGH_PER_CENT = 90, ODDS_EVEN_PER_CENT = 50 };

static bool stop_odds(const Board *board, int i, double low, double high, Finding *f)
{
    const BoardStop *stop = &board->stops[i];
    f->about = &stop->label;
    if (isnan(stop->odds_all))
        return false;
    const double odds = stop->odds_all * 100;
    odds_print(stop->odds_all, f->words);
    return odds >= low && odds < high;
}

static bool stop_missed(const Board *board, int i, Finding *f)
{
    return stop_odds(board, i, -1, ODDS_EVEN_PER_CENT, f);
}

static bool stop_doubtful(const Board *board, int i, Finding *f)
{
    return stop_odds(board, i, ODDS_EVEN_PER_CENT, ODDS_ENOUGH_PER_CENT, f);
}

/* Said before the tap runs dry; not where a stop comes first to which the line lasts, or of which
 * it is said that the water does not, nor where the reserve is drawn on already. */
#define LOW_SHARE 0.1
static bool low_water(const Board *board, int i, Finding *f)
{
    (void)i;
    const BoardStop *stop = board->stop_count > 0 ? &board->stops[0] : NULL;
    const bool soon = stop != NULL && stop->litres != 0 && stop->eta.ms >= board->now.ms &&
                      stop->eta.ms - board->now.ms <= 2 * MS_PER_DAY &&
                      !(stop->odds_line * 100 < ODDS_ENOUGH_PER_CENT &&
                        stop->odds_all * 100 >= ODDS_ENOUGH_PER_CENT);
    if (soon || board->reserve == RESERVE_IN_USE || board->reserve == RESERVE_SPENT)
        return false;
    const double odds =
        board->use_prior < 1 ? board->odds_two_days * 100 : NAN; /* learnt, or not */
    if (odds < ODDS_ENOUGH_PER_CENT)
        snprintf(f->words, sizeof f->words, "may not last two more days: the odds are %s",
                 odds_print(board->odds_two_days, (char[16]){0}));
    else
        snprintf(f->words, sizeof f->words, "is under a tenth of what it holds");
    return odds < ODDS_ENOUGH_PER_CENT || board->line_share < LOW_SHARE;
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
    char date[64];
    if (s->because == BECAUSE_LITRES && s->litres_left >= 0)
        snprintf(f->words, sizeof f->words, "with %lld L of its life left",
                 (long long)(s->litres_left / 1000));
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

static bool stage_put_off(const Board *board, int i, Finding *f)
{
    const BoardStage *s = &board->stages[i];
    f->about = &s->label;
    finding_date(f, board, s->put_off);
    return moment_known(s->put_off) && s->state != SERVICE_DUE;
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

/* The latest loss that nobody's use explains. */
static int leaks_count(const Board *board, const Discrepancy **latest)
{
    int count = 0;
    for (int i = 0; i < board->discrepancy_count; i++)
        if (board->discrepancies[i].kind == DISCREPANCY_LEAK) {
            *latest = &board->discrepancies[i];
            count++;
        }
    return count;
}

static bool leaking(const Board *board, int i, Finding *f)
{
    (void)i;
    const Discrepancy *latest = NULL;
    const int count = leaks_count(board, &latest);
    if (count == 0)
        return false;
    char date[64];
    f->about = &latest->name;
    snprintf(f->words, sizeof f->words, "%.1f L were missing from %s on %s",
             (double)latest->amount / 1000, latest->name.s,
             moment_print_date((Moment){latest->at}, board->now, date));
    finding_more(f, count - 1);
    return true;
}

static bool discrepant(const Board *board, int i, Finding *f)
{
    (void)i;
    const Discrepancy *leak = NULL;
    long long n = board->discrepancy_count + board->discrepancies_older - leaks_count(board, &leak);
    for (int d = 0; d < board->discrepancy_count; d++) /* said by themselves */
        n -= board->discrepancies[d].kind == DISCREPANCY_RUN_LONG ||
             board->discrepancies[d].kind == DISCREPANCY_RUN_DRIP;
    snprintf(f->words, sizeof f->words, "%lld %s", n,
             n == 1 ? "entry does not agree" : "entries do not agree");
    return n > 0;
}

/* The latest run of that sort that nobody looked at yet. */
static bool runs_on(const Board *board, DiscrepancyKind kind, Finding *f)
{
    char when[64];
    for (int i = board->discrepancy_count - 1; i >= 0; i--) {
        const Discrepancy *d = &board->discrepancies[i];
        if (d->kind != kind)
            continue;
        f->about = &d->name;
        snprintf(f->words, sizeof f->words, "%s",
                 moment_print_local((Moment){d->at}, board->now, when));
        return true;
    }
    return false;
}

static bool run_long(const Board *board, int i, Finding *f)
{
    (void)i;
    return runs_on(board, DISCREPANCY_RUN_LONG, f);
}

static bool run_drip(const Board *board, int i, Finding *f)
{
    (void)i;
    return runs_on(board, DISCREPANCY_RUN_DRIP, f);
}

/* Nobody knows how cold it gets: air of -5 C, or as cold as it was measured, and a wind of 10 m/s,
 * on a bare line of 6 mm bore, its wall no help (as ullage reckon freeze takes them; common
 * practice, no source). A reading speaks for a day. */
enum { FROST_BELOW = 3000, FROST_AIR_C = -5, FROST_WIND_M_S = 10 };

/* The earliest that the line freezes, and any vessel with water in it, ms; false: neither. */
static bool frost_earliest(const Board *board, const Result *cold, int64_t *line, int64_t *vessel)
{
    static const FreezeTube bare = {.bore_m = 0.006, .outer_m = 0.009, .wall_w_mk = INFINITY};
    const double c = (double)cold->value / 1000, air = fmin(c, FROST_AIR_C), from = fmax(c, 0);
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
    return tube.basis.ok && tube.freezes;
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
    char number[40], at[64], first[64];
    size_t count;
    f->about = &board->lines[i].label;
    f->or_else = freeze_order(&count)[0];
    if (cold->at == 0 || cold->value >= FROST_BELOW || board->now.ms - cold->at > MS_PER_DAY ||
        !frost_earliest(board, cold, &line, &vessel))
        return false;
    const Moment then = {cold->at};
    snprintf(f->words, sizeof f->words,
             "%s C on %s: in air of %.0f C and wind a bare line may freeze from %s on",
             thousandths_print(cold->value, number), moment_print_local(then, board->now, at),
             fmin(floor((double)cold->value / 1000), FROST_AIR_C),
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

static const Rule rules[] = {
    {"unread", ALERT_WARNING, 0, OVER_BOARD, unread,
     "%w of the log can't be read, and what that changed is not known: all water that was aboard "
     "then counts as questionable.",
     "Sound the vessels; ullage verify names what can't be read."},
    {"above-rated", ALERT_WARNING, 0, OVER_VESSELS, above_rated, "%a is rated for %w.",
     "Vent the line and lower the regulator, or take the vessel off it."},
    {"takes-no-pressure", ALERT_WARNING, 0, OVER_VESSELS, can_under_air,
     "%a takes no pressure, and is coupled in %l.",
     "Take it off before air is put on. Where none ever is, log: pressurise %l 0."},
    {"takes-no-pressure-vented", ALERT_CAUTION, 0, OVER_VESSELS, can_on_vented_line,
     "%a takes no pressure, and is coupled in %l.", "Put no air on the line while it is."},
    {"ecoli", ALERT_WARNING, 0, OVER_BOARD, ecoli_found, "E. coli was found in %w%m: boil first.",
     "Dump it, sanitise what it wetted, fill again and test again."},
    {"coliforms", ALERT_WARNING, 0, OVER_BOARD, coliforms_found,
     "Coliforms were found in %w%m: boil first.",
     "Dump it, sanitise what it wetted, fill again and test again."},
    {"tap-found", ALERT_WARNING, 0, OVER_LINES, tap_found, "%w at the tap of %a: boil first.",
     "Sanitise every vessel of the line and its tap, then test again."},
    {"nitrate", ALERT_WARNING, 0, OVER_BOARD, nitrate_found,
     "Nitrate above 10 mg/L as nitrogen in %w%m: not for infants under 12 months, nor their "
     "formula.",
     "Give them other water. Do not boil it: that concentrates nitrate%t."},
    {"residual-high", ALERT_CAUTION, 0, OVER_VESSELS, residual_high,
     "Free chlorine in %a was %w, above the %t.",
     "Dilute it, or let it stand and test again, before it is drunk daily."},
    {"tap-residual-high", ALERT_CAUTION, 0, OVER_LINES, tap_residual_high,
     "Free chlorine at the tap of %a was %w, above the %t.",
     "Dilute it, or let it stand and test again, before it is drunk daily."},
    {"residual-low", ALERT_CAUTION, 0, OVER_VESSELS, residual_low,
     "Free chlorine in %a was %w: under 0.2 mg/L nothing protects stored water.",
     "Dose it and test after 30 minutes, or use it soon."},
    {"tap-residual-low", ALERT_CAUTION, 0, OVER_LINES, tap_residual_low,
     "Free chlorine at the tap of %a was %w: under 0.2 mg/L nothing protects water that is kept.",
     "Use what is drawn at once; carbon takes chlorine out."},
    {"residual-faded", ALERT_NOTICE, 0, OVER_VESSELS, residual_faded,
     "Free chlorine in %a, %w, may be under 0.2 mg/L by now.", "Test it again; dose it if it is."},
    {"delivers-non-potable", ALERT_WARNING, 0, OVER_LINES, delivers_non_potable,
     "%a delivers non-potable water: wash only.",
     "Do not drink it. Dump it, then sanitise every vessel that it wetted."},
    {"delivers-questionable", ALERT_WARNING, 0, OVER_LINES, delivers_questionable,
     "%a delivers questionable water: boil first.",
     "Boil or treat what you drink, or draw from a potable vessel."},
    {"delivers-treated", ALERT_CAUTION, 0, OVER_LINES, delivers_treated,
     "%a delivers questionable water: drink if treated.",
     "It rests on the train that you declared purifying; keep every stage of it in life."},
    {"upstream-worse", ALERT_WARNING, 0, OVER_LINES, upstream_of_potable,
     "%a is potable%m but stands downstream of %b (%w): the next draw from %l spoils it.",
     "Uncouple %b before anything is drawn%t."},
    {"upstream-non-potable", ALERT_WARNING, 0, OVER_LINES, upstream_of_questionable,
     "%a is questionable%m but stands downstream of %b (%w): the next draw from %l makes it so.",
     "Uncouple %b before anything is drawn."},
    {"no-potable", ALERT_WARNING, 0, OVER_BOARD, no_potable, "Nothing usable aboard is potable.",
     "Fill a clean vessel from a potable source, or treat."},
    {"run-long", ALERT_WARNING, ALERT_LEAK | ALERT_DIFFERS, OVER_BOARD, run_long,
     "Water ran at %a for over 20 minutes up to %w: a leak, or a tap left open?",
     "Shut the tap, or vent the line, and look; then settle it."},
    {"run-drip", ALERT_WARNING, ALERT_LEAK | ALERT_DIFFERS, OVER_BOARD, run_drip,
     "Water ran at %a in every quarter of an hour for 3 hours up to %w: a leak?",
     "Look for a drip; then settle it."},
    {"reserve-in-use", ALERT_WARNING, 0, OVER_BOARD, reserve_in_use, "You are on the reserve.",
     "Save water and refill at the next good source."},
    {"reserve-short", ALERT_CAUTION, 0, OVER_BOARD, reserve_is_short,
     "The reserve is short: it is %w.", "Fill or renew it at the next good source."},
    {"stop-missed", ALERT_WARNING, 0, OVER_STOPS, stop_missed,
     "The water will hardly last to %a: the odds are %w.", "Use less, or find water before it."},
    {"stop-doubtful", ALERT_CAUTION, 0, OVER_STOPS, stop_doubtful,
     "The water may not last to %a: the odds are %w.",
     "Keep to the ration, or find water before it."},
    {"low-water", ALERT_CAUTION, 0, OVER_BOARD, low_water, "The water on the line %w.",
     "Refill, or use less."},
    {"stale", ALERT_CAUTION, ALERT_IN_DUE, OVER_VESSELS, stale,
     "The water in %a is stale: %w days old on average.",
     "Use it for washing, or dump and refill."},
    {"raw", ALERT_CAUTION, 0, OVER_BOARD, raw,
     "Raw water%m in %w: nothing shows that Giardia was dealt with, and chlorine leaves "
     "Cryptosporidium.",
     "Boil what is drunk."},
    {"asserted", ALERT_NOTICE, 0, OVER_BOARD, asserted,
     "Potable on your word only%m: %w. Nothing measured says so.",
     "Fill from a supplied source, or treat and log what you measured."},
    {"sanitise-due", ALERT_CAUTION, ALERT_IN_DUE, OVER_VESSELS, sanitise_due,
     "%a is due for sanitising since %w.", "Empty it, sanitise it, and log it."},
    {"sanitise-soon", ALERT_NOTICE, ALERT_IN_DUE, OVER_VESSELS, sanitise_soon,
     "%a is due for sanitising on %w.", "Plan it for when the vessel is empty."},
    {"never-sanitised", ALERT_NOTICE, 0, OVER_VESSELS, never_sanitised,
     "%a has never been sanitised, as far as the log tells.",
     "Sanitise it when it is empty, and log it."},
    {"sanitise-put-off", ALERT_NOTICE, 0, OVER_VESSELS, sanitise_put_off,
     "Sanitising %a is put off to %w.", "Do it sooner if you can, and log it."},
    {"water-put-off", ALERT_NOTICE, 0, OVER_VESSELS, water_put_off,
     "Changing the water of %a is put off to %w.", "Use it for washing until then."},
    {"stage-due-no-spare", ALERT_WARNING, 0, OVER_STAGES, stage_due_bare,
     "%a is due and NO SPARE is known to be aboard.",
     "Get one now; until then do not rely on this stage."},
    {"stage-due", ALERT_CAUTION, ALERT_IN_DUE, OVER_STAGES, stage_due, "%a is due.",
     "Swap it and log the swap."},
    {"stage-soon-no-spare", ALERT_CAUTION, ALERT_IN_DUE, OVER_STAGES, stage_soon_bare,
     "%a is due soon, %w, and no spare is known to be aboard.", "Get one before then."},
    {"stage-soon", ALERT_NOTICE, ALERT_IN_DUE, OVER_STAGES, stage_soon, "%a is due soon, %w.",
     "Keep its spare at hand."},
    {"stage-due-put-off", ALERT_NOTICE, 0, OVER_STAGES, stage_due_put_off,
     "%a is due; its swap is put off to %w.", "Until then do not rely on this stage."},
    {"stage-put-off", ALERT_NOTICE, 0, OVER_STAGES, stage_put_off,
     "The swap of %a is put off to %w.", "Have its spare aboard by then."},
    {"flow-fell", ALERT_CAUTION, 0, OVER_LINES, flow_fell,
     "The flow of %a has fallen to %w %% of that after the last swap, at the same pressure%m.",
     "Look at the sediment stage; swap it if it is clogged."},
    {"frost", ALERT_CAUTION, 0, OVER_LINES, frost, "%a was %w%b.",
     "Drain first the %t. ullage reckon freeze tells the rest."},
    {"meter-off", ALERT_CAUTION, 0, OVER_LINES, meter_off,
     "The meter of %a counts %w: more than chance.", "Calibrate it: ullage reckon meter."},
    {"sound-overdue", ALERT_NOTICE, ALERT_ASKS, OVER_LINES, sound_overdue,
     "The level of %a on %l has not been known %w%m.", "Sound it."},
    {"leak", ALERT_CAUTION, ALERT_DIFFERS, OVER_BOARD, leaking, "%w%m: a leak?",
     "Look for it. Where it was used or spilt, settle the entry."},
    {"discrepancy", ALERT_CAUTION, ALERT_DIFFERS, OVER_BOARD, discrepant,
     "%w with the rest of the log.", "Correct each (void, then log it right), or settle it."},
    {"clock", ALERT_CAUTION, 0, OVER_BOARD, clock_behind,
     "The log's latest entry is of %w by this clock.",
     "Set the clock, or void what was entered while it was ahead."},
    {"crew-unknown", ALERT_NOTICE, 0, OVER_BOARD, crew_unknown,
     "Nobody has said how many are aboard.", "Log the crew."},
};

static int scope_count(const Board *board, Scope scope)
{
    switch (scope) {
    case OVER_VESSELS:
        return board->vessel_count;
    case OVER_LINES:
        return board->line_count;
    case OVER_STAGES:
        return board->stage_count;
    case OVER_STOPS:
        return board->stop_count;
    case OVER_BOARD:
        break;
    }
    return 1;
}

static void sentence(Str *out, const char *form, const Finding *f)
{
    for (const char *c = form; *c != '\0'; c++) {
        if (c[0] != '%') {
            str_addc(out, *c);
            continue;
        }
        c++;
        if (*c == 'a')
            str_adds(out, f->about->s);
        else if (*c == 'b')
            str_adds(out, f->others);
        else if (*c == 't')
            str_adds(out, f->or_else);
        else if (*c == 'l')
            str_adds(out, f->place->s);
        else if (*c == 'w')
            str_adds(out, f->words);
        else if (*c == 'm')
            str_adds(out, f->more);
        else
            str_addc(out, *c);
    }
}

static void alert_add(Board *board, const Rule *rule, const Finding *f)
{
    if (board->alert_count == BOARD_ALERTS_MAX)
        return;
    Alert *alert = &board->alerts[board->alert_count++];
    alert->level = rule->level;
    if (f->about != NULL)
        alert->about = *f->about;
    alert->id = rule->id;
    alert->flags = rule->flags;
    Str text = {0};
    sentence(&text, rule->says, f);
    str_addc(&text, ' ');
    sentence(&text, rule->todo, f);
    /* Cut where it must be at a whole character: labels are UTF-8. */
    size_t n = 0;
    for (size_t at = 0; at < text.n; n = at) {
        text_next(text_slice(text.s, text.n), &at);
        if (at >= sizeof alert->text)
            break;
    }
    memcpy(alert->text, text.s, n);
    alert->text[n] = '\0';
    str_finish(&text);
}

void advice_give(Board *board)
{
    board->alert_count = 0;
    for (int level = ALERT_WARNING; level >= (int)ALERT_NOTICE; level--)
        for (size_t r = 0; r < sizeof rules / sizeof rules[0]; r++) {
            const Rule *rule = &rules[r];
            const int n = (int)rule->level == level ? scope_count(board, rule->scope) : 0;
            for (int i = 0; i < n; i++) {
                Finding finding = {0};
                if (rule->applies(board, i, &finding))
                    alert_add(board, rule, &finding);
            }
        }
}
