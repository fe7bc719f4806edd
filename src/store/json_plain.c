#include "store/json_plain.h"

#include <string.h>

/* A reader that walks along the text, and gives up for good at the first thing that is unusual. */
typedef struct {
    const char *at, *end;
} Walk;

static void blanks(Walk *w)
{
    while (w->at < w->end && (*w->at == ' ' || *w->at == '\t' || *w->at == '\r'))
        w->at++;
}

static bool take(Walk *w, char c)
{
    blanks(w);
    const bool there = w->at < w->end && *w->at == c;
    w->at += there;
    return there;
}

static Text since(const Walk *w, const char *begin)
{
    return (Text){begin, (size_t)(w->at - begin)};
}

/* Between quotes, without escapes: the bytes are the text. */
static bool string(Walk *w, Text *out)
{
    if (!take(w, '"'))
        return false;
    const char *begin = w->at;
    while (w->at < w->end && *w->at != '"' && *w->at != '\\' && (unsigned char)*w->at >= ' ')
        w->at++;
    *out = since(w, begin);
    return w->at < w->end && *w->at++ == '"';
}

static bool digits(Walk *w)
{
    const char *begin = w->at;
    for (; w->at < w->end && is_digit(*w->at); w->at++) {
    }
    return w->at > begin && w->at - begin <= 15;
}

/* No exponent, no more figures than an integer of SQLite's has, no zero in front: what SQLite would
 * hand over is what is written. */
static bool number(Walk *w, Text *out)
{
    const char *begin = w->at;
    w->at += w->at < w->end && *w->at == '-';
    const char *first = w->at;
    if (!digits(w) || (*first == '0' && (w->at - first > 1 || first > begin)))
        return false;
    if (w->at < w->end && *w->at == '.') {
        w->at++;
        if (!digits(w))
            return false;
    }
    *out = since(w, begin);
    return w->at == w->end || strchr(",}] \t\r", *w->at) != NULL;
}

static bool word(Walk *w, const char *literal, JsonType type, JsonMember *m)
{
    const size_t n = strlen(literal);
    const char *begin = w->at;
    if ((size_t)(w->end - w->at) < n || memcmp(w->at, literal, n) != 0)
        return false;
    w->at += n;
    m->type = type;
    m->text = since(w, begin);
    return true;
}

static bool value(Walk *w, JsonMember *m)
{
    blanks(w);
    m->type = w->at < w->end && *w->at == '"' ? JSON_STRING : JSON_NUMBER;
    return m->type == JSON_STRING ? string(w, &m->text)
                                  : word(w, "true", JSON_TRUE, m) ||
                                        word(w, "false", JSON_FALSE, m) || number(w, &m->text);
}

static bool is_new(const JsonMember *members, int count, Text key)
{
    int i = 0;
    while (i < count && !text_equal(members[i].key, key))
        i++;
    return i == count && key.n > 0;
}

bool json_plain(Text text, JsonMember *members, int max, int *count)
{
    Walk w = {text.s, text.s + text.n};
    *count = 0;
    if (!take(&w, '{'))
        return false;
    do {
        JsonMember *m = &members[*count];
        if (*count == max || !string(&w, &m->key) || !is_new(members, *count, m->key) ||
            !take(&w, ':') || !value(&w, m))
            return false;
        ++*count;
    } while (take(&w, ','));
    if (!take(&w, '}'))
        return false;
    blanks(&w);
    return w.at == w.end;
}
