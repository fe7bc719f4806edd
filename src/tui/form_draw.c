/* What an entry's form shows besides its rows: what it would change, and the caution of its kind.
 */
#include "paint/width.h"
#include "tui/form.h"

#include <string.h>

enum { CAUTION_ROWS = 10 };

/* A form that nothing was said in yet is not told that it is wrong. */
static bool refusal_shown(const Form *form)
{
    bool said = form->rows.touched;
    for (int i = 0; i < form->rows.count && !said; i++)
        said = form->rows.fields[i].field < FORM_TIME && field_value(&form->rows.fields[i])[0];
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

/* What is grave stands first (outlook/changes.c): what has no room is the least of it. */
static void draw_changes(const Form *form, Area area)
{
    int row = 0, left = 0;
    Area inner = area_cols(area, 0, area.cols - 1);
    if (refusal_shown(form)) {
        area_puts(inner, row, 1, INK_ERROR, "!");
        row = area_wrap(inner, row, 3, INK_ERROR, text_of(form->refusal));
    }
    if (form->changes.n == 0 || row >= area.rows)
        return;
    area_puts(inner, row++, 1, INK_TITLE, "This would change");
    const Text all = {form->changes.s, form->changes.n};
    for (size_t i = 0; i < all.n; i++)
        left += all.s[i] == '\n';
    for (Text rest = all; rest.n > 0 && row < area.rows; left--) {
        const Text line = text_cut(&rest, '\n');
        if (row == area.rows - 1 && left > 1) {
            area_printf(inner, row, 3, INK_QUIET, "and %d more", left);
            return;
        }
        row = area_wrap(inner, row, 3, INK_CHANGE, line);
    }
}

/* The caution of the kind at the foot; where there is not the room for all of it and `brief` rows
 * were kept, its first sentence. A warning about what this very entry does goes before it. */
static void draw_caution(const Form *form, Area area, int used, bool brief)
{
    if (form->kind->caution == NULL)
        return;
    Text text = text_of(form->kind->caution);
    Area inner = area_cols(area, 0, area.cols - 1);
    int lines = width_lines(text, area.cols - 5);
    if (used + lines + 1 <= area.rows) {
        area_wrap(area_rows(inner, area.rows - lines, lines), 0, 3, INK_CAUTION, text);
        return;
    }
    if (!brief)
        return;
    const char *end = strstr(text.s, ". ");
    const char *clause = strchr(text.s, ';');
    if (clause != NULL && (end == NULL || clause < end))
        end = clause;
    Text first = text_slice(text.s, end != NULL ? (size_t)(end - text.s) + (*end == '.') : text.n);
    area_cut(inner, area.rows - 1, 3, inner.cols - 3, INK_CAUTION, first);
}

void form_draw(const Form *form, Area area)
{
    int airy = area.rows >= 16 ? 1 : 0, from = 1 + airy;
    int below = changes_lines(form, area.cols - 4), third = area.rows / 3;
    if (below > third)
        below = third;
    bool warns = form->changes.n > 0 && strstr(form->changes.s, "warning: ") != NULL;
    int brief = form->kind->caution != NULL && area.rows >= CAUTION_ROWS && !warns ? 1 : 0;
    Area rows = area_rows(area, from, area.rows - from - below - brief - airy);
    if (rows.rows < 3)
        rows = area_rows(area, from, 3);
    int place = fields_draw_place(&form->rows, fields_shown(&form->rows, rows), area);
    int after = area_puts(area, 0, 1, INK_TITLE, form->kind->name);
    area_cut(area, 0, after + 2, area.cols - after - 3 - place, INK_QUIET,
             text_of(form->kind->gist));
    int row = from + fields_draw(&form->rows, rows) + airy;
    draw_changes(form, area_rows(area, row, area.rows - row - brief));
    draw_caution(form, area, row + changes_lines(form, area.cols - 4), brief > 0);
}
