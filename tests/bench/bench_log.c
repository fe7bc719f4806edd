/* bench_log.c - time and memory of the log, against the raw partner (raw.h), as ratios.
 *
 *     bench_log --ullage PROGRAM --raw PROGRAM [--slow-sync LIBRARY] [--static PROGRAM] [--entries
 * N]
 *         [--small N] [--huge N] [--rounds N] [SCRATCH]
 *
 * Every figure is the median over rounds in which the two sides take turns, of the processor time
 * of a whole process, exec to exit; a ratio is one median over the other. SCRATCH (else a directory
 * under $TMPDIR that is removed again) holds the season and the logs: about 500 bytes an entry.
 * --huge adds memory at that many entries. Prints one row a goal. Exit 0 where every goal is met, 1
 * where one is missed, 2 for wrong usage, 3 where a program failed.
 */
#include "measure.h"
#include "season.h"

#include "base/memory.h"
#include "store/replay.h"
#include "store/schema.h"

#include <dirent.h>
#include <inttypes.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#define MIB_MAX 10.0
#define DAY_MS INT64_C(86400000)

enum { PATH_SIZE = 4096 };
typedef struct {
    char json[PATH_SIZE], csv[PATH_SIZE], log[PATH_SIZE];
    int64_t entries, last_ms;
    bool there;
} Set;

typedef struct {
    const char *self, *ullage, *raw, *slow_sync;
    const char *fixed; /* the program with its libraries in itself; or NULL */
    char scratch[PATH_SIZE];
    bool own; /* the scratch directory is ours to remove */
    int rounds;
    Set small, large, huge;
    bool all_met;
} Bench;

static _Noreturn void give_up(const char *format, ...) __attribute__((format(printf, 1, 2)));
static _Noreturn void give_up(const char *format, ...)
{
    va_list list;
    va_start(list, format);
    vfprintf(stderr, format, list);
    va_end(list);
    fputc('\n', stderr);
    exit(3);
}

/* ---- what runs in processes of its own ---- */

static int season_run(const char *n, const char *json, const char *csv, const char *last)
{
    int64_t last_ms = 0;
    bool good = season_write(strtoll(n, NULL, 10), json, csv, &last_ms);
    FILE *file = good ? fopen(last, "w") : NULL;
    if (file == NULL)
        return 3;
    fprintf(file, "%" PRId64 "\n", last_ms);
    return fclose(file) == 0 ? 0 : 3;
}

/* The whole log through the fold; with `keep`, as a rebuild does it: checkpoints and head are
 * written. */
static int fold_run(const char *path, bool keep)
{
    Fault fault = {0};
    Log *log = log_open(path, keep ? LOG_WRITE : LOG_READ, &fault);
    Head *head = memory_get(sizeof *head);
    bool good = log != NULL && db_begin(&log->db, keep, &fault);
    if (good && keep) {
        good = derived_rebuild(log, (ReplayWatch){0}, &fault);
    } else if (good) {
        head_init(head);
        good = replay(log, head, (ReplayWish){.keep = false}, &fault);
    }
    good = good && db_end(&log->db, keep, &fault);
    if (!good)
        fprintf(stderr, "%s\n", fault.text);
    free(head);
    if (log != NULL)
        log_close(log);
    return good ? 0 : 3;
}

/* A log of version 1 of the schema with the entries of another. */
static int old_run(const char *path, const char *from)
{
    sqlite3 *db = NULL;
    char words[PATH_SIZE + 64];
    snprintf(words, sizeof words, "ATTACH '%s' AS f", from);
    const bool good =
        sqlite3_open(path, &db) == SQLITE_OK &&
        sqlite3_exec(db, schema_migration(1), NULL, NULL, NULL) == SQLITE_OK &&
        sqlite3_exec(db, words, NULL, NULL, NULL) == SQLITE_OK &&
        sqlite3_exec(db,
                     "INSERT INTO entry SELECT at,id,kind,zone,name,other,n1,n2,code,more,note FROM"
                     " f.entry",
                     NULL, NULL, NULL) == SQLITE_OK;
    snprintf(words, sizeof words, "PRAGMA application_id=%d; PRAGMA user_version=1",
             SCHEMA_APPLICATION_ID);
    const bool marked = good && sqlite3_exec(db, words, NULL, NULL, NULL) == SQLITE_OK;
    if (!marked)
        fprintf(stderr, "%s: %s\n", path, sqlite3_errmsg(db));
    sqlite3_close(db);
    return marked ? 0 : 3;
}

