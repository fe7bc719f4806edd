/* stand_in.h - names that a terminal with ASCII alone can't show, kept apart: "A~1", "A~2".
 *
 * A name that has a letter without a stand-in (glyph_ascii), or that would look like another name,
 * is shown by as much of its beginning as can be, and a number of its own. The stand-in takes no
 * more columns than the name.
 */
#ifndef ULLAGE_PAINT_STAND_IN_H
#define ULLAGE_PAINT_STAND_IN_H

#include "model/state.h"

enum { STAND_INS_MAX = VESSEL_SLOTS + LINES_MAX + STAGES_MAX + SOURCES_MAX + STOPS_MAX };
typedef struct {
    int count;
    struct {
        const Label *name; /* borrowed from the state */
        char text[LABEL_SIZE];
    } of[STAND_INS_MAX];
} StandIns;

void stand_ins_make(const State *state, StandIns *out);
/* The longest name that `text` begins with; -1: none. */
int stand_in_at(const StandIns *names, Text text);

#endif
