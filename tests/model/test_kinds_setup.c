/* Stories of set-up, plans and remarks: vessel, retire, source, crew, stop, unstop, note, settle.
 */
#include "support/logbook.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static void assert_refused(Logbook *book, const char *words, const char *says)
{
    Fault fault;
    const char *text = book_refusal(book, words, &fault);
    if (strstr(text, says) == NULL)
        fail_msg("\"%s\": \"%s\" does not say \"%s\"", words, text, says);
    assert_in_range(fault.kind, FAULT_REFUSED, FAULT_USAGE); /* which of the two: test_field.c */
}

/* ---- vessel, retire ---- */

static void test_a_vessel_begins_empty_and_questionable_and_for_the_line(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12");
    const Vessel *v = book_vessel(book, "A1");
    assert_int_equal(v->volume, 0);
    assert_int_equal(v->quality, CLASS_QUESTIONABLE); /* nothing is ever assumed potable */
    assert_int_equal(v->duty, DUTY_LINE);
    assert_int_equal(v->heel, 0);
    assert_int_equal(v->tare_g, -1);
    assert_int_equal(v->rated_pa, -1);
    assert_true(v->sanitised_at == MOMENT_NONE_MS && v->sounded_at == MOMENT_NONE_MS);
    book_close(book);
}

static void test_a_first_naming_may_give_class_and_level(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --heel 0.2 --tare 3.1 --rated 400 --duty reserve "
                   "--class potable --level full");
    const Vessel *v = book_vessel(book, "A1");
    assert_int_equal(v->volume, 12000);
    assert_int_equal(v->quality, CLASS_POTABLE);
    assert_int_equal(v->heel, 200);
    assert_int_equal(v->tare_g, 3100);
    assert_int_equal(v->rated_pa, 400000);
    assert_int_equal(v->duty, DUTY_RESERVE);
    assert_int_equal(book_state(book)->totals.named, 12000);
    book_close(book);
}

/* -1: nobody said; 0: it takes none. A can of which nothing is known is not one that takes none. */
static void test_a_plain_can_takes_no_pressure_and_that_is_known(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --rated 0");
    assert_int_equal(book_vessel(book, "A1")->rated_pa, 0);
    book_say(book, "vessel A1 --heel 0.1");
    assert_int_equal(book_vessel(book, "A1")->rated_pa, 0);
    book_say(book, "vessel A1 --rated 0.001");
    assert_int_equal(book_vessel(book, "A1")->rated_pa, 1);
    book_close(book);
}

static void test_naming_a_vessel_again_amends_it_and_keeps_what_is_left_out(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --heel 0.2 --tare 3.1 --duty line --level 5");
    book_say(book, "vessel A1 --heel 0.3");
    const Vessel *v = book_vessel(book, "A1");
    assert_int_equal(v->capacity, 12000);
    assert_int_equal(v->heel, 300);
    assert_int_equal(v->tare_g, 3100);
    assert_int_equal(v->duty, DUTY_LINE);
    assert_int_equal(v->volume, 5000);
    book_close(book);
}

static void test_class_and_level_of_a_known_vessel_follow_from_the_log_alone(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --level 5 --class questionable");
    assert_refused(book, "vessel A1 --class potable", "its class and level follow from the log");
    assert_refused(book, "vessel A1 --level 6", "its class and level follow from the log");
    book_force(book, "vessel A1 --class potable --level 6");
    assert_int_equal(book_vessel(book, "A1")->quality, CLASS_QUESTIONABLE);
    assert_int_equal(book_vessel(book, "A1")->volume, 5000);
    assert_int_equal(book_discrepancies(book, DISCREPANCY_CLASS_IGNORED), 1);
    book_close(book);
}

/* A date alone: no class is better for it, and no foul line is clean again. */
static void test_a_sanitising_before_the_log_is_a_date_and_no_more(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --sanitised 2026-05-01T08:00:00Z");
    assert_int_equal(book_vessel(book, "A1")->sanitised_at, BOOK_BEGIN_MS - 31 * MS_PER_DAY);
    assert_int_equal(book_vessel(book, "A1")->quality, CLASS_QUESTIONABLE);
    assert_refused(book, "vessel A1 --sanitised 2026-05-02", "follows from the log");
    assert_refused(book, "vessel A2 --capacity 12 --sanitised 2026-06-02", "follows from the log");
    static const char foul[] = "vessel F1 --sanitised 2026-05-02T08:00:00Z";
    book_say(book, "vessel F1 --capacity 12 --class non-potable --level 3");
    assert_refused(book, foul, "use 'sanitise F1'");
    book_force(book, foul);
    assert_int_equal(book_vessel(book, "F1")->sanitised_at, MOMENT_NONE_MS);
    book_say(book, "vessel A2 --capacity 12");
    book_say(book, "couple galley A2");
    book_pass(book, 2);
    book_say(book, "test galley --ecoli present");
    book_pass(book, 2);
    assert_refused(book, "vessel A2 --sanitised 2026-06-04T08:00:00Z", "use 'sanitise A2'");
    book_force(book, "vessel A2 --sanitised 2026-06-04T08:00:00Z");
    assert_int_equal(book_vessel(book, "A2")->sanitised_at, MOMENT_NONE_MS);
    book_say(book, "vessel A2 --sanitised 2026-06-02T08:00:00Z");
    assert_int_equal(book_vessel(book, "A2")->sanitised_at, BOOK_BEGIN_MS + MS_PER_DAY);
    assert_int_equal(book_vessel(book, "A2")->quality, CLASS_QUESTIONABLE);
    book_close(book);
}

