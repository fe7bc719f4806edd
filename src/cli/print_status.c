/* print_status.c - the board as plain sentences and aligned columns: for a terminal, a mail, a
 * screen reader. Every class is a word. */
#include "cli/print.h"

#include "base/memory.h"
#include "model/tell.h"
#include "outlook/service.h"
#include "outlook/words.h"

#include <stdio.h>
#include <stdlib.h>

static void date_cell(Table *t, Moment m, Moment now, const char *unknown)
{
    char date[64];
    table_cell(t, moment_known(m) ? moment_print_date(m, now, date) : unknown);
}

static void volume_cell(Table *t, int64_t ml, Units units)
{
    char volume[40];
    table_cell(t, volume_print((Volume){ml}, units, volume));
}

static void vessel_table(Str *out, const Board *board, Units units)
{
    static const char *const head[] = {"VESSEL", "DUTY",  "PLACE",      "HOLDS",
                                       "OF",     "CLASS", "WATER FROM", "SANITISED"};
    Table t = {.right = {[3] = true, [4] = true}};
    for (size_t i = 0; i < sizeof head / sizeof head[0]; i++)
        table_cell(&t, head[i]);
    table_row(&t);
    for (int i = 0; i < board->vessel_count; i++) {
        const BoardVessel *v = &board->vessels[i];
        Str place = {0};
        if (v->position > 0)
            str_addf(&place, "%s %d%s", v->line.s, v->position,
                     v->lead    ? " lead"
                     : v->spent ? " spent"
                                : "");
        else
            str_adds(&place, "apart");
        table_cell(&t, v->label.s);
        Str duty = {0};
        str_addf(&duty, "%s%s", duty_name(v->duty), v->rated_pa == 0 ? ", no air" : "");
        table_cell(&t, duty.s);
        str_finish(&duty);
        table_cell(&t, place.s);
        volume_cell(&t, v->volume, units);
        volume_cell(&t, v->capacity, units);
        Str class = {0};
        class_tell(v, &class);
        table_cell(&t, class.s);
        str_finish(&class);
        date_cell(&t, v->mean_fill, board->now, "no water");
        date_cell(&t, v->sanitised, board->now, "never");
        table_row(&t);
        str_finish(&place);
    }
    str_addc(out, '\n');
    table_print(&t, "", out);
    table_finish(&t);
}

static void stage_table(Str *out, const Board *board, Units units)
{
    static const char *const head[] = {"STAGE", "TYPE", "LINE", "STATE",
                                       "DUE",   "BY",   "LEFT", "SPARES"};
    if (board->stage_count == 0)
        return;
    Table t = {.right = {[6] = true}};
    for (size_t i = 0; i < sizeof head / sizeof head[0]; i++)
        table_cell(&t, head[i]);
    table_row(&t);
    for (int i = 0; i < board->stage_count; i++) {
        const BoardStage *s = &board->stages[i];
        char spares[24] = "not counted", life[8];
        if (s->spares >= 0)
            snprintf(spares, sizeof spares, "%lld", (long long)s->spares);
        table_cell(&t, s->label.s);
        table_cell(&t, stage_type_name(s->type));
        table_cell(&t, label_empty(&s->line) ? "none" : s->line.s);
        char stands[24];
        snprintf(stands, sizeof stands, "%s%s", s->state == SERVICE_DUE ? "DUE" : stage_stands(s),
                 moment_known(s->put_off) ? ", put off" : "");
        table_cell(&t, stands);
        date_cell(&t, s->due, board->now, s->life_left < 0 ? "no life given" : "not at this rate");
        const char *because = because_name(s->because);
        table_cell(&t, because != NULL ? because : "-");
        if (s->litres_left != INT64_MIN)
            volume_cell(&t, s->litres_left, units);
        else
            table_cell(&t, *service_life_text(s->life_left, life) ? life : "-");
        table_cell(&t, spares);
        table_row(&t);
    }
    str_addc(out, '\n');
    table_print(&t, "", out);
    table_finish(&t);
}

static void stop_table(Str *out, const Board *board, Units units)
{
    static const char *const head[] = {"STOP",         "WHEN",        "LINE LASTS",
                                       "WITH RESERVE", "RATION 90 %", "FOR THE NEXT LEG"};
    if (board->stop_count == 0)
        return;
    Table t = {.right = {[2] = true, [3] = true, [4] = true}};
    for (size_t i = 0; i < sizeof head / sizeof head[0]; i++)
        table_cell(&t, head[i]);
    table_row(&t);
    for (int i = 0; i < board->stop_count; i++) {
        const BoardStop *s = &board->stops[i];
        char when[64];
        table_cell(&t, s->label.s);
        table_cell(&t, moment_print_local(s->eta, board->now, when));
        table_cell(&t, odds_print(s->odds_line, when));
        table_cell(&t, odds_print(s->odds_all, when));
        table_cell(&t, litres_had(s->ration_90, units, when));
        table_cell(&t, s->take_on >= 0 ? litres_needed((double)s->take_on / 1000, units, when)
                                       : "no stop after it");
        table_row(&t);
    }
    str_addc(out, '\n');
    table_print(&t, "", out);
    table_finish(&t);
}

