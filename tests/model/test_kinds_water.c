/* Stories of the kinds that move water or find out how much is there: fill, draw, sound, decant,
 * dump. */
#include "model/line.h"
#include "model/use.h"
#include "support/logbook.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static double days(double ms)
{
    return (ms - (double)BOOK_BEGIN_MS) / (double)MS_PER_DAY;
}

/* A1 on the line, potable and half full; B1 apart; W1 for washing. */
static Logbook *aboard(void)
{
    Logbook *book = book_open();
    book_say(book, "crew 2");
    book_say(book, "source \"Holm tap\" --type mains --class potable");
    book_say(book, "source \"Fen well\" --type well");
    book_say(book, "vessel A1 --capacity 12 --heel 0.2 --tare 3.1 --duty line --class potable");
    book_say(book, "vessel B1 --capacity 20 --heel 0.5 --duty store --class potable");
    book_say(book, "vessel W1 --capacity 10 --duty wash");
    book_say(book, "fill A1 6 --from \"Holm tap\"");
    return book;
}

/* ---- fill ---- */

static void test_a_fill_adds_its_litres_and_the_worse_class(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_holds(book, "A1", 6000, CLASS_POTABLE);
    book_say(book, "fill A1 2 --class questionable");
    book_holds(book, "A1", 8000, CLASS_QUESTIONABLE);
    book_say(book, "fill A1 1 --class non-potable");
    book_say(book, "fill A1 1 --from \"Holm tap\"");
    book_holds(book, "A1", 10000, CLASS_NON_POTABLE);
    assert_int_equal(book_state(book)->totals.filled, 10000);
    book_close(book);
}

static void test_water_of_unknown_class_is_questionable(void **state)
{
    (void)state;
    static const char *const unknown[] = {
        "fill B1 1",                             /* no source */
        "fill B1 1 --from \"Fen well\"",         /* a source without a class */
        "fill B1 1 --from \"a tap in the dark\"" /* never named */
    };
    for (int i = 0; i < 3; i++) {
        Logbook *book = aboard();
        book_say(book, unknown[i]);
        book_holds(book, "B1", 1000, CLASS_QUESTIONABLE);
        book_close(book);
    }
}

static void test_a_class_given_with_the_fill_goes_before_that_of_the_source(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "fill B1 1 --from \"Holm tap\" --class questionable");
    book_holds(book, "B1", 1000, CLASS_QUESTIONABLE);
    book_close(book);
}

static void test_an_unnamed_vessel_class_is_never_assumed_potable(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "vessel C1 --capacity 5");
    book_say(book, "fill C1 5 --from \"Holm tap\"");
    book_holds(book, "C1", 5000, CLASS_QUESTIONABLE);
    book_close(book);
}

static void test_a_vessel_keeps_its_class_when_it_runs_empty(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "fill B1 5 --class non-potable");
    book_say(book, "dump B1");
    book_holds(book, "B1", 0, CLASS_NON_POTABLE);
    book_say(book, "fill B1 5 --level 5 --from \"Holm tap\""); /* as much as is there after it */
    book_holds(book, "B1", 5000, CLASS_NON_POTABLE);
    book_close(book);
}

static void test_what_does_not_fit_was_drunk_before_and_the_fill_then_fits(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_pass(book, 1);
    book_say(book, "fill A1 8 --from \"Holm tap\""); /* 6 + 8 > 12 */
    book_holds(book, "A1", 12000, CLASS_POTABLE);
    assert_int_equal(book_vessel(book, "A1")->unlogged, 2000);
    assert_int_equal(book_state(book)->totals.unlogged, 2000);
    assert_int_equal(book_state(book)->totals.filled, 14000);
    assert_true(book_vessel(book, "A1")->known_at == book->now.ms);
    assert_int_equal(book_state(book)->discrepancy_count, 0);
    book_close(book);
}

static void test_a_level_after_the_fill_gives_the_litres(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "fill A1 =11.5 --from \"Holm tap\"");
    book_holds(book, "A1", 11500, CLASS_POTABLE);
    assert_int_equal(book_state(book)->totals.filled, 11500);
    book_say(book, "fill A1 full");
    book_holds(book, "A1", 12000, CLASS_QUESTIONABLE);
    book_close(book);
}

static void test_litres_and_a_level_give_the_level_before(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "fill A1 5 --level 10 --from \"Holm tap\""); /* so it held 5, not 6 */
    book_holds(book, "A1", 10000, CLASS_POTABLE);
    assert_int_equal(book_state(book)->totals.unlogged, 1000);
    book_say(book, "fill A1 1.5 --level 12 --from \"Holm tap\""); /* so it held 10.5, not 10 */
    book_holds(book, "A1", 12000, CLASS_POTABLE);
    assert_int_equal(book_state(book)->totals.gained, 500);
    assert_int_equal(book_discrepancies(book, DISCREPANCY_GAIN), 1);
    book_close(book);
}

static void test_a_fill_that_can_not_be_is_refused(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_refuses(book, "fill A1 13", "holds 12 L at most: 13 L can't have gone in");
    book_refuses(book, "fill A1 =13", "past the brim");
    book_refuses(book, "fill A1 5 --level 4", "can't hold 4 L after 5 L went in");
    book_refuses(book, "fill A1 =5", "reckoned to hold 6 L already");
    book_refuses(book, "fill A1", "litres or level is missing");
    book_refuses(book, "fill A7 1", "Did you mean 'A1'?");
    book_refuses(book, "fill A1 0", "too little");
    book_holds(book, "A1", 6000, CLASS_POTABLE);
    book_close(book);
}

static void test_a_fill_that_became_impossible_is_done_as_far_as_it_can_be(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_force(book, "fill A1 15 --from \"Holm tap\"");
    book_holds(book, "A1", 12000, CLASS_POTABLE);
    assert_int_equal(book_discrepancies(book, DISCREPANCY_PAST_BRIM), 1);
    assert_int_equal(book_amount(book, DISCREPANCY_PAST_BRIM), 3000); /* of 12 L */
    book_force(book, "fill A1 8 --level 5 --from \"Holm tap\"");      /* the level is believed */
    book_holds(book, "A1", 5000, CLASS_POTABLE);
    assert_int_equal(book_discrepancies(book, DISCREPANCY_LEVEL_FELL), 1);
    assert_int_equal(book_amount(book, DISCREPANCY_LEVEL_FELL), 3000);
    book_force(book, "fill A1 =3"); /* 5 L were in it */
    assert_int_equal(book_amount(book, DISCREPANCY_LEVEL_FELL), 2000);
    book_force(book, "fill A1 =14.5");
    assert_int_equal(book_amount(book, DISCREPANCY_PAST_BRIM), 2500);
    book_close(book);
}

