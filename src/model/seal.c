#include "model/seal.h"

#include "base/crc.h"
#include "base/memory.h"
#include "model/field.h"

#include <string.h>

enum { FIELDS_MAX = 8 * sizeof((Event){0}.has) };

/* Every entry fits, whatever its kind, and what a number writes beyond its end. */
enum { CANON_MAX = sizeof(Event) + (size_t)FIELDS_MAX * 12 + 8 };

static uint8_t *put(uint8_t *at, const void *bytes, size_t n)
{
    memcpy(at, bytes, n);
    return at + n;
}

/* The lowest byte first. All eight are written, one store to a compiler, and `bytes` are kept. */
static uint8_t *seal_put_number(uint8_t *at, uint64_t value, size_t bytes)
{
    at[0] = (uint8_t)value;
    at[1] = (uint8_t)(value >> 8);
    at[2] = (uint8_t)(value >> 16);
    at[3] = (uint8_t)(value >> 24);
    at[4] = (uint8_t)(value >> 32);
    at[5] = (uint8_t)(value >> 40);
    at[6] = (uint8_t)(value >> 48);
    at[7] = (uint8_t)(value >> 56);
    return at + bytes;
}

static uint8_t *put_text(uint8_t *at, const char *text)
{
    do /* most are a few letters or none: too short to be worth a call */
        *at++ = (uint8_t)*text;
    while (*text++ != '\0'); /* with its end: "a","bc" is not "ab","c" */
    return at;
}

/* What stands for a name: its checksum, worked out once. */
static uint32_t mark(const char *name)
{
    return crc32c(0, name, strlen(name));
}

static uint32_t kind_mark(const Kind *kind, int field)
{
    static uint32_t marks[KIND_END][FIELDS_MAX + 1];
    uint32_t *at = &marks[kind->id][field + 1];
    if (*at == 0)
        *at = mark(field < 0 ? kind->name : kind->fields[field].name);
    return *at;
}

static uint8_t *put_field(uint8_t *at, const Event *e, const Field *f)
{
    switch (f->type) {
    case FIELD_LABEL:
        return put_text(at, field_label_of(e, f)->s);
    case FIELD_LABELS:
        at = seal_put_number(at, (uint64_t)e->u.couple.count, 1);
        for (int i = 0; i < e->u.couple.count; i++)
            at = put_text(at, e->u.couple.order[i].s);
        return at;
    case FIELD_ENTRY:
        return put(at, (const char *)e + f->offset, sizeof(Uuid));
    default:
        return seal_put_number(at, (uint64_t)field_number_of(e, f), 8);
    }
}

uint32_t event_seal(const Event *e)
{
    const Kind *kind = kind_of((KindId)e->kind);
    uint8_t canon[CANON_MAX] MEMORY_UNSET;
    uint8_t *at = put(canon, e->id.b, sizeof e->id.b);
    at = seal_put_number(at, (uint64_t)e->at.ms, 8);
    at = seal_put_number(at, (uint64_t)e->zone, 2);
    at = seal_put_number(at, kind_mark(kind, -1), 4);
    for (int i = 0; i < kind->field_count; i++) {
        if (!event_has(e, i))
            continue;
        at = seal_put_number(at, kind_mark(kind, i), 4);
        at = put_field(at, e, &kind->fields[i]);
    }
    at = put_text(at, e->note);
    return crc32c(0, canon, (size_t)(at - canon));
}

void tally_add(Tally *tally, const Uuid *id, uint32_t seal)
{
    /* the finaliser of splitmix64 (Steele, Lea, Flood, OOPSLA 2014): near inputs, far sums */
    uint64_t x = (uint64_t)crc32c(0, id->b, sizeof id->b) << 32 | seal;
    x = (x ^ x >> 30) * UINT64_C(0xbf58476d1ce4e5b9);
    x = (x ^ x >> 27) * UINT64_C(0x94d049bb133111eb);
    tally->entries++;
    tally->sum += x ^ x >> 31;
}
