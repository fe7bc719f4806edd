/* cmd_season.c - what a span of time came to, on one page; JSON and CSV. */
#include "cli/command.h"

#include "base/json_out.h"
#include "base/memory.h"
#include "cli/print.h"
#include "outlook/season_words.h"
#include "store/log.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { BAR_MOST = 20 };

typedef struct {
    Season season;
    State state;
} Told;

static bool visit(void *context, const Event *e, bool voided)
{
    Told *told = context;
    (void)voided;
    season_take(&told->season, &told->state, e);
    return true;
}

/* ---- text ---- */

static char *volume(int64_t ml, const Session *session, char *out)
{
    return volume_print((Volume){ml}, session->units, out);
}

static void sources_text(Str *out, const Season *s, const Session *session)
{
    Table table = {.right = {false, true, true, true, true, true, true}};
    static const char *const heads[] = {"from",  "potable", "questionable", "non-potable",
                                        "fills", "cost",    "a litre"};
    for (size_t i = 0; i < sizeof heads / sizeof heads[0]; i++)
        table_cell(&table, heads[i]);
    table_row(&table);
    for (int i = 0; i < s->source_count; i++) {
        const SeasonSource *from = &s->sources[i];
        char cell[64];
        table_cell(&table, label_empty(&from->source) ? "(not said)" : from->source.s);
        for (int q = 0; q < CLASS_COUNT; q++)
            table_cell(&table, from->ml[q] > 0 ? volume(from->ml[q], session, cell) : "-");
        snprintf(cell, sizeof cell, "%d", (int)from->fills);
        table_cell(&table, cell);
        snprintf(cell, sizeof cell, "%.2f", (double)from->cost / 1000.0);
        table_cell(&table, from->paid_ml > 0 ? cell : "-");
        snprintf(cell, sizeof cell, "%.3f",
                 (double)from->cost / (double)(from->paid_ml > 0 ? from->paid_ml : 1));
        table_cell(&table, from->paid_ml > 0 ? cell : "-");
        table_row(&table);
    }
    table_print(&table, "  ", out);
    table_finish(&table);
}

/* Without the unit, which stands in the heading; "-" for nothing. */
static char *litres(double amount, const Session *session, char *out)
{
    const int64_t ml = (int64_t)(amount * 1000.0 + 0.5);
    if (ml > 0)
        return volume_print_bare((Volume){ml}, session->units, out);
    snprintf(out, 32, "-");
    return out;
}

/* A row a week: what was used, taken on and by how many; a bar for the rate. */
static void weeks_text(Str *out, const Season *s, const Session *session)
{
    SeasonRow rows[SEASON_ROWS_MAX];
    static const char *const heads[] = {"missing", "potable", "quest.",  "non-p.",
                                        "refills", "crew",    "a person"};
    Table table = {.right = {false, true, true, true, true, true, true, true}};
    int days = 0;
    const int count = season_rows(s, SEASON_ROWS_MAX, rows, &days);
    double most = 0.0;
    for (int i = 0; i < count; i++)
        most = rows[i].rate > most ? rows[i].rate : most;
    char used[32];
    snprintf(used, sizeof used, "used, %s", volume_unit(session->units));
    table_cell(&table, days == 7 ? "week of" : "from");
    table_cell(&table, used);
    for (size_t i = 0; i < sizeof heads / sizeof heads[0]; i++)
        table_cell(&table, heads[i]);
    table_row(&table);
    for (int i = 0; i < count; i++) {
        const SeasonRow *row = &rows[i];
        char cell[64];
        const int bar = most > 0 ? (int)(row->rate / most * 5 + 0.5) : 0;
        table_cell(&table, moment_print_day(row->from, s->until, cell));
        table_cell(&table, litres(row->litres, session, cell));
        table_cell(&table, litres(row->unlogged, session, cell));
        for (int q = 0; q < CLASS_COUNT; q++)
            table_cell(&table, litres(row->taken[q], session, cell));
        snprintf(cell, sizeof cell, "%d", row->refills);
        table_cell(&table, cell);
        snprintf(cell, sizeof cell, "%.1f", row->crew);
        table_cell(&table, cell);
        litres(row->rate, session, cell);
        snprintf(cell + strlen(cell), sizeof cell - strlen(cell), " %.*s", bar, "#####");
        table_cell(&table, row->person_days > 0 ? cell : "-");
        table_row(&table);
    }
    table_print(&table, "  ", out);
    table_finish(&table);
}

