#include "model/event.h"

#include <string.h>

static const uint16_t payload_sizes[KIND_END] = {
    [KIND_FILL] = sizeof(FillEvent),
    [KIND_DRAW] = sizeof(DrawEvent),
    [KIND_SOUND] = sizeof(SoundEvent),
    [KIND_DECANT] = sizeof(DecantEvent),
    [KIND_DUMP] = sizeof(DumpEvent),
    [KIND_SANITISE] = sizeof(NameEvent),
    [KIND_TREAT] = sizeof(TreatEvent),
    [KIND_COUPLE] = sizeof(CoupleEvent),
    [KIND_PRESSURISE] = sizeof(PressuriseEvent),
    [KIND_SWAP] = sizeof(SwapEvent),
    [KIND_SPARES] = sizeof(SparesEvent),
    [KIND_FLOWTEST] = sizeof(FlowtestEvent),
    [KIND_VESSEL] = sizeof(VesselEvent),
    [KIND_RETIRE] = sizeof(NameEvent),
    [KIND_STAGE] = sizeof(StageEvent),
    [KIND_UNSTAGE] = sizeof(NameEvent),
    [KIND_SOURCE] = sizeof(SourceEvent),
    [KIND_CREW] = sizeof(CrewEvent),
    [KIND_STOP] = sizeof(StopEvent),
    [KIND_UNSTOP] = sizeof(NameEvent),
    [KIND_NOTE] = 0,
    [KIND_VOID] = sizeof(EntryEvent),
    [KIND_SETTLE] = sizeof(EntryEvent),
    [KIND_PUTOFF] = sizeof(PutoffEvent),
    [KIND_TEST] = sizeof(TestEvent),
    [KIND_METER] = sizeof(MeterEvent),
    [KIND_LEADTIME] = sizeof(LeadtimeEvent),
};

size_t event_payload_size(KindId kind)
{
    return (unsigned)kind < KIND_END ? payload_sizes[kind] : 0;
}

void event_clear(Event *e, KindId kind)
{
    e->id = (Uuid){{0}};
    e->at = (Moment){0};
    e->zone = 0;
    e->kind = (int32_t)kind;
    e->has = kind == KIND_COUPLE ? 1u << COUPLE_ORDER : 0;
    memset(&e->u, 0, event_payload_size(kind));
    e->note[0] = '\0';
}

void event_about(Event *e, KindId kind, const Uuid *entry, Moment now)
{
    event_clear(e, kind);
    e->at = now;
    e->zone = moment_local_zone(now);
    e->u.entry.entry = *entry;
    e->has = 1u << ENTRY_NAMED;
}

int event_compare(const Event *a, const Event *b)
{
    const int order = moment_compare(a->at, b->at);
    return order != 0 ? order : uuid_compare(&a->id, &b->id);
}

bool event_equal(const Event *a, const Event *b)
{
    return a->kind == b->kind && event_compare(a, b) == 0 && a->zone == b->zone &&
           a->has == b->has && memcmp(&a->u, &b->u, event_payload_size((KindId)a->kind)) == 0 &&
           strcmp(a->note, b->note) == 0;
}