/* ---- running ---- */

/* Runs a program with its words and demands that it succeeds. */
static Run run(const char *const *argv)
{
    Run result = run_program(argv);
    if (result.status != 0)
        give_up("%s %s ... ended with status %d.", argv[0], argv[1], result.status);
    return result;
}
#define RUN(...) run((const char *const[]){__VA_ARGS__, NULL})

static const char *ratio_text(char *out, size_t size, double a, double b, const char *unit,
                              double scale)
{
    snprintf(out, size, "%.2f x (%.4g to %.4g %s)", a / b, a * scale, b * scale, unit);
    return out;
}

static void goal(Bench *b, const char *what, const char *limit, const Sample *ours,
                 const Sample *theirs, double most, bool milli)
{
    char text[128];
    double a = sample_median(ours), c = sample_median(theirs);
    ratio_text(text, sizeof text, a, c, milli ? "ms" : "s", milli ? 1e3 : 1);
    b->all_met = report(what, limit, text, a / c <= most) && b->all_met;
}

static void log_remove(const char *path)
{
    static const char *const ends[] = {"", "-wal", "-shm", "-journal"};
    for (int i = 0; i < 4; i++) {
        char name[PATH_SIZE + 16];
        snprintf(name, sizeof name, "%.*s%s", PATH_SIZE, path, ends[i]);
        unlink(name);
    }
}

static int64_t log_bytes(const char *path)
{
    static const char *const ends[] = {"", "-wal", "-shm"};
    int64_t bytes = 0;
    for (int i = 0; i < 3; i++) {
        char name[PATH_SIZE + 16];
        struct stat info;
        snprintf(name, sizeof name, "%s%s", path, ends[i]);
        if (stat(name, &info) == 0)
            bytes += info.st_size;
    }
    return bytes;
}

static void set_make(Bench *b, Set *set, int64_t n)
{
    char last[PATH_SIZE + 64], count[32];
    long long last_ms = 0;
    set->entries = n;
    set->there = true;
    snprintf(count, sizeof count, "%" PRId64, n);
    snprintf(last, sizeof last, "%s/last", b->scratch);
    int room = (int)sizeof set->json - 64;
    snprintf(set->json, sizeof set->json, "%.*s/season-%s.jsonl", room, b->scratch, count);
    snprintf(set->csv, sizeof set->csv, "%.*s/season-%s.csv", room, b->scratch, count);
    snprintf(set->log, sizeof set->log, "%.*s/log-%s.db", room, b->scratch, count);
    RUN(b->self, "season", count, set->json, set->csv, last);
    FILE *file = fopen(last, "r");
    if (file == NULL || fscanf(file, "%lld", &last_ms) != 1)
        give_up("%s can't be read.", last);
    fclose(file);
    set->last_ms = last_ms;
}

static Run import(const Bench *b, const char *log, const char *file)
{
    log_remove(log);
    return RUN(b->ullage, "import", "--log", log, file);
}

/* ---- the goals ---- */

