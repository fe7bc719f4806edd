/* Bad input: each has its exit status and its sentence, and nothing is written. */
#include "support/run.h"
#include "support/zone.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>
#include <sqlite3.h>

static void begin(Run *r)
{
    run_begin(r, CENTRAL_EUROPE);
    run_expect(
        r, 0,
        "vessel A1 --capacity 12 --heel 0.2 --class potable --level 4 --at \"2024-01-01 08:00\"");
    run_expect(r, 0,
               "vessel A2 --capacity 12 --class potable --level 12 --at \"2024-01-01 08:01\"");
    run_expect(r, 0, "couple galley A1 A2 --at \"2024-01-01 08:04\"");
    run_expect(r, 0, "source \"Holm tap\" --type mains --class potable --at \"2024-01-01 08:06\"");
    run_expect(r, 0, "stage sediment --type sediment --line galley --at \"2024-01-01 08:07\"");
}

static long entries(Run *r)
{
    long n = -1;
    run_expect(r, 0, "status --json");
    const char *at = strstr(r->out, "\"entries\":");
    assert_non_null(at);
    assert_int_equal(sscanf(at, "\"entries\":%ld", &n), 1);
    return n;
}

typedef struct {
    int status;
    const char *words, *sentence;
} Refusal;

static void refuse_all(const Refusal *cases, size_t n)
{
    Run r;
    begin(&r);
    const long before = entries(&r);
    for (size_t i = 0; i < n; i++)
        run_refused(&r, cases[i].status, cases[i].words, cases[i].sentence);
    assert_int_equal(entries(&r), before);
    run_end(&r);
}
#define REFUSE(cases) refuse_all(cases, sizeof(cases) / sizeof(cases)[0])

static void impossible_amounts_are_refused(void **unused)
{
    (void)unused;
    static const Refusal cases[] = {
        {1, "fill A1 13", "A1 holds 12 L at most"},
        {1, "fill A1 =13", "past the brim"},
        {1, "draw galley 16", "galley can give only"},
        {1, "draw A1 1", "A1 is coupled in galley"},
        {1, "draw galley -3.5", "below zero"},
        {1, "draw galley 0", "0"},
        {1, "draw galley 1.2345", "three decimals"},
        {1, "draw galley 0.5ml", "0.5ml"},
        {2, "draw galley NaN", "NaN"},
        {2, "draw galley inf", "inf"},
        {2, "draw galley 1e3", "1e3"},
        {2, "draw galley 0x10", "0x10"},
        {2, "draw galley \"\"", "\"\""},
        {2, "draw galley 5furlongs", "5furlongs"},
        {1, "sound A1 101%", "101%"},
        {1, "sound A1 9kg", "mass is not known"},
        {1, "draw galley 99999999999999", "9999"},
        {2, "crew two", "two"},
        {1, "crew -1", "-1"},
        {1, "pressurise galley --kpa -5", "-5"},
        {1, "treat A1 chlorine --ph 15", "ph"},
    };
    REFUSE(cases);
}

static void unknown_names_are_refused_with_the_nearest(void **unused)
{
    (void)unused;
    static const Refusal cases[] = {
        {1, "fill A3 1", "Did you mean 'A1'?"},
        {1, "fill Zinnia 1", "Known: A1, A2"},
        {1, "fill Q9 1", "There is no vessel 'Q9'. Known: A1, A2"}, /* nothing in common with A1 */
        {1, "draw galey 1", "Did you mean 'galley'?"},
        {1, "swap sedimnt", "Did you mean 'sediment'?"},
        {1, "couple galley A1 B7", "'B7'"},
        {1, "unstop Nowhere", "Nowhere"},
        {1, "decant A1 A9 1", "A9"},
        {1, "void 01234567-89ab-7def-8123-456789abcdef", "01234567"},
        {2, "fil A1 1", "Did you mean 'fill'?"},
        {2, "statsu", "Did you mean 'status'?"},
        {2, "wxyz", "There is no command"},
        {2, "undo", "'ullage void last'"},
        {2, "List", "'ullage log'"},
        {2, "add", "'ullage fill VESSEL LITRES'"},
        {2, "board", "'ullage' alone opens the board"},
        {2, "tui", "'ullage' alone opens the board"},
        {2, "fill A1 1 --form tap", "Did you mean --from?"},
        {2, "log --kind fil", "Did you mean fill?"},
        {2, "log --since 2026-02-01 --until 2026-01-01", "nothing is between"},
        {1, "log --vessel B1", "Did you mean A1?"},
        {1, "log --vessel Zz", "There never was a vessel \"Zz\"."}, /* no guess, as for fill */
        {2, "draw galley 1 --for drnk", "drnk"},
        {2, "status --units metrik", "metrik"},
        {2, "help nonsense", "nonsense"},
    };
    REFUSE(cases);
}

