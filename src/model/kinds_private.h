/* kinds_private.h - what the kinds' blocks share. Private to model/kinds*.c. */
#ifndef ULLAGE_MODEL_KINDS_PRIVATE_H
#define ULLAGE_MODEL_KINDS_PRIVATE_H

#include "model/kind.h"

/* The field table of a kind's record. */
#define FIELDS(array) .fields = (array), .field_count = (int)(sizeof(array) / sizeof((array)[0]))
/* The first field of a kind that is about one vessel; `member` of Event.u. */
#define VESSEL_FIELD(member)                                                                       \
    {                                                                                              \
        .name = "vessel", .option = "vessel", .help = "which vessel", .type = FIELD_LABEL,         \
        .names = NAMES_VESSEL, .required = true, .position = 1, .column = COLUMN_NAME,             \
        .offset = offsetof(Event, u.member)                                                        \
    }
/* The same for one that is about a line. */
#define LINE_FIELD(member, new_)                                                                   \
    {                                                                                              \
        .name = "line", .option = "line", .help = "which line", .type = FIELD_LABEL,               \
        .names = NAMES_LINE, .may_be_new = (new_), .required = true, .position = 1,                \
        .column = COLUMN_OTHER, .offset = offsetof(Event, u.member)                                \
    }
#define LITRES_MAX INT64_C(1000000000)      /* 1,000,000 L in mL */
#define CAPACITY_MAX INT64_C(1000000)       /* 1,000 L in mL */
#define PRESSURE_MAX INT64_C(10000000)      /* 10,000 kPa in Pa */
#define STANDARD_AMBIENT_PA INT64_C(101325) /* US Standard Atmosphere 1976, sea level */

extern const Kind kind_fill, kind_draw, kind_sound, kind_decant, kind_dump, kind_sanitise,
    kind_treat, kind_couple, kind_pressurise, kind_swap, kind_spares, kind_flowtest, kind_vessel,
    kind_retire, kind_stage, kind_unstage, kind_source, kind_crew, kind_stop, kind_unstop,
    kind_note, kind_void, kind_settle, kind_putoff, kind_test, kind_meter, kind_leadtime;

extern const char *const class_words[];

/* "11.5 L", exact; out of at least 40 bytes. */
char *litres(int64_t ml, char *out);

/* Refuses a name that is not there, with the nearest that is. Returns false. */
bool refuse_unknown(const State *state, Names names, const Label *label, Fault *fault);
/* True where the name is there; otherwise refuses. */
bool must_exist(const State *state, Names names, const Label *label, Fault *fault);

/* For apply: the vessel aboard, or NULL with a discrepancy. */
Vessel *vessel_or_discrepancy(State *state, const Event *e, const Label *label);
int stage_or_discrepancy(State *state, const Event *e, const Label *label);
int line_or_discrepancy(State *state, const Event *e, const Label *label);

/* The source's slot, used at `at`; a new one takes the place of the one used longest ago when all
 * are taken, and of a non-potable one last. That is safe: water from a source that is not known is
 * questionable. */
Source *source_ensure(State *state, const Label *label, int64_t at);

/* What water is, apart from how much and how old. */
typedef struct {
    Quality quality;
    uint8_t marks;
} Water;
/* Water of which nobody knows where it comes from. */
#define WATER_UNKNOWN ((Water){CLASS_QUESTIONABLE, MARK_RAW})

/* Water into one vessel; its age and class follow. Out of it: vessel_lower (state.h). */
void water_in(Vessel *vessel, int64_t ml, double mean, int64_t oldest, Water water);
/* The vessel's level is about to be known for certain, by a fill to a level or by being emptied. */
void level_known(State *state, const Event *e, Vessel *vessel);
/* The vessel turns out to hold `level`: books the difference as use that nobody logged, which left
 * by the tap of its line (line_leave), or as a gain (listed as a discrepancy; a large one is
 * questionable), and teaches the use rate. */
void level_found(State *state, const Event *e, Vessel *vessel, int64_t level);
/* Water of which nobody knows anything has met its walls: how much of it is there is not known. */
void unknown_met(Vessel *vessel);
/* ml (>= 0) more went out of it than it can have held: so much had come in, and nobody logged what.
 * Within a stick's error its level was reckoned too low; beyond that it is questionable and raw, as
 * after a gain. Nothing moves. */
void vessel_lacked(Vessel *vessel, int64_t ml);
/* The same of a line: put in at place k or behind it, so that all from there on may have met it;
 * its stages counted it. */
void line_lacked(State *state, int line, int k, int64_t ml);
/* Fewer than was logged by so much is no news: ISO 4064-1:2014, a meter of class 2 may err by 5 %
 * at low flow. */
#define METER_ERROR_PER_CENT 5
/* A reading and a sounding within an hour belong together (common practice, no source). */
#define METER_TOGETHER_MS MS_PER_HOUR
/* What a stick can err by, mL. */
int64_t stick_error(const Vessel *vessel);
/* The level of the line's lead is known at `at`. */
void line_known(Line *line, int64_t at);
/* It never held more than `level` (its capacity was amended): nothing passed, nothing is taught. */
void level_corrected(State *state, Vessel *vessel, int64_t level);
/* Something was put into it: with all of its line at the brim, all of the line is known. */
void line_filled(State *state, const Event *e, const Vessel *vessel);

/* May its owner vouch for what it holds? Not where a test found coliforms in it, until that ends.
 */
bool vouched_for(const Vessel *vessel, const char *what, Fault *fault);

#endif
