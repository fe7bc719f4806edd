/* `ullage outlook`: sentences and a table in a pipe, a chart on a terminal, JSON, what-ifs that
 * write nothing. */
#include "support/run_json.h"

#include <fcntl.h>
#include <pthread.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <cmocka.h>
#include <sqlite3.h>

#define AT " --at 2024-05-20T08:00:00Z"

static const char *const trip[] = {
    "vessel A1 --capacity 20 --class potable --level 20 --at 2024-05-01T08:00:00Z",
    "vessel A2 --capacity 20 --class potable --level 20 --at 2024-05-01T08:01:00Z",
    "vessel R1 --capacity 12 --duty reserve --class potable --level full --at 2024-05-01T08:02:00Z",
    "couple galley A1 A2 --at 2024-05-01T08:04:00Z",
    "crew 2 --at 2024-05-01T08:05:00Z",
    "stage sediment --type sediment --line galley --life-days 21 --at 2024-05-01T08:07:00Z",
    "spares sediment 0 --at 2024-05-01T08:09:00Z",
    "stop Holm --eta 2024-05-23T12:00:00Z --at 2024-05-02T08:30:00Z",
    "stop \"Tarn jetty\" --eta 2024-05-27T12:00:00Z --litres 20 --at 2024-05-02T08:31:00Z",
};

static void begin(Run *r)
{
    char words[120];
    run_begin_with(r, "UTC0", trip, sizeof trip / sizeof trip[0]);
    for (int day = 2; day < 20; day++) {
        snprintf(words, sizeof words, "draw galley 8 --at 2024-05-%02dT19:00:00Z", day);
        run_expect(r, 0, words);
        snprintf(words, sizeof words, "fill A1 full --class potable --at 2024-05-%02dT20:00:00Z",
                 day);
        run_expect(r, 0, words);
    }
}

static double json_number(const Run *r, const char *path)
{
    char *value = json_at(r, path);
    const double number = strtod(value, NULL);
    free(value);
    return number;
}

static void in_a_pipe_it_is_sentences_and_a_table_without_colour(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_expect(&r, 0, "outlook" AT);
    run_said(&r, "Outlook from Mon 20 May 2024 08:00 +00:00, as logged.");
    run_said(&r, "Lasts     on the line to ");
    run_said(&r, "Tarn jetty");
    /* fitted 1 May, 21 days: due on the 22nd, before Holm */
    run_said(&r, "Parts     buy 1 for sediment before Wed 22 May, so before the next stop");
    run_said(&r, "DATE              EXPECTED  ODDS 90 %  ODDS 10 %\n");
    run_said(&r, "Mon 20 May 08:00    52.0 L");
    run_not_said(&r, "\033");
    run_not_said(&r, "AS LOGGED");
    run_end(&r);
}

static void a_what_if_stands_beside_what_is_logged_and_writes_nothing(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_expect(&r, 0, "outlook --json" AT);
    char *before = strdup(r.out);
    run_expect(&r, 0, "outlook --crew 4 --dry holm --dry \"Tarn jetty\"" AT);
    run_said(&r, ", if 4 aboard, Holm dry, Tarn jetty dry (nothing is written).");
    run_said(&r, "\nAs logged on the line to ");
    run_said(&r, "ODDS 10 %  AS LOGGED");
    run_expect(&r, 0, "outlook --litres-per-day 16 --units metric" AT);
    run_said(&r, ", if 16.0 L a day (nothing is written).");
    run_expect(&r, 0, "outlook --json" AT);
    assert_string_equal(r.out, before);
    json_is(&r, "$.what_if", "null");
    free(before);
    run_end(&r);
}

