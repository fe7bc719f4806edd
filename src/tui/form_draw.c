/* How a form looks: caption, value, unit, and beside it what is to be said about it; below, what
 * the entry would change. */
#include "paint/width.h"
#include "tui/form.h"
#include "tui/list.h"

#include <stdio.h>
#include <string.h>

enum { WIDE_COLS = 64, CAPTION_COLS = 13, VALUE_COLS = 26, CAUTION_ROWS = 10, PLACE_COLS = 12 };

typedef struct {
    Ink ink;
    Str text;
} Remark;

/* What is said about a field: what is wrong with it first, then what it is taken for, then help. */
static Remark remark_of(const Form *form, int index, Alphabet alphabet)
{
    const FormField *row = &form->fields[index];
    bool active = index == form->active;
    Remark remark = {INK_QUIET, {0}};
    const char *dot = glyph(alphabet, GLYPH_DOT);
    if (row->wrong && (row->text[0] || active || !form->touched)) {
        remark.ink = row->text[0] ? INK_ERROR : INK_QUIET;
        str_addf(&remark.text, "%s%s", row->text[0] ? "! " : "", row->error);
        if (!row->text[0] && row->help)
            str_addf(&remark.text, " %s %s", dot, row->help);
    } else if (row->wrong) {
        remark.ink = INK_ERROR;
        str_addf(&remark.text, "! %s", row->error);
    } else if (row->completed[0] && active) {
        if (row->candidates[0])
            str_addf(&remark.text, "or %s", row->candidates);
        else
            str_adds(&remark.text, "Right takes it, Backspace keeps what is typed");
    } else if (row->echo[0]) {
        remark.ink = INK_CHANGE;
        str_addf(&remark.text, "= %s", row->echo);
        if (active && row->help && !row->text[0])
            str_addf(&remark.text, " %s %s", dot, row->help);
    } else if (active && row->help) {
        str_adds(&remark.text, row->help);
    } else if (!row->text[0] && form_value(form, index)[0]) {
        str_adds(&remark.text, "proposed");
    }
    return remark;
}

/* The typed text so that the caret is seen: the beginning is left out where it is long. */
static void draw_typed(const Form *form, Sheet *sheet, Area area, int row, int col, int columns,
                       Ink ink, Alphabet alphabet)
{
    const FormField *f = &form->fields[form->active];
    Text before = text_slice(f->text, form->caret);
    Text rest = text_of(f->text);
    int caret = width_of(before), skipped = 0;
    while (caret - skipped > columns - 2) {
        size_t at = 0;
        int w = width_of_code(text_next(rest, &at));
        skipped += w > 0 ? w : 0;
        rest = text_slice(rest.s + at, rest.n - at);
    }
    int from = col;
    if (skipped > 0) {
        from = sheet_glyph(sheet, area, row, col, alphabet, ink, GLYPH_CUT);
        caret++;
    }
    Area field = {area.row, area.col, area.rows, col + columns};
    if (field.cols > area.cols)
        field.cols = area.cols;
    sheet_put(sheet, field, row, from, ink, width_take(rest, col + columns - from));
    sheet_cursor(sheet, area, row, col + caret - skipped);
}

static void draw_value(const Form *form, int index, Sheet *sheet, Area area, int row, int col,
                       int columns, Alphabet alphabet)
{
    const FormField *f = &form->fields[index];
    bool active = index == form->active;
    const char *value = form_value(form, index);
    if (active)
        sheet_fill(sheet, area, row, col, 1, columns, INK_ACTIVE, " ");
    if (active && f->text[0]) {
        draw_typed(form, sheet, area, row, col, columns, INK_ACTIVE, alphabet);
    } else if (f->text[0]) {
        sheet_cut(sheet, area, row, col, columns, alphabet, INK_FIELD, text_of(f->text));
    } else {
        sheet_cut(sheet, area, row, col, columns, alphabet, active ? INK_ACTIVE : INK_PROPOSAL,
                  text_of(value));
        if (active)
            sheet_cursor(sheet, area, row, col);
    }
    int end = col + width_ofs(f->text);
    if (f->completed[0] && end + 2 < col + columns) {
        end = sheet_printf(sheet, area, row, end, active ? INK_ACTIVE : INK_PROPOSAL, " %s ",
                           glyph(alphabet, GLYPH_BECOMES));
        sheet_cut(sheet, area, row, end, col + columns - end, alphabet,
                  active ? INK_ACTIVE : INK_FIELD, text_of(f->completed));
    }
}

/* One field; returns the row after it. */
static int draw_field(const Form *form, int index, Sheet *sheet, Area area, int row,
                      Alphabet alphabet, Units units)
{
    const FormField *f = &form->fields[index];
    bool active = index == form->active, wide = area.cols >= WIDE_COLS;
    int value_col = wide ? CAPTION_COLS + 3 : CAPTION_COLS;
    int columns = wide ? VALUE_COLS : area.cols - value_col - 5;
    if (columns < 4)
        columns = 4;
    if (active)
        sheet_glyph(sheet, area, row, 1, alphabet, INK_LEAD, GLYPH_CURSOR);
    sheet_cut(sheet, area, row, 3, value_col - 4, alphabet, active ? INK_STRONG : INK_CAPTION,
              text_of(f->caption));
    draw_value(form, index, sheet, area, row, value_col, columns, alphabet);
    int end = value_col + columns + 1;
    if (f->unit)
        sheet_puts(sheet, area, row, end, INK_QUIET,
                   f->field < form->kind->field_count
                       ? field_unit(&form->kind->fields[f->field], units)
                       : f->unit);
    Remark remark = remark_of(form, index, alphabet);
    Text text = text_of(remark.text.s ? remark.text.s : "");
    if (wide) {
        int from = end + 5, room = area.cols - from - 1;
        int lines = active ? width_lines(text, room) : 1;
        Area right = area_cols(area_rows(area, row, active && lines > 1 ? 2 : 1), 0, area.cols - 1);
        if (active)
            sheet_wrap(sheet, right, 0, from, alphabet, remark.ink, text);
        else
            sheet_cut(sheet, area, row, from, room, alphabet, remark.ink, text);
        row += active && lines > 1 ? 2 : 1;
    } else {
        if (f->wrong && !active)
            sheet_puts(sheet, area, row, value_col - 2, INK_ERROR, "!");
        row++;
        if (active && text.n > 0) {
            Area under = area_cols(area_rows(area, row, 2), 0, area.cols - 1);
            row += sheet_wrap(sheet, under, 0, value_col, alphabet, remark.ink, text);
        }
    }
    str_finish(&remark.text);
    return row;
}

