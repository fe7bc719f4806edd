#include "store/port_json.h"

#include "model/field.h"
#include "store/json.h"
#include "store/port.h"
#include "store/value.h"

#include <string.h>

enum { MEMBERS_MAX = 40 };

/* ---- reading ---- */

/* Text of a value that must be a JSON string. */
static bool string_of(const JsonValue *value, char *room, size_t size, Text *text, Fault *fault)
{
    if (value->type != JSON_STRING) {
        return fault_set(fault, FAULT_REFUSED, "a text in quotes is needed, not %s.",
                         json_type_name(value->type));
    }
    if (value->escaped && value->raw.n > size) {
        return fault_set(fault, FAULT_REFUSED, "the text is too long.");
    }
    *text = json_string(value, room);
    return true;
}

static bool labels_of(Event *e, int field, const JsonValue *value, Fault *fault)
{
    char room[LABEL_SIZE * 8];
    JsonValue item;
    Text text = {0};
    if (value->type != JSON_ARRAY) {
        return fault_set(fault, FAULT_REFUSED,
                         "a list of labels ([\"A1\",\"A2\"]) is needed, not %s.",
                         json_type_name(value->type));
    }
    e->has |= 1u << field; /* an empty list says something: nothing is coupled */
    for (size_t at = 0; json_next(value, &at, &item);) {
        if (!string_of(&item, room, sizeof room, &text, fault) ||
            !value_add_label(e, field, text, fault)) {
            return false;
        }
    }
    return true;
}

static bool number_of(Event *e, const Field *f, int field, const JsonValue *value, Fault *fault)
{
    int64_t number;
    if (value->type != JSON_NUMBER) {
        return fault_set(fault, FAULT_REFUSED, "a number is needed, not %s.",
                         json_type_name(value->type));
    }
    if (!json_thousandths(value->raw, &number, fault)) {
        return false;
    }
    if (f->type == FIELD_COUNT) {
        if (number % 1000 != 0) {
            return fault_set(fault, FAULT_REFUSED, "%.*s is no whole number.", (int)value->raw.n,
                             value->raw.s);
        }
        number /= 1000;
    }
    *field_number(e, f) = number;
    e->has |= 1u << field;
    return true;
}

static bool field_of(Event *e, const Field *f, int field, const JsonValue *value, Fault *fault)
{
    char room[LABEL_SIZE * 8];
    Text text = {0};
    switch (f->type) {
    case FIELD_LABELS:
        return labels_of(e, field, value, fault);
    case FIELD_FLAG:
        if (value->type != JSON_TRUE && value->type != JSON_FALSE) {
            return fault_set(fault, FAULT_REFUSED, "true or false is needed, not %s.",
                             json_type_name(value->type));
        }
        return value_set(e, f, field, value->raw, fault);
    case FIELD_LABEL:
    case FIELD_CHOICE:
    case FIELD_MOMENT:
    case FIELD_ENTRY:
        return string_of(value, room, sizeof room, &text, fault) &&
               value_set(e, f, field, text, fault);
    default:
        return number_of(e, f, field, value, fault);
    }
}

/* The four fields that every kind has; *mine false where `key` is none of them. */
static bool common_of(Event *e, Text key, const JsonValue *value, Moment now, bool *mine,
                      Fault *fault)
{
    char room[NOTE_MAX * 6 + 64];
    Text text = {0};
    int which = text_is(key, "id")     ? 1
                : text_is(key, "at")   ? 2
                : text_is(key, "note") ? 3
                : text_is(key, "kind") ? 4
                                       : 0;
    *mine = which != 0;
    if (which == 0 || which == 4) {
        return true;
    }
    if (!string_of(value, room, sizeof room, &text, fault)) {
        return false;
    }
    return which == 1   ? value_id(e, text, fault)
           : which == 2 ? value_at(e, text, now, fault)
                        : value_note(e, text, fault);
}

