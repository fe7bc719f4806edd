#include "screens/plumbing.h"

#include "outlook/words.h"
#include "paint/width.h"
#include "screens/words.h"

#include <stdio.h>
#include <string.h>

/* Narrower than this, a level stands without its unit, a spare with its word cut short. */
enum { UNIT_COLS = 7, SPARE_COLS = 8 };

/* Everything that one drawing needs at hand. */
typedef struct {
    const App *app;
    const Plumbing *plan;
    Area area;
} Canvas;

static void mark(const Canvas *c, int row, int col, Ink ink, Glyph g)
{
    area_glyph(c->area, row, col, ink, g);
}

/* Words under a piece: in the middle of its box, cut at its width. */
static void word(const Canvas *c, const Piece *piece, int row, Ink ink, const char *text)
{
    const int w = width_ofs(text), room = piece->width - 1,
              box = piece->box > 0 ? piece->box : room;
    if (w > room)
        area_cut(c->area, row, piece->col, room, ink, text_of(text));
    else
        area_puts(c->area, row, piece->col + (w > box ? 0 : (box - w) / 2), ink, text);
}

/* Eighths of a cell that a share of `rows` cells fills: nothing only where there is nothing, full
 * only where it is full. */
static int eighths_of(double share, int rows)
{
    int all = 8 * rows, n = (int)(share * all + 0.5);
    if (n >= all && share < 1)
        n = all - 1;
    if (n <= 0 && share > 0)
        n = 1;
    return n < 0 ? 0 : n > all ? all : n;
}

typedef struct {
    int col, cols;
    Ink ink;
} Held;

/* One row of what a vessel or a housing holds. Its walls take the ink of what is in them: vessels
 * side by side are then one run of colour, and each change of colour costs a terminal 22 bytes. */
static void draw_held(const Canvas *c, int row, const Held *held, const char *texture)
{
    area_fill(area_part(c->area, row, held->col + 1, 1, held->cols - 2), held->ink, texture);
    mark(c, row, held->col, held->ink, GLYPH_WALL_SIDE);
    mark(c, row, held->col + held->cols - 1, held->ink, GLYPH_WALL_SIDE);
}

/* ---- a vessel ---- */

static void draw_water(const Canvas *c, const BoardVessel *v, int row, const Piece *piece)
{
    bool tube = piece->kind == PIECE_VESSEL;
    int levels = c->plan->levels;
    int filled = v->capacity > 0 ? eighths_of((double)v->volume / (double)v->capacity, levels) : 0;
    const Held held = {piece->col, piece->box, ink_of_water(v->quality)};
    const Alphabet alphabet = c->app->alphabet;
    for (int i = 0; i < levels; i++) {
        int here = filled - 8 * (levels - 1 - i);
        if (here > 0)
            draw_held(c, row + i, &held,
                      here >= 8 ? glyph(alphabet, glyph_water(v->quality))
                                : glyph_level(alphabet, here));
        else if (tube)
            mark(c, row + i, piece->col + piece->box - 2, INK_AIR, GLYPH_DIP_TUBE);
    }
}

/* What a vessel is there for, where its place does not say so already, in so many columns. */
static const char *role_of(const BoardVessel *v, int columns)
{
    static const char *const duties[] = {"", "reserve", "wash", "store"};
    if (v->lead)
        return "lead";
    if (raw_told(v) || v->asserted) /* in a word: outlook/words.h */
        return raw_told(v) ? "raw" : columns >= 9 ? "your word" : "word";
    if (v->duty == DUTY_RESERVE && columns < 7)
        return "res.";
    return v->position > 0 && v->duty != DUTY_RESERVE ? "" : duties[v->duty];
}

/* The fifth row: what is expected where it is not what is reckoned, else how old the water is. */
static void draw_age(const Canvas *c, const BoardVessel *v, int row, const Piece *piece)
{
    char text[160], a[64], b[64];
    if (v->expected_told) {
        app_volume_down(c->app, v->expected_low, a);
        app_volume_down(c->app, v->expected_high, b);
        const bool one = strcmp(a, b) == 0; /* rounded */
        snprintf(text, sizeof text, "%s%s%s%s", glyph(c->app->alphabet, GLYPH_ABOUT), a,
                 one ? "" : glyph(c->app->alphabet, GLYPH_TO), one ? "" : b);
        word(c, piece, row, INK_BAND, text);
    } else if (moment_known(v->mean_fill) && v->volume > v->heel) {
        int64_t days = (c->app->now.ms - v->mean_fill.ms) / MS_PER_DAY;
        if (days < 1)
            snprintf(text, sizeof text, "today's");
        else
            snprintf(text, sizeof text, "%lld %s", (long long)days, days == 1 ? "day" : "days");
        word(c, piece, row, v->stale ? INK_CAUTION : INK_QUIET, v->stale ? "stale" : text);
    }
}

