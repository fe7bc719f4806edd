/* A disk that is full, that fails once, and a power that goes, at every point where the store
 * writes, and a read or a lock that fails at every point where it reads: while appending, taking
 * back, reading, importing, merging, bringing an older log up to date, backing up, restoring,
 * salvaging and keeping step with another machine. After each: what was acknowledged is there, what
 * was not is there whole or not at all, what was read is right or was refused with a sentence, and
 * the log is sound. ULLAGE_TRIALS says how many points each. */
#include "support/power.h"
#include "support/stories.h"

#include <dirent.h>

enum { POINTS = 6 };

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
    stage_end(&s);
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
    assert_true(s.done);
    story->check(&s);
    stage_end(&s);
    return things;
}

static void nothing_acknowledged_is_lost_and_nothing_is_half(void **state)
{
    (void)state;
    const char *asked = getenv("ULLAGE_TRIALS");
    const int64_t trials = asked != NULL ? atoi(asked) : POINTS;
    int64_t all = 0;
    for (int i = 0; i < STORIES; i++) {
        int64_t writes = 0;
        for (int mode = 0; mode < POWER_MODES; mode++) {
            const int64_t things = things_of(&stories[i], (PowerMode)mode);
            const int64_t points = mode == POWER_READ ? 4 * trials : trials;
            writes += mode != POWER_READ ? things : 0;
            assert_true(things > 5 || mode != POWER_READ || stories[i].act == runs_act ||
                        stories[i].act == begin_act);
            for (int64_t k = 0; things > 0 && k < points; k++, all++)
                point(&stories[i], (PowerMode)mode,
                      points < things ? things * k / points : k % things,
                      (uint64_t)k * 31 + (uint64_t)i);
        }
        assert_true(writes > 15 || stories[i].act == look_act || stories[i].act == older_act ||
                    stories[i].act == runs_act);
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
