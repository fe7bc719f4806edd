/* Every alert names an act, and is gone when it is done: each rule of the table raised by entries,
 * and ended by those that its sentence asks for. */
#include "outlook/advice_private.h"
#include "outlook/board.h"

#include "support/board_book.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define POTABLE "vessel A1 --capacity 12 --heel 0.2 --class potable --level 6\ncouple galley A1\n"
#define DOUBTFUL "vessel A1 --capacity 12 --heel 0.2 --level 6\ncouple galley A1\n"
#define STAGE "stage s --type other --line galley --life-days 30\n"

#define METERED(reading) "meter galley " reading "\nsound A1 1.45\nfill A1 --level 12\n+2\n"

/* Entries, a line each; "+3": three days pass. */
typedef struct {
    const char *id, *raised, *act, *names; /* names: what its sentence calls the act */
} Story;
static const Story stories[] = {
    {"above-rated",
     "vessel A1 --capacity 12 --rated 200kPa\ncouple galley A1\npressurise galley 300 --asserted",
     "pressurise galley 0", "Vent the line"},
    {"takes-no-pressure", "vessel A1 --capacity 12 --rated 0\ncouple galley A1",
     "pressurise galley 0", "pressurise galley 0"},
    {"takes-no-pressure-vented",
     "vessel A1 --capacity 12 --rated 0\ncouple galley A1\npressurise galley 0",
     "vessel B1 --capacity 5\ncouple galley B1", "Put no air"},
    {"ecoli", POTABLE "test A1 --ecoli present", "dump A1", "Dump it"},
    {"coliforms", POTABLE "test A1 --coliform present", "dump A1", "Dump it"},
    {"found-besides",
     "vessel A1 --capacity 12 --class non-potable --level 6\ntest A1 --ecoli present", "dump A1",
     "Dump it"},
    {"tap-found",
     POTABLE "test galley --coliform present\nvessel B1 --capacity 5 --class potable --level 4\n"
             "couple galley B1",
     "dump B1\nsanitise B1", "Sanitise every vessel"},
    {"nitrate", POTABLE "test A1 --nitrate 12 --nitrate-as n", "dump A1", "other water"},
    {"residual-high", POTABLE "test A1 --chlorine 6", "test A1 --chlorine 1", "test again"},
    {"tap-residual-high", POTABLE "test galley --chlorine 6", "test galley --chlorine 1",
     "test again"},
    {"residual-low", POTABLE "test A1 --chlorine 0.1", "test A1 --chlorine 0.5", "test after"},
    {"tap-residual-low", POTABLE "test galley --chlorine 0.1", "test galley --chlorine 0.5",
     "Use what is drawn"},
    {"residual-faded",
     "vessel B1 --capacity 12 --class potable --level 6\ntest B1 --chlorine 1.1\n+2\ntest B1 "
     "--chlorine 0.5\n+9",
     "test B1 --chlorine 0.5", "Test it again"},
    {"source-found",
     "source Holm --type mains --class potable\nvessel A1 --capacity 12 --class potable\n"
     "fill A1 6 --from Holm\ntest Holm --coliform present",
     "treat A1 boil --minutes 3", "Boil A1 first: coliforms were found at Holm"},
    {"delivers-non-potable",
     "vessel A1 --capacity 12 --class non-potable --level 6\ncouple galley A1",
     "dump A1\nsanitise A1", "Dump it"},
    {"delivers-questionable", DOUBTFUL, "treat A1 boil --minutes 3", "Boil or treat"},
    {"delivers-treated",
     DOUBTFUL "stage uv --type uv --line galley --life-days 365 --life-hours 9000 --purifying",
     "treat A1 boil --minutes 3", "keep every stage of it in life"},
    {"upstream-worse",
     DOUBTFUL "vessel A2 --capacity 12 --class potable --level 6\ncouple galley A1 A2",
     "couple galley A2", "Uncouple A1"},
    {"upstream-non-potable",
     DOUBTFUL "vessel A2 --capacity 12 --class non-potable --level 6\ncouple galley A2 A1",
     "couple galley A1", "Uncouple A2"},
    {"no-potable", DOUBTFUL, "treat A1 boil --minutes 3", "or treat"},
    {"reserve-in-use",
     "vessel A1 --capacity 12\ncouple galley A1\n"
     "vessel R1 --capacity 12 --duty reserve --class potable --level 12",
     "fill A1 10 --class potable", "refill"},
    {"reserve-short", POTABLE "vessel R1 --capacity 12 --duty reserve --class potable --level 6",
     "fill R1 full --class potable", "Fill"},
    {"stop-missed",
     "vessel A1 --capacity 200 --class potable --level 4\ncouple galley A1\n"
     "stop Fen --eta 2026-06-08T08:00:00Z",
     "fill A1 full --class potable", "find water"},
    {"stop-doubtful",
     "vessel A1 --capacity 400 --class potable --level 60\ncouple galley A1\n"
     "stop Fen --eta 2026-06-08T08:00:00Z",
     "fill A1 full --class potable", "find water"},
    {"low-water", "vessel A1 --capacity 100 --class potable --level 9\ncouple galley A1",
     "fill A1 full --class potable", "Refill"},
    {"stop-passed", POTABLE "stop Fen --eta 2026-06-01T20:00:00Z\n+1", "unstop Fen", "drop it"},
    {"stale", POTABLE "+31", "dump A1\nfill A1 6 --class potable", "dump and refill"},
    {"raw",
     "source Fen --type spring\nvessel A1 --capacity 12 --class potable\n"
     "fill A1 6 --from Fen --class potable",
     "treat A1 boil --minutes 3", "Boil"},
    {"asserted", POTABLE,
     "dump A1\nsanitise A1\nsource Holm --type mains --class potable\nfill A1 6 --from Holm",
     "Fill from a supplied source"},
    {"source-amended",
     "source tap --type mains --class potable\nvessel A1 --capacity 12\nsanitise A1\n"
     "couple galley A1\n+2\nfill A1 4 --from tap\n+1\nsource tap --class questionable",
     "+-1.5\nsource tap --class questionable\n+1.5", "Put them right"},
    {"sanitise-due", POTABLE "dump A1\nsanitise A1\n+181", "sanitise A1", "sanitise it"},
    {"sanitise-soon", POTABLE "dump A1\nsanitise A1\n+170", "sanitise A1", "Plan it"},
    {"never-sanitised", "vessel A1 --capacity 12", "sanitise A1", "Sanitise it"},
    {"stage-due-no-spare", STAGE "+31", "swap s", "Get one"},
    {"stage-due", STAGE "spares s 1\n+31", "swap s", "Swap it"},
    {"stage-soon-no-spare", STAGE "+20", "spares s 1", "Get one"},
    {"stage-soon", STAGE "spares s 1\n+20", "swap s", "Keep its spare"},
    {"spare-wanted", STAGE "spares s 0\n+5", "spares s 1", "Get one"},
    {"stage-due-put-off", STAGE "+31\nputoff s", "swap s", "do not rely"},
    {"flow-fell",
     POTABLE
     "stage sediment --type sediment --line galley\nflowtest galley 1 10\nflowtest galley 1 16",
     "swap sediment", "swap it"},
    {"meter-off",
     "vessel A1 --capacity 12 --class potable --level 12\ncouple galley A1\nmeter galley "
     "0\n" METERED("10") METERED("20") METERED("30") METERED("40"),
     "meter galley 0 --new", "Calibrate it"},
    {"frost", POTABLE "test galley --temp 1", "test galley --temp 8", "Drain first"},
    {"sound-overdue", POTABLE "+8", "sound A1 4", "Sound it"},
    {"crew-unknown", "vessel A1 --capacity 12", "crew 1", "Log the crew"},
};
enum { STORY_COUNT = sizeof stories / sizeof *stories };

