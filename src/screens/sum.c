#include "screens/sum.h"

#include "paint/width.h"
#include "tui/list.h"
#include "tui/pane.h"
#include "tui/propose.h"

#include <stdio.h>
#include <string.h>

static void sum_scroll_keep(Sum *sum, const App *app);

enum { SUM_WIDE_COLS = 72, LEFT_COLS = 37, RESULT_PAGE = 5 };

/* ---- rows ---- */

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
        fields_add(&sum->rows, SUM_VESSEL, "vessel", NULL, "values are proposed from this vessel");
    if (takes_line(topic) && app->board.line_count > 0)
        fields_add(&sum->rows, SUM_LINE, "line", NULL, "values are proposed from this line");
    const int names = sum->rows.count;
    for (int i = 0; i < topic->field_count; i++)
        fields_add(&sum->rows, i, topic->fields[i].option, NULL, topic->fields[i].help);
    sum->rows.active = names < sum->rows.count ? names : 0;
    sum_read(sum, app);
}

static Names row_names(const FormField *row)
{
    return row->field == SUM_VESSEL ? NAMES_VESSEL : NAMES_LINE;
}

static void name_read(Sum *sum, FormField *row, const State *state)
{
    field_clear(row);
    if (row->typed.text[0] == '\0')
        return;
    field_complete(row, row_names(row), state);
    Label name; /* as completed, or in full in whatever case */
    const Text text = text_trim(text_of(row->typed.text));
    const bool there = propose_names(row_names(row), state, text, &name, 1) > 0;
    const int slot = there ? state_find(state, row_names(row), &name) : -1;
    if (slot < 0) {
        field_wrong(row, row->field == SUM_VESSEL ? "There is no such vessel."
                                                  : "There is no such line.");
    } else if (row->field == SUM_VESSEL) {
        sum->site.vessel = slot;
        sum->site.vessel_said = true;
    } else {
        sum->site.line = slot;
        sum->site.line_said = true;
    }
}

static void name_proposal(const Sum *sum, FormField *row, const State *state)
{
    const int slot = row->field == SUM_VESSEL ? sum->site.vessel : sum->site.line;
    const Label *name = slot >= 0 ? state_name(state, row_names(row), slot) : NULL;
    (void)snprintf(row->proposal, sizeof row->proposal, "%s",
                   name != NULL                                                 ? name->s
                   : sum->topic->about == ABOUT_ALL && row->field == SUM_VESSEL ? "all aboard"
                                                                                : "none");
}

static void value_read(Sum *sum, FormField *row, Units units)
{
    const ReckonField *f = &sum->topic->fields[row->field];
    ReckonInput *input = &sum->inputs[row->field];
    const Text text = text_of(row->typed.text);
    Fault fault = {0};
    field_clear(row);
    (void)reckon_text(f, input->value, units, 5e-4, row->proposal);
    (void)snprintf(row->why, sizeof row->why, "%s", input->why);
    row->unit = NULL;
    if (text.n == 0)
        return;
    const char last = text.s[text.n - 1];
    if (is_digit(last)) /* how a bare number is understood has to be seen */
        row->unit = quantity_unit(f->quantity, f->unit, units);
    if (reckon_read(f, text, units, input, &fault))
        (void)reckon_text(f, input->value, units, 5e-4, row->echo);
    else
        field_wrong(row, fault.text);
}

/* The row whose value was refused says so. */
static void refusal_read(Sum *sum, Units units)
{
    int field = -1;
    Str why = {0};
    if (sum->result.refused)
        reckon_refusal(sum->topic, &sum->result, units, &field, &why);
    for (int i = 0; i < sum->rows.count && field >= 0; i++)
        if (sum->rows.fields[i].field == field && !sum->rows.fields[i].wrong)
            field_wrong(&sum->rows.fields[i], why.s);
    str_finish(&why);
}