static void import_goals(Bench *b, char *raw_log)
{
    Sample json = {0}, csv = {0}, raw_json = {0}, raw_csv = {0};
    char other[PATH_SIZE + 16];
    snprintf(other, sizeof other, "%s/csv.db", b->scratch);
    for (int i = 0; i < (b->rounds + 1) / 2; i++) {
        sample_add(&csv, import(b, other, b->large.csv).cpu);
        log_remove(raw_log);
        sample_add(&raw_csv, RUN(b->raw, "csv", raw_log, b->large.csv).cpu);
        sample_add(&json, import(b, b->large.log, b->large.json).cpu);
        log_remove(raw_log);
        sample_add(&raw_json, RUN(b->raw, "json", raw_log, b->large.json).cpu);
    }
    RUN(b->raw, "same", other, raw_log);
    log_remove(other);
    RUN(b->raw, "same", b->large.log, raw_log); /* else the ratios would compare different work */
    goal(b, "import of JSON Lines, to raw parse-and-insert", "<= 2.5 x", &json, &raw_json, 2.5,
         false);
    goal(b, "import of CSV, to raw parse-and-insert", "<= 1.5 x", &csv, &raw_csv, 1.5, false);
}

static void size_goal(Bench *b)
{
    char text[64];
    double bytes = (double)log_bytes(b->large.log) / (double)b->large.entries;
    snprintf(text, sizeof text, "%.1f", bytes);
    b->all_met =
        report("bytes an entry on disk, all included", "<= 80", text, bytes <= 80) && b->all_met;
}

static void fold_goal(Bench *b)
{
    Sample fold = {0}, scan = {0}, plain = {0};
    for (int i = 0; i < b->rounds; i++) {
        sample_add(&fold, RUN(b->self, "fold", b->large.log).cpu);
        sample_add(&scan, RUN(b->raw, "scan", b->large.log).cpu);
        sample_add(&plain, RUN(b->raw, "fold", b->large.log).cpu);
    }
    goal(b, "full fold, to a raw scan with a plain fold", "<= 1.25 x", &fold, &plain, 1.25, false);
    char text[128];
    report_only("full fold, to the raw scan alone",
                ratio_text(text, sizeof text, sample_median(&fold), sample_median(&scan), "s", 1));
}

static void status_goals(Bench *b)
{
    Sample large = {0}, small = {0}, raw = {0}, fixed = {0};
    for (int i = 0; i < b->rounds * 8 + 1; i++) {
        sample_add(&large, RUN(b->ullage, "status", "--log", b->large.log).cpu);
        if (b->fixed != NULL)
            sample_add(&fixed, RUN(b->fixed, "status", "--log", b->large.log).cpu);
        sample_add(&raw, RUN(b->raw, "checkpoint", b->large.log).cpu);
        sample_add(&small, RUN(b->ullage, "status", "--log", b->small.log).cpu);
    }
    goal(b, "status, to reading the head row raw", "<= 1.4 x", &large, &raw, 1.4, true);
    if (b->fixed != NULL)
        goal(b, "the same built with -Dprefer_static=true", "<= 1.4 x", &fixed, &raw, 1.4, true);
    goal(b, "status, to the same on the small log", "<= 1.1 x", &large, &small, 1.1, true);
}

static void entry_goal(Bench *b, const char *raw_log)
{
    Sample ours = {0}, raw = {0};
    int64_t at = (int64_t)time(NULL) * 1000;
    for (int i = 0; i < b->rounds * 8 + 1; i++) {
        char ms[32], text[32];
        snprintf(ms, sizeof ms, "%" PRId64, at + i);
        snprintf(text, sizeof text, "%dml", 10 + i % 7);
        Run a = RUN(b->ullage, "draw", "galley", text, "--log", b->large.log);
        Run c = RUN(b->raw, "commit", raw_log, ms);
        sample_add(&ours, a.cpu);
        sample_add(&raw, c.cpu);
    }
    goal(b, "one entry, exec to exit, to raw process and commit", "<= 2 x", &ours, &raw, 2, true);
    if (b->slow_sync == NULL)
        return;
    Sample ours_slow = {0}, raw_slow = {0};
    setenv("LD_PRELOAD", b->slow_sync, 1);
    setenv("ULLAGE_SYNC_MS", "20", 1);
    for (int i = 0; i < b->rounds * 2 + 1; i++) {
        char ms[32];
        snprintf(ms, sizeof ms, "%" PRId64, at + 1000000 + i);
        sample_add(&ours_slow,
                   RUN(b->ullage, "draw", "galley", "10ml", "--log", b->large.log).wall);
        sample_add(&raw_slow, RUN(b->raw, "commit", raw_log, ms).wall);
    }
    unsetenv("LD_PRELOAD");
    goal(b, "one entry by the clock, 20 ms a sync, to the raw commit", "<= 1.1 x", &ours_slow,
         &raw_slow, 1.1, true);
}

