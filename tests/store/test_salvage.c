/* What can be read of a damaged log: hundreds of seeded damages (ULLAGE_TRIALS says how many), each
 * held against an oracle that shares no code with the reader: it writes down by itself which bytes
 * a row has in the file, and looks for them in what the damage left. */
#include "model/field.h"
#include "store/pages.h"
#include "store/salvage.h"
#include "support/store_kit.h"

#include <fcntl.h>

enum { TRIALS = 240, ROWS_MAX = 4000, ROW_BYTES = 1400 };

typedef struct {
    uint8_t *bytes;
    size_t n;
} Bytes;

static Bytes bytes_of(const char *path)
{
    Bytes b = {NULL, 0};
    struct stat info;
    const int fd = open(path, O_RDONLY);
    if (fd >= 0 && fstat(fd, &info) == 0) {
        b.n = (size_t)info.st_size;
        b.bytes = malloc(b.n + 1);
        assert_int_equal(read(fd, b.bytes, b.n), b.n);
        close(fd);
    }
    return b;
}

static void bytes_put(const char *path, const Bytes *b)
{
    unlink(path);
    if (b->bytes == NULL)
        return;
    const int fd = open(path, O_WRONLY | O_CREAT, 0600);
    assert_int_equal(write(fd, b->bytes, b->n), b->n);
    close(fd);
}

/* ---- the oracle ---- */

typedef struct {
    uint8_t bytes[ROW_BYTES]; /* as the file format has them; all of them in one page */
    size_t n;
    bool chained; /* too long for a page: not looked for */
} Row;

typedef struct {
    Kit kit;
    char wal[140], hurt[140], hurt_wal[150], out[140];
    Bytes file, log; /* the sound database and its write-ahead log */
    Event *events;
    Row *rows;
    int count;
    size_t page;
} Bench;

static int event_by_id(const void *a, const void *b)
{
    const Event *x = a, *y = b;
    return uuid_compare(&x->id, &y->id);
}

static size_t put_big(uint8_t *out, uint64_t value, int bytes)
{
    for (int i = 0; i < bytes; i++)
        out[i] = (uint8_t)(value >> 8 * (bytes - 1 - i));
    return (size_t)bytes;
}

static size_t put_varint(uint8_t *out, uint64_t value)
{
    if (value < 128)
        return put_big(out, value, 1);
    out[0] = (uint8_t)(0x80 | value >> 7);
    out[1] = value & 0x7f;
    return 2;
}

/* Database File Format 2.1: the types in front, then the values. */
static void row_write(Row *row, sqlite3_stmt *stmt, size_t page)
{
    static const int sizes[] = {1, 2, 3, 4, 6, 8};
    uint8_t types[64] = {0}, body[ROW_BYTES] = {0};
    size_t t = 0, n = 0;
    for (int i = 0; i < sqlite3_column_count(stmt); i++) {
        const int64_t number = sqlite3_column_int64(stmt, i);
        const size_t length = (size_t)sqlite3_column_bytes(stmt, i);
        int size = 0;
        switch (sqlite3_column_type(stmt, i)) {
        case SQLITE_NULL:
            t += put_varint(types + t, 0);
            break;
        case SQLITE_INTEGER:
            while (size < 5 && (number >= INT64_C(1) << (8 * sizes[size] - 1) ||
                                number < -(INT64_C(1) << (8 * sizes[size] - 1))))
                size++;
            t += put_varint(types + t, number == 0 || number == 1 ? (uint64_t)(8 + number)
                                                                  : (uint64_t)(1 + size));
            if (number != 0 && number != 1)
                n += put_big(body + n, (uint64_t)number, sizes[size]);
            break;
        default:
            t += put_varint(types + t,
                            2 * length + (sqlite3_column_type(stmt, i) == SQLITE_TEXT ? 13 : 12));
            memcpy(body + n, sqlite3_column_blob(stmt, i), length);
            n += length;
        }
    }
    row->n = put_varint(row->bytes, t + 1);
    memcpy(row->bytes + row->n, types, t);
    row->n += t;
    memcpy(row->bytes + row->n, body, n);
    row->n += n;
    row->chained = row->n > (page - 12) * 64 / 255 - 23;
}

