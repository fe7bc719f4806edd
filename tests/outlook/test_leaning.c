/* Fills that keep a class which their source no longer has: whom it names, and where it harms. */
#include "outlook/board.h"

#include "support/board_book.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static const Source source_amended = {.quality = CLASS_QUESTIONABLE,
                                      .was = CLASS_POTABLE,
                                      .leant = {.fills = 2, .since = BOOK_BEGIN_MS, .vessels = 1}};

/* One, and the rest that are named by `label` with a digit behind it. */
static const State *aboard(const char *first, const char *label, int count)
{
    static State state;
    state_init(&state);
    state.vessel_count = count;
    for (int i = 0; i < count; i++)
        snprintf(state.vessels[i].label.s, sizeof state.vessels[i].label.s, "%s%.0d",
                 i == 0 ? first : label, i);
    return &state;
}

static void expect(const State *state, const Source *source, const char *text, bool harms)
{
    Str told = {0};
    const Moment now = {BOOK_BEGIN_MS + MS_PER_DAY};
    assert_int_equal(leaning_tell(state, source, now, &told), harms);
    assert_string_equal(told.n > 0 ? told.s : "", text);
    str_finish(&told);
}

static void it_is_told_how_many_since_when_and_in_which(void **unused)
{
    (void)unused;
    const State *state = aboard("A1", "B", 3);
    Source s = source_amended;
    expect(state, &s, "2 fills since Mon 1 Jun 08:00 (A1) keep potable", true);
    s.leant.fills = 1;
    s.leant.vessels = 5;
    expect(state, &s, "1 fill since Mon 1 Jun 08:00 (A1, B2) keeps potable", true);
    s.leant.vessels = 0; /* in none that is aboard */
    expect(state, &s, "1 fill since Mon 1 Jun 08:00 keeps potable", true);
    s.leant.fills = 0;
    expect(state, &s, "", false);
}

/* Harm is a class that is worse now than what the fills keep. */
static void it_harms_where_the_class_is_worse_now(void **unused)
{
    (void)unused;
    const State *state = aboard("A1", "B", 1);
    for (int was = 0; was < CLASS_COUNT; was++)
        for (int is = 0; is < CLASS_COUNT; is++) {
            char text[80];
            Source s = source_amended;
            s.was = (uint8_t)was;
            s.quality = (uint8_t)is;
            snprintf(text, sizeof text, "2 fills since Mon 1 Jun 08:00 (A1) keep %s",
                     quality_name((Quality)was));
            expect(state, &s, text, is > was);
        }
}

/* Names of 62 letters with what stands between them are all told, of 63 the last is counted. */
static void as_many_names_as_have_room(void **unused)
{
    (void)unused;
    Source s = source_amended;
    s.leant.vessels = 0xff;
    expect(aboard("abcdef", "bottl", 8), &s,
           "2 fills since Mon 1 Jun 08:00 (abcdef, bottl1, bottl2, bottl3, bottl4, bottl5, bottl6, "
           "bottl7) keep potable",
           true);
    expect(aboard("abcdefg", "bottl", 8), &s,
           "2 fills since Mon 1 Jun 08:00 (abcdefg, bottl1, bottl2, bottl3, bottl4, bottl5, bottl6 "
           "and 1 more) keep potable",
           true);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(it_is_told_how_many_since_when_and_in_which),
        cmocka_unit_test(it_harms_where_the_class_is_worse_now),
        cmocka_unit_test(as_many_names_as_have_room),
    };
    zone_set("UTC0");
    return cmocka_run_group_tests(tests, NULL, NULL);
}
