#include "support/scene.h"

static Scene *log_scene(int rows, int cols, Alphabet alphabet)
{
    Scene *scene = scene_season(rows, cols, SCHEME_DEFAULT, alphabet);
    scene_keys(scene, "2");
    return scene;
}

static int voided_count(const Scene *scene)
{
    int n = 0;
    for (int i = 0; i < scene->count; i++)
        n += scene->voided[i];
    return n;
}

static const Event *last_of(const Scene *scene, KindId kind)
{
    for (int i = scene->count - 1; i >= 0; i--)
        if (scene->log[i].kind == (int32_t)kind)
            return &scene->log[i];
    return NULL;
}

static void the_log_looks_as_drawn_before(void **state)
{
    (void)state;
    for (int i = 0; i < SCENE_GOLDEN_COUNT; i++) {
        const SceneSize *size = &SCENE_SIZES[i];
        Scene *scene = log_scene(size->rows, size->cols, size->alphabet);
        scene_keys(scene, "jjx");
        scene->app->message[0] = '\0';
        scene_golden_sheet(scene, "log");
        scene_close(scene);
    }
}

static void one_entry_closely_looks_as_drawn_before(void **state)
{
    (void)state;
    Scene *scene = log_scene(12, 40, ALPHABET_ASCII);
    scene_keys(scene, "Gk\n");
    scene_golden_sheet(scene, "log-closer");
    scene_close(scene);
}

static void marked(Uuid *id, uint32_t mark)
{
    uint8_t random[10];
    Moment made = {0};
    for (int i = 0; i < 6; i++)
        made.ms = made.ms << 8 | id->b[i];
    memcpy(random, id->b + 6, sizeof random);
    uuid_mark_put(random, mark);
    *id = uuid_v7(made, random);
}

/* The last fill again, from another machine five minutes later. */
static void what_two_machines_logged_is_marked_until_one_is_taken_back(void **state)
{
    (void)state;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene->app->machines = (Marks){{0x111111, 0x222222}, 2};
    scene_entry(scene, "18:00", KIND_FILL, "vessel", "W1", "litres", "1", NULL);
    scene_entry(scene, "18:05", KIND_FILL, "vessel", "W1", "litres", "1", NULL);
    marked(&scene->log[scene->count - 2].id, 0x111111);
    marked(&scene->log[scene->count - 1].id, 0x222222);
    scene_tell(scene);
    scene->app->heard = scene->log[0].at;
    scene_keys(scene, "2jj");
    assert_true(scene_shows(scene, "all entries; another machine heard of"));
    assert_true(scene_shows(scene, "likely the one that"));
    assert_true(scene_shows(scene, "another machine (222222)"));
    scene_keys(scene, "x");
    assert_false(scene_shows(scene, "likely the one"));
    scene_keys(scene, "j");
    assert_true(scene_shows(scene, "this machine (111111)"));
    assert_false(scene_shows(scene, "likely the one"));
    scene_close(scene);
}

/* On the board: b takes the later one back, y keeps both. */
static void one_key_of_the_board_ends_a_likely_double(void **state)
{
    (void)state;
    for (int i = 0; i < 2; i++) {
        Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
        scene_keys(scene, "1b");
        assert_true(scene_shows(scene, "Nothing was likely logged twice."));
        scene_entry(scene, "18:00", KIND_FILL, "vessel", "W1", "litres", "1", NULL);
        scene_entry(scene, "18:05", KIND_FILL, "vessel", "W1", "litres", "1", NULL);
        marked(&scene->log[scene->count - 2].id, 0x111111);
        marked(&scene->log[scene->count - 1].id, 0x222222);
        scene_tell(scene);
        const int second = scene->count - 1;
        scene_keys(scene, "21");
        assert_true(scene_shows(scene, "b takes it back, y keeps both."));
        scene_keys(scene, i == 0 ? "b" : "y");
        assert_int_equal(scene->log[scene->count - 1].kind, i == 0 ? KIND_VOID : KIND_SETTLE);
        assert_int_equal(
            uuid_compare(&scene->log[scene->count - 1].u.entry.entry, &scene->log[second].id), 0);
        assert_false(scene_shows(scene, "was likely logged"));
        scene_close(scene);
    }
}

