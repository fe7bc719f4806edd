/* state.h - the whole state: what the fold over the log has come to.
 *
 * A State is one flat block without pointers and without padding: two states are equal exactly if
 * their bytes are, it is copied by assignment, and pack.h turns it into a few
 * kilobytes for a checkpoint. Unused slots are zero. "Not known" is MOMENT_NONE_MS for times and -1
 * where said. Volumes are mL, times ms since the epoch UTC.
 */
#ifndef ULLAGE_MODEL_STATE_H
#define ULLAGE_MODEL_STATE_H

#include "base/label.h"
#include "base/moment.h"
#include "base/units.h"
#include "model/event.h"
#include "model/quality.h"
#include "model/results.h"
#include "model/use.h"

#include <stdbool.h>
#include <stdint.h>

typedef struct {
    Label label; /* empty: the slot is free */
    int64_t capacity, heel;
    int64_t volume;        /* 0..capacity */
    double mean_fill;      /* ms since the epoch, volume-weighted; 0 where volume is 0 */
    int64_t oldest_fill;   /* a bound: no water in it is older; MOMENT_NONE_MS where volume is 0 */
    int64_t sanitised_at;  /* MOMENT_NONE_MS: never */
    int64_t sounded_at;    /* MOMENT_NONE_MS: never */
    int64_t known_at;      /* when the level was last known for certain (a sounding, a fill with a
                             level, dumped empty, the first naming) */
    int64_t sanitise_days; /* it is due for sanitising so long after the last time */
    int64_t tare_g;        /* -1: not known */
    int64_t rated_pa;      /* working pressure; 0: it takes none, -1: not known */
    int64_t retired_at;    /* MOMENT_NONE_MS: aboard */
    int64_t unlogged;      /* all use of this vessel that nobody logged, mL */
    int64_t metered;   /* mL that left it by the tap of a line with a meter since its level was last
                          known by another way; -1: it is not known so */
    int64_t filled_at; /* MOMENT_NONE_MS: never */
    int64_t gained;    /* mL of gains since it was sanitised or treated, less a twentieth of what
                          was filled, and what fell again where it stands sealed: together they
                          count against a stick's error */
    /* Its reminders are quiet until then; MOMENT_NONE_MS: were not put off. */
    int64_t sanitise_put_off, water_put_off;
    int32_t line;          /* index of the line it is coupled in, -1: none */
    int32_t position;      /* 0 = air side; 0 where not coupled */
    uint8_t duty, quality; /* Duty, Quality */
    uint8_t marks;         /* MARK_...: of the water; they go along with it, wet the walls, and
                              end when the vessel is sanitised or the water is treated */
    uint8_t tested;        /* TESTED_...: what of the tests still speaks of this water */
    uint32_t filled_by;    /* uuid_maker of the fill of filled_at */
    Results results;       /* zero where it was emptied since */
} Vessel;
/* Between two sanitisings, until the owner says otherwise (domain 7); at most a year. */
enum { SANITISE_DAYS = 180, SANITISE_DAYS_MAX = 366 };
enum {
    TESTED_VESSEL = 1, /* nothing was filled in, nor treated, since its residual was tested */
    TESTED_TAP = 2,    /* the same since the residual at the tap of its line was */
    TESTED_ALONE = 4   /* nor came water down the line: decay can be told */
};

