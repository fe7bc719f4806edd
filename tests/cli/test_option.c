/* Options in the style of POSIX and GNU. */
#include "cli/option.h"

#include <setjmp.h>
#include <stdarg.h>
#include <string.h>

#include <cmocka.h>

enum { LOG = 1, LITRES, LEVEL, TREATED, DRY };
static Option options[] = {
    {"log", 'l', TAKES_VALUE, "FILE", "", LOG},
    {"litres", 0, TAKES_VALUE, "AMOUNT", "", LITRES},
    {"level", 0, TAKES_VALUE, "AMOUNT", "", LEVEL},
    {"treated", 0, TAKES_WHEN_JOINED, NULL, "", TREATED},
    {"dry-run", 'n', TAKES_NOTHING, NULL, "", DRY},
};
enum { COUNT = sizeof options / sizeof options[0] };

static bool read_words(Arguments *a, bool first_word, Fault *fault, const char *const *words)
{
    char *argv[16];
    int n = 0;
    for (; words[n] != NULL; n++)
        argv[n] = (char *)(size_t)words[n];
    memset(a, 0, sizeof *a);
    return arguments_read(a, (OptionList){options, COUNT}, n, argv, first_word, fault);
}
#define READ(a, fault, ...) read_words(a, false, fault, (const char *const[]){__VA_ARGS__, NULL})

static void values_come_joined_or_apart_and_words_anywhere(void **unused)
{
    (void)unused;
    Arguments a;
    Fault fault = {0};
    assert_true(READ(&a, &fault, "A1", "--litres=8", "--log", "x.db", "B1", "-n"));
    assert_int_equal(a.word_count, 2);
    assert_string_equal(a.words[0], "A1");
    assert_string_equal(a.words[1], "B1");
    assert_string_equal(arguments_get(&a, LITRES)->value, "8");
    assert_string_equal(arguments_get(&a, LOG)->value, "x.db");
    assert_non_null(arguments_get(&a, DRY));
    assert_null(arguments_get(&a, LEVEL));
    arguments_finish(&a);
}

static void letters_may_be_joined(void **unused)
{
    (void)unused;
    Arguments a;
    Fault fault = {0};
    assert_true(READ(&a, &fault, "-nlx.db"));
    assert_non_null(arguments_get(&a, DRY));
    assert_string_equal(arguments_get(&a, LOG)->value, "x.db");
    arguments_finish(&a);
    assert_true(READ(&a, &fault, "-l", "-n"));
    assert_string_equal(arguments_get(&a, LOG)->value, "-n");
    arguments_finish(&a);
}

static void a_unique_beginning_will_do_and_two_meanings_will_not(void **unused)
{
    (void)unused;
    Arguments a;
    Fault fault = {0};
    assert_true(READ(&a, &fault, "--dry", "--li=3", "--lo=y"));
    assert_string_equal(arguments_get(&a, LITRES)->value, "3");
    arguments_finish(&a);
    assert_false(READ(&a, &fault, "--l=3"));
    assert_int_equal(fault.kind, FAULT_USAGE);
    assert_non_null(strstr(fault.text, "may mean"));
    arguments_finish(&a);
}

static void two_dashes_end_the_options(void **unused)
{
    (void)unused;
    Arguments a;
    Fault fault = {0};
    assert_true(READ(&a, &fault, "--", "--log", "-n", "--"));
    assert_int_equal(a.given_count, 0);
    assert_int_equal(a.word_count, 3);
    assert_string_equal(a.words[2], "--");
    arguments_finish(&a);
}

static void what_looks_like_a_negative_number_is_a_word(void **unused)
{
    (void)unused;
    Arguments a;
    Fault fault = {0};
    assert_true(READ(&a, &fault, "-3.5", "-.5", "-"));
    assert_int_equal(a.word_count, 3);
    arguments_finish(&a);
}

static void wrong_options_are_refused_with_what_to_write(void **unused)
{
    (void)unused;
    static const struct {
        const char *word, *sentence;
    } cases[] = {
        {"--litters=3", "Did you mean --litres?"},   {"--dryrun", "Did you mean --dry-run?"},
        {"--zzzzzz", "There is no option --zzzzzz"}, {"-x", "There is no option -x"},
        {"--log", "--log needs its value"},          {"-l", "-l needs its value"},
        {"--dry-run=yes", "takes no value"},         {"--=x", "There is no option"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        Arguments a;
        Fault fault = {0};
        if (READ(&a, &fault, cases[i].word))
            fail_msg("%s was taken", cases[i].word);
        assert_int_equal(fault.kind, FAULT_USAGE);
        if (strstr(fault.text, cases[i].sentence) == NULL)
            fail_msg("%s: %s", cases[i].word, fault.text);
        arguments_finish(&a);
    }
}

static void a_flag_may_be_joined_with_its_value_only(void **unused)
{
    (void)unused;
    Arguments a;
    Fault fault = {0};
    assert_true(READ(&a, &fault, "--treated", "no"));
    assert_null(arguments_get(&a, TREATED)->value);
    assert_int_equal(a.word_count, 1);
    arguments_finish(&a);
    assert_true(READ(&a, &fault, "--treated=no"));
    assert_string_equal(arguments_get(&a, TREATED)->value, "no");
    arguments_finish(&a);
}

static void before_a_command_reading_stops_at_its_name(void **unused)
{
    (void)unused;
    Arguments a;
    Fault fault = {0};
    const char *const words[] = {"--log", "x", "fill", "--never-read", NULL};
    assert_true(read_words(&a, true, &fault, words));
    assert_int_equal(a.taken, 2);
    assert_int_equal(a.word_count, 0);
    arguments_finish(&a);
}

static void the_last_of_several_wins(void **unused)
{
    (void)unused;
    Arguments a;
    Fault fault = {0};
    assert_true(READ(&a, &fault, "--log", "x", "--log", "y"));
    assert_string_equal(arguments_get(&a, LOG)->value, "y");
    arguments_finish(&a);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(values_come_joined_or_apart_and_words_anywhere),
        cmocka_unit_test(letters_may_be_joined),
        cmocka_unit_test(a_unique_beginning_will_do_and_two_meanings_will_not),
        cmocka_unit_test(two_dashes_end_the_options),
        cmocka_unit_test(what_looks_like_a_negative_number_is_a_word),
        cmocka_unit_test(wrong_options_are_refused_with_what_to_write),
        cmocka_unit_test(a_flag_may_be_joined_with_its_value_only),
        cmocka_unit_test(before_a_command_reading_stops_at_its_name),
        cmocka_unit_test(the_last_of_several_wins),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
