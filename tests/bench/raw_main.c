/* raw_main.c - the raw partner as a program, so that it is measured like the real one: exec to
 * exit.
 *
 *     raw scan LOG | checkpoint LOG | commit LOG MS | json LOG FILE | csv LOG FILE | same LOG LOG
 */
#include "raw.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

int main(int argc, char **argv)
{
    int64_t rows = 0;
    uint64_t sum = 0;
    bool good = false;
    if (argc == 3 && strcmp(argv[1], "scan") == 0)
        good = raw_scan(argv[2], &rows, &sum);
    else if (argc == 3 && strcmp(argv[1], "checkpoint") == 0)
        good = raw_checkpoint(argv[2], &sum);
    else if (argc == 4 && strcmp(argv[1], "commit") == 0)
        good = raw_commit(argv[2], strtoll(argv[3], NULL, 10));
    else if (argc == 4 && strcmp(argv[1], "json") == 0)
        good = raw_import_json(argv[2], argv[3]);
    else if (argc == 4 && strcmp(argv[1], "csv") == 0)
        good = raw_import_csv(argv[2], argv[3]);
    else if (argc == 4 && strcmp(argv[1], "same") == 0)
        good = raw_same(argv[2], argv[3]);
    else
        fprintf(stderr,
                "usage: raw scan|checkpoint LOG, commit LOG MS, json|csv LOG FILE, same LOG LOG\n");
    printf("%lld %llu\n", (long long)rows, (unsigned long long)sum);
    return good ? 0 : 1;
}
