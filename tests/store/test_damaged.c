/* A row of our own log is damaged, and another log, a file of lines or a shared folder has the
 * entry as it was: that is said, with the entry and what to do, and is never taken for the same. */
#include "store/salvage.h"
#include "store/schema.h"
#include "store/setting.h"
#include "store/sync.h"
#include "support/logbook.h"
#include "support/store_kit.h"

enum { ENTRIES = 40, HURT = 7, FLIPS = 400 };

typedef struct {
    Kit kit;
    char other[160], healed[160];
    Event events[ENTRIES + 1];
} Pair;

static void pair_begin(Pair *p)
{
    uint64_t seed = 11;
    kit_init(&p->kit);
    snprintf(p->other, sizeof p->other, "%s/other.db", p->kit.dir);
    snprintf(p->healed, sizeof p->healed, "%s/healed.db", p->kit.dir);
    for (int i = 0; i <= ENTRIES; i++)
        kit_draw(&p->events[i], INT64_C(1790000000000) + i * MS_PER_MINUTE, &seed, 1000 + i);
    event_clear(&p->events[0], KIND_VESSEL);
    kit_stamp(&p->events[0], INT64_C(1789999000000), &seed);
    kit_name(&p->events[0], "vessel", "A1");
    kit_give(&p->events[0], "capacity", 90000);
    snprintf(p->events[HURT].note, sizeof p->events[HURT].note, "for the kettle");
}

/* Tuned like a new log of a salvage, with which it is compared. */
static Log *open_at(const char *path, LogMode mode)
{
    Fault fault = {0};
    Log *log = log_open(path, mode, &fault);
    if (log == NULL)
        fail_msg("%s", fault.text);
    return log;
}

/* `extra`: the other log has one entry more. */
static void pair_fill(Pair *p, bool extra)
{
    const char *const paths[] = {p->kit.path, p->other};
    for (int i = 0; i < 2; i++) {
        Log *log = open_at(paths[i], LOG_WRITE);
        kit_feed(log, p->events, 0, ENTRIES + (i == 1 && extra));
        log_close(log);
    }
}

/* One row is changed as damage would, past the trigger that refuses it. */
static void row_hurt(const char *path, const Event *e, const char *set)
{
    char id[40], hex[40], sql[400];
    size_t n = 0;
    Fault fault = {0};
    uuid_print(&e->id, id);
    for (const char *c = id; *c != '\0'; c++)
        if (*c != '-')
            hex[n++] = *c;
    hex[n] = '\0';
    Log *log = open_at(path, LOG_WRITE | LOG_ASSERTED);
    snprintf(sql, sizeof sql,
             "BEGIN; "
             "DROP TRIGGER entry_stays; UPDATE entry SET %s WHERE id=x'%s'; COMMIT",
             set, hex);
    if (!db_run(&log->db, sql, &fault) || !schema_lock(&log->db, &fault))
        fail_msg("%s", fault.text);
    log_close(log);
}

static char *exported(const char *path)
{
    Log *log = open_at(path, LOG_WRITE);
    char *text = kit_export(log, PORT_JSON);
    kit_sound(log);
    log_close(log);
    return text;
}

static const struct {
    const char *set;
    bool other_place; /* it stands elsewhere now, as if the other log had one that is new */
} hurts[] = {
    {"n1=n1+1", false},     {"zone=zone+1", false},
    {"name='B1'", false},   {"note='for the cattle'", false},
    {"note=NULL", false},   {"code=1", false},
    {"kind=3", false},      {"kind=99", false},
    {"seal=seal+1", false}, {"id=x'00112233445566778899aabbccddeeff'", true},
    {"at=at+1", true},
};

static void a_merge_names_the_damaged_row_and_writes_nothing(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof hurts / sizeof *hurts; i++) {
        for (int extra = 0; extra < 2; extra++) {
            Pair p;
            LogIntake intake;
            LogSalvage count;
            int64_t before, after;
            Fault fault = {0};
            char id[40];
            pair_begin(&p);
            pair_fill(&p, extra == 1);
            row_hurt(p.kit.path, &p.events[HURT], hurts[i].set);
            Log *log = open_at(p.kit.path, LOG_WRITE);
            State *states = calloc(2, sizeof *states);
            kit_state(log, &states[0], &before);
            if (log_merge(log, p.other, KIT_NOW, &intake, &fault))
                fail_msg("taken for the same: %s", hurts[i].set);
            assert_int_equal(fault.kind == FAULT_LOG || hurts[i].other_place, true);
            if (!hurts[i].other_place)
                assert_says(fault, uuid_print(&p.events[HURT].id, id));
            assert_says(fault, "is damaged");
            assert_says(fault, "ullage salvage");
            kit_state(log, &states[1], &after);
            assert_true(before == after && state_equal(&states[0], &states[1]));
            log_close(log);
            free(states);
            /* and what it says to do helps */
            fault = (Fault){0};
            if (!log_salvage(p.kit.path, p.healed, false, (LogReport){0}, &count, &fault))
                fail_msg("%s", fault.text);
            assert_int_equal(count.read, ENTRIES - 1);
            log = open_at(p.healed, LOG_WRITE);
            if (!log_merge(log, p.other, KIT_NOW, &intake, &fault))
                fail_msg("%s", fault.text);
            log_close(log);
            char *is = exported(p.healed), *want = exported(p.other);
            assert_string_equal(is, want);
            free(is);
            free(want);
            kit_finish(&p.kit);
        }
    }
}