static void test_a_fill_mixes_ages_by_volume(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_pass(book, 4);
    book_say(book, "fill A1 2 --from \"Holm tap\""); /* 6 L of day 0, 2 L of day 4 */
    assert_true(fabs(days(book_vessel(book, "A1")->mean_fill) - 1) < 1e-9);
    assert_true(book_vessel(book, "A1")->oldest_fill == BOOK_BEGIN_MS);
    book_close(book);
}

/* ---- draw ---- */

static void test_an_uncoupled_vessel_is_drawn_by_its_own_label(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "fill W1 10 --class non-potable");
    book_say(book, "draw W1 4");
    book_holds(book, "W1", 6000, CLASS_NON_POTABLE);
    assert_int_equal(book_state(book)->totals.drawn, 4000);
    assert_int_equal(book_state(book)->use.day_ml, 0); /* washing is no part of the use forecast */
    book_say(book, "draw A1 1 --for drink");
    assert_int_equal(book_state(book)->use.day_ml, 1000);
    book_close(book);
}

static void test_a_draw_beyond_what_is_there_is_refused(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_refuses(book, "draw A1 6", "can give only 5.8 L above its heel, not 6 L");
    book_say(book, "couple galley A1");
    book_refuses(book, "draw galley 5.801", "can give only 5.8 L, not 5.801 L");
    book_refuses(book, "draw A1 1", "coupled in galley: draw from galley at its tap");
    book_refuses(book, "draw galy 1", "There is no vessel");
    book_refuses(book, "draw --line galy --litres 1", "Did you mean 'galley'?");
    book_refuses(book, "draw galley 10%", "measured against a vessel");
    book_say(book, "draw galley 5.8");
    book_holds(book, "A1", 200, CLASS_POTABLE);
    book_close(book);
}

static void test_a_draw_that_became_impossible_takes_what_is_there(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "couple galley A1");
    const size_t fill = book->count - 2;
    book_pass(book, 1);
    book_say(book, "draw galley 5");
    book_void(book, fill);                         /* the 6 L were never filled */
    book_holds(book, "A1", 0, CLASS_QUESTIONABLE); /* then others were, and nobody knows of what */
    assert_int_equal(book_vessel(book, "A1")->marks & MARK_RAW, MARK_RAW);
    const State *s = book_state(book);
    assert_int_equal(s->totals.drawn, 0);
    assert_int_equal(s->discrepancy_count, 1);
    assert_int_equal(s->discrepancies[0].kind, DISCREPANCY_DRAW_BEYOND);
    assert_int_equal(s->discrepancies[0].amount, 5000);
    assert_string_equal(s->discrepancies[0].name.s, "galley");
    assert_int_equal(s->use.day_ml, 5000); /* it was used all the same */
    book_close(book);
}

/* domain 4: stage litres = all that left the line. */
static void test_a_stage_counts_what_was_drawn_though_the_line_was_reckoned_empty(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "couple galley A1");
    book_say(book, "stage sediment --type sediment --line galley");
    book_force(book, "draw galley 9"); /* 5.8 can be had */
    assert_int_equal(book_stage(book, "sediment")->through_ml, 9000);
    assert_int_equal(book_line(book, "galley")->drawn, 9000);
    book_close(book);
}

static void test_an_impossible_draw_of_one_vessel_leaves_its_heel(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_force(book, "draw A1 5.9");
    book_holds(book, "A1", 200, CLASS_POTABLE);
    assert_int_equal(book_state(book)->discrepancies[0].amount, 100);
    book_force(book, "draw A1 1");
    book_holds(book, "A1", 200, CLASS_QUESTIONABLE);
    book_close(book);
}

static void test_a_coupled_vessel_drawn_by_its_label_in_a_merged_log_is_listed(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "couple galley A1");
    book_force(book, "draw --vessel A1 --litres 1");
    book_holds(book, "A1", 5000, CLASS_POTABLE);
    assert_int_equal(book_discrepancies(book, DISCREPANCY_COUPLED), 1);
    assert_int_equal(book_amount(book, DISCREPANCY_COUPLED), 1000);
    book_close(book);
}

/* What a vessel gave while it was coupled left by the tap of its line: through those behind it and
 * the stages; where it was reckoned to have nothing, too. */
static void test_a_coupled_vessel_drawn_by_its_label_gives_through_its_line(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "fill W1 3 --class non-potable");
    book_say(book, "stage sediment --type sediment --line galley");
    book_say(book, "couple galley W1 A1");
    book_force(book, "draw --vessel W1 --litres 2");
    book_holds(book, "W1", 1000, CLASS_NON_POTABLE);
    book_holds(book, "A1", 6000, CLASS_NON_POTABLE);
    assert_int_equal(book_stage(book, "sediment")->through_ml, 2000);
    assert_true(book_line(book, "galley")->fouled_at == book->now.ms);
    book_close(book);

    book = aboard();
    book_say(book, "vessel W2 --capacity 10 --heel 0.5 --class non-potable --level 0.5");
    book_say(book, "couple galley W2 A1");
    book_force(book, "draw --vessel W2 --litres 0.1");
    book_holds(book, "A1", 6000, CLASS_NON_POTABLE);
    assert_true(book_line(book, "galley")->fouled_at == book->now.ms);
    book_close(book);
}

/* ---- sound ---- */

static void test_a_lower_sounding_is_use_that_nobody_logged(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_pass(book, 2);
    book_say(book, "sound A1 5.5");
    const Vessel *v = book_vessel(book, "A1");
    assert_int_equal(v->volume, 5500);
    assert_int_equal(v->unlogged, 500);
    assert_true(v->sounded_at == book->now.ms && v->known_at == book->now.ms);
    assert_int_equal(book_state(book)->use.gap_ml, 500);
    /* since the first naming, two days of 16 waking hours ago, by two persons */
    assert_int_equal(book_state(book)->use.gap_person, 4 * MS_PER_DAY / 24 * 16);
    assert_int_equal(book_state(book)->discrepancy_count, 0);
    book_close(book);
}

