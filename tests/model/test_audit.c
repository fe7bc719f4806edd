#include "model/audit.h"
#include "support/logbook.h"

#include <math.h>
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
    book_say(book, "vessel B1 --capacity 12 --level 0");
    book_say(book, "source tap --type mains");
    const State good = *book_state(book);
    assert_null(state_audit(&good));
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
    FINDS(s.vessels[1].position = 0, "a vessel and its line do not agree");
    FINDS(s.lines[0].order[1] = 0, "a vessel and its line do not agree");
    FINDS(s.lines[0].count = 1, "not zero");
    FINDS(s.vessels[1].label = s.vessels[0].label, "one label");
    FINDS(s.stages[0].line = 2, "stage");
    FINDS(s.stops[4].eta = 1, "not zero");
    FINDS(s.vessel_count = VESSEL_SLOTS + 1, "more slots");
    FINDS(s.discrepancy_count = -1, "more slots");
    FINDS(s.vessels[0].line = -2, "a vessel and its line do not agree");
    FINDS(s.vessels[0].line = 1 << 20, "a vessel and its line do not agree");
    FINDS(s.vessels[0].line = s.line_count, "a vessel and its line do not agree");
    FINDS(s.vessels[2].position = VESSELS_ABOARD_MAX, "a vessel and its line do not agree");
    FINDS(s.vessels[2].position = -1, "a vessel and its line do not agree");
    FINDS(s.vessels[1].position = VESSELS_ABOARD_MAX, "a vessel and its line do not agree");
    FINDS(s.vessels[1].position = -1, "a vessel and its line do not agree");
    FINDS(s.lines[0].order[0] = VESSEL_SLOTS, "a vessel and its line do not agree");
    FINDS((s.lines[0].count = 3, s.lines[0].order[2] = -1), "names no vessel");
    FINDS((s.lines[0].count = 3, s.lines[0].order[2] = s.vessel_count), "names no vessel");
    FINDS(s.lines[0].count = VESSELS_ABOARD_MAX + 1, "too many vessels");
    FINDS(s.use.logged.spans = -1, "taught");
    FINDS(s.use.crews = INT64_MIN, "taught");
    FINDS(s.use.unlogged.spans = -1, "taught");
    FINDS(s.vessels[0].label = (Label){""}, "without a label");
    FINDS(s.vessels[0].capacity = 0, "past the brim");
    FINDS((s.vessels[0].capacity = 0, s.vessels[0].volume = 0), "capacity or heel");
    FINDS(s.vessels[0].heel = -1, "capacity or heel");
    FINDS(s.vessels[0].heel = 12001, "capacity or heel");
    FINDS(s.vessels[0].duty = DUTY_STORE + 1, "duty");
    FINDS(s.vessels[0].unlogged = -1, "below zero");
    FINDS(s.vessels[0].gained = -1, "below zero");
    FINDS(s.vessels[0].marks = MARK_ALL + 1, "mark");
    FINDS(s.vessels[2].mean_fill = 1, "an empty vessel with an age");
    FINDS(s.vessels[2].oldest_fill = 1, "an empty vessel with an age");
    FINDS(s.vessels[0].mean_fill = NAN, "older than its oldest");
    FINDS((s.vessels[0].retired_at = 1), "retired");
    FINDS((s.vessels[2].retired_at = 1, s.vessels[2].line = 0),
          "a vessel and its line do not agree");
    FINDS(s.lines[0].count = -1, "too many vessels");
    FINDS((s.vessels[1].line = -1), "a line and its vessel do not agree");
    FINDS(s.lines[0].drawn = -1, "drew less");
    FINDS(s.lines[0].meter_drawn = s.lines[0].drawn + 1, "drew less");
    FINDS(s.stages[0].line = -1, "stage");
    FINDS(s.stages[0].line = s.line_count, "stage");
    FINDS(s.stages[0].through_ml = -1, "stage");
    FINDS(s.stages[0].spares = -2, "stage");
    FINDS((s.totals.named += 7, s.totals.retired = 7, s.totals.drawn = -1, s.totals.dumped = 1),
          "a total below zero");
    FINDS((s.totals.gained = -1), "a total below zero");
    FINDS((s.totals.filled = -1), "a total below zero");
    FINDS((s.totals.retired = -1), "a total below zero");
    FINDS(s.line_count = LINES_MAX + 1, "more slots");
    FINDS(s.stage_count = STAGES_MAX + 1, "more slots");
    FINDS(s.source_count = SOURCES_MAX + 1, "more slots");
    FINDS(s.stop_count = STOPS_MAX + 1, "more slots");
    FINDS(s.discrepancy_count = DISCREPANCIES_MAX + 1, "more slots");
    FINDS(s.vessel_count = -1, "more slots");
    FINDS(s.line_count = -1, "more slots");
    FINDS(s.vessels[3].volume = 1, "not zero");
    FINDS(s.lines[1].drawn = 1, "not zero");
    FINDS(s.stages[1].spares = 1, "not zero");
    FINDS(s.sources[1].used_at = 1, "not zero");
    FINDS(s.sources[0].quality = CLASS_COUNT, "class or type");
    FINDS(s.sources[0].was = CLASS_COUNT, "class or type");
    FINDS(s.sources[0].type = SOURCE_OTHER + 1, "class or type");
    FINDS(s.sources[0].fills = -1, "less than nothing");
    FINDS(s.sources[0].taken = -1, "less than nothing");
    FINDS(s.sources[0].leaning.fills = -1, "less than nothing");
    FINDS(s.sources[0].leant.fills = -1, "less than nothing");
    FINDS(s.discrepancies[0].amount = 1, "not zero");
#undef FINDS
    book_close(book);
}

/* What lies on an edge is sound. */
static void what_is_at_its_limit_is_no_fault(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --level 12");
    book_say(book, "couple galley A1");
    book_say(book, "stage sediment --type sediment --line galley");
    book_say(book, "source tap --type other");
    State s = *book_state(book);
    s.sources[0].quality = s.sources[0].was = CLASS_COUNT - 1;
    s.vessels[0].heel = s.vessels[0].capacity;
    s.vessels[0].marks = MARK_ALL;
    s.vessels[0].duty = DUTY_STORE;
    s.vessels[0].mean_fill += 1;
    s.stages[0].spares = -1;
    s.lines[0].meter_drawn = s.lines[0].drawn;
    assert_null(state_audit(&s));
    s.vessels[0].mean_fill -= 2;
    assert_null(state_audit(&s));
    book_close(book);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_fault_is_found),
        cmocka_unit_test(what_is_at_its_limit_is_no_fault),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
