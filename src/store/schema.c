#include "store/schema.h"

#include "store/backup.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define ENTRY_STAYS                                                                                \
    "CREATE TRIGGER entry_stays BEFORE UPDATE ON entry BEGIN\n"                                    \
    "  -- What was written was written: other logs may have merged it, and every figure follows\n" \
    "  -- from it. Correct an entry with a void and a new entry.\n"                                \
    "  SELECT RAISE(ABORT, 'an entry of the log is never changed: void it and enter it anew');\n"  \
    "END;\n"

/* The comments inside the statements are kept by SQLite: whoever opens the file with another
 * program finds the manual in it. */
static const char version_1[] =
    "CREATE TABLE entry(\n"
    "  -- The water log. One row is one thing that somebody did or saw. Append-only: a correction "
    "is\n"
    "  -- an entry of kind void that names the id of the wrong one, and a new entry. The state is "
    "the\n"
    "  -- fold over the rows that are not voided, in the order of (at, id).\n"
    "  at INTEGER NOT NULL,   -- when it happened: milliseconds since 1970-01-01T00:00:00Z\n"
    "  id BLOB NOT NULL       -- UUID, 16 bytes (RFC 9562; version 7 where this program made it)\n"
    "    CHECK(length(id) = 16),\n"
    "  kind INTEGER NOT NULL, -- 1 fill, 2 draw, 3 sound ...: ullage(5)\n"
    "  zone INTEGER NOT NULL, -- minutes east of UTC in force where it was entered\n"
    "  name TEXT,             -- the vessel, stage, source or stop that it is about\n"
    "  other TEXT,            -- the second name: line, source, where to\n"
    "  n1 INTEGER,            -- quantities in thousandths of the unit of ullage(5): mL, g, Pa\n"
    "  n2 INTEGER,\n"
    "  code INTEGER,          -- a choice of a list: class, purpose, method, type\n"
    "  more TEXT,             -- what is rare: a JSON object, stored values by field name\n"
    "  note TEXT,             -- free words\n"
    "  -- Fold order, storage order and the check for the same entry twice in one. No second "
    "index\n"
    "  -- on id: it would cost five times the time of an insert.\n"
    "  PRIMARY KEY(at, id)\n"
    ") STRICT, WITHOUT ROWID;\n" ENTRY_STAYS
    "CREATE TRIGGER entry_remains BEFORE DELETE ON entry BEGIN\n"
    "  -- A row that is gone here would come back with the next merge, and nobody would know why.\n"
    "  SELECT RAISE(ABORT, 'an entry of the log is never removed: void it');\n"
    "END;\n"
    "CREATE TABLE setting(\n"
    "  -- What belongs to the log and is no event: units = metric, us or imperial.\n"
    "  name TEXT NOT NULL PRIMARY KEY,\n"
    "  value TEXT NOT NULL\n"
    ") STRICT, WITHOUT ROWID;\n";

#define SEAL_COLUMN "seal INTEGER /* CRC-32C of all that it says, ullage(5); NULL: none yet */"

/* Instant, however long the log is: what is there stays unsealed until verify --seal. */
static const char version_2[] =
    "ALTER TABLE entry ADD COLUMN " SEAL_COLUMN ";\n"
    "CREATE TABLE tally(\n"
    "  -- How many entries are sealed, and the sum of their seals in no order: with the seals it\n"
    "  -- tells that an entry was changed, is missing or came from elsewhere. One row.\n"
    "  one INTEGER PRIMARY KEY CHECK(one = 1),\n"
    "  entries INTEGER NOT NULL,\n"
    "  sum INTEGER NOT NULL\n"
    ") STRICT;\n"
    "INSERT INTO tally VALUES(1, 0, 0);\n";

/* Only grows at its end: number i brings version i to i + 1. A fixture of each past version stands
 * in tests/fixtures. */
static const char *const migrations[] = {version_1, version_2};

