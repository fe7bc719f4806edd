/* kind_words.h - what the command of a kind takes, and its help: made from the kind's field table.
 */
#ifndef ULLAGE_CLI_KIND_WORDS_H
#define ULLAGE_CLI_KIND_WORDS_H

#include "cli/option.h"
#include "cli/session.h"
#include "model/kinds.h"

/* A pressure has an option for each unit, beside the one without. An option that gives field f in
 * way w has the id OPTION_FIELD + f * WAYS + w. */
enum { WAY_PLAIN, WAY_PSI, WAY_KPA, WAY_BAR, WAYS };
/* What stands behind a number given in that way: "psi"; "" for WAY_PLAIN. */
const char *way_unit(int way);

/* Every option; their help says the units in which a bare number is read. */
OptionList kind_options(const Kind *kind, Units units);
/* False for those that say the same as a positional word: they are taken, but not listed. */
bool kind_option_told(const Kind *kind, int id);

/* "VESSEL AMOUNT" as in the usage line, with a space before. Appends. */
void kind_usage(const Kind *kind, Str *out);

/* The words are numbered from 1. How many, at most? */
int kind_positions(const Kind *kind);
/* Does position p have to be filled? Yes where its field is required, or where several share it. */
bool kind_position_needed(const Kind *kind, int p);
/* "LITRES|LEVEL": the fields at that position. Appends. */
void kind_position_words(const Kind *kind, int p, Str *out);

/* To standard output. */
void kind_help(const Kind *kind, Units units);

#endif