static void test_a_higher_sounding_is_a_gain_and_is_listed(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "sound A1 6.5");
    book_holds(book, "A1", 6500, CLASS_POTABLE);
    assert_int_equal(book_state(book)->totals.gained, 500);
    const Discrepancy *d = &book_state(book)->discrepancies[0];
    assert_int_equal(d->kind, DISCREPANCY_GAIN);
    assert_int_equal(d->amount, 500);
    book_close(book);
}

/* domain 5: half a litre or a twentieth of the capacity, whichever is more, is a stick's error;
 * what is beyond came from nobody knows where. */
/* Nobody draws from sealed water, nor anybody with nobody aboard: what is missing beyond a stick's
 * error (half a litre, of 20 L one litre) is said, and is no use. */
static void test_what_is_missing_where_nobody_draws_is_a_leak_and_no_use(void **state)
{
    (void)state;
    static const struct {
        const char *duty;
        int crew, level, leaks;
    } cases[] = {
        {"reserve", 2, 19000, 0}, {"reserve", 2, 18999, 1}, {"store", 2, 19000, 0},
        {"store", 2, 18999, 1},   {"line", 0, 19000, 0},    {"line", 0, 18999, 1},
        {"line", 2, 12000, 0},    {"reserve", 2, 12000, 0}, /* this one is coupled: drawn from */
    };
    const size_t last = sizeof cases / sizeof *cases - 1;
    for (size_t i = 0; i <= last; i++) {
        Logbook *book = book_open();
        char words[120];
        snprintf(words, sizeof words, "crew %d", cases[i].crew);
        book_say(book, words);
        snprintf(words, sizeof words, "vessel V1 --capacity 20 --level 20 --duty %s",
                 cases[i].duty);
        book_say(book, words);
        if (i == last)
            book_say(book, "couple galley V1");
        book_pass(book, 2);
        snprintf(words, sizeof words, "sound V1 %d.%03d", cases[i].level / 1000,
                 cases[i].level % 1000);
        book_say(book, words);
        assert_int_equal(book_discrepancies(book, DISCREPANCY_LEAK), cases[i].leaks);
        Use use = book_state(book)->use;
        use_settle(&use, book->now.ms + 2 * MS_PER_DAY, 0);
        assert_int_equal(use.unlogged.spans, i >= last - 1); /* a vessel in use teaches */
        book_close(book);
    }
}

static void test_a_gain_beyond_a_sticks_error_is_questionable(void **state)
{
    (void)state;
    static const struct {
        int capacity, from, to;
        Quality quality;
    } cases[] = {
        {5000, 2000, 2500, CLASS_POTABLE},   {5000, 2000, 2501, CLASS_QUESTIONABLE},
        {10000, 2000, 2500, CLASS_POTABLE},  {10000, 2000, 2501, CLASS_QUESTIONABLE},
        {20000, 2000, 3000, CLASS_POTABLE},  {20000, 2000, 3001, CLASS_QUESTIONABLE},
        {20000, 0, 100, CLASS_QUESTIONABLE}, {20000, 200, 201, CLASS_QUESTIONABLE},
        {20000, 201, 1201, CLASS_POTABLE}, /* a millilitre above the heel it is not an empty one */
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        Logbook *book = book_open();
        char words[120];
        snprintf(words, sizeof words,
                 "vessel A1 --capacity %d.%03d --heel 0.2 --class potable --level %d.%03d",
                 cases[i].capacity / 1000, cases[i].capacity % 1000, cases[i].from / 1000,
                 cases[i].from % 1000);
        book_say(book, words);
        snprintf(words, sizeof words, "sound A1 %d.%03d", cases[i].to / 1000, cases[i].to % 1000);
        book_say(book, words);
        book_holds(book, "A1", cases[i].to, cases[i].quality);
        book_close(book);
    }
}

/* Each within a stick's error, together from empty to full: what nobody logged adds up, whatever
 * was found missing between, and only what is filled brings an error of its own. */
static void test_gains_add_up_until_the_vessel_is_filled_treated_or_sanitised(void **state)
{
    (void)state;
    static const struct {
        const char *between[3];
        Quality quality;
    } cases[] = {
        {{"sound A1 5.4"}, CLASS_POTABLE}, /* 0.4 and 0.2: a twentieth of 12 L */
        {{"sound A1 5.401"}, CLASS_QUESTIONABLE},
        {{"sound A1 5.4", "sound A1 5", "sound A1 5.201"}, CLASS_QUESTIONABLE},
        {{"sound A1 5.4", "draw A1 4", "sound A1 1.601"}, CLASS_QUESTIONABLE},
        {{"sound A1 5.4", "treat A1 filter --asserted", "sound A1 5.601"}, CLASS_QUESTIONABLE},
        {{"fill A1 2 --class potable", "sound A1 7.5"}, CLASS_POTABLE}, /* 0.4 less 0.1, 0.3 */
        {{"fill A1 2 --class potable", "sound A1 7.501"}, CLASS_QUESTIONABLE},
        {{"fill A1 0.001 --class potable", "sound A1 5.402"}, CLASS_QUESTIONABLE},
        {{"treat A1 boil --minutes 3", "sound A1 5.8"}, CLASS_POTABLE},
        {{"treat A1 boil --minutes 3", "sound A1 5.801"}, CLASS_QUESTIONABLE},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        Logbook *book = book_open();
        book_say(book, "vessel A1 --capacity 12 --heel 0.2 --class potable --level 4.8");
        book_say(book, "sound A1 5.2");
        for (int j = 0; j < 3 && cases[i].between[j] != NULL; j++)
            book_say(book, cases[i].between[j]);
        if (book_vessel(book, "A1")->quality != (uint8_t)cases[i].quality)
            fail_msg("%s: %s", cases[i].between[0],
                     quality_name((Quality)book_vessel(book, "A1")->quality));
        book_close(book);
    }
}

/* What was questionable by gains begins anew with the owner's word, and what was sanitised too. */
/* A good reserve, sounded each week of a season by a stick that errs to both sides, stays what it
 * is. One that rises and rises does not, nor one that is drawn from between the soundings. */
