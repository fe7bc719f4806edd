/* status, due, outlook, log: what they print, exactly where others rely on it. */
#include "support/run_json.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <sqlite3.h>

static const char *const season[] = {
    "vessel A1 --capacity 12 --heel 0.2 --tare 3.1 --class potable --level 4 --at "
    "2024-05-01T08:00:00Z",
    "vessel A2 --capacity 12 --heel 0.2 --class potable --level 12 --at 2024-05-01T08:01:00Z",
    "vessel A10 --capacity 12 --duty reserve --class potable --level full --at "
    "2024-05-01T08:02:00Z",
    "vessel W1 --capacity 20 --duty wash --class non-potable --level 9 --at 2024-05-01T08:03:00Z",
    "couple galley A1 A2 --at 2024-05-01T08:04:00Z",
    "crew 2 --at 2024-05-01T08:05:00Z",
    "stage sediment --type sediment --line galley --position 1 --life-litres 4000 --life-days 30 "
    "--at 2024-05-01T08:07:00Z",
    "stage lamp --type uv --line galley --position 2 --life-hours 9000 --lamp always "
    "--at 2024-05-01T08:08:00Z",
    "spares sediment 1 --at 2024-05-01T08:09:00Z",
    "draw galley 2.5 --for cook --at 2024-05-02T08:00:00Z",
    "stop Holm --eta 2024-05-06T12:00:00Z --at 2024-05-02T08:30:00Z",
    "sound A2 11 --at 2024-05-03T08:00:00Z --note \"by eye\"",
};

static void begin(Run *r)
{
    run_begin_with(r, "UTC0", season, sizeof season / sizeof season[0]);
}

/* The keys of an object in their order, separated by blanks. */
static void json_keys(const Run *r, const char *path, const char *expected)
{
    sqlite3 *db = NULL;
    sqlite3_stmt *s = NULL;
    char keys[600] = "";
    assert_int_equal(sqlite3_open(":memory:", &db), SQLITE_OK);
    assert_int_equal(sqlite3_prepare_v2(db, "SELECT key FROM json_each(?1, ?2)", -1, &s, NULL),
                     SQLITE_OK);
    sqlite3_bind_text(s, 1, r->out, -1, SQLITE_STATIC);
    sqlite3_bind_text(s, 2, path, -1, SQLITE_STATIC);
    while (sqlite3_step(s) == SQLITE_ROW) {
        strcat(keys, keys[0] != '\0' ? " " : "");
        strcat(keys, (const char *)sqlite3_column_text(s, 0));
    }
    sqlite3_finalize(s);
    sqlite3_close(db);
    /* More may stand at the end. */
    if (strncmp(keys, expected, strlen(expected)) != 0)
        fail_msg("keys of %s: %s, not %s", path, keys, expected);
}

static void status_as_json_has_the_keys_of_the_contract_in_order(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_expect(&r, 0, "sound A2 11.5 --at 2024-05-03T09:00:00Z"); /* a gain: a discrepancy */
    run_expect(&r, 0, "status --json --at 2024-05-03T10:00:00Z");
    json_keys(&r, "$",
              "at entries crew vessels lines supply reserve use outlook stages discrepancies "
              "alerts");
    json_keys(&r, "$.vessels[0]",
              "vessel duty capacity heel volume usable class line position lead mean_fill_at "
              "oldest_fill_at sanitised_at sounded_at mass_kg");
    json_keys(&r, "$.lines[0]", "line order lead volume usable class verdict");
    json_keys(&r, "$.supply", "potable questionable non-potable line reserve apart");
    json_keys(&r, "$.reserve", "state usable volume");
    json_keys(&r, "$.use", "litres_per_day logged_per_person_day unlogged_per_person_day");
    json_keys(&r, "$.outlook", "to_reserve to_empty stops");
    json_keys(&r, "$.outlook.to_empty", "p10 p50 p90");
    json_keys(&r, "$.outlook.stops[0]", "stop eta odds_line odds_all ration_90");
    json_keys(
        &r, "$.stages[0]",
        "stage type line litres lamp_hours fitted_at spares state due_at because litres_left");
    json_keys(&r, "$.discrepancies[0]", "entry at text");
    json_keys(&r, "$.alerts[0]", "level about text");
    run_end(&r);
}

