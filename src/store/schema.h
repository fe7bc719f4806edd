/* schema.h - what the log looks like on disk. Private to src/store.
 *
 * Two parts. The permanent one (tables `entry`, `setting`, `tally`) is only ever changed by the
 * migrations, an array that only grows. The derived one (`void_of`, `struck`, `unsent`,
 * `checkpoint`, `head`) follows from it, carries a stamp, and is dropped and built anew where the
 * stamp is not that of this program.
 */
#ifndef ULLAGE_STORE_SCHEMA_H
#define ULLAGE_STORE_SCHEMA_H

#include "store/db.h"

/* "ulge": tells SQLite's `file` magic and us that this database is a water log. */
#define SCHEMA_APPLICATION_ID 0x756c6765

/* Version that this program writes: the number of migrations. */
int schema_version(void);

/* Checks that the file is a log of a version that we know. With `migrate`, an empty file becomes a
 * log, and an older one is brought up to date in one transaction, after a copy of it was put beside
 * it (PATH-before-VERSION). Without, an older one is seen through a temporary view that has the
 * columns of today. Faults: another program's database, a newer version, no room for the copy,
 * (with `migrate`) what schema_own says, and (without) an empty file. */
bool schema_ready(Db *db, bool migrate, Fault *fault);

/* Tables, triggers, views and indexes that this program would not have made: `ours` true for one of
 * its own that is gone or was changed, false for one of another program. `what` is "trigger x". */
typedef void (*SchemaDiffers)(void *context, bool ours, bool trigger, const char *what);
bool schema_differs(Db *db, SchemaDiffers differs, void *context, Fault *fault);
/* Before each write: all of it is ours, or it was asserted that the rest is meant (db->asserted).
 * FAULT_LOG names what is not. Cheap where nothing has changed since it was last asked. */
bool schema_own(Db *db, Fault *fault);

/* Makes the derived tables, empty, in database "main" or "temp" (which then shadows main); those
 * that are there are dropped. */
bool schema_derive(Db *db, const char *where, Fault *fault);
bool schema_derive_drop(Db *db, const char *where, Fault *fault);
bool schema_derived_there(Db *db, bool *there, Fault *fault);

/* Takes the trigger that refuses a change of entries away, and puts it back: for sealing rows that
 * have no seal, inside one transaction. */
bool schema_unlock(Db *db, Fault *fault);
bool schema_lock(Db *db, Fault *fault);

/* SQL of the permanent part, version by version, for tests and verify. */
const char *schema_migration(int version);

#endif
