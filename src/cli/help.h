/* help.h - how a help text is laid out; what it says is in the records and the field tables. */
#ifndef ULLAGE_CLI_HELP_H
#define ULLAGE_CLI_HELP_H

#include "cli/command.h"

enum { HELP_WIDTH = 79 };

/* "      --from NAME           where the water comes from": wrapped under the help's column.
 * Appends. */
void help_entry(Str *out, const char *left, const char *help);
/* "Options:" and the common ones behind the own. Appends. */
void help_options(Str *out, const Option *own, int own_count, bool with_looks);
/* Wrapped to the width of the help, after an empty line; a line that begins with a space is an
 * example and stands as it is. Appends. */
void help_paragraph(Str *out, const char *text);
/* To standard output; frees the text. */
void help_print(Str *out);

/* The help of a command, its own or the one that its record makes; to standard output. */
void help_command(const Command *command, Session *session);

/* The units of a help text: those of --units, else of the log where there is one that can be read,
 * else metric. */
Units help_units(Session *session);

#endif
