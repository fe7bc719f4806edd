#include "store/db.h"

#include "base/memory.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

static char *copy(const char *s)
{
    size_t n = strlen(s) + 1;
    char *c = memory_get(n);
    memcpy(c, s, n);
    return c;
}

static bool fault_no_space(const Db *db, Fault *fault)
{
    return fault_set(fault, FAULT_LOG,
                     "%s: the disk is full, and nothing was written. Make room, then try again.",
                     db->name);
}

/* A copy's failure is told by one of its two handles only. */
static bool tells(const Db *db, int rc)
{
    return db->handle != NULL && (sqlite3_errcode(db->handle) & 0xff) == (rc & 0xff);
}

static int system_errno(const Db *db, int rc)
{
    return tells(db, rc) ? sqlite3_system_errno(db->handle) : 0;
}

/* What was given to the disk may yet be on it, although it did not say so. */
static bool fault_disk(const Db *db, int rc, const char *why, Fault *fault)
{
    const int system = system_errno(db, rc);
    if (db->ending || rc == SQLITE_IOERR_FSYNC || rc == SQLITE_IOERR_DIR_FSYNC)
        return fault_set(fault, FAULT_LOG,
                         "%s: the disk failed while it was being written to (%s), and it is not "
                         "certain whether the entry is in the log. Look with ullage log before "
                         "you enter it again, and make a backup on another disk.",
                         db->name, why);
    if (system == ENOSPC || system == EDQUOT)
        return fault_no_space(db, fault);
    return fault_set(fault, FAULT_LOG,
                     "%s: reading or writing the file failed (%s), and nothing was written.",
                     db->name, why);
}

bool db_fault(const Db *db, int rc, Fault *fault)
{
    const char *words = tells(db, rc) ? sqlite3_errmsg(db->handle) : sqlite3_errstr(rc);
    const int system = system_errno(db, rc);
    const char *why = system != 0 ? strerror(system) : words;
    switch (rc & 0xff) {
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
        return fault_set(fault, FAULT_LOG,
                         "%s: another program is writing to this log and did not finish within %d "
                         "seconds. Nothing was written; try again when it is done.",
                         db->name, (db->busy_ms + 999) / 1000);
    case SQLITE_FULL:
        return fault_no_space(db, fault);
    case SQLITE_READONLY:
        return fault_set(fault, FAULT_LOG,
                         "%s: the log is read-only here, and nothing was written. Check the "
                         "permissions of the file and of its folder.",
                         db->name);
    case SQLITE_NOTADB:
        return fault_set(fault, FAULT_LOG,
                         "%s is not a water log (it is no SQLite database). Name the file of one "
                         "(your own with --log); if it was one, its beginning is damaged: ullage "
                         "salvage %s NEW writes what can still be read to a new log.",
                         db->name, db->name);
    case SQLITE_CORRUPT:
        return fault_set(fault, FAULT_LOG,
                         "%s is damaged (%s). Go back to a backup (ullage restore), or write what "
                         "can still be read to a new log (ullage salvage %s NEW).",
                         db->name, words, db->name);
    case SQLITE_TOOBIG:
        return fault_set(fault, FAULT_LOG,
                         "%s has a row in it that is larger than any of this program, and is not "
                         "read. Write all others to a new log (ullage salvage %s NEW).",
                         db->name, db->name);
    case SQLITE_CANTOPEN:
    case SQLITE_PERM:
    case SQLITE_AUTH:
        return fault_set(fault, FAULT_LOG, "%s can't be opened: %s. Check its permissions.",
                         db->name, why);
    case SQLITE_IOERR:
        return fault_disk(db, rc, why, fault);
    case SQLITE_INTERRUPT:
        return fault_set(fault, FAULT_LOG,
                         "%s: a trigger that another program has put into it does not come to an "
                         "end. It was stopped, and nothing was written. Run ullage verify.",
                         db->name);
    case SQLITE_NOMEM:
        memory_exhausted();
    default:
        return fault_set(fault, FAULT_LOG, "%s: SQLite says: %s (code %d).", db->name, words, rc);
    }
}

/* ---- statements ---- */

static bool took(Db *db, int rc, Fault *fault)
{
    db->failed = rc;
    return rc == SQLITE_OK || db_fault(db, rc, fault);
}

