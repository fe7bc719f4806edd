#include "cli/kind_entry.h"

#include "base/memory.h"
#include "cli/kind_words.h"
#include "model/names.h"

#include <string.h>

static bool position_given(const Entry *entry, int p)
{
    const Kind *kind = entry->session->command->kind;
    for (int i = 0; i < entry->count; i++) {
        const int f = entry->assignments[i].field;
        if (f >= 0 && kind->fields[f].position == p)
            return true;
    }
    return false;
}

static bool gather_options(Entry *entry, Fault *fault)
{
    const Arguments *a = &entry->session->arguments;
    const Kind *kind = entry->session->command->kind;
    for (int i = 0; i < a->given_count; i++) {
        if (a->given[i].id < OPTION_FIELD)
            continue;
        const int f = (a->given[i].id - OPTION_FIELD) / WAYS;
        const int way = (a->given[i].id - OPTION_FIELD) % WAYS;
        for (int j = 0; j < entry->count; j++)
            if (entry->assignments[j].field == f && kind->fields[f].type != FIELD_LABELS)
                return fault_set(fault, FAULT_USAGE, "--%s is given twice.",
                                 kind->fields[f].option);
        entry->assignments[entry->count++] =
            (Assignment){f, 0, a->given[i].value != NULL ? a->given[i].value : "", way};
    }
    return true;
}

/* "5 l": the number was taken, and its unit is one word too many. */
static void hint_unit(const Entry *entry, int w, Fault *fault)
{
    const Arguments *a = &entry->session->arguments;
    Str both = {0};
    Amount amount;
    int64_t value;
    Fault unused = {0};
    if (w == 0 || strpbrk(a->words[w], "0123456789") != NULL)
        return;
    str_addf(&both, "%s%s", a->words[w - 1], a->words[w]);
    const Text text = text_slice(both.s, both.n);
    if (amount_parse(text, entry->session->units, &amount, &unused) ||
        pressure_parse(text, entry->session->units, &value, &unused) ||
        temperature_parse(text, entry->session->units, &value, &unused))
        fault_suffix(fault, " Write a number and its unit as one word: %s.", both.s);
    str_finish(&both);
}

static bool is_amount(const char *word)
{
    Amount amount;
    return strchr("=.0123456789", word[word[0] == '-']) != NULL || /* "-3" is refused as one */
           amount_parse(text_of(word), UNITS_METRIC, &amount, NULL);
}

/* "fill A1 A2 A3 full": every word up to the amount is a vessel. */
static int vessels_named(const Arguments *a, int w)
{
    int n = 1;
    while (w + n < a->word_count && !is_amount(a->words[w + n]))
        n++;
    return n;
}

/* "--amend last 8": the vessel is left as it is. */
static bool position_kept(const Entry *entry, int p, int w)
{
    const Arguments *a = &entry->session->arguments;
    const Kind *kind = entry->session->command->kind;
    const int left = a->word_count - w;
    return entry->amends &&
           (left == 0 || (left <= kind_positions(kind) - p && is_amount(a->words[w])));
}

static bool gather_words(Entry *entry, Fault *fault)
{
    const Arguments *a = &entry->session->arguments;
    const Kind *kind = entry->session->command->kind;
    int w = 0;
    for (int p = 1; p <= kind_positions(kind); p++) {
        if (position_given(entry, p) || position_kept(entry, p, w))
            continue;
        int only = -1, sharing = 0;
        for (int f = 0; f < kind->field_count; f++)
            if (kind->fields[f].position == p) {
                only = f;
                sharing++;
            }
        const bool list = kind->fields[only].type == FIELD_LABELS;
        if (w == a->word_count && kind_position_needed(kind, p)) {
            Str words = {0}, usage = {0};
            kind_position_words(kind, p, &words);
            kind_usage(kind, &usage);
            fault_set(fault, FAULT_USAGE, "%s is missing: ullage %s%s.", words.s, kind->name,
                      usage.s);
            str_finish(&words);
            str_finish(&usage);
            return false;
        }
        for (; w < a->word_count; w++) {
            entry->assignments[entry->count++] =
                (Assignment){sharing > 1 ? -1 : only, p, a->words[w], WAY_PLAIN};
            if (!list) {
                if (p == 1 && kind->several && !entry->amends) {
                    entry->named = vessels_named(a, w);
                    entry->named_word = w;
                    entry->named_at = entry->count - 1;
                    w += entry->named - 1;
                }
                w++;
                break;
            }
        }
    }
    if (w == a->word_count)
        return true;
    fault_set(fault, FAULT_USAGE, "%s is one word too many for %s.",
              text_quote(text_of(a->words[w])).s, kind->name);
    hint_unit(entry, w, fault);
    return false;
}

