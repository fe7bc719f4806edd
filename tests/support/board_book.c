#include "support/board_book.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

void book_at(Logbook *book, const char *rfc3339)
{
    book->now = utc(rfc3339);
    if (book->now.ms > book->latest.ms)
        book->latest = book->now;
}

Board *board_of(Logbook *book, const char *at)
{
    Board *board = calloc(1, sizeof *board);
    assert_non_null(board);
    board_make(board, book_state(book), (int64_t)book->count, at != NULL ? utc(at) : book->now,
               UNITS_METRIC);
    return board;
}

void assert_moment(Moment m, const char *expected)
{
    char text[48] = "none";
    if (moment_known(m))
        moment_print_utc(m, text);
    assert_string_equal(text, expected);
}

const BoardStage *stage_of(const Board *board, const char *label)
{
    for (int i = 0; i < board->stage_count; i++)
        if (strcmp(board->stages[i].label.s, label) == 0)
            return &board->stages[i];
    fail_msg("no stage %s on the board", label);
    return NULL;
}

const BoardVessel *vessel_of(const Board *board, const char *label)
{
    for (int i = 0; i < board->vessel_count; i++)
        if (strcmp(board->vessels[i].label.s, label) == 0)
            return &board->vessels[i];
    fail_msg("no vessel %s on the board", label);
    return NULL;
}

const Alert *alert_of(const Board *board, const char *id)
{
    for (int i = 0; i < board->alert_count; i++)
        if (strcmp(board->alerts[i].id, id) == 0)
            return &board->alerts[i];
    return NULL;
}

/* Two vessels on a line, a reserve, a crew of two; 10 L drawn every noon for `days` days. */
Logbook *book_of_days(const char *stage, int days)
{
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 25 --class potable --level 25");
    book_say(book, "vessel A2 --capacity 25 --class potable --level 25");
    book_say(book, "vessel R1 --capacity 12 --duty reserve --class potable --level 12");
    book_say(book, "source tap --type mains --class potable");
    book_say(book, "couple galley A1 A2");
    book_say(book, "crew 2");
    if (stage != NULL)
        book_say(book, stage);
    for (int i = 0; i < days; i++) {
        book_pass(book, 1);
        book_say(book, "draw galley 10");
        book_say(book, "fill A1 10 --from tap");
    }
    book_pass(book, 1);
    return book;
}
