#include "outlook/season_words.h"

#include "model/kinds.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

const char *season_purpose(int purpose)
{
    const Kind *draw = kind_of(KIND_DRAW);
    return purpose < PURPOSE_COUNT
               ? draw->fields[kind_field(draw, text_of("purpose"))].choices[purpose]
               : "not said";
}

static double days_of(int64_t ms)
{
    return (double)ms / (double)MS_PER_DAY;
}

static char *volume(int64_t ml, Units units, char *out)
{
    return volume_print((Volume){ml}, units, out);
}

void season_title(const Season *s, Moment now, Str *out)
{
    char from[64], to[64];
    str_addf(out, "Season from %s to %s: %d days, %lld entries.",
             moment_print_date(s->since, now, from), moment_print_date(s->until, now, to),
             season_day_count(s), (long long)s->entries);
}

typedef struct {
    SeasonWords *words;
    int count;
} Said;

static void said_add(Said *said, const char *caption, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
static void said_add(Said *said, const char *caption, const char *format, ...)
{
    SeasonWords *words = &said->words[said->count++];
    va_list arguments;
    va_start(arguments, format);
    snprintf(words->caption, sizeof words->caption, "%s", caption);
    vsnprintf(words->text, sizeof words->text, format, arguments);
    va_end(arguments);
}

/* The last sentence said. */
static void mark(Said *said, SeasonAbout about)
{
    said->words[said->count - 1].about = about;
}

static void say_used(Said *said, const Season *s, Units units)
{
    char all[32], logged[32], missing[32], rate[64] = "", a[32];
    SeasonRow whole[1];
    int days = 0;
    season_rows(s, 1, whole, &days);
    if (whole[0].person_days > 0)
        snprintf(rate, sizeof rate, "; %s a person a day",
                 volume((int64_t)(whole[0].rate * 1000.0 + 0.5), units, a));
    said_add(said, "Used", "%s: %s logged, %s found missing%s",
             volume(s->drawn_ml + s->unlogged_ml, units, all), volume(s->drawn_ml, units, logged),
             volume(s->unlogged_ml, units, missing), rate);
    Str by = {0};
    for (int p = 0; p <= PURPOSE_COUNT; p++)
        if (s->by_purpose_ml[p] > 0)
            str_addf(&by, "%s%s %s", by.n > 0 ? ", " : "", season_purpose(p),
                     volume(s->by_purpose_ml[p], units, a));
    said->words[said->count - 1].begins = true;
    if (by.n > 0)
        said_add(said, "For", "%s", by.s);
    mark(said, SEASON_USED);
    str_finish(&by);
}

static void say_judged(Said *said, const SeasonJudged *j, Units units)
{
    char caption[16], bias[32];
    snprintf(caption, sizeof caption, "%d d ahead", j->days);
    if (j->cases == 0) {
        said_add(said, caption, "no day to judge the forecasts by");
        return;
    }
    said_add(
        said, caption,
        "the 8-in-10 band held on %d of %d days (%.0f %%; so many can tell no more than %.0f to "
        "%.0f %%); %s %s was used than said in the middle",
        j->inside, j->cases, 100.0 * j->inside / j->cases, 100.0 * j->low, 100.0 * j->high,
        volume((int64_t)(fabs(j->bias) * 1000.0 + 0.5), units, bias),
        j->bias < 0 ? "less" : "more");
}

/* What the water weighs, at 1 kg a litre, to the kilogram or the pound. */
static char *carried(int64_t ml, Units units, char out[32])
{
    const double one = units == UNITS_METRIC ? 1000.0 : 1000.0 * UNITS_KG_PER_POUND;
    snprintf(out, 32, "%.0f %s", (double)ml / one, units == UNITS_METRIC ? "kg" : "lb");
    return out;
}

int season_words(const Season *s, Units units, SeasonWords out[SEASON_WORDS_MAX])
{
    char a[32], b[32];
    Said said = {out, 0};
    memset(out, 0, SEASON_WORDS_MAX * sizeof *out);
    said_add(&said, "Taken on",
             "%s in %d refill%s, %s carried; the longest stretch without one %.1f days",
             volume(s->filled_ml, units, a), s->refills, s->refills == 1 ? "" : "s",
             carried(s->filled_ml, units, b), days_of(s->longest_ms));
    mark(&said, SEASON_TAKEN);
    out[0].begins = true;
    say_used(&said, s, units);
    out[said.count].begins = true;
    said_add(&said, "Besides", "%s dumped; %s more found than reckoned",
             volume(s->dumped_ml, units, a), volume(s->gained_ml, units, b));
    said_add(&said, "Short",
             "on the reserve for %.1f days, without potable water for %.1f days, by the log",
             days_of(s->on_reserve_ms), days_of(s->without_potable_ms));
    said_add(&said, "Care", "%d treatments, %d tests, %d discrepancies", s->treatments, s->tests,
             s->discrepancies);
    for (int h = 0; h < SEASON_HORIZONS; h++) {
        out[said.count].begins = h == 0;
        say_judged(&said, &s->judged[h], units);
        mark(&said, h == 0 ? SEASON_JUDGED : SEASON_PLAIN);
    }
    said_add(
        &said, "",
        "Spans that overlap are not independent: the truth is less sure than these limits. What "
        "is judged is use of the kind that forecasts are about: no wash vessel, no leak.");
    return said.count;
}

/* ---- rows of days ---- */

static int days_a_row(int days, int most)
{
    static const int steps[] = {7, 28, 91, 364};
    for (size_t i = 0; i < sizeof steps / sizeof steps[0]; i++)
        if (days <= steps[i] * most)
            return steps[i];
    return days / most + 1;
}

static SeasonRow row_of(const Season *s, int from, int days)
{
    SeasonRow row = {.from = moment_of_local_day(moment_local_day(s->since) + from)};
    int n = 0;
    for (int i = from; i < from + days && i < season_day_count(s); i++, n++) {
        const SeasonDay *day = season_day(s, i);
        row.litres += day->logged + day->unlogged;
        row.unlogged += day->unlogged;
        row.person_days += day->person_days;
        row.refills += day->refills;
        for (int q = 0; q < CLASS_COUNT; q++)
            row.taken[q] += day->taken[q];
    }
    row.crew = n > 0 ? row.person_days / n : 0.0;
    row.rate = row.person_days > 0 ? row.litres / row.person_days : 0.0;
    return row;
}

int season_rows(const Season *s, int most, SeasonRow out[], int *days)
{
    const int all = season_day_count(s), step = days_a_row(all, most);
    int count = 0;
    for (int i = 0; i < all || count == 0; i += step)
        out[count++] = row_of(s, i, step);
    *days = step;
    return count;
}

void season_source_tell(const SeasonSource *from, Units units, Str *out)
{
    const char *between = "";
    char a[32];
    str_addf(out, "%s: ", label_empty(&from->source) ? "(not said)" : from->source.s);
    for (int q = 0; q < CLASS_COUNT; q++) {
        if (from->ml[q] <= 0)
            continue;
        str_addf(out, "%s%s %s", between, volume(from->ml[q], units, a), quality_name((Quality)q));
        between = ", ";
    }
    str_addf(out, "%s%d fill%s", between[0] ? " in " : "", (int)from->fills,
             from->fills == 1 ? "" : "s");
    if (from->paid_ml > 0)
        str_addf(out, ", cost %.2f, %.3f a litre", (double)from->cost / 1000.0,
                 (double)from->cost / (double)from->paid_ml);
}

double season_part_litre(const SeasonPart *part)
{
    return part->cost >= 0 && part->through_ml > 0 ? (double)part->cost / (double)part->through_ml
                                                   : NAN;
}

double season_part_life(const SeasonPart *part)
{
    const double litres =
        part->life_ml > 0 ? (double)part->through_ml / (double)part->life_ml : NAN;
    const double time = part->life_days > 0
                            ? moment_days(part->fitted, part->swapped) / (double)part->life_days
                            : NAN;
    return fmax(litres, time);
}
