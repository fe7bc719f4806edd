/* setup.h - the questions of the first set-up, what is proposed for each, and the entries that the
 * answers become.
 *
 * Pure: a State and texts in, entries out. Every question has a proposal, so that an empty answer
 * is one, too. The questions come in steps; a step's entries are written together, all or none,
 * when its last question is answered. So the set-up can be left after any step, and what the State
 * holds shows which steps are behind.
 *
 * Nothing is called potable unless the person says so: vessels are named questionable, the ones for
 * washing non-potable, a source of no known class.
 */
#ifndef ULLAGE_SCREENS_SETUP_H
#define ULLAGE_SCREENS_SETUP_H

#include "model/event.h"
#include "model/state.h"

typedef enum { SETUP_VESSELS, SETUP_STAGES, SETUP_CREW, SETUP_SOURCE, SETUP_STEPS } SetupStep;

enum { SETUP_LIVES = 8, SETUP_TEXT = 240, SETUP_ENTRIES_MAX = 2 * VESSELS_ABOARD_MAX + 1 };

typedef enum {
    ASK_UNITS,
    ASK_LINE,
    ASK_COUNT,
    ASK_RESERVE,
    ASK_WASH,
    ASK_ORDER,
    ASK_APART,
    ASK_SIZE,
    ASK_HEEL,
    ASK_LEVEL,
    ASK_CLEAN,
    ASK_STAGES,
    ASK_LIFE, /* SETUP_LIVES of them, one a stage */
    ASK_CREW = ASK_LIFE + SETUP_LIVES,
    ASK_SOURCE,
    ASK_SOURCE_TYPE,
    ASK_SOURCE_CLASS,
    ASK_END
} Ask;

typedef struct {
    char text[SETUP_TEXT];      /* as typed; "": the proposal is taken */
    char proposal[SETUP_TEXT];  /* "" means none: the thing is left out */
    char error[FAULT_TEXT_MAX]; /* "": understood */
    bool applies;               /* false: not asked, since an answer before makes it idle */
} Answer;

typedef struct {
    Label label;
    Duty duty;
    int64_t capacity, level; /* mL */
} SetupVessel;
typedef struct {
    Label label;
    StageType type;
    int64_t life_ml, life_days, life_hours; /* 0: none; hours in thousandths */
    int64_t spares;                         /* -1: not said */
} SetupStage;

typedef struct {
    Answer answer[ASK_END];
    /* what was understood, in order of the questions */
    Units units;
    Label line;
    int on_line, reserve, wash, vessel_count;
    SetupVessel vessel[VESSELS_ABOARD_MAX]; /* those of the line, air side first, reserve, wash */
    int64_t heel;
    int clean; /* 0 not known, 1 potable, 2 sanitised today */
    int stage_count;
    SetupStage stage[SETUP_LIVES];
    int crew;
    Label source;                  /* empty: none */
    int source_type, source_class; /* class -1: not known */
} Setup;

/* Empty answers with their proposals. */
void setup_begin(Setup *setup, const State *state, Units units);
/* Reads all answers anew: proposals, errors, which questions apply. */
void setup_read(Setup *setup, const State *state);

/* The text that counts: typed, else proposed. */
const char *setup_value(const Setup *setup, Ask ask);
SetupStep setup_step_of(Ask ask);
const char *setup_step_name(SetupStep step); /* "vessels", "treatment", ... */
/* The caption of a question ("Held back as reserve"; of a life "sediment lasts"; `out` of
 * SETUP_TEXT bytes), and a sentence of help. */
const char *setup_caption(const Setup *setup, Ask ask, char *out);
const char *setup_help(Ask ask);
/* The words that a question takes, NULL-terminated; NULL where it is no choice. */
const char *const *setup_choices(Ask ask);

/* The next question that applies after `ask` (step +1 or -1); ASK_END past either end. */
Ask setup_next(const Setup *setup, Ask ask, int step);
/* The first question of the step that has an error; ASK_END: the step is right. */
Ask setup_wrong(const Setup *setup, SetupStep step);

/* Is the step behind already, as the State tells? Vessels: one is aboard; treatment: a stage is
 * there; crew: it was said; source: one is named. */
bool setup_done(const State *state, SetupStep step);

/* The entries of a step, each a millisecond after the one before it, the last at `now`. Returns how
 * many (0..SETUP_ENTRIES_MAX): none where the answers leave the thing out. The step must be right.
 */
int setup_entries(const Setup *setup, SetupStep step, Moment now, Event out[SETUP_ENTRIES_MAX]);

#endif
