/* board.h - everything that the dashboard, `status`, `due` and `outlook` print, already decided.
 *
 * The screens and the command line only lay it out, so they can't disagree. Pure: state and time
 * in, facts and sentences out. A Board is a plain value (some tens of kilobytes; keep it off small
 * stacks) and borrows nothing.
 */
#ifndef ULLAGE_OUTLOOK_BOARD_H
#define ULLAGE_OUTLOOK_BOARD_H

#include "base/units.h"
#include "model/running.h"
#include "model/state.h"
#include "model/supply.h"

enum { BOARD_TEXT = 320, BOARD_ALERTS_MAX = 64 };

/* The words of the field tables (model/kinds.h) for the codes that the board carries. */
const char *duty_name(Duty duty);
const char *stage_type_name(StageType type);

typedef struct {
    int slot;          /* in State.vessels */
    Label label, line; /* line: empty where it is not coupled */
    Duty duty;
    Quality quality;
    Place place;
    int position; /* 1.. from the air side; 0 = not coupled */
    bool lead, spent, stale;
    bool washes;   /* vessel_washes: is asked neither for sanitising nor for its age */
    bool asserted; /* potable on the owner's word: nothing measured says so */
    bool raw;      /* from open or unknown water, not treated against Giardia */
    uint8_t marks; /* MARK_...: what tests found among them */
    Residual residual;
    Results results; /* what tests found in what it holds, and before */
    Moment faded;    /* its residual may be under the least from then on; MOMENT_NONE: the kit can't
                        tell */
    int64_t capacity, heel, volume, usable;
    int64_t expected_low, expected_high; /* 10-90 % band of the level now, mL; equal to volume where
                                            every drop is known */
    bool expected_told; /* it differs from what is reckoned by so much that it is to be said */
    Moment mean_fill, oldest_fill, sanitised, sounded, known;
    Moment stale_at, sanitise_due; /* MOMENT_NONE: does not apply or not known */
    bool tainted; /* its water is of a source where a test found coliforms later, and nothing worse
                     is said of it */
    int64_t sanitise_days;                  /* due so long after the last time */
    Moment sanitise_put_off, water_put_off; /* those reminders are quiet until then; MOMENT_NONE:
                                               they are not, or no longer */
    int64_t mass_g;                         /* tare + water at 1 kg/L; -1: tare not known */
    int64_t rated_pa; /* working pressure, Pa; 0: it takes none, -1: not known */
} BoardVessel;

typedef struct {
    int slot;
    Label label;
    int count;
    int vessels[VESSELS_ABOARD_MAX];     /* indexes into Board.vessels, air side first */
    int lead;                            /* index into Board.vessels, -1 */
    int stages[STAGES_MAX], stage_count; /* indexes into Board.stages, in the order water passes */
    int64_t volume, usable;
    bool delivers;
    Quality quality;                  /* as delivered at the tap; meaningless where !delivers */
    Quality pipe[VESSELS_ABOARD_MAX]; /* of what runs on behind each of `vessels`; meaningless where
                                     the vessel is spent: air does. Behind the last: `quality` */
    Verdict verdict;
    LineDoubt doubt;    /* what stands beside the verdict */
    bool tainted;       /* so does this: one from the lead on is (BoardVessel) */
    bool leant;         /* so does this: a vessel from the lead on keeps the class that its source
                           had (Board.leant_on) */
    Moment metered;     /* latest reading of its meter; MOMENT_NONE: it has none */
    int64_t meter_ml;   /* what it read */
    double meter_off;   /* soundings found so much more gone than it counted, relative; 0: it agrees
                           with them, as far as chance goes */
    double meter_doubt; /* 2 standard errors of that */
    bool runs;          /* water runs at the moment, as a feed tells it: */
    Running running;
    Residual residual;            /* at its tap */
    Result results[RESULT_COUNT]; /* at its tap */
    Train train; /* why its train purifies or does not (domain 3.6), and what of: */
    Label train_stage;
    int64_t working_pa; /* -1: not known */
    Moment known;       /* when its lead's level was last known for certain; MOMENT_NONE: never */
    bool flow_fell; /* flow test: more than a third below the one after the swap, pressure unchanged
                     */
    double flow_ratio; /* last / base; 0 where not known */
} BoardLine;

typedef enum { SERVICE_OK, SERVICE_SOON, SERVICE_DUE } ServiceState;
const char *service_state_name(ServiceState s); /* "ok", "soon", "due" */
typedef enum {
    BECAUSE_NOTHING,
    BECAUSE_DATE,
    BECAUSE_LITRES,
    BECAUSE_LAMP_HOURS,
    BECAUSE_CLOGGING
} Because;
const char *because_name(Because b); /* NULL, "date", "litres", "lamp hours", "clogging" */

