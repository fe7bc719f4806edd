/* mishap.h - a call that fails: the n-th of those by which the store asks SQLite or the system for
 * something. For a test program linked with --wrap of each name in tests/meson.build
 * (mishap_calls); SQLite's own calls are its own (power.h is for those). Include it in one file per
 * test program.
 *
 * A call that fails does nothing, and says so as the real one would: a code and its words, or -1
 * and errno. Of an error that SQLite answers by rolling back, it does so here, at every other
 * point. */
#ifndef ULLAGE_TESTS_MISHAP_H
#define ULLAGE_TESTS_MISHAP_H

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <sqlite3.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/types.h>
#include <unistd.h>

typedef enum {
    MISHAP_SQLITE, /* a call of SQLite */
    MISHAP_FILES,  /* a call that is about files, or random numbers */
    MISHAP_MEMORY, /* one for memory, SQLite's among them */
    MISHAP_KINDS
} MishapKind;

static MishapKind mishap_kind;
static int64_t mishap_left = INT64_MAX; /* calls of the kind that still go well */
static int64_t mishap_done;             /* calls of the kind since it was armed */
static bool mishap_stays;               /* it goes on failing */
static bool mishap_rolls;
static int mishap_code;  /* what SQLite says then */
static int mishap_errno; /* what the system says then */
static const char *mishap_name;
static int mishap_struck;  /* how often */
static sqlite3 *mishap_at; /* the handle that failed last, until it does well again */

static void mishap_arm(MishapKind kind, int64_t calls, bool stays)
{
    static const int codes[] = {SQLITE_IOERR_READ, SQLITE_FULL, SQLITE_BUSY, SQLITE_CORRUPT,
                                SQLITE_CANTOPEN};
    static const int numbers[] = {EIO, ENOSPC, EACCES, EMFILE};
    mishap_kind = kind;
    mishap_left = calls;
    mishap_done = 0;
    mishap_stays = stays;
    mishap_rolls = calls % 2 == 0;
    mishap_code = codes[calls % 5];
    mishap_errno = numbers[calls % 4];
    mishap_struck = 0;
    mishap_name = "";
    mishap_at = NULL;
}

static void mishap_over(void)
{
    mishap_left = INT64_MAX;
    mishap_at = NULL;
}

static bool mishap_strikes(MishapKind kind, const char *name)
{
    if (kind != mishap_kind)
        return false;
    mishap_done++;
    if (mishap_left == INT64_MAX || mishap_left-- > 0)
        return false;
    mishap_left = mishap_stays ? 0 : INT64_MAX;
    mishap_name = mishap_struck++ == 0 ? name : mishap_name;
    errno = mishap_errno;
    return true;
}

/* ---- SQLite ---- */

#define MISHAP_WRAP(type, name, parameters)                                                        \
    type __real_##name parameters;                                                                 \
    type __wrap_##name parameters;                                                                 \
    type __wrap_##name parameters

MISHAP_WRAP(int, sqlite3_exec,
            (sqlite3 * db, const char *sql, int (*row)(void *, int, char **, char **),
             void *context, char **words));

static bool mishap_of(sqlite3 *db, const char *name)
{
    if (!mishap_strikes(MISHAP_SQLITE, name)) {
        mishap_at = db == mishap_at ? NULL : mishap_at;
        return false;
    }
    const bool rolls = mishap_code == SQLITE_FULL || mishap_code == SQLITE_IOERR_READ;
    if (db != NULL && rolls && mishap_rolls && sqlite3_get_autocommit(db) == 0)
        __real_sqlite3_exec(db, "ROLLBACK", NULL, NULL, NULL);
    mishap_at = db;
    return true;
}

/* A transaction can always be taken back. */
int __wrap_sqlite3_exec(sqlite3 *db, const char *sql, int (*row)(void *, int, char **, char **),
                        void *context, char **words)
{
    return strcmp(sql, "ROLLBACK") != 0 && mishap_of(db, "exec")
               ? mishap_code
               : __real_sqlite3_exec(db, sql, row, context, words);
}

MISHAP_WRAP(int, sqlite3_prepare_v2,
            (sqlite3 * db, const char *sql, int n, sqlite3_stmt **out, const char **tail))
{
    return mishap_of(db, "prepare_v2") ? mishap_code
                                       : __real_sqlite3_prepare_v2(db, sql, n, out, tail);
}

MISHAP_WRAP(int, sqlite3_prepare_v3,
            (sqlite3 * db, const char *sql, int n, unsigned flags, sqlite3_stmt **out,
             const char **tail))
{
    return mishap_of(db, "prepare_v3") ? mishap_code
                                       : __real_sqlite3_prepare_v3(db, sql, n, flags, out, tail);
}

MISHAP_WRAP(int, sqlite3_step, (sqlite3_stmt * stmt))
{
    return mishap_of(sqlite3_db_handle(stmt), "step") ? mishap_code : __real_sqlite3_step(stmt);
}

