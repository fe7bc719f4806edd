/* What an entry did, in lines. */
#include "outlook/board.h"

#include "support/board_book.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* What is told of the entry that `enter` adds. */
static char *changes_by(Logbook *book, size_t (*enter)(Logbook *book, const void *what),
                        const void *what)
{
    State *was = malloc(sizeof *was);
    assert_non_null(was);
    Str out = {0};
    *was = *book_state(book);
    Board *before = board_of(book, NULL);
    const size_t index = enter(book, what);
    Board *after = board_of(book, NULL);
    str_adds(&out, "");
    board_changes(&book->events[index], (Standing){before, was},
                  (Standing){after, book_state(book)}, UNITS_METRIC, &out);
    free(was);
    free(before);
    free(after);
    return out.s;
}

static size_t said(Logbook *book, const void *words)
{
    return book_say(book, words);
}

static size_t voided(Logbook *book, const void *index)
{
    return book_void(book, *(const size_t *)index);
}

static size_t swapped_by_another(Logbook *book, const void *words)
{
    return book_force_by(book, 2, words);
}

static size_t merged(Logbook *book, const void *words)
{
    return book_force(book, words);
}

static char *changes_after(Logbook *book, const char *words)
{
    return changes_by(book, said, words);
}

static void expect_void(Logbook *book, size_t index, const char *line)
{
    char *changes = changes_by(book, voided, &index);
    if (strstr(changes, line) == NULL)
        fail_msg("expected \"%s\", got:\n%s", line, changes);
    free(changes);
}

static void expect_change(Logbook *book, const char *words, const char *line)
{
    char *changes = changes_after(book, words);
    if (strstr(changes, line) == NULL)
        fail_msg("after '%s' expected \"%s\", got:\n%s", words, line, changes);
    free(changes);
}

static void expect_no_change(Logbook *book, const char *words, const char *line)
{
    char *changes = changes_after(book, words);
    if (strstr(changes, line) != NULL)
        fail_msg("after '%s' did not expect \"%s\", got:\n%s", words, line, changes);
    free(changes);
}

/* After every chlorine treatment of raw water, whatever the water was called before; after nothing
 * else. */
static void cryptosporidium_is_named_after_chlorine_in_raw_water_and_then_alone(void **unused)
{
    (void)unused;
    static const char strong[] = "treat A1 chlorine --residual 2 --minutes 600 --temp 20 --ph 7",
                      plain[] = "treat A1 chlorine --residual 1 --minutes 30 --temp 5 --ph 7.5",
                      alive[] = "chlorine leaves Cryptosporidium alive",
                      giardia[] = "Giardia is not dealt with, nor is Cryptosporidium";
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "source tarn --type lake --class potable");
    book_say(book, "source tap --type mains --class questionable");
    book_say(book, "vessel A1 --capacity 12 --class potable");
    expect_change(book, "fill A1 4 --from tarn", giardia); /* on the owner's word, and raw */
    expect_change(book, plain, giardia);                   /* changes nothing, and is said */
    expect_change(book, strong, alive);
    expect_no_change(book, strong, "Cryptosporidium"); /* no longer raw */
    book_say(book, "fill A1 4 --from tarn --class questionable");
    expect_no_change(book, "treat A1 boil --minutes 3", "Cryptosporidium");
    book_say(book, "fill A1 4 --from tarn --class questionable");
    book_say(book, "dump A1");
    expect_no_change(book, "sanitise A1", "Cryptosporidium");
    book_say(book, "fill A1 4 --from tap");
    expect_no_change(book, plain, "Cryptosporidium");
    book_close(book);
}

