#include "paint/cell.h"

#include "base/memory.h"
#include "paint/width.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { SHEET_MAX = 1000 };

static int clamp(int value, int low, int high)
{
    return value < low ? low : value > high ? high : value;
}

void sheet_init(Sheet *sheet, int rows, int cols)
{
    memset(sheet, 0, sizeof *sheet);
    sheet_resize(sheet, rows, cols);
}

void sheet_finish(Sheet *sheet)
{
    free(sheet->cells);
    memset(sheet, 0, sizeof *sheet);
}

void sheet_resize(Sheet *sheet, int rows, int cols)
{
    rows = clamp(rows, 1, SHEET_MAX);
    cols = clamp(cols, 1, SHEET_MAX);
    if (rows != sheet->rows || cols != sheet->cols || sheet->cells == NULL) {
        sheet->cells =
            memory_resize(sheet->cells, (size_t)rows * (size_t)cols * sizeof *sheet->cells);
        sheet->rows = rows;
        sheet->cols = cols;
    }
    sheet_clear(sheet);
}

void sheet_clear(Sheet *sheet)
{
    size_t count = (size_t)sheet->rows * (size_t)sheet->cols;
    for (size_t i = 0; i < count; i++)
        sheet->cells[i] = (Cell){.text = " ", .width = 1, .ink = INK_TEXT};
    sheet->cursor_row = sheet->cursor_col = -1;
    sheet->cursor_seen = false;
}

Area sheet_area(Sheet *sheet)
{
    return (Area){sheet, 0, 0, sheet->rows, sheet->cols};
}

static Cell *cell_at(Sheet *sheet, int row, int col)
{
    if (sheet == NULL || row < 0 || col < 0 || row >= sheet->rows || col >= sheet->cols)
        return NULL;
    return &sheet->cells[(size_t)row * (size_t)sheet->cols + (size_t)col];
}

const Cell *sheet_cell(const Sheet *sheet, int row, int col)
{
    if (row < 0 || col < 0 || row >= sheet->rows || col >= sheet->cols)
        return NULL;
    return &sheet->cells[(size_t)row * (size_t)sheet->cols + (size_t)col];
}

Area area_rows(Area area, int from, int count)
{
    from = clamp(from, 0, area.rows);
    count = clamp(count, 0, area.rows - from);
    return (Area){area.sheet, area.row + from, area.col, count, area.cols};
}

Area area_cols(Area area, int from, int count)
{
    from = clamp(from, 0, area.cols);
    count = clamp(count, 0, area.cols - from);
    return (Area){area.sheet, area.row, area.col + from, area.rows, count};
}

Area area_part(Area area, int row, int col, int rows, int cols)
{
    const int up = row < 0 ? row : 0, left = col < 0 ? col : 0; /* what begins outside */
    return area_cols(area_rows(area, row, rows + up), col, cols + left);
}

Area area_inset(Area area, int rows, int cols)
{
    Area inner = area_rows(area, rows, area.rows - 2 * rows);
    return area_cols(inner, cols, inner.cols - 2 * cols);
}

Area area_unseen(Area area)
{
    area.sheet = NULL;
    return area;
}

static void cell_blank(Cell *cell)
{
    memcpy(cell->text, " ", 2);
    cell->width = 1;
}

/* A cell is about to be written over: the other half of a wide character must not stay behind. */
static void cell_free(Sheet *sheet, int row, int col)
{
    Cell *cell = cell_at(sheet, row, col);
    if (cell == NULL)
        return;
    if (cell->width == 0) {
        Cell *left = cell_at(sheet, row, col - 1);
        if (left != NULL)
            cell_blank(left);
    } else if (cell->width == 2) {
        Cell *right = cell_at(sheet, row, col + 1);
        if (right != NULL)
            cell_blank(right);
    }
    cell_blank(cell);
}

