/* An entry as a value: cleared, ordered, compared. */
#include "model/event.h"

#include "model/kinds.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static Event draw(int64_t at, uint8_t id)
{
    Event e;
    memset(&e, 0, sizeof e);
    event_clear(&e, KIND_DRAW);
    e.at.ms = at;
    e.id.b[15] = id;
    e.u.draw.litres = 3500;
    e.has = 1u << 2;
    return e;
}

static void test_a_cleared_entry_is_empty_whatever_was_there(void **state)
{
    (void)state;
    for (int k = 1; k < KIND_END; k++) {
        Event e;
        memset(&e, 0xa5, sizeof e);
        event_clear(&e, (KindId)k);
        assert_int_equal(e.kind, k);
        assert_true(uuid_is_nil(&e.id));
        assert_true(e.at.ms == 0 && e.zone == 0 && e.note[0] == '\0');
        /* a couple has its order, if only an empty one */
        assert_int_equal(e.has, k == KIND_COUPLE ? 1u << COUPLE_ORDER : 0);
        const unsigned char *payload = (const unsigned char *)&e.u;
        for (size_t i = 0; i < event_payload_size((KindId)k); i++)
            assert_int_equal(payload[i], 0);
    }
}

static void test_what_is_no_kind_carries_nothing(void **state)
{
    (void)state;
    assert_int_equal(event_payload_size(KIND_NONE), 0);
    assert_int_equal(event_payload_size(KIND_END), 0);
    assert_int_equal(event_payload_size((KindId)-1), 0);
    assert_int_equal(event_payload_size((KindId)INT32_MAX), 0);
    assert_int_equal(event_payload_size(KIND_LEADTIME), sizeof(LeadtimeEvent)); /* the last one */
}

/* A void or a settle names its entry, and that field is the one that it has. */
static void test_an_entry_about_another_one_names_it(void **state)
{
    (void)state;
    static const KindId kinds[] = {KIND_VOID, KIND_SETTLE};
    const Uuid id = {{1, 2, 3}};
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++) {
        Event e;
        event_about(&e, kinds[i], &id, (Moment){5000});
        assert_int_equal(e.kind, kinds[i]);
        assert_true(e.at.ms == 5000);
        assert_int_equal(uuid_compare(&e.u.entry.entry, &id), 0);
        assert_true(event_has(&e, kind_field(kind_of(kinds[i]), text_of("entry"))));
        assert_int_equal(e.has & (e.has - 1), 0); /* and no other one */
    }
}

static void test_entries_are_ordered_by_time_and_then_by_id(void **state)
{
    (void)state;
    const Event early = draw(1000, 9), late = draw(2000, 1), late_too = draw(2000, 2);
    assert_true(event_compare(&early, &late) < 0);
    assert_true(event_compare(&late, &early) > 0);
    assert_true(event_compare(&late, &late_too) < 0);
    assert_true(event_compare(&late_too, &late) > 0);
    assert_int_equal(event_compare(&late, &late), 0);
}

static void test_entries_are_equal_only_where_all_of_them_is(void **state)
{
    (void)state;
    const Event a = draw(1000, 1);
    Event b = a;
    assert_true(event_equal(&a, &b));
    b.note[5] = 'x'; /* behind the end of the note: nothing */
    assert_true(event_equal(&a, &b));
    b = a, b.u.draw.litres++;
    assert_false(event_equal(&a, &b));
    b = a, b.zone = 60;
    assert_false(event_equal(&a, &b));
    b = a, b.has |= 1;
    assert_false(event_equal(&a, &b));
    b = a, b.kind = KIND_DUMP;
    assert_false(event_equal(&a, &b));
    b = a, b.at.ms++;
    assert_false(event_equal(&a, &b));
    b = a, b.id.b[0]++;
    assert_false(event_equal(&a, &b));
    b = a, b.note[0] = 'x';
    assert_false(event_equal(&a, &b));
}

static void test_the_numbers_of_kinds_stand_in_logs_and_never_change(void **state)
{
    (void)state;
    static const char *const names[] = {
        "fill",   "draw",       "sound",  "decant", "dump",     "sanitise", "treat",
        "couple", "pressurise", "swap",   "spares", "flowtest", "vessel",   "retire",
        "stage",  "unstage",    "source", "crew",   "stop",     "unstop",   "note",
        "void",   "settle",     "putoff", "test",   "meter",    "leadtime"};
    assert_int_equal(KIND_END - 1, sizeof names / sizeof names[0]);
    for (int k = 1; k < KIND_END; k++)
        assert_string_equal(kind_of((KindId)k)->name, names[k - 1]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_what_is_no_kind_carries_nothing),
        cmocka_unit_test(test_a_cleared_entry_is_empty_whatever_was_there),
        cmocka_unit_test(test_an_entry_about_another_one_names_it),
        cmocka_unit_test(test_entries_are_ordered_by_time_and_then_by_id),
        cmocka_unit_test(test_entries_are_equal_only_where_all_of_them_is),
        cmocka_unit_test(test_the_numbers_of_kinds_stand_in_logs_and_never_change),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
