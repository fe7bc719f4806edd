#include "support/scene.h"

#include "support/look.h"
#include "tui/pane.h"

static void two_facts(Facts *facts)
{
    facts_add(facts, "level", INK_STRONG, "%d of %d litres stand in it", 7, 12);
    facts_add(facts, "", INK_TEXT, "and a sentence that is rather longer than one line can hold");
}

static void facts_take_the_lines_that_are_counted(void **state)
{
    (void)state;
    for (int cols = 12; cols < 90; cols++) {
        Facts facts = {0};
        Sheet sheet;
        Str text = {0};
        two_facts(&facts);
        int lines = facts_lines(&facts, cols), used = 0;
        sheet_init(&sheet, 200, cols);
        sheet.alphabet = ALPHABET_ASCII;
        facts_draw(&facts, sheet_area(&sheet), 0);
        sheet_dump(&sheet, &text);
        Text rest = {text.s, text.n};
        for (int row = 1; rest.n > 0; row++)
            if (text_cut(&rest, '\n').n > 0)
                used = row;
        assert_int_equal(used, lines);
        str_finish(&text);
        sheet_finish(&sheet);
        facts_finish(&facts);
    }
}

static void facts_that_do_not_fit_show_arrows_and_can_be_scrolled_to(void **state)
{
    (void)state;
    Facts facts = {0};
    Sheet sheet;
    two_facts(&facts);
    int lines = facts_lines(&facts, 30);
    assert_true(lines > 3);
    sheet_init(&sheet, 3, 30);
    sheet.alphabet = ALPHABET_ASCII;
    Area area = sheet_area(&sheet);
    facts_draw(&facts, area, 0);
    assert_string_equal(sheet_cell(&sheet, 2, 29)->text, "v");
    assert_string_equal(sheet_cell(&sheet, 0, 29)->text, " ");
    Pane pane = {.closer = true, .list = {.count = 3}};
    assert_true(pane_key(&pane, 'G', lines, 3));
    assert_int_equal(pane.scroll, lines - 3);
    sheet_clear(&sheet);
    facts_draw(&facts, area, pane.scroll);
    assert_string_equal(sheet_cell(&sheet, 0, 29)->text, "^");
    assert_string_equal(sheet_cell(&sheet, 2, 29)->text, " ");
    assert_true(pane_key(&pane, 'j', lines, 3)); /* not past the end */
    assert_int_equal(pane.scroll, lines - 3);
    sheet_finish(&sheet);
    facts_finish(&facts);
}

static void enter_looks_closer_and_escape_leads_back(void **state)
{
    (void)state;
    Pane pane = {.list = {.count = 3}};
    assert_false(pane_key(&pane, PRESS_ESC, 9, 3)); /* in the list it closes the screen */
    assert_false(pane_key(&pane, 'q', 9, 3));
    assert_true(pane_key(&pane, PRESS_ENTER, 9, 3));
    assert_true(pane.closer);
    assert_true(pane_key(&pane, 'l', 9, 3));
    assert_int_equal(pane.list.cursor, 1);
    assert_true(pane_key(&pane, 'j', 9, 3));
    assert_int_equal(pane.scroll, 1);
    assert_true(pane_key(&pane, 'h', 9, 3)); /* another one is read from its top */
    assert_int_equal(pane.list.cursor, 0);
    assert_int_equal(pane.scroll, 0);
    assert_true(pane_key(&pane, PRESS_ESC, 9, 3));
    assert_false(pane.closer);
}

static void an_empty_list_has_nothing_to_look_at(void **state)
{
    (void)state;
    Pane pane = {0};
    pane_key(&pane, PRESS_ENTER, 0, 3);
    assert_false(pane.closer);
}

static void list_and_facts_share_an_area_without_overlap(void **state)
{
    (void)state;
    for (int rows = 0; rows < 40; rows++) {
        for (int count = 0; count < 30; count += 3) {
            for (int lines = 0; lines < 30; lines += 5) {
                Pane pane = {.list = {.count = count}};
                Area area = {NULL, 1, 0, rows, 80};
                PanePlan plan = pane_plan(&pane, area, lines);
                assert_true(plan.list.row >= area.row);
                assert_true(plan.list.rows >= 0 && plan.facts.rows >= 0);
                if (plan.facts.rows > 0) {
                    assert_true(plan.facts.row > plan.list.row + plan.list.rows); /* the rule */
                    assert_true(plan.facts.row + plan.facts.rows <= area.row + area.rows);
                    assert_true(plan.list.rows > 0);
                } else {
                    assert_int_equal(plan.list.rows, rows);
                }
            }
        }
    }
    Pane pane = {.list = {.count = 5}};
    assert_true(pane_plan(&pane, (Area){NULL, 0, 0, 20, PANE_BESIDE_COLS}, 9).beside);
    assert_false(pane_plan(&pane, (Area){NULL, 0, 0, 20, PANE_BESIDE_COLS - 1}, 9).beside);
}

static void days_are_told_in_words(void **state)
{
    (void)state;
    Scene *scene = scene_open(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    const App *app = scene->app;
    char out[64];
    int64_t now = scene->now.ms;
    assert_string_equal(pane_when(app, scene->now, out), "today");
    assert_string_equal(pane_when(app, (Moment){now + MS_PER_DAY}, out), "tomorrow");
    assert_string_equal(pane_when(app, (Moment){now - MS_PER_DAY}, out), "yesterday");
    assert_string_equal(pane_when(app, (Moment){now + 3 * MS_PER_DAY}, out), "in 3 days");
    assert_string_equal(pane_when(app, (Moment){now - 3 * MS_PER_DAY}, out), "3 days ago");
    assert_string_equal(pane_when(app, MOMENT_NONE, out), "not known");
    assert_string_equal(pane_day(app, scene->now, out), "24 Nov");
    assert_string_equal(pane_day(app, (Moment){now + 60 * MS_PER_DAY}, out), "23 Jan 27");
    assert_string_equal(pane_day(app, MOMENT_NONE, out), "-");
    assert_string_equal(pane_age(app, (Moment){now - 3 * MS_PER_DAY}, out), "3.0 days");
    assert_string_equal(pane_age(app, MOMENT_NONE, out), "not known");
    scene_close(scene);
}

static void an_eighth_of_a_bar_is_seen_in_both_alphabets(void **state)
{
    (void)state;
    for (int alphabet = 0; alphabet < ALPHABET_COUNT; alphabet++) {
        Scene *scene = scene_open(24, 80, SCHEME_DEFAULT, (Alphabet)alphabet);
        for (int eighths = 1; eighths <= 8; eighths++)
            assert_string_not_equal(pane_bar(scene->app, eighths), " ");
        assert_string_equal(pane_bar(scene->app, 0), " ");
        scene_close(scene);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(facts_take_the_lines_that_are_counted),
        cmocka_unit_test(facts_that_do_not_fit_show_arrows_and_can_be_scrolled_to),
        cmocka_unit_test(enter_looks_closer_and_escape_leads_back),
        cmocka_unit_test(an_empty_list_has_nothing_to_look_at),
        cmocka_unit_test(list_and_facts_share_an_area_without_overlap),
        cmocka_unit_test(days_are_told_in_words),
        cmocka_unit_test(an_eighth_of_a_bar_is_seen_in_both_alphabets),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
