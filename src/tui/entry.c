#include "tui/entry.h"

#include "paint/width.h"

#include <string.h>

static size_t char_before(const char *text, size_t at)
{
    if (at > 0)
        at--;
    while (at > 0 && ((unsigned char)text[at] & 0xc0) == 0x80)
        at--;
    return at;
}

static size_t char_after(const char *text, size_t at)
{
    if (text[at])
        at++;
    while (((unsigned char)text[at] & 0xc0) == 0x80)
        at++;
    return at;
}

void entry_set(Typed *typed, const char *text)
{
    const size_t n = strnlen(text, TYPED_MAX);
    memmove(typed->text, text, n);
    typed->text[n] = '\0';
    typed->caret = n;
}

static void entry_erase(Typed *typed, size_t from, size_t to)
{
    memmove(typed->text + from, typed->text + to, strlen(typed->text + to) + 1);
    typed->caret = from;
}

static void entry_type(Typed *typed, size_t most, Press press)
{
    char bytes[5], *at = typed->text + typed->caret;
    const size_t n = press_utf8(press, bytes), have = strlen(typed->text);
    if (have + n > most)
        return;
    memmove(at + n, at, have - typed->caret + 1);
    memcpy(at, bytes, n);
    typed->caret += n;
}

bool entry_key(Typed *typed, size_t most, Press press)
{
    char *text = typed->text;
    switch (press) {
    case PRESS_LEFT:
        typed->caret = char_before(text, typed->caret);
        return true;
    case PRESS_RIGHT:
        typed->caret = char_after(text, typed->caret);
        return true;
    case PRESS_HOME:
    case PRESS_CTRL('A'):
        typed->caret = 0;
        return true;
    case PRESS_END:
    case PRESS_CTRL('E'):
        typed->caret = strlen(text);
        return true;
    case PRESS_BACKSPACE:
        entry_erase(typed, char_before(text, typed->caret), typed->caret);
        return true;
    case PRESS_DELETE:
        entry_erase(typed, typed->caret, char_after(text, typed->caret));
        return true;
    case PRESS_CTRL('U'):
        entry_erase(typed, 0, strlen(text));
        return true;
    default:
        if (!press_is_text(press))
            return false;
        entry_type(typed, most, press);
        return true;
    }
}

void entry_draw(const Typed *typed, Area area, int row, int col, int columns)
{
    Text rest = text_of(typed->text);
    int caret = width_of(text_slice(typed->text, typed->caret)), from = col;
    const int whole = caret;
    while (caret > columns - 2 && rest.n > 0) {
        size_t at = 0;
        int w = width_of_code(text_next(rest, &at));
        caret -= w > 0 ? w : 0;
        rest = text_slice(rest.s + at, rest.n - at);
    }
    area_fill(area_part(area, row, col, 1, columns), INK_ACTIVE, " ");
    if (caret < whole) {
        from = area_glyph(area, row, col, INK_ACTIVE, GLYPH_CUT);
        caret++;
    }
    if (columns > area.cols - col)
        columns = area.cols - col;
    area_put(area, row, from, INK_ACTIVE, width_take(rest, col + columns - from));
    area_cursor(area, row, col + caret);
}