bool kind_entry_gather(Entry *entry, Fault *fault)
{
    return entry->session->command->kind->field_count == 0 ||
           (gather_options(entry, fault) && gather_words(entry, fault));
}

/* For a kind without fields the words are the note. */
static bool note_words(Entry *entry, Fault *fault)
{
    const Arguments *a = &entry->session->arguments;
    const Given *given = arguments_get(a, OPTION_NOTE);
    if (given != NULL && a->word_count > 0)
        return fault_set(fault, FAULT_USAGE, "Give the text once: as words or with --note.");
    if (given != NULL)
        return event_set_note(&entry->event, text_of(given->value), fault);
    if (a->word_count == 0 && entry->amends)
        return true;
    if (a->word_count == 0)
        return fault_set(fault, FAULT_USAGE, "TEXT is missing: ullage %s TEXT...",
                         entry->session->command->kind->name);
    Str note = {0};
    for (int i = 0; i < a->word_count; i++)
        str_addf(&note, "%s%s", i > 0 ? " " : "", a->words[i]);
    const bool good = event_set_note(&entry->event, text_slice(note.s, note.n), fault);
    str_finish(&note);
    return good;
}

static bool set_entry(Entry *entry, int field, const char *text, const Reading *reading,
                      Fault *fault)
{
    char id[40];
    if (!log_find(entry->session->log, text_of(text), &entry->target, fault))
        return false;
    entry->has_target = true;
    return event_set(&entry->event, field, text_of(uuid_print(&entry->target.id, id)), reading,
                     fault);
}

/* A word at a position that several fields share goes to the first that takes it; where none does,
 * each says why. */
static bool set_shared(Entry *entry, const Assignment *a, const Reading *reading, Fault *fault)
{
    const Kind *kind = entry->session->command->kind;
    Fault all = {0};
    for (int f = 0; f < kind->field_count; f++) {
        Fault one = {0};
        if (kind->fields[f].position != a->position)
            continue;
        if (event_set(&entry->event, f, text_of(a->text), reading, &one))
            return true;
        if (all.kind == FAULT_NONE)
            all = one;
        else if (strcmp(all.text, one.text) != 0)
            fault_suffix(&all, " %s", one.text);
    }
    *fault = all;
    return false;
}

static bool set_one(Entry *entry, const Assignment *a, const Reading *reading, Fault *fault)
{
    if (a->field < 0)
        return set_shared(entry, a, reading, fault);
    if (entry->session->command->kind->fields[a->field].type == FIELD_ENTRY)
        return set_entry(entry, a->field, a->text, reading, fault);
    if (a->way == WAY_PLAIN)
        return event_set(&entry->event, a->field, text_of(a->text), reading, fault);
    Str text = {0};
    str_addf(&text, "%s%s", a->text, way_unit(a->way));
    const bool good =
        event_set(&entry->event, a->field, text_slice(text.s, text.n), reading, fault);
    str_finish(&text);
    return good;
}

static bool is_measured(const Kind *kind, const Assignment *a)
{
    return a->field >= 0 && kind->fields[a->field].type == FIELD_VOLUME;
}

/* Names first: an amount ("40%", "full") is measured against the vessel. */
static bool set_all(Entry *entry, const Reading *reading, Fault *fault)
{
    for (int measured = 0; measured < 2; measured++)
        for (int i = 0; i < entry->count; i++)
            if (is_measured(entry->session->command->kind, &entry->assignments[i]) ==
                    (measured == 1) &&
                !set_one(entry, &entry->assignments[i], reading, fault))
                return false;
    return true;
}