static const JsonValue *member(const JsonPair *pairs, int count, const char *name)
{
    for (int i = 0; i < count; i++) {
        if (text_is(pairs[i].key.raw, name)) {
            return &pairs[i].value;
        }
    }
    return NULL;
}

static bool blame(Fault *fault, Text key)
{
    return fault_prefix(fault, "field %.*s: ", (int)(key.n < 40 ? key.n : 40), key.s);
}

static const Kind *kind_of_members(const JsonPair *pairs, int count, Fault *fault)
{
    char room[64];
    Text text = {0};
    const JsonValue *value = member(pairs, count, "kind");
    const Kind *kind = NULL;
    if (value == NULL) {
        fault_set(fault, FAULT_REFUSED, "it is missing.");
    } else if (string_of(value, room, sizeof room, &text, fault)) {
        kind = value_kind(text, fault);
    }
    if (kind == NULL) {
        blame(fault, text_of("kind"));
    }
    return kind;
}

bool json_entry(Text line, Moment now, Event *e, Fault *fault)
{
    JsonPair pairs[MEMBERS_MAX];
    int count;
    if (!text_is_utf8(line)) {
        return fault_set(fault, FAULT_REFUSED, "the line is not UTF-8.");
    }
    if (!json_object(line, pairs, MEMBERS_MAX, &count, fault)) {
        return false;
    }
    const Kind *kind = kind_of_members(pairs, count, fault);
    if (kind == NULL) {
        return false;
    }
    if (member(pairs, count, "at") == NULL) {
        return fault_set(fault, FAULT_REFUSED, "field at: it is missing.");
    }
    event_clear(e, kind->id);
    for (int i = 0; i < count; i++) {
        Text key = pairs[i].key.raw;
        bool mine;
        if (!common_of(e, key, &pairs[i].value, now, &mine, fault)) {
            return blame(fault, key);
        }
        if (mine) {
            continue;
        }
        int field = kind_field(kind, key);
        if (field < 0 ? !value_unknown(kind, key, fault)
                      : !field_of(e, &kind->fields[field], field, &pairs[i].value, fault)) {
            return blame(fault, key);
        }
    }
    return value_check(e, fault);
}

/* ---- writing ---- */

static void json_value(const Event *e, const Field *f, int field, Str *out)
{
    if (f->type == FIELD_LABELS) {
        str_addc(out, '[');
        for (int i = 0; i < e->u.couple.count; i++) {
            if (i > 0) {
                str_addc(out, ',');
            }
            str_add_json(out, text_of(e->u.couple.order[i].s));
        }
        str_addc(out, ']');
    } else if (f->type == FIELD_LABEL) {
        str_add_json(out, text_of(field_label_of(e, f)->s));
    } else if (f->type == FIELD_CHOICE || f->type == FIELD_MOMENT || f->type == FIELD_ENTRY) {
        str_addc(out, '"'); /* words, times and ids need no escapes */
        event_get(e, field, out);
        str_addc(out, '"');
    } else {
        event_get(e, field, out);
    }
}

void port_json(const Event *e, Str *out)
{
    const Kind *kind = kind_of((KindId)e->kind);
    char words[64];
    str_adds(out, "{\"id\":\"");
    str_adds(out, uuid_print(&e->id, words));
    str_adds(out, "\",\"at\":\"");
    str_adds(out, moment_print_zone(e->at, e->zone, words));
    str_adds(out, "\",\"kind\":\"");
    str_adds(out, kind->name);
    str_addc(out, '"');
    for (int i = 0; i < kind->field_count; i++) {
        if (event_has(e, i)) {
            str_adds(out, ",\"");
            str_adds(out, kind->fields[i].name);
            str_adds(out, "\":");
            json_value(e, &kind->fields[i], i, out);
        }
    }
    if (e->note[0] != '\0') {
        str_adds(out, ",\"note\":");
        str_add_json(out, text_of(e->note));
    }
    str_addc(out, '}');
}
