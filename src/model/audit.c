#include "model/audit.h"

#include <string.h>

/* The first byte is, and each is like the one before it. */
static bool all_zero(const void *block, size_t size)
{
    const unsigned char *bytes = block;
    return size == 0 || (bytes[0] == 0 && memcmp(bytes, bytes + 1, size - 1) == 0);
}

static const char *vessel_audit(const State *state, int slot)
{
    const Vessel *v = &state->vessels[slot];
    if (label_empty(&v->label))
        return "a vessel without a label";
    if (state_vessel_ever(state, &v->label) != slot)
        return "two vessels of one label";
    if (v->volume < 0)
        return "a level below zero";
    if (v->volume > v->capacity)
        return "a level past the brim";
    if (v->capacity <= 0 || v->heel < 0 || v->heel > v->capacity)
        return "a capacity or heel that can't be";
    if (v->quality >= CLASS_COUNT || v->duty > DUTY_STORE)
        return "a class or duty that is none";
    if (v->unlogged < 0 || v->gained < 0)
        return "unlogged use or gains below zero";
    if (!vessel_aboard(v) && (v->volume != 0 || v->line != -1))
        return "a retired vessel with water or a line";
    if (v->marks > MARK_ALL)
        return "a mark of water that is none";
    if (v->volume == 0)
        return v->mean_fill == 0 && v->oldest_fill == MOMENT_NONE_MS
                   ? NULL
                   : "an empty vessel with an age";
    /* a millisecond for the rounding of the mean */
    if (!(v->mean_fill >= (double)v->oldest_fill - 1) ||
        !(v->mean_fill <= (double)state->last_at + 1))
        return "water older than its oldest, or younger than the last entry";
    return NULL;
}

static const char *line_audit(const State *state, int index)
{
    const Line *line = &state->lines[index];
    if (line->count < 0 || line->strangers < 0 ||
        line->count > VESSELS_ABOARD_MAX - line->strangers)
        return "a line with too many vessels";
    for (int i = 0; i < VESSELS_ABOARD_MAX; i++) {
        if (i >= line->count) {
            if (line->order[i] != 0)
                return "an unused place on a line that is not zero";
            continue;
        }
        if (line->order[i] < 0 || line->order[i] >= state->vessel_count)
            return "a line that names no vessel";
        const Vessel *v = &state->vessels[line->order[i]];
        if (v->line != index || v->position != i || !vessel_aboard(v))
            return "a line and its vessel do not agree";
    }
    return line->drawn < 0 || line->meter_drawn > line->drawn ? "a line that drew less than nothing"
                                                              : NULL;
}

static const char *source_audit(const Source *s)
{
    if ((s->quality >= CLASS_COUNT && s->quality != SOURCE_UNKNOWN_CLASS) ||
        (s->was >= CLASS_COUNT && s->was != SOURCE_UNKNOWN_CLASS) || s->type > SOURCE_OTHER)
        return "a source of a class or type that is none";
    return s->fills < 0 || s->taken < 0 || s->leaning.fills < 0 || s->leant.fills < 0
               ? "a source that gave less than nothing"
               : NULL;
}

static const char *slots_audit(const State *s)
{
    if (s->vessel_count < 0 || s->vessel_count > VESSEL_SLOTS || s->line_count < 0 ||
        s->line_count > LINES_MAX || s->stage_count < 0 || s->stage_count > STAGES_MAX ||
        s->source_count < 0 || s->source_count > SOURCES_MAX || s->stop_count < 0 ||
        s->stop_count > STOPS_MAX || s->discrepancy_count < 0 ||
        s->discrepancy_count > DISCREPANCIES_MAX)
        return "more slots in use than there are";
#define UNUSED(array, count, max)                                                                  \
    all_zero((array) + (count), (size_t)((max) - (count)) * sizeof *(array))
    if (!UNUSED(s->vessels, s->vessel_count, VESSEL_SLOTS) ||
        !UNUSED(s->lines, s->line_count, LINES_MAX) ||
        !UNUSED(s->stages, s->stage_count, STAGES_MAX) ||
        !UNUSED(s->sources, s->source_count, SOURCES_MAX) ||
        !UNUSED(s->stops, s->stop_count, STOPS_MAX) ||
        !UNUSED(s->discrepancies, s->discrepancy_count, DISCREPANCIES_MAX))
        return "an unused slot that is not zero";
#undef UNUSED
    return NULL;
}

const char *state_audit(const State *state)
{
    const char *wrong = slots_audit(state);
    int64_t volume = 0, unlogged = 0;
    int aboard = 0;
    for (int i = 0; wrong == NULL && i < state->vessel_count; i++) {
        wrong = vessel_audit(state, i);
        volume += state->vessels[i].volume;
        unlogged += state->vessels[i].unlogged;
        aboard += vessel_aboard(&state->vessels[i]);
        const int on = state->vessels[i].line;
        const int place = state->vessels[i].position;
        if (on < -1 || on >= state->line_count || place < 0 || place >= VESSELS_ABOARD_MAX ||
            (on >= 0 && state->lines[on].order[place] != i))
            wrong = "a vessel and its line do not agree";
    }
    for (int i = 0; wrong == NULL && i < state->line_count; i++)
        wrong = line_audit(state, i);
    for (int i = 0; wrong == NULL && i < state->source_count; i++)
        wrong = source_audit(&state->sources[i]);
    for (int i = 0; wrong == NULL && i < state->stage_count; i++) {
        const Stage *stage = &state->stages[i];
        if (stage->line < 0 || stage->line >= state->line_count || stage->through_ml < 0 ||
            stage->spares < -1)
            wrong = "a stage that can't be";
    }
    if (wrong == NULL &&
        (state->use.logged.spans < 0 || state->use.unlogged.spans < 0 || state->use.crews < 0))
        wrong = "a rate that was taught less than nothing";
    if (wrong != NULL)
        return wrong;
    const Totals *t = &state->totals;
    if (t->named < 0 || t->filled < 0 || t->gained < 0 || t->drawn < 0 || t->dumped < 0 ||
        t->unlogged < 0 || t->retired < 0)
        return "a total below zero";
    if (volume !=
        t->named + t->filled + t->gained - t->drawn - t->dumped - t->unlogged - t->retired)
        return "volume is not conserved";
    if (state->vessel_count < VESSEL_SLOTS && unlogged != t->unlogged)
        return "unlogged use of the vessels is not that of all";
    return aboard > VESSELS_ABOARD_MAX ? "too many vessels aboard" : NULL;
}
