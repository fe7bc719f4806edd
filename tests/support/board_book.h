/* board_book.h - a Logbook seen through the board, for the tests of outlook/.
 *
 * What can't be found ends the test. The caller frees a Board. */
#ifndef ULLAGE_TESTS_SUPPORT_BOARD_BOOK_H
#define ULLAGE_TESTS_SUPPORT_BOARD_BOOK_H

#include "outlook/board.h"
#include "support/logbook.h"
#include "support/zone.h"

void book_at(Logbook *book, const char *rfc3339); /* what is said next is said then */

/* The board at a time; NULL: the book's now. */
Board *board_of(Logbook *book, const char *at);
const BoardStage *stage_of(const Board *board, const char *label);
const BoardVessel *vessel_of(const Board *board, const char *label);
/* The first alert of that rule; NULL where it is silent. */
const Alert *alert_of(const Board *board, const char *id);

/* RFC 3339 in UTC, or "none". */
void assert_moment(Moment m, const char *expected);

/* Two vessels of 25 L on a line, a reserve of 12 L, a crew of two, one stage (NULL: none); 10 L
 * drawn and filled again at 08:00 UTC for `days` days; then a day more. */
Logbook *book_of_days(const char *stage, int days);

#endif
