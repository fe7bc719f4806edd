/* Stories of the trip: source, crew, stop, unstop. */
#include "support/logbook.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

/* ---- source ---- */

static const Source *source(Logbook *book, const char *name)
{
    const Label label = label_of(text_of(name));
    const int i = state_source(book_state(book), &label);
    return i >= 0 ? &book->state.sources[i] : NULL;
}

static void test_a_source_keeps_what_an_amendment_leaves_out(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "source \"Holm tap\" --type mains --class potable");
    book_say(book, "source \"Holm tap\" --type vendor");
    assert_int_equal(source(book, "Holm tap")->type, SOURCE_VENDOR);
    assert_int_equal(source(book, "Holm tap")->quality, CLASS_POTABLE);
    book_say(book, "source \"Holm tap\" --class questionable");
    assert_int_equal(source(book, "Holm tap")->type, SOURCE_VENDOR);
    assert_int_equal(source(book, "Holm tap")->quality, CLASS_QUESTIONABLE);
    book_refuses(book, "source \"Fen well\" --class potable", "give its --type");
    book_close(book);
}

/* What a source's class is amended to holds from then on, and touches no water; what leant on the
 * one before is known until it is put right. */
static void test_fills_that_leant_on_a_class_are_known_after_it_was_amended(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "source tap --type mains --class potable");
    book_say(book, "vessel A1 --capacity 12");
    book_say(book, "vessel A2 --capacity 12");
    book_say(book, "sanitise A1");
    book_say(book, "sanitise A2");
    book_pass(book, 1);
    const size_t first = book_say(book, "fill A1 full --from tap");
    book_pass(book, 0.5);
    book_say(book, "fill A2 5 --from tap");
    book_say(book, "fill A2 2 --from tap --class potable"); /* leans on nobody */
    assert_int_equal(source(book, "tap")->fills, 3);
    assert_int_equal(source(book, "tap")->taken, 19000);
    assert_int_equal(source(book, "tap")->leaning.fills, 2);
    assert_int_equal(source(book, "tap")->leant.fills, 0);
    book_pass(book, 1);
    book_say(book, "source tap --class potable"); /* the same again amends nothing */
    assert_int_equal(source(book, "tap")->leaning.fills, 2);
    book_say(book, "source tap --class non-potable");
    assert_int_equal(book_vessel(book, "A1")->quality, CLASS_POTABLE);
    assert_int_equal(source(book, "tap")->leaning.fills, 0);
    assert_int_equal(source(book, "tap")->leant.fills, 2);
    assert_int_equal(source(book, "tap")->leant.vessels, 3);
    assert_int_equal(source(book, "tap")->leant.since, book->events[first].at.ms);
    assert_int_equal(source(book, "tap")->was, CLASS_POTABLE);
    book_say(book, "source tap --class questionable"); /* a slip mended: those fills still differ */
    assert_int_equal(source(book, "tap")->leant.fills, 2);
    book_say(book, "dump A2");
    book_say(book, "sanitise A2"); /* nothing of it is in there any more */
    assert_int_equal(source(book, "tap")->leant.vessels, 1);
    book_say(book, "source tap --class potable"); /* as it was: nothing to put right */
    assert_int_equal(source(book, "tap")->leant.fills, 0);
    assert_int_equal(source(book, "tap")->leaning.fills, 2);
    assert_int_equal(source(book, "tap")->leaning.since, book->events[first].at.ms);
    book_close(book);
}

static void test_a_fill_remembers_a_source_that_nobody_named(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12");
    book_say(book, "fill A1 1 --from \"Ovu quay\"");
    assert_non_null(source(book, "Ovu quay"));
    assert_int_equal(source(book, "Ovu quay")->quality, SOURCE_UNKNOWN_CLASS);
    book_close(book);
}

static void test_of_too_many_sources_the_one_used_longest_ago_is_forgotten(void **state)
{
    (void)state;
    Logbook *book = book_open();
    char words[80];
    for (int i = 0; i < SOURCES_MAX + 3; i++) {
        book_pass(book, 0.1);
        (void)snprintf(words, sizeof words, "source S%d --type spring --class %s", i,
                       i == 0 ? "non-potable" : "potable");
        book_say(book, words);
    }
    assert_int_equal(book_state(book)->source_count, SOURCES_MAX);
    assert_null(source(book, "S1"));
    assert_null(source(book, "S3"));
    assert_non_null(source(book, "S4"));
    /* forgotten, a non-potable source would count as questionable: it is kept */
    assert_non_null(source(book, "S0"));
    book_close(book);
}

/* ---- crew, stop ---- */

static void test_the_crew_counts_from_its_time_on(void **state)
{
    (void)state;
    Logbook *book = book_open();
    assert_int_equal(book_state(book)->crew, -1);
    book_say(book, "crew 2");
    assert_int_equal(book_state(book)->crew, 2);
    book_pass(book, 3);
    book_say(book, "crew 0");
    assert_int_equal(book_state(book)->crew, 0);
    book_refuses(book, "crew 100", "too much: at most 99");
    book_refuses(book, "crew 1.5", "is a whole number");
    book_refuses(book, "crew", "persons is missing");
    book_close(book);
}

