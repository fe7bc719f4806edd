/* due: its windows and statuses, reminders that were put off, the calendar as two other programs
 * read it, the reminder for a timer, the completion of the shell. */
#include "support/run.h"
#include "support/zone.h"

#include "base/text.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include <cmocka.h>

/* One vessel, sanitised on the last of January of a leap year, filled on 1 May; a cartridge of 30
 * days; a lamp of 9000 hours (375 days). */
static const char *const season[] = {
    "vessel A1 --capacity 12 --heel 0.2 --at 2024-01-31T08:00:00Z",
    "sanitise A1 --at 2024-01-31T09:00:00Z",
    "couple galley A1 --at 2024-01-31T09:01:00Z",
    "fill A1 12 --class potable --at 2024-05-01T08:00:00Z",
    "stage \"sediment; aft\" --type sediment --line galley --life-days 30 --at "
    "2024-05-01T08:07:00Z",
    "stage \"lampe p\303\245 akterdekket, styrbord side\" --type uv --line galley --life-hours "
    "9000 --lamp always --at 2024-05-01T08:08:00Z",
    "spares \"sediment; aft\" 1 --at 2024-05-01T08:09:00Z",
};

static void begin(Run *r)
{
    run_begin_with(r, CENTRAL_EUROPE, season, sizeof season / sizeof season[0]);
}

/* ---- windows and statuses ---- */

/* The cartridge is due on 31 May local, from 30 May 22:00 UTC on; the water is stale on 31 May
 * 08:00 UTC. */
static void check_asks_for_now_and_within_for_days_to_come(void **unused)
{
    (void)unused;
    static const struct {
        const char *words;
        int status;
    } cases[] = {
        {"due --check --at 2024-05-30T21:59:59Z", 0},
        {"due --check --at 2024-05-30T22:00:00Z", 4},
        {"due --check --within 0 --at 2024-05-30T21:59:59Z", 0}, /* still 30 May local */
        {"due --check --within 1 --at 2024-05-30T21:59:59Z", 4},
        {"due --check --within 0 --at 2024-05-30T22:00:00Z", 4},
        {"due --check --within 3 --at 2024-05-27T21:59:59Z", 0}, /* four civil days before */
        {"due --check --within 3 --at 2024-05-27T22:00:00Z", 4},
        {"due --within 3 --at 2024-05-30T22:00:00Z", 0}, /* said, but not asked for */
    };
    Run r;
    begin(&r);
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        run_expect(&r, cases[i].status, cases[i].words);
        if (strstr(cases[i].words, "--check") != NULL)
            assert_int_equal(*r.out != '\0', cases[i].status == 4);
    }
    run_expect(&r, 4, "due --check --within 0 --at 2024-05-30T22:00:00Z");
    run_said(&r, "DUE    Fri 31 May  today  sediment; aft: swap the cartridge  by date; 1 spare");
    run_said(&r, "soon   Fri 31 May  today  A1: change the water"); /* due later in the day */
    run_end(&r);
}

static void an_empty_log_has_nothing_due(void **unused)
{
    (void)unused;
    Run r;
    run_begin(&r, "UTC0");
    run_expect(&r, 0, "crew 2 --at 2024-05-01T08:00:00Z");
    run_expect(&r, 0, "due");
    run_said(&r, "Nothing with a date");
    run_expect(&r, 0, "due --check");
    assert_string_equal(r.out, "");
    run_expect(&r, 0, "due --check --within 36500");
    assert_string_equal(r.out, "");
    run_expect(&r, 0, "due --json");
    run_said(&r, "\"due\":[]");
    run_end(&r);
}

