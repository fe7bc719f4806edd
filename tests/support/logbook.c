#include "support/logbook.h"

#include "model/audit.h"
#include "model/field.h"
#include "model/fold.h"
#include "model/strike.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* ---- the book ---- */

bool state_equal(const State *a, const State *b)
{
    /* bit by bit on purpose, the doubles too: it is meant to tell two replays apart */
    // NOLINTNEXTLINE(bugprone-suspicious-memory-comparison,cert-exp42-c,cert-flp37-c)
    return memcmp(a, b, sizeof *a) == 0;
}

Logbook *book_open(void)
{
    Logbook *book = calloc(1, sizeof *book);
    assert_non_null(book);
    book->now = book->latest = (Moment){BOOK_BEGIN_MS};
    return book;
}

void book_close(Logbook *book)
{
    free(book->events);
    free(book);
}

void book_pass(Logbook *book, double days)
{
    book->now.ms += (int64_t)(days * (double)MS_PER_DAY);
    if (book->now.ms > book->latest.ms)
        book->latest = book->now;
}

size_t book_add(Logbook *book, const Event *e)
{
    if (book->count == book->room) {
        book->room = book->room == 0 ? 64 : book->room * 2;
        book->events = realloc(book->events, book->room * sizeof *book->events);
        assert_non_null(book->events);
    }
    Event *added = &book->events[book->count];
    *added = *e;
    if (uuid_is_nil(&added->id)) {
        uint8_t number[10] = {0};
        book->ids++;
        for (int i = 0; i < 8; i++)
            number[9 - i] = (uint8_t)(book->ids >> (8 * i));
        added->id = uuid_v7(book->latest, number);
    }
    return book->count++;
}

size_t book_force_by(Logbook *book, uint32_t mark, const char *words)
{
    const size_t at = book_force(book, words);
    Uuid *id = &book->events[at].id;
    uint8_t random[10];
    memcpy(random, id->b + 6, sizeof random);
    if (mark != 0)
        uuid_mark_put(random, mark);
    *id = uuid_v7(book->latest, random);
    return at;
}

/* The next word, quotes taken off; false at the end. */
static bool next_word(const char **at, char *out, size_t size)
{
    const char *s = *at;
    size_t n = 0;
    while (*s == ' ')
        s++;
    if (*s == '\0')
        return false;
    while (*s != '\0' && *s != ' ') {
        if (*s != '"') {
            assert_true(n + 1 < size);
            out[n++] = *s++;
            continue;
        }
        for (s++; *s != '"'; s++) {
            assert_true(*s != '\0' && n + 1 < size);
            out[n++] = *s;
        }
        s++;
    }
    out[n] = '\0';
    *at = s;
    return true;
}

static int option_of(const Kind *kind, const char *word)
{
    for (int i = 0; i < kind->field_count; i++)
        if (strcmp(kind->fields[i].option, word) == 0)
            return i;
    return -1;
}

/* The field for the `position`-th word: of those that share it the one whose name is known. */
static int positional(const Kind *kind, int position, const char *word, const State *state)
{
    int first = -1;
    for (int i = 0; i < kind->field_count; i++) {
        const Field *f = &kind->fields[i];
        if (f->position != position)
            continue;
        if (first < 0)
            first = i;
        const Label label = label_of(text_of(word));
        if (f->type == FIELD_LABEL && state_find(state, f->names, &label) >= 0)
            return i;
    }
    return first;
}