static void search_leaves_only_what_contains_the_word(void **state)
{
    (void)state;
    Scene *scene = log_scene(24, 80, ALPHABET_UTF8);
    scene_keys(scene, "/HOLM");
    assert_true(scene_shows(scene, "/ HOLM"));
    assert_true(scene_shows(scene, "fill A4 level 12 L from Holm tap"));
    assert_int_equal(scene->sheet.cursor_row, 1);
    for (int i = 0; i < scene->app->found_count; i++)
        assert_true(scene->app->found[i].event.kind != KIND_DRAW);
    scene_keys(scene, "\n"); /* letters are commands again */
    assert_true(scene_shows(scene, "entries with \"HOLM\""));
    assert_true(scene->sheet.cursor_row > 1); /* on the chosen entry */
    scene_keys(scene, "c");
    assert_true(scene_shows(scene, "all entries"));
    assert_true(scene_shows(scene, "draw galley 3.5 L"));
    scene_close(scene);
}

static void escape_puts_the_search_away_and_keeps_the_screen(void **state)
{
    (void)state;
    Scene *scene = log_scene(24, 80, ALPHABET_UTF8);
    scene_keys(scene, "/zzqq");
    assert_true(scene_shows(scene, "No entry fits"));
    assert_int_equal(scene->app->found_count, 0);
    scene_keys(scene, "\b\b\b\b\b\bholm");
    assert_int_equal(scene->app->found_count, 24);
    scene_keys(scene, "\x1b");
    assert_ptr_equal(app_top(scene->app), &SCREEN_LOG);
    assert_true(scene_shows(scene, "all entries"));
    scene_close(scene);
}

static void a_vessel_and_a_kind_filter_together(void **state)
{
    (void)state;
    Scene *scene = log_scene(24, 80, ALPHABET_UTF8);
    scene_keys(scene, "vl");
    assert_true(scene_shows(scene, "fill of A1"));
    assert_true(scene->app->found_count > 0);
    for (int i = 0; i < scene->app->found_count; i++) {
        assert_int_equal(scene->app->found[i].event.kind, KIND_FILL);
        assert_string_equal(scene->app->found[i].event.u.fill.vessel.s, "A1");
    }
    scene_keys(scene, "h"); /* all kinds again */
    assert_true(scene_shows(scene, "entries of A1"));
    scene_keys(scene, "VV"); /* from A1 over all vessels to the last one */
    assert_true(scene_shows(scene, "entries of W1"));
    scene_close(scene);
}

static void only_such_entries_as_the_chosen_one(void **state)
{
    (void)state;
    Scene *scene = log_scene(24, 80, ALPHABET_UTF8);
    scene_keys(scene, "je");
    assert_true(scene_shows(scene, "log  draw"));
    for (int i = 0; i < scene->app->found_count; i++)
        assert_int_equal(scene->app->found[i].event.kind, KIND_DRAW);
    scene_keys(scene, "e");
    assert_true(scene_shows(scene, "all entries"));
    scene_close(scene);
}

static void x_takes_the_chosen_entry_back_and_brings_it_back(void **state)
{
    (void)state;
    Scene *scene = log_scene(24, 80, ALPHABET_UTF8);
    int64_t before = scene->app->board.supply.line;
    int count = scene->count;
    scene_keys(scene, "jx"); /* the draw of 3.5 L at 18:30 */
    assert_int_equal(scene->count, count + 1);
    const Event *out = last_of(scene, KIND_VOID);
    assert_non_null(out);
    assert_int_equal(scene->app->board.supply.line, before + 3500);
    assert_int_equal(voided_count(scene), 1);
    assert_true(scene_shows(scene, "taken back: draw galley 3.5 L"));
    assert_true(scene_shows(scene, "void: takes back draw galley 3.5 L"));
    assert_true(scene_shows(scene, "Taken back: draw galley 3.5 L"));
    scene_keys(scene, "x"); /* the cursor stayed on it */
    assert_int_equal(scene->count, count + 2);
    assert_int_equal(scene->app->board.supply.line, before);
    assert_true(scene_shows(scene, "Brought back: draw galley 3.5 L"));
    assert_true(scene_shows(scene, "void: brings back draw galley 3.5 L"));
    scene_close(scene);
}

