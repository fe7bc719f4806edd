#include "tty/picture.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <wchar.h>

enum { PLAIN, ESCAPE, SEQUENCE, SYSTEM, SET };

static const PicturePen NO_PEN = {-1, -1, 0};

static PictureCell blank(const Picture *p)
{
    PictureCell cell = {.text = " ", .width = 1, .pen = NO_PEN};
    cell.pen.bg = p->pen.bg; /* back_color_erase */
    return cell;
}

static void fill(Picture *p, int row, int from, int to)
{
    for (int col = from; col < to && col < p->cols; col++)
        p->cells[row][col] = blank(p);
}

void picture_init(Picture *p, int rows, int cols)
{
    memset(p, 0, sizeof *p);
    p->pen = NO_PEN;
    p->cursor = true;
    p->line_set[0] = p->line_set[1] = 'B';
    p->rows = rows;
    p->cols = cols;
    p->bottom = rows - 1;
    for (int row = 0; row < PICTURE_ROWS; row++)
        for (int col = 0; col < PICTURE_COLS; col++)
            p->cells[row][col] = p->primary[row][col] = blank(p);
}

void picture_resize(Picture *p, int rows, int cols)
{
    PictureCell plain = {.text = " ", .width = 1, .pen = NO_PEN};
    for (int row = 0; row < PICTURE_ROWS; row++) {
        for (int col = 0; col < PICTURE_COLS; col++)
            if (row >= rows || col >= cols)
                p->cells[row][col] = plain;
    }
    p->rows = rows;
    p->cols = cols;
    p->top = 0;
    p->bottom = rows - 1;
    p->wrap_next = false;
    p->row = p->row < rows ? p->row : rows - 1;
    p->col = p->col < cols ? p->col : cols - 1;
}

static void scroll(Picture *p, int top, int bottom, int by)
{
    /* What was meant for another size: a window that is pulled meets its own past. */
    bottom = bottom < p->rows ? bottom : p->rows - 1;
    if (top < 0 || top >= bottom) {
        if (top == bottom)
            fill(p, top, 0, p->cols);
        return;
    }
    for (int n = abs(by); n > 0; n--) {
        if (by > 0) {
            memmove(p->cells[top], p->cells[top + 1],
                    (size_t)(bottom - top) * sizeof p->cells[top]);
            fill(p, bottom, 0, p->cols);
        } else {
            memmove(p->cells[top + 1], p->cells[top],
                    (size_t)(bottom - top) * sizeof p->cells[top]);
            fill(p, top, 0, p->cols);
        }
    }
}

static void go(Picture *p, int row, int col)
{
    p->row = row < 0 ? 0 : row >= p->rows ? p->rows - 1 : row;
    p->col = col < 0 ? 0 : col >= p->cols ? p->cols - 1 : col;
    p->wrap_next = false;
}

static void line_feed(Picture *p)
{
    if (p->row == p->bottom)
        scroll(p, p->top, p->bottom, 1);
    else if (p->row < p->rows - 1)
        p->row++;
    p->wrap_next = false;
}

static void put(Picture *p, const char *bytes, size_t n)
{
    wchar_t wide = L'?';
    mbstate_t state = {0};
    mbrtowc(&wide, bytes, n, &state);
    int width = n == 1 ? 1 : wcwidth(wide);
    if (width == 0) { /* joins the character before */
        int col = p->wrap_next ? p->col : p->col - 1;
        while (col > 0 && p->cells[p->row][col].width == 0)
            col--;
        if (col >= 0 && strlen(p->cells[p->row][col].text) + n < PICTURE_TEXT)
            strncat(p->cells[p->row][col].text, bytes, n);
        return;
    }
    if (width < 0)
        width = 1;
    if (p->wrap_next || p->col + width > p->cols) {
        line_feed(p);
        p->col = 0;
    }
    PictureCell *cell = &p->cells[p->row][p->col];
    if (cell->width == 0 && p->col > 0) /* half of a wide one is overwritten: the rest is gone */
        p->cells[p->row][p->col - 1] = blank(p);
    for (int i = 0; i < width; i++)
        cell[i] = (PictureCell){.width = i == 0 ? width : 0, .pen = p->pen};
    memcpy(cell->text, bytes, n);
    if (p->line_set[p->line_used] == '0' && n == 1 && bytes[0] >= 0x60)
        p->drawing = true; /* noted; the letter is kept as it came */
    int after = p->col + width;
    if (after < p->cols && p->cells[p->row][after].width == 0)
        p->cells[p->row][after] = blank(p);
    p->wrap_next = after >= p->cols;
    p->col = p->wrap_next ? p->cols - 1 : after;
}

static int number(const Picture *p, int i, int otherwise)
{
    return i < p->number_count && p->numbers[i] > 0 ? p->numbers[i] : otherwise;
}

