#define _XOPEN_SOURCE_EXTENDED 1
#include "tui/term.h"

#include "base/memory.h"
#include "paint/width.h"

/* ncursesw has the wide functions under this name only. */
#include <curses.h>
#include <errno.h>
#include <langinfo.h>
#include <locale.h>
#include <signal.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <term.h>
#include <termios.h>
#include <unistd.h>
#include <wchar.h>

/* The terminal is a thing of the process: there is one, and curses keeps what it shows. */
static struct {
    bool open;
    SCREEN *screen;
    int scheme;          /* that the colour pairs are set up for; -1: none */
    int colours;         /* 0, 8 or 256 */
    Ink like[INK_COUNT]; /* the first ink that looks the same: no bytes between the two */
    bool paste;          /* bracketed paste was switched on */
    const char *paste_on, *paste_off; /* how; of terminfo, or the usual */
    bool pasting;
    int click_row, click_col;
    int quiet; /* times in a row that nothing came while a paste was going on */
    struct termios before;
    bool before_known;
} the;

enum { GAP_JOINED = 16 }; /* blanks: up to here they cost fewer bytes than two changes of colour */
enum { PASTE_QUIET = 4 };
enum { SEQUENCE_WAIT_MS = 25 };
enum { CODE_PASTE_BEGIN = KEY_MAX + 1, CODE_PASTE_END = KEY_MAX + 2 };

/* ---- a crash: give the terminal back, then die of it ---- */

static const char restore[] = "\033[?2004l\033[?1049l\033[?25h\033[0m\r\n";
static const int crashes[] = {SIGSEGV, SIGABRT, SIGBUS, SIGFPE, SIGILL};

static void crash_restore(void)
{
    if (!the.open)
        return;
    ssize_t ignored = write(STDOUT_FILENO, restore, sizeof restore - 1);
    (void)ignored;
    if (the.before_known)
        tcsetattr(STDIN_FILENO, TCSANOW, &the.before);
}

static void crash_handler(int number)
{
    crash_restore(); /* write and tcsetattr may be called here; curses may not */
    raise(number);   /* SA_RESETHAND: this time it is the end */
}

static void crash_handlers_set(void)
{
    struct sigaction action = {0};
    action.sa_handler = crash_handler;
    action.sa_flags = (int)(SA_RESETHAND | SA_NODEFER);
    sigemptyset(&action.sa_mask);
    for (size_t i = 0; i < sizeof crashes / sizeof *crashes; i++)
        sigaction(crashes[i], &action, NULL);
    memory_on_exhausted(term_close);
}

static void ground_set(Scheme scheme);

/* ---- opening ---- */

static bool locale_is_utf8(void)
{
    return strcmp(nl_langinfo(CODESET), "UTF-8") == 0;
}

/* The Linux console's font rarely has eighth blocks and round corners; a vt100 has no UTF-8 at all.
 */
static bool font_is_poor(const char *name)
{
    return strcmp(name, "linux") == 0 || strncmp(name, "vt", 2) == 0 ||
           strncmp(name, "cons", 4) == 0 || strcmp(name, "ansi") == 0;
}

static bool terminal_fits(const char *name, Fault *fault)
{
    int error = 0;
    if (!isatty(STDIN_FILENO) || !isatty(STDOUT_FILENO))
        return fault_set(
            fault, FAULT_USAGE,
            "The board needs a terminal for input and output. `ullage status` prints it "
            "as text.");
    if (name == NULL || !*name)
        return fault_set(
            fault, FAULT_USAGE,
            "TERM is not set, so the board can't be drawn. `ullage status` prints it as "
            "text.");
    if (setupterm(name, STDOUT_FILENO, &error) != OK)
        return fault_set(
            fault, FAULT_USAGE,
            "The terminal type '%s' (TERM) is not known here. Set TERM to one that is, "
            "or use `ullage status`.",
            name);
    bool moves = cursor_address != NULL && clear_screen != NULL;
    del_curterm(cur_term);
    if (!moves)
        return fault_set(
            fault, FAULT_USAGE,
            "The terminal type '%s' (TERM) can't move the cursor, so the board can't be "
            "drawn. `ullage status` prints it as text.",
            name);
    return true;
}

