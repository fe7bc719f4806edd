/* ullage reckon: topics, fields, proposals from the log, JSON, refusals and wrong words. */
#include "support/run.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static const char *const topics[] = {"chlorine", "boil", "filter", "shock", "uv",   "heat", "mix",
                                     "freeze",   "air",  "charge", "flow",  "clog", "mass", "need"};
enum { TOPICS = sizeof topics / sizeof topics[0] };

static void set_up(Run *r)
{
    run_begin(r, "UTC0");
    run_expect(r, 0,
               "vessel A1 --capacity 12 --heel 0.2 --tare 3.1 --rated 350 --class potable "
               "--level 4 --at \"2024-05-01 08:00\"");
    run_expect(r, 0,
               "vessel B1 --capacity 10 --class questionable --level 8 "
               "--at \"2024-05-01 08:00\"");
    run_expect(r, 0, "couple galley A1 --at \"2024-05-01 08:10\"");
    run_expect(r, 0, "crew 3 --at \"2024-05-01 08:11\"");
}

static void without_a_topic_it_lists_them_and_needs_no_log(void **unused)
{
    (void)unused;
    Run r;
    run_begin(&r, "UTC0");
    run_expect(&r, 0, "reckon");
    for (int i = 0; i < TOPICS; i++)
        run_said(&r, topics[i]);
    run_expect(&r, 0, "reckon --json");
    run_said(&r, "{\"topic\":\"chlorine\"");
    run_end(&r);
}

static void every_topic_answers_before_there_is_a_log_and_makes_none(void **unused)
{
    (void)unused;
    Run r;
    char words[80];
    run_begin(&r, "UTC0");
    for (int i = 0; i < TOPICS; i++) {
        snprintf(words, sizeof words, "reckon %s", topics[i]);
        run_expect(&r, 0, words);
        run_said(&r, "\nResult\n");
        run_said(&r, "sources");
        run_said(&r, "limits");
        run_said(&r, "cautions");
        snprintf(words, sizeof words, "reckon %s --help", topics[i]);
        run_expect(&r, 0, words);
        run_said(&r, "Example: ullage reckon ");
        snprintf(words, sizeof words, "reckon %s --json", topics[i]);
        run_expect(&r, 0, words);
        run_said(&r, "\"results\":[");
        run_said(&r, "local rules, a laboratory test and licensed advice come first\"]}");
    }
    run_expect(&r, 3, "verify"); /* still no log */
    run_end(&r);
}

static void the_example_of_every_help_works(void **unused)
{
    (void)unused;
    Run r;
    char words[80], example[400];
    run_begin(&r, "UTC0"); /* before there is a log: whoever tries it has none */
    for (int i = 0; i < TOPICS; i++) {
        snprintf(words, sizeof words, "reckon %s --help", topics[i]);
        run_expect(&r, 0, words);
        const char *from = strstr(r.out, "Example: ullage ");
        assert_non_null(from);
        from += strlen("Example: ullage ");
        snprintf(example, sizeof example, "%.*s", (int)strcspn(from, "\n"), from);
        run_expect(&r, 0, example);
    }
    run_expect(&r, 0, "reckon --help");
    snprintf(example, sizeof example, "%.399s", strstr(r.out, "\n  ullage reckon "));
    for (char *at = example; (at = strstr(at, "\n  ullage ")) != NULL; at++) {
        snprintf(words, sizeof words, "%.*s", (int)strcspn(at + 10, "\n"), at + 10);
        run_expect(&r, 0, words);
    }
    run_end(&r);
}

