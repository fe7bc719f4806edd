/* Labels, the gate for text from elsewhere, edit distance. */
#include "base/label.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* A slice of an array, so that zero bytes count. */
#define BYTES(literal) text_slice("" literal, sizeof(literal) - 1)

static void test_the_gate_lets_nothing_pass_that_acts(void **state)
{
    (void)state;
    Fault fault = {0};
    assert_true(
        text_fit(text_of("B\xC3\xA5t \xE2\x80\x8F"), "The note", &fault)); /* a mark alone */
    assert_true(text_fit(text_of(""), "The note", &fault));
    assert_false(text_fit(text_of("a\xE2\x80\xAE"
                                  "b"),
                          "The note", &fault));
    assert_string_equal(fault.text,
                        "The note has the hidden character U+202E in it, with which a text "
                        "can look like another one: leave it out.");
    assert_false(text_fit(text_of("a\x7F"), "The note", &fault));
    assert_non_null(strstr(fault.text, "control character"));
    assert_false(text_fit(text_of("a\xC2"), "The note", &fault));
    assert_non_null(strstr(fault.text, "The note is not valid UTF-8"));
    assert_int_equal(fault.kind, FAULT_REFUSED);
}

/* ---- labels ---- */

static Label label_from(const char *s)
{
    Label label = {{0}};
    Fault fault = {0};
    if (!label_set(&label, text_of(s), &fault))
        fail_msg("%s", fault.text);
    return label;
}

static void test_a_good_label_is_taken_and_padded_with_zeroes(void **state)
{
    (void)state;
    static const char *const good[] = {
        "A1",
        "a",
        "Holm tap",
        "B\xC3\xA5t 2",
        "=",
        "17",
        "3-way",
        "a-",
        "12345678901234567890123456789012345678901234567" /* LABEL_MAX bytes */,
        "\xF0\x9D\x84\x9E"};
    for (size_t i = 0; i < sizeof good / sizeof good[0]; i++) {
        Label label;
        memset(&label, 0xFF, sizeof label);
        Fault fault = {0};
        assert_true(label_set(&label, text_of(good[i]), &fault));
        assert_string_equal(label.s, good[i]);
        for (size_t k = strlen(good[i]); k < LABEL_SIZE; k++)
            assert_int_equal(label.s[k], 0);
        assert_false(label_empty(&label));
        Label same = label_of(text_of(good[i]));
        assert_true(label_equal(&label, &same));
        assert_int_equal(fault.kind, FAULT_NONE);
    }
}

static void test_a_bad_label_is_refused_with_its_reason(void **state)
{
    (void)state;
    static const struct {
        const char *text, *says, *advises;
    } bad[] = {
        {"", "can't be empty", "such as A1"},
        {"123456789012345678901234567890123456789012345678", "too long (48 bytes)",
         "at most 47 bytes"},
        {"a\xFF", "not valid UTF-8", "type it again"},
        {"\xED\xA0\x80", "not valid UTF-8", "type it again"},
        {"a\tb", "control character", "leave it out"},
        {"a\x1B[2J", "control character", "leave it out"},
        {"a\xC2\x85", "control character", "leave it out"},
        {"a\n", "control character", "leave it out"},
        {"a\xE2\x81\xA6", "hidden character U+2066", "leave it out"},
        {" a", "white space at an end", "leave it out"},
        {"a ", "white space at an end", "leave it out"},
        {" ", "white space at an end", "leave it out"},
        {"-a", "begins with '-'", "another character"},
        {"-", "begins with '-'", "another character"},
        {"--log", "begins with '-'", "another character"},
    };
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        Label label = label_from("kept");
        Fault fault = {0};
        assert_false(label_set(&label, text_of(bad[i].text), &fault));
        assert_int_equal(fault.kind, FAULT_REFUSED);
        if (strstr(fault.text, bad[i].says) == NULL || strstr(fault.text, bad[i].advises) == NULL)
            fail_msg("%s", fault.text);
        assert_string_equal(label.s, "kept");
        /* Whatever was quoted, the sentence is fit for a terminal. */
        assert_true(text_is_utf8(text_of(fault.text)));
        assert_false(text_has_control(text_of(fault.text)));
    }
    Label label;
    Fault fault = {0};
    assert_false(label_set(&label, BYTES("a\0b"), &fault));
    assert_non_null(strstr(fault.text, "\"a?b\""));
    assert_non_null(strstr(fault.text, "control character"));
}

