/* Names as they are typed: several at once, a beginning, a slip of the finger. */
#include "model/names.h"

#include "model/field.h"
#include "support/logbook.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static Logbook *aboard(void)
{
    Logbook *book = book_open();
    for (int i = 1; i <= 12; i++) {
        char words[64];
        snprintf(words, sizeof words, "vessel A%d --capacity 12", i);
        book_say(book, words);
    }
    book_say(book, "vessel R-1 --capacity 12");
    book_say(book, "vessel \"big can\" --capacity 20");
    book_say(book, "source \"Holm tap\" --type mains --class potable");
    book_say(book, "source \"Hollow spring\" --type spring");
    return book;
}

/* The names that the text stands for, with spaces between; "" where it is refused. */
static const char *listed(const char *text, Fault *fault)
{
    static char out[1024];
    Logbook *book = aboard();
    Label names[VESSELS_ABOARD_MAX];
    size_t n = 0;
    const int count = names_list(book_state(book), text_of(text), names, VESSELS_ABOARD_MAX, fault);
    out[0] = '\0';
    for (int i = 0; i < count; i++)
        n += (size_t)snprintf(out + n, sizeof out - n, "%s%s", i > 0 ? "|" : "", names[i].s);
    book_close(book);
    return out;
}

static void test_several_vessels_are_named_in_a_row(void **state)
{
    (void)state;
    static const char *const same[][2] = {{"A1 A3", "A1|A3"},
                                          {"A1   A3", "A1|A3"},
                                          {"A1,, A3 ,", "A1|A3"},
                                          {"a1,a3", "A1|A3"},
                                          {"A3, A1", "A3|A1"},
                                          {"A1-A4", "A1|A2|A3|A4"},
                                          {"a1-4", "A1|A2|A3|A4"},
                                          {"A9-12 A1", "A9|A10|A11|A12|A1"},
                                          {"A2-2", "A2"},
                                          {"R-1", "R-1"},
                                          {"A1 R-1", "A1|R-1"},
                                          {"big can", "big can"},
                                          {"A1, big can", "A1|big can"}};
    for (size_t i = 0; i < sizeof same / sizeof *same; i++) {
        Fault fault = {FAULT_NONE, ""};
        assert_string_equal(listed(same[i][0], &fault), same[i][1]);
        assert_int_equal(fault.kind, FAULT_NONE);
    }
}

static void test_what_is_not_aboard_or_named_twice_is_refused(void **state)
{
    (void)state;
    static const char *const refused[][2] = {
        {"A1 A1", "A1 is named twice."},         {"A1-A3 a2", "A2 is named twice."},
        {"A1 Q9", "There is no vessel 'Q9'"},    {"A11-13", "There is no vessel 'A13'"},
        {"A4-A1", "There is no vessel 'A4-A1'"}, {"A1-R4", "There is no vessel 'A1-R4'"},
        {" , ", "No vessel is named."}};
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) {
        Fault fault = {FAULT_NONE, ""};
        assert_string_equal(listed(refused[i][0], &fault), "");
        assert_int_not_equal(fault.kind, FAULT_NONE);
        if (!strstr(fault.text, refused[i][1]))
            fail_msg("%s: %s", refused[i][0], fault.text);
    }
}

/* A refill in the dark must not come from a place that nobody knows. */
static void test_a_source_is_known_by_its_beginning_and_a_slip_makes_no_other(void **state)
{
    (void)state;
    Logbook *book = aboard();
    const State *s = book_state(book);
    const int from = kind_field(kind_of(KIND_FILL), text_of("source"));
    const Reading reading = {s, book->now, UNITS_METRIC};
    static const struct {
        const char *typed, *taken; /* taken NULL: it asks */
    } cases[] = {{"holm", "Holm tap"},          {"Holm t", "Holm tap"},
                 {"HOLM TAP", "Holm tap"},      {"Holm tpa", NULL},
                 {"Holm tapp", NULL},           {"Ho", "Ho"},
                 {"Stones well", "Stones well"}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        Event e;
        Fault fault = {FAULT_NONE, ""};
        event_clear(&e, KIND_FILL);
        assert_int_equal(event_set(&e, from, text_of(cases[i].typed), &reading, &fault),
                         cases[i].taken != NULL);
        if (cases[i].taken)
            assert_string_equal(e.u.fill.source.s, cases[i].taken);
        else
            assert_non_null(strstr(fault.text, "Did you mean 'Holm tap'?"));
    }
    book_close(book);
}

/* What is being named is taken as it stands. */
static void test_a_source_that_is_named_is_taken_as_typed(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "source Holm --type stream");
    book_say(book, "source \"Holm tapp\" --type hose");
    book_close(book);
}

