/* raw_inside.h - what the files of the raw partner share. */
#ifndef ULLAGE_BENCH_RAW_INSIDE_H
#define ULLAGE_BENCH_RAW_INSIDE_H

#include "raw.h"

#include "model/event.h"

#include <sqlite3.h>

/* Columns of table entry. */
enum { AT, ID, KIND, ZONE, NAME, OTHER, N1, N2, CODE, MORE, NOTE };
#define RAW_COLUMNS "at,id,kind,zone,name,other,n1,n2,code,more"

sqlite3 *raw_open(const char *path, int flags);
sqlite3_stmt *raw_prepare(sqlite3 *db, const char *sql);
bool raw_wrong(sqlite3 *db, const char *what);
/* A row of RAW_COLUMNS; the rare column stays text. */
void raw_decode(sqlite3_stmt *row, Event *e, char *more, size_t more_size);

#define RAW_INSERT                                                                                 \
    "INSERT INTO entry(" RAW_COLUMNS ",note) VALUES(?1,?2,?3,?4,?5,?6,?7,?8,?9,?10,?11)"
void raw_id(const char *s, unsigned char id[16]); /* from its 36 characters */

#endif
