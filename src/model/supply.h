/* supply.h - how much is left, of what class, where, and how the reserve stands. Pure. */
#ifndef ULLAGE_MODEL_SUPPLY_H
#define ULLAGE_MODEL_SUPPLY_H

#include "model/state.h"

typedef enum { PLACE_LINE, PLACE_RESERVE, PLACE_APART } Place;
/* reserve: duty reserve, wherever it is; line: on a line and not of duty reserve; apart: all else.
 */
Place vessel_place(const Vessel *vessel);

typedef struct {
    int64_t by_class[CLASS_COUNT]; /* usable mL over all vessels aboard */
    int64_t line, reserve, apart;  /* usable mL by place */
    int64_t reserve_volume;        /* mL in reserve vessels, heel included */
} Supply;
Supply supply_of(const State *state);

/* Water goes stale by mean age: 30 days on a line, 180 in a sealed reserve, 30 elsewhere for
 * potable duty (common practice, no source). Vessels are due for sanitising 180 days after the last
 * time. */
enum { STALE_DAYS_LINE = 30, STALE_DAYS_RESERVE = 180, SANITISE_DAYS = 180 };
bool vessel_stale(const Vessel *vessel, Moment now);
Moment vessel_stale_at(const Vessel *vessel); /* MOMENT_NONE where it is empty or a wash vessel */

typedef enum {
    RESERVE_NONE,
    RESERVE_INTACT,
    RESERVE_SHORT,
    RESERVE_IN_USE,
    RESERVE_SPENT
} ReserveState;
const char *reserve_state_name(ReserveState r); /* "none", "intact", "short", "in use", "spent" */
ReserveState reserve_state(const State *state, Moment now);

/* Is every stage of the line in life at `now` (by litres, days and lamp hours), and is at least one
 * of them declared purifying by the owner? */
bool line_purifies(const State *state, int line, Moment now);
bool stage_in_life(const Stage *stage, Moment now);
Verdict line_verdict(const State *state, int line, Moment now);

#endif