typedef struct {
    int slot;
    Label label, line;
    StageType type;
    int64_t through, lamp_ms; /* mL; ms */
    bool has_lamp_life;
    Moment fitted;
    int64_t spares; /* -1: never said */
    ServiceState state;
    Moment due;                 /* MOMENT_NONE: no life given, or not at this rate */
    Moment due_early, due_late; /* 10-90 % band, of all limits together; equal to due where no rate
                                   is in it */
    Because because;
    int64_t litres_left; /* mL, may be negative past its life; INT64_MIN: no litres of life given */
    double life_left;    /* 0..1, the least over the limits it has; -1: no life given */
    Moment put_off;      /* the reminder to swap is quiet until then; MOMENT_NONE: it is not. It
                            changes nothing else: the state, and what the train is good for, stay */
} BoardStage;

typedef enum { ALERT_NOTICE, ALERT_CAUTION, ALERT_WARNING } AlertLevel;
enum {
    ALERT_IN_DUE = 1,  /* its news stand in board_due as well, with date and reason. A stage that is
                          due without a spare has no such flag: it is said twice, louder */
    ALERT_ASKS = 2,    /* a notice that asks for something to be done now: a sounding */
    ALERT_DIFFERS = 4, /* of entries that do not agree: the list of discrepancies tells each */
    ALERT_LOOK = 8,    /* to be looked at now, whoever is aboard: stands in board_looks as well */
    ALERT_MANY = 16,   /* of several vessels, which its text names: `about` is empty */
    ALERT_PASSED = 32, /* asks about Board.passed */
    ALERT_TWICE = 64   /* asks about board_twice */
};
const char *alert_level_name(AlertLevel level); /* "notice", "caution", "warning" */
typedef struct {
    AlertLevel level;
    Label about;           /* a vessel, line, stage or stop; may be empty */
    const char *id;        /* which rule: "upstream-worse", ...; static, the same for each of it */
    unsigned flags;        /* ALERT_... */
    size_t says;           /* bytes of `text` that say what is so; the rest says what to do */
    char text[BOARD_TEXT]; /* what is so, and what to do */
} Alert;

/* A band is told where the level may be under the reckoned one by so many mL or more. */
enum { EXPECTED_TOLD_ML = 100 };

/* So long a stop that is past is asked about; and a fill from the source of its name counts as its
 * refill from half a day before the time that was planned. */
enum { PASSED_DAYS = 14 };
#define PASSED_EARLY_MS (12 * MS_PER_HOUR)

/* Quantiles of a moment; MOMENT_NONE: not at this rate. */
typedef struct {
    Moment p10, p50, p90;
} Band;

typedef struct {
    Label label;
    Moment eta;
    int64_t litres;             /* -1: as much as fits */
    int64_t shop;               /* parts can be had there: 1, 0; -1: nobody said */
    double odds_line, odds_all; /* NaN: not known */
    double ration_90;           /* L per person-day; NaN: not known */
    int64_t take_on;            /* mL for the next leg at 90 %; -1: not known */
} BoardStop;

typedef struct {
    Moment now;
    Units units;             /* of what its sentences name */
    Moment last;             /* the time of the log's latest entry; MOMENT_NONE: it is empty */
    int64_t entries, unread; /* unread: of them can't be read */
    int crew;                /* -1: never said */
    int64_t lead_days;       /* what falls due is told so many days ahead */
    int vessel_count, line_count, stage_count, stop_count, alert_count;
    int retired;                             /* vessels that were named and are aboard no more */
    BoardVessel vessels[VESSELS_ABOARD_MAX]; /* in the order of their labels */
    BoardLine lines[LINES_MAX];              /* in the order of their labels */
    BoardStage stages[STAGES_MAX];           /* in the order of their labels */
    BoardStop stops[STOPS_MAX];              /* planned ones by eta */
    Stop passed;   /* the earliest of the last PASSED_DAYS that is past and of which nothing was
                        logged since; its eta is MOMENT_NONE_MS where there is none */
    Label tainted; /* a source at which a test found coliforms, while a vessel that had water
                        from it before is tainted; empty: none */
    uint8_t tainted_marks; /* what it found there */
    Label leant_on;  /* a source that was amended for the worse in the last PASSED_DAYS, while a
                        vessel filled from it still has the better class; empty: none */
    char leant[160]; /* what leaning_tell says of it */
    Supply supply;
    ReserveState reserve;
    ShortReason reserve_short; /* meaningless unless it is short */
    bool use_known;
    double litres_per_day, logged_per_person_day, unlogged_per_person_day;
    double use_prior;     /* 0..1: how much of the rate is still assumed, not learnt from the log */
    double odds_two_days; /* that the line, the reserve left out, lasts two more days; NaN: not
                             known */
    double line_share;    /* expected on the line, of what it holds full; NaN: not known */
    bool outlook_known;
    Band to_reserve, to_empty;
    int discrepancy_count;
    int64_t discrepancies_older; /* open ones before those of the list */
    Discrepancy discrepancies[DISCREPANCIES_MAX];
    Alert alerts[BOARD_ALERTS_MAX]; /* warnings first; the last: board_make leaves alone what lies
                                       behind alert_count */
} Board;

