/* import, export, merge, verify, backup, units, demo. */
#include "base/text.h"
#include "cli/cli.h"
#include "support/run.h"
#include "support/zone.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

#define A1                                                                                         \
    "{\"at\":\"2024-05-01T08:00:00Z\",\"kind\":\"vessel\",\"vessel\":\"A1\",\"capacity\":12}\n"
#define FILL                                                                                       \
    "{\"id\":\"018f3a00-0000-7000-8000-000000000001\",\"at\":\"2024-05-01T09:00:00Z\","            \
    "\"kind\":\"fill\",\"vessel\":\"A1\",\"litres\":8,\"class\":\"potable\"}\n"

static void words_with_path(Run *r, const char *form, const char *file, char *out, size_t size)
{
    char path[256];
    run_path(r, file, path, sizeof path);
    snprintf(out, size, form, path);
}

static void entries_come_in_from_files_and_standard_input(void **unused)
{
    (void)unused;
    Run r;
    char words[400];
    run_begin(&r, "UTC0");
    run_file(&r, "a.jsonl", A1, strlen(A1));
    r.input = FILL;
    words_with_path(&r, "import %s -", "a.jsonl", words, sizeof words);
    run_expect(&r, 0, words);
    run_said(&r, "2 entries read: 2 added, 0 already there.");
    r.input = FILL; /* with its id it is the same entry */
    run_expect(&r, 0, "import - --json");
    run_said(&r, "{\"written\":true,\"read\":1,\"added\":0,\"same\":1,\"discrepancies\":0}");
    run_expect(&r, 0, "status --json");
    run_said(&r, "\"volume\":8.000");
    run_end(&r);
}

/* Forty draws of what is not there: the list keeps 32, and says of how many it does not tell. */
static void discrepancies_that_came_in_are_told_also_those_beyond_the_list(void **unused)
{
    (void)unused;
    Run r;
    Str lines = {0};
    run_begin(&r, "UTC0");
    str_adds(&lines, A1);
    for (int i = 10; i < 50; i++)
        str_addf(
            &lines,
            "{\"at\":\"2024-05-02T10:00:%dZ\",\"kind\":\"draw\",\"vessel\":\"A1\",\"litres\":50}\n",
            i);
    r.input = lines.s;
    run_expect(&r, 0, "import - --dry-run");
    run_said(&r, "40 entries do not agree with the rest of the log");
    r.input = lines.s;
    run_expect(&r, 0, "import -");
    run_said(&r, "40 entries do not agree with the rest of the log");
    run_expect(&r, 0, "status");
    run_said(&r, "and 8 older ones that are no longer listed");
    run_said(&r, "40 entries do not agree");
    run_expect(&r, 0, "status --json");
    run_said(&r, "\"discrepancies_older\":8");
    str_finish(&lines);
    run_end(&r);
}

static void a_dry_import_writes_nothing(void **unused)
{
    (void)unused;
    Run r;
    run_begin(&r, "UTC0");
    r.input = A1 FILL;
    run_expect(&r, 0, "import - --dry-run");
    run_said(&r, "2 would be added");
    run_refused(&r, 3, "status", "water.db");
    run_end(&r);
}

