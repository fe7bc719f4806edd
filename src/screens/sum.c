#include "screens/sum.h"

#include "paint/width.h"
#include "tui/list.h"
#include "tui/pane.h"

#include <stdio.h>
#include <string.h>

static void sum_scroll_keep(Sum *sum, const App *app);

enum { WIDE_COLS = 72, LEFT_COLS = 37, CAPTION_COLS = 14, RESULT_PAGE = 5 };

/* ---- rows ---- */

static void row_add(Sum *sum, int field)
{
    SumRow *row = &sum->rows[sum->count++];
    *row = (SumRow){.field = field};
}

static bool takes_vessel(const Topic *topic)
{
    return topic->about != ABOUT_NOTHING && topic->about != ABOUT_LINE;
}

static bool takes_line(const Topic *topic)
{
    return topic->about == ABOUT_LINE || topic->about == ABOUT_DUE || topic->about == ABOUT_ALL;
}

void sum_begin(Sum *sum, const Topic *topic, const App *app)
{
    memset(sum, 0, sizeof *sum);
    sum->topic = topic;
    if (takes_vessel(topic) && app->board.vessel_count > 0)
        row_add(sum, SUM_VESSEL);
    if (takes_line(topic) && app->board.line_count > 0)
        row_add(sum, SUM_LINE);
    const int names = sum->count;
    for (int i = 0; i < topic->field_count; i++)
        row_add(sum, i);
    sum->active = names < sum->count ? names : 0;
    sum_read(sum, app);
}

static Names row_names(const SumRow *row)
{
    return row->field == SUM_VESSEL ? NAMES_VESSEL : NAMES_LINE;
}

/* The name typed, or a unique beginning of it; -1. */
static int name_typed(const SumRow *row, const State *state)
{
    const Text text = text_trim(text_of(row->text));
    const Names names = row_names(row);
    const Label *name;
    int found = -1, fits = 0;
    for (int i = 0; (name = state_name(state, names, i)) != NULL; i++) {
        if (label_empty(name) || state_find(state, names, name) != i)
            continue;
        const Text whole = text_of(name->s);
        if (text_is_nocase(text, name->s))
            return i;
        char head[LABEL_SIZE];
        (void)snprintf(head, sizeof head, "%.*s", (int)text.n, name->s);
        if (text.n < whole.n && text_is_nocase(text, head)) {
            found = i;
            fits++;
        }
    }
    return fits == 1 ? found : -1;
}

static void row_wrong(SumRow *row, const char *why)
{
    row->wrong = true;
    (void)snprintf(row->fault, sizeof row->fault, "%s", why);
}

static void name_read(Sum *sum, SumRow *row, const State *state)
{
    row->wrong = false;
    if (row->text[0] == '\0')
        return;
    const int slot = name_typed(row, state);
    if (slot < 0) {
        row_wrong(row,
                  row->field == SUM_VESSEL ? "There is no such vessel." : "There is no such line.");
    } else if (row->field == SUM_VESSEL) {
        sum->site.vessel = slot;
        sum->site.vessel_said = true;
    } else {
        sum->site.line = slot;
        sum->site.line_said = true;
    }
}

static void name_proposal(const Sum *sum, SumRow *row, const State *state)
{
    const int slot = row->field == SUM_VESSEL ? sum->site.vessel : sum->site.line;
    const Label *name = slot >= 0 ? state_name(state, row_names(row), slot) : NULL;
    (void)snprintf(row->proposal, sizeof row->proposal, "%s",
                   name != NULL                                                 ? name->s
                   : sum->topic->about == ABOUT_ALL && row->field == SUM_VESSEL ? "all aboard"
                                                                                : "none");
}

void sum_read(Sum *sum, const App *app)
{
    const Topic *topic = sum->topic;
    sum->site = (ReckonSite){.state = &app->state, .board = &app->board, .vessel = -1, .line = -1};
    for (int i = 0; i < sum->count; i++)
        if (sum->rows[i].field < 0)
            name_read(sum, &sum->rows[i], &app->state);
    site_settle(topic, &sum->site);
    reckon_propose(topic, &sum->site, sum->inputs);
    for (int i = 0; i < sum->count; i++) {
        SumRow *row = &sum->rows[i];
        if (row->field < 0) {
            name_proposal(sum, row, &app->state);
            continue;
        }
        const ReckonField *f = &topic->fields[row->field];
        ReckonInput *input = &sum->inputs[row->field];
        Fault fault = {0};
        row->wrong = false;
        reckon_text(f, input->value, app->units, 5e-4, row->proposal);
        if (row->text[0] != '\0' && !reckon_read(f, text_of(row->text), app->units, input, &fault))
            row_wrong(row, fault.text);
    }
    reckon_compute(topic, sum->inputs, &sum->result);
    sum->refused_field = -1;
    if (sum->result.refused) {
        Str why = {0};
        reckon_refusal(topic, &sum->result, app->units, &sum->refused_field, &why);
        str_finish(&why);
    }
    sum_scroll_keep(sum, app);
}

