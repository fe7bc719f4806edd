/* The board as a whole. */
#include "outlook/board.h"

#include "support/board_book.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static void an_empty_log_is_an_empty_board(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    Board *board = board_of(book, NULL);
    DueItem *items = calloc(DUE_MAX, sizeof *items);
    assert_int_equal(board->vessel_count, 0);
    assert_int_equal(board->line_count, 0);
    assert_int_equal(board->alert_count, 0);
    assert_int_equal(board->crew, -1);
    assert_int_equal(board->reserve, RESERVE_NONE);
    assert_false(board->use_known);
    assert_false(board->outlook_known);
    assert_false(moment_known(board->to_empty.p50));
    assert_int_equal(board_due(board, items), 0);
    free(items);
    free(board);
    book_close(book);
}

static void things_stand_in_the_order_of_their_labels(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A10 --capacity 10");
    book_say(book, "vessel B1 --capacity 10");
    book_say(book, "vessel A2 --capacity 10");
    book_say(book, "stage uv --type uv --line galley");
    book_say(book, "stage carbon --type carbon-block --line galley");
    book_say(book, "couple galley B1 A10 A2");
    Board *board = board_of(book, NULL);
    assert_string_equal(board->vessels[0].label.s, "A2");
    assert_string_equal(board->vessels[1].label.s, "A10");
    assert_string_equal(board->vessels[2].label.s, "B1");
    assert_string_equal(board->stages[0].label.s, "carbon");
    /* but a line is in the order that the water takes */
    assert_string_equal(board->vessels[board->lines[0].vessels[0]].label.s, "B1");
    assert_string_equal(board->stages[board->lines[0].stages[0]].label.s, "uv");
    assert_int_equal(vessel_of(board, "A10")->position, 2);
    free(board);
    book_close(book);
}

/* Worse water spoils all that is behind it; a spent vessel passes air; what fouled the tap is in
 * the last stretch. */
static void the_pipe_carries_the_worst_class_from_the_lead_on(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 10 --class non-potable --level 0");
    book_say(book, "vessel A2 --capacity 10 --class potable --level full");
    book_say(book, "vessel A3 --capacity 10 --class questionable --level full");
    book_say(book, "vessel A4 --capacity 10 --class potable --level full");
    book_say(book, "couple galley A1 A2 A3 A4");
    Board *board = board_of(book, NULL);
    const BoardLine *line = &board->lines[0];
    assert_true(board->vessels[line->vessels[0]].spent);
    assert_int_equal(line->pipe[1], CLASS_POTABLE);
    assert_int_equal(line->pipe[2], CLASS_QUESTIONABLE);
    assert_int_equal(line->pipe[3], CLASS_QUESTIONABLE);
    assert_int_equal(line->pipe[3], line->quality);
    free(board);
    book_say(book, "couple galley A3 A2 A4"); /* the lead's own class from its own mouth on */
    board = board_of(book, NULL);
    for (int i = 0; i < 3; i++)
        assert_int_equal(board->lines[0].pipe[i], CLASS_QUESTIONABLE);
    free(board);
    book_say(book, "couple galley A1"); /* what it holds reaches the tap */
    book_say(book, "fill A1 5 --class non-potable");
    book_say(book, "draw galley 1");
    book_say(book, "couple galley A2");
    board = board_of(book, NULL);
    assert_int_equal(board->lines[0].quality, CLASS_NON_POTABLE);
    assert_int_equal(board->lines[0].pipe[0], CLASS_NON_POTABLE);
    free(board);
    book_close(book);
}

/* What stands on the board of a vessel is what the log says of it: no tare is no mass, a tare of
 * nothing is one, and a single fill has its own time as its mean. */