/* The last column only where somebody said what a part cost. */
static void parts_text(Str *out, const Season *s, const Session *session)
{
    if (s->part_count == 0)
        return;
    Table table = {.right = {false, false, false, true, true, true, true}};
    static const char *const heads[] = {"part swapped", "fitted",      "swapped", "days",
                                        "through it",   "of its life", "a litre"};
    bool paid = false;
    for (int i = 0; i < s->part_count; i++)
        paid = paid || !isnan(season_part_litre(&s->parts[i]));
    str_adds(out, "\n");
    for (size_t i = 0; i < sizeof heads / sizeof heads[0] - (paid ? 0 : 1); i++)
        table_cell(&table, heads[i]);
    table_row(&table);
    for (int i = 0; i < s->part_count; i++) {
        const SeasonPart *part = &s->parts[i];
        const double days = moment_days(part->fitted, part->swapped);
        const double most = season_part_life(part);
        char cell[40];
        table_cell(&table, part->stage.s);
        table_cell(&table, moment_print_day(part->fitted, s->until, cell));
        table_cell(&table, moment_print_day(part->swapped, s->until, cell));
        snprintf(cell, sizeof cell, "%.0f", days);
        table_cell(&table, cell);
        table_cell(&table, volume(part->through_ml, session, cell));
        snprintf(cell, sizeof cell, "%.0f %%", 100.0 * most);
        table_cell(&table, isnan(most) ? "-" : cell);
        snprintf(cell, sizeof cell, "%.3f", season_part_litre(part));
        if (paid)
            table_cell(&table, isnan(season_part_litre(part)) ? "-" : cell);
        table_row(&table);
    }
    table_print(&table, "  ", out);
    table_finish(&table);
    if (s->parts_more > 0)
        str_addf(out, "  and %d more\n", s->parts_more);
}

static void season_text(Str *out, const Season *s, const Session *session)
{
    SeasonWords words[SEASON_WORDS_MAX];
    const int count = season_words(s, session->units, words);
    season_title(s, session->now, out);
    str_addc(out, '\n');
    for (int i = 0; i < count; i++) {
        const SeasonWords *w = &words[i];
        if (w->about == SEASON_JUDGED)
            parts_text(out, s, session);
        if (w->begins)
            str_addc(out, '\n');
        print_captioned(out, w->caption, w->text);
        if (w->about == SEASON_TAKEN && s->source_count > 0)
            sources_text(out, s, session);
        if (w->about == SEASON_USED)
            weeks_text(out, s, session);
    }
}

static double days_of(int64_t ms)
{
    return (double)ms / (double)MS_PER_DAY;
}

/* ---- JSON and CSV ---- */

static void sources_json(Str *out, const Season *s)
{
    json_open(out, "sources", '[');
    for (int i = 0; i < s->source_count; i++) {
        const SeasonSource *from = &s->sources[i];
        json_open(out, NULL, '{');
        json_label(out, "source", &from->source);
        for (int q = 0; q < CLASS_COUNT; q++)
            json_milli(out, quality_name((Quality)q), from->ml[q]);
        json_number(out, "fills", from->fills, 0);
        json_number(out, "cost", from->paid_ml > 0 ? (double)from->cost / 1000.0 : NAN, 3);
        json_number(out, "cost_a_litre",
                    from->paid_ml > 0 ? (double)from->cost / (double)from->paid_ml : NAN, 4);
        str_addc(out, '}');
    }
    str_addc(out, ']');
}

static void cmd_season_parts_json(Str *out, const Season *s)
{
    json_open(out, "parts", '[');
    for (int i = 0; i < s->part_count; i++) {
        const SeasonPart *part = &s->parts[i];
        json_open(out, NULL, '{');
        json_label(out, "stage", &part->stage);
        json_moment(out, "fitted_at", part->fitted);
        json_moment(out, "swapped_at", part->swapped);
        json_milli(out, "litres", part->through_ml);
        json_number(out, "life_litres", part->life_ml > 0 ? (double)part->life_ml / 1000.0 : NAN,
                    3);
        json_number(out, "life_days", part->life_days > 0 ? (double)part->life_days : NAN, 0);
        json_number(out, "cost", part->cost >= 0 ? (double)part->cost / 1000.0 : NAN, 3);
        json_number(out, "cost_a_litre", season_part_litre(part), 4);
        str_addc(out, '}');
    }
    str_addc(out, ']');
}

static void judged_json(Str *out, const Season *s)
{
    json_open(out, "forecasts", '[');
    for (int h = 0; h < SEASON_HORIZONS; h++) {
        const SeasonJudged *j = &s->judged[h];
        const bool any = j->cases > 0;
        json_open(out, NULL, '{');
        json_whole(out, "days", j->days);
        json_whole(out, "cases", j->cases);
        json_whole(out, "inside", j->inside);
        json_number(out, "low", any ? j->low : NAN, 3);
        json_number(out, "high", any ? j->high : NAN, 3);
        json_number(out, "bias", any ? j->bias : NAN, 3);
        str_addc(out, '}');
    }
    str_addc(out, ']');
}

static char *day_print(const Season *s, int i, char *out)
{
    int year, month, day;
    civil_from_day(moment_local_day(s->since) + i, &year, &month, &day);
    sprintf(out, "%04d-%02d-%02d", year, month, day);
    return out;
}

