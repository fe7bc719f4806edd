/* bench_fold.c - what a draw costs in the fold, with a coupled vessel that has a millilitre in it
 * and without: mixing through a nearly empty vessel is the stiff case (model/line.c).
 *
 *     bench_fold
 *
 * Processor time, the median of rounds in which the two take turns. Prints one row. Exit 0 where
 * the goal is met, 1 where it is missed.
 */
#include "measure.h"

#include "model/fold.h"
#include "support/logbook.h"

#include <stdio.h>
#include <stdlib.h>
#include <time.h>

enum { DRAWS = 40, REPEATS = 200, ROUNDS = 31 };

static double cpu_now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* Seconds a draw of a quarter of a litre, of waters that differ; the middle vessel keeps what it
 * has, since the line pushes. */
static double draw_time(const char *middle)
{
    Logbook *book = book_open();
    Event draw;
    Fault fault;
    book_say(book, "vessel A1 --capacity 12 --level 12 --class potable");
    book_pass(book, 1);
    book_say(book, middle);
    book_say(book, "vessel A3 --capacity 12 --level 9 --class questionable");
    book_say(book, "couple galley A1 A2 A3");
    book_pass(book, 1);
    const State before = *book_state(book);
    State state = before;
    if (!book_read(book, &before, "draw galley 0.25", &draw, &fault)) {
        fprintf(stderr, "bench_fold: %s\n", fault.text);
        exit(3);
    }
    const double start = cpu_now();
    for (int r = 0; r < REPEATS; r++) {
        state = before;
        for (int i = 0; i < DRAWS; i++) {
            draw.at.ms++;
            fold_apply(&state, &draw);
        }
    }
    const double took = cpu_now() - start;
    if (state.vessels[0].volume != before.vessels[0].volume - DRAWS * 250) {
        fprintf(stderr, "bench_fold: the draws did not take from A1\n");
        exit(3);
    }
    book_close(book);
    return took / (REPEATS * DRAWS);
}

int main(void)
{
    Sample plain = {0}, nearly = {0};
    char text[96];
    for (int i = 0; i < ROUNDS; i++) {
        sample_add(&plain, draw_time("vessel A2 --capacity 12 --level 6 --class potable"));
        sample_add(&nearly, draw_time("vessel A2 --capacity 12 --level 0.001 --class potable"));
    }
    const double one = sample_median(&plain), other = sample_median(&nearly);
    snprintf(text, sizeof text, "%.2f us (%.2f us)", other * 1e6, one * 1e6);
    return report("a draw past a vessel with a millilitre (an ordinary one)", "<= 2 us", text,
                  other <= 2e-6)
               ? 0
               : 1;
}