static void the_changes_of_an_entry_are_said_in_lines(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    expect_change(book, "vessel A1 --capacity 12 --heel 0.2 --class potable --level 4",
                  "A1 is aboard: 4.0 L of 12.0 L, potable\n");
    expect_change(book, "vessel A2 --capacity 12 --class potable --level 6", "A2 is aboard");
    expect_change(book, "vessel R1 --capacity 10 --duty reserve --class potable --level 9",
                  "reserve: none -> ");
    expect_change(book, "couple galley A1 A2", "from the air side: nothing coupled -> A1 A2\n");
    expect_change(book, "fill A1 full --class questionable", "A1 4.0 L -> 12.0 L\n");
    expect_change(book, "fill R1 full --class potable", "reserve: short -> intact\n");
    expect_change(book, "draw galley 1", "A2 potable, on your word, raw -> questionable, raw\n");
    expect_change(book, "sound A1 9", "booked as use that nobody logged: 2.0 L\n");
    expect_change(book, "sound A1 10", "booked as a gain");
    expect_change(book, "stage s --type sediment --line galley --life-days 90",
                  "s is fitted on galley: ok\n");
    expect_change(book, "spares s 1", "s spares aboard: not counted -> 1\n");
    expect_change(book, "stage s --fitted 2026-05-31T12:00:00Z --through 400",
                  "s is fitted since Sun 31 May 12:00\n");
    book_pass(book, 1);
    expect_no_change(book, "swap s", "is fitted since");
    expect_change(book, "spares s 1", "s spares aboard");
    book_pass(book, 1);
    expect_change(book, "swap s", "s is new since ");
    expect_change(book, "spares s 1", "s spares aboard: 0 -> 1\n");
    book_pass(book, 1);
    expect_change(book, "swap s", "s spares aboard: 1 -> 0, none is left\n");
    expect_change(book, "crew 2", "crew not said -> 2\n");
    book_say(book, "vessel Z1 --capacity 5");
    expect_no_change(book, "vessel Z1 --interval 20", "is due for sanitising");
    const size_t clean = book_say(book, "sanitise Z1");
    char due[80], date[64];
    const Moment day = {book->events[clean].at.ms + 30 * MS_PER_DAY};
    snprintf(due, sizeof due, "Z1 is due for sanitising %s\n",
             moment_print_date(day, book->now, date));
    expect_change(book, "vessel Z1 --interval 30", due);
    expect_change(book, "stop Holm --eta 2026-07-01T12:00:00Z", "stop Holm planned for ");
    expect_no_change(book, "stop Fen --eta 2026-07-02T12:00:00Z", "is past");
    expect_change(book, "stop Fen --eta 2026-05-30T12:00:00Z", "Sat 30 May 12:00 is past: is that");
    expect_change(book, "unstop Holm", "stop Holm is no longer planned\n");
    expect_change(book, "couple galley A2", "A1 A2 -> A2\n");
    expect_change(book, "retire A1", "A1 is no longer aboard\n");
    char *changes = changes_after(book, "note nothing");
    assert_string_equal(changes, ""); /* nothing for what did not change */
    free(changes);
    book_close(book);
}

/* domain 3.7 and 3.8 speak of what the source is; what it was taken for at the fill stays. */
static void fills_that_keep_the_grade_of_another_type_are_told(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --class potable");
    book_say(book, "source fen --type mains --class potable");
    char *told = changes_after(book, "source fen --type well");
    assert_null(strstr(told, "grade")); /* nothing was filled */
    free(told);
    book_say(book, "source fen --type mains");
    book_say(book, "fill A1 5 --from fen");
    assert_int_equal(book_vessel(book, "A1")->marks, 0);
    told = changes_after(book, "source fen --type stream");
    assert_int_equal(book_vessel(book, "A1")->marks, 0);
    assert_non_null(strstr(told, "1 fill from fen keeps its grade and mark; had it been that by "
                                 "then, the same with a time before them puts them right\n"));
    free(told);
    book_say(book, "source tap --type mains --class potable");
    book_say(book, "vessel A2 --capacity 12 --class potable");
    book_pass(book, 1);
    book_say(book, "fill A2 5 --from tap");
    book_pass(book, -0.5); /* before the fill: it is put right */
    told = changes_after(book, "source tap --type stream");
    assert_non_null(strstr(told, "A2 potable -> potable, on your word, raw\n"));
    assert_null(strstr(told, "grade and mark"));
    free(told);
    book_close(book);
}

