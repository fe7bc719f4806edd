#include "store/value.h"

#include "base/json_out.h"
#include "model/field.h"

#include <string.h>

static int shown(Text text)
{
    return (int)(text.n < 60 ? text.n : 60);
}

static bool choice_set(int64_t *out, const Field *f, Text text, Fault *fault)
{
    for (int64_t i = 0; f->choices[i] != NULL; i++) {
        if (text_is(text, f->choices[i])) {
            *out = i;
            return true;
        }
    }
    fault_set(fault, FAULT_REFUSED, "'%.*s' is none of", shown(text), text.s);
    for (int i = 0; f->choices[i] != NULL; i++)
        fault_suffix(fault, "%s %s", i == 0 ? "" : ",", f->choices[i]);
    return fault_suffix(fault, ".");
}

bool value_set(Event *e, const Field *f, int field, Text text, Fault *fault)
{
    int64_t value = 0;
    int zone;
    Moment moment;
    bool good = false;
    switch (f->type) {
    case FIELD_LABEL:
        good = label_set(field_label(e, f), text, fault);
        e->has |= good ? 1u << field : 0;
        return good;
    case FIELD_ENTRY:
        good = uuid_parse(text, (Uuid *)(void *)((char *)e + f->offset), fault);
        e->has |= good ? 1u << field : 0;
        return good;
    case FIELD_LABELS:
        return fault_set(fault, FAULT_REFUSED, "a list is needed.");
    case FIELD_CHOICE:
        good = choice_set(&value, f, text, fault);
        break;
    case FIELD_FLAG:
        value = text_is(text, "true");
        good = value != 0 || text_is(text, "false") ||
               fault_set(fault, FAULT_REFUSED, "'%.*s' is neither true nor false.", shown(text),
                         text.s);
        break;
    case FIELD_MOMENT:
        good = moment_parse_rfc3339(text, &moment, &zone, fault);
        value = good ? moment.ms : 0;
        break;
    case FIELD_COUNT:
        good = thousandths_parse(text, false, &value, fault) &&
               (value % 1000 == 0 ||
                fault_set(fault, FAULT_REFUSED, "%.*s is no whole number.", shown(text), text.s));
        value /= 1000;
        break;
    case FIELD_VOLUME:
    case FIELD_MASS:
    case FIELD_PRESSURE:
    case FIELD_TEMPERATURE:
    case FIELD_ALTITUDE:
    case FIELD_DECIMAL:
        good = thousandths_parse(text, false, &value, fault);
        break;
    }
    if (good) {
        *field_number(e, f) = value;
        e->has |= 1u << field;
    }
    return good;
}

bool value_add_label(Event *e, int field, Text text, Fault *fault)
{
    if (e->u.couple.count == VESSELS_ABOARD_MAX)
        return fault_set(fault, FAULT_REFUSED, "more than %d vessels.", VESSELS_ABOARD_MAX);
    if (!label_set(&e->u.couple.order[e->u.couple.count], text, fault))
        return false;
    e->u.couple.count++;
    e->has |= 1u << field;
    return true;
}

bool value_order(JsonReader *reader, Event *e, int field, Text list, Fault *fault)
{
    JsonMember items[VESSELS_ABOARD_MAX + 1]; /* one more, so that value_add_label can say so */
    int count;
    if (!json_list(reader, list, items, VESSELS_ABOARD_MAX + 1, &count, fault))
        return false;
    e->has |= 1u << field;
    for (int i = 0; i < count; i++) {
        if (items[i].type != JSON_STRING)
            return fault_set(fault, FAULT_REFUSED, "a text in quotes is needed, not %s.",
                             json_type_name(items[i].type));
        if (!value_add_label(e, field, items[i].text, fault))
            return false;
    }
    return true;
}

void value_order_json(const Event *e, const char *key, Str *out)
{
    json_open(out, key, '[');
    for (int i = 0; i < e->u.couple.count; i++)
        json_label(out, NULL, &e->u.couple.order[i]);
    str_addc(out, ']');
}

bool value_id(Event *e, Text text, Fault *fault)
{
    if (!uuid_parse(text, &e->id, fault))
        return false;
    return !uuid_is_nil(&e->id) ||
           fault_set(fault, FAULT_REFUSED, "an id of zeros stands for none: leave the field out.");
}

bool value_at(Event *e, Text text, Moment now, Fault *fault)
{
    int zone;
    if (!moment_parse_rfc3339(text, &e->at, &zone, fault))
        return false;
    e->zone = zone;
    if (clock_ahead(e->at, now)) {
        char at[48];
        return fault_set(fault, FAULT_REFUSED,
                         "%.*s is in the future (it is %s now). The log tells what has happened.",
                         shown(text), text.s, moment_print_zone(now, zone, at));
    }
    return true;
}

const Kind *value_kind(Text text, Fault *fault)
{
    const Kind *kind = kind_named(text);
    if (kind == NULL) {
        const Kind *near = kind_nearest(text);
        fault_set(fault, FAULT_REFUSED, "'%.*s' is no kind of entry.", shown(text), text.s);
        if (near != NULL)
            fault_suffix(fault, " Did you mean %s?", near->name);
    }
    return kind;
}

bool value_unknown(const Kind *kind, Text name, Fault *fault)
{
    Nearest near = {.asked = name};
    for (int i = 0; i < kind->field_count; i++)
        nearest_offer(&near, kind->fields[i].name);
    fault_set(fault, FAULT_REFUSED, "an entry of kind %s has no such field.", kind->name);
    return near.name != NULL && fault_suffix(fault, " Did you mean %s?", near.name);
}

bool value_check(const Event *e, Fault *fault)
{
    if (event_check_fields(e, fault))
        return true;
    const Kind *kind = kind_of((KindId)e->kind);
    fault->kind = FAULT_REFUSED; /* what is missing in a file is no wrong usage */
    for (int i = 0; i < kind->field_count; i++) {
        const Field *f = &kind->fields[i];
        if (event_has(e, i) ? field_is_number(f) && !field_fits(f, field_number_of(e, f))
                            : f->required)
            return fault_prefix(fault, "field %s: ", f->name);
    }
    return false;
}
