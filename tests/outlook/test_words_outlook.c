/* The outlook in words: what is assumed is said so, what is needed is not told as had. */
#include "outlook/plan.h"
#include "outlook/words.h"

#include "support/board_book.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

typedef struct {
    Logbook *book;
    Board *as_is;
    WhatIf what;
    ForecastView view;
    OutlookFacts facts;
} Told;

static Told *tell(Told *told)
{
    outlook_facts(told->as_is, book_state(told->book), &told->what, &told->view, &told->facts);
    return told;
}

/* Takes the book over. */
static Told *told_of(Logbook *book, const WhatIf *what)
{
    Told *told = calloc(1, sizeof *told);
    assert_non_null(told);
    const State *state = book_state(book);
    told->book = book;
    told->what = *what;
    told->as_is = board_of(book, NULL);
    told->facts.units = UNITS_METRIC;
    what_if_board(&told->facts.board, told->as_is, state, what);
    const ForecastRate rate = what_if_rate(told->as_is, state, what);
    forecast_view(&told->view, &told->facts.board, state, &rate, 100);
    return tell(told);
}

static void told_end(Told *told)
{
    free(told->as_is);
    book_close(told->book);
    free(told);
}

static const char *fact_text(const Told *told, WordsAbout about)
{
    for (int i = 0; i < told->facts.count; i++)
        if (told->facts.words[i].about == about)
            return told->facts.words[i].text;
    return "";
}

static int count_of(const Told *told, WordsAbout about)
{
    int count = 0;
    for (int i = 0; i < told->facts.count; i++)
        count += told->facts.words[i].about == about;
    return count;
}

static void expect(const Told *told, WordsAbout about, const char *part, bool is)
{
    const char *text = fact_text(told, about);
    if ((strstr(text, part) != NULL) != is)
        fail_msg("%s \"%s\", got: %s", is ? "expected" : "not expected", part, text);
}

/* The first of its rows bears the caption, the others none. */
static void assert_captions(const Told *told, WordsAbout about, const char *caption)
{
    for (int i = 0, n = 0; i < told->facts.count; i++)
        if (told->facts.words[i].about == about)
            assert_string_equal(told->facts.words[i].caption, n++ == 0 ? caption : "");
}

