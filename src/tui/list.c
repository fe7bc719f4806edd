#include "tui/list.h"

#include "paint/width.h"

#include <stdio.h>

static void list_move(List *list, int to)
{
    if (to > list->count - 1)
        to = list->count - 1;
    list->cursor = to < 0 ? 0 : to;
}

void list_set_count(List *list, int count)
{
    list->count = count < 0 ? 0 : count;
    list_move(list, list->cursor);
}

int list_top(const List *list, int rows)
{
    if (rows < 1)
        return list->cursor;
    int top = list->top;
    if (list->cursor < top)
        top = list->cursor;
    if (list->cursor >= top + rows)
        top = list->cursor - rows + 1;
    if (top > list->count - rows)
        top = list->count - rows;
    return top < 0 ? 0 : top;
}

bool list_key(List *list, Press press, int rows)
{
    int page = rows > 2 ? rows - 1 : 1;
    switch (press) {
    case PRESS_UP:
    case 'k':
        list_move(list, list->cursor - 1);
        break;
    case PRESS_DOWN:
    case 'j':
        list_move(list, list->cursor + 1);
        break;
    case PRESS_PAGE_UP:
    case PRESS_CTRL('B'):
        list_move(list, list->cursor - page);
        break;
    case PRESS_PAGE_DOWN:
    case PRESS_CTRL('F'):
        list_move(list, list->cursor + page);
        break;
    case PRESS_HOME:
    case 'g':
        list_move(list, 0);
        break;
    case PRESS_END:
    case 'G':
        list_move(list, list->count - 1);
        break;
    default:
        return false;
    }
    list->top = list_top(list, rows);
    return true;
}

void list_draw_place(const List *list, int rows, Area area, int row)
{
    if (list->count <= rows)
        return;
    int top = list_top(list, rows);
    char text[64];
    snprintf(text, sizeof text, "%d of %d %s%s", list->cursor + 1, list->count,
             top > 0 ? area_sign(area, GLYPH_UP) : " ",
             top + rows < list->count ? area_sign(area, GLYPH_DOWN) : " ");
    area_right(area, row, area.cols - 1, INK_QUIET, text_of(text));
}
