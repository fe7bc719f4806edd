/* Random logs: see logbook.h. */
#include "support/logbook.h"

#include "model/field.h"
#include "model/fold.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

uint64_t dice_throw(Dice *dice)
{
    uint64_t z = dice->x += UINT64_C(0x9e3779b97f4a7c15);
    z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
    return z ^ (z >> 31);
}

int64_t dice_from(Dice *dice, int64_t least, int64_t most)
{
    if (most <= least)
        return least;
    return least + (int64_t)(dice_throw(dice) % (uint64_t)(most - least + 1));
}

bool dice_one_in(Dice *dice, int n)
{
    return dice_throw(dice) % (uint64_t)n == 0;
}

Uuid dice_id(Dice *dice)
{
    Uuid id;
    const uint64_t a = dice_throw(dice), b = dice_throw(dice);
    memcpy(id.b, &a, 8);
    memcpy(id.b + 8, &b, 8);
    return id;
}

/* ---- fields by name ---- */

static void put_number(Event *e, const char *name, int64_t value)
{
    const Kind *kind = kind_of((KindId)e->kind);
    const int i = kind_field(kind, text_of(name));
    assert_true(i >= 0);
    *field_number(e, &kind->fields[i]) = value;
    e->has |= 1u << i;
}

static void put_label(Event *e, const char *name, const char *label)
{
    const Kind *kind = kind_of((KindId)e->kind);
    const int i = kind_field(kind, text_of(name));
    assert_true(i >= 0);
    *field_label(e, &kind->fields[i]) = label_of(text_of(label));
    e->has |= 1u << i;
}

#define PICK(dice, array)                                                                          \
    ((array)[dice_from((dice), 0, (int64_t)(sizeof(array) / sizeof(array)[0]) - 1)])

static const char *const vessel_labels[] = {"A1", "A2", "A3", "A4", "B1", "R1", "W1", "Z"};
static const char *const line_labels[] = {"galley", "galley", "galley", "shower"};
static const char *const stage_labels[] = {"sediment", "carbon", "lamp", "carbon 2"};
static const char *const source_labels[] = {"Holm tap", "Ytre brook", "Fen well", "rain sail"};
static const char *const stop_labels[] = {"Sund", "Vik", "Nes"};

/* A vessel's label: with `fitting` one that is aboard, if there is any. */
static const char *any_vessel(Dice *dice, const State *state, bool fitting)
{
    if (fitting && state->vessel_count > 0)
        for (int i = 0; i < 8; i++) {
            const Vessel *v = &state->vessels[dice_from(dice, 0, state->vessel_count - 1)];
            if (vessel_aboard(v))
                return v->label.s;
        }
    return PICK(dice, vessel_labels);
}

static const Vessel *aboard(const State *state, const char *label)
{
    const Label wanted = label_of(text_of(label));
    const int i = state_vessel(state, &wanted);
    return i >= 0 ? &state->vessels[i] : NULL;
}

/* 1..most mL; with `fitting` it mostly stays within `most`, and is sometimes all of it. */
static int64_t some_of(Dice *dice, int64_t most, bool fitting)
{
    if (most < 1 || (!fitting && dice_one_in(dice, 4)))
        return dice_from(dice, 1, 40000);
    if (dice_one_in(dice, 6))
        return most;
    return dice_from(dice, 1, dice_one_in(dice, 3) ? (most < 50 ? most : 50) : most);
}

/* ---- entries ---- */

static void dice_fill(Dice *dice, const State *state, bool fitting, Event *e)
{
    const char *label = any_vessel(dice, state, fitting);
    const Vessel *v = aboard(state, label);
    const int64_t capacity = v != NULL ? v->capacity : 10000;
    put_label(e, "vessel", label);
    const int64_t way = dice_from(dice, 0, 3);
    if (way <= 1)
        put_number(e, "litres", some_of(dice, capacity, fitting));
    else if (way == 2)
        put_number(e, "level", some_of(dice, capacity, fitting));
    else {
        const int64_t in = some_of(dice, capacity, fitting);
        put_number(e, "litres", in);
        put_number(e, "level",
                   fitting ? dice_from(dice, in, capacity) : some_of(dice, capacity, false));
    }
    if (!dice_one_in(dice, 3))
        put_label(e, "source", PICK(dice, source_labels));
    if (dice_one_in(dice, 3))
        put_number(e, "class", dice_from(dice, 0, 2));
}

