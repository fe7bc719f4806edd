/* command.h - the commands: one record each.
 *
 * The command list, every --help and the dispatch come from the same records. The commands for the
 * kinds of entries have no record of their own: they are made from the kind's field table.
 */
#ifndef ULLAGE_CLI_COMMAND_H
#define ULLAGE_CLI_COMMAND_H

#include "cli/option.h"
#include "cli/session.h"
#include "model/kinds.h"

/* Options made from a table of fields. */
typedef struct {
    Option *options;
    int count;
} KindOptions;

struct Command {
    const char *name;
    const char *gist;      /* one line, in the list of commands */
    const char *words;     /* what stands behind the name in the usage line: "FILE..." */
    const char *more;      /* paragraphs for its help; NULL = none */
    const Option *options; /* its own */
    int option_count;
    bool looks;               /* takes the options of options_looks, too */
    int words_min, words_max; /* -1: any number */
    bool (*run)(Session *session, Fault *fault);
    /* For a command whose options depend on its words; instead of `options`. The caller frees them
     * with kind_options_finish. NULL: none such. */
    KindOptions (*made)(int argc, char **argv);
    bool (*help)(Session *session); /* NULL or false: help_command */
};

/* The records, in the order of the help; *count receives how many. */
const Command *const *commands_all(int *count);
const Command *command_named(Text name);

/* The options that every command takes: log, units, json, help. */
const Option *options_common(int *count);

/* Those that say how a screen or a chart is drawn. */
const Option *options_looks(int *count);

/* Runs the program: argv as main gets it. Returns the exit status. */
int cli_run(int argc, char **argv, Dashboard dashboard);

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
extern const Command command_reckon;

/* The commands of the kinds (cmd_kind.c): made from a field table. */
/* Their help says the units in which a bare number is read. The caller frees options with
 * kind_options_finish. */
KindOptions kind_options(const Kind *kind, Units units);
void kind_options_finish(KindOptions *options);
/* False for the options that say the same as a positional word: they are taken, but not listed. */
bool kind_option_told(const Kind *kind, int id);
bool kind_run(Session *session, Fault *fault);
/* A small ASCII letter as a capital: what stands for a value in the help. */
char letter_upper(char c);
/* "rated working pressure (psi)": the words of a choice and the unit behind the help. Appends. */
void kind_field_help(const Field *field, Units units, Str *out);
/* "VESSEL AMOUNT" as in the usage line. */
void kind_usage(const Kind *kind, Str *out);

/* Help (help.c), to standard output. */
void help_program(void);
void help_command(const Command *command);
void help_kind(const Kind *kind, Units units);
/* The units of a help text: those of --units, else of the log where there is one that can be read,
 * else metric. */
Units help_units(Session *session);
/* "Options:" and the common ones behind the own. Appends. */
void help_options(Str *out, const Option *own, int own_count, bool with_looks);
/* Wrapped to the width of the help, after an empty line. Appends. */
void help_paragraph(Str *out, const char *text);

#endif
