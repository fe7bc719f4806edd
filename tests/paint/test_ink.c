#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "paint/ink.h"
#include "support/look.h"

#include <math.h>
#include <string.h>

/* W3C, Web Content Accessibility Guidelines 2.2 (2023), success criterion 1.4.3 (level AA): text
 * has a contrast ratio of at least 4.5:1. The two anchors below follow from the definitions there:
 * white on black is 21:1, a colour on itself 1:1. */
static void contrast_has_its_two_anchors(void **unused)
{
    (void)unused;
    assert_true(fabs(ink_contrast(231, 16) - 21.0) < 1e-9);
    assert_true(fabs(ink_contrast(16, 231) - 21.0) < 1e-9);
    assert_true(fabs(ink_contrast(74, 74) - 1.0) < 1e-12);
}

/* Pure red is (0.2126 + 0.05) / 0.05 = 5.252 on black: from the definition, by hand. */
static void red_on_black_is_what_the_definition_says(void **unused)
{
    (void)unused;
    assert_true(fabs(ink_contrast(196, 16) - 5.252) < 1e-9);
}

static void the_palette_is_that_of_xterm(void **unused)
{
    (void)unused;
    static const struct {
        int colour, rgb[3];
    } known[] = {{16, {0, 0, 0}},      {231, {255, 255, 255}}, {196, {255, 0, 0}},
                 {74, {95, 175, 215}}, {232, {8, 8, 8}},       {255, {238, 238, 238}}};
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        int rgb[3];
        ink_rgb(known[i].colour, rgb);
        assert_memory_equal(rgb, known[i].rgb, sizeof rgb);
    }
}

static void every_ink_on_a_ground_of_its_own_can_be_read(void **unused)
{
    (void)unused;
    for (int s = 0; s < SCHEME_COUNT; s++) {
        for (int i = 0; i < INK_COUNT; i++) {
            Pen pen = ink_pen((Scheme)s, (Ink)i);
            if (pen.bg < 0) {
                assert_in_range(s, SCHEME_DEFAULT, SCHEME_MONOCHROME);
                assert_int_not_equal(s, SCHEME_LIGHT);
                continue;
            }
            assert_in_range(pen.fg, 16, 255);
            assert_in_range(pen.bg, 16, 255);
            double contrast = ink_contrast(pen.fg, pen.bg);
            if (contrast < 4.5)
                fail_msg("%s, %s: %.2f", scheme_name((Scheme)s), ink_name((Ink)i), contrast);
        }
    }
}

/* On the terminal's own ground words have the terminal's own colour. What is drawn has one of ours:
 * the same guidelines, success criterion 1.4.11, ask 3:1 of graphical objects, here on the darkest
 * ground that there is and on the lightest. No screen puts words in these inks:
 * tests/screens/test_sheets.c. */
static void on_the_terminals_own_ground_words_are_its_own_and_drawings_show_on_any(void **unused)
{
    (void)unused;
    for (int i = 0; i < INK_COUNT; i++) {
        Pen pen = ink_pen(SCHEME_DEFAULT, (Ink)i);
        if (pen.bg >= 0)
            continue;
        if (!ink_is_drawn((Ink)i))
            assert_int_equal(pen.fg, -1);
        else if (ink_contrast(pen.fg, 16) < 3 || ink_contrast(pen.fg, 231) < 3)
            fail_msg("%s: %.2f on black, %.2f on white", ink_name((Ink)i), ink_contrast(pen.fg, 16),
                     ink_contrast(pen.fg, 231));
    }
}

static void the_night_scheme_is_red_and_black_only(void **unused)
{
    (void)unused;
    for (int i = 0; i < INK_COUNT; i++) {
        Pen pen = ink_pen(SCHEME_NIGHT, (Ink)i);
        int fg[3], bg[3];
        ink_rgb(pen.fg, fg);
        ink_rgb(pen.bg, bg);
        assert_int_equal(fg[1] + fg[2] + bg[1] + bg[2], 0);
    }
}

static void the_monochrome_scheme_has_no_colour(void **unused)
{
    (void)unused;
    for (int i = 0; i < INK_COUNT; i++) {
        Pen pen = ink_pen(SCHEME_MONOCHROME, (Ink)i);
        assert_int_equal(pen.fg, -1);
        assert_int_equal(pen.bg8, -1);
    }
}

static void the_eight_colours_never_meet_themselves(void **unused)
{
    (void)unused;
    for (int s = 0; s < SCHEME_COUNT; s++) {
        for (int i = 0; i < INK_COUNT; i++) {
            Pen pen = ink_pen((Scheme)s, (Ink)i);
            assert_in_range(pen.fg8 + 1, 0, 8);
            assert_in_range(pen.bg8 + 1, 0, 8);
            assert_true(pen.fg8 < 0 || pen.fg8 != pen.bg8);
        }
    }
}

/* The palette of a VGA console: 0, 170 and for yellow 85 of green; bright ones 85 more (IBM's text
 * modes; the Linux console's default_red, default_grn, default_blu. From memory). Bold is bright
 * there, and nothing but bold elsewhere. */
static void the_eight_colours_can_be_read_on_a_console_whatever_its_ground(void **unused)
{
    static const int console[8][3] = {{0, 0, 0},   {170, 0, 0},   {0, 170, 0},   {170, 85, 0},
                                      {0, 0, 170}, {170, 0, 170}, {0, 170, 170}, {170, 170, 170}};
    static const Scheme painted[] = {SCHEME_DEFAULT, SCHEME_LIGHT};
    (void)unused;
    for (size_t s = 0; s < sizeof painted / sizeof *painted; s++) {
        for (int i = 0; i < INK_COUNT; i++) {
            const Pen pen = ink_pen(painted[s], (Ink)i);
            assert_in_range(pen.fg8, 0, 7); /* nothing is left to what the terminal has */
            assert_in_range(pen.bg8, 0, 7);
            for (int bold = 0; bold <= ((pen.attributes & PEN_BOLD) != 0); bold++) {
                int fg[3];
                for (int c = 0; c < 3; c++)
                    fg[c] = console[pen.fg8][c] + (bold ? 85 : 0);
                const double contrast = rgb_contrast(fg, console[pen.bg8]);
                if (contrast < 4.5)
                    fail_msg("%s, %s: %.2f", scheme_name(painted[s]), ink_name((Ink)i), contrast);
            }
        }
    }
}

static void each_ink_has_a_name_and_a_letter_of_its_own(void **unused)
{
    (void)unused;
    for (int a = 0; a < INK_COUNT; a++) {
        for (int b = 0; b < a; b++) {
            assert_int_not_equal(ink_letter((Ink)a), ink_letter((Ink)b));
            assert_string_not_equal(ink_name((Ink)a), ink_name((Ink)b));
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(contrast_has_its_two_anchors),
        cmocka_unit_test(red_on_black_is_what_the_definition_says),
        cmocka_unit_test(the_palette_is_that_of_xterm),
        cmocka_unit_test(every_ink_on_a_ground_of_its_own_can_be_read),
        cmocka_unit_test(on_the_terminals_own_ground_words_are_its_own_and_drawings_show_on_any),
        cmocka_unit_test(the_night_scheme_is_red_and_black_only),
        cmocka_unit_test(the_monochrome_scheme_has_no_colour),
        cmocka_unit_test(the_eight_colours_never_meet_themselves),
        cmocka_unit_test(the_eight_colours_can_be_read_on_a_console_whatever_its_ground),
        cmocka_unit_test(each_ink_has_a_name_and_a_letter_of_its_own),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
