/* The far view: for a screen on the wall, or eyes without glasses. Can I drink from the tap, how
 * much is there: in letters as tall as the sheet allows. Beneath, in plain ones: until when, the
 * reserve, what needs doing. */
#include "paint/tall.h"
#include "paint/width.h"
#include "screens/screens.h"
#include "screens/words.h"

#include "base/memory.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { TOKENS_MAX = 12, TOKEN_SIZE = 32, FEET_MAX = 4, SCALE_MAX = 40 };

/* What has to be read from afar, word by word: rows are filled with them in this order. */
typedef struct {
    char text[TOKENS_MAX][TOKEN_SIZE];
    Ink ink[TOKENS_MAX];
    bool small[TOKENS_MAX]; /* at half the size: what stands beside the verdict */
    int count;
} Tokens;

static void token_add(Tokens *tokens, Ink ink, bool small, Text word)
{
    if (word.n > 0 && tokens->count < TOKENS_MAX) {
        snprintf(tokens->text[tokens->count], TOKEN_SIZE, "%.*s", (int)word.n, word.s);
        tokens->small[tokens->count] = small;
        tokens->ink[tokens->count++] = ink;
    }
}

static void tokens_add(Tokens *tokens, Ink ink, bool small, Text words)
{
    while (words.n > 0)
        token_add(tokens, ink, small, text_cut(&words, ' '));
}

/* A plate's ground would swallow letters that are themselves made of grounds: they are drawn. */
static Ink ink_tall(const App *app, Ink plate)
{
    const Ink drawn = plate == INK_VERDICT_GOOD   ? INK_WATER_POTABLE
                      : plate == INK_VERDICT_CARE ? INK_LIFE_LOW
                                                  : INK_WATER_NON_POTABLE;
    return app->scheme == SCHEME_MONOCHROME ? INK_STRONG : drawn;
}

static bool reserve_broached(const Board *board)
{
    return board->reserve == RESERVE_IN_USE || board->reserve == RESERVE_SPENT;
}

static void question_add(char text[TOKEN_SIZE])
{
    const size_t n = strlen(text);
    snprintf(text + n, TOKEN_SIZE - n, "?");
}

/* The verdict and the litres of a line. Where what stands beside the verdict has no room
 * (`with_doubt` false), a question mark is in its place: no bare "drink" from two metres. */
static void line_tokens(const App *app, const BoardLine *line, bool with_doubt, Tokens *tokens)
{
    const Ink ink = ink_tall(app, words_verdict_ink(line));
    char litres[64];
    Text doubt = text_of(tap_verdict(line));
    const char *bracket = strchr(doubt.s, '(');
    const Text verdict = bracket != NULL ? text_slice(doubt.s, (size_t)(bracket - doubt.s)) : doubt;
    *tokens = (Tokens){.count = 0};
    tokens_add(tokens, ink, false, text_trim(verdict));
    if (bracket != NULL && with_doubt)
        tokens_add(tokens, ink_tall(app, INK_VERDICT_CARE), true, text_of(bracket));
    else if (bracket != NULL && tokens->count > 0)
        question_add(tokens->text[tokens->count - 1]);
    token_add(tokens, INK_STRONG, false, text_of(app_volume(app, line->usable, litres)));
    if (with_doubt && reserve_broached(&app->board))
        tokens_add(tokens, ink_tall(app, INK_VERDICT_CARE), true,
                   text_of(app->board.reserve == RESERVE_SPENT ? "reserve spent" : "on reserve"));
}

/* Fills rows with the tokens at a scale; draws where sheet is not NULL. Returns the cell rows that
 * were used, -1 where a token is wider than the area. */
static int tokens_lay(const App *app, const Tokens *tokens, int scale, Area area)
{
    int row = 0, col = 0, high = 0;
    for (int i = 0; i < tokens->count; i++) {
        const int own = tokens->small[i] ? (scale + 1) / 2 : scale, space = 3 * own;
        const int wide = tall_cols(tokens->text[i], own), tall = tall_rows(app->alphabet, own);
        if (wide > area.cols)
            return -1;
        if (col > 0 && col + space + wide > area.cols) {
            row += high + 1;
            col = high = 0;
        }
        col += col > 0 ? space : 0;
        if (area.sheet != NULL)
            tall_put(area, row, col, tokens->ink[i], tokens->text[i], own);
        col += wide;
        high = tall > high ? tall : high;
    }
    return row + high;
}

/* The largest scale at which they fit; 0: none. */
static int tokens_scale(const App *app, const Tokens *tokens, Area area)
{
    for (int scale = SCALE_MAX; scale > 0; scale--) {
        const int rows = tokens_lay(app, tokens, scale, area_unseen(area));
        if (rows >= 0 && rows <= area.rows)
            return scale;
    }
    return 0;
}

