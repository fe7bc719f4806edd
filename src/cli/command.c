#include "cli/command.h"

/* Words that people try, and the way to what they mean by them. */
static const struct {
    const char *word, *way;
} meant[] = {
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

const Command *command_named(const CommandTable *table, Text name, Command *room, Fault *fault)
{
    Nearest near = {.asked = name};
    for (int i = 0; i < table->count; i++) {
        const Command *command = table->commands[i];
        if (text_is(name, command->name))
            return command;
        if (!command->hidden)
            nearest_offer(&near, command->name);
    }
    const Kind *kind = kind_named(name);
    if (kind != NULL) {
        *room = kind_command(kind);
        return room;
    }
    for (int id = 1; id < KIND_END; id++)
        nearest_offer(&near, kind_of((KindId)id)->name);
    fault_set(fault, FAULT_USAGE, "There is no command %s.", text_quote(name).s);
    for (size_t i = 0; i < sizeof meant / sizeof *meant; i++)
        if (text_is_nocase(name, meant[i].word)) {
            fault_suffix(fault, " %s", meant[i].way);
            return NULL;
        }
    if (near.name != NULL)
        fault_suffix(fault, " Did you mean '%s'?", near.name);
    else
        fault_suffix(fault, " 'ullage --help' lists them.");
    return NULL;
}