static void days_json(Str *out, const Season *s)
{
    json_open(out, "by_day", '[');
    for (int i = 0; i < season_day_count(s); i++) {
        char date[64];
        json_open(out, NULL, '{');
        json_text(out, "day", day_print(s, i, date));
        json_number(out, "logged", season_day(s, i)->logged, 3);
        json_number(out, "unlogged", season_day(s, i)->unlogged, 3);
        json_number(out, "person_days", season_day(s, i)->person_days, 3);
        str_addc(out, '}');
    }
    str_addc(out, ']');
}

static void season_json(Str *out, const Season *s)
{
    const struct {
        const char *key;
        int64_t ml;
    } volumes[] = {{"filled", s->filled_ml},
                   {"drawn", s->drawn_ml},
                   {"unlogged", s->unlogged_ml},
                   {"dumped", s->dumped_ml},
                   {"gained", s->gained_ml}};
    const struct {
        const char *key;
        double value;
        int decimals;
    } numbers[] = {{"entries", (double)s->entries, 0},
                   {"refills", s->refills, 0},
                   {"longest_stretch_days", days_of(s->longest_ms), 2},
                   {"days_on_reserve", days_of(s->on_reserve_ms), 2},
                   {"days_without_potable", days_of(s->without_potable_ms), 2},
                   {"treatments", s->treatments, 0},
                   {"tests", s->tests, 0},
                   {"discrepancies", s->discrepancies, 0}};
    json_open(out, NULL, '{');
    json_moment(out, "since", s->since);
    json_moment(out, "until", s->until);
    for (size_t i = 0; i < sizeof volumes / sizeof volumes[0]; i++)
        json_milli(out, volumes[i].key, volumes[i].ml);
    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++)
        json_number(out, numbers[i].key, numbers[i].value, numbers[i].decimals);
    json_open(out, "by_purpose", '{');
    for (int p = 0; p <= PURPOSE_COUNT; p++)
        json_milli(out, p < PURPOSE_COUNT ? season_purpose(p) : "none", s->by_purpose_ml[p]);
    str_addc(out, '}');
    sources_json(out, s);
    cmd_season_parts_json(out, s);
    judged_json(out, s);
    days_json(out, s);
    str_adds(out, "}\n");
}

static void season_csv(Str *out, const Season *s)
{
    str_adds(out, "day,logged,unlogged,person_days\r\n");
    for (int i = 0; i < season_day_count(s); i++) {
        const SeasonDay *day = season_day(s, i);
        char date[64];
        str_addf(out, "%s,%.3f,%.3f,%.3f\r\n", day_print(s, i, date), day->logged, day->unlogged,
                 day->person_days);
    }
}

/* ---- the command ---- */

static bool season_make(Session *session, Told *told, Fault *fault)
{
    const Given *since = arguments_get(&session->arguments, OPTION_SINCE);
    const Given *until = arguments_get(&session->arguments, OPTION_UNTIL);
    Moment from = MOMENT_NONE, to = MOMENT_NONE;
    if ((since != NULL && !session_bound(session, since->value, false, &from, fault)) ||
        (until != NULL && !session_bound(session, until->value, true, &to, fault)))
        return false;
    if (!moment_known(to) || to.ms > session->now.ms)
        to = session->now;
    if (moment_known(from) && from.ms > to.ms)
        return fault_set(fault, FAULT_USAGE,
                         "--since lies after the end of the span: there is nothing between.");
    if (!session_open(session, LOG_READ, fault))
        return false;
    const LogQuery query = {.since = MOMENT_NONE, .until = to};
    state_init(&told->state);
    season_begin(&told->season, from, to, session->now);
    if (!log_each(session->log, &query, visit, told, fault))
        return false;
    season_end(&told->season, &told->state);
    return true;
}

static bool run_season(Session *session, Fault *fault)
{
    const bool csv = arguments_get(&session->arguments, OPTION_CSV) != NULL;
    if (csv && session->json)
        return fault_set(fault, FAULT_USAGE, "--csv and --json are two formats: give one.");
    if (csv)
        print_as_is();
    Told *told = memory_get(sizeof *told);
    Str out = {0};
    bool good = season_make(session, told, fault);
    if (good) {
        if (session->json)
            season_json(&out, &told->season);
        else if (csv)
            season_csv(&out, &told->season);
        else
            season_text(&out, &told->season, session);
        good = print_out(&out, false, fault) && log_all_read(session->log, fault);
    }
    str_finish(&out);
    season_finish(&told->season);
    free(told);
    return good;
}

static const Option season_options[] = {
    {"since", 0, TAKES_VALUE, "TIME", "from that time or day on; left out: the first entry",
     OPTION_SINCE},
    {"until", 0, TAKES_VALUE, "TIME", "to that time, or to the end of that day; left out: now",
     OPTION_UNTIL},
    {"csv", 0, TAKES_NOTHING, NULL, "the use of each day as CSV", OPTION_CSV},
};

const Command command_season = {
    .name = "season",
    .gist = "What a span of time came to, and how good the forecasts were",
    .words = "",
    .more = "Everything is by the log: what nobody logged and no sounding found is not in it. What "
            "a sounding "
            "found missing is spread over the days since the level was last known.",
    .options = season_options,
    .option_count = 3,
    .run = run_season,
};
