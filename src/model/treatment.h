/* treatment.h - is a treatment, as it was logged, enough?
 *
 * A `treat` raises questionable water to potable. Where its values meet a published criterion the
 * water is potable as measured; where they fall short, or are missing, it takes the owner's word
 * (field `asserted`), and the water is marked with that (MARK_ASSERTED). Less evidence never earns
 * more: a value that the criterion needs and that was left out counts as one that falls short. The
 * same rule gives the grade of what comes in by import or merge, where nothing is refused.
 *
 * - chlorine: residual, minutes and pH: at least 0.5 mg/L after 30 minutes at a pH below 8 (WHO).
 *   Or, with the temperature, contact for 3-log Giardia and 4-log viruses (reckon/disinfection.h),
 *   which alone deals with Giardia. A residual above 5 mg/L is more than may be drunk (WHO
 *   guideline value), turbidity of 5 NTU and more is too cloudy.
 * - boil: minutes of rolling boil, 1 below 1,000 m where the altitude is given, else 3; a
 *   temperature that is given must be that of boiling there, 2 degrees less at most.
 * - uv: the validated dose, at least 40 mJ/cm2 (NSF/ANSI 55 class A); turbidity below 1 NTU,
 *   measured; a lamp aboard that has a stated life and is in it.
 * - filter: a cartridge never makes water safe by itself.
 */
#ifndef ULLAGE_MODEL_TREATMENT_H
#define ULLAGE_MODEL_TREATMENT_H

#include "model/event.h"
#include "model/state.h"

typedef struct {
    bool measured; /* the logged values meet a criterion */
    bool giardia;  /* one that gives 3-log Giardia: raw water is raw no longer */
} Treatment;

/* `state` is the state just before the entry, a KIND_TREAT. */
Treatment treatment_judge(const State *state, const Event *e);
/* Always false: FAULT_REFUSED with what is missing or falls short, by whom, and which values would
 * do. For an entry that is not measured. */
bool treatment_refuse(const State *state, const Event *e, Fault *fault);

/* What was measured while treating is a test of the water; a residual from before it tells nothing
 * any more. */
void treatment_tested(Vessel *vessel, const Event *e);

/* The rule for chlorine with all four values (mg/L, minutes, C, pH); NAN: not measured. */
Treatment treatment_chlorine(double residual, double minutes, double temperature, double ph,
                             double ntu);

#endif
