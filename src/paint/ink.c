#include "paint/ink.h"

/* Grounds: white paper, black. The contrast of every foreground on its ground is tested
 * (tests/paint/test_ink.c). */
enum { OWN = -1, PAPER = 255, NIGHT = 16, RED = 196 };

typedef struct {
    struct {
        int fg, bg, fg8, bg8;
        unsigned attributes; /* with 8 colours */
    } own, light;
    unsigned night; /* red on black, or black on red where it is reversed */
    unsigned plain; /* without colour, and in the terminal's own colours */
} InkRow;

#define B PEN_BOLD
#define R PEN_REVERSE
#define U PEN_UNDERLINE

/* The default scheme stands on the terminal's own ground, which nobody knows: no colour has 4.5:1
 * on every one. So words have the owner's two colours, plates bring a ground of their own, and what
 * is drawn has a colour of middle lightness, 3:1 on black and on white alike. No pair names a
 * ground then but a plate's: 11 bytes less at each change of colour.
 *
 * The 8-colour columns: 0 black 1 red 2 green 3 yellow 4 blue 5 magenta 6 cyan 7 white, each with a
 * ground of its own, since on a console's palette no colour serves two. Only white, cyan and green
 * can be read on black there, only black and blue on white, and bold makes black and blue lighter;
 * so what red says elsewhere is said by white on blue. */
static const InkRow inks[INK_COUNT] = {
    [INK_TEXT] = {{OWN, OWN, 7, 0, 0}, {236, PAPER, 0, 7, 0}, 0, 0},
    [INK_QUIET] = {{OWN, OWN, 7, 0, 0}, {241, PAPER, 0, 7, 0}, 0, 0},
    [INK_STRONG] = {{OWN, OWN, 7, 0, B}, {16, PAPER, 0, 7, 0}, B, B},
    [INK_TITLE] = {{OWN, OWN, 6, 0, B}, {24, PAPER, 4, 7, 0}, B, B},
    [INK_VESSEL] = {{244, OWN, 7, 0, 0}, {241, PAPER, 0, 7, 0}, 0, 0},
    [INK_SPENT] = {{OWN, OWN, 7, 0, 0}, {241, PAPER, 0, 7, 0}, 0, 0},
    [INK_LEAD] = {{OWN, OWN, 7, 0, B}, {94, PAPER, 0, 7, U}, B, B},
    [INK_AIR] = {{244, OWN, 7, 0, 0}, {241, PAPER, 0, 7, 0}, 0, 0},
    [INK_POTABLE] = {{OWN, OWN, 6, 0, 0}, {25, PAPER, 4, 7, 0}, 0, 0},
    [INK_QUESTIONABLE] = {{OWN, OWN, 7, 0, B}, {94, PAPER, 0, 7, 0}, B, B},
    [INK_NON_POTABLE] = {{OWN, OWN, 7, 0, B | U}, {124, PAPER, 0, 7, U}, B, B},
    [INK_WATER_POTABLE] = {{32, OWN, 6, 0, 0}, {25, PAPER, 4, 7, 0}, 0, 0},
    [INK_WATER_QUESTIONABLE] = {{136, OWN, 7, 0, B}, {94, PAPER, 0, 7, 0}, 0, 0},
    [INK_WATER_NON_POTABLE] = {{131, OWN, 7, 0, B}, {124, PAPER, 0, 7, 0}, 0, 0},
    [INK_RESERVE] = {{OWN, OWN, 2, 0, 0}, {23, PAPER, 4, 7, 0}, 0, 0},
    [INK_LIFE] = {{28, OWN, 2, 0, 0}, {22, PAPER, 4, 7, 0}, 0, 0},
    [INK_LIFE_LOW] = {{166, OWN, 7, 0, B}, {94, PAPER, 0, 7, 0}, 0, 0},
    [INK_BAND] = {{OWN, OWN, 7, 0, 0}, {60, PAPER, 0, 7, 0}, 0, 0},
    [INK_GOOD] = {{OWN, OWN, 2, 0, 0}, {22, PAPER, 4, 7, 0}, 0, 0},
    [INK_NOTICE] = {{OWN, OWN, 6, 0, 0}, {24, PAPER, 4, 7, 0}, 0, 0},
    [INK_CAUTION] = {{OWN, OWN, 7, 0, B}, {94, PAPER, 0, 7, U}, B, B},
    [INK_SOON] = {{16, 215, 7, 0, B}, {94, PAPER, 0, 7, U}, B, B},
    [INK_WARNING] = {{231, 124, 7, 4, B}, {231, 124, 7, 4, B}, B | R, B | R},
    [INK_VERDICT_GOOD] = {{16, 74, 0, 6, 0}, {231, 25, 7, 4, B}, B | R, B | R},
    [INK_VERDICT_CARE] = {{16, 179, 0, 7, 0}, {231, 94, 7, 0, B}, B | R, B | R},
    [INK_VERDICT_BAD] = {{231, 124, 7, 4, B}, {231, 124, 0, 6, 0}, B | R, B | R},
    [INK_KEY] = {{OWN, OWN, 7, 0, B}, {94, PAPER, 4, 7, 0}, B, B},
    [INK_HINT] = {{OWN, OWN, 7, 0, 0}, {241, PAPER, 0, 7, 0}, 0, 0},
    [INK_MESSAGE] = {{16, 152, 0, 6, 0}, {231, 24, 7, 4, 0}, R, R},
    [INK_CAPTION] = {{OWN, OWN, 7, 0, 0}, {236, PAPER, 0, 7, 0}, 0, 0},
    [INK_FIELD] = {{OWN, OWN, 7, 0, B}, {16, PAPER, 0, 7, 0}, B, B},
    [INK_ACTIVE] = {{231, 238, 7, 4, B}, {16, 152, 7, 0, B}, U | B, U | B},
    [INK_PROPOSAL] = {{OWN, OWN, 6, 0, 0}, {60, PAPER, 4, 7, 0}, 0, 0},
    [INK_ERROR] = {{231, 124, 7, 4, B}, {124, PAPER, 7, 4, B}, B, B},
    [INK_CHANGE] = {{OWN, OWN, 6, 0, 0}, {24, PAPER, 4, 7, 0}, 0, 0},
    [INK_CURSOR] = {{231, 238, 7, 4, B}, {16, 152, 7, 4, B}, R, R},
    [INK_VOIDED] = {{OWN, OWN, 7, 0, 0}, {241, PAPER, 0, 7, 0}, 0, 0},
    [INK_CHART] = {{32, OWN, 6, 0, 0}, {25, PAPER, 4, 7, 0}, 0, 0},
    [INK_RULE] = {{244, OWN, 7, 0, 0}, {241, PAPER, 0, 7, 0}, 0, 0},
};

#undef B
#undef R
#undef U

static const char *const schemes[SCHEME_COUNT] = {"default", "light", "monochrome", "night"};

const char *scheme_name(Scheme scheme)
{
    return schemes[scheme];
}

Ink ink_of_water(Quality quality)
{
    static const Ink waters[CLASS_COUNT] = {INK_WATER_POTABLE, INK_WATER_QUESTIONABLE,
                                            INK_WATER_NON_POTABLE};
    return waters[quality];
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
    return (Pen){row->own.fg,
                 row->own.bg,
                 row->own.fg8,
                 row->own.bg8,
                 row->own.bg == OWN ? row->plain : 0,
                 row->own.attributes,
                 row->plain};
}
