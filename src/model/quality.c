#include "model/quality.h"

#include "base/whole.h"

Quality quality_worst(Quality a, Quality b)
{
    return (Quality)int64_larger(a, b);
}

const char *quality_name(Quality q)
{
    static const char *const names[CLASS_COUNT] = {"potable", "questionable", "non-potable"};
    return names[q];
}

const char *quality_short(Quality q)
{
    static const char *const names[CLASS_COUNT] = {"pot.", "quest.", "non-pot."};
    return names[q];
}

const char *verdict_name(Verdict v)
{
    switch (v) {
    case VERDICT_DRINK:
        return "drink";
    case VERDICT_DRINK_IF_TREATED:
        return "drink if treated";
    case VERDICT_BOIL_FIRST:
        return "boil first";
    case VERDICT_WASH_ONLY:
        return "wash only";
    case VERDICT_NONE:
        break;
    }
    return NULL;
}