/* One that only this log has, before and behind all that comes in: its id may be what was hurt. */
static void a_damaged_row_of_this_log_alone_stops_what_comes_in(void **state)
{
    (void)state;
    for (int round = 0; round < 6; round++) {
        const int hurt = round % 3 == 0 ? 1 : round % 3 == 1 ? HURT : ENTRIES - 1, news = round / 3;
        Pair p;
        LogIntake intake;
        Fault fault = {0};
        char id[40];
        pair_begin(&p);
        const int from = hurt == ENTRIES - 1 ? 0 : hurt + 1;
        Log *log = open_at(p.kit.path, LOG_WRITE), *other = open_at(p.other, LOG_WRITE);
        kit_feed(log, p.events, 0, ENTRIES);
        kit_feed(other, p.events, from, ENTRIES - 2);
        kit_feed(other, p.events, ENTRIES, ENTRIES + news);
        log_close(log);
        log_close(other);
        row_hurt(p.kit.path, &p.events[hurt], "n1=n1+1");
        log = open_at(p.kit.path, LOG_WRITE);
        assert_int_equal(log_merge(log, p.other, KIT_NOW, &intake, &fault), news == 0);
        if (news == 0)
            assert_int_equal(intake.added, 0);
        else
            assert_says(fault, uuid_print(&p.events[hurt].id, id));
        log_close(log);
        kit_finish(&p.kit);
    }
}

/* Damage in a part that does not count for anything of the entries may pass. */
typedef struct {
    const Pair *pair;
    int met[ENTRIES + 1];
    int others;
} Met;

static bool is_met(void *context, const Event *e, bool voided)
{
    Met *met = context;
    (void)voided;
    for (int i = 0; i <= ENTRIES; i++) {
        if (event_equal(&met->pair->events[i], e)) {
            met->met[i]++;
            return true;
        }
    }
    met->others++;
    return true;
}

static void no_flipped_bit_counts_an_entry_twice_or_as_the_same(void **state)
{
    (void)state;
    Pair p;
    uint64_t seed = 5;
    int refused = 0;
    char hurt[160];
    pair_begin(&p);
    pair_fill(&p, true);
    snprintf(hurt, sizeof hurt, "%s/hurt.db", p.kit.dir);
    struct stat info;
    assert_int_equal(stat(p.kit.path, &info), 0);
    for (int i = 0; i < FLIPS; i++) {
        Fault fault = {0};
        LogIntake intake;
        char beside[170];
        for (int j = 0; j < 2; j++) {
            snprintf(beside, sizeof beside, "%s-%s", hurt, j == 0 ? "wal" : "shm");
            unlink(beside);
        }
        kit_copy(p.kit.path, hurt);
        FILE *file = fopen(hurt, "r+b");
        const long at = (long)kit_below(&seed, info.st_size);
        assert_int_equal(fseek(file, at, SEEK_SET), 0);
        const int byte = fgetc(file) ^ (1 << kit_below(&seed, 8));
        assert_int_equal(fseek(file, at, SEEK_SET), 0);
        fputc(byte, file);
        fclose(file);
        Log *log = log_open(hurt, LOG_WRITE, &fault);
        if (log != NULL && log_merge(log, p.other, KIT_NOW, &intake, &fault)) {
            const LogQuery everything = KIT_EVERYTHING;
            Met met = {.pair = &p};
            if (!log_each(log, &everything, is_met, &met, &fault))
                fail_msg("byte %ld: %s", at, fault.text);
            for (int k = 0; k <= ENTRIES; k++)
                if (met.met[k] != 1)
                    fail_msg("byte %ld: entry %d is there %d times", at, k, met.met[k]);
            if (met.others > 0)
                fail_msg("byte %ld: an entry that nobody wrote", at);
        } else {
            refused++;
            assert_true(fault.kind != FAULT_NONE && fault.text[0] != '\0');
        }
        log_close(log);
    }
    print_message("%d of %d refused\n", refused, FLIPS);
    kit_finish(&p.kit);
}

