/* session.h - what a command runs in: the clock, the log, the units, what was typed. */
#ifndef ULLAGE_CLI_SESSION_H
#define ULLAGE_CLI_SESSION_H

#include "base/moment.h"
#include "base/units.h"
#include "cli/option.h"
#include "model/kinds.h"
#include "outlook/board.h"
#include "store/log.h"

/* Exit statuses beyond those of FaultKind. */
enum { STATUS_DONE = 0, STATUS_DUE = 4 };

/* Ids of the options that more than one command takes; a command's own begin at OPTION_OWN, the
 * fields of a kind at OPTION_FIELD. */
enum {
    OPTION_LOG = 1,
    OPTION_UNITS,
    OPTION_JSON,
    OPTION_HELP,
    OPTION_VERSION,
    OPTION_AT,
    OPTION_NOTE,
    OPTION_DRY_RUN,
    OPTION_ASSERTED,
    OPTION_THEME,
    OPTION_ASCII,
    OPTION_UTF8,
    OPTION_MOUSE,
    OPTION_VESSEL,
    OPTION_LINE,
    OPTION_REPLACE,
    OPTION_SINCE,
    OPTION_UNTIL,
    OPTION_CSV,
    OPTION_FAR,
    OPTION_NIGHT,
    OPTION_AMEND,
    OPTION_OWN = 100,
    OPTION_FIELD = 1000
};

/* The options that every command takes: log, units, json, help. */
const Option *options_common(int *count);
/* Those that say how a screen or a chart is drawn. */
const Option *options_looks(int *count);
/* What a command line is read by: own options, looks, the common ones. The caller frees them. */
OptionList options_join(const Option *own, int own_count, bool with_looks);
/* Of the program alone. */
const Option *options_alone(int *count);

typedef struct Session Session;
typedef struct Command Command;
typedef struct CommandTable CommandTable;

/* The dashboard, supplied by main: runs on the session's open log until the person leaves it. */
typedef bool (*Dashboard)(Session *session, Fault *fault);

/* How the board and the charts are drawn: by the options, else the environment (ULLAGE_THEME,
 * ULLAGE_ALPHABET, ULLAGE_MOUSE), else as the log remembers it (the theme that was chosen last;
 * alphabet and mouse as the board was last told on this kind of terminal), else by what the
 * terminal and the locale can. */
typedef struct {
    int theme;                      /* Scheme; -1: by the terminal and NO_COLOR */
    int alphabet;                   /* Alphabet; -1: by the locale and the terminal */
    int mouse;                      /* -1: nothing was said, so no */
    bool alphabet_told, mouse_told; /* by an option */
    bool far;                       /* the board begins with its far view */
    int night_begins, night_ends;   /* minutes of the local day; the same: no night by the clock */
    bool wanted, of_board;          /* something is drawn; it is the board */
} Looks;

struct Session {
    Moment now;       /* when the program was started; the one look at the clock */
    Str path;         /* of the log, after --log, the environment and the default */
    bool log_asked;   /* the path was given by --log */
    bool log_named;   /* or by $ULLAGE_LOG: its folder is not made for it */
    bool json;        /* --json */
    bool asserted;    /* --asserted: LOG_ASSERTED */
    bool units_asked; /* --units was given; else the log's own setting is read by session_open */
    Units units;
    Looks looks;         /* settled for the commands that have them */
    bool colour;         /* standard output is a terminal and colour is wanted */
    bool board;          /* the dashboard ran: what failed is no matter of the words given */
    int status;          /* exit status of a command that succeeds; above 128: the signal that
                            ended the board */
    Log *log;            /* NULL until session_open */
    Dashboard dashboard; /* NULL: none in this build */
    const CommandTable *commands;
    const Command *command; /* that runs; NULL for the program alone */
    Arguments arguments;
};

/* Opens the log of the session (Fault: FAULT_LOG as log_open) and settles its units. */
bool session_open(Session *session, LogMode mode, Fault *fault);
/* The same to write, of a log that must be there: none is begun. */
bool session_open_begun(Session *session, Fault *fault);

/* The clock, for a command that runs on: Session.now stays what it was. */
Moment session_clock(void);

/* State and board now, or at the time that --at names (*at); opens the log, whose own the state is
 * (log_state_lent). NULL with a Fault: what session_open, moment_parse or the log say. */
const State *session_state(Session *session, Board *board, Moment *at, Fault *fault);
/* On standard error what the board says of entries that can't be read: for what is printed without
 * the board's alerts. */
void session_unread_tell(const Board *board);
/* The board alone; the caller frees it. NULL with a
 * Fault: what session_open, moment_parse or the log say. */
Board *session_board(Session *session, Fault *fault);

/* What entries from elsewhere change, in the lines of board_changes (outlook/board.h): the look
 * before them, and after. The lines are left out where the log was empty or nothing was `added`. */
typedef struct {
    State *state;
    int64_t entries;
} Before;
bool changes_before(Session *session, Before *before, Fault *fault);
/* Ends what changes_before began, in any case. */
bool changes_after(Session *session, Before *before, int64_t added, Str *out, Fault *fault);

/* --since or --until: a date alone is a whole local day, from its start or to its end. */
bool session_bound(const Session *session, const char *text, bool until, Moment *m, Fault *fault);

/* What cli_run does with a session. The name of the log: what was asked for (NULL: nothing), else
 * the environment, else the default. False: FAULT_USAGE where it is empty, FAULT_LOG where there is
 * no home. */
bool session_path(Session *session, const char *asked, Fault *fault);
/* Takes what the common options say; a later call wins. */
bool session_settle(Session *session, const Arguments *arguments, Fault *fault);
/* Looks from the environment, then the options before the command's name, then those after it
 * (NULL: none). False with FAULT_USAGE: no such theme or alphabet, both alphabets at once. */
bool session_looks(Session *session, const Arguments *before, const Arguments *own, Fault *fault);
/* "21:30-6": local hours, the minutes may be left out. False with FAULT_USAGE: anything else, or as
 * long as a day. */
bool night_parse(const char *text, Looks *looks, Fault *fault);
Session session_begin(const CommandTable *commands, Dashboard dashboard);
void session_finish(Session *session);

#endif
