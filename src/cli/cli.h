/* cli.h - the program run from its command line. */
#ifndef ULLAGE_CLI_CLI_H
#define ULLAGE_CLI_CLI_H

#include "cli/session.h"

/* argv as main gets it. Returns the exit status. */
int cli_run(int argc, char **argv, Dashboard dashboard);

#endif
