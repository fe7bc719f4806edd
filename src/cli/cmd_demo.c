/* cmd_demo.c - an invented trip to look at. */
#include "cli/command.h"

#include "base/memory.h"
#include "cli/print.h"
#include "store/port.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#ifndef DATADIR
#define DATADIR "/usr/local/share/ullage"
#endif

enum { OPTION_WRITE = OPTION_OWN };

static bool try_place(Str *path, const char *folder, const char *name)
{
    str_clear(path);
    str_addf(path, "%s/%s", folder, name);
    return access(path->s, R_OK) == 0;
}

/* The folder of the running program; false where the system does not tell. */
static bool own_folder(char *out, size_t size)
{
    const ssize_t n = readlink("/proc/self/exe", out, size - 1);
    if (n <= 0)
        return false;
    out[n] = '\0';
    char *slash = strrchr(out, '/');
    if (slash == NULL)
        return false;
    *slash = '\0';
    return true;
}

/* Whole files of the share directory: "demo.jsonl". Looked for in $ULLAGE_SHARE, the directory of
 * the installation, and beside the program. False with FAULT_LOG and the places tried. */
static bool share_find(const char *name, Str *path, Fault *fault)
{
    /* A program moved with its share folder; then one run where it was built. */
    static const char *const beside[] = {"/../share/ullage", "/../share", "/../../share"};
    const char *said = getenv("ULLAGE_SHARE");
    if (said != NULL && *said != '\0')
        return try_place(path, said, name) ||
               fault_set(fault, FAULT_LOG,
                         "%s can't be read: %s. It is looked for in $ULLAGE_SHARE.", path->s,
                         strerror(errno));
    if (try_place(path, DATADIR, name))
        return true;
    char folder[4096];
    for (size_t i = 0; own_folder(folder, sizeof folder) && i < 3; i++) {
        Str place = {0};
        str_addf(&place, "%s%s", folder, beside[i]);
        const bool found = try_place(path, place.s, name);
        str_finish(&place);
        if (found)
            return true;
    }
    return fault_set(fault, FAULT_LOG,
                     "%s is not where the program was installed. Say where it is: "
                     "ULLAGE_SHARE=FOLDER.",
                     name);
}

/* The stories that there are: without a word, and by their words. */
static const struct {
    const char *word, *file;
} stories[] = {{"trip", "demo.jsonl"}, {"meter", "demo-meter.jsonl"}};

static const char *story_file(const Session *session, Fault *fault)
{
    const Arguments *a = &session->arguments;
    if (a->word_count == 0)
        return stories[0].file;
    for (size_t i = 0; i < sizeof stories / sizeof stories[0]; i++)
        if (text_is(text_of(a->words[0]), stories[i].word))
            return stories[i].file;
    fault_set(fault, FAULT_USAGE, "demo %s: there are trip and meter.",
              text_quote(text_of(a->words[0])).s);
    return NULL;
}

/* The demo's dates are its own: they stay what they are whenever it is looked at. */
static bool demo_import(Session *session, LogIntake *intake, Fault *fault)
{
    Str path = {0};
    const char *name = story_file(session, fault);
    bool good = name != NULL && share_find(name, &path, fault);
    FILE *file = good ? fopen(path.s, "rb") : NULL;
    if (good && file == NULL)
        good = fault_set(fault, FAULT_LOG, "%s can't be read: %s.", path.s, strerror(errno));
    if (good) {
        const PortInput input = {path.s, file};
        good = port_import(
            session->log,
            &(PortImport){
                .inputs = &input, .count = 1, .now = (Moment){MOMENT_MAX_MS}, .format = PORT_JSON},
            intake, fault);
    }
    if (file != NULL)
        fclose(file);
    str_finish(&path);
    return good;
}

static bool demo_write(Session *session, const char *target, Fault *fault)
{
    if (*target == '\0' || access(target, F_OK) == 0)
        return fault_set(fault, FAULT_REFUSED, "%s is there already. Name a new file for the demo.",
                         text_quote(text_of(target)).s);
    str_clear(&session->path);
    str_adds(&session->path, target);
    LogIntake intake = {0};
    if (!session_open(session, LOG_WRITE, fault))
        return false;
    if (!demo_import(session, &intake, fault)) {
        log_close(session->log);
        session->log = NULL;
        unlink(target); /* half a demo is none */
        return false;
    }
    Str out = {0};
    if (session->json)
        str_addf(&out, "{\"written\":true,\"added\":%lld}\n", (long long)intake.added);
    else
        str_addf(&out, "The demo's %lld entries are in %s: ullage status --log %s\n",
                 (long long)intake.added, target, target);
    const bool good = print_out(&out, false, fault);
    str_finish(&out);
    return good;
}

static bool demo_status(Session *session, Fault *fault)
{
    LogIntake intake = {0};
    int64_t entries = 0;
    Board *board = memory_resize(NULL, sizeof *board);
    Str out = {0};
    bool good = session_open(session, LOG_SCRATCH, fault) && demo_import(session, &intake, fault);
    const State *state = good ? log_state_lent(session->log, NULL, &entries, fault) : NULL;
    if (state != NULL) {
        board_make(board, state, entries, (Moment){state->last_at}, session->units);
        if (session->json) {
            json_status(&out, board, session->units);
            str_addc(&out, '\n');
        } else {
            text_status(&out, board, session->units, session->colour);
        }
        good = print_out(&out, false, fault);
    }
    str_finish(&out);
    free(board);
    return good && state != NULL;
}

static bool run_demo(Session *session, Fault *fault)
{
    const Given *target = arguments_get(&session->arguments, OPTION_WRITE);
    if (target != NULL)
        return demo_write(session, target->value, fault);
    if (session->dashboard != NULL && !session->json && isatty(STDIN_FILENO) &&
        isatty(STDOUT_FILENO)) {
        LogIntake intake = {0};
        return session_open(session, LOG_SCRATCH, fault) && demo_import(session, &intake, fault) &&
               session->dashboard(session, fault);
    }
    return demo_status(session, fault);
}

static const Option demo_options[] = {
    {"write", 0, TAKES_VALUE, "FILE", "write the demo's log to a new file", OPTION_WRITE},
};

const Command command_demo = {
    .name = "demo",
    .gist = "An invented trip to look at, on a throw-away log",
    .words = "[trip | meter]",
    .words_max = 1,
    .more =
        "trip, and without a word: ten weeks in a camper. meter: a fortnight in which nobody logs "
        "a draw, with the readings of a water meter and what strips found. The places are "
        "invented. The status is that of the demo's last entry; with a log "
        "written by --write, give the time:\n"
        "  ullage status --log FILE --at TIME",
    .options = demo_options,
    .option_count = 1,
    .looks = true,
    .run = run_demo};