static void cell_join(Cell *cell, Text mark)
{
    size_t have = strlen(cell->text);
    if (have + mark.n < CELL_BYTES) {
        memcpy(cell->text + have, mark.s, mark.n);
        cell->text[have + mark.n] = '\0';
    }
}

/* A character of w columns, in place of what was there. NULL: it does not fit the sheet. */
static Cell *cell_put(Sheet *sheet, int row, int col, uint32_t code, Text bytes, Ink ink)
{
    const int w = width_of_code(code);
    Cell *cell = cell_at(sheet, row, col);
    Cell *right = w == 2 ? cell_at(sheet, row, col + 1) : NULL;
    if (cell == NULL || (w == 2 && right == NULL))
        return NULL;
    for (int i = 0; i < w; i++)
        cell_free(sheet, row, col + i);
    char plain[2] = {0, 0};
    if (code == 0xfffd && bytes.n == 1) { /* a byte that is no UTF-8 */
        bytes = text_of("?");
    } else if (sheet->ascii && code > 0x7e) {
        plain[0] = glyph_ascii(code);
        bytes = text_of(plain);
    }
    memcpy(cell->text, bytes.s, bytes.n);
    cell->text[bytes.n] = '\0';
    cell->ink = (uint8_t)ink;
    if (right == NULL)
        return cell;
    right->ink = (uint8_t)ink;
    if (sheet->ascii) {
        memcpy(right->text, cell->text, 2);
    } else {
        cell->width = 2;
        right->text[0] = '\0';
        right->width = 0;
    }
    return cell;
}

/* The stand-in of a name that the text goes on with from *at; NULL: there is none. */
static const char *name_put(const Sheet *sheet, Text text, size_t *at)
{
    if (sheet == NULL || !sheet->ascii || sheet->stand_ins == NULL || sheet->stand_ins->count == 0)
        return NULL;
    const int i = stand_in_at(sheet->stand_ins, text_slice(text.s + *at, text.n - *at));
    if (i < 0)
        return NULL;
    *at += strlen(sheet->stand_ins->of[i].name->s);
    return sheet->stand_ins->of[i].text;
}

int area_put(Area area, int row, int col, Ink ink, Text text)
{
    const bool row_seen = area.sheet != NULL && row >= 0 && row < area.rows;
    Cell *last = NULL;
    for (size_t at = 0; at < text.n;) {
        const size_t from = at;
        const char *plain = name_put(area.sheet, text, &at);
        if (plain != NULL) {
            col = area_put(area, row, col, ink, text_of(plain));
            last = NULL;
            continue;
        }
        const uint32_t code = text_next(text, &at);
        const int w = width_of_code(code);
        if (w < 0)
            continue;
        const Text bytes = {text.s + from, at - from};
        if (w == 0) {
            if (last != NULL && !area.sheet->ascii)
                cell_join(last, bytes);
            continue;
        }
        last = row_seen && col >= 0 && col + w <= area.cols
                   ? cell_put(area.sheet, area.row + row, area.col + col, code, bytes, ink)
                   : NULL;
        col += w;
    }
    return col;
}

const char *area_sign(Area area, Glyph g)
{
    return glyph(area.sheet != NULL ? area.sheet->alphabet : ALPHABET_ASCII, g);
}

int area_puts(Area area, int row, int col, Ink ink, const char *terminated)
{
    return area_put(area, row, col, ink, text_of(terminated));
}

int area_printf(Area area, int row, int col, Ink ink, const char *format, ...)
{
    char line[2048];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(line, sizeof line, format, arguments);
    va_end(arguments);
    return area_puts(area, row, col, ink, line);
}

static int cut_put(Area area, int row, int col, int columns, Ink ink, Text text)
{
    if (width_of(text) <= columns)
        return area_put(area, row, col, ink, text);
    col = area_put(area, row, col, ink, width_take(text, columns - 1));
    return area_puts(area, row, col, ink, area_sign(area, GLYPH_CUT));
}

