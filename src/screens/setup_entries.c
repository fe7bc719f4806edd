/* The entries that the answers of the set-up become. */
#include "screens/setup.h"

#include "model/kinds.h"

#include <string.h>

static Event *entry_add(Event out[], int *count, KindId kind)
{
    Event *e = &out[(*count)++];
    event_clear(e, kind);
    return e;
}

/* Gives a field of the kind's table by its name. */
static void give(Event *e, const char *name, int64_t value)
{
    const Kind *kind = kind_of((KindId)e->kind);
    int i = kind_field(kind, text_of(name));
    memcpy((char *)e + kind->fields[i].offset, &value, sizeof value);
    e->has |= 1u << i;
}

static void give_label(Event *e, const char *name, const Label *label)
{
    const Kind *kind = kind_of((KindId)e->kind);
    int i = kind_field(kind, text_of(name));
    memcpy((char *)e + kind->fields[i].offset, label, sizeof *label);
    e->has |= 1u << i;
}

static int vessel_entries(const Setup *setup, Event out[])
{
    int n = 0;
    for (int i = 0; i < setup->vessel_count; i++) {
        const SetupVessel *v = &setup->vessel[i];
        Event *e = entry_add(out, &n, KIND_VESSEL);
        give_label(e, "vessel", &v->label);
        give(e, "capacity", v->capacity);
        give(e, "heel", setup->heel);
        give(e, "duty", v->duty);
        give(e, "level", v->level);
        if (v->duty == DUTY_WASH)
            give(e, "class", CLASS_NON_POTABLE);
        else
            give(e, "class", setup->clean == 1 ? CLASS_POTABLE : CLASS_QUESTIONABLE);
    }
    for (int i = 0; i < setup->vessel_count && setup->clean == 2; i++) {
        if (setup->vessel[i].duty != DUTY_WASH)
            give_label(entry_add(out, &n, KIND_SANITISE), "vessel", &setup->vessel[i].label);
    }
    if (setup->on_line > 0) {
        Event *e = entry_add(out, &n, KIND_COUPLE);
        give_label(e, "line", &setup->line);
        e->u.couple.count = setup->on_line;
        for (int i = 0; i < setup->on_line; i++)
            e->u.couple.order[i] = setup->vessel[i].label;
        e->has |= 1u << kind_field(kind_of(KIND_COUPLE), text_of("order"));
    }
    return n;
}

static int stage_entries(const Setup *setup, Event out[])
{
    int n = 0;
    for (int i = 0; i < setup->stage_count; i++) {
        const SetupStage *s = &setup->stage[i];
        Event *e = entry_add(out, &n, KIND_STAGE);
        give_label(e, "stage", &s->label);
        give(e, "type", s->type);
        give_label(e, "line", &setup->line);
        give(e, "position", i + 1);
        if (s->life_ml > 0)
            give(e, "life_litres", s->life_ml);
        if (s->life_days > 0)
            give(e, "life_days", s->life_days);
        if (s->life_hours > 0)
            give(e, "life_hours", s->life_hours);
        if (s->spares >= 0) {
            e = entry_add(out, &n, KIND_SPARES);
            give_label(e, "stage", &s->label);
            give(e, "count", s->spares);
        }
    }
    return n;
}

int setup_entries(const Setup *setup, SetupStep step, Moment now, Event out[SETUP_ENTRIES_MAX])
{
    int n = 0;
    if (step == SETUP_VESSELS)
        n = vessel_entries(setup, out);
    else if (step == SETUP_STAGES)
        n = stage_entries(setup, out);
    else if (step == SETUP_CREW)
        give(entry_add(out, &n, KIND_CREW), "persons", setup->crew);
    else if (step == SETUP_SOURCE && !label_empty(&setup->source)) {
        Event *e = entry_add(out, &n, KIND_SOURCE);
        give_label(e, "source", &setup->source);
        give(e, "type", setup->source_type);
        if (setup->source_class >= 0)
            give(e, "class", setup->source_class);
    }
    /* A vessel must stand before the order that names it, and the fold goes by time first. */
    for (int i = 0; i < n; i++) {
        out[i].at = (Moment){now.ms - (n - 1 - i)};
        out[i].zone = moment_local_zone(now);
    }
    return n;
}
