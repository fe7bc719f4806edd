/* One story for the form of every kind of entry: the keys, the form as it looks before Enter, the
 * entry that is written and what the screen says of it. */
#include "support/scene.h"

#include "model/tell.h"

typedef struct {
    KindId kind;
    const char *before; /* keys that make it possible */
    const char *keys;   /* typed into the form, up to the Enter that writes */
    const char *told;   /* the entry, as the log tells it */
} Story;

static const Story stories[] = {
    {KIND_FILL, "", "A1\tAlder\t5", "fill A1 5 L from Alder spring"},
    {KIND_DRAW, "", "2.5\tcook", "draw galley 2.5 L for cook"},
    {KIND_SOUND, "", "A4\t40%", "sound A4 4.8 L"},
    {KIND_DECANT, "", "A4\tW1\t2", "decant A4 W1 2 L"},
    {KIND_DUMP, "", "W1", "dump W1"},
    {KIND_SANITISE, "ajjjj\nW1\n", "W1", "sanitise W1"},
    {KIND_TREAT, "fA1\tAlder\n", "A1\tboil\t\t\t3", "treat A1 boil minutes 3 min"},
    {KIND_COUPLE, "", "galley\tA1 A3 A2 A4", "couple galley A1 A3 A2 A4"},
    {KIND_PRESSURISE, "", "\t2.5 bar", "pressurise galley 2.5 bar"},
    {KIND_SWAP, "", "", "swap carbon"},
    {KIND_SPARES, "", "car\t2", "spares carbon 2"},
    {KIND_FLOWTEST, "", "\t2\t30", "flowtest galley 2 L 30 s"},
    {KIND_VESSEL, "", "C7\t20\t0.3\t\t\tstore", "vessel C7 capacity 20 L heel 0.3 L duty store"},
    {KIND_RETIRE, "", "W1", "retire W1"},
    {KIND_STAGE, "", "mesh\tsediment\tgalley\t1\t500",
     "stage mesh type sediment line galley position 1 life-litres 500 L"},
    {KIND_UNSTAGE, "", "lamp", "unstage lamp"},
    {KIND_SOURCE, "", "Fell tap\tmains\tpotable", "source Fell tap type mains class potable"},
    {KIND_CREW, "", "3", "crew 3"},
    {KIND_STOP, "", "Alder spring\t2026-11-30 12:00\t20",
     "stop Alder spring eta Mon 30 Nov 12:00 litres 20 L"},
    {KIND_UNSTOP, "", "", "unstop Holm tap"},
    {KIND_NOTE, "", "the coupling of A2 weeps", "note \"the coupling of A2 weeps\""},
    {KIND_PUTOFF, "", "", "putoff carbon"},
    {KIND_TEST, "", "A1\t\t\t0.6\t7.4", "test A1 chlorine 0.6 mg/L ph 7.4"},
    {KIND_METER, "", "\t1234.5", "meter galley 1234.5 L"},
    {KIND_LEADTIME, "", "21", "leadtime 21 d"},
};
enum { STORY_COUNT = sizeof stories / sizeof *stories };

/* `a`, down to the kind, Enter. */
static void story_form(Scene *scene, KindId kind)
{
    scene_keys(scene, "a");
    for (int id = 1; id < (int)kind; id++)
        if (id != KIND_VOID && id != KIND_SETTLE)
            scene_keys(scene, "j");
    scene_keys(scene, "\n");
    assert_ptr_equal(app_top(scene->app), &SCREEN_FORM);
    assert_int_equal(app_form(scene->app)->kind->id, kind);
}

static void each_form_writes_the_entry_that_it_shows(void **unused)
{
    (void)unused;
    for (int i = 0; i < STORY_COUNT; i++) {
        const Story *story = &stories[i];
        char name[64], message[sizeof((App *)0)->message];
        Str line = {0};
        Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
        scene_keys(scene, story->before);
        story_form(scene, story->kind);
        scene_keys(scene, story->keys);
        snprintf(name, sizeof name, "story-%s", kind_of(story->kind)->name);
        scene_golden_sheet(scene, name);
        int before = scene->count;
        scene_keys(scene, "\n");
        if (scene->count != before + 1)
            fail_msg("%s was not written: %s", kind_of(story->kind)->name, scene->app->message);
        const Event *e = &scene->log[scene->count - 1];
        assert_int_equal(e->kind, story->kind);
        event_tell(e, scene->app->units, true, &line);
        assert_string_equal(line.s, story->told);
        snprintf(message, sizeof message, "Written: %s. z takes it back.", story->told);
        assert_string_equal(scene->app->message, message);
        assert_ptr_equal(app_top(scene->app), &SCREEN_BOARD);
        scene_keys(scene, "z");
        assert_true(scene->voided[before]);
        assert_non_null(strstr(scene->app->message, "Taken back: "));
        str_finish(&line);
        scene_close(scene);
    }
}

/* Opened to be amended, an entry of any kind is read from the form as it was written. */
static void an_entry_comes_out_of_its_form_as_it_went_in(void **unused)
{
    (void)unused;
    for (int i = 0; i < STORY_COUNT * 3; i++) {
        const Story *story = &stories[i / 3];
        Wish wish = {0};
        Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
        scene_keys(scene, story->before);
        story_form(scene, story->kind);
        scene_keys(scene, story->keys);
        scene_keys(scene, "\n");
        Event e = scene->log[scene->count - 1];
        snprintf(e.note, sizeof e.note, "a note");
        scene->app->units = (Units)(i % 3);
        app_open_amend(scene->app, &e, &wish);
        const Form *form = app_form(scene->app);
        for (int f = 0; f < form->rows.count; f++) {
            if (form->rows.fields[f].wrong)
                fail_msg("%s %s: %s", kind_of(story->kind)->name, form->rows.fields[f].caption,
                         form->rows.fields[f].error);
        }
        Event read = form->entry;
        assert_string_equal(read.note, e.note);
        assert_int_equal(read.at.ms, e.at.ms);
        assert_int_equal(read.zone, e.zone);
        for (int f = 0; f < kind_of(story->kind)->field_count; f++) {
            Str was = {0}, is = {0};
            assert_int_equal(event_get(&read, f, &is), event_get(&e, f, &was));
            if (was.n > 0)
                assert_string_equal(is.s, was.s);
            str_finish(&was);
            str_finish(&is);
        }
        scene_close(scene);
    }
}

static void there_is_a_story_for_every_kind(void **unused)
{
    (void)unused;
    for (int id = 1; id < KIND_END; id++) {
        int told = id == KIND_VOID || id == KIND_SETTLE; /* they name an entry: see below */
        for (int i = 0; i < STORY_COUNT; i++)
            told += (int)stories[i].kind == id;
        assert_int_equal(told, 1);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_form_writes_the_entry_that_it_shows),
        cmocka_unit_test(an_entry_comes_out_of_its_form_as_it_went_in),
        cmocka_unit_test(there_is_a_story_for_every_kind),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
