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

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_left_is_written_and_the_rest_is_counted),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
