#include "store/json.h"

#include <string.h>

typedef struct {
    const char *s;
    size_t n, at;
    const char *wrong; /* what is wrong at `at`; NULL so far */
} Reader;

static bool wrong(Reader *r, const char *words)
{
    if (r->wrong == NULL) {
        r->wrong = r->at >= r->n ? "the line ends in the middle (was the file cut off?)" : words;
    }
    return false;
}

static void skip_space(Reader *r)
{
    while (r->at < r->n && (r->s[r->at] == ' ' || r->s[r->at] == '\t' || r->s[r->at] == '\n' ||
                            r->s[r->at] == '\r')) {
        r->at++;
    }
}

static bool take(Reader *r, char c)
{
    if (r->at < r->n && r->s[r->at] == c) {
        r->at++;
        return true;
    }
    return false;
}

static int hex_digit(char c)
{
    if (c >= '0' && c <= '9') {
        return c - '0';
    }
    if (c >= 'a' && c <= 'f') {
        return c - 'a' + 10;
    }
    return c >= 'A' && c <= 'F' ? c - 'A' + 10 : -1;
}

/* Four hex digits at `s`; -1 where they are not. */
static int32_t hex4(const char *s, size_t n)
{
    int32_t value = 0;
    if (n < 4) {
        return -1;
    }
    for (int i = 0; i < 4; i++) {
        int digit = hex_digit(s[i]);
        if (digit < 0) {
            return -1;
        }
        value = value * 16 + digit;
    }
    return value;
}

static bool read_escape(Reader *r)
{
    if (r->at >= r->n) {
        return wrong(r, "");
    }
    char c = r->s[r->at];
    if (c != 'u') {
        if (c == '\0' || strchr("\"\\/bfnrt", c) == NULL) {
            return wrong(r, "an unknown escape after the backslash");
        }
        r->at++;
        return true;
    }
    int32_t unit = hex4(r->s + r->at + 1, r->n - r->at - 1);
    if (unit < 0) {
        if (r->n - r->at < 5) {
            r->at = r->n;
        }
        return wrong(r, "\\u needs four hexadecimal digits");
    }
    if (unit == 0) {
        return wrong(r, "the character U+0000 can't be kept");
    }
    if (unit >= 0xdc00 && unit <= 0xdfff) {
        return wrong(r, "half of a surrogate pair");
    }
    r->at += 5;
    if (unit >= 0xd800 && unit <= 0xdbff) {
        int32_t low = r->n - r->at >= 6 && r->s[r->at] == '\\' && r->s[r->at + 1] == 'u'
                          ? hex4(r->s + r->at + 2, 4)
                          : -1;
        if (low < 0xdc00 || low > 0xdfff) {
            return wrong(r, "half of a surrogate pair");
        }
        r->at += 6;
    }
    return true;
}

static bool read_string(Reader *r, JsonValue *value)
{
    r->at++; /* the quote */
    size_t start = r->at;
    value->type = JSON_STRING;
    value->escaped = false;
    for (;;) {
        while (r->at < r->n && r->s[r->at] != '"' && r->s[r->at] != '\\' &&
               (unsigned char)r->s[r->at] >= 0x20) {
            r->at++;
        }
        if (r->at >= r->n) {
            return wrong(r, "");
        }
        if (r->s[r->at] == '"') {
            value->raw = text_slice(r->s + start, r->at - start);
            r->at++;
            return true;
        }
        if (r->s[r->at] != '\\') {
            return wrong(r, "a control character inside a text");
        }
        value->escaped = true;
        r->at++;
        if (!read_escape(r)) {
            return false;
        }
    }
}

static bool read_digits(Reader *r)
{
    size_t start = r->at;
    while (r->at < r->n && r->s[r->at] >= '0' && r->s[r->at] <= '9') {
        r->at++;
    }
    return r->at > start || wrong(r, "a digit is missing");
}

static bool read_number(Reader *r, JsonValue *value)
{
    size_t start = r->at;
    value->type = JSON_NUMBER;
    value->escaped = false;
    take(r, '-');
    if (take(r, '0')) {
        if (r->at < r->n && r->s[r->at] >= '0' && r->s[r->at] <= '9') {
            return wrong(r, "a number can't begin with 0");
        }
    } else if (!read_digits(r)) {
        return false;
    }
    if (take(r, '.') && !read_digits(r)) {
        return false;
    }
    if (take(r, 'e') || take(r, 'E')) {
        if (!take(r, '+')) {
            take(r, '-');
        }
        if (!read_digits(r)) {
            return false;
        }
    }
    value->raw = text_slice(r->s + start, r->at - start);
    return true;
}

