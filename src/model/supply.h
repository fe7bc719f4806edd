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
 * potable duty (common practice, no source). */
enum { STALE_DAYS_LINE = 30, STALE_DAYS_RESERVE = 180 };
bool vessel_stale(const Vessel *vessel, Moment now);
Moment
vessel_stale_at(const Vessel *vessel); /* MOMENT_NONE where it is empty or washes (state.h) */

typedef enum {
    RESERVE_NONE,
    RESERVE_INTACT,
    RESERVE_SHORT,
    RESERVE_IN_USE,
    RESERVE_SPENT
} ReserveState;
const char *reserve_state_name(ReserveState r); /* "none", "intact", "short", "in use", "spent" */
/* Domain 6. Intact: each reserve vessel at least 95 % full, potable and in date. In use: a line is
 * coupled and has, its reserve vessels left out, nothing usable left, or a reserve vessel leads.
 * Spent: in use, and nothing usable is left in the reserve either. */
ReserveState reserve_state(const State *state, Moment now);
/* Why it is short; the first that holds of any reserve vessel. */
typedef enum { SHORT_NOT, SHORT_LOW, SHORT_QUESTIONABLE, SHORT_STALE } ShortReason;
ShortReason reserve_short(const State *state, Moment now);

/* Domain 3.6: the owner declared a stage of it purifying, every stage has a stated life and is in
 * it (by litres, days and lamp hours), one disinfects (uv) or is a membrane, and no flow test since
 * the last swap ran faster than a stage is rated for. A stage that disinfects or is a membrane, and
 * of which no rated flow was stated, is rated for no flow that was tested. */
typedef enum {
    TRAIN_PURIFIES,
    TRAIN_UNDECLARED,
    TRAIN_LIFE_UNKNOWN, /* of `stage` no life was stated */
    TRAIN_LIFE_OVER,
    TRAIN_TOO_FAST, /* for `stage` */
    TRAIN_UNRATED,  /* a flow was tested, and `stage` has no rated one */
    TRAIN_NO_BARRIER
} Train;
/* The first that it lacks, and of which stage (a slot; -1 where it is of none). */
Train line_train(const State *state, int line, Moment now, int *stage);
bool stage_in_life(const Stage *stage, Moment now); /* a life that was not stated is never over */
/* Nor is water in which a test found coliforms made fit by a train: it boils first. */
Verdict line_verdict(const State *state, int line, Moment now);
/* What stands beside the verdict, so that "drink" is never said of doubtful water alone: over the
 * vessels from the lead to the tap. */
typedef struct {
    bool stale;                       /* one of them is */
    uint8_t marks;                    /* MARK_..., of any, and what a test found at the tap */
    bool residual_low, residual_high; /* by a test of one of them, or at the tap */
    bool fouled; /* non-potable water reached the tap since the line was sanitised */
} LineDoubt;
/* What the latest tests say of the residual, of a vessel and at a line's tap. */
Residual vessel_residual(const Vessel *vessel);
Residual line_residual(const State *state, const Line *line);
LineDoubt line_doubt(const State *state, int line, Moment now);

#endif