typedef struct {
    Label label;                       /* empty: free */
    int32_t order[VESSELS_ABOARD_MAX]; /* vessel slots, air side first */
    int32_t count;
    int32_t
        strangers; /* how many of its latest order nobody had named: what they hold is unknown */
    int64_t working_pa; /* of the latest pressurise; -1: none yet */
    int64_t pressurised_at;
    int64_t known_at;    /* when the level of the vessel that then was the lead was last known for
                            certain: use that nobody logged is looked for since then; NONE: never */
    int64_t known_found; /* mL that soundings found missing on it since */
    int64_t drawn;       /* mL that left by its tap, ever, logged or found missing */
    int64_t fouled_at;   /* non-potable water last reached the tap; NONE: never, or every vessel of
                            the line was sanitised since */
    int64_t found_at;    /* a test at the tap last found coliforms; NONE as above */
    int64_t found;       /* MARK_FOUND of them */
    int64_t meter_at;    /* latest reading of its meter; NONE: it has none */
    int64_t meter_ml, meter_drawn; /* what it read then; `drawn` then */
    int64_t meter_logged;          /* mL of logged draws since */
    int64_t meter_factor; /* true litres for 1,000 that it counts; 0: it was not calibrated */
    /* What soundings found beside what the meter counted, since it was last calibrated: mL counted
     * between soundings, mL more that had gone (less where negative), variance of that in mL^2. */
    int64_t checked, check_found, check_variance;
    /* Water that runs on and on: since when and how much of it, by readings of which none is later
     * than the one before by more than METER_RUN_GAP_MS; 0: it stands. */
    int64_t run_at, run_ml;
    /* Water in every quarter of an hour: the first and the latest of them, and how much; 0: none.
     */
    int64_t drip_first, drip_last, drip_ml;
    int64_t flow_base_ml_min, flow_base_at,
        flow_base_pa; /* first flow test after the latest swap; -1 / NONE: none */
    int64_t flow_last_ml_min, flow_last_at, flow_last_pa; /* latest flow test */
    int64_t flow_top_ml_min;      /* the fastest flow test since the latest swap; -1: none */
    Result results[RESULT_COUNT]; /* at its tap */
} Line;

typedef struct {
    Label label;              /* empty: free */
    int64_t life_ml, life_ms; /* litres of life; lamp hours as ms; 0: no such limit */
    int64_t life_days;        /* 0: no such limit */
    int64_t rated_ml_min;     /* 0: not known */
    int64_t fitted_at;
    int64_t through_ml; /* litres since fitted */
    int64_t spares;     /* -1: never said */
    int64_t put_off;    /* the reminder to swap is quiet until then; MOMENT_NONE_MS: was not */
    int64_t cost;       /* of the one in it, thousandths of the owner's currency; -1: never said */
    int32_t line, position;
    uint32_t swapped_by;           /* uuid_maker of the swap of fitted_at; 0: it was none */
    uint8_t type, lamp, purifying; /* StageType, LampHabit, bool */
    uint8_t pad;
} Stage;

/* Fills from a source that said no class of their own and took the one that it had. */
typedef struct {
    int64_t since, fills; /* the first of them; how many */
    uint64_t vessels;     /* bit i: water of one is, or was, in the vessel in slot i, which was not
                         sanitised since */
} Leaning;

typedef struct {
    Label label;          /* empty: free */
    int64_t used_at;      /* latest fill from it, or its naming */
    int64_t fills, taken; /* how many, and their mL as the fold reckons them */
    Leaning leaning;      /* on the class that it has */
    Leaning leant;        /* on the one before, `was` */
    int64_t amended_at;   /* when that was amended; 0: nothing leant on one before */
    uint64_t filled; /* bit i: the vessel in slot i had water from it, and was neither sanitised
                        nor treated by a criterion since */
    uint64_t held;   /* the same, whatever was done to it: until it was sanitised, or filled up
                        from empty */
    uint8_t type;
    uint8_t quality; /* Quality, or SOURCE_UNKNOWN_CLASS */
    uint8_t marks; /* MARK_FOUND since its class was given, MARK_NITRATE by its latest test: what is
                      filled from it has them */
    uint8_t was;   /* the class that was amended */
    uint8_t pad[4];
    Result results[RESULT_COUNT];
} Source;
enum { SOURCE_UNKNOWN_CLASS = 255 };
/* What the water of a source with that class counts as. */
static inline Quality source_quality(uint8_t quality)
{
    return quality == SOURCE_UNKNOWN_CLASS ? CLASS_QUESTIONABLE : (Quality)quality;
}