static void not_known(Picture *p, char last)
{
    if (p->unknown++ == 0)
        snprintf(p->unknown_text, sizeof p->unknown_text, "CSI %c%d%c", p->mark ? p->mark : ' ',
                 p->numbers[0], last);
}

static void pen_change(Picture *p)
{
    int count = p->number_count > 0 ? p->number_count : 1;
    for (int i = 0; i < count; i++) {
        int n = p->numbers[i];
        if (n == 0) {
            p->pen = NO_PEN;
        } else if (n < 10) {
            p->pen.looks |= 1u << n;
        } else if (n >= 10 && n <= 12) { /* fonts: the linux console's line characters */
            p->drawing = p->drawing || n == 11;
        } else if (n == 21 || n == 22) {
            p->pen.looks &= ~(1u << 1 | 1u << 2);
        } else if (n > 22 && n < 30) {
            p->pen.looks &= ~(1u << (n - 20));
        } else if ((n == 38 || n == 48) && i + 2 < count && p->numbers[i + 1] == 5) {
            *(n == 38 ? &p->pen.fg : &p->pen.bg) = p->numbers[i + 2];
            p->coloured++;
            i += 2;
        } else if (n == 39 || n == 49) {
            *(n == 39 ? &p->pen.fg : &p->pen.bg) = -1;
        } else if (n >= 30 && n < 50) {
            *(n < 40 ? &p->pen.fg : &p->pen.bg) = n % 10;
            p->coloured++;
        } else if ((n >= 90 && n < 98) || (n >= 100 && n < 108)) {
            *(n < 100 ? &p->pen.fg : &p->pen.bg) = n % 10 + 8;
            p->coloured++;
        } else {
            not_known(p, 'm');
        }
    }
}

static void alternate_set(Picture *p, bool on)
{
    if (on == p->alternate)
        return;
    p->alternate = on;
    if (on) {
        memcpy(p->primary, p->cells, sizeof p->cells);
        p->primary_row = p->row;
        p->primary_col = p->col;
        for (int row = 0; row < p->rows; row++)
            fill(p, row, 0, p->cols);
    } else {
        memcpy(p->cells, p->primary, sizeof p->cells);
        go(p, p->primary_row, p->primary_col);
    }
}

static void private_mode(Picture *p, bool on)
{
    for (int i = 0; i < p->number_count; i++) {
        switch (p->numbers[i]) {
        case 25:
            p->cursor = on;
            break;
        case 1049:
        case 1047:
        case 47:
            alternate_set(p, on);
            break;
        case 2004:
            p->bracketed = on;
            break;
        default:
            break; /* keypad, wrapping, blinking, size: nothing that is seen here */
        }
    }
}

static void erase_display(Picture *p, int what)
{
    int from = what == 0 ? p->row + 1 : 0, to = what == 1 ? p->row : p->rows;
    if (what == 2 || (what == 0 && p->row == 0 && p->col == 0))
        p->clears++;
    for (int row = from; row < to; row++)
        fill(p, row, 0, p->cols);
    if (what == 0)
        fill(p, p->row, p->col, p->cols);
    if (what == 1)
        fill(p, p->row, 0, p->col + 1);
}

static void shift(Picture *p, int by) /* by > 0: blanks come in at the cursor */
{
    PictureCell *row = p->cells[p->row];
    int n = abs(by) < p->cols - p->col ? abs(by) : p->cols - p->col;
    size_t rest = (size_t)(p->cols - p->col - n) * sizeof *row;
    if (by > 0) {
        memmove(&row[p->col + n], &row[p->col], rest);
        fill(p, p->row, p->col, p->col + n);
    } else {
        memmove(&row[p->col], &row[p->col + n], rest);
        fill(p, p->row, p->cols - n, p->cols);
    }
}

static void repeat(Picture *p, int n)
{
    int col = p->wrap_next ? p->col : p->col - 1;
    char text[PICTURE_TEXT];
    if (col < 0)
        return;
    memcpy(text, p->cells[p->row][col].text, sizeof text);
    for (; n > 0; n--)
        put(p, text, strlen(text));
}