/* Fills *board. `now`: the time the state is looked at; `units`: those of its sentences. */
void board_make(Board *board, const State *state, int64_t entries, Moment now, Units units);
/* The latest open entry that was likely logged on another machine too; NULL: there is none. */
static inline const Discrepancy *board_twice(const Board *board)
{
    for (int i = board->discrepancy_count - 1; i >= 0; i--)
        if (board->discrepancies[i].kind == DISCREPANCY_TWICE)
            return &board->discrepancies[i];
    return NULL;
}
/* On which lines water runs; on the others none does. */
void board_runs(Board *board, const Running *running, int count);

/* What is due, soonest first: stages, vessels to sanitise, stale water. A reminder that was put off
 * stays in the list, at the time to which it was put off, and does not count as due or soon before
 * then. */
typedef struct {
    Moment at;          /* when to do it; MOMENT_NONE sorts first: now or soon, without a date */
    ServiceState state; /* by `at` and now; SERVICE_OK while it is put off */
    Label about;        /* a stage (CARE_SWAP, CARE_SPARE) or a vessel */
    Care care;
    Moment due;     /* when it is due by the log, put off or not; MOMENT_NONE: no date */
    Moment put_off; /* MOMENT_NONE: was not */
    bool day;       /* `due` is a local civil day, or from a rate that is no better than a day */
    char what[BOARD_TEXT]; /* "sediment: swap the cartridge", "A2, put off: sanitise" */
    char why[BOARD_TEXT];  /* "by litres; 1 spare aboard", "due since Tue 1 Dec, by litres; ..." */
} DueItem;
enum { DUE_MAX = 2 * STAGES_MAX + 3 * VESSELS_ABOARD_MAX };
int board_due(const Board *board, DueItem out[DUE_MAX]);
/* What is to be looked at now, by the alerts that ask for it (ALERT_LOOK): CARE_LOOK, due now.
 * Returns how many, at most BOARD_ALERTS_MAX. */
int board_looks(const Board *board, DueItem out[BOARD_ALERTS_MAX]);
/* The stages that have a life but no date at this rate of use (nor are soon), by label: `at` is
 * MOMENT_NONE, `state` SERVICE_OK. They are not among board_due. */
int board_undated(const Board *board, DueItem out[STAGES_MAX]);
/* Is it due within so many local civil days from now (0: today)? `within` < 0: is it due now? What
 * is soon without a date (a clogged stage, the last tenth of the litres without a rate) counts in
 * every window. What is put off counts from the time to which it was. */
bool due_counts(const DueItem *item, Moment now, int64_t within);

/* Where a back-dated entry about vessels leaves them today as they were: that it does, and why
 * (what stands after it): "changes nothing today: A1 was sounded 24 Nov 18:30, after it". Appends a
 * line for each vessel, nothing where the entry is not back-dated or had an effect. */
void backdated_tell(const Event *e, const State *before, const State *after, Moment now, Str *out);

/* "3 fills since Wed 4 Nov 09:00 (A1, A2) keep potable": those that took the class that a source
 * had before it was amended, and the vessels that they went into and that were not sanitised since.
 * Appends; nothing where there is none. True where they were called better than it is now. */
bool leaning_tell(const State *state, const Source *source, Moment now, Str *out);

/* What an entry (NULL: many, from elsewhere) did, in lines for a preview or for after an entry:
 * "A1 4.0 -> 12.0 L", "galley now delivers questionable water: boil first", "reserve: short ->
 * intact", "days left ...", "booked as use that nobody logged: 1.2 L", discrepancies that are new.
 * Nothing for what did not change. Appends lines to `out`, each ended by '\n'. */
typedef struct {
    const Board *board;
    const State *state; /* that it was made from */
} Standing;
void board_changes(const Event *entry, Standing before, Standing after, Units units, Str *out);

#endif