static bool read_word(Reader *r, const char *word, JsonType type, JsonValue *value)
{
    size_t n = strlen(word), left = r->n - r->at;
    if (left < n && memcmp(r->s + r->at, word, left) == 0) {
        r->at = r->n;
    } else if (left >= n && memcmp(r->s + r->at, word, n) == 0) {
        *value = (JsonValue){type, false, text_slice(r->s + r->at, n)};
        r->at += n;
        return true;
    }
    return wrong(r, "no JSON value");
}

static bool read_value(Reader *r, JsonValue *value, int depth);

static bool read_members(Reader *r, JsonValue *value, bool object, int depth)
{
    size_t start = r->at++;
    char close = object ? '}' : ']';
    if (depth >= JSON_DEPTH_MAX) {
        return wrong(r, "too deep a nest of brackets");
    }
    skip_space(r);
    if (!take(r, close)) {
        do {
            JsonValue part;
            skip_space(r);
            if (object) {
                if (r->at >= r->n || r->s[r->at] != '"') {
                    return wrong(r, "a name in quotes is missing");
                }
                if (!read_string(r, &part)) {
                    return false;
                }
                skip_space(r);
                if (!take(r, ':')) {
                    return wrong(r, "':' is missing");
                }
                skip_space(r);
            }
            if (!read_value(r, &part, depth + 1)) {
                return false;
            }
            skip_space(r);
        } while (take(r, ','));
        if (!take(r, close)) {
            return wrong(r, object ? "',' or '}' is missing" : "',' or ']' is missing");
        }
    }
    *value = (JsonValue){object ? JSON_OBJECT : JSON_ARRAY, false,
                         text_slice(r->s + start, r->at - start)};
    return true;
}

static bool read_value(Reader *r, JsonValue *value, int depth)
{
    if (r->at >= r->n) {
        return wrong(r, "");
    }
    switch (r->s[r->at]) {
    case '"':
        return read_string(r, value);
    case '{':
        return read_members(r, value, true, depth);
    case '[':
        return read_members(r, value, false, depth);
    case 't':
        return read_word(r, "true", JSON_TRUE, value);
    case 'f':
        return read_word(r, "false", JSON_FALSE, value);
    case 'n':
        return read_word(r, "null", JSON_NULL, value);
    default:
        if (r->s[r->at] == '-' || (r->s[r->at] >= '0' && r->s[r->at] <= '9')) {
            return read_number(r, value);
        }
        return wrong(r, "no JSON value");
    }
}

static bool pair_twice(const JsonPair *pairs, int count)
{
    for (int i = 0; i < count; i++) {
        if (text_equal(pairs[i].key.raw, pairs[count].key.raw)) {
            return true;
        }
    }
    return false;
}

static bool read_pairs(Reader *r, JsonPair *pairs, int max, int *count)
{
    skip_space(r);
    if (!take(r, '{')) {
        return wrong(r, "an entry begins with '{'");
    }
    skip_space(r);
    if (take(r, '}')) {
        return true;
    }
    do {
        skip_space(r);
        size_t start = r->at;
        if (r->at >= r->n || r->s[r->at] != '"') {
            return wrong(r, "a name in quotes is missing");
        }
        if (*count == max) {
            return wrong(r, "too many fields");
        }
        JsonPair *pair = &pairs[*count];
        if (!read_string(r, &pair->key)) {
            return false;
        }
        if (pair->key.escaped) {
            r->at = start;
            return wrong(r, "no field's name has a backslash in it");
        }
        if (pair_twice(pairs, *count)) {
            r->at = start;
            return wrong(r, "this field is given twice");
        }
        skip_space(r);
        if (!take(r, ':')) {
            return wrong(r, "':' is missing");
        }
        skip_space(r);
        if (!read_value(r, &pair->value, 1)) {
            return false;
        }
        ++*count;
        skip_space(r);
    } while (take(r, ','));
    return take(r, '}') || wrong(r, "',' or '}' is missing");
}

bool json_object(Text line, JsonPair *pairs, int max, int *count, Fault *fault)
{
    Reader r = {line.s, line.n, 0, NULL};
    *count = 0;
    if (read_pairs(&r, pairs, max, count)) {
        skip_space(&r);
        if (r.at == r.n) {
            return true;
        }
        wrong(&r, "there is something behind the entry: one entry stands on one line");
    }
    return fault_set(fault, FAULT_REFUSED, "column %zu: %s.", r.at + 1, r.wrong);
}

