#include "base/crc.h"

#include <string.h>

#if defined(__x86_64__) && __has_include(<sys/platform/x86.h>)
#include <sys/platform/x86.h>
#endif

/* Eight bytes a step: table t carries a byte over the t bytes after it ("slicing by 8", Kounavis
 * and Berry, 2005). */
enum { TABLES = 8 };
#define POLYNOMIAL 0x82F63B78u

static uint32_t table[TABLES][256];

static void tables_fill(void)
{
    for (uint32_t i = 0; i < 256; i++) {
        uint32_t crc = i;
        for (int bit = 0; bit < 8; bit++)
            crc = crc & 1 ? crc >> 1 ^ POLYNOMIAL : crc >> 1;
        table[0][i] = crc;
    }
    for (int t = 1; t < TABLES; t++)
        for (int i = 0; i < 256; i++)
            table[t][i] = table[t - 1][i] >> 8 ^ table[0][table[t - 1][i] & 0xff];
}

uint32_t crc32c_by_tables(uint32_t start, const void *bytes, size_t n)
{
    const uint8_t *at = bytes;
    uint32_t crc = ~start;
    if (table[0][1] == 0)
        tables_fill();
    for (; n >= TABLES; n -= TABLES, at += TABLES) {
        crc ^=
            (uint32_t)at[0] | (uint32_t)at[1] << 8 | (uint32_t)at[2] << 16 | (uint32_t)at[3] << 24;
        crc = table[7][crc & 0xff] ^ table[6][crc >> 8 & 0xff] ^ table[5][crc >> 16 & 0xff] ^
              table[4][crc >> 24] ^ table[3][at[4]] ^ table[2][at[5]] ^ table[1][at[6]] ^
              table[0][at[7]];
    }
    for (; n > 0; n--, at++)
        crc = crc >> 8 ^ table[0][(crc ^ *at) & 0xff];
    return ~crc;
}

#if defined(__x86_64__)
__attribute__((target("sse4.2"))) static uint32_t by_machine(uint32_t start, const uint8_t *at,
                                                             size_t n)
{
    uint64_t crc = ~start, eight;
    for (; n >= sizeof eight; n -= sizeof eight, at += sizeof eight) {
        memcpy(&eight, at, sizeof eight);
        crc = __builtin_ia32_crc32di(crc, eight);
    }
    for (; n > 0; n--, at++)
        crc = __builtin_ia32_crc32qi((uint32_t)crc, *at);
    return ~(uint32_t)crc;
}

/* The C library has asked the processor already. Where it does not tell, the compiler's own code
 * asks again at every start, and a virtual machine is left for each question: 3 % of `status`. */
static bool machine_can(void)
{
#if defined(CPU_FEATURE_ACTIVE)
    return CPU_FEATURE_ACTIVE(SSE4_2);
#else
    return __builtin_cpu_supports("sse4.2");
#endif
}
#endif

uint32_t crc32c(uint32_t start, const void *bytes, size_t n)
{
#if defined(__x86_64__)
    if (machine_can())
        return by_machine(start, bytes, n);
#endif
    return crc32c_by_tables(start, bytes, n);
}