bool book_read(const Logbook *book, const State *state, const char *words, Event *e, Fault *fault)
{
    char word[1100], value[1100];
    const char *at = words;
    assert_true(next_word(&at, word, sizeof word));
    const Kind *kind = kind_named(text_of(word));
    if (kind == NULL) {
        fail_msg("no kind in \"%s\"", words);
        return false;
    }
    memset(e, 0, sizeof *e);
    event_clear(e, kind->id);
    e->at = book->now;
    e->zone = book->zone;
    const Reading reading = {state, book->latest, UNITS_METRIC};
    int position = 1;
    while (next_word(&at, word, sizeof word)) {
        int field;
        const char *text = word;
        if (strcmp(word, "--note") == 0 || (kind->id == KIND_NOTE && word[0] != '-')) {
            if (word[0] == '-')
                assert_true(next_word(&at, word, sizeof word));
            assert_true(strlen(word) <= NOTE_MAX);
            memcpy(e->note, word, strlen(word) + 1);
            continue;
        }
        if (strncmp(word, "--", 2) == 0) {
            field = option_of(kind, word + 2);
            if (field < 0)
                fail_msg("no option %s in \"%s\"", word, words);
            if (kind->fields[field].type == FIELD_FLAG)
                value[0] = '\0';
            else
                assert_true(next_word(&at, value, sizeof value));
            text = value;
        } else {
            field = positional(kind, position, word, state);
            if (field < 0)
                fail_msg("no place for %s in \"%s\"", word, words);
            if (kind->fields[field].type != FIELD_LABELS)
                position++;
        }
        if (!event_set(e, field, text_of(text), &reading, fault))
            return false;
    }
    return true;
}

static bool book_try(Logbook *book, const char *words, Event *e, bool ask, Fault *fault)
{
    Event here;
    State *before = malloc(sizeof *before);
    assert_non_null(before);
    memset(&here, 0, sizeof here);
    here.at = book->now;
    memset(here.id.b, 0xff, sizeof here.id.b); /* after all else of that time */
    book_state_before(book, &here, before);
    const bool done = book_read(book, before, words, e, fault) &&
                      (!ask || fold_check(before, e, book->latest, fault));
    free(before);
    return done;
}

size_t book_say(Logbook *book, const char *words)
{
    Event e;
    Fault fault = {FAULT_NONE, ""};
    if (!book_try(book, words, &e, true, &fault))
        fail_msg("\"%s\" was refused: %s", words, fault.text);
    return book_add(book, &e);
}

size_t book_force(Logbook *book, const char *words)
{
    Event e;
    Fault fault = {FAULT_NONE, ""};
    if (!book_try(book, words, &e, false, &fault))
        fail_msg("\"%s\" can't be read: %s", words, fault.text);
    return book_add(book, &e);
}

const char *book_refusal(Logbook *book, const char *words, Fault *fault)
{
    Event e;
    *fault = (Fault){FAULT_NONE, ""};
    if (book_try(book, words, &e, true, fault))
        fail_msg("\"%s\" was not refused", words);
    assert_int_not_equal(fault->kind, FAULT_NONE);
    return fault->text;
}

void book_refuses(Logbook *book, const char *words, const char *says)
{
    Fault fault;
    const size_t before = book->count;
    const char *text = book_refusal(book, words, &fault);
    if (strstr(text, says) == NULL)
        fail_msg("\"%s\": \"%s\" does not say \"%s\"", words, text, says);
    assert_in_range(fault.kind, FAULT_REFUSED, FAULT_USAGE); /* which of the two: test_field.c */
    assert_int_equal(book->count, before);
}

size_t book_void(Logbook *book, size_t index)
{
    Event e;
    memset(&e, 0, sizeof e);
    event_clear(&e, KIND_VOID);
    e.at = book->now;
    e.zone = book->zone;
    e.u.entry.entry = book->events[index].id;
    e.has = 1;
    return book_add(book, &e);
}

/* ---- the fold ---- */

typedef struct {
    const Event *e;
} Entry;

typedef struct {
    const Entry *sorted;
    size_t count;
} Entries;

static int by_time(const void *a, const void *b)
{
    return event_compare(((const Entry *)a)->e, ((const Entry *)b)->e);
}

static bool nth_void(void *context, const Uuid *target, size_t n, Uuid *void_id)
{
    const Entries *entries = context;
    for (size_t i = 0; i < entries->count; i++) {
        const Event *e = entries->sorted[i].e;
        if (e->kind != KIND_VOID || uuid_compare(&e->u.entry.entry, target) != 0)
            continue;
        if (n-- == 0) {
            *void_id = e->id;
            return true;
        }
    }
    return false;
}

