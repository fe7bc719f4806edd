#include "outlook/doubles.h"

static int64_t bound_of(const Event *a, const Event *b)
{
    if (a->kind != b->kind)
        return -1;
    if (a->kind == KIND_SWAP && label_equal(&a->u.name.name, &b->u.name.name))
        return DOUBLE_SWAP_MS;
    if (a->kind == KIND_FILL && label_equal(&a->u.fill.vessel, &b->u.fill.vessel))
        return DOUBLE_FILL_MS;
    return -1;
}

bool likely_double(const Event *a, const Event *b, const Marks *machines)
{
    const int64_t apart = a->at.ms < b->at.ms ? b->at.ms - a->at.ms : a->at.ms - b->at.ms;
    const uint32_t one = uuid_mark(&a->id), other = uuid_mark(&b->id);
    return apart <= bound_of(a, b) && one != other && marks_hold(machines, one) &&
           marks_hold(machines, other);
}