static void test_a_sealed_vessel_is_not_made_worse_by_the_stick(void **state)
{
    (void)state;
    static const double errors[] = {0.2, -0.3, 0.3, -0.1, 0.1, -0.3, 0.25, -0.2};
    enum { ERRORS = sizeof errors / sizeof errors[0] };
    char words[60];
    Logbook *book = aboard();
    book_say(book, "vessel R1 --capacity 12 --duty reserve --class potable --level 11");
    book_say(book, "vessel R2 --capacity 12 --duty store --class potable --level 6");
    for (int week = 0; week < 52; week++) {
        book_pass(book, 7);
        snprintf(words, sizeof words, "sound R1 %.3f", 11 + errors[week % ERRORS]);
        book_say(book, words);
        assert_int_equal(book_vessel(book, "R1")->quality, CLASS_POTABLE);
        snprintf(words, sizeof words, "sound R2 %.3f", 6 + 0.1 * (week + 1));
        book_say(book, words);
        assert_int_equal(book_vessel(book, "R2")->quality,
                         week < 6 ? CLASS_POTABLE : CLASS_QUESTIONABLE); /* 0.6 L, a twentieth */
        if (week == 10)
            book_say(book, "dump R2 1");
        if (week > 10)
            break;
    }
    book_close(book);

    book = aboard();
    int64_t gained = 0;
    for (int week = 0; week < 4 && gained <= 600; week++) { /* A1 leads a line: cups go unlogged */
        book_pass(book, 1);
        book_say(book, "sound A1 6.3");
        book_pass(book, 1);
        book_say(book, "sound A1 6.0");
        gained += 300;
        assert_int_equal(book_vessel(book, "A1")->quality,
                         gained <= 600 ? CLASS_POTABLE : CLASS_QUESTIONABLE);
    }
    assert_true(gained > 600);
    book_close(book);
}

/* More than the stick can err by is no error of it: a leak, and takes back nothing. */
static void test_a_leak_takes_back_no_gain(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "vessel R1 --capacity 12 --duty reserve --class potable --level 8");
    book_pass(book, 1);
    book_say(book, "sound R1 8.5");
    book_say(book, "sound R1 7.899"); /* 0.601 L */
    assert_int_equal(book_vessel(book, "R1")->gained, 500);
    book_say(book, "sound R1 7.4");
    assert_int_equal(book_vessel(book, "R1")->gained, 1);
    book_say(book, "sound R1 7.0");
    assert_int_equal(book_vessel(book, "R1")->gained, 0); /* never under nothing */
    book_say(book, "vessel R2 --capacity 12 --duty reserve --class potable --level 8");
    book_say(book, "sound R2 8.5");
    book_say(book, "sound R2 7.9"); /* 0.6 L, a twentieth: all of it may be the stick's */
    assert_int_equal(book_vessel(book, "R2")->gained, 0);
    book_close(book);
}

static void test_gains_begin_anew_with_water_that_was_raised_and_with_a_clean_vessel(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --heel 0.2 --class potable --level 5");
    book_say(book, "sound A1 5.6");
    book_say(book, "sound A1 5.7");
    book_holds(book, "A1", 5700, CLASS_QUESTIONABLE);
    book_say(book, "treat A1 filter --asserted");
    book_say(book, "sound A1 6.3");
    book_holds(book, "A1", 6300, CLASS_POTABLE);
    book_say(book, "dump A1");
    book_say(book, "sanitise A1");
    book_say(book, "fill A1 1 --class potable");
    book_say(book, "sound A1 1.6");
    book_holds(book, "A1", 1600, CLASS_POTABLE);
    book_close(book);
}

/* An ordinary month, sounded each week by a stick that shows a tenth of a litre too much and too
 * little in turn, is none the worse for it: a reserve that stands, and a vessel in use. */
static void test_a_month_of_weekly_soundings_stays_potable(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel R1 --capacity 10 --heel 0.2 --duty reserve --class potable --level 9.8");
    book_say(book, "vessel A1 --capacity 12 --heel 0.2 --class potable --level 12");
    for (int day = 1; day <= 31; day++) {
        book_pass(book, 1);
        book_say(book, "draw A1 3");
        if (day % 3 == 0)
            book_say(book, "fill A1 full --class potable");
        if (day % 7 == 0) {
            book_say(book, day % 2 == 0 ? "sound R1 9.9" : "sound R1 9.7");
            char words[40];
            const int64_t level = book_vessel(book, "A1")->volume + (day % 2 == 0 ? 100 : -100);
            snprintf(words, sizeof words, "sound A1 %d.%03d", (int)level / 1000, (int)level % 1000);
            book_say(book, words);
        }
    }
    assert_int_equal(book_vessel(book, "R1")->quality, CLASS_POTABLE);
    assert_int_equal(book_vessel(book, "A1")->quality, CLASS_POTABLE);
    book_close(book);
}

/* What a sounding finds missing left by the tap: through the vessels behind it and the stages. */
static void test_a_loss_from_a_coupled_vessel_is_a_draw_that_nobody_logged(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel W1 --capacity 12 --heel 0.2 --duty wash --class non-potable --level 12");
    book_say(book, "vessel A1 --capacity 12 --heel 0.2 --class potable --level 12");
    book_say(book, "vessel A2 --capacity 12 --heel 0.2 --class potable --level 12");
    book_say(book,
             "stage lamp --type uv --line galley --life-litres 100 --rated-lpm 2 --lamp with-flow");
    book_say(book, "couple galley W1 A1 A2");
    book_say(book, "sound W1 3");
    book_holds(book, "W1", 3000, CLASS_NON_POTABLE);
    book_holds(book, "A1", 12000, CLASS_NON_POTABLE);
    book_holds(book, "A2", 12000, CLASS_NON_POTABLE);
    assert_int_equal(book_stage(book, "lamp")->through_ml, 9000);
    assert_true(stage_lamp_ms(book_stage(book, "lamp"), book->now.ms) ==
                INT64_C(270000)); /* 4.5 min */
    book_say(book, "couple galley A1 A2");
    Quality quality;
    assert_true(line_delivers(book_state(book), book_line(book, "galley"), &quality));
    assert_int_equal(quality, CLASS_NON_POTABLE);
    book_close(book);
}

/* 33 fills of 11 L without a logged draw: all but the last went through the cartridge, and what is
 * in the vessel is as fresh as the last fill. */