static void values_are_taken_with_their_units(void **unused)
{
    (void)unused;
    Run r;
    run_begin(&r, "UTC0");
    /* US EPA 816-F-15-003, arithmetic: 10 L at 2 mg/L of fresh 5 % bleach are 0.4 mL */
    run_expect(&r, 0, "reckon chlorine --volume 10 --age 0 --target 2 --strength 5");
    run_said(&r, "0.4 mL");
    /* where nobody says how high: the longer time */
    run_expect(&r, 0, "reckon boil");
    run_said(&r, "3 min");
    run_said(&r, "not given");
    run_expect(&r, 0, "reckon boil --altitude 0");
    run_said(&r, "1 min");
    run_expect(&r, 0, "reckon boil --altitude 6000ft");
    run_said(&r, "3 min");
    run_expect(&r, 0, "--units us reckon boil --altitude 6000");
    run_said(&r, "3 min");
    run_said(&r, "6000 ft");
    run_expect(&r, 0, "reckon mass --volume 10 --temp 50 --units us");
    run_said(&r, "10 gal");
    run_said(&r, "lb");
    run_expect(&r, 0, "reckon air --volume 1 --pressure 40psi --json");
    run_said(&r, "\"label\":\"free air\",\"value\":3.72");
    run_said(&r, "\"pressure\":{\"value\":275.790");
    run_expect(&r, 0, "reckon --volume=5 mix --hot 80");
    run_said(&r, "80 C");
    run_end(&r);
}

static void the_log_proposes_and_says_so(void **unused)
{
    (void)unused;
    Run r;
    set_up(&r);
    run_expect(&r, 0, "reckon chlorine");
    run_said(&r, "B1 holds it");
    run_expect(&r, 0, "reckon chlorine --vessel a1");
    run_said(&r, "A1 holds it");
    run_expect(&r, 0, "reckon charge --line galley");
    run_said(&r, "rating of A1");
    run_expect(&r, 0, "reckon need");
    run_said(&r, "crew");
    run_expect(&r, 0, "reckon mass --vessel A1");
    run_said(&r, "7.1 kg");
    run_expect(&r, 0, "reckon chlorine --volume 3");
    run_said(&r, "given");
    run_end(&r);
}

static void what_is_out_of_range_is_refused(void **unused)
{
    (void)unused;
    Run r;
    set_up(&r);
    run_refused(&r, 1, "reckon chlorine --ph 10", "ph is 10, above 9");
    run_refused(&r, 1, "reckon boil --altitude 20km", "altitude is 20000 m, above 9000 m");
    run_refused(&r, 1, "reckon charge --line galley --pressure 500",
                "above the lowest rating, 350 kPa: never above it.");
    run_refused(&r, 1, "reckon heat --watts 10 --to 80", "never reached");
    run_refused(&r, 1, "reckon mass --vessel Z9", "There is no vessel \"Z9\"");
    run_refused(&r, 1, "reckon mass --line z", "There is no line \"z\"");
    run_end(&r);
}

static void wrong_words_are_wrong_usage(void **unused)
{
    (void)unused;
    Run r;
    run_begin(&r, "UTC0");
    run_refused(&r, 2, "reckon chlorin", "Did you mean 'chlorine'?");
    run_refused(&r, 2, "reckon quartz", "'ullage reckon' lists them");
    run_refused(&r, 2, "reckon boil mix", "one word too many");
    run_refused(&r, 2, "reckon boil --altitude high", "--altitude: \"high\"");
    run_refused(&r, 2, "reckon boil --volume 3", "--volume");
    run_refused(&r, 2, "reckon boil --altitude 3 --altitude 4", "given twice");
    run_refused(&r, 2, "reckon chlorine --cloudy rain", "unknown, no, yes");
    run_refused(&r, 2, "reckon boil --altitude", "--altitude");
    run_end(&r);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(without_a_topic_it_lists_them_and_needs_no_log),
        cmocka_unit_test(every_topic_answers_before_there_is_a_log_and_makes_none),
        cmocka_unit_test(the_example_of_every_help_works),
        cmocka_unit_test(values_are_taken_with_their_units),
        cmocka_unit_test(the_log_proposes_and_says_so),
        cmocka_unit_test(what_is_out_of_range_is_refused),
        cmocka_unit_test(wrong_words_are_wrong_usage),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
