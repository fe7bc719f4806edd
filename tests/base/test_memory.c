/* Memory that is fatal to run out of. */
#include "base/memory.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

/* Where the address sanitizer is built in, it would end the program itself at a huge request. */
const char *__asan_default_options(void);
const char *__asan_default_options(void)
{
    return "allocator_may_return_null=1";
}

/* More than any machine has; volatile, so that the compiler does not see it. */
static volatile size_t too_much = SIZE_MAX / 4;

static bool all_zero(const void *bytes, size_t n)
{
    const unsigned char *p = bytes;
    for (size_t i = 0; i < n; i++)
        if (p[i] != 0)
            return false;
    return true;
}

static void test_memory_is_zeroed_and_grows(void **state)
{
    (void)state;
    char *block = memory_get(100);
    assert_true(all_zero(block, 100));
    memset(block, 'm', 100);
    block = memory_resize(block, 10000);
    assert_int_equal(block[0], 'm');
    assert_int_equal(block[99], 'm');
    block = memory_resize(block, 0);
    assert_non_null(block);
    free(block);
    block = memory_get(0);
    assert_non_null(block);
    free(block);
}

/* ---- out of memory: in a child, as it ends the program ---- */

static int hook_pipe[2];

static void note_hook(void)
{
    ssize_t written = write(hook_pipe[1], "hook", 4);
    (void)written;
}

static void get_too_much(void)
{
    (void)memory_get(too_much);
}

static void resize_too_much(void)
{
    (void)memory_resize(NULL, too_much);
}

static void exhaust_in_the_hook(void)
{
    memory_on_exhausted(get_too_much);
    memory_exhausted();
}

/* Runs a deed that exhausts memory; fills in what the child wrote to standard error, and returns
 * its wait status. */
static int run_exhausted(void (*deed)(void), bool with_hook, char said[512])
{
    int words[2];
    assert_int_equal(pipe(words), 0);
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        dup2(words[1], STDERR_FILENO);
        if (with_hook)
            memory_on_exhausted(note_hook);
        deed();
        _exit(99); /* it came back */
    }
    close(words[1]);
    size_t n = 0;
    ssize_t got = 0;
    while (n < 511 && (got = read(words[0], said + n, 511 - n)) > 0)
        n += (size_t)got;
    said[n] = '\0';
    close(words[0]);
    int status = 0;
    assert_int_equal(waitpid(child, &status, 0), child);
    return status;
}

static void test_out_of_memory_is_one_line_and_status_3(void **state)
{
    (void)state;
    void (*const deeds[])(void) = {get_too_much, resize_too_much, exhaust_in_the_hook};
    for (size_t i = 0; i < sizeof deeds / sizeof deeds[0]; i++) {
        char said[512];
        int status = run_exhausted(deeds[i], false, said);
        assert_true(WIFEXITED(status));
        assert_int_equal(WEXITSTATUS(status), 3);
        /* The sanitizer, where there is one, puts a warning of its own in front. */
        const char *line = strstr(said, "ullage: out of memory");
        assert_non_null(line);
        assert_ptr_equal(strchr(line, '\n'), line + strlen(line) - 1);
    }
}

static void test_the_hook_runs_before_the_end(void **state)
{
    (void)state;
    assert_int_equal(pipe(hook_pipe), 0);
    char said[512];
    int status = run_exhausted(get_too_much, true, said);
    assert_int_equal(WEXITSTATUS(status), 3);
    close(hook_pipe[1]);
    char noted[8] = {0};
    assert_int_equal(read(hook_pipe[0], noted, 7), 4);
    assert_string_equal(noted, "hook");
    close(hook_pipe[0]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_memory_is_zeroed_and_grows),
        cmocka_unit_test(test_out_of_memory_is_one_line_and_status_3),
        cmocka_unit_test(test_the_hook_runs_before_the_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
