#include "support/zone.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <time.h>

#include <cmocka.h>

void zone_set(const char *tz)
{
    setenv("TZ", tz, 1);
    tzset();
}

int zone_reset(void **state)
{
    (void)state;
    zone_set("UTC0");
    return 0;
}

Moment utc(const char *rfc3339)
{
    Moment m = MOMENT_NONE;
    Fault fault = {0};
    if (!moment_parse_rfc3339(text_of(rfc3339), &m, NULL, &fault))
        fail_msg("%s", fault.text);
    return m;
}
