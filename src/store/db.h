/* db.h - the one layer between the log and SQLite: opening, statements, values, faults.
 *
 * Private to src/store (it shows sqlite3.h). All preparing, binding, stepping and all sentences
 * about SQLite's errors are here, so that the rest of the floor reads like the log and not like its
 * library.
 */
#ifndef ULLAGE_STORE_DB_H
#define ULLAGE_STORE_DB_H

#include "base/fault.h"
#include "base/text.h"

#include <sqlite3.h>
#include <stdbool.h>
#include <stdint.h>

enum { DB_KEPT_MAX = 40 };
/* Peak memory is bounded by this cache of pages, whatever the length of the log. */
#define DB_CACHE_KIB "1024"

typedef struct {
    sqlite3 *handle;
    char *path;       /* as given, "" for a scratch database; owned */
    char *name;       /* what sentences call it; owned */
    bool read_only;   /* opened for reading: query_only is on */
    bool immutable;   /* on a medium that can't be written at all: no locks, no WAL */
    bool older;       /* of an older version, seen through a view (schema.h) */
    bool asserted;    /* parts of another program in it are meant to be there */
    int64_t owned;    /* schema_version at which all of it was found to be ours (schema.h) */
    bool changing;    /* a change runs */
    int64_t until_ms; /* it is interrupted then; 0: it was not looked at yet */
    bool moved;       /* db_here found another file, or none, at its path */
    int busy_ms;      /* how long another program that writes is waited for */
    int waited_ms;    /* so far, for the one that writes now */
    void (*waits)(
        void *context); /* called once a wait that is noticed; NULL: nobody wants to know */
    void *waits_context;
    int failed;  /* what SQLite said to the last statement where it refused, else 0 */
    bool ending; /* a transaction is being committed */
    int depth;   /* transactions nested (only the outermost is real) */
    bool writes; /* the outermost one may write */
    int64_t commits;
    sqlite3_stmt *kept[DB_KEPT_MAX]; /* prepared once, by the address of their SQL */
    const char *kept_sql[DB_KEPT_MAX];
    int kept_count;
} Db;

typedef enum { DB_READ, DB_WRITE, DB_SCRATCH } DbMode;

/* Opens. DB_WRITE makes the file (0600) and its folders (0700) where they are not there; DB_READ
 * falls back to a read-only and then to an immutable view of the file. Fault: FAULT_LOG with a
 * sentence; *db needs no closing then, and db->failed is what SQLite said, if it was asked. */
bool db_open(Db *db, const char *path, DbMode mode, int busy_ms, Fault *fault);
/* Opens for a look that leaves no trace: no file is made, written or waited for. What another
 * program wrote a moment ago may not be seen. */
bool db_peek(Db *db, const char *path, Fault *fault);
void db_close(Db *db);
void db_shut(Db *db); /* the file only: db_reopen may follow */
/* Turns the write-ahead log on where the file system can do it (synchronous FULL), else the
 * rollback journal with synchronous EXTRA: house.md, measured: both lose nothing that was
 * acknowledged. */
bool db_durable(Db *db, Fault *fault);

/* False with FAULT_LOG where `path` is a link to a file that is not there. */
bool db_linked(const char *path, Fault *fault);

/* Asks whether the file that is open is still the one at its path: what is written to one that was
 * moved, removed or replaced is not in the log. FAULT_LOG where it is not. */
bool db_here(Db *db, Fault *fault);
/* Lets go of that file, and opens for writing what is at its path now. Where that fails, nothing is
 * open, and every other call is a fault. */
bool db_reopen(Db *db, Fault *fault);

/* The sentence for a result code of SQLite. Always false. */
bool db_fault(const Db *db, int rc, Fault *fault);
/* The sentence for a row that was inserted and is not there. Always false. */
bool db_not_taken(const Db *db, Fault *fault);

/* One statement or several without results. */
bool db_run(Db *db, const char *sql, Fault *fault);
/* First column of the first row; `none` where there is no row. */
bool db_number(Db *db, const char *sql, int64_t none, int64_t *out, Fault *fault);

/* A statement of one's own: db_done() it. NULL with a Fault on failure. */
sqlite3_stmt *db_prepare(Db *db, const char *sql, Fault *fault);
void db_done(sqlite3_stmt *stmt);
/* A statement that is kept prepared; `sql` must be a literal. It comes back reset. Not for use
 * where it could be handed out twice at once. */
sqlite3_stmt *db_kept(Db *db, const char *sql, Fault *fault);
/* Forgets the kept statements (their tables change their meaning: temp tables shadow the real
 * ones). */
