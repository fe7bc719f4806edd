#include "support/svg.h"

#include "support/look.h"

#include <string.h>

enum { CELL_W = 10, CELL_H = 20, EDGE = 10, LIGHT = 1, HEAVY = 2 };

/* What reaches from the middle of a cell to its sides. */
typedef struct {
    const char *text;
    int left, right, up, down;
    bool round, dashed;
} Stroke;

static const Stroke strokes[] = {
    {.text = "─", .left = LIGHT, .right = LIGHT},
    {.text = "│", .up = LIGHT, .down = LIGHT},
    {.text = "╌", .left = LIGHT, .right = LIGHT, .dashed = true},
    {.text = "╎", .up = LIGHT, .down = LIGHT, .dashed = true},
    {.text = "╭", .right = LIGHT, .down = LIGHT, .round = true},
    {.text = "╮", .left = LIGHT, .down = LIGHT, .round = true},
    {.text = "╰", .right = LIGHT, .up = LIGHT, .round = true},
    {.text = "╯", .left = LIGHT, .up = LIGHT, .round = true},
    {.text = "┴", .left = LIGHT, .right = LIGHT, .up = LIGHT},
    {.text = "━", .left = HEAVY, .right = HEAVY},
    {.text = "┓", .left = HEAVY, .down = HEAVY},
    {.text = "┏", .right = HEAVY, .down = HEAVY},
    {.text = "┳", .left = HEAVY, .right = HEAVY, .down = HEAVY},
};

static const Stroke *stroke_of(const char *text)
{
    for (size_t i = 0; i < sizeof strokes / sizeof *strokes; i++)
        if (strcmp(strokes[i].text, text) == 0)
            return &strokes[i];
    return NULL;
}

static int eighths_of(const char *text)
{
    for (int i = 1; i <= 8; i++)
        if (strcmp(glyph_level(ALPHABET_UTF8, i), text) == 0)
            return i;
    return 0;
}

static void arm(Str *out, int weight, int across, int along)
{
    if (weight > 0)
        str_addf(out, "m0 0l%d %dm%d %d", across * CELL_W / 2, along * CELL_H / 2,
                 -across * CELL_W / 2, -along * CELL_H / 2);
}

static void stroke_put(const Stroke *s, int x, int y, unsigned ink, Str *out)
{
    const int h = CELL_W / 2, v = CELL_H / 2;
    const bool heavy = s->left == HEAVY || s->right == HEAVY;
    str_addf(out, "<path class=\"s%u%s%s\" d=\"M%d %d", ink, heavy ? " h" : "",
             s->dashed ? " d" : "", x + h, y + v);
    if (s->round) {
        str_addf(out, "m%d 0q%d 0 %d %d", s->left ? -h : h, s->left ? h : -h, s->left ? h : -h,
                 s->down ? v : -v);
    } else {
        arm(out, s->left, -1, 0);
        arm(out, s->right, 1, 0);
        arm(out, s->up, 0, -1);
        arm(out, s->down, 0, 1);
    }
    str_adds(out, "\"/>\n");
}

static void colour(Str *out, int of)
{
    int rgb[3];
    ink_rgb(of, rgb);
    str_addf(out, "#%02x%02x%02x", (unsigned)rgb[0], (unsigned)rgb[1], (unsigned)rgb[2]);
}

/* What the reader's terminal would have as its own. */
typedef struct {
    int words, ground;
} Own;
static const Own dark = {252, 234}, light = {236, 255};

static void inks(Own own, const bool used[INK_COUNT], Str *out)
{
    for (int i = 0; i < INK_COUNT; i++) {
        const Pen pen = ink_pen(SCHEME_DEFAULT, (Ink)i);
        if (!used[i])
            continue;
        str_addf(out, ".f%d{fill:", i);
        colour(out, pen.fg < 0 ? own.words : pen.fg);
        str_addf(out, "%s}.s%d{stroke:", (pen.bright & PEN_BOLD) != 0 ? ";font-weight:bold" : "",
                 i);
        colour(out, pen.fg < 0 ? own.words : pen.fg);
        str_addf(out, "}.b%d{fill:", i);
        colour(out, pen.bg < 0 ? own.ground : pen.bg);
        str_adds(out, "}\n");
    }
}