static void what_no_rate_can_date_is_said_not_at_this_rate(void **unused)
{
    (void)unused;
    Run r;
    run_begin(&r, "UTC0");
    run_expect(&r, 0,
               "stage carbon --type carbon-block --line galley --life-litres 4000 --at "
               "2024-05-01T08:00:00Z");
    run_expect(&r, 0, "crew 0 --at 2024-05-01T08:01:00Z");
    run_expect(&r, 0, "due --at 2024-05-02T08:00:00Z");
    run_said(&r, "ok     not at this rate    carbon: swap the cartridge  spares never counted");
    run_expect(&r, 0, "due --json --at 2024-05-02T08:00:00Z");
    run_said(&r, "\"about\":\"carbon\",\"state\":\"ok\",\"due_at\":null");
    run_expect(&r, 0, "due --check --within 36500 --at 2024-05-02T08:00:00Z");
    run_end(&r);
}

static void options_that_do_not_go_together_are_refused(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_refused(&r, 2, "due --within -1", "--within");
    run_refused(&r, 2, "due --within 3.5", "give whole days");
    run_refused(&r, 2, "due --as todo", "--as goes with --ical");
    run_refused(&r, 2, "due --ical --as journal", "give event or todo");
    run_refused(&r, 2, "due --ical --json", "two formats");
    run_end(&r);
}

/* ---- putting off ---- */

static void what_was_put_off_stays_in_the_list_and_does_not_count(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_expect(&r, 0, "putoff \"sediment; aft\" 2024-06-05T08:00:00Z --at 2024-05-31T06:00:00Z");
    run_expect(&r, 0, "due --check --at 2024-05-31T07:00:00Z");
    assert_string_equal(r.out, "");
    run_expect(&r, 0, "due --at 2024-05-31T07:00:00Z");
    run_said(&r, "put off  Wed 5 Jun");
    run_said(&r, "sediment; aft, put off: swap the cartridge");
    run_said(&r, "due since Fri 31 May, by date; 1 spare aboard");
    run_expect(&r, 0, "due --within 0 --at 2024-05-31T07:00:00Z"); /* by the log it is in there */
    run_said(&r, "sediment; aft, put off: swap the cartridge");
    run_expect(&r, 0, "due --json --at 2024-05-31T07:00:00Z");
    run_said(&r, "\"due_at\":\"2024-05-30T22:00:00Z\"");
    run_said(&r, "\"put_off_to\":\"2024-06-05T08:00:00Z\"");
    /* In a window that reaches to its time it counts. */
    run_expect(&r, 4, "due --check --within 5 --at 2024-05-31T07:00:00Z");
    run_said(&r, "sediment; aft, put off");
    run_end(&r);
}

static void it_comes_again_at_its_time_and_a_swap_ends_it(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_expect(&r, 0, "putoff A1 2024-06-20T08:00:00Z --what water --at 2024-05-31T06:00:00Z");
    run_expect(&r, 0, "putoff \"sediment; aft\" 2024-06-05T08:00:00Z --at 2024-05-31T06:00:00Z");
    run_expect(&r, 0, "due --check --at 2024-06-05T07:59:59Z");
    run_expect(&r, 4, "due --check --at 2024-06-05T08:00:00Z");
    run_said(&r, "sediment; aft: swap the cartridge");
    run_not_said(&r, "A1");
    run_expect(&r, 0, "putoff \"sediment; aft\" 2024-06-15T08:00:00Z --at 2024-06-05T09:00:00Z");
    run_expect(&r, 0, "swap \"sediment; aft\" --at 2024-06-06T06:00:00Z");
    run_expect(&r, 0, "due --check --at 2024-06-06T07:00:00Z");
    run_expect(&r, 0, "status --json --at 2024-06-06T07:00:00Z");
    run_said(&r, "\"water_put_off_to\":\"2024-06-20T08:00:00Z\"");
    run_said(&r, "\"put_off_to\":null");
    run_refused(&r, 2, "putoff A1", "sanitise or water");
    run_refused(&r, 1, "putoff W9 --what water", "There is no vessel 'W9'");
    run_end(&r);
}

