/* commands.h - the list of the commands. */
#ifndef ULLAGE_CLI_COMMANDS_H
#define ULLAGE_CLI_COMMANDS_H

#include "cli/command.h"

extern const CommandTable COMMANDS;

#endif
