/* stories_sync.h - the stories (stories.h) of a log that keeps step with another through a folder.
 */
#ifndef ULLAGE_TESTS_STORIES_SYNC_H
#define ULLAGE_TESTS_STORIES_SYNC_H

#include "support/trial.h"

static void sync_told(void *context, const char *line)
{
    Fault *told = context;
    fault_set(told, FAULT_REFUSED, "%s", line);
}

/* What it tells meanwhile stands in the Fault too. */
static bool synced(const char *path, const char *folder, Fault *fault)
{
    SyncCount count;
    const SyncTell tell = {.say = sync_told, .context = fault};
    Log *log = log_open(path, LOG_WRITE, fault);
    const bool good = log != NULL && log_sync(log, folder, KIT_NOW, tell, &count, fault);
    log_close(log);
    return good;
}

static void sync_must(const char *path, const char *folder)
{
    Fault fault = {0};
    if (!synced(path, folder, &fault))
        fail_msg("%s", fault.text);
}

static const char *shared(const Trial *s, char *path, size_t size)
{
    snprintf(path, size, "%s/shared", s->kit.dir);
    return path;
}

static void sync_prepare(Trial *s)
{
    char folder[200];
    merge_prepare(s);
    assert_int_equal(mkdir(shared(s, folder, sizeof folder), 0700), 0);
    sync_must(s->other, folder);
}

static void sync_act(Trial *s)
{
    char folder[200];
    s->done = synced(s->kit.path, shared(s, folder, sizeof folder), &s->fault) &&
              s->fault.kind == FAULT_NONE;
}

/* Whatever happened, after one more round each both have everything. */
static void sync_check(Trial *s)
{
    char folder[200];
    shared(s, folder, sizeof folder);
    const Found found = found_at(s, s->kit.path);
    assert_true(all_there(&found, 0, BASE));
    assert_true(!s->done || found.count == BASE + MORE);
    sync_must(s->kit.path, folder);
    sync_must(s->other, folder);
    assert_int_equal(found_at(s, s->kit.path).count, BASE + MORE);
    assert_int_equal(found_at(s, s->other).count, BASE + MORE);
}

/* Both have been there before, and both have more since. */
static void again_prepare(Trial *s)
{
    char folder[200];
    sync_prepare(s);
    sync_must(s->kit.path, shared(s, folder, sizeof folder));
    sync_must(s->other, folder);
    notes_into(s, s->kit.path, BASE + MORE, BASE + MORE + LIVE);
    notes_into(s, s->other, BASE + MORE + LIVE, ALL);
    sync_must(s->other, folder);
}

static void again_check(Trial *s)
{
    char folder[200];
    shared(s, folder, sizeof folder);
    assert_int_equal(found_at(s, s->kit.path).count,
                     s->done ? ALL : found_at(s, s->kit.path).count);
    sync_must(s->kit.path, folder);
    sync_must(s->other, folder);
    assert_int_equal(found_at(s, s->kit.path).count, ALL);
    assert_int_equal(found_at(s, s->other).count, ALL);
}

/* ---- what a machine finds of itself ---- */

/* A log put back to what it was before its last round: of the same entries (`same`), its file holds
 * more of it than it remembers; else it holds what the log has lost. */
static void back_prepare(Trial *s, bool same)
{
    char folder[200];
    again_prepare(s);
    shared(s, folder, sizeof folder);
    if (!same)
        kit_copy(s->kit.path, s->copy);
    notes_into(s, s->kit.path, BASE + MORE, ALL);
    if (same)
        kit_copy(s->kit.path, s->copy);
    sync_must(s->kit.path, folder);
    kit_copy(s->copy, s->kit.path);
}

static void kill_prepare(Trial *s)
{
    back_prepare(s, true);
}

static void back_in_time_prepare(Trial *s)
{
    back_prepare(s, false);
}

/* Somebody emptied the folder. */
static void empty_prepare(Trial *s)
{
    char folder[200], command[300];
    again_prepare(s);
    snprintf(command, sizeof command, "rm %s/*.jsonl", shared(s, folder, sizeof folder));
    assert_int_equal(system(command), 0);
}

/* What this machine finds of itself it tells, and goes on: being told is no sign of a failure. */
static void told_act(Trial *s)
{
    char folder[200];
    s->done = synced(s->kit.path, shared(s, folder, sizeof folder), &s->fault);
}

static void told_check(Trial *s)
{
    char folder[200];
    s->done = false;
    sync_must(s->kit.path, shared(s, folder, sizeof folder));
    sync_must(s->other, folder); /* what was gone is there again after a round of each */
    again_check(s);
}

static void leave_act(Trial *s)
{
    Str folder = {0};
    Moment heard;
    Marks marks;
    Log *log = log_open(s->kit.path, LOG_WRITE, &s->fault);
    s->done = log != NULL && log_sync_folder(log, &folder, &heard, &s->fault) &&
              log_sync_machines(log, &marks, &s->fault);
    assert_true(!s->done || (folder.n > 0 && moment_known(heard) && marks.count == 2));
    s->done = s->done && log_sync_leave(log, &s->fault);
    log_close(log);
    str_finish(&folder);
}

static void leave_check(Trial *s)
{
    Fault fault = {0};
    Str folder = {0};
    Moment heard;
    Log *log = log_at(s->kit.path, LOG_READ);
    assert_true(log_sync_folder(log, &folder, &heard, &fault));
    assert_true(folder.n == 0 || !s->done);
    assert_int_equal(folder.n > 0, moment_known(heard)); /* all of it or nothing */
    str_finish(&folder);
    log_close(log);
}

#endif