static void a_bad_line_is_named_and_nothing_is_written(void **unused)
{
    (void)unused;
    static const struct {
        const char *line, *sentence;
    } cases[] = {
        {"{\"at\":\"2024-05-01T08:00:00Z\",\"kind\":\"fil\",\"vessel\":\"A1\"}", "fil"},
        {"{\"at\":\"2024-05-01T08:00:00Z\",\"kind\":\"fill\",\"vessel\":\"A1\",\"liters\":1}",
         "liters"},
        {"{\"at\":\"2024-05-01T08:00:00Z\",\"kind\":\"fill\",\"vessel\":\"A1\",\"litres\":1.2345}",
         "litres"},
        {"{\"at\":\"2024-05-01T08:00:00Z\",\"kind\":\"fill\",\"vessel\":\"A1\",\"litres\":NaN}",
         ""},
        {"{\"at\":\"2024-05-01T08:00:00Z\",\"kind\":\"fill\",\"vessel\":\"A1\",\"litres\":-1}",
         "litres"},
        {"{\"at\":\"2024-02-31T08:00:00Z\",\"kind\":\"crew\",\"persons\":2}", "at"},
        {"{\"at\":\"2024-05-01 08:00\",\"kind\":\"crew\",\"persons\":2}", "at"},
        {"{\"kind\":\"crew\",\"persons\":2}", "at"},
        {"{\"at\":\"2024-05-01T08:00:00Z\",\"kind\":\"note\",\"note\":\"a\\u0007b\"}", "control"},
        {"{\"at\":\"2024-05-01T08:00:00Z\",\"kind\":\"note\",\"note\":\"\377\"}", "UTF-8"},
        {"{\"at\":\"2024-05-01T08:00:00Z\",\"kind\":\"crew\",\"pers", ""}, /* cut off */
        {"[1,2]", ""},
        {"{\"id\":\"not-a-uuid\",\"at\":\"2024-05-01T08:00:00Z\",\"kind\":\"crew\",\"persons\":2}",
         "id"},
    };
    Run r;
    char text[2000];
    run_begin(&r, "UTC0");
    run_expect(&r, 0, "crew 5");
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        snprintf(text, sizeof text, "%s%s", A1, cases[i].line);
        r.input = text;
        run_expect(&r, 1, "import -");
        if (strstr(r.err, "ullage: standard input, line 2") != r.err ||
            strstr(r.err, cases[i].sentence) == NULL)
            fail_msg("%s: %s", cases[i].line, r.err);
    }
    run_expect(&r, 0, "log");
    run_not_said(&r, "A1");
    run_end(&r);
}

static void a_line_beyond_all_measure_is_refused_without_reading_it_all(void **unused)
{
    (void)unused;
    Run r;
    const size_t size = 10u << 20;
    char *line = malloc(size + 1);
    assert_non_null(line);
    memset(line, 'x', size);
    memcpy(line, "{\"note\":\"", 9);
    line[size] = '\0';
    run_begin(&r, "UTC0");
    r.input = line;
    run_refused(&r, 1, "import -", "line 1");
    free(line);
    run_end(&r);
}

static void files_that_can_not_be_read_are_said(void **unused)
{
    (void)unused;
    Run r;
    char words[400];
    run_begin(&r, "UTC0");
    run_refused(&r, 1, "import nowhere.jsonl", "nowhere.jsonl can't be read");
    words_with_path(&r, "import %s", "", words, sizeof words);
    run_refused(&r, 1, words, "is a folder");
    run_refused(&r, 2, "import - --format xml", "auto, json or csv");
    run_end(&r);
}

static void what_goes_out_comes_in_again_as_it_was(void **unused)
{
    (void)unused;
    static const char *const forms[] = {"export", "export --csv"};
    Run r;
    char first[8000], log[300], words[400];
    run_begin(&r, CENTRAL_EUROPE);
    r.input = A1 FILL;
    run_expect(&r, 0, "import -");
    run_expect(&r, 0, "note =SUM(A1) --at \"2024-05-02 09:00\"");
    run_expect(&r, 0, "note \"komma, ''quote'', \303\244\" --at \"2024-05-02 09:01\"");
    run_expect(&r, 0, "void last");
    run_expect(&r, 0, "export");
    assert_true(r.out_size < sizeof first);
    strcpy(first, r.out);
    run_path(&r, "second.db", log, sizeof log);
    for (size_t i = 0; i < 2; i++) {
        run_expect(&r, 0, forms[i]);
        char *copy = strdup(r.out);
        if (i == 1)
            assert_non_null(strstr(copy, "'=SUM(A1)")); /* no formula for a spreadsheet */
        r.input = copy;
        snprintf(words, sizeof words, "import - --log %s", log);
        run_expect(&r, 0, words);
        run_said(&r, "5 entries read");
        snprintf(words, sizeof words, "export --log %s", log);
        run_expect(&r, 0, words);
        assert_string_equal(r.out, first);
        assert_int_equal(unlink(log), 0);
        free(copy);
    }
    run_end(&r);
}

