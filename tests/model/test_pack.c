/* A State in few bytes and back. */
#include "model/pack.h"

#include "support/logbook.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

typedef struct {
    State in, out;
    uint8_t packed[STATE_PACKED_MAX];
} Bench;

static int bench_open(void **state)
{
    *state = calloc(1, sizeof(Bench));
    return *state == NULL;
}

static int bench_close(void **state)
{
    free(*state);
    return 0;
}

static size_t round_trip(Bench *b)
{
    const size_t n = state_pack(&b->in, b->packed, sizeof b->packed);
    assert_in_range(n, 1, STATE_PACKED_MAX);
    memset(&b->out, 0x5a, sizeof b->out);
    assert_true(state_unpack(&b->out, b->packed, n));
    assert_true(state_equal(&b->in, &b->out));
    return n;
}

static void test_an_empty_state_packs_to_next_to_nothing(void **state)
{
    Bench *b = *state;
    state_init(&b->in);
    assert_true(round_trip(b) < 700);
}

static void test_a_usual_state_packs_to_a_few_kilobytes(void **state)
{
    Bench *b = *state;
    Logbook *book = book_open();
    char words[] = "vessel A? --capacity 20 --heel 0.2 --tare 3.1 --duty line --level 15";
    for (int i = 1; i <= 8; i++) {
        words[8] = (char)('0' + i);
        book_say(book, words);
    }
    book_say(book, "couple galley A1 A2 A3 A4");
    book_say(book, "stage sediment --type sediment --line galley --life-litres 4000");
    book_say(book, "crew 2");
    for (int i = 0; i < 20; i++) {
        book_pass(book, 1);
        book_say(book, "draw galley 1.5");
    }
    b->in = *book_state(book);
    assert_true(round_trip(b) < 4096);
    book_close(book);
}

static void test_whatever_the_bytes_are_they_come_back(void **state)
{
    Bench *b = *state;
    Dice dice = {99};
    uint8_t *bytes = (uint8_t *)&b->in;
    for (int one_in = 1; one_in < 40; one_in += 3) { /* from no zero at all to nearly all */
        for (size_t i = 0; i < sizeof b->in; i++)
            bytes[i] = dice_one_in(&dice, one_in) ? (uint8_t)dice_from(&dice, 1, 255) : 0;
        round_trip(b);
    }
    memset(&b->in, 0xff, sizeof b->in);
    round_trip(b);
    memset(&b->in, 0, sizeof b->in);
    assert_true(round_trip(b) < 10);
    for (size_t i = 0; i < sizeof b->in; i++) /* the worst: runs of zeros just long enough */
        bytes[i] = i % 5 == 0;
    assert_true(round_trip(b) <= sizeof b->in * 3 / 5 + 3); /* a pair each: 1, the byte, 4 */
    for (size_t i = 0; i < sizeof b->in; i++)               /* and just too short, up to the end */
        bytes[i] = i % 4 == 0;
    round_trip(b);
    bytes[sizeof b->in - 1] = 0;
    round_trip(b);
}

static void test_too_small_a_place_is_refused(void **state)
{
    Bench *b = *state;
    state_init(&b->in);
    assert_int_equal(state_pack(&b->in, b->packed, STATE_PACKED_MAX - 1), 0);
}

static void test_cut_or_damaged_bytes_are_refused_and_never_overrun(void **state)
{
    Bench *b = *state;
    Dice dice = {5};
    state_init(&b->in);
    const size_t n = state_pack(&b->in, b->packed, sizeof b->packed);
    for (size_t cut = 0; cut < n; cut++)
        assert_false(state_unpack(&b->out, b->packed, cut));
    memcpy(b->packed + n, "\x01\x07\x00", 3); /* one byte too many */
    assert_false(state_unpack(&b->out, b->packed, n + 3));
    uint8_t *exact = malloc(n > 0 ? n : 1); /* so that the sanitiser sees a step past the end */
    assert_non_null(exact);
    int refused = 0;
    for (int round = 0; round < 3000; round++) {
        state_pack(&b->in, b->packed, sizeof b->packed);
        memcpy(exact, b->packed, n);
        for (int i = 0; i < 4; i++)
            exact[dice_from(&dice, 0, (int64_t)n - 1)] = (uint8_t)dice_throw(&dice);
        refused += !state_unpack(&b->out, exact, n);
    }
    free(exact);
    assert_true(refused >
                500); /* the rest hit plain bytes only: the store keeps a checksum or refolds */
    /* plain bytes behind so many zeros that they would not fit: two steps past the end */
    uint8_t beyond[16] = {0};
    size_t at = 1, zeros = sizeof(State) - 3;
    for (; zeros >= 128; zeros >>= 7)
        beyond[at++] = (uint8_t)(zeros | 128u);
    beyond[at++] = (uint8_t)zeros;
    beyond[at++] = 5;
    at += 5;
    State *just = malloc(sizeof *just); /* on the heap, so that the sanitiser sees it */
    assert_non_null(just);
    assert_false(state_unpack(just, beyond, at + 1));
    free(just);
    const uint8_t endless[] = {0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0x01};
    assert_false(state_unpack(&b->out, endless, sizeof endless));
}

static void test_the_stamp_is_the_same_every_time_and_never_negative(void **state)
{
    (void)state;
    assert_true(state_stamp() == state_stamp());
    assert_true(state_stamp() > 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_an_empty_state_packs_to_next_to_nothing),
        cmocka_unit_test(test_a_usual_state_packs_to_a_few_kilobytes),
        cmocka_unit_test(test_whatever_the_bytes_are_they_come_back),
        cmocka_unit_test(test_too_small_a_place_is_refused),
        cmocka_unit_test(test_cut_or_damaged_bytes_are_refused_and_never_overrun),
        cmocka_unit_test(test_the_stamp_is_the_same_every_time_and_never_negative),
    };
    return cmocka_run_group_tests(tests, bench_open, bench_close);
}
