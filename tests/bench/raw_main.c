/* raw_main.c - the raw partner as a program, so that it is measured like the real one: exec to
 * exit.
 *
 *     raw scan|fold|checkpoint|verify LOG | commit LOG MS | json|csv LOG FILE | same LOG LOG |
 *         merge LOG LOG | upgrade LOG KEPT | list LOG CONDITION
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
    const char *what = argc > 1 ? argv[1] : "";
    if (argc == 3 && strcmp(what, "scan") == 0)
        good = raw_scan(argv[2], &rows, &sum);
    else if (argc == 3 && strcmp(what, "fold") == 0)
        good = raw_fold(argv[2], &rows, &sum);
    else if (argc == 3 && strcmp(what, "verify") == 0)
        good = raw_verify(argv[2], &rows, &sum);
    else if (argc == 3 && strcmp(what, "checkpoint") == 0)
        good = raw_checkpoint(argv[2], &sum);
    else if (argc == 4 && strcmp(what, "commit") == 0)
        good = raw_commit(argv[2], strtoll(argv[3], NULL, 10));
    else if (argc == 4 && strcmp(what, "json") == 0)
        good = raw_import_json(argv[2], argv[3]);
    else if (argc == 4 && strcmp(what, "csv") == 0)
        good = raw_import_csv(argv[2], argv[3]);
    else if (argc == 4 && strcmp(what, "merge") == 0)
        good = raw_merge(argv[2], argv[3]);
    else if (argc == 4 && strcmp(what, "upgrade") == 0)
        good = raw_upgrade(argv[2], argv[3]);
    else if (argc == 4 && strcmp(what, "same") == 0)
        good = raw_same(argv[2], argv[3]);
    else if (argc == 4 && strcmp(what, "list") == 0)
        return raw_list(argv[2], argv[3], &rows) ? 0 : 1;
    else
        fprintf(stderr, "raw: see the top of raw_main.c\n");
    printf("%lld %llu\n", (long long)rows, (unsigned long long)sum);
    return good ? 0 : 1;
}