static void back_dated_goal(Bench *b)
{
    Sample ours = {0}, full = {0};
    for (int i = 0; i < b->rounds; i++) {
        char at[32];
        struct tm day;
        time_t when = (time_t)((b->large.last_ms - 365 * DAY_MS) / 1000) + (time_t)i * 600;
        gmtime_r(&when, &day);
        strftime(at, sizeof at, "%Y-%m-%dT%H:%M:%SZ", &day);
        sample_add(&ours,
                   RUN(b->ullage, "sound", "A4", "6.5", "--at", at, "--log", b->large.log).cpu);
        sample_add(&full, RUN(b->self, "rebuild", b->large.log).cpu);
    }
    goal(b, "entry back-dated by a year, to a full refold", "<= 0.25 x", &ours, &full, 0.25, false);
}

/* ---- out, together, proved ---- */

static bool same_bytes(const char *one, const char *two)
{
    FILE *a = fopen(one, "r"), *b = fopen(two, "r");
    bool same = a != NULL && b != NULL;
    for (int c = 0; same && c != EOF;) {
        c = getc(a);
        same = c == getc(b);
    }
    if (a != NULL)
        fclose(a);
    if (b != NULL)
        fclose(b);
    return same;
}

static Run run_to(const char *output, const char *const *argv)
{
    Run result = run_into(argv, output);
    if (result.status != 0)
        give_up("%s %s ... ended with status %d.", argv[0], argv[1], result.status);
    return result;
}
#define RUN_TO(OUT, ...) run_to(OUT, (const char *const[]){__VA_ARGS__, NULL})

/* Entries as JSON Lines: the same bytes from both. */
static void list_goal(Bench *b, const char *what, const char *limit, double most,
                      const char *const *words, const char *where)
{
    char ours_path[PATH_SIZE + 16], raw_path[PATH_SIZE + 16];
    const char *argv[16] = {b->ullage};
    Sample ours = {0}, raw = {0};
    int n = 1;
    for (; words[n - 1] != NULL; n++)
        argv[n] = words[n - 1];
    argv[n++] = "--log";
    argv[n] = b->large.log;
    snprintf(ours_path, sizeof ours_path, "%s/ours.out", b->scratch);
    snprintf(raw_path, sizeof raw_path, "%s/raw.out", b->scratch);
    for (int i = 0; i < b->rounds; i++) {
        sample_add(&ours, run_to(ours_path, argv).cpu);
        sample_add(&raw, RUN_TO(raw_path, b->raw, "list", b->large.log, where).cpu);
    }
    if (!same_bytes(ours_path, raw_path))
        give_up("%s: the two do not give the same bytes.", what);
    unlink(ours_path);
    unlink(raw_path);
    goal(b, what, limit, &ours, &raw, most, true);
}

static void list_goals(Bench *b)
{
    char since[32], where[256];
    const int64_t from = (b->large.last_ms - 9 * 365 * DAY_MS) / DAY_MS * DAY_MS;
    const time_t when = (time_t)(from / 1000);
    struct tm day;
    gmtime_r(&when, &day);
    strftime(since, sizeof since, "%Y-%m-%dT%H:%M:%SZ", &day);
    snprintf(where, sizeof where,
             "at>=%" PRId64 " AND (name='A2' OR other='A2' OR (kind=8 AND more LIKE '%%\"A2\"%%'))",
             from);
    list_goal(b, "export, to raw query and print", "<= 1.3 x", 1.3,
              (const char *const[]){"export", NULL}, "1");
    list_goal(b, "log --vessel over nine years, to the raw query", "<= 1.5 x", 1.5,
              (const char *const[]){"log", "--json", "--voided", "--vessel", "A2", "--since", since,
                                    NULL},
              where);
    list_goal(b, "log --kind swap, to the raw query", "<= 1.5 x", 1.5,
              (const char *const[]){"log", "--json", "--kind", "swap", NULL}, "kind=10");
}

