/* fields.h - the rows of a form, whatever they ask for: the fields of a kind, of a reckoner's
 * topic, of a step of the set-up.
 *
 * A row has a caption, the text typed and a proposal that counts while nothing is typed. Its owner
 * reads it after each key and says what is wrong with it, or what was understood. Here are the
 * keys, the completing of names, and the look.
 */
#ifndef ULLAGE_TUI_FIELDS_H
#define ULLAGE_TUI_FIELDS_H

#include "model/kinds.h"
#include "tui/entry.h"

enum { FIELDS_MAX = 24, FIELD_PROPOSAL = 160, FIELD_SAYS = 160, CHOICES_MAX = 160 };

typedef struct {
    int field;                         /* its number with the owner */
    const char *caption, *unit, *help; /* borrowed; unit and help may be NULL */
    Typed typed;
    char proposal[FIELD_PROPOSAL];
    bool idle;    /* the proposal does not count */
    bool present; /* it is what is there now: shown, and said only where it has to be */
    bool list;    /* it may hold several names, with spaces or commas between them */
    char completed[LABEL_SIZE];  /* the name that the text is taken for; "" none */
    char candidates[FIELD_SAYS]; /* other names that would do, for the eye */
    bool as_typed;               /* the completion was put away: the text is meant */
    bool may_be_new;             /* it can be put away */
    bool asks;                   /* `completed` is a guess that must be taken or put away */
    bool required, wrong;        /* wrong: `error` says why */
    char error[FAULT_TEXT_MAX];
    char echo[FIELD_SAYS]; /* what was understood, where that is not plain: a time, litres */
    char why[FIELD_SAYS];  /* where the proposal comes from; "" plain */
} FormField;

typedef struct {
    int count, active;
    bool touched; /* something was typed */
    FormField fields[FIELDS_MAX];
} Fields;

/* What the active row can hold, in order. */
typedef struct {
    int count;
    const char *words[CHOICES_MAX];
    Label names[SOURCES_MAX]; /* that words may point to */
} Choices;

/* A row more; NULL past FIELDS_MAX. */
FormField *fields_add(Fields *fields, int field, const char *caption, const char *unit,
                      const char *help);
/* The text that counts: completed, typed or proposed; "" none. */
const char *field_value(const FormField *row);
void field_wrong(FormField *row, const char *why);
/* Forgets what was said of it; the owner reads it anew. */
void field_clear(FormField *row);
/* Takes the text for a name that begins with it or contains it, unless it is one in full. Where it
 * may be new and is nearly one that is there, it asks. */
void field_complete(FormField *row, Names names, const State *state);

void choices_add(Choices *choices, const char *const *words); /* NULL-terminated */
void choices_names(Choices *choices, Names names, const State *state);

/* Typing, moving about, and Left and Right through the choices, where the row is empty or holds
 * one of them in full. False: not a key of a form (Enter, Esc). The owner reads the rows after. */
bool fields_key(Fields *fields, Press press, const Choices *choices);
void fields_go(Fields *fields, int to); /* past an end: on from the other */
/* The first row that is wrong becomes the active one; false where none is. */
bool fields_show_wrong(Fields *fields);

/* How many rows of the form are seen in an area, the active one among them with what is said of
 * it. */
int fields_shown(const Fields *fields, Area area);
/* Draws them: beside each what is to be said of it, in a narrow area below the active one. Returns
 * the row after the last one. */
int fields_draw(const Fields *fields, Area area);
/* Where only `shown` of them are seen: "3 of 12" at the right end of the area's first row. Returns
 * the columns that it takes, else 0. */
int fields_draw_place(const Fields *fields, int shown, Area area);

#endif