static void send(const char *bytes)
{
    putp(bytes);
    fflush(stdout);
}

/* Pasted text comes between two marks, so that it is never taken for commands. */
static void paste_switch(bool on)
{
    if (the.paste)
        send(on ? the.paste_on : the.paste_off);
}

/* A string of terminfo that has a name of its own; `usual` where it has none. */
static const char *terminfo_text(const char *name, const char *usual)
{
    const char *text = tigetstr(name);
    return text == NULL || (intptr_t)text == -1 ? usual : text;
}

/* What terminfo knows first; older ones do not know what these terminals do. */
static void paste_find(const char *name)
{
    static const char *const known[] = {"xterm", "screen", "tmux", "rxvt"};
    the.paste_on = terminfo_text("BE", NULL);
    the.paste_off = terminfo_text("BD", "\033[?2004l");
    the.paste = the.paste_on != NULL;
    the.paste_on = the.paste ? the.paste_on : "\033[?2004h";
    for (size_t i = 0; i < sizeof known / sizeof *known; i++)
        the.paste = the.paste || strncmp(name, known[i], strlen(known[i])) == 0;
    define_key(terminfo_text("PS", "\033[200~"), CODE_PASTE_BEGIN);
    define_key(terminfo_text("PE", "\033[201~"), CODE_PASTE_END);
}

static void modes_set(void)
{
    cbreak();
    noecho();
    nonl();
    keypad(stdscr, TRUE);
    nodelay(stdscr, TRUE);
    intrflush(stdscr, FALSE);
}

/* More than 256 are colours by themselves and no numbers of a palette. */
static int colours_begin(void)
{
    if (!has_colors() || start_color() != OK)
        return 0;
    if (use_default_colors() == OK && COLORS == 256 && COLOR_PAIRS > INK_COUNT)
        return 256;
    return COLORS >= 8 ? 8 : 0;
}

/* What this terminal is drawn on with, where no option says it. */
static void info_fill(const TermOptions *options, const char *name, TermInfo *info)
{
    const char *no_colour = getenv("NO_COLOR");
    const bool plain = the.colours == 0 || (no_colour != NULL && *no_colour);
    info->scheme = options->scheme >= 0 ? (Scheme)options->scheme
                   : plain              ? SCHEME_MONOCHROME
                                        : SCHEME_DEFAULT;
    info->ascii = !locale_is_utf8() || strncmp(name, "vt", 2) == 0;
    info->alphabet = options->alphabet >= 0              ? (Alphabet)options->alphabet
                     : info->ascii || font_is_poor(name) ? ALPHABET_ASCII
                                                         : ALPHABET_UTF8;
    if (info->ascii)
        info->alphabet = ALPHABET_ASCII; /* UTF-8 would come out as rubbish */
    info->input = STDIN_FILENO;
    info->output = STDOUT_FILENO;
    info->rows = LINES;
    info->cols = COLS;
}

bool term_open(const TermOptions *options, TermInfo *info, Fault *fault)
{
    const char *name = getenv("TERM");
    if (!terminal_fits(name, fault) || name == NULL)
        return false;
    unsetenv("LINES");
    unsetenv("COLUMNS");
    the.before_known = tcgetattr(STDIN_FILENO, &the.before) == 0;
    if (getenv("ESCDELAY") == NULL)
        set_escdelay(25);
    use_extended_names(TRUE);
    the.screen = newterm(name, stdout, stdin);
    if (the.screen == NULL)
        return fault_set(fault, FAULT_USAGE, "The terminal type '%s' (TERM) can't be opened.",
                         name);
    set_term(the.screen);
    the.open = true;
    crash_handlers_set();
    modes_set();
    the.colours = colours_begin();
    paste_find(name);
    if (options->mouse) {
        mousemask(BUTTON1_PRESSED | BUTTON4_PRESSED | BUTTON5_PRESSED, NULL);
        mouseinterval(0);
    }
    the.scheme = -1;
    info_fill(options, name, info);
    ground_set(info->scheme);
    paste_switch(true);
    return true;
}

/* A scroll that is sent while the terminal changes its size leaves it with the rows that it had:
 * curses knows nothing of that, and whoever comes after it would scroll in a part of the window. */
