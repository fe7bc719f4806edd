/* Wishes granted from a real log. Needs the store floor, no terminal. */
#include "support/scene.h"

#include "store/log.h"
#include "store/running.h"
#include "tui/grant.h"

#include <unistd.h>

typedef struct {
    Log *log;
    Grant grant;
    Scene *scene; /* only for its season and its App */
    Moment now;
} Ship;

static Ship ship;

static int board(void **unused)
{
    Fault fault = {0};
    (void)unused;
    ship.scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    ship.now = ship.scene->now;
    ship.log = log_open("", LOG_SCRATCH, &fault);
    if (!ship.log)
        fail_msg("%s", fault.text);
    if (!log_append_all(ship.log, ship.scene->log, ship.scene->count, ship.now, NULL, &fault))
        fail_msg("%s", fault.text);
    grant_init(&ship.grant, ship.log, ship.scene->app);
    assert_true(grant_first(&ship.grant, ship.now, &fault));
    return 0;
}

static int leave(void **unused)
{
    (void)unused;
    grant_finish(&ship.grant);
    log_close(ship.log);
    scene_close(ship.scene);
    return 0;
}

static void keys(const char *text)
{
    for (; *text; text++) {
        Wish wish;
        app_key(ship.scene->app, *text == '\n' ? PRESS_ENTER : (Press)(unsigned char)*text, &wish);
        grant_wish(&ship.grant, &wish);
    }
}

static int64_t entries(void)
{
    State *state = memory_get(sizeof *state);
    Fault fault = {0};
    int64_t count = 0;
    assert_true(log_state(ship.log, state, &count, &fault));
    free(state);
    return count;
}

static void the_board_is_told_the_log_and_its_latest_entries(void **unused)
{
    (void)unused;
    App *app = ship.scene->app;
    assert_int_equal(app->entries, ship.scene->count);
    assert_int_equal(app->recent_count, APP_RECENT);
    assert_int_equal(app->recent[0].event.kind, KIND_STOP);
    assert_int_equal(app->state.vessels[0].volume, 200);
}

static void two_keys_write_a_refill_into_the_log(void **unused)
{
    int64_t before = entries();
    Event last;
    Fault fault = {0};
    (void)unused;
    keys("f\n");
    assert_int_equal(entries(), before + 1);
    assert_true(log_find(ship.log, text_of("last"), &last, &fault));
    assert_int_equal(last.kind, KIND_FILL);
    assert_true(scene_shows(ship.scene, "Written: fill A1"));
    assert_int_equal(ship.scene->app->state.vessels[0].volume, 12000);
}

static void z_takes_entries_back_one_by_one_to_the_first(void **unused)
{
    (void)unused;
    keys("d2\nd1\nzz");
    assert_true(scene_shows(ship.scene, "Taken back: draw galley 2 L"));
    for (int i = 0; i < ship.scene->count + 3; i++)
        keys("zz"); /* what was written longer ago than is remembered asks first */
    assert_int_equal(ship.scene->app->board.vessel_count, 0);
}

static void an_entry_written_by_another_hand_is_noticed_and_nothing_else_is(void **unused)
{
    Event e;
    Fault fault = {0};
    (void)unused;
    assert_false(grant_look(&ship.grant, ship.now));
    event_clear(&e, KIND_NOTE);
    e.at = ship.now;
    snprintf(e.note, sizeof e.note, "frost on the hatch");
    assert_true(log_append(ship.log, &e, ship.now, &fault));
    bool noticed = grant_look(&ship.grant, ship.now);
    assert_true(noticed);
    assert_false(grant_look(&ship.grant, ship.now));
    assert_string_equal(ship.scene->app->recent[0].event.note, "frost on the hatch");
}

