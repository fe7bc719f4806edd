/* reckoner_private.h - what the topics' files share. Private to them. */
#ifndef ULLAGE_TOPICS_RECKONER_PRIVATE_H
#define ULLAGE_TOPICS_RECKONER_PRIVATE_H

#include "reckon/disinfection.h"
#include "topics/reckoner.h"

#include <math.h>

extern const Topic topic_chlorine, topic_boil, topic_filter, topic_shock, topic_uv, topic_heat,
    topic_mix, topic_freeze, topic_air, topic_charge, topic_flow, topic_clog, topic_mass,
    topic_need, topic_meter, topic_residual, topic_blend, topic_membrane, topic_purge, topic_power;

#define RECKON_FIELDS(array) (array), (int)(sizeof(array) / sizeof((array)[0]))

/* Takes over source, limits and caution of a result (each once), and its refusal, if it is the
 * first. Returns whether the result may be used. */
bool take(Reckoning *out, const Basis *basis);
/* The same without the refusal: for a figure that may be missing. */
void take_notes(Reckoning *out, const Basis *basis);
void add_source(Reckoning *out, const char *source);
void add_limit(Reckoning *out, const char *limit);
void add_caution(Reckoning *out, const char *caution);

/* A line; what is not finite, or past RECKON_LINES_MAX, is left out. The line returned is never
 * NULL. */
ReckonLine *line_number(Reckoning *out, ReckonMark mark, const char *label, Quantity quantity,
                        const char *unit, double value);
/* Of a line with a number: it reaches up to here. */
ReckonLine *line_to(ReckonLine *line, double high);
void line_words(Reckoning *out, ReckonMark mark, const char *label, const char *format, ...)
    __attribute__((format(printf, 4, 5)));
void line_note(ReckonLine *line, const char *format, ...) __attribute__((format(printf, 2, 3)));
#define FIELD(index) (1u << (index))
/* The mark of a judgement: MARK_FINE for `good`, else `bad`; but MARK_PLAIN for what is good only
 * by values of the fields `decides` that nobody gave, which are then named under the result. */
ReckonMark judged(Reckoning *out, unsigned decides, bool good, ReckonMark bad);
/* The value of a field, NAN where it is not known. */
double value_known(const Reckoning *out, int field);
/* A value with its unit, for the words of a line; `up` for a dose or a wait. `buf` of
 * QUANTITY_TEXT bytes; returns it. */
const char *told(const Reckoning *out, Quantity quantity, double value, char *buf);
const char *told_up(const Reckoning *out, Quantity quantity, double value, char *buf);
/* A share in whole per cent, rounded up; 0 at the least. */
double percent_up(double share);
/* A list, each of its own line. */
void line_list(Reckoning *out, ReckonMark mark, const char *label, const char *const *list,
               size_t count);

/* 40 psi, the pressure of a town main: what is taken where nothing else is known. */
#define PRESSURE_USUAL_KPA (40.0 * UNITS_PA_PER_PSI / 1000.0)

/* Never a usual value: what nobody gave is not compared. */
#define RATED_FIELD                                                                                \
    {                                                                                              \
        .option = "rated", .param = "rated_kpa", .quantity = QUANTITY_PRESSURE,                    \
        .help = "the LOWEST rating of all that is under the pressure", .usual = NAN                \
    }
/* Holds the pressure against the rating: refuses what is above it, and says what was not compared.
 * `param`: of the pressure, for the refusal. */
bool rating_holds(Reckoning *out, const char *param, double kpa, int rated);

/* Refuses a turbidity that can't be; NAN, left out, is none. */
bool turbidity_within(Reckoning *out, double ntu);
/* What the treatment does not do. */
void leaves(Reckoning *out, TreatmentMethod method);

/* A choice's index from its value, 0 where that is none of `count`. */
int choice_of(double value, int count);

/* Proposals. `why`: see ReckonInput. */
void propose_value(ReckonInput *input, double value, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
const Vessel *site_vessel(const ReckonSite *site); /* NULL: none */
const Line *site_line(const ReckonSite *site);
/* The first stage of the line (any line where there is none) that has one of the types; NULL: none.
 */
const Stage *site_stage(const ReckonSite *site, StageType from, StageType to);
/* The volume in a vessel in L, "A1 holds it"; nothing where it is empty. */
void propose_contents(ReckonInput *input, const ReckonSite *site);
/* The line's working pressure, never above the lowest known rating of the vessels on it. kPa. */
void propose_pressure(ReckonInput *input, const ReckonSite *site);
/* The lowest known rating of the vessel or the line. It counts as known only where that of every
 * vessel is. kPa. */
void propose_rating(ReckonInput *input, const ReckonSite *site);
/* The labels of the vessels without a known rating, between commas. Appends. */
void site_unrated_tell(const ReckonSite *site, Str *out);

#endif
