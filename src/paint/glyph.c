#include "paint/glyph.h"

#include <stddef.h>

static const char *const glyphs[GLYPH_COUNT][ALPHABET_COUNT] = {
    [GLYPH_WALL_TOP_LEFT] = {"╭", "."},
    [GLYPH_WALL_TOP] = {"─", "-"},
    [GLYPH_WALL_TOP_RIGHT] = {"╮", "."},
    [GLYPH_WALL_SIDE] = {"│", "|"},
    [GLYPH_WALL_BOTTOM_LEFT] = {"╰", "'"},
    [GLYPH_WALL_BOTTOM] = {"─", "-"},
    [GLYPH_WALL_BOTTOM_RIGHT] = {"╯", "'"},
    [GLYPH_PORT] = {"┴", "+"},
    [GLYPH_DIP_TUBE] = {"╎", ":"},
    [GLYPH_PIPE] = {"━", "="},
    [GLYPH_PIPE_DOWN_LEFT] = {"┓", "."},
    [GLYPH_PIPE_DOWN_RIGHT] = {"┏", "."},
    [GLYPH_PIPE_TEE] = {"┳", "+"},
    [GLYPH_AIR] = {"╌", "-"},
    [GLYPH_AIR_DOWN_LEFT] = {"╮", "."},
    [GLYPH_AIR_DOWN_RIGHT] = {"╭", "."},
    [GLYPH_FLOW] = {"▶", ">"},
    [GLYPH_TAP] = {"┓", "]"},
    [GLYPH_WATER_POTABLE] = {"█", "#"},
    [GLYPH_WATER_QUESTIONABLE] = {"▒", "?"},
    [GLYPH_WATER_NON_POTABLE] = {"░", "x"},
    [GLYPH_LEVEL_1] = {"▁", "_"},
    [GLYPH_LEVEL_2] = {"▂", "_"},
    [GLYPH_LEVEL_3] = {"▃", "_"},
    [GLYPH_LEVEL_4] = {"▄", "-"},
    [GLYPH_LEVEL_5] = {"▅", "-"},
    [GLYPH_LEVEL_6] = {"▆", "="},
    [GLYPH_LEVEL_7] = {"▇", "="},
    [GLYPH_LEVEL_8] = {"█", "#"},
    [GLYPH_BAR_1] = {"▏", " "},
    [GLYPH_BAR_2] = {"▎", "-"},
    [GLYPH_BAR_3] = {"▍", "-"},
    [GLYPH_BAR_4] = {"▌", "-"},
    [GLYPH_BAR_5] = {"▋", "="},
    [GLYPH_BAR_6] = {"▊", "="},
    [GLYPH_BAR_7] = {"▉", "="},
    [GLYPH_BAR_8] = {"█", "#"},
    [GLYPH_BAR_EMPTY] = {"·", "."},
    [GLYPH_MARK_POTABLE] = {"●", "o"},
    [GLYPH_MARK_QUESTIONABLE] = {"?", "?"},
    [GLYPH_MARK_NON_POTABLE] = {"×", "x"},
    [GLYPH_MARK_LEAD] = {"▲", "^"},
    [GLYPH_MARK_SPENT] = {"○", "0"},
    [GLYPH_MARK_NOTICE] = {"·", "-"},
    [GLYPH_MARK_CAUTION] = {"▲", "!"},
    [GLYPH_MARK_WARNING] = {"■", "#"},
    [GLYPH_MARK_VOIDED] = {"×", "x"},
    [GLYPH_MARK_ASSERTED] = {"*", "*"},
    [GLYPH_MARK_RAW] = {"†", "+"},
    [GLYPH_CURSOR] = {"▸", ">"},
    [GLYPH_CUT] = {"…", "~"},
    [GLYPH_DOT] = {"·", "|"},
    [GLYPH_ABOUT] = {"≈", "~"},
    [GLYPH_TO] = {"–", "-"},
    [GLYPH_BECOMES] = {"→", ">"},
    [GLYPH_UP] = {"↑", "^"},
    [GLYPH_DOWN] = {"↓", "v"},
    [GLYPH_RULE] = {"─", "-"},
    [GLYPH_AXIS] = {"│", "|"},
    [GLYPH_AXIS_CORNER] = {"└", "+"},
    [GLYPH_POINT] = {"•", "*"},
    [GLYPH_BAND] = {"░", ":"},
};

const char *glyph(Alphabet alphabet, Glyph g)
{
    return glyphs[g][alphabet];
}

const char *glyph_level(Alphabet alphabet, int eighths)
{
    return eighths < 1 ? " "
                       : glyph(alphabet, (Glyph)(GLYPH_LEVEL_1 - 1 + (eighths > 8 ? 8 : eighths)));
}

const char *glyph_bar(Alphabet alphabet, int eighths)
{
    return eighths < 1 ? " "
                       : glyph(alphabet, (Glyph)(GLYPH_BAR_1 - 1 + (eighths > 8 ? 8 : eighths)));
}

Glyph glyph_water(Quality quality)
{
    return (Glyph)(GLYPH_WATER_POTABLE + (int)quality);
}

Glyph glyph_mark(Quality quality)
{
    return (Glyph)(GLYPH_MARK_POTABLE + (int)quality);
}

/* U+00C0..U+017F without their accents, '?' where there is no single letter. */
static const char latin[] = "AAAAAAACEEEEIIIIDNOOOOOxOUUUUYTsaaaaaaaceeeeiiiidnooooo/ouuuuyty"
                            "AaAaAaCcCcCcCcDdDdEeEeEeEeEeGgGgGgGgHhHhIiIiIiIiIiIiJjKkkLlLlLlLl"
                            "LlNnNnNnnNnOoOoOoOoRrRrRrSsSsSsSsTtTtTtUuUuUuUuUuUuWwYyYZzZzZzs";

static const struct {
    uint32_t code;
    char plain;
} signs[] = {
    {0xa0, ' '},    {0xab, '"'},    {0xb0, 'o'},    {0xb2, '2'},   {0xb3, '3'},   {0xb4, '\''},
    {0xb5, 'u'},    {0xb7, '.'},    {0xbb, '"'},    {0x3bc, 'u'},  {0x2002, ' '}, {0x2003, ' '},
    {0x2009, ' '},  {0x2010, '-'},  {0x2011, '-'},  {0x2012, '-'}, {0x2013, '-'}, {0x2014, '-'},
    {0x2018, '\''}, {0x2019, '\''}, {0x201c, '"'},  {0x201d, '"'}, {0x201e, '"'}, {0x2022, '.'},
    {0x2026, '~'},  {0x202f, ' '},  {0x2032, '\''}, {0x2033, '"'}, {0x2190, '<'}, {0x2192, '>'},
    {0x2212, '-'},  {0x2248, '~'},
};

char glyph_ascii(uint32_t code)
{
    if (code < 0x7f)
        return (char)(code < 0x20 ? (uint32_t)'?' : code);
    if (code >= 0xc0 && code < 0xc0 + sizeof latin - 1)
        return latin[code - 0xc0];
    for (size_t i = 0; i < sizeof signs / sizeof signs[0]; i++)
        if (signs[i].code == code)
            return signs[i].plain;
    return '?';
}