static void verify_goal(Bench *b)
{
    Sample ours = {0}, raw = {0};
    for (int i = 0; i < b->rounds; i++) {
        sample_add(&ours, RUN(b->ullage, "verify", "--log", b->large.log).cpu);
        sample_add(&raw, RUN(b->raw, "verify", b->large.log).cpu);
    }
    goal(b, "verify, to integrity_check and scan", "<= 1.8 x", &ours, &raw, 1.8, false);
}

/* Every second line of the season, and the others. */
static void halves_make(const Bench *b, const char *one, const char *two)
{
    char line[8192];
    FILE *all = fopen(b->large.json, "r"), *a = fopen(one, "w"), *c = fopen(two, "w");
    for (int64_t i = 0; all != NULL && a != NULL && c != NULL && fgets(line, sizeof line, all);
         i++) {
        if (i < 40 || i % 2 == 0)
            fputs(line, a);
        if (i < 40 || i % 2 == 1)
            fputs(line, c);
    }
    if (all == NULL || a == NULL || c == NULL || fclose(a) != 0 || fclose(c) != 0)
        give_up("%s can't be halved.", b->large.json);
    fclose(all);
}

static void merge_goals(Bench *b)
{
    char path[6][PATH_SIZE + 16], text[64];
    static const char *const names[] = {"one.jsonl", "two.jsonl", "one.db",
                                        "two.db",    "both.db",   "raw-both.db"};
    Sample ours = {0}, raw = {0}, nothing = {0}, scan = {0};
    for (int i = 0; i < 6; i++)
        snprintf(path[i], sizeof path[i], "%s/%s", b->scratch, names[i]);
    halves_make(b, path[0], path[1]);
    import(b, path[2], path[0]);
    import(b, path[3], path[1]);
    for (int i = 0; i < (b->rounds + 1) / 2; i++) {
        log_remove(path[4]);
        log_remove(path[5]);
        RUN("/bin/cp", path[2], path[4]);
        RUN("/bin/cp", path[2], path[5]);
        sample_add(&ours, RUN(b->ullage, "merge", path[3], "--log", path[4]).cpu);
        sample_add(&nothing, RUN(b->ullage, "merge", path[3], "--log", path[4]).cpu);
        sample_add(&scan, RUN(b->raw, "scan", path[4]).cpu);
        sample_add(&raw, RUN(b->raw, "merge", path[5], path[3]).cpu);
    }
    RUN(b->raw, "same", path[4], path[5]);
    goal(b, "merge of two halves, to ATTACH and INSERT OR IGNORE", "<= 2 x", &ours, &raw, 2, false);
    const double most = 0.3 * (double)b->large.entries / 1e6;
    snprintf(text, sizeof text, "%.3f s", sample_median(&nothing));
    b->all_met = report("merge that brings nothing new", "<= 0.3 s a million", text,
                        sample_median(&nothing) <= most + 0.01) &&
                 b->all_met;
    report_only(
        "the same, to a raw scan of the one log", /* seconds differ from machine to machine */
        ratio_text(text, sizeof text, sample_median(&nothing), sample_median(&scan), "s", 1));
    for (int i = 0; i < 6; i++)
        log_remove(path[i]);
}

static void absolute(Bench *b, const char *what, const char *limit, double took, double most)
{
    char text[64];
    snprintf(text, sizeof text, "%.3f s", took);
    b->all_met = report(what, limit, text, took <= most) && b->all_met;
}

static void salvage_goal(Bench *b)
{
    char out[PATH_SIZE + 16];
    snprintf(out, sizeof out, "%s/saved.db", b->scratch);
    log_remove(out);
    const double took = RUN(b->ullage, "salvage", b->large.log, out).cpu;
    RUN(b->raw, "same", b->large.log, out);
    log_remove(out);
    absolute(b, "salvage of a log that is whole", "<= 5 s a million", took,
             5 * (double)b->large.entries / 1e6 + 0.05);
}

