#include "model/tell.h"

#include "model/field.h"
#include "model/kinds_private.h"

#include <stdio.h>
#include <string.h>

void event_tell_field(const Event *e, int field, Units units, Str *out)
{
    const Field *f = &kind_of((KindId)e->kind)->fields[field];
    char text[64];
    switch (f->type) {
    case FIELD_VOLUME:
        if (units == UNITS_METRIC)
            str_adds(out, litres(field_number_of(e, f), text));
        else
            str_adds(out, volume_print((Volume){field_number_of(e, f)}, units, text));
        return;
    case FIELD_PRESSURE:
        str_adds(out, f->limit ? pressure_print_exact(field_number_of(e, f), text)
                               : pressure_print(field_number_of(e, f), units, text));
        return;
    case FIELD_MASS:
        str_adds(out, mass_print(field_number_of(e, f), units, text));
        return;
    case FIELD_TEMPERATURE:
        str_adds(out, temperature_print(field_number_of(e, f), units, text));
        return;
    case FIELD_ALTITUDE:
        str_adds(out, altitude_print(field_number_of(e, f), units, text));
        return;
    case FIELD_LABELS:
        for (int i = 0; i < e->u.couple.count; i++)
            str_addf(out, "%s%s", i > 0 ? " " : "", e->u.couple.order[i].s);
        if (e->u.couple.count == 0)
            str_adds(out, "(none)");
        return;
    case FIELD_ENTRY: {
        Uuid id;
        memcpy(&id, (const char *)e + f->offset, sizeof id);
        str_adds(out, uuid_print(&id, text));
        return;
    }
    case FIELD_MOMENT:
        str_adds(out, moment_print_local((Moment){field_number_of(e, f)}, e->at, text));
        return;
    case FIELD_FLAG:
        str_adds(out, field_number_of(e, f) != 0 ? "yes" : "no");
        return;
    case FIELD_DECIMAL:
        if (!f->flow || units == UNITS_METRIC)
            break;
        str_addf(out, "%s %s/min",
                 volume_print_round((Volume){field_number_of(e, f)}, units, ROUND_DOWN, text),
                 volume_unit(units));
        return;
    case FIELD_LABEL:
    case FIELD_COUNT:
    case FIELD_CHOICE:
        break;
    }
    event_get(e, field, out);
    if (f->unit != NULL)
        str_addf(out, " %s", f->unit);
}

void event_tell(const Event *e, Units units, bool with_note, Str *out)
{
    const Kind *kind = kind_of((KindId)e->kind);
    str_adds(out, kind->name);
    for (int i = 0; i < kind->field_count; i++) {
        if (!event_has(e, i))
            continue;
        const Field *f = &kind->fields[i];
        if (f->type == FIELD_FLAG) {
            str_addf(out, field_number_of(e, f) != 0 ? " %s" : " not %s", f->option);
            continue;
        }
        if (f->position == 0)
            str_addf(out, " %s", f->option);
        str_addc(out, ' ');
        event_tell_field(e, i, units, out);
    }
    if (with_note && e->note[0] != '\0')
        str_addf(out, " \"%s\"", e->note);
}

char *time_typed(Moment m, char out[TIME_TYPED])
{
    const Civil c = moment_local(m);
    snprintf(out, TIME_TYPED, "%04d-%02d-%02d %02d:%02d", c.year, c.month, c.day, c.hour, c.minute);
    return out;
}

void event_typed(const Event *e, int field, Units units, Str *out)
{
    const Field *f = &kind_of((KindId)e->kind)->fields[field];
    if (f->type == FIELD_MOMENT) {
        char when[TIME_TYPED];
        str_adds(out, time_typed((Moment){field_number_of(e, f)}, when));
        return;
    }
    if (!event_get(e, field, out) || units == UNITS_METRIC)
        return;
    str_adds(out, f->type == FIELD_VOLUME        ? " L"
                  : f->type == FIELD_MASS        ? " kg"
                  : f->type == FIELD_PRESSURE    ? " kPa"
                  : f->type == FIELD_TEMPERATURE ? " C"
                  : f->type == FIELD_ALTITUDE    ? " m"
                                                 : "");
}

static const char *twice_ago(int64_t ms, char out[40])
{
    const long long minutes = ms / MS_PER_MINUTE;
    if (minutes == 0)
        return "in the same minute";
    snprintf(out, 40, "%lld minute%s before", minutes, minutes == 1 ? "" : "s");
    return out;
}

void discrepancy_tell(const Discrepancy *d, Units units, Str *out)
{
    char amount[40];
    volume_print((Volume){d->amount}, units, amount);
    if (units == UNITS_METRIC)
        litres(d->amount, amount);
    const Kind *kind = kind_of((KindId)d->entry_kind);
    str_addf(out, "%s %s: ", kind != NULL ? kind->name : "entry", d->name.s);
    switch ((DiscrepancyKind)d->kind) {
    case DISCREPANCY_GAIN:
        str_addf(out, "%s more than reckoned; a fill may be missing from the log", amount);
        return;
    case DISCREPANCY_DRAW_BEYOND:
        str_addf(out, "%s more went out than was there; a fill may be missing from the log",
                 amount);
        return;
    case DISCREPANCY_PAST_BRIM:
        str_addf(out, "%s more than the vessel holds; check the amount or its capacity", amount);
        return;
    case DISCREPANCY_NO_SUCH:
        str_adds(out, "no such vessel, line, stage or stop at that time; name it earlier, or void "
                      "the entry");
        return;
    case DISCREPANCY_NOT_RAISED:
        str_adds(out, "treatment did not raise its class: it was non-potable, or empty, or a test "
                      "had found coliforms");
        return;
    case DISCREPANCY_ABOVE_HEEL:
        str_addf(out, "not sanitised: it held %s above its heel", amount);
        return;
    case DISCREPANCY_COUPLED:
        str_adds(out, "drawn by its own label while it was coupled in a line");
        return;
    case DISCREPANCY_CLASS_IGNORED:
        str_adds(out, "was named before: the class and level given here are left out of account");
        return;
    case DISCREPANCY_NO_ROOM:
        str_adds(out, "one more than can be kept; it is left out of account");
        return;
    case DISCREPANCY_LEVEL_FELL:
        str_addf(out, "ends %s lower than reckoned before the fill", amount);
        return;
    case DISCREPANCY_METER_FEWER:
        str_addf(out, "%s fewer than the draws that were logged; check them, or the meter", amount);
        return;
    case DISCREPANCY_RUN_LONG:
        str_addf(out, "water ran on for over %d minutes, %s so far; a leak, or a tap left open?",
                 METER_RUN_MINUTES, amount);
        return;
    case DISCREPANCY_RUN_DRIP:
        str_addf(out, "water ran in every quarter of an hour for %d hours, %s; a leak?",
                 METER_DRIP_QUARTERS / 4, amount);
        return;
    case DISCREPANCY_TWICE:
        str_addf(out,
                 "likely the one that another machine logged %s; both count until one is taken "
                 "back",
                 twice_ago(d->amount, amount));
        return;
    case DISCREPANCY_SAME_VESSEL:
        str_adds(out, "names the same vessel twice");
        return;
    case DISCREPANCY_LEAK:
        str_addf(out, "%s are missing from %s; a leak?", amount, d->name.s);
        return;
    }
}
