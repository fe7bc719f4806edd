#include "tui/fields.h"

#include "model/names.h"
#include "paint/width.h"
#include "tui/list.h"
#include "tui/propose.h"

#include <stdio.h>
#include <string.h>

FormField *fields_add(Fields *fields, int field, const char *caption, const char *unit,
                      const char *help)
{
    if (fields->count == FIELDS_MAX)
        return NULL;
    FormField *row = &fields->fields[fields->count++];
    *row = (FormField){.field = field, .caption = caption, .unit = unit, .help = help};
    return row;
}

const char *field_value(const FormField *row)
{
    return row->completed[0]    ? row->completed
           : row->typed.text[0] ? row->typed.text
           : row->idle          ? ""
                                : row->proposal;
}

void field_wrong(FormField *row, const char *why)
{
    row->wrong = true;
    snprintf(row->error, sizeof row->error, "%s", why);
}

void field_clear(FormField *row)
{
    row->wrong = false;
    row->asks = false;
    row->error[0] = row->echo[0] = row->completed[0] = row->candidates[0] = '\0';
}

void field_complete(FormField *row, Names names, const State *state)
{
    row->completed[0] = row->candidates[0] = '\0';
    Text text = text_trim(text_of(row->typed.text));
    if (text.n == 0)
        return;
    Label found[12];
    int n = propose_names(names, state, text, found, 12);
    for (int i = 0; i < n; i++)
        if (text_is_nocase(text, found[i].s))
            return; /* it is a name in full */
    if (row->as_typed)
        return;
    if (n == 0 && row->may_be_new) {
        const Label *meant = name_meant(state, names, text);
        if (meant != NULL) {
            memcpy(row->completed, meant->s, LABEL_SIZE);
            row->asks = true;
            snprintf(row->error, sizeof row->error,
                     "is %s meant? Right takes it, Backspace keeps what is typed", meant->s);
            row->wrong = true;
        }
    }
    if (n == 0)
        return;
    memcpy(row->completed, found[0].s, LABEL_SIZE);
    size_t used = 0;
    for (int i = 1; i < n; i++) {
        int wrote = snprintf(row->candidates + used, sizeof row->candidates - used, "%s%s",
                             i > 1 ? ", " : "", found[i].s);
        if (wrote < 0 || used + (size_t)wrote >= sizeof row->candidates) {
            row->candidates[used] = '\0';
            return;
        }
        used += (size_t)wrote;
    }
}

/* ---- choices ---- */

void choices_add(Choices *choices, const char *const *words)
{
    for (; *words != NULL && choices->count < CHOICES_MAX; words++)
        choices->words[choices->count++] = *words;
}

void choices_names(Choices *choices, Names names, const State *state)
{
    choices->count = propose_names(names, state, text_of(""), choices->names, SOURCES_MAX);
    for (int i = 0; i < choices->count; i++)
        choices->words[i] = choices->names[i].s;
}

/* ---- keys ---- */

void fields_go(Fields *fields, int to)
{
    int count = fields->count;
    fields->active = ((to % count) + count) % count;
    Typed *typed = &fields->fields[fields->active].typed;
    typed->caret = strlen(typed->text);
}

bool fields_show_wrong(Fields *fields)
{
    for (int i = 0; i < fields->count; i++) {
        if (fields->fields[i].wrong) {
            fields_go(fields, i);
            return true;
        }
    }
    return false;
}

static void row_set(Fields *fields, const char *text)
{
    FormField *row = &fields->fields[fields->active];
    entry_set(&row->typed, text);
    row->as_typed = false;
    fields->touched = true;
}

static int choice_at(const Choices *choices, const char *word)
{
    for (int i = 0; i < choices->count; i++)
        if (text_is_nocase(text_of(word), choices->words[i]))
            return i;
    return -1;
}

/* Where the last of several names begins; 0: there is but one. */
static size_t last_word(const FormField *row, const Choices *choices)
{
    const char *text = row->typed.text, *at = strrchr(text, ' ');
    return row->list && at != NULL && choice_at(choices, text) < 0 ? (size_t)(at + 1 - text) : 0;
}

static bool row_choose(Fields *fields, int step, const Choices *choices)
{
    FormField *row = &fields->fields[fields->active];
    const size_t from = last_word(row, choices);
    const char *now = row->typed.text[0] ? row->typed.text + from : row->proposal;
    char text[TYPED_MAX + 1];
    int at = choice_at(choices, now);
    if (choices->count == 0 || (at < 0 && *now && row->typed.text[0]))
        return false;
    if (at < 0)
        at = step > 0 ? -1 : 0;
    snprintf(text, sizeof text, "%.*s%s", (int)from, row->typed.text,
             choices->words[(at + step + choices->count) % choices->count]);
    row_set(fields, text);
    return true;
}

