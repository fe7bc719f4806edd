/* print.h - text tables and JSON for people and for scripts. All output goes through a Str, so that
 * a command that fails half-way has printed nothing.
 */
#ifndef ULLAGE_CLI_PRINT_H
#define ULLAGE_CLI_PRINT_H

#include "base/moment.h"
#include "base/units.h"
#include "outlook/board.h"

/* Columns that a text takes on a terminal: wide East Asian characters two, combining marks none. */
int text_columns(Text text);

/* Columns that lines may take: what COLUMNS says, else those of the terminal that standard output
 * is; 0: any number, for a pipe or a file. */
int print_columns(void);
/* What is printed from here on is for a program: as it stands, however long its lines. */
void print_as_is(void);

/* A table of aligned columns, two spaces apart; the last column is not padded. Zero-initialise; the
 * first row is the heading. Where it does not fit print_columns its cells are wrapped; where no
 * wrapping would make it fit, each row is told as a paragraph. */
enum { TABLE_COLUMNS = 12 };
typedef struct {
    Str cells;   /* all cells, each ended by '\0' */
    int columns; /* settled by the first row */
    int cell_count;
    bool right[TABLE_COLUMNS]; /* numbers stand at the right edge of their column */
} Table;
void table_cell(Table *table, const char *text);
void table_row(Table *table); /* ends a row; cells left out are empty */
void table_print(Table *table, const char *indent, Str *out);
void table_finish(Table *table);

/* Adds text wrapped at spaces to lines of at most `width` columns (print_columns, where that is
 * less), each begun with `indent`; ends the last line. */
void print_wrapped(Str *out, const char *indent, Text text, int width);
/* The same with a caption in the margin of the first line: "Reserve   intact: ..." */
void print_captioned(Str *out, const char *caption, const char *text);

/* "Tue 24 Nov 2026 18:30 +01:00": nothing left to guess. */
void print_moment(Str *out, Moment m, int zone);
/* Local time of the process, in the same form. */
void print_local(Str *out, Moment m);
/* So many discrepancies arose; nothing where it is 0. */
void print_differ(Str *out, int64_t count);
/* moment_print_distance. */
void print_distance(Str *out, Moment m, Moment now);

/* The objects of `status --json` that other commands print too. */
void json_use(Str *out, const char *key, const Board *board);
void json_outlook(Str *out, const char *key, const Board *board);
void json_status(Str *out, const Board *board, Units units);

/* The board as plain sentences and tables. */
void text_status(Str *out, const Board *board, Units units, bool colour);

/* What verify and salvage report line by line, as text or as the begin of a JSON object. */
typedef struct {
    Str out;
    bool json;
} Report;
void report_begin(Report *report);                           /* `json` is set, `out` empty */
void report_line(void *report, bool good, const char *line); /* as LogReport wants it */

/* Writes a Str of whole lines to standard output, as a terminal may have it (str_add_shown; `inks`:
 * with the colours that the program set itself), no line longer than print_columns. False with
 * FAULT_LOG where that fails (disk full, /dev/full).
 */
bool print_out(const Str *out, bool inks, Fault *fault);
/* The same of a part, not flushed; false where that fails, errno says why. */
bool print_more(const Str *out, bool inks);

#endif