static void what_was_taken_back_can_be_hidden(void **state)
{
    (void)state;
    Scene *scene = log_scene(24, 80, ALPHABET_UTF8);
    int shown = scene->app->found_count;
    scene_keys(scene, "jxu");
    assert_int_equal(scene->app->found_count, shown - 1); /* neither the entry nor its void */
    assert_true(scene_shows(scene, "taken back hidden"));
    scene_keys(scene, "u");
    assert_int_equal(scene->app->found_count, shown + 1);
    scene_close(scene);
}

static void m_amends_by_a_void_and_a_new_entry_of_the_same_time(void **state)
{
    (void)state;
    Scene *scene = log_scene(24, 80, ALPHABET_UTF8);
    int count = scene->count;
    int64_t before = scene->app->board.supply.line;
    scene_keys(scene, "jm");
    assert_non_null(app_form(scene->app));
    scene_keys(scene, "\x15"
                      "2\n");
    assert_int_equal(scene->count, count + 2);
    const Event *out = last_of(scene, KIND_VOID), *in = last_of(scene, KIND_DRAW);
    assert_int_equal(in->u.draw.litres, 2000);
    assert_ptr_equal(in, &scene->log[count + 1]);
    const Event *old = NULL;
    for (int i = 0; i < count; i++)
        if (uuid_compare(&scene->log[i].id, &out->u.entry.entry) == 0)
            old = &scene->log[i];
    assert_non_null(old);
    assert_int_equal(old->u.draw.litres, 3500);
    assert_int_equal(in->at.ms, old->at.ms);
    assert_int_equal(scene->app->board.supply.line, before + 1500);
    assert_ptr_equal(app_top(scene->app), &SCREEN_LOG); /* and it shows what is new */
    assert_true(scene_shows(scene, "taken back: draw galley 3.5 L"));
    assert_true(scene_shows(scene, "entry      draw galley 2 L")); /* the cursor is on it */
    scene_close(scene);
}

static void voids_and_taken_back_entries_are_not_amended(void **state)
{
    (void)state;
    Scene *scene = log_scene(24, 80, ALPHABET_UTF8);
    scene_keys(scene, "jxm");
    assert_null(app_form(scene->app));
    assert_true(scene_shows(scene, "It was taken back"));
    scene_keys(scene, "gm");
    assert_null(app_form(scene->app));
    assert_true(scene_shows(scene, "A void is not amended"));
    scene_close(scene);
}

static void an_entry_written_elsewhere_appears_and_the_cursor_stays(void **state)
{
    (void)state;
    Scene *scene = log_scene(24, 80, ALPHABET_UTF8);
    scene_keys(scene, "jj");
    assert_true(scene_shows(scene, "▸ Mon 23 Nov 18:30   draw galley 6.2 L"));
    scene_entry(scene, "18:40", KIND_NOTE, "note", "from a phone", NULL);
    scene_tell(scene);
    assert_true(scene_shows(scene, "from a phone"));
    assert_true(scene_shows(scene, "▸ Mon 23 Nov 18:30   draw galley 6.2 L"));
    scene_close(scene);
}

static void what_was_written_under_a_screen_on_top_is_there_after_it(void **state)
{
    (void)state;
    Scene *scene = log_scene(24, 80, ALPHABET_UTF8);
    scene_keys(scene, "?");
    scene_entry(scene, "18:40", KIND_NOTE, "note", "from a phone", NULL);
    scene_tell(scene);
    scene_keys(scene, "\x1b");
    assert_true(scene_shows(scene, "from a phone"));
    scene_close(scene);
}

static void what_does_not_agree_is_found_and_settled(void **state)
{
    (void)state;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "2D");
    assert_true(scene_shows(scene, "Every entry agrees"));
    scene_entry(scene, "18:35", KIND_SOUND, "vessel", "A2", "level", "8", NULL);
    scene_entry(scene, "18:36", KIND_DRAW, "line", "galley", "litres", "1", NULL);
    scene_tell(scene);
    assert_int_equal(scene->app->board.discrepancy_count, 1);
    scene_keys(scene, "t");
    assert_true(scene_shows(scene, "2, then D, shows them"));
    scene_keys(scene, "G");
    assert_true(scene_shows(scene, "Differs: 18:35: sound A2"));
    scene_keys(scene, "2y"); /* the draw */
    assert_true(scene_shows(scene, "nothing is to be settled"));
    scene_keys(scene, "D");
    assert_true(scene_shows(scene, "differs    ▲ sound A2"));
    int before = scene->count;
    scene_keys(scene, "y");
    assert_int_equal(scene->count, before + 1);
    assert_int_equal(scene->log[before].kind, KIND_SETTLE);
    assert_true(scene_shows(scene, "Settled: sound A2 8 L (18:35)"));
    assert_int_equal(scene->app->board.discrepancy_count, 0);
    scene_keys(scene, "z"); /* and it differs again */
    assert_int_equal(scene->app->board.discrepancy_count, 1);
    scene_close(scene);
}

