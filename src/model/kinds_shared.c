/* What the kinds share: names that are not there, water and levels of a vessel. */
#include "base/whole.h"
#include "model/kinds_private.h"
#include "model/line.h"

#include <string.h>

const char *const class_words[] = {"potable", "questionable", "non-potable", NULL};

char *litres(int64_t ml, char *out)
{
    char *end = out + strlen(thousandths_print(ml, out));
    memcpy(end, " L", sizeof " L");
    return out;
}

static const char *name_noun(Names names)
{
    static const char *const nouns[] = {"thing", "vessel", "line", "stage", "source", "stop"};
    return nouns[names];
}

bool refuse_unknown(const State *state, Names names, const Label *label, Fault *fault)
{
    const char *noun = name_noun(names);
    if (names == NAMES_VESSEL && state_vessel_ever(state, label) >= 0)
        return fault_set(fault, FAULT_REFUSED,
                         "Vessel '%s' is retired. Name it again with 'vessel %s' to have it back.",
                         label->s, label->s);
    Nearest near = {.asked = text_of(label->s)};
    const Label *name;
    for (int i = 0; (name = state_name(state, names, i)) != NULL; i++)
        if (names != NAMES_VESSEL || vessel_aboard(&state->vessels[i]))
            nearest_offer(&near, name->s);
    if (near.name != NULL)
        return fault_set(fault, FAULT_REFUSED, "There is no %s '%s'. Did you mean '%s'?", noun,
                         label->s, near.name);
    Str known = {0};
    int shown = 0;
    for (int i = 0; (name = state_name(state, names, i)) != NULL && shown < 16; i++) {
        if (names == NAMES_VESSEL && !vessel_aboard(&state->vessels[i]))
            continue;
        str_addf(&known, "%s%s", shown++ == 0 ? "" : ", ", name->s);
    }
    if (shown == 0)
        fault_set(fault, FAULT_REFUSED, "There is no %s '%s': no %s has been named yet.", noun,
                  label->s, noun);
    else
        fault_set(fault, FAULT_REFUSED, "There is no %s '%s'. Known: %s.", noun, label->s, known.s);
    str_finish(&known);
    return false;
}

bool must_exist(const State *state, Names names, const Label *label, Fault *fault)
{
    return state_find(state, names, label) >= 0 || refuse_unknown(state, names, label, fault);
}

bool vouched_for(const Vessel *vessel, const char *what, Fault *fault)
{
    return (vessel->marks & MARK_FOUND) == 0 ||
           fault_set(
               fault, FAULT_REFUSED,
               "A test found coliforms in %s, and nobody's word ends that. %s, or dump it and "
               "sanitise the vessel.",
               vessel->label.s, what);
}

Vessel *vessel_or_discrepancy(State *state, const Event *e, const Label *label)
{
    const int i = state_vessel(state, label);
    if (i < 0) {
        state_discrepancy(state, e, DISCREPANCY_NO_SUCH, label, 0);
        return NULL;
    }
    return &state->vessels[i];
}

int stage_or_discrepancy(State *state, const Event *e, const Label *label)
{
    const int i = state_stage(state, label);
    if (i < 0)
        state_discrepancy(state, e, DISCREPANCY_NO_SUCH, label, 0);
    return i;
}

int line_or_discrepancy(State *state, const Event *e, const Label *label)
{
    const int i = state_line(state, label);
    if (i < 0)
        state_discrepancy(state, e, DISCREPANCY_NO_SUCH, label, 0);
    return i;
}

void water_in(Vessel *vessel, int64_t ml, double mean, int64_t oldest, Water water)
{
    vessel->quality = (uint8_t)quality_worst((Quality)vessel->quality, water.quality);
    vessel->marks |= water.marks;
    if (ml <= 0)
        return;
    vessel->tested = 0;
    const double had = (double)vessel->volume;
    const double in = (double)ml;
    if (vessel->volume == 0) {
        vessel->mean_fill = mean;
        vessel->oldest_fill = oldest;
    } else {
        vessel->mean_fill += (mean - vessel->mean_fill) * (in / (had + in));
        vessel->oldest_fill = int64_smaller(vessel->oldest_fill, oldest);
    }
    vessel->volume += ml;
}

/* Would a draw have come out of this vessel? Only then does "nothing missing" say something about
 * use: a vessel downstream of the lead holds its level, a reserve or store stands sealed. */
