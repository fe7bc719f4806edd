/* What can harm: pressure, what tests found, what the tap delivers or is about to. */
#include "outlook/advice_private.h"

#include "outlook/words.h"

#include <stdio.h>
#include <string.h>

/* ---- pressure ---- */

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

/* Why a train that was declared purifying is none. A stage that is due says so by itself. */
static void train_tell(const BoardLine *line, Finding *f)
{
    const char *stage = line->train_stage.s;
    switch (line->train) {
    case TRAIN_PURIFIES:
    case TRAIN_UNDECLARED:
    case TRAIN_LIFE_OVER:
        return;
    case TRAIN_LIFE_UNKNOWN:
        snprintf(f->words, sizeof f->words, ", for %s has no stated life", stage);
        return;
    case TRAIN_TOO_FAST:
        snprintf(f->words, sizeof f->words, ", for it ran faster than %s is rated for", stage);
        return;
    case TRAIN_UNRATED:
        snprintf(f->words, sizeof f->words, ", for its flow was tested and %s has no rated flow",
                 stage);
        return;
    case TRAIN_NO_BARRIER:
        snprintf(f->words, sizeof f->words, ", for its train has no lamp and no membrane");
        return;
    }
}

static bool delivers_questionable(const Board *board, int i, Finding *f)
{
    train_tell(&board->lines[i], f);
    return line_delivers_class(board, i, CLASS_QUESTIONABLE, false, f);
}

static bool delivers_treated(const Board *board, int i, Finding *f)
{
    return line_delivers_class(board, i, CLASS_QUESTIONABLE, true, f);
}

/* From the lead on, the place behind the last vessel of that class that worse water would run into;
 * 0: into none. */
static int spoilt_to(const Board *board, const BoardLine *line, int lead, Quality from)
{
    bool worse = false;
    int to = 0;
    for (int j = lead; j < line->count; j++) {
        const Quality is = board->vessels[line->vessels[j]].quality;
        worse = worse || is > from;
        if (worse && is == from)
            to = j + 1;
    }
    return to;
}

/* Those at fault are named twice: where that leaves no room for what to do, they are counted. */
static void fault_tell(Finding *f, const Label *worse, int count)
{
    enum { THE_REST = 160 }; /* bytes of the sentence without its names */
    vessels_tell(worse, count, f->others, sizeof f->others);
    if (THE_REST + strlen(f->about->s) + strlen(f->place->s) + 2 * strlen(f->others) >= BOARD_TEXT)
        snprintf(f->others, sizeof f->others, "%d worse vessels", count);
}

/* A vessel downstream of worse water takes its class with the first millilitre drawn. The vessels
 * upstream of the lead are spent and pass air only; the worst class from the lead on counts. All
 * that are worse than any that they would spoil are at fault. */
