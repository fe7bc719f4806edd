#include "tui/pane.h"

#include "paint/width.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/* Columns for captions, and for the arrows at the right edge. */
enum { CAPTION_COLS = 11, CAPTION_NARROW = 9, NARROW = 50, ARROW_COLS = 2, LEAST_FACTS = 3 };

void facts_add(Facts *facts, const char *caption, Ink ink, const char *format, ...)
{
    char text[1400];
    if (facts->count == FACTS_MAX)
        return;
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    Fact *fact = &facts->facts[facts->count++];
    *fact = (Fact){caption, ink, facts->text.n, strlen(text)};
    str_adds(&facts->text, text);
}

void facts_finish(Facts *facts)
{
    str_finish(&facts->text);
}

static int caption_cols(int cols)
{
    return cols < NARROW ? CAPTION_NARROW : CAPTION_COLS;
}

static int pane_text_cols(int cols)
{
    int wide = cols - 1 - caption_cols(cols) - ARROW_COLS;
    return wide < 1 ? 1 : wide;
}

static Text fact_text(const Facts *facts, int i)
{
    const Fact *fact = &facts->facts[i];
    return facts->text.s != NULL ? text_slice(facts->text.s + fact->from, fact->length)
                                 : text_of("");
}

int facts_lines(const Facts *facts, int cols)
{
    int lines = 0;
    for (int i = 0; i < facts->count; i++) {
        int wrapped = width_lines(fact_text(facts, i), pane_text_cols(cols));
        lines += wrapped < 1 ? 1 : wrapped;
    }
    return lines;
}

void facts_draw(const Facts *facts, Area area, int from)
{
    int line = 0, left = 1, wide = pane_text_cols(area.cols), captions = caption_cols(area.cols);
    for (int i = 0; i < facts->count; i++) {
        Text rest = fact_text(facts, i), part = {0};
        bool first = true;
        while (width_wrap(&rest, wide, &part) || first) {
            int row = line++ - from;
            if (row >= 0 && row < area.rows) {
                if (first)
                    area_cut(area, row, left, captions - 1, INK_CAPTION,
                             text_of(facts->facts[i].caption));
                area_put(area, row, left + captions, facts->facts[i].ink, part);
            }
            part = (Text){0};
            first = false;
        }
    }
    if (from > 0)
        area_glyph(area, 0, area.cols - 1, INK_KEY, GLYPH_UP);
    if (line - from > area.rows)
        area_glyph(area, area.rows - 1, area.cols - 1, INK_KEY, GLYPH_DOWN);
}

/* ---- the list and the facts ---- */

int pane_facts_cols(const Pane *pane, int cols)
{
    return !pane->closer && cols >= PANE_BESIDE_COLS ? PANE_FACTS_COLS : cols;
}

PanePlan pane_plan(const Pane *pane, Area area, int lines)
{
    PanePlan plan = {area, area_rows(area, 0, 0), false};
    if (pane->closer) {
        plan.facts = area;
        plan.list = area_rows(area, 0, 0);
        return plan;
    }
    if (area.cols >= PANE_BESIDE_COLS) {
        plan.list = area_cols(area, 0, area.cols - PANE_FACTS_COLS - 2);
        plan.facts = area_cols(area, area.cols - PANE_FACTS_COLS, PANE_FACTS_COLS);
        plan.beside = true;
        return plan;
    }
    int want = pane->list.count < 1 ? 1 : pane->list.count, room = area.rows - 1;
    int least = want < area.rows / 2 ? want : area.rows / 2, given = room - lines;
    given = given < least ? least : given > want ? want : given;
    if (room - given < LEAST_FACTS)
        return plan;
    plan.list = area_rows(area, 0, given);
    plan.facts = area_rows(area, given + 1, room - given);
    return plan;
}

void pane_draw_rule(const PanePlan *plan)
{
    if (plan->facts.rows < 1 || plan->list.rows < 1)
        return;
    Area all = sheet_area(plan->facts.sheet);
    if (plan->beside)
        area_fill(area_part(all, plan->facts.row, plan->facts.col - 2, plan->facts.rows, 1),
                  INK_RULE, area_sign(all, GLYPH_AXIS));
    else
        area_fill(area_part(all, plan->facts.row - 1, plan->facts.col + 1, 1, plan->facts.cols - 2),
                  INK_RULE, area_sign(all, GLYPH_RULE));
}

static void pane_scroll(Pane *pane, int to, int lines, int rows)
{
    int last = lines > rows ? lines - rows : 0;
    pane->scroll = to < 0 ? 0 : to > last ? last : to;
}

static bool closer_key(Pane *pane, Press press, int lines, int rows)
{
    int page = rows > 2 ? rows - 1 : 1;
    switch (press) {
    case PRESS_ENTER:
    case PRESS_ESC:
    case 'q':
        pane->closer = false;
        break;
    case PRESS_LEFT:
    case 'h':
        list_key(&pane->list, PRESS_UP, rows);
        break;
    case PRESS_RIGHT:
    case 'l':
        list_key(&pane->list, PRESS_DOWN, rows);
        break;
    case PRESS_UP:
    case 'k':
        pane_scroll(pane, pane->scroll - 1, lines, rows);
        return true;
    case PRESS_DOWN:
    case 'j':
        pane_scroll(pane, pane->scroll + 1, lines, rows);
        return true;
    case PRESS_PAGE_UP:
    case PRESS_CTRL('B'):
        pane_scroll(pane, pane->scroll - page, lines, rows);
        return true;
    case PRESS_PAGE_DOWN:
    case PRESS_CTRL('F'):
        pane_scroll(pane, pane->scroll + page, lines, rows);
        return true;
    case PRESS_HOME:
    case 'g':
        pane_scroll(pane, 0, lines, rows);
        return true;
    case PRESS_END:
    case 'G':
        pane_scroll(pane, lines, lines, rows);
        return true;
    default:
        return false;
    }
    pane->scroll = 0;
    return true;
}

bool pane_key(Pane *pane, Press press, int lines, int rows)
{
    if (pane->closer)
        return closer_key(pane, press, lines, rows);
    if (press == PRESS_ENTER && pane->list.count > 0) {
        pane->closer = true;
        pane->scroll = 0;
        return true;
    }
    return list_key(&pane->list, press, rows);
}

int pane_title(Area area, const char *title, const char *gist)
{
    int col = area_puts(area, 0, 1, INK_TITLE, title);
    return area_cut(area, 0, col + 2, area.cols - col - 3, INK_QUIET, text_of(gist));
}

void pane_cursor(Area area, int row)
{
    area_chosen(area, row);
    area_ink(area, row, 1, area.cols - 2, INK_CURSOR);
}

const char *pane_bar(const App *app, int eighths)
{
    const char *bar = glyph_bar(app->alphabet, eighths);
    return eighths > 0 && bar[0] == ' ' ? glyph(app->alphabet, GLYPH_BAR_2) : bar;
}

/* ---- words ---- */

char *pane_age(const App *app, Moment since, char *out)
{
    if (!moment_known(since)) {
        snprintf(out, 64, "not known");
        return out;
    }
    return app_span(app->now.ms - since.ms, out);
}

char *pane_when(const App *app, Moment at, char *out)
{
    if (moment_known(at))
        return moment_print_distance(at, app->now, out);
    snprintf(out, 64, "not known");
    return out;
}

char *pane_day(const App *app, Moment at, char *out)
{
    if (moment_known(at))
        return moment_print_day(at, app->now, out);
    snprintf(out, 2, "-");
    return out;
}
