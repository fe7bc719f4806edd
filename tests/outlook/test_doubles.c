/* One swap or fill logged on two machines, and what is none. */
#include "outlook/doubles.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

static const Marks two = {{0x111111, 0x222222}, 2};

static Event made(KindId kind, const char *name, int64_t ms, uint32_t mark)
{
    Event e;
    uint8_t random[10] = {0};
    event_clear(&e, kind);
    e.at.ms = ms;
    for (int i = 0; i < 3; i++)
        random[UUID_MARK_AT + i] = (uint8_t)(mark >> (16 - 8 * i));
    e.id = uuid_v7(e.at, random);
    if (kind == KIND_FILL)
        e.u.fill.vessel = label_of(text_of(name));
    else
        e.u.name.name = label_of(text_of(name));
    return e;
}

static bool doubled(KindId kind, int64_t apart, const char *name, uint32_t mark)
{
    const Event a = made(kind, "A1", 1700000000000, 0x111111),
                b = made(kind, name, 1700000000000 + apart, mark);
    const bool is = likely_double(&a, &b, &two);
    assert_int_equal(is, likely_double(&b, &a, &two));
    return is;
}

static void the_same_from_two_machines_within_the_bound_is_one(void **state)
{
    (void)state;
    /* common practice, no source */
    assert_true(doubled(KIND_SWAP, 60 * MS_PER_MINUTE, "A1", 0x222222));
    assert_false(doubled(KIND_SWAP, 60 * MS_PER_MINUTE + 1, "A1", 0x222222));
    assert_true(doubled(KIND_FILL, 10 * MS_PER_MINUTE, "A1", 0x222222));
    assert_false(doubled(KIND_FILL, 10 * MS_PER_MINUTE + 1, "A1", 0x222222));
    assert_true(doubled(KIND_FILL, 0, "A1", 0x222222));
}

static void another_name_the_same_machine_or_a_stranger_is_none(void **state)
{
    (void)state;
    assert_false(doubled(KIND_SWAP, 0, "A2", 0x222222));
    assert_false(doubled(KIND_FILL, 0, "A2", 0x222222));
    assert_false(doubled(KIND_FILL, 0, "A1", 0x111111));
    assert_false(doubled(KIND_FILL, 0, "A1", 0x333333));
    assert_false(doubled(KIND_SANITISE, 0, "A1", 0x222222));
    const Event fill = made(KIND_FILL, "A1", 0, 0x111111),
                swap = made(KIND_SWAP, "A1", 0, 0x222222);
    assert_false(likely_double(&fill, &swap, &two));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_same_from_two_machines_within_the_bound_is_one),
        cmocka_unit_test(another_name_the_same_machine_or_a_stranger_is_none),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
