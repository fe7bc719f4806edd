/* parts.h - which spare parts the planned trip needs, and before which date to have them.
 *
 * Each stage is followed from swap to swap: a new cartridge or lamp is due again at the earliest of
 * its days, its litres and its lamp hours (domain: "Service"), at the rate at which the water is
 * used. What falls due before the trip ends and has no spare aboard must be bought.
 */
#ifndef ULLAGE_OUTLOOK_PARTS_H
#define ULLAGE_OUTLOOK_PARTS_H

#include "outlook/board.h"
#include "outlook/forecast.h"

/* More swaps of one stage than this are not counted one by one: `needed` stays there. */
enum { PARTS_SWAPS_MAX = 99 };

typedef struct {
    int stage;      /* index into Board.stages */
    int needed;     /* swaps that may fall due up to the end of the trip */
    int64_t spares; /* aboard; never counted is taken for none */
    bool counted;   /* spares were ever counted */
    int64_t buy;    /* what is missing; 0: the spares aboard are enough */
    /* For the first swap without a spare, where buy > 0: when it may be due (odds of 10 %) and when
     * it is expected. Have the part aboard before `before`. Now or past: it is due already. */
    Moment before, due;
    int at_stop; /* index into Board.stops of the last stop with a shop before `before`; -1: none,
                    buy now */
} Part;

/* The end of the planned trip: the last stop; MOMENT_NONE where none is planned. */
Moment parts_trip_end(const Board *board);

/* The parts that swaps up to `until` need, in the order of Board.stages, also those whose spares
 * are enough; returns how many stages need any. A swap counts where it may be due (odds of 10 %,
 * the safe side) at or before `until`. A sediment stage that a flow test found clogged counts as
 * due now. Without a known use only dates and lamps that always burn count. */
int parts_needed(const Board *board, const State *state, const ForecastRate *rate, Moment until,
                 Part out[STAGES_MAX]);

/* "buy 2 for sediment before Tue 1 Dec, last at Holm tap", "sediment: 1 needed, 1 aboard". `out` of
 * BOARD_TEXT bytes; returns `out`. */
char *part_tell(const Board *board, const Part *part, char *out);

#endif
