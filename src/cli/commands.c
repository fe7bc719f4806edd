#include "cli/commands.h"

static const Command *const all_commands[] = {
    &command_status, &command_log,    &command_due,     &command_outlook,  &command_season,
    &command_import, &command_export, &command_merge,   &command_sync,     &command_feed,
    &command_verify, &command_backup, &command_restore, &command_salvage,  &command_reckon,
    &command_demo,   &command_units,  &command_help,    &command_complete,
};

const CommandTable COMMANDS = {all_commands, sizeof all_commands / sizeof all_commands[0]};