static void rows_whole(void)
{
    struct winsize size = {0};
    if (isendwin()) /* it is the shell's */
        return;
    if (change_scroll_region != NULL && ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 &&
        size.ws_row > 0)
        send(tparm(change_scroll_region, 0, size.ws_row - 1));
}

void term_close(void)
{
    if (!the.open)
        return;
    paste_switch(false);
    rows_whole();
    endwin();
    delscreen(the.screen);
    the.open = false;
    if (the.before_known)
        tcsetattr(STDIN_FILENO, TCSADRAIN, &the.before);
}

bool term_resize(TermInfo *info)
{
    struct winsize size = {0};
    if (ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) != 0 || size.ws_row == 0 || size.ws_col == 0)
        return false;
    if (size.ws_row == info->rows && size.ws_col == info->cols)
        return false;
    rows_whole();
    resizeterm(size.ws_row, size.ws_col);
    info->rows = LINES;
    info->cols = COLS;
    return true;
}

void term_forget(void)
{
    clearok(curscr, TRUE);
}

/* ---- painting ---- */

static attr_t attributes_of(unsigned attributes)
{
    attr_t out = A_NORMAL;
    if (attributes & PEN_BOLD)
        out |= A_BOLD;
    if (attributes & PEN_REVERSE)
        out |= A_REVERSE;
    if (attributes & PEN_UNDERLINE)
        out |= A_UNDERLINE;
    return out;
}

static bool coloured(Scheme scheme)
{
    return the.colours > 0 && scheme != SCHEME_MONOCHROME;
}

static unsigned pen_attributes(Pen pen, bool colour, bool many)
{
    return !colour ? pen.plain : many ? pen.bright : pen.attributes;
}

static bool looks_like(Pen a, Pen b, bool colour, bool many)
{
    if (pen_attributes(a, colour, many) != pen_attributes(b, colour, many))
        return false;
    return !colour || (many ? a.fg == b.fg && a.bg == b.bg : a.fg8 == b.fg8 && a.bg8 == b.bg8);
}

static void likes_set(Scheme scheme)
{
    for (int ink = 0; ink < INK_COUNT; ink++) {
        int first = 0;
        while (!looks_like(ink_pen(scheme, (Ink)first), ink_pen(scheme, (Ink)ink), coloured(scheme),
                           the.colours == 256))
            first++;
        the.like[ink] = (Ink)first;
    }
}

static void pairs_set(Scheme scheme)
{
    the.scheme = (int)scheme;
    likes_set(scheme);
    if (coloured(scheme)) {
        for (int ink = 0; ink < INK_COUNT; ink++) {
            Pen pen = ink_pen(scheme, (Ink)ink);
            bool many = the.colours == 256;
            init_pair((short)(ink + 1), (short)(many ? pen.fg : pen.fg8),
                      (short)(many ? pen.bg : pen.bg8));
        }
    }
}

static void ink_set(Scheme scheme, Ink ink, attr_t *attributes, short *pair)
{
    Pen pen = ink_pen(scheme, the.like[ink]);
    bool colour = coloured(scheme);
    *attributes = attributes_of(pen_attributes(pen, colour, the.colours == 256));
    *pair = (short)(colour ? (int)the.like[ink] + 1 : 0);
}

static bool is_blank(const Cell *cell)
{
    return cell->text[0] == ' ' && cell->text[1] == '\0';
}

/* Blanks of one ink from here on; to the end of the row they count as many. A field's own ground
 * ends a gap: the blanks before it must not look different to curses once something is typed. */
static int gap_of(const Cell *row, int col, int cols)
{
    int n = 0;
    while (col + n < cols && is_blank(&row[col + n]) && row[col + n].ink == row[col].ink)
        n++;
    return col + n == cols ? cols : n;
}

/* A blank shows only its ground: in a short gap behind other ink on the same ground it takes that
 * ink over, which spares the terminal a change of colour and back. Long gaps are jumped over or
 * cleared at once, as long as they are plain. */