static void test_fills_that_did_not_fit_went_through_the_cartridge(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --class potable");
    book_say(book, "vessel A2 --capacity 12 --class potable --level 12");
    book_say(book, "couple galley A1 A2");
    book_say(book, "stage sediment --type sediment --line galley --life-litres 100");
    for (int i = 0; i < 33; i++) {
        book_pass(book, 1);
        book_say(book, "fill A1 11 --class potable");
    }
    /* the first 11 L fitted; of each of the others 10 or 11 pushed as much out before them */
    assert_int_equal(book_stage(book, "sediment")->through_ml, 32 * 11000 - 1000);
    assert_true((double)book->now.ms - book_vessel(book, "A2")->mean_fill < 4 * 86400e3);
    book_close(book);
}

/* A capacity that was wrong moved no water. */
static void test_an_amended_capacity_passes_nothing(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel W1 --capacity 12 --class non-potable --level 12");
    book_say(book, "vessel A1 --capacity 12 --class potable --level 5");
    book_say(book, "couple galley W1 A1");
    book_say(book, "stage sediment --type sediment --line galley");
    book_force(book, "vessel W1 --capacity 10");
    book_holds(book, "W1", 10000, CLASS_NON_POTABLE);
    book_holds(book, "A1", 5000, CLASS_POTABLE);
    assert_int_equal(book_stage(book, "sediment")->through_ml, 0);
    book_close(book);
}

/* Four vessels filled to the brim one after the other, in each of the 24 orders: from the last one
 * on the line is known. */
static void test_a_line_filled_to_the_brim_is_known_whichever_was_filled_last(void **state)
{
    (void)state;
    for (int order = 0; order < 24; order++) {
        Logbook *book = book_open();
        int left[4] = {1, 2, 3, 4}, code = order;
        for (int i = 1; i <= 4; i++) {
            char words[60];
            snprintf(words, sizeof words, "vessel A%d --capacity 12 --heel 0.2 --level %d", i,
                     i == 1 ? 0 : 4);
            book_say(book, words);
        }
        book_say(book, "couple galley A1 A2 A3 A4");
        book_pass(book, 3);
        for (int n = 4; n > 0; n--) {
            char words[40];
            const int pick = code % n;
            code /= n;
            snprintf(words, sizeof words, "fill A%d full", left[pick]);
            left[pick] = left[n - 1];
            book_pass(book, 0.01);
            book_say(book, words);
            const int64_t known = book_line(book, "galley")->known_at;
            if (n == 1)
                assert_true(known == book_state(book)->last_at);
        }
        book_close(book);
    }
}

/* The tap-side vessel at the brim says nothing about those that the water comes from. */
static void test_one_vessel_at_the_brim_does_not_make_its_line_known(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --heel 0.2 --level 8");
    book_say(book, "vessel A2 --capacity 12 --heel 0.2 --level 4");
    book_say(book, "couple galley A1 A2");
    const int64_t known = book_line(book, "galley")->known_at;
    book_pass(book, 3);
    book_say(book, "fill A2 full");
    assert_int_equal(book_vessel(book, "A2")->volume, 12000);
    assert_true(book_line(book, "galley")->known_at == known);
    book_close(book);
}

static void test_water_found_in_an_empty_vessel_is_questionable(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "sound B1 3");
    book_holds(book, "B1", 3000, CLASS_QUESTIONABLE);
    book_close(book);
}

static void test_a_scale_and_a_percentage_give_a_level(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "sound A1 9.1kg"); /* 3.1 kg tare */
    book_holds(book, "A1", 6000, CLASS_POTABLE);
    book_say(book, "sound A1 40%");
    book_holds(book, "A1", 4800, CLASS_POTABLE);
    book_refuses(book, "sound A1 12.1", "past the brim");
    book_refuses(book, "sound B1 9.1kg", "empty mass is not known");
    book_force(book, "sound A1 13");
    book_holds(book, "A1", 12000, CLASS_QUESTIONABLE);
    assert_int_equal(book_discrepancies(book, DISCREPANCY_PAST_BRIM), 1);
    assert_int_equal(book_amount(book, DISCREPANCY_PAST_BRIM), 1000);
    book_close(book);
}

static void test_a_long_silence_that_a_sounding_shows_lived_through_teaches_the_use(void **state)
{
    (void)state;
    /* use.h: more than seven days without an entry are an absence, except where at least a quarter
     * of the use to be expected is missing after them. Twelve days, two persons, prior rate 4 L per
     * person-day: 96 L expected. */
    Logbook *lived = aboard(), *away = aboard();
    Logbook *const both[] = {lived, away};
    for (int i = 0; i < 2; i++) {
        book_say(both[i], "vessel C1 --capacity 200 --duty line --level 200");
        book_pass(both[i], 12);
    }
    book_say(lived, "sound C1 140");
    book_say(away, "sound C1 199");
    Use seen = book_state(lived)->use, silent = book_state(away)->use;
    use_settle(&seen, lived->now.ms + 2 * MS_PER_DAY, 0);
    use_settle(&silent, away->now.ms + 2 * MS_PER_DAY, 0);
    /* 60 L over 24 person-days: 2.5 L per person-day */
    assert_true(fabs(pace_mean(&seen.unlogged) - 2500) < 60);
    /* the silent days count as no time: what is known is the two broken days at their ends */
    assert_true(silent.unlogged.slow.weight < 1.5);
    assert_true(seen.unlogged.slow.weight > 10);
    book_close(lived);
    book_close(away);
}

/* ---- decant ---- */

static void test_decanting_takes_the_class_and_the_age_along(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_pass(book, 3);
    book_say(book, "fill B1 8 --class questionable");
    book_pass(book, 5);
    book_say(book, "decant B1 A1 2");
    book_holds(book, "B1", 6000, CLASS_QUESTIONABLE);
    book_holds(book, "A1", 8000, CLASS_QUESTIONABLE);
    assert_true(fabs(days(book_vessel(book, "A1")->mean_fill) - 3 * 2.0 / 8) < 1e-9);
    assert_int_equal(book_state(book)->totals.drawn, 0); /* not use */
    book_close(book);
}

static void test_treated_on_the_way_questionable_water_arrives_as_potable(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "fill B1 8 --class questionable");
    book_say(book, "decant B1 A1 5 --treated");
    book_holds(book, "A1", 11000, CLASS_POTABLE);
    book_holds(book, "B1", 3000, CLASS_QUESTIONABLE);
    book_say(book, "decant B1 W1 1 --treated"); /* the walls of W1 are questionable */
    book_holds(book, "W1", 1000, CLASS_QUESTIONABLE);
    book_close(book);
}

