#include "cli/session.h"

#include "base/memory.h"
#include "paint/glyph.h"
#include "paint/ink.h"
#include "store/running.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

static const char *environment(const char *name)
{
    const char *value = getenv(name);
    return value != NULL && *value != '\0' ? value : NULL;
}

static const Option common[] = {
    {"log", 0, TAKES_VALUE, "FILE", "the log; else $ULLAGE_LOG, else your own data folder",
     OPTION_LOG},
    {"units", 0, TAKES_VALUE, "SYSTEM",
     "metric, us or imperial: display, and amounts without a unit", OPTION_UNITS},
    {"json", 0, TAKES_NOTHING, NULL, "print the result as JSON", OPTION_JSON},
    {"asserted", 0, TAKES_NOTHING, NULL, "parts of another program in the log are meant",
     OPTION_ASSERTED},
    {"help", 'h', TAKES_NOTHING, NULL, "print this help", OPTION_HELP},
};

const Option *options_common(int *count)
{
    *count = (int)(sizeof common / sizeof common[0]);
    return common;
}

static const Option drawn[] = {
    {"theme", 0, TAKES_VALUE, "THEME", "default, light, monochrome or night; else $ULLAGE_THEME",
     OPTION_THEME},
    {"ascii", 0, TAKES_NOTHING, NULL, "draw with plain characters; else $ULLAGE_ALPHABET",
     OPTION_ASCII},
    {"utf8", 0, TAKES_NOTHING, NULL, "draw with the characters of Unicode", OPTION_UTF8},
    {"mouse", 0, TAKES_WHEN_JOINED, NULL,
     "the board takes the mouse, too (--mouse=no: not any more); else $ULLAGE_MOUSE", OPTION_MOUSE},
};

const Option *options_looks(int *count)
{
    *count = (int)(sizeof drawn / sizeof drawn[0]);
    return drawn;
}

static const Option alone[] = {
    {"far", 0, TAKES_NOTHING, NULL, "begin with the far view, for a screen on the wall",
     OPTION_FAR},
    {"night", 0, TAKES_VALUE, "FROM-TO",
     "the board takes the night theme from then to then: 21:30-6", OPTION_NIGHT},
    {"version", 'V', TAKES_NOTHING, NULL, "print the version of the program", OPTION_VERSION},
};

const Option *options_alone(int *count)
{
    *count = (int)(sizeof alone / sizeof alone[0]);
    return alone;
}

OptionList options_join(const Option *own, int own_count, bool with_looks)
{
    int n = 0, looks = 0;
    const Option *more = options_common(&n), *how = options_looks(&looks);
    if (!with_looks)
        looks = 0;
    const int count = own_count + n + looks;
    Option *all = memory_get((size_t)count * sizeof *all);
    if (own != NULL)
        memcpy(all, own, (size_t)own_count * sizeof *all);
    memcpy(all + own_count, how, (size_t)looks * sizeof *all);
    memcpy(all + own_count + looks, more, (size_t)n * sizeof *all);
    return (OptionList){all, count};
}

bool session_path(Session *session, const char *asked, Fault *fault)
{
    const char *path = asked != NULL ? asked : environment("ULLAGE_LOG");
    if (asked != NULL && *asked == '\0')
        return fault_set(fault, FAULT_USAGE, "--log needs the name of a file.");
    session->log_named = path != NULL;
    if (path != NULL) {
        str_adds(&session->path, path);
        return true;
    }
    const char *data = environment("XDG_DATA_HOME");
    const char *home = environment("HOME");
    if (data != NULL && data[0] == '/') /* the XDG specification: a relative one is ignored */
        str_addf(&session->path, "%s/ullage/water.db", data);
    else if (home != NULL)
        str_addf(&session->path, "%s/.local/share/ullage/water.db", home);
    else
        return fault_set(
            fault, FAULT_LOG,
            "There is no home folder to keep the log in. Say where it is: --log FILE.");
    return true;
}

