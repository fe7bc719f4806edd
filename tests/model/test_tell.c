/* Entries and discrepancies as lines of text. */
#include "model/tell.h"

#include "model/field.h"
#include "support/logbook.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

static void test_an_entry_is_told_in_the_words_of_the_command_line(void **state)
{
    (void)state;
    static const struct {
        const char *words, *told;
        Units units;
    } lines[] = {
        {"fill A1 8 --from \"Holm tap\"", "fill A1 8 L from Holm tap", UNITS_METRIC},
        {"fill A1 =11.5 --note \"slow tap\"", "fill A1 level 11.5 L \"slow tap\"", UNITS_METRIC},
        {"draw galley 3.5 --for cook", "draw galley 3.5 L for cook", UNITS_METRIC},
        {"draw W1 4", "draw W1 1.1 gal", UNITS_US},
        {"decant B1 A3 5 --treated", "decant B1 A3 5 L treated", UNITS_METRIC},
        {"dump B1", "dump B1", UNITS_METRIC},
        {"couple galley A1 A2", "couple galley A1 A2", UNITS_METRIC},
        {"pressurise galley 276", "pressurise galley 2.8 bar", UNITS_METRIC},
        {"pressurise galley 276", "pressurise galley 40 psi", UNITS_IMPERIAL},
        {"flowtest galley 1 --seconds 14", "flowtest galley 1 L 14 s", UNITS_METRIC},
        {"treat B1 chlorine --residual 1.0 --ph 7.5", "treat B1 chlorine residual 1 mg/L ph 7.5",
         UNITS_METRIC},
        {"treat B1 boil --minutes 3 --temp 95 --altitude 1500",
         "treat B1 boil minutes 3 min temp 95 C altitude 1500 m", UNITS_METRIC},
        {"treat B1 boil --minutes 3 --temp 95 --altitude 1524",
         "treat B1 boil minutes 3 min temp 203 F altitude 5000 ft", UNITS_US},
        {"vessel A1 --tare 3.1", "vessel A1 tare 6.8 lb", UNITS_US},
        /* 2 / 3.785411784 = 0.5283, 2.62 / 4.54609 = 0.5763: a rated flow is not rounded up */
        {"stage uv --type uv --line galley --rated-lpm 2",
         "stage uv type uv line galley rated-lpm 0.52 gal/min", UNITS_US},
        {"stage uv --type uv --line galley --rated-lpm 2.62",
         "stage uv type uv line galley rated-lpm 0.57 gal/min", UNITS_IMPERIAL},
        {"stage uv --type uv --line galley --rated-lpm 2.62",
         "stage uv type uv line galley rated-lpm 2.62 L/min", UNITS_METRIC},
        {"vessel A1 --tare 3.1", "vessel A1 tare 3.1 kg", UNITS_METRIC},
        /* a limit is not rounded up: 300 kPa are 43.51 psi, 296 are 2.96 bar */
        {"vessel A1 --rated 300kPa", "vessel A1 rated 300 kPa (43.5 psi)", UNITS_US},
        {"vessel A1 --rated 296kPa", "vessel A1 rated 296 kPa (42.9 psi)", UNITS_METRIC},
        {"crew 2", "crew 2", UNITS_METRIC},
        {"note \"pump hose replaced\"", "note \"pump hose replaced\"", UNITS_METRIC},
        {"stage lamp --type uv --line galley --purifying",
         "stage lamp type uv line galley purifying", UNITS_METRIC},
    };
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --level 6");
    book_say(book, "vessel A2 --capacity 12 --level 8");
    book_say(book, "vessel A3 --capacity 12");
    book_say(book, "vessel B1 --capacity 20 --level 10");
    book_say(book, "vessel W1 --capacity 10 --duty wash --level 8");
    book_say(book, "couple galley A1 A2 A3");
    book_say(book, "source \"Holm tap\" --type mains --class potable");
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
        Event e;
        Fault fault;
        Str told = {0};
        assert_true(book_read(book, book_state(book), lines[i].words, &e, &fault));
        event_tell(&e, lines[i].units, true, &told);
        assert_string_equal(told.s, lines[i].told);
        str_finish(&told);
    }
    book_close(book);
}

/* What a form begins with is read back as it was, whatever a bare number means there. */
static void test_what_is_typed_for_a_form_is_read_back_the_same(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel B1 --capacity 20 --level 10 --tare 3.1 --rated 276");
    for (Units units = UNITS_METRIC; units <= UNITS_IMPERIAL; units++) {
        static const char *const words[] = {"treat B1 chlorine --temp 10 --residual 0.5",
                                            "treat B1 boil --minutes 1 --altitude 900",
                                            "vessel B2 --capacity 12 --tare 3.1 --rated 276 "
                                            "--sanitised 2026-05-01T08:30:00Z"};
        const Reading reading = {book_state(book), book->now, units};
        for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
            Event was, again;
            Fault fault;
            assert_true(book_read(book, book_state(book), words[i], &was, &fault));
            again = was;
            for (int field = 1; field < kind_of((KindId)was.kind)->field_count; field++) {
                Str typed = {0};
                if (!event_has(&was, field))
                    continue;
                event_typed(&was, field, units, &typed);
                assert_true(event_set(&again, field, text_of(typed.s), &reading, &fault));
                str_finish(&typed);
            }
            assert_memory_equal(&was.u, &again.u, sizeof was.u);
        }
    }
    book_close(book);
}

