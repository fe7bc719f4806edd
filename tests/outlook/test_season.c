/* What a span came to, told by hand beside it. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "base/memory.h"
#include "outlook/season_words.h"

#include "support/logbook.h"

#include <math.h>
#include <string.h>

static Season *season_of(const Logbook *book, Moment since, Moment until)
{
    Season *season = memory_get(sizeof *season);
    State *state = memory_get(sizeof *state);
    state_init(state);
    season_begin(season, since, until, book->now);
    for (size_t i = 0; i < book->count; i++)
        season_take(season, state, &book->events[i]);
    season_end(season, state);
    free(state);
    return season;
}

static void season_free(Season *season)
{
    season_finish(season);
    free(season);
}

/* Ten days: two fill up on the first, draw 3 L a day, find 4 L missing on the sixth, refill by
 * level. */
static Logbook *ten_days(void)
{
    Logbook *book = book_open();
    book_say(book, "crew 2");
    book_say(book, "source \"Holm tap\" --type mains --class potable");
    book_say(book, "vessel A1 --capacity 40 --class potable");
    book_say(book, "vessel W1 --capacity 20 --duty wash");
    book_say(book, "couple galley A1");
    book_say(book, "stage sediment --type sediment --line galley --position 1 --life-litres 100");
    book_say(book, "fill A1 40 --from \"Holm tap\" --cost 2");
    for (int day = 0; day < 5; day++) {
        book_pass(book, 1);
        book_say(book, "draw galley 3 --for cook");
    }
    book_pass(book, 1);
    book_say(book, "sound A1 21");                      /* 25 by the log */
    book_say(book, "fill A1 full --from \"Holm tap\""); /* 19 L that no entry names */
    book_say(book, "swap sediment");
    book_pass(book, 4);
    book_say(book, "note home");
    return book;
}

static void sums_are_those_of_the_log(void **unused)
{
    (void)unused;
    Logbook *book = ten_days();
    Season *s = season_of(book, MOMENT_NONE, MOMENT_NONE);
    assert_int_equal(s->filled_ml, 59000);
    assert_int_equal(s->drawn_ml, 15000);
    assert_int_equal(s->unlogged_ml, 4000);
    assert_int_equal(s->by_purpose_ml[PURPOSE_COOK], 15000);
    assert_int_equal(s->refills, 2);
    assert_int_equal(s->longest_ms, 6 * MS_PER_DAY);
    assert_int_equal(s->source_count, 1);
    assert_int_equal(s->sources[0].ml[CLASS_POTABLE], 59000);
    assert_int_equal(s->sources[0].cost, 2000);
    assert_int_equal(s->sources[0].paid_ml, 40000);
    assert_int_equal(s->part_count, 1);
    assert_int_equal(s->parts[0].through_ml, 19000);
    assert_int_equal(season_day_count(s), 11);
    double used = 0.0, persons = 0.0;
    for (int i = 0; i < season_day_count(s); i++) {
        used += season_day(s, i)->logged + season_day(s, i)->unlogged;
        persons += season_day(s, i)->person_days;
    }
    assert_true(fabs(used - 19.0) < 1e-9);
    assert_true(persons > 2 * 9.0 && persons < 2 * 11.0);
    /* What was missing is spread over the days since the level was known, none of it after. */
    assert_true(season_day(s, 3)->unlogged > 0.4 && season_day(s, 7)->unlogged == 0.0);
    season_free(s);
    book_close(book);
}

static void a_span_counts_its_own_days_only(void **unused)
{
    (void)unused;
    Logbook *book = ten_days();
    Season *s = season_of(book, (Moment){BOOK_BEGIN_MS + 3 * MS_PER_DAY / 2},
                          (Moment){BOOK_BEGIN_MS + 7 * MS_PER_DAY / 2});
    assert_int_equal(s->entries, 2);
    assert_int_equal(s->drawn_ml, 6000);
    assert_int_equal(s->filled_ml, 0);
    assert_int_equal(s->unlogged_ml, 0);
    season_free(s);
    book_close(book);
}

/* The first day is that of the log, whatever was asked for: else each day's use would stand at
 * another date. One that ends before the log has no day. */