static bool collect(void *context, const Event *e, bool voided)
{
    Bench *b = context;
    (void)voided;
    b->events[b->count++] = *e;
    return true;
}

static void oracle_make(Bench *b)
{
    Fault fault = {0};
    const LogQuery everything = KIT_EVERYTHING;
    Log *log = kit_open(b->kit.path, LOG_READ);
    b->events = calloc(ROWS_MAX, sizeof *b->events);
    b->rows = calloc(ROWS_MAX, sizeof *b->rows);
    assert_true(log_each(log, &everything, collect, b, &fault));
    qsort(b->events, (size_t)b->count, sizeof *b->events, event_by_id);
    sqlite3_stmt *stmt =
        db_prepare(&log->db, "SELECT " CODEC_COLUMNS " FROM entry ORDER BY id", &fault);
    for (int i = 0; db_step(&log->db, stmt, &fault) == DB_ROW; i++)
        row_write(&b->rows[i], stmt, b->page);
    db_done(stmt);
    int64_t page;
    assert_true(db_number(&log->db, "PRAGMA page_size", 0, &page, &fault));
    assert_int_equal(page, b->page);
    log_close(log);
}

static bool still_there(const Row *row, const Bytes *file, const Bytes *wal)
{
    return memmem(file->bytes, file->n, row->bytes, row->n) != NULL ||
           (wal->n > 0 && memmem(wal->bytes, wal->n, row->bytes, row->n) != NULL);
}

/* ---- logs ---- */

/* Entries of all sorts, at pages of a size; the latest live ones stand only in the -wal. */
static void bench_begin(Bench *b, int entries, int live, int page, uint64_t seed)
{
    char sql[80];
    Fault fault = {0};
    memset(b, 0, sizeof *b);
    b->page = (size_t)page;
    kit_init(&b->kit);
    snprintf(b->wal, sizeof b->wal, "%s-wal", b->kit.path);
    snprintf(b->hurt, sizeof b->hurt, "%s/hurt.db", b->kit.dir);
    snprintf(b->hurt_wal, sizeof b->hurt_wal, "%s-wal", b->hurt);
    snprintf(b->out, sizeof b->out, "%s/new.db", b->kit.dir);
    snprintf(sql, sizeof sql, "PRAGMA page_size=%d; VACUUM", page);
    kit_sql(b->kit.path, sql);
    Event *events = calloc((size_t)entries, sizeof *events);
    kit_log(events, entries, seed);
    Log *log = kit_open(b->kit.path, LOG_WRITE);
    kit_feed(log, events, 0, entries);
    for (int i = 0; i < live; i++) {
        Event e;
        event_clear(&e, KIND_NOTE);
        e.at = (Moment){INT64_C(1795000000000) + i * MS_PER_MINUTE};
        e.has = 0;
        memset(e.note, 'a' + i % 26, (size_t)(i % 7 == 6 ? 990 : 1 + i % 40));
        assert_true(log_append(log, &e, KIT_NOW, &fault));
    }
    b->file = bytes_of(b->kit.path);
    b->log = bytes_of(b->wal);
    log_close(log);
    oracle_make(b);
    free(events);
}

static void bench_end(Bench *b)
{
    free(b->file.bytes);
    free(b->log.bytes);
    free(b->events);
    free(b->rows);
    kit_finish(&b->kit);
}

/* ---- damages ---- */

typedef enum {
    BITS,
    SECTORS,
    NOISE,
    PAGES_ZERO,
    PAGES_SWAPPED,
    PAGE_TWICE,
    CUT,
    HEADER,
    WAL_CUT,
    WAL_BITS,
    WAL_SECTORS,
    WAL_HEAD,
    DAMAGES
} Damage;

static void noise(uint8_t *at, size_t n, bool zero, uint64_t *seed)
{
    for (size_t i = 0; i < n; i++)
        at[i] = zero ? 0 : (uint8_t)kit_random(seed);
}

