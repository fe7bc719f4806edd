#include "base/memory.h"

#include <stdlib.h>
#include <unistd.h>

/* The one process-wide setting: the terminal must be put right whoever runs out of memory. */
static void (*exhausted_hook)(void);

void memory_on_exhausted(void (*hook)(void))
{
    exhausted_hook = hook;
}

_Noreturn void memory_exhausted(void)
{
    static const char words[] =
        "ullage: out of memory; what was logged is safe. Close other programs and start again.\n";
    void (*hook)(void) = exhausted_hook;
    exhausted_hook =
        NULL; /* a hook that runs out of memory itself must not come back here for ever */
    if (hook != NULL)
        hook();
    /* write, not fputs: stdio may want memory. There is nothing to do if it fails. */
    ssize_t written = write(STDERR_FILENO, words, sizeof words - 1);
    (void)written;
    _exit(3); /* not exit: handlers registered there may want memory, too */
}

void *memory_get(size_t size)
{
    void *block = calloc(1, size > 0 ? size : 1);
    if (block == NULL)
        memory_exhausted();
    return block;
}

void *memory_resize(void *block, size_t size)
{
    void *moved = realloc(block, size > 0 ? size : 1);
    if (moved == NULL)
        memory_exhausted();
    return moved;
}
