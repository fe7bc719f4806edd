#include "support/store_kit.h"

#include "model/fold.h"
#include "model/strike.h"

#include <ftw.h>

void kit_init(Kit *kit)
{
    strcpy(kit->dir, "/tmp/ullage-test-XXXXXX");
    assert_non_null(mkdtemp(kit->dir));
    snprintf(kit->path, sizeof kit->path, "%s/water.db", kit->dir);
}

static int kit_unlink(const char *path, const struct stat *info, int type, struct FTW *walk)
{
    (void)info;
    (void)type;
    (void)walk;
    return remove(path);
}

void kit_finish(Kit *kit)
{
    nftw(kit->dir, kit_unlink, 8, FTW_DEPTH | FTW_PHYS);
}

Log *kit_open(const char *path, LogMode mode)
{
    Fault fault = {0};
    Log *log = log_open_tuned(path, mode, KIT_TUNING, &fault);
    if (log == NULL)
        fail_msg("%s", fault.text);
    return log;
}

bool kit_import_as(Log *log, const char *text, size_t n, PortFormat format, LogIntake *intake,
                   Fault *fault)
{
    FILE *in = n > 0 ? fmemopen((void *)(uintptr_t)text, n, "r") : fopen("/dev/null", "r");
    assert_non_null(in);
    PortInput input = {"season.jsonl", in};
    LogIntake ignored;
    bool good = port_import(
        log, &(PortImport){.inputs = &input, .count = 1, .now = KIT_NOW, .format = format},
        intake != NULL ? intake : &ignored, fault);
    fclose(in);
    return good;
}

LogIntake kit_import(Log *log, const char *text)
{
    Fault fault = {0};
    LogIntake intake = {0};
    if (!kit_import_as(log, text, strlen(text), PORT_AUTO, &intake, &fault))
        fail_msg("%s", fault.text);
    return intake;
}

void kit_refused(Log *log, const char *text, size_t n, Fault *fault)
{
    LogIntake intake;
    *fault = (Fault){0};
    if (kit_import_as(log, text, n, PORT_AUTO, &intake, fault))
        fail_msg("this was taken: %s", text);
}

char *kit_export(Log *log, PortFormat format)
{
    char *text = NULL;
    size_t n = 0;
    Fault fault = {0};
    LogQuery query = KIT_EVERYTHING;
    FILE *out = open_memstream(&text, &n);
    bool good = port_export(log, &query, format, out, &fault);
    fclose(out);
    if (!good)
        fail_msg("%s", fault.text);
    return text;
}

void kit_state(Log *log, State *state, int64_t *entries)
{
    Fault fault = {0};
    if (!log_state(log, state, entries, &fault))
        fail_msg("%s", fault.text);
}

void kit_sound(Log *log)
{
    Fault fault = {0};
    if (!log_verify(log, (LogReport){0}, &fault))
        fail_msg("%s", fault.text);
}

uint64_t kit_random(uint64_t *seed)
{
    *seed ^= *seed >> 12;
    *seed ^= *seed << 25;
    *seed ^= *seed >> 27;
    return *seed * UINT64_C(0x2545f4914f6cdd1d);
}

int64_t kit_below(uint64_t *seed, int64_t n)
{
    return (int64_t)(kit_random(seed) >> 11) % n;
}

void kit_give(Event *e, const char *field, int64_t value)
{
    const Kind *kind = kind_of((KindId)e->kind);
    int i = kind_field(kind, text_of(field));
    assert_true(i >= 0);
    *(int64_t *)(void *)((char *)e + kind->fields[i].offset) = value;
    e->has |= 1u << i;
}

void kit_name(Event *e, const char *field, const char *label)
{
    const Kind *kind = kind_of((KindId)e->kind);
    int i = kind_field(kind, text_of(field));
    assert_true(i >= 0);
    *(Label *)(void *)((char *)e + kind->fields[i].offset) = label_of(text_of(label));
    e->has |= 1u << i;
}

void kit_stamp(Event *e, int64_t ms, uint64_t *seed)
{
    uint8_t random[10];
    for (int i = 0; i < 10; i++)
        random[i] = (uint8_t)kit_random(seed);
    e->at.ms = ms;
    e->zone = 60;
    e->id = uuid_v7(e->at, random);
}

void kit_draw(Event *e, int64_t ms, uint64_t *seed, int64_t ml)
{
    event_clear(e, KIND_DRAW);
    kit_stamp(e, ms, seed);
    kit_name(e, "vessel", "A1");
    kit_give(e, "litres", ml);
}

void kit_void(Event *e, int64_t ms, uint64_t *seed, const Uuid *target)
{
    event_clear(e, KIND_VOID);
    kit_stamp(e, ms, seed);
    e->u.entry.entry = *target;
    e->has = 1u << ENTRY_NAMED;
}

