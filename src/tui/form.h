/* form.h - a form is a kind's field table plus the text typed.
 *
 * Each key re-parses every field with the same event_set as the command line, so a form accepts and
 * refuses exactly what a command does. A field left empty takes its proposal, where it has one.
 * What the entry would change is the fold of the state with the entry added.
 */
#ifndef ULLAGE_TUI_FORM_H
#define ULLAGE_TUI_FORM_H

#include "model/field.h"
#include "outlook/board.h"
#include "paint/cell.h"
#include "tui/press.h"

enum { FORM_FIELDS_MAX = 20, FORM_TEXT_MAX = NOTE_MAX, FORM_PROPOSAL_MAX = 64 };
/* Two rows that every kind has behind its own fields. */
enum { FORM_TIME = 100, FORM_NOTE = 101 };

typedef struct {
    int field; /* index into the kind's table, or FORM_TIME, FORM_NOTE */
    const char *caption, *unit, *help;
    char text[FORM_TEXT_MAX + 1];     /* as typed */
    char proposal[FORM_PROPOSAL_MAX]; /* taken while the text is empty; "" none */
    char completed[LABEL_SIZE];       /* the name that the text is taken for; "" none */
    char candidates[160];             /* other names that would do, for the eye */
    bool as_typed;                    /* the completion was put away: the text is meant */
    bool required;
    bool wrong; /* `error` says what is wrong */
    char error[FAULT_TEXT_MAX];
    char echo[160]; /* what was understood, where that is not plain: the absolute time, litres */
} FormField;

typedef struct Form {
    const Kind *kind;
    int count, active;
    size_t caret;   /* byte in the active field's text */
    bool touched;   /* something was typed */
    bool ready;     /* every field is right and event_check agrees (at the head of the log) */
    bool backdated; /* earlier than the latest entry: `ready` and the changes need the log
                       (WISH_TRY) */
    char refusal[FAULT_TEXT_MAX]; /* why the entry as a whole can't be; "" */
    Str changes;                  /* lines of what it would change, each ended by a newline */
    Event entry;                  /* as read so far */
    bool amends;                  /* filled with `amended`'s own values */
    Event amended;
    FormField fields[FORM_FIELDS_MAX];
} Form;

/* An empty form with its proposals made from the state. `about`: a vessel, stage, line or source
 * that the form is to be about; "" for the proposals of tui/propose.h. */
void form_begin(Form *form, KindId kind, const Board *board, const State *state, Units units,
                Moment now, const char *about);
/* The same, filled with an entry's own values (amending). */
void form_begin_from(Form *form, const Event *entry, const Board *board, const State *state,
                     Units units, Moment now);
void form_finish(Form *form);

/* Reads every field anew; sets wrong, error, echo, ready, changes. */
void form_read(Form *form, const Board *board, const State *state, Units units, Moment now);
/* What the log said to a backdated entry: states before and after, or why it is refused. */
void form_tried(Form *form, const State *before, const State *after, int64_t entries, Units units,
                Moment now, const Fault *fault);

/* Typing and moving. False: not a key of a form (Enter, Esc). The caller calls form_read after. */
bool form_key(Form *form, Press press, const State *state);
/* The first field that is wrong becomes the active one; false where none is. */
bool form_show_wrong(Form *form);
/* Text of a field as it will be read: typed, completed or proposed; "" none. */
const char *form_value(const Form *form, int index);
int form_index(const Form *form, const char *caption); /* -1 */

void form_draw(const Form *form, Sheet *sheet, Area area, Alphabet alphabet, Units units);

#endif
