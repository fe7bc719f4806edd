/* What every screen looks like in its inks, in every theme; and that no state is told by them
 * alone. */
#include "support/scene.h"

#include "screens/words.h"
#include "support/look.h"

typedef struct {
    const char *name, *go; /* keys that lead there */
} View;

static const View views[] = {
    {"board", ""},      {"log", "2"},     {"vessels", "3"},   {"vessel", "3\n"},
    {"service", "4"},   {"outlook", "5"}, {"reckoners", "6"}, {"reckoner-chlorine", "6\n"},
    {"sources", "7"},   {"set-up", "8"},  {"form-fill", "f"}, {"form-wrong", "fA2\t\t99\t"},
    {"any-entry", "a"}, {"as-text", "t"}, {"keys", "?"}};
enum { VIEW_COUNT = sizeof views / sizeof *views };

/* The roles are the same in each theme: the map is one, and the theme is a table of its own. */
static void every_screen_in_the_inks_of_every_theme(void **unused)
{
    (void)unused;
    for (int p = 0; p < VIEW_COUNT; p++) {
        for (int s = 0; s < SCHEME_COUNT; s++) {
            Scene *scene = scene_season(24, 80, (Scheme)s, ALPHABET_UTF8);
            scene_keys(scene, views[p].go);
            scene_golden_inks(scene, views[p].name);
            scene_close(scene);
        }
    }
}

static void pen_colour(Str *out, int colour)
{
    int rgb[3];
    if (colour < 0) {
        str_adds(out, "      -");
        return;
    }
    ink_rgb(colour, rgb);
    str_addf(out, "#%02x%02x%02x", (unsigned)rgb[0], (unsigned)rgb[1], (unsigned)rgb[2]);
}

static void pen_attributes(Str *out, unsigned attributes)
{
    str_addf(out, " %c%c%c", attributes & PEN_BOLD ? 'b' : '.',
             attributes & PEN_REVERSE ? 'r' : '.', attributes & PEN_UNDERLINE ? 'u' : '.');
}

/* One line an ink: its letter in the maps, its name, foreground on background with 256 colours and
 * their contrast; of the 8 colours; attributes with 256, with 8, without colour. */
static void every_theme_is_a_table(void **unused)
{
    (void)unused;
    for (int s = 0; s < SCHEME_COUNT; s++) {
        Str table = {0};
        char name[64];
        for (int i = 0; i < INK_COUNT; i++) {
            Pen pen = ink_pen((Scheme)s, (Ink)i);
            str_addf(&table, "%c %-13s ", ink_letter((Ink)i), ink_name((Ink)i));
            pen_colour(&table, pen.fg);
            str_adds(&table, " on ");
            pen_colour(&table, pen.bg);
            if (pen.fg >= 0)
                str_addf(&table, " %5.2f", ink_contrast(pen.fg, pen.bg));
            str_addf(&table, " %2d on %2d", pen.fg8, pen.bg8);
            pen_attributes(&table, pen.bright);
            pen_attributes(&table, pen.attributes);
            pen_attributes(&table, pen.plain);
            str_addc(&table, '\n');
        }
        snprintf(name, sizeof name, "theme-%s", scheme_name((Scheme)s));
        golden_text(name, &table);
        str_finish(&table);
    }
}

/* ---- states that differ in one thing only ---- */

/* Makes the n-th state of a thing, of `count`; all else stays as it is. */
typedef struct {
    const char *what;
    int count;
    void (*make)(App *app, int nth);
    const char *go[6]; /* the screens that tell it */
} Difference;

static void make_class(App *app, int nth)
{
    for (int v = 0; v < app->board.vessel_count; v++) {
        BoardVessel *vessel = &app->board.vessels[v];
        if (strcmp(vessel->label.s, "A1") == 0) {
            vessel->quality = (Quality)nth;
            app->state.vessels[vessel->slot].quality = (uint8_t)nth;
        }
    }
}

static void make_service(App *app, int nth)
{
    for (int i = 0; i < app->board.stage_count; i++)
        app->board.stages[i].state = (ServiceState)nth;
}

