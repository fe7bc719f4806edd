/* command.h - a command is one record.
 *
 * The command list, every --help and the dispatch come from the same records. The commands of the
 * kinds of entries have no record of their own: it is made from the kind's field table.
 */
#ifndef ULLAGE_CLI_COMMAND_H
#define ULLAGE_CLI_COMMAND_H

#include "cli/option.h"
#include "cli/session.h"
#include "model/kinds.h"

struct Command {
    const char *name;
    const char *gist;      /* one line, in the list of commands */
    const char *words;     /* what stands behind the name in the usage line: "FILE..." */
    const char *more;      /* paragraphs for its help; NULL = none */
    const Option *options; /* its own */
    int option_count;
    bool hidden;              /* for programs: not listed, and silent where it fails */
    bool looks;               /* takes the options of options_looks, too */
    int words_min, words_max; /* -1: any number */
    bool (*run)(Session *session, Fault *fault);
    /* For a command whose options depend on its words, or come from a field table; instead of
     * `options`. The caller frees them. NULL: none such. */
    OptionList (*made)(const Command *command, int argc, char **argv);
    /* Prints its own help; NULL or false: the one that help_command makes of the record. */
    bool (*help)(const Command *command, Session *session);
    const Kind *kind; /* whose entries it logs; NULL for all others */
};

/* The records, in the order of the help, without those of the kinds. */
struct CommandTable {
    const Command *const *commands;
    int count;
};

/* The command of that name; that of a kind is made in *room. NULL with FAULT_USAGE: there is none;
 * names the nearest. */
const Command *command_named(const CommandTable *table, Text name, Command *room, Fault *fault);

/* The command of a kind (cmd_kind.c). */
Command kind_command(const Kind *kind);

/* What --help without a command prints: the commands of the table, the kinds, the options; to
 * standard output (cmd_help.c). */
void help_program(const CommandTable *table);

extern const Command command_status;
extern const Command command_log;
extern const Command command_due;
extern const Command command_outlook;
extern const Command command_season;
extern const Command command_import;
extern const Command command_export;
extern const Command command_feed;
extern const Command command_merge;
extern const Command command_sync;
extern const Command command_verify;
extern const Command command_backup;
extern const Command command_restore;
extern const Command command_salvage;
extern const Command command_demo;
extern const Command command_units;
extern const Command command_help;
extern const Command command_complete;
extern const Command command_reckon;

#endif
