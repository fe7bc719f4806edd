/* commands.h - the list of the commands. */
#ifndef ULLAGE_CLI_COMMANDS_H
#define ULLAGE_CLI_COMMANDS_H

#include "cli/command.h"

/* The records, in the order of the help, without those of the kinds; *count receives how many. */
const Command *const *commands_all(int *count);

/* The command of that name; that of a kind is made in *room. NULL with FAULT_USAGE: there is none;
 * names the nearest. */
const Command *command_named(Text name, Command *room, Fault *fault);

/* What --help without a command prints, to standard output. */
void help_program(void);

#endif