static void a_vessel_has_its_mass_and_its_times(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 10 --class potable --tare 0");
    book_say(book, "vessel A2 --capacity 10 --class potable");
    book_say(book, "fill A1 5 --class potable");
    Board *board = board_of(book, NULL);
    assert_int_equal(vessel_of(board, "A1")->mass_g, 5000);
    assert_int_equal(vessel_of(board, "A2")->mass_g, -1);
    assert_int_equal(vessel_of(board, "A1")->mean_fill.ms, BOOK_BEGIN_MS);
    assert_int_equal(vessel_of(board, "A1")->oldest_fill.ms, BOOK_BEGIN_MS);
    assert_false(moment_known(vessel_of(board, "A2")->mean_fill));
    assert_false(moment_known(vessel_of(board, "A2")->oldest_fill));
    free(board);
    book_close(book);
}

/* A vessel upstream of the lead passes only air: what it was filled from does not doubt the tap. */
static void fills_that_lean_on_a_class_doubt_the_tap_from_the_lead_on(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    static const struct {
        const char *order;
        bool leant;
    } cases[] = {{"couple galley A1 A2", false}, {"couple galley A2 A1", true}};
    for (size_t i = 0; i < 2; i++) {
        Logbook *book = book_open();
        book_say(book, "source tap --type mains --class potable");
        book_say(book, "source quay --type mains --class potable");
        book_say(book, "vessel A1 --capacity 10 --heel 1 --class potable");
        book_say(book, "vessel A2 --capacity 10 --class potable");
        book_say(book, "fill A1 1 --from tap"); /* at its heel: spent */
        book_say(book, "fill A2 5 --from quay");
        book_say(book, cases[i].order);
        book_pass(book, 1);
        book_say(book, "source tap --class questionable");
        Board *board = board_of(book, NULL);
        assert_string_equal(board->leant_on.s, "tap");
        assert_int_equal(board->lines[0].leant, cases[i].leant);
        free(board);
        book_close(book);
    }
}

/* A line that nothing is coupled to is shown for its stages, and not without any. */
static void a_line_is_shown_for_what_is_on_it(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    static const struct {
        const char *words;
        int lines;
    } steps[] = {{"vessel A1 --capacity 10 --class potable", 0},
                 {"couple galley A1", 1},
                 {"couple galley", 0},
                 {"stage s --type sediment --line galley --life-days 90", 1},
                 {"unstage s", 0}};
    Logbook *book = book_open();
    for (size_t i = 0; i < sizeof steps / sizeof *steps; i++) {
        book_say(book, steps[i].words);
        Board *board = board_of(book, NULL);
        if (board->line_count != steps[i].lines)
            fail_msg("%d lines after %s", board->line_count, steps[i].words);
        free(board);
    }
    book_close(book);
}

/* domain 7: a flow test of less than two thirds of the flow after the swap is a fall, and so is a
 * tap that only drips. */
static void a_flow_fell_by_more_than_a_third_down_to_nothing(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    static const struct {
        int64_t last;
        bool fell;
        double ratio;
    } cases[] = {{-1, false, 0}, {2000, false, 2 / 3.0}, {1999, true, 0.6663}, {0, true, 0}};
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 10 --class potable --level 5");
    book_say(book, "couple galley A1");
    State *state = malloc(sizeof *state);
    Board *board = malloc(sizeof *board);
    assert_true(state != NULL && board != NULL);
    *state = *book_state(book);
    state->lines[0].flow_base_ml_min = 3000;
    state->lines[0].flow_base_pa = state->lines[0].flow_last_pa = 275790;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        state->lines[0].flow_last_ml_min = cases[i].last;
        board_make(board, state, 2, (Moment){book->now.ms}, UNITS_METRIC);
        assert_int_equal(board->lines[0].flow_fell, cases[i].fell);
        assert_true(fabs(board->lines[0].flow_ratio - cases[i].ratio) < 1e-4);
    }
    free(state);
    free(board);
    book_close(book);
}

/* A vessel keeps its class when it runs empty (domain: "Quality class", 1), and water pushed through
 * takes it along: empty, it still stands as better than what wetted it, until it is sanitised. */