static void folder_of(const Session *session, Str *folder)
{
    const char *path = session->path.s, *slash = strrchr(path, '/');
    str_add(folder, slash == NULL ? text_of(".") : text_slice(path, (size_t)(slash - path) + 1));
}

/* A log that was named begins only where its folder is there: in an empty place where a disk should
 * be mounted the other one would not be missed. */
static bool folder_there(const Session *session, Fault *fault)
{
    Str folder = {0};
    folder_of(session, &folder);
    const bool there = access(folder.s, F_OK) == 0;
    if (!there)
        fault_set(fault, FAULT_LOG,
                  "The folder %s of the log is not there. Is its disk mounted? Make the folder if "
                  "a log is to begin in it.",
                  folder.s);
    str_finish(&folder);
    return there;
}

/* Is there nothing in the folder of a log that was named? So looks a place where a disk is to be
 * mounted, and is not. */
static bool folder_empty(const Session *session)
{
    Str folder = {0};
    folder_of(session, &folder);
    DIR *dir = opendir(folder.s);
    str_finish(&folder);
    if (dir == NULL)
        return false;
    int names = 0;
    while (readdir(dir) != NULL)
        names++;
    closedir(dir);
    return names <= 2; /* itself and the one above */
}

static void say_waiting(void *unused)
{
    (void)unused;
    fputs("ullage: another program is writing to this log: waiting for it.\n", stderr);
}

static bool theme_parse(const char *where, const char *name, int *theme, Fault *fault)
{
    for (int s = 0; s < SCHEME_COUNT; s++)
        if (strcmp(name, scheme_name((Scheme)s)) == 0) {
            *theme = s;
            return true;
        }
    return fault_set(fault, FAULT_USAGE,
                     "%s: there is no theme %s. There are: default, light, "
                     "monochrome, night.",
                     where, text_quote(text_of(name)).s);
}

static const char *const alphabets[ALPHABET_COUNT] = {"utf8", "ascii"};
static const char *const no_yes[] = {"no", "yes"};

/* One of two words: as an option told it, which a board (`keep`) then remembers; else as remembered
 * of this kind of terminal. */
static void look_remembered(Session *session, const char *what, const char *const words[2],
                            bool told, bool keep, int *value)
{
    const char *term = environment("TERM");
    Str word = {0};
    Fault ignored = {0};
    if (term != NULL && log_look(session->log, what, term, &word, &ignored)) {
        const char *is = word.n > 0 ? word.s : "";
        if (told && keep && strcmp(is, words[*value]) != 0)
            (void)log_set_look(session->log, what, term, words[*value], &ignored);
        for (int i = 0; i < 2 && *value < 0; i++)
            *value = strcmp(is, words[i]) == 0 ? i : *value;
    }
    str_finish(&word);
}

/* Where neither options nor the environment say how to draw. */
static void looks_remembered(Session *session, bool board)
{
    Looks *looks = &session->looks;
    Str theme = {0};
    Fault ignored = {0};
    if (looks->theme < 0 && environment("NO_COLOR") == NULL &&
        log_look(session->log, "theme", "", &theme, &ignored) && theme.n > 0)
        (void)theme_parse("theme", theme.s, &looks->theme, &ignored);
    str_finish(&theme);
    look_remembered(session, "alphabet", alphabets, looks->alphabet_told, board, &looks->alphabet);
    look_remembered(session, "mouse", no_yes, looks->mouse_told, board, &looks->mouse);
}

bool session_open(Session *session, LogMode mode, Fault *fault)
{
    if (session->log_named && mode != LOG_SCRATCH && !folder_there(session, fault))
        return false;
    const bool begins = session->log_named && mode == LOG_WRITE && folder_empty(session);
    session->log = log_open(session->path.s, session->asserted ? mode | LOG_ASSERTED : mode, fault);
    if (session->log == NULL)
        return false;
    if (begins)
        fprintf(stderr,
                "ullage: a new log begins at %s, in an empty folder. Is the disk of another log to "
                "be mounted there? Then remove this one first.\n",
                session->path.s);
    if (isatty(STDERR_FILENO))
        log_on_wait(session->log, say_waiting, NULL);
    if (session->looks.wanted)
        looks_remembered(session, session->looks.of_board && mode == LOG_WRITE);
    return session->units_asked || log_units(session->log, &session->units, fault);
}

