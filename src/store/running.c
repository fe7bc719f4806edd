#include "store/running.h"

#include "base/crc.h"

#include <fcntl.h>
#include <inttypes.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { PATH_MAX_BYTES = 4096, LINE_BYTES = 160 };

static bool running_path(const char *log, const Label *line, char out[PATH_MAX_BYTES])
{
    const uint32_t hash = crc32c(0, line->s, strlen(line->s));
    const int n = snprintf(out, PATH_MAX_BYTES, "%s-running-%08" PRIx32, log, hash);
    return log[0] != '\0' && n > 0 && n < PATH_MAX_BYTES;
}

void running_tell(const char *log, const Running *r)
{
    char path[PATH_MAX_BYTES], text[LINE_BYTES];
    if (!running_path(log, &r->line, path))
        return;
    int n = snprintf(text, sizeof text, "%" PRId64 " %" PRId64 " %" PRId64 " %" PRId64, r->since,
                     r->at, r->ml, r->ml_min);
    n +=
        snprintf(text + n, sizeof text - (size_t)n, " %08" PRIx32 "\n", crc32c(0, text, (size_t)n));
    const int fd = open(path, O_WRONLY | O_CREAT | O_NOFOLLOW | O_CLOEXEC, 0600);
    if (fd < 0)
        return;
    if (pwrite(fd, text, (size_t)n, 0) == n)
        (void)!ftruncate(fd, n);
    close(fd);
}

void running_wake(const char *log)
{
    if (log[0] != '\0')
        (void)utimensat(AT_FDCWD, log, NULL, 0);
}

void running_end(const char *log, const Label *line)
{
    char path[PATH_MAX_BYTES];
    if (running_path(log, line, path))
        unlink(path);
}

/* Four numbers and the checksum of them; anything else is nothing. */
static bool running_parse(const char *text, Running *r)
{
    char proof[LINE_BYTES];
    uint32_t sum;
    int n = 0;
    if (sscanf(text, "%" SCNd64 " %" SCNd64 " %" SCNd64 " %" SCNd64 "%n %8" SCNx32, &r->since,
               &r->at, &r->ml, &r->ml_min, &n, &sum) != 5)
        return false;
    snprintf(proof, sizeof proof, "%.*s %08" PRIx32 "\n", n, text, sum);
    return strcmp(proof, text) == 0 && sum == crc32c(0, text, (size_t)n) && r->ml >= 0 &&
           r->ml_min >= 0 && r->since <= r->at;
}

static bool line_runs(const char *log, const Label *line, int64_t now, Running *out)
{
    char path[PATH_MAX_BYTES], text[LINE_BYTES];
    if (!running_path(log, line, path))
        return false;
    const int fd = open(path, O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC);
    if (fd < 0)
        return false;
    const ssize_t n = read(fd, text, sizeof text - 1);
    close(fd);
    if (n <= 0)
        return false;
    text[n] = '\0';
    *out = (Running){.line = *line};
    return running_parse(text, out) && out->at <= now + RUNNING_OLD_MS &&
           now - out->at <= RUNNING_OLD_MS;
}

int running_read(const char *log, const State *state, Moment now, Running out[LINES_MAX])
{
    int count = 0;
    for (int i = 0; i < state->line_count && count < LINES_MAX; i++)
        if (!label_empty(&state->lines[i].label) &&
            line_runs(log, &state->lines[i].label, now.ms, &out[count]))
            count++;
    return count;
}
