/* uuid.h - identifiers of entries, RFC 9562. */
#ifndef ULLAGE_BASE_UUID_H
#define ULLAGE_BASE_UUID_H

#include "base/moment.h"

#include <string.h>

typedef struct {
    uint8_t b[16];
} Uuid;

/* Accepts the 8-4-4-4-12 form in either case; refused otherwise with a sentence. Any version. */
bool uuid_parse(Text text, Uuid *uuid, Fault *fault);
char *uuid_print(const Uuid *uuid, char *out); /* lower case, 36 characters; `out` of at least 37 */
static inline int uuid_compare(const Uuid *a, const Uuid *b)
{
    return memcmp(a->b, b->b, sizeof a->b);
}
bool uuid_is_nil(const Uuid *uuid);
/* Version 7: 48 bits of unix ms, then the 10 random bytes given (version and variant bits are set
 * over them: section 5.7). */
Uuid uuid_v7(Moment created, const uint8_t random[10]);

/* Of a version 7 id that a log with a mark made, 24 of the random bits tell which one, and 12 more
 * that they do. */
void uuid_mark_put(uint8_t random[10], uint32_t mark);
uint32_t uuid_mark(const Uuid *uuid);  /* those 24 bits, whatever they are */
uint32_t uuid_maker(const Uuid *uuid); /* 0: the id does not say who made it */

/* The marks of the machines in step, this one's first; count 0: it takes part in nothing. */
enum { MARKS_MAX = 16 };
typedef struct {
    uint32_t marks[MARKS_MAX];
    int count;
} Marks;
bool marks_hold(const Marks *marks, uint32_t mark);

#endif
