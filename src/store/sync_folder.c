#include "store/sync_parts.h"

#include "base/crc.h"
#include "base/memory.h"
#include "store/setting.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <inttypes.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* Bytes before the place read to that must be what they were: many lines with ids of their own. */
enum { TAIL_BYTES = 4096 };

bool sync_say(Sync *s, const char *format, ...)
{
    char words[FAULT_TEXT_MAX];
    Fault clean; /* for its care about control characters */
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(words, sizeof words, format, arguments);
    va_end(arguments);
    fault_set(&clean, FAULT_REFUSED, "%s", words);
    if (s->tell.say != NULL)
        s->tell.say(s->tell.context, clean.text);
    return true;
}

/* ---- what is remembered ---- */

static void memory_print(const Memory *m, Str *out)
{
    str_clear(out);
    str_addf(out,
             "%d %" PRId64 " %" PRId64 " %" PRId64 " %" PRId64 " %" PRIx32 " %" PRId64 " %" PRIx64
             " %" PRId64 " %" PRIx64 " %" PRId64 " %" PRId64 " %s",
             KIND_END, m->size, m->changed_ns, m->mended_ns, m->offset, m->tail, m->before.entries,
             m->before.sum, m->all.entries, m->all.sum, m->bad, m->ahead,
             m->machine.s[0] != '\0' ? m->machine.s : "-");
}

/* What a program that knew fewer kinds remembers is not enough. */
bool sync_memory_read(const char *text, Memory *m)
{
    int kinds;
    char machine[MACHINE_DIGITS + 1];
    *m = (Memory){0};
    const int n = sscanf(text,
                         "%d %" SCNd64 " %" SCNd64 " %" SCNd64 " %" SCNd64 " %" SCNx32 " %" SCNd64
                         " %" SCNx64 " %" SCNd64 " %" SCNx64 " %" SCNd64 " %" SCNd64 " %12s",
                         &kinds, &m->size, &m->changed_ns, &m->mended_ns, &m->offset, &m->tail,
                         &m->before.entries, &m->before.sum, &m->all.entries, &m->all.sum, &m->bad,
                         &m->ahead, machine);
    if (n != 13 || kinds != KIND_END) {
        *m = (Memory){0};
        return false;
    }
    machine_read(text_of(machine), &m->machine);
    return true;
}

bool sync_memory_store(Sync *s, const char *name, const Memory *m, Fault *fault)
{
    Str key = {0}, value = {0};
    if (name != NULL)
        str_addf(&key, "sync.file.%s", name);
    else
        str_adds(&key, "sync.own");
    memory_print(m, &value);
    const bool good = setting_set(&s->log->db, key.s, value.s, fault);
    str_finish(&key);
    str_finish(&value);
    return good;
}

static int64_t ns_of(struct timespec t)
{
    return (int64_t)t.tv_sec * 1000000000 + t.tv_nsec;
}

void sync_memory_stat(Memory *m, const struct stat *info)
{
    m->size = info->st_size;
    m->changed_ns = ns_of(info->st_mtim);
    m->mended_ns = ns_of(info->st_ctim);
}

bool sync_memory_fits(const Memory *m, const struct stat *info)
{
    return m->size == info->st_size && m->changed_ns == ns_of(info->st_mtim) &&
           m->mended_ns == ns_of(info->st_ctim);
}

bool sync_tail_of(int fd, int64_t offset, uint32_t *tail)
{
    char bytes[TAIL_BYTES];
    const size_t n = offset < TAIL_BYTES ? (size_t)offset : TAIL_BYTES;
    errno = 0;
    if (pread(fd, bytes, n, offset - (int64_t)n) != (ssize_t)n)
        return false;
    *tail = crc32c(0, bytes, n);
    return true;
}

/* ---- the folder ---- */

int sync_file_open(const Sync *s, const char *name, struct stat *info)
{
    const int fd = openat(s->folder, name, O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC);
    if (fd < 0) {
        errno = errno == ELOOP ? ENOENT : errno;
        return -1;
    }
    errno = ENOENT; /* for what is no file */
    if (fstat(fd, info) == 0 && S_ISREG(info->st_mode))
        return fd;
    const int why = errno;
    close(fd);
    errno = why;
    return -1;
}

/* Whatever a synchroniser made of a name, this stays in it. A name with a dot in front is a file
 * that is not finished. */
static bool is_ours(const char *name)
{
    return name[0] != '.' && strstr(name, ".jsonl") != NULL;
}

static int file_order(const void *a, const void *b)
{
    return strcmp(((const File *)a)->name, ((const File *)b)->name);
}

static bool file_listed(Sync *s, const char *name)
{
    struct stat info;
    if (!is_ours(name))
        return true;
    if (fstatat(s->folder, name, &info, AT_SYMLINK_NOFOLLOW) != 0)
        return errno == ENOENT;
    if (!S_ISREG(info.st_mode))
        return true;
    s->files = memory_resize(s->files, (size_t)(s->file_count + 1) * sizeof *s->files);
    File *f = &s->files[s->file_count++];
    *f = (File){.name = strdup(name), .unread = true};
    if (f->name == NULL)
        memory_exhausted();
    sync_memory_stat(&f->memory, &info);
    return true;
}

/* A file that is not listed counts as gone, and what it held would be written anew: so a folder
 * that can't be read to its end is not read. */
bool sync_folder_list(Sync *s, Fault *fault)
{
    DIR *dir = opendir(s->path.s);
    bool good = dir != NULL, end = false;
    while (good && !end) {
        errno = 0;
        const struct dirent *entry = readdir(dir);
        end = entry == NULL;
        good = end ? errno == 0 : file_listed(s, entry->d_name);
    }
    const int why = errno;
    if (dir != NULL)
        closedir(dir);
    if (s->file_count > 0)
        qsort(s->files, (size_t)s->file_count, sizeof *s->files, file_order);
    return good ||
           fault_set(fault, FAULT_REFUSED, "the folder %s can't be read: %s. Nothing was changed.",
                     s->path.s, strerror(why));
}

bool sync_folder_open(Sync *s, const char *folder, Fault *fault)
{
    struct stat log = {0}, here;
    char *real = realpath(folder, NULL);
    s->folder = real != NULL ? open(real, O_RDONLY | O_DIRECTORY | O_CLOEXEC) : -1;
    if (s->folder < 0) {
        fault_set(fault, FAULT_REFUSED,
                  "the folder %s can't be opened: %s. Is its disk there? Nothing was changed.",
                  folder, strerror(errno));
        free(real);
        return false;
    }
    str_adds(&s->path, real);
    free(real);
    char *copy = realpath(s->log->db.path, NULL);
    if (copy != NULL) {
        *(strrchr(copy, '/') + (strrchr(copy, '/') == copy)) = '\0';
        const bool inside = stat(copy, &log) == 0 && fstat(s->folder, &here) == 0 &&
                            log.st_dev == here.st_dev && log.st_ino == here.st_ino;
        free(copy);
        return !inside || fault_set(fault, FAULT_REFUSED,
                                    "the log itself lies in %s. What carries that folder to other "
                                    "machines would damage it: name another folder.",
                                    s->path.s);
    }
    return true;
}