/* The sixth row: the residual that was measured in its water. */
static void draw_residual(const Canvas *c, const BoardVessel *v, int row, const Piece *piece)
{
    char text[64];
    word(c, piece, row, ink_of_residual(v->residual), residual_brief(v, c->app->now, text));
}

static void draw_vessel(const Canvas *c, const Piece *piece, int row)
{
    const App *app = c->app;
    const Plumbing *plan = c->plan;
    const BoardVessel *v = &app->board.vessels[piece->which];
    bool coupled = piece->kind == PIECE_VESSEL;
    int col = piece->col, lid = row + 1, floor_row = lid + plan->levels + 1;
    int width = piece->width, box = piece->box;
    area_box(c->area, lid, col, plan->levels + 2, box, INK_VESSEL);
    if (coupled) {
        mark(c, lid, col + 1, INK_VESSEL, GLYPH_PORT);
        mark(c, lid, col + box - 2, INK_VESSEL, GLYPH_PORT);
    }
    draw_water(c, v, lid + 1, piece);

    char text[64], name[LABEL_SIZE + 8];
    int at = floor_row + 1;
    bool tight = plan->notes < 4;
    snprintf(name, sizeof name, "%s%s",
             tight && v->lead ? glyph(app->alphabet, GLYPH_MARK_LEAD) : "", v->label.s);
    word(c, piece, at++, v->spent ? INK_SPENT : v->lead ? INK_LEAD : INK_STRONG, name);
    if (v->volume == 0)
        snprintf(text, sizeof text, "empty");
    else
        app_volume(app, v->volume, text);
    if (v->volume > 0 && (width < UNIT_COLS || width_ofs(text) > width - 1))
        app_volume_bare(app, v->volume, text);
    word(c, piece, at++, v->spent ? INK_SPENT : INK_TEXT, v->spent ? "spent" : text);
    word(c, piece, at++, v->spent ? INK_SPENT : ink_of_class(v->quality),
         words_class_marked(app, v, width - 1, text));
    if (tight)
        return;
    if (v->lead)
        snprintf(text, sizeof text, "%s%s%s", glyph(app->alphabet, GLYPH_MARK_LEAD),
                 width >= 7 ? " " : "", role_of(v, width));
    else
        snprintf(text, sizeof text, "%s", role_of(v, width - 1));
    word(c, piece, at++,
         v->lead                     ? INK_LEAD
         : v->place == PLACE_RESERVE ? INK_RESERVE
                                     : INK_QUIET,
         text);
    if (plan->notes > 4)
        draw_age(c, v, at, piece);
    if (plan->notes > 5)
        draw_residual(c, v, at + 1, piece);
}

/* A vessel apart, as one row beside the line. */
static void draw_listed(const Canvas *c, const Piece *piece, int row)
{
    const App *app = c->app;
    if (piece->row == 1)
        area_puts(c->area, row, piece->col, INK_QUIET, "apart");
    plumbing_strip(app, &app->board.vessels[piece->which], piece->width, true,
                   area_part(c->area, row + piece->row, piece->col, 1, c->area.cols));
}

/* ---- a stage ---- */

static int housing_col(const Piece *piece)
{
    return piece->col + (piece->width - 1 - 5) / 2;
}

/* Somewhere there is no room for the whole word: then it is short everywhere. */
static bool stages_narrow(const Plumbing *plan)
{
    for (int i = 0; i < plan->pieces; i++)
        if (plan->piece[i].kind == PIECE_STAGE && plan->piece[i].width < SPARE_COLS)
            return true;
    return false;
}

static void draw_stage(const Canvas *c, const Piece *piece, int row)
{
    const App *app = c->app;
    const BoardStage *stage = &app->board.stages[piece->which];
    int levels = c->plan->levels, col = housing_col(piece), lid = row + 1;
    const Ink ink = ink_of_service(stage->state);
    const Ink fill = stage->state == SERVICE_OK ? INK_LIFE : INK_LIFE_LOW;
    area_box(c->area, lid, col, levels + 2, 5, INK_VESSEL);
    mark(c, lid, col + 2, INK_VESSEL, GLYPH_PORT);
    double share = stage->life_left < 0 ? 0 : stage->life_left > 1 ? 1 : stage->life_left;
    int filled = eighths_of(share, levels);
    for (int i = 0; i < levels; i++) {
        int here = filled - 8 * (levels - 1 - i);
        if (here > 0)
            draw_held(c, lid + 1 + i, &(Held){col, 5, fill},
                      glyph_level(app->alphabet, here > 8 ? 8 : here));
    }
    char text[64];
    int at = lid + levels + 2;
    word(c, piece, at++, INK_STRONG, stage->label.s);
    life_tell(stage, text);
    word(c, piece, at++, ink, text);
    const char *state = stage_stands(stage);
    if (strcmp(state, text) != 0)
        word(c, piece, at, ink, state);
    at++;
    if (c->plan->notes < 4 || stage->spares < 0)
        return;
    char spare[48];
    snprintf(spare, sizeof spare, "spare %lld", (long long)stage->spares);
    if (stages_narrow(c->plan))
        snprintf(spare, sizeof spare, "sp. %lld", (long long)stage->spares);
    word(c, piece, at, stage->spares == 0 && stage->state != SERVICE_OK ? INK_CAUTION : INK_QUIET,
         spare);
}