sqlite3_stmt *db_prepare(Db *db, const char *sql, Fault *fault)
{
    sqlite3_stmt *stmt = NULL;
    const int rc = sqlite3_prepare_v2(db->handle, sql, -1, &stmt, NULL);
    return took(db, rc, fault) ? stmt : NULL;
}

void db_done(sqlite3_stmt *stmt)
{
    sqlite3_finalize(stmt);
}

sqlite3_stmt *db_kept(Db *db, const char *sql, Fault *fault)
{
    for (int i = 0; i < db->kept_count; i++) {
        if (db->kept_sql[i] == sql) {
            sqlite3_reset(db->kept[i]);
            return db->kept[i];
        }
    }
    if (db->kept_count == DB_KEPT_MAX)
        db_forget(db); /* more literals than places: start again rather than fail */
    sqlite3_stmt *stmt = NULL;
    const int rc = sqlite3_prepare_v3(db->handle, sql, -1, SQLITE_PREPARE_PERSISTENT, &stmt, NULL);
    if (!took(db, rc, fault))
        return NULL;
    db->kept[db->kept_count] = stmt;
    db->kept_sql[db->kept_count] = sql;
    db->kept_count++;
    return stmt;
}

void db_forget(Db *db)
{
    for (int i = 0; i < db->kept_count; i++)
        sqlite3_finalize(db->kept[i]);
    db->kept_count = 0;
}

DbStep db_step(Db *db, sqlite3_stmt *stmt, Fault *fault)
{
    const int rc = sqlite3_step(stmt);
    const bool good = took(db, rc == SQLITE_ROW || rc == SQLITE_DONE ? SQLITE_OK : rc, fault);
    if (rc == SQLITE_ROW)
        return DB_ROW;
    sqlite3_reset(stmt);
    return good ? DB_END : DB_BAD;
}

/* After some failures SQLite ends a transaction by itself, and takes it back. Where that was
 * overlooked, each further change would stand alone. */
static bool in_transaction(Db *db, Fault *fault)
{
    if (!db->writes || sqlite3_get_autocommit(db->handle) == 0)
        return true;
    db->failed = SQLITE_ABORT;
    return fault_set(fault, FAULT_LOG,
                     "%s: the disk failed while it was being written to, and nothing was written. "
                     "Try again, and make a backup on another disk.",
                     db->name);
}

bool db_exec(Db *db, sqlite3_stmt *stmt, Fault *fault)
{
    if (!in_transaction(db, fault))
        return false;
    DbStep step = db_step(db, stmt, fault);
    sqlite3_reset(stmt);
    return step != DB_BAD;
}

bool db_not_taken(const Db *db, Fault *fault)
{
    return fault_set(fault, FAULT_LOG,
                     "%s did not take the entry, and gave no reason: another program has put a "
                     "trigger of its own into it. Nothing was written. Run ullage verify.",
                     db->name);
}

/* Time that this program has computed for: no clock that somebody may set. */
static int64_t computed_ms(void)
{
    return (int64_t)clock() * 1000 / CLOCKS_PER_SEC;
}

/* Asked by SQLite every so many steps of its machine: go on? The time counts from the first asking
 * on, so that a change that is over before it costs no look at the clock. */
static int too_long(void *context)
{
    Db *db = context;
    if (db->changing && db->until_ms == 0)
        db->until_ms = computed_ms() + DB_CHANGE_MS;
    return db->changing && computed_ms() > db->until_ms;
}

bool db_change(Db *db, sqlite3_stmt *stmt, Fault *fault)
{
    db->changing = true;
    db->until_ms = 0;
    const bool good = db_exec(db, stmt, fault);
    db->changing = false;
    return good;
}

bool db_change_one(Db *db, sqlite3_stmt *stmt, Fault *fault)
{
    return db_change(db, stmt, fault) &&
           (sqlite3_changes(db->handle) == 1 || db_not_taken(db, fault));
}

bool db_run(Db *db, const char *sql, Fault *fault)
{
    return in_transaction(db, fault) &&
           took(db, sqlite3_exec(db->handle, sql, NULL, NULL, NULL), fault);
}

bool db_number(Db *db, const char *sql, int64_t none, int64_t *out, Fault *fault)
{
    sqlite3_stmt *stmt = db_prepare(db, sql, fault);
    if (stmt == NULL)
        return false;
    DbStep step = db_step(db, stmt, fault);
    if (step == DB_ROW)
        *out = sqlite3_column_int64(stmt, 0);
    else if (step == DB_END)
        *out = none;
    db_done(stmt);
    return step != DB_BAD;
}

