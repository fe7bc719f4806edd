/* What a treatment must have reached before it raises the class, and what the owner's word does. */
#include "model/audit.h"
#include "outlook/judge.h"

#include "support/board_book.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static Logbook *book_with(const char *class)
{
    char words[120];
    zone_set("UTC0");
    Logbook *book = book_open();
    snprintf(words, sizeof words, "vessel B1 --capacity 10 --class %s --level 8", class);
    book_say(book, words);
    return book;
}

static bool judged(Logbook *book, const char *words, Fault *fault)
{
    Event e;
    Fault reading = {0};
    *fault = (Fault){0};
    if (!book_read(book, book_state(book), words, &e, &reading))
        fail_msg("%s: %s", words, reading.text);
    return judge_entry(book_state(book), &e, fault);
}

static void what_suffices_is_accepted(void **unused)
{
    static const char *const words[] = {
        /* the contract's own example: WHO, Guidelines 2nd ed. vol. 2 (1996), 0.5 mg/L after 30 min
         */
        "treat B1 chlorine --residual 1.0 --minutes 60 --temp 10 --ph 7.5",
        "treat B1 chlorine --residual 0.5 --minutes 30 --temp 20 --ph 7.9",
        /* pH 8: not by the WHO, but CT 600 is far above the 182 of US EPA 815-R-20-003 (2020),
         * Table B-1 (10 C, 2 mg/L, pH 8) */
        "treat B1 chlorine --residual 2 --minutes 300 --temp 10 --ph 8",
        "treat B1 chlorine",          /* nothing measured: the owner's word */
        "treat B1 chlorine --dose 2", /* what was put in says nothing of what was left */
        "treat B1 chlorine --temp 10",
        "treat B1 chlorine --residual 0.5 --minutes 30",
        "treat B1 chlorine --residual 1.0 --minutes 60 --temp 10 --ph 7.5 --ntu 4.9",
        "treat B1 boil",
        "treat B1 boil --minutes 1",
        "treat B1 uv",
        "treat B1 uv --ntu 0.8",
        "dump B1",
        "sanitise B1",
    };
    (void)unused;
    Fault fault;
    Logbook *book = book_with("questionable");
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
        if (!judged(book, words[i], &fault))
            fail_msg("%s: %s", words[i], fault.text);
    book_close(book);
}

static void what_falls_short_is_refused_with_the_reason(void **unused)
{
    static const struct {
        const char *words, *why;
    } cases[] = {
        {"treat B1 chlorine --residual 0.2 --minutes 30 --temp 10 --ph 7.5", "0.2 mg/L is below"},
        {"treat B1 chlorine --residual 1.0 --minutes 20 --temp 10 --ph 7.5",
         "20 minutes are fewer"},
        {"treat B1 chlorine --residual 1.0 --minutes 60 --temp 10 --ph 8.5", "at pH 8.5"},
        {"treat B1 chlorine --residual 1.0 --minutes 20 --temp 10 --ph 7.5", "log of Giardia"},
        /* CT 180, below the 182 of that table */
        {"treat B1 chlorine --residual 2 --minutes 90 --temp 10 --ph 8", "log of Giardia"},
        {"treat B1 chlorine --residual 0", "0 mg/L is below"},
        {"treat B1 chlorine --minutes 5", "5 minutes are fewer"},
        {"treat B1 chlorine --ph 9", "can't be reckoned"},
        {"treat B1 chlorine --residual 1.0 --minutes 60 --temp 10 --ph 7.5 --ntu 5", "too cloudy"},
        {"treat B1 chlorine --ntu 40", "5 NTU"},
        {"treat B1 boil --minutes 0.5", "0.5 min against 1 min"},
        {"treat B1 uv --ntu 5", "too cloudy"},
        {"treat B1 filter", "cartridge does not make water safe"},
        {"treat B1 filter --ntu 0.1", "cartridge does not make water safe"},
    };
    (void)unused;
    Logbook *book = book_with("questionable");
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        Fault fault;
        char asserted[160];
        if (judged(book, cases[i].words, &fault))
            fail_msg("%s was taken", cases[i].words);
        assert_int_equal(fault.kind, FAULT_REFUSED);
        if (strstr(fault.text, cases[i].why) == NULL)
            fail_msg("%s: %s", cases[i].words, fault.text);
        assert_non_null(strstr(fault.text, "B1"));
        assert_non_null(strstr(fault.text, "asserted"));
        snprintf(asserted, sizeof asserted, "%s --asserted", cases[i].words);
        assert_true(judged(book, asserted, &fault));
    }
    book_close(book);
}