/* A bare number is metric; one that is not there has no unit either. */
static void test_only_a_value_that_is_there_is_typed_with_its_unit(void **state)
{
    (void)state;
    static const struct {
        Units units;
        uint32_t has;
        const char *typed;
    } cases[] = {{UNITS_METRIC, 1, "3.5"},
                 {UNITS_US, 1, "3.5 L"},
                 {UNITS_IMPERIAL, 1, "3.5 L"},
                 {UNITS_METRIC, 0, ""},
                 {UNITS_US, 0, ""}};
    const int field = kind_field(kind_of(KIND_DRAW), text_of("litres"));
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        Event e;
        Str typed = {0};
        memset(&e, 0, sizeof e);
        event_clear(&e, KIND_DRAW);
        e.u.draw.litres = 3500;
        e.has = cases[i].has << field;
        str_adds(&typed, "");
        event_typed(&e, field, cases[i].units, &typed);
        assert_string_equal(typed.s, cases[i].typed);
        str_finish(&typed);
    }
}

static void test_a_flag_alone_is_yes_or_no(void **state)
{
    (void)state;
    for (int yes = 0; yes <= 1; yes++) {
        Event e;
        Str told = {0};
        memset(&e, 0, sizeof e);
        event_clear(&e, KIND_DECANT);
        const int field = kind_field(kind_of(KIND_DECANT), text_of("treated"));
        e.u.decant.treated = (uint8_t)yes;
        e.has = 1u << field;
        event_tell_field(&e, field, UNITS_METRIC, &told);
        assert_string_equal(told.s, yes ? "yes" : "no");
        str_finish(&told);
    }
}

static void test_a_flag_that_was_set_to_no_is_told_so(void **state)
{
    (void)state;
    Event e;
    memset(&e, 0, sizeof e);
    event_clear(&e, KIND_DECANT);
    e.has = 8;
    Str told = {0};
    event_tell(&e, UNITS_METRIC, false, &told);
    assert_string_equal(told.s, "decant not treated");
    str_clear(&told);
    event_clear(&e, KIND_COUPLE);
    e.has = 2;
    event_tell(&e, UNITS_METRIC, true, &told);
    assert_string_equal(told.s, "couple (none)");
    str_finish(&told);
}

/* Every kind of discrepancy has a sentence of its own, with what entry and what it is about. */
static void test_each_discrepancy_is_told_in_words_of_its_own(void **state)
{
    (void)state;
    static const struct {
        DiscrepancyKind kind;
        int64_t amount;
        const char *words;
    } cases[] = {
        {DISCREPANCY_GAIN, 1500, "draw A1: 1.5 L more than reckoned"},
        {DISCREPANCY_DRAW_BEYOND, 1500, "draw A1: 1.5 L more went out than was there"},
        {DISCREPANCY_PAST_BRIM, 1500, "draw A1: 1.5 L more than the vessel holds"},
        {DISCREPANCY_NO_SUCH, 0, "draw A1: no such vessel, line, stage or stop"},
        {DISCREPANCY_NOT_RAISED, 0, "draw A1: treatment did not raise its class"},
        {DISCREPANCY_ABOVE_HEEL, 1500, "draw A1: not sanitised: it held 1.5 L above its heel"},
        {DISCREPANCY_COUPLED, 0, "draw A1: drawn by its own label"},
        {DISCREPANCY_CLASS_IGNORED, 0, "draw A1: was named before"},
        {DISCREPANCY_NO_ROOM, 0, "draw A1: one more than can be kept"},
        {DISCREPANCY_LEVEL_FELL, 1500, "draw A1: ends 1.5 L lower"},
        {DISCREPANCY_METER_FEWER, 1500, "draw A1: 1.5 L fewer than the draws"},
        {DISCREPANCY_RUN_LONG, 1500, "for over 20 minutes, 1.5 L so far; a leak"},
        {DISCREPANCY_RUN_DRIP, 1500, "every quarter of an hour for 3 hours, 1.5 L; a leak?"},
        {DISCREPANCY_LEAK, 1500, "1.5 L"},
        {DISCREPANCY_TWICE, 59999, "that another machine logged in the same minute"},
        {DISCREPANCY_TWICE, 60000, "logged 1 minute before"},
        {DISCREPANCY_TWICE, 120000, "logged 2 minutes before"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        const Discrepancy d = {.kind = (uint8_t)cases[i].kind,
                               .entry_kind = KIND_DRAW,
                               .name = {"A1"},
                               .amount = cases[i].amount};
        Str out = {0};
        discrepancy_tell(&d, UNITS_METRIC, &out);
        if (strstr(out.s, cases[i].words) == NULL)
            fail_msg("expected \"%s\", got: %s", cases[i].words, out.s);
        str_finish(&out);
    }
}

int main(void)
{
    setenv("TZ", "UTC", 1);
    tzset();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_an_entry_is_told_in_the_words_of_the_command_line),
        cmocka_unit_test(test_what_is_typed_for_a_form_is_read_back_the_same),
        cmocka_unit_test(test_only_a_value_that_is_there_is_typed_with_its_unit),
        cmocka_unit_test(test_a_flag_alone_is_yes_or_no),
        cmocka_unit_test(test_a_flag_that_was_set_to_no_is_told_so),
        cmocka_unit_test(test_each_discrepancy_is_told_in_words_of_its_own),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
