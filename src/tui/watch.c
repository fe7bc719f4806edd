#include "tui/watch.h"

#include <unistd.h>

#if defined __linux__
#include <sys/inotify.h>
#endif

/* ASK_AFTER: behind the last change. A writer that waits longer than that for its disk is seen at
 * the next minute. */
enum { ASK_EVERY_MS = 450, ASK_AFTER_MS = 20000 };

#if defined __linux__

/* The files and not their folder: others may write there all the time. A file that loses its name
 * while it is open is told as a change of attributes. */
static bool file_watched(const Watch *watch, const char *end)
{
    Str path = {0};
    str_addf(&path, "%s%s", watch->path.s, end);
    const bool good = inotify_add_watch(watch->fd, path.s,
                                        IN_MODIFY | IN_ATTRIB | IN_MOVE_SELF | IN_DELETE_SELF) >= 0;
    str_finish(&path);
    return good;
}

void watch_renew(Watch *watch)
{
    if (watch->fd < 0)
        return;
    watch->told = file_watched(watch, "");
    (void)file_watched(watch, "-wal");
}

static int watch_begin(void)
{
    return inotify_init1(IN_NONBLOCK | IN_CLOEXEC);
}

#else

void watch_renew(Watch *watch)
{
    (void)watch;
}

static int watch_begin(void)
{
    return -1;
}

#endif

void watch_open(Watch *watch, const char *path)
{
    *watch = (Watch){.fd = -1, .active = INT64_MIN / 2};
    if (path[0] == '\0')
        return;
    str_adds(&watch->path, path);
    watch->fd = watch_begin();
    watch_renew(watch);
}

void watch_close(Watch *watch)
{
    if (watch->fd >= 0)
        (void)close(watch->fd);
    watch->fd = -1;
    str_finish(&watch->path);
}

void watch_drain(Watch *watch, int64_t steady_ms)
{
    char told[4096];
    while (watch->fd >= 0 && read(watch->fd, told, sizeof told) > 0)
        watch->active = steady_ms; /* whatever it is, it is about the log */
    watch_renew(watch);
}

int64_t watch_quiet(const Watch *watch, int64_t steady_ms)
{
    if (watch->path.n == 0 || (watch->told && steady_ms - watch->active >= ASK_AFTER_MS))
        return INT64_MAX;
    return ASK_EVERY_MS;
}