static void dice_draw(Dice *dice, const State *state, bool fitting, Event *e)
{
    int64_t most = 0;
    if (!dice_one_in(dice, 4)) {
        const char *label = PICK(dice, line_labels);
        const Label wanted = label_of(text_of(label));
        const int line = state_line(state, &wanted);
        put_label(e, "line", label);
        for (int i = 0; line >= 0 && i < state->lines[line].count; i++)
            most += vessel_usable(&state->vessels[state->lines[line].order[i]]);
    } else {
        const char *label = any_vessel(dice, state, fitting);
        const Vessel *v = aboard(state, label);
        put_label(e, "vessel", label);
        most = v != NULL ? vessel_usable(v) : 0;
    }
    if (fitting && most > 6000 && !dice_one_in(dice, 5))
        most = 6000;
    put_number(e, "litres", some_of(dice, most, fitting));
    if (dice_one_in(dice, 2))
        put_number(e, "purpose", dice_from(dice, 0, PURPOSE_OTHER));
}

static void dice_pour(Dice *dice, const State *state, bool fitting, Event *e)
{
    const char *from = any_vessel(dice, state, fitting), *to = any_vessel(dice, state, fitting);
    const Vessel *a = aboard(state, from), *b = aboard(state, to);
    int64_t most = 8000;
    if (a != NULL && b != NULL)
        most = a->volume < vessel_room(b) ? a->volume : vessel_room(b);
    put_label(e, "from", from);
    put_label(e, "to", to);
    put_number(e, "litres", some_of(dice, most, fitting));
    if (dice_one_in(dice, 3))
        put_number(e, "treated", dice_from(dice, 0, 1));
}

static void dice_vessel(Dice *dice, const State *state, Event *e)
{
    const char *label = PICK(dice, vessel_labels);
    const Vessel *v = aboard(state, label);
    put_label(e, "vessel", label);
    if (v == NULL || dice_one_in(dice, 3))
        put_number(e, "capacity", dice_from(dice, v != NULL ? 5000 : 2000, 25000));
    if (dice_one_in(dice, 2))
        put_number(e, "heel", dice_from(dice, 0, 600));
    if (dice_one_in(dice, 2))
        put_number(e, "duty", dice_from(dice, 0, DUTY_STORE));
    if (v == NULL && dice_one_in(dice, 2))
        put_number(e, "class", dice_from(dice, 0, 2));
    if (v == NULL && dice_one_in(dice, 2))
        put_number(e, "level", dice_from(dice, 0, 5000));
    if (dice_one_in(dice, 4))
        put_number(e, "tare_kg", dice_from(dice, 0, 5000));
}

static void dice_couple(Dice *dice, Event *e)
{
    put_label(e, "line", PICK(dice, line_labels));
    const int64_t n = dice_from(dice, 0, 6);
    for (int64_t i = 0; i < n; i++)
        e->u.couple.order[e->u.couple.count++] = label_of(text_of(PICK(dice, vessel_labels)));
    e->has |= 2u;
}

static void dice_stage(Dice *dice, Event *e)
{
    put_label(e, "stage", PICK(dice, stage_labels));
    if (!dice_one_in(dice, 3)) {
        put_label(e, "line", PICK(dice, line_labels));
        put_number(e, "type", dice_from(dice, 0, STAGE_OTHER));
    }
    if (dice_one_in(dice, 2))
        put_number(e, "life_litres", dice_from(dice, 0, 4000000));
    if (dice_one_in(dice, 2))
        put_number(e, "lamp", dice_from(dice, 0, 1));
    if (dice_one_in(dice, 3))
        put_number(e, "rated_lpm", dice_from(dice, 0, 8000));
    if (dice_one_in(dice, 3))
        put_number(e, "purifying", dice_from(dice, 0, 1));
}

static void dice_plan(Dice *dice, KindId kind, Moment at, Event *e)
{
    switch (kind) {
    case KIND_STOP:
        put_label(e, "stop", PICK(dice, stop_labels));
        put_number(e, "eta", at.ms + dice_from(dice, -5, 20) * MS_PER_DAY);
        if (dice_one_in(dice, 2))
            put_number(e, "litres", dice_from(dice, 0, 100000));
        if (dice_one_in(dice, 3))
            put_number(e, "shop", dice_from(dice, 0, 1));
        break;
    case KIND_LEADTIME:
        put_number(e, "days", dice_from(dice, 1, 60));
        break;
    case KIND_UNSTOP:
        put_label(e, "stop", PICK(dice, stop_labels));
        break;
    case KIND_SOURCE:
        put_label(e, "source", PICK(dice, source_labels));
        put_number(e, "type", dice_from(dice, 0, SOURCE_OTHER));
        if (!dice_one_in(dice, 4))
            put_number(e, "class", dice_from(dice, 0, 2));
        break;
    case KIND_CREW:
        put_number(e, "persons", dice_from(dice, 0, 6));
        break;
    default:
        (void)snprintf(e->note, sizeof e->note, "pump hose %d", (int)dice_from(dice, 1, 99));
        break;
    }
}