static Ink ink_beside(const Cell *cell, Ink before, Scheme scheme)
{
    Ink ink = (Ink)cell->ink;
    Pen a = ink_pen(scheme, ink), b = ink_pen(scheme, before);
    const unsigned seen = PEN_REVERSE | PEN_UNDERLINE;
    bool colour = coloured(scheme), many = the.colours == 256;
    unsigned shown = (pen_attributes(a, colour, many) | pen_attributes(b, colour, many)) & seen;
    bool same_ground = !colour || (many ? a.bg == b.bg : a.bg8 == b.bg8);
    return same_ground && shown == 0 ? before : ink;
}

static void cell_paint(const Cell *cell, Ink ink, Scheme scheme, int row, int col)
{
    wchar_t wide[CELL_BYTES + 1];
    cchar_t out;
    attr_t attributes;
    short pair;
    size_t n = 0, at = 0;
    Text text = text_of(cell->text);
    while (at < text.n && n < CCHARW_MAX)
        wide[n++] = (wchar_t)text_next(text, &at);
    wide[n] = L'\0';
    if (wcwidth(wide[0]) != cell->width) { /* the library would not keep the columns */
        wide[0] = L'?';
        wide[1] = L'\0';
    }
    ink_set(scheme, ink, &attributes, &pair);
    if (setcchar(&out, wide, attributes, pair, NULL) == OK)
        mvadd_wch(row, col, &out);
}

/* Blanks to either side share their ink where that can't be seen (ink_beside). */
static void row_paint(const Cell *cells, int row, int cols, Scheme scheme)
{
    Ink ink = INK_TEXT;
    int gap = 0; /* blanks that are still to come */
    bool joins = false;
    for (int col = 0; col < cols; col++) {
        const Cell *cell = &cells[col];
        if (gap == 0 && is_blank(cell)) {
            gap = gap_of(cells, col, cols);
            joins = gap <= GAP_JOINED;
        }
        ink = gap > 0 && joins ? ink_beside(cell, ink, scheme) : (Ink)cell->ink;
        gap -= gap > 0;
        if (cell->width > 0 && !(ink == INK_TEXT && is_blank(cell))) /* ground_set erased */
            cell_paint(cell, ink, scheme, row, col);
    }
}

/* Also before the first key is asked for: curses clears the screen then, and each blank that is not
 * on this ground would have to be written. */
static void ground_set(Scheme scheme)
{
    attr_t attributes;
    short pair;
    cchar_t blank;
    if ((int)scheme != the.scheme)
        pairs_set(scheme);
    ink_set(scheme, INK_TEXT, &attributes, &pair);
    setcchar(&blank, L" ", attributes, pair, NULL);
    bkgrndset(&blank);
    erase();
}

void term_paint(const Sheet *sheet, Scheme scheme)
{
    ground_set(scheme);
    for (int row = 0; row < sheet->rows; row++)
        row_paint(&sheet->cells[(size_t)row * (size_t)sheet->cols], row, sheet->cols, scheme);
    curs_set(sheet->cursor_seen ? 1 : 0);
    leaveok(stdscr, sheet->cursor_row < 0); /* unseen, it may stand anywhere */
    if (sheet->cursor_row >= 0)
        move(sheet->cursor_row, sheet->cursor_col);
    refresh();
}

/* ---- keys ---- */

static Press press_of(int code)
{
    switch (code) {
    case KEY_UP:
        return PRESS_UP;
    case KEY_DOWN:
        return PRESS_DOWN;
    case KEY_LEFT:
        return PRESS_LEFT;
    case KEY_RIGHT:
        return PRESS_RIGHT;
    case KEY_HOME:
        return PRESS_HOME;
    case KEY_END:
        return PRESS_END;
    case KEY_PPAGE:
        return PRESS_PAGE_UP;
    case KEY_NPAGE:
        return PRESS_PAGE_DOWN;
    case KEY_ENTER:
        return PRESS_ENTER;
    case KEY_BTAB:
        return PRESS_BACKTAB;
    case KEY_BACKSPACE:
        return PRESS_BACKSPACE;
    case KEY_DC:
        return PRESS_DELETE;
    default:
        return PRESS_NONE;
    }
}