static void test_a_stop_is_planned_amended_and_taken_out(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_refuses(book, "stop Vik", "'Vik' is a new stop: give its --eta");
    book_say(book, "stop Vik --eta 2026-06-20T12:00:00Z");
    assert_int_equal(book_state(book)->stops[0].litres, -1);
    book_say(book, "stop Vik --litres 40");
    assert_int_equal(book_state(book)->stops[0].litres, 40000);
    assert_true(book_state(book)->stops[0].eta ==
                BOOK_BEGIN_MS + 19 * MS_PER_DAY + 4 * MS_PER_HOUR);
    book_say(book, "stop Nes --eta 2026-06-25T12:00:00Z");
    book_say(book, "unstop Vik");
    assert_int_equal(book_state(book)->stop_count, 1);
    assert_string_equal(book_state(book)->stops[0].label.s, "Nes");
    book_refuses(book, "unstop Vik", "Known: Nes.");
    book_close(book);
}

static void test_a_stop_that_is_past_makes_room(void **state)
{
    (void)state;
    Logbook *book = book_open();
    char words[80];
    for (int i = 0; i < STOPS_MAX; i++) {
        (void)snprintf(words, sizeof words, "stop P%d --eta 2026-06-%02dT12:00:00Z", i, 2 + i % 28);
        book_say(book, words);
    }
    book_refuses(book, "stop Vik --eta 2026-07-01T12:00:00Z", "There are 32 planned stops");
    book_say(book, "stop P3 --eta 2026-06-28T12:00:00Z"); /* one that is there can be moved */
    book_pass(book, 28.0 / 24);
    book_say(book, "stop P28 --eta 2026-06-28T12:00:00Z"); /* P28 was planned for the day of P0 */
    book_refuses(book, "stop Vik --eta 2026-07-01T12:00:00Z", "There are 32"); /* P0 is now */
    book_force(book, "stop Vik --eta 2026-07-01T12:00:00Z");
    const State *now = book_state(book);
    assert_int_equal(now->discrepancies[now->discrepancy_count - 1].kind, DISCREPANCY_NO_ROOM);
    book_pass(book, -28.0 / 24);
    book_pass(book, 2);
    book_say(book, "stop Vik --eta 2026-07-01T12:00:00Z");
    const Label first = label_of(text_of("P0"));
    assert_int_equal(state_stop(book_state(book), &first), -1);
    assert_int_equal(book_state(book)->stop_count, STOPS_MAX);
    book_close(book);
}

/* What the log says now of a thing, field by field: 0 is a number, and what was never said is left
 * out. */
static uint32_t present(Logbook *book, const Kind *kind, const char *name, Event *out)
{
    Event asked = {0};
    asked.kind = (int32_t)kind->id;
    asked.u.stop.stop = label_of(text_of(name));
    memset(out, 0, sizeof *out);
    return kind->present(book_state(book), &asked, out) ? out->has : 0;
}

static void test_what_is_present_of_a_stop_and_the_crew_is_what_was_said(void **state)
{
    (void)state;
    Logbook *book = book_open();
    Event e;
    assert_int_equal(present(book, kind_of(KIND_CREW), "", &e), 0);
    book_say(book, "crew 0");
    assert_int_equal(present(book, kind_of(KIND_CREW), "", &e), 1);
    assert_int_equal(e.u.crew.persons, 0);
    const Kind *stop = kind_of(KIND_STOP);
    const uint32_t eta = 1u << kind_field(stop, text_of("stop")) |
                         1u << kind_field(stop, text_of("eta")),
                   litres = 1u << kind_field(stop, text_of("litres")),
                   shop = 1u << kind_field(stop, text_of("shop"));
    book_say(book, "stop Vik --eta 2026-06-20T12:00:00Z");
    assert_int_equal(present(book, stop, "Vik", &e), eta);
    book_say(book, "stop Vik --litres 0"); /* dry */
    assert_int_equal(present(book, stop, "Vik", &e), eta | litres);
    book_say(book, "stop Vik --shop");
    assert_int_equal(present(book, stop, "Vik", &e), eta | litres | shop);
    assert_int_equal(e.u.stop.shop, 1);
    Event closed = book->events[book->count - 1]; /* a flag that is said and is false */
    closed.id = (Uuid){{0}};
    closed.at.ms++;
    closed.u.stop.shop = 0;
    book_add(book, &closed);
    assert_int_equal(present(book, stop, "Vik", &e), eta | litres | shop);
    assert_int_equal(e.u.stop.shop, 0);
    book_close(book);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_a_source_keeps_what_an_amendment_leaves_out),
        cmocka_unit_test(test_fills_that_leant_on_a_class_are_known_after_it_was_amended),
        cmocka_unit_test(test_a_fill_remembers_a_source_that_nobody_named),
        cmocka_unit_test(test_of_too_many_sources_the_one_used_longest_ago_is_forgotten),
        cmocka_unit_test(test_the_crew_counts_from_its_time_on),
        cmocka_unit_test(test_what_is_present_of_a_stop_and_the_crew_is_what_was_said),
        cmocka_unit_test(test_a_stop_is_planned_amended_and_taken_out),
        cmocka_unit_test(test_a_stop_that_is_past_makes_room),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
