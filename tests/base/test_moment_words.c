/* Days as people call them, ahead for plans and back for what has been. */
#include "base/moment.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

static Moment at(const char *text)
{
    Moment m;
    int zone;
    Fault fault = {0};
    assert_true(moment_parse_rfc3339(text_of(text), &m, &zone, &fault));
    return m;
}

/* Tue 24 Nov 2026, 18:42. */
static const char now[] = "2026-11-24T18:42:00Z";
static const struct {
    const char *typed, *ahead, *past; /* NULL: no such time */
} cases[] = {
    {"fri 12:00", "2026-11-27T12:00:00Z", "2026-11-20T12:00:00Z"},
    {"Friday 12:00", "2026-11-27T12:00:00Z", "2026-11-20T12:00:00Z"},
    {"fri", "2026-11-27T12:00:00Z", "2026-11-20T12:00:00Z"},
    {"tue 18:41", "2026-12-01T18:41:00Z", "2026-11-24T18:41:00Z"},
    {"tue 18:43", "2026-11-24T18:43:00Z", "2026-11-17T18:43:00Z"},
    {"wed 09:00", "2026-11-25T09:00:00Z", "2026-11-18T09:00:00Z"},
    {"29.11.", "2026-11-29T12:00:00Z", "2025-11-29T12:00:00Z"},
    {"29.11. 9:30", "2026-11-29T09:30:00Z", "2025-11-29T09:30:00Z"},
    {"29 nov", "2026-11-29T12:00:00Z", "2025-11-29T12:00:00Z"},
    {"29 November 18:30", "2026-11-29T18:30:00Z", "2025-11-29T18:30:00Z"},
    {"1 jan 00:00", "2027-01-01T00:00:00Z", "2026-01-01T00:00:00Z"},
    {"24 nov 18:41", "2027-11-24T18:41:00Z", "2026-11-24T18:41:00Z"},
    {"24 nov 18:43", "2026-11-24T18:43:00Z", "2025-11-24T18:43:00Z"},
    {"1.12.2026 8:00", "2026-12-01T08:00:00Z", "2026-12-01T08:00:00Z"},
    {"29 feb", "2028-02-29T12:00:00Z", "2024-02-29T12:00:00Z"},
    {"31 jun", NULL, NULL},
    {"fr 12:00", NULL, NULL},
    {"29 no", NULL, NULL},
    {"fri 25:00", NULL, NULL},
    {"29.13.", NULL, NULL},
    {"0.11.", NULL, NULL},
    {"friend", NULL, NULL},
};

static void days_are_the_nearest_on_the_side_that_is_meant(void **unused)
{
    (void)unused;
    setenv("TZ", "UTC0", 1);
    tzset();
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        for (int ahead = 0; ahead < 2; ahead++) {
            const char *wanted = ahead ? cases[i].ahead : cases[i].past;
            Moment m = MOMENT_NONE;
            int zone;
            char is[64] = "";
            Fault fault = {0};
            const bool good = (ahead ? moment_parse_ahead : moment_parse_past)(
                text_of(cases[i].typed), at(now), &m, &zone, &fault);
            if (good)
                moment_print_utc(m, is);
            if (good != (wanted != NULL) || (wanted && strcmp(is, wanted) != 0))
                fail_msg("%s %s: %s %s", cases[i].typed, ahead ? "ahead" : "past", is, fault.text);
        }
    }
}

/* The year's turn, and a zone of its own. */
static void the_day_is_the_local_one(void **unused)
{
    (void)unused;
    setenv("TZ", "XXX-13", 1);
    tzset();
    Moment m;
    int zone;
    char is[64];
    Fault fault = {0};
    /* 00:30 on Fri 1 Jan 2027 there */
    assert_true(
        moment_parse_ahead(text_of("fri 01:00"), at("2026-12-31T11:30:00Z"), &m, &zone, &fault));
    assert_string_equal(moment_print_utc(m, is), "2026-12-31T12:00:00Z");
    assert_int_equal(zone, 13 * 60);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(days_are_the_nearest_on_the_side_that_is_meant),
        cmocka_unit_test(the_day_is_the_local_one),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
