#include "tui/form.h"

#include "base/memory.h"
#include "model/fold.h"
#include "paint/width.h"
#include "tui/propose.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const Field *form_kind_field(const Form *form, const FormField *f)
{
    return f->field < form->kind->field_count ? &form->kind->fields[f->field] : NULL;
}

/* A text is completed where it stands for something that is there; never where a thing is being
 * named for the first time. */
static bool field_completes(const Field *f)
{
    return f && f->type == FIELD_LABEL && f->names != NAMES_NOTHING &&
           !(f->may_be_new && f->required);
}

static void form_add(Form *form, int field, const App *app)
{
    if (field == FORM_TIME) {
        FormField *row = fields_add(&form->rows, field, "time", NULL,
                                    "18:30, yesterday 18:30, -2h, 2026-11-24 18:30");
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
        if (!f || f->type != FIELD_LABEL)
            continue;
        bool known = (f->names == NAMES_VESSEL && state_vessel(state, &label) >= 0) ||
                     (f->names == NAMES_LINE && state_line(state, &label) >= 0) ||
                     (f->names == NAMES_STAGE && state_stage(state, &label) >= 0) ||
                     (f->names == NAMES_SOURCE && state_source(state, &label) >= 0) ||
                     (f->names == NAMES_STOP && state_stop(state, &label) >= 0);
        if (!known)
            continue;
        for (int k = 0; k < form->rows.count;
             k++) { /* fields that share a place exclude each other */
            const Field *other = form_kind_field(form, &form->rows.fields[k]);
            if (other && f->position > 0 && other->position == f->position)
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
    if (about && *about)
        propose_about(form, &app->state, about);
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
        Str value = {0};
        if (row->field == FORM_TIME) {
            char out[64];
            str_adds(&value, moment_print_zone(entry->at, entry->zone, out));
        } else if (row->field == FORM_NOTE) {
            str_adds(&value, entry->note);
        } else if (!event_get(entry, row->field, &value)) {
            str_clear(&value);
        } else if (app->units != UNITS_METRIC) { /* exact, and a bare number is in other units */
            const FieldType type = form->kind->fields[row->field].type;
            str_adds(&value, type == FIELD_VOLUME     ? " L"
                             : type == FIELD_MASS     ? " kg"
                             : type == FIELD_PRESSURE ? " kPa"
                                                      : "");
        }
        if (value.s)
            entry_set(&row->typed, value.s);
        str_finish(&value);
    }
    form_read(form, app);
}

void form_finish(Form *form)
{
    str_finish(&form->changes);
}

/* A proposal counts while nothing is typed into the field, nor into one that excludes it. */
static bool proposal_counts(const Form *form, int index)
{
    const Field *f = form_kind_field(form, &form->rows.fields[index]);
    if (!f || f->position == 0)
        return true;
    for (int i = 0; i < form->rows.count; i++) {
        const FormField *row = &form->rows.fields[i];
        const Field *other = form_kind_field(form, row);
        if (i != index && other && other->position == f->position && row->typed.text[0])
            return false;
    }
    return true;
}

int form_index(const Form *form, const char *caption)
{
    for (int i = 0; i < form->rows.count; i++) {
        if (strcmp(form->rows.fields[i].caption, caption) == 0)
            return i;
    }
    return -1;
}

static void field_echo(Form *form, FormField *row, uint32_t had, const App *app)
{
    const Field *f = form_kind_field(form, row);
    Event *e = &form->entry;
    char out[64];
    if (!f) {
        if (row->field == FORM_TIME) {
            moment_print_local(e->at, app->now, out);
            snprintf(row->echo, sizeof row->echo, "%s %c%02d:%02d", out, e->zone < 0 ? '-' : '+',
                     abs(e->zone) / 60, abs(e->zone) % 60);
        }
        return;
    }
    if (f->type == FIELD_MOMENT && event_has(e, row->field)) {
        moment_print_local((Moment){*field_number(e, f)}, app->now, out);
        snprintf(row->echo, sizeof row->echo, "%s", out);
        return;
    }
    if (f->type != FIELD_VOLUME)
        return;
    for (int i = 0; i < form->kind->field_count; i++) { /* "full" as litres sets the level */
        const Field *other = &form->kind->fields[i];
        bool fresh = event_has(e, i) && (i == row->field || !(had >> i & 1u));
        if (!fresh || other->type != FIELD_VOLUME)
            continue;
        volume_print((Volume){*field_number(e, other)}, app->units, out);
        if (i == row->field)
            snprintf(row->echo, sizeof row->echo, "%s", out);
        else
            snprintf(row->echo, sizeof row->echo, "%s %s", other->name, out);
    }
}

/* An order is typed with commas, or, where no name has a space in it, simply with spaces. */
static bool order_set(Event *e, int field, Text text, const Reading *reading, Fault *fault)
{
    Event words = *e;
    Fault unused = {0};
    bool good = true;
    for (Text rest = text; good && rest.n > 0;) {
        Text word = text_trim(text_cut(&rest, ' '));
        good = word.n == 0 || event_set(&words, field, word, reading, &unused);
    }
    if (!good)
        return event_set(e, field, text, reading, fault);
    *e = words;
    return true;
}

/* Names that an amended entry has already stand, also of what is aboard no longer: they were good
 * at its time, and the log has the last word. */
static bool names_kept(Form *form, const FormField *row)
{
    const Field *f = form_kind_field(form, row);
    Str was = {0};
    if (!form->amends || !f || (f->type != FIELD_LABEL && f->type != FIELD_LABELS))
        return false;
    bool same = event_get(&form->amended, row->field, &was) && strcmp(was.s, row->typed.text) == 0;
    str_finish(&was);
    if (same && f->type == FIELD_LABEL)
        *field_label(&form->entry, f) = *field_label_of(&form->amended, f);
    else if (same)
        form->entry.u.couple = form->amended.u.couple;
    if (same)
        form->entry.has |= 1u << row->field;
    return same;
}

static void row_read(Form *form, int index, const App *app)
{
    FormField *row = &form->rows.fields[index];
    const Field *f = form_kind_field(form, row);
    Event *e = &form->entry;
    Fault fault = {0};
    field_clear(row);
    if (names_kept(form, row))
        return;
    if (field_completes(f))
        field_complete(row, f->names, &app->state);
    row->idle = !proposal_counts(form, index);
    const char *value = field_value(row);
    if (row->field == FORM_NOTE) {
        if (!event_set_note(e, text_of(value), &fault))
            field_wrong(row, fault.text);
    } else if (row->field == FORM_TIME) {
        int zone = 0;
        if (!moment_parse_past(text_of(value), app->now, &e->at, &zone, &fault))
            field_wrong(row, fault.text);
        else
            e->zone = zone;
    } else if (value[0]) {
        Reading reading = {&app->state, app->now, app->units};
        uint32_t had = e->has;
        bool order = f->type == FIELD_LABELS;
        if (!(order ? order_set : event_set)(e, row->field, text_trim(text_of(value)), &reading,
                                             &fault))
            field_wrong(row, fault.text);
        else
            field_echo(form, row, had, app);
    }
    if (row->required && !value[0] && !row->wrong)
        field_wrong(row, "needed");
    if (row->field == FORM_TIME && !row->wrong)
        field_echo(form, row, 0, app);
}

/* What the entry would change: `board` is that of the state before. */
static void form_preview(Form *form, const Board *board, const Trial *trial, const App *app)
{
    Board *next = memory_get(sizeof *next);
    board_make(next, trial->after, trial->entries, app->now);
    str_clear(&form->changes);
    board_changes(&form->entry, board, next, trial->before, trial->after, app->units,
                  &form->changes);
    free(next);
}

void form_read(Form *form, const App *app)
{
    event_clear(&form->entry, form->kind->id);
    const State *state = &app->state;
    form->entry.at = app->now;
    form->entry.zone = moment_local_zone(app->now);
    form->refusal[0] = '\0';
    form->ready = form->backdated = false;
    str_clear(&form->changes);

    /* Names first: an amount is understood against the vessel that it is measured in. */
    bool wrong = false;
    for (int pass = 0; pass < 2; pass++) {
        for (int i = 0; i < form->rows.count; i++) {
            if (pass == 1 && !form->amends)
                propose_tested(&form->entry, form->rows.fields[i].field, state,
                               form->rows.fields[i].proposal, FIELD_PROPOSAL);
            const Field *f = form_kind_field(form, &form->rows.fields[i]);
            bool name = f && (f->type == FIELD_LABEL || f->type == FIELD_LABELS);
            if (name == (pass == 0)) {
                row_read(form, i, app);
                wrong = wrong || form->rows.fields[i].wrong;
            }
        }
    }
    if (wrong)
        return;
    Fault fault = {0};
    const bool placed = form->amends || event_place(state, &form->entry, app->now, &fault);
    form->backdated = form->entry.at.ms < state->last_at && placed;
    if (!placed) {
        snprintf(form->refusal, sizeof form->refusal, "%s", fault.text);
        return;
    }
    if (form->backdated ? !event_check_fields(&form->entry, &fault)
                        : !event_check(state, &form->entry, app->now, &fault)) {
        snprintf(form->refusal, sizeof form->refusal, "%s", fault.text);
        return;
    }
    form->ready = true;
    if (form->backdated)
        return;
    State *after = memory_get(sizeof *after);
    *after = *state;
    fold_apply(after, &form->entry);
    form_preview(form, &app->board, &(Trial){state, after, app->board.entries + 1, NULL}, app);
    free(after);
}

void form_tried(Form *form, const Trial *trial, const App *app)
{
    str_clear(&form->changes);
    if (trial->fault) {
        form->ready = false;
        snprintf(form->refusal, sizeof form->refusal, "%s", trial->fault->text);
        return;
    }
    Board *board = memory_get(sizeof *board);
    board_make(board, trial->before, trial->entries, app->now);
    form_preview(form, board, trial, app);
    backdated_tell(&form->entry, trial->before, trial->after, app->now, &form->changes);
    free(board);
}

bool form_key(Form *form, Press press, const App *app)
{
    static const char *const YES_NO[] = {"yes", "no", NULL};
    const Field *f = form_kind_field(form, &form->rows.fields[form->rows.active]);
    Choices choices = {.count = 0};
    if (f && f->type == FIELD_LABEL && f->names != NAMES_NOTHING)
        choices_names(&choices, f->names, &app->state);
    else if (f && f->type == FIELD_FLAG)
        choices_add(&choices, YES_NO);
    else if (f && f->type == FIELD_CHOICE)
        choices_add(&choices, f->choices);
    return fields_key(&form->rows, press, &choices);
}
