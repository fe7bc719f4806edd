#include "cli/commands.h"

#include "cli/help.h"
#include "cli/kind_words.h"
#include "cli/print.h"

static const Command *const commands[] = {
    &command_status, &command_log,    &command_due,     &command_outlook,  &command_season,
    &command_import, &command_export, &command_merge,   &command_sync,     &command_feed,
    &command_verify, &command_backup, &command_restore, &command_salvage,  &command_reckon,
    &command_demo,   &command_units,  &command_help,    &command_complete,
};

/* Words that people try, and the way to what they mean by them. */
static const struct {
    const char *word, *way;
} MEANT[] = {
    {"undo", "'ullage void last' takes the latest entry back."},
    {"redo",
     "'ullage void ID' of the void brings the entry back; 'ullage log --voided' shows ids."},
    {"delete", "'ullage void ID' takes an entry back; 'ullage log' shows ids."},
    {"remove", "'ullage void ID' takes an entry back; 'ullage retire NAME' a vessel."},
    {"list",
     "'ullage log' lists the entries, 'ullage status' what there is, 'ullage due' what is due."},
    {"show", "'ullage status' shows what there is, 'ullage log' the entries."},
    {"add", "'ullage fill VESSEL LITRES' logs water, 'ullage vessel NAME' names a vessel."},
    {"new", "'ullage vessel NAME' names a vessel; 'ullage' alone begins with the set-up."},
    {"board", "'ullage' alone opens the board."},
    {"tui", "'ullage' alone opens the board."},
    {"dashboard", "'ullage' alone opens the board."},
    {"drink", "'ullage draw LINE LITRES --for drink' logs it."},
    {"refill", "'ullage fill VESSEL LITRES' logs water into a vessel."},
    {"measure", "'ullage sound VESSEL LEVEL' logs a measured level."},
    {"version", "'ullage --version' prints it."},
};

const Command *const *commands_all(int *count)
{
    *count = (int)(sizeof commands / sizeof commands[0]);
    return commands;
}

const Command *command_named(Text name, Command *room, Fault *fault)
{
    Nearest near = {.asked = name};
    for (size_t i = 0; i < sizeof commands / sizeof commands[0]; i++) {
        if (text_is(name, commands[i]->name))
            return commands[i];
        if (!commands[i]->hidden)
            nearest_offer(&near, commands[i]->name);
    }
    const Kind *kind = kind_named(name);
    if (kind != NULL) {
        *room = kind_command(kind);
        return room;
    }
    for (int id = 1; id < KIND_END; id++)
        nearest_offer(&near, kind_of((KindId)id)->name);
    fault_set(fault, FAULT_USAGE, "There is no command %s.", text_quote(name).s);
    for (size_t i = 0; i < sizeof MEANT / sizeof *MEANT; i++)
        if (text_is_nocase(name, MEANT[i].word)) {
            fault_suffix(fault, " %s", MEANT[i].way);
            return NULL;
        }
    if (near.name != NULL)
        fault_suffix(fault, " Did you mean '%s'?", near.name);
    else
        fault_suffix(fault, " 'ullage --help' lists them.");
    return NULL;
}

/* ---- help ---- */

void help_program(void)
{
    Str out = {0};
    str_adds(&out, "Usage: ullage [OPTION...]\n"
                   "       ullage COMMAND [WORD...] [OPTION...]\n");
    print_wrapped(&out, "",
                  text_of("How much water is left aboard, which vessel is safe to drink from, what "
                          "is due: from a log that is only ever added to."),
                  HELP_WIDTH);
    str_adds(&out, "\nWhat is so:\n");
    for (size_t i = 0; i < sizeof commands / sizeof commands[0]; i++) {
        Str left = {0};
        if (commands[i]->hidden)
            continue;
        str_addf(&left, "  %s", commands[i]->name);
        help_entry(&out, left.s, commands[i]->gist);
        str_finish(&left);
    }
    str_adds(&out, "\nWhat happened (one entry each):\n");
    for (int id = 1; id < KIND_END; id++) {
        const Kind *kind = kind_of((KindId)id);
        Str left = {0};
        str_addf(&left, "  %s", kind->name);
        kind_usage(kind, &left);
        help_entry(&out, left.s, kind->gist);
        str_finish(&left);
    }
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
        help_program();
        return true;
    }
    Command room;
    const Command *command = command_named(text_of(session->arguments.words[0]), &room, fault);
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