static void json_gives_both_answers_the_curve_and_the_parts(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_expect(&r, 0, "outlook --json --crew 4 --dry Holm" AT);
    json_is(&r, "$.at", "2024-05-20T08:00:00Z");
    json_is(&r, "$.left[0].expected", "52.0");
    json_is(&r, "$.left[0].at", "2024-05-20T08:00:00Z");
    json_is(&r, "$.what_if.crew", "4");
    json_is(&r, "$.what_if.litres_per_day", "null");
    json_is(&r, "$.what_if.dry[0]", "Holm");
    json_is(&r, "$.what_if.outlook.stops[0].take_on", "0.0");
    json_is(&r, "$.parts[0].stage", "sediment");
    json_is(&r, "$.parts[0].spares", "0");
    json_is(&r, "$.parts[0].buy", "1");
    json_is(&r, "$.parts[0].before", "2024-05-22T00:00:00Z");
    json_is(&r, "$.parts[0].last_stop_before", "null");
    const double day = json_number(&r, "$.use.litres_per_day");
    assert_true(day > 7 && day < 9); /* 8 L were drawn every day */
    const double twice = json_number(&r, "$.what_if.use.litres_per_day");
    assert_true(twice > 2 * day - 0.01 && twice < 2 * day + 0.01);
    assert_true(json_number(&r, "$.what_if.outlook.to_empty.p50") <
                json_number(&r, "$.outlook.to_empty.p50"));
    run_end(&r);
}

static void nobody_aboard_and_an_empty_log_give_no_date(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_expect(&r, 0, "outlook --json --crew 0" AT);
    json_is(&r, "$.what_if.outlook.to_empty.p50", "null");
    json_is(&r, "$.what_if.outlook.stops[0].ration_90", "null");
    run_expect(&r, 0, "outlook --litres-per-day 0" AT);
    run_said(&r, "no end in sight at this rate");
    run_end(&r);
    run_begin(&r, "UTC0");
    run_expect(&r, 0, "note \"empty so far\" --at 2024-05-20T07:00:00Z");
    run_expect(&r, 0, "outlook" AT);
    run_said(&r, "not known yet");
    run_not_said(&r, "EXPECTED");
    run_expect(&r, 0, "outlook --json" AT);
    json_is(&r, "$.left[0]", "absent");
    json_is(&r, "$.parts[0]", "absent");
    run_end(&r);
}

static void what_can_not_be_is_refused_with_a_sentence(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_refused(&r, 1, "outlook --dry Nowhere" AT, "no stop of that name is planned");
    run_refused(&r, 2, "outlook --crew two" AT, "give a whole number, from 0 to 99");
    run_refused(&r, 2, "outlook --crew 100" AT, "give a whole number, from 0 to 99");
    run_refused(&r, 2, "outlook --litres-per-day 40%" AT, "give an amount of water");
    run_refused(&r, 2, "outlook --litres-per-day much" AT, "--litres-per-day: ");
    run_expect(&r, 0, "unstop Holm --at 2024-05-20T07:00:00Z");
    run_expect(&r, 0, "unstop \"Tarn jetty\" --at 2024-05-20T07:00:00Z");
    run_refused(&r, 1, "outlook --dry Holm" AT, "no stop is planned");
    run_end(&r);
}

/* ---- on a terminal ---- */

typedef struct {
    int master;
    char text[65536];
    size_t n;
} Terminal;

static void *terminal_read(void *context)
{
    Terminal *t = context;
    ssize_t n;
    while (t->n < sizeof t->text - 1 &&
           (n = read(t->master, t->text + t->n, sizeof t->text - 1 - t->n)) > 0)
        t->n += (size_t)n;
    return NULL;
}

/* Runs it with its output on a pseudo-terminal of that many columns. */
static void on_terminal(Run *r, Terminal *t, unsigned short columns, const char *words)
{
    *t = (Terminal){.master = posix_openpt(O_RDWR | O_NOCTTY)};
    assert_true(t->master >= 0);
    assert_int_equal(grantpt(t->master), 0);
    assert_int_equal(unlockpt(t->master), 0);
    const struct winsize size = {.ws_row = 24, .ws_col = columns};
    char name[64];
    assert_int_equal(ptsname_r(t->master, name, sizeof name), 0);
    int slave = open(name, O_RDWR | O_NOCTTY); /* so that the reader does not end too soon */
    assert_true(slave >= 0);
    assert_int_equal(ioctl(slave, TIOCSWINSZ, &size), 0);
    pthread_t reader;
    assert_int_equal(pthread_create(&reader, NULL, terminal_read, t), 0);
    r->out_to = name;
    run_expect(r, 0, words);
    close(slave); /* the last writer: the reader gets an end */
    pthread_join(reader, NULL);
    close(t->master);
    t->text[t->n] = '\0';
}