void db_forget(Db *db);

/* DB_ROW: there is a row. DB_END: no more, the statement is reset. DB_BAD: Fault set, reset. */
typedef enum { DB_BAD, DB_ROW, DB_END } DbStep;
DbStep db_step(Db *db, sqlite3_stmt *stmt, Fault *fault);
/* Runs a statement that gives no rows, and resets it. */
bool db_exec(Db *db, sqlite3_stmt *stmt, Fault *fault);
/* The same for one that changes rows, which triggers of another program may hang on: interrupted
 * after DB_CHANGE_MS of computing. db_change_one: exactly one row has changed, or it is a fault. */
enum { DB_CHANGE_MS = 5000 };
bool db_change(Db *db, sqlite3_stmt *stmt, Fault *fault);
bool db_change_one(Db *db, sqlite3_stmt *stmt, Fault *fault);

/* Transactions nest; the outermost one counts. A write inside a read is refused. db_end commits (a
 * failing commit is rolled back) or, with keep = false, rolls back. */
bool db_begin(Db *db, bool write, Fault *fault);
bool db_end(Db *db, bool keep, Fault *fault);

static inline void db_bind_number(sqlite3_stmt *stmt, int at, int64_t value)
{
    sqlite3_bind_int64(stmt, at, value);
}
static inline void db_bind_text(sqlite3_stmt *stmt, int at, Text text)
{
    sqlite3_bind_text64(stmt, at, text.s != NULL ? text.s : "", text.n, SQLITE_STATIC, SQLITE_UTF8);
}
/* The bytes may go as soon as it returns. */
void db_bind_copy(sqlite3_stmt *stmt, int at, Text text);
static inline void db_bind_blob(sqlite3_stmt *stmt, int at, const void *bytes, size_t n)
{
    sqlite3_bind_blob64(stmt, at, bytes, n, SQLITE_STATIC);
}
static inline void db_bind_null(sqlite3_stmt *stmt, int at)
{
    sqlite3_bind_null(stmt, at);
}
/* The values of a row, valid until the next one. Each sqlite3_column_ call finds the column and
 * takes a lock anew: what is asked for more than a number is found once. (SQLite calls what stands
 * under a statement "unprotected", which is said of programs that share a connection between
 * threads.) */
typedef struct {
    sqlite3_stmt *stmt;
    sqlite3_value **values; /* NULL: those of the columns of `stmt` */
} DbRow;
static inline DbRow db_row(sqlite3_stmt *stmt)
{
    return (DbRow){stmt, NULL};
}
static inline sqlite3_value *row_value(DbRow row, int column)
{
    return row.values != NULL ? row.values[column] : sqlite3_column_value(row.stmt, column);
}
static inline int64_t row_number(DbRow row, int column)
{
    return sqlite3_value_int64(row_value(row, column));
}
/* A column that gave nothing: where that is because there is no memory, it is no NULL, and the
 * program ends (memory.h). */
void db_memory(sqlite3_stmt *stmt);
/* Text of a column; s is NULL where it is NULL. */
static inline Text row_text(DbRow row, int column)
{
    sqlite3_value *value = row_value(row, column);
    const char *s = (const char *)sqlite3_value_text(value);
    if (s == NULL && sqlite3_value_type(value) != SQLITE_NULL)
        db_memory(row.stmt);
    return (Text){s, s != NULL ? (size_t)sqlite3_value_bytes(value) : 0};
}
static inline Text db_text(sqlite3_stmt *stmt, int column)
{
    return row_text(db_row(stmt), column);
}
/* Bytes of a column: false where it has not exactly `n` of them. */
bool row_bytes(DbRow row, int column, void *out, size_t n);
static inline bool db_bytes(sqlite3_stmt *stmt, int column, void *out, size_t n)
{
    return row_bytes(db_row(stmt), column, out, n);
}

/* Are they the same, each in its type and all its bytes? */
bool db_same(sqlite3_value **a, sqlite3_value **b, int count);

/* In a statement, pass(?1, COLUMN...) is a condition that shows each row to ->look, and holds where
 * that gives true: so SQLite itself goes from row to row, and the values cost no call each, which
 * is half of the time of a walk along the log. The look may use
 * the log; what it wants of the row it reads before it writes. */
typedef struct {
    bool (*look)(void *context, DbRow row);
    void *context;
    sqlite3_stmt *stmt;
} DbPass;
/* *pass is borrowed until db_done. */
void db_bind_pass(sqlite3_stmt *stmt, int at, DbPass *pass);

#endif