static bool entry_time(Entry *entry, Fault *fault)
{
    const Session *session = entry->session;
    const Given *at = arguments_get(&session->arguments, OPTION_AT);
    Moment moment = session->now;
    int zone = moment_local_zone(moment);
    if (at != NULL && !moment_parse_past(text_of(at->value), session->now, &moment, &zone, fault))
        return false;
    if (at == NULL && entry->amends) {
        moment = entry->target.at;
        zone = entry->target.zone;
    }
    entry->event.at = moment;
    entry->event.zone = zone;
    return true;
}

/* ---- amending: what is not given anew stays ---- */

static bool amend_find(Entry *entry, Fault *fault)
{
    const Given *given = arguments_get(&entry->session->arguments, OPTION_AMEND);
    const Kind *kind = entry->session->command->kind;
    char id[40];
    if (given == NULL)
        return true;
    if (!log_find(entry->session->log, text_of(given->value), &entry->target, fault))
        return false;
    entry->has_target = true;
    if (entry->target.kind == (int32_t)kind->id)
        return true;
    const char *is = kind_of((KindId)entry->target.kind)->name;
    return fault_set(fault, FAULT_REFUSED,
                     "That entry is of kind %s and not %s: 'ullage %s --amend %s'.", is, kind->name,
                     is, uuid_print(&entry->target.id, id));
}

/* Also what shares a place with it, and what a fill came to: "full" was a level, "8" is litres. */
static bool given_anew(const Entry *entry, int f)
{
    const Kind *kind = entry->session->command->kind;
    for (int i = 0; i < entry->count; i++) {
        const Assignment *a = &entry->assignments[i];
        const int place = a->field < 0 ? a->position : kind->fields[a->field].position;
        if (a->field == f || (place > 0 && place == kind->fields[f].position))
            return true;
        if (is_measured(kind, a) && kind->fields[f].type == FIELD_VOLUME &&
            (kind->fields[a->field].level_field == f || kind->fields[f].level_field == a->field))
            return true;
    }
    return false;
}

static void amend_keep(Entry *entry)
{
    const Kind *kind = entry->session->command->kind;
    const Event *was = &entry->target;
    Event *e = &entry->event;
    for (int f = 0; f < kind->field_count; f++) {
        const Field *field = &kind->fields[f];
        if (!event_has(was, f) || given_anew(entry, f))
            continue;
        if (field_is_number(field))
            *field_number(e, field) = field_number_of(was, field);
        else if (field->type == FIELD_LABEL)
            *field_label(e, field) = *field_label_of(was, field);
        else { /* of all kinds that can be amended couple alone has a list */
            e->u.couple.count = was->u.couple.count;
            memcpy(e->u.couple.order, was->u.couple.order, sizeof e->u.couple.order);
        }
        e->has |= 1u << f;
    }
    memcpy(e->note, was->note, sizeof e->note);
}

static bool amend_says_nothing(const Entry *entry)
{
    Event same = entry->event;
    same.id = entry->target.id;
    return event_equal(&same, &entry->target);
}

/* A name may be new; one slip of the finger makes one. */
static void hint_new(Entry *entry)
{
    const Kind *kind = entry->session->command->kind;
    for (int f = 0; f < kind->field_count; f++) {
        const Field *field = &kind->fields[f];
        if (field->type != FIELD_LABEL || !field->may_be_new || !event_has(&entry->event, f))
            continue;
        const Label *label = field_label_of(&entry->event, field), *name;
        if (state_find(entry->state, field->names, label) < 0 &&
            (name = name_meant(entry->state, field->names, text_of(label->s))) != NULL)
            str_addf(&entry->hint, "'%s' is new; the log also has '%s': was that meant?\n",
                     label->s, name->s);
    }
}

/* Only what is named asks the state of then. False. */
static bool name_refused(const Entry *entry, Fault *fault)
{
    return entry->backdated && strncmp(fault->text, "There is no", 11) == 0
               ? kind_refused_then(entry->session->command->kind, fault)
               : false;
}

