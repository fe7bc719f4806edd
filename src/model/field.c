#include "model/field.h"

#include "model/kinds_private.h"
#include "model/names.h"

#include <stdio.h>
#include <string.h>

int64_t *field_number(Event *e, const Field *f)
{
    return (int64_t *)(void *)((char *)e + f->offset);
}

int64_t field_number_of(const Event *e, const Field *f)
{
    int64_t value;
    memcpy(&value, (const char *)e + f->offset, sizeof value);
    return value;
}

Label *field_label(Event *e, const Field *f)
{
    return (Label *)(void *)((char *)e + f->offset);
}

const Label *field_label_of(const Event *e, const Field *f)
{
    return (const Label *)(const void *)((const char *)e + f->offset);
}

/* ---- setting ---- */

static const Field *field_at(const Event *e, int field)
{
    return &kind_of((KindId)e->kind)->fields[field];
}

static void put_number(Event *e, int field, int64_t value)
{
    *field_number(e, field_at(e, field)) = value;
    e->has |= 1u << field;
}

/* The name as the state spells it: exact, else the only one that is alike but for case. */
static bool resolve(const State *state, Names names, Label *label)
{
    if (state_find(state, names, label) >= 0)
        return true;
    const Label *only = NULL, *name;
    for (int i = 0; (name = state_name(state, names, i)) != NULL; i++) {
        if (names == NAMES_VESSEL && !vessel_aboard(&state->vessels[i]))
            continue;
        if (!text_is_nocase(text_of(label->s), name->s))
            continue;
        if (only != NULL)
            return false;
        only = name;
    }
    if (only == NULL)
        return false;
    *label = *only;
    return true;
}

bool event_set_note(Event *e, Text text, Fault *fault)
{
    if (text.n > NOTE_MAX)
        return fault_set(fault, FAULT_REFUSED, "A note holds %d bytes at most; this has %zu.",
                         NOTE_MAX, text.n);
    if (!text_fit(text, "The note", fault))
        return false;
    e->note[text.n] = '\0';
    if (text.n > 0)
        memcpy(e->note, text.s, text.n);
    return true;
}

bool event_texts_fit(const Event *e, Fault *fault)
{
    const Kind *kind = kind_of((KindId)e->kind);
    for (int i = 0; i < kind->field_count; i++) {
        const Field *f = &kind->fields[i];
        if (!event_has(e, i) || (f->type != FIELD_LABEL && f->type != FIELD_LABELS))
            continue;
        const Label *labels = f->type == FIELD_LABELS ? e->u.couple.order : field_label_of(e, f);
        const int count = f->type == FIELD_LABELS ? e->u.couple.count : 1;
        for (int k = 0; k < count; k++)
            if (!text_fit(text_of(labels[k].s), f->name, fault))
                return fault_prefix(fault, "its ");
    }
    return text_fit(text_of(e->note), "its note", fault);
}

/* A source is known by its beginning, and a slip of the finger makes no second one: a refill in the
 * dark would come from a place that nobody knows, its water questionable. */
static bool source_begun(const State *state, Label *label, Fault *fault)
{
    const Label *begun = name_begun(state, NAMES_SOURCE, text_of(label->s));
    const Label *meant = begun != NULL ? NULL : name_meant(state, NAMES_SOURCE, text_of(label->s));
    if (begun != NULL)
        *label = *begun;
    return meant == NULL ||
           fault_set(fault, FAULT_REFUSED,
                     "There is no source '%s'. Did you mean '%s'? If it is another one, name it "
                     "first: source '%s' --type WORD.",
                     label->s, meant->s, label->s);
}

static bool set_label(Event *e, int field, Text text, const Reading *reading, Fault *fault)
{
    const Field *f = field_at(e, field);
    Label label;
    if (!label_set(&label, text, fault))
        return false;
    if (!resolve(reading->state, f->names, &label)) {
        if (!f->may_be_new)
            return refuse_unknown(reading->state, f->names, &label, fault);
        if (f->names == NAMES_SOURCE && !f->required &&
            !source_begun(reading->state, &label, fault))
            return false;
    }
    *field_label(e, f) = label;
    e->has |= 1u << field;
    return true;
}