static void fills_that_keep_the_class_a_source_had_are_named(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "source tap --type mains --class potable");
    book_say(book, "vessel A1 --capacity 12 --class potable");
    book_say(book, "vessel A2 --capacity 12 --class potable");
    expect_no_change(book, "source tap --class questionable", "keep");
    book_say(book, "source tap --class potable");
    book_say(book, "fill A1 4 --from tap");
    expect_change(book, "source tap --class questionable",
                  "caution: tap is not called any more what it was: 1 fill since ");
    expect_change(book, "source tap --class non-potable", "source tap is known: non-potable");
    expect_no_change(book, "source tap --class potable", "keep");
    for (int i = 3; i < 12; i++) { /* a sentence on the board has room for so many names */
        char words[120];
        snprintf(words, sizeof words, "vessel \"%d of those for storage\" --capacity 12", i);
        book_say(book, words);
        snprintf(words, sizeof words, "fill \"%d of those for storage\" 1 --from tap", i);
        book_say(book, words);
    }
    expect_change(book, "source tap --class non-potable",
                  "(A1, 3 of those for storage, 4 of those for storage and 7 more) keep ");
    book_say(book, "source well --type well");
    book_say(book, "fill A1 1 --from well");
    book_say(book, "fill A2 1 --from well");
    expect_change(book, "source well --class potable",
                  "2 fills since "); /* for the better: no caution */
    expect_change(book, "source well --class questionable", "source well is known: questionable");
    expect_change(book, "source well --class potable",
                  "keep questionable, as well was called then; was it potable by then, the same "
                  "with a time before them puts them right\n");
    book_close(book);
}

/* The first source that a log names is a source like any other. */
static void what_was_filled_from_the_first_source_of_a_log_is_named(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "source well --type well");
    book_say(book, "vessel A1 --capacity 12 --class potable");
    book_say(book, "fill A1 1 --from well");
    expect_change(book, "test --source well --ecoli present",
                  "source well: E. coli found; so is from now on what is filled from it\n");
    expect_change(book, "source well --class potable", "1 fill since ");
    expect_no_change(book, "source well --class potable", "source well");
    book_close(book);
}

/* Every time that air is put on: the same pressure again too. */
static void air_on_vessels_without_a_rating_is_a_caution_each_time(void **unused)
{
    (void)unused;
    static const char all[] = "caution: 276 kPa (40 psi) is not compared with a rating: none is "
                              "known of A1, A2.",
                      one[] = "is not compared with a rating: none is known of A2.";
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12");
    book_say(book, "vessel A2 --capacity 12");
    book_say(book, "vessel B1 --capacity 12"); /* on no line: no matter of this */
    book_say(book, "couple galley A1 A2");
    for (int i = 0; i < 2; i++) {
        expect_change(book, "pressurise galley 276", all);
        book_pass(book, 1);
    }
    expect_no_change(book, "pressurise galley 276", "works at"); /* it did before */
    expect_change(book, "pressurise galley 250", "galley works at 2.5 bar (36 psi)\n");
    book_pass(book, 1);
    expect_no_change(book, "fill A1 1", "rating");
    expect_change(book, "vessel A1 --rated 300",
                  "A1 is rated for: not known -> 300 kPa (43.5 psi)\n");
    expect_change(book, "pressurise galley 276", one);
    book_pass(book, 1);
    expect_no_change(book, "pressurise galley 0", "rating"); /* vented */
    book_pass(book, 1);
    expect_change(book, "vessel A2 --rated 276", "A2 is rated for");
    expect_no_change(book, "pressurise galley 276", "rating");
    book_close(book);
}

static void a_plain_can_is_told_when_it_is_named_and_when_it_is_coupled(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    expect_change(book, "vessel A1 --capacity 12 --rated 0", ", rated for no pressure\n");
    expect_change(book, "couple galley A1",
                  "warning: A1 takes no pressure, and is coupled in galley.");
    book_say(book, "vessel A2 --capacity 12");
    expect_change(book, "couple galley A2", "A1 -> A2");
    book_say(book, "pressurise galley 276");
    expect_change(book, "couple galley A1 A2",
                  "warning: A1 is rated for no pressure, and galley "
                  "works at 276 kPa (40 psi).");
    book_close(book);
}

static void a_fill_that_changes_the_verdict_says_so_at_once(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --class potable --level 4");
    book_say(book, "couple galley A1");
    expect_change(book, "fill A1 1 --class questionable",
                  "galley now delivers questionable water: boil first\n");
    expect_change(book, "fill A1 1 --class non-potable",
                  "galley now delivers non-potable water: wash only\n");
    expect_change(book, "dump A1", "galley has no more water to deliver\n");
    book_close(book);
}

