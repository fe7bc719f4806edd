/* Ids of entries. The vectors are those of RFC 9562 (May 2024), appendix A and section 5.9, 5.10.
 */
#include "base/uuid.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static Uuid uuid_read(const char *s)
{
    Uuid uuid = {{0}};
    Fault fault = {0};
    if (!uuid_parse(text_of(s), &uuid, &fault))
        fail_msg("%s", fault.text);
    return uuid;
}

static void test_the_version_7_example_of_the_rfc_comes_out(void **state)
{
    (void)state;
    /* RFC 9562 appendix A.6: 22 February 2022 14:22:22.00 GMT-05:00, unix_ts_ms 0x017F22E279B0,
     * rand_a 0xCC3, rand_b 0b01 and 0x8C4DC0C0C07398F. */
    Moment created;
    Fault fault = {0};
    assert_true(
        moment_parse_rfc3339(text_of("2022-02-22T14:22:22.00-05:00"), &created, NULL, &fault));
    assert_true(created.ms == INT64_C(1645557742000));
    assert_true(created.ms == INT64_C(0x017F22E279B0));
    /* rand_b's 62 bits: 01, then 60 bits; with two free bits in front 0x18C4DC0C0C07398F. */
    const uint8_t random[10] = {0x0C, 0xC3, 0x18, 0xC4, 0xDC, 0x0C, 0x0C, 0x07, 0x39, 0x8F};
    Uuid uuid = uuid_v7(created, random);
    char out[37];
    assert_string_equal(uuid_print(&uuid, out), "017f22e2-79b0-7cc3-98c4-dc0c0c07398f");
    Uuid read = uuid_read("017F22E2-79B0-7CC3-98C4-DC0C0C07398F");
    assert_int_equal(uuid_compare(&uuid, &read), 0);
}

static void test_version_and_variant_bits_are_set_over_the_random_ones(void **state)
{
    (void)state;
    /* RFC 9562 section 5.7: version 0b0111, variant 0b10. */
    uint8_t random[10];
    for (int fill = 0; fill < 256; fill++) {
        memset(random, fill, sizeof random);
        Uuid uuid = uuid_v7((Moment){INT64_C(1764000000000)}, random);
        assert_int_equal(uuid.b[6], 0x70 | (fill & 0x0F));
        assert_int_equal(uuid.b[7], fill);
        assert_int_equal(uuid.b[8], 0x80 | (fill & 0x3F));
        assert_int_equal(uuid.b[15], fill);
    }
}

static void an_id_says_which_mark_made_it_or_that_none_did(void **state)
{
    (void)state;
    for (uint32_t mark = 1; mark < 0x1000000; mark = mark * 3 + 1) {
        uint8_t random[10] = {0xff, 0xff, 0xff, 0, 0, 0, 0xff, 0xff, 0xff, 0xff};
        uuid_mark_put(random, mark);
        Uuid id = uuid_v7((Moment){INT64_C(1764000000000)}, random);
        assert_int_equal(uuid_mark(&id), mark);
        assert_int_equal(uuid_maker(&id), mark);
        assert_int_equal(id.b[6] >> 4, 7);
        assert_int_equal(id.b[15], 0xff);
        for (int bit = 0; bit < 24; bit++) { /* a CRC tells every single bit */
            Uuid other = id;
            other.b[9 + bit / 8] ^= (uint8_t)(1 << bit % 8);
            assert_int_equal(uuid_maker(&other), 0);
        }
        id.b[6] = (uint8_t)((id.b[6] & 0x0f) | 0x40); /* version 4: random by its own word */
        assert_int_equal(uuid_maker(&id), 0);
    }
    const Uuid nil = {{0}};
    assert_int_equal(uuid_maker(&nil), 0);
    /* the example of RFC 9562, appendix A.6 */
    const Uuid random = uuid_read("017F22E2-79B0-7CC3-98C4-DC0C0C07398F");
    assert_int_equal(uuid_maker(&random), 0);
}

static void test_later_ids_are_greater(void **state)
{
    (void)state;
    const uint8_t low[10] = {0};
    uint8_t high[10];
    memset(high, 0xFF, sizeof high);
    const int64_t times[] = {0,
                             1,
                             255,
                             256,
                             65535,
                             65536,
                             INT64_C(1764000000000),
                             INT64_C(1764000000001),
                             MOMENT_MAX_MS};
    for (size_t i = 0; i + 1 < sizeof times / sizeof times[0]; i++) {
        Uuid a = uuid_v7((Moment){times[i]}, high);
        Uuid b = uuid_v7((Moment){times[i + 1]}, low);
        assert_true(uuid_compare(&a, &b) < 0);
        assert_true(uuid_compare(&b, &a) > 0);
        char s[37], t[37];
        assert_true(strcmp(uuid_print(&a, s), uuid_print(&b, t)) < 0);
    }
}