static void two_logs_merged_either_way_agree(void **unused)
{
    (void)unused;
    Run r;
    char words[600], b[256], one[20000];
    run_begin(&r, "UTC0");
    run_path(&r, "b.db", b, sizeof b);
    run_expect(&r, 0,
               "vessel A1 --capacity 12 --class potable --level 5 --at 2024-05-01T08:00:00Z");
    snprintf(words, sizeof words, "merge %s/.local/share/ullage/water.db --log %s", r.folder, b);
    run_expect(&r, 0, words);
    run_said(&r, "1 added");
    run_expect(&r, 0, "fill A1 3 --class questionable --at 2024-05-02T08:00:00Z");
    snprintf(words, sizeof words, "draw A1 2 --at 2024-05-03T08:00:00Z --log %s", b);
    run_expect(&r, 0, words);
    snprintf(words, sizeof words, "merge %s", b);
    run_expect(&r, 0, words);
    run_said(&r, "1 added, 1 already there");
    run_expect(&r, 0, "status --json --at 2024-06-01T00:00:00Z");
    snprintf(one, sizeof one, "%s", r.out);
    run_said(&r, "\"volume\":6.000");
    snprintf(words, sizeof words, "merge %s/.local/share/ullage/water.db --log %s", r.folder, b);
    run_expect(&r, 0, words);
    run_expect(&r, 0, words);
    run_said(&r, "0 added, 3 already there");
    snprintf(words, sizeof words, "status --json --at 2024-06-01T00:00:00Z --log %s", b);
    run_expect(&r, 0, words);
    assert_string_equal(r.out, one);
    run_refused(&r, 3, "merge nowhere.db", "nowhere.db");
    run_end(&r);
}

static void verify_proves_and_backup_copies(void **unused)
{
    (void)unused;
    Run r;
    char words[400];
    run_begin(&r, "UTC0");
    r.input = A1 FILL;
    run_expect(&r, 0, "import -");
    run_expect(&r, 0, "verify");
    run_said(&r, "good   ");
    run_not_said(&r, "WRONG");
    run_expect(&r, 0, "verify --json");
    run_said(&r, "\"sound\":true}");
    words_with_path(&r, "backup %s", "copy.db", words, sizeof words);
    run_expect(&r, 0, words);
    run_expect(&r, 1, words); /* it is there already */
    words_with_path(&r, "backup %s --replace", "copy.db", words, sizeof words);
    run_expect(&r, 0, words);
    words_with_path(&r, "verify --log %s", "copy.db", words, sizeof words);
    run_expect(&r, 0, words);
    words_with_path(&r, "status --json --log %s", "copy.db", words, sizeof words);
    run_expect(&r, 0, words);
    run_said(&r, "\"volume\":8.000");
    run_end(&r);
}

static int shell(const char *command)
{
    return system(command); // NOLINT(cert-env33-c): the words are the test's own
}

/* ullage-backup: the last 7 files, and the last of each of 12 months. */
static void a_backup_a_night_keeps_a_week_and_a_year(void **unused)
{
    (void)unused;
    enum { DAYS = 500 };
    Run r;
    char folder[256], command[900], name[96];
    run_begin(&r, "UTC0");
    r.input = A1 FILL;
    run_expect(&r, 0, "import -");
    run_path(&r, "stick", folder, sizeof folder);
    snprintf(command, sizeof command, "sh " SHARE "/ullage-backup %s 2>/dev/null", folder);
    setenv("PATH", ULLAGE_FOLDER ":/usr/bin:/bin", 1);
    assert_int_not_equal(shell(command), 0); /* not mounted */
    assert_int_equal(mkdir(folder, 0700), 0);
    const time_t now = time(NULL);
    char last_of[24][16] = {{0}};
    int months = 0;
    for (int d = 1; d <= DAYS; d++) { /* yesterday and before */
        const time_t then = now - d * 86400L;
        strftime(name, sizeof name, "stick/water-%Y-%m-%d.db", gmtime(&then));
        run_file(&r, name, "old", 3);
    }
    run_file(&r, "stick/notes.db", "mine", 4);
    assert_int_equal(shell(command), 0);
    int kept = 0;
    for (int d = 0; d <= DAYS; d++) {
        const time_t then = now - d * 86400L;
        strftime(name, sizeof name, "stick/water-%Y-%m-%d.db", gmtime(&then));
        char path[256], month[16];
        run_path(&r, name, path, sizeof path);
        strftime(month, sizeof month, "%Y-%m", gmtime(&then));
        bool last = months == 0 || strcmp(last_of[months - 1], month) != 0;
        if (last)
            strcpy(last_of[months++], month);
        const bool stays = d < 7 || (last && months <= 12);
        if ((access(path, F_OK) == 0) != stays)
            fail_msg("%s, %d days old, is %s", name, d, stays ? "gone" : "there");
        kept += stays;
    }
    assert_in_range(kept, 17, 18);
    run_path(&r, "stick/notes.db", folder, sizeof folder);
    assert_int_equal(access(folder, F_OK), 0);
    /* Where the backup fails, the older ones stay. */
    run_path(&r, ".local/share/ullage/water.db", folder, sizeof folder);
    assert_int_equal(unlink(folder), 0);
    const time_t then = now - 30 * 86400L;
    strftime(name, sizeof name, "stick/water-%Y-%m-%d.db", gmtime(&then));
    run_file(&r, name, "old", 3);
    assert_int_not_equal(shell(command), 0);
    run_path(&r, name, folder, sizeof folder);
    assert_int_equal(access(folder, F_OK), 0);
    run_end(&r);
}

