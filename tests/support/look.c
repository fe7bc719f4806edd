#include "support/look.h"

#include <math.h>

static const struct {
    const char *name;
    char letter;
    bool drawn;
} names[INK_COUNT] = {
    [INK_TEXT] = {"text", '.'},
    [INK_QUIET] = {"quiet", 'q'},
    [INK_STRONG] = {"strong", 'S'},
    [INK_TITLE] = {"title", 'T'},
    [INK_VESSEL] = {"vessel", 'v', true},
    [INK_SPENT] = {"spent", 's'},
    [INK_LEAD] = {"lead", 'l'},
    [INK_AIR] = {"air", 'a', true},
    [INK_POTABLE] = {"potable", 'p'},
    [INK_QUESTIONABLE] = {"questionable", 'y'},
    [INK_NON_POTABLE] = {"non-potable", 'n'},
    [INK_WATER_POTABLE] = {"water-potable", '1', true},
    [INK_WATER_QUESTIONABLE] = {"water-questionable", '2', true},
    [INK_WATER_NON_POTABLE] = {"water-non-potable", '3', true},
    [INK_RESERVE] = {"reserve", 'r'},
    [INK_LIFE] = {"life", 'f', true},
    [INK_LIFE_LOW] = {"life-low", 'd', true},
    [INK_BAND] = {"band", 'b'},
    [INK_GOOD] = {"good", 'g'},
    [INK_NOTICE] = {"notice", 'i'},
    [INK_CAUTION] = {"caution", 'c'},
    [INK_SOON] = {"soon", 'u'},
    [INK_WARNING] = {"warning", 'w'},
    [INK_VERDICT_GOOD] = {"verdict-good", 'D'},
    [INK_VERDICT_CARE] = {"verdict-care", 'C'},
    [INK_VERDICT_BAD] = {"verdict-bad", 'X'},
    [INK_KEY] = {"key", 'k'},
    [INK_HINT] = {"hint", 'h'},
    [INK_MESSAGE] = {"message", 'm'},
    [INK_CAPTION] = {"caption", 't'},
    [INK_FIELD] = {"field", 'F'},
    [INK_ACTIVE] = {"active", 'A'},
    [INK_PROPOSAL] = {"proposal", 'P'},
    [INK_ERROR] = {"error", 'e'},
    [INK_CHANGE] = {"change", 'x'},
    [INK_CURSOR] = {"cursor", 'K'},
    [INK_VOIDED] = {"voided", 'o'},
    [INK_CHART] = {"chart", 'H', true},
    [INK_RULE] = {"rule", '-', true},
};

const char *ink_name(Ink ink)
{
    return names[ink].name;
}

char ink_letter(Ink ink)
{
    return names[ink].letter;
}

bool ink_is_drawn(Ink ink)
{
    return names[ink].drawn;
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

static double luminance(const int rgb[3])
{
    static const double share[3] = {0.2126, 0.7152, 0.0722};
    double sum = 0;
    for (int i = 0; i < 3; i++) {
        double c = rgb[i] / 255.0;
        sum += share[i] * (c <= 0.04045 ? c / 12.92 : pow((c + 0.055) / 1.055, 2.4));
    }
    return sum;
}

double rgb_contrast(const int rgb_a[3], const int rgb_b[3])
{
    double a = luminance(rgb_a), b = luminance(rgb_b);
    return a > b ? (a + 0.05) / (b + 0.05) : (b + 0.05) / (a + 0.05);
}

double ink_contrast(int colour_a, int colour_b)
{
    int a[3], b[3];
    ink_rgb(colour_a, a);
    ink_rgb(colour_b, b);
    return rgb_contrast(a, b);
}

static void dump(const Sheet *sheet, Str *out, bool inks)
{
    for (int row = 0; row < sheet->rows; row++) {
        size_t kept = out->n;
        for (int col = 0; col < sheet->cols; col++) {
            const Cell *cell = sheet_cell(sheet, row, col);
            bool blank = cell->text[0] == ' ' && cell->text[1] == '\0';
            if (inks && blank && cell->ink == INK_TEXT)
                str_addc(out, ' ');
            else if (inks)
                str_addc(out, ink_letter((Ink)cell->ink));
            else
                str_adds(out, cell->text);
            if (!blank || (inks && cell->ink != INK_TEXT))
                kept = out->n;
        }
        if (out->s) {
            out->n = kept;
            out->s[kept] = '\0';
        }
        str_addc(out, '\n');
    }
}

void sheet_dump(const Sheet *sheet, Str *out)
{
    dump(sheet, out, false);
}

void sheet_dump_inks(const Sheet *sheet, Str *out)
{
    dump(sheet, out, true);
}
