/* propose.h - what a form proposes before anything is typed, and which names complete a text. */
#ifndef ULLAGE_TUI_PROPOSE_H
#define ULLAGE_TUI_PROPOSE_H

#include "model/kinds.h"
#include "outlook/board.h"

/* Writes the proposal for a field of a kind into `out`, "" where there is none.
 * - fill: as vessel the emptiest coupled one that is not full, else one of the reserve, of the
 *   store, for washing (least share of its capacity); as litres `full`; as source the one used last
 * - draw: as line the only one, else the one drawn from most
 * - sound: the lead of the first line, `spent`; else the vessel that was sounded longest ago
 * - swap: the stage that is due most
 * - others: the only vessel, line or stage where there is just one */
void propose(const Kind *kind, int field, const Board *board, const State *state, char *out,
             size_t size);

/* What a test of the vessel that `e` treats found, for the field that asks it: the residual of the
 * last hour, the rest of the last day, of the water that it holds. Leaves `out` where there is
 * none.
 */
void propose_tested(const Event *e, int field, const State *state, char *out, size_t size);

/* The order in which a form shows the fields: those that are asked at every entry first. Writes
 * field indexes; returns how many. */
int propose_order(const Kind *kind, int out[], int size);

/* Names of that sort which begin with the text (ASCII case ignored), in natural order, then those
 * that contain it. Returns how many were written. An empty text gives all. */
int propose_names(Names names, const State *state, Text text, Label out[], int size);

#endif