static void a_span_from_before_the_log_begins_with_it(void **unused)
{
    (void)unused;
    Logbook *book = ten_days();
    const Moment year_before = {BOOK_BEGIN_MS - 365 * MS_PER_DAY};
    Season *whole = season_of(book, MOMENT_NONE, MOMENT_NONE),
           *asked = season_of(book, year_before, MOMENT_NONE),
           *before = season_of(book, year_before, (Moment){BOOK_BEGIN_MS - MS_PER_DAY});
    assert_int_equal(whole->since.ms, BOOK_BEGIN_MS);
    assert_int_equal(asked->since.ms, BOOK_BEGIN_MS);
    assert_int_equal(season_day_count(asked), season_day_count(whole));
    assert_int_equal(asked->longest_ms, whole->longest_ms);
    assert_int_equal(before->since.ms, year_before.ms);
    assert_int_equal(season_day_count(before), 0);
    season_free(whole);
    season_free(asked);
    season_free(before);
    book_close(book);
}

/* A reserve that is drawn on, and potable water that is gone: the hours between the entries. */
static void days_on_reserve_are_those_between_the_entries(void **unused)
{
    (void)unused;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 10 --class potable --level 10");
    book_say(book, "vessel R1 --capacity 10 --duty reserve --class potable --level 10");
    book_say(book, "couple galley A1");
    book_pass(book, 2);
    book_say(book, "sound A1 empty");
    book_pass(book, 3);
    book_say(book, "dump R1");
    book_pass(book, 1);
    book_say(book, "note still dry");
    Season *s = season_of(book, MOMENT_NONE, MOMENT_NONE);
    assert_int_equal(s->on_reserve_ms, 4 * MS_PER_DAY);
    assert_int_equal(s->dumped_ml, 10000);
    assert_int_equal(s->gained_ml, 0);
    assert_int_equal(s->entries, 6);
    assert_int_equal(s->treatments, 0);
    assert_int_equal(s->tests, 0);
    assert_int_equal(s->without_potable_ms, 1 * MS_PER_DAY);
    season_free(s);
    book_close(book);
}

/* Score intervals of SciPy 1.10.1 (binomtest, "wilson") and R 4.2.2 (prop.test without correction).
 */
static void limits_agree_with_two_libraries(void **unused)
{
    (void)unused;
    double low, high;
    season_limits(8, 10, &low, &high);
    assert_true(fabs(low - 0.4901624715) < 1e-9 && fabs(high - 0.9433178485) < 1e-9);
    season_limits(16, 20, &low, &high);
    assert_true(fabs(low - 0.5839825677) < 1e-9 && fabs(high - 0.9193423374) < 1e-9);
    season_limits(10, 10, &low, &high);
    assert_true(high > 1.0 - 1e-12 && low > 0.7 && low < 0.73);
}

/* The forecasts of a steady home are judged on its days and hold; those of one that uses three
 * times what it used do not: the judgement can fail. */
static void forecasts_are_judged_by_what_came(void **unused)
{
    (void)unused;
    for (int wild = 0; wild < 2; wild++) {
        Logbook *book = book_open();
        book_say(book, "crew 2");
        book_say(book, "vessel A1 --capacity 1000 --class potable --level full");
        book_say(book, "couple galley A1");
        for (int day = 0; day < 60; day++) {
            book_pass(book, 1);
            book_say(book, wild && day >= 30 && day % 10 < 8 ? "draw galley 14" : "draw galley 4");
        }
        Moment from = MOMENT_NONE, to = MOMENT_NONE;
        if (wild) {
            from.ms = BOOK_BEGIN_MS + 27 * MS_PER_DAY;
            to.ms = BOOK_BEGIN_MS + 36 * MS_PER_DAY;
        }
        Season *s = season_of(book, from, to);
        const SeasonJudged *j = &s->judged[0];
        assert_true(j->cases >= (wild ? 5 : 50));
        if (wild)
            assert_true(j->inside * 2 < j->cases && j->bias > 3.0);
        else
            assert_true(j->inside * 10 >= j->cases * 9);
        season_free(s);
        book_close(book);
    }
}

