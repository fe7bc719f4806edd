#include "cli/command.h"

#include "base/memory.h"
#include "cli/print.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#ifndef ULLAGE_VERSION
#define ULLAGE_VERSION "0.1.0"
#endif

static const Command *const commands[] = {
    &command_status, &command_log,    &command_due,     &command_outlook, &command_season,
    &command_import, &command_export, &command_merge,   &command_sync,    &command_feed,
    &command_verify, &command_backup, &command_restore, &command_salvage, &command_reckon,
    &command_demo,   &command_units,  &command_help,
};

const Command *const *commands_all(int *count)
{
    *count = (int)(sizeof commands / sizeof commands[0]);
    return commands;
}

const Command *command_named(Text name)
{
    for (size_t i = 0; i < sizeof commands / sizeof commands[0]; i++)
        if (text_is(name, commands[i]->name))
            return commands[i];
    return NULL;
}

static const Option common[] = {
    {"log", 0, TAKES_VALUE, "FILE", "the log; else $ULLAGE_LOG, else your own data folder",
     OPTION_LOG},
    {"units", 0, TAKES_VALUE, "SYSTEM",
     "metric, us or imperial: display, and amounts without a unit", OPTION_UNITS},
    {"json", 0, TAKES_NOTHING, NULL, "print the result as JSON", OPTION_JSON},
    {"asserted", 0, TAKES_NOTHING, NULL, "parts of another program in the log are meant",
     OPTION_ASSERTED},
    {"help", 'h', TAKES_NOTHING, NULL, "print this help", OPTION_HELP},
};

const Option *options_common(int *count)
{
    *count = (int)(sizeof common / sizeof common[0]);
    return common;
}

static const Option looks[] = {
    {"theme", 0, TAKES_VALUE, "NAME", "default, light, monochrome or night; else $ULLAGE_THEME",
     OPTION_THEME},
    {"ascii", 0, TAKES_NOTHING, NULL, "draw with plain characters; else $ULLAGE_ALPHABET",
     OPTION_ASCII},
    {"utf8", 0, TAKES_NOTHING, NULL, "draw with the characters of Unicode", OPTION_UTF8},
    {"mouse", 0, TAKES_NOTHING, NULL, "the board takes the mouse, too; else $ULLAGE_MOUSE",
     OPTION_MOUSE},
};

const Option *options_looks(int *count)
{
    *count = (int)(sizeof looks / sizeof looks[0]);
    return looks;
}

/* ---- running ---- */

static bool words_right(const Session *session, Fault *fault)
{
    const Command *c = session->command;
    const int n = session->arguments.word_count;
    if (n < c->words_min)
        return fault_set(fault, FAULT_USAGE, "Usage: ullage %s %s.", c->name, c->words);
    if (c->words_max >= 0 && n > c->words_max)
        return fault_set(fault, FAULT_USAGE, "%s is one word too many for %s.",
                         text_quote(text_of(session->arguments.words[c->words_max])).s, c->name);
    return true;
}

static Option *options_join(const Option *own, int own_count, bool with_looks, int *count)
{
    int n = 0, drawn = 0;
    const Option *more = options_common(&n), *how = options_looks(&drawn);
    if (!with_looks)
        drawn = 0;
    *count = own_count + n + drawn;
    Option *all = memory_get((size_t)*count * sizeof *all);
    if (own != NULL)
        memcpy(all, own, (size_t)own_count * sizeof *all);
    memcpy(all + own_count, how, (size_t)drawn * sizeof *all);
    memcpy(all + own_count + drawn, more, (size_t)n * sizeof *all);
    return all;
}

