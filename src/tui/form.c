#include "tui/form.h"

#include "base/memory.h"
#include "model/fold.h"
#include "model/names.h"
#include "model/tell.h"
#include "outlook/words.h"
#include "paint/width.h"
#include "tui/propose.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

const Field *form_kind_field(const Form *form, const FormField *row)
{
    return row->field < form->kind->field_count ? &form->kind->fields[row->field] : NULL;
}

/* A text is completed where it stands for something that is there; never where a thing is being
 * named for the first time. */
static bool field_completes(const Field *f)
{
    return f != NULL && f->type == FIELD_LABEL && f->names != NAMES_NOTHING &&
           !(f->may_be_new && f->required);
}

void form_finish(Form *form)
{
    str_finish(&form->changes);
}

/* A proposal counts while nothing is typed into the field, nor into one that excludes it. */
static bool proposal_counts(const Form *form, int index)
{
    const Field *f = form_kind_field(form, &form->rows.fields[index]);
    if (f == NULL || f->position == 0)
        return true;
    for (int i = 0; i < form->rows.count; i++) {
        const FormField *row = &form->rows.fields[i];
        const Field *other = form_kind_field(form, row);
        if (i != index && other != NULL && other->position == f->position && row->typed.text[0])
            return false;
    }
    return true;
}

int form_index(const Form *form, const char *caption)
{
    for (int i = 0; i < form->rows.count; i++)
        if (strcmp(form->rows.fields[i].caption, caption) == 0)
            return i;
    return -1;
}