static bool set_labels(Event *e, int field, Text text, const Reading *reading, Fault *fault)
{
    CoupleEvent changed = e->u.couple;
    for (Text rest = text; rest.n > 0;) {
        size_t cut = 0;
        while (cut < rest.n && rest.s[cut] != ';' && rest.s[cut] != ',')
            cut++;
        const Text name = text_trim(text_slice(rest.s, cut));
        const size_t past = cut < rest.n ? cut + 1 : cut;
        rest = text_slice(rest.s + past, rest.n - past);
        if (name.n == 0)
            continue;
        Label label;
        if (!label_set(&label, name, fault))
            return false;
        if (!resolve(reading->state, NAMES_VESSEL, &label))
            return refuse_unknown(reading->state, NAMES_VESSEL, &label, fault);
        if (changed.count == VESSELS_ABOARD_MAX)
            return fault_set(fault, FAULT_REFUSED, "A line holds %d vessels at most.",
                             VESSELS_ABOARD_MAX);
        changed.order[changed.count++] = label;
    }
    e->u.couple = changed;
    e->has |= 1u << field;
    return true;
}

/* The vessel that the entry is about, as far as it is set: where its amounts are measured. */
static const Vessel *subject(const Event *e, const State *state)
{
    const Kind *kind = kind_of((KindId)e->kind);
    for (int i = 0; i < kind->field_count; i++) {
        const Field *f = &kind->fields[i];
        if (f->type == FIELD_LABEL && f->names == NAMES_VESSEL && event_has(e, i)) {
            const int slot = state_vessel(state, field_label_of(e, f));
            return slot >= 0 ? &state->vessels[slot] : NULL;
        }
    }
    return NULL;
}

static bool volume_of(const Amount *amount, const Field *f, const Vessel *v, Text text, int64_t *ml,
                      Fault *fault)
{
    const bool level = amount->level || f->level;
    switch (amount->kind) {
    case AMOUNT_VOLUME:
        *ml = amount->value;
        return true;
    case AMOUNT_MASS:
        *ml = amount->value; /* 1 kg of water counted as 1 L */
        if (!level)
            return true;
        if (v == NULL || v->tare_g < 0)
            return fault_set(fault, FAULT_REFUSED,
                             "'%.*s': the vessel's empty mass is not known. Give it once with "
                             "'vessel %s --tare KG', or give litres.",
                             (int)text.n, text.s, v != NULL ? v->label.s : "LABEL");
        *ml = amount->value - v->tare_g;
        if (*ml < 0)
            return fault_set(
                fault, FAULT_REFUSED,
                "'%.*s' is less than the empty %s weighs. Check the scale or its tare.",
                (int)text.n, text.s, v->label.s);
        return true;
    case AMOUNT_PERCENT:
    case AMOUNT_FULL:
    case AMOUNT_EMPTY:
    case AMOUNT_SPENT:
        break;
    }
    if (amount->kind == AMOUNT_EMPTY) {
        *ml = 0;
        return true;
    }
    if (v == NULL)
        return fault_set(
            fault, FAULT_REFUSED,
            "'%.*s' is measured against a vessel, and none is named here. Give litres.",
            (int)text.n, text.s);
    if (amount->kind == AMOUNT_SPENT)
        *ml = v->heel;
    else if (amount->kind == AMOUNT_FULL)
        *ml = v->capacity;
    else /* thousandths of a per cent */
        *ml = (v->capacity * amount->value + 50000) / 100000;
    return true;
}

static bool set_volume(Event *e, int field, Text text, const Reading *reading, Fault *fault)
{
    const Kind *kind = kind_of((KindId)e->kind);
    Amount amount;
    if (!amount_parse(text, reading->units, &amount, fault))
        return false;
    const Field *f = &kind->fields[field];
    if (f->level_field != 0 && (amount.level || amount.kind >= AMOUNT_PERCENT)) {
        amount.level = true;
        field = f->level_field;
    } else if (!f->level && (amount.level || amount.kind >= AMOUNT_FULL))
        return fault_set(fault, FAULT_REFUSED,
                         "'%.*s' says a level; %s wants litres. Give a number of litres.",
                         (int)text.n, text.s, kind->name);
    int64_t ml = 0;
    Vessel named;
    const Vessel *measured =
        kind->measures != NULL && kind->measures(e, &named) ? &named : subject(e, reading->state);
    if (!volume_of(&amount, &kind->fields[field], measured, text, &ml, fault))
        return false;
    put_number(e, field, ml);
    return true;
}

static bool set_count(Event *e, int field, Text text, Fault *fault)
{
    const Field *f = field_at(e, field);
    int64_t value;
    if (!thousandths_parse(text, false, &value, fault))
        return false;
    if (value % 1000 != 0)
        return fault_set(fault, FAULT_REFUSED, "'%.*s': %s is a whole number.", (int)text.n, text.s,
                         f->option);
    put_number(e, field, value / 1000);
    return true;
}

