#include "screens/log_entry.h"

#include "model/field.h"
#include "model/tell.h"

const Entry *found_by_id(const App *app, const Uuid *id)
{
    for (int i = 0; i < app->found_count; i++)
        if (uuid_compare(&app->found[i].event.id, id) == 0)
            return &app->found[i];
    return NULL;
}

const Entry *found_void_of(const App *app, const Uuid *id)
{
    for (int i = 0; i < app->found_count; i++) {
        const Entry *e = &app->found[i];
        if (e->event.kind == KIND_VOID && !e->voided &&
            uuid_compare(&e->event.u.entry.entry, id) == 0)
            return e;
    }
    return NULL;
}

const Entry *found_in_place_of(const App *app, const Entry *old)
{
    for (int i = 0; i < app->found_count; i++) {
        const Entry *e = &app->found[i];
        if (!e->voided && e->event.kind == old->event.kind && e->event.at.ms == old->event.at.ms)
            return e;
    }
    return old;
}

const Discrepancy *discrepancy_of(const App *app, const Uuid *id)
{
    for (int i = 0; i < app->board.discrepancy_count; i++)
        if (uuid_compare(&app->board.discrepancies[i].entry, id) == 0)
            return &app->board.discrepancies[i];
    return NULL;
}

/* A void takes an entry back; a void of a void brings it back again, and so on. */
static void tell_target(const App *app, const Event *e, Str *out)
{
    char id[40];
    bool settles = e->kind == KIND_SETTLE, back = true;
    const Uuid *named = &e->u.entry.entry;
    const Entry *target = found_by_id(app, named);
    for (int i = 0; i < app->found_count && target != NULL && target->event.kind == KIND_VOID;
         i++) {
        back = !back;
        named = &target->event.u.entry.entry;
        target = found_by_id(app, named);
    }
    str_addf(out, "%s ",
             settles ? "settle: looked at"
             : back  ? "void: takes back"
                     : "void: brings back");
    if (target != NULL)
        event_tell(&target->event, app->units, false, out);
    else
        str_addf(out, "the entry %.13s", uuid_print(named, id));
}

void entry_tell(const App *app, const Entry *entry, Str *out)
{
    const Event *e = &entry->event;
    if (e->kind == KIND_VOID || e->kind == KIND_SETTLE)
        tell_target(app, e, out);
    else
        event_tell(e, app->units, false, out);
    if (e->note[0])
        str_addf(out, e->kind == KIND_NOTE ? ": %s" : " \"%s\"", e->note);
}

void entry_facts(const App *app, const Entry *entry, Facts *facts)
{
    char text[64], zone[64];
    const Event *e = &entry->event;
    const Kind *kind = kind_of((KindId)e->kind);
    Str value = {0};
    entry_tell(app, entry, &value);
    facts_add(facts, "entry", entry->voided ? INK_VOIDED : INK_STRONG, "%s", value.s);
    if (entry->voided)
        facts_add(facts, "", INK_VOIDED, "%s taken back: it does not count; x brings it back",
                  glyph(app->alphabet, GLYPH_MARK_VOIDED));
    const Discrepancy *differs = discrepancy_of(app, &e->id);
    if (differs != NULL) {
        str_clear(&value);
        discrepancy_tell(differs, app->units, &value);
        facts_add(facts, "differs", INK_CAUTION, "%s %s", glyph(app->alphabet, GLYPH_MARK_CAUTION),
                  value.s);
        facts_add(facts, "", INK_TEXT, "m puts it right, x takes it back, y settles it as it is");
    }
    facts_add(facts, "at", INK_TEXT, "%s (%s)", moment_print_local(e->at, app->now, text),
              moment_print_zone(e->at, e->zone, zone));
    for (int i = 0; i < kind->field_count; i++) {
        if (!event_has(e, i) || kind->fields[i].type == FIELD_ENTRY)
            continue;
        str_clear(&value);
        event_tell_field(e, i, app->units, &value);
        facts_add(facts, kind->fields[i].option, INK_TEXT, "%s", value.s);
    }
    if (e->note[0])
        facts_add(facts, "note", INK_TEXT, "%s", e->note);
    facts_add(facts, "kind", INK_QUIET, "%s", kind->gist);
    facts_add(facts, "id", INK_QUIET, "%s", uuid_print(&e->id, text));
    if (marks_hold(&app->machines, uuid_mark(&e->id)))
        facts_add(facts, "made on", INK_QUIET,
                  uuid_mark(&e->id) == app->machines.marks[0] ? "this machine (%06x)"
                                                              : "another machine (%06x)",
                  (unsigned)uuid_mark(&e->id));
    str_finish(&value);
}
