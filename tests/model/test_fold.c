/* The one road in: the fold in time order, what is refused, what back-dated entries and voids do.
 */
#include "model/audit.h"
#include "model/field.h"
#include "model/fold.h"

#include "support/logbook.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static Logbook *aboard(void)
{
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --heel 0.2 --class potable --level 12");
    book_say(book, "vessel A2 --capacity 12 --heel 0.2 --class potable --level 12");
    book_say(book, "couple galley A1 A2");
    return book;
}

static void test_the_state_of_an_empty_log_knows_nothing(void **state)
{
    (void)state;
    State s;
    state_init(&s);
    assert_null(state_audit(&s));
    assert_int_equal(s.folded, 0);
    assert_true(s.last_at == MOMENT_NONE_MS);
    assert_int_equal(s.crew, -1);
}

static void test_every_entry_is_counted_and_dates_the_state(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_pass(book, 2);
    book->zone = 120;
    book_say(book, "note \"calm\"");
    const State *s = book_state(book);
    assert_int_equal(s->folded, 4);
    assert_true(s->last_at == book->now.ms);
    assert_int_equal(s->last_zone, 120);
    book_close(book);
}

static void test_an_entry_of_a_kind_from_a_newer_program_is_passed_over(void **state)
{
    (void)state;
    Logbook *book = aboard();
    State s = *book_state(book);
    Event e;
    memset(&e, 0, sizeof e);
    e.at = book->now;
    e.kind = KIND_END + 7;
    fold_apply(&s, &e);
    assert_int_equal(s.folded, 4);
    assert_memory_equal(s.vessels, book->state.vessels, sizeof s.vessels);
    book_close(book);
}

/* It may have been a fill of anything: no class gets better by it, and none stays potable. */
static void test_what_can_not_be_read_leaves_no_water_potable(void **state)
{
    (void)state;
    static const char *const classes[] = {"potable", "questionable", "non-potable"};
    for (int i = 0; i < CLASS_COUNT; i++) {
        char words[80];
        Logbook *book = book_open();
        snprintf(words, sizeof words, "vessel A1 --capacity 10 --level 5 --class %s", classes[i]);
        book_say(book, words);
        book_say(book, "vessel B1 --capacity 10 --level 5 --class potable");
        book_say(book, "retire B1");
        State s = *book_state(book);
        const Vessel was = s.vessels[0], gone = s.vessels[1];
        fold_unread(&s);
        assert_int_equal(s.unread, 1);
        assert_int_equal(s.folded, 4);
        assert_int_equal(s.vessels[0].quality,
                         was.quality < CLASS_QUESTIONABLE ? CLASS_QUESTIONABLE : was.quality);
        assert_true((s.vessels[0].marks & MARK_RAW) != 0);
        assert_true(s.vessels[0].volume == was.volume);
        assert_memory_equal(&s.vessels[1], &gone, sizeof gone);
        assert_null(state_audit(&s));
        book_close(book);
    }
}

static void test_a_time_in_the_future_is_refused(void **state)
{
    (void)state;
    Logbook *book = aboard();
    State s = *book_state(book);
    Event e;
    Fault fault = {FAULT_NONE, ""};
    assert_true(book_read(book, &s, "draw galley 1", &e, &fault));
    assert_true(fold_check(&s, &e, book->now, &fault));
    /* two minutes, as clocks differ, and a second for what is placed after the last of them */
    e.at.ms = book->now.ms + 121 * MS_PER_SECOND;
    assert_true(fold_check(&s, &e, book->now, &fault));
    e.at.ms++;
    assert_false(fold_check(&s, &e, book->now, &fault));
    assert_int_equal(fault.kind, FAULT_REFUSED);
    assert_non_null(strstr(fault.text, "2026-06-01T08:02:01.001+00:00 is in the future"));
    book_close(book);
}