/* The echo tells how it stands now, so these are of now. */
static void the_echo_says_what_is_put_off_and_what_no_longer(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_expect(&r, 0, "putoff \"sediment; aft\"");
    run_said(&r, "  sediment; aft: the swap is put off to ");
    run_expect(&r, 0, "putoff A1 +3d --what sanitise");
    run_said(&r, "  A1: sanitising is put off to ");
    run_expect(&r, 0, "void last");
    run_said(&r, "  A1: sanitising is no longer put off");
    run_expect(&r, 0, "swap \"sediment; aft\"");
    run_said(&r, "  sediment; aft: the swap is no longer put off");
    run_end(&r);
}

/* ---- the calendar, read by others ---- */

/* What both must find for the season on 10 May, by hand. 31 January and 180 days is 29 July in a
 * leap year; -1177200 s are 14 days but 9 hours, so nine o'clock on the day 14 days before. The
 * identifiers are those of outlook/calendar.h, computed apart in another language. */
#define READ_SEDIMENT(component, related)                                                          \
    component "\n  uid 8e033119-f27c-846d-baa4-48e7bb5c6796\n"                                     \
              "  stamp 20240510T100000Z\n"                                                         \
              "  day 20240531\n"                                                                   \
              "  summary sediment; aft: swap the cartridge, due Fri 31 May 2024\n"                 \
              "  description by date; 1 spare aboard\n"                                            \
              "  alarm " related                                                                   \
              " -1177200 sediment; aft: swap the cartridge, due Fri 31 May 2024\n"                 \
              "  alarm " related " 32400 sediment; aft: swap the cartridge, due Fri 31 May 2024\n"
#define READ_WATER(component, related)                                                             \
    component "\n  uid 2d642e13-f2ec-8f2e-8ccd-6a0153e93a8b\n"                                     \
              "  stamp 20240510T100000Z\n"                                                         \
              "  utc 20240531T080000Z\n"                                                           \
              "  summary A1: change the water, due Fri 31 May 2024 10:00\n"                        \
              "  description stale by its mean age\n"                                              \
              "  alarm " related " 0 A1: change the water, due Fri 31 May 2024 10:00\n"
#define READ_SANITISE(component, related)                                                          \
    component "\n  uid cec4cb0b-165f-8e9d-bdcd-fbdc3c9061ac\n"                                     \
              "  stamp 20240510T100000Z\n"                                                         \
              "  day 20240729\n"                                                                   \
              "  summary A1: sanitise, due Mon 29 Jul 2024\n"                                      \
              "  description 180 days after the last time\n"                                       \
              "  alarm " related " -1177200 A1: sanitise, due Mon 29 Jul 2024\n"                   \
              "  alarm " related " 32400 A1: sanitise, due Mon 29 Jul 2024\n"
#define LAMP                                                                                       \
    "lampe p\303\245 akterdekket, styrbord side: swap the lamp, due Sun 11 May 2025 10:08\n"
#define READ_LAMP(component, related)                                                              \
    component "\n  uid d828a8b8-9997-8a06-9e8c-56f69eb89f51\n"                                     \
              "  stamp 20240510T100000Z\n"                                                         \
              "  utc 20250511T080800Z\n"                                                           \
              "  summary " LAMP "  description by lamp hours; spares never counted\n"              \
              "  alarm " related " -1209600 " LAMP "  alarm " related " 0 " LAMP
#define READ(component, related)                                                                   \
    READ_SEDIMENT(component, related)                                                              \
    READ_WATER(component, related)                                                                 \
    READ_SANITISE(component, related) READ_LAMP(component, related)

/* Runs a command of the shell; what it prints. The caller frees the Str. */
static int shell(const char *command, Str *out)
{
    char block[4096];
    size_t n;
    FILE *pipe = popen(command, "r"); // NOLINT(cert-env33-c): the words are the test's own
    assert_non_null(pipe);
    str_adds(out, "");
    while ((n = fread(block, 1, sizeof block, pipe)) > 0)
        str_add(out, text_slice(block, n));
    const int status = pclose(pipe);
    return status >= 0 && status % 256 == 0 ? status / 256 : -1;
}

