#include "support/scene.h"

#include "tui/propose.h"

static void proposed(Scene *scene, KindId kind, const char *field, const char *want)
{
    char out[FIELD_PROPOSAL];
    propose(kind_of(kind), kind_field(kind_of(kind), text_of(field)), &scene->app->board,
            &scene->app->state, out, sizeof out);
    assert_string_equal(out, want);
}

static void a_fill_proposes_the_emptiest_coupled_vessel_full_from_the_last_source(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    proposed(scene, KIND_FILL, "vessel", "A1");
    proposed(scene, KIND_FILL, "litres", "full");
    proposed(scene, KIND_FILL, "source", "Holm tap");
    scene_entry(scene, "18:40", KIND_FILL, "vessel", "A1", "litres", "full", "source",
                "Alder spring", NULL);
    scene_tell(scene);
    proposed(scene, KIND_FILL, "vessel", "A2");
    proposed(scene, KIND_FILL, "source", "Alder spring");
    scene_close(scene);
}

static void a_wash_vessel_is_never_proposed_while_one_is_coupled(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    scene_entry(scene, "18:40", KIND_DUMP, "vessel", "W1", NULL);
    scene_tell(scene);
    proposed(scene, KIND_FILL, "vessel", "A1");
    scene_close(scene);
}

static void draw_sound_and_swap_propose_line_lead_and_most_due(void **unused)
{
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    proposed(scene, KIND_DRAW, "line", "galley");
    proposed(scene, KIND_DRAW, "vessel", "");
    proposed(scene, KIND_DRAW, "litres", "");
    proposed(scene, KIND_SOUND, "vessel", "A2");
    proposed(scene, KIND_SWAP, "stage", "carbon");
    proposed(scene, KIND_UNSTOP, "stop", "Holm tap"); /* the only one */
    proposed(scene, KIND_RETIRE, "vessel", "");       /* one of six */
    proposed(scene, KIND_VESSEL, "vessel", "");       /* named for the first time */
    scene_close(scene);
}

static void putting_off_proposes_what_is_due_or_soon_and_nothing_else(void **unused)
{
    (void)unused;
    char out[64];
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    const Kind *kind = kind_of(KIND_PUTOFF);
    int stage = kind_field(kind, text_of("stage"));
    propose(kind, stage, &scene->app->board, &scene->app->state, out, sizeof out);
    assert_string_equal(out, "carbon");
    for (int i = 0; i < scene->app->board.stage_count; i++)
        scene->app->board.stages[i].state = SERVICE_OK;
    propose(kind, stage, &scene->app->board, &scene->app->state, out, sizeof out);
    assert_string_equal(out, "");
    scene_close(scene);
}

static void an_empty_log_proposes_nothing(void **unused)
{
    (void)unused;
    Scene *scene = scene_open(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    for (int id = 1; id < KIND_END; id++) {
        const Kind *kind = kind_of((KindId)id);
        for (int f = 0; f < kind->field_count; f++)
            if (kind->fields[f].type == FIELD_LABEL)
                proposed(scene, (KindId)id, kind->fields[f].name, "");
    }
    scene_close(scene);
}

static void every_field_of_every_kind_has_one_place_in_the_order(void **unused)
{
    (void)unused;
    for (int id = 1; id < KIND_END; id++) {
        const Kind *kind = kind_of((KindId)id);
        int order[FIELDS_MAX], seen[FIELDS_MAX] = {0};
        assert_int_equal(propose_order(kind, order, FIELDS_MAX), kind->field_count);
        for (int i = 0; i < kind->field_count; i++)
            seen[order[i]]++;
        for (int i = 0; i < kind->field_count; i++)
            assert_int_equal(seen[i], 1);
    }
}

static void beginnings_come_before_what_merely_contains_the_text(void **unused)
{
    Label out[8];
    (void)unused;
    Scene *scene = scene_season(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    const State *state = &scene->app->state;
    assert_int_equal(propose_names(NAMES_SOURCE, state, text_of("h"), out, 8), 1);
    assert_string_equal(out[0].s, "Holm tap");
    assert_int_equal(propose_names(NAMES_SOURCE, state, text_of("a"), out, 8), 2);
    assert_string_equal(out[0].s, "Alder spring");
    assert_string_equal(out[1].s, "Holm tap");
    assert_int_equal(propose_names(NAMES_VESSEL, state, text_of("1"), out, 8), 3);
    assert_string_equal(out[0].s, "A1");
    assert_int_equal(propose_names(NAMES_VESSEL, state, text_of(""), out, 2), 2);
    assert_string_equal(out[1].s, "A2");
    assert_int_equal(propose_names(NAMES_VESSEL, state, text_of("zz"), out, 8), 0);
    scene_close(scene);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_fill_proposes_the_emptiest_coupled_vessel_full_from_the_last_source),
        cmocka_unit_test(a_wash_vessel_is_never_proposed_while_one_is_coupled),
        cmocka_unit_test(draw_sound_and_swap_propose_line_lead_and_most_due),
        cmocka_unit_test(putting_off_proposes_what_is_due_or_soon_and_nothing_else),
        cmocka_unit_test(an_empty_log_proposes_nothing),
        cmocka_unit_test(every_field_of_every_kind_has_one_place_in_the_order),
        cmocka_unit_test(beginnings_come_before_what_merely_contains_the_text),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
