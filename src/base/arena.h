/* arena.h - memory that is fatal to run out of.
 *
 * The program has three lifetimes: the run, a replay, a frame. What lives as long as one of them is
 * taken from an Arena and given back all at once.
 */
#ifndef ULLAGE_BASE_ARENA_H
#define ULLAGE_BASE_ARENA_H

#include <stddef.h>

/* Like malloc, realloc, but never NULL: when memory is out, the hook (set by the terminal so that
 * it can restore itself) runs, one line goes to standard error, and the program exits with
 * status 3. */
void *memory_get(size_t size); /* zeroed */
void *memory_resize(void *block, size_t size);
void memory_on_exhausted(void (*hook)(void)); /* the one process-wide setting; NULL takes it out */
_Noreturn void memory_exhausted(void);

typedef struct ArenaBlock ArenaBlock;
typedef struct {
    ArenaBlock *first;
    size_t used, total; /* bytes handed out; bytes held */
} Arena;

/* Zero-initialise an Arena. Memory is zeroed and aligned for any type; valid until reset/finish. */
void *arena_get(Arena *arena, size_t size);
char *arena_copy(Arena *arena, const char *s, size_t n); /* terminated copy */
void arena_reset(Arena *arena);                          /* keeps one block for reuse */
void arena_finish(Arena *arena);

#endif
