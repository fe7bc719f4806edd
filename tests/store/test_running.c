/* What a feed tells the boards beside the log: whole, of now, of that line; else nothing. */
#include "store/running.h"

#include "base/memory.h"
#include "support/store_kit.h"

#include <fcntl.h>
#include <glob.h>
#include <unistd.h>

enum { NOW = 1000000 };

static char path[200];

static State *lines(void)
{
    State *state = memory_get(sizeof *state);
    const Label a = label_of(text_of("galley")), b = label_of(text_of("heads / aft"));
    state_init(state);
    assert_true(state_line_ensure(state, &a) >= 0 && state_line_ensure(state, &b) >= 0);
    return state;
}

static int read_at(const State *state, int64_t ms, Running out[LINES_MAX])
{
    return running_read(path, state, (Moment){ms}, out);
}

static void what_is_told_is_read_until_it_ends_or_is_old(void **unused)
{
    (void)unused;
    State *state = lines();
    Running out[LINES_MAX];
    const Running told = {.line = label_of(text_of("heads / aft")),
                          .since = NOW - 60000,
                          .at = NOW,
                          .ml = 3400,
                          .ml_min = 1200};
    assert_int_equal(read_at(state, NOW, out), 0);
    running_tell(path, &told);
    assert_int_equal(read_at(state, NOW + RUNNING_OLD_MS, out), 1);
    assert_memory_equal(&out[0], &told, sizeof told);
    assert_int_equal(read_at(state, NOW + RUNNING_OLD_MS + 1, out), 0); /* the feed is dead */
    assert_int_equal(read_at(state, NOW - RUNNING_OLD_MS - 1, out), 0); /* the clock went back */
    Running shorter = told;
    shorter.since = 1;
    shorter.ml = 1;
    running_tell(path, &shorter); /* over a longer one */
    assert_int_equal(read_at(state, NOW, out), 1);
    assert_int_equal(out[0].ml, 1);
    running_end(path, &told.line);
    assert_int_equal(read_at(state, NOW, out), 0);
    free(state);
}

static void damage_is_nothing(void **unused)
{
    (void)unused;
    State *state = lines();
    Running out[LINES_MAX];
    const Running told = {
        .line = label_of(text_of("galley")), .since = NOW - 60000, .at = NOW, .ml = 3400};
    char pattern[300], bytes[200];
    glob_t found;
    running_tell(path, &told);
    snprintf(pattern, sizeof pattern, "%s-running-*", path);
    assert_int_equal(glob(pattern, 0, NULL, &found), 0);
    assert_int_equal(found.gl_pathc, 1);
    int fd = open(found.gl_pathv[0], O_RDWR);
    const ssize_t n = read(fd, bytes, sizeof bytes);
    assert_true(n > 10);
    for (ssize_t i = 0; i < n; i++) {
        const char other = bytes[i] == '7' ? '8' : '7';
        assert_int_equal(pwrite(fd, &other, 1, i), 1);
        assert_int_equal(read_at(state, NOW, out), 0);
        assert_int_equal(pwrite(fd, &bytes[i], 1, i), 1);
        assert_int_equal(read_at(state, NOW, out), 1);
    }
    for (ssize_t cut = 0; cut < n; cut++) {
        assert_int_equal(ftruncate(fd, n), 0);
        assert_int_equal(pwrite(fd, bytes, (size_t)n, 0), n);
        assert_int_equal(ftruncate(fd, cut), 0);
        assert_int_equal(read_at(state, NOW, out), 0);
    }
    close(fd);
    unlink(found.gl_pathv[0]);
    assert_int_equal(symlink("/etc/passwd", found.gl_pathv[0]), 0); /* it follows no link */
    running_tell(path, &told);
    assert_int_equal(read_at(state, NOW, out), 0);
    running_end(path, &told.line);
    globfree(&found);
    free(state);
}

static void a_log_without_a_file_tells_nothing(void **unused)
{
    (void)unused;
    State *state = lines();
    Running out[LINES_MAX];
    const Running told = {.line = label_of(text_of("galley")), .since = 1, .at = NOW, .ml = 1};
    running_tell("", &told);
    assert_int_equal(running_read("", state, (Moment){NOW}, out), 0);
    running_end("", &told.line);
    free(state);
}

int main(void)
{
    char folder[] = "/tmp/ullage-running-XXXXXX";
    assert_non_null(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/water.db", folder);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_told_is_read_until_it_ends_or_is_old),
        cmocka_unit_test(damage_is_nothing),
        cmocka_unit_test(a_log_without_a_file_tells_nothing),
    };
    const int failed = cmocka_run_group_tests(tests, NULL, NULL);
    rmdir(folder);
    return failed;
}
