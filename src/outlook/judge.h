/* judge.h - is a treatment, as it was measured, enough to raise the class?
 *
 * A `treat` entry raises questionable water to potable, so measured values that fall short are
 * refused before it is written. The owner may assert it all the same (field `asserted`): then it is
 * written, and the vessel shows it. Only new entries are judged: what is in a log, or comes in by
 * import or merge, has happened.
 */
#ifndef ULLAGE_OUTLOOK_JUDGE_H
#define ULLAGE_OUTLOOK_JUDGE_H

#include "model/event.h"
#include "model/state.h"

/* True for every entry that is no `treat`, for an asserted one, and for one whose values suffice.
 * Otherwise FAULT_REFUSED: what falls short, what is asked for and by whom, what to do.
 *
 *  chlorine  with residual, minutes, temperature and pH: the criterion of the WHO (at least 0.5
 * mg/L after 30 minutes at a pH below 8) or contact for 3-log Giardia and 4-log viruses
 *            (reckon/disinfection.h). With some of them: each that is given must meet the WHO's
 *            criterion by itself. With none: the owner's word. Turbidity below 5 NTU where given.
 *  boil      at least 1 minute where given (the sheets ask for 3 from 1,524 m on: not known here).
 *  uv        turbidity below 5 NTU where given; not every lamp aboard past its hours.
 *  filter    a cartridge never makes water safe by itself: asserted only.
 *
 * `state` is the state just before the entry. */
bool judge_entry(const State *state, const Event *e, Fault *fault);

/* The rule for chlorine with all four values (mg/L, minutes, C, pH); `ntu` NAN: not measured. */
bool judge_chlorine_suffices(double residual, double minutes, double temperature, double ph,
                             double ntu);

#endif
