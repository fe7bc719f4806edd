/* How much there is, and whether it lasts: the reserve, stops ahead and passed. */
#include "outlook/advice_private.h"

#include "outlook/plan.h"
#include "outlook/words.h"

#include <math.h>
#include <stdio.h>

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
/* Or is that only expected, with what nobody logged? */
static bool low_as_logged(const Board *board)
{
    return (double)board->supply.line / 1000 < LOW_SHARE * plan_full_litres(board, PLACE_LINE);
}

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
        snprintf(f->words, sizeof f->words, "%s under a tenth of what it holds",
                 low_as_logged(board) ? "is" : "may be");
    return odds < ODDS_ENOUGH_PER_CENT || board->line_share < LOW_SHARE;
}

static bool stop_passed(const Board *board, int i, Finding *f)
{
    char when[64];
    (void)i;
    if (!moment_known((Moment){board->passed.eta}))
        return false;
    f->about = &board->passed.label;
    snprintf(f->words, sizeof f->words, "%s",
             moment_print_local((Moment){board->passed.eta}, board->now, when));
    return true;
}

/* ---- water that runs on ---- */

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

/* The latest loss that nobody's use explains. */
static bool leaking(const Board *board, int i, Finding *f)
{
    (void)i;
    const Discrepancy *latest = NULL;
    int count = 0;
    for (int d = 0; d < board->discrepancy_count; d++)
        if (board->discrepancies[d].kind == DISCREPANCY_LEAK) {
            latest = &board->discrepancies[d];
            count++;
        }
    if (latest == NULL)
        return false;
    char date[64], amount[32];
    f->about = &latest->name;
    snprintf(f->words, sizeof f->words, "%s were missing from %s on %s",
             volume_print((Volume){latest->amount}, board->units, amount), latest->name.s,
             moment_print_date((Moment){latest->at}, board->now, date));
    finding_more(f, count - 1);
    return true;
}

static const Rule advice_supply_rules[] = {
    {"run-long", ALERT_WARNING, ALERT_LOOK | ALERT_DIFFERS, OVER_BOARD, run_long,
     "Water ran at %a for over 20 minutes up to %w: a leak, or a tap left open?",
     "Shut the tap, or vent the line, and look; then settle it."},
    {"run-drip", ALERT_WARNING, ALERT_LOOK | ALERT_DIFFERS, OVER_BOARD, run_drip,
     "Water ran at %a in every quarter of an hour for 3 hours up to %w: a leak?",
     "Look for a drip; then settle it."},
    {"leak", ALERT_CAUTION, ALERT_LOOK | ALERT_DIFFERS, OVER_BOARD, leaking, "%w%m: a leak?",
     "Look for it. Where it was used or spilt, settle the entry."},
    {"reserve-in-use", ALERT_WARNING, 0, OVER_BOARD, reserve_in_use, "You are on the reserve.",
     "Save water and refill at the next good source."},
    {"reserve-short", ALERT_CAUTION, 0, OVER_BOARD, reserve_is_short,
     "The reserve is short: it is %w.", "Fill or renew it at the next good source."},
    {"stop-missed", ALERT_WARNING, 0, OVER_STOPS, stop_missed,
     "The water will hardly last to %a: the odds are %w.", "Use less, or find water before it."},
    {"stop-doubtful", ALERT_CAUTION, 0, OVER_STOPS, stop_doubtful,
     "The water may not last to %a: the odds are %w.",
     "Keep to the ration, or find water before it."},
    {"low-water", ALERT_CAUTION, ALERT_LOOK, OVER_BOARD, low_water, "The water on the line %w.",
     "Refill, or use less."},
    {"stop-passed", ALERT_NOTICE, ALERT_ASKS | ALERT_PASSED, OVER_BOARD, stop_passed,
     "%a was planned for %w: refilled?", "Log the fills, move the stop, or drop it."},
};
const Rules advice_supply = {advice_supply_rules,
                             (int)(sizeof advice_supply_rules / sizeof advice_supply_rules[0])};
