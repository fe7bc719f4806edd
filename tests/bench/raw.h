/* raw.h - the partner of the benches: the same work done with SQLite and nothing else.
 *
 * What a programmer would write who wants the rows and no program around them: the table of
 * src/store/schema.c, the pragmas of src/store/db.c, a prepared statement, a loop, and for text
 * what a patient hand writes (raw_text.c). No check beyond what the table demands, no seals, no
 * checkpoints. It shares no code with the program; only the scan decodes into the program's own C
 * fields (model/event.h), since that is what it is measured by.
 *
 * Every function opens the file, does its work and closes it; failures are told on standard error.
 */
#ifndef ULLAGE_BENCH_RAW_H
#define ULLAGE_BENCH_RAW_H

#include <stdbool.h>
#include <stdint.h>

/* Walks table `entry` in its order and decodes every row but its note into one Event. *sum is there
 * so that nothing can be optimised away. */
bool raw_scan(const char *path, int64_t *rows, uint64_t *sum);
/* The same into a plain fold (raw_fold.c), without what is voided. */
bool raw_fold(const char *path, int64_t *rows, uint64_t *sum);
/* Parses JSON Lines by hand and inserts; one transaction. `path` must not be there. */
bool raw_import_json(const char *path, const char *lines_path);
/* The same from CSV (RFC 4180 with a header). */
bool raw_import_csv(const char *path, const char *csv_path);
/* The rows where the SQL condition holds to standard output, as the program's own JSON Lines. */
bool raw_list(const char *path, const char *where, int64_t *rows);
/* One row, one durable commit: WAL, synchronous FULL. */
bool raw_commit(const char *path, int64_t at_ms);
/* Reads the newest stored state of the program's log. */
bool raw_checkpoint(const char *path, uint64_t *sum);
/* ATTACH and INSERT OR IGNORE. */
bool raw_merge(const char *path, const char *other);
/* integrity_check and a scan. */
bool raw_verify(const char *path, int64_t *rows, uint64_t *sum);
/* A copy to `kept`, then the column that version 2 of the schema has more. */
bool raw_upgrade(const char *path, const char *kept);
/* Are the rows of two logs alike, column by column? */
bool raw_same(const char *path, const char *other);

#endif
