/* Faults: sentences that are built on the way up. */
#include "base/fault.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static void test_a_fault_holds_the_sentence_and_its_kind(void **state)
{
    (void)state;
    Fault fault = {0};
    assert_false(fault_set(&fault, FAULT_REFUSED, "%s holds %d mL.", "A1", 12000));
    assert_int_equal(fault.kind, FAULT_REFUSED);
    assert_string_equal(fault.text, "A1 holds 12000 mL.");
}

static void test_the_kinds_are_the_exit_statuses(void **state)
{
    (void)state;
    /* The contract of the program: 1 refused, 2 wrong usage, 3 the log. */
    assert_int_equal(FAULT_NONE, 0);
    assert_int_equal(FAULT_REFUSED, 1);
    assert_int_equal(FAULT_USAGE, 2);
    assert_int_equal(FAULT_LOG, 3);
}

static void test_words_are_put_in_front_and_behind(void **state)
{
    (void)state;
    Fault fault = {0};
    fault_set(&fault, FAULT_USAGE, "\"8x\" is no amount.");
    assert_false(fault_prefix(&fault, "season.jsonl, line %d: ", 12));
    assert_false(fault_suffix(&fault, " Nothing was %s.", "written"));
    assert_string_equal(fault.text,
                        "season.jsonl, line 12: \"8x\" is no amount. Nothing was written.");
    assert_int_equal(fault.kind, FAULT_USAGE);
}

static void test_the_arguments_may_be_the_text_of_the_fault_itself(void **state)
{
    (void)state;
    Fault fault = {0};
    fault_set(&fault, FAULT_LOG, "disk full");
    fault_set(&fault, FAULT_LOG, "The log: %s, %s.", fault.text, fault.text);
    assert_string_equal(fault.text, "The log: disk full, disk full.");
    fault_set(&fault, FAULT_LOG, "x");
    fault_prefix(&fault, "[%s]", fault.text);
    fault_suffix(&fault, "[%s]", fault.text);
    assert_string_equal(fault.text, "[x]x[[x]x]");
}

static void test_a_long_sentence_is_cut_and_terminated(void **state)
{
    (void)state;
    char words[3 * FAULT_TEXT_MAX];
    memset(words, 'w', sizeof words - 1);
    words[sizeof words - 1] = '\0';
    Fault fault = {0};
    fault_set(&fault, FAULT_REFUSED, "%s", words);
    assert_int_equal(strlen(fault.text), FAULT_TEXT_MAX - 1);

    fault_suffix(&fault, "%s", words);
    assert_int_equal(strlen(fault.text), FAULT_TEXT_MAX - 1);
    assert_int_equal(fault.text[FAULT_TEXT_MAX - 2], 'w');

    fault_prefix(&fault, "front %s", words);
    assert_int_equal(strlen(fault.text), FAULT_TEXT_MAX - 1);
    assert_memory_equal(fault.text, "front www", 9);
}

static void test_a_cut_never_falls_inside_a_utf8_sequence(void **state)
{
    (void)state;
    /* U+20AC is E2 82 AC, three bytes (RFC 3629 section 3 gives the form); every phase of the cut.
     */
    for (size_t lead = 0; lead < 4; lead++) {
        char words[2 * FAULT_TEXT_MAX];
        memset(words, 'x', lead);
        size_t n = lead;
        while (n + 3 < sizeof words) {
            memcpy(words + n, "\xE2\x82\xAC", 3);
            n += 3;
        }
        words[n] = '\0';
        Fault fault = {0};
        fault_set(&fault, FAULT_REFUSED, "%s", words);
        size_t length = strlen(fault.text);
        assert_int_equal(length, lead + (FAULT_TEXT_MAX - 1 - lead) / 3 * 3);
        assert_memory_equal(fault.text + length - 3, "\xE2\x82\xAC", 3);
    }
}

static void test_control_characters_never_reach_the_terminal(void **state)
{
    (void)state;
    Fault fault = {0};
    fault_set(&fault, FAULT_REFUSED, "a%sb", "\x1B[2J\n\t\x7F");
    assert_string_equal(fault.text, "a?[2J???b");
    /* C1: U+009B is CSI, C2 9B in UTF-8 (one '?'), and the bare byte where the text is not UTF-8.
     */
    fault_set(&fault, FAULT_REFUSED, "a%sb",
              "\xC2\x9B"
              "2J\x9B"
              "2J");
    assert_string_equal(fault.text, "a?2J?2Jb");
    fault_prefix(&fault, "line\r%d: ", 3);
    fault_suffix(&fault, "\a");
    assert_string_equal(fault.text, "line?3: a?2J?2Jb?");
}

static void test_whole_utf8_text_is_kept(void **state)
{
    (void)state;
    Fault fault = {0};
    fault_set(&fault, FAULT_REFUSED, "%s",
              "B\xC3\xA5"
              "t \xF0\x9D\x84\x9E \xEF\xBF\xBD \xC2\xA0");
    assert_string_equal(fault.text, "B\xC3\xA5"
                                    "t \xF0\x9D\x84\x9E \xEF\xBF\xBD \xC2\xA0");
}

static void test_without_a_fault_the_answer_is_still_no(void **state)
{
    (void)state;
    assert_false(fault_set(NULL, FAULT_LOG, "%d", 1));
    assert_false(fault_prefix(NULL, "%d", 1));
    assert_false(fault_suffix(NULL, "%d", 1));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_a_fault_holds_the_sentence_and_its_kind),
        cmocka_unit_test(test_the_kinds_are_the_exit_statuses),
        cmocka_unit_test(test_words_are_put_in_front_and_behind),
        cmocka_unit_test(test_the_arguments_may_be_the_text_of_the_fault_itself),
        cmocka_unit_test(test_a_long_sentence_is_cut_and_terminated),
        cmocka_unit_test(test_a_cut_never_falls_inside_a_utf8_sequence),
        cmocka_unit_test(test_control_characters_never_reach_the_terminal),
        cmocka_unit_test(test_whole_utf8_text_is_kept),
        cmocka_unit_test(test_without_a_fault_the_answer_is_still_no),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
