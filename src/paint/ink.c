#include "paint/ink.h"

#include <stddef.h>

/* Grounds: a dark grey, nearly white, black. All from xterm's cube and greys; the contrast of every
 * foreground on its ground is tested (tests/paint/test_ink.c). The ground is not left to the
 * terminal, though curses then would not name it with each pair (a third of a first paint): for
 * 4.5:1 on a dark grey a colour needs a luminance of .23 and more, on a white one .15 and less. */
enum { DARK = 234, PAPER = 255, NIGHT = 16, RED = 196 };

typedef struct {
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

/* The 8-colour columns: 0 black 1 red 2 green 3 yellow 4 blue 5 magenta 6 cyan 7 white, each with a
 * ground of its own, since nobody knows that of the terminal. On a console's palette only white,
 * cyan and green can be read on black, only black and blue on white, and bold makes black and blue
 * lighter; so what red says elsewhere is said by white on blue. */
static const InkRow inks[INK_COUNT] = {
    [INK_TEXT] = {{252, DARK, 7, 0, 0}, {236, PAPER, 0, 7, 0}, 0, 0},
    [INK_QUIET] = {{246, DARK, 7, 0, 0}, {241, PAPER, 0, 7, 0}, 0, 0},
    [INK_STRONG] = {{231, DARK, 7, 0, B}, {16, PAPER, 0, 7, 0}, B, B},
    [INK_TITLE] = {{152, DARK, 6, 0, B}, {24, PAPER, 4, 7, 0}, B, B},
    [INK_VESSEL] = {{246, DARK, 7, 0, 0}, {241, PAPER, 0, 7, 0}, 0, 0},
    [INK_SPENT] = {{246, DARK, 7, 0, 0}, {241, PAPER, 0, 7, 0}, 0, 0},
    [INK_LEAD] = {{229, DARK, 7, 0, B}, {94, PAPER, 0, 7, U}, B, B},
    [INK_AIR] = {{246, DARK, 7, 0, 0}, {241, PAPER, 0, 7, 0}, 0, 0},
    [INK_POTABLE] = {{74, DARK, 6, 0, 0}, {25, PAPER, 4, 7, 0}, 0, 0},
    [INK_QUESTIONABLE] = {{179, DARK, 7, 0, B}, {94, PAPER, 0, 7, 0}, B, B},
    [INK_NON_POTABLE] = {{173, DARK, 7, 0, B | U}, {124, PAPER, 0, 7, U}, B, B},
    [INK_RESERVE] = {{115, DARK, 2, 0, 0}, {23, PAPER, 4, 7, 0}, 0, 0},
    [INK_LIFE] = {{114, DARK, 2, 0, 0}, {22, PAPER, 4, 7, 0}, 0, 0},
    [INK_BAND] = {{146, DARK, 7, 0, 0}, {60, PAPER, 0, 7, 0}, 0, 0},
    [INK_GOOD] = {{114, DARK, 2, 0, 0}, {22, PAPER, 4, 7, 0}, 0, 0},
    [INK_NOTICE] = {{152, DARK, 6, 0, 0}, {24, PAPER, 4, 7, 0}, 0, 0},
    [INK_CAUTION] = {{215, DARK, 7, 0, B}, {94, PAPER, 0, 7, U}, B, B},
    [INK_WARNING] = {{231, 124, 7, 4, B}, {231, 124, 7, 4, B}, B | R, B | R},
    [INK_VERDICT_GOOD] = {{16, 74, 0, 6, 0}, {231, 25, 7, 4, B}, B | R, B | R},
    [INK_VERDICT_CARE] = {{16, 179, 0, 7, 0}, {231, 94, 7, 0, B}, B | R, B | R},
    [INK_VERDICT_BAD] = {{231, 124, 7, 4, B}, {231, 124, 0, 6, 0}, B | R, B | R},
    [INK_KEY] = {{229, DARK, 7, 0, B}, {94, PAPER, 4, 7, 0}, B, B},
    [INK_HINT] = {{246, DARK, 7, 0, 0}, {241, PAPER, 0, 7, 0}, 0, 0},
    [INK_MESSAGE] = {{16, 152, 0, 6, 0}, {231, 24, 7, 4, 0}, R, R},
    [INK_CAPTION] = {{252, DARK, 7, 0, 0}, {236, PAPER, 0, 7, 0}, 0, 0},
    [INK_FIELD] = {{231, DARK, 7, 0, B}, {16, PAPER, 0, 7, 0}, B, B},
    [INK_ACTIVE] = {{231, 238, 7, 4, B}, {16, 152, 7, 0, B}, U | B, U | B},
    [INK_PROPOSAL] = {{146, DARK, 6, 0, 0}, {60, PAPER, 4, 7, 0}, 0, 0},
    [INK_ERROR] = {{217, DARK, 7, 4, B}, {124, PAPER, 7, 4, B}, B, B},
    [INK_CHANGE] = {{152, DARK, 6, 0, 0}, {24, PAPER, 4, 7, 0}, 0, 0},
    [INK_CURSOR] = {{231, 238, 7, 4, B}, {16, 152, 7, 4, B}, R, R},
    [INK_VOIDED] = {{246, DARK, 7, 0, 0}, {241, PAPER, 0, 7, 0}, 0, 0},
    [INK_CHART] = {{74, DARK, 6, 0, 0}, {25, PAPER, 4, 7, 0}, 0, 0},
    [INK_RULE] = {{246, DARK, 7, 0, 0}, {241, PAPER, 0, 7, 0}, 0, 0},
};

#undef B
#undef R
#undef U

static const char *const schemes[SCHEME_COUNT] = {"default", "light", "monochrome", "night"};

const char *scheme_name(Scheme scheme)
{
    return schemes[scheme];
}

Pen ink_pen(Scheme scheme, Ink ink)
{
    const InkRow *row = &inks[ink];
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