/* Ten days are a week and three days: 40 L and then 19 L taken on, 15 L drawn and 4 L missing. */
static void weeks_add_up_to_the_span(void **unused)
{
    (void)unused;
    Logbook *book = ten_days();
    Season *s = season_of(book, MOMENT_NONE, MOMENT_NONE);
    SeasonRow rows[SEASON_ROWS_MAX];
    int days = 0, count = season_rows(s, SEASON_ROWS_MAX, rows, &days);
    assert_int_equal(days, 7);
    assert_int_equal(count, 2);
    assert_true(fabs(rows[0].litres - 19.0) < 1e-9 && fabs(rows[0].unlogged - 4.0) < 1e-9);
    assert_true(fabs(rows[0].taken[CLASS_POTABLE] - 59.0) < 1e-9);
    assert_int_equal(rows[0].refills, 2);
    assert_true(rows[1].from.ms - rows[0].from.ms == 7 * MS_PER_DAY);
    assert_true(fabs(rows[0].rate - 19.0 / rows[0].person_days) < 1e-9);
    assert_true(fabs(rows[0].crew - rows[0].person_days / 7) < 1e-9);
    assert_true(rows[1].litres < 1e-9 && rows[1].refills == 0);
    assert_null(season_day(s, season_day_count(s)));
    assert_null(season_day(s, -1));
    assert_non_null(season_day(s, season_day_count(s) - 1));
    /* one row of all days where no more fit */
    count = season_rows(s, 1, rows, &days);
    assert_int_equal(count, 1);
    assert_int_equal(days, 28); /* four weeks, where a week is too short */
    assert_true(fabs(rows[0].litres - 19.0) < 1e-9);
    season_free(s);
    book_close(book);
}

/* Weeks, four weeks, quarters, years: the least of them of which so many rows are enough; else as
 * many days as it takes. */
static void rows_are_weeks_or_whole_numbers_of_them(void **unused)
{
    (void)unused;
    static const struct {
        int days, most, step;
    } cases[] = {{7, 1, 7},    {8, 1, 28},    {28, 4, 7},    {29, 4, 28},   {91, 1, 91},
                 {92, 1, 364}, {364, 1, 364}, {365, 1, 366}, {728, 2, 364}, {800, 2, 401}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        Logbook *book = book_open();
        book_say(book, "crew 0");
        book_pass(book, cases[i].days - 1);
        book_say(book, "note home");
        Season *s = season_of(book, MOMENT_NONE, MOMENT_NONE);
        assert_int_equal(season_day_count(s), cases[i].days);
        SeasonRow rows[SEASON_ROWS_MAX];
        int days = 0;
        const int count = season_rows(s, cases[i].most, rows, &days);
        if (days != cases[i].step)
            fail_msg("%d days in %d rows: %d each", cases[i].days, cases[i].most, days);
        assert_true(count <= cases[i].most);
        assert_true(rows[0].crew <= 0 && rows[0].rate <= 0); /* nobody was said to be aboard */
        season_free(s);
        book_close(book);
    }
}

