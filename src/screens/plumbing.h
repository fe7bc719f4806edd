/* plumbing.h - the drawing of the board: air, vessels, stages and tap as the water runs.
 *
 * Vessels stand under their pipe in coupling order with their water in them, the dip tube over what
 * is left; the pipe is drawn as air up to the lead and as water from there on; stages hang from it
 * as housings, filled with the life they have left. Where a line is longer than the sheet is wide
 * it goes on in the next bank. What is kept apart stands beside the line: drawn where there is
 * room, else listed, else in a bank of its own.
 */
#ifndef ULLAGE_SCREENS_PLUMBING_H
#define ULLAGE_SCREENS_PLUMBING_H

#include "tui/app.h"

enum { PIECES_MAX = VESSELS_ABOARD_MAX + STAGES_MAX + 3 * LINES_MAX + 4, BANKS_MAX = 24 };

typedef enum {
    PIECE_AIR,
    PIECE_VESSEL,
    PIECE_STAGE,
    PIECE_TAP,
    PIECE_APART,
    PIECE_LISTED
} PieceKind;
typedef struct {
    PieceKind kind;
    int which; /* index into Board.vessels or Board.stages */
    int line;  /* index into Board.lines; -1 apart */
    int bank, col, width;
    int box; /* columns of a vessel's walls */
    int row; /* PIECE_LISTED: below the pipe */
} Piece;

typedef struct {
    int pitch;  /* columns from one vessel of a line to the next */
    int levels; /* rows of water */
    int notes;  /* rows of words under a vessel: name, level, class, 4: role, 5: age or band,
                   6: residual */
    bool airy;  /* empty rows around the drawing */
    int banks, pieces;
    int bank_line[BANKS_MAX];    /* index into Board.lines, -1: apart */
    bool bank_starts[BANKS_MAX]; /* first bank of its line: a title row stands above it */
    Piece piece[PIECES_MAX];
    int rows; /* in all */
} Plumbing;

/* The best drawing in rows x cols; false where none fits. */
bool plumbing_plan(const App *app, int rows, int cols, Plumbing *plan);
void plumbing_draw(const App *app, const Plumbing *plan, Area area);

/* The title row of a line: its name, the tap's verdict as a plate, and why. `end`: the column where
 * it has to stop. */
void plumbing_title(const App *app, int line, Area area, int row, int end);

/* One vessel in a row of cells: name, mark, gauge, level, class; `words`: the class as a word.
 * It takes so many columns, and stands in the first row of the area. */
int plumbing_strip_cols(int name_cols, bool words);
void plumbing_strip(const App *app, const BoardVessel *vessel, int name_cols, bool words,
                    Area area);

#endif
