#include "cli/cli.h"

#include "base/memory.h"
#include "cli/commands.h"
#include "cli/help.h"
#include "cli/print.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#ifndef ULLAGE_VERSION
#define ULLAGE_VERSION "0.2.0"
#endif
#ifndef ULLAGE_CURSES
#define ULLAGE_CURSES "of this machine"
#endif

static void version_print(void)
{
    Str text = {0};
    str_addf(&text,
             "ullage %s\nWith SQLite %s and ncurses %s.\n"
             "Copyright (c) 2026 The ullage authors. MIT licence: use it as you like, without "
             "any warranty.\nWhat goes wrong, and what is missing: see the address in the package "
             "that it came in.\n",
             ULLAGE_VERSION, log_engine_version(), ULLAGE_CURSES);
    (void)print_more(&text, false);
    str_finish(&text);
}

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

/* Reads what stands behind the command's name and runs it. */
static bool command_run(Session *session, const Arguments *before, int argc, char **argv,
                        Fault *fault)
{
    const Command *c = session->command;
    OptionList made = {0};
    if (c->made != NULL)
        made = c->made(c, argc, argv);
    OptionList options = made.options != NULL ? options_join(made.options, made.count, c->looks)
                                              : options_join(c->options, c->option_count, c->looks);
    bool good = arguments_read(&session->arguments, options, argc, argv, false, fault);
    option_list_finish(&options);
    option_list_finish(&made);
    if (!good)
        return false;
    const bool help = arguments_get(&session->arguments, OPTION_HELP) != NULL;
    const Given *path = arguments_get(&session->arguments, OPTION_LOG);
    if (path == NULL)
        path = arguments_get(before, OPTION_LOG);
    session->log_asked = path != NULL;
    if (!session_settle(session, before, fault) ||
        !session_settle(session, &session->arguments, fault) ||
        (!help && !words_right(session, fault)) ||
        (c->looks && !help && !session_looks(session, before, &session->arguments, fault)) ||
        (!session_path(session, path != NULL ? path->value : NULL, help ? NULL : fault) && !help))
        return false;
    if (session->json && !help)
        print_as_is();
    if (!help)
        return c->run(session, fault);
    help_command(c, session);
    return true;
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
    session->looks.far = arguments_get(before, OPTION_FAR) != NULL;
    const Given *night = arguments_get(before, OPTION_NIGHT);
    if (night != NULL && !night_parse(night->value, &session->looks, fault))
        return false;
    if (session->dashboard != NULL && !session->json && isatty(STDIN_FILENO) &&
        isatty(STDOUT_FILENO))
        return session->dashboard(session, fault);
    session->command = &command_status;
    if (session->json)
        print_as_is();
    return command_status.run(session, fault);
}

static bool program_run(Session *session, Command *room, Arguments *before, int argc, char **argv,
                        Fault *fault)
{
    int own = 0;
    const Option *alone = options_alone(&own);
    OptionList options = options_join(alone, own, true);
    const bool good = arguments_read(before, options, argc, argv, true, fault);
    option_list_finish(&options);
    if (!good)
        return false;
    if (arguments_get(before, OPTION_HELP) != NULL) {
        help_program(session->commands);
        return true;
    }
    if (arguments_get(before, OPTION_VERSION) != NULL) {
        version_print();
        return true;
    }
    if (before->taken >= argc)
        return alone_run(session, before, fault);
    session->command = command_named(session->commands, text_of(argv[before->taken]), room, fault);
    if (session->command == NULL)
        return false;
    return command_run(session, before, argc - before->taken - 1, argv + before->taken + 1, fault);
}

/* An export in steps of a page is a tenth slower. */
static void out_widen(void)
{
    static char room[1 << 16];
    if (isatty(STDOUT_FILENO) == 0)
        setvbuf(stdout, room, _IOFBF, sizeof room);
}

int cli_run(int argc, char **argv, Dashboard dashboard)
{
    Session session = session_begin(&COMMANDS, dashboard);
    Command room; /* of a kind */
    Arguments before = {0};
    Fault fault = {0};
    tzset();
    out_widen();
    bool good = program_run(&session, &room, &before, argc - 1, argv + 1, &fault);
    const bool hung_up = session.status > 128; /* the terminal may be gone, and that was said */
    if (good && !hung_up && (fflush(stdout) != 0 || ferror(stdout)))
        good =
            fault_set(&fault, FAULT_LOG, "Standard output can't be written: %s.", strerror(errno));
    if (!good && session.command != NULL && session.command->hidden)
        good = true;
    if (!good) {
        fflush(stdout);
        fprintf(stderr, "ullage: %s\n", fault.text);
        if (fault.kind == FAULT_USAGE && !session.board) {
            const char *name = session.command != NULL ? session.command->name : NULL;
            fprintf(stderr, "Try 'ullage%s%s --help'.\n", name != NULL ? " " : "",
                    name != NULL ? name : "");
        }
    }
    const int status = good ? session.status : (int)fault.kind;
    session_finish(&session);
    arguments_finish(&before);
    return status;
}
