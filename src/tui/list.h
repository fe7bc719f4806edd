/* list.h - a list longer than its window: a cursor, and which rows are seen. */
#ifndef ULLAGE_TUI_LIST_H
#define ULLAGE_TUI_LIST_H

#include "paint/cell.h"
#include "tui/press.h"

typedef struct {
    int count;  /* rows in all */
    int cursor; /* 0..count-1; 0 where count is 0 */
    int top;    /* first row of the window at the last key */
} List;

/* A new length; the cursor stays where it can. */
void list_set_count(List *list, int count);
/* Up, Down, k, j, Page Up/Down, Ctrl-B, Ctrl-F, Home, End, g, G. `rows`: height of the window.
 * False: not a key of a list, nothing changed. */
bool list_key(List *list, Press press, int rows);
/* First row to show in a window of `rows`, the cursor in it. Pure: a draw may call it. */
int list_top(const List *list, int rows);
/* "3 of 200" and arrows where there is more, at the right end of a row. Nothing where all is seen.
 */
void list_draw_place(const List *list, int rows, Area area, int row);

#endif
