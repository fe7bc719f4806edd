/* What must hold of every log: thousands of random ones, legal (each entry accepted by fold_check)
 * and wild (accepted by nobody, as after a merge). The dice are seeded, so a failure comes again;
 * it names its seed. */
#include "model/audit.h"
#include "model/fold.h"
#include "model/line.h"
#include "model/pack.h"
#include "model/strike.h"
#include "model/supply.h"
#include "support/logbook.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum { LEGAL_LOGS = 2000, WILD_LOGS = 2000, ENTRIES = 90 };

typedef struct {
    Event events[ENTRIES * 3];
    size_t count;
    Dice dice;
    unsigned seed;
    State state, other, third;
} Trial;

static int trial_open(void **state)
{
    *state = calloc(1, sizeof(Trial));
    return *state == NULL;
}

static int trial_close(void **state)
{
    free(*state);
    return 0;
}

static void trial_legal(Trial *t, unsigned seed)
{
    t->seed = seed;
    t->dice = (Dice){UINT64_C(0x5eed0000) + seed};
    t->count = ENTRIES;
    dice_legal(&t->dice, t->events, t->count, &t->state);
}

static void trial_wild(Trial *t, unsigned seed)
{
    t->seed = seed;
    t->dice = (Dice){UINT64_C(0x171d0000) + seed};
    t->count = ENTRIES;
    dice_wild(&t->dice, t->events, t->count, &t->state);
}

static void assert_sound(const Trial *t, const State *state, size_t n)
{
    const char *wrong = state_audit(state);
    if (wrong != NULL)
        fail_msg("seed %u, entry %zu (%s): %s", t->seed, n,
                 kind_of((KindId)t->events[n].kind)->name, wrong);
}

/* ---- levels and volume ---- */

static void test_a_legal_log_keeps_every_level_and_millilitre(void **state)
{
    Trial *t = *state;
    int64_t filled = 0, drawn = 0, unlogged = 0, pressurised = 0;
    for (unsigned seed = 0; seed < LEGAL_LOGS; seed++) {
        trial_legal(t, seed);
        state_init(&t->other);
        for (size_t n = 0; n < t->count; n++) {
            fold_apply(&t->other, &t->events[n]);
            assert_sound(t, &t->other, n);
        }
        assert_true(state_equal(&t->state, &t->other));
        filled += t->state.totals.filled;
        drawn += t->state.totals.drawn;
        unlogged += t->state.totals.unlogged;
        for (int i = 0; i < t->state.line_count; i++)
            pressurised += t->state.lines[i].working_pa > 0;
    }
    /* the dice do move water, and in every way */
    assert_true(filled > INT64_C(10000) * LEGAL_LOGS);
    assert_true(drawn > INT64_C(4000) * LEGAL_LOGS);
    assert_true(unlogged > 0 && pressurised > LEGAL_LOGS / 20);
}

static void test_a_log_that_nobody_checked_keeps_them_too(void **state)
{
    Trial *t = *state;
    int64_t listed = 0;
    for (unsigned seed = 0; seed < WILD_LOGS; seed++) {
        trial_wild(t, seed);
        state_init(&t->other);
        for (size_t n = 0; n < t->count; n++) {
            fold_apply(&t->other, &t->events[n]);
            assert_sound(t, &t->other, n);
        }
        assert_true(state_equal(&t->state, &t->other));
        listed += t->state.discrepancy_count + t->state.discrepancy_lost;
    }
    assert_true(listed > INT64_C(5) * WILD_LOGS); /* and what could not be is listed */
}

/* An entry that fold_check accepts is done in full: what becomes a discrepancy then is only what a
 * measurement shows. */
static void test_what_was_accepted_is_done_without_a_discrepancy(void **state)
{
    Trial *t = *state;
    for (unsigned seed = 0; seed < LEGAL_LOGS / 2; seed++) {
        trial_legal(t, 300000 + seed);
        for (int i = 0; i < t->state.discrepancy_count; i++) {
            const Discrepancy *d = &t->state.discrepancies[i];
            if (d->kind != DISCREPANCY_METER_FEWER && d->kind != DISCREPANCY_GAIN &&
                d->kind != DISCREPANCY_LEAK)
                fail_msg("seed %u: a discrepancy of kind %d from an accepted %s", t->seed, d->kind,
                         kind_of((KindId)d->entry_kind)->name);
        }
    }
}

