/* print_status.c - the board as plain sentences and aligned columns: for a terminal, a mail, a
 * screen reader. Every class is a word. */
#include "cli/print.h"
#include "outlook/service.h"
#include "outlook/words.h"

#include <math.h>
#include <stdio.h>

static void volume_add(Str *out, int64_t ml, Units units)
{
    char volume[40];
    str_adds(out, volume_print((Volume){ml}, units, volume));
}

static void sentence_start(Str *out, const char *caption)
{
    str_addf(out, "%-9s ", caption);
}

/* Not every cup is logged: where that may have told, the band that is to be expected. */
static void expected_words(Str *out, const Board *board, const BoardLine *l, Units units)
{
    int64_t low = 0, high = 0;
    for (int i = 0; i < l->count; i++) {
        const BoardVessel *v = &board->vessels[l->vessels[i]];
        low += v->usable - (v->volume - v->expected_low);
        high += v->usable - (v->volume - v->expected_high);
    }
    if (low >= l->usable)
        return;
    str_adds(out, " by the log (expected ");
    volume_add(out, low, units);
    str_adds(out, " to ");
    volume_add(out, high, units);
    str_adds(out, ", as not all is logged)");
}

static void line_sentence(Str *out, const Board *board, const BoardLine *l, Units units)
{
    sentence_start(out, "Tap");
    if (!l->delivers) {
        str_addf(out, "%s has nothing to deliver.\n", l->label.s);
        return;
    }
    char why[160];
    tap_why(board, l, why, sizeof why);
    str_addf(out, "%s delivers %s water: %s (%s).\n", l->label.s, quality_name(l->quality),
             tap_verdict(l), why);
    sentence_start(out, "Line");
    str_addf(out, "%s has ", l->label.s);
    volume_add(out, l->usable, units);
    str_adds(out, " usable");
    expected_words(out, board, l, units);
    str_adds(out, "; from the air side: ");
    for (int i = 0; i < l->count; i++) {
        const BoardVessel *v = &board->vessels[l->vessels[i]];
        str_addf(out, "%s%s%s", i > 0 ? ", " : "", v->label.s,
                 v->lead    ? " (lead)"
                 : v->spent ? " (spent)"
                            : "");
    }
    str_adds(out, ".\n");
}

static void moment_band(Str *out, Moment m, Moment now)
{
    if (moment_known(m))
        str_addf(out, "%.1f", (double)(m.ms - now.ms) / (double)MS_PER_DAY);
    else
        str_adds(out, "no end in sight");
}

void text_band(Str *out, const Band *band, Moment now)
{
    char date[64];
    if (!moment_known(band->p50)) {
        str_adds(out, "not at this rate");
        if (moment_known(band->p10)) {
            str_adds(out, " (10 to 90 %: ");
            moment_band(out, band->p10, now);
            str_adds(out, " days, or no end in sight)");
        }
        return;
    }
    str_addf(out, "%s, in %.1f days (10 to 90 %%: ", moment_print_date(band->p50, now, date),
             (double)(band->p50.ms - now.ms) / (double)MS_PER_DAY);
    moment_band(out, band->p10, now);
    str_adds(out, " to ");
    moment_band(out, band->p90, now);
    str_addc(out, ')');
}

static void use_sentences(Str *out, const Board *board, Units units)
{
    sentence_start(out, "Use");
    if (!board->use_known) {
        str_adds(out, "not known yet.\n");
        return;
    }
    volume_add(out, (int64_t)floor(board->litres_per_day * 1000 + 0.5), units);
    str_adds(out, " a day; a person a day: ");
    volume_add(out, (int64_t)floor(board->logged_per_person_day * 1000 + 0.5), units);
    str_adds(out, " logged, ");
    volume_add(out, (int64_t)floor(board->unlogged_per_person_day * 1000 + 0.5), units);
    str_adds(out, " not logged");
    if (board->use_prior >= 0.005)
        str_addf(out, "; %.0f %% of the rate is assumed", board->use_prior * 100);
    str_adds(out, ".\n");
}

static void outlook_sentences(Str *out, const Board *board)
{
    if (!board->outlook_known)
        return;
    sentence_start(out, "Lasts");
    str_adds(out, "to the reserve: ");
    text_band(out, &board->to_reserve, board->now);
    str_adds(out, ".\n");
    sentence_start(out, "");
    str_adds(out, "to the end: ");
    text_band(out, &board->to_empty, board->now);
    str_adds(out, ".\n");
}