static void make_reserve(App *app, int nth)
{
    static const ReserveState states[] = {RESERVE_INTACT, RESERVE_SHORT, RESERVE_IN_USE,
                                          RESERVE_SPENT};
    app->board.reserve = states[nth];
}

static void make_verdict(App *app, int nth)
{
    static const Verdict verdicts[] = {VERDICT_DRINK, VERDICT_DRINK_IF_TREATED, VERDICT_BOIL_FIRST,
                                       VERDICT_WASH_ONLY};
    app->board.lines[0].verdict = verdicts[nth];
}

static void make_source(App *app, int nth)
{
    for (int i = 0; i < app->state.source_count; i++)
        app->state.sources[i].quality = (uint8_t)nth;
}

static void make_voided(App *app, int nth)
{
    app->found[0].voided = nth == 1;
}

static void make_alert(App *app, int nth)
{
    app->board.alert_count = 1;
    app->board.alerts[0] = (Alert){.level = (AlertLevel)nth, .text = "The same words."};
}

static const Difference differences[] = {
    {"class of a vessel", CLASS_COUNT, make_class, {"", "3", "3\n", "t", "8"}},
    {"state of a stage", 3, make_service, {"", "4", "4\n", "t"}},
    {"state of the reserve", 4, make_reserve, {"", "t"}},
    {"verdict", 4, make_verdict, {"", "t"}},
    {"class of a source", CLASS_COUNT, make_source, {"7", "7\n"}},
    {"taken back or not", 2, make_voided, {"2", "2\n"}},
    {"level of an alert", 3, make_alert, {"", "t"}},
};

/* Where two states look alike in their text they must be alike in their inks, too: then this sheet
 * does not tell them (it is scrolled, or too small). On 80x24 and above the text differs. */
static void no_state_is_told_by_an_ink_alone(void **unused)
{
    static const int sizes[][2] = {{24, 80}, {50, 132}, {17, 60}, {12, 40}};
    (void)unused;
    for (size_t d = 0; d < sizeof differences / sizeof *differences; d++) {
        const Difference *difference = &differences[d];
        for (size_t i = 0; i < sizeof sizes / sizeof *sizes * ALPHABET_COUNT; i++) {
            const int *size = sizes[i / ALPHABET_COUNT];
            for (int g = 0; difference->go[g]; g++) {
                Str texts[4] = {{0}}, inks[4] = {{0}};
                for (int nth = 0; nth < difference->count; nth++) {
                    Scene *scene = scene_season(size[0], size[1], SCHEME_DEFAULT,
                                                (Alphabet)(i % ALPHABET_COUNT));
                    scene_keys(scene, difference->go[g]);
                    difference->make(scene->app, nth);
                    scene_draw(scene, &texts[nth]);
                    sheet_dump_inks(&scene->sheet, &inks[nth]);
                    scene_close(scene);
                }
                for (int a = 0; a < difference->count; a++) {
                    for (int b = 0; b < a; b++) {
                        if (strcmp(texts[a].s, texts[b].s) == 0 &&
                            (size[1] >= 80 || strcmp(inks[a].s, inks[b].s) != 0))
                            fail_msg("%s %d and %d look alike after \"%s\" at %dx%d:\n%s",
                                     difference->what, b, a, difference->go[g], size[1], size[0],
                                     texts[a].s);
                    }
                }
                for (int nth = 0; nth < difference->count; nth++) {
                    str_finish(&texts[nth]);
                    str_finish(&inks[nth]);
                }
            }
        }
    }
}

/* Below the least that is promised nothing is promised but this: it draws, it takes keys, it is the
 * same screen again once there is room. */