/* A forecast is about use: no wash vessel, no leak; what was found missing besides is. */
static void what_is_judged_is_use_of_the_kind_that_was_foretold(void **unused)
{
    (void)unused;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 40 --class potable --level 40");
    book_say(book, "vessel R1 --capacity 12 --duty reserve --class potable --level 12");
    book_say(book, "vessel W1 --capacity 20 --duty wash --level 20");
    book_say(book, "couple galley A1");
    book_say(book, "crew 2");
    book_pass(book, 1);
    book_say(book, "draw W1 2");
    book_say(book, "draw galley 3");
    book_pass(book, 1);
    book_say(book, "sound R1 8"); /* a leak */
    book_pass(book, 1);
    book_say(book, "sound A1 36"); /* 1 L: use */
    book_say(book, "sound W1 17");
    Season *s = season_of(book, MOMENT_NONE, MOMENT_NONE);
    double logged = 0, unlogged = 0, foretold = 0;
    for (int i = 0; i < season_day_count(s); i++) {
        logged += season_day(s, i)->logged;
        unlogged += season_day(s, i)->unlogged;
        foretold += season_day(s, i)->foretold;
    }
    assert_true(fabs(logged - 5) < 1e-9 && fabs(unlogged - 6) < 1e-9);
    assert_true(fabs(foretold - 4) < 1e-9);
    assert_int_equal(s->discrepancies, 1);
    assert_int_equal(s->judged[0].days, 3);
    assert_int_equal(s->judged[1].days, 7);
    season_free(s);
    for (int i = 0; i < 40; i++) /* more than are kept in full */
        book_force(book, "draw galley 100");
    s = season_of(book, MOMENT_NONE, MOMENT_NONE);
    assert_int_equal(s->discrepancies, 41);
    season_free(s);
    book_close(book);
    /* Before there was a vessel no water was missing. */
    book = book_open();
    book_say(book, "note bought the van");
    book_pass(book, 1);
    book_say(book, "vessel A1 --capacity 40 --class potable");
    book_pass(book, 1);
    book_say(book, "fill A1 5 --class potable");
    s = season_of(book, MOMENT_NONE, MOMENT_NONE);
    assert_int_equal(s->without_potable_ms, MS_PER_DAY);
    season_free(s);
    book_say(book, "dump A1 1");
    book_say(book, "dump A1 1");
    book_say(book, "treat A1 boil --minutes 3 --asserted");
    book_say(book, "test A1 --ph 7");
    book_say(book, "test A1 --ph 7.5");
    book_say(book, "sound A1 3.4");
    s = season_of(book, MOMENT_NONE, MOMENT_NONE);
    assert_int_equal(s->dumped_ml, 2000);
    assert_int_equal(s->gained_ml, 400);
    assert_int_equal(s->treatments, 1);
    assert_int_equal(s->tests, 2);
    season_free(s);
    book_close(book);
}

/* Fills within an hour of one another are one refill, each counted from the one before. */
static void what_is_filled_within_an_hour_is_one_refill(void **unused)
{
    (void)unused;
    static const struct {
        int64_t apart_ms;
        int refills;
    } cases[] = {{1, 1}, {3600000, 1}, {3600001, 3}, {MS_PER_DAY, 3}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        Logbook *book = book_open();
        book_say(book, "vessel A1 --capacity 40 --class potable");
        for (int fill = 0; fill < 3; fill++) {
            book_say(book, "fill A1 2 --class potable");
            book_pass(book, (double)cases[i].apart_ms / (double)MS_PER_DAY);
        }
        book_say(book, "note home");
        Season *s = season_of(book, MOMENT_NONE, MOMENT_NONE);
        assert_int_equal(s->refills, cases[i].refills);
        assert_int_equal(s->longest_ms, cases[i].apart_ms);
        season_free(s);
        book_close(book);
    }
}

/* Where a screen begins a block, and what each sentence is about. */
static void the_sentences_stand_in_blocks(void **unused)
{
    (void)unused;
    static const struct {
        const char *caption;
        SeasonAbout about;
        bool begins;
    } expected[] = {{"Taken on", SEASON_TAKEN, true},  {"Used", SEASON_PLAIN, true},
                    {"For", SEASON_USED, false},       {"Besides", SEASON_PLAIN, true},
                    {"Short", SEASON_PLAIN, false},    {"Care", SEASON_PLAIN, false},
                    {"3 d ahead", SEASON_JUDGED, true}};
    enum { EXPECTED = sizeof expected / sizeof expected[0] };
    Logbook *book = ten_days();
    Season *s = season_of(book, MOMENT_NONE, MOMENT_NONE);
    SeasonWords words[SEASON_WORDS_MAX];
    const int count = season_words(s, UNITS_METRIC, words);
    assert_int_equal(count, EXPECTED + SEASON_HORIZONS);
    for (int i = 0; i < count; i++) {
        if (i < EXPECTED)
            assert_string_equal(words[i].caption, expected[i].caption);
        assert_int_equal(words[i].about, i < EXPECTED ? expected[i].about : SEASON_PLAIN);
        assert_int_equal(words[i].begins, i < EXPECTED && expected[i].begins);
    }
    assert_string_equal(season_purpose(PURPOSE_COUNT), "not said");
    season_free(s);
    book_close(book);
    /* Nothing drawn and nobody aboard: no purposes, no rate. */
    book = book_open();
    book_say(book, "vessel A1 --capacity 40");
    book_say(book, "crew 0");
    s = season_of(book, MOMENT_NONE, MOMENT_NONE);
    assert_int_equal(season_words(s, UNITS_METRIC, words), EXPECTED + SEASON_HORIZONS - 1);
    assert_null(strstr(words[1].text, "a person"));
    season_free(s);
    book_close(book);
}

