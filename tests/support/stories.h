/* stories.h - what a person does with a log, each as a story: what is there before it, the act, and
 * what must be true after it wherever it was stopped. Include it in one file per test program. */
#ifndef ULLAGE_TESTS_STORIES_H
#define ULLAGE_TESTS_STORIES_H

#include "support/stories_sync.h"

/* A log that begins, in folders that are not there yet. */
static void nothing_prepare(Trial *s)
{
    (void)s;
}

static const char *begun(const Trial *s, char *path, size_t size)
{
    snprintf(path, size, "%s/new folder/it's/log.db", s->kit.dir);
    return path;
}

static void begin_act(Trial *s)
{
    char path[200];
    Event e = s->notes[0];
    Log *log = log_open(begun(s, path, sizeof path), LOG_WRITE, &s->fault);
    s->done = s->known[0] = log != NULL && log_append(log, &e, KIT_NOW, &s->fault);
    log_close(log);
}

static void begin_check(Trial *s)
{
    char path[200];
    begun(s, path, sizeof path);
    if (s->done || access(path, F_OK) == 0) {
        const Found found = found_at(s, path);
        assert_true(found.count == 1 || (found.count == 0 && !s->known[0]));
    }
    /* as it was before, for the next one */
    remove(path);
    *strrchr(path, '/') = '\0';
    remove(path);
    *strrchr(path, '/') = '\0';
    remove(path);
}

/* What runs just now is told beside the log: whole, or not at all. */
static void runs_act(Trial *s)
{
    State *state = memory_get(sizeof *state);
    Running out[LINES_MAX];
    const Running told = {
        .line = label_of(text_of("galley")), .since = 5, .at = KIT_NOW.ms, .ml = 900, .ml_min = 80};
    state_init(state);
    state_line_ensure(state, &told.line);
    running_tell(s->kit.path, &told);
    running_wake(s->kit.path);
    if (running_read(s->kit.path, state, KIT_NOW, out) == 1)
        assert_memory_equal(&out[0], &told, sizeof told);
    running_end(s->kit.path, &told.line);
    s->done = true;
    free(state);
}

static void log_check(Trial *s)
{
    assert_int_equal(found_at(s, s->kit.path).count, BASE);
}