/* Reads what stands behind the command's name and runs it. */
static bool command_run(Session *session, const Arguments *before, int argc, char **argv,
                        Fault *fault)
{
    KindOptions of_kind = {0};
    if (session->kind != NULL)
        of_kind = kind_options(session->kind, UNITS_METRIC);
    else if (session->command->made != NULL)
        of_kind = session->command->made(argc, argv);
    int count = 0;
    Option *options = of_kind.options != NULL || session->command == NULL
                          ? options_join(of_kind.options, of_kind.count, false, &count)
                          : options_join(session->command->options, session->command->option_count,
                                         session->command->looks, &count);
    bool good = arguments_read(&session->arguments, options, count, argc, argv, false, fault);
    free(options);
    kind_options_finish(&of_kind);
    if (!good)
        return false;
    const bool help = arguments_get(&session->arguments, OPTION_HELP) != NULL;
    const Given *path = arguments_get(&session->arguments, OPTION_LOG);
    if (path == NULL)
        path = arguments_get(before, OPTION_LOG);
    session->log_asked = path != NULL;
    if (!session_settle(session, before, fault) ||
        !session_settle(session, &session->arguments, fault) ||
        (session->kind == NULL && !help && !words_right(session, fault)) ||
        (session->command != NULL && session->command->looks && !help &&
         !session_looks(session, before, &session->arguments, fault)) ||
        (!session_path(session, path != NULL ? path->value : NULL, help ? NULL : fault) && !help))
        return false;
    if (!help)
        return session->kind != NULL ? kind_run(session, fault)
                                     : session->command->run(session, fault);
    if (session->kind != NULL)
        help_kind(session->kind, help_units(session));
    else if (session->command->help == NULL || !session->command->help(session))
        help_command(session->command);
    return true;
}

static bool refuse_command(const char *name, Fault *fault)
{
    const Text text = text_of(name);
    Nearest near = {.asked = text};
    for (size_t i = 0; i < sizeof commands / sizeof commands[0]; i++)
        nearest_offer(&near, commands[i]->name);
    for (int id = 1; id < KIND_END; id++)
        nearest_offer(&near, kind_of((KindId)id)->name);
    fault_set(fault, FAULT_USAGE, "There is no command %s.", text_quote(text).s);
    if (near.name != NULL)
        return fault_suffix(fault, " Did you mean '%s'?", near.name);
    return fault_suffix(fault, " 'ullage --help' lists them.");
}

/* The program without a command: the board where there is a terminal, else the status. */
static bool alone_run(Session *session, const Arguments *before, Fault *fault)
{
    const Given *path = arguments_get(before, OPTION_LOG);
    session->log_asked = path != NULL;
    if (!session_settle(session, before, fault) ||
        !session_path(session, path != NULL ? path->value : NULL, fault))
        return false;
    if (!session_looks(session, before, NULL, fault))
        return false;
    if (session->dashboard != NULL && !session->json && isatty(STDIN_FILENO) &&
        isatty(STDOUT_FILENO))
        return session->dashboard(session, fault);
    session->command = &command_status;
    return command_status.run(session, fault);
}

static bool program_run(Session *session, Arguments *before, int argc, char **argv, Fault *fault)
{
    static const Option version[] = {
        {"version", 'V', TAKES_NOTHING, NULL, "print the version of the program", OPTION_VERSION}};
    int count = 0;
    Option *options = options_join(version, 1, true, &count);
    const bool good = arguments_read(before, options, count, argc, argv, true, fault);
    free(options);
    if (!good)
        return false;
    if (arguments_get(before, OPTION_HELP) != NULL) {
        help_program();
        return true;
    }
    if (arguments_get(before, OPTION_VERSION) != NULL) {
        puts("ullage " ULLAGE_VERSION);
        return true;
    }
    if (before->taken >= argc)
        return alone_run(session, before, fault);
    const char *name = argv[before->taken];
    session->command = command_named(text_of(name));
    session->kind = session->command == NULL ? kind_named(text_of(name)) : NULL;
    if (session->command == NULL && session->kind == NULL)
        return refuse_command(name, fault);
    return command_run(session, before, argc - before->taken - 1, argv + before->taken + 1, fault);
}

int cli_run(int argc, char **argv, Dashboard dashboard)
{
    Session session = session_begin(dashboard);
    Arguments before = {0};
    Fault fault = {0};
    tzset();
    bool good = program_run(&session, &before, argc - 1, argv + 1, &fault);
    const bool hung_up = session.status > 128; /* the terminal may be gone, and that was said */
    if (good && !hung_up && (fflush(stdout) != 0 || ferror(stdout)))
        good =
            fault_set(&fault, FAULT_LOG, "Standard output can't be written: %s.", strerror(errno));
    if (!good) {
        fflush(stdout);
        fprintf(stderr, "ullage: %s\n", fault.text);
        if (fault.kind == FAULT_USAGE && !session.board) {
            const char *name = session.command != NULL ? session.command->name
                               : session.kind != NULL  ? session.kind->name
                                                       : NULL;
            fprintf(stderr, "Try 'ullage%s%s --help'.\n", name != NULL ? " " : "",
                    name != NULL ? name : "");
        }
    }
    const int status = good ? session.status : (int)fault.kind;
    session_finish(&session);
    arguments_finish(&before);
    return status;
}