static bool set_choice(Event *e, int field, Text text, Fault *fault)
{
    const Field *f = field_at(e, field);
    int match = -1, matches = 0;
    for (int i = 0; f->choices[i] != NULL; i++) {
        if (text_is_nocase(text, f->choices[i])) {
            put_number(e, field, i);
            return true;
        }
        if (text.n > 0 && text_begins(text, f->choices[i])) {
            match = i;
            matches++;
        }
    }
    if (matches == 1) {
        put_number(e, field, match);
        return true;
    }
    Str words = {0};
    for (int i = 0; f->choices[i] != NULL; i++)
        str_addf(&words, "%s%s", i == 0 ? "" : ", ", f->choices[i]);
    fault_set(fault, FAULT_USAGE, "'%.*s' is no %s. One of: %s.", (int)text.n, text.s, f->name,
              words.s);
    str_finish(&words);
    return false;
}

static bool set_flag(Event *e, int field, Text text, Fault *fault)
{
    if (text.n == 0 || text_is_nocase(text, "yes") || text_is_nocase(text, "true") ||
        text_is_nocase(text, "y")) {
        put_number(e, field, 1);
        return true;
    }
    if (text_is_nocase(text, "no") || text_is_nocase(text, "false") || text_is_nocase(text, "n")) {
        put_number(e, field, 0);
        return true;
    }
    return fault_set(fault, FAULT_USAGE, "'%.*s': %s is yes or no.", (int)text.n, text.s,
                     field_at(e, field)->option);
}

static bool set_moment(Event *e, int field, Text text, const Reading *reading, Fault *fault)
{
    Moment m = MOMENT_NONE;
    int zone = 0;
    /* what is planned or put off lies ahead */
    const bool good = field_at(e, field)->past
                          ? moment_parse_past(text, reading->now, &m, &zone, fault)
                          : moment_parse_ahead(text, reading->now, &m, &zone, fault);
    if (good)
        put_number(e, field, m.ms);
    return good;
}

static bool set_entry(Event *e, int field, Text text, Fault *fault)
{
    Uuid id;
    if (!uuid_parse(text, &id, fault))
        return false;
    memcpy((char *)e + field_at(e, field)->offset, &id, sizeof id);
    e->has |= 1u << field;
    return true;
}

bool event_set(Event *e, int field, Text text, const Reading *reading, Fault *fault)
{
    int64_t value;
    text = text_trim(text);
    switch (field_at(e, field)->type) {
    case FIELD_LABEL:
        return set_label(e, field, text, reading, fault);
    case FIELD_LABELS:
        return set_labels(e, field, text, reading, fault);
    case FIELD_VOLUME:
        return set_volume(e, field, text, reading, fault);
    case FIELD_MASS:
        if (!mass_parse(text, reading->units, &value, fault))
            return false;
        break;
    case FIELD_PRESSURE:
        if (!pressure_parse(text, reading->units, &value, fault))
            return false;
        break;
    case FIELD_TEMPERATURE:
        if (!temperature_parse(text, reading->units, &value, fault))
            return false;
        break;
    case FIELD_ALTITUDE:
        if (!altitude_parse(text, reading->units, &value, fault))
            return false;
        break;
    case FIELD_DECIMAL:
        if (!thousandths_parse(text, true, &value, fault))
            return false;
        break;
    case FIELD_COUNT:
        return set_count(e, field, text, fault);
    case FIELD_CHOICE:
        return set_choice(e, field, text, fault);
    case FIELD_FLAG:
        return set_flag(e, field, text, fault);
    case FIELD_MOMENT:
        return set_moment(e, field, text, reading, fault);
    case FIELD_ENTRY:
        return set_entry(e, field, text, fault);
    }
    put_number(e, field, value);
    return true;
}

const char *field_unit(const Field *f, Units units)
{
    if (units == UNITS_METRIC || f->unit == NULL)
        return f->unit;
    return f->type == FIELD_VOLUME        ? volume_unit(units)
           : f->type == FIELD_PRESSURE    ? "psi"
           : f->type == FIELD_MASS        ? "lb"
           : f->type == FIELD_TEMPERATURE ? temperature_unit(units)
           : f->type == FIELD_ALTITUDE    ? altitude_unit(units)
                                          : f->unit;
}

/* ---- checking ---- */

enum { VALUE_SIZE = 64 };

static char *print_value(const Field *f, int64_t value, char out[VALUE_SIZE])
{
    const bool whole = f->type == FIELD_COUNT || f->type == FIELD_CHOICE || f->type == FIELD_FLAG;
    char number[32];
    thousandths_print(whole ? value * 1000 : value, number);
    snprintf(out, VALUE_SIZE, "%s%s%s", number, f->unit != NULL ? " " : "",
             f->unit != NULL ? f->unit : "");
    return out;
}

