/* Stories of entries about entries, or about nothing: note, settle. */
#include "support/logbook.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static void test_a_note_changes_nothing_but_must_say_something(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --level 5");
    const State before = *book_state(book);
    book_say(book, "note \"pump hose replaced\"");
    assert_memory_equal(book_state(book)->vessels, before.vessels, sizeof before.vessels);
    assert_int_equal(book_state(book)->folded, 2);
    book_refuses(book, "note", "without words");
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
    book_refuses(book, words, "has no open discrepancy");
    book_close(book);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_a_note_changes_nothing_but_must_say_something),
        cmocka_unit_test(test_a_settled_discrepancy_leaves_the_list),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