/* The event from what was given. */
static bool event_read(Entry *entry, Fault *fault)
{
    const Session *session = entry->session;
    const Reading reading = {entry->state, session->now, session->units};
    const Given *note = arguments_get(&session->arguments, OPTION_NOTE);
    event_clear(&entry->event, session->command->kind->id);
    if (!entry_time(entry, fault))
        return false;
    if (entry->amends)
        amend_keep(entry);
    if (session->command->kind->field_count == 0)
        return note_words(entry, fault);
    if (!set_all(entry, &reading, fault))
        return name_refused(entry, fault);
    return note == NULL || event_set_note(&entry->event, text_of(note->value), fault);
}

/* The vessels that the words name, "A1-A4" among them; none where it is one word as any other. */
static bool names_read(Entry *entry, Label names[VESSELS_ABOARD_MAX], int *count, Fault *fault)
{
    const char **words = entry->session->arguments.words + entry->named_word;
    Str all = {0};
    *count = 0;
    str_adds(&all, "");
    for (int i = 0; i < entry->named; i++)
        str_addf(&all, "%s%s", i > 0 ? "," : "", words[i]);
    const bool several = entry->named > 1 || strchr(all.s, '-') != NULL;
    if (several)
        *count =
            names_list(entry->state, text_slice(all.s, all.n), names, VESSELS_ABOARD_MAX, fault);
    str_finish(&all);
    return !several || *count > 0;
}

/* The void and the new one. */
static bool amend_read(Entry *entry, Fault *fault)
{
    if (!event_read(entry, fault))
        return false;
    if (amend_says_nothing(entry))
        return fault_set(fault, FAULT_REFUSED, "It says so already: nothing was written.");
    entry->events_count = 2;
    entry->events = memory_resize(entry->events, 2 * sizeof *entry->events);
    event_about(&entry->events[0], KIND_VOID, &entry->target.id, entry->session->now);
    entry->events[1] = entry->event;
    return true;
}

/* One event for each vessel that is named, and what they bring with them. */
static bool events_read(Entry *entry, Fault *fault)
{
    const Kind *kind = entry->session->command->kind;
    Label names[VESSELS_ABOARD_MAX];
    int count = 0;
    if (entry->amends)
        return amend_read(entry, fault);
    if (kind->several && entry->named_at >= 0 && !names_read(entry, names, &count, fault))
        return name_refused(entry, fault);
    entry->events_count = count > 0 ? count : 1;
    entry->events =
        memory_resize(entry->events, (size_t)(entry->events_count + 1) * sizeof *entry->events);
    for (int i = 0; i < entry->events_count; i++) {
        if (count > 0)
            entry->assignments[entry->named_at].text = names[i].s;
        if (!event_read(entry, fault))
            return false;
        entry->events[i] = entry->event;
    }
    if (count > 0) /* the names were borrowed */
        entry->assignments[entry->named_at].text =
            entry->session->arguments.words[entry->named_word];
    Event *more = &entry->events[entry->events_count];
    if (kind->brings != NULL && kind->brings(entry->state, &entry->events[0], more))
        entry->events_count++;
    return true;
}

bool kind_entry_read(Entry *entry, State *state, Fault *fault)
{
    Session *session = entry->session;
    event_clear(&entry->event, session->command->kind->id);
    if (!amend_find(entry, fault) || !entry_time(entry, fault))
        return false;
    int64_t entries = 0;
    if (!log_state(session->log, state, &entries, fault))
        return false;
    Event placed = entry->event; /* the log places it again, when its turn comes */
    if (!event_place(state, &placed, session->now, fault))
        return false;
    entry->backdated = state->folded > 0 && placed.at.ms < state->last_at;
    if (entry->backdated && !log_state_at(session->log, entry->event.at, state, &entries, fault))
        return false;
    entry->state = state;
    if (!events_read(entry, fault))
        return false;
    hint_new(entry);
    return true;
}

bool kind_entry_check(const Entry *entry, Fault *fault)
{
    if (entry->amends) /* the rest is checked by the log, after the void */
        return event_check_fields(&entry->events[1], fault);
    for (int i = 0; i < entry->events_count; i++) {
        if (entry->events[i].kind != (int32_t)entry->session->command->kind->id)
            break; /* what is brought with them is checked by the log, after them */
        if (!event_check_fields(&entry->events[i], fault))
            return false;
        if (!event_check(entry->state, &entry->events[i], entry->session->now, fault))
            return entry->backdated && kind_refused_then(entry->session->command->kind, fault);
    }
    return true;
}
