#include "store/log.h"

#include "base/memory.h"
#include "model/field.h"
#include "model/fold.h"
#include "store/entry.h"
#include "store/replay.h"
#include "store/schema.h"
#include "store/setting.h"
#include "store/struck.h"
#include "store/sync_line.h"
#include "store/tally.h"
#include "store/unsent.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/random.h>
#include <unistd.h>

/* ---- opening ---- */

static bool ready(Log *log, Fault *fault)
{
    bool write = log->mode != LOG_READ, there;
    if (!schema_ready(&log->db, write, fault) || !db_durable(&log->db, fault) ||
        !schema_derived_there(&log->db, &there, fault))
        return false;
    if (there)
        return true; /* log_begin looks whether they are fresh */
    if (!write) {
        log->shadow = true;
        log->shadow_version = -1;
        return true;
    }
    if (!db_begin(&log->db, true, fault))
        return false;
    /* asked again under the lock: another program may just have made them */
    bool good = schema_derived_there(&log->db, &there, fault) &&
                (there || derived_rebuild(log, (ReplayWatch){0}, fault));
    return db_end(&log->db, good, fault) && good;
}

Log *log_open_tuned(const char *path, LogMode mode, LogTuning tuning, Fault *fault)
{
    static const DbMode modes[] = {
        [LOG_READ] = DB_READ, [LOG_WRITE] = DB_WRITE, [LOG_SCRATCH] = DB_SCRATCH};
    Log *log = memory_get(sizeof *log);
    log->mode = mode & (LOG_ASSERTED - 1);
    log->tuning = tuning;
    log->packed = memory_resize(NULL, STATE_PACKED_MAX); /* for who writes */
    log->head = memory_get(sizeof *log->head);
    json_init(&log->json, &log->db);
    codec_init(&log->codec, &log->json);
    if (!db_open(&log->db, path, modes[log->mode], tuning.busy_ms, fault)) {
        log_close(log);
        return NULL;
    }
    log->db.asserted = (mode & LOG_ASSERTED) != 0;
    if (!ready(log, fault)) {
        log_close(log);
        return NULL;
    }
    return log;
}

Log *log_open(const char *path, LogMode mode, Fault *fault)
{
    return log_open_tuned(path, mode, (LogTuning){LOG_INTERVAL, LOG_BUSY_MS}, fault);
}

void log_close(Log *log)
{
    if (log == NULL)
        return;
    db_close(&log->db);
    codec_finish(&log->codec);
    json_finish(&log->json);
    free(log->packed);
    free(log->head);
    free(log);
}

static void file_remove(const char *path)
{
    static const char *const ends[] = {"", "-wal", "-shm"};
    for (int i = 0; i < 3; i++) {
        Str name = {0};
        str_addf(&name, "%s%s", path, ends[i]);
        unlink(name.s);
        str_finish(&name);
    }
}

/* Who waits meanwhile to write to it finds it gone (db_here), and writes nothing. */
void log_unbegin(Log *log)
{
    Fault ignored;
    int64_t there;
    if (log->mode != LOG_WRITE || !db_begin(&log->db, true, &ignored))
        return;
    if (db_number(&log->db, "SELECT 1 FROM entry LIMIT 1", 0, &there, &ignored) && there == 0)
        file_remove(log->db.path);
    db_end(&log->db, false, &ignored);
}

const char *log_path(const Log *log)
{
    return log->db.path;
}

bool log_moved(const Log *log)
{
    return log->db.moved;
}

bool log_reopen(Log *log, Fault *fault)
{
    if (access(log->db.path, F_OK) != 0)
        return fault_set(fault, FAULT_LOG, "%s is not there. Put the log back, then open it anew.",
                         log->db.path);
    if (db_reopen(&log->db, fault) && ready(log, fault))
        return true;
    db_shut(&log->db);
    return false;
}

void log_on_wait(Log *log, void (*told)(void *context), void *context)
{
    log->db.waits = told;
    log->db.waits_context = context;
}