typedef struct {
    Label label;         /* empty: free */
    int64_t eta, litres; /* litres in mL, -1: as much as fits */
    int64_t shop;        /* parts can be had there: 1, 0; -1: nobody said */
} Stop;

/* So many days ahead what falls due is told, until the owner says otherwise (domain 7). */
enum { LEAD_DAYS = 14, LEAD_DAYS_MAX = 365 };

typedef enum {
    DISCREPANCY_GAIN,          /* the level is higher than reckoned */
    DISCREPANCY_DRAW_BEYOND,   /* more was drawn than there was; `amount` is what was missing */
    DISCREPANCY_PAST_BRIM,     /* more went in than the vessel holds */
    DISCREPANCY_NO_SUCH,       /* names a vessel, line or stage that is not there at that time */
    DISCREPANCY_NOT_RAISED,    /* treatment of non-potable water, or of an empty vessel; or the
                                  owner's word alone, of water that a test found coliforms in */
    DISCREPANCY_ABOVE_HEEL,    /* sanitised while it held more than its heel */
    DISCREPANCY_COUPLED,       /* drawn by its own label while coupled in a line */
    DISCREPANCY_CLASS_IGNORED, /* class or level given when the vessel was already known */
    DISCREPANCY_NO_ROOM,       /* one more than the program can hold */
    DISCREPANCY_LEVEL_FELL,    /* a fill that ends lower than reckoned before it */
    DISCREPANCY_SAME_VESSEL,   /* decanted into itself, or named twice in an order */
    DISCREPANCY_LEAK,          /* missing where nobody draws: sealed water, or nobody aboard */
    DISCREPANCY_METER_FEWER,   /* the meter counted fewer litres than were logged */
    DISCREPANCY_RUN_LONG,      /* water ran on and on: `amount` of it */
    DISCREPANCY_RUN_DRIP,      /* water ran in every quarter of some hours */
    DISCREPANCY_TWICE          /* likely logged on two machines: `amount` ms after the other */
} DiscrepancyKind;

typedef struct {
    Uuid entry;
    int64_t at;
    int64_t amount; /* mL */
    Label name;
    uint8_t kind;       /* DiscrepancyKind */
    uint8_t entry_kind; /* KindId */
    uint8_t pad[6];
} Discrepancy;

/* From two machines within it (the bounds count) two entries are likely one: common practice, no
 * source: a cartridge is not changed twice within an hour, and a vessel that was just filled is not
 * filled again within ten minutes. */
#define TWICE_SWAP_MS MS_PER_HOUR
#define TWICE_FILL_MS (10 * MS_PER_MINUTE)

/* Longer than this nobody lets water run aboard, and nobody draws in every quarter of so many
 * hours: a leak, or a tap left open. A feed logs each minute that water runs: a later reading is of
 * another run. */
#define METER_RUN_MINUTES 20
#define METER_RUN_GAP_MS (90 * MS_PER_SECOND)
#define METER_DRIP_QUARTERS 12
#define METER_QUARTER_MS (15 * MS_PER_MINUTE)

/* Sums for the audit: volume is conserved to the millilitre.
 * sum of volumes = named + filled + gained - drawn - dumped - unlogged - retired. */
typedef struct {
    int64_t named; /* levels at first naming */
    int64_t filled, gained, drawn, dumped, unlogged;
    int64_t retired; /* left the reckoning inside retired vessels */
} Totals;

typedef struct {
    int64_t folded;  /* entries applied */
    int64_t last_at; /* time of the latest entry applied */
    int32_t last_zone;
    int32_t crew; /* -1: never said */
    Totals totals;
    Use use; /* model/use.h: what the rate of use is learned from */
    int32_t vessel_count, line_count, stage_count, source_count, stop_count; /* slots in use are the
                                          first ones; vessel_count includes the retired */
    int32_t discrepancy_count; /* in the list, oldest first */
    int64_t discrepancy_lost;  /* older ones that fell out of the full list */
    int64_t lead_days;         /* what falls due is told so many days ahead */
    int64_t unread;            /* entries of the log that can't be read, and were not taken back */
    Vessel vessels[VESSEL_SLOTS];
    Line lines[LINES_MAX];
    Stage stages[STAGES_MAX];
    Source sources[SOURCES_MAX];
    Stop stops[STOPS_MAX];
    Discrepancy discrepancies[DISCREPANCIES_MAX];
} State;

