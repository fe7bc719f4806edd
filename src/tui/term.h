/* term.h - the terminal: the only file with curses in it.
 *
 * A sheet goes in, bytes go out, and only for what has changed; keys come back as presses. Signals
 * and waiting are the loop's business (tui/loop.h).
 */
#ifndef ULLAGE_TUI_TERM_H
#define ULLAGE_TUI_TERM_H

#include "base/fault.h"
#include "paint/cell.h"
#include "tui/press.h"

typedef struct {
    int scheme;   /* Scheme; -1: monochrome where NO_COLOR is set or there are no colours, else
                     default */
    int alphabet; /* Alphabet; -1: by locale and terminal */
    bool mouse; /* clicks on key hints, the wheel as Up and Down; off unless asked for: it takes the
                   terminal's own way of marking text */
} TermOptions;

typedef struct {
    int rows, cols;
    Scheme scheme;
    Alphabet alphabet;
    bool ascii;        /* the locale can show ASCII only: Sheet.ascii */
    int input, output; /* file descriptors */
} TermInfo;

/* Takes over the terminal on standard input and output. Refused with FAULT_USAGE and one sentence:
 * no terminal, an unknown TERM, one without cursor addressing ("dumb"); nothing was sent then.
 * LINES and COLUMNS are taken out of the environment: they would pin the size. */
bool term_open(const TermOptions *options, TermInfo *info, Fault *fault);
/* Gives the terminal back as it was. Does nothing where it is not open. */
void term_close(void);

/* Size after a change of the window. True where it changed. */
bool term_resize(TermInfo *info);
/* Shows a sheet: sends what differs from what is shown, nothing where nothing does. */
void term_paint(const Sheet *sheet, Scheme scheme);
/* The next paint sends every cell. */
void term_forget(void);

/* What has been typed and is there already; PRESS_NONE: nothing more. Never waits. *pasted: it came
 * with a paste. A terminal that is gone gives PRESS_NONE and sets *gone. */
Press term_press(bool *pasted, bool *gone);
/* Does an Enter belong to a paste, on a terminal that does not say so? `typed`: characters that
 * came in one go before it; a hand is not that fast, and an Enter in a paste must not write
 * anything. */
bool term_burst(int typed);
/* Where the mouse was clicked, after term_press gave PRESS_CLICK. */
void term_click(int *row, int *col);

/* Before the process is stopped, and when it goes on. */
void term_suspend(void);
void term_resume(void);

#endif