static void entries_are_found_by_text_kind_and_limit(void **unused)
{
    App *app = ship.scene->app;
    Wish wish = {.kind = WISH_FIND,
                 .query = {.since = MOMENT_NONE, .until = MOMENT_NONE, .limit = 5}};
    (void)unused;
    grant_wish(&ship.grant, &wish);
    assert_int_equal(app->found_count, 5);
    assert_true(app->found_more);
    snprintf(wish.query.contains, sizeof wish.query.contains, "DISHES");
    wish.query.limit = 100;
    grant_wish(&ship.grant, &wish);
    assert_int_equal(app->found_count, 9);
    assert_false(app->found_more);
    for (int i = 0; i < app->found_count; i++)
        assert_int_equal(app->found[i].event.kind, KIND_DRAW);
    wish.query =
        (EntryQuery){.since = MOMENT_NONE, .until = MOMENT_NONE, .kind = KIND_COUPLE, .limit = 100};
    grant_wish(&ship.grant, &wish);
    assert_int_equal(app->found_count, 1);
}

static void a_history_is_the_fold_at_each_moment(void **unused)
{
    App *app = ship.scene->app;
    Wish wish = {.kind = WISH_HISTORY,
                 .history = {.vessel = label_of(text_of("A1")),
                             .since = {ship.now.ms - 25 * MS_PER_DAY},
                             .until = ship.now,
                             .count = 26}};
    (void)unused;
    grant_wish(&ship.grant, &wish);
    assert_int_equal(app->history.volume[0], -1); /* not aboard yet */
    for (int i = 0; i < 26; i++) {
        Moment at = {ship.now.ms - (25 - i) * MS_PER_DAY};
        State *state = memory_get(sizeof *state);
        Fault fault = {0};
        int64_t count;
        assert_true(log_state_at(ship.log, at, state, &count, &fault));
        int v = state_vessel(state, &wish.history.vessel);
        assert_int_equal(app->history.volume[i], v < 0 ? -1 : state->vessels[v].volume);
        free(state);
    }
}

static void a_back_dated_entry_is_tried_on_the_log_before_it_is_written(void **unused)
{
    int64_t before = entries();
    (void)unused;
    keys("d2");
    Form *form = app_form(ship.scene->app);
    while (strcmp(form->rows.fields[form->rows.active].caption, "time") != 0)
        keys("\t");
    keys("yesterday 20:00");
    assert_true(form->ready && form->backdated);
    assert_non_null(strstr(form->changes.s, "A2 7.6 L -> 5.6 L"));
    assert_int_equal(entries(), before);
    keys("\n");
    assert_int_equal(entries(), before + 1);
    assert_int_equal(ship.scene->app->state.vessels[1].volume, 5600);
}

static void amending_is_a_void_and_a_new_entry_in_one(void **unused)
{
    int64_t before = entries();
    Wish wish = {0};
    (void)unused;
    Event draw = ship.scene->app->recent[1].event;
    assert_int_equal(draw.kind, KIND_DRAW);
    app_open_amend(ship.scene->app, &draw, &wish);
    grant_wish(&ship.grant, &wish);
    assert_true(app_form(ship.scene->app)->unchanged);
    keys("1"); /* 3.5 becomes 3.51 */
    assert_true(app_form(ship.scene->app)->ready);
    keys("\n");
    assert_int_equal(entries(), before + 2);
    assert_true(scene_shows(ship.scene, "Amended"));
}

static void an_amendment_that_changes_nothing_writes_nothing(void **unused)
{
    int64_t before = entries();
    Wish wish = {0};
    (void)unused;
    Event draw = ship.scene->app->recent[1].event;
    app_open_amend(ship.scene->app, &draw, &wish);
    grant_wish(&ship.grant, &wish);
    keys("1\x15"
         "3.5\n"); /* typed anew, it is the same */
    assert_int_equal(entries(), before);
    assert_true(scene_shows(ship.scene, "nothing is written"));
}

/* Four vessels from a place that nobody knew, and its class: counted as a person would. */
static void four_vessels_from_a_new_source_take_19_keys_and_one_to_take_back(void **unused)
{
    int64_t before = entries();
    (void)unused;
    const char *all = "fa1-4\tBirk tap\t\tp\n";
    assert_true(strlen(all) <= 19);
    keys(all);
    assert_int_equal(entries(), before + 5);
    const State *state = &ship.scene->app->state;
    for (int i = 0; i < 4; i++)
        assert_int_equal(state->vessels[i].volume, state->vessels[i].capacity);
    const Label birk = label_of(text_of("Birk tap"));
    assert_int_equal(state->sources[state_source(state, &birk)].quality, CLASS_POTABLE);
    assert_non_null(strstr(ship.scene->app->message, "z takes all of it back"));
    keys("z");
    assert_int_equal(entries(), before + 10);
    assert_int_equal(state_source(&ship.scene->app->state, &birk), -1);
    assert_non_null(strstr(ship.scene->app->message, "and 4 more"));
    keys("Z");
    assert_true(state_source(&ship.scene->app->state, &birk) >= 0);
    assert_int_equal(ship.scene->app->state.vessels[0].volume, 12000);
    keys("z");
    assert_int_equal(state_source(&ship.scene->app->state, &birk), -1);
}