static void status_as_json_follows_from_the_log(void **unused)
{
    (void)unused;
    static const struct {
        const char *path, *value;
    } facts[] = {
        {"$.at", "2024-05-03T10:00:00Z"},
        {"$.entries", "12"},
        {"$.crew", "2"},
        {"$.vessels[0].vessel", "A1"}, /* in the order of their labels, numbers by value */
        {"$.vessels[1].vessel", "A2"},
        {"$.vessels[2].vessel", "A10"},
        {"$.vessels[3].vessel", "W1"},
        {"$.vessels[0].volume", "1.5"},
        {"$.vessels[0].usable", "1.3"},
        {"$.vessels[0].lead", "1"},
        {"$.vessels[0].mass_kg", "4.6"},
        {"$.vessels[0].mean_fill_at", "2024-05-01T08:00:00Z"},
        {"$.vessels[0].sanitised_at", "null"},
        {"$.vessels[0].sounded_at", "null"},
        {"$.vessels[1].volume", "11.0"},
        {"$.vessels[1].sounded_at", "2024-05-03T08:00:00Z"},
        {"$.vessels[1].position", "2"},
        {"$.vessels[1].mass_kg", "null"},
        {"$.vessels[2].line", "null"},
        {"$.vessels[2].position", "null"},
        {"$.vessels[3].class", "non-potable"},
        {"$.lines[0].line", "galley"},
        {"$.lines[0].order[1]", "A2"},
        {"$.lines[0].lead", "A1"},
        {"$.lines[0].volume", "12.5"},
        {"$.lines[0].usable", "12.1"},
        {"$.lines[0].class", "potable"},
        {"$.lines[0].verdict", "drink"},
        {"$.lines[0].grade", "asserted"}, /* never the class without its grade (domain 3.7) */
        {"$.lines[0].raw", "1"},
        {"$.supply.potable", "24.1"},
        {"$.supply.questionable", "0.0"},
        {"$.supply.non-potable", "9.0"},
        {"$.supply.line", "12.1"},
        {"$.supply.reserve", "12.0"},
        {"$.supply.apart", "9.0"},
        {"$.reserve.state", "intact"},
        {"$.reserve.volume", "12.0"},
        {"$.outlook.stops[0].stop", "Holm"},
        {"$.outlook.stops[0].eta", "2024-05-06T12:00:00Z"},
        {"$.stages[0].stage", "lamp"},
        {"$.stages[0].because", "lamp hours"},
        {"$.stages[0].litres_left", "null"},
        {"$.stages[0].spares", "null"},
        {"$.stages[0].due_at", "2025-05-11T08:08:00Z"}, /* 9000 h = 375 days */
        {"$.stages[1].due_at", "2024-05-31T00:00:00Z"},
        {"$.stages[1].litres", "3.5"}, /* 1 L was found missing */
        {"$.stages[1].litres_left", "3996.5"},
        {"$.stages[1].lamp_hours", "null"},
        {"$.stages[1].spares", "1"},
        {"$.stages[1].state", "ok"},
        {"$.discrepancies[0]", "absent"},
    };
    Run r;
    char path[64];
    begin(&r);
    run_expect(&r, 0, "status --json --at 2024-05-03T10:00:00Z");
    for (size_t i = 0; i < sizeof facts / sizeof facts[0]; i++) {
        snprintf(path, sizeof path, "%s", facts[i].path);
        if (strcmp(path, "$.supply.non-potable") == 0)
            strcpy(path, "$.supply.\"non-potable\"");
        json_is(&r, path, facts[i].value);
    }
    run_said(&r, "\"capacity\":12.000,\"heel\":0.200,\"volume\":1.500"); /* three decimals */
    run_end(&r);
}

static void status_at_a_time_knows_nothing_of_what_came_later(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_expect(&r, 0, "status --json --at 2024-05-02T07:59:59Z");
    json_is(&r, "$.entries", "9");
    json_is(&r, "$.vessels[0].volume", "4.0");
    run_expect(&r, 0, "status --json --at 2024-05-02T08:00:00Z");
    json_is(&r, "$.entries", "10");
    json_is(&r, "$.vessels[0].volume", "1.5");
    run_expect(&r, 0, "status --json --at 2024-04-01");
    json_is(&r, "$.vessels[0]", "absent");
    json_is(&r, "$.crew", "null");
    json_is(&r, "$.use.litres_per_day", "null");
    json_is(&r, "$.outlook.to_empty.p50", "null");
    run_end(&r);
}

static void status_as_text_is_plain_words(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    setenv("TERM", "xterm", 1);
    run_expect(&r, 0, "status --at 2024-05-03T10:00:00Z");
    run_said(&r, "Water aboard at Fri 3 May 2024 10:00 +00:00, crew of 2, 12 entries.\n");
    run_said(&r, "Tap       galley, drink");
    run_said(&r, "Reserve   intact: A10 12.0 L");
    run_said(&r, "\nVESSEL  DUTY     PLACE");
    run_said(&r, "\nA1      line     galley 1 lead   1.5 L  12.0 L  potable");
    run_said(&r, "not a laboratory test");
    run_not_said(&r, "\033"); /* no terminal, no colour */
    /* No line ends in blanks, and the sentences fit 80 columns. */
    run_not_said(&r, " \n");
    run_expect(&r, 0, "status --units us --at 2024-05-03T10:00:00Z");
    run_said(&r, "Water     3.1 gal on the line");
    run_end(&r);
}

static void without_a_command_and_a_terminal_the_status_is_printed(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_expect(&r, 0, "");
    run_said(&r, "Tap       galley, ");
    run_expect(&r, 0, "--json");
    json_is(&r, "$.lines[0].line", "galley");
    run_end(&r);
}

