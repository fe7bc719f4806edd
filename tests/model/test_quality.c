/* The three classes and their words. */
#include "model/quality.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static void test_the_worst_of_two_classes_is_the_one_further_from_potable(void **state)
{
    (void)state;
    static const Quality worst[CLASS_COUNT][CLASS_COUNT] = {
        {CLASS_POTABLE, CLASS_QUESTIONABLE, CLASS_NON_POTABLE},
        {CLASS_QUESTIONABLE, CLASS_QUESTIONABLE, CLASS_NON_POTABLE},
        {CLASS_NON_POTABLE, CLASS_NON_POTABLE, CLASS_NON_POTABLE},
    };
    for (int a = 0; a < CLASS_COUNT; a++)
        for (int b = 0; b < CLASS_COUNT; b++)
            assert_int_equal(quality_worst((Quality)a, (Quality)b), worst[a][b]);
}

static void test_classes_have_the_words_of_the_interchange_format(void **state)
{
    (void)state;
    assert_string_equal(quality_name(CLASS_POTABLE), "potable");
    assert_string_equal(quality_name(CLASS_QUESTIONABLE), "questionable");
    assert_string_equal(quality_name(CLASS_NON_POTABLE), "non-potable");
    assert_string_equal(quality_short(CLASS_POTABLE), "pot.");
    assert_string_equal(quality_short(CLASS_QUESTIONABLE), "quest.");
    assert_string_equal(quality_short(CLASS_NON_POTABLE), "non-pot.");
}

static void test_the_values_that_stand_in_logs_never_change(void **state)
{
    (void)state;
    assert_int_equal(CLASS_POTABLE, 0);
    assert_int_equal(CLASS_QUESTIONABLE, 1);
    assert_int_equal(CLASS_NON_POTABLE, 2);
}

static void test_every_verdict_has_its_words(void **state)
{
    (void)state;
    assert_null(verdict_name(VERDICT_NONE));
    assert_string_equal(verdict_name(VERDICT_DRINK), "drink");
    assert_string_equal(verdict_name(VERDICT_DRINK_IF_TREATED), "drink if treated");
    assert_string_equal(verdict_name(VERDICT_BOIL_FIRST), "boil first");
    assert_string_equal(verdict_name(VERDICT_WASH_ONLY), "wash only");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_the_worst_of_two_classes_is_the_one_further_from_potable),
        cmocka_unit_test(test_classes_have_the_words_of_the_interchange_format),
        cmocka_unit_test(test_the_values_that_stand_in_logs_never_change),
        cmocka_unit_test(test_every_verdict_has_its_words),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