/* ---- transactions over fresh derived tables ---- */

static bool data_version(Log *log, int64_t *version, Fault *fault)
{
    sqlite3_stmt *stmt = db_kept(&log->db, "PRAGMA data_version", fault);
    if (stmt == NULL)
        return false;
    DbStep step = db_step(&log->db, stmt, fault);
    if (step == DB_ROW) {
        *version = sqlite3_column_int64(stmt, 0);
        sqlite3_reset(stmt);
    }
    return step != DB_BAD;
}

/* A log that may only be read, and whose derived tables are of another program version: they are
 * made in the connection's own temporary database, where they shadow the stored ones. */
static bool shadow_rebuild(Log *log, Fault *fault)
{
    if (!db_run(&log->db, "PRAGMA query_only=OFF", fault))
        return false;
    log->shadow = true;
    bool good = db_begin(&log->db, false, fault);
    if (good) {
        good = data_version(log, &log->shadow_version, fault) &&
               derived_rebuild(log, (ReplayWatch){0}, fault);
        good = db_end(&log->db, good, fault) && good;
    }
    Fault ignored;
    return db_run(&log->db, "PRAGMA query_only=ON", good ? fault : &ignored) && good;
}

static bool derived_fresh(Log *log, bool *fresh, Fault *fault)
{
    int64_t version = 0;
    if (!log->shadow)
        return head_fresh(log, fresh, fault);
    if (!data_version(log, &version, fault))
        return false;
    *fresh = version == log->shadow_version;
    return true;
}

/* A reader of a file that may be written lets the tables be stored, so that the next reader need
 * not make them again. Where that fails (busy, disk full) it makes its own: it was asked to read,
 * and hardly waits. */
static bool stored_rebuild(Log *log)
{
    enum { HARDLY_MS = 200 };
    Fault ignored;
    const LogTuning tuning = {log->tuning.interval, HARDLY_MS};
    if (log->db.immutable || log->db.older || access(log->db.path, W_OK) != 0)
        return false;
    Log *writer = log_open_tuned(log->db.path, LOG_WRITE, tuning, &ignored);
    bool good =
        writer != NULL && log_begin(writer, true, &ignored) && db_end(&writer->db, true, &ignored);
    log_close(writer);
    return good;
}

static bool refresh(Log *log, Fault *fault)
{
    if (log->mode == LOG_READ)
        return (!log->shadow && stored_rebuild(log)) || shadow_rebuild(log, fault);
    bool fresh = false;
    if (!db_begin(&log->db, true, fault))
        return false;
    bool good = derived_fresh(log, &fresh, fault) &&
                (fresh || derived_rebuild(log, (ReplayWatch){0}, fault));
    return db_end(&log->db, good, fault) && good;
}

bool log_begin(Log *log, bool write, Fault *fault)
{
    if (write && log->mode == LOG_READ)
        return fault_set(fault, FAULT_LOG, "%s is open for reading only.", log->db.name);
    /* Rebuilding takes a transaction of its own, and another program may write in between: try
     * again, but not for ever. */
    for (int round = 0; round < 8; round++) {
        bool fresh = false;
        if (!db_begin(&log->db, write, fault))
            return false;
        if (log->db.depth > 1)
            return true;
        log->head_known = false;
        bool good = (!write || schema_own(&log->db, fault)) && derived_fresh(log, &fresh, fault);
        if (good && !fresh && write) {
            good = derived_rebuild(log, (ReplayWatch){0}, fault);
            fresh = true;
        }
        if (good && fresh)
            return true;
        if (!db_end(&log->db, good, fault) || !good || !refresh(log, fault))
            return false;
    }
    return fault_set(fault, FAULT_LOG,
                     "%s: other programs write to this log without a pause. Try again.",
                     log->db.name);
}

/* ---- settings ---- */