static void the_sentences_say_the_sums(void **unused)
{
    (void)unused;
    Logbook *book = ten_days();
    Season *s = season_of(book, MOMENT_NONE, MOMENT_NONE);
    SeasonWords words[SEASON_WORDS_MAX];
    Str all = {0};
    const int count = season_words(s, UNITS_METRIC, words);
    for (int i = 0; i < count; i++)
        str_addf(&all, "%s|%s\n", words[i].caption, words[i].text);
    season_source_tell(&s->sources[0], UNITS_METRIC, &all);
    season_words(s, UNITS_US, words); /* 59 kg are 130.07 lb: 0.45359237 kg each (NIST SP 811) */
    assert_non_null(strstr(words[0].text, " in 2 refills, 130 lb carried; "));
    assert_non_null(strstr(all.s, "Taken on|59.0 L in 2 refills, 59 kg carried; the longest "
                                  "stretch without one 6.0 days\n"));
    /* two from the first morning to 08:00 of the eleventh day, of which 1 of 16 waking hours is
     * gone: 19 L of 20.125 person-days */
    assert_non_null(
        strstr(all.s, "Used|19.0 L: 15.0 L logged, 4.0 L found missing; 0.94 L a person a day\n"));
    assert_non_null(strstr(all.s, "For|cook 15.0 L\n"));
    assert_non_null(strstr(all.s, "Holm tap: 59.0 L potable in 2 fills, cost 2.00, 0.050 a litre"));
    str_finish(&all);
    season_free(s);
    book_close(book);
}

/* 19 of 100 L in 10 of so many days: the larger share counts. */
static void a_part_reached_the_larger_share_of_its_life(void **unused)
{
    (void)unused;
    SeasonPart part = {.fitted = {0}, .swapped = {10 * MS_PER_DAY}, .through_ml = 19000};
    assert_true(isnan(season_part_life(&part)));
    part.life_ml = 100000;
    assert_true(fabs(season_part_life(&part) - 0.19) < 1e-9);
    part.life_days = 20;
    assert_true(fabs(season_part_life(&part) - 0.5) < 1e-9);
}

/* 5.70 for 19 L; one that is swapped without a word costs what the one before did. */
static void a_litre_through_a_part_costs_what_the_part_did(void **unused)
{
    (void)unused;
    SeasonPart part = {.through_ml = 19000, .cost = -1};
    assert_true(isnan(season_part_litre(&part)));
    part.cost = 0;
    assert_true(season_part_litre(&part) == 0.0);
    part.cost = 5700;
    assert_true(fabs(season_part_litre(&part) - 0.3) < 1e-9);
    part.through_ml = 0;
    assert_true(isnan(season_part_litre(&part)));
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --level 12");
    book_say(book, "couple galley A1");
    book_say(book, "stage s --type sediment --line galley");
    book_say(book, "draw galley 1");
    book_say(book, "swap s --cost 6");
    book_say(book, "draw galley 2");
    book_say(book, "swap s");
    book_say(book, "draw galley 4");
    book_say(book, "stage s --cost 8");
    book_say(book, "swap s --cost 5");
    Season *s = season_of(book, MOMENT_NONE, MOMENT_NONE);
    assert_int_equal(s->part_count, 3);
    assert_true(isnan(season_part_litre(&s->parts[0])));
    assert_true(fabs(season_part_litre(&s->parts[1]) - 3.0) < 1e-9);
    assert_true(fabs(season_part_litre(&s->parts[2]) - 2.0) < 1e-9);
    assert_int_equal(book_state(book)->stages[0].cost, 5000);
    season_free(s);
    book_close(book);
}

/* Of a log that has taught nothing no forecast was said, and none is judged. */
static void nothing_is_judged_before_the_log_has_taught_a_rate(void **unused)
{
    (void)unused;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 100 --class potable --level 100");
    book_say(book, "couple galley A1");
    book_say(book, "crew 2");
    for (int day = 0; day < 20; day++) {
        book_pass(book, 1);
        book_say(book, "note nothing");
    }
    Season *s = season_of(book, MOMENT_NONE, MOMENT_NONE);
    for (int h = 0; h < SEASON_HORIZONS; h++)
        assert_int_equal(s->judged[h].cases, 0);
    season_free(s);
    book_close(book);
}