static void units_belong_to_the_log(void **unused)
{
    (void)unused;
    Run r;
    run_begin(&r, "UTC0");
    run_expect(&r, 0, "crew 1");
    run_expect(&r, 0, "units");
    assert_string_equal(r.out, "metric\n");
    run_expect(&r, 0, "units imperial");
    run_expect(&r, 0, "units --json");
    assert_string_equal(r.out, "{\"units\":\"imperial\"}\n");
    run_refused(&r, 2, "units cubits", "cubits");
    run_end(&r);
}

/* A fortnight without a logged draw: its levels are right by the meter alone, and nothing in it
 * disagrees. */
static void the_demo_of_a_meter_needs_no_draw(void **unused)
{
    (void)unused;
    Run r;
    char words[400];
    run_begin(&r, "UTC0");
    setenv("ULLAGE_SHARE", SHARE, 1);
    words_with_path(&r, "demo meter --write %s", "meter.db", words, sizeof words);
    run_expect(&r, 0, words);
    words_with_path(&r, "log --kind draw --log %s", "meter.db", words, sizeof words);
    run_expect(&r, 0, words);
    assert_null(strstr(r.out, "draw galley"));
    words_with_path(&r, "status --json --at 2026-11-24T17:20:00Z --log %s", "meter.db", words,
                    sizeof words);
    run_expect(&r, 0, words);
    run_said(&r, "\"discrepancies\":[]");
    run_said(&r, "\"verdict\":\"drink\"");
    words_with_path(&r, "verify --log %s", "meter.db", words, sizeof words);
    run_expect(&r, 0, words);
    run_refused(&r, 2, "demo nope", "there are trip and meter");
    unsetenv("ULLAGE_SHARE");
    run_end(&r);
}

static void the_demo_is_written_to_a_new_file_only_and_always_the_same(void **unused)
{
    (void)unused;
    Run r;
    char words[400], first[32768];
    run_begin(&r, "UTC0");
    setenv("ULLAGE_SHARE", SHARE, 1);
    run_expect(&r, 0, "demo --json");
    assert_true(r.out_size < sizeof first);
    strcpy(first, r.out);
    run_expect(&r, 0, "demo --json");
    assert_string_equal(r.out, first);
    run_refused(&r, 3, "status", "water.db"); /* it left nothing behind */
    words_with_path(&r, "demo --write %s", "demo.db", words, sizeof words);
    run_expect(&r, 0, words);
    run_refused(&r, 1, words, "is there already");
    words_with_path(&r, "verify --log %s", "demo.db", words, sizeof words);
    run_expect(&r, 0, words);
    words_with_path(&r, "demo --json --write %s", "json.db", words, sizeof words);
    run_expect(&r, 0, words);
    run_said(&r, "{\"written\":true,\"added\":475}");
    words_with_path(&r, "demo --write %s/in/it.db", "json.db", words, sizeof words);
    run_refused(&r, 3, words, "json.db");
    run_refused(&r, 1, "demo --write \"\"", "is there already");
    setenv("ULLAGE_SHARE", "/nowhere", 1);
    run_refused(&r, 3, "demo", "/nowhere/demo.jsonl");
    unsetenv("ULLAGE_SHARE");
    run_end(&r);
}

