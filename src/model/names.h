/* names.h - names as a person types them: several at once, a beginning, a slip of the finger.
 */
#ifndef ULLAGE_MODEL_NAMES_H
#define ULLAGE_MODEL_NAMES_H

#include "model/state.h"

/* Vessels aboard in a row, each once: "A1 A3", "A1, A3", "A1-A4", "a1-4". A name that has a space
 * or a hyphen in it is taken whole where it stands alone or between commas. Returns how many; 0
 * with FAULT_REFUSED: one is not aboard, is named twice, or more than `size` are named. */
int names_list(const State *state, Text text, Label out[], int size, Fault *fault);

/* The only name of its sort that begins with the text, ASCII case ignored; NULL: none or several.
 */
const Label *name_begun(const State *state, Names names, Text text);
/* The name that a new one is probably a slip of: within two letters of it. Short labels (A1, A2)
 * are alike by nature and never meant. NULL: none. */
const Label *name_meant(const State *state, Names names, Text text);

/* Names in a row as they are read: "A1-A4, R1". Appends. */
void names_tell(const Label *names, int count, Str *out);

#endif
