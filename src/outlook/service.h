/* service.h - when each stage is due, and what is due at all (domain: "Service"). Part of the
 * board.
 */
#ifndef ULLAGE_OUTLOOK_SERVICE_H
#define ULLAGE_OUTLOOK_SERVICE_H

#include "outlook/board.h"
#include "outlook/forecast.h"

/* `soon` begins Board.lead_days civil days before the date, or when less than a tenth of the litres
 * are left. A stage whose spares were counted and are none is told one lead time earlier, or as
 * many days as the next stop with a shop is away, where that is more (stage_wants_spare). */
/* A flow test counts as clogging where the flow fell by more than a third and the pressure is that
 * of the first test within this many per cent. */
enum { SERVICE_PRESSURE_PER_CENT = 10 };

/* The start of the local civil day that lies `days` civil days after the local day of `from`; days
 * are civil ones, so a change of the clocks does not shift it. MOMENT_NONE in, or beyond the year
 * 9999, gives MOMENT_NONE. */
Moment service_date(Moment from, int64_t days);

/* So many days after `from`; MOMENT_NONE from FORECAST_NEVER_DAYS on, and for what is no number. */
Moment service_ahead(Moment from, double days);

/* Whole local civil days from `now` to `then` (negative: past). Both known. */
int64_t service_days_until(Moment now, Moment then);

/* How much of its life a stage has left, for people: "82 %"; "<1 %" for a rest that is not nothing;
 * "" for a negative `life_left` (no life was given). Rounded down, so that a small rest is never
 * made larger; only what is new but for half a per cent is "100 %": a cartridge fitted an hour ago
 * is not 99 % of one. `out` of at least 8 bytes; returns `out`. */
char *service_life_text(double life_left, char out[8]);

/* A time to which a reminder was put off, as the board has it: MOMENT_NONE from then on. */
Moment service_put_off(int64_t until_ms, Moment now);

/* The rate at which water passes the stages of a line (its index in State.lines; -1: not on one):
 * the part of all use that this line's tap has had so far. With nothing drawn yet the whole of it:
 * the safe side. 0 where the use is not known. */
ForecastRate service_rate(const Board *board, const State *state, const ForecastRate *all,
                          int line);

/* Can parts be had there? Where nobody says it of any stop, each counts. */
bool stop_has_shop(const Board *board, const BoardStop *stop);
/* The next planned stop of that sort, not after `until` where that is known. NULL: there is none.
 */
const BoardStop *service_shop(const Board *board, Moment until);

/* Is it time to get a spare for that stage? *by: to have it, MOMENT_NONE where it is not. */
bool stage_wants_spare(const Board *board, const BoardStage *stage, Moment *by);

/* Fills board->stages and board->stage_count, in the order of their labels. Needs board->lines with
 * their flow tests, and use_known: without a known use, litres and lamp hours with the flow give no
 * date ahead. A date from a rate is what is left over the mean rate; its band is where the use
 * would be with odds of 10 and 90 %. What is expected to have passed since the line's level was
 * last known counts as passed. Further off than FORECAST_NEVER_DAYS there is no date: "not at this
 * rate". */
void service_stages(Board *board, const State *state, const ForecastRate *rate);

#endif