/* One name more: the one that stands there is kept, and Right chooses the next. */
static bool row_more(Fields *fields, const Choices *choices)
{
    FormField *row = &fields->fields[fields->active];
    const size_t n = strlen(row->typed.text);
    char text[TYPED_MAX + 1];
    if (!row->list || row->typed.caret != n || row->completed[0])
        return false;
    const char *now = n ? row->typed.text + last_word(row, choices) : row->proposal;
    if (choice_at(choices, now) < 0 || strlen(now) + n + 2 > sizeof text)
        return false;
    snprintf(text, sizeof text, "%s ", n ? row->typed.text : row->proposal);
    row_set(fields, text);
    return true;
}

/* The keys that mean more than they do in a text. */
static bool row_key(Fields *fields, Press press, const Choices *choices)
{
    FormField *row = &fields->fields[fields->active];
    switch (press) {
    case ' ':
        return row_more(fields, choices);
    case PRESS_LEFT:
        return row_choose(fields, -1, choices);
    case PRESS_RIGHT:
        if (row->completed[0] && row->typed.caret == strlen(row->typed.text)) {
            row_set(fields, row->completed);
            return true;
        }
        if (choices->count > 0 || row->typed.text[0] || !row->proposal[0])
            return row_choose(fields, 1, choices);
        row_set(fields, row->proposal); /* nothing to go through: it is there to be changed */
        return true;
    case PRESS_BACKSPACE: /* the text is meant, not the name that it was taken for */
        if (!row->completed[0] || !row->may_be_new)
            return false;
        row->as_typed = true;
        return true;
    default:
        return false;
    }
}

bool fields_key(Fields *fields, Press press, const Choices *choices)
{
    FormField *row = &fields->fields[fields->active];
    if (press == PRESS_TAB || press == PRESS_DOWN)
        fields_go(fields, fields->active + 1);
    else if (press == PRESS_BACKTAB || press == PRESS_UP)
        fields_go(fields, fields->active - 1);
    else if (!row_key(fields, press, choices)) {
        if (!entry_key(&row->typed, TYPED_MAX, press))
            return false;
        if (press != PRESS_LEFT && press != PRESS_RIGHT && press != PRESS_HOME &&
            press != PRESS_END && press != PRESS_CTRL('A') && press != PRESS_CTRL('E'))
            fields->touched = true;
        if (!row->typed.text[0])
            row->as_typed = false;
    }
    return true;
}

/* ---- how it looks ---- */

enum {
    FIELDS_WIDE_COLS = 64,
    NARROW_AT = 15,
    REMARK_AT = 5,
    WIDE_AT = 16,
    VALUE_COLS = 26,
    UNIT_COLS = 4, /* a longer one takes its room from the value */
    WIDE_REMARK_AT = WIDE_AT + VALUE_COLS + 1 + UNIT_COLS + 1,
    FIELDS_PLACE_COLS = 12
};
enum { ROOMY_ROWS = 12, REMARK_ROWS = 4 };

typedef struct {
    Ink ink;
    Str text;
} Remark;

/* What is wrong first, then what it is taken for, then help. */
static Remark remark_of(const Fields *fields, int index, Alphabet alphabet)
{
    const FormField *row = &fields->fields[index];
    const char *help = row->help != NULL ? row->help : "", *dot = glyph(alphabet, GLYPH_DOT);
    bool active = index == fields->active, typed = row->typed.text[0];
    Remark remark = {INK_QUIET, {0}};
    str_adds(&remark.text, "");
    if (row->wrong && !typed && (active || !fields->touched)) { /* not an error yet */
        str_adds(&remark.text, row->error);
        if (*help)
            str_addf(&remark.text, " %s %s", dot, help);
    } else if (row->wrong && row->asks) {
        remark.ink = INK_CAUTION;
        str_addf(&remark.text, "? %s", row->error);
    } else if (row->wrong) {
        remark.ink = INK_ERROR;
        str_addf(&remark.text, "! %s", row->error);
    } else if (row->completed[0] && active) {
        if (row->candidates[0])
            str_addf(&remark.text, "or %s", row->candidates);
        else if (row->may_be_new)
            str_adds(&remark.text, "Right takes it, Backspace keeps what is typed");
        else
            str_adds(&remark.text, "Right takes it");
    } else if (row->echo[0]) {
        remark.ink = INK_CHANGE;
        str_addf(&remark.text, "= %s", row->echo);
        if (active && *help && !typed)
            str_addf(&remark.text, " %s %s", dot, help);
    } else if (active && *help) {
        str_adds(&remark.text, help);
        if (row->why[0] && !typed)
            str_addf(&remark.text, " (proposed: %s)", row->why);
    } else if (!typed && field_value(row)[0]) {
        str_adds(&remark.text, row->present ? "as it is" : "proposed");
    }
    return remark;
}

