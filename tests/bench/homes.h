/* homes.h - the daily litres of real households, for the back-test. */
#ifndef ULLAGE_TESTS_BENCH_HOMES_H
#define ULLAGE_TESTS_BENCH_HOMES_H

#include "outlook/forecast.h"

#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define HOMES_MAX 200
#define DAYS_MAX 1500
#define DAY_MS INT64_C(86400000)
#define WEEK 7
#define WARM_UP 28

typedef struct {
    char name[16];
    int64_t first; /* civil day number */
    int days;
    double litres[DAYS_MAX]; /* a hundredth of the household's; NAN: not read */
} Home;

/* Lines `household,date,litres` (comments start with #), a home's days in order. How many homes. */
int homes_read(FILE *file, Home *homes);

/* The total of the `days` days after day `at`; NAN if one of them was not read. */
double home_total(const Home *home, int at, int days);

/* How often a 10-90 % band held what came. */
typedef struct {
    int origins, inside, below, above;
} Cover;
void cover_add(Cover *cover, const ForecastRate *rate, double total, double days);
void cover_print(const char *what, const Cover *cover);
bool goal(const char *what, bool met);
bool cover_goal(const Cover *cover); /* 0.77 to 0.83; met where nothing was asked */

/* The rows beside the plain one: within the day, crews, absences, high odds, leaks. */
bool backtest_rows(const Home *homes, int count);

#endif
