#include "store/sync_parts.h"

#include "base/memory.h"
#include "store/entry.h"
#include "store/lines.h"
#include "store/setting.h"
#include "store/unsent.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* ---- the file of this machine ---- */

static bool entry_is_here(Log *log, const Event *e, bool *here, Fault *fault)
{
    Event there;
    const Spot spot = spot_of(e);
    if (!entry_read(log, &spot, here, &there, fault))
        return log_may_pass(log); /* it is here, and can't be read */
    *here = *here && event_equal(&there, e);
    return true;
}

/* Whether it is ours can't be told then: it is neither gone nor another one. */
static bool own_unread(const Sync *s, int why, Fault *fault)
{
    return fault_set(fault, FAULT_REFUSED, "%s/%s can't be read: %s. Nothing was changed.",
                     s->path.s, s->own_name.s, strerror(why));
}

static bool own_lines_look(Sync *s, FILE *file, bool *mine, Fault *fault)
{
    SyncLine *line = memory_get(sizeof *line);
    Lines lines;
    Text text;
    bool end = false, good = true;
    lines_init(&lines, file);
    while (good && *mine && !end) {
        Fault why = {0};
        if (!lines_next(&lines, &text, &end, &why) || end || lines.cut ||
            !sync_line_read(&s->log->json, text, line, &why)) {
            good = why.kind != FAULT_LOG && ferror(file) == 0;
            if (why.kind == FAULT_LOG)
                *fault = why;
            else if (!good)
                own_unread(s, EIO, fault);
            continue; /* torn */
        }
        if (line->type == SYNC_ENTRY) {
            good = entry_is_here(s->log, &line->e, mine, fault);
            tally_add(&s->own.all, &line->e.id, event_seal(&line->e));
        }
    }
    lines_finish(&lines);
    free(line);
    return good;
}

/* What stands behind the place written to: lines of this log, that a kill kept from being
 * remembered? */
static bool own_adopt(Sync *s, int fd, const struct stat *info, bool *mine, Fault *fault)
{
    const int copy = dup(fd);
    FILE *file = copy >= 0 ? fdopen(copy, "r") : NULL;
    bool good = file != NULL && fseeko(file, s->own.offset, SEEK_SET) == 0;
    good = good ? own_lines_look(s, file, mine, fault) : own_unread(s, errno, fault);
    if (file != NULL)
        fclose(file);
    else if (copy >= 0)
        close(copy);
    sync_memory_stat(&s->own, info);
    s->own.offset = info->st_size;
    s->adopted = good && *mine && sync_tail_of(fd, s->own.offset, &s->own.tail);
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
    const int fd = sync_file_open(s, s->own_name.s, &info);
    if (fd < 0 && errno != ENOENT)
        return own_unread(s, errno, fault);
    if (fd < 0) {
        s->anew = known;
        return !known || sync_say(s,
                                  "The file %s is gone from %s. What no other file there holds is "
                                  "written anew.",
                                  s->own_name.s, s->path.s);
    }
    bool good = true, mine = true;
    if (!sync_memory_fits(&s->own, &info)) {
        errno = 0;
        mine = info.st_size >= s->own.offset && own_begins(s, fd) &&
               sync_tail_of(fd, s->own.offset, &tail) && (!known || tail == s->own.tail);
        if (errno != 0)
            good = own_unread(s, errno, fault);
        else if (mine && info.st_size > s->own.offset)
            good = own_adopt(s, fd, &info, &mine, fault);
    }
    close(fd);
    s->anew = !mine;
    if (good && !mine)
        sync_say(
            s,
            "%s is not as this log left it: the log was put back to an older copy, or there is a "
            "copy of it on another machine. What the file holds is taken in, and this log goes on "
            "under another name.",
            s->own_name.s);
    return good;
}

/* ---- a look at everything, which writes nothing ---- */

/* Shorter, or another one: what it held may be nowhere now. One that can't be read is neither. */
static bool file_lost(const Sync *s, const char *name, const Memory *was)
{
    struct stat info;
    uint32_t tail;
    const int fd = sync_file_open(s, name, &info);
    if (fd < 0)
        return errno == ENOENT;
    const bool read = sync_tail_of(fd, was->offset, &tail);
    const bool lost = info.st_size < was->offset || (read ? tail != was->tail : errno == 0);
    close(fd);
    return lost;
}

static bool file_look(Sync *s, File *f, Fault *fault)
{
    Str key = {0}, value = {0};
    Memory was;
    const Memory is = f->memory;
    f->own = strcmp(f->name, s->own_name.s) == 0;
    str_addf(&key, "sync.file.%s", f->name);
    const bool good = setting_get(&s->log->db, key.s, &value, &f->known, fault);
    if (good && f->known)
        f->known = sync_memory_read(value.s, &was);
    str_finish(&key);
    str_finish(&value);
    if (!good || !f->known)
        return good;
    f->memory = was;
    f->unread = was.ahead > 0 || was.size != is.size || was.changed_ns != is.changed_ns ||
                was.mended_ns != is.mended_ns;
    if (f->unread && file_lost(s, f->name, &was)) {
        f->memory = (Memory){0};
        s->whole = true;
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
        for (int i = 0; i < s->file_count && !there; i++)
            there = text_is(db_text(stmt, 0), s->files[i].name);
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
    if (good && !moved && there)
        sync_memory_read(s->own_stored.s, &s->own);
    s->whole = s->whole || !good || all;
    str_finish(&value);
    own_named(s);
    return good;
}

bool sync_look(Sync *s, Fault *fault)
{
    if (!log_begin(s->log, false, fault))
        return false;
    bool good = settings_read(s, fault) && (s->anew || own_check(s, fault));
    for (int i = 0; good && i < s->file_count; i++)
        good = file_look(s, &s->files[i], fault);
    good = good && gone_look(s, fault);
    s->whole = s->whole || s->anew;
    return db_end(&s->log->db, good, fault) && good;
}

/* ---- beginning anew ---- */

static bool machine_new(Sync *s, Fault *fault)
{
    Str was = {0};
    if (s->machine.s[0] != '\0')
        str_addf(&was, "sync.was.%s", s->machine.s);
    bool good = was.n == 0 || setting_set(&s->log->db, was.s, "", fault);
    str_finish(&was);
    good = good && machine_make(&s->machine, fault);
    s->own = (Memory){0};
    own_named(s);
    return good && setting_set(&s->log->db, "sync.machine", s->machine.s, fault) &&
           setting_set(&s->log->db, "sync.own", NULL, fault) &&
           setting_get(&s->log->db, "sync.own", &s->own_stored, &good, fault);
}

bool sync_begin_whole(Sync *s, Fault *fault)
{
    Db *db = &s->log->db;
    if (!db_run(db,
                "CREATE TEMP TABLE IF NOT EXISTS folder_has(at INTEGER, id BLOB,"
                " PRIMARY KEY(at,id)) WITHOUT ROWID; DELETE FROM temp.folder_has",
                fault) ||
        !log_begin(s->log, true, fault))
        return false;
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
