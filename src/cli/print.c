#include "cli/print.h"

#include <ctype.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

enum { COLUMNS_USUAL = 80 }; /* of a terminal that does not say */

/* ---- text ---- */

static bool as_is;

void print_as_is(void)
{
    as_is = true;
}

int print_columns(void)
{
    struct winsize size;
    const char *said = getenv("COLUMNS");
    const int columns = said != NULL && strlen(said) < 6 ? (int)strtol(said, NULL, 10) : 0;
    if (as_is || columns > 0)
        return as_is ? 0 : columns;
    if (!isatty(STDOUT_FILENO))
        return 0;
    return ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 0 ? size.ws_col
                                                                           : COLUMNS_USUAL;
}

typedef struct {
    uint32_t first, last;
} Span;

static bool in_spans(uint32_t c, const Span *spans, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (c >= spans[i].first && c <= spans[i].last)
            return true;
    return false;
}

void print_differ(Str *out, int64_t count)
{
    if (count > 0)
        str_addf(out, "%lld entr%s not agree with the rest of the log: ullage status\n",
                 (long long)count, count == 1 ? "y does" : "ies do");
}

int text_columns(Text text)
{
    /* Unicode: combining blocks take no column; the wide blocks of UAX 11 take two. */
    static const Span none[] = {{0x0300, 0x036f}, {0x1ab0, 0x1aff}, {0x1dc0, 0x1dff},
                                {0x200b, 0x200f}, {0x20d0, 0x20ff}, {0xfe00, 0xfe0f},
                                {0xfe20, 0xfe2f}};
    static const Span wide[] = {{0x1100, 0x115f}, {0x2e80, 0xa4cf},   {0xac00, 0xd7a3},
                                {0xf900, 0xfaff}, {0xfe30, 0xfe6f},   {0xff00, 0xff60},
                                {0xffe0, 0xffe6}, {0x1f300, 0x1faff}, {0x20000, 0x3fffd}};
    int columns = 0;
    if (text_is_plain(text))
        return (int)text.n;
    for (size_t at = 0; at < text.n;) {
        const uint32_t c = text_next(text, &at);
        if (in_spans(c, none, sizeof none / sizeof none[0]))
            continue;
        columns += in_spans(c, wide, sizeof wide / sizeof wide[0]) ? 2 : 1;
    }
    return columns;
}

static void pad(Str *out, int columns)
{
    for (int i = 0; i < columns; i++)
        str_addc(out, ' ');
}

void table_cell(Table *table, const char *text)
{
    str_adds(&table->cells, text);
    str_addc(&table->cells, '\0');
    table->cell_count++;
}

void table_row(Table *table)
{
    if (table->columns == 0)
        table->columns = table->cell_count;
    while (table->cell_count % table->columns != 0)
        table_cell(table, "");
}

typedef struct {
    const Table *table;
    const char *indent;
    int width[TABLE_COLUMNS], least[TABLE_COLUMNS];
} Layout;

static const char *next_cell(const char *cell)
{
    return cell + strlen(cell) + 1;
}

static int longest_word(Text text)
{
    int most = 0;
    while (text.n > 0) {
        const int columns = text_columns(text_cut(&text, ' '));
        most = columns > most ? columns : most;
    }
    return most;
}

/* Numbers stay whole. */
static void layout_measure(Layout *l)
{
    const Table *t = l->table;
    const char *cell = t->cells.s;
    for (int i = 0; i < t->cell_count; i++, cell = next_cell(cell)) {
        const int c = i % t->columns, columns = text_columns(text_of(cell));
        const bool whole = t->right[c] && i >= t->columns;
        const int least = whole ? columns : longest_word(text_of(cell));
        l->width[c] = columns > l->width[c] ? columns : l->width[c];
        l->least[c] = least > l->least[c] ? least : l->least[c];
    }
}

static int layout_columns(const Layout *l)
{
    int sum = text_columns(text_of(l->indent)) + 2 * (l->table->columns - 1);
    for (int c = 0; c < l->table->columns; c++)
        sum += l->width[c];
    return sum;
}

