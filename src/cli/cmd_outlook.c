/* cmd_outlook.c - how long the water lasts: sentences, a chart on a terminal, a table in a pipe,
 * JSON; and what if the crew, the litres a day or a stop were otherwise. Writes nothing. */
#include "cli/command.h"

#include "base/json_out.h"
#include "base/memory.h"
#include "cli/print.h"
#include "outlook/forecast_view.h"
#include "outlook/parts.h"
#include "outlook/words.h"
#include "paint/outlook_chart.h"

#include <langinfo.h>
#include <locale.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { OPTION_CREW = OPTION_OWN, OPTION_LITRES, OPTION_DRY };
enum { CHART_ROWS = 16, CHART_COLS_MOST = 132, CURVE_POINTS = 120 };

/* All that is printed. */
typedef struct {
    State state;
    Board as_is; /* as logged */
    WhatIf what;
    OutlookFacts facts; /* under the what-if */
    ForecastView view, unchanged;
    Part parts[STAGES_MAX];
    int part_count;
    OutlookPast past;
    int64_t past_volume[OUTLOOK_PAST_POINTS];
    uint8_t past_quality[OUTLOOK_PAST_POINTS];
    OutlookChart chart;
} Outlook;

/* ---- reading ---- */

static void past_look(void *context, int i, const State *state)
{
    Outlook *o = context;
    Quality quality;
    o->past_volume[i] = view_water(state, &quality);
    o->past_quality[i] = (uint8_t)quality;
}

/* The past for the chart. */
static bool past_read(Log *log, Outlook *o, Moment at, Fault *fault)
{
    o->past = (OutlookPast){{at.ms - OUTLOOK_PAST_DAYS * MS_PER_DAY},
                            at,
                            OUTLOOK_PAST_POINTS,
                            o->past_volume,
                            o->past_quality};
    return log_sample(log, (LogSpan){o->past.since, at, o->past.count}, past_look, o, fault);
}

static bool number_parse(const char *option, const char *text, long most, int *value, Fault *fault)
{
    char *end = NULL;
    const long n = strtol(text, &end, 10);
    if (*text < '0' || *text > '9' || *end != '\0' || n > most)
        return fault_set(fault, FAULT_USAGE, "--%s %s: give a whole number, from 0 to %ld.", option,
                         text_quote(text_of(text)).s, most);
    *value = (int)n;
    return true;
}

static bool dry_add(WhatIf *what, const Board *board, const char *text, Fault *fault)
{
    const BoardStop *found = NULL;
    for (int i = 0; i < board->stop_count; i++)
        if (text_is_nocase(text_of(board->stops[i].label.s), text))
            found = &board->stops[i];
    if (found == NULL && board->stop_count == 0)
        return fault_set(fault, FAULT_REFUSED, "--dry %s: no stop is planned.",
                         text_quote(text_of(text)).s);
    if (found == NULL)
        return fault_set(fault, FAULT_REFUSED,
                         "--dry %s: no stop of that name is planned. The next one is %s.",
                         text_quote(text_of(text)).s, board->stops[0].label.s);
    if (!what_if_dry(what, &found->label))
        what_if_toggle_dry(what, &found->label);
    return true;
}

static bool what_read(const Session *session, Outlook *o, Fault *fault)
{
    const Given *crew = arguments_get(&session->arguments, OPTION_CREW);
    const Given *litres = arguments_get(&session->arguments, OPTION_LITRES);
    o->what = what_if_nothing();
    if (crew != NULL && !number_parse("crew", crew->value, 99, &o->what.crew, fault))
        return false;
    if (litres != NULL) {
        Amount amount;
        if (!amount_parse(text_of(litres->value), session->units, &amount, fault))
            return fault_prefix(fault, "--litres-per-day: ");
        if (amount.kind != AMOUNT_VOLUME || amount.level)
            return fault_set(fault, FAULT_USAGE, "--litres-per-day %s: give an amount of water.",
                             text_quote(text_of(litres->value)).s);
        o->what.litres_per_day = (double)amount.value / 1000;
    }
    for (int i = 0; i < session->arguments.given_count; i++) {
        const Given *given = &session->arguments.given[i];
        if (given->id == OPTION_DRY && !dry_add(&o->what, &o->as_is, given->value, fault))
            return false;
    }
    return true;
}

static void outlook_decide(Outlook *o, Units units)
{
    const WhatIf nothing = what_if_nothing();
    const ForecastRate rate = what_if_rate(&o->as_is, &o->state, &o->what),
                       learnt = what_if_rate(&o->as_is, &o->state, &nothing);
    what_if_board(&o->facts.board, &o->as_is, &o->state, &o->what);
    forecast_view(&o->view, &o->facts.board, &o->state, &rate, CURVE_POINTS);
    if (what_if_changes(&o->what))
        forecast_view(&o->unchanged, &o->as_is, &o->state, &learnt, CURVE_POINTS);
    else
        o->unchanged = o->view;
    o->facts.units = units;
    outlook_facts(&o->as_is, &o->state, &o->what, &o->view, &o->facts);
    o->part_count =
        parts_needed(&o->facts.board, &o->state, &rate, parts_trip_end(&o->facts.board), o->parts);
}

