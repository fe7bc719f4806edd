/* cmd_port.c - entries in and out: import, export, merge. */
#include "cli/command.h"

#include "base/json_out.h"
#include "base/memory.h"
#include "cli/print.h"
#include "store/port.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

enum { OPTION_FORMAT = OPTION_OWN };

static bool format_read(const Session *session, PortFormat *format, Fault *fault)
{
    static const char *const names[] = {"auto", "json", "csv"};
    const Given *given = arguments_get(&session->arguments, OPTION_FORMAT);
    *format = arguments_get(&session->arguments, OPTION_CSV) != NULL ? PORT_CSV : PORT_AUTO;
    if (given == NULL)
        return true;
    for (int i = 0; i < 3; i++)
        if (text_is_nocase(text_of(given->value), names[i])) {
            *format = (PortFormat)i;
            return true;
        }
    return fault_set(fault, FAULT_USAGE, "--format %s: give auto, json or csv.",
                     text_quote(text_of(given->value)).s);
}

/* ---- import ---- */

/* Progress on a terminal, after the first second, four times a second. */
typedef struct {
    struct timespec begun, shown;
    bool wanted, any;
} Progress;

static double seconds_between(const struct timespec *a, const struct timespec *b)
{
    return (double)(b->tv_sec - a->tv_sec) + (double)(b->tv_nsec - a->tv_nsec) / 1e9;
}

static void progress_show(void *context, int64_t bytes, int64_t lines)
{
    Progress *p = context;
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    if (!p->wanted || seconds_between(&p->begun, &now) < 1 ||
        (p->any && seconds_between(&p->shown, &now) < 0.25))
        return;
    p->shown = now;
    p->any = true;
    fprintf(stderr, "\r%lld lines, %.1f MB read", (long long)lines, (double)bytes / 1e6);
    fflush(stderr);
}

static void inputs_close(PortInput *inputs, int count)
{
    for (int i = 0; i < count; i++)
        if (inputs[i].file != NULL && inputs[i].file != stdin)
            fclose(inputs[i].file);
    free(inputs);
}

static bool cmd_port_input_open(PortInput *input, const char *name, Fault *fault)
{
    if (strcmp(name, "-") == 0) {
        *input = (PortInput){"standard input", stdin};
        return true;
    }
    struct stat about;
    input->name = name;
    input->file = fopen(name, "rb");
    if (input->file == NULL)
        return fault_set(fault, FAULT_REFUSED, "%s can't be read: %s.", name, strerror(errno));
    if (fstat(fileno(input->file), &about) == 0 && S_ISDIR(about.st_mode))
        return fault_set(fault, FAULT_REFUSED, "%s is a folder, not a file of entries.", name);
    return true;
}

static bool intake_print(const Session *session, const LogIntake *intake, bool dry, Fault *fault)
{
    Str out = {0};
    if (session->json) {
        json_open(&out, NULL, '{');
        json_flag(&out, "written", !dry);
        json_whole(&out, "read", intake->read);
        json_whole(&out, "added", intake->added);
        json_whole(&out, "same", intake->same);
        json_whole(&out, "discrepancies", intake->differ);
        str_adds(&out, "}\n");
    } else {
        str_addf(&out, "%lld entr%s read: %lld %s, %lld already there.%s\n",
                 (long long)intake->read, intake->read == 1 ? "y" : "ies", (long long)intake->added,
                 dry ? "would be added" : "added", (long long)intake->same,
                 dry ? " Nothing was written." : "");
        print_differ(&out, intake->differ);
    }
    const bool good = print_out(&out, false, fault);
    str_finish(&out);
    return good;
}

static bool run_import(Session *session, Fault *fault)
{
    const Arguments *a = &session->arguments;
    const bool dry = arguments_get(a, OPTION_DRY_RUN) != NULL;
    PortFormat format;
    if (!format_read(session, &format, fault))
        return false;
    PortInput *inputs = memory_get((size_t)a->word_count * sizeof *inputs);
    bool good = true;
    for (int i = 0; i < a->word_count && good; i++)
        good = cmd_port_input_open(&inputs[i], a->words[i], fault);
    const bool begins = access(session->path.s, F_OK) != 0;
    good = good && session_open(session, dry && begins ? LOG_SCRATCH : LOG_WRITE, fault);
    Progress progress = {.wanted = isatty(STDERR_FILENO) != 0};
    LogIntake intake = {0};
    clock_gettime(CLOCK_MONOTONIC, &progress.begun);
    good = good && port_import(session->log,
                               &(PortImport){.inputs = inputs,
                                             .count = a->word_count,
                                             .now = session->now,
                                             .format = format,
                                             .dry = dry,
                                             .progress = progress_show,
                                             .context = &progress},
                               &intake, fault);
    if (progress.any)
        fputs("\r\033[K", stderr);
    inputs_close(inputs, a->word_count);
    if (!good && begins && session->log != NULL)
        log_unbegin(session->log);
    return good && intake_print(session, &intake, dry, fault);
}