/* Takes from the widest that can give. False: it does not fit. */
static bool layout_fit(Layout *l, int room)
{
    while (room > 0 && layout_columns(l) > room) {
        int widest = -1;
        for (int c = 0; c < l->table->columns; c++)
            if (l->width[c] > l->least[c] && (widest < 0 || l->width[c] > l->width[widest]))
                widest = c;
        if (widest < 0)
            return false;
        l->width[widest]--;
    }
    return true;
}

/* As many words as fit, off the front of the text; one at the least. */
static Text line_cut(Text *text, int room)
{
    Text line = {text->s, 0};
    while (text->n > 0) {
        Text rest = *text;
        const Text word = text_cut(&rest, ' ');
        const Text longer = text_slice(line.s, (size_t)(word.s - line.s) + word.n);
        if (line.n > 0 && text_columns(longer) > room)
            break;
        line = longer;
        *text = rest;
    }
    return line;
}

/* One line of a row, of what is left of its cells. Returns whether any is left after it. */
static bool row_line(const Layout *l, Text cells[TABLE_COLUMNS], bool heading, Str *out)
{
    bool more = false;
    int owed = 0; /* blanks before the next cell that is not empty: no line ends in blanks */
    str_adds(out, l->indent);
    for (int c = 0; c < l->table->columns; c++) {
        const Text part = line_cut(&cells[c], l->width[c]);
        const int left = l->width[c] - text_columns(part);
        const bool right = l->table->right[c] && !heading;
        more = more || cells[c].n > 0;
        if (part.n > 0) {
            pad(out, owed + (right ? left : 0));
            str_add(out, part);
            owed = right ? 0 : left;
        } else {
            owed += left;
        }
        owed += 2;
    }
    str_addc(out, '\n');
    return more;
}

static void rows_print(const Layout *l, Str *out)
{
    const Table *t = l->table;
    const char *cell = t->cells.s;
    for (int row = 0; row < t->cell_count / t->columns; row++) {
        Text cells[TABLE_COLUMNS];
        for (int c = 0; c < t->columns; c++, cell = next_cell(cell))
            cells[c] = text_of(cell);
        while (row_line(l, cells, row == 0, out))
            ;
    }
}

/* "A1: duty line; place galley 2 lead; ..." */
static void rows_tell(const Layout *l, int room, Str *out)
{
    const Table *t = l->table;
    const char *cell = t->cells.s;
    for (int i = 0; i < t->columns; i++)
        cell = next_cell(cell);
    for (int row = 1; row < t->cell_count / t->columns; row++) {
        Str line = {0};
        const char *head = t->cells.s;
        for (int c = 0; c < t->columns; c++, cell = next_cell(cell), head = next_cell(head)) {
            if (c > 0 && *cell != '\0')
                str_adds(&line, c == 1 ? ": " : "; ");
            for (const char *h = head; c > 0 && *cell != '\0' && *h != '\0'; h++)
                str_addc(&line, (char)tolower((unsigned char)*h)); /* headings are plain ASCII */
            str_addf(&line, "%s%s", c > 0 && *head != '\0' && *cell != '\0' ? " " : "", cell);
        }
        print_wrapped(out, l->indent, text_of(line.s), room);
        str_finish(&line);
    }
}

void table_print(Table *table, const char *indent, Str *out)
{
    Layout l = {.table = table, .indent = indent};
    layout_measure(&l);
    if (layout_fit(&l, print_columns()))
        rows_print(&l, out);
    else
        rows_tell(&l, print_columns(), out);
}

void table_finish(Table *table)
{
    str_finish(&table->cells);
    *table = (Table){0};
}