static void words_missing_or_too_many_are_wrong_usage(void **unused)
{
    (void)unused;
    static const Refusal cases[] = {
        {2, "draw", "VESSEL|LINE is missing"},
        {2, "draw galley", "LITRES is missing"},
        {2, "fill", "VESSEL is missing"},
        {2, "fill A1", "how much went in?"},
        {2, "fill A1 5 l",
         "one word too many for fill. Write a number and its unit as one word: 5l."},
        {2, "pressurise galley 40 psi", "as one word: 40psi."},
        {2, "fill A1 1,500", "can be read as 1500 or as 1.500"},
        {2, "fill A1 1 2", "one word too many"},
        {2, "note", "TEXT is missing"},
        {2, "import", "Usage: ullage import FILE..."},
        {2, "backup", "Usage: ullage backup FILE"},
        {2, "merge a.db b.db", "one word too many"},
        {2, "status now", "one word too many"},
        {2, "due --within", "needs its value"},
        {2, "due --within soon", "whole days"},
        {2, "due --within -1", "whole days"},
        {2, "status --json=yes", "takes no value"},
        {2, "fill A1 --litres", "needs its value"},
        {1, "fill A1 -3", "\"-3\" is below zero: an amount can't be negative"},
        {1, "dump A1 -0.5", "\"-0.5\" is below zero"},
        {1, "test A1 --chlorine -1", "test: chlorine of -1 mg/L is too little: at least 0 mg/L."},
        {2, "--nonsense", "There is no option --nonsense"},
    };
    REFUSE(cases);
}

static void times_that_can_not_be_are_refused(void **unused)
{
    (void)unused;
    static const Refusal cases[] = {
        {1, "draw galley 1 --at \"2037-01-01 12:00\"", "future"},
        {1, "draw galley 1 --at +2h", "future"},
        {1, "draw galley 1 --at \"2024-02-31 12:00\"", "2024-02-31"},
        {1, "draw galley 1 --at 2023-02-29", "2023-02-29"},
        /* Clocks went forward on 31 March 2024 at 02:00, back on 27 October at 03:00. */
        {1, "draw galley 1 --at \"2024-03-31 02:30\"", "+01:00"},
        {1, "draw galley 1 --at \"2024-10-27 02:30\"", "+02:00"},
        {2, "draw galley 1 --at yestermorrow", "yestermorrow"},
        {1, "swap sediment --at 2023-12-01", "Before it was named: 'stage NAME --fitted TIME'"},
        {1, "sanitise A1 --at 2023-12-01", "Before it was named: 'vessel NAME --sanitised TIME'"},
        {1, "sanitise A1 A2 --at 2023-12-01", "'vessel NAME --sanitised TIME'"},
        {1, "draw galley 1 --at 25:00", "25:00"},
        {1, "draw galley 1 --at \"1969-12-31 12:00\"", "1969"},
        {2, "log --since soonish", "--since"},
        {2, "status --at never", "never"},
    };
    REFUSE(cases);
}

static void an_offset_settles_what_the_clocks_leave_open(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_expect(&r, 0, "draw galley 1 --dry-run --at \"2024-10-27 02:30+02:00\"");
    run_said(&r, "Sun 27 Oct 2024 02:30 +02:00");
    run_expect(&r, 0, "draw galley 1 --dry-run --at \"2024-10-27 02:30+01:00\"");
    run_said(&r, "Sun 27 Oct 2024 02:30 +01:00");
    run_end(&r);
}