/* As SQLite does, it gives a handle all the same, which says why. */
MISHAP_WRAP(int, sqlite3_open_v2, (const char *path, sqlite3 **db, int flags, const char *vfs))
{
    const int rc = __real_sqlite3_open_v2(path, db, flags, vfs);
    return rc == SQLITE_OK && mishap_of(*db, "open") ? mishap_code : rc;
}

static sqlite3 *mishap_target; /* of the latest backup */

MISHAP_WRAP(sqlite3_backup *, sqlite3_backup_init,
            (sqlite3 * to, const char *name, sqlite3 *from, const char *of))
{
    mishap_target = to;
    return mishap_of(to, "backup_init") ? NULL : __real_sqlite3_backup_init(to, name, from, of);
}

/* Why it failed is told by the target's handle alone. */
MISHAP_WRAP(int, sqlite3_backup_step, (sqlite3_backup * backup, int pages))
{
    return mishap_of(mishap_target, "backup_step") ? mishap_code
                                                   : __real_sqlite3_backup_step(backup, pages);
}

/* A handle that can't be closed keeps its file: somebody forgot a statement. */
MISHAP_WRAP(int, sqlite3_close, (sqlite3 * db))
{
    const int rc = __real_sqlite3_close(db);
    if (rc != SQLITE_OK)
        abort();
    return rc;
}

MISHAP_WRAP(int, sqlite3_errcode, (sqlite3 * db))
{
    return db != NULL && db == mishap_at ? mishap_code & 0xff : __real_sqlite3_errcode(db);
}

MISHAP_WRAP(const char *, sqlite3_errmsg, (sqlite3 * db))
{
    return db != NULL && db == mishap_at ? sqlite3_errstr(mishap_code) : __real_sqlite3_errmsg(db);
}

MISHAP_WRAP(int, sqlite3_system_errno, (sqlite3 * db))
{
    return db != NULL && db == mishap_at ? 0 : __real_sqlite3_system_errno(db);
}

/* ---- files ---- */

/* What the library calls them where files may be large: meson asks for that. */
#if defined(__GLIBC__) && defined(__USE_FILE_OFFSET64)
#define MISHAP_LARGE(name) name##64
#define MISHAP_PREAD_CHK __pread64_chk
#else
#define MISHAP_LARGE(name) name
#define MISHAP_PREAD_CHK __pread_chk
#endif

#define MISHAP_REAL_OF(name) __real_##name
#define MISHAP_REAL(name) MISHAP_REAL_OF(name)
#define MISHAP_WRAP_AS(type, name, parameters) MISHAP_WRAP(type, name, parameters)
#define MISHAP_FILE(type, name, parameters, arguments, bad)                                        \
    MISHAP_FILE_OF(type, name, parameters, arguments, bad)
