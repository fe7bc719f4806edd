/* setup.h - the set-up in steps: which fields of which kinds a step asks, what is proposed for
 * them, and the entries that the answers become.
 *
 * A step is a list of rows, each a field of a kind, read by the same event_set as a form or a
 * command: words, limits and refusals are the kinds' own. Things that are alike (the vessels, the
 * stages) are named in one row, with commas or spaces between the labels, vessels simply by their
 * number; the rows after it take one answer for all of them, or one for each with commas between.
 * Every row has a proposal or may stay empty. A step's entries are written together, all or none;
 * what the State holds shows which steps are behind.
 *
 * Nothing is called potable unless the person says so; vessels for washing are non-potable.
 */
#ifndef ULLAGE_SCREENS_SETUP_H
#define ULLAGE_SCREENS_SETUP_H

#include "tui/fields.h"

typedef enum {
    SETUP_VESSELS,
    SETUP_STAGES,
    SETUP_CREW,
    SETUP_SOURCES,
    SETUP_STOPS,
    SETUP_STEPS
} SetupStep;

enum { SETUP_ENTRIES_MAX = 2 * VESSELS_ABOARD_MAX + 1 };

typedef struct {
    SetupStep step;
    Units units; /* as understood: the first step asks for them */
    Fields rows;
    bool nothing;                 /* no thing is named: there is no more to ask of this step */
    bool ready;                   /* every row is right, and the entries can be written */
    char refusal[FAULT_TEXT_MAX]; /* why they can't, where no row is wrong; "" */
    int count;                    /* of entries; 0 where the answers leave the thing out */
    Event entries[SETUP_ENTRIES_MAX];
} Setup;

const char *setup_step_name(SetupStep step); /* "vessels", "treatment", ... */
/* Is the step behind already, as the State tells: is one of its things there? */
bool setup_done(const State *state, SetupStep step);

/* The empty rows of a step. */
void setup_begin(Setup *setup, SetupStep step, const State *state, Units units, Moment now);
/* Reads every row anew: proposals, errors, the entries. They are tried one after the other on a
 * copy of the state, each a millisecond after the one before (event_place). */
void setup_read(Setup *setup, const State *state, Moment now);
/* A key of a form; false: it is none. setup_read is for the caller. */
bool setup_key(Setup *setup, Press press);
/* Is the active row that of the units? */
bool setup_asks_units(const Setup *setup);

#endif
