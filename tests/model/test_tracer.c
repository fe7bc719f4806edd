/* Foul water is followed through random logs by a book-keeping that shares nothing with the fold
 * but the levels: which vessels hold or were wetted by any of it since they were sanitised, and
 * which taps it reached. None of those may be called anything but non-potable. */
#include "model/fold.h"
#include "model/line.h"
#include "support/logbook.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum { LOGS = 1500, ENTRIES = 120 };

typedef struct {
    bool vessel[VESSEL_SLOTS], tap[LINES_MAX];
    int64_t tap_at[LINES_MAX], clean_at[VESSEL_SLOTS];
    State before, after;
} Tracer;

/* Water leaves by the tap out of the vessel at place k. */
static void flows(Tracer *t, int index, int k, int64_t at)
{
    const Line *line = &t->before.lines[index];
    bool foul = false;
    for (int j = k; j < line->count; j++) {
        foul = foul || t->vessel[line->order[j]];
        t->vessel[line->order[j]] = foul;
    }
    if (foul) {
        t->tap[index] = true;
        t->tap_at[index] = at;
    }
}

static void drawn(Tracer *t, int index, int64_t left, int64_t at)
{
    const Line *line = &t->before.lines[index];
    for (int k = 0; k < line->count && left > 0; k++) {
        const Vessel *v = &t->before.vessels[line->order[k]];
        if (v->volume <= v->heel)
            continue;
        flows(t, index, k, at);
        left -= v->volume - v->heel;
    }
}

static void found_missing(Tracer *t, int slot, int64_t at)
{
    const Vessel *v = &t->before.vessels[slot];
    if (v->line >= 0 && t->after.totals.unlogged > t->before.totals.unlogged)
        flows(t, v->line, v->position, at);
}

/* Downstream of the lead, water went into each vessel behind which more stands than before. */
static void pressed(Tracer *t, int index)
{
    const Line *line = &t->before.lines[index];
    for (int j = 1; j < line->count; j++) {
        int64_t grown = 0;
        for (int i = j; i < line->count; i++)
            grown +=
                t->after.vessels[line->order[i]].volume - t->before.vessels[line->order[i]].volume;
        if (grown > 0)
            t->vessel[line->order[j]] |= t->vessel[line->order[j - 1]];
    }
}

static void sanitised(Tracer *t, int slot, int64_t at)
{
    const Vessel *v = &t->before.vessels[slot];
    if (v->volume > v->heel)
        return;
    t->vessel[slot] = false;
    t->clean_at[slot] = at;
    if (v->line < 0)
        return;
    const Line *line = &t->before.lines[v->line];
    for (int i = 0; i < line->count; i++)
        if (t->clean_at[line->order[i]] <= t->tap_at[v->line])
            return;
    t->tap[v->line] = false;
}

static bool comes_in_foul(const Tracer *t, const FillEvent *fill, const Event *e)
{
    const Kind *kind = kind_of(KIND_FILL);
    if (event_has(e, kind_field(kind, text_of("class"))))
        return fill->quality == CLASS_NON_POTABLE;
    const int source = event_has(e, kind_field(kind, text_of("source")))
                           ? state_source(&t->before, &fill->source)
                           : -1;
    return source >= 0 && t->before.sources[source].quality == CLASS_NON_POTABLE;
}

static void poured(Tracer *t, const DecantEvent *decant)
{
    const int from = state_vessel(&t->before, &decant->from),
              to = state_vessel(&t->before, &decant->to);
    if (from >= 0 && to >= 0 && t->after.vessels[to].volume > t->before.vessels[to].volume)
        t->vessel[to] |= t->vessel[from];
}

/* Slots that were given to another vessel or line begin clean, a vessel with the class it is named
 * with. */
static void named(Tracer *t)
{
    for (int i = 0; i < t->after.vessel_count; i++) {
        if (label_equal(&t->before.vessels[i].label, &t->after.vessels[i].label) &&
            vessel_aboard(&t->before.vessels[i]) == vessel_aboard(&t->after.vessels[i]))
            continue;
        t->vessel[i] = t->after.vessels[i].quality == CLASS_NON_POTABLE;
        t->clean_at[i] = MOMENT_NONE_MS;
    }
    for (int i = 0; i < t->after.line_count; i++) {
        if (!label_equal(&t->before.lines[i].label, &t->after.lines[i].label)) {
            t->tap[i] = false;
            t->tap_at[i] = MOMENT_NONE_MS;
        }
    }
}

