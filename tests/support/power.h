/* power.h - a disk that fails, and a power that goes, at the n-th thing that is written, and a
 * read or a lock that fails: an SQLite VFS around the real one, and the few calls by which the
 * store itself touches files.
 *
 * What was written since a file was last synced stands in no order on a real disk: after a cut,
 * each sector of it is there or not, by a seed. Include it in one file per test program. */
#ifndef ULLAGE_TESTS_POWER_H
#define ULLAGE_TESTS_POWER_H

#include <errno.h>
#include <fcntl.h>
#include <sqlite3.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

typedef enum {
    POWER_FULL, /* the disk is full from there on */
    POWER_ONCE, /* one thing fails, the next ones go well */
    POWER_CUT,  /* nothing after it happens, and what was not synced is there in part */
    POWER_READ, /* one look at a file of a log fails; here things are reads, sizes and locks */
    POWER_MODES
} PowerMode;

/* A write or a truncation (bytes NULL: to size `at`) since the last sync. */
typedef struct PowerWrite {
    struct PowerWrite *next;
    int64_t at;
    size_t n;
    uint8_t *bytes;
} PowerWrite;

/* A file and what of it is certain. */
typedef struct {
    char path[256];
    uint8_t *synced;
    size_t size;
    PowerWrite *first, **last;
} PowerFile;

enum { POWER_FILES = 24, SECTOR = 512 };
static PowerFile power_files[POWER_FILES];
static int64_t power_left = INT64_MAX; /* things that still go well */
static int64_t power_done;             /* things that were asked for since it was armed */
static PowerMode power_mode;
static bool power_off; /* the power is gone */
static bool power_inside;
static sqlite3_vfs power_vfs, *power_real;

typedef struct {
    sqlite3_file base;
    sqlite3_io_methods methods;
    PowerFile *about; /* NULL: a temporary file */
    sqlite3_file *real;
} PowerHandle;

/* ---- what is certain ---- */

static void power_forget(PowerFile *f)
{
    while (f->first != NULL) {
        PowerWrite *w = f->first;
        f->first = w->next;
        free(w->bytes);
        free(w);
    }
    f->last = &f->first;
}

static void power_snapshot(PowerFile *f)
{
    struct stat info;
    const int fd = open(f->path, O_RDONLY | O_CLOEXEC);
    power_forget(f);
    free(f->synced);
    f->synced = NULL;
    f->size = 0;
    if (fd < 0)
        return;
    if (fstat(fd, &info) == 0 && info.st_size > 0) {
        f->synced = malloc((size_t)info.st_size);
        const ssize_t got = pread(fd, f->synced, (size_t)info.st_size, 0);
        f->size = got > 0 ? (size_t)got : 0;
    }
    close(fd);
}

static PowerFile *power_file(const char *path)
{
    PowerFile *free_one = NULL;
    for (int i = 0; i < POWER_FILES; i++) {
        if (strcmp(power_files[i].path, path) == 0)
            return &power_files[i];
        if (free_one == NULL && power_files[i].path[0] == '\0')
            free_one = &power_files[i];
    }
    if (free_one == NULL)
        abort();
    snprintf(free_one->path, sizeof free_one->path, "%s", path);
    free_one->last = &free_one->first;
    power_snapshot(free_one); /* what is there when it is first met is taken as certain */
    return free_one;
}

static void power_note(PowerFile *f, int64_t at, const void *bytes, size_t n)
{
    PowerWrite *w = calloc(1, sizeof *w);
    w->at = at;
    w->n = n;
    if (bytes != NULL) {
        w->bytes = malloc(n + 1);
        memcpy(w->bytes, bytes, n);
    }
    *f->last = w;
    f->last = &w->next;
}

static uint64_t power_dice(uint64_t *seed)
{
    uint64_t z = *seed += UINT64_C(0x9e3779b97f4a7c15);
    z = (z ^ z >> 30) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ z >> 27) * UINT64_C(0x94d049bb133111eb);
    return z ^ z >> 31;
}

/* What the disk has of a file when the power is back: all that was synced, and of the rest sectors
 * here and there, or all of it up to some write. */
