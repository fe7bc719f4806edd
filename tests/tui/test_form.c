#include "support/scene.h"

static Scene *scene;

static int season(void **unused)
{
    (void)unused;
    scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    return 0;
}

static int leave(void **unused)
{
    (void)unused;
    scene_close(scene);
    return 0;
}

static const FormField *field(const char *caption)
{
    Form *form = app_form(scene->app);
    assert_non_null(form);
    int i = form_index(form, caption);
    assert_true(i >= 0);
    return &form->rows.fields[i];
}

static void an_untouched_fill_is_ready_and_says_what_it_would_change(void **unused)
{
    (void)unused;
    scene_keys(scene, "f");
    Form *form = app_form(scene->app);
    assert_true(form->ready);
    assert_non_null(strstr(form->changes.s, "A1 0.20 L -> 12.0 L"));
    assert_non_null(strstr(form->changes.s, "days left"));
    assert_string_equal(field("litres")->echo, "level 12.0 L");
}

/* Whatever its length: "L/minas it is" is no unit. */
static void a_unit_and_what_stands_behind_it_are_kept_apart(void **unused)
{
    (void)unused;
    scene_entry(scene, "18:41", KIND_STAGE, "stage", "carbon", "rated_lpm", "4", NULL);
    scene_tell(scene);
    scene_keys(scene, "4m");
    assert_true(scene_shows(scene, "rated-lpm    4                         L/min as it is\n"));
    assert_true(scene_shows(scene, "life-litres  150                        L    as it is\n"));
}

static void each_key_reads_every_field_anew(void **unused)
{
    (void)unused;
    scene_keys(scene, "f\t\t"); /* to the litres */
    scene_keys(scene, "1");
    assert_non_null(strstr(app_form(scene->app)->changes.s, "A1 0.20 L -> 1.2 L"));
    scene_keys(scene, "1");
    assert_non_null(strstr(app_form(scene->app)->changes.s, "A1 0.20 L -> 11.2 L"));
    scene_keys(scene, "x");
    assert_true(field("litres")->wrong);
    assert_false(app_form(scene->app)->ready);
    assert_true(app_form(scene->app)->changes.n == 0);
    scene_keys(scene, "\b");
    assert_false(field("litres")->wrong);
}

/* What the command line makes of a level of A2. */
static bool level_of_a2(const char *typed, int64_t *ml, Fault *fault)
{
    Event e;
    const Reading reading = {&scene->app->state, scene->app->now, UNITS_METRIC};
    const Kind *kind = kind_of(KIND_SOUND);
    event_clear(&e, KIND_SOUND);
    e.at = scene->app->now;
    assert_true(event_set(&e, kind_field(kind, text_of("vessel")), text_of("A2"), &reading, fault));
    const bool good =
        event_set(&e, kind_field(kind, text_of("level")), text_of(typed), &reading, fault);
    *ml = good ? e.u.sound.level : -1;
    return good;
}

static void a_form_accepts_and_refuses_what_the_command_does(void **unused)
{
    static const char *const amounts[] = {"8",    "8l", "40%", "9.1kg", "full",  "empty", "=11.5",
                                          "2gal", "-1", "1e3", "nan",   "99999", "z",     "8,5"};
    (void)unused;
    for (size_t i = 0; i < sizeof amounts / sizeof *amounts; i++) {
        scene_keys(scene, "s\t");
        scene_keys(scene, amounts[i]);
        Fault fault = {0};
        int64_t level;
        const bool good = level_of_a2(amounts[i], &level, &fault);
        assert_int_equal(field("level")->wrong, !good);
        if (good)
            assert_int_equal(app_form(scene->app)->entry.u.sound.level, level);
        else
            assert_string_equal(field("level")->error, fault.text);
        scene_keys(scene, "\x1b");
    }
}

/* Only here, where what was taken is seen: the command line asks for the whole word. */
static void a_letter_is_enough_for_the_word_of_a_level(void **unused)
{
    static const struct {
        const char *keys, *echo;
    } typed[] = {{"f", "full"}, {"s", "spent"}, {"emp", "empty"}};
    (void)unused;
    for (size_t i = 0; i < sizeof typed / sizeof *typed; i++) {
        Fault fault = {0};
        int64_t level, unread;
        assert_true(level_of_a2(typed[i].echo, &level, &fault));
        assert_false(level_of_a2(typed[i].keys, &unread, &fault));
        scene_keys(scene, "s\t");
        scene_keys(scene, typed[i].keys);
        assert_false(field("level")->wrong);
        assert_int_equal(app_form(scene->app)->entry.u.sound.level, level);
        scene_keys(scene, "\x1b");
    }
}

