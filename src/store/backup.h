/* backup.h - a copy of a database that may be in use. Private to src/store. */
#ifndef ULLAGE_STORE_BACKUP_H
#define ULLAGE_STORE_BACKUP_H

#include "store/db.h"

/* Copies through SQLite's backup API into a file beside `target`, syncs it, and gives it the name
 * in one step. An existing file is replaced only with `replace`. FAULT_LOG; no file is left then,
 * unless the fault says that it is there. */
bool db_backup(Db *db, const char *target, bool replace, Fault *fault);

/* The same in two steps, for who wants to look at the copy before it takes its name: `part` is then
 * the copy's name, NULL where none was made. It is freed, and unlinked unless placed, by the
 * second. */
bool part_begin(const char *target, Str *part, Fault *fault); /* an empty one */
bool backup_begin(Db *db, const char *target, Str *part, Fault *fault);
bool backup_end(Str *part, const char *target, bool place, bool replace, Fault *fault);

#endif