static bool is_drawn_from(const State *state, const Vessel *vessel)
{
    if (vessel->line < 0)
        return vessel->duty == DUTY_LINE;
    const Line *line = &state->lines[vessel->line];
    const int lead = line_lead(state, line);
    return lead >= 0 && &state->vessels[line->order[lead]] == vessel;
}

void line_known(Line *line, int64_t at)
{
    line->known_at = at;
    line->known_found = 0;
}

void line_filled(State *state, const Event *e, const Vessel *vessel)
{
    if (vessel->line >= 0 && line_brimful(state, &state->lines[vessel->line]))
        line_known(&state->lines[vessel->line], e->at.ms);
}

void level_known(State *state, const Event *e, Vessel *vessel)
{
    if (vessel->line >= 0) {
        Line *line = &state->lines[vessel->line];
        const int lead = line_lead(state, line);
        /* with nothing left on the line there is nothing that could have been missed */
        if (lead < 0 || &state->vessels[line->order[lead]] == vessel)
            line_known(line, e->at.ms);
    }
    vessel->known_at = e->at.ms;
    vessel->metered = 0;
}

void level_corrected(State *state, Vessel *vessel, int64_t level)
{
    const int64_t missing = vessel->volume - level;
    vessel_lower(vessel, missing);
    vessel->unlogged += missing;
    state->totals.unlogged += missing;
}

/* What nobody logged left by the road that a draw takes. */
static void level_lower(State *state, Vessel *vessel, int64_t missing)
{
    if (vessel->line >= 0) {
        line_leave(state, vessel->line, vessel->position, missing);
        state->lines[vessel->line].known_found += missing;
    } else
        vessel_lower(vessel, missing);
    vessel->unlogged += missing;
    state->totals.unlogged += missing;
}

/* What a stick can err by: half a litre or a twentieth of the capacity (common practice, no
 * source). */
int64_t stick_error(const Vessel *vessel)
{
    return int64_larger(vessel->capacity / 20, 500);
}

/* More than a stick can err by, or any in a vessel that gave its last at the heel, is water that
 * nobody logged: of an unknown source. Small gains add up: only what was filled since brings an
 * error of its own. */
static bool gain_is_same(const Vessel *vessel, int64_t gain)
{
    return vessel_usable(vessel) > 0 && vessel->gained + gain <= stick_error(vessel);
}

/* A sealed vessel that falls again by no more than the stick's error never rose: over a season of
 * soundings the errors of both signs would make the best of reserves questionable. */
static void gain_back(Vessel *vessel, int64_t missing)
{
    vessel->gained = int64_larger(vessel->gained - missing, 0);
}

/* Its age is taken to be that of what was there; what tests said of it holds, where it is the same.
 */
static void level_raise(State *state, const Event *e, Vessel *vessel, int64_t gain)
{
    const bool was_empty = vessel->volume == 0, same = gain_is_same(vessel, gain);
    const uint8_t tested = same ? vessel->tested : 0;
    const Water water = {(Quality)vessel->quality, vessel->marks};
    water_in(vessel, gain, was_empty ? (double)e->at.ms : vessel->mean_fill,
             was_empty ? e->at.ms : vessel->oldest_fill, same ? water : WATER_UNKNOWN);
    vessel->tested = tested;
    vessel->gained += gain;
    state->totals.gained += gain;
    state_discrepancy(state, e, DISCREPANCY_GAIN, &vessel->label, gain);
}

void unknown_met(Vessel *vessel)
{
    water_in(vessel, 0, 0, 0, WATER_UNKNOWN);
    vessel->tested = 0;
}

/* Is so much more than a stick can err by, with the gains before? It counts as one. */
static bool lack_tells(Vessel *vessel, int64_t ml)
{
    vessel->gained += ml;
    return vessel->gained > stick_error(vessel);
}

void vessel_lacked(Vessel *vessel, int64_t ml)
{
    if (ml > 0 && lack_tells(vessel, ml))
        unknown_met(vessel);
}

void line_lacked(State *state, int index, int k, int64_t ml)
{
    const Line *line = &state->lines[index];
    if (ml == 0)
        return;
    line_passed(state, index, ml);
    if (k >= line->count || !lack_tells(&state->vessels[line->order[line->count - 1]], ml))
        return;
    unknown_met(&state->vessels[line->order[k]]);
    line_wetted(state, index, k);
}

