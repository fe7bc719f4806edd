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

static uint32_t ascii_lower(uint32_t c)
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
        if (ascii_lower((unsigned char)a.s[i]) != ascii_lower((unsigned char)b.s[i]))
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

bool text_fit(Text a, const char *what, Fault *fault)
{
    if (text_is_plain(a))
        return true;
    if (!text_is_utf8(a))
        return fault_set(fault, FAULT_REFUSED,
                         "%s is not valid UTF-8: type it again, or use a terminal and a file "
                         "in UTF-8.",
                         what);
    for (size_t at = 0; at < a.n;) {
        const uint32_t c = text_next(a, &at);
        if (is_control(c))
            return fault_set(fault, FAULT_REFUSED,
                             "%s has a control character in it (a tab or a line break counts): "
                             "leave it out.",
                             what);
        if (code_acts(c))
            return fault_set(fault, FAULT_REFUSED,
                             "%s has the hidden character U+%04X in it, with which a text can look "
                             "like another one: leave it out.",
                             what, c);
    }
    return true;
}

/* The longest length up to `limit` that does not end inside a UTF-8 sequence. */
static size_t cut_length(Text a, size_t limit)
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
    size_t n = cut_length(a, QUOTE_MAX);
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

/* ---- labels ---- */

static bool label_fault(Text text, Fault *fault)
{
    if (text.n == 0)
        return fault_set(fault, FAULT_REFUSED,
                         "A name can't be empty: give one of 1 to %d bytes, such as A1.",
                         LABEL_MAX);
    Quote quote = text_quote(text);
    if (text.n > LABEL_MAX)
        return fault_set(fault, FAULT_REFUSED,
                         "The name %s is too long (%zu bytes): use at most %d bytes.", quote.s,
                         text.n, LABEL_MAX);
    char what[sizeof quote.s + 16];
    (void)snprintf(what, sizeof what, "The name %s", quote.s);
    if (!text_fit(text, what, fault))
        return false;
    if (text.s[0] != '-')
        return fault_set(fault, FAULT_REFUSED,
                         "The name %s has white space at an end: leave it out.", quote.s);
    return fault_set(fault, FAULT_REFUSED,
                     "The name %s begins with '-' and would be read as an option: choose a name "
                     "that begins with another character.",
                     quote.s);
}

bool label_set(Label *label, Text text, Fault *fault)
{
    if (text.n == 0 || text.n > LABEL_MAX || text.s[0] == '-' || text_trim(text).n != text.n ||
        !text_fit(text, "", NULL))
        return label_fault(text, fault);
    *label = label_of(text);
    return true;
}

Label label_of(Text text)
{
    Label label = {{0}};
    size_t n = text.n <= LABEL_MAX ? text.n : cut_length(text, LABEL_MAX);
    if (n > 0)
        memcpy(label.s, text.s, n);
    return label;
}

bool label_equal(const Label *a, const Label *b)
{
    return memcmp(a->s, b->s, LABEL_SIZE) == 0;
}

bool label_empty(const Label *a)
{
    return a->s[0] == '\0';
}

/* Compares the digit runs at the front of both by value and moves both pointers behind them. */
static int digits_compare(const char **a, const char **b)
{
    const char *s = *a, *t = *b;
    while (*s == '0')
        s++;
    while (*t == '0')
        t++;
    size_t n = 0, m = 0;
    while (is_digit(s[n]))
        n++;
    while (is_digit(t[m]))
        m++;
    *a = s + n;
    *b = t + m;
    if (n != m)
        return n < m ? -1 : 1;
    return memcmp(s, t, n);
}

int label_compare(const Label *a, const Label *b)
{
    const char *s = a->s, *t = b->s;
    while (*s != '\0' && *t != '\0') {
        if (is_digit(*s) && is_digit(*t)) {
            int order = digits_compare(&s, &t);
            if (order != 0)
                return order;
            continue;
        }
        if (*s != *t)
            break;
        s++;
        t++;
    }
    if (*s != *t)
        return (unsigned char)*s < (unsigned char)*t ? -1 : 1;
    return memcmp(a->s, b->s, LABEL_SIZE); /* A2 and A02: alike by value, yet not the same label */
}

/* ---- names that are nearly right ---- */

static size_t code_points(Text a, uint32_t *out)
{
    size_t n = 0;
    for (size_t at = 0; at < a.n;)
        out[n++] = ascii_lower(text_next(a, &at));
    return n;
}

static int least(int a, int b)
{
    return a < b ? a : b;
}

/* Three rows of the table of optimal string alignment; cells are counted to `limit` + 1. */
static int alignment_distance(const uint32_t *a, size_t n, const uint32_t *b, size_t m, int limit,
                              int *rows)
{
    int *before = rows, *last = rows + (m + 1), *row = rows + 2 * (m + 1);
    const int most = limit + 1;
    for (size_t j = 0; j <= m; j++)
        last[j] = j < (size_t)most ? (int)j : most;
    for (size_t i = 1; i <= n; i++) {
        row[0] = i < (size_t)most ? (int)i : most;
        int lowest = row[0];
        for (size_t j = 1; j <= m; j++) {
            int cost = last[j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
            cost = least(cost, least(last[j], row[j - 1]) + 1);
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                cost = least(cost, before[j - 2] + 1);
            row[j] = least(cost, most);
            lowest = least(lowest, row[j]);
        }
        /* A swap reaches two rows back, and never below the lowest of the row between. */
        if (lowest >= most)
            return most;
        int *spare = before;
        before = last;
        last = row;
        row = spare;
    }
    return last[m];
}

int text_distance(Text a, Text b, int limit)
{
    enum { SHORT = 96 };
    if (limit < 0)
        limit = 0;
    if (limit > 1000000)
        limit = 1000000;
    size_t longer = a.n > b.n ? a.n : b.n;
    uint32_t short_points[2 * SHORT];
    int short_rows[3 * (SHORT + 1)];
    bool big = longer > SHORT;
    if (longer > SIZE_MAX / 32)
        memory_exhausted();
    uint32_t *points = big ? memory_get(2 * longer * sizeof *points) : short_points;
    int *rows = big ? memory_get(3 * (longer + 1) * sizeof *rows) : short_rows;

    size_t n = code_points(a, points);
    size_t m = code_points(b, points + longer);
    size_t apart = n > m ? n - m : m - n;
    int distance = limit + 1;
    if (apart <= (size_t)limit)
        distance = alignment_distance(points, n, points + longer, m, limit, rows);
    if (big) {
        free(points);
        free(rows);
    }
    return distance;
}

void nearest_offer(Nearest *nearest, const char *name)
{
    enum { SLIPS = 2 };
    const Text text = text_of(name);
    const int d = text_distance(nearest->asked, text, SLIPS);
    const size_t longer = nearest->asked.n > text.n ? nearest->asked.n : text.n;
    if (d > SLIPS || (size_t)d >= longer || (nearest->name != NULL && d >= nearest->distance))
        return;
    nearest->name = name;
    nearest->distance = d;
}

/* ---- a growing string ---- */

/* Room for `more` bytes and the terminator. */
static void str_grow(Str *str, size_t more)
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

static inline char *str_room(Str *str, size_t more)
{
    if (more >= str->capacity - str->n)
        str_grow(str, more);
    return str->s + str->n;
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
    str_addc(str, '"');
    if (json_is_plain(text)) {
        str_add(str, text);
        str_addc(str, '"');
        return;
    }
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
