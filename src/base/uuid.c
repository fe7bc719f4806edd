#include "base/uuid.h"

#include "base/crc.h"

#include <string.h>

/* One more than the value of a hexadecimal digit; 0: none. */
static const uint8_t hex_values[256] = {
    ['0'] = 1,  ['1'] = 2,  ['2'] = 3,  ['3'] = 4,  ['4'] = 5,  ['5'] = 6,  ['6'] = 7,  ['7'] = 8,
    ['8'] = 9,  ['9'] = 10, ['a'] = 11, ['b'] = 12, ['c'] = 13, ['d'] = 14, ['e'] = 15, ['f'] = 16,
    ['A'] = 11, ['B'] = 12, ['C'] = 13, ['D'] = 14, ['E'] = 15, ['F'] = 16};

/* Where the two digits of each byte stand. */
static const uint8_t places[16] = {0, 2, 4, 6, 9, 11, 14, 16, 19, 21, 24, 26, 28, 30, 32, 34};

static bool hyphens_there(const char *s)
{
    return s[8] == '-' && s[13] == '-' && s[18] == '-' && s[23] == '-';
}

bool uuid_parse(Text text, Uuid *uuid, Fault *fault)
{
    Uuid read = {{0}};
    bool good = text.n == 36 && hyphens_there(text.s);
    for (int i = 0; i < 16 && good; i++) {
        const unsigned high = hex_values[(unsigned char)text.s[places[i]]];
        const unsigned low = hex_values[(unsigned char)text.s[places[i] + 1]];
        good = high > 0 && low > 0;
        read.b[i] = (uint8_t)((high - 1) << 4 | ((low - 1) & 15));
    }
    if (!good)
        return fault_set(fault, FAULT_USAGE,
                         "%s is not an id: an id is 36 characters, hexadecimal digits in groups of "
                         "8-4-4-4-12 with hyphens between them, such as "
                         "017f22e2-79b0-7cc3-98c4-dc0c0c07398f.",
                         text_quote(text).s);
    *uuid = read;
    return true;
}

char *uuid_print(const Uuid *uuid, char *out)
{
    static const char digits[] = "0123456789abcdef";
    for (int i = 0; i < 16; i++) {
        out[places[i]] = digits[uuid->b[i] >> 4];
        out[places[i] + 1] = digits[uuid->b[i] & 15];
    }
    out[8] = out[13] = out[18] = out[23] = '-';
    out[36] = '\0';
    return out;
}

bool uuid_is_nil(const Uuid *uuid)
{
    static const Uuid nil = {{0}};
    return uuid_compare(uuid, &nil) == 0;
}

Uuid uuid_v7(Moment created, const uint8_t random[10])
{
    Uuid uuid;
    uint64_t ms = (uint64_t)created.ms;
    for (int i = 0; i < 6; i++)
        uuid.b[i] = (uint8_t)(ms >> (40 - 8 * i));
    memcpy(uuid.b + 6, random, 10);
    uuid.b[6] = (uint8_t)(0x70U | (uuid.b[6] & 0x0FU)); /* version 7 */
    uuid.b[8] = (uint8_t)(0x80U | (uuid.b[8] & 0x3FU)); /* variant 10 */
    return uuid;
}

/* Of the ten random bytes, and so of the id from byte 6 on. */
enum { SAYS_AT = 0, MARK_AT = 3 };

static uint32_t mark_says(const uint8_t mark[3])
{
    return crc32c(0, mark, 3) & 0xfffu;
}

void uuid_mark_put(uint8_t random[10], uint32_t mark)
{
    for (int i = 0; i < 3; i++)
        random[MARK_AT + i] = (uint8_t)(mark >> (16 - 8 * i));
    const uint32_t says = mark_says(random + MARK_AT);
    random[SAYS_AT] = (uint8_t)(says >> 8);
    random[SAYS_AT + 1] = (uint8_t)says;
}

uint32_t uuid_maker(const Uuid *uuid)
{
    const uint8_t *random = uuid->b + 6;
    const uint32_t says = (uint32_t)(random[SAYS_AT] & 0x0fu) << 8 | random[SAYS_AT + 1];
    const bool is_v7 = (uuid->b[6] & 0xf0u) == 0x70u;
    return is_v7 && says == mark_says(random + MARK_AT) ? uuid_mark(uuid) : 0;
}

uint32_t uuid_mark(const Uuid *uuid)
{
    const uint8_t *mark = uuid->b + 6 + MARK_AT;
    return (uint32_t)mark[0] << 16 | (uint32_t)mark[1] << 8 | mark[2];
}

bool marks_hold(const Marks *marks, uint32_t mark)
{
    for (int i = 0; i < marks->count; i++)
        if (marks->marks[i] == mark)
            return true;
    return false;
}
