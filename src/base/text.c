#include "base/text.h"

#include "base/memory.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

bool text_equal(Text a, Text b)
{
    return a.n == b.n && (a.n == 0 || memcmp(a.s, b.s, a.n) == 0);
}

bool text_is(Text a, const char *terminated)
{
    const char *s = terminated != NULL ? terminated : "";
    size_t i = 0;
    while (i < a.n && s[i] != '\0' && s[i] == a.s[i])
        i++; /* most words differ in their first letter */
    return i == a.n && s[i] == '\0';
}

uint32_t code_lower(uint32_t c)
{
    return c >= 'A' && c <= 'Z' ? c + 32 : c;
}

bool text_is_nocase(Text a, const char *terminated)
{
    return a.n == strlen(terminated) && text_begins(a, terminated);
}

/* By ASCII, whatever the locale: where I is not the capital of i, "FILL" is still "fill". */
bool text_begins(Text a, const char *word)
{
    Text b = text_of(word);
    if (a.n > b.n)
        return false;
    for (size_t i = 0; i < a.n; i++)
        if (code_lower((unsigned char)a.s[i]) != code_lower((unsigned char)b.s[i]))
            return false;
    return true;
}

bool text_starts(Text a, const char *prefix)
{
    Text b = text_of(prefix);
    return a.n >= b.n && (b.n == 0 || memcmp(a.s, b.s, b.n) == 0);
}

static bool is_space(char c)
{
    return c == ' ' || c == '\t' || c == '\r' || c == '\n';
}

Text text_trim(Text a)
{
    a = text_slice(a.s, a.n); /* a zeroed Text gets bytes to point at */
    while (a.n > 0 && is_space(a.s[0])) {
        a.s++;
        a.n--;
    }
    while (a.n > 0 && is_space(a.s[a.n - 1]))
        a.n--;
    return a;
}

Text text_cut(Text *rest, char separator)
{
    if (rest->n == 0)
        return *rest;
    Text part = *rest;
    const char *found = memchr(rest->s, separator, rest->n);
    if (found == NULL) {
        rest->s += rest->n;
        rest->n = 0;
        return part;
    }
    part.n = (size_t)(found - part.s);
    rest->s += part.n + 1;
    rest->n -= part.n + 1;
    return part;
}

/* Length of the well-formed sequence at s (n > 0 bytes are there) and its code point; 0 if
 * ill-formed. The table of well-formed byte sequences is that of RFC 3629 section 4. */
static size_t sequence_length(const unsigned char *s, size_t n, uint32_t *code)
{
    unsigned char first = s[0];
    if (first < 0x80) {
        *code = first;
        return 1;
    }
    size_t length = 0;
    unsigned char low = 0x80, high = 0xBF; /* bounds of the second byte */
    if (first >= 0xC2 && first <= 0xDF) {
        length = 2;
        *code = first & 0x1FU;
    } else if (first >= 0xE0 && first <= 0xEF) {
        length = 3;
        *code = first & 0x0FU;
        if (first == 0xE0)
            low = 0xA0; /* shorter forms exist below */
        if (first == 0xED)
            high = 0x9F; /* surrogates above */
    } else if (first >= 0xF0 && first <= 0xF4) {
        length = 4;
        *code = first & 0x07U;
        if (first == 0xF0)
            low = 0x90;
        if (first == 0xF4)
            high = 0x8F; /* U+10FFFF */
    } else {
        return 0;
    }
    if (n < length || s[1] < low || s[1] > high)
        return 0;
    for (size_t i = 1; i < length; i++) {
        if ((s[i] & 0xC0U) != 0x80)
            return 0;
        *code = *code << 6 | (s[i] & 0x3FU);
    }
    return length;
}

