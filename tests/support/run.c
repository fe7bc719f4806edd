#include "support/run.h"

#include <errno.h>
#include <fcntl.h>
#include <ftw.h>
#include <poll.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

enum { WORDS_MAX = 64, PASTE_SIZE = 65536 };

void run_begin(Run *r, const char *tz)
{
    memset(r, 0, sizeof *r);
    strcpy(r->folder, "/tmp/ullage-run-XXXXXX");
    assert_non_null(mkdtemp(r->folder));
    setenv("TZ", tz, 1);
    setenv("HOME", r->folder, 1);
    unsetenv("XDG_DATA_HOME");
    unsetenv("ULLAGE_LOG");
    unsetenv("ULLAGE_SHARE");
    unsetenv("NO_COLOR");
    unsetenv("COLUMNS");
}

static int remove_one(const char *path, const struct stat *about, int flag, struct FTW *ftw)
{
    (void)about;
    (void)flag;
    (void)ftw;
    return remove(path);
}

void run_end(Run *r)
{
    nftw(r->folder, remove_one, 16, FTW_DEPTH | FTW_PHYS);
    free(r->out);
    free(r->err);
    memset(r, 0, sizeof *r);
}

/* Words of a line into `paste`; returns how many. */
static int split(const char *words, char *paste, char **argv)
{
    int n = 0;
    char *out = paste;
    for (const char *s = words; *s != '\0';) {
        while (*s == ' ')
            s++;
        if (*s == '\0')
            break;
        assert_true(n < WORDS_MAX - 2);
        argv[n++] = out;
        while (*s != '\0' && *s != ' ') {
            if (*s != '"') {
                *out++ = *s++;
                continue;
            }
            for (s++; *s != '"'; s++) {
                assert_true(*s != '\0');
                *out++ = *s;
            }
            s++;
        }
        *out++ = '\0';
    }
    return n;
}

static void child(const Run *r, char **argv, int in, int out, int err)
{
    if (r->out_to != NULL)
        out = open(r->out_to, O_WRONLY | O_CREAT | O_TRUNC, 0600);
    if (r->file_limit > 0) {
        const struct rlimit limit = {(rlim_t)r->file_limit, (rlim_t)r->file_limit};
        setrlimit(RLIMIT_FSIZE, &limit);
        signal(SIGXFSZ, SIG_IGN);
    }
    if (dup2(in, 0) < 0 || dup2(out, 1) < 0 || dup2(err, 2) < 0 || chdir(r->folder) != 0)
        _exit(126);
    if (r->nobody && (setgid(RUN_NOBODY) != 0 || setuid(RUN_NOBODY) != 0))
        _exit(126);
    execv(ULLAGE_BIN, argv);
    _exit(errno == EACCES ? RUN_CAN_NOT : 127);
}

static void keep(char **text, size_t *size, const char *bytes, size_t n)
{
    *text = realloc(*text, *size + n + 1);
    assert_non_null(*text);
    memcpy(*text + *size, bytes, n);
    *size += n;
    (*text)[*size] = '\0';
}

/* Feeds standard input and reads both outputs until they end. */
static void talk(Run *r, int in, int out, int err)
{
    static char buffer[65536];
    size_t err_size = 0, fed = 0;
    const size_t all = r->input != NULL ? strlen(r->input) : 0;
    struct pollfd p[3] = {{in, POLLOUT, 0}, {out, POLLIN, 0}, {err, POLLIN, 0}};
    if (all == 0) {
        close(in);
        p[0].fd = -1;
    }
    while (p[1].fd >= 0 || p[2].fd >= 0) {
        assert_true(poll(p, 3, 120000) > 0);
        if (p[0].fd >= 0 && p[0].revents != 0) {
            const ssize_t n = write(in, r->input + fed, all - fed);
            fed += n > 0 ? (size_t)n : 0;
            if (n < 0 || fed == all) {
                close(in);
                p[0].fd = -1;
            }
        }
        for (int i = 1; i < 3; i++) {
            if (p[i].fd < 0 || p[i].revents == 0)
                continue;
            const ssize_t n = read(p[i].fd, buffer, sizeof buffer);
            if (n <= 0) {
                close(p[i].fd);
                p[i].fd = -1;
            } else if (i == 1) {
                keep(&r->out, &r->out_size, buffer, (size_t)n);
            } else {
                keep(&r->err, &err_size, buffer, (size_t)n);
            }
        }
    }
    if (p[0].fd >= 0)
        close(in);
}