static const Option import_options[] = {
    {"csv", 0, TAKES_NOTHING, NULL, "the files are CSV (else the first line tells)", OPTION_CSV},
    {"format", 0, TAKES_VALUE, "auto|json|csv", "left out: auto, by what the file holds",
     OPTION_FORMAT},
    {"dry-run", 'n', TAKES_NOTHING, NULL, "read and check everything, write nothing",
     OPTION_DRY_RUN},
};

const Command command_import = {
    .name = "import",
    .gist = "Takes in entries from files of JSON Lines or CSV, all or nothing",
    .words = "FILE...",
    .more = "'-' is standard input. A bad line is named by file, line and field, and nothing is "
            "written then. Importing the same entries twice changes nothing. The formats are in "
            "ullage(5).",
    .options = import_options,
    .option_count = 3,
    .words_min = 1,
    .words_max = -1,
    .run = run_import};

/* ---- export ---- */

static bool run_export(Session *session, Fault *fault)
{
    PortFormat format;
    if (!format_read(session, &format, fault) || !session_open(session, LOG_READ, fault))
        return false;
    /* Everything, the voided ones and the voids too: taken in again it gives the same state. */
    const LogQuery query = {.since = MOMENT_NONE, .until = MOMENT_NONE, .voided = true};
    return port_export(session->log, &query, format == PORT_CSV ? PORT_CSV : PORT_JSON, stdout,
                       fault);
}

static const Option export_options[] = {
    {"csv", 0, TAKES_NOTHING, NULL, "as CSV; left out: JSON Lines", OPTION_CSV},
    {"format", 0, TAKES_VALUE, "json|csv", "left out: json", OPTION_FORMAT},
};

const Command command_export = {
    .name = "export",
    .gist = "Writes every entry to standard output, as JSON Lines or CSV",
    .words = "",
    .more = "What was taken back is in it too, so that an import of it gives the same state.",
    .options = export_options,
    .option_count = 2,
    .run = run_export};

/* ---- merge ---- */

bool changes_before(Session *session, Before *before, Fault *fault)
{
    *before = (Before){.state = memory_get(sizeof(State))};
    if (log_state(session->log, before->state, &before->entries, fault))
        return true;
    free(before->state);
    return false;
}

bool changes_after(Session *session, Before *before, int64_t added, Str *out, Fault *fault)
{
    State *now = memory_get(sizeof *now);
    Board *boards = memory_get(2 * sizeof *boards);
    int64_t entries;
    bool good = true;
    if (added > 0 && before->entries > 0) {
        good = log_state(session->log, now, &entries, fault);
        board_make(&boards[0], before->state, before->entries, session->now, session->units);
        board_make(&boards[1], now, entries, session->now, session->units);
        board_changes(NULL, (Standing){&boards[0], before->state}, (Standing){&boards[1], now},
                      session->units, out);
    }
    free(boards);
    free(now);
    free(before->state);
    return good;
}

/* Where there is no log yet, a file that can't be merged begins none. */
static bool merge_tried(Session *session, Fault *fault)
{
    LogIntake intake = {0};
    if (access(session->path.s, F_OK) == 0)
        return true;
    if (!session_open(session, LOG_SCRATCH, fault) ||
        !log_merge(session->log, session->arguments.words[0], session->now, &intake, fault))
        return false;
    log_close(session->log);
    session->log = NULL;
    return true;
}

static bool run_merge(Session *session, Fault *fault)
{
    LogIntake intake = {0};
    Before before;
    Str changes = {0};
    if (!merge_tried(session, fault) || !session_open(session, LOG_WRITE, fault) ||
        !changes_before(session, &before, fault))
        return false;
    bool good = log_merge(session->log, session->arguments.words[0], session->now, &intake, fault);
    good = changes_after(session, &before, good ? intake.added : 0, &changes, fault) && good;
    good = good && intake_print(session, &intake, false, fault) &&
           (session->json || changes.n == 0 || print_out(&changes, false, fault));
    str_finish(&changes);
    return good;
}

const Command command_merge = {
    .name = "merge",
    .gist = "Takes in what another log has and this one has not",
    .words = "OTHER.db",
    .more = "In either direction, any number of times, the state comes out the same.",
    .words_min = 1,
    .words_max = 1,
    .run = run_merge};