static void test_the_class_of_a_first_fill_is_brought_as_that_of_the_place(void **state)
{
    (void)state;
    Logbook *book = aboard();
    const Kind *fill = kind_of(KIND_FILL);
    Event e, more;
    Fault fault = {FAULT_NONE, ""};
    assert_true(
        book_read(book, book_state(book), "fill A1 full --from Brook --class potable", &e, &fault));
    assert_true(fill->brings(book_state(book), &e, &more));
    assert_int_equal(more.kind, KIND_SOURCE);
    assert_string_equal(more.u.source.source.s, "Brook");
    assert_int_equal(more.u.source.quality, CLASS_POTABLE);
    const Kind *named = kind_of(KIND_SOURCE);
    for (int i = 0; i < named->field_count; i++) /* name and class, and nothing else of it */
        assert_int_equal(event_has(&more, i), i == kind_field(named, text_of("source")) ||
                                                  i == kind_field(named, text_of("class")));
    assert_true(book_read(book, book_state(book), "fill A1 full --from Brook", &e, &fault));
    assert_false(fill->brings(book_state(book), &e, &more)); /* no class is said */
    assert_true(book_read(book, book_state(book),
                          "fill A1 full --from \"Holm tap\" --class questionable", &e, &fault));
    assert_false(fill->brings(book_state(book), &e, &more)); /* it is known: this water only */
    book_close(book);
}

/* Five letters, and two slips among them; a shorter name is another one sooner than a slip. */
static void test_a_slip_is_one_of_two_letters_in_five_or_more(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "source Brook --type stream");
    static const struct {
        const char *typed;
        bool meant;
    } cases[] = {{"Brooks", true}, {"Broko", true}, {"Bruks", false},
                 {"Bruuk", true},  {"Brok", false}, {"Fjord", false}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++)
        if ((name_meant(book_state(book), NAMES_SOURCE, text_of(cases[i].typed)) != NULL) !=
            cases[i].meant)
            fail_msg("%s", cases[i].typed);
    book_close(book);
}

/* What stands before it in memory is none of it. */
static void test_a_name_may_be_a_number(void **state)
{
    (void)state;
    Logbook *book = book_open();
    for (int i = 1; i <= 3; i++) {
        char words[64];
        snprintf(words, sizeof words, "vessel %d --capacity 12", i);
        book_say(book, words);
    }
    Label out[3];
    Fault fault = {FAULT_NONE, ""};
    assert_int_equal(names_list(book_state(book), text_of(&"91-3"[1]), out, 3, &fault), 3);
    assert_string_equal(out[0].s, "1");
    assert_string_equal(out[2].s, "3");
    book_close(book);
}

/* Of what is not aboard any more nobody speaks; and nothing typed begins no name, be it the only one. */
static void test_who_is_not_aboard_is_neither_begun_nor_meant_nor_listed(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel galley1 --capacity 12");
    book_say(book, "vessel galley2 --capacity 12");
    assert_null(name_begun(book_state(book), NAMES_VESSEL, text_of("gal")));
    book_say(book, "retire galley2");
    const State *s = book_state(book);
    assert_string_equal(name_begun(s, NAMES_VESSEL, text_of("gal"))->s, "galley1");
    assert_null(name_begun(s, NAMES_VESSEL, text_of("galley2")));
    assert_null(name_begun(s, NAMES_VESSEL, text_of("")));
    assert_null(name_begun(s, NAMES_VESSEL, text_of("x")));
    assert_string_equal(name_meant(s, NAMES_VESSEL, text_of("galley3"))->s, "galley1");
    book_say(book, "retire galley1");
    s = book_state(book);
    assert_null(name_begun(s, NAMES_VESSEL, text_of("gal")));
    assert_null(name_meant(s, NAMES_VESSEL, text_of("galley3")));
    Label out[2];
    Fault fault = {FAULT_NONE, ""};
    assert_int_equal(names_list(s, text_of("galley1-2"), out, 2, &fault), 0);
    assert_non_null(strstr(fault.text, "Vessel 'galley1' is retired"));
    book_close(book);
}

/* Names that are numbered on without a gap are told as a range, and no others. */
static void test_a_range_is_told_only_where_none_is_left_out(void **state)
{
    (void)state;
    static const struct {
        Label names[4];
        int count;
        const char *told;
    } cases[] = {
        {{{"A1"}, {"A2"}, {"A3"}}, 3, "A1-A3"},
        {{{"A1"}, {"A2"}}, 2, "A1, A2"},
        {{{"A1"}, {"A2"}, {"A4"}}, 3, "A1, A2, A4"},
        {{{"A1"}, {"B2"}, {"A3"}}, 3, "A1, B2, A3"},
        {{{"can"}, {"A1"}, {"A2"}, {"A3"}}, 3, "can, A1, A2"}, /* what is told ends there */
        {{{"A8"}, {"A9"}, {"A10"}, {"can"}}, 4, "A8-A10, can"}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        Str out = {0};
        names_tell(cases[i].names, cases[i].count, &out);
        assert_string_equal(out.s, cases[i].told);
        str_finish(&out);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_several_vessels_are_named_in_a_row),
        cmocka_unit_test(test_a_range_is_told_only_where_none_is_left_out),
        cmocka_unit_test(test_a_name_may_be_a_number),
        cmocka_unit_test(test_who_is_not_aboard_is_neither_begun_nor_meant_nor_listed),
        cmocka_unit_test(test_what_is_not_aboard_or_named_twice_is_refused),
        cmocka_unit_test(test_a_source_is_known_by_its_beginning_and_a_slip_makes_no_other),
        cmocka_unit_test(test_a_source_that_is_named_is_taken_as_typed),
        cmocka_unit_test(test_a_slip_is_one_of_two_letters_in_five_or_more),
        cmocka_unit_test(test_the_class_of_a_first_fill_is_brought_as_that_of_the_place),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