static void notes_with_control_characters_or_bad_bytes_are_refused(void **unused)
{
    (void)unused;
    char long_note[1200];
    Run r;
    begin(&r);
    memset(long_note, 'x', 1001);
    long_note[1001] = '\0';
    const struct {
        const char *words[8], *sentence;
    } cases[] = {
        {{"note", "a\nb"}, "control character"},
        {{"note", "tab\there"}, "control character"},
        {{"note", "\033[31mred"}, "control character"},
        {{"note", "\302\205"}, "control character"}, /* U+0085 */
        {{"draw", "galley", "1", "--note", "\377\376"}, "UTF-8"},
        {{"note", "\355\240\200"}, "UTF-8"}, /* a surrogate */
        {{"note", long_note}, "1000"},
        {{"note", ""}, "words"},
        {{"vessel", "A\n3", "--capacity", "3"}, "control"},
        {{"vessel", "\300\257", "--capacity", "3"}, "UTF-8"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        if (run_words(&r, cases[i].words) != 1 || strstr(r.err, cases[i].sentence) == NULL)
            fail_msg("case %zu: status %d: %s", i, r.status, r.err);
        /* What it says back never acts on the terminal. */
        for (const char *c = r.err; *c != '\0'; c++)
            assert_true((unsigned char)*c >= ' ' || *c == '\n');
    }
    const char *const good[] = {"note", "=1+1 \"quoted\", \303\244\303\266, \360\237\222\247",
                                NULL};
    assert_int_equal(run_words(&r, good), 0);
    run_expect(&r, 0, "log --json --kind note");
    run_said(&r, "=1+1 \\\"quoted\\\"");
    run_end(&r);
}

/* ---- the log itself ---- */

static void a_log_that_is_not_there_says_how_to_begin(void **unused)
{
    (void)unused;
    Run r;
    run_begin(&r, "UTC0");
    run_refused(&r, 3, "status", "water.db");
    run_refused(&r, 3, "log", "water.db");
    run_refused(&r, 3, "", "water.db");
    run_expect(&r, 0, "crew 2");
    run_expect(&r, 0, "status");
    run_said(&r, "No vessel is named yet.\nBegin with one of yours, for example:\n  ullage vessel");
    run_expect(&r, 0, "vessel A1 --capacity 12");
    run_expect(&r, 0, "retire A1");
    run_expect(&r, 0, "status");
    run_said(&r,
             "All vessels are retired.\nName one that is aboard, for example:\n  ullage vessel");
    run_end(&r);
}

static void a_first_entry_that_is_refused_makes_no_log(void **unused)
{
    (void)unused;
    Run r;
    char path[256], words[400];
    run_begin(&r, "UTC0");
    run_path(&r, "slip/watr.db", path, sizeof path);
    snprintf(words, sizeof words, "fill A1 8 --log %s", path);
    run_refused(&r, 1, words, "no vessel has been named yet. There is no log at ");
    snprintf(words, sizeof words, "void last --log %s", path);
    run_expect(&r, 1, words);
    run_path(&r, "slip", path, sizeof path);
    assert_int_not_equal(access(path, F_OK), 0);
    /* nor do these: each needs a log that is there, or another file */
    static const struct {
        int status;
        const char *words;
    } needy[] = {{2, "sync"},
                 {1, "sync nowhere"},
                 {3, "sync --leave"},
                 {3, "feed galley"},
                 {3, "merge nowhere.db"},
                 {1, "import bad.jsonl"},
                 {1, "import nowhere.jsonl"},
                 {0, "import --dry-run good.jsonl"}};
    static const char good[] =
        "{\"at\":\"2026-01-01T10:00:00Z\",\"kind\":\"crew\",\"persons\":2}\n";
    static const char bad[] = "{\"at\":\"2026-01-01T10:00:00Z\",\"kind\":\"crew\"}\n";
    run_file(&r, "good.jsonl", good, sizeof good - 1);
    run_file(&r, "bad.jsonl", bad, sizeof bad - 1);
    run_path(&r, "watr.db", path, sizeof path);
    for (size_t i = 0; i < sizeof needy / sizeof needy[0]; i++) {
        snprintf(words, sizeof words, "%s --log %s", needy[i].words, path);
        run_expect(&r, needy[i].status, words);
        assert_int_not_equal(access(path, F_OK), 0);
    }
    snprintf(words, sizeof words, "%s-wal", path);
    assert_int_not_equal(access(words, F_OK), 0);
    run_expect(&r, 0, "vessel A1 --capacity 12");
    run_end(&r);
}

static void a_folder_or_a_foreign_file_is_no_log(void **unused)
{
    (void)unused;
    Run r;
    char path[256], words[400];
    static char rubbish[8192];
    run_begin(&r, "UTC0");
    for (size_t i = 0; i < sizeof rubbish; i++)
        rubbish[i] = (char)(i * 7 + 3);
    run_file(&r, "rubbish", rubbish, sizeof rubbish);
    run_file(&r, "text", "not a log\n", 10);
    static const char *const names[] = {".", "rubbish", "text"};
    for (size_t i = 0; i < 3; i++) {
        run_path(&r, names[i], path, sizeof path);
        snprintf(words, sizeof words, "status --log %s", path);
        run_refused(&r, 3, words, path);
        snprintf(words, sizeof words, "crew 2 --log %s", path);
        run_refused(&r, 3, words, path);
    }
    /* A log whose beginning is lost looks the same. */
    run_path(&r, "rubbish", path, sizeof path);
    snprintf(words, sizeof words, "merge %s", path);
    run_expect(&r, 3, words);
    assert_non_null(strstr(r.err, "if it was one, its beginning is damaged: ullage salvage "));
    /* The foreign file is as it was. */
    struct stat about;
    run_path(&r, "rubbish", path, sizeof path);
    assert_int_equal(stat(path, &about), 0);
    assert_int_equal(about.st_size, sizeof rubbish);
    run_end(&r);
}

static void sql_on(const char *path, const char *sql)
{
    sqlite3 *db = NULL;
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, sql, NULL, NULL, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_close(db), SQLITE_OK);
}

