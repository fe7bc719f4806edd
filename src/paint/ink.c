#include "paint/ink.h"

#include <math.h>
#include <stddef.h>

/* Grounds: a dark grey, nearly white, black. All from xterm's cube and greys; the contrast of every
 * foreground on its ground is tested (tests/tui/test_ink.c). */
enum { DARK = 234, PAPER = 255, NIGHT = 16, RED = 196 };

typedef struct {
    const char *name;
    char letter;
    struct {
        int fg, bg, fg8, bg8;
        unsigned attributes;
    } dark, light;
    unsigned night; /* red on black, or black on red where it is reversed */
    unsigned plain;
} InkRow;

#define B PEN_BOLD
#define R PEN_REVERSE
#define U PEN_UNDERLINE

/* The 8-colour columns: 0 black 1 red 2 green 3 yellow 4 blue 5 magenta 6 cyan 7 white. On light
 * ground plain 8-colour yellow, cyan and green can't be read: dark ones stand in. */
static const InkRow INKS[INK_COUNT] = {
    [INK_TEXT] = {"text", '.', {252, DARK, -1, -1, 0}, {236, PAPER, -1, -1, 0}, 0, 0},
    [INK_QUIET] = {"quiet", 'q', {246, DARK, -1, -1, 0}, {241, PAPER, -1, -1, 0}, 0, 0},
    [INK_STRONG] = {"strong", 'S', {231, DARK, 7, -1, B}, {16, PAPER, -1, -1, B}, B, B},
    [INK_TITLE] = {"title", 'T', {152, DARK, 6, -1, B}, {24, PAPER, 4, -1, B}, B, B},
    [INK_VESSEL] = {"vessel", 'v', {246, DARK, -1, -1, 0}, {241, PAPER, -1, -1, 0}, 0, 0},
    [INK_SPENT] = {"spent", 's', {246, DARK, -1, -1, 0}, {241, PAPER, -1, -1, 0}, 0, 0},
    [INK_LEAD] = {"lead", 'l', {229, DARK, 7, -1, B}, {94, PAPER, 0, -1, B}, B, B},
    [INK_AIR] = {"air", 'a', {246, DARK, -1, -1, 0}, {241, PAPER, -1, -1, 0}, 0, 0},
    [INK_POTABLE] = {"potable", 'p', {74, DARK, 6, -1, 0}, {25, PAPER, 4, -1, 0}, 0, 0},
    [INK_QUESTIONABLE] = {"questionable", 'y', {179, DARK, 3, -1, 0}, {94, PAPER, 5, -1, 0}, B, B},
    [INK_NON_POTABLE] = {"non-potable", 'n', {173, DARK, 1, -1, B}, {124, PAPER, 1, -1, 0}, B, B},
    [INK_RESERVE] = {"reserve", 'r', {115, DARK, 2, -1, 0}, {23, PAPER, 4, -1, 0}, 0, 0},
    [INK_LIFE] = {"life", 'f', {114, DARK, 2, -1, 0}, {22, PAPER, 4, -1, 0}, 0, 0},
    [INK_BAND] = {"band", 'b', {146, DARK, -1, -1, 0}, {60, PAPER, -1, -1, 0}, 0, 0},
    [INK_GOOD] = {"good", 'g', {114, DARK, 2, -1, 0}, {22, PAPER, 4, -1, 0}, 0, 0},
    [INK_NOTICE] = {"notice", 'i', {152, DARK, 6, -1, 0}, {24, PAPER, 4, -1, 0}, 0, 0},
    [INK_CAUTION] = {"caution", 'c', {215, DARK, 3, -1, B}, {94, PAPER, 5, -1, B}, B, B},
    [INK_WARNING] = {"warning", 'w', {231, 124, 7, 1, B}, {231, 124, 7, 1, B}, B | R, B | R},
    [INK_VERDICT_GOOD] = {"verdict-good", 'D', {16, 74, 0, 6, B}, {231, 25, 7, 4, B}, B | R, B | R},
    [INK_VERDICT_CARE] =
        {"verdict-care", 'C', {16, 179, 0, 3, B}, {231, 94, 7, 5, B}, B | R, B | R},
    [INK_VERDICT_BAD] =
        {"verdict-bad", 'X', {231, 124, 7, 1, B}, {231, 124, 7, 1, B}, B | R, B | R},
    [INK_KEY] = {"key", 'k', {229, DARK, 7, -1, B}, {94, PAPER, 0, -1, B}, B, B},
    [INK_HINT] = {"hint", 'h', {246, DARK, -1, -1, 0}, {241, PAPER, -1, -1, 0}, 0, 0},
    [INK_MESSAGE] = {"message", 'm', {16, 152, 0, 6, 0}, {231, 24, 7, 4, 0}, R, R},
    [INK_CAPTION] = {"caption", 't', {252, DARK, -1, -1, 0}, {236, PAPER, -1, -1, 0}, 0, 0},
    [INK_FIELD] = {"field", 'F', {231, DARK, 7, -1, B}, {16, PAPER, -1, -1, B}, B, B},
    [INK_ACTIVE] = {"active", 'A', {231, 238, 7, 4, B}, {16, 152, 7, 4, B}, U | B, U | B},
    [INK_PROPOSAL] = {"proposal", 'P', {146, DARK, 6, -1, 0}, {60, PAPER, 4, -1, 0}, 0, 0},
    [INK_ERROR] = {"error", 'e', {217, DARK, 1, -1, B}, {124, PAPER, 1, -1, B}, B, B},
    [INK_CHANGE] = {"change", 'x', {152, DARK, 6, -1, 0}, {24, PAPER, 4, -1, 0}, 0, 0},
    [INK_CURSOR] = {"cursor", 'K', {231, 238, 7, 4, B}, {16, 152, 7, 4, B}, R, R},
    [INK_VOIDED] = {"voided", 'o', {246, DARK, -1, -1, 0}, {241, PAPER, -1, -1, 0}, 0, 0},
    [INK_CHART] = {"chart", 'H', {74, DARK, 6, -1, 0}, {25, PAPER, 4, -1, 0}, 0, 0},
    [INK_RULE] = {"rule", '-', {246, DARK, -1, -1, 0}, {241, PAPER, -1, -1, 0}, 0, 0},
};

