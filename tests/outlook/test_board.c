/* The board as a whole. */
#include "outlook/board.h"

#include "support/board_book.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static void an_empty_log_is_an_empty_board(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    Board *board = board_of(book, NULL);
    DueItem *items = calloc(DUE_MAX, sizeof *items);
    assert_int_equal(board->vessel_count, 0);
    assert_int_equal(board->line_count, 0);
    assert_int_equal(board->alert_count, 0);
    assert_int_equal(board->crew, -1);
    assert_int_equal(board->reserve, RESERVE_NONE);
    assert_false(board->use_known);
    assert_false(board->outlook_known);
    assert_false(moment_known(board->to_empty.p50));
    assert_int_equal(board_due(board, items), 0);
    free(items);
    free(board);
    book_close(book);
}

static void things_stand_in_the_order_of_their_labels(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A10 --capacity 10");
    book_say(book, "vessel B1 --capacity 10");
    book_say(book, "vessel A2 --capacity 10");
    book_say(book, "stage uv --type uv --line galley");
    book_say(book, "stage carbon --type carbon-block --line galley");
    book_say(book, "couple galley B1 A10 A2");
    Board *board = board_of(book, NULL);
    assert_string_equal(board->vessels[0].label.s, "A2");
    assert_string_equal(board->vessels[1].label.s, "A10");
    assert_string_equal(board->vessels[2].label.s, "B1");
    assert_string_equal(board->stages[0].label.s, "carbon");
    /* but a line is in the order that the water takes */
    assert_string_equal(board->vessels[board->lines[0].vessels[0]].label.s, "B1");
    assert_string_equal(board->stages[board->lines[0].stages[0]].label.s, "uv");
    assert_int_equal(vessel_of(board, "A10")->position, 2);
    free(board);
    book_close(book);
}

/* Worse water spoils all that is behind it; a spent vessel passes air; what fouled the tap is in
 * the last stretch. */
static void the_pipe_carries_the_worst_class_from_the_lead_on(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 10 --class non-potable --level 0");
    book_say(book, "vessel A2 --capacity 10 --class potable --level full");
    book_say(book, "vessel A3 --capacity 10 --class questionable --level full");
    book_say(book, "vessel A4 --capacity 10 --class potable --level full");
    book_say(book, "couple galley A1 A2 A3 A4");
    Board *board = board_of(book, NULL);
    const BoardLine *line = &board->lines[0];
    assert_true(board->vessels[line->vessels[0]].spent);
    assert_int_equal(line->pipe[1], CLASS_POTABLE);
    assert_int_equal(line->pipe[2], CLASS_QUESTIONABLE);
    assert_int_equal(line->pipe[3], CLASS_QUESTIONABLE);
    assert_int_equal(line->pipe[3], line->quality);
    free(board);
    book_say(book, "couple galley A1"); /* what it holds reaches the tap */
    book_say(book, "fill A1 5 --class non-potable");
    book_say(book, "draw galley 1");
    book_say(book, "couple galley A2");
    board = board_of(book, NULL);
    assert_int_equal(board->lines[0].quality, CLASS_NON_POTABLE);
    assert_int_equal(board->lines[0].pipe[0], CLASS_NON_POTABLE);
    free(board);
    book_close(book);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_empty_log_is_an_empty_board),
        cmocka_unit_test(things_stand_in_the_order_of_their_labels),
        cmocka_unit_test(the_pipe_carries_the_worst_class_from_the_lead_on),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