bool text_is_utf8(Text a)
{
    const unsigned char *s = (const unsigned char *)a.s;
    size_t i = 0;
    while (i < a.n) {
        /* Most text is ASCII: eight bytes at a time. */
        uint64_t eight;
        while (a.n - i >= sizeof eight) {
            memcpy(&eight, s + i, sizeof eight);
            if ((eight & UINT64_C(0x8080808080808080)) != 0)
                break;
            i += sizeof eight;
        }
        if (i == a.n)
            break;
        uint32_t code = 0;
        size_t length = sequence_length(s + i, a.n - i, &code);
        if (length == 0)
            return false;
        i += length;
    }
    return true;
}

static bool is_control(uint32_t c)
{
    return c < 0x20 || (c >= 0x7F && c <= 0x9F);
}

bool code_acts(uint32_t code)
{
    return is_control(code) || (code >= 0x2028 && code <= 0x202E) ||
           (code >= 0x2066 && code <= 0x2069);
}

bool text_has_control(Text a)
{
    for (size_t at = 0; at < a.n;)
        if (is_control(text_next(a, &at)))
            return true;
    return false;
}

uint32_t text_next(Text a, size_t *at)
{
    if (*at >= a.n)
        return 0;
    uint32_t code = 0;
    size_t length = sequence_length((const unsigned char *)a.s + *at, a.n - *at, &code);
    *at += length > 0 ? length : 1;
    return length > 0 ? code : 0xFFFD;
}

bool text_is_plain(Text a)
{
    size_t i = 0;
    while (i < a.n && a.s[i] >= ' ' && a.s[i] <= '~')
        i++;
    return i == a.n;
}

size_t text_length(Text a, size_t limit)
{
    if (a.n <= limit)
        return a.n;
    size_t n = limit;
    while (n > 0 && limit - n < 3 && ((unsigned char)a.s[n] & 0xC0U) == 0x80)
        n--;
    /* Three continuation bytes in a row and no first byte: ill-formed, any place will do. */
    return ((unsigned char)a.s[n] & 0xC0U) == 0x80 ? limit : n;
}

Quote text_quote(Text a)
{
    Quote quote = {0};
    size_t n = text_length(a, QUOTE_MAX);
    char *p = quote.s;
    *p++ = '"';
    for (size_t i = 0; i < n; i++)
        *p++ = a.s[i];
    for (char *q = quote.s; q < p; q++)
        if (*q == '\0')
            *q = '?'; /* a zero would end the sentence here */
    for (int i = 0; i < 3 && n < a.n; i++)
        *p++ = '.';
    *p++ = '"';
    *p = '\0';
    return quote;
}

/* ---- a growing string ---- */

/* Room for `more` bytes and the terminator. */
void str_grow(Str *str, size_t more)
{
    if (more >= SIZE_MAX / 2 - str->n)
        memory_exhausted();
    const size_t needed = str->n + more + 1;
    size_t capacity = str->capacity < 32 ? 32 : str->capacity;
    while (capacity < needed)
        capacity *= 2;
    str->s = memory_resize(str->s, capacity);
    str->capacity = capacity;
}

void str_add(Str *str, Text text)
{
    char *end = str_room(str, text.n);
    if (text.n > 0)
        memcpy(end, text.s, text.n);
    end[text.n] = '\0';
    str->n += text.n;
}

void str_addc(Str *str, char c)
{
    char *end = str_room(str, 1);
    end[0] = c;
    end[1] = '\0';
    str->n++;
}

void str_addf(Str *str, const char *format, ...)
{
    char *end = str_room(str, 64);
    size_t room = str->capacity - str->n;
    va_list list;
    va_start(list, format);
    int length = vsnprintf(end, room, format, list);
    va_end(list);
    if (length < 0) { /* an argument that can't be shown: nothing is added */
        end[0] = '\0';
        return;
    }
    if ((size_t)length >= room) {
        end = str_room(str, (size_t)length);
        va_start(list, format);
        (void)vsnprintf(end, (size_t)length + 1, format, list);
        va_end(list);
    }
    str->n += (size_t)length;
}