void kit_log(Event *events, int count, uint64_t seed)
{
    static const char *const names[] = {"A1", "A2", "B1"};
    for (int i = 0; i < count; i++) {
        Event *e = &events[i];
        int64_t ms = INT64_C(1790000000000) + kit_below(&seed, 400) * MS_PER_MINUTE;
        const char *name = names[kit_below(&seed, 3)];
        if (i < 3) {
            event_clear(e, KIND_VESSEL);
            kit_stamp(e, INT64_C(1790000000000) - MS_PER_HOUR + i, &seed);
            kit_name(e, "vessel", names[i]);
            kit_give(e, "capacity", 12000);
            continue;
        }
        switch (kit_below(&seed, 7)) {
        case 0:
            event_clear(e, KIND_FILL);
            kit_stamp(e, ms, &seed);
            kit_name(e, "vessel", name);
            kit_give(e, "litres", 1 + kit_below(&seed, 9000));
            kit_give(e, "cost", kit_below(&seed, 5000));
            break;
        case 1:
        case 2:
            event_clear(e, KIND_DRAW);
            kit_stamp(e, ms, &seed);
            kit_name(e, "vessel", name);
            kit_give(e, "litres", 1 + kit_below(&seed, 3000));
            break;
        case 3:
            event_clear(e, KIND_SOUND);
            kit_stamp(e, ms, &seed);
            kit_name(e, "vessel", name);
            kit_give(e, "level", kit_below(&seed, 12000));
            break;
        case 4:
            event_clear(e, KIND_NOTE);
            kit_stamp(e, ms, &seed);
            strcpy(e->note, "swell, \"hose\" leaks; \xc3\xa9");
            break;
        default:
            kit_void(e, ms, &seed, &events[kit_below(&seed, i)].id);
        }
    }
    /* some voids name what comes later in the array: they arrive before their target */
    for (int i = 3; i < count; i++)
        if (events[i].kind == KIND_VOID && kit_below(&seed, 3) == 0)
            events[i].u.entry.entry = events[3 + kit_below(&seed, count - 3)].id;
}

typedef struct {
    const Event *events;
    int count;
} KitVoids;

static bool kit_nth(void *context, const Uuid *target, size_t n, Uuid *void_id)
{
    const KitVoids *voids = context;
    for (int i = 0; i < voids->count; i++) {
        if (voids->events[i].kind == KIND_VOID &&
            uuid_compare(&voids->events[i].u.entry.entry, target) == 0 && n-- == 0) {
            *void_id = voids->events[i].id;
            return true;
        }
    }
    return false;
}

static int kit_order(const void *a, const void *b)
{
    return event_compare(a, b);
}

void kit_oracle(const Event *events, int count, Moment until, State *state)
{
    KitVoids voids = {events, count};
    VoidSource source = {&voids, kit_nth};
    Event *sorted = malloc((size_t)count * sizeof *sorted + 1);
    memcpy(sorted, events, (size_t)count * sizeof *sorted);
    qsort(sorted, (size_t)count, sizeof *sorted, kit_order);
    state_init(state);
    for (int i = 0; i < count; i++)
        if (sorted[i].at.ms <= until.ms && !strike_holds(&source, &sorted[i].id))
            fold_apply(state, &sorted[i]);
    free(sorted);
}

LogIntake kit_feed(Log *log, const Event *events, int from, int to)
{
    Str text = {0};
    for (int i = from; i < to; i++) {
        port_json(&events[i], NULL, &text);
        str_addc(&text, '\n');
    }
    LogIntake intake = {0};
    if (text.n > 0)
        intake = kit_import(log, text.s);
    str_finish(&text);
    return intake;
}

void kit_copy(const char *from, const char *to)
{
    char bytes[8192];
    size_t n;
    FILE *in = fopen(from, "rb"), *out = fopen(to, "wb");
    assert_non_null(in);
    assert_non_null(out);
    while ((n = fread(bytes, 1, sizeof bytes, in)) > 0)
        assert_int_equal(fwrite(bytes, 1, n, out), n);
    fclose(in);
    fclose(out);
}

void kit_usable(Log *log)
{
    State *state = malloc(sizeof *state);
    kit_state(log, state, NULL);
    free(state);
}

sqlite3 *kit_beside(const char *path, const char *sql)
{
    sqlite3 *db;
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    if (sqlite3_exec(db, sql, NULL, NULL, NULL) != SQLITE_OK)
        fail_msg("%s: %s", sql, sqlite3_errmsg(db));
    return db;
}

void kit_sql(const char *path, const char *sql)
{
    sqlite3_close(kit_beside(path, sql));
}
