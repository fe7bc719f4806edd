/* use.h - how fast the water is used: what the log teaches, learnt as the entries go by.
 *
 * A `Use` is a flat record of sufficient statistics. It lives inside the fold's State, is fed by
 * the fold in time order, and never needs the log again. outlook/forecast.h makes rates, odds and
 * dates of it; nothing here is printed as it is.
 *
 * Two streams are learnt, both in litres per person-day:
 *   logged    what was drawn by entries, summed over each local civil day;
 *   unlogged  what a sounding (or a fill that did not fit) showed to be missing, over the time
 *             since the water was last known. People do not log every cup.
 *
 * The day is local civil day number floor((at + zone * 60000) / 86400000). A day is closed, and
 * then taught, when something happens on a later day. The day that is still open is not taught:
 * half a day is not a low day. But a reader (use_settle) takes it in as soon as it took more than a
 * usual day: that is a high one, whatever follows.
 *
 * Which days count
 *   - Days with nobody aboard (crew 0) count for nothing. A day with a crew for part of it counts
 *     for that part, in person-days of waking hours: 07 to 23 local time.
 *   - A rate is per head, so a change of crew changes the use in proportion. How far use follows
 *     the heads is learnt from changes: the doubt of it widens the variance as long as the rate was
 *     learnt with another number. The days before a change of crew count for less after it, and
 *     what was expected of one crew is not held against the use of the next.
 *   - Draws, fills, soundings and swaps witness that people were there and logged. A day without
 *     any of them, crew aboard, is silent: not a day without use. It teaches nothing, however many
 *     notes stand in it, for to take silence for thrift would promise water that is not there. The
 *     exception: an unlogged amount over the silence of at least a quarter of what was to be
 *     expected shows that people were there, and then the silence counts as days without a logged
 *     draw. With less missing they were away, and over more than USE_IDLE_DAYS of silence those
 *     days are no time in which anything could go unlogged either. A sounding tells as much of
 *     silences that draws had ended before it: with less missing over them they were absences, and
 *     teach leaving and coming back.
 *   - A day with a witness and no draw is a day of zero logged use. But before the first draw, and
 *     after USE_IDLE_DAYS such days in a row with nothing found missing, it teaches nothing. Who
 *     has stopped logging draws has not stopped drinking.
 *   - A day (or a span between soundings) of less than a fifth of what a day at home uses, drawn or
 *     proved by a sounding, is one away. It teaches no rate, but the chances of leaving and of
 *     coming back (UseRate); the stream that more is used by tells. After four weeks in a row of
 *     drawing so little it is a habit, and teaches.
 *   - Water drawn on a day with nobody aboard was drawn by somebody: such a day counts as one
 *     person.
 *
 * All times are int64 milliseconds since the Unix epoch, UTC; zones are minutes east of UTC;
 * volumes int64 millilitres. No function can fail, none reads a clock; out-of-range arguments are
 * clamped (persons to 0..USE_CREW_MAX, a time before the last one to the last one).
 *
 * Bytes: no pointers, no padding; use_init sets every byte; equal histories give equal bytes. The
 * arithmetic is IEEE double with + - * / and sqrt only, so that it is the same on every machine
 * built without contraction (-ffp-contract=off).
 */
#ifndef ULLAGE_MODEL_USE_H
#define ULLAGE_MODEL_USE_H

#include "model/pace.h"

#include <stdbool.h>
#include <stdint.h>

#define USE_CREW_MAX 1000
#define USE_IDLE_DAYS 7 /* a longer run of days without a draw is no thrift; see above */
#define USE_CREW_CHANGES 8

/* The prior: common practice, no source: 100 L lasts two careful people 10 to 15 days, so 3.3 to 5
 * L per person-day. It weighs as much as so many days, and is forgotten like days. Its band is skew
 * (PACE_CREW_SPREAD), so its mean lies above its median. */
#define USE_PRIOR_ML 4300.0
#define USE_PRIOR_DAYS 2.0

/* Coming and going: what was seen, discounted; the priors come on top (use.c). */
typedef struct {
    UseMean leave; /* leavings / days at home */
    UseMean back;  /* comings home / sum of 1 / (1 + r) over the days away, the r-th in a row */
    int64_t away;  /* days away in a row up to the last one taught; 0: at home */
} UseStay;

/* What of the use goes unlogged, by the spans between soundings: who forgets a share forgets more
 * where more is drawn. mL per person-day; the error is that of the share known before a span, mL^2
 * a day. */
typedef struct {
    UseMean missing, drawn, error;
    UseMean spans; /* those that had an error, a day */
} UseForgotten;

typedef struct {
    int64_t at, persons;
} UseCrewChange;