static void a_name_completes_from_its_beginning_or_any_part(void **unused)
{
    (void)unused;
    scene_keys(scene, "f3");
    assert_string_equal(field("vessel")->completed, "A3");
    scene_keys(scene, "\tal");
    assert_string_equal(field("from")->completed, "Alder spring");
    assert_string_equal(app_form(scene->app)->entry.u.fill.source.s, "Alder spring");
}

static void a_completed_name_that_is_not_meant_is_put_away_with_backspace(void **unused)
{
    (void)unused;
    scene_keys(scene, "f\tAl\b");
    assert_string_equal(field("from")->typed.text, "Al");
    assert_string_equal(field("from")->completed, "");
    assert_string_equal(app_form(scene->app)->entry.u.fill.source.s, "Al");
}

static void a_thing_named_for_the_first_time_is_taken_as_typed(void **unused)
{
    (void)unused;
    scene_keys(scene, "a");
    while (strcmp(kind_of(KIND_VESSEL)->name, "vessel") == 0 && !app_form(scene->app)) {
        scene_press(scene, PRESS_DOWN);
        Str text = {0};
        scene_draw(scene, &text);
        bool here = strstr(text.s, "\xe2\x96\xb8 vessel") || strstr(text.s, "\xe2\x96\xb8vessel");
        str_finish(&text);
        if (here)
            scene_press(scene, PRESS_ENTER);
    }
    assert_int_equal(app_form(scene->app)->kind->id, KIND_VESSEL);
    scene_keys(scene, "A");
    assert_string_equal(app_form(scene->app)->entry.u.vessel.vessel.s, "A");
}

static void left_and_right_go_through_the_names_and_words(void **unused)
{
    (void)unused;
    scene_keys(scene, "f");
    scene_press(scene, PRESS_RIGHT);
    assert_string_equal(field("vessel")->typed.text, "A2");
    scene_press(scene, PRESS_LEFT);
    scene_press(scene, PRESS_LEFT);
    assert_string_equal(field("vessel")->typed.text, "W1");
    scene_keys(scene, "\x1b"
                      "d\t");
    scene_press(scene, PRESS_RIGHT);
    assert_string_equal(field("for")->typed.text, "drink");
}

static void several_vessels_are_chosen_one_after_the_other(void **unused)
{
    (void)unused;
    scene_keys(scene, "f ");
    scene_press(scene, PRESS_RIGHT);
    assert_string_equal(field("vessel")->typed.text, "A1 A1");
    scene_press(scene, PRESS_RIGHT);
    assert_string_equal(field("vessel")->typed.text, "A1 A2");
    scene_keys(scene, " R1");
    const Form *form = app_form(scene->app);
    assert_int_equal(form->count, 3);
    assert_string_equal(form->entries[2].u.fill.vessel.s, "R1");
    assert_string_equal(field("vessel")->echo, "A1 A2 R1");
    assert_non_null(strstr(field("litres")->echo, "in all"));
    scene_keys(scene, " Q9");
    assert_true(field("vessel")->wrong);
    assert_false(app_form(scene->app)->ready);
}

static void a_name_that_is_nearly_one_asks(void **unused)
{
    (void)unused;
    scene_keys(scene, "f\tAlder sprin");
    assert_string_equal(field("from")->completed, "Alder spring");
    scene_keys(scene, "\x15"
                      "Alder spirng");
    assert_true(field("from")->wrong && field("from")->asks);
    assert_false(app_form(scene->app)->ready);
    scene_press(scene, PRESS_RIGHT);
    assert_string_equal(field("from")->typed.text, "Alder spring");
    assert_true(app_form(scene->app)->ready);
    scene_keys(scene, "\x15"
                      "Alder spirng\b");
    assert_string_equal(app_form(scene->app)->entry.u.fill.source.s, "Alder spirng");
    assert_true(app_form(scene->app)->ready);
}