static void test_a_vessel_that_can_not_be_is_refused(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "couple galley");
    assert_refused(book, "vessel A1", "give its --capacity");
    assert_refused(book, "vessel A1 --capacity 5 --heel 5", "leaves nothing of a capacity of 5 L");
    assert_refused(book, "vessel A1 --capacity 5 --level 6", "holds 5 L at most, not 6 L");
    assert_refused(book, "vessel galley --capacity 5", "'galley' is a line");
    assert_refused(book, "vessel \"A;1\" --capacity 5", "can't hold a comma or semicolon");
    assert_refused(book, "vessel A1 --capacity 1000.001", "too much: at most 1000 L");
    book_say(book, "vessel A1 --capacity 12 --level 8");
    assert_refused(book, "vessel A1 --capacity 7", "reckoned to hold 8 L");
    book_close(book);
}

static void test_a_capacity_below_the_level_in_a_merged_log_stops_at_the_brim(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --heel 3 --level 8");
    book_force(book, "vessel A1 --capacity 2");
    const Vessel *v = book_vessel(book, "A1");
    assert_int_equal(v->volume, 2000);
    assert_int_equal(v->heel, 2000); /* never past the brim either */
    assert_int_equal(v->unlogged, 6000);
    assert_int_equal(book_discrepancies(book, DISCREPANCY_PAST_BRIM), 1);
    book_close(book);
}

static void test_the_seventeenth_vessel_is_refused_until_one_is_retired(void **state)
{
    (void)state;
    Logbook *book = book_open();
    char words[60];
    for (int i = 1; i <= VESSELS_ABOARD_MAX; i++) {
        (void)snprintf(words, sizeof words, "vessel A%d --capacity 10", i);
        book_say(book, words);
    }
    assert_refused(book, "vessel A17 --capacity 10", "Retire one first");
    book_force(book, "vessel A17 --capacity 10");
    assert_int_equal(book_discrepancies(book, DISCREPANCY_NO_ROOM), 1);
    book_say(book, "retire A3");
    book_say(book, "vessel A18 --capacity 10");
    assert_int_equal(book_vessel(book, "A18")->capacity, 10000);
    book_close(book);
}

static void test_a_retired_vessel_leaves_with_its_water_and_its_place_on_the_line(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --level 5");
    book_say(book, "vessel A2 --capacity 12 --level 6");
    book_say(book, "vessel A3 --capacity 12 --level 7");
    book_say(book, "couple galley A1 A2 A3");
    book_say(book, "retire A2");
    assert_int_equal(book_state(book)->totals.retired, 6000);
    assert_int_equal(book_line(book, "galley")->count, 2);
    assert_int_equal(book_vessel(book, "A3")->position, 1);
    assert_refused(book, "fill A2 1", "Vessel 'A2' is retired");
    assert_refused(book, "retire A2", "is retired");
    book_close(book);
}

static void test_a_vessel_keeps_its_class_through_retirement(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --class non-potable --level 5");
    book_say(book, "retire A1");
    book_pass(book, 100);
    book_say(book, "vessel A1 --class potable --level 2");
    const Vessel *v = book_vessel(book, "A1");
    assert_int_equal(v->quality, CLASS_NON_POTABLE);
    assert_int_equal(v->capacity, 12000);
    assert_int_equal(v->volume, 2000);
    assert_int_equal(book_state(book)->vessel_count, 1);
    book_close(book);
}

