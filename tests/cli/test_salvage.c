/* A damaged log at the command line. */
#include "support/run.h"

#include <fcntl.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>
#include <sqlite3.h>

#define LOG ".local/share/ullage/water.db"
enum { ENTRIES = 300 };

/* A log of many notes at r->folder/water.db, with nothing left in its -wal. */
static void begin(Run *r)
{
    char *lines = calloc(ENTRIES, 120), *at = lines;
    run_begin(r, "UTC0");
    at += sprintf(at, "{\"at\":\"2026-03-01T08:00:00Z\",\"kind\":\"vessel\",\"vessel\":\"A1\","
                      "\"capacity\":12,\"class\":\"potable\",\"level\":10}\n");
    for (int i = 1; i < ENTRIES; i++)
        at += sprintf(at,
                      "{\"at\":\"2026-03-%02dT%02d:00:00Z\",\"kind\":\"note\",\"note\":\"n%d\"}\n",
                      2 + i / 20, i % 20, i);
    r->input = lines;
    run_expect(r, 0, "import -");
    free(lines);
}

/* Zeros over a page of entries (page_size 4096) that is none of the tree's roots. */
static void page_wipe(const Run *r)
{
    char path[160];
    unsigned char page[4096], zeros[4096] = {0};
    int leaves = 0;
    run_path(r, LOG, path, sizeof path);
    const int fd = open(path, O_RDWR);
    for (off_t at = 4096; leaves < 2 && pread(fd, page, sizeof page, at) == sizeof page; at += 4096)
        if (page[0] == 10 && page[3] * 256 + page[4] > 20 && ++leaves == 2)
            assert_int_equal(pwrite(fd, zeros, sizeof zeros, at), sizeof zeros);
    assert_int_equal(leaves, 2);
    close(fd);
}

static void with_paths(const Run *r, const char *format, char *words, size_t size)
{
    char from[160], to[160];
    run_path(r, LOG, from, sizeof from);
    run_path(r, "new.db", to, sizeof to);
    snprintf(words, size, format, from, to);
}

static void what_is_left_is_written_and_the_rest_is_counted(void **unused)
{
    (void)unused;
    Run r;
    char words[400];
    int read = 0, missing = 0, all = 0;
    begin(&r);
    with_paths(&r, "salvage %s %s", words, sizeof words);
    run_expect(&r, 0, words);
    run_said(&r, "300 entries were read, and each seal fits");
    run_said(&r, "none is missing, by the log's own count of 300");
    run_refused(&r, 1, words, "is there already");
    page_wipe(&r);
    with_paths(&r, "salvage --replace %s %s", words, sizeof words);
    run_expect(&r, 3, words);
    run_said(&r, "WRONG  page ");
    run_said(&r, "may be what made water unfit to drink");
    const char *line = strstr(r.out, " are missing, of ");
    assert_non_null(line);
    while (line > r.out && line[-1] != ' ')
        line--;
    assert_int_equal(sscanf(line, "%d are missing, of %d", &missing, &all), 2);
    line = strstr(r.out, " entries were read");
    while (line > r.out && line[-1] != ' ')
        line--;
    assert_int_equal(sscanf(line, "%d", &read), 1);
    assert_int_equal(all, ENTRIES);
    assert_int_equal(read + missing, ENTRIES);
    assert_true(missing > 20);
    with_paths(&r, "salvage --json --replace %s %s", words, sizeof words);
    run_expect(&r, 3, words);
    run_said(&r, "{\"report\":[{\"good\":true,\"text\":");
    run_said(&r, "\"unsealed\":0,\"missing_least\":");
    with_paths(&r, "verify --log %.0s%s", words, sizeof words);
    run_expect(&r, 0, words);
    with_paths(&r, "restore %.0s%s", words, sizeof words); /* and it can be put in its place */
    run_expect(&r, 0, words);
    run_expect(&r, 0, "status");
    run_end(&r);
}

static void into(const Run *r, const char *sql)
{
    char path[160];
    sqlite3 *db;
    run_path(r, LOG, path, sizeof path);
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, sql, NULL, NULL, NULL), SQLITE_OK);
    sqlite3_close(db);
}

static int lines_of(const Run *r)
{
    int lines = 0;
    for (const char *at = r->out; *at != '\0'; at++)
        lines += *at == '\n';
    return lines;
}

/* The story: a newer program wrote an entry of a kind that this one does not know, and the disk
 * changed a letter of another. */
static void what_can_not_be_read_stops_nothing_and_is_said(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    into(&r, "INSERT INTO entry(at,id,kind,zone) VALUES(1774000000000,"
             "x'5a5a5a5a5a5a5a5a5a5a5a5a5a5a5a5a',99,0)");
    run_expect(&r, 3, "log");
    assert_int_equal(lines_of(&r), ENTRIES);
    assert_non_null(strstr(r.err, "1 entry was passed over"));
    assert_non_null(strstr(r.err, "5a5a5a5a-"));
    run_expect(&r, 3, "export --csv");
    assert_int_equal(lines_of(&r), ENTRIES + 1);
    run_expect(&r, 3, "status");
    run_said(&r, "1 entry of the log can't be read");
    run_not_said(&r, "potable 9"); /* what was potable may be anything since */
    run_expect(&r, 3, "status --json");
    run_said(&r, "\"class\":\"questionable\"");
    run_not_said(&r, "\"class\":\"potable\"");
    run_expect(&r, 0, "void last");
    run_expect(&r, 3, "log");
    assert_int_equal(lines_of(&r), ENTRIES - 1);
    into(&r, "DROP TRIGGER entry_stays; UPDATE entry SET note='m7' WHERE note='n7'");
    run_expect(&r, 3, "export");
    assert_int_equal(lines_of(&r), ENTRIES); /* with the void, without the changed one */
    assert_non_null(strstr(r.err, "2 entries were passed over"));
    assert_null(strstr(r.out, "m7"));
    run_end(&r);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_can_not_be_read_stops_nothing_and_is_said),
        cmocka_unit_test(what_is_left_is_written_and_the_rest_is_counted),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
