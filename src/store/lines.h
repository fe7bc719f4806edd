/* lines.h - reading a stream line by line with bounded memory. Private to src/store. */
#ifndef ULLAGE_STORE_LINES_H
#define ULLAGE_STORE_LINES_H

#include "base/fault.h"
#include "base/text.h"

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>

enum { LINE_BYTES_MAX = 65536 };

typedef struct {
    FILE *file;
    char *buffer;
    size_t start, end;
    bool over;
    bool cut;   /* the last line given has no newline behind it */
    bool again; /* the last line is given once more */
    Text last;
    int64_t bytes, number; /* read into the buffer so far; number of the last line given, from 1 */
} Lines;

/* The file stays the caller's. lines_finish frees. */
void lines_init(Lines *lines, FILE *file);
void lines_finish(Lines *lines);

/* The next line without its LF (a CR stays); a byte order mark at the very beginning is taken off.
 * The text is valid until the next call. *end true where there are no more. Refused: a line of more
 * than LINE_BYTES_MAX bytes, a stream that can't be read. */
bool lines_next(Lines *lines, Text *line, bool *end, Fault *fault);
/* Makes the next lines_next give the line that was just given. */
void lines_back(Lines *lines);

#endif