bool log_units(Log *log, Units *units, Fault *fault)
{
    Fault why = {0};
    Str value = {0};
    bool there;
    *units = UNITS_METRIC;
    bool good = setting_get(&log->db, "units", &value, &there, fault);
    if (good && there && !units_parse(text_of(value.s), units, &why))
        good = fault_set(fault, FAULT_LOG,
                         "%s: the log's own units can't be read: %s Set them anew with 'ullage "
                         "units metric', or give --units.",
                         log->db.name, why.text);
    str_finish(&value);
    return good;
}

static void look_name(const char *what, const char *terminal, char out[80])
{
    snprintf(out, 80, "%s%s%s", what, *terminal != '\0' ? " " : "", terminal);
}

bool log_look(Log *log, const char *what, const char *terminal, Str *word, Fault *fault)
{
    char name[80];
    bool there;
    look_name(what, terminal, name);
    return setting_get(&log->db, name, word, &there, fault);
}

static bool set_word(Log *log, const char *name, const char *value, Fault *fault)
{
    if (!log_begin(log, true, fault))
        return false;
    const bool good = setting_set(&log->db, name, value, fault);
    return db_end(&log->db, good, fault) && good;
}

bool log_set_units(Log *log, Units units, Fault *fault)
{
    return set_word(log, "units", units_name(units), fault);
}

bool log_set_look(Log *log, const char *what, const char *terminal, const char *word, Fault *fault)
{
    char name[80];
    look_name(what, terminal, name);
    return set_word(log, name, word, fault);
}

bool log_calendar(Log *log, Str *kept, Fault *fault)
{
    bool there;
    return setting_get(&log->db, "calendar", kept, &there, fault);
}

bool log_set_calendar(Log *log, const char *kept, Fault *fault)
{
    return set_word(log, "calendar", kept, fault);
}

bool log_version(Log *log, int64_t *version, Fault *fault)
{
    int64_t others = 0;
    if (!db_here(&log->db, fault) || !data_version(log, &others, fault))
        return false;
    /* SQLite counts what others committed; what this handle did is added */
    *version = others * (INT64_C(1) << 32) + log->db.commits;
    return true;
}

/* ---- states ---- */

static bool state_at(Log *log, Moment at, Head *head, Fault *fault)
{
    if (head->last.at.ms <= at.ms)
        return true;
    Spot spot = {at, {{0}}};
    memset(spot.id.b, 0xff, sizeof spot.id.b);
    return checkpoint_load(log, &spot, false, head, fault) &&
           replay(log, head, (ReplayWish){.until = &at}, fault);
}

const State *log_state_lent(Log *log, const Moment *at, int64_t *entries, Fault *fault)
{
    Head *head;
    if (!log_begin(log, false, fault))
        return NULL;
    bool good = head_load(log, &head, fault) && (at == NULL || state_at(log, *at, head, fault));
    good = db_end(&log->db, true, fault) && good;
    if (good && entries != NULL)
        *entries = head->entries;
    return good ? &head->state : NULL;
}

bool log_state(Log *log, State *state, int64_t *entries, Fault *fault)
{
    const State *lent = log_state_lent(log, NULL, entries, fault);
    if (lent != NULL)
        *state = *lent;
    return lent != NULL;
}

bool log_state_at(Log *log, Moment at, State *state, int64_t *entries, Fault *fault)
{
    const State *lent = log_state_lent(log, &at, entries, fault);
    if (lent != NULL)
        *state = *lent;
    return lent != NULL;
}

/* ---- appending ---- */

/* The mark in the ids that are made here (uuid.h): that of its machine, where it takes part in a
 * sync, else one of its own, made when it is first asked for. */
static bool mark_of(Log *log, uint32_t *mark, Fault *fault)
{
    Str value = {0};
    Machine machine;
    bool there, good = setting_get(&log->db, "sync.machine", &value, &there, fault);
    if (good && !there)
        good = setting_get(&log->db, "mark", &value, &there, fault);
    if (good && !machine_read(text_of(value.s), &machine))
        good = machine_make(&machine, fault) && setting_set(&log->db, "mark", machine.s, fault);
    if (good)
        *mark = machine_mark(&machine);
    str_finish(&value);
    return good;
}

