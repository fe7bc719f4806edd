/* command.c - random words for the fields of every kind, as the command line and the forms give
 * them.
 *
 *     command [COUNT [SEED]]      default 20000 entries, seed 1
 *
 * Each field of a random kind is given a word, in any order. Refused: a sentence, and the entry is
 * what it was. Taken: it can be told, its interchange text sets the same again, and an entry that
 * passes the checks folds into a state that an audit accepts. Exit 0 or 1.
 */
#include "base/memory.h"
#include "csv_line.h"
#include "model/audit.h"
#include "model/field.h"
#include "model/fold.h"
#include "model/tell.h"
#include "store/port.h"
#include "support/logbook.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum { SEASON = 40, ENTRIES_A_STATE = 500, HANG_SECONDS = 60 };

typedef struct {
    Dice dice;
    uint64_t seed;
    long entry;
    const char *word;
    State *state;
    Moment now;
} Trial;

static _Noreturn void give_up(const Trial *trial, const char *what, const char *about)
{
    fprintf(stderr, "command: seed %llu, entry %ld, word '%s': %s: %s\n",
            (unsigned long long)trial->seed, trial->entry, trial->word ? trial->word : "", what,
            about);
    exit(1);
}

static const char *const words[] = {
    "",
    "0",
    "8",
    "12.5",
    "12,5",
    "1 000",
    "full",
    "=3",
    "empty",
    "50%",
    "101 %",
    "-1",
    "+1",
    "1e3",
    "0x10",
    ".5",
    "5.",
    "8L",
    "8 l",
    "800 ml",
    "3 gal",
    "2 kg",
    "2 lb",
    "3 bar",
    "30 psi",
    "120 kPa",
    "20 C",
    "68 F",
    "293 K",
    "now",
    "-2h",
    "+2d",
    "18:30",
    "25:00",
    "2026-02-31",
    "2026-06-02 12:00",
    "2026-06-02T12:00:00+02:00",
    "yes",
    "No",
    "TRUE",
    "maybe",
    "potable",
    "pot",
    "n",
    "non-potable",
    "line",
    "uv",
    "carbon",
    "A1",
    "a1",
    "A1;A2",
    "A1,A2,A1",
    "; ;",
    "galley",
    "Holm tap",
    "-lead",
    " trailing ",
    "\xff",
    "\xe6\xb0\xb4",
    "o\xcc\x88",
    "a\tb",
    "\xc2\x85",
    "9223372036854775807",
    "9223372036854775808",
    "-9223372036854775808",
    "0.0000000001",
    "99999999999999999999999999999999999999999999999",
    "1970-01-01",
    "9999-12-31T23:59:59Z",
    "last",
    "yesterday 18:30",
    "01a0946a-7580-7f11-b7d8-f8f58fea6f02",
    "01a0946a",
    "infinity",
    "nan",
    "1/2",
};
static const char chars[] = "0123456789.,-+=%:; LlkgAaPpTtZe\"'\\\xc3\xa9\xff";

static void word_make(Trial *trial, Str *word)
{
    Dice *dice = &trial->dice;
    str_clear(word);
    str_adds(word, "");
    if (dice_one_in(dice, 3)) {
        const Label *label =
            state_name(trial->state, (Names)dice_from(dice, NAMES_VESSEL, NAMES_STOP),
                       (int)dice_from(dice, 0, 10));
        if (label)
            str_adds(word, label->s);
    } else if (dice_one_in(dice, 4)) {
        for (int64_t n = dice_from(dice, 0, dice_one_in(dice, 20) ? 3000 : 12); n > 0; n--)
            str_addc(word, chars[dice_from(dice, 0, sizeof chars - 2)]);
    } else {
        str_adds(word, words[dice_from(dice, 0, sizeof words / sizeof *words - 1)]);
    }
    if (dice_one_in(dice, 12) && word->n > 0)
        word->s[dice_from(dice, 0, (int64_t)word->n - 1)] =
            chars[dice_from(dice, 0, sizeof chars - 2)];
    trial->word = word->s;
}

