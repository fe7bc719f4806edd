#include "base/json_out.h"

#include "base/units.h"

#include <math.h>
#include <string.h>

static char *put(char *end, const char *bytes, size_t n)
{
    memcpy(end, bytes, n);
    return end + n;
}

/* Room for a value of `n` bytes, behind its key and a comma; this unless the value is the first of
 * its document, object or list, or stands behind a key. */
static char *json_begin(Str *out, const char *key, size_t n)
{
    const int last = out->n > 0 ? out->s[out->n - 1] : '[';
    const bool next = last != '[' && last != '{' && last != ':' && last != ',' && last != '\n';
    const size_t key_n = key != NULL ? strlen(key) : 0;
    char *end = str_room(out, key_n + 4 + n);
    if (next)
        *end++ = ',';
    if (key != NULL) {
        *end++ = '"';
        end = put(put(end, key, key_n), "\":", 2);
    }
    str_end(out, end);
    return end;
}

void json_raw(Str *out, const char *key, const char *value)
{
    const size_t n = strlen(value);
    str_end(out, put(json_begin(out, key, n), value, n));
}

void json_word(Str *out, const char *key, const char *value)
{
    const size_t n = strlen(value);
    char *end = json_begin(out, key, n + 2);
    *end++ = '"';
    end = put(end, value, n);
    *end++ = '"';
    str_end(out, end);
}

void json_id(Str *out, const char *key, const Uuid *id)
{
    enum { DIGITS = 36 };
    char *end = json_begin(out, key, DIGITS + 2);
    *end++ = '"';
    end = uuid_print(id, end) + DIGITS; /* in its place: to measure what was just written is slow */
    *end++ = '"';
    str_end(out, end);
}

void json_zone(Str *out, const char *key, Moment m, int zone)
{
    enum { ROOM = 48 };
    char *end = json_begin(out, key, ROOM);
    *end++ = '"';
    end = moment_put_zone(m, zone, end);
    *end++ = '"';
    str_end(out, end);
}

void json_open(Str *out, const char *key, char bracket)
{
    json_begin(out, key, 1);
    str_addc(out, bracket);
}

void json_null(Str *out, const char *key)
{
    json_raw(out, key, "null");
}

void json_flag(Str *out, const char *key, bool value)
{
    json_raw(out, key, value ? "true" : "false");
}

void json_slice(Str *out, const char *key, Text text)
{
    json_begin(out, key, text.n + 2);
    str_add_json(out, text);
}

void json_text(Str *out, const char *key, const char *terminated)
{
    if (terminated == NULL)
        json_null(out, key);
    else
        json_slice(out, key, text_of(terminated));
}

void json_label(Str *out, const char *key, const Label *label)
{
    json_text(out, key, label_empty(label) ? NULL : label->s);
}

void json_moment(Str *out, const char *key, Moment m)
{
    char utc[48];
    if (moment_known(m))
        json_word(out, key, moment_print_utc(m, utc));
    else
        json_null(out, key);
}

void json_milli(Str *out, const char *key, int64_t value)
{
    char number[40];
    json_raw(out, key, thousandths_print3(value, number));
}

void json_whole(Str *out, const char *key, int64_t value)
{
    json_begin(out, key, 0);
    str_addf(out, "%lld", (long long)value);
}

void json_number(Str *out, const char *key, double value, int decimals)
{
    if (!isfinite(value)) {
        json_null(out, key);
        return;
    }
    json_begin(out, key, 0);
    const size_t at = out->n;
    str_addf(out, "%.*f", decimals, value);
    /* never -0.000 */
    if (out->s[at] == '-' && strspn(out->s + at, "-0.") == out->n - at) {
        memmove(out->s + at, out->s + at + 1, out->n - at);
        out->n--;
    }
}

void json_each_line(Str *out, const char *key, Text lines)
{
    json_open(out, key, '[');
    while (lines.n > 0)
        json_slice(out, NULL, text_cut(&lines, '\n'));
    str_addc(out, ']');
}