bool log_new_id(Log *log, Moment now, Uuid *id, Fault *fault)
{
    uint8_t random[10];
    uint32_t mark;
    if (getrandom(random, sizeof random, 0) != (ssize_t)sizeof random)
        return fault_set(fault, FAULT_LOG, "the system gives no random numbers: %s.",
                         strerror(errno));
    if (!mark_of(log, &mark, fault))
        return false;
    uuid_mark_put(random, mark);
    Uuid fresh = uuid_v7(now, random);
    if (uuid_compare(&fresh, &log->last_id) <= 0) {
        /* count on in the 62 + 12 random bits, leaving version and variant where they are */
        fresh = log->last_id;
        bool carry = true;
        for (int i = 15; carry && i >= 0; i--) {
            uint8_t mask = i == 8 ? 0x3f : i == 6 ? 0x0f : 0xff;
            uint8_t part = (uint8_t)((fresh.b[i] + 1) & mask);
            carry = part == 0;
            fresh.b[i] = (uint8_t)((fresh.b[i] & ~mask) | part);
        }
    }
    log->last_id = fresh;
    *id = fresh;
    return true;
}

static void written_push(Written *written, const Spot *spot)
{
    if (written->count == WRITTEN_MAX) {
        memmove(written->spots, written->spots + 1, (WRITTEN_MAX - 1) * sizeof(Spot));
        written->count--;
    }
    written->spots[written->count++] = *spot;
}

/* What an entry is checked against: the state at its place in the order, others not yet there. */
static bool check_there(Log *log, const Head *head, const Event *e, Moment now, Fault *fault)
{
    Spot spot = spot_of(e);
    if (spot_compare(&spot, &head->last) > 0)
        return fold_check(&head->state, e, now, fault);
    Head then;
    ReplayWish wish = {.before = &spot};
    if (!checkpoint_load(log, &spot, true, &then, fault) || !replay(log, &then, wish, fault))
        return false;
    return fold_check(&then.state, e, now, fault) ||
           kind_refused_then(kind_of((KindId)e->kind), fault);
}

static bool target_ready(Log *log, const Event *e, Spot *target, Fault *fault)
{
    bool found, out;
    char id[40];
    uuid_print(&e->u.entry.entry, id);
    if (!entry_spot(log, &e->u.entry.entry, &found, target, fault))
        return false;
    if (!found)
        return fault_set(fault, FAULT_REFUSED,
                         "there is no entry %s in this log. See ullage log for the ids.", id);
    if (!struck_is(log, target, &out, fault))
        return false;
    return !out || fault_set(fault, FAULT_REFUSED,
                             "the entry %s is taken back already. To have it again, void the void "
                             "that took it back (ullage log --voided shows it).",
                             id);
}

static bool row_insert(Log *log, const Event *e, Fault *fault)
{
    sqlite3_stmt *stmt = db_kept(&log->db, CODEC_INSERT, fault);
    if (stmt == NULL)
        return false;
    Tally more = {0};
    const uint32_t seal = event_seal(e);
    codec_bind(&log->codec, e, seal, stmt, 0);
    tally_add(&more, &e->id, seal);
    const Spot spot = spot_of(e);
    return db_change_one(&log->db, stmt, fault) && entry_taken(log, e, fault) &&
           tally_grow(&log->db, &more, fault) && unsent_note(log, &spot, fault);
}

/* Which entries changed sides through an append, from where on. */
typedef struct {
    bool changed;
    Spot earliest;
} Fate;

