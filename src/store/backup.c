#include "store/backup.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

/* Pages copied at once; between two rounds other programs may write. */
enum { PAGES = 512 };

static bool copy_fault(sqlite3 *copy, const char *target, int rc, Fault *fault)
{
    int system = sqlite3_system_errno(copy);
    if ((rc & 0xff) == SQLITE_FULL || system == ENOSPC || system == EDQUOT)
        return fault_set(fault, FAULT_LOG,
                         "%s: the disk is full, and no backup was made. Make room, or name a place "
                         "on another disk.",
                         target);
    return fault_set(fault, FAULT_LOG,
                     "%s: the backup could not be written (%s). No backup was made.", target,
                     system != 0 ? strerror(system) : sqlite3_errmsg(copy));
}

/* Copies into the file `part`, which is there and empty. */
static bool copy_pages(Db *db, const char *part, const char *target, Fault *fault)
{
    sqlite3 *copy = NULL;
    int rc = sqlite3_open_v2(part, &copy, SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX, NULL);
    if (rc != SQLITE_OK) {
        copy_fault(copy, target, rc, fault);
        sqlite3_close(copy);
        return false;
    }
    /* No journal beside a file that is not a backup yet; it is synced as a whole before it becomes
     * one. */
    sqlite3_exec(copy, "PRAGMA journal_mode=OFF; PRAGMA synchronous=OFF; PRAGMA cache_size=-512",
                 NULL, NULL, NULL);
    sqlite3_backup *backup = sqlite3_backup_init(copy, "main", db->handle, "main");
    do {
        rc = backup == NULL ? sqlite3_errcode(copy) : sqlite3_backup_step(backup, PAGES);
    } while (rc == SQLITE_OK);
    sqlite3_backup_finish(backup);
    if (rc != SQLITE_DONE) {
        db->failed = rc;
        if ((rc & 0xff) == SQLITE_BUSY || (rc & 0xff) == SQLITE_LOCKED ||
            (rc & 0xff) == SQLITE_CORRUPT)
            db_fault(db, rc, fault);
        else
            copy_fault(copy, target, rc, fault);
        sqlite3_close(copy);
        return false;
    }
    rc = sqlite3_close(copy);
    return rc == SQLITE_OK ||
           fault_set(fault, FAULT_LOG, "%s: the backup can't be closed.", target);
}

/* Some file systems sync no folder (EINVAL), and need not. */
static bool sync_path(const char *path, int flags)
{
    const int fd = open(path, flags | O_CLOEXEC);
    const bool good =
        fd >= 0 && (fsync(fd) == 0 || ((flags & O_DIRECTORY) != 0 && errno == EINVAL));
    const int why = errno;
    if (fd >= 0)
        close(fd);
    errno = why;
    return good;
}

static bool name_given(const char *part, const char *target, bool replace)
{
    if (replace)
        return rename(part, target) == 0;
    /* a hard link is refused where the name is taken; a rename would take it over */
    if (link(part, target) == 0) {
        unlink(part);
        return true;
    }
    const int why = errno;
    if (why != EEXIST && access(target, F_OK) != 0 && errno == ENOENT)
        return rename(part, target) == 0; /* a file system without hard links */
    errno = why;
    return false;
}

/* The finished copy takes its name: in one step, and only then is there a file of that name. */
static bool copy_named(const char *part, const char *target, bool replace, Fault *fault)
{
    Str folder = {0};
    const char *slash = strrchr(target, '/');
    if (!sync_path(part, O_RDONLY) || !name_given(part, target, replace)) {
        return fault_set(fault, FAULT_LOG, "%s: the backup could not be put there: %s.", target,
                         strerror(errno));
    }
    str_add(&folder, slash == NULL     ? text_of(".")
                     : slash == target ? text_of("/")
                                       : text_slice(target, (size_t)(slash - target)));
    const bool good = sync_path(folder.s, O_RDONLY | O_DIRECTORY);
    const int why = errno;
    str_finish(&folder);
    return good || fault_set(fault, FAULT_LOG,
                             "%s is there, but its folder could not be written to the disk (%s): "
                             "after a power cut it may be gone. Make another one, on another disk.",
                             target, strerror(why));
}

/* What a backup that was killed left behind, an hour ago or longer: another one may be at work. */
static void parts_sweep(const char *target, time_t now)
{
    const char *slash = strrchr(target, '/');
    const char *name = slash != NULL ? slash + 1 : target;
    Str folder = {0}, path = {0};
    str_add(&folder,
            slash != NULL ? text_slice(target, (size_t)(slash - target + 1)) : text_of("./"));
    DIR *dir = opendir(folder.s);
    const size_t n = strlen(name);
    for (struct dirent *entry; dir != NULL && (entry = readdir(dir)) != NULL;) {
        struct stat info;
        if (strncmp(entry->d_name, name, n) != 0 || strncmp(entry->d_name + n, ".part-", 6) != 0)
            continue;
        str_clear(&path);
        str_addf(&path, "%s%s", folder.s, entry->d_name);
        if (stat(path.s, &info) == 0 && S_ISREG(info.st_mode) && now - info.st_mtime > 3600)
            unlink(path.s);
    }
    if (dir != NULL)
        closedir(dir);
    str_finish(&folder);
    str_finish(&path);
}

bool part_begin(const char *target, Str *part, Fault *fault)
{
    str_addf(part, "%s.part-", target);
    for (int i = 0; i < 6; i++)
        str_addc(part, 'X');   /* mkstemp puts six random characters there */
    int fd = mkstemp(part->s); /* 0600 */
    if (fd < 0) {
        fault_set(fault, FAULT_LOG, "%s can't be made: %s.", target, strerror(errno));
        str_finish(part);
        return false;
    }
    struct stat info;
    if (fstat(fd, &info) == 0)
        parts_sweep(target, info.st_mtime); /* the file system's own time */
    close(fd);
    return true;
}

bool backup_begin(Db *db, const char *target, Str *part, Fault *fault)
{
    return part_begin(target, part, fault) && (copy_pages(db, part->s, target, fault) ||
                                               backup_end(part, target, false, false, fault));
}

/* What a look at the copy left beside it goes; false where some of the copy stands there yet. */
static bool beside_drop(const char *part, const char *target, bool place, Fault *fault)
{
    static const char *const beside[] = {"-wal", "-shm"};
    bool good = true;
    for (int i = 0; i < 2; i++) {
        Str path = {0};
        struct stat info;
        str_addf(&path, "%s%s", part, beside[i]);
        if (place && i == 0 && stat(path.s, &info) == 0 && info.st_size > 0)
            good = fault_set(fault, FAULT_LOG,
                             "%s: the disk did not take all of the copy, and it was not put there. "
                             "Make room, or name a place on another disk.",
                             target);
        unlink(path.s);
        str_finish(&path);
    }
    return good;
}

bool backup_end(Str *part, const char *target, bool place, bool replace, Fault *fault)
{
    const bool good = beside_drop(part->s, target, place, fault) && place &&
                      copy_named(part->s, target, replace, fault);
    if (!good)
        unlink(part->s);
    str_finish(part);
    return good;
}

bool db_backup(Db *db, const char *target, bool replace, Fault *fault)
{
    Str part = {0};
    return backup_begin(db, target, &part, fault) &&
           backup_end(&part, target, true, replace, fault);
}
