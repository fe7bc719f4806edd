#include "model/audit.h"
#include "support/logbook.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static void each_fault_is_found(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --level 5");
    book_say(book, "vessel A2 --capacity 12 --level 5");
    book_say(book, "couple galley A1 A2");
    book_say(book, "stage sediment --type sediment --line galley");
    const State good = *book_state(book);
#define FINDS(change, words)                                                                       \
    do {                                                                                           \
        State s = good;                                                                            \
        change;                                                                                    \
        const char *wrong = state_audit(&s);                                                       \
        assert_non_null(wrong);                                                                    \
        assert_non_null(strstr(wrong, words));                                                     \
    } while (0)
    FINDS(s.vessels[0].volume = -1, "below zero");
    FINDS(s.vessels[0].volume = 12001, "past the brim");
    FINDS(s.vessels[0].volume++, "not conserved");
    FINDS(s.totals.drawn++, "not conserved");
    FINDS(s.vessels[0].quality = 3, "class");
    FINDS(s.vessels[0].unlogged = 4, "unlogged");
    FINDS(s.vessels[0].mean_fill -= 5e3, "older than its oldest");
    FINDS(s.vessels[0].mean_fill += 5e3, "younger than the last entry");
    FINDS(s.vessels[1].position = 0, "do not agree");
    FINDS(s.lines[0].order[1] = 0, "do not agree");
    FINDS(s.lines[0].count = 1, "not zero");
    FINDS(s.vessels[1].label = s.vessels[0].label, "one label");
    FINDS(s.stages[0].line = 2, "stage");
    FINDS(s.stops[4].eta = 1, "not zero");
    FINDS(s.vessel_count = VESSEL_SLOTS + 1, "more slots");
    FINDS(s.discrepancy_count = -1, "more slots");
    FINDS(s.vessels[0].line = -2, "do not agree");
    FINDS(s.vessels[0].line = 1 << 20, "do not agree");
    FINDS(s.vessels[1].position = VESSELS_ABOARD_MAX, "do not agree");
    FINDS(s.vessels[1].position = -1, "do not agree");
    FINDS(s.lines[0].order[0] = VESSEL_SLOTS, "do not agree");
    FINDS(s.lines[0].count = VESSELS_ABOARD_MAX + 1, "too many vessels");
    FINDS(s.use.logged.spans = -1, "taught");
    FINDS(s.use.crews = INT64_MIN, "taught");
#undef FINDS
    book_close(book);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_fault_is_found),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