/* ---- class ---- */

/* Vessels that were there before `e` and are no worse known after it. */
static void assert_no_class_improved(const Trial *t, const State *before, const State *after,
                                     const Event *e)
{
    if (e->kind == KIND_SANITISE || e->kind == KIND_TREAT)
        return;
    for (int i = 0; i < before->vessel_count; i++)
        if (label_equal(&before->vessels[i].label, &after->vessels[i].label) &&
            after->vessels[i].quality < before->vessels[i].quality)
            fail_msg("seed %u: a %s improved the class of %s", t->seed,
                     kind_of((KindId)e->kind)->name, after->vessels[i].label.s);
}

static void test_nothing_but_sanitise_and_treat_improves_a_class(void **state)
{
    Trial *t = *state;
    int raised = 0;
    for (unsigned seed = 0; seed < 2 * LEGAL_LOGS; seed++) {
        if (seed % 2 == 0)
            trial_legal(t, 400000 + seed);
        else
            trial_wild(t, 400000 + seed);
        state_init(&t->other);
        for (size_t n = 0; n < t->count; n++) {
            t->third = t->other;
            fold_apply(&t->other, &t->events[n]);
            assert_no_class_improved(t, &t->third, &t->other, &t->events[n]);
            for (int i = 0; i < t->third.vessel_count; i++) {
                const Vessel *was = &t->third.vessels[i], *is = &t->other.vessels[i];
                if (is->quality >= was->quality)
                    continue;
                raised++; /* by one of the two: never non-potable by treatment, never full by
                             sanitising */
                assert_int_equal(is->quality, CLASS_POTABLE);
                if (t->events[n].kind == KIND_TREAT)
                    assert_int_equal(was->quality, CLASS_QUESTIONABLE);
                else
                    assert_true(was->volume <= was->heel);
            }
        }
    }
    assert_true(raised > 100);
}

/* ---- splitting ---- */

static void split(Dice *dice, int64_t whole, int parts, int64_t *out)
{
    for (int i = 0; i < parts; i++) {
        out[i] = i == parts - 1 ? whole : dice_from(dice, 0, whole);
        whole -= out[i];
    }
}

static void assert_same_but_for_rounding(const Trial *t, State *a, State *b)
{
    for (int i = 0; i < a->vessel_count; i++) {
        /* A mean fill time is some 1.8e12 ms: one ulp is 0.25 microseconds. */
        if (fabs(a->vessels[i].mean_fill - b->vessels[i].mean_fill) > 0.05)
            fail_msg("seed %u: %s is %.4f ms older when the draw is split", t->seed,
                     a->vessels[i].label.s, b->vessels[i].mean_fill - a->vessels[i].mean_fill);
        a->vessels[i].mean_fill = b->vessels[i].mean_fill = 0;
    }
    a->folded = b->folded = 0; /* there are more entries */
    if (!state_equal(a, b))
        fail_msg("seed %u: a split draw gives another state", t->seed);
}

static void test_a_draw_in_parts_gives_what_it_gives_at_once(void **state)
{
    Trial *t = *state;
    int split_over_leads = 0;
    for (unsigned seed = 0; seed < LEGAL_LOGS; seed++) {
        trial_legal(t, 500000 + seed);
        for (int i = 0; i < t->state.line_count; i++) {
            const Line *line = &t->state.lines[i];
            const int64_t usable = line_usable(&t->state, line);
            if (usable == 0)
                continue;
            Event draw;
            memset(&draw, 0, sizeof draw);
            event_clear(&draw, KIND_DRAW);
            draw.at = (Moment){t->state.last_at + 1000};
            draw.has = 6; /* line, litres */
            draw.u.draw.line = line->label;
            draw.u.draw.litres = dice_from(&t->dice, 1, usable);
            int64_t part[12];
            const int parts = (int)dice_from(&t->dice, 2, 12);
            split(&t->dice, draw.u.draw.litres, parts, part);
            t->other = t->third = t->state;
            fold_apply(&t->other, &draw);
            for (int j = 0; j < parts; j++) {
                Event one = draw;
                one.u.draw.litres = part[j];
                if (part[j] > 0)
                    fold_apply(&t->third, &one);
            }
            split_over_leads +=
                line_lead(&t->other, line) != line_lead(&t->state, line) && line->count > 1;
            assert_same_but_for_rounding(t, &t->other, &t->third);
        }
    }
    assert_true(split_over_leads > 50);
}