void state_init(State *state); /* the state of an empty log */

/* Look-ups by label: index or -1. Vessels: only those aboard, unless state_vessel_ever. */
int state_vessel(const State *state, const Label *label);
int state_vessel_ever(const State *state, const Label *label);
int state_line(const State *state, const Label *label);
int state_stage(const State *state, const Label *label);
int state_source(const State *state, const Label *label);
int state_stop(const State *state, const Label *label);

/* What a label names; decides completion, "did you mean" and what must exist. */
typedef enum {
    NAMES_NOTHING,
    NAMES_VESSEL,
    NAMES_LINE,
    NAMES_STAGE,
    NAMES_SOURCE,
    NAMES_STOP
} Names;

/* Walks and looks up whatever the label names: the i-th name in the state (NULL past the last;
 * retired vessels are walked too), and the index of a name that is there now, -1 where it is not.
 */
const Label *state_name(const State *state, Names names, int i);
int state_find(const State *state, Names names, const Label *label);

bool vessel_aboard(const Vessel *vessel);
/* Kept apart for washing: whatever water is found goes in. On a line its water is that of the tap. */
bool vessel_washes(const Vessel *vessel);
/* Water above the heel, never negative. */
int64_t vessel_usable(const Vessel *vessel);
int64_t vessel_room(const Vessel *vessel); /* capacity - volume */
/* Takes ml (0..volume) out; with the last of it go its ages. Class and walls stay. */
void vessel_lower(Vessel *vessel, int64_t ml);

/* Lamp time since fitted at `now`: LAMP_ALWAYS burns from fitted_at on; LAMP_WITH_FLOW only while
 * water runs (litres / rated flow; without a rated flow it counts as always: the safe side). */
int64_t stage_lamp_ms(const Stage *stage, int64_t now);
/* Stages of a line by position, then label; returns how many. */
int line_stages(const State *state, int line, int out[STAGES_MAX]);

/* Another class: what leant on the one before is remembered, until that is so again. */
void source_class(Source *source, Quality quality, int64_t at);
/* A fill of the vessel in `slot`: `ml` came in, and it said its class itself or not. */
void source_filled(Source *source, int slot, int64_t at, int64_t ml, bool classed);
/* Water goes from each of these vessels, by their slots, into the one after it. */
void sources_follow(State *state, const int32_t *slots, int count);
/* What the vessel holds was treated by a criterion: what a test finds at its source is dealt with. */
void sources_treated(State *state, const Vessel *vessel);
/* A test found more nitrate there than infants may have: what is aboard from it is marked. */
void source_nitrate(State *state, const Source *source);
/* A vessel is empty and is filled anew: no treatment ended what this does. */
void sources_emptied(State *state, const Vessel *vessel);
/* A vessel was sanitised, or left: nothing in it came from anywhere. */
void sources_forget(State *state, const Vessel *vessel);

/* A line name that is not known yet gets a slot (-1: none is free). */
bool state_line_fits(const State *state, const Label *label); /* would ensure find a slot? */
int state_line_ensure(State *state, const Label *label);
/* Lists an entry that comes so soon after one of another machine that both likely tell of one
 * event: of what was last done at `at` by `maker` (uuid_maker). */
void state_twice(State *state, const Event *e, const Label *name, int64_t at, uint32_t maker,
                 int64_t within);
void state_discrepancy(State *state, const Event *e, DiscrepancyKind kind, const Label *name,
                       int64_t amount);

#endif