static void draw_value(const FormField *row, bool active, Area area, int at, int col, int columns)
{
    const Ink value = active ? INK_ACTIVE : INK_FIELD;
    const Ink proposal = active ? INK_ACTIVE : INK_PROPOSAL;
    if (active)
        entry_draw(&row->typed, area, at, col, columns);
    else
        area_cut(area, at, col, columns, value, text_of(row->typed.text));
    if (!row->typed.text[0])
        area_cut(area, at, col, columns, proposal, text_of(field_value(row)));
    int end = col + width_ofs(row->typed.text);
    if (row->completed[0] && end + 2 < col + columns) {
        end = area_printf(area, at, end, proposal, " %s ", area_sign(area, GLYPH_BECOMES));
        area_cut(area, at, end, col + columns - end, value, text_of(row->completed));
    }
}

static bool is_wide(Area area)
{
    return area.cols >= FIELDS_WIDE_COLS;
}

/* Columns for the value and the unit behind it. */
static int value_columns(const FormField *row, Area area)
{
    int unit = row->unit != NULL ? width_ofs(row->unit) : 0;
    int columns = is_wide(area) ? VALUE_COLS - (unit > UNIT_COLS ? unit - UNIT_COLS : 0)
                                : area.cols - NARROW_AT - 2 - (unit > 3 ? unit : 3);
    return columns > 4 ? columns : 4;
}

/* Below its row a remark stands under the value, or further left where it does not fit there. */
static int remark_left(Text remark, Area area)
{
    return width_of(remark) < area.cols - NARROW_AT ? NARROW_AT : REMARK_AT;
}

/* One row of the form; returns the row after it. */
static int draw_field(const Fields *fields, int index, Area area, int at)
{
    const FormField *row = &fields->fields[index];
    bool active = index == fields->active, wide = is_wide(area);
    int col = wide ? WIDE_AT : NARROW_AT, columns = value_columns(row, area);
    if (active)
        area_chosen(area, at);
    area_cut(area, at, 3, col - 4, active ? INK_STRONG : INK_CAPTION, text_of(row->caption));
    draw_value(row, active, area, at, col, columns);
    int end = col + columns + 1;
    if (row->unit != NULL)
        area_puts(area, at, end, INK_QUIET, row->unit);
    Remark remark = remark_of(fields, index, area.sheet->alphabet);
    Text text = text_slice(remark.text.s, remark.text.n);
    if (!active && !wide && row->wrong) {
        area_puts(area, at, col - 2, INK_ERROR, "!");
    } else if (!active && !wide && row->echo[0]) {
        const int after = col + width_ofs(row->typed.text[0] ? row->typed.text : field_value(row));
        if (row->unit == NULL && after + 3 < area.cols - 1)
            area_cut(area, at, after + 1, area.cols - after - 2, remark.ink, text);
    } else if (!active && wide) {
        area_cut(area, at, WIDE_REMARK_AT, area.cols - WIDE_REMARK_AT - 1, remark.ink, text);
    } else if (active && text.n > 0) {
        const int spare = area.rows - fields->count + 1;
        int most = wide                     ? (spare < 2             ? 2
                                               : spare < REMARK_ROWS ? spare
                                                                     : REMARK_ROWS)
                   : area.rows < ROOMY_ROWS ? 2
                                            : REMARK_ROWS;
        Area under = area_cols(area_rows(area, wide ? at : at + 1, most), 0, area.cols - 1);
        int left = wide ? WIDE_REMARK_AT : remark_left(text, area);
        int lines = area_wrap(under, 0, left, remark.ink, text);
        at += wide ? lines - 1 : lines;
    }
    str_finish(&remark.text);
    return at + 1;
}

/* Rows that the remark on the active row may take besides. */
static int remark_rows(const Fields *fields, Area area)
{
    if (is_wide(area))
        return 1;
    if (area.rows < ROOMY_ROWS)
        return 2;
    Remark remark = remark_of(fields, fields->active, ALPHABET_ASCII);
    Text text = text_slice(remark.text.s, remark.text.n);
    int lines = width_lines(text, area.cols - 1 - remark_left(text, area));
    str_finish(&remark.text);
    return lines < REMARK_ROWS ? lines : REMARK_ROWS;
}

int fields_shown(const Fields *fields, Area area)
{
    int shown = area.rows - remark_rows(fields, area);
    return shown < 1 ? 1 : shown < fields->count ? shown : fields->count;
}

int fields_draw(const Fields *fields, Area area)
{
    int shown = fields_shown(fields, area), at = 0;
    int top = list_top(&(List){fields->count, fields->active, 0}, shown);
    for (int i = top; i < top + shown && at < area.rows; i++)
        at = draw_field(fields, i, area, at);
    return at;
}

int fields_draw_place(const Fields *fields, int shown, Area area)
{
    if (shown >= fields->count)
        return 0;
    list_draw_place(&(List){fields->count, fields->active, 0}, shown, area, 0);
    return FIELDS_PLACE_COLS;
}
