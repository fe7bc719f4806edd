#include "model/pack.h"

#include "base/crc.h"

#include <string.h>

/* Bump when the meaning of a field changes while the layout stays. */
enum { STATE_LAYOUT = 26 };

int64_t state_stamp(void)
{
    /* Byte by byte as they lie in memory: a log may move to a machine of another order. */
    const uint64_t parts[] = {
        sizeof(State),          sizeof(Vessel),
        sizeof(Line),           sizeof(Stage),
        sizeof(Source),         sizeof(Stop),
        sizeof(Discrepancy),    sizeof(Use),
        offsetof(State, use),   offsetof(State, vessels),
        offsetof(State, lines), offsetof(State, stages),
    };
    return (int64_t)STATE_LAYOUT << 32 | crc32c(0, parts, sizeof parts);
}

static size_t put_length(uint8_t *out, size_t n)
{
    size_t used = 0;
    while (n >= 128) {
        out[used++] = (uint8_t)(n | 128u);
        n >>= 7;
    }
    out[used++] = (uint8_t)n;
    return used;
}

static bool take_length(const uint8_t *bytes, size_t n, size_t *at, size_t *value)
{
    *value = 0;
    for (unsigned shift = 0; *at < n && shift < 56; shift += 7) {
        const uint8_t byte = bytes[(*at)++];
        *value |= (size_t)(byte & 127u) << shift;
        if (byte < 128)
            return true;
    }
    return false;
}

/* The first byte from `at` on that is not zero; a state is mostly zeros. */
static size_t zeros_end(const uint8_t *in, size_t at, size_t n)
{
    for (uint64_t eight = 0; at + sizeof eight <= n; at += sizeof eight) {
        memcpy(&eight, in + at, sizeof eight);
        if (eight != 0)
            break;
    }
    while (at < n && in[at] == 0)
        at++;
    return at;
}

/* The packed form is pairs: how many bytes as they are, the bytes, how many zeros follow. A run of
 * fewer than four zeros is not worth a pair. */
size_t state_pack(const State *state, uint8_t *out, size_t size)
{
    const uint8_t *in = (const uint8_t *)state;
    const size_t n = sizeof *state;
    size_t used = 0, at = 0;
    if (size < STATE_PACKED_MAX)
        return 0;
    while (at < n) {
        const size_t start = at;
        size_t zeros = 0;
        while (at < n && zeros < 4) {
            zeros = in[at] == 0 ? zeros + 1 : 0;
            at++;
        }
        const size_t plain = at - start - zeros;
        at = zeros_end(in, at, n);
        zeros = at - start - plain;
        used += put_length(out + used, plain);
        memcpy(out + used, in + start, plain);
        used += plain;
        used += put_length(out + used, zeros);
    }
    return used;
}

bool state_unpack(State *state, const uint8_t *bytes, size_t n)
{
    uint8_t *out = (uint8_t *)state;
    size_t at = 0, filled = 0;
    while (at < n) {
        size_t plain, zeros;
        if (!take_length(bytes, n, &at, &plain) || plain > n - at || plain > sizeof *state - filled)
            return false;
        memcpy(out + filled, bytes + at, plain);
        at += plain;
        filled += plain;
        if (!take_length(bytes, n, &at, &zeros) || zeros > sizeof *state - filled)
            return false;
        memset(out + filled, 0, zeros);
        filled += zeros;
    }
    return filled == sizeof *state;
}
