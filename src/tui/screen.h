/* screen.h - what a screen is: one record at the end of its file.
 *
 * A screen draws what the App holds and turns keys into wishes. It asks no clock, reads no log,
 * knows no terminal. What a key does is declared once, in the screen's action table: help, the row
 * of key hints and the manual are made from it.
 */
#ifndef ULLAGE_TUI_SCREEN_H
#define ULLAGE_TUI_SCREEN_H

#include "model/state.h"
#include "paint/cell.h"
#include "tui/press.h"

#include <stddef.h>

typedef struct App App;
typedef struct Wish Wish;

typedef struct {
    Press press, other; /* other: a second key for it, PRESS_NONE where there is none */
    const char *name;   /* for the hints: one or two words */
    const char *help;   /* for `?` and the manual: a phrase */
    int rank;           /* place in the row of hints, 1 first; 0: not there, only in help */
    void (*act)(App *app, int argument, Wish *wish); /* NULL: the screen's `key` does it */
    int argument;                                    /* handed to act */
} Action;

/* A sign that a screen draws and what it stands for: help lists it below the keys. */
typedef struct {
    Glyph glyph;
    const char *means;
} Sign;

/* What the log says to entries that were only tried. */
typedef struct {
    const State *before, *after; /* the state without them and with them */
    int64_t entries;             /* in the log without them */
    const Fault *fault;          /* NULL: they would be written */
} Trial;

typedef struct {
    const char *name; /* "log": title, help, manual */
    const char *gist; /* one line: what it shows */
    Press press;      /* opens it from any screen that is not typed into; PRESS_NONE: none */
    bool typed;       /* letters are text here: the general one-letter keys are off */
    const Action *actions;
    int action_count;
    const Sign *signs;
    int sign_count;
    size_t own_size; /* bytes that the screen keeps for itself while it is open (app_own), zeroed */
    /* The name of an action as things stand now, beside its key; NULL, or a screen that has none:
     * the action's own. */
    const char *(*hint)(const App *app, const Action *action);
    void (*open)(App *app, Wish *wish); /* just opened; may be NULL */
    void (*close)(App *app);            /* about to be closed; may be NULL */
    bool (*keeps)(const App *app); /* closed: is its own memory kept for the next time? Then `open`
                                      finds it as it was; may be NULL */
    void (*told)(App *app, Wish *wish); /* the state, or an answer asked for, is new; may be NULL */
    void (*tick)(App *app);             /* only the time went on; may be NULL */
    void (*written)(App *app);          /* its entries are in the log; may be NULL */
    void (*tried)(App *app, const Trial *trial); /* as it wished (WISH_TRY); may be NULL */
    void (*draw)(const App *app, Area area);
    bool (*key)(App *app, Press press,
                Wish *wish); /* keys that are no action; false: not mine; may be NULL */
} Screen;

typedef struct {
    const Action *actions;
    int count;
} ActionList;

/* The screens that an App is opened with. */
typedef struct {
    /* Those that a key opens, in the order of help and Tab, the one that is always open first. Ends
     * in NULL. */
    const Screen *const *screens;
    const ActionList *general; /* what works on every screen that is not typed into */
} ScreenTable;

#endif