static void more_of_anything_never_turns_yes_into_no(void **unused)
{
    (void)unused;
    for (double ph = 6; ph <= 9; ph += 0.5)
        for (double t = 0; t <= 30; t += 2.5)
            for (double residual = 0.1; residual <= 5; residual += 0.35) {
                bool before = false;
                for (double minutes = 1; minutes <= 2000; minutes *= 1.6) {
                    const bool now = judge_chlorine_suffices(residual, minutes, t, ph, NAN);
                    assert_true(now || !before); /* longer is never worse */
                    if (now)
                        assert_true(judge_chlorine_suffices(residual, minutes, t + 5, ph, NAN));
                    assert_false(judge_chlorine_suffices(residual, minutes, t, ph, 5));
                    before = now;
                }
            }
    assert_false(judge_chlorine_suffices(NAN, 60, 10, 7.5, NAN));
    assert_false(judge_chlorine_suffices(1, 60, 10, NAN, NAN));
}

static void a_lamp_past_its_hours_treats_nothing(void **unused)
{
    (void)unused;
    Fault fault;
    Logbook *book = book_with("questionable");
    book_say(book, "couple galley B1");
    book_say(book, "stage lamp --type uv --line galley --life-hours 100 --lamp always");
    book_pass(book, 3);
    assert_true(judged(book, "treat B1 uv", &fault));
    book_pass(book, 3); /* 144 h */
    assert_false(judged(book, "treat B1 uv", &fault));
    assert_non_null(strstr(fault.text, "past its hours"));
    book_say(book, "swap lamp");
    assert_true(judged(book, "treat B1 uv", &fault));
    book_close(book);
}

static void the_owners_word_stays_beside_the_vessel(void **unused)
{
    (void)unused;
    Logbook *book = book_with("questionable");
    book_say(book, "treat B1 filter --asserted");
    Board *board = board_of(book, NULL);
    const BoardVessel *v = vessel_of(board, "B1");
    assert_int_equal(v->quality, CLASS_POTABLE);
    assert_true(v->asserted);
    const Alert *alert = alert_of(board, "asserted");
    assert_non_null(alert);
    assert_string_equal(alert->about.s, "B1");
    free(board);
    /* a measured treatment later does not unsay it, nor does more water */
    book_say(book, "treat B1 boil --minutes 3");
    book_say(book, "fill B1 1 --class potable");
    assert_int_equal(book_vessel(book, "B1")->asserted, 1);
    /* nor does running empty: the water has wetted the walls */
    book_say(book, "dump B1");
    assert_int_equal(book_vessel(book, "B1")->asserted, 1);
    book_say(book, "fill B1 5 --class potable");
    assert_int_equal(book_vessel(book, "B1")->asserted, 1);
    assert_null(state_audit(book_state(book)));
    book_close(book);
}

static void only_sanitising_ends_it(void **unused)
{
    (void)unused;
    Logbook *book = book_with("questionable");
    book_say(book, "treat B1 boil --asserted");
    book_say(book, "draw B1 8");
    assert_int_equal(book_vessel(book, "B1")->volume, 0);
    assert_int_equal(book_vessel(book, "B1")->asserted, 1);
    book_say(book, "sanitise B1");
    assert_int_equal(book_vessel(book, "B1")->asserted, 0);
    book_close(book);
    book = book_with("questionable"); /* through a line */
    book_say(book, "couple galley B1");
    book_say(book, "treat B1 boil --asserted");
    book_say(book, "draw galley 8");
    assert_int_equal(book_vessel(book, "B1")->asserted, 1);
    book_close(book);
}

static void non_potable_water_is_not_raised_by_any_word(void **unused)
{
    (void)unused;
    Fault fault;
    Logbook *book = book_with("non-potable");
    assert_non_null(
        strstr(book_refusal(book, "treat B1 filter --asserted", &fault), "non-potable"));
    book_force(book, "treat B1 filter --asserted");
    assert_int_equal(book_vessel(book, "B1")->quality, CLASS_NON_POTABLE);
    assert_int_equal(book_vessel(book, "B1")->asserted, 0);
    book_close(book);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_suffices_is_accepted),
        cmocka_unit_test(what_falls_short_is_refused_with_the_reason),
        cmocka_unit_test(more_of_anything_never_turns_yes_into_no),
        cmocka_unit_test(a_lamp_past_its_hours_treats_nothing),
        cmocka_unit_test(the_owners_word_stays_beside_the_vessel),
        cmocka_unit_test(only_sanitising_ends_it),
        cmocka_unit_test(non_potable_water_is_not_raised_by_any_word),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