static void test_a_draw_millilitre_by_millilitre_moves_the_lead_and_the_class_as_told(void **state)
{
    Trial *t = *state;
    for (unsigned seed = 0; seed < LEGAL_LOGS / 20; seed++) {
        trial_legal(t, 600000 + seed);
        for (int i = 0; i < t->state.line_count; i++) {
            const Line *line = &t->state.lines[i];
            const int64_t usable = line_usable(&t->state, line);
            const int64_t ml = usable < 3000 ? usable : 3000;
            t->other = t->third = t->state;
            assert_int_equal(line_draw(&t->other, i, ml), 0);
            /* The rules of the series line, said again in the plainest way: the lead loses one
             * millilitre; class(j) becomes worst(class(j), class(j - 1)). */
            for (int64_t v = 0; v < ml; v++) {
                int lead = 0;
                while (vessel_usable(&t->third.vessels[line->order[lead]]) == 0)
                    lead++;
                t->third.vessels[line->order[lead]].volume--;
                for (int j = lead + 1; j < line->count; j++) {
                    Vessel *at = &t->third.vessels[line->order[j]];
                    const Vessel *up = &t->third.vessels[line->order[j - 1]];
                    if (up->quality > at->quality)
                        at->quality = up->quality;
                }
            }
            for (int j = 0; j < line->count; j++) {
                const Vessel *a = &t->other.vessels[line->order[j]];
                const Vessel *b = &t->third.vessels[line->order[j]];
                if (a->volume != b->volume || a->quality != b->quality)
                    fail_msg("seed %u: %s differs", t->seed, a->label.s);
            }
        }
    }
}

/* ---- order, doubles, voids ---- */

static void shuffle(Dice *dice, Event *events, size_t count)
{
    for (size_t i = count; i > 1; i--) {
        const size_t j = (size_t)dice_from(dice, 0, (int64_t)i - 1);
        const Event kept = events[i - 1];
        events[i - 1] = events[j];
        events[j] = kept;
    }
}

static void test_entries_in_any_order_and_twice_give_one_state(void **state)
{
    Trial *t = *state;
    for (unsigned seed = 0; seed < LEGAL_LOGS; seed++) {
        if (seed % 2 == 0)
            trial_legal(t, 700000 + seed);
        else
            trial_wild(t, 700000 + seed);
        const size_t twice = (size_t)dice_from(&t->dice, 0, ENTRIES);
        for (size_t i = 0; i < twice; i++)
            t->events[t->count++] = t->events[dice_from(&t->dice, 0, ENTRIES - 1)];
        shuffle(&t->dice, t->events, t->count);
        entries_fold(t->events, t->count, &t->other);
        if (!state_equal(&t->state, &t->other))
            fail_msg("seed %u: another order gives another state", t->seed);
    }
}

static Event void_of(Dice *dice, const Event *target, Moment at)
{
    Event e;
    memset(&e, 0, sizeof e);
    event_clear(&e, KIND_VOID);
    e.id = dice_id(dice);
    e.at = at;
    e.has = 1;
    e.u.entry.entry = target->id;
    return e;
}

/* What a void leaves in the header: it is counted, and its time is the latest seen. */
static void forget_header(State *state)
{
    state->folded = 0;
    state->last_at = 0;
    state->last_zone = 0;
}

static void test_a_void_gives_the_log_without_the_entry(void **state)
{
    Trial *t = *state;
    for (unsigned seed = 0; seed < LEGAL_LOGS / 2; seed++) {
        trial_legal(t, 800000 + seed);
        const size_t out = (size_t)dice_from(&t->dice, 0, ENTRIES - 1);
        state_init(&t->other); /* the log as if the entry had never been */
        for (size_t i = 0; i < t->count; i++)
            if (i != out)
                fold_apply(&t->other, &t->events[i]);
        const Moment at = {BOOK_BEGIN_MS + dice_from(&t->dice, 0, 90) * MS_PER_DAY};
        t->events[t->count] = void_of(&t->dice, &t->events[out], at);
        t->count++;
        shuffle(&t->dice, t->events, t->count);
        entries_fold(t->events, t->count, &t->third);
        const char *wrong = state_audit(&t->third);
        if (wrong != NULL && t->third.last_at >= t->other.last_at)
            fail_msg("seed %u: after a void, %s", t->seed, wrong);
        forget_header(&t->other);
        forget_header(&t->third);
        if (!state_equal(&t->other, &t->third))
            fail_msg("seed %u: a void gives another state than the log without the entry", t->seed);
    }
}

