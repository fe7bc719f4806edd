/* How a form begins: its rows, and what they propose or hold before anything is typed. */
#include "tui/form.h"

#include "model/tell.h"
#include "tui/propose.h"

#include <stdio.h>
#include <string.h>

static void form_add(Form *form, int field, const App *app)
{
    if (field == FORM_TIME) {
        FormField *row = fields_add(&form->rows, field, "time", NULL,
                                    "18:30, yesterday 18:30, fri 18:30, 24 nov 18:30, -2h");
        snprintf(row->proposal, sizeof row->proposal, "now");
        return;
    }
    if (field == FORM_NOTE) {
        fields_add(&form->rows, field, "note", NULL, "in your own words")->required =
            form->kind->id == KIND_NOTE;
        return;
    }
    const Field *f = &form->kind->fields[field];
    FormField *row = fields_add(&form->rows, field, f->option, field_unit(f, app->units), f->help);
    row->required = f->required;
    row->may_be_new = f->may_be_new;
    row->list = form->kind->several && f->position == 1;
    propose(form->kind, field, &app->board, &app->state, row->proposal, sizeof row->proposal);
}

static void form_start(Form *form, KindId kind, const App *app)
{
    memset(form, 0, sizeof *form);
    form->kind = kind_of(kind);
    int order[FIELDS_MAX];
    int count = propose_order(form->kind, order, FIELDS_MAX - 2);
    if (kind == KIND_NOTE)
        form_add(form, FORM_NOTE, app);
    for (int i = 0; i < count; i++)
        form_add(form, order[i], app);
    form_add(form, FORM_TIME, app);
    if (kind != KIND_NOTE)
        form_add(form, FORM_NOTE, app);
}

static void propose_about(Form *form, const State *state, const char *about)
{
    Label label = label_of(text_of(about));
    for (int i = 0; i < form->rows.count; i++) {
        const Field *f = form_kind_field(form, &form->rows.fields[i]);
        if (f == NULL || f->type != FIELD_LABEL)
            continue;
        if (state_find(state, f->names, &label) < 0)
            continue;
        /* fields that share a place exclude each other */
        for (int k = 0; k < form->rows.count; k++) {
            const Field *other = form_kind_field(form, &form->rows.fields[k]);
            if (other != NULL && f->position > 0 && other->position == f->position)
                form->rows.fields[k].proposal[0] = '\0';
        }
        snprintf(form->rows.fields[i].proposal, FIELD_PROPOSAL, "%s", about);
        if (form->rows.active == i && i + 1 < form->rows.count &&
            form->rows.fields[i + 1].field < FORM_TIME)
            form->rows.active = i + 1; /* that much is said: the next field asks */
        return;
    }
}

void form_begin(Form *form, KindId kind, const App *app, const char *about)
{
    form_start(form, kind, app);
    if (about != NULL && *about)
        propose_about(form, &app->state, about);
    form_read(form, app);
}

static void form_row_propose(Form *form, const char *caption, const char *text)
{
    const int i = form_index(form, caption);
    if (i >= 0)
        snprintf(form->rows.fields[i].proposal, FIELD_PROPOSAL, "%s", text);
}

void form_begin_refill(Form *form, const App *app, const Stop *stop)
{
    char when[TIME_TYPED];
    Str names = {0};
    form_start(form, KIND_FILL, app);
    str_adds(&names, "");
    for (int i = 0; i < app->board.vessel_count; i++) {
        const BoardVessel *v = &app->board.vessels[i];
        if (v->place != PLACE_APART && v->volume < v->capacity)
            str_addf(&names, "%s%s", names.n > 0 ? ", " : "", v->label.s);
    }
    form_row_propose(form, "vessel", names.s);
    form_row_propose(form, "from", stop->label.s);
    form_row_propose(form, "time", time_typed((Moment){stop->eta}, when));
    str_finish(&names);
    event_clear(&form->with, KIND_UNSTOP);
    form->with.at = app->now;
    form->with.zone = moment_local_zone(app->now);
    form->with.u.name.name = stop->label;
    form->with.has = 1u;
    form_read(form, app);
}

void form_begin_class(Form *form, const App *app, const Source *source)
{
    char when[64];
    const Moment before = {source->leant.since - 1};
    form_start(form, KIND_SOURCE, app);
    form_row_propose(form, "source", source->label.s);
    entry_set(&form->rows.fields[form_index(form, "class")].typed,
              quality_name((Quality)source->quality)); /* typed: no row shows what is so already */
    form_row_propose(form, "time", moment_print_zone(before, moment_local_zone(before), when));
    form_read(form, app);
}

void form_begin_from(Form *form, const Event *entry, const App *app)
{
    form_start(form, (KindId)entry->kind, app);
    form->amends = true;
    form->amended = *entry;
    for (int i = 0; i < form->rows.count; i++) {
        FormField *row = &form->rows.fields[i];
        row->proposal[0] = '\0';
        row->list = false; /* it is one entry that is amended */
        Str value = {0};
        char out[64];
        if (row->field == FORM_TIME)
            str_adds(&value, moment_print_zone(entry->at, entry->zone, out));
        else if (row->field == FORM_NOTE)
            str_adds(&value, entry->note);
        else if (event_has(entry, row->field))
            event_typed(entry, row->field, app->units, &value);
        if (value.s != NULL)
            entry_set(&row->typed, value.s);
        str_finish(&value);
    }
    form_read(form, app);
}