static void trace(Tracer *t, const Event *e)
{
    int slot, line;
    switch (e->kind) {
    case KIND_FILL:
        slot = state_vessel(&t->before, &e->u.fill.vessel);
        if (slot >= 0) {
            found_missing(t, slot, e->at.ms);
            t->vessel[slot] |= comes_in_foul(t, &e->u.fill, e);
        }
        break;
    case KIND_SOUND:
        slot = state_vessel(&t->before, &e->u.sound.vessel);
        if (slot >= 0)
            found_missing(t, slot, e->at.ms);
        break;
    case KIND_DRAW:
        line = label_empty(&e->u.draw.line) ? -1 : state_line(&t->before, &e->u.draw.line);
        if (line >= 0)
            drawn(t, line, e->u.draw.litres, e->at.ms);
        break;
    case KIND_DECANT:
        poured(t, &e->u.decant);
        break;
    case KIND_PRESSURISE:
        line = state_line(&t->before, &e->u.pressurise.line);
        if (line >= 0)
            pressed(t, line);
        break;
    case KIND_SANITISE:
        slot = state_vessel(&t->before, &e->u.name.name);
        if (slot >= 0)
            sanitised(t, slot, e->at.ms);
        break;
    default:
        named(t);
    }
}

/* Returns how many vessels and taps are foul. */
static int assert_told(const Tracer *t, unsigned seed, size_t n)
{
    const State *s = &t->after;
    int foul = 0;
    for (int i = 0; i < s->vessel_count; i++) {
        if (!t->vessel[i] || !vessel_aboard(&s->vessels[i]))
            continue;
        foul++;
        if (s->vessels[i].quality != CLASS_NON_POTABLE)
            fail_msg("seed %u, entry %zu: %s was wetted by foul water and is called %s", seed, n,
                     s->vessels[i].label.s, quality_name((Quality)s->vessels[i].quality));
    }
    for (int i = 0; i < s->line_count; i++) {
        Quality quality;
        if (!t->tap[i] || !line_delivers(s, &s->lines[i], &quality))
            continue;
        foul++;
        if (quality != CLASS_NON_POTABLE)
            fail_msg("seed %u, entry %zu: foul water reached the tap of %s, and it is called %s",
                     seed, n, s->lines[i].label.s, quality_name(quality));
    }
    return foul;
}

static int follow(Tracer *t, const Event *events, unsigned seed)
{
    int foul = 0;
    memset(t, 0, sizeof *t);
    state_init(&t->before);
    for (int i = 0; i < LINES_MAX; i++)
        t->tap_at[i] = MOMENT_NONE_MS;
    for (int i = 0; i < VESSEL_SLOTS; i++)
        t->clean_at[i] = MOMENT_NONE_MS;
    for (size_t n = 0; n < ENTRIES; n++) {
        t->after = t->before;
        fold_apply(&t->after, &events[n]);
        trace(t, &events[n]);
        foul += assert_told(t, seed, n);
        t->before = t->after;
    }
    return foul;
}

static void foul_water_is_never_called_potable_nor_is_a_tap_that_it_reached(void **state)
{
    (void)state;
    Tracer *t = malloc(sizeof *t);
    Event *events = malloc(ENTRIES * sizeof *events);
    State *end = malloc(sizeof *end);
    int foul = 0;
    for (unsigned seed = 0; seed < LOGS; seed++) {
        Dice dice = {UINT64_C(0x70a20000) + seed};
        (seed % 2 == 0 ? dice_legal : dice_wild)(&dice, events, ENTRIES, end);
        foul += follow(t, events, seed);
    }
    assert_true(foul > 10 * LOGS); /* it was there to be followed */
    free(end);
    free(events);
    free(t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(foul_water_is_never_called_potable_nor_is_a_tap_that_it_reached),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