static void an_emptied_vessel_still_leans_on_the_class_that_its_source_had(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "source tap --type mains --class potable");
    book_say(book, "source quay --type mains --class potable");
    book_say(book, "vessel A1 --capacity 10 --class potable");
    book_say(book, "vessel A2 --capacity 10 --class potable");
    book_say(book, "fill A1 5 --from tap");
    book_say(book, "fill A2 5 --from quay");
    book_say(book, "dump A1");
    book_say(book, "couple galley A2 A1");
    book_pass(book, 1);
    book_say(book, "source tap --class questionable");
    Board *board = board_of(book, NULL);
    assert_int_equal(vessel_of(board, "A1")->volume, 0);
    assert_int_equal(vessel_of(board, "A1")->quality, CLASS_POTABLE);
    assert_string_equal(board->leant_on.s, "tap");
    assert_true(board->lines[0].leant);
    free(board);
    book_say(book, "sanitise A1");
    board = board_of(book, NULL);
    assert_true(label_empty(&board->leant_on));
    assert_false(board->lines[0].leant);
    free(board);
    book_close(book);
}

/* By the model's hours a cartridge of 90 days lives until the hour at which it was fitted; by the
 * local date it is due that morning. From then on nothing relies on it. */
static void a_train_is_not_relied_on_from_the_morning_on_which_a_stage_is_due(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_at(book, "2026-06-01T18:00:00Z");
    book_say(book, "vessel A1 --capacity 10 --class questionable --level full");
    book_say(book, "couple galley A1");
    book_say(book, "stage lamp --type uv --line galley --life-hours 9000 --purifying");
    book_say(book, "stage carbon --type carbon-block --line galley --life-days 90");
    static const struct {
        const char *at;
        Verdict verdict;
    } cases[] = {
        {"2026-08-29T23:59:00Z", VERDICT_DRINK_IF_TREATED},
        {"2026-08-30T00:00:00Z", VERDICT_BOIL_FIRST},
        {"2026-08-30T17:59:00Z", VERDICT_BOIL_FIRST},
        {"2026-08-30T18:00:00Z", VERDICT_BOIL_FIRST},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        Board *board = board_of(book, cases[i].at);
        const bool treated = cases[i].verdict == VERDICT_DRINK_IF_TREATED;
        assert_int_equal(board->lines[0].verdict, cases[i].verdict);
        assert_int_equal(board->lines[0].train == TRAIN_PURIFIES, treated);
        free(board);
    }
    book_close(book);
}

/* Stops by their time, those of one time by their names; what is past is none. */
static void stops_ahead_come_by_time_and_then_by_name(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 10 --level full");
    book_say(book, "stop Skerry --eta 2026-07-03T12:00:00Z");
    book_say(book, "stop Moor --eta 2026-07-02T12:00:00Z");
    book_say(book, "stop Fen --eta 2026-07-03T12:00:00Z");
    Board *board = board_of(book, "2026-07-02T12:00:00Z");
    assert_int_equal(board->stop_count, 3); /* now is not past */
    assert_string_equal(board->stops[0].label.s, "Moor");
    assert_string_equal(board->stops[1].label.s, "Fen");
    assert_string_equal(board->stops[2].label.s, "Skerry");
    assert_int_equal(board->passed.eta, MOMENT_NONE_MS);
    free(board);
    board = board_of(book, "2026-07-02T12:01:00Z");
    assert_int_equal(board->stop_count, 2);
    assert_string_equal(board->passed.label.s, "Moor");
    free(board);
    board = board_of(book, "2026-07-16T12:00:00Z"); /* two weeks, and no more */
    assert_string_equal(board->passed.label.s, "Moor");
    free(board);
    board = board_of(book, "2026-07-16T12:00:01Z");
    assert_string_equal(board->passed.label.s, "Skerry");
    free(board);
    board = board_of(book, "2026-07-04T12:00:00Z"); /* of three the earliest is asked about */
    assert_int_equal(board->stop_count, 0);
    assert_string_equal(board->passed.label.s, "Moor");
    free(board);
    book_close(book);
}