/* What needs no look at every row. In a season, an id begins with its time. */
static void find_goals(Bench *b)
{
    char id[32];
    Sample swaps = {0}, found = {0}, started = {0};
    snprintf(id, sizeof id, "%012" PRIx64, (uint64_t)b->large.last_ms);
    for (int i = 0; i < b->rounds * 2 + 1; i++) {
        sample_add(&swaps, RUN(b->ullage, "log", "--kind", "swap", "--log", b->large.log).cpu);
        sample_add(&found, RUN(b->ullage, "void", id, "--dry-run", "--log", b->large.log).cpu);
        sample_add(&started, RUN(b->ullage, "--version").cpu);
    }
    absolute(b, "log --kind swap", "<= 60 ms", sample_median(&swaps), 0.06);
    absolute(b, "void of a short id, beside starting the program", "<= 20 ms",
             sample_median(&found) - sample_median(&started), 0.02);
}

/* 10,000 entries that another machine wrote; then nothing new, beside a log of the large size. */
static void sync_goals(Bench *b)
{
    char folder[PATH_SIZE + 16], here[PATH_SIZE + 16], there[PATH_SIZE + 16], words[PATH_SIZE + 64];
    Sample idle = {0}, status = {0};
    snprintf(folder, sizeof folder, "%s/folder", b->scratch);
    snprintf(here, sizeof here, "%s/here.db", b->scratch);
    snprintf(there, sizeof there, "%s/there.db", b->scratch);
    snprintf(words, sizeof words, "%s/ten.jsonl", b->scratch);
    mkdir(folder, 0700);
    log_remove(here);
    log_remove(there);
    RUN_TO(words, "/usr/bin/head", "-n", "10000", b->large.json);
    import(b, there, words);
    RUN(b->ullage, "sync", folder, "--log", there);
    RUN(b->ullage, "vessel", "A1", "--capacity", "12", "--at", "2016-01-01T00:00:00Z", "--log",
        here);
    absolute(b, "sync of 10,000 entries", "<= 1 s",
             RUN(b->ullage, "sync", folder, "--log", here).cpu, 1);
    RUN("/bin/cp", b->large.log, here);
    RUN(b->ullage, "sync", folder, "--log", here);
    for (int i = 0; i < b->rounds * 4; i++) {
        sample_add(&idle, RUN(b->ullage, "sync", folder, "--log", here).cpu);
        sample_add(&status, RUN(b->ullage, "--version").cpu);
    }
    absolute(b, "sync with nothing new, beside starting the program", "<= 10 ms",
             sample_median(&idle) - sample_median(&status), 0.01);
    log_remove(here);
    log_remove(there);
    RUN("/bin/rm", "-r", folder);
}

static void upgrade_goal(Bench *b)
{
    char old[PATH_SIZE + 32], kept[PATH_SIZE + 64], raw_old[PATH_SIZE + 32];
    Sample ours = {0}, raw = {0};
    snprintf(old, sizeof old, "%s/old.db", b->scratch);
    snprintf(raw_old, sizeof raw_old, "%s/raw-old.db", b->scratch);
    for (int i = 0; i < 2; i++) {
        log_remove(old);
        RUN(b->self, "old", old, b->large.log);
        log_remove(raw_old);
        RUN("/bin/cp", old, raw_old);
        snprintf(kept, sizeof kept, "%s-kept", raw_old);
        log_remove(kept);
        double cpu = RUN(b->raw, "upgrade", raw_old, kept).cpu;
        cpu += RUN(b->raw, "fold", raw_old).cpu;
        sample_add(&raw, cpu);
        log_remove(kept);
        snprintf(kept, sizeof kept, "%s-before-2", old);
        log_remove(kept);
        sample_add(&ours, RUN(b->ullage, "units", "metric", "--log", old).cpu);
        log_remove(kept);
    }
    log_remove(old);
    log_remove(raw_old);
    goal(b, "upgrade of version 1, to a copy, the column and a fold", "<= 2 x", &ours, &raw, 2,
         false);
}