static void say_all(Logbook *book, const char *lines)
{
    for (Text rest = text_of(lines); rest.n > 0;) {
        const Text line = text_cut(&rest, '\n');
        char words[300];
        snprintf(words, sizeof words, "%.*s", (int)line.n, line.s);
        if (words[0] == '+')
            book_pass(book, atof(words + 1));
        else if (words[0])
            book_say(book, words);
        book_pass(book, 1e-5); /* a second: what is said after is after */
    }
}

static void every_alert_is_raised_names_an_act_and_is_gone_when_it_is_done(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    for (int i = 0; i < STORY_COUNT; i++) {
        const Story *story = &stories[i];
        Logbook *book = book_open();
        if (strcmp(story->id, "crew-unknown") != 0)
            say_all(book, "crew 2");
        say_all(book, story->raised);
        Board *board = board_of(book, NULL);
        const Alert *alert = alert_of(board, story->id);
        if (alert == NULL)
            fail_msg("%s is not raised", story->id);
        if (strstr(alert->text, story->names) == NULL)
            fail_msg("%s does not name \"%s\": %s", story->id, story->names, alert->text);
        free(board);
        say_all(book, story->act);
        board = board_of(book, NULL);
        if (alert_of(board, story->id) != NULL)
            fail_msg("%s still speaks after: %s", story->id, story->act);
        free(board);
        book_close(book);
    }
}