static void test_a_long_known_label_is_cut_between_code_points(void **state)
{
    (void)state;
    Label label = label_of(text_of("1234567890123456789012345678901234567890123456\xC3\xA5"));
    assert_int_equal(strlen(label.s), 46);
    label = label_of(text_of("123456789012345678901234567890123456789012345\xC3\xA5"));
    assert_int_equal(strlen(label.s), 47);
    label = label_of(text_of("12345678901234567890123456789012345678901234567890"));
    assert_int_equal(strlen(label.s), 47);
    label = label_of((Text){NULL, 0});
    assert_true(label_empty(&label));
}

static void test_labels_stand_in_the_order_of_their_numbers(void **state)
{
    (void)state;
    /* Each stands before all that follow. */
    static const char *const ordered[] = {"0",
                                          "001",
                                          "01",
                                          "1",
                                          "2",
                                          "10",
                                          "10a",
                                          "99999999999999999999",
                                          "100000000000000000000",
                                          "A",
                                          "A0",
                                          "A00",
                                          "A1",
                                          "A1 b",
                                          "A1.2",
                                          "A1.10",
                                          "A1A",
                                          "A02",
                                          "A2",
                                          "A2B3",
                                          "A2B20",
                                          "A010",
                                          "A10",
                                          "A10B",
                                          "A100",
                                          "AB",
                                          "B1",
                                          "a1",
                                          "\303\2451",
                                          "\303\2452"};
    const size_t count = sizeof ordered / sizeof ordered[0];
    for (size_t i = 0; i < count; i++) {
        for (size_t k = 0; k < count; k++) {
            Label a = label_of(text_of(ordered[i]));
            Label b = label_of(text_of(ordered[k]));
            int order = label_compare(&a, &b);
            if ((order < 0) != (i < k) || (order > 0) != (i > k) ||
                (order == 0) != label_equal(&a, &b))
                fail_msg("\"%s\" and \"%s\": %d", ordered[i], ordered[k], order);
        }
    }
}

static void test_the_order_of_labels_is_consistent(void **state)
{
    (void)state;
    /* All labels of up to four characters from an alphabet that mixes digits with their neighbours.
     */
    static const char alphabet[] = {'0', '1', '2', 'A', '.', ':'};
    enum { KINDS = 6, MOST = 3 };
    Label labels[KINDS + KINDS * KINDS + KINDS * KINDS * KINDS];
    size_t count = 0;
    for (size_t length = 1, amount = KINDS; length <= MOST; length++, amount *= KINDS) {
        for (size_t i = 0; i < amount; i++) {
            Label label = {{0}};
            size_t left = i;
            for (size_t k = 0; k < length; k++, left /= KINDS)
                label.s[k] = alphabet[left % KINDS];
            labels[count++] = label;
        }
    }
    for (size_t i = 0; i < count; i++) {
        for (size_t k = 0; k < count; k++) {
            int order = label_compare(&labels[i], &labels[k]);
            int back = label_compare(&labels[k], &labels[i]);
            assert_true((order < 0) == (back > 0) && (order == 0) == (i == k));
        }
    }
    /* Transitive: the rank of a label (how many stand before it) is its own. */
    bool taken[sizeof labels / sizeof labels[0]] = {false};
    for (size_t i = 0; i < count; i++) {
        size_t rank = 0;
        for (size_t k = 0; k < count; k++)
            rank += label_compare(&labels[k], &labels[i]) < 0;
        assert_false(taken[rank]);
        taken[rank] = true;
    }
}

/* ---- edit distance ---- */

/* The definition, by recursion: slow, and written without a table. */
static int distance_slow(const char *a, size_t n, const char *b, size_t m)
{
    if (n == 0 || m == 0)
        return (int)(n + m);
    int best = distance_slow(a, n - 1, b, m - 1) + (a[n - 1] != b[m - 1]);
    int other = distance_slow(a, n - 1, b, m) + 1;
    best = other < best ? other : best;
    other = distance_slow(a, n, b, m - 1) + 1;
    best = other < best ? other : best;
    if (n > 1 && m > 1 && a[n - 1] == b[m - 2] && a[n - 2] == b[m - 1]) {
        other = distance_slow(a, n - 2, b, m - 2) + 1;
        best = other < best ? other : best;
    }
    return best;
}