static void test_void_of_void_gives_the_sorted_log(void **state)
{
    Trial *t = *state;
    for (unsigned seed = 0; seed < LEGAL_LOGS / 2; seed++) {
        trial_legal(t, 900000 + seed);
        const Moment at = {t->state.last_at};
        for (int i = 0; i < 6; i++) {
            const Event *target = &t->events[dice_from(&t->dice, 0, ENTRIES - 1)];
            const Event first = void_of(&t->dice, target, at);
            t->events[t->count++] = first;
            t->events[t->count++] = void_of(&t->dice, &first, at);
        }
        shuffle(&t->dice, t->events, t->count);
        entries_fold(t->events, t->count, &t->other);
        forget_header(&t->state);
        forget_header(&t->other);
        if (!state_equal(&t->state, &t->other))
            fail_msg("seed %u: void of void does not bring back the log", t->seed);
    }
}

static void test_a_back_dated_entry_gives_the_state_of_the_sorted_log(void **state)
{
    Trial *t = *state;
    int impossible = 0;
    for (unsigned seed = 0; seed < LEGAL_LOGS / 2; seed++) {
        trial_legal(t, 1000000 + seed);
        /* one accepted at its own time, before much that followed without it */
        const size_t at = (size_t)dice_from(&t->dice, 5, ENTRIES - 1);
        state_init(&t->other);
        for (size_t i = 0; i < at; i++)
            fold_apply(&t->other, &t->events[i]);
        Event e;
        memset(&e, 0, sizeof e);
        dice_entry(&t->dice, &t->other, (Moment){t->other.last_at + 1}, true, &e);
        t->events[t->count++] = e;
        entries_fold(t->events, t->count, &t->other);
        const char *wrong = state_audit(&t->other);
        if (wrong != NULL)
            fail_msg("seed %u: a back-dated entry: %s", t->seed, wrong);
        impossible += t->other.discrepancy_count > t->state.discrepancy_count;
    }
    assert_true(impossible > 20);
}

/* ---- packing, supply ---- */

static void test_every_state_packs_and_unpacks(void **state)
{
    Trial *t = *state;
    uint8_t *packed = malloc(STATE_PACKED_MAX);
    assert_non_null(packed);
    for (unsigned seed = 0; seed < LEGAL_LOGS / 2; seed++) {
        trial_wild(t, 1100000 + seed);
        const size_t n = state_pack(&t->state, packed, STATE_PACKED_MAX);
        assert_true(n > 0 && n < sizeof(State) / 2);
        memset(&t->other, 0xa5, sizeof t->other);
        assert_true(state_unpack(&t->other, packed, n));
        assert_true(state_equal(&t->state, &t->other));
        assert_false(state_unpack(&t->other, packed, n - 1));
    }
    free(packed);
}

static void test_supply_by_class_and_by_place_add_up_to_one_sum(void **state)
{
    Trial *t = *state;
    int seen[RESERVE_SPENT + 1] = {0};
    for (unsigned seed = 0; seed < LEGAL_LOGS; seed++) {
        trial_legal(t, 1200000 + seed);
        const Supply s = supply_of(&t->state);
        assert_true(s.by_class[0] + s.by_class[1] + s.by_class[2] == s.line + s.reserve + s.apart);
        int64_t usable = 0;
        for (int i = 0; i < t->state.vessel_count; i++)
            usable += vessel_usable(&t->state.vessels[i]);
        assert_true(s.line + s.reserve + s.apart == usable);
        for (int i = 0; i < t->state.vessel_count; i++) /* whatever was said of it since */
            assert_true((t->state.vessels[i].marks & MARK_FOUND) == 0 ||
                        t->state.vessels[i].quality != CLASS_POTABLE);
        const Moment now = {t->state.last_at};
        seen[reserve_state(&t->state, now)]++;
        for (int i = 0; i < t->state.line_count; i++) {
            Quality q;
            const bool delivers = line_delivers(&t->state, &t->state.lines[i], &q);
            assert_true(delivers == (line_usable(&t->state, &t->state.lines[i]) > 0));
            const Verdict verdict = line_verdict(&t->state, i, now);
            assert_true(delivers == (verdict != VERDICT_NONE));
            if (delivers && q != CLASS_POTABLE)
                assert_int_not_equal(verdict, VERDICT_DRINK); /* whatever the train is */
            t->other = t->state;
            if (delivers) { /* what was promised is what the tap vessel holds after */
                line_draw(&t->other, i, 1);
                const Line *line = &t->other.lines[i];
                const Quality end = (Quality)t->other.vessels[line->order[line->count - 1]].quality;
                assert_int_equal(line->fouled_at != MOMENT_NONE_MS ? CLASS_NON_POTABLE
                                 : line->found != 0 ? quality_worst(end, CLASS_QUESTIONABLE)
                                                    : end,
                                 q);
            }
        }
    }
    assert_true(seen[RESERVE_NONE] > 0 && seen[RESERVE_SHORT] > 0 && seen[RESERVE_IN_USE] > 0 &&
                seen[RESERVE_SPENT] > 0);
}