#define MISHAP_FILE_OF(type, name, parameters, arguments, bad)                                     \
    MISHAP_WRAP(type, name, parameters)                                                            \
    {                                                                                              \
        return mishap_strikes(MISHAP_FILES, #name) ? (bad) : __real_##name arguments;              \
    }

MISHAP_WRAP_AS(int, MISHAP_LARGE(open), (const char *path, int flags, ...))
{
    va_list arguments;
    va_start(arguments, flags);
    const mode_t mode = (flags & O_CREAT) != 0 ? va_arg(arguments, mode_t) : 0;
    va_end(arguments);
    return mishap_strikes(MISHAP_FILES, "open")
               ? -1
               : MISHAP_REAL(MISHAP_LARGE(open))(path, flags, mode);
}

MISHAP_WRAP_AS(int, MISHAP_LARGE(openat), (int folder, const char *path, int flags, ...))
{
    va_list arguments;
    va_start(arguments, flags);
    const mode_t mode = (flags & O_CREAT) != 0 ? va_arg(arguments, mode_t) : 0;
    va_end(arguments);
    return mishap_strikes(MISHAP_FILES, "openat")
               ? -1
               : MISHAP_REAL(MISHAP_LARGE(openat))(folder, path, flags, mode);
}

/* The disk need not be waited for here, neither by the store nor by SQLite. */
int fsync(int fd);
int fsync(int fd)
{
    (void)fd;
    return 0;
}

int fdatasync(int fd);
int fdatasync(int fd)
{
    return fsync(fd);
}

MISHAP_WRAP(int, fsync, (int fd))
{
    (void)fd;
    return mishap_strikes(MISHAP_FILES, "fsync") ? -1 : 0;
}

MISHAP_FILE(ssize_t, read, (int fd, void *b, size_t n), (fd, b, n), -1)
MISHAP_FILE(ssize_t, MISHAP_LARGE(pread), (int fd, void *b, size_t n, off_t at), (fd, b, n, at), -1)
MISHAP_FILE(ssize_t, MISHAP_PREAD_CHK, (int fd, void *b, size_t n, off_t at, size_t all),
            (fd, b, n, at, all), -1)
MISHAP_FILE(ssize_t, write, (int fd, const void *b, size_t n), (fd, b, n), -1)
MISHAP_FILE(ssize_t, MISHAP_LARGE(pwrite), (int fd, const void *b, size_t n, off_t at),
            (fd, b, n, at), -1)
MISHAP_FILE(int, MISHAP_LARGE(ftruncate), (int fd, off_t n), (fd, n), -1)
MISHAP_FILE(int, MISHAP_LARGE(stat), (const char *path, struct stat *out), (path, out), -1)
MISHAP_FILE(int, MISHAP_LARGE(lstat), (const char *path, struct stat *out), (path, out), -1)
MISHAP_FILE(int, MISHAP_LARGE(fstat), (int fd, struct stat *out), (fd, out), -1)
MISHAP_FILE(int, MISHAP_LARGE(fstatat), (int folder, const char *path, struct stat *out, int flags),
            (folder, path, out, flags), -1)
MISHAP_FILE(int, access, (const char *path, int how), (path, how), -1)
MISHAP_FILE(int, mkdir, (const char *path, mode_t mode), (path, mode), -1)
MISHAP_FILE(int, chmod, (const char *path, mode_t mode), (path, mode), -1)
MISHAP_FILE(int, fchmod, (int fd, mode_t mode), (fd, mode), -1)
MISHAP_FILE(int, rename, (const char *from, const char *to), (from, to), -1)
MISHAP_FILE(int, renameat, (int a, const char *from, int b, const char *to), (a, from, b, to), -1)
MISHAP_FILE(int, link, (const char *from, const char *to), (from, to), -1)
MISHAP_FILE(int, unlink, (const char *path), (path), -1)
MISHAP_FILE(int, unlinkat, (int folder, const char *path, int flags), (folder, path, flags), -1)
MISHAP_FILE(int, MISHAP_LARGE(mkstemp), (char *path), (path), -1)
MISHAP_FILE(int, dup, (int fd), (fd), -1)
MISHAP_FILE(DIR *, opendir, (const char *path), (path), NULL)
MISHAP_FILE(struct dirent *, MISHAP_LARGE(readdir), (DIR * dir), (dir), NULL)
MISHAP_FILE(char *, realpath, (const char *path, char *out), (path, out), NULL)
MISHAP_FILE(FILE *, fdopen, (int fd, const char *how), (fd, how), NULL)
MISHAP_FILE(int, MISHAP_LARGE(fseeko), (FILE * file, off_t at, int from), (file, at, from), -1)
MISHAP_FILE(int, fflush, (FILE * file), (file), EOF)
MISHAP_FILE(size_t, fwrite, (const void *b, size_t size, size_t n, FILE *file), (b, size, n, file),
            0)
MISHAP_FILE(ssize_t, getrandom, (void *b, size_t n, unsigned flags), (b, n, flags), -1)

static FILE *mishap_unread; /* a stream that could not be read */

MISHAP_WRAP(size_t, fread, (void *b, size_t size, size_t n, FILE *file))
{
    if (mishap_strikes(MISHAP_FILES, "fread")) {
        mishap_unread = file;
        return 0;
    }
    return __real_fread(b, size, n, file);
}

MISHAP_WRAP(int, ferror, (FILE * file))
{
    return file == mishap_unread ? 1 : __real_ferror(file);
}

MISHAP_WRAP(int, fclose, (FILE * file))
{
    mishap_unread = file == mishap_unread ? NULL : mishap_unread;
    return __real_fclose(file);
}

/* ---- memory ---- */

static sqlite3_mem_methods mishap_memory;

static void *mishap_malloc(int n)
{
    return mishap_strikes(MISHAP_MEMORY, "SQLite's malloc") ? NULL : mishap_memory.xMalloc(n);
}

static void *mishap_realloc(void *block, int n)
{
    return mishap_strikes(MISHAP_MEMORY, "SQLite's realloc") ? NULL
                                                             : mishap_memory.xRealloc(block, n);
}

MISHAP_WRAP(void *, calloc, (size_t n, size_t size))
{
    return mishap_strikes(MISHAP_MEMORY, "calloc") ? NULL : __real_calloc(n, size);
}

MISHAP_WRAP(void *, realloc, (void *block, size_t n))
{
    return mishap_strikes(MISHAP_MEMORY, "realloc") ? NULL : __real_realloc(block, n);
}

MISHAP_WRAP(char *, strdup, (const char *s))
{
    return mishap_strikes(MISHAP_MEMORY, "strdup") ? NULL : __real_strdup(s);
}

/* To be called first. */
static void mishap_install(void)
{
    sqlite3_config(SQLITE_CONFIG_GETMALLOC, &mishap_memory);
    sqlite3_mem_methods mine = mishap_memory;
    mine.xMalloc = mishap_malloc;
    mine.xRealloc = mishap_realloc;
    sqlite3_config(SQLITE_CONFIG_MALLOC, &mine);
}

#endif