static void an_import_names_the_damaged_row(void **state)
{
    (void)state;
    Pair p;
    char id[40];
    Fault fault = {0};
    pair_begin(&p);
    pair_fill(&p, false);
    row_hurt(p.kit.path, &p.events[HURT], "note='for the cattle'");
    char *text = exported(p.other);
    Log *log = open_at(p.kit.path, LOG_WRITE);
    kit_refused(log, text, strlen(text), &fault);
    assert_says(fault, uuid_print(&p.events[HURT].id, id));
    assert_says(fault, "its seal does not fit");
    log_close(log);
    free(text);
    kit_finish(&p.kit);
}

static void hear(void *context, const char *sentence)
{
    Str *said = context;
    str_adds(said, sentence);
    str_addc(said, '\n');
}

static void sync_says(const char *path, const char *folder, const char *one, const char *two)
{
    Fault fault = {0};
    SyncCount count;
    Str said = {0};
    str_adds(&said, "");
    Log *log = open_at(path, LOG_WRITE);
    if (!log_sync(log, folder, KIT_NOW, (SyncTell){.say = hear, .context = &said}, &count, &fault))
        fail_msg("%s", fault.text);
    if (strstr(said.s, one) == NULL || strstr(said.s, two) == NULL)
        fail_msg("'%s' and '%s' are not in: %s", one, two, said.s);
    log_close(log);
    str_finish(&said);
}

static void a_sync_names_the_damaged_row(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof hurts / sizeof *hurts; i++) {
        Pair p;
        char folder[170], id[40];
        LogSalvage count;
        Fault fault = {0};
        pair_begin(&p);
        pair_fill(&p, true);
        snprintf(folder, sizeof folder, "%s/shared", p.kit.dir);
        assert_int_equal(mkdir(folder, 0700), 0);
        sync_says(p.other, folder, "", "");
        row_hurt(p.kit.path, &p.events[HURT], hurts[i].set);
        if (strncmp(hurts[i].set, "at=", 3) == 0)
            sync_says(p.kit.path, folder, "was not taken in", "would stand for two entries");
        else if (hurts[i].other_place)
            sync_says(p.kit.path, folder, "1 entry of this log can't be read", "ullage verify");
        else
            sync_says(p.kit.path, folder, uuid_print(&p.events[HURT].id, id), "can't be read");
        assert_true(log_salvage(p.kit.path, p.healed, false, (LogReport){0}, &count, &fault));
        sync_says(p.healed, folder, "", "");
        char *is = exported(p.healed), *want = exported(p.other);
        assert_string_equal(is, want);
        free(is);
        free(want);
        kit_finish(&p.kit);
    }
}

/* A link or a folder of the name of its own file: it goes on under another name. */
static void what_stands_in_the_place_of_its_own_file_stops_nobody(void **state)
{
    (void)state;
    for (int link = 0; link < 2; link++) {
        Pair p;
        char folder[170], own[300];
        Str machine = {0};
        Fault fault = {0};
        bool there;
        pair_begin(&p);
        pair_fill(&p, false);
        snprintf(folder, sizeof folder, "%s/shared", p.kit.dir);
        assert_int_equal(mkdir(folder, 0700), 0);
        sync_says(p.kit.path, folder, "", "");
        Log *log = open_at(p.kit.path, LOG_READ);
        assert_true(setting_get(&log->db, "sync.machine", &machine, &there, &fault) && there);
        log_close(log);
        snprintf(own, sizeof own, "%s/ullage-%s.jsonl", folder, machine.s);
        assert_int_equal(unlink(own), 0);
        assert_int_equal(link == 1 ? symlink("/dev/null", own) : mkdir(own, 0700), 0);
        sync_says(p.kit.path, folder, "is gone from", "");
        sync_says(p.other, folder, "", "");
        char *is = exported(p.other), *want = exported(p.kit.path);
        assert_string_equal(is, want);
        free(is);
        free(want);
        str_finish(&machine);
        kit_finish(&p.kit);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_merge_names_the_damaged_row_and_writes_nothing),
        cmocka_unit_test(a_damaged_row_of_this_log_alone_stops_what_comes_in),
        cmocka_unit_test(no_flipped_bit_counts_an_entry_twice_or_as_the_same),
        cmocka_unit_test(an_import_names_the_damaged_row),
        cmocka_unit_test(a_sync_names_the_damaged_row),
        cmocka_unit_test(what_stands_in_the_place_of_its_own_file_stops_nobody),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