/* ---- keys ---- */

static void sum_go(Sum *sum, int to)
{
    sum->active = ((to % sum->count) + sum->count) % sum->count;
    sum->caret = strlen(sum->rows[sum->active].text);
}

static size_t step_left(const char *text, size_t at)
{
    if (at > 0)
        at--;
    while (at > 0 && ((unsigned char)text[at] & 0xc0) == 0x80)
        at--;
    return at;
}

static size_t step_right(const char *text, size_t at)
{
    if (text[at] != '\0')
        at++;
    while (((unsigned char)text[at] & 0xc0) == 0x80)
        at++;
    return at;
}

/* The next name or word; false where there are none to choose from, or something else is typed. */
static bool sum_choose(Sum *sum, int step, const State *state)
{
    SumRow *row = &sum->rows[sum->active];
    const char *words[VESSEL_SLOTS + SOURCES_MAX];
    int count = 0, at = -1;
    if (row->field < 0) {
        const Label *name;
        for (int i = 0; (name = state_name(state, row_names(row), i)) != NULL; i++)
            if (!label_empty(name) && state_find(state, row_names(row), name) == i)
                words[count++] = name->s;
    } else if (sum->topic->fields[row->field].quantity == QUANTITY_CHOICE) {
        const char *const *choices = sum->topic->fields[row->field].choices;
        while (choices[count] != NULL) {
            words[count] = choices[count];
            count++;
        }
    }
    if (count == 0)
        return false;
    const char *now = row->text[0] != '\0' ? row->text : row->proposal;
    for (int i = 0; i < count; i++)
        if (text_is_nocase(text_of(now), words[i]))
            at = i;
    if (at < 0 && row->text[0] != '\0')
        return false;
    if (at < 0)
        at = step > 0 ? -1 : 0;
    (void)snprintf(row->text, sizeof row->text, "%s", words[(at + step + count) % count]);
    sum->caret = strlen(row->text);
    return true;
}

static void sum_erase(Sum *sum, size_t from, size_t to)
{
    char *text = sum->rows[sum->active].text;
    memmove(text + from, text + to, strlen(text + to) + 1);
    sum->caret = from;
}

static void sum_type(Sum *sum, Press press)
{
    char *text = sum->rows[sum->active].text, bytes[5];
    const size_t n = press_utf8(press, bytes), have = strlen(text);
    if (n == 0 || have + n > SUM_TYPED)
        return;
    memmove(text + sum->caret + n, text + sum->caret, have - sum->caret + 1);
    memcpy(text + sum->caret, bytes, n);
    sum->caret += n;
}

bool sum_key(Sum *sum, Press press, const App *app)
{
    const char *text = sum->rows[sum->active].text;
    switch (press) {
    case PRESS_TAB:
    case PRESS_DOWN:
    case PRESS_ENTER:
        sum_go(sum, sum->active + 1);
        return true;
    case PRESS_BACKTAB:
    case PRESS_UP:
        sum_go(sum, sum->active - 1);
        return true;
    case PRESS_LEFT:
        if (!sum_choose(sum, -1, &app->state))
            sum->caret = step_left(text, sum->caret);
        return true;
    case PRESS_RIGHT:
        if (!sum_choose(sum, 1, &app->state))
            sum->caret = step_right(text, sum->caret);
        return true;
    case PRESS_HOME:
        sum->caret = 0;
        return true;
    case PRESS_END:
        sum->caret = strlen(text);
        return true;
    case PRESS_PAGE_DOWN:
        sum->scroll += RESULT_PAGE;
        return true;
    case PRESS_PAGE_UP:
        sum->scroll = sum->scroll > RESULT_PAGE ? sum->scroll - RESULT_PAGE : 0;
        return true;
    case PRESS_BACKSPACE:
        sum_erase(sum, step_left(text, sum->caret), sum->caret);
        return true;
    case PRESS_DELETE:
        sum_erase(sum, sum->caret, step_right(text, sum->caret));
        return true;
    case PRESS_CTRL('U'):
        sum_erase(sum, 0, strlen(text));
        return true;
    default:
        if (!press_is_text(press))
            return false;
        sum_type(sum, press);
        return true;
    }
}

/* ---- the result ---- */

static Ink ink_of_mark(ReckonMark mark)
{
    switch (mark) {
    case MARK_FINE:
        return INK_GOOD;
    case MARK_CAUTION:
        return INK_CAUTION;
    case MARK_REFUSED:
        return INK_WARNING;
    case MARK_PLAIN:
        break;
    }
    return INK_STRONG;
}