void print_wrapped(Str *out, const char *indent, Text text, int width)
{
    const int most = print_columns();
    const int room = (most > 0 && most < width ? most : width) - text_columns(text_of(indent));
    int used = 0;
    str_adds(out, indent);
    while (text.n > 0) {
        const Text word = text_cut(&text, ' ');
        const int columns = text_columns(word);
        if (used > 0 && used + 1 + columns > room) {
            str_addc(out, '\n');
            str_adds(out, indent);
            used = 0;
        }
        if (used > 0)
            str_addc(out, ' ');
        str_add(out, word);
        used += columns + (used > 0);
    }
    str_addc(out, '\n');
}

void print_captioned(Str *out, const char *caption, const char *text)
{
    static const char indent[] = "          ";
    Str lines = {0};
    print_wrapped(&lines, indent, text_of(text), 79);
    str_addf(out, "%-*s%s", (int)sizeof indent - 1, caption, lines.s + sizeof indent - 1);
    str_finish(&lines);
}

/* ---- times ---- */

void print_moment(Str *out, Moment m, int zone)
{
    static const char days[] = "SunMonTueWedThuFriSat";
    static const char months[] = "JanFebMarAprMayJunJulAugSepOctNovDec";
    const Civil c = moment_civil(m, zone);
    const int east = zone < 0 ? -zone : zone;
    str_addf(out, "%.3s %d %.3s %d %02d:%02d %c%02d:%02d", days + (ptrdiff_t)3 * c.weekday, c.day,
             months + (ptrdiff_t)3 * (c.month - 1), c.year, c.hour, c.minute, zone < 0 ? '-' : '+',
             east / 60, east % 60);
}

void print_local(Str *out, Moment m)
{
    print_moment(out, m, moment_local_zone(m));
}

void print_distance(Str *out, Moment m, Moment now)
{
    char words[40];
    str_adds(out, moment_print_distance(m, now, words));
}

/* Columns of a line that may set colours ("\033[33m"). */
static int line_columns(Text line)
{
    int columns = 0;
    while (line.n > 0) {
        Text plain = text_cut(&line, '\033');
        columns += text_columns(plain);
        if (line.n > 0 && line.s[0] == '[')
            text_cut(&line, 'm');
    }
    return columns;
}

/* A line that is too long goes on under itself, two columns further in. */
static void line_fit(Str *out, Text line, int room)
{
    size_t indent = 0;
    int used = 0;
    while (indent < line.n && line.s[indent] == ' ')
        indent++;
    const int in = (int)indent + 2 < room / 2 ? (int)indent + 2 : 2;
    pad(out, (int)indent);
    used = (int)indent;
    line = text_slice(line.s + indent, line.n - indent);
    for (bool first = true; line.n > 0; first = false) {
        const Text word = text_cut(&line, ' ');
        const int columns = line_columns(word);
        if (!first && used + 1 + columns > room) {
            str_addc(out, '\n');
            pad(out, in);
            used = in;
        } else if (!first) {
            str_addc(out, ' ');
            used++;
        }
        str_add(out, word);
        used += columns;
    }
}

static void lines_fit(Str *out, Text text, int room)
{
    while (text.n > 0) {
        const bool ended = memchr(text.s, '\n', text.n) != NULL;
        const Text line = text_cut(&text, '\n');
        if (line_columns(line) > room)
            line_fit(out, line, room);
        else
            str_add(out, line);
        if (ended)
            str_addc(out, '\n');
    }
}

bool print_more(const Str *out, bool inks)
{
    Str shown = {0}, fitted = {0};
    const int room = print_columns();
    if (room > 0)
        lines_fit(&fitted, text_slice(out->s, out->n), room);
    const Str *all = room > 0 ? &fitted : out;
    str_add_shown(&shown, text_slice(all->s, all->n), inks);
    str_finish(&fitted);
    const bool good = shown.n == 0 || fwrite(shown.s, 1, shown.n, stdout) == shown.n;
    str_finish(&shown);
    return good;
}

bool print_out(const Str *out, bool inks, Fault *fault)
{
    if (!print_more(out, inks) || fflush(stdout) != 0)
        return fault_set(fault, FAULT_LOG, "Standard output can't be written: %s.",
                         strerror(errno));
    return true;
}