#undef B
#undef R
#undef U

static const char *const SCHEMES[SCHEME_COUNT] = {"default", "light", "monochrome", "night"};

const char *scheme_name(Scheme scheme)
{
    return SCHEMES[scheme];
}

Pen ink_pen(Scheme scheme, Ink ink)
{
    const InkRow *row = &INKS[ink];
    switch (scheme) {
    case SCHEME_LIGHT:
        return (Pen){row->light.fg,         row->light.bg, row->light.fg8, row->light.bg8, 0,
                     row->light.attributes, row->plain};
    case SCHEME_NIGHT: {
        /* One red and no other colour: the eye's night vision is lost to green and blue light
         * first. The cube has no darker red that still reaches 4.5:1 on black, so states differ by
         * attribute. */
        bool reversed = (row->night & PEN_REVERSE) != 0;
        return (Pen){reversed ? NIGHT : RED,
                     reversed ? RED : NIGHT,
                     reversed ? 0 : 1,
                     reversed ? 1 : 0,
                     row->night & ~(unsigned)PEN_REVERSE,
                     row->night & ~(unsigned)PEN_REVERSE,
                     row->plain};
    }
    case SCHEME_MONOCHROME:
        return (Pen){-1, -1, -1, -1, row->plain, row->plain, row->plain};
    case SCHEME_DEFAULT:
    case SCHEME_COUNT:
        break;
    }
    return (Pen){row->dark.fg,         row->dark.bg, row->dark.fg8, row->dark.bg8, 0,
                 row->dark.attributes, row->plain};
}

const char *ink_name(Ink ink)
{
    return INKS[ink].name;
}

char ink_letter(Ink ink)
{
    return INKS[ink].letter;
}

void ink_rgb(int colour, int rgb[3])
{
    if (colour >= 232) {
        rgb[0] = rgb[1] = rgb[2] = 8 + 10 * (colour - 232);
        return;
    }
    int cube = colour < 16 ? 0 : colour - 16;
    for (int i = 2; i >= 0; i--, cube /= 6)
        rgb[i] = cube % 6 == 0 ? 0 : 55 + 40 * (cube % 6);
}

static double luminance(int colour)
{
    static const double SHARE[3] = {0.2126, 0.7152, 0.0722};
    int rgb[3];
    double sum = 0;
    ink_rgb(colour, rgb);
    for (int i = 0; i < 3; i++) {
        double c = rgb[i] / 255.0;
        sum += SHARE[i] * (c <= 0.04045 ? c / 12.92 : pow((c + 0.055) / 1.055, 2.4));
    }
    return sum;
}

double ink_contrast(int colour_a, int colour_b)
{
    double a = luminance(colour_a), b = luminance(colour_b);
    return a > b ? (a + 0.05) / (b + 0.05) : (b + 0.05) / (a + 0.05);
}