/* What a vessel, a line or a stage is told to be: the old value beside the new one. */
/* What an entry did not change is not told: stops that stay, days that were not known before. */
static void what_stays_as_it_was_is_not_told(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --class potable --level 12");
    book_say(book, "couple galley A1");
    expect_change(book, "stop Fen --eta 2026-06-05T08:00:00Z", "stop Fen planned for ");
    expect_no_change(book, "crew 2", "to the reserve"); /* not known before */
    expect_no_change(book, "draw galley 1", "stop Fen");
    expect_change(book, "draw galley 1", "to the reserve");
    expect_change(book, "stop Fen --litres 20", "stop Fen planned for ");
    expect_no_change(book, "stop Fen --litres 20", "stop Fen");
    expect_change(book, "stop Fen --eta 2026-06-06T08:00:00Z", "stop Fen planned for ");
    expect_change(book, "unstop Fen", "stop Fen is no longer planned");
    expect_change(book, "meter galley 100", "galley: its meter counts from 100.0 L on");
    expect_no_change(book, "meter galley 100", "its meter counts");
    expect_change(book, "meter galley 99", "galley: its meter counts from 99.0 L on"); /* anew */
    /* one that is past, and only that, is asked about */
    book_pass(book, 1);
    expect_change(book, "stop Fen --eta 2026-06-02T07:59:59Z", "is past: is that meant?");
    expect_no_change(book, "stop Fen --litres 10", "is past");
    expect_no_change(book, "draw galley 1", "is past");
    expect_no_change(book, "stop Holm --eta 2026-06-02T08:00:00Z", "is past"); /* now */
    book_close(book);
}

/* An alert that stood before is told again only where it names others now. */
static void an_alert_that_stood_is_not_told_again(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    for (int i = 1; i <= 3; i++) {
        char words[60];
        snprintf(words, sizeof words, "vessel C%d --capacity 5 --rated 0", i);
        book_say(book, words);
    }
    book_say(book, "crew 2");
    expect_change(book, "couple galley C1", "warning: C1 takes no pressure, and is coupled");
    expect_no_change(book, "note nothing", "take");
    expect_change(book, "couple galley C1 C2", "warning: C1, C2 take no pressure");
    expect_no_change(book, "crew 3", "no pressure");
    expect_change(book, "couple galley C1 C2 C3", "warning: C1-C3 take no pressure");
    book_close(book);
}

/* Each by itself is told as a change of the water; what is as it was is not. */
static void every_mark_of_the_water_is_a_change(void **unused)
{
    (void)unused;
    for (int which = 0; which < 5; which++) {
        Logbook *book = book_open();
        book_say(book, "vessel A1 --capacity 12 --class potable --level 6 --sanitised 2026-05-01");
        Board *before = board_of(book, NULL), *after = board_of(book, NULL);
        const State *state = book_state(book);
        BoardVessel *v = &after->vessels[0];
        v->quality = which == 1 ? CLASS_QUESTIONABLE : v->quality;
        v->asserted = which == 2 ? !v->asserted : v->asserted;
        v->raw = which == 3 ? !v->raw : v->raw;
        v->marks = which == 4 ? v->marks ^ MARK_COLIFORM : v->marks;
        Str out = {0};
        str_adds(&out, "");
        board_changes(&book->events[0], (Standing){before, state}, (Standing){after, state},
                      UNITS_METRIC, &out);
        if ((strstr(out.s, "A1 ") != NULL) != (which > 0) ||
            (strstr(out.s, " -> ") != NULL) != (which > 0))
            fail_msg("%d: %s", which, out.s);
        assert_null(strstr(out.s, "sanitised"));
        str_finish(&out);
        free(before);
        free(after);
        book_close(book);
    }
}