static void bits(Bytes *b, uint64_t *seed)
{
    for (int64_t i = 1 + kit_below(seed, 30); i > 0 && b->n > 0; i--)
        b->bytes[kit_below(seed, (int64_t)b->n)] ^= (uint8_t)(1u << kit_below(seed, 8));
}

static void blocks(Bytes *b, size_t size, bool zero, uint64_t *seed)
{
    for (int64_t i = 1 + kit_below(seed, 3); i > 0 && b->n >= size; i--)
        noise(b->bytes + size * (size_t)kit_below(seed, (int64_t)(b->n / size)), size, zero, seed);
}

/* Two pages change places, or one takes that of the other. */
static void swap(Bytes *b, size_t page, bool twice, uint64_t *seed)
{
    uint8_t *x = b->bytes + page * (size_t)kit_below(seed, (int64_t)(b->n / page));
    uint8_t *y = b->bytes + page * (size_t)kit_below(seed, (int64_t)(b->n / page));
    for (size_t i = 0; i < page; i++) {
        const uint8_t was = x[i];
        x[i] = y[i];
        y[i] = twice ? y[i] : was;
    }
}

static void hurt(Damage damage, size_t page, Bytes *file, Bytes *wal, uint64_t *seed)
{
    switch (damage) {
    case BITS:
        bits(file, seed);
        break;
    case SECTORS:
        blocks(file, 512, true, seed);
        break;
    case NOISE:
        blocks(file, 512, false, seed);
        break;
    case PAGES_ZERO:
        blocks(file, page, true, seed);
        break;
    case PAGES_SWAPPED:
    case PAGE_TWICE:
        swap(file, page, damage == PAGE_TWICE, seed);
        break;
    case CUT:
        file->n = (size_t)kit_below(seed, (int64_t)file->n);
        break;
    case HEADER:
        noise(file->bytes, 100, kit_below(seed, 2) == 0, seed);
        break;
    case WAL_CUT:
        wal->n = wal->n > 0 ? (size_t)kit_below(seed, (int64_t)wal->n) : 0;
        break;
    case WAL_BITS:
        bits(wal, seed);
        break;
    case WAL_SECTORS:
        blocks(wal, 512, kit_below(seed, 2) == 0, seed);
        break;
    case WAL_HEAD:
        noise(wal->bytes, wal->n < 60 ? wal->n : (size_t)(1 + kit_below(seed, 60)), false, seed);
        break;
    case DAMAGES:
        break;
    }
}

/* ---- a trial ---- */

typedef struct {
    Bench *bench;
    bool *have;
    int64_t read, whole, whole_read;
} Trial;

static bool is_true(void *context, const Event *e, bool voided)
{
    Trial *t = context;
    (void)voided;
    const Event *was =
        bsearch(e, t->bench->events, (size_t)t->bench->count, sizeof *e, event_by_id);
    if (was == NULL || !event_equal(was, e))
        fail_msg("an entry was invented");
    t->have[was - t->bench->events] = true;
    t->read++;
    return true;
}

static void new_read(Trial *t)
{
    Fault fault = {0};
    const LogQuery everything = KIT_EVERYTHING;
    Log *log = log_open(t->bench->out, LOG_READ, &fault);
    if (log == NULL || !log_verify(log, (LogReport){0}, &fault) ||
        !log_each(log, &everything, is_true, t, &fault))
        fail_msg("%s", fault.text);
    log_close(log);
}

/* Only what a transaction that was ended wrote was ever said to be written. */
static Bytes wal_committed(const Bytes *whole, Bytes wal, size_t page)
{
    size_t end = 0;
    for (size_t at = 32; at + 24 + page <= wal.n; at += 24 + page)
        if (memcmp(whole->bytes + at + 4, "\0\0\0\0", 4) != 0)
            end = at + 24 + page;
    return (Bytes){wal.bytes, end};
}