static const char *const derived[][2] = {
    {"void_of", "(\n"
                "  -- Derived: the voids by what they name, also where that has not arrived yet.\n"
                "  target BLOB NOT NULL,\n"
                "  void BLOB NOT NULL,\n"
                "  target_at INTEGER, -- time of the target; NULL: it is not here\n"
                "  PRIMARY KEY(target, void)\n"
                ") STRICT, WITHOUT ROWID"},
    {"struck",
     "(\n"
     "  -- Derived: the entries that a void takes out, in the order of the fold, so that\n"
     "  -- replay walks along both tables and needs no memory.\n"
     "  at INTEGER NOT NULL,\n"
     "  id BLOB NOT NULL,\n"
     "  PRIMARY KEY(at, id)\n"
     ") STRICT, WITHOUT ROWID"},
    {"unsent",
     "(\n"
     "  -- Derived: what has yet to be written to the folder that machines share (ullage\n"
     "  -- sync); the smallest time there is: perhaps all.\n"
     "  at INTEGER NOT NULL,\n"
     "  id BLOB NOT NULL,\n"
     "  PRIMARY KEY(at, id)\n"
     ") STRICT, WITHOUT ROWID"},
    {"checkpoint",
     "(\n"
     "  -- Derived: the state just after the entry (at, id), which is number `entries`.\n"
     "  at INTEGER NOT NULL,\n"
     "  id BLOB NOT NULL,\n"
     "  entries INTEGER NOT NULL,\n"
     "  stretch BLOB NOT NULL, -- kinds and ids of the entries since the checkpoint before\n"
     "  state BLOB NOT NULL,\n"
     "  seal INTEGER NOT NULL, -- CRC-32C of all of it: a row that does not fit is not believed\n"
     "  PRIMARY KEY(at, id)\n"
     ") STRICT, WITHOUT ROWID"},
    {"head", "(\n"
             "  -- Derived: the state after all entries. One row.\n"
             "  one INTEGER PRIMARY KEY CHECK(one = 1),\n"
             "  stamp INTEGER NOT NULL, -- layout of all derived tables; another one: built anew\n"
             "  entries INTEGER NOT NULL,\n"
             "  at INTEGER, -- the last entry in the order of the fold\n"
             "  id BLOB,\n"
             "  written BLOB NOT NULL, -- the latest entries in the order of writing: at, id\n"
             "  stretch BLOB NOT NULL, -- of the entries since the last checkpoint\n"
             "  state BLOB NOT NULL,\n"
             "  seal INTEGER NOT NULL -- CRC-32C of all of it\n"
             ") STRICT"},
};
enum { DERIVED_COUNT = sizeof derived / sizeof *derived };
#define DERIVED_NAMES "'void_of','struck','unsent','checkpoint','head'"

int schema_version(void)
{
    return (int)(sizeof migrations / sizeof *migrations);
}

const char *schema_migration(int version)
{
    return version >= 1 && version <= schema_version() ? migrations[version - 1] : NULL;
}

static bool pragmas_read(Db *db, int64_t *application, int64_t *version, int64_t *things,
                         Fault *fault)
{
    return db_number(db, "PRAGMA application_id", 0, application, fault) &&
           db_number(db, "PRAGMA user_version", 0, version, fault) &&
           db_number(db, "SELECT count(*) FROM sqlite_schema", 0, things, fault);
}

static bool schema_judge(Db *db, bool migrate, bool *behind, Fault *fault)
{
    int64_t application, version, things;
    if (!pragmas_read(db, &application, &version, &things, fault))
        return false;
    *behind = version < schema_version();
    bool empty = application == 0 && version == 0 && things == 0;
    if (empty && !migrate)
        return fault_set(fault, FAULT_LOG,
                         "%s is empty: there is no log in it yet. Begin one by naming a vessel "
                         "(ullage vessel A1 --capacity 12) or by importing.",
                         db->name);
    if (!empty && (application != SCHEMA_APPLICATION_ID || version < 1))
        return fault_set(fault, FAULT_LOG,
                         "%s is a database of another program, not a water log. Name the file of "
                         "one (your own with --log).",
                         db->name);
    if (version > schema_version())
        return fault_set(
            fault, FAULT_LOG,
            "%s was written by a newer version of this program (log version %lld; this "
            "program knows up to %d). Install the newer version; the log is untouched.",
            db->name, (long long)version, schema_version());
    return true;
}

/* ---- what is not ours ---- */

/* All but the derived tables, which are made anew where they are not right, and what belongs to
 * SQLite itself. */