bool session_open_begun(Session *session, Fault *fault)
{
    return session_open(session, access(session->path.s, F_OK) == 0 ? LOG_WRITE : LOG_READ, fault);
}

const State *session_state(Session *session, Board *board, Moment *at, Fault *fault)
{
    const Given *given = arguments_get(&session->arguments, OPTION_AT);
    int64_t entries = 0;
    int zone = 0;
    *at = session->now;
    if (given != NULL && !moment_parse(text_of(given->value), session->now, at, &zone, fault))
        return NULL;
    if (!session_open(session, LOG_READ, fault))
        return NULL;
    const State *state = log_state_lent(session->log, given != NULL ? at : NULL, &entries, fault);
    if (state == NULL)
        return NULL;
    board_make(board, state, entries, *at, session->units);
    if (given == NULL) {
        Running running[LINES_MAX];
        board_runs(board, running, running_read(log_path(session->log), state, *at, running));
    }
    session->status = board->unread > 0 ? FAULT_LOG : STATUS_DONE;
    return state;
}

void session_unread_tell(const Board *board)
{
    for (int i = 0; i < board->alert_count; i++)
        if (strcmp(board->alerts[i].id, "unread") == 0)
            fprintf(stderr, "ullage: %s\n", board->alerts[i].text);
}

Board *session_board(Session *session, Fault *fault)
{
    Board *board = memory_resize(NULL, sizeof *board);
    Moment at;
    if (session_state(session, board, &at, fault) != NULL)
        return board;
    free(board);
    return NULL;
}

bool session_settle(Session *session, const Arguments *arguments, Fault *fault)
{
    const Given *units = arguments_get(arguments, OPTION_UNITS);
    if (units != NULL) {
        if (!units_parse(text_of(units->value), &session->units, fault))
            return false;
        session->units_asked = true;
    }
    if (arguments_get(arguments, OPTION_JSON) != NULL)
        session->json = true;
    if (arguments_get(arguments, OPTION_ASSERTED) != NULL)
        session->asserted = true;
    return true;
}

bool session_bound(const Session *session, const char *text, bool until, Moment *m, Fault *fault)
{
    int zone = 0;
    if (!moment_parse(text_of(text), session->now, m, &zone, fault))
        return fault_prefix(fault, "%s: ", until ? "--until" : "--since");
    if (strlen(text) == 10 && strspn(text, "0123456789-") == 10) {
        const int64_t day = moment_local_day(*m);
        *m = moment_of_local_day(until ? day + 1 : day);
        m->ms -= until ? 1 : 0;
    }
    return true;
}

/* "1", "yes", "on" and the like; "0", "no", "off" and an empty word are no. */
static bool said_yes(const char *value)
{
    return value != NULL && strcmp(value, "0") != 0 && strcmp(value, "no") != 0 &&
           strcmp(value, "off") != 0;
}

/* Minutes since midnight; -1: no time of day. Moves `text` behind it. */
static int clock_take(const char **text)
{
    const char *at = *text;
    int hour = 0, minute = 0;
    if (!is_digit(*at))
        return -1;
    for (int i = 0; i < 2 && is_digit(*at); i++)
        hour = hour * 10 + *at++ - '0';
    if (*at == ':') {
        if (!is_digit(at[1]) || !is_digit(at[2]))
            return -1;
        minute = (at[1] - '0') * 10 + at[2] - '0';
        at += 3;
    }
    *text = at;
    return hour < 24 && minute < 60 ? hour * 60 + minute : -1;
}