static Press press_of_mouse(void)
{
    MEVENT event;
    if (getmouse(&event) != OK)
        return PRESS_NONE;
    if (event.bstate & BUTTON4_PRESSED)
        return PRESS_UP;
    if (event.bstate & BUTTON5_PRESSED)
        return PRESS_DOWN;
    if (!(event.bstate & BUTTON1_PRESSED))
        return PRESS_NONE;
    the.click_row = event.y;
    the.click_col = event.x;
    return PRESS_CLICK;
}

void term_click(int *row, int *col)
{
    *row = the.click_row;
    *col = the.click_col;
}

/* The next byte of a sequence that has begun: on a slow line it may still be on its way. */
static bool sequence_next(wint_t *code)
{
    timeout(SEQUENCE_WAIT_MS);
    const int got = get_wch(code);
    nodelay(stdscr, TRUE);
    return got == OK;
}

/* What a terminal says of itself (its colours, its settings), to the end mark. */
static void string_swallowed(void)
{
    wint_t code = 0, before = 0;
    while (sequence_next(&code) && code != 0x07 && !(before == 0x1b && code == L'\\'))
        before = code;
}

/* To the last byte of a sequence that nobody knows (ECMA-48, 5.4), whatever it began with. */
static void sequence_swallowed(wint_t begun)
{
    wint_t code = 0;
    if (begun == L'[') {
        bool more = sequence_next(&code);
        if (more && code == L'[') /* a function key of the Linux console */
            (void)sequence_next(&code);
        else
            while (more && (code < 0x40 || code > 0x7e))
                more = sequence_next(&code);
    } else if (begun == L'O') {
        while (sequence_next(&code) && (code == L';' || (code >= L'0' && code <= L'9')))
            continue;
    } else if (begun < 0x80 && strchr("]P_^X", (int)begun) != NULL) {
        string_swallowed();
    }
}

/* Behind an Esc that is no key by itself: a sequence that nobody knows, or a letter with Alt held.
 * Neither is a key, and none of its letters is. False: it was Esc alone, or twice. */
static bool escape_swallowed(void)
{
    wint_t code = 0x1b;
    int got = OK;
    while (got == OK && code == 0x1b) /* Alt, and then a sequence */
        got = get_wch(&code);
    if (got == ERR)
        return false;
    if (got == KEY_CODE_YES)
        return code != KEY_RESIZE;
    sequence_swallowed(code);
    return true;
}

bool term_burst(int typed)
{
    enum { BEFORE = 8, BEHIND = 3 };
    int waiting = 0;
    return !the.paste &&
           (typed >= BEFORE || (ioctl(STDIN_FILENO, FIONREAD, &waiting) == 0 && waiting >= BEHIND));
}

Press term_press(bool *pasted, bool *gone)
{
    for (;;) {
        wint_t code = 0;
        errno = 0;
        int got = get_wch(&code);
        if (got == ERR) {
            if (errno == EIO)
                *gone = true;
            if (the.pasting && ++the.quiet > PASTE_QUIET)
                the.pasting = false; /* its end got lost: keys are keys again */
            return PRESS_NONE;
        }
        the.quiet = 0;
        if (got == KEY_CODE_YES) {
            if ((int)code == CODE_PASTE_BEGIN || (int)code == CODE_PASTE_END) {
                the.pasting = (int)code == CODE_PASTE_BEGIN;
                continue;
            }
            Press press = (int)code == KEY_MOUSE ? press_of_mouse() : press_of((int)code);
            if (press == PRESS_NONE || the.pasting)
                continue; /* KEY_RESIZE and keys that mean nothing here */
            *pasted = false;
            return press;
        }
        *pasted = the.pasting;
        if (the.pasting)
            return (Press)code;
        switch (code) {
        case L'\r':
        case L'\n':
            return PRESS_ENTER;
        case 0x1b:
            if (escape_swallowed())
                continue;
            return PRESS_ESC;
        case 0x7f:
        case L'\b':
            return PRESS_BACKSPACE;
        case 0:
            continue;
        default:
            return (Press)code;
        }
    }
}

void term_suspend(void)
{
    paste_switch(false);
    rows_whole();
    endwin();
}

void term_resume(void)
{
    modes_set();
    paste_switch(true);
    term_forget();
}
