#include "store/sync_parts.h"

#include "base/memory.h"
#include "model/field.h"
#include "store/intake.h"
#include "store/lines.h"
#include "store/setting.h"

#include <errno.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* 2026-11-01T00:00:00Z. A clock before it is wrong: this program was not there yet. */
#define CLOCK_BORN ((Moment){INT64_C(1793491200000)})

typedef struct {
    Sync *s;
    File *f;
    Intake intake;
    Memory memory; /* as it will be */
    SyncLine line;
    int64_t at;       /* where the line begins */
    int64_t first;    /* where the first line that waits begins, -1: none */
    Fault why;        /* and the reason */
    bool cut_off;     /* the disk refused the rest */
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
    if (stmt == NULL)
        return false;
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
    if (stmt == NULL)
        return false;
    db_bind_number(stmt, 1, e->at.ms);
    db_bind_blob(stmt, 2, e->id.b, sizeof e->id.b);
    return db_exec(&log->db, stmt, fault);
}

/* An entry of a clock that was ahead waits, unless somebody took it back. */
static bool sync_entry_in(Taking *r, const Event *e, Fault *fault)
{
    Sync *s = r->s;
    bool struck = e->kind == KIND_VOID || s->now.ms < CLOCK_BORN.ms;
    char at[48];
    if (clock_ahead(e->at, s->now) && !struck && !is_struck(s->log, &e->id, &struck, fault))
        return false;
    if (clock_ahead(e->at, s->now) && !struck) {
        fault_set(r->first < 0 ? &r->why : NULL, FAULT_REFUSED,
                  "%s is in the future: one of the clocks is wrong.",
                  moment_print_zone(e->at, e->zone, at));
        wait_on(r, &r->memory.ahead);
        return true;
    }
    const uint32_t seal = event_seal(e);
    if (!intake_put(&r->intake, e, seal, fault)) {
        if (fault->kind != FAULT_REFUSED && !log_may_pass(s->log))
            return false;
        r->why = r->first < 0 ? *fault : r->why;
        wait_on(r, &r->memory.bad);
        return true;
    }
    tally_add(&r->memory.all, &e->id, seal);
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
        if (r->first < 0)
            r->why = why;
        wait_on(r, &r->memory.bad);
        return true;
    }
    if (line->type == SYNC_HEADER && r->memory.machine.s[0] == '\0')
        r->memory.machine = line->machine;
    for (int i = 0; line->type == SYNC_SEEN && i < line->seen_count; i++) {
        const Seen *seen = &line->seen[i];
        r->others_seen =
            r->others_seen || (!s->anew && strcmp(seen->machine.s, s->machine.s) == 0 &&
                               seen->tally.entries > s->own.all.entries);
    }
    return line->type != SYNC_ENTRY || sync_entry_in(r, &line->e, fault);
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
            end = r->cut_off = ferror(file) != 0;
        } else if (end || lines.cut) {
            break;
        } else if (text_trim(text).n > 0) {
            good = line_in(r, text, fault);
        }
        end = end || (good && stranger(r));
    }
    r->memory.offset = r->first >= 0 ? r->first : r->at;
    if (r->first < 0)
        r->memory.before = r->memory.all;
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
    if (r->cut_off && stranger(r)) {
        sync_say(r->s, "%s: %s", name, r->why.text);
    } else if (stranger(r) && waiting > 0) {
        sync_say(r->s,
                 "%s is no file of this program, or its first line is damaged: it was not read.",
                 name);
    } else if (r->memory.ahead > 0 || (waiting > 0 && r->memory.bad != was->bad)) {
        sync_say(r->s, "%s, at byte %" PRId64 ": %s %" PRId64 " line%s of it wait%s.", name,
                 r->first, r->why.text, waiting, waiting == 1 ? "" : "s", waiting == 1 ? "s" : "");
    }
    if (r->others_seen)
        sync_say(r->s,
                 "%s has seen more of this machine than its log holds: it was put back to an older "
                 "copy. What is missing comes back when that machine syncs again.",
                 name);
    r->s->count->waiting += stranger(r) ? 0 : waiting;
}

/* One file in one transaction: what is taken in and how far it was read. */
static bool file_taken(Taking *r, FILE *file, const struct stat *info, Fault *fault)
{
    Sync *s = r->s;
    if (!intake_begin(&r->intake, s->log, fault))
        return false;
    r->intake.unsent = false; /* it comes from there */
    bool good = lines_in(r, file, fault) &&
                (sync_tail_of(fileno(file), r->memory.offset, &r->memory.tail) ||
                 fault_set(fault, FAULT_REFUSED, "it can't be read: %s.",
                           errno != 0 ? strerror(errno) : "it was cut while it was read"));
    sync_memory_stat(&r->memory, info);
    if (r->cut_off)
        r->memory.size = -1; /* of no size that it can have: it is read again */
    good = good && (r->f->own || sync_memory_store(s, r->f->name, &r->memory, fault)) &&
           heard_store(r, fault);
    return intake_end(&r->intake, good, false, false, fault);
}

bool sync_file_in(Sync *s, File *f, Fault *fault)
{
    struct stat info;
    const int fd = sync_file_open(s, f->name, &info);
    FILE *file = fd >= 0 ? fdopen(fd, "r") : NULL;
    if (file == NULL || fseeko(file, f->memory.offset, SEEK_SET) != 0) {
        sync_say(s, "%s can't be read: %s.", f->name, strerror(errno));
        if (file != NULL)
            fclose(file);
        else if (fd >= 0)
            close(fd);
        return true;
    }
    Taking *r = memory_get(sizeof *r);
    *r = (Taking){.s = s, .f = f, .memory = f->memory};
    Fault why = {0};
    bool good = file_taken(r, file, &info, &why);
    if (good) {
        tell_file(r, &f->memory);
        s->count->read += r->intake.count.read;
        s->count->added += r->intake.count.added;
        s->count->differ += r->intake.count.differ;
    } else if (why.kind == FAULT_REFUSED) {
        good = sync_say(s, "%s was not taken in: %s", f->name, why.text);
    } else {
        *fault = why;
    }
    free(r);
    fclose(file);
    return good;
}
