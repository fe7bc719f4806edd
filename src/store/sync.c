#include "store/sync.h"

#include "base/crc.h"
#include "base/memory.h"
#include "model/field.h"
#include "store/entry.h"
#include "store/intake.h"
#include "store/lines.h"
#include "store/setting.h"
#include "store/sync_line.h"
#include "store/unsent.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <inttypes.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/random.h>
#include <sys/stat.h>
#include <unistd.h>

/* 2026-11-01T00:00:00Z. A clock before it is wrong: this program was not there yet. */
#define CLOCK_BORN ((Moment){INT64_C(1793491200000)})
/* How often a line says that this machine is there, and what it has seen, where nothing else is to
 * be written. */
#define SEEN_EVERY_MS MS_PER_DAY
/* Bytes before the place read to that must be what they were: many lines with ids of their own. */
enum { TAIL_BYTES = 4096, WRITE_BYTES = 65536 };

/* What is remembered of a file. Only what the bytes prove is believed: size and times serve to tell
 * that there is nothing to look at. */
typedef struct {
    int64_t size, changed_ns, mended_ns;
    int64_t offset;    /* read to here; before the first line that waits */
    uint32_t tail;     /* CRC-32C of the TAIL_BYTES before */
    Tally before, all; /* entries before the offset; in the whole file */
    int64_t bad, ahead;
    Machine machine; /* "": not known */
} Memory;

typedef struct {
    char *name;
    Memory memory;
    bool known, unread, own;
} File;

typedef struct {
    Log *log;
    int folder;
    Str path; /* of the folder */
    Moment now, heard;
    SyncTell tell;
    void *context;
    SyncCount *count;
    Machine machine;
    Str own_name;
    Memory own;
    Str own_stored; /* the text of what is stored of it */
    bool whole;     /* every file is read from its beginning; what is in none is written */
    bool anew;      /* this machine needs another name */
    bool adopted;   /* its file was longer than stored, by its own lines */
    File *files;
    int file_count;
} Sync;

