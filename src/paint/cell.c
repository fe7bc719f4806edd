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
}

Area sheet_area(const Sheet *sheet)
{
    return (Area){0, 0, sheet->rows, sheet->cols};
}

static Cell *cell_at(Sheet *sheet, int row, int col)
{
    if (row < 0 || col < 0 || row >= sheet->rows || col >= sheet->cols)
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
    return (Area){area.row + from, area.col, count, area.cols};
}

Area area_cols(Area area, int from, int count)
{
    from = clamp(from, 0, area.cols);
    count = clamp(count, 0, area.cols - from);
    return (Area){area.row, area.col + from, area.rows, count};
}

Area area_inset(Area area, int rows, int cols)
{
    Area inner = area_rows(area, rows, area.rows - 2 * rows);
    return area_cols(inner, cols, inner.cols - 2 * cols);
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

static void cell_join(Cell *cell, const char *mark, size_t n)
{
    size_t have = strlen(cell->text);
    if (have + n < CELL_BYTES) {
        memcpy(cell->text + have, mark, n);
        cell->text[have + n] = '\0';
    }
}

int sheet_put(Sheet *sheet, Area area, int row, int col, Ink ink, Text text)
{
    bool row_seen = row >= 0 && row < area.rows;
    Cell *last = NULL;
    for (size_t at = 0; at < text.n;) {
        size_t from = at;
        uint32_t code = text_next(text, &at);
        int w = width_of_code(code);
        if (w < 0)
            continue;
        const char *bytes = text.s + from;
        size_t n = at - from;
        if (w == 0) {
            if (last != NULL && !sheet->ascii)
                cell_join(last, bytes, n);
            continue;
        }
        last = NULL;
        if (row_seen && col >= 0 && col + w <= area.cols) {
            Cell *cell = cell_at(sheet, area.row + row, area.col + col);
            Cell *right = w == 2 ? cell_at(sheet, area.row + row, area.col + col + 1) : NULL;
            if (cell != NULL && (w == 1 || right != NULL)) {
                for (int i = 0; i < w; i++)
                    cell_free(sheet, area.row + row, area.col + col + i);
                char plain[2] = {0, 0};
                if (code == 0xfffd && n == 1) { /* a byte that is no UTF-8 */
                    bytes = "?";
                } else if (sheet->ascii && code > 0x7e) {
                    plain[0] = glyph_ascii(code);
                    bytes = plain;
                    n = 1;
                }
                memcpy(cell->text, bytes, n);
                cell->text[n] = '\0';
                cell->ink = (uint8_t)ink;
                if (right != NULL && sheet->ascii) {
                    memcpy(right->text, cell->text, 2);
                    right->ink = (uint8_t)ink;
                } else if (right != NULL) {
                    cell->width = 2;
                    right->text[0] = '\0';
                    right->width = 0;
                    right->ink = (uint8_t)ink;
                }
                last = cell;
            }
        }
        col += w;
    }
    return col;
}

int sheet_puts(Sheet *sheet, Area area, int row, int col, Ink ink, const char *terminated)
{
    return sheet_put(sheet, area, row, col, ink, text_of(terminated));
}

int sheet_printf(Sheet *sheet, Area area, int row, int col, Ink ink, const char *format, ...)
{
    char line[2048];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(line, sizeof line, format, arguments);
    va_end(arguments);
    return sheet_puts(sheet, area, row, col, ink, line);
}

int sheet_cut(Sheet *sheet, Area area, int row, int col, int columns, Alphabet alphabet, Ink ink,
              Text text)
{
    if (columns <= 0)
        return col;
    if (width_of(text) <= columns)
        return sheet_put(sheet, area, row, col, ink, text);
    col = sheet_put(sheet, area, row, col, ink, width_take(text, columns - 1));
    return sheet_puts(sheet, area, row, col, ink, glyph(alphabet, GLYPH_CUT));
}

void sheet_right(Sheet *sheet, Area area, int row, int end, Ink ink, Text text)
{
    sheet_put(sheet, area, row, end - width_of(text), ink, text);
}

int sheet_wrap(Sheet *sheet, Area area, int row, int col, Alphabet alphabet, Ink ink, Text text)
{
    Text line;
    int columns = area.cols - col;
    while (row < area.rows && columns > 0 && width_wrap(&text, columns, &line)) {
        bool more = row == area.rows - 1 && text_trim(text).n > 0;
        if (more && width_of(line) >= columns)
            line = width_take(line, columns - 1);
        int end = sheet_put(sheet, area, row, col, ink, line);
        if (more)
            sheet_glyph(sheet, area, row, end, alphabet, ink, GLYPH_CUT);
        row++;
    }
    return row;
}

int sheet_glyph(Sheet *sheet, Area area, int row, int col, Alphabet alphabet, Ink ink, Glyph g)
{
    return sheet_puts(sheet, area, row, col, ink, glyph(alphabet, g));
}

void sheet_fill(Sheet *sheet, Area area, int row, int col, int rows, int cols, Ink ink,
                const char *text)
{
    int first_row = row < 0 ? 0 : row, last_row = row + rows > area.rows ? area.rows : row + rows;
    int first_col = col < 0 ? 0 : col, last_col = col + cols > area.cols ? area.cols : col + cols;
    for (int r = first_row; r < last_row; r++)
        for (int c = first_col; c < last_col; c++)
            sheet_puts(sheet, area, r, c, ink, text);
}

void sheet_ink(Sheet *sheet, Area area, int row, int col, int cols, Ink ink)
{
    if (row < 0 || row >= area.rows)
        return;
    for (int c = col < 0 ? 0 : col; c < col + cols && c < area.cols; c++) {
        Cell *cell = cell_at(sheet, area.row + row, area.col + c);
        if (cell != NULL)
            cell->ink = (uint8_t)ink;
    }
}

void sheet_box(Sheet *sheet, Area area, int row, int col, int rows, int cols, Alphabet alphabet,
               Ink ink)
{
    if (rows < 2 || cols < 2)
        return;
    int bottom = row + rows - 1, right = col + cols - 1;
    sheet_fill(sheet, area, row, col + 1, 1, cols - 2, ink, glyph(alphabet, GLYPH_WALL_TOP));
    sheet_fill(sheet, area, bottom, col + 1, 1, cols - 2, ink, glyph(alphabet, GLYPH_WALL_BOTTOM));
    sheet_fill(sheet, area, row + 1, col, rows - 2, 1, ink, glyph(alphabet, GLYPH_WALL_SIDE));
    sheet_fill(sheet, area, row + 1, right, rows - 2, 1, ink, glyph(alphabet, GLYPH_WALL_SIDE));
    sheet_glyph(sheet, area, row, col, alphabet, ink, GLYPH_WALL_TOP_LEFT);
    sheet_glyph(sheet, area, row, right, alphabet, ink, GLYPH_WALL_TOP_RIGHT);
    sheet_glyph(sheet, area, bottom, col, alphabet, ink, GLYPH_WALL_BOTTOM_LEFT);
    sheet_glyph(sheet, area, bottom, right, alphabet, ink, GLYPH_WALL_BOTTOM_RIGHT);
}

void sheet_cursor(Sheet *sheet, Area area, int row, int col)
{
    if (row < 0 || col < 0 || row >= area.rows || col >= area.cols)
        return;
    row += area.row;
    col += area.col;
    if (row < 0 || col < 0 || row >= sheet->rows || col >= sheet->cols)
        return;
    sheet->cursor_row = row;
    sheet->cursor_col = col;
}