/* Flat: 8-byte members only. Read it through the functions below and outlook/forecast.h. */
typedef struct {
    UsePace logged, unlogged;
    UseForgotten forgotten;
    UseStay stay;
    UseMean heads;  /* with how many aboard the rate was learnt */
    UseMean follow; /* sums of change of heads times change of use per head, and of the first
                       squared: both relative */
    UseCrewChange crew[USE_CREW_CHANGES]; /* newest at (crews - 1) % USE_CREW_CHANGES */
    int64_t crews;
    int64_t last_at;    /* the last entry; INT64_MIN: none yet */
    int64_t day;        /* the civil day that is open (if last_at is set) */
    int64_t day_ml;     /* drawn on it so far */
    int64_t day_aboard; /* waking ms with somebody aboard, so far */
    int64_t day_person; /* waking person-ms, so far */
    int64_t witness;    /* what is known of the day that is open; 0: nothing yet (use.c) */
    int64_t idle;       /* closed days in a row without a draw, nor anything found missing */
    int64_t known_to;   /* end of the time covered by unlogged spans; INT64_MIN: none yet */
    int64_t gap_day;    /* the civil day of that end */
    int64_t gap_from, gap_ml, gap_aboard, gap_person; /* the unlogged span that is still open */
    int64_t gap_drawn;                                /* logged draws in it */
    int64_t drawn;                                    /* logged draws since known_to */
    int64_t changed;                                  /* the crew, on the day that is open */
    int64_t leaks;   /* losses in a row that ordinary use does not explain */
    uint64_t silent; /* bit i: nobody knows of the day i + 1 days before `day` */
} Use;
_Static_assert(sizeof(UseCrewChange) == 16, "8-byte members only");
_Static_assert(sizeof(Use) == 2 * sizeof(UsePace) + 8 * sizeof(UseMean) +
                                  USE_CREW_CHANGES * sizeof(UseCrewChange) + 20 * sizeof(int64_t),
               "no padding in Use");

/* A new log: nothing known, no crew set, the prior rate. */
void use_init(Use *use);

/* The crew from `at` on. */
void use_crew(Use *use, int64_t at, int32_t zone, int32_t persons);

/* A logged draw of `ml` (negative counts as 0). */
void use_draw(Use *use, int64_t at, int32_t zone, int64_t ml);

/* What nobody logged, over `from`..`to` (`to` is the time of the entry that found it): positive was
 * used, 0 says that the sounding agreed (that is information too), negative is a gain and takes
 * back from what was booked before. Call it for water that a draw would have come from (the line's
 * lead, a vessel that is drawn by its own label), never for a vessel that merely held its level
 * downstream or stands sealed: "nothing missing" there says nothing about use. Several vessels
 * sounded one after the other may be given each with its own `from`: the amounts add up, the time
 * is counted once. */
void use_unlogged(Use *use, int64_t from, int64_t to, int32_t zone, int64_t ml);

/* The same for a loss that may be a leak: where ordinary use and readings that err by up to `error`
 * explain `ml` mL with a chance under 1 in 200, it returns false and neither loss nor time teaches
 * anything; but the third such loss in a row and those after it teach: what lasts is
 * learnt.
 */
bool use_missing(Use *use, int64_t from, int64_t to, int32_t zone, int64_t ml, int64_t error);

/* Water that nobody logged came in before `to`: what was used up to then is not known, and teaches
 * nothing. */
void use_unknown(Use *use, int64_t to, int32_t zone);

/* What ordinary use makes seem to go unlogged over from..to with odds of 199 in 200, mL, where the
 * readings err by no more than `error` (>= 0) with the same odds. Of what was drawn it is the share
 * that past soundings found besides, with the scatter that they showed (Student's t), their own
 * errors in it; where less than half is logged, so much a day. While soundings have said nothing yet, all use may be
 * unlogged, and use and stick err apart from one another, so that the squares of both add up.
 * Silent days count at the full rate, and no span as less than a day. */
double use_unlogged_most(const Use *use, int64_t from, int64_t to, int32_t zone, int64_t error);

/* A fill, a sounding or a swap: somebody was there and logged. An entry with an unlogged amount
 * calls use_unlogged first. */
void use_witness(Use *use, int64_t at, int32_t zone);

/* Any other entry: time goes on; it is no witness. */
void use_seen(Use *use, int64_t at, int32_t zone);

/* Persons aboard now; -1 if no crew was ever set (then the rates are those of the whole crew). */
int64_t use_persons(const Use *use);

/* Was anybody aboard at any time between? Without any crew set, yes. */
bool use_aboard(const Use *use, int64_t from, int64_t to);

/* Person-days of waking hours over from..to, as far back as the last USE_CREW_CHANGES crew changes
 * tell (the oldest of them counts for the time before it); 0 if to <= from. Without any crew set,
 * one person. */
double use_person_days(const Use *use, int64_t from, int64_t to, int32_t zone);

/* Person-days of the silent days (see above) that lie whole between `from` and `now`, of the last
 * 64 at most: those up to now, and those after which somebody was there again. The day of the
 * return has to be over for that: one draw does not tell that whoever drew it logs again. Settle
 * first. */
typedef struct {
    double open, closed;
} UseSilence;
UseSilence use_silence(const Use *use, int64_t from, int64_t now, int32_t zone);

/* Teaches what is still open, as if something had happened at `now`: the day, if it is over at
 * `now` or more was drawn on it than on a usual one, and the unlogged span. For a reader: copy,
 * settle the copy, read it; the fold never calls it. */
void use_settle(Use *use, int64_t now, int32_t zone);

/* What is known of the whole use at the moment, per person-day in mL. logged + unlogged + prior is
 * the mean rate; the prior's part fades as either stream teaches. `share` is the weight (0..1) the
 * prior still has: 1 in an empty log. `variance` is that of the total about t times the mean rate,
 * both streams and the prior's own uncertainty in it. */
typedef struct {
    double logged, unlogged, prior;
    double share;
    UseVariance variance;
    double leave, back; /* chance of leaving after a day at home; k of k / (1 + r), of coming back
                           after r days away */
    int64_t away;       /* days away up to now; 0: at home */
} UseRate;
UseRate use_rate(const Use *use);
UseRate use_rate_of(const Use *use, double persons); /* for so many aboard: the doubt differs */

#endif
