/* A log that another program has written into: whatever bytes its names and notes hold, none that a
 * terminal acts on comes out of any command. */
#include "base/text.h"
#include "support/run.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <sqlite3.h>

#define BOAT                                                                                       \
    "{\"at\":\"2026-05-01T08:00:00Z\",\"kind\":\"vessel\",\"vessel\":\"A1\",\"capacity\":12}\n"    \
    "{\"at\":\"2026-05-01T08:01:00Z\",\"kind\":\"vessel\",\"vessel\":\"B1\",\"capacity\":20}\n"    \
    "{\"at\":\"2026-05-01T08:02:00Z\",\"kind\":\"couple\",\"line\":\"galley\",\"order\":[\"A1\"]}" \
    "\n"                                                                                           \
    "{\"at\":\"2026-05-01T09:00:00Z\",\"kind\":\"fill\",\"vessel\":\"A1\",\"litres\":8,"           \
    "\"class\":\"potable\"}\n"                                                                     \
    "{\"at\":\"2026-05-02T09:00:00Z\",\"kind\":\"draw\",\"vessel\":\"A1\",\"litres\":3}\n"

/* What stands in a name or a note. `kept`: a version of this program can have taken it. */
static const struct {
    const char *text;
    bool kept;
} texts[] = {
    {"a\033[2Jb", false},      {"a\033]0;b\007c", false}, {"a\302\2332Jb", false},
    {"a\233b", false},         {"a\rb", false},           {"a\nb", false},
    {"a\177b", false},         {"a\bb", false},           {"a\377b", false},
    {"a\355\240\200b", false}, {"a\300\233b", false},     {"a\342\200\256b", true},
    {"a\342\200\252b", true},  {"a\342\201\246b", true},  {"a\342\201\251b", true},
    {"a\342\200\250b", true},  {"a\342\200\251b", true},
};
enum { TEXTS = sizeof texts / sizeof *texts };

/* Places where a text can stand; ?1 is it, ?2 an id. */
#define ROW(columns, values)                                                                       \
    "INSERT INTO entry(at,id,kind,zone," columns ") VALUES(1777800000000,?2," values ")"
static const char *const places[] = {
    ROW("note", "21,0,CAST(?1 AS TEXT)"),                          /* a note */
    ROW("name,n1,note", "2,0,'A1',1000,CAST(?1 AS TEXT)"),         /* of a draw */
    ROW("name,n1", "13,0,CAST(?1 AS TEXT),12000"),                 /* a vessel */
    ROW("name,other,n1,code", "1,0,'A1',CAST(?1 AS TEXT),1000,0"), /* a source */
    ROW("name,n2", "19,0,CAST(?1 AS TEXT),1800000000000"),         /* a stop */
    ROW("other,more", "8,0,'galley',json_object('order',json_array(CAST(?1 AS TEXT)))"),
    "INSERT OR REPLACE INTO setting VALUES('units',CAST(?1 AS TEXT))",
};
enum { PLACES = sizeof places / sizeof *places };

static const char *const commands[] = {
    "status",
    "status --json",
    "log",
    "log --voided",
    "log --json",
    "due",
    "due --ical",
    "due --json",
    "outlook",
    "outlook --json",
    "export",
    "export --csv",
    "verify",
    "verify --json",
    "units",
    "void 019000 --dry-run",
    "draw A1 1 --dry-run",
    "fill a?b 1 --dry-run",
    "reckon load",
    "",
};
enum { COMMANDS = sizeof commands / sizeof *commands };

static void calm(const char *said, size_t n, const char *command)
{
    const Text text = text_slice(said, n);
    if (!text_is_utf8(text))
        fail_msg("'%s' says what is no UTF-8", command);
    for (size_t at = 0; at < n;) {
        const uint32_t c = text_next(text, &at);
        if (c == '\r' && at < n && said[at] == '\n')
            continue;
        if (code_acts(c) && c != '\n')
            fail_msg("'%s' says U+%04X", command, c);
    }
}

static void put(const char *path, const char *sql, int text)
{
    static unsigned char id[16] = {0x01, 0x90, 0, 0, 0, 0, 0x70, 0, 0x80};
    sqlite3 *db;
    sqlite3_stmt *stmt;
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_prepare_v2(db, sql, -1, &stmt, NULL), SQLITE_OK);
    /* as a blob: SQLite casts it byte by byte */
    sqlite3_bind_blob(stmt, 1, texts[text].text, (int)strlen(texts[text].text), SQLITE_STATIC);
    id[15] = (unsigned char)text;
    sqlite3_bind_blob(stmt, 2, id, sizeof id, SQLITE_STATIC);
    if (sqlite3_step(stmt) != SQLITE_DONE)
        fail_msg("%s: %s", sql, sqlite3_errmsg(db));
    sqlite3_finalize(stmt);
    sqlite3_close(db);
}

static void begin(Run *r, char *path, size_t size)
{
    run_begin(r, "UTC0");
    run_path(r, "boat.db", path, size);
    char words[400];
    r->input = BOAT;
    run_file(r, "aboard", "", 0); /* a log that begins in an empty folder is told */
    snprintf(words, sizeof words, "--log %s import -", path);
    run_expect(r, 0, words);
}

static void hear(Run *r, const char *path, const char *command)
{
    char words[500];
    snprintf(words, sizeof words, "--log %s %s", path, command);
    run(r, words);
    if (r->status < 0 || r->status > 4)
        fail_msg("%s: ended with %d", words, r->status);
    calm(r->out, r->out_size, command);
    calm(r->err, strlen(r->err), command);
}

