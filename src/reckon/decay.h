/* decay.h - how free chlorine fades in stored water.
 *
 * First order: C(t) = C0 exp(-k t). Water decays faster at first and faster when it gets warmer, so
 * two readings tell of about as long again, not of weeks (Hua et al., Water Research 33, 1999). All
 * concentrations mg/L as Cl2, times in hours. */
#ifndef ULLAGE_RECKON_DECAY_H
#define ULLAGE_RECKON_DECAY_H

/* WHO, Guidelines for drinking-water quality: at least so much at the point of delivery, lest
 * stored water be contaminated again. */
#define DECAY_LEAST_MG_L 0.2

/* k per hour of two readings so many hours apart; NAN unless the second is the lower one and later.
 */
double decay_rate(double first, double second, double hours);

/* Nobody says how fine the kit reads. The coarsest of the steps that kits have (1, 0.5, 0.25, 0.2
 * and 0.1 mg/L: common practice, no source) that both readings are whole multiples of; 0.1 where
 * none is, for no kit of the field is to be trusted beyond that. */
double decay_step(double first, double second);

/* Hours after the second reading until the residual may be under DECAY_LEAST_MG_L at the EARLIEST:
 * each reading at the edge of the kit's step, the first higher, the second lower. 0: it may be so
 * already. NAN: the drop is within the step, so that the kit can't tell whether it fell at all. */
double decay_earliest_hours(double first, double second, double hours);

#endif
