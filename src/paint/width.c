#include "paint/width.h"

#include <string.h>
#include <wchar.h>

typedef struct {
    uint32_t first, last;
} Range;

static bool ranges_hold(const Range *ranges, size_t count, uint32_t code)
{
    size_t low = 0, high = count;
    while (low < high) {
        size_t middle = (low + high) / 2;
        if (code > ranges[middle].last)
            low = middle + 1;
        else if (code < ranges[middle].first)
            high = middle;
        else
            return true;
    }
    return false;
}

/* Joiners, direction marks and overrides, variation selectors, tags, byte order mark: Unicode
 * general category Cf and the selectors. What they do to the cells around them depends on the
 * terminal. */
static const Range hidden[] = {
    {0xad, 0xad},     {0x61c, 0x61c},   {0x180b, 0x180f}, {0x200b, 0x200f}, {0x2028, 0x202e},
    {0x2060, 0x206f}, {0xfe00, 0xfe0f}, {0xfeff, 0xfeff}, {0xfff9, 0xfffb}, {0xe0000, 0xe01ef}};

/* For locales that know no more than ASCII: blocks of combining marks and of wide characters
 * (Unicode Standard Annex 11, East Asian Width; blocks, not single characters). */
static const Range width_combining[] = {{0x300, 0x36f},   {0x483, 0x489},   {0x591, 0x5bd},
                                        {0x610, 0x61a},   {0x64b, 0x65f},   {0x1ab0, 0x1aff},
                                        {0x1dc0, 0x1dff}, {0x20d0, 0x20ff}, {0xfe20, 0xfe2f}};
static const Range width_wide[] = {{0x1100, 0x115f},   {0x2e80, 0x303e},   {0x3041, 0x33ff},
                                   {0x3400, 0x4dbf},   {0x4e00, 0x9fff},   {0xa000, 0xa4cf},
                                   {0xac00, 0xd7a3},   {0xf900, 0xfaff},   {0xfe30, 0xfe6f},
                                   {0xff00, 0xff60},   {0xffe0, 0xffe6},   {0x1f300, 0x1f64f},
                                   {0x1f680, 0x1f6ff}, {0x1f900, 0x1f9ff}, {0x20000, 0x3fffd}};

#define COUNT_OF(array) (sizeof(array) / sizeof *(array))

int width_of_code(uint32_t code)
{
    if (code >= 0x20 && code < 0x7f)
        return 1;
    if (code < 0xa0 || code > 0x10ffff || ranges_hold(hidden, COUNT_OF(hidden), code))
        return -1;
    int known = wcwidth((wchar_t)code);
    if (known >= 0)
        return known > 2 ? 2 : known;
    if (ranges_hold(width_combining, COUNT_OF(width_combining), code))
        return 0;
    return ranges_hold(width_wide, COUNT_OF(width_wide), code) ? 2 : 1;
}

int width_of(Text text)
{
    int columns = 0;
    for (size_t at = 0; at < text.n;) {
        int w = width_of_code(text_next(text, &at));
        if (w > 0)
            columns += w;
    }
    return columns;
}

int width_ofs(const char *terminated)
{
    return width_of(text_of(terminated));
}

Text width_take(Text text, int columns)
{
    int used = 0;
    size_t end = 0;
    for (size_t at = 0; at < text.n;) {
        int w = width_of_code(text_next(text, &at));
        if (w > 0) {
            if (used + w > columns)
                break;
            used += w;
        }
        end = at;
    }
    return text_slice(text.s, end);
}

void width_cut(Str *out, Text text, int columns, const char *mark)
{
    if (columns <= 0)
        return;
    if (width_of(text) <= columns) {
        str_add(out, text);
        return;
    }
    str_add(out, width_take(text, columns - 1));
    str_adds(out, mark);
}

/* The start of the last word of text[0..n), where a per cent sign comes after it: a figure and its
 * sign stay together. 0 where the word is all that there is, `n` where no sign comes. */
static size_t kept_together(Text text, size_t n)
{
    size_t sign = n, end = n;
    while (sign < text.n && text.s[sign] == ' ')
        sign++;
    if (sign == text.n || text.s[sign] != '%')
        return n;
    while (end > 0 && text.s[end - 1] == ' ')
        end--;
    while (end > 0 && text.s[end - 1] != ' ')
        end--;
    return end;
}

bool width_wrap(Text *rest, int columns, Text *line)
{
    while (rest->n > 0 && rest->s[0] == ' ') {
        rest->s++;
        rest->n--;
    }
    if (rest->n == 0)
        return false;
    if (columns < 1)
        columns = 1;
    const char *newline = memchr(rest->s, '\n', rest->n);
    Text paragraph = *rest;
    if (newline != NULL)
        paragraph.n = (size_t)(newline - rest->s);
    Text fits = width_take(paragraph, columns);
    size_t next = fits.n;
    if (fits.n == paragraph.n) {
        next = newline != NULL ? fits.n + 1 : fits.n;
    } else {
        size_t space = fits.n;
        while (paragraph.s[fits.n] != ' ' && space > 0 && paragraph.s[space - 1] != ' ')
            space--;
        size_t together = kept_together(paragraph, space);
        space = together > 0 ? together : space;
        if (space > 0) {
            fits.n = space;
            next = space;
        } else if (fits.n ==
                   0) { /* one wide character in one column: go on, or we would never end */
            text_next(paragraph, &next);
        }
    }
    while (fits.n > 0 && fits.s[fits.n - 1] == ' ')
        fits.n--;
    *line = fits;
    rest->s += next;
    rest->n -= next;
    return true;
}

int width_lines(Text text, int columns)
{
    int lines = 0;
    Text line;
    while (width_wrap(&text, columns, &line))
        lines++;
    return lines;
}
