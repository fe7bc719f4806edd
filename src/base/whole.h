/* whole.h - the smaller and the larger of two whole numbers. */
#ifndef ULLAGE_BASE_WHOLE_H
#define ULLAGE_BASE_WHOLE_H

#include <stdint.h>

static inline int64_t int64_smaller(int64_t a, int64_t b)
{
    return a < b ? a : b;
}

static inline int64_t int64_larger(int64_t a, int64_t b)
{
    return a > b ? a : b;
}

#endif
