/* Voids of voids of voids: the solver against model/strike.h, and chains that a foreign file could
 * bring. */
#include "store/struck.h"
#include "store/void_graph.h"
#include "support/store_kit.h"

#include <time.h>

enum { NODES = 24 };

static bool array_nth(void *context, const Uuid *target, size_t n, Uuid *void_id)
{
    const VoidNode *nodes = context;
    for (int i = 0; i < NODES; i++) {
        if (uuid_compare(&nodes[i].target, target) == 0 && n-- == 0) {
            *void_id = nodes[i].id;
            return true;
        }
    }
    return false;
}

/* Random graphs with chains, forks and rings; each void names a void or one of four other entries.
 */
static void the_solver_and_the_rule_agree_on_random_graphs(void **state)
{
    (void)state;
    uint64_t seed = 99;
    int rings = 0;
    for (int round = 0; round < 3000; round++) {
        VoidNode nodes[NODES] = {0};
        Uuid ids[NODES + 4];
        for (int i = 0; i < NODES + 4; i++) {
            memset(&ids[i], 0, sizeof ids[i]);
            ids[i].b[0] = (uint8_t)kit_random(&seed);
            ids[i].b[15] = (uint8_t)i;
        }
        for (int i = 0; i < NODES; i++) {
            nodes[i].id = ids[i];
            nodes[i].target = ids[kit_below(&seed, NODES + 4)];
        }
        VoidSource source = {nodes, array_nth};
        assert_true(void_graph_solve(nodes, NODES));
        for (int i = 0; i < NODES + 4; i++) {
            bool out = false;
            for (int j = 0; j < NODES; j++)
                out = out ||
                      (uuid_compare(&nodes[j].target, &ids[i]) == 0 && nodes[j].fate == VOID_ACTS);
            assert_int_equal(out, strike_holds(&source, &ids[i]));
            if (i < NODES) {
                assert_int_equal(out, void_graph_fate(nodes, NODES, &ids[i]) == VOID_STRUCK);
                rings += void_graph_fate(nodes, NODES, &ids[i]) == VOID_UNDECIDED;
            }
        }
    }
    assert_true(rings > 100);
}

static void one_id_for_two_voids_is_not_solved(void **state)
{
    (void)state;
    VoidNode nodes[2] = {{.id = {{1}}, .target = {{2}}}, {.id = {{1}}, .target = {{3}}}};
    assert_false(void_graph_solve(nodes, 2));
}

/* A chain of n voids, each of the one before; the first is of a draw. Imported backwards. */
static int64_t level_after_chain(int n, bool append_one_more)
{
    Log *log = kit_open("", LOG_SCRATCH);
    Str text = {0};
    for (int i = n; i >= 1; i--)
        str_addf(&text,
                 "{\"id\":\"00000000-0000-4000-8000-%012d\",\"at\":\"2026-04-01T08:00:00Z\","
                 "\"kind\":\"void\",\"entry\":\"00000000-0000-4000-8000-%012d\"}\n",
                 i, i - 1);
    str_adds(
        &text,
        "{\"id\":\"00000000-0000-4000-8000-000000000000\",\"at\":\"2026-03-02T08:00:00Z\","
        "\"kind\":\"dump\",\"vessel\":\"A1\",\"litres\":4}\n"
        "{\"at\":\"2026-03-01T08:00:00Z\",\"kind\":\"vessel\",\"vessel\":\"A1\",\"capacity\":12,"
        "\"level\":10}\n");
    for (char *s = strstr(text.s, "000000000000\""); s != NULL; s = strstr(s + 1, "000000000000\""))
        s[11] = 'f'; /* an id of zeros would stand for none */
    kit_import(log, text.s);
    str_finish(&text);
    if (append_one_more) {
        Event e;
        Fault fault = {0};
        uint64_t seed = 4;
        Uuid last;
        char id[40];
        snprintf(id, sizeof id, "00000000-0000-4000-8000-%012d", n);
        assert_true(uuid_parse(text_of(id), &last, &fault));
        kit_void(&e, KIT_NOW.ms, &seed, &last);
        if (!log_append(log, &e, KIT_NOW, &fault))
            fail_msg("%s", fault.text);
    }
    State *s = malloc(sizeof *s);
    kit_state(log, s, NULL);
    int64_t level = s->vessels[0].volume;
    kit_sound(log);
    free(s);
    log_close(log);
    return level;
}

static void an_odd_chain_takes_out_and_an_even_one_brings_back(void **state)
{
    (void)state;
    for (int n = 0; n <= 6; n++) {
        assert_int_equal(level_after_chain(n, false), n % 2 == 1 ? 10000 : 6000);
        if (n > 0)
            assert_int_equal(level_after_chain(n, true), n % 2 == 1 ? 6000 : 10000);
    }
}

static void a_chain_of_nine_thousand_is_no_way_to_stop_the_program(void **state)
{
    (void)state;
    clock_t begin = clock();
    assert_int_equal(level_after_chain(9001, true), 6000);
    assert_true((clock() - begin) / CLOCKS_PER_SEC < 20); /* milliseconds; hours, entry by entry */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_solver_and_the_rule_agree_on_random_graphs),
        cmocka_unit_test(one_id_for_two_voids_is_not_solved),
        cmocka_unit_test(an_odd_chain_takes_out_and_an_even_one_brings_back),
        cmocka_unit_test(a_chain_of_nine_thousand_is_no_way_to_stop_the_program),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