static void read_by(const char *reader, const char *package, const char *path, const char *expected)
{
    char command[600];
    Str out = {0};
    snprintf(command, sizeof command, "%s '%s'", reader, path);
    const int status = shell(command, &out);
    if (status == 3 || status == 127)
        fail_msg("The Debian package %s is not installed: 'sh share/setup.sh %s' does it.", package,
                 package);
    if (status != 0)
        fail_msg("%s: status %d", command, status);
    if (strcmp(out.s, expected) != 0)
        fail_msg("%s read:\n%snot:\n%s", reader, out.s, expected);
    str_finish(&out);
}

static void read_by_both(const char *path, const char *expected)
{
#ifdef READ_LIBICAL
    read_by(READ_LIBICAL, "libical-dev", path, expected);
#else
    fail_msg("The Debian package libical-dev was not installed when the tests were set up: 'sh "
             "share/setup.sh libical-dev', then 'meson setup --reconfigure'.");
#endif
    /* the system's own, which the package is for */
    read_by("/usr/bin/python3 " SUPPORT "/read_icalendar.py", "python3-icalendar", path, expected);
}

static void two_other_programs_read_in_the_calendar_what_is_due(void **unused)
{
    (void)unused;
    static const struct {
        const char *words, *read;
    } cases[] = {
        {"due --ical --at 2024-05-10T10:00:00Z", READ("VEVENT", "START")},
        {"due --ical --as event --at 2024-05-10T10:00:00Z", READ("VEVENT", "START")},
        {"due --ical --as todo --at 2024-05-10T10:00:00Z", READ("VTODO", "END")},
        {"due --ical --as todo --within 30 --at 2024-05-10T10:00:00Z",
         READ_SEDIMENT("VTODO", "END") READ_WATER("VTODO", "END")},
        {"due --ical --check --at 2024-05-10T10:00:00Z", "VTIMEZONE\n"}, /* nothing is */
    };
    Run r;
    char path[256];
    begin(&r);
    run_path(&r, "due.ics", path, sizeof path);
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        run_expect(&r, 0, cases[i].words);
        run_file(&r, "due.ics", r.out, r.out_size);
        read_by_both(path, cases[i].read);
    }
    /* The same thing of tomorrow differs in its stamp and in nothing else. */
    run_expect(&r, 0, "due --ical --at 2024-05-10T10:00:00Z");
    char *today = strdup(r.out);
    run_expect(&r, 0, "due --ical --at 2024-05-11T10:00:00Z");
    for (char *at = r.out; (at = strstr(at, ":20240511T")) != NULL; at++)
        at[8] = '0'; /* DTSTAMP and LAST-MODIFIED */
    assert_string_equal(r.out, today);
    free(today);
    run_end(&r);
}

/* ---- ullage-remind ---- */

/* A folder in front of PATH with the program in it, and with a notify-send that keeps its words. */
static void tools(const Run *r, const char *notify_send)
{
    char path[256], command[600];
    run_path(r, "bin", path, sizeof path);
    assert_int_equal(mkdir(path, 0700), 0);
    snprintf(command, sizeof command, "%s/ullage", path);
    const Text program = text_of(ULLAGE_BIN);
    char *script = NULL;
    assert_true(asprintf(&script, "#!/bin/sh\nexec %s \"$@\"\n", program.s) > 0);
    run_file(r, "bin/ullage", script, strlen(script));
    assert_int_equal(chmod(command, 0700), 0);
    free(script);
    if (notify_send != NULL) {
        run_file(r, "bin/notify-send", notify_send, strlen(notify_send));
        snprintf(command, sizeof command, "%s/notify-send", path);
        assert_int_equal(chmod(command, 0700), 0);
    }
    snprintf(command, sizeof command, "%s:/usr/bin:/bin", path);
    setenv("PATH", command, 1);
}