static void lines_come_by_their_names_and_each_has_its_own_stages(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 10 --tare 3 --level full");
    book_say(book, "vessel B1 --capacity 10 --level full");
    book_say(book, "couple galley A1");
    book_say(book, "couple deck B1");
    book_say(book, "stage s --type sediment --line galley");
    book_say(book, "stage t --type sediment --line deck");
    Board *board = board_of(book, NULL);
    assert_int_equal(board->line_count, 2);
    assert_string_equal(board->lines[0].label.s, "deck");
    assert_int_equal(board->lines[0].stage_count, 1);
    assert_string_equal(board->stages[board->lines[0].stages[0]].label.s, "t");
    assert_string_equal(board->stages[board->lines[1].stages[0]].label.s, "s");
    assert_int_equal(vessel_of(board, "A1")->mass_g, 13000); /* 1 kg a litre, and the can */
    assert_int_equal(vessel_of(board, "B1")->mass_g, -1);    /* nobody weighed it */
    free(board);
    book_close(book);
}

/* 50 L counted, 3 L more found gone by soundings that err by 0.6 L together: 6 % off, known to 2.4
 * % (two standard errors). 1 L may be chance; where nothing was sounded nothing is said. */
static void a_meter_is_off_where_soundings_say_so_beyond_chance(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    static const struct {
        int64_t counted, found, variance;
        double off, doubt;
    } cases[] = {
        {50000, 3000, 360000, 0.06, 0.024},
        {50000, -3000, 360000, -0.06, 0.024},
        {50000, 1000, 360000, 0, 0},
        {0, 3000, 360000, 0, 0},
        {50000, 3000, 0, 0, 0},
    };
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 100 --level full");
    book_say(book, "couple galley A1");
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        State state = *book_state(book);
        state.lines[0].checked = cases[i].counted;
        state.lines[0].check_found = cases[i].found;
        state.lines[0].check_variance = cases[i].variance;
        Board *board = malloc(sizeof *board);
        assert_non_null(board);
        board_make(board, &state, 2, book->now, UNITS_METRIC);
        assert_true(fabs(board->lines[0].meter_off - cases[i].off) < 1e-9);
        assert_true(fabs(board->lines[0].meter_doubt - cases[i].doubt) < 1e-6);
        free(board);
    }
    book_close(book);
}

static void duties_and_types_have_the_names_that_are_typed(void **unused)
{
    (void)unused;
    assert_string_equal(duty_name(DUTY_LINE), "line");
    assert_string_equal(duty_name(DUTY_RESERVE), "reserve");
    assert_string_equal(duty_name(DUTY_WASH), "wash");
    assert_string_equal(duty_name(DUTY_STORE), "store");
    assert_string_equal(stage_type_name(STAGE_SEDIMENT), "sediment");
    assert_string_equal(stage_type_name(STAGE_UV), "uv");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_empty_log_is_an_empty_board),
        cmocka_unit_test(things_stand_in_the_order_of_their_labels),
        cmocka_unit_test(the_pipe_carries_the_worst_class_from_the_lead_on),
        cmocka_unit_test(a_vessel_has_its_mass_and_its_times),
        cmocka_unit_test(fills_that_lean_on_a_class_doubt_the_tap_from_the_lead_on),
        cmocka_unit_test(a_line_is_shown_for_what_is_on_it),
        cmocka_unit_test(a_flow_fell_by_more_than_a_third_down_to_nothing),
        cmocka_unit_test(an_emptied_vessel_still_leans_on_the_class_that_its_source_had),
        cmocka_unit_test(a_train_is_not_relied_on_from_the_morning_on_which_a_stage_is_due),
        cmocka_unit_test(stops_ahead_come_by_time_and_then_by_name),
        cmocka_unit_test(lines_come_by_their_names_and_each_has_its_own_stages),
        cmocka_unit_test(a_meter_is_off_where_soundings_say_so_beyond_chance),
        cmocka_unit_test(duties_and_types_have_the_names_that_are_typed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