/* What no entry of a log in memory can raise: the file and the clock. */
static void an_entry_that_differs_is_gone_when_it_is_settled(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    say_all(book, POTABLE "sound A1 12");
    Board *board = board_of(book, NULL);
    assert_non_null(alert_of(board, "discrepancy"));
    char id[40], words[80];
    snprintf(words, sizeof words, "settle %s", uuid_print(&board->discrepancies[0].entry, id));
    free(board);
    say_all(book, words);
    board = board_of(book, NULL);
    assert_null(alert_of(board, "discrepancy"));

    static const struct {
        DiscrepancyKind kind;
        const char *id;
    } runs[] = {{DISCREPANCY_RUN_LONG, "run-long"},
                {DISCREPANCY_RUN_DRIP, "run-drip"},
                {DISCREPANCY_LEAK, "leak"},
                {DISCREPANCY_TWICE, "twice"}};
    for (int i = 0; i < 4; i++) {
        board->discrepancy_count = 1;
        board->discrepancies[0] = (Discrepancy){.kind = (uint8_t)runs[i].kind,
                                                .entry_kind = KIND_SWAP,
                                                .at = board->now.ms,
                                                .name = label_of(text_of("galley"))};
        advice_give(board);
        assert_non_null(strstr(alert_of(board, runs[i].id)->text, "settle"));
        assert_null(alert_of(board, "discrepancy")); /* said once */
        board->discrepancy_count = 0;
        advice_give(board);
        assert_null(alert_of(board, runs[i].id));
    }
    board->unread = 1;
    advice_give(board);
    assert_non_null(strstr(alert_of(board, "unread")->text, "ullage verify"));
    board->unread = 0;
    board->last = (Moment){board->now.ms + MS_PER_HOUR};
    advice_give(board);
    assert_null(alert_of(board, "unread"));
    assert_non_null(strstr(alert_of(board, "clock")->text, "Set the clock"));
    board->last = board->now;
    advice_give(board);
    assert_null(alert_of(board, "clock"));
    free(board);
    book_close(book);
}

static void no_rule_is_without_its_story(void **unused)
{
    static const Rules *const rooms[] = {&advice_harm, &advice_supply, &advice_care};
    static const char *const others[] = {"discrepancy", "unread", "clock", "run-long",
                                         "run-drip",    "leak",   "twice"};
    (void)unused;
    for (size_t r = 0; r < sizeof rooms / sizeof rooms[0]; r++) {
        for (int i = 0; i < rooms[r]->count; i++) {
            const Rule *rule = &rooms[r]->rules[i];
            int found = 0;
            for (int s = 0; s < STORY_COUNT; s++)
                found += strcmp(stories[s].id, rule->id) == 0;
            for (size_t o = 0; o < sizeof others / sizeof *others; o++)
                found += strcmp(others[o], rule->id) == 0;
            if (found != 1)
                fail_msg("%s: %d stories", rule->id, found);
            assert_true(rule->todo[0] != '\0');
        }
    }
}

/* Only for the worse, only while it can do harm, and for a fortnight. */
static void a_source_that_was_amended_is_spoken_of_while_its_water_stands_as_better(void **unused)
{
    static const struct {
        const char *lines;
        bool speaks;
    } cases[] = {
        {"source tap --class non-potable", true},
        {"source tap --class questionable\n+13.99", true},
        {"source tap --class questionable\n+14.01", false},
        {"source tap --class questionable\nsource tap --class potable", false},
        {"source tap --class questionable\ndump A1\nsanitise A1", false},
        {"fill A1 1 --class questionable\nsource tap --class questionable", false},
        {"fill A1 1 --class questionable\nsource tap --class non-potable", true},
        {"source tap --type vendor", false},
    };
    (void)unused;
    zone_set("UTC0");
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        Logbook *book = book_open();
        say_all(book, "source tap --type mains --class potable\nvessel A1 --capacity 12\n"
                      "sanitise A1\ncouple galley A1\n+2\nfill A1 4 --from tap");
        say_all(book, cases[i].lines);
        Board *board = board_of(book, NULL);
        if ((alert_of(board, "source-amended") != NULL) != cases[i].speaks)
            fail_msg("after \"%s\": %s", cases[i].lines, cases[i].speaks ? "not said" : "said");
        free(board);
        book_close(book);
    }
    Logbook *book = book_open();
    say_all(book, "source well --type well --class questionable\nvessel A1 --capacity 12\n"
                  "sanitise A1\ncouple galley A1\n+2\nfill A1 4 --from well\n"
                  "source well --class potable");
    Board *board = board_of(book, NULL);
    assert_null(alert_of(board, "source-amended"));
    free(board);
    book_close(book);
}

