/* Which entries the voids take out. */
#include "model/strike.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* Entry numbers as ids. A void `by` names `target`. */
typedef struct {
    uint32_t by, target;
} Void;
typedef struct {
    const Void *voids;
    size_t count;
} Voids;

static Uuid id_of(uint32_t number)
{
    Uuid id = {{0}};
    memcpy(id.b + 4, &number, sizeof number);
    return id;
}

static bool nth(void *context, const Uuid *target, size_t n, Uuid *void_id)
{
    const Voids *voids = context;
    for (size_t i = 0; i < voids->count; i++) {
        const Uuid id = id_of(voids->voids[i].target);
        if (uuid_compare(&id, target) == 0 && n-- == 0) {
            *void_id = id_of(voids->voids[i].by);
            return true;
        }
    }
    return false;
}

static bool struck(const Void *voids, size_t count, uint32_t entry)
{
    Voids all = {voids, count};
    const VoidSource source = {&all, nth};
    const Uuid id = id_of(entry);
    return strike_holds(&source, &id);
}
#define STRUCK(voids, entry) struck((voids), sizeof(voids) / sizeof(voids)[0], (entry))

static void test_an_entry_that_no_void_names_stands(void **state)
{
    (void)state;
    assert_false(struck(NULL, 0, 1));
    const Void voids[] = {{10, 2}};
    assert_false(STRUCK(voids, 1));
    assert_true(STRUCK(voids, 2));
    assert_false(STRUCK(voids, 10));
}

static void test_a_void_of_a_void_brings_the_entry_back(void **state)
{
    (void)state;
    const Void two[] = {{10, 1}, {11, 10}};
    assert_false(STRUCK(two, 1));
    assert_true(STRUCK(two, 10));
    const Void three[] = {{10, 1}, {11, 10}, {12, 11}};
    assert_true(STRUCK(three, 1));
    assert_false(STRUCK(three, 10));
}

static void test_one_void_that_acts_is_enough(void **state)
{
    (void)state;
    const Void voids[] = {{10, 1}, {11, 10}, {20, 1}}; /* the first was taken back, the other not */
    assert_true(STRUCK(voids, 1));
    const Void both[] = {{10, 1}, {11, 10}, {20, 1}, {21, 20}};
    assert_false(STRUCK(both, 1));
}

static void test_a_void_of_itself_does_nothing(void **state)
{
    (void)state;
    const Void voids[] = {{10, 10}};
    assert_false(STRUCK(voids, 10));
}

static void test_voids_in_a_ring_do_nothing(void **state)
{
    (void)state;
    const Void pair[] = {{10, 11}, {11, 10}};
    const Void three[] = {{10, 11}, {11, 12}, {12, 10}};
    for (uint32_t i = 10; i <= 12; i++) {
        assert_false(STRUCK(pair, i));
        assert_false(STRUCK(three, i));
    }
}

static void test_an_acting_void_from_outside_breaks_a_ring(void **state)
{
    (void)state;
    const Void voids[] = {{10, 11}, {11, 10}, {20, 10}};
    assert_true(STRUCK(voids, 10));  /* by 20 */
    assert_false(STRUCK(voids, 11)); /* by 10 only, which is struck */
    const Void held[] = {{10, 11}, {11, 10}, {20, 10}, {30, 20}};
    assert_false(STRUCK(held, 10));
    assert_false(STRUCK(held, 11));
}

static void test_the_order_in_which_voids_arrive_does_not_matter(void **state)
{
    (void)state;
    const Void voids[] = {{10, 1},  {11, 10}, {12, 11}, {20, 1}, {21, 20},
                          {30, 31}, {31, 30}, {32, 31}, {13, 1}, {14, 13}};
    enum { COUNT = sizeof voids / sizeof voids[0] };
    static const uint32_t entries[] = {1, 10, 11, 12, 13, 14, 20, 21, 30, 31, 32};
    uint32_t seed = 7;
    for (int round = 0; round < 500; round++) {
        Void shuffled[COUNT];
        memcpy(shuffled, voids, sizeof voids);
        for (size_t i = COUNT; i > 1; i--) {
            seed = seed * 1664525u + 1013904223u;
            const size_t j = (seed >> 8) % i;
            const Void kept = shuffled[i - 1];
            shuffled[i - 1] = shuffled[j];
            shuffled[j] = kept;
        }
        for (size_t i = 0; i < sizeof entries / sizeof entries[0]; i++)
            assert_true(STRUCK(shuffled, entries[i]) == STRUCK(voids, entries[i]));
    }
}

static void test_long_chains_alternate_and_endless_ones_end(void **state)
{
    (void)state;
    enum { LONG = 1200 };
    Void *chain = malloc(LONG * sizeof *chain);
    assert_non_null(chain);
    for (uint32_t i = 0; i < LONG; i++)
        chain[i] = (Void){i + 2, i + 1}; /* 2 voids 1, 3 voids 2, ... */
    for (size_t n = LONG - 3; n <= LONG; n++)
        assert_true(struck(chain, n, 1) == (n % 2 == 1));
    free(chain);
}

/* Entry n is named by void n + 1, for ever. */
static bool next_number(void *context, const Uuid *target, size_t n, Uuid *void_id)
{
    uint32_t number;
    memcpy(&number, target->b + 4, sizeof number);
    (*(uint32_t *)context)++;
    *void_id = id_of(number + 1);
    return n == 0;
}

static void test_a_chain_without_an_end_is_taken_as_a_ring(void **state)
{
    (void)state;
    uint32_t asked = 0;
    const VoidSource source = {&asked, next_number};
    const Uuid entry = id_of(1);
    assert_false(strike_holds(&source, &entry));
    assert_true(asked >= 10000 && asked < 30000);
}

/* The same up to a depth: the void at the end is named by none. */
static bool next_up_to(void *context, const Uuid *target, size_t n, Uuid *void_id)
{
    uint32_t number;
    memcpy(&number, target->b + 4, sizeof number);
    *void_id = id_of(number + 1);
    return n == 0 && number < *(uint32_t *)context;
}

/* strike.h: as deep as 10,000, and what is deeper is taken as a ring. */
static void test_a_chain_is_followed_to_ten_thousand(void **state)
{
    (void)state;
    uint32_t last = 10001;
    const VoidSource source = {&last, next_up_to};
    const Uuid entry = id_of(1);
    assert_false(strike_holds(&source, &entry)); /* an even number of voids */
    last--;
    assert_true(strike_holds(&source, &entry)); /* an odd one */
    last = 10002;
    assert_false(strike_holds(&source, &entry)); /* odd, and not followed */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_an_entry_that_no_void_names_stands),
        cmocka_unit_test(test_a_void_of_a_void_brings_the_entry_back),
        cmocka_unit_test(test_one_void_that_acts_is_enough),
        cmocka_unit_test(test_a_void_of_itself_does_nothing),
        cmocka_unit_test(test_voids_in_a_ring_do_nothing),
        cmocka_unit_test(test_an_acting_void_from_outside_breaks_a_ring),
        cmocka_unit_test(test_the_order_in_which_voids_arrive_does_not_matter),
        cmocka_unit_test(test_long_chains_alternate_and_endless_ones_end),
        cmocka_unit_test(test_a_chain_without_an_end_is_taken_as_a_ring),
        cmocka_unit_test(test_a_chain_is_followed_to_ten_thousand),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
