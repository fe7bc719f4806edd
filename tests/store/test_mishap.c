/* One call fails, or all from one on: each by which the store asks SQLite, the system or the heap
 * for something, in everything that a person does with a log. At every point: it was done, or there
 * is a sentence that says why not; what was acknowledged is there, nothing is half, the log is
 * sound, no file is left lying, none is left open. ULLAGE_TRIALS says how many points each;
 * "all" is all of them. */
#include "support/mishap.h"
#include "support/stories.h"

#include <ftw.h>
#include <sys/mman.h>
#include <sys/wait.h>

enum { POINTS = 30, FILES_MAX = 24 };

static char now_telling[300]; /* what a failed assertion is about */

/* ---- what lies in the folder ---- */

typedef struct {
    char path[280];
    uint8_t *bytes;
    size_t n;
} Kept;

typedef struct {
    Kept files[FILES_MAX];
    int count;
} Folder;

static Folder before; /* the act */

static int keep_one(const char *path, const struct stat *info, int type, struct FTW *walk)
{
    (void)walk;
    if (type != FTW_F)
        return 0;
    assert_true(before.count < FILES_MAX);
    Kept *k = &before.files[before.count++];
    snprintf(k->path, sizeof k->path, "%s", path);
    k->n = (size_t)info->st_size;
    k->bytes = malloc(k->n + 1);
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    assert_int_equal(fread(k->bytes, 1, k->n, file), k->n);
    fclose(file);
    return 0;
}

static void folder_keep(const char *dir)
{
    before.count = 0;
    nftw(dir, keep_one, 8, FTW_PHYS);
}

static int drop_one(const char *path, const struct stat *info, int type, struct FTW *walk)
{
    (void)info;
    (void)walk;
    return type == FTW_F ? remove(path) : 0;
}

static void folder_put(const char *dir)
{
    nftw(dir, drop_one, 8, FTW_PHYS);
    for (int i = 0; i < before.count; i++) {
        FILE *file = fopen(before.files[i].path, "wb");
        assert_non_null(file);
        assert_int_equal(fwrite(before.files[i].bytes, 1, before.files[i].n, file),
                         before.files[i].n);
        fclose(file);
        chmod(before.files[i].path, 0600);
    }
}

static void folder_free(void)
{
    for (int i = 0; i < before.count; i++)
        free(before.files[i].bytes);
}

/* A part of a file that is not one yet. What could not be unlinked may stay: the next one of its
 * kind takes it away. */
static int part_is_none(const char *path, const struct stat *info, int type, struct FTW *walk)
{
    (void)info;
    (void)walk;
    const bool part = strstr(path, ".part") != NULL || strstr(path, "-journal") != NULL;
    /* what is opened again for reading only leaves SQLite's two files beside it (db.c) */
    const bool beside = strstr(path, "-wal") != NULL || strstr(path, "-shm") != NULL;
    if (type == FTW_F && (part || (beside && mishap_kind != MISHAP_SQLITE)))
        fail_msg("%s was left", path);
    return 0;
}

static int files_open(void)
{
    int count = 0;
    DIR *dir = opendir("/proc/self/fd");
    while (dir != NULL && readdir(dir) != NULL)
        count++;
    if (dir != NULL)
        closedir(dir);
    return count;
}

/* ---- sentences ---- */

/* It says what is the matter, of what, and ends, perhaps with a command to type. */
static void is_sentence(const Fault *fault)
{
    static const char *const lies[] = {"(null)",  "not an error",          "Success",
                                       "(code 0", "another row available", "no more rows"};
    const size_t n = strlen(fault->text);
    if (fault->kind == FAULT_NONE || n < 20 ||
        (fault->text[n - 1] != '.' && strcmp(fault->text + n - 4, " NEW") != 0))
        fail_msg("no sentence: '%s'", fault->text);
    for (size_t i = 0; i < sizeof lies / sizeof *lies; i++)
        if (strstr(fault->text, lies[i]) != NULL)
            fail_msg("'%s' is in: %s", lies[i], fault->text);
}

/* ---- points ---- */

static Trial *shared_trial; /* also with a child that ran out of memory */

static bool is_child;