static void a_what_if_is_told_whole(void **unused)
{
    (void)unused;
    const struct {
        WhatIf what;
        const char *words;
    } cases[] = {
        {what_if_nothing(), "as logged"},
        {{.crew = 3, .litres_per_day = -1}, "if 3 aboard"},
        {{.crew = 0, .litres_per_day = -1}, "if 0 aboard"},
        {{.crew = -1, .litres_per_day = 9.01}, "if 9.1 L a day"},
        {{.crew = -1, .litres_per_day = 0}, "if 0.00 L a day"},
        {{.crew = -1, .litres_per_day = -1, .dry_count = 2, .dry = {{"Holm"}, {"Skerry"}}},
         "if Holm dry, Skerry dry"},
        {{.crew = 3, .litres_per_day = 9, .dry_count = 1, .dry = {{"Holm"}}},
         "if 3 aboard, 9.0 L a day, Holm dry"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        Str out = {0};
        what_if_tell(&cases[i].what, UNITS_METRIC, &out);
        assert_string_equal(out.s, cases[i].words);
        str_finish(&out);
    }
}

/* Half the prior and more: the rate is not what the log showed. */
static void a_rate_that_is_half_assumed_is_said_so(void **unused)
{
    (void)unused;
    const WhatIf nothing = what_if_nothing();
    Told *told = told_of(book_of_days(NULL, 20), &nothing);
    expect(told, WORDS_USE, "mostly assumed", false);
    expect(told, WORDS_USE, "2 aboard, ", true);
    told->facts.board.litres_per_day = 9;
    expect(tell(told), WORDS_USE, ", 9.0 L a day, 4.5 L each", true);
    told->facts.board.crew = 0;
    expect(tell(told), WORDS_USE, "0 aboard, ", true);
    told->facts.board.crew = 2;
    told->facts.board.use_prior = 0.499;
    expect(tell(told), WORDS_USE, "mostly assumed", false);
    told->facts.board.use_prior = 0.5;
    expect(tell(told), WORDS_USE, "mostly assumed", true);
    told->facts.board.crew = 1;
    expect(tell(told), WORDS_USE, " each", false);
    told->facts.board.crew = -1;
    expect(tell(told), WORDS_USE, "crew not said, ", true);
    told->facts.board.outlook_known = false;
    expect(tell(told), WORDS_USE, " a day", false);
    told_end(told);
}

static void no_date_is_told_where_nothing_is_known_or_nothing_left(void **unused)
{
    (void)unused;
    const WhatIf nothing = what_if_nothing();
    Told *told = told_of(book_open(), &nothing);
    expect(told, WORDS_LASTS, "No vessel is named yet.", true);
    assert_int_equal(told->facts.count, 1);
    assert_int_equal(told->facts.part_from + told->facts.part_count, 1);
    told_end(told);
    Logbook *ashore = book_open();
    book_say(ashore, "vessel A1 --capacity 10");
    book_say(ashore, "retire A1");
    told = told_of(ashore, &nothing);
    expect(told, WORDS_LASTS, "not known yet. All vessels are retired.", true);
    told_end(told);

    told = told_of(book_of_days(NULL, 20), &nothing);
    for (int brief = 0; brief < 2; brief++) {
        told->facts.brief = brief == 1;
        expect(tell(told), WORDS_LASTS, brief ? "line to " : "on the line ", true);
        told->facts.board.outlook_known = false;
        assert_int_equal(strncmp(fact_text(tell(told), WORDS_LASTS), "not known yet", 13), 0);
        told->facts.board.outlook_known = true;
    }
    const Band band = told->facts.board.to_reserve;
    told->facts.board.to_reserve.p50 = MOMENT_NONE;
    expect(tell(told), WORDS_LASTS, "line not at this rate, all to ", true);
    told->facts.board.to_reserve = band;
    told->facts.board.to_reserve.p90 = MOMENT_NONE; /* it may last for ever: no band */
    const char *comma = strchr(fact_text(tell(told), WORDS_LASTS), ',');
    assert_true(strchr(fact_text(told, WORDS_LASTS), '(') > comma);
    told->facts.board.to_reserve = band;
    assert_true(strchr(fact_text(tell(told), WORDS_LASTS), '(') <
                strchr(fact_text(told, WORDS_LASTS), ','));
    told->facts.brief = false;
    told->facts.board.supply.line = 0;
    expect(tell(told), WORDS_LASTS, "the line is spent; the reserve lasts ", true);
    told->facts.board.supply.reserve = 0;
    expect(tell(told), WORDS_LASTS, "nothing usable is left", true);
    told->facts.board.supply.line = 1;
    expect(tell(told), WORDS_LASTS, "reserve", false);
    told_end(told);
}

static void a_what_if_stands_beside_what_was_logged(void **unused)
{
    (void)unused;
    WhatIf what = what_if_nothing();
    what.crew = 4;
    Logbook *book = book_of_days(NULL, 20);
    book_say(book, "stop Holm --eta +3d");
    Told *told = told_of(book, &what);
    assert_int_equal(count_of(told, WORDS_LASTS), 2);
    expect(told, WORDS_USE, "4 aboard, ", true);
    expect(told, WORDS_USE, " (as logged 2 aboard, ", true);
    expect(told, WORDS_STOP, " (as logged ", true);
    assert_int_equal(told->facts.head_count, 3);
    told->as_is->stops[0].odds_line = NAN; /* not known as logged: nothing to compare */
    expect(tell(told), WORDS_STOP, " (as logged ", false);
    told->facts.board.stops[0].odds_line = NAN;
    expect(tell(told), WORDS_STOP, "odds not known", true);
    assert_int_equal(count_of(told, WORDS_STOP), 1);
    told_end(told);
    book = book_of_days(NULL, 20);
    const WhatIf nothing = what_if_nothing();
    told = told_of(book, &nothing);
    expect(told, WORDS_STOP, "none is planned", true);
    told_end(told);
    book = book_of_days(NULL, 20);
    book_say(book, "stop Holm --eta +3d");
    book_say(book, "stop Tarn --eta +5d");
    told = told_of(book, &nothing);
    assert_int_equal(count_of(told, WORDS_STOP), 2);
    assert_captions(told, WORDS_STOP, "Stops");
    told_end(told);
}

static void more_than_the_vessels_hold_is_not_told_as_room(void **unused)
{
    (void)unused;
    const WhatIf nothing = what_if_nothing();
    Logbook *book = book_of_days(NULL, 20);
    book_say(book, "stop Holm --eta +3d");
    Told *told = told_of(book, &nothing);
    BoardStop *stop = &told->facts.board.stops[0];
    /* two of 25 L and a reserve of 12 L; a heel is no room */
    const double room = plan_full_litres(&told->facts.board, PLACE_LINE) +
                        plan_full_litres(&told->facts.board, PLACE_RESERVE);
    assert_true(room > 55 && room <= 62);
    stop->litres = -1;
    stop->take_on = llround(room * 1000);
    expect(tell(told), WORDS_STOP, "; leave with ", true);
    expect(told, WORDS_STOP, "that line and reserve hold", false);
    stop->take_on++;
    expect(tell(told), WORDS_STOP, "that line and reserve hold", true);
    stop->take_on = 0;
    expect(tell(told), WORDS_STOP, "; leave with 0.00 L", true);
    stop->take_on = -1;
    expect(tell(told), WORDS_STOP, "leave with", false);
    stop->litres = 0;
    expect(tell(told), WORDS_STOP, "; dry, nothing to take on", true);
    stop->ration_90 = 3.999;
    expect(tell(told), WORDS_STOP, "; for 90 % not over 3.9 L a person", true);
    stop->ration_90 = NAN;
    expect(tell(told), WORDS_STOP, "for 90 %", false);
    told_end(told);
}

/* A row a day, what may be there rounded down, at most ten and none past the curve's end. */
static void what_is_left_is_told_day_by_day_and_rounded_down(void **unused)
{
    (void)unused;
    const WhatIf nothing = what_if_nothing();
    Told *told = told_of(book_of_days(NULL, 20), &nothing);
    assert_in_range(count_of(told, WORDS_LEFT), 5, OUTLOOK_DAYS);
    assert_captions(told, WORDS_LEFT, "Left");
    const Moment now = told->facts.board.now;
    for (int days = 3; days <= 15; days += 12) {
        told->view.known = true;
        told->view.count = 2;
        told->view.point[0] = (ViewPoint){now, 20.99, 20.99, 20.99, 0};
        told->view.point[1] = (ViewPoint){{now.ms + days * MS_PER_DAY}, 10.99, 20.99, 30.99, 0};
        assert_int_equal(count_of(tell(told), WORDS_LEFT), days < OUTLOOK_DAYS ? days : 10);
    }
    told->view.point[1] = told->view.point[0];
    told->view.point[1].at.ms = now.ms + MS_PER_DAY;
    told->view.point[1].low = 10.99;
    told->view.point[1].high = 30.99;
    expect(tell(told), WORDS_LEFT, ", this time of day: 20.9 L (10.9 to 30.9 L)", true);
    told->view.known = false;
    assert_int_equal(count_of(tell(told), WORDS_LEFT), 0);
    told_end(told);
}

static void parts_are_told_against_the_planned_stops(void **unused)
{
    (void)unused;
    const WhatIf nothing = what_if_nothing();
    const char *const stage = "stage s --type sediment --line galley --life-days 22";
    Told *told = told_of(book_of_days(stage, 20), &nothing); /* no stop: nothing to compare with */
    const int bare = count_of(told, WORDS_PARTS);
    told_end(told);

    Logbook *book = book_of_days(stage, 20);
    book_say(book, "stop Holm --eta +3d");
    told = told_of(book, &nothing);
    expect(told, WORDS_PARTS, "s", true);
    expect(told, WORDS_PARTS, "enough", false);
    assert_int_equal(count_of(told, WORDS_PARTS), 1);
    assert_string_equal(told->facts.words[told->facts.part_from].caption, "Parts");
    assert_int_equal(bare, 0);
    told_end(told);

    book = book_of_days(stage, 20);
    book_say(book, "stop Holm --eta +3d");
    book_say(book, "spares s 3");
    told = told_of(book, &nothing);
    expect(told, WORDS_PARTS, "the spares aboard are enough to the last stop", true);
    told_end(told);

    book = book_of_days("stage s --type sediment --line galley --life-days 400", 20);
    book_say(book, "stop Holm --eta +3d");
    told = told_of(book, &nothing);
    expect(told, WORDS_PARTS, "nothing falls due before the last stop", true);
    told_end(told);
}

/* With a what-if, every stop and a part for every stage that a log can hold, and all the days. */
static void the_longest_outlook_has_room(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_of_days(NULL, 20);
    char words[120];
    for (int i = 0; i < STAGES_MAX; i++) {
        snprintf(words, sizeof words, "stage s%d --type other --line galley --life-days 2", i);
        book_say(book, words);
        snprintf(words, sizeof words, "spares s%d 0", i);
        book_say(book, words);
    }
    for (int i = 0; i < STOPS_MAX; i++) {
        snprintf(words, sizeof words, "stop p%d --eta +%dd", i, i + 1);
        book_say(book, words);
    }
    WhatIf more = what_if_nothing();
    more.crew = 3;
    Told *told = told_of(book, &more);
    assert_int_equal(count_of(told, WORDS_STOP), STOPS_MAX);
    assert_int_equal(count_of(told, WORDS_PARTS), STAGES_MAX);
    assert_int_equal(count_of(told, WORDS_LEFT), OUTLOOK_DAYS);
    assert_int_equal(told->facts.count, OUTLOOK_WORDS);
    assert_int_equal(told->facts.words[OUTLOOK_WORDS - 1].about, WORDS_LIMITS);
    told_end(told);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_what_if_is_told_whole),
        cmocka_unit_test(a_rate_that_is_half_assumed_is_said_so),
        cmocka_unit_test(no_date_is_told_where_nothing_is_known_or_nothing_left),
        cmocka_unit_test(a_what_if_stands_beside_what_was_logged),
        cmocka_unit_test(more_than_the_vessels_hold_is_not_told_as_room),
        cmocka_unit_test(what_is_left_is_told_day_by_day_and_rounded_down),
        cmocka_unit_test(parts_are_told_against_the_planned_stops),
        cmocka_unit_test(the_longest_outlook_has_room),
    };
    zone_set("UTC0");
    return cmocka_run_group_tests(tests, NULL, NULL);
}
