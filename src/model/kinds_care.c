/* The kind about reminders: putoff. What is due stays due; only its reminder is quiet for a while.
 */
#include "model/kinds_private.h"

#include "base/whole.h"

/* Left out, a reminder is acknowledged: it comes again after a week. None is quiet for more than a
 * year, whatever was logged: a slip in a date must not silence it for good. */
#define PUTOFF_DAYS 7
#define PUTOFF_DAYS_MAX 366

static const char *const care_words[] = {"swap", "sanitise", "water", NULL};
enum { PUTOFF_VESSEL, PUTOFF_STAGE, PUTOFF_UNTIL, PUTOFF_WHAT };
static const Field putoff_fields[] = {
    [PUTOFF_VESSEL] = {.name = "vessel",
                       .option = "vessel",
                       .help = "the vessel whose reminder was seen",
                       .type = FIELD_LABEL,
                       .names = NAMES_VESSEL,
                       .position = 1,
                       .column = COLUMN_NAME,
                       .offset = offsetof(Event, u.putoff.vessel)},
    [PUTOFF_STAGE] = {.name = "stage",
                      .option = "stage",
                      .help = "the stage whose reminder was seen",
                      .type = FIELD_LABEL,
                      .names = NAMES_STAGE,
                      .position = 1,
                      .column = COLUMN_OTHER,
                      .offset = offsetof(Event, u.putoff.stage)},
    [PUTOFF_UNTIL] = {.name = "until",
                      .option = "until",
                      .help = "when it is to come again; left out: in 7 days",
                      .type = FIELD_MOMENT,
                      .min = MOMENT_MIN_MS,
                      .max = MOMENT_MAX_MS,
                      .position = 2,
                      .column = COLUMN_N2,
                      .offset = offsetof(Event, u.putoff.until)},
    [PUTOFF_WHAT] = {.name = "what",
                     .option = "what",
                     .help = "which reminder; needed for a vessel",
                     .type = FIELD_CHOICE,
                     .choices = care_words,
                     .max = CARE_WATER,
                     .column = COLUMN_CODE,
                     .offset = offsetof(Event, u.putoff.care)},
};

static bool putoff_complete(const Event *e, Fault *fault)
{
    const bool vessel = event_has(e, PUTOFF_VESSEL), stage = event_has(e, PUTOFF_STAGE);
    const bool what = event_has(e, PUTOFF_WHAT);
    if (vessel == stage)
        return fault_set(fault, FAULT_USAGE,
                         "putoff: give a stage or a vessel, one of the two. For example: ullage "
                         "putoff %s",
                         kind_putoff.example);
    if (stage && what && e->u.putoff.care != CARE_SWAP)
        return fault_set(fault, FAULT_USAGE,
                         "putoff: %s is a stage, which is swapped and not '%s'. Leave 'what' out.",
                         e->u.putoff.stage.s, care_words[e->u.putoff.care]);
    if (vessel && (!what || e->u.putoff.care == CARE_SWAP))
        return fault_set(fault, FAULT_USAGE,
                         "putoff: say what of %s is put off: sanitise or water.",
                         e->u.putoff.vessel.s);
    return true;
}

static bool putoff_check(const State *state, const Event *e, Fault *fault)
{
    const PutoffEvent *p = &e->u.putoff;
    char until[64];
    if (event_has(e, PUTOFF_STAGE) ? !must_exist(state, NAMES_STAGE, &p->stage, fault)
                                   : !must_exist(state, NAMES_VESSEL, &p->vessel, fault))
        return false;
    if (!event_has(e, PUTOFF_UNTIL))
        return true;
    if (p->until <= e->at.ms)
        return fault_set(fault, FAULT_REFUSED,
                         "%s is not after the entry: a reminder is put off to a time ahead, as in "
                         "+7d.",
                         moment_print_zone((Moment){p->until}, e->zone, until));
    if (p->until > e->at.ms + PUTOFF_DAYS_MAX * MS_PER_DAY)
        return fault_set(fault, FAULT_REFUSED,
                         "%s is more than a year ahead: a reminder can't be quiet for so long. "
                         "Give an earlier time.",
                         moment_print_zone((Moment){p->until}, e->zone, until));
    return true;
}

static int64_t putoff_until(const Event *e)
{
    const int64_t most = e->at.ms + PUTOFF_DAYS_MAX * MS_PER_DAY;
    if (!event_has(e, PUTOFF_UNTIL))
        return e->at.ms + PUTOFF_DAYS * MS_PER_DAY;
    return int64_smaller(e->u.putoff.until, most);
}

static void putoff_apply(State *state, const Event *e)
{
    const PutoffEvent *p = &e->u.putoff;
    use_seen(&state->use, e->at.ms, e->zone);
    if (event_has(e, PUTOFF_STAGE)) {
        const int stage = stage_or_discrepancy(state, e, &p->stage);
        if (stage >= 0)
            state->stages[stage].put_off = putoff_until(e);
        return;
    }
    Vessel *v = vessel_or_discrepancy(state, e, &p->vessel);
    if (v == NULL)
        return;
    if (p->care == CARE_WATER)
        v->water_put_off = putoff_until(e);
    else
        v->sanitise_put_off = putoff_until(e);
}

static const Field leadtime_fields[] = {
    {.name = "days",
     .option = "days",
     .unit = "d",
     .help = "14 until it is said; a part without a spare is told so many earlier",
     .type = FIELD_COUNT,
     .required = true,
     .position = 1,
     .min = 1,
     .max = LEAD_DAYS_MAX,
     .column = COLUMN_N1,
     .offset = offsetof(Event, u.leadtime.days)},
};

static void leadtime_apply(State *state, const Event *e)
{
    use_seen(&state->use, e->at.ms, e->zone);
    state->lead_days = e->u.leadtime.days;
}

static bool leadtime_present(const State *state, const Event *e, Event *out)
{
    (void)e;
    out->u.leadtime.days = state->lead_days;
    out->has = 1u;
    return true;
}

const Kind kind_leadtime = {
    .id = KIND_LEADTIME,
    .name = "leadtime",
    .gist = "how many days ahead what falls due is told",
    .example = "21",
    FIELDS(leadtime_fields),
    .present = leadtime_present,
    .apply = leadtime_apply,
};

const Kind kind_putoff = {
    .id = KIND_PUTOFF,
    .name = "putoff",
    .gist = "a reminder was seen: it is quiet until a time, and what is due stays due",
    .example = "sediment +7d",
    .caution = "A cartridge, a lamp or water past its life is not made better by it: "
               "verdicts and classes stay what they are.",
    FIELDS(putoff_fields),
    .complete = putoff_complete,
    .check = putoff_check,
    .apply = putoff_apply,
};