/* `named`: by a void that was there before. */
static bool append_strikes(Log *log, const Event *e, bool named, const Spot *target, Fate *fate,
                           Fault *fault)
{
    const Spot spot = spot_of(e);
    if (e->kind == KIND_VOID && !struck_note_void(log, e, target, fault))
        return false;
    if (named)
        return struck_touch(log, &spot, &fate->earliest, &fate->changed, fault);
    return e->kind != KIND_VOID ||
           struck_touch(log, target, &fate->earliest, &fate->changed, fault);
}

static bool id_ready(Log *log, Event *e, Moment now, bool *given, Fault *fault)
{
    bool found;
    Spot spot;
    *given = !uuid_is_nil(&e->id);
    if (!*given)
        return log_new_id(log, now, &e->id, fault);
    char id[40];
    return entry_spot(log, &e->id, &found, &spot, fault) &&
           (!found || fault_set(fault, FAULT_REFUSED, "the entry %s is in the log already.",
                                uuid_print(&e->id, id)));
}

/* What happens now comes after what is written already. While this program waited for its turn,
 * another may have written with a later `now`: without this, two draws at once of the last litre
 * would both be good, each at its own time. */
static bool queue_up(Event *e, Moment now, const Head *head, Fault *fault)
{
    const Spot spot = spot_of(e);
    return spot_compare(&spot, &head->last) > 0 || event_place(&head->state, e, now, fault);
}

static bool append_one(Log *log, Event *e, Moment now, Head *head, Fault *fault)
{
    bool given, named = false;
    Spot target = SPOT_BEFORE_ALL;
    if (!id_ready(log, e, now, &given, fault))
        return false;
    if ((!given && !queue_up(e, now, head, fault)) || !check_there(log, head, e, now, fault) ||
        (e->kind == KIND_VOID && !target_ready(log, e, &target, fault)) ||
        !row_insert(log, e, fault))
        return false;
    const Spot spot = spot_of(e);
    Fate fate = {.earliest = spot};
    /* a new id can't have been named before */
    if ((given && !struck_note_entry(log, &spot, &named, fault)) ||
        !append_strikes(log, e, named, &target, &fate, fault))
        return false;
    const Spot earliest =
        fate.changed && spot_compare(&fate.earliest, &spot) < 0 ? fate.earliest : spot;
    if (!fate.changed && spot_compare(&spot, &head->last) > 0) {
        /* The common case: newer than all, nothing else moves. */
        fold_apply(&head->state, e);
        if (!head_step(log, head, &spot, e, true, fault))
            return false;
    } else if (!replay_from(log, &earliest, head, (ReplayWatch){0}, fault)) {
        return false;
    }
    written_push(&head->written, &spot);
    return true;
}

static bool append_each(Log *log, Event *events, int count, Moment now, Head *head, Fault *fault)
{
    for (int i = 0; i < count; i++)
        if (!append_one(log, &events[i], now, head, fault))
            return false;
    return head_store(log, head, fault);
}

bool log_append_all(Log *log, Event *events, int count, Moment now, const LogTry *try, Fault *fault)
{
    Head *head = NULL;
    const LogTry ask = try != NULL ? *
    try:
        (LogTry){.dry = false};
    Spot *asked = memory_get(((size_t)count + 1) * sizeof *asked);
    for (int i = 0; i < count; i++)
        asked[i] = spot_of(&events[i]);
    bool good = log_begin(log, true, fault);
    if (good) {
        good = head_load(log, &head, fault);
        if (good && ask.before != NULL)
            *ask.before = head->state;
        good = good && append_each(log, events, count, now, head, fault);
        good = db_end(&log->db, good && !ask.dry, fault) && good;
    }
    if (good && ask.after != NULL)
        *ask.after = head->state;
    for (int i = 0; !good && i < count; i++) {
        events[i].id = asked[i].id;
        events[i].at = asked[i].at;
    }
    free(asked);
    return good;
}

bool log_append(Log *log, Event *e, Moment now, Fault *fault)
{
    return log_append_all(log, e, 1, now, NULL, fault);
}
