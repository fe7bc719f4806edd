/* Where everything stands: pieces into banks, and how tall the vessels can be. */
#include "screens/plumbing.h"

#include "paint/width.h"

#include <string.h>

enum { AIR_COLS = 4, TAP_COLS = 8, HOUSING_COLS = 5, MARGIN = 1 };

static int bank_new(Plumbing *plan, int line, bool starts)
{
    if (plan->banks == BANKS_MAX)
        return BANKS_MAX - 1;
    plan->bank_line[plan->banks] = line;
    plan->bank_starts[plan->banks] = starts;
    return plan->banks++;
}

static void piece_add(Plumbing *plan, Piece piece)
{
    if (plan->pieces < PIECES_MAX)
        plan->piece[plan->pieces++] = piece;
}

static int stage_width(const BoardStage *stage, int pitch, int cols)
{
    int label = width_ofs(stage->label.s), most = cols >= 100 ? 12 : 8;
    if (label > most)
        label = most;
    return (label > HOUSING_COLS ? label : HOUSING_COLS) + (pitch >= 10 ? 3 : 1);
}

/* Puts a piece behind the others of its line, in a new bank where there is no room. */
static void line_put(Plumbing *plan, Piece piece, int cols, int *col)
{
    if (*col + piece.width > cols - 1 && *col > MARGIN + AIR_COLS) {
        piece.bank = bank_new(plan, piece.line, false);
        *col = MARGIN + AIR_COLS;
    } else {
        piece.bank = plan->banks - 1;
    }
    piece.col = *col;
    *col += piece.width;
    piece_add(plan, piece);
}

static int box_of(int pitch)
{
    return pitch >= 7 ? pitch - 2 : pitch - 1;
}

static int lay_line(Plumbing *plan, const Board *board, int l, int cols)
{
    const BoardLine *line = &board->lines[l];
    int col = MARGIN;
    bank_new(plan, l, true);
    line_put(plan, (Piece){.kind = PIECE_AIR, .line = l, .width = AIR_COLS}, cols, &col);
    for (int i = 0; i < line->count; i++)
        line_put(plan,
                 (Piece){.kind = PIECE_VESSEL,
                         .which = line->vessels[i],
                         .line = l,
                         .width = plan->pitch,
                         .box = box_of(plan->pitch)},
                 cols, &col);
    for (int i = 0; i < line->stage_count; i++)
        line_put(plan,
                 (Piece){.kind = PIECE_STAGE,
                         .which = line->stages[i],
                         .line = l,
                         .width = stage_width(&board->stages[line->stages[i]], plan->pitch, cols)},
                 cols, &col);
    line_put(plan, (Piece){.kind = PIECE_TAP, .line = l, .width = TAP_COLS}, cols, &col);
    return col;
}

typedef struct {
    int count, name_cols;
} Apart;

static Apart apart_of(const Board *board)
{
    Apart apart = {0, 2};
    for (int i = 0; i < board->vessel_count; i++) {
        int w = width_ofs(board->vessels[i].label.s);
        if (board->vessels[i].position != 0)
            continue;
        apart.count++;
        if (w > apart.name_cols)
            apart.name_cols = w < 8 ? w : 8;
    }
    return apart;
}

static void apart_put(Plumbing *plan, Piece piece, const Board *board, int step, int cols)
{
    for (int i = 0; i < board->vessel_count; i++) {
        if (board->vessels[i].position != 0)
            continue;
        if (piece.kind == PIECE_APART && piece.col + piece.box > cols - 1) {
            piece.bank = bank_new(plan, -1, false);
            piece.col = MARGIN + AIR_COLS;
        }
        piece.which = i;
        piece_add(plan, piece);
        piece.col += step;
        piece.row += piece.kind == PIECE_LISTED;
    }
}