static void trial(Bench *b, Damage damage, uint64_t seed, Trial *sum)
{
    Bytes file = {malloc(b->file.n), b->file.n}, wal = {malloc(b->log.n + 1), b->log.n};
    memcpy(file.bytes, b->file.bytes, file.n);
    if (wal.n > 0)
        memcpy(wal.bytes, b->log.bytes, wal.n);
    hurt(damage, b->page, &file, &wal, &seed);
    bytes_put(b->hurt, &file);
    bytes_put(b->hurt_wal, &wal);
    unlink(b->out);
    Trial t = {.bench = b, .have = calloc((size_t)b->count, sizeof(bool))};
    LogSalvage count = {.most = -1}; /* of what is refused nothing is counted */
    Fault fault = {0};
    if (log_salvage(b->hurt, b->out, false, (LogReport){0}, &count, &fault)) {
        new_read(&t);
        assert_int_equal(count.read, t.read);
        assert_int_equal(count.unsealed, 0);
        assert_true(count.least <= count.most && (count.least >= 0) == (count.most >= 0));
    } else {
        assert_says(fault, "there is no entry");
        assert_int_equal(access(b->out, F_OK), -1);
    }
    /* the damaged file is as it was */
    Bytes after = bytes_of(b->hurt), wal_after = bytes_of(b->hurt_wal);
    assert_int_equal(after.n, file.n);
    assert_memory_equal(after.bytes, file.bytes, file.n);
    assert_int_equal(wal_after.n, wal.n);
    const Bytes committed = wal_committed(&b->log, wal, b->page);
    /* a -wal that was cut where no write ended is told as such */
    if (damage == WAL_CUT && count.read > 0 && wal.n != 0 && wal.n != 32)
        assert_int_equal(count.torn, committed.n != wal.n);
    if (damage < WAL_CUT)
        assert_false(count.torn);
    int64_t missed = 0;
    for (int i = 0; i < b->count; i++) {
        const bool whole = !b->rows[i].chained && still_there(&b->rows[i], &file, &committed);
        t.whole += whole;
        t.whole_read += whole && t.have[i];
        missed += whole && !t.have[i];
    }
    if (missed > 0 && getenv("ULLAGE_TRIALS") != NULL)
        print_message("damage %d: %d of %d whole rows were missed\n", (int)damage, (int)missed,
                      (int)t.whole);
    /* what it says is missing is missing: where its own count stands in no damaged place */
    if (count.most >= 0 && damage != WAL_CUT && damage != BITS && damage != NOISE &&
        damage != WAL_BITS && damage != WAL_SECTORS) {
        if (count.least > b->count - t.read || count.most < b->count - t.read)
            fail_msg("damage %d: from %d to %d missing, of %d only %d were read", (int)damage,
                     (int)count.least, (int)count.most, b->count, (int)t.read);
    }
    sum->whole += t.whole;
    sum->whole_read += t.whole_read;
    sum->read += t.read;
    free(after.bytes);
    free(wal_after.bytes);
    free(t.have);
    free(file.bytes);
    free(wal.bytes);
}

static void whatever_is_whole_is_read_and_nothing_is_invented(void **state)
{
    (void)state;
    const char *asked = getenv("ULLAGE_TRIALS");
    const int trials = asked != NULL ? atoi(asked) : TRIALS;
    static const struct {
        int entries, live, page;
    } logs[] = {{300, 0, 4096}, {200, 60, 4096}, {150, 40, 512}, {900, 10, 1024}};
    Trial sum = {0};
    for (int l = 0; l < 4; l++) {
        Bench bench;
        bench_begin(&bench, logs[l].entries, logs[l].live, logs[l].page, (uint64_t)l + 1);
        for (int i = l; i < trials; i += 4)
            trial(&bench, (Damage)(i / 4 % DAMAGES), (uint64_t)i * 7919 + 1, &sum);
        bench_end(&bench);
    }
    print_message("%d damages: %lld of %lld whole rows read\n", trials, (long long)sum.whole_read,
                  (long long)sum.whole);
    assert_true(sum.whole > trials * 50);
    assert_true((double)sum.whole_read >= 0.999 * (double)sum.whole);
}

/* ---- what has no seal ---- */