/* NULL with a Fault on failure; the caller frees it. */
static Outlook *outlook_read(Session *session, Fault *fault)
{
    Outlook *o = memory_get(sizeof *o);
    Moment at;
    const State *state = session_state(session, &o->as_is, &at, fault);
    if (state != NULL) {
        o->state = *state;
        if (what_read(session, o, fault) && past_read(session->log, o, at, fault)) {
            outlook_decide(o, session->units);
            return o;
        }
    }
    free(o);
    return NULL;
}

/* ---- text ---- */

/* The sentences, the litres day by day left to the table or the chart. */
static void facts_text(Str *out, const Outlook *o)
{
    const char *caption = "";
    for (int i = 0; i < o->facts.count; i++) {
        const Words *words = &o->facts.words[i];
        if (words->about == WORDS_LEFT)
            continue;
        print_captioned(out, strcmp(words->caption, caption) == 0 ? "" : words->caption,
                        words->text);
        caption = words->caption;
    }
}

/* The curve day by day, at the time of day that it is looked from, and at each stop. */
static void curve_table(Str *out, const Outlook *o, Units units)
{
    static const char *const head[] = {"DATE", "EXPECTED", "ODDS 90 %", "ODDS 10 %", "AS LOGGED"};
    Table t = {.right = {[1] = true, [2] = true, [3] = true, [4] = true}};
    char date[64];
    for (int i = 0; i < (o->facts.changed ? 5 : 4); i++)
        table_cell(&t, head[i]);
    table_row(&t);
    for (int day = 0;; day++) {
        ViewPoint p, was;
        if (!view_at(&o->view, (Moment){o->facts.board.now.ms + day * MS_PER_DAY}, &p))
            break;
        table_cell(&t, moment_print_local(p.at, o->facts.board.now, date));
        table_cell(&t, litres_had(p.expected, units, date));
        table_cell(&t, litres_had(p.low, units, date));
        table_cell(&t, litres_had(p.high, units, date));
        if (o->facts.changed)
            table_cell(&t, view_at(&o->unchanged, p.at, &was)
                               ? litres_had(was.expected, units, date)
                               : "-");
        table_row(&t);
    }
    str_adds(out,
             "\nLeft on the line and in the reserve, stops counted as planned; odds that it is "
             "at least so much:\n");
    table_print(&t, "  ", out);
    table_finish(&t);
}

/* ---- the chart ---- */

static void ink_code(Str *out, Ink ink, int scheme)
{
    if (scheme < 0)
        return;
    const Pen pen = ink_pen((Scheme)scheme, ink);
    str_adds(out, "\033[0");
    if (pen.attributes & PEN_BOLD)
        str_adds(out, ";1");
    if (pen.attributes & PEN_UNDERLINE)
        str_adds(out, ";4");
    if (pen.fg8 >= 0)
        str_addf(out, ";%d;%d", 30 + pen.fg8, 40 + pen.bg8);
    str_adds(out, "m");
}

static void sheet_print(Str *out, const Sheet *sheet, int scheme)
{
    for (int row = 0; row < sheet->rows; row++) {
        int end = sheet->cols; /* a ground is painted to its edge */
        while (scheme < 0 && end > 0 && strcmp(sheet_cell(sheet, row, end - 1)->text, " ") == 0)
            end--;
        int ink = INK_TEXT;
        ink_code(out, INK_TEXT, scheme);
        for (int col = 0; col < end; col++) {
            const Cell *cell = sheet_cell(sheet, row, col);
            if (cell->width == 0)
                continue;
            if (cell->ink != ink) {
                ink = cell->ink;
                ink_code(out, (Ink)ink, scheme);
            }
            str_adds(out, cell->text);
        }
        if (scheme >= 0)
            str_adds(out, "\033[0m");
        str_addc(out, '\n');
    }
}

static int terminal_columns(void)
{
    const int columns = print_columns();
    return columns > 0 && columns < CHART_COLS_MOST ? columns : CHART_COLS_MOST;
}

static void chart_text(Str *out, Outlook *o, const Session *session)
{
    setlocale(LC_CTYPE, ""); /* no other command needs it */
    const Looks *looks = &session->looks;
    const bool utf8 = looks->alphabet >= 0 ? looks->alphabet == ALPHABET_UTF8
                                           : strcmp(nl_langinfo(CODESET), "UTF-8") == 0;
    const int scheme = !session->colour    ? -1
                       : looks->theme >= 0 ? looks->theme
                                           : (int)SCHEME_DEFAULT;
    Sheet sheet;
    sheet_init(&sheet, CHART_ROWS, terminal_columns());
    sheet.ascii = !utf8;
    sheet.alphabet = utf8 ? ALPHABET_UTF8 : ALPHABET_ASCII;
    outlook_chart(&o->chart, &o->facts.board, &o->view, o->facts.changed ? &o->unchanged : NULL,
                  &o->past, session->units);
    if (chart_fits(sheet_area(&sheet))) {
        str_adds(out, "\nLeft on the line and in the reserve:\n");
        chart_draw(&o->chart.chart, sheet_area(&sheet));
        sheet_print(out, &sheet, scheme);
    }
    sheet_finish(&sheet);
}