/* Runs the act in a child, which ends where there is no memory. */
static void act_aside(const Story *story, Trial *s)
{
    int status;
    fflush(NULL);
    const pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        close(STDERR_FILENO);
        is_child = true;
        story->act(s);
        _exit(mishap_struck > 0 ? 1 : 0);
    }
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(WIFEXITED(status));
    /* 3: it was said that there is none; 1: it did without */
    assert_true(WEXITSTATUS(status) == 3 || WEXITSTATUS(status) <= 1);
    s->done = s->done && WEXITSTATUS(status) <= 1;
}

static void point(const Story *story, Trial *s, MishapKind kind, int64_t n, bool stays)
{
    const Trial prepared = *s;
    const int open = files_open();
    folder_put(s->kit.dir);
    mishap_arm(kind, n, stays);
    if (kind == MISHAP_MEMORY)
        act_aside(story, s);
    else
        story->act(s);
    snprintf(now_telling, sizeof now_telling, "%s: %s at %lld%s (%s), code %d, errno %d",
             story->name,
             kind == MISHAP_SQLITE  ? "SQLite"
             : kind == MISHAP_FILES ? "files"
                                    : "memory",
             (long long)n, stays ? " and after" : "", mishap_name, mishap_code, mishap_errno);
    mishap_over();
    assert_int_equal(files_open(), open);
    if (!s->done && kind != MISHAP_MEMORY)
        is_sentence(&s->fault);
    if (getenv("ULLAGE_TELL") != NULL && !s->done)
        print_message("%s: %s\n", now_telling, s->fault.text);
    story->check(s);
    if (mishap_struck == 1 && strcmp(mishap_name, "unlink") != 0 &&
        strcmp(mishap_name, "unlinkat") != 0)
        nftw(s->kit.dir, part_is_none, 8, FTW_PHYS);
    *s = prepared;
    now_telling[0] = '\0';
}

static int64_t calls_of(const Story *story, Trial *s, MishapKind kind)
{
    const Trial prepared = *s;
    folder_put(s->kit.dir);
    mishap_arm(kind, INT64_MAX, false);
    story->act(s);
    const int64_t calls = mishap_done;
    mishap_over();
    if (!s->done)
        fail_msg("%s", s->fault.text);
    story->check(s);
    nftw(s->kit.dir, part_is_none, 8, FTW_PHYS);
    *s = prepared;
    return calls;
}

static int64_t story_told(const Story *story, int64_t points)
{
    int64_t all = 0;
    Trial *s = shared_trial;
    stage_begin(s);
    story->prepare(s);
    folder_keep(s->kit.dir);
    for (int kind = 0; kind < MISHAP_KINDS; kind++) {
        const int64_t calls = calls_of(story, s, (MishapKind)kind);
        const int64_t asked = points < calls ? points : calls;
        for (int64_t i = 0; i < asked; i++, all++)
            point(story, s, (MishapKind)kind, calls * i / asked, i % 3 == 2);
        if (points >= calls)
            for (int64_t i = 0; i < calls && kind != MISHAP_MEMORY; i++, all++)
                point(story, s, (MishapKind)kind, i, i % 3 != 2);
    }
    folder_free();
    stage_end(s);
    return all;
}

static void what_fails_is_said_and_nothing_is_lost(void **state)
{
    (void)state;
    const char *asked = getenv("ULLAGE_TRIALS"), *only = getenv("ULLAGE_STORY");
    const int64_t points = asked == NULL               ? POINTS
                           : strcmp(asked, "all") == 0 ? INT64_MAX
                                                       : atoi(asked);
    int64_t all = 0;
    for (int i = 0; i < STORIES; i++)
        if (only == NULL || strcmp(only, stories[i].name) == 0)
            all += story_told(&stories[i], points);
    print_message("%lld points\n", (long long)all);
}

static int telling(void **state)
{
    (void)state;
    mishap_over();
    if (is_child)
        _exit(99); /* what the act itself asserts did not hold */
    if (now_telling[0] != '\0')
        print_error("at: %s\n", now_telling);
    return 0;
}

int main(void)
{
    mishap_install();
    shared_trial =
        mmap(NULL, sizeof *shared_trial, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    if (shared_trial == MAP_FAILED)
        return 1;
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_teardown(what_fails_is_said_and_nothing_is_lost, telling),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