static void rows_of_an_older_version_are_read_and_counted_apart(void **state)
{
    (void)state;
    Kit kit;
    char out[160];
    Fault fault = {0};
    LogSalvage count;
    kit_init(&kit);
    snprintf(out, sizeof out, "%s/new.db", kit.dir);
    kit_copy(FIXTURES "/log-v1.db", kit.path);
    if (!log_salvage(kit.path, out, false, (LogReport){0}, &count, &fault))
        fail_msg("%s", fault.text);
    assert_int_equal(count.read, 28);
    assert_int_equal(count.unsealed, 28);
    assert_int_equal(count.least, 0); /* by the latest state: an older log has no other count */
    assert_int_equal(count.most, 0);
    Log *was = kit_open(kit.path, LOG_READ), *log = log_open(out, LOG_READ, &fault);
    char *a = kit_export(was, PORT_JSON), *b = kit_export(log, PORT_JSON);
    assert_string_equal(a, b);
    int64_t seals;
    assert_true(db_number(&log->db, "SELECT count(seal) FROM entry", 0, &seals, &fault));
    assert_int_equal(seals, 0); /* what was not proved is not called proved */
    Units units;
    assert_true(log_units(log, &units, &fault));
    assert_int_equal(units, UNITS_IMPERIAL);
    kit_sound(log);
    free(a);
    free(b);
    log_close(was);
    log_close(log);
    kit_finish(&kit);
}

/* ---- what was never written ---- */

static void notes_add(Log *log, int from, int count)
{
    Fault fault = {0};
    for (int i = from; i < from + count; i++) {
        Event e;
        event_clear(&e, KIND_NOTE);
        e.at = (Moment){INT64_C(1790000000000) + i * MS_PER_MINUTE};
        strcpy(e.note, "n");
        assert_true(log_append(log, &e, KIT_NOW, &fault));
    }
}

/* A transaction of which the end never came: its pages stand in the -wal, its entries don't count.
 */
static void entries_of_a_transaction_without_an_end_are_not_taken(void **state)
{
    (void)state;
    Kit kit;
    char hurt[160], hurt_wal[170], wal[160], out[160];
    Fault fault = {0};
    LogSalvage count;
    kit_init(&kit);
    snprintf(hurt, sizeof hurt, "%s/hurt.db", kit.dir);
    snprintf(hurt_wal, sizeof hurt_wal, "%s-wal", hurt);
    snprintf(wal, sizeof wal, "%s-wal", kit.path);
    snprintf(out, sizeof out, "%s/new.db", kit.dir);
    Log *log = kit_open(kit.path, LOG_WRITE);
    notes_add(log, 0, 5);
    assert_true(db_begin(&log->db, true, &fault));
    notes_add(log, 5, 60);
    assert_int_equal(sqlite3_db_cacheflush(log->db.handle), SQLITE_OK); /* to the -wal, no end */
    kit_copy(kit.path, hurt);
    kit_copy(wal, hurt_wal);
    Bytes is = bytes_of(hurt_wal);
    assert_true(is.n > 4096 * 4);
    free(is.bytes);
    if (!log_salvage(hurt, out, false, (LogReport){0}, &count, &fault))
        fail_msg("%s", fault.text);
    assert_int_equal(count.read, 5);
    assert_int_equal(count.most, 0);
    assert_true(db_end(&log->db, true, &fault));
    kit_copy(kit.path, hurt);
    kit_copy(wal, hurt_wal);
    assert_true(log_salvage(hurt, out, true, (LogReport){0}, &count, &fault));
    assert_int_equal(count.read, 65);
    log_close(log);
    kit_finish(&kit);
}

/* ---- what is said, and refused ---- */

static void line_keep(void *context, bool good, const char *line)
{
    str_addf(context, "%d %s\n", good, line);
}