static void outlook_text(Str *out, Outlook *o, const Session *session)
{
    str_adds(out, "Outlook from ");
    print_local(out, o->as_is.now);
    str_adds(out, ", ");
    what_if_tell(&o->what, session->units, out);
    str_adds(out, o->facts.changed ? " (nothing is written).\n\n" : ".\n\n");
    facts_text(out, o);
    if (!o->view.known)
        return;
    if (isatty(STDOUT_FILENO))
        chart_text(out, o, session);
    else
        curve_table(out, o, session->units);
}

/* ---- JSON ---- */

static void curve_json(Str *out, const ForecastView *view)
{
    json_open(out, "left", '[');
    for (int i = 0; i < view->count; i++) {
        const ViewPoint *p = &view->point[i];
        json_open(out, NULL, '{');
        json_moment(out, "at", p->at);
        json_number(out, "expected", p->expected, 3);
        json_number(out, "low", p->low, 3);
        json_number(out, "high", p->high, 3);
        str_addc(out, '}');
    }
    str_addc(out, ']');
}

static void parts_json(Str *out, const Outlook *o)
{
    json_open(out, "parts", '[');
    for (int i = 0; i < o->part_count; i++) {
        const Part *p = &o->parts[i];
        json_open(out, NULL, '{');
        json_label(out, "stage", &o->facts.board.stages[p->stage].label);
        json_whole(out, "needed", p->needed);
        if (p->counted)
            json_whole(out, "spares", p->spares);
        else
            json_null(out, "spares");
        json_whole(out, "buy", p->buy);
        json_moment(out, "before", p->before);
        json_moment(out, "due_at", p->due);
        if (p->at_stop >= 0)
            json_label(out, "last_stop_before", &o->facts.board.stops[p->at_stop].label);
        else
            json_null(out, "last_stop_before");
        str_addc(out, '}');
    }
    str_addc(out, ']');
}

static void answer_json(Str *out, const Board *board, const ForecastView *view)
{
    json_use(out, "use", board);
    json_outlook(out, "outlook", board);
    curve_json(out, view);
}

static void what_json(Str *out, const Outlook *o)
{
    if (!o->facts.changed) {
        json_null(out, "what_if");
        return;
    }
    json_open(out, "what_if", '{');
    if (o->what.crew >= 0)
        json_whole(out, "crew", o->what.crew);
    else
        json_null(out, "crew");
    json_number(out, "litres_per_day", o->what.litres_per_day >= 0 ? o->what.litres_per_day : NAN,
                3);
    json_open(out, "dry", '[');
    for (int i = 0; i < o->what.dry_count; i++)
        json_label(out, NULL, &o->what.dry[i]);
    str_addc(out, ']');
    answer_json(out, &o->facts.board, &o->view);
    str_addc(out, '}');
}

static void outlook_json(Str *out, const Outlook *o)
{
    json_open(out, NULL, '{');
    json_moment(out, "at", o->as_is.now);
    answer_json(out, &o->as_is, &o->unchanged);
    what_json(out, o);
    parts_json(out, o);
    str_adds(out, "}\n");
}

/* ---- the command ---- */

static bool run_outlook(Session *session, Fault *fault)
{
    Outlook *o = outlook_read(session, fault);
    if (o == NULL)
        return false;
    session_unread_tell(&o->as_is);
    Str out = {0};
    if (session->json)
        outlook_json(&out, o);
    else
        outlook_text(&out, o, session);
    const bool good = print_out(&out, session->colour, fault);
    str_finish(&out);
    free(o);
    return good;
}

static const Option outlook_options[] = {
    {"at", 0, TAKES_VALUE, "TIME", "as it stood at that time; left out: now", OPTION_AT},
    {"crew", 0, TAKES_VALUE, "N", "what if so many were aboard from now on", OPTION_CREW},
    {"litres-per-day", 0, TAKES_VALUE, "AMOUNT", "what if all aboard used so much a day",
     OPTION_LITRES},
    {"dry", 0, TAKES_VALUE, "STOP", "what if that stop had no water; may be given again",
     OPTION_DRY},
};

const Command command_outlook = {
    .name = "outlook",
    .gist = "Days left, dates, the odds to reach each planned stop, parts to buy; what if",
    .words = "",
    .more =
        "On a terminal with a chart of what is left against date: what was, what is expected with "
        "its 10-90 % band, the reserve, the stops; in a pipe as a table. A what-if writes "
        "nothing, and the answer as logged stands beside it.\n"
        "The odds are about use as the log has taught it, not about leaks, frost or a broken "
        "pump.",
    .options = outlook_options,
    .option_count = sizeof outlook_options / sizeof outlook_options[0],
    .looks = true,
    .run = run_outlook};