static bool upstream_worse(const Board *board, int i, Quality from, Finding *f)
{
    const BoardLine *line = &board->lines[i];
    Label worse[VESSELS_ABOARD_MAX];
    Quality worst = from;
    int lead = 0, found = 0, count = 0;
    while (lead < line->count && line->vessels[lead] != line->lead)
        lead++;
    const int to = spoilt_to(board, line, lead, from);
    for (int j = lead; j < to; j++) {
        const BoardVessel *v = &board->vessels[line->vessels[j]];
        if (v->quality > from) {
            worse[count++] = v->label;
            worst = quality_worst(worst, v->quality);
        } else if (v->quality == from && count > 0 && found++ == 0)
            f->about = &v->label;
    }
    f->place = &line->label;
    snprintf(f->words, sizeof f->words, "%s", quality_name(worst));
    f->or_else = worst == CLASS_QUESTIONABLE ? ", or treat what they hold" : "";
    if (found > 0)
        fault_tell(f, worse, count);
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

static bool no_potable(const Board *board, int i, Finding *f)
{
    (void)i;
    (void)f;
    return board->vessel_count > 0 && board->supply.by_class[CLASS_POTABLE] == 0;
}

static bool unread(const Board *board, int i, Finding *f)
{
    (void)i;
    snprintf(f->words, sizeof f->words, "%lld entr%s", (long long)board->unread,
             board->unread == 1 ? "y" : "ies");
    return board->unread > 0;
}

/* ---- what tests found ---- */

static bool has_found(const BoardVessel *v, bool non_potable)
{
    return (v->marks & MARK_FOUND) != 0 && v->volume > 0 &&
           (v->quality == CLASS_NON_POTABLE) == non_potable;
}

static bool has_ecoli(const BoardVessel *v)
{
    return (v->marks & MARK_ECOLI) != 0 && has_found(v, false);
}

static bool has_coliforms_only(const BoardVessel *v)
{
    return (v->marks & MARK_ECOLI) == 0 && has_found(v, false);
}

/* No boiling makes it fit to drink (domain 3.4). */
static bool has_found_besides(const BoardVessel *v)
{
    return has_found(v, true);
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

/* Is it to be boiled all the same, by whoever may have the nitrate? */
static bool boils_with_nitrate(const BoardVessel *v)
{
    return has_nitrate(v) && (v->quality == CLASS_QUESTIONABLE || v->tainted);
}

static bool ecoli_with_nitrate(const BoardVessel *v)
{
    return has_nitrate(v) && has_ecoli(v);
}

static bool non_potable_found(const Board *board, int i, Finding *f)
{
    (void)i;
    return vessels_such(board, has_found_besides, f);
}

static bool nitrate_found(const Board *board, int i, Finding *f)
{
    (void)i;
    Finding unused = {0};
    f->or_else = vessels_such(board, ecoli_with_nitrate, &unused)
                     ? "; but E. coli was found too: others boil first"
                 : vessels_such(board, boils_with_nitrate, &unused)
                     ? "; but it is in doubt: others boil first"
                     : "";
    return vessels_such(board, has_nitrate, f);
}

/* Found at the tap, with nothing of it left in the vessels. */
static bool tap_found(const Board *board, int i, Finding *f)
{
    const BoardLine *line = &board->lines[i];
    f->about = &line->label;
    f->or_else =
        line->doubt.fouled || line->quality == CLASS_NON_POTABLE ? "do not drink it" : "boil first";
    snprintf(f->words, sizeof f->words, "%s", found_name(line->doubt.marks & MARK_FOUND));
    for (int v = 0; v < line->count; v++)
        if ((board->vessels[line->vessels[v]].marks & MARK_FOUND) != 0)
            return false;
    return f->words[0] != '\0';
}

static bool is_tainted(const BoardVessel *v)
{
    return v->tainted;
}

static bool source_found(const Board *board, int i, Finding *f)
{
    (void)i;
    f->about = &board->tainted;
    f->or_else = (board->tainted_marks & MARK_ECOLI) != 0 ? "E. coli was" : "coliforms were";
    return vessels_such(board, is_tainted, f);
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
    return v->volume > 0 && !v->washes &&
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

static const Rule advice_harm_rules[] = {
    {"unread", ALERT_WARNING, 0, OVER_BOARD, unread,
     "%w of the log can't be read, and what that changed is not known: all water that was aboard "
     "then counts as questionable.",
     "Sound the vessels; ullage verify names what can't be read."},
    {"above-rated", ALERT_WARNING, 0, OVER_VESSELS, above_rated, "%a is rated for %w.",
     "Vent the line and lower the regulator, or take the vessel off it."},
    {"takes-no-pressure", ALERT_WARNING, GROUPED, OVER_VESSELS, can_under_air,
     "%a %{takes|take} no pressure, and %{is|are} coupled in %l.",
     "Take %{it|them} off before air is put on. Where none ever is, log: pressurise %l 0."},
    {"takes-no-pressure-vented", ALERT_CAUTION, GROUPED, OVER_VESSELS, can_on_vented_line,
     "%a %{takes|take} no pressure, and %{is|are} coupled in %l.",
     "Put no air on the line while %{it is|they are}."},
    {"ecoli", ALERT_WARNING, 0, OVER_BOARD, ecoli_found, "E. coli was found in %w%m: boil first.",
     "Dump it, sanitise what it wetted, fill again and test again."},
    {"coliforms", ALERT_WARNING, 0, OVER_BOARD, coliforms_found,
     "Coliforms were found in %w%m: boil first.",
     "Dump it, sanitise what it wetted, fill again and test again."},
    {"found-besides", ALERT_WARNING, 0, OVER_BOARD, non_potable_found,
     "Coliforms were found in %w%m, non-potable besides: boiling does not make it fit to drink.",
     "Dump it, and sanitise what it wetted."},
    {"tap-found", ALERT_WARNING, 0, OVER_LINES, tap_found, "%w at the tap of %a: %t.",
     "Sanitise every vessel of the line and its tap, then test again."},
    {"source-found", ALERT_WARNING, 0, OVER_BOARD, source_found,
     "Boil %w%m first: %t found at %a, and that water is from there.",
     "Or dump it; sanitise what it wetted, and test again."},
    {"nitrate", ALERT_WARNING, 0, OVER_BOARD, nitrate_found,
     "Nitrate above 10 mg/L as nitrogen in %w%m: not for infants under 12 months, nor their "
     "formula.",
     "Give them other water. Do not boil it: that concentrates nitrate%t."},
    {"residual-high", ALERT_CAUTION, ALERT_LOOK, OVER_VESSELS, residual_high,
     "Free chlorine in %a was %w, above the %t.",
     "Dilute it, or let it stand and test again, before it is drunk daily."},
    {"tap-residual-high", ALERT_CAUTION, ALERT_LOOK, OVER_LINES, tap_residual_high,
     "Free chlorine at the tap of %a was %w, above the %t.",
     "Dilute it, or let it stand and test again, before it is drunk daily."},
    {"residual-low", ALERT_CAUTION, ALERT_LOOK, OVER_VESSELS, residual_low,
     "Free chlorine in %a was %w: under 0.2 mg/L nothing protects stored water.",
     "Dose it and test after 30 minutes, or use it soon."},
    {"tap-residual-low", ALERT_CAUTION, ALERT_LOOK, OVER_LINES, tap_residual_low,
     "Free chlorine at the tap of %a was %w: under 0.2 mg/L nothing protects water that is kept.",
     "Use what is drawn at once; carbon takes chlorine out."},
    {"residual-faded", ALERT_NOTICE, ALERT_LOOK, OVER_VESSELS, residual_faded,
     "Free chlorine in %a, %w, may be under 0.2 mg/L by now.", "Test it again; dose it if it is."},
    {"delivers-non-potable", ALERT_WARNING, 0, OVER_LINES, delivers_non_potable,
     "%a delivers non-potable water: wash only.",
     "Do not drink it. Dump it, then sanitise every vessel that it wetted."},
    {"delivers-questionable", ALERT_WARNING, 0, OVER_LINES, delivers_questionable,
     "%a delivers questionable water: boil first%w.",
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
};
const Rules advice_harm = {advice_harm_rules,
                           (int)(sizeof advice_harm_rules / sizeof advice_harm_rules[0])};