/* The other two ends of a stop that is past: moved, and refilled there from half a day before. */
static void a_stop_that_is_past_is_asked_about_until_it_is_put_right(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    static const struct {
        const char *then;
        bool asked;
    } cases[] = {{"", true},
                 {"stop Fen --eta 2026-06-05T10:00:00Z", false},
                 {"fill A1 4 --from Fen", false},
                 {"fill A1 4 --from Other", true},
                 {"+12.9", true},
                 {"+13.6", false}}; /* two weeks later nobody knows any more */
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        Logbook *book = book_open();
        say_all(book, POTABLE "stop Fen --eta 2026-06-01T20:30:00Z\n+1"); /* 11.5 hours ago */
        say_all(book, cases[i].then);
        Board *board = board_of(book, NULL);
        if ((alert_of(board, "stop-passed") != NULL) != cases[i].asked)
            fail_msg("%s", cases[i].then);
        free(board);
        book_close(book);
    }
    Logbook *book = book_open(); /* 08:00; half a day before 20:01 is a minute after the fill */
    say_all(book, POTABLE "fill A1 4 --from Fen\nstop Fen --eta 2026-06-01T20:01:00Z\n"
                          "stop Gorse --eta 2026-06-01T19:00:00Z\n+1");
    Board *board = board_of(book, NULL);
    assert_string_equal(board->passed.label.s, "Gorse"); /* the earlier one first */
    free(board);
    say_all(book, "unstop Gorse");
    board = board_of(book, NULL);
    assert_string_equal(board->passed.label.s, "Fen");
    free(board);
    say_all(book, "stop Fen --eta 2026-06-01T20:00:00Z"); /* just half a day */
    board = board_of(book, NULL);
    assert_int_equal(board->passed.eta, MOMENT_NONE_MS);
    free(board);
    book_close(book);
}

static void many_vessels_share_a_notice(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    say_all(book, "vessel A1 --capacity 12\nvessel A2 --capacity 12\nvessel A3 --capacity 12\n"
                  "vessel A4 --capacity 12\nvessel R1 --capacity 12 --duty reserve\n"
                  "vessel W1 --capacity 12 --duty wash");
    Board *board = board_of(book, NULL);
    const Alert *alert = alert_of(board, "never-sanitised");
    assert_int_equal(strncmp(alert->text, "A1-A4, R1: never sanitised", 26), 0);
    assert_true(label_empty(&alert->about));
    assert_true((alert->flags & ALERT_MANY) != 0);
    free(board);
    /* of two dates, two sentences */
    say_all(book, "sanitise A1\nsanitise A2\n+10\nsanitise A3\n+175");
    board = board_of(book, NULL);
    alert = alert_of(board, "sanitise-due");
    assert_int_equal(strncmp(alert->text, "A1, A2 are due for sanitising", 29), 0);
    alert = alert_of(board, "sanitise-soon");
    assert_int_equal(strncmp(alert->text, "A3 is due for sanitising", 24), 0);
    assert_string_equal(alert->about.s, "A3");
    free(board);
    book_close(book);
}

static void the_age_of_a_heel_is_not_spoken_of(void **unused)
{
    (void)unused;
    zone_set("UTC0");
    Logbook *book = book_open();
    say_all(book, "vessel A1 --capacity 12 --heel 0.2 --class potable --level 0.2\n"
                  "vessel A2 --capacity 12 --heel 0.2 --class potable --level 0.3\n+200");
    Board *board = board_of(book, NULL);
    const Alert *alert = alert_of(board, "stale");
    assert_string_equal(alert->about.s, "A2");
    free(board);
    book_close(book);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_alert_is_raised_names_an_act_and_is_gone_when_it_is_done),
        cmocka_unit_test(an_entry_that_differs_is_gone_when_it_is_settled),
        cmocka_unit_test(no_rule_is_without_its_story),
        cmocka_unit_test(a_source_that_was_amended_is_spoken_of_while_its_water_stands_as_better),
        cmocka_unit_test(a_stop_that_is_past_is_asked_about_until_it_is_put_right),
        cmocka_unit_test(many_vessels_share_a_notice),
        cmocka_unit_test(the_age_of_a_heel_is_not_spoken_of),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