static void test_non_potable_water_stays_so_through_treatment(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "fill B1 8 --class non-potable");
    book_refuses(book, "decant B1 A1 1 --treated", "no treatment here makes it fit to drink");
    book_force(book, "decant B1 A1 1 --treated");
    book_holds(book, "A1", 7000, CLASS_NON_POTABLE);
    assert_int_equal(book_discrepancies(book, DISCREPANCY_NOT_RAISED), 1);
    assert_int_equal(book_amount(book, DISCREPANCY_NOT_RAISED), 1000);
    book_refuses(book, "treat B1 chlorine", "treatment never raises it");
    book_force(book, "treat B1 boil");
    book_holds(book, "B1", 7000, CLASS_NON_POTABLE);
    assert_int_equal(book_discrepancies(book, DISCREPANCY_NOT_RAISED), 2);
    assert_int_equal(book_amount(book, DISCREPANCY_NOT_RAISED), 7000);
    book_close(book);
}

static void test_a_decant_that_can_not_be_is_refused_or_done_in_part(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_refuses(book, "decant A1 B1 7", "holds only 6 L, not 7 L");
    book_refuses(book, "decant A1 A1 1", "can't be decanted into itself");
    book_say(book, "fill W1 9");
    book_refuses(book, "decant A1 W1 2", "has room for 1 L only");
    book_refuses(book, "decant A1 Q 2", "There is no vessel");
    book_force(book, "decant A1 W1 8"); /* 2 L were not there, 5 L did not fit */
    book_holds(book, "W1", 10000, CLASS_QUESTIONABLE);
    book_holds(book, "A1", 5000, CLASS_QUESTIONABLE);
    assert_int_equal(book_discrepancies(book, DISCREPANCY_DRAW_BEYOND), 1);
    assert_int_equal(book_amount(book, DISCREPANCY_DRAW_BEYOND), 2000);
    assert_int_equal(book_discrepancies(book, DISCREPANCY_PAST_BRIM), 1);
    assert_int_equal(book_amount(book, DISCREPANCY_PAST_BRIM), 5000);
    book_force(book, "decant A1 A1 1");
    assert_int_equal(book_discrepancies(book, DISCREPANCY_SAME_VESSEL), 1);
    assert_int_equal(book_amount(book, DISCREPANCY_SAME_VESSEL), 1000);
    book_close(book);
}

/* ---- dump ---- */

static void test_dumping_is_no_use_and_takes_the_heel_too(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_pass(book, 1);
    book_say(book, "dump A1 2");
    book_holds(book, "A1", 4000, CLASS_POTABLE);
    assert_false(book_vessel(book, "A1")->known_at == book->now.ms);
    book_say(book, "dump A1");
    const Vessel *v = book_vessel(book, "A1");
    assert_int_equal(v->volume, 0);
    assert_true(v->known_at == book->now.ms); /* empty is certain */
    assert_int_equal(book_state(book)->totals.dumped, 6000);
    assert_int_equal(book_state(book)->totals.drawn, 0);
    assert_int_equal(book_state(book)->use.day_ml, 0);
    book_refuses(book, "dump A1 1", "holds only 0 L");
    book_force(book, "dump A1 1");
    assert_int_equal(book_discrepancies(book, DISCREPANCY_DRAW_BEYOND), 1);
    assert_int_equal(book_amount(book, DISCREPANCY_DRAW_BEYOND), 1000);
    book_say(book, "fill A1 3 --from \"Holm tap\"");
    book_force(book, "dump A1 5");
    assert_int_equal(book_amount(book, DISCREPANCY_DRAW_BEYOND), 2000);
    book_close(book);
}

static void
test_an_entry_for_a_vessel_that_is_not_there_is_listed_and_changes_no_water(void **state)
{
    (void)state;
    static const char *const entries[] = {
        "fill A1 1", "draw A1 1", "sound A1 1", "dump A1", "sanitise A1", "treat A1 boil",
    };
    for (size_t i = 0; i < sizeof entries / sizeof entries[0]; i++) {
        Logbook *book = aboard();
        book_pass(book, 1);
        book_force(book, entries[i]);
        book_pass(book, -0.5);
        book_say(book, "retire A1"); /* back-dated: it had gone before */
        assert_int_equal(book_discrepancies(book, DISCREPANCY_NO_SUCH), 1);
        assert_string_equal(book_state(book)->discrepancies[0].name.s, "A1");
        book_holds(book, "B1", 0, CLASS_POTABLE);
        book_close(book);
    }
}

/* domain 5: what nobody logged is at least questionable. Out of a vessel of which nothing was said,
 * anything may come. */
static void test_what_a_vessel_that_nobody_named_gave_is_unknown_water(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "fill B1 3 --from \"Holm tap\"");
    book_pass(book, 1);
    book_force(book, "decant A1 B1 1");
    book_holds(book, "B1", 4000, CLASS_POTABLE);
    book_pass(book, -0.5);
    book_say(book, "retire A1"); /* back-dated: it had gone before */
    assert_int_equal(book_discrepancies(book, DISCREPANCY_NO_SUCH), 1);
    book_holds(book, "B1", 3000, CLASS_QUESTIONABLE);
    assert_int_equal(book_vessel(book, "B1")->marks & MARK_RAW, MARK_RAW);
    book_close(book);
}

/* ---- more went out than was there ---- */

/* What must have been in a vessel that gave more than it held: within a stick's error (domain 5:
 * half a litre or a twentieth of the capacity) the same, beyond it nobody knows what. */
static void assert_lacks(const char *entry, const char *vessel, Quality quality)
{
    Logbook *book = aboard();
    book_say(book, "fill B1 3 --from \"Holm tap\"");
    book_say(book, "couple galley A1"); /* of 6 L, and a heel of 0.2 */
    book_force(book, entry);
    assert_int_equal(book_discrepancies(book, DISCREPANCY_DRAW_BEYOND), 1);
    const Vessel *v = book_vessel(book, vessel);
    if (v->quality != quality || ((v->marks & MARK_RAW) != 0) != (quality != CLASS_POTABLE))
        fail_msg("%s: %s is %s", entry, vessel, quality_name((Quality)v->quality));
    assert_int_equal(v->volume + book_state(book)->totals.drawn + book_state(book)->totals.dumped,
                     strcmp(vessel, "A1") == 0 ? 6000 : 3000);
    book_close(book);
}