static void what_is_amended_is_told_from_and_to(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --class potable --level 4");
    book_say(book, "couple galley A1");
    expect_change(book, "vessel A1 --capacity 12.5", "A1 capacity 12.0 L -> 12.5 L\n");
    expect_no_change(book, "vessel A1 --capacity 12.5", "capacity");
    expect_change(book, "vessel A1 --heel 0.3", "A1 heel 0.00 L -> 0.30 L\n");
    expect_no_change(book, "vessel A1 --heel 0.3", "heel");
    expect_change(book, "vessel A1 --duty wash", "A1 duty line -> wash\n");
    expect_no_change(book, "vessel A1 --duty wash", "duty");
    book_say(book, "vessel A1 --duty line");

    expect_change(book, "meter galley 120", "galley: its meter counts from 120.0 L on\n");
    expect_no_change(book, "meter galley 121", "its meter counts");
    expect_change(book, "meter galley 3 --new", "galley: its meter counts from 3.0 L on\n");

    expect_change(book, "stage s --type sediment --line galley --life-days 20",
                  "s is fitted on galley: ok\n");
    expect_change(book, "stage k --type carbon-block --line galley --life-litres 100",
                  "k is fitted on galley: ok\n");
    expect_change(book, "stage u --type uv --line galley",
                  "u is fitted on galley: no life of it is given\n");
    book_pass(book, 1);
    expect_change(book, "swap k", "its litres and hours start again; early: it was not due\n");
    book_pass(book, 20);
    expect_change(book, "putoff s +3d", "s: the swap is put off to ");
    expect_change(book, "swap s", "s: due -> ok\ns: the swap is no longer put off\n");
    expect_no_change(book, "swap s", "s: due");
    expect_change(book, "unstage s", "s is no longer fitted\n");
    expect_no_change(book, "note nothing", "no longer fitted");

    expect_change(book, "source tarn --type lake", "class not said, so its water counts as questi");
    expect_no_change(book, "source tarn --type lake", "source");
    expect_change(book, "source tarn --class non-potable",
                  "source tarn is known: non-potable from now on, unless a fill says another");
    expect_change(book, "test --source tarn --ecoli present",
                  "source tarn: E. coli found; so is from now on what is filled from it\n");
    expect_no_change(book, "test --source tarn --ecoli present", "source tarn: E. coli");
    expect_change(book, "couple galley", "galley, from the air side: A1 -> nothing coupled\n");
    book_close(book);
}

/* A fall to under two thirds, with the pressure unchanged (domain 7), is told once. */
static void a_flow_that_fell_and_water_that_went_stale_are_told(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --class potable --level 4");
    book_say(book, "couple galley A1");
    book_say(book, "flowtest galley 1 --seconds 20");
    book_pass(book, 1);
    expect_no_change(book, "flowtest galley 1 --seconds 29.9", "the flow has fallen");
    expect_change(book, "flowtest galley 1 --seconds 30.1",
                  "galley: the flow has fallen by more than a third");
    expect_no_change(book, "flowtest galley 1 --seconds 31", "the flow has fallen");

    book_say(book, "vessel R1 --capacity 12 --class potable --duty reserve --level 4");
    book_pass(book, 200);
    expect_change(book, "putoff R1 --what water", "R1: changing its water is put off to ");
    book_pass(book, 1);
    book_say(book, "vessel S1 --capacity 12 --class potable --duty store");
    expect_change(book, "decant R1 S1 --litres 3", "S1 holds stale water\n");
    expect_change(book, "dump R1", "R1 no longer holds stale water\n");
    book_close(book);
}

/* How long it lasts, in days rounded down; nothing where the rounded days are the same. */
static void what_is_drawn_shortens_the_days_that_are_left(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_of_days(NULL, 20);
    expect_change(book, "draw galley 10", "days left to the reserve: ");
    expect_change(book, "draw galley 10", "days left in all: ");
    expect_no_change(book, "draw galley 0.001", "days left");
    expect_no_change(book, "note nothing", "days left");
    expect_change(book, "crew 0", " -> not at this rate\n");
    expect_change(book, "crew 2", "not at this rate -> ");
    book_close(book);
}

/* A sounding taken back, or one that stands for less than before, takes back what it booked. */
static void what_was_booked_and_listed_is_told_when_it_is_taken_back(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --class potable --level 10");
    book_say(book, "vessel A2 --capacity 12 --class potable --level 10");
    book_say(book, "couple galley A1");
    book_pass(book, 1);
    const size_t loss = book_say(book, "sound A1 9");
    const size_t gain = book_say(book, "sound A2 10.5");
    const size_t much = book_force(book, "draw galley 40"); /* as it comes in by a merge */
    expect_void(book, loss, "less is booked as use that nobody logged, by 1.0 L\n");
    expect_void(book, gain, "less is booked as a gain, by 0.50 L\n");
    expect_void(book, much, "no longer in the list of discrepancies: ");
    for (int i = 0; i < 2; i++) { /* another of the same kind is another */
        char *changes = changes_by(book, merged, "draw galley 30");
        assert_non_null(strstr(changes, "does not agree with the rest of the log: "));
        assert_null(strstr(changes, "no longer in the list"));
        free(changes);
    }
    book_close(book);
}