static void test_ids_of_any_version_are_read_in_either_case(void **state)
{
    (void)state;
    static const struct {
        const char *in, *out;
    } cases[] = {
        /* RFC 9562 appendix A.3, version 4 */
        {"919108F7-52D1-4320-9BAC-F847DB4148A8", "919108f7-52d1-4320-9bac-f847db4148a8"},
        {"919108f7-52d1-4320-9bac-f847db4148a8", "919108f7-52d1-4320-9bac-f847db4148a8"},
        {"00000000-0000-4000-9000-000000000000", "00000000-0000-4000-9000-000000000000"},
        {"00000000-0000-4000-a000-000000000000", "00000000-0000-4000-a000-000000000000"},
        {"00000000-0000-4000-B000-000000000000", "00000000-0000-4000-b000-000000000000"},
        /* sections 5.9 and 5.10: nil and max */
        {"00000000-0000-0000-0000-000000000000", "00000000-0000-0000-0000-000000000000"},
        {"FFFFFFFF-FFFF-FFFF-FFFF-FFFFFFFFFFFF", "ffffffff-ffff-ffff-ffff-ffffffffffff"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        Uuid uuid = uuid_read(cases[i].in);
        char out[37];
        assert_string_equal(uuid_print(&uuid, out), cases[i].out);
    }
    /* The bytes stand in the order of the digits. */
    Uuid uuid = uuid_read("00112233-4455-6677-8899-aabbccddeeff");
    for (unsigned i = 0; i < 16; i++)
        assert_int_equal(uuid.b[i], i * 0x11);
}

static void test_nil_is_told_apart(void **state)
{
    (void)state;
    Uuid nil = uuid_read("00000000-0000-0000-0000-000000000000");
    Uuid last = uuid_read("00000000-0000-0000-0000-000000000001");
    assert_true(uuid_is_nil(&nil));
    assert_false(uuid_is_nil(&last));
}

static void test_anything_else_is_refused_and_leaves_the_id_alone(void **state)
{
    (void)state;
    static const char *const bad[] = {
        "",
        "017f22e2",
        "017f22e279b07cc398c4dc0c0c07398f",
        "017f22e2-79b0-7cc3-98c4-dc0c0c07398",
        "017f22e2-79b0-7cc3-98c4-dc0c0c07398f0",
        "017f22e2-79b0-7cc3-98c4-dc0c0c07398g",
        "g17f22e2-79b0-7cc3-98c4-dc0c0c07398f",
        "017f22e27-9b0-7cc3-98c4-dc0c0c07398f",
        "017f22e2+79b0-7cc3-98c4-dc0c0c07398f",
        "017f22e2-79b0-7cc3-98c4_dc0c0c07398f",
        "017f22e2-79b0-7cc3-98c4-dc0c0c07398\n",
        " 17f22e2-79b0-7cc3-98c4-dc0c0c07398f",
        "{17f22e2-79b0-7cc3-98c4-dc0c0c07398f",
        "017f22e2-79b0-7cc3-98c4-dc0c0c0739@f", /* '@' and '`' stand next to the letters */
        "017f22e2-79b0-7cc3-98c4-dc0c0c0739`f",
        "017f22e2-79b0-7cc3-98c4-dc0c0c0739:f",
        "017f22e2-79b0-7cc3-98c4-dc0c0c0739\020f",
        "017f22e2-79b0-7cc3-98c4-dc0c0c0739\xC3\xA9",
    };
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        Uuid uuid;
        memset(&uuid, 0x5A, sizeof uuid);
        Uuid before = uuid;
        Fault fault = {0};
        assert_false(uuid_parse(text_of(bad[i]), &uuid, &fault));
        assert_int_equal(fault.kind, FAULT_USAGE);
        assert_non_null(strstr(fault.text, "is not an id"));
        assert_non_null(strstr(fault.text, "8-4-4-4-12"));
        assert_memory_equal(&uuid, &before, sizeof uuid);
    }
    Fault fault = {0};
    Uuid uuid;
    assert_false(uuid_parse(text_of("017f22e2"), &uuid, &fault));
    assert_non_null(strstr(fault.text, "\"017f22e2\""));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_the_version_7_example_of_the_rfc_comes_out),
        cmocka_unit_test(test_version_and_variant_bits_are_set_over_the_random_ones),
        cmocka_unit_test(an_id_says_which_mark_made_it_or_that_none_did),
        cmocka_unit_test(test_later_ids_are_greater),
        cmocka_unit_test(test_ids_of_any_version_are_read_in_either_case),
        cmocka_unit_test(test_nil_is_told_apart),
        cmocka_unit_test(test_anything_else_is_refused_and_leaves_the_id_alone),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
