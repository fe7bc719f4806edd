/* logbook.h - a small log in memory, for tests: entries said as on the command line, folded to a
 * State; dice that write random logs.
 *
 * A Logbook has a clock of its own (`now`): an entry gets that time, and tests pass time with
 * book_pass. Entries may be said at any time, also before others: the fold sorts by (time, id) and
 * leaves out what voids strike (model/strike.h). A failure ends the test (cmocka). */
#ifndef ULLAGE_TESTS_SUPPORT_LOGBOOK_H
#define ULLAGE_TESTS_SUPPORT_LOGBOOK_H

#include "model/event.h"
#include "model/kinds.h"
#include "model/state.h"

#include <stddef.h>

typedef struct {
    Event *events; /* in the order in which they arrived */
    size_t count, room;
    Moment now;    /* the time of what is said next */
    Moment latest; /* the latest that it ever was: what is after it is the future */
    int32_t zone;  /* of new entries */
    uint64_t ids;  /* how many ids were given out */
    State state;   /* what book_state folded last */
} Logbook;

/* Equal bit by bit. */
bool state_equal(const State *a, const State *b);

/* 2026-06-01T08:00:00Z, where every book begins. */
#define BOOK_BEGIN_MS INT64_C(1780300800000)

Logbook *book_open(void);
/* And A1, A2 and A3 of 12 L aboard, full and potable, coupled in that order on the galley. */
Logbook *book_of_three(void);
void book_close(Logbook *book);
void book_pass(Logbook *book, double days); /* negative: back, for a back-dated entry */

/* Says an entry as after `ullage`, with "..." around words that have spaces, positional fields and
 * --options of its field table, and --note. Asks fold_check; a refusal fails the test. Returns the
 * entry's index. */
size_t book_say(Logbook *book, const char *words);
/* The same, and the entry must be refused: returns the sentence. Nothing is added. */
const char *book_refusal(Logbook *book, const char *words, Fault *fault);
/* The same, and the sentence must say that. */
void book_refuses(Logbook *book, const char *words, const char *says);
/* Adds without asking fold_check, as a merge does. The words must still be readable. */
size_t book_force(Logbook *book, const char *words);
/* The same from the machine of that mark (base/uuid.h); 0: from none that says so. */
size_t book_force_by(Logbook *book, uint32_t mark, const char *words);
/* Adds an entry as it is; gives it an id where it has none. */
size_t book_add(Logbook *book, const Event *e);
/* Reads words into an entry at book->now; false with the sentence. `state` is that before it. */
bool book_read(const Logbook *book, const State *state, const char *words, Event *e, Fault *fault);
/* Adds a void of entry number `index`, at book->now. */
size_t book_void(Logbook *book, size_t index);

/* The fold of all entries; owned by the book, valid until the next call. */
const State *book_state(Logbook *book);
/* The fold of what is before (at, id). */
void book_state_before(const Logbook *book, const Event *e, State *state);
const Vessel *book_vessel(Logbook *book, const char *label); /* must be aboard */
const Line *book_line(Logbook *book, const char *label);     /* must be there */
const Stage *book_stage(Logbook *book, const char *label);   /* must be there */
/* The vessels of a line from the air side on, as in "A1 A3"; else the test fails. */
void book_order(Logbook *book, const char *line, const char *order);
/* What a vessel holds; else the test fails. */
void book_holds(Logbook *book, const char *vessel, int64_t ml, Quality quality);
/* How many discrepancies of the kind are listed. */
int book_discrepancies(Logbook *book, DiscrepancyKind kind);
int64_t book_amount(Logbook *book, DiscrepancyKind kind); /* of the latest of the kind; -1: none */

/* Sorts by (time, id), leaves out the second of two with the same id and what is struck, and folds
 * the rest. The entries themselves stay as they are. */
void entries_fold(const Event *events, size_t count, State *state);

/* ---- dice ---- */

typedef struct {
    uint64_t x;
} Dice; /* splitmix64 (Steele, Lea, Flood, OOPSLA 2014) */
uint64_t dice_throw(Dice *dice);
int64_t dice_from(Dice *dice, int64_t least, int64_t most); /* inclusive */
bool dice_one_in(Dice *dice, int n);
Uuid dice_id(Dice *dice);

/* A random entry whose fields are in their ranges (event_check_fields holds). With `fitting` the
 * amounts are mostly chosen to fit the state; fold_check may still refuse it. */
void dice_entry(Dice *dice, const State *state, Moment at, bool fitting, Event *e);
/* Writes entries in time order, each accepted by fold_check. events[0..count); the state after
 * them. */
void dice_legal(Dice *dice, Event *events, size_t count, State *state);
/* Writes entries that nobody checked. */
void dice_wild(Dice *dice, Event *events, size_t count, State *state);

#endif