static int remind(const char *words, Str *out)
{
    char command[600];
    snprintf(command, sizeof command, "sh " SHARE "/ullage-remind %s 2>&1", words);
    str_clear(out);
    return shell(command, out);
}

#define KEEPS "#!/bin/sh\nfor word; do printf '%s\\n' \"$word\"; done >\"$HOME/told\"\n"

static void a_reminder_goes_to_notify_send_a_line_for_each_thing(void **unused)
{
    (void)unused;
    Run r;
    Str out = {0};
    begin(&r);
    run_expect(&r, 0,
               "stage \"a<b & c\" --type other --line galley --life-days 31 --at "
               "2024-05-01T08:10:00Z");
    tools(&r, KEEPS);
    assert_int_equal(remind("--at 2024-05-20T10:00:00Z", &out), 0); /* nothing in 3 days */
    assert_string_equal(out.s, "");
    assert_int_equal(shell("cat \"$HOME/told\" 2>/dev/null", &out), 1); /* it was not called */
    assert_int_equal(remind("--at 2024-05-31T10:00:00Z", &out), 0);
    assert_string_equal(out.s, "");
    assert_int_equal(shell("cat \"$HOME/told\"", &out), 0);
    assert_string_equal(out.s,
                        "--app-name=ullage\n--\nWater aboard: something is due\n"
                        "DUE, Fri 31 May, today, sediment; aft: swap the cartridge, by date; 1 "
                        "spare aboard\n"
                        "DUE, Fri 31 May, today, A1: change the water, stale by its mean age\n"
                        "soon, Sat 1 Jun, tomorrow, a&lt;b &amp; c: swap the cartridge, by date; "
                        "spares never counted\n");
    /* More days, and options that go on to `due`. */
    assert_int_equal(remind("11 --at 2024-05-20T10:00:00Z", &out), 0);
    str_clear(&out);
    assert_int_equal(shell("grep -c 'Fri 31 May, in 11 days' \"$HOME/told\"", &out), 0);
    assert_string_equal(out.s, "2\n");
    str_finish(&out);
    run_end(&r);
}

static void without_a_notify_send_that_works_it_is_printed(void **unused)
{
    (void)unused;
    static const char *const senders[] = {NULL, "#!/bin/sh\necho 'no bus' >&2\nexit 1\n"};
    for (size_t i = 0; i < 2; i++) {
        Run r;
        Str out = {0};
        begin(&r);
        tools(&r, senders[i]);
        assert_int_equal(remind("--at 2024-05-31T10:00:00Z", &out), 0);
        if (senders[i] != NULL || system("command -v notify-send >/dev/null") != 0) // NOLINT
            assert_non_null(strstr(out.s, "sediment; aft: swap the cartridge"));
        assert_null(strstr(out.s, "no bus"));
        str_finish(&out);
        run_end(&r);
    }
}

static void a_log_that_is_not_there_is_no_silence(void **unused)
{
    (void)unused;
    Run r;
    Str out = {0};
    run_begin(&r, "UTC0");
    tools(&r, KEEPS);
    assert_int_equal(remind("", &out), 3);
    assert_non_null(strstr(out.s, "there is no log"));
    str_finish(&out);
    run_end(&r);
}

/* ---- the shell ---- */