#define GRANT_TEST(name) cmocka_unit_test_setup_teardown(name, board, leave)

/* A feed beside the board: told at the next look, without an entry, and over when it is over. */
static void running_water_is_seen_without_an_entry(void **unused)
{
    (void)unused;
    char folder[] = "/tmp/ullage-grant-XXXXXX", path[100];
    Fault fault = {0};
    Grant grant;
    assert_non_null(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/water.db", folder);
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    Log *log = log_open(path, LOG_WRITE, &fault);
    assert_non_null(log);
    assert_true(log_append_all(log, scene->log, scene->count, scene->now, NULL, &fault));
    grant_init(&grant, log, scene->app);
    assert_true(grant_first(&grant, scene->now, &fault));
    const int64_t count = scene->app->entries;
    assert_false(grant_look(&grant, scene->now));
    Running running = {.line = label_of(text_of("galley")),
                       .since = scene->now.ms - 40 * MS_PER_MINUTE,
                       .at = scene->now.ms,
                       .ml = 3400,
                       .ml_min = 1200};
    running_tell(path, &running);
    assert_true(grant_look(&grant, scene->now));
    assert_false(grant_look(&grant, scene->now));
    assert_true(scene_shows(scene, "galley running 1.2 L/min, 3.4 L since 18:02"));
    app_tick(scene->app, scene->now); /* the minute that passes does not forget it */
    assert_true(scene_shows(scene, "galley running 1.2 L/min"));
    running.ml_min = 0;
    running_tell(path, &running);
    assert_true(grant_look(&grant, scene->now));
    assert_true(scene_shows(scene, "galley stopped, 3.4 L since 18:02"));
    running_end(path, &running.line);
    assert_true(grant_look(&grant, scene->now));
    assert_false(scene_shows(scene, "3.4 L since"));
    assert_int_equal(scene->app->entries, count);
    grant_finish(&grant);
    log_close(log);
    scene_close(scene);
    unlink(path);
    rmdir(folder);
}

static void the_theme_that_is_chosen_is_remembered_but_not_in_a_demo(void **unused)
{
    (void)unused;
    Str theme = {0};
    Fault fault = {0};
    keys("T");
    assert_true(log_look(ship.log, "theme", "", &theme, &fault));
    assert_string_equal(theme.s, "light");
    ship.scene->app->demo = true;
    keys("T");
    assert_true(log_look(ship.log, "theme", "", &theme, &fault));
    assert_string_equal(theme.s, "light");
    str_finish(&theme);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        GRANT_TEST(the_theme_that_is_chosen_is_remembered_but_not_in_a_demo),
        cmocka_unit_test(running_water_is_seen_without_an_entry),
        GRANT_TEST(the_board_is_told_the_log_and_its_latest_entries),
        GRANT_TEST(two_keys_write_a_refill_into_the_log),
        GRANT_TEST(z_takes_entries_back_one_by_one_to_the_first),
        GRANT_TEST(an_entry_written_by_another_hand_is_noticed_and_nothing_else_is),
        GRANT_TEST(entries_are_found_by_text_kind_and_limit),
        GRANT_TEST(a_history_is_the_fold_at_each_moment),
        GRANT_TEST(a_back_dated_entry_is_tried_on_the_log_before_it_is_written),
        GRANT_TEST(an_amendment_that_changes_nothing_writes_nothing),
        GRANT_TEST(four_vessels_from_a_new_source_take_19_keys_and_one_to_take_back),
        GRANT_TEST(amending_is_a_void_and_a_new_entry_in_one),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