/* What could not be copied would be written as NULL. */
void db_bind_copy(sqlite3_stmt *stmt, int at, Text text)
{
    if (sqlite3_bind_text64(stmt, at, text.s, text.n, SQLITE_TRANSIENT, SQLITE_UTF8) ==
        SQLITE_NOMEM)
        memory_exhausted();
}

void db_memory(sqlite3_stmt *stmt)
{
    if ((sqlite3_errcode(sqlite3_db_handle(stmt)) & 0xff) == SQLITE_NOMEM)
        memory_exhausted();
}

bool row_bytes(DbRow row, int column, void *out, size_t n)
{
    sqlite3_value *value = row_value(row, column);
    const void *bytes = sqlite3_value_blob(value);
    if (bytes == NULL || (size_t)sqlite3_value_bytes(value) != n)
        return false;
    memcpy(out, bytes, n);
    return true;
}

static bool bytes_same(sqlite3_value *a, sqlite3_value *b)
{
    const int n = sqlite3_value_bytes(a); /* asked first: it may change how the text is stored */
    return n == sqlite3_value_bytes(b) &&
           (n == 0 || memcmp(sqlite3_value_blob(a), sqlite3_value_blob(b), (size_t)n) == 0);
}

bool db_same(sqlite3_value **a, sqlite3_value **b, int count)
{
    for (int i = 0; i < count; i++) {
        const int type = sqlite3_value_type(a[i]);
        if (type != sqlite3_value_type(b[i]))
            return false;
        if (type == SQLITE_NULL)
            continue;
        if (type == SQLITE_INTEGER ? sqlite3_value_int64(a[i]) != sqlite3_value_int64(b[i])
                                   : !bytes_same(a[i], b[i]))
            return false;
    }
    return true;
}

static void pass_row(sqlite3_context *context, int count, sqlite3_value **values)
{
    DbPass *pass = count > 0 ? sqlite3_value_pointer(values[0], "pass") : NULL;
    const bool taken = pass != NULL && pass->look(pass->context, (DbRow){pass->stmt, values + 1});
    sqlite3_result_int(context, taken);
}

void db_bind_pass(sqlite3_stmt *stmt, int at, DbPass *pass)
{
    pass->stmt = stmt;
    sqlite3_bind_pointer(stmt, at, pass, "pass", NULL);
}

/* ---- the file and who else uses it ---- */

bool db_here(Db *db, Fault *fault)
{
    int moved = 0;
    if (db->path[0] == '\0' || db->immutable)
        return true;
    if (db->handle != NULL)
        sqlite3_file_control(db->handle, "main", SQLITE_FCNTL_HAS_MOVED, &moved);
    db->moved = moved != 0 || db->handle == NULL;
    if (!db->moved)
        return true;
    /* Its write-ahead log still lies at the old place, and would be taken for that of the file that
     * is there now. What is in it goes to where it belongs. */
    if (db->handle != NULL && sqlite3_get_autocommit(db->handle) != 0)
        sqlite3_wal_checkpoint_v2(db->handle, NULL, SQLITE_CHECKPOINT_TRUNCATE, NULL, NULL);
    return access(db->path, F_OK) != 0
               ? fault_set(fault, FAULT_LOG,
                           "%s is not there any more: it was moved or removed while it was open. "
                           "Nothing was written. Put it back, or open the log where it is now.",
                           db->name)
               : fault_set(fault, FAULT_LOG,
                           "%s is another file than the one that was opened: it was replaced. "
                           "Nothing was written. Open what is there now.",
                           db->name);
}

/* The waits are short, so that who came first is not passed by for ever, and uneven, so that two
 * don't ask in step. */
static int wait_turn(void *context, int asked)
{
    enum { NOTICED_MS = 700 };
    Db *db = context;
    if (asked == 0)
        db->waited_ms = 0;
    if (db->waited_ms >= db->busy_ms)
        return 0;
    const int before = db->waited_ms;
    db->waited_ms += sqlite3_sleep(asked < 4 ? 1 : 2 + (asked * 7 + (int)getpid()) % 11);
    if (before < NOTICED_MS && db->waited_ms >= NOTICED_MS && db->waits != NULL)
        db->waits(db->waits_context);
    return 1;
}

/* ---- transactions ---- */