static void the_shell_completes_what_the_program_lists(void **unused)
{
    (void)unused;
    static const struct {
        const char *words, *completes;
    } cases[] = {
        {"ullage du", "due dump "},
        {"ullage put", "putoff "},
        {"ullage due --w", "--within "},
        {"ullage due --as ''", "event todo "},
        {"ullage --log water.db fill --f", "--from "},
        {"ullage --ver", "--version "},
        {"ullage status --units m", "metric "},
        {"ullage log --kind deca", "decant "},
    };
    Run r;
    run_begin(&r, "UTC0");
    tools(&r, NULL);
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        char command[900];
        Str out = {0};
        snprintf(command, sizeof command,
                 "bash -c '. \"$0\"; COMP_WORDS=(\"$@\"); COMP_CWORD=$(($# - 1)); "
                 "COMP_LINE=\"$*\"; COMP_POINT=${#COMP_LINE}; _ullage; printf "
                 "\"%%s \" \"${COMPREPLY[@]}\"' " SHARE "/ullage.bash %s",
                 cases[i].words);
        assert_int_equal(shell(command, &out), 0);
        if (strcmp(out.s, cases[i].completes) != 0)
            fail_msg("%s: %s, not %s", cases[i].words, out.s, cases[i].completes);
        str_finish(&out);
    }
    run_end(&r);
}

/* Each is told by due --check, and ends with its act. */
static void frost_residuals_and_low_water_are_due_at_once(void **unused)
{
    (void)unused;
    static const struct {
        const char *raised, *said, *ended;
    } cases[] = {
        {"test galley --temp 1", "galley: drain what freezes", "test galley --temp 9"},
        {"test A1 --chlorine 0.1", "A1: dose, or use it soon", "test A1 --chlorine 0.5"},
        {"test B1 --chlorine 6", "B1: dilute it", "dump B1"},
        {"test galley --chlorine 0.1", "galley: use what is drawn", "test galley --chlorine 0.5"},
        {"sound A1 1", "water: refill", "fill A1 full --class potable"},
    };
    Run r;
    run_begin(&r, "UTC0");
    run_expect(&r, 0,
               "vessel A1 --capacity 12 --level 12 --class potable --at 2024-05-01T08:00:00Z");
    run_expect(&r, 0, "couple galley A1 --at 2024-05-01T08:01:00Z");
    run_expect(&r, 0, "vessel B1 --capacity 5 --level 4 --at 2024-05-01T08:02:00Z");
    run_expect(&r, 0, "crew 2 --at 2024-05-01T08:03:00Z");
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        char words[160];
        snprintf(words, sizeof words, "%s --at 2024-05-01T09:0%zu:00Z", cases[i].raised, i);
        run_expect(&r, 0, words);
        snprintf(words, sizeof words, "due --check --at 2024-05-01T09:0%zu:10Z", i);
        run_expect(&r, 4, words);
        run_said(&r, cases[i].said);
        snprintf(words, sizeof words, "%s --at 2024-05-01T09:0%zu:20Z", cases[i].ended, i);
        run_expect(&r, 0, words);
        snprintf(words, sizeof words, "due --check --at 2024-05-01T09:0%zu:30Z", i);
        run_expect(&r, 0, words);
    }
    /* carbon takes chlorine out: that is no news */
    run_expect(&r, 0, "stage carbon --type carbon-block --line galley --at 2024-05-01T10:00:00Z");
    run_expect(&r, 0, "test galley --chlorine 0.1 --at 2024-05-01T10:01:00Z");
    run_expect(&r, 0, "due --check --at 2024-05-01T10:02:00Z");
    run_end(&r);
}

static void a_spare_to_get_is_told_by_the_reminder_before_its_part_is_due(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_expect(&r, 0, "spares \"sediment; aft\" 0 --at 2024-05-01T08:10:00Z");
    run_expect(&r, 0, "due --check --within 3 --at 2024-05-13T08:00:00Z");
    run_expect(&r, 4, "due --check --within 3 --at 2024-05-14T08:00:00Z");
    run_said(&r, "sediment; aft: get a spare cartridge  no spare aboard; due Fri 31 May");
    run_expect(&r, 0, "spares \"sediment; aft\" 1 --at 2024-05-14T08:10:00Z");
    run_expect(&r, 0, "due --check --within 3 --at 2024-05-14T09:00:00Z");
    run_end(&r);
}

