#include "base/arena.h"

#include <stdalign.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
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

struct ArenaBlock {
    ArenaBlock *next;
    size_t size, used;
    alignas(max_align_t) unsigned char bytes[];
};

enum { BLOCK_MIN = 16 * 1024, BLOCK_MAX = 1024 * 1024 };

static ArenaBlock *block_create(size_t size)
{
    if (size > SIZE_MAX - sizeof(ArenaBlock))
        memory_exhausted();
    ArenaBlock *block = memory_get(sizeof *block + size);
    block->size = size;
    return block;
}

void *arena_get(Arena *arena, size_t size)
{
    const size_t step = alignof(max_align_t);
    if (size > SIZE_MAX / 2)
        memory_exhausted();
    size_t whole = size > 0 ? (size + step - 1) / step * step : step;

    ArenaBlock *block = arena->first;
    if (block == NULL || block->size - block->used < whole) {
        /* Blocks double, so that a large replay takes few of them. */
        size_t wanted = arena->total < BLOCK_MIN ? BLOCK_MIN : arena->total;
        if (wanted > BLOCK_MAX)
            wanted = BLOCK_MAX;
        wanted = wanted / step * step;
        block = block_create(wanted > whole ? wanted : whole);
        arena->total += block->size;
        if (arena->first != NULL && whole > wanted) {
            /* A block of its own for a large piece: the one in use still has room for small ones.
             */
            block->next = arena->first->next;
            arena->first->next = block;
        } else {
            block->next = arena->first;
            arena->first = block;
        }
    }
    void *piece = block->bytes + block->used;
    block->used += whole;
    arena->used += whole;
    return piece;
}

char *arena_copy(Arena *arena, const char *s, size_t n)
{
    if (n == SIZE_MAX)
        memory_exhausted();
    char *copy = arena_get(arena, n + 1);
    if (n > 0)
        memcpy(copy, s, n);
    return copy;
}

void arena_reset(Arena *arena)
{
    /* The largest is kept: a frame that needed it will need it again. */
    ArenaBlock *kept = arena->first;
    for (ArenaBlock *block = arena->first; block != NULL; block = block->next)
        if (block->size > kept->size)
            kept = block;
    ArenaBlock *next = NULL;
    for (ArenaBlock *block = arena->first; block != NULL; block = next) {
        next = block->next;
        if (block != kept)
            free(block);
    }
    arena->first = kept;
    arena->used = 0;
    arena->total = 0;
    if (kept != NULL) {
        memset(kept->bytes, 0, kept->used);
        kept->next = NULL;
        kept->used = 0;
        arena->total = kept->size;
    }
}

void arena_finish(Arena *arena)
{
    ArenaBlock *next = NULL;
    for (ArenaBlock *block = arena->first; block != NULL; block = next) {
        next = block->next;
        free(block);
    }
    *arena = (Arena){0};
}