void str_clear(Str *str)
{
    str->n = 0;
    str_room(str, 0)[0] = '\0';
}

void str_finish(Str *str)
{
    free(str->s);
    *str = (Str){0};
}

/* `c` lies in the first 65,536. */
static void str_add_json_escape(Str *str, uint32_t c)
{
    static const char digits[] = "0123456789abcdef";
    char escape[6] = {
        '\\', 'u', digits[c >> 12 & 15], digits[c >> 8 & 15], digits[c >> 4 & 15], digits[c & 15]};
    size_t n = 2;
    switch (c) {
    case '"':
    case '\\':
        escape[1] = (char)c;
        break;
    case '\b':
        escape[1] = 'b';
        break;
    case '\f':
        escape[1] = 'f';
        break;
    case '\n':
        escape[1] = 'n';
        break;
    case '\r':
        escape[1] = 'r';
        break;
    case '\t':
        escape[1] = 't';
        break;
    default:
        n = sizeof escape;
    }
    str_add(str, text_slice(escape, n));
}

/* Keys and nearly all values. */
static bool json_is_plain(Text text)
{
    size_t i = 0;
    while (i < text.n && text.s[i] >= ' ' && text.s[i] <= '~' && text.s[i] != '"' &&
           text.s[i] != '\\')
        i++;
    return i == text.n;
}

void str_add_json(Str *str, Text text)
{
    if (json_is_plain(text)) {
        char *end = str_room(str, text.n + 2);
        *end++ = '"';
        if (text.n > 0)
            memcpy(end, text.s, text.n);
        end += text.n;
        *end++ = '"';
        str_end(str, end);
        return;
    }
    str_addc(str, '"');
    size_t plain = 0; /* start of the run that goes out as it is */
    for (size_t at = 0; at < text.n;) {
        size_t start = at;
        unsigned char byte = (unsigned char)text.s[at];
        if (byte >= 0x20 && byte < 0x7F && byte != '"' && byte != '\\') {
            at++;
            continue;
        }
        uint32_t c = text_next(text, &at);
        bool broken = c == 0xFFFD; /* or U+FFFD itself, for which the same is put */
        if (!broken && !code_acts(c) && c != '"' && c != '\\')
            continue;
        str_add(str, text_slice(text.s + plain, start - plain));
        if (broken)
            str_adds(str, "\xEF\xBF\xBD");
        else
            str_add_json_escape(str, c);
        plain = at;
    }
    if (plain < text.n)
        str_add(str, text_slice(text.s + plain, text.n - plain));
    str_addc(str, '"');
}

/* Length of an SGR sequence, or of a line's end, at the front; 0: neither. */
static size_t passes(Text a, bool inks)
{
    if (text_starts(a, "\n"))
        return 1;
    if (text_starts(a, "\r\n"))
        return 2;
    size_t n = 2;
    if (!inks || !text_starts(a, "\033["))
        return 0;
    while (n < a.n && (is_digit(a.s[n]) || a.s[n] == ';'))
        n++;
    return n < a.n && a.s[n] == 'm' ? n + 1 : 0;
}

void str_add_shown(Str *str, Text text, bool inks)
{
    size_t plain = 0; /* start of the run that goes out as it is */
    for (size_t at = 0; at < text.n;) {
        const size_t from = at;
        if (text.s[at] >= ' ' && text.s[at] < 0x7F) {
            at++;
            continue;
        }
        at += passes(text_slice(text.s + at, text.n - at), inks);
        if (at > from)
            continue;
        const uint32_t c = text_next(text, &at);
        if (!code_acts(c) && !(c == 0xFFFD && at - from == 1))
            continue;
        str_add(str, text_slice(text.s + plain, from - plain));
        str_addc(str, '?');
        plain = at;
    }
    str_add(str, text_slice(text.s + plain, text.n - plain));
}