static void nothing_that_acts_comes_out_of_a_log_that_holds_it(void **unused)
{
    (void)unused;
    for (int p = 0; p < PLACES; p++) {
        Run r;
        char path[300];
        begin(&r, path, sizeof path);
        for (int t = 0; t < TEXTS; t++)
            if (texts[t].kept)
                put(path, places[p], t);
        for (int c = 0; c < COMMANDS; c++)
            hear(&r, path, commands[c]);
        hear(&r, path, "log --units metric");
        if (r.status != 0)
            fail_msg("place %d: %s", p, r.err);
        if (p < PLACES - 1)
            run_said(&r, "a?b");
        run_end(&r);
    }
}

/* These stop at the first such row: each alone. */
static void nor_of_one_that_can_not_be_read(void **unused)
{
    (void)unused;
    static const char *const some[] = {"status", "log", "export --csv", "verify"};
    for (int t = 0; t < TEXTS; t++) {
        for (int p = 0; p < PLACES && !texts[t].kept; p++) {
            Run r;
            char path[300];
            begin(&r, path, sizeof path);
            put(path, places[p], t);
            for (int c = 0; c < 4; c++)
                hear(&r, path, some[c]);
            run_end(&r);
        }
    }
}

/* What version 0.1 can have taken locks nobody out: it is shown, named, can be taken back, and does
 * not come in anywhere else. What it can't have is named. */
static void what_is_hidden_in_a_text_is_named_and_stays_where_it_is(void **unused)
{
    (void)unused;
    for (int t = 0; t < TEXTS; t++) {
        Run r;
        char path[300], other[300], words[700];
        begin(&r, path, sizeof path);
        run_path(&r, "other.db", other, sizeof other);
        put(path, places[1], t);
        char id[40];
        snprintf(id, sizeof id, "01900000-0000-7000-8000-0000000000%02x", t);
        snprintf(words, sizeof words, "--log %s merge %s", other, path);
        run_refused(&r, texts[t].kept ? 1 : 3, words, id);
        snprintf(words, sizeof words, "--log %s crew 2", path); /* folds what was put in */
        run_expect(&r, 0, words);
        snprintf(words, sizeof words, "--log %s verify", path);
        run_expect(&r, texts[t].kept ? 0 : 3, words);
        run_said(&r, id);
        if (texts[t].kept) {
            snprintf(words, sizeof words, "--log %s log", path);
            run_expect(&r, 0, words);
            run_said(&r, "\"a?b\"");
            snprintf(words, sizeof words, "--log %s export", path);
            run_expect(&r, 0, words);
            run_said(&r, "\\u20");
            char *lines = strdup(r.out);
            r.input = lines;
            snprintf(words, sizeof words, "--log %s import -", other);
            run_refused(&r, 1, words,
                        "standard input, line 6, field note: The note has the hidden");
            char *bad = strstr(lines, "\\u20"); /* mended, it comes in */
            memset(bad, '-', 6);
            r.input = lines;
            run_expect(&r, 0, words);
            free(lines);
            snprintf(words, sizeof words, "--log %s void 01900000", path);
            run_expect(&r, 0, words);
        } else {
            snprintf(words, sizeof words, "--log %s log", path);
            run_expect(&r, 3, words);
            assert_non_null(strstr(r.err, id));
        }
        run_end(&r);
    }
}

static void what_is_typed_or_imported_is_refused_with_its_reason(void **unused)
{
    (void)unused;
    for (int t = 0; t < TEXTS; t++) {
        Run r;
        char path[300];
        begin(&r, path, sizeof path);
        const char *const typed[][8] = {
            {"--log", path, "note", texts[t].text},
            {"--log", path, "draw", "A1", "1", "--note", texts[t].text},
            {"--log", path, "vessel", texts[t].text, "--capacity", "9"},
            {"--log", path, "source", texts[t].text, "--type", "mains"},
            {"--log", path, "stop", texts[t].text, "--eta", "2026-12-01"},
        };
        for (size_t i = 0; i < sizeof typed / sizeof *typed; i++) {
            assert_int_equal(run_words(&r, typed[i]), 1);
            calm(r.err, strlen(r.err), typed[i][2]);
            if (strstr(r.err, "control character") == NULL &&
                strstr(r.err, "hidden character") == NULL && strstr(r.err, "UTF-8") == NULL)
                fail_msg("%s", r.err);
        }
        const char *const asked[][6] = {
            {"--log", texts[t].text, "status"},
            {"--log", path, texts[t].text},
            {"--log", path, "draw", texts[t].text, "1"},
            {"--units", texts[t].text, "status"},
            {"--log", path, "import", texts[t].text},
            {"--log", path, "due", "--within", texts[t].text},
            {"--log", path, "backup", texts[t].text, texts[t].text},
        };
        for (size_t i = 0; i < sizeof asked / sizeof *asked; i++) {
            assert_int_not_equal(run_words(&r, asked[i]), 0);
            calm(r.err, strlen(r.err), asked[i][2]);
        }
        run_end(&r);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_that_acts_comes_out_of_a_log_that_holds_it),
        cmocka_unit_test(nor_of_one_that_can_not_be_read),
        cmocka_unit_test(what_is_hidden_in_a_text_is_named_and_stays_where_it_is),
        cmocka_unit_test(what_is_typed_or_imported_is_refused_with_its_reason),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