static void the_page_that_is_gone_is_named_with_its_times(void **state)
{
    (void)state;
    Bench b;
    LogSalvage count;
    Fault fault = {0};
    Str said = {0};
    bench_begin(&b, 300, 0, 1024, 5);
    /* the tree's own word for the page of an entry in the middle */
    size_t page = 0;
    for (int i = b.count / 2; page < 3 && i < b.count; i++) {
        const uint8_t *at = memmem(b.file.bytes, b.file.n, b.rows[i].bytes, b.rows[i].n);
        if (at != NULL &&
            b.file.bytes[(size_t)(at - b.file.bytes) / 1024 * 1024] == PAGE_INDEX_LEAF)
            page = (size_t)(at - b.file.bytes) / 1024;
    }
    int gone = 0;
    int64_t first = INT64_MAX, last = INT64_MIN;
    for (int i = 0; i < b.count; i++) {
        const uint8_t *at = memmem(b.file.bytes + page * 1024, 1024, b.rows[i].bytes, b.rows[i].n);
        if (at == NULL)
            continue;
        gone++;
        first = b.events[i].at.ms < first ? b.events[i].at.ms : first;
        last = b.events[i].at.ms > last ? b.events[i].at.ms : last;
    }
    assert_true(gone > 3);
    memset(b.file.bytes + page * 1024, 0, 1024);
    bytes_put(b.hurt, &b.file);
    assert_true(log_salvage(b.hurt, b.out, false, (LogReport){line_keep, &said}, &count, &fault));
    assert_int_equal(count.read, b.count - gone);
    assert_int_equal(count.least, gone);
    assert_int_equal(count.most, gone);
    char words[120], from[48], to[48];
    long long low, high;
    snprintf(words, sizeof words,
             "0 page %zu is damaged: 0 of its entries were found, all lie between ", page + 1);
    const char *line = strstr(said.s, words);
    if (line == NULL || sscanf(line + strlen(words), "%47s and %47s", from, to) != 2)
        fail_msg("%s", said.s);
    Moment m;
    int zone;
    low = moment_parse_rfc3339(text_of(from), &m, &zone, &fault) ? m.ms : INT64_MIN;
    high = moment_parse_rfc3339(text_of(to), &m, &zone, &fault) ? m.ms : INT64_MAX;
    assert_true(low <= first && last <= high);
    assert_true(low != INT64_MIN && high != INT64_MAX); /* it does tell something */
    snprintf(words, sizeof words, "0 %d are missing, of %d that the log counted", gone, b.count);
    if (strstr(said.s, words) == NULL)
        fail_msg("%s", said.s);
    str_finish(&said);
    bench_end(&b);
}

static void what_is_there_is_replaced_only_when_asked(void **state)
{
    (void)state;
    Kit kit;
    char out[160];
    Fault fault = {0};
    LogSalvage count;
    kit_init(&kit);
    snprintf(out, sizeof out, "%s/new.db", kit.dir);
    Log *log = kit_open(kit.path, LOG_WRITE);
    notes_add(log, 0, 3);
    log_close(log);
    const Bytes other = {(uint8_t *)(uintptr_t) "something else", 14};
    bytes_put(out, &other);
    assert_false(log_salvage(kit.path, out, false, (LogReport){0}, &count, &fault));
    assert_int_equal(fault.kind, FAULT_REFUSED);
    assert_says(fault, "--replace");
    assert_false(log_salvage(kit.path, kit.path, true, (LogReport){0}, &count, &fault));
    assert_says(fault, "the damaged log itself");
    assert_false(log_salvage(kit.path, kit.dir, true, (LogReport){0}, &count, &fault));
    assert_says(fault, "is no file");
    assert_false(log_salvage(kit.dir, out, true, (LogReport){0}, &count, &fault));
    assert_says(fault, "can't be read");
    assert_false(log_salvage("/nowhere/water.db", out, true, (LogReport){0}, &count, &fault));
    assert_says(fault, "can't be read");
    assert_false(log_salvage(out, kit.path, true, (LogReport){0}, &count, &fault));
    assert_int_equal(fault.kind, FAULT_LOG);
    assert_says(fault, "there is no entry");
    assert_true(log_salvage(kit.path, out, true, (LogReport){0}, &count, &fault));
    assert_int_equal(count.read, 3);
    kit_finish(&kit);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rows_of_an_older_version_are_read_and_counted_apart),
        cmocka_unit_test(entries_of_a_transaction_without_an_end_are_not_taken),
        cmocka_unit_test(the_page_that_is_gone_is_named_with_its_times),
        cmocka_unit_test(what_is_there_is_replaced_only_when_asked),
        cmocka_unit_test(whatever_is_whole_is_read_and_nothing_is_invented),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