/* Folds those before `until` (NULL: all); what is struck is struck by any void, also a later one.
 */
static void fold_until(const Event *events, size_t count, const Event *until, State *state)
{
    Entry *sorted = calloc(count + 1, sizeof(Entry));
    assert_non_null(sorted);
    size_t n = 0;
    bool voids = false;
    for (size_t i = 0; i < count; i++) {
        sorted[i].e = &events[i];
        voids = voids || events[i].kind == KIND_VOID;
    }
    qsort(sorted, count, sizeof(Entry), by_time);
    for (size_t i = 0; i < count; i++)
        if (n == 0 || uuid_compare(&sorted[i].e->id, &sorted[n - 1].e->id) != 0)
            sorted[n++] = sorted[i];
    Entries entries = {sorted, n};
    const VoidSource source = {&entries, nth_void};
    state_init(state);
    for (size_t i = 0; i < n; i++) {
        const Event *e = sorted[i].e;
        if (until != NULL && event_compare(e, until) >= 0)
            break;
        if (!voids || !strike_holds(&source, &e->id))
            fold_apply(state, e);
    }
    free(sorted);
}

void entries_fold(const Event *events, size_t count, State *state)
{
    fold_until(events, count, NULL, state);
}

void book_state_before(const Logbook *book, const Event *e, State *state)
{
    fold_until(book->events, book->count, e, state);
}

const State *book_state(Logbook *book)
{
    fold_until(book->events, book->count, NULL, &book->state);
    const char *wrong = state_audit(&book->state);
    if (wrong != NULL)
        fail_msg("%s", wrong);
    return &book->state;
}

const Vessel *book_vessel(Logbook *book, const char *label)
{
    const Label wanted = label_of(text_of(label));
    const int i = state_vessel(book_state(book), &wanted);
    if (i < 0)
        fail_msg("no vessel %s aboard", label);
    return &book->state.vessels[i];
}

const Line *book_line(Logbook *book, const char *label)
{
    const Label wanted = label_of(text_of(label));
    const int i = state_line(book_state(book), &wanted);
    if (i < 0)
        fail_msg("no line %s", label);
    return &book->state.lines[i];
}

const Stage *book_stage(Logbook *book, const char *label)
{
    const Label wanted = label_of(text_of(label));
    const int i = state_stage(book_state(book), &wanted);
    if (i < 0)
        fail_msg("no stage %s", label);
    return &book->state.stages[i];
}

void book_order(Logbook *book, const char *line, const char *order)
{
    Str is = {0};
    const Line *l = book_line(book, line);
    str_adds(&is, "");
    for (int i = 0; i < l->count; i++)
        str_addf(&is, "%s%s", i > 0 ? " " : "", book->state.vessels[l->order[i]].label.s);
    assert_string_equal(is.s, order);
    str_finish(&is);
}

void book_holds(Logbook *book, const char *vessel, int64_t ml, Quality quality)
{
    const Vessel *v = book_vessel(book, vessel);
    if (v->volume != ml || v->quality != (uint8_t)quality)
        fail_msg("%s holds %d mL, %s", vessel, (int)v->volume, quality_name((Quality)v->quality));
}

int book_discrepancies(Logbook *book, DiscrepancyKind kind)
{
    const State *state = book_state(book);
    int n = 0;
    for (int i = 0; i < state->discrepancy_count; i++)
        n += state->discrepancies[i].kind == (uint8_t)kind;
    return n;
}

int64_t book_amount(Logbook *book, DiscrepancyKind kind)
{
    const State *state = book_state(book);
    for (int i = state->discrepancy_count; i-- > 0;)
        if (state->discrepancies[i].kind == (uint8_t)kind)
            return state->discrepancies[i].amount;
    return -1;
}

Logbook *book_of_three(void)
{
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --class potable --level 12");
    book_say(book, "vessel A2 --capacity 12 --class potable --level 12");
    book_say(book, "vessel A3 --capacity 12 --class potable --level 12");
    book_say(book, "couple galley A1 A2 A3");
    return book;
}
