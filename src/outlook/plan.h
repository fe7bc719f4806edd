/* plan.h - how long the water lasts, and whether to the next stop. Part of the board.
 *
 * All of it from outlook/forecast.h. The line's water goes first, then the reserve. Water apart
 * (wash and store vessels) is not counted on: it must be carried over before it helps.
 */
#ifndef ULLAGE_OUTLOOK_PLAN_H
#define ULLAGE_OUTLOOK_PLAN_H

#include "outlook/board.h"
#include "outlook/forecast.h"

/* The rate at the board's `now` for the crew as logged. */
ForecastRate plan_rate(const Board *board, const State *state);

/* Fills the board's use, the expected levels of the vessels, days left and the stops' odds. Known
 * as soon as the crew is, or the log has taught a rate; before that use_known and outlook_known are
 * false.
 *
 * Stops are taken in the order of their times. At each what can be had there is taken on (its
 * litres, or all that fits), so a later stop is reached from the one before it; its odds are never
 * better than those of a stop before it. A stop that fills everything makes the level known: odds
 * and ration of the next one count from there. After a stop with limited litres they count on, from
 * the last known level and with those litres: P(C(t) < what there was + what was had). take_on is
 * what the next leg needs at 90 %, the last stop has no next leg. A stop with 0 litres is dry: its
 * take_on is 0, and the leg before it goes on to the next one that has water.
 *
 * to_empty is the line and the reserve at the rate as it is: that the reserve will be stretched to
 * the ration is not counted on (the safe side; the odds and the chart say the same).
 */
void plan_make(Board *board, const State *state, const ForecastRate *rate);

/* What is expected to have left by the tap of the line (its index in State.lines) since `since` and
 * since its level was last known, L, though nobody logged it: 0 but for the line of most of the
 * use. It has passed the stages. */
double plan_gone_litres(const Board *board, const State *state, int line, Moment since);
/* That rate with what may have gone unlogged since the main line was last known. */
ForecastRate plan_since(const Board *board, const State *state, const ForecastRate *rate);

/* What the vessels of a place can give when all are full, L. */
double plan_full_litres(const Board *board, Place place);
/* What stands on the line and in the reserve (L) when the stop is left: all that fits of its
 * litres was taken on, the line first. */
void plan_take_on(const Board *board, const BoardStop *stop, double *line, double *reserve);

#endif