static void test_of_many_retired_vessels_the_doubtful_are_remembered_longest(void **state)
{
    (void)state;
    Logbook *book = book_open();
    char words[80];
    book_say(book, "vessel bad --capacity 10 --class non-potable");
    book_say(book, "retire bad");
    for (int i = 1; i < VESSEL_SLOTS + 10; i++) {
        (void)snprintf(words, sizeof words, "vessel V%d --capacity 10 --class potable --level 1",
                       i);
        book_say(book, words);
        (void)snprintf(words, sizeof words, "retire V%d", i);
        book_say(book, words);
        book_pass(book, 0.01);
    }
    assert_int_equal(book_state(book)->vessel_count, VESSEL_SLOTS);
    book_say(book, "vessel bad --class potable");
    assert_int_equal(book_vessel(book, "bad")->quality, CLASS_NON_POTABLE);
    book_close(book);
}

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
    assert_refused(book, "source \"Fen well\" --class potable", "give its --type");
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

/* ---- crew, stop, note, settle ---- */

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
    assert_refused(book, "crew 100", "too much: at most 99");
    assert_refused(book, "crew 1.5", "is a whole number");
    assert_refused(book, "crew", "persons is missing");
    book_close(book);
}

static void test_a_stop_is_planned_amended_and_taken_out(void **state)
{
    (void)state;
    Logbook *book = book_open();
    assert_refused(book, "stop Vik", "'Vik' is a new stop: give its --eta");
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
    assert_refused(book, "unstop Vik", "Known: Nes.");
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
    assert_refused(book, "stop Vik --eta 2026-07-01T12:00:00Z", "There are 32 planned stops");
    book_say(book, "stop P3 --eta 2026-06-28T12:00:00Z"); /* one that is there can be moved */
    book_pass(book, 2);
    book_say(book, "stop Vik --eta 2026-07-01T12:00:00Z");
    const Label first = label_of(text_of("P0"));
    assert_int_equal(state_stop(book_state(book), &first), -1);
    assert_int_equal(book_state(book)->stop_count, STOPS_MAX);
    book_close(book);
}

static void test_a_note_changes_nothing_but_must_say_something(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --level 5");
    const State before = *book_state(book);
    book_say(book, "note \"pump hose replaced\"");
    assert_memory_equal(book_state(book)->vessels, before.vessels, sizeof before.vessels);
    assert_int_equal(book_state(book)->folded, 2);
    assert_refused(book, "note", "without words");
    book_close(book);
}

static void test_a_settled_discrepancy_leaves_the_list(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --level 5");
    const size_t first = book_say(book, "sound A1 6");
    book_say(book, "sound A1 7");
    assert_int_equal(book_discrepancies(book, DISCREPANCY_GAIN), 2);
    char words[60], id[40];
    (void)snprintf(words, sizeof words, "settle %s", uuid_print(&book->events[first].id, id));
    book_say(book, words);
    assert_int_equal(book_state(book)->discrepancy_count, 1);
    assert_int_equal(book_vessel(book, "A1")->volume, 7000);
    assert_refused(book, words, "has no open discrepancy");
    book_close(book);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_a_vessel_begins_empty_and_questionable_and_for_the_line),
        cmocka_unit_test(test_a_first_naming_may_give_class_and_level),
        cmocka_unit_test(test_a_plain_can_takes_no_pressure_and_that_is_known),
        cmocka_unit_test(test_naming_a_vessel_again_amends_it_and_keeps_what_is_left_out),
        cmocka_unit_test(test_class_and_level_of_a_known_vessel_follow_from_the_log_alone),
        cmocka_unit_test(test_a_sanitising_before_the_log_is_a_date_and_no_more),
        cmocka_unit_test(test_a_vessel_that_can_not_be_is_refused),
        cmocka_unit_test(test_a_capacity_below_the_level_in_a_merged_log_stops_at_the_brim),
        cmocka_unit_test(test_the_seventeenth_vessel_is_refused_until_one_is_retired),
        cmocka_unit_test(test_a_retired_vessel_leaves_with_its_water_and_its_place_on_the_line),
        cmocka_unit_test(test_a_vessel_keeps_its_class_through_retirement),
        cmocka_unit_test(test_of_many_retired_vessels_the_doubtful_are_remembered_longest),
        cmocka_unit_test(test_a_source_keeps_what_an_amendment_leaves_out),
        cmocka_unit_test(test_fills_that_leant_on_a_class_are_known_after_it_was_amended),
        cmocka_unit_test(test_a_fill_remembers_a_source_that_nobody_named),
        cmocka_unit_test(test_of_too_many_sources_the_one_used_longest_ago_is_forgotten),
        cmocka_unit_test(test_the_crew_counts_from_its_time_on),
        cmocka_unit_test(test_a_stop_is_planned_amended_and_taken_out),
        cmocka_unit_test(test_a_stop_that_is_past_makes_room),
        cmocka_unit_test(test_a_note_changes_nothing_but_must_say_something),
        cmocka_unit_test(test_a_settled_discrepancy_leaves_the_list),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
