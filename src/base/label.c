#include "base/label.h"

#include "base/memory.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

bool text_fit(Text a, const char *what, Fault *fault)
{
    if (text_is_plain(a))
        return true;
    if (!text_is_utf8(a))
        return fault_set(fault, FAULT_REFUSED,
                         "%s is not valid UTF-8: type it again, or use a terminal and a file "
                         "in UTF-8.",
                         what);
    if (text_has_control(a))
        return fault_set(fault, FAULT_REFUSED,
                         "%s has a control character in it (a tab or a line break counts): leave "
                         "it out.",
                         what);
    for (size_t at = 0; at < a.n;) {
        const uint32_t c = text_next(a, &at);
        if (code_acts(c))
            return fault_set(fault, FAULT_REFUSED,
                             "%s has the hidden character U+%04X in it, with which a text can look "
                             "like another one: leave it out.",
                             what, c);
    }
    return true;
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
    size_t n = text.n <= LABEL_MAX ? text.n : text_length(text, LABEL_MAX);
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
        out[n++] = code_lower(text_next(a, &at));
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