static void due_says_what_and_exits_with_4_only_when_asked(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_expect(&r, 0, "due --at 2024-05-10T10:00:00Z");
    run_said(&r, "STATE  WHEN");
    run_said(&r, "sediment: swap the cartridge");
    run_said(&r, "1 spare aboard");
    run_expect(&r, 4, "due --check --at 2024-05-30T09:00:00Z");
    run_said(&r, "water: refill"); /* a month without an entry: the line may be empty by now */
    run_expect(&r, 0, "fill A1 12 --at 2024-05-30T09:00:00Z");
    run_expect(&r, 0, "fill A2 12 --at 2024-05-30T09:00:00Z");
    run_expect(&r, 0, "due --check --at 2024-05-30T23:59:59Z");
    assert_string_equal(r.out, "");
    run_expect(&r, 4, "due --check --at 2024-05-31T00:00:00Z");
    run_said(&r, "DUE");
    run_expect(&r, 4, "due --check --json --at 2024-05-31T00:00:00Z");
    json_is(&r, "$.due[0].about", "sediment");
    json_is(&r, "$.due[0].state", "due");
    json_is(&r, "$.due[0].due_at", "2024-05-31T00:00:00Z");
    run_expect(&r, 0, "due --at 2024-05-31T00:00:00Z"); /* said, but not asked for */
    run_expect(&r, 4, "due --check --within 1 --at 2024-05-30T10:00:00Z");
    run_expect(&r, 0, "due --check --within 0 --at 2024-05-30T10:00:00Z");
    run_expect(&r, 0, "due --within 0 --at 2024-05-30T10:00:00Z");
    run_said(&r, "Nothing is due in that time.");
    run_end(&r);
}

static void outlook_gives_days_and_stops(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_expect(&r, 0, "outlook --at 2024-05-04T10:00:00Z");
    run_said(&r, "Lasts     on the line to ");
    run_said(&r, "\nStops     Holm ");
    run_expect(&r, 0, "outlook --json --at 2024-05-04T10:00:00Z");
    json_keys(&r, "$", "at use outlook");
    json_is(&r, "$.outlook.stops[0].stop", "Holm");
    run_expect(&r, 0, "outlook --at 2024-04-01");
    run_said(&r, "not known yet");
    run_end(&r);
}

static int lines_of(const Run *r)
{
    int n = 0;
    for (const char *c = r->out; *c != '\0'; c++)
        n += *c == '\n';
    return n;
}

static void the_log_is_searched_by_time_vessel_and_kind(void **unused)
{
    (void)unused;
    static const struct {
        const char *words;
        int lines;
    } cases[] = {
        {"log", 12},
        {"log --kind draw", 1},
        {"log --vessel A2", 3}, /* named, coupled, sounded */
        {"log --vessel a2", 3},
        {"log --since 2024-05-02", 3},
        {"log --since \"2024-05-02 08:00\"", 3},
        {"log --since \"2024-05-02 08:00:01\"", 2},
        {"log --until 2024-05-01", 9},
        {"log --since 2024-05-02 --until 2024-05-02", 2},
        {"log --since 2024-05-02 --kind sound --vessel A2", 1},
        {"log --until 2024-04-01", 0},
    };
    Run r;
    begin(&r);
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        run_expect(&r, 0, cases[i].words);
        if (lines_of(&r) != cases[i].lines)
            fail_msg("%s: %d lines, not %d\n%s", cases[i].words, lines_of(&r), cases[i].lines,
                     r.out);
    }
    run_expect(&r, 0, "log --kind sound");
    run_said(&r, "2024-05-03 08:00  ");
    run_said(&r, "  sound A2 11 L \"by eye\"\n");
    run_end(&r);
}

static void what_was_taken_back_is_in_the_log_only_when_asked_for(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_expect(&r, 0, "void last");
    run_expect(&r, 0, "log");
    assert_int_equal(lines_of(&r), 11);
    run_not_said(&r, "sound A2");
    run_expect(&r, 0, "log --voided");
    assert_int_equal(lines_of(&r), 13);
    run_said(&r, "sound A2 11 L \"by eye\"  (taken back)\n");
    run_end(&r);
}

static void the_shown_beginning_of_an_id_is_enough_to_void_by(void **unused)
{
    (void)unused;
    Run r;
    char id[32], words[64];
    begin(&r);
    run_expect(&r, 0, "log --kind draw");
    assert_int_equal(sscanf(r.out, "%*s %*s %31s", id), 1);
    snprintf(words, sizeof words, "void %s", id);
    run_expect(&r, 0, words);
    run_said(&r, "draw galley 2.5 L for cook");
    run_end(&r);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(status_as_json_has_the_keys_of_the_contract_in_order),
        cmocka_unit_test(status_as_json_follows_from_the_log),
        cmocka_unit_test(status_at_a_time_knows_nothing_of_what_came_later),
        cmocka_unit_test(status_as_text_is_plain_words),
        cmocka_unit_test(without_a_command_and_a_terminal_the_status_is_printed),
        cmocka_unit_test(due_says_what_and_exits_with_4_only_when_asked),
        cmocka_unit_test(outlook_gives_days_and_stops),
        cmocka_unit_test(the_log_is_searched_by_time_vessel_and_kind),
        cmocka_unit_test(what_was_taken_back_is_in_the_log_only_when_asked_for),
        cmocka_unit_test(the_shown_beginning_of_an_id_is_enough_to_void_by),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
