/* cmd_kind.c - one command per kind of entry: its words to an entry, the entry to the log. */
#include "cli/kind_entry.h"

#include "base/json_out.h"
#include "base/memory.h"
#include "cli/help.h"
#include "cli/kind_words.h"
#include "cli/print.h"
#include "model/tell.h"
#include "store/port.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* ---- the echo ---- */

static void echo_text(const Entry *entry, bool dry, const Str *changes, Str *out)
{
    const Session *session = entry->session;
    for (int i = entry->amends ? 1 : 0; i < entry->events_count; i++) {
        str_adds(out, dry ? "Would write: " : entry->amends ? "Amended: " : "Written: ");
        print_moment(out, entry->events[i].at, entry->events[i].zone);
        str_adds(out, "  ");
        event_tell(&entry->events[i], session->units, true, out);
        str_addc(out, '\n');
    }
    if (entry->has_target) {
        str_adds(out, entry->amends ? "  in the place of " : "  that entry: ");
        print_moment(out, entry->target.at, entry->target.zone);
        str_adds(out, "  ");
        event_tell(&entry->target, session->units, true, out);
        str_addc(out, '\n');
    }
    for (Text rest = text_slice(changes->s, changes->n); rest.n > 0;) {
        const Text line = text_cut(&rest, '\n');
        str_adds(out, "  ");
        str_add(out, line);
        str_addc(out, '\n');
    }
    char id[40], back[40];
    if (dry)
        str_adds(out, "Nothing was written.\n");
    else if (entry->amends)
        str_addf(
            out,
            "'ullage void %s' takes it back, and 'ullage void %s' brings back what was there.\n",
            uuid_print(&entry->events[1].id, id), uuid_print(&entry->events[0].id, back));
    else if (session->command->kind->id == KIND_VOID)
        str_addf(out, "'ullage void %s' brings it back.\n", uuid_print(&entry->events[0].id, id));
    else if (entry->events_count > 1)
        str_addf(out, "'ullage void last' takes the last of them back; %d times, all.\n",
                 entry->events_count);
    else
        str_adds(out, "'ullage void last' takes it back.\n");
}

static void echo_json(const Entry *entry, bool dry, const Str *changes, Str *out)
{
    const bool one = entry->events_count == 1;
    json_open(out, NULL, '{');
    json_flag(out, "written", !dry);
    if (one)
        port_json(&entry->events[0], "entry", out);
    else
        json_open(out, "entries", '[');
    for (int i = 0; i < entry->events_count && !one; i++)
        port_json(&entry->events[i], NULL, out);
    str_adds(out, one ? "" : "]");
    json_each_line(out, "changes", text_slice(changes->s, changes->n));
    str_adds(out, "}\n");
}

/* The states and boards before and after: too big for a small stack. */
typedef struct {
    State before, after;
    Board was, is;
} Effect;

/* The command that puts right what leant on the class that a source had before. */
static void heal_tell(const Entry *entry, const Effect *effect, Str *out)
{
    const Event *e = &entry->events[0];
    char when[64];
    if (e->kind != KIND_SOURCE)
        return;
    const int was = state_source(&effect->before, &e->u.source.source);
    const Source *is = &effect->after.sources[state_source(&effect->after, &e->u.source.source)];
    if (was >= 0 && effect->before.sources[was].quality != is->quality && is->leant.fills > 0)
        str_addf(out, "to put them right: ullage source \"%s\" --class %s --at %s\n", is->label.s,
                 quality_name((Quality)is->quality),
                 moment_print_zone((Moment){is->leant.since - 1}, e->zone, when));
}

static bool entry_write(Entry *entry, Effect *effect, bool dry, Fault *fault)
{
    Session *session = entry->session;
    if (!log_append_all(session->log, entry->events, entry->events_count, session->now,
                        &(LogTry){.dry = dry, .before = &effect->before, .after = &effect->after},
                        fault))
        return false;
    Str changes = {0}, out = {0};
    str_adds(&changes, "");
    board_make(&effect->was, &effect->before, 0, session->now, session->units);
    board_make(&effect->is, &effect->after, 0, session->now, session->units);
    board_changes(&entry->events[entry->amends ? 1 : 0], (Standing){&effect->was, &effect->before},
                  (Standing){&effect->is, &effect->after}, session->units, &changes);
    heal_tell(entry, effect, &changes);
    for (int i = 0; i < entry->events_count; i++)
        backdated_tell(&entry->events[i], &effect->before, &effect->after, session->now, &changes);
    if (entry->hint.n > 0)
        str_adds(&changes, entry->hint.s);
    if (session->json)
        echo_json(entry, dry, &changes, &out);
    else
        echo_text(entry, dry, &changes, &out);
    const bool good = print_out(&out, false, fault) ||
                      (!dry && fault_suffix(fault, " The entry was written all the same."));
    str_finish(&changes);
    str_finish(&out);
    return good;
}

/* Opens the log. Where there is none yet the entry is tried on a scratch log first: a dry run stays
 * there, and one that is refused (a slip in the name of the log) leaves no new file behind. */
static bool entry_open(Entry *entry, State *state, bool dry, Fault *fault)
{
    Session *session = entry->session;
    if (access(session->path.s, F_OK) == 0)
        return session_open(session, LOG_WRITE, fault);
    if (!session_open(session, LOG_SCRATCH, fault))
        return false;
    if (dry)
        return true;
    if (!kind_entry_read(entry, state, fault) || !kind_entry_check(entry, fault))
        return fault->kind == FAULT_REFUSED &&
               fault_suffix(fault, " There is no log at %s yet.", session->path.s);
    log_close(session->log);
    session->log = NULL;
    return session_open(session, LOG_WRITE, fault);
}

static bool entry_run(Entry *entry, Fault *fault)
{
    const Session *session = entry->session;
    const bool dry = arguments_get(&session->arguments, OPTION_DRY_RUN) != NULL;
    if (!kind_entry_gather(entry, fault))
        return false;
    Effect *effect = memory_get(sizeof *effect);
    const bool good = entry_open(entry, &effect->before, dry, fault) &&
                      kind_entry_read(entry, &effect->before, fault) &&
                      kind_entry_check(entry, fault) && entry_write(entry, effect, dry, fault);
    free(effect);
    return good;
}

static bool kind_run(Session *session, Fault *fault)
{
    Entry *entry = memory_get(sizeof *entry);
    const Arguments *a = &session->arguments;
    entry->session = session;
    entry->assignments =
        memory_get((size_t)(a->given_count + a->word_count + 1) * sizeof *entry->assignments);
    entry->named = 1;
    entry->named_at = -1;
    entry->amends = arguments_get(a, OPTION_AMEND) != NULL;
    const bool good = entry_run(entry, fault);
    str_finish(&entry->hint);
    free(entry->assignments);
    free(entry->events);
    free(entry);
    return good;
}

static OptionList kind_made(const Command *command, int argc, char **argv)
{
    (void)argc;
    (void)argv;
    return kind_options(command->kind, UNITS_METRIC);
}

static bool kind_helped(const Command *command, Session *session)
{
    kind_help(command->kind, help_units(session));
    return true;
}

Command kind_command(const Kind *kind)
{
    return (Command){.name = kind->name,
                     .gist = kind->gist,
                     .words_max = -1, /* its own sentences tell what is missing */
                     .run = kind_run,
                     .made = kind_made,
                     .help = kind_helped,
                     .kind = kind};
}