static void discrepancy_list(Str *out, const Board *board, Units units)
{
    if (board->discrepancy_count == 0)
        return;
    str_adds(out, "\nEntries that do not agree with the rest of the log:\n");
    for (int i = 0; i < board->discrepancy_count; i++) {
        const Discrepancy *d = &board->discrepancies[i];
        char id[40];
        str_adds(out, "  ");
        print_local(out, (Moment){d->at});
        str_adds(out, "  ");
        discrepancy_tell(d, units, out);
        str_addf(out, "\n    entry %s\n", uuid_print(&d->entry, id));
    }
    if (board->discrepancies_older > 0)
        str_addf(out, "  and %lld older ones that are no longer listed: ullage log\n",
                 (long long)board->discrepancies_older);
    str_adds(out, "  'ullage void ID' takes one out, 'ullage settle ID' marks it as looked at.\n");
}

/* In the tables below: */
static bool in_tables(const Words *words)
{
    return words->about == WORDS_STAGES || words->about == WORDS_DUE || words->about == WORDS_STOP;
}

static bool is_alert(const Words *words)
{
    return words->about == WORDS_ALERT || words->about == WORDS_NOTICE;
}

/* Only what is so; what to do about it is told elsewhere. */
static bool is_closed(const Words *words)
{
    return is_alert(words) && words->brief[0] != '\0';
}

static void sentence(Str *out, const Words *words, bool colour)
{
    static const char *const ink[] = {[TONE_CAUTION] = "\033[33m", [TONE_WARNING] = "\033[1;31m"};
    const bool inked = colour && words->marked && words->tone >= TONE_CAUTION;
    str_adds(out, inked ? ink[words->tone] : "");
    print_captioned(out, words->caption, is_closed(words) ? words->brief : words->text);
    str_adds(out, inked ? "\033[0m" : "");
}

static void cautions(Str *out)
{
    str_addc(out, '\n');
    print_wrapped(out, "",
                  text_of("A class or a verdict is a record of what was logged, not a laboratory "
                          "test. Vent a vessel before its lid is opened; never go above its rated "
                          "pressure. Local rules and licensed advice come first."),
                  79);
}

/* Nothing is named that a table could tell; what is wrong is said all the same. */
static void nothing_aboard(Str *out, const Board *board)
{
    str_addf(out, "%s\n", none_aboard(board));
    if (board->unread == 0)
        str_addf(out,
                 "%s, for example:\n"
                 "  ullage vessel A1 --capacity 12 --duty line\n"
                 "  ullage couple galley A1\n",
                 board->retired > 0 ? "Name one that is aboard" : "Begin with one of yours");
    if (board->alert_count > 0)
        str_addc(out, '\n');
}

static void alerts(Str *out, const Words *words, int count, bool colour)
{
    int closed = 0;
    for (int i = 0; i < count; i++) {
        if (!is_alert(&words[i]))
            continue;
        sentence(out, &words[i], colour);
        closed += is_closed(&words[i]);
    }
    if (closed > 0)
        str_adds(out, "What to do about the later ones: t on the board, or --json.\n");
}

void text_status(Str *out, const Board *board, Units units, bool colour)
{
    str_adds(out, "Water aboard at ");
    print_local(out, board->now);
    if (board->crew >= 0)
        str_addf(out, ", crew of %d", board->crew);
    str_addf(out, ", %lld entr%s.\n\n", (long long)board->entries,
             board->entries == 1 ? "y" : "ies");
    Words *words = memory_resize(NULL, WORDS_MAX * sizeof *words); /* most of it is never touched */
    const int count = words_of(board, units, words);
    if (board->vessel_count == 0) {
        nothing_aboard(out, board);
        alerts(out, words, count, colour);
        free(words);
        return;
    }
    if (board->line_count == 0)
        print_captioned(out, "Tap", "no line is coupled");
    for (int i = 0; i < count; i++)
        if (!is_alert(&words[i]) && !in_tables(&words[i]))
            sentence(out, &words[i], false);
    vessel_table(out, board, units);
    stage_table(out, board, units);
    stop_table(out, board, units);
    discrepancy_list(out, board, units);
    str_addc(out, '\n');
    alerts(out, words, count, colour);
    free(words);
    cautions(out);
}