static int run_argv(Run *r, char **argv)
{
    int in[2], out[2], err[2];
    size_t none = 0;
    free(r->out);
    free(r->err);
    r->out = r->err = NULL;
    r->out_size = 0;
    keep(&r->out, &r->out_size, "", 0);
    keep(&r->err, &none, "", 0);
    assert_int_equal(pipe2(in, O_CLOEXEC) | pipe2(out, O_CLOEXEC) | pipe2(err, O_CLOEXEC), 0);
    signal(SIGPIPE, SIG_IGN);
    const pid_t pid = fork();
    assert_true(pid >= 0);
    if (pid == 0) {
        signal(SIGPIPE, SIG_DFL);
        child(r, argv, in[0], out[1], err[1]);
    }
    close(in[0]);
    close(out[1]);
    close(err[1]);
    talk(r, in[1], out[0], err[0]);
    int status = 0;
    assert_int_equal(waitpid(pid, &status, 0), pid);
    r->status = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
    r->input = r->out_to = NULL;
    r->file_limit = 0;
    assert_int_not_equal(r->status, 127); /* not there, not built */
    return r->status;
}

int run(Run *r, const char *words)
{
    char *paste = malloc(PASTE_SIZE), *argv[WORDS_MAX] = {"ullage"};
    assert_non_null(paste);
    assert_true(strlen(words) < PASTE_SIZE);
    split(words, paste, argv + 1);
    const int status = run_argv(r, argv);
    free(paste);
    return status;
}

int run_words(Run *r, const char *const *words)
{
    char *argv[WORDS_MAX] = {"ullage"};
    for (int i = 0; words[i] != NULL; i++) {
        assert_true(i < WORDS_MAX - 2);
        argv[i + 1] = (char *)(size_t)words[i];
    }
    return run_argv(r, argv);
}

void run_expect(Run *r, int status, const char *words)
{
    if (run(r, words) != status)
        fail_msg("ullage %s: status %d, not %d\n%s%s", words, r->status, status, r->out, r->err);
    if (status == 0 && *r->err != '\0')
        fail_msg("ullage %s: done, but it complains: %s", words, r->err);
}

void run_begin_with(Run *r, const char *tz, const char *const *commands, size_t count)
{
    run_begin(r, tz);
    for (size_t i = 0; i < count; i++)
        run_expect(r, 0, commands[i]);
}

void run_refused(Run *r, int status, const char *words, const char *sentence)
{
    run_expect(r, status, words);
    if (strncmp(r->err, "ullage: ", 8) != 0 || strstr(r->err, sentence) == NULL)
        fail_msg("ullage %s: expected \"%s\", got:\n%s", words, sentence, r->err);
    if ((status == 1 || status == 3) && *r->out != '\0')
        fail_msg("ullage %s: refused, but it prints: %s", words, r->out);
}

void run_said(const Run *r, const char *text)
{
    if (strstr(r->out, text) == NULL)
        fail_msg("expected \"%s\" in:\n%s", text, r->out);
}

void run_not_said(const Run *r, const char *text)
{
    if (strstr(r->out, text) != NULL)
        fail_msg("did not expect \"%s\" in:\n%s", text, r->out);
}

void run_path(const Run *r, const char *name, char *out, size_t size)
{
    assert_true((size_t)snprintf(out, size, "%s/%s", r->folder, name) < size);
}

void run_file(const Run *r, const char *name, const void *bytes, size_t n)
{
    char path[256];
    run_path(r, name, path, sizeof path);
    FILE *f = fopen(path, "wb");
    assert_non_null(f);
    assert_int_equal(fwrite(bytes, 1, n, f), n);
    assert_int_equal(fclose(f), 0);
}