/* The text as it is shown: a name as a whole has a stand-in, half of one has none. */
static void shown_text(const Sheet *sheet, Text text, Str *out)
{
    str_adds(out, "");
    for (size_t at = 0; at < text.n;) {
        const char *plain = name_put(sheet, text, &at);
        const size_t from = at;
        if (plain == NULL)
            (void)text_next(text, &at);
        str_add(out, plain != NULL ? text_of(plain) : text_slice(text.s + from, at - from));
    }
}

int area_cut(Area area, int row, int col, int columns, Ink ink, Text text)
{
    Str shown = {0};
    if (columns <= 0)
        return col;
    if (width_of(text) <= columns)
        return area_put(area, row, col, ink, text);
    shown_text(area.sheet, text, &shown);
    col = cut_put(area, row, col, columns, ink, text_slice(shown.s, shown.n));
    str_finish(&shown);
    return col;
}

void area_right(Area area, int row, int end, Ink ink, Text text)
{
    area_put(area, row, end - width_of(text), ink, text);
}

int area_wrap(Area area, int row, int col, Ink ink, Text text)
{
    Text line;
    int columns = area.cols - col;
    while (row < area.rows && columns > 0 && width_wrap(&text, columns, &line)) {
        bool more = row == area.rows - 1 && text_trim(text).n > 0;
        if (more && width_of(line) >= columns)
            line = width_take(line, columns - 1);
        int end = area_put(area, row, col, ink, line);
        if (more)
            area_glyph(area, row, end, ink, GLYPH_CUT);
        row++;
    }
    return row;
}

int area_glyph(Area area, int row, int col, Ink ink, Glyph g)
{
    return area_puts(area, row, col, ink, area_sign(area, g));
}

void area_fill(Area area, Ink ink, const char *text)
{
    for (int row = 0; row < area.rows; row++)
        for (int col = 0; col < area.cols; col++)
            area_puts(area, row, col, ink, text);
}

void area_ink(Area area, int row, int col, int cols, Ink ink)
{
    if (row < 0 || row >= area.rows)
        return;
    for (int c = col < 0 ? 0 : col; c < col + cols && c < area.cols; c++) {
        Cell *cell = cell_at(area.sheet, area.row + row, area.col + c);
        if (cell != NULL)
            cell->ink = (uint8_t)ink;
    }
}

void area_box(Area area, int row, int col, int rows, int cols, Ink ink)
{
    if (rows < 2 || cols < 2)
        return;
    const int bottom = row + rows - 1, right = col + cols - 1;
    area_fill(area_part(area, row, col + 1, 1, cols - 2), ink, area_sign(area, GLYPH_WALL_TOP));
    area_fill(area_part(area, bottom, col + 1, 1, cols - 2), ink,
              area_sign(area, GLYPH_WALL_BOTTOM));
    area_fill(area_part(area, row + 1, col, rows - 2, 1), ink, area_sign(area, GLYPH_WALL_SIDE));
    area_fill(area_part(area, row + 1, right, rows - 2, 1), ink, area_sign(area, GLYPH_WALL_SIDE));
    area_glyph(area, row, col, ink, GLYPH_WALL_TOP_LEFT);
    area_glyph(area, row, right, ink, GLYPH_WALL_TOP_RIGHT);
    area_glyph(area, bottom, col, ink, GLYPH_WALL_BOTTOM_LEFT);
    area_glyph(area, bottom, right, ink, GLYPH_WALL_BOTTOM_RIGHT);
}

void area_cursor(Area area, int row, int col)
{
    if (row < 0 || col < 0 || row >= area.rows || col >= area.cols)
        return;
    row += area.row;
    col += area.col;
    if (row < 0 || col < 0 || row >= area.sheet->rows || col >= area.sheet->cols)
        return;
    area.sheet->cursor_row = row;
    area.sheet->cursor_col = col;
    area.sheet->cursor_seen = true;
}

void area_chosen(Area area, int row)
{
    area_glyph(area, row, 1, INK_LEAD, GLYPH_CURSOR);
    area_cursor(area, row, 1);
}
