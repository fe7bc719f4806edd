/* A backup in the place of the log. A log that SQLite can still open is written over through
 * SQLite's backup API, in one transaction: boards that have it open see it like any other change.
 * One that it can't open is moved aside. Either way what was there is kept under a name of its
 * own. */
#include "store/backup.h"
#include "store/inside.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* All pages in one step, so in one transaction; who writes is waited for as everywhere. */
static bool pages_over(Db *to, Db *from, Fault *fault)
{
    sqlite3_backup *backup = sqlite3_backup_init(to->handle, "main", from->handle, "main");
    const int rc = backup == NULL ? sqlite3_errcode(to->handle) : sqlite3_backup_step(backup, -1);
    if (backup != NULL)
        sqlite3_backup_finish(backup);
    to->failed = rc == SQLITE_DONE ? SQLITE_OK : rc;
    return rc == SQLITE_DONE || db_fault(to, rc, fault);
}

/* Moves what belongs to a log: the files beside it. */
static bool move_beside(const char *path, const char *kept, Fault *fault)
{
    static const char *const parts[] = {"-wal", "-shm", "-journal"};
    bool good = true;
    for (size_t i = 0; good && i < sizeof parts / sizeof *parts; i++) {
        Str from = {0}, to = {0};
        str_addf(&from, "%s%s", path, parts[i]);
        str_addf(&to, "%s%s", kept, parts[i]);
        good = rename(from.s, to.s) == 0 || errno == ENOENT ||
               fault_set(fault, FAULT_LOG, "%s can't be moved to %s: %s. Nothing was changed.",
                         from.s, to.s, strerror(errno));
        str_finish(&from);
        str_finish(&to);
    }
    return good;
}

static bool is_same(const char *a, const char *b)
{
    struct stat one, two;
    return stat(a, &one) == 0 && stat(b, &two) == 0 && one.st_dev == two.st_dev &&
           one.st_ino == two.st_ino;
}

/* One name more for it, or another one; never that of an older one that is kept. */
static bool keep_named(const char *path, const char *kept, Fault *fault)
{
    return link(path, kept) == 0 || (errno != EEXIST && rename(path, kept) == 0) ||
           fault_set(fault, FAULT_LOG, "%s can't be kept as %s: %s. Nothing was changed.", path,
                     kept, strerror(errno));
}

/* What was kept is the log again. */
static bool keep_undone(const char *path, const char *kept, Fault *fault)
{
    const bool back = move_beside(kept, path, fault) &&
                      (is_same(path, kept) ? unlink(kept) == 0 : rename(kept, path) == 0);
    return back || fault_set(fault, FAULT_LOG,
                             "%s could not be put back to its place: all of the log that was there "
                             "is now in it and the files beside it. Rename them to %s.",
                             kept, path);
}

/* In the place of a file that SQLite can't open. The new one is whole before the old one goes: a
 * disk that is full takes nothing away. */
static bool put_instead(Db *from, const char *path, const char *kept, Fault *fault)
{
    Str part = {0};
    if (!backup_begin(from, path, &part, fault))
        return false;
    const bool named = keep_named(path, kept, fault);
    const bool moved = named && move_beside(path, kept, fault);
    if (backup_end(&part, path, moved, true, fault))
        return true;
    if (moved && access(path, F_OK) == 0 && !is_same(path, kept))
        return fault_suffix(fault, " What was there before is %s.", kept); /* it has its name */
    if (named)
        keep_undone(path, kept, fault);
    return false;
}

/* "water.db-replaced-2026-11-26T104039": no colon, so that every file system takes it. */
static void kept_name(const char *path, Moment now, Str *kept)
{
    char stamp[48];
    size_t n = 0;
    moment_print_utc(now, stamp);
    for (const char *c = stamp; *c != '\0' && *c != '.' && *c != 'Z'; c++)
        if (*c != ':')
            stamp[n++] = *c;
    stamp[n] = '\0';
    str_addf(kept, "%s-replaced-%s", path, stamp);
    for (int i = 2; access(kept->s, F_OK) == 0; i++) {
        str_clear(kept);
        str_addf(kept, "%s-replaced-%s-%d", path, stamp, i);
    }
}

/* Is it of no use to SQLite, by what it said: no reason to keep a hand off it. */
static bool past_opening(int rc)
{
    return (rc & 0xff) == SQLITE_CORRUPT || (rc & 0xff) == SQLITE_NOTADB ||
           rc == SQLITE_IOERR_READ || rc == SQLITE_IOERR_SHORT_READ;
}

/* Is it certain that nothing was written? */
static bool untouched(int rc)
{
    return (rc & 0xff) == SQLITE_FULL || (rc & 0xff) == SQLITE_BUSY ||
           (rc & 0xff) == SQLITE_LOCKED || (rc & 0xff) == SQLITE_READONLY;
}

static bool put_over(Db *from, const char *path, Moment now, Str *kept, Fault *fault)
{
    Db to;
    Fault why = {0};
    kept_name(path, now, kept);
    bool good = db_open(&to, path, DB_WRITE, LOG_BUSY_MS, &why);
    const bool open = good;
    good = good && db_backup(&to, kept->s, false, &why);
    const bool past = !good && past_opening(to.failed);
    if (!good && !past)
        *fault = why; /* no room to keep it, busy, not permitted: no reason to touch it */
    if (good && !pages_over(&to, from, fault)) {
        good = false;
        if (untouched(to.failed))
            unlink(kept->s); /* a copy of what is there anyway */
        else
            fault_suffix(fault, " A copy of the log as it was is %s.", kept->s);
    }
    if (open)
        db_close(&to);
    if (past)
        return put_instead(from, path, kept->s, fault);
    return good || fault_suffix(fault, " The log is as it was.");
}

bool log_restore(const char *path, const char *backup, Moment now, Str *kept, Fault *fault)
{
    if (!db_linked(path, fault) || !db_linked(backup, fault))
        return false;
    if (is_same(path, backup))
        return fault_set(fault, FAULT_REFUSED, "%s is the log itself. Name a backup of it.",
                         backup);
    if (access(backup, F_OK) != 0)
        return fault_set(fault, FAULT_LOG, "%s can't be put back: %s. Name the file of a backup.",
                         backup, strerror(errno));
    Log *from = log_open(backup, LOG_READ, fault);
    if (from == NULL)
        return false;
    bool wrong, good = log_proved(from, &wrong, fault);
    if (!good && wrong)
        fault_set(fault, FAULT_LOG,
                  "%s is not sound, and was not put in the place of the log. See ullage --log %s "
                  "verify.",
                  backup, backup);
    else if (!good)
        fault_suffix(fault, " It was not put in the place of the log.");
    else
        good = access(path, F_OK) == 0 ? put_over(&from->db, path, now, kept, fault)
                                       : db_backup(&from->db, path, false, fault);
    log_close(from);
    return good;
}
