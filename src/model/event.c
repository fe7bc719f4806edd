#include "model/event.h"

#include "model/kinds.h"

#include <string.h>

void event_clear(Event *e, KindId kind)
{
    e->id = (Uuid){{0}};
    e->at = (Moment){0};
    e->zone = 0;
    e->kind = (int32_t)kind;
    e->has = kind == KIND_COUPLE ? 1u << COUPLE_ORDER : 0;
    memset(&e->u, 0, kind_of(kind)->payload_size);
    e->note[0] = '\0';
}

void event_about(Event *e, KindId kind, const Uuid *entry, Moment now)
{
    event_clear(e, kind);
    e->at = now;
    e->zone = moment_local_zone(now);
    e->u.entry.entry = *entry;
    e->has = 1u << kind_field(kind_of(kind), text_of("entry"));
}

int event_compare(const Event *a, const Event *b)
{
    if (a->at.ms != b->at.ms)
        return a->at.ms < b->at.ms ? -1 : 1;
    return uuid_compare(&a->id, &b->id);
}

bool event_equal(const Event *a, const Event *b)
{
    return a->kind == b->kind && event_compare(a, b) == 0 && a->zone == b->zone &&
           a->has == b->has && memcmp(&a->u, &b->u, kind_of((KindId)a->kind)->payload_size) == 0 &&
           strcmp(a->note, b->note) == 0;
}
