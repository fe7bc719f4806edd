/* pane.h - a list, and the facts of the one that is chosen: what the log, the vessels, the service
 * and the sources have in common.
 *
 * Where there is room the facts stand below the list or beside it; Enter shows them alone, and
 * there they scroll, so that all of them can be read at any size.
 */
#ifndef ULLAGE_TUI_PANE_H
#define ULLAGE_TUI_PANE_H

#include "tui/app.h"
#include "tui/list.h"

enum { FACTS_MAX = 300 };

typedef struct {
    const char *caption; /* borrowed; "" goes on below the fact before */
    Ink ink;             /* of the text */
    size_t from, length; /* in Facts.text */
} Fact;

/* Zero-initialise; facts_finish at the end. */
typedef struct {
    Fact facts[FACTS_MAX];
    int count;
    Str text;
} Facts;

/* One fact more; past FACTS_MAX nothing is added. */
void facts_add(Facts *facts, const char *caption, Ink ink, const char *format, ...)
    __attribute__((format(printf, 4, 5)));
void facts_finish(Facts *facts);
/* Lines that they take when wrapped into `cols` columns. */
int facts_lines(const Facts *facts, int cols);
/* Draws them from line `from` on. Arrows at the right edge say that there is more above or below.
 */
void facts_draw(const Facts *facts, Area area, int from);

typedef struct {
    List list;
    bool closer; /* the facts alone */
    int scroll;  /* first line of them that is shown */
} Pane;

/* From so many columns on the facts stand beside the list. */
enum { PANE_BESIDE_COLS = 110, PANE_FACTS_COLS = 46 };

typedef struct {
    Area list, facts; /* rows 0: not shown */
    bool beside;
} PanePlan;

/* Shares an area out. `lines`: of the facts. In closer look there is no list. */
PanePlan pane_plan(const Pane *pane, Area area, int lines);
/* The rule between a list and the facts below it. */
void pane_draw_rule(const PanePlan *plan);
/* Columns that the facts of a screen have, in the plan that an area of `cols` would get. */
int pane_facts_cols(const Pane *pane, int cols);

/* Keys of a list; Enter: a closer look and back; in a closer look Esc and q lead back, j and k
 * scroll, h and l go to the one before and after. `lines`: of the facts at this size; `rows`: of
 * the area. False: not its key. */
bool pane_key(Pane *pane, Press press, int lines, int rows);

/* Title of a screen in row 0, with a quiet word behind it. Returns the column after. */
int pane_title(Area area, const char *title, const char *gist);
/* The cursor on a row of a list. */
void pane_cursor(Area area, int row);

/* The glyph of a bar's last cell; an eighth is never blank, as it is in ASCII. */
const char *pane_bar(const App *app, int eighths);

/* "3 days", "today", "20 h" for an age; "in 3 days", "today", "3 days ago" for a date. `out` of at
 * least 64 bytes; returns `out`. */
char *pane_age(const App *app, Moment since, char *out);
char *pane_when(const App *app, Moment at, char *out);
/* "24 Nov", with the last figures of the year where it is another one: "24 Nov 27"; "-" not known.
 */
char *pane_day(const App *app, Moment at, char *out);

#endif
