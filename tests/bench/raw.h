/* raw.h - the partner of the benches: the same work done with SQLite and nothing else.
 *
 * What a programmer would write who wants the rows and no program around them: the table of
 * src/store/schema.c, the pragmas of src/store/db.c, a prepared statement, a loop. No check beyond
 * what the table demands, no fold, no checkpoints. It shares no code with the program; only the
 * scan decodes into the program's own C fields (model/event.h), since that is what it is measured
 * by.
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
/* Parses JSON Lines with SQLite's json_each, one bound line at a time, and inserts; one
 * transaction. `path` must not be there. */
bool raw_import_json(const char *path, const char *lines_path);
/* The same from CSV (RFC 4180 with a header), with a plain tokenizer. */
bool raw_import_csv(const char *path, const char *csv_path);
/* One row, one durable commit: WAL, synchronous FULL. */
bool raw_commit(const char *path, int64_t at_ms);
/* Reads the newest stored state of the program's log. */
bool raw_checkpoint(const char *path, uint64_t *sum);
/* Are the rows of two logs alike, column by column? */
bool raw_same(const char *path, const char *other);

#endif