static bool field_missing(const Kind *kind, const Field *f, Fault *fault)
{
    if (f->names != NAMES_NOTHING && f->type == FIELD_LABEL)
        return fault_set(fault, FAULT_USAGE, "%s: say which %s. For example: ullage %s %s",
                         kind->name, f->name, kind->name, kind->example);
    return fault_set(fault, FAULT_USAGE, "%s: %s is missing (%s). For example: ullage %s %s",
                     kind->name, f->name, f->help, kind->name, kind->example);
}

bool event_check_fields(const Event *e, Fault *fault)
{
    const Kind *kind = kind_of((KindId)e->kind);
    for (int i = 0; i < kind->field_count; i++) {
        const Field *f = &kind->fields[i];
        if (!event_has(e, i)) {
            if (f->required)
                return field_missing(kind, f, fault);
            continue;
        }
        const int64_t value = field_is_number(f) ? field_number_of(e, f) : 0;
        if (!field_is_number(f) || field_fits(f, value))
            continue;
        char given[VALUE_SIZE], bound[VALUE_SIZE];
        if (value < f->min)
            return fault_set(fault, FAULT_REFUSED, "%s: %s of %s is too little: at least %s.",
                             kind->name, f->option, print_value(f, value, given),
                             print_value(f, f->min, bound));
        return fault_set(fault, FAULT_REFUSED, "%s: %s of %s is too much: at most %s.", kind->name,
                         f->option, print_value(f, value, given), print_value(f, f->max, bound));
    }
    return kind->complete == NULL || kind->complete(e, fault);
}

bool event_place(const State *state, Event *e, Moment now, Fault *fault)
{
    char then[64], is[64];
    const Moment last = {state->last_at};
    if (e->at.ms != now.ms || last.ms < now.ms || e->kind == KIND_VOID)
        return true;
    if (last.ms - now.ms > CLOCK_GRACE_MS)
        return fault_set(fault, FAULT_REFUSED,
                         "It is %s by this clock, and the latest entry of the log is of %s: the "
                         "clock is behind, or was ahead. Set the clock; or say when it happened "
                         "(--at, or the time of the form); or void the entries that are ahead.",
                         moment_print_zone(now, e->zone, is),
                         moment_print_zone(last, state->last_zone, then));
    e->at.ms = last.ms + 1;
    return true;
}

bool event_check(const State *state, const Event *e, Moment now, Fault *fault)
{
    char at[64];
    if (!event_check_fields(e, fault))
        return false;
    if (clock_ahead(e->at, now))
        return fault_set(fault, FAULT_REFUSED,
                         "%s is in the future: the log records what has happened. Give a time that "
                         "is past, or leave it out for now.",
                         moment_print_zone(e->at, e->zone, at));
    const Kind *kind = kind_of((KindId)e->kind);
    return kind->check == NULL || kind->check(state, e, fault);
}

/* ---- showing ---- */

static void number_add(Str *out, int64_t thousandths)
{
    enum { ROOM = 32 };
    str_end(out, thousandths_put(thousandths, str_room(out, ROOM)));
}

bool event_get(const Event *e, int field, Str *out)
{
    const Field *f = field_at(e, field);
    char number[64];
    if (!event_has(e, field))
        return false;
    switch (f->type) {
    case FIELD_LABEL:
        str_adds(out, field_label_of(e, f)->s);
        return true;
    case FIELD_LABELS:
        str_adds(out, ""); /* a text, if only an empty one */
        for (int i = 0; i < e->u.couple.count; i++) {
            if (i > 0)
                str_addc(out, ';');
            str_adds(out, e->u.couple.order[i].s);
        }
        return true;
    case FIELD_ENTRY: {
        Uuid id;
        memcpy(&id, (const char *)e + f->offset, sizeof id);
        str_adds(out, uuid_print(&id, number));
        return true;
    }
    case FIELD_VOLUME:
    case FIELD_MASS:
    case FIELD_PRESSURE:
    case FIELD_TEMPERATURE:
    case FIELD_ALTITUDE:
    case FIELD_DECIMAL:
        number_add(out, field_number_of(e, f));
        return true;
    case FIELD_COUNT:
        number_add(out, field_number_of(e, f) * 1000);
        return true;
    case FIELD_CHOICE:
        str_adds(out, f->choices[field_number_of(e, f)]);
        return true;
    case FIELD_FLAG:
        str_adds(out, field_number_of(e, f) != 0 ? "true" : "false");
        return true;
    case FIELD_MOMENT:
        str_adds(out, moment_print_utc((Moment){field_number_of(e, f)}, number));
        return true;
    }
    return false;
}