/* Amending shows what is known; Enter on it writes nothing, and what is typed is all that is said.
 */
static void what_is_known_of_a_thing_is_shown_and_not_said_again(void **unused)
{
    (void)unused;
    Wish wish = {0};
    const int before = scene->count;
    app_open_form(scene->app, KIND_VESSEL, "A1", &wish);
    assert_string_equal(field("capacity")->proposal, "12");
    assert_true(app_form(scene->app)->unchanged);
    scene_keys(scene, "\n");
    assert_int_equal(scene->count, before);
    assert_true(scene_shows(scene, "nothing is written"));
    app_open_form(scene->app, KIND_VESSEL, "A1", &wish);
    scene_keys(scene, "13\n");
    assert_int_equal(scene->count, before + 1);
    const Event *e = &scene->log[before];
    assert_int_equal(e->u.vessel.capacity, 13000);
    assert_int_equal(e->has, 3); /* its name and its capacity */
    app_open_form(scene->app, KIND_COUPLE, "galley", &wish);
    assert_string_equal(field("order")->proposal, "A1 A2 A3 A4");
    app_open_form(scene->app, KIND_CREW, "", &wish);
    assert_string_equal(field("persons")->proposal, "2");
}

static void a_proposal_gives_way_to_a_field_that_excludes_it(void **unused)
{
    (void)unused;
    scene_keys(scene, "d2\t\t\tW1");
    assert_string_equal(app_form(scene->app)->entry.u.draw.line.s, "");
    assert_string_equal(app_form(scene->app)->entry.u.draw.vessel.s, "W1");
    assert_true(app_form(scene->app)->ready);
}

static void a_time_is_echoed_in_full_and_back_dating_asks_the_log(void **unused)
{
    (void)unused;
    scene_keys(scene, "d2");
    Form *form = app_form(scene->app);
    while (strcmp(form->rows.fields[form->rows.active].caption, "time") != 0)
        scene_keys(scene, "\t");
    scene_keys(scene, "yesterday 20:00");
    assert_non_null(strstr(field("time")->echo, "Mon 23 Nov 20:00"));
    assert_true(form->backdated && form->ready);
    assert_non_null(strstr(form->changes.s, "A2 7.6 L -> 5.6 L"));
    for (int i = 0; i < 20; i++)
        scene_keys(scene, "\b");
    scene_keys(scene, "tomorrow 9:00");
    assert_false(form->ready);
}

static void an_entry_a_little_newer_than_now_hides_no_preview_and_a_far_one_is_said(void **unused)
{
    (void)unused;
    const Moment now = scene->now;
    scene->now.ms = scene->app->state.last_at - 2 * MS_PER_MINUTE;
    scene->app->now = scene->now;
    scene_keys(scene, "f");
    assert_true(app_form(scene->app)->ready);
    assert_true(app_form(scene->app)->changes.n > 0);
    scene_keys(scene, "\033");
    scene->now.ms--;
    scene->app->now = scene->now;
    scene_keys(scene, "f");
    assert_false(app_form(scene->app)->ready);
    assert_non_null(strstr(app_form(scene->app)->refusal, "Set the clock"));
    scene->now = now;
}

static void a_back_dated_entry_that_could_not_be_then_is_refused(void **unused)
{
    (void)unused;
    scene_keys(scene, "d2");
    Form *form = app_form(scene->app);
    while (strcmp(form->rows.fields[form->rows.active].caption, "time") != 0)
        scene_keys(scene, "\t");
    scene_keys(scene, "-40d"); /* before anything was aboard */
    assert_false(form->ready);
    assert_true(form->refusal[0] != '\0');
}

static void what_is_needed_and_what_is_wrong_is_shown_before_anything_is_written(void **unused)
{
    int before = scene->count;
    (void)unused;
    scene_keys(scene, "d\n");
    assert_int_equal(scene->count, before);
    assert_true(scene_shows(scene, "Not written"));
    scene_keys(scene, "500\n");
    assert_int_equal(scene->count, before);
    assert_true(scene_shows(scene, "! "));
    scene_keys(scene, "\b\b\n");
    assert_int_equal(scene->count, before + 1);
}

