/* zone.h - the time zone by a POSIX rule, so that no zone files are needed; and moments. */
#ifndef ULLAGE_TESTS_SUPPORT_ZONE_H
#define ULLAGE_TESTS_SUPPORT_ZONE_H

#include "base/moment.h"

/* Clocks go forward on the last Sunday of March at 02:00, back on the last of October at 03:00. */
#define CENTRAL_EUROPE "CET-1CEST,M3.5.0,M10.5.0/3"

void zone_set(const char *tz); /* the process's TZ */
int zone_reset(void **state);  /* to UTC; a tear-down */
Moment utc(const char *rfc3339);

#endif
