/* run.h - runs the built program as a person does, and keeps what it said.
 *
 * Each test has a folder of its own: HOME, the log in it, TZ as given. ULLAGE_BIN is the program's
 * path. What can't be started ends the test (cmocka). */
#ifndef ULLAGE_TESTS_SUPPORT_RUN_H
#define ULLAGE_TESTS_SUPPORT_RUN_H

#include <stdbool.h>
#include <stddef.h>

typedef struct {
    char folder[64]; /* private; removed at the end */
    char *out, *err; /* of the last run, terminated */
    size_t out_size;
    int status;
    const char *input;  /* standard input of the next run; NULL = empty */
    const char *out_to; /* standard output of the next run goes to that file; NULL = kept */
    bool nobody;        /* runs are those of the user 65534, not of root */
    long file_limit;    /* bytes that the next run may write to one file; 0 = any */
} Run;

enum { RUN_NOBODY = 65534, RUN_CAN_NOT = 125 /* the program may not be run by nobody */ };

/* `tz` in POSIX form, so that no zone files are needed. */
void run_begin(Run *run, const char *tz);
/* And runs the commands, each of which must be done. */
void run_begin_with(Run *run, const char *tz, const char *const *commands, size_t count);
void run_end(Run *run);

/* Runs `ullage` with the words, "..." around words that have spaces. Returns the exit status; -1
 * where it was killed. input, out_to and file_limit count once. */
int run(Run *run, const char *words);
/* The same with words as they are. */
int run_words(Run *run, const char *const *words);
/* The same, and it must end with that status; otherwise the test fails with what it said. */
void run_expect(Run *run, int status, const char *words);
/* Runs it, expects the status, and that standard error has `sentence` in it and begins with
 * "ullage: "; where the status is 1 or 3 standard output must be empty. */
void run_refused(Run *run, int status, const char *words, const char *sentence);
/* Standard output of the last run has `text` in it. */
void run_said(const Run *run, const char *text);
void run_not_said(const Run *run, const char *text);

/* Files of the folder. */
void run_path(const Run *run, const char *name, char *out, size_t size);
void run_file(const Run *run, const char *name, const void *bytes, size_t n);

#endif