/* The clock of a small machine: set back a little, far, and ahead of the log. */
static void test_what_has_no_time_of_its_own_comes_after_the_latest_or_is_refused(void **state)
{
    (void)state;
    Logbook *book = aboard();
    const State *s = book_state(book);
    const int64_t last = s->last_at;
    static const struct {
        int64_t behind;
        bool taken;
    } clocks[] = {{-1, true},
                  {0, true},
                  {1, true},
                  {2 * MS_PER_MINUTE, true},
                  {2 * MS_PER_MINUTE + 1, false},
                  {19 * MS_PER_DAY, false}};
    for (size_t i = 0; i < sizeof clocks / sizeof clocks[0]; i++) {
        const Moment now = {last - clocks[i].behind};
        Event e;
        Fault fault = {FAULT_NONE, ""};
        event_clear(&e, KIND_CREW);
        e.at = now;
        if (event_place(s, &e, now, &fault) != clocks[i].taken)
            fail_msg("%lld ms behind: %s", (long long)clocks[i].behind, fault.text);
        assert_int_equal(e.at.ms, clocks[i].taken && clocks[i].behind >= 0 ? last + 1 : now.ms);
        if (clocks[i].taken) {
            assert_false(clock_ahead(e.at, now));
            continue;
        }
        assert_int_equal(fault.kind, FAULT_REFUSED);
        assert_non_null(strstr(fault.text, "--at"));
        e.kind = KIND_VOID; /* the way out of what a clock that was ahead wrote */
        assert_true(event_place(s, &e, now, &fault));
        e.kind = KIND_CREW;
        e.at.ms--; /* a time of its own is what was said */
        assert_true(event_place(s, &e, now, &fault));
        assert_int_equal(e.at.ms, now.ms - 1);
    }
    book_close(book);
}

static void test_a_back_dated_draw_that_leaves_too_little_later_is_listed_there(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_pass(book, 2);
    const size_t later = book_say(book, "draw galley 23"); /* 23.6 can be had */
    book_pass(book, -1);
    book_say(book, "draw galley 5"); /* could be, at its time */
    const State *s = book_state(book);
    assert_int_equal(s->totals.drawn, 23600);
    assert_int_equal(s->discrepancy_count, 1);
    assert_int_equal(s->discrepancies[0].amount, 4400);
    assert_int_equal(uuid_compare(&s->discrepancies[0].entry, &book->events[later].id), 0);
    book_close(book);
}

static void test_a_back_dated_fill_of_bad_water_spoils_what_was_drawn_after_it(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "draw galley 2");
    book_pass(book, 2);
    book_say(book, "draw galley 2");
    assert_int_equal(book_vessel(book, "A2")->quality, CLASS_POTABLE);
    book_pass(book, -1);
    book_say(book, "fill A1 1 --class non-potable");
    assert_int_equal(book_vessel(book, "A2")->quality, CLASS_NON_POTABLE);
    book_close(book);
}

static void test_a_correction_is_a_void_and_a_new_entry_of_the_same_time(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_pass(book, 1);
    const size_t wrong = book_say(book, "draw galley 8");
    book_pass(book, 1);
    book_say(book, "draw galley 1");
    book_void(book, wrong);
    book_pass(book, -1);
    book_say(book, "draw galley 0.8");
    assert_int_equal(book_vessel(book, "A1")->volume, 12000 - 1800);
    book_close(book);
}

static void test_voiding_a_void_brings_the_entry_back(void **state)
{
    (void)state;
    Logbook *book = aboard();
    const size_t draw = book_say(book, "draw galley 8");
    const size_t first = book_void(book, draw);
    assert_int_equal(book_vessel(book, "A1")->volume, 12000);
    const size_t second = book_void(book, first);
    assert_int_equal(book_vessel(book, "A1")->volume, 4000);
    book_void(book, second);
    assert_int_equal(book_vessel(book, "A1")->volume, 12000);
    book_close(book);
}

static void test_a_void_may_stand_before_what_it_takes_out(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_pass(book, 1);
    const size_t draw = book_say(book, "draw galley 8");
    book_pass(book, -0.5); /* entered with another clock */
    book_void(book, draw);
    assert_int_equal(book_vessel(book, "A1")->volume, 12000);
    book_close(book);
}