static void power_settle(PowerFile *f, uint64_t *seed)
{
    if (f->first == NULL)
        return;
    const bool in_order = power_dice(seed) % 2 == 0;
    size_t room = f->size;
    for (PowerWrite *w = f->first; w != NULL; w = w->next)
        room = (size_t)w->at + w->n > room ? (size_t)w->at + w->n : room;
    uint8_t *bytes = calloc(1, room + 1);
    size_t size = f->size;
    if (size > 0)
        memcpy(bytes, f->synced, size);
    for (PowerWrite *w = f->first; w != NULL; w = w->next) {
        if (in_order && power_dice(seed) % 8 == 0)
            break;
        if (w->bytes == NULL && (in_order || power_dice(seed) % 2 == 0)) {
            memset(bytes + w->at, 0, room - (size_t)w->at);
            size = (size_t)w->at;
        }
        for (size_t i = 0; w->bytes != NULL && i < w->n; i += SECTOR) {
            const size_t n = w->n - i < SECTOR ? w->n - i : SECTOR, end = (size_t)w->at + i + n;
            if (!in_order && power_dice(seed) % 2 == 0)
                continue;
            memcpy(bytes + w->at + i, w->bytes + i, n);
            size = end > size ? end : size;
        }
    }
    const int fd = open(f->path, O_WRONLY | O_CLOEXEC);
    if (fd >= 0) { /* it may have been deleted since */
        if (ftruncate(fd, 0) != 0 || pwrite(fd, bytes, size, 0) != (ssize_t)size)
            abort();
        close(fd);
    }
    free(bytes);
}

/* ---- things that may fail ---- */

static bool power_goes(void)
{
    power_done++;
    if (power_off)
        return false;
    if (power_left > 0) {
        power_left--;
        return true;
    }
    if (power_mode != POWER_FULL && power_mode != POWER_CUT)
        power_left = INT64_MAX;
    power_off = power_mode == POWER_CUT;
    return false;
}

static void power_arm(PowerMode mode, int64_t things)
{
    power_mode = mode;
    power_left = things;
    power_done = 0;
    power_off = false;
    for (int i = 0; i < POWER_FILES; i++) {
        power_forget(&power_files[i]);
        free(power_files[i].synced);
        power_files[i].synced = NULL;
        power_files[i].path[0] = '\0';
    }
}

/* The power is back, or the disk has room again. After a cut every handle must be closed. */
static void power_back(uint64_t seed)
{
    const bool cut = power_off;
    power_off = false;
    power_left = INT64_MAX;
    for (int i = 0; i < POWER_FILES; i++)
        if (power_files[i].path[0] != '\0' && cut)
            power_settle(&power_files[i], &seed);
}

/* Of what is written. */
static bool power_takes(void)
{
    return power_mode == POWER_READ || power_goes();
}

static int power_fault(int of_disk)
{
    return power_mode == POWER_FULL ? SQLITE_FULL : of_disk;
}

/* ---- the VFS ---- */

#define POWER_REAL(f) (((PowerHandle *)(void *)(f))->real)
#define POWER_PASS(f, call, ...) POWER_REAL(f)->pMethods->call(POWER_REAL(f), __VA_ARGS__)

