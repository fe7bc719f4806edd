/* kind_entry.h - the entries of a kind's command: its words and options to events, read against the
 * log as it was at their time. Private to src/cli.
 */
#ifndef ULLAGE_CLI_KIND_ENTRY_H
#define ULLAGE_CLI_KIND_ENTRY_H

#include "cli/command.h"
#include "model/field.h"

/* One field and the text given for it. */
typedef struct {
    int field; /* -1: one of those that share `position` */
    int position;
    const char *text;
    int way;
} Assignment;

typedef struct {
    Session *session;
    const State *state; /* just before the entry */
    Event event;        /* that is being read */
    Event *events;      /* one for each vessel named, or one; and what they bring with them */
    int events_count;
    Event target; /* the entry that a void or settle names, or that is amended */
    bool has_target;
    bool amends; /* the target is voided, and the last event written in its place */
    bool backdated;
    Assignment *assignments;
    int count;
    int named, named_word, named_at; /* how many words name a vessel, the first, its assignment */
    Str hint;                        /* a new name that is nearly one the log has */
} Entry;

/* What was given, sorted to the fields of the kind; asks nothing of the log. FAULT_USAGE: a word is
 * missing, or one too many. */
bool kind_entry_gather(Entry *entry, Fault *fault);
/* The events, against the open log; *state receives what was known at their time. */
bool kind_entry_read(Entry *entry, State *state, Fault *fault);
/* Can they be, given that state? Of one that is amended only the fields are asked: the log asks the
 * rest after the void. */
bool kind_entry_check(const Entry *entry, Fault *fault);

#endif