static void test_entries_of_the_same_time_are_ordered_by_their_ids(void **state)
{
    (void)state;
    Logbook *one = aboard(), *other = aboard();
    Event fill, dump;
    Fault fault;
    assert_true(book_read(one, book_state(one), "fill A1 1 --class questionable", &fill, &fault));
    assert_true(book_read(one, book_state(one), "dump A1", &dump, &fault));
    memset(fill.id.b, 0xfe, sizeof fill.id.b);
    memset(dump.id.b, 0xfd, sizeof dump.id.b); /* first, whichever comes first */
    book_add(one, &fill);
    book_add(one, &dump);
    book_add(other, &dump);
    book_add(other, &fill);
    assert_int_equal(book_vessel(one, "A1")->volume, 1000);
    assert_true(state_equal(book_state(one), book_state(other)));
    book_close(one);
    book_close(other);
}

static void test_a_merge_of_two_logs_gives_one_state_in_either_order(void **state)
{
    (void)state;
    Logbook *mine = aboard(), *yours = book_open(), *both = book_open();
    for (size_t i = 0; i < mine->count; i++)
        book_add(yours, &mine->events[i]); /* one log, taken along on two machines */
    yours->ids = 1000;
    book_pass(mine, 1);
    book_say(mine, "draw galley 3");
    book_pass(yours, 0.5);
    book_say(yours, "fill A1 1 --class questionable");
    book_pass(yours, 1);
    book_say(yours, "draw galley 2");
    for (size_t i = yours->count; i > 0; i--)
        book_add(both, &yours->events[i - 1]);
    for (size_t i = 0; i < mine->count; i++)
        book_add(both, &mine->events[i]);
    const size_t own = yours->count;
    for (size_t i = 0; i < mine->count; i++)
        book_add(yours, &mine->events[i]);
    assert_true(state_equal(book_state(both), book_state(yours)));
    for (size_t i = 0; i < own; i++)
        book_add(mine, &yours->events[i]);
    assert_true(state_equal(book_state(mine), book_state(both)));
    assert_int_equal(book_vessel(both, "A2")->quality, CLASS_QUESTIONABLE);
    book_close(mine);
    book_close(yours);
    book_close(both);
}

static void test_the_list_of_discrepancies_drops_its_oldest_and_says_how_many(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "dump A1");
    for (int i = 0; i < DISCREPANCIES_MAX + 5; i++) {
        book_say(book, "dump A2");
        book_say(book, "sound A2 1");
        book_pass(book, 0.1);
    }
    const State *s = book_state(book);
    assert_int_equal(s->discrepancy_count, DISCREPANCIES_MAX);
    assert_int_equal(s->discrepancy_lost, 5);
    assert_true(s->discrepancies[0].at < s->discrepancies[1].at);
    book_close(book);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_the_state_of_an_empty_log_knows_nothing),
        cmocka_unit_test(test_every_entry_is_counted_and_dates_the_state),
        cmocka_unit_test(test_an_entry_of_a_kind_from_a_newer_program_is_passed_over),
        cmocka_unit_test(test_what_can_not_be_read_leaves_no_water_potable),
        cmocka_unit_test(test_a_time_in_the_future_is_refused),
        cmocka_unit_test(test_what_has_no_time_of_its_own_comes_after_the_latest_or_is_refused),
        cmocka_unit_test(test_a_back_dated_draw_that_leaves_too_little_later_is_listed_there),
        cmocka_unit_test(test_a_back_dated_fill_of_bad_water_spoils_what_was_drawn_after_it),
        cmocka_unit_test(test_a_correction_is_a_void_and_a_new_entry_of_the_same_time),
        cmocka_unit_test(test_voiding_a_void_brings_the_entry_back),
        cmocka_unit_test(test_a_void_may_stand_before_what_it_takes_out),
        cmocka_unit_test(test_entries_of_the_same_time_are_ordered_by_their_ids),
        cmocka_unit_test(test_a_merge_of_two_logs_gives_one_state_in_either_order),
        cmocka_unit_test(test_the_list_of_discrepancies_drops_its_oldest_and_says_how_many),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