/* ---- memory ---- */

static const struct {
    const char *name;
    const char *words[8]; /* LOG and OUT stand for paths */
} commands[] = {
    {"status", {"status", "--log", "LOG"}},
    {"status --json", {"status", "--json", "--log", "LOG"}},
    {"status --at", {"status", "--at", "2016-02-01T12:00:00Z", "--log", "LOG"}},
    {"log", {"log", "--log", "LOG"}},
    {"log --vessel", {"log", "--vessel", "A2", "--voided", "--log", "LOG"}},
    {"due", {"due", "--log", "LOG"}},
    {"outlook", {"outlook", "--log", "LOG"}},
    {"export", {"export", "--log", "LOG"}},
    {"export --csv", {"export", "--csv", "--log", "LOG"}},
    {"verify", {"verify", "--log", "LOG"}},
    {"backup", {"backup", "OUT", "--log", "LOG"}},
    {"void last", {"void", "last", "--dry-run", "--log", "LOG"}},
    {"draw", {"draw", "galley", "20ml", "--log", "LOG"}},
    {"sound --at", {"sound", "A4", "6.5", "--at", "2016-01-10T12:00:00Z", "--log", "LOG"}},
    {"merge", {"merge", "LOG", "--log", "OUT"}},
    {"import JSON Lines", {"import", "--log", "OUT", "JSON"}},
    {"import CSV", {"import", "--log", "OUT", "CSV"}},
};

static Run command_run(const Bench *b, int c, const Set *set, const char *out)
{
    const char *argv[10] = {b->ullage};
    log_remove(out);
    for (int i = 0; commands[c].words[i] != NULL; i++) {
        const char *word = commands[c].words[i];
        argv[i + 1] = strcmp(word, "LOG") == 0    ? set->log
                      : strcmp(word, "OUT") == 0  ? out
                      : strcmp(word, "JSON") == 0 ? set->json
                      : strcmp(word, "CSV") == 0  ? set->csv
                                                  : word;
    }
    return run_program(argv);
}

/* Flat: nothing that grows with the log. What looks for an id twice (import, merge, verify) holds
 * tables of ids that are bounded by 3 MiB and that a small log does not fill. */
#define FLAT_MIB 3.5

static void memory_goals(Bench *b)
{
    char out[PATH_SIZE + 16];
    snprintf(out, sizeof out, "%s/out.db", b->scratch);
    const Set *sets[] = {&b->small, &b->large, &b->huge};
    for (size_t c = 0; c < sizeof commands / sizeof *commands; c++) {
        char text[160] = "", what[64];
        double peaks[3] = {0}, most = 0;
        bool good = true;
        for (int i = 0; i < 3 && sets[i]->there; i++) {
            Run r = command_run(b, (int)c, sets[i], out);
            if (r.status != 0 && r.status != 4) {
                fprintf(stderr, "%s ended with status %d.\n", commands[c].name, r.status);
                good = false;
            }
            peaks[i] = r.peak_mib;
            most = r.peak_mib > most ? r.peak_mib : most;
            size_t n = strlen(text);
            snprintf(text + n, sizeof text - n, "%s%.1f MiB", i > 0 ? ", " : "", r.peak_mib);
        }
        snprintf(what, sizeof what, "peak memory of %s", commands[c].name);
        good = good && most <= MIB_MAX && most - peaks[0] <= FLAT_MIB;
        b->all_met = report(what, "<= 10 MiB, flat", text, good) && b->all_met;
    }
    log_remove(out);
}

/* ---- main ---- */

static void scratch_make(Bench *b, const char *given)
{
    const char *temporary = getenv("TMPDIR");
    if (given != NULL) {
        snprintf(b->scratch, sizeof b->scratch, "%s", given);
        mkdir(given, 0700);
        return;
    }
    snprintf(b->scratch, sizeof b->scratch, "%s/ullage-bench-XXXXXX",
             temporary != NULL && temporary[0] != '\0' ? temporary : "/tmp");
    if (mkdtemp(b->scratch) == NULL)
        give_up("no directory can be made at %s.", b->scratch);
    b->own = true;
}

