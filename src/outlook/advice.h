/* advice.h - the table of alerts: when each applies, what it says, what to do. Part of the board.
 */
#ifndef ULLAGE_OUTLOOK_ADVICE_H
#define ULLAGE_OUTLOOK_ADVICE_H

#include "outlook/board.h"

/* After so many days without knowing the level of a vessel on a line, a sounding is asked for. */
enum { ADVICE_SOUND_DAYS = 7 };

/* Fills board->alerts, the most severe first, in the order of the table within a level. Everything
 * else of the board must stand. Where there are more than BOARD_ALERTS_MAX the last are left out:
 * notices before warnings. */
void advice_give(Board *board);

#endif
