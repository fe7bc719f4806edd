/* measure.h - runs programs, takes their time and memory, and prints one row a goal. */
#ifndef ULLAGE_BENCH_MEASURE_H
#define ULLAGE_BENCH_MEASURE_H

#include <stdbool.h>
#include <stdint.h>

typedef struct {
    double cpu, wall; /* seconds: user and system time of the process; exec to exit */
    double peak_mib;  /* largest resident set */
    int status;       /* of exit; -1: killed */
} Run;

/* Runs argv (NULL-terminated; argv[0] is a path) with an empty standard input and its standard
 * output thrown away, and waits for it. The caller must be a small process: Linux counts what it
 * holds when it forks into the child's peak. */
Run run_program(const char *const *argv);
/* The same with its standard output in a file. */
Run run_into(const char *const *argv, const char *output);

enum { ROUNDS_MAX = 400 };
typedef struct {
    double values[ROUNDS_MAX];
    int count;
} Sample;
void sample_add(Sample *sample, double value);
double sample_median(const Sample *sample);
/* The value that `part` (0..1) of them do not exceed. */
double sample_part(const Sample *sample, double part);

/* One row of the table, "what | goal | measured | met": `measured` may carry the parts of a ratio
 * behind it. Gives back `met`. */
bool report(const char *what, const char *goal, const char *measured, bool met);
/* A row that has no goal. */
void report_only(const char *what, const char *measured);

#endif