static void dice_test(Dice *dice, const char *vessel, Event *e)
{
    const int64_t of = dice_from(dice, 0, 3);
    put_label(e,
              of == 0   ? "line"
              : of == 1 ? "source"
                        : "vessel",
              of == 0   ? PICK(dice, line_labels)
              : of == 1 ? PICK(dice, source_labels)
                        : vessel);
    put_number(e, "ph", dice_from(dice, 5000, 9000));
    if (!dice_one_in(dice, 3))
        put_number(e, "chlorine_mg_l", dice_from(dice, 0, 8) * 100);
    if (dice_one_in(dice, 3)) {
        put_number(e, "nitrate_mg_l", dice_from(dice, 0, 60000));
        put_number(e, "nitrate_as", dice_from(dice, 0, 1));
    }
    if (dice_one_in(dice, 3))
        put_number(e, "coliform", dice_from(dice, 0, 1));
    if (dice_one_in(dice, 6))
        put_number(e, "ecoli", dice_from(dice, 0, 1));
}

static void dice_meter(Dice *dice, const State *state, bool fitting, Event *e)
{
    const char *label = PICK(dice, line_labels);
    const Label wanted = label_of(text_of(label));
    const int line = state_line(state, &wanted);
    const int64_t before = line >= 0 ? state->lines[line].meter_ml : 0;
    put_label(e, "line", label);
    put_number(e, "reading",
               fitting && !dice_one_in(dice, 6) ? before + dice_from(dice, 0, 6000)
                                                : dice_from(dice, 0, 100000));
    if (dice_one_in(dice, 10))
        put_number(e, "new", dice_from(dice, 0, 1));
}

/* What is chosen how often: water moves, the set-up seldom. */
static const KindId often[] = {
    KIND_FILL,       KIND_FILL,   KIND_FILL,   KIND_FILL,     KIND_DRAW,   KIND_DRAW,
    KIND_DRAW,       KIND_DRAW,   KIND_DRAW,   KIND_DRAW,     KIND_SOUND,  KIND_SOUND,
    KIND_DECANT,     KIND_DECANT, KIND_DUMP,   KIND_SANITISE, KIND_TREAT,  KIND_COUPLE,
    KIND_COUPLE,     KIND_VESSEL, KIND_VESSEL, KIND_VESSEL,   KIND_RETIRE, KIND_STAGE,
    KIND_PRESSURISE, KIND_SWAP,   KIND_SPARES, KIND_FLOWTEST, KIND_SOURCE, KIND_CREW,
    KIND_UNSTAGE,    KIND_STOP,   KIND_UNSTOP, KIND_NOTE,     KIND_SETTLE, KIND_PUTOFF,
    KIND_TEST,       KIND_METER,  KIND_METER,  KIND_LEADTIME,
};

