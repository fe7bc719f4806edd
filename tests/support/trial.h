/* trial.h - a log and what is known of it, for tests in which something fails at every point of
 * what a person does: the entries, which of them were acknowledged, and a look at what is there
 * afterwards. Include it in one file per test program. */
#ifndef ULLAGE_TESTS_TRIAL_H
#define ULLAGE_TESTS_TRIAL_H

#include "base/memory.h"
#include "store/running.h"
#include "store/salvage.h"
#include "store/sync.h"
#include "support/logbook.h"
#include "support/store_kit.h"

enum { BASE = 20, MORE = 30, OLDER = 10, LIVE = 6, ALL = BASE + MORE + 2 * LIVE };

typedef struct {
    Kit kit; /* kit.path: the log */
    char other[160], copy[160], out[160];
    Event notes[ALL];
    bool known[ALL]; /* acknowledged */
    bool done;       /* the whole of it is */
    Fault fault;     /* why not */
    char *text;      /* the log as lines, where a story reads it */
    State *state;
} Trial;

typedef struct {
    const char *name;
    void (*prepare)(Trial *s);
    void (*act)(Trial *s);
    void (*check)(Trial *s);
} Story;

/* ---- what every story needs ---- */

static void note_make(Event *e, int i)
{
    uint64_t seed = (uint64_t)i + 77;
    event_clear(e, KIND_NOTE);
    kit_stamp(e, INT64_C(1790000000000) + i * MS_PER_MINUTE, &seed);
    snprintf(e->note, sizeof e->note, "note %d", i);
}

/* Takes another one back. */
static void void_make(Event *e, const Event *target)
{
    const Moment at = e->at;
    const Uuid id = e->id;
    event_clear(e, KIND_VOID);
    e->at = at;
    e->id = id;
    e->has = 1;
    e->u.entry.entry = target->id;
}

static Log *log_at(const char *path, LogMode mode)
{
    Fault fault = {0};
    Log *log = log_open(path, mode, &fault);
    if (log == NULL)
        fail_msg("%s", fault.text);
    return log;
}

static void notes_into(Trial *s, const char *path, int from, int to)
{
    Log *log = log_at(path, LOG_WRITE);
    kit_feed(log, s->notes, from, to);
    log_close(log);
}

typedef struct {
    Trial *stage;
    bool there[ALL];
    int count;
} Found;

static bool note_found(void *context, const Event *e, bool voided)
{
    Found *found = context;
    (void)voided;
    for (int i = 0; i < ALL; i++)
        if (event_equal(&found->stage->notes[i], e))
            found->there[i] = true;
    found->count++;
    return true;
}

/* The log there is sound; which of the notes are in it. */
static Found found_at(Trial *s, const char *path)
{
    Found found = {.stage = s};
    Fault fault = {0};
    const LogQuery everything = KIT_EVERYTHING;
    Log *log = log_at(path, LOG_WRITE);
    if (!log_verify(log, (LogReport){0}, &fault) ||
        !log_each(log, &everything, note_found, &found, &fault) || !log_all_read(log, &fault))
        fail_msg("%s", fault.text);
    log_close(log);
    int known = 0;
    for (int i = 0; i < ALL; i++)
        known += found.there[i];
    assert_int_equal(known, found.count); /* and nothing else */
    return found;
}

static bool all_there(const Found *found, int from, int to)
{
    for (int i = from; i < to; i++)
        if (!found->there[i])
            return false;
    return true;
}

static void log_prepare(Trial *s)
{
    notes_into(s, s->kit.path, 0, BASE);
}

static void merge_prepare(Trial *s)
{
    log_prepare(s);
    notes_into(s, s->other, BASE, BASE + MORE);
}

static void stage_begin(Trial *s)
{
    memset(s, 0, sizeof *s);
    kit_init(&s->kit);
    snprintf(s->other, sizeof s->other, "%s/other.db", s->kit.dir);
    snprintf(s->copy, sizeof s->copy, "%s/copy.db", s->kit.dir);
    snprintf(s->out, sizeof s->out, "%s/out.db", s->kit.dir);
    for (int i = 0; i < ALL; i++)
        note_make(&s->notes[i], i);
    void_make(&s->notes[BASE - 1], &s->notes[0]);
    void_make(&s->notes[BASE + LIVE - 1], &s->notes[BASE]);
    void_make(&s->notes[BASE + MORE - 1], &s->notes[1]);
}

static void stage_end(Trial *s)
{
    free(s->text);
    free(s->state);
    kit_finish(&s->kit);
}

#endif
