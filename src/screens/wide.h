/* wide.h - what a wide board has room for under its facts: the chart of what is left, what is due,
 * the latest entries; and the past of that chart, which other screens ask for as well.
 */
#ifndef ULLAGE_SCREENS_WIDE_H
#define ULLAGE_SCREENS_WIDE_H

#include "paint/outlook_chart.h"
#include "tui/app.h"

/* From so many columns and rows on a sheet is wide; from WIDEST_COLS on the entries stand there,
 * too. The panel takes WIDE_PANEL_ROWS at least. */
enum { WIDE_COLS = 120, WIDE_ROWS = 40, WIDEST_COLS = 180, WIDE_PANEL_ROWS = 11 };

bool wide_sheet(const App *app);
void wide_draw(const App *app, Area area);

/* The past that a chart shows: wishes it (WISH_HISTORY), and takes the answer as far as it has
 * come. */
void past_ask(const App *app, Wish *wish);
OutlookPast past_told(const App *app);

#endif
