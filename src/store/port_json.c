#include "store/port_json.h"

#include "base/json_out.h"
#include "model/field.h"
#include "store/port.h"
#include "store/value.h"

#include <string.h>

enum { MEMBERS_MAX = 40 };

/* ---- reading ---- */

static bool string_needed(const JsonMember *value, Fault *fault)
{
    return value->type == JSON_STRING ||
           fault_set(fault, FAULT_REFUSED, "a text in quotes is needed, not %s.",
                     json_type_name(value->type));
}

static bool number_of(Event *e, const Field *f, int field, const JsonMember *value, Fault *fault)
{
    int64_t number;
    if (value->type != JSON_NUMBER)
        return fault_set(fault, FAULT_REFUSED, "a number is needed, not %s.",
                         json_type_name(value->type));
    if (!json_thousandths(value->text, &number, fault))
        return false;
    if (f->type == FIELD_COUNT) {
        if (number % 1000 != 0)
            return fault_set(fault, FAULT_REFUSED, "%.*s is no whole number.", (int)value->text.n,
                             value->text.s);
        number /= 1000;
    }
    *field_number(e, f) = number;
    e->has |= 1u << field;
    return true;
}

static bool field_of(JsonReader *reader, Event *e, const Field *f, int field,
                     const JsonMember *value, Fault *fault)
{
    switch (f->type) {
    case FIELD_LABELS:
        if (value->type != JSON_ARRAY)
            return fault_set(fault, FAULT_REFUSED,
                             "a list of labels ([\"A1\",\"A2\"]) is needed, not %s.",
                             json_type_name(value->type));
        return value_order(reader, e, field, value->text, fault);
    case FIELD_FLAG:
        if (value->type != JSON_TRUE && value->type != JSON_FALSE)
            return fault_set(fault, FAULT_REFUSED, "true or false is needed, not %s.",
                             json_type_name(value->type));
        return value_set(e, f, field, value->text, fault);
    case FIELD_LABEL:
    case FIELD_CHOICE:
    case FIELD_MOMENT:
    case FIELD_ENTRY:
        return string_needed(value, fault) && value_set(e, f, field, value->text, fault);
    default:
        return number_of(e, f, field, value, fault);
    }
}

/* The four fields that every kind has; *mine false where `value` is none of them. */
static bool common_of(Event *e, const JsonMember *value, Moment now, bool *mine, Fault *fault)
{
    int which = text_is(value->key, "id")     ? 1
                : text_is(value->key, "at")   ? 2
                : text_is(value->key, "note") ? 3
                : text_is(value->key, "kind") ? 4
                                              : 0;
    *mine = which != 0;
    if (which == 0 || which == 4)
        return true;
    if (!string_needed(value, fault))
        return false;
    return which == 1   ? value_id(e, value->text, fault)
           : which == 2 ? value_at(e, value->text, now, fault)
                        : event_set_note(e, value->text, fault);
}

static const JsonMember *member(const JsonMember *members, int count, const char *name)
{
    for (int i = 0; i < count; i++)
        if (text_is(members[i].key, name))
            return &members[i];
    return NULL;
}

static bool blame(Fault *fault, Text key)
{
    return fault_prefix(fault, "field %.*s: ", (int)(key.n < 40 ? key.n : 40), key.s);
}

static const Kind *kind_of_members(const JsonMember *members, int count, Fault *fault)
{
    const JsonMember *value = member(members, count, "kind");
    const Kind *kind = NULL;
    if (value == NULL)
        fault_set(fault, FAULT_REFUSED, "it is missing.");
    else if (string_needed(value, fault))
        kind = value_kind(value->text, fault);
    if (kind == NULL)
        blame(fault, text_of("kind"));
    return kind;
}

bool json_entry(JsonReader *reader, Text line, Moment now, Event *e, Fault *fault)
{
    JsonMember members[MEMBERS_MAX];
    int count;
    if (!json_object(reader, line, members, MEMBERS_MAX, &count, fault))
        return false;
    const Kind *kind = kind_of_members(members, count, fault);
    if (kind == NULL)
        return false;
    if (member(members, count, "at") == NULL)
        return fault_set(fault, FAULT_REFUSED, "field at: it is missing.");
    event_clear(e, kind->id);
    for (int i = 0; i < count; i++) {
        const JsonMember *value = &members[i];
        bool mine;
        if (!common_of(e, value, now, &mine, fault))
            return blame(fault, value->key);
        if (mine)
            continue;
        int field = kind_field(kind, value->key);
        if (field < 0 ? !value_unknown(kind, value->key, fault)
                      : !field_of(reader, e, &kind->fields[field], field, value, fault))
            return blame(fault, value->key);
    }
    if (kind->id == KIND_COUPLE && member(members, count, "order") == NULL) {
        /* an order that was forgotten must not uncouple the whole line */
        return fault_set(fault, FAULT_REFUSED,
                         "field order: it is missing; [] says that nothing is coupled.");
    }
    return value_check(e, fault);
}

/* ---- writing ---- */

static void json_value(const Event *e, const Field *f, int field, Str *out)
{
    switch (f->type) {
    case FIELD_LABELS:
        value_order_json(e, f->name, out);
        break;
    case FIELD_LABEL:
        json_label(out, f->name, field_label_of(e, f));
        break;
    case FIELD_CHOICE:
        json_word(out, f->name, f->choices[field_number_of(e, f)]);
        break;
    case FIELD_MOMENT:
    case FIELD_ENTRY:
        json_raw(out, f->name, "\""); /* times and ids need no escapes */
        event_get(e, field, out);
        str_addc(out, '"');
        break;
    default:
        json_raw(out, f->name, "");
        event_get(e, field, out);
    }
}

void port_json(const Event *e, const char *key, Str *out)
{
    const Kind *kind = kind_of((KindId)e->kind);
    json_open(out, key, '{');
    json_id(out, "id", &e->id);
    json_zone(out, "at", e->at, e->zone);
    json_word(out, "kind", kind->name);
    for (int i = 0; i < kind->field_count; i++)
        if (event_has(e, i))
            json_value(e, &kind->fields[i], i, out);
    if (e->note[0] != '\0')
        json_text(out, "note", e->note);
    str_addc(out, '}');
}