static void a_form_that_nothing_was_said_in_is_not_called_wrong(void **unused)
{
    (void)unused;
    Wish wish = {0};
    Scene *empty = scene_open(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    app_open_form(empty->app, KIND_PUTOFF, "", &wish);
    assert_true(app_form(empty->app)->refusal[0] != '\0');
    Str text = {0};
    assert_null(strstr(scene_draw(empty, &text), "give a stage or a vessel"));
    scene_keys(empty, "\n"); /* Enter asks for it */
    assert_non_null(strstr(scene_draw(empty, &text), "give a stage or a vessel"));
    str_finish(&text);
    scene_close(empty);
}

static void an_order_is_typed_with_spaces_or_commas(void **unused)
{
    (void)unused;
    Wish wish = {0};
    app_open_form(scene->app, KIND_COUPLE, "", &wish);
    scene_keys(scene, "galley\tA4 B3 A2");
    assert_true(field("order")->wrong);
    for (int i = 0; i < 9; i++)
        scene_keys(scene, "\b");
    scene_keys(scene, "A4, A3");
    assert_false(field("order")->wrong);
    assert_int_equal(app_form(scene->app)->entry.u.couple.count, 2);
    scene_keys(scene, " A1");
    assert_int_equal(app_form(scene->app)->entry.u.couple.count, 3);
    for (int i = 0; i < 9; i++)
        scene_keys(scene, "\b");
    scene_keys(scene, "A4,A3,A1");
    assert_int_equal(app_form(scene->app)->entry.u.couple.count, 3);
}

static void a_text_longer_than_its_field_shows_the_end_with_the_cursor(void **unused)
{
    (void)unused;
    scene_keys(scene, "f\tthe tap behind the white house at the end of the quay");
    assert_true(scene_shows(scene, "the end of the quay"));
    assert_in_range(scene->sheet.cursor_col, 30, 44);
    scene_press(scene, PRESS_HOME);
    assert_true(scene_shows(scene, "the tap behind"));
}

static void every_kind_has_a_form_that_draws_at_any_size(void **unused)
{
    (void)unused;
    for (int id = 1; id < KIND_END; id++) {
        for (int rows = 1; rows < 30; rows += 4) {
            for (int cols = 1; cols < 100; cols += 9) {
                Wish wish = {0};
                app_open_form(scene->app, (KindId)id, "", &wish);
                scene_keys(scene, "\t\t");
                app_resize(scene->app, rows, cols);
                app_draw(scene->app, &scene->sheet);
                app_resize(scene->app, 24, 80);
                app_home(scene->app);
            }
        }
    }
}

static void amending_starts_from_the_entry_and_writes_a_void_and_a_new_one(void **unused)
{
    (void)unused;
    Event last = scene->log[scene->count - 2]; /* the draw of 18:30 */
    int before = scene->count;
    Wish wish = {0};
    assert_int_equal(last.kind, KIND_DRAW);
    app_open_amend(scene->app, &last, &wish);
    scene_grant(scene, wish);
    assert_string_equal(field("litres")->typed.text, "3.5");
    scene_keys(scene, "\b\b\b5\n");
    assert_int_equal(scene->count, before + 2);
    assert_true(scene->voided[before - 2]);
    assert_int_equal(scene->log[before + 1].u.draw.litres, 5000);
    assert_int_equal(scene->log[before + 1].at.ms, last.at.ms);
    assert_true(scene_shows(scene, "Amended: draw galley 5 L"));
}

#define FORM_TEST(name) cmocka_unit_test_setup_teardown(name, season, leave)

static void the_caution_stands_on_small_screens_too(void **unused)
{
    static const int sizes_seen[][2] = {{24, 80}, {50, 132}, {17, 60}, {12, 40}};
    (void)unused;
    for (size_t i = 0; i < sizeof sizes_seen / sizeof *sizes_seen; i++) {
        app_resize(scene->app, sizes_seen[i][0], sizes_seen[i][1]);
        scene_keys(scene, "f");
        assert_true(scene_shows(scene, "Vent a vessel before its lid"));
        scene_keys(scene, "\x1bw");
        assert_true(scene_shows(scene, "Vent the line before a housing"));
        scene_keys(scene, "\x1b");
    }
}

/* Of a preview that is too long what is grave stands, whatever else the entry does. */
static void a_caution_is_not_what_a_small_preview_leaves_out(void **unused)
{
    (void)unused;
    Wish wish = {0};
    app_resize(scene->app, 12, 40);
    app_open_form(scene->app, KIND_PRESSURISE, "", &wish);
    scene_keys(scene, "\t2.5 bar");
    assert_true(scene_shows(scene, "caution: 250 kPa (36.2 psi) is not"));
    assert_false(scene_shows(scene, "works at"));
    app_resize(scene->app, 24, 80);
    assert_true(scene_shows(scene, "galley works at 2.5 bar"));
}

/* An amended amount is the old one until it is changed, whatever the log's units are. */
static void amending_keeps_the_amount_in_any_units(void **unused)
{
    (void)unused;
    for (int units = UNITS_METRIC; units <= UNITS_IMPERIAL; units++) {
        scene->app->units = (Units)units;
        scene_keys(scene, "d1137ml\n");
        assert_int_equal(scene->log[scene->count - 1].u.draw.litres, 1137);
        scene_keys(scene, "2m");
        assert_true(scene_shows(scene, "draw  amends: the old entry is taken out"));
        scene_keys(scene, "\tdishes\n");
        const Event *e = &scene->log[scene->count - 1];
        assert_int_equal(e->kind, KIND_DRAW);
        assert_int_equal(e->u.draw.litres, 1137);
        scene_keys(scene, "1");
    }
    scene->app->units = UNITS_METRIC;
}

/* The unit beside a field is the one in which a bare number is read. */
static void the_unit_shown_is_the_unit_that_is_read(void **unused)
{
    (void)unused;
    scene->app->units = UNITS_US;
    scene_keys(scene, "d2");
    assert_true(scene_shows(scene, "gal  = 2.0 gal"));
    scene_keys(scene, "\n");
    assert_int_equal(scene->log[scene->count - 1].u.draw.litres, 7571); /* 2 x 3.785411784 L */
    scene->app->units = UNITS_METRIC;
    scene_keys(scene, "d2");
    assert_true(scene_shows(scene, "L    = 2.0 L"));
    scene_keys(scene, "\x1b");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        FORM_TEST(an_untouched_fill_is_ready_and_says_what_it_would_change),
        FORM_TEST(a_unit_and_what_stands_behind_it_are_kept_apart),
        FORM_TEST(each_key_reads_every_field_anew),
        FORM_TEST(a_form_accepts_and_refuses_what_the_command_does),
        FORM_TEST(a_letter_is_enough_for_the_word_of_a_level),
        FORM_TEST(a_name_completes_from_its_beginning_or_any_part),
        FORM_TEST(a_completed_name_that_is_not_meant_is_put_away_with_backspace),
        FORM_TEST(a_thing_named_for_the_first_time_is_taken_as_typed),
        FORM_TEST(left_and_right_go_through_the_names_and_words),
        FORM_TEST(several_vessels_are_chosen_one_after_the_other),
        FORM_TEST(a_name_that_is_nearly_one_asks),
        FORM_TEST(what_is_known_of_a_thing_is_shown_and_not_said_again),
        FORM_TEST(a_proposal_gives_way_to_a_field_that_excludes_it),
        FORM_TEST(a_time_is_echoed_in_full_and_back_dating_asks_the_log),
        FORM_TEST(an_entry_a_little_newer_than_now_hides_no_preview_and_a_far_one_is_said),
        FORM_TEST(a_back_dated_entry_that_could_not_be_then_is_refused),
        FORM_TEST(what_is_needed_and_what_is_wrong_is_shown_before_anything_is_written),
        FORM_TEST(a_form_that_nothing_was_said_in_is_not_called_wrong),
        FORM_TEST(an_order_is_typed_with_spaces_or_commas),
        FORM_TEST(a_text_longer_than_its_field_shows_the_end_with_the_cursor),
        FORM_TEST(every_kind_has_a_form_that_draws_at_any_size),
        FORM_TEST(amending_starts_from_the_entry_and_writes_a_void_and_a_new_one),
        FORM_TEST(the_caution_stands_on_small_screens_too),
        FORM_TEST(a_caution_is_not_what_a_small_preview_leaves_out),
        FORM_TEST(amending_keeps_the_amount_in_any_units),
        FORM_TEST(the_unit_shown_is_the_unit_that_is_read),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