static bool say(Sync *s, const char *format, ...) __attribute__((format(printf, 2, 3)));
static bool say(Sync *s, const char *format, ...)
{
    char words[FAULT_TEXT_MAX];
    Fault clean; /* for its care about control characters */
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(words, sizeof words, format, arguments);
    va_end(arguments);
    fault_set(&clean, FAULT_REFUSED, "%s", words);
    if (s->tell != NULL) {
        s->tell(s->context, clean.text);
    }
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
static bool memory_read(const char *text, Memory *m)
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

static bool memory_store(Sync *s, const char *name, const Memory *m, Fault *fault)
{
    Str key = {0}, value = {0};
    if (name != NULL) {
        str_addf(&key, "sync.file.%s", name);
    } else {
        str_adds(&key, "sync.own");
    }
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

static void memory_stat(Memory *m, const struct stat *info)
{
    m->size = info->st_size;
    m->changed_ns = ns_of(info->st_mtim);
    m->mended_ns = ns_of(info->st_ctim);
}

static bool memory_fits(const Memory *m, const struct stat *info)
{
    return m->size == info->st_size && m->changed_ns == ns_of(info->st_mtim) &&
           m->mended_ns == ns_of(info->st_ctim);
}

/* CRC-32C of the bytes before `offset`. */
static bool tail_of(int fd, int64_t offset, uint32_t *tail)
{
    char bytes[TAIL_BYTES];
    const size_t n = offset < TAIL_BYTES ? (size_t)offset : TAIL_BYTES;
    if (pread(fd, bytes, n, offset - (int64_t)n) != (ssize_t)n) {
        return false;
    }
    *tail = crc32c(0, bytes, n);
    return true;
}

/* ---- the folder ---- */

static int file_open(const Sync *s, const char *name, struct stat *info)
{
    const int fd = openat(s->folder, name, O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC);
    if (fd >= 0 && (fstat(fd, info) != 0 || !S_ISREG(info->st_mode))) {
        close(fd);
        return -1;
    }
    return fd;
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

static bool folder_list(Sync *s, Fault *fault)
{
    DIR *dir = opendir(s->path.s);
    if (dir == NULL) {
        return fault_set(fault, FAULT_REFUSED, "the folder %s can't be read: %s.", s->path.s,
                         strerror(errno));
    }
    for (struct dirent *entry; (entry = readdir(dir)) != NULL;) {
        struct stat info;
        if (!is_ours(entry->d_name) ||
            fstatat(s->folder, entry->d_name, &info, AT_SYMLINK_NOFOLLOW) != 0 ||
            !S_ISREG(info.st_mode)) {
            continue;
        }
        s->files = memory_resize(s->files, (size_t)(s->file_count + 1) * sizeof *s->files);
        File *f = &s->files[s->file_count++];
        *f = (File){.name = strdup(entry->d_name), .unread = true};
        if (f->name == NULL) {
            memory_exhausted();
        }
        memory_stat(&f->memory, &info);
    }
    closedir(dir);
    if (s->file_count > 0) {
        qsort(s->files, (size_t)s->file_count, sizeof *s->files, file_order);
    }
    return true;
}

static bool folder_open(Sync *s, const char *folder, Fault *fault)
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

/* ---- the file of this machine ---- */

static bool entry_is_here(Log *log, const Event *e, bool *here, Fault *fault)
{
    Event there;
    const Spot spot = spot_of(e);
    if (!entry_read(log, &spot, here, &there, fault)) {
        return log_may_pass(log); /* it is here, and can't be read */
    }
    *here = *here && event_equal(&there, e);
    return true;
}

/* What stands behind the place written to: lines of this log, that a kill kept from being
 * remembered? */
static bool own_adopt(Sync *s, int fd, const struct stat *info, bool *mine, Fault *fault)
{
    const int copy = dup(fd);
    FILE *file = copy >= 0 ? fdopen(copy, "r") : NULL;
    SyncLine *line = memory_get(sizeof *line);
    Lines lines;
    Text text;
    Fault why = {0};
    bool end = file == NULL, good = true;
    *mine = file != NULL && fseeko(file, s->own.offset, SEEK_SET) == 0;
    lines_init(&lines, file);
    while (good && *mine && !end) {
        if (!lines_next(&lines, &text, &end, &why) || end || lines.cut ||
            !sync_line_read(&s->log->json, text, line, &why)) {
            continue; /* torn */
        }
        if (line->type == SYNC_ENTRY) {
            good = entry_is_here(s->log, &line->e, mine, fault);
            tally_add(&s->own.all, &line->e.id, event_seal(&line->e));
        }
    }
    lines_finish(&lines);
    free(line);
    if (file != NULL) {
        fclose(file);
    }
    memory_stat(&s->own, info);
    s->own.offset = info->st_size;
    s->adopted = good && *mine && tail_of(fd, s->own.offset, &s->own.tail);
    return good;
}

static bool own_begins(const Sync *s, int fd)
{
    Str header = {0};
    char bytes[128];
    sync_line_header(&s->machine, &header);
    const bool same = pread(fd, bytes, header.n, 0) == (ssize_t)header.n &&
                      memcmp(bytes, header.s, header.n) == 0;
    str_finish(&header);
    return same;
}

/* Is the file what this log left there? */
static bool own_check(Sync *s, Fault *fault)
{
    struct stat info;
    uint32_t tail;
    const bool known = s->own.offset > 0;
    const int fd = file_open(s, s->own_name.s, &info);
    if (fd < 0) {
        s->anew = known;
        return !known || say(s,
                             "The file %s is gone from %s. What no other file there holds is "
                             "written anew.",
                             s->own_name.s, s->path.s);
    }
    bool good = true, mine = true;
    if (!memory_fits(&s->own, &info)) {
        mine = info.st_size >= s->own.offset && own_begins(s, fd) &&
               tail_of(fd, s->own.offset, &tail) && (!known || tail == s->own.tail);
        if (mine && info.st_size > s->own.offset) {
            good = own_adopt(s, fd, &info, &mine, fault);
        }
    }
    close(fd);
    s->anew = !mine;
    if (good && !mine) {
        say(s,
            "%s is not as this log left it: the log was put back to an older copy, or there is a "
            "copy of it on another machine. What the file holds is taken in, and this log goes on "
            "under another name.",
            s->own_name.s);
    }
    return good;
}

/* ---- a look at everything, which writes nothing ---- */

static bool file_look(Sync *s, File *f, Fault *fault)
{
    Str key = {0}, value = {0};
    Memory was;
    struct stat info;
    uint32_t tail;
    const Memory is = f->memory;
    f->own = strcmp(f->name, s->own_name.s) == 0;
    str_addf(&key, "sync.file.%s", f->name);
    const bool good = setting_get(&s->log->db, key.s, &value, &f->known, fault);
    if (good && f->known) {
        f->known = memory_read(value.s, &was);
    }
    str_finish(&key);
    str_finish(&value);
    if (!good || !f->known) {
        return good;
    }
    f->memory = was;
    f->unread = was.ahead > 0 || was.size != is.size || was.changed_ns != is.changed_ns ||
                was.mended_ns != is.mended_ns;
    if (f->unread) {
        const int fd = file_open(s, f->name, &info);
        if (fd < 0 || info.st_size < was.offset || !tail_of(fd, was.offset, &tail) ||
            tail != was.tail) {
            f->memory = (Memory){0}; /* shorter, or another one: what it held may be nowhere now */
            s->whole = true;
        }
        if (fd >= 0) {
            close(fd);
        }
    }
    return true;
}

/* A file that was read and is gone: what it held may be nowhere now. */
static bool gone_look(Sync *s, Fault *fault)
{
    sqlite3_stmt *stmt = db_kept(
        &s->log->db, "SELECT substr(name,11) FROM setting WHERE name GLOB 'sync.file.*'", fault);
    DbStep step = DB_BAD;
    while (stmt != NULL && (step = db_step(&s->log->db, stmt, fault)) == DB_ROW) {
        bool there = false;
        for (int i = 0; i < s->file_count && !there; i++) {
            there = text_is(db_text(stmt, 0), s->files[i].name);
        }
        s->whole = s->whole || !there;
    }
    return step == DB_END;
}

static void own_named(Sync *s)
{
    str_clear(&s->own_name);
    str_addf(&s->own_name, "ullage-%s.jsonl", s->machine.s);
}

static bool settings_read(Sync *s, Fault *fault)
{
    Str value = {0};
    bool there, any, all, good = setting_get(&s->log->db, "sync.machine", &value, &there, fault);
    s->anew = !there || !machine_read(text_of(value.s), &s->machine);
    good = good && setting_get(&s->log->db, "sync.folder", &value, &there, fault);
    s->whole = !there || strcmp(value.s, s->path.s) != 0;
    const bool moved = s->whole;
    good = good && setting_get(&s->log->db, "sync.own", &s->own_stored, &there, fault) &&
           unsent_look(s->log, &any, &all, fault);
    if (good && !moved && there) {
        memory_read(s->own_stored.s, &s->own);
    }
    s->whole = s->whole || !good || all;
    str_finish(&value);
    own_named(s);
    return good;
}

static bool look(Sync *s, Fault *fault)
{
    if (!log_begin(s->log, false, fault)) {
        return false;
    }
    bool good = settings_read(s, fault) && (s->anew || own_check(s, fault));
    for (int i = 0; good && i < s->file_count; i++) {
        good = file_look(s, &s->files[i], fault);
    }
    good = good && gone_look(s, fault);
    s->whole = s->whole || s->anew;
    return db_end(&s->log->db, good, fault) && good;
}

/* ---- beginning anew ---- */

static bool machine_new(Sync *s, Fault *fault)
{
    uint8_t random[MACHINE_DIGITS / 2];
    Str was = {0};
    if (s->machine.s[0] != '\0') {
        str_addf(&was, "sync.was.%s", s->machine.s);
    }
    bool good = was.n == 0 || setting_set(&s->log->db, was.s, "", fault);
    str_finish(&was);
    if (getrandom(random, sizeof random, 0) != (ssize_t)sizeof random) {
        return fault_set(fault, FAULT_LOG, "the system gives no random numbers: %s.",
                         strerror(errno));
    }
    for (size_t i = 0; i < sizeof random; i++) {
        snprintf(s->machine.s + 2 * i, 3, "%02x", random[i]);
    }
    s->own = (Memory){0};
    own_named(s);
    return good && setting_set(&s->log->db, "sync.machine", s->machine.s, fault) &&
           setting_set(&s->log->db, "sync.own", NULL, fault) &&
           setting_get(&s->log->db, "sync.own", &s->own_stored, &good, fault);
}

/* Nothing that was remembered holds; what no file has is written at the end, also if a kill comes
 * in between. */
static bool begin_whole(Sync *s, Fault *fault)
{
    Db *db = &s->log->db;
    if (!db_run(db,
                "CREATE TEMP TABLE IF NOT EXISTS folder_has(at INTEGER, id BLOB,"
                " PRIMARY KEY(at,id)) WITHOUT ROWID; DELETE FROM temp.folder_has",
                fault) ||
        !log_begin(s->log, true, fault)) {
        return false;
    }
    const bool good = (!s->anew || machine_new(s, fault)) &&
                      setting_set(db, "sync.folder", s->path.s, fault) &&
                      db_run(db, "DELETE FROM setting WHERE name GLOB 'sync.file.*'", fault) &&
                      unsent_note_all(s->log, fault);
    for (int i = 0; i < s->file_count; i++) {
        s->files[i].memory = (Memory){0};
        s->files[i].unread = true;
        s->files[i].known = false;
        s->files[i].own = strcmp(s->files[i].name, s->own_name.s) == 0;
    }
    return db_end(db, good, fault) && good;
}

/* ---- reading the others ---- */

typedef struct {
    Sync *s;
    File *f;
    Intake intake;
    Memory memory; /* as it will be */
    SyncLine line;
    int64_t at;       /* where the line begins */
    int64_t first;    /* where the first line that waits begins, -1: none */
    Fault why;        /* and the reason */
    bool others_seen; /* somebody has seen more of this machine than it wrote */
} Taking;

static void wait_on(Taking *r, int64_t *kind)
{
    ++*kind;
    if (r->first < 0) {
        r->first = r->at;
        r->memory.before = r->memory.all;
    }
}

static bool is_struck(Log *log, const Uuid *id, bool *struck, Fault *fault)
{
    sqlite3_stmt *stmt = db_kept(&log->db, "SELECT 1 FROM void_of WHERE target=?1", fault);
    if (stmt == NULL) {
        return false;
    }
    db_bind_blob(stmt, 1, id->b, sizeof id->b);
    const DbStep step = db_step(&log->db, stmt, fault);
    *struck = step == DB_ROW;
    sqlite3_reset(stmt);
    return step != DB_BAD;
}

static bool folder_note(Log *log, const Event *e, Fault *fault)
{
    sqlite3_stmt *stmt =
        db_kept(&log->db, "INSERT OR IGNORE INTO temp.folder_has VALUES(?1,?2)", fault);
    if (stmt == NULL) {
        return false;
    }
    db_bind_number(stmt, 1, e->at.ms);
    db_bind_blob(stmt, 2, e->id.b, sizeof e->id.b);
    return db_exec(&log->db, stmt, fault);
}

/* An entry of a clock that was ahead waits, unless somebody took it back. */
static bool entry_in(Taking *r, const Event *e, Fault *fault)
{
    Sync *s = r->s;
    bool struck = e->kind == KIND_VOID || s->now.ms < CLOCK_BORN.ms;
    char at[48];
    if (clock_ahead(e->at, s->now) && !struck && !is_struck(s->log, &e->id, &struck, fault)) {
        return false;
    }
    if (clock_ahead(e->at, s->now) && !struck) {
        fault_set(r->first < 0 ? &r->why : NULL, FAULT_REFUSED,
                  "%s is in the future: one of the clocks is wrong.",
                  moment_print_zone(e->at, e->zone, at));
        wait_on(r, &r->memory.ahead);
        return true;
    }
    if (!intake_put(&r->intake, e, fault)) {
        if (fault->kind != FAULT_REFUSED && !log_may_pass(s->log)) {
            return false;
        }
        r->why = r->first < 0 ? *fault : r->why;
        wait_on(r, &r->memory.bad);
        return true;
    }
    tally_add(&r->memory.all, &e->id, event_seal(e));
    return !s->whole || folder_note(s->log, e, fault);
}

static bool line_in(Taking *r, Text text, Fault *fault)
{
    SyncLine *line = &r->line;
    Sync *s = r->s;
    Fault why = {0};
    if (!sync_line_read(&s->log->json, text, line, &why)) {
        if (why.kind == FAULT_LOG) {
            *fault = why;
            return false;
        }
        if (r->first < 0) {
            r->why = why;
        }
        wait_on(r, &r->memory.bad);
        return true;
    }
    if (line->type == SYNC_HEADER && r->memory.machine.s[0] == '\0') {
        r->memory.machine = line->machine;
    }
    for (int i = 0; line->type == SYNC_SEEN && i < line->seen_count; i++) {
        const Seen *seen = &line->seen[i];
        r->others_seen =
            r->others_seen || (!s->anew && strcmp(seen->machine.s, s->machine.s) == 0 &&
                               seen->tally.entries > s->own.all.entries);
    }
    return line->type != SYNC_ENTRY || entry_in(r, &line->e, fault);
}

/* The first line is not ours: nothing of the file is. */
static bool stranger(const Taking *r)
{
    return r->memory.machine.s[0] == '\0';
}

static bool lines_in(Taking *r, FILE *file, Fault *fault)
{
    Lines lines;
    const int64_t from = r->memory.offset;
    bool end = false, good = true;
    r->first = -1;
    r->memory.bad = r->memory.ahead = 0;
    r->memory.all = r->memory.before;
    lines_init(&lines, file);
    while (good && !end) {
        Text text;
        Fault why = {0};
        r->at = from + lines.bytes - (int64_t)(lines.end - lines.start);
        if (!lines_next(&lines, &text, &end, &why)) {
            r->why = r->first < 0 ? why : r->why;
            wait_on(r, &r->memory.bad);
            end = ferror(file) != 0;
        } else if (end || lines.cut) {
            break;
        } else if (text_trim(text).n > 0) {
            good = line_in(r, text, fault);
        }
        end = end || (good && stranger(r));
    }
    r->memory.offset = r->first >= 0 ? r->first : r->at;
    if (r->first < 0) {
        r->memory.before = r->memory.all;
    }
    lines_finish(&lines);
    return good;
}

static bool heard_store(Taking *r, Fault *fault)
{
    Str key = {0};
    char text[24];
    bool good = true;
    if (!stranger(r) && !r->f->own && r->line.at.ms > 0) {
        str_addf(&key, "sync.heard.%s", r->memory.machine.s);
        snprintf(text, sizeof text, "%" PRId64, r->line.at.ms);
        good = setting_set(&r->s->log->db, key.s, text, fault);
        str_finish(&key);
    }
    return good;
}

static void tell_file(Taking *r, const Memory *was)
{
    const char *name = r->f->name;
    const int64_t waiting = r->memory.bad + r->memory.ahead;
    if (stranger(r) && waiting > 0) {
        say(r->s, "%s is no file of this program, or its first line is damaged: it was not read.",
            name);
    } else if (r->memory.ahead > 0 || (waiting > 0 && r->memory.bad != was->bad)) {
        say(r->s, "%s, at byte %" PRId64 ": %s %" PRId64 " line%s of it wait%s.", name, r->first,
            r->why.text, waiting, waiting == 1 ? "" : "s", waiting == 1 ? "s" : "");
    }
    if (r->others_seen) {
        say(r->s,
            "%s has seen more of this machine than its log holds: it was put back to an older "
            "copy. What is missing comes back when that machine syncs again.",
            name);
    }
    r->s->count->waiting += stranger(r) ? 0 : waiting;
}

/* One file in one transaction: what is taken in and how far it was read. */
static bool file_taken(Taking *r, FILE *file, const struct stat *info, Fault *fault)
{
    Sync *s = r->s;
    if (!intake_begin(&r->intake, s->log, fault)) {
        return false;
    }
    r->intake.unsent = false; /* it comes from there */
    bool good =
        lines_in(r, file, fault) && tail_of(fileno(file), r->memory.offset, &r->memory.tail);
    memory_stat(&r->memory, info);
    good = good && (r->f->own || memory_store(s, r->f->name, &r->memory, fault)) &&
           heard_store(r, fault);
    return intake_end(&r->intake, good, false, false, fault);
}

static bool file_in(Sync *s, File *f, Fault *fault)
{
    struct stat info;
    const int fd = file_open(s, f->name, &info);
    FILE *file = fd >= 0 ? fdopen(fd, "r") : NULL;
    if (file == NULL || fseeko(file, f->memory.offset, SEEK_SET) != 0) {
        say(s, "%s can't be read: %s.", f->name, strerror(errno));
        if (file != NULL) {
            fclose(file);
        } else if (fd >= 0) {
            close(fd);
        }
        return true;
    }
    Taking *r = memory_get(sizeof *r);
    *r = (Taking){.s = s, .f = f, .memory = f->memory};
    bool good = file_taken(r, file, &info, fault);
    if (good) {
        tell_file(r, &f->memory);
        s->count->read += r->intake.count.read;
        s->count->added += r->intake.count.added;
        s->count->differ += r->intake.count.differ;
    } else if (fault->kind == FAULT_REFUSED) {
        good = say(s, "%s was not taken in: %s", f->name, fault->text);
    }
    free(r);
    fclose(file);
    return good;
}

/* ---- writing one's own ---- */

typedef struct {
    Sync *s;
    int fd;
    Str lines;
    int64_t sent;
} Writing;

static bool put_out(Writing *w, Fault *fault)
{
    for (size_t at = 0; at < w->lines.n;) {
        const ssize_t n = write(w->fd, w->lines.s + at, w->lines.n - at);
        if (n < 0 && errno != EINTR) {
            return fault_set(fault, FAULT_LOG, "%s/%s can't be written: %s.", w->s->path.s,
                             w->s->own_name.s, strerror(errno));
        }
        at += n > 0 ? (size_t)n : 0;
    }
    str_clear(&w->lines);
    return true;
}

static bool entries_out(Writing *w, Fault *fault)
{
    static const char whole[] =
        "SELECT " CODEC_COLUMNS " FROM entry WHERE NOT EXISTS(SELECT 1 FROM temp.folder_has AS f"
        " WHERE f.at=entry.at AND f.id=entry.id) ORDER BY at,id";
    static const char some[] =
        "SELECT " CODEC_COLUMNS " FROM unsent JOIN entry USING(at,id) ORDER BY at,id";
    Sync *s = w->s;
    sqlite3_stmt *rows = db_prepare(&s->log->db, s->whole ? whole : some, fault);
    DbStep step = DB_BAD;
    bool good = rows != NULL;
    int64_t unread = 0;
    Event e;
    while (good && (step = db_step(&s->log->db, rows, fault)) == DB_ROW) {
        bool sealed;
        if (!codec_decode(&s->log->codec, rows, true, &e, fault) ||
            !codec_sealed(rows, &e, &sealed, fault)) {
            good = log_may_pass(s->log);
            unread++;
            continue;
        }
        sync_line_entry(&e, &w->lines);
        tally_add(&s->own.all, &e.id, event_seal(&e));
        w->sent++;
        good = w->lines.n < WRITE_BYTES || put_out(w, fault);
    }
    db_done(rows);
    if (good && unread > 0) {
        say(s, "%" PRId64 " entr%s of this log can't be read and went to nobody: ullage verify.",
            unread, unread == 1 ? "y" : "ies");
    }
    return good && step == DB_END;
}

/* What was read of each machine: the most that any of its files has. */
static bool seen_out(Writing *w, Fault *fault)
{
    Sync *s = w->s;
    Seen seen[SEEN_MAX];
    int count = 0;
    sqlite3_stmt *stmt =
        db_kept(&s->log->db,
                "SELECT value FROM setting WHERE name GLOB 'sync.file.*' ORDER BY name", fault);
    DbStep step = DB_BAD;
    while (stmt != NULL && (step = db_step(&s->log->db, stmt, fault)) == DB_ROW) {
        Memory m;
        if (!memory_read(db_text(stmt, 0).s, &m) || m.machine.s[0] == '\0') {
            continue;
        }
        int i = 0;
        while (i < count && strcmp(seen[i].machine.s, m.machine.s) != 0) {
            i++;
        }
        if (i < count ? m.all.entries > seen[i].tally.entries : count < SEEN_MAX) {
            seen[i] = (Seen){m.machine, m.all};
            count += i == count;
        }
    }
    sync_line_seen(s->now, seen, count, &w->lines);
    return step == DB_END;
}

/* A file that is new is made beside its name and given it when it is whole. */
static bool own_open(Writing *w, const char *part, Fault *fault)
{
    Sync *s = w->s;
    char last = '\n';
    const bool begins = s->own.offset == 0;
    w->fd =
        openat(s->folder, begins ? part : s->own_name.s,
               O_RDWR | O_APPEND | O_NOFOLLOW | O_CLOEXEC | (begins ? O_CREAT | O_TRUNC : 0), 0600);
    if (w->fd < 0) {
        return fault_set(fault, FAULT_LOG, "%s/%s can't be written: %s.", s->path.s, s->own_name.s,
                         strerror(errno));
    }
    if (begins) {
        sync_line_header(&s->machine, &w->lines);
    } else if (pread(w->fd, &last, 1, s->own.offset - 1) == 1 && last != '\n') {
        str_addc(&w->lines, '\n'); /* what was torn costs itself only */
    }
    return true;
}

static bool own_close(Writing *w, const char *part, bool good, Fault *fault)
{
    Sync *s = w->s;
    struct stat info;
    const bool begins = s->own.offset == 0;
    if (w->fd < 0) {
        return false;
    }
    if (good && (fsync(w->fd) != 0 ||
                 (begins && (renameat(s->folder, part, s->folder, s->own_name.s) != 0 ||
                             (fsync(s->folder) != 0 && errno != EINVAL))) ||
                 fstat(w->fd, &info) != 0 || !tail_of(w->fd, info.st_size, &s->own.tail))) {
        good = fault_set(fault, FAULT_LOG, "%s/%s can't be written: %s.", s->path.s, s->own_name.s,
                         strerror(errno));
    }
    if (good) {
        memory_stat(&s->own, &info);
        s->own.offset = info.st_size;
        s->own.machine = s->machine;
    }
    close(w->fd);
    return good;
}

/* Another process of this machine may have been quicker. */
static bool own_moved(Sync *s, bool *moved, Fault *fault)
{
    Str stored = {0}, machine = {0};
    struct stat info;
    bool there, any, all = false;
    const bool good = setting_get(&s->log->db, "sync.own", &stored, &there, fault) &&
                      setting_get(&s->log->db, "sync.machine", &machine, &there, fault) &&
                      unsent_look(s->log, &any, &all, fault);
    const bool is = fstatat(s->folder, s->own_name.s, &info, AT_SYMLINK_NOFOLLOW) == 0;
    *moved =
        good && ((all && !s->whole) || strcmp(stored.s, s->own_stored.s) != 0 ||
                 strcmp(machine.s, s->machine.s) != 0 || (is ? info.st_size : 0) != s->own.offset);
    str_finish(&stored);
    str_finish(&machine);
    return good;
}

static bool seen_due(const Sync *s, bool *due, Fault *fault)
{
    Str value = {0};
    bool there;
    int64_t last = 0;
    const bool good = setting_get(&s->log->db, "sync.said", &value, &there, fault);
    if (good && there) {
        sscanf(value.s, "%" SCNd64, &last);
    }
    *due = s->now.ms - last >= SEEN_EVERY_MS || s->now.ms < last;
    str_finish(&value);
    return good;
}

static bool own_lines(Sync *s, Fault *fault)
{
    Writing w = {.s = s, .fd = -1};
    Str part = {0};
    char said[24];
    str_addf(&part, ".%s.part", s->own_name.s);
    bool good = own_open(&w, part.s, fault) && entries_out(&w, fault) && seen_out(&w, fault) &&
                put_out(&w, fault);
    good = own_close(&w, part.s, good, fault);
    snprintf(said, sizeof said, "%" PRId64, s->now.ms);
    good = good && setting_set(&s->log->db, "sync.said", said, fault) &&
           memory_store(s, NULL, &s->own, fault) && unsent_clear(s->log, fault);
    s->count->sent = good ? w.sent : 0;
    str_finish(&part);
    str_finish(&w.lines);
    return good;
}

static bool own_write(Sync *s, Fault *fault)
{
    bool any, all, moved, due;
    if (!log_begin(s->log, false, fault)) {
        return false;
    }
    bool good = unsent_look(s->log, &any, &all, fault) && seen_due(s, &due, fault);
    good = db_end(&s->log->db, good, fault) && good;
    if (!good || (!any && !due && !s->adopted)) {
        return good;
    }
    if (!log_begin(s->log, true, fault)) {
        return false;
    }
    good = own_moved(s, &moved, fault) && (moved || own_lines(s, fault));
    return db_end(&s->log->db, good, fault) && good;
}

/* ---- one round ---- */

static bool one_round(Sync *s, const char *folder, Fault *fault)
{
    if (!folder_open(s, folder, fault) || !folder_list(s, fault) || !look(s, fault) ||
        (s->whole && !begin_whole(s, fault))) {
        return false;
    }
    bool good = true;
    for (int i = 0; good && i < s->file_count; i++) {
        File *f = &s->files[i];
        good = !f->unread || (f->own && !s->whole) || file_in(s, f, fault);
    }
    snprintf(s->count->machine, sizeof s->count->machine, "%s", s->machine.s);
    return good && own_write(s, fault);
}

bool log_sync(Log *log, const char *folder, Moment now, SyncTell tell, void *context,
              SyncCount *count, Fault *fault)
{
    Sync s = {
        .log = log, .folder = -1, .now = now, .tell = tell, .context = context, .count = count};
    *count = (SyncCount){0};
    const bool good = one_round(&s, folder, fault);
    for (int i = 0; i < s.file_count; i++) {
        free(s.files[i].name);
    }
    free(s.files);
    str_finish(&s.path);
    str_finish(&s.own_name);
    str_finish(&s.own_stored);
    if (s.folder >= 0) {
        close(s.folder);
    }
    return good;
}

/* ---- what is told elsewhere ---- */

bool log_sync_folder(Log *log, Str *folder, Moment *heard, Fault *fault)
{
    bool there;
    int64_t ms;
    const bool good =
        setting_get(&log->db, "sync.folder", folder, &there, fault) &&
        db_number(&log->db,
                  "SELECT max(CAST(value AS INTEGER)) FROM setting AS h WHERE name GLOB"
                  " 'sync.heard.*' AND NOT EXISTS(SELECT 1 FROM setting AS w WHERE w.name ="
                  " 'sync.was.' || substr(h.name,12))",
                  0, &ms, fault);
    heard->ms = good && ms > 0 ? ms : MOMENT_NONE_MS;
    return good;
}

bool log_sync_machines(Log *log, Marks *marks, Fault *fault)
{
    sqlite3_stmt *stmt = db_kept(
        &log->db,
        "SELECT 0,value FROM setting WHERE name='sync.machine' UNION SELECT 1,substr(name,12) FROM"
        " setting WHERE name GLOB 'sync.heard.*' UNION SELECT 1,substr(name,10) FROM setting WHERE"
        " name GLOB 'sync.was.*' ORDER BY 1",
        fault);
    DbStep step = DB_BAD;
    Machine machine;
    *marks = (Marks){.count = 0};
    while (stmt != NULL && (step = db_step(&log->db, stmt, fault)) == DB_ROW) {
        if (marks->count < MARKS_MAX && machine_read(db_text(stmt, 1), &machine)) {
            marks->marks[marks->count++] = machine_mark(&machine);
        }
    }
    return step == DB_END;
}

bool log_sync_leave(Log *log, Fault *fault)
{
    if (!log_begin(log, true, fault)) {
        return false;
    }
    const bool good = db_run(&log->db, "DELETE FROM setting WHERE name GLOB 'sync.*'", fault);
    return db_end(&log->db, good, fault) && good;
}
