/* loop.h - the only waiting: keys, signals, the minute, entries written by others; and the granting
 * of wishes.
 */
#ifndef ULLAGE_TUI_LOOP_H
#define ULLAGE_TUI_LOOP_H

#include "store/log.h"
#include "tui/screen.h"

typedef struct {
    int scheme;   /* Scheme, -1: by the terminal and NO_COLOR */
    int alphabet; /* Alphabet, -1: by the locale and the terminal */
    bool mouse;
    bool far;                     /* begins with the far view */
    int night_begins, night_ends; /* app_night */
    Units units;
    int64_t
        shift_ms; /* added to the clock: a demo stands at the end of its own story. 0 otherwise */
    bool demo;    /* the log is a throw-away copy: the board says so */
} TuiOptions;

/* Runs the board, with its screens, on an open log until the person leaves it. Takes the terminal
 * over and gives it back in every case. False with a Fault: no terminal, or one that can't be drawn
 * on (FAULT_USAGE); the log can't be read (FAULT_LOG). *status receives the exit status: 0, or 128
 * and the signal that ended it. */
bool tui_run_on(Log *log, const ScreenTable *screens, const TuiOptions *options, int *status,
                Fault *fault);

#endif
