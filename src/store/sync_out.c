#include "store/sync_parts.h"

#include "store/setting.h"
#include "store/unsent.h"

#include <errno.h>
#include <fcntl.h>
#include <inttypes.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

/* How often a line says that this machine is there, and what it has seen, where nothing else is to
 * be written. */
#define SEEN_EVERY_MS MS_PER_DAY
enum { WRITE_BYTES = 65536 };

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
        if (n < 0 && errno != EINTR)
            return fault_set(fault, FAULT_LOG, "%s/%s can't be written: %s.", w->s->path.s,
                             w->s->own_name.s, strerror(errno));
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
        if (!codec_decode(&s->log->codec, db_row(rows), true, &e, fault) ||
            !codec_sealed(db_row(rows), &e, &sealed, fault)) {
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
    if (good && unread > 0)
        sync_say(s,
                 "%" PRId64 " entr%s of this log can't be read and went to nobody: ullage verify.",
                 unread, unread == 1 ? "y" : "ies");
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
        if (!sync_memory_read(db_text(stmt, 0).s, &m) || m.machine.s[0] == '\0')
            continue;
        int i = 0;
        while (i < count && strcmp(seen[i].machine.s, m.machine.s) != 0)
            i++;
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
    if (w->fd < 0)
        return fault_set(fault, FAULT_LOG, "%s/%s can't be written: %s.", s->path.s, s->own_name.s,
                         strerror(errno));
    if (begins)
        sync_line_header(&s->machine, &w->lines);
    else if (pread(w->fd, &last, 1, s->own.offset - 1) != 1 || last != '\n')
        str_addc(&w->lines, '\n'); /* what was torn costs itself only */
    return true;
}

static bool own_close(Writing *w, const char *part, bool good, Fault *fault)
{
    Sync *s = w->s;
    struct stat info = {0};
    const bool begins = s->own.offset == 0;
    if (w->fd < 0)
        return false;
    if (good && (fsync(w->fd) != 0 ||
                 (begins && (renameat(s->folder, part, s->folder, s->own_name.s) != 0 ||
                             (fsync(s->folder) != 0 && errno != EINVAL))) ||
                 fstat(w->fd, &info) != 0 || !sync_tail_of(w->fd, info.st_size, &s->own.tail)))
        good = fault_set(fault, FAULT_LOG, "%s/%s can't be written: %s.", s->path.s, s->own_name.s,
                         strerror(errno));
    if (good) {
        sync_memory_stat(&s->own, &info);
        s->own.offset = info.st_size;
        s->own.machine = s->machine;
    }
    close(w->fd);
    if (begins && !good)
        unlinkat(s->folder, part, 0);
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
    if (good && there)
        sscanf(value.s, "%" SCNd64, &last);
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
           sync_memory_store(s, NULL, &s->own, fault) && unsent_clear(s->log, fault);
    s->count->sent = good ? w.sent : 0;
    str_finish(&part);
    str_finish(&w.lines);
    return good;
}

bool sync_own_write(Sync *s, Fault *fault)
{
    bool any, all, moved, due;
    if (!log_begin(s->log, false, fault))
        return false;
    bool good = unsent_look(s->log, &any, &all, fault) && seen_due(s, &due, fault);
    good = db_end(&s->log->db, good, fault) && good;
    if (!good || (!any && !due && !s->adopted))
        return good;
    if (!log_begin(s->log, true, fault))
        return false;
    good = own_moved(s, &moved, fault) && (moved || own_lines(s, fault));
    return db_end(&s->log->db, good, fault) && good;
}