/* A form that nothing was said in yet is not told that it is wrong. */
static bool refusal_shown(const Form *form)
{
    bool said = form->touched;
    for (int i = 0; i < form->count && !said; i++)
        said = form->fields[i].field < FORM_TIME && form_value(form, i)[0];
    return said && form->refusal[0];
}

static int changes_lines(const Form *form, int columns)
{
    int lines = 0;
    if (refusal_shown(form))
        lines += width_lines(text_of(form->refusal), columns);
    if (form->changes.n > 0)
        lines += 1 + width_lines((Text){form->changes.s, form->changes.n}, columns);
    return lines;
}

static void draw_changes(const Form *form, Sheet *sheet, Area area, Alphabet alphabet)
{
    int row = 0;
    Area inner = area_cols(area, 0, area.cols - 1);
    if (refusal_shown(form)) {
        sheet_puts(sheet, inner, row, 1, INK_ERROR, "!");
        row = sheet_wrap(sheet, inner, row, 3, alphabet, INK_ERROR, text_of(form->refusal));
    }
    if (form->changes.n == 0 || row >= area.rows)
        return;
    sheet_puts(sheet, inner, row, 1, INK_TITLE, "This would change");
    row++;
    Text rest = {form->changes.s, form->changes.n};
    while (rest.n > 0 && row < area.rows) {
        Text line = text_cut(&rest, '\n');
        int more = 1;
        for (size_t i = 0; i < rest.n; i++)
            more += rest.s[i] == '\n';
        if (row == area.rows - 1 && rest.n > 0) {
            sheet_printf(sheet, inner, row, 3, INK_QUIET, "and %d more", more);
            return;
        }
        row = sheet_wrap(sheet, inner, row, 3, alphabet, INK_CHANGE, line);
    }
}

/* The caution of the kind at the foot; where there is not the room for all of it and `brief` rows
 * were kept, its first sentence. A warning about what this very entry does goes before it. */
static void draw_caution(const Form *form, Sheet *sheet, Area area, int used, bool brief,
                         Alphabet alphabet)
{
    if (!form->kind->caution)
        return;
    Text text = text_of(form->kind->caution);
    Area inner = area_cols(area, 0, area.cols - 1);
    int lines = width_lines(text, area.cols - 5);
    if (used + lines + 1 <= area.rows) {
        sheet_wrap(sheet, area_rows(inner, area.rows - lines, lines), 0, 3, alphabet, INK_CAUTION,
                   text);
        return;
    }
    if (!brief)
        return;
    const char *end = strstr(text.s, ". ");
    const char *clause = strchr(text.s, ';');
    if (clause && (!end || clause < end))
        end = clause;
    Text first = text_slice(text.s, end ? (size_t)(end - text.s) + (*end == '.') : text.n);
    sheet_cut(sheet, inner, area.rows - 1, 3, inner.cols - 3, alphabet, INK_CAUTION, first);
}

void form_draw(const Form *form, Sheet *sheet, Area area, Alphabet alphabet, Units units)
{
    bool airy = area.rows >= 16;
    int after = sheet_puts(sheet, area, 0, 1, INK_TITLE, form->kind->name);
    int from = airy ? 2 : 1;
    int below = changes_lines(form, area.cols - 4);
    int third = area.rows / 3;
    if (below > third)
        below = third;
    bool warns = form->changes.n > 0 && strstr(form->changes.s, "warning: ");
    int brief = form->kind->caution && area.rows >= CAUTION_ROWS && !warns ? 1 : 0;
    int room = area.rows - from - below - brief - (airy ? 1 : 0);
    int extra = area.cols >= WIDE_COLS ? 1 : 2; /* the active field's remark may take more rows */
    if (room < 1 + extra)
        room = 1 + extra;
    List list = {form->count, form->active, 0};
    int shown = room - extra < form->count ? room - extra : form->count;
    int top = list_top(&list, shown);
    int place = shown < form->count ? PLACE_COLS : 0;
    sheet_cut(sheet, area, 0, after + 2, area.cols - after - 3 - place, alphabet, INK_QUIET,
              text_of(form->kind->gist));
    int row = from;
    for (int i = top; i < form->count && i < top + shown && row < from + room; i++)
        row = draw_field(form, i, sheet, area_rows(area, 0, from + room), row, alphabet, units);
    if (shown < form->count) {
        List fields = {form->count, form->active, top};
        list_draw_place(&fields, shown, sheet, area, 0, alphabet);
    }
    if (airy)
        row++;
    draw_changes(form, sheet, area_rows(area, row, area.rows - row - brief), alphabet);
    draw_caution(form, sheet, area, row + changes_lines(form, area.cols - 4), brief > 0, alphabet);
}