/* ---- pressurising ---- */

static void test_pressurising_moves_water_only_downstream_and_loses_none(void **state)
{
    Trial *t = *state;
    int moved = 0;
    for (unsigned seed = 0; seed < LEGAL_LOGS; seed++) {
        trial_legal(t, 1300000 + seed);
        for (int i = 0; i < t->state.line_count; i++) {
            const Line *line = &t->state.lines[i];
            const int lead = line_lead(&t->state, line);
            t->other = t->state;
            line_pressurise(&t->other, i, dice_from(&t->dice, 0, 600000),
                            dice_from(&t->dice, 60000, 105000));
            int64_t gone = 0, before = 0, after = 0;
            double age_before = 0, age_after = 0, span = 0;
            for (int j = 0; j < line->count; j++) {
                const Vessel *was = &t->state.vessels[line->order[j]];
                const Vessel *is = &t->other.vessels[line->order[j]];
                assert_true(is->volume >= 0 && is->volume <= is->capacity);
                assert_true(is->quality >= was->quality);
                before += was->volume;
                after += is->volume;
                gone += is->volume - was->volume;
                assert_true(gone <= 0); /* nothing arrives that did not leave further up */
                if (j < lead)
                    assert_true(is->volume == was->volume);
                if (is->volume < was->volume)
                    assert_true(is->volume >= is->heel);
                moved += is->volume != was->volume;
                const double d = was->mean_fill - (double)BOOK_BEGIN_MS;
                age_before += was->volume > 0 ? (double)was->volume * d : 0;
                age_after += is->volume > 0
                                 ? (double)is->volume * (is->mean_fill - (double)BOOK_BEGIN_MS)
                                 : 0;
                span = was->volume > 0 && fabs(d) > span ? fabs(d) : span;
            }
            assert_true(before == after);
            /* Litres times age goes with the water: to a millilitre in each vessel (rounding) and
             * to the steps of the mixing. */
            if (fabs(age_before - age_after) > span * ((double)line->count + 1e-3 * (double)before))
                fail_msg("seed %u: ages are off by %g mL days", t->seed,
                         (age_after - age_before) / (double)MS_PER_DAY);
        }
    }
    assert_true(moved > 100);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_a_legal_log_keeps_every_level_and_millilitre),
        cmocka_unit_test(test_a_log_that_nobody_checked_keeps_them_too),
        cmocka_unit_test(test_what_was_accepted_is_done_without_a_discrepancy),
        cmocka_unit_test(test_nothing_but_sanitise_and_treat_improves_a_class),
        cmocka_unit_test(test_a_draw_in_parts_gives_what_it_gives_at_once),
        cmocka_unit_test(test_a_draw_millilitre_by_millilitre_moves_the_lead_and_the_class_as_told),
        cmocka_unit_test(test_entries_in_any_order_and_twice_give_one_state),
        cmocka_unit_test(test_a_void_gives_the_log_without_the_entry),
        cmocka_unit_test(test_void_of_void_gives_the_sorted_log),
        cmocka_unit_test(test_a_back_dated_entry_gives_the_state_of_the_sorted_log),
        cmocka_unit_test(test_every_state_packs_and_unpacks),
        cmocka_unit_test(test_supply_by_class_and_by_place_add_up_to_one_sum),
        cmocka_unit_test(test_pressurising_moves_water_only_downstream_and_loses_none),
    };
    return cmocka_run_group_tests(tests, trial_open, trial_close);
}