#define PERMANENT                                                                                  \
    "SELECT type,name,sql FROM main.sqlite_schema WHERE name NOT LIKE 'sqlite\\_%' ESCAPE '\\' "   \
    "AND NOT (type='table' AND name IN(" DERIVED_NAMES "))"

/* What stands in `a` and does not in `b`. */
static bool only_there(Db *a, Db *b, bool ours, SchemaDiffers differs, void *context, Fault *fault)
{
    sqlite3_stmt *rows = db_prepare(a, PERMANENT " ORDER BY name", fault);
    sqlite3_stmt *same =
        rows != NULL ? db_prepare(b, PERMANENT " AND type=?1 AND name=?2 AND sql IS ?3", fault)
                     : NULL;
    DbStep step = DB_BAD, there = DB_END;
    while (same != NULL && there != DB_BAD && (step = db_step(a, rows, fault)) == DB_ROW) {
        for (int i = 0; i < 3; i++) {
            const Text text = db_text(rows, i);
            db_bind_text(same, i + 1, text);
        }
        there = db_step(b, same, fault);
        sqlite3_reset(same);
        if (there == DB_END) {
            const Text type = db_text(rows, 0), name = db_text(rows, 1);
            char what[120];
            snprintf(what, sizeof what, "%.*s %s", (int)(type.n < 10 ? type.n : 10), type.s,
                     text_quote(name).s);
            differs(context, ours, text_is(type, "trigger"), what);
        }
    }
    db_done(rows);
    db_done(same);
    return step == DB_END && there != DB_BAD;
}

bool schema_differs(Db *db, SchemaDiffers differs, void *context, Fault *fault)
{
    Db fresh;
    int64_t version;
    if (!db_number(db, "PRAGMA user_version", 0, &version, fault) ||
        !db_open(&fresh, "", DB_SCRATCH, 0, fault))
        return false;
    bool good = true;
    for (int v = 1; good && v <= version && v <= schema_version(); v++)
        good = db_run(&fresh, schema_migration(v), fault);
    good = good && only_there(db, &fresh, false, differs, context, fault) &&
           only_there(&fresh, db, true, differs, context, fault);
    db_close(&fresh);
    return good;
}

typedef struct {
    char first[120];
    int count;
} Foreign;

static void foreign_add(void *context, bool ours, bool trigger, const char *what)
{
    Foreign *foreign = context;
    (void)trigger;
    if (!ours && foreign->count++ == 0)
        snprintf(foreign->first, sizeof foreign->first, "%s", what);
}

/* Are these words of a migration, where SQLite put the added column in or not? */
static bool words_known(const char *sql)
{
    static const char added[] = ", " SEAL_COLUMN;
    const char *at = strstr(sql, added);
    if (at == NULL)
        return strstr(version_1, sql) != NULL || strstr(version_2, sql) != NULL;
    const size_t before = (size_t)(at - sql);
    const char *rest = at + sizeof added - 1;
    return strlen(version_1) > before && strncmp(version_1, sql, before) == 0 &&
           strncmp(version_1 + before, rest, strlen(rest)) == 0;
}

/* A quick look: true where all is known by its words; else schema_differs decides. */
static bool all_known(Db *db, bool *known, Fault *fault)
{
    sqlite3_stmt *rows = db_prepare(db, PERMANENT, fault);
    DbStep step = DB_BAD;
    *known = true;
    while (rows != NULL && *known && (step = db_step(db, rows, fault)) == DB_ROW) {
        const Text sql = db_text(rows, 2);
        *known = sql.n > 0 && strlen(sql.s) == sql.n && words_known(sql.s);
    }
    db_done(rows);
    return step != DB_BAD;
}

bool schema_own(Db *db, Fault *fault)
{
    Foreign foreign = {0};
    int64_t version;
    bool known;
    if (db->asserted || db->path[0] == '\0')
        return true;
    if (!db_number(db, "PRAGMA schema_version", 0, &version, fault))
        return false;
    if (version == db->owned)
        return true;
    if (!all_known(db, &known, fault) ||
        (!known && !schema_differs(db, foreign_add, &foreign, fault)))
        return false;
    if (foreign.count > 0)
        return fault_set(fault, FAULT_LOG,
                         "%s has parts in it that are not of this program (%s, %d in all), and "
                         "nothing was written: they may change or drop what is logged. ullage "
                         "verify lists them. If they are meant, say --asserted.",
                         db->name, foreign.first, foreign.count);
    db->owned = version;
    return true;
}