static void test_each_edit_counts_one(void **state)
{
    (void)state;
    static const struct {
        const char *a, *b;
        int distance;
    } cases[] = {
        {"", "", 0},
        {"sediment", "sediment", 0},
        {"sediment", "SEDIMENT", 0},
        {"sediment", "sedimnt", 1},
        {"sedimnt", "sediment", 1},
        {"sediment", "sedimemt", 1},
        {"sediment", "sedimnet", 1}, /* swapped neighbours */
        {"carbon", "acrbno", 2},
        {"", "abc", 3},
        {"abc", "", 3},
        {"kitten", "sitting", 3}, /* the usual example of the edit distance; common practice */
        {"ca", "abc", 3},         /* no place is edited twice, else it were 2 */
        {"B\xC3\xA5t", "Bat", 1}, /* code points, not bytes */
        {"\xC3\xA5\xC3\xA4", "\xC3\xA4\xC3\xA5", 1},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++)
        assert_int_equal(text_distance(text_of(cases[i].a), text_of(cases[i].b), 9),
                         cases[i].distance);
}

static void test_the_distance_agrees_with_its_definition_and_its_limit(void **state)
{
    (void)state;
    /* All pairs of words of up to four letters from three. */
    char words[3 + 9 + 27 + 81 + 1][5];
    size_t count = 0;
    words[count++][0] = '\0';
    for (size_t length = 1, amount = 3; length <= 4; length++, amount *= 3) {
        for (size_t i = 0; i < amount; i++) {
            size_t left = i;
            for (size_t k = 0; k < length; k++, left /= 3)
                words[count][k] = (char)('a' + left % 3);
            words[count++][length] = '\0';
        }
    }
    for (size_t i = 0; i < count; i++) {
        for (size_t k = 0; k < count; k += 2) {
            int slow = distance_slow(words[i], strlen(words[i]), words[k], strlen(words[k]));
            for (int limit = 0; limit < 5; limit++) {
                int expected = slow < limit + 1 ? slow : limit + 1;
                if (text_distance(text_of(words[i]), text_of(words[k]), limit) != expected)
                    fail_msg("%s %s limit %d", words[i], words[k], limit);
            }
        }
    }
}

static void test_long_and_odd_texts_have_a_distance(void **state)
{
    (void)state;
    char a[400], b[400];
    memset(a, 'a', sizeof a);
    memset(b, 'a', sizeof b);
    b[200] = 'b';
    b[300] = 'b';
    assert_int_equal(text_distance(text_slice(a, 400), text_slice(b, 400), 5), 2);
    assert_int_equal(text_distance(text_slice(a, 400), text_slice(b, 399), 5), 3);
    assert_int_equal(text_distance(text_slice(a, 400), text_slice(b, 10), 5), 6);
    assert_int_equal(text_distance(text_slice(a, 400), text_slice(b, 10), 1000), 390);
    assert_int_equal(text_distance(text_slice(a, 400), text_slice(b, 400), 0), 1);
    assert_int_equal(text_distance(text_of("a"), text_of("a"), -3), 0);
    assert_int_equal(text_distance(text_of("a"), text_of("b"), -3), 1);
    assert_int_equal(text_distance((Text){NULL, 0}, text_of("ab"), INT32_MAX), 2);
}

static const char *nearest_of(const char *asked, const char *const *names)
{
    Nearest near = {.asked = text_of(asked)};
    for (int i = 0; names[i] != NULL; i++)
        nearest_offer(&near, names[i]);
    return near.name != NULL ? near.name : "(none)";
}

static void
test_the_nearest_name_is_two_slips_away_at_most_and_has_something_in_common(void **state)
{
    (void)state;
    static const char *const names[] = {"A1", "A2", "galley", "gallery", NULL};
    assert_string_equal(nearest_of("a2", names), "A2");
    assert_string_equal(nearest_of("A3", names), "A1"); /* the first of those alike */
    assert_string_equal(nearest_of("Zz", names), "(none)");
    assert_string_equal(nearest_of("Q9", names), "(none)");
    assert_string_equal(nearest_of("galey", names), "galley");
    assert_string_equal(nearest_of("gllery", names), "gallery");
    assert_string_equal(nearest_of("gly", names), "(none)"); /* three slips */
    assert_string_equal(nearest_of("", names), "(none)");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_the_gate_lets_nothing_pass_that_acts),
        cmocka_unit_test(test_a_good_label_is_taken_and_padded_with_zeroes),
        cmocka_unit_test(test_a_bad_label_is_refused_with_its_reason),
        cmocka_unit_test(test_a_long_known_label_is_cut_between_code_points),
        cmocka_unit_test(test_labels_stand_in_the_order_of_their_numbers),
        cmocka_unit_test(test_the_order_of_labels_is_consistent),
        cmocka_unit_test(test_each_edit_counts_one),
        cmocka_unit_test(test_the_distance_agrees_with_its_definition_and_its_limit),
        cmocka_unit_test(test_long_and_odd_texts_have_a_distance),
        cmocka_unit_test(
            test_the_nearest_name_is_two_slips_away_at_most_and_has_something_in_common),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