/* Stricter than event_equal: also what no bit of `has` vouches for must be as it was. */
static bool same_bytes(const void *a, const void *b, size_t n)
{
    return memcmp(a, b, n) == 0;
}

/* The interchange text of a number or name sets the same number or name. */
static void again(Trial *trial, const Event *e, int field, const Reading *reading)
{
    const Field *f = &kind_of((KindId)e->kind)->fields[field];
    Event *copy = memory_get(sizeof *copy);
    Str text = {0};
    Fault fault = {0};
    *copy = *e;
    if (event_has(e, field) && f->type != FIELD_LABELS && event_get(e, field, &text)) {
        if (!event_set(copy, field, text_of(text.s), reading, &fault))
            give_up(trial, "its own text is refused", fault.text);
        if (!event_equal(copy, e))
            give_up(trial, "its own text sets another value", text.s);
    }
    str_finish(&text);
    free(copy);
}

static void entry_try(Trial *trial, long *taken, long *folded)
{
    Dice *dice = &trial->dice;
    Reading reading = {trial->state, trial->now, (Units)dice_from(dice, 0, 2)};
    const Reading metric = {trial->state, trial->now, UNITS_METRIC};
    const Kind *kind = kind_of((KindId)dice_from(dice, 1, KIND_END - 1));
    Event *e = memory_get(2 * sizeof *e), *was = e + 1;
    Str word = {0}, told = {0};
    event_clear(e, kind->id);
    e->at = trial->now;
    e->id = dice_id(dice);
    for (int64_t n = dice_from(dice, 1, 2 * kind->field_count + 1); n > 0 && kind->field_count > 0;
         n--) {
        Fault fault = {0};
        int field = (int)dice_from(dice, 0, kind->field_count - 1);
        word_make(trial, &word);
        *was = *e;
        if (event_set(e, field, (Text){word.s, word.n}, &reading, &fault)) {
            ++*taken;
            again(trial, e, field, &metric);
        } else {
            if (fault.kind == FAULT_NONE || !fault.text[0])
                give_up(trial, "refused without a sentence", kind->fields[field].name);
            if (!same_bytes(was, e, sizeof *e))
                give_up(trial, "refused, and the entry is another", kind->fields[field].name);
        }
    }
    event_tell(e, reading.units, true, &told);
    port_json(e, NULL, &told);
    csv_line(e, &told);
    if (!text_is_utf8((Text){told.s, told.n}))
        give_up(trial, "it is told in bytes that are no text", told.s);
    if (fold_check(trial->state, e, trial->now, NULL)) {
        ++*folded;
        fold_apply(trial->state, e);
        const char *wrong = state_audit(trial->state);
        if (wrong)
            give_up(trial, wrong, told.s);
    }
    str_finish(&word);
    str_finish(&told);
    free(e);
}

int main(int argc, char **argv)
{
    long count = argc > 1 ? strtol(argv[1], NULL, 10) : 20000, taken = 0, folded = 0;
    uint64_t seed = argc > 2 ? strtoull(argv[2], NULL, 10) : 1;
    Trial trial = {.state = memory_get(sizeof(State)), .now = {BOOK_BEGIN_MS}};
    Event *events = memory_get(SEASON * sizeof *events);
    setenv("TZ", "UTC0", 1);
    tzset();
    for (long i = 0; i < count; i++) {
        if (i % ENTRIES_A_STATE == 0) { /* a state of its own, so that a seed repeats it */
            alarm(HANG_SECONDS);
            trial.seed = trial.dice.x = seed + (uint64_t)(i / ENTRIES_A_STATE);
            dice_legal(&trial.dice, events, SEASON, trial.state);
            trial.now = events[SEASON - 1].at;
        }
        trial.entry = i % ENTRIES_A_STATE;
        trial.now.ms += dice_from(&trial.dice, 1, MS_PER_HOUR);
        entry_try(&trial, &taken, &folded);
    }
    free(events);
    free(trial.state);
    printf("%ld entries, %ld words taken, %ld entries folded: no fault\n", count, taken, folded);
    return 0;
}
