#include "model/seal.h"

#include "base/crc.h"
#include "base/memory.h"
#include "model/field.h"

#include <string.h>

enum { FIELDS_MAX = 8 * sizeof((Event){0}.has) };

typedef struct {
    uint8_t bytes[2560];
    size_t n;
} Canon;
_Static_assert(sizeof((Canon){0}.bytes) >= sizeof(Event) + (size_t)FIELDS_MAX * 12 + 8,
               "every entry fits, whatever its kind, and what a number writes beyond its end");

static void put(Canon *canon, const void *bytes, size_t n)
{
    memcpy(canon->bytes + canon->n, bytes, n);
    canon->n += n;
}

/* The lowest byte first. All eight are written, one store to a compiler, and `bytes` are kept. */
static void seal_put_number(Canon *canon, uint64_t value, size_t bytes)
{
    uint8_t *at = canon->bytes + canon->n;
    at[0] = (uint8_t)value;
    at[1] = (uint8_t)(value >> 8);
    at[2] = (uint8_t)(value >> 16);
    at[3] = (uint8_t)(value >> 24);
    at[4] = (uint8_t)(value >> 32);
    at[5] = (uint8_t)(value >> 40);
    at[6] = (uint8_t)(value >> 48);
    at[7] = (uint8_t)(value >> 56);
    canon->n += bytes;
}

static void put_text(Canon *canon, const char *text)
{
    put(canon, text, strlen(text) + 1); /* with its end: "a","bc" is not "ab","c" */
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

static void put_field(Canon *canon, const Event *e, const Field *f)
{
    switch (f->type) {
    case FIELD_LABEL:
        put_text(canon, field_label_of(e, f)->s);
        break;
    case FIELD_LABELS:
        seal_put_number(canon, (uint64_t)e->u.couple.count, 1);
        for (int i = 0; i < e->u.couple.count; i++)
            put_text(canon, e->u.couple.order[i].s);
        break;
    case FIELD_ENTRY:
        put(canon, (const char *)e + f->offset, sizeof(Uuid));
        break;
    default:
        seal_put_number(canon, (uint64_t)field_number_of(e, f), 8);
    }
}

uint32_t event_seal(const Event *e)
{
    const Kind *kind = kind_of((KindId)e->kind);
    Canon canon MEMORY_UNSET;
    canon.n = 0;
    put(&canon, e->id.b, sizeof e->id.b);
    seal_put_number(&canon, (uint64_t)e->at.ms, 8);
    seal_put_number(&canon, (uint64_t)e->zone, 2);
    seal_put_number(&canon, kind_mark(kind, -1), 4);
    for (int i = 0; i < kind->field_count; i++) {
        if (!event_has(e, i))
            continue;
        seal_put_number(&canon, kind_mark(kind, i), 4);
        put_field(&canon, e, &kind->fields[i]);
    }
    put_text(&canon, e->note);
    return crc32c(0, canon.bytes, canon.n);
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