static void sequence_end(Picture *p, char last)
{
    int n = number(p, 0, 1);
    if (p->mark == '?' && (last == 'h' || last == 'l')) {
        private_mode(p, last == 'h');
        return;
    }
    if (p->mark != 0 || p->between != 0) {
        if (last != 'c' && last != 'm' && last != 'q' && last != 'p')
            not_known(p, last);
        return;
    }
    switch (last) {
    case 'A':
        go(p, p->row - n, p->col);
        break;
    case 'B':
        go(p, p->row + n, p->col);
        break;
    case 'C':
        go(p, p->row, p->col + n);
        break;
    case 'D':
        go(p, p->row, p->col - n);
        break;
    case 'G':
        go(p, p->row, n - 1);
        break;
    case 'd':
        go(p, n - 1, p->col);
        break;
    case 'H':
    case 'f':
        go(p, n - 1, number(p, 1, 1) - 1);
        break;
    case 'J':
        erase_display(p, p->numbers[0]);
        break;
    case 'K':
        fill(p, p->row, p->numbers[0] == 0 ? p->col : 0, p->numbers[0] == 1 ? p->col + 1 : p->cols);
        break;
    case 'X':
        fill(p, p->row, p->col, p->col + n);
        break;
    case '@':
        shift(p, n);
        break;
    case 'P':
        shift(p, -n);
        break;
    case 'L':
    case 'M':
        if (n > p->bottom - p->row + 1)
            n = p->bottom - p->row + 1;
        scroll(p, p->row, p->bottom, last == 'L' ? -n : n);
        break;
    case 'S':
    case 'T':
        scroll(p, p->top, p->bottom, last == 'S' ? n : -n);
        break;
    case 'b':
        repeat(p, n);
        break;
    case 'r':
        p->top = n - 1;
        p->bottom = number(p, 1, p->rows) - 1;
        if (p->bottom >= p->rows) /* it was meant for a larger window */
            p->bottom = p->rows - 1;
        if (p->top >= p->bottom)
            p->top = 0;
        go(p, 0, 0);
        break;
    case 'Z':
        go(p, p->row, (p->col - 1) / 8 * 8);
        break;
    case 'm':
        pen_change(p);
        break;
    case 'h': /* insert mode is never on here; the rest is not seen */
    case 'l':
    case 'g':
    case 'n':
    case 'c':
    case 't':
        break;
    default:
        not_known(p, last);
    }
}

static void plain_byte(Picture *p, unsigned char c)
{
    if (p->partial_need > 0 && (c & 0xc0) == 0x80) {
        p->partial[p->partial_count++] = c;
        if (p->partial_count == p->partial_need) {
            put(p, (const char *)p->partial, (size_t)p->partial_count);
            p->partial_need = 0;
        }
        return;
    }
    p->partial_need = 0;
    if (c >= 0xc2) {
        p->partial[0] = c;
        p->partial_count = 1;
        p->partial_need = c >= 0xf0 ? 4 : c >= 0xe0 ? 3 : 2;
    } else if (c >= 0x20 && c != 0x7f) {
        put(p, (const char *)&c, 1);
    } else if (c == '\r') {
        go(p, p->row, 0);
    } else if (c == '\n' || c == '\v' || c == '\f') {
        line_feed(p);
    } else if (c == '\b') {
        go(p, p->row, p->col - 1);
    } else if (c == '\t') {
        go(p, p->row, (p->col / 8 + 1) * 8);
    } else if (c == 0x0e || c == 0x0f) {
        p->line_used = c == 0x0e;
    }
}

static void escape_byte(Picture *p, char c)
{
    p->state = PLAIN;
    switch (c) {
    case '[':
        p->state = SEQUENCE;
        p->number_count = 0;
        memset(p->numbers, 0, sizeof p->numbers);
        p->mark = p->between = 0;
        break;
    case ']':
        p->state = SYSTEM;
        p->system_count = 0;
        break;
    case '(':
    case ')':
        p->state = SET;
        p->between = c;
        break;
    case 'M':
        if (p->row == p->top)
            scroll(p, p->top, p->bottom, -1);
        else
            go(p, p->row - 1, p->col);
        break;
    case 'D':
        line_feed(p);
        break;
    case 'E':
        line_feed(p);
        p->col = 0;
        break;
    default:
        break; /* keypad, saving the cursor, tabs */
    }
}

static void sequence_byte(Picture *p, char c)
{
    if (c >= '0' && c <= '9') {
        if (p->number_count == 0)
            p->number_count = 1;
        int *n = &p->numbers[p->number_count - 1];
        *n = *n < 100000 ? *n * 10 + (c - '0') : *n;
    } else if (c == ';' || c == ':') {
        if (p->number_count == 0)
            p->number_count = 1;
        if (p->number_count < PICTURE_NUMBERS)
            p->number_count++;
    } else if (c >= '<' && c <= '?') {
        p->mark = c;
    } else if (c >= ' ' && c <= '/') {
        p->between = c;
    } else {
        p->state = PLAIN;
        sequence_end(p, c);
    }
}

