#include "store/sync_parts.h"

#include "store/setting.h"

#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

static bool is_read(const Sync *s, const File *f)
{
    return f->unread && (!f->own || s->whole);
}

static bool reading_begins(Sync *s, Fault *fault)
{
    int i = 0;
    while (i < s->file_count && !is_read(s, &s->files[i]))
        i++;
    return i == s->file_count || s->tell.begins == NULL || s->tell.begins(s->tell.context, fault);
}

static bool one_round(Sync *s, const char *folder, Fault *fault)
{
    if (!sync_folder_open(s, folder, fault) || !sync_folder_list(s, fault) ||
        !sync_look(s, fault) || (s->whole && !sync_begin_whole(s, fault)))
        return false;
    bool good = reading_begins(s, fault);
    for (int i = 0; good && i < s->file_count; i++)
        good = !is_read(s, &s->files[i]) || sync_file_in(s, &s->files[i], fault);
    snprintf(s->count->machine, sizeof s->count->machine, "%s", s->machine.s);
    return good && sync_own_write(s, fault);
}

bool log_sync(Log *log, const char *folder, Moment now, SyncTell tell, SyncCount *count,
              Fault *fault)
{
    Sync s = {.log = log, .folder = -1, .now = now, .tell = tell, .count = count};
    *count = (SyncCount){0};
    const bool good = one_round(&s, folder, fault);
    for (int i = 0; i < s.file_count; i++)
        free(s.files[i].name);
    free(s.files);
    str_finish(&s.path);
    str_finish(&s.own_name);
    str_finish(&s.own_stored);
    if (s.folder >= 0)
        close(s.folder);
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
    while (stmt != NULL && (step = db_step(&log->db, stmt, fault)) == DB_ROW)
        if (marks->count < MARKS_MAX && machine_read(db_text(stmt, 1), &machine))
            marks->marks[marks->count++] = machine_mark(&machine);
    return step == DB_END;
}

bool log_sync_leave(Log *log, Fault *fault)
{
    if (!log_begin(log, true, fault))
        return false;
    const bool good = db_run(&log->db, "DELETE FROM setting WHERE name GLOB 'sync.*'", fault);
    return db_end(&log->db, good, fault) && good;
}
