/* cmd_help.c - the help of the program, or of one command. */
#include "cli/command.h"

#include "cli/help.h"
#include "cli/kind_words.h"
#include "cli/print.h"

static void tell_commands(const CommandTable *table, Str *out)
{
    str_adds(out, "\nWhat is so:\n");
    for (int i = 0; i < table->count; i++) {
        const Command *command = table->commands[i];
        Str left = {0};
        if (command->hidden)
            continue;
        str_addf(&left, "  %s", command->name);
        help_entry(out, left.s, command->gist);
        str_finish(&left);
    }
}

static void tell_kinds(Str *out)
{
    str_adds(out, "\nWhat happened (one entry each):\n");
    for (int id = 1; id < KIND_END; id++) {
        const Kind *kind = kind_of((KindId)id);
        Str left = {0};
        str_addf(&left, "  %s", kind->name);
        kind_usage(kind, &left);
        help_entry(out, left.s, kind->gist);
        str_finish(&left);
    }
}

void help_program(const CommandTable *table)
{
    Str out = {0};
    str_adds(&out, "Usage: ullage [OPTION...]\n"
                   "       ullage COMMAND [WORD...] [OPTION...]\n");
    print_wrapped(&out, "",
                  text_of("How much water is left aboard, which vessel is safe to drink from, what "
                          "is due: from a log that is only ever added to."),
                  HELP_WIDTH);
    tell_commands(table, &out);
    tell_kinds(&out);
    int own = 0;
    const Option *alone = options_alone(&own);
    help_options(&out, alone, own, true);
    help_paragraph(
        &out, "Amounts: a number with l, ml, gal, impgal, qt, kg, lb or %. Times: RFC 3339, "
              "\"2026-11-24 18:30\", 18:30, \"yesterday 18:30\", -2h, -3d; local time where no "
              "offset is given.\n"
              "\n"
              "Exit status: 0 done; 1 refused, nothing written; 2 wrong usage; 3 the log can't be "
              "opened, is damaged or newer, or the disk is full; 4 'due --check' with something "
              "due.\n"
              "\n"
              "A class or a verdict is a record of what was logged, not a laboratory test. Local "
              "rules and licensed advice come first.");
    help_print(&out);
}

static bool run_help(Session *session, Fault *fault)
{
    if (session->arguments.word_count == 0) {
        help_program(session->commands);
        return true;
    }
    Command room;
    const Command *command =
        command_named(session->commands, text_of(session->arguments.words[0]), &room, fault);
    if (command == NULL)
        return false;
    help_command(command, session);
    return true;
}

const Command command_help = {.name = "help",
                              .gist = "Help for the program or one of its commands",
                              .words = "[COMMAND]",
                              .words_max = 1,
                              .run = run_help};
