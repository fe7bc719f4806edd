/* zone.h - tests that set the time zone by a POSIX rule, so that no zone files are needed. */
#ifndef ULLAGE_SUPPORT_ZONE_H
#define ULLAGE_SUPPORT_ZONE_H

#include "base/moment.h"

#include <stdlib.h>
#include <time.h>

static void set_zone(const char *zone)
{
    setenv("TZ", zone, 1);
    tzset();
}

static int reset_zone(void **state)
{
    (void)state;
    set_zone("UTC0");
    return 0;
}

static Moment at(const char *rfc3339)
{
    Moment m = MOMENT_NONE;
    Fault fault = {0};
    if (!moment_parse_rfc3339(text_of(rfc3339), &m, NULL, &fault))
        fail_msg("%s", fault.text);
    return m;
}

#endif