/* What can't be read may have named the vessels: nobody is told that none was, and to begin anew. */
static void where_no_naming_can_be_read_that_is_said(void **unused)
{
    (void)unused;
    Run r;
    char path[256];
    run_begin(&r, "UTC0");
    run_expect(&r, 0, "vessel A1 --capacity 12 --class potable --level 12");
    run_path(&r, ".local/share/ullage/water.db", path, sizeof path);
    sql_on(path, "DROP TRIGGER entry_stays; UPDATE entry SET kind = 99; DELETE FROM head");
    run_expect(&r, 3, "status");
    run_said(&r, "No vessel is named in what can be read of the log.\n");
    run_said(&r, "Warning   1 entry of the log can't be read");
    run_not_said(&r, "Begin with");
    static const char *const others[] = {"due", "due --check", "due --within 9", "outlook"};
    for (size_t i = 0; i < sizeof others / sizeof others[0]; i++) {
        run_expect(&r, 3, others[i]);
        assert_non_null(strstr(r.err, "ullage: 1 entry of the log can't be read"));
    }
    run_end(&r);
}

static void a_log_of_a_newer_program_is_left_alone(void **unused)
{
    (void)unused;
    Run r;
    char path[256];
    begin(&r);
    run_path(&r, ".local/share/ullage/water.db", path, sizeof path);
    sql_on(path, "PRAGMA user_version = 9999");
    run_refused(&r, 3, "status", "newer");
    run_refused(&r, 3, "crew 2", "newer");
    run_end(&r);
}

static void another_programs_database_is_not_taken(void **unused)
{
    (void)unused;
    Run r;
    char path[256], words[400];
    run_begin(&r, "UTC0");
    run_path(&r, "other.db", path, sizeof path);
    sql_on(path, "PRAGMA application_id = 12345; CREATE TABLE t(x)");
    snprintf(words, sizeof words, "crew 2 --log %s", path);
    run_refused(&r, 3, words, path);
    run_end(&r);
}

static void a_log_that_another_program_holds_is_waited_for_and_then_refused(void **unused)
{
    (void)unused;
    Run r;
    char path[256];
    sqlite3 *db = NULL;
    begin(&r);
    run_path(&r, ".local/share/ullage/water.db", path, sizeof path);
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, "BEGIN IMMEDIATE", NULL, NULL, NULL), SQLITE_OK);
    run_refused(&r, 3, "crew 2", "another program is writing");
    assert_int_equal(sqlite3_exec(db, "ROLLBACK", NULL, NULL, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_close(db), SQLITE_OK);
    run_expect(&r, 0, "crew 2");
    run_end(&r);
}

/* Root writes through any mode: the log is given to nobody, who then looks at it. */
static void a_read_only_log_can_be_read(void **unused)
{
    (void)unused;
    static const char *const parts[] = {"", ".local", ".local/share", ".local/share/ullage",
                                        ".local/share/ullage/water.db"};
    Run r;
    char path[256];
    begin(&r);
    if (geteuid() == 0) {
        for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
            run_path(&r, parts[i], path, sizeof path);
            assert_int_equal(chown(path, RUN_NOBODY, RUN_NOBODY), 0);
        }
        r.nobody = true;
        if (run(&r, "--version") == RUN_CAN_NOT) { /* the program lies where nobody can't go */
            run_end(&r);
            skip();
        }
    }
    run_path(&r, ".local/share/ullage/water.db", path, sizeof path);
    assert_int_equal(chmod(path, 0400), 0);
    run_expect(&r, 0, "status");
    run_said(&r, "galley, drink");
    run_refused(&r, 3, "crew 2", path);
    run_end(&r);
}