static void test_what_went_out_beyond_what_was_there_was_unknown_water(void **state)
{
    (void)state;
    assert_lacks("draw galley 6.4", "A1", CLASS_POTABLE); /* a twentieth of 12 L, beyond the heel */
    assert_lacks("draw galley 6.401", "A1", CLASS_QUESTIONABLE);
    assert_lacks("draw B1 4", "B1", CLASS_POTABLE); /* a twentieth of 20 L, the heel poured too */
    assert_lacks("draw B1 4.001", "B1", CLASS_QUESTIONABLE);
    assert_lacks("dump B1 4", "B1", CLASS_POTABLE);
    assert_lacks("dump B1 4.001", "B1", CLASS_QUESTIONABLE);
}

static void test_what_was_lacking_adds_up_and_ends_with_the_sanitising(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "couple galley A1");
    book_say(book, "draw galley 5.8");
    book_force(book, "draw galley 0.3");
    book_force(book, "draw galley 0.3");
    book_holds(book, "A1", 200, CLASS_POTABLE);
    book_force(book, "draw galley 0.001");
    book_holds(book, "A1", 200, CLASS_QUESTIONABLE);
    book_say(book, "sanitise A1");
    book_force(book, "draw galley 0.6");
    book_holds(book, "A1", 0, CLASS_POTABLE);
    book_close(book);
}

/* It may have been put into any vessel of the line, and took the class of that one's walls along. */
static void test_what_a_line_lacked_may_have_wetted_all_of_it(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "fill B1 3 --from \"Holm tap\"");
    book_say(book, "couple galley B1 A1");
    book_force(book, "draw galley 9.5"); /* 2.5 and 5.8 were there */
    book_holds(book, "B1", 500, CLASS_QUESTIONABLE);
    book_holds(book, "A1", 200, CLASS_QUESTIONABLE);
    book_close(book);

    book = aboard();
    book_say(book, "vessel W2 --capacity 10 --heel 0.5 --class non-potable --level 0.5");
    book_say(book, "couple galley W2 A1");
    book_say(book, "draw galley 5.8");
    book_holds(book, "A1", 200, CLASS_POTABLE); /* W2 is spent, and stands before the lead */
    book_force(book, "draw galley 3");
    book_holds(book, "A1", 200, CLASS_NON_POTABLE);
    assert_true(book_line(book, "galley")->fouled_at == book->now.ms);
    book_close(book);
}

/* The fill that was missing is logged at its time: nothing was lacking, and all is as it was. */
static void test_the_fill_that_was_missing_puts_it_right(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "couple galley A1");
    book_pass(book, 1);
    book_force(book, "draw galley 9");
    book_holds(book, "A1", 200, CLASS_QUESTIONABLE);
    book_pass(book, -0.5);
    book_say(book, "fill A1 5 --from \"Holm tap\"");
    book_holds(book, "A1", 2000, CLASS_POTABLE);
    assert_int_equal(book_state(book)->discrepancy_count, 0);
    book_close(book);
}

/* Nothing fits into a full vessel, or nothing is left to pour: it was poured all the same. */
static void test_a_decant_of_nothing_takes_its_class_along(void **state)
{
    (void)state;
    Logbook *book = aboard();
    book_say(book, "fill B1 full --from \"Holm tap\"");
    book_say(book, "fill W1 3 --class non-potable");
    book_force(book, "decant W1 B1 2");
    book_holds(book, "B1", 20000, CLASS_NON_POTABLE);
    book_holds(book, "W1", 3000, CLASS_NON_POTABLE);
    book_close(book);

    book = aboard();
    book_say(book, "dump W1");
    book_force(book, "decant W1 A1 0.1");
    book_holds(book, "A1", 6000, CLASS_QUESTIONABLE);
    book_close(book);
}

/* Days on which nobody but a filler was heard of: silent ones, or not. */
static double silent_days(const char *fill)
{
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --class potable --level 2");
    book_say(book, "vessel A2 --capacity 12 --class potable --level full");
    book_say(book, "couple galley A1 A2");
    book_say(book, "crew 1");
    book_say(book, "draw galley 1");
    book_pass(book, 1);
    book_say(book, fill);
    book_pass(book, 2);
    book_say(book, "draw galley 1");
    const UseSilence silence =
        use_silence(&book_state(book)->use, BOOK_BEGIN_MS - MS_PER_DAY, book->now.ms, 0);
    book_close(book);
    return silence.open + silence.closed;
}

/* Who fills tells that somebody was there and logged; who fills up what was reckoned full, that it
 * was not so, and that cups went unlogged: no witness of a day that was logged (domain 6). */
static void test_a_fill_is_a_witness_unless_it_found_nothing_to_fill(void **state)
{
    (void)state;
    assert_true(silent_days("note nothing") >= 2);
    assert_true(silent_days("fill A1 2 --class potable") <= 1);
    assert_true(silent_days("fill A1 --level 8 --class potable") <= 1);
    assert_true(silent_days("fill A2 full --class potable") >= 2);
}

/* A level said of the vessel that water is drawn from is a level of the line; one further down says
 * nothing of what was drawn, unless nothing was left to draw. */
static void test_a_level_of_the_lead_is_one_of_the_line(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --class potable --level 5");
    book_say(book, "vessel A2 --capacity 12 --class potable --level 5");
    book_say(book, "couple galley A1 A2");
    book_pass(book, 1);
    book_say(book, "fill A2 --level 6 --class potable");
    assert_true(book_line(book, "galley")->known_at < book->now.ms);
    book_say(book, "fill A1 --level 6 --class potable");
    assert_true(book_line(book, "galley")->known_at == book->now.ms);
    book_say(book, "draw galley 12");
    book_pass(book, 1);
    book_say(book, "fill A2 --level 6 --class potable");
    assert_true(book_line(book, "galley")->known_at == book->now.ms);
    book_close(book);
}

/* use.h: a sounding that finds nothing missing says something about use where a draw would have come
 * from, and only there; one that finds water missing does wherever use may have gone through. Wash
 * water and what stands sealed say nothing of the use at all. */
