#include "measure.h"

#include <fcntl.h>
#include <math.h>
#include <spawn.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>

extern char **environ;

static double now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static double seconds(struct timeval t)
{
    return (double)t.tv_sec + 1e-6 * (double)t.tv_usec;
}

Run run_into(const char *const *argv, const char *output)
{
    Run run = {.status = -1};
    if (argv[0] == NULL)
        return run;
    pid_t pid;
    int status;
    struct rusage use;
    posix_spawn_file_actions_t files;
    posix_spawn_file_actions_init(&files);
    posix_spawn_file_actions_addopen(&files, 0, "/dev/null", O_RDONLY, 0);
    posix_spawn_file_actions_addopen(&files, 1, output, O_WRONLY | O_CREAT | O_TRUNC, 0600);
    char *copy[32];
    int count = 0;
    for (; count < 31 && argv[count] != NULL; count++)
        copy[count] = strdup(argv[count]);
    copy[count] = NULL;
    double start = now();
    int failed = posix_spawn(&pid, argv[0], &files, NULL, copy, environ);
    if (failed == 0 && wait4(pid, &status, 0, &use) == pid) {
        run.wall = now() - start;
        run.cpu = seconds(use.ru_utime) + seconds(use.ru_stime);
        run.peak_mib = (double)use.ru_maxrss / 1024;
        run.status = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
    } else {
        fprintf(stderr, "%s can't be run: %s\n", argv[0], strerror(failed));
    }
    for (int i = 0; i < count; i++)
        free(copy[i]);
    posix_spawn_file_actions_destroy(&files);
    return run;
}

Run run_program(const char *const *argv)
{
    return run_into(argv, "/dev/null");
}

void sample_add(Sample *sample, double value)
{
    if (sample->count < ROUNDS_MAX)
        sample->values[sample->count++] = value;
}

static int compare(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

double sample_median(const Sample *sample)
{
    Sample sorted = *sample;
    int n = sorted.count;
    if (n == 0)
        return 0;
    qsort(sorted.values, (size_t)n, sizeof *sorted.values, compare);
    return n % 2 != 0 ? sorted.values[n / 2]
                      : (sorted.values[n / 2 - 1] + sorted.values[n / 2]) / 2;
}

double sample_part(const Sample *sample, double part)
{
    Sample sorted = *sample;
    if (sorted.count == 0)
        return 0;
    qsort(sorted.values, (size_t)sorted.count, sizeof *sorted.values, compare);
    int at = (int)ceil(part * sorted.count) - 1;
    return sorted.values[at > 0 ? at : 0];
}

bool report(const char *what, const char *goal, const char *measured, bool met)
{
    printf("%s | %s | %s | %s\n", what, goal, measured, met ? "met" : "NOT MET");
    fflush(stdout);
    return met;
}

void report_only(const char *what, const char *measured)
{
    printf("%s | - | %s | -\n", what, measured);
    fflush(stdout);
}