static void scratch_clear(const Bench *b)
{
    DIR *dir = b->own ? opendir(b->scratch) : NULL;
    struct dirent *item;
    if (dir == NULL)
        return;
    while ((item = readdir(dir)) != NULL) {
        char name[PATH_SIZE + 300];
        snprintf(name, sizeof name, "%s/%s", b->scratch, item->d_name);
        if (item->d_name[0] != '.')
            unlink(name);
    }
    closedir(dir);
    rmdir(b->scratch);
}

static int usage(void)
{
    fprintf(stderr, "usage: bench_log --ullage PROGRAM --raw PROGRAM [--slow-sync LIBRARY] "
                    "[--static PROGRAM] [--entries N] [--small N] "
                    "[--huge N] [--rounds N] [SCRATCH]\n");
    return 2;
}

static void bench_all(Bench *b, int64_t small, int64_t large, int64_t huge)
{
    char raw_log[PATH_SIZE + 16], text[64];
    snprintf(raw_log, sizeof raw_log, "%s/raw.db", b->scratch);
    set_make(b, &b->small, small);
    set_make(b, &b->large, large);
    snprintf(text, sizeof text, "%" PRId64 " and %" PRId64, large, small);
    report_only("entries in the large and the small log", text);
    import_goals(b, raw_log);
    size_goal(b);
    import(b, b->small.log, b->small.json);
    fold_goal(b);
    list_goals(b);
    find_goals(b);
    verify_goal(b);
    merge_goals(b);
    salvage_goal(b);
    sync_goals(b);
    upgrade_goal(b);
    status_goals(b);
    entry_goal(b, raw_log);
    back_dated_goal(b);
    if (huge > 0) {
        set_make(b, &b->huge, huge);
        import(b, b->huge.log, b->huge.json);
    }
    memory_goals(b);
}

int main(int argc, char **argv)
{
    static Bench b; /* many paths: no business of the stack */
    int64_t small = 50000, large = 1000000, huge = 0;
    const char *scratch = NULL;
    if (argc == 6 && strcmp(argv[1], "season") == 0)
        return season_run(argv[2], argv[3], argv[4], argv[5]);
    if (argc == 3 && (strcmp(argv[1], "fold") == 0 || strcmp(argv[1], "rebuild") == 0))
        return fold_run(argv[2], argv[1][0] == 'r');
    if (argc == 4 && strcmp(argv[1], "old") == 0)
        return old_run(argv[2], argv[3]);
    b = (Bench){.self = "/proc/self/exe", .rounds = 5, .all_met = true};
    for (int i = 1; i < argc; i++) {
        const char *word = argv[i];
        if (word[0] != '-') {
            scratch = word;
            continue;
        }
        if (++i == argc)
            return usage();
        if (strcmp(word, "--ullage") == 0)
            b.ullage = argv[i];
        else if (strcmp(word, "--raw") == 0)
            b.raw = argv[i];
        else if (strcmp(word, "--slow-sync") == 0)
            b.slow_sync = argv[i];
        else if (strcmp(word, "--static") == 0)
            b.fixed = argv[i];
        else if (strcmp(word, "--entries") == 0)
            large = strtoll(argv[i], NULL, 10);
        else if (strcmp(word, "--small") == 0)
            small = strtoll(argv[i], NULL, 10);
        else if (strcmp(word, "--huge") == 0)
            huge = strtoll(argv[i], NULL, 10);
        else if (strcmp(word, "--rounds") == 0)
            b.rounds = atoi(argv[i]);
        else
            return usage();
    }
    if (b.ullage == NULL || b.raw == NULL || small < 100 || large < small || b.rounds < 1 ||
        b.rounds > 12)
        return usage();
    scratch_make(&b, scratch);
    bench_all(&b, small, large, huge);
    scratch_clear(&b);
    return b.all_met ? 0 : 1;
}
