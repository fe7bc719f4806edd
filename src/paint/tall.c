#include "paint/tall.h"

#include <string.h>

enum { DOTS_HIGH = 5 };

typedef struct {
    char letter;
    const char *rows[DOTS_HIGH];
} Tall;

static const Tall letters[] = {
    {' ', {"  ", "  ", "  ", "  ", "  "}},
    {'A', {".##.", "#..#", "####", "#..#", "#..#"}},
    {'B', {"###.", "#..#", "###.", "#..#", "###."}},
    {'C', {".###", "#...", "#...", "#...", ".###"}},
    {'D', {"###.", "#..#", "#..#", "#..#", "###."}},
    {'E', {"####", "#...", "###.", "#...", "####"}},
    {'F', {"####", "#...", "###.", "#...", "#..."}},
    {'G', {".###", "#...", "#.##", "#..#", ".###"}},
    {'H', {"#..#", "#..#", "####", "#..#", "#..#"}},
    {'I', {"###", ".#.", ".#.", ".#.", "###"}},
    {'J', {"..##", "...#", "...#", "#..#", ".##."}},
    {'K', {"#..#", "#.#.", "##..", "#.#.", "#..#"}},
    {'L', {"#...", "#...", "#...", "#...", "####"}},
    {'M', {"#...#", "##.##", "#.#.#", "#...#", "#...#"}},
    {'N', {"#...#", "##..#", "#.#.#", "#..##", "#...#"}},
    {'O', {".##.", "#..#", "#..#", "#..#", ".##."}},
    {'P', {"###.", "#..#", "###.", "#...", "#..."}},
    {'Q', {".##.", "#..#", "#..#", "#.##", ".###"}},
    {'R', {"###.", "#..#", "###.", "#.#.", "#..#"}},
    {'S', {".###", "#...", ".##.", "...#", "###."}},
    {'T', {"#####", "..#..", "..#..", "..#..", "..#.."}},
    {'U', {"#..#", "#..#", "#..#", "#..#", ".##."}},
    {'V', {"#...#", "#...#", ".#.#.", ".#.#.", "..#.."}},
    {'W', {"#...#", "#...#", "#.#.#", "##.##", "#...#"}},
    {'X', {"#...#", ".#.#.", "..#..", ".#.#.", "#...#"}},
    {'Y', {"#...#", ".#.#.", "..#..", "..#..", "..#.."}},
    {'Z', {"####", "..#.", ".#..", "#...", "####"}},
    {'0', {".##.", "#.##", "##.#", "#..#", ".##."}},
    {'1', {".#.", "##.", ".#.", ".#.", "###"}},
    {'2', {"###.", "...#", ".##.", "#...", "####"}},
    {'3', {"###.", "...#", ".##.", "...#", "###."}},
    {'4', {"#..#", "#..#", "####", "...#", "...#"}},
    {'5', {"####", "#...", "###.", "...#", "###."}},
    {'6', {".##.", "#...", "###.", "#..#", ".##."}},
    {'7', {"####", "...#", "..#.", ".#..", ".#.."}},
    {'8', {".##.", "#..#", ".##.", "#..#", ".##."}},
    {'9', {".##.", "#..#", ".###", "...#", ".##."}},
    {'.', {".", ".", ".", ".", "#"}},
    {',', {"..", "..", "..", ".#", "#."}},
    {'-', {"...", "...", "###", "...", "..."}},
    {'?', {"###.", "...#", ".##.", "....", ".#.."}},
    {'(', {".#", "#.", "#.", "#.", ".#"}},
    {')', {"#.", ".#", ".#", ".#", "#."}},
};

static const Tall *tall_of(char letter)
{
    if (letter >= 'a' && letter <= 'z')
        letter = (char)(letter - 'a' + 'A');
    for (size_t i = 0; i < sizeof letters / sizeof *letters; i++)
        if (letters[i].letter == letter)
            return &letters[i];
    return NULL;
}

static int dots_wide(const Tall *tall)
{
    return (int)strlen(tall->rows[0]);
}

int tall_cols(const char *text, int scale)
{
    int dots = 0;
    for (; *text; text++) {
        const Tall *tall = tall_of(*text);
        dots += tall != NULL ? dots_wide(tall) + 1 : 0;
    }
    return dots > 0 ? (dots - 1) * scale : 0;
}

/* Half rows of a dot. */
static int dot_halves(Alphabet alphabet, int scale)
{
    return alphabet == ALPHABET_ASCII ? (scale + 1) / 2 * 2 : scale;
}

int tall_rows(Alphabet alphabet, int scale)
{
    return (DOTS_HIGH * dot_halves(alphabet, scale) + 1) / 2;
}

static bool dot_at(const Tall *tall, int half, int halves, int dot)
{
    return half / halves < DOTS_HIGH && tall->rows[half / halves][dot] == '#';
}

static void letter_put(Area area, int row, int col, Ink ink, const Tall *tall, int scale)
{
    /* neither half, the lower, the upper, both */
    static const char *const cells[ALPHABET_COUNT][4] = {
        {" ", "\xe2\x96\x84", "\xe2\x96\x80", "\xe2\x96\x88"}, {" ", "#", "#", "#"}};
    const int halves = dot_halves(area.sheet->alphabet, scale);
    for (int r = 0; r < tall_rows(area.sheet->alphabet, scale); r++) {
        for (int c = 0; c < dots_wide(tall) * scale; c++) {
            const bool upper = dot_at(tall, 2 * r, halves, c / scale);
            const bool lower = dot_at(tall, 2 * r + 1, halves, c / scale);
            if (upper || lower)
                area_puts(area, row + r, col + c, ink,
                          cells[area.sheet->alphabet][2 * upper + lower]);
        }
    }
}

int tall_put(Area area, int row, int col, Ink ink, const char *text, int scale)
{
    int after = col;
    for (; *text; text++) {
        const Tall *tall = tall_of(*text);
        if (tall == NULL)
            continue;
        letter_put(area, row, col, ink, tall, scale);
        after = col + dots_wide(tall) * scale;
        col = after + scale;
    }
    return after;
}