void sum_read(Sum *sum, const App *app)
{
    const Topic *topic = sum->topic;
    sum->site = (ReckonSite){.state = &app->state, .board = &app->board, .vessel = -1, .line = -1};
    for (int i = 0; i < sum->rows.count; i++)
        if (sum->rows.fields[i].field < 0)
            name_read(sum, &sum->rows.fields[i], &app->state);
    site_settle(topic, &sum->site);
    reckon_propose(topic, &sum->site, sum->inputs);
    for (int i = 0; i < sum->rows.count; i++) {
        FormField *row = &sum->rows.fields[i];
        if (row->field < 0)
            name_proposal(sum, row, &app->state);
        else
            value_read(sum, row, app->units);
    }
    reckon_compute(topic, &sum->site, sum->inputs, app->units, &sum->result);
    refusal_read(sum, app->units);
    sum_scroll_keep(sum, app);
}

bool sum_key(Sum *sum, Press press, const App *app)
{
    const FormField *row = &sum->rows.fields[sum->rows.active];
    Choices choices = {.count = 0};
    if (press == PRESS_PAGE_DOWN || press == PRESS_PAGE_UP) {
        sum->scroll += press == PRESS_PAGE_DOWN ? RESULT_PAGE : -RESULT_PAGE;
        if (sum->scroll < 0)
            sum->scroll = 0;
        return true;
    }
    if (row->field < 0)
        choices_names(&choices, row_names(row), &app->state);
    else if (sum->topic->fields[row->field].quantity == QUANTITY_CHOICE)
        choices_add(&choices, sum->topic->fields[row->field].choices);
    return fields_key(&sum->rows, press == PRESS_ENTER ? PRESS_TAB : press, &choices);
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
    Area area;
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
        if (paper->area.sheet == NULL || row < 0 || row >= paper->area.rows)
            continue;
        const size_t head = !first ? 0 : part.n < labelled ? part.n : labelled;
        const int after =
            area_put(paper->area, row, LEFT + in, INK_CAPTION, text_slice(part.s, head));
        area_put(paper->area, row, after, ink, text_slice(part.s + head, part.n - head));
    }
    str_finish(&words);
}

static void paper_notes(Paper *paper, const char *label, Ink ink, const char *const *notes,
                        int count)
{
    for (int i = 0; i < count; i++)
        paper_put(paper, i == 0 ? label : "", ink, notes[i]);
}

int sum_draw_result(const Sum *sum, const App *app, bool short_form, Area area, int from)
{
    const Reckoning *r = &sum->result;
    Paper paper = {area, from, 0};
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
        paper_put(&paper, "always", INK_QUIET, RECKON_ALWAYS);
    }
    if (area.sheet != NULL && from > 0)
        area_glyph(area, 0, area.cols - 1, INK_KEY, GLYPH_UP);
    if (area.sheet != NULL && paper.line - from > area.rows && area.rows > 0)
        area_glyph(area, area.rows - 1, area.cols - 1, INK_KEY, GLYPH_DOWN);
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
    if (area.cols >= SUM_WIDE_COLS)
        return (SumPlan){area_cols(body, 0, LEFT_COLS),
                         area_cols(body, LEFT_COLS + 1, body.cols - LEFT_COLS - 1)};
    int rows = sum->rows.count + 2;
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
    const int most = sum_draw_result(sum, app, false, right, 0) - right.rows;
    if (sum->scroll > most)
        sum->scroll = most > 0 ? most : 0;
}

void sum_draw(const Sum *sum, const App *app, Area area)
{
    const SumPlan plan = sum_plan(sum, area);
    const int lines = sum_draw_result(sum, app, false, area_unseen(plan.right), 0);
    int from = sum->scroll;
    if (from > lines - plan.right.rows)
        from = lines > plan.right.rows ? lines - plan.right.rows : 0;
    const int shown = fields_shown(&sum->rows, plan.left);
    const int place = fields_draw_place(&sum->rows, shown, area);
    pane_title(area_cols(area, 0, area.cols - place), sum->topic->name, sum->topic->gist);
    (void)fields_draw(&sum->rows, plan.left);
    (void)sum_draw_result(sum, app, false, plan.right, from);
}
