#include "store/lines.h"

#include "base/memory.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>

enum { BUFFER = 2 * LINE_BYTES_MAX };

void lines_init(Lines *lines, FILE *file)
{
    *lines = (Lines){.file = file, .buffer = memory_get(BUFFER)};
}

void lines_finish(Lines *lines)
{
    free(lines->buffer);
    lines->buffer = NULL;
}

/* Reads on until a line is whole; only then can a Text be made of it. */
static bool lines_fill(Lines *lines, const char **newline, Fault *fault)
{
    size_t looked = lines->start;
    for (;;) {
        *newline = memchr(lines->buffer + looked, '\n', lines->end - looked);
        if (*newline != NULL || lines->over || lines->end - lines->start > LINE_BYTES_MAX)
            return true;
        if (lines->start > 0) {
            memmove(lines->buffer, lines->buffer + lines->start, lines->end - lines->start);
            lines->end -= lines->start;
            lines->start = 0;
        }
        looked = lines->end;
        errno = 0;
        size_t got = fread(lines->buffer + lines->end, 1, BUFFER - lines->end, lines->file);
        lines->end += got;
        lines->bytes += (int64_t)got;
        if (got == 0) {
            lines->over = true;
            if (ferror(lines->file))
                return fault_set(fault, FAULT_REFUSED, "it can't be read: %s.", strerror(errno));
        }
    }
}

bool lines_next(Lines *lines, Text *line, bool *end, Fault *fault)
{
    const char *newline;
    *end = false;
    if (lines->again) {
        lines->again = false;
        *line = lines->last;
        return true;
    }
    if (!lines_fill(lines, &newline, fault)) {
        lines->number++; /* the one that it did not get to */
        return false;
    }
    if (newline == NULL && lines->start == lines->end) {
        *end = true;
        return true;
    }
    size_t n = newline != NULL ? (size_t)(newline - lines->buffer) - lines->start
                               : lines->end - lines->start;
    *line = text_slice(lines->buffer + lines->start, n);
    lines->start += n + (newline != NULL ? 1 : 0);
    lines->cut = newline == NULL;
    lines->number++;
    if (n > LINE_BYTES_MAX)
        return fault_set(fault, FAULT_REFUSED, "the line is longer than %d bytes; no entry is.",
                         LINE_BYTES_MAX);
    if (lines->number == 1 && n >= 3 && memcmp(line->s, "\xef\xbb\xbf", 3) == 0)
        *line = text_slice(line->s + 3, n - 3);
    lines->last = *line;
    return true;
}

void lines_back(Lines *lines)
{
    lines->again = true;
}