static size_t utf8_put(uint32_t c, char *out)
{
    if (c < 0x80) {
        out[0] = (char)c;
        return 1;
    }
    if (c < 0x800) {
        out[0] = (char)(0xc0 | c >> 6);
        out[1] = (char)(0x80 | (c & 0x3f));
        return 2;
    }
    if (c < 0x10000) {
        out[0] = (char)(0xe0 | c >> 12);
        out[1] = (char)(0x80 | (c >> 6 & 0x3f));
        out[2] = (char)(0x80 | (c & 0x3f));
        return 3;
    }
    out[0] = (char)(0xf0 | c >> 18);
    out[1] = (char)(0x80 | (c >> 12 & 0x3f));
    out[2] = (char)(0x80 | (c >> 6 & 0x3f));
    out[3] = (char)(0x80 | (c & 0x3f));
    return 4;
}

Text json_string(const JsonValue *value, char *room)
{
    if (!value->escaped) {
        return value->raw;
    }
    static const char names[] = "\"\\/bfnrt", means[] = "\"\\/\b\f\n\r\t";
    const char *s = value->raw.s;
    size_t n = 0;
    for (size_t i = 0; i < value->raw.n; i++) {
        if (s[i] != '\\') {
            room[n++] = s[i];
            continue;
        }
        i++;
        if (s[i] != 'u') {
            room[n++] = means[strchr(names, s[i]) - names];
            continue;
        }
        uint32_t c = (uint32_t)hex4(s + i + 1, 4);
        i += 4;
        if (c >= 0xd800 && c <= 0xdbff) {
            c = 0x10000 + ((c - 0xd800) << 10) + ((uint32_t)hex4(s + i + 3, 4) - 0xdc00);
            i += 6;
        }
        n += utf8_put(c, room + n);
    }
    return text_slice(room, n);
}

bool json_next(const JsonValue *array, size_t *at, JsonValue *item)
{
    Reader r = {array->raw.s, array->raw.n, *at == 0 ? 1 : *at, NULL};
    skip_space(&r);
    take(&r, ',');
    skip_space(&r);
    if (r.at + 1 >= r.n || !read_value(&r, item, 1)) {
        return false;
    }
    *at = r.at;
    return true;
}

bool json_thousandths(Text number, int64_t *thousandths, Fault *fault)
{
    /* value = digits x 10^(exponent - fraction); leading zeros do not count as digits */
    int64_t digits = 0, exponent = 0, written = 0;
    int figures = 0;
    size_t i = 0;
    bool minus = i < number.n && number.s[i] == '-', point = false, power_minus = false;
    if (minus) {
        i++;
    }
    int64_t zeros = 0; /* trailing ones, kept back so that 1.5000000000000000000 is exact */
    for (; i < number.n && number.s[i] != 'e' && number.s[i] != 'E'; i++) {
        if (number.s[i] == '.') {
            point = true;
            continue;
        }
        if (point) {
            exponent--;
        }
        if (number.s[i] == '0') {
            zeros++;
            continue;
        }
        for (; zeros > 0 && figures > 0 && figures < 18; zeros--) {
            digits *= 10;
            figures++;
        }
        zeros = 0;
        if (figures >= 18) {
            figures = 99; /* more than can be within range and exact */
            break;
        }
        digits = digits * 10 + (number.s[i] - '0');
        figures++;
    }
    exponent += zeros;
    while (i < number.n && number.s[i] != 'e' && number.s[i] != 'E') {
        i++;
    }
    if (i < number.n) {
        i++;
        power_minus = i < number.n && number.s[i] == '-';
        for (; i < number.n; i++) {
            if (number.s[i] >= '0' && number.s[i] <= '9' && written < 1000000) {
                written = written * 10 + (number.s[i] - '0');
            }
        }
        exponent += power_minus ? -written : written;
    }
    if (figures == 0) {
        *thousandths = 0;
        return true;
    }
    if (figures > 18 || exponent + figures > 15) {
        /* too large and too fine look alike here: say which by where the point stands */
        bool fine = figures <= 18 ? false : exponent < 0;
        return fine ? fault_set(fault, FAULT_REFUSED, "%.*s has more than three decimals.",
                                (int)(number.n < 40 ? number.n : 40), number.s)
                    : fault_set(fault, FAULT_REFUSED, "%.*s is too large.",
                                (int)(number.n < 40 ? number.n : 40), number.s);
    }
    exponent += 3;
    if (exponent < 0) {
        return fault_set(fault, FAULT_REFUSED, "%.*s has more than three decimals.",
                         (int)(number.n < 40 ? number.n : 40), number.s);
    }
    for (; exponent > 0; exponent--) {
        digits *= 10;
    }
    *thousandths = minus ? -digits : digits;
    return true;
}

const char *json_type_name(JsonType type)
{
    static const char *const names[] = {
        "null", "true", "false", "a number", "a text", "a list ([...])", "an object ({...})"};
    return names[type];
}