/* Where lines are put one below the other; without a sheet they are only counted. */
typedef struct {
    Sheet *sheet;
    Area area;
    Alphabet alphabet;
    int from, line;
} Paper;

/* "label: text", wrapped; what goes on is set in. A label of "" goes on from the line before. */
static void paper_put(Paper *paper, const char *label, Ink ink, const char *text)
{
    enum { LEFT = 1, SET_IN = 2, RIGHT = 2 };
    Str words = {0};
    const size_t labelled = label[0] != '\0' ? strlen(label) + 1 : 0;
    str_addf(&words, "%s%s%s", label, labelled > 0 ? ": " : "", text);
    Text rest = text_slice(words.s, words.n), part;
    int in = labelled > 0 ? 0 : SET_IN;
    for (bool first = true;; first = false, in = SET_IN) {
        int room = paper->area.cols - LEFT - RIGHT - in;
        if (!width_wrap(&rest, room > 1 ? room : 1, &part))
            break;
        const int row = paper->line++ - paper->from;
        if (paper->sheet == NULL || row < 0 || row >= paper->area.rows)
            continue;
        const size_t head = !first ? 0 : part.n < labelled ? part.n : labelled;
        const int after = sheet_put(paper->sheet, paper->area, row, LEFT + in, INK_CAPTION,
                                    text_slice(part.s, head));
        sheet_put(paper->sheet, paper->area, row, after, ink,
                  text_slice(part.s + head, part.n - head));
    }
    str_finish(&words);
}

static void paper_notes(Paper *paper, const char *label, Ink ink, const char *const *notes,
                        int count)
{
    for (int i = 0; i < count; i++)
        paper_put(paper, i == 0 ? label : "", ink, notes[i]);
}

int sum_draw_result(const Sum *sum, const App *app, bool short_form, Sheet *sheet, Area area,
                    int from)
{
    const Reckoning *r = &sum->result;
    Paper paper = {sheet, area, app->alphabet, from, 0};
    Str text = {0};
    if (r->refused) {
        reckon_refusal(sum->topic, r, app->units, NULL, &text);
        paper_put(&paper, "refused", INK_ERROR, text.s);
    }
    for (int i = 0; i < r->count; i++) {
        str_clear(&text);
        str_adds(&text, "");
        reckon_line_tell(&r->lines[i], app->units, &text);
        paper_put(&paper, r->lines[i].label, ink_of_mark(r->lines[i].mark), text.s);
    }
    str_finish(&text);
    if (!short_form) {
        paper_notes(&paper, "cautions", INK_CAUTION, r->cautions, r->caution_count);
        paper_notes(&paper, "limits", INK_TEXT, r->limits, r->limit_count);
        paper_notes(&paper, "sources", INK_QUIET, r->sources, r->source_count);
        paper_put(&paper, "always", INK_QUIET,
                  "local rules, a laboratory test and licensed advice come first");
    }
    if (sheet != NULL && from > 0)
        sheet_glyph(sheet, area, 0, area.cols - 1, app->alphabet, INK_KEY, GLYPH_UP);
    if (sheet != NULL && paper.line - from > area.rows && area.rows > 0)
        sheet_glyph(sheet, area, area.rows - 1, area.cols - 1, app->alphabet, INK_KEY, GLYPH_DOWN);
    return paper.line;
}

/* Where the rows and the result stand: beside each other where there is room. */
typedef struct {
    Area left, right;
} SumPlan;

static SumPlan sum_plan(const Sum *sum, Area area)
{
    const int head = area.rows >= 16 ? 2 : 1;
    const Area body = area_rows(area, head, area.rows - head);
    if (area.cols >= WIDE_COLS)
        return (SumPlan){area_cols(body, 0, LEFT_COLS),
                         area_cols(body, LEFT_COLS + 1, body.cols - LEFT_COLS - 1)};
    int rows = sum->count + 2;
    if (rows > body.rows / 2)
        rows = body.rows / 2;
    if (rows < 2)
        rows = body.rows < 2 ? body.rows : 2;
    return (SumPlan){area_rows(body, 0, rows), area_rows(body, rows, body.rows - rows)};
}

/* A scroll past the end is not kept, else the way back would begin with dead keys. */
static void sum_scroll_keep(Sum *sum, const App *app)
{
    const Area right = sum_plan(sum, app_body(app)).right;
    const int most = sum_draw_result(sum, app, false, NULL, right, 0) - right.rows;
    if (sum->scroll > most)
        sum->scroll = most > 0 ? most : 0;
}

/* ---- drawing ---- */

