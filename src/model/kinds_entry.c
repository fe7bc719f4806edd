/* Kinds about entries, or about nothing: note, void, settle. */
#include "model/kinds_private.h"

#include <string.h>

static bool note_complete(const Event *e, Fault *fault)
{
    return e->note[0] != '\0' ||
           fault_set(fault, FAULT_REFUSED, "note: a note without words says nothing. Write some.");
}

static void seen_apply(State *state, const Event *e)
{
    use_seen(&state->use, e->at.ms, e->zone);
}

const Kind kind_note = {
    .id = KIND_NOTE,
    .name = "note",
    .gist = "a remark",
    .example = "\"pump hose replaced\"",
    .complete = note_complete,
    .apply = seen_apply,
};

static const Field entry_fields[] = {
    [ENTRY_NAMED] = {.name = "entry",
                     .option = "entry",
                     .help = "the entry: a unique beginning of its id, or 'last'",
                     .type = FIELD_ENTRY,
                     .required = true,
                     .position = 1,
                     .column = COLUMN_MORE,
                     .offset = offsetof(Event, u.entry.entry)},
};

/* Which entries a void takes out is for whoever feeds the fold: strike.h. */
static void void_apply(State *state, const Event *e)
{
    (void)state;
    (void)e;
}

const Kind kind_void = {
    .id = KIND_VOID,
    .name = "void",
    .gist = "takes another entry out; voiding a void brings it back",
    .example = "last",
    FIELDS(entry_fields),
    .apply = void_apply,
};

static bool settle_check(const State *state, const Event *e, Fault *fault)
{
    for (int i = 0; i < state->discrepancy_count; i++)
        if (uuid_compare(&state->discrepancies[i].entry, &e->u.entry.entry) == 0)
            return true;
    return fault_set(fault, FAULT_REFUSED,
                     "That entry has no open discrepancy. 'ullage status' lists those that have.");
}

static void settle_apply(State *state, const Event *e)
{
    use_seen(&state->use, e->at.ms, e->zone);
    int n = 0;
    for (int i = 0; i < state->discrepancy_count; i++)
        if (uuid_compare(&state->discrepancies[i].entry, &e->u.entry.entry) != 0)
            state->discrepancies[n++] = state->discrepancies[i];
    memset(&state->discrepancies[n], 0,
           (size_t)(state->discrepancy_count - n) * sizeof state->discrepancies[0]);
    state->discrepancy_count = n;
}

const Kind kind_settle = {
    .id = KIND_SETTLE,
    .name = "settle",
    .gist = "a discrepancy was looked at: it leaves the list",
    .example = "last",
    FIELDS(entry_fields),
    .check = settle_check,
    .apply = settle_apply,
};
