/* cmd_keep.c - looking after the log: verify, backup, its units. */
#include "cli/command.h"

#include "base/json_out.h"
#include "cli/print.h"

#include <stdio.h>

/* ---- verify ---- */

enum { OPTION_SEAL = OPTION_OWN };

/* After the proof, so that only what is legal is sealed. */
static bool seal_rest(Log *log, Report *report, Fault *fault)
{
    int64_t sealed;
    char line[80];
    if (!log_seal(log, &sealed, fault))
        return false;
    snprintf(line, sizeof line, "%lld entries sealed", (long long)sealed);
    report_line(report, true, line);
    return true;
}

static bool run_verify(Session *session, Fault *fault)
{
    const bool seal = arguments_get(&session->arguments, OPTION_SEAL) != NULL;
    if (!session_open(session, seal ? LOG_WRITE : LOG_READ, fault))
        return false;
    Report report = {.json = session->json};
    report_begin(&report);
    bool sound = log_verify(session->log, (LogReport){report_line, &report}, fault);
    if (sound && seal)
        sound = seal_rest(session->log, &report, fault);
    if (session->json) {
        str_addc(&report.out, ']');
        json_flag(&report.out, "sound", sound);
        str_adds(&report.out, "}\n");
    }
    Fault unwritten = {0};
    const bool written = print_out(&report.out, false, &unwritten);
    str_finish(&report.out);
    if (sound && !written)
        *fault = unwritten;
    return sound && written;
}

static const Option verify_options[] = {
    {"seal", 0, TAKES_NOTHING, NULL, "then seal the entries that have no seal yet", OPTION_SEAL},
};

const Command command_verify = {
    .name = "verify",
    .gist = "Proves the file sound and every stored state equal to a fresh reckoning",
    .words = "",
    .options = verify_options,
    .option_count = 1,
    .run = run_verify};

/* ---- backup ---- */

static bool run_backup(Session *session, Fault *fault)
{
    const char *target = session->arguments.words[0];
    const bool replace = arguments_get(&session->arguments, OPTION_REPLACE) != NULL;
    if (!session_open(session, LOG_READ, fault) ||
        !log_backup(session->log, target, replace, fault))
        return false;
    Str out = {0};
    if (session->json) {
        json_open(&out, NULL, '{');
        json_text(&out, "backup", target);
        str_adds(&out, "}\n");
    } else {
        str_addf(&out, "Copied to %s.\n", target);
    }
    const bool good = print_out(&out, false, fault);
    str_finish(&out);
    return good;
}

static const Option backup_options[] = {
    {"replace", 0, TAKES_NOTHING, NULL, "write over FILE where it is there", OPTION_REPLACE},
};

const Command command_backup = {.name = "backup",
                                .gist = "Copies the log to another file while it is in use",
                                .words = "FILE",
                                .options = backup_options,
                                .option_count = 1,
                                .words_min = 1,
                                .words_max = 1,
                                .run = run_backup};

/* ---- restore ---- */

static bool run_restore(Session *session, Fault *fault)
{
    const char *backup = session->arguments.words[0];
    Str kept = {0}, out = {0};
    if (!log_restore(session->path.s, backup, session->now, &kept, fault)) {
        str_finish(&kept);
        return false;
    }
    if (session->json) {
        json_open(&out, NULL, '{');
        json_text(&out, "restored", backup);
        json_text(&out, "kept", kept.s != NULL ? kept.s : "");
        str_adds(&out, "}\n");
    } else {
        str_addf(&out, "%s is the log now.\n", backup);
        if (kept.n > 0)
            str_addf(&out, "What was there is kept as %s.\n", kept.s);
    }
    const bool good = print_out(&out, false, fault);
    str_finish(&kept);
    str_finish(&out);
    return good;
}

const Command command_restore = {
    .name = "restore",
    .gist = "Puts a backup in the place of the log, which is kept",
    .words = "BACKUP",
    .more = "The backup is proved first. Boards that are open see the change at once. Never copy a "
            "file over a log by hand: what its -wal file holds would come back.",
    .words_min = 1,
    .words_max = 1,
    .run = run_restore};

/* ---- units ---- */

static bool run_units(Session *session, Fault *fault)
{
    const bool set = session->arguments.word_count > 0;
    Units units = UNITS_METRIC;
    if (set && !units_parse(text_of(session->arguments.words[0]), &units, fault))
        return false;
    session->units_asked = session->units_asked || set; /* one that can't be read is mended here */
    if (!session_open(session, set ? LOG_WRITE : LOG_READ, fault))
        return false;
    if (set && !log_set_units(session->log, units, fault))
        return false;
    if (!set && !log_units(session->log, &units, fault))
        return false;
    Str out = {0};
    str_addf(&out, session->json ? "{\"units\":\"%s\"}\n" : "%s\n", units_name(units));
    const bool good = print_out(&out, false, fault);
    str_finish(&out);
    return good;
}

const Command command_units = {
    .name = "units",
    .gist = "Shows or sets the log's own units: metric, us, imperial",
    .words = "[SYSTEM]",
    .more =
        "Amounts in the log are exact millilitres whatever the setting; it decides how they are "
        "shown, and what a number without a unit means.",
    .words_max = 1,
    .run = run_units};
