#include "store/idset.h"

#include "base/memory.h"

#include <stdlib.h>
#include <string.h>

uint64_t id_hash(const Uuid *id)
{
    /* splitmix64's finisher over both halves: foreign ids need not be random anywhere */
    uint64_t a, b;
    memcpy(&a, id->b, 8);
    memcpy(&b, id->b + 8, 8);
    uint64_t h = a * UINT64_C(0x9e3779b97f4a7c15) + b;
    h = (h ^ h >> 30) * UINT64_C(0xbf58476d1ce4e5b9);
    h = (h ^ h >> 27) * UINT64_C(0x94d049bb133111eb);
    return h ^ h >> 31;
}

void idset_add(IdSet *set, const Uuid *id)
{
    if (set->count == IDSET_MAX) {
        set->full = true;
        return;
    }
    if (set->bits == NULL)
        set->bits = memory_get(IDSET_BITS / 8);
    if (set->count == set->room) {
        set->room = set->room == 0 ? 64 : set->room * 2;
        set->ids = memory_resize(set->ids, set->room * sizeof *set->ids);
    }
    set->ids[set->count++] = *id;
    uint64_t bit = id_hash(id) % IDSET_BITS;
    set->bits[bit / 8] |= (uint8_t)(1u << bit % 8);
}

static int compare(const void *a, const void *b)
{
    return memcmp(a, b, sizeof(Uuid));
}

void idset_sort(IdSet *set)
{
    size_t kept = 0;
    if (set->count == 0)
        return;
    qsort(set->ids, set->count, sizeof *set->ids, compare);
    for (size_t i = 1; i < set->count; i++)
        if (compare(&set->ids[i], &set->ids[kept]) != 0)
            set->ids[++kept] = set->ids[i];
    set->count = kept + 1;
}

ptrdiff_t idset_find(const IdSet *set, const Uuid *id)
{
    if (set->count == 0)
        return -1;
    uint64_t bit = id_hash(id) % IDSET_BITS;
    if ((set->bits[bit / 8] >> bit % 8 & 1) == 0)
        return -1;
    const Uuid *at = bsearch(id, set->ids, set->count, sizeof *set->ids, compare);
    return at == NULL ? -1 : at - set->ids;
}

void idset_clear(IdSet *set)
{
    set->count = 0;
    set->full = false;
    if (set->bits != NULL)
        memset(set->bits, 0, IDSET_BITS / 8);
}

void idset_finish(IdSet *set)
{
    free(set->ids);
    free(set->bits);
    *set = (IdSet){0};
}