/* ---- the pipe ---- */

typedef struct {
    bool air;
    Ink ink;
} Run;

/* What runs in the pipe behind the i-th vessel of a line. */
static Run run_after(const Board *board, const BoardLine *line, int i)
{
    const bool air = board->vessels[line->vessels[i]].spent;
    return (Run){air, air ? INK_AIR : ink_of_water(line->pipe[i])};
}

static void draw_run(const Canvas *c, int row, int from, int to, Run run)
{
    if (to >= from)
        area_fill(area_part(c->area, row, from, 1, to - from + 1), run.ink,
                  glyph(c->app->alphabet, run.air ? GLYPH_AIR : GLYPH_PIPE));
}

static void draw_corner(const Canvas *c, int row, int col, Run run, bool down)
{
    Glyph g = down ? (run.air ? GLYPH_AIR_DOWN_LEFT : GLYPH_PIPE_DOWN_LEFT)
                   : (run.air ? GLYPH_AIR_DOWN_RIGHT : GLYPH_PIPE_DOWN_RIGHT);
    mark(c, row, col, run.ink, g);
}

/* The verdict beside the arrow. A doubt whose word is wider than the column is a question mark
 * there: the word stands in the head of the board. */
static void draw_verdict(Area area, int col, Ink ink, const char *verdict)
{
    char text[64];
    Text said = text_of(verdict);
    const char *bracket = strchr(verdict, '(');
    for (Text words = said; bracket != NULL && words.n > 0;) {
        if (width_of(text_cut(&words, ' ')) <= area.cols - col)
            continue;
        snprintf(text, sizeof text, "%.*s(?)", (int)(bracket - verdict), verdict);
        said = text_of(text);
    }
    area_wrap(area, 0, col, ink, said);
}

static void draw_tap(const Canvas *c, const Piece *piece, int row, int from, Run run)
{
    const App *app = c->app;
    const BoardLine *line = &app->board.lines[piece->line];
    draw_run(c, row, from, piece->col, run);
    mark(c, row, piece->col + 1, run.ink, GLYPH_FLOW);
    area_puts(c->area, row, piece->col + 3, INK_STRONG, "tap");
    Area below =
        area_cols(area_rows(c->area, row + 1, c->plan->levels + 2), 0, piece->col + piece->width);
    Ink ink = line->delivers ? ink_of_class(line->quality) : INK_CAUTION;
    draw_verdict(below, piece->col + 1, ink, tap_verdict(line));
    if (line->runs && line->running.ml_min > 0 && c->plan->levels >= 4) { /* under the verdict */
        char rate[64], text[80];
        snprintf(text, sizeof text, "%s/min", app_volume(app, line->running.ml_min, rate));
        area_wrap(below, c->plan->levels - 1, piece->col + 1, INK_STRONG, text_of(text));
    }
}

/* All pieces of one line, and the pipe from one to the next. */
static void plumbing_draw_line(const Canvas *c, int l, const int *bank_row)
{
    const Board *board = &c->app->board;
    const BoardLine *line = &board->lines[l];
    const Plumbing *plan = c->plan;
    int vessel = -1, bank = -1,
        from = 0; /* `from`: first column of the pipe that is still to be drawn */
    Run run = {true, INK_AIR};
    for (int i = 0; i < plan->pieces; i++) {
        const Piece *piece = &plan->piece[i];
        if (piece->line != l)
            continue;
        int row = bank_row[piece->bank];
        if (bank >= 0 && piece->bank != bank) { /* on in the next bank */
            draw_run(c, bank_row[bank], from, c->area.cols - 3, run);
            mark(c, bank_row[bank], c->area.cols - 2, run.ink, GLYPH_FLOW);
            mark(c, row, 1, run.ink, GLYPH_FLOW);
            from = 2;
        }
        bank = piece->bank;
        switch (piece->kind) {
        case PIECE_AIR:
            area_puts(c->area, row, piece->col, INK_QUIET, "air");
            from = piece->col + 3;
            break;
        case PIECE_VESSEL:
            draw_vessel(c, piece, row);
            draw_run(c, row, from, piece->col, run);
            draw_corner(c, row, piece->col + 1, run, true);
            run = run_after(board, line, ++vessel);
            draw_corner(c, row, piece->col + piece->box - 2, run, false);
            from = piece->col + piece->box - 1;
            break;
        case PIECE_STAGE:
            draw_stage(c, piece, row);
            draw_run(c, row, from, housing_col(piece) + 1, run);
            mark(c, row, housing_col(piece) + 2, run.ink, GLYPH_PIPE_TEE);
            from = housing_col(piece) + 3;
            break;
        case PIECE_TAP:
            draw_tap(c, piece, row, from, run);
            break;
        case PIECE_APART:
        case PIECE_LISTED:
            break;
        }
    }
}