/* "8 of 10 days": how often, what so many can tell, and which way the middle was off. */
static void the_judgement_is_said_with_what_so_few_days_can_tell(void **unused)
{
    (void)unused;
    Logbook *book = ten_days();
    Season *s = season_of(book, MOMENT_NONE, MOMENT_NONE);
    SeasonWords words[SEASON_WORDS_MAX];
    const struct {
        SeasonJudged judged;
        const char *says;
    } cases[] = {
        {{.days = 3, .cases = 10, .inside = 8, .low = 0.44, .high = 0.97, .bias = -1.25},
         "the 8-in-10 band held on 8 of 10 days (80 %; so many can tell no more than 44 to 97 %); "
         "1.3 L less was used than said in the middle"},
        {{.days = 3, .cases = 8, .inside = 2, .low = 0.03, .high = 0.65, .bias = 0.5},
         "2 of 8 days (25 %; so many can tell no more than 3 to 65 %); 0.50 L more was used"},
        {{.days = 3, .cases = 0}, "no day to judge the forecasts by"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        s->judged[0] = cases[i].judged;
        const int count = season_words(s, UNITS_METRIC, words);
        const char *text = "";
        for (int w = 0; w < count; w++)
            if (strcmp(words[w].caption, "3 d ahead") == 0)
                text = words[w].text;
        if (strstr(text, cases[i].says) == NULL)
            fail_msg("expected \"%s\", got: %s", cases[i].says, text);
    }
    s->refills = 1;
    season_words(s, UNITS_METRIC, words);
    assert_non_null(strstr(words[0].text, "in 1 refill, "));
    season_free(s);
    book_close(book);
}

/* A source without a name, of two classes, of which only a part was paid for. */
static void a_source_is_told_by_class_and_by_what_was_paid_for(void **unused)
{
    (void)unused;
    Str out = {0};
    season_source_tell(&(SeasonSource){.ml = {[CLASS_POTABLE] = 40000, [CLASS_QUESTIONABLE] = 5000},
                                       .fills = 1,
                                       .cost = 3000,
                                       .paid_ml = 20000},
                       UNITS_METRIC, &out);
    assert_string_equal(out.s,
                        "(not said): 40.0 L potable, 5.0 L questionable in 1 fill, cost 3.00, "
                        "0.150 a litre");
    str_clear(&out);
    season_source_tell(&(SeasonSource){.source = {"Holm tap"}, .fills = 2}, UNITS_METRIC, &out);
    assert_string_equal(out.s, "Holm tap: 2 fills"); /* nothing was paid: no price */
    str_finish(&out);
}

int main(void)
{
    setenv("TZ", "UTC0", 1); /* days are local ones */
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(weeks_add_up_to_the_span),
        cmocka_unit_test(rows_are_weeks_or_whole_numbers_of_them),
        cmocka_unit_test(the_sentences_stand_in_blocks),
        cmocka_unit_test(what_is_judged_is_use_of_the_kind_that_was_foretold),
        cmocka_unit_test(what_is_filled_within_an_hour_is_one_refill),
        cmocka_unit_test(the_sentences_say_the_sums),
        cmocka_unit_test(a_part_reached_the_larger_share_of_its_life),
        cmocka_unit_test(sums_are_those_of_the_log),
        cmocka_unit_test(a_span_counts_its_own_days_only),
        cmocka_unit_test(a_span_from_before_the_log_begins_with_it),
        cmocka_unit_test(days_on_reserve_are_those_between_the_entries),
        cmocka_unit_test(limits_agree_with_two_libraries),
        cmocka_unit_test(forecasts_are_judged_by_what_came),
        cmocka_unit_test(nothing_is_judged_before_the_log_has_taught_a_rate),
        cmocka_unit_test(the_judgement_is_said_with_what_so_few_days_can_tell),
        cmocka_unit_test(a_source_is_told_by_class_and_by_what_was_paid_for),
        cmocka_unit_test(a_litre_through_a_part_costs_what_the_part_did),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
