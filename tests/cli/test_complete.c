/* What may stand at the cursor: from the field tables and the log, without a trace. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "model/kinds.h"
#include "support/run.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static void begin(Run *r)
{
    static const char *const log[] = {
        "vessel A1 --capacity 12 --class potable",
        "vessel \"old one\" --capacity 12",
        "vessel W1 --capacity 20 --duty wash",
        "retire \"old one\"",
        "couple galley A1",
        "stage sediment --type sediment --line galley",
        "source \"Holm tap\" --type mains --class potable",
        "stop \"Holm tap\" --eta +2d",
    };
    run_begin_with(r, "UTC0", log, sizeof log / sizeof log[0]);
}

/* Is there a line that begins with the word and a tab? */
static bool offered(const Run *r, const char *word)
{
    const size_t n = strlen(word);
    for (const char *line = r->out; line != NULL && *line != '\0';) {
        if (strncmp(line, word, n) == 0 && line[n] == '\t')
            return true;
        line = strchr(line, '\n');
        line = line != NULL ? line + 1 : NULL;
    }
    return false;
}

static void ask(Run *r, const char *const words[])
{
    const char *all[20] = {"complete", "--"};
    for (int i = 0; i < 17 && words[i] != NULL; i++)
        all[2 + i] = words[i];
    assert_int_equal(run_words(r, all), 0);
}
#define ASK(r, ...) ask(r, (const char *const[]){__VA_ARGS__, NULL})

static void names_are_those_of_the_log(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    ASK(&r, "fill", "");
    assert_true(offered(&r, "A1") && offered(&r, "W1"));
    assert_false(offered(&r, "old one")); /* it is not aboard */
    ASK(&r, "fill", "a");
    assert_true(offered(&r, "A1") && !offered(&r, "W1"));
    ASK(&r, "draw", "");
    assert_true(offered(&r, "galley") && offered(&r, "A1"));
    ASK(&r, "swap", "");
    assert_true(offered(&r, "sediment") && !offered(&r, "A1"));
    ASK(&r, "unstop", "H");
    assert_true(offered(&r, "Holm tap"));
    ASK(&r, "fill", "A1", "--from", "Holm");
    assert_true(offered(&r, "Holm tap"));
    ASK(&r, "fill", "A1", "--from=Holm");
    assert_true(offered(&r, "--from=Holm tap"));
    ASK(&r, "feed", "");
    assert_true(offered(&r, "galley"));
    ASK(&r, "feed", "galley", "");
    assert_true(offered(&r, "")); /* files */
    ASK(&r, "void", "");
    assert_true(offered(&r, "last"));
    run_end(&r);
}

/* Every choice of every field of every kind, at its option and at its place. */
static void every_choice_of_every_field_is_offered(void **unused)
{
    (void)unused;
    Run r;
    int seen = 0;
    begin(&r);
    for (int id = 1; id < KIND_END; id++) {
        const Kind *kind = kind_of((KindId)id);
        ASK(&r, kind->name);
        assert_true(offered(&r, kind->name));
        for (int f = 0; f < kind->field_count; f++) {
            const Field *field = &kind->fields[f];
            char option[80];
            snprintf(option, sizeof option, "--%s", field->option);
            ASK(&r, kind->name, option);
            assert_true(offered(&r, option));
            for (int c = 0; field->type == FIELD_CHOICE && field->choices[c] != NULL; c++) {
                ASK(&r, kind->name, option, "");
                assert_true(offered(&r, field->choices[c]));
                seen++;
            }
        }
    }
    assert_true(seen > 20);
    run_end(&r);
}

static void commands_options_and_their_words(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    ASK(&r, "");
    assert_true(offered(&r, "status") && offered(&r, "fill") && offered(&r, "help"));
    assert_false(offered(&r, "complete"));
    ASK(&r, "--");
    assert_true(offered(&r, "--far") && offered(&r, "--theme") && offered(&r, "--log"));
    ASK(&r, "--theme", "");
    assert_true(offered(&r, "night"));
    ASK(&r, "--units=");
    assert_true(offered(&r, "--units=imperial"));
    ASK(&r, "due", "--as", "");
    assert_true(offered(&r, "event") && offered(&r, "todo"));
    ASK(&r, "export", "--format", "");
    assert_true(offered(&r, "json") && offered(&r, "csv"));
    ASK(&r, "reckon", "");
    assert_true(offered(&r, "chlorine"));
    ASK(&r, "log", "--kind", "sou");
    assert_true(offered(&r, "sound") && offered(&r, "source") && !offered(&r, "fill"));
    ASK(&r, "status", "--", "--");
    assert_int_equal(r.out_size, 0);
    run_end(&r);
}

/* The log, its folder and their times are as they were: not even a file beside it was made. */
static void it_leaves_no_trace(void **unused)
{
    (void)unused;
    Run r;
    char path[4096];
    struct stat before, after;
    begin(&r);
    run_path(&r, ".local/share/ullage", path, sizeof path);
    assert_int_equal(stat(path, &before), 0);
    ASK(&r, "fill", "");
    assert_true(offered(&r, "A1"));
    assert_int_equal(stat(path, &after), 0);
    assert_true(before.st_mtim.tv_sec == after.st_mtim.tv_sec &&
                before.st_mtim.tv_nsec == after.st_mtim.tv_nsec);
    run_end(&r);
}

static void nothing_is_ever_said_but_candidates(void **unused)
{
    (void)unused;
    Run r;
    run_begin(&r, "UTC0");
    ASK(&r, "fill", "--log", "/nowhere/at/all.db", "");
    assert_false(offered(&r, "A1"));
    assert_int_equal(strlen(r.err), 0);
    ASK(&r, "nonsense", "");
    assert_int_equal(r.out_size, 0);
    assert_int_equal(strlen(r.err), 0);
    run_file(&r, "junk.db", "no log at all", 13);
    ASK(&r, "fill", "--log", "junk.db", "");
    assert_int_equal(strlen(r.err), 0);
    run_end(&r);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(names_are_those_of_the_log),
        cmocka_unit_test(every_choice_of_every_field_is_offered),
        cmocka_unit_test(commands_options_and_their_words),
        cmocka_unit_test(it_leaves_no_trace),
        cmocka_unit_test(nothing_is_ever_said_but_candidates),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
