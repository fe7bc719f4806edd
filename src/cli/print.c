#include "cli/print.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

/* ---- text ---- */

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

void table_print(Table *table, const char *indent, Str *out)
{
    int width[TABLE_COLUMNS] = {0};
    const char *cell = table->cells.s;
    for (int i = 0; i < table->cell_count; i++, cell += strlen(cell) + 1) {
        const int columns = text_columns(text_of(cell));
        if (columns > width[i % table->columns])
            width[i % table->columns] = columns;
    }
    cell = table->cells.s;
    int owed = 0; /* blanks before the next cell that is not empty: no line ends in blanks */
    for (int i = 0; i < table->cell_count; i++, cell += strlen(cell) + 1) {
        const int c = i % table->columns;
        if (c == 0)
            str_adds(out, indent);
        const int left = width[c] - text_columns(text_of(cell));
        const bool right = table->right[c] && i >= table->columns;
        if (*cell != '\0') {
            pad(out, owed + (right ? left : 0));
            str_adds(out, cell);
            owed = right ? 0 : left;
        } else {
            owed += left;
        }
        owed += 2;
        if (c == table->columns - 1) {
            str_addc(out, '\n');
            owed = 0;
        }
    }
}

void table_finish(Table *table)
{
    str_finish(&table->cells);
    *table = (Table){0};
}

void print_wrapped(Str *out, const char *indent, Text text, int width)
{
    const int room = width - text_columns(text_of(indent));
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
    const long long days = moment_local_day(m) - moment_local_day(now);
    if (days == 0)
        str_adds(out, "today");
    else if (days == 1)
        str_adds(out, "tomorrow");
    else if (days == -1)
        str_adds(out, "yesterday");
    else if (days > 0)
        str_addf(out, "in %lld days", days);
    else
        str_addf(out, "%lld days ago", -days);
}

bool print_more(const Str *out, bool inks)
{
    Str shown = {0};
    str_add_shown(&shown, text_slice(out->s, out->n), inks);
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