static void a_full_disk_is_said_and_nothing_is_half_written(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    const long before = entries(&r);
    r.file_limit = 4096; /* no file may grow past that: as a full disk */
    run_expect(&r, 3, "crew 2");
    assert_int_equal(strncmp(r.err, "ullage: ", 8), 0);
    assert_int_equal(entries(&r), before);
    run_expect(&r, 0, "verify");
    r.out_to = "/dev/full";
    run_expect(&r, 3, "note written");
    assert_non_null(strstr(r.err, "The entry was written all the same."));
    assert_int_equal(entries(&r), before + 1);
    r.out_to = "/dev/full";
    run_refused(&r, 3, "status", "can't be written");
    r.out_to = "/dev/full";
    run_refused(&r, 3, "log", "can't be written");
    r.out_to = "/dev/full";
    run_refused(&r, 3, "export", "written");
    r.out_to = "/dev/full";
    run_refused(&r, 3, "--help", "can't be written");
    run_end(&r);
}

static void what_is_not_there_is_said_and_nothing_begins_in_its_place(void **unused)
{
    (void)unused;
    Run r;
    char path[256], words[600];
    struct stat about;
    begin(&r);
    run_path(&r, "stick/water.db", path, sizeof path); /* a disk that is not mounted */
    snprintf(words, sizeof words, "--log %s crew 2", path);
    run_refused(&r, 3, words, "Is its disk mounted?");
    setenv("ULLAGE_LOG", path, 1);
    run_refused(&r, 3, "crew 2", "Is its disk mounted?");
    run_refused(&r, 3, "status", "Is its disk mounted?");
    unsetenv("ULLAGE_LOG");
    run_path(&r, "stick", path, sizeof path);
    assert_int_equal(stat(path, &about), -1);
    run_refused(&r, 3, "merge stick.db", "stick.db can't be merged: No such file");
    run_refused(&r, 3, "restore stick.db", "stick.db can't be put back: No such file");
    run_end(&r);
}

static void without_a_home_the_log_must_be_named(void **unused)
{
    (void)unused;
    Run r;
    run_begin(&r, "UTC0");
    unsetenv("HOME");
    run_refused(&r, 3, "status", "--log FILE");
    run_refused(&r, 2, "status --log \"\"", "--log needs");
    run_end(&r);
}

static void the_log_is_where_the_contract_says(void **unused)
{
    (void)unused;
    Run r;
    char path[256];
    run_begin(&r, "UTC0");
    struct stat about;
    run_expect(&r, 0, "crew 1");
    run_path(&r, ".local/share/ullage/water.db", path, sizeof path);
    assert_int_equal(stat(path, &about), 0);
    assert_int_equal(about.st_mode & 0777, 0600);
    char data[256];
    run_path(&r, "data", data, sizeof data);
    setenv("XDG_DATA_HOME", data, 1);
    run_expect(&r, 0, "crew 2");
    run_path(&r, "data/ullage/water.db", path, sizeof path);
    assert_int_equal(stat(path, &about), 0);
    run_path(&r, "env.db", path, sizeof path);
    setenv("ULLAGE_LOG", path, 1);
    run_expect(&r, 0, "crew 3");
    assert_int_equal(stat(path, &about), 0);
    char words[400];
    run_path(&r, "option.db", path, sizeof path);
    snprintf(words, sizeof words, "crew 4 --log %s", path);
    run_expect(&r, 0, words);
    assert_int_equal(stat(path, &about), 0);
    run_expect(&r, 0, "status --json");
    run_said(&r, "\"crew\":3");
    unsetenv("ULLAGE_LOG");
    unsetenv("XDG_DATA_HOME");
    run_end(&r);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(impossible_amounts_are_refused),
        cmocka_unit_test(unknown_names_are_refused_with_the_nearest),
        cmocka_unit_test(words_missing_or_too_many_are_wrong_usage),
        cmocka_unit_test(times_that_can_not_be_are_refused),
        cmocka_unit_test(an_offset_settles_what_the_clocks_leave_open),
        cmocka_unit_test(notes_with_control_characters_or_bad_bytes_are_refused),
        cmocka_unit_test(a_log_that_is_not_there_says_how_to_begin),
        cmocka_unit_test(a_first_entry_that_is_refused_makes_no_log),
        cmocka_unit_test(a_folder_or_a_foreign_file_is_no_log),
        cmocka_unit_test(where_no_naming_can_be_read_that_is_said),
        cmocka_unit_test(a_log_of_a_newer_program_is_left_alone),
        cmocka_unit_test(another_programs_database_is_not_taken),
        cmocka_unit_test(a_log_that_another_program_holds_is_waited_for_and_then_refused),
        cmocka_unit_test(a_read_only_log_can_be_read),
        cmocka_unit_test(a_full_disk_is_said_and_nothing_is_half_written),
        cmocka_unit_test(what_is_not_there_is_said_and_nothing_begins_in_its_place),
        cmocka_unit_test(without_a_home_the_log_must_be_named),
        cmocka_unit_test(the_log_is_where_the_contract_says),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