bool db_begin(Db *db, bool write, Fault *fault)
{
    if (db->depth > 0) {
        if (write && !db->writes)
            return fault_set(fault, FAULT_LOG,
                             "%s: the log can't be written to while it is being read.", db->name);
        db->depth++;
        return true;
    }
    sqlite3_stmt *stmt = db_kept(db, write ? "BEGIN IMMEDIATE" : "BEGIN", fault);
    if (stmt == NULL || !db_exec(db, stmt, fault))
        return false;
    db->depth = 1;
    db->writes = write;
    if (db_here(db, fault)) /* asked here: while it waited for its turn the file may have gone */
        return true;
    Fault ignored;
    db_end(db, false, &ignored);
    return db_here(db, fault); /* again, outside the transaction: see there */
}

bool db_end(Db *db, bool keep, Fault *fault)
{
    if (--db->depth > 0)
        return true;
    bool good = true;
    if (sqlite3_get_autocommit(db->handle) != 0) { /* SQLite has ended it, and taken it back */
        good = !keep || in_transaction(db, fault);
    } else if (keep) {
        sqlite3_stmt *stmt = db_kept(db, "COMMIT", fault);
        db->ending = db->writes;
        good = stmt != NULL && db_exec(db, stmt, fault);
        db->ending = false;
        if (good && db->writes)
            db->commits++;
    }
    if ((!keep || !good) && sqlite3_get_autocommit(db->handle) == 0) {
        Fault ignored = {0};
        db_run(db, "ROLLBACK", &ignored); /* SQLite has rolled back by itself where this fails */
    }
    db->writes = false;
    return good;
}

/* ---- opening ---- */

/* Makes the folders above `path` (0700 whatever the umask) that are not there. */
static bool folders_make(const char *path, Fault *fault)
{
    char *part = copy(path);
    bool good = true;
    for (char *s = part + 1; good && *s != '\0'; s++) {
        if (*s != '/')
            continue;
        *s = '\0';
        if (mkdir(part, 0700) == 0)
            good = chmod(part, 0700) == 0;
        else
            good = errno == EEXIST;
        if (!good)
            fault_set(fault, FAULT_LOG, "the folder %s can't be made: %s.", part, strerror(errno));
        *s = '/';
    }
    free(part);
    return good;
}

bool db_linked(const char *path, Fault *fault)
{
    struct stat info;
    return stat(path, &info) == 0 || (errno != ENOENT && errno != ELOOP) ||
           lstat(path, &info) != 0 ||
           fault_set(fault, FAULT_LOG,
                     "%s is a link to a file that is not there. Is its disk mounted? Mend the "
                     "link, or name another file.",
                     path);
}