static int power_write(sqlite3_file *f, const void *bytes, int n, sqlite3_int64 at)
{
    PowerHandle *h = (PowerHandle *)(void *)f;
    if (h->about == NULL)
        return POWER_PASS(f, xWrite, bytes, n, at);
    if (!power_takes())
        return power_fault(SQLITE_IOERR_WRITE);
    power_note(h->about, at, bytes, (size_t)n);
    return POWER_PASS(f, xWrite, bytes, n, at);
}
static int power_truncate(sqlite3_file *f, sqlite3_int64 size)
{
    PowerHandle *h = (PowerHandle *)(void *)f;
    if (h->about == NULL)
        return POWER_PASS(f, xTruncate, size);
    if (!power_takes())
        return power_fault(SQLITE_IOERR_TRUNCATE);
    power_note(h->about, size, NULL, 0);
    return POWER_PASS(f, xTruncate, size);
}
static int power_sync(sqlite3_file *f, int flags)
{
    PowerHandle *h = (PowerHandle *)(void *)f;
    if (h->about == NULL)
        return POWER_PASS(f, xSync, flags);
    if (!power_takes())
        return SQLITE_IOERR_FSYNC;
    power_snapshot(h->about); /* the real disk need not be waited for */
    return SQLITE_OK;
}
static int power_Close(sqlite3_file *f)
{
    return POWER_REAL(f)->pMethods->xClose(POWER_REAL(f));
}
/* Of what is read or locked. */
static bool power_tells(sqlite3_file *f)
{
    const PowerHandle *h = (PowerHandle *)(void *)f;
    return power_mode != POWER_READ || h->about == NULL || power_goes();
}
static int power_Read(sqlite3_file *f, void *b, int n, sqlite3_int64 at)
{
    return power_tells(f) ? POWER_PASS(f, xRead, b, n, at) : SQLITE_IOERR_READ;
}
static int power_FileSize(sqlite3_file *f, sqlite3_int64 *n)
{
    return power_tells(f) ? POWER_PASS(f, xFileSize, n) : SQLITE_IOERR_FSTAT;
}
static int power_Lock(sqlite3_file *f, int how)
{
    return power_tells(f) ? POWER_PASS(f, xLock, how) : SQLITE_IOERR_LOCK;
}
static int power_Unlock(sqlite3_file *f, int how)
{
    return POWER_PASS(f, xUnlock, how);
}
static int power_CheckReservedLock(sqlite3_file *f, int *out)
{
    return POWER_PASS(f, xCheckReservedLock, out);
}
static int power_FileControl(sqlite3_file *f, int op, void *about)
{
    return POWER_PASS(f, xFileControl, op, about);
}
static int power_SectorSize(sqlite3_file *f)
{
    return POWER_REAL(f)->pMethods->xSectorSize(POWER_REAL(f));
}
static int power_DeviceCharacteristics(sqlite3_file *f)
{
    (void)f;
    return 0; /* nothing is promised: sectors are written in any order */
}
static int power_ShmMap(sqlite3_file *f, int page, int size, int extend, void volatile **out)
{
    return POWER_PASS(f, xShmMap, page, size, extend, out);
}
static int power_ShmLock(sqlite3_file *f, int offset, int n, int flags)
{
    if ((flags & SQLITE_SHM_LOCK) != 0 && !power_tells(f))
        return SQLITE_IOERR_SHMLOCK;
    return POWER_PASS(f, xShmLock, offset, n, flags);
}
static void power_ShmBarrier(sqlite3_file *f)
{
    POWER_REAL(f)->pMethods->xShmBarrier(POWER_REAL(f));
}
static int power_ShmUnmap(sqlite3_file *f, int remove)
{
    return POWER_PASS(f, xShmUnmap, remove);
}

static int power_open(sqlite3_vfs *vfs, const char *name, sqlite3_file *file, int flags, int *out)
{
    PowerHandle *h = (PowerHandle *)(void *)file;
    (void)vfs;
    memset(h, 0, sizeof *h);
    h->real = (sqlite3_file *)(void *)(h + 1);
    const bool kept =
        name != NULL &&
        (flags & (SQLITE_OPEN_MAIN_DB | SQLITE_OPEN_WAL | SQLITE_OPEN_MAIN_JOURNAL)) != 0;
    if (kept)
        h->about = power_file(name);
    const int rc = power_real->xOpen(power_real, name, h->real, flags, out);
    if (h->real->pMethods == NULL)
        return rc;
    h->methods = (sqlite3_io_methods){
        .iVersion = 2,
        .xClose = power_Close,
        .xRead = power_Read,
        .xWrite = power_write,
        .xTruncate = power_truncate,
        .xSync = power_sync,
        .xFileSize = power_FileSize,
        .xLock = power_Lock,
        .xUnlock = power_Unlock,
        .xCheckReservedLock = power_CheckReservedLock,
        .xFileControl = power_FileControl,
        .xSectorSize = power_SectorSize,
        .xDeviceCharacteristics = power_DeviceCharacteristics,
        .xShmMap = power_ShmMap,
        .xShmLock = power_ShmLock,
        .xShmBarrier = power_ShmBarrier,
        .xShmUnmap = power_ShmUnmap,
    };
    h->base.pMethods = &h->methods;
    return rc;
}

static int power_delete(sqlite3_vfs *vfs, const char *name, int sync)
{
    (void)vfs;
    (void)sync;
    if (!power_takes())
        return SQLITE_IOERR_DELETE;
    power_inside = true;
    const int rc = power_real->xDelete(power_real, name, 0);
    power_inside = false;
    power_snapshot(power_file(name));
    return rc;
}

/* ---- pages ---- */

static sqlite3_pcache_methods2 power_pages;

/* Where reads fail no page is kept in memory, so that each look at one is a read. */
static void power_unpin(sqlite3_pcache *cache, sqlite3_pcache_page *page, int discard)
{
    power_pages.xUnpin(cache, page, discard != 0 || power_mode == POWER_READ);
}

