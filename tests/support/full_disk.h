/* full_disk.h - a disk that is full at the n-th write: an SQLite VFS around the real one, for
 * tests.
 *
 * Once armed, every write that would be the n-th or a later one, in any file of the process, says
 * SQLITE_FULL (as a real disk goes on doing). Include it in one file per test program. */
#ifndef ULLAGE_TESTS_FULL_DISK_H
#define ULLAGE_TESTS_FULL_DISK_H

#include <sqlite3.h>
#include <stdint.h>
#include <string.h>

typedef struct {
    sqlite3_file base;
    sqlite3_io_methods methods;
    sqlite3_file *real; /* behind this struct, in the same block */
} FullFile;

static sqlite3_vfs full_vfs;
static sqlite3_vfs *full_real;
static int64_t full_left = INT64_MAX; /* writes that still succeed */
static int64_t full_writes;           /* writes that were asked for since it was armed */

static void full_arm(int64_t writes)
{
    full_left = writes;
    full_writes = 0;
}

static sqlite3_file *full_file(sqlite3_file *file)
{
    return ((FullFile *)(void *)file)->real;
}

static int full_write(sqlite3_file *file, const void *bytes, int n, sqlite3_int64 at)
{
    full_writes++;
    if (full_left <= 0)
        return SQLITE_FULL;
    full_left--;
    return full_file(file)->pMethods->xWrite(full_file(file), bytes, n, at);
}

static int full_Close(sqlite3_file *f)
{
    return full_file(f)->pMethods->xClose(full_file(f));
}
static int full_FileSize(sqlite3_file *f, sqlite3_int64 *n)
{
    return full_file(f)->pMethods->xFileSize(full_file(f), n);
}
static int full_Read(sqlite3_file *f, void *b, int n, sqlite3_int64 at)
{
    return full_file(f)->pMethods->xRead(full_file(f), b, n, at);
}
static int full_Truncate(sqlite3_file *f, sqlite3_int64 n)
{
    return full_file(f)->pMethods->xTruncate(full_file(f), n);
}
static int full_Sync(sqlite3_file *f, int flags)
{
    return full_file(f)->pMethods->xSync(full_file(f), flags);
}
static int full_Lock(sqlite3_file *f, int lock)
{
    return full_file(f)->pMethods->xLock(full_file(f), lock);
}
static int full_Unlock(sqlite3_file *f, int lock)
{
    return full_file(f)->pMethods->xUnlock(full_file(f), lock);
}
static int full_CheckReservedLock(sqlite3_file *f, int *out)
{
    return full_file(f)->pMethods->xCheckReservedLock(full_file(f), out);
}
static int full_FileControl(sqlite3_file *f, int op, void *arg)
{
    return full_file(f)->pMethods->xFileControl(full_file(f), op, arg);
}
static int full_SectorSize(sqlite3_file *f)
{
    return full_file(f)->pMethods->xSectorSize(full_file(f));
}
static int full_DeviceCharacteristics(sqlite3_file *f)
{
    return full_file(f)->pMethods->xDeviceCharacteristics(full_file(f));
}
static int full_ShmMap(sqlite3_file *f, int page, int size, int extend, void volatile **out)
{
    return full_file(f)->pMethods->xShmMap(full_file(f), page, size, extend, out);
}
static int full_ShmLock(sqlite3_file *f, int offset, int n, int flags)
{
    return full_file(f)->pMethods->xShmLock(full_file(f), offset, n, flags);
}
static void full_ShmBarrier(sqlite3_file *f)
{
    full_file(f)->pMethods->xShmBarrier(full_file(f));
}
static int full_ShmUnmap(sqlite3_file *f, int remove)
{
    return full_file(f)->pMethods->xShmUnmap(full_file(f), remove);
}

static int full_open(sqlite3_vfs *vfs, const char *name, sqlite3_file *file, int flags, int *out)
{
    FullFile *full = (FullFile *)(void *)file;
    (void)vfs;
    full->real = (sqlite3_file *)(void *)(full + 1);
    full->base.pMethods = NULL;
    int rc = full_real->xOpen(full_real, name, full->real, flags, out);
    if (full->real->pMethods == NULL)
        return rc;
    full->methods = (sqlite3_io_methods){
        .iVersion = full->real->pMethods->iVersion < 2 ? full->real->pMethods->iVersion : 2,
        .xClose = full_Close,
        .xRead = full_Read,
        .xWrite = full_write,
        .xTruncate = full_Truncate,
        .xSync = full_Sync,
        .xFileSize = full_FileSize,
        .xLock = full_Lock,
        .xUnlock = full_Unlock,
        .xCheckReservedLock = full_CheckReservedLock,
        .xFileControl = full_FileControl,
        .xSectorSize = full_SectorSize,
        .xDeviceCharacteristics = full_DeviceCharacteristics,
        .xShmMap = full_ShmMap,
        .xShmLock = full_ShmLock,
        .xShmBarrier = full_ShmBarrier,
        .xShmUnmap = full_ShmUnmap,
    };
    full->base.pMethods = &full->methods;
    return rc;
}

/* Makes it the VFS of everything opened from now on. */
static void full_install(void)
{
    full_real = sqlite3_vfs_find(NULL);
    full_vfs = *full_real;
    full_vfs.zName = "full-disk";
    full_vfs.szOsFile = full_real->szOsFile + (int)sizeof(FullFile);
    full_vfs.xOpen = full_open;
    full_vfs.pNext = NULL;
    sqlite3_vfs_register(&full_vfs, 1);
}

#endif
