/* A disk that is full, that fails once, and a power that goes, at every point where the store
 * writes, and a read or a lock that fails at every point where it reads: while appending, taking
 * back, reading, importing, merging, bringing an older log up to date, backing up, restoring,
 * salvaging and keeping step with another machine. After each: what was acknowledged is there, what
 * was not is there whole or not at all, what was read is right or was refused with a sentence, and
 * the log is sound. ULLAGE_TRIALS says how many points each. */
#include "store/salvage.h"
#include "store/sync.h"
#include "support/logbook.h"
#include "support/power.h"
#include "support/store_kit.h"

#include <dirent.h>

enum { BASE = 20, MORE = 30, OLDER = 10, LIVE = 6, POINTS = 15 };

typedef struct {
    Kit kit; /* kit.path: the log */
    char other[160], copy[160], out[160];
    Event notes[BASE + MORE];
    bool known[BASE + MORE]; /* acknowledged */
    bool done;               /* the whole of it is */
    char *text;              /* the log as lines, where a story reads it */
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
    bool there[BASE + MORE];
    int count;
} Found;

static bool note_found(void *context, const Event *e, bool voided)
{
    Found *found = context;
    (void)voided;
    for (int i = 0; i < BASE + MORE; i++)
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
    for (int i = 0; i < BASE + MORE; i++)
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

/* ---- the stories ---- */

static void log_prepare(Trial *s)
{
    notes_into(s, s->kit.path, 0, BASE);
}

static void append_act(Trial *s)
{
    Fault fault = {0};
    Log *log = log_open(s->kit.path, LOG_WRITE, &fault);
    for (int i = BASE; log != NULL && i < BASE + LIVE; i++) {
        Event e = s->notes[i];
        s->known[i] = log_append(log, &e, KIT_NOW, &fault);
    }
    log_close(log);
}

static void append_check(Trial *s)
{
    const Found found = found_at(s, s->kit.path);
    assert_true(all_there(&found, 0, BASE));
    for (int i = BASE; i < BASE + LIVE; i++)
        assert_true(found.there[i] || !s->known[i]);
}

static void void_act(Trial *s)
{
    Fault fault = {0};
    Log *log = log_open(s->kit.path, LOG_WRITE, &fault);
    s->done = log != NULL;
    for (int i = 1; log != NULL && i <= LIVE; i++) {
        char id[40];
        Event e, out = s->notes[BASE + i];
        s->known[i] = log_find(log, text_of(uuid_print(&s->notes[i].id, id)), &e, &fault);
        void_make(&out, &e);
        s->known[i] = s->known[i] && log_append(log, &out, KIT_NOW, &fault);
        s->done = s->done && s->known[i];
    }
    log_close(log);
}

static bool note_voided(void *context, const Event *e, bool voided)
{
    Found *found = context;
    for (int i = 0; i < BASE; i++)
        if (event_equal(&found->stage->notes[i], e))
            found->there[i] = voided;
    return true;
}

static void void_check(Trial *s)
{
    Found found = {.stage = s};
    Fault fault = {0};
    const LogQuery everything = KIT_EVERYTHING;
    Log *log = log_at(s->kit.path, LOG_WRITE);
    kit_sound(log);
    assert_true(log_each(log, &everything, note_voided, &found, &fault));
    for (int i = 0; i < BASE; i++)
        assert_true(i == 0 || (i > LIVE && !found.there[i]) || found.there[i] >= s->known[i]);
    log_close(log);
}

static void look_prepare(Trial *s)
{
    log_prepare(s);
    Log *log = log_at(s->kit.path, LOG_WRITE);
    s->text = kit_export(log, PORT_JSON);
    s->state = malloc(sizeof *s->state);
    kit_state(log, s->state, NULL);
    log_close(log);
}

static bool exported(Log *log, char **text, Fault *fault)
{
    size_t n = 0;
    const LogQuery everything = KIT_EVERYTHING;
    FILE *out = open_memstream(text, &n);
    const bool good = port_export(log, &everything, PORT_JSON, out, fault);
    fclose(out);
    return good;
}

static void state_looked(void *context, int i, const State *state)
{
    Trial *s = context;
    s->known[i] = state->folded <= s->state->folded;
}

/* What is read is right, or not called read. */
static void look_act(Trial *s)
{
    Fault fault = {0};
    State *state = malloc(sizeof *state);
    char *text = NULL;
    Event e;
    Units units;
    Str kept = {0};
    int64_t entries = 0, version;
    const Moment last = s->notes[BASE - 1].at;
    Log *log = log_open(s->kit.path, LOG_READ, &fault);
    s->done = log != NULL;
    if (log != NULL && log_state(log, state, &entries, &fault))
        assert_true(entries == BASE && state_equal(state, s->state));
    else
        s->done = false;
    if (log != NULL && log_state_at(log, last, state, &entries, &fault))
        assert_true(entries == BASE && state_equal(state, s->state));
    else
        s->done = false;
    if (log != NULL && exported(log, &text, &fault))
        assert_string_equal(text, s->text);
    else
        s->done = false;
    if (log != NULL && log_find(log, text_of("last"), &e, &fault))
        assert_true(event_equal(&e, &s->notes[BASE - 2]));
    else
        s->done = false;
    s->done = s->done && log_units(log, &units, &fault) && log_calendar(log, &kept, &fault) &&
              log_version(log, &version, &fault) &&
              log_sample(log, (LogSpan){s->notes[0].at, last, 3}, state_looked, s, &fault) &&
              log_verify(log, (LogReport){0}, &fault);
    assert_true(s->done || (fault.kind == FAULT_LOG && fault.text[0] != '\0'));
    log_close(log);
    str_finish(&kept);
    free(text);
    free(state);
}

static void look_check(Trial *s)
{
    assert_int_equal(found_at(s, s->kit.path).count, BASE);
    free(s->text);
    free(s->state);
}

static void import_act(Trial *s)
{
    Str text = {0};
    Fault fault = {0};
    for (int i = BASE; i < BASE + MORE; i++) {
        port_json(&s->notes[i], NULL, &text);
        str_addc(&text, '\n');
    }
    Log *log = log_open(s->kit.path, LOG_WRITE, &fault);
    s->done = log != NULL && kit_import_as(log, text.s, text.n, PORT_JSON, NULL, &fault);
    log_close(log);
    str_finish(&text);
}

/* All of it or nothing; all where it was said to be done. */
static void whole_check(Trial *s)
{
    const Found found = found_at(s, s->kit.path);
    assert_true(all_there(&found, 0, BASE));
    assert_true(found.count == BASE + MORE || (found.count == BASE && !s->done));
}

static void merge_prepare(Trial *s)
{
    log_prepare(s);
    notes_into(s, s->other, BASE, BASE + MORE);
}

static void merge_act(Trial *s)
{
    LogIntake intake;
    Fault fault = {0};
    Log *log = log_open(s->kit.path, LOG_WRITE, &fault);
    s->done = log != NULL && log_merge(log, s->other, KIT_NOW, &intake, &fault);
    log_close(log);
}

static void merge_check(Trial *s)
{
    whole_check(s);
    const Found found = found_at(s, s->other);
    assert_int_equal(found.count, MORE);
}

static void migrate_prepare(Trial *s)
{
    kit_copy(FIXTURES "/log-v1.db", s->kit.path);
}

static void migrate_act(Trial *s)
{
    Fault fault = {0};
    Log *log = log_open(s->kit.path, LOG_WRITE, &fault);
    s->done = log != NULL;
    log_close(log);
}

static void is_fixture(const char *path, LogMode mode)
{
    char want[16384] = {0};
    FILE *file = fopen(FIXTURES "/log-v1.jsonl", "r");
    assert_non_null(file);
    assert_true(fread(want, 1, sizeof want - 1, file) > 0);
    fclose(file);
    Log *log = log_at(path, mode);
    char *is = kit_export(log, PORT_JSON);
    assert_string_equal(is, want);
    kit_sound(log);
    free(is);
    log_close(log);
}

static void migrate_check(Trial *s)
{
    char before[170];
    snprintf(before, sizeof before, "%s-before-2", s->kit.path);
    if (s->done || access(before, F_OK) == 0)
        is_fixture(before, LOG_READ);
    is_fixture(s->kit.path, LOG_WRITE);
    is_fixture(before, LOG_READ); /* made by now in any case */
}

static void backup_prepare(Trial *s)
{
    notes_into(s, s->copy, 0, OLDER);
    log_prepare(s);
}

static void backup_act(Trial *s)
{
    Fault fault = {0};
    Log *log = log_open(s->kit.path, LOG_READ, &fault);
    s->done = log != NULL && log_backup(log, s->copy, true, &fault);
    log_close(log);
}

static void backup_check(Trial *s)
{
    const Found log = found_at(s, s->kit.path), copy = found_at(s, s->copy);
    assert_int_equal(log.count, BASE);
    assert_true(copy.count == BASE || (copy.count == OLDER && !s->done));
}

static void first_backup_act(Trial *s)
{
    Fault fault = {0};
    Log *log = log_open(s->kit.path, LOG_READ, &fault);
    s->done = log != NULL && log_backup(log, s->out, false, &fault);
    log_close(log);
}

static void salvage_act(Trial *s)
{
    LogSalvage count;
    Fault fault = {0};
    s->done = log_salvage(s->kit.path, s->out, false, (LogReport){0}, &count, &fault) &&
              count.read == BASE;
}

/* The new file is whole, or it is not there. */
static void new_check(Trial *s)
{
    Found found = found_at(s, s->kit.path);
    assert_int_equal(found.count, BASE);
    if (!s->done && access(s->out, F_OK) != 0)
        return;
    found = found_at(s, s->out);
    assert_int_equal(found.count, BASE);
}

static void restore_act(Trial *s)
{
    Str kept = {0};
    Fault fault = {0};
    s->done = log_restore(s->kit.path, s->copy, KIT_NOW, &kept, &fault);
    str_finish(&kept);
}

static void restore_check(Trial *s)
{
    const Found log = found_at(s, s->kit.path), copy = found_at(s, s->copy);
    assert_int_equal(copy.count, OLDER);
    assert_true(log.count == OLDER || (log.count == BASE && !s->done));
}

static void over_damage_prepare(Trial *s)
{
    notes_into(s, s->copy, 0, OLDER);
    FILE *file = fopen(s->kit.path, "w");
    fputs("this was a log once", file);
    fclose(file);
}

/* The file is what it was, or the backup. */
static void over_damage_check(Trial *s)
{
    char words[40] = {0};
    FILE *file = fopen(s->kit.path, "r");
    assert_non_null(file);
    assert_non_null(fgets(words, sizeof words, file));
    fclose(file);
    if (s->done || strncmp(words, "this was", 8) != 0)
        assert_int_equal(found_at(s, s->kit.path).count, OLDER);
}

static bool synced(const char *path, const char *folder)
{
    Fault fault = {0};
    SyncCount count;
    Log *log = log_open(path, LOG_WRITE, &fault);
    const bool good = log != NULL && log_sync(log, folder, KIT_NOW, (SyncTell){0}, &count, &fault);
    log_close(log);
    return good;
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
    assert_true(synced(s->other, folder));
}

static void sync_act(Trial *s)
{
    char folder[200];
    s->done = synced(s->kit.path, shared(s, folder, sizeof folder));
}

/* Whatever happened, after one more round each both have everything. */
static void sync_check(Trial *s)
{
    char folder[200];
    shared(s, folder, sizeof folder);
    const Found found = found_at(s, s->kit.path);
    assert_true(all_there(&found, 0, BASE));
    assert_true(!s->done || found.count == BASE + MORE);
    assert_true(synced(s->kit.path, folder));
    assert_true(synced(s->other, folder));
    assert_int_equal(found_at(s, s->kit.path).count, BASE + MORE);
    assert_int_equal(found_at(s, s->other).count, BASE + MORE);
}

static const Story stories[] = {
    {"append", log_prepare, append_act, append_check},
    {"void", log_prepare, void_act, void_check},
    {"look", look_prepare, look_act, look_check},
    {"import", log_prepare, import_act, whole_check},
    {"merge", merge_prepare, merge_act, merge_check},
    {"migrate", migrate_prepare, migrate_act, migrate_check},
    {"backup", backup_prepare, backup_act, backup_check},
    {"first backup", log_prepare, first_backup_act, new_check},
    {"restore", backup_prepare, restore_act, restore_check},
    {"restore over damage", over_damage_prepare, restore_act, over_damage_check},
    {"salvage", log_prepare, salvage_act, new_check},
    {"sync", sync_prepare, sync_act, sync_check},
};
enum { STORIES = sizeof stories / sizeof *stories };

/* ---- points ---- */

static void stage_begin(Trial *s)
{
    memset(s, 0, sizeof *s);
    kit_init(&s->kit);
    snprintf(s->other, sizeof s->other, "%s/other.db", s->kit.dir);
    snprintf(s->copy, sizeof s->copy, "%s/copy.db", s->kit.dir);
    snprintf(s->out, sizeof s->out, "%s/out.db", s->kit.dir);
    for (int i = 0; i < BASE + MORE; i++)
        note_make(&s->notes[i], i);
    void_make(&s->notes[BASE - 1], &s->notes[0]);
    void_make(&s->notes[BASE + LIVE - 1], &s->notes[BASE]);
    void_make(&s->notes[BASE + MORE - 1], &s->notes[1]);
}

/* The index of a write-ahead log is in memory: it does not outlive the power. */
static void indexes_gone(const char *dir)
{
    DIR *folder = opendir(dir);
    for (struct dirent *d = readdir(folder); d != NULL; d = readdir(folder)) {
        char path[400];
        const size_t n = strlen(d->d_name);
        snprintf(path, sizeof path, "%s/%s", dir, d->d_name);
        if (n > 4 && strcmp(d->d_name + n - 4, "-shm") == 0)
            unlink(path);
    }
    closedir(folder);
}

static const char *now_telling; /* what a failed assertion is about */

static void point(const Story *story, PowerMode mode, int64_t n, uint64_t seed)
{
    static char words[120];
    Trial s;
    stage_begin(&s);
    story->prepare(&s);
    snprintf(words, sizeof words, "%s, mode %d, thing %lld, seed %llu", story->name, (int)mode,
             (long long)n, (unsigned long long)seed);
    now_telling = words;
    power_arm(mode, n);
    story->act(&s);
    power_back(seed);
    if (mode == POWER_CUT)
        indexes_gone(s.kit.dir);
    story->check(&s);
    kit_finish(&s.kit);
    now_telling = NULL;
}

/* How many things a story asks for when nothing fails. */
static int64_t things_of(const Story *story, PowerMode mode)
{
    Trial s;
    stage_begin(&s);
    story->prepare(&s);
    power_arm(mode, INT64_MAX);
    story->act(&s);
    const int64_t things = power_done;
    power_back(0);
    power_mode = POWER_ONCE;
    s.done = s.done || story->act == append_act;
    assert_true(s.done);
    story->check(&s);
    kit_finish(&s.kit);
    return things;
}

static void nothing_acknowledged_is_lost_and_nothing_is_half(void **state)
{
    (void)state;
    const char *asked = getenv("ULLAGE_TRIALS");
    const int64_t trials = asked != NULL ? atoi(asked) : POINTS;
    int64_t all = 0;
    for (int i = 0; i < STORIES; i++) {
        for (int mode = 0; mode < POWER_MODES; mode++) {
            const int64_t things = things_of(&stories[i], (PowerMode)mode);
            const int64_t points = mode == POWER_READ ? 4 * trials : trials;
            assert_true(things > 5 || (stories[i].act == look_act && mode != POWER_READ));
            for (int64_t k = 0; things > 0 && k < points; k++, all++)
                point(&stories[i], (PowerMode)mode,
                      points < things ? things * k / points : k % things,
                      (uint64_t)k * 31 + (uint64_t)i);
        }
    }
    print_message("%lld points\n", (long long)all);
}

static int telling(void **state)
{
    (void)state;
    if (now_telling != NULL)
        print_error("at: %s\n", now_telling);
    return 0;
}

int main(void)
{
    power_install();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_teardown(nothing_acknowledged_is_lost_and_nothing_is_half, telling),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