static void test_which_soundings_tell_of_the_use(void **state)
{
    (void)state;
    static const struct {
        const char *sound;
        bool tells;
    } cases[] = {{"sound A1 12", true},   {"sound A1 11.8", true}, {"sound A2 12", false},
                 {"sound A2 11.8", true}, {"sound B1 10", true},   {"sound B1 9.8", true},
                 {"sound W1 10", false},  {"sound W1 9.8", false}, {"sound R1 10", false},
                 {"sound R1 9.8", false}, {"sound S1 10", false},  {"sound S1 9.8", false},
                 {"sound W2 10", false},  {"sound W2 9.8", false}, {"sound R2 10", false},
                 {"sound R2 9.8", true}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        Logbook *book = book_of_three();
        book_say(book, "crew 2");
        book_say(book, "vessel B1 --capacity 10 --duty line --class potable --level full");
        book_say(book, "vessel W1 --capacity 10 --duty wash --class potable --level full");
        book_say(book, "vessel R1 --capacity 10 --duty reserve --class potable --level full");
        book_say(book, "vessel S1 --capacity 10 --duty store --class potable --level full");
        book_say(book, "vessel W2 --capacity 10 --duty wash --class potable --level full");
        book_say(book, "vessel R2 --capacity 10 --duty reserve --class potable --level full");
        book_say(book, "couple galley A1 A2 A3 R2");
        book_say(book, "couple shower W2");
        book_pass(book, 1);
        book_say(book, cases[i].sound);
        const bool tells = book_state(book)->use.known_to == book->now.ms;
        if (tells != cases[i].tells)
            fail_msg("%s", cases[i].sound);
        book_close(book);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_a_fill_adds_its_litres_and_the_worse_class),
        cmocka_unit_test(test_water_of_unknown_class_is_questionable),
        cmocka_unit_test(test_a_class_given_with_the_fill_goes_before_that_of_the_source),
        cmocka_unit_test(test_an_unnamed_vessel_class_is_never_assumed_potable),
        cmocka_unit_test(test_a_vessel_keeps_its_class_when_it_runs_empty),
        cmocka_unit_test(test_what_does_not_fit_was_drunk_before_and_the_fill_then_fits),
        cmocka_unit_test(test_a_level_after_the_fill_gives_the_litres),
        cmocka_unit_test(test_litres_and_a_level_give_the_level_before),
        cmocka_unit_test(test_a_fill_that_can_not_be_is_refused),
        cmocka_unit_test(test_a_fill_that_became_impossible_is_done_as_far_as_it_can_be),
        cmocka_unit_test(test_a_fill_mixes_ages_by_volume),
        cmocka_unit_test(test_an_uncoupled_vessel_is_drawn_by_its_own_label),
        cmocka_unit_test(test_a_draw_beyond_what_is_there_is_refused),
        cmocka_unit_test(test_a_draw_that_became_impossible_takes_what_is_there),
        cmocka_unit_test(test_a_stage_counts_what_was_drawn_though_the_line_was_reckoned_empty),
        cmocka_unit_test(test_an_impossible_draw_of_one_vessel_leaves_its_heel),
        cmocka_unit_test(test_a_coupled_vessel_drawn_by_its_label_in_a_merged_log_is_listed),
        cmocka_unit_test(test_a_coupled_vessel_drawn_by_its_label_gives_through_its_line),
        cmocka_unit_test(test_a_lower_sounding_is_use_that_nobody_logged),
        cmocka_unit_test(test_a_higher_sounding_is_a_gain_and_is_listed),
        cmocka_unit_test(test_what_is_missing_where_nobody_draws_is_a_leak_and_no_use),
        cmocka_unit_test(test_a_gain_beyond_a_sticks_error_is_questionable),
        cmocka_unit_test(test_gains_add_up_until_the_vessel_is_filled_treated_or_sanitised),
        cmocka_unit_test(test_a_sealed_vessel_is_not_made_worse_by_the_stick),
        cmocka_unit_test(test_a_leak_takes_back_no_gain),
        cmocka_unit_test(test_gains_begin_anew_with_water_that_was_raised_and_with_a_clean_vessel),
        cmocka_unit_test(test_a_month_of_weekly_soundings_stays_potable),
        cmocka_unit_test(test_a_loss_from_a_coupled_vessel_is_a_draw_that_nobody_logged),
        cmocka_unit_test(test_fills_that_did_not_fit_went_through_the_cartridge),
        cmocka_unit_test(test_an_amended_capacity_passes_nothing),
        cmocka_unit_test(test_a_line_filled_to_the_brim_is_known_whichever_was_filled_last),
        cmocka_unit_test(test_one_vessel_at_the_brim_does_not_make_its_line_known),
        cmocka_unit_test(test_water_found_in_an_empty_vessel_is_questionable),
        cmocka_unit_test(test_a_scale_and_a_percentage_give_a_level),
        cmocka_unit_test(test_a_long_silence_that_a_sounding_shows_lived_through_teaches_the_use),
        cmocka_unit_test(test_decanting_takes_the_class_and_the_age_along),
        cmocka_unit_test(test_treated_on_the_way_questionable_water_arrives_as_potable),
        cmocka_unit_test(test_non_potable_water_stays_so_through_treatment),
        cmocka_unit_test(test_a_decant_that_can_not_be_is_refused_or_done_in_part),
        cmocka_unit_test(test_dumping_is_no_use_and_takes_the_heel_too),
        cmocka_unit_test(test_a_fill_is_a_witness_unless_it_found_nothing_to_fill),
        cmocka_unit_test(test_which_soundings_tell_of_the_use),
        cmocka_unit_test(test_a_level_of_the_lead_is_one_of_the_line),
        cmocka_unit_test(
            test_an_entry_for_a_vessel_that_is_not_there_is_listed_and_changes_no_water),
        cmocka_unit_test(test_what_a_vessel_that_nobody_named_gave_is_unknown_water),
        cmocka_unit_test(test_what_went_out_beyond_what_was_there_was_unknown_water),
        cmocka_unit_test(test_what_was_lacking_adds_up_and_ends_with_the_sanitising),
        cmocka_unit_test(test_what_a_line_lacked_may_have_wetted_all_of_it),
        cmocka_unit_test(test_the_fill_that_was_missing_puts_it_right),
        cmocka_unit_test(test_a_decant_of_nothing_takes_its_class_along),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