/* Makes it the VFS of everything opened from now on; to be called first. */
static void power_install(void)
{
    sqlite3_config(SQLITE_CONFIG_GETPCACHE2, &power_pages);
    sqlite3_pcache_methods2 mine = power_pages;
    mine.xUnpin = power_unpin;
    sqlite3_config(SQLITE_CONFIG_PCACHE2, &mine);
    power_real = sqlite3_vfs_find(NULL);
    power_vfs = *power_real;
    power_vfs.zName = "power";
    power_vfs.szOsFile = power_real->szOsFile + (int)sizeof(PowerHandle);
    power_vfs.xOpen = power_open;
    power_vfs.xDelete = power_delete;
    power_vfs.pNext = NULL;
    sqlite3_vfs_register(&power_vfs, 1);
}

/* ---- the store's own calls ---- */

/* A full disk still takes names away, and gives a file another one. */
static bool power_refuses(void)
{
    if (power_inside || power_mode == POWER_FULL || power_takes())
        return false;
    errno = EIO;
    return true;
}

/* The file takes another name: what is certain of it goes along. */
static void power_renamed(const char *from, const char *to)
{
    PowerFile *old = power_file(from), *is = power_file(to);
    power_snapshot(is);
    if (old->first != NULL) { /* it was not synced: its new name may have anything */
        free(is->synced);
        *is = *old;
        snprintf(is->path, sizeof is->path, "%s", to);
        *old = (PowerFile){0};
    }
}

/* The path that a handle is open at; NULL: no regular file (or, with `folder`, no folder). */
static const char *power_path(int fd, bool folder, char *path, size_t size)
{
    char link[64];
    struct stat info;
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    const ssize_t n = readlink(link, path, size - 1);
    if (n <= 0 || fstat(fd, &info) != 0 || (info.st_mode & S_IFMT) != (folder ? S_IFDIR : S_IFREG))
        return NULL;
    path[n] = '\0';
    return path;
}

int fsync(int fd);
int fsync(int fd)
{
    char path[256];
    if (power_refuses())
        return -1;
    if (power_path(fd, false, path, sizeof path) != NULL)
        power_snapshot(power_file(path));
    return 0;
}

/* What the store writes itself stands at the end of the file of its machine in the shared folder.
 */
ssize_t write(int fd, const void *bytes, size_t n);
ssize_t write(int fd, const void *bytes, size_t n)
{
    char path[256];
    struct stat info;
    if (power_inside || power_path(fd, false, path, sizeof path) == NULL ||
        strstr(path, ".jsonl") == NULL)
        return (ssize_t)syscall(SYS_write, fd, bytes, n);
    if (!power_takes()) {
        errno = power_mode == POWER_FULL ? ENOSPC : EIO;
        return -1;
    }
    if (fstat(fd, &info) == 0)
        power_note(power_file(path), info.st_size, bytes, n);
    return (ssize_t)syscall(SYS_write, fd, bytes, n);
}

int renameat(int from_folder, const char *from, int to_folder, const char *to);
int renameat(int from_folder, const char *from, int to_folder, const char *to)
{
    char one[256], two[256], old[600], is[600];
    if (power_refuses())
        return -1;
    const int rc = (int)syscall(SYS_renameat2, from_folder, from, to_folder, to, 0);
    if (rc == 0 && power_path(from_folder, true, one, sizeof one) != NULL &&
        power_path(to_folder, true, two, sizeof two) != NULL) {
        snprintf(old, sizeof old, "%s/%s", one, from);
        snprintf(is, sizeof is, "%s/%s", two, to);
        power_renamed(old, is);
    }
    return rc;
}

int rename(const char *from, const char *to);
int rename(const char *from, const char *to)
{
    if (power_refuses())
        return -1;
    const int rc = (int)syscall(SYS_renameat2, AT_FDCWD, from, AT_FDCWD, to, 0);
    if (rc == 0)
        power_renamed(from, to);
    return rc;
}

int link(const char *from, const char *to);
int link(const char *from, const char *to)
{
    if (power_refuses())
        return -1;
    const int rc = linkat(AT_FDCWD, from, AT_FDCWD, to, 0);
    if (rc == 0)
        power_renamed(from, to);
    return rc;
}

int unlink(const char *path);
int unlink(const char *path)
{
    return power_refuses() ? -1 : unlinkat(AT_FDCWD, path, 0);
}

#endif
