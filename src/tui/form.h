/* form.h - the form of an entry: a kind's field table plus the text typed (tui/fields.h).
 *
 * Each key re-parses every field with the same event_set as the command line, so a form accepts and
 * refuses exactly what a command does. A field left empty takes its proposal, where it has one.
 * What the entry would change is the fold of the state with the entry added.
 */
#ifndef ULLAGE_TUI_FORM_H
#define ULLAGE_TUI_FORM_H

#include "model/field.h"
#include "tui/app.h"
#include "tui/fields.h"

/* Two rows that every kind has behind its own fields. */
enum { FORM_TIME = 100, FORM_NOTE = 101 };
/* Entries that a form can come to: one for each vessel named, and what goes with them. */
enum { FORM_ENTRIES = VESSELS_ABOARD_MAX + 2 };

typedef struct Form {
    const Kind *kind;
    Fields rows;    /* FormField.field: index into the kind's table, or FORM_TIME, FORM_NOTE */
    bool ready;     /* every field is right and event_check agrees (at the head of the log) */
    bool backdated; /* earlier than the latest entry: `ready` and the changes need the log
                       (WISH_TRY) */
    char refusal[FAULT_TEXT_MAX]; /* why the entry as a whole can't be; "" */
    char becomes[64]; /* "tap becomes boil first", where a verdict changes for the worse; "" */
    Str changes;      /* lines of what it would change, each ended by a newline */
    Event entry;      /* as read so far: the first, where there are several */
    Event entries[FORM_ENTRIES]; /* what would be written, in order */
    int count;
    Event with;  /* goes with them: kind KIND_NONE where nothing does */
    bool amends; /* filled with `amended`'s own values */
    Event amended;
    bool shows; /* the rows show what is known of the thing now, `present` */
    Event present;
    bool unchanged; /* it says nothing that is not so: there is nothing to write */
} Form;

/* An empty form with its proposals made from the state. `about`: a vessel, stage, line or source
 * that the form is to be about; "" for the proposals of tui/propose.h. */
void form_begin(Form *form, KindId kind, const App *app, const char *about);
/* The same for what was done at a planned stop, to be put right: every vessel on a line and of the
 * reserve that has room is filled, from the source of that name, when it was planned for; and with
 * it the stop is taken out of the plan. */
void form_begin_refill(Form *form, const App *app, const Stop *stop);
/* The class that a source has now, from before the fills that took the one before. */
void form_begin_class(Form *form, const App *app, const Source *source);
/* The same, filled with an entry's own values (amending). */
void form_begin_from(Form *form, const Event *entry, const App *app);
void form_finish(Form *form);

/* Reads every field anew; sets wrong, error, echo, ready, changes. */
void form_read(Form *form, const App *app);
/* What the log said to a backdated entry: states before and after, or why it is refused. */
void form_tried(Form *form, const Trial *trial, const App *app);

/* Typing and moving. False: not a key of a form (Enter, Esc). The caller calls form_read after. */
bool form_key(Form *form, Press press, const App *app);
int form_index(const Form *form, const char *caption); /* -1 */
/* The field of the kind that a row asks; NULL: time or note. */
const Field *form_kind_field(const Form *form, const FormField *row);

void form_draw(const Form *form, Area area);

#endif
