/* cmd_sync.c - machines in step through a folder: once, or until told to end. */
#include "cli/command.h"

#include "base/json_out.h"
#include "base/memory.h"
#include "cli/print.h"
#include "model/field.h"
#include "store/sync.h"

#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum { OPTION_EVERY = OPTION_OWN, OPTION_LEAVE };
enum { EVERY_MAX = 86400 };

typedef struct {
    Session *session;
    Str told; /* sentences, each ended by '\n' */
    Str changes;
    Before before;
    bool began; /* `before` is there */
    SyncCount count;
} Round;

static void round_told(void *context, const char *sentence)
{
    Round *r = context;
    str_addf(&r->told, "%s\n", sentence);
}

static bool round_begins(void *context, Fault *fault)
{
    Round *r = context;
    r->began = changes_before(r->session, &r->before, fault);
    return r->began;
}

static void round_json(const Round *r, const char *folder, Str *out)
{
    json_open(out, NULL, '{');
    json_text(out, "folder", folder);
    json_text(out, "machine", r->count.machine);
    json_whole(out, "read", r->count.read);
    json_whole(out, "added", r->count.added);
    json_whole(out, "written", r->count.sent);
    json_whole(out, "waiting", r->count.waiting);
    json_whole(out, "discrepancies", r->count.differ);
    json_each_line(out, "told", text_slice(r->told.s, r->told.n));
    json_each_line(out, "changes", text_slice(r->changes.s, r->changes.n));
    str_adds(out, "}\n");
}

static void round_text(const Round *r, const char *folder, Str *out)
{
    str_addf(out, "In step with %s as machine %s: %lld entr%s taken in, %lld written.\n", folder,
             r->count.machine, (long long)r->count.added, r->count.added == 1 ? "y" : "ies",
             (long long)r->count.sent);
    print_differ(out, r->count.differ);
    str_adds(out, r->changes.s);
}

static bool round_run(Session *session, const char *folder, Round *r, Fault *fault)
{
    const SyncTell tell = {round_told, round_begins, r};
    r->session = session;
    r->began = false;
    str_clear(&r->told);
    str_clear(&r->changes);
    str_adds(&r->told, "");
    str_adds(&r->changes, "");
    const bool good = log_sync(session->log, folder, session->now, tell, &r->count, fault);
    return (!r->began ||
            changes_after(session, &r->before, good ? r->count.added : 0, &r->changes, fault)) &&
           good;
}

static bool round_print(const Session *session, const Round *r, const char *folder, Fault *fault)
{
    Str out = {0};
    if (session->json)
        round_json(r, folder, &out);
    else
        round_text(r, folder, &out);
    const bool good = print_out(&out, false, fault) && fflush(stdout) == 0;
    str_finish(&out);
    if (!session->json)
        fputs(r->told.s, stderr);
    return good;
}

/* The signals to end come while it waits only: a round is not torn, though it would survive it. */
static void ends_held(sigset_t *ends)
{
    sigemptyset(ends);
    sigaddset(ends, SIGINT);
    sigaddset(ends, SIGTERM);
    sigaddset(ends, SIGHUP);
    sigprocmask(SIG_BLOCK, ends, NULL);
}

/* A folder that is away comes back, and a log that is busy is free again: said once, and on. */
static bool rounds_run(Session *session, const char *folder, long every, Round *r, Fault *fault)
{
    char last[FAULT_TEXT_MAX] = "";
    const struct timespec wait = {.tv_sec = every};
    bool first = true, good = true;
    sigset_t ends;
    ends_held(&ends);
    do {
        Fault why = {0};
        session->now = session_clock();
        if (!round_run(session, folder, r, &why)) {
            if (strcmp(why.text, last) != 0)
                fprintf(stderr, "ullage: %s\n", why.text);
            snprintf(last, sizeof last, "%s", why.text);
        } else {
            const bool news = first || r->count.added + r->count.sent > 0 || r->told.n > 0;
            last[0] = '\0';
            first = false;
            good = !news || round_print(session, r, folder, fault);
        }
    } while (good && sigtimedwait(&ends, NULL, &wait) < 0);
    return good;
}

static bool every_read(const Session *session, long *every, Fault *fault)
{
    const Given *given = arguments_get(&session->arguments, OPTION_EVERY);
    char *end;
    *every = 0;
    if (given == NULL)
        return true;
    *every = strtol(given->value, &end, 10);
    return (end != given->value && *end == '\0' && *every >= 1 && *every <= EVERY_MAX) ||
           fault_set(fault, FAULT_USAGE, "--every %s: give a whole number of seconds, 1 to %d.",
                     text_quote(text_of(given->value)).s, EVERY_MAX);
}

static bool folder_missing(Fault *fault)
{
    return fault_set(fault, FAULT_USAGE, "No folder is set. Name one: ullage sync FOLDER.");
}

/* The folder that is named, else that of the last time. */
static bool folder_find(Session *session, Str *folder, Fault *fault)
{
    Moment heard;
    if (session->arguments.word_count > 0) {
        str_adds(folder, session->arguments.words[0]);
        return true;
    }
    return log_sync_folder(session->log, folder, &heard, fault) &&
           (folder->n > 0 || folder_missing(fault));
}

/* A log is begun only to take in what a folder that is there has. */
static bool sync_open(Session *session, bool again, Fault *fault)
{
    const Arguments *a = &session->arguments;
    const bool there = access(session->path.s, F_OK) == 0;
    if (arguments_get(a, OPTION_LEAVE) != NULL)
        return session_open_begun(session, fault);
    if (!there && a->word_count == 0)
        return folder_missing(fault);
    const bool away = !there && !again && access(a->words[0], F_OK) != 0;
    return session_open(session, away ? LOG_SCRATCH : LOG_WRITE, fault);
}

static bool run_sync(Session *session, Fault *fault)
{
    Str folder = {0};
    Round r = {0};
    long every;
    bool good = every_read(session, &every, fault) && sync_open(session, every > 0, fault);
    if (good && arguments_get(&session->arguments, OPTION_LEAVE) != NULL)
        return log_sync_leave(session->log, fault);
    good = good && folder_find(session, &folder, fault);
    if (good && every > 0)
        good = rounds_run(session, folder.s, every, &r, fault);
    else
        good = good && round_run(session, folder.s, &r, fault) &&
               round_print(session, &r, folder.s, fault);
    str_finish(&folder);
    str_finish(&r.told);
    str_finish(&r.changes);
    return good;
}

static const Option sync_options[] = {
    {"every", 0, TAKES_VALUE, "SECONDS", "again and again, until it is ended (TERM)", OPTION_EVERY},
    {"leave", 0, TAKES_NOTHING, NULL, "take no part any more; the files stay", OPTION_LEAVE},
};

const Command command_sync = {
    .name = "sync",
    .gist = "Keeps several machines in step through a folder that they share",
    .words = "[FOLDER]",
    .more = "Any folder that is shared or carried about will do. Each machine writes one file "
            "there and reads those of the others; order, delay and repetition do not matter. The "
            "log itself must not lie in it. Notes travel in clear. Without a folder, that of the "
            "last time.",
    .options = sync_options,
    .option_count = 2,
    .words_max = 1,
    .run = run_sync};