/* Looks at what is there, and with `create` makes the file. *created: it was not there before. */
static bool file_ready(const char *path, bool create, bool *created, Fault *fault)
{
    struct stat info;
    *created = false;
    if (path[0] == '\0')
        return fault_set(fault, FAULT_LOG, "no log is named. Name one with --log FILE.");
    if (stat(path, &info) == 0) {
        if (S_ISDIR(info.st_mode))
            return fault_set(fault, FAULT_LOG,
                             "%s is a folder, and a log is a file. Name a file in it: --log "
                             "%s/water.db",
                             path, path);
        if (!S_ISREG(info.st_mode))
            return fault_set(
                fault, FAULT_LOG,
                "%s is no regular file, so it can't be a log. Name one with --log FILE.", path);
        return true;
    }
    if (errno != ENOENT)
        return fault_set(fault, FAULT_LOG, "%s can't be opened: %s.", path, strerror(errno));
    if (!db_linked(path, fault))
        return false;
    if (!create)
        return fault_set(
            fault, FAULT_LOG,
            "there is no log at %s yet. Begin one by naming a vessel (ullage vessel A1 "
            "--capacity 12), by importing, or by starting ullage without a command.",
            path);
    if (!folders_make(path, fault))
        return false;
    int fd = open(path, O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
    if (fd < 0 && errno == EEXIST)
        return true;                       /* another program was quicker */
    if (fd < 0 || fchmod(fd, 0600) != 0) { /* the umask may have taken the owner's bits */
        int why = errno;
        if (fd >= 0) {
            close(fd);
            unlink(path);
        }
        return fault_set(fault, FAULT_LOG, "%s can't be made: %s.", path, strerror(why));
    }
    close(fd);
    *created = true;
    return true;
}

void db_shut(Db *db)
{
    Fault ignored;
    db_here(db, &ignored); /* where it was moved, its entries go with it */
    db_forget(db);
    sqlite3_close(db->handle);
    db->handle = NULL;
}

/* No more than this program itself asks for ("Defense Against The Dark Arts", sqlite.org): a row of
 * another program's may be as large as it likes, and is not read. */
static void limits_set(sqlite3 *handle)
{
    static const int limits[][2] = {
        {SQLITE_LIMIT_LENGTH, 4 << 20},
        {SQLITE_LIMIT_SQL_LENGTH, 100000},
        {SQLITE_LIMIT_COLUMN, 64},
        {SQLITE_LIMIT_EXPR_DEPTH, 50},
        {SQLITE_LIMIT_COMPOUND_SELECT, 8},
        {SQLITE_LIMIT_FUNCTION_ARG, 16},
        {SQLITE_LIMIT_ATTACHED, 0},
        {SQLITE_LIMIT_VARIABLE_NUMBER, 32 * 12},
        {SQLITE_LIMIT_TRIGGER_DEPTH, 10},
        {SQLITE_LIMIT_WORKER_THREADS, 0},
        {SQLITE_LIMIT_LIKE_PATTERN_LENGTH, 64},
    };
    for (size_t i = 0; i < sizeof limits / sizeof *limits; i++)
        sqlite3_limit(handle, limits[i][0], limits[i][1]);
}

/* This program has one thread and never asks how much memory is in use: without locks and counts an
 * import takes 3 % fewer instructions. Pages are got one by one: most commands read eight, and SQLite
 * would take and touch twenty beforehand. It refuses, and all is as before, where it runs already.
 */
static void library_set(void)
{
    static bool set;
    if (set)
        return;
    set = true;
    sqlite3_config(SQLITE_CONFIG_SINGLETHREAD);
    sqlite3_config(SQLITE_CONFIG_MEMSTATUS, 0);
    sqlite3_config(SQLITE_CONFIG_PAGECACHE, NULL, 0, 0);
}

static bool handle_open(Db *db, const char *where, int flags, Fault *fault)
{
    library_set();
    const int rc = sqlite3_open_v2(where, &db->handle, flags | SQLITE_OPEN_NOMUTEX, NULL);
    if (!took(db, rc, fault)) {
        db_shut(db);
        return false;
    }
    sqlite3_extended_result_codes(db->handle, 1);
    sqlite3_busy_handler(db->handle, wait_turn, db);
    /* A log may come from anywhere: its schema gets no say in what this program runs. */
    limits_set(db->handle);
    sqlite3_progress_handler(db->handle, 100000, too_long, db);
    sqlite3_db_config(db->handle, SQLITE_DBCONFIG_DEFENSIVE, 1, NULL);
    sqlite3_db_config(db->handle, SQLITE_DBCONFIG_ENABLE_VIEW, 0, NULL);
    /* recursive_triggers: so that REPLACE, too, meets the trigger that refuses a delete. */
    int64_t ignored;
    if (!took(db,
              sqlite3_create_function(db->handle, "pass", -1, SQLITE_UTF8 | SQLITE_DIRECTONLY, NULL,
                                      pass_row, NULL, NULL),
              fault) ||
        !db_run(db,
                "PRAGMA trusted_schema=OFF; PRAGMA foreign_keys=ON; PRAGMA recursive_triggers=ON;"
                "PRAGMA cell_size_check=ON; PRAGMA temp_store=FILE; PRAGMA mmap_size=0;"
                "PRAGMA cache_size=-" DB_CACHE_KIB,
                fault) ||
        !db_number(db, "SELECT count(*) FROM sqlite_schema", 0, &ignored, fault)) {
        db_shut(db);
        return false;
    }
    return true;
}

bool db_reopen(Db *db, Fault *fault)
{
    /* Closed first: two that are open on two files share what SQLite keeps by the name. */
    db_shut(db);
    db->moved = false;
    db->owned = -1;
    return handle_open(db, db->path, SQLITE_OPEN_READWRITE, fault);
}

/* "file:" and the path with everything but plain characters escaped (SQLite, "URI filenames"). */
static void uri_make(const char *path, const char *rest, Str *uri)
{
    str_adds(uri, "file:");
    for (const unsigned char *s = (const unsigned char *)path; *s != '\0'; s++) {
        bool plain = (*s >= 'a' && *s <= 'z') || (*s >= 'A' && *s <= 'Z') ||
                     (*s >= '0' && *s <= '9') || strchr("/._-~", *s) != NULL;
        if (plain)
            str_addc(uri, (char)*s);
        else
            str_addf(uri, "%%%02X", *s);
    }
    str_adds(uri, rest);
}

/* Can an immutable view be trusted? Only where no write-ahead log holds entries beside the file. */
static bool wal_empty(const char *path)
{
    Str name = {0};
    struct stat info;
    str_addf(&name, "%s-wal", path);
    bool empty = stat(name.s, &info) != 0 || info.st_size == 0;
    str_finish(&name);
    return empty;
}

static bool open_read(Db *db, const char *path, Fault *fault)
{
    /* Open for writing although nothing will be written: the last one out then tidies the -wal and
     * -shm files away, which a read-only connection leaves lying. query_only keeps the promise. */
    if (handle_open(db, path, SQLITE_OPEN_READWRITE, fault))
        return true;
    Fault second = {0};
    if (handle_open(db, path, SQLITE_OPEN_READONLY, &second))
        return true;
    if (access(path, R_OK) == 0 && wal_empty(path)) {
        Str uri = {0};
        uri_make(path, "?immutable=1", &uri);
        bool good = handle_open(db, uri.s, SQLITE_OPEN_READONLY | SQLITE_OPEN_URI, &second);
        str_finish(&uri);
        db->immutable = good;
        return good;
    }
    return false;
}

bool db_open(Db *db, const char *path, DbMode mode, int busy_ms, Fault *fault)
{
    memset(db, 0, sizeof *db);
    bool created = false;
    db->busy_ms = busy_ms;
    db->owned = -1;
    db->path = copy(mode == DB_SCRATCH || path == NULL ? "" : path);
    db->name = copy(mode == DB_SCRATCH ? "the scratch log" : db->path);
    bool good;
    if (mode == DB_SCRATCH) {
        /* "" is a private file that is gone at close, and that spills to disk: memory stays bounded
         */
        good = handle_open(db, "", SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE, fault) &&
               db_run(db, "PRAGMA synchronous=OFF", fault);
    } else if (!file_ready(db->path, mode == DB_WRITE, &created, fault)) {
        good = false;
    } else if (mode == DB_WRITE) {
        good = handle_open(db, db->path, SQLITE_OPEN_READWRITE, fault);
    } else {
        good = open_read(db, db->path, fault);
        db->read_only = true;
        good = good && db_run(db, "PRAGMA query_only=ON", fault);
    }
    if (!good) {
        if (created)
            unlink(db->path);
        db_close(db);
    }
    return good;
}

bool db_peek(Db *db, const char *path, Fault *fault)
{
    memset(db, 0, sizeof *db);
    db->owned = -1;
    db->path = copy(path);
    db->name = copy(path);
    db->read_only = true;
    bool good = false;
    /* Beside a log that is open its index is shared, and only read; else the file is all. */
    for (int way = wal_empty(path); way < 2 && !good; way++) {
        Str uri = {0};
        uri_make(path, way == 0 ? "?readonly_shm=1" : "?immutable=1", &uri);
        good = handle_open(db, uri.s, SQLITE_OPEN_READONLY | SQLITE_OPEN_URI, fault);
        str_finish(&uri);
    }
    if (!good)
        db_close(db);
    return good;
}

void db_close(Db *db)
{
    if (db->handle != NULL)
        db_shut(db);
    free(db->path);
    free(db->name);
    *db = (Db){.failed = db->failed};
}

bool db_durable(Db *db, Fault *fault)
{
    if (db->path[0] == '\0' || db->read_only)
        return true;
    bool wal = false;
    Fault ignored = {0};
    for (int round = 0; round < 2 && !wal; round++) {
        /* First ask (no lock), then set. Where it can't be set (the file system has no shared
         * memory, another program holds the file just now) the rollback journal serves. */
        sqlite3_stmt *stmt = db_prepare(
            db, round == 0 ? "PRAGMA journal_mode" : "PRAGMA journal_mode=WAL", &ignored);
        if (stmt != NULL && db_step(db, stmt, &ignored) == DB_ROW)
            wal = text_is(db_text(stmt, 0), "wal");
        db_done(stmt);
    }
    return db_run(db, wal ? "PRAGMA synchronous=FULL" : "PRAGMA synchronous=EXTRA", fault);
}
