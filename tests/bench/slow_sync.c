/* slow_sync.c - to be preloaded: each fsync and fdatasync takes ULLAGE_SYNC_MS milliseconds longer,
 * as on a slow card. */
#include <stdlib.h>
#include <sys/syscall.h>
#include <time.h>
#include <unistd.h>

static void wait_for_the_card(void)
{
    const char *ms = getenv("ULLAGE_SYNC_MS");
    const long n = ms != NULL ? strtol(ms, NULL, 10) : 0;
    const struct timespec time = {n / 1000, n % 1000 * 1000000};
    nanosleep(&time, NULL);
}

int fsync(int fd)
{
    wait_for_the_card();
    return (int)syscall(SYS_fsync, fd);
}

int fdatasync(int fd)
{
    wait_for_the_card();
    return (int)syscall(SYS_fdatasync, fd);
}