void dice_entry(Dice *dice, const State *state, Moment at, bool fitting, Event *e)
{
    KindId kind = PICK(dice, often);
    if (state->vessel_count < 4 && dice_one_in(dice, 2))
        kind = KIND_VESSEL;
    event_clear(e, kind);
    e->id = dice_id(dice);
    e->at = at;
    e->zone = (int32_t)(dice_from(dice, -4, 4) * 60);
    const char *label = any_vessel(dice, state, fitting);
    const Vessel *v = aboard(state, label);
    switch (kind) {
    case KIND_NONE:
        return;
    case KIND_FILL:
        dice_fill(dice, state, fitting, e);
        return;
    case KIND_DRAW:
        dice_draw(dice, state, fitting, e);
        return;
    case KIND_SOUND:
        put_label(e, "vessel", label);
        put_number(e, "level",
                   v == NULL || !fitting                     ? dice_from(dice, 0, 30000)
                   : dice_one_in(dice, 3)                    ? v->volume
                   : v->volume > 300 && dice_one_in(dice, 2) ? v->volume - dice_from(dice, 0, 300)
                                                             : dice_from(dice, 0, v->capacity));
        return;
    case KIND_DECANT:
        dice_pour(dice, state, fitting, e);
        return;
    case KIND_DUMP:
        put_label(e, "vessel", label);
        if (dice_one_in(dice, 2))
            put_number(e, "litres", some_of(dice, v != NULL ? v->volume : 0, fitting));
        return;
    case KIND_TREAT:
        put_label(e, "vessel", label);
        put_number(e, "method", dice_from(dice, 0, METHOD_FILTER));
        if (dice_one_in(dice, 3))
            put_number(e, "asserted", dice_from(dice, 0, 1));
        return;
    case KIND_SANITISE:
    case KIND_RETIRE:
        put_label(e, "vessel", label);
        return;
    case KIND_COUPLE:
        dice_couple(dice, e);
        return;
    case KIND_PRESSURISE:
        put_label(e, "line", PICK(dice, line_labels));
        put_number(e, "kpa", dice_from(dice, 0, 500000));
        if (dice_one_in(dice, 2))
            put_number(e, "ambient_kpa", dice_from(dice, 60000, 105000));
        return;
    case KIND_FLOWTEST:
        put_label(e, "line", PICK(dice, line_labels));
        put_number(e, "litres", dice_from(dice, 1, 5000));
        put_number(e, "seconds", dice_from(dice, 1, 120000));
        return;
    case KIND_SPARES:
        put_number(e, "count", dice_from(dice, 0, 3));
        put_label(e, "stage", PICK(dice, stage_labels));
        return;
    case KIND_SWAP:
    case KIND_UNSTAGE:
        put_label(e, "stage", PICK(dice, stage_labels));
        return;
    case KIND_VESSEL:
        dice_vessel(dice, state, e);
        return;
    case KIND_STAGE:
        dice_stage(dice, e);
        return;
    case KIND_SETTLE:
        e->has = 1;
        if (state->discrepancy_count > 0)
            e->u.entry.entry =
                state->discrepancies[dice_from(dice, 0, state->discrepancy_count - 1)].entry;
        else
            e->u.entry.entry = dice_id(dice);
        return;
    case KIND_PUTOFF:
        if (dice_one_in(dice, 2)) {
            put_label(e, "stage", PICK(dice, stage_labels));
        } else {
            put_label(e, "vessel", label);
            put_number(e, "what", dice_from(dice, CARE_SANITISE, CARE_WATER));
        }
        if (dice_one_in(dice, 2))
            put_number(e, "until", at.ms + dice_from(dice, fitting ? 1 : -5, 20) * MS_PER_DAY);
        return;
    case KIND_METER:
        dice_meter(dice, state, fitting, e);
        return;
    case KIND_TEST:
        dice_test(dice, label, e);
        return;
    case KIND_STOP:
    case KIND_UNSTOP:
    case KIND_SOURCE:
    case KIND_CREW:
    case KIND_NOTE:
    case KIND_VOID:
    case KIND_LEADTIME:
    case KIND_END:
        break;
    }
    dice_plan(dice, kind, at, e);
}

/* ---- logs ---- */

static Moment later(Dice *dice, Moment at)
{
    if (dice_one_in(dice, 8))
        return at; /* the id decides */
    if (dice_one_in(dice, 40))
        return (Moment){at.ms + dice_from(dice, 1, 40) * MS_PER_DAY};
    return (Moment){at.ms + dice_from(dice, 1, 12 * MS_PER_HOUR)};
}

void dice_legal(Dice *dice, Event *events, size_t count, State *state)
{
    Moment at = {BOOK_BEGIN_MS};
    state_init(state);
    for (size_t n = 0; n < count; n++) {
        Moment next = later(dice, at);
        Event *e = &events[n];
        memset(e, 0, sizeof *e);
        for (int tries = 0;; tries++) {
            Fault fault;
            if (tries == 200)
                fail_msg("the dice find no legal entry");
            if (tries == 50)
                next.ms++; /* where no higher id comes up */
            dice_entry(dice, state, next, true, e);
            if (n > 0 && event_compare(&events[n - 1], e) >= 0)
                continue; /* at the same time the ids must rise for it to come next */
            if (fold_check(state, e, next, &fault))
                break;
        }
        at = next;
        fold_apply(state, e);
    }
}

void dice_wild(Dice *dice, Event *events, size_t count, State *state)
{
    Moment at = {BOOK_BEGIN_MS};
    state_init(state);
    for (size_t n = 0; n < count; n++) {
        Fault fault;
        const Moment next = later(dice, at);
        Event *e = &events[n];
        memset(e, 0, sizeof *e);
        do
            dice_entry(dice, state, next, dice_one_in(dice, 3), e);
        while ((n > 0 && event_compare(&events[n - 1], e) >= 0) || !event_check_fields(e, &fault));
        at = next;
        fold_apply(state, e);
    }
}