static void head(const Sheet *sheet, const char *title, Str *out)
{
    bool used[INK_COUNT] = {[INK_TEXT] = true};
    const int wide = sheet->cols * CELL_W + 2 * EDGE, high = sheet->rows * CELL_H + 2 * EDGE;
    for (int i = 0; i < sheet->rows * sheet->cols; i++)
        used[sheet->cells[i].ink] = true;
    str_addf(out,
             "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %d %d\" role=\"img\">\n"
             "<title>%s</title>\n<style>\n"
             "text{font:16px monospace;white-space:pre}"
             "rect{shape-rendering:crispEdges}path{fill:none;stroke-width:1.3}"
             ".h{stroke-width:3;stroke-linecap:square}.d{stroke-dasharray:3 2}\n",
             wide, high, title);
    inks(dark, used, out);
    str_adds(out, "@media (prefers-color-scheme:light){\n");
    inks(light, used, out);
    str_addf(out, "}\n</style>\n<rect class=\"b%d\" width=\"%d\" height=\"%d\" rx=\"8\"/>\n",
             INK_TEXT, wide, high);
}

static bool is_letter(const Cell *cell)
{
    return strcmp(cell->text, " ") != 0 && eighths_of(cell->text) == 0 &&
           stroke_of(cell->text) == NULL;
}

/* From `col` on, the columns that are of one ink and, where `letters`, text. */
static int run(const Sheet *sheet, int row, int col, bool letters)
{
    const Cell *first = sheet_cell(sheet, row, col);
    int n = 0;
    for (const Cell *c = first; c != NULL && c->ink == first->ink && (!letters || is_letter(c));
         c = sheet_cell(sheet, row, col + n))
        n++;
    return n;
}

static void grounds(const Sheet *sheet, int row, Str *out)
{
    const Pen plain = ink_pen(SCHEME_DEFAULT, INK_TEXT);
    for (int col = 0, n = 0; col < sheet->cols; col += n) {
        const Cell *cell = sheet_cell(sheet, row, col);
        n = run(sheet, row, col, false);
        if (ink_pen(SCHEME_DEFAULT, (Ink)cell->ink).bg != plain.bg)
            str_addf(out, "<rect class=\"b%u\" x=\"%d\" y=\"%d\" width=\"%d\" height=\"%d\"/>\n",
                     cell->ink, EDGE + col * CELL_W, EDGE + row * CELL_H, n * CELL_W, CELL_H);
    }
}

static int letters_put(const Sheet *sheet, int row, int col, Str *out)
{
    const int n = run(sheet, row, col, true);
    str_addf(out, "<text class=\"f%u\" x=\"%d\" y=\"%d\" textLength=\"%d\">",
             sheet_cell(sheet, row, col)->ink, EDGE + col * CELL_W,
             EDGE + row * CELL_H + CELL_H * 3 / 4, n * CELL_W);
    for (int i = 0; i < n; i++) {
        const char *text = sheet_cell(sheet, row, col + i)->text;
        str_adds(out, *text == '<' ? "&lt;" : *text == '&' ? "&amp;" : text);
    }
    str_adds(out, "</text>\n");
    return n;
}

static int cell_put(const Sheet *sheet, int row, int col, Str *out)
{
    const Cell *cell = sheet_cell(sheet, row, col);
    const int x = EDGE + col * CELL_W, y = EDGE + row * CELL_H;
    const int eighths = eighths_of(cell->text);
    if (is_letter(cell))
        return letters_put(sheet, row, col, out);
    if (eighths > 0) {
        const double high = CELL_H * eighths / 8.0;
        str_addf(out, "<rect class=\"f%u\" x=\"%d\" y=\"%g\" width=\"%d\" height=\"%g\"/>\n",
                 cell->ink, x, y + CELL_H - high, CELL_W, high);
    } else if (strcmp(cell->text, " ") != 0) {
        stroke_put(stroke_of(cell->text), x, y, cell->ink, out);
    }
    return 1;
}

void svg_of_sheet(const Sheet *sheet, const char *title, Str *out)
{
    head(sheet, title, out);
    for (int row = 0; row < sheet->rows; row++) {
        grounds(sheet, row, out);
        for (int col = 0; col < sheet->cols;)
            col += cell_put(sheet, row, col, out);
    }
    str_adds(out, "</svg>\n");
}