bool night_parse(const char *text, Looks *looks, Fault *fault)
{
    const char *rest = text;
    looks->night_begins = clock_take(&rest);
    const bool parted = *rest == '-';
    rest += parted;
    looks->night_ends = parted ? clock_take(&rest) : -1;
    if (looks->night_begins >= 0 && looks->night_ends >= 0 && *rest == '\0' &&
        looks->night_begins != looks->night_ends)
        return true;
    looks->night_begins = looks->night_ends = 0;
    return fault_set(
        fault, FAULT_USAGE,
        "--night: %s are no hours of a night. Give when it begins and when it ends, as "
        "in 21:30-6.",
        text_quote(text_of(text)).s);
}

static bool looks_environment(Looks *looks, Fault *fault)
{
    const char *theme = environment("ULLAGE_THEME"), *alphabet = environment("ULLAGE_ALPHABET");
    if (theme != NULL && !theme_parse("ULLAGE_THEME", theme, &looks->theme, fault))
        return false;
    if (alphabet != NULL && strcmp(alphabet, "ascii") != 0 && strcmp(alphabet, "utf8") != 0)
        return fault_set(fault, FAULT_USAGE, "ULLAGE_ALPHABET: %s is neither ascii nor utf8.",
                         text_quote(text_of(alphabet)).s);
    if (alphabet != NULL)
        looks->alphabet = strcmp(alphabet, "ascii") == 0 ? ALPHABET_ASCII : ALPHABET_UTF8;
    if (environment("ULLAGE_MOUSE") != NULL)
        looks->mouse = said_yes(environment("ULLAGE_MOUSE"));
    return true;
}

static bool looks_given(Looks *looks, const Arguments *arguments, Fault *fault)
{
    const Given *theme = arguments_get(arguments, OPTION_THEME);
    const Given *mouse = arguments_get(arguments, OPTION_MOUSE);
    const bool ascii = arguments_get(arguments, OPTION_ASCII) != NULL;
    const bool utf8 = arguments_get(arguments, OPTION_UTF8) != NULL;
    if (ascii && utf8)
        return fault_set(fault, FAULT_USAGE, "Give --ascii or --utf8, not both.");
    if (theme != NULL && !theme_parse("--theme", theme->value, &looks->theme, fault))
        return false;
    if (ascii || utf8)
        looks->alphabet = ascii ? ALPHABET_ASCII : ALPHABET_UTF8;
    looks->alphabet_told |= ascii || utf8;
    if (mouse != NULL)
        looks->mouse = mouse->value == NULL || said_yes(mouse->value);
    looks->mouse_told |= mouse != NULL;
    return true;
}

bool session_looks(Session *session, const Arguments *before, const Arguments *own, Fault *fault)
{
    session->looks.wanted = true;
    session->looks.of_board = own == NULL;
    return looks_environment(&session->looks, fault) &&
           looks_given(&session->looks, before, fault) &&
           (own == NULL || looks_given(&session->looks, own, fault));
}

void session_finish(Session *session)
{
    if (session->log != NULL)
        log_close(session->log);
    arguments_finish(&session->arguments);
    str_finish(&session->path);
}

static bool wants_colour(void)
{
    const char *term = environment("TERM");
    return environment("NO_COLOR") == NULL && isatty(STDOUT_FILENO) && term != NULL &&
           strcmp(term, "dumb") != 0;
}

Moment session_clock(void)
{
    struct timespec t;
    clock_gettime(CLOCK_REALTIME, &t);
    return (Moment){(int64_t)t.tv_sec * MS_PER_SECOND + t.tv_nsec / 1000000};
}

Session session_begin(const CommandTable *commands, Dashboard dashboard)
{
    return (Session){.now = session_clock(),
                     .colour = wants_colour(),
                     .looks = {.theme = -1, .alphabet = -1, .mouse = -1},
                     .commands = commands,
                     .dashboard = dashboard};
}
