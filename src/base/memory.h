/* memory.h - memory that is fatal to run out of. */
#ifndef ULLAGE_BASE_MEMORY_H
#define ULLAGE_BASE_MEMORY_H

#include <stddef.h>

/* Like calloc, realloc, but never NULL: when memory is out, the hook (set by the terminal so that
 * it can restore itself) runs, one line goes to standard error, and the program exits with
 * status 3. free() gives it back. */
void *memory_get(size_t size); /* zeroed */
void *memory_resize(void *block, size_t size);
void memory_on_exhausted(void (*hook)(void)); /* the one process-wide setting; NULL takes it out */
_Noreturn void memory_exhausted(void);

/* Behind a large variable that is written before it is read, in what runs for every entry: the
 * build zeroes variables, and that would be most of the work. */
#if defined(__has_attribute)
#if __has_attribute(uninitialized)
#define MEMORY_UNSET __attribute__((uninitialized))
#endif
#endif
#ifndef MEMORY_UNSET
#define MEMORY_UNSET
#endif

#endif