void plumbing_title(const App *app, int line, Area area, int row, int end)
{
    const BoardLine *l = &app->board.lines[line];
    char why[160];
    Area part = area_cols(area, 0, end);
    const char *verdict = tap_verdict(l);
    int room = end - width_ofs(verdict) - 5;
    int col = area_cut(part, row, 1, room > 8 ? room : 8, INK_TITLE, text_of(l->label.s));
    if (col + 5 + width_ofs(verdict) + 3 <= end)
        col = area_puts(part, row, col + 1, INK_QUIET, "tap");
    col++;
    col = area_puts(part, row, col, words_verdict_ink(l), " ");
    col = area_puts(part, row, col, words_verdict_ink(l), verdict);
    col = area_puts(part, row, col, words_verdict_ink(l), " ");
    tap_why(&app->board, l, why, sizeof why);
    if (end - col - 2 >= 12)
        area_cut(part, row, col + 2, end - col - 2, INK_TEXT, text_of(why));
}

void plumbing_draw(const App *app, const Plumbing *plan, Area area)
{
    Canvas c = {app, plan, area};
    int bank_row[BANKS_MAX];
    int row = 0;
    char clock[64];
    app_clock_text(app, false, clock);
    for (int i = 0; i < plan->banks; i++) {
        if (plan->bank_starts[i]) {
            int end = area.cols - 1 - (row == 0 ? width_ofs(clock) + 2 : 0);
            if (plan->bank_line[i] >= 0)
                plumbing_title(app, plan->bank_line[i], area, row, end);
            else
                area_puts(area, row, 1, INK_TITLE, "apart");
            row += plan->airy ? 2 : 1;
        }
        bank_row[i] = row;
        row += 3 + plan->levels + plan->notes + (plan->airy ? 1 : 0);
    }
    area_right(area, 0, area.cols - 1, INK_QUIET, text_of(clock));
    for (int l = 0; l < app->board.line_count; l++)
        plumbing_draw_line(&c, l, bank_row);
    for (int i = 0; i < plan->pieces; i++) {
        const Piece *piece = &plan->piece[i];
        int top = bank_row[piece->bank];
        if (piece->kind == PIECE_APART)
            draw_vessel(&c, piece, top);
        else if (piece->kind == PIECE_LISTED)
            draw_listed(&c, piece, top);
    }
}

enum { STRIP_LEVEL_COLS = 5 };

static int strip_class_cols(bool words)
{
    return words ? 6 : 2;
}

/* Without words there is no air between the bar and the level either. */
static int strip_level_end(int name_cols, bool words)
{
    return name_cols + (words ? 4 : 3) + STRIP_LEVEL_COLS;
}

int plumbing_strip_cols(int name_cols, bool words)
{
    return strip_level_end(name_cols, words) + 1 + strip_class_cols(words);
}

void plumbing_strip(const App *app, const BoardVessel *v, int name_cols, bool words, Area area)
{
    char level[64];
    Ink ink = v->spent ? INK_SPENT : ink_of_class(v->quality);
    area_cut(area, 0, 0, name_cols,
             v->spent  ? INK_SPENT
             : v->lead ? INK_LEAD
                       : INK_STRONG,
             text_of(v->label.s));
    if (v->lead)
        area_glyph(area, 0, name_cols, INK_LEAD, GLYPH_MARK_LEAD);
    int filled = v->capacity > 0 ? eighths_of((double)v->volume / (double)v->capacity, 1) : 0;
    area_puts(area, 0, name_cols + 2, v->spent ? INK_SPENT : ink_of_water(v->quality),
              v->spent ? glyph(app->alphabet, GLYPH_MARK_SPENT)
                       : glyph_level(app->alphabet, filled));
    if (v->spent || v->volume == 0)
        snprintf(level, sizeof level, "%s", v->spent ? "spent" : "empty");
    else
        app_volume_bare(app, v->volume, level);
    const int end = strip_level_end(name_cols, words);
    area_right(area, 0, end, v->spent ? INK_SPENT : INK_TEXT, text_of(level));
    area_puts(area, 0, end + 1, ink, words_class_marked(app, v, strip_class_cols(words), level));
}