static void supply_sentences(Str *out, const Board *board, Units units)
{
    sentence_start(out, "Reserve");
    if (board->reserve == RESERVE_NONE) {
        str_adds(out, "none: no vessel has the duty of a reserve.\n");
    } else {
        str_addf(out, "%s, ", reserve_state_name(board->reserve));
        volume_add(out, board->supply.reserve, units);
        str_adds(out, " usable.\n");
    }
    sentence_start(out, "Usable");
    for (int q = 0; q < CLASS_COUNT; q++) {
        str_adds(out, q > 0 ? ", " : "");
        volume_add(out, board->supply.by_class[q], units);
        str_addf(out, " %s", quality_name((Quality)q));
    }
    str_adds(out, "; ");
    volume_add(out, board->supply.apart, units);
    str_adds(out, " of it apart.\n");
}

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
        table_cell(&t, duty_name(v->duty));
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
        snprintf(stands, sizeof stands, "%s%s",
                 s->state == SERVICE_DUE ? "DUE" : service_state_name(s->state),
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

static void odds_cell(Table *t, double odds)
{
    char text[24] = "not known";
    if (!isnan(odds))
        snprintf(text, sizeof text, "%.0f %%", floor(odds * 100));
    table_cell(t, text);
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
        odds_cell(&t, s->odds_line);
        odds_cell(&t, s->odds_all);
        if (isnan(s->ration_90))
            table_cell(&t, "not known");
        else
            volume_cell(&t, (int64_t)floor(s->ration_90 * 1000), units);
        if (s->take_on >= 0)
            volume_cell(&t, s->take_on, units);
        else
            table_cell(&t, "no stop after it");
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

static void alert_list(Str *out, const Board *board, bool colour)
{
    static const char *const ink[] = {"", "\033[33m", "\033[1;31m"};
    str_addc(out, '\n');
    if (board->alert_count == 0)
        str_adds(out, "No alerts.\n");
    for (int i = 0; i < board->alert_count; i++) {
        const Alert *a = &board->alerts[i];
        Str words = {0};
        str_addf(&words, "%s: %s", alert_level_name(a->level), a->text);
        if (colour)
            str_adds(out, ink[a->level]);
        Str lines = {0};
        print_wrapped(&lines, "  ", text_slice(words.s, words.n), 79);
        str_add(out,
                text_slice(lines.s + 2, lines.n - 3)); /* hanging: the first line not indented */
        str_finish(&lines);
        if (colour && *ink[a->level] != '\0')
            str_adds(out, "\033[0m");
        str_addc(out, '\n');
        str_finish(&words);
    }
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

void text_status(Str *out, const Board *board, Units units, bool colour)
{
    str_adds(out, "Water aboard at ");
    print_local(out, board->now);
    if (board->crew >= 0)
        str_addf(out, ", crew of %d", board->crew);
    str_addf(out, ", %lld entr%s.\n\n", (long long)board->entries,
             board->entries == 1 ? "y" : "ies");
    if (board->vessel_count == 0) {
        str_adds(out, "No vessel is named yet. Begin with one of yours, for example:\n"
                      "  ullage vessel A1 --capacity 12 --duty line\n"
                      "  ullage couple galley A1\n");
        return;
    }
    for (int i = 0; i < board->line_count; i++)
        line_sentence(out, board, &board->lines[i], units);
    if (board->line_count == 0)
        str_adds(out, "Tap       no line is coupled.\n");
    supply_sentences(out, board, units);
    use_sentences(out, board, units);
    outlook_sentences(out, board);
    vessel_table(out, board, units);
    stage_table(out, board, units);
    stop_table(out, board, units);
    discrepancy_list(out, board, units);
    alert_list(out, board, colour);
    cautions(out);
}

void text_outlook(Str *out, const Board *board, Units units)
{
    str_adds(out, "Outlook from ");
    print_local(out, board->now);
    str_adds(out, ".\n\n");
    use_sentences(out, board, units);
    if (board->outlook_known)
        outlook_sentences(out, board);
    else
        str_adds(out, "Lasts     not known yet: log the crew and what is drawn.\n");
    stop_table(out, board, units);
    if (board->stop_count == 0)
        str_adds(out, "\nNo stop is planned.\n");
}
