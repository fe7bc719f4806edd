/* bench_log.c - time and memory of the log, against the raw partner (raw.h), as ratios.
 *
 *     bench_log --ullage PROGRAM --raw PROGRAM [--entries N] [--small N] [--huge N] [--rounds N]
 * [SCRATCH]
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
    const char *self, *ullage, *raw;
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
        state_init(&head->state);
        head->last = SPOT_BEFORE_ALL;
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
        snprintf(name, sizeof name, "%s%s", path, ends[i]);
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
    log_remove(other);
    RUN(b->raw, "same", b->large.log, raw_log); /* else the ratios would compare different work */
    goal(b, "import of JSON Lines, to raw parse-and-insert", "<= 3 x", &json, &raw_json, 3, false);
    goal(b, "import of CSV, to raw parse-and-insert", "<= 2 x", &csv, &raw_csv, 2, false);
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
    Sample fold = {0}, scan = {0};
    for (int i = 0; i < b->rounds; i++) {
        sample_add(&fold, RUN(b->self, "fold", b->large.log).cpu);
        sample_add(&scan, RUN(b->raw, "scan", b->large.log).cpu);
    }
    goal(b, "full fold, to raw scan-and-decode", "<= 1.3 x", &fold, &scan, 1.3, false);
}

static void status_goals(Bench *b)
{
    Sample large = {0}, small = {0}, raw = {0};
    for (int i = 0; i < b->rounds * 8 + 1; i++) {
        sample_add(&large, RUN(b->ullage, "status", "--log", b->large.log).cpu);
        sample_add(&raw, RUN(b->raw, "checkpoint", b->large.log).cpu);
        sample_add(&small, RUN(b->ullage, "status", "--log", b->small.log).cpu);
    }
    goal(b, "status, to reading one checkpoint raw", "<= 1.5 x", &large, &raw, 1.5, true);
    goal(b, "status, to the same on the small log", "<= 1.1 x", &large, &small, 1.1, true);
}

static void entry_goal(Bench *b, const char *raw_log)
{
    Sample ours = {0}, raw = {0}, ours_wall = {0}, raw_wall = {0};
    int64_t at = (int64_t)time(NULL) * 1000;
    for (int i = 0; i < b->rounds * 8 + 1; i++) {
        char ms[32], text[32];
        snprintf(ms, sizeof ms, "%" PRId64, at + i);
        snprintf(text, sizeof text, "%dml", 10 + i % 7);
        Run a = RUN(b->ullage, "draw", "galley", text, "--log", b->large.log);
        Run c = RUN(b->raw, "commit", raw_log, ms);
        sample_add(&ours, a.cpu);
        sample_add(&raw, c.cpu);
        sample_add(&ours_wall, a.wall);
        sample_add(&raw_wall, c.wall);
    }
    goal(b, "one entry, exec to exit, to raw process and commit", "<= 2 x", &ours, &raw, 2, true);
    char text[128];
    report_only("the same by the clock", ratio_text(text, sizeof text, sample_median(&ours_wall),
                                                    sample_median(&raw_wall), "ms", 1e3));
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
    fprintf(stderr, "usage: bench_log --ullage PROGRAM --raw PROGRAM [--entries N] [--small N] "
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