/* A reserve or store vessel that is not coupled stands sealed. */
static bool is_sealed(const Vessel *vessel)
{
    return vessel->line < 0 && (vessel->duty == DUTY_RESERVE || vessel->duty == DUTY_STORE);
}

/* Does nobody draw from it? Sealed, or with nobody aboard since the level was known. What is
 * missing then is no use. */
static bool is_untouched(const State *state, const Vessel *vessel, int64_t at)
{
    return is_sealed(vessel) ||
           (vessel->known_at < at && !use_aboard(&state->use, vessel->known_at, at));
}

/* Within half a day of a reading a night may lie, in which nothing ran (common practice, no
 * source). */
#define METER_STILL_MS (12 * MS_PER_HOUR)

/* A sounding found `missing` more gone (less: negative) than was reckoned, on a line with a meter:
 * evidence of what its litres are worth. Before the level is put right. */
static void meter_checked(State *state, const Event *e, Vessel *vessel, int64_t missing)
{
    if (vessel->line < 0 || vessel->metered <= 0)
        return;
    Line *line = &state->lines[vessel->line];
    if (line->meter_at == MOMENT_NONE_MS)
        return;
    const int64_t since = e->at.ms - line->meter_at, stick = stick_error(vessel);
    const int64_t usual = stick + vessel->metered * METER_ERROR_PER_CENT / 100;
    const int64_t apart = int64_larger(missing, -missing);
    if (since > METER_STILL_MS || (since > METER_TOGETHER_MS && apart > usual))
        return; /* some of it may have left since the reading, and will be counted */
    line->checked += vessel->metered;
    line->check_found += missing;
    line->check_variance += stick * stick / 2; /* begin and end, each half the stick's error */
    if (missing > 0)
        line->meter_drawn += missing; /* it is no part of what the meter counts next */
}

/* What is missing teaches the use; false: ordinary use does not explain it. Where water came in that
 * nobody logged, nobody knows how much went out. */
static bool loss_teaches(State *state, const Event *e, const Vessel *vessel, int64_t missing)
{
    const int64_t error = stick_error(vessel);
    if (missing >= -error)
        return use_missing(&state->use, vessel->known_at, e->at.ms, e->zone, missing, error);
    use_unknown(&state->use, e->at.ms, e->zone);
    return true;
}

void level_found(State *state, const Event *e, Vessel *vessel, int64_t level)
{
    const int64_t missing = vessel->volume - level;
    const bool drawn_from = is_drawn_from(state, vessel);
    const bool untouched = is_untouched(state, vessel, e->at.ms);
    const bool teaches = vessel->duty != DUTY_WASH && !untouched && (missing != 0 || drawn_from);
    meter_checked(state, e, vessel, missing);
    if (missing > 0) {
        level_lower(state, vessel, missing);
        if (is_sealed(vessel) && missing <= stick_error(vessel))
            gain_back(vessel, missing);
    } else if (missing < 0)
        level_raise(state, e, vessel, -missing);
    const bool explained = teaches ? loss_teaches(state, e, vessel, missing)
                                   : !untouched || missing <= stick_error(vessel);
    if (!explained)
        state_discrepancy(state, e, DISCREPANCY_LEAK, &vessel->label, missing);
    if (vessel->line >= 0 && drawn_from)
        line_known(&state->lines[vessel->line], e->at.ms);
    vessel->known_at = e->at.ms;
    vessel->metered = 0;
}

Source *source_ensure(State *state, const Label *label, int64_t at)
{
    int i = state_source(state, label);
    if (i < 0) {
        if (state->source_count < SOURCES_MAX) {
            i = state->source_count++;
        } else {
            i = 0;
            for (int j = 1; j < SOURCES_MAX; j++) {
                const bool bad = state->sources[j].quality == CLASS_NON_POTABLE;
                const bool worst = state->sources[i].quality == CLASS_NON_POTABLE;
                if (bad != worst ? worst : state->sources[j].used_at < state->sources[i].used_at)
                    i = j;
            }
        }
        state->sources[i] =
            (Source){.label = *label, .type = SOURCE_OTHER, .quality = SOURCE_UNKNOWN_CLASS};
    }
    state->sources[i].used_at = at;
    return &state->sources[i];
}