/* The tokens of a line that fit, with all that stands beside the verdict or with less. Returns the
 * scale, 0 where not even less fits. */
static int line_fit(const App *app, const BoardLine *line, Area area, Tokens *tokens)
{
    int scale = 0;
    for (int less = 0; less < 2 && scale == 0; less++) {
        line_tokens(app, line, less == 0, tokens);
        scale = tokens_scale(app, tokens, area);
    }
    return scale;
}

/* A line of the system in its part of the sheet. */
static void line_draw(const App *app, const BoardLine *line, Area area)
{
    Tokens tokens;
    char litres[64];
    const int scale = line_fit(app, line, area, &tokens);
    if (scale > 0) {
        tokens_lay(app, &tokens, scale, area);
        return;
    }
    Str text = {0};
    str_addf(&text, "%s: %s, %s", line->label.s, tap_verdict(line),
             app_volume(app, line->usable, litres));
    area_wrap(area, 0, 0, words_verdict_ink(line), text_of(text.s));
    str_finish(&text);
}

/* The part of a line above so many rows of plain words. */
static Area line_area(const App *app, Area area, int feet, int line)
{
    const int lines = app->board.line_count, rows = area.rows - feet - (area.rows > 20 ? 1 : 0);
    const int from = rows * line / lines, to = rows * (line + 1) / lines;
    return area_inset(area_rows(area, from, to - from), 0, 1);
}

/* Plain words give way where the letters would not fit. */
static int feet_shown(const App *app, Area area, int wanted)
{
    Tokens tokens;
    int shown = wanted < area.rows / 3 ? wanted : area.rows / 3;
    for (int feet = shown; feet >= 0; feet--) {
        bool fits = true;
        for (int l = 0; l < app->board.line_count; l++)
            fits = fits &&
                   line_fit(app, &app->board.lines[l], line_area(app, area, feet, l), &tokens) > 0;
        if (fits)
            return feet;
    }
    return shown;
}

/* What stands beneath, one row each, gravest first where there is no room for all: 0 a warning or
 * caution, 1 until when, 2 the reserve, 3 what is due. */
static int foot_of(const Words *words)
{
    switch (words->about) {
    case WORDS_ALERT:
        return words->tone >= TONE_CAUTION && (words->alert & ALERT_IN_DUE) == 0 ? 0 : -1;
    case WORDS_WATER:
        return 1;
    case WORDS_RESERVE:
        return 2;
    case WORDS_DUE:
        return 3;
    default:
        return -1;
    }
}

static int feet_find(const Words *words, int count, const Words *feet[])
{
    int n = 0;
    for (int foot = 0; foot < FEET_MAX; foot++) {
        bool found = false;
        for (int i = 0; i < count; i++) {
            if (foot_of(&words[i]) != foot || (found && foot != 1) || n == LINES_MAX + FEET_MAX)
                continue;
            feet[n++] = &words[i]; /* each line has its own date */
            found = true;
        }
    }
    return n;
}

static void foot_draw(const App *app, const Words *foot, Area area, int row, int end)
{
    int col = 1;
    if (foot->marked) {
        area_glyph(area, row, col, ink_of_alert_mark(foot->tone), glyph_of_tone(foot->tone));
        col += 2;
    } else if (foot->about != WORDS_WATER || app->cols >= 60) {
        col = area_puts(area, row, col, INK_QUIET, foot->caption) + 1;
    }
    const bool brief = foot->brief[0] && width_ofs(foot->text) > end - col;
    area_cut(area, row, col, end - col, foot->strong > 0 ? ink_of_tone(foot->tone) : INK_TEXT,
             text_of(brief ? foot->brief : foot->text));
}

static void far_draw(const App *app, Area area)
{
    const Board *board = &app->board;
    const Words *feet[LINES_MAX + FEET_MAX];
    Words *words = memory_get(APP_WORDS_MAX * sizeof *words);
    char clock[64];
    const int wanted = feet_find(words, app_words(app, words), feet);
    const int shown = feet_shown(app, area, wanted);
    const Area feet_area = area_rows(area, area.rows - shown, shown);
    app_clock_text(app, true, clock);
    if (board->line_count == 0)
        area_wrap(area_inset(area, 1, 1), 0, 0, INK_TITLE, text_of("No line is coupled."));
    for (int l = 0; l < board->line_count; l++)
        line_draw(app, &board->lines[l], line_area(app, area, shown, l));
    for (int i = 0; i < shown; i++)
        foot_draw(app, feet[i], feet_area, i, area.cols - (i == 0 ? width_ofs(clock) + 3 : 1));
    if (shown > 0)
        area_right(feet_area, 0, area.cols - 1, INK_QUIET, text_of(clock));
    free(words);
}

const Screen SCREEN_FAR = {
    .name = "far view",
    .gist = "the verdict and the litres in tall letters, for a screen on the wall",
    .press = '0',
    .draw = far_draw,
};