static void field_echo(Form *form, FormField *row, uint32_t had, const App *app)
{
    const Field *f = form_kind_field(form, row);
    Event *e = &form->entry;
    char out[64];
    if (f == NULL) {
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
    if (!form->amends || f == NULL || (f->type != FIELD_LABEL && f->type != FIELD_LABELS))
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

/* The vessels that a row names, where it is more than one; 0: one, or none. */
static int list_read(FormField *row, const App *app, Label names[VESSELS_ABOARD_MAX], Fault *fault)
{
    const Text value = text_trim(text_of(field_value(row)));
    const Label whole = label_of(value);
    if (!row->list || row->completed[0] || strpbrk(value.s, " ,-") == NULL ||
        state_vessel(&app->state, &whole) >= 0)
        return 0;
    return names_list(&app->state, value, names, VESSELS_ABOARD_MAX, fault);
}

static void list_echo(FormField *row, const Label *names, int count)
{
    Str all = {0};
    for (int i = 0; i < count; i++)
        str_addf(&all, "%s%s", i > 0 ? " " : "", names[i].s);
    snprintf(row->echo, sizeof row->echo, "%s", all.s);
    str_finish(&all);
}

static void copy_present(Form *form, const Field *f, int field)
{
    Event *e = &form->entry;
    if (f->type == FIELD_LABELS)
        e->u.couple = form->present.u.couple;
    else if (f->type == FIELD_LABEL)
        *field_label(e, f) = *field_label_of(&form->present, f);
    else
        *field_number(e, f) = field_number_of(&form->present, f);
    e->has |= 1u << field;
}

static void time_read(Form *form, FormField *row, const App *app)
{
    char was[64];
    Event *e = &form->entry;
    Fault fault = {0};
    int zone = 0;
    if (form->amends && strcmp(row->typed.text,
                               moment_print_zone(form->amended.at, form->amended.zone, was)) == 0) {
        e->at = form->amended.at;
        e->zone = form->amended.zone;
    } else if (!moment_parse_past(text_of(field_value(row)), app->now, &e->at, &zone, &fault)) {
        field_wrong(row, fault.text);
    } else {
        e->zone = zone;
    }
}

/* A name that is kept as it was typed is the name, however near it is to another. */
static bool name_typed(Form *form, const FormField *row, const Field *f, Fault *fault)
{
    return label_set(field_label(&form->entry, f), text_trim(text_of(row->typed.text)), fault) &&
           (form->entry.has |= 1u << row->field) != 0;
}

static void form_value_read(Form *form, FormField *row, const Field *f, const App *app)
{
    const Reading reading = {&app->state, app->now, app->units};
    const uint32_t had = form->entry.has;
    Text value = text_trim(text_of(field_value(row)));
    const char *level = f->type == FIELD_VOLUME ? level_word_begun(value) : NULL;
    if (level != NULL) /* a letter is enough where the effect is seen before Enter; only there */
        value = text_of(level);
    Fault fault = {0};
    const bool good = row->as_typed && f->type == FIELD_LABEL ? name_typed(form, row, f, &fault)
                      : f->type == FIELD_LABELS
                          ? order_set(&form->entry, row->field, value, &reading, &fault)
                          : event_set(&form->entry, row->field, value, &reading, &fault);
    if (good)
        field_echo(form, row, had, app);
    else
        field_wrong(row, fault.text);
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
        time_read(form, row, app);
    } else if (row->present && !row->typed.text[0]) {
        if (row->required && f != NULL)
            copy_present(form, f, row->field);
        return;
    } else if (value[0] && f != NULL && !row->wrong) {
        form_value_read(form, row, f, app);
    }
    if (row->required && !value[0] && !row->wrong)
        field_wrong(row, "needed");
    if (row->field == FORM_TIME && !row->wrong)
        field_echo(form, row, 0, app);
}

/* ---- what is known of the thing now ---- */

static void present_words(const Form *form, FormField *row, const App *app)
{
    Str value = {0};
    row->present = event_has(&form->present, row->field);
    row->proposal[0] = '\0';
    if (!row->present)
        return;
    event_typed(&form->present, row->field, app->units, &value);
    for (char *c = value.s; c != NULL && *c; c++)
        if (*c == ';')
            *c = ' ';
    snprintf(row->proposal, sizeof row->proposal, "%s", value.s != NULL ? value.s : "");
    str_finish(&value);
}

/* The rows show what is known of the thing, as soon as it is one that is there. */
static void rows_present(Form *form, const App *app)
{
    if (form->kind->present == NULL || form->amends)
        return;
    event_clear(&form->present, form->kind->id);
    const bool shown = form->shows;
    form->shows = form->kind->present(&app->state, &form->entry, &form->present);
    for (int i = 0; i < form->rows.count && (form->shows || shown); i++) {
        FormField *row = &form->rows.fields[i];
        const Field *f = form_kind_field(form, row);
        if (f != NULL && !(f->type == FIELD_LABEL && f->required))
            present_words(form, row, app);
    }
}

/* Does it say no more than what is there? */
static bool says_nothing(const Form *form)
{
    if (form->amends) {
        Event same = form->entry;
        same.id = form->amended.id;
        return event_equal(&same, &form->amended);
    }
    for (int i = 0; i < form->rows.count && form->shows; i++) {
        const FormField *row = &form->rows.fields[i];
        const Field *f = form_kind_field(form, row);
        const bool name = f != NULL && f->type == FIELD_LABEL && f->required;
        if (!name && row->typed.text[0] && row->field != FORM_TIME)
            return false;
    }
    return form->shows;
}

/* ---- reading it all ---- */

/* Every row. `each`: the one of several vessels that the entry is about; NULL: there is but one.
 * Names first: an amount is understood against the vessel that it is measured in. */
static bool rows_read(Form *form, const App *app, const Label *each)
{
    bool wrong = false;
    event_clear(&form->entry, form->kind->id);
    form->entry.at = app->now;
    form->entry.zone = moment_local_zone(app->now);
    if (form->kind->field_count > 0 && form->kind->fields[0].type != FIELD_LABEL)
        rows_present(form, app);
    for (int pass = 0; pass < 2; pass++) {
        for (int i = 0; i < form->rows.count; i++) {
            FormField *row = &form->rows.fields[i];
            const Field *f = form_kind_field(form, row);
            const bool name = f != NULL && (f->type == FIELD_LABEL || f->type == FIELD_LABELS);
            if (name != (pass == 0))
                continue;
            if (pass == 1 && !form->amends)
                propose_tested(&form->entry, row->field, &app->state, row->proposal,
                               FIELD_PROPOSAL);
            if (each != NULL && row->list) {
                *field_label(&form->entry, f) = *each;
                form->entry.has |= 1u << row->field;
            } else {
                row_read(form, i, app);
            }
            wrong = wrong || row->wrong;
            if (f != NULL && f->type == FIELD_LABEL && f->required)
                rows_present(form, app);
        }
    }
    return !wrong;
}

/* An entry for each vessel that is named, as they would be written; false: a row is wrong. */
static bool entries_read(Form *form, const App *app)
{
    Label names[VESSELS_ABOARD_MAX];
    Fault fault = {0};
    FormField *row = &form->rows.fields[0];
    field_clear(row);
    field_complete(row, row->list ? NAMES_VESSEL : NAMES_NOTHING, &app->state);
    const int count = list_read(row, app, names, &fault);
    form->count = 0;
    if (fault.kind != FAULT_NONE) {
        (void)rows_read(form, app, NULL);
        field_clear(row);
        field_wrong(row, fault.text);
        return false;
    }
    for (int i = 0; i < (count > 0 ? count : 1); i++) {
        field_clear(row);
        if (!rows_read(form, app, count > 0 ? &names[i] : NULL))
            return false;
        form->entries[form->count++] = form->entry;
    }
    form->entry = form->entries[0];
    if (count > 0)
        list_echo(row, names, count);
    return true;
}

/* Tries them one after the other on a copy of the state; what they bring with them joins them. */
static bool entries_try(Form *form, State *after, const App *app, Fault *fault)
{
    Event more = {.kind = KIND_NONE};
    for (int i = 0; i < form->count; i++) {
        Event *e = &form->entries[i];
        if (!form->backdated &&
            (!event_place(after, e, app->now, fault) || !event_check(after, e, app->now, fault)))
            return false;
        if (form->backdated && !event_check_fields(e, fault))
            return false;
        if (more.kind == KIND_NONE && !form->amends && form->kind->brings != NULL &&
            !form->kind->brings(after, e, &more))
            more.kind = KIND_NONE;
        if (!form->backdated)
            fold_apply(after, e);
    }
    if (more.kind != KIND_NONE)
        form->entries[form->count++] = more;
    if (form->with.kind != KIND_NONE)
        form->entries[form->count++] = form->with;
    for (int i = form->count - 1; i >= 0 && !form->backdated; i--) {
        /* what was brought has not been folded yet */
        if (form->entries[i].kind == (int32_t)form->kind->id)
            break;
        fold_apply(after, &form->entries[i]);
    }
    return true;
}

/* A verdict that changes for the worse stands beside the key that would do it. */
static void form_becomes(Form *form, const Board *was, const Board *is)
{
    for (int i = 0; i < is->line_count && !form->becomes[0]; i++) {
        const BoardLine *line = &is->lines[i], *before = NULL;
        for (int k = 0; k < was->line_count; k++)
            if (label_equal(&was->lines[k].label, &line->label))
                before = &was->lines[k];
        const bool worse =
            line->verdict > VERDICT_DRINK && (before == NULL || line->verdict > before->verdict);
        if (line->delivers && worse)
            snprintf(form->becomes, sizeof form->becomes, "%s becomes %s",
                     is->line_count > 1 ? line->label.s : "tap", tap_verdict(line));
    }
}

/* What the entries would change: `board` is that of the state before. */
static void form_preview(Form *form, const Board *board, const Trial *trial, const App *app)
{
    Board *next = memory_get(sizeof *next);
    board_make(next, trial->after, trial->entries, app->now, app->units);
    str_clear(&form->changes);
    board_changes(form->count == 1 ? &form->entry : NULL, (Standing){board, trial->before},
                  (Standing){next, trial->after}, app->units, &form->changes);
    form_becomes(form, board, next);
    free(next);
}

/* Of several fills: what all of them take. */
static void sum_echo(Form *form, const State *before, const State *after, const App *app)
{
    const int litres = form_index(form, "litres");
    const int64_t ml = after->totals.filled - before->totals.filled;
    char out[64];
    if (form->count > 1 && litres >= 0 && ml > 0)
        snprintf(form->rows.fields[litres].echo, FIELD_SAYS, "%s in all", app_volume(app, ml, out));
}

void form_read(Form *form, const App *app)
{
    const State *state = &app->state;
    form->refusal[0] = '\0';
    form->ready = form->backdated = form->unchanged = false;
    str_clear(&form->changes);
    form->becomes[0] = '\0';
    if (!entries_read(form, app))
        return;
    form->unchanged = says_nothing(form);
    if (form->unchanged)
        return;
    Fault fault = {0};
    State *after = memory_get(sizeof *after);
    *after = *state;
    Event placed = form->entry;
    const bool in_time = form->amends || event_place(state, &placed, app->now, &fault);
    form->backdated = placed.at.ms < state->last_at && in_time;
    if (!in_time || !entries_try(form, after, app, &fault)) {
        snprintf(form->refusal, sizeof form->refusal, "%s", fault.text);
    } else {
        form->ready = true;
        if (!form->backdated) {
            form->entry = form->entries[0];
            form_preview(form, &app->board,
                         &(Trial){state, after, app->board.entries + form->count, NULL}, app);
            sum_echo(form, state, after, app);
        }
    }
    free(after);
}

void form_tried(Form *form, const Trial *trial, const App *app)
{
    str_clear(&form->changes);
    form->becomes[0] = '\0';
    if (trial->fault != NULL) {
        form->ready = false;
        snprintf(form->refusal, sizeof form->refusal, "%s", trial->fault->text);
        return;
    }
    Board *board = memory_get(sizeof *board);
    board_make(board, trial->before, trial->entries, app->now, app->units);
    form_preview(form, board, trial, app);
    for (int i = 0; i < form->count; i++)
        backdated_tell(&form->entries[i], trial->before, trial->after, app->now, &form->changes);
    sum_echo(form, trial->before, trial->after, app);
    free(board);
}

bool form_key(Form *form, Press press, const App *app)
{
    static const char *const form_yes_no[] = {"yes", "no", NULL};
    const Field *f = form_kind_field(form, &form->rows.fields[form->rows.active]);
    Choices choices = {.count = 0};
    if (f != NULL && f->type == FIELD_LABEL && f->names != NAMES_NOTHING)
        choices_names(&choices, f->names, &app->state);
    else if (f != NULL && f->type == FIELD_FLAG)
        choices_add(&choices, form_yes_no);
    else if (f != NULL && f->type == FIELD_CHOICE)
        choices_add(&choices, f->choices);
    return fields_key(&form->rows, press, &choices);
}