/* `used`: columns that the last bank has taken. `tall`: rows of a bank at the least. */
static void lay_apart(Plumbing *plan, const App *app, int cols, int used, int tall)
{
    const Board *board = &app->board;
    Apart apart = apart_of(board);
    if (apart.count == 0)
        return;
    Piece piece = {.kind = PIECE_APART, .line = -1, .bank = plan->banks - 1};
    /* Drawn beside the line, with as much air between them as there is. */
    for (int pitch = plan->pitch < 10 ? 10 : plan->pitch; plan->banks > 0 && pitch >= 7; pitch--) {
        int from = cols - apart.count * pitch;
        if (from <= used)
            continue;
        piece.col = from;
        piece.width = pitch;
        piece.box = box_of(pitch < plan->pitch ? pitch : plan->pitch);
        apart_put(plan, piece, board, pitch, cols + pitch);
        return;
    }
    int listed = plumbing_strip_cols(apart.name_cols, true);
    if (plan->banks > 0 && cols - 1 - listed > used && apart.count < tall) {
        piece.kind = PIECE_LISTED;
        piece.col = cols - 1 - listed;
        piece.width = apart.name_cols;
        piece.row = 1;
        apart_put(plan, piece, board, 0, cols);
        return;
    }
    piece.bank = bank_new(plan, -1, true);
    piece.col = MARGIN + AIR_COLS;
    piece.width = plan->pitch;
    piece.box = box_of(plan->pitch);
    apart_put(plan, piece, board, plan->pitch, cols);
}

static void lay(Plumbing *plan, const App *app, int cols, int pitch, int tall)
{
    const Board *board = &app->board;
    int used = cols;
    memset(plan, 0, sizeof *plan);
    plan->pitch = pitch;
    for (int l = 0; l < board->line_count; l++)
        if (board->lines[l].count > 0 || board->lines[l].stage_count > 0)
            used = lay_line(plan, board, l, cols);
    lay_apart(plan, app, cols, used, tall);
}

static int titles(const Plumbing *plan)
{
    int rows = 0;
    for (int i = 0; i < plan->banks; i++)
        rows += plan->bank_starts[i];
    return rows;
}

/* Rows of all banks: pipe, lid, water, floor, words. */
static int rows_of(const Plumbing *plan)
{
    int rows = titles(plan) * (plan->airy ? 2 : 1) + plan->banks * (3 + plan->levels + plan->notes);
    return rows + (plan->airy ? plan->banks - 1 : 0);
}

static bool fit(Plumbing *plan, int rows, int least, int most, int notes, bool airy)
{
    plan->notes = notes;
    plan->airy = airy;
    for (plan->levels = most; plan->levels >= least; plan->levels--) {
        plan->rows = rows_of(plan);
        if (plan->rows <= rows)
            return true;
    }
    return false;
}

static bool any_residual(const Board *board)
{
    for (int i = 0; i < board->vessel_count; i++)
        if (board->vessels[i].residual != RESIDUAL_UNKNOWN)
            return true;
    return false;
}

bool plumbing_plan(const App *app, int rows, int cols, Plumbing *plan)
{
    static const struct {
        int least, notes, narrowest, most;
        bool airy;
    } wished[] = {{6, 6, 10, 12, true}, {6, 5, 10, 12, true}, {4, 4, 8, 5, true},
                  {4, 4, 7, 5, true},   {4, 4, 6, 4, false},  {3, 4, 6, 4, false},
                  {3, 3, 6, 4, false},  {2, 3, 6, 4, false},  {2, 3, 5, 3, false},
                  {1, 3, 5, 2, false}};
    int widest = cols >= 100 ? 12 : 9;
    if (app->board.vessel_count == 0)
        return false;
    for (size_t i = any_residual(&app->board) ? 0 : 1; i < sizeof wished / sizeof *wished; i++) {
        for (int pitch = widest; pitch >= wished[i].narrowest; pitch--) {
            lay(plan, app, cols, pitch, 3 + wished[i].least + wished[i].notes);
            if (plan->banks < BANKS_MAX && plan->piece[0].width <= cols &&
                fit(plan, rows, wished[i].least, wished[i].most, wished[i].notes, wished[i].airy))
                return true;
        }
    }
    return false;
}