static void append_act(Trial *s)
{
    Log *log = log_open(s->kit.path, LOG_WRITE, &s->fault);
    s->done = log != NULL;
    for (int i = BASE; log != NULL && i < BASE + LIVE; i++) {
        Event e = s->notes[i];
        s->known[i] = log_append(log, &e, KIT_NOW, &s->fault);
        s->done = s->done && s->known[i];
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
    Log *log = log_open(s->kit.path, LOG_WRITE, &s->fault);
    s->done = log != NULL;
    for (int i = 1; log != NULL && i <= LIVE; i++) {
        char id[40];
        Event e, out = s->notes[BASE + i];
        const bool found = log_find(log, text_of(uuid_print(&s->notes[i].id, id)), &e, &s->fault);
        void_make(&out, &e);
        s->known[i] = found && log_append(log, &out, KIT_NOW, &s->fault);
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
    found->count++;
    return true;
}

/* What is there and what is taken back, in a log that is sound. */
static Found found_now(Trial *s)
{
    Found found = {.stage = s};
    Fault fault = {0};
    const LogQuery everything = KIT_EVERYTHING;
    Log *log = log_at(s->kit.path, LOG_WRITE);
    kit_sound(log);
    assert_true(log_each(log, &everything, note_voided, &found, &fault));
    log_close(log);
    return found;
}

static void void_check(Trial *s)
{
    const Found found = found_now(s);
    for (int i = 0; i < BASE; i++)
        assert_true(i == 0 || (i > LIVE && !found.there[i]) || found.there[i] >= s->known[i]);
}

/* An entry taken back and another one in its place: both or neither. */
static void amend_act(Trial *s)
{
    Event pair[] = {s->notes[BASE], s->notes[BASE + 1]};
    State *state = memory_get(2 * sizeof *state);
    void_make(&pair[0], &s->notes[2]);
    Log *log = log_open(s->kit.path, LOG_WRITE, &s->fault);
    const LogTry ask = {.before = &state[0], .after = &state[1]};
    s->done = log != NULL && log_append_all(log, pair, 2, KIT_NOW, &ask, &s->fault);
    assert_true(!s->done || state[1].folded == state[0].folded + 1); /* two more, one less */
    free(state);
    log_close(log);
}

static void amend_check(Trial *s)
{
    const Found found = found_now(s);
    assert_true(found.there[2] || !s->done);
    assert_int_equal(found.count, found.there[2] ? BASE + 2 : BASE);
}

/* Entries that get their ids here, live and from lines; the log was made sure of. */
static void ids_act(Trial *s)
{
    static const char line[] =
        "{\"at\":\"2026-10-02T08:00:00Z\",\"kind\":\"note\",\"note\":\"x\"}\n";
    Event e = s->notes[BASE];
    memset(&e.id, 0, sizeof e.id);
    Log *log = log_open(s->kit.path, LOG_WRITE | LOG_ASSERTED, &s->fault);
    s->known[0] = log != NULL && log_append(log, &e, KIT_NOW, &s->fault);
    s->known[1] =
        log != NULL && kit_import_as(log, line, sizeof line - 1, PORT_AUTO, NULL, &s->fault);
    e = s->notes[BASE + 1];
    void_make(&e, &s->notes[2]);
    s->known[2] = log != NULL && log_append(log, &e, KIT_NOW, &s->fault);
    s->done = s->known[0] && s->known[1] && s->known[2];
    log_close(log);
}

static void ids_check(Trial *s)
{
    State *state = memory_get(sizeof *state);
    int64_t entries;
    Log *log = log_at(s->kit.path, LOG_WRITE);
    kit_sound(log);
    kit_state(log, state, &entries);
    assert_true(entries >= BASE + s->known[0] + s->known[1] + s->known[2] && entries <= BASE + 3);
    free(state);
    log_close(log);
}

static void look_prepare(Trial *s)
{
    log_prepare(s);
    Log *log = log_at(s->kit.path, LOG_WRITE);
    s->text = kit_export(log, PORT_JSON);
    s->state = memory_get(sizeof *s->state);
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
    State *state = memory_get(sizeof *state);
    char *text = NULL;
    Event e;
    Units units;
    Str kept = {0};
    int64_t entries = 0, version;
    const Moment last = s->notes[BASE - 1].at;
    Log *log = log_open(s->kit.path, LOG_READ, &s->fault);
    s->done = log != NULL;
    if (log != NULL && log_state(log, state, &entries, &s->fault))
        assert_true(entries == BASE && state_equal(state, s->state));
    else
        s->done = false;
    if (log != NULL && log_state_at(log, last, state, &entries, &s->fault))
        assert_true(entries == BASE && state_equal(state, s->state));
    else
        s->done = false;
    if (log != NULL && exported(log, &text, &s->fault))
        assert_string_equal(text, s->text);
    else
        s->done = false;
    if (log != NULL && log_find(log, text_of("last"), &e, &s->fault))
        assert_true(event_equal(&e, &s->notes[BASE - 2]));
    else
        s->done = false;
    bool own;
    s->done = s->done && log_last(log, &e, &own, &s->fault) && log_units(log, &units, &s->fault) &&
              log_calendar(log, &kept, &s->fault) && log_version(log, &version, &s->fault) &&
              log_sample(log, (LogSpan){s->notes[0].at, last, 3}, state_looked, s, &s->fault) &&
              log_verify(log, (LogReport){0}, &s->fault);
    assert_true(s->done || (s->fault.kind == FAULT_LOG && s->fault.text[0] != '\0'));
    log_close(log);
    assert_true(!log_peek(s->kit.path, state) || state_equal(state, s->state));
    str_finish(&kept);
    free(text);
    free(state);
}

static void look_check(Trial *s)
{
    assert_int_equal(found_at(s, s->kit.path).count, BASE);
}

static void import_act(Trial *s)
{
    Str text = {0};
    for (int i = BASE; i < BASE + MORE; i++) {
        port_json(&s->notes[i], NULL, &text);
        str_addc(&text, '\n');
    }
    Log *log = log_open(s->kit.path, LOG_WRITE, &s->fault);
    s->done = log != NULL && kit_import_as(log, text.s, text.n, PORT_JSON, NULL, &s->fault);
    log_close(log);
    str_finish(&text);
}

static void table_prepare(Trial *s)
{
    log_prepare(s);
    notes_into(s, s->other, BASE, BASE + MORE);
    Log *log = log_at(s->other, LOG_READ);
    s->text = kit_export(log, PORT_CSV);
    log_close(log);
}

static void table_act(Trial *s)
{
    Log *log = log_open(s->kit.path, LOG_WRITE, &s->fault);
    s->done =
        log != NULL && kit_import_as(log, s->text, strlen(s->text), PORT_CSV, NULL, &s->fault);
    log_close(log);
}

/* All of it or nothing; all where it was said to be done. */
static void whole_check(Trial *s)
{
    const Found found = found_at(s, s->kit.path);
    assert_true(all_there(&found, 0, BASE));
    assert_true(found.count == BASE + MORE || (found.count == BASE && !s->done));
}

static void settings_prepare(Trial *s)
{
    Fault fault = {0};
    log_prepare(s);
    Log *log = log_at(s->kit.path, LOG_WRITE);
    assert_true(log_set_units(log, UNITS_US, &fault) && log_set_calendar(log, "before", &fault));
    log_close(log);
}

static void settings_act(Trial *s)
{
    Log *log = log_open(s->kit.path, LOG_WRITE, &s->fault);
    s->known[0] = log != NULL && log_set_units(log, UNITS_IMPERIAL, &s->fault);
    s->known[1] = log != NULL && log_set_calendar(log, "after", &s->fault);
    s->known[2] = log != NULL && log_set_look(log, "theme", "", "night", &s->fault);
    s->done = s->known[0] && s->known[1] && s->known[2];
    log_close(log);
}

static void settings_check(Trial *s)
{
    Fault fault = {0};
    Units units;
    Str calendar = {0}, theme = {0};
    assert_int_equal(found_at(s, s->kit.path).count, BASE);
    Log *log = log_at(s->kit.path, LOG_READ);
    assert_true(log_units(log, &units, &fault) && log_calendar(log, &calendar, &fault) &&
                log_look(log, "theme", "", &theme, &fault));
    assert_true(units == UNITS_IMPERIAL || (units == UNITS_US && !s->known[0]));
    assert_true(strcmp(calendar.s, "after") == 0 ||
                (strcmp(calendar.s, "before") == 0 && !s->known[1]));
    assert_true(strcmp(theme.s, "night") == 0 || (theme.n == 0 && !s->known[2]));
    str_finish(&calendar);
    str_finish(&theme);
    log_close(log);
}

/* Any entries, with checkpoints close together; then more among them, and one before them all. */
enum { EARLY = 40, LATER = 20 };

static Log *early_at(Trial *s, Fault *fault)
{
    return log_open_tuned(s->kit.path, LOG_WRITE, KIT_TUNING, fault);
}

static Event *early_events(void)
{
    Event *events = memory_get((EARLY + LATER) * sizeof *events);
    kit_log(events, EARLY + LATER, 5);
    return events;
}

static void early_prepare(Trial *s)
{
    Event *events = early_events();
    Log *log = kit_open(s->kit.path, LOG_WRITE);
    kit_feed(log, events, 0, EARLY);
    log_close(log);
    free(events);
}

static void early_act(Trial *s)
{
    Event *events = early_events(), first = s->notes[0];
    Str text = {0};
    for (int i = EARLY; i < EARLY + LATER; i++) {
        port_json(&events[i], NULL, &text);
        str_addc(&text, '\n');
    }
    first.at.ms = INT64_C(1780000000000);
    Log *log = early_at(s, &s->fault);
    s->known[0] = log != NULL && kit_import_as(log, text.s, text.n, PORT_JSON, NULL, &s->fault);
    s->known[1] = log != NULL && log_append(log, &first, KIT_NOW, &s->fault);
    s->done = s->known[0] && s->known[1];
    log_close(log);
    str_finish(&text);
    free(events);
}

static void early_check(Trial *s)
{
    Fault fault = {0};
    State *state = memory_get(sizeof *state);
    int64_t entries;
    Log *log = early_at(s, &fault);
    assert_non_null(log);
    kit_sound(log);
    kit_state(log, state, &entries);
    assert_true(entries == EARLY || entries == EARLY + 1 || entries == EARLY + LATER ||
                entries == EARLY + LATER + 1);
    assert_true(entries >= EARLY + LATER || !s->known[0]);
    assert_true(entries % 2 == 1 || !s->known[1]);
    log_close(log);
    free(state);
}

/* Its stored states are of another version of the program. */
static void stale_prepare(Trial *s)
{
    Fault fault = {0};
    look_prepare(s);
    Log *log = log_at(s->kit.path, LOG_WRITE);
    assert_true(db_run(&log->db, "UPDATE head SET stamp=1", &fault));
    log_close(log);
}

static void merge_act(Trial *s)
{
    LogIntake intake;
    Log *log = log_open(s->kit.path, LOG_WRITE, &s->fault);
    s->done = log != NULL && log_merge(log, s->other, KIT_NOW, &intake, &s->fault);
    log_close(log);
}

static void merge_check(Trial *s)
{
    whole_check(s);
    const Found found = found_at(s, s->other);
    assert_int_equal(found.count, MORE);
}

/* A copy of the log that has gone its own way since, of a mark that both have. */
static void parted_prepare(Trial *s)
{
    Fault fault = {0};
    log_prepare(s);
    Log *log = log_at(s->kit.path, LOG_WRITE);
    assert_true(db_run(&log->db, "INSERT INTO setting VALUES('mark','0123456789ab')", &fault));
    log_close(log);
    kit_copy(s->kit.path, s->other);
    notes_into(s, s->kit.path, BASE + MORE, ALL);
    notes_into(s, s->other, BASE, BASE + MORE);
}

static void parted_check(Trial *s)
{
    const Found found = found_at(s, s->kit.path);
    assert_true(all_there(&found, 0, BASE) && all_there(&found, BASE + MORE, ALL));
    assert_true(found.count == ALL || (found.count == ALL - MORE && !s->done));
}

static void migrate_prepare(Trial *s)
{
    kit_copy(FIXTURES "/log-v1.db", s->kit.path);
}

static void migrate_act(Trial *s)
{
    Log *log = log_open(s->kit.path, LOG_WRITE, &s->fault);
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

/* An older log is only looked at. */
static void older_act(Trial *s)
{
    char *text = NULL;
    Log *log = log_open(s->kit.path, LOG_READ, &s->fault);
    s->done = log != NULL && exported(log, &text, &s->fault) &&
              log_verify(log, (LogReport){0}, &s->fault);
    log_close(log);
    free(text);
}

static void older_check(Trial *s)
{
    is_fixture(s->kit.path, LOG_READ);
}

static void seal_prepare(Trial *s)
{
    migrate_prepare(s);
    log_close(log_at(s->kit.path, LOG_WRITE));
}

static void seal_act(Trial *s)
{
    int64_t sealed;
    Log *log = log_open(s->kit.path, LOG_WRITE, &s->fault);
    s->done = log != NULL && log_seal(log, &sealed, &s->fault);
    log_close(log);
}

static void seal_check(Trial *s)
{
    Fault fault = {0};
    int64_t bare;
    is_fixture(s->kit.path, LOG_WRITE);
    Log *log = log_at(s->kit.path, LOG_READ);
    assert_true(
        db_number(&log->db, "SELECT count(*) FROM entry WHERE seal IS NULL", 0, &bare, &fault));
    assert_true(bare == 0 || !s->done);
    log_close(log);
}

static void backup_prepare(Trial *s)
{
    notes_into(s, s->copy, 0, OLDER);
    log_prepare(s);
}

static void backup_act(Trial *s)
{
    Log *log = log_open(s->kit.path, LOG_READ, &s->fault);
    s->done = log != NULL && log_backup(log, s->copy, true, &s->fault);
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
    Log *log = log_open(s->kit.path, LOG_READ, &s->fault);
    s->done = log != NULL && log_backup(log, s->out, false, &s->fault);
    log_close(log);
}

static void salvage_told(void *context, bool good, const char *line)
{
    Trial *s = context;
    if (!good)
        fault_set(&s->fault, FAULT_LOG, "%s.", line);
}

/* Not all of it where it says so. */
static void salvage_act(Trial *s)
{
    LogSalvage count = {0};
    s->done =
        log_salvage(s->kit.path, s->out, false, (LogReport){salvage_told, s}, &count, &s->fault) &&
        s->fault.kind == FAULT_NONE;
    assert_true(!s->done || count.read == BASE);
}

static void salvage_check(Trial *s)
{
    log_check(s);
    if (s->done || access(s->out, F_OK) == 0) {
        const Found found = found_at(s, s->out);
        assert_true(found.count == BASE || (found.count > 0 && !s->done));
    }
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

/* A page of entries is gone. */
static void hole_prepare(Trial *s)
{
    char zeros[4096] = {0};
    log_prepare(s);
    FILE *file = fopen(s->kit.path, "r+b");
    assert_non_null(file);
    assert_int_equal(fseek(file, 4096, SEEK_SET), 0);
    assert_int_equal(fwrite(zeros, 1, 2048, file), 2048);
    fclose(file);
}

/* That something is missing is told, and is no sign of a failure. */
static void hole_act(Trial *s)
{
    LogSalvage count;
    s->done = log_salvage(s->kit.path, s->out, false, (LogReport){0}, &count, &s->fault);
}

static void hole_check(Trial *s)
{
    if (s->done || access(s->out, F_OK) == 0)
        assert_true(found_at(s, s->out).count > 0);
}

static void restore_act(Trial *s)
{
    Str kept = {0};
    s->done = log_restore(s->kit.path, s->copy, KIT_NOW, &kept, &s->fault);
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

static const Story stories[] = {
    {"begin", nothing_prepare, begin_act, begin_check},
    {"water that runs", log_prepare, runs_act, log_check},
    {"append", log_prepare, append_act, append_check},
    {"void", log_prepare, void_act, void_check},
    {"amend", log_prepare, amend_act, amend_check},
    {"look", look_prepare, look_act, look_check},
    {"look at stale states", stale_prepare, look_act, look_check},
    {"new ids", log_prepare, ids_act, ids_check},
    {"settings", settings_prepare, settings_act, settings_check},
    {"early", early_prepare, early_act, early_check},
    {"import", log_prepare, import_act, whole_check},
    {"import a table", table_prepare, table_act, whole_check},
    {"merge", merge_prepare, merge_act, merge_check},
    {"merge a copy", parted_prepare, merge_act, parted_check},
    {"migrate", migrate_prepare, migrate_act, migrate_check},
    {"look at an older log", migrate_prepare, older_act, older_check},
    {"seal", seal_prepare, seal_act, seal_check},
    {"backup", backup_prepare, backup_act, backup_check},
    {"first backup", log_prepare, first_backup_act, new_check},
    {"restore", backup_prepare, restore_act, restore_check},
    {"restore over damage", over_damage_prepare, restore_act, over_damage_check},
    {"salvage", log_prepare, salvage_act, salvage_check},
    {"salvage past a hole", hole_prepare, hole_act, hole_check},
    {"sync", sync_prepare, sync_act, sync_check},
    {"sync again", again_prepare, sync_act, again_check},
    {"sync after a kill", kill_prepare, sync_act, again_check},
    {"sync of a log put back", back_in_time_prepare, told_act, told_check},
    {"sync with an emptied folder", empty_prepare, told_act, told_check},
    {"leave the folder", again_prepare, leave_act, leave_check},
};
enum { STORIES = sizeof stories / sizeof *stories };

#endif