static void no_alarm_of_the_calendar_is_in_the_past(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_expect(&r, 0, "due --ical --at 2024-05-01T09:00:00Z");
    run_said(&r, "TRIGGER:-P13DT15H");
    run_expect(&r, 0, "leadtime 21 --at 2024-05-01T09:01:00Z");
    run_expect(&r, 0, "due --ical --at 2024-05-01T09:02:00Z");
    run_said(&r, "TRIGGER:-P20DT15H");
    /* ten days before: the early ring has been; what is put off rings on its day alone */
    run_expect(&r, 0, "putoff \"sediment; aft\" 2024-06-28T08:00:00Z --at 2024-05-21T09:00:00Z");
    run_expect(&r, 0, "due --ical --within 60 --at 2024-05-21T09:01:00Z");
    assert_null(strstr(r.out, "TRIGGER:-P"));
    run_said(&r, "TRIGGER:PT9H");
    run_end(&r);
}

/* A meter read each minute for 21 minutes: a leak, until somebody looked at it. */
static void water_that_runs_on_is_due_at_once(void **unused)
{
    (void)unused;
    Run r;
    run_begin(&r, "UTC0");
    run_expect(&r, 0,
               "vessel A1 --capacity 12 --level 12 --class potable --at 2024-05-01T08:00:00Z");
    run_expect(&r, 0, "couple galley A1 --at 2024-05-01T08:01:00Z");
    for (int i = 0; i <= 22; i++) {
        char words[120];
        snprintf(words, sizeof words, "meter galley %d.%d --at 2024-05-01T09:%02d:00Z", i / 10,
                 i % 10, i);
        run_expect(&r, 0, words);
        if (i == 20)
            run_expect(&r, 0, "due --check --at 2024-05-01T10:00:00Z");
    }
    run_expect(&r, 4, "due --check --at 2024-05-01T10:00:00Z");
    assert_non_null(strstr(r.out, "galley: look for a leak"));
    assert_non_null(strstr(r.out, "for over 20 minutes"));
    run_expect(&r, 4, "due --check --json --at 2024-05-01T10:00:00Z");
    assert_non_null(strstr(r.out, "\"about\":\"galley\""));
    run_expect(&r, 0, "log --kind meter --json");
    run_expect(&r, 0, "status --at 2024-05-01T10:00:00Z");
    assert_non_null(strstr(r.out, "Water ran at galley for over 20 minutes"));
    assert_null(strstr(r.out, "does not agree")); /* said once */
    run_end(&r);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(check_asks_for_now_and_within_for_days_to_come),
        cmocka_unit_test(frost_residuals_and_low_water_are_due_at_once),
        cmocka_unit_test(a_spare_to_get_is_told_by_the_reminder_before_its_part_is_due),
        cmocka_unit_test(no_alarm_of_the_calendar_is_in_the_past),
        cmocka_unit_test(water_that_runs_on_is_due_at_once),
        cmocka_unit_test(an_empty_log_has_nothing_due),
        cmocka_unit_test(what_no_rate_can_date_is_said_not_at_this_rate),
        cmocka_unit_test(options_that_do_not_go_together_are_refused),
        cmocka_unit_test(what_was_put_off_stays_in_the_list_and_does_not_count),
        cmocka_unit_test(it_comes_again_at_its_time_and_a_swap_ends_it),
        cmocka_unit_test(the_echo_says_what_is_put_off_and_what_no_longer),
        cmocka_unit_test(two_other_programs_read_in_the_calendar_what_is_due),
        cmocka_unit_test(a_reminder_goes_to_notify_send_a_line_for_each_thing),
        cmocka_unit_test(without_a_notify_send_that_works_it_is_printed),
        cmocka_unit_test(a_log_that_is_not_there_is_no_silence),
        cmocka_unit_test(the_shell_completes_what_the_program_lists),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