/* A story that can't be taken in leaves no half a log. */
static void a_demo_that_is_damaged_is_not_written(void **unused)
{
    static const char damaged[] = "{\"at\":\"2026-05-01T08:00:00Z\",\"kind\":\"crew\"}\n";
    (void)unused;
    Run r;
    struct stat about;
    char words[400], path[300];
    run_begin(&r, "UTC0");
    run_file(&r, "demo.jsonl", damaged, sizeof damaged - 1);
    setenv("ULLAGE_SHARE", r.folder, 1);
    words_with_path(&r, "demo --write %s", "new.db", words, sizeof words);
    run_refused(&r, 1, words, "persons");
    run_path(&r, "new.db", path, sizeof path);
    assert_int_equal(stat(path, &about), -1);
    run_refused(&r, 1, "demo", "persons");
    unsetenv("ULLAGE_SHARE");
    run_end(&r);
}

/* Where there is no board to open, it is a status also on a terminal. */
static void a_demo_without_a_board_is_a_status(void **unused)
{
    (void)unused;
    char name[] = "ullage", demo[] = "demo", *words[] = {name, demo, NULL};
    setenv("ULLAGE_SHARE", "/nowhere", 1);
    assert_int_equal(cli_run(2, words, NULL), 3);
    unsetenv("ULLAGE_SHARE");
}

/* Moved elsewhere with its share folder, the program finds the demo there. */
static void a_program_that_was_moved_finds_its_demo(void **unused)
{
    (void)unused;
    Run r;
    char words[900];
    run_begin(&r, "UTC0");
    static const char *const places[] = {"share/ullage", "share", NULL};
    for (int i = 0; i < 3; i++) {
        snprintf(words, sizeof words,
                 "cd '%s' && rm -rf bin share && mkdir -p bin '%s' && cp '" ULLAGE_BIN "' bin && "
                 "%s && %s ./bin/ullage demo >out 2>err",
                 r.folder, places[i] != NULL ? places[i] : "share",
                 places[i] == NULL ? "true"
                 : i == 0          ? "cp '" SHARE "/demo.jsonl' share/ullage"
                                   : "cp '" SHARE "/demo.jsonl' share",
                 i == 0 ? "env -u ULLAGE_SHARE" : "ULLAGE_SHARE=''");
        const int status = shell(words); /* moves it, as a person would */
        if (places[i] == NULL && status == 0)
            print_message("a demo is installed on this system\n");
        else
            assert_int_equal(WEXITSTATUS(status), places[i] == NULL ? 3 : 0);
    }
    run_end(&r);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(entries_come_in_from_files_and_standard_input),
        cmocka_unit_test(discrepancies_that_came_in_are_told_also_those_beyond_the_list),
        cmocka_unit_test(a_dry_import_writes_nothing),
        cmocka_unit_test(a_bad_line_is_named_and_nothing_is_written),
        cmocka_unit_test(a_line_beyond_all_measure_is_refused_without_reading_it_all),
        cmocka_unit_test(files_that_can_not_be_read_are_said),
        cmocka_unit_test(what_goes_out_comes_in_again_as_it_was),
        cmocka_unit_test(two_logs_merged_either_way_agree),
        cmocka_unit_test(verify_proves_and_backup_copies),
        cmocka_unit_test(a_demo_that_is_damaged_is_not_written),
        cmocka_unit_test(a_demo_without_a_board_is_a_status),
        cmocka_unit_test(a_program_that_was_moved_finds_its_demo),
        cmocka_unit_test(a_backup_a_night_keeps_a_week_and_a_year),
        cmocka_unit_test(units_belong_to_the_log),
        cmocka_unit_test(the_demo_of_a_meter_needs_no_draw),
        cmocka_unit_test(the_demo_is_written_to_a_new_file_only_and_always_the_same),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
