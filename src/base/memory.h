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

#endif
