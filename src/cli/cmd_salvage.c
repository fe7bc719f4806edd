/* cmd_salvage.c - what can still be read of a damaged log, into a new one. */
#include "base/json_out.h"
#include "store/salvage.h"

#include "cli/command.h"
#include "cli/print.h"

/* A number, or null where it can't be told. */
static void number_add(Str *out, const char *key, int64_t value)
{
    if (value < 0)
        json_null(out, key);
    else
        json_whole(out, key, value);
}

static void found_end(Report *found, const LogSalvage *count, const char *target)
{
    if (!found->json) {
        str_addf(&found->out, "Written to %s: %lld entr%s.\n", target, (long long)count->read,
                 count->read == 1 ? "y" : "ies");
        return;
    }
    str_addc(&found->out, ']');
    json_text(&found->out, "salvaged", target);
    number_add(&found->out, "entries", count->read);
    number_add(&found->out, "unsealed", count->unsealed);
    number_add(&found->out, "missing_least", count->least);
    number_add(&found->out, "missing_most", count->most);
    json_flag(&found->out, "torn", count->torn);
    str_adds(&found->out, "}\n");
}

/* Where not all is there, the new log is written all the same, and the status says that the old one
 * is damaged. */
static bool run_salvage(Session *session, Fault *fault)
{
    const char **words = session->arguments.words;
    const bool replace = arguments_get(&session->arguments, OPTION_REPLACE) != NULL;
    Report found = {.json = session->json};
    LogSalvage count;
    report_begin(&found);
    bool good =
        log_salvage(words[0], words[1], replace, (LogReport){report_line, &found}, &count, fault);
    if (good) {
        found_end(&found, &count, words[1]);
        good = print_out(&found.out, false, fault);
    }
    str_finish(&found.out);
    session->status = good && (count.most != 0 || count.torn) ? FAULT_LOG : STATUS_DONE;
    return good;
}

static const Option salvage_options[] = {
    {"replace", 0, TAKES_NOTHING, NULL, "write over NEW where it is there", OPTION_REPLACE},
};

const Command command_salvage = {
    .name = "salvage",
    .gist = "Writes what can still be read of a damaged log to a new one",
    .words = "DAMAGED NEW",
    .more =
        "DAMAGED is only read, never changed. An entry counts where its seal fits; how many are "
        "missing, and where, is said. The exit status is 3 where not every entry is there, or "
        "the -wal beside it ends within a write. Look at NEW with 'ullage --log NEW status', then "
        "put it in the place of the log with "
        "'ullage restore NEW'.",
    .options = salvage_options,
    .option_count = 1,
    .words_min = 2,
    .words_max = 2,
    .run = run_salvage};