static void what_took_an_entry_back_is_found_behind_a_search(void **state)
{
    (void)state;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_entry(scene, "18:35", KIND_NOTE, "note", "the seal", NULL);
    scene_tell(scene);
    int note = scene->count - 1;
    scene_keys(scene, "2/seal\nx");
    assert_true(scene->voided[note]);
    scene_keys(scene, "x");
    assert_true(scene_shows(scene, "All entries are shown now"));
    assert_true(scene_shows(scene, "▸            18:35 × taken back: note: the seal"));
    scene_keys(scene, "x");
    assert_false(scene->voided[note]);
    scene_close(scene);
}

static void a_long_log_is_read_page_by_page(void **state)
{
    (void)state;
    Scene *scene = scene_open(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    for (int i = 0; i < 450; i++) {
        Event e;
        event_clear(&e, KIND_NOTE);
        e.at = (Moment){scene->now.ms - (450 - i) * MS_PER_MINUTE};
        snprintf(e.note, sizeof e.note, "note %03d", i);
        scene_write(scene, &e);
    }
    scene_tell(scene);
    scene_keys(scene, "2");
    assert_true(scene_shows(scene, "note 449"));
    assert_int_equal(scene->app->found_count, 400);
    scene_keys(scene, "G");
    assert_true(scene_shows(scene, "older entries: Enter"));
    scene_keys(scene, "\n");
    assert_true(scene_shows(scene, "note 050")); /* the last one seen comes first again */
    assert_int_equal(scene->app->found_count, 51);
    scene_keys(scene, "G");
    assert_true(scene_shows(scene, "note 000"));
    scene_keys(scene, "o");
    assert_true(scene_shows(scene, "no older entries"));
    scene_keys(scene, "n");
    assert_true(scene_shows(scene, "note 449"));
    scene_close(scene);
}

static void an_empty_log_says_so(void **state)
{
    (void)state;
    Scene *scene = scene_open(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_keys(scene, "2jkGgxm\neo");
    assert_true(scene_shows(scene, "The log is empty"));
    assert_int_equal(scene->count, 0);
    scene_close(scene);
}

static void the_help_tells_every_key(void **state)
{
    (void)state;
    Scene *scene = log_scene(50, 100, ALPHABET_UTF8);
    scene_keys(scene, "?");
    for (int i = 0; i < SCREEN_LOG.action_count; i++)
        assert_true(scene_shows(scene, SCREEN_LOG.actions[i].help));
    scene_close(scene);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_log_looks_as_drawn_before),
        cmocka_unit_test(one_entry_closely_looks_as_drawn_before),
        cmocka_unit_test(one_key_of_the_board_ends_a_likely_double),
        cmocka_unit_test(what_two_machines_logged_is_marked_until_one_is_taken_back),
        cmocka_unit_test(search_leaves_only_what_contains_the_word),
        cmocka_unit_test(escape_puts_the_search_away_and_keeps_the_screen),
        cmocka_unit_test(a_vessel_and_a_kind_filter_together),
        cmocka_unit_test(only_such_entries_as_the_chosen_one),
        cmocka_unit_test(x_takes_the_chosen_entry_back_and_brings_it_back),
        cmocka_unit_test(what_was_taken_back_can_be_hidden),
        cmocka_unit_test(m_amends_by_a_void_and_a_new_entry_of_the_same_time),
        cmocka_unit_test(voids_and_taken_back_entries_are_not_amended),
        cmocka_unit_test(an_entry_written_elsewhere_appears_and_the_cursor_stays),
        cmocka_unit_test(what_was_written_under_a_screen_on_top_is_there_after_it),
        cmocka_unit_test(what_does_not_agree_is_found_and_settled),
        cmocka_unit_test(what_took_an_entry_back_is_found_behind_a_search),
        cmocka_unit_test(a_long_log_is_read_page_by_page),
        cmocka_unit_test(an_empty_log_says_so),
        cmocka_unit_test(the_help_tells_every_key),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