/* A log of an older version that is only read is seen through the eyes of this one. */
static bool view_older(Db *db, Fault *fault)
{
    Fault ignored;
    db->older = true;
    bool good =
        db_run(db, "PRAGMA query_only=OFF", fault) &&
        db_run(db, "CREATE TEMP VIEW entry AS SELECT *, NULL AS seal FROM main.entry", fault);
    return db_run(db, "PRAGMA query_only=ON", good ? fault : &ignored) && good;
}

static bool migrate_all(Db *db, Fault *fault)
{
    int64_t version;
    bool behind;
    char words[80];
    /* asked again inside the transaction: two programs may begin the same log at once */
    if (!schema_judge(db, true, &behind, fault) ||
        !db_number(db, "PRAGMA user_version", 0, &version, fault))
        return false;
    for (int64_t v = version; v < schema_version(); v++)
        if (!db_run(db, migrations[v], fault))
            return false;
    snprintf(words, sizeof words, "PRAGMA application_id=%d; PRAGMA user_version=%d",
             SCHEMA_APPLICATION_ID, schema_version());
    return db_run(db, words, fault);
}

/* The older log, as it was, beside the one that is brought up to date; the first such copy stays.
 */
static bool keep_before(Db *db, Fault *fault)
{
    int64_t version;
    if (!db_number(db, "PRAGMA user_version", 0, &version, fault))
        return false;
    if (version == 0 || db->path[0] == '\0')
        return true; /* a log that only begins */
    Str kept = {0};
    str_addf(&kept, "%s-before-%d", db->path, schema_version());
    bool good = access(kept.s, F_OK) == 0 || db_backup(db, kept.s, false, fault);
    if (!good)
        fault_suffix(fault, " The log was not brought up to date, and is as it was.");
    str_finish(&kept);
    return good;
}

bool schema_ready(Db *db, bool migrate, Fault *fault)
{
    bool behind;
    if (!schema_judge(db, migrate, &behind, fault))
        return false;
    if (migrate && !schema_own(db, fault))
        return false;
    if (!behind || !migrate)
        return !behind || view_older(db, fault);
    if (!keep_before(db, fault))
        return false;
    if (!db_begin(db, true, fault))
        return false;
    bool good = migrate_all(db, fault);
    return db_end(db, good, fault) && good;
}

bool schema_derive_drop(Db *db, const char *where, Fault *fault)
{
    db_forget(db);
    for (int i = 0; i < DERIVED_COUNT; i++) {
        char words[80];
        snprintf(words, sizeof words, "DROP TABLE IF EXISTS %s.%s", where, derived[i][0]);
        if (!db_run(db, words, fault))
            return false;
    }
    return true;
}

bool schema_derive(Db *db, const char *where, Fault *fault)
{
    if (!schema_derive_drop(db, where, fault))
        return false;
    for (int i = 0; i < DERIVED_COUNT; i++) {
        Str words = {0};
        str_addf(&words, "CREATE TABLE %s.%s%s", where, derived[i][0], derived[i][1]);
        bool good = db_run(db, words.s, fault);
        str_finish(&words);
        if (!good)
            return false;
    }
    return true;
}

/* Compared here: IN over so many names makes SQLite open a table of its own for them. */
bool schema_derived_there(Db *db, bool *there, Fault *fault)
{
    sqlite3_stmt *rows = db_prepare(db, "SELECT name FROM sqlite_schema WHERE type='table'", fault);
    int count = 0;
    DbStep step = DB_BAD;
    while (rows != NULL && (step = db_step(db, rows, fault)) == DB_ROW)
        for (int i = 0; i < DERIVED_COUNT; i++)
            count += text_is(db_text(rows, 0), derived[i][0]);
    db_done(rows);
    *there = count == DERIVED_COUNT;
    return step == DB_END;
}

bool schema_unlock(Db *db, Fault *fault)
{
    return db_run(db, "DROP TRIGGER entry_stays", fault);
}

bool schema_lock(Db *db, Fault *fault)
{
    return db_run(db, ENTRY_STAYS, fault);
}