/* What is said about the active row: what is wrong with it, where its proposal comes from, help. */
static Ink remark_of(const Sum *sum, const App *app, Str *out)
{
    const SumRow *row = &sum->rows[sum->active];
    str_adds(out, "");
    if (row->wrong) {
        str_addf(out, "! %s", row->fault);
        return INK_ERROR;
    }
    if (row->field == SUM_VESSEL || row->field == SUM_LINE) {
        str_adds(out, row->field == SUM_VESSEL ? "values are proposed from this vessel"
                                               : "values are proposed from this line");
        return INK_QUIET;
    }
    const ReckonField *f = &sum->topic->fields[row->field];
    const char *why = sum->inputs[row->field].why;
    if (row->text[0] != '\0') { /* what was understood */
        char text[QUANTITY_TEXT];
        str_addf(out,
                 "= %s: ", reckon_text(f, sum->inputs[row->field].value, app->units, 5e-4, text));
    }
    str_adds(out, f->help);
    if (why[0] != '\0')
        str_addf(out, " (proposed: %s)", why);
    return INK_QUIET;
}

static void draw_row(const Sum *sum, int i, const App *app, Sheet *sheet, Area area, int at)
{
    const SumRow *row = &sum->rows[i];
    const bool active = i == sum->active;
    const char *caption = row->field == SUM_VESSEL ? "vessel"
                          : row->field == SUM_LINE ? "line"
                                                   : sum->topic->fields[row->field].option;
    const int columns = area.cols - CAPTION_COLS - 4;
    const bool bad = row->wrong || (row->field >= 0 && row->field == sum->refused_field);
    if (active)
        pane_cursor(app, sheet, area, at);
    sheet_cut(sheet, area, at, 3, CAPTION_COLS - 3, app->alphabet,
              active ? INK_STRONG : INK_CAPTION, text_of(caption));
    if (active && columns > 0)
        sheet_fill(sheet, area, at, CAPTION_COLS + 1, 1, columns, INK_ACTIVE, " ");
    const char *shown = row->text[0] != '\0' ? row->text : row->proposal;
    sheet_cut(sheet, area, at, CAPTION_COLS + 1, columns, app->alphabet,
              active                 ? INK_ACTIVE
              : row->text[0] != '\0' ? INK_FIELD
                                     : INK_PROPOSAL,
              text_of(shown));
    if (active)
        sheet_cursor(sheet, area, at,
                     CAPTION_COLS + 1 + width_of(text_slice(row->text, sum->caret)));
    if (bad)
        sheet_puts(sheet, area, at, area.cols - 2, INK_ERROR, "!");
    /* a bare number is understood in the unit shown, so it has to be seen */
    else if (row->text[0] != '\0' && row->field >= 0) {
        const ReckonField *f = &sum->topic->fields[row->field];
        const char *unit = quantity_unit(f->quantity, f->unit, app->units);
        const char last = row->text[strlen(row->text) - 1];
        if (last >= '0' && last <= '9')
            sheet_puts(sheet, area, at, CAPTION_COLS + 2 + width_ofs(row->text),
                       active ? INK_ACTIVE : INK_QUIET, unit);
    }
}

static void draw_rows(const Sum *sum, const App *app, Sheet *sheet, Area area)
{
    Str remark = {0};
    const Ink ink = remark_of(sum, app, &remark);
    const Text words = text_slice(remark.s, remark.n);
    int below = width_lines(words, area.cols - 4);
    if (below > area.rows - 1)
        below = area.rows - 1;
    if (below > 4)
        below = 4;
    int shown = area.rows - below;
    const List list = {sum->count, sum->active, 0};
    if (shown > sum->count)
        shown = sum->count;
    const int top = list_top(&list, shown);
    for (int i = 0; i < shown; i++)
        draw_row(sum, top + i, app, sheet, area_rows(area, 0, shown), i);
    if (shown < sum->count && area.rows > 0) {
        if (top > 0)
            sheet_glyph(sheet, area, 0, 0, app->alphabet, INK_KEY, GLYPH_UP);
        if (top + shown < sum->count)
            sheet_glyph(sheet, area, shown - 1, 0, app->alphabet, INK_KEY, GLYPH_DOWN);
    }
    if (below > 0)
        sheet_wrap(sheet, area_cols(area_rows(area, shown, below), 0, area.cols - 1), 0, 3,
                   app->alphabet, ink, words);
    str_finish(&remark);
}

void sum_draw(const Sum *sum, const App *app, Sheet *sheet, Area area)
{
    const SumPlan plan = sum_plan(sum, area);
    const int lines = sum_draw_result(sum, app, false, NULL, plan.right, 0);
    int from = sum->scroll;
    if (from > lines - plan.right.rows)
        from = lines > plan.right.rows ? lines - plan.right.rows : 0;
    pane_title(app, sheet, area, sum->topic->name, sum->topic->gist);
    draw_rows(sum, app, sheet, plan.left);
    (void)sum_draw_result(sum, app, false, sheet, plan.right, from);
}