/* The same bottle of a spare, swapped on two machines: which entry to take back is told whole. */
static void a_likely_double_is_told_with_what_takes_it_back(void **unused)
{
    (void)unused;
    char line[80], id[40];
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --class potable --level 10");
    book_say(book, "couple galley A1");
    book_say(book, "stage s --type sediment --line galley --life-days 20");
    book_pass(book, 1);
    book_force_by(book, 1, "swap s");
    book_pass(book, 0.01);
    char *changes = changes_by(book, swapped_by_another, "swap s");
    uuid_print(&book->events[book->count - 1].id, id);
    snprintf(line, sizeof line, ": ullage void %s\n", id);
    assert_non_null(strstr(changes, "does not agree with the rest of the log: "));
    assert_non_null(strstr(changes, line));
    free(changes);
    book_close(book);
}

static void expect_backdated(Logbook *book, double days, const char *words, const char *line)
{
    State before = *book_state(book);
    Str out = {0};
    book_pass(book, -days);
    const size_t index = book_say(book, words);
    book_pass(book, days);
    str_adds(&out, "");
    backdated_tell(&book->events[index], &before, book_state(book), book->now, &out);
    if (line == NULL ? out.n > 0 : strstr(out.s, line) == NULL)
        fail_msg("%s: expected \"%s\", got: %s", words, line == NULL ? "" : line, out.s);
    str_finish(&out);
}

/* "Changes nothing today" is said where the vessel was known anew after it, by the latest of what
 * did so; and only where it holds. */
static void a_backdated_entry_that_changes_nothing_says_why(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --class potable --level 10");
    book_say(book, "vessel A2 --capacity 12 --class potable --level 10");
    book_pass(book, 4);
    expect_backdated(book, 2, "fill A1 1 --class potable", NULL); /* it does change it */
    book_say(book, "sound A1 8");
    expect_backdated(book, 1, "fill A1 1 --class potable",
                     "changes nothing in A1 today: it was sounded ");
    expect_backdated(book, 1, "fill A2 1 --class potable", NULL); /* nobody sounded that one */
    expect_backdated(book, 1, "note nothing", NULL);
    expect_backdated(book, 1, "test A1 --ph 7", NULL);            /* moves no water */
    expect_backdated(book, 0, "fill A1 1 --class potable", NULL); /* not backdated */
    book_pass(book, 1);
    book_say(book, "dump A1");
    book_say(book, "sanitise A1");
    book_pass(book, 1);
    expect_backdated(book, 1.5, "fill A1 1 --class potable",
                     "changes nothing in A1 today: it was sanitised ");
    book_say(book, "fill A1 full --class potable");
    book_pass(book, 1);
    expect_backdated(book, 1.5, "fill A1 1 --class potable",
                     "changes nothing in A1 today: its level was known again ");
    expect_backdated(book, 3.5, "fill A1 1 --class potable", /* before all of them: the latest */
                     "changes nothing in A1 today: its level was known again ");
    book_say(book, "sound A1 12");
    book_pass(book, 1);
    expect_backdated(book, 4.5, "fill A1 1 --class potable",
                     "changes nothing in A1 today: it was sounded ");
    /* foul water makes what comes after it foul: that is no "nothing" */
    expect_backdated(book, 1.5, "fill A1 1 --class non-potable", NULL);
    book_close(book);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cryptosporidium_is_named_after_chlorine_in_raw_water_and_then_alone),
        cmocka_unit_test(the_changes_of_an_entry_are_said_in_lines),
        cmocka_unit_test(fills_that_keep_the_grade_of_another_type_are_told),
        cmocka_unit_test(fills_that_keep_the_class_a_source_had_are_named),
        cmocka_unit_test(what_was_filled_from_the_first_source_of_a_log_is_named),
        cmocka_unit_test(air_on_vessels_without_a_rating_is_a_caution_each_time),
        cmocka_unit_test(a_plain_can_is_told_when_it_is_named_and_when_it_is_coupled),
        cmocka_unit_test(a_fill_that_changes_the_verdict_says_so_at_once),
        cmocka_unit_test(every_mark_of_the_water_is_a_change),
        cmocka_unit_test(what_stays_as_it_was_is_not_told),
        cmocka_unit_test(an_alert_that_stood_is_not_told_again),
        cmocka_unit_test(what_is_amended_is_told_from_and_to),
        cmocka_unit_test(a_flow_that_fell_and_water_that_went_stale_are_told),
        cmocka_unit_test(what_is_drawn_shortens_the_days_that_are_left),
        cmocka_unit_test(what_was_booked_and_listed_is_told_when_it_is_taken_back),
        cmocka_unit_test(a_likely_double_is_told_with_what_takes_it_back),
        cmocka_unit_test(a_backdated_entry_that_changes_nothing_says_why),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