void picture_feed(Picture *p, const char *bytes, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        char c = bytes[i];
        if (c == '\033') {
            p->state = ESCAPE;
            continue;
        }
        switch (p->state) {
        case ESCAPE:
            escape_byte(p, c);
            break;
        case SEQUENCE:
            sequence_byte(p, c);
            break;
        case SYSTEM: /* the linux console's palette has no end mark: P and 7 digits, or R */
            if (p->system_count++ == 0)
                p->system_first = c;
            if (c == '\a' || p->system_first == 'R' ||
                (p->system_first == 'P' && p->system_count == 8))
                p->state = PLAIN;
            break;
        case SET:
            p->line_set[p->between == ')'] = c;
            p->state = PLAIN;
            break;
        default:
            plain_byte(p, (unsigned char)c);
        }
    }
}

char *picture_row(const Picture *p, int row, char *out)
{
    size_t at = 0, end = 0;
    for (int col = 0; col < p->cols; col++) {
        size_t n = strlen(p->cells[row][col].text);
        memcpy(out + at, p->cells[row][col].text, n);
        at += n;
        if (n != 1 || p->cells[row][col].text[0] != ' ')
            end = at;
    }
    out[end] = '\0';
    return out;
}

int picture_find(const Picture *p, const char *text)
{
    char line[PICTURE_COLS * PICTURE_TEXT];
    for (int row = 0; row < p->rows; row++)
        if (strstr(picture_row(p, row, line), text) != NULL)
            return row;
    return -1;
}

static bool pen_equal(PicturePen a, PicturePen b)
{
    return a.fg == b.fg && a.bg == b.bg && a.looks == b.looks;
}

/* Of a blank only the ground, a line under it and reversal are seen. */
static bool cell_equal(const PictureCell *a, const PictureCell *b)
{
    const uint32_t seen = 1u << 4 | 1u << 7;
    if (a->width != b->width || strcmp(a->text, b->text) != 0)
        return false;
    if (strcmp(a->text, " ") != 0 || (a->pen.looks & seen) || (b->pen.looks & seen))
        return pen_equal(a->pen, b->pen);
    return a->pen.bg == b->pen.bg;
}

bool picture_equal(const Picture *a, const Picture *b, int *row)
{
    if (a->rows != b->rows || a->cols != b->cols) {
        *row = 0;
        return false;
    }
    for (*row = 0; *row < a->rows; ++*row) {
        for (int col = 0; col < a->cols; col++)
            if (!cell_equal(&a->cells[*row][col], &b->cells[*row][col]))
                return false;
    }
    return true;
}

static size_t digits(int n)
{
    return n < 10 ? 1 : n < 100 ? 2 : 3;
}

static size_t pen_cost(PicturePen from, PicturePen to)
{
    size_t inside = 0; /* parameters with a ';' behind each */
    if (pen_equal(from, to))
        return 0;
    if (pen_equal(to, NO_PEN))
        return 3; /* CSI m */
    if (from.looks & ~to.looks) {
        inside += 2; /* 0; then all anew */
        from = NO_PEN;
    }
    for (int n = 1; n < 10; n++)
        inside += (to.looks & ~from.looks & 1u << n) ? 2 : 0;
    if (from.fg != to.fg)
        inside += to.fg < 8 ? 3 : 6 + digits(to.fg);
    if (from.bg != to.bg)
        inside += to.bg < 8 ? 3 : 6 + digits(to.bg);
    return 3 + inside - 1;
}

/* From `col` on the row is blank and plain. */
static bool rest_blank(const Picture *p, int row, int col)
{
    PictureCell plain = {.text = " ", .width = 1, .pen = NO_PEN};
    while (col < p->cols && cell_equal(&p->cells[row][col], &plain))
        col++;
    return col == p->cols;
}

size_t picture_delta(const Picture *before, const Picture *after)
{
    enum { JUMP = 5 }; /* up to here the cells between two changes are written again */
    size_t bytes = 0;
    PicturePen pen = NO_PEN;
    for (int row = 0; row < after->rows; row++) {
        int last = -1; /* column behind the last one written */
        for (int col = 0; col < after->cols; col++) {
            if (cell_equal(&before->cells[row][col], &after->cells[row][col]))
                continue;
            if (last < 0 || col - last > JUMP)
                bytes += last < 0 ? 4 + digits(row + 1) + digits(col + 1) : 3 + digits(col - last);
            else
                bytes += (size_t)(col - last);
            if (rest_blank(after, row, col)) {
                bytes += pen_cost(pen, NO_PEN) + 3; /* CSI K clears them at once */
                pen = NO_PEN;
                break;
            }
            bytes +=
                pen_cost(pen, after->cells[row][col].pen) + strlen(after->cells[row][col].text);
            pen = after->cells[row][col].pen;
            last = col + 1;
        }
    }
    if (bytes == 0)
        return 0;
    const bool home = after->row == 0 && after->col == 0;
    return bytes + pen_cost(pen, NO_PEN) +
           (home ? 3 : 4 + digits(after->row + 1) + digits(after->col + 1));
}
