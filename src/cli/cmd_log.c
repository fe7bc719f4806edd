/* cmd_log.c - the entries, newest last. */
#include "cli/command.h"

#include "cli/print.h"
#include "model/kinds.h"
#include "model/tell.h"
#include "store/port.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>

enum { OPTION_KIND = OPTION_OWN, OPTION_VOIDED };

/* Beginnings of ids of this length tell the entries of one import apart: 48 bits of time and 12 of
 * chance. */
enum { ID_SHOWN = 18 };

typedef struct {
    const Session *session;
    Str line;
    bool written; /* false once standard output has failed */
} Listing;

static bool listing_flush(Listing *l)
{
    l->written = print_more(&l->line, false);
    str_clear(&l->line);
    return l->written;
}

static bool visit_json(void *context, const Event *e, bool voided)
{
    Listing *l = context;
    (void)voided;
    port_json(e, NULL, &l->line);
    str_addc(&l->line, '\n');
    return listing_flush(l);
}

static bool visit_text(void *context, const Event *e, bool voided)
{
    Listing *l = context;
    char when[TIME_TYPED], id[40];
    str_addf(&l->line, "%s  %.*s  ", time_typed(e->at, when), ID_SHOWN, uuid_print(&e->id, id));
    event_tell(e, l->session->units, true, &l->line);
    if (voided)
        str_adds(&l->line, "  (taken back)");
    str_addc(&l->line, '\n');
    return listing_flush(l);
}

static bool query_vessel(Session *session, const char *text, LogQuery *query, Fault *fault)
{
    if (!label_set(&query->vessel, text_of(text), fault))
        return false;
    const State *state = log_state_lent(session->log, NULL, NULL, fault);
    bool good = state != NULL;
    if (good && state_vessel_ever(state, &query->vessel) < 0) {
        Nearest near = {.asked = text_of(text)};
        for (int i = 0; i < state->vessel_count; i++)
            nearest_offer(&near, state->vessels[i].label.s);
        good = fault_set(fault, FAULT_REFUSED, "There never was a vessel %s.",
                         text_quote(text_of(text)).s);
        if (near.name != NULL && near.distance == 0)
            good = label_set(&query->vessel, text_of(near.name), fault); /* only the case differs */
        else if (near.name != NULL)
            fault_suffix(fault, " Did you mean %s?", near.name);
    }
    return good;
}

static bool query_kind(const char *text, LogQuery *query, Fault *fault)
{
    const Kind *kind = kind_named(text_of(text));
    if (kind != NULL) {
        query->kind = (int32_t)kind->id;
        return true;
    }
    fault_set(fault, FAULT_USAGE, "There is no kind %s.", text_quote(text_of(text)).s);
    const Kind *near = kind_nearest(text_of(text));
    if (near != NULL)
        fault_suffix(fault, " Did you mean %s?", near->name);
    return false;
}

static bool query_read(Session *session, LogQuery *query, Fault *fault)
{
    const Arguments *a = &session->arguments;
    const Given *since = arguments_get(a, OPTION_SINCE), *until = arguments_get(a, OPTION_UNTIL);
    const Given *vessel = arguments_get(a, OPTION_VESSEL), *kind = arguments_get(a, OPTION_KIND);
    *query = (LogQuery){.since = MOMENT_NONE, .until = MOMENT_NONE};
    query->voided = arguments_get(a, OPTION_VOIDED) != NULL;
    if (since != NULL && !session_bound(session, since->value, false, &query->since, fault))
        return false;
    if (until != NULL && !session_bound(session, until->value, true, &query->until, fault))
        return false;
    if (since != NULL && until != NULL && query->since.ms > query->until.ms)
        return fault_set(fault, FAULT_USAGE, "--since lies after --until: nothing is between.");
    if (kind != NULL && !query_kind(kind->value, query, fault))
        return false;
    return vessel == NULL || query_vessel(session, vessel->value, query, fault);
}

static bool run_log(Session *session, Fault *fault)
{
    LogQuery query;
    if (!session_open(session, LOG_READ, fault) || !query_read(session, &query, fault))
        return false;
    Listing listing = {session, {0}, true};
    bool good =
        log_each(session->log, &query, session->json ? visit_json : visit_text, &listing, fault);
    if (good && !listing.written)
        good =
            fault_set(fault, FAULT_LOG, "Standard output can't be written: %s.", strerror(errno));
    str_finish(&listing.line);
    return good && log_all_read(session->log, fault);
}

static const Option log_options[] = {
    {"since", 0, TAKES_VALUE, "TIME", "from that time or day on", OPTION_SINCE},
    {"until", 0, TAKES_VALUE, "TIME", "to that time, or to the end of that day", OPTION_UNTIL},
    {"vessel", 0, TAKES_VALUE, "VESSEL", "only entries that name this vessel", OPTION_VESSEL},
    {"kind", 0, TAKES_VALUE, "KIND", "only entries of this kind", OPTION_KIND},
    {"voided", 0, TAKES_NOTHING, NULL, "also what was taken back, and the voids", OPTION_VOIDED},
};

const Command command_log = {.name = "log",
                             .gist =
                                 "The entries, newest last; --json gives the interchange format",
                             .words = "",
                             .more = "The second column is the beginning of the entry's id: "
                                     "'ullage void ID' takes it out, and 'ullage "
                                     "KIND --amend ID ...' puts it right.",
                             .options = log_options,
                             .option_count = 5,
                             .run = run_log};
