/* CRC-32C against published check values. */
#include "base/crc.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static void check_values_come_out(void **state)
{
    (void)state;
    uint8_t block[32];
    /* The catalogue value of CRC-32C, reproduced in many public test suites; CRC-32 (zlib) would
     * give cbf43926. */
    assert_int_equal(crc32c(0, "123456789", 9), 0xe3069283);
    assert_int_equal(crc32c(0, "", 0), 0);
    /* RFC 3720 (2004) appendix B.4, which prints the bytes least significant first. */
    memset(block, 0, sizeof block);
    assert_int_equal(crc32c(0, block, sizeof block), 0x8a9136aa);
    memset(block, 0xff, sizeof block);
    assert_int_equal(crc32c(0, block, sizeof block), 0x62a8ab43);
    for (size_t i = 0; i < sizeof block; i++)
        block[i] = (uint8_t)i;
    assert_int_equal(crc32c(0, block, sizeof block), 0x46dd794e);
}

static void it_goes_on_from_what_came_before_wherever_it_is_cut(void **state)
{
    (void)state;
    const char words[] = "\0\0\0the wash vessel is kept apart";
    for (size_t cut = 0; cut <= sizeof words; cut++)
        assert_int_equal(crc32c(crc32c(0, words, cut), words + cut, sizeof words - cut),
                         crc32c(0, words, sizeof words));
}

static void leading_zeros_and_each_single_bit_count(void **state)
{
    (void)state;
    uint8_t block[41] = {0};
    assert_true(crc32c(0, block, 3) != crc32c(0, block, 4));
    const uint32_t before = crc32c(0, block, sizeof block);
    for (size_t bit = 0; bit < 8 * sizeof block; bit++) {
        block[bit / 8] ^= (uint8_t)(1u << bit % 8);
        assert_true(crc32c(0, block, sizeof block) != before);
        block[bit / 8] ^= (uint8_t)(1u << bit % 8);
    }
}

static void the_machine_and_the_tables_agree(void **state)
{
    (void)state;
    uint8_t block[64];
    for (size_t i = 0; i < sizeof block; i++)
        block[i] = (uint8_t)(i * 37 + 11);
    assert_int_equal(crc32c_by_tables(0, "123456789", 9), 0xe3069283);
    for (size_t from = 0; from < 9; from++)
        for (size_t n = 0; from + n <= sizeof block; n++)
            assert_int_equal(crc32c_by_tables((uint32_t)n * 0x9e3779b9u, block + from, n),
                             crc32c((uint32_t)n * 0x9e3779b9u, block + from, n));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(check_values_come_out),
        cmocka_unit_test(it_goes_on_from_what_came_before_wherever_it_is_cut),
        cmocka_unit_test(leading_zeros_and_each_single_bit_count),
        cmocka_unit_test(the_machine_and_the_tables_agree),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