static void no_window_is_too_small(void **unused)
{
    static const int sizes[][2] = {{1, 1}, {1, 80}, {24, 1}, {2, 7}, {5, 20}, {17, 60}};
    (void)unused;
    for (int v = 0; v < VIEW_COUNT; v++) {
        for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
            Str before = {0}, after = {0};
            Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, (Alphabet)(i % ALPHABET_COUNT));
            scene_keys(scene, views[v].go);
            scene_draw(scene, &before);
            app_resize(scene->app, sizes[i][0], sizes[i][1]);
            app_draw(scene->app, &scene->sheet);
            assert_int_equal(scene->sheet.rows, sizes[i][0]);
            assert_int_equal(scene->sheet.cols, sizes[i][1]);
            app_resize(scene->app, 24, 80);
            scene_draw(scene, &after);
            assert_string_equal(before.s, after.s);
            str_finish(&before);
            str_finish(&after);
            scene_close(scene);
        }
    }
}

/* Both edges of a night over midnight, one within a day, and what is stronger than the clock. */
static void the_night_theme_comes_and_goes_by_the_clock(void **unused)
{
    (void)unused;
    static const struct {
        int begins, ends, minute;
        Scheme day, shown;
    } CASES[] = {
        {21 * 60 + 30, 6 * 60, 21 * 60 + 29, SCHEME_LIGHT, SCHEME_LIGHT},
        {21 * 60 + 30, 6 * 60, 21 * 60 + 30, SCHEME_LIGHT, SCHEME_NIGHT},
        {21 * 60 + 30, 6 * 60, 0, SCHEME_DEFAULT, SCHEME_NIGHT},
        {21 * 60 + 30, 6 * 60, 5 * 60 + 59, SCHEME_DEFAULT, SCHEME_NIGHT},
        {21 * 60 + 30, 6 * 60, 6 * 60, SCHEME_DEFAULT, SCHEME_DEFAULT},
        {13 * 60, 14 * 60, 13 * 60 + 59, SCHEME_DEFAULT, SCHEME_NIGHT},
        {13 * 60, 14 * 60, 14 * 60, SCHEME_DEFAULT, SCHEME_DEFAULT},
        {13 * 60, 14 * 60, 23 * 60, SCHEME_DEFAULT, SCHEME_DEFAULT},
        {21 * 60 + 30, 6 * 60, 23 * 60, SCHEME_MONOCHROME, SCHEME_MONOCHROME},
        {0, 0, 0, SCHEME_DEFAULT, SCHEME_DEFAULT},
    };
    for (size_t i = 0; i < sizeof CASES / sizeof *CASES; i++) {
        Scene *scene = scene_season(24, 80, CASES[i].day, ALPHABET_UTF8);
        const Moment midnight = moment_of_local_day(moment_local_day(scene->app->now) + 1);
        app_night(scene->app, CASES[i].begins, CASES[i].ends);
        app_tick(scene->app, (Moment){midnight.ms + CASES[i].minute * MS_PER_MINUTE});
        if (scene->app->scheme != CASES[i].shown)
            fail_msg("case %zu: %s", i, scheme_name(scene->app->scheme));
        app_tick(scene->app, (Moment){midnight.ms + 12 * MS_PER_HOUR}); /* noon */
        assert_int_equal(scene->app->scheme, CASES[i].day);
        scene_close(scene);
    }
}

static void a_theme_that_is_chosen_ends_the_night_by_the_clock(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_LIGHT, ALPHABET_UTF8);
    const Civil civil = moment_local(scene->app->now);
    app_night(scene->app, civil.hour * 60 + civil.minute,
              (civil.hour * 60 + civil.minute + 1) % 1440);
    assert_int_equal(scene->app->scheme, SCHEME_NIGHT);
    scene_keys(scene, "T"); /* the one after what is shown */
    assert_int_equal(scene->app->scheme, SCHEME_DEFAULT);
    app_tick(scene->app, scene->app->now);
    assert_int_equal(scene->app->scheme, SCHEME_DEFAULT);
    scene_close(scene);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_screen_in_the_inks_of_every_theme),
        cmocka_unit_test(every_theme_is_a_table),
        cmocka_unit_test(no_state_is_told_by_an_ink_alone),
        cmocka_unit_test(no_window_is_too_small),
        cmocka_unit_test(the_night_theme_comes_and_goes_by_the_clock),
        cmocka_unit_test(a_theme_that_is_chosen_ends_the_night_by_the_clock),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