static void on_a_terminal_there_is_a_chart_in_the_locale_s_alphabet(void **unused)
{
    (void)unused;
    static Terminal t;
    Run r;
    begin(&r);
    setenv("LC_ALL", "C.UTF-8", 1);
    setenv("NO_COLOR", "1", 1);
    on_terminal(&r, &t, 80, "outlook" AT);
    assert_non_null(strstr(t.text, "Left on the line and in the reserve:"));
    assert_non_null(strstr(t.text, "• expected"));
    assert_non_null(strstr(t.text, "█ potable"));
    assert_non_null(strstr(t.text, "reserve"));
    assert_non_null(strstr(t.text, "└"));
    assert_null(strstr(t.text, "DATE "));
    assert_null(strchr(t.text, '\033'));
    setenv("LC_ALL", "C", 1);
    on_terminal(&r, &t, 80, "outlook --crew 3" AT);
    assert_non_null(strstr(t.text, "* expected"));
    assert_non_null(strstr(t.text, "0 as logged"));
    for (size_t i = 0; i < t.n; i++)
        assert_true((unsigned char)t.text[i] < 0x80);
    /* too narrow for a chart: it says the rest all the same */
    on_terminal(&r, &t, 12, "outlook" AT);
    assert_null(strstr(t.text, "* expected"));
    assert_non_null(strstr(t.text, "reserve"));
    unsetenv("NO_COLOR");
    setenv("TERM", "xterm-256color", 1);
    on_terminal(&r, &t, 80, "outlook" AT);
    assert_non_null(strstr(t.text, "\033[0;"));
    unsetenv("LC_ALL");
    run_end(&r);
}

static void a_season_comes_as_a_page_as_json_and_as_csv(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_expect(&r, 0, "season --until 2024-05-20T08:00:00Z");
    run_said(&r, "Season from Wed 1 May 2024 to Mon 20 May 2024: 20 days");
    run_said(&r, "144.0 L logged");
    run_said(&r, "on the reserve for 0.0 days");
    int lines = 0, column = 0;
    for (const char *c = r.out; *c != '\0'; c++) { /* a page of A4 at 80 columns */
        column = *c == '\n' ? 0 : column + 1;
        lines += *c == '\n';
        assert_true(column <= 80);
    }
    assert_in_range(lines, 10, 66);
    run_expect(&r, 0, "season --json --until 2024-05-20T08:00:00Z");
    run_said(&r, "\"drawn\":144.000");
    run_expect(&r, 0, "season --csv --since 2024-05-02 --until 2024-05-03");
    assert_string_equal(r.out, "day,logged,unlogged,person_days\r\n2024-05-02,8.000,0.000,2.000\r\n"
                               "2024-05-03,8.000,0.000,2.000\r\n");
    run_refused(&r, 2, "season --csv --json", "two formats");
    run_refused(&r, 2, "season --since 2024-06-01 --until 2024-05-01", "nothing between");
    run_end(&r);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_season_comes_as_a_page_as_json_and_as_csv),
        cmocka_unit_test(in_a_pipe_it_is_sentences_and_a_table_without_colour),
        cmocka_unit_test(a_what_if_stands_beside_what_is_logged_and_writes_nothing),
        cmocka_unit_test(json_gives_both_answers_the_curve_and_the_parts),
        cmocka_unit_test(nobody_aboard_and_an_empty_log_give_no_date),
        cmocka_unit_test(what_can_not_be_is_refused_with_a_sentence),
        cmocka_unit_test(on_a_terminal_there_is_a_chart_in_the_locale_s_alphabet),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
