/* sum.h - a reckoner as a form: the topic's fields, the text typed, the result beside it.
 *
 * Each key reads every field anew with the reckon_read of the command line and reckons again, so
 * that the figures are always those of what stands in the fields. A field left empty takes its
 * proposal.
 */
#ifndef ULLAGE_SCREENS_SUM_H
#define ULLAGE_SCREENS_SUM_H

#include "topics/reckoner.h"
#include "tui/app.h"
#include "tui/fields.h"

/* Rows that are no field of the topic: what the proposals are made from. */
enum { SUM_VESSEL = -1, SUM_LINE = -2 };

typedef struct {
    const Topic *topic;
    Fields rows; /* FormField.field: of the topic, or SUM_VESSEL, SUM_LINE; with what is wrong in a
                    row its proposal is reckoned with */
    int scroll;  /* first line of the result that is shown */
    ReckonSite site;
    ReckonInput inputs[RECKON_FIELDS_MAX];
    Reckoning result;
} Sum;

void sum_begin(Sum *sum, const Topic *topic, const App *app);
/* Reads every row against the state and reckons; keeps the scroll within the result. */
void sum_read(Sum *sum, const App *app);
/* Typing, moving, choosing, scrolling. False: not its key. The caller calls sum_read after. */
bool sum_key(Sum *sum, Press press, const App *app);
/* Draws the result, then cautions, limits and sources (`short_form`: the result only), from line
 * `from` on, with arrows at the right edge where there is more. Returns how many lines it has in
 * all; `sheet` NULL: only counts. */
int sum_draw_result(const Sum *sum, const App *app, bool short_form, Area area, int from);
void sum_draw(const Sum *sum, const App *app, Area area);

#endif
