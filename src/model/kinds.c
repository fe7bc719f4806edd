#include "model/kinds.h"

#include "model/kinds_private.h"

static const Kind *const kinds[KIND_END] = {
    [KIND_FILL] = &kind_fill,
    [KIND_DRAW] = &kind_draw,
    [KIND_SOUND] = &kind_sound,
    [KIND_DECANT] = &kind_decant,
    [KIND_DUMP] = &kind_dump,
    [KIND_SANITISE] = &kind_sanitise,
    [KIND_TREAT] = &kind_treat,
    [KIND_COUPLE] = &kind_couple,
    [KIND_PRESSURISE] = &kind_pressurise,
    [KIND_SWAP] = &kind_swap,
    [KIND_SPARES] = &kind_spares,
    [KIND_FLOWTEST] = &kind_flowtest,
    [KIND_VESSEL] = &kind_vessel,
    [KIND_RETIRE] = &kind_retire,
    [KIND_STAGE] = &kind_stage,
    [KIND_UNSTAGE] = &kind_unstage,
    [KIND_SOURCE] = &kind_source,
    [KIND_CREW] = &kind_crew,
    [KIND_STOP] = &kind_stop,
    [KIND_UNSTOP] = &kind_unstop,
    [KIND_NOTE] = &kind_note,
    [KIND_VOID] = &kind_void,
    [KIND_SETTLE] = &kind_settle,
    [KIND_PUTOFF] = &kind_putoff,
    [KIND_TEST] = &kind_test,
    [KIND_METER] = &kind_meter,
    [KIND_LEADTIME] = &kind_leadtime,
};

const Kind *kind_of(KindId id)
{
    return (unsigned)id < KIND_END ? kinds[id] : NULL;
}

const Kind *kind_named(Text name)
{
    for (int i = 1; i < KIND_END; i++)
        if (text_is(name, kinds[i]->name))
            return kinds[i];
    return NULL;
}

const Kind *kind_nearest(Text name)
{
    Nearest near = {.asked = name};
    for (int i = 1; i < KIND_END; i++)
        nearest_offer(&near, kinds[i]->name);
    return near.name != NULL ? kind_named(text_of(near.name)) : NULL;
}
